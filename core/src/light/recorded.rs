//! From a look as it is on record to its samples. Pure; whole numbers in, so that every machine makes the same look of it.
//!
//! What nobody said is not guessed: without the sun's direction, the vehicle's heading or the image of a lamp there is no look
//! that could be computed.

use super::body::{Body, Place, beside};
use super::look::{Hindrance, Look, Sample, Source, Uncertainty};
use super::seen::{Seen, fits, look_shows_on};
use super::sunlit::towards;
use super::ways::{HELD_M, eye_height_m, lamp_of_image, samples};
use crate::record::events::LookMade;
use crate::record::fold::{Item, Job};
use crate::record::inputs::{Earth, Ground, Heading, SweepPoint};
use crate::record::words::{Custody, Lies, Light, Stage};
use crate::vehicle::{GEOMETRY_VERSION, V3, add, dot, norm, scale, sub, unit};

/// Half the width of a lamp in the hand, metres. Our choice, no source.
const LAMP_RADIUS_M: f64 = 0.012;
/// A line lamp of which nobody said how long it is, metres. Common practice, no source.
const TUBE_M: f64 = 1.2;
/// How high over the panel raking light comes in, degrees: the middle of 5 to 20. Common practice, no source.
const RAKE_DEG: f64 = 12.0;
/// A shoulder below the eye, about which an arm with a phone turns, metres. Our choice, no source.
const SHOULDER_M: f64 = 0.25;

/// Where the eye of a look is, metres.
pub fn eye(made: &LookMade) -> V3 {
    let [x, y] = ground(made.stand);
    [x, y, eye_height_m(made.way)]
}

fn ground(at: Ground) -> [f64; 2] {
    [f64::from(at.x_mm) / 1_000.0, f64::from(at.y_mm) / 1_000.0]
}

/// The look as it can be computed with, or what is missing for it.
pub fn look(body: &Body, made: &LookMade, geom: Option<u32>) -> Result<Look, Hindrance> {
    if geom.is_some_and(|version| version != GEOMETRY_VERSION) {
        return Err(Hindrance::OtherDrawing);
    }
    let eye = eye(made);
    let image = match &made.image {
        Some(touch) => {
            let site = body.site(&touch.panel, touch.at.u_ppm, touch.at.v_ppm);
            Some(site.ok_or(Hindrance::NotAsStated)?.place)
        }
        None => None,
    };
    let held_m = made.lamp_mm.map_or(HELD_M, |mm| f64::from(mm) / 1_000.0);
    let needs = || image.ok_or(Hindrance::ImageUnknown);
    let (source, uncertainty) = match made.light {
        Light::Sun => {
            let sun = made.sun.ok_or(Hindrance::SunUnknown)?;
            let heading = made.heading.ok_or(Hindrance::HeadingUnknown)?;
            let degrees = |mdeg: f64| mdeg / 1_000.0;
            let way = towards(
                degrees(f64::from(sun.azimuth_mdeg)),
                degrees(f64::from(sun.elevation_mdeg)),
                degrees(f64::from(heading.mdeg)),
            );
            // Where the image was touched, place and heading hang together; otherwise the heading stands by itself.
            let sure = match image {
                Some(_) => Uncertainty::STATED,
                None => Uncertainty {
                    image_m: 0.0,
                    heading_deg: degrees(f64::from(heading.plus_minus_mdeg)),
                    ..Uncertainty::STATED
                },
            };
            (Source::sun(way), sure)
        }
        Light::Point => {
            let at = lamp_of_image(&needs()?, eye, held_m).ok_or(Hindrance::NotAsStated)?;
            let sure = if made.sweep.is_empty() { Uncertainty::STATED } else { Uncertainty::SENSED };
            (Source::Lamp { at, radius_m: LAMP_RADIUS_M }, sure)
        }
        Light::Raking => {
            let at = raking(&needs()?, eye, held_m);
            (Source::Lamp { at, radius_m: LAMP_RADIUS_M }, Uncertainty::STATED)
        }
        Light::Line => {
            let middle = lamp_of_image(&needs()?, eye, held_m).ok_or(Hindrance::NotAsStated)?;
            let half = made.tube.map_or(TUBE_M, |tube| f64::from(tube.length_mm) / 1_000.0) / 2.0;
            let way = match made.tube.map_or(Lies::Along, |tube| tube.lies) {
                Lies::Along => [1.0, 0.0, 0.0],
                Lies::Across => [0.0, 1.0, 0.0],
                Lies::Upright => [0.0, 0.0, 1.0],
            };
            let mut ends = [-half, half].map(|by| add(middle, scale(way, by)));
            // A tube stands on the ground, not in it.
            ends.iter_mut().for_each(|end| end[2] = end[2].max(0.0));
            (Source::Line { from: ends[0], to: ends[1] }, Uncertainty::STATED)
        }
        Light::Soft | Light::Dark => (Source::sky(), Uncertainty { image_m: 0.0, ..Uncertainty::STATED }),
    };
    // Of the light that comes from all over, the look goes to the middle of what was looked at.
    let gaze = match image {
        Some(place) => place,
        None => {
            made.panels
                .first()
                .and_then(|id| body.site(id, 500_000, 500_000))
                .ok_or(Hindrance::NotAsStated)?
                .place
        }
    };
    let made_of = match (source, made.sweep.is_empty()) {
        (Source::Lamp { at, radius_m }, false) => swept(eye, at, radius_m, &made.sweep),
        _ => samples(made.way, ground(made.stand), made.to.map(ground), &gaze, source),
    };
    let tied = matches!(made.light, Light::Sun | Light::Point | Light::Line | Light::Raking);
    let look = Look {
        light: made.light,
        samples: made_of,
        image: image.filter(|_| tied),
        uncertainty,
        surface: made.surface,
        ambient: made.ambient,
        distance: made.distance,
        seconds: made.spent_ms.map(|ms| ms / 1_000),
    };
    match fits(body, &look) {
        Ok(()) => Ok(look),
        Err(_) => Err(Hindrance::NotAsStated),
    }
}

