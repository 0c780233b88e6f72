//! Recording what the owner says to the record. Silence is never agreement, and a drawn signature says "copy received"
//! unless more is said. Pure.

use super::{Known, checked, draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, ItemAnswered, OwnerAnswered};
use crate::record::fold::Job;
use crate::record::inputs::{ItemAnswer, RecordOwnerAnswer, Stroke};
use crate::record::words::{CopyGiven, OwnerAnswer};
use serde_json::{Map, Value, json};

/// Most other vehicles of one answer.
const MOST_VEHICLES: usize = 200;

/// Most points of a signature: what a finger draws in a minute, and well below the longest blob.
const MOST_POINTS: usize = 4_000;

pub(super) fn decide(job: &Job, act: &RecordOwnerAnswer, known: &Known) -> Result<Vec<Draft>, Error> {
    let signed = !act.signature.is_empty();
    match act.answer {
        OwnerAnswer::Absent | OwnerAnswer::SentNoReply if signed => {
            return Err(Error::refused(
                "signature",
                format!("drawn, yet the answer is {}", act.answer.word()),
            ));
        }
        OwnerAnswer::SentNoReply if act.copy != CopyGiven::Sent => {
            return Err(Error::refused("copy", "not sent, yet no reply came to what was sent"));
        }
        OwnerAnswer::Absent if act.copy == CopyGiven::Received => {
            return Err(Error::refused("copy", "received, yet nobody was there"));
        }
        _ => {}
    }
    if act.vehicles.len() > MOST_VEHICLES {
        return Err(Error::refused(
            "vehicles",
            format!("{} vehicles; at most {MOST_VEHICLES}", act.vehicles.len()),
        ));
    }
    let mut drafts = vec![one(job, act, "items", &act.items)?];
    for (at, other) in act.vehicles.iter().enumerate() {
        let field = format!("vehicles[{at}]");
        let twice = act.vehicles.iter().take(at).any(|it| it.job == other.job);
        if other.job == job.id || twice {
            return Err(Error::refused(format!("{field}.job"), "answered for in this input already"));
        }
        let there = known.job(&format!("{field}.job"), other.job)?;
        let mut draft = one(there, act, &format!("{field}.items"), &other.items)?;
        draft.job = Some(other.job);
        drafts.push(draft);
    }
    Ok(drafts)
}

fn one(job: &Job, act: &RecordOwnerAnswer, field: &str, items: &[ItemAnswer]) -> Result<Draft, Error> {
    let mut words = Map::new();
    for (at, item) in items.iter().enumerate() {
        if !job.made.contains_key(&item.entry) {
            return Err(Error::refused(
                format!("{field}[{at}].entry"),
                format!("no entry {} in job {}", item.entry, job.id),
            ));
        }
        if items.iter().take(at).any(|other| other.entry == item.entry) {
            return Err(Error::refused(format!("{field}[{at}].entry"), "answered twice"));
        }
        if let Some(text) = &item.words {
            let text = checked(&format!("{field}[{at}].words"), text, 1_000)?;
            words.insert(item.entry.to_string(), Value::String(text));
        }
    }
    // An answer for a fleet may be "agreed" on one vehicle and "agreed, with exceptions" on another.
    let excepted = items.iter().any(|item| !item.agreed);
    let answer = match (act.answer, excepted, job.id) {
        (OwnerAnswer::Agreed, true, _) if field == "items" => {
            return Err(Error::refused(field, "an exception, yet the answer is agreed"));
        }
        (OwnerAnswer::AgreedExcept, false, _) if field == "items" => {
            return Err(Error::refused(field, "no exception, yet the answer has exceptions"));
        }
        (OwnerAnswer::Agreed | OwnerAnswer::AgreedExcept, true, _) => OwnerAnswer::AgreedExcept,
        (OwnerAnswer::Agreed | OwnerAnswer::AgreedExcept, false, _) => OwnerAnswer::Agreed,
        (answer, _, _) if !items.is_empty() => {
            return Err(Error::refused(field, format!("given, yet the answer is {}", answer.word())));
        }
        (answer, _, _) => answer,
    };
    let vehicles = u32::try_from(act.vehicles.len()).unwrap_or(u32::MAX);
    let mut draft = draft(Body::OwnerAnswered(OwnerAnswered {
        answer,
        by: act.by,
        items: items.iter().map(|item| ItemAnswered { entry: item.entry, agreed: item.agreed }).collect(),
        copy: act.copy,
        vehicles: (vehicles > 0).then_some(vehicles + 1),
    }));
    for (role, text) in [("name", &act.name), ("sent_to", &act.sent_to)] {
        if let Some(text) = text {
            draft.typed.push((role, Value::String(checked(role, text, 200)?)));
        }
    }
    if !words.is_empty() {
        draft.typed.push(("words", Value::Object(words)));
    }
    if !act.signature.is_empty() {
        draft.typed.push(("signature", signature(&act.signature)?));
    }
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}

/// A signature as lists of points.
fn signature(strokes: &[Stroke]) -> Result<Value, Error> {
    let points: usize = strokes.iter().map(|stroke| stroke.points.len()).sum();
    if points > MOST_POINTS || strokes.iter().any(|stroke| stroke.points.is_empty()) {
        return Err(Error::refused(
            "signature",
            format!("{points} points; every stroke has at least 1, and all together at most {MOST_POINTS}"),
        ));
    }
    for (at, stroke) in strokes.iter().enumerate() {
        if stroke.points.iter().any(|point| point.x > 1_000 || point.y > 1_000) {
            return Err(Error::refused(format!("signature[{at}]"), "a point off the field; 0 to 1000"));
        }
    }
    let lists: Vec<Vec<[u16; 2]>> =
        strokes.iter().map(|stroke| stroke.points.iter().map(|point| [point.x, point.y]).collect()).collect();
    Ok(json!(lists))
}
