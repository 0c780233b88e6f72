//! Which part of which panel shows in which view, and where the views lie on a sheet. Pure.
//!
//! Views are plain projections, not an unrolling, so that they line up: side and plan share their lengths, plan and
//! ends their widths. On the flat sheet the ends are stretched so that bumpers can be touched.

use super::geometry::{Class, Geometry, Panel, Rim, Side};
use super::map::{Sheet, WIDTH};
use super::map_callout;
use super::map_region::{Region, View};
use super::surface::{Family, PPM};
use crate::record::words::Form;

/// Edge of the paper that stays free of the drawing, for thumbs and for panels that lie outermost.
const MARGIN: f64 = 24.0;
/// What a sill and the paper beyond it take on the flat sheet.
const SILL_ROOM: f64 = 48.6;
/// How much the ends are stretched on the flat sheet.
const STRETCH: f64 = 1.5;
/// A part on top of another that is drawn smaller than this is not touched: a touch means what it lies on.
const TINY: f64 = 12.0;
const TINY_FLAT: f64 = 24.0;
/// Height that a large side may take.
const LARGE: f64 = 680.0;

/// From metres (x, y, z) to units: x' = a·p + a0, y' = b·p + b0.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    a: [f64; 4],
    b: [f64; 4],
}

impl Place {
    pub fn at(&self, p: [f64; 3]) -> (f64, f64) {
        let sum = |k: &[f64; 4]| k[0] * p[0] + k[1] * p[1] + k[2] * p[2] + k[3];
        (sum(&self.a), sum(&self.b))
    }
}

/// A sheet on its way.
pub(super) struct Drawn {
    pub regions: Vec<Region>,
    pub places: Vec<(View, Place)>,
    pub height: f64,
    /// On the flat sheet: half the width that the plan takes, in units, and where nose and tail lie.
    pub plan_half: f64,
    pub nose_y: f64,
    pub tail_y: f64,
}

impl Drawn {
    pub fn place(&self, view: View) -> Option<Place> {
        self.places.iter().find(|(v, _)| *v == view).map(|(_, p)| *p)
    }
    /// Moves everything down.
    pub fn shift(&mut self, dy: f64) {
        self.regions.iter_mut().for_each(|r| r.shift(dy));
        self.places.iter_mut().for_each(|(_, p)| p.b[3] += dy);
        self.nose_y += dy;
        self.tail_y += dy;
        self.height += dy;
    }
}

/// The extent of what is drawn, metres.
struct Extent {
    low: [f64; 3],
    high: [f64; 3],
}

fn extent(body: &Geometry, wanted: &dyn Fn(&Panel) -> bool) -> Extent {
    let (low, high) = body.bounds_dmm(wanted);
    Extent { low: low.map(|c| f64::from(c) / 1e4), high: high.map(|c| f64::from(c) / 1e4) }
}

pub(super) fn regions(body: &Geometry, sheet: Sheet) -> Drawn {
    let bike = body.form == Form::Motorcycle;
    let mut drawn = match sheet {
        Sheet::Flat if bike => bike_places(body),
        Sheet::Flat => flat_places(body),
        _ => large_place(body, sheet),
    };
    let mut list = Vec::new();
    for (i, panel) in body.panels.iter().enumerate() {
        for (view, window, backdrop) in windows(body, panel, sheet) {
            if let Some(place) = drawn.place(view) {
                let mut region = Region::new(body, i, view, window, &|p| place.at(p));
                region.backdrop = backdrop;
                let tiny = if sheet == Sheet::Flat { TINY_FLAT } else { TINY };
                let painted = panel.class == Class::Paint && sheet != Sheet::Flat;
                let lip = matches!(panel.id, "front-lip" | "rear-valance")
                    && !matches!(sheet, Sheet::Front | Sheet::Rear);
                let band = panel.id.ends_with("arch-trim") || panel.id.ends_with("cladding");
                region.tiny = lip
                    || band && sheet == Sheet::Flat
                    || panel.layer == 2 && region.least() < tiny && !painted;
                let bulges = matches!(panel.id, "rear-spoiler" | "aerial");
                if backdrop && (bulges || matches!(view, View::Front | View::Rear | View::Top)) {
                    region.border_by_hull();
                }
                region.lined =
                    backdrop && panel.family == Family::End && matches!(view, View::Left | View::Right);
                list.push(region);
            }
        }
    }
    drawn.regions = list;
    let top = drawn.regions.iter().map(|r| r.low.1).fold(f64::MAX, f64::min);
    drawn.shift(14.0 - top);
    drawn.height = drawn.regions.iter().map(|r| r.high.1).fold(0.0, f64::max) + 18.0;
    drawn
}

