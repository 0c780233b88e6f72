//! What one sample of a look shows at one place, each kind of fault by its own rule. Pure.
//!
//! **Fine lines**: see `lines`. **Haze**: ASTM E430 reads it at 2 and 5 degrees off the mirror
//! direction. **Tone**: ASTM E2194's aspecular angles, 15 to 110 degrees. **Proud** faults in raking light and **shape** at the
//! mirrored edge of a line: common practice, no source. The eye parts one minute of arc (the 6/6 of an eye chart, ISO 8596).

use super::blocking::Blocker;
use super::body::{Place, Site};
use super::lines::lines;
use super::look::{Sample, Source};
use super::mirror::{Mirror, angle, split};
use super::shown::Shown;
use crate::record::words::Fault;
use crate::vehicle::{V3, add, cross, dot, scale, sub};

/// One minute of arc, radians.
const ACUITY: f64 = 2.908_882_086_657_216e-4;
/// Farther than this, nothing fine is seen, metres. Common practice, no source: 0.3 to 0.6 scan, 1 to 1.5 check.
pub const FINE_M: f64 = 1.5;
/// Farther than this, tone and shape are not seen either, metres. Common practice, no source: 3 overall.
pub const OVERALL_M: f64 = 3.0;
/// Haze, degrees off the mirror direction (ASTM E430).
const HAZE_DEG: (f64, f64) = (2.0, 5.0);
/// Tone, degrees off the mirror direction (ASTM E2194).
const TONE_DEG: (f64, f64) = (15.0, 110.0);
/// Raking light, 5 to 20 degrees above the panel, as sines. Common practice, no source.
const RAKING_SINE: (f64, f64) = (0.087_155_742_747_658_17, 0.342_020_143_325_668_7);
/// Cosine of 45 degrees between half-vector and normal: no haze is further off, however wide the lamp.
const NEAR_HAZE: f64 = 0.707;
/// Half a patch, metres: the mirrored edge of a line has to cross it.
const HALF_PATCH_M: f64 = 0.05;

/// How large a fault is, and how steep the walls of a fine line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Walls of a fine line, degrees.
    pub wall_deg: f64,
    /// How long a fine line is, metres. Its width does not count: what glints is seen like a star.
    pub line_m: f64,
    /// How wide a proud fault is, metres.
    pub proud_m: f64,
    /// How wide haze, a difference of tone or of shape is, metres.
    pub wide_m: f64,
}

impl Sizes {
    /// Sizes assumed where none is stated: a line of 10 mm, a nib of 1 mm, a smear or dent of 20 mm. Our choice, no source.
    pub fn usual(wall_deg: f64) -> Sizes {
        Sizes { wall_deg, line_m: 0.010, proud_m: 0.001, wide_m: 0.020 }
    }
    /// A fault of one stated size, whatever its kind.
    pub fn stated(wall_deg: f64, size_m: f64) -> Sizes {
        Sizes { wall_deg, line_m: size_m, proud_m: size_m, wide_m: size_m }
    }
    /// From how far any of some faults can be seen, metres.
    pub(super) fn most(&self, wanted: Shown) -> f64 {
        let reach =
            |fault: &Fault| if wanted.within(Shown::of(*fault)).is_none() { 0.0 } else { self.reach(*fault) };
        Fault::ALL.iter().map(reach).fold(0.0, f64::max)
    }
    /// From how far a kind of fault can be seen, metres.
    fn reach(&self, fault: Fault) -> f64 {
        let (size, most) = match fault {
            Fault::FineLine => (self.line_m, FINE_M),
            Fault::Proud => (self.proud_m, FINE_M),
            Fault::Haze => (self.wide_m, FINE_M),
            Fault::Tone | Fault::Shape => (self.wide_m, OVERALL_M),
        };
        if size > 0.0 { (size / ACUITY).min(most) } else { 0.0 }
    }
}

