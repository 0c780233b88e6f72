//! What is signed and kept for ever. An event is an envelope (who, where in which log, when) and a body by type and
//! version. Pure.
//!
//! Bytes that are on record are never rewritten: an old version is read through [`Body::read`], which moves only the
//! shape in memory on. A type, version or word that is not known here gives [`Body::Unknown`]: kept, hashed and
//! shown as unknown. Bodies hold integers only, with the unit in the name; what a person typed lies in blobs that
//! the envelope names by hash, so that it can be erased while the log stays whole.

mod condition;
mod light;
mod schedule;
mod time;
mod treat;
mod visit;
mod work;

pub use condition::*;
pub use light::*;
pub use schedule::*;
pub use time::*;
pub use treat::*;
pub use visit::*;
pub use work::*;

use super::words::{Cosigned, Finish, Form, KeyHeld, Scope, Stage, Steering};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use uuid::Uuid;

/// The envelope as it stands in the log, before its body is read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Envelope {
    /// Program and version that wrote the event.
    pub app: String,
    /// UTC milliseconds as the phone's clock had them when it was saved.
    pub at: i64,
    /// Bytes kept beside the log, by hash.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub blobs: Vec<BlobRef>,
    /// The body, by `type` and `v`.
    pub body: Value,
    /// Id of the phone's running since it was last started; `mono` counts inside it.
    pub boot: String,
    /// Who records: number of the `recorder.switched` in this log that holds; none before the first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<u64>,
    /// Version of the body geometry that places refer to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub geom: Option<u32>,
    /// The input that caused the event.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub input: Option<Uuid>,
    /// The job; events about logs have none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub job: Option<Uuid>,
    /// Lamport number: higher than every number its writer had seen.
    pub lam: u64,
    /// Name of the log.
    pub log: String,
    /// Milliseconds since the phone was started.
    pub mono: u64,
    /// When it was seen, if it was entered later.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub observed: Option<Observed>,
    /// Offset of the phone's zone from UTC, minutes.
    pub off_min: i32,
    /// 16 random bytes in hex, so that an event's hash tells nothing about its content.
    pub salt: String,
    /// Place in the log, from 0.
    pub seq: u64,
    /// Type of the body.
    #[serde(rename = "type")]
    pub kind: String,
    /// Version of the body.
    pub v: u32,
    /// Name of the phone's time zone.
    pub zone: String,
}

/// True for a demonstration's log.
pub fn is_demo(log: &str) -> bool {
    log.starts_with("sidelong/demo/")
}

/// A log's name as people read it: the first eight digits of its last part.
pub fn short_log(log: &str) -> &str {
    let last = log.rsplit('/').next().unwrap_or(log);
    last.get(..8).unwrap_or(last)
}

/// A time of seeing that differs from the time of entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Observed {
    /// UTC milliseconds.
    pub ms: i64,
    /// Offset from UTC as it was entered, minutes.
    pub off_min: i32,
}

/// Bytes kept beside the log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BlobRef {
    /// Length in bytes.
    pub len: u64,
    /// What they are to the event: `original` for a photo's file; otherwise the kind of text, see the bodies.
    pub role: String,
    /// SHA-256 in hex.
    pub sha256: String,
    /// Media type.
    #[serde(rename = "type")]
    pub media: String,
}

impl BlobRef {
    /// True for what is kept as a file; small blobs are canonical JSON.
    pub fn is_file(&self) -> bool {
        self.media != SMALL_MEDIA
    }
}

/// Media type of the small blobs that hold what a person typed.
pub const SMALL_MEDIA: &str = "application/json";

/// The newest log head that the writer knew of one log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    /// Name of the log.
    pub log: String,
    /// RFC 6962 root in hex.
    pub root: String,
    /// Number of leaves.
    pub size: u64,
}

