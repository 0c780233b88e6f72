//! Waits, habits and when to look again.

use super::*;

/// 9 June 2026, 15:20 in London (UTC+1), ms.
const FINISHED_MS: i64 = 1_781_014_800_000;
const HOUR_MS: i64 = 3_600_000;

/// As a job records them, gaps filled.
fn sheets() -> Vec<Sheet> {
    own().iter().map(|own| sheet::fill(own).unwrap().sheet).collect()
}

fn own() -> Vec<Sheet> {
    sheet::read(
        br#"[
          {"name":"Own ceramic","version":1,"kind":"ceramic","waits":{"touch":{"least_s":3600},"rain":{"least_s":86400},
           "wash":{"least_s":604800},"chemicals":{"least_s":604800},"full":{"least_s":1209600}},
           "life":{"least_days":400,"most_days":800}},
          {"name":"Own wax","version":1,"kind":"wax","waits":{"rain":{"least_s":3600,"most_s":14400}},
           "life":{"least_days":30,"most_days":60}},
          {"name":"Own leather","version":1,"kind":"leather-care","waits":{"touch":{"least_s":7200}},
           "life":{"least_days":100,"most_days":200}}
        ]"#,
    )
    .unwrap()
}

fn laid(place: &str, kind: SurfaceKind, step: Step, name: &str) -> Laid {
    let sheet = Some(SheetRef { name: name.to_owned(), version: 1 });
    Laid { place: place.to_owned(), kind, step, sheet, finished_ms: FINISHED_MS }
}

fn ceramic() -> Laid {
    laid("bonnet", SurfaceKind::PaintSolid, Step::Ceramic, "Own ceramic")
}

fn wax() -> Laid {
    laid("roof", SurfaceKind::PaintSolid, Step::Wax, "Own wax")
}

fn leather() -> Laid {
    laid("driver-seat", SurfaceKind::LeatherCoated, Step::LeatherCare, "Own leather")
}

fn until(after: &Aftercare, wait: Wait) -> Option<i64> {
    after.lines.iter().find(|line| line.wait == Some(wait)).and_then(|line| line.until_ms)
}

/// Coating finished 9 June 2026 15:20, sheet: keep dry 24 h, no wash 7 days, full 14 days.
#[test]
fn the_waits_end_when_the_sheet_says() {
    let after = aftercare(&[ceramic()], &sheets(), &CarUse::default()).unwrap();
    for (wait, hours) in [
        (Wait::Touch, 1),
        (Wait::Rain, 24),
        (Wait::Wash, 7 * 24),
        (Wait::Chemicals, 7 * 24),
        (Wait::Full, 14 * 24),
    ] {
        assert_eq!(until(&after, wait), Some(FINISHED_MS + hours * HOUR_MS), "{wait:?}");
    }
    // London keeps UTC+1 all along, so the clock shows 15:20 each time.
    let spoken = |wait| crate::record::times::spoken(until(&after, wait).unwrap(), 60, "");
    assert!(spoken(Wait::Rain).starts_with("Wed 10 June 2026, 15:20:00"), "{}", spoken(Wait::Rain));
    assert!(spoken(Wait::Wash).starts_with("Tue 16 June 2026, 15:20:00"));
    assert!(spoken(Wait::Full).starts_with("Tue 23 June 2026, 15:20:00"));
    let dry = after.lines.iter().find(|line| line.wait == Some(Wait::Rain)).unwrap();
    assert_eq!(dry.say("Wed 15:20"), "Keep it dry until Wed 15:20; blot off any water at once.");
    assert!(after.notes.is_empty(), "{:?}", after.notes);
}

#[test]
fn of_sheets_that_differ_the_later_wait_counts_and_both_are_named() {
    let after = aftercare(&[wax(), ceramic()], &sheets(), &CarUse::default()).unwrap();
    assert_eq!(until(&after, Wait::Rain), Some(FINISHED_MS + 24 * HOUR_MS));
    let dry = after.lines.iter().find(|line| line.wait == Some(Wait::Rain)).unwrap();
    assert_eq!(dry.because, "Own ceramic (ceramic coating) on bonnet");
    let note = after.notes.iter().find(|note| note.starts_with("Keeping dry")).unwrap();
    assert!(note.contains("Own wax (wax) on roof") && note.contains("the later one counts"), "{note}");
    // The careful end of a range.
    let after = aftercare(&[wax()], &sheets(), &CarUse::default()).unwrap();
    assert_eq!(until(&after, Wait::Rain), Some(FINISHED_MS + 4 * HOUR_MS));
    // The same sheet finished at two times is no contradiction.
    let later = Laid { place: "boot-lid".to_owned(), finished_ms: FINISHED_MS + HOUR_MS, ..ceramic() };
    let after = aftercare(&[ceramic(), later], &sheets(), &CarUse::default()).unwrap();
    assert_eq!(until(&after, Wait::Rain), Some(FINISHED_MS + 25 * HOUR_MS));
    assert!(after.notes.is_empty(), "{:?}", after.notes);
}

