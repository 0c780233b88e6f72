//! Looks under a light, what could have been seen, and missed spots, through the door.

use sidelong_core::api::{BlankAsk, NextAsk, stand_beside};
use sidelong_core::error::Error;
use sidelong_core::light::sun::{Observer, sun};
use sidelong_core::light::{self, sunlit::towards};
use sidelong_core::record::inputs::{
    Act, BeginWalk, Earth, Ground, Heading, PanelSpot, PassCustody, RecordLook, Spot, SweepPoint,
};
use sidelong_core::record::views::LightView;
use sidelong_core::record::words::{
    Ambient, Custody, Distance, Form, HeadingFrom, Kept, Light, Locale, MarkKind, Party, Stage, Surface,
    WayOfLooking, WholeSide,
};
use sidelong_core::vehicle;
use sidelong_tests::{MORNING_MS, Phone, bare_look, mark};
use std::sync::atomic::Ordering;
use uuid::Uuid;

/// An invented yard.
const YARD: Earth = Earth { lat_udeg: 52_000_000, lon_udeg: -1_000_000, height_m: Some(80) };
/// Which way the invented car stands.
const HEADING_DEG: f64 = 205.0;

pub fn spot(u: u32, v: u32) -> Spot {
    Spot { u_ppm: u, v_ppm: v }
}

/// A close, patient look at a clean panel, with nothing else said.
fn look(light: Light, stand: Ground, image: Option<(&str, Spot)>) -> RecordLook {
    RecordLook {
        image: image.map(|(panel, at)| PanelSpot { panel: panel.to_owned(), at }),
        surface: Some(Surface::Clean),
        ambient: Some(Ambient::Indoors),
        distance: Some(Distance::Close),
        spent_ms: Some(60_000),
        ..bare_look(light, stand)
    }
}

pub fn saloon(folder: &tempfile::TempDir, seed: u64) -> (Phone, Uuid) {
    let mut phone = Phone::new(&folder.path().join(seed.to_string()), seed);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    (phone, job)
}

fn seen(phone: &Phone, job: Uuid) -> LightView {
    phone.open().light(job.to_string(), Locale::EnGb).expect("the job is here")
}

pub fn field(refused: Result<sidelong_core::api::Changes, Error>) -> (String, String) {
    match refused {
        Err(Error::Refused { field, reason }) => (field, reason),
        other => panic!("not refused: {other:?}"),
    }
}

/// The sun above the yard at the phone's next reading of its clock.
fn sun_now(phone: &Phone) -> (f64, f64) {
    let at = phone.clock.at_ms.load(Ordering::Relaxed);
    let place = Observer { height_m: 80.0, ..Observer::at(52.0, -1.0) };
    let sun = sun(at, &place).expect("a sun");
    (sun.azimuth_deg, sun.apparent_elevation_deg)
}

/// Where a person stands who sees the sun glare on a place of the car that stands as it does.
fn glare(phone: &Phone, panel: &str) -> Option<(Ground, Spot)> {
    let (azimuth, elevation) = sun_now(phone);
    let way = towards(azimuth, elevation, HEADING_DEG);
    let body = light::body(Form::Saloon);
    let ppm = (1..20).map(|k| k * 50_000);
    let places = ppm.clone().flat_map(|u| ppm.clone().map(move |v| spot(u, v)));
    for at in places {
        let site = body.site(panel, at.u_ppm, at.v_ppm).expect("a place");
        let up: f64 = site.place.normal.iter().zip(way).map(|(n, l)| n * l).sum();
        let mirrored = [0, 1, 2].map(|i| 2.0 * up * site.place.normal[i] - way[i]);
        if up <= 0.05 || mirrored[2] <= 0.05 {
            continue;
        }
        // So far along it that the eye is as high as a standing person's.
        let far = (light::ways::STANDING_M - site.place.at[2]) / mirrored[2];
        let eye = [0, 1, 2].map(|i| site.place.at[i] + far * mirrored[i]);
        if (0.4..2.5).contains(&far) && body.sees(&site, eye) && !body.blocker.holds([eye[0], eye[1], 0.6]) {
            let mm = |m: f64| (m * 1_000.0).round() as i32;
            return Some((Ground { x_mm: mm(eye[0]), y_mm: mm(eye[1]) }, at));
        }
    }
    None
}

