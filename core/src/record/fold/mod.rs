//! The state of one job, folded from its events when the job is opened. Pure; never refuses.
//!
//! Events are taken in the order (lam, log, seq, leaf), which depends on the events alone, so any order and any
//! split of their arrival folds to the same state. Nothing is merged and nothing wins: two answers for one panel,
//! two corrections of one entry and two closings are all kept, each with who made it.

mod devices;
mod items;
mod look_again;
mod spots;
mod treat;
mod work;

pub use devices::{DeviceFact, DeviceSaid, devices};
pub use items::*;
pub use spots::{SpotDeed, closes};
pub use treat::Treated;
pub use work::Work;

use super::events::{
    BelongingsListed, Body, CustodyPassed, DisputeEnded, DisputeOpened, EntryCosigned, EntryMoved, Envelope,
    ErasureRecorded, GaugeChecked, GeneralRecorded, IncidentRecorded, InstrumentsRead, JobOpened, JobVoided,
    LookMade, MarkSeenAgain, NoteWritten, OwnerAnswered, PermissionsRecorded, SpotChecked, SpotFound,
    SpotTreated, ThicknessMeasured,
};
use super::words::{BlobState, Cosigned};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// Everything on record about one job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// The job's id.
    pub id: Uuid,
    /// Openings in order; the first one counts, others are shown.
    pub openings: Vec<Opening>,
    /// Corrections of what it was opened with, in order; the last one is shown.
    pub corrections: Vec<Opening>,
    /// Walk-arounds in order.
    pub walks: Vec<Walk>,
    /// Answers for panels in order.
    pub answers: Vec<Answer>,
    /// Marks in order of recording.
    pub marks: Vec<Mark>,
    /// Clocks that were set while a phone was running, in order.
    pub clock_sets: Vec<ClockSet>,
    /// By log, the running in which its last entry was made, and when the clock then said that it had begun.
    runnings: BTreeMap<String, (String, i64)>,
    /// Corrections whose mark has not come in.
    pub orphans: BTreeMap<Uuid, Vec<Version>>,
    /// Photos in order.
    pub photos: Vec<Photo>,
    /// Feel tests in order.
    pub feels: Vec<Feel>,
    /// Marks that were seen again, in order.
    pub seen_again: Vec<Item<MarkSeenAgain>>,
    /// Findings over whole panels, in order.
    pub generals: Vec<Item<GeneralRecorded>>,
    /// Checks of thickness gauges, in order.
    pub gauge_checks: Vec<Item<GaugeChecked>>,
    /// Thickness measurements, in order.
    pub thickness: Vec<Item<ThicknessMeasured>>,
    /// Readings of instruments, in order.
    pub instruments: Vec<Item<InstrumentsRead>>,
    /// Lists of belongings, in order.
    pub belongings: Vec<Item<BelongingsListed>>,
    /// Changes of hands, in order.
    pub custody: Vec<Item<CustodyPassed>>,
    /// Permissions, in order.
    pub permissions: Vec<Item<PermissionsRecorded>>,
    /// What the owner said, in order; the last one is where it stands.
    pub owner_answers: Vec<Item<OwnerAnswered>>,
    /// Notes, in order.
    pub notes: Vec<Item<NoteWritten>>,
    /// What happened during the work, in order.
    pub incidents: Vec<Item<IncidentRecorded>>,
    /// Disputes, in order.
    pub disputes: Vec<Item<DisputeOpened>>,
    /// Ends of disputes, in order.
    pub disputes_ended: Vec<Item<DisputeEnded>>,
    /// Entries saying that the job was a mistake.
    pub voids: Vec<Item<JobVoided>>,
    /// Moves to other jobs, with what was taken.
    pub moved: Vec<(Item<EntryMoved>, Vec<Taken>)>,
    /// Erasures from this job, in order.
    pub erasures: Vec<Item<ErasureRecorded>>,
    /// Looks under a light, in order.
    pub looks: Vec<Item<LookMade>>,
    /// Missed spots, in order.
    pub spots: Vec<Item<SpotFound>>,
    /// What was done about them, in order.
    pub spots_treated: Vec<Item<SpotTreated>>,
    /// Second looks at them, in order.
    pub spots_checked: Vec<Item<SpotChecked>>,
    /// What was done to the surfaces, and why.
    pub treated: Treated,
    /// The work: sheets, lots, conditions, layers.
    pub work: Work,
    /// Slips, with who took them back and when.
    pub slips: Vec<(Taken, Stamp)>,
    /// Closings in order.
    pub closings: Vec<Closing>,
    /// Co-signatures in order, as they stand in the log: nobody has looked here whether they hold.
    pub cosigned: Vec<Item<EntryCosigned>>,
    /// Events of a newer version.
    pub unknown: Vec<Unknown>,
    /// Every entry by its id, slips and moved ones included.
    pub made: BTreeMap<Uuid, Made>,
    /// Every number that was given to a mark here, with the log that gave it; none is given twice.
    pub labels: Vec<(String, String)>,
    /// What was said of phones; not folded from the job's own events, but given beside them by whoever keeps the logs.
    pub devices: Vec<DeviceSaid>,
    /// Latest time of saving among the events.
    last_at: i64,
    /// Every event taken in.
    keys: BTreeSet<Key>,
}

