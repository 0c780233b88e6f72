//! A paint's life over several jobs, with the numbers of scenarios 8 to 11: what earlier jobs of the vehicle say warns in a new one, and
//! what is not surely the same vehicle is not mixed in.

use super::thickness::{gauge, thickness};
use super::treat::{against, aside, panel, refused, square};
use super::*;
use sidelong_core::record::inputs::VoidJob;
use sidelong_core::record::words::{Area, Step};

/// Invented.
const VIN: &str = "ZZZ0ZZZ00T0000001";
const OTHER_VIN: &str = "ZZZ0ZZZ00T0000002";

/// Opens a job so many days after 9 June 2026.
fn visit(phone: &mut Phone, day: i64, vin: Option<&str>, plate: &str) -> Uuid {
    phone.clock.set(MORNING_MS + day * DAY_MS);
    let job = phone.dice.id();
    let (vin, plate) = (vin.map(str::to_owned), Some(plate.to_owned()));
    phone.put(job, Act::OpenJob(OpenJob { vin, plate, ..car(Form::Saloon) }));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    job
}

fn later(phone: &Phone, minutes: i64) {
    let now = phone.clock.at_ms.load(std::sync::atomic::Ordering::Relaxed);
    phone.clock.set(now + minutes * 60_000);
}

/// Measured, then polished on a test square.
fn measured_and_polished(phone: &mut Phone, job: Uuid, name: &str, readings_um: &[u32]) {
    phone.put(job, thickness(name, readings_um));
    later(phone, 5);
    phone.put(job, square(name, Step::Polish));
    later(phone, 5);
}

fn earlier(phone: &Phone, job: Uuid) -> Vec<String> {
    phone.open().treated(job.to_string(), Locale::EnGb).expect("the job").earlier
}

/// Scenario 10 over two visits, one of them on another phone: about 2.6 µm, near the limit of the gauge; one pair is not enough. At
/// the third visit more came off than may.
#[test]
fn scenario_10_removal_over_visits() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = Phone::new(&folder.path().join("one"), 1_010);
    let job = visit(&mut first, 0, Some(VIN), "ZZ26 TST");
    first.put(job, gauge(2));
    measured_and_polished(&mut first, job, "bonnet", &[104, 101, 99, 106, 103]);
    measured_and_polished(&mut first, job, "roof", &[104]);

    let mut phone = Phone::new(&folder.path().join("two"), 1_011);
    phone.join(&mut first);
    let job = visit(&mut phone, 30, Some(&VIN.to_lowercase()), "ZZ26 NEW");
    assert!(panel(&phone, job, "bonnet").removal.is_none(), "nothing was measured after it");
    let lines = panel(&phone, job, "bonnet").earlier;
    assert!(lines.iter().any(|line| line.starts_with("not measured since it was polished")), "{lines:?}");
    phone.put(job, gauge(2));
    phone.put(job, thickness("bonnet", &[101, 99, 98, 102, 100]));
    phone.put(job, thickness("roof", &[101]));
    let removal = panel(&phone, job, "bonnet").removal.expect("told");
    for told in [
        "about 2.6 µm, near the limit of the gauge",
        "before on Tue 9 June 2026 (same VIN), after on Thu 9 July 2026; polished on Tue 9 June 2026 (same VIN)",
    ] {
        assert!(removal.contains(told), "{told}: {removal}");
    }
    assert!(!removal.contains("removed"));
    let single = panel(&phone, job, "roof").removal.expect("told");
    assert!(single.contains("not enough readings"), "{single}");
    for name in ["bonnet", "roof"] {
        assert!(against(&phone, job, name, Step::Polish, Area::TestSquare).is_empty(), "{name}");
    }
    later(&phone, 5);
    phone.put(job, square("bonnet", Step::Polish));

    let job = visit(&mut phone, 60, Some(VIN), "ZZ26 NEW");
    phone.put(job, thickness("bonnet", &[95, 93, 92, 96, 94]));
    let removal = panel(&phone, job, "bonnet").removal.expect("told");
    assert!(
        removal.contains("8.6 µm")
            && removal.contains("polished on Tue 9 June 2026 (same VIN) and Thu 9 July")
    );
    let warned = against(&phone, job, "bonnet", Step::Polish, Area::TestSquare);
    assert_eq!(warned.len(), 1, "{warned:?}");
    for told in ["8.6 µm", "Tue 9 June 2026 (same VIN)", "may be more than the 8 µm that may come off"] {
        assert!(warned[0].contains(told), "{told}: {warned:?}");
    }
    let (field, reason) = refused(&mut phone, job, square("bonnet", Step::Polish));
    assert!(field == "act.try_square.panel" && reason.contains("needs a reason and consent"), "{reason}");
    let consent = aside("bonnet", Step::Polish, Area::TestSquare, "The owner sells it.", OwnerAnswer::Agreed);
    phone.put(job, consent);
    phone.put(job, square("bonnet", Step::Polish));
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    for told in
        ["Earlier jobs of this vehicle", "about 8.6 µm", "The owner sells it.", "Polished before: Tue 9 June"]
    {
        assert!(page.contains(told), "{told}");
    }
}

