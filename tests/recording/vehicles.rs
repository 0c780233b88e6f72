//! Many marks on one vehicle, and one vehicle under several spellings.

use crate::{entries, id, meet, moved, page, phone, put, refused, void, whole};
use sidelong_core::api::Identity;
use sidelong_core::record::inputs::{Act, BeginWalk, CorrectVehicle, Description, OpenJob, RecordMark, Spot};
use sidelong_core::record::views::EntryKind;
use sidelong_core::record::words::{Form, Locale, MarkKind, Measured, Shows, Stage};
use sidelong_tests::{Phone, car, described, feel, fixture, mark, photo};
use uuid::Uuid;

#[test]
fn four_hundred_marks_on_one_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 61);
    let panels = ["bonnet", "roof", "tailgate", "front-left-door", "rear-right-door"];
    for n in 1..=400_u32 {
        let mut what = described(panels[n as usize % panels.len()], MarkKind::StoneChip, 1_000);
        what.from = Spot { u_ppm: 2_000 * n, v_ppm: 500_000 };
        what.to = None;
        // Five that matter more than the rest, spread over the record.
        what.shows = n.is_multiple_of(80).then_some(Shows::Metal);
        let made = phone.put(job, Act::RecordMark(RecordMark { walk: None, mark: what, shown_by: None }));
        assert_eq!(made.mark, Some(n.to_string()));
    }
    phone.reopen().expect("opens again");
    let view = phone.view(job);
    let labels: Vec<String> = view.marks.iter().map(|mark| mark.label.clone()).collect();
    assert_eq!(labels, (1..=400).map(|n: u32| n.to_string()).collect::<Vec<_>>());
    let list = phone.open().jobs(None, 1, Locale::EnGb).expect("a list");
    assert_eq!(list.jobs[0].marks, 400);
    let page = page(&phone, job);
    assert_eq!(page.matches("<article class=\"mark\"").count(), 400);
    assert!(page.contains("The 5 marks of 400 that matter most"));
    let first = page.split("<ul class=\"index\">").nth(1).and_then(|rest| rest.split("</ul>").next());
    let named: Vec<&str> = first
        .expect("an index")
        .split("<li>")
        .skip(1)
        .filter_map(|item| {
            item.split_once('>').and_then(|(_, rest)| rest.split_once('<')).map(|(label, _)| label)
        })
        .collect();
    assert_eq!(named, ["80", "160", "240", "320", "400"]);
    whole(&phone);
}

fn reads(plate: &str) -> OpenJob {
    OpenJob { plate: Some(plate.to_owned()), ..car(Form::Hatch5) }
}

fn correct(plate: &str) -> Act {
    Act::CorrectVehicle(CorrectVehicle { becomes: reads(plate), reason: format!("not {plate} before") })
}

fn start(phone: &mut Phone, plate: &str) -> Uuid {
    let job = phone.dice.id();
    phone.put(job, Act::OpenJob(reads(plate)));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }));
    job
}

fn alike(phone: &Phone, plate: &str) -> Vec<String> {
    let vehicle = Identity { plate: Some(plate.to_owned()), vin: None, stock: None };
    let mut jobs: Vec<String> =
        phone.open().alike(vehicle, Locale::EnGb).expect("a list").into_iter().map(|line| line.job).collect();
    jobs.sort();
    jobs
}

#[test]
fn a_plate_typed_wrongly_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 62);
    let job = start(&mut phone, "ZZ26 VVO");
    phone.put(job, correct("ZZ26 WO"));
    phone.put(job, correct("ZZ26 WOO"));
    let vehicle = phone.view(job).vehicle;
    assert_eq!(vehicle.plate.as_deref(), Some("ZZ26 WOO"));
    assert_eq!(vehicle.history.len(), 3);
    for (entry, plate) in vehicle.history.iter().zip(["ZZ26 VVO", "ZZ26 WO", "ZZ26 WOO"]) {
        assert!(entry.text.contains(plate), "{}", entry.text);
    }
    assert!(vehicle.history[0].reason.is_none() && vehicle.history[2].reason.is_some());
    let page = page(&phone, job);
    assert!(["ZZ26 VVO", "ZZ26 WO,", "ZZ26 WOO"].iter().all(|plate| page.contains(plate)));
    let found =
        |text: &str| phone.open().jobs(Some(text.to_owned()), 5, Locale::EnGb).expect("finds").jobs.len();
    assert_eq!((found("zz26 woo"), found("ZZ26WOO")), (1, 1));
    assert_eq!(alike(&phone, "zz26 w00"), [job.to_string()]);
    assert!(alike(&phone, "ZZ26 VVO").is_empty(), "what it is not is not offered");
}

