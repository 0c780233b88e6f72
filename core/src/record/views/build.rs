//! From the folded job to what is shown of it. Pure.

use super::{
    AnswerView, FeelView, JobView, MarkView, PanelView, PhotoView, Speech, VehicleView, VersionView,
    WalkView, maybe_same,
};
use super::{devices, thickness, treat, visit};
use crate::error::Error;
use crate::record::events::{is_demo, short_log};
use crate::record::fold::{Answer, Job, Mark, Opening, Photo, Version, Walk};
use crate::record::inputs::Description;
use crate::record::times;
use crate::record::vin::{self, VinDoubt};
use crate::record::words::{BlobState, Catch, Form, Holds, MarkKind, Outcome, Shows};
use crate::vehicle;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// Everything on record about a job, to show.
pub fn job_view(job: &Job, speech: Speech) -> Result<JobView, Error> {
    let Some(opening) = job.opening() else {
        return Err(Error::NotFound { what: format!("job {}", job.id) });
    };
    let labels = labels(job);
    let now = job.vehicle().unwrap_or(opening);
    let vehicle = VehicleView {
        plate: now.vehicle.plate.clone(),
        vin: now.vehicle.vin.clone(),
        vin_doubts: now.vehicle.vin.iter().flat_map(|vin| vin::doubts(vin)).map(VinDoubt::text).collect(),
        colour: now.vehicle.colour.clone(),
        stock: now.vehicle.stock.clone(),
        missing: (now.vehicle_state != BlobState::Here)
            .then(|| format!("plate, VIN and colour: {}", speech.gone(now.vehicle_state))),
        steering_text: now.steering.map(|side| speech.word("steering", side.word())),
        film: now.film.iter().map(|panel| speech.panel(panel)).collect(),
        history: visit::vehicle_history(job, speech),
        form: now.form.word().to_owned(),
        form_text: speech.word("form", now.form.word()),
        finish_text: speech.word("finish", now.finish.word()),
        scope: now.scope.iter().map(|part| speech.word("scope", part.word())).collect(),
    };
    let owner_answers = visit::owner_answers(job, &labels, speech);
    let visit = visit::entries(job, &labels, speech);
    // Every photo is shown: with its mark, with its entry of the visit, or else by itself.
    let beside: BTreeSet<&str> =
        visit.iter().flat_map(|entry| &entry.photos).map(|photo| photo.id.as_str()).collect();
    let photos = job
        .photos
        .iter()
        .filter(|photo| photo.attached.mark.is_none_or(|mark| job.mark(mark).is_none()))
        .filter(|photo| !beside.contains(photo.id.to_string().as_str()))
        .map(|photo| photo_view(job, photo, &labels, speech))
        .collect();
    Ok(JobView {
        job: job.id.to_string(),
        demo: job.logs().iter().any(|log| is_demo(log)),
        vehicle,
        opened: speech.stamp(job, &opening.stamp),
        walks: job.walks.iter().map(|walk| walk_view(job, walk, now, &labels, speech)).collect(),
        marks: job.marks.iter().filter_map(|mark| mark_view(job, mark, now.form, &labels, speech)).collect(),
        photos,
        feels: job
            .feels
            .iter()
            .map(|feel| FeelView {
                panel: feel.panel.clone(),
                panel_name: speech.panel(&feel.panel),
                text: format!(
                    "{}, felt with {}",
                    speech.word("feel-level", feel.level.word()),
                    speech.word("feel-method", feel.method.word())
                ),
                reacted: feel.reacted.iter().map(|met| speech.word("reaction", met.word())).collect(),
                stage_text: speech.stage(job, feel.walk),
                note: speech.typed(&feel.note),
                stamp: speech.stamp(job, &feel.stamp),
            })
            .collect(),
        thickness: thickness::measured(job, speech),
        mates: thickness::mates(job, speech),
        removal: thickness::removal(job, speech),
        visit,
        owner_text: visit::owner_text(&owner_answers),
        owner_answers,
        look_again: job.look_again().into_iter().map(str::to_owned).collect(),
        maybe_same: maybe_same(job, &labels),
        closings: job.closings.iter().map(|closing| speech.stamp(job, &closing.stamp)).collect(),
        unknown: job
            .unknown
            .iter()
            .map(|entry| {
                let stamp = speech.stamp(job, &entry.stamp);
                format!(
                    "an entry of the kind \"{}\" (version {}), {}, phone {}",
                    entry.kind, entry.v, stamp.at, stamp.phone
                )
            })
            .collect(),
        flags: [flags(job), treat::flags(job, speech)].concat(),
        phones: job.logs().iter().map(|log| short_log(log).to_owned()).collect(),
        devices: devices::of_job(job, speech),
    })
}

