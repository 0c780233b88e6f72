//! `sidelong look …`: what a look could have shown.

use crate::{Ended, io, print_json};
use clap::Subcommand;
use serde::{Deserialize, Serialize};
use sidelong_core::error::Error;
use sidelong_core::light::{Groove, Mirror, Place, Source, WALL_DEG, fine_line};
use std::path::{Path, PathBuf};

#[derive(Debug, Subcommand)]
pub enum Look {
    /// Say which fine grooves show from one eye under one light
    ///
    /// The file is JSON: `light` is {"point_m":[x,y,z],"radius_m":0.012} or {"direction":[x,y,z],"radius_deg":0.27}, towards
    /// the light; `eye_m` is [x,y,z]; `grooves` is a list of {"c":…,"n":…,"t":…,"slope_deg":8}: middle, outward normal, direction,
    /// and how steep the walls are (8 degrees if left out). Metres, in any frame. Whatever stands in the way is left out here.
    /// `score` ranks from 0 to 1; `shows` says only what can be relied on.
    Shows {
        /// The file
        file: PathBuf,
    },
}

/// Runs one of them.
pub fn run(look: &Look, json: bool) -> Result<Ended, Error> {
    match look {
        Look::Shows { file } => shows(file, json),
    }
}

#[derive(Debug, Deserialize)]
struct Scene {
    light: Lamp,
    eye_m: [f64; 3],
    grooves: Vec<Line>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Lamp {
    point_m: Option<[f64; 3]>,
    radius_m: Option<f64>,
    direction: Option<[f64; 3]>,
    radius_deg: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct Line {
    c: [f64; 3],
    n: [f64; 3],
    t: [f64; 3],
    #[serde(default = "usual_wall")]
    slope_deg: f64,
}

fn usual_wall() -> f64 {
    WALL_DEG
}

#[derive(Debug, Serialize)]
struct Shows {
    grooves: Vec<Shown>,
}

#[derive(Debug, Serialize)]
struct Shown {
    off_mirror_deg: f64,
    groove_deg: f64,
    shows: bool,
    score: f64,
    /// Why it cannot show at all.
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<&'static str>,
}

fn shows(file: &Path, json: bool) -> Result<Ended, Error> {
    let text = std::fs::read_to_string(file).map_err(|why| io(file, &why))?;
    let mut reading = serde_json::Deserializer::from_str(&text);
    let scene: Scene = serde_path_to_error::deserialize(&mut reading)
        .map_err(|why| Error::refused(why.path().to_string(), why.inner().to_string()))?;
    reading.end().map_err(|why| Error::refused("file", why.to_string()))?;
    let source = source(&scene.light)?;
    let eye = number("eye_m", scene.eye_m)?;
    let lines = scene.grooves.iter().enumerate();
    let grooves =
        lines.map(|(at, line)| shown(at, line, &source, eye)).collect::<Result<Vec<Shown>, Error>>()?;
    if json {
        print_json(&Shows { grooves })?;
        return Ok(Ended::Well);
    }
    for (number, groove) in (1..).zip(&grooves) {
        let verdict = match (groove.why, groove.shows) {
            (Some(why), _) => why,
            (None, true) => "shows",
            (None, false) => "cannot be relied on to show",
        };
        println!(
            "{number:4}  off the mirror {:6.2}°  off the groove {:6.2}°  score {:.2}  {verdict}",
            groove.off_mirror_deg, groove.groove_deg, groove.score
        );
    }
    Ok(Ended::Well)
}

fn source(lamp: &Lamp) -> Result<Source, Error> {
    let within = |field, value: f64, most: f64| match (0.0..=most).contains(&value) {
        true => Ok(value),
        false => Err(Error::refused(field, format!("{value} does not lie between 0 and {most}"))),
    };
    match (lamp.point_m, lamp.direction) {
        // Half the width of a hand lamp, and half the sun's angle.
        (Some(at), None) => Ok(Source::Lamp {
            at: number("light.point_m", at)?,
            radius_m: within("light.radius_m", lamp.radius_m.unwrap_or(0.012), 1e6)?,
        }),
        (None, Some(towards)) => Ok(Source::Far {
            towards: length("light.direction", towards)?,
            radius_deg: within("light.radius_deg", lamp.radius_deg.unwrap_or(0.27), 90.0)?,
        }),
        _ => Err(Error::refused("light", "it has either a point_m or a direction")),
    }
}

/// One groove, or what is wrong with it.
fn shown(at: usize, line: &Line, source: &Source, eye: [f64; 3]) -> Result<Shown, Error> {
    let field = |name: &str| format!("grooves[{at}].{name}");
    let normal = length(&field("n"), line.n)?;
    let along = length(&field("t"), line.t)?;
    let cosine: f64 = normal.iter().zip(&along).map(|(a, b)| a * b).sum();
    if cosine.abs() > 0.999 {
        return Err(Error::refused(field("t"), "it stands on the surface and does not run along it"));
    }
    if !(0.1..=60.0).contains(&line.slope_deg) {
        return Err(Error::refused(
            field("slope_deg"),
            format!("{} does not lie between 0.1 and 60", line.slope_deg),
        ));
    }
    let place = Place { at: number(&field("c"), line.c)?, normal };
    let mirror = Mirror::at(&place, source, eye)
        .map_err(|_| Error::refused(field("c"), "light or eye lies on it, or exactly opposite the other"))?;
    let glint = fine_line(&place, &mirror, &Groove { along, wall_deg: line.slope_deg });
    Ok(Shown {
        off_mirror_deg: glint.off_mirror_deg,
        groove_deg: glint.groove_deg,
        shows: glint.shows,
        score: glint.score,
        why: mirror.lit(normal).err().map(|why| why.word()),
    })
}

fn number(field: &str, value: [f64; 3]) -> Result<[f64; 3], Error> {
    match value.iter().all(|c| c.is_finite() && c.abs() <= 1e8) {
        true => Ok(value),
        false => Err(Error::refused(field, "a number in it is too large to compute with")),
    }
}

/// A direction, made one long.
fn length(field: &str, value: [f64; 3]) -> Result<[f64; 3], Error> {
    let value = number(field, value)?;
    let length = value.iter().map(|c| c * c).sum::<f64>().sqrt();
    match length > 1e-9 {
        true => Ok(value.map(|c| c / length)),
        false => Err(Error::refused(field, "it has no length")),
    }
}
