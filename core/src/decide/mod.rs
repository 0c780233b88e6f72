//! What may be recorded. Pure: the state of the job, an input and what the phone knows give drafts of events, or a
//! refusal that names the field and the reason. One file per verb.
//!
//! A refusal is for what cannot be understood or placed. What is merely unusual is recorded.

mod about_log;
mod agree_work;
mod attach_photo;
mod begin_layer;
mod begin_walk;
mod check_gauge;
mod check_spot;
mod close_job;
mod continue_work;
mod correct_mark;
mod correct_vehicle;
mod cosign_entry;
mod device;
mod end_dispute;
mod find_spot;
mod judge_square;
mod level_section;
mod list_belongings;
mod make_schedule;
mod measure_thickness;
mod move_entry;
mod open_dispute;
mod open_job;
mod open_lot;
mod pass_custody;
mod pass_side;
mod put_out;
mod read_conditions;
mod read_instruments;
mod record_feel;
mod record_general;
mod record_incident;
mod record_look;
mod record_mark;
mod record_outcome;
mod record_owner_answer;
mod record_permissions;
mod record_sheet;
mod record_stay;
mod record_step;
mod record_surface;
mod record_use;
mod see_again;
mod set_aside;
mod take_cloth;
mod time;
mod treat_spot;
mod try_square;
mod undo;
mod void_job;
mod write_note;

pub use about_log::{describe_business, describe_shop, record_erasure, switch_recorder};
pub use cosign_entry::cosign_entry;
pub use device::{add_device, lose_device, named_log, retire_device};
pub use take_cloth::speaks_against as speaks_against_cloth;
pub use time::{ask_time, take_token};
pub use undo::SLIP_MS;

use crate::care::past::Past;
use crate::error::Error;
use crate::log::bag::Counted;
use crate::log::canon;
use crate::log::seal::Draft;
use crate::photo::Facts;
use crate::record::events::{Body, Head, Observed, Shop};
use crate::record::fold::{Job, Opening};
use crate::record::inputs::{Act, AttachPhoto, Input, LevelSection, Spot};
use crate::record::times;
use crate::vehicle;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Display;
use std::ops::RangeInclusive;
use uuid::{Uuid, Variant};

/// What the phone knows when it decides.
#[derive(Debug, Clone)]
pub struct Known {
    /// Name of this phone's log.
    pub log: String,
    /// Heads of every log that is here, this phone's own included.
    pub heads: Vec<Head>,
    /// How many entries of the job each log holds, and their root; only for a closing.
    pub counted: Vec<Counted>,
    /// UTC milliseconds by the phone's clock.
    pub now_ms: i64,
    /// The photo of the input, read and kept already; only for a photo.
    pub photo: Option<Facts>,
    /// Id of the phone's running since it was last started.
    pub boot: String,
    /// Milliseconds since then.
    pub mono_ms: u64,
    /// How the shop works; only for what depends on it ([`needs_shop`]).
    pub shop: Shop,
    /// What earlier jobs of the vehicle say of its paint; only for what depends on it ([`needs_past`]).
    pub past: Past,
    /// Other jobs that the input names ([`other_jobs`]), as far as they are here.
    pub jobs: BTreeMap<Uuid, Job>,
}

impl Known {
    fn job(&self, field: &str, id: Uuid) -> Result<&Job, Error> {
        self.jobs
            .get(&id)
            .filter(|job| job.opening().is_some())
            .ok_or_else(|| Error::refused(field, format!("no job {id} is on record here")))
    }
}

/// The other jobs that an input is about.
pub fn other_jobs(act: &Act) -> Vec<Uuid> {
    match act {
        Act::SeeAgain(act) => act.job.into_iter().collect(),
        Act::RecordOwnerAnswer(act) => act.vehicles.iter().map(|vehicle| vehicle.job).collect(),
        Act::VoidJob(act) => act.instead.into_iter().collect(),
        Act::MoveEntry(act) => vec![act.to_job],
        _ => Vec::new(),
    }
}

/// Whether a decision depends on how the shop works.
pub fn needs_shop(act: &Act) -> bool {
    matches!(act, Act::SetAside(_) | Act::RecordStep(_) | Act::TrySquare(_) | Act::TakeCloth(_))
}

/// Whether a decision depends on what earlier jobs say of the paint.
pub fn needs_past(act: &Act) -> bool {
    matches!(act, Act::SetAside(_) | Act::RecordStep(_) | Act::TrySquare(_))
}

