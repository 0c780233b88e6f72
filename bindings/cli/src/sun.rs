//! `sidelong sun`: where the sun stands, and when it rises and sets.

use crate::{Ended, print_json};
use clap::Args;
use serde::Serialize;
use sidelong_core::error::Error;
use sidelong_core::light::sun::{self, NoSun, Observer};
use sidelong_core::record::times;

/// When and where on earth.
#[derive(Debug, Args)]
pub struct WhenWhere {
    /// When: RFC 3339 with an offset, 2026-06-09T08:10:00+01:00
    #[arg(long)]
    pub at: String,
    /// Latitude, degrees, north positive
    #[arg(long, allow_negative_numbers = true)]
    pub lat: f64,
    /// Longitude, degrees, east positive
    #[arg(long, allow_negative_numbers = true)]
    pub lon: f64,
}

/// The time of `--at`: UTC milliseconds, and the offset in which times are told, minutes.
pub fn time(at: &str) -> Result<(i64, i32), Error> {
    times::read_rfc3339(at).map_err(|why| match why {
        Error::Refused { reason, .. } => Error::refused("at", reason),
        why => why,
    })
}

#[derive(Debug, Args)]
pub struct Sun {
    #[command(flatten)]
    when: WhenWhere,
    /// Height above the sea, metres
    #[arg(long, default_value_t = 0.0, allow_negative_numbers = true)]
    height_m: f64,
    /// Pressure at the place, hPa
    #[arg(long, default_value_t = 1013.25)]
    pressure_hpa: f64,
    /// Temperature of the air, °C
    #[arg(long, default_value_t = 15.0, allow_negative_numbers = true)]
    temperature_c: f64,
}

#[derive(Debug, Serialize)]
struct Stands {
    azimuth_deg: f64,
    elevation_deg: f64,
    apparent_elevation_deg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    sunrise_utc: Option<String>,
    transit_utc: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    sunset_utc: Option<String>,
    /// Said where it neither rises nor sets.
    #[serde(skip_serializing_if = "Option::is_none")]
    all_day: Option<&'static str>,
}

pub fn run(asked: &Sun, json: bool) -> Result<Ended, Error> {
    let (at_ms, off_min) = time(&asked.when.at)?;
    let place = Observer {
        lat_deg: asked.when.lat,
        lon_deg: asked.when.lon,
        height_m: asked.height_m,
        pressure_hpa: asked.pressure_hpa,
        temperature_c: asked.temperature_c,
    };
    let refused = |why: NoSun| Error::refused("sun", why.to_string());
    let stands = sun::sun(at_ms, &place).map_err(refused)?;
    let day = sun::day(at_ms, &place).map_err(refused)?;
    let all_day = match (day.sunrise_ms, day.sunset_ms) {
        (None, None) if day.up_at_transit => Some("up"),
        (None, None) => Some("down"),
        _ => None,
    };
    if json {
        let utc = |ms| times::rfc3339(ms, 0);
        print_json(&Stands {
            azimuth_deg: stands.azimuth_deg,
            elevation_deg: stands.elevation_deg,
            apparent_elevation_deg: stands.apparent_elevation_deg,
            sunrise_utc: day.sunrise_ms.map(utc),
            transit_utc: utc(day.transit_ms),
            sunset_utc: day.sunset_ms.map(utc),
            all_day,
        })?;
        return Ok(Ended::Well);
    }
    println!(
        "azimuth {:.2}° from north, elevation {:.2}° ({:.2}° as the air lifts it)",
        stands.azimuth_deg, stands.elevation_deg, stands.apparent_elevation_deg
    );
    let time = |ms: Option<i64>| ms.map_or_else(|| "not".to_owned(), |ms| times::time_of_day(ms, off_min));
    println!(
        "rises {}, highest {}, sets {} ({})",
        time(day.sunrise_ms),
        times::time_of_day(day.transit_ms, off_min),
        time(day.sunset_ms),
        times::zone_text(off_min, "")
    );
    if let Some(all_day) = all_day {
        println!("it stays {all_day} all day");
    }
    Ok(Ended::Well)
}
