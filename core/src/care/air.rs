//! Air and panel: the dew point, how far the panel lies above it, and what lies outside a product sheet's limits. Pure.
//!
//! Saturation pressures: Hyland and Wexler 1983 as printed in ASHRAE Handbook Fundamentals 2017, chapter 1, equations 5 (over
//! ice, -100 to 0 °C) and 6 (over water, 0 to 200 °C); coefficients from memory, checked against PsychroLib. The equation for
//! water is used below 0 °C too, because wet paint meets undercooled dew before frost; down to -40 °C it stays within 0.1 °C of
//! the Magnus form of Alduchov and Eskridge 1996. Humidity is taken over water at any temperature (WMO-No. 8, annex 4.A), as
//! hygrometers show it.

use crate::error::Error;
use serde::Serialize;

/// Least distance of a panel above the dew point, milli °C: 3 °C, the rule that is quoted as ISO 8502-4's. Read in secondary
/// sources only, not in the standard.
pub const MARGIN_MC: i32 = 3_000;

/// Air temperatures that are reckoned with, milli °C.
pub const AIR_MC: std::ops::RangeInclusive<i32> = -40_000..=60_000;

/// Panel temperatures that are reckoned with, milli °C. A black panel in the sun comes to some 70 °C.
pub const PANEL_MC: std::ops::RangeInclusive<i32> = -40_000..=120_000;

/// Humidities that are reckoned with, ppm of saturation: 1 to 100 %. Dry air has no dew point.
pub const RH_PPM: std::ops::RangeInclusive<u32> = 10_000..=1_000_000;

/// Where vapour turns to water, and to frost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DewPoint {
    /// Dew point over water, also below 0 °C; milli °C.
    pub dew_point_mc: i32,
    /// Frost point, only when the dew point lies below 0 °C; milli °C. Frost comes a little earlier than dew would.
    pub frost_point_mc: Option<i32>,
}

impl DewPoint {
    /// How far a panel lies above the dew point, milli °C; below 0 it is getting wet.
    pub fn margin_mc(&self, panel_mc: i32) -> Result<i32, Error> {
        Ok(within("panel_mc", panel_mc, &PANEL_MC)? - self.dew_point_mc)
    }
}

/// The dew point of air of `air_mc` milli °C (-40 to 60 °C) and a relative humidity of `rh_ppm` (1 to 100 %, as ppm).
pub fn dew_point(air_mc: i32, rh_ppm: u32) -> Result<DewPoint, Error> {
    let air = f64::from(within("air_mc", air_mc, &AIR_MC)?) / 1e3 + ZERO_C;
    if !RH_PPM.contains(&rh_ppm) {
        let reason = format!("{} % is not a relative humidity between 1 and 100 %", percent(rh_ppm));
        return Err(Error::refused("rh_ppm", reason));
    }
    let ln_vapour = ln_water(air) + libm::log(f64::from(rh_ppm) / 1e6);
    let dew_point_mc = inverse(ln_water, ln_vapour);
    let frost_point_mc = (dew_point_mc < 0).then(|| inverse(ln_ice, ln_vapour));
    Ok(DewPoint { dew_point_mc, frost_point_mc })
}

/// 0 °C in kelvin.
const ZERO_C: f64 = 273.15;

/// Natural logarithm of the saturation pressure over water in pascals; `t` in kelvin.
fn ln_water(t: f64) -> f64 {
    let rest = 1.391_499_3 + t * (-4.864_023_9e-2 + t * (4.176_476_8e-5 - t * 1.445_209_3e-8));
    -5.800_220_6e3 / t + rest + 6.545_967_3 * libm::log(t)
}

/// The same over ice.
fn ln_ice(t: f64) -> f64 {
    let high = 6.221_570_1e-7 + t * (2.074_782_5e-9 - t * 9.484_024e-13);
    -5.674_535_9e3 / t + 6.392_524_7 + t * (-9.677_843e-3 + t * high) + 4.163_501_9 * libm::log(t)
}

