//! The logs: signed heads, the job's entries in them, earlier heads. Pure.

use super::Held;
use super::bag::Bag;
use super::claims::Findings;
use crate::log::bag::{LOG_FOLDER, device, read_leaves};
use crate::log::head::{self, Head};
use crate::log::proof::{Consistency, Inclusion};
use crate::log::{Hash, canon, tree};
use crate::record::events::Envelope;
use std::collections::{BTreeMap, BTreeSet};

/// A log as far as the bundle shows it.
pub(super) struct Log {
    /// Its folder below the bundle, with a slash.
    pub(super) folder: String,
    pub(super) name: String,
    pub(super) public: [u8; 32],
    pub(super) checkpoint: Vec<u8>,
    pub(super) size: u64,
    pub(super) root: Hash,
    /// Number and hash of every entry of the job.
    pub(super) leaves: Vec<(u64, Hash)>,
    /// The events that are shown, by number; those without a job are about the log.
    pub(super) shown: BTreeMap<u64, Envelope>,
}

/// Reads every log of the bundle. A log whose head is not believed is left out: nothing follows from it.
pub(super) fn read(bag: &mut Bag, findings: &mut Findings) -> Vec<Log> {
    let mut logs: Vec<Log> = Vec::new();
    for name in bag.folders(LOG_FOLDER) {
        let folder = format!("{LOG_FOLDER}{name}/");
        match checkpoint(bag, &folder, &name) {
            Ok(mut log) => {
                entries(bag, &mut log, findings);
                logs.push(log);
            }
            Err(why) => findings.fail("log.checkpoint", format!("{folder}checkpoint: {why}")),
        }
    }
    if logs.is_empty() {
        findings.fail("log.checkpoint", "no log with a head that can be believed is in the bundle");
        return logs;
    }
    let heads: Vec<String> = logs.iter().map(|log| format!("{} of {} entries", log.name, log.size)).collect();
    findings.hold("log.checkpoint", format!("signed with their own keys: {}", heads.join("; ")));
    let mut names = BTreeSet::new();
    for log in &logs {
        if !names.insert(log.name.as_str()) {
            findings.fail("log.fork", format!("two different histories of {} were signed", log.name));
        }
    }
    findings.hold("log.fork", "one history of each log");
    let entries: usize = logs.iter().map(|log| log.leaves.len()).sum();
    let shown: usize = logs.iter().map(|log| log.shown.len()).sum();
    findings
        .hold("log.leaves", format!("{entries} entries of the job are listed, each at a place of its own"));
    if entries > 0 {
        let each = format!("each of {entries} entries is in its log at the place stated");
        findings.hold("log.inclusion", each);
    } else {
        findings.fail("log.leaves", "no entry of the job is listed");
    }
    if shown > 0 {
        findings.hold("event.canonical", format!("{shown} entries are shown as they were signed"));
        findings.hold("event.place", "each says itself in which log, where, and for which job it was made");
    }
    logs
}

/// The first line of a note: the log's name.
pub(super) fn origin(note: &[u8]) -> Option<&str> {
    std::str::from_utf8(note).ok()?.split('\n').next()
}

/// A log with its head, if that is signed with the log's own key.
fn checkpoint(bag: &mut Bag, folder: &str, named: &str) -> Result<Log, String> {
    let note = bag.text(&format!("{folder}checkpoint")).ok_or("missing")?.to_vec();
    let name = origin(&note).ok_or("not a checkpoint")?.to_owned();
    // A second history of one log lies in a folder with a number behind its name.
    let own = device(&name);
    let is_its =
        named == own || named.strip_prefix(&own).is_some_and(|rest| matches!(rest, "-2" | "-3" | "-4"));
    if !is_its {
        return Err("it lies in another log's folder".to_owned());
    }
    let public = bag.key(&name)?;
    let Head { size, root, .. } = head::read(&note, &name, &public).map_err(|why| why.to_string())?;
    if size > tree::MOST_LEAVES {
        return Err("a size that no log has".to_owned());
    }
    let (leaves, shown) = (Vec::new(), BTreeMap::new());
    Ok(Log { folder: folder.to_owned(), name, public, checkpoint: note, size, root, leaves, shown })
}