fn flags(job: &Job) -> Vec<String> {
    let mut flags = Vec::new();
    for (log, seq) in job.forked() {
        flags.push(format!(
            "phone {} has two different entries under number {seq}: its log was forked, and both are shown",
            short_log(&log)
        ));
    }
    for opening in job.openings.iter().skip(1) {
        flags.push(format!("phone {} opened this job a second time", short_log(opening.stamp.log())));
    }
    if let Some(void) = job.voids.first() {
        flags.push(format!("phone {} says that this job was opened by mistake", short_log(void.stamp.log())));
    }
    for set in &job.clock_sets {
        let (at, way) = (&set.stamp, if set.by_ms > 0 { "forward" } else { "back" });
        flags.push(format!(
            "the clock of phone {} was set {way} by {} before {}: times stand as the phone had them",
            short_log(at.log()),
            times::lasted(set.by_ms.saturating_abs()),
            times::spoken(at.at, at.off_min, &at.zone)
        ));
    }
    if job.held().is_some() {
        flags.push("a dispute is open: nothing of this job is erased until it is ended".to_owned());
    }
    match job.spots.iter().filter(|spot| job.spot_is_open(spot)).count() {
        0 => {}
        1 => {
            flags.push("1 missed spot is open: it was not yet seen clear under two kinds of light".to_owned())
        }
        n => flags.push(format!("{n} missed spots are open: not yet seen clear under two kinds of light")),
    }
    for (mark, versions) in &job.orphans {
        flags.push(format!("{} correction(s) of a mark that is not on record here ({mark})", versions.len()));
    }
    flags
}

/// Numbers of marks for people. Where two phones took the same letter without knowing of each other, the phone stands
/// behind the number.
pub(super) fn labels(job: &Job) -> BTreeMap<Uuid, String> {
    let mut taken: BTreeMap<&str, usize> = BTreeMap::new();
    for mark in &job.marks {
        *taken.entry(&mark.label).or_default() += 1;
    }
    job.marks
        .iter()
        .map(|mark| {
            let twice = taken.get(mark.label.as_str()).is_some_and(|count| *count > 1);
            let phone = mark.first().map_or("?", |first| short_log(first.stamp.log()));
            (mark.id, if twice { format!("{} ({phone})", mark.label) } else { mark.label.clone() })
        })
        .collect()
}

