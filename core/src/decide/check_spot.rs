//! Looking at a missed spot again. Pure.

use super::draft;
use super::treat_spot::found;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, SpotChecked};
use crate::record::fold::Job;
use crate::record::inputs::CheckSpot;
use crate::record::words::Light;

pub(super) fn decide(job: &Job, act: &CheckSpot) -> Result<Draft, Error> {
    found(job, act.spot)?;
    if act.light == Light::Dark {
        return Err(Error::refused("light", "in the dark nothing is seen clear; look under a light"));
    }
    Ok(draft(Body::SpotChecked(SpotChecked { spot: act.spot, light: act.light, clear: act.clear })))
}
