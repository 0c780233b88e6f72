//! Bodies of events on the visit itself. Pure.

use super::{JobOpened, Observed, is_false};
use crate::record::inputs::{Permitted, Tried};
use crate::record::words::{CopyGiven, Custody, DistanceUnit, Kept, OwnerAnswer, Party, Sleeps};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Body of `vehicle.corrected`. What the job was opened with was corrected; plate, VIN, colour and stock number lie in the blob `vehicle`, why in
/// `reason`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VehicleCorrected {
    /// The entry that the corrector saw: the opening's input or an earlier correction's.
    pub corrects: Uuid,
    /// As it now should read.
    pub becomes: JobOpened,
}

/// Body of `instruments.read`. The instruments were read; warning lamps lie in the blob `lamps`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstrumentsRead {
    /// Odometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub odometer: Option<u32>,
    /// What it counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<DistanceUnit>,
    /// Fuel, percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel_pct: Option<u32>,
    /// Charge, percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub charge_pct: Option<u32>,
    /// Fittings tried.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tried: Vec<Tried>,
}

/// Body of `belongings.listed`. Belongings were listed; they lie in the blob `items`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BelongingsListed {
    /// How many lines the list has.
    pub count: u32,
    /// Who looked with the detailer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen_with: Option<Party>,
}

/// Body of `custody.passed`. Keys or vehicle changed hands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CustodyPassed {
    /// What.
    pub what: Custody,
    /// From whom.
    pub from: Party,
    /// To whom.
    pub to: Party,
    /// How many keys.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keys: Option<u32>,
}

/// Body of `stay.recorded`. Where the car stands until work goes on; what was not known is left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StayRecorded {
    /// Where it sleeps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sleeps: Option<Sleeps>,
    /// Whether rain is due.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain: Option<bool>,
    /// From when, as a person gave it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain_from: Option<Observed>,
    /// Who has the keys meanwhile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keys: Option<Party>,
}

/// Body of `permissions.recorded`. The owner was asked what is allowed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PermissionsRecorded {
    /// Who answered.
    pub by: Party,
    /// The answers.
    pub answers: Vec<Permitted>,
}

/// Body of `owner.answered`. What the owner says to the record. In blobs: `name`, `sent_to`, `signature` (strokes), `words` (by entry).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnerAnswered {
    /// The answer.
    pub answer: OwnerAnswer,
    /// Who answered or was written to.
    pub by: Party,
    /// Item by item.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub items: Vec<ItemAnswered>,
    /// What became of the copy.
    pub copy: CopyGiven,
    /// For how many vehicles the same contact answered at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vehicles: Option<u32>,
}

/// Body of `note.written`. A note; it lies in the blob `note`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NoteWritten {
    /// The panel it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<String>,
    /// The entry it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub entry: Option<Uuid>,
}

/// Body of `incident.recorded`. Something happened during the work; facts lie in the blobs `what` and `who`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IncidentRecorded {
    /// Where on the vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<String>,
    /// True when the owner was told at once.
    #[serde(default, skip_serializing_if = "is_false")]
    pub told_owner: bool,
}

/// Body of `dispute.opened`. Somebody reports a mark or loss; in whose words lies in the blob `reported`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DisputeOpened {
    /// Who reports it.
    pub by: Party,
    /// Where on the vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<String>,
    /// Entries that it is about.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub entries: Vec<Uuid>,
}

/// Body of `dispute.ended`. A dispute ended; how lies in the blob `outcome`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DisputeEnded {
    /// The dispute.
    pub dispute: Uuid,
}

/// Body of `job.voided`. The job was a mistake; why lies in the blob `reason`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobVoided {
    /// The job that counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instead: Option<Uuid>,
}

/// Body of `entry.moved`. A mark with its photos, or a photo, went to another job; why lies in the blob `reason`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EntryMoved {
    /// The mark or photo.
    pub entry: Uuid,
    /// Where it went.
    pub to_job: Uuid,
    /// What went with a mark as far as the mover knew of it: its photos and corrections. What another phone added
    /// meanwhile stays.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub with: Vec<Uuid>,
}

/// Body of `entry.undone`. A slip was taken back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EntryUndone {
    /// The input that was a slip.
    pub entry: Uuid,
}

/// What the owner says of one entry; the words lie in the blob `words`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ItemAnswered {
    /// The entry.
    pub entry: Uuid,
    /// Whether the owner agrees with it.
    pub agreed: bool,
}

/// Body of `erasure.recorded`: what kind went and how much, never what it held. Of one job (why lies in the blob
/// `reason`), or of all that were old enough.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ErasureRecorded {
    /// What went, by kind.
    pub erased: Vec<ErasedKind>,
    /// How many jobs it was taken from.
    pub jobs: u32,
    /// How many jobs that were old enough kept theirs, because a dispute is open.
    pub held: u32,
}

/// How much of one kind went.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ErasedKind {
    /// The kind.
    pub kept: Kept,
    /// After how many months, when a rule said so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub months: Option<u32>,
    /// How many photos or texts.
    pub count: u32,
}
