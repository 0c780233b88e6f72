//! Inputs on the condition of the vehicle: what was looked at, felt, measured and photographed. Pure.

use crate::record::words::{
    Area, Catch, Distance, FeelLevel, FeelMethod, Holds, Light, MarkKind, Measured, NoReading, Outcome,
    Party, Plate, Reaction, Shows, Surface, View, WholeSide, Why,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

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

/// A whole side answered in one touch while walking past: nothing seen on any of its places that has no answer and no
/// mark in this walk-around yet. It is never more than a walk-past.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PassSide {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// The side.
    pub side: WholeSide,
    /// Under which light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub light: Option<Light>,
    /// In which state the surface was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub surface: Option<Surface>,
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
    /// Who showed it to the detailer, if somebody did.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub shown_by: Option<Party>,
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
    /// How the size was found; asked for when a size is given. By stroke, the length may be left out: it is computed.
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

/// A known mark seen again, with nothing new about it: one touch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SeeAgain {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// The mark.
    pub mark: Uuid,
    /// The earlier job that the mark stands in; left out, this one. A mark of an earlier job becomes a mark of this one
    /// that names it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub job: Option<Uuid>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A finding over whole panels, in place of many marks: "about 30 chips over the bonnet".
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordGeneral {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// Neutral names of the panels, 1 to 60.
    pub panels: Vec<String>,
    /// What it is.
    pub kind: MarkKind,
    /// About how many, 2 to 10,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub about: Option<u32>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
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
    /// The entry it shows (instruments, belongings, an incident …), if one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub entry: Option<Uuid>,
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
    /// Whether a test square or the whole panel was felt; the whole panel when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub on: Option<Area>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A check of a thickness gauge on a bare plate and a foil of known thickness.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CheckGauge {
    /// Which gauge: name or number as written on it, at most 100 characters.
    pub gauge: String,
    /// On which bare plate.
    pub plate: Plate,
    /// What it read on the bare plate, µm, -1,000 to 1,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub zero_um: Option<i32>,
    /// Stated thickness of the foil, µm, 1 to 10,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub foil_um: Option<u32>,
    /// What it read on the foil, µm, 1 to 10,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub foil_read_um: Option<u32>,
    /// Stated accuracy, plus or minus, µm, 0 to 100.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub accuracy_um: Option<u32>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// Paint thickness on one panel: every reading, or why there is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct MeasureThickness {
    /// The walk; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// Neutral name of the panel.
    pub panel: String,
    /// The spot, when all readings are of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub at: Option<Spot>,
    /// Readings in µm as they came, 1 to 10,000 each, at most 200. Total film: a gauge does not know the layers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub readings_um: Vec<u32>,
    /// Why there is no reading; then there are no readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub no_reading: Option<NoReading>,
    /// The check of the gauge in this job; left out, the job's latest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub gauge_check: Option<Uuid>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}
