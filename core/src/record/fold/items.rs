//! What a folded job holds: entries with who made them, when, and what is at hand of their texts. Pure.

use super::Job;
use crate::record::events::{Earlier, Envelope, JobClosed, MovedFrom, Observed, PhotoAttached, Vehicle};
use crate::record::inputs::{Description, Spot};
use crate::record::words::{
    Area, BlobState, Distance, FeelLevel, FeelMethod, Finish, Form, Light, Outcome, Party, Reaction, Scope,
    Stage, Steering, Surface, View, Why,
};
use serde_json::Value;
use std::collections::BTreeMap;
use uuid::Uuid;

/// The place of an event in a job's order: Lamport number, log, number in the log, leaf hash (which tells the two
/// branches of a fork apart).
pub type Key = (u64, String, u64, [u8; 32]);

/// An event with what is at hand of its blobs.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The envelope as it stands in the log.
    pub envelope: Envelope,
    /// Leaf hash of its bytes.
    pub leaf: [u8; 32],
    /// Content of small blobs by role, and the state of every blob by role.
    pub blobs: Blobs,
    /// The name of who recorded it, when the log says who.
    pub recorder: Option<(BlobState, Option<Value>)>,
}

/// What is at hand of an entry's blobs, by role: the state, and the content of small ones.
pub type Blobs = BTreeMap<String, (BlobState, Option<Value>)>;

impl Entry {
    /// Where the entry stands in the job's order.
    pub fn key(&self) -> Key {
        (self.envelope.lam, self.envelope.log.clone(), self.envelope.seq, self.leaf)
    }

    pub(super) fn text(&self, role: &str) -> Text {
        Text::of(self.blobs.get(role))
    }
}

/// What a person typed, as far as it is still here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Text {
    /// Nothing was typed.
    None,
    /// The text.
    Here(String),
    /// There was a text; its bytes are not here.
    Gone(BlobState),
}

impl Text {
    pub(super) fn of(blob: Option<&(BlobState, Option<Value>)>) -> Self {
        match blob {
            None => Self::None,
            Some((BlobState::Here, Some(Value::String(text)))) => Self::Here(text.clone()),
            Some((BlobState::Here, _)) => Self::Gone(BlobState::Lost),
            Some((state, _)) => Self::Gone(*state),
        }
    }
}

/// An entry that is kept as its event says it, with what was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item<B> {
    /// Its id: the input that made it.
    pub id: Uuid,
    /// Who and when.
    pub stamp: Stamp,
    /// The event's body.
    pub body: B,
    /// What was typed, by role.
    pub typed: Blobs,
}

impl<B> Item<B> {
    /// The text typed under a role.
    pub fn text(&self, role: &str) -> Text {
        Text::of(self.typed.get(role))
    }

    /// What else was typed under a role (a list), if it is here.
    pub fn value(&self, role: &str) -> Option<&Value> {
        match self.typed.get(role) {
            Some((BlobState::Here, Some(value))) => Some(value),
            _ => None,
        }
    }
}

/// Where an entry was made, to tell whether the same phone made it just now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// Type of the event.
    pub kind: String,
    /// Name of the log.
    pub log: String,
    /// Id of the phone's running.
    pub boot: String,
    /// Milliseconds since the phone was started.
    pub mono: u64,
}

/// A phone's clock was set between two of its entries on this job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClockSet {
    /// The first entry after it.
    pub stamp: Stamp,
    /// Forward by so much, milliseconds; back when negative.
    pub by_ms: i64,
}

/// So much a phone corrects its clock by itself, milliseconds. Our choice, no source.
pub const CORRECTED_MS: u64 = 120_000;

/// An entry that is no longer shown in its place: a slip, or moved to another job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// Type of the event.
    pub kind: String,
    /// Its number, for a mark.
    pub label: Option<String>,
    /// Who made it and when.
    pub stamp: Stamp,
}

/// Who recorded something, when, and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// Place in the job's order.
    pub key: Key,
    /// UTC milliseconds of saving, by the phone's clock.
    pub at: i64,
    /// Offset of the phone's zone, minutes.
    pub off_min: i32,
    /// Name of the phone's zone.
    pub zone: String,
    /// When it was seen, if entered later.
    pub observed: Option<Observed>,
    /// Version of the geometry that places refer to.
    pub geom: Option<u32>,
    /// The input that made the entry.
    pub input: Uuid,
    /// Who recorded it, by name, when the log says who.
    pub recorder: Text,
}

