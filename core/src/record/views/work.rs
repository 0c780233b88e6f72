//! What is shown of the work: sheets, lots, conditions, layers, clocks, aftercare. Pure: shapes only; `care` fills them.

use super::StampView;
use crate::record::inputs::RecordSheet;
use crate::record::words::Step;
use serde::Serialize;

/// A product's sheet in one version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SheetView {
    /// Its id: what a layer names.
    pub id: String,
    /// The product.
    pub product: String,
    /// Counts edits, from 1.
    pub version: u32,
    /// The step that it is for.
    pub kind: Step,
    /// The same, to read.
    pub kind_text: String,
    /// What it says, a line each, to read.
    pub lines: Vec<String>,
    /// Of these, what is common practice, no source, and not from the sheet, to read.
    pub usual: Option<String>,
    /// What to take care of, where it is from, as it was typed.
    pub typed: Vec<String>,
    /// Said when a newer version is on record: layers that were begun go on with theirs.
    pub newer: Option<String>,
    /// Who recorded it and when.
    pub stamp: StampView,
}

/// A sheet that is known from any job, as an input that puts it on record in another one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SheetKnown {
    /// The product.
    pub product: String,
    /// Newest version that is on record here.
    pub version: u32,
    /// The step that it is for, to read.
    pub kind_text: String,
    /// What to record.
    pub input: RecordSheet,
}

/// A lot of a product.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LotView {
    /// Its id: what a layer names.
    pub id: String,
    /// As it is printed.
    pub lot: String,
    /// The product, to read.
    pub product: String,
    /// When it was opened and by when it is to be used up, to read.
    pub lines: Vec<String>,
    /// Who recorded it and when.
    pub stamp: StampView,
}

/// A reading of the conditions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ConditionsView {
    /// Its id.
    pub id: String,
    /// Where, to read.
    pub place: String,
    /// What was measured, and the dew point that follows, to read.
    pub text: String,
    /// How far the panel lay above the dew point, milli-°C; below 0 it was getting wet.
    pub margin_mc: Option<i32>,
    /// What lay outside the sheets' limits, to read; it keeps nobody from working.
    pub notes: Vec<String>,
    /// That somebody went on all the same, with the reason, to read.
    pub continued: Vec<String>,
    /// Note, if any.
    pub note: Option<String>,
    /// Who read it and when.
    pub stamp: StampView,
}

/// A layer on a section, or whatever else was put there and waited.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LayerView {
    /// Its id: what levelling it names.
    pub id: String,
    /// Neutral name of the panel.
    pub panel: String,
    /// The section, to read: `bonnet, part 2`.
    pub section: String,
    /// Which layer on it.
    pub layer: u32,
    /// The product with its version, to read.
    pub product: String,
    /// The lot, if one was named.
    pub lot: Option<String>,
    /// Who put it on, to read.
    pub who: String,
    /// When it was put on, UTC milliseconds.
    pub begun_ms: i64,
    /// When it was levelled.
    pub levelled_ms: Option<i64>,
    /// Least wait by the sheet, milliseconds.
    pub least_ms: u64,
    /// Longest wait by the sheet.
    pub most_ms: Option<u64>,
    /// Least time to the next layer by the sheet, milliseconds.
    pub next_ms: Option<u64>,
    /// By how much it was levelled too late, milliseconds; 0 when it was not.
    pub late_ms: u64,
    /// By how much it was levelled too early, milliseconds.
    pub early_ms: u64,
    /// True while it waits.
    pub open: bool,
    /// How it stands, to read.
    pub state: String,
    /// The conditions that held for it, to read.
    pub conditions: Option<String>,
    /// What a reader must know: what lay outside the sheet's limits, a layer put on too early, a second levelling.
    pub notes: Vec<String>,
    /// Who recorded it and when.
    pub stamp: StampView,
}

/// How far an open section is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, uniffi::Enum)]
#[serde(rename_all = "kebab-case")]
pub enum ClockStage {
    /// Not to be touched yet.
    Waits,
    /// To be levelled.
    Due,
    /// Too late.
    Overdue,
}

