//! From a draft that `decide` made to the bytes of an event: the envelope's times, numbers and salt, and the small
//! blobs that hold what a person typed. Pure: time and random bytes are handed in.

use super::canon::{self, NotCanonical};
use crate::record::events::{BlobRef, Body, Envelope, Observed, SMALL_MEDIA};
use serde_json::{Value, json};
use uuid::Uuid;

/// Program and version, as it stands in every event.
pub const APP: &str = concat!("sidelong/", env!("CARGO_PKG_VERSION"));

/// What `decide` wants recorded.
#[derive(Debug, Clone)]
pub struct Draft {
    /// The job; none for events about logs.
    pub job: Option<Uuid>,
    /// The input that caused it.
    pub input: Option<Uuid>,
    /// The body.
    pub body: Body,
    /// Version of the geometry, where a place is named.
    pub geom: Option<u32>,
    /// When it was seen, if entered later.
    pub observed: Option<Observed>,
    /// What was typed, by role: each becomes a small blob with its own salt.
    pub typed: Vec<(&'static str, Value)>,
    /// Files that are kept already, by role.
    pub files: Vec<BlobRef>,
}

impl Draft {
    /// A draft with nothing but its body.
    pub fn of(job: Option<Uuid>, input: Option<Uuid>, body: Body) -> Self {
        Self { job, input, body, geom: None, observed: None, typed: Vec::new(), files: Vec::new() }
    }
}

/// What the phone knows at the moment of saving.
#[derive(Debug, Clone)]
pub struct Moment {
    /// UTC milliseconds.
    pub at: i64,
    /// Offset of the zone, minutes.
    pub off_min: i32,
    /// Name of the zone.
    pub zone: String,
    /// Id of the phone's running since it was last started.
    pub boot: String,
    /// Milliseconds since then.
    pub mono: u64,
    /// Number of the event of this log that says who records.
    pub by: Option<u64>,
}

/// A small blob: bytes and what names them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SmallBlob {
    /// The canonical bytes, salt included.
    pub bytes: Vec<u8>,
    /// What the event says of it.
    pub named: BlobRef,
}

/// An event ready to be appended.
#[derive(Debug, Clone)]
pub struct Sealed {
    /// The envelope.
    pub envelope: Envelope,
    /// Its canonical bytes: the leaf.
    pub bytes: Vec<u8>,
    /// Small blobs to keep in the same transaction.
    pub small: Vec<SmallBlob>,
}

/// Makes a small blob; its salt keeps a short text (a plate) from being guessed from its hash after an erasure.
pub fn small_blob(role: &str, value: &Value, salt: [u8; 16]) -> Result<SmallBlob, NotCanonical> {
    let bytes = canon::bytes(&json!({ "salt": canon::hex(&salt), "value": value }))?;
    let named = BlobRef {
        len: bytes.len() as u64,
        role: role.to_owned(),
        sha256: canon::hex(&canon::sha256(&bytes)),
        media: SMALL_MEDIA.to_owned(),
    };
    Ok(SmallBlob { bytes, named })
}

/// What a small blob holds.
pub fn open_small(bytes: &[u8]) -> Option<Value> {
    let Value::Object(mut fields) = canon::read(bytes).ok()? else { return None };
    fields.remove("value")
}

/// Seals a draft as leaf `seq` of `log`. `random` gives 16 bytes at each call.
pub fn seal(
    draft: Draft,
    log: &str,
    seq: u64,
    lam: u64,
    moment: &Moment,
    mut random: impl FnMut() -> [u8; 16],
) -> Result<Sealed, NotCanonical> {
    let small = draft
        .typed
        .iter()
        .map(|(role, value)| small_blob(role, value, random()))
        .collect::<Result<Vec<_>, _>>()?;
    let (kind, v) = draft.body.kind();
    let envelope = Envelope {
        app: APP.to_owned(),
        at: moment.at,
        blobs: draft.files.into_iter().chain(small.iter().map(|blob| blob.named.clone())).collect(),
        body: draft.body.to_value().map_err(|_| NotCanonical::Json)?,
        boot: moment.boot.clone(),
        by: moment.by,
        geom: draft.geom,
        input: draft.input,
        job: draft.job,
        lam,
        log: log.to_owned(),
        mono: moment.mono,
        observed: draft.observed,
        off_min: moment.off_min,
        salt: canon::hex(&random()),
        seq,
        kind: kind.to_owned(),
        v,
        zone: moment.zone.clone(),
    };
    let value = serde_json::to_value(&envelope).map_err(|_| NotCanonical::Json)?;
    Ok(Sealed { bytes: canon::bytes(&value)?, envelope, small })
}
