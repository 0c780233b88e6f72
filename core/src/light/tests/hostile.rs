//! Whatever is put in, the answer is a number or a reason: no panic, nothing that is no number.

use super::*;
use crate::record::words::{WayOfLooking, WholeSide};

const ODD: [f64; 12] = [
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::MAX,
    f64::MIN,
    f64::MIN_POSITIVE,
    0.0,
    -0.0,
    1.0,
    -1.0,
    1e8,
    1e-300,
];

fn odd(dice: &mut Dice) -> V3 {
    let wild = dice.roll().is_multiple_of(4);
    let [x, y, z] = [0; 3].map(|_| {
        if wild && dice.roll().is_multiple_of(2) { dice.one_of(&ODD) } else { dice.between(-3.0, 3.0) }
    });
    [x, y, if wild { z } else { z.abs() }]
}

fn source(dice: &mut Dice) -> Source {
    let radius = if dice.roll().is_multiple_of(8) { dice.one_of(&ODD) } else { dice.between(0.0, 2.0) };
    match dice.roll() % 3 {
        0 => Source::Lamp { at: odd(dice), radius_m: radius },
        1 => Source::Far { towards: odd(dice), radius_deg: radius },
        _ => Source::Line { from: odd(dice), to: odd(dice) },
    }
}

#[test]
fn any_look_gives_an_answer_or_a_reason() {
    let body = body(Form::Hatch3);
    let mut dice = Dice(11);
    let (mut answers, mut reasons) = (0, 0);
    for _ in 0..1_500 {
        let samples =
            (0..dice.roll() % 4).map(|_| Sample { source: source(&mut dice), eye: odd(&mut dice) }).collect();
        let part = |dice: &mut Dice| {
            if dice.roll().is_multiple_of(5) { dice.one_of(&ODD) } else { dice.between(0.0, 0.2) }
        };
        let uncertainty = Uncertainty {
            eye_m: part(&mut dice),
            lamp_m: 0.0,
            image_m: part(&mut dice),
            heading_deg: part(&mut dice),
            normal_deg: 0.0,
        };
        let image = match dice.roll() % 6 {
            0 => Some(Place { at: odd(&mut dice), normal: odd(&mut dice) }),
            1 => Some(dice.one_of(&body.sites).place),
            _ => None,
        };
        let look = Look { uncertainty, image, ..look(dice.one_of(Light::ALL), samples) };
        let wall = if dice.roll().is_multiple_of(10) { dice.one_of(&ODD) } else { 8.0 };
        match look_shows(body, &look, wall) {
            Ok(seen) => {
                answers += 1;
                assert_eq!(seen.patches.len(), Seen::nothing(body).patches.len());
            }
            Err(why) => {
                reasons += 1;
                assert!(!why.to_string().is_empty());
            }
        }
        let asked = Asked {
            panel: dice.one_of(&["roof", "keel", ""]),
            u_ppm: dice.one_of(&[0, 500_000, u32::MAX]),
            v_ppm: dice.one_of(&[0, 1_000_000, u32::MAX]),
            to_ppm: dice.one_of(&[None, Some((0, 0)), Some((u32::MAX, 7))]),
            fault: dice.one_of(Fault::ALL),
            size_m: dice.one_of(&[None, Some(f64::NAN), Some(-1.0), Some(0.01)]),
            wall_deg: wall,
        };
        could_show(body, &look, &asked);
        last_that_could(body, &[&look], &asked);
    }
    assert!(answers > 150 && reasons > 500, "{answers} answers, {reasons} reasons");
}

#[test]
fn any_line_at_any_place_gives_numbers() {
    let mut dice = Dice(12);
    let mut shown = 0;
    for _ in 0..200_000 {
        let normal =
            crate::vehicle::unit([dice.between(-1.0, 1.0), dice.between(-1.0, 1.0), dice.between(-1.0, 1.0)]);
        let place = Place { at: odd(&mut dice), normal };
        let Ok(mirror) = Mirror::at(&place, &source(&mut dice), odd(&mut dice)) else { continue };
        let groove = Groove { along: odd(&mut dice), wall_deg: dice.one_of(&ODD) };
        let glint = fine_line(&place, &mirror, &groove);
        if mirror.radius.is_finite() && groove.along.iter().all(|c| c.is_finite() && c.abs() < 1e9) {
            assert!(
                glint.off_mirror_deg.is_finite() && glint.groove_deg.is_finite(),
                "{place:?} {mirror:?} {groove:?}"
            );
            assert!((0.0..=1.0).contains(&glint.score), "{place:?} {mirror:?} {groove:?} {glint:?}");
            shown += 1;
        }
    }
    assert!(shown > 10_000, "{shown}");
}

