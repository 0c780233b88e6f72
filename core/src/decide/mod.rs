//! What may be recorded. Pure: the state of the job, an input and what the phone knows give drafts of events, or a
//! refusal that names the field and the reason. One file per verb.
//!
//! A refusal is for what cannot be understood or placed. What is merely unusual is recorded.

mod attach_photo;
mod begin_walk;
mod close_job;
mod correct_mark;
mod open_job;
mod record_feel;
mod record_mark;
mod record_outcome;

use crate::error::Error;
use crate::log::seal::Draft;
use crate::photo::Facts;
use crate::record::events::{Body, Head, Observed};
use crate::record::fold::Job;
use crate::record::inputs::{Act, Input, Spot};
use crate::record::times;
use crate::record::words::Form;
use crate::vehicle;
use serde_json::Value;
use uuid::{Uuid, Variant};

/// What the phone knows when it decides.
#[derive(Debug, Clone)]
pub struct Known {
    /// Name of this phone's log.
    pub log: String,
    /// Heads of every log that is here, this phone's own included.
    pub heads: Vec<Head>,
    /// UTC milliseconds by the phone's clock.
    pub now_ms: i64,
    /// The photo of the input, read and kept already; only for a photo.
    pub photo: Option<Facts>,
}

/// Longest note, characters.
const LONGEST_NOTE: usize = 4_000;

/// How far an entered time may lie ahead of the phone's clock, milliseconds: two minutes, for clocks that differ.
const AHEAD_MS: i64 = 120_000;

/// Turns an input into drafts of events, or refuses it.
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
        if !job.closings.is_empty() {
            return Err(Error::refused("job", "this job is closed; open a new one for a new visit"));
        }
    }
    let (name, draft) = match &input.act {
        Act::OpenJob(act) => ("open_job", open_job::decide(job, act)),
        Act::BeginWalk(act) => ("begin_walk", begin_walk::decide(act)),
        Act::RecordOutcome(act) => ("record_outcome", record_outcome::decide(job, act)),
        Act::RecordMark(act) => ("record_mark", record_mark::decide(job, act, known)),
        Act::CorrectMark(act) => ("correct_mark", correct_mark::decide(job, act)),
        Act::AttachPhoto(act) => ("attach_photo", attach_photo::decide(job, act, known)),
        Act::RecordFeel(act) => ("record_feel", record_feel::decide(job, act)),
        Act::CloseJob(act) => ("close_job", close_job::decide(act, known)),
    };
    let mut draft = draft.map_err(|why| match why {
        Error::Refused { field, reason } => Error::refused(format!("act.{name}.{field}"), reason),
        why => why,
    })?;
    draft.job = Some(input.job);
    draft.input = Some(input.input);
    draft.observed = observed;
    Ok(vec![draft])
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

fn form(job: &Job) -> Result<Form, Error> {
    job.opening().map(|opening| opening.form).ok_or_else(|| Error::internal("decide.form"))
}

/// A place by its neutral name, on this job's body form.
fn panel(job: &Job, field: &str, name: &str) -> Result<String, Error> {
    let form = form(job)?;
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
