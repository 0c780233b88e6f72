//! What a signer could have signed and what does not hold together all the same: each lie is told under its own code.

use crate::made::{Files, JOB, Log, blob, bundle, here, sealed, two_phones};
use crate::times::stamp;
use crate::{failed, fails, holds, said};
use serde_json::{Value, json};
use sidelong_core::log::bag::{Disclosed, Kept};
use sidelong_core::log::canon::{bytes, hex, sha256};
use sidelong_core::log::timestamp::NotStamped;
use sidelong_core::log::tree::leaf;
use sidelong_core::log::verify::{Held, Verdict, verify};
use sidelong_core::record::words::BlobState;
use uuid::Uuid;

/// The bundle of two phones with one file changed, listed and signed again.
fn resigned(change: impl Fn(&mut Files, &Log, &Log)) -> Files {
    let (one, two, mut files) = two_phones();
    change(&mut files, &one, &two);
    sealed(files, &one.key, Disclosed::Whole)
}

fn edit(files: &mut Files, path: &str, from: &str, to: &str) {
    let text = String::from_utf8(files[path].clone()).expect("text");
    assert!(text.contains(from), "{path}: {text}");
    files.insert(path.to_owned(), text.replacen(from, to, 1).into_bytes());
}

#[test]
fn what_holds_holds() {
    let files = resigned(|_, _, _| {});
    let report = said(&files);
    let all = [
        "bag.manifest",
        "bag.unlisted",
        "bag.meaning",
        "statement.signature",
        "statement.signer",
        "log.checkpoint",
        "log.leaves",
        "log.inclusion",
        "log.fork",
        "log.consistency",
        "event.canonical",
        "event.place",
        "blob.hash",
        "job.complete",
    ];
    holds(&report, &all);
    assert_eq!(report.counts.entries, 5);
    let complete = report.claims.iter().find(|claim| claim.code == "job.complete").expect("told");
    assert!(
        complete.text.contains("counts 4 entries") && complete.text.contains("1 were added"),
        "{}",
        complete.text
    );
    // Nobody's word that a stranger cannot take: another key may sign the same files, and is named.
    let stranger = Log::new(9);
    let mut other = files;
    let vkey = sidelong_core::log::head::vkey(stranger.key.name(), &stranger.key.public()).expect("a key");
    other.insert(
        format!("data/keys/{}.vkey", stranger.key.name().replace('/', "-")),
        format!("{vkey}\n").into_bytes(),
    );
    let report = said(&sealed(other, &stranger.key, Disclosed::Whole));
    assert_eq!(failed(&report), []);
    assert_eq!(report.verdict("statement.signer"), Some(Verdict::NotProven));
    assert_eq!(report.signed_by.as_deref(), Some(stranger.key.name()));
}

#[test]
fn statements_by_others_and_about_others() {
    let (one, two, files) = two_phones();
    let mut other = files.clone();
    other.remove("statement.txt");
    fails(&said(&other), "statement.signature", "nobody signed");
    // Another bundle's statement, rightly signed.
    let of_other = bundle(vec![two.part(|_| true, &[])], &[], &one.key, Disclosed::Chosen);
    other.insert("statement.txt".to_owned(), of_other["statement.txt"].clone());
    fails(&said(&other), "statement.signature", "about other files");
    // Signed by a key that the bundle does not hold, or holds under another's name.
    let stranger = Log::new(9);
    fails(&said(&sealed(files, &stranger.key, Disclosed::Whole)), "statement.signature", "is missing");
    let swapped = resigned(|files, one, two| {
        let key = |log: &Log| format!("data/keys/{}.vkey", log.key.name().replace('/', "-"));
        let others = files[&key(two)].clone();
        files.insert(key(one), others);
    });
    fails(&said(&swapped), "statement.signature", "the key of another log");
    fails(&said(&swapped), "log.checkpoint", "the key of another log");
}

