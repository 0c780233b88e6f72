//! Saying that a job was opened by mistake. Pure.

use super::{Known, draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, JobVoided};
use crate::record::fold::Job;
use crate::record::inputs::VoidJob;

pub(super) fn decide(job: &Job, act: &VoidJob, known: &Known) -> Result<Draft, Error> {
    if !job.voids.is_empty() {
        return Err(Error::refused("", "this job was said to be a mistake already"));
    }
    if let Some(instead) = act.instead {
        if instead == job.id {
            return Err(Error::refused("instead", "this very job"));
        }
        if !known.job("instead", instead)?.voids.is_empty() {
            return Err(Error::refused("instead", "that job was said to be a mistake itself"));
        }
    }
    let mut draft = draft(Body::JobVoided(JobVoided { instead: act.instead }));
    typed(&mut draft, "reason", "reason", Some(&act.reason))?;
    Ok(draft)
}