/// Folds a job's events, in whatever order they come and however often.
pub fn fold(job: Uuid, mut entries: Vec<Entry>) -> Job {
    entries.sort_by_cached_key(Entry::key);
    let mut state = Job::empty(job);
    for entry in entries {
        state.follow(entry);
    }
    state
}

impl Job {
    /// A job of which nothing is known.
    pub fn empty(id: Uuid) -> Self {
        Self {
            id,
            openings: Vec::new(),
            corrections: Vec::new(),
            walks: Vec::new(),
            answers: Vec::new(),
            marks: Vec::new(),
            orphans: BTreeMap::new(),
            photos: Vec::new(),
            feels: Vec::new(),
            seen_again: Vec::new(),
            generals: Vec::new(),
            gauge_checks: Vec::new(),
            thickness: Vec::new(),
            instruments: Vec::new(),
            belongings: Vec::new(),
            custody: Vec::new(),
            permissions: Vec::new(),
            owner_answers: Vec::new(),
            notes: Vec::new(),
            incidents: Vec::new(),
            disputes: Vec::new(),
            disputes_ended: Vec::new(),
            voids: Vec::new(),
            moved: Vec::new(),
            erasures: Vec::new(),
            looks: Vec::new(),
            spots: Vec::new(),
            spots_treated: Vec::new(),
            spots_checked: Vec::new(),
            treated: Treated::default(),
            work: Work::default(),
            slips: Vec::new(),
            closings: Vec::new(),
            cosigned: Vec::new(),
            unknown: Vec::new(),
            made: BTreeMap::new(),
            labels: Vec::new(),
            devices: Vec::new(),
            last_at: i64::MIN,
            clock_sets: Vec::new(),
            runnings: BTreeMap::new(),
            keys: BTreeSet::new(),
        }
    }

    /// Takes in an event that comes after all taken in so far; says false, and changes nothing, when it does not (the
    /// caller then folds anew).
    pub fn follow(&mut self, entry: Entry) -> bool {
        let key = entry.key();
        if let Some(last) = self.keys.last() {
            if *last == key {
                return true;
            }
            if *last > key {
                return false;
            }
        }
        self.keys.insert(key.clone());
        self.apply(key, entry);
        true
    }

