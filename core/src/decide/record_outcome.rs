//! Answering for one panel. Pure.

use super::{draft, panel, typed, walk};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, OutcomeRecorded};
use crate::record::fold::Job;
use crate::record::inputs::RecordOutcome;
use crate::record::words::Outcome;

/// Longest time that can be meant for one panel, milliseconds: an hour.
const LONGEST_LOOK_MS: u32 = 3_600_000;

pub(super) fn decide(job: &Job, act: &RecordOutcome) -> Result<Draft, Error> {
    match (act.outcome, act.why) {
        (Outcome::CouldNotSee, None) => {
            return Err(Error::refused("why", "missing; say why it could not be seen"));
        }
        (outcome, Some(_)) if outcome != Outcome::CouldNotSee => {
            return Err(Error::refused("why", format!("only for could-not-see, not for {}", outcome.word())));
        }
        _ => {}
    }
    let looked = act.distance.is_some() || act.light.is_some() || act.spent_ms.is_some();
    if act.outcome == Outcome::NotLooked && looked {
        return Err(Error::refused("outcome", "not-looked, yet a way of looking is given"));
    }
    if act.spent_ms.is_some_and(|spent| spent > LONGEST_LOOK_MS) {
        return Err(Error::refused("spent_ms", "more than an hour for one panel"));
    }
    let mut draft = draft(Body::OutcomeRecorded(OutcomeRecorded {
        walk: walk(job, act.walk)?,
        panel: panel(job, "panel", &act.panel)?,
        outcome: act.outcome,
        why: act.why,
        distance: act.distance,
        light: act.light,
        surface: act.surface,
        spent_ms: act.spent_ms,
    }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
