//! `sidelong dew-point`: what the air asks of the work.

use crate::{Ended, print_json};
use serde::Serialize;
use sidelong_core::care::air::{self, MARGIN_MC};
use sidelong_core::error::Error;

#[derive(Debug, Serialize)]
struct DewPoint {
    dew_point_c: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    frost_point_c: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    margin_c: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    meets_margin: Option<bool>,
}

/// The dew point, and the margin of a panel over it.
pub fn dew_point(air_c: f64, rh: f64, panel_c: Option<f64>, json: bool) -> Result<Ended, Error> {
    let air_mc = scaled("--air-c", air_c, 1e3)?;
    let rh_ppm = u32::try_from(scaled("--rh", rh, 1e4)?)
        .map_err(|_| Error::refused("--rh", format!("{rh} % is not a relative humidity")))?;
    let found = air::dew_point(air_mc, rh_ppm)?;
    let panel_mc = panel_c.map(|panel_c| scaled("--panel-c", panel_c, 1e3)).transpose()?;
    let margin_mc = panel_mc.map(|panel_mc| found.margin_mc(panel_mc)).transpose()?;
    let degrees = |mc: i32| f64::from(mc) / 1e3;
    let shown = DewPoint {
        dew_point_c: degrees(found.dew_point_mc),
        frost_point_c: found.frost_point_mc.map(degrees),
        margin_c: margin_mc.map(degrees),
        meets_margin: margin_mc.map(|margin_mc| margin_mc >= MARGIN_MC),
    };
    if json {
        print_json(&shown)?;
        return Ok(Ended::Well);
    }
    println!("dew point {:.1} °C", shown.dew_point_c);
    if let Some(frost_point_c) = shown.frost_point_c {
        println!("frost point {frost_point_c:.1} °C");
    }
    if let (Some(margin_c), Some(meets)) = (shown.margin_c, shown.meets_margin) {
        let verdict = if meets { "at least 3 °C" } else { "less than 3 °C" };
        println!("panel {margin_c:.1} °C above it: {verdict}");
    }
    Ok(Ended::Well)
}

/// A number as whole thousandths or the like; what is no number, or far from any temperature, is refused here.
fn scaled(field: &str, value: f64, by: f64) -> Result<i32, Error> {
    let scaled = (value * by).round();
    match scaled.abs() <= 1e9 {
        true => Ok(scaled as i32),
        false => Err(Error::refused(field, format!("{value} is not a number to reckon with"))),
    }
}
