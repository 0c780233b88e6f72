//! Looking at all plans of few layers, by branch and bound. Pure.
//!
//! A part of a plan is a set of orders between tasks that one person cannot do at once, and between sections that cannot be
//! open at once; earliest and latest beginnings follow from them by longest paths (temporal scheduling; Neumann, Schwindt and
//! Zimmermann 2003, chapter 1). Where an order is the only one left it is set (immediate selection; Carlier and Pinson 1989);
//! otherwise the conflict that comes first in time is branched on. If no conflict is left, the earliest beginnings are a plan.

use super::model::{FAR, Model, Step};
use super::place::Placed;

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goal {
    /// The earliest finish.
    Finish,
    /// The earliest beginning of one step (of its levelling, if it is applied).
    Start(usize),
    /// Any plan at all.
    Any,
}

/// A task, or the origin of time (the first).
#[derive(Debug, Clone)]
struct Op {
    length_s: i64,
    /// The applying that says who does it, if that is another task.
    follows: Option<usize>,
}

/// A section that is or will be open.
#[derive(Debug, Clone, Copy)]
struct Open {
    /// Its applying; none if that is on record.
    from: Option<usize>,
    /// Its levelling, or when that will be over.
    to: Result<usize, i64>,
    /// Who applied it, if that is on record.
    by: Option<usize>,
}

#[derive(Debug, Clone)]
struct Node {
    early_s: Vec<i64>,
    late_s: Vec<i64>,
    who: Vec<Option<usize>>,
}

/// A search over the steps of a set; it contains with each step all that it can wait for.
pub struct Search<'a> {
    model: &'a Model,
    goal: Goal,
    ops: Vec<Op>,
    /// Of each step of the set: its applying, if that is to come, and its levelling.
    tasks: Vec<(Option<usize>, usize)>,
    steps: Vec<usize>,
    opens: Vec<Open>,
    /// Beginning of the second at least so long after the first.
    edges: Vec<(usize, usize, i64)>,
    /// Whether one task is set before another; whether one section is closed before another is open.
    before: Vec<bool>,
    closed: Vec<bool>,
    /// What is looked for has to be below this.
    bound_s: i64,
    best: Option<Node>,
    nodes: u32,
    cut_off: bool,
}

/// An order that may be set.
#[derive(Debug, Clone, Copy)]
enum Order {
    Tasks(usize, usize),
    Sections(usize, usize),
}

/// What to branch on.
enum Branch {
    Person(usize),
    Orders(Vec<Order>),
}

impl<'a> Search<'a> {
    /// Prepares a search that looks at most at so many parts of plans.
    pub fn new(model: &'a Model, steps: &[usize], goal: Goal, nodes: u32) -> Self {
        let mut ops = vec![Op { length_s: 0, follows: None }];
        let (mut tasks, mut opens, mut edges): (Vec<(Option<usize>, usize)>, _, _) =
            (Vec::new(), Vec::new(), Vec::new());
        for &(by, until_s) in &model.held {
            opens.push(Open { from: None, to: Err(until_s), by: Some(by) });
        }
        let mut total_s = model.free_s.iter().copied().max().unwrap_or(0);
        for (at, &step) in steps.iter().enumerate() {
            let it = &model.steps[step];
            let apply = it.open_by.is_none().then_some(ops.len());
            ops.extend(apply.map(|_| Op { length_s: it.apply_s, follows: None }));
            let level = ops.len();
            ops.push(Op { length_s: it.level_s, follows: apply.filter(|_| !model.hand_over) });
            opens.push(Open { from: apply, to: Ok(level), by: it.open_by });
            if let Some(apply) = apply {
                edges.push((apply, level, it.apply_s + it.least_s));
                if it.most_s < FAR {
                    edges.push((level, apply, -(it.apply_s + it.most_s)));
                }
            }
            let below = model.before(step).and_then(|before| steps[..at].iter().position(|it| *it == before));
            if let (Some(below), Some(apply)) = (below, apply) {
                let (lower, level) = (&model.steps[steps[below]], tasks[below].1);
                edges.push((level, apply, lower.level_s + lower.cure_least_s));
                if lower.cure_most_s < FAR {
                    edges.push((apply, level, -(lower.level_s + lower.cure_most_s)));
                }
            }
            // One after the other everything is over by then.
            total_s = total_s.max(it.from_s) + it.apply_s + it.least_s + it.level_s + it.cure_least_s;
            tasks.push((apply, level));
        }
        let bound_s = total_s.saturating_mul(2) + 1;
        let (count, open) = (ops.len(), opens.len());
        Self {
            model,
            goal,
            ops,
            tasks,
            steps: steps.to_vec(),
            opens,
            edges,
            before: vec![false; count * count],
            closed: vec![false; open * open],
            bound_s,
            best: None,
            nodes,
            cut_off: false,
        }
    }

