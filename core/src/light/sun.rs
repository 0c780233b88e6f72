//! Where the sun stands. Pure. Reda & Andreas, "Solar Position Algorithm for Solar Radiation Applications", NREL/TP-560-34302
//! (2003, revised 2008), by a kept crate that uses `libm`; ΔT is estimated. Refraction as there: Bennett's formula, scaled by
//! pressure and temperature.

use crate::record::inputs::Earth;
use solar_positioning::time::JulianDate;
use solar_positioning::{Horizon, Location, RefractionCorrection, SolarEvents, SolarPositions, delta_t};

/// A place on earth and its air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observer {
    /// Latitude, degrees, north positive: -90 to 90.
    pub lat_deg: f64,
    /// Longitude, degrees, east positive: -180 to 180.
    pub lon_deg: f64,
    /// Height above the sea, metres: -500 to 9,000.
    pub height_m: f64,
    /// Pressure at the place, hPa, not brought to sea level: 1 to 2,000.
    pub pressure_hpa: f64,
    /// Temperature of the air, °C: -90 to 70.
    pub temperature_c: f64,
}

impl Observer {
    /// A place in a standard atmosphere at sea level, 15 °C (ISO 2533).
    pub fn at(lat_deg: f64, lon_deg: f64) -> Observer {
        Observer { lat_deg, lon_deg, height_m: 0.0, pressure_hpa: 1013.25, temperature_c: 15.0 }
    }
}

impl From<Earth> for Observer {
    fn from(earth: Earth) -> Observer {
        Observer {
            height_m: earth.height_m.map_or(0.0, f64::from),
            ..Observer::at(f64::from(earth.lat_udeg) / 1e6, f64::from(earth.lon_udeg) / 1e6)
        }
    }
}

/// Where the sun stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Clockwise from true north, degrees, 0 to 360.
    pub azimuth_deg: f64,
    /// Of its middle above the horizon, degrees, without refraction.
    pub elevation_deg: f64,
    /// The same as the air lifts it: where it is seen.
    pub apparent_elevation_deg: f64,
}

/// A day of the sun at a place, UTC milliseconds: from one of its lowest stands to the next. Its upper edge on a level horizon at sea
/// level, 50 minutes of arc below the horizon for its middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// It rises; none where it stays up or down.
    pub sunrise_ms: Option<i64>,
    /// It stands in the meridian.
    pub transit_ms: i64,
    /// It sets; none where it stays up or down.
    pub sunset_ms: Option<i64>,
    /// Whether it is above the horizon at its transit: what "none" means.
    pub up_at_transit: bool,
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoSun {
    /// A number that cannot be meant.
    #[error("{field} is {value}; {least} to {most} can be meant")]
    Range {
        /// Which.
        field: &'static str,
        /// What was given.
        value: f64,
        /// The least.
        least: f64,
        /// The most.
        most: f64,
    },
    /// A time that the algorithm or the estimate of ΔT does not reach.
    #[error("no sun can be computed for this time; the years 1900 to 2999 can be")]
    Time,
}

const DAY_MS: f64 = 86_400_000.0;
/// Julian date of the beginning of 1970, UTC.
const EPOCH_JD: f64 = 2_440_587.5;
/// 1900-01-01 and 3000-01-01, UTC milliseconds.
const REACH_MS: (i64, i64) = (-2_208_988_800_000, 32_503_680_000_000);

fn julian(at_ms: i64) -> f64 {
    at_ms as f64 / DAY_MS + EPOCH_JD
}

fn milliseconds(jd: f64) -> i64 {
    ((jd - EPOCH_JD) * DAY_MS).round() as i64
}

fn delta_t_s(at_ms: i64) -> Result<f64, NoSun> {
    if !(REACH_MS.0..REACH_MS.1).contains(&at_ms) {
        return Err(NoSun::Time);
    }
    // 365.2425 days to a year: the estimate changes by milliseconds a day.
    delta_t::estimate(1970.0 + at_ms as f64 / (365.2425 * DAY_MS)).map_err(|_| NoSun::Time)
}

fn check(place: &Observer) -> Result<(), NoSun> {
    for (field, value, least, most) in [
        ("latitude", place.lat_deg, -90.0, 90.0),
        ("longitude", place.lon_deg, -180.0, 180.0),
        ("height", place.height_m, -500.0, 9_000.0),
        ("pressure", place.pressure_hpa, 1.0, 2_000.0),
        ("temperature", place.temperature_c, -90.0, 70.0),
    ] {
        if !(least..=most).contains(&value) {
            return Err(NoSun::Range { field, value, least, most });
        }
    }
    Ok(())
}

/// Where the sun stands at a time, UTC milliseconds.
pub fn sun(at_ms: i64, place: &Observer) -> Result<Sun, NoSun> {
    check(place)?;
    let delta = delta_t_s(at_ms)?;
    let air = RefractionCorrection::new(place.pressure_hpa, place.temperature_c).map_err(|_| NoSun::Time)?;
    let time = JulianDate::new(julian(at_ms), delta).map_err(|_| NoSun::Time)?;
    let here = Location { latitude: place.lat_deg, longitude: place.lon_deg };
    let stands = |refraction| {
        SolarPositions::new().at_from_julian(time, here, place.height_m, refraction).map_err(|_| NoSun::Time)
    };
    let (bare, lifted) = (stands(None)?, stands(Some(air))?);
    Ok(Sun {
        azimuth_deg: bare.azimuth(),
        elevation_deg: bare.elevation_angle(),
        apparent_elevation_deg: lifted.elevation_angle(),
    })
}

/// The day of the sun that a time lies in.
pub fn day(at_ms: i64, place: &Observer) -> Result<Day, NoSun> {
    check(place)?;
    let delta = delta_t_s(at_ms)?;
    let here = Location { latitude: place.lat_deg, longitude: place.lon_deg };
    let (now, events) = (julian(at_ms), SolarEvents::new());
    // Two transits lie at most 24 h and half a minute apart: one of the two round a time is the nearer.
    let transit = |from: f64, to: f64| {
        events.next_transit_from_julian(from, to, place.lon_deg, delta).map_err(|_| NoSun::Time)
    };
    let before = transit(now - 1.001, now)?;
    let after = transit(before.unwrap_or(now) + 0.1, now + 1.001)?;
    let noon = match (before, after) {
        (Some(a), Some(b)) => {
            if now - a <= b - now {
                a
            } else {
                b
            }
        }
        (a, b) => a.or(b).ok_or(NoSun::Time)?,
    };
    let half = 0.5003;
    let sunrise = events
        .next_rise_from_julian(noon - half, noon, here, delta, Horizon::SunriseSunset)
        .map_err(|_| NoSun::Time)?;
    let sunset = events
        .next_set_from_julian(noon, noon + half, here, delta, Horizon::SunriseSunset)
        .map_err(|_| NoSun::Time)?;
    let transit_ms = milliseconds(noon);
    Ok(Day {
        sunrise_ms: sunrise.map(milliseconds),
        transit_ms,
        sunset_ms: sunset.map(milliseconds),
        up_at_transit: sun(transit_ms, place)?.elevation_deg > Horizon::SunriseSunset.elevation_angle(),
    })
}
