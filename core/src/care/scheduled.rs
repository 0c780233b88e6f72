//! A schedule made from what is on record: sheets give the windows, begun and levelled layers go in as done, and what
//! comes out is the body of an event. Pure.
//!
//! Time counts as the clocks count it (`clocks`): the wait of a layer runs from its first stroke, the entry that began it, so
//! what the scheduler calls the wait is the sheet's less the hands-on time of putting it on. A levelling ends with its entry.
//! Where two phones' entries contradict each other (the next layer begun before the one below is levelled), what lies below
//! counts as over by then.

use super::clocks::{Moment, Trail};
use super::recorded::{moment, sheets};
use super::schedule::{
    Done, Lag, Layer, MODEL_VERSION, Person, Plan, Problem, Section, Task, TaskKind, TaskState, Window, plan,
};
use super::sheet::Sheet;
use super::told::passed_text;
use crate::error::Error;
use crate::record::events::{
    LayerBegun, LayerScheduled, ScheduleMade, SectionScheduled, TaskScheduled, WindowMissed,
};
use crate::record::fold::{Item, Job, Stamp, Text};
use crate::record::inputs::{LayerToCoat, MakeSchedule, SectionToCoat};
use crate::record::views::ScheduleTask;
use uuid::Uuid;

/// Where now lies on the scheduler's clock, seconds: what was done lies before it, what is planned after it.
const NOW_S: i64 = 50_000_000_000;

/// A section without the words of a country, for reasons of a refusal.
pub fn place(panel: &str, part: Option<u32>) -> String {
    part.map_or_else(|| panel.to_owned(), |part| format!("{panel}, part {part}"))
}

/// The moments that time on record is counted over, each phone's in its own order.
pub fn moments(job: &Job) -> Vec<Moment> {
    let work = &job.work;
    let mut stamps: Vec<&Stamp> = work.layers.iter().map(|it| &it.stamp).collect();
    stamps.extend(work.levelled.iter().map(|it| &it.stamp));
    stamps.extend(work.schedules.iter().map(|it| &it.stamp));
    stamps.sort_by(|a, b| a.key.cmp(&b.key));
    stamps.into_iter().map(|stamp| moment(job, stamp)).collect()
}

/// The entry that counts of a layer on a section: one that is open before one that is levelled, then the latest.
pub fn begun<'j>(job: &'j Job, panel: &str, part: Option<u32>, layer: u32) -> Option<&'j Item<LayerBegun>> {
    let here = |it: &&Item<LayerBegun>| {
        (it.body.panel.as_str(), it.body.part, it.body.layer) == (panel, part, layer)
    };
    let those = job.work.layers.iter().filter(here).enumerate();
    those.max_by_key(|(at, it)| (job.work.levelling(it.id).is_none(), *at)).map(|(_, it)| it)
}

/// Who put a layer on, as far as the record says.
fn name_of(begun: &Item<LayerBegun>) -> Option<String> {
    match (begun.text("who"), &begun.stamp.recorder) {
        (Text::Here(name), _) => Some(name),
        (Text::None, Text::Here(name)) => Some(name.clone()),
        _ => None,
    }
}

/// The people of a schedule on record; a name that is not here any more is a number.
pub fn people(made: &Item<ScheduleMade>) -> Vec<String> {
    let names: Vec<String> =
        made.value("people").and_then(|it| serde_json::from_value(it.clone()).ok()).unwrap_or_default();
    let count = made.body.people_from_s.len();
    (0..count).map(|at| names.get(at).cloned().unwrap_or_else(|| format!("person {}", at + 1))).collect()
}

/// A task of a schedule, if it holds one, with its layer.
pub fn task_of<'m>(
    made: &'m ScheduleMade,
    (panel, part, layer): (&str, Option<u32>, u32),
    task: ScheduleTask,
) -> Option<(&'m LayerScheduled, TaskScheduled)> {
    let section = made.sections.iter().find(|it| it.panel == panel && it.part == part)?;
    let layer = section.layers.get(usize::try_from(layer.checked_sub(1)?).ok()?)?;
    let task = match task {
        ScheduleTask::Apply => layer.apply,
        ScheduleTask::Level => layer.level,
    };
    Some((layer, task?))
}

