//! Recording a look under a light: where the sun stood, which way the vehicle pointed, and whether the look can have been made
//! as it is stated. Pure.

use super::{draft, open_walk, panel, ranged, spot, typed, vehicle_of};
use crate::error::Error;
use crate::light::heading::{NoGlare, Pointing, from_glare};
use crate::light::sun::sun;
use crate::light::{Body as Form, Hindrance, Uncertainty, body as form_body, recorded};
use crate::log::seal::Draft;
use crate::record::events::{Body, LookMade, SunStood};
use crate::record::fold::Job;
use crate::record::inputs::{Earth, Ground, Heading, PanelSpot, RecordLook};
use crate::record::words::{HeadingFrom, Light};
use crate::vehicle;

/// The farthest that a person stands from the vehicle's middle, millimetres.
const FARTHEST_MM: i32 = 20_000;
/// The longest look, milliseconds: an hour.
const LONGEST_MS: u32 = 3_600_000;
/// Most moments of a sweep.
const MOST_MOMENTS: usize = 1_000;

pub(super) fn decide(job: &Job, act: &RecordLook, at_ms: i64, entered_later: bool) -> Result<Draft, Error> {
    let form = form_body(vehicle_of(job)?.form);
    check(act)?;
    let image = match &act.image {
        Some(touch) => {
            spot("image.at", touch.at)?;
            Some(PanelSpot { panel: outside(form, job, "image.panel", &touch.panel)?, at: touch.at })
        }
        None => None,
    };
    let mut panels = Vec::new();
    for (at, name) in act.panels.iter().enumerate() {
        let name = outside(form, job, &format!("panels[{at}]"), name)?;
        if !panels.contains(&name) {
            panels.push(name);
        }
    }
    if panels.is_empty() {
        let touched = image.as_ref().map(|touch| touch.panel.clone());
        panels.push(
            touched.ok_or_else(|| {
                Error::refused("panels", "say what was looked at, or touch the light's image")
            })?,
        );
    }
    let sun = match (act.light, act.earth) {
        (Light::Sun, Some(earth)) => Some(stood(at_ms, earth)?),
        _ => None,
    };
    let mut made = LookMade {
        walk: open_walk(job, act.walk, entered_later)?,
        light: act.light,
        panels,
        stand: act.stand,
        way: act.way,
        to: act.to,
        image,
        lamp_mm: act.lamp_mm,
        tube: act.tube,
        sweep: act.sweep.clone(),
        sun,
        heading: None,
        surface: act.surface,
        ambient: act.ambient,
        distance: act.distance,
        spent_ms: act.spent_ms,
    };
    let inside = |at: Ground| !form.has_room(f64::from(at.x_mm) / 1e3, f64::from(at.y_mm) / 1e3);
    if inside(act.stand) || form.blocker.holds(recorded::eye(&made)) {
        return Err(Error::refused("stand", "that is inside the vehicle; touch where you stand"));
    }
    if act.to.is_some_and(inside) {
        return Err(Error::refused("to", "that is inside the vehicle; touch where the walk ends"));
    }
    in_sight(form, &made)?;
    made.heading = heading(form, job, act, &made)?;
    // What nobody could say is recorded as it is, and counts as not seen.
    if recorded::look(form, &made, None) == Err(Hindrance::NotAsStated) {
        return Err(Error::refused("image", not_as_stated(&made)));
    }
    let mut draft = draft(Body::LookMade(made));
    draft.geom = Some(vehicle::GEOMETRY_VERSION);
    if let Some(earth) = act.earth {
        let value = serde_json::to_value(earth).map_err(|_| Error::internal("decide.earth"))?;
        draft.typed.push(("earth", value));
    }
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}

fn not_as_stated(made: &LookMade) -> &'static str {
    match made.light {
        Light::Sun => "the sun cannot have been there; touch its image anew",
        _ => {
            "from there a lamp with this image would be in the vehicle or in the ground; touch its image, or say how far the lamp was"
        }
    }
}

