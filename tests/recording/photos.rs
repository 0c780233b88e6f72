//! Every photo on record is shown, and what is said of its file is true.

use crate::{entries, id, moved, page, phone, put, refused, whole};
use sidelong_core::record::inputs::{Act, AttachPhoto, MeasureThickness, ReadInstruments, WriteNote};
use sidelong_core::record::views::EntryKind;
use sidelong_core::record::words::{BlobState, DistanceUnit, Form, MarkKind, Stage, View};
use sidelong_tests::{Phone, car, fixture, mark, photo};

/// A photo of anything on record is shown somewhere.
#[test]
fn no_photo_is_out_of_sight() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 27);
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    let walk = id(&phone.view(job).walks[0].id);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    let reading = put(
        &mut phone,
        job,
        Act::MeasureThickness(MeasureThickness {
            walk: None,
            panel: "roof".into(),
            at: None,
            readings_um: vec![100],
            no_reading: None,
            gauge_check: None,
            note: None,
        }),
    );
    let text = put(
        &mut phone,
        job,
        Act::WriteNote(WriteNote { panel: None, entry: None, text: "see the photo".into() }),
    );
    let about = [walk, dent, reading, text];
    for entry in about {
        phone.put(
            job,
            Act::AttachPhoto(AttachPhoto {
                walk: None,
                mark: None,
                entry: Some(entry),
                panel: None,
                view: View::Middle,
                file: "a.jpg".into(),
                note: None,
            }),
        );
    }
    assert_eq!(phone.view(job).all_photos().count(), about.len());
    assert_eq!(page(&phone, job).matches("<figcaption>Photo ").count(), about.len());
}

/// A photo whose file is on another phone is moved as what it is: on record, and not here. When the file comes, it is
/// shown at once.
#[test]
fn a_moved_photo_whose_file_is_elsewhere() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut two, job) = phone(&folder, 71);
    let other = two.begin(Form::Hatch5, Stage::AsFound);
    let dent = put(&mut two, job, mark("roof", MarkKind::Dent, 9_000));
    two.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    two.put(job, photo("a.jpg", Some(dent)));
    let sha256 = two.view(job).marks[0].photos[0].sha256.clone();
    let kept = two.folder.join("photos").join(&sha256[..2]).join(&sha256);
    let aside = folder.path().join("aside");
    std::fs::rename(&kept, &aside).expect("put aside");

    let mut one = Phone::new(&folder.path().join("72"), 72);
    assert_eq!(one.join(&mut two).blobs_missing, [sha256]);
    let state = |phone: &Phone, job| phone.view(job).marks[0].photos[0].state;
    assert_eq!(state(&one, job), BlobState::Elsewhere);
    one.put(job, moved(dent, other));
    assert_eq!(state(&one, other), BlobState::Elsewhere);
    one.reopen().expect("opens again");
    assert_eq!(state(&one, other), BlobState::Elsewhere);
    whole(&one);
    assert!(page(&one, other).contains("not shown"));

    std::fs::rename(&aside, &kept).expect("put back");
    assert_eq!(one.join(&mut two).blobs, 1);
    assert_eq!(state(&one, other), BlobState::Here);
    assert!(page(&one, other).contains("<img"));
    whole(&one);
}

/// The odometer is photographed before anybody walks round.
#[test]
fn of_an_entry_before_the_first_walk_around() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 77);
    let job = phone.dice.id();
    phone.put(job, Act::OpenJob(car(Form::Hatch5)));
    let read = put(
        &mut phone,
        job,
        Act::ReadInstruments(ReadInstruments {
            odometer: Some(41_250),
            unit: Some(DistanceUnit::Miles),
            fuel_pct: None,
            charge_pct: None,
            lamps: None,
            tried: Vec::new(),
            note: None,
        }),
    );
    phone.file("dash.jpg", &fixture("photos/arrival-tailgate-middle.jpg"));
    let Act::AttachPhoto(shot) = photo("dash.jpg", None) else { panic!() };
    assert_eq!(refused(phone.record(job, Act::AttachPhoto(shot.clone()))), "act.attach_photo.walk");
    phone.put(job, Act::AttachPhoto(AttachPhoto { entry: Some(read), ..shot }));
    let view = phone.view(job);
    assert_eq!(entries(&view, EntryKind::Instruments)[0].photos.len(), 1);
    assert!(page(&phone, job).contains("Odometer 41,250 miles"));
}
