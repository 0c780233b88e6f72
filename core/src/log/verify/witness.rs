//! Co-signatures: heads of the logs that others have signed, and whether the logs shown here go on from them. Pure.
//!
//! A key in the bundle says only that the co-signature is that key's; whose key it is, the reader has to know. What does not
//! fit the log is told all the same, whoever signed it: the log's own signature stands under that head too.

use super::Held;
use super::bag::Bag;
use super::claims::Findings;
use super::logs::{Log, begins, consistency, numbered};
use crate::log::cosign::{self, Cosignature, Witness};
use crate::log::head;
use crate::record::times;

const CODE: &str = "witness";

/// Checks every co-signed head.
pub(super) fn check(bag: &mut Bag, logs: &[Log], held: &Held<'_>, findings: &mut Findings) {
    let (mut known, mut others) = (Vec::new(), Vec::new());
    let mut tell = |log: &Log, size: u64, found: Vec<Cosignature>| {
        for it in found {
            let is_known = held.witnesses.iter().any(|witness| witness.name() == it.witness);
            if is_known { &mut known } else { &mut others }.push(said(log, size, &it));
        }
    };
    for log in logs {
        match cosign::cosignatures(&log.checkpoint, (&log.name, &log.public), held.witnesses) {
            Ok(found) => tell(log, log.size, found),
            Err(why) => findings.fail(CODE, format!("{}checkpoint: {why}", log.folder)),
        }
        for name in bag.names(&log.folder) {
            let Some(size) = numbered(&name, ".cosigned") else { continue };
            let path = format!("{}{name}", log.folder);
            match one(bag, log, size, &path, held.witnesses) {
                Ok(found) => tell(log, size, found),
                Err(why) => findings.fail(CODE, format!("{path}: {why}")),
            }
        }
    }
    if !known.is_empty() {
        findings.hold(CODE, known.join("; "));
    } else if !others.is_empty() {
        let text =
            format!("{}; you gave none of these keys, so whose they are is not known", others.join("; "));
        findings.leave_open(CODE, text);
    }
}

/// One co-signed head: the log and every witness that it names have signed it, and the log shown goes on from it.
fn one(
    bag: &mut Bag,
    log: &Log,
    size: u64,
    path: &str,
    known: &[Witness],
) -> Result<Vec<Cosignature>, String> {
    let note = bag.text(path).ok_or("missing")?.to_vec();
    let head = head::read(&note, &log.name, &log.public).map_err(|why| format!("its head: {why}"))?;
    if head.size != size {
        return Err(format!("it is a head of {} entries", head.size));
    }
    let mut witnesses = Vec::new();
    let names = cosign::named(&note, &log.name);
    for name in &names {
        let in_bundle = bag.key(name);
        // A key that the reader brings along counts before one of the bundle's.
        witnesses.push(match known.iter().find(|it| it.name() == name) {
            Some(known) => known.clone(),
            None => Witness::new(name, &in_bundle?).map_err(|why| why.to_string())?,
        });
    }
    let found =
        cosign::cosignatures(&note, (&log.name, &log.public), &witnesses).map_err(|why| why.to_string())?;
    // A line that was not checked could be changed without a word.
    if found.is_empty() || found.len() != names.len() {
        return Err("it holds a line that is no co-signature of the key that it names, or none".to_owned());
    }
    let by = || found.iter().map(|it| it.witness.as_str()).collect::<Vec<_>>().join(", ");
    match begins(bag, log, size, head.root, &consistency(log, size)) {
        Ok(Some(())) => Ok(found),
        Ok(None) => Err("the proof that the log goes on from it is missing".to_owned()),
        Err(why) => Err(format!("{} co-signed what the log shown here does not hold: {why}", by())),
    }
}

fn said(log: &Log, size: u64, by: &Cosignature) -> String {
    let covered = log.leaves.iter().filter(|(seq, _)| *seq < size).count();
    let at = i64::try_from(by.time_s).ok().and_then(|seconds| seconds.checked_mul(1_000));
    let at = at.map_or_else(|| format!("{} s after 1970", by.time_s), |ms| times::spoken(ms, 0, ""));
    format!(
        "{} co-signed {size} of {} entries of {}, {covered} of {} entries of this job among them, at {at} by its own clock",
        by.witness,
        log.size,
        log.name,
        log.leaves.len()
    )
}
