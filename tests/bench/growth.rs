//! Appending to a long log beside appending to a short one.

use crate::Sizes;
use crate::invented::{Inventor, open};
use crate::measure::{Goal, Table, shown, side_by_side, timed};
use sidelong_core::store::Store;
use std::path::Path;
use std::time::Duration;

/// Events in one commit while a log is made, and jobs among them: as many as a store keeps at hand.
const JOBS: usize = 8;
const EACH: usize = 125;

/// Single events in a round.
const SINGLE: usize = 40;

pub fn measure(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let (mut inventor, mut store) = (Inventor::new(2), open(&folder.join("small"), 2));
    grow(&mut store, &mut inventor, sizes.small_log);
    let mut small = (inventor, store);
    let (mut inventor, mut store) = (Inventor::new(3), open(&folder.join("big"), 3));
    let (time, ()) = timed(|| grow(&mut store, &mut inventor, sizes.big_log));
    table.note(
        format!("a log of {} events made in commits of {}", sizes.big_log, JOBS * EACH),
        format!("{} an event", shown(time / u32::try_from(sizes.big_log).expect("a count"))),
    );
    let mut big = (inventor, store);

    let peer = format!("at {} leaves", sizes.small_log);
    let pair = side_by_side(sizes.rounds, || one_by_one(&mut big), || one_by_one(&mut small));
    let what = format!("append at {} leaves, one a commit", sizes.big_log);
    table.compare(what, &peer, pair, SINGLE as u32, Goal::AtMost(1.5));
    // Hundreds of events share two syncs, so this is what the disk's own time does not hide.
    let pair = side_by_side(sizes.rounds, || at_once(&mut big), || at_once(&mut small));
    let what = format!("append at {} leaves, {} a commit", sizes.big_log, JOBS * EACH);
    table.compare(what, &peer, pair, (JOBS * EACH) as u32, Goal::AtMost(1.5));
}

/// Brings a log to `size` leaves.
fn grow(store: &mut Store, inventor: &mut Inventor, size: u64) {
    let batch = (JOBS * EACH) as u64;
    assert_eq!(size % batch, 0, "whole commits");
    for _ in 0..size / batch {
        commit(store, inventor);
    }
    assert_eq!(store.logs().expect("logs")[0].size, size);
}

fn commit(store: &mut Store, inventor: &mut Inventor) {
    let drafts = (0..JOBS).flat_map(|_| inventor.long_visit(EACH, &[]).drafts).collect();
    inventor.append(store, drafts);
}

fn at_once((inventor, store): &mut (Inventor, Store)) -> Duration {
    let drafts = (0..JOBS).flat_map(|_| inventor.long_visit(EACH, &[]).drafts).collect();
    timed(|| inventor.append(store, drafts)).0
}

fn one_by_one((inventor, store): &mut (Inventor, Store)) -> Duration {
    let visit = inventor.long_visit(SINGLE, &[]);
    timed(|| visit.drafts.into_iter().for_each(|draft| inventor.append(store, vec![draft]))).0
}
