//! `sidelong receipt` as a person or a program calls it.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

mod command;

use command::{at, said, sidelong};
use serde_json::Value;

#[test]
fn given_and_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    let (own, svg) = (at(folder.path(), "own"), at(folder.path(), "receipt.svg"));
    said(&sidelong(&["recorder", "first detailer", "--store", &own]), 0);
    let given = said(&sidelong(&["receipt", "--store", &own, "-o", &svg, "--json"]), 0);
    let given: Value = serde_json::from_str(&given).expect("JSON");
    assert_eq!(given["size"], 1);
    assert_eq!(std::fs::read_to_string(&svg).expect("a picture"), given["svg"].as_str().expect("a picture"));
    said(&sidelong(&["receipt", "--store", &own, "-o", &svg]), 3);
    let letters = given["text"].as_str().expect("letters").to_owned();
    assert!(said(&sidelong(&["receipt", "--store", &own]), 0).contains(&letters));

    let check = |text: &str, store: &str, code| {
        said(&sidelong(&["receipt", "--check", text, "--store", store]), code)
    };
    assert!(check(&letters, &own, 0).contains("all 1 entries that were there"));
    said(&sidelong(&["recorder", "second detailer", "--store", &own]), 0);
    let told = check(&letters.to_lowercase().replace('\n', " "), &own, 0);
    assert!(told.contains("1 were added since"), "{told}");
    let later = said(&sidelong(&["receipt", "--store", &own, "--json"]), 0);
    let later: Value = serde_json::from_str(&later).expect("JSON");

    let last = letters.trim_end().chars().next_back().expect("a letter");
    let wrong = format!(
        "{}{}",
        &letters.trim_end()[..letters.trim_end().len() - 1],
        if last == '7' { '8' } else { '7' }
    );
    assert!(check(&wrong, &own, 1).contains("receipt: "), "a changed letter");
    assert!(check("SIDELONG: 123", &own, 1).contains("3 letters and digits follow"), "cut off");

    let other = at(folder.path(), "other");
    said(&sidelong(&["recorder", "somebody else", "--store", &other]), 0);
    let told = check(&letters, &other, 1);
    assert!(told.contains("it is a receipt of sidelong/") && told.contains("; here are sidelong/"), "{told}");
    said(&sidelong(&["join", &own, "--store", &other]), 0);
    assert!(check(later["text"].as_str().expect("letters"), &other, 0).contains("all 2 entries"), "joined");
}

/// The copy that is given during the visit has it; any other has not.
#[test]
fn a_report_has_it_when_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let (demo, page) = (at(folder.path(), "demo"), at(folder.path(), "page.html"));
    said(&sidelong(&["demo", &demo]), 0);
    let one = at(folder.path(), "demo/phone-1");
    let read = || std::fs::read_to_string(&page).expect("a page");
    said(&sidelong(&["report", "ZZ26", "--store", &one, "-o", &page]), 0);
    assert!(!read().contains("SIDELONG:"));
    said(&sidelong(&["report", "ZZ26", "--receipt", "--store", &one, "-o", &page]), 0);
    let (found, given) = (read(), said(&sidelong(&["receipt", "--job", "ZZ26", "--store", &one]), 0));
    let letters = &given[given.find("SIDELONG:").expect("letters")..];
    assert!(found.contains(letters) && found.contains("aria-label=\"Receipt: "));
    assert!(found.len() < 5_000_000, "{} bytes", found.len());
    // The second phone knows the saloon from the first one's log alone.
    let two = at(folder.path(), "demo/phone-2");
    let told = said(&sidelong(&["receipt", "--job", "YY26", "--store", &two]), 1);
    assert!(told.contains("would not cover it"), "{told}");
}
