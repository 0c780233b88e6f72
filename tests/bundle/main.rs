//! Bundles: what one holds, that whoever changes it is told, and that nothing that a stranger hands in does harm.

mod cosigned;
mod door;
mod flips;
mod hostile;
mod made;
mod signed_lies;
mod times;
mod witness;

use made::Files;
use sidelong_core::log::verify::{Held, Report, Verdict, verify};

/// What is said of a bundle in memory that can be read.
fn said(files: &Files) -> Report {
    verify(files, &Held::default()).unwrap_or_else(|why| panic!("{why}"))
}

/// The lines that failed: code and text.
fn failed(report: &Report) -> Vec<(&str, &str)> {
    let failed = report.claims.iter().filter(|claim| claim.verdict == Verdict::Fail);
    failed.map(|claim| (claim.code, claim.text.as_str())).collect()
}

/// Nothing failed, and these passed.
fn holds(report: &Report, codes: &[&str]) {
    assert_eq!(failed(report), []);
    for code in codes {
        assert_eq!(report.verdict(code), Some(Verdict::Pass), "{code}: {report:?}");
    }
}

/// This failed, with these words.
fn fails(report: &Report, code: &str, words: &str) {
    let found = failed(report);
    assert!(found.iter().any(|(it, text)| *it == code && text.contains(words)), "{code}, {words}: {found:?}");
}
