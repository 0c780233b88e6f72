//! Places to look from, and what the sun can do.

use super::*;
use crate::record::words::{Locale, WholeSide};
use next::{Ask, With, eyes, greedy, next_looks, places};

fn ask(with: With) -> Ask<'static> {
    Ask { with, blocked: Blocked::default(), panels: &[], wall_deg: WALL_DEG }
}

#[test]
fn places_are_reachable() {
    for &form in Form::ALL {
        let body = body(form);
        let all = eyes(body, Blocked::default());
        assert!(all.len() > 60, "{form:?}: {}", all.len());
        assert!(all.iter().all(|eye| !body.blocker.holds(*eye) && body.plan.depth(*eye) < 0.0), "{form:?}");
        let blocked = Blocked { left: true, rear: true, ..Blocked::default() };
        let fewer = eyes(body, blocked);
        assert!(!fewer.is_empty() && fewer.len() < all.len());
        assert!(fewer.iter().all(|eye| eye[1] <= body.plan.left && eye[0] >= body.plan.rear), "{form:?}");
    }
}

#[test]
fn the_next_place_adds_and_the_one_after_it_adds_no_more() {
    let body = saloon();
    for with in [With::Lamp, With::Sun([0.3, 0.5, 0.6])] {
        let looks = next_looks(body, &Seen::nothing(body), &ask(with), 4);
        assert_eq!(looks.len(), 4, "{with:?}");
        assert!(looks.windows(2).all(|pair| pair[0].adds_mm2 >= pair[1].adds_mm2), "{with:?}");
        assert!(looks[3].adds_mm2 > 0);
        // What has been seen from there is not offered again for the same gain.
        let mut seen = look_shows(body, &looks[0].look, WALL_DEG).expect("a look");
        assert!(total(&seen, Fault::FineLine) > 0);
        let after = next_looks(body, &seen, &ask(with), 1);
        assert_eq!(after[0].adds_mm2, looks[1].adds_mm2, "{with:?}");
        seen.join(&next::within_reach(body, &ask(with)));
        assert_eq!(next_looks(body, &seen, &ask(with), 1), [], "nothing is left within reach");
    }
}

#[test]
fn an_eye_is_never_sent_into_the_sun_or_its_image_in_glass() {
    let body = saloon();
    for towards in [[0.3, 0.5, 0.6], [-0.9, 0.1, 0.3], [0.0, -0.8, 0.4]] {
        let source = Source::sun(towards);
        let stands = places(body, &ask(With::Sun(towards)));
        assert!(!stands.is_empty());
        for stand in stands {
            let gaze = crate::vehicle::unit(crate::vehicle::sub(stand.image.at, stand.eye));
            let before = |way: V3| angle(gaze, crate::vehicle::unit(way)).to_degrees() < 30.0;
            assert!(!before(towards) || body.blocker.towards(stand.eye, towards), "{stand:?}");
            for (number, panel) in body.geometry.panels.iter().enumerate() {
                if panel.class != crate::vehicle::Class::Glass {
                    continue;
                }
                for site in &body.sites[body.first[number]..body.first[number + 1]] {
                    let Ok(mirror) = Mirror::at(&site.place, &source, stand.eye) else { continue };
                    let open = mirror.lit(site.place.normal).is_ok()
                        && !body.blocker.between(site.start, stand.eye)
                        && !body.blocker.towards(site.start, towards);
                    let image = mirror.off_mirror(site.place.normal).to_degrees() < 5.0;
                    let faced = before(crate::vehicle::sub(site.place.at, stand.eye));
                    assert!(!(open && image && faced), "{} mirrors the sun at {stand:?}", panel.id);
                }
            }
        }
    }
}

#[test]
fn words_say_where_to_stand_and_where_to_look() {
    let body = saloon();
    for with in [With::Lamp, With::Sun([0.3, 0.5, 0.6])] {
        for stand in next_looks(body, &Seen::nothing(body), &ask(with), 6) {
            for locale in [Locale::EnGb, Locale::EnUs] {
                let said = words(body, &stand, with, locale);
                println!("{said}");
                assert!(said.ends_with('.') && said.contains("cm above the ground, look "), "{said}");
                let named = body.geometry.panel(stand.panel).expect("a panel");
                let named =
                    crate::vehicle::panel_text(locale, named.part_of.unwrap_or(named.id)).expect("words");
                assert!(said.contains(named), "{said}");
                assert_eq!(said.contains("never into it"), matches!(with, With::Sun(_)), "{said}");
                assert_eq!(said.contains(" hand."), with == With::Lamp, "{said}");
            }
        }
    }
}

