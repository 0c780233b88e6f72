//! The heading of a vehicle from the place where the sun glares on it: a compass of paint. Pure.
//!
//! Eye and image fix the direction in which the light must lie, by the mirror law; the sun's azimuth, which is known, then says
//! which way the vehicle points. The sun's elevation, known too, sorts out what the touches leave open: of all eyes, images and
//! normals within the stated uncertainty only those count that bring the sun to its height.

use super::body::{Body, Place, Site};
use super::look::Uncertainty;
use super::mirror::towards_imaged;
use crate::record::inputs::PanelSpot;
use crate::vehicle::{V3, add, norm, scale, sub, unit};

/// The way a vehicle points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pointing {
    /// Clockwise from true north, degrees, 0 to 360.
    pub heading_deg: f64,
    /// How far off it may be either way, degrees.
    pub plus_minus_deg: f64,
}

/// Why the sun cannot glare there.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoGlare {
    /// The sun is down.
    #[error("the sun is below the horizon ({elevation_deg:.1} degrees)")]
    Down {
        /// Where it stands.
        elevation_deg: f64,
    },
    /// The place is not on this form.
    #[error("there is no such place on this form")]
    NoSuchPlace,
    /// The place faces away from the eye.
    #[error("the place faces away from where you stand")]
    FacesAway,
    /// The sun would have to stand elsewhere.
    #[error(
        "a light whose image is seen there stands {:.0} to {most_deg:.0} degrees high; the sun stands at \
         {elevation_deg:.0}: touch the image itself, or where you stand, anew",
        .least_deg.max(0.0)
    )]
    OtherHeight {
        /// Where the sun stands, degrees.
        elevation_deg: f64,
        /// The lowest that the touches allow, degrees.
        least_deg: f64,
        /// The highest, degrees.
        most_deg: f64,
    },
}

/// So far the sun may be off its height and still count, degrees: its own half width and what the air does near the horizon.
const HEIGHT_DEG: f64 = 0.5;
/// No heading is surer than this, degrees: the form is not the very car. Our choice, no source.
const LEAST_DEG: f64 = 1.0;

/// The heading of a vehicle on which the sun glares at a place as seen by an eye. `azimuth_deg` and `elevation_deg` are the sun's, as the
/// air lifts it.
pub fn from_glare(
    body: &Body,
    image: &PanelSpot,
    eye: V3,
    azimuth_deg: f64,
    elevation_deg: f64,
    sure: &Uncertainty,
) -> Result<Pointing, NoGlare> {
    if elevation_deg.is_nan() || elevation_deg <= 0.0 {
        return Err(NoGlare::Down { elevation_deg });
    }
    let middle = body.site(&image.panel, image.at.u_ppm, image.at.v_ppm).ok_or(NoGlare::NoSuchPlace)?;
    let mut range = Range {
        wanted: elevation_deg,
        least: f64::INFINITY,
        most: f64::NEG_INFINITY,
        start: None,
        turns: None,
    };
    range.start = imaged(&middle.place, eye).map(|(turn, _)| turn);
    let places = around(body, image, &middle, sure.image_m);
    let slope = libm::tan(sure.normal_deg.to_radians());
    // What each corner of eye and tilt sees at each place, place by place.
    let ways: Vec<Vec<Option<(f64, f64)>>> =
        places.iter().map(|site| seen_from(site, eye, sure.eye_m, slope)).collect();
    for (at, own) in ways.iter().enumerate() {
        own.iter().flatten().for_each(|it| range.take(*it));
        // Between neighbours, of eye and tilt here and of the next place along and across, the light passes through every height.
        for (apart, steps) in AXES {
            for (number, here) in
                own.iter().enumerate().filter(|(number, _)| number / apart % steps + 1 < steps)
            {
                range.between(*here, own.get(number + apart).copied().flatten());
            }
        }
        let beside = [(at % PLACES + 1 < PLACES).then_some(at + 1), Some(at + PLACES)];
        for other in beside.into_iter().flatten().filter_map(|next| ways.get(next)) {
            own.iter().zip(other).for_each(|(here, there)| range.between(*here, *there));
        }
    }
    if range.least > range.most {
        return Err(NoGlare::FacesAway);
    }
    let (low, high) = range.turns.ok_or(NoGlare::OtherHeight {
        elevation_deg,
        least_deg: range.least,
        most_deg: range.most,
    })?;
    let turn = range.start.unwrap_or(0.0) + (low + high) / 2.0;
    // The vehicle's frame counts to the left, a compass to the right.
    let heading_deg = (azimuth_deg + turn).rem_euclid(360.0);
    Ok(Pointing { heading_deg, plus_minus_deg: ((high - low) / 2.0).max(LEAST_DEG) })
}

