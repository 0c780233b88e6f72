//! `sidelong look …`: what a look could have shown, what was seen, where to look next, what the sun can do.

use crate::sun::{WhenWhere, time};
use crate::{Ended, StoreArg, io, print_json, read, show};
use clap::{Args, Subcommand, ValueEnum};
use serde::{Deserialize, Serialize};
use sidelong_core::api::{BlankAsk, NextAsk, SunAsk, sun_plan};
use sidelong_core::error::Error;
use sidelong_core::light::{Groove, Mirror, Place, Source, WALL_DEG, fine_line};
use sidelong_core::record::inputs::{Earth, Spot};
use sidelong_core::record::views::{LightView, StandView};
use sidelong_core::record::words::{Form, Light, Locale, MarkKind, WholeSide};
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
    /// Say what could have been seen of a job's vehicle, stage by stage, and what earlier looks say to marks found later
    Seen {
        /// The job: its id, the beginning of it, or a plate
        job: String,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Say where to stand next, so that most is added to what was seen
    Next {
        /// The job: its id, the beginning of it, or a plate
        job: String,
        #[command(flatten)]
        store: StoreArg,
        /// The light at hand
        #[arg(long, value_enum, default_value = "lamp")]
        with: Hand,
        /// Sides, as seated, where nobody can stand
        #[arg(long, value_enum, value_delimiter = ',')]
        blocked: Vec<SideArg>,
        /// Panels that matter, by neutral name; all that are painted if left out
        #[arg(long, value_delimiter = ',')]
        panels: Vec<String>,
        /// How many places
        #[arg(long, default_value_t = 3)]
        count: u32,
        /// When, for the sun: RFC 3339; now if left out
        #[arg(long)]
        at: Option<String>,
    },
    /// Say what each stage of a job has to say to a mark that somebody reports
    Blank {
        /// The job: its id, the beginning of it, or a plate
        job: String,
        #[command(flatten)]
        store: StoreArg,
        /// The question: {"panel":…,"at":{"u_ppm":…,"v_ppm":…},"to":…,"kind":"scratch","size_um":…} in a file; `to` and `size_um` may be left out
        question: PathBuf,
    },
    /// Say which panels the sun shows now, how far to turn the car, when it rakes each side, and how to park for shade
    Sun(SunPlan),
}

/// The light at hand.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Hand {
    Lamp,
    Sun,
}

/// A side, as seated.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum SideArg {
    Left,
    Right,
    Front,
    Rear,
}

impl From<SideArg> for WholeSide {
    fn from(side: SideArg) -> WholeSide {
        match side {
            SideArg::Left => WholeSide::Left,
            SideArg::Right => WholeSide::Right,
            SideArg::Front => WholeSide::Front,
            SideArg::Rear => WholeSide::Rear,
        }
    }
}

fn sides(sides: &[SideArg]) -> Vec<WholeSide> {
    sides.iter().map(|side| WholeSide::from(*side)).collect()
}

#[derive(Debug, Args)]
pub struct SunPlan {
    /// Outline of the vehicle, `saloon`
    #[arg(long)]
    form: String,
    #[command(flatten)]
    when: WhenWhere,
    /// Which way the front points, degrees clockwise from north
    #[arg(long)]
    heading: f64,
    /// Sides, as seated, where nobody can stand
    #[arg(long, value_enum, value_delimiter = ',')]
    blocked: Vec<SideArg>,
    /// A side that is to stay in the car's own shade
    #[arg(long, value_enum)]
    shade: Option<SideArg>,
}