#[test]
fn entries_that_are_not_in_the_log() {
    let told = |change: &dyn Fn(&mut Files, &Log, &Log)| said(&resigned(change));
    // One entry's bytes changed: another leaf than the one listed, and not in the tree.
    let report =
        told(&|files, one, _| edit(files, &format!("{}4.json", one.folder()), "\"mono\":5", "\"mono\":6"));
    fails(&report, "log.leaves", "another entry than the one listed");
    // Listed as changed too.
    let report = told(&|files, one, _| {
        let path = format!("{}4.json", one.folder());
        let before = hex(&leaf(&files[&path]).0);
        edit(files, &path, "\"mono\":5", "\"mono\":6");
        let after = hex(&leaf(&files[&path]).0);
        edit(files, &format!("{}leaves.txt", one.folder()), &before, &after);
    });
    fails(&report, "log.inclusion", "not in the log there");
    fails(&report, "job.complete", "the bundle lists others");
    // A proof of another place, of another log, of an older head, none at all.
    let proof = |log: &Log, seq: u64| format!("{}{seq}.tlog-proof", log.folder());
    let report = told(&|files, one, _| {
        let other = files[&proof(one, 3)].clone();
        files.insert(proof(one, 4), other);
    });
    fails(&report, "log.inclusion", "another place");
    let report = told(&|files, one, two| {
        let other = files[&proof(two, 5)].clone();
        files.insert(proof(one, 4), other);
    });
    fails(&report, "log.inclusion", "another head");
    let report = told(&|files, one, _| {
        let mut shorter = Log::new(1);
        shorter.leaves = one.leaves[..6].to_vec();
        let older = bundle(vec![shorter.part(|_| true, &[])], &[], &one.key, Disclosed::Whole);
        files.insert(proof(one, 4), older[&proof(one, 4)].clone());
    });
    fails(&report, "log.inclusion", "another head");
    fails(&told(&|files, one, _| _ = files.remove(&proof(one, 4))), "log.inclusion", "missing");
    let report = told(&|files, one, _| edit(files, &proof(one, 4), "index 4\n", "index 4\nAAAA\n"));
    fails(&report, "log.inclusion", "not the text of a proof");
    // The hashes of another tree of the same size under this log's head.
    let report = told(&|files, one, _| {
        let mut other = Log::new(1);
        other.others(one.leaves.len() - 1);
        other.add("job.opened", json!({}), &[]);
        let tree = other.tree(one.leaves.len());
        let checkpoint = files[&format!("{}checkpoint", one.folder())].clone();
        let hashes = sidelong_core::log::proof::include(one.leaves.len() as u64, 4, &tree).expect("a proof");
        let proof_of_other = sidelong_core::log::proof::Inclusion { seq: 4, hashes, checkpoint };
        files.insert(proof(one, 4), proof_of_other.text());
    });
    fails(&report, "log.inclusion", "not in the log there");
}

#[test]
fn lists_that_say_too_much_or_too_little() {
    let list = |log: &Log| format!("{}leaves.txt", log.folder());
    let told = |change: &dyn Fn(&mut Files, &Log, &Log)| said(&resigned(change));
    // Two leaves at one place.
    let report = told(&|files, one, _| {
        let text = String::from_utf8(files[&list(one)].clone()).expect("text");
        let first = text.lines().next().expect("a line").to_owned();
        files.insert(list(one), format!("{first}\n{text}").into_bytes());
    });
    fails(&report, "log.leaves", "two entries at one place");
    // An entry beyond the log, and one that is not in it.
    for line in [format!("99 {}\n", "0".repeat(64)), format!("12 {}\n", "0".repeat(64))] {
        let report =
            told(&|files, one, _| files.get_mut(&list(one)).expect("a list").extend(line.as_bytes()));
        fails(&report, "log.inclusion", "missing");
    }
    // An entry left out: its file is then no entry of the job, and the closing counts another one.
    let report = told(&|files, one, _| {
        let text = String::from_utf8(files[&list(one)].clone()).expect("text");
        let (_, rest) = text.split_once('\n').expect("lines");
        files.insert(list(one), rest.as_bytes().to_vec());
    });
    fails(&report, "event.place", "not listed with it");
    fails(&report, "job.complete", "the bundle lists others");
    // A whole log left out.
    let report = told(&|files, _, two| files.retain(|path, _| !path.starts_with(&two.folder())));
    fails(&report, "job.complete", "the log is not in the bundle");
    // The list gone, the head gone.
    fails(&told(&|files, one, _| _ = files.remove(&list(one))), "log.leaves", "missing");
    let head = |log: &Log| format!("{}checkpoint", log.folder());
    fails(&told(&|files, one, _| _ = files.remove(&head(one))), "log.checkpoint", "missing");
    let report = told(&|files, one, two| {
        let others = files[&head(two)].clone();
        files.insert(head(one), others);
    });
    fails(&report, "log.checkpoint", "another log's folder");
    fails(
        &told(&|files, _, _| files.retain(|path, _| !path.starts_with("data/log/"))),
        "log.checkpoint",
        "no log",
    );
    // What nothing explains is not hidden.
    let report = told(&|files, _, _| _ = files.insert("data/extra.bin".to_owned(), b"x".to_vec()));
    assert_eq!((failed(&report), report.verdict("bag.meaning")), (vec![], Some(Verdict::NotProven)));
}

