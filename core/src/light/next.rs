//! Where to look next: the places to stand, eye heights and lamp places that add most to what has been seen. Pure.
//!
//! Places stand round the car, an arm's length and a step off, at three heights of the eye. One is offered only if a person can
//! be there: not in the car, not on a side that was said to be blocked, never with the eye in the sun or in its image in glass
//! or chrome. Taking the best one each time comes within 1 − 1/e of the best set (Nemhauser, Wolsey & Fisher, Mathematical
//! Programming 14, 1978).

use super::body::{Blocked, Body, Place, matters};
use super::look::{Look, Sample, Source, Uncertainty};
use super::mirror::{Mirror, angle, towards_imaged};
use super::seen::{Seen, look_shows};
use super::ways::{BENT_M, CROUCHING_M, HELD_M, STANDING_M, lamp_of_image, samples};
use crate::record::words::{Ambient, Distance, Fault, Light, Surface, WayOfLooking};
use crate::vehicle::{Class, V3, dot, norm, scale, sub, unit};

/// The light that is to be looked with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum With {
    /// The sun, towards it in the frame of the vehicle.
    Sun(V3),
    /// A lamp in the hand.
    Lamp,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ask<'a> {
    /// The light at hand.
    pub with: With,
    /// Where nobody can stand.
    pub blocked: Blocked,
    /// Panels that matter; none named: all that are painted.
    pub panels: &'a [&'a str],
    /// How steep the walls of fine lines are, degrees.
    pub wall_deg: f64,
}

impl Ask<'_> {
    /// Area of the panels that matter, square millimetres.
    pub fn whole_mm2(&self, body: &Body) -> u64 {
        let all = body.geometry.panels.iter().filter(|panel| matters(panel, self.panels));
        all.map(crate::vehicle::Panel::area_mm2).sum()
    }
}

/// A place to look from.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// The eye, metres.
    pub eye: V3,
    /// The lamp, metres, if it is one in the hand.
    pub lamp: Option<V3>,
    /// What is looked at: where the light's image is, or is beside.
    pub image: Place,
    /// The panel on which that lies.
    pub panel: &'static str,
    /// What it adds: fine lines of one direction in twelve, square millimetres.
    pub adds_mm2: u64,
    /// The look that is made from there.
    pub look: Look,
}

/// Nearest to the body that an eye is offered, and a step further, metres.
const OFF_M: [f64; 2] = [0.40, 0.85];
/// Between places along the body, metres.
const APART_M: f64 = 0.45;
/// No eye within this of the sun or of its image in glass or chrome, degrees.
const SPARED_DEG: f64 = 6.0;
/// That is looked into only within this of where the eye is turned to, degrees.
const GAZE_DEG: f64 = 40.0;
/// A lamp can be held so far from the eye, metres.
const ARM_M: f64 = 1.0;
/// Panels that are tried from one place with a lamp.
const TRIED: usize = 3;

/// Eyes that a person can have round the body.
pub fn eyes(body: &Body, blocked: Blocked) -> Vec<V3> {
    let mut all = Vec::new();
    for off in OFF_M {
        let plan = body.plan;
        let (a, b, c, d) = (plan.rear - off, plan.front + off, plan.right - off, plan.left + off);
        let steps = |from: f64, to: f64| {
            let count = ((to - from) / APART_M).ceil().max(1.0);
            (0..count as usize).map(move |k| from + (to - from) * k as f64 / count)
        };
        let mut ring: Vec<[f64; 2]> = steps(a, b).map(|x| [x, d]).collect();
        ring.extend(steps(a, b).map(|x| [a + b - x, c]));
        ring.extend(steps(c, d).map(|y| [a, y]));
        ring.extend(steps(c, d).map(|y| [b, c + d - y]));
        for [x, y] in ring {
            if !plan.shut(blocked, [x, y, 0.0]) {
                all.extend([CROUCHING_M, BENT_M, STANDING_M].map(|z| [x, y, z]));
            }
        }
    }
    all.retain(|eye| !body.blocker.holds(*eye));
    all
}

/// The places that can be looked from with the light at hand, with what a look from each could show. Nothing is weighed yet.
pub fn places(body: &Body, ask: &Ask) -> Vec<Stand> {
    let wanted = wanted(body, ask.panels);
    let mut all = Vec::new();
    for eye in eyes(body, ask.blocked) {
        match ask.with {
            With::Lamp => all.extend(with_lamp(body, eye, &wanted)),
            With::Sun(towards) => all.extend(in_sun(body, eye, towards, &wanted)),
        }
    }
    all
}

