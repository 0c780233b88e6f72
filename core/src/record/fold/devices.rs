//! What the logs say of the phones themselves: which one was added, which one goes on from which, which was retired or is
//! lost. Pure; never refuses. Two words about one phone are both kept, each with who said it.

use super::{Entry, Job, Key, Stamp, Text};
use crate::record::events::{Body, DeviceAdded, DeviceLost, DeviceRetired, Head, Observed};

/// What is said of a phone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DeviceFact {
    /// It belongs to those who write this record.
    Added {
        /// True when the phone that says so goes on in its place.
        continues: bool,
    },
    /// Nothing more is recorded on it.
    Retired,
    /// It is lost.
    Lost {
        /// Since when.
        since: Observed,
    },
}

/// One word about a phone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceSaid {
    /// Its log, as far as the phone that says so knew it.
    pub head: Head,
    /// What is said.
    pub fact: DeviceFact,
    /// Who says so and when.
    pub stamp: Stamp,
}

impl DeviceSaid {
    /// Whether an entry of that phone was made after it was lost, or came to light only after that was said.
    fn doubts(&self, stamp: &Stamp) -> bool {
        let DeviceFact::Lost { since } = self.fact else { return false };
        stamp.log() == self.head.log && (stamp.at >= since.ms || stamp.key.2 >= self.head.size)
    }
}

/// What events about logs say of phones, in their order; all others are passed over.
pub fn devices(entries: Vec<Entry>) -> Vec<DeviceSaid> {
    let mut found: Vec<DeviceSaid> = entries.into_iter().filter_map(said).collect();
    let key = |it: &DeviceSaid| -> Key { it.stamp.key.clone() };
    found.sort_by_cached_key(key);
    // An event on two branches of a fork is one event.
    found.dedup_by_key(|it| it.stamp.key.clone());
    found
}

fn said(entry: Entry) -> Option<DeviceSaid> {
    let event = &entry.envelope;
    let (head, fact) = match Body::read(&event.kind, event.v, &event.body) {
        Body::DeviceAdded(DeviceAdded { head, continues }) => (head, DeviceFact::Added { continues }),
        Body::DeviceRetired(DeviceRetired { head }) => (head, DeviceFact::Retired),
        Body::DeviceLost(DeviceLost { head, since }) => (head, DeviceFact::Lost { since }),
        _ => return None,
    };
    let (key, recorder) = (entry.key(), Text::of(entry.recorder.as_ref()));
    let event = entry.envelope;
    let stamp = Stamp {
        key,
        at: event.at,
        off_min: event.off_min,
        zone: event.zone,
        observed: event.observed,
        geom: event.geom,
        input: event.input.unwrap_or_default(),
        recorder,
    };
    Some(DeviceSaid { head, fact, stamp })
}

impl Job {
    /// The first word that the phone of this entry is lost, if the entry was made after that or was not known then.
    pub fn lost_before(&self, stamp: &Stamp) -> Option<&DeviceSaid> {
        self.devices.iter().find(|said| said.doubts(stamp))
    }
}
