//! Putting tasks into the earliest gap, in a given order. Pure.
//!
//! Each layer goes in as a whole: the earliest applying for which a person has a gap, a gap for levelling lies inside the window,
//! and not too many sections are open. Layers that are tied by a most of curing go in together: if the next one comes too
//! late, the one before is put off by so much.

use super::model::{FAR, Model};

/// Where a step lies: person and beginning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    /// None if it was applied before.
    pub apply: Option<(usize, i64)>,
    pub level: (usize, i64),
}

/// What a plan is made from.
#[derive(Debug, Clone)]
pub struct Genes {
    /// Sections in the order in which their next unit goes in.
    pub order: Vec<usize>,
    /// Who applies a step; none: whoever is done first.
    pub who: Vec<Option<usize>>,
    /// How much longer than the least a step waits.
    pub longer_s: Vec<i64>,
}

/// The units of each section: steps that go in together.
pub fn units(model: &Model) -> Vec<Vec<Vec<usize>>> {
    let section = |steps: &Vec<usize>| {
        let mut units: Vec<Vec<usize>> = Vec::new();
        for &step in steps {
            let tied = model.before(step).map(|before| &model.steps[before]);
            let tied = tied.is_some_and(|before| before.cure_most_s < FAR && before.open_by.is_none());
            match units.last_mut().filter(|_| tied) {
                Some(unit) => unit.push(step),
                None => units.push(vec![step]),
            }
        }
        units
    };
    model.sections.iter().map(section).collect()
}

/// A plan while it is made.
#[derive(Debug, Clone)]
pub struct Board {
    /// Of each person, in order and without overlap.
    busy: Vec<Vec<(i64, i64)>>,
    /// Sections that each person has open, by their beginning.
    open: Vec<Vec<(i64, i64)>>,
    pub at: Vec<Option<Placed>>,
    /// Intervals that were looked at: the measure of work.
    pub work: u64,
}

impl Board {
    pub fn new(model: &Model) -> Self {
        let people = model.free_s.len();
        let mut open = vec![Vec::new(); people];
        for &(by, until_s) in &model.held {
            open[by].push((-FAR, until_s));
        }
        for by in model.steps.iter().filter_map(|step| step.open_by) {
            open[by].push((-FAR, FAR));
        }
        Self { busy: vec![Vec::new(); people], open, at: vec![None; model.steps.len()], work: 0 }
    }

    /// End of the last levelling, and the sum of all ends, which tells two plans with one finish apart.
    pub fn cost(&self, model: &Model) -> (i64, i64) {
        let ends = self
            .at
            .iter()
            .zip(&model.steps)
            .filter_map(|(at, step)| Some(at.as_ref()?.level.1 + step.level_s));
        ends.fold((0, 0), |(finish, sum), end| (finish.max(end), sum.saturating_add(end)))
    }

    /// Puts a step where it is told to be.
    pub fn put(&mut self, model: &Model, step: usize, placed: Placed) {
        let it = &model.steps[step];
        let (leveller, level_s) = placed.level;
        insert(&mut self.busy[leveller], (level_s, level_s + it.level_s));
        match placed.apply {
            Some((by, start_s)) => {
                insert(&mut self.busy[by], (start_s, start_s + it.apply_s));
                insert(&mut self.open[by], (start_s, level_s + it.level_s));
            }
            None => self.reopen(it.open_by, FAR, level_s + it.level_s),
        }
        self.at[step] = Some(placed);
    }

    /// Takes a step away again.
    pub fn take(&mut self, model: &Model, step: usize) {
        let Some(placed) = self.at[step].take() else { return };
        let it = &model.steps[step];
        let (leveller, level_s) = placed.level;
        remove(&mut self.busy[leveller], (level_s, level_s + it.level_s));
        match placed.apply {
            Some((by, start_s)) => {
                remove(&mut self.busy[by], (start_s, start_s + it.apply_s));
                remove(&mut self.open[by], (start_s, level_s + it.level_s));
            }
            None => self.reopen(it.open_by, level_s + it.level_s, FAR),
        }
    }

    /// Moves the end of one recorded open section.
    fn reopen(&mut self, by: Option<usize>, was_s: i64, is_s: i64) {
        let Some(by) = by else { return };
        remove(&mut self.open[by], (-FAR, was_s));
        insert(&mut self.open[by], (-FAR, is_s));
    }