/// A place that glares on any painted panel.
fn any_glare(phone: &Phone) -> (&'static str, Ground, Spot) {
    let mut painted = vehicle::painted_panels(Form::Saloon).into_iter();
    painted
        .find_map(|panel| glare(phone, panel).map(|(stand, at)| (panel, stand, at)))
        .expect("the sun glares somewhere")
}

#[test]
fn two_touches_in_the_sun_fix_the_heading() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 1);
    let (panel, stand, at) = any_glare(&phone);
    let mut act = look(Light::Sun, stand, Some((panel, at)));
    act.earth = Some(YARD);
    phone.put(job, Act::RecordLook(act.clone()));
    let view = seen(&phone, job);
    let heading = view.looks[0].heading.clone().expect("a heading");
    let degrees: f64 = heading
        .split("about ")
        .nth(1)
        .and_then(|it| it.split('°').next())
        .expect("degrees")
        .parse()
        .expect("a number");
    let within: f64 = heading
        .split("within ")
        .nth(1)
        .and_then(|it| it.split('°').next())
        .expect("degrees")
        .parse()
        .expect("a number");
    assert!((degrees - HEADING_DEG).abs() <= within && within < 40.0, "{heading}");
    assert!(
        view.looks[0].shows.starts_with("could have shown, where light and eye were right: fine lines, "),
        "{:?}",
        view.looks[0].shows
    );
    assert_eq!(view.seen.len(), 1);
    assert!(
        view.seen[0].panels.iter().any(|it| it.panel == panel && it.fine_line_ppm > 0),
        "{:?}",
        view.seen[0]
    );
    // The other panels were not looked at, though the light fell on them too.
    assert_eq!(view.seen[0].panels.len(), 1);

    // A later look without an image has the heading of the first one, until the vehicle is moved.
    let mut later = look(Light::Sun, stand, None);
    later.earth = Some(YARD);
    later.panels = vec![panel.to_owned()];
    phone.put(job, Act::RecordLook(later.clone()));
    assert!(
        seen(&phone, job).looks[1].heading.as_ref().is_some_and(|it| it.contains("as in an earlier look"))
    );
    phone.put(
        job,
        Act::PassCustody(PassCustody {
            what: Custody::Vehicle,
            from: Party::Detailer,
            to: Party::Detailer,
            keys: None,
            note: None,
        }),
    );
    phone.put(job, Act::RecordLook(later.clone()));
    let view = seen(&phone, job);
    assert_eq!(view.looks[2].heading, None);
    assert_eq!(view.looks[2].shows, "counts as not seen: which way the car pointed is not known");
    // A street says it too.
    later.heading = Some(Heading { mdeg: 205_000, plus_minus_mdeg: 5_000, from: HeadingFrom::Street });
    phone.put(job, Act::RecordLook(later));
    assert!(
        seen(&phone, job).looks[3]
            .heading
            .as_ref()
            .is_some_and(|it| it.contains("205°") && it.contains("street"))
    );
}

#[test]
fn a_second_glare_checks_the_first() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 2);
    let (panel, stand, at) = any_glare(&phone);
    let mut act = look(Light::Sun, stand, Some((panel, at)));
    act.earth = Some(YARD);
    phone.put(job, Act::RecordLook(act.clone()));
    phone.put(job, Act::RecordLook(act.clone()));
    assert!(seen(&phone, job).looks.iter().all(|look| look.flags.is_empty()), "the same again agrees");
    // The car is turned round and nobody says so: three hours later the same glare says another heading.
    phone.clock.at_ms.fetch_add(5 * 3_600_000, Ordering::Relaxed);
    let mut other = None;
    for panel in vehicle::painted_panels(Form::Saloon) {
        // As if the car stood the other way round: stand and image mirrored front to rear are those of another heading.
        if let Some((stand, at)) = glare(&phone, panel) {
            other = Some((panel, stand, at));
            break;
        }
    }
    let (panel, stand, at) = other.expect("a glare");
    let mut act = look(Light::Sun, stand, Some((panel, at)));
    act.earth = Some(Earth { lon_udeg: YARD.lon_udeg, ..YARD });
    phone.clock.at_ms.fetch_add(-4 * 3_600_000, Ordering::Relaxed);
    match phone.record(job, Act::RecordLook(act)) {
        Ok(_) => {
            let view = seen(&phone, job);
            assert!(
                view.looks[2].flags.iter().any(|flag| flag.contains("one of the touches is off")),
                "{:?}",
                view.looks[2]
            );
        }
        // The sun's height alone may tell that it cannot have been so.
        Err(Error::Refused { field, reason }) => {
            assert!(field.ends_with("image") && reason.contains("degrees high"), "{field}: {reason}")
        }
        Err(why) => panic!("{why}"),
    }
}

