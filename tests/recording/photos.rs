//! Every photo on record is shown, and what is said of its file is true.

use crate::{id, page, phone, put};
use sidelong_core::record::inputs::{Act, AttachPhoto, MeasureThickness, WriteNote};
use sidelong_core::record::words::{MarkKind, View};
use sidelong_tests::{fixture, mark};

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
