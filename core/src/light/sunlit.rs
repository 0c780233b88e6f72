//! What the sun can do: which panels it can show now, how far to turn the car, when it rakes each side, and where to park so that a
//! side stays in its own shade. Pure; where the sun stands is asked of a function of time.

use super::body::{Blocked, Body, LEAN_M, Site, matters};
use super::mirror::angle;
use super::ways::{CROUCHING_M, STANDING_M};
use crate::record::words::WholeSide;
use crate::vehicle::{Class, V3, add, dot, on_side, scale, sub};

/// Where the sun stands at a time: azimuth clockwise from north and elevation, degrees.
pub type SunAt<'a> = &'a dyn Fn(i64) -> (f64, f64);

/// A span of time, UTC milliseconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Its beginning.
    pub from_ms: i64,
    /// Its end.
    pub to_ms: i64,
}

/// How much of a panel the sun can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reach {
    /// The panel.
    pub panel: &'static str,
    /// Share of its area in which a person can bring the sun's image, parts per million.
    pub share_ppm: u32,
}

/// How far to turn the car.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turn {
    /// Clockwise seen from above, degrees.
    pub clockwise_deg: u32,
    /// Share of the wanted panels' area that the sun can then show, parts per million.
    pub share_ppm: u32,
}

/// How a car has to stand so that a side is in shade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shade {
    /// Where the front points, degrees clockwise from north.
    pub heading_deg: u32,
    /// How long the side then stays in the car's own shade, milliseconds; the whole span asked for at most.
    pub lasts_ms: i64,
}

/// Between times that are looked at, milliseconds.
const STEP_MS: i64 = 5 * 60_000;
/// No more times than a year of them.
const MOST_STEPS: i64 = 366 * 24 * 12;
/// Between headings that are tried, degrees.
const TURN_DEG: u32 = 15;
/// Raking light, degrees above the panel. Common practice, no source.
const RAKING_DEG: (f64, f64) = (5.0, 20.0);
/// From the panel to an eye that looks for the sun's image, metres.
const EYE_M: [f64; 3] = [0.5, 0.9, 1.3];
/// So much of a side may be lit and it still counts as shade: its upper edges, where it bends into roof and bonnet.
const STRAY: f64 = 0.10;

/// Towards the sun in the frame of a vehicle whose front points to `heading_deg`, clockwise from north.
pub fn towards(azimuth_deg: f64, elevation_deg: f64, heading_deg: f64) -> V3 {
    let (a, e) = ((azimuth_deg - heading_deg).to_radians(), elevation_deg.to_radians());
    let flat = libm::cos(e);
    [flat * libm::cos(a), -flat * libm::sin(a), libm::sin(e)]
}

/// Which panels the sun can show now, the most first; those it cannot are left out.
pub fn panels_now(body: &Body, sun: V3, blocked: Blocked) -> Vec<Reach> {
    let mut all: Vec<Reach> = (body.geometry.panels.iter().enumerate())
        .filter_map(|(number, panel)| {
            let shown = area(body, number, &|site| imaged(body, site, sun, blocked));
            let share_ppm = (shown * 1_000_000 / panel.area_mm2().max(1)) as u32;
            (share_ppm > 0).then_some(Reach { panel: panel.id, share_ppm })
        })
        .collect();
    all.sort_by(|a, b| b.share_ppm.cmp(&a.share_ppm).then(a.panel.cmp(b.panel)));
    all
}

/// How much of some panels, all that are painted if none is named, the sun can show: share of their area, parts per million.
pub fn share(body: &Body, sun: V3, blocked: Blocked, panels: &[&str]) -> u32 {
    let (mut shown, mut all) = (0, 0);
    for (number, panel) in body.geometry.panels.iter().enumerate().filter(|(_, panel)| matters(panel, panels))
    {
        shown += area(body, number, &|site| imaged(body, site, sun, blocked));
        all += panel.area_mm2();
    }
    (shown * 1_000_000 / all.max(1)) as u32
}

/// How far to turn the car so that the sun can show most of some panels, all that are painted if none is named. Of two turns that
/// show the same the smaller one.
pub fn turn(body: &Body, sun: (f64, f64), heading_deg: f64, blocked: Blocked, panels: &[&str]) -> Turn {
    let shown = |clockwise: u32| {
        share(body, towards(sun.0, sun.1, heading_deg + f64::from(clockwise)), blocked, panels)
    };
    let turns = (0..360 / TURN_DEG).map(|k| {
        let clockwise_deg = k * TURN_DEG;
        Turn { clockwise_deg, share_ppm: shown(clockwise_deg) }
    });
    let small = |turn: &Turn| turn.clockwise_deg.min(360 - turn.clockwise_deg);
    turns
        .max_by(|a, b| a.share_ppm.cmp(&b.share_ppm).then(small(b).cmp(&small(a))))
        .unwrap_or(Turn { clockwise_deg: 0, share_ppm: 0 })
}