macro_rules! bodies {
    ($($(#[$doc:meta])* $name:ident = $kind:literal v $v:literal),* $(,)?) => {
        /// The body of an event, newest shape.
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub enum Body {
            $($(#[$doc])* $name($name),)*
            /// A type, version or word that this program does not know.
            Unknown {
                /// The type as it stands in the log.
                kind: String,
                /// The version as it stands in the log.
                v: u32,
                /// The body as it stands in the log.
                raw: Value,
            },
        }

        impl Body {
            /// Every type with its newest version.
            pub const KINDS: &'static [(&'static str, u32)] = &[$(($kind, $v)),*];

            /// Type and version under which this body is written.
            pub fn kind(&self) -> (&str, u32) {
                match self {
                    $(Self::$name(_) => ($kind, $v),)*
                    Self::Unknown { kind, v, .. } => (kind, *v),
                }
            }

            /// The body as JSON.
            pub fn to_value(&self) -> Result<Value, serde_json::Error> {
                match self {
                    $(Self::$name(body) => serde_json::to_value(body),)*
                    Self::Unknown { raw, .. } => Ok(raw.clone()),
                }
            }

            /// Reads a body of any version; what is not known stays as it is.
            pub fn read(kind: &str, v: u32, raw: &Value) -> Self {
                let known = match (kind, v) {
                    // A version that only adds what may be left out needs nothing here: the older shape reads as the newer.
                    $(($kind, 1..=$v) => Deserialize::deserialize(raw).ok().map(Self::$name),)*
                    _ => None,
                };
                known.unwrap_or_else(|| Self::Unknown { kind: kind.to_owned(), v, raw: raw.clone() })
            }
        }
    };
}

bodies! {
    /// A job was opened.
    JobOpened = "job.opened" v 2,
    /// A walk-around was begun.
    WalkBegun = "walk.begun" v 1,
    /// One panel was answered.
    OutcomeRecorded = "outcome.recorded" v 2,
    /// A mark was recorded.
    MarkRecorded = "mark.recorded" v 2,
    /// A mark was corrected.
    MarkCorrected = "mark.corrected" v 1,
    /// A photo was attached.
    PhotoAttached = "photo.attached" v 2,
    /// A panel was felt.
    FeelTested = "feel.tested" v 2,
    /// The visit was ended.
    JobClosed = "job.closed" v 2,
    /// A mark of this job was seen again, with nothing new.
    MarkSeenAgain = "mark.seen-again" v 1,
    /// A finding over whole panels.
    GeneralRecorded = "general.recorded" v 1,
    /// A thickness gauge was checked.
    GaugeChecked = "gauge.checked" v 1,
    /// Paint thickness was measured on one panel, or could not be.
    ThicknessMeasured = "thickness.measured" v 1,
    /// What the job was opened with was corrected.
    VehicleCorrected = "vehicle.corrected" v 1,
    /// The instruments were read.
    InstrumentsRead = "instruments.read" v 1,
    /// Belongings were listed.
    BelongingsListed = "belongings.listed" v 1,
    /// Keys or vehicle changed hands.
    CustodyPassed = "custody.passed" v 1,
    /// Where the car stands until work goes on.
    StayRecorded = "stay.recorded" v 1,
    /// The owner was asked what is allowed.
    PermissionsRecorded = "permissions.recorded" v 1,
    /// What the owner says to the record. In blobs: `name`, `sent_to`, `signature` (strokes), `words` (by entry).
    OwnerAnswered = "owner.answered" v 1,
    /// A note.
    NoteWritten = "note.written" v 1,
    /// Something happened during the work.
    IncidentRecorded = "incident.recorded" v 1,
    /// Somebody reports a mark or loss.
    DisputeOpened = "dispute.opened" v 1,
    /// A dispute ended.
    DisputeEnded = "dispute.ended" v 1,
    /// The job was a mistake.
    JobVoided = "job.voided" v 1,
    /// A mark with its photos, or a photo, went to another job.
    EntryMoved = "entry.moved" v 1,
    /// A slip was taken back.
    EntryUndone = "entry.undone" v 1,
    /// Another person records from here on.
    RecorderSwitched = "recorder.switched" v 1,
    /// Whose record this is.
    BusinessDescribed = "business.described" v 1,
    /// Photos or texts were erased.
    ErasureRecorded = "erasure.recorded" v 1,
    /// A look under a light. In a blob: `earth`.
    LookMade = "look.made" v 1,
    /// A missed spot was found.
    SpotFound = "spot.found" v 1,
    /// Something was done about a missed spot. In a blob: `what`.
    SpotTreated = "spot.treated" v 1,
    /// A missed spot was looked at again.
    SpotChecked = "spot.checked" v 1,
    /// What a panel is was recorded.
    SurfaceRecorded = "surface.recorded" v 1,
    /// Work was agreed, or not.
    WorkAgreed = "work.agreed" v 1,
    /// What speaks against a step was set aside. In a blob: `reason`.
    OverrideAgreed = "override.agreed" v 1,
    /// A step was done. In a blob: `product`.
    StepDone = "step.done" v 1,
    /// Polishing was tried on a test square. In blobs: `machine`, `pad`, `polish`.
    SquareTried = "square.tried" v 1,
    /// A test square was judged.
    SquareJudged = "square.judged" v 1,
    /// A cloth, mitt or pad was taken for a panel. In blobs: `name`, `product`, `warned` (what spoke against it).
    ClothTaken = "cloth.taken" v 1,
    /// A cloth, mitt or pad is out of use.
    ClothPutOut = "cloth.put-out" v 1,
    /// How this shop works. In a blob: `zones`.
    ShopDescribed = "shop.described" v 1,
    /// A product's sheet was put on record. In a blob: `sheet`.
    SheetRecorded = "sheet.recorded" v 1,
    /// A lot of a product is used. In a blob: `lot`.
    LotOpened = "lot.opened" v 1,
    /// The conditions beside the work were read.
    ConditionsRead = "conditions.read" v 1,
    /// The work went on outside a sheet's limits. In a blob: `reason`.
    WorkContinued = "work.continued" v 1,
    /// A layer was begun on a section. In a blob: `who`.
    LayerBegun = "layer.begun" v 1,
    /// A section was levelled. In a blob: `who`.
    LayerLevelled = "layer.levelled" v 1,
    /// How the car is used.
    UseRecorded = "use.recorded" v 1,
    /// A schedule was made. In a blob: `people`.
    ScheduleMade = "schedule.made" v 1,
    /// Another phone's log was taken in up to a head.
    LogSeen = "log.seen" v 1,
    /// A time token was asked for. In blobs: `checkpoint`, `request`.
    TimeAsked = "time.asked" v 1,
    /// A time token came. In blobs: `checkpoint`, `token`.
    HeadStamped = "head.stamped" v 1,
    /// A key of the device's own signed an entry beside the log.
    EntryCosigned = "entry.cosigned" v 1,
    /// Another phone belongs to this record.
    DeviceAdded = "device.added" v 1,
    /// Nothing more is recorded on a phone.
    DeviceRetired = "device.retired" v 1,
    /// A phone is lost.
    DeviceLost = "device.lost" v 1,
}

/// Body of `job.opened`; the vehicle's plate, VIN, colour and stock number lie in the blob `vehicle`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobOpened {
    /// Outline of the vehicle.
    pub form: Form,
    /// What the paint is.
    pub finish: Finish,
    /// What this visit deals with.
    pub scope: Vec<Scope>,
    /// On which side the steering wheel is (from version 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub steering: Option<Steering>,
    /// Panels under clear film (from version 2).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub film: Vec<String>,
}

/// Content of the blob `vehicle`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Vehicle {
    /// Number plate as read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate: Option<String>,
    /// Vehicle identification number as read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vin: Option<String>,
    /// Colour in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// A fleet's own number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<String>,
}

