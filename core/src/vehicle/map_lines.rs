//! The lines of a drawing: where the vehicle ends, where parts meet, and details. Pure.
//!
//! A piece of a border is an outline where nothing lies beyond it, a shut line where another part does; it is left
//! out where a part on top hides it, or where the neighbour has drawn it already. Thinning of points: D. H. Douglas
//! and T. K. Peucker, 1973.

use super::geometry::{Geometry, Side};
use super::map::{Outline, Weight};
use super::map_region::{Region, View, distance, inside};
use super::map_views::Drawn;
use super::surface::Family;

/// How far beyond a border it is asked what lies there, and how near two borders are one, in units.
const BEYOND: f64 = 1.3;
const SAME: f64 = 0.8;
/// A piece of a line shorter than this says nothing.
const SHORTEST: f64 = 2.5;
const SHORTEST_BACKDROP: f64 = 4.5;

pub(super) fn lines(body: &Geometry, drawn: &Drawn) -> Vec<Outline> {
    let mut out = Vec::new();
    for (i, region) in drawn.regions.iter().enumerate() {
        pieces(&drawn.regions, i, region, &mut out);
    }
    details(body, drawn, &mut out);
    out.sort_by_key(|o| o.weight);
    out
}

fn pieces(all: &[Region], index: usize, region: &Region, out: &mut Vec<Outline>) {
    let border = &region.border;
    let n = border.len();
    let clockwise = turn(border) > 0.0;
    let others: Vec<(usize, &Region)> =
        all.iter().enumerate().filter(|(j, r)| *j != index && r.view == region.view).collect();
    let kind = |k: usize| -> Option<Weight> {
        if region.seams.iter().any(|s| s.contains(&k)) {
            return None;
        }
        let (a, b) = (border[k], border[(k + 1) % n]);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = (dx * dx + dy * dy).sqrt();
        if length < 1e-9 {
            return None;
        }
        let (x, y) = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
        let (nx, ny) = if clockwise { (dy / length, -dx / length) } else { (-dy / length, dx / length) };
        let (bx, by) = (x + nx * BEYOND, y + ny * BEYOND);
        let (mut met, mut same) = (false, false);
        for (j, r) in &others {
            if !r.near(x, y, BEYOND) {
                continue;
            }
            // Hidden below a part that lies on top; a backdrop, by anything that it lies behind.
            let over = r.layer > region.layer && !r.backdrop || region.backdrop;
            if over && inside(&r.border, x, y) && distance(&r.border, x, y) > SAME / 2.0 {
                return None;
            }
            if !inside(&r.border, bx, by) {
                continue;
            }
            if r.id == region.id {
                same = true;
                continue;
            }
            met = true;
            // The neighbour has drawn it.
            let first = *j < index && (!r.backdrop || r.lined) && r.layer == region.layer;
            if first && distance(&r.border, x, y) < SAME {
                return None;
            }
        }
        match (met, same, region.backdrop && !region.lined) {
            (true, _, true) => None,
            (true, _, false) => Some(Weight::Shut),
            // Where a view cuts a part in two nothing is drawn.
            (false, true, _) => None,
            (false, false, _) => Some(Weight::Outline),
        }
    };
    let kinds: Vec<Option<Weight>> = (0..n).map(kind).collect();
    // Start at a change, so that no run is cut in two.
    let start = (0..n).find(|k| kinds[*k] != kinds[(k + n - 1) % n]);
    let panel = (!region.backdrop).then_some(region.id);
    let Some(start) = start else {
        if let Some(Some(weight)) = kinds.first() {
            let mut points = thin(border);
            points.iter_mut().for_each(round);
            out.push(Outline { panel, weight: *weight, points, closed: true });
        }
        return;
    };
    let shortest = if region.backdrop { SHORTEST_BACKDROP } else { SHORTEST };
    let mut k = 0;
    while k < n {
        let weight = kinds[(start + k) % n];
        let mut run = vec![border[(start + k) % n]];
        while k < n && kinds[(start + k) % n] == weight {
            run.push(border[(start + k + 1) % n]);
            k += 1;
        }
        if let Some(weight) = weight.filter(|_| length(&run) > shortest) {
            let mut points = thin(&run);
            points.iter_mut().for_each(round);
            out.push(Outline { panel, weight, points, closed: false });
        }
    }
}