pub(super) fn walk_view(
    job: &Job,
    walk: &Walk,
    vehicle: &Opening,
    labels: &BTreeMap<Uuid, String>,
    speech: Speech,
) -> WalkView {
    let mut names: Vec<String> =
        vehicle::asked_for(vehicle.form, &vehicle.scope).into_iter().map(str::to_owned).collect();
    let answers: Vec<&Answer> = job.answers.iter().filter(|answer| answer.walk == walk.id).collect();
    let marks: Vec<(&Mark, &Version)> = job
        .marks
        .iter()
        .filter(|mark| mark.walk == walk.id)
        .filter_map(|mark| Some((mark, mark.current()?)))
        .collect();
    let recorded =
        answers.iter().map(|answer| &answer.panel).chain(marks.iter().map(|(_, now)| &now.description.panel));
    for panel in recorded {
        if !names.contains(panel) {
            names.push(panel.clone());
        }
    }
    let panels = names
        .into_iter()
        .map(|panel| {
            let answers: Vec<AnswerView> = answers
                .iter()
                .filter(|answer| answer.panel == panel)
                .map(|answer| answer_view(job, answer, speech))
                .collect();
            let marks: Vec<String> = marks
                .iter()
                .filter(|(_, now)| now.description.panel == panel)
                .filter_map(|(mark, _)| labels.get(&mark.id).cloned())
                .collect();
            let (outcome, text) = match (marks.is_empty(), answers.last()) {
                (false, _) => (Outcome::Marks, speech.word("outcome", Outcome::Marks.word())),
                (true, Some(answer)) => (answer.outcome, answer.text.clone()),
                (true, None) => (Outcome::NotLooked, speech.word("outcome", Outcome::NotLooked.word())),
            };
            PanelView { name: speech.panel(&panel), panel, outcome, text, answers, marks }
        })
        .collect();
    WalkView {
        id: walk.id.to_string(),
        stage: walk.stage,
        stage_text: speech.word("stage", walk.stage.word()),
        panels,
        stamp: speech.stamp(job, &walk.stamp),
    }
}

fn answer_view(job: &Job, answer: &Answer, speech: Speech) -> AnswerView {
    let mut text = speech.word("outcome", answer.outcome.word());
    if let Some(why) = answer.why {
        text = format!("{text}: {}", speech.word("why", why.word()));
    }
    let parts = [
        answer.distance.map(|word| speech.word("distance", word.word())),
        answer.light.map(|word| speech.word("light", word.word())),
        answer.surface.map(|word| format!("surface {}", speech.word("surface", word.word()))),
        answer.spent_ms.map(|ms| format!("for {} s", ms.div_ceil(1000))),
        answer.fast.then(|| "answered within 3 s of the one before".to_owned()),
    ];
    let how: Vec<String> = parts.into_iter().flatten().collect();
    let how = match (answer.outcome, how.is_empty()) {
        (Outcome::NotLooked, _) => String::new(),
        (_, true) => "how it was looked at was not recorded".to_owned(),
        (_, false) => how.join(", "),
    };
    AnswerView {
        outcome: answer.outcome,
        text,
        how,
        note: speech.typed(&answer.note),
        stamp: speech.stamp(job, &answer.stamp),
    }
}