    fn apply(&mut self, key: Key, entry: Entry) {
        let body = Body::read(&entry.envelope.kind, entry.envelope.v, &entry.envelope.body);
        let note = entry.text("note");
        let reason = entry.text("reason");
        let recorder = Text::of(entry.recorder.as_ref());
        let typed = entry.blobs;
        let Envelope { at, off_min, zone, observed, input, geom, blobs, kind, v, boot, mono, .. } =
            entry.envelope;
        let input = input.unwrap_or_default();
        // What was moved here keeps its id.
        let id = match &body {
            Body::MarkRecorded(body) => body.moved_from.as_ref(),
            Body::PhotoAttached(body) => body.moved_from.as_ref(),
            _ => None,
        }
        .map_or(input, |from| from.entry);
        self.last_at = self.last_at.max(at);
        let began = at.saturating_sub_unsigned(mono);
        let before = self.runnings.insert(key.1.clone(), (boot.clone(), began));
        self.made.entry(id).or_insert(Made {
            kind: kind.clone(),
            log: key.1.clone(),
            boot: boot.clone(),
            mono,
        });
        let stamp = Stamp { key, at, off_min, zone, observed, geom, input, recorder };
        // A clock that nobody sets moves with the running.
        if let Some(by_ms) = before.filter(|(of, _)| *of == boot).map(|(_, was)| began.saturating_sub(was))
            && by_ms.unsigned_abs() >= CORRECTED_MS
        {
            self.clock_sets.push(ClockSet { stamp: stamp.clone(), by_ms });
        }
        macro_rules! item {
            ($body:expr) => {
                Item { id, stamp, body: $body, typed }
            };
        }
        match body {
            Body::JobOpened(body) => {
                self.openings.push(opening(stamp, body, typed.get("vehicle"), None, reason));
            }
            Body::VehicleCorrected(body) => {
                let corrects = Some(body.corrects);
                self.corrections.push(opening(stamp, body.becomes, typed.get("vehicle"), corrects, reason));
            }
            Body::WalkBegun(body) => self.walks.push(Walk { id, stage: body.stage, stamp }),
            Body::OutcomeRecorded(body) => self.answers.push(Answer {
                stamp,
                walk: body.walk,
                panel: body.panel,
                outcome: body.outcome,
                why: body.why,
                distance: body.distance,
                light: body.light,
                surface: body.surface,
                spent_ms: body.spent_ms,
                fast: body.fast,
                note,
            }),
            Body::MarkRecorded(body) => {
                self.labels.push((stamp.log().to_owned(), body.label.clone()));
                let first = Version {
                    input: id,
                    stamp,
                    description: body.mark,
                    note,
                    reason: Text::None,
                    corrects: None,
                };
                // Two phones may have moved it here without knowing of each other: it is one mark, under its first number.
                if let Some(mark) = self.marks.iter_mut().find(|mark| mark.id == id) {
                    return mark.versions.push(first);
                }
                let mut versions = vec![first];
                versions.extend(self.orphans.remove(&id).unwrap_or_default());
                self.marks.push(Mark {
                    id,
                    label: body.label,
                    walk: body.walk,
                    versions,
                    earlier: body.earlier,
                    shown_by: body.shown_by,
                    moved_from: body.moved_from,
                });
            }
            Body::MarkCorrected(body) => {
                let version = Version {
                    input: id,
                    stamp,
                    description: body.becomes,
                    note,
                    reason,
                    corrects: Some(body.corrects),
                };
                match self.marks.iter_mut().find(|mark| mark.id == body.mark) {
                    Some(mark) => mark.versions.push(version),
                    None => self.orphans.entry(body.mark).or_default().push(version),
                }
            }
            Body::PhotoAttached(_) if self.photos.iter().any(|photo| photo.id == id) => {}
            Body::PhotoAttached(attached) => {
                let original = blobs.iter().find(|blob| blob.role == "original");
                let state = typed.get("original").map_or(BlobState::Lost, |(state, _)| *state);
                self.photos.push(Photo {
                    id,
                    stamp,
                    attached,
                    sha256: original.map(|blob| blob.sha256.clone()).unwrap_or_default(),
                    len: original.map(|blob| blob.len).unwrap_or_default(),
                    media: original.map(|blob| blob.media.clone()).unwrap_or_default(),
                    state,
                    note,
                });
            }
            Body::FeelTested(body) => self.feels.push(Feel {
                stamp,
                walk: body.walk,
                panel: body.panel,
                at: body.at,
                method: body.method,
                level: body.level,
                reacted: body.reacted,
                on: body.on,
                note,
            }),
            Body::MarkSeenAgain(body) => self.seen_again.push(item!(body)),
            Body::GeneralRecorded(body) => self.generals.push(item!(body)),
            Body::GaugeChecked(body) => self.gauge_checks.push(item!(body)),
            Body::ThicknessMeasured(body) => self.thickness.push(item!(body)),
            Body::InstrumentsRead(body) => self.instruments.push(item!(body)),
            Body::BelongingsListed(body) => self.belongings.push(item!(body)),
            Body::CustodyPassed(body) => self.custody.push(item!(body)),
            Body::PermissionsRecorded(body) => self.permissions.push(item!(body)),
            Body::OwnerAnswered(body) => self.owner_answers.push(item!(body)),
            Body::NoteWritten(body) => self.notes.push(item!(body)),
            Body::IncidentRecorded(body) => self.incidents.push(item!(body)),
            Body::DisputeOpened(body) => self.disputes.push(item!(body)),
            Body::DisputeEnded(body) => self.disputes_ended.push(item!(body)),
            Body::JobVoided(body) => self.voids.push(item!(body)),
            Body::ErasureRecorded(body) => self.erasures.push(item!(body)),
            Body::LookMade(body) => self.looks.push(item!(body)),
            Body::SpotFound(body) => self.spots.push(item!(body)),
            Body::SpotTreated(body) => self.spots_treated.push(item!(body)),
            Body::SpotChecked(body) => self.spots_checked.push(item!(body)),
            Body::SheetRecorded(body) => self.work.sheets.push(item!(body)),
            Body::LotOpened(body) => self.work.lots.push(item!(body)),
            Body::ConditionsRead(body) => self.work.conditions.push(item!(body)),
            Body::WorkContinued(body) => self.work.continued.push(item!(body)),
            Body::LayerBegun(body) => self.work.layers.push(item!(body)),
            Body::LayerLevelled(body) => self.work.levelled.push(item!(body)),
            Body::UseRecorded(body) => self.work.uses.push(item!(body)),
            Body::StayRecorded(body) => self.work.stays.push(item!(body)),
            Body::ScheduleMade(body) => self.work.schedules.push(item!(body)),
            Body::EntryMoved(body) => {
                for mark in self.marks.iter_mut().filter(|mark| mark.id == body.entry) {
                    let stays = |it: &Version| it.corrects.is_some() && !body.with.contains(&it.input);
                    let (stay, go) = std::mem::take(&mut mark.versions).into_iter().partition(stays);
                    mark.versions = go;
                    if !Vec::is_empty(&stay) {
                        self.orphans.entry(mark.id).or_default().extend(stay);
                    }
                }
                let taken = self.take(body.entry, |photo| body.with.contains(&photo));
                self.moved.push((item!(body), taken));
            }
            Body::EntryUndone(body) => {
                let taken = self.take(body.entry, |_| true);
                self.slips.extend(taken.into_iter().map(|taken| (taken, stamp.clone())));
            }
            Body::EntryCosigned(body) => self.cosigned.push(item!(body)),
            Body::JobClosed(closed) => self.closings.push(Closing { stamp, closed, note }),
            body @ (Body::SurfaceRecorded(_)
            | Body::WorkAgreed(_)
            | Body::OverrideAgreed(_)
            | Body::StepDone(_)
            | Body::SquareTried(_)
            | Body::SquareJudged(_)
            | Body::ClothTaken(_)
            | Body::ClothPutOut(_)) => self.treated.push(item!(body)),
            Body::ShopDescribed(_)
            | Body::LogSeen(_)
            | Body::DeviceAdded(_)
            | Body::DeviceRetired(_)
            | Body::DeviceLost(_)
            | Body::RecorderSwitched(_)
            | Body::BusinessDescribed(_)
            | Body::TimeAsked(_)
            | Body::HeadStamped(_)
            | Body::Unknown { .. } => self.unknown.push(Unknown { stamp, kind, v }),
        }
    }

