//! Acceptance scenarios of the trade, each under its number, through the door: what a detailer does, and what the
//! record then says. The scenarios are invented but realistic (common practice, no source).

use sidelong_core::api::{RetentionRule, panel_said};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::{
    Act, AttachPhoto, BeginWalk, CheckGauge, CorrectVehicle, Description, EndDispute, ItemAnswer,
    MeasureThickness, OpenDispute, OpenJob, PassCustody, PassSide, RecordOwnerAnswer, RecordPermissions,
    Stroke, StrokePoint, VehicleAnswer,
};
use sidelong_core::record::views::JobView;
use sidelong_core::record::words::{
    BlobState, Catch, CopyGiven, Custody, Finish, Form, Kept, Light, Locale, MarkKind, NoReading, Outcome,
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

fn thickness(panel: &str, readings_um: &[u32]) -> Act {
    Act::MeasureThickness(MeasureThickness {
        walk: None,
        panel: panel.to_owned(),
        at: None,
        readings_um: readings_um.to_vec(),
        no_reading: None,
        gauge_check: None,
        note: None,
    })
}

fn gauge(accuracy_um: u32) -> Act {
    Act::CheckGauge(CheckGauge {
        gauge: "gauge 1".to_owned(),
        plate: Plate::Steel,
        zero_um: Some(0),
        foil_um: Some(125),
        foil_read_um: Some(126),
        accuracy_um: Some(accuracy_um),
        note: None,
    })
}

/// Scenario 8: lowest 97 and 219 µm, means 108.4 and 231.4 µm, a difference of 123 µm, never "accident".
#[test]
fn scenario_08_thickness() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 8);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    phone.put(job, gauge(2));
    phone.put(job, thickness("front-right-door", &[112, 108, 115, 97, 110]));
    phone.put(job, thickness("front-left-door", &[228, 241, 236, 219, 233]));
    let view = phone.view(job);
    let shown: Vec<_> = view.thickness.iter().map(|it| (it.lowest_um, it.mean_tenths_um)).collect();
    assert_eq!(shown, [(Some(97), Some(1_084)), (Some(219), Some(2_314))]);
    assert_eq!(view.mates.len(), 1);
    assert_eq!(view.mates[0].difference_tenths_um, 1_230);
    assert!(view.mates[0].text.contains("123 µm: consistent with repaint, among other causes"));
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("Lowest 97 µm, mean 108.4 µm") && page.contains("123 µm"));
    assert!(!page.to_lowercase().contains("accident"));
}

/// Scenario 9: no reading on what is no metal: said so, left out of means, never 0.
#[test]
fn scenario_09_plastic() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 9);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    for panel in ["front-bumper", "left-mirror", "right-mirror", "tailgate"] {
        phone.put(
            job,
            Act::MeasureThickness(MeasureThickness {
                walk: None,
                panel: panel.to_owned(),
                at: None,
                readings_um: Vec::new(),
                no_reading: Some(NoReading::NonMetal),
                gauge_check: None,
                note: None,
            }),
        );
    }
    let view = phone.view(job);
    assert!(
        view.thickness.iter().all(|it| it.text == "no reading: non-metal" && it.mean_tenths_um.is_none())
    );
    assert!(view.mates.is_empty(), "two mirrors without a reading are not compared");
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("No reading: non-metal"));
    let zeros =
        page.match_indices("0 µm").filter(|(at, _)| !page[..*at].ends_with(|c: char| c.is_ascii_digit()));
    assert_eq!(zeros.count(), 0, "never 0");
}

/// Scenario 10: about 2.6 µm, near the limit of the gauge; one pair is not enough.
#[test]
fn scenario_10_removal() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 10);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    phone.put(job, gauge(2));
    phone.put(job, thickness("bonnet", &[104, 101, 99, 106, 103]));
    phone.put(job, thickness("roof", &[104]));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::Handover }));
    phone.put(job, thickness("bonnet", &[101, 99, 98, 102, 100]));
    phone.put(job, thickness("roof", &[101]));
    let removal = phone.view(job).removal;
    assert!(removal[0].contains("about 2.6 µm, near the limit of the gauge"), "{removal:?}");
    assert!(removal[1].contains("not enough readings"), "{removal:?}");
    assert!(removal.iter().all(|text| !text.contains("removed")));
}

