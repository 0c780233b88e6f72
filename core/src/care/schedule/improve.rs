//! Looking for a better order. Pure, and the same on every machine: numbers that look thrown come from a fixed seed, and the
//! search ends after so much work, not after so much time.
//!
//! Late acceptance (Burke and Bykov, European Journal of Operational Research 258, 2017): a change is taken if the plan is
//! no worse than the one some turns ago. Small problems go to `exact` afterwards.

use super::exact::{Goal, Search};
use super::fits::anchored;
use super::model::{FAR, Model};
use super::place::{Board, Genes, Placed, units};

/// Intervals that the search for a new plan looks at: 15 to 20 ms on a desk of 2020. Twenty times as many made plans of 12 to 51
/// layers one percent shorter on average.
const WORK: u64 = 1_500_000;
/// The same for a plan that is made anew while work goes on: a person waits for it.
const WORK_GOING_ON: u64 = 1_000_000;
/// How many turns back a change is compared with.
const LATE: usize = 24;
/// Turns without a better plan after which the best one is gone back to.
const PATIENCE: u32 = 600;
/// Layers up to which all plans are looked at.
const SMALL: usize = 14;
/// Parts of plans that are looked at then.
const NODES: u32 = 12_000;

/// The best plan found.
pub struct Found {
    pub placed: Vec<Placed>,
    /// True if none can finish earlier.
    pub best: bool,
}

/// Finds a plan, or none: then a recorded window breaks.
pub fn improve(model: &Model) -> Option<Found> {
    if model.steps.is_empty() {
        return Some(Found { placed: Vec::new(), best: true });
    }
    let mut climb = Climb::begin(model)?;
    let bound_s = bound_s(model);
    let small = model.steps.len() <= SMALL;
    let work = if model.going_on { WORK_GOING_ON } else { WORK };
    climb.climb(bound_s, if small { work / 8 } else { work });
    let mut best = climb.best.0.0 <= bound_s;
    let mut placed: Vec<Placed> = climb.best.1.at.iter().copied().collect::<Option<_>>()?;
    if !best && small {
        let all: Vec<usize> = (0..model.steps.len()).collect();
        let mut search = Search::new(model, &all, Goal::Finish, NODES);
        search.below(climb.best.0.0);
        search.run();
        best = search.complete();
        if let Some(better) = search.found() {
            placed = better;
        }
    }
    Some(Found { placed, best })
}

/// No plan finishes earlier: by the longest chain on one section, by all hands, by all open sections, by what one person
/// alone can do.
fn bound_s(model: &Model) -> i64 {
    let first_s = model.free_s.iter().copied().min().unwrap_or(0);
    let mut bound_s = 0;
    for steps in &model.sections {
        let mut end_s = 0;
        for &step in steps {
            let it = &model.steps[step];
            let hands_s = it.apply_s + it.least_s + it.level_s;
            end_s =
                it.from_s.max(end_s).max(first_s) + if it.open_by.is_some() { it.level_s } else { hands_s };
            bound_s = bound_s.max(end_s);
            end_s += it.cure_least_s;
        }
    }
    // Who must do a step, how long hands are on it, how long it is open.
    let loads: Vec<(Option<usize>, i64, i64)> = (model.steps.iter())
        .map(|it| match it.open_by {
            Some(by) => (Some(by), it.level_s, 0),
            None => (it.who, it.apply_s + it.level_s, it.apply_s + it.least_s + it.level_s),
        })
        .collect();
    let limit = i64::try_from(model.limit).unwrap_or(1);
    let hands_s = loads.iter().map(|it| it.1).sum::<i64>();
    let open_s = loads.iter().map(|it| it.2).sum::<i64>();
    bound_s = bound_s.max(filled_s(&model.free_s, hands_s, 1)).max(filled_s(&model.free_s, open_s, limit));
    for (person, free_s) in model.free_s.iter().enumerate().filter(|_| !model.hand_over) {
        let own = || loads.iter().filter(|it| it.0 == Some(person));
        bound_s = bound_s.max(filled_s(&[*free_s], own().map(|it| it.1).sum(), 1));
        bound_s = bound_s.max(filled_s(&[*free_s], own().map(|it| it.2).sum(), limit));
    }
    bound_s
}

