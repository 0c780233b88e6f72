//! What a person puts in. One input is one act; it carries its own id, made by the caller and kept across process
//! death, so that sending it twice records it once. Pure.
//!
//! In a file of inputs (JSON Lines) each line is one [`Input`]; `sidelong record --schema` prints its JSON Schema,
//! made from these types.

mod condition;
mod light;
mod schedule;
mod treat;
mod visit;
mod work;

pub use condition::*;
pub use light::*;
pub use schedule::*;
pub use treat::*;
pub use visit::*;
pub use work::*;

use super::words::{Finish, Form, Scope, Stage, Steering};
use crate::error::Error;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

uniffi::custom_type!(Uuid, String, {
    remote,
    // Anything but the public error would be a crash on the other side.
    try_lift: |text| Uuid::parse_str(&text).map_err(|_| Error::refused("id", "an id is not a UUID").into()),
    lower: |id| id.to_string(),
});

/// One act of one person on one job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// UUID version 7 made by the caller. The same id with the same content is answered again; with other content
    /// it is refused.
    pub input: Uuid,
    /// UUID version 7 of the job, made by whoever opens it.
    pub job: Uuid,
    /// When it was seen, if it is entered later: RFC 3339 with an offset, not in the future. The record always
    /// keeps the real time of entry beside it and shows this one as "entered later".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub observed_at: Option<String>,
    /// What is recorded.
    pub act: Act,
}

/// What an input records.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Enum)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// Opens the job: the first input of every job.
    OpenJob(OpenJob),
    /// Begins a walk-around; the input's id becomes the walk's.
    BeginWalk(BeginWalk),
    /// Says of one panel what a walk-around found.
    RecordOutcome(RecordOutcome),
    /// Puts a mark on record; the input's id becomes the mark's.
    RecordMark(RecordMark),
    /// Adds a correction to a mark; the first entry stays.
    CorrectMark(CorrectMark),
    /// Attaches a photo to a mark, a panel or the whole vehicle.
    AttachPhoto(AttachPhoto),
    /// Records what a hand felt.
    RecordFeel(RecordFeel),
    /// Answers for a whole side, as a walk-past.
    PassSide(PassSide),
    /// Says that a known mark was seen again.
    SeeAgain(SeeAgain),
    /// Records a finding over whole panels.
    RecordGeneral(RecordGeneral),
    /// Records a check of a thickness gauge.
    CheckGauge(CheckGauge),
    /// Records paint thickness.
    MeasureThickness(MeasureThickness),
    /// Adds a correction to what the job was opened with.
    CorrectVehicle(CorrectVehicle),
    /// Records what the instruments say.
    ReadInstruments(ReadInstruments),
    /// Lists what of the owner's is in the vehicle.
    ListBelongings(ListBelongings),
    /// Records who had keys or vehicle.
    PassCustody(PassCustody),
    /// Records where the car stands until work goes on.
    RecordStay(RecordStay),
    /// Records what the owner allows.
    RecordPermissions(RecordPermissions),
    /// Records what the owner says to the record.
    RecordOwnerAnswer(RecordOwnerAnswer),
    /// Writes a note.
    WriteNote(WriteNote),
    /// Records what happened during the work.
    RecordIncident(RecordIncident),
    /// Opens a dispute.
    OpenDispute(OpenDispute),
    /// Ends a dispute.
    EndDispute(EndDispute),
    /// Says that the job was a mistake.
    VoidJob(VoidJob),
    /// Moves a mark or photo to the right job.
    MoveEntry(MoveEntry),
    /// Takes back a slip of the last ten seconds.
    Undo(Undo),
    /// Records a look under a light.
    RecordLook(RecordLook),
    /// Puts a missed spot on record; the input's id becomes the spot's.
    FindSpot(FindSpot),
    /// Says what was done about a missed spot.
    TreatSpot(TreatSpot),
    /// Says that a missed spot was looked at again.
    CheckSpot(CheckSpot),
    /// Says what a panel is.
    RecordSurface(RecordSurface),
    /// Records which steps are agreed, and which are not.
    AgreeWork(AgreeWork),
    /// Sets aside what speaks against a step, with a reason and consent.
    SetAside(SetAside),
    /// Says that a step was done.
    RecordStep(RecordStep),
    /// Tries polishing on a test square; the input's id becomes the square's.
    TrySquare(TrySquare),
    /// Says what came of a test square.
    JudgeSquare(JudgeSquare),
    /// Takes a cloth, mitt or pad for a panel; the first input's id becomes the cloth's.
    TakeCloth(TakeCloth),
    /// Puts a cloth, mitt or pad out of use.
    PutOut(PutOut),
    /// Puts a product's sheet on record; the input's id becomes the sheet's.
    RecordSheet(RecordSheet),
    /// Names a lot of a product that is used; the input's id becomes the lot's.
    OpenLot(OpenLot),
    /// Records air, panel, humidity and sun beside the work.
    ReadConditions(ReadConditions),
    /// Says that the work goes on outside a sheet's limits.
    ContinueWork(ContinueWork),
    /// Begins a layer on a section; the input's id becomes the layer's.
    BeginLayer(BeginLayer),
    /// Levels a section, and begins the next if it is given.
    LevelSection(LevelSection),
    /// Says how the car is used.
    RecordUse(CarUse),
    /// Makes a schedule of layers, or makes it anew; the input's id becomes the schedule's.
    MakeSchedule(MakeSchedule),
    /// Ends the visit.
    CloseJob(CloseJob),
}

/// The vehicle and what this visit deals with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OpenJob {
    /// Outline of the vehicle.
    pub form: Form,
    /// What the paint is.
    pub finish: Finish,
    /// What this visit deals with; at least one part.
    pub scope: Vec<Scope>,
    /// Number plate as read, at most 20 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub plate: Option<String>,
    /// Vehicle identification number as read, at most 30 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub vin: Option<String>,
    /// Colour in words, at most 100 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub colour: Option<String>,
    /// A fleet's own number of the vehicle, at most 40 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub stock: Option<String>,
    /// On which side the steering wheel is; left out, not recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub steering: Option<Steering>,
    /// Panels under clear film, by neutral name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub film: Vec<String>,
}

/// A walk-around.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BeginWalk {
    /// When in the visit.
    pub stage: Stage,
}

/// The end of the visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CloseJob {
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}
