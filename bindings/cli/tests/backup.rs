//! Backing up and restoring as a person or a program calls it: where the passphrase comes from, exit codes, and that nothing
//! is written over.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

const PASSPHRASE: &str = "four words that nobody guesses";

/// Runs the command with a passphrase in the variable, and with something on standard input.
fn sidelong(args: &[&str], variable: Option<&str>, typed: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sidelong"));
    command.args(args).env_remove("SIDELONG_STORE").env_remove("SIDELONG_PASSPHRASE");
    if let Some(passphrase) = variable {
        command.env("SIDELONG_PASSPHRASE", passphrase);
    }
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("the command runs");
    // A command that did not ask has gone by now.
    let _ = child.stdin.take().expect("an input").write_all(typed.as_bytes());
    child.wait_with_output().expect("the command ends")
}

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

fn path(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}

#[test]
fn there_and_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let own = path(folder.path(), "own");
    let out = sidelong(&["business", "A name on the door", "--store", &own], None, "");
    assert_eq!(out.status.code(), Some(0), "{}", said(&out));

    let file = path(folder.path(), "backup.age");
    let out = sidelong(&["backup", &file, "--store", &own], Some("short"), "");
    assert_eq!(out.status.code(), Some(1), "{}", said(&out));
    assert!(!Path::new(&file).exists());
    let out = sidelong(&["backup", &file, "--store", &own], Some(PASSPHRASE), "");
    assert_eq!(out.status.code(), Some(0), "{}", said(&out));
    assert!(!said(&out).contains(PASSPHRASE));
    let whole = std::fs::read(&file).expect("a file");
    let out = sidelong(&["backup", &file, "--store", &own], Some(PASSPHRASE), "");
    assert_eq!(out.status.code(), Some(3), "{}", said(&out));
    assert_eq!(std::fs::read(&file).expect("a file"), whole, "never written over");

    let new = path(folder.path(), "new");
    let out = sidelong(&["restore", &file, "--store", &new], None, "another passphrase\n");
    assert_eq!(out.status.code(), Some(1), "{}", said(&out));
    assert!(said(&out).contains("it does not open this backup"), "{}", said(&out));
    assert!(!Path::new(&new).exists());
    let out = sidelong(&["restore", &file, "--store", &new, "--json"], None, &format!("{PASSPHRASE}\r\n"));
    assert_eq!(out.status.code(), Some(0), "{}", said(&out));
    let told: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(told["old_log"]["size"], 1, "{told}");
    assert_ne!(told["old_log"]["log"], told["log"]);
    assert_eq!(told["joined"]["taken"][0]["after"], 1, "{told}");
    for store in [&own, &new] {
        let out = sidelong(&["verify-log", "--store", store], None, "");
        assert_eq!(out.status.code(), Some(0), "{}", said(&out));
    }
    let out = sidelong(&["restore", &file, "--store", &new], Some(PASSPHRASE), "");
    assert_eq!(out.status.code(), Some(3), "{}", said(&out));
    assert!(said(&out).contains("not empty"), "{}", said(&out));
}