#[test]
fn inside_and_outside_have_their_own_clocks() {
    let after = aftercare(&[ceramic(), leather()], &sheets(), &CarUse::default()).unwrap();
    let touch: Vec<&Line> = after.lines.iter().filter(|line| line.wait == Some(Wait::Touch)).collect();
    assert_eq!(touch.len(), 2);
    assert!(touch[1].text.contains("sits") && touch[1].until_ms == Some(FINISHED_MS + 2 * HOUR_MS));
    // What the sheet leaves out is common practice: leather stays dry up to 24 h.
    let inside_dry = after.lines.iter().find(|line| line.text.contains("inside dry")).unwrap();
    assert_eq!(inside_dry.until_ms, Some(FINISHED_MS + 24 * HOUR_MS));
}

#[test]
fn each_habit_stands_where_it_belongs() {
    let said = |laid: &[Laid]| -> String {
        let after = aftercare(laid, &sheets(), &CarUse::default()).unwrap();
        after.lines.iter().filter(|line| line.wait.is_none()).map(|line| line.text.clone()).collect()
    };
    let glass = Laid { sheet: None, ..laid("windscreen", SurfaceKind::Glass, Step::GlassCoating, "") };
    let tyre = Laid { sheet: None, ..laid("tyre", SurfaceKind::TyreWall, Step::TyreDressing, "") };
    for (layer, words, not) in [
        (ceramic(), "bird marks two buckets tunnel 2 to 4 weeks", "wipers"),
        (wax(), "bird marks", "2 to 4 weeks"),
        (glass, "wipers", "child seats"),
        (tyre, "sling", "bird marks"),
        (leather(), "child seats", "tunnel"),
    ] {
        let said = said(std::slice::from_ref(&layer));
        let missing = words.split(' ').find(|word| !said.contains(word));
        assert!(missing.is_none() && !said.contains(not), "{layer:?}: {missing:?} in {said}");
    }
}

#[test]
fn use_shortens_a_life_and_says_why() {
    let days = |layer: Laid, car: CarUse| {
        let after = aftercare(&[layer], &sheets(), &car).unwrap();
        let again = &after.look_again[0];
        let day = |ms: i64| (ms - FINISHED_MS) / DAY_MS;
        (day(again.from_ms), day(again.by_ms), again.reasons.len())
    };
    let none = CarUse::default();
    let outside = CarUse { sleeps: Some(Sleeps::Outside), ..none };
    let tunnel = CarUse { washed: Some(WashHabit::Tunnel), ..none };
    let km = CarUse { km_a_year: Some(20_001), ..none };
    let (heat, salt) = (CarUse { heat: true, ..none }, CarUse { salt: true, ..none });
    let old = CarUse { age_years: Some(9), ..none };
    assert_eq!(days(ceramic(), none), (400, 800, 1));
    for (car, on_paint, on_leather) in [
        (outside, (320, 640, 2), (80, 160, 2)),
        (km, (320, 640, 2), (80, 160, 2)),
        (heat, (320, 640, 2), (80, 160, 2)),
        (salt, (320, 640, 2), (100, 200, 1)),
        (tunnel, (240, 480, 2), (100, 200, 1)),
        (old, (400, 800, 1), (80, 160, 2)),
    ] {
        assert_eq!(days(ceramic(), car), on_paint, "{car:?}");
        assert_eq!(days(leather(), car), on_leather, "{car:?}");
    }
    // What is not bad shortens nothing, and nothing lengthens.
    let kind = CarUse {
        km_a_year: Some(20_000),
        sleeps: Some(Sleeps::Garage),
        washed: Some(WashHabit::Hand),
        age_years: Some(8),
        ..none
    };
    assert_eq!(days(ceramic(), kind), (400, 800, 1));
    // All together: 0.8 × 0.8 × 0.8 × 0.6 × 0.8 is under a quarter, and a quarter is what is left.
    let worst =
        CarUse { km_a_year: Some(50_000), sleeps: Some(Sleeps::Outside), heat: true, salt: true, ..tunnel };
    assert_eq!(days(ceramic(), worst), (100, 200, 6));

    let after = aftercare(&[ceramic()], &sheets(), &heat).unwrap();
    let again = &after.look_again[0];
    // 320 days of 86,400,000 ms.
    assert_eq!(again.from_ms - FINISHED_MS, 27_648_000_000);
    assert_eq!(again.reasons, ["Own ceramic: 13 to 26 months", "heat and strong sun"]);
    assert!(
        again.text.contains("after about 11 to 21 months") && again.text.contains("suggestion"),
        "{}",
        again.text
    );
}

#[test]
fn the_newest_coat_counts_and_the_soonest_comes_first() {
    let again = Laid { finished_ms: FINISHED_MS + 10 * DAY_MS, ..ceramic() };
    let after = aftercare(&[ceramic(), again.clone(), again, wax()], &sheets(), &CarUse::default()).unwrap();
    let found: Vec<(&str, i64)> =
        after.look_again.iter().map(|it| (it.place.as_str(), (it.from_ms - FINISHED_MS) / DAY_MS)).collect();
    assert_eq!(found, [("roof", 30), ("bonnet", 410)]);
}

