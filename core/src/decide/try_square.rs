//! Trying polishing on a test square. Pure.

use super::record_step::covered;
use super::{Known, checked, draft, panel, ranged, spot, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, SquareTried};
use crate::record::fold::Job;
use crate::record::inputs::TrySquare;
use crate::record::words::Area;
use crate::vehicle;
use serde_json::Value;

pub(super) fn decide(job: &Job, act: &TrySquare, known: &Known) -> Result<Draft, Error> {
    if !act.step.is_machine() {
        let reason = format!("{} is neither polish nor compound", act.step.text());
        return Err(Error::refused("step", reason));
    }
    ranged("passes", Some(act.passes), 1..=100, "")?;
    if let Some(at) = act.at {
        spot("at", at)?;
    }
    let panel = panel(job, "panel", &act.panel)?;
    let mut set_aside = Vec::new();
    covered(job, &panel, act.step, Area::TestSquare, known, "panel", &mut set_aside)?;
    let mut draft = draft(Body::SquareTried(SquareTried {
        panel,
        at: act.at,
        step: act.step,
        passes: act.passes,
        set_aside,
    }));
    draft.geom = act.at.map(|_| vehicle::GEOMETRY_VERSION);
    for (role, text) in [("machine", &act.machine), ("pad", &act.pad), ("polish", &act.polish)] {
        draft.typed.push((role, Value::String(checked(role, text, 200)?)));
    }
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
