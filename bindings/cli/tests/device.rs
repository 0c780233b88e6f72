//! The phones of a demonstration at the desk: who they are, what is said of them, and a bundle held to a witness's key.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

mod command;

use command::{at, sidelong, text};
use serde_json::Value;
use std::fs;

fn done(args: &[&str], code: i32) -> String {
    let output = sidelong(args);
    assert_eq!(
        output.status.code(),
        Some(code),
        "{args:?}: {}{}",
        text(&output.stdout),
        text(&output.stderr)
    );
    if code == 0 || code == 2 { text(&output.stdout) } else { text(&output.stderr) }
}

#[test]
fn phones_and_their_word() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = at(folder.path(), "demo");
    done(&["demo", &demo], 0);
    let [one, two, bundle] =
        ["demo/phone-1", "demo/phone-2", "demo/bundle"].map(|name| at(folder.path(), name));
    let list = || -> Vec<Value> {
        serde_json::from_str(&done(&["device", "list", "--json", "--store", &one], 0)).expect("JSON")
    };
    let devices = list();
    assert_eq!(
        (devices.len(), &devices[0]["own"], &devices[1]["own"]),
        (2, &Value::Bool(true), &Value::Bool(false))
    );
    let other = devices[1]["log"].as_str().expect("a name");
    let phone = devices[1]["phone"].as_str().expect("digits");
    let listed = done(&["device", "list", "--store", &one], 0);
    assert!(listed.contains(&format!("entries co-signed by phone {phone}, Tue 9 June 2026")), "{listed}");

    // The other phone's key, got from the other phone, makes its word count.
    let key = done(&["device", "key", "--store", &two], 0);
    assert_eq!(Some(key.trim()), devices[1]["key"].as_str(), "one key on both phones");
    assert_eq!(done(&["device", "key", phone, "--store", &one], 0), key);
    let file = at(folder.path(), "key.txt");
    fs::write(&file, &key).expect("written");
    let open = done(&["verify", &bundle, "--require", "witness"], 2);
    assert!(open.contains("NOT PROVEN  witness") && open.contains(other), "{open}");
    let proved = done(&["verify", &bundle, "--require", "witness", "--witness", &file], 0);
    assert!(proved.contains(&format!("PASS        witness               {other} co-signed")), "{proved}");
    let own = at(folder.path(), "own.txt");
    fs::write(&own, done(&["device", "key", "--store", &one], 0)).expect("written");
    done(&["verify", &bundle, "--require", "witness", "--witness", &own], 2);
    fs::write(&own, "no key").expect("written");
    let why = done(&["verify", &bundle, "--witness", &own], 3);
    assert!(why.contains("own.txt") && why.contains("not a witness's key"), "{why}");
    done(&["verify", &bundle, "--witness", &at(folder.path(), "none.txt")], 3);

    assert_eq!(done(&["device", "add", phone, "--store", &one], 0), "recorded\n");
    assert_eq!(done(&["device", "add", phone, "--store", &one], 0), "that is on record already\n");
    let lose = |since: &str, code| done(&["device", "lose", other, "--since", since, "--store", &one], code);
    assert!(lose("noon", 1).contains("since: not a time"));
    assert_eq!(lose("2026-06-09T14:00:00+01:00", 0), "recorded\n");
    assert_eq!(done(&["device", "retire", other, "--json", "--store", &one], 0), "{\"recorded\":true}\n");
    assert!(done(&["device", "retire", "zz", "--store", &one], 1).contains("take in its record first"));
    assert!(done(&["device", "key", "zz", "--store", &one], 1).contains("no such log"));
    let said: Vec<String> = list()[1]["said"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|it| it.as_str().expect("text").to_owned())
        .collect();
    assert_eq!(said.len(), 3, "{said:#?}");
    assert!(said[1].contains("is lost since Tue 9 June 2026, 14:00:00"), "{said:#?}");
    done(&["verify-log", "--store", &one], 0);
}
