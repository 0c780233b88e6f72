//! The command, run as a person or a program calls it.

#![allow(dead_code, reason = "each file of tests takes what it needs")]

use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

/// Runs `sidelong` with these words, whatever store the environment names.
pub fn sidelong(args: &[&str]) -> Output {
    let output =
        Command::new(env!("CARGO_BIN_EXE_sidelong")).args(args).env_remove("SIDELONG_STORE").output();
    output.expect("the command runs")
}

/// What bytes say.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// What it said, answers and complaints, if it ended with this status.
pub fn said(output: &Output, code: i32) -> String {
    let said = [&output.stdout, &output.stderr].map(|it| text(it)).concat();
    assert_eq!(output.status.code(), Some(code), "{said}");
    said
}

/// What it answered, if it ended with this status.
pub fn answered(output: &Output, code: i32) -> String {
    said(output, code);
    text(&output.stdout)
}

/// The JSON that it answered, if it ended with this status.
pub fn json(output: &Output, code: i32) -> Value {
    serde_json::from_str(&answered(output, code)).expect("JSON on one line")
}

/// A path in a folder, as it is typed.
pub fn at(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}