/// Body of `walk.begun`; the walk's id is the input's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WalkBegun {
    /// When in the visit.
    pub stage: Stage,
}

/// Body of `job.closed`: what the writer knew when it ended the visit. An event of a log beyond the size given here,
/// or of a log not named, came after the closing and is flagged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobClosed {
    /// Heads of every log known, the writer's own included.
    pub seen: Vec<Head>,
    /// How many entries of the job each log held, and their root: none of them can be left out later without that showing
    /// (from version 2).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub leaves: Vec<Counted>,
    /// What could be seen of the panels that were looked at under a stated light (from version 2). A reader whose model is
    /// another may compute otherwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub could_see: Vec<CouldSee>,
}

/// How many entries of a job one log held. A log with two histories is named twice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Counted {
    /// Number of the job's entries in it.
    pub count: u64,
    /// Name of the log.
    pub log: String,
    /// RFC 6962 root over their leaf hashes, in the log's order, in hex.
    pub root: String,
}

/// What could be seen in one stage of the visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CouldSee {
    /// The stage.
    pub stage: Stage,
    /// Version of the model that computed it.
    pub model: u32,
    /// The panels that were looked at, in walking order.
    pub panels: Vec<PanelCouldSee>,
}

/// How much of a panel could have shown each kind of fault, parts per million of its area (of area and direction for fine
/// lines). What is left out is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PanelCouldSee {
    /// Neutral name of the panel.
    pub panel: String,
    /// Fine lines.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub fine_line_ppm: u32,
    /// Haze.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub haze_ppm: u32,
    /// Tone.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub tone_ppm: u32,
    /// Proud faults.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub proud_ppm: u32,
    /// Shape.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub shape_ppm: u32,
}

