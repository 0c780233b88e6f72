//! `sidelong plan`: what a file of work becomes, and every way in which the file can be wrong.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

use serde_json::Value;
use std::process::{Command, Output};

/// Every field once: this is the file's shape by example.
const WORK: &str = include_str!("work.json");

fn plan(file: &str, json: bool) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("work.json");
    std::fs::write(&path, file).expect("written");
    let mut command = Command::new(env!("CARGO_BIN_EXE_sidelong"));
    command.arg("plan").arg(&path);
    if json {
        command.arg("--json");
    }
    command.output().expect("the command runs")
}

#[test]
fn a_file_of_work_becomes_steps_in_order() {
    let output = plan(WORK, true);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let plan: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let steps = plan["steps"].as_array().expect("steps");
    let on_bonnet =
        |step: &&Value| step["on"].as_array().expect("on").iter().any(|on| on["place"] == "bonnet");
    let words: Vec<&str> =
        steps.iter().filter(on_bonnet).map(|step| step["step"].as_str().expect("a word")).collect();
    assert_eq!(words.join(" "), "look feel clay-fine feel polish panel-wipe ceramic");
    let ceramic = steps.iter().find(|step| step["step"] == "ceramic").expect("ceramic");
    assert_eq!(ceramic["sheet"]["version"], 1);
    assert_eq!((ceramic["dwell_least_s"].as_u64(), ceramic["dwell_most_s"].as_u64()), (Some(60), Some(180)));
    assert_eq!(ceramic["usual"].as_array().expect("a list").len(), 0, "this sheet states everything");
    assert_eq!(ceramic["ask"].as_array().expect("a list").len(), 3);
    assert_eq!(ceramic["cloth_zone"], "white");
    assert_eq!(plan["now"][0]["contamination"]["step"], "clay-fine");
    assert_eq!(plan["now"][0]["contamination"]["on"], "test-square");
    assert_eq!(plan["now"][0]["polish"]["on"], "panel");
    assert_eq!(plan["kept_back"].as_array().expect("a list").len(), 0);
}

