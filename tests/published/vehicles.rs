//! The body forms beside the outer dimensions of typical vehicles.

use super::{committed, text};
use serde_json::Value;
use sidelong_core::record::words::Form;
use sidelong_core::vehicle::{self, Panel};

/// Length, width and height, millimetres, of what a data sheet measures.
fn outer(case: &Value) -> [i64; 3] {
    let form = text(case, "form");
    let form = Form::ALL.iter().copied().find(|it| it.word() == form).expect("a form");
    let body = |panel: &Panel| {
        let on_top = ["mirror", "aerial", "roof-bar", "roof-rail"];
        !on_top.iter().any(|word| panel.id.contains(word))
    };
    let (low, high) = vehicle::geometry(form).bounds_dmm(&body);
    // Tenths of a millimetre; height from the ground.
    [high[0] - low[0], high[1] - low[1], high[2]].map(|dmm| i64::from(dmm) / 10)
}

#[test]
fn forms_are_as_long_wide_and_high_as_typical_vehicles() {
    let cases = committed("vehicles.json", "outer");
    assert_eq!(cases.len(), Form::ALL.len(), "every form has its ranges");
    for case in cases {
        for (size, axis) in outer(&case).into_iter().zip(["length", "width", "height"]) {
            let range: Vec<i64> = serde_json::from_value(case[axis].clone()).expect("two numbers");
            assert!((range[0]..=range[1]).contains(&size), "{}: {axis} {size} mm", text(&case, "id"));
        }
    }
}

#[test]
fn the_saloon_is_near_the_design_vehicle() {
    for case in committed("vehicles.json", "near") {
        let within = case["within"].as_i64().expect("a number");
        for (size, axis) in outer(&case).into_iter().zip(["length", "width", "height"]) {
            let expected = case[axis].as_i64().expect("a number");
            assert!((size - expected).abs() <= within, "{axis} {size} mm, not {expected}");
        }
    }
}