#[test]
fn what_nobody_said_counts_as_not_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 3);
    let stand = stand_beside(Form::Saloon, "front-left-door".to_owned(), spot(500_000, 500_000), 700)
        .expect("a place");
    let lamp = look(Light::Point, stand, Some(("front-left-door", spot(500_000, 600_000))));
    let cases: [(RecordLook, &str); 8] = [
        (RecordLook { surface: None, ..lamp.clone() }, "state of the surface not stated"),
        (RecordLook { surface: Some(Surface::Dirty), ..lamp.clone() }, "dirt hid it"),
        (RecordLook { ambient: None, ..lamp.clone() }, "other light not stated"),
        (RecordLook { ambient: Some(Ambient::Daylight), ..lamp.clone() }, "daylight outshone the lamp"),
        (RecordLook { distance: None, ..lamp.clone() }, "distance not stated"),
        (RecordLook { spent_ms: Some(4_000), ..lamp.clone() }, "less time than such a look takes"),
        (
            RecordLook { image: None, panels: vec!["front-left-door".to_owned()], ..lamp.clone() },
            "where the lamp was is not known",
        ),
        (
            RecordLook {
                light: Light::Sun,
                image: None,
                panels: vec!["front-left-door".to_owned()],
                ..lamp.clone()
            },
            "where the sun stood is not known",
        ),
    ];
    for (at, (act, reason)) in cases.into_iter().enumerate() {
        phone.put(job, Act::RecordLook(act));
        let view = seen(&phone, job);
        assert_eq!(view.looks[at].shows, format!("counts as not seen: {reason}"));
        let door = &view.seen[0].panels[0];
        assert_eq!((door.fine_line_ppm, door.text.as_str()), (0, "no look could have shown anything here"));
    }
    phone.put(job, Act::RecordLook(lamp));
    let view = seen(&phone, job);
    let door = &view.seen[0].panels[0];
    assert!(door.fine_line_ppm > 0 && door.text.contains("fine lines"), "{door:?}");
    // In the shade it is one touch: soft light, no image.
    let soft = RecordLook {
        image: None,
        panels: vec!["front-left-door".to_owned()],
        ambient: Some(Ambient::Shade),
        ..look(Light::Soft, stand, None)
    };
    phone.put(job, Act::RecordLook(soft));
    let door = &seen(&phone, job).seen[0].panels[0];
    assert!(door.tone_ppm > 900_000, "{door:?}");
}

