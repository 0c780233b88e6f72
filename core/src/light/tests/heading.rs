//! A compass of paint: the heading lies within its stated uncertainty, however the touches are off within theirs.

use super::*;
use crate::light::heading::{NoGlare, from_glare, wrapped};
use crate::light::sunlit::towards;
use crate::record::inputs::{PanelSpot, Spot};
use crate::vehicle::{add, dot, norm, scale, sub, unit};

/// Glares as a person may touch them: a place that mirrors the sun, an eye that sees it, and both touched a little off.
struct Glare {
    image: PanelSpot,
    eye: V3,
    azimuth_deg: f64,
    elevation_deg: f64,
    heading_deg: f64,
}

fn glare(body: &Body, dice: &mut Dice) -> Option<Glare> {
    let (azimuth_deg, elevation_deg) = (dice.between(60.0, 300.0), dice.between(8.0, 62.0));
    let heading_deg = dice.between(0.0, 360.0);
    let sun = towards(azimuth_deg, elevation_deg, heading_deg);
    let panel = &body.geometry.panels[(dice.roll() % body.geometry.panels.len() as u64) as usize];
    if panel.class != crate::vehicle::Class::Paint || panel.optional {
        return None;
    }
    let ppm = |dice: &mut Dice| dice.between(50_000.0, 950_000.0) as u32;
    let at = Spot { u_ppm: ppm(dice), v_ppm: ppm(dice) };
    let site = body.site(panel.id, at.u_ppm, at.v_ppm)?;
    // The very car is not the form: its paint may stand a degree off.
    let tilt = 0.017;
    let (a, b) = (dice.between(-tilt, tilt), dice.between(-tilt, tilt));
    let n = unit(add(site.place.normal, add(scale(site.along, a), scale(site.across, b))));
    let up = dot(n, sun);
    if up <= 0.05 || body.blocker.towards(site.start, sun) {
        return None;
    }
    let mirrored = sub(scale(n, 2.0 * up), sun);
    let eye = add(site.place.at, scale(mirrored, dice.between(0.5, 2.5)));
    let outside = eye[2] > 0.7 && eye[2] < 1.9 && body.plan.depth(eye) < 0.0 && body.sees(&site, eye);
    if !outside {
        return None;
    }
    let off = |dice: &mut Dice, most: f64| dice.between(-most, most);
    let sure = Uncertainty::STATED;
    // A touch on the drawing, up to 5 cm off along the surface.
    let (u, v) = (off(dice, sure.image_m), off(dice, sure.image_m));
    let touched = add(site.place.at, add(scale(site.along, u), scale(site.across, v)));
    let near = nearest(body, panel.id, at, touched)?;
    let eye = add(eye, [off(dice, sure.eye_m), off(dice, sure.eye_m), off(dice, sure.eye_m)]);
    Some(Glare {
        image: PanelSpot { panel: panel.id.to_owned(), at: near },
        eye,
        azimuth_deg,
        elevation_deg,
        heading_deg,
    })
}

/// The place on a panel nearest to a point beside another place of it.
fn nearest(body: &Body, panel: &str, from: Spot, point: V3) -> Option<Spot> {
    let mut best = from;
    let mut step = 60_000_i64;
    let far = |at: Spot| Some(norm(sub(body.site(panel, at.u_ppm, at.v_ppm)?.place.at, point)));
    while step > 500 {
        let mut moved = false;
        for (du, dv) in [(step, 0), (-step, 0), (0, step), (0, -step)] {
            let to = |at: u32, by: i64| (i64::from(at) + by).clamp(0, 1_000_000) as u32;
            let next = Spot { u_ppm: to(best.u_ppm, du), v_ppm: to(best.v_ppm, dv) };
            if far(next)? < far(best)? {
                best = next;
                moved = true;
            }
        }
        if !moved {
            step /= 2;
        }
    }
    Some(best)
}

#[test]
fn the_sun_s_image_is_a_compass() {
    let mut dice = Dice(77);
    let (mut cases, mut within, mut widths) = (0, 0, Vec::new());
    while cases < 400 {
        let body = body(dice.one_of(&[Form::Saloon, Form::Hatch5, Form::Van, Form::Suv]));
        let Some(glare) = glare(body, &mut dice) else { continue };
        cases += 1;
        let found = from_glare(
            body,
            &glare.image,
            glare.eye,
            glare.azimuth_deg,
            glare.elevation_deg,
            &Uncertainty::STATED,
        );
        if let Ok(found) = found {
            let off = wrapped(found.heading_deg - glare.heading_deg).abs();
            within += usize::from(off <= found.plus_minus_deg);
            widths.push(found.plus_minus_deg);
        }
    }
    widths.sort_by(f64::total_cmp);
    println!("{within} of {cases} within; median ± {:.1} degrees", widths[widths.len() / 2]);
    assert!(within * 100 >= cases * 95, "{within} of {cases}");
    assert!(widths[widths.len() / 2] < 20.0, "so wide says nothing: {widths:?}");
}

#[test]
fn what_no_sun_can_do_is_said() {
    let body = saloon();
    let middle =
        |panel: &str| PanelSpot { panel: panel.to_owned(), at: Spot { u_ppm: 500_000, v_ppm: 500_000 } };
    let sure = Uncertainty::STATED;
    // A bonnet looked at from above its middle mirrors what is high: no sun that is about to set.
    let eye = [1.4, 1.3, 1.6];
    assert!(matches!(
        from_glare(body, &middle("bonnet"), eye, 180.0, 4.0, &sure),
        Err(NoGlare::OtherHeight { .. })
    ));
    assert!(matches!(
        from_glare(body, &middle("bonnet"), eye, 180.0, -1.0, &sure),
        Err(NoGlare::Down { .. })
    ));
    assert!(matches!(
        from_glare(body, &middle("bonnet"), eye, 180.0, f64::NAN, &sure),
        Err(NoGlare::Down { .. })
    ));
    assert_eq!(from_glare(body, &middle("no-such"), eye, 180.0, 40.0, &sure), Err(NoGlare::NoSuchPlace));
    // The far side cannot be seen from here at all.
    let left = [0.0, 1.8, 0.9];
    assert_eq!(
        from_glare(body, &middle("front-right-door"), left, 180.0, 40.0, &sure),
        Err(NoGlare::FacesAway)
    );
}
