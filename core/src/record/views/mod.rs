//! What a screen, a page or a program shows of a job: texts ready to read, in the order in which they are read. Pure.
//! Screens change freely, so these types may too; the keys of `sidelong show --json` are these fields, by name.

mod build;
mod devices;
mod light;
mod owner;
mod pairs;
mod say;
mod schedule;
mod thickness;
mod treat;
mod visit;
mod walk;
mod work;

pub use build::job_view;
pub use devices::{CosignedView, DeviceView, device_said};
pub use light::*;
pub use owner::{ItemAsked, items_asked};
pub use pairs::maybe_same;
pub use say::{Speech, length_text, length_typed, thousands};
pub use schedule::*;
pub use thickness::USUAL_ACCURACY_UM;
pub use treat::*;
pub use walk::{MarkNow, PlaceNow, WalkNow, walk_now};
pub use work::*;

use super::words::{BlobState, Outcome, OwnerAnswer, Stage, View};
use serde::Serialize;

/// One job in a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct JobLine {
    /// The job's id.
    pub job: String,
    /// When it was opened, UTC milliseconds.
    pub opened_ms: i64,
    /// When it was opened, to read.
    pub opened: String,
    /// Number plate; none when it was not given or was erased.
    pub plate: Option<String>,
    /// Vehicle identification number.
    pub vin: Option<String>,
    /// Body form, to read.
    pub form: String,
    /// Stage of the latest walk-around, to read.
    pub stage: Option<String>,
    /// Number of marks.
    pub marks: u32,
    /// Number of photos.
    pub photos: u32,
    /// Number of phones that recorded on it.
    pub phones: u32,
    /// True when the visit was ended.
    pub closed: bool,
    /// A fleet's own number.
    pub stock: Option<String>,
    /// Where the owner's answer stands; none when there is none on record.
    pub answer: Option<String>,
    /// True when the job was opened by mistake.
    pub voided: bool,
    /// True while a dispute is open.
    pub disputed: bool,
    /// How far the visit and its handover are, to read.
    pub handover: String,
}

/// Who recorded something and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct StampView {
    /// Time of saving by the phone's clock, UTC milliseconds.
    pub at_ms: i64,
    /// The same, to read, with weekday and zone.
    pub at: String,
    /// The same as RFC 3339, for programs.
    pub rfc3339: String,
    /// Its day, to read once above a list: `Tue 9 June 2026`.
    pub day: String,
    /// Its time of day, to read in a list: `Tue 08:12`.
    pub time: String,
    /// Its zone as the phone had it, to read once above a list: `UTC+01:00, Europe/London`.
    pub zone: String,
    /// "entered later: seen …", when it was.
    pub entered_later: Option<String>,
    /// The phone, by the first digits of its log's name.
    pub phone: String,
    /// Who recorded it, by name, when the record says who.
    pub recorder: Option<String>,
    /// Anything a reader must know about this entry, for example that a closing did not know of it.
    pub flags: Vec<String>,
}

/// The vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct VehicleView {
    /// Number plate.
    pub plate: Option<String>,
    /// Vehicle identification number.
    pub vin: Option<String>,
    /// Why the VIN is worth reading again, to read; it never keeps anything from being recorded.
    pub vin_doubts: Vec<String>,
    /// Colour in words.
    pub colour: Option<String>,
    /// A fleet's own number.
    pub stock: Option<String>,
    /// "erased" or "not here" when plate, VIN and colour were recorded and are not here.
    pub missing: Option<String>,
    /// On which side the steering wheel is, to read.
    pub steering_text: Option<String>,
    /// Panels under clear film, to read.
    pub film: Vec<String>,
    /// Every entry on the vehicle, the opening first; one when nothing was corrected.
    pub history: Vec<VersionView>,
    /// Body form word.
    pub form: String,
    /// Body form, to read.
    pub form_text: String,
    /// Finish, to read.
    pub finish_text: String,
    /// What this visit deals with, to read.
    pub scope: Vec<String>,
}

/// One answer for one panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct AnswerView {
    /// The answer.
    pub outcome: Outcome,
    /// The answer with its reason, to read.
    pub text: String,
    /// How it was looked at, to read.
    pub how: String,
    /// Note, if any.
    pub note: Option<String>,
    /// Who and when.
    pub stamp: StampView,
}

/// One place of the vehicle in one walk-around.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PanelView {
    /// Neutral name.
    pub panel: String,
    /// Its name, to read.
    pub name: String,
    /// What the walk-around says of it: marks when a mark was recorded on it, otherwise the latest answer, otherwise
    /// not looked.
    pub outcome: Outcome,
    /// The same, to read.
    pub text: String,
    /// Every answer, in order.
    pub answers: Vec<AnswerView>,
    /// Numbers of the marks on it.
    pub marks: Vec<String>,
}

