//! What is shown of the visit itself: thickness, instruments, belongings, keys, permissions, the owner's answer, what
//! happened, what was entered wrongly. Pure.

use super::build::photo_view;
use super::say::thousands;
use super::treat;
use super::{EntryKind, EntryView, ItemView, OwnerAnswerView, PhotoView, Speech, VersionView};
use crate::record::events::{
    BelongingsListed, CustodyPassed, DisputeOpened, EntryMoved, ErasureRecorded, GaugeChecked,
    GeneralRecorded, IncidentRecorded, InstrumentsRead, JobVoided, NoteWritten, PermissionsRecorded,
    StayRecorded,
};
use crate::record::fold::{Closing, Item, Job, Mark, Opening, Stamp, Taken};
use crate::record::inputs::Belonging;
use crate::record::times;
use crate::record::words::{BlobState, CopyGiven, Custody, OwnerAnswer, Party};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

type Labels = BTreeMap<Uuid, String>;

/// Everything of the visit that is an entry with a few lines, in the order of recording.
pub(super) fn entries(job: &Job, labels: &Labels, speech: Speech) -> Vec<EntryView> {
    let list = Lists { job, labels, speech };
    let mut all: Vec<(&Stamp, EntryView)> = Vec::new();
    all.extend(job.generals.iter().map(|it| (&it.stamp, list.general(it))));
    all.extend(job.gauge_checks.iter().map(|it| (&it.stamp, list.gauge_check(it))));
    all.extend(job.instruments.iter().map(|it| (&it.stamp, list.instruments(it))));
    all.extend(job.belongings.iter().map(|it| (&it.stamp, list.belongings(it))));
    all.extend(job.custody.iter().map(|it| (&it.stamp, list.custody(it))));
    all.extend(job.work.stays.iter().map(|it| (&it.stamp, list.stay(it))));
    all.extend(job.permissions.iter().map(|it| (&it.stamp, list.permissions(it))));
    all.extend(job.incidents.iter().map(|it| (&it.stamp, list.incident(it))));
    all.extend(job.notes.iter().map(|it| (&it.stamp, list.note(it))));
    all.extend(job.disputes.iter().map(|it| (&it.stamp, list.dispute(it))));
    all.extend(job.voids.iter().map(|it| (&it.stamp, list.void(it))));
    all.extend(job.moved.iter().map(|(it, taken)| (&it.stamp, list.moved(it, taken))));
    all.extend(job.erasures.iter().map(|it| (&it.stamp, list.erasure(it))));
    all.extend(job.slips.iter().map(|(slip, undone)| (undone, list.slip(slip, undone))));
    all.extend(treat::entries(job, &list));
    all.extend(job.closings.iter().filter_map(|it| Some((&it.stamp, list.closing(it)?))));
    all.sort_by(|(a, _), (b, _)| a.key.cmp(&b.key));
    all.into_iter().map(|(_, view)| view).collect()
}

pub(super) struct Lists<'a> {
    pub(super) job: &'a Job,
    labels: &'a Labels,
    pub(super) speech: Speech,
}