    /// Takes an entry out of its place, a mark with those of its photos that go along; what one input put in several
    /// places is one slip.
    fn take(&mut self, entry: Uuid, along: impl Fn(Uuid) -> bool) -> Vec<Taken> {
        let mut taken = Vec::new();
        let made = &self.made;
        let kind = |id: Uuid| made.get(&id).map_or_else(String::new, |made| made.kind.clone());
        let mut take = |id: Uuid, label: Option<&str>, stamp: &Stamp, wanted: bool| {
            if wanted {
                taken.push(Taken { kind: kind(id), label: label.map(str::to_owned), stamp: stamp.clone() });
            }
            !wanted
        };
        self.marks.retain(|mark| {
            mark.first().is_none_or(|first| take(mark.id, Some(&mark.label), &first.stamp, mark.id == entry))
        });
        for mark in &mut self.marks {
            mark.versions
                .retain(|it| take(it.input, None, &it.stamp, it.corrects.is_some() && it.input == entry));
        }
        self.photos.retain(|it| {
            let goes = it.id == entry || it.attached.mark == Some(entry) && along(it.id);
            take(it.id, None, &it.stamp, goes)
        });
        self.corrections.retain(|it| take(it.stamp.input, None, &it.stamp, it.stamp.input == entry));
        self.answers.retain(|it| take(it.stamp.input, None, &it.stamp, it.stamp.input == entry));
        self.feels.retain(|it| take(it.stamp.input, None, &it.stamp, it.stamp.input == entry));
        macro_rules! items {
            ($($list:ident)*) => { $(self.$list.retain(|it| take(it.id, None, &it.stamp, it.id == entry));)* };
        }
        items!(seen_again generals gauge_checks thickness instruments belongings custody permissions owner_answers);
        items!(notes incidents disputes disputes_ended looks spots spots_treated spots_checked);
        self.treated.retain(|id, stamp| take(id, None, stamp, id == entry));
        self.work.take(entry, &mut take);
        taken
    }