/// A walk-around.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct WalkView {
    /// Its id.
    pub id: String,
    /// When in the visit.
    pub stage: Stage,
    /// The same, to read.
    pub stage_text: String,
    /// Every place in scope, in walking order.
    pub panels: Vec<PanelView>,
    /// Who and when.
    pub stamp: StampView,
}

/// One entry of a mark.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct VersionView {
    /// What it said, to read.
    pub text: String,
    /// Why it was corrected.
    pub reason: Option<String>,
    /// Who and when.
    pub stamp: StampView,
}

/// A mark.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct MarkView {
    /// Its id.
    pub id: String,
    /// Its number; with the phone behind it where two phones took the same letter.
    pub label: String,
    /// Neutral name of the panel.
    pub panel: String,
    /// The panel's name, to read.
    pub panel_name: String,
    /// Where the stroke begins, millionths of the panel's square.
    pub u_ppm: u32,
    /// See `u_ppm`.
    pub v_ppm: u32,
    /// Where it ends; the same for a point.
    pub to_u_ppm: u32,
    /// See `to_u_ppm`.
    pub to_v_ppm: u32,
    /// What it is, to read.
    pub kind_text: String,
    /// Size and how it was found, to read.
    pub size: Option<String>,
    /// Where it is, to read: height above the ground, "about", and which way it runs.
    pub place: Option<String>,
    /// Catch, what shows, what lies in it, to read.
    pub details: Vec<String>,
    /// How much it matters beside the other marks when only a few can be named: more is more.
    pub weight: u32,
    /// Note, if any.
    pub note: Option<String>,
    /// Id of the walk-around in which it was found.
    pub walk: String,
    /// When in the visit it was found.
    pub stage: Option<Stage>,
    /// "found on arrival", "found after wash" …
    pub found: String,
    /// Who showed it, when it was seen again, and where it stood before, to read.
    pub also: Vec<String>,
    /// Its photos.
    pub photos: Vec<PhotoView>,
    /// Every entry, the first recording first; one when it was never corrected.
    pub history: Vec<VersionView>,
    /// True when two phones corrected the same entry without knowing of each other; both stand in `history`.
    pub contested: bool,
    /// Who recorded it and when.
    pub stamp: StampView,
}

/// A photo.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PhotoView {
    /// Its id.
    pub id: String,
    /// SHA-256 of the original in hex.
    pub sha256: String,
    /// Length of the original, bytes.
    pub bytes: u64,
    /// How near.
    pub view: View,
    /// The same, to read.
    pub view_text: String,
    /// What it shows, to read.
    pub of: String,
    /// Where the original is.
    pub state: BlobState,
    /// The same, to read, unless it is here.
    pub missing: Option<String>,
    /// The time of taking that the file claims.
    pub taken: Option<String>,
    /// Note, if any.
    pub note: Option<String>,
    /// Who attached it and when.
    pub stamp: StampView,
}

/// A feel test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct FeelView {
    /// Neutral name of the panel.
    pub panel: String,
    /// The panel's name, to read.
    pub panel_name: String,
    /// What was felt and with what, to read.
    pub text: String,
    /// What reacted, to read.
    pub reacted: Vec<String>,
    /// When in the visit, to read.
    pub stage_text: String,
    /// Note, if any.
    pub note: Option<String>,
    /// Who and when.
    pub stamp: StampView,
}

/// Paint thickness of one panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ThicknessView {
    /// Its id.
    pub id: String,
    /// Neutral name of the panel.
    pub panel: String,
    /// The panel's name, to read.
    pub panel_name: String,
    /// Every reading, µm; empty when there is none.
    pub readings_um: Vec<u32>,
    /// The lowest, µm, which decides.
    pub lowest_um: Option<u32>,
    /// The mean, tenths of a µm.
    pub mean_tenths_um: Option<u32>,
    /// What it says, to read: lowest and mean, or why there is no reading.
    pub text: String,
    /// What a reader must know: readings that stand apart, a gauge that was not checked.
    pub doubts: Vec<String>,
    /// When in the visit, to read.
    pub stage_text: String,
    /// Note, if any.
    pub note: Option<String>,
    /// Who and when.
    pub stamp: StampView,
}

/// Left and right compared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct MatesView {
    /// Neutral name of the left panel.
    pub left: String,
    /// Neutral name of the right panel.
    pub right: String,
    /// Difference of the means, tenths of a µm, left less right.
    pub difference_tenths_um: i32,
    /// What it says, to read.
    pub text: String,
}

