//! A problem, checked and in numbers: what is still to be done, and what recorded tasks ask of it. Pure.

use super::{Done, Lag, Layer, Problem, Window, place::Placed};
use crate::error::Error;
use std::collections::HashMap;

/// Later than any time that can be put in; sums of a few of them still fit.
pub const FAR: i64 = i64::MAX / 8;
/// Latest time that can be put in, seconds.
const LATEST_S: i64 = 100_000_000_000;
/// Longest length that can be put in, seconds: a year.
const LONGEST_S: i64 = 366 * 86_400;
const MOST_PEOPLE: usize = 50;
const MOST_SECTIONS: usize = 200;
const MOST_LAYERS: usize = 1_000;
const LONGEST_NAME: usize = 200;

/// A layer of a section that is not levelled yet. Lengths in seconds, [`FAR`] where there is no most.
#[derive(Debug, Clone)]
pub struct Step {
    pub section: usize,
    pub layer: usize,
    pub apply_s: i64,
    pub least_s: i64,
    pub most_s: i64,
    pub level_s: i64,
    /// To the next layer.
    pub cure_least_s: i64,
    pub cure_most_s: i64,
    /// Who applies it, if that is settled.
    pub who: Option<usize>,
    /// Who has applied it, if that is on record: then only levelling is left.
    pub open_by: Option<usize>,
    /// Bounds by what is on record; of a step that has been applied, those of levelling.
    pub from_s: i64,
    pub due_s: i64,
}

/// What is still to be done.
#[derive(Debug, Clone)]
pub struct Model {
    /// Whether anything is on record.
    pub going_on: bool,
    pub limit: usize,
    pub hand_over: bool,
    /// When each person is free.
    pub free_s: Vec<i64>,
    /// Sections that are being levelled now: who applied them, and until when they are open.
    pub held: Vec<(usize, i64)>,
    pub steps: Vec<Step>,
    /// Steps of each section, in their order.
    pub sections: Vec<Vec<usize>>,
}

/// A window that a recorded task has set going: the wait of a step that has been applied, otherwise the cure before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct At {
    pub step: usize,
}

/// End of a recorded task; of a running one as it is reckoned.
pub fn ended(done: &Done, length_s: i64, now_s: i64) -> i64 {
    done.end_s.unwrap_or_else(|| now_s.max(done.start_s + length_s))
}

impl Model {
    /// Checks a problem.
    pub fn read(problem: &Problem) -> Result<Self, Error> {
        let now_s = time("now_s", problem.now_s)?;
        let limit = usize::try_from(problem.open_limit).unwrap_or(0);
        if !(1..=100).contains(&limit) {
            return Err(Error::refused("open_limit", format!("{limit} does not lie between 1 and 100")));
        }
        let people = names("people", MOST_PEOPLE, problem.people.iter().map(|it| it.name.as_str()))?;
        names("sections", MOST_SECTIONS, problem.sections.iter().map(|it| it.name.as_str()))?;
        let layers: usize = problem.sections.iter().map(|it| it.layers.len()).sum();
        if layers > MOST_LAYERS {
            let reason = format!("{layers} layers together; at most {MOST_LAYERS} can be planned");
            return Err(Error::refused("sections", reason));
        }
        let mut free_s = Vec::new();
        for (at, person) in problem.people.iter().enumerate() {
            free_s.push(time(format!("people[{at}].from_s"), person.from_s)?.max(now_s));
        }
        let mut model = Self {
            going_on: false,
            limit,
            hand_over: problem.hand_over,
            free_s,
            held: Vec::new(),
            steps: Vec::new(),
            sections: Vec::new(),
        };
        let mut busy = vec![false; people.len()];
        for (at, section) in problem.sections.iter().enumerate() {
            let path = format!("sections[{at}]");
            let mut from_s = time(format!("{path}.from_s"), section.from_s)?.max(now_s);
            if section.layers.is_empty() {
                return Err(Error::refused(format!("{path}.layers"), "there is no layer"));
            }
            model.sections.push(Vec::new());
            let mut due_s = FAR;
            // End of what is on record of the section; none once a layer is not over.
            let mut over_s = Some(0);
            for (number, layer) in section.layers.iter().enumerate() {
                let reading =
                    Reading { path: format!("{path}.layers[{number}]"), layer, people: &people, now_s };
                let step = reading.step(at, number)?;
                let [applied, levelled] = reading.recorded(over_s)?;
                for (done, length_s) in [(applied, step.apply_s), (levelled, step.level_s)] {
                    let Some((person, done)) = done.filter(|it| it.1.end_s.is_none()) else { continue };
                    if std::mem::replace(&mut busy[person], true) {
                        let reason = format!("{} is at two sections at once", done.person);
                        return Err(Error::refused(format!("{}.applied.person", reading.path), reason));
                    }
                    model.free_s[person] = model.free_s[person].max(ended(done, length_s, now_s));
                }
                over_s = None;
                model.going_on |= applied.is_some();
                match (applied, levelled) {
                    (Some((by, _)), Some((_, done))) => {
                        let end_s = ended(done, step.level_s, now_s);
                        if done.end_s.is_none() {
                            model.held.push((by, end_s));
                        }
                        from_s = from_s.max(end_s + step.cure_least_s);
                        due_s = FAR.min(end_s + step.cure_most_s);
                        over_s = done.end_s;
                    }
                    (Some((by, done)), None) => {
                        let end_s = ended(done, step.apply_s, now_s);
                        let level = (end_s + step.least_s, FAR.min(end_s + step.most_s));
                        model.push(Step {
                            open_by: Some(by),
                            from_s: level.0.max(now_s),
                            due_s: level.1,
                            ..step
                        });
                        due_s = FAR;
                    }
                    _ => {
                        model.push(Step { from_s, due_s, ..step });
                        due_s = FAR;
                    }
                }
            }
        }
        Ok(model)
    }

