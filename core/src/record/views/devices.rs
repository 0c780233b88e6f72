//! What is shown of the phones themselves: their logs, what was said of them, who co-signed them. Pure.

use super::Speech;
use crate::record::events::short_log;
use crate::record::fold::{DeviceFact, DeviceSaid, Job};
use crate::record::times;
use serde::Serialize;

/// A phone, by its log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct DeviceView {
    /// Name of its log.
    pub log: String,
    /// The phone, by the first digits of that name.
    pub phone: String,
    /// True for the phone that this record lies on.
    pub own: bool,
    /// Entries of its log here; of the longest history if there are two.
    pub entries: u64,
    /// True when two histories of its log are here.
    pub forked: bool,
    /// The key that its log is signed with, for those who check its co-signatures (a C2SP verifier key); none if its log is
    /// not here.
    pub key: Option<String>,
    /// What was said of it, to read, in order.
    pub said: Vec<String>,
    /// The newest head of its log that each other phone co-signed.
    pub cosigned: Vec<CosignedView>,
}

/// A co-signed head.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct CosignedView {
    /// Who co-signed it: name of the log.
    pub log: String,
    /// The same, by the first digits of that name.
    pub phone: String,
    /// Entries under the head.
    pub size: u64,
    /// When it was co-signed by that phone's clock, UTC, to read.
    pub at: String,
    /// False when no history here holds that head: the log was cut back, or has shown another history.
    pub holds: bool,
}

/// A word about a phone as a sentence without its end.
pub fn device_said(said: &DeviceSaid, speech: Speech) -> String {
    let (phone, by) = (short_log(&said.head.log), short_log(said.stamp.log()));
    let at = times::spoken(said.stamp.at, said.stamp.off_min, &said.stamp.zone);
    let who = speech.typed(&said.stamp.recorder).map(|name| format!(", {name}")).unwrap_or_default();
    let words = format!("said on phone {by}{who}, {at}");
    match said.fact {
        DeviceFact::Added { continues: true } => {
            format!(
                "phone {by} goes on from phone {phone}, of which it knew {} entries; {words}",
                said.head.size
            )
        }
        DeviceFact::Added { continues: false } => format!("phone {phone} was added; {words}"),
        DeviceFact::Retired => format!("phone {phone} was retired; {words}"),
        DeviceFact::Lost { since } => {
            format!("phone {phone} is lost since {}; {words}", times::spoken(since.ms, since.off_min, ""))
        }
    }
}

/// What was said of the phones that recorded on a job.
pub(super) fn of_job(job: &Job, speech: Speech) -> Vec<String> {
    let logs = job.logs();
    let about = |said: &&DeviceSaid| {
        logs.contains(said.head.log.as_str())
            || (said.fact == DeviceFact::Added { continues: true } && logs.contains(said.stamp.log()))
    };
    job.devices.iter().filter(about).map(|said| device_said(said, speech)).collect()
}
