//! Writing a note. Pure.

use super::{draft, entry, panel, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, NoteWritten};
use crate::record::fold::Job;
use crate::record::inputs::WriteNote;

pub(super) fn decide(job: &Job, act: &WriteNote) -> Result<Draft, Error> {
    if let Some(id) = act.entry {
        entry(job, "entry", id)?;
    }
    let mut draft = draft(Body::NoteWritten(NoteWritten {
        panel: act.panel.as_ref().map(|name| panel(job, "panel", name)).transpose()?,
        entry: act.entry,
    }));
    typed(&mut draft, "note", "text", Some(&act.text))?;
    Ok(draft)
}
