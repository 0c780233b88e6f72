//! Ending the visit: the heads of every log that this phone knows, so that what it did not know can be told. Pure.

use super::{Known, draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, JobClosed};
use crate::record::fold::Job;
use crate::record::inputs::CloseJob;

pub(super) fn decide(job: &Job, act: &CloseJob, known: &Known) -> Result<Draft, Error> {
    let left = job.left_unanswered();
    if !left.is_empty() {
        return Err(Error::refused(
            "",
            format!(
                "{} could not be seen and got no second look: look, or record not-looked, for {}",
                if left.len() == 1 { "1 place".to_owned() } else { format!("{} places", left.len()) },
                left.join(", ")
            ),
        ));
    }
    let mut draft = draft(Body::JobClosed(JobClosed { seen: known.heads.clone() }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
