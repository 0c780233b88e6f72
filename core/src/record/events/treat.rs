//! Bodies of events on what is done to a surface: what it is, what is agreed and set aside, steps, test squares, cloths, and how
//! the shop works. Pure.

use crate::record::inputs::{Spot, StepAgreed};
use crate::record::words::{
    Area, ClothOut, MarkKind, OwnerAnswer, Party, Reaction, Step, SurfaceKind, Tool, ZoneUse,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Body of `surface.recorded`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurfaceRecorded {
    /// Neutral name of the panel.
    pub panel: String,
    /// What it is.
    pub kind: SurfaceKind,
    /// What else is on it and is kept off.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<SurfaceKind>,
}

/// Body of `work.agreed`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorkAgreed {
    /// Who said so.
    pub by: Party,
    /// The steps.
    pub steps: Vec<StepAgreed>,
}

/// Body of `override.agreed`; the reason lies in the blob `reason`. What was warned of stands here as the person read it: rules
/// may read otherwise one day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OverrideAgreed {
    /// Neutral name of the panel.
    pub panel: String,
    /// The step.
    pub step: Step,
    /// How much of the panel.
    pub on: Area,
    /// What speaks against it.
    pub warned: Vec<String>,
    /// What was answered.
    pub answer: OwnerAnswer,
    /// Who answered.
    pub by: Party,
}

/// Body of `step.done`; the product lies in the blob `product`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepDone {
    /// Neutral names of the panels.
    pub panels: Vec<String>,
    /// Which.
    pub step: Step,
    /// How much of each panel.
    pub on: Area,
    /// What reacted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reacted: Vec<Reaction>,
    /// What a look saw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saw: Option<MarkKind>,
    /// Entries that set aside what speaks against it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<Uuid>,
}

/// Body of `square.tried`; machine, pad and polish lie in the blobs `machine`, `pad` and `polish`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SquareTried {
    /// Neutral name of the panel.
    pub panel: String,
    /// Where on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Spot>,
    /// Polish or compound.
    pub step: Step,
    /// How many passes.
    pub passes: u32,
    /// Entries that set aside what speaks against it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<Uuid>,
}

/// Body of `square.judged`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SquareJudged {
    /// The square.
    pub square: Uuid,
    /// Whether it is good enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub enough: Option<bool>,
    /// The lowest reading afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_um: Option<u32>,
    /// The photo before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<Uuid>,
    /// The photo after.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<Uuid>,
    /// What the owner said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answer: Option<OwnerAnswer>,
    /// Who answered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Party>,
}

/// Body of `cloth.taken`; name, product and what spoke against it lie in the blobs `name`, `product` and `warned`, because a
/// warning holds the crew's own names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClothTaken {
    /// The one taken again; none for a new one, whose id is the input's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cloth: Option<Uuid>,
    /// What a new one is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<Tool>,
    /// What its zone is for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneUse>,
    /// Neutral name of the panel.
    pub panel: String,
    /// For which step.
    pub step: Step,
    /// What it is used for here, by step and surface.
    pub used: ZoneUse,
    /// How much spoke against it.
    pub warnings: u32,
}

/// Body of `cloth.put-out`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClothPutOut {
    /// Which; none when none was on record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cloth: Option<Uuid>,
    /// Why.
    pub why: ClothOut,
    /// The panel that it was on.
    pub panel: String,
}

/// Body of `shop.described`; the cloth zones lie in the blob `zones`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShopDescribed {
    /// Under this lowest reading no machine without a reason and consent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_um: Option<u32>,
    /// What may come off over a paint's life.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub budget_um: Option<u32>,
    /// Tar or iron remover first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chemical_first: Option<Step>,
}

/// How this shop works: about the business, not about a job. What is left out is common practice, no source.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[serde(deny_unknown_fields)]
pub struct Shop {
    /// Under this lowest reading no machine without a reason and consent, 20 to 1,000 µm; 90 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub floor_um: Option<u32>,
    /// What may come off over a paint's life, 1 to 100 µm; 8 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub budget_um: Option<u32>,
    /// Tar or iron remover first; both orders are in use.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub chemical_first: Option<Step>,
    /// The crew's own cloth zones, cleanest first; the usual ones when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub zones: Vec<Zone>,
}

/// A zone of the crew's own, with what it is for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[serde(deny_unknown_fields)]
pub struct Zone {
    /// As the crew calls it, 1 to 60 characters.
    pub name: String,
    /// What it is for; each use belongs to exactly one zone.
    pub uses: Vec<ZoneUse>,
}