/// Which of the wanted faults one sample can show at a site whose true place may be tilted a little; rays are cast only for
/// what the angles allow. A far light that was asked for at this site before is remembered in `sunlit`: its direction, and whether
/// it comes through.
pub(super) fn possible(
    site: &Site,
    place: &Place,
    sample: &Sample,
    wanted: Shown,
    sizes: &Sizes,
    blocker: &Blocker,
    sunlit: &mut Option<(V3, bool)>,
) -> Shown {
    let to_eye = sub(sample.eye, place.at);
    let square = dot(to_eye, to_eye);
    // Most pairs end here: too far away, or seen from behind.
    let most = sizes.most(wanted);
    if square > most * most || dot(place.normal, to_eye) <= 0.0 {
        return Shown::NONE;
    }
    let near = |fault| square <= sizes.reach(fault) * sizes.reach(fault);
    let seen = |shown: Shown| match shown.is_none() || blocker.between(site.start, sample.eye) {
        true => Shown::NONE,
        false => shown,
    };
    let wants = |fault| !wanted.within(Shown::of(fault)).is_none() && near(fault);
    let mut found = Shown::NONE;
    if wants(Fault::Shape)
        && let Source::Line { from, to } = sample.source
        && let Some(light) = mirrored_edge(place, from, to, sample.eye)
        && !blocker.between(site.start, light)
    {
        found = found.with(Shown::of(Fault::Shape));
    }
    if wants(Fault::Tone) && even_light(site, place, sample, blocker) {
        found = found.with(Shown::of(Fault::Tone));
    }
    if matches!(sample.source, Source::Line { .. })
        || !(wants(Fault::FineLine) || wants(Fault::Haze) || wants(Fault::Proud))
    {
        return seen(found);
    }
    let Ok(mirror) = Mirror::at(place, &sample.source, sample.eye) else { return seen(found) };
    if mirror.lit(place.normal).is_err() {
        return seen(found);
    }
    let mut glints = Shown::NONE;
    if wants(Fault::Proud) {
        let above = dot(place.normal, mirror.light);
        if (RAKING_SINE.0..=RAKING_SINE.1).contains(&above) {
            glints = glints.with(Shown::of(Fault::Proud));
        }
    }
    if wants(Fault::Haze) && dot(place.normal, mirror.half) > NEAR_HAZE {
        // From the lamp's edge, not its middle.
        let off = mirror.off_mirror(place.normal).to_degrees() - mirror.radius.to_degrees();
        if (HAZE_DEG.0..=HAZE_DEG.1).contains(&off) {
            glints = glints.with(Shown::of(Fault::Haze));
        }
    }
    if wants(Fault::FineLine) {
        glints = glints.with(lines(site, place, &mirror, wanted, sizes.wall_deg));
    }
    if !glints.is_none() {
        let lit = match sample.source {
            Source::Far { .. } => match sunlit {
                Some((light, open)) if *light == mirror.light => *open,
                _ => {
                    let open = !blocker.towards(site.start, mirror.light);
                    *sunlit = Some((mirror.light, open));
                    open
                }
            },
            Source::Lamp { at, .. } => !blocker.between(site.start, at),
            Source::Line { .. } => false,
        };
        if lit {
            found = found.with(glints);
        }
    }
    seen(found.within(wanted))
}

/// The place of a line whose mirror image the eye sees within half a patch of a place, if there is one: images of the
/// line's two ends lie on the surface where the straight ways through it cross it, and the line's image between them.
fn mirrored_edge(place: &Place, from: V3, to: V3, eye: V3) -> Option<V3> {
    let n = place.normal;
    let height = |p: V3| dot(sub(p, place.at), n);
    let (mut a, mut b) = (from, to);
    let (ha, hb) = (height(a), height(b));
    // What lies behind the surface has no image in it.
    const LEAST: f64 = 1e-3;
    if ha < LEAST && hb < LEAST {
        return None;
    }
    if ha < LEAST {
        a = add(b, scale(sub(a, b), (hb - LEAST) / (hb - ha)));
    } else if hb < LEAST {
        b = add(a, scale(sub(b, a), (ha - LEAST) / (ha - hb)));
    }
    let above = height(eye);
    let image = |p: V3| {
        let h = height(p);
        let crossing = scale(add(scale(eye, h), scale(p, above)), 1.0 / (h + above).max(1e-9));
        let off = sub(crossing, place.at);
        sub(off, scale(n, dot(off, n)))
    };
    let (p, q) = (image(a), image(b));
    let way = sub(q, p);
    let t = (-dot(p, way) / dot(way, way).max(1e-18)).clamp(0.0, 1.0);
    let off = add(p, scale(way, t));
    if dot(off, off) > HALF_PATCH_M * HALF_PATCH_M {
        return None;
    }
    // The same share of the line itself: heights weigh it as a picture does.
    let (wa, wb) = ((1.0 - t) * (height(a) + above), t * (height(b) + above));
    let share = wb / (wa + wb).max(1e-9);
    Some(add(a, scale(sub(b, a), share)))
}

/// Whether some part of a wide light falls on a place from well beside the mirror direction, with nothing in between.
fn even_light(site: &Site, place: &Place, sample: &Sample, blocker: &Blocker) -> bool {
    let Some((eye, _)) = split(sub(sample.eye, place.at)) else { return false };
    let n = place.normal;
    let aside = |light: V3| {
        dot(n, light) > 0.0 && {
            let off = angle(eye, sub(scale(n, 2.0 * dot(n, light)), light)).to_degrees();
            (TONE_DEG.0..=TONE_DEG.1).contains(&off)
        }
    };
    match sample.source {
        Source::Line { .. } => false,
        Source::Lamp { at, .. } => {
            split(sub(at, place.at)).is_some_and(|(light, _)| aside(light))
                && !blocker.between(site.start, at)
        }
        Source::Far { towards, radius_deg } => split(towards).is_some_and(|(middle, _)| {
            wide(middle, radius_deg)
                .into_iter()
                .any(|light| light[2] >= 0.0 && aside(light) && !blocker.towards(site.start, light))
        }),
    }
}

/// Directions that stand for a wide light: its middle and two rings of it.
fn wide(middle: V3, radius_deg: f64) -> [V3; 13] {
    let across = super::body::beside(middle);
    let other = cross(middle, across);
    let mut all = [middle; 13];
    for (k, out) in all.iter_mut().enumerate().skip(1) {
        let ring = radius_deg.to_radians() * if k % 2 == 0 { 0.5 } else { 0.85 };
        let turn = (k as f64) * 30.0_f64.to_radians();
        let (c, s) = (libm::cos(ring), libm::sin(ring));
        let side = add(scale(across, libm::cos(turn)), scale(other, libm::sin(turn)));
        *out = add(scale(middle, c), scale(side, s));
    }
    all
}
