//! The state of one job, folded from its events when the job is opened. Pure; never refuses.
//!
//! Events are taken in the order (lam, log, seq, leaf), which depends on the events alone, so any order and any
//! split of their arrival folds to the same state. Nothing is merged and nothing wins: two answers for one panel,
//! two corrections of one entry and two closings are all kept, each with who made it.

use super::events::{Body, Envelope, JobClosed, Observed, PhotoAttached, Vehicle};
use super::inputs::{Description, Spot};
use super::words::{
    BlobState, Distance, FeelLevel, FeelMethod, Finish, Form, Light, Outcome, Reaction, Scope, Stage,
    Surface, View, Why,
};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
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
    pub blobs: BTreeMap<String, (BlobState, Option<Value>)>,
}

impl Entry {
    /// Where the entry stands in the job's order.
    pub fn key(&self) -> Key {
        (self.envelope.lam, self.envelope.log.clone(), self.envelope.seq, self.leaf)
    }

    fn text(&self, role: &str) -> Text {
        match self.blobs.get(role) {
            None => Text::None,
            Some((BlobState::Here, Some(Value::String(text)))) => Text::Here(text.clone()),
            Some((BlobState::Here, _)) => Text::Gone(BlobState::Lost),
            Some((state, _)) => Text::Gone(*state),
        }
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
}

impl Stamp {
    /// Name of the log it stands in.
    pub fn log(&self) -> &str {
        &self.key.1
    }
}

/// The job's opening; a second one for the same id is kept too.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "fields are those of the event")]
pub struct Opening {
    pub stamp: Stamp,
    pub form: Form,
    pub finish: Finish,
    pub scope: Vec<Scope>,
    pub vehicle: Vehicle,
    /// State of the blob that held plate, VIN and colour.
    pub vehicle_state: BlobState,
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

/// Everything on record about one job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// The job's id.
    pub id: Uuid,
    /// Openings in order; the first one counts, others are shown.
    pub openings: Vec<Opening>,
    /// Walk-arounds in order.
    pub walks: Vec<Walk>,
    /// Answers for panels in order.
    pub answers: Vec<Answer>,
    /// Marks in order of recording.
    pub marks: Vec<Mark>,
    /// Corrections whose mark has not come in.
    pub orphans: BTreeMap<Uuid, Vec<Version>>,
    /// Photos in order.
    pub photos: Vec<Photo>,
    /// Feel tests in order.
    pub feels: Vec<Feel>,
    /// Closings in order.
    pub closings: Vec<Closing>,
    /// Events of a newer version.
    pub unknown: Vec<Unknown>,
    /// Latest time of saving among the events.
    last_at: i64,
    /// Every event taken in.
    keys: BTreeSet<Key>,
}

/// Folds a job's events, in whatever order they come and however often.
pub fn fold(job: Uuid, mut entries: Vec<Entry>) -> Job {
    entries.sort_by_cached_key(Entry::key);
    let mut state = Job::empty(job);
    for entry in entries {
        state.follow(entry);
    }
    state
}

impl Job {
    /// A job of which nothing is known.
    pub fn empty(id: Uuid) -> Self {
        Self {
            id,
            openings: Vec::new(),
            walks: Vec::new(),
            answers: Vec::new(),
            marks: Vec::new(),
            orphans: BTreeMap::new(),
            photos: Vec::new(),
            feels: Vec::new(),
            closings: Vec::new(),
            unknown: Vec::new(),
            last_at: i64::MIN,
            keys: BTreeSet::new(),
        }
    }

    /// Takes in an event that comes after all taken in so far; says false, and changes nothing, when it does not (the
    /// caller then folds anew).
    pub fn follow(&mut self, entry: Entry) -> bool {
        let key = entry.key();
        if let Some(last) = self.keys.last() {
            if *last == key {
                return true;
            }
            if *last > key {
                return false;
            }
        }
        self.keys.insert(key.clone());
        self.apply(key, entry);
        true
    }