/// Sides folded out roof inwards, ends folded out beyond nose and tail.
fn flat_places(body: &Geometry) -> Drawn {
    let e = extent(body, &|p| p.class != Class::Trim || p.layer == 0);
    let of = |id: &str| extent(body, &|p| p.id == id);
    let plan = of("bonnet").high[1];
    let rail = of("left-cant-rail").high[2] + 0.05;
    // As large as leaves the sill, and the paper beyond it, room for a touch.
    let sill = of("left-sill").high[2];
    let k = (WIDTH / 2.0 - SILL_ROOM) / (plan + rail - sill);
    let (nose, tail) = (e.high[0], e.low[0]);
    let bonnet_front = of("front-bumper").high[2].max(of("grille").high[2]);
    let (roof_id, rear_id) =
        if body.panel("roof").is_some() { ("roof", "rear-screen") } else { ("soft-top", "rear-screen") };
    let folded = !steep_screen_in_plan(body);
    let rear_top = if folded {
        // The screen folds out with the tail, just behind the roof.
        let top = if body.panel(rear_id).is_some() {
            of(rear_id).high[2]
        } else {
            of("rear-left-barn-door").high[2]
        };
        top - (of(roof_id).low[0] - tail) / STRETCH
    } else {
        of(if body.panel("decklid").is_some() { "decklid" } else { "tailgate" }).high[2] - 0.03
    };
    let middle = WIDTH / 2.0;
    let b_plan = [-k, 0.0, 0.0, nose * k];
    let side = |sign: f64| Place { a: [0.0, 0.0, sign * k, middle - sign * (plan + rail) * k], b: b_plan };
    let ends = STRETCH * k;
    let places = vec![
        (View::Top, Place { a: [0.0, -k, 0.0, middle], b: b_plan }),
        (View::Left, side(1.0)),
        (View::Right, side(-1.0)),
        (
            View::Front,
            Place { a: [0.0, -k, 0.0, middle], b: [0.0, 0.0, ends, -0.05 * k - bonnet_front * ends] },
        ),
        (
            View::Rear,
            Place {
                a: [0.0, -k, 0.0, middle],
                b: [0.0, 0.0, -ends, (nose - tail + 0.05) * k + rear_top * ends],
            },
        ),
    ];
    Drawn {
        regions: Vec::new(),
        places,
        height: 0.0,
        plan_half: plan * k,
        nose_y: 0.0,
        tail_y: (nose - tail) * k,
    }
}

/// A motorcycle lies on its sides: left above, right below, then from above, all nose left.
fn bike_places(body: &Geometry) -> Drawn {
    let e = extent(body, &|_| true);
    let k = (WIDTH - 2.0 * MARGIN) / (e.high[0] - e.low[0]);
    let high = e.high[2] * k;
    let x = [-k, 0.0, 0.0, MARGIN + e.high[0] * k];
    let turned = [k, 0.0, 0.0, MARGIN - e.low[0] * k];
    // Below each side a row of callouts has room.
    let row = high + map_callout::ROW;
    let places = vec![
        (View::Left, Place { a: x, b: [0.0, 0.0, -k, high] }),
        (View::Right, Place { a: turned, b: [0.0, 0.0, -k, row + high + 14.0] }),
        (View::Top, Place { a: x, b: [0.0, k, 0.0, 2.0 * row + 28.0 + e.high[1] * k] }),
    ];
    Drawn { regions: Vec::new(), places, height: 0.0, plan_half: 0.0, nose_y: 0.0, tail_y: 0.0 }
}

