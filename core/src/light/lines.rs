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

/// How a glossy surface spreads a light: width of the lobe as a slope, and how much brighter its middle is than the dim
/// light that is always there.
#[derive(Debug, Clone, Copy)]
struct Lobe {
    spread: f64,
    peak: f64,
}

impl Lobe {
    fn of(mirror: &Mirror, n: V3, paint: f64, sun: f64, lamp: f64) -> Lobe {
        // A disc of half-angle r moves h by up to r / 2; its variance along an axis is that of a Gaussian of r / 4.
        let spread_squared = paint * paint + mirror.radius * mirror.radius / 8.0;
        let widened = paint * paint / spread_squared;
        let brightness = if mirror.light_m > FAR_M { sun } else { lamp / (mirror.light_m * mirror.light_m) };
        Lobe { spread: spread_squared.sqrt(), peak: brightness * widened / dot(n, mirror.eye).max(0.05) }
    }
    /// Brightness of a groove's walls: `along` and `across` are the angles of the half-vector out of the plane of the wall
    /// normals and within it, `wall` the slope of the walls, radians.
    fn walls(&self, along: f64, across: f64, wall: f64) -> f64 {
        let m = self.spread;
        let mean = libm::erf((wall - across) / m) + libm::erf((wall + across) / m);
        fall(libm::tan(along) / m) * HALF_ROOT_PI * m / (2.0 * wall.max(1e-3)) * mean
    }
}

fn fall(x: f64) -> f64 {
    libm::exp(-x * x)
}

/// Beyond this, a light given by its place is the sun's stand-in, metres.
const FAR_M: f64 = 50.0;
const HALF_ROOT_PI: f64 = 0.886_226_925_452_758;

/// Roughness of a clear coat as a slope, and brightness of the mirrored sun, and of a lamp at one metre, in units of the dim
/// light that is always there. Chosen on the path-traced scenes `choose` of `tests/python/light/grooves.py`.
const PAINT: f64 = 0.030;
const SUN: f64 = 40_000.0;
const LAMP: f64 = 200.0;
/// The same where everything is less favourable: what still shows then can be relied on to show.
const DIM: f64 = 0.3;
const SURE: f64 = 1.5;

/// The expected contrast of a fine line: brightness beyond the paint beside it, in units of the paint's own brightness and
/// the dim light together.
fn contrast(lobe: &Lobe, on: f64, beside: f64) -> f64 {
    lobe.peak * (on - beside) / (lobe.peak * beside + 1.0)
}

/// How a fine line shows at a place.
pub fn fine_line(place: &Place, mirror: &Mirror, groove: &Groove) -> Glint {
    let n = place.normal;
    let out = sub(groove.along, scale(n, dot(groove.along, n)));
    let along = split(out).map_or([0.0; 3], |(t, _)| t);
    let across = cross(n, along);
    let wall = groove.wall_deg.to_radians();
    let sideways = libm::asin(dot(mirror.half, along).clamp(-1.0, 1.0));
    let turn = libm::atan2(dot(mirror.half, across), dot(mirror.half, n));
    let nearest = turn.clamp(-wall, wall);
    let (c, s) = (libm::cos(nearest), libm::sin(nearest));
    let facet = add(scale(n, c), scale(across, s));
    let lobe = Lobe::of(mirror, n, PAINT, SUN, LAMP);
    let on = lobe.walls(sideways, turn, wall);
    let beside = fall(libm::tan(angle(n, mirror.half)) / lobe.spread);
    let c = contrast(&lobe, on, beside).max(0.0);
    Glint {
        off_mirror_deg: mirror.off_mirror(n).to_degrees(),
        groove_deg: angle(facet, mirror.half).to_degrees(),
        shows: relied_on(&lobe, on, beside),
        score: c / (1.0 + c),
    }
}

/// Whether a line stands out in dim light as in bright.
fn relied_on(lobe: &Lobe, on: f64, beside: f64) -> bool {
    let dim = Lobe { peak: lobe.peak * DIM, ..*lobe };
    contrast(&dim, on, beside) > SURE
}

/// The bins of direction in which fine lines show: those of which both ends and the middle do.
pub(super) fn lines(site: &Site, place: &Place, mirror: &Mirror, wanted: Shown, wall_deg: f64) -> Shown {
    let n = place.normal;
    let up = dot(mirror.half, n);
    let wall = wall_deg.to_radians();
    // Well beyond the steepest wall nothing shows; most places end here.
    let side = 1.0 - up * up;
    let most = libm::sin((wall + BEYOND).min(1.5));
    if side > most * most {
        return Shown::NONE;
    }
    let lobe = Lobe::of(mirror, n, PAINT, SUN, LAMP);
    let beside = fall(side.max(0.0).sqrt() / (up * lobe.spread));
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
        relied_on(&lobe, on, beside)
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