/// Scenarios 11 and 12, what is on record of them: a lowest reading under a floor, and matt paint, stand in the record
/// before anything is chosen.
#[test]
fn scenarios_11_and_12_are_on_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 11);
    let job = phone.dice.id();
    phone.put(job, Act::OpenJob(OpenJob { finish: Finish::Matt, ..car(Form::Coupe) }));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    phone.put(job, thickness("roof", &[110, 82, 104]));
    let view = phone.view(job);
    assert_eq!(view.vehicle.finish_text, "matt or satin paint");
    assert_eq!(view.thickness[0].lowest_um, Some(82));
    let refused = phone.record(
        job,
        Act::RecordPermissions(RecordPermissions { by: Party::Owner, answers: Vec::new(), note: None }),
    );
    assert!(refused.is_err(), "a consent that says nothing is no consent");
}

/// Scenario 22: keys in a key safe, nobody there: sent, no reply. Work may go on, and nothing says "agreed" or "accepted".
#[test]
fn scenario_22_absent_owner() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 22);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    phone.put(
        job,
        Act::PassCustody(PassCustody {
            what: Custody::Keys,
            from: Party::KeySafe,
            to: Party::Detailer,
            keys: Some(1),
            note: None,
        }),
    );
    phone.put(job, answer(OwnerAnswer::Absent, CopyGiven::Sent));
    phone.put(job, answer(OwnerAnswer::SentNoReply, CopyGiven::Sent));
    phone.put(job, nothing_seen("roof"));
    phone.put(job, closing());
    let view = phone.view(job);
    assert_eq!(view.owner_answers.last().map(|it| it.answer), Some(OwnerAnswer::SentNoReply));
    assert!(view.owner_text.contains("no reply"), "{}", view.owner_text);
    for locale in [Locale::EnGb, Locale::EnUs] {
        let page = phone.open().report(job.to_string(), locale).expect("a page").to_lowercase();
        assert!(!page.contains("agreed") && !page.contains("accepted"));
        assert!(page.contains("no reply"));
    }
    let list = phone.open().jobs(None, 5, Locale::EnGb).expect("a list");
    assert_eq!(list.jobs[0].answer.as_deref(), Some("sent, no reply"));
    // And a signature cannot stand beside silence.
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    let Act::RecordOwnerAnswer(mut signed) = answer(OwnerAnswer::SentNoReply, CopyGiven::Sent) else {
        panic!()
    };
    signed.signature = vec![Stroke { points: vec![StrokePoint { x: 1, y: 1 }] }];
    assert!(phone.record(job, Act::RecordOwnerAnswer(signed)).is_err());
}

