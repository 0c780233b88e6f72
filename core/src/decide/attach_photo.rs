//! Attaching a photo. Pure: the file was read and kept before.

use super::{Known, draft, entry, panel, typed, walk};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{BlobRef, Body, PhotoAttached};
use crate::record::fold::Job;
use crate::record::inputs::AttachPhoto;

pub(super) fn decide(job: &Job, act: &AttachPhoto, known: &Known) -> Result<Draft, Error> {
    if act.mark.is_some() && act.panel.is_some() {
        return Err(Error::refused("panel", "given beside a mark; the mark says which panel it is on"));
    }
    if let Some(mark) = act.mark
        && job.mark(mark).is_none()
    {
        return Err(Error::refused("mark", format!("no mark {mark} in this job")));
    }
    if let Some(id) = act.entry {
        entry(job, "entry", id)?;
        if act.mark.is_some() || act.panel.is_some() {
            return Err(Error::refused("entry", "given beside a mark or panel; a photo shows one thing"));
        }
    }
    let photo = known.photo.as_ref().ok_or_else(|| Error::internal("decide.photo"))?;
    let mut draft = draft(Body::PhotoAttached(PhotoAttached {
        walk: match (act.entry, act.walk) {
            (Some(_), None) => job.walks.last().map(|walk| walk.id),
            (_, given) => Some(walk(job, given)?),
        },
        mark: act.mark,
        panel: act.panel.as_ref().map(|name| panel(job, "panel", name)).transpose()?,
        view: act.view,
        width_px: photo.width_px,
        height_px: photo.height_px,
        orientation: photo.orientation,
        taken: photo.taken.clone(),
        entry: act.entry,
        moved_from: None,
    }));
    draft.files.push(BlobRef {
        len: photo.len,
        role: "original".to_owned(),
        sha256: photo.sha256.clone(),
        media: photo.media.to_owned(),
    });
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
