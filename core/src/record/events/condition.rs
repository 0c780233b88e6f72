//! Bodies of events on the condition of the vehicle. Pure.

use super::is_false;
use crate::record::inputs::{Description, Spot};
use crate::record::words::{
    Area, Distance, FeelLevel, FeelMethod, Light, MarkKind, NoReading, Outcome, Party, Plate, Reaction,
    Surface, View, Why,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Body of `outcome.recorded`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutcomeRecorded {
    /// The walk.
    pub walk: Uuid,
    /// Neutral name of the panel.
    pub panel: String,
    /// The answer.
    pub outcome: Outcome,
    /// Why it could not be seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<Why>,
    /// How near.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<Distance>,
    /// Under which light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light: Option<Light>,
    /// State of the surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface: Option<Surface>,
    /// Time spent looking, milliseconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spent_ms: Option<u32>,
    /// True when it came so soon after the one before that no close look can have been between them (from version 2).
    #[serde(default, skip_serializing_if = "is_false")]
    pub fast: bool,
}

/// Body of `mark.recorded`; the mark's id is the input's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkRecorded {
    /// The walk.
    pub walk: Uuid,
    /// Its number for people, `1`, `2` … or `B1` on a second phone. It never changes.
    pub label: String,
    /// What and where; a note lies in the blob `note`.
    pub mark: Description,
    /// The same mark in an earlier job (from version 2): seen again today, with nothing new.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earlier: Option<Earlier>,
    /// Who showed it to the detailer (from version 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shown_by: Option<Party>,
    /// Where it was recorded before it was moved here (from version 2); it keeps its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moved_from: Option<MovedFrom>,
}

/// Body of `mark.corrected`; the reason lies in the blob `reason`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkCorrected {
    /// The mark.
    pub mark: Uuid,
    /// The entry that the corrector saw: the mark's own input or an earlier correction's. Two corrections of the same
    /// entry were made without knowing of each other, and both are shown.
    pub corrects: Uuid,
    /// The description as it now should read.
    pub becomes: Description,
}

/// Body of `photo.attached`; the file lies in the blob `original`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoAttached {
    /// The walk; none for an entry's photo before the first walk-around (from version 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub walk: Option<Uuid>,
    /// The mark it shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mark: Option<Uuid>,
    /// The panel it shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<String>,
    /// How near.
    pub view: View,
    /// Width as stored in the file, pixels.
    pub width_px: u32,
    /// Height as stored in the file, pixels.
    pub height_px: u32,
    /// EXIF orientation, 1 to 8.
    pub orientation: u32,
    /// The time of taking that the file itself claims (EXIF), RFC 3339, without an offset where it has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taken: Option<String>,
    /// The entry it shows (from version 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub entry: Option<Uuid>,
    /// Where it was recorded before it was moved here (from version 2); it keeps its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moved_from: Option<MovedFrom>,
}

/// Body of `feel.tested`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeelTested {
    /// The walk.
    pub walk: Uuid,
    /// Neutral name of the panel.
    pub panel: String,
    /// The spot felt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Spot>,
    /// With what.
    pub method: FeelMethod,
    /// What was felt.
    pub level: FeelLevel,
    /// What reacted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reacted: Vec<Reaction>,
    /// Whether a test square or the whole panel was felt (from version 2); the whole panel when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<Area>,
}

/// Where an entry stood before it was moved.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MovedFrom {
    /// The job.
    pub job: Uuid,
    /// Its id there, and here.
    pub entry: Uuid,
    /// When it was recorded there, UTC milliseconds.
    pub at: i64,
    /// Offset of the zone then, minutes.
    pub off_min: i32,
}

/// A mark of an earlier job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Earlier {
    /// The job.
    pub job: Uuid,
    /// The mark.
    pub mark: Uuid,
    /// Its number there.
    pub label: String,
    /// When that job was opened, UTC milliseconds.
    pub at: i64,
    /// Offset of the zone then, minutes.
    pub off_min: i32,
}

/// Body of `mark.seen-again`. A mark of this job was seen again, with nothing new.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkSeenAgain {
    /// The walk.
    pub walk: Uuid,
    /// The mark.
    pub mark: Uuid,
}

/// Body of `general.recorded`. A finding over whole panels.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GeneralRecorded {
    /// The walk.
    pub walk: Uuid,
    /// Neutral names of the panels.
    pub panels: Vec<String>,
    /// What it is.
    pub kind: MarkKind,
    /// About how many.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<u32>,
}

/// Body of `gauge.checked`. A thickness gauge was checked; which one lies in the blob `gauge`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GaugeChecked {
    /// On which bare plate.
    pub plate: Plate,
    /// What it read there, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zero_um: Option<i32>,
    /// Stated thickness of the foil, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foil_um: Option<u32>,
    /// What it read on the foil, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foil_read_um: Option<u32>,
    /// Stated accuracy, plus or minus, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accuracy_um: Option<u32>,
}

/// Body of `thickness.measured`. Paint thickness was measured on one panel, or could not be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThicknessMeasured {
    /// The walk.
    pub walk: Uuid,
    /// Neutral name of the panel.
    pub panel: String,
    /// The spot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Spot>,
    /// Every reading, µm.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings_um: Vec<u32>,
    /// Why there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_reading: Option<NoReading>,
    /// The check of the gauge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge_check: Option<Uuid>,
}
