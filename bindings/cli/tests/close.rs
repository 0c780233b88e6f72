//! `sidelong close` as a person or a program calls it.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

mod command;

use command::{at, said, sidelong};
use serde_json::Value;
use std::path::Path;

#[test]
fn a_visit_is_ended_co_signed_and_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    let (own, list) = (at(folder.path(), "own"), at(folder.path(), "fleet.csv"));
    std::fs::write(&list, "Plate,Body\nZZ26 ONE,van\nYY26 TWO,van\nXX26 SIX,van\n").expect("written");
    said(&sidelong(&["import-fleet", &list, "--store", &own]), 0);
    let told = said(&sidelong(&["close", "ZZ26", "--note", "keys in the office", "--store", &own]), 0);
    for words in
        ["ended\n", "this closing commits 1 entry of 1 phone; ", "is co-signed: software key, kept in a file"]
    {
        assert!(told.contains(words), "{words}: {told}");
    }
    let key = Path::new(&own).join("cosign.key");
    assert_eq!(std::fs::metadata(&key).expect("a key").len(), 32);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        assert_eq!(std::fs::metadata(&key).expect("a key").permissions().mode() & 0o777, 0o600);
    }
    // Twice is once; a note that comes too late is refused, not lost in silence.
    assert!(said(&sidelong(&["close", "ZZ26", "--store", &own]), 0).contains("was ended here before"));
    let late = said(&sidelong(&["close", "ZZ26", "--note", "one more thing", "--store", &own]), 1);
    assert!(late.contains("this job is closed"), "{late}");
    said(&sidelong(&["close", "no such car", "--store", &own]), 3);

    let out = at(folder.path(), "out");
    said(&sidelong(&["bundle", "ZZ26", &out, "--store", &own]), 0);
    let told =
        said(&sidelong(&["verify", &out, "--require", "job.complete", "--require", "closing.cosigned"]), 0);
    for words in ["PASS        job.complete", "PASS        closing.cosigned", "software key, kept in a file"]
    {
        assert!(told.contains(words), "{words}: {told}");
    }

    // A key that cannot be read: the visit is ended all the same, that is told, and the same command asks again.
    let good = std::fs::read(&key).expect("a key");
    std::fs::write(&key, [1; 31]).expect("written");
    let told = said(&sidelong(&["close", "YY26", "--store", &own]), 1);
    assert!(told.contains("ended\n") && told.contains("cosign.key: no P-256 key of 32 bytes"), "{told}");
    assert!(said(&sidelong(&["close", "YY26", "--store", &own]), 1).contains("was ended here before"));
    said(&sidelong(&["bundle", "YY26", &at(folder.path(), "bare"), "--store", &own]), 0);
    let open = said(&sidelong(&["verify", &at(folder.path(), "bare"), "--require", "closing.cosigned"]), 2);
    assert!(
        open.contains("NOT PROVEN  closing.cosigned") && open.contains("PASS        job.complete"),
        "{open}"
    );
    std::fs::write(&key, good).expect("written");
    let told: Value =
        serde_json::from_str(&said(&sidelong(&["close", "YY26", "--store", &own, "--json"]), 0))
            .expect("JSON");
    assert_eq!((told["recorded"].as_bool(), &told["problem"]), (Some(false), &Value::Null));
    assert_eq!(told["closings"][0]["key"], "software");
    // Another key, once the file is gone: nothing that was signed before depends on it.
    std::fs::remove_file(&key).expect("removed");
    let other: Value =
        serde_json::from_str(&said(&sidelong(&["close", "XX26", "--store", &own, "--json"]), 0))
            .expect("JSON");
    assert_eq!(other["recorded"], true);
    assert_ne!(other["closings"][0]["key_name"], told["closings"][0]["key_name"]);
    said(&sidelong(&["verify-log", "--store", &own]), 0);
}