#[test]
fn what_is_wrong_with_a_look_is_said() {
    let body = saloon();
    let source = Source::sun([0.3, 0.7, 0.65]);
    let at = |source, eye| look(Light::Sun, vec![Sample { source, eye }]);
    let eye = [0.5, 1.7, 1.2];
    let inside = [0.2, 0.3, 0.9];
    let seat = Source::Lamp { at: inside, radius_m: 0.01 };
    for (look, expected) in [
        (look(Light::Sun, vec![]), Unfit::NoSamples),
        (at(source, inside), Unfit::InVehicle { sample: 0, field: "eye" }),
        (at(seat, eye), Unfit::InVehicle { sample: 0, field: "light" }),
        (at(Source::sun([0.3, 0.7, -0.1]), eye), Unfit::BelowGround { sample: 0, field: "light" }),
        (at(source, [0.5, 1.7, -0.2]), Unfit::BelowGround { sample: 0, field: "eye" }),
        (at(Source::sun([0.0; 3]), eye), Unfit::NoLength { sample: 0, field: "light" }),
        (at(source, [f64::NAN, 1.7, 1.2]), Unfit::NotANumber { sample: 0, field: "eye" }),
        (at(Source::Lamp { at: eye, radius_m: -0.1 }, eye), Unfit::Radius { sample: 0 }),
        (
            Look { uncertainty: Uncertainty { eye_m: -0.1, ..Uncertainty::NONE }, ..at(source, eye) },
            Unfit::Uncertainty { field: "eye_m", most: 10 },
        ),
        (Look { image: Some(Place { at: eye, normal: [0.0, 0.0, 2.0] }), ..at(source, eye) }, Unfit::Image),
        (
            look(Light::Sun, vec![Sample { source, eye }; Look::MOST_SAMPLES + 1]),
            Unfit::TooManySamples { count: Look::MOST_SAMPLES + 1 },
        ),
    ] {
        assert_eq!(look_shows(body, &look, WALL_DEG), Err(expected));
    }
    assert_eq!(look_shows(body, &at(source, eye), f64::NAN), Err(Unfit::Wall));
    // An eye that touches a patch sees nothing there, and all else is computed.
    let on = body.sites[40].place.at;
    let seen = look_shows(body, &at(source, on), WALL_DEG).expect("computed");
    assert!(seen.patches[40].is_none());
}

#[test]
fn next_looks_and_the_sun_take_anything() {
    let body = body(Form::Motorcycle);
    let all = Blocked { left: true, right: true, front: true, rear: true };
    for towards in [[0.0; 3], [f64::NAN; 3], [0.0, 0.0, -1.0], [f64::MAX, 0.0, 1.0]] {
        let ask =
            next::Ask { with: next::With::Sun(towards), blocked: all, panels: &["keel"], wall_deg: f64::NAN };
        assert!(next::next_looks(body, &Seen::nothing(body), &ask, 3).is_empty());
        sunlit::panels_now(body, towards, Blocked::default());
    }
    for (azimuth, elevation) in [(f64::NAN, 30.0), (1e300, f64::INFINITY), (180.0, -5.0)] {
        sunlit::turn(body, (azimuth, elevation), f64::NAN, all, &[]);
        let sun = |_| (azimuth, elevation);
        for &side in WholeSide::ALL {
            let span = sunlit::Span { from_ms: i64::MAX - 3_000_000, to_ms: i64::MAX };
            sunlit::rakes(body, &sun, 0.0, side, span);
            sunlit::shades(body, &sun, side, sunlit::Span { from_ms: 0, to_ms: -1 });
        }
    }
    for &way in WayOfLooking::ALL {
        let place = Place { at: [f64::NAN; 3], normal: [0.0; 3] };
        ways::samples(way, [f64::INFINITY, 0.0], Some([f64::NAN, f64::MAX]), &place, Source::sky());
        ways::samples(way, [0.0, 1.0], Some([1e9, 0.0]), &place, Source::sky());
    }
}
