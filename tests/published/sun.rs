//! The sun's direction and its day beside NREL's worked example, pvlib and skyfield.

use super::{committed, text};
use serde_json::Value;
use sidelong_core::light::sun::{Observer, day, sun};
use sidelong_core::record::times::read_rfc3339;

fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap_or_else(|| panic!("no number {name} in {value}"))
}

fn place(inputs: &Value) -> Observer {
    let or = |name, other| inputs[name].as_f64().unwrap_or(other);
    Observer {
        height_m: or("altitude_m", 0.0),
        pressure_hpa: or("pressure_hPa", 1013.25),
        temperature_c: or("temperature_C", 15.0),
        ..Observer::at(number(inputs, "latitude_deg"), number(inputs, "longitude_deg_east"))
    }
}

fn ms(text: &str) -> i64 {
    read_rfc3339(text).unwrap_or_else(|why| panic!("{text}: {why}")).0
}

/// Between two azimuths, degrees.
fn apart(a: f64, b: f64) -> f64 {
    ((a - b + 540.0).rem_euclid(360.0) - 180.0).abs()
}

#[test]
fn where_it_stands() {
    for case in committed("sun.json", "sun_position") {
        let (inputs, expected, within) = (&case["inputs"], &case["expected"], &case["tolerance"]);
        let found = sun(ms(text(inputs, "utc")), &place(inputs)).expect("a sun");
        let true_deg = number(expected, "elevation_true_deg");
        assert!(
            (found.elevation_deg - true_deg).abs() < number(within, "elevation_true_deg"),
            "{case}: {found:?}"
        );
        // Near the zenith a whole turn of azimuth is next to nothing on the sky.
        let off = apart(found.azimuth_deg, number(expected, "azimuth_deg_from_north_clockwise"));
        assert!(off * true_deg.to_radians().cos() < number(within, "azimuth_deg"), "{case}: {found:?}");
        if let Some(apparent) = expected["elevation_apparent_deg"].as_f64() {
            let most = number(within, "elevation_apparent_deg");
            assert!((found.apparent_elevation_deg - apparent).abs() < most, "{case}: {found:?}");
        }
    }
}

/// NREL/TP-560-34302, appendix A.5: the angles within the third of a thousandth that another ΔT makes, the times within two
/// seconds. The report counts its times within the day of universal time, so what it prints for the sunset, which comes 20
/// minutes into the next, is that of the evening before: the sun sets a minute and a half earlier every day there.
#[test]
fn the_worked_example() {
    for case in committed("sun.json", "sun_position_spa_report_example") {
        let (inputs, expected) = (&case["inputs"], &case["expected"]);
        let (at, place) = (ms(text(inputs, "utc")), place(inputs));
        let found = sun(at, &place).expect("a sun");
        assert!(apart(found.azimuth_deg, number(expected, "azimuth_deg")) < 3e-4, "{found:?}");
        assert!((found.elevation_deg - number(expected, "e0_elevation_true_deg")).abs() < 3e-4, "{found:?}");
        let apparent = number(expected, "elevation_apparent_deg");
        assert!((found.apparent_elevation_deg - apparent).abs() < 3e-4, "{found:?}");
        let (today, yesterday) =
            (day(at, &place).expect("a day"), day(at - 86_400_000, &place).expect("a day"));
        for (name, date, found) in
            [("sunrise_local", 17, today.sunrise_ms), ("sunset_local", 16, yesterday.sunset_ms)]
        {
            let told = ms(&format!("2003-10-{date}T{}-07:00", text(expected, name)));
            assert!((found.expect(name) - told).abs() <= 2_000, "{name}: {found:?} for {told}");
        }
        // And this evening's: the sun's middle is 50 minutes of arc below the horizon of a place at sea level.
        let level = Observer { height_m: 0.0, ..place };
        let sets = sun(today.sunset_ms.expect("a sunset"), &level).expect("a sun");
        assert!((sets.elevation_deg + 50.0 / 60.0).abs() < 1e-3, "{sets:?}");
    }
}

#[test]
fn when_it_rises_and_sets() {
    for case in committed("sun.json", "sun_rise_transit_set") {
        let (inputs, expected) = (&case["inputs"], &case["expected"]);
        let place = Observer::at(number(inputs, "latitude_deg"), number(inputs, "longitude_deg_east"));
        let within = (number(&case["tolerance"], "seconds") * 1_000.0) as i64;
        let told = |name: &str| expected[name].as_str().map(ms);
        let transit = told("transit_utc").expect("a transit");
        // Any time of that day names it.
        for hours in [-11, -4, 0, 7, 11] {
            let day = day(transit + hours * 3_600_000, &place).expect("a day");
            assert!((day.transit_ms - transit).abs() <= within, "{case}: {day:?}");
            for (name, found) in [("sunrise_utc", day.sunrise_ms), ("sunset_utc", day.sunset_ms)] {
                match (found, told(name)) {
                    (Some(found), Some(told)) => {
                        assert!((found - told).abs() <= within, "{name} {case}: {day:?}")
                    }
                    (found, told) => assert_eq!(found, told, "{name} {case}"),
                }
            }
        }
    }
}

/// How high a tilted panel lets the sun in: the frame of a vehicle is turned by its heading and nothing else.
#[test]
fn how_it_falls_on_a_panel() {
    use sidelong_core::light::{angle, sunlit::towards};
    for case in committed("sun.json", "incidence_angle") {
        let (inputs, expected) = (&case["inputs"], &case["expected"]);
        // The normal of the panel as a direction of its own.
        let tilt = number(inputs, "panel_tilt_deg_from_horizontal");
        for heading in [0.0, 77.0, 300.0] {
            let normal = towards(number(inputs, "panel_azimuth_deg"), 90.0 - tilt, heading);
            let light =
                towards(number(inputs, "sun_azimuth_deg"), 90.0 - number(inputs, "sun_zenith_deg"), heading);
            let found = angle(normal, light).to_degrees();
            let within = number(&case["tolerance"], "incidence_angle_deg");
            assert!((found - number(expected, "incidence_angle_deg")).abs() <= within, "{case}: {found}");
        }
    }
}