/// Runs one of them.
pub fn run(look: &Look, locale: Locale, json: bool) -> Result<Ended, Error> {
    match look {
        Look::Shows { file } => shows(file, json),
        Look::Seen { job, store } => {
            let reader = read(store)?;
            seen(&reader.light(show::named(&reader, job, locale)?, locale)?, json)
        }
        Look::Next { job, store, with, blocked, panels, count, at } => {
            let reader = read(store)?;
            let at_ms = match at {
                Some(text) => time(text)?.0,
                None => now_ms(),
            };
            let light = match with {
                Hand::Lamp => Light::Point,
                Hand::Sun => Light::Sun,
            };
            let ask = NextAsk {
                light,
                at_ms,
                blocked: sides(blocked),
                panels: panels.clone(),
                stage: None,
                count: *count,
            };
            next(&reader.next_looks(show::named(&reader, job, locale)?, ask, locale)?, json)
        }
        Look::Blank { job, store, question } => {
            let reader = read(store)?;
            let Question { panel, at, to, kind, size_um } = file_of(question)?;
            let ask = BlankAsk { panel, at, to, kind, size_um };
            let stages = reader.blank(show::named(&reader, job, locale)?, ask, locale)?;
            if json {
                print_json(&serde_json::json!({ "stages": stages }))?;
            } else {
                stages.iter().for_each(|stage| println!("{}", stage.text));
                if stages.is_empty() {
                    println!("no walk-around was begun");
                }
            }
            Ok(Ended::Well)
        }
        Look::Sun(asked) => sun_plan_of(asked, locale, json),
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Question {
    panel: String,
    at: Spot,
    to: Option<Spot>,
    kind: MarkKind,
    size_um: Option<u32>,
}

fn now_ms() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}

fn seen(light: &LightView, json: bool) -> Result<Ended, Error> {
    if json {
        print_json(light)?;
        return Ok(Ended::Well);
    }
    if light.looks.is_empty() {
        println!("no look under a light is on record");
    }
    for look in &light.looks {
        println!("{}  {}: {}\n    {}", look.stamp.time, look.panels.join(", "), look.text, look.shows);
        for line in look.heading.iter().chain(&look.flags) {
            println!("    {line}");
        }
    }
    for stage in &light.seen {
        println!("\n{}", stage.stage_text);
        for panel in &stage.panels {
            println!("  {}: {}", panel.panel_name, panel.text);
        }
    }
    for spot in &light.spots {
        println!("\n{}: {}\n    {}", spot.panel_name, spot.text, spot.state);
        for line in spot.history.iter().chain(&spot.allows) {
            println!("    {line}");
        }
    }
    Ok(Ended::Well)
}

fn next(stands: &[StandView], json: bool) -> Result<Ended, Error> {
    if json {
        print_json(&serde_json::json!({ "places": stands }))?;
        return Ok(Ended::Well);
    }
    for (number, stand) in (1..).zip(stands) {
        println!("{number}. {} It adds {:.1} %.", stand.text, f64::from(stand.adds_ppm) / 10_000.0);
    }
    if stands.is_empty() {
        println!("no place that can be reached adds anything");
    }
    Ok(Ended::Well)
}

fn sun_plan_of(asked: &SunPlan, locale: Locale, json: bool) -> Result<Ended, Error> {
    let within = |field: &str, value: f64, least: f64, most: f64| match (least..=most).contains(&value) {
        true => Ok(value),
        false => Err(Error::refused(field, format!("{value} does not lie between {least} and {most}"))),
    };
    let form = Form::ALL.iter().copied().find(|form| form.word() == asked.form).ok_or_else(|| {
        let known: Vec<&str> = Form::ALL.iter().map(|form| form.word()).collect();
        Error::refused("form", format!("no form \"{}\"; one of {}", asked.form, known.join(", ")))
    })?;
    let (at_ms, off_min) = time(&asked.when.at)?;
    let micro = |deg: f64| (deg * 1e6).round() as i32;
    let ask = SunAsk {
        form,
        earth: Earth {
            lat_udeg: micro(within("lat", asked.when.lat, -90.0, 90.0)?),
            lon_udeg: micro(within("lon", asked.when.lon, -180.0, 180.0)?),
            height_m: None,
        },
        at_ms,
        off_min,
        heading_mdeg: (within("heading", asked.heading, 0.0, 360.0)? * 1_000.0).round() as u32 % 360_000,
        blocked: sides(&asked.blocked),
        shade: asked.shade.map(WholeSide::from),
    };
    let plan = sun_plan(ask, locale)?;
    if json {
        print_json(&plan)?;
        return Ok(Ended::Well);
    }
    println!("{}", plan.stands);
    plan.lines.iter().for_each(|line| println!("{line}"));
    Ok(Ended::Well)
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

/// Reads a file of JSON; what is wrong in it is named by its path.
fn file_of<T: serde::de::DeserializeOwned>(file: &Path) -> Result<T, Error> {
    let text = std::fs::read_to_string(file).map_err(|why| io(file, &why))?;
    let mut reading = serde_json::Deserializer::from_str(&text);
    let found = serde_path_to_error::deserialize(&mut reading)
        .map_err(|why| Error::refused(why.path().to_string(), why.inner().to_string()))?;
    reading.end().map_err(|why| Error::refused("file", why.to_string()))?;
    Ok(found)
}

fn shows(file: &Path, json: bool) -> Result<Ended, Error> {
    let scene: Scene = file_of(file)?;
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
