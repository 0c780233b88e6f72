//! Moving a mark with its photos, or a photo, to the job that it belongs to: it is recorded anew there, under its own
//! id, and the job it leaves says where it went. Pure.

use super::record_mark::next_label;
use super::{Known, draft, panel, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{BlobRef, Body, EntryMoved, MarkRecorded, MovedFrom, PhotoAttached};
use crate::record::fold::{Job, Photo, Stamp, Text};
use crate::record::inputs::{Description, MoveEntry};
use crate::vehicle;
use serde_json::Value;
use uuid::Uuid;

pub(super) fn decide(job: &Job, act: &MoveEntry, known: &Known) -> Result<Vec<Draft>, Error> {
    if act.to_job == job.id {
        return Err(Error::refused("to_job", "this very job"));
    }
    let to = known.job("to_job", act.to_job)?;
    if !to.closings.is_empty() {
        return Err(Error::refused("to_job", "that job is closed"));
    }
    if !to.voids.is_empty() {
        return Err(Error::refused("to_job", "that job was said to be a mistake"));
    }
    let corrections =
        job.mark(act.entry).into_iter().flat_map(|mark| &mark.versions).skip(1).map(|it| it.input);
    let photos = job.photos.iter().filter(|it| it.attached.mark == Some(act.entry)).map(|it| it.id);
    let with = corrections.chain(photos).collect();
    let mut moved = draft(Body::EntryMoved(EntryMoved { entry: act.entry, to_job: act.to_job, with }));
    typed(&mut moved, "reason", "reason", Some(&act.reason))?;
    let mut drafts = vec![moved];
    if let Some(mark) = job.mark(act.entry) {
        let now = mark.current().ok_or_else(|| Error::internal("decide.move_entry"))?;
        panel(to, "to_job", &now.description.panel)?;
        let walk = same_stage(job, mark.walk, to)?;
        let mut draft = draft(Body::MarkRecorded(MarkRecorded {
            walk,
            label: next_label(to, &known.log),
            mark: Description { note: None, ..now.description.clone() },
            earlier: mark.earlier.clone(),
            shown_by: mark.shown_by,
            moved_from: from(job, mark.id, mark.moved_from.as_ref(), mark.first().map(|first| &first.stamp)),
        }));
        draft.geom = Some(vehicle::GEOMETRY_VERSION);
        keep_note(&mut draft, &now.note);
        drafts.push(draft);
        for photo in job.photos.iter().filter(|photo| photo.attached.mark == Some(mark.id)) {
            drafts.push(again(
                photo,
                walk,
                from(job, photo.id, photo.attached.moved_from.as_ref(), Some(&photo.stamp)),
            ));
        }
    } else if let Some(photo) = job.photos.iter().find(|photo| photo.id == act.entry) {
        let of_mark = photo.attached.mark.is_some_and(|mark| job.mark(mark).is_some());
        if of_mark || photo.attached.entry.is_some() {
            return Err(Error::refused("entry", "this photo belongs to an entry; move that"));
        }
        if let Some(name) = &photo.attached.panel {
            panel(to, "to_job", name)?;
        }
        drafts.push(again(
            photo,
            stage_of_photo(job, photo, to)?,
            from(job, photo.id, photo.attached.moved_from.as_ref(), Some(&photo.stamp)),
        ));
    } else {
        return Err(Error::refused("entry", format!("no mark and no photo {} in this job", act.entry)));
    }
    for draft in drafts.iter_mut().skip(1) {
        draft.job = Some(act.to_job);
    }
    Ok(drafts)
}

/// Where an entry comes from, and when it was recorded first: a move back does not make it younger.
fn from(job: &Job, entry: Uuid, before: Option<&MovedFrom>, stamp: Option<&Stamp>) -> Option<MovedFrom> {
    let stamp = stamp?;
    let (at, off_min) = before.map_or((stamp.at, stamp.off_min), |before| (before.at, before.off_min));
    Some(MovedFrom { job: job.id, entry, at, off_min })
}

fn stage_of_photo(job: &Job, photo: &Photo, to: &Job) -> Result<Uuid, Error> {
    let walk =
        photo.attached.walk.ok_or_else(|| Error::refused("entry", "this photo stands in no walk-around"))?;
    same_stage(job, walk, to)
}

/// What was found on arrival stays found on arrival.
fn same_stage(job: &Job, walk: Uuid, to: &Job) -> Result<Uuid, Error> {
    let stage = job.walk(walk).map(|walk| walk.stage);
    to.walks.iter().rev().find(|walk| Some(walk.stage) == stage).map(|walk| walk.id).ok_or_else(|| {
        let word = stage.map_or("that", |stage| stage.word());
        Error::refused(
            "to_job",
            format!("that job has no walk-around of the stage {word}; begin one there first"),
        )
    })
}

fn again(photo: &Photo, walk: Uuid, moved_from: Option<MovedFrom>) -> Draft {
    let mut draft =
        draft(Body::PhotoAttached(PhotoAttached { walk: Some(walk), moved_from, ..photo.attached.clone() }));
    draft.files.push(BlobRef {
        len: photo.len,
        role: "original".to_owned(),
        sha256: photo.sha256.clone(),
        media: photo.media.clone(),
    });
    keep_note(&mut draft, &photo.note);
    draft
}

fn keep_note(draft: &mut Draft, note: &Text) {
    if let Text::Here(text) = note {
        draft.typed.push(("note", Value::String(text.clone())));
    }
}
