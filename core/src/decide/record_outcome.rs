//! Answering for one panel. Pure.

use super::{Known, draft, open_walk, panel, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, OutcomeRecorded};
use crate::record::fold::Job;
use crate::record::inputs::RecordOutcome;
use crate::record::words::{Distance, Outcome};
use uuid::Uuid;

/// Longest time that can be meant for one panel, milliseconds: an hour.
const LONGEST_LOOK_MS: u32 = 3_600_000;

/// A close look at a panel takes longer than this, milliseconds (common practice, no source: 20 to 40 s under one light).
/// Answers that follow each other faster are kept as what can be seen in passing.
const FASTEST_LOOK_MS: u64 = 3_000;

pub(super) fn decide(
    job: &Job,
    act: &RecordOutcome,
    known: &Known,
    entered_later: bool,
) -> Result<Draft, Error> {
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
    let walk = open_walk(job, act.walk, entered_later)?;
    let fast = !entered_later && looked_at(act.outcome) && too_fast(job, walk, act, known);
    let mut draft = draft(Body::OutcomeRecorded(OutcomeRecorded {
        walk,
        panel: panel(job, "panel", &act.panel)?,
        outcome: act.outcome,
        why: act.why,
        distance: if fast { Some(Distance::WalkPast) } else { act.distance },
        light: act.light,
        surface: act.surface,
        spent_ms: act.spent_ms,
        fast,
    }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}

fn looked_at(outcome: Outcome) -> bool {
    matches!(outcome, Outcome::NothingSeen | Outcome::Marks)
}

/// Whether the last look, on this phone and in this walk-around, is so near that no close look lies between them. What
/// could not be seen, and what was entered later, takes no time and is passed over. A stated time of looking cannot be
/// longer than the time that went by.
fn too_fast(job: &Job, walk: Uuid, act: &RecordOutcome, known: &Known) -> bool {
    let before = job.answers.iter().rev().find(|answer| {
        answer.walk == walk
            && answer.stamp.log() == known.log
            && answer.stamp.observed.is_none()
            && looked_at(answer.outcome)
    });
    let Some(made) = before.and_then(|answer| job.made.get(&answer.stamp.input)) else { return false };
    made.boot == known.boot
        && known.mono_ms.saturating_sub(made.mono) < FASTEST_LOOK_MS
        && act.distance != Some(Distance::WalkPast)
}
