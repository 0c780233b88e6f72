//! Recording what happened during the work: facts, never whose doing it was. Pure.

use super::{checked, draft, panel, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, IncidentRecorded};
use crate::record::fold::Job;
use crate::record::inputs::RecordIncident;
use serde_json::Value;

pub(super) fn decide(job: &Job, act: &RecordIncident) -> Result<Draft, Error> {
    let mut draft = draft(Body::IncidentRecorded(IncidentRecorded {
        panel: act.panel.as_ref().map(|name| panel(job, "panel", name)).transpose()?,
        told_owner: act.told_owner,
    }));
    typed(&mut draft, "what", "what", Some(&act.what))?;
    if let Some(who) = &act.who {
        draft.typed.push(("who", Value::String(checked("who", who, 200)?)));
    }
    Ok(draft)
}
