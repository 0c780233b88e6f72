//! Callouts: painted panels that are drawn too small to touch are drawn again beside the car. Pure.

use super::geometry::{Geometry, Rim, Side};
use super::map::{Callout, Sheet, WIDTH};
use super::map_region::{Region, View, inside};
use super::map_views::Drawn;
use super::names;
use crate::record::words::Form;

/// Side of a callout on the flat sheet, and on the large ones: at least the 48 units of a touch target.
const BOX: f64 = 52.0;
const LARGE_BOX: f64 = 58.0;
const GAP: f64 = 6.0;
/// Height of a row of callouts below a view.
pub(super) const ROW: f64 = LARGE_BOX + 28.0;
/// A painted panel whose inscribed circle is smaller gets a callout.
const SMALL: f64 = 48.0;
/// A touch target, and a little for the raster by which it is measured.
const TOUCH: f64 = 48.9;
const SMALL_COVERED: f64 = 64.0;

/// Panels that lie outermost own the empty paper beyond them, so a thin drawing is enough.
fn outermost(form: Form, sheet: Sheet, id: &str) -> bool {
    let along = !matches!(sheet, Sheet::Front | Sheet::Rear);
    // A short nose leaves the wing too little.
    let long_nose = !matches!(form, Form::PeopleCarrier | Form::Van);
    along && (id.ends_with("-sill") || id.ends_with("bumper") || id.ends_with("-fender") && long_nose)
}

/// The painted panels of a sheet that need one, each with the region that shows it best.
fn small(form: Form, sheet: Sheet, drawn: &Drawn) -> Vec<Region> {
    let mut best: Vec<&Region> = Vec::new();
    for r in drawn.regions.iter().filter(|r| r.painted && !r.backdrop) {
        match best.iter_mut().find(|b| b.id == r.id) {
            Some(b) if b.thick < r.thick => *b = r,
            Some(_) => {}
            None => best.push(r),
        }
    }
    // Parts of a motorcycle cover each other.
    let least = if form == Form::Motorcycle { SMALL_COVERED } else { SMALL };
    let narrow = |r: &Region| {
        // Near the limit a circle is a poor measure of a square.
        let sure = form == Form::Motorcycle || !(least - 8.0..least + 6.0).contains(&r.thick);
        if sure { r.thick < least } else { square(drawn, r) < TOUCH }
    };
    let needs = |r: &Region| narrow(r) && !outermost(form, sheet, r.id) || r.id == "headlamp-cowl";
    // Both sides alike.
    let ids: Vec<&str> = best.iter().copied().filter(|r| needs(r)).map(|r| r.id).collect();
    let either =
        |r: &Region| ids.contains(&r.id) || names::other_side(r.id).is_some_and(|t| ids.contains(&t));
    best.into_iter().filter(|r| either(r)).cloned().collect()
}

/// Side of the largest upright square within a region that nothing on top covers, on a raster.
fn square(drawn: &Drawn, r: &Region) -> f64 {
    const RASTER: f64 = 1.0;
    let over: Vec<&Region> = drawn
        .regions
        .iter()
        .filter(|o| o.view == r.view && o.layer > r.layer && !o.backdrop && !o.tiny)
        .collect();
    let columns = ((r.high.0 - r.low.0) / RASTER) as usize;
    let mut above = vec![0usize; columns + 1];
    let mut best = 0;
    for j in 0..((r.high.1 - r.low.1) / RASTER) as usize {
        let y = r.low.1 + (j as f64 + 0.5) * RASTER;
        let mut row = vec![0usize; columns + 1];
        for i in 0..columns {
            let x = r.low.0 + (i as f64 + 0.5) * RASTER;
            if inside(&r.border, x, y) && !over.iter().any(|o| o.near(x, y, 0.0) && inside(&o.border, x, y)) {
                row[i + 1] = 1 + row[i].min(above[i]).min(above[i + 1]);
                best = best.max(row[i + 1]);
            }
        }
        above = row;
    }
    best as f64 * RASTER
}

/// The point of a region that a leader starts from.
fn tip(r: &Region) -> (f64, f64) {
    let middle = ((r.low.0 + r.high.0) / 2.0, (r.low.1 + r.high.1) / 2.0);
    if r.rim == Rim::Hull { middle } else { r.at(0.5, 0.6) }
}

pub(super) fn place(body: &Geometry, sheet: Sheet, drawn: &mut Drawn) -> Vec<Callout> {
    let found = small(body.form, sheet, drawn);
    match sheet {
        Sheet::Flat if body.form != Form::Motorcycle => in_corners(body, found, drawn),
        Sheet::Left | Sheet::Right => in_column(found, drawn, sheet == Sheet::Left),
        _ => in_rows(found, drawn),
    }
}

fn side_of(body: &Geometry, r: &Region) -> Side {
    body.panels.get(r.panel).map_or(Side::Middle, |p| p.side)
}