    fn apply(&mut self, key: Key, entry: Entry) {
        let body = Body::read(&entry.envelope.kind, entry.envelope.v, &entry.envelope.body);
        let note = entry.text("note");
        let reason = entry.text("reason");
        let vehicle = entry.blobs.get("vehicle").cloned();
        let Envelope { at, off_min, zone, observed, input, geom, blobs, kind, v, .. } = entry.envelope;
        let id = input.unwrap_or_default();
        self.last_at = self.last_at.max(at);
        let stamp = Stamp { key, at, off_min, zone, observed, geom };
        match body {
            Body::JobOpened(body) => {
                let (state, value) = vehicle.unwrap_or((BlobState::Here, Some(Value::Null)));
                let read = value.and_then(|value| serde_json::from_value(value).ok()).unwrap_or_default();
                self.openings.push(Opening {
                    stamp,
                    form: body.form,
                    finish: body.finish,
                    scope: body.scope,
                    vehicle: read,
                    vehicle_state: state,
                });
            }
            Body::WalkBegun(body) => self.walks.push(Walk { id, stage: body.stage, stamp }),
            Body::OutcomeRecorded(body) => self.answers.push(Answer {
                stamp,
                walk: body.walk,
                panel: body.panel,
                outcome: body.outcome,
                why: body.why,
                distance: body.distance,
                light: body.light,
                surface: body.surface,
                spent_ms: body.spent_ms,
                note,
            }),
            Body::MarkRecorded(body) => {
                let first = Version {
                    input: id,
                    stamp,
                    description: body.mark,
                    note,
                    reason: Text::None,
                    corrects: None,
                };
                let mut versions = vec![first];
                versions.extend(self.orphans.remove(&id).unwrap_or_default());
                self.marks.push(Mark { id, label: body.label, walk: body.walk, versions });
            }
            Body::MarkCorrected(body) => {
                let version = Version {
                    input: id,
                    stamp,
                    description: body.becomes,
                    note,
                    reason,
                    corrects: Some(body.corrects),
                };
                match self.marks.iter_mut().find(|mark| mark.id == body.mark) {
                    Some(mark) => mark.versions.push(version),
                    None => self.orphans.entry(body.mark).or_default().push(version),
                }
            }
            Body::PhotoAttached(attached) => {
                let original = blobs.iter().find(|blob| blob.role == "original");
                let state = entry.blobs.get("original").map_or(BlobState::Lost, |(state, _)| *state);
                self.photos.push(Photo {
                    id,
                    stamp,
                    attached,
                    sha256: original.map(|blob| blob.sha256.clone()).unwrap_or_default(),
                    len: original.map(|blob| blob.len).unwrap_or_default(),
                    media: original.map(|blob| blob.media.clone()).unwrap_or_default(),
                    state,
                    note,
                });
            }
            Body::FeelTested(body) => self.feels.push(Feel {
                stamp,
                walk: body.walk,
                panel: body.panel,
                at: body.at,
                method: body.method,
                level: body.level,
                reacted: body.reacted,
                note,
            }),
            Body::JobClosed(closed) => self.closings.push(Closing { stamp, closed, note }),
            Body::LogSeen(_) | Body::Unknown { .. } => self.unknown.push(Unknown { stamp, kind, v }),
        }
    }

    /// Names of the logs with events on this job.
    pub fn logs(&self) -> BTreeSet<&str> {
        self.keys.iter().map(|key| key.1.as_str()).collect()
    }

    /// Latest time of saving among the events, UTC milliseconds.
    pub fn last_at(&self) -> i64 {
        self.last_at
    }

    /// Number of events.
    pub fn len(&self) -> usize {
        self.keys.len()
    }

    /// True when nothing is on record.
    pub fn is_empty(&self) -> bool {
        self.keys.is_empty()
    }

    /// The opening that counts.
    pub fn opening(&self) -> Option<&Opening> {
        self.openings.first()
    }

    /// A walk by its id.
    pub fn walk(&self, id: Uuid) -> Option<&Walk> {
        self.walks.iter().find(|walk| walk.id == id)
    }

    /// A mark by its id.
    pub fn mark(&self, id: Uuid) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.id == id)
    }

    /// The closing of another phone that did not know of this entry, if there is one.
    pub fn unknown_to_a_closing(&self, stamp: &Stamp) -> Option<&Closing> {
        self.closings.iter().find(|closing| {
            closing.stamp.log() != stamp.log()
                && !closing.closed.seen.iter().any(|head| head.log == stamp.log() && stamp.key.2 < head.size)
        })
    }

    /// Places where two different events stand under one number of one log: a fork.
    pub fn forked(&self) -> Vec<(String, u64)> {
        let mut at: BTreeMap<(&str, u64), usize> = BTreeMap::new();
        for key in &self.keys {
            *at.entry((&key.1, key.2)).or_default() += 1;
        }
        at.into_iter().filter(|(_, count)| *count > 1).map(|((log, seq), _)| (log.to_owned(), seq)).collect()
    }
}
