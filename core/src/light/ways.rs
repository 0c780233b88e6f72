//! Ready ways of looking: the samples of a look from where a person stands, how the look is made, and where the light's image
//! is. Pure. Heights and sways are common practice, no source.

use super::body::Place;
use super::look::{Sample, Source};
use super::mirror::towards_imaged;
use crate::record::words::WayOfLooking;
use crate::vehicle::{V3, add, cross, dot, norm, scale, sub, unit};

/// Height of a standing person's eye, metres.
pub const STANDING_M: f64 = 1.60;
/// Of one who bends down, metres.
pub const BENT_M: f64 = 1.25;
/// Of one who crouches, metres.
pub const CROUCHING_M: f64 = 0.90;
/// From a lamp in the hand to the panel, metres.
pub const HELD_M: f64 = 0.45;

/// Steps of a walking eye, metres.
const STEP_M: f64 = 0.05;
/// The longest walk of one look, metres.
const WALK_M: f64 = 12.0;

/// Height of the eye in a way of looking, metres.
pub fn eye_height_m(way: WayOfLooking) -> f64 {
    match way {
        WayOfLooking::Standing | WayOfLooking::LampTurned | WayOfLooking::WalkingAlong => STANDING_M,
        WayOfLooking::AlongSide => BENT_M,
        WayOfLooking::Crouching => CROUCHING_M,
    }
}

/// Where a lamp is held whose image the eye sees at a place; nothing for an eye behind the surface.
pub fn lamp_of_image(image: &Place, eye: V3, held_m: f64) -> Option<V3> {
    towards_imaged(image, eye).map(|way| add(image.at, scale(way, held_m)))
}

/// The samples of a look. `stand` is where the person stands, `to` where a walk ends (a metre forward and back along the
/// vehicle if nobody said), `image` what is looked at, `source` the light at the first sample. A lamp in the hand goes along
/// with a walk; turned by a quarter, it goes round the panel's normal at the image.
pub fn samples(
    way: WayOfLooking,
    stand: [f64; 2],
    to: Option<[f64; 2]>,
    image: &Place,
    source: Source,
) -> Vec<Sample> {
    let eye = [stand[0], stand[1], eye_height_m(way)];
    let hold = |source: Source| sway(eye, image.at, way).into_iter().map(move |eye| Sample { source, eye });
    match way {
        WayOfLooking::Standing | WayOfLooking::Crouching | WayOfLooking::AlongSide => hold(source).collect(),
        WayOfLooking::LampTurned => hold(source).chain(hold(turned(source, image))).collect(),
        WayOfLooking::WalkingAlong => {
            let first = Sample { source, eye };
            let ways = match to {
                Some(to) => vec![[to[0], to[1], eye[2]]],
                None => vec![add(eye, [1.0, 0.0, 0.0]), add(eye, [-1.0, 0.0, 0.0])],
            };
            let walked = ways.into_iter().flat_map(|end| walk(first, end));
            std::iter::once(first).chain(walked).collect()
        }
    }
}

/// A head that moves a little while the feet stay: sideways and up and down, the middle first.
fn sway(eye: V3, at: V3, way: WayOfLooking) -> Vec<V3> {
    let gaze = sub(at, eye);
    let flat = [gaze[0], gaze[1], 0.0];
    let side = if norm(flat) > 1e-6 { cross([0.0, 0.0, 1.0], unit(flat)) } else { [0.0, 1.0, 0.0] };
    let wide = if way == WayOfLooking::AlongSide { 0.25 } else { 0.15 };
    let mut eyes = vec![eye];
    for up in [0.0, -0.10, 0.10] {
        for step in -3..=3 {
            let aside = wide * f64::from(step) / 3.0;
            if (up, step) != (0.0, 0) {
                eyes.push(add(eye, add(scale(side, aside), [0.0, 0.0, up])));
            }
        }
    }
    eyes
}

/// The steps after the first sample; the lamp goes along.
fn walk(first: Sample, end: V3) -> Vec<Sample> {
    let way = sub(end, first.eye);
    let length = norm(way);
    if !length.is_finite() {
        return Vec::new();
    }
    let steps = (length.min(WALK_M) / STEP_M) as usize;
    let step = scale(way, STEP_M / length.max(STEP_M));
    (1..=steps)
        .map(|k| {
            let gone = scale(step, k as f64);
            Sample { source: moved(first.source, gone), eye: add(first.eye, gone) }
        })
        .collect()
}

fn moved(source: Source, by: V3) -> Source {
    match source {
        Source::Lamp { at, radius_m } => Source::Lamp { at: add(at, by), radius_m },
        // The sun does not move, and neither do a tube on its stand or the edge of an awning.
        Source::Far { .. } | Source::Line { .. } => source,
    }
}

/// A lamp a quarter further round the normal at its image: the way that brings it higher, never into the ground.
fn turned(source: Source, image: &Place) -> Source {
    let Source::Lamp { at, radius_m } = source else { return source };
    let off = sub(at, image.at);
    let up = scale(image.normal, dot(off, image.normal));
    let aside = cross(image.normal, sub(off, up));
    let aside = if aside[2] < 0.0 { scale(aside, -1.0) } else { aside };
    Source::Lamp { at: add(image.at, add(up, aside)), radius_m }
}