fn large_place(body: &Geometry, sheet: Sheet) -> Drawn {
    let e = extent(body, &|_| true);
    let length = e.high[0] - e.low[0];
    let room = WIDTH - 2.0 * MARGIN;
    let (view, place) = match sheet {
        Sheet::Flat | Sheet::Top => {
            let k = (LARGE / length).min((room - 116.0) / (2.0 * e.high[1]));
            (View::Top, Place { a: [0.0, -k, 0.0, WIDTH / 2.0], b: [-k, 0.0, 0.0, 0.0] })
        }
        Sheet::Left | Sheet::Right => {
            let k = (LARGE / length).min((WIDTH - 40.0 - 78.0) / e.high[2]);
            if sheet == Sheet::Left {
                (View::Left, Place { a: [0.0, 0.0, k, 40.0], b: [-k, 0.0, 0.0, 0.0] })
            } else {
                (View::Right, Place { a: [0.0, 0.0, -k, WIDTH - 40.0], b: [-k, 0.0, 0.0, 0.0] })
            }
        }
        Sheet::Front | Sheet::Rear => {
            let k = room / (2.0 * e.high[1]);
            let sign = if sheet == Sheet::Front { k } else { -k };
            let view = if sheet == Sheet::Front { View::Front } else { View::Rear };
            (view, Place { a: [0.0, sign, 0.0, WIDTH / 2.0], b: [0.0, 0.0, -k, 0.0] })
        }
    };
    Drawn {
        regions: Vec::new(),
        places: vec![(view, place)],
        height: 0.0,
        plan_half: 0.0,
        nose_y: 0.0,
        tail_y: 0.0,
    }
}

/// The rear screen lies flat enough to show in plan (boot and bed), not folded out with the tail.
fn steep_screen_in_plan(body: &Geometry) -> bool {
    body.panel("decklid").is_some() || body.panel("load-bed").is_some()
}

/// Mean outward normal.
fn facing(panel: &Panel) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for p in &panel.patches {
        for (s, n) in sum.iter_mut().zip(p.normal_ppm) {
            *s += f64::from(n) / PPM * f64::from(p.area_mm2);
        }
    }
    let length = (sum[0] * sum[0] + sum[1] * sum[1] + sum[2] * sum[2]).sqrt().max(1e-9);
    sum.map(|s| s / length)
}

/// Where the outer half of a mirror's cap begins.
const OUTER_HALF: f64 = 0.45;
/// The spoiler's upper face, before it turns under.
const UPPER_FACE: [f64; 4] = [0.0, 1.0, 0.0, 0.58];
/// A tyre's wall, before the tread turns away.
const SIDEWALL: [f64; 4] = [0.0, 1.0, 0.0, 0.78];
/// The outer half of a tube along the car.
const OUTER_FLANK: [f64; 4] = [0.0, 1.0, 0.0, 0.5];
const WHOLE: [f64; 4] = [0.0, 1.0, 0.0, 1.0];

/// The views that show a panel on a sheet: window, and whether it is only a backdrop of the outline.
fn windows(body: &Geometry, panel: &Panel, sheet: Sheet) -> Vec<(View, [f64; 4], bool)> {
    if body.form == Form::Motorcycle {
        return bike_windows(panel, sheet);
    }
    if panel.id.ends_with("arch-liner") {
        return Vec::new();
    }
    match sheet {
        Sheet::Flat => {
            let mut out = folded(body, panel);
            for (view, side) in [(View::Left, Side::Left), (View::Right, Side::Right)] {
                out.extend(backdrop(panel, side).map(|window| (view, window, true)));
            }
            out
        }
        Sheet::Left | Sheet::Right => {
            let (view, side) =
                if sheet == Sheet::Left { (View::Left, Side::Left) } else { (View::Right, Side::Right) };
            let mut out: Vec<_> = folded(body, panel).into_iter().filter(|w| w.0 == view).collect();
            out.extend(backdrop(panel, side).map(|window| (view, window, true)));
            out
        }
        Sheet::Top | Sheet::Rear if panel.id == "decklid" => {
            let view = if sheet == Sheet::Top { View::Top } else { View::Rear };
            let mut out: Vec<_> = folded(body, panel).into_iter().filter(|w| w.0 == view).collect();
            out.push((view, WHOLE, true));
            out
        }
        Sheet::Top => {
            let from_above = panel.family == Family::Top
                || matches!(panel.id, "windscreen" | "rear-screen" | "rear-spoiler" | "aerial");
            let hidden = panel.family == Family::Wheel || panel.layer == 2 && !from_above;
            match (from_above, hidden) {
                (true, _) if panel.id == "rear-spoiler" => vec![(View::Top, UPPER_FACE, false)],
                (true, _) => vec![(View::Top, WHOLE, false)],
                (false, true) => Vec::new(),
                (false, false) => vec![(View::Top, WHOLE, true)],
            }
        }
        Sheet::Front | Sheet::Rear => {
            let sign = if sheet == Sheet::Front { 1.0 } else { -1.0 };
            let view = if sheet == Sheet::Front { View::Front } else { View::Rear };
            let n = facing(panel);
            let bonnet = panel.id == "bonnet" && sign > 0.0;
            let shown = bonnet || panel.family == Family::End && n[0] * sign > 0.12;
            let glass = panel.id.ends_with("mirror-glass");
            let shown = shown && panel.rim != Rim::Hull && (panel.id != "rear-spoiler" || sign < 0.0);
            match (shown || glass && sign < 0.0, panel.layer) {
                (true, _) => vec![(view, WHOLE, false)],
                (false, 2) => Vec::new(),
                _ if panel.class == Class::Wheel || n[0] * sign < -0.5 => Vec::new(),
                _ => vec![(view, WHOLE, true)],
            }
        }
    }
}