    /// Puts a unit into the earliest gaps; false if a recorded window breaks, and then nothing of it is left.
    pub fn place(&mut self, model: &Model, unit: &[usize], genes: &Genes) -> bool {
        let mut level_from_s = vec![0; unit.len()];
        let mut at = 0;
        let mut turns = 0;
        while let Some(&step) = unit.get(at) {
            turns += 1;
            let below = model.before(step).and_then(|before| {
                let it = &model.steps[before];
                Some((it, self.at[before]?.level.1 + it.level_s))
            });
            let (from_s, due_s) = below
                .map_or((0, FAR), |(it, end_s)| (end_s + it.cure_least_s, FAR.min(end_s + it.cure_most_s)));
            // Inside a unit a window can be met by putting off what comes before; at its beginning it cannot.
            let due_s = model.steps[step].due_s.min(if at == 0 { due_s } else { FAR });
            let found = self.earliest(model, step, from_s, due_s, level_from_s[at], genes);
            let Some(placed) = found.filter(|_| turns < 200) else {
                for &step in &unit[..at] {
                    self.take(model, step);
                }
                return false;
            };
            let start_s = placed.apply.unwrap_or(placed.level).1;
            match below.filter(|(it, end_s)| at > 0 && start_s - end_s > it.cure_most_s) {
                Some((it, _)) => {
                    at -= 1;
                    level_from_s[at] = start_s - it.cure_most_s - it.level_s;
                    self.take(model, unit[at]);
                }
                None => {
                    self.put(model, step, placed);
                    at += 1;
                }
            }
        }
        true
    }

    /// The place of a step that ends earliest.
    fn earliest(
        &mut self,
        model: &Model,
        step: usize,
        from_s: i64,
        due_s: i64,
        level_from_s: i64,
        genes: &Genes,
    ) -> Option<Placed> {
        let it = &model.steps[step];
        let from_s = from_s.max(it.from_s);
        // Longer than the least only as far as the window goes.
        let longer_s = genes.longer_s[step].min(it.most_s - it.least_s);
        if let Some(by) = it.open_by {
            let from_s = level_from_s.max(from_s + if from_s + longer_s <= due_s { longer_s } else { 0 });
            let level = self.level(model, by, from_s, it.level_s);
            return (level.1 <= due_s).then_some(Placed { apply: None, level });
        }
        let by = genes.who[step].filter(|_| it.who.is_none()).map_or(model.appliers(step), |by| by..by + 1);
        let mut best: Option<Placed> = None;
        for by in by {
            let mut start_s = from_s.max(model.free_s[by]);
            let placed = loop {
                start_s = self.gap(by, start_s, it.apply_s);
                let end_s = start_s + it.apply_s;
                let level =
                    self.level(model, by, level_from_s.max(end_s + it.least_s + longer_s), it.level_s);
                // A worse place than the best so far stays worse when it is put off.
                if start_s > due_s || best.is_some_and(|best| level.1 >= best.level.1) {
                    break None;
                }
                if level.1 - end_s > it.most_s {
                    start_s = level.1 - it.most_s - it.apply_s;
                    continue;
                }
                match self.too_open(by, (start_s, level.1 + it.level_s), model.limit) {
                    Some(FAR..) => break None,
                    Some(until_s) => start_s = until_s,
                    None => break Some(Placed { apply: Some((by, start_s)), level }),
                }
            };
            best = placed.or(best);
        }
        best
    }

    /// Who can begin levelling first, and when.
    fn level(&mut self, model: &Model, by: usize, from_s: i64, length_s: i64) -> (usize, i64) {
        let mut best = (by, FAR);
        for person in model.levellers(by) {
            let start_s = self.gap(person, from_s.max(model.free_s[person]), length_s);
            if start_s < best.1 || (start_s == best.1 && person == by) {
                best = (person, start_s);
            }
        }
        best
    }

    /// The earliest gap of a person.
    fn gap(&mut self, person: usize, from_s: i64, length_s: i64) -> i64 {
        let busy = &self.busy[person];
        let first = busy.partition_point(|it| it.1 <= from_s);
        let mut start_s = from_s;
        self.work += 2;
        for it in &busy[first..] {
            if it.0 >= start_s + length_s {
                break;
            }
            start_s = it.1;
            self.work += 1;
        }
        start_s
    }

    /// If one more open section were too much: when the first of those ends that are in the way.
    fn too_open(&mut self, by: usize, new: (i64, i64), limit: usize) -> Option<i64> {
        let open = &self.open[by];
        self.work += 1 + open.len() as u64 / 4;
        let beside = || open.iter().filter(|it| it.0 < new.1 && new.0 < it.1);
        if beside().count() < limit {
            return None;
        }
        // The most are open where one begins.
        let points = beside().map(|it| it.0.max(new.0));
        let full = |at: &i64| beside().filter(|it| it.0 <= *at && *at < it.1).count() >= limit;
        let at = points.filter(full).min()?;
        beside().filter(|it| it.0 <= at && at < it.1).map(|it| it.1).min()
    }
}

fn insert(list: &mut Vec<(i64, i64)>, it: (i64, i64)) {
    list.insert(list.partition_point(|other| *other < it), it);
}

fn remove(list: &mut Vec<(i64, i64)>, it: (i64, i64)) {
    let at = list.partition_point(|other| *other < it);
    if list.get(at) == Some(&it) {
        list.remove(at);
    }
}