/// The best places to stand, the best first, each beside what has been seen and what those before it add. It ends early when
/// nothing adds any more.
pub fn next_looks(body: &Body, seen: &Seen, ask: &Ask, count: usize) -> Vec<Stand> {
    let mut stands = places(body, ask);
    // A place that cannot be computed adds nothing.
    let shown: Vec<Seen> = stands
        .iter()
        .map(|stand| look_shows(body, &stand.look, ask.wall_deg).unwrap_or_else(|_| Seen::nothing(body)))
        .collect();
    let weights = weights(body, ask.panels);
    let chosen = greedy(&shown, &weights, seen, count);
    let mut out = Vec::new();
    for (at, adds_mm2) in chosen {
        if let Some(stand) = stands.get_mut(at) {
            stand.adds_mm2 = adds_mm2;
            out.push(stand.clone());
        }
    }
    out
}

/// Which of some sets to take, one after the other, each the one that then adds most, with what it adds: the weight of each
/// patch for each direction of fine lines. Of two that add the same the first.
pub fn greedy(sets: &[Seen], weights: &[u64], already: &Seen, count: usize) -> Vec<(usize, u64)> {
    let mut seen = already.clone();
    let mut chosen = Vec::new();
    while chosen.len() < count {
        let adds = |set: &Seen| -> u64 {
            let patches = set.patches.iter().zip(&seen.patches).zip(weights);
            patches
                .map(|((new, old), weight)| {
                    u64::from(new.without(*old).twelfths(Fault::FineLine)).saturating_mul(*weight)
                })
                .fold(0, u64::saturating_add)
        };
        let mut best = (0, 0);
        for (at, set) in sets.iter().enumerate() {
            let add = adds(set);
            if add > best.1 {
                best = (at, add);
            }
        }
        let Some(set) = sets.get(best.0).filter(|_| best.1 > 0) else { break };
        seen.join(set);
        chosen.push(best);
    }
    chosen
}

/// Area of each patch that matters, square millimetres; 0 of those that do not.
fn weights(body: &Body, panels: &[&str]) -> Vec<u64> {
    body.geometry
        .panels
        .iter()
        .flat_map(|panel| {
            let counts = matters(panel, panels);
            panel.patches.iter().map(move |patch| if counts { u64::from(patch.area_mm2) } else { 0 })
        })
        .collect()
}

/// The numbers of the panels that matter.
fn wanted(body: &Body, panels: &[&str]) -> Vec<usize> {
    let all = body.geometry.panels.iter().enumerate();
    all.filter(|(_, panel)| matters(panel, panels)).map(|(at, _)| at).collect()
}