/// Plans what is asked for: the event's body, or a refusal that names the windows that break. `from_s`: of each person, from
/// when on, seconds from now.
pub fn made(job: &Job, act: &MakeSchedule, from_s: &[i64], now: &Moment) -> Result<ScheduleMade, Error> {
    let moments = moments(job);
    let asked = Asked { job, act, sheets: sheets(job), trail: Trail::new(moments.iter().chain([now])), now };
    let problem = asked.problem(from_s)?;
    let (finish_s, best, tasks, late) = match plan(&problem)? {
        Plan::Fits { finish_s, best, tasks, late } => (finish_s, best, tasks, late),
        Plan::NothingFits { breaks, proved } => return Err(asked.nothing_fits(&problem, &breaks, proved)),
    };
    let mut sections: Vec<SectionScheduled> = act.sections.iter().map(bare).collect();
    let number = |name: &str| problem.sections.iter().position(|it| it.name == name);
    let mut left = 0;
    for task in tasks.iter().filter(|task| task.state == TaskState::Planned) {
        let layer = number(&task.section).and_then(|at| sections.get_mut(at)?.layers.get_mut(task.layer));
        let Some(layer) = layer else { continue };
        left += 1;
        let scheduled = Some(scheduled(act, task));
        match task.task {
            TaskKind::Apply => layer.apply = scheduled,
            TaskKind::Level => layer.level = scheduled,
        }
    }
    if left == 0 {
        return Err(Error::refused("sections", "all of it is on record already; nothing is left to plan"));
    }
    let missed = |window: &Window| {
        Some(WindowMissed {
            section: u32::try_from(number(&window.section)?).ok()?,
            layer: u32::try_from(window.layer + 1).ok()?,
            next_layer: window.lag == Lag::Cure,
            late_s: window.late_s,
        })
    };
    Ok(ScheduleMade {
        model: MODEL_VERSION,
        replaces: job.work.schedules.last().map(|it| it.id),
        people_from_s: from_s.to_vec(),
        open_limit: act.open_limit,
        hand_over: act.hand_over,
        late_allowed: act.late_allowed,
        sections,
        finish_s: finish_s - NOW_S,
        best,
        late: late.iter().filter_map(missed).collect(),
    })
}

fn bare(section: &SectionToCoat) -> SectionScheduled {
    let layer = |it: &LayerToCoat| LayerScheduled {
        sheet: it.sheet,
        apply_s: it.apply_s,
        level_s: it.level_s,
        apply: None,
        level: None,
    };
    SectionScheduled {
        panel: section.panel.clone(),
        part: section.part,
        layers: section.layers.iter().map(layer).collect(),
    }
}

fn scheduled(act: &MakeSchedule, task: &Task) -> TaskScheduled {
    let by = act.people.iter().position(|it| it.name == task.person).unwrap_or(0);
    TaskScheduled { by: u32::try_from(by).unwrap_or(0), from_s: task.start_s - NOW_S }
}

struct Asked<'a> {
    job: &'a Job,
    act: &'a MakeSchedule,
    sheets: Vec<(Uuid, Sheet)>,
    trail: Trail<'a>,
    now: &'a Moment,
}

/// A layer that is on record, on the scheduler's clock.
struct Past {
    by: usize,
    begun_s: i64,
    levelled_s: Option<i64>,
}