/// A file of a log that is named by a number in its one form.
pub(super) fn numbered(name: &str, ending: &str) -> Option<u64> {
    let digits = name.strip_suffix(ending)?;
    digits.parse::<u64>().ok().filter(|number| number.to_string() == digits)
}

/// The job's entries and what is shown of them.
fn entries(bag: &mut Bag, log: &mut Log, findings: &mut Findings) {
    let path = format!("{}leaves.txt", log.folder);
    let read = bag.text(&path).ok_or("missing").and_then(read_leaves);
    match read {
        Ok(leaves) => log.leaves = leaves,
        Err(why) => findings.fail("log.leaves", format!("{path}: {why}")),
    }
    let listed: BTreeMap<u64, Hash> = log.leaves.iter().copied().collect();
    let names = bag.names(&log.folder);
    for name in names.iter().filter(|name| numbered(name, ".consistency").is_some()) {
        // Of use to whoever holds the earlier head.
        bag.explain(&format!("{}{name}", log.folder));
    }
    let shown = names.iter().filter_map(|name| numbered(name, ".json"));
    let all: BTreeSet<u64> = shown.chain(listed.keys().copied()).collect();
    for seq in all {
        let leaf = event(bag, log, seq, listed.contains_key(&seq), findings);
        let leaf = match (leaf, listed.get(&seq)) {
            (Some(leaf), Some(listed)) if leaf != *listed => {
                let other = format!("{}{seq}.json is another entry than the one listed", log.folder);
                findings.fail("log.leaves", other);
                continue;
            }
            (Some(leaf), _) => leaf,
            (None, Some(listed)) => *listed,
            (None, None) => continue,
        };
        if let Err(why) = inclusion(bag, log, seq, leaf) {
            findings.fail("log.inclusion", format!("{}{seq}.tlog-proof: {why}", log.folder));
        }
    }
}

/// Reads one event, if it is shown; gives its leaf hash.
fn event(bag: &mut Bag, log: &mut Log, seq: u64, of_job: bool, findings: &mut Findings) -> Option<Hash> {
    let path = format!("{}{seq}.json", log.folder);
    let job = bag.said.as_ref().map(|said| said.job);
    let bytes = bag.text(&path)?;
    let leaf = tree::leaf(bytes);
    let read = canon::read(bytes).map_err(|why| why.to_string());
    let read = read.and_then(|value| {
        serde_json::from_value::<Envelope>(value)
            .map_err(|_| "not an entry as this version knows it".to_owned())
    });
    match read {
        Ok(envelope) => {
            let place = envelope.log == log.name && envelope.seq == seq;
            // What is listed belongs to the job; what is shown beside it is about the log.
            let belongs =
                if of_job { envelope.job.is_some() && envelope.job == job } else { envelope.job.is_none() };
            if !place {
                findings.fail("event.place", format!("{path} says that it belongs elsewhere"));
            } else if !belongs {
                findings
                    .fail("event.place", format!("{path} belongs to another job, or is not listed with it"));
            }
            log.shown.insert(seq, envelope);
        }
        Err(why) => findings.fail("event.canonical", format!("{path}: {why}")),
    }
    Some(leaf)
}

fn inclusion(bag: &mut Bag, log: &Log, seq: u64, leaf: Hash) -> Result<(), String> {
    let text = bag.text(&format!("{}{seq}.tlog-proof", log.folder)).ok_or("missing")?;
    let proof = Inclusion::read(text).map_err(|why| why.to_string())?;
    if proof.checkpoint != log.checkpoint {
        return Err("it is about another head".to_owned());
    }
    if proof.seq != seq {
        return Err("it is about another place".to_owned());
    }
    if proof.holds(log.size, log.root, leaf) {
        Ok(())
    } else {
        Err("the entry is not in the log there".to_owned())
    }
}

/// Where the proof lies that the log of this size is a beginning of the log shown.
pub(super) fn consistency(log: &Log, size: u64) -> String {
    format!("{}{size}.consistency", log.folder)
}

