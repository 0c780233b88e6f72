//! Inputs on the visit itself: instruments, belongings, keys, permissions, what the owner says, what happened, and
//! what was entered wrongly. Pure.

use super::OpenJob;
use crate::record::words::{
    CopyGiven, Custody, DistanceUnit, Fitting, OwnerAnswer, Party, Permission, Sleeps, Works,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// A correction of what the job was opened with: the whole as it now should read, and why. The first entry stays.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CorrectVehicle {
    /// The vehicle and scope as they now should read.
    pub becomes: OpenJob,
    /// Why, 1 to 4,000 characters.
    pub reason: String,
}

/// A fitting that was tried, or was not.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tried {
    /// Which.
    pub fitting: Fitting,
    /// Whether it works.
    pub works: Works,
}

/// What the instruments say. At least one of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ReadInstruments {
    /// Odometer, 0 to 9,999,999; with `unit`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub odometer: Option<u32>,
    /// What the odometer counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub unit: Option<DistanceUnit>,
    /// Fuel, percent, 0 to 100.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub fuel_pct: Option<u32>,
    /// Charge of the drive battery, percent, 0 to 100.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub charge_pct: Option<u32>,
    /// Warning lamps that are lit, at most 1,000 characters; "none" when none is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub lamps: Option<String>,
    /// Fittings that were tried, or were not.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub tried: Vec<Tried>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// Something of the owner's in or on the vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Belonging {
    /// What it is, 1 to 200 characters.
    pub what: String,
    /// How many, 0 to 1,000; 0 says that it was looked for and is not there (a cap, a lock-nut key).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub count: Option<u32>,
    /// Where it lies, at most 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub place: Option<String>,
    /// True when it stays in the vehicle during the work.
    #[serde(default)]
    #[uniffi(default = false)]
    pub stays: bool,
}

/// What of the owner's is in the vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ListBelongings {
    /// The things, at most 200; none when the places looked at were empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub items: Vec<Belonging>,
    /// Who looked with the detailer, if somebody did.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub seen_with: Option<Party>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// Keys or vehicle change hands, or the vehicle is moved by who has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PassCustody {
    /// What.
    pub what: Custody,
    /// From whom.
    pub from: Party,
    /// To whom; the same as `from` when the vehicle is only moved.
    pub to: Party,
    /// How many keys, 1 to 20.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub keys: Option<u32>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// Where the car stands until work goes on: said before a layer that must stay dry. What is not known is left out, and asked again.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordStay {
    /// Where it sleeps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub sleeps: Option<Sleeps>,
    /// Whether rain is due.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub rain: Option<bool>,
    /// From when rain is due: RFC 3339 with an offset, from a day back to a week ahead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub rain_from: Option<String>,
    /// Who has the keys meanwhile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub keys: Option<Party>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// One answer on one permission.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Permitted {
    /// What was asked.
    pub permission: Permission,
    /// The answer.
    pub allowed: bool,
}

/// What the owner allows. What is not named was not asked, and is not allowed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordPermissions {
    /// Who said so.
    pub by: Party,
    /// The answers, at least one.
    pub answers: Vec<Permitted>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A point of a drawn signature, thousandths of the field's width (x) and height (y).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StrokePoint {
    /// 0 to 1,000, left to right.
    pub x: u16,
    /// 0 to 1,000, top to bottom.
    pub y: u16,
}

/// One stroke of a drawn signature.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Stroke {
    /// Its points, 1 to 2,000.
    pub points: Vec<StrokePoint>,
}

/// What the owner says of one entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ItemAnswer {
    /// The mark or other entry.
    pub entry: Uuid,
    /// Whether the owner agrees with it.
    pub agreed: bool,
    /// In the owner's words, at most 1,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub words: Option<String>,
}

/// The same contact's answer for another vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct VehicleAnswer {
    /// The other job.
    pub job: Uuid,
    /// Exceptions and what was agreed by name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub items: Vec<ItemAnswer>,
}

/// What the owner, or who speaks for the owner, says to the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordOwnerAnswer {
    /// The answer.
    pub answer: OwnerAnswer,
    /// Who answered or was written to.
    pub by: Party,
    /// That person's name, at most 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub name: Option<String>,
    /// Item by item, as far as it was said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub items: Vec<ItemAnswer>,
    /// What became of the owner's copy.
    pub copy: CopyGiven,
    /// Where the copy was sent, at most 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub sent_to: Option<String>,
    /// A drawn signature. It says "copy received" unless more is said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub signature: Vec<Stroke>,
    /// Other vehicles for which the same contact answers in the same way, at most 200.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub vehicles: Vec<VehicleAnswer>,
    /// Anything else, at most 4,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub note: Option<String>,
}

/// A note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WriteNote {
    /// The panel it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel: Option<String>,
    /// The entry it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub entry: Option<Uuid>,
    /// The note, 1 to 4,000 characters.
    pub text: String,
}

/// Something that happened during the work: facts, never whose doing it was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RecordIncident {
    /// What happened, 1 to 4,000 characters.
    pub what: String,
    /// Who was there, at most 200 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub who: Option<String>,
    /// Where on the vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel: Option<String>,
    /// True when the owner was told at once.
    #[serde(default)]
    #[uniffi(default = false)]
    pub told_owner: bool,
}

/// A mark or loss that somebody reports as done by the visit. While it is open, nothing of the job is erased.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OpenDispute {
    /// What is reported, in the reporter's words, 1 to 4,000 characters.
    pub reported: String,
    /// Who reports it.
    pub by: Party,
    /// Where on the vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub panel: Option<String>,
    /// Entries that it is about.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[uniffi(default = [])]
    pub entries: Vec<Uuid>,
}

/// The end of a dispute.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct EndDispute {
    /// The dispute.
    pub dispute: Uuid,
    /// How it ended, 1 to 4,000 characters.
    pub outcome: String,
}

/// Says that a job was opened by mistake. Everything stays on record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct VoidJob {
    /// Why, 1 to 4,000 characters.
    pub reason: String,
    /// The job that counts, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub instead: Option<Uuid>,
}

/// Moves a mark with its photos, or a photo, that was recorded under the wrong job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct MoveEntry {
    /// The mark or photo.
    pub entry: Uuid,
    /// The job that it belongs to; it needs a walk-around of the same stage.
    pub to_job: Uuid,
    /// Why, 1 to 4,000 characters.
    pub reason: String,
}

/// Takes a slip back. Within ten seconds, on the same phone; the slip stays in the log and is shown as one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Undo {
    /// The input that was a slip.
    pub entry: Uuid,
}