/// A form on which something recorded has no place cannot be meant.
#[test]
fn a_form_that_lacks_what_is_recorded() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 63);
    phone.put(job, feel("tailgate", sidelong_core::record::words::FeelLevel::Smooth));
    let becomes = car(Form::Saloon);
    let act = Act::CorrectVehicle(CorrectVehicle { becomes, reason: "it has a boot".into() });
    assert_eq!(refused(phone.record(job, act)), "act.correct_vehicle.becomes.form");
}

#[test]
fn one_car_started_by_two_phones_under_two_spellings() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut one = Phone::new(&folder.path().join("64"), 64);
    let mut two = Phone::new(&folder.path().join("65"), 65);
    let (left, right) = (start(&mut one, "ZZ26 OOO"), start(&mut two, "zz260 00"));
    let chip = put(&mut one, left, mark("bonnet", MarkKind::StoneChip, 1_000));
    let dent = put(&mut two, right, mark("roof", MarkKind::Dent, 9_000));
    two.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    two.put(right, photo("a.jpg", Some(dent)));
    assert_eq!(alike(&one, "ZZ26 OOO"), [left.to_string()]);
    meet(&mut one, &mut two);
    let mut both = vec![left.to_string(), right.to_string()];
    both.sort();
    for phone in [&one, &two] {
        assert_eq!((alike(phone, "ZZ26 OOO"), alike(phone, "zz260 00")), (both.clone(), both.clone()));
        assert!(alike(phone, "ZZ26 OO1").is_empty());
    }
    // The second one was the mistake; what was found goes to the first.
    two.put(right, void(Some(left)));
    two.put(right, moved(dent, left));
    meet(&mut one, &mut two);
    for phone in [&one, &two] {
        let (kept, wrong) = (phone.view(left), phone.view(right));
        let ids: Vec<Uuid> = kept.marks.iter().map(|mark| id(&mark.id)).collect();
        assert_eq!(ids, [chip, dent]);
        assert_eq!(kept.marks.iter().map(|mark| mark.label.as_str()).collect::<Vec<_>>(), ["1", "B1"]);
        assert_eq!(kept.marks[1].photos.len(), 1);
        assert_eq!((wrong.marks.len(), entries(&wrong, EntryKind::Moved).len()), (0, 1));
        assert!(wrong.flags.iter().any(|flag| flag.contains("opened by mistake")));
        assert!(page(phone, left).contains("<img") && page(phone, right).contains("went to job"));
        whole(phone);
    }
    assert_eq!(one.view(left), two.view(left));
}

/// A stroke says where, which way and about how long.
#[test]
fn a_stroke_is_measured() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 79);
    let stroke = |panel: &str, to: Spot| {
        Act::RecordMark(RecordMark {
            walk: None,
            mark: Description {
                from: Spot { u_ppm: 500_000, v_ppm: 500_000 },
                to: Some(to),
                length_um: None,
                measured: Some(Measured::Stroke),
                ..described(panel, MarkKind::Scratch, 1)
            },
            shown_by: None,
        })
    };
    phone.put(job, stroke("front-left-door", Spot { u_ppm: 600_000, v_ppm: 500_000 }));
    phone.put(job, stroke("front-left-door", Spot { u_ppm: 500_000, v_ppm: 600_000 }));
    phone.put(job, stroke("roof", Spot { u_ppm: 500_000, v_ppm: 600_000 }));
    let view = phone.view(job);
    let place = |at: usize| view.marks[at].place.clone().expect("a place");
    assert!(place(0).ends_with("runs front to rear"), "{}", place(0));
    assert!(place(1).ends_with("runs up and down"), "{}", place(1));
    assert!(place(2).ends_with("runs side to side"), "{}", place(2));
    for mark in &view.marks {
        let size = mark.size.clone().expect("a size");
        assert!(size.starts_with("about ") && size.ends_with("(from the stroke)"), "{size}");
        let mm: u32 = size.split(' ').nth(1).expect("a number").parse().expect("a number");
        // A tenth of a door or a roof of a small car.
        assert!((30..200).contains(&mm), "{size}");
    }
    assert_eq!(
        refused(phone.record(job, stroke("roof", Spot { u_ppm: 500_000, v_ppm: 500_000 }))),
        "act.record_mark.measured"
    );
}
