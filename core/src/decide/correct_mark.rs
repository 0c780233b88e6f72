//! Correcting a mark: an addition that names the entry it corrects. Pure.

use super::record_mark::{as_drawn, described};
use super::{draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, MarkCorrected};
use crate::record::fold::Job;
use crate::record::inputs::CorrectMark;
use crate::vehicle;

pub(super) fn decide(job: &Job, act: &CorrectMark) -> Result<Draft, Error> {
    let Some(current) = job.mark(act.mark).and_then(|mark| mark.current()) else {
        return Err(Error::refused("mark", format!("no mark {} in this job", act.mark)));
    };
    described(job, "becomes", &act.becomes)?;
    let mut draft = draft(Body::MarkCorrected(MarkCorrected {
        mark: act.mark,
        corrects: current.input,
        becomes: as_drawn(job, &act.becomes)?,
    }));
    draft.geom = Some(vehicle::GEOMETRY_VERSION);
    typed(&mut draft, "note", "becomes.note", act.becomes.note.as_ref())?;
    typed(&mut draft, "reason", "reason", Some(&act.reason))?;
    Ok(draft)
}