/// Steps of an eye along each axis, of a tilt each way, and of places each way.
const EYES: usize = 3;
const TILTS: usize = 3;
const PLACES: usize = 5;

/// How far apart neighbours lie along each axis of what is seen from one place, and how many steps there are: three of the eye, two of
/// the tilt.
const AXES: [(usize, usize); 5] = [
    (1, EYES),
    (EYES, EYES),
    (EYES * EYES, EYES),
    (EYES * EYES * EYES, TILTS),
    (EYES * EYES * EYES * TILTS, TILTS),
];

/// A share of the uncertainty: -1 to 1 in so many steps.
fn share(step: usize, of: usize) -> f64 {
    2.0 * step as f64 / (of - 1) as f64 - 1.0
}

/// Where the light must lie for a place, for every eye and every tilt of its normal: eyes first.
fn seen_from(site: &Site, eye: V3, eye_m: f64, slope: f64) -> Vec<Option<(f64, f64)>> {
    let mut all = Vec::with_capacity(TILTS * TILTS * EYES * EYES * EYES);
    for b in 0..TILTS {
        for a in 0..TILTS {
            let tilt =
                add(scale(site.along, share(a, TILTS) * slope), scale(site.across, share(b, TILTS) * slope));
            let place = Place { at: site.place.at, normal: unit(add(site.place.normal, tilt)) };
            for z in 0..EYES {
                for y in 0..EYES {
                    for x in 0..EYES {
                        let off = [share(x, EYES), share(y, EYES), share(z, EYES)];
                        all.push(imaged(&place, add(eye, scale(off, eye_m))));
                    }
                }
            }
        }
    }
    all
}

/// The turns of a light that stands at the wanted height, as far as they were met.
struct Range {
    wanted: f64,
    least: f64,
    most: f64,
    /// The turn of the stated middle: others are counted from it.
    start: Option<f64>,
    turns: Option<(f64, f64)>,
}

impl Range {
    fn take(&mut self, (turn, height): (f64, f64)) {
        (self.least, self.most) = (self.least.min(height), self.most.max(height));
        if (height - self.wanted).abs() <= HEIGHT_DEG {
            self.add(turn);
        }
    }
    fn add(&mut self, turn: f64) {
        let off = wrapped(turn - *self.start.get_or_insert(turn));
        let (low, high) = self.turns.unwrap_or((off, off));
        self.turns = Some((low.min(off), high.max(off)));
    }
    /// Takes in the turn at which the light passes through the wanted height between two neighbours.
    fn between(&mut self, here: Option<(f64, f64)>, there: Option<(f64, f64)>) {
        let (Some((turn, height)), Some((next_turn, next_height))) = (here, there) else { return };
        let (below, above) = (height - self.wanted, next_height - self.wanted);
        if below * above < 0.0 {
            self.add(turn + wrapped(next_turn - turn) * below / (below - above));
        }
    }
}

/// Where a light must lie whose image is seen at a place: degrees to the left of the vehicle's front, and above the horizon.
fn imaged(place: &Place, eye: V3) -> Option<(f64, f64)> {
    let way = towards_imaged(place, eye)?;
    let flat = (way[0] * way[0] + way[1] * way[1]).sqrt();
    (flat > 1e-6).then(|| (libm::atan2(way[1], way[0]).to_degrees(), libm::atan2(way[2], flat).to_degrees()))
}

/// Places round a touch, on the surface itself: its normal turns with it.
fn around(body: &Body, image: &PanelSpot, middle: &Site, image_m: f64) -> Vec<Site> {
    let step = |du: i64, dv: i64| {
        let moved = |at: u32, by: i64| (i64::from(at) + by).clamp(0, 1_000_000) as u32;
        body.site(&image.panel, moved(image.at.u_ppm, du), moved(image.at.v_ppm, dv))
    };
    // How many millionths of the panel are a metre, either way.
    const PROBE: i64 = 10_000;
    let per_metre = |du: i64, dv: i64| {
        let there = step(du, dv).or_else(|| step(-du, -dv));
        let far = there.map_or(0.0, |site| norm(sub(site.place.at, middle.place.at)));
        if far > 1e-6 { PROBE as f64 / far } else { 0.0 }
    };
    let (along, across) = (per_metre(PROBE, 0), per_metre(0, PROBE));
    let by = |step: usize, per: f64| libm::round(share(step, PLACES) * image_m * per) as i64;
    let at = |a: usize, b: usize| step(by(a, along), by(b, across)).unwrap_or(*middle);
    (0..PLACES).flat_map(|b| (0..PLACES).map(move |a| (a, b))).map(|(a, b)| at(a, b)).collect()
}

/// An angle as -180 to 180 degrees.
pub fn wrapped(deg: f64) -> f64 {
    (deg + 180.0).rem_euclid(360.0) - 180.0
}
