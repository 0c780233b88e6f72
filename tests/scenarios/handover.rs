//! The owner's answer, a fleet's morning, and what is kept for how long.

use super::*;
use sidelong_tests::answer;

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
    phone.put(job, Act::RecordOwnerAnswer(answer(OwnerAnswer::Absent, CopyGiven::Sent)));
    phone.put(job, Act::RecordOwnerAnswer(answer(OwnerAnswer::SentNoReply, CopyGiven::Sent)));
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
    let mut signed = answer(OwnerAnswer::SentNoReply, CopyGiven::Sent);
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
    let mut said = answer(OwnerAnswer::Agreed, CopyGiven::Received);
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
pub(crate) fn picture(red: u8, green: u8, blue: u8) -> Vec<u8> {
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
