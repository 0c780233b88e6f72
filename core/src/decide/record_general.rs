//! Recording a finding over whole panels, in place of many marks. Pure.

use super::{draft, open_walk, panel, ranged, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, GeneralRecorded};
use crate::record::fold::Job;
use crate::record::inputs::RecordGeneral;

pub(super) fn decide(job: &Job, act: &RecordGeneral, entered_later: bool) -> Result<Draft, Error> {
    if act.panels.is_empty() || act.panels.len() > 60 {
        return Err(Error::refused("panels", format!("{} panels; 1 to 60", act.panels.len())));
    }
    let mut panels = Vec::new();
    for (at, name) in act.panels.iter().enumerate() {
        let name = panel(job, &format!("panels[{at}]"), name)?;
        if !panels.contains(&name) {
            panels.push(name);
        }
    }
    ranged("about", act.about, 2..=10_000, "")?;
    let mut draft = draft(Body::GeneralRecorded(GeneralRecorded {
        walk: open_walk(job, act.walk, entered_later)?,
        panels,
        kind: act.kind,
        about: act.about,
    }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
