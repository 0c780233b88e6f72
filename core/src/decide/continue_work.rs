//! Saying that the work goes on outside a sheet's limits. Pure.

use super::{draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, WorkContinued};
use crate::record::fold::Job;
use crate::record::inputs::ContinueWork;

pub(super) fn decide(job: &Job, act: &ContinueWork) -> Result<Draft, Error> {
    if !job.work.conditions.iter().any(|it| it.id == act.conditions) {
        let reason = format!("no reading of the conditions {} in this job", act.conditions);
        return Err(Error::refused("conditions", reason));
    }
    let mut draft = draft(Body::WorkContinued(WorkContinued { conditions: act.conditions }));
    typed(&mut draft, "reason", "reason", act.reason.as_ref())?;
    Ok(draft)
}
