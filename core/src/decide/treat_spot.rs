//! Saying what was done about a missed spot. Pure.

use super::{draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, SpotTreated};
use crate::record::fold::Job;
use crate::record::inputs::TreatSpot;
use uuid::Uuid;

pub(super) fn decide(job: &Job, act: &TreatSpot) -> Result<Draft, Error> {
    found(job, act.spot)?;
    let mut draft = draft(Body::SpotTreated(SpotTreated { spot: act.spot }));
    typed(&mut draft, "what", "what", Some(&act.what))?;
    Ok(draft)
}

/// A missed spot of this job.
pub(super) fn found(job: &Job, spot: Uuid) -> Result<(), Error> {
    match job.spots.iter().any(|it| it.id == spot) {
        true => Ok(()),
        false => Err(Error::refused("spot", format!("no missed spot {spot} in this job"))),
    }
}
