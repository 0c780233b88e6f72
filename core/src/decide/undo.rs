//! Taking back a slip: within ten seconds, on the phone that made it. The slip stays in the log. Pure.

use super::{Known, draft};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, EntryUndone};
use crate::record::fold::Job;
use crate::record::inputs::Undo;

/// How long a slip can be taken back, milliseconds of the phone's own running.
pub const SLIP_MS: u64 = 10_000;

/// What others build on at once is not taken back, but corrected, voided or moved back.
const KEPT: &[&str] =
    &["job.opened", "walk.begun", "job.closed", "job.voided", "entry.moved", "entry.undone"];

pub(super) fn decide(job: &Job, act: &Undo, known: &Known) -> Result<Draft, Error> {
    let made = job
        .made
        .get(&act.entry)
        .ok_or_else(|| Error::refused("entry", format!("no entry {} in this job", act.entry)))?;
    if KEPT.contains(&made.kind.as_str()) {
        return Err(Error::refused("entry", format!("an entry of the kind {} is not taken back", made.kind)));
    }
    if job.slips.iter().any(|(slip, _)| slip.stamp.input == act.entry) {
        return Err(Error::refused("entry", "taken back already"));
    }
    let came = job.marks.iter().filter(|it| it.moved_from.is_some()).map(|it| it.id);
    let mut came =
        came.chain(job.photos.iter().filter(|it| it.attached.moved_from.is_some()).map(|it| it.id));
    let went = job.moved.iter().any(|(left, taken)| {
        left.body.entry == act.entry || taken.iter().any(|it| it.stamp.input == act.entry)
    });
    if went || came.any(|id| id == act.entry) {
        return Err(Error::refused("entry", "moved between jobs; move it back instead"));
    }
    if job.owner_answers.iter().any(|it| it.id == act.entry && it.body.vehicles.is_some()) {
        return Err(Error::refused(
            "entry",
            "answers for several vehicles at once; record another answer instead",
        ));
    }
    if made.log != known.log {
        return Err(Error::refused("entry", "made on another phone; add a correction instead"));
    }
    if made.boot != known.boot || known.mono_ms.saturating_sub(made.mono) > SLIP_MS {
        return Err(Error::refused("entry", "older than ten seconds; add a correction instead"));
    }
    Ok(draft(Body::EntryUndone(EntryUndone { entry: act.entry })))
}