impl Stamp {
    /// Name of the log it stands in.
    pub fn log(&self) -> &str {
        &self.key.1
    }

    /// When it was seen, UTC milliseconds: as it was said, or else when it was saved.
    pub fn seen_ms(&self) -> i64 {
        self.observed.map_or(self.at, |seen| seen.ms)
    }
}

/// The job's opening or a correction of it; a second opening for the same id is kept too.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Opening {
    pub stamp: Stamp,
    pub form: Form,
    pub finish: Finish,
    pub scope: Vec<Scope>,
    pub steering: Option<Steering>,
    pub film: Vec<String>,
    pub vehicle: Vehicle,
    /// State of the blob that held plate, VIN, colour and stock number.
    pub vehicle_state: BlobState,
    /// The entry that it corrects; none for an opening.
    pub corrects: Option<Uuid>,
    /// Why it was corrected.
    pub reason: Text,
}

/// A walk-around.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Walk {
    pub id: Uuid,
    pub stage: Stage,
    pub stamp: Stamp,
}

/// One answer for one panel.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Answer {
    pub stamp: Stamp,
    pub walk: Uuid,
    pub panel: String,
    pub outcome: Outcome,
    pub why: Option<Why>,
    pub distance: Option<Distance>,
    pub light: Option<Light>,
    pub surface: Option<Surface>,
    pub spent_ms: Option<u32>,
    pub fast: bool,
    pub note: Text,
}

/// One entry of a mark: its recording or a correction.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Version {
    /// The input that made the entry.
    pub input: Uuid,
    /// Who and when.
    pub stamp: Stamp,
    /// What and where (its `note` is empty: see `note`).
    pub description: Description,
    /// The note.
    pub note: Text,
    /// Why it was corrected; none for the recording.
    pub reason: Text,
    /// The entry that it corrects; none for the recording.
    pub corrects: Option<Uuid>,
}

/// A mark with all its entries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Its id: the input that recorded it.
    pub id: Uuid,
    /// Its number for people.
    pub label: String,
    /// The walk in which it was found.
    pub walk: Uuid,
    /// The recording, then corrections in order.
    pub versions: Vec<Version>,
    /// The same mark in an earlier job.
    pub earlier: Option<Earlier>,
    /// Who showed it to the detailer.
    pub shown_by: Option<Party>,
    /// Where it was recorded before it was moved here.
    pub moved_from: Option<MovedFrom>,
}

impl Mark {
    /// The recording itself, which is never empty.
    pub fn first(&self) -> Option<&Version> {
        self.versions.first()
    }

    /// When in the visit it was found, if the walk is on record here.
    pub fn walk_stage(&self, job: &Job) -> Option<Stage> {
        job.walk(self.walk).map(|walk| walk.stage)
    }

    /// The entry that is shown.
    pub fn current(&self) -> Option<&Version> {
        self.versions.last()
    }

    /// Corrections that were made of the same entry without knowing of each other; all of them are shown.
    pub fn rivals(&self) -> Vec<&Version> {
        let mut by_corrected: BTreeMap<Uuid, Vec<&Version>> = BTreeMap::new();
        for version in &self.versions {
            if let Some(corrected) = version.corrects {
                by_corrected.entry(corrected).or_default().push(version);
            }
        }
        by_corrected.into_values().filter(|made| made.len() > 1).flatten().collect()
    }
}

/// A photo.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Photo {
    pub id: Uuid,
    pub stamp: Stamp,
    pub attached: PhotoAttached,
    pub sha256: String,
    pub len: u64,
    pub media: String,
    pub state: BlobState,
    pub note: Text,
}

impl Photo {
    /// How near it was taken.
    pub fn view(&self) -> View {
        self.attached.view
    }
}

/// A feel test.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Feel {
    pub stamp: Stamp,
    pub walk: Uuid,
    pub panel: String,
    pub at: Option<Spot>,
    pub method: FeelMethod,
    pub level: FeelLevel,
    pub reacted: Vec<Reaction>,
    pub on: Option<Area>,
    pub note: Text,
}

/// An end of the visit.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Closing {
    pub stamp: Stamp,
    pub closed: JobClosed,
    pub note: Text,
}

/// An event that this version does not know.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Unknown {
    pub stamp: Stamp,
    pub kind: String,
    pub v: u32,
}