/// When the sun rakes a side: it stands 5 to 20 degrees above half of its paint, or more of it.
pub fn rakes(body: &Body, sun: SunAt, heading_deg: f64, side: WholeSide, span: Span) -> Vec<Span> {
    let panels = of_side(body, side);
    let whole = whole(body, &panels);
    spans(span, &|at| {
        let (azimuth, elevation) = sun(at);
        let way = towards(azimuth, elevation, heading_deg);
        let raked = |site: &Site| {
            let above = 90.0 - angle(site.place.normal, way).to_degrees();
            (RAKING_DEG.0..=RAKING_DEG.1).contains(&above) && !body.blocker.towards(site.start, way)
        };
        elevation > 0.0 && 2 * panels.iter().map(|number| area(body, *number, &raked)).sum::<u64>() >= whole
    })
}

/// How the car can stand so that a side is in its own shade from a time on, the longest first; headings in which it lies in the
/// sun at once are left out. Night is shade.
pub fn shades(body: &Body, sun: SunAt, side: WholeSide, span: Span) -> Vec<Shade> {
    let panels = of_side(body, side);
    let whole = whole(body, &panels) as f64;
    let mut all: Vec<Shade> = (0..360 / TURN_DEG)
        .filter_map(|k| {
            let heading_deg = k * TURN_DEG;
            let dark = |at| {
                let (azimuth, elevation) = sun(at);
                let way = towards(azimuth, elevation, f64::from(heading_deg));
                let lit =
                    |site: &Site| dot(site.place.normal, way) > 0.0 && !body.blocker.towards(site.start, way);
                elevation <= 0.0
                    || panels.iter().map(|number| area(body, *number, &lit)).sum::<u64>() as f64
                        <= STRAY * whole
            };
            let until = times(span).find(|at| !dark(*at)).unwrap_or(span.to_ms);
            (until > span.from_ms).then_some(Shade { heading_deg, lasts_ms: until - span.from_ms })
        })
        .collect();
    all.sort_by(|a, b| b.lasts_ms.cmp(&a.lasts_ms).then(a.heading_deg.cmp(&b.heading_deg)));
    all
}

fn times(span: Span) -> impl Iterator<Item = i64> {
    let steps = (span.to_ms.saturating_sub(span.from_ms) / STEP_MS).clamp(-1, MOST_STEPS);
    (0..=steps).map(move |k| span.from_ms.saturating_add(k * STEP_MS))
}

/// The spans of time in which something holds.
fn spans(within: Span, holds: &dyn Fn(i64) -> bool) -> Vec<Span> {
    let mut all: Vec<Span> = Vec::new();
    for at in times(within) {
        if holds(at) {
            match all.last_mut() {
                Some(last) if last.to_ms == at => last.to_ms = at.saturating_add(STEP_MS),
                _ => all.push(Span { from_ms: at, to_ms: at.saturating_add(STEP_MS) }),
            }
        }
    }
    all
}

/// Numbers of a side's painted panels, without pillars and rails: those look up as much as out.
fn of_side(body: &Body, side: WholeSide) -> Vec<usize> {
    let names = on_side(body.geometry.form, side);
    let all = body.geometry.panels.iter().enumerate();
    all.filter(|(_, panel)| {
        panel.class == Class::Paint && !panel.optional && panel.part_of.is_none() && names.contains(&panel.id)
    })
    .map(|(number, _)| number)
    .collect()
}

fn whole(body: &Body, panels: &[usize]) -> u64 {
    panels.iter().map(|number| area(body, *number, &|_| true)).sum()
}

/// Area of a panel's patches for which something holds, square millimetres.
fn area(body: &Body, number: usize, holds: &dyn Fn(&Site) -> bool) -> u64 {
    let Some(panel) = body.geometry.panels.get(number) else { return 0 };
    let own = body.sites.get(body.first[number]..).unwrap_or_default();
    let patches = panel.patches.iter().zip(own);
    patches.filter(|(_, site)| holds(site)).map(|(patch, _)| u64::from(patch.area_mm2)).sum()
}

/// Whether a person can stand so that a site mirrors the sun into the eye.
fn imaged(body: &Body, site: &Site, sun: V3, blocked: Blocked) -> bool {
    let n = site.place.normal;
    let up = dot(n, sun);
    if up <= 0.0 || sun[2] <= 0.0 || body.blocker.towards(site.start, sun) {
        return false;
    }
    let way = sub(scale(n, 2.0 * up), sun);
    EYE_M.iter().any(|far| {
        let eye = add(site.place.at, scale(way, *far));
        let stands = (CROUCHING_M - 0.1..=STANDING_M + 0.15).contains(&eye[2]);
        // The feet stand beside the car: the eye may be over it, but not deep.
        let beside = body.plan.depth(eye) <= LEAN_M && !body.plan.shut(blocked, eye);
        stands && beside && !body.blocker.between(site.start, eye)
    })
}