/// When so much is done at the earliest, if each does `lanes` of it at once from when they are free; 0 for nothing.
fn filled_s(free_s: &[i64], amount_s: i64, lanes: i64) -> i64 {
    if amount_s == 0 {
        return 0;
    }
    let mut free_s = free_s.to_vec();
    free_s.sort_unstable();
    let mut sum_s = 0;
    let ends = (1..).zip(&free_s).map(|(count, free_s)| {
        sum_s += free_s * lanes;
        let (total, by) = (amount_s + sum_s, count * lanes);
        total.div_euclid(by) + i64::from(total.rem_euclid(by) > 0)
    });
    ends.min().unwrap_or(0)
}

struct Climb<'a> {
    model: &'a Model,
    units: Vec<Vec<Vec<usize>>>,
    /// Empty, or with what had to be found first.
    base: Board,
    genes: Genes,
    best: ((i64, i64), Board),
    work: u64,
}

impl<'a> Climb<'a> {
    /// The best of some plain orders.
    fn begin(model: &'a Model) -> Option<Self> {
        let units = units(model);
        let base = Board::new(model);
        let plain = Genes {
            order: Vec::new(),
            who: vec![None; model.steps.len()],
            longer_s: vec![0; model.steps.len()],
        };
        let mut climb =
            Self { model, units, base, best: ((FAR, FAR), Board::new(model)), genes: plain, work: 0 };
        if !climb.try_plain() {
            // Windows that no plain order keeps are met first by looking at all plans for them alone.
            let anchored = anchored(model);
            let mut search = Search::new(model, &anchored, Goal::Any, super::fits::NODES);
            search.run();
            for (step, placed) in anchored.iter().zip(search.found()?) {
                climb.base.put(model, *step, placed);
            }
            if !climb.try_plain() {
                return None;
            }
        }
        Some(climb)
    }

    /// Tries plain orders; true if one of them fits.
    fn try_plain(&mut self) -> bool {
        let turns = self.units.iter().enumerate();
        let mut turns: Vec<(usize, usize)> =
            turns.flat_map(|(at, units)| (0..units.len()).map(move |turn| (turn, at))).collect();
        let by_section: Vec<usize> = turns.iter().map(|it| it.1).collect();
        turns.sort_unstable();
        let by_layer = turns.iter().map(|it| it.1).collect();
        let greedy = self.greedy();
        let mut fits = false;
        for order in [greedy, by_layer, by_section].map(|order| self.urgent_first(order)) {
            let genes = Genes { order, ..self.genes.clone() };
            if let Some(cost) = self.decode(&genes) {
                fits = true;
                if cost.0 < self.best.0 {
                    self.best = cost;
                    self.genes = genes;
                }
            }
        }
        fits
    }

    /// Sections whose next step has a window by the record come first, the one that ends first before the others.
    fn urgent_first(&self, mut order: Vec<usize>) -> Vec<usize> {
        let next = |section: usize| self.model.sections[section].first().map(|step| &self.model.steps[*step]);
        let mut urgent: Vec<(i64, usize)> = (0..self.units.len())
            .filter_map(|at| {
                next(at).filter(|it| it.open_by.is_some() || it.due_s < FAR).map(|it| (it.due_s, at))
            })
            .collect();
        urgent.sort_unstable();
        for (_, section) in &urgent {
            if let Some(at) = order.iter().position(|it| it == section) {
                order.remove(at);
            }
        }
        urgent.into_iter().map(|it| it.1).chain(order).collect()
    }

