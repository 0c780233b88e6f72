//! What is shown of a schedule: plan against done. Pure: shapes only; `care` fills them.

use super::StampView;
use serde::Serialize;

/// What is done in a task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, uniffi::Enum)]
#[serde(rename_all = "kebab-case")]
pub enum ScheduleTask {
    /// Put on.
    Apply,
    /// Levelled, wiped off.
    Level,
}

/// How far a task is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, uniffi::Enum)]
#[serde(rename_all = "kebab-case")]
pub enum TaskStage {
    /// It is on record.
    Done,
    /// It is begun; putting on takes a while.
    Running,
    /// It should be over, and is not on record.
    Late,
    /// What a person is to do next.
    Next,
    /// It comes later.
    ToCome,
}

/// One hands-on task of a schedule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct TaskView {
    /// Neutral name of the panel.
    pub panel: String,
    /// Which part of it.
    pub part: Option<u32>,
    /// The section, to read: `bonnet, part 2`.
    pub section: String,
    /// Which layer on it, from 1.
    pub layer: u32,
    /// The product with its version, to read.
    pub product: String,
    /// What is done.
    pub task: ScheduleTask,
    /// The same, to read.
    pub task_text: String,
    /// Who is planned for it; for what was never planned, who did it. To read.
    pub who: String,
    /// Planned beginning, UTC milliseconds. What was done before a schedule held it: as it is on record.
    pub from_ms: i64,
    /// Planned end.
    pub to_ms: i64,
    /// Planned beginning, to read: `Tue 08:37:30`.
    pub from: String,
    /// Planned end, to read.
    pub to: String,
    /// False for what was done before a schedule held it.
    pub planned: bool,
    /// When it is on record, UTC milliseconds: the first stroke of what is put on, the end of levelling.
    pub done_ms: Option<i64>,
    /// How much later than planned it was done, or is by now, milliseconds; negative when earlier, 0 while it is not due.
    pub off_ms: i64,
    /// How much later it is planned than in the schedule before, milliseconds; none when it is not in both.
    pub moved_ms: Option<i64>,
    /// How far it is.
    pub stage: TaskStage,
    /// The same, to read: `done 1 min 15 s later than planned`.
    pub text: String,
}

/// One of the schedules on record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ScheduleMadeView {
    /// Its id.
    pub id: String,
    /// When it was made, UTC milliseconds.
    pub made_ms: i64,
    /// Its finish, UTC milliseconds.
    pub finish_ms: i64,
    /// Its finish, to read.
    pub finish: String,
    /// What a reader must know: another phone made one without knowing of this one.
    pub note: Option<String>,
    /// Who made it and when.
    pub stamp: StampView,
}

/// A schedule beside what was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ScheduleView {
    /// Its id; none while it is only tried.
    pub id: Option<String>,
    /// Tasks by their planned beginning.
    pub tasks: Vec<TaskView>,
    /// When all of it is finished as planned, UTC milliseconds.
    pub finish_ms: i64,
    /// The same, to read.
    pub finish: String,
    /// True if it was shown that none can finish earlier.
    pub best: bool,
    /// The same, to read.
    pub best_text: String,
    /// Who works and by which terms, to read.
    pub terms: Vec<String>,
    /// Windows that are missed by this plan, to read.
    pub late: Vec<String>,
    /// What changed against the schedule before, to read; empty for the first.
    pub changed: Vec<String>,
    /// What a reader must know: a clock that was set back, a sheet that was edited since, layers that it does not hold.
    pub notes: Vec<String>,
    /// Every schedule on record, in order; the last one counts.
    pub made: Vec<ScheduleMadeView>,
    /// The zone of its times: `Europe/London`.
    pub zone: String,
}
