//! The dew point beside PsychroLib, MetPy and closed forms, and the rule of 3 °C on surfaces.

use super::committed;
use serde_json::Value;
use sidelong_core::care::air::{MARGIN_MC, dew_point};

fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap_or_else(|| panic!("no number {name} in {value}"))
}

fn scaled(value: &Value, name: &str, by: f64) -> i32 {
    (number(value, name) * by).round() as i32
}

#[test]
fn dew_points_are_those_of_others() {
    for case in committed("dew_point.json", "dew_point") {
        let (inputs, expected, checked) = (&case["inputs"], &case["expected"], &case["cross_check"]);
        let rh_ppm = u32::try_from(scaled(inputs, "rh_percent", 1e4)).expect("a humidity");
        let found = dew_point(scaled(inputs, "air_temp_C", 1e3), rh_ppm).expect("in range");
        let ours = f64::from(found.dew_point_mc) / 1e3;
        // The same equation, solved by another program; we keep thousandths.
        let same = number(expected, "dew_point_C_reference_over_water");
        assert!((ours - same).abs() <= 0.001, "{case}: {ours}");
        if ours > 0.01 {
            let theirs = number(checked, "psychrolib_GetTDewPointFromRelHum");
            assert!((ours - theirs).abs() <= 0.001, "{case}: {ours}");
        }
        let within = number(&case["tolerance"], "any_accepted_formula_vs_reference_C");
        for other in ["dew_point_C_AE1996", "dew_point_C_WMO"] {
            assert!((ours - number(expected, other)).abs() <= within, "{case}: {ours}");
        }
    }
}

#[test]
fn margins_are_those_of_others() {
    for case in committed("dew_point.json", "surface_margin_rule") {
        let (inputs, expected) = (&case["inputs"], &case["expected"]);
        let rh_ppm = u32::try_from(scaled(inputs, "rh_percent", 1e4)).expect("a humidity");
        let found = dew_point(scaled(inputs, "air_temp_C", 1e3), rh_ppm).expect("in range");
        let margin_mc = found.margin_mc(scaled(inputs, "surface_temp_C", 1e3)).expect("in range");
        assert_eq!(MARGIN_MC, scaled(inputs, "required_margin_C", 1e3));
        let off = f64::from(margin_mc) / 1e3 - number(expected, "margin_C");
        assert!(off.abs() <= 0.001, "{case}: {margin_mc}");
        assert_eq!(margin_mc >= MARGIN_MC, expected["meets_margin"] == true, "{case}");
        if let Some(condensing) = expected["condensing"].as_bool() {
            assert_eq!(margin_mc < 0, condensing, "{case}");
        }
    }
}

#[test]
fn what_nobody_can_reckon_with_is_refused() {
    for case in committed("dew_point.json", "invalid") {
        let inputs = &case["inputs"];
        // A humidity below 0 does not even fit the unit.
        if let Ok(rh_ppm) = u32::try_from(scaled(inputs, "rh_percent", 1e4)) {
            assert!(dew_point(scaled(inputs, "air_temp_C", 1e3), rh_ppm).is_err(), "{case}");
        }
    }
}