impl Lists<'_> {
    fn bare(&self, kind: EntryKind, id: Uuid, stamp: &Stamp, lines: Vec<String>) -> EntryView {
        EntryView {
            id: id.to_string(),
            kind,
            lines,
            typed: Vec::new(),
            panels: Vec::new(),
            photos: photos_of(self.job, id, self.labels, self.speech),
            open: false,
            stamp: self.speech.stamp(self.job, stamp),
        }
    }

    pub(super) fn entry<B>(
        &self,
        kind: EntryKind,
        item: &Item<B>,
        lines: Vec<String>,
        roles: &[&str],
    ) -> EntryView {
        let mut view = self.bare(kind, item.id, &item.stamp, lines);
        view.typed = roles.iter().filter_map(|role| self.speech.typed(&item.text(role))).collect();
        view
    }

    fn of(&self, id: Uuid) -> String {
        of(self.job, id, self.labels)
    }

    /// What a closing commits, and its note; none for one that only ends the visit.
    fn closing(&self, it: &Closing) -> Option<EntryView> {
        let mut view = self.bare(EntryKind::Closing, it.stamp.input, &it.stamp, Vec::new());
        view.typed.extend(self.speech.typed(&it.note));
        if !it.closed.leaves.is_empty() {
            let entries = it.closed.leaves.iter().map(|log| log.count).sum();
            let phones: BTreeSet<&str> = it.closed.leaves.iter().map(|log| log.log.as_str()).collect();
            let seen = it.closed.could_see.first().map(|stage| {
                format!(" and what could be seen of each panel that was looked at (model {})", stage.model)
            });
            view.lines.push(format!(
                "this closing commits {} of {}{}; leaving one of them out later, or changing it, would show",
                counted(entries, "entry", "entries"),
                counted(phones.len() as u64, "phone", "phones"),
                seen.unwrap_or_default(),
            ));
        }
        let keys = self.job.cosignatures(it);
        let keys = keys.iter().map(|it| self.speech.word("key-held", it.body.key.word()));
        view.lines.extend(keys.map(|key| format!("beside it stands a co-signature with {key}")));
        (!view.lines.is_empty() || !view.typed.is_empty()).then_some(view)
    }

    fn general(&self, it: &Item<GeneralRecorded>) -> EntryView {
        let kind = self.speech.word("kind", it.body.kind.word());
        let panels: Vec<String> = it.body.panels.iter().map(|panel| self.speech.panel(panel)).collect();
        let about = it.body.about.map(|count| format!("about {count}: ")).unwrap_or_default();
        let line = format!("{about}{kind}, over the {}", listed(&panels));
        let mut view = self.entry(EntryKind::General, it, vec![line], &["note"]);
        view.panels.clone_from(&it.body.panels);
        view
    }

    fn gauge_check(&self, it: &Item<GaugeChecked>) -> EntryView {
        let body = &it.body;
        let mut lines = Vec::new();
        let plate = self.speech.word("plate", body.plate.word());
        if let Some(zero) = body.zero_um {
            lines.push(format!("on bare {plate} it read {zero} µm"));
        }
        if let (Some(foil), Some(read)) = (body.foil_um, body.foil_read_um) {
            lines.push(format!("on a foil of {foil} µm it read {read} µm"));
        }
        if let Some(accuracy) = body.accuracy_um {
            lines.push(format!("stated accuracy ±{accuracy} µm"));
        }
        self.entry(EntryKind::GaugeCheck, it, lines, &["gauge", "note"])
    }

    fn instruments(&self, it: &Item<InstrumentsRead>) -> EntryView {
        let body = &it.body;
        let mut lines = Vec::new();
        if let (Some(count), Some(unit)) = (body.odometer, body.unit) {
            lines.push(format!(
                "odometer {} {}",
                thousands(count.into()),
                self.speech.word("distance-unit", unit.word())
            ));
        }
        lines.extend(body.fuel_pct.map(|fuel| format!("fuel {fuel} %")));
        lines.extend(body.charge_pct.map(|charge| format!("charge {charge} %")));
        lines.extend(self.speech.typed(&it.text("lamps")).map(|lamps| format!("warning lamps: {lamps}")));
        lines.extend(body.tried.iter().map(|tried| {
            format!(
                "{}: {}",
                self.speech.word("fitting", tried.fitting.word()),
                self.speech.word("works", tried.works.word())
            )
        }));
        self.entry(EntryKind::Instruments, it, lines, &["note"])
    }

    fn belongings(&self, it: &Item<BelongingsListed>) -> EntryView {
        let mut lines = Vec::new();
        let items: Option<Vec<Belonging>> =
            it.value("items").and_then(|value| serde_json::from_value(value.clone()).ok());
        match items {
            Some(items) => lines.extend(items.iter().map(belonging)),
            None if it.body.count == 0 => lines.push("none seen where it was looked".to_owned()),
            None => {
                let state = it.typed.get("items").map_or(BlobState::Lost, |blob| blob.0);
                lines.push(format!("{} lines; the list: {}", it.body.count, self.speech.gone(state)));
            }
        }
        lines.push(match it.body.seen_with {
            Some(who) => format!("looked through together with {}", self.speech.word("party", who.word())),
            None => "looked through by the detailer alone".to_owned(),
        });
        self.entry(EntryKind::Belongings, it, lines, &["note"])
    }

    fn custody(&self, it: &Item<CustodyPassed>) -> EntryView {
        let body = &it.body;
        let party = |who: Party| self.speech.word("party", who.word());
        let what = match (body.keys, body.what) {
            (Some(1), Custody::Keys) => "1 key".to_owned(),
            (Some(count), Custody::Keys) => format!("{count} keys"),
            (Some(1), _) => "vehicle and 1 key".to_owned(),
            (Some(count), _) => format!("vehicle and {count} keys"),
            (None, what) => self.speech.word("custody", what.word()),
        };
        let line = if body.from == body.to {
            format!("vehicle moved by {}", party(body.to))
        } else {
            format!("{what}: from {} to {}", party(body.from), party(body.to))
        };
        self.entry(EntryKind::Custody, it, vec![line], &["note"])
    }

    fn stay(&self, it: &Item<StayRecorded>) -> EntryView {
        let body = &it.body;
        let mut lines = Vec::new();
        lines.extend(body.sleeps.map(|at| format!("it sleeps {}", self.speech.word("sleeps", at.word()))));
        let from = body.rain_from.map(|from| format!(" from {}", times::spoken(from.ms, from.off_min, "")));
        lines.extend(body.rain.map(|due| match due {
            true => format!("rain is due{}", from.unwrap_or_default()),
            false => "no rain is due".to_owned(),
        }));
        lines.extend(body.keys.map(|who| format!("the keys: {}", self.speech.word("party", who.word()))));
        self.entry(EntryKind::Stay, it, lines, &["note"])
    }

    fn permissions(&self, it: &Item<PermissionsRecorded>) -> EntryView {
        let of = |allowed: bool| {
            let named: Vec<String> = it
                .body
                .answers
                .iter()
                .filter(|answer| answer.allowed == allowed)
                .map(|answer| self.speech.word("permission", answer.permission.word()))
                .collect();
            named
        };
        let mut lines = vec![format!("asked: {}", self.speech.word("party", it.body.by.word()))];
        for (title, named) in [("allowed", of(true)), ("not allowed", of(false))] {
            if !named.is_empty() {
                lines.push(format!("{title}: {}", named.join(", ")));
            }
        }
        self.entry(EntryKind::Permissions, it, lines, &["note"])
    }

    fn incident(&self, it: &Item<IncidentRecorded>) -> EntryView {
        let mut lines: Vec<String> = it.body.panel.iter().map(|panel| self.speech.panel(panel)).collect();
        lines.extend(self.speech.typed(&it.text("who")).map(|who| format!("who was there: {who}")));
        lines.push(
            if it.body.told_owner { "the owner was told at once" } else { "the owner was not told at once" }
                .to_owned(),
        );
        let mut view = self.entry(EntryKind::Incident, it, lines, &["what"]);
        view.panels.extend(it.body.panel.clone());
        view
    }

    fn note(&self, it: &Item<NoteWritten>) -> EntryView {
        let mut lines: Vec<String> = it.body.panel.iter().map(|panel| self.speech.panel(panel)).collect();
        lines.extend(it.body.entry.map(|entry| format!("about {}", self.of(entry))));
        let mut view = self.entry(EntryKind::Note, it, lines, &["note"]);
        view.panels.extend(it.body.panel.clone());
        view
    }

    fn dispute(&self, it: &Item<DisputeOpened>) -> EntryView {
        let by = self.speech.word("party", it.body.by.word());
        let mut lines = vec![match since_closing(self.job, &it.stamp) {
            Some(hours) => format!("reported by {by}, {hours} after the visit was ended"),
            None => format!("reported by {by}"),
        }];
        lines.extend(it.body.panel.iter().map(|panel| self.speech.panel(panel)));
        lines.extend(it.body.entries.iter().map(|entry| format!("about {}", self.of(*entry))));
        // Two phones may have ended it without knowing of each other: how each says that it ended is shown.
        let ends = || self.job.disputes_ended.iter().filter(|end| end.body.dispute == it.id);
        lines.extend(ends().map(|end| {
            format!(
                "ended {}: {}",
                times::spoken(end.stamp.at, end.stamp.off_min, ""),
                self.speech.typed(&end.text("outcome")).unwrap_or_default()
            )
        }));
        let mut view = self.entry(EntryKind::Dispute, it, lines, &["reported"]);
        view.open = ends().next().is_none();
        view.panels.extend(it.body.panel.clone());
        view
    }

    fn void(&self, it: &Item<JobVoided>) -> EntryView {
        let mut lines = vec!["this job was opened by mistake; everything stays on record".to_owned()];
        lines.extend(it.body.instead.map(|job| format!("the job that counts: {job}")));
        self.entry(EntryKind::Void, it, lines, &["reason"])
    }

    fn erasure(&self, it: &Item<ErasureRecorded>) -> EntryView {
        let lines =
            it.body.erased.iter().map(|went| {
                format!("erased: {} ({})", self.speech.word("kept", went.kept.word()), went.count)
            });
        self.entry(EntryKind::Erasure, it, lines.collect(), &["reason"])
    }

    fn moved(&self, it: &Item<EntryMoved>, taken: &[Taken]) -> EntryView {
        let what: Vec<String> = taken
            .iter()
            .map(|taken| {
                let recorded = times::spoken(taken.stamp.at, taken.stamp.off_min, "");
                format!("{} recorded {recorded}", self.taken(taken))
            })
            .collect();
        let line = format!("{} went to job {}", listed(&what), it.body.to_job);
        self.entry(EntryKind::Moved, it, vec![line], &["reason"])
    }

    fn slip(&self, slip: &Taken, undone: &Stamp) -> EntryView {
        let line = format!(
            "{}, {}, was taken back at {}",
            self.taken(slip),
            times::spoken(slip.stamp.at, slip.stamp.off_min, ""),
            times::time_of_day(undone.at, undone.off_min)
        );
        self.bare(EntryKind::Slip, undone.input, undone, vec![line])
    }

    fn taken(&self, taken: &Taken) -> String {
        match (&taken.label, taken.kind.as_str()) {
            (Some(label), _) => format!("mark {label}"),
            (None, kind) => kind_name(kind),
        }
    }
}

