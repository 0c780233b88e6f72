//! What a person puts in. One input is one act; it carries its own id, made by the caller and kept across process
//! death, so that sending it twice records it once. Pure.
//!
//! In a file of inputs (JSON Lines) each line is one [`Input`]; `sidelong record --schema` prints its JSON Schema,
//! made from these types.

use super::words::{
    Catch, Distance, FeelLevel, FeelMethod, Finish, Form, Holds, Light, MarkKind, Measured, Outcome,
    Reaction, Scope, Shows, Stage, Surface, View, Why,
};
use crate::error::Error;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

uniffi::custom_type!(Uuid, String, {
    remote,
    // Anything but the public error would be a crash on the other side.
    try_lift: |text| Uuid::parse_str(&text).map_err(|_| Error::refused("id", "an id is not a UUID").into()),
    lower: |id| id.to_string(),
});

/// One act of one person on one job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// UUID version 7 made by the caller. The same id with the same content is answered again; with other content
    /// it is refused.
    pub input: Uuid,
    /// UUID version 7 of the job, made by whoever opens it.
    pub job: Uuid,
    /// When it was seen, if it is entered later: RFC 3339 with an offset, not in the future. The record always
    /// keeps the real time of entry beside it and shows this one as "entered later".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub observed_at: Option<String>,
    /// What is recorded.
    pub act: Act,
}

/// What an input records.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Enum)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// Opens the job: the first input of every job.
    OpenJob(OpenJob),
    /// Begins a walk-around; the input's id becomes the walk's.
    BeginWalk(BeginWalk),
    /// Says of one panel what a walk-around found.
    RecordOutcome(RecordOutcome),
    /// Puts a mark on record; the input's id becomes the mark's.
    RecordMark(RecordMark),
    /// Adds a correction to a mark; the first entry stays.
    CorrectMark(CorrectMark),
    /// Attaches a photo to a mark, a panel or the whole vehicle.
    AttachPhoto(AttachPhoto),
    /// Records what a hand felt.
    RecordFeel(RecordFeel),
    /// Ends the visit.
    CloseJob(CloseJob),
}

/// The vehicle and what this visit deals with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OpenJob {
    /// Outline of the vehicle.
    pub form: Form,
    /// What the paint is.
    pub finish: Finish,
    /// What this visit deals with; at least one part.
    pub scope: Vec<Scope>,
    /// Number plate as read, at most 20 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub plate: Option<String>,
    /// Vehicle identification number as read, at most 30 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub vin: Option<String>,
    /// Colour in words, at most 100 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub colour: Option<String>,
}

/// A walk-around.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BeginWalk {
    /// When in the visit.
    pub stage: Stage,
}

/// What a walk-around says of one panel, and how it was looked at. What is left out is unknown, and unknown counts
/// as not seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordOutcome {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// Neutral name of the panel, for example `front-left-door`.
    pub panel: String,
    /// The answer.
    pub outcome: Outcome,
    /// Why it could not be seen; asked for exactly then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub why: Option<Why>,
    /// How near.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub distance: Option<Distance>,
    /// Under which light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub light: Option<Light>,
    /// In which state the surface was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub surface: Option<Surface>,
    /// Time spent looking, milliseconds, 0 to 3,600,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub spent_ms: Option<u32>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A place on a panel: `u` and `v` run over the panel's own square, in millionths, 0 to 1,000,000.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// Along the panel (forward on a side, forward on top, to the left on an end), millionths.
    pub u_ppm: u32,
    /// Across the panel (up on a side, left on top, up on an end), millionths.
    pub v_ppm: u32,
}

/// A mark: one stroke on the panel, and what it looks and feels like.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordMark {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// What and where.
    pub mark: Description,
}

/// What a mark is, where it is and what it looks and feels like.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Description {
    /// Neutral name of the panel.
    pub panel: String,
    /// Where it is, or where the stroke begins.
    pub from: Spot,
    /// Where the stroke ends; left out for a point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub to: Option<Spot>,
    /// What it is.
    pub kind: MarkKind,
    /// Whether a nail catches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub catch: Option<Catch>,
    /// What can be seen at its bottom.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub shows: Option<Shows>,
    /// What lies in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub holds: Option<Holds>,
    /// Length or diameter, micrometres, 1 to 30,000,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub length_um: Option<u32>,
    /// Width, micrometres, 1 to 30,000,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub width_um: Option<u32>,
    /// How the size was found; asked for when a size is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub measured: Option<Measured>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A correction: the whole description as it now should read, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CorrectMark {
    /// Id of the mark.
    pub mark: Uuid,
    /// The description that replaces what is shown; what was there stays on record.
    pub becomes: Description,
    /// Why, 1 to 4,000 characters.
    pub reason: String,
}

/// A photo. The original file is kept byte for byte.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct AttachPhoto {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// The mark it shows, if one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub mark: Option<Uuid>,
    /// The panel it shows, if one; left out for a mark's photo and for the whole vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel: Option<String>,
    /// How near.
    pub view: View,
    /// Name of the file below the folder that photos are taken in from; JPEG or PNG.
    pub file: String,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A feel test on a washed panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordFeel {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// Neutral name of the panel.
    pub panel: String,
    /// The palm-size spot; left out, the middle of the panel is not assumed: it reads "somewhere on".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub at: Option<Spot>,
    /// With what it was felt.
    pub method: FeelMethod,
    /// What was felt.
    pub level: FeelLevel,
    /// What reacted; empty when nothing was tried.
    #[serde(default)]
    #[uniffi(default = [])]
    pub reacted: Vec<Reaction>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// The end of the visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CloseJob {
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}
