//! Bodies of events on the work: sheets, lots, conditions, layers. Pure.

use super::is_false;
use crate::record::inputs::{CarUse, SheetSays};
use crate::record::words::Step;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Body of `sheet.recorded`; name, sentences and source lie in the blob `sheet`. What the user's sheet left out is filled from the
/// starter set as it was then and named in `usual`, so that nothing here depends on a later starter set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetRecorded {
    /// The step that it is for.
    pub kind: Step,
    /// Counts edits, from 1.
    pub version: u32,
    /// True for a sheet of the starter set: common practice, no source.
    #[serde(default, skip_serializing_if = "is_false")]
    pub starter: bool,
    /// What it says, gaps filled.
    pub says: SheetSays,
    /// Names of the fields that are not from the sheet but common practice, no source.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub usual: Vec<String>,
}

/// Content of the blob `sheet`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetTexts {
    /// The product.
    pub name: String,
    /// How it goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apply: Option<String>,
    /// How it comes off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remove: Option<String>,
    /// What to take care of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
    /// Where it is from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// Body of `lot.opened`; the lot as printed lies in the blob `lot`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LotOpened {
    /// The product's sheet.
    pub sheet: Uuid,
    /// Date on which it was opened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened: Option<String>,
    /// Date by which it is to be used up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub use_by: Option<String>,
}

/// Body of `conditions.read`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConditionsRead {
    /// The panel that was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<String>,
    /// The sheet that it was weighed against.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<Uuid>,
    /// Air, milli-°C.
    pub air_mc: i32,
    /// Panel, milli-°C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_mc: Option<i32>,
    /// Relative humidity, millionths of saturation.
    pub rh_ppm: u32,
    /// Whether the sun was on the panel.
    #[serde(default, skip_serializing_if = "is_false")]
    pub sun_on_panel: bool,
    /// Dew point as computed when it was recorded, milli-°C.
    pub dew_point_mc: i32,
    /// Frost point, only when the dew point lies below 0 °C, milli-°C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frost_point_mc: Option<i32>,
}

/// Body of `work.continued`; the reason lies in the blob `reason`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorkContinued {
    /// The reading of the conditions.
    pub conditions: Uuid,
}

/// Body of `layer.begun`; who did it, if it is not who recorded, lies in the blob `who`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LayerBegun {
    /// Neutral name of the panel or place.
    pub panel: String,
    /// Which part of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<u32>,
    /// Which layer on it, from 1.
    pub layer: u32,
    /// The sheet, in the version that was on record.
    pub sheet: Uuid,
    /// The lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<Uuid>,
}

/// Body of `layer.levelled`; who did it, if it is not who recorded, lies in the blob `who`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LayerLevelled {
    /// The layer: the entry that began it.
    pub begun: Uuid,
}

/// Body of `use.recorded`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UseRecorded {
    /// How the car is used.
    pub used: CarUse,
}
