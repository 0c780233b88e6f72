//! `sidelong time-token` over files: a request is written once, a good answer is told with its time, a bad one with its reason.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn sidelong(args: &[&Path]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sidelong")).arg("time-token").args(args).output().expect("runs")
}

fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// A token made by openssl 3.0.19 (`tests/published/tsa`), whose time asn1crypto read.
fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/published/tsa").join(name)
}

#[test]
fn asked_and_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    let (head, query) = (folder.path().join("head.txt"), folder.path().join("head.tsq"));
    std::fs::write(&head, "a signed head\n").expect("written");
    let ask = [Path::new("request"), &head, Path::new("-o"), &query];
    let out = sidelong(&ask);
    assert_eq!(out.status.code(), Some(0), "{}", said(&out));
    let asked = std::fs::read(&query).expect("a request");
    assert_eq!(sidelong(&ask).status.code(), Some(3), "not written over");
    assert_eq!(std::fs::read(&query).expect("a request"), asked);

    let check = |head: &Path, more: &[&Path]| {
        let (answer, roots) = (sample("sample1.tsr"), sample("ca.pem"));
        let fixed = [Path::new("check"), head, Path::new("--answer"), &answer, Path::new("--roots"), &roots];
        sidelong(&[&fixed[..], more].concat())
    };
    let (data, request) = (sample("sample1.data"), sample("sample1.tsq"));
    let out = check(&data, &[Path::new("--request"), &request, Path::new("--json")]);
    assert_eq!(out.status.code(), Some(0), "{}", said(&out));
    let told: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(told["rfc3339"], "2026-11-25T07:42:36.548Z", "{told}");
    let out = check(&data, &[]);
    assert!(said(&out).contains("no later than 2026-11-25T07:42:38.049Z"), "{}", said(&out));
    let out = check(&head, &[]);
    assert_eq!(out.status.code(), Some(1), "{}", said(&out));
    assert!(said(&out).contains("the token is of other bytes"), "{}", said(&out));
    let out = check(&data, &[Path::new("--request"), &query]);
    assert_eq!(out.status.code(), Some(1), "{}", said(&out));
    assert!(said(&out).contains("answers another request"), "{}", said(&out));
    assert_eq!(check(&folder.path().join("none"), &[]).status.code(), Some(3));
}