/// Whether the log of this head is a beginning of the log shown, by the proof at `path`; an error says why not, none that
/// nothing shows it.
pub(super) fn begins(
    bag: &mut Bag,
    log: &Log,
    size: u64,
    root: Hash,
    path: &str,
) -> Result<Option<()>, String> {
    if size > log.size {
        return Err(format!("it has {size} entries, the log shown here {}: some are missing", log.size));
    }
    if size == log.size {
        return if root == log.root {
            Ok(Some(()))
        } else {
            Err("another history of as many entries".to_owned())
        };
    }
    let Some(text) = bag.text(path) else { return Ok(None) };
    let proof = Consistency::read(text).map_err(|why| why.to_string())?;
    let fits = proof.old == size && proof.checkpoint == log.checkpoint;
    if fits && proof.holds(log.size, log.root, root) {
        Ok(Some(()))
    } else {
        Err("it is not proved to be a beginning of the log shown here".to_owned())
    }
}

/// Earlier heads: those that closings name, and those that the reader holds.
pub(super) fn heads(bag: &mut Bag, logs: &[Log], held: &Held<'_>, findings: &mut Findings) {
    let mut checked = 0_u64;
    for event in logs.iter().flat_map(|log| log.shown.values()).filter(|event| event.kind == "job.closed") {
        let named = event.body.get("seen").and_then(|seen| seen.as_array());
        for head in named.into_iter().flatten() {
            let name = head.get("log").and_then(|log| log.as_str()).unwrap_or_default();
            let root = head.get("root").and_then(|root| root.as_str()).and_then(canon::unhex);
            let size = head.get("size").and_then(serde_json::Value::as_u64);
            let (Some(size), Some(root)) = (size.filter(|size| *size > 0), root) else { continue };
            // Of a log with two histories it is enough that one goes on from this head.
            let told: Vec<Result<Option<()>, String>> = logs
                .iter()
                .filter(|log| log.name == name)
                .map(|log| begins(bag, log, size, Hash(root), &consistency(log, size)))
                .collect();
            let Some(first) = told.first() else { continue };
            checked += 1;
            if told.contains(&Ok(Some(()))) {
                continue;
            }
            let why = first.clone().map_or_else(|why| why, |_| "its proof is missing".to_owned());
            let said = format!("the head of {name} that entry {} of {} names", event.seq, event.log);
            findings.fail("log.consistency", format!("{said}: {why}"));
        }
    }
    if checked > 0 {
        let text = format!("{checked} heads that closings name are beginnings of the logs shown here");
        findings.hold("log.consistency", text);
    }
    for note in held.heads {
        one_held(bag, logs, note, findings);
    }
}

fn one_held(bag: &mut Bag, logs: &[Log], note: &[u8], findings: &mut Findings) {
    let code = "log.held";
    let name = origin(note).unwrap_or_default();
    let found: Vec<&Log> = logs.iter().filter(|log| log.name == name).collect();
    if found.is_empty() {
        findings.leave_open(code, "a head that you hold is of no log in this bundle");
    }
    for log in found {
        match head::read(note, &log.name, &log.public) {
            Err(why) => findings.leave_open(code, format!("a head that you hold cannot be believed: {why}")),
            Ok(head) if head.size > log.size => {
                let text = format!("the head that you hold has {} entries, the bundle is older", head.size);
                findings.leave_open(code, text);
            }
            Ok(head) => match begins(bag, log, head.size, head.root, &consistency(log, head.size)) {
                Ok(Some(())) => {
                    let text =
                        format!("the head of {} entries that you hold is a beginning of the log", head.size);
                    findings.hold(code, text);
                }
                Ok(None) => {
                    let text = "no proof for the head that you hold; ask for a bundle that is made with it";
                    findings.leave_open(code, text);
                }
                Err(why) => findings.fail(code, format!("the head that you hold: {why}")),
            },
        }
    }
}

/// Whose word the selection is: anybody can sign a bundle of other people's entries.
pub(super) fn signer(bag: &Bag, logs: &[Log], findings: &mut Findings) {
    let Some(said) = &bag.said else { return };
    if logs.iter().any(|log| log.name == said.log && !log.leaves.is_empty()) {
        findings.hold("statement.signer", "the log whose key signed the bundle holds entries of this job");
    } else {
        let text =
            "the signer recorded nothing of this job; what was chosen, and the page, are that signer's word";
        findings.leave_open("statement.signer", text);
    }
}