#[test]
fn layers_of_one_place_and_places_of_one_layer_are_told_apart() {
    let waxed = Laid { place: "bonnet".to_owned(), finished_ms: FINISHED_MS + DAY_MS, ..wax() };
    let roof = Laid { place: "roof".to_owned(), finished_ms: FINISHED_MS + 2 * DAY_MS, ..ceramic() };
    let after = aftercare(&[ceramic(), waxed, roof], &sheets(), &CarUse::default()).unwrap();
    let mut found: Vec<String> =
        after.look_again.iter().map(|it| format!("{} {}", it.place, it.step.word())).collect();
    found.sort();
    assert_eq!(found, ["bonnet ceramic", "bonnet wax", "roof ceramic"]);
    // One habit of one layer stands, whatever else was done.
    assert!(after.lines.iter().any(|line| line.text.contains("2 to 4 weeks")));
    // The later finish is named, in whatever order the layers were given.
    let late = Laid { place: "boot-lid".to_owned(), finished_ms: FINISHED_MS + HOUR_MS, ..ceramic() };
    let after = aftercare(&[late, ceramic()], &sheets(), &CarUse::default()).unwrap();
    assert_eq!(until(&after, Wait::Rain), Some(FINISHED_MS + 25 * HOUR_MS));
}

#[test]
fn without_a_sheet_common_practice_of_that_layer_counts() {
    let after = aftercare(&[Laid { sheet: None, ..wax() }], &[], &CarUse::default()).unwrap();
    assert_eq!(after.look_again[0].reasons, ["Wax: 3 to 6 weeks"]);
    assert_eq!(until(&after, Wait::Rain), Some(FINISHED_MS + 4 * HOUR_MS));
}

/// A wait that was left open when the sheet was recorded, because the usual one contradicts the sheet, stays open.
#[test]
fn what_a_sheet_leaves_open_is_not_filled_again() {
    let after = aftercare(&[leather()], &own(), &CarUse::default()).unwrap();
    assert_eq!(until(&after, Wait::Touch), Some(FINISHED_MS + 2 * HOUR_MS));
    assert_eq!(until(&after, Wait::Rain), None);
}

#[test]
fn a_sheet_edited_after_the_job_changes_nothing_and_is_told() {
    let before = aftercare(&[ceramic()], &sheets(), &CarUse::default()).unwrap();
    let mut edited = sheets();
    let mut newer = edited[0].clone();
    newer.version = 2;
    newer.waits.rain = Some(sheet::Span { least_s: 1, most_s: None });
    newer.waits.touch = None;
    newer.life = Some(Life { least_days: 1, most_days: 2 });
    edited.push(newer);
    let after = aftercare(&[ceramic()], &edited, &CarUse::default()).unwrap();
    assert_eq!((&after.lines, &after.look_again), (&before.lines, &before.look_again));
    assert!(after.notes.len() == 1 && after.notes[0].contains("goes on with version 1"), "{:?}", after.notes);
}

#[test]
fn times_read_as_people_say_them() {
    let ranges = [(3, 28), (21, 42), (60, 90), (400, 800), (730, 1_825), (1, 1), (120, 120)];
    let said = ranges.map(|(least, most)| range_text(least, most));
    assert_eq!(
        said,
        [
            "3 to 28 days",
            "3 to 6 weeks",
            "2 to 3 months",
            "13 to 26 months",
            "2 to 5 years",
            "1 day",
            "4 months"
        ]
    );
    assert_eq!([60, 3_601, 86_401].map(time_text), ["1 min", "3601 s", "86401 s"]);
    let times = [45, 90, 900, 3_600, 86_400, 172_800, 604_800].map(time_text);
    assert_eq!(times, ["45 s", "90 s", "15 min", "1 h", "24 h", "2 days", "7 days"]);
}

#[test]
fn what_cannot_be_is_refused_by_its_field() {
    let field = |layer: Laid| match aftercare(&[wax(), layer], &sheets(), &CarUse::default()) {
        Err(Error::Refused { field, .. }) => field,
        other => format!("{other:?}"),
    };
    assert_eq!(field(Laid { step: Step::Wash, ..ceramic() }), "laid[1].step");
    assert_eq!(field(Laid { step: Step::Wax, ..ceramic() }), "laid[1].sheet");
    let unknown = Some(SheetRef { name: "Other".to_owned(), version: 1 });
    assert_eq!(field(Laid { sheet: unknown, ..ceramic() }), "laid[1].sheet");
    assert_eq!(field(Laid { finished_ms: i64::MAX, ..ceramic() }), "laid[1].finished_ms");
    let mut twice = sheets();
    twice.push(Sheet { life: None, ..twice[0].clone() });
    let said = aftercare(&[ceramic()], &twice, &CarUse::default());
    assert!(matches!(said, Err(Error::Refused { field, .. }) if field == "sheets[3].version"));
    assert_eq!(field(Laid { finished_ms: -1, ..ceramic() }), "laid[1].finished_ms");
}