/// The temperature at which a rising `ln_pressure` has a value, milli °C, by halving between -120 and 70 °C.
fn inverse(ln_pressure: fn(f64) -> f64, value: f64) -> i32 {
    let (mut low, mut high) = (ZERO_C - 120.0, ZERO_C + 70.0);
    for _ in 0..48 {
        let middle = (low + high) / 2.0;
        if ln_pressure(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    libm::round((high - ZERO_C) * 1e3) as i32
}

fn within(field: &str, value_mc: i32, range: &std::ops::RangeInclusive<i32>) -> Result<i32, Error> {
    if range.contains(&value_mc) {
        return Ok(value_mc);
    }
    let [value, least, most] = [value_mc, *range.start(), *range.end()].map(degrees);
    Err(Error::refused(field, format!("{value} °C does not lie between {least} and {most} °C")))
}

/// What was measured beside the work. Air and panel are two temperatures: in the sun a panel is far hotter than the air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Conditions {
    /// Air, milli °C.
    pub air_mc: i32,
    /// Panel, milli °C, if it was measured.
    pub panel_mc: Option<i32>,
    /// Relative humidity, ppm of saturation.
    pub rh_ppm: u32,
    /// Whether the sun is on the panel.
    pub sun_on_panel: bool,
}

/// What a product sheet asks for; what it does not say is left out.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct SheetLimits {
    /// Coldest air, milli °C.
    pub air_least_mc: Option<i32>,
    /// Warmest air, milli °C.
    pub air_most_mc: Option<i32>,
    /// Coldest panel, milli °C.
    pub panel_least_mc: Option<i32>,
    /// Warmest panel, milli °C.
    pub panel_most_mc: Option<i32>,
    /// Driest air, ppm of saturation.
    pub rh_least_ppm: Option<u32>,
    /// Dampest air, ppm of saturation.
    pub rh_most_ppm: Option<u32>,
    /// Least distance of the panel above the dew point, milli °C; [`MARGIN_MC`] if the sheet does not say.
    pub margin_least_mc: Option<i32>,
    /// Whether it asks for shade.
    pub shade: bool,
}

/// What a note is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// The air's temperature.
    Air,
    /// The panel's temperature.
    Panel,
    /// The air's relative humidity.
    Humidity,
    /// How far the panel lies above the dew point.
    DewPoint,
    /// The sun on the panel.
    Sun,
}

/// Something that lies outside a sheet's limits. It is told and kept; it never keeps anybody from working.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OutsideLimits {
    /// What it is about.
    pub about: About,
    /// What was measured and what the limit is, in words.
    pub text: String,
}

/// What lies outside a sheet's limits, in the order air, panel, humidity, dew point, sun. An error is only a number that
/// nothing can be reckoned from.
pub fn outside_limits(now: &Conditions, sheet: &SheetLimits) -> Result<Vec<OutsideLimits>, Error> {
    let dew_point = dew_point(now.air_mc, now.rh_ppm)?;
    let margin_mc = now.panel_mc.map(|panel_mc| dew_point.margin_mc(panel_mc)).transpose()?;
    let mut notes = Vec::new();
    let mut note = |about, text: Option<String>| notes.extend(text.map(|text| OutsideLimits { about, text }));
    let warm = |what: &str, limits: [Option<i32>; 3]| outside(what, "°C", limits.map(|it| it.map(degrees)));
    note(About::Air, warm("air", [Some(now.air_mc), sheet.air_least_mc, sheet.air_most_mc]));
    note(About::Panel, warm("panel", [now.panel_mc, sheet.panel_least_mc, sheet.panel_most_mc]));
    let damp = [Some(now.rh_ppm), sheet.rh_least_ppm, sheet.rh_most_ppm].map(|it| it.map(percent));
    note(About::Humidity, outside("humidity", "%", damp));
    let wanted_mc = sheet.margin_least_mc.unwrap_or(MARGIN_MC);
    let near = margin_mc.filter(|margin_mc| *margin_mc < wanted_mc).map(|margin_mc| {
        let [margin, dew, wanted] = [margin_mc, dew_point.dew_point_mc, wanted_mc].map(degrees);
        if margin_mc < 0 {
            return format!("panel below the dew point ({dew:.1} °C): it is getting wet");
        }
        format!("panel {margin:.1} °C above the dew point ({dew:.1} °C): at least {wanted} °C are asked for")
    });
    note(About::DewPoint, near);
    let sun = sheet.shade && now.sun_on_panel;
    note(About::Sun, sun.then(|| "sun on the panel: the sheet asks for shade".to_owned()));
    Ok(notes)
}

fn outside(what: &str, unit: &str, [found, least, most]: [Option<f64>; 3]) -> Option<String> {
    let found = found?;
    if let Some(least) = least.filter(|least| found < *least) {
        return Some(format!("{what} {found} {unit}: at least {least} {unit} by the sheet"));
    }
    let most = most.filter(|most| found > *most)?;
    Some(format!("{what} {found} {unit}: at most {most} {unit} by the sheet"))
}

fn degrees(mc: i32) -> f64 {
    f64::from(mc) / 1e3
}

