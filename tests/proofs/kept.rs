//! A receipt set against the notebook later: intact, tampered with from outside, and written anew by whoever has its key.

use rusqlite::Connection;
use sidelong_core::api::{Reader, ReceiptCheck};
use sidelong_core::error::Error;
use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_tests::{Phone, mark, nothing_seen};
use std::path::Path;
use uuid::Uuid;

/// A phone with a job of a few entries, and the receipt that was given for it.
fn given(folder: &Path) -> (Phone, Uuid, String) {
    let mut phone = Phone::new(folder, 7);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    phone.put(job, mark("bonnet", MarkKind::StoneChip, 2_000));
    let receipt = phone.open().receipt(Some(job.to_string())).expect("a receipt");
    assert_eq!(receipt.size, 3);
    (phone, job, receipt.text)
}

/// What a reader of the folder says of the receipt.
fn read(folder: &Path, receipt: &str) -> ReceiptCheck {
    let reader = Reader::open(folder.display().to_string()).expect("reads");
    reader.check_receipt(receipt.to_owned()).expect("a receipt")
}

fn lost(found: &ReceiptCheck, words: &str) {
    assert!(!found.kept && found.text.contains(words), "{words}: {found:?}");
}

#[test]
fn what_was_there_is_there() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job, receipt) = given(folder.path());
    for more in 0..5 {
        let found = phone.open().check_receipt(receipt.clone()).expect("a receipt");
        assert_eq!((found.kept, found.given, found.size), (true, 3, Some(3 + more)), "{found:?}");
        assert!(found.text.contains(&format!("{more} were added since")), "{found:?}");
        phone.put(job, nothing_seen("roof"));
    }
    let none = phone.open().receipt(Some(Uuid::nil().to_string()));
    assert!(matches!(none, Err(Error::Refused { field, .. }) if field == "job"));
    let empty = Phone::new(&folder.path().join("empty"), 8);
    assert!(matches!(empty.open().receipt(None), Err(Error::NotFound { .. })));
}

#[test]
fn entries_changed_from_outside_are_told() {
    for (change, words) in [
        // The bytes of the opening, under the hashes and the head of before: one digit of its time.
        (
            "UPDATE leaves SET bytes = CAST(replace(bytes, '\"mono\":', '\"mono\":1') AS BLOB) WHERE place & 1099511627775 = 0",
            "one is missing or was changed",
        ),
        ("DELETE FROM leaves WHERE place & 1099511627775 = 1", "one is missing or was changed"),
        (
            "UPDATE logs SET head = CAST(replace(head, '4', '5') AS BLOB)",
            "the newest signed head here is not believed",
        ),
        ("UPDATE logs SET head = NULL", "no signed head"),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let (mut phone, job, receipt) = given(folder.path());
        phone.put(job, nothing_seen("roof"));
        phone.close();
        let file = Connection::open(folder.path().join("sidelong.db")).expect("opens");
        assert_eq!(file.execute(change, []).expect("changed"), 1, "{change}");
        drop(file);
        lost(&read(folder.path(), &receipt), words);
    }
}

/// Whoever has the key can sign another history, and every check of the notebook alone passes. The receipt does not.
#[test]
fn a_history_written_anew_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut first, _, receipt) = given(&folder.path().join("first"));
    first.close();
    let other = folder.path().join("other");
    let mut phone = Phone::new(&other, 7);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    let check = |phone: &Phone| {
        assert_eq!(phone.open().check(None).expect("checks").findings, []);
        phone.open().check_receipt(receipt.clone()).expect("a receipt")
    };
    lost(&check(&phone), "the log has 2 entries; it had 3 when the receipt was given");
    phone.put(job, nothing_seen("bonnet"));
    lost(&check(&phone), "its first 3 entries are not proven to be those of the receipt");
    phone.put(job, nothing_seen("roof"));
    lost(&check(&phone), "its first 3 entries are not proven to be those of the receipt");
    // Joined, both histories are here, and one of them holds what the receipt says.
    let mut desk = Phone::new(&folder.path().join("desk"), 9);
    first.reopen().expect("opens");
    desk.join(&mut first);
    desk.join(&mut phone);
    assert!(desk.open().check_receipt(receipt.clone()).expect("a receipt").kept);
    let stranger = Phone::new(&folder.path().join("stranger"), 10);
    lost(&stranger.open().check_receipt(receipt.clone()).expect("a receipt"), "it is a receipt of sidelong/");
}