#[test]
fn what_cannot_have_been_is_refused_with_its_reason() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 4);
    let door = ("front-left-door", spot(500_000, 600_000));
    let stand = stand_beside(Form::Saloon, door.0.to_owned(), door.1, 700).expect("a place");
    let lamp = look(Light::Point, stand, Some(door));
    let far = Ground { x_mm: 0, y_mm: 20_001 };
    let point = SweepPoint { yaw_mdeg: 0, pitch_mdeg: 0 };
    let heading = |mdeg, from| Some(Heading { mdeg, plus_minus_mdeg: 0, from });
    let cases: Vec<(RecordLook, &str, &str)> = vec![
        (
            RecordLook { stand: Ground { x_mm: 0, y_mm: 0 }, way: WayOfLooking::Crouching, ..lamp.clone() },
            "stand",
            "inside the vehicle",
        ),
        (RecordLook { stand: far, ..lamp.clone() }, "stand.y_mm", "20001 mm"),
        (RecordLook { to: Some(stand), way: WayOfLooking::WalkingAlong, ..lamp.clone() }, "to", "no length"),
        (RecordLook { lamp_mm: Some(10), ..lamp.clone() }, "lamp_mm", "50 to 10000"),
        (
            RecordLook {
                image: Some(PanelSpot { panel: "front-right-door".to_owned(), at: door.1 }),
                ..lamp.clone()
            },
            "image",
            "cannot be seen",
        ),
        (
            RecordLook { image: Some(PanelSpot { panel: "no-such".to_owned(), at: door.1 }), ..lamp.clone() },
            "image.panel",
            "no place called",
        ),
        (
            RecordLook {
                image: Some(PanelSpot { panel: "driver-seat".to_owned(), at: door.1 }),
                ..lamp.clone()
            },
            "image.panel",
            "inside the vehicle",
        ),
        (
            RecordLook {
                image: Some(PanelSpot { panel: "roof".to_owned(), at: spot(1_000_001, 0) }),
                ..lamp.clone()
            },
            "image.at.u_ppm",
            "off the panel",
        ),
        (
            RecordLook { panels: vec!["roof".to_owned(), "no-such".to_owned()], ..lamp.clone() },
            "panels[1]",
            "no place called",
        ),
        (RecordLook { image: None, ..lamp.clone() }, "panels", "say what was looked at"),
        (RecordLook { light: Light::Soft, ..lamp.clone() }, "image", "no image to touch"),
        (RecordLook { light: Light::Line, sweep: vec![point], ..lamp.clone() }, "sweep", "only a point lamp"),
        (RecordLook { sweep: vec![point; 1_001], ..lamp.clone() }, "sweep", "at most 1000"),
        (
            RecordLook { sweep: vec![SweepPoint { yaw_mdeg: 180_001, pitch_mdeg: 0 }], ..lamp.clone() },
            "sweep[0].yaw_mdeg",
            "180000",
        ),
        (
            RecordLook { heading: heading(360_000, HeadingFrom::Street), ..lamp.clone() },
            "heading.mdeg",
            "359999",
        ),
        (
            RecordLook { heading: heading(0, HeadingFrom::Glare), ..lamp.clone() },
            "heading.from",
            "street or a compass",
        ),
        (RecordLook { spent_ms: Some(3_600_001), ..lamp.clone() }, "spent_ms", "3600000"),
        (
            RecordLook {
                light: Light::Sun,
                earth: Some(Earth { lat_udeg: 90_000_001, ..YARD }),
                ..lamp.clone()
            },
            "earth",
            "latitude",
        ),
    ];
    for (act, wanted, reason) in cases {
        let (at, why) = field(phone.record(job, Act::RecordLook(act)));
        assert!(at == format!("act.record_look.{wanted}") && why.contains(reason), "{wanted}: {at}: {why}");
    }
    // A door hangs upright: no sun late in the evening stands so high that it glares there.
    phone.clock.at_ms.store(MORNING_MS + 12 * 3_600_000 + 1_800_000, Ordering::Relaxed);
    let bonnet = ("bonnet", spot(500_000, 500_000));
    let beside = Ground { x_mm: 1_300, y_mm: 1_300 };
    let low = RecordLook { earth: Some(YARD), ..look(Light::Sun, beside, Some(bonnet)) };
    let (at, why) = field(phone.record(job, Act::RecordLook(low)));
    assert!(at.ends_with("image") && why.contains("the sun stands at"), "{at}: {why}");
    phone.clock.at_ms.store(MORNING_MS + 16 * 3_600_000, Ordering::Relaxed);
    let night = RecordLook { earth: Some(YARD), ..look(Light::Sun, beside, Some(bonnet)) };
    let (at, why) = field(phone.record(job, Act::RecordLook(night)));
    assert!(at.ends_with("light") && why.contains("below the horizon"), "{at}: {why}");
    assert_eq!(seen(&phone, job).looks.len(), 0, "nothing of it was recorded");
}

