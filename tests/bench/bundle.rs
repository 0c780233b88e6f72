//! A bundle of a job with 60 photos, written and verified, beside `sha256sum` over the same files; how much memory that takes
//! as bundles grow; the proof of one event in a short and in a long log.

use crate::Sizes;
use crate::invented::{Inventor, open};
use crate::measure::{Goal, Table, side_by_side, timed};
use sidelong_core::log::proof::{check_inclusion, include};
use sidelong_core::log::tree::{InMemory, leaf, root};
use sidelong_core::log::verify::{Held, Report, verify};
use sidelong_core::log::{Hash, HashReader, canon};
use sidelong_core::record::events::BlobRef;
use sidelong_core::store::{Wish, open_bag};
use std::cell::Cell;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use uuid::Uuid;

/// Photos of the job, and events with them.
const PHOTOS: usize = 60;
const EVENTS: usize = 200;

pub fn measure(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let rounds = sizes.rounds.min(7);
    let photo = sizes.bundle_photo_bytes;
    let store = folder.join("store");
    let job = record(&store, PHOTOS, photo);
    let out = folder.join("bundle");
    write(&store, job, &out, false);
    let files = files_of(&out);
    let what = format!("a bundle of {PHOTOS} photos of {:.1} MB", photo as f64 / 1e6);

    let verified = side_by_side(rounds, || timed(|| all_well(&out)).0, || timed(|| sha256sum(&files)).0);
    table.compare(format!("{what}, verified"), "sha256sum of its files", verified, 1, Goal::AtMost(1.25));
    let openssl = side_by_side(rounds, || timed(|| all_well(&out)).0, || timed(|| dgst(&files)).0);
    table.compare("…", "openssl dgst -sha256 of its files", openssl, 1, Goal::None);
    let zipped = folder.join("bundle.zip");
    write(&store, job, &zipped, true);
    let verified = side_by_side(rounds, || timed(|| all_well(&zipped)).0, || timed(|| sha256sum(&files)).0);
    table.compare("… as a zip, verified", "sha256sum of its files", verified, 1, Goal::None);

    let again = folder.join("again");
    let written = side_by_side(
        rounds,
        || {
            let time = timed(|| write(&store, job, &again, false)).0;
            fs::remove_dir_all(&again).expect("removed");
            time
        },
        || {
            let time = timed(|| {
                sha256sum(&files);
                run(Command::new("cp").arg("-r").arg(&out).arg(&again));
            })
            .0;
            fs::remove_dir_all(&again).expect("removed");
            time
        },
    );
    table.compare("… written", "sha256sum of its files, and cp of them", written, 1, Goal::AtMost(1.25));
    drop(files);
    memory(&store, job, &out, folder, photo, table);
    fs::remove_dir_all(&store).expect("removed");
    one_event(sizes, table);
}

/// A store with one job of `photos` photos.
fn record(folder: &Path, photos: usize, bytes: usize) -> Uuid {
    let (mut inventor, mut store) = (Inventor::new(11), open(folder, 11));
    let mut keep = || {
        let bytes = inventor.bytes(bytes);
        let sha256 = canon::hex(&canon::sha256(&bytes));
        store.keep_photo(&bytes, &sha256).expect("kept");
        let media = "image/jpeg".to_owned();
        BlobRef { len: bytes.len() as u64, role: "original".to_owned(), sha256, media }
    };
    let taken: Vec<BlobRef> = (0..photos).map(|_| keep()).collect();
    let visit = inventor.long_visit(EVENTS, &taken);
    let job = visit.job;
    inventor.append(&mut store, visit.drafts);
    job
}

/// Writes the bundle of a job, without its page, which is not what is measured here.
fn write(store: &Path, job: Uuid, to: &Path, zip: bool) {
    let wish = Wish { zip, ..Wish::default() };
    open(store, 11).bundle(job, to, wish).expect("a bundle");
}

fn verified(path: &Path) -> Report {
    verify(&open_bag(path).expect("opens"), &Held::default()).expect("reads")
}

fn all_well(path: &Path) {
    let report = verified(path);
    assert!(!report.failed() && report.counts.blobs as usize >= PHOTOS, "{report:?}");
}

fn files_of(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() { found.extend(files_of(&path)) } else { found.push(path) }
    }
    found
}

fn run(command: &mut Command) {
    assert!(command.stdout(Stdio::null()).status().expect("it is installed").success(), "{command:?}");
}

