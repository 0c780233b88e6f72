//! `sidelong dew-point` as an outside check calls it, and every way in which it is refused.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

use serde_json::Value;
use std::process::{Command, Output};

fn sidelong(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sidelong")).args(words).output().expect("the command runs")
}

fn answer(words: &[&str]) -> Value {
    let output = sidelong(words);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

#[test]
fn keys_come_with_what_was_asked() {
    let plain = answer(&["dew-point", "--air-c", "18", "--rh", "75", "--json"]);
    assert_eq!(keys(&plain), ["dew_point_c"]);
    let panel = answer(&["dew-point", "--air-c", "18", "--rh", "75", "--panel-c", "15", "--json"]);
    assert_eq!(keys(&panel), ["dew_point_c", "margin_c", "meets_margin"]);
    assert_eq!(panel["meets_margin"], false);
    let cold = answer(&["dew-point", "--air-c", "-5", "--rh", "80", "--panel-c", "-4.5", "--json"]);
    assert_eq!(keys(&cold), ["dew_point_c", "frost_point_c", "margin_c", "meets_margin"]);
    assert_eq!(cold["meets_margin"], true);
    let words = sidelong(&["dew-point", "--air-c", "18", "--rh", "75", "--panel-c", "17"]);
    let words = String::from_utf8(words.stdout).expect("text");
    assert_eq!(words, "dew point 13.5 °C\npanel 3.5 °C above it: at least 3 °C\n");
}

#[test]
fn what_cannot_be_reckoned_with_is_named() {
    for (air, rh, panel, said) in [
        ("nan", "75", "15", "--air-c: NaN"),
        ("inf", "75", "15", "--air-c: inf"),
        ("68", "75", "15", "air_mc: 68 °C"),
        ("18", "0", "15", "rh_ppm: 0 %"),
        ("18", "100.1", "15", "rh_ppm: 100.1 %"),
        ("18", "-3", "15", "--rh: -3 %"),
        ("18", "NaN", "15", "--rh: NaN"),
        ("18", "75", "NaN", "--panel-c: NaN"),
        ("18", "75", "300", "panel_mc: 300 °C"),
    ] {
        let output = sidelong(&["dew-point", "--air-c", air, "--rh", rh, "--panel-c", panel, "--json"]);
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{error}");
        assert!(output.stdout.is_empty() && error.contains(said), "{error}");
    }
    for (rh, panel) in [("100", "0"), ("100", "60"), ("1", "60")] {
        answer(&["dew-point", "--air-c", "18", "--rh", rh, "--panel-c", panel, "--json"]);
    }
}