fn percent(ppm: u32) -> f64 {
    f64::from(ppm) / 1e4
}

#[cfg(test)]
mod tests {
    use super::*;

    // Magnus form of Alduchov and Eskridge, J. Appl. Meteorol. 35 (1996) 601, over water: its constants stand in public code.
    fn magnus(air: f64, rh: f64) -> f64 {
        let g = (rh / 100.0).ln() + 17.625 * air / (243.04 + air);
        243.04 * g / (17.625 - g)
    }

    #[test]
    fn another_published_formula_agrees_in_the_whole_range() {
        let mut worst: f64 = 0.0;
        for air in -40..=50 {
            for rh in (5..=100).step_by(5) {
                let ours = dew_point(air * 1_000, rh * 10_000).expect("in range");
                let theirs = magnus(f64::from(air), f64::from(rh));
                if theirs >= -40.0 {
                    worst = worst.max((degrees(ours.dew_point_mc) - theirs).abs());
                }
            }
        }
        // Both are fits of some tenths of a percent of pressure; 0.1 °C is 0.7 %.
        assert!(worst < 0.1, "{worst}");
    }

    #[test]
    fn saturated_air_is_at_its_dew_point_and_damper_air_has_a_higher_one() {
        for air_mc in AIR_MC.step_by(500) {
            assert_eq!(dew_point(air_mc, 1_000_000).map(|it| it.dew_point_mc), Ok(air_mc));
            let mut before = i32::MIN;
            for rh_ppm in RH_PPM.step_by(33_000) {
                let found = dew_point(air_mc, rh_ppm).expect("in range");
                assert!(found.dew_point_mc > before && found.dew_point_mc <= air_mc);
                before = found.dew_point_mc;
                assert_eq!(found.frost_point_mc.is_some(), before < 0);
                if let Some(frost) = found.frost_point_mc {
                    assert!(frost >= before, "frost at {frost} before dew at {before}");
                }
            }
        }
    }

    #[test]
    fn what_nothing_can_be_reckoned_from_is_said() {
        let said = |air, rh| dew_point(air, rh).expect_err("refused").to_string();
        assert_eq!(said(20_000, 0), "rh_ppm: 0 % is not a relative humidity between 1 and 100 %");
        assert_eq!(said(20_000, 1_010_000), "rh_ppm: 101 % is not a relative humidity between 1 and 100 %");
        assert_eq!(said(68_000, 500_000), "air_mc: 68 °C does not lie between -40 and 60 °C");
        assert!(said(i32::MIN, 500_000).starts_with("air_mc: "));
        let dew = dew_point(20_000, 500_000).expect("in range");
        assert!(dew.margin_mc(0).is_ok() && dew.margin_mc(60_000).is_ok());
        assert!(dew.margin_mc(i32::MAX).is_err() && dew.margin_mc(i32::MIN).is_err());
    }

    const SHEET: SheetLimits = SheetLimits {
        air_least_mc: Some(10_000),
        air_most_mc: Some(27_000),
        panel_least_mc: Some(10_000),
        panel_most_mc: Some(27_000),
        rh_least_ppm: Some(400_000),
        rh_most_ppm: Some(700_000),
        margin_least_mc: None,
        shade: true,
    };

    #[test]
    fn three_things_outside_a_sheets_limits_are_three_notes() {
        let now = Conditions { air_mc: 29_000, panel_mc: Some(38_000), rh_ppm: 350_000, sun_on_panel: false };
        let notes = outside_limits(&now, &SHEET).expect("notes");
        let texts: Vec<&str> = notes.iter().map(|note| note.text.as_str()).collect();
        assert_eq!(
            texts,
            [
                "air 29 °C: at most 27 °C by the sheet",
                "panel 38 °C: at most 27 °C by the sheet",
                "humidity 35 %: at least 40 % by the sheet"
            ]
        );
    }

    #[test]
    fn a_cold_roof_and_the_sun_are_told_and_what_is_inside_is_not() {
        let about = |panel_mc, sun_on_panel| -> Vec<About> {
            let now = Conditions { air_mc: 18_000, panel_mc, rh_ppm: 700_000, sun_on_panel };
            outside_limits(&now, &SHEET).expect("notes").iter().map(|note| note.about).collect()
        };
        // The dew point lies at 12.4 °C.
        assert_eq!(about(Some(15_500), false), []);
        assert_eq!(about(Some(15_000), false), [About::DewPoint]);
        assert_eq!(about(Some(9_000), true), [About::Panel, About::DewPoint, About::Sun]);
        assert_eq!(about(None, false), []);
    }
}