    fn push(&mut self, step: Step) {
        self.sections[step.section].push(self.steps.len());
        self.steps.push(step);
    }

    /// The step of the layer below, if that is not over.
    pub fn before(&self, step: usize) -> Option<usize> {
        step.checked_sub(1).filter(|before| self.steps[*before].section == self.steps[step].section)
    }

    /// Who may apply a step.
    pub fn appliers(&self, step: usize) -> std::ops::Range<usize> {
        self.steps[step].who.map_or(0..self.free_s.len(), |who| who..who + 1)
    }

    /// Who may level what `by` has applied.
    pub fn levellers(&self, by: usize) -> std::ops::Range<usize> {
        if self.hand_over { 0..self.free_s.len() } else { by..by + 1 }
    }

    /// Windows that recorded tasks have set going.
    pub fn windows(&self) -> Vec<At> {
        (0..self.steps.len()).filter(|step| self.steps[*step].due_s < FAR).map(|step| At { step }).collect()
    }

    /// When a window ends.
    pub fn due_s(&self, at: At) -> i64 {
        self.steps[at.step].due_s
    }

    /// Lets a window end later.
    pub fn widen(&mut self, at: At, by_s: i64) {
        let due_s = &mut self.steps[at.step].due_s;
        *due_s = FAR.min(*due_s + by_s);
    }

    /// By how much a placed step misses its window; 0 or less if it does not.
    pub fn late_s(&self, at: At, placed: &Placed) -> i64 {
        placed.apply.unwrap_or(placed.level).1 - self.due_s(at)
    }

    /// A window in the problem's own names.
    pub fn window(&self, problem: &Problem, at: At, late_s: i64) -> Window {
        let step = &self.steps[at.step];
        let (layer, lag) = match step.open_by {
            Some(_) => (step.layer, Lag::Wait),
            None => (step.layer.saturating_sub(1), Lag::Cure),
        };
        Window {
            section: problem.sections[step.section].name.clone(),
            layer,
            lag,
            due_s: self.due_s(at),
            late_s,
        }
    }
}

/// One layer while it is read.
struct Reading<'a> {
    path: String,
    layer: &'a Layer,
    people: &'a HashMap<&'a str, usize>,
    now_s: i64,
}

type Recorded<'a> = Option<(usize, &'a Done)>;

impl<'a> Reading<'a> {
    fn field(&self, name: &str) -> String {
        format!("{}.{name}", self.path)
    }

