//! The schedule of a coating: who applies and levels which section when, so that all of it is finished soonest. Pure; the same
//! problem gives the same plan on every machine.
//!
//! A layer on a section is applied, waits at least and at most so long, is levelled, and cures at least (perhaps at most) so
//! long before the next layer on the same section. Waiting and curing need no hand. A section is open from the first stroke
//! of its applying until the end of its levelling; a person has at most so many open that they applied, and does one thing at
//! a time. Who applies levels, unless work may be handed over. No order of sections is given. This is a project with minimum and
//! maximum time lags and several resources (Neumann, Schwindt and Zimmermann, Project Scheduling with Time Windows and Scarce
//! Resources, 2003); even whether such a one fits at all is NP-complete in general. Here the only windows that can break
//! are those that a recorded task has set going: all else can be put off until they are over, one section after the other.
//!
//! `model` checks the problem and brings it into numbers; `place` puts tasks into the earliest gap, in a given order; `improve`
//! looks for a better order; `exact` looks at all plans of a small problem; `fits` finds out which windows break. Care is taken
//! that an answer is bounded by work done, never by time passed.

mod exact;
mod fits;
mod improve;
mod model;
mod place;

use crate::error::Error;
use model::Model;
use place::Placed;
use serde::{Deserialize, Serialize};

/// Version of the scheduler: raised with any change by which the same problem gives another plan.
pub const MODEL_VERSION: u32 = 1;

/// What is to be planned. All times are whole seconds on one clock of the caller's choice (since the day's beginning, or since
/// 1970), 0 to 100,000,000,000; all lengths 0 to a year.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Problem {
    /// Now: nothing new begins earlier.
    #[serde(default)]
    pub now_s: i64,
    /// How many sections a person may have open, 1 to 100; one is the usual advice.
    #[serde(default = "one")]
    pub open_limit: u32,
    /// Whether another person may level what one has applied.
    #[serde(default)]
    pub hand_over: bool,
    /// Whether a window that a recorded task has set going may be missed if nothing else fits: then it is kept as nearly
    /// as it can be, and told under `late`.
    #[serde(default)]
    pub late_allowed: bool,
    /// Who works, 1 to 50.
    pub people: Vec<Person>,
    /// The sections, 1 to 200, with at most 1,000 layers together.
    pub sections: Vec<Section>,
}

fn one() -> u32 {
    1
}

/// Somebody who works.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Name, told apart from the others'.
    pub name: String,
    /// From when on.
    #[serde(default)]
    pub from_s: i64,
}

/// As much of a panel as is done at a time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Section {
    /// Name, told apart from the others'.
    pub name: String,
    /// From when on it can be worked on.
    #[serde(default)]
    pub from_s: i64,
    /// Its layers, the lowest first.
    pub layers: Vec<Layer>,
}

/// One layer on one section.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// Hands-on time of applying, at least 1.
    pub apply_s: i64,
    /// From the end of applying to the beginning of levelling, least.
    pub wait_least_s: i64,
    /// The same, most; none if it may stay on.
    #[serde(default)]
    pub wait_most_s: Option<i64>,
    /// Hands-on time of levelling, at least 1.
    pub level_s: i64,
    /// From the end of levelling to the beginning of the next layer's applying, least.
    #[serde(default)]
    pub cure_least_s: i64,
    /// The same, most; none if there is no such limit.
    #[serde(default)]
    pub cure_most_s: Option<i64>,
    /// Who applies it, if that is settled.
    #[serde(default)]
    pub person: Option<String>,
    /// When it was applied, if that has begun.
    #[serde(default)]
    pub applied: Option<Done>,
    /// When it was levelled, if that has begun.
    #[serde(default)]
    pub levelled: Option<Done>,
}

/// A task that has begun.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// Who does it.
    pub person: String,
    /// When it began.
    pub start_s: i64,
    /// When it ended; none while it is running.
    #[serde(default)]
    pub end_s: Option<i64>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "outcome", rename_all = "kebab-case")]
pub enum Plan {
    /// It fits.
    Fits {
        /// End of the last levelling.
        finish_s: i64,
        /// True if no plan can finish earlier: shown by looking at all of them, or by a bound that it meets.
        best: bool,
        /// All tasks, by their beginning.
        tasks: Vec<Task>,
        /// Windows that are missed, in the order in which they end; empty unless `late_allowed`.
        late: Vec<Window>,
    },
    /// Nothing fits.
    NothingFits {
        /// Windows that cannot all be kept; without any one of them the others could be. In the order in which they end.
        breaks: Vec<Window>,
        /// True if that is shown; false if the search was cut off.
        proved: bool,
    },
}