/// What may follow the end of a visit: what is said of it afterwards, and what was entered wrongly.
fn after_the_end(act: &Act) -> bool {
    matches!(
        act,
        Act::CorrectMark(_)
            | Act::CorrectVehicle(_)
            | Act::AttachPhoto(AttachPhoto { entry: Some(_), .. })
            // What was still open when the visit ended has to be wiped off all the same.
            | Act::LevelSection(LevelSection { then: None, .. })
            | Act::PassCustody(_)
            | Act::RecordOwnerAnswer(_)
            | Act::WriteNote(_)
            | Act::OpenDispute(_)
            | Act::EndDispute(_)
            | Act::VoidJob(_)
            | Act::MoveEntry(_)
            | Act::Undo(_)
    )
}

/// Longest note, characters.
const LONGEST_NOTE: usize = 4_000;

/// How far an entered time may lie ahead of the phone's clock, milliseconds: two minutes, for clocks that differ.
const AHEAD_MS: i64 = 120_000;

/// Turns an input into drafts of events, or refuses it. All of them are recorded, or none.
pub fn decide(job: &Job, input: &Input, known: &Known) -> Result<Vec<Draft>, Error> {
    for (field, id) in [("input", input.input), ("job", input.job)] {
        // RFC 9562: the version says what the bits mean only under this variant.
        if id.get_version_num() != 7 || id.get_variant() != Variant::RFC4122 {
            return Err(Error::refused(field, "not a UUID version 7"));
        }
    }
    let observed = observed(input, known)?;
    if !matches!(input.act, Act::OpenJob(_)) {
        if job.opening().is_none() {
            return Err(Error::refused("job", format!("no job {} is open here; open it first", input.job)));
        }
        if !job.closings.is_empty() && !after_the_end(&input.act) {
            return Err(Error::refused("job", "this job is closed; open a new one for a new visit"));
        }
        if !job.voids.is_empty() && !after_the_end(&input.act) {
            return Err(Error::refused("job", "this job was said to be a mistake; record in the right one"));
        }
    }
    let one = |draft: Result<Draft, Error>| draft.map(|draft| vec![draft]);
    let (name, drafts) = match &input.act {
        Act::OpenJob(act) => ("open_job", one(open_job::decide(job, act))),
        Act::BeginWalk(act) => ("begin_walk", one(begin_walk::decide(act))),
        Act::RecordOutcome(act) => {
            ("record_outcome", one(record_outcome::decide(job, act, known, observed.is_some())))
        }
        Act::PassSide(act) => ("pass_side", pass_side::decide(job, act, observed.is_some())),
        Act::RecordMark(act) => {
            ("record_mark", one(record_mark::decide(job, act, known, observed.is_some())))
        }
        Act::SeeAgain(act) => ("see_again", one(see_again::decide(job, act, known))),
        Act::CorrectMark(act) => ("correct_mark", one(correct_mark::decide(job, act))),
        Act::RecordGeneral(act) => {
            ("record_general", one(record_general::decide(job, act, observed.is_some())))
        }
        Act::AttachPhoto(act) => ("attach_photo", one(attach_photo::decide(job, act, known))),
        Act::RecordFeel(act) => ("record_feel", one(record_feel::decide(job, act))),
        Act::CheckGauge(act) => ("check_gauge", one(check_gauge::decide(act))),
        Act::MeasureThickness(act) => ("measure_thickness", one(measure_thickness::decide(job, act))),
        Act::CorrectVehicle(act) => ("correct_vehicle", one(correct_vehicle::decide(job, act))),
        Act::ReadInstruments(act) => ("read_instruments", one(read_instruments::decide(act))),
        Act::ListBelongings(act) => ("list_belongings", one(list_belongings::decide(act))),
        Act::PassCustody(act) => ("pass_custody", one(pass_custody::decide(act))),
        Act::RecordStay(act) => {
            let at_ms = observed.map_or(known.now_ms, |seen| seen.ms);
            ("record_stay", one(record_stay::decide(act, at_ms)))
        }
        Act::RecordPermissions(act) => ("record_permissions", one(record_permissions::decide(act))),
        Act::RecordOwnerAnswer(act) => ("record_owner_answer", record_owner_answer::decide(job, act, known)),
        Act::WriteNote(act) => ("write_note", one(write_note::decide(job, act))),
        Act::RecordIncident(act) => ("record_incident", one(record_incident::decide(job, act))),
        Act::OpenDispute(act) => ("open_dispute", one(open_dispute::decide(job, act))),
        Act::EndDispute(act) => ("end_dispute", one(end_dispute::decide(job, act))),
        Act::VoidJob(act) => ("void_job", one(void_job::decide(job, act, known))),
        Act::MoveEntry(act) => ("move_entry", move_entry::decide(job, act, known)),
        Act::Undo(act) => ("undo", one(undo::decide(job, act, known))),
        Act::RecordLook(act) => {
            let at_ms = observed.map_or(known.now_ms, |seen| seen.ms);
            ("record_look", one(record_look::decide(job, act, at_ms, observed.is_some())))
        }
        Act::FindSpot(act) => ("find_spot", one(find_spot::decide(job, act))),
        Act::TreatSpot(act) => ("treat_spot", one(treat_spot::decide(job, act))),
        Act::CheckSpot(act) => ("check_spot", one(check_spot::decide(job, act))),
        Act::RecordSurface(act) => ("record_surface", one(record_surface::decide(job, act))),
        Act::AgreeWork(act) => ("agree_work", one(agree_work::decide(job, act))),
        Act::SetAside(act) => ("set_aside", one(set_aside::decide(job, act, known))),
        Act::RecordStep(act) => ("record_step", one(record_step::decide(job, act, known))),
        Act::TrySquare(act) => ("try_square", one(try_square::decide(job, act, known))),
        Act::JudgeSquare(act) => ("judge_square", one(judge_square::decide(job, act))),
        Act::TakeCloth(act) => ("take_cloth", one(take_cloth::decide(job, act, known))),
        Act::PutOut(act) => ("put_out", one(put_out::decide(job, act))),
        Act::RecordSheet(act) => ("record_sheet", one(record_sheet::decide(job, act))),
        Act::OpenLot(act) => ("open_lot", one(open_lot::decide(job, act))),
        Act::ReadConditions(act) => ("read_conditions", one(read_conditions::decide(job, act))),
        Act::ContinueWork(act) => ("continue_work", one(continue_work::decide(job, act))),
        Act::BeginLayer(act) => ("begin_layer", one(begin_layer::decide(job, act, None))),
        Act::LevelSection(act) => ("level_section", level_section::decide(job, act)),
        Act::RecordUse(act) => ("record_use", one(record_use::decide(act))),
        Act::MakeSchedule(act) => {
            ("make_schedule", one(make_schedule::decide(job, act, known, observed.is_some())))
        }
        Act::CloseJob(act) => ("close_job", one(close_job::decide(job, act, known))),
    };
    let mut drafts = drafts.map_err(|why| match why {
        Error::Refused { field, reason } if field.is_empty() => Error::refused(format!("act.{name}"), reason),
        Error::Refused { field, reason } => Error::refused(format!("act.{name}.{field}"), reason),
        why => why,
    })?;
    for draft in &mut drafts {
        fits(name, draft)?;
        draft.job = draft.job.or(Some(input.job));
        draft.input = Some(input.input);
        draft.observed = observed;
    }
    Ok(drafts)
}