/// With a lamp, from one eye: its image on each of the nearest panels.
fn with_lamp(body: &Body, eye: V3, wanted: &[usize]) -> Vec<Stand> {
    let mut near: Vec<(f64, usize, Place)> = Vec::new();
    for &number in wanted {
        let own = body.sites.get(body.first[number]..body.first[number + 1]).unwrap_or_default();
        let best = own
            .iter()
            .filter_map(|site| {
                let way = sub(eye, site.place.at);
                let far = norm(way);
                // Steeper than about 70 degrees nobody looks at a panel with a lamp.
                let facing = dot(way, site.place.normal) > 0.35 * far;
                (facing && (0.25..=1.2).contains(&far)).then_some((far, number, site.place))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        near.extend(best);
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    near.truncate(TRIED);
    near.into_iter()
        .filter_map(|(_, number, image)| {
            let lamp = lamp_of_image(&image, eye, HELD_M)?;
            let held = lamp[2] > 0.05 && norm(sub(lamp, eye)) <= ARM_M && !body.blocker.holds(lamp);
            let source = Source::Lamp { at: lamp, radius_m: 0.012 };
            held.then(|| stand(body, eye, Some(lamp), image, number, source))
        })
        .collect()
}

/// In the sun, from one eye: at the patch that mirrors it nearest to the eye.
fn in_sun(body: &Body, eye: V3, towards: V3, wanted: &[usize]) -> Option<Stand> {
    if towards[2] <= 0.0 || norm(towards) < 1e-9 {
        return None;
    }
    let source = Source::sun(towards);
    let mut best: Option<(f64, usize, Place)> = None;
    for &number in wanted {
        for site in body.sites.get(body.first[number]..body.first[number + 1]).unwrap_or_default() {
            let Some(off) = off_mirror(&site.place, &source, eye) else { continue };
            let near = norm(sub(eye, site.place.at)) <= super::shows::FINE_M;
            if near && best.is_none_or(|(least, _, _)| off < least) {
                best = Some((off, number, site.place));
            }
        }
    }
    let (off, number, image) = best?;
    // Further from the mirror direction than a fine line's walls reach: nothing will show.
    if off.to_degrees() > 40.0 || dazzled(body, eye, towards, &source, image.at) {
        return None;
    }
    Some(stand(body, eye, None, image, number, source))
}

fn off_mirror(place: &Place, source: &Source, eye: V3) -> Option<f64> {
    let mirror = Mirror::at(place, source, eye).ok()?;
    mirror.lit(place.normal).ok()?;
    Some(mirror.off_mirror(place.normal))
}

/// Whether an eye that looks at a place has the sun, or its image in glass, chrome or a lamp, before it.
fn dazzled(body: &Body, eye: V3, towards: V3, source: &Source, at: V3) -> bool {
    let gaze = unit(sub(at, eye));
    let before = |way: V3| angle(gaze, unit(way)).to_degrees() < GAZE_DEG;
    if angle(gaze, unit(towards)).to_degrees() < GAZE_DEG && !body.blocker.towards(eye, towards) {
        return true;
    }
    let bright = |class: Class| matches!(class, Class::Glass | Class::Lamp | Class::Trim | Class::Wheel);
    body.geometry.panels.iter().enumerate().filter(|(_, panel)| bright(panel.class)).any(|(number, _)| {
        body.sites.get(body.first[number]..body.first[number + 1]).unwrap_or_default().iter().any(|site| {
            before(sub(site.place.at, eye))
                && off_mirror(&site.place, source, eye).is_some_and(|off| off.to_degrees() < SPARED_DEG)
                && !body.blocker.towards(site.start, towards)
                && !body.blocker.between(site.start, eye)
        })
    })
}

fn stand(body: &Body, eye: V3, lamp: Option<V3>, image: Place, number: usize, source: Source) -> Stand {
    let way = if eye[2] < BENT_M - 0.01 { WayOfLooking::Crouching } else { WayOfLooking::Standing };
    // The ready way knows two heights; a bent eye sways as a standing one does.
    let shift = eye[2] - super::ways::eye_height_m(way);
    let samples: Vec<Sample> = samples(way, [eye[0], eye[1]], None, &image, source)
        .into_iter()
        .map(|it| Sample { eye: [it.eye[0], it.eye[1], it.eye[2] + shift], ..it })
        .collect();
    // In the sun the image is touched only if there is one.
    let touched = towards_imaged(&image, eye).filter(|way| {
        lamp.is_some() || matches!(source, Source::Far { towards, .. } if angle(*way, unit(towards)) < 0.05)
    });
    let look = Look {
        light: if lamp.is_some() { Light::Point } else { Light::Sun },
        samples,
        image: touched.map(|_| image),
        uncertainty: match touched {
            Some(_) => Uncertainty::STATED,
            None => Uncertainty { image_m: 0.0, heading_deg: 2.0, ..Uncertainty::STATED },
        },
        surface: Some(Surface::Clean),
        ambient: Some(Ambient::Indoors),
        distance: Some(Distance::Close),
        seconds: Some(60),
    };
    let panel = body.geometry.panels.get(number).map_or("", |panel| panel.id);
    Stand { eye, lamp, image, panel, adds_mm2: 0, look }
}

/// What all looks of one kind of light from places a person can reach would have shown together: the most that can be hoped
/// for without moving the car.
pub fn within_reach(body: &Body, ask: &Ask) -> Seen {
    let mut all = Seen::nothing(body);
    for stand in places(body, ask) {
        if let Ok(shown) = look_shows(body, &stand.look, ask.wall_deg) {
            all.join(&shown);
        }
    }
    all
}

/// A direction of sight as seen from the eye: how far the lamp is to the left of it, metres.
pub(super) fn to_the_left(eye: V3, at: V3, lamp: V3) -> f64 {
    let gaze = sub(at, eye);
    let flat = [gaze[0], gaze[1], 0.0];
    let off = sub(lamp, eye);
    let flat = if norm(flat) > 1e-9 { scale(flat, 1.0 / norm(flat)) } else { [1.0, 0.0, 0.0] };
    flat[0] * off[1] - flat[1] * off[0]
}