#[test]
fn it_reads_without_json_too() {
    let output = plan(WORK, false);
    let text = String::from_utf8(output.stdout).expect("text");
    for part in [
        "   1  a fresh look [added]: bonnet (left half, right half), front-left-tyre, front-bumper",
        "must be clean, dry, cool, oils wiped off",
        "Where does the car sleep tonight?",
        "off after 60 to 180 s",
        "cloth: white",
        "cloth: black",
        "Away from flames.",
        "High voltage",
        "now       bonnet: fine clay.",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    let matt = plan(
        &WORK.replace("\"kind\":\"paint-metallic\",\"sections\"", "\"kind\":\"paint-matt\",\"sections\""),
        false,
    );
    let text = String::from_utf8(matt.stdout).expect("text");
    assert!(text.contains("not done  machine polishing on bonnet: rubbing makes matt paint shine"), "{text}");
}

#[test]
fn a_wrong_file_is_refused_with_the_place_that_is_wrong() {
    for (from, to, field) in [
        ("{", "", "file"),
        ("paint-metallic", "paint", "surfaces[0].kind"),
        ("panel_mc", "panel_c", "surfaces[0].panel_c"),
        ("\"few-specks\"", "7", "surfaces[0].findings[2].felt.level"),
        ("1781014900000", "1", "surfaces[0].findings[1].at_ms"),
        ("[118,", "[118.5,", "surfaces[0].readings_um[0]"),
        ("[118,", "[0,", "surfaces[0].readings_um[0]"),
        ("\"version\":1}},", "\"version\":9}},", "agreed[0].sheet"),
        ("\"on\":[\"front-left-tyre\"]", "\"on\":[\"keel\"]", "agreed[3].on[0]"),
        (
            "\"least_mc\":10000,\"most_mc\":27000},\"panel\"",
            "\"least_mc\":30000,\"most_mc\":27000},\"panel\"",
            "sheets[0].air",
        ),
        ("\"least_pct\":40", "\"least_pct\":-1", "sheets[0].humidity.least_pct"),
        ("\"name\":\"black\"", "\"name\":\"white\"", "zones[1].name"),
        ("\"after_absence\":true", "\"after_absence\":1", "facts.after_absence"),
    ] {
        for json in [false, true] {
            let broken = WORK.replacen(from, to, 1);
            assert_ne!(broken, WORK, "{from}");
            let output = plan(&broken, json);
            let said = String::from_utf8_lossy(&output.stderr).into_owned();
            assert_eq!(output.status.code(), Some(1), "{from}: {said}");
            assert!(said.contains(field) && output.stdout.is_empty(), "{from}: {said}");
        }
    }
    let missing = Command::new(env!("CARGO_BIN_EXE_sidelong")).args(["plan", "no-such.json"]).output();
    assert_eq!(missing.expect("the command runs").status.code(), Some(3));
}

/// The same plan from the record: the job's agreed work, under the keys of the file form; how the shop works is asked and said.
#[test]
fn a_job_on_record_becomes_steps_in_order() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_sidelong"));
        command.args(args).args(["--store", "own", "--json"]).current_dir(folder.path());
        command.output().expect("the command runs")
    };
    let json = |output: &Output| -> Value {
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        serde_json::from_slice(&output.stdout).expect("JSON")
    };
    let job = "019ea9f1-0000-7000-8000-000000000001";
    let input = |number: u32, act: &str| {
        format!(r#"{{"input":"019ea9f1-0000-7000-8000-0000000000{number:02}","job":"{job}","act":{act}}}"#)
    };
    let lines = [
        input(
            10,
            r#"{"open_job":{"form":"saloon","finish":"metallic","scope":["outside"],"plate":"ZZ26 PLN"}}"#,
        ),
        input(11, r#"{"begin_walk":{"stage":"after-wash"}}"#),
        input(
            12,
            r#"{"record_outcome":{"panel":"bonnet","outcome":"nothing-seen","light":"soft","surface":"clean"}}"#,
        ),
        input(13, r#"{"measure_thickness":{"panel":"roof","readings_um":[110,95,104]}}"#),
        input(
            14,
            r#"{"agree_work":{"by":"owner","steps":[{"step":"wax","panels":["bonnet"],"agreed":true},{"step":"polish","panels":["roof"],"agreed":true}]}}"#,
        ),
    ];
    std::fs::write(folder.path().join("day.jsonl"), lines.join("\n")).expect("written");
    std::fs::write(folder.path().join("shop.json"), r#"{"floor_um":100}"#).expect("written");
    std::fs::write(folder.path().join("wrong.json"), r#"{"floor_um":5}"#).expect("written");
    assert!(run(&["record", "day.jsonl"]).status.success());
    let plan = json(&run(&["plan", "--job", "ZZ26"]));
    let steps = |plan: &Value| -> Vec<String> {
        let all = plan["steps"].as_array().expect("steps").iter();
        all.map(|step| step["step"].as_str().expect("a word").to_owned()).collect()
    };
    let order = steps(&plan);
    let at = |word: &str| order.iter().position(|it| it == word).expect("planned");
    assert!(at("polish") < at("wax"), "{order:?}");
    assert_eq!(plan["now"][0]["polish"]["step"], "polish");
    assert!(plan["kept_back"].as_array().expect("a list").is_empty());
    let said = json(&run(&["shop", "shop.json"]));
    assert_eq!(said, serde_json::json!({"floor_um": 100}));
    assert_eq!(json(&run(&["shop"])), said);
    let kept = json(&run(&["plan", "--job", job]));
    assert!(
        kept["kept_back"][0]["refusal"]["reason"].as_str().expect("a reason").contains("95 µm"),
        "{kept}"
    );
    assert!(!steps(&kept).contains(&"polish".to_owned()));
    for (args, status) in [
        (&["plan", "--job", "nobody"][..], 3),
        (&["plan", "--job", job, "day.jsonl"], 2),
        (&["plan"], 2),
        (&["shop", "wrong.json"], 1),
        (&["shop", "none.json"], 3),
    ] {
        assert_eq!(run(args).status.code(), Some(status), "{args:?}");
    }
}
