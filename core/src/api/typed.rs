//! What instruments and product sheets say, as people type it: a temperature, a humidity, a wait, a window; and how each of them is
//! typed again. Pure.
//!
//! Points and commas both divide; a minus may be a dash; units may be left out where there is only one.

use crate::care::aftercare::time_text;
use crate::record::inputs::{Humidity, Span, Temperatures};

/// Longest text that is read, characters.
const LONGEST: usize = 60;

/// A decimal number with at most three places and eight digits before them, in thousandths.
fn thousandths(text: &str) -> Option<i64> {
    let (negative, bare) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let (whole, part) = bare.split_once([',', '.']).unwrap_or((bare, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || whole.len() > 8 || part.len() > 3 || !digits(whole) || !digits(part) {
        return None;
    }
    let value: i64 = format!("{whole}{part:0<3}").parse().ok()?;
    Some(if negative { -value } else { value })
}

/// The two ends of a range; one where there is only one.
fn ends(text: &str) -> Option<(String, Option<String>)> {
    if text.chars().count() > LONGEST {
        return None;
    }
    let text = text.trim().to_lowercase().replace(" to ", "…").replace("..", "…");
    // A dash after a digit or a unit divides; before a number it is a minus.
    let mut last = '…';
    let text: String = text
        .chars()
        .map(|sign| {
            let divides = matches!(sign, '-' | '–' | '—') && (last.is_alphanumeric() || "%°".contains(last));
            if !sign.is_whitespace() {
                last = sign;
            }
            if divides { '…' } else { sign }
        })
        .collect();
    match *text.split('…').map(str::trim).collect::<Vec<_>>().as_slice() {
        [one] => Some((one.to_owned(), None)),
        [least, most] => Some((least.to_owned(), Some(most.to_owned()))),
        _ => None,
    }
}

fn celsius(text: &str) -> Option<i32> {
    let bare = text.trim_end_matches('c').trim_end().trim_end_matches('°').trim_end();
    i32::try_from(thousandths(bare)?).ok()
}

fn percent(text: &str) -> Option<i64> {
    thousandths(text.trim_end_matches('%').trim_end())
}

/// Digits with a unit, or several of them: `1 h 30 min`. The unit may be left out where `unit_s` gives it.
fn seconds(text: &str, unit_s: Option<i64>) -> Option<(u32, i64)> {
    let mut parts: Vec<String> = Vec::new();
    let mut number = None;
    for sign in text.chars().filter(|sign| !sign.is_whitespace()) {
        let is_number = sign.is_ascii_digit() || matches!(sign, '.' | ',');
        if number == Some(is_number) {
            parts.last_mut()?.push(sign);
        } else {
            parts.push(sign.to_string());
        }
        number = Some(is_number);
    }
    let (mut sum, mut last) = (0_i64, None);
    for part in parts.chunks(2) {
        let unit = match part.get(1).map(String::as_str) {
            None => unit_s.filter(|_| parts.len() == 1)?,
            Some("s" | "sec" | "second" | "seconds") => 1,
            Some("min" | "mins" | "minute" | "minutes") => 60,
            Some("h" | "hour" | "hours") => 3_600,
            Some("d" | "day" | "days") => 86_400,
            Some("week" | "weeks") => 604_800,
            Some(_) => return None,
        };
        sum = sum.checked_add(thousandths(&part[0])?.checked_mul(unit)?)?;
        last = Some(unit);
    }
    // Half a second means nothing here; a wait is never shortened.
    Some((u32::try_from((sum + 999) / 1_000).ok()?, last?))
}

/// A wait as a person types it: `2 to 3 min`, `90 s-2 min`, `24 h`, `1 h 30 min`; one time is the least. None when it is no
/// wait, or its least is more than its most.
#[uniffi::export]
pub fn span_typed(text: String) -> Option<Span> {
    let (least, most) = ends(&text)?;
    let least = least.strip_prefix("at least ").unwrap_or(&least).to_owned();
    let Some(most) = most else {
        return Some(Span { least_s: seconds(&least, None)?.0, most_s: None });
    };
    let (most_s, unit) = seconds(&most, None)?;
    let (least_s, _) = seconds(&least, Some(unit))?;
    (least_s <= most_s).then_some(Span { least_s, most_s: Some(most_s) })
}

/// A wait as it would be typed.
#[uniffi::export]
pub fn span_text(span: Span) -> String {
    match span.most_s {
        Some(most_s) => format!("{} to {}", time_text(span.least_s), time_text(most_s)),
        None => time_text(span.least_s),
    }
}

/// A temperature in milli-°C as a person types it in °C: `21`, `-3.5`, `21,5 °C`. None when it is none.
#[uniffi::export]
pub fn temperature_typed_mc(text: String) -> Option<i32> {
    let (one, none) = ends(&text)?;
    celsius(&one).filter(|_| none.is_none())
}

/// A window of temperature as a person types it in °C: `10 to 27`. None when it is none, or its least is more than its most.
#[uniffi::export]
pub fn temperatures_typed(text: String) -> Option<Temperatures> {
    let (least, most) = ends(&text)?;
    let window = Temperatures { least_mc: celsius(&least)?, most_mc: celsius(&most?)? };
    (window.least_mc <= window.most_mc).then_some(window)
}

/// A window of temperature as it would be typed.
#[uniffi::export]
pub fn temperatures_text(window: Temperatures) -> String {
    format!("{} to {} °C", decimal(i64::from(window.least_mc)), decimal(i64::from(window.most_mc)))
}

fn decimal(thousandths: i64) -> String {
    let sign = if thousandths < 0 { "-" } else { "" };
    let (whole, part) = (thousandths.abs() / 1_000, thousandths.abs() % 1_000);
    let part = format!("{part:03}");
    match part.trim_end_matches('0') {
        "" => format!("{sign}{whole}"),
        part => format!("{sign}{whole}.{part}"),
    }
}

/// A relative humidity in millionths of saturation as a person types it in percent: `55`, `55.5 %`. None when it is none.
#[uniffi::export]
pub fn humidity_typed_ppm(text: String) -> Option<u32> {
    let (one, none) = ends(&text)?;
    u32::try_from(percent(&one)?.checked_mul(10)?).ok().filter(|_| none.is_none())
}

/// A window of relative humidity in whole percent as a person types it: `40-70 %`. None when it is none, or its least is more
/// than its most.
#[uniffi::export]
pub fn humidities_typed(text: String) -> Option<Humidity> {
    let whole =
        |text: &str| percent(text).filter(|it| it % 1_000 == 0).and_then(|it| u32::try_from(it / 1_000).ok());
    let (least, most) = ends(&text)?;
    let window = Humidity { least_pct: whole(&least)?, most_pct: whole(&most?)? };
    (window.least_pct <= window.most_pct && window.most_pct <= 100).then_some(window)
}

/// A window of relative humidity as it would be typed.
#[uniffi::export]
pub fn humidities_text(window: Humidity) -> String {
    format!("{} to {} %", window.least_pct, window.most_pct)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(text: &str) -> Option<(u32, Option<u32>)> {
        span_typed(text.to_owned()).map(|span| (span.least_s, span.most_s))
    }

    #[test]
    fn waits_as_people_type_them() {
        for (text, least, most) in [
            ("2 to 3 min", 120, Some(180)),
            ("2-3min", 120, Some(180)),
            ("2 – 3 minutes", 120, Some(180)),
            ("90 s-2 min", 90, Some(120)),
            ("24 h", 86_400, None),
            ("at least 1 h", 3_600, None),
            ("1 h 30 min", 5_400, None),
            ("1,5 h", 5_400, None),
            ("7 days to 2 weeks", 604_800, Some(1_209_600)),
            (" 12 to 24 H ", 43_200, Some(86_400)),
        ] {
            assert_eq!(span(text), Some((least, most)), "{text}");
        }
        for text in [
            "",
            "soon",
            "2",
            "3 to 2 min",
            "1 to 2 to 3 min",
            "-5 min",
            "5 parsecs",
            "99999999 days",
            "999999999 s",
        ] {
            assert_eq!(span(text), None, "{text}");
        }
    }

    #[test]
    fn temperatures_and_humidities() {
        let one = |text: &str| temperature_typed_mc(text.to_owned());
        assert_eq!(
            ["21", "21,5 °C", "-3", "−3.25°", " 0 "].map(one),
            [Some(21_000), Some(21_500), Some(-3_000), Some(-3_250), Some(0)]
        );
        assert_eq!(["", "-", "warm", "10 to 27", "1.2345", "2 1", "9999999"].map(one), [None; 7]);
        let window = |text: &str| temperatures_typed(text.to_owned()).map(|it| (it.least_mc, it.most_mc));
        assert_eq!(window("10-27"), Some((10_000, 27_000)));
        assert_eq!(window("-5 to -1.5 °C"), Some((-5_000, -1_500)));
        assert_eq!(["27 to 10", "10", "10 to"].map(window), [None; 3]);
        let humidity = |text: &str| humidity_typed_ppm(text.to_owned());
        assert_eq!(["55", "55.5 %", "0"].map(humidity), [Some(550_000), Some(555_000), Some(0)]);
        assert_eq!(["-5", "40-70", "wet", "%"].map(humidity), [None; 4]);
        let humidities = |text: &str| humidities_typed(text.to_owned()).map(|it| (it.least_pct, it.most_pct));
        assert_eq!(humidities("40–70 %"), Some((40, 70)));
        assert_eq!(["70-40", "40-101", "40.5 to 70", "40"].map(humidities), [None; 4]);
    }

    #[test]
    fn what_is_shown_is_typed_back_the_same() {
        for least_s in [1, 59, 60, 90, 3_600, 5_400, 86_400, 604_800, 30 * 86_400] {
            for most_s in [None, Some(least_s), Some(least_s + 30), Some(2 * least_s)] {
                let span = Span { least_s, most_s };
                assert_eq!(span_typed(span_text(span)), Some(span), "{}", span_text(span));
            }
        }
        for (least_mc, most_mc) in [(-5_000, -500), (0, 27_500), (10_000, 30_125)] {
            let window = Temperatures { least_mc, most_mc };
            assert_eq!(temperatures_typed(temperatures_text(window)), Some(window));
        }
        let window = Humidity { least_pct: 40, most_pct: 70 };
        assert_eq!(humidities_typed(humidities_text(window)), Some(window));
    }
}
