//! A mark or photo that was recorded under the wrong job is moved to the right one: nothing of it is lost.

use crate::{entries, id, meet, moved, page, phone, put, refused, void, walk, whole};
use sidelong_core::record::inputs::{Act, RecordMark};
use sidelong_core::record::views::{EntryKind, JobView};
use sidelong_core::record::words::{Form, Locale, MarkKind, Stage};
use sidelong_tests::{Phone, closing, correction, described, fixture, mark, nothing_seen, photo};
use uuid::Uuid;

/// The bytes of every photo of a job are here and are those that were taken in.
fn originals(phone: &Phone, view: &JobView) -> usize {
    for photo in view.all_photos() {
        assert_eq!(photo.missing, None);
        let path = phone.folder.join("photos").join(&photo.sha256[..2]).join(&photo.sha256);
        let length = std::fs::metadata(path).expect("the original is here").len();
        assert_eq!(length, photo.bytes);
    }
    view.all_photos().count()
}

fn with_photos(phone: &mut Phone, job: Uuid) -> Uuid {
    let mut what = described("roof", MarkKind::Dent, 9_000);
    what.note = Some("beside the aerial".into());
    let act = Act::RecordMark(RecordMark { walk: None, mark: what, shown_by: None });
    let dent = put(phone, job, act);
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    phone.file("b.jpg", &fixture("photos/arrival-rear-right-door-middle.jpg"));
    phone.put(job, photo("a.jpg", Some(dent)));
    phone.put(job, photo("b.jpg", Some(dent)));
    dent
}

#[test]
fn a_mark_with_two_photos_there_and_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, job) = phone(&folder, 21);
    let other = one.begin(Form::Hatch5, Stage::AsFound);
    let dent = with_photos(&mut one, job);
    let there = one.put(job, moved(dent, other));
    assert_eq!(there.mark.as_deref(), Some("1"), "its number in the other job");
    for locale in [Locale::EnGb, Locale::EnUs] {
        let left = one.open().report(job.to_string(), locale).expect("a page");
        let came = one.open().report(other.to_string(), locale).expect("a page");
        assert!(left.contains(&format!("went to job {other}")) && !left.contains("beside the aerial"));
        assert!(left.contains("Mark 1") && left.contains("it is the other car"), "the reason too");
        assert!(came.contains("beside the aerial") && came.contains(&format!("from job {job}")));
        assert_eq!((left.matches("<img").count(), came.matches("<img").count()), (0, 2));
    }
    let view = one.view(other);
    assert_eq!((view.marks[0].id.as_str(), view.marks[0].photos.len()), (dent.to_string().as_str(), 2));
    let list = one.open().jobs(None, 5, Locale::EnGb).expect("a list").jobs;
    let row = |job: Uuid| list.iter().find(|row| row.job == job.to_string()).expect("a row");
    assert_eq!((row(job).marks, row(job).photos, row(other).marks, row(other).photos), (0, 0, 1, 2));

    one.put(other, correction(dent, described("roof", MarkKind::Hail, 9_000), "there are more of them"));
    let hail = one.view(other).marks[0].kind_text.clone();
    assert_ne!(hail, view.marks[0].kind_text);
    let back = one.put(other, moved(dent, job));
    assert_eq!(back.mark.as_deref(), Some("2"), "a number is not given again");
    let view = one.view(job);
    assert_eq!((view.marks.len(), view.marks[0].photos.len()), (1, 2));
    assert_eq!(view.marks[0].kind_text, hail);
    assert!(view.marks[0].also.iter().any(|line| line.contains(&format!("from job {other}"))));
    assert!(
        view.marks[0].also.iter().all(|line| !line.contains("recorded first")),
        "it was recorded first here"
    );
    assert_eq!((one.view(other).marks.len(), one.view(other).all_photos().count()), (0, 0));
    // And once more.
    one.put(job, moved(dent, other));
    one.put(other, nothing_seen("bonnet"));
    let mut two = Phone::new(&folder.path().join("22"), 22);
    meet(&mut two, &mut one);
    for phone in [&mut one, &mut two] {
        let (left, came) = (phone.view(job), phone.view(other));
        assert_eq!((left.marks.len(), came.marks.len()), (0, 1));
        assert_eq!(came.marks[0].label, "2");
        assert_eq!((originals(phone, &left), originals(phone, &came)), (0, 2));
        assert_eq!(entries(&left, EntryKind::Moved).len(), 2);
        assert_eq!(entries(&came, EntryKind::Moved).len(), 1);
        assert!(page(phone, job).contains("went to job") && page(phone, other).contains("from job"));
        whole(phone);
        phone.reopen().expect("opens again");
        assert_eq!((phone.view(job), phone.view(other)), (left, came));
    }
}

/// What the entry was is still told by the job that it left: its number and when it was recorded.
#[test]
fn the_job_it_left_says_when_it_was_recorded() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 23);
    let other = phone.begin(Form::Hatch5, Stage::AsFound);
    let dent = with_photos(&mut phone, job);
    let recorded = phone.view(job).marks[0].stamp.at.replace(", Europe/London", "");
    phone.put(job, moved(dent, other));
    let view = phone.view(job);
    let lines = &entries(&view, EntryKind::Moved)[0].lines;
    assert!(lines[0].contains(&recorded), "{recorded}: {lines:?}");
}