#[test]
fn entries_of_other_jobs_logs_and_places() {
    let lie = |change: &dyn Fn(&mut Value)| {
        let mut log = Log::new(3);
        log.add("job.opened", json!({}), &[]);
        let mut event = log.event(Some(JOB), "note.written", json!({"job": JOB.to_string()}), &[]);
        change(&mut event);
        log.leaves.push(bytes(&event).expect("canonical"));
        said(&bundle(vec![log.part(|_| true, &[])], &[], &log.key, Disclosed::Whole))
    };
    holds(&lie(&|_| {}), &["event.place"]);
    fails(&lie(&|event| event["seq"] = json!(7)), "event.place", "belongs elsewhere");
    fails(&lie(&|event| event["log"] = json!("sidelong/00")), "event.place", "belongs elsewhere");
    fails(&lie(&|event| event["job"] = json!(Uuid::from_u128(3))), "event.place", "another job");
    fails(
        &lie(&|event| _ = event.as_object_mut().expect("fields").remove("job")),
        "event.place",
        "another job",
    );
}

#[test]
fn photos_that_are_others_missing_or_unnamed() {
    let table = "data/blobs.txt";
    let photo = |bytes: &[u8]| format!("data/blobs/{}", hex(&sha256(bytes)));
    let told = |change: &dyn Fn(&mut Files)| said(&resigned(|files, _, _| change(files)));
    let first = hex(&sha256(b"first photo"));
    fails(
        &told(&|files| _ = files.insert(photo(b"first photo"), b"other photo".to_vec())),
        "blob.hash",
        "not what",
    );
    fails(&told(&|files| _ = files.remove(&photo(b"first photo"))), "blob.hash", "missing");
    fails(
        &told(&|files| edit(files, table, &format!("{first} 11"), &format!("{first} 12"))),
        "blob.hash",
        "names so",
    );
    fails(
        &told(&|files| edit(files, table, &format!("{first} 11 here\n"), "")),
        "blob.hash",
        "does not say where",
    );
    let hidden =
        |files: &mut Files| edit(files, table, &format!("{first} 11 here"), &format!("{first} 11 erased"));
    fails(&told(&hidden), "blob.hash", "does not say so");
    fails(
        &told(&|files| _ = files.insert(photo(b"smuggled"), b"smuggled".to_vec())),
        "blob.hash",
        "does not say so",
    );
    fails(&told(&|files| _ = files.remove(table)), "blob.hash", "missing");
    let report = told(&|files| {
        hidden(files);
        files.remove(&photo(b"first photo"));
    });
    assert_eq!((failed(&report), report.counts.blobs_erased, report.counts.blobs), (vec![], 1, 2));
    // Names that are no hashes, one hash under two lengths.
    for (sha256, words) in
        [("../../etc/passwd", "is no hash"), ("ABCD", "is no hash"), ("\u{1b}[2J", "\\u{1b}[2J")]
    {
        let mut log = Log::new(3);
        let mut event = log.event(Some(JOB), "photo.attached", json!({}), &[b"p"]);
        event["blobs"][0]["sha256"] = json!(sha256);
        log.leaves.push(bytes(&event).expect("canonical"));
        fails(
            &said(&bundle(vec![log.part(|_| true, &[])], &[], &log.key, Disclosed::Whole)),
            "blob.hash",
            words,
        );
    }
    let mut log = Log::new(3);
    log.add("photo.attached", json!({}), &[b"p"]);
    let mut event = log.event(Some(JOB), "photo.attached", json!({}), &[b"p"]);
    event["blobs"][0]["len"] = json!(2);
    log.leaves.push(bytes(&event).expect("canonical"));
    let report = said(&bundle(vec![log.part(|_| true, &[])], &[here(b"p")], &log.key, Disclosed::Whole));
    fails(&report, "blob.hash", "different lengths");
}

