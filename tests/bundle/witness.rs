//! Co-signed heads in a bundle: what a reader who knows the witness can take from them, and what none has to believe.

use crate::door::bundled;
use crate::made::{Files, Log, bundle, sealed};
use crate::{failed, fails, holds, said};
use sidelong_core::api::JoinView;
use sidelong_core::log::bag::Disclosed;
use sidelong_core::log::cosign::Witness;
use sidelong_core::log::head::LogKey;
use sidelong_core::log::verify::{Held, Report, Verdict, verify};
use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_tests::{Phone, closing, mark};
use std::path::Path;

fn witness(key: &LogKey) -> Witness {
    Witness::new(key.name(), &key.public()).expect("a witness")
}

fn told(files: &Files, witnesses: &[Witness]) -> Report {
    verify(files, &Held { witnesses, ..Held::default() }).expect("reads")
}

fn text(report: &Report) -> &str {
    &report.claims.iter().find(|claim| claim.code == "witness").expect("told").text
}

/// A log of nine entries, three of them of the job.
fn log() -> Log {
    let mut log = Log::new(1);
    log.others(4);
    (0..2).for_each(|n| log.add("note.written", serde_json::json!({ "n": n }), &[]));
    log.others(2);
    log.add("note.written", serde_json::json!({"last": 1}), &[]);
    log
}

#[test]
fn whose_key_it_is_the_reader_has_to_know() {
    let (log, neighbour, stranger) = (log(), Log::new(5).key, Log::new(6).key);
    let files = bundle(vec![log.witnessed(6, &[&neighbour])], &[], &log.key, Disclosed::Whole);
    let report = said(&files);
    holds(&report, &["bag.meaning", "log.inclusion"]);
    assert_eq!(report.verdict("witness"), Some(Verdict::NotProven));
    let expected = format!(
        "{} co-signed 6 of 9 entries of {}, 2 of 3 entries of this job among them, at Tue 9 June 2026, 07:10:00 (UTC+00:00) \
         by its own clock",
        neighbour.name(),
        log.key.name()
    );
    assert_eq!(
        text(&report),
        format!("{expected}; you gave none of these keys, so whose they are is not known")
    );
    let report = told(&files, &[witness(&stranger), witness(&neighbour)]);
    holds(&report, &["witness", "bag.meaning"]);
    assert_eq!(text(&report), expected);
    assert_eq!(told(&files, &[witness(&stranger)]).verdict("witness"), Some(Verdict::NotProven));

    // Two on one head, one of whom is known; the newest head; a witness with a name of its own.
    let of_two =
        |size| bundle(vec![log.witnessed(size, &[&neighbour, &stranger])], &[], &log.key, Disclosed::Whole);
    for size in [6, 9] {
        let report = told(&of_two(size), &[witness(&stranger)]);
        holds(&report, &["witness", "bag.meaning"]);
        assert!(text(&report).starts_with(stranger.name()) && !text(&report).contains(neighbour.name()));
    }
    // Without a key in the bundle only who brings one can check it.
    let mut other = files;
    other.remove(&format!("data/keys/{}.vkey", neighbour.name().replace('/', "-")));
    let other = sealed(other, &log.key, Disclosed::Whole);
    fails(&said(&other), "witness", "vkey is missing");
    holds(&told(&other, &[witness(&neighbour)]), &["witness", "bag.meaning"]);
}

/// A log that was cut back or written anew does not go on from what was co-signed, and a signer cannot make it so.
#[test]
fn a_log_that_was_cut_back_or_written_anew_is_told() {
    let (log, neighbour) = (log(), Log::new(5).key);
    let known = [witness(&neighbour)];
    let with = |shown: &Log, proved: &[u64], size: usize, note: Vec<u8>| {
        let mut part = shown.part(|_| true, proved);
        part.cosigned.insert(size as u64, note);
        part.witnesses.insert(neighbour.name().to_owned(), neighbour.public());
        bundle(vec![part], &[], &log.key, Disclosed::Whole)
    };
    let cut = Log { key: LogKey::from_seed(&[1; 32], false), leaves: log.leaves[..7].to_vec() };
    let mut anew = Log { key: LogKey::from_seed(&[1; 32], false), leaves: log.leaves[..5].to_vec() };
    anew.others(3);
    anew.add("note.written", serde_json::json!({}), &[]);
    let signed = |size| log.cosigned(size, &[&neighbour]);
    for (files, words) in [
        (with(&cut, &[], 9, signed(9)), "it has 9 entries, the log shown here 7"),
        (with(&anew, &[8], 8, signed(8)), "not proved to be a beginning"),
        (with(&anew, &[], 9, signed(9)), "another history of as many entries"),
        (with(&log, &[], 8, signed(8)), "proof that the log goes on from it is missing"),
        (with(&log, &[8], 8, signed(7)), "a head of 7 entries"),
    ] {
        // Also to a reader who does not know the witness: the log's own signature is under it.
        fails(&said(&files), "witness", words);
        fails(&told(&files, &known), "witness", words);
    }
    holds(&told(&with(&anew, &[4], 4, signed(4)), &known), &["witness"]);
}

