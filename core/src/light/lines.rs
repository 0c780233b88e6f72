//! How a fine line shows: the glint of a groove's walls beside the paint's own glare. Pure.
//!
//! A groove's walls mirror the lamp where h lies near the arc of their normals, n cos ψ + (n × t) sin ψ with |ψ| up to the
//! wall's slope (the half-vector as in Kajiya & Kay, SIGGRAPH 1989, for fibres). How near, and how far outside the lamp's own
//! glare, follows from one picture of a glossy surface: its brightness falls off as exp(-tan² δ / m²) with the angle δ between
//! h and a normal (Beckmann's distribution; Beckmann & Spizzichino 1963, as in Walter et al., EGSR 2007). A round groove gives
//! the mean of that over its walls.

use super::body::{Place, Site};
use super::mirror::{Mirror, angle, split};
use super::shown::{BINS, Shown};
use crate::vehicle::{V3, add, cross, dot, scale, sub};

/// Slope of a fine line's walls that is assumed unless said otherwise, degrees: swirls and wash marks are shallow.
pub const WALL_DEG: f64 = 8.0;
/// A fine line at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Groove {
    /// Its direction, a unit vector in the surface.
    pub along: V3,
    /// Slope of its walls, degrees.
    pub wall_deg: f64,
}

/// What a sample makes of a fine line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glint {
    /// Angle between eye and mirrored light, degrees.
    pub off_mirror_deg: f64,
    /// Angle between the half-vector and the nearest normal of the groove's walls, degrees.
    pub groove_deg: f64,
    /// Whether it can be relied on to show.
    pub shows: bool,
    /// How it shows, 0 to 1: c / (1 + c) of the expected contrast c, 0 where it is darker than the paint. For ranking.
    pub score: f64,
}

/// How a glossy surface spreads a light: how rough it is as a slope, and how much brighter than the dim light that is always
/// there it mirrors the sun, and a lamp a metre away.
#[derive(Debug, Clone, Copy)]
struct Gloss {
    rough: f64,
    sun: f64,
    lamp: f64,
}

// Chosen on the path-traced scenes `choose` of `tests/python/light/grooves.py`, reported on its scenes `report`. Two pictures,
// because ranking and relying ask different things. For ranking, a line is as bright as the best of its walls, up to
// `BEST_WALL` times their mean; for relying on it, it is the mean of its walls in a dimmer light, and has to be `SURE` of the
// paint's brightness brighter.
const RANKED: Gloss = Gloss { rough: 0.0335, sun: 2_900.0, lamp: 24.0 };
const RELIED: Gloss = Gloss { rough: 0.0295, sun: 12_000.0, lamp: 250.0 };
const BEST_WALL: f64 = 8.0;
const SURE: f64 = 1.5;

/// A light further away than this is the sun, or stands for it, metres.
const FAR_M: f64 = 50.0;
const HALF_ROOT_PI: f64 = 0.886_226_925_452_758;

/// The mirrored light as one place sees it: width of the lobe as a slope, and brightness of its middle.
#[derive(Debug, Clone, Copy)]
struct Lobe {
    spread: f64,
    peak: f64,
}

impl Gloss {
    fn lobe(&self, mirror: &Mirror, n: V3) -> Lobe {
        // A disc of half-angle r moves h by up to r / 2: along an axis a variance of r² / 16, where the lobe has m² / 2.
        let square = self.rough * self.rough + mirror.radius * mirror.radius / 8.0;
        let brightness =
            if mirror.light_m > FAR_M { self.sun } else { self.lamp / (mirror.light_m * mirror.light_m) };
        let widened = self.rough * self.rough / square;
        Lobe { spread: square.sqrt(), peak: brightness * widened / dot(n, mirror.eye).max(0.05) }
    }
}

impl Lobe {
    /// Mean brightness of a groove's walls: `along` and `across` are the angles of the half-vector out of the plane of the
    /// wall normals and within it, `wall` the slope of the walls, radians.
    fn walls(&self, along: f64, across: f64, wall: f64) -> f64 {
        let m = self.spread;
        let mean = libm::erf((wall - across) / m) + libm::erf((wall + across) / m);
        self.fall(along) * HALF_ROOT_PI * m / (2.0 * wall) * mean
    }
    /// Brightness of a facet whose normal lies so far from the half-vector, radians.
    fn fall(&self, off: f64) -> f64 {
        let x = libm::tan(off.abs().min(1.57)) / self.spread;
        libm::exp(-x * x)
    }
    /// Brightness beyond the paint beside it, in units of the paint's own brightness and the dim light together.
    fn contrast(&self, on: f64, beside: f64) -> f64 {
        self.peak * (on - beside) / (self.peak * beside + 1.0)
    }
}

