//! What is shown of looks under a light, of what could have been seen, and of missed spots. Pure: shapes only; `light` and
//! `care` fill them.

use super::StampView;
use crate::record::inputs::Spot;
use crate::record::words::{Light, SpotKind, Stage};
use serde::Serialize;

/// A look under a light.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LookView {
    /// Its id.
    pub id: String,
    /// When in the visit, to read.
    pub stage_text: String,
    /// Under which kind of light.
    pub light: Light,
    /// How it was made, to read: light, way, distance, surface, time spent.
    pub text: String,
    /// What it could have shown, or why it counts as not seen, to read.
    pub shows: String,
    /// Names of the panels that were looked at, to read.
    pub panels: Vec<String>,
    /// Which way the vehicle pointed, to read, if that matters and is known.
    pub heading: Option<String>,
    /// True when a sensor followed the lamp; a look is stated otherwise.
    pub sensed: bool,
    /// Note, if any.
    pub note: Option<String>,
    /// What a reader must know: headings that do not agree.
    pub flags: Vec<String>,
    /// Who and when.
    pub stamp: StampView,
}

/// How much of a panel could have been seen in a stage, in parts per million of its area (of area and direction for fine
/// lines).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SeenPanelView {
    /// Neutral name of the panel.
    pub panel: String,
    /// Its name, to read.
    pub panel_name: String,
    /// Fine lines.
    pub fine_line_ppm: u32,
    /// Haze.
    pub haze_ppm: u32,
    /// Tone.
    pub tone_ppm: u32,
    /// Proud faults.
    pub proud_ppm: u32,
    /// Shape.
    pub shape_ppm: u32,
    /// One line on it, to read.
    pub text: String,
}

/// What could have been seen in one stage of the visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SeenStageView {
    /// The stage.
    pub stage: Stage,
    /// The same, to read.
    pub stage_text: String,
    /// Number of looks.
    pub looks: u32,
    /// Version of the model that computed it.
    pub model: u32,
    /// How steep the walls of fine lines are taken to be, degrees.
    pub wall_deg: u32,
    /// Panels that were looked at under a stated light, in walking order.
    pub panels: Vec<SeenPanelView>,
}

/// What a stage says to a mark that was found later, or is asked about: a blank as evidence, or that it is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct BlankView {
    /// The stage.
    pub stage: Stage,
    /// The last look in it that could have shown the mark and recorded none; none when no look could have.
    pub look: Option<String>,
    /// The first mark recorded near that place in it: its number.
    pub mark: Option<String>,
    /// What that says, to read.
    pub text: String,
}

/// What the stages before it say to a mark.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct MarkBlanksView {
    /// The mark's id.
    pub mark: String,
    /// Stage by stage, in order.
    pub stages: Vec<BlankView>,
}

/// A missed spot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SpotView {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: SpotKind,
    /// Neutral name of the panel.
    pub panel: String,
    /// The panel's name, to read.
    pub panel_name: String,
    /// Where on it.
    pub at: Spot,
    /// What it is and under which light it was found, to read.
    pub text: String,
    /// What its age allows, in order, to read.
    pub allows: Vec<String>,
    /// True until it was seen clear again under two kinds of light.
    pub open: bool,
    /// How it stands, to read.
    pub state: String,
    /// What was done and seen since, in order, to read.
    pub history: Vec<String>,
    /// Note, if any.
    pub note: Option<String>,
    /// Who found it and when.
    pub stamp: StampView,
}

/// Everything on record about light.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LightView {
    /// Looks in order.
    pub looks: Vec<LookView>,
    /// What could have been seen, stage by stage.
    pub seen: Vec<SeenStageView>,
    /// What earlier looks say to marks that were found after them.
    pub blanks: Vec<MarkBlanksView>,
    /// Missed spots in order.
    pub spots: Vec<SpotView>,
}

/// A place to look from next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct StandView {
    /// What to do, to read.
    pub text: String,
    /// Neutral name of the panel that is looked at.
    pub panel: String,
    /// Where to stand, forward of the middle of the wheelbase, millimetres.
    pub x_mm: i32,
    /// To the left of it, millimetres.
    pub y_mm: i32,
    /// Height of the eye, millimetres.
    pub eye_mm: u32,
    /// What it adds to what the panels that matter have shown of fine lines, parts per million of their area and direction.
    pub adds_ppm: u32,
}

/// What the sun can show of a panel now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SunReachView {
    /// Neutral name of the panel.
    pub panel: String,
    /// Its name, to read.
    pub panel_name: String,
    /// Share of its area on which a person can bring the sun's image, parts per million.
    pub share_ppm: u32,
}

/// What the sun can do for a vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SunPlanView {
    /// Where it stands, to read.
    pub stands: String,
    /// Panels that it can show now, the most first.
    pub panels: Vec<SunReachView>,
    /// How far to turn the vehicle, clockwise from above, degrees, so that it shows the most.
    pub turn_deg: u32,
    /// Share of the painted area that it then can show, parts per million.
    pub turned_share_ppm: u32,
    /// What it can do, a line each, to read: which panels, how far to turn, when it rakes each side, where to park for shade.
    pub lines: Vec<String>,
}

/// A place at which spots are usually missed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct OftenMissedView {
    /// Neutral name of the panel.
    pub panel: String,
    /// Where, to read.
    pub text: String,
}