/// Room for what stands around a text or a body: salt, envelope, names of blobs.
const AROUND: usize = 4_096;

/// What is longer than an entry can hold is refused before it is sealed.
fn fits(act: &str, draft: &Draft) -> Result<(), Error> {
    let fits = |value: &Value| canon::bytes(value).is_ok_and(|bytes| bytes.len() + AROUND <= canon::LONGEST);
    if let Some((role, _)) = draft.typed.iter().find(|(_, value)| !fits(value)) {
        return Err(Error::refused(
            format!("act.{act}.{role}"),
            "more than one entry holds; record it in parts",
        ));
    }
    let body = draft.body.to_value().map_err(|_| Error::internal("decide.fits"))?;
    if !fits(&body) {
        return Err(Error::refused(format!("act.{act}"), "more than one entry holds; record it in parts"));
    }
    Ok(())
}

fn observed(input: &Input, known: &Known) -> Result<Option<Observed>, Error> {
    let Some(text) = &input.observed_at else { return Ok(None) };
    let (ms, off_min) = times::read_rfc3339(text)?;
    if ms < times::EARLIEST_MS {
        return Err(Error::refused("observed_at", "before the year 2000: check the date"));
    }
    if ms > known.now_ms + AHEAD_MS {
        return Err(Error::refused("observed_at", "in the future by this device's clock: check both"));
    }
    Ok(Some(Observed { ms, off_min }))
}