#[test]
fn heads_that_closings_name() {
    let proof = |log: &Log, size: u64| format!("{}{size}.consistency", log.folder());
    let told = |change: &dyn Fn(&mut Files, &Log, &Log)| said(&resigned(change));
    fails(
        &told(&|files, _, two| _ = files.remove(&proof(two, 7))),
        "log.consistency",
        "its proof is missing",
    );
    let report = told(&|files, one, two| {
        let other = files[&proof(one, 7)].clone();
        files.insert(proof(two, 7), other);
    });
    fails(&report, "log.consistency", "not proved");
    // A log that was cut or rewritten after the closing.
    let (mut one, mut two) = (Log::new(1), Log::new(2));
    two.add("note.written", json!({}), &[]);
    two.others(3);
    one.add("job.opened", json!({}), &[]);
    one.add("job.closed", json!({"seen": [two.seen()]}), &[]);
    let made = |two: &Log, heads: &[u64]| {
        let parts = vec![one.part(|_| true, &[]), two.part(|_| true, heads)];
        said(&bundle(parts, &[], &one.key, Disclosed::Whole))
    };
    holds(&made(&two, &[]), &["log.consistency"]);
    let mut cut = Log::new(2);
    cut.leaves = two.leaves[..2].to_vec();
    fails(&made(&cut, &[]), "log.consistency", "some are missing");
    let mut other = Log::new(2);
    other.add("note.written", json!({"rewritten": 1}), &[]);
    other.others(3);
    fails(&made(&other, &[]), "log.consistency", "another history");
    other.others(3);
    fails(&made(&other, &[4]), "log.consistency", "not proved");
    // The same head in a reader's hand.
    let held = two.key.sign(4, two.root(4)).expect("signs");
    let files = bundle(vec![other.part(|_| true, &[4])], &[], &one.key, Disclosed::Whole);
    let report = verify(&files, &Held { heads: &[held], ..Held::default() }).expect("reads");
    fails(&report, "log.held", "not proved");
}

#[test]
fn what_is_withheld_is_counted_and_not_denied() {
    let (one, two, _) = two_phones();
    let parts = || vec![one.part(|seq| seq == 4, &[]), two.part(|_| false, &[])];
    let withheld = [blob(b"first photo", Kept::Withheld)];
    let report = said(&bundle(parts(), &withheld, &one.key, Disclosed::Chosen));
    assert_eq!(failed(&report), []);
    assert_eq!((report.counts.shown, report.counts.withheld, report.counts.blobs_withheld), (1, 4, 1));
    for code in ["job.complete", "blob.hash", "log.consistency"] {
        assert_eq!(report.verdict(code), Some(Verdict::NotProven), "{code}");
    }
    let lie = said(&bundle(parts(), &withheld, &one.key, Disclosed::Whole));
    fails(&lie, "job.complete", "4 entries are not");
    // The closing alone proves how many there are.
    let closing = one.of_job().last().expect("the closing").0;
    let parts = vec![one.part(|seq| seq == closing, &[7]), two.part(|_| false, &[7])];
    let report = said(&bundle(parts, &[], &one.key, Disclosed::Chosen));
    holds(&report, &["job.complete", "log.consistency"]);
    let away = said(&bundle(
        vec![one.part(|seq| seq == 4, &[])],
        &[blob(b"first photo", Kept::State(BlobState::Elsewhere))],
        &one.key,
        Disclosed::Chosen,
    ));
    assert_eq!((failed(&away), away.counts.blobs_elsewhere), (vec![], 1));
}

