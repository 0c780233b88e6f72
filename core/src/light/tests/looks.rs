//! What looks show, what takes it away, and that what was seen is the same to the bit.

use super::*;
use crate::record::words::{MarkKind, WayOfLooking};
use sha2::{Digest, Sha256};

fn shows(look: &Look) -> Seen {
    look_shows(saloon(), look, WALL_DEG).expect("a look")
}

#[test]
fn a_walk_along_one_side_shows_lines_there_and_none_on_the_other() {
    let body = saloon();
    let shares = shows(&walk()).shares(body);
    let share = |panel: &str| shares.iter().find(|it| it.panel == panel).expect("a panel").fine_line_ppm;
    assert!(share("front-left-door") > 5_000 && share("rear-left-door") > 5_000, "{shares:?}");
    for other in ["front-right-door", "right-mirror", "bonnet", "rear-bumper"] {
        assert_eq!(share(other), 0, "{other}");
    }
    for it in &shares {
        assert!(it.fine_line_ppm <= 1_000_000 && it.tone_ppm == 0 && it.shape_ppm == 0, "{it:?}");
    }
}

/// The limit of the claim: of every direction of lines on all paint, one look shows a few percent.
#[test]
fn one_place_to_stand_shows_little() {
    let source = Source::sun([0.3, 0.7, 0.65]);
    let seen = shows(&look(Light::Sun, vec![Sample { source, eye: [0.5, 1.7, 1.25] }]));
    let all = seen.patches.len() as u32 * BINS as u32;
    let share = f64::from(total(&seen, Fault::FineLine)) / f64::from(all);
    assert!(share > 0.0 && share < 0.05, "{share}");
}

#[test]
fn uncertainty_only_takes_away_and_more_samples_only_add() {
    let certain = shows(&walk());
    let mut last = certain.clone();
    for eye_m in [0.02, 0.05, 0.10, 0.20] {
        let uncertainty =
            Uncertainty { eye_m, heading_deg: 10.0 * eye_m, normal_deg: 1.0, ..Uncertainty::NONE };
        let seen = shows(&Look { uncertainty, ..walk() });
        let stays = seen.patches.iter().zip(&certain.patches).all(|(less, more)| more.has(*less));
        assert!(stays, "{eye_m}: something is seen that the stated middle does not show");
        assert!(total(&seen, Fault::FineLine) <= total(&last, Fault::FineLine), "{eye_m}");
        last = seen;
    }
    assert!(total(&last, Fault::FineLine) < total(&certain, Fault::FineLine) / 2);
    let mut half = walk();
    half.samples.truncate(40);
    assert!(shows(&half).patches.iter().zip(&certain.patches).all(|(less, more)| more.has(*less)));
}

#[test]
fn samples_and_looks_may_come_in_any_order() {
    let uncertainty = Uncertainty { eye_m: 0.03, normal_deg: 0.5, ..Uncertainty::NONE };
    let one = Look { uncertainty, ..walk() };
    let mut back = one.clone();
    back.samples.reverse();
    assert!(shows(&one) == shows(&back), "samples in another order");
    let other = look(Light::Soft, vec![Sample { source: Source::sky(), eye: [0.0, 1.8, 1.6] }]);
    let body = saloon();
    let (a, b) = (seen(body, [&one, &other], WALL_DEG), seen(body, [&other, &one], WALL_DEG));
    assert!(a == b, "looks in another order");
    assert!(total(&a.expect("looks"), Fault::Tone) > 0);
}

/// What was seen is computed anew from the log, on any machine and for ever: the same bits. If this changes,
/// [`MODEL_VERSION`] has to be raised.
#[test]
fn what_was_seen_is_the_same_to_the_bit() {
    let body = saloon();
    let lamp = Source::Lamp { at: [1.0, 1.5, 0.9], radius_m: 0.012 };
    let image = body.site("front-left-door", 500_000, 500_000).expect("a place").place;
    let walked = ways::samples(WayOfLooking::LampTurned, [0.4, 1.5], None, &image, lamp);
    let line = Source::Line { from: [1.5, 2.0, 2.2], to: [-1.5, 2.0, 2.2] };
    let uncertainty = Uncertainty { eye_m: 0.01, lamp_m: 0.01, normal_deg: 0.3, ..Uncertainty::NONE };
    let looks = [
        walk(),
        Look { uncertainty, ..look(Light::Point, walked) },
        look(Light::Line, vec![Sample { source: line, eye: [0.2, 2.2, 1.5] }]),
        look(Light::Soft, vec![Sample { source: Source::sky(), eye: [0.0, 1.8, 1.6] }]),
        look(
            Light::Raking,
            vec![Sample {
                source: Source::Lamp { at: [1.1, 1.0, 0.6], radius_m: 0.01 },
                eye: [0.2, 1.6, 1.2],
            }],
        ),
    ];
    let mut all = Sha256::new();
    for look in &looks {
        let shown = shows(look);
        let found: Vec<u32> = Fault::ALL.iter().map(|fault| total(&shown, *fault)).collect();
        assert!(found.iter().any(|n| *n > 0), "{:?} shows nothing", look.light);
        shown.patches.iter().for_each(|it| all.update(it.0.to_le_bytes()));
    }
    let hash: String = all.finalize().iter().take(8).map(|b| format!("{b:02x}")).collect();
    assert_eq!((MODEL_VERSION, hash.as_str()), (1, "6b718336745f011b"));
}