/// A draft with a body; job and input are filled in by [`decide`].
fn draft(body: Body) -> Draft {
    Draft::of(None, None, body)
}

/// Adds what was typed, if anything was, after a look at its length and characters.
fn typed(draft: &mut Draft, role: &'static str, field: &str, text: Option<&String>) -> Result<(), Error> {
    if let Some(text) = text {
        draft.typed.push((role, Value::String(checked(field, text, LONGEST_NOTE)?)));
    }
    Ok(())
}

/// A typed text, trimmed: 1 to `longest` characters, no control characters but line breaks and tabs.
fn checked(field: &str, text: &str, longest: usize) -> Result<String, Error> {
    let text = text.trim();
    let length = text.chars().count();
    if length == 0 {
        return Err(Error::refused(field, "empty; leave it out when there is nothing to say"));
    }
    if length > longest {
        return Err(Error::refused(field, format!("{length} characters; at most {longest} can be kept")));
    }
    if let Some(bad) = text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t')) {
        return Err(Error::refused(field, format!("holds the control character U+{:04X}", u32::from(bad))));
    }
    Ok(text.to_owned())
}

/// The walk that an input names, or the job's latest.
fn walk(job: &Job, given: Option<Uuid>) -> Result<Uuid, Error> {
    match given {
        Some(id) if job.walk(id).is_some() => Ok(id),
        Some(id) => Err(Error::refused("walk", format!("no walk-around {id} in this job"))),
        None => {
            job.walks.last().map(|walk| walk.id).ok_or_else(|| {
                Error::refused("walk", "no walk-around was begun in this job; begin one first")
            })
        }
    }
}

/// An entry of this job that still stands in its place, or once did.
fn entry(job: &Job, field: &str, id: Uuid) -> Result<(), Error> {
    if job.made.contains_key(&id) {
        return Ok(());
    }
    Err(Error::refused(field, format!("no entry {id} in this job")))
}

/// The walk that something is found in. Once a walk-around of another stage was begun, the one before is over: what is
/// found now is found now, unless it is said when it was seen.
fn open_walk(job: &Job, given: Option<Uuid>, entered_later: bool) -> Result<Uuid, Error> {
    let id = walk(job, given)?;
    let stage = job.walk(id).map(|walk| walk.stage);
    let next = job.walks.iter().skip_while(|walk| walk.id != id).find(|walk| Some(walk.stage) != stage);
    match next {
        Some(next) if !entered_later => Err(Error::refused(
            "walk",
            format!(
                "over: the walk-around {} was begun since; record it there, or say in observed_at when it was seen",
                next.stage.word()
            ),
        )),
        _ => Ok(id),
    }
}

fn vehicle_of(job: &Job) -> Result<&Opening, Error> {
    job.vehicle().ok_or_else(|| Error::internal("decide.vehicle"))
}

/// A number within what can be meant.
fn ranged<N: PartialOrd + Display + Copy>(
    field: &str,
    number: Option<N>,
    range: RangeInclusive<N>,
    unit: &str,
) -> Result<(), Error> {
    match number {
        Some(number) if !range.contains(&number) => {
            let (low, high) = (range.start(), range.end());
            Err(Error::refused(field, format!("{number}{unit}; {low} to {high} can be meant")))
        }
        _ => Ok(()),
    }
}

/// A place by its neutral name, on this job's body form.
fn panel(job: &Job, field: &str, name: &str) -> Result<String, Error> {
    let form = vehicle_of(job)?.form;
    if vehicle::has_place(form, name) {
        return Ok(name.to_owned());
    }
    let shown: String = name.chars().take(40).collect();
    Err(Error::refused(field, format!("a {} has no place called \"{shown}\"", form.word())))
}

fn spot(field: &str, spot: Spot) -> Result<(), Error> {
    for (axis, value) in [("u_ppm", spot.u_ppm), ("v_ppm", spot.v_ppm)] {
        if value > 1_000_000 {
            return Err(Error::refused(
                format!("{field}.{axis}"),
                format!("{value} lies off the panel; 0 to 1000000"),
            ));
        }
    }
    Ok(())
}