/// The bound of Nemhauser, Wolsey and Fisher on sets made so that greed goes wrong.
#[test]
fn greed_is_within_its_bound() {
    // One set covers two thirds; the two that cover everything are each a little smaller.
    let set = |bits: &[u16]| Seen { patches: bits.iter().map(|b| Shown(*b)).collect() };
    let sets = [set(&[0b1111, 0b1111, 0]), set(&[0b0111, 0b1111, 0b1]), set(&[0b1000, 0, 0b110])];
    let already = set(&[0, 0, 0]);
    let chosen = greedy(&sets, &[1, 1, 1], &already, 2);
    assert_eq!(chosen.iter().map(|it| it.0).collect::<Vec<_>>(), [0, 2]);
    let covered = chosen.iter().map(|it| it.1).sum::<u64>() as f64;
    let least = 11.0 * (1.0 - 1.0 / std::f64::consts::E);
    assert!((least..11.0).contains(&covered), "{covered} of the best 11");
    assert_eq!(greedy(&sets, &[0, 0, 0], &already, 2), []);
    assert_eq!(greedy(&[], &[], &already, 2), []);
}

/// A sun that rises in the east at 6, stands in the south at noon 60 degrees high, and sets in the west at 18.
fn invented_sun(at_ms: i64) -> (f64, f64) {
    let hour = at_ms as f64 / 3_600_000.0;
    (90.0 + 15.0 * (hour - 6.0), 60.0 * libm::sin((hour - 6.0) * std::f64::consts::PI / 12.0))
}

#[test]
fn directions_follow_the_compass() {
    let close = |a: V3, b: V3| (0..3).all(|i| (a[i] - b[i]).abs() < 1e-12);
    // Front to the north, sun in the east, on the horizon: on the right.
    assert!(close(sunlit::towards(90.0, 0.0, 0.0), [0.0, -1.0, 0.0]));
    assert!(close(sunlit::towards(90.0, 0.0, 90.0), [1.0, 0.0, 0.0]));
    assert!(close(sunlit::towards(0.0, 90.0, 77.0), [0.0, 0.0, 1.0]));
    assert!(close(sunlit::towards(270.0, 0.0, 0.0), [0.0, 1.0, 0.0]));
}

#[test]
fn the_sun_shows_the_side_it_stands_on() {
    let body = saloon();
    let left = sunlit::panels_now(body, sunlit::towards(270.0, 25.0, 0.0), Blocked::default());
    let share = |list: &[sunlit::Reach], panel: &str| {
        list.iter().find(|it| it.panel == panel).map_or(0, |it| it.share_ppm)
    };
    assert!(share(&left, "front-left-door") > 100_000, "{left:?}");
    assert_eq!(share(&left, "front-right-door"), 0);
    let shut = sunlit::panels_now(
        body,
        sunlit::towards(270.0, 25.0, 0.0),
        Blocked { left: true, ..Blocked::default() },
    );
    assert!(share(&shut, "front-left-door") < share(&left, "front-left-door") / 4, "a wall on that side");
    assert_eq!(sunlit::panels_now(body, sunlit::towards(270.0, -1.0, 0.0), Blocked::default()), []);
    // Sun in the west, front to the north: the right side wants the car turned about.
    let turn =
        sunlit::turn(body, (270.0, 25.0), 0.0, Blocked::default(), &["front-right-door", "rear-right-door"]);
    assert!(turn.share_ppm > 50_000 && (75..=285).contains(&turn.clockwise_deg), "{turn:?}");
    let now = sunlit::turn(body, (270.0, 25.0), 0.0, Blocked::default(), &["front-left-door"]);
    assert!(now.clockwise_deg <= 90 || now.clockwise_deg >= 270, "{now:?}");
}

#[test]
fn raking_and_shade_follow_the_day() {
    let body = saloon();
    let day = sunlit::Span { from_ms: 6 * 3_600_000, to_ms: 18 * 3_600_000 };
    let sun: sunlit::SunAt = &invented_sun;
    // The roof is raked in the first and the last hours: 60 sin x is 20 degrees after 1.3 hours.
    let roof = sunlit::rakes(body, sun, 0.0, WholeSide::Top, day);
    assert_eq!(roof.len(), 2, "{roof:?}");
    assert!(roof[0].to_ms < 8 * 3_600_000 && roof[1].from_ms > 16 * 3_600_000, "{roof:?}");
    // Front to the south: the sun comes over the left in the morning, so the right side is in shade until the
    // sun is so high that it looks over the roof at its upper edge.
    let shades = sunlit::shades(body, sun, WholeSide::Right, sunlit::Span { from_ms: 7 * 3_600_000, ..day });
    let south = shades.iter().find(|it| it.heading_deg == 180).expect("shade");
    assert!((3_600_000..=5 * 3_600_000).contains(&south.lasts_ms), "{south:?}");
    assert!(shades.iter().all(|it| it.heading_deg != 0), "front to the north it lies in the sun at once");
    assert!(
        shades[0].lasts_ms >= south.lasts_ms
            && shades.windows(2).all(|pair| pair[0].lasts_ms >= pair[1].lasts_ms)
    );
    // Before sunrise every side is dark.
    let night = sunlit::Span { from_ms: 0, to_ms: 5 * 3_600_000 };
    assert_eq!(sunlit::shades(body, sun, WholeSide::Left, night).len(), 24);
    assert_eq!(sunlit::rakes(body, sun, 0.0, WholeSide::Left, night), []);
}