#[test]
fn each_kind_of_light_shows_its_own_kinds_of_fault() {
    let place = saloon().site("front-left-door", 500_000, 500_000).expect("a place").place;
    let out = |m: f64| [0, 1, 2].map(|i| place.at[i] + place.normal[i] * m);
    let eye = out(0.6);
    let mut beside = eye;
    beside[0] += 0.08;
    for (light, source, expected) in [
        (Light::Soft, Source::sky(), vec![Fault::Tone]),
        (Light::Line, Source::Line { from: [1.0, 2.0, eye[2]], to: [-1.0, 2.0, eye[2]] }, vec![Fault::Shape]),
        (Light::Dark, Source::sky(), vec![]),
    ] {
        let seen = shows(&look(light, vec![Sample { source, eye }]));
        for &fault in Fault::ALL {
            assert_eq!(total(&seen, fault) > 0, expected.contains(&fault), "{light:?} {fault:?}");
        }
    }
    let lamp = Source::Lamp { at: beside, radius_m: 0.012 };
    let seen = shows(&look(Light::Point, vec![Sample { source: lamp, eye }]));
    assert!(total(&seen, Fault::FineLine) > 0 && total(&seen, Fault::Haze) > 0);
    assert_eq!(total(&seen, Fault::Tone) + total(&seen, Fault::Shape), 0);
}

#[test]
fn a_dirty_wet_dark_or_unknown_look_shows_nothing_fine() {
    use Hindrance as H;
    let good = Look { light: Light::Point, ..walk() };
    let cases: Vec<(Look, H)> = vec![
        (Look { surface: None, ..good.clone() }, H::SurfaceUnknown),
        (Look { surface: Some(Surface::Dirty), ..good.clone() }, H::Dirty),
        (Look { surface: Some(Surface::Dusty), ..good.clone() }, H::Dusty),
        (Look { surface: Some(Surface::Wet), ..good.clone() }, H::Wet),
        (Look { light: Light::Dark, ..good.clone() }, H::Dark),
        (Look { ambient: None, ..good.clone() }, H::AmbientUnknown),
        (Look { ambient: Some(Ambient::Daylight), ..good.clone() }, H::Drowned),
        (Look { distance: None, ..good.clone() }, H::DistanceUnknown),
        (Look { distance: Some(Distance::WalkPast), ..good.clone() }, H::WalkPast),
        (Look { seconds: None, ..good.clone() }, H::TimeUnknown),
        (Look { seconds: Some(5), ..good.clone() }, H::TooFast),
        (Look { light: Light::Line, ..good.clone() }, H::OtherLight),
    ];
    assert!(total(&shows(&Look { light: Light::Sun, ..walk() }), Fault::FineLine) > 0);
    // What keeps a look on record from being computed at all has its cases where looks are recorded.
    let of_looks = H::ALL.iter().take_while(|it| **it != H::SunUnknown).count();
    assert_eq!(cases.len(), of_looks, "every hindrance has a case");
    for (look, expected) in cases {
        assert!(
            look.hinders(Fault::FineLine).contains(&expected),
            "{expected:?}: {:?}",
            look.hinders(Fault::FineLine)
        );
        assert_eq!(total(&shows(&look), Fault::FineLine), 0, "{expected:?}");
    }
    // The sun is not drowned, and 80 samples 5 cm apart take 20 seconds.
    let sun = Look { light: Light::Sun, ambient: None, seconds: Some(20), ..walk() };
    assert_eq!(sun.hinders(Fault::FineLine), []);
}

#[test]
fn farther_than_the_eye_reaches_nothing_shows() {
    let mut far = walk();
    far.samples.iter_mut().for_each(|sample| sample.eye[1] += FINE_M);
    assert_eq!(total(&shows(&far), Fault::FineLine), 0);
    let sizes = Sizes::stated(WALL_DEG, 0.0001);
    let body = saloon();
    let asked = |size_m| Asked {
        panel: "front-left-door",
        u_ppm: 500_000,
        v_ppm: 500_000,
        to_ppm: None,
        fault: Fault::Tone,
        size_m: Some(size_m),
        wall_deg: sizes.wall_deg,
    };
    let soft = look(Light::Soft, vec![Sample { source: Source::sky(), eye: [0.4, 1.9, 1.5] }]);
    assert_eq!(could_show(body, &soft, &asked(0.02)), Answer::CouldShow);
    assert_eq!(
        could_show(body, &soft, &asked(0.0001)),
        Answer::NotFromThere,
        "a tenth of a millimetre from a metre off"
    );
}