#[test]
fn a_photo_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 24);
    let other = phone.begin(Form::Hatch5, Stage::AsFound);
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    let shot = put(&mut phone, job, photo("a.jpg", None));
    phone.put(job, moved(shot, other));
    assert_eq!(phone.view(job).all_photos().count(), 0);
    let view = phone.view(other);
    assert_eq!(originals(&phone, &view), 1);
    assert_eq!(view.photos[0].id, shot.to_string());
    assert_eq!(
        refused(phone.record(job, moved(shot, other))),
        "act.move_entry.entry",
        "it is not there any more"
    );
    let left = phone.view(job);
    assert!(entries(&left, EntryKind::Moved)[0].lines[0].starts_with("a photo"));
}

/// The move keeps the stage; a job that was a mistake or has ended takes nothing in, and gives what is wrong in it.
#[test]
fn from_and_to() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 25);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    phone.put(job, walk(Stage::AfterWash));
    let swirls = put(&mut phone, job, mark("bonnet", MarkKind::Swirls, 9_000));
    let other = phone.begin(Form::Hatch5, Stage::AsFound);
    assert_eq!(
        refused(phone.record(job, moved(swirls, other))),
        "act.move_entry.to_job",
        "found after the wash"
    );
    phone.put(other, walk(Stage::AfterWash));
    phone.put(job, moved(swirls, other));
    phone.put(job, moved(dent, other));
    let stages: Vec<_> = phone.view(other).marks.iter().map(|mark| mark.found.clone()).collect();
    assert_eq!(stages, ["found after wash", "found on arrival"]);
    let mistake = phone.begin(Form::Hatch5, Stage::AsFound);
    let chip = put(&mut phone, mistake, mark("roof", MarkKind::StoneChip, 1_000));
    phone.put(mistake, void(Some(job)));
    assert_eq!(refused(phone.record(other, moved(dent, mistake))), "act.move_entry.to_job");
    phone.put(mistake, moved(chip, job));
    phone.put(other, closing());
    phone.put(other, moved(dent, job));
    assert_eq!(refused(phone.record(job, moved(dent, other))), "act.move_entry.to_job");
    assert_eq!((phone.view(job).marks.len(), phone.view(other).marks.len()), (2, 1));
    assert_eq!(phone.view(mistake).marks.len(), 0);
}

/// A mark is moved on one phone while another one, which does not know of it, corrects it and adds a photo: both stay in
/// sight.
#[test]
fn what_another_phone_adds_meanwhile() {
    let folder = tempfile::tempdir().expect("a folder");
    for first in [true, false] {
        let seed = if first { 71 } else { 81 };
        let (mut one, job) = phone(&folder, seed);
        let other = one.begin(Form::Hatch5, Stage::AsFound);
        let dent = put(&mut one, job, mark("roof", MarkKind::Dent, 9_000));
        let mut two = Phone::new(&folder.path().join((seed + 1).to_string()), seed + 1);
        two.join(&mut one);
        // What comes first in the order of the job depends on how much each phone had recorded.
        let busy = if first { &mut one } else { &mut two };
        (0..5).for_each(|_| drop(busy.put(job, nothing_seen("bonnet"))));
        one.put(job, moved(dent, other));
        two.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
        two.put(job, photo("a.jpg", Some(dent)));
        two.put(job, correction(dent, described("roof", MarkKind::Hail, 9_000), "there are more of them"));
        meet(&mut one, &mut two);
        let stayed = id(&one.view(job).photos[0].id);
        for phone in [&one, &two] {
            let (left, came) = (phone.view(job), phone.view(other));
            assert_eq!((left.marks.len(), came.marks.len()), (0, 1));
            assert_eq!(originals(phone, &left) + originals(phone, &came), 1, "the photo is shown ({first})");
            assert!(
                left.flags.iter().any(|flag| flag.contains("1 correction(s)")),
                "{first}: {:?}",
                left.flags
            );
            assert!(
                !entries(&left, EntryKind::Moved)[0].lines[0].contains("photo"),
                "it did not go with the mark"
            );
        }
        // Then it is moved after its mark.
        one.put(job, moved(stayed, other));
        assert_eq!((one.view(job).photos.len(), one.view(other).marks[0].photos.len()), (0, 1));
    }
}

/// Two phones move the same mark to the same job without knowing of each other: it is one mark there.
#[test]
fn moved_twice_at_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, job) = phone(&folder, 91);
    let other = one.begin(Form::Hatch5, Stage::AsFound);
    let dent = with_photos(&mut one, job);
    let mut two = Phone::new(&folder.path().join("92"), 92);
    two.join(&mut one);
    one.put(job, moved(dent, other));
    two.put(job, moved(dent, other));
    meet(&mut one, &mut two);
    for phone in [&mut one, &mut two] {
        let view = phone.view(other);
        assert_eq!((view.marks.len(), view.marks[0].photos.len()), (1, 2));
        assert_eq!(view.marks[0].history.len(), 2, "both entries are shown");
        assert_eq!(phone.view(job).marks.len(), 0);
        assert_eq!(page(phone, other).matches(&format!("id=\"mark-{dent}\"")).count(), 1);
        whole(phone);
    }
    let back = one.put(other, moved(dent, job));
    assert_eq!((one.view(other).marks.len(), one.view(job).marks.len()), (0, 1));
    assert_eq!(back.mark.as_deref(), Some("2"));
}
