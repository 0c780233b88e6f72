//! Ending a dispute. Pure.

use super::{draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, DisputeEnded};
use crate::record::fold::Job;
use crate::record::inputs::EndDispute;

pub(super) fn decide(job: &Job, act: &EndDispute) -> Result<Draft, Error> {
    if job.disputes.iter().all(|dispute| dispute.id != act.dispute) {
        return Err(Error::refused("dispute", format!("no dispute {} in this job", act.dispute)));
    }
    if job.disputes_ended.iter().any(|end| end.body.dispute == act.dispute) {
        return Err(Error::refused("dispute", "ended already"));
    }
    let mut draft = draft(Body::DisputeEnded(DisputeEnded { dispute: act.dispute }));
    typed(&mut draft, "outcome", "outcome", Some(&act.outcome))?;
    Ok(draft)
}