/// The one wall that mirrors: lines of every direction round the lamp's image lie along circles, and only those that cross
/// the plane of light and eye show.
#[test]
fn bins_and_exact_lines_agree() {
    let body = saloon();
    let mut dice = Dice(3);
    let (mut both, mut bin_only) = (0, 0);
    for _ in 0..4_000 {
        let site = dice.one_of(&body.sites);
        let n = site.place.normal;
        let near =
            |dice: &mut Dice| [0, 1, 2].map(|i| site.place.at[i] + n[i] * 0.5 + dice.between(-0.3, 0.3));
        let (lamp, eye) = (near(&mut dice), near(&mut dice));
        let source = Source::Lamp { at: lamp, radius_m: 0.012 };
        let sample = Sample { source, eye };
        let shown = super::super::shows::possible(
            &site,
            &site.place,
            &sample,
            Shown::ALL_LINES,
            &Sizes::usual(WALL_DEG),
            &Blocker::new(&[]),
            &mut None,
        );
        let Ok(mirror) = Mirror::at(&site.place, &source, eye) else { continue };
        for bin in 0..BINS {
            let angle_deg = 15.0 * bin as f64 + dice.between(0.5, 14.5);
            let groove = Groove { along: site.direction(angle_deg), wall_deg: WALL_DEG };
            let exact = fine_line(&site.place, &mirror, &groove).shows;
            if shown.has(Shown::line(angle_deg)) {
                both += usize::from(exact);
                bin_only += usize::from(!exact);
            }
            assert!((site.angle_deg(groove.along) - angle_deg).abs() < 1e-6);
        }
    }
    assert!(both > 300 && bin_only * 200 <= both, "{both} bins hold, {bin_only} do not");
}

#[test]
fn a_blank_speaks_only_where_it_could_have_shown_the_mark() {
    let body = saloon();
    let shown = shows(&walk());
    let number = body.geometry.panels.iter().position(|panel| panel.id == "front-left-door").expect("a door");
    let panel = &body.geometry.panels[number];
    let asked = |patch: &crate::vehicle::Patch, to_ppm| Asked {
        panel: panel.id,
        u_ppm: patch.u_ppm,
        v_ppm: patch.v_ppm,
        to_ppm,
        fault: Fault::FineLine,
        size_m: None,
        wall_deg: WALL_DEG,
    };
    let (mut yes, mut no) = (0, 0);
    for (at, patch) in panel.patches.iter().enumerate() {
        let bits = shown.patches[body.first[number] + at];
        for to in [(patch.u_ppm + 20_000, patch.v_ppm), (patch.u_ppm, patch.v_ppm + 20_000)] {
            let answer = could_show(body, &walk(), &asked(patch, Some(to)));
            match answer {
                Answer::CouldShow => yes += 1,
                Answer::NotFromThere => no += 1,
                other => panic!("{other:?}"),
            }
            if bits.is_none() && answer == Answer::CouldShow {
                // The patch's normal is the skin's, the mark's that of the grid: a hair apart, not more.
                assert!(no > 0);
            }
        }
        assert_eq!(
            could_show(body, &walk(), &asked(patch, None)),
            Answer::NotFromThere,
            "not in every direction"
        );
    }
    assert!(yes > 0 && no > yes, "{yes} {no}");
    let first = panel.patches.first().expect("a patch");
    let dirty = Look { surface: Some(Surface::Dirty), ..walk() };
    assert_eq!(could_show(body, &dirty, &asked(first, None)), Answer::Hindered(vec![Hindrance::Dirty]));
    assert_eq!(
        could_show(body, &walk(), &Asked { panel: "keel", ..asked(first, None) }),
        Answer::NoSuchPlace
    );
    let looks = [&dirty, &walk(), &dirty];
    let found = panel.patches.iter().find_map(|patch| {
        let asked = asked(patch, Some((patch.u_ppm, patch.v_ppm + 20_000)));
        last_that_could(body, &looks, &asked)
    });
    assert_eq!(found, Some(1), "the one between the two that could not");
    assert_eq!(last_that_could(body, &[&dirty], &asked(first, None)), None);
}

#[test]
fn marks_that_light_tells_have_their_kind_of_fault() {
    let told = MarkKind::ALL.iter().filter(|kind| fault_of(**kind).is_some()).count();
    assert!(told > 40, "{told}");
    assert_eq!(fault_of(MarkKind::Swirls), Some(Fault::FineLine));
    assert_eq!(fault_of(MarkKind::Dent), Some(Fault::Shape));
    assert_eq!(fault_of(MarkKind::Smell), None);
}

#[test]
fn every_reason_has_words() {
    use crate::record::words::Locale;
    for &locale in Locale::ALL {
        for why in Hindrance::ALL {
            assert!(crate::vehicle::text(locale, "hindrance", why.word()).is_some(), "{why:?}");
        }
        for why in Unlit::ALL {
            assert!(crate::vehicle::text(locale, "unlit", why.word()).is_some(), "{why:?}");
        }
    }
}