/// Twice the signed area; more than nothing where the polygon turns clockwise on paper (y down).
fn turn(p: &[(f64, f64)]) -> f64 {
    p.iter().zip(p.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum()
}

fn length(p: &[(f64, f64)]) -> f64 {
    p.windows(2)
        .map(|w| ((w[1].0 - w[0].0) * (w[1].0 - w[0].0) + (w[1].1 - w[0].1) * (w[1].1 - w[0].1)).sqrt())
        .sum()
}

fn round(p: &mut (f64, f64)) {
    p.0 = (p.0 * 100.0).round() / 100.0;
    p.1 = (p.1 * 100.0).round() / 100.0;
}

/// Leaves out points that a straight line replaces to within a tenth of a unit.
fn thin(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let n = points.len();
    if n < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; n];
    keep[0] = true;
    keep[n - 1] = true;
    let mut open = vec![(0, n - 1)];
    while let Some((a, b)) = open.pop() {
        let (p, q) = (points[a], points[b]);
        let (dx, dy) = (q.0 - p.0, q.1 - p.1);
        let length = dx * dx + dy * dy;
        let mut worst = (0.1, 0);
        for (k, r) in points.iter().enumerate().take(b).skip(a + 1) {
            let t = if length > 1e-12 {
                (((r.0 - p.0) * dx + (r.1 - p.1) * dy) / length).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let (ex, ey) = (r.0 - p.0 - t * dx, r.1 - p.1 - t * dy);
            let d = (ex * ex + ey * ey).sqrt();
            if d > worst.0 {
                worst = (d, k);
            }
        }
        if worst.1 > 0 {
            keep[worst.1] = true;
            open.push((a, worst.1));
            open.push((worst.1, b));
        }
    }
    points.iter().zip(keep).filter(|(_, k)| *k).map(|(p, _)| *p).collect()
}

/// Lines of the body that border nothing: seams, ribs, spokes.
fn details(body: &Geometry, drawn: &Drawn, out: &mut Vec<Outline>) {
    for line in &body.creases {
        for (view, place) in &drawn.places {
            let shown = match (line.family, *view, line.side) {
                (Family::Side | Family::Wheel, View::Left, Side::Left | Side::Middle)
                | (Family::Side | Family::Wheel, View::Right, Side::Right | Side::Middle)
                | (Family::Top, View::Top, _) => true,
                (Family::End, View::Front, _) => line.points.iter().all(|p| p[0] > 0),
                (Family::End, View::Rear, _) => line.points.iter().all(|p| p[0] < 0),
                _ => false,
            };
            if !shown {
                continue;
            }
            let drawn_points = line.points.iter().map(|p| place.at(p.map(|c| f64::from(c) / 1e4)));
            // Cut where a part on top hides it.
            let mut run: Vec<(f64, f64)> = Vec::new();
            let mut finish = |run: &mut Vec<(f64, f64)>| {
                if run.len() > 1 {
                    let mut points = thin(run);
                    points.iter_mut().for_each(round);
                    out.push(Outline { panel: None, weight: Weight::Detail, points, closed: false });
                }
                run.clear();
            };
            for p in drawn_points {
                let hidden = drawn.regions.iter().any(|r| {
                    r.view == *view
                        && !r.backdrop
                        && r.layer > line.layer
                        && r.near(p.0, p.1, 0.0)
                        && inside(&r.border, p.0, p.1)
                });
                if hidden { finish(&mut run) } else { run.push(p) }
            }
            finish(&mut run);
        }
    }
}