/// The part of a panel of middle, nose or tail that a side's outline shows.
fn backdrop(panel: &Panel, side: Side) -> Option<[f64; 4]> {
    if panel.layer == 2 && panel.id != "rear-spoiler" {
        return None;
    }
    let left = side == Side::Left;
    match (panel.side, panel.family) {
        (Side::Middle, Family::End) => Some(if left { [0.5, 1.0, 0.0, 1.0] } else { [0.0, 0.5, 0.0, 1.0] }),
        (Side::Middle, Family::Top) if panel.id != "load-bed" => {
            Some(if left { [0.0, 1.0, 0.5, 1.0] } else { [0.0, 1.0, 0.0, 0.5] })
        }
        (s, Family::End) if s == side && panel.layer < 2 => Some(WHOLE),
        _ => None,
    }
}

/// Where a panel shows when the car is folded flat; one that goes round a corner shows in several views.
fn folded(body: &Geometry, panel: &Panel) -> Vec<(View, [f64; 4], bool)> {
    let side = match panel.side {
        Side::Right => View::Right,
        Side::Left | Side::Middle => View::Left,
    };
    let whole = |view| vec![(view, WHOLE, false)];
    let n = facing(panel);
    let end = if n[0] > 0.0 { View::Front } else { View::Rear };
    if panel.rim == Rim::Hull {
        // From the side only the outer half is seen.
        return vec![(side, [OUTER_HALF, 1.0, 0.0, 1.0], false)];
    }
    match (panel.id, panel.family) {
        ("rear-spoiler", _) => vec![(View::Top, UPPER_FACE, false)],
        (id, _) if id.ends_with("roof-bar") => vec![(side, OUTER_FLANK, false)],
        ("windscreen" | "aerial" | "cab-back", _) | (_, Family::Top) => whole(View::Top),
        ("rear-screen", _) => whole(if steep_screen_in_plan(body) { View::Top } else { View::Rear }),
        ("decklid", _) => {
            let turned = (4..40).map(|k| f64::from(k) / 40.0).find(|v| {
                let t = panel.surface.tilt(0.5, *v);
                t[2].abs() > 0.8 * t[0].abs()
            });
            match turned {
                Some(v) if v < 0.92 => {
                    vec![(View::Rear, [0.0, 1.0, 0.0, v], false), (View::Top, [0.0, 1.0, v, 1.0], false)]
                }
                _ => whole(View::Rear),
            }
        }
        (id, Family::End) if id.ends_with("mirror-glass") => Vec::new(),
        (_, Family::End) if panel.layer < 2 => round_corner(panel, end, side),
        (_, Family::End) => whole(end),
        (id, Family::Wheel) if id.ends_with("-tyre") => vec![(side, SIDEWALL, false)],
        (_, Family::Side | Family::Wheel) => whole(side),
    }
}

