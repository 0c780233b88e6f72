//! The way round the car: in which order its panels are gone through. Pure.
//!
//! Roof, bonnet, front bumper, then down the left side to the tail and back up the right (the trade's usual loop: keep
//! the car on the same hand); then glass, lamps, trim, wheels and tyres in the same sense.

use super::geometry;
use super::geometry::{Class, Geometry, Panel, Side};
use super::surface::Family;
use crate::record::words::{Form, Scope, WholeSide};

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
    let geometry = super::geometry(form);
    let lies = |panel: &Panel| match (panel.side, panel.family) {
        (Side::Left, Family::Side | Family::Wheel) => WholeSide::Left,
        (Side::Right, Family::Side | Family::Wheel) => WholeSide::Right,
        (_, Family::Top) => WholeSide::Top,
        // What is left faces forward or back.
        _ if geometry.point(panel.id, 500_000, 500_000).is_some_and(|point| point.x_mm > 0) => {
            WholeSide::Front
        }
        _ => WholeSide::Rear,
    };
    let on = |id: &&'static str| geometry.panel(id).is_some_and(|panel| lies(panel) == side);
    panels_in_walking_order(form).into_iter().filter(on).collect()
}

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
