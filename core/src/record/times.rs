//! Times as people read them: day of the week, date, time of day, zone. Pure; calendar arithmetic by `chrono`.

use crate::error::Error;
use chrono::{DateTime, FixedOffset, NaiveDate, TimeZone};

/// The earliest time that an entry may claim, 2000-01-01 UTC, milliseconds: before it, a clock was never set.
pub const EARLIEST_MS: i64 = 946_684_800_000;

fn local(ms: i64, off_min: i32) -> Option<DateTime<FixedOffset>> {
    let zone = FixedOffset::east_opt(off_min.checked_mul(60)?)?;
    zone.timestamp_millis_opt(ms).single()
}

/// `Tue 9 June 2026, 08:12:30 (UTC+01:00)`; the zone's name follows where it is given.
pub fn spoken(ms: i64, off_min: i32, zone: &str) -> String {
    let Some(at) = local(ms, off_min) else {
        return format!("{ms} ms since 1970 (not a date)");
    };
    format!("{} ({})", at.format("%a %-d %B %Y, %H:%M:%S"), zone_text(off_min, zone))
}

/// `UTC+01:00, Europe/London`.
pub fn zone_text(off_min: i32, zone: &str) -> String {
    let Some(at) = local(0, off_min) else {
        return format!("{off_min} minutes from UTC (not a zone)");
    };
    let zone = if zone.is_empty() { String::new() } else { format!(", {zone}") };
    format!("UTC{}{zone}", at.format("%:z"))
}

/// `Tue 08:12`: for lists, where the date stands elsewhere.
pub fn time_of_day(ms: i64, off_min: i32) -> String {
    local(ms, off_min).map_or_else(|| "no time".to_owned(), |at| at.format("%a %H:%M").to_string())
}

/// `Tue 9 June 2026`.
pub fn day(ms: i64, off_min: i32) -> String {
    local(ms, off_min).map_or_else(|| "no date".to_owned(), |at| at.format("%a %-d %B %Y").to_string())
}

/// `2026-06-09`: the date by the given offset; none for what is no date.
pub fn date(ms: i64, off_min: i32) -> Option<String> {
    local(ms, off_min).map(|at| at.format("%Y-%m-%d").to_string())
}

/// UTC milliseconds between which a date (`2026-06-09`) lies in any zone on earth: 14 hours before to 12 hours after UTC.
pub fn around_day(date: &str) -> Result<(i64, i64), Error> {
    let day = NaiveDate::parse_from_str(date, "%Y-%m-%d")
        .map_err(|why| Error::refused("date", format!("not a date like 2026-06-09 ({why})")))?;
    let begins = day.and_time(chrono::NaiveTime::MIN).and_utc().timestamp_millis();
    const HOUR_MS: i64 = 3_600_000;
    Ok((begins - 14 * HOUR_MS, begins + 36 * HOUR_MS))
}

/// How long something lasted: `50 s`, `12 min`, `3 h 20 min`, `2 days`.
pub fn lasted(ms: i64) -> String {
    let seconds = ms / 1_000;
    let (hours, minutes) = (seconds / 3_600, seconds % 3_600 / 60);
    match () {
        () if seconds < 120 => format!("{seconds} s"),
        () if seconds < 5_400 => format!("{} min", (seconds + 30) / 60),
        () if seconds >= 172_800 => format!("{} days", seconds / 86_400),
        () if minutes == 0 => format!("{hours} h"),
        () => format!("{hours} h {minutes} min"),
    }
}

/// RFC 3339 with the given offset.
pub fn rfc3339(ms: i64, off_min: i32) -> String {
    local(ms, off_min)
        .map_or_else(|| ms.to_string(), |at| at.to_rfc3339_opts(chrono::SecondsFormat::Millis, true))
}

/// Reads an RFC 3339 time with an offset into UTC milliseconds and the offset in minutes.
pub fn read_rfc3339(text: &str) -> Result<(i64, i32), Error> {
    let at = DateTime::parse_from_rfc3339(text).map_err(|why| {
        Error::refused("observed_at", format!("not a time like 2026-06-09T08:10:00+01:00 ({why})"))
    })?;
    Ok((at.timestamp_millis(), at.offset().local_minus_utc() / 60))
}

#[cfg(test)]
mod tests {
    use super::*;

    // RFC 3339 section 5.8 examples: the same instant under two offsets.
    #[test]
    fn rfc3339_examples() {
        assert_eq!(
            read_rfc3339("1996-12-19T16:39:57-08:00").map(|t| t.0),
            read_rfc3339("1996-12-20T00:39:57Z").map(|t| t.0)
        );
        assert_eq!(read_rfc3339("1985-04-12T23:20:50.52Z"), Ok((482_196_050_520, 0)));
        for bad in ["", "yesterday", "2026-02-30T10:00:00Z", "2026-06-09T08:10:00", "2026-13-01T00:00:00Z"] {
            assert!(read_rfc3339(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn spoken_has_weekday_and_zone() {
        let text = spoken(1_781_000_000_123, 120, "Europe/Warsaw");
        assert_eq!(text, "Tue 9 June 2026, 12:13:20 (UTC+02:00, Europe/Warsaw)");
        assert_eq!(zone_text(-330, ""), "UTC-05:30");
        assert!(zone_text(i32::MAX, "").contains("not a zone"));
        assert!(spoken(i64::MAX, 0, "").contains("not a date"));
        assert!(spoken(0, i32::MAX, "").contains("not a date"));
    }
}
