//! Closings that a key of the device's own signed once more, as a stranger sees them.

use crate::door::bundled;
use crate::made::{JOB, Log, bundle};
use crate::{failed, fails, holds, said};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use sidelong_core::log::bag::Disclosed;
use sidelong_core::log::canon::hex;
use sidelong_core::log::hardware::{DeskKey, Statement, name};
use sidelong_core::log::tree;
use sidelong_core::log::verify::{Report, Verdict};
use sidelong_core::record::words::{Cosigned, Form, KeyHeld, Stage};
use sidelong_tests::{MemoryKey, Phone, closing};

const CODE: &str = "closing.cosigned";

fn told(report: &Report) -> (Verdict, &str) {
    let claim = report.claims.iter().find(|claim| claim.code == CODE).expect("told");
    (claim.verdict, &claim.text)
}

/// A co-signature of an entry.
fn signed(log: &Log, seq: u64, key: &DeskKey, held: KeyHeld) -> Value {
    let leaf = tree::leaf(&log.leaves[usize::try_from(seq).expect("small")]);
    let statement = Statement { entry: Cosigned::Closing, log: log.key.name(), seq, leaf, held };
    let signature = key.sign(&statement.to_bytes()).expect("signs");
    json!({
        "entry": "closing", "log": log.key.name(), "seq": seq, "leaf": hex(&leaf.0), "key": held.word(),
        "public": STANDARD.encode(key.public()), "signature": STANDARD.encode(signature),
    })
}

/// A job that was opened, closed as entry 1 and co-signed; the co-signature changed.
fn closed(change: impl Fn(&mut Value, &Log)) -> Report {
    let mut log = Log::new(3);
    log.add("job.opened", json!({}), &[]);
    log.add("job.closed", json!({"seen": []}), &[]);
    let mut body = signed(&log, 1, &DeskKey::from_seed(&[7; 32]).expect("a key"), KeyHeld::Software);
    change(&mut body, &log);
    log.add("entry.cosigned", body, &[]);
    said(&bundle(vec![log.part(|_| true, &[])], &[], &log.key, Disclosed::Whole))
}

#[test]
fn real_closings_end_to_end() {
    for (held, words) in [
        (KeyHeld::Hardware, "hardware key, as its device says"),
        (KeyHeld::Software, "software key, kept in a file"),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut phone = Phone::new(&folder.path().join("phone"), 60);
        phone.with_key(Some(MemoryKey::new(7, held)));
        let job = phone.begin(Form::Motorcycle, Stage::AsFound);
        phone.put(job, closing());
        let report = said(&bundled(&phone, job, &folder.path().join("out")));
        holds(&report, &[CODE, "job.complete", "log.consistency"]);
        let called = name(&DeskKey::from_seed(&[7; 32]).expect("a key").public()).expect("a name");
        let text = told(&report).1;
        assert!(text.contains(words) && text.contains(&called) && text.contains("entry 2 of"), "{text}");
        let complete = report.claims.iter().find(|claim| claim.code == "job.complete").expect("told");
        assert!(complete.text.contains("2 were added with it or later"), "{}", complete.text);
    }
}

#[test]
fn co_signatures_that_do_not_fit() {
    holds(&closed(|_, _| {}), &[CODE]);
    let other = DeskKey::from_seed(&[8; 32]).expect("a key");
    fails(&closed(|it, _| it["key"] = json!("hardware")), CODE, "the signature does not fit");
    fails(&closed(|it, _| it["public"] = json!(STANDARD.encode(other.public()))), CODE, "does not fit");
    fails(&closed(|it, _| it["public"] = json!("BAAA")), CODE, "not a P-256 public key");
    fails(&closed(|it, _| it["public"] = json!("***")), CODE, "not base64");
    fails(&closed(|it, _| it["signature"] = json!("MAAA")), CODE, "not an ECDSA signature");
    fails(&closed(|it, _| it["seq"] = json!(0)), CODE, "0, is not the one listed");
    fails(&closed(|it, _| it["seq"] = json!(9)), CODE, "9, is not the one listed");
    fails(&closed(|it, _| it["leaf"] = json!("00".repeat(32))), CODE, "is not the one listed");
    fails(&closed(|it, _| it["log"] = json!("sidelong/other")), CODE, "a device signs its own");
    let opening = |it: &mut Value, log: &Log| *it = signed(log, 0, &other, KeyHeld::Software);
    fails(&closed(opening), CODE, "0, is no closing");
    // A signature of a device's beginning is none of a closing, whatever else it says.
    let device = |it: &mut Value, log: &Log| {
        let leaf = tree::leaf(&log.leaves[1]);
        let held = KeyHeld::Software;
        let statement = Statement { entry: Cosigned::Device, log: log.key.name(), seq: 1, leaf, held };
        it["signature"] = json!(STANDARD.encode(other.sign(&statement.to_bytes()).expect("signs")));
        it["public"] = json!(STANDARD.encode(other.public()));
    };
    fails(&closed(device), CODE, "does not fit");
    let text = "\u{1b}[2J";
    let plain = closed(|it, _| it["log"] = json!(text));
    fails(&plain, CODE, "\\u{1b}[2J");
}

#[test]
fn what_nobody_co_signed_is_not_proven() {
    let open = |report: &Report, words: &str| {
        assert_eq!(failed(report), []);
        let (verdict, text) = told(report);
        assert!(verdict == Verdict::NotProven && text.contains(words), "{text}");
    };
    // What is not known here says nothing, one way or the other.
    open(&closed(|it, _| it["entry"] = json!("device")), "no co-signature");
    open(&closed(|it, _| it["key"] = json!("paper")), "no co-signature");
    open(&closed(|it, _| *it = json!({})), "no co-signature");

    let key = DeskKey::from_seed(&[7; 32]).expect("a key");
    let (mut one, mut two) = (Log::new(3), Log::new(4));
    one.add("job.opened", json!({}), &[]);
    one.add("job.closed", json!({"seen": []}), &[]);
    let body = signed(&one, 1, &key, KeyHeld::Hardware);
    one.add("entry.cosigned", body, &[]);
    two.add("job.closed", json!({"seen": []}), &[]);
    let parts = |one: &Log| vec![one.part(|_| true, &[]), two.part(|_| true, &[])];
    let report = said(&bundle(parts(&one), &[], &one.key, Disclosed::Whole));
    open(&report, &format!("the closing in entry 0 of {} is not", two.key.name()));
    open(&report, "entry 1 of");
    let hidden = vec![one.part(|seq| seq == 2, &[])];
    open(
        &said(&bundle(hidden, &[], &one.key, Disclosed::Chosen)),
        &format!("entry 1 of {} is not shown", one.key.name()),
    );
    assert!(one.of_job().len() == 3 && JOB.get_version_num() == 7);
}