    /// Always what can begin first; of two, the one with more to come.
    fn greedy(&mut self) -> Vec<usize> {
        let mut board = self.base.clone();
        let mut next = vec![0; self.units.len()];
        let mut order = Vec::new();
        let to_come = |section: usize, from: usize| -> i64 {
            let steps = self.units[section][from..].iter().flatten().map(|step| &self.model.steps[*step]);
            steps.map(|it| it.apply_s + it.least_s + it.level_s + it.cure_least_s).sum()
        };
        for section in self.urgent_first(Vec::new()) {
            let Some(unit) = self.units[section].first() else { continue };
            let placed = board.at[unit[0]].is_some() || board.place(self.model, unit, &self.genes);
            next[section] += usize::from(placed);
            if placed {
                order.push(section);
            }
        }
        loop {
            let mut best: Option<((i64, i64), usize)> = None;
            for (section, units) in self.units.iter().enumerate() {
                let Some(unit) = units.get(next[section]) else { continue };
                let key = if board.at[unit[0]].is_some() {
                    (-FAR, 0)
                } else if board.place(self.model, unit, &self.genes) {
                    let start_s = board.at[unit[0]].map_or(FAR, |it| it.apply.unwrap_or(it.level).1);
                    unit.iter().for_each(|step| board.take(self.model, *step));
                    (start_s, -to_come(section, next[section]))
                } else {
                    (FAR, 0)
                };
                if best.is_none_or(|best| key < best.0) {
                    best = Some((key, section));
                }
            }
            let Some((_, section)) = best else { break };
            let unit = &self.units[section][next[section]];
            if board.at[unit[0]].is_none() {
                board.place(self.model, unit, &self.genes);
            }
            next[section] += 1;
            order.push(section);
        }
        self.work += board.work;
        order
    }

    /// The plan that genes make, with its cost.
    fn decode(&mut self, genes: &Genes) -> Option<((i64, i64), Board)> {
        let mut board = self.base.clone();
        board.work = 0;
        let mut next = vec![0; self.units.len()];
        let fits = genes.order.iter().all(|&section| {
            let unit = &self.units[section][next[section]];
            next[section] += 1;
            board.at[unit[0]].is_some() || board.place(self.model, unit, genes)
        });
        self.work += board.work + 8;
        fits.then(|| (board.cost(self.model), board))
    }

    /// Changes the order, who does what, and how long is waited, while there is work left and the bound is not met.
    fn climb(&mut self, bound_s: i64, work: u64) {
        let mut dice = Dice(1);
        let mut now = (self.best.0, self.genes.clone());
        let mut best_genes = self.genes.clone();
        let mut late = [self.best.0; LATE];
        let mut idle = 0;
        for turn in 0.. {
            if self.work > work || self.best.0.0 <= bound_s {
                break;
            }
            let genes = self.changed(&now.1, &mut dice);
            let slot = &mut late[turn % LATE];
            idle += 1;
            if let Some((cost, board)) = self.decode(&genes)
                && (cost <= now.0 || cost <= *slot)
            {
                now = (cost, genes);
                if cost < self.best.0 {
                    self.best = (cost, board);
                    best_genes = now.1.clone();
                    idle = 0;
                }
            }
            *slot = now.0;
            if idle > PATIENCE {
                now = (self.best.0, best_genes.clone());
                late = [self.best.0; LATE];
                idle = 0;
            }
        }
    }

    /// One change, thrown.
    fn changed(&self, genes: &Genes, dice: &mut Dice) -> Genes {
        let mut genes = genes.clone();
        let (count, steps) = (genes.order.len(), self.model.steps.len());
        match dice.below(8) {
            0..=2 => {
                let section = genes.order.remove(dice.below(count));
                genes.order.insert(dice.below(count), section);
            }
            3..=4 => genes.order.swap(dice.below(count), dice.below(count)),
            5 if self.model.free_s.len() > 1 => {
                let people = self.model.free_s.len();
                genes.who[dice.below(steps)] = dice.below(people + 1).checked_sub(1);
            }
            _ => {
                // As long as another step's applying, or its levelling, or both, would just fit into.
                let (step, other) = (dice.below(steps), &self.model.steps[dice.below(steps)]);
                let lengths =
                    [0, other.apply_s, other.level_s, other.apply_s + other.level_s, 2 * other.apply_s];
                genes.longer_s[step] = (lengths[dice.below(5)] - self.model.steps[step].least_s).max(0);
            }
        }
        genes
    }
}

/// Numbers that look thrown (splitmix64: Steele, Lea and Flood, OOPSLA 2014).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        usize::try_from((z ^ (z >> 31)) % n.max(1) as u64).unwrap_or(0)
    }
}
