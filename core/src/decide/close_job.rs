//! Ending the visit: the heads of every log that this phone knows, so that what it did not know can be told. Pure.

use super::{Known, draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, JobClosed};
use crate::record::inputs::CloseJob;

pub(super) fn decide(act: &CloseJob, known: &Known) -> Result<Draft, Error> {
    let mut draft = draft(Body::JobClosed(JobClosed { seen: known.heads.clone() }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
