//! The way round the car: in which order its panels are gone through. Pure.
//!
//! Roof, bonnet, front bumper, then down the left side to the tail and back up the right (the trade's usual loop: keep
//! the car on the same hand); then glass, lamps, trim, wheels and tyres in the same sense.

use super::geometry;
use super::geometry::{Class, Geometry, Panel, Side};
use super::surface::Family;
use crate::record::words::{Corner, Form, Scope, WholeSide};

/// The painted loop of every form; a form has those of them that it has.
const LOOP: &[&str] = &[
    "roof",
    "bonnet",
    "headlamp-cowl",
    "front-mudguard",
    "tank",
    "front-bumper",
    "front-left-fender",
    "left-mirror",
    "left-side-fairing",
    "belly-fairing",
    "left-side-cover",
    "front-left-door",
    "rear-left-door",
    "left-sliding-door",
    "left-sill",
    "rear-left-quarter",
    "left-side-panel",
    "cab-back",
    "left-bed-side",
    "decklid",
    "rear-left-barn-door",
    "tailgate",
    "rear-right-barn-door",
    "tail-unit",
    "rear-mudguard",
    "rear-bumper",
    "right-bed-side",
    "right-side-panel",
    "rear-right-quarter",
    "right-sill",
    "right-sliding-door",
    "rear-right-door",
    "front-right-door",
    "right-side-cover",
    "right-side-fairing",
    "right-mirror",
    "front-right-fender",
];

/// The painted panels that each get an outcome of their own, in walking order: 17 of a saloon.
pub fn painted_panels(form: Form) -> Vec<&'static str> {
    let body = super::geometry(form);
    LOOP.iter().copied().filter(|id| body.panel(id).is_some()).collect()
}

/// Every part of the outside in walking order: painted panels, then the small painted parts counted with them, then
/// glass, lamps, trim, wheels and tyres, each going round as the painted ones do.
pub fn panels_in_walking_order(form: Form) -> Vec<&'static str> {
    let body: &Geometry = super::geometry(form);
    let mut order = painted_panels(form);
    let first = order.len();
    let classes = [Class::Paint, Class::Glass, Class::Lamp, Class::Trim, Class::Wheel, Class::Tyre];
    for class in classes {
        let mut rest: Vec<_> =
            body.panels.iter().filter(|p| p.class == class && !order[..first].contains(&p.id)).collect();
        rest.sort_by_key(|p| going_round(p));
        order.extend(rest.iter().map(|p| p.id));
    }
    order
}

/// The places that a visit deals with, in walking order. Parts that not every vehicle of the form has are asked for
/// only when an entry names them, and small painted parts are answered with the panel they are part of.
pub fn asked_for(form: Form, scope: &[Scope]) -> Vec<&'static str> {
    let geometry = super::geometry(form);
    let wanted = |id: &&'static str| {
        geometry.panel(id).is_some_and(|panel| {
            !panel.optional
                && panel.part_of.is_none()
                && scope.iter().any(|part| match part {
                    Scope::Outside => {
                        matches!(panel.class, Class::Paint | Class::Glass | Class::Lamp | Class::Trim)
                    }
                    Scope::Glass => panel.class == Class::Glass,
                    Scope::Wheels => matches!(panel.class, Class::Wheel | Class::Tyre),
                    Scope::Inside | Scope::EngineBay => false,
                })
        })
    };
    let mut places: Vec<&'static str> = panels_in_walking_order(form).into_iter().filter(wanted).collect();
    if scope.contains(&Scope::Inside) {
        places.extend(super::inside_places(form));
    }
    places
}

/// The outside places of one side of the vehicle, in walking order: each place lies on one side, the one that it faces.
pub fn on_side(form: Form, side: WholeSide) -> Vec<&'static str> {
    let on = |id: &&'static str| side_of_place(form, id) == Some(side);
    panels_in_walking_order(form).into_iter().filter(on).collect()
}

/// The side that an outside place faces; none for a place inside.
pub fn side_of_place(form: Form, id: &str) -> Option<WholeSide> {
    let geometry = super::geometry(form);
    let panel: &Panel = geometry.panel(id)?;
    Some(match (panel.side, panel.family) {
        (Side::Left, Family::Side | Family::Wheel) => WholeSide::Left,
        (Side::Right, Family::Side | Family::Wheel) => WholeSide::Right,
        (_, Family::Top) => WholeSide::Top,
        // What is left faces forward or back.
        _ if geometry.point(id, 500_000, 500_000).is_some_and(|point| point.x_mm > 0) => WholeSide::Front,
        _ => WholeSide::Rear,
    })
}

/// Places in walking order, gone through from another corner of the vehicle: the sides change their turns and the
/// direction in which they are walked, each class of place for itself. Places inside keep their order and come last.
pub fn from_corner(form: Form, places: &[&'static str], corner: Corner) -> Vec<&'static str> {
    let geometry = super::geometry(form);
    let (turns, turned): ([usize; 4], [bool; 4]) = match corner {
        Corner::FrontLeft => return places.to_vec(),
        Corner::FrontRight => ([NOSE, RIGHT, TAIL, LEFT], [false, true, false, true]),
        Corner::RearLeft => ([TAIL, LEFT, NOSE, RIGHT], [false, true, false, true]),
        Corner::RearRight => ([TAIL, RIGHT, NOSE, LEFT], [false; 4]),
    };
    let painted = painted_panels(form);
    let round = |id: &str| geometry.panel(id).map(|panel| (panel.class, painted.contains(&panel.id)));
    let mut order = Vec::with_capacity(places.len());
    for stretch in places.chunk_by(|a, b| round(a) == round(b)) {
        let mut parts: [Vec<&'static str>; 4] = Default::default();
        for id in stretch {
            let part = match geometry.panel(id).map(|panel| panel.side) {
                Some(Side::Left) => LEFT,
                Some(Side::Right) => RIGHT,
                // In the middle: what comes before the first side is the nose, what comes between them the tail.
                Some(Side::Middle) if parts[LEFT].is_empty() && parts[RIGHT].is_empty() => NOSE,
                Some(Side::Middle) => TAIL,
                None => NOSE,
            };
            parts[part].push(id);
        }
        for (part, back) in turns.into_iter().zip(turned) {
            if back {
                parts[part].reverse();
            }
            order.append(&mut parts[part]);
        }
    }
    order
}

/// Stretches of the way round.
const NOSE: usize = 0;
const LEFT: usize = 1;
const TAIL: usize = 2;
const RIGHT: usize = 3;

/// Sorting key: middle of the nose, left side front to rear, middle of the tail, right side rear to front.
fn going_round(panel: &geometry::Panel) -> (u8, i64, &'static str) {
    let n = panel.patches.len().max(1) as i64;
    let x: i64 = panel.patches.iter().map(|p| i64::from(p.centre_dmm[0])).sum::<i64>() / n;
    match panel.side {
        Side::Middle if x >= 0 => (0, -x, panel.id),
        Side::Left => (1, -x, panel.id),
        Side::Middle => (2, -x, panel.id),
        Side::Right => (3, x, panel.id),
    }
}
