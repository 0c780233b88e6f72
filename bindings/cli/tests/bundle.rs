//! `sidelong bundle` and `sidelong verify` as a person or a program calls them: exit status, words, and keys of `--json`.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

mod command;

use command::{answered, at, json, sidelong, text};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

/// A notebook that can sign, with the demonstration's record in it.
fn notebook(folder: &Path) -> String {
    let (demo, own) = (at(folder, "demo"), at(folder, "own"));
    assert!(sidelong(&["demo", &demo]).status.success());
    assert!(sidelong(&["join", &at(folder, "demo/phone-1"), "--store", &own]).status.success());
    own
}

fn keys(value: &Value) -> BTreeSet<String> {
    value.as_object().expect("fields").keys().cloned().collect()
}

fn verdict(report: &Value, code: &str) -> String {
    let claims = report["claims"].as_array().expect("claims");
    let claim = claims.iter().find(|claim| claim["code"] == code).expect("the claim is told");
    claim["verdict"].as_str().expect("a word").to_owned()
}

#[test]
fn a_bundle_is_made_and_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    let own = notebook(folder.path());
    let (out, zip) = (at(folder.path(), "out"), at(folder.path(), "out.zip"));
    let made = json(&sidelong(&["bundle", "ZZ26", &out, "--store", &own, "--json"]), 0);
    assert_eq!(
        keys(&made).into_iter().collect::<Vec<_>>().join(" "),
        "blobs blobs_elsewhere blobs_erased blobs_withheld bytes entries files findings withheld"
    );
    answered(&sidelong(&["bundle", "ZZ26", &zip, "--zip", "--store", &own]), 0);
    // Taken names are not written over, and nothing is left behind.
    assert_eq!(sidelong(&["bundle", "ZZ26", &zip, "--zip", "--store", &own]).status.code(), Some(3));
    assert_eq!(
        sidelong(&["bundle", "no such car", &at(folder.path(), "x"), "--store", &own]).status.code(),
        Some(3)
    );

    // No notebook is needed to look at it.
    std::fs::remove_dir_all(&own).expect("removed");
    for bundle in [&out, &zip] {
        let told = answered(&sidelong(&["verify", bundle]), 0);
        for words in [
            "PASS        log.inclusion",
            "NOT PROVEN  clock.device",
            "0 withheld",
            "0 erased",
            "nothing failed",
        ] {
            assert!(told.contains(words), "{words}: {told}");
        }
        let report = json(&sidelong(&["verify", bundle, "--json"]), 0);
        assert_eq!(
            keys(&report).into_iter().collect::<Vec<_>>().join(" "),
            "claims counts demo job logs signed_by tags whole"
        );
        assert_eq!(report["counts"]["entries"], made["entries"]);
        assert_eq!((report["demo"].as_bool(), report["whole"].as_bool()), (Some(true), Some(true)));
        assert_eq!(verdict(&report, "blob.hash"), "PASS");
    }

    let (statement, head) =
        (at(folder.path(), "statement.html"), text(&sidelong(&["verify", &out, "--json"]).stdout));
    answered(&sidelong(&["verify", &out, "--statement", &statement]), 0);
    let page = std::fs::read_to_string(&statement).expect("a statement");
    let tags: Value = serde_json::from_str(&head).expect("JSON");
    let tags = tags["tags"].as_str().expect("a hash");
    assert!(
        page.contains(tags) && page.contains("log.inclusion") && page.contains("Demonstration"),
        "{page}"
    );
    assert_eq!(
        sidelong(&["verify", &out, "--statement", &statement]).status.code(),
        Some(3),
        "not written over"
    );

    // What is required and open is 2; what failed is 1, required or not; what is none is 3.
    answered(&sidelong(&["verify", &out, "--require", "log.inclusion", "--require", "blob.hash"]), 0);
    let open = answered(&sidelong(&["verify", &out, "--require", "time.not_later_than"]), 2);
    assert!(open.contains("required and not proven: time.not_later_than"), "{open}");
    answered(&sidelong(&["verify", &out, "--require", "of.a.newer.version"]), 2);
    let head = std::fs::read_dir(Path::new(&out).join("data/log")).expect("logs").next().expect("one");
    let head = head.expect("an entry").path().join("checkpoint").display().to_string();
    answered(&sidelong(&["verify", &out, "--require", "log.held", "--head", &head]), 0);
    answered(&sidelong(&["verify", &out, "--require", "log.held"]), 2);
    assert_eq!(sidelong(&["verify", &out, "--head", &at(folder.path(), "none")]).status.code(), Some(3));
    std::fs::write(Path::new(&out).join("data/more.txt"), "more").expect("written");
    let failed = answered(&sidelong(&["verify", &out, "--require", "time.not_later_than"]), 1);
    assert!(failed.contains("FAIL        bag.unlisted") && failed.contains("FAILED"), "{failed}");
    assert_eq!(verdict(&json(&sidelong(&["verify", &out, "--json"]), 1), "bag.unlisted"), "FAIL");
    for none in
        [at(folder.path(), "none"), folder.path().display().to_string(), format!("{out}/statement.txt")]
    {
        let output = sidelong(&["verify", &none]);
        assert_eq!((output.status.code(), text(&output.stdout)), (Some(3), String::new()), "{none}");
    }
}

