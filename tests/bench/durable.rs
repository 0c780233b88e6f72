//! One event that is saved when the call returns, beside as many bare fdatasyncs of 4 KiB as it makes, appended to a file:
//! that is what the goal was set by. Beside it those written again in place, which need no new length on the disk. How many
//! syncs an event makes, and how many pages it puts into the write-ahead log, is counted in a run of its own under strace.

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
    let (data_syncs, file_syncs, pages) = counted(folder);
    let syncs = data_syncs + file_syncs;
    table.note(
        "syncs of one event, counted under strace over 408 events",
        format!("{data_syncs:.2} fdatasync, {file_syncs:.2} fsync"),
    );
    table.note("… pages that it puts into the write-ahead log", format!("{pages:.2}"));
    assert!(data_syncs >= 2.0, "SQLite and the mirror each sync the data of every event");
    assert!(file_syncs < 0.1, "SQLite was built without fdatasync");

    let mut phone = Phone::new(&folder.join("phone"), 1);
    // Fills the write-ahead log once, so that a store in use is measured and not one that begins.
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    for _ in 0..2 * MARKS {
        phone.put(job, mark("bonnet", MarkKind::Scratch, 18_000));
    }
    let mut single = Vec::new();
    let mut ours = || {
        let job = phone.begin(Form::Hatch5, Stage::AsFound);
        let act = mark("bonnet", MarkKind::Scratch, 18_000);
        timed(|| {
            for _ in 0..MARKS {
                let (time, _) = timed(|| phone.put(job, act.clone()));
                single.push(time.as_secs_f64());
            }
        })
        .0
    };
    let bare = (f64::from(MARKS) * syncs).round() as usize;
    let mut number = 0;
    let appended = side_by_side(sizes.rounds, &mut ours, || {
        number += 1;
        append(&folder.join(format!("appended-{number}")), bare)
    });
    let peer = format!("{syncs:.2} bare fdatasyncs of 4 KiB, appended");
    table.compare("one durable event (a mark)", &peer, appended, MARKS, Goal::AtMost(1.2));
    table.note("… least of the rounds' ratios", format!("{:.2}", appended.least));

    let mut file = File::options().create_new(true).write(true).open(folder.join("bare")).expect("a file");
    let page = [0x5A; 4096];
    for _ in 0..PAGES {
        file.write_all(&page).expect("written");
    }
    file.sync_all().expect("synced");
    let mut at = 0;
    let in_place = side_by_side(sizes.rounds, &mut ours, || {
        timed(|| {
            for _ in 0..bare {
                file.seek(SeekFrom::Start(at % PAGES * 4096)).expect("seek");
                file.write_all(&page).expect("written");
                file.sync_data().expect("synced");
                at += 1;
            }
        })
        .0
    });
    table.compare("…", "as many, written again in place", in_place, MARKS, Goal::None);
    table.note("… least of the rounds' ratios", format!("{:.2}", in_place.least));
    table.note("… its median alone", shown(std::time::Duration::from_secs_f64(middle(single))));

    in_memory(sizes, table);

    let grown = growing(sizes, folder, syncs);
    let peer = "as many bare fdatasyncs of 4 KiB appended";
    table.compare("one durable event, first 80 of a new store", peer, grown, 80, Goal::AtMost(1.2));
    table.note("… least of the rounds' ratios", format!("{:.2}", grown.least));
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
            append(&folder.join(format!("grown-beside-{peers}")), bare)
        },
    )
}

/// Time of so many pages appended to a new file, each synced.
fn append(path: &Path, pages: usize) -> std::time::Duration {
    let mut file = File::create_new(path).expect("a file");
    let page = [0x5A; 4096];
    timed(|| {
        for _ in 0..pages {
            file.write_all(&page).and_then(|()| file.sync_data()).expect("written");
        }
    })
    .0
}

/// fdatasyncs and fsyncs of one event, and pages written to the write-ahead log: what five jobs make more than one job, by
/// the events that they have more.
fn counted(folder: &Path) -> (f64, f64, f64) {
    let count = |jobs: u32| {
        let trace = folder.join(format!("trace-{jobs}"));
        let done = Command::new("strace")
            .args(["-f", "-e", "trace=fsync,fdatasync,pwrite64", "-o"])
            .arg(&trace)
            .arg(std::env::current_exe().expect("this program"))
            .args(["record-jobs", &jobs.to_string()])
            .arg(folder.join(format!("traced-{jobs}")))
            .status()
            .expect("strace is installed");
        assert!(done.success(), "strace failed");
        let text = std::fs::read_to_string(&trace).expect("a trace");
        let lines =
            |held: &[&str]| text.lines().filter(|line| held.iter().all(|it| line.contains(it))).count();
        // A frame of the write-ahead log has a header of 24 bytes, which SQLite writes by itself.
        [lines(&[" fdatasync("]), lines(&[" fsync("]), lines(&[" pwrite64(", ", 24, "])]
    };
    let (few, many) = (count(1), count(5));
    // Opening a job and beginning its walk-around are two events more.
    let events = f64::from(4 * (MARKS + 2));
    let each = |at: usize| many[at].saturating_sub(few[at]) as f64 / events;
    (each(0), each(1), each(2))
}
