//! `sidelong dew-point` as an outside check calls it, `sidelong schedule`, and how both refuse.

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

const TWO: &str = r#"{"now_s":100,"open_limit":2,"people":[{"name":"Ann"}],"sections":[
    {"name":"bonnet left","layers":[{"apply_s":60,"wait_least_s":60,"wait_most_s":90,"level_s":30,
        "applied":{"person":"Ann","start_s":0,"end_s":60}}]},
    {"name":"bonnet right","layers":[{"apply_s":100,"wait_least_s":0,"wait_most_s":10,"level_s":20}]}]}"#;

fn scheduled(problem: &str, words: &[&str]) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.json");
    std::fs::write(&path, problem).expect("written");
    Command::new(env!("CARGO_BIN_EXE_sidelong"))
        .arg("schedule")
        .arg(&path)
        .args(words)
        .output()
        .expect("runs")
}

#[test]
fn a_schedule_is_told_in_words_and_as_json() {
    let words = scheduled(TWO, &[]);
    assert_eq!(
        String::from_utf8_lossy(&words.stdout),
        "0:00:00-0:01:00  Ann: apply bonnet left, layer 1  done\n\
         0:02:00-0:02:30  Ann: level bonnet left, layer 1\n\
         0:02:30-0:04:10  Ann: apply bonnet right, layer 1\n\
         0:04:10-0:04:30  Ann: level bonnet right, layer 1\n\
         finished 0:04:30; none can be earlier\n"
    );
    let json: Value = serde_json::from_slice(&scheduled(TWO, &["--json"]).stdout).expect("JSON");
    assert_eq!(keys(&json), ["best", "finish_s", "late", "outcome", "tasks"]);
    assert_eq!((&json["outcome"], &json["finish_s"]), (&"fits".into(), &270.into()));
    assert_eq!(keys(&json["tasks"][0]), ["end_s", "layer", "person", "section", "start_s", "state", "task"]);
}

#[test]
fn what_does_not_fit_names_the_window_and_ends_badly() {
    let late = TWO.replace("\"now_s\":100", "\"now_s\":200");
    let output = scheduled(&late, &[]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        said,
        "nothing fits\nbreaks: bonnet left, layer 1: to be levelled by 0:02:30, missed by 50 s\n"
    );
    let json: Value = serde_json::from_slice(&scheduled(&late, &["--json"]).stdout).expect("JSON");
    assert_eq!(keys(&json), ["breaks", "outcome", "proved"]);
    assert_eq!(keys(&json["breaks"][0]), ["due_s", "lag", "late_s", "layer", "section"]);
    let allowed = late.replacen('{', "{\"late_allowed\":true,", 1);
    let output = scheduled(&allowed, &[]);
    assert_eq!(output.status.code(), Some(0));
    assert!(String::from_utf8_lossy(&output.stdout).ends_with("missed by 50 s\n"));
}

#[test]
fn a_wrong_problem_is_named_by_its_path() {
    let wrong = TWO.replace("\"wait_most_s\":10", "\"wait_most_s\":-10");
    let output = scheduled(&wrong, &["--json"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(output.stdout.is_empty());
    let error = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(error, "sidelong: sections[1].layers[0].wait_most_s: -10 s is less than the least, 0 s\n");
    let nowhere = sidelong(&["schedule", "no such file"]);
    assert_eq!(nowhere.status.code(), Some(3));
}

/// A schedule that is put on record by an input is told beside what was done, and a job without one says so.
#[test]
fn a_schedule_on_record_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let (store, lines) = (folder.path().join("store"), folder.path().join("lines.jsonl"));
    let store = store.to_str().expect("a path");
    let opening = include_str!("../../../fixtures/demo/1-saloon-opening.jsonl");
    let layers = include_str!("../../../fixtures/demo/2b-saloon-first-layer.jsonl");
    let until_made = layers.lines().take_while(|line| !line.contains("begin_layer"));
    let all: Vec<&str> = opening.lines().chain(until_made).collect();
    assert!(all.last().is_some_and(|line| line.contains("make_schedule")), "it is the last one here");
    let record = |all: &[&str]| {
        std::fs::write(&lines, all.join("\n")).expect("written");
        let done = sidelong(&["record", lines.to_str().expect("a path"), "--store", store]);
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    };
    record(&all[..all.len() - 1]);
    let job = &["schedule", "--job", "YY26", "--store", store];
    let none = sidelong(job);
    assert_eq!(none.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&none.stderr).contains("none was made in it"));
    record(&all);
    let told = sidelong(job);
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    assert_eq!(told.lines().filter(|line| line.contains("first detailer: ")).count(), 16, "{told}");
    for part in
        ["first detailer: put on bonnet, layer 1 (next)", "\nfinished ", "at most 2 sections open", "\nmade "]
    {
        assert!(told.contains(part), "{part} is not in\n{told}");
    }
    let view = answer(&[job.as_slice(), &["--json"]].concat());
    assert_eq!(
        keys(&view),
        [
            "best",
            "best_text",
            "changed",
            "finish",
            "finish_ms",
            "id",
            "late",
            "made",
            "notes",
            "tasks",
            "terms",
            "zone"
        ]
    );
    assert_eq!((view["tasks"].as_array().map(Vec::len), &view["made"][0]["note"]), (Some(16), &Value::Null));
    let both = sidelong(&["schedule", "problem.json", "--job", "YY26"]);
    assert_eq!(both.status.code(), Some(2));
}
