//! Bodies of events on looks under a light, and on missed spots. Pure.

use crate::record::inputs::{Ground, Heading, PanelSpot, SweepPoint, Tube};
use crate::record::words::{Ambient, Distance, Light, SpotKind, Step, Surface, WayOfLooking};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Body of `look.made`. The place on earth lies in the blob `earth`: what could have been seen survives its erasure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LookMade {
    /// The walk.
    pub walk: Uuid,
    /// Under which kind of light.
    pub light: Light,
    /// Neutral names of the panels that were looked at.
    pub panels: Vec<String>,
    /// Where the person stood.
    pub stand: Ground,
    /// How the look was made from there.
    pub way: WayOfLooking,
    /// Where a walk ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<Ground>,
    /// Where the light's image was, or what raking light raked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub image: Option<PanelSpot>,
    /// How far a lamp was from the image.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lamp_mm: Option<u32>,
    /// What kind of line a line lamp was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tube: Option<Tube>,
    /// How a phone's lamp was swept.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sweep: Vec<SweepPoint>,
    /// Where the sun stood, as computed when the look was recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sun: Option<SunStood>,
    /// Which way the vehicle pointed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heading: Option<Heading>,
    /// State of the surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface: Option<Surface>,
    /// What else was bright.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient: Option<Ambient>,
    /// How near the look was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<Distance>,
    /// Time spent looking, milliseconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spent_ms: Option<u32>,
}

/// Where the sun stood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SunStood {
    /// Clockwise from true north, thousandths of a degree.
    pub azimuth_mdeg: u32,
    /// Above the horizon as the air lifts it, thousandths of a degree.
    pub elevation_mdeg: i32,
}

/// Body of `spot.found`; the spot's id is the input's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpotFound {
    /// What it is.
    pub kind: SpotKind,
    /// Where it is.
    pub place: PanelSpot,
    /// Under which light it was found.
    pub light: Light,
    /// The step that left it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<Step>,
    /// How long ago the step was, seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age_s: Option<u32>,
}

/// Body of `spot.treated`; what was done lies in the blob `what`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpotTreated {
    /// The spot.
    pub spot: Uuid,
}

/// Body of `spot.checked`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SpotChecked {
    /// The spot.
    pub spot: Uuid,
    /// Under which light.
    pub light: Light,
    /// Whether nothing of it was seen.
    pub clear: bool,
}
