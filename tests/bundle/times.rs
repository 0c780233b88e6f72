//! Time tokens in bundles: of an earlier head, with the proof that the log goes on from it. What an authority says is made up
//! here; tokens of a real one are checked in `oracles/anchors.py`.

use crate::holds;
use crate::made::{Files, Log, bundle, here, sealed, two_phones};
use sidelong_core::log::bag::Disclosed;
use sidelong_core::log::canon::{hex, sha256};
use sidelong_core::log::proof::Consistency;
use sidelong_core::log::timestamp::{NotStamped, Stamp, check, read_certificates};
use sidelong_core::log::tree::prove_consistency;
use sidelong_core::log::verify::{Held, Report, Verdict, verify};
use sidelong_core::store::open_bag;
use std::path::Path;

/// What an authority could have said, five minutes after the newest entry of the two phones.
pub fn stamp() -> Stamp {
    Stamp {
        at_ms: 1_780_989_000_000 + 300_000,
        accuracy_us: Some(1_500_000),
        authority: "CN=Time of nobody".to_owned(),
        root: "CN=Root of nobody".to_owned(),
        policy: String::new(),
        serial: String::new(),
    }
}

/// A token of an earlier head comes with that head and the proof that the log goes on from it; whatever of this does not hold
/// together is told, and what only lacks something stays open.
#[test]
fn a_token_of_an_earlier_head() {
    let with = |change: &dyn Fn(&mut Files, &str, &Log)| {
        let (mut one, two, _) = two_phones();
        let early = one.key.sign(6, one.root(6)).expect("signs");
        one.others(1);
        let size = one.leaves.len() as u64;
        let part = one.part(|_| true, &[7]);
        let hashes = prove_consistency(size, 6, &one.tree(one.leaves.len())).expect("a proof");
        let proof = Consistency { old: 6, hashes, checkpoint: part.checkpoint.clone() };
        let blobs = [here(b"first photo"), here(b"second photo"), here(b"its note")];
        let mut files = bundle(vec![part, two.part(|_| true, &[7])], &blobs, &one.key, Disclosed::Whole);
        let name = format!("data/anchors/{}", hex(&sha256(&early)));
        files.insert(format!("{name}.checkpoint"), early);
        files.insert(format!("{name}.tsr"), b"a token".to_vec());
        files.insert(format!("{name}.consistency"), proof.text());
        change(&mut files, &name, &one);
        sealed(files, &one.key, Disclosed::Whole)
    };
    let judged = |files: &Files, told: Result<Stamp, NotStamped>| {
        let time = |_: &[u8], _: &[u8]| told.clone();
        verify(files, &Held { time: Some(&time), ..Held::default() }).expect("reads")
    };
    let text = |report: &Report| -> String {
        let mut claims = report.claims.iter().filter(|claim| claim.code == "time.not_later_than");
        claims.next().map(|claim| claim.text.clone()).expect("told")
    };
    let whole = with(&|_, _, _| {});
    let report = judged(&whole, Ok(stamp()));
    holds(&report, &["time.not_later_than", "bag.meaning", "log.consistency"]);
    let said = text(&report);
    for words in [
        "2 of 5 entries (the first 6 of sidelong/",
        "existed not later than 2026-06-09T07:15:01.500Z, says CN=Time of nobody, vouched for by CN=Root of nobody",
        "the phone's clock said 2026-06-09T07:10:00.000Z for entry 4, 5 min before",
        "revoked was not looked at",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // What the token lacks for this reader leaves it open; what is wrong with it fails.
    for (why, verdict) in [
        (NotStamped::Untrusted, Verdict::NotProven),
        (NotStamped::NoCertificate, Verdict::NotProven),
        (NotStamped::Algorithm("x".to_owned()), Verdict::NotProven),
        (NotStamped::OtherBytes, Verdict::Fail),
        (NotStamped::Expired { not_after_s: 0 }, Verdict::Fail),
        (NotStamped::NotYetValid { not_before_s: 0 }, Verdict::Fail),
        (NotStamped::Purpose("x"), Verdict::Fail),
        (NotStamped::Signature, Verdict::Fail),
        (NotStamped::Changed, Verdict::Fail),
    ] {
        let report = judged(&whole, Err(why.clone()));
        assert_eq!(report.verdict("time.not_later_than"), Some(verdict), "{why}");
        assert!(text(&report).contains(&why.to_string()), "{}", text(&report));
    }
    // Where the head does not belong here, no authority's word helps.
    type Change<'a> = (&'a dyn Fn(&mut Files, &str, &Log), Verdict, &'a str);
    let other = Log::new(9);
    let changes: [Change<'_>; 6] = [
        (&|files, name, _| _ = files.remove(&format!("{name}.consistency")), Verdict::NotProven, "proof"),
        (
            &|files, name, one| {
                let proof = files[&format!("{name}.consistency")].clone();
                let text = String::from_utf8(proof).expect("text").replacen("old 6", "old 5", 1);
                assert!(text.contains("old 5") && one.leaves.len() > 6);
                files.insert(format!("{name}.consistency"), text.into_bytes());
            },
            Verdict::Fail,
            "not proved",
        ),
        (
            &|files, name, _| {
                files.insert(format!("{name}.checkpoint"), b"sidelong/other\n6\n".to_vec());
            },
            Verdict::Fail,
            "not the one that it is named after",
        ),
        (
            &|files, name, one| moved(files, name, one.key.sign(6, one.root(5)).expect("signs")),
            Verdict::Fail,
            "not proved",
        ),
        (
            &|files, name, one| {
                let note = one.key.sign(6, one.root(6)).expect("signs");
                let note = String::from_utf8(note).expect("text").replacen("\n6\n", "\n5\n", 1);
                moved(files, name, note.into_bytes());
            },
            Verdict::Fail,
            "not believed",
        ),
        (
            &|files, name, one| moved(files, name, other.key.sign(6, one.root(6)).expect("signs")),
            Verdict::NotProven,
            "a log that is not in this bundle",
        ),
    ];
    for (change, verdict, words) in changes {
        let report = judged(&with(change), Ok(stamp()));
        assert_eq!(report.verdict("time.not_later_than"), Some(verdict), "{words}: {}", text(&report));
        assert!(text(&report).contains(words), "{words}: {}", text(&report));
    }
}

/// A bundle that was handed out once, with a token of openssl's, is read for ever; its time is believed by whoever trusts the
/// root, and by nobody else. `fixtures/SOURCES.md` says how it was made.
#[test]
fn a_token_that_was_handed_out_is_believed_for_ever() {
    let at = |name: &str| Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    let roots = |name: &str| read_certificates(&std::fs::read(at(name)).expect("a root")).expect("reads");
    let bag = open_bag(&at("../fixtures/bundles/2.zip")).expect("opens");
    let judged = |roots: Vec<Vec<u8>>| {
        let time = |token: &[u8], head: &[u8]| check(token, head, None, &roots, &[]);
        verify(&bag, &Held { time: Some(&time), ..Held::default() }).expect("reads")
    };
    let report = judged(roots("../fixtures/bundles/2.pem"));
    holds(&report, &["time.not_later_than", "bag.meaning", "log.inclusion", "statement.signature"]);
    let said = report.claims.iter().find(|claim| claim.code == "time.not_later_than").expect("told");
    let time = "existed not later than 2026-11-26T03:25:11.709Z, says CN=Time of nobody, vouched for by CN=Root of nobody";
    assert!(said.text.contains(time), "{}", said.text);
    let other = judged(roots("published/tsa/ca.pem"));
    assert_eq!(other.verdict("time.not_later_than"), Some(Verdict::NotProven));
}

/// Puts another head, under its own name, in the place of the one that was stamped.
fn moved(files: &mut Files, name: &str, head: Vec<u8>) {
    let other = format!("data/anchors/{}", hex(&sha256(&head)));
    for ending in ["tsr", "consistency"] {
        let bytes = files.remove(&format!("{name}.{ending}")).expect("there");
        files.insert(format!("{other}.{ending}"), bytes);
    }
    files.remove(&format!("{name}.checkpoint"));
    files.insert(format!("{other}.checkpoint"), head);
}
