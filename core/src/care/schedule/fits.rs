//! Which windows break. Pure.
//!
//! Only windows that a recorded task has set going can break, and only steps that are tied to them matter for that: the rest
//! can come when they are over. Of these few all plans are looked at. A set of windows that cannot all be kept is made smaller
//! one by one until each is needed (deletion filter; Chinneck and Dravnieks, ORSA Journal on Computing 3, 1991).

use super::exact::{Goal, Search};
use super::model::{At, FAR, Model};

/// Parts of plans that are looked at for one question.
pub const NODES: u32 = 20_000;

/// A window that breaks.
pub struct Break {
    pub at: At,
    /// By how much it is missed at least, if all others of the set are kept.
    pub late_s: i64,
}

/// Steps that a recorded window ties down: sections that are open, steps with a window of their own, and what is tied to
/// them by a most of curing.
pub fn anchored(model: &Model) -> Vec<usize> {
    let mut tied = vec![false; model.steps.len()];
    for step in 0..model.steps.len() {
        let it = &model.steps[step];
        let below =
            model.before(step).is_some_and(|below| tied[below] && model.steps[below].cure_most_s < FAR);
        tied[step] = it.open_by.is_some() || it.due_s < FAR || below;
    }
    (0..model.steps.len()).filter(|step| tied[*step]).collect()
}

/// A smallest set of windows that cannot all be kept, and whether that is shown. Empty if all fit.
pub fn breaks(model: &Model) -> (Vec<Break>, bool) {
    let mut kept = model.windows();
    kept.sort_by_key(|at| model.due_s(*at));
    let mut proved = true;
    if fits(model, &kept, &mut proved) {
        return (Vec::new(), proved);
    }
    for at in kept.clone().into_iter().rev() {
        let fewer: Vec<At> = kept.iter().copied().filter(|it| *it != at).collect();
        if !fits(model, &fewer, &mut proved) {
            kept = fewer;
        }
    }
    let breaks = kept.iter().map(|at| Break { at: *at, late_s: late_s(model, &kept, *at) }).collect();
    (breaks, proved)
}

/// The problem with these windows only.
fn with(model: &Model, kept: &[At]) -> Model {
    let mut model = model.clone();
    for at in model.windows() {
        if !kept.contains(&at) {
            model.widen(at, FAR);
        }
    }
    model
}

/// Whether these windows can all be kept. A search that was cut off says no, and that it is not shown.
fn fits(model: &Model, kept: &[At], proved: &mut bool) -> bool {
    let tied = anchored(model);
    let model = with(model, kept);
    let mut search = Search::new(&model, &tied, Goal::Any, NODES);
    search.run();
    let found = search.found().is_some();
    *proved &= found || search.complete();
    found
}

/// By how much a window is missed at least, while the others are kept.
fn late_s(model: &Model, kept: &[At], at: At) -> i64 {
    let tied = anchored(model);
    let others: Vec<At> = kept.iter().copied().filter(|it| *it != at).collect();
    let loose = with(model, &others);
    let mut search = Search::new(&loose, &tied, Goal::Start(at.step), NODES);
    search.run();
    let placed = tied.iter().zip(search.found().unwrap_or_default()).find(|it| *it.0 == at.step);
    placed.map_or(0, |(_, placed)| model.late_s(at, &placed)).max(1)
}