/// Splits a panel of nose or tail where its skin turns by 45 degrees.
fn round_corner(panel: &Panel, end: View, side: View) -> Vec<(View, [f64; 4], bool)> {
    let turned = |u: f64| {
        let t = panel.surface.tilt(u, 0.5);
        t[1].abs() > t[0].abs()
    };
    let from = if panel.side == Side::Middle { 20 } else { 1 };
    let corner = (from..40).map(|k| f64::from(k) / 40.0).find(|u| turned(*u));
    let window = |a: f64, b: f64| [a, b, 0.0, 1.0];
    match (panel.side, corner) {
        (_, None) => vec![(end, WHOLE, false)],
        (Side::Middle, Some(u)) if u < 0.97 => vec![
            (end, window(1.0 - u, u), false),
            (View::Right, window(0.0, 1.0 - u), false),
            (View::Left, window(u, 1.0), false),
        ],
        (Side::Middle, Some(_)) => vec![(end, WHOLE, false)],
        (_, Some(u)) if u < 0.15 => vec![(side, WHOLE, false)],
        (_, Some(u)) if u > 0.85 => vec![(end, WHOLE, false)],
        (_, Some(u)) => vec![(end, window(0.0, u), false), (side, window(u, 1.0), false)],
    }
}

/// A motorcycle's parts, which stand behind and before each other: where each can be touched.
fn bike_windows(panel: &Panel, sheet: Sheet) -> Vec<(View, [f64; 4], bool)> {
    let views: &[View] = match sheet {
        Sheet::Flat => &[View::Left, View::Right, View::Top],
        Sheet::Left => &[View::Left],
        Sheet::Right => &[View::Right],
        Sheet::Front => &[View::Front],
        Sheet::Rear => &[View::Rear],
        Sheet::Top => &[View::Top],
    };
    let mut out = Vec::new();
    for &view in views {
        let flank = matches!(view, View::Left | View::Right);
        let away = matches!((view, panel.side), (View::Left, Side::Right) | (View::Right, Side::Left));
        if flank && away {
            continue;
        }
        let left = view == View::Left;
        let half = |a: [f64; 4], b: [f64; 4]| if left { a } else { b };
        // Each side shows its half of what lies over the middle line, the outer half of what stands off it.
        let (window, touch) = match (panel.id, panel.side, panel.family, panel.rim) {
            (id, _, _, _) if !flank => match (view, id) {
                (View::Top, "tank") => ([0.0, 1.0, 0.13, 0.87], true),
                (View::Top, "tail-unit") => ([0.0, 1.0, 0.20, 0.80], true),
                (View::Top, "seat") => ([0.0, 1.0, 0.06, 0.94], true),
                (View::Top, "front-mudguard" | "rear-mudguard") => (WHOLE, true),
                (View::Front, "front-mudguard") => ([0.42, 1.0, 0.0, 1.0], true),
                (View::Front, "headlamp-cowl" | "headlamp" | "screen") => (WHOLE, true),
                (View::Rear, "rear-lamp" | "rear-plate") => (WHOLE, true),
                (View::Front, _) if id.ends_with("mirror") || id.ends_with("front-indicator") => {
                    (WHOLE, true)
                }
                (View::Rear, _) if id.ends_with("mirror-glass") || id.ends_with("rear-indicator") => {
                    (WHOLE, true)
                }
                _ => (WHOLE, false),
            },
            ("front-wheel" | "rear-wheel", ..) => (half([0.0, 1.0, 0.6, 1.0], [0.0, 1.0, 0.0, 0.4]), true),
            (_, Side::Middle, Family::Wheel, _) => (half([0.0, 1.0, 0.52, 1.0], [0.0, 1.0, 0.0, 0.48]), true),
            ("handlebar" | "rear-plate" | "clocks", ..) => (WHOLE, false),
            (_, Side::Middle, Family::Top, _) => (half([0.0, 1.0, 0.5, 1.0], [0.0, 1.0, 0.0, 0.5]), true),
            (_, Side::Middle, Family::End, _) => (half([0.5, 1.0, 0.0, 1.0], [0.0, 0.5, 0.0, 1.0]), true),
            (id, ..) if id.ends_with("footrest") || id.ends_with("grip") || id.ends_with("glass") => {
                (WHOLE, false)
            }
            (.., Rim::Hull) => ([0.5, 1.0, 0.0, 1.0], true),
            (.., Rim::Flanks) => (OUTER_FLANK, true),
            _ => (WHOLE, true),
        };
        out.push((view, window, !touch));
    }
    out
}