/// How a fine line shows at a place. Its walls must be more than flat and less than upright: `wall_deg` is held to 0.1 to 60.
pub fn fine_line(place: &Place, mirror: &Mirror, groove: &Groove) -> Glint {
    let n = place.normal;
    let flat = sub(groove.along, scale(n, dot(groove.along, n)));
    let along = split(flat).map_or([0.0; 3], |(t, _)| t);
    let across = cross(n, along);
    let wall = held(groove.wall_deg);
    let sideways = libm::asin(dot(mirror.half, along).clamp(-1.0, 1.0));
    let turn = libm::atan2(dot(mirror.half, across), dot(mirror.half, n));
    let nearest = turn.clamp(-wall, wall);
    let facet = add(scale(n, libm::cos(nearest)), scale(across, libm::sin(nearest)));
    let (off_groove, off_paint) = (angle(facet, mirror.half), angle(n, mirror.half));
    let lit = mirror.lit(n).is_ok();
    let lobe = RANKED.lobe(mirror, n);
    let best = lobe.fall(sideways) * lobe.fall(turn - nearest);
    let on = (BEST_WALL * lobe.walls(sideways, turn, wall)).min(best);
    let c = lobe.contrast(on, lobe.fall(off_paint)).max(0.0);
    let lobe = RELIED.lobe(mirror, n);
    let relied = lobe.contrast(lobe.walls(sideways, turn, wall), lobe.fall(off_paint)) > SURE;
    Glint {
        off_mirror_deg: mirror.off_mirror(n).to_degrees(),
        groove_deg: off_groove.to_degrees(),
        shows: lit && relied,
        score: if lit { c / (1.0 + c) } else { 0.0 },
    }
}

/// A wall's slope that can be computed with, radians.
fn held(wall_deg: f64) -> f64 {
    // What is no number is held to the least.
    if wall_deg >= 0.1 { wall_deg.min(60.0).to_radians() } else { 0.1_f64.to_radians() }
}

/// The bins of direction in which fine lines show: those of which both ends and the middle do.
pub(super) fn lines(site: &Site, place: &Place, mirror: &Mirror, wanted: Shown, wall_deg: f64) -> Shown {
    let n = place.normal;
    let up = dot(mirror.half, n);
    let wall = held(wall_deg);
    // Well beyond the steepest wall nothing shows; most places end here.
    let side = 1.0 - up * up;
    let most = libm::sin((wall + BEYOND).min(1.5));
    if side > most * most {
        return Shown::NONE;
    }
    let lobe = RELIED.lobe(mirror, n);
    let beside = lobe.fall(libm::atan2(side.max(0.0).sqrt(), up));
    // In the glare itself no line can be so much brighter.
    if lobe.contrast(1.0, beside) <= SURE {
        return Shown::NONE;
    }
    let (x, y) = (dot(mirror.half, site.along), dot(mirror.half, site.across));
    // Direction k is k half bins from u.
    let shows = |k: usize| {
        let (c, s) = HALF_BINS[k % HALF_BINS.len()];
        let along = x * c + y * s;
        if along.abs() > BEYOND {
            return false;
        }
        let across = y * c - x * s;
        let on = lobe.walls(libm::asin(along), libm::atan2(across, up), wall);
        lobe.contrast(on, beside) > SURE
    };
    let mut found = Shown::NONE;
    let mut before = None;
    for bin in 0..BINS {
        let own = Shown(1 << bin);
        if own.within(wanted).is_none() {
            before = None;
            continue;
        }
        let begins = before.unwrap_or_else(|| shows(2 * bin));
        let ends = shows(2 * bin + 2);
        if begins && ends && shows(2 * bin + 1) {
            found = found.with(own);
        }
        before = Some(ends);
    }
    found
}

/// No wall further than this from the half-vector shows, radians.
const BEYOND: f64 = 0.12;

/// Cosine and sine of every 7.5 degrees of a half turn.
const HALF_BINS: [(f64, f64); 24] = half_bins();

/// Turned on, step by step, from the exact values of one step; correct to a few parts in 10^16.
const fn half_bins() -> [(f64, f64); 24] {
    const C: f64 = 0.991_444_861_373_810_4;
    const S: f64 = 0.130_526_192_220_051_6;
    let mut all = [(1.0, 0.0); 24];
    let mut k = 1;
    while k < 24 {
        let (c, s) = all[k - 1];
        all[k] = (c * C - s * S, s * C + c * S);
        k += 1;
    }
    all
}
