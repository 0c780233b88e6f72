//! Body of the event on a schedule. Pure.

use super::is_false;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Body of `schedule.made`; names of the people, a list, lie in the blob `people`. What was planned stands here as it was
/// reckoned then, so that a later model changes nothing of it. Times are seconds after the entry was made; nothing is
/// planned before it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScheduleMade {
    /// Version of the scheduler.
    pub model: u32,
    /// The schedule that counted before, as far as the writer knew.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<Uuid>,
    /// Of each person: from when on.
    pub people_from_s: Vec<i64>,
    /// How many sections a person may have open.
    pub open_limit: u32,
    /// Whether another person may level what one has put on.
    #[serde(default, skip_serializing_if = "is_false")]
    pub hand_over: bool,
    /// Whether a running window may be missed.
    #[serde(default, skip_serializing_if = "is_false")]
    pub late_allowed: bool,
    /// The sections, with what was still to be done.
    pub sections: Vec<SectionScheduled>,
    /// End of the last levelling.
    pub finish_s: i64,
    /// True if it was shown that none can finish earlier.
    pub best: bool,
    /// Windows that are missed, in the order in which they end.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub late: Vec<WindowMissed>,
}

/// A section in a schedule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SectionScheduled {
    /// Neutral name of the panel or place.
    pub panel: String,
    /// Which part of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<u32>,
    /// Its layers, the lowest first.
    pub layers: Vec<LayerScheduled>,
}

/// A layer in a schedule; without tasks, if it was put on and levelled already.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LayerScheduled {
    /// The sheet, in the version that was on record.
    pub sheet: Uuid,
    /// Hands-on time of putting it on, seconds.
    pub apply_s: u32,
    /// Hands-on time of levelling, seconds.
    pub level_s: u32,
    /// Putting it on, unless it was on already.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apply: Option<TaskScheduled>,
    /// Levelling it, unless that was done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<TaskScheduled>,
}

/// Who does it and when it begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TaskScheduled {
    /// Place in the list of people, from 0.
    pub by: u32,
    /// Its beginning.
    pub from_s: i64,
}

/// A window that is missed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WindowMissed {
    /// Place in the list of sections, from 0.
    pub section: u32,
    /// Which layer on it, from 1: the one that waits or cures.
    pub layer: u32,
    /// True when the next layer comes too late, false when levelling does.
    #[serde(default, skip_serializing_if = "is_false")]
    pub next_layer: bool,
    /// By how much, seconds.
    pub late_s: i64,
}
