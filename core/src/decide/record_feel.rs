//! Recording a feel test. Pure.

use super::{draft, panel, spot, typed, walk};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, FeelTested};
use crate::record::fold::Job;
use crate::record::inputs::RecordFeel;
use crate::record::words::Reaction;
use crate::vehicle;

pub(super) fn decide(job: &Job, act: &RecordFeel) -> Result<Draft, Error> {
    if let Some(at) = act.at {
        spot("at", at)?;
    }
    let mut reacted = act.reacted.clone();
    reacted.sort();
    reacted.dedup();
    if reacted.len() > 1 && reacted.contains(&Reaction::None) {
        return Err(Error::refused("reacted", "\"none\" beside something that reacted"));
    }
    let mut draft = draft(Body::FeelTested(FeelTested {
        walk: walk(job, act.walk)?,
        panel: panel(job, "panel", &act.panel)?,
        at: act.at,
        method: act.method,
        level: act.level,
        reacted,
        on: act.on,
    }));
    draft.geom = act.at.map(|_| vehicle::GEOMETRY_VERSION);
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