fn details(version: &Version, speech: Speech) -> Vec<String> {
    let mark = &version.description;
    [
        mark.catch.map(|word| speech.word("catch", word.word())),
        // "Primer, rust" alone would leave open which shows and which only lies in the mark.
        mark.shows.map(|word| format!("{} shows", speech.word("shows", word.word()))),
        mark.holds.map(|word| match word {
            Holds::Clean => speech.word("holds", word.word()),
            _ => format!("{} in it", speech.word("holds", word.word())),
        }),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Where a mark is on a typical body of the form, and which way a stroke runs.
fn place(mark: &Description, form: Form, speech: Speech) -> Option<String> {
    let body = vehicle::geometry(form);
    let from = (mark.from.u_ppm, mark.from.v_ppm);
    let height = body
        .height_mm(&mark.panel, from.0, from.1)
        .map(|mm| format!("about {} cm above the ground", (mm + 5) / 10));
    let runs = mark
        .to
        .and_then(|to| body.stroke_runs(&mark.panel, from, (to.u_ppm, to.v_ppm)))
        .map(|runs| format!("runs {}", speech.word("runs", runs.word())));
    let parts: Vec<String> = [height, runs].into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// How much a mark matters beside others when only a few can be named: what cannot be polished out first (it shows
/// what lies under the clear coat, or it is broken, cracked or missing), then a catch, then size. Ours, no source.
fn weight(mark: &Description) -> u32 {
    let kind = match mark.kind {
        MarkKind::GlassCrack
        | MarkKind::WheelCrack
        | MarkKind::WheelBuckle
        | MarkKind::TyreCut
        | MarkKind::TyreBulge
        | MarkKind::TyreNail
        | MarkKind::PartBroken
        | MarkKind::PartMissing
        | MarkKind::BurnThrough
        | MarkKind::KeyedLine => 600,
        MarkKind::ClearFailure | MarkKind::Crease | MarkKind::Rust | MarkKind::GlassChip | MarkKind::Tear => {
            400
        }
        MarkKind::Dent | MarkKind::KerbRash | MarkKind::PaintTransfer | MarkKind::FilmDamage => 200,
        _ => 0,
    };
    let shows = match mark.shows {
        Some(Shows::Metal | Shows::Rust) => 500,
        Some(Shows::Primer | Shows::Plastic) => 400,
        Some(Shows::Colour) => 300,
        Some(Shows::Clear) | None => 0,
    };
    let catch = match mark.catch {
        Some(Catch::Firm) => 300,
        Some(Catch::Slight) => 100,
        Some(Catch::None) | None => 0,
    };
    kind + shows + catch + (mark.length_um.unwrap_or(0) / 1_000).min(99)
}

fn version_text(version: &Version, speech: Speech) -> String {
    let mark = &version.description;
    let mut parts = vec![speech.word("kind", mark.kind.word()), speech.panel(&mark.panel)];
    parts.extend(speech.size(mark.length_um, mark.width_um, mark.measured));
    parts.extend(details(version, speech));
    parts.extend(speech.typed(&version.note));
    parts.join(", ")
}

fn mark_view(
    job: &Job,
    mark: &Mark,
    form: Form,
    labels: &BTreeMap<Uuid, String>,
    speech: Speech,
) -> Option<MarkView> {
    let (first, now) = (mark.first()?, mark.current()?);
    let what = &now.description;
    let to = what.to.unwrap_or(what.from);
    let stage = mark.walk_stage(job);
    Some(MarkView {
        id: mark.id.to_string(),
        label: labels.get(&mark.id).cloned().unwrap_or_else(|| mark.label.clone()),
        panel: what.panel.clone(),
        panel_name: speech.panel(&what.panel),
        u_ppm: what.from.u_ppm,
        v_ppm: what.from.v_ppm,
        to_u_ppm: to.u_ppm,
        to_v_ppm: to.v_ppm,
        kind_text: speech.word("kind", what.kind.word()),
        size: speech.size(what.length_um, what.width_um, what.measured),
        place: place(what, form, speech),
        details: details(now, speech),
        weight: weight(what),
        note: speech.typed(&now.note),
        walk: mark.walk.to_string(),
        stage,
        found: speech.found(stage),
        also: visit::also(job, mark, speech),
        photos: job
            .photos
            .iter()
            .filter(|photo| photo.attached.mark == Some(mark.id))
            .map(|photo| photo_view(job, photo, labels, speech))
            .collect(),
        history: mark
            .versions
            .iter()
            .map(|version| VersionView {
                text: version_text(version, speech),
                reason: speech.typed(&version.reason),
                stamp: speech.stamp(job, &version.stamp),
            })
            .collect(),
        contested: !mark.rivals().is_empty(),
        stamp: speech.stamp(job, &first.stamp),
    })
}

pub(super) fn photo_view(
    job: &Job,
    photo: &Photo,
    labels: &BTreeMap<Uuid, String>,
    speech: Speech,
) -> PhotoView {
    let attached = &photo.attached;
    let of = match (attached.mark.or(attached.entry), &attached.panel) {
        (Some(entry), _) => visit::of(job, entry, labels),
        (None, Some(panel)) => speech.panel(panel),
        (None, None) => "whole vehicle".to_owned(),
    };
    PhotoView {
        id: photo.id.to_string(),
        sha256: photo.sha256.clone(),
        bytes: photo.len,
        view: photo.view(),
        view_text: speech.word("view", photo.view().word()),
        of,
        state: photo.state,
        missing: (photo.state != BlobState::Here).then(|| format!("photo: {}", speech.gone(photo.state))),
        taken: attached.taken.clone(),
        note: speech.typed(&photo.note),
        stamp: speech.stamp(job, &photo.stamp),
    }
}
