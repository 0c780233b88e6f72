//! Acceptance scenarios of the trade, each under its number, through the door: what a detailer does, and what the
//! record then says. The scenarios are invented but realistic (common practice, no source).

mod handover;
mod light;
mod offered;
mod past;
mod plan;
mod restart;
mod schedule;
mod thickness;
mod treat;
mod work;

use sidelong_core::api::{RetentionRule, panel_said};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::{
    Act, AttachPhoto, BeginWalk, CheckGauge, CorrectVehicle, Description, EndDispute, ItemAnswer,
    MeasureThickness, OpenDispute, OpenJob, PassCustody, PassSide, Stroke, StrokePoint, VehicleAnswer,
};
use sidelong_core::record::views::JobView;
use sidelong_core::record::words::{
    BlobState, Catch, CopyGiven, Custody, Form, Kept, Light, Locale, MarkKind, NoReading, Outcome,
    OwnerAnswer, Party, Plate, Stage, Steering, Surface, WholeSide, Why,
};
use sidelong_core::vehicle;
use sidelong_tests::{
    DAY_MS, MORNING_MS, Phone, car, closing, could_not_see, described, fixture, mark, not_looked,
    nothing_seen, photo,
};
use uuid::Uuid;

/// Scenario 1: A clean car, quick: 17 painted panels, two of them with marks, none left unlooked.
#[test]
fn scenario_01_clean_car() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 1);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    phone.put(job, mark("rear-right-door", MarkKind::Scratch, 18_000));
    phone.put(job, mark("bonnet", MarkKind::StoneChip, 2_000));
    let painted = vehicle::painted_panels(Form::Saloon);
    assert_eq!(painted.len(), 17);
    for panel in painted.iter().filter(|panel| !["rear-right-door", "bonnet"].contains(panel)) {
        phone.put(job, nothing_seen(panel));
    }
    let view = phone.view(job);
    let walk = view.walks.first().expect("one walk");
    let count = |outcome| {
        walk.panels.iter().filter(|it| painted.contains(&it.panel.as_str()) && it.outcome == outcome).count()
    };
    assert_eq!(count(Outcome::NothingSeen), 15);
    assert_eq!(count(Outcome::Marks), 2);
    assert_eq!(count(Outcome::NotLooked), 0);
    assert_eq!(view.marks[0].size.as_deref(), Some("18 mm (with a ruler)"));
}

/// Scenario 2: A dirty arrival: exactly the places that mud hid are said not to have been seen.
#[test]
fn scenario_02_dirty_arrival() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 2);
    let job = phone.begin(Form::Suv, Stage::AsFound);
    let muddy = [
        "front-left-door",
        "rear-left-door",
        "left-sill",
        "front-right-door",
        "rear-right-door",
        "right-sill",
    ];
    for panel in muddy {
        phone.put(job, could_not_see(panel, Why::Dirt));
    }
    let view = phone.view(job);
    let mut told: Vec<&str> = view.walks[0]
        .panels
        .iter()
        .filter(|panel| panel.outcome == Outcome::CouldNotSee)
        .map(|panel| panel.panel.as_str())
        .collect();
    told.sort_unstable();
    let mut expected = muddy.to_vec();
    expected.sort_unstable();
    assert_eq!(told, expected);
    let page =
        phone.open().report(job.to_string(), sidelong_core::record::words::Locale::EnGb).expect("a page");
    assert!(page.contains("ould not be seen"), "the owner's page says so");
}

/// Scenario 3: Found after the wash: never called an arrival finding.
#[test]
fn scenario_03_found_after_wash() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 3);
    let job = phone.begin(Form::Suv, Stage::AsFound);
    phone.put(job, could_not_see("front-left-door", Why::Dirt));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    let found =
        Description { catch: Some(Catch::Firm), ..described("front-left-door", MarkKind::Scratch, 60_000) };
    phone.put(
        job,
        Act::RecordMark(sidelong_core::record::inputs::RecordMark {
            walk: None,
            mark: found,
            shown_by: None,
        }),
    );
    let view = phone.view(job);
    assert_eq!(view.marks[0].found, "found after wash");
    assert_eq!(view.marks[0].stage, Some(Stage::AfterWash));
    let arrival = &view.walks[0];
    assert!(arrival.panels.iter().all(|panel| panel.marks.is_empty()));
}

/// Scenario 2, the second look: asked for after the wash, and not skipped in silence.
#[test]
fn scenario_02_second_look() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 20);
    let job = phone.begin(Form::Suv, Stage::AsFound);
    let muddy = ["front-left-door", "rear-left-door", "left-sill"];
    for panel in muddy {
        phone.put(job, could_not_see(panel, Why::Dirt));
    }
    assert_eq!(phone.view(job).look_again, muddy);
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    phone.put(job, nothing_seen("front-left-door"));
    phone.put(job, mark("rear-left-door", MarkKind::Scratch, 60_000));
    assert_eq!(phone.view(job).look_again, ["left-sill"]);
    match phone.record(job, closing()) {
        Err(Error::Refused { field, reason }) => {
            assert_eq!(field, "act.close_job");
            assert!(reason.contains("left-sill") && reason.contains("not-looked"), "{reason}");
        }
        other => panic!("{other:?}"),
    }
    phone.put(job, not_looked("left-sill"));
    phone.put(job, closing());
    let view = phone.view(job);
    assert_eq!(view.closings.len(), 1);
    let sill = view.walks[1].panels.iter().find(|it| it.panel == "left-sill").expect("the sill");
    assert_eq!(sill.outcome, Outcome::NotLooked, "the record says that nobody looked");
}