fn belonging(item: &Belonging) -> String {
    let count = match item.count {
        Some(0) => "0 × ".to_owned(),
        Some(1) | None => String::new(),
        Some(count) => format!("{count} × "),
    };
    let place = item.place.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
    let stays = if item.stays { ", stays in the vehicle" } else { "" };
    let gone = if item.count == Some(0) { ": looked for, not there" } else { "" };
    format!("{count}{}{place}{stays}{gone}", item.what)
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed(names: &[String]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// What an id stands for, to read.
pub(super) fn of(job: &Job, id: Uuid, labels: &Labels) -> String {
    if let Some(label) = labels.get(&id) {
        return format!("mark {label}");
    }
    job.made.get(&id).map_or_else(|| "an entry that is not here".to_owned(), |made| kind_name(&made.kind))
}

/// What an event of this type is called.
fn kind_name(kind: &str) -> String {
    match kind {
        "outcome.recorded" => "an answer for a panel",
        "mark.recorded" => "a mark",
        "mark.corrected" | "vehicle.corrected" => "a correction",
        "mark.seen-again" => "a mark seen again",
        "photo.attached" => "a photo",
        "feel.tested" => "a feel test",
        "general.recorded" => "a finding over panels",
        "gauge.checked" => "a check of the gauge",
        "thickness.measured" => "a thickness",
        "belongings.listed" => "the list of belongings",
        "instruments.read" => "the instruments",
        "incident.recorded" => "what happened",
        "permissions.recorded" => "the permissions",
        "custody.passed" => "keys or vehicle",
        "stay.recorded" => "the night",
        "owner.answered" => "the owner's answer",
        "note.written" => "a note",
        "dispute.opened" => "the dispute",
        "surface.recorded" => "what a panel is",
        "work.agreed" => "agreed work",
        "override.agreed" => "a warning set aside",
        "step.done" => "a step",
        "square.tried" | "square.judged" => "a test square",
        "cloth.taken" => "a cloth",
        "cloth.put-out" => "a cloth out of use",
        "sheet.recorded" => "a product sheet",
        "lot.opened" => "a lot",
        "conditions.read" => "a reading of the conditions",
        "work.continued" => "that the work went on",
        "layer.begun" => "a layer that was begun",
        "layer.levelled" => "a section that was levelled",
        "use.recorded" => "how the car is used",
        "schedule.made" => "a schedule",
        kind => return format!("an entry ({kind})"),
    }
    .to_owned()
}

/// Time between the first closing known before and this entry, to read.
fn since_closing(job: &Job, stamp: &Stamp) -> Option<String> {
    let closing = job.closings.iter().find(|closing| closing.stamp.key < stamp.key)?;
    let minutes = stamp.seen_ms().checked_sub(closing.stamp.at)? / 60_000;
    match minutes {
        ..0 => None,
        1 => Some("1 minute".to_owned()),
        0..120 => Some(format!("{minutes} minutes")),
        120..2_880 => Some(format!("{} hours", minutes / 60)),
        _ => Some(format!("{} days", minutes / 1_440)),
    }
}

fn photos_of(job: &Job, id: Uuid, labels: &Labels, speech: Speech) -> Vec<PhotoView> {
    job.photos
        .iter()
        .filter(|photo| photo.attached.entry == Some(id))
        .map(|photo| photo_view(job, photo, labels, speech))
        .collect()
}

/// What the vehicle was opened with and became.
pub(super) fn vehicle_history(job: &Job, speech: Speech) -> Vec<VersionView> {
    let text = |entry: &Opening| {
        let named = &entry.vehicle;
        let mut parts = vec![speech.word("form", entry.form.word())];
        parts.extend(named.plate.clone());
        parts.extend(named.vin.as_ref().map(|vin| format!("VIN {vin}")));
        parts.extend(named.stock.as_ref().map(|stock| format!("number {stock}")));
        parts.extend(named.colour.clone());
        parts.push(speech.word("finish", entry.finish.word()));
        parts.extend(entry.steering.map(|side| speech.word("steering", side.word())));
        if !entry.film.is_empty() {
            let film: Vec<String> = entry.film.iter().map(|panel| speech.panel(panel)).collect();
            parts.push(format!("clear film on the {}", listed(&film)));
        }
        let scope: Vec<String> = entry.scope.iter().map(|part| speech.word("scope", part.word())).collect();
        parts.push(format!("visit: {}", scope.join(", ")));
        parts.join(", ")
    };
    let entries = job.openings.iter().take(1).chain(&job.corrections);
    entries
        .map(|entry| VersionView {
            text: text(entry),
            reason: speech.typed(&entry.reason),
            stamp: speech.stamp(job, &entry.stamp),
        })
        .collect()
}

/// What the owner said, in order.
pub(super) fn owner_answers(job: &Job, labels: &Labels, speech: Speech) -> Vec<OwnerAnswerView> {
    job.owner_answers
        .iter()
        .map(|it| {
            let body = &it.body;
            let who = speech.word("party", body.by.word());
            let named = speech.typed(&it.text("name")).map(|name| format!(" ({name})")).unwrap_or_default();
            let said = speech.word("owner-answer", body.answer.word());
            let text = match body.answer {
                OwnerAnswer::Absent => format!("{who}{named} was absent"),
                OwnerAnswer::SentNoReply => format!("sent to {who}{named}, no reply"),
                _ => format!("{who}{named}: {said}"),
            };
            let vehicles =
                body.vehicles.map(|n| format!(", one answer for {n} vehicles")).unwrap_or_default();
            let words = it.value("words");
            let signature: Vec<Vec<u16>> = it.value("signature").map(strokes).unwrap_or_default();
            let agreed = matches!(body.answer, OwnerAnswer::Agreed | OwnerAnswer::AgreedExcept);
            OwnerAnswerView {
                id: it.id.to_string(),
                answer: body.answer,
                text: format!("{text}{vehicles}"),
                copy_text: match (
                    speech.word("copy-given", body.copy.word()),
                    speech.typed(&it.text("sent_to")),
                ) {
                    (copy, Some(to)) => format!("{copy} to {to}"),
                    (copy, None) => copy,
                },
                items: body
                    .items
                    .iter()
                    .map(|item| ItemView {
                        entry: item.entry.to_string(),
                        of: of(job, item.entry, labels),
                        agreed: item.agreed,
                        words: words
                            .and_then(|words| words.get(item.entry.to_string())?.as_str())
                            .map(str::to_owned),
                    })
                    .collect(),
                signature_text: (!signature.is_empty()).then(|| match (agreed, body.copy) {
                    (true, _) => format!("drawn beside: {said}"),
                    (false, CopyGiven::NotGiven) => "drawn; it says no more than that".to_owned(),
                    (false, _) => "drawn: copy received".to_owned(),
                }),
                signature,
                note: speech.typed(&it.text("note")),
                stamp: speech.stamp(job, &it.stamp),
            }
        })
        .collect()
}

fn strokes(value: &Value) -> Vec<Vec<u16>> {
    let lists: Vec<Vec<[u16; 2]>> = serde_json::from_value(value.clone()).unwrap_or_default();
    lists.into_iter().map(|stroke| stroke.into_iter().flatten().collect()).collect()
}

/// Where the owner's answer stands.
pub(super) fn owner_text(answers: &[OwnerAnswerView]) -> String {
    match answers.last() {
        None => "no answer of the owner is on record".to_owned(),
        Some(last) => format!("{}; {}", last.text, last.copy_text),
    }
}

/// What else is to be said of a mark: who showed it, that it was seen again, where it stood before.
pub(super) fn also(job: &Job, mark: &Mark, speech: Speech) -> Vec<String> {
    let mut lines = Vec::new();
    lines.extend(mark.shown_by.map(|who| format!("shown by {}", speech.word("party", who.word()))));
    lines.extend(mark.earlier.as_ref().map(|earlier| {
        format!(
            "known from an earlier visit ({}, number {} there); seen again, nothing new",
            times::day(earlier.at, earlier.off_min),
            earlier.label
        )
    }));
    for again in job.seen_again.iter().filter(|it| it.body.mark == mark.id) {
        let stage = speech.stage(job, again.body.walk);
        let note = speech.typed(&again.text("note")).map(|note| format!(": {note}")).unwrap_or_default();
        lines.push(format!(
            "seen again, nothing new, {stage}, {}{note}",
            times::time_of_day(again.stamp.at, again.stamp.off_min)
        ));
    }
    lines.extend(mark.moved_from.as_ref().map(|from| {
        let first = times::spoken(from.at, from.off_min, "");
        format!("moved here from job {}; first recorded {first}", from.job)
    }));
    lines
}

/// `1 entry`, `12 entries`.
fn counted(count: u64, one: &str, more: &str) -> String {
    format!("{} {}", thousands(count), if count == 1 { one } else { more })
}