    /// Names of the logs with events on this job.
    pub fn logs(&self) -> BTreeSet<&str> {
        self.runnings.keys().map(String::as_str).collect()
    }

    /// Latest time of saving among the events, UTC milliseconds.
    pub fn last_at(&self) -> i64 {
        self.last_at
    }

    /// Number of events.
    pub fn len(&self) -> usize {
        self.keys.len()
    }

    /// True when nothing is on record.
    pub fn is_empty(&self) -> bool {
        self.keys.is_empty()
    }

    /// The opening that counts.
    pub fn opening(&self) -> Option<&Opening> {
        self.openings.first()
    }

    /// The vehicle and scope as they read now: the latest correction, or the opening.
    pub fn vehicle(&self) -> Option<&Opening> {
        let opening = self.openings.first()?;
        Some(self.corrections.last().unwrap_or(opening))
    }

    /// A dispute that is open: while there is one, nothing of the job is erased.
    pub fn held(&self) -> Option<&Item<DisputeOpened>> {
        let ended = |id| self.disputes_ended.iter().any(|end| end.body.dispute == id);
        self.disputes.iter().find(|dispute| !ended(dispute.id))
    }

    /// When the visit was over: its first end, or its opening when it was never ended; UTC milliseconds.
    pub fn over_at(&self) -> Option<i64> {
        let ended = self.closings.first().map(|closing| closing.stamp.at);
        ended.or_else(|| self.opening().map(|opening| opening.stamp.at))
    }

    /// The closing after which the same phone made this entry, if there is one.
    pub fn closed_before(&self, stamp: &Stamp) -> Option<&Closing> {
        self.closings
            .iter()
            .find(|closing| closing.stamp.log() == stamp.log() && closing.stamp.key.2 < stamp.key.2)
    }

    /// The co-signatures by which a closing's own phone vouches for it once more.
    pub fn cosignatures(&self, closing: &Closing) -> Vec<&Item<EntryCosigned>> {
        let (_, log, seq, leaf) = &closing.stamp.key;
        let leaf: String = leaf.iter().map(|byte| format!("{byte:02x}")).collect();
        let names = |it: &&Item<EntryCosigned>| {
            let body = &it.body;
            let closes = body.entry == Cosigned::Closing && body.seq == *seq && body.leaf == leaf;
            closes && body.log == *log && it.stamp.log() == log
        };
        self.cosigned.iter().filter(names).collect()
    }

    /// A walk by its id.
    pub fn walk(&self, id: Uuid) -> Option<&Walk> {
        self.walks.iter().find(|walk| walk.id == id)
    }

    /// A mark by its id.
    pub fn mark(&self, id: Uuid) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.id == id)
    }

    /// The closing of another phone that did not know of this entry, if there is one.
    pub fn unknown_to_a_closing(&self, stamp: &Stamp) -> Option<&Closing> {
        self.closings.iter().find(|closing| {
            closing.stamp.log() != stamp.log()
                && !closing.closed.seen.iter().any(|head| head.log == stamp.log() && stamp.key.2 < head.size)
        })
    }

    /// Places where two different events stand under one number of one log: a fork.
    pub fn forked(&self) -> Vec<(String, u64)> {
        let mut at: BTreeMap<(&str, u64), usize> = BTreeMap::new();
        for key in &self.keys {
            *at.entry((&key.1, key.2)).or_default() += 1;
        }
        at.into_iter().filter(|(_, count)| *count > 1).map(|((log, seq), _)| (log.to_owned(), seq)).collect()
    }
}

fn opening(
    stamp: Stamp,
    body: JobOpened,
    vehicle: Option<&(BlobState, Option<Value>)>,
    corrects: Option<Uuid>,
    reason: Text,
) -> Opening {
    let (vehicle_state, value) = vehicle.cloned().unwrap_or((BlobState::Here, None));
    Opening {
        stamp,
        form: body.form,
        finish: body.finish,
        scope: body.scope,
        steering: body.steering,
        film: body.film,
        vehicle: value.and_then(|value| serde_json::from_value(value).ok()).unwrap_or_default(),
        vehicle_state,
        corrects,
        reason,
    }
}
