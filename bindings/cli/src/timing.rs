//! `sidelong dew-point` and `sidelong schedule`: what air and time ask of the work.

use crate::{Ended, io, print_json};
use serde::Serialize;
use sidelong_core::care::air::{self, MARGIN_MC};
use sidelong_core::care::schedule::{self, Lag, Plan, Problem, TaskKind, TaskState, Window};
use sidelong_core::error::Error;
use std::io::Read as _;
use std::path::Path;

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

/// The schedule of a problem in a file.
pub fn schedule(file: &Path, json: bool) -> Result<Ended, Error> {
    let text = if file == Path::new("-") {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).map(|_| text)
    } else {
        std::fs::read_to_string(file)
    };
    let plan = schedule::plan(&Problem::read(&text.map_err(|why| io(file, &why))?)?)?;
    let ended = if matches!(plan, Plan::Fits { .. }) { Ended::Well } else { Ended::Badly };
    if json {
        print_json(&plan)?;
        return Ok(ended);
    }
    match plan {
        Plan::Fits { finish_s, best, tasks, late } => {
            for task in tasks {
                let verb = match task.task {
                    TaskKind::Apply => "apply",
                    TaskKind::Level => "level",
                };
                let state = match task.state {
                    TaskState::Done => "  done",
                    TaskState::Running => "  running",
                    TaskState::Planned => "",
                };
                let (start, end) = (clock(task.start_s), clock(task.end_s));
                let (person, section, layer) = (task.person, task.section, task.layer + 1);
                println!("{start}-{end}  {person}: {verb} {section}, layer {layer}{state}");
            }
            let proof = if best { "none can be earlier" } else { "the earliest found" };
            println!("finished {}; {proof}", clock(finish_s));
            late.iter().for_each(|window| println!("late: {}", told(window)));
        }
        Plan::NothingFits { breaks, proved } => {
            println!("nothing fits{}", if proved { "" } else { " that was found" });
            breaks.iter().for_each(|window| println!("breaks: {}", told(window)));
        }
    }
    Ok(ended)
}

fn told(window: &Window) -> String {
    let what = match window.lag {
        Lag::Wait => "levelled",
        Lag::Cure => "followed by the next layer",
    };
    let (section, layer) = (&window.section, window.layer + 1);
    format!(
        "{section}, layer {layer}: to be {what} by {}, missed by {} s",
        clock(window.due_s),
        window.late_s
    )
}

/// Seconds as hours, minutes and seconds.
fn clock(s: i64) -> String {
    format!("{}:{:02}:{:02}", s / 3_600, s / 60 % 60, s % 60)
}