/// Scenarios 8, 9 and 11 in a later visit: the lowest reading of all decides and says when it was read; where the gauge gave none, none
/// is made up.
#[test]
fn scenario_11_low_floor_of_an_earlier_visit() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 1_110);
    let job = visit(&mut phone, 0, Some(VIN), "ZZ26 TST");
    let first = job;
    phone.put(job, thickness("roof", &[110, 82, 104]));
    measured_and_polished(&mut phone, job, "front-right-door", &[112, 108, 115, 97, 110]);
    let Act::MeasureThickness(plastic) = thickness("front-bumper", &[]) else { panic!("a measurement") };
    let plastic = MeasureThickness { no_reading: Some(NoReading::NonMetal), ..plastic };
    phone.put(job, Act::MeasureThickness(plastic));
    phone.put(job, closing());

    let job = visit(&mut phone, 100, Some(VIN), "ZZ26 TST");
    assert_eq!(
        against(&phone, job, "roof", Step::Compound, Area::TestSquare),
        ["the lowest reading, 82 µm on Tue 9 June 2026 (same VIN), is under the floor of 90 µm"]
    );
    let (field, reason) = refused(&mut phone, job, square("roof", Step::Compound));
    assert!(field == "act.try_square.panel" && reason.contains("82 µm on Tue 9 June 2026"), "{reason}");
    assert!(against(&phone, job, "front-right-door", Step::Polish, Area::TestSquare).is_empty());
    let lines = panel(&phone, job, "front-right-door").earlier;
    assert_eq!(lines[0], "earlier: the lowest of 5 readings, 97 µm, Tue 9 June 2026 (same VIN)");
    let view = phone.open().treated(job.to_string(), Locale::EnGb).expect("the job");
    assert!(view.panels.iter().all(|it| it.panel != "front-bumper"), "no reading is no reading");
    assert!(against(&phone, job, "front-bumper", Step::Polish, Area::TestSquare).is_empty());
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("Earlier: the lowest of 3 readings, 82 µm, Tue 9 June 2026 (same VIN)"));
    // A lower one of today is today's.
    phone.put(job, thickness("roof", &[79]));
    let warned = against(&phone, job, "roof", Step::Compound, Area::TestSquare);
    assert_eq!(warned, ["the lowest reading, 79 µm, is under the floor of 90 µm"]);
    // The earlier visit knows nothing of the later one.
    assert!(earlier(&phone, first).is_empty());
}

/// A job under another VIN, one that was opened by mistake, and a plate that two vehicles had are not mixed in; a plate without a
/// VIN is taken and said to be no more than that.
#[test]
fn what_is_not_surely_the_same_vehicle() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 1_210);
    let thin = |phone: &mut Phone, day: i64, vin: Option<&str>, plate: &str| {
        let job = visit(phone, day, vin, plate);
        phone.put(job, thickness("roof", &[82]));
        job
    };
    let warned = |phone: &Phone, job| against(phone, job, "roof", Step::Polish, Area::TestSquare);
    thin(&mut phone, 0, Some(OTHER_VIN), "ZZ26 TST");
    let void = thin(&mut phone, 1, Some(VIN), "ZZ26 TST");
    phone.put(void, Act::VoidJob(VoidJob { reason: "the wrong car".into(), instead: None }));
    let job = visit(&mut phone, 2, Some(VIN), "ZZ26 TST");
    assert!(warned(&phone, job).is_empty() && earlier(&phone, job).is_empty());

    // Known by its plate alone, in the wet typed with a gap and an O for a 0.
    thin(&mut phone, 3, None, "ZZ07 ONE");
    let job = visit(&mut phone, 4, Some(VIN), "zz-o7 one");
    let said = warned(&phone, job);
    assert!(said[0].contains("82 µm on Fri 12 June 2026 (same plate, no VIN on record)"), "{said:?}");
    assert!(earlier(&phone, job)[0].starts_with("Fri 12 June 2026 (same plate, no VIN on record), job "));
    // Since then another vehicle has it: nobody knows whose that reading was.
    thin(&mut phone, 5, Some(OTHER_VIN), "ZZ07 ONE");
    let job = visit(&mut phone, 6, Some(VIN), "ZZ07 ONE");
    assert!(warned(&phone, job).is_empty());
    assert!(earlier(&phone, job).iter().any(|line| line.contains("different VINs")));
    // Another outline is another vehicle.
    let job = phone.dice.id();
    phone.put(job, Act::OpenJob(OpenJob { plate: Some("ZZ09 VAN".into()), ..car(Form::Van) }));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    phone.put(job, thickness("roof", &[82]));
    let job = visit(&mut phone, 7, None, "ZZ09 VAN");
    assert!(warned(&phone, job).is_empty());
}

/// Of very many visits the newest count, and that is said; a VIN that is corrected later counts as corrected.
#[test]
fn very_many_visits_and_a_corrected_vin() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 1_310);
    for day in 0..51 {
        let job = visit(&mut phone, day, Some(VIN), "ZZ26 TST");
        phone.put(job, thickness("roof", &[if day == 0 { 82 } else { 120 }]));
    }
    let job = visit(&mut phone, 60, None, "ZZ99 NEW");
    assert!(earlier(&phone, job).is_empty(), "nothing tells that it is the same vehicle");
    let becomes = OpenJob { vin: Some(VIN.into()), plate: Some("ZZ99 NEW".into()), ..car(Form::Saloon) };
    phone.put(job, Act::CorrectVehicle(CorrectVehicle { becomes, reason: "read on the door plate".into() }));
    let told = earlier(&phone, job);
    assert_eq!(told.len(), 51);
    assert_eq!(told[50], "Only the 50 newest earlier jobs were looked through.");
    assert!(against(&phone, job, "roof", Step::Polish, Area::TestSquare).is_empty(), "82 µm were the 51st");
}