/// Scenario 4: "driver's door" is the right one on a right-hand-drive van in the UK, the left one on a left-hand-drive pickup in the US.
#[test]
fn scenario_04_left_and_right() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 4);
    let cases = [
        (Form::Van, Steering::Right, "GB", Locale::EnGb, "front-right-door"),
        (Form::Pickup, Steering::Left, "US", Locale::EnUs, "front-left-door"),
    ];
    for (form, steering, country, locale, expected) in cases {
        let said = panel_said("driver's door".into(), form, country.into(), steering, locale);
        let panel = said.expect("a door");
        assert_eq!(panel, expected);
        let job = phone.dice.id();
        phone.put(job, Act::OpenJob(OpenJob { steering: Some(steering), ..car(form) }));
        phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }));
        phone.put(job, mark(&panel, MarkKind::Dent, 12_000));
        for (reader, side) in [(Locale::EnGb, expected), (Locale::EnUs, expected)] {
            let view = phone.open().job(job.to_string(), reader).expect("the job");
            assert_eq!(view.marks[0].panel, side);
            let word = if side.contains("right") { "right" } else { "left" };
            assert!(view.marks[0].panel_name.contains(word), "{}", view.marks[0].panel_name);
        }
    }
}

/// Scenario 5: "bonnet" reads "hood" to a US user, and a UK convertible's hood is never taken for the bonnet.
#[test]
fn scenario_05_names() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 5);
    let job = phone.begin(Form::Convertible, Stage::AsFound);
    let said =
        |word: &str, locale| panel_said(word.into(), Form::Convertible, "GB".into(), Steering::Right, locale);
    let bonnet = said("bonnet", Locale::EnGb).expect("a bonnet");
    phone.put(job, mark(&bonnet, MarkKind::StoneChip, 2_000));
    let us = phone.open().job(job.to_string(), Locale::EnUs).expect("the job");
    assert_eq!(us.marks[0].panel_name, "hood");
    assert_eq!(said("hood", Locale::EnGb).as_deref(), Some("soft-top"));
    assert_eq!(said("hood", Locale::EnUs).as_deref(), Some("bonnet"));
    let soft_top = said("hood", Locale::EnGb).expect("a soft top");
    phone.put(job, mark(&soft_top, MarkKind::Tear, 8_000));
    let view = phone.view(job);
    assert_ne!(view.marks[0].panel, view.marks[1].panel);
}

/// Scenario 24: Two people, offline, one car: both marks on the tailgate stay, the pair is offered, nothing is lost, originals
/// match their hashes.
#[test]
fn scenario_24_two_people() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, mut two) =
        (Phone::new(&folder.path().join("one"), 24), Phone::new(&folder.path().join("two"), 25));
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    two.join(&mut one);

    one.put(job, nothing_seen("front-left-door"));
    let left = one.put(job, mark("tailgate", MarkKind::Scratch, 30_000));
    let jpeg = fixture("photos/arrival-rear-right-door-close.jpg");
    one.file("a.jpg", &jpeg);
    one.put(job, photo("a.jpg", Some(Uuid::parse_str(&left.input).expect("an id"))));
    two.put(job, nothing_seen("front-right-door"));
    let right = two.put(job, mark("tailgate", MarkKind::Scratch, 32_000));
    assert_eq!((left.mark.as_deref(), right.mark.as_deref()), (Some("1"), Some("B1")));

    let joined = one.join(&mut two);
    assert!(joined.refused.is_empty() && joined.forked.is_empty());
    two.join(&mut one);
    for phone in [&one, &two] {
        let view = phone.view(job);
        assert_eq!(view.marks.iter().map(|mark| mark.label.as_str()).collect::<Vec<_>>(), ["1", "B1"]);
        assert_eq!(view.maybe_same.len(), 1);
        assert_eq!((view.maybe_same[0].a.as_str(), view.maybe_same[0].b.as_str()), ("1", "B1"));
        assert_eq!(view.phones.len(), 2);
        let seen =
            |panel: &str| view.walks[0].panels.iter().any(|it| it.panel == panel && it.answers.len() == 1);
        assert!(seen("front-left-door") && seen("front-right-door"));
        let picture = &view.marks[0].photos[0];
        let kept =
            std::fs::read(phone.folder.join("photos").join(&picture.sha256[..2]).join(&picture.sha256));
        assert_eq!(kept.expect("the original is here"), jpeg);
        assert!(phone.open().check(None).expect("checks").findings.is_empty());
    }
    let (mut a, mut b) = (one.view(job), two.view(job));
    a.flags.clear();
    b.flags.clear();
    assert_eq!(a, b, "both phones show the same record");
}

/// Scenario 24, the same panel answered twice: both answers are kept, with who gave them.
#[test]
fn scenario_24_same_panel_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, mut two) =
        (Phone::new(&folder.path().join("one"), 26), Phone::new(&folder.path().join("two"), 27));
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    two.join(&mut one);
    one.put(job, nothing_seen("roof"));
    two.put(job, could_not_see("roof", Why::Wet));
    one.join(&mut two);
    let view = one.view(job);
    let roof = view.walks[0].panels.iter().find(|panel| panel.panel == "roof").expect("the roof");
    let answers: Vec<Outcome> = roof.answers.iter().map(|answer| answer.outcome).collect();
    assert_eq!(answers.len(), 2);
    assert!(answers.contains(&Outcome::NothingSeen) && answers.contains(&Outcome::CouldNotSee));
    assert_ne!(roof.answers[0].stamp.phone, roof.answers[1].stamp.phone);
}
