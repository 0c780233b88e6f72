//! `sidelong look shows` as an outside check calls it, and every way in which its file can be wrong.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

use serde_json::Value;
use std::process::{Command, Output};

fn shows(file: &str, json: bool) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("look.json");
    std::fs::write(&path, file).expect("written");
    let mut command = Command::new(env!("CARGO_BIN_EXE_sidelong"));
    command.args(["look", "shows"]).arg(&path);
    if json {
        command.arg("--json");
    }
    command.output().expect("the command runs")
}

const LAMP: &str = r#""light":{"point_m":[0.3,0,0.6],"radius_m":0.012}"#;
const EYE: &str = r#""eye_m":[-0.3,0,0.6]"#;

fn scene(light: &str, eye: &str, grooves: &str) -> String {
    format!("{{{light},{eye},\"grooves\":[{grooves}]}}")
}

#[test]
fn a_line_across_the_plane_of_light_and_eye_shows_beside_the_image_and_one_along_it_does_not() {
    // 70 mm beside the middle, where the lamp's image is: across, along, and across but in the glare.
    let grooves = r#"{"c":[0.07,0,0],"n":[0,0,2],"t":[0,1,0],"slope_deg":8},
                     {"c":[0.07,0,0],"n":[0,0,1],"t":[1,0,0]},
                     {"c":[0,0,0],"n":[0,0,1],"t":[0,1,0]}"#;
    let far = r#""light":{"direction":[0.4472,0,0.8944],"radius_deg":0.27}"#;
    let point = r#""light":{"point_m":[134.2,0,268.3],"radius_m":1.41}"#;
    let [lamp, sun, stand_in] = [LAMP, far, point].map(|light| {
        let output = shows(&scene(light, EYE, grooves), true);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        serde_json::from_slice::<Value>(&output.stdout).expect("JSON")
    });
    let said = |value: &Value| -> Vec<bool> {
        value["grooves"].as_array().expect("grooves").iter().map(|g| g["shows"] == true).collect()
    };
    assert_eq!(said(&lamp), [true, false, false], "{lamp}");
    assert!(
        lamp["grooves"][0]["score"].as_f64() > Some(0.5)
            && lamp["grooves"][2]["off_mirror_deg"].as_f64() < Some(1e-9)
    );
    let score = |value: &Value, at: usize| value["grooves"][at]["score"].as_f64().expect("a number");
    for at in 0..3 {
        assert!(
            (score(&sun, at) - score(&stand_in, at)).abs() < 0.02,
            "a far lamp stands for the sun: {sun} {stand_in}"
        );
    }
    let plain = shows(&scene(LAMP, EYE, grooves), false);
    let plain = String::from_utf8(plain.stdout).expect("text");
    assert!(
        plain.lines().count() == 3 && plain.lines().next().is_some_and(|line| line.ends_with("  shows")),
        "{plain}"
    );
}

#[test]
fn what_faces_away_is_said_with_the_reason() {
    let output = shows(
        &scene(
            LAMP,
            EYE,
            r#"{"c":[0,0,0],"n":[0,0,-1],"t":[0,1,0]},{"c":[0,0,0],"n":[-1,0,0.1],"t":[0,1,0]}"#,
        ),
        true,
    );
    let value: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(value["grooves"][0]["why"], "faces-away-from-light");
    assert_eq!(value["grooves"][1]["shows"], false);
}

#[test]
fn a_wrong_file_is_refused_with_the_place_that_is_wrong() {
    let good = r#"{"c":[0,0,0],"n":[0,0,1],"t":[0,1,0]}"#;
    for (file, field) in [
        (String::new(), "EOF"),
        ("[]".to_owned(), "invalid"),
        (scene(LAMP, EYE, good).trim_end_matches('}').to_owned(), "EOF"),
        (scene(LAMP, EYE, good) + "more", "trailing"),
        (scene(r#""light":{}"#, EYE, good), "light"),
        (scene(r#""light":{"point_m":[0,0,1],"direction":[0,0,1]}"#, EYE, good), "light"),
        (scene(r#""light":{"direction":[0,0,0]}"#, EYE, good), "light.direction"),
        (scene(r#""light":{"point_m":[0,0,1],"radius_m":-1}"#, EYE, good), "light.radius_m"),
        (scene(r#""light":{"direction":[0,0,1],"radius_deg":91}"#, EYE, good), "light.radius_deg"),
        (scene(LAMP, r#""eye_m":[0,0]"#, good), "eye_m"),
        (scene(LAMP, r#""eye_m":[0,0,1e300]"#, good), "eye_m"),
        (scene(LAMP, r#""eye_m":[0,0,NaN]"#, good), "eye_m"),
        (scene(LAMP, r#""eye_m":[0,0,0]"#, good), "grooves[0].c"),
        (scene(r#""light":{"point_m":[0,0,0]}"#, EYE, good), "grooves[0].c"),
        (scene(LAMP, EYE, &good.replace("0,0,1", "0,0,0")), "grooves[0].n"),
        (scene(LAMP, EYE, &good.replace("0,1,0", "0,0,0")), "grooves[0].t"),
        (scene(LAMP, EYE, &good.replace("0,1,0", "0,0,5")), "grooves[0].t"),
        (scene(LAMP, EYE, &good.replace('}', r#","slope_deg":0}"#)), "grooves[0].slope_deg"),
        (scene(LAMP, EYE, &good.replace("\"c\"", "\"d\"")), "grooves[0]"),
    ] {
        for json in [false, true] {
            let output = shows(&file, json);
            let said = String::from_utf8_lossy(&output.stderr).into_owned();
            assert_eq!(output.status.code(), Some(1), "{file}: {said}");
            assert!(said.contains(field) && output.stdout.is_empty(), "{file}: {said}");
        }
    }
    let missing =
        Command::new(env!("CARGO_BIN_EXE_sidelong")).args(["look", "shows", "no-such.json"]).output();
    assert_eq!(missing.expect("the command runs").status.code(), Some(3));
}
