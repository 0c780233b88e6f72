//! Taking in another phone's day beside copying its files and syncing each.

use crate::Sizes;
use crate::invented::{Inventor, open};
use crate::measure::{Goal, Pair, Table, side_by_side, timed};
use sidelong_core::log::canon;
use sidelong_core::record::events::BlobRef;
use sidelong_core::share::join;
use std::fs::{self, File};
use std::path::Path;

const JOBS: usize = 24;
const EVENTS: usize = 80;

pub fn measure(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let rounds = sizes.rounds.min(7);
    let what = format!("join a day's store ({JOBS} jobs of {EVENTS} events");
    let whole = day(&folder.join("whole"), sizes.photos, sizes.photo_bytes, rounds);
    let size = sizes.photo_bytes as f64 / 1e6;
    let with = format!("{what}, {} photos of {size:.1} MB)", JOBS * sizes.photos);
    table.compare(with, "copy its files, each synced", whole, 1, Goal::AtMost(2.0));
    let without = day(&folder.join("words"), 0, 0, rounds);
    table.compare(format!("{what}, no photos)"), "copy its files, each synced", without, 1, Goal::None);
}

fn day(folder: &Path, photos: usize, photo_bytes: usize, rounds: usize) -> Pair {
    let theirs = folder.join("theirs");
    let mut inventor = Inventor::new(7);
    let mut store = open(&theirs, 7);
    for _ in 0..JOBS {
        let taken: Vec<BlobRef> = (0..photos)
            .map(|_| {
                let bytes = inventor.bytes(photo_bytes);
                let sha256 = canon::hex(&canon::sha256(&bytes));
                store.keep_photo(&bytes, &sha256).expect("kept");
                BlobRef {
                    len: bytes.len() as u64,
                    role: "original".to_owned(),
                    sha256,
                    media: "image/jpeg".to_owned(),
                }
            })
            .collect();
        let visit = inventor.long_visit(EVENTS, &taken);
        inventor.append(&mut store, visit.drafts);
    }
    drop(store);
    let (mut joins, mut copies) = (0, 0);
    side_by_side(
        rounds,
        || {
            joins += 1;
            let into = folder.join(format!("ours-{joins}"));
            let mut ours = open(&into, 8);
            let (time, joined) = timed(|| join(&mut ours, &theirs).expect("joins"));
            assert_eq!((joined.jobs.len(), joined.blobs as usize), (JOBS, JOBS * (photos + 1)));
            drop(ours);
            fs::remove_dir_all(&into).expect("removed");
            time
        },
        || {
            copies += 1;
            let into = folder.join(format!("copy-{copies}"));
            let time = timed(|| copy(&theirs, &into).expect("copies")).0;
            fs::remove_dir_all(&into).expect("removed");
            time
        },
    )
}

/// Copies a folder so that it would outlive a power cut.
fn copy(from: &Path, to: &Path) -> std::io::Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let to = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy(&entry.path(), &to)?;
        } else {
            fs::copy(entry.path(), &to)?;
            File::open(&to)?.sync_all()?;
        }
    }
    File::open(to)?.sync_all()
}
