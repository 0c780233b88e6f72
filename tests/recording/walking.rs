//! A walk-around as it goes: the order of places, what comes next, what is known from before, and what strokes on the
//! drawing mean. Expected values follow from the definitions; nothing here is taken from what the program printed.

use crate::{id, phone, put, walk};
use sidelong_core::api::{PointDrawn, drawing, drawn_at, kinds_offered, stroke_on};
use sidelong_core::record::inputs::{Act, PassSide, SeeAgain, Spot};
use sidelong_core::record::views::WalkNow;
use sidelong_core::record::words::{Corner, Form, Locale, MarkKind, Outcome, Scope, Stage, WholeSide, Why};
use sidelong_core::vehicle;
use sidelong_tests::{Phone, could_not_see, mark, nothing_seen};
use std::collections::BTreeSet;
use uuid::Uuid;

fn now(phone: &Phone, job: Uuid, corner: Corner, at: Option<&str>, earlier: Option<Uuid>) -> WalkNow {
    let earlier = earlier.map(|it| it.to_string());
    phone
        .open()
        .walk(job.to_string(), corner, at.map(str::to_owned), earlier, Locale::EnGb)
        .expect("a walk-around")
}

/// Every corner goes through the same places, and no corner but the first side turns: the painted loop from the right is
/// the loop from the left with left and right exchanged.
#[test]
fn round_from_every_corner() {
    for form in Form::ALL {
        let places = vehicle::asked_for(*form, Scope::ALL);
        let whole: BTreeSet<_> = places.iter().collect();
        for corner in Corner::ALL {
            let order = vehicle::from_corner(*form, &places, *corner);
            assert_eq!(order.len(), places.len(), "{form:?} {corner:?}");
            assert_eq!(order.iter().collect::<BTreeSet<_>>(), whole, "{form:?} {corner:?}");
        }
        assert_eq!(vehicle::from_corner(*form, &places, Corner::FrontLeft), places, "{form:?}");
    }
    let painted = vehicle::painted_panels(Form::Saloon);
    let doors = |corner| -> Vec<&str> {
        let order = vehicle::from_corner(Form::Saloon, &painted, corner);
        order.into_iter().filter(|panel| panel.ends_with("-door")).collect()
    };
    let (left, right) = (["front-left-door", "rear-left-door"], ["front-right-door", "rear-right-door"]);
    let back = |two: [&'static str; 2]| [two[1], two[0]];
    assert_eq!(doors(Corner::FrontLeft), [left, back(right)].concat());
    assert_eq!(doors(Corner::FrontRight), [right, back(left)].concat());
    assert_eq!(doors(Corner::RearLeft), [back(left), right].concat());
    assert_eq!(doors(Corner::RearRight), [back(right), left].concat());
}

/// The next place is the first open one after where the person stands, and at the end of the round what was left out.
#[test]
fn what_comes_next() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 301);
    let begun = now(&phone, job, Corner::FrontLeft, None, None);
    let order: Vec<String> = begun.places.iter().map(|place| place.panel.clone()).collect();
    assert_eq!(begun.at.as_ref(), order.first());
    assert_eq!(begun.next.as_ref(), order.get(1));
    assert!(begun.progress.starts_with("0 of "), "{}", begun.progress);
    // The person goes to the third place and answers from there on; the first two are left for the end.
    for panel in &order[2..] {
        let here = now(&phone, job, Corner::FrontLeft, Some(panel), None);
        assert_eq!(here.at.as_deref(), Some(panel.as_str()));
        phone.put(job, nothing_seen(panel));
    }
    let last = order.last().expect("places");
    let left = now(&phone, job, Corner::FrontLeft, Some(last), None);
    assert_eq!(left.next, Some(order[0].clone()), "round the vehicle to what was left out");
    put(&mut phone, job, mark(&order[0], MarkKind::Dent, 9_000));
    let here = now(&phone, job, Corner::FrontLeft, Some(&order[0]), None);
    assert_eq!((here.at, here.next), (Some(order[0].clone()), Some(order[1].clone())), "a mark answers");
    phone.put(job, nothing_seen(&order[1]));
    let done = now(&phone, job, Corner::FrontLeft, Some(&order[1]), None);
    assert_eq!(done.next, None);
    assert_eq!(done.progress, format!("{0} of {0} places answered", order.len()));
    assert_eq!(now(&phone, job, Corner::FrontLeft, None, None).at, None, "nowhere is left to go");
}

/// What could not be seen on arrival is asked for again after the wash, until somebody looks.
#[test]
fn a_second_look_is_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 302);
    phone.put(job, could_not_see("left-sill", Why::Dirt));
    phone.put(job, walk(Stage::AfterWash));
    let asked = |phone: &Phone| -> Vec<String> {
        let now = now(phone, job, Corner::FrontLeft, None, None);
        now.places.into_iter().filter(|place| place.again).map(|place| place.panel).collect()
    };
    assert_eq!(asked(&phone), ["left-sill"]);
    phone.put(job, nothing_seen("left-sill"));
    assert!(asked(&phone).is_empty());
}

