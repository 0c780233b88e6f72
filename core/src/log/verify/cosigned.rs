//! Whether closings were signed once more, by a key of the device's own. Pure.
//!
//! The statement is made anew from what the co-signature says and from the entry as the bundle lists it, so a co-signature of
//! another entry does not fit. Where the key lies is its device's word.

use super::claims::Findings;
use super::logs::Log;
use crate::log::hardware::{Statement, name};
use crate::log::{Hash, canon};
use crate::record::events::{Body, EntryCosigned, Envelope};
use crate::record::words::Cosigned;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::collections::BTreeMap;

pub(super) fn check(logs: &[Log], findings: &mut Findings) {
    let code = "closing.cosigned";
    let mut signed: BTreeMap<(String, u64), String> = BTreeMap::new();
    for event in logs.iter().flat_map(|log| log.shown.values()) {
        let Body::EntryCosigned(body) = Body::read(&event.kind, event.v, &event.body) else { continue };
        if body.entry != Cosigned::Closing {
            continue;
        }
        match holds(logs, event, &body) {
            Ok(by) => _ = signed.insert((body.log, body.seq), by),
            Err(why) => {
                let of = format!("the co-signature in entry {} of {}", event.seq, event.log);
                findings.fail(code, format!("{of}: {why}"));
            }
        }
    }
    if signed.is_empty() {
        return;
    }
    let mut open = Vec::new();
    for log in logs {
        let closings = log.shown.iter().filter(|(_, event)| event.kind == "job.closed");
        let bare = closings.filter(|(seq, _)| !signed.contains_key(&(log.name.clone(), **seq)));
        open.extend(bare.map(|(seq, _)| format!("the closing in entry {seq} of {} is not", log.name)));
    }
    let shown =
        |(log, seq): &(String, u64)| logs.iter().any(|it| it.name == *log && it.shown.contains_key(seq));
    let hidden = signed.keys().filter(|at| !shown(at));
    open.extend(hidden.map(|(log, seq)| format!("entry {seq} of {log} is not shown")));
    let told: Vec<String> = signed
        .iter()
        .map(|((log, seq), by)| format!("the closing in entry {seq} of {log} is co-signed: {by}"))
        .collect();
    let text = told.into_iter().chain(open.iter().cloned()).collect::<Vec<_>>().join("; ");
    if open.is_empty() { findings.hold(code, text) } else { findings.leave_open(code, text) }
}

/// By which key an entry was co-signed, or why it was not.
fn holds(logs: &[Log], event: &Envelope, body: &EntryCosigned) -> Result<String, String> {
    if body.log != event.log {
        return Err(format!("it names an entry of {}, and a device signs its own", body.log));
    }
    let is_named = |seq: u64, leaf: &Hash| seq == body.seq && canon::hex(&leaf.0) == body.leaf;
    let lists =
        |log: &&Log| log.name == body.log && log.leaves.iter().any(|(seq, leaf)| is_named(*seq, leaf));
    let log = logs.iter().find(lists);
    let log = log.ok_or_else(|| format!("the entry that it names, {}, is not the one listed", body.seq))?;
    let entry = log.shown.get(&body.seq);
    if entry.is_some_and(|entry| entry.kind != "job.closed") {
        return Err(format!("the entry that it names, {}, is no closing", body.seq));
    }
    let decode = |text: &str| STANDARD.decode(text).map_err(|_| "key or signature is not base64".to_owned());
    let (public, signature) = (decode(&body.public)?, decode(&body.signature)?);
    let leaf = Hash(canon::unhex(&body.leaf).ok_or("its leaf is no hash")?);
    let statement = Statement { entry: body.entry, log: &body.log, seq: body.seq, leaf, held: body.key };
    statement.verify(&public, &signature).map_err(|why| why.to_string())?;
    let name = name(&public).map_err(|why| why.to_string())?;
    Ok(format!("{}; key {name}", body.key.text()))
}