    /// Only plans below this are of interest.
    pub fn below(&mut self, bound_s: i64) {
        self.bound_s = self.bound_s.min(bound_s);
    }

    /// True if all plans were looked at.
    pub fn complete(&self) -> bool {
        !self.cut_off
    }

    /// The best plan found, step by step as they were given.
    pub fn found(&self) -> Option<Vec<Placed>> {
        let best = self.best.as_ref()?;
        let at = |op: usize| Some((best.who[op]?, best.early_s[op]));
        let placed = |&(apply, level): &(Option<usize>, usize)| {
            let apply = match apply {
                Some(apply) => Some(at(apply)?),
                None => None,
            };
            Some(Placed { apply, level: at(level)? })
        };
        self.tasks.iter().map(placed).collect()
    }

    /// Looks.
    pub fn run(&mut self) {
        let count = self.ops.len();
        let first_s = self.model.free_s.iter().copied().min().unwrap_or(0);
        let mut node =
            Node { early_s: vec![first_s; count], late_s: vec![FAR; count], who: vec![None; count] };
        (node.early_s[0], node.late_s[0]) = (0, 0);
        for (at, &(apply, level)) in self.tasks.clone().iter().enumerate() {
            let it = &self.model.steps[self.steps[at]];
            let first = apply.unwrap_or(level);
            node.early_s[first] = it.from_s.max(first_s);
            node.late_s[first] = it.due_s;
            let settled = if apply.is_some() { it.who } else { it.open_by.filter(|_| !self.model.hand_over) };
            if let Some(person) = settled {
                self.assign(&mut node, first, person);
            }
        }
        self.branch(node, None);
    }

    /// Says who does a task, and what follows it.
    fn assign(&self, node: &mut Node, op: usize, person: usize) {
        for at in 0..self.ops.len() {
            if at == op || self.ops[at].follows == Some(op) {
                node.who[at] = Some(person);
                node.early_s[at] = node.early_s[at].max(self.model.free_s[person]);
            }
        }
    }

    /// Looks at all plans of a part, with one more order set.
    fn branch(&mut self, mut node: Node, order: Option<Order>) {
        if self.nodes == 0 {
            self.cut_off = true;
            return;
        }
        self.nodes -= 1;
        let (edges, before, closed) = (self.edges.len(), self.before.clone(), self.closed.clone());
        order.into_iter().for_each(|order| self.set(order));
        if self.settle(&mut node) {
            match self.conflict(&node) {
                None => {
                    self.bound_s = match self.goal {
                        Goal::Finish => self.finish_s(&node),
                        Goal::Start(step) => self.goal_op(step).map_or(0, |op| node.early_s[op]),
                        Goal::Any => -FAR,
                    };
                    self.best = Some(node);
                }
                Some(Branch::Person(op)) => {
                    for person in self.candidates(&node) {
                        let mut node = node.clone();
                        self.assign(&mut node, op, person);
                        self.branch(node, None);
                    }
                }
                Some(Branch::Orders(orders)) => {
                    for order in orders {
                        self.branch(node.clone(), Some(order));
                    }
                }
            }
        }
        self.edges.truncate(edges);
        self.before = before;
        self.closed = closed;
    }

    fn finish_s(&self, node: &Node) -> i64 {
        self.ops.iter().zip(&node.early_s).map(|(op, early_s)| early_s + op.length_s).max().unwrap_or(0)
    }

    fn goal_op(&self, step: usize) -> Option<usize> {
        let at = self.steps.iter().position(|it| *it == step)?;
        Some(self.tasks[at].0.unwrap_or(self.tasks[at].1))
    }