/// Marks of before are offered until they are seen again: those of this job's earlier walk-around, and those of an
/// earlier job only when the person names it.
#[test]
fn known_from_before() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, first) = phone(&folder, 303);
    let dent = put(&mut phone, first, mark("roof", MarkKind::Dent, 9_000));
    let known = |phone: &Phone, job, earlier| -> Vec<(String, String)> {
        let now = now(phone, job, Corner::FrontLeft, None, earlier);
        now.known.into_iter().map(|mark| (mark.panel, mark.text)).collect()
    };
    assert!(known(&phone, first, None).is_empty(), "found in this very walk-around");
    phone.put(first, walk(Stage::Handover));
    assert_eq!(known(&phone, first, None).len(), 1);
    phone.put(first, Act::SeeAgain(SeeAgain { walk: None, mark: dent, job: None, note: None }));
    assert!(known(&phone, first, None).is_empty());

    let second = phone.begin(Form::Hatch5, Stage::AsFound);
    assert!(known(&phone, second, None).is_empty(), "never assumed");
    let offered = known(&phone, second, Some(first));
    assert_eq!(offered.len(), 1);
    assert_eq!(offered[0].0, "roof");
    assert!(offered[0].1.starts_with("dent"), "{}", offered[0].1);
    let again = SeeAgain { walk: None, mark: dent, job: Some(first), note: None };
    phone.put(second, Act::SeeAgain(again));
    assert!(known(&phone, second, Some(first)).is_empty());
    assert_eq!(now(&phone, second, Corner::FrontLeft, None, Some(first)).marks.len(), 1);
}

/// A whole side in passing answers what is left of it, and the walk goes on at the next side.
#[test]
fn a_side_in_passing() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 304);
    let left = PassSide { walk: None, side: WholeSide::Left, light: None, surface: None };
    phone.put(job, Act::PassSide(left));
    let now = now(&phone, job, Corner::FrontLeft, Some("front-bumper"), None);
    let open = |place: &&sidelong_core::record::views::PlaceNow| place.outcome == Outcome::NotLooked;
    assert!(now.places.iter().filter(open).all(|place| place.side != Some(WholeSide::Left)));
    let next = now.next.expect("other sides are open");
    assert_ne!(vehicle::side_of_place(Form::Hatch5, &next), Some(WholeSide::Left));
}

/// A stroke is of the panel on which it begins, whatever it runs over; a touch in one place is a point; beside the
/// vehicle and without numbers there is nothing. What is drawn at a spot is touched at that spot.
#[test]
fn strokes_on_the_drawing() {
    let side = Some(WholeSide::Left);
    let point = |x, y| PointDrawn { x, y };
    for form in [Form::Saloon, Form::Suv, Form::Van, Form::Pickup] {
        let sheet = drawing(form, side, Locale::EnGb);
        assert!(!sheet.lines.is_empty());
        for place in &sheet.places {
            let middle = Spot { u_ppm: 500_000, v_ppm: 800_000 };
            let Some(at) = drawn_at(form, side, place.panel.clone(), middle) else {
                panic!("{form:?}: {} is touched and not drawn", place.panel)
            };
            let touched = stroke_on(form, side, None, 0.0, at, at, Locale::EnGb).expect("on the vehicle");
            assert_eq!(touched.to, None, "one place is a point");
            // What faces another way, or is round, is drawn here from the side: only the nearest spot of it.
            let faces = vehicle::side_of_place(form, &place.panel) == side
                && vehicle::painted_panels(form).contains(&place.panel.as_str());
            if touched.panel == place.panel && faces {
                let far =
                    touched.from.u_ppm.abs_diff(middle.u_ppm).max(touched.from.v_ppm.abs_diff(middle.v_ppm));
                assert!(far < 30_000, "{form:?} {}: {touched:?}", place.panel);
            }
            let beyond = point(at.x + 2_000.0, at.y - 2_000.0);
            let long = stroke_on(form, side, None, 0.0, at, beyond, Locale::EnGb).expect("on the vehicle");
            assert_eq!(long.panel, touched.panel, "a stroke is of the panel on which it begins");
            let end = long.to.expect("a stroke has an end");
            assert!(end.u_ppm <= 1_000_000 && end.v_ppm <= 1_000_000);
        }
    }
    let nowhere = [point(f32::NAN, 1.0), point(-5_000.0, 0.0), point(f32::INFINITY, f32::NEG_INFINITY)];
    for from in nowhere {
        assert_eq!(stroke_on(Form::Saloon, side, None, 0.0, from, from, Locale::EnGb), None);
    }
    let sheet = drawing(Form::Saloon, side, Locale::EnGb);
    let door = sheet.places.iter().find(|place| place.panel == "front-left-door").expect("a door");
    assert_eq!(door.name, "left front door");
    let at = drawn_at(Form::Saloon, side, door.panel.clone(), Spot { u_ppm: 500_000, v_ppm: 500_000 })
        .expect("drawn");
    let lost = stroke_on(Form::Saloon, side, None, 0.0, at, point(f32::NAN, f32::NAN), Locale::EnGb)
        .expect("begins on it");
    assert_eq!(lost.to, None, "an end that is no number is no end");
}

