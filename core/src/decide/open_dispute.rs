//! Opening a dispute: what somebody reports, in their words. While it is open, nothing of the job is erased. Pure.

use super::{draft, entry, panel, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, DisputeOpened};
use crate::record::fold::Job;
use crate::record::inputs::OpenDispute;

pub(super) fn decide(job: &Job, act: &OpenDispute) -> Result<Draft, Error> {
    for (at, id) in act.entries.iter().enumerate() {
        entry(job, &format!("entries[{at}]"), *id)?;
    }
    let mut draft = draft(Body::DisputeOpened(DisputeOpened {
        by: act.by,
        panel: act.panel.as_ref().map(|name| panel(job, "panel", name)).transpose()?,
        entries: act.entries.clone(),
    }));
    typed(&mut draft, "reported", "reported", Some(&act.reported))?;
    Ok(draft)
}