/// One hands-on task.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Task {
    /// The section's name.
    pub section: String,
    /// Number of the layer on it, from 0 as in the problem.
    pub layer: usize,
    /// What is done.
    pub task: TaskKind,
    /// Who does it.
    pub person: String,
    /// Beginning.
    pub start_s: i64,
    /// End.
    pub end_s: i64,
    /// How far it is.
    pub state: TaskState,
}

/// What is done in a task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TaskKind {
    /// Put on.
    Apply,
    /// Levelled, wiped off.
    Level,
}

/// How far a task is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TaskState {
    /// Over: real times.
    Done,
    /// Begun: its end is reckoned.
    Running,
    /// To come.
    Planned,
}

/// Which wait has a most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lag {
    /// From applied to levelled.
    Wait,
    /// From levelled to the next layer.
    Cure,
}

/// A window that breaks, or is missed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Window {
    /// The section's name.
    pub section: String,
    /// The layer that waits or cures, from 0.
    pub layer: usize,
    /// Which lag.
    pub lag: Lag,
    /// Latest beginning of levelling (wait) or of the next layer (cure).
    pub due_s: i64,
    /// By how much it is missed: in a plan, so much; where nothing fits, at least so much if this one alone is missed.
    pub late_s: i64,
}

impl Problem {
    /// Reads a problem from JSON; what is wrong is named by its path.
    pub fn read(json: &str) -> Result<Self, Error> {
        let mut reading = serde_json::Deserializer::from_str(json);
        let problem = serde_path_to_error::deserialize(&mut reading)
            .map_err(|why| Error::refused(why.path().to_string(), why.inner().to_string()))?;
        reading.end().map_err(|why| Error::refused("problem", why.to_string()))?;
        Ok(problem)
    }
}

/// Plans the work, or says which windows break.
pub fn plan(problem: &Problem) -> Result<Plan, Error> {
    let mut model = Model::read(problem)?;
    let asked = model.clone();
    // Each turn widens one window by the least that it needs; the last turns let it go altogether.
    let turns = 3 * model.windows().len();
    for turn in 0.. {
        if let Some(found) = improve::improve(&model) {
            return Ok(told(problem, &asked, &model, &found.placed, found.best));
        }
        let (breaks, proved) = fits::breaks(&model);
        let Some(least) = breaks.iter().min_by_key(|it| it.late_s) else { break };
        if !problem.late_allowed {
            let breaks = breaks.iter().map(|it| asked.window(problem, it.at, it.late_s)).collect();
            return Ok(Plan::NothingFits { breaks, proved });
        }
        model.widen(least.at, if turn < turns { least.late_s } else { model::FAR });
    }
    Err(Error::internal("schedule: no plan, and no window that breaks"))
}

/// The plan in the problem's own names.
fn told(problem: &Problem, asked: &Model, model: &Model, placed: &[Placed], best: bool) -> Plan {
    let mut tasks = Vec::new();
    for section in &problem.sections {
        for (number, layer) in section.layers.iter().enumerate() {
            let recorded = [
                (TaskKind::Apply, &layer.applied, layer.apply_s),
                (TaskKind::Level, &layer.levelled, layer.level_s),
            ];
            for (task, done, length_s) in recorded {
                let Some(done) = done else { continue };
                tasks.push(Task {
                    section: section.name.clone(),
                    layer: number,
                    task,
                    person: done.person.clone(),
                    start_s: done.start_s,
                    end_s: model::ended(done, length_s, problem.now_s),
                    state: if done.end_s.is_some() { TaskState::Done } else { TaskState::Running },
                });
            }
        }
    }
    for (step, at) in model.steps.iter().zip(placed) {
        let level = (TaskKind::Level, at.level, step.level_s);
        let apply = at.apply.map(|apply| (TaskKind::Apply, apply, step.apply_s));
        for (task, (person, start_s), length_s) in apply.into_iter().chain([level]) {
            tasks.push(Task {
                section: problem.sections[step.section].name.clone(),
                layer: step.layer,
                task,
                person: problem.people[person].name.clone(),
                start_s,
                end_s: start_s + length_s,
                state: TaskState::Planned,
            });
        }
    }
    tasks.sort_by_key(|task| (task.start_s, task.end_s));
    let late_s = |at: model::At| asked.late_s(at, &placed[at.step]);
    let mut missed: Vec<model::At> = asked.windows().into_iter().filter(|at| late_s(*at) > 0).collect();
    missed.sort_by_key(|at| asked.due_s(*at));
    let late = missed.into_iter().map(|at| asked.window(problem, at, late_s(at))).collect();
    Plan::Fits {
        finish_s: tasks.iter().map(|task| task.end_s).max().unwrap_or(problem.now_s),
        best,
        tasks,
        late,
    }
}

#[cfg(test)]
mod tests;
