//! Where to look next, as words a person can follow. Pure.

use super::body::Body;
use super::mirror::{CLEAR_COAT, angle, mirrored_share};
use super::next::{Stand, With, to_the_left};
use super::ways::{BENT_M, CROUCHING_M};
use crate::record::words::Locale;
use crate::vehicle::{Class, V3, dot, norm, panel_text, scale, sub, unit};

/// "Crouch beside the left rear wheel, eye about 90 cm above the ground, look along the left rear door towards the front, lamp low in
/// the right hand."
pub fn words(body: &Body, stand: &Stand, with: With, locale: Locale) -> String {
    let height = stand.eye[2];
    let posture = match () {
        () if height < (CROUCHING_M + BENT_M) / 2.0 => "Crouch",
        () if height < BENT_M + 0.15 => "Bend down",
        () => "Stand",
    };
    // A flap or a pillar is found by the panel that it is part of.
    let part_of = body.geometry.panel(stand.panel).and_then(|panel| panel.part_of).unwrap_or(stand.panel);
    let panel = panel_text(locale, part_of).unwrap_or(part_of);
    let way = sub(stand.image.at, stand.eye);
    let slanting = -dot(way, stand.image.normal) < 0.5 * norm(way);
    let look = match (slanting, towards(way)) {
        (true, Some(end)) => format!("look along the {panel} towards the {end}"),
        _ => format!("look at the {panel}"),
    };
    let light = match (with, stand.lamp) {
        (With::Lamp, Some(lamp)) => {
            let word = if locale == Locale::EnUs { "light" } else { "lamp" };
            let side = to_the_left(stand.eye, stand.image.at, lamp);
            let hand = if side >= 0.0 { "left" } else { "right" };
            let level = match lamp[2] - height {
                below if below < -0.25 => "low",
                above if above > 0.15 => "high",
                _ => "at eye height",
            };
            format!("{word} {level} in the {hand} hand")
        }
        _ => {
            // At a grazing angle paint is nearly a mirror, which few expect.
            let share = mirrored_share(angle(unit(scale(way, -1.0)), stand.image.normal), CLEAR_COAT);
            let percent = (share * 100.0).round();
            format!(
                "beside the sun's image ({percent} % as bright as the sun itself there) and never into it"
            )
        }
    };
    let about = (height * 20.0).round() * 5.0;
    format!(
        "{posture} {}, eye about {about} cm above the ground, {look}, {light}.",
        beside(body, stand.eye, locale)
    )
}

/// The end of the car that a way leads to, if it leads to one rather than across.
fn towards(way: V3) -> Option<&'static str> {
    match way {
        [x, y, _] if x.abs() < y.abs() => None,
        [x, _, _] if x > 0.0 => Some("front"),
        _ => Some("rear"),
    }
}

/// Off a panel's middle by so much, metres, an eye is at one end of it. Our choice, no source.
const AT_AN_END_M: f64 = 0.30;

/// Where an eye is: the painted panel or the wheel that an eye is nearest to, seen from above, and at which end of it.
fn beside(body: &Body, eye: V3, locale: Locale) -> String {
    let near = body
        .geometry
        .panels
        .iter()
        .filter(|panel| {
            matches!(panel.class, Class::Paint | Class::Wheel) && !panel.optional && panel.part_of.is_none()
        })
        .map(|panel| {
            let flat = |c: [i32; 3]| {
                let (x, y) = (f64::from(c[0]) / 1e4 - eye[0], f64::from(c[1]) / 1e4 - eye[1]);
                x * x + y * y
            };
            // Its middle, so that a long panel does not win at its very end.
            let least =
                panel.patches.iter().map(|patch| flat(patch.centre_dmm)).fold(f64::INFINITY, f64::min);
            let mean = panel.patches.iter().map(|patch| flat(patch.centre_dmm)).sum::<f64>()
                / panel.patches.len().max(1) as f64;
            (least + mean, panel)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.id.cmp(b.1.id)));
    let name = near.and_then(|(_, panel)| panel_text(locale, panel.id)).unwrap_or("car");
    let (place, along, ends) = match eye[0] {
        x if x > body.plan.front => ("in front of", 1, ["left", "right"]),
        x if x < body.plan.rear => ("behind", 1, ["left", "right"]),
        _ => ("beside", 0, ["front", "rear"]),
    };
    let middle = near.map_or(eye[along], |(_, panel)| {
        let all = panel.patches.iter().map(|patch| f64::from(patch.centre_dmm[along]) / 1e4);
        all.sum::<f64>() / panel.patches.len().max(1) as f64
    });
    match eye[along] - middle {
        off if off > AT_AN_END_M => format!("{place} the {name}, at its {} end", ends[0]),
        off if off < -AT_AN_END_M => format!("{place} the {name}, at its {} end", ends[1]),
        _ => format!("{place} the {name}"),
    }
}