/// What an entry of the visit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, uniffi::Enum)]
#[serde(rename_all = "kebab-case")]
pub enum EntryKind {
    /// A finding over whole panels.
    General,
    /// A check of a thickness gauge.
    GaugeCheck,
    /// What the instruments say.
    Instruments,
    /// What of the owner's is in the vehicle.
    Belongings,
    /// Keys or vehicle changed hands.
    Custody,
    /// Where the car stands until work goes on.
    Stay,
    /// What the owner allows.
    Permissions,
    /// What happened during the work.
    Incident,
    /// A note.
    Note,
    /// The end of the visit: what the closing commits, and its note.
    Closing,
    /// A dispute.
    Dispute,
    /// The job was a mistake.
    Void,
    /// A mark or photo went to another job.
    Moved,
    /// A slip that was taken back.
    Slip,
    /// Photos or texts were erased.
    Erasure,
    /// What a panel is.
    Surface,
    /// Work was agreed, or not.
    WorkAgreed,
    /// A warning was set aside.
    SetAside,
    /// A step was done.
    StepDone,
    /// A test square, or what came of it.
    Square,
    /// A cloth, mitt or pad was taken.
    Cloth,
    /// A cloth, mitt or pad is out of use.
    ClothOut,
}

/// An entry of the visit, ready to read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct EntryView {
    /// Its id: the input that made it.
    pub id: String,
    /// What it is.
    pub kind: EntryKind,
    /// What it says, to read, a line each.
    pub lines: Vec<String>,
    /// What a person typed, to read, a text each.
    pub typed: Vec<String>,
    /// Neutral names of the panels it is about.
    pub panels: Vec<String>,
    /// Its photos.
    pub photos: Vec<PhotoView>,
    /// True while a dispute is open.
    pub open: bool,
    /// Who and when.
    pub stamp: StampView,
}

/// What the owner said of one entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ItemView {
    /// The entry's id.
    pub entry: String,
    /// The entry, to read: `mark 3` …
    pub of: String,
    /// Whether the owner agrees with it.
    pub agreed: bool,
    /// In the owner's words.
    pub words: Option<String>,
}

/// What the owner said to the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct OwnerAnswerView {
    /// Its id.
    pub id: String,
    /// The answer.
    pub answer: OwnerAnswer,
    /// The same with who gave it, to read.
    pub text: String,
    /// What became of the copy, to read.
    pub copy_text: String,
    /// Item by item.
    pub items: Vec<ItemView>,
    /// Strokes of a drawn signature, thousandths of its field: x and y in turn.
    pub signature: Vec<Vec<u16>>,
    /// What the signature says, to read.
    pub signature_text: Option<String>,
    /// Note, if any.
    pub note: Option<String>,
    /// Who recorded it and when.
    pub stamp: StampView,
}

/// Two marks of two phones that may be the same; for a person to say.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PairView {
    /// Number of the one.
    pub a: String,
    /// Number of the other.
    pub b: String,
    /// Why they are offered, to read.
    pub why: String,
}

/// Everything on record about one job, to show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct JobView {
    /// The job's id.
    pub job: String,
    /// True when any of it was recorded in a demonstration.
    pub demo: bool,
    /// The vehicle.
    pub vehicle: VehicleView,
    /// Who opened it and when.
    pub opened: StampView,
    /// Walk-arounds in order.
    pub walks: Vec<WalkView>,
    /// Marks in order of recording.
    pub marks: Vec<MarkView>,
    /// Photos of panels and of the whole vehicle.
    pub photos: Vec<PhotoView>,
    /// Feel tests in order.
    pub feels: Vec<FeelView>,
    /// Paint thickness in order.
    pub thickness: Vec<ThicknessView>,
    /// Left and right compared, where both were measured at one stage.
    pub mates: Vec<MatesView>,
    /// Before and after compared, where a panel was measured at two stages, to read.
    pub removal: Vec<String>,
    /// What else is on record of the visit, in order.
    pub visit: Vec<EntryView>,
    /// What the owner said, in order; the last one is where it stands.
    pub owner_answers: Vec<OwnerAnswerView>,
    /// Where the owner's answer stands, to read; it never says "agreed" of silence.
    pub owner_text: String,
    /// Places that could not be seen and that a second look is asked for: neutral names.
    pub look_again: Vec<String>,
    /// Pairs that may be the same mark.
    pub maybe_same: Vec<PairView>,
    /// Closings: who and when.
    pub closings: Vec<StampView>,
    /// Entries of a newer version that this one cannot read, to read.
    pub unknown: Vec<String>,
    /// What a reader must know about the record as a whole: forks, second openings, corrections without their mark.
    pub flags: Vec<String>,
    /// The phones that recorded on it.
    pub phones: Vec<String>,
    /// What was said of these phones, to read: added, retired, lost, which one goes on from which.
    pub devices: Vec<String>,
}

impl JobView {
    /// Every photo on record, those of marks and of entries too.
    pub fn all_photos(&self) -> impl Iterator<Item = &PhotoView> {
        let marks = self.marks.iter().flat_map(|mark| &mark.photos);
        let visit = self.visit.iter().flat_map(|entry| &entry.photos);
        self.photos.iter().chain(marks).chain(visit)
    }
}