#[test]
fn a_photo_is_disclosed_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let own = notebook(folder.path());
    let shown = json(&sidelong(&["show", "ZZ26", "--store", &own, "--json"]), 0);
    let photo = shown["photos"][0]["sha256"].as_str().expect("a photo");
    let (one, two) = (at(folder.path(), "one"), at(folder.path(), "two"));
    let told = answered(&sidelong(&["bundle", "ZZ26", &one, "--only", photo, "--store", &own]), 0);
    assert!(told.contains("1 of 67 entries, 1 photos and texts"), "{told}");
    let report = json(&sidelong(&["verify", &one, "--json"]), 0);
    assert_eq!(
        (report["counts"]["shown"].as_u64(), report["counts"]["withheld"].as_u64()),
        (Some(1), Some(66))
    );
    assert_eq!(report["whole"].as_bool(), Some(false));
    let off = sidelong(&["bundle", "ZZ26", &two, "--only", "the blue one", "--store", &own]);
    assert_eq!(off.status.code(), Some(1));
    assert!(text(&off.stderr).contains("only: \"the blue one\""), "{}", text(&off.stderr));
    assert!(!Path::new(&two).exists());
}

#[test]
fn help_says_what_the_exit_status_means() {
    for (command, words) in [("bundle", "--only"), ("verify", "NOT PROVEN")] {
        let help = text(&sidelong(&[command, "--help"]).stdout);
        assert!(help.contains(words) && help.contains("--json"), "{help}");
    }
    assert!(text(&sidelong(&["verify", "--help"]).stdout).contains("2 nothing failed"));
}

/// A demonstration ends with a bundle that holds; its notebook can be worked with from the desk, and stays one.
#[test]
fn a_demonstration_can_be_handed_over_and_carried_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = at(folder.path(), "demo");
    for _ in 0..2 {
        let told = json(&sidelong(&["demo", &demo, "--json"]), 0);
        assert_eq!(told["bundle"], at(folder.path(), "demo/bundle"));
    }
    let held = json(&sidelong(&["verify", &at(folder.path(), "demo/bundle"), "--json"]), 0);
    assert_eq!((held["demo"].as_bool(), held["whole"].as_bool()), (Some(true), Some(true)));
    for code in ["log.inclusion", "blob.hash", "statement.signature", "job.complete", "closing.cosigned"] {
        assert_eq!(verdict(&held, code), "PASS", "{code}");
    }

    let (one, out) = (at(folder.path(), "demo/phone-1"), at(folder.path(), "out"));
    answered(&sidelong(&["bundle", "YY26", &out, "--store", &one]), 0);
    assert_eq!(json(&sidelong(&["verify", &out, "--json"]), 0)["demo"], true);
    answered(&sidelong(&["pack", &at(folder.path(), "pack"), "--store", &one]), 0);
    answered(&sidelong(&["recorder", "another detailer", "--store", &one]), 0);
    answered(
        &sidelong(&["record", &at(folder.path(), "demo/inputs/8-van-handover.jsonl"), "--store", &one]),
        0,
    );
    answered(&sidelong(&["verify-log", "--store", &one]), 0);
    // Without its own seed no notebook is carried on, a demonstration's neither.
    std::fs::write(Path::new(&one).join("seed.key"), [7; 32]).expect("written");
    let refused = sidelong(&["recorder", "a third one", "--store", &one]);
    assert_eq!(refused.status.code(), Some(3));
    let told = text(&refused.stderr);
    assert!(told.contains("the signing seed of sidelong/demo/"), "{told}");
}
