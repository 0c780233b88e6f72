//! Leaves and root of a log beside the rate at which openssl hashes blocks of that size; reading canonical bytes.

use crate::Sizes;
use crate::invented::Inventor;
use crate::measure::{Goal, Table, median, middle, timed};
use sidelong_core::log::canon;
use sidelong_core::log::seal::seal;
use sidelong_core::log::tree::{InMemory, leaf};
use sidelong_core::record::events::Envelope;
use std::path::Path;
use std::process::Command;

const LOG: &str = "sidelong/0123456789abcdef0123456789abcdef";

pub fn measure(sizes: &Sizes, _folder: &Path, table: &mut Table) {
    let mut inventor = Inventor::new(9);
    let mut events = Vec::new();
    while (events.len() as u64) < sizes.hashed {
        let moment = inventor.moment();
        for draft in inventor.long_visit(80, &[]).drafts {
            let seq = events.len() as u64;
            events.push(seal(draft, LOG, seq, seq + 1, &moment, || [7; 16]).expect("sealed").bytes);
        }
    }
    events.truncate(usize::try_from(sizes.hashed).expect("a count"));
    let bytes: usize = events.iter().map(Vec::len).sum();
    let block = bytes / events.len();

    let mut rates = Vec::new();
    let mut hashed = Vec::new();
    for _ in 0..sizes.rounds.min(7) {
        let (leaves, ()) = timed(|| events.iter().for_each(|event| _ = std::hint::black_box(leaf(event))));
        let (whole, _) = timed(|| {
            let mut tree = InMemory::default();
            for event in &events {
                tree.push(leaf(event)).expect("grows");
            }
            tree.root().expect("a root")
        });
        hashed.push(whole);
        let rate = |time: std::time::Duration| bytes as f64 / time.as_secs_f64() / 1e6;
        rates.push((rate(leaves), rate(whole), openssl(block)));
    }
    let of = |pick: fn(&(f64, f64, f64)) -> f64| middle(rates.iter().map(pick));
    let peer = format!("{:.0} MB/s: openssl speed -bytes {block} sha256", of(|it| it.2));
    table.ratio(
        format!("leaves and root of {} events of {block} bytes", sizes.hashed),
        format!("{:.0} MB/s", of(|it| it.1)),
        peer.clone(),
        of(|it| it.1 / it.2),
        Goal::AtLeast(0.5),
    );
    table.ratio(
        "… the leaves alone",
        format!("{:.0} MB/s", of(|it| it.0)),
        peer,
        of(|it| it.0 / it.2),
        Goal::None,
    );

    let each = u32::try_from(events.len()).expect("a count");
    let read =
        median((0..sizes.rounds.min(5)).map(|_| {
            timed(|| events.iter().for_each(|event| drop(canon::read(event).expect("canonical")))).0
        }));
    table.time("… canonical check of one event", read / each, Goal::None);
    let parsed = median((0..sizes.rounds.min(5)).map(|_| {
        timed(|| {
            for event in &events {
                drop(serde_json::from_slice::<Envelope>(event).expect("an envelope"));
            }
        })
        .0
    }));
    table.time("… parsing one event", parsed / each, Goal::None);
    let shares = [median(hashed), read, parsed].map(|time| time.as_secs_f64());
    let share = |at: usize| 100.0 * shares[at] / shares.iter().sum::<f64>();
    table.note(
        "… shares of looking through a log: leaves and root, canonical check, parsing",
        format!("{:.0} %, {:.0} %, {:.0} %", share(0), share(1), share(2)),
    );
}

/// MB/s at which openssl hashes blocks of this size, by the wall clock.
fn openssl(block: usize) -> f64 {
    let done = Command::new("openssl")
        .args(["speed", "-mr", "-elapsed", "-seconds", "1", "-bytes", &block.to_string(), "sha256"])
        .output()
        .expect("openssl is installed");
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    // `+F:6:sha256:1358834400.00`
    let rate =
        text.lines().filter(|line| line.starts_with("+F:")).filter_map(|line| line.rsplit(':').next()).next();
    rate.and_then(|rate| rate.trim().parse::<f64>().ok())
        .unwrap_or_else(|| panic!("openssl speed said {text}"))
        / 1e6
}
