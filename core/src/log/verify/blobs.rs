//! Photos and texts: each is what the entries name, and none is missing without a word. Pure.

use super::bag::Bag;
use super::claims::{Counts, Findings};
use super::logs::Log;
use crate::log::bag::{BLOB_FOLDER, BLOBS, Blob, Kept, read_blobs};
use crate::log::canon;
use crate::record::words::BlobState;
use std::collections::BTreeMap;

/// Checks them; gives how many there are of each state.
pub(super) fn check(bag: &mut Bag, logs: &[Log], findings: &mut Findings) -> Counts {
    let code = "blob.hash";
    let mut named: BTreeMap<[u8; 32], u64> = BTreeMap::new();
    for blob in logs.iter().flat_map(|log| log.shown.values()).flat_map(|event| &event.blobs) {
        match canon::unhex(&blob.sha256).filter(|hash| canon::hex(hash) == blob.sha256) {
            Some(hash) if named.insert(hash, blob.len).is_some_and(|before| before != blob.len) => {
                findings.fail(code, format!("two entries say different lengths of {}", blob.sha256));
            }
            Some(_) => {}
            None => findings.fail(code, format!("\"{}\" is no hash", blob.sha256)),
        }
    }
    let listed = match bag.text(BLOBS).map(read_blobs) {
        Some(Ok(listed)) => listed,
        Some(Err(why)) => {
            findings.fail(code, format!("{BLOBS}: {why}"));
            Vec::new()
        }
        None => {
            findings.fail(code, format!("{BLOBS} is missing"));
            Vec::new()
        }
    };
    let mut counts = Counts::default();
    for blob in &listed {
        let hex = canon::hex(&blob.sha256);
        if named.get(&blob.sha256) != Some(&blob.len) {
            findings.fail(code, format!("{BLOBS} lists {hex}, which no entry shown here names so"));
        }
        *match blob.kept {
            Kept::State(BlobState::Here) => &mut counts.blobs,
            Kept::State(BlobState::Erased) => &mut counts.blobs_erased,
            Kept::State(BlobState::Elsewhere | BlobState::Lost) => &mut counts.blobs_elsewhere,
            Kept::Withheld => &mut counts.blobs_withheld,
        } += 1;
        one(bag, blob, &hex, findings);
    }
    let listed: BTreeMap<[u8; 32], &Blob> = listed.iter().map(|blob| (blob.sha256, blob)).collect();
    for hash in named.keys().filter(|hash| !listed.contains_key(*hash)) {
        findings.fail(code, format!("{BLOBS} does not say where {} is", canon::hex(hash)));
    }
    for name in bag.names(BLOB_FOLDER) {
        let known = canon::unhex(&name).and_then(|hash| listed.get(&hash));
        if known.is_none_or(|blob| blob.kept != Kept::State(BlobState::Here)) {
            findings.fail(code, format!("{BLOB_FOLDER}{name} is here and {BLOBS} does not say so"));
        }
        bag.explain(&format!("{BLOB_FOLDER}{name}"));
    }
    let away = counts.blobs_withheld + counts.blobs_erased + counts.blobs_elsewhere;
    if counts.blobs > 0 {
        let here = format!("{} photos and texts are what the entries name", counts.blobs);
        findings.hold(code, if away == 0 { here } else { format!("{here}; {away} are not here") });
    } else if away > 0 {
        findings.leave_open(code, format!("none of {away} photos and texts that are named is here"));
    }
    counts
}

/// One line: a file that is here has the hash and length that the entries name.
fn one(bag: &Bag, blob: &Blob, hex: &str, findings: &mut Findings) {
    let file = bag.hashes.get(&format!("{BLOB_FOLDER}{hex}"));
    if blob.kept == Kept::State(BlobState::Here) && file != Some(&(blob.sha256, blob.len)) {
        let found = if file.is_none() { "missing" } else { "not what the entries name" };
        findings.fail("blob.hash", format!("{BLOB_FOLDER}{hex} is {found}"));
    }
}
