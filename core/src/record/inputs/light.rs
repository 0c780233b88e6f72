//! Inputs on looks under a light, and on missed spots. Pure.

use super::Spot;
use crate::record::words::{
    Ambient, Distance, HeadingFrom, Lies, Light, SpotKind, Step, Surface, WayOfLooking,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// A place on the ground in the frame of the vehicle: from the middle of the wheelbase, as seated, millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Ground {
    /// Forward, -20,000 to 20,000.
    pub x_mm: i32,
    /// To the left, -20,000 to 20,000.
    pub y_mm: i32,
}

/// A place on a panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PanelSpot {
    /// Neutral name of the panel.
    pub panel: String,
    /// Where on it.
    pub at: Spot,
}

/// A place on earth. It is kept beside the log and can be erased; what the log keeps is the sun's direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Earth {
    /// Latitude, millionths of a degree, north positive: -90,000,000 to 90,000,000.
    pub lat_udeg: i32,
    /// Longitude, millionths of a degree, east positive: -180,000,000 to 180,000,000.
    pub lon_udeg: i32,
    /// Height above the sea, metres: -500 to 9,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub height_m: Option<i32>,
}

/// Which way the vehicle's front points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Heading {
    /// Clockwise from true north, thousandths of a degree, 0 to 359,999.
    pub mdeg: u32,
    /// How far off it may be either way, thousandths of a degree, 0 to 180,000.
    pub plus_minus_mdeg: u32,
    /// How it is known.
    pub from: HeadingFrom,
}

/// A line lamp: a tube, or the edge of an awning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tube {
    /// How long it is, millimetres, 100 to 20,000.
    pub length_mm: u32,
    /// Which way it lies.
    pub lies: Lies,
}

/// A moment of a lamp that is swept, by the phone's rotation sensor: turned from where the sweep began.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SweepPoint {
    /// To the left, thousandths of a degree, -180,000 to 180,000.
    pub yaw_mdeg: i32,
    /// Upwards, thousandths of a degree, -90,000 to 90,000.
    pub pitch_mdeg: i32,
}

/// A look at some panels under one light. Two touches say where a person stood and where the light's image was; what nobody
/// says counts as not seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordLook {
    /// The walk; the job's latest when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub walk: Option<Uuid>,
    /// Under which kind of light. In the shade it is "soft".
    pub light: Light,
    /// Where I stand.
    pub stand: Ground,
    /// How the look is made from there.
    pub way: WayOfLooking,
    /// Neutral names of the panels that were looked at; the one with the image when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub panels: Vec<String>,
    /// Where the light's mirror image is as seen from there. Of raking light: the place that it rakes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub image: Option<PanelSpot>,
    /// Where a walk along the car ends; a metre forward and back when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub to: Option<Ground>,
    /// How far a lamp is from the image, millimetres, 50 to 10,000; 450 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub lamp_mm: Option<u32>,
    /// What kind of line a line lamp is; 1,200 mm along the car when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub tube: Option<Tube>,
    /// How the phone's own lamp was swept, if its rotation sensor says so; at most 1,000.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub sweep: Vec<SweepPoint>,
    /// Where on earth: only the sun's direction is kept of it in the log.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub earth: Option<Earth>,
    /// Which way the vehicle points, if a street or a compass says so; in the sun its image says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub heading: Option<Heading>,
    /// State of the surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub surface: Option<Surface>,
    /// What else is bright.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub ambient: Option<Ambient>,
    /// How near the look was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub distance: Option<Distance>,
    /// Time spent looking, milliseconds, at most an hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub spent_ms: Option<u32>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A missed spot: residue, a coating's high spot, a thin or missed place, a smear. The input's id becomes the spot's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FindSpot {
    /// What it is.
    pub kind: SpotKind,
    /// Where it is.
    pub place: PanelSpot,
    /// Under which light it was found.
    pub light: Light,
    /// The step that left it; what its age allows depends on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub step: Option<Step>,
    /// How long ago that step was, seconds, at most 31,536,000 (a year); left out when nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub age_s: Option<u32>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// What was done about a missed spot. It stays open until it is seen clear.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TreatSpot {
    /// The spot.
    pub spot: Uuid,
    /// What was done, 1 to 4,000 characters.
    pub what: String,
}

/// A missed spot was looked at again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CheckSpot {
    /// The spot.
    pub spot: Uuid,
    /// Under which light.
    pub light: Light,
    /// Whether nothing of it was seen.
    pub clear: bool,
}
