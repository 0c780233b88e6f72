//! A second opinion on what a verifier passed, reached with SHA-256, Ed25519 and string cutting alone.

use crate::made::Files;
use crate::note::text_signed_by;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};
use sidelong_core::log::verify::{Report, Verdict};
use std::collections::{BTreeMap, BTreeSet};

/// Every PASS that can be looked at again holds; the verifier's paragraph on what no bundle shows is there.
pub fn look_again(files: &Files, report: &Report) {
    let passed = |code: &str| report.verdict(code) == Some(Verdict::Pass);
    // Never is it said that nothing failed of a bundle whose statement does not hold.
    assert!(report.failed() || stated(files, report).is_some(), "the statement does not hold: {report:?}");
    if passed("bag.manifest") {
        assert!(listed(files, "manifest-sha256.txt"), "bag.manifest passes");
        assert!(listed(files, "tagmanifest-sha256.txt"), "bag.manifest passes with other tag files");
    }
    if passed("bag.unlisted") {
        assert!(nothing_else(files), "bag.unlisted passes");
    }
    if passed("statement.signature") {
        assert!(stated(files, report).is_some(), "statement.signature passes");
    }
    // A log whose head failed has no tree to look into, while another's entries pass.
    if passed("log.inclusion") && !report.failed() {
        included(files);
    }
    for code in ["clock.device", "scene.genuine", "operator.identity", "capture.not_before"] {
        assert_eq!(report.verdict(code), Some(Verdict::NotProven), "{code}: no bundle shows that");
    }
}

fn text<'a>(files: &'a Files, path: &str) -> Option<&'a str> {
    std::str::from_utf8(files.get(path)?).ok()
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn lines<'a>(files: &'a Files, manifest: &str) -> Vec<(&'a str, &'a str)> {
    text(files, manifest).unwrap_or_default().lines().filter_map(|line| line.split_once("  ")).collect()
}

/// As `sha256sum -c` would say.
fn listed(files: &Files, manifest: &str) -> bool {
    let lines = lines(files, manifest);
    let fits =
        |(hash, path): &(&str, &str)| files.get(*path).is_some_and(|it| hex(&Sha256::digest(it)) == *hash);
    !lines.is_empty() && lines.iter().all(fits)
}

fn nothing_else(files: &Files) -> bool {
    let beside =
        ["bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt", "statement.txt"];
    let known: BTreeSet<&str> =
        lines(files, "manifest-sha256.txt").iter().map(|(_, path)| *path).chain(beside).collect();
    files.keys().all(|path| known.contains(path.as_str()))
}

/// The statement is signed with the key that it names and is about these files.
fn stated(files: &Files, report: &Report) -> Option<()> {
    let said = text(files, "statement.txt")?;
    let of = |name: &str| said.lines().find_map(|line| line.strip_prefix(name));
    let log = of("log ")?;
    let vkey = text(files, &format!("data/keys/{}.vkey", log.replace('/', "-")))?.trim_end();
    let (name, key) = vkey.split_once('+')?;
    let key = STANDARD.decode(key.split_once('+')?.1).ok()?;
    let public: [u8; 32] = key.get(1..)?.try_into().ok()?;
    let named = format!("sidelong/{}", hex(&Sha256::digest(public)[..16]));
    let tags = hex(&Sha256::digest(files.get("tagmanifest-sha256.txt")?));
    let signed = text_signed_by(files.get("statement.txt")?, log, &public)?;
    let fits = name == log
        && named == log
        && report.signed_by.as_deref() == Some(log)
        && signed.lines().any(|line| line == format!("tagmanifest-sha256 {tags}"))
        && signed.starts_with("sidelong/bundle/v1\n");
    fits.then_some(())
}

/// Every event that is shown lies where its proof says, under a root that its log signed (RFC 6962 section 2.1.1).
fn included(files: &Files) {
    let mut roots: BTreeMap<&str, (u64, Vec<u8>)> = BTreeMap::new();
    for (path, bytes) in files {
        let Some(file) = path.strip_prefix("data/log/").filter(|it| it.ends_with(".json")) else { continue };
        let Some((folder, name)) = file.split_once('/') else { continue };
        let Ok(seq) = name.trim_end_matches(".json").parse::<u64>() else { continue };
        if name != format!("{seq}.json") || name.contains('/') {
            continue;
        }
        let note = text(files, &format!("data/log/{folder}/checkpoint")).expect("a checkpoint");
        let head: Vec<&str> = note.lines().collect();
        let key = head[0].replace('/', "-");
        let vkey = text(files, &format!("data/keys/{key}.vkey")).expect("a key");
        let public = STANDARD.decode(vkey.trim_end().rsplit_once('+').expect("a key").1).expect("base64");
        let public: [u8; 32] = public[1..].try_into().expect("32 bytes");
        text_signed_by(note.as_bytes(), head[0], &public).expect("a checkpoint that its log signed");
        let root = STANDARD.decode(head[2]).expect("a root");
        let (size, root) = roots.entry(folder).or_insert((head[1].parse().expect("a size"), root));
        let proof = text(files, &format!("data/log/{folder}/{seq}.tlog-proof")).expect("a proof");
        let hashes = proof.lines().skip(2).take_while(|line| !line.is_empty());
        let hashes: Vec<Vec<u8>> = hashes.map(|line| STANDARD.decode(line).expect("a hash")).collect();
        let leaf = Sha256::digest([&[0], bytes.as_slice()].concat()).to_vec();
        assert_eq!(led_to(leaf, seq, *size, &hashes).as_ref(), Some(&*root), "{path} is not in the log");
    }
}

/// The root that a leaf and its proof lead to; RFC 9162 section 2.1.3.2, which says the same as RFC 6962 as steps.
fn led_to(leaf: Vec<u8>, seq: u64, size: u64, hashes: &[Vec<u8>]) -> Option<Vec<u8>> {
    let (mut at, mut last, mut node) = (seq, size.checked_sub(1).filter(|last| seq <= *last)?, leaf);
    let join = |left: &[u8], right: &[u8]| Sha256::digest([&[1], left, right].concat()).to_vec();
    for hash in hashes {
        if last == 0 {
            return None;
        }
        if at % 2 == 1 || at == last {
            node = join(hash, &node);
            while at % 2 == 0 && at != 0 {
                (at, last) = (at / 2, last / 2);
            }
        } else {
            node = join(&node, hash);
        }
        (at, last) = (at / 2, last / 2);
    }
    (last == 0).then_some(node)
}