/// A blank speaks both ways: a look that could have shown a mark and recorded none, or no look that could have.
#[test]
fn a_blank_is_evidence_or_is_said_not_to_be() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 5);
    let door = "front-left-door";
    let stand = stand_beside(Form::Saloon, door.to_owned(), spot(500_000, 500_000), 600).expect("a place");
    let soft = RecordLook {
        panels: vec![door.to_owned()],
        image: None,
        ambient: Some(Ambient::Shade),
        ..look(Light::Soft, stand, None)
    };
    let first = phone.put(job, Act::RecordLook(soft));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    phone.put(job, mark(door, MarkKind::CoatingHighSpot, 30_000));
    phone.put(job, mark(door, MarkKind::Scratch, 60_000));
    phone.put(job, mark("bonnet", MarkKind::CoatingHighSpot, 30_000));
    phone.put(job, mark(door, MarkKind::Smell, 30_000));
    let view = seen(&phone, job);
    let text = |mark: &str| {
        let marks = phone.view(job).marks;
        let id = &marks.iter().find(|it| it.label == mark).expect("the mark").id;
        let own = view.blanks.iter().find(|it| it.mark == *id).expect("its stages");
        assert_eq!(own.stages.len(), 1);
        (own.stages[0].look.clone(), own.stages[0].text.clone())
    };
    let (look_id, said) = text("1");
    assert_eq!(look_id, Some(first.input));
    assert!(
        said.starts_with("as found on arrival: could have been seen in the look of")
            && said.contains("if it was made as stated; no mark was recorded"),
        "{said}"
    );
    // Soft light shows no scratch, and nobody looked at the bonnet.
    for mark in ["2", "3"] {
        assert_eq!(
            text(mark),
            (None, "as found on arrival: no look on record could have shown it".to_owned())
        );
    }
    assert_eq!(view.blanks.len(), 3, "light tells no smell");
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(
        page.contains("Could have been seen in the look of")
            || page.contains("could have been seen in the look of")
    );
    assert!(
        page.contains("No look on record could have shown it")
            || page.contains("no look on record could have shown it")
    );
    assert!(!page.contains("would have been seen"));

    // The same, asked of a place.
    let ask = BlankAsk {
        panel: door.to_owned(),
        at: spot(480_000, 500_000),
        to: Some(spot(520_000, 505_000)),
        kind: MarkKind::CoatingHighSpot,
        size_um: Some(30_000),
    };
    let stages = phone.open().blank(job.to_string(), ask.clone(), Locale::EnGb).expect("an answer");
    assert_eq!(stages.iter().map(|it| it.stage).collect::<Vec<_>>(), [Stage::AsFound, Stage::AfterWash]);
    assert!(stages[0].look.is_some() && stages[1].mark.as_deref() == Some("1"), "{stages:?}");
    for (bad, wanted) in [
        (BlankAsk { panel: "no-such".to_owned(), ..ask.clone() }, "panel"),
        (BlankAsk { to: Some(ask.at), ..ask.clone() }, "to"),
        (BlankAsk { size_um: Some(0), ..ask.clone() }, "size_um"),
    ] {
        assert!(
            matches!(phone.open().blank(job.to_string(), bad, Locale::EnGb), Err(Error::Refused { field, .. }) if field == wanted)
        );
    }
}

/// A place on earth can be erased; what was seen stays.
#[test]
fn the_place_on_earth_is_erased_and_what_was_seen_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 6);
    let (panel, stand, at) = any_glare(&phone);
    let act = RecordLook { earth: Some(YARD), ..look(Light::Sun, stand, Some((panel, at))) };
    phone.put(job, Act::RecordLook(act));
    let before = seen(&phone, job);
    let next = NextAsk {
        light: Light::Sun,
        at_ms: MORNING_MS + 60_000,
        blocked: Vec::new(),
        panels: vec![panel.to_owned()],
        stage: None,
        count: 1,
    };
    phone.open().next_looks(job.to_string(), next.clone(), Locale::EnGb).expect("the sun is known");
    phone
        .open()
        .erase_job(job.to_string(), vec![Kept::Texts], "asked for".to_owned(), Locale::EnGb)
        .expect("erases");
    assert_eq!(seen(&phone, job), before);
    let refused =
        phone.open().next_looks(job.to_string(), next, Locale::EnGb).expect_err("where on earth is gone");
    assert!(refused.to_string().contains("where on earth"), "{refused}");
}

#[test]
fn the_next_place_is_one_that_can_be_stood_at() {
    let folder = tempfile::tempdir().expect("a folder");
    let (phone, job) = saloon(&folder, 7);
    let ask = NextAsk {
        light: Light::Point,
        at_ms: 0,
        blocked: vec![WholeSide::Left, WholeSide::Front],
        panels: vec!["decklid".to_owned()],
        stage: None,
        count: 2,
    };
    let places = phone.open().next_looks(job.to_string(), ask.clone(), Locale::EnGb).expect("places");
    assert!(!places.is_empty());
    for place in &places {
        assert!(place.text.contains("boot lid") && place.adds_ppm > 0, "{place:?}");
        assert!(place.y_mm < 900 && place.x_mm < 2_500, "not on a blocked side: {place:?}");
    }
    for (bad, wanted) in [
        (NextAsk { count: 0, ..ask.clone() }, "count"),
        (NextAsk { blocked: vec![WholeSide::Top], ..ask.clone() }, "blocked"),
        (NextAsk { panels: vec!["no-such".to_owned()], ..ask.clone() }, "panels[0]"),
        (NextAsk { light: Light::Soft, ..ask.clone() }, "light"),
        (NextAsk { light: Light::Sun, ..ask }, "light"),
    ] {
        let refused = phone.open().next_looks(job.to_string(), bad, Locale::EnGb);
        assert!(
            matches!(&refused, Err(Error::Refused { field, .. }) if field == wanted),
            "{wanted}: {refused:?}"
        );
    }
}
