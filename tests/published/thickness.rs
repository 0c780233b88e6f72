//! Paint thickness: means, the median rule and Grubbs's test as numpy, scipy and statsmodels compute them, the NIST
//! e-Handbook's example, and a printed table of critical values. All rules hold for any unit, so readings with
//! decimals are given in tenths or hundredths.

use super::committed;
use serde_json::Value;
use sidelong_core::record::thickness::{Summary, worth_measuring_again};

/// Readings as whole numbers of a `1/scale` of their unit.
fn whole(readings: &Value, scale: f64) -> Vec<u32> {
    let number = |value: &Value| {
        let scaled = value.as_f64().expect("a number") * scale;
        assert!((scaled - scaled.round()).abs() < 1e-6 && scaled > 0.0, "{scaled} is not whole");
        scaled.round() as u32
    };
    readings.as_array().expect("readings").iter().map(number).collect()
}

/// Of the exact mean, rounded half away from zero, in tenths.
fn tenths(mean: &Value, scale: f64) -> i64 {
    (mean.as_f64().expect("a mean") * scale * 10.0).round() as i64
}

#[test]
fn panels() {
    let (mut called_out, mut outliers) = (0, 0);
    for case in committed("thickness.json", "panel_statistics") {
        let given = &case["inputs"]["readings_um"];
        let scale = if given.as_array().expect("readings").iter().all(Value::is_u64) { 1.0 } else { 10.0 };
        let (readings, expected) = (whole(given, scale), &case["expected"]);
        let summary = Summary::of(&readings).expect("readings");
        assert_eq!(summary.count as u64, expected["n"].as_u64().expect("a count"), "{case}");
        assert_eq!(
            vec![summary.lowest_um],
            whole(&Value::Array(vec![expected["min"].clone()]), scale),
            "{case}"
        );
        assert_eq!(
            vec![summary.highest_um],
            whole(&Value::Array(vec![expected["max"].clone()]), scale),
            "{case}"
        );
        assert_eq!(summary.mean_tenths_um, tenths(&expected["mean"], scale), "{case}");
        let doubtful: Vec<u32> = summary.doubtful.iter().map(|&at| readings[at]).collect();
        assert_eq!(doubtful, whole(&expected["outliers_modified_z_gt_3.5"], scale), "{case}");
        assert_eq!(summary.grubbs.is_some(), expected["grubbs_outlier"] == true, "{case}");
        called_out += doubtful.len();
        outliers += usize::from(summary.grubbs.is_some());
        // None of these is explained by a gauge that is right to ±3 µm.
        assert_eq!(worth_measuring_again(&readings, 3), summary.doubtful, "{case}");
    }
    assert_eq!((called_out, outliers), (6, 2), "cases of both kinds");
}

/// A spot is the mean of its readings, an area the mean of its spots (ASTM D7091 leaves conformance to SSPC-PA 2, which
/// says so; ISO 2808 takes the mean too, from memory).
#[test]
fn spots_and_their_area() {
    for case in committed("thickness.json", "sspc_pa2_spot_area") {
        let spots: Vec<Vec<u32>> = case["inputs"]["gage_readings_um"]
            .as_array()
            .expect("spots")
            .iter()
            .map(|readings| whole(readings, 1.0))
            .collect();
        let means: Vec<i64> =
            spots.iter().map(|readings| Summary::of(readings).expect("readings").mean_tenths_um).collect();
        let expected: Vec<i64> = case["expected"]["spot_means_um"]
            .as_array()
            .expect("means")
            .iter()
            .map(|mean| tenths(mean, 1.0))
            .collect();
        assert_eq!(means, expected);
        // Spots of equally many readings: the area's mean is that of all readings.
        let area = Summary::of(&spots.concat()).expect("readings");
        assert_eq!(area.mean_tenths_um, tenths(&case["expected"]["area_mean_um"], 1.0));
    }
}

/// NIST/SEMATECH e-Handbook 1.3.5.17.1: one of eight mass spectrometer measurements is an outlier.
#[test]
fn the_handbooks_example() {
    for case in committed("thickness.json", "grubbs") {
        let readings = whole(&case["inputs"]["x"], 100.0);
        let summary = Summary::of(&readings).expect("readings");
        assert_eq!(summary.mean_tenths_um, tenths(&case["expected"]["mean"], 100.0));
        let found = vec![readings[summary.grubbs.expect("an outlier")]];
        assert_eq!(found, whole(&Value::Array(vec![case["expected"]["outlier_value"].clone()]), 100.0));
    }
}

/// G of the last of some numbers.
fn g(readings: &[u32]) -> f64 {
    let n = readings.len() as f64;
    let mean = readings.iter().map(|&x| f64::from(x)).sum::<f64>() / n;
    let squares: f64 = readings.iter().map(|&x| (f64::from(x) - mean).powi(2)).sum();
    (f64::from(*readings.last().expect("one")) - mean) / (squares / (n - 1.0)).sqrt()
}

/// The last reading moves away from the others until it is called out: G there is the critical value.
#[test]
fn critical_values() {
    let mut checked = 0;
    for case in committed("thickness.json", "grubbs_critical_table") {
        for row in case["expected"].as_array().expect("rows") {
            let n = row["n"].as_u64().expect("n") as usize;
            let set = |far: u32| {
                let others = (0..n - 1).map(|at| if at % 2 == 0 { 999_000_000 } else { 1_001_000_000 });
                others.chain([1_000_000_000 + far]).collect::<Vec<u32>>()
            };
            let called_out = |far| Summary::of(&set(far)).expect("readings").grubbs == Some(n - 1);
            let (mut below, mut above) = (1_000_000, 2_000_000_000);
            if n > 30 {
                assert!(!called_out(above), "more than 30 readings get no verdict");
                continue;
            }
            assert!(!called_out(below) && called_out(above), "n = {n}");
            while above - below > 1 {
                let middle = below.midpoint(above);
                *(if called_out(middle) { &mut above } else { &mut below }) = middle;
            }
            let (found, expected) = (g(&set(above)), row["two_sided_0.05"].as_f64().expect("a value"));
            // The table has four decimals.
            assert!((found - expected).abs() < 6e-5, "n = {n}: {found}, expected {expected}");
            checked += 1;
        }
    }
    assert_eq!(checked, 20);
}
