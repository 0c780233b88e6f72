//! A slip of the last ten seconds is taken back: it goes from its place, and is shown as a slip.

use crate::{at, entries, id, meet, moved, page, phone, put, reboot, refused, undo, walk, whole};
use sidelong_core::record::inputs::{Act, CorrectVehicle, OpenJob, PassSide};
use sidelong_core::record::views::EntryKind;
use sidelong_core::record::words::{Form, MarkKind, Outcome, Stage, WholeSide};
use sidelong_tests::{Phone, car, closing, correction, described, fixture, mark, nothing_seen, photo};

#[test]
fn a_mark_with_its_photos() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 11);
    at(&mut phone, 90_000, job, mark("roof", MarkKind::Dent, 9_000)).expect("accepted");
    let slip =
        id(&at(&mut phone, 100_000, job, mark("bonnet", MarkKind::Dent, 9_000)).expect("accepted").input);
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    phone.file("b.jpg", &fixture("photos/arrival-rear-right-door-middle.jpg"));
    at(&mut phone, 103_000, job, photo("a.jpg", Some(slip))).expect("accepted");
    at(&mut phone, 106_000, job, photo("b.jpg", Some(slip))).expect("accepted");
    at(&mut phone, 110_000, job, undo(slip)).expect("ten seconds are in time");
    let view = phone.view(job);
    assert_eq!(view.marks.iter().map(|mark| mark.label.as_str()).collect::<Vec<_>>(), ["1"]);
    assert_eq!(view.all_photos().count(), 0);
    let slips = entries(&view, EntryKind::Slip);
    assert_eq!(slips.len(), 3, "the mark and two photos");
    assert!(slips[0].lines[0].starts_with("mark 2, "), "{:?}", slips[0].lines);
    assert!(slips.iter().all(|slip| slip.lines[0].contains("was taken back")));
    let next = at(&mut phone, 120_000, job, mark("tailgate", MarkKind::Dent, 9_000)).expect("accepted");
    assert_eq!(next.mark.as_deref(), Some("3"), "a number is not given again");
    assert!(page(&phone, job).contains("Mark 2"));
    assert_eq!(phone.view(job).marks.len(), 2);
    let row = phone.open().jobs(None, 1, sidelong_core::record::words::Locale::EnGb).expect("a list");
    assert_eq!((row.jobs[0].marks, row.jobs[0].photos), (2, 0));
    let shown = phone.view(job);
    phone.reopen().expect("opens again");
    assert_eq!(phone.view(job), shown);
    whole(&phone);
}

#[test]
fn too_late_elsewhere_after_a_reboot_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, job) = phone(&folder, 12);
    let first = id(&at(&mut one, 100_000, job, mark("roof", MarkKind::Dent, 9_000)).expect("accepted").input);
    let mut two = Phone::new(&folder.path().join("13"), 13);
    two.join(&mut one);
    assert_eq!(refused(at(&mut two, 101_000, job, undo(first))), "act.undo.entry", "another phone");
    assert_eq!(refused(at(&mut one, 110_001, job, undo(first))), "act.undo.entry", "too late");
    let second =
        id(&at(&mut one, 200_000, job, mark("roof", MarkKind::Dent, 9_000)).expect("accepted").input);
    reboot(&mut one);
    assert_eq!(refused(at(&mut one, 201_000, job, undo(second))), "act.undo.entry", "after a reboot");
    let third = id(&at(&mut one, 300_000, job, mark("roof", MarkKind::Dent, 9_000)).expect("accepted").input);
    at(&mut one, 301_000, job, undo(third)).expect("in time");
    assert_eq!(refused(at(&mut one, 302_000, job, undo(third))), "act.undo.entry", "twice");
    // What others build on at once is not taken back.
    let begun = id(&at(&mut one, 400_000, job, walk(Stage::Handover)).expect("accepted").input);
    assert_eq!(refused(at(&mut one, 401_000, job, undo(begun))), "act.undo.entry");
    let end = id(&at(&mut one, 402_000, job, closing()).expect("accepted").input);
    assert_eq!(refused(at(&mut one, 403_000, job, undo(end))), "act.undo.entry");
    meet(&mut one, &mut two);
    assert_eq!(one.view(job).marks.len(), 2);
    assert_eq!(one.view(job), two.view(job));
}

#[test]
fn an_answer_and_a_whole_side() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 14);
    let outcomes = |phone: &Phone, wanted: Outcome| {
        phone.view(job).walks[0].panels.iter().filter(|panel| panel.outcome == wanted).count()
    };
    phone.put(job, nothing_seen("roof"));
    let answer = put(&mut phone, job, nothing_seen("bonnet"));
    phone.put(job, undo(answer));
    assert_eq!(outcomes(&phone, Outcome::NothingSeen), 1);
    let side = |side| Act::PassSide(PassSide { walk: None, side, light: None, surface: None });
    let passed = phone.put(job, side(WholeSide::Left));
    assert!(passed.events.len() > 5, "several panels");
    assert_eq!(outcomes(&phone, Outcome::NothingSeen), 1 + passed.events.len());
    phone.put(job, undo(id(&passed.input)));
    assert_eq!(outcomes(&phone, Outcome::NothingSeen), 1, "one input goes as one");
    let view = phone.view(job);
    let slips = entries(&view, EntryKind::Slip);
    assert_eq!(slips.len(), 1 + passed.events.len());
    phone.put(job, side(WholeSide::Left));
}

#[test]
fn a_correction() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 15);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    let before = phone.view(job).marks;
    let wrong = put(&mut phone, job, correction(dent, described("bonnet", MarkKind::Hail, 1_000), "misread"));
    assert_eq!(phone.view(job).marks[0].panel, "bonnet");
    phone.put(job, undo(wrong));
    assert_eq!(phone.view(job).marks, before, "the mark reads as before");

    let plate = |text: &str| {
        let becomes = OpenJob { plate: Some(text.to_owned()), ..car(Form::Hatch5) };
        Act::CorrectVehicle(CorrectVehicle { becomes, reason: "misread".into() })
    };
    let vehicle = phone.view(job).vehicle;
    let wrong = put(&mut phone, job, plate("ZZ26 BAD"));
    phone.put(job, undo(wrong));
    assert_eq!(phone.view(job).vehicle, vehicle);
    assert_eq!(entries(&phone.view(job), EntryKind::Slip).len(), 2);
    let list = phone.open().jobs(Some("zz26 tst".into()), 5, sidelong_core::record::words::Locale::EnGb);
    assert_eq!(list.expect("a list").jobs[0].plate.as_deref(), Some("ZZ26 TST"));
}

/// A move is no slip: neither half of it can be taken back alone.
#[test]
fn what_was_moved() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 16);
    let other = phone.begin(Form::Hatch5, Stage::AsFound);
    let mut soon = |ms: i64, job, act| at(&mut phone, 100_000 + ms, job, act);
    let dent = id(&soon(0, job, mark("roof", MarkKind::Dent, 9_000)).expect("accepted").input);
    let gone = id(&soon(1_000, job, moved(dent, other)).expect("accepted").input);
    for (ms, job, entry) in
        [(2_000, job, gone), (3_000, job, dent), (4_000, other, dent), (5_000, other, gone)]
    {
        assert_eq!(refused(soon(ms, job, undo(entry))), "act.undo.entry");
    }
    assert_eq!((phone.view(job).marks.len(), phone.view(other).marks.len()), (0, 1));
    assert!(entries(&phone.view(other), EntryKind::Slip).is_empty());
}
