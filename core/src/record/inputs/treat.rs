//! Inputs on what is done to a surface: what it is, what is agreed, what speaks against it and is set aside, steps, test
//! squares, and the cloths and pads in use. Pure.

use super::Spot;
use crate::record::words::{
    Area, ClothOut, MarkKind, OwnerAnswer, Party, Reaction, Step, SurfaceKind, Tool, ZoneUse,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// What a panel is. Where nothing is recorded, its paint is what the vehicle was opened with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordSurface {
    /// Neutral name of the panel.
    pub panel: String,
    /// What it is.
    pub kind: SurfaceKind,
    /// What else is on it and is kept off: the edge of a film, a decal, a seal; each once.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub also: Vec<SurfaceKind>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// One step and whether it is agreed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StepAgreed {
    /// Which.
    pub step: Step,
    /// Neutral names of the panels, at least one.
    pub panels: Vec<String>,
    /// False when it is not, or no longer, wanted.
    pub agreed: bool,
}

/// Which steps the owner agreed to. The latest word on a step and a panel counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct AgreeWork {
    /// Who said so: the owner, an agent or a fleet's contact.
    pub by: Party,
    /// The steps, 1 to 50.
    pub steps: Vec<StepAgreed>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// Why something that is warned of is done all the same, and who agreed to it; before it is done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SetAside {
    /// Neutral name of the panel.
    pub panel: String,
    /// The step.
    pub step: Step,
    /// How much of the panel; all of it when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub on: Option<Area>,
    /// Why, 1 to 1,000 characters.
    pub reason: String,
    /// What was answered. Only "agreed" is consent: silence is none.
    pub answer: OwnerAnswer,
    /// Who answered: the owner, an agent or a fleet's contact.
    pub by: Party,
}

/// A step that was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordStep {
    /// Neutral names of the panels, 1 to 100.
    pub panels: Vec<String>,
    /// Which. A feel test and a test square of polishing have acts of their own.
    pub step: Step,
    /// How much of each panel; all of it when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub on: Option<Area>,
    /// What reacted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub reacted: Vec<Reaction>,
    /// What a look saw; only with the step "look".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub saw: Option<MarkKind>,
    /// With which product, at most 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub product: Option<String>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// Polishing tried on a test square.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TrySquare {
    /// Neutral name of the panel.
    pub panel: String,
    /// Where on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub at: Option<Spot>,
    /// `polish` or `compound`.
    pub step: Step,
    /// Which machine, 1 to 200 characters.
    pub machine: String,
    /// Which pad, 1 to 200 characters.
    pub pad: String,
    /// Which polish, 1 to 200 characters.
    pub polish: String,
    /// How many passes, 1 to 100.
    pub passes: u32,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// What came of a test square. It can be said in parts: the latest word on each counts, of the readings the lowest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct JudgeSquare {
    /// The square.
    pub square: Uuid,
    /// Whether it is good enough, looked at after a panel wipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub enough: Option<bool>,
    /// The lowest reading on it afterwards, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub lowest_um: Option<u32>,
    /// The photo before, on record in this job; with `after`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub before: Option<Uuid>,
    /// The photo after, from the same place in the same light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub after: Option<Uuid>,
    /// What the owner said to it; with `by`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub answer: Option<OwnerAnswer>,
    /// Who answered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub by: Option<Party>,
}

/// A cloth, mitt or pad is taken for a panel. What speaks against it is said and recorded beside it; nothing is blocked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TakeCloth {
    /// One that was taken before; a new one when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub cloth: Option<Uuid>,
    /// What a new one is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub tool: Option<Tool>,
    /// What the zone is for that a new one belongs to; a pad needs none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub zone: Option<ZoneUse>,
    /// How the crew tells a new one apart, 1 to 60 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub name: Option<String>,
    /// Neutral name of the panel.
    pub panel: String,
    /// For which step.
    pub step: Step,
    /// With which product, at most 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub product: Option<String>,
}

/// A cloth, mitt or pad is out of use: it fell, or grit was found in it. The panel that it was on is looked at again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PutOut {
    /// Which; the one taken last when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub cloth: Option<Uuid>,
    /// Why: `dropped` or `grit`.
    pub why: ClothOut,
    /// The panel that it was on; the one that it was taken for last when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel: Option<String>,
}
