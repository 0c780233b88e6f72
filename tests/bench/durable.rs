//! One event that is saved when the call returns, beside as many bare fdatasyncs of 4 KiB as it makes. How many those
//! are is counted in a run of its own under strace.

use crate::Sizes;
use crate::measure::{Goal, Pair, Table, median, middle, shown, side_by_side, timed};
use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_tests::{Phone, mark};
use std::fs::File;
use std::io::{Seek as _, SeekFrom, Write as _};
use std::path::Path;
use std::process::Command;

/// Marks in a round, all of one job. About as many as fill the write-ahead log once, so that a round holds what SQLite does
/// when it is full.
const MARKS: u32 = 100;

/// Pages in the peer's file: as much as the write-ahead log holds.
const PAGES: u64 = 1_000;

/// Records jobs of [`MARKS`] marks each; strace looks on.
pub fn record_jobs(count: u32, folder: &Path) {
    let mut phone = Phone::new(folder, 1);
    for _ in 0..count {
        let job = phone.begin(Form::Hatch5, Stage::AsFound);
        for _ in 0..MARKS {
            phone.put(job, mark("bonnet", MarkKind::Scratch, 18_000));
        }
    }
}

pub fn measure(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let (data_syncs, file_syncs) = syncs_of_an_event(folder);
    let syncs = data_syncs + file_syncs;
    table.note(
        "syncs of one event, counted under strace over 408 events",
        format!("{data_syncs:.2} fdatasync, {file_syncs:.2} fsync"),
    );
    assert!(data_syncs >= 2.0, "SQLite and the mirror each sync the data of every event");
    assert!(file_syncs < 0.1, "SQLite was built without fdatasync");

    let mut phone = Phone::new(&folder.join("phone"), 1);
    let mut job = phone.begin(Form::Hatch5, Stage::AsFound);
    // Fills the write-ahead log once: a file that grows is another thing to sync than one that is written again.
    for _ in 0..2 * MARKS {
        phone.put(job, mark("bonnet", MarkKind::Scratch, 18_000));
    }
    let bare = (f64::from(MARKS) * syncs).round() as u32;
    let mut file = File::options().create_new(true).write(true).open(folder.join("bare")).expect("a file");
    let page = [0x5A; 4096];
    for _ in 0..PAGES {
        file.write_all(&page).expect("written");
    }
    file.sync_all().expect("synced");
    let mut at = 0;
    let mut single = Vec::new();
    let pair = side_by_side(
        sizes.rounds,
        || {
            job = phone.begin(Form::Hatch5, Stage::AsFound);
            let act = mark("bonnet", MarkKind::Scratch, 18_000);
            timed(|| {
                for _ in 0..MARKS {
                    let (time, _) = timed(|| phone.put(job, act.clone()));
                    single.push(time.as_secs_f64());
                }
            })
            .0
        },
        || {
            timed(|| {
                for _ in 0..bare {
                    file.seek(SeekFrom::Start(at % PAGES * 4096)).expect("seek");
                    file.write_all(&page).expect("written");
                    file.sync_data().expect("synced");
                    at += 1;
                }
            })
            .0
        },
    );
    let peer = format!("{syncs:.2} bare fdatasyncs of 4 KiB, written again in place");
    table.compare("one durable event (a mark)", &peer, pair, MARKS, Goal::AtMost(1.2));
    table.note("… its median alone", shown(std::time::Duration::from_secs_f64(middle(single))));

    in_memory(sizes, table);

    let grown = growing(sizes, folder, syncs);
    table.compare(
        "one durable event, first 80 of a new store",
        "as many bare fdatasyncs of 4 KiB appended",
        grown,
        80,
        Goal::None,
    );
}

/// The same events in a store in memory, where a sync costs nothing: what is left is deciding, sealing, signing and SQLite.
fn in_memory(sizes: &Sizes, table: &mut Table) {
    let Ok(folder) = tempfile::Builder::new().prefix("durable").tempdir_in("/dev/shm") else {
        table.note("… without a disk", "no file system in memory here".to_owned());
        return;
    };
    let mut phone = Phone::new(folder.path(), 2);
    let act = mark("bonnet", MarkKind::Scratch, 18_000);
    let round = |phone: &mut Phone| {
        let job = phone.begin(Form::Hatch5, Stage::AsFound);
        timed(|| (0..MARKS).for_each(|_| drop(phone.put(job, act.clone())))).0
    };
    round(&mut phone);
    let time = median((0..sizes.rounds).map(|_| round(&mut phone)));
    table.time("… in a store in memory: all but the disk", time / MARKS, Goal::None);
}

/// A store that is opened for one visit: its write-ahead log grows, and so does the peer's file.
fn growing(sizes: &Sizes, folder: &Path, syncs: f64) -> Pair {
    let bare = (80.0 * syncs).round() as usize;
    let page = [0x5A; 4096];
    let (mut ours, mut peers) = (0, 0);
    side_by_side(
        sizes.rounds,
        || {
            ours += 1;
            let mut phone = Phone::new(&folder.join(format!("grown-{ours}")), ours);
            let job = phone.begin(Form::Hatch5, Stage::AsFound);
            let act = mark("bonnet", MarkKind::Scratch, 18_000);
            timed(|| (0..80).for_each(|_| drop(phone.put(job, act.clone())))).0
        },
        || {
            peers += 1;
            let mut file = File::create_new(folder.join(format!("appended-{peers}"))).expect("a file");
            timed(|| {
                for _ in 0..bare {
                    file.write_all(&page).and_then(|()| file.sync_data()).expect("written");
                }
            })
            .0
        },
    )
}

/// fdatasyncs and fsyncs of one event: what five jobs make more than one job, by the events that they have more.
fn syncs_of_an_event(folder: &Path) -> (f64, f64) {
    let count = |jobs: u32| {
        let trace = folder.join(format!("trace-{jobs}"));
        let done = Command::new("strace")
            .args(["-f", "-e", "trace=fsync,fdatasync", "-o"])
            .arg(&trace)
            .arg(std::env::current_exe().expect("this program"))
            .args(["record-jobs", &jobs.to_string()])
            .arg(folder.join(format!("traced-{jobs}")))
            .status()
            .expect("strace is installed");
        assert!(done.success(), "strace failed");
        let text = std::fs::read_to_string(&trace).expect("a trace");
        let calls = |name: &str| text.lines().filter(|line| line.contains(name)).count();
        (calls(" fdatasync("), calls(" fsync("))
    };
    let (few, many) = (count(1), count(5));
    // Opening a job and beginning its walk-around are two events more.
    let events = f64::from(4 * (MARKS + 2));
    let each = |few: usize, many: usize| many.saturating_sub(few) as f64 / events;
    (each(few.0, many.0), each(few.1, many.1))
}
