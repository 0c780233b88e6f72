//! Inputs on the work: product sheets, lots, conditions, layers on sections and their levelling, how the car is used. Pure.
//!
//! The values of a sheet stand here, because an event keeps them; what they mean is `care`'s.

use crate::record::words::{SectionOf, Sleeps, Step, SurfaceKind, WashHabit};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// A time from least to most, seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Span {
    /// At least, seconds.
    pub least_s: u32,
    /// At most, seconds; left out, the sheet states no upper end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub most_s: Option<u32>,
}

impl Span {
    /// The careful end for a wait: the longer one where there are two.
    pub fn longest_s(self) -> u32 {
        self.most_s.unwrap_or(self.least_s)
    }
}

/// How much is worked on at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Section {
    /// What is counted.
    pub of: SectionOf,
    /// At least; 1 or more.
    pub least: u32,
    /// At most.
    pub most: u32,
}

/// How many coats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Coats {
    /// At least; 1 or more.
    pub least: u32,
    /// At most.
    pub most: u32,
}

/// The five waits after a layer, from its end.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Waits {
    /// Until it may be touched or sat on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub touch: Option<Span>,
    /// Until rain or water may fall on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub rain: Option<Span>,
    /// Until it may be washed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub wash: Option<Span>,
    /// Until cleaners stronger than shampoo may touch it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub chemicals: Option<Span>,
    /// Until it is fully cured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub full: Option<Span>,
}

/// A window of temperature, milli-°C.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Temperatures {
    /// At least, milli-°C.
    pub least_mc: i32,
    /// At most, milli-°C.
    pub most_mc: i32,
}

/// A window of relative humidity, percent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Humidity {
    /// At least, percent.
    pub least_pct: u32,
    /// At most, percent.
    pub most_pct: u32,
}

/// How long a layer lasts, days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Life {
    /// At least, days; 1 or more.
    pub least_days: u32,
    /// At most, days.
    pub most_days: u32,
}

/// What a sheet says in numbers and words of the closed lists. What is left out, it does not say.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SheetSays {
    /// Surfaces that it is for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub surfaces: Vec<SurfaceKind>,
    /// How much at a time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub section: Option<Section>,
    /// How many coats.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub coats: Option<Coats>,
    /// From applied to levelled or taken off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub dwell: Option<Span>,
    /// From levelled to the next layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub next_layer: Option<Span>,
    /// The five waits after the last layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub waits: Option<Waits>,
    /// Of the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub air: Option<Temperatures>,
    /// Of the panel, which is not that of the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel: Option<Temperatures>,
    /// Of the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub humidity: Option<Humidity>,
    /// How long it lasts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub life: Option<Life>,
    /// Whether it asks for shade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub shade: Option<bool>,
}

/// A product's sheet, as the user has it, or one of the starter set. The input's id becomes the sheet's: a layer names it, so an
/// edit, which is a sheet of its own with the next version, changes nothing for a layer that was begun.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordSheet {
    /// The step that it is for.
    pub kind: Step,
    /// Take the starter set's sheet of this kind, whose numbers are common practice, no source; then nothing else is given.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[uniffi(default = false)]
    pub starter: bool,
    /// The product, 1 to 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub name: Option<String>,
    /// Counts edits, from 1; the next one of this name in the job when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub version: Option<u32>,
    /// What it says.
    #[serde(default)]
    pub says: SheetSays,
    /// How it goes on, at most 500 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub apply: Option<String>,
    /// How it comes off, at most 500 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub remove: Option<String>,
    /// What to take care of: at most 20, of 500 characters.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub cautions: Vec<String>,
    /// Where it is from, at most 500 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub source: Option<String>,
}

/// A bottle or tin that is used in this job; the input's id becomes the lot's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OpenLot {
    /// The product's sheet in this job.
    pub sheet: Uuid,
    /// The lot as it is printed, 1 to 100 characters with a letter or digit in them.
    pub lot: String,
    /// The date on which it was opened, as `2026-06-09`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub opened: Option<String>,
    /// The date by which it is to be used up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub use_by: Option<String>,
}

/// What was measured beside the work. It is weighed against the sheets and never keeps anybody from working.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ReadConditions {
    /// Neutral name of the panel that was measured; the vehicle as a whole when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel: Option<String>,
    /// The sheet to weigh it against; the newest version of every sheet of the job when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub sheet: Option<Uuid>,
    /// Air, milli-°C: -40,000 to 60,000.
    pub air_mc: i32,
    /// Panel, milli-°C: -40,000 to 120,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel_mc: Option<i32>,
    /// Relative humidity, millionths of saturation: 10,000 to 1,000,000 (1 to 100 %).
    pub rh_ppm: u32,
    /// Whether the sun is on the panel.
    #[serde(default)]
    #[uniffi(default = false)]
    pub sun_on_panel: bool,
    /// Note, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// Going on although something lay outside a sheet's limits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ContinueWork {
    /// The reading of the conditions.
    pub conditions: Uuid,
    /// Why, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub reason: Option<String>,
}

/// A product was put on a section and waits there; the input's id becomes the layer's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BeginLayer {
    /// Neutral name of the panel or place.
    pub panel: String,
    /// Which part of it, 1 to 99; the whole of it when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub part: Option<u32>,
    /// Which layer on it, 1 to 20.
    pub layer: u32,
    /// With which sheet of this job: that version holds for it to the end.
    pub sheet: Uuid,
    /// From which lot of this job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub lot: Option<Uuid>,
    /// Who put it on, if it is not who records; at most 100 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub who: Option<String>,
}

/// A section was levelled, wiped or rinsed off. One input levels a section and begins the next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LevelSection {
    /// The layer that waited there: the input that began it.
    pub begun: Uuid,
    /// Who did it, if it is not who records; at most 100 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub who: Option<String>,
    /// The section that is begun in the same moment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub then: Option<BeginLayer>,
}

/// How the car is used, as far as it is known. What is not known shortens nothing.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CarUse {
    /// Kilometres a year, at most 1,000,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub km_a_year: Option<u32>,
    /// Where it stands at night.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub sleeps: Option<Sleeps>,
    /// How it is washed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub washed: Option<WashHabit>,
    /// Long hot summers with strong sun.
    #[serde(default)]
    #[uniffi(default = false)]
    pub heat: bool,
    /// Salted roads in the season ahead.
    #[serde(default)]
    #[uniffi(default = false)]
    pub salt: bool,
    /// Age of the car, years, at most 150.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub age_years: Option<u32>,
}