impl Asked<'_> {
    fn sheet(&self, id: Uuid) -> Option<&Sheet> {
        self.sheets.iter().find(|(own, _)| *own == id).map(|(_, sheet)| sheet)
    }

    /// When an entry was made, on the scheduler's clock. A clock that was set meanwhile moves nothing.
    fn at_s(&self, stamp: &Stamp) -> i64 {
        let passed = self.trail.elapsed(&moment(self.job, stamp), self.now);
        NOW_S.saturating_sub_unsigned(passed.ms / 1_000).max(0)
    }

    fn problem(&self, from_s: &[i64]) -> Result<Problem, Error> {
        let act = self.act;
        let mut sections = Vec::new();
        for (at, section) in act.sections.iter().enumerate() {
            let name = place(&section.panel, section.part);
            sections.push(Section { name, from_s: 0, layers: self.layers(at, section)? });
        }
        self.one_hand_each(&mut sections);
        let people = act.people.iter().zip(from_s);
        Ok(Problem {
            now_s: NOW_S,
            open_limit: act.open_limit,
            hand_over: act.hand_over,
            late_allowed: act.late_allowed,
            people: people.map(|(it, s)| Person { name: it.name.clone(), from_s: NOW_S + s }).collect(),
            sections,
        })
    }

    fn layers(&self, at: usize, section: &SectionToCoat) -> Result<Vec<Layer>, Error> {
        let begun = |number: u32| begun(self.job, &section.panel, section.part, number);
        let numbered = || (1_u32..).zip(&section.layers);
        let top = numbered().filter_map(|(number, _)| Some((number, begun(number)?))).last();
        let top_s = top.map(|(_, it)| self.at_s(&it.stamp));
        let mut layers = Vec::new();
        let mut over_s = 0;
        for (number, asked) in numbered() {
            let own = begun(number);
            let past = match (top, top_s) {
                (Some((top, _)), Some(top_s)) if number <= top => {
                    // What lies below a layer that was begun is over by then, whatever is on record of it.
                    let last_s = if number < top { top_s } else { NOW_S };
                    let begun_s =
                        own.map_or(last_s, |it| self.at_s(&it.stamp)).clamp(over_s.min(last_s), last_s);
                    let ended = own.and_then(|it| self.job.work.levelling(it.id));
                    let ended_s = ended.map(|it| self.at_s(&it.stamp)).or((number < top).then_some(last_s));
                    let levelled_s = ended_s.map(|s| s.clamp(begun_s, last_s));
                    over_s = levelled_s.unwrap_or(begun_s);
                    let by = match own {
                        Some(it) => self.by(it, section, number, levelled_s.is_none())?,
                        None => 0,
                    };
                    Some(Past { by, begun_s, levelled_s })
                }
                _ => None,
            };
            let sheet = own.and_then(|it| self.sheet(it.body.sheet)).or_else(|| self.sheet(asked.sheet));
            let layer = self.layer(asked, sheet, past);
            layers.push(layer.map_err(|why| match why {
                Error::Refused { field, reason } => {
                    Error::refused(format!("sections[{at}].layers[{}].{field}", number - 1), reason)
                }
                why => why,
            })?);
        }
        Ok(layers)
    }

    fn layer(&self, asked: &LayerToCoat, sheet: Option<&Sheet>, past: Option<Past>) -> Result<Layer, Error> {
        let dwell = sheet.and_then(|it| it.dwell);
        let least_s = dwell.map_or(0, |it| i64::from(it.least_s));
        let most_s = dwell.and_then(|it| it.most_s).map(i64::from);
        let next = sheet.and_then(|it| it.next_layer);
        let (apply_s, level_s) = (i64::from(asked.apply_s), i64::from(asked.level_s));
        let mut layer = Layer {
            apply_s,
            wait_least_s: (least_s - apply_s).max(0),
            wait_most_s: most_s.map(|most_s| most_s - apply_s),
            level_s,
            cure_least_s: next.map_or(0, |it| i64::from(it.least_s)),
            cure_most_s: next.and_then(|it| it.most_s).map(i64::from),
            person: None,
            applied: None,
            levelled: None,
        };
        let Some(past) = past else {
            if let Some(most_s) = most_s.filter(|most_s| *most_s < apply_s) {
                let reason = format!(
                    "{apply_s} s, and the sheet has it levelled within {most_s} s of the first stroke: make the section smaller"
                );
                return Err(Error::refused("apply_s", reason));
            }
            return Ok(layer);
        };
        let person = self.act.people.get(past.by).map(|it| it.name.clone()).unwrap_or_default();
        // Longer than it may wait, nobody goes on putting it on.
        layer.apply_s = most_s.map_or(apply_s, |most_s| apply_s.min(most_s)).max(1);
        let applied_s = past.begun_s + layer.apply_s;
        let end_s = match past.levelled_s {
            Some(levelled_s) => Some(applied_s.min(levelled_s)),
            None => (applied_s <= NOW_S).then_some(applied_s),
        };
        layer.applied = Some(Done { person: person.clone(), start_s: past.begun_s, end_s });
        layer.levelled = past.levelled_s.zip(end_s).map(|(levelled_s, applied_s)| Done {
            person,
            start_s: applied_s.max(levelled_s - level_s),
            end_s: Some(levelled_s),
        });
        count_from(
            &mut layer,
            end_s.unwrap_or(applied_s),
            past.begun_s + least_s,
            most_s.map(|s| past.begun_s + s),
        );
        Ok(layer)
    }

    /// Who put a layer on, as a place in the list of people.
    fn by(
        &self,
        begun: &Item<LayerBegun>,
        section: &SectionToCoat,
        number: u32,
        open: bool,
    ) -> Result<usize, Error> {
        let among = |name: &str| self.act.people.iter().position(|it| it.name == name);
        let name = name_of(begun);
        if let Some(at) = name.as_deref().and_then(among) {
            return Ok(at);
        }
        if name.is_none() {
            // Nobody said who it was: whoever was planned for it.
            let where_ = (section.panel.as_str(), section.part, number);
            let planned = self.job.work.schedules.iter().rev().find_map(|it| {
                let (_, task) = task_of(&it.body, where_, ScheduleTask::Apply)?;
                people(it).get(usize::try_from(task.by).ok()?).cloned()
            });
            if let Some(at) = planned.as_deref().and_then(among) {
                return Ok(at);
            }
        }
        if !open || self.act.hand_over || (name.is_none() && self.act.people.len() == 1) {
            return Ok(0);
        }
        let who = name.unwrap_or_else(|| "somebody whose name is not on record".to_owned());
        let reason = format!(
            "{}, layer {number} is open and was put on by {who}, who is not among them: name them, or allow handing over",
            place(&section.panel, section.part)
        );
        Err(Error::refused("people", reason))
    }

    /// A person puts on one section at a time: who has begun another one has left off the one before.
    fn one_hand_each(&self, sections: &mut [Section]) {
        let mut running: Vec<(usize, usize, Done)> = Vec::new();
        for (at, section) in sections.iter().enumerate() {
            for (number, layer) in section.layers.iter().enumerate() {
                running
                    .extend(layer.applied.clone().filter(|it| it.end_s.is_none()).map(|it| (at, number, it)));
            }
        }
        running.sort_by_key(|(at, number, done)| (done.start_s, *at, *number));
        for (place, (at, number, done)) in running.iter().enumerate() {
            let later = running.iter().skip(place + 1).find(|(_, _, other)| other.person == done.person);
            let layer = sections.get_mut(*at).and_then(|it| it.layers.get_mut(*number));
            let (Some((_, _, later)), Some(layer)) = (later, layer) else { continue };
            let applied_s = done.start_s + layer.apply_s;
            let (least_s, most_s) =
                (applied_s + layer.wait_least_s, layer.wait_most_s.map(|s| applied_s + s));
            count_from(layer, later.start_s, least_s, most_s);
            layer.applied = Some(Done { end_s: Some(later.start_s), ..done.clone() });
        }
    }

    fn nothing_fits(&self, problem: &Problem, breaks: &[Window], proved: bool) -> Error {
        let seconds = |s: i64| passed_text(s.unsigned_abs().saturating_mul(1_000));
        let line = |window: &Window| {
            let (layer, what) = match window.lag {
                Lag::Wait => (window.layer + 1, "levelled"),
                Lag::Cure => (window.layer + 2, "put on"),
            };
            let due = match window.due_s - NOW_S {
                left_s @ 0.. => format!("has to be {what} within {}", seconds(left_s)),
                left_s => format!("had to be {what} {} ago", seconds(left_s)),
            };
            format!(
                "{}: layer {layer} {due} and would be {} late at least",
                window.section,
                seconds(window.late_s)
            )
        };
        let lines: Vec<String> = breaks.iter().map(line).collect();
        let all = if proved { "nothing fits" } else { "nothing was found that fits" };
        let first =
            breaks.first().and_then(|it| problem.sections.iter().position(|at| at.name == it.section));
        let field = first.map_or_else(|| "sections".to_owned(), |at| format!("sections[{at}]"));
        Error::refused(field, format!("{all}: {}; late_allowed plans it all the same", lines.join("; ")))
    }
}

/// The wait of a layer that is on: `least_s` and `most_s` are when it may and when it has to be levelled.
fn count_from(layer: &mut Layer, applied_s: i64, least_s: i64, most_s: Option<i64>) {
    layer.wait_least_s = (least_s - applied_s).max(0);
    layer.wait_most_s = most_s.map(|most_s| (most_s - applied_s).max(layer.wait_least_s));
}