/// Scenario 23: 24 vans, three phones, nobody there. Two mistyped plates are corrected with the first entry kept, and the
/// day's list shows 24 of 24.
#[test]
fn scenario_23_fleet_morning() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut crew: Vec<Phone> =
        (0..3).map(|at| Phone::new(&folder.path().join(at.to_string()), 230 + at)).collect();
    let mut jobs = Vec::new();
    for van in 0..24_usize {
        let phone = &mut crew[van % 3];
        let job = phone.dice.id();
        let plate =
            if van == 5 || van == 17 { format!("ZZ26 VO{van:02}") } else { format!("ZZ26 V{van:02}") };
        let opened = OpenJob { plate: Some(plate), stock: Some(format!("van {van}")), ..car(Form::Van) };
        phone.put(job, Act::OpenJob(opened));
        phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }));
        for side in [WholeSide::Left, WholeSide::Rear, WholeSide::Right, WholeSide::Front] {
            phone.put(
                job,
                Act::PassSide(PassSide {
                    walk: None,
                    side,
                    light: Some(Light::Soft),
                    surface: Some(Surface::Dusty),
                }),
            );
        }
        phone.put(job, mark("left-sliding-door", MarkKind::Dent, 30_000));
        jobs.push(job);
    }
    let first = crew[0].view(jobs[0]);
    let looked = |view: &JobView| {
        view.walks[0]
            .panels
            .iter()
            .filter(|it| it.outcome == Outcome::NothingSeen)
            .all(|it| it.answers.iter().all(|answer| answer.how.contains("walk past")))
    };
    assert!(looked(&first), "a whole side is never more than a walk-past");
    for (van, job) in [(5, jobs[5]), (17, jobs[17])] {
        let phone = &mut crew[van % 3];
        let becomes = OpenJob {
            plate: Some(format!("ZZ26 V{van:02}")),
            stock: Some(format!("van {van}")),
            ..car(Form::Van)
        };
        let reason = "misread".to_owned();
        phone.put(job, Act::CorrectVehicle(CorrectVehicle { becomes, reason }));
        let view = phone.view(job);
        assert_eq!(view.vehicle.plate, Some(format!("ZZ26 V{van:02}")));
        assert_eq!(view.vehicle.history.len(), 2);
        assert!(view.vehicle.history[0].text.contains("VO"), "the first entry is kept");
    }
    let (one, others) = crew.split_at_mut(1);
    for other in others {
        assert!(one[0].join(other).refused.is_empty());
    }
    let phone = &mut one[0];
    // The fleet's contact answers for all of them at once, with one exception.
    let except = phone.view(jobs[3]).marks[0].id.clone();
    let Act::RecordOwnerAnswer(mut said) = answer(OwnerAnswer::Agreed, CopyGiven::Received) else { panic!() };
    said.by = Party::FleetContact;
    said.vehicles = jobs[1..].iter().map(|job| VehicleAnswer { job: *job, items: Vec::new() }).collect();
    let words = Some("not ours to judge".to_owned());
    said.vehicles[2].items =
        vec![ItemAnswer { entry: Uuid::parse_str(&except).expect("an id"), agreed: false, words }];
    phone.put(jobs[0], Act::RecordOwnerAnswer(said));
    for job in &jobs {
        phone.put(*job, closing());
    }
    let day = phone.open().day("2026-06-09".to_owned(), Locale::EnGb).expect("a day");
    assert_eq!((day.total, day.ended, day.answered), (24, 24, 24));
    let plates: std::collections::BTreeSet<_> = day.jobs.iter().map(|job| job.plate.clone()).collect();
    let stocks: std::collections::BTreeSet<_> = day.jobs.iter().map(|job| job.stock.clone()).collect();
    assert_eq!((plates.len(), stocks.len()), (24, 24));
    let exceptions =
        day.jobs.iter().filter(|job| job.answer.as_deref() == Some("agreed, with exceptions")).count();
    assert_eq!(exceptions, 1);
    assert_eq!(phone.open().day("2026-06-10".to_owned(), Locale::EnGb).expect("a day").total, 0);
}