/// The clock of an open section.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ClockView {
    /// The job.
    pub job: String,
    /// The vehicle, to read.
    pub vehicle: String,
    /// The layer that waits: what levelling it names.
    pub layer_id: String,
    /// The section, to read.
    pub section: String,
    /// Which layer on it.
    pub layer: u32,
    /// The product, to read.
    pub product: String,
    /// Who put it on, to read.
    pub who: String,
    /// How far it is.
    pub stage: ClockStage,
    /// The same, to read: `due in 1 min 20 s`.
    pub text: String,
    /// How long it has waited, milliseconds.
    pub waited_ms: u64,
    /// When it is due, by the wall clock as it stands now, UTC milliseconds.
    pub due_ms: i64,
    /// After when it is late; none where the sheet names no most.
    pub late_ms: Option<i64>,
    /// False if a clock was set back meanwhile: it may be over earlier, never later.
    pub sure: bool,
}

/// A section that was levelled late.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LateView {
    /// The job.
    pub job: String,
    /// The layer.
    pub layer_id: String,
    /// The section, to read.
    pub section: String,
    /// Which layer on it.
    pub layer: u32,
    /// By how much, milliseconds.
    pub late_ms: u64,
    /// The same, to read.
    pub text: String,
}

/// The clocks at a moment.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ClocksView {
    /// Open sections, what is due next on top: overdue, due, waiting.
    pub open: Vec<ClockView>,
    /// Sections that were levelled late, in order; of one job only if one was asked for, otherwise of those with open sections.
    pub late: Vec<LateView>,
}

/// One of the five clocks after the last layer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct CureView {
    /// Which: touch, rain, wash, chemicals or full.
    pub wait: String,
    /// True for what is inside the car.
    pub inside: bool,
    /// What it says, to read: `Keep it dry until Wed 10 June 2026, 15:20; …`
    pub text: String,
    /// When it is over, UTC milliseconds.
    pub due_ms: i64,
    /// Its day in the zone asked for, to read: `Wed 10 June 2026`.
    pub day: String,
    /// Its time of day there: `15:20`.
    pub time: String,
    /// What is left, milliseconds; 0 once it is over.
    pub left_ms: u64,
    /// False if a clock was set back meanwhile: it may be over earlier, never later.
    pub sure: bool,
    /// The product and section that it waits for, to read.
    pub because: String,
}

/// A line of the aftercare.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct AftercareLine {
    /// Which of the five waits, if it is one.
    pub wait: Option<String>,
    /// Until when, UTC milliseconds.
    pub until_ms: Option<i64>,
    /// What it says, to read.
    pub text: String,
    /// The product and section that ask for it, to read.
    pub because: Option<String>,
}

/// A date that is suggested for looking again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LookAgainView {
    /// What it says, to read: a suggestion, never a promise.
    pub text: String,
    /// From this day on, as `2026-12-09`.
    pub from_day: String,
    /// The same, to read.
    pub from_text: String,
    /// At the latest on this day, to read.
    pub by_text: String,
    /// What it rests on, to read.
    pub reasons: Vec<String>,
}

/// Everything on record about the work of a job.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct WorkView {
    /// Sheets, every version, in order.
    pub sheets: Vec<SheetView>,
    /// Lots in order.
    pub lots: Vec<LotView>,
    /// Readings of the conditions in order.
    pub conditions: Vec<ConditionsView>,
    /// Layers in the order in which they were begun.
    pub layers: Vec<LayerView>,
    /// What to keep off until when, then what to do.
    pub aftercare: Vec<AftercareLine>,
    /// When to look again.
    pub look_again: Vec<LookAgainView>,
    /// What must be known beside it, to read.
    pub notes: Vec<String>,
    /// The zone in which times of the aftercare are told: `Europe/London`.
    pub zone: String,
}

/// A layer that was put on from a lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LotUseView {
    /// The job.
    pub job: String,
    /// The vehicle, to read.
    pub vehicle: String,
    /// The lot as it was typed there.
    pub lot: String,
    /// The product with its version, to read.
    pub product: String,
    /// The section and layer, to read.
    pub section: String,
    /// When it was put on, to read.
    pub begun: String,
    /// How it was levelled, to read.
    pub state: String,
    /// The conditions, to read.
    pub conditions: String,
    /// What lay outside the sheet's limits, to read.
    pub notes: Vec<String>,
}

/// Every layer from a lot, over all jobs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct LotsView {
    /// Newest first. A lot that reads alike (0 and O, 1 and I) is among them, as it was typed.
    pub uses: Vec<LotUseView>,
    /// Number of vehicles' visits among them.
    pub jobs: u32,
    /// False while the tables are being built again: the newest jobs are in already.
    pub complete: bool,
}
