//! Published check values: numbers that others computed or printed, each with its source beside it in
//! `dew_point.json`, `integrity.json`, `pictures.json`, `reflection.json`, `sun.json`, `thickness.json` and `vehicles.json`. Values
//! whose licence keeps them out of this repository are read from
//! `shared/check-values` (see `build.rs`); where that is absent, their tests are listed as ignored.

#![allow(clippy::expect_used, clippy::panic, reason = "tests only")]

mod canonical;
mod dew_point;
mod ids;
mod keys;
mod light;
mod merkle;
mod pictures;
mod sun;
mod thickness;
mod tokens;
mod vehicles;

use serde_json::Value;
use std::path::PathBuf;

/// The folder of this test.
fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("published")
}

fn read(path: &std::path::Path) -> Vec<Value> {
    let text = std::fs::read(path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
    let all: Value = serde_json::from_slice(&text).expect("JSON");
    all["cases"].as_array().expect("cases").clone()
}

fn of_kind(cases: Vec<Value>, kind: &str) -> Vec<Value> {
    let found: Vec<Value> = cases.into_iter().filter(|case| case["kind"] == kind).collect();
    assert!(!found.is_empty(), "no case of kind {kind}");
    found
}

/// The committed cases of a kind; there is at least one.
fn committed(file: &str, kind: &str) -> Vec<Value> {
    of_kind(read(&folder().join(file)), kind)
}

/// The cases of a kind that may not be committed.
fn shared(kind: &str) -> Vec<Value> {
    let Some(values) = option_env!("SIDELONG_CHECK_VALUES") else { panic!("only called where they are") };
    let path = PathBuf::from(values).join("h_integrity.json");
    of_kind(read(&path).into_iter().filter(|case| case["from_fetch"] == true).collect(), kind)
}

fn text<'a>(value: &'a Value, name: &str) -> &'a str {
    value[name].as_str().unwrap_or_else(|| panic!("no text {name} in {value}"))
}

fn unhex(text: &str) -> Vec<u8> {
    assert!(text.len().is_multiple_of(2), "{text}");
    (0..text.len()).step_by(2).map(|at| u8::from_str_radix(&text[at..at + 2], 16).expect("hex")).collect()
}

fn bytes<const N: usize>(value: &Value, name: &str) -> [u8; N] {
    unhex(text(value, name)).try_into().unwrap_or_else(|_| panic!("{name} in {value} is not {N} bytes"))
}