/// A picture of one colour, as a PNG of its own bytes.
fn picture(red: u8, green: u8, blue: u8) -> Vec<u8> {
    let pixel = image::RgbImage::from_pixel(4, 4, image::Rgb([red, green, blue]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    pixel.write_to(&mut bytes, image::ImageFormat::Png).expect("a picture");
    bytes.into_inner()
}

/// Scenario 25: after 12 months inside photos go, but for the one job with an open dispute; the note counts and says
/// nothing of what went.
#[test]
fn scenario_25_purge_and_hold() {
    const VEHICLES: u8 = 240;
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 25);
    phone.clock.tick_ms(100);
    let mut jobs = Vec::new();
    // Twice 240 are 480 vehicles: every input of a fleet's two mornings.
    for (round, van) in (0..2).flat_map(|round| (0..VEHICLES).map(move |van| (round, van))) {
        let job = phone.dice.id();
        phone.put(job, Act::OpenJob(OpenJob { plate: Some(format!("ZZ{round} V{van}")), ..car(Form::Van) }));
        phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }));
        for (name, panel, blue) in [("in.png", "driver-seat", 1), ("out.png", "left-sliding-door", 2)] {
            phone.file(name, &picture(round, van, blue));
            let Act::AttachPhoto(shot) = photo(name, None) else { panic!() };
            phone.put(job, Act::AttachPhoto(AttachPhoto { panel: Some(panel.to_owned()), ..shot }));
        }
        phone.put(job, closing());
        jobs.push(job);
    }
    // Month 11: a dispute.
    phone.clock.set(MORNING_MS + 334 * DAY_MS);
    let disputed = jobs[77];
    let dispute = phone.put(
        disputed,
        Act::OpenDispute(OpenDispute {
            reported: "a stain on the seat".to_owned(),
            by: Party::Owner,
            panel: Some("driver-seat".to_owned()),
            entries: Vec::new(),
        }),
    );
    let rules = vec![
        RetentionRule { kept: Kept::InsidePhotos, months: 12 },
        RetentionRule { kept: Kept::OutsidePhotos, months: 72 },
        RetentionRule { kept: Kept::Texts, months: 72 },
    ];
    let purge = |phone: &Phone, ask| phone.open().purge(rules.clone(), ask, Locale::EnGb).expect("purges");
    assert!(purge(&phone, false).erased.is_empty(), "nothing is a year old yet");

    // Month 13.
    phone.clock.set(MORNING_MS + 396 * DAY_MS);
    let asked = purge(&phone, true);
    assert!(!asked.done);
    let inside = |phone: &Phone, job: Uuid| {
        let view = phone.view(job);
        let photo = view.photos.iter().find(|photo| photo.of == "driver's seat").expect("the photo");
        (photo.state, phone.folder.join("photos").join(&photo.sha256[..2]).join(&photo.sha256))
    };
    let (before, kept_file) = inside(&phone, disputed);
    assert_eq!(before, BlobState::Here);
    let (_, gone_file) = inside(&phone, jobs[0]);
    assert!(gone_file.exists());

    let done = purge(&phone, false);
    assert!(done.done);
    assert_eq!(
        done.erased.iter().map(|it| (it.kept, it.count)).collect::<Vec<_>>(),
        [(Kept::InsidePhotos, 479)]
    );
    assert_eq!(done.jobs, 479);
    assert_eq!(done.held.iter().map(|it| it.place.clone()).collect::<Vec<_>>(), [disputed.to_string()]);
    assert_eq!(done.held[0].found, "a dispute is open");
    assert!(!gone_file.exists() && kept_file.exists());
    let states = jobs.iter().filter(|job| inside(&phone, **job).0 == BlobState::Erased).count();
    assert_eq!(states, 479);
    let outside = phone.view(jobs[0]).photos.iter().filter(|photo| photo.state == BlobState::Here).count();
    assert_eq!(outside, 1, "photos of the outside are kept for longer");
    let check = phone.open().check(None).expect("checks");
    assert!(check.findings.is_empty(), "{:?}", check.findings);

    // While it is open, nobody erases anything of that job; afterwards the next purge takes it.
    let refused = phone.open().erase_job(
        disputed.to_string(),
        vec![Kept::InsidePhotos],
        "asked by the owner".to_owned(),
        Locale::EnGb,
    );
    match refused {
        Err(Error::Refused { field, reason }) => {
            assert_eq!(field, "job");
            assert!(reason.contains("a dispute is open"), "{reason}");
        }
        other => panic!("{other:?}"),
    }
    assert!(purge(&phone, false).erased.is_empty());
    let dispute = Uuid::parse_str(&dispute.input).expect("an id");
    phone.put(disputed, Act::EndDispute(EndDispute { dispute, outcome: "shown the record".to_owned() }));
    assert_eq!(purge(&phone, false).erased[0].count, 1);
    assert!(!kept_file.exists());
}

fn answer(answer: OwnerAnswer, copy: CopyGiven) -> Act {
    Act::RecordOwnerAnswer(RecordOwnerAnswer {
        answer,
        by: Party::Owner,
        name: None,
        items: Vec::new(),
        copy,
        sent_to: None,
        signature: Vec::new(),
        vehicles: Vec::new(),
        note: None,
    })
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