#[test]
fn counts_that_do_not_hold() {
    let counted = |change: &dyn Fn(&mut Value)| {
        let mut log = Log::new(3);
        log.add("job.opened", json!({}), &[]);
        let mut list = json!([log.counted()]);
        change(&mut list);
        log.add("job.closed", json!({"leaves": list}), &[]);
        said(&bundle(vec![log.part(|_| true, &[])], &[], &log.key, Disclosed::Whole))
    };
    holds(&counted(&|_| {}), &["job.complete"]);
    for count in [0_u64, 2, 3, (1 << 53) - 1] {
        fails(&counted(&|list| list[0]["count"] = json!(count)), "job.complete", "lists others");
    }
    fails(&counted(&|list| list[0]["root"] = json!("00".repeat(32))), "job.complete", "lists others");
    fails(&counted(&|list| list[0]["log"] = json!("sidelong/other")), "job.complete", "not in the bundle");
    // What cannot be read commits nothing.
    for list in [json!([]), json!({}), json!([{"count": 1}]), json!([{"count": -1, "log": "x", "root": "x"}])]
    {
        let report = counted(&|it| *it = list.clone());
        assert_eq!((failed(&report), report.verdict("job.complete")), (vec![], Some(Verdict::NotProven)));
    }
}

/// What a bundle says of itself is told to a terminal: it neither moves the cursor nor turns the writing.
#[test]
fn names_that_would_play_with_a_terminal() {
    let name = "\u{1b}[2J\u{202e}nothing failed\n";
    let mut log = Log::new(3);
    log.add("job.opened", json!({}), &[]);
    let named = json!({"count": 1, "log": name, "root": "00".repeat(32)});
    let head = json!({"log": log.key.name(), "size": 9, "root": "00".repeat(32)});
    let mut event = log.event(Some(JOB), "job.closed", json!({"leaves": [named], "seen": [head]}), &[]);
    event["log"] = json!(name);
    log.leaves.push(bytes(&event).expect("canonical"));
    let report = said(&bundle(vec![log.part(|_| true, &[])], &[], &log.key, Disclosed::Whole));
    fails(&report, "job.complete", "\\u{1b}[2J\\u{202e}nothing failed\\u{a}");
    fails(&report, "log.consistency", "\\u{202e}");
    let plain = |text: &str| text.chars().all(|c| c == ' ' || c.is_ascii_graphic());
    assert!(report.claims.iter().all(|claim| plain(&claim.text)), "{:?}", report.claims);
    let mut other = bundle(vec![log.part(|_| true, &[])], &[], &log.key, Disclosed::Whole);
    edit(&mut other, "statement.txt", "log sidelong/", "log \u{1b}[2J/");
    let report = said(&other);
    assert_eq!(
        (report.signed_by.as_ref(), report.verdict("statement.signature")),
        (None, Some(Verdict::Fail))
    );
}

/// What a reader brings along is asked about each token, and its word is told.
#[test]
fn time_stamps_are_asked_of_the_reader() {
    let (one, _, mut files) = two_phones();
    let head = files[&format!("{}checkpoint", one.folder())].clone();
    files.insert(format!("data/anchors/{}.tsr", hex(&sha256(&head))), b"a token".to_vec());
    let files = sealed(files, &one.key, Disclosed::Whole);
    let report = said(&files);
    holds(&report, &["bag.meaning"].map(|_| "bag.manifest"));
    assert_eq!(report.verdict("time.not_later_than"), Some(Verdict::NotProven));
    let time = |token: &[u8], note: &[u8]| {
        if token == b"a token" && note == head { Ok(stamp()) } else { Err(NotStamped::OtherBytes) }
    };
    let held = Held { time: Some(&time), ..Held::default() };
    holds(&verify(&files, &held).expect("reads"), &["time.not_later_than", "bag.meaning"]);
    let no = |_: &[u8], _: &[u8]| Err(NotStamped::Expired { not_after_s: 0 });
    let report = verify(&files, &Held { time: Some(&no), ..Held::default() }).expect("reads");
    fails(&report, "time.not_later_than", "expired");
    // A token over no head of this bundle is a file that nothing explains.
    let mut other = files;
    other.insert(format!("data/anchors/{}.tsr", "0".repeat(64)), b"a token".to_vec());
    let report = said(&sealed(other, &one.key, Disclosed::Whole));
    assert_eq!((failed(&report), report.verdict("bag.meaning")), (vec![], Some(Verdict::NotProven)));
}