/// On the flat sheet: in the four corners beside the folded-out ends. Leaders run in the gap between plan and sides.
fn in_corners(body: &Geometry, found: Vec<Region>, drawn: &mut Drawn) -> Vec<Callout> {
    let middle_y = (drawn.nose_y + drawn.tail_y) / 2.0;
    let mut corners: [Vec<Region>; 4] = Default::default();
    for r in found {
        let rear = tip(&r).1 > middle_y + 20.0 || r.id.ends_with("cant-rail");
        let right = match side_of(body, &r) {
            Side::Left => false,
            Side::Right => true,
            // One on the middle line goes where there is more room.
            Side::Middle => corners[2].len() > corners[3].len(),
        };
        corners[usize::from(rear) * 2 + usize::from(right)].push(r);
    }
    for corner in &mut corners {
        corner.sort_by(|a, b| tip(a).1.total_cmp(&tip(b).1));
    }
    let rows = |n: usize| n.div_ceil(2) as f64 * (BOX + GAP);
    let need = rows(corners[0].len().max(corners[1].len())) + 14.0;
    if drawn.nose_y < need {
        drawn.shift(need - drawn.nose_y);
    }
    let end_half = [View::Front, View::Rear].map(|view| {
        let ends = drawn.regions.iter().filter(|r| r.view == view);
        ends.map(|r| r.high.0 - WIDTH / 2.0).fold(drawn.plan_half, f64::max)
    });
    let mut out = Vec::new();
    for (c, list) in corners.iter().enumerate() {
        let (rear, right) = (c >= 2, c % 2 == 1);
        for (k, r) in list.iter().enumerate() {
            // The one nearest to its corner goes furthest out.
            let order = if rear { k } else { list.len() - 1 - k };
            let (column, row) = (order % 2, order / 2);
            let from_edge = 6.0 + (BOX + GAP) * (1 - column) as f64;
            let x = if right { WIDTH - from_edge - BOX } else { from_edge };
            let y = if rear {
                drawn.tail_y + 10.0 + row as f64 * (BOX + GAP)
            } else {
                drawn.nose_y - 10.0 - BOX - row as f64 * (BOX + GAP)
            };
            let current =
                drawn.regions.iter().find(|d| d.id == r.id && d.window == r.window && d.view == r.view);
            let from = tip(current.unwrap_or(r));
            // Between plan and side, then further out, past the folded-out end, which is wider than the plan.
            let aside = |half: f64| {
                let lane = half + 2.5 + 2.6 * order as f64;
                if right { WIDTH / 2.0 + lane } else { WIDTH / 2.0 - lane }
            };
            let (lane, past) = (aside(drawn.plan_half), aside(end_half[usize::from(rear)]));
            let turn =
                if rear { drawn.tail_y + 1.0 + order as f64 } else { drawn.nose_y - 1.0 - order as f64 };
            let mut leader = vec![from, (lane, from.1), (lane, turn), (past, turn)];
            if column == 0 {
                let into = y + BOX / 2.0 + if rear { -8.0 } else { 8.0 };
                leader.extend([(past, into), (if right { x } else { x + BOX }, into)]);
            } else {
                // Past the inner box, in the gap before its row.
                let (pass, edge) = if rear { (y - GAP / 2.0, y) } else { (y + BOX + GAP / 2.0, y + BOX) };
                leader.extend([(past, pass), (x + BOX / 2.0, pass), (x + BOX / 2.0, edge)]);
            }
            out.push(Callout {
                panel: r.id,
                x,
                y,
                width: BOX,
                height: BOX,
                leader,
                family: r.family,
                side: r.side,
            });
            drawn.height = drawn.height.max(y + BOX + 10.0);
        }
    }
    out
}

/// On a large side: in a column beside the roof, each at the height of its part.
fn in_column(mut found: Vec<Region>, drawn: &mut Drawn, left: bool) -> Vec<Callout> {
    found.sort_by(|a, b| tip(a).1.total_cmp(&tip(b).1));
    let x = if left { WIDTH - LARGE_BOX - 8.0 } else { 8.0 };
    let mut next = 8.0;
    let last = found.len();
    let mut out = Vec::new();
    for (k, r) in found.iter().enumerate() {
        let from = tip(r);
        let room_below = (last - k - 1) as f64 * (LARGE_BOX + GAP);
        let y = (from.1 - LARGE_BOX / 2.0).min(drawn.height - 10.0 - LARGE_BOX - room_below).max(next);
        next = y + LARGE_BOX + GAP;
        let edge = if left { x } else { x + LARGE_BOX };
        let leader = vec![from, (edge, from.1.clamp(y + 6.0, y + LARGE_BOX - 6.0))];
        out.push(Callout {
            panel: r.id,
            x,
            y,
            width: LARGE_BOX,
            height: LARGE_BOX,
            leader,
            family: r.family,
            side: r.side,
        });
        drawn.height = drawn.height.max(y + LARGE_BOX + 10.0);
    }
    out
}

/// On the other sheets: in a row below the view that shows them.
fn in_rows(mut found: Vec<Region>, drawn: &mut Drawn) -> Vec<Callout> {
    found.sort_by(|a, b| tip(a).0.total_cmp(&tip(b).0));
    let mut out = Vec::new();
    let views: Vec<View> = drawn.places.iter().map(|p| p.0).collect();
    for view in views {
        let bottom =
            drawn.regions.iter().filter(|r| r.view == view).map(|r| r.high.1).fold(f64::MIN, f64::max);
        let list: Vec<&Region> = found.iter().filter(|r| r.view == view).collect();
        let mut next: f64 = 4.0;
        for (k, r) in list.iter().enumerate() {
            let from = tip(r);
            let room = (list.len() - k - 1) as f64 * (LARGE_BOX + GAP);
            let x = (from.0 - LARGE_BOX / 2.0).min(WIDTH - 4.0 - LARGE_BOX - room).max(next);
            next = x + LARGE_BOX + GAP;
            let y = bottom + 14.0;
            let leader = vec![from, (from.0.clamp(x + 6.0, x + LARGE_BOX - 6.0), y)];
            out.push(Callout {
                panel: r.id,
                x,
                y,
                width: LARGE_BOX,
                height: LARGE_BOX,
                leader,
                family: r.family,
                side: r.side,
            });
            drawn.height = drawn.height.max(y + LARGE_BOX + 10.0);
        }
    }
    out
}