/// Every painted panel, window and wheel is drawn somewhere and can be touched there. What is said to be drawn is; inside
/// places are not, and a lamp within another one may be too small: those are gone to by name.
#[test]
fn every_panel_is_drawn_somewhere() {
    for form in Form::ALL {
        let painted = vehicle::painted_panels(*form);
        for place in vehicle::asked_for(*form, Scope::ALL) {
            let drawn = vehicle::drawn_on(*form, place);
            let outside = !vehicle::is_inside(place);
            let large = painted.contains(&place)
                || (outside && (place.ends_with("-glass") || place.ends_with("-wheel")));
            assert!(drawn.is_some() || !large, "{form:?} {place}");
            assert!(drawn.is_none() || !vehicle::is_inside(place), "{form:?} {place}");
            if drawn.is_some() {
                let sheet = drawing(*form, drawn, Locale::EnGb);
                assert!(sheet.places.iter().any(|it| it.panel == place), "{form:?} {place}");
            }
        }
    }
}

/// Where the person stands counts larger than it is drawn: beside a thin sill a touch is still the sill, and beyond that
/// reach it points at the neighbour.
#[test]
fn where_one_stands_is_touched_first() {
    let (form, side) = (Form::Saloon, Some(WholeSide::Left));
    let spot = Spot { u_ppm: 500_000, v_ppm: 400_000 };
    let door = drawn_at(form, side, "front-left-door".to_owned(), spot).expect("drawn");
    let touch = |at: Option<&str>, reach| {
        stroke_on(form, side, at.map(str::to_owned), reach, door, door, Locale::EnGb).expect("on the vehicle")
    };
    let plain = touch(None, 0.0);
    assert_eq!((plain.panel.as_str(), plain.here), ("front-left-door", false));
    let elsewhere = touch(Some("left-sill"), 0.0);
    assert_eq!((elsewhere.panel.as_str(), elsewhere.here), ("front-left-door", false), "points at the door");
    let near = touch(Some("left-sill"), 200.0);
    assert_eq!((near.panel.as_str(), near.here), ("left-sill", true));
    let stands = touch(Some("front-left-door"), 0.0);
    assert_eq!((stands.panel.as_str(), stands.here), ("front-left-door", true));
    assert!(touch(Some("front-left-door"), f32::NAN).here);
    assert!(!touch(Some("no-such-place"), 200.0).here);
}

/// Every kind is offered somewhere, each place is offered "other" last, and no kind twice.
#[test]
fn kinds_for_every_place() {
    let mut offered = BTreeSet::new();
    for form in Form::ALL {
        for panel in vehicle::panels_in_walking_order(*form).into_iter().chain(vehicle::inside_places(*form))
        {
            let kinds = kinds_offered(*form, panel.to_owned());
            assert_eq!(kinds.last(), Some(&MarkKind::Other), "{panel}");
            assert_eq!(kinds.iter().collect::<BTreeSet<_>>().len(), kinds.len(), "{panel}");
            offered.extend(kinds);
        }
    }
    let missing: Vec<_> = MarkKind::ALL.iter().filter(|kind| !offered.contains(kind)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// The owner is asked mark by mark, and today's list holds what was opened today.
#[test]
fn today_and_what_the_owner_is_asked() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 305);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    let asked = phone.open().items_asked(job.to_string(), Locale::EnGb).expect("items");
    assert_eq!(asked.len(), 1);
    assert_eq!(id(&asked[0].entry), dent);
    assert!(asked[0].text.starts_with("Mark 1, roof: dent"), "{}", asked[0].text);
    assert_eq!(asked[0].found, "found on arrival");
    let today = phone.open().today(Locale::EnGb).expect("today");
    assert_eq!(today.jobs.iter().map(|line| id(&line.job)).collect::<Vec<_>>(), [job]);
    phone.clock.set(sidelong_tests::MORNING_MS + 86_400_000);
    assert!(phone.open().today(Locale::EnGb).expect("tomorrow").jobs.is_empty());
    assert!(phone.open().is_recorded(dent).expect("asked"));
    assert!(!phone.open().is_recorded(Uuid::nil()).expect("asked"));
    let ids: BTreeSet<Uuid> = (0..100).map(|_| phone.open().new_id().expect("an id")).collect();
    assert_eq!(ids.len(), 100);
    assert!(ids.iter().all(|id| id.get_version_num() == 7), "RFC 9562 section 5.7");
}
