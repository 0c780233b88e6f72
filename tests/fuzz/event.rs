//! Bytes of events, one a line: what is taken has one form, reads as the same again, and a job of such events folds to one
//! state in whatever order they come, which can be shown.

use serde_json::Value;
use sidelong_core::log::{canon, tree};
use sidelong_core::record::events::{Body, Envelope};
use sidelong_core::record::fold::{Entry, fold};
use sidelong_core::record::views::{Speech, job_view};
use sidelong_core::record::words::{BlobState, Locale};
use std::sync::OnceLock;

/// Most events of one input: more only takes longer.
const MOST: usize = 12;

/// A job that was opened, walked around and has a mark, so that what comes has something to be about.
const BEFORE: [&[u8]; 3] = [
    include_bytes!("../../fixtures/events/job.opened.v2.json"),
    include_bytes!("../../fixtures/events/walk.begun.v1.json"),
    include_bytes!("../../fixtures/events/mark.recorded.v2.json"),
];

fn before() -> &'static [Entry] {
    static KEPT: OnceLock<Vec<Entry>> = OnceLock::new();
    KEPT.get_or_init(|| BEFORE.iter().map(|line| entry(line).expect("a fixture is an event")).collect())
}

/// Lines of events.
pub fn event(bytes: &[u8]) {
    let came: Vec<Entry> = bytes.split(|it| *it == b'\n').take(MOST).filter_map(entry).collect();
    if came.is_empty() {
        return;
    }
    let all = [before(), &came].concat();
    let job = before()[0].envelope.job.expect("an event of a job");
    let state = fold(job, all.clone());
    let backwards = fold(job, all.iter().rev().cloned().collect());
    assert!(state == backwards, "another order gives another state");
    let twice = fold(job, [all.as_slice(), &all].concat());
    assert!(state == twice, "what comes twice counts twice");
    for locale in [Locale::EnGb, Locale::EnUs] {
        let view = job_view(&state, Speech { locale }).expect("a job that was opened can be shown");
        serde_json::to_vec(&view).expect("a view is JSON");
    }
}

/// An event, if it is one.
fn entry(line: &[u8]) -> Option<Entry> {
    let value = canon::read(line).ok()?;
    assert_eq!(canon::bytes(&value).as_deref(), Ok(line), "what was read is written otherwise");
    // Another writer of RFC 8785.
    assert_eq!(serde_jcs::to_vec(&value).expect("writes"), line, "not in canonical form");
    assert!(holds_integers_only(&value), "a number that another reader would change");
    let envelope: Envelope = serde_json::from_value(value).ok()?;
    let again = serde_json::to_value(&envelope).expect("an envelope is JSON");
    let again = canon::read(&canon::bytes(&again).expect("canonical")).expect("canonical");
    assert_eq!(serde_json::from_value::<Envelope>(again).ok().as_ref(), Some(&envelope), "read otherwise");
    let body = Body::read(&envelope.kind, envelope.v, &envelope.body);
    let written = body.to_value().expect("a body is JSON");
    assert!(holds_integers_only(&written), "a body with a number that another reader would change");
    let (kind, v) =
        if let Body::Unknown { .. } = body { (envelope.kind.as_str(), envelope.v) } else { body.kind() };
    assert_eq!(Body::read(kind, v, &written), body, "a body that was read is written otherwise");
    // Whatever was typed is at hand, and is nothing that belongs there.
    let typed = |role: &String| (role.clone(), (BlobState::Here, Some(envelope.body.clone())));
    let blobs = envelope.blobs.iter().map(|blob| typed(&blob.role)).collect();
    Some(Entry { leaf: tree::leaf(line).0, blobs, recorder: None, envelope })
}

fn holds_integers_only(value: &Value) -> bool {
    match value {
        Value::Number(number) => number.as_i64().is_some_and(|it| it.unsigned_abs() < 1 << 53),
        Value::Array(items) => items.iter().all(holds_integers_only),
        Value::Object(fields) => fields.values().all(holds_integers_only),
        Value::Null => false,
        Value::Bool(_) | Value::String(_) => true,
    }
}