/// Body of `log.seen`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LogSeen {
    /// The head taken in.
    pub head: Head,
}

/// Body of `entry.cosigned`: a P-256 key of the device's own, apart from the one that signs the log, signed that this very
/// entry stands there. The statement that it signed follows from these fields, see `log/hardware.rs`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EntryCosigned {
    /// What kind of entry it is.
    pub entry: Cosigned,
    /// Name of its log.
    pub log: String,
    /// Its place there.
    pub seq: u64,
    /// Its RFC 6962 leaf hash, in hex.
    pub leaf: String,
    /// Where the key lies, as the device says.
    pub key: KeyHeld,
    /// The public key in base64: an uncompressed point or a SubjectPublicKeyInfo.
    pub public: String,
    /// The signature in base64: DER.
    pub signature: String,
}

/// Body of `device.added`: the other phone's log as far as it was known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeviceAdded {
    /// Its head.
    pub head: Head,
    /// The phone that writes this goes on in its place.
    #[serde(default, skip_serializing_if = "is_false")]
    pub continues: bool,
}

/// Body of `device.retired`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeviceRetired {
    /// The phone's log as far as it was known.
    pub head: Head,
}

/// Body of `device.lost`. An entry of that log from this time on, or beyond this head, is flagged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeviceLost {
    /// The phone's log as far as it was known.
    pub head: Head,
    /// Since when, as a person gave it.
    pub since: Observed,
}

/// Body of `recorder.switched`. Another person records from here on; the name lies in the blob `recorder`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecorderSwitched {}

/// Body of `business.described`. Whose record this is; the details lie in the blob `business`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BusinessDescribed {}

/// Content of the blob `business`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, uniffi::Record)]
#[serde(deny_unknown_fields)]
pub struct Business {
    /// Name of the business, 1 to 200 characters.
    pub name: String,
    /// Address, telephone, anything that belongs at the head of a report; at most 1,000 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[uniffi(default = None)]
    pub details: Option<String>,
}

/// For fields that are left out when they are zero.
#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
fn is_zero(value: &u32) -> bool {
    *value == 0
}

/// For fields that are left out when they are false.
#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
fn is_false(value: &bool) -> bool {
    !*value
}
