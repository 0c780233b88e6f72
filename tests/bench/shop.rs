//! A trader's store of years: opening it, finding a plate or a VIN, opening a job, the list, the tables made anew, the
//! full check.

use crate::Sizes;
use crate::invented::{Inventor, open};
use crate::measure::{Goal, Table, median, shown, timed};
use sidelong_core::record::views::{Speech, job_view};
use sidelong_core::record::words::Locale;
use sidelong_core::store::{Check, DATABASE, Store};
use std::path::Path;
use uuid::Uuid;

/// Jobs in one commit: as many as a store keeps at hand.
const AT_ONCE: usize = 8;

const LOOKUPS: usize = 60;

/// Rows that a list or a search gives at most.
const MOST: usize = 50;

pub fn measure(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let mut inventor = Inventor::new(4);
    let jobs = sizes.jobs;
    let folder = folder.join("shop");
    let (made, known) = timed(|| fill(&folder, &mut inventor, jobs));
    let bytes = std::fs::metadata(folder.join(DATABASE)).expect("the database").len();
    table.note(
        format!("a store of {jobs} jobs of 6 events"),
        format!("made in {}, {:.0} MB", shown(made), bytes as f64 / 1e6),
    );

    let opened = median((0..sizes.rounds).map(|_| timed(|| open(&folder, 4)).0));
    table.time(format!("open a store of {jobs} jobs"), opened, Goal::Milliseconds(100.0));
    let empty = folder.with_file_name("empty");
    drop(open(&empty, 5));
    let bare = median((0..sizes.rounds).map(|_| timed(|| open(&empty, 5)).0));
    table.time("… of which: what opening an empty store takes", bare, Goal::None);
    let store = open(&folder, 4);
    let looked = median((0..sizes.rounds).map(|_| {
        timed(|| {
            let check = store.check(Check::default(), 1_000).expect("checks");
            assert_eq!((check.checked, check.findings.len()), (1_000, 0));
        })
        .0
    }));
    table.time("… of which: looking through 1,000 leaves (and a head)", looked, Goal::None);

    searches(&store, &mut inventor, &known, table);
    drop(store);
    single_jobs(&folder, &mut inventor, &known, table);
    tables(sizes, &folder, table);
    full_check(&folder, table);
}

/// A job and what it is found by.
struct Known {
    job: Uuid,
    plate: String,
    vin: String,
}

fn fill(folder: &Path, inventor: &mut Inventor, jobs: usize) -> Vec<Known> {
    let mut store = open(folder, 4);
    let mut known = Vec::new();
    while known.len() < jobs {
        let mut drafts = Vec::new();
        for _ in 0..AT_ONCE.min(jobs - known.len()) {
            let visit = inventor.short_visit();
            drafts.extend(visit.drafts);
            known.push(Known { job: visit.job, plate: visit.plate, vin: visit.vin });
        }
        inventor.append(&mut store, drafts);
    }
    known
}

fn searches(store: &Store, inventor: &mut Inventor, known: &[Known], table: &mut Table) {
    let mut search = |what: &str, said: &dyn Fn(&Known) -> String| {
        let times: Vec<_> = (0..LOOKUPS)
            .map(|_| {
                let wanted = inventor.pick(known);
                let said = said(wanted);
                let (time, rows) = timed(|| store.find(&said, MOST as u32).expect("searches"));
                let found = rows.len() == MOST || rows.iter().any(|row| row.job == wanted.job);
                assert!(found, "{said} was not found");
                time
            })
            .collect();
        table.time(format!("find {what}"), median(times), Goal::Milliseconds(20.0));
    };
    search("a plate", &|it| it.plate.clone());
    search("a plate without its space, lower case", &|it| it.plate.replace(' ', "").to_lowercase());
    search("a VIN", &|it| it.vin.clone());
    search("the last six of a VIN", &|it| it.vin[11..].to_owned());
    search("the first two of a plate: 50 newest of many", &|it| it.plate[..2].to_owned());
    let listed = median((0..LOOKUPS).map(|_| {
        let (time, rows) = timed(|| store.list(MOST as u32).expect("lists"));
        assert!(rows.iter().any(|row| row.job == known[known.len() - 1].job), "the newest is listed");
        time
    }));
    table.time("list the 50 newest", listed, Goal::Milliseconds(20.0));
}

fn single_jobs(folder: &Path, inventor: &mut Inventor, known: &[Known], table: &mut Table) {
    let mut store = open(folder, 4);
    let speech = Speech { locale: Locale::EnGb };
    let opened = median((0..LOOKUPS).map(|_| {
        let wanted = inventor.pick(known).job;
        timed(|| job_view(store.job(wanted).expect("the job"), speech).expect("its view")).0
    }));
    table.time("open a job (fold and view)", opened, Goal::Milliseconds(20.0));
}

fn tables(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let mut anew = Vec::new();
    for _ in 0..3 {
        let connection = rusqlite::Connection::open(folder.join(DATABASE)).expect("opens");
        // What an opening by a version with other tables finds.
        connection.execute("UPDATE meta SET value = '0' WHERE key = 'tables'", []).expect("written");
        connection.close().expect("closes");
        let (time, store) = timed(|| open(folder, 4));
        anew.push(time);
        assert!(!store.list(MOST as u32).expect("lists").is_empty(), "the newest jobs are there at once");
    }
    table.time("open it with tables of another version", median(anew), Goal::Milliseconds(100.0));
    let mut store = open(folder, 4);
    let (time, ()) = timed(|| while !store.build_tables(500).expect("builds") {});
    let each = time / u32::try_from(sizes.jobs).expect("a count");
    table
        .note("build all tables anew, slices of 500 jobs", format!("{}, {} a job", shown(time), shown(each)));
    assert_eq!(store.list(u32::MAX).expect("lists").len(), sizes.jobs);
}

fn full_check(folder: &Path, table: &mut Table) {
    let store = open(folder, 4);
    let mut check = store.check(Check::default(), 1).expect("checks");
    let (leaves, ()) = timed(|| {
        while check.checked < check.total {
            let slice = (check.total - check.checked).min(2_000);
            check = store.check(std::mem::take(&mut check), slice).expect("checks");
        }
    });
    let (rest, ()) = timed(|| {
        while !check.done {
            check = store.check(std::mem::take(&mut check), 2_000).expect("checks");
        }
    });
    assert_eq!(check.findings, []);
    let rate = check.total as f64 / leaves.as_secs_f64();
    let all = shown(leaves);
    table.note("full check, events", format!("{rate:.0} a second ({all} for {})", check.total));
    table.note(
        "full check, then small blobs and SQLite's own check",
        format!("{} for {} blobs", shown(rest), check.blobs),
    );
}
