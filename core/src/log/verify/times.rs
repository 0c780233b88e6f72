//! Time tokens over earlier heads of the logs shown: of which entries they speak, and whether the reader's authorities
//! vouch for them. Pure.
//!
//! A token that is wrong fails: it is of other bytes, was changed, or is by somebody who was no authority at its time. One that
//! only lacks something (a root that the reader trusts, a certificate, an algorithm known here) stays open.

use super::Held;
use super::bag::Bag;
use super::claims::Findings;
use super::logs::{Log, begins, origin};
use crate::log::bag::ANCHOR_FOLDER;
use crate::log::canon;
use crate::log::head::{self, Head};
use crate::log::timestamp::{Stamp, gap};
use crate::record::times;

const CODE: &str = "time.not_later_than";

/// Most tokens that are told one by one.
const MOST_TOLD: usize = 5;

/// What became of one token.
enum Told {
    Holds(String),
    Open(String),
    Fails(String),
}

pub(super) fn check(bag: &mut Bag, logs: &[Log], held: &Held<'_>, findings: &mut Findings) {
    let (mut holds, mut open) = (Vec::new(), Vec::new());
    let names = bag.anchors();
    for name in names.iter().filter_map(|name| name.strip_suffix(".tsr")) {
        let Some(told) = one(bag, logs, held, name) else { continue };
        match told {
            Told::Holds(text) => holds.push(text),
            Told::Open(text) => open.push(text),
            Told::Fails(text) => findings.fail(CODE, format!("{ANCHOR_FOLDER}{name}: {text}")),
        }
    }
    let told = if holds.is_empty() { &open } else { &holds };
    if told.is_empty() {
        return;
    }
    let mut text = told.iter().take(MOST_TOLD).cloned().collect::<Vec<_>>().join("; ");
    if told.len() > MOST_TOLD {
        text += &format!("; and {} more", told.len() - MOST_TOLD);
    }
    if holds.is_empty() {
        findings.leave_open(CODE, text);
    } else {
        findings.hold(CODE, format!("{text}; whether a certificate was revoked was not looked at"));
    }
}

/// Judges one token; none when the head that it is of is not there, so that nothing explains the file.
fn one(bag: &mut Bag, logs: &[Log], held: &Held<'_>, name: &str) -> Option<Told> {
    let path = format!("{ANCHOR_FOLDER}{name}");
    let of = |log: &&Log| name == canon::hex(&canon::sha256(&log.checkpoint));
    let beside = bag.text(&format!("{path}.checkpoint")).map(<[u8]>::to_vec);
    let checkpoint = beside.or_else(|| logs.iter().find(of).map(|log| log.checkpoint.clone()))?;
    let token = bag.text(&format!("{path}.tsr"))?.to_vec();
    let proof = format!("{path}.consistency");
    bag.explain(&proof);
    if canon::hex(&canon::sha256(&checkpoint)) != name {
        return Some(Told::Fails("the head beside it is not the one that it is named after".to_owned()));
    }
    let name = origin(&checkpoint).unwrap_or_default();
    let open = |why: &str| Told::Open(format!("a time-stamp token is in the bundle; {why}"));
    let mut found = Err(open("it is of a log that is not in this bundle"));
    // Of a log with two histories it is enough that one goes on from this head.
    for log in logs.iter().filter(|log| log.name == name) {
        found = match head::read(&checkpoint, &log.name, &log.public) {
            Ok(head) => match begins(bag, log, head.size, head.root, &proof) {
                Ok(Some(())) => Ok((log, head)),
                Ok(None) => Err(open("the proof that the log goes on from its head is missing")),
                Err(why) => Err(Told::Fails(format!("its head: {why}"))),
            },
            Err(why) => Err(Told::Fails(format!("its head is not believed: {why}"))),
        };
        if found.is_ok() {
            break;
        }
    }
    let (log, head) = match found {
        Ok(found) => found,
        Err(told) => return Some(told),
    };
    let covered = log.leaves.iter().filter(|(seq, _)| *seq < head.size).count();
    let entries: usize = logs.iter().map(|log| log.leaves.len()).sum();
    let counted = format!("{covered} of {entries} entries");
    Some(match held.time.map(|check| check(&token, &checkpoint)) {
        None => Told::Open(format!(
            "a time-stamp token over {counted} is in the bundle; it was not checked, because no authority that you trust was named"
        )),
        Some(Err(why)) if why.is_wrong() => Told::Fails(why.to_string()),
        Some(Err(why)) => Told::Open(format!("the time-stamp token over {counted} is not believed: {why}")),
        Some(Ok(_)) if covered == 0 => {
            Told::Open(format!("a time-stamp token speaks of {}, and of no entry of this job", log.name))
        }
        Some(Ok(stamp)) => Told::Holds(said(log, &head, &stamp, &counted)),
    })
}

fn said(log: &Log, head: &Head, stamp: &Stamp, counted: &str) -> String {
    let time = stamp.not_later_than_ms();
    let newest = log.shown.range(..head.size).next_back().map_or_else(String::new, |(seq, event)| {
        let said = times::rfc3339(event.at, 0);
        format!("; the phone's clock said {said} for entry {seq}, {}", gap(event.at, time))
    });
    format!(
        "{counted} (the first {} of {}) existed not later than {}, says {}, vouched for by {}{newest}",
        head.size,
        log.name,
        times::rfc3339(time, 0),
        stamp.authority,
        stamp.root
    )
}
