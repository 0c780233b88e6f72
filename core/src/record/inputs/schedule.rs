//! Inputs on the schedule: who coats which sections, with which sheets and how fast. Pure.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

fn one() -> u32 {
    1
}

/// Makes a schedule and puts it on record: who applies and levels which section when, so that all of it is finished soonest. What is
/// on record already goes in as done, so making it again is planning anew. The windows come from the sheets; they count
/// from the first stroke, as the clocks do. The newest schedule counts; earlier ones stay on record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct MakeSchedule {
    /// Who works, 1 to 50.
    pub people: Vec<Worker>,
    /// Sections, 1 to 200, each once; together as many layers as one entry holds, about 400.
    pub sections: Vec<SectionToCoat>,
    /// How many sections a person may have open, 1 to 100; one is the usual advice.
    #[serde(default = "one")]
    #[uniffi(default = 1)]
    pub open_limit: u32,
    /// Whether another person may level what one has put on.
    #[serde(default)]
    #[uniffi(default = false)]
    pub hand_over: bool,
    /// Whether a window that is running already may be missed if nothing else fits; it is then kept as nearly as it can be, and
    /// told. Without it such a schedule is refused.
    #[serde(default)]
    #[uniffi(default = false)]
    pub late_allowed: bool,
    /// When work begins: RFC 3339 with an offset, at most 366 days ahead. Now, when it is left out or over.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub begins_at: Option<String>,
}

/// Somebody who works.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Worker {
    /// Name, 1 to 60 characters, told apart from the others': as in the entries of who put a layer on.
    pub name: String,
    /// From when on, if that is later than the work begins: RFC 3339 with an offset.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub from_at: Option<String>,
}

/// As much of a panel as is coated at a time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SectionToCoat {
    /// Neutral name of the panel or place.
    pub panel: String,
    /// Which part of it, 1 to 99.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub part: Option<u32>,
    /// Its layers, the lowest first, 1 to 20: all of them, also those that are on record already.
    pub layers: Vec<LayerToCoat>,
}

/// One layer on a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LayerToCoat {
    /// The sheet, in this job.
    pub sheet: Uuid,
    /// Hands-on time of putting it on, seconds: 1 to 86,400, and within the most that the sheet lets it wait.
    pub apply_s: u32,
    /// Hands-on time of levelling or taking off, seconds: 1 to 86,400.
    pub level_s: u32,
}