#[test]
fn notes_that_say_something_else() {
    let (log, neighbour, stranger) = (log(), Log::new(5).key, Log::new(6).key);
    let known = [witness(&neighbour)];
    let path = format!("{}6.cosigned", log.folder());
    let files = bundle(vec![log.witnessed(6, &[&neighbour])], &[], &log.key, Disclosed::Whole);
    let with = |note: &[u8]| {
        let mut other = files.clone();
        other.insert(path.clone(), note.to_vec());
        sealed(other, &log.key, Disclosed::Whole)
    };
    let note = String::from_utf8(files[&path].clone()).expect("text");
    let line = note.lines().last().expect("a line");
    let of_other = Log { key: LogKey::from_seed(&[9; 32], false), leaves: log.leaves.clone() };
    for (other, words) in [
        (note.replace(&format!("{line}\n"), ""), "no co-signature"),
        (format!("{note}{line}\n"), "no co-signature"),
        (format!("{note}— {} AAAAAAAA\n", stranger.name()), "vkey is missing"),
        (note.replacen(neighbour.name(), log.key.name(), 1), "no co-signature"),
        (String::from_utf8(of_other.cosigned(6, &[&neighbour])).expect("text"), "its head"),
        (String::from_utf8(log.cosigned(5, &[&neighbour])).expect("text"), "a head of 5 entries"),
        (String::new(), "its head"),
        ("nothing of the kind\n".repeat(100_000), "its head"),
    ] {
        let short: String = other.chars().take(300).collect();
        let report = told(&with(other.as_bytes()), &known);
        let found = failed(&report);
        assert!(
            found.iter().any(|(code, text)| *code == "witness" && text.contains(words)),
            "{short}: {found:?}"
        );
    }
    // Every byte of what speaks for the witness: the note, its key, the proof. A signer may list and sign all of it again.
    let keys = format!("data/keys/{}.vkey", neighbour.name().replace('/', "-"));
    for name in [&path, &keys, &format!("{}6.consistency", log.folder())] {
        for at in 0..files[name].len() {
            let mut other = files.clone();
            other.get_mut(name).expect("it")[at] ^= 1 << (at % 8);
            let report = said(&sealed(other, &log.key, Disclosed::Whole));
            assert!(report.failed(), "{name}, byte {at}: {report:?}");
        }
    }
}

fn pair(folder: &Path) -> (Phone, Phone) {
    (Phone::new(&folder.join("one"), 61), Phone::new(&folder.join("two"), 62))
}

fn counts(joined: &JoinView) -> (usize, u32, usize) {
    (joined.cosigned.len(), joined.cosignatures, joined.contradicted.len() + joined.refused.len())
}

/// Two phones meet, and meet again: the bundle of each holds what the other has co-signed.
#[test]
fn bundles_of_phones_that_met() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, mut two) = pair(folder.path());
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    assert_eq!(counts(&two.join(&mut one)), (1, 0, 0));
    two.put(job, mark("roof", MarkKind::Dent, 9_000));
    assert_eq!(counts(&one.join(&mut two)), (1, 1, 0));
    one.put(job, closing());
    let key = |phone: &Phone| {
        let seed = phone.platform.vault.load().expect("a vault").expect("a seed");
        witness(&LogKey::from_seed(&seed.try_into().expect("32 bytes"), false))
    };
    let files = bundled(&one, job, &folder.path().join("a"));
    let cosigned =
        |files: &Files| files.keys().filter(|path| path.ends_with(".cosigned")).cloned().collect::<Vec<_>>();
    assert_eq!(cosigned(&files).len(), 2, "of each by the other");
    assert_eq!(said(&files).verdict("witness"), Some(Verdict::NotProven));
    let report = told(&files, &[key(&two)]);
    holds(&report, &["witness", "bag.meaning", "log.consistency"]);
    assert!(
        text(&report).contains("2 of 3 entries of this job"),
        "not the closing, which came later: {report:?}"
    );

    // After another meeting the closing is covered too. Of the other log the first head that covers the job, and the newest.
    assert_eq!(counts(&two.join(&mut one)), (1, 1, 0));
    assert_eq!(counts(&one.join(&mut two)), (1, 1, 0));
    let files = bundled(&one, job, &folder.path().join("b"));
    assert_eq!(cosigned(&files).len(), 3);
    let report = told(&files, &[key(&two)]);
    holds(&report, &["witness", "bag.meaning"]);
    assert!(text(&report).contains("3 of 3 entries of this job"), "{report:?}");
    assert_eq!(bundled(&one, job, &folder.path().join("c")), files, "the same again");
}