fn check(act: &RecordLook) -> Result<(), Error> {
    let near = |field: &str, at: Option<Ground>| {
        let Some(at) = at else { return Ok(()) };
        ranged(&format!("{field}.x_mm"), Some(at.x_mm), -FARTHEST_MM..=FARTHEST_MM, " mm")?;
        ranged(&format!("{field}.y_mm"), Some(at.y_mm), -FARTHEST_MM..=FARTHEST_MM, " mm")
    };
    near("stand", Some(act.stand))?;
    near("to", act.to)?;
    if act.to == Some(act.stand) {
        return Err(Error::refused("to", "the walk has no length: it ends where it begins"));
    }
    ranged("lamp_mm", act.lamp_mm, 50..=10_000, " mm")?;
    ranged("tube.length_mm", act.tube.map(|tube| tube.length_mm), 100..=20_000, " mm")?;
    ranged("spent_ms", act.spent_ms, 0..=LONGEST_MS, " ms")?;
    ranged("heading.mdeg", act.heading.map(|it| it.mdeg), 0..=359_999, "")?;
    ranged("heading.plus_minus_mdeg", act.heading.map(|it| it.plus_minus_mdeg), 0..=180_000, "")?;
    if let Some(heading) = act.heading
        && !matches!(heading.from, HeadingFrom::Street | HeadingFrom::Compass)
    {
        return Err(Error::refused(
            "heading.from",
            "a street or a compass can be stated; the rest is computed",
        ));
    }
    if !act.sweep.is_empty() && act.light != Light::Point {
        return Err(Error::refused("sweep", "only a point lamp is swept"));
    }
    if act.sweep.len() > MOST_MOMENTS {
        return Err(Error::refused("sweep", format!("{} moments; at most {MOST_MOMENTS}", act.sweep.len())));
    }
    for (at, point) in act.sweep.iter().enumerate() {
        ranged(&format!("sweep[{at}].yaw_mdeg"), Some(point.yaw_mdeg), -180_000..=180_000, "")?;
        ranged(&format!("sweep[{at}].pitch_mdeg"), Some(point.pitch_mdeg), -90_000..=90_000, "")?;
    }
    if matches!(act.light, Light::Soft | Light::Dark) && act.image.is_some() {
        return Err(Error::refused("image", format!("{} light has no image to touch", act.light.word())));
    }
    Ok(())
}

/// A place outside: light falls on no other.
fn outside(form: &Form, job: &Job, field: &str, name: &str) -> Result<String, Error> {
    let name = panel(job, field, name)?;
    match form.geometry.panel(&name) {
        Some(_) => Ok(name),
        None => Err(Error::refused(
            field,
            "inside the vehicle no light is reckoned; answer for it in the walk-around",
        )),
    }
}

/// The place of the image has to be seen from where the person stood.
fn in_sight(form: &Form, made: &LookMade) -> Result<(), Error> {
    let Some(touch) = &made.image else { return Ok(()) };
    let Some(site) = form.site(&touch.panel, touch.at.u_ppm, touch.at.v_ppm) else {
        return Err(Error::refused("image", "there is no such place on this form"));
    };
    match form.sees(&site, recorded::eye(made)) {
        true => Ok(()),
        false => Err(Error::refused(
            "image",
            "from where you stand that place cannot be seen; touch one of the two anew",
        )),
    }
}

fn stood(at_ms: i64, earth: Earth) -> Result<SunStood, Error> {
    let sun = sun(at_ms, &earth.into()).map_err(|why| Error::refused("earth", why.to_string()))?;
    if sun.apparent_elevation_deg <= 0.0 {
        return Err(Error::refused(
            "light",
            format!(
                "the sun is below the horizon there and then ({:.1} degrees)",
                sun.apparent_elevation_deg
            ),
        ));
    }
    Ok(SunStood {
        azimuth_mdeg: (libm::round(sun.azimuth_deg * 1_000.0) as u32) % 360_000,
        elevation_mdeg: libm::round(sun.apparent_elevation_deg * 1_000.0) as i32,
    })
}

/// Which way the vehicle points: as stated, from the sun's image, or as an earlier look found it, unless the vehicle was moved
/// since.
fn heading(form: &Form, job: &Job, act: &RecordLook, made: &LookMade) -> Result<Option<Heading>, Error> {
    if act.heading.is_some() || act.light != Light::Sun {
        return Ok(act.heading);
    }
    if let (Some(sun), Some(image)) = (made.sun, &made.image) {
        let (azimuth, elevation) = (f64::from(sun.azimuth_mdeg) / 1e3, f64::from(sun.elevation_mdeg) / 1e3);
        let eye = recorded::eye(made);
        return match from_glare(form, image, eye, azimuth, elevation, &Uncertainty::STATED) {
            Ok(Pointing { heading_deg, plus_minus_deg }) => Ok(Some(Heading {
                mdeg: (libm::round(heading_deg * 1_000.0) as u32) % 360_000,
                plus_minus_mdeg: (libm::ceil(plus_minus_deg * 1_000.0) as u32).min(180_000),
                from: HeadingFrom::Glare,
            })),
            Err(why @ NoGlare::Down { .. }) => Err(Error::refused("light", why.to_string())),
            Err(why) => Err(Error::refused("image", why.to_string())),
        };
    }
    Ok(recorded::heading(job).map(|heading| Heading { from: HeadingFrom::EarlierLook, ..heading }))
}