fn sha256sum(files: &[PathBuf]) {
    run(Command::new("sha256sum").args(files));
}

fn dgst(files: &[PathBuf]) {
    run(Command::new("openssl").args(["dgst", "-sha256"]).args(files));
}

/// Peak memory of a process of its own, at this size and at a quarter of the photos.
fn memory(store: &Path, job: Uuid, out: &Path, folder: &Path, photo: usize, table: &mut Table) {
    let small = folder.join("small");
    let quarter = record(&small, PHOTOS / 4, photo);
    let small_out = folder.join("small-bundle");
    write(&small, quarter, &small_out, false);
    let mut row = |what: &str, large: f64, small: f64| {
        let (ours, peer) = (format!("{large:.1} MB"), format!("{small:.1} MB: with {} photos", PHOTOS / 4));
        table.ratio(
            format!("… most memory while it is {what}"),
            ours,
            peer,
            large / small,
            Goal::AtMost(1.25),
        );
    };
    let verify = |path: &Path| peak(&["verify-bundle", &path.display().to_string()]);
    row("verified", verify(out), verify(&small_out));
    let write = |store: &Path, job: Uuid, to: &str| {
        let to = folder.join(to).display().to_string();
        peak(&["write-bundle", &store.display().to_string(), &job.to_string(), &to])
    };
    row("written", write(store, job, "peak"), write(&small, quarter, "small-peak"));
}

/// Most memory that this program took, MB, doing what these words say.
fn peak(words: &[&str]) -> f64 {
    let program = std::env::current_exe().expect("this program");
    let done = Command::new(program).args(words).output().expect("this program runs");
    assert!(done.status.success(), "{done:?}");
    String::from_utf8_lossy(&done.stdout).trim().parse().expect("a number")
}

/// What [`peak`] starts: does one thing and prints the most memory that this process took (`VmHWM`, proc(5)).
pub fn alone(words: &[&str]) {
    match words {
        ["verify-bundle", path] => assert!(!verified(path.as_ref()).failed()),
        ["write-bundle", store, job, to] => {
            write(store.as_ref(), Uuid::parse_str(job).expect("an id"), to.as_ref(), false);
        }
        _ => panic!("{words:?}"),
    }
    let status = fs::read_to_string("/proc/self/status").expect("proc(5)");
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).expect("a peak");
    let kb: f64 = line.trim().trim_end_matches(" kB").parse().expect("a number");
    println!("{}", kb / 1e3);
}

/// Counts the hashes that are read.
struct Counting<'a>(&'a InMemory, Cell<usize>);

impl HashReader for Counting<'_> {
    fn read_hashes(&self, places: &[u64]) -> Result<Vec<Hash>, tlog_tiles::Error> {
        self.1.set(self.1.get() + places.len());
        self.0.read_hashes(places)
    }
}

/// The proof of one event, made and checked.
fn one_event(sizes: &Sizes, table: &mut Table) {
    let (short, long) = (sizes.small_log, sizes.big_log);
    let mut log = InMemory::default();
    for seq in 0..long {
        log.push(leaf(&seq.to_be_bytes())).expect("grows");
    }
    let (short_root, long_root) = (root(short, &log).expect("a root"), root(long, &log).expect("a root"));
    let prove = |size: u64, root: Hash| {
        let read = Counting(&log, Cell::new(0));
        let time = timed(|| {
            for seq in (0..size).step_by(usize::try_from(size / 500).expect("a count")) {
                let hashes = include(size, seq, &read).expect("a proof");
                assert!(check_inclusion(&hashes, size, root, seq, leaf(&seq.to_be_bytes())));
            }
        })
        .0;
        (time, read.1.get() as f64 / 500.0)
    };
    let pair = side_by_side(sizes.rounds.min(7), || prove(long, long_root).0, || prove(short, short_root).0);
    // 2.0 times as many levels for 1,000,000 leaves as for 1,000.
    let what = format!("proof of one event of {long}, made and checked");
    table.compare(what, &format!("of {short}"), pair, 500, Goal::AtMost(2.5));
    let (of_long, of_short) = (prove(long, long_root).1, prove(short, short_root).1);
    let levels = |size: u64| f64::from(size.ilog2() + 1);
    assert!(of_long <= 2.0 * levels(long) && of_short <= 2.0 * levels(short), "more than O(log n) hashes");
    table.note("… hashes read for it", format!("{of_long:.1} of {long}, {of_short:.1} of {short}"));
}