    fn set(&mut self, order: Order) {
        match order {
            Order::Tasks(first, second) => {
                self.edges.push((first, second, self.ops[first].length_s));
                self.before[first * self.ops.len() + second] = true;
            }
            Order::Sections(first, second) => {
                let Some(apply) = self.opens[second].from else { return };
                self.edges.push(match self.opens[first].to {
                    Ok(level) => (level, apply, self.ops[level].length_s),
                    Err(until_s) => (0, apply, until_s),
                });
                self.closed[first * self.opens.len() + second] = true;
            }
        }
    }

    /// Draws all conclusions; false if there is no plan below the bound.
    fn settle(&mut self, node: &mut Node) -> bool {
        match self.goal {
            Goal::Finish | Goal::Any => {
                for (op, late_s) in self.ops.iter().zip(&mut node.late_s).skip(1) {
                    *late_s = (*late_s).min(self.bound_s.saturating_sub(1 + op.length_s));
                }
            }
            Goal::Start(step) => {
                if let Some(op) = self.goal_op(step) {
                    node.late_s[op] = node.late_s[op].min(self.bound_s - 1);
                }
            }
        }
        loop {
            if !self.propagate(node) {
                return false;
            }
            match self.only_order(node) {
                Err(()) => return false,
                Ok(false) => return self.room(node),
                Ok(true) => {}
            }
        }
    }

    /// Earliest and latest beginnings by longest paths. More rounds than tasks means a circle that cannot be met.
    fn propagate(&self, node: &mut Node) -> bool {
        for _ in 0..=2 * self.ops.len() {
            let mut still = true;
            for &(from, to, least_s) in &self.edges {
                let early_s = node.early_s[from] + least_s;
                if early_s > node.early_s[to] {
                    node.early_s[to] = early_s;
                    still = false;
                }
                let late_s = node.late_s[to] - least_s;
                if late_s < node.late_s[from] {
                    node.late_s[from] = late_s;
                    still = false;
                }
            }
            if node.early_s.iter().zip(&node.late_s).any(|(early, late)| early > late) {
                return false;
            }
            if still {
                return true;
            }
        }
        false
    }

    /// Sets orders of which only one is left; whether any was set, or an error if none is left.
    fn only_order(&mut self, node: &Node) -> Result<bool, ()> {
        let count = self.ops.len();
        let mut any = false;
        for first in 1..count {
            for second in first + 1..count {
                let apart = node.who[first].is_none() || node.who[first] != node.who[second];
                if apart || self.before[first * count + second] || self.before[second * count + first] {
                    continue;
                }
                let fits = |a: usize, b: usize| node.early_s[a] + self.ops[a].length_s <= node.late_s[b];
                match (fits(first, second), fits(second, first)) {
                    (true, true) => continue,
                    (true, false) => self.set(Order::Tasks(first, second)),
                    (false, true) => self.set(Order::Tasks(second, first)),
                    (false, false) => return Err(()),
                };
                any = true;
            }
        }
        let open = self.opens.len();
        for first in (0..open).filter(|_| self.model.limit == 1) {
            for second in first + 1..open {
                let by = self.opener(node, first);
                let apart = by.is_none() || by != self.opener(node, second);
                if apart || self.closed[first * open + second] || self.closed[second * open + first] {
                    continue;
                }
                let fits = |a: usize, b: usize| {
                    self.opens[b].from.is_some_and(|apply| self.end_s(node, a) <= node.late_s[apply])
                };
                match (fits(first, second), fits(second, first)) {
                    (true, false) => self.set(Order::Sections(first, second)),
                    (false, true) => self.set(Order::Sections(second, first)),
                    // Two that are open by the record stay so, whatever the limit.
                    (false, false) if self.opens[first].from.or(self.opens[second].from).is_some() => {
                        return Err(());
                    }
                    _ => continue,
                };
                any = true;
            }
        }
        Ok(any)
    }

    fn opener(&self, node: &Node, open: usize) -> Option<usize> {
        self.opens[open].from.map_or(self.opens[open].by, |apply| node.who[apply])
    }

    /// Earliest end of an open section.
    fn end_s(&self, node: &Node, open: usize) -> i64 {
        self.opens[open]
            .to
            .map_or_else(|until_s| until_s, |level| node.early_s[level] + self.ops[level].length_s)
    }