    fn step(&self, section: usize, number: usize) -> Result<Step, Error> {
        let layer = self.layer;
        let length = |name, value, least| {
            if (least..=LONGEST_S).contains(&value) {
                return Ok(value);
            }
            let reason = format!("{value} s does not lie between {least} and {LONGEST_S}");
            Err(Error::refused(self.field(name), reason))
        };
        let most = |name, value: Option<i64>, least: i64| {
            let Some(value) = value else { return Ok(FAR) };
            if value < least {
                let reason = format!("{value} s is less than the least, {least} s");
                return Err(Error::refused(self.field(name), reason));
            }
            length(name, value, 0)
        };
        let least_s = length("wait_least_s", layer.wait_least_s, 0)?;
        let cure_least_s = length("cure_least_s", layer.cure_least_s, 0)?;
        Ok(Step {
            section,
            layer: number,
            apply_s: length("apply_s", layer.apply_s, 1)?,
            least_s,
            most_s: most("wait_most_s", layer.wait_most_s, least_s)?,
            level_s: length("level_s", layer.level_s, 1)?,
            cure_least_s,
            cure_most_s: most("cure_most_s", layer.cure_most_s, cure_least_s)?,
            who: layer.person.as_ref().map(|name| self.person("person", name)).transpose()?,
            open_by: None,
            from_s: 0,
            due_s: FAR,
        })
    }

    fn person(&self, field: &str, name: &str) -> Result<usize, Error> {
        let unknown =
            || Error::refused(self.field(field), format!("there is nobody called {name:?} among people"));
        self.people.get(name).copied().ok_or_else(unknown)
    }

    /// What is on record of the layer. `over_s`: end of what came before on this section, none if that is not over.
    fn recorded(&self, over_s: Option<i64>) -> Result<[Recorded<'a>; 2], Error> {
        let applied =
            self.done("applied", self.layer.applied.as_ref(), over_s, "the layer below is levelled")?;
        let applied_s = applied.and_then(|it| it.1.end_s);
        let levelled = self.done("levelled", self.layer.levelled.as_ref(), applied_s, "it is applied")?;
        Ok([applied, levelled])
    }

    fn done(
        &self,
        field: &str,
        done: Option<&'a Done>,
        over_s: Option<i64>,
        after: &str,
    ) -> Result<Recorded<'a>, Error> {
        let Some(done) = done else { return Ok(None) };
        let person = self.person(&format!("{field}.person"), &done.person)?;
        let refused =
            |name: &str, reason: String| Err(Error::refused(self.field(&format!("{field}.{name}")), reason));
        time(self.field(&format!("{field}.start_s")), done.start_s)?;
        if done.start_s > self.now_s {
            return refused("start_s", format!("{} lies after now_s, {}", done.start_s, self.now_s));
        }
        if over_s.is_none_or(|over_s| done.start_s < over_s) {
            return refused("start_s", format!("it cannot begin before {after}"));
        }
        if let Some(end_s) = done.end_s.filter(|end_s| !(done.start_s..=self.now_s).contains(end_s)) {
            let reason =
                format!("{end_s} does not lie between start_s, {}, and now_s, {}", done.start_s, self.now_s);
            return refused("end_s", reason);
        }
        Ok(Some((person, done)))
    }
}

fn time(field: impl Into<String>, value: i64) -> Result<i64, Error> {
    if (0..=LATEST_S).contains(&value) {
        return Ok(value);
    }
    Err(Error::refused(field, format!("{value} s does not lie between 0 and {LATEST_S}")))
}

/// Names with their numbers; none may be empty or stand twice.
fn names<'a>(
    list: &str,
    most: usize,
    all: impl ExactSizeIterator<Item = &'a str>,
) -> Result<HashMap<&'a str, usize>, Error> {
    if !(1..=most).contains(&all.len()) {
        return Err(Error::refused(list, format!("{} of them; it has to be 1 to {most}", all.len())));
    }
    let mut numbers = HashMap::new();
    for (at, name) in all.enumerate() {
        let refused = |reason: String| Err(Error::refused(format!("{list}[{at}].name"), reason));
        if name.trim().is_empty() || name.len() > LONGEST_NAME {
            return refused(format!("a name has 1 to {LONGEST_NAME} bytes"));
        }
        if let Some(first) = numbers.insert(name, at) {
            return refused(format!("{name:?} stands twice, first as {list}[{first}]"));
        }
    }
    Ok(numbers)
}
