//! A bundle that a stranger made up: the fixture with files changed, added and taken away, as it is, listed anew, or listed and
//! signed anew; logs of made-up events, put into trees and signed as they should be; or a made-up statement about the
//! fixture, signed. Whatever passes is looked at again by [`judge`].
//!
//! The first byte says which. An archive follows: for each file a byte, the length of its path, the path, its length in two
//! bytes (65,535: the file is taken away), and the bytes. For made-up events one a line; for a statement its text.

use crate::made::{self, Files, Log, here, sealed, two_phones};
use crate::{judge, note};
use sidelong_core::log::bag::{Disclosed, STATEMENT_NAME};
use sidelong_core::log::head::LogKey;
use sidelong_core::log::verify::{Held, Verdict, verify};
use std::sync::OnceLock;

/// Length that takes a file away.
const GONE: usize = 0xffff;

/// Most events that are made up.
const MOST: usize = 8;

fn fixture() -> &'static Files {
    static KEPT: OnceLock<Files> = OnceLock::new();
    KEPT.get_or_init(|| two_phones().2)
}

/// An archive laid over the fixture.
pub fn bundle(bytes: &[u8]) {
    let Some((how, rest)) = bytes.split_first() else { return };
    let key = |seed: u8| LogKey::from_seed(&[seed; 32], false);
    match how % 7 {
        0 => unsigned(&laid_over(rest)),
        1 => signed(laid_over(rest), &key(1), Disclosed::Whole),
        2 => signed(laid_over(rest), &key(1), Disclosed::Chosen),
        3 => signed(laid_over(rest), &key(3), Disclosed::Whole),
        4 => made_up(rest),
        5 => {
            let mut files = sealed(laid_over(rest), &key(1), Disclosed::Whole);
            let kept = fixture().get(STATEMENT_NAME).cloned();
            files.extend(kept.map(|kept| (STATEMENT_NAME.to_owned(), kept)));
            unsigned(&files);
        }
        _ => {
            let mut files = fixture().clone();
            files.insert(STATEMENT_NAME.to_owned(), note::signed(rest, &[1; 32]));
            if let Ok(report) = verify(&files, &Held::default()) {
                judge::look_again(&files, &report);
            }
        }
    }
}

/// Nobody but the fixture's phones has their keys, and they signed one bundle.
fn unsigned(files: &Files) {
    let Ok(report) = verify(files, &Held::default()) else { return };
    judge::look_again(files, &report);
    assert!(report.failed() || files == fixture(), "a changed bundle passes: {report:?}");
}

/// The fixture with the archive's files.
fn laid_over(mut archive: &[u8]) -> Files {
    let mut files = fixture().clone();
    while let Some((path, len, rest)) = next(archive) {
        let (bytes, rest) = if len == GONE { (None, rest) } else { taken(rest, len) };
        match bytes {
            Some(bytes) => _ = files.insert(path, bytes.to_vec()),
            None => _ = files.remove(&path),
        }
        archive = rest;
    }
    files
}

fn next(archive: &[u8]) -> Option<(String, usize, &[u8])> {
    let (len, rest) = archive.split_first()?;
    let (path, rest) = rest.split_at_checked(usize::from(*len))?;
    let (len, rest) = rest.split_first_chunk()?;
    Some((String::from_utf8_lossy(path).into_owned(), usize::from(u16::from_le_bytes(*len)), rest))
}

fn taken(rest: &[u8], len: usize) -> (Option<&[u8]>, &[u8]) {
    let (bytes, rest) = rest.split_at(len.min(rest.len()));
    (Some(bytes), rest)
}

/// Listed and signed anew.
fn signed(files: Files, key: &LogKey, disclosed: Disclosed) {
    let files = sealed(files, key, disclosed);
    if let Ok(report) = verify(&files, &Held::default()) {
        judge::look_again(&files, &report);
    }
}

/// A log of made-up leaves, whole in its bundle and signed as it should be: only what the leaves say can be wrong.
fn made_up(lines: &[u8]) {
    let mut log = Log::new(1);
    log.add("job.opened", serde_json::json!({}), &[b"photo"]);
    log.leaves.extend(lines.split(|it| *it == b'\n').take(MOST).map(<[u8]>::to_vec));
    let files = made::bundle(vec![log.part(|_| true, &[1])], &[here(b"photo")], &log.key, Disclosed::Whole);
    let report = verify(&files, &Held::default()).expect("it can be read");
    judge::look_again(&files, &report);
    for code in ["bag.manifest", "bag.unlisted", "statement.signature", "log.checkpoint", "log.inclusion"] {
        assert_eq!(report.verdict(code), Some(Verdict::Pass), "{code} of a bundle in order: {report:?}");
    }
}