    /// False if somebody, or all together, would need more time than there is between earliest and latest.
    fn room(&self, node: &Node) -> bool {
        let people = self.model.free_s.len();
        // First beginning, last end, sum: of each person, then of all.
        let mut loads = vec![(FAR, 0, 0); people + 1];
        for (at, op) in self.ops.iter().enumerate().skip(1) {
            for load in [node.who[at], Some(people)].into_iter().flatten() {
                let (first, last, sum) = &mut loads[load];
                *first = node.early_s[at].min(*first);
                *last = (node.late_s[at] + op.length_s).max(*last);
                *sum += op.length_s;
            }
        }
        let all = i64::try_from(people).unwrap_or(1);
        loads.iter().enumerate().all(|(at, (first, last, sum))| {
            let hands = if at == people { all } else { 1 };
            *sum == 0 || last.saturating_sub(*first).saturating_mul(hands) >= *sum
        })
    }

    /// The conflict that comes first in time; none if the earliest beginnings are a plan.
    fn conflict(&self, node: &Node) -> Option<Branch> {
        let count = self.ops.len();
        let mut found: Option<(i64, Branch)> = None;
        let mut offer = |at_s: i64, branch: &dyn Fn() -> Branch| {
            if found.as_ref().is_none_or(|it| at_s < it.0) {
                found = Some((at_s, branch()));
            }
        };
        for op in (1..count).filter(|op| node.who[*op].is_none() && self.ops[*op].follows.is_none()) {
            offer(node.early_s[op], &|| Branch::Person(op));
        }
        for first in 1..count {
            for second in first + 1..count {
                let (a, b) = (node.early_s[first], node.early_s[second]);
                let apart = node.who[first].is_none() || node.who[first] != node.who[second];
                if apart || a + self.ops[first].length_s <= b || b + self.ops[second].length_s <= a {
                    continue;
                }
                let forward = (a, node.late_s[first]) <= (b, node.late_s[second]);
                let orders = [Order::Tasks(first, second), Order::Tasks(second, first)];
                offer(a.max(b), &|| {
                    Branch::Orders(if forward {
                        orders.to_vec()
                    } else {
                        orders.iter().rev().copied().collect()
                    })
                });
            }
        }
        for new in 0..self.opens.len() {
            let (Some(apply), Some(by)) = (self.opens[new].from, self.opener(node, new)) else { continue };
            let at_s = node.early_s[apply];
            let begun = |open: usize| self.opens[open].from.is_none_or(|apply| node.early_s[apply] <= at_s);
            let mut beside: Vec<usize> = (0..self.opens.len())
                .filter(|it| *it != new && self.opener(node, *it) == Some(by))
                .filter(|it| begun(*it) && self.end_s(node, *it) > at_s)
                .collect();
            if beside.len() < self.model.limit {
                continue;
            }
            beside.sort_by_key(|it| self.end_s(node, *it));
            beside.truncate(self.model.limit);
            // One of so many has to be closed before another of them begins; none can that has begun by the record.
            beside.push(new);
            let after = |second: usize| {
                let firsts = beside.iter().filter(move |first| **first != second);
                firsts.map(move |first| Order::Sections(*first, second))
            };
            let able = beside.iter().rev().filter(|it| self.opens[**it].from.is_some());
            offer(at_s, &|| Branch::Orders(able.clone().flat_map(|second| after(*second)).collect()));
        }
        found.map(|it| it.1)
    }

    /// Who can do a task: of those who are alike and have nothing to do yet, the first is enough.
    fn candidates(&self, node: &Node) -> Vec<usize> {
        let free_s = &self.model.free_s;
        let named = |person| {
            let step = |it: &Step| it.who == Some(person) || it.open_by == Some(person);
            self.model.steps.iter().any(step) || self.model.held.iter().any(|it| it.0 == person)
        };
        let used: Vec<bool> = (0..free_s.len()).map(|it| node.who.contains(&Some(it)) || named(it)).collect();
        let alike = |a: usize, b: usize| !used[a] && !used[b] && free_s[a] == free_s[b];
        let mut list: Vec<usize> =
            (0..free_s.len()).filter(|&person| !(0..person).any(|other| alike(person, other))).collect();
        let load_s = |person: usize| -> i64 {
            let own = self.ops.iter().zip(&node.who).filter(|it| *it.1 == Some(person));
            own.map(|it| it.0.length_s).sum()
        };
        list.sort_by_key(|person| free_s[*person] + load_s(*person));
        list
    }
}
