//! Recording what a panel is. Pure.

use super::{draft, panel, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, SurfaceRecorded};
use crate::record::fold::Job;
use crate::record::inputs::RecordSurface;

pub(super) fn decide(job: &Job, act: &RecordSurface) -> Result<Draft, Error> {
    for (at, kind) in act.also.iter().enumerate() {
        if *kind == act.kind || act.also[..at].contains(kind) {
            let reason = format!("\"{}\" is named twice", kind.word());
            return Err(Error::refused(format!("also[{at}]"), reason));
        }
    }
    let mut draft = draft(Body::SurfaceRecorded(SurfaceRecorded {
        panel: panel(job, "panel", &act.panel)?,
        kind: act.kind,
        also: act.also.clone(),
    }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