/// A lamp that rakes a place: low over it, on the side beyond it as the eye sees it.
fn raking(place: &Place, eye: V3, held_m: f64) -> V3 {
    let way = sub(place.at, eye);
    let flat = sub(way, scale(place.normal, dot(way, place.normal)));
    let beyond = if norm(flat) > 1e-6 { unit(flat) } else { beside(place.normal) };
    let a = RAKE_DEG.to_radians();
    let off = add(scale(beyond, libm::cos(a)), scale(place.normal, libm::sin(a)));
    let at = add(place.at, scale(off, held_m));
    [at[0], at[1], at[2].max(0.0)]
}

/// A lamp at the end of an arm that turns about the shoulder.
fn swept(eye: V3, first: V3, radius_m: f64, sweep: &[SweepPoint]) -> Vec<Sample> {
    let shoulder = [eye[0], eye[1], eye[2] - SHOULDER_M];
    let arm = sub(first, shoulder);
    let length = norm(arm);
    let flat = (arm[0] * arm[0] + arm[1] * arm[1]).sqrt();
    let (turn, rise) = (libm::atan2(arm[1], arm[0]), libm::atan2(arm[2], flat));
    let place = |yaw_mdeg: i32, pitch_mdeg: i32| {
        let radians = |mdeg: i32| (f64::from(mdeg) / 1_000.0).to_radians();
        let (a, e) = (turn + radians(yaw_mdeg), rise + radians(pitch_mdeg));
        let level = length * libm::cos(e);
        add(shoulder, [level * libm::cos(a), level * libm::sin(a), length * libm::sin(e)])
    };
    let lamps =
        std::iter::once(first).chain(sweep.iter().map(|point| place(point.yaw_mdeg, point.pitch_mdeg)));
    lamps.map(|at| Sample { source: Source::Lamp { at, radius_m }, eye }).collect()
}

/// Which way the vehicle points, as its latest look that knew says it; none once the vehicle was moved since.
pub fn heading(job: &Job) -> Option<Heading> {
    let moved = job.custody.iter().filter(|it| it.body.what != Custody::Keys).map(|it| &it.stamp.key).max();
    let (key, heading) = job.looks.iter().rev().find_map(|it| Some((&it.stamp.key, it.body.heading?)))?;
    moved.is_none_or(|moved| moved < key).then_some(heading)
}

/// Where on earth the job's latest look was made, as far as that is still here.
pub fn earth(job: &Job) -> Option<Earth> {
    job.looks.iter().rev().find_map(|it| serde_json::from_value(it.value("earth")?.clone()).ok())
}

/// A look on record with its samples, or what is missing for them.
pub struct Recorded<'j> {
    /// The entry.
    pub item: &'j Item<LookMade>,
    /// When in the visit it was made, if its walk is on record here.
    pub stage: Option<Stage>,
    /// The look.
    pub look: Result<Look, Hindrance>,
}

/// The looks of a job, in order of recording.
pub fn looks<'j>(body: &Body, job: &'j Job) -> Vec<Recorded<'j>> {
    let of = |item: &'j Item<LookMade>| Recorded {
        item,
        stage: job.walk(item.body.walk).map(|walk| walk.stage),
        look: look(body, &item.body, item.stamp.geom),
    };
    job.looks.iter().map(of).collect()
}

/// What has been seen in a stage of the visit, of the panels that each look was at, for fine lines with walls as steep as
/// `wall_deg`.
pub fn seen_in(body: &Body, looks: &[Recorded], stage: Stage, wall_deg: f64) -> Seen {
    let mut all = Seen::nothing(body);
    for recorded in looks.iter().filter(|it| it.stage == Some(stage)) {
        if let Ok(look) = &recorded.look
            && let Ok(shown) = look_shows_on(body, look, wall_deg, Some(&recorded.item.body.panels))
        {
            all.join(&shown);
        }
    }
    all
}
