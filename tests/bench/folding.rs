//! A long job: its state folded from its events.

use crate::Sizes;
use crate::invented::{Inventor, open};
use crate::measure::{Goal, Table, median, timed};
use sidelong_core::log::canon;
use sidelong_core::record::events::BlobRef;
use sidelong_core::record::fold::fold;
use sidelong_core::record::views::{Speech, job_view};
use sidelong_core::record::words::Locale;
use std::path::Path;

pub fn measure(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let (mut inventor, mut store) = (Inventor::new(6), open(folder, 6));
    let photos: Vec<BlobRef> = (0_u8..60)
        .map(|number| BlobRef {
            len: 4_000_000,
            role: "original".to_owned(),
            sha256: canon::hex(&canon::sha256(&[number])),
            media: "image/jpeg".to_owned(),
        })
        .collect();
    let visit = inventor.long_visit(200, &photos);
    inventor.append(&mut store, visit.drafts);
    let entries = || store.entries(visit.job).expect("entries");
    assert_eq!(entries().len(), 200);
    let job = fold(visit.job, entries());
    assert_eq!(job.photos.len(), 60);
    let rounds = sizes.rounds * 10;
    let folded = median((0..rounds).map(|_| {
        let entries = entries();
        timed(|| fold(visit.job, entries)).0
    }));
    let read = median((0..rounds).map(|_| timed(|| fold(visit.job, entries())).0));
    let speech = Speech { locale: Locale::EnGb };
    let viewed = median((0..rounds).map(|_| timed(|| job_view(&job, speech).expect("a view")).0));
    table.time("fold a job of 200 events, 60 of them photos", folded, Goal::None);
    table.time("… read from the store and folded", read, Goal::Milliseconds(5.0));
    table.time("… and its view on top", viewed, Goal::None);
}
