//! A calendar file of due dates, for the owner's own calendar: iCalendar, RFC 5545. Pure: text in, text out.

use crate::error::Error;
use chrono::{DateTime, Datelike, NaiveDate};

/// When something is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum When {
    /// At a moment, UTC milliseconds; shown by each calendar in its own zone.
    At(i64),
    /// On a day, as `2026-06-16`.
    Day(String),
}

/// A due date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueDate {
    /// What tells it from all others for ever, so that a later file changes it and adds none; letters, digits, `-`, `.`, `@`
    /// and `_`, at most 255. A job's id and the clock's word will do.
    pub uid: String,
    /// When.
    pub when: When,
    /// What is due, in a line.
    pub summary: String,
    /// More of it, if there is more.
    pub description: Option<String>,
    /// Reminder so many seconds before, if one is wanted; of a day, before it begins.
    pub alarm_before_s: Option<u32>,
}

/// Writes a calendar file. `stamp_ms` is when it is made, UTC milliseconds: of two files with one date, the later one counts.
pub fn calendar(stamp_ms: i64, dates: &[DueDate]) -> Result<String, Error> {
    let mut file = File(String::new());
    let stamp = utc("stamp_ms", stamp_ms)?;
    file.line("BEGIN:VCALENDAR");
    file.line("VERSION:2.0");
    file.line("PRODID:-//Sidelong//Due dates//EN");
    for (at, date) in dates.iter().enumerate() {
        let field = |name: &str| format!("dates[{at}].{name}");
        let plain = |c: char| c.is_ascii_alphanumeric() || "-.@_".contains(c);
        if !(1..=255).contains(&date.uid.len()) || !date.uid.chars().all(plain) {
            return Err(Error::refused(
                field("uid"),
                "it has 1 to 255 letters, digits, '-', '.', '@' or '_'",
            ));
        }
        if let Some(first) = dates[..at].iter().position(|other| other.uid == date.uid) {
            return Err(Error::refused(field("uid"), format!("dates[{first}] has it too")));
        }
        let summary = text(&field("summary"), &date.summary)?;
        file.line("BEGIN:VEVENT");
        file.line(&format!("UID:{}", date.uid));
        file.line(&format!("DTSTAMP:{stamp}"));
        // No end: a moment takes no time, a day is one day (section 3.6.1).
        match &date.when {
            When::At(utc_ms) => file.line(&format!("DTSTART:{}", utc(&field("when"), *utc_ms)?)),
            When::Day(day) => file.line(&format!("DTSTART;VALUE=DATE:{}", whole_day(&field("when"), day)?)),
        }
        file.line(&format!("SUMMARY:{summary}"));
        if let Some(description) = &date.description {
            file.line(&format!("DESCRIPTION:{}", text(&field("description"), description)?));
        }
        // It keeps nobody busy.
        file.line("TRANSP:TRANSPARENT");
        if let Some(before_s) = date.alarm_before_s {
            file.line("BEGIN:VALARM");
            file.line("ACTION:DISPLAY");
            file.line(&format!("DESCRIPTION:{summary}"));
            file.line(&format!("TRIGGER:-PT{before_s}S"));
            file.line("END:VALARM");
        }
        file.line("END:VEVENT");
    }
    file.line("END:VCALENDAR");
    Ok(file.0)
}

struct File(String);

impl File {
    /// One content line, folded to 75 octets, never inside a character (section 3.1).
    fn line(&mut self, line: &str) {
        let mut room = 75;
        for c in line.chars() {
            if c.len_utf8() > room {
                self.0.push_str("\r\n ");
                room = 74;
            }
            room -= c.len_utf8();
            self.0.push(c);
        }
        self.0.push_str("\r\n");
    }
}

/// A TEXT value (section 3.3.11): any line ending becomes `\n`; other control characters have no place in one.
fn text(field: &str, value: &str) -> Result<String, Error> {
    let mut out = String::new();
    let mut chars = value.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\r' if chars.peek() == Some(&'\n') => {}
            '\r' | '\n' => out.push_str("\\n"),
            '\t' => out.push(c),
            c if c.is_control() => {
                let reason =
                    format!("the control character U+{:04X} cannot stand in a calendar", u32::from(c));
                return Err(Error::refused(field, reason));
            }
            c => out.push(c),
        }
    }
    Ok(out)
}

/// DATE-TIME in UTC, whole seconds, rounded up: nothing is over early.
fn utc(field: &str, utc_ms: i64) -> Result<String, Error> {
    let seconds = utc_ms.div_euclid(1_000) + i64::from(utc_ms.rem_euclid(1_000) > 0);
    let at = DateTime::from_timestamp(seconds, 0).filter(|at| (1..=9_999).contains(&at.year()));
    let at = at.ok_or_else(|| Error::refused(field, format!("{utc_ms} ms since 1970 is not a date")))?;
    Ok(at.format("%Y%m%dT%H%M%SZ").to_string())
}

fn whole_day(field: &str, day: &str) -> Result<String, Error> {
    let found = NaiveDate::parse_from_str(day, "%Y-%m-%d").ok().filter(|it| (1..=9_999).contains(&it.year()));
    let found =
        found.ok_or_else(|| Error::refused(field, format!("{day:?} is not a date like 2026-06-16")))?;
    Ok(found.format("%Y%m%d").to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(uid: &str, summary: &str) -> DueDate {
        let when = When::At(1_781_101_200_000);
        DueDate { uid: uid.into(), when, summary: summary.into(), description: None, alarm_before_s: None }
    }

    #[test]
    fn a_moment_and_a_day_with_a_reminder() {
        let rain =
            DueDate { alarm_before_s: Some(3_600), ..date("job-rain", "May get wet; blot, do not rub") };
        let wash = DueDate { when: When::Day("2026-06-16".into()), ..date("job-wash", "May be washed") };
        let file = calendar(1_781_014_800_001, &[rain, wash]).expect("a file");
        let expected = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Sidelong//Due dates//EN\r\n\
            BEGIN:VEVENT\r\nUID:job-rain\r\nDTSTAMP:20260609T142001Z\r\nDTSTART:20260610T142000Z\r\n\
            SUMMARY:May get wet\\; blot\\, do not rub\r\nTRANSP:TRANSPARENT\r\n\
            BEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:May get wet\\; blot\\, do not rub\r\nTRIGGER:-PT3600S\r\nEND:VALARM\r\n\
            END:VEVENT\r\n\
            BEGIN:VEVENT\r\nUID:job-wash\r\nDTSTAMP:20260609T142001Z\r\nDTSTART;VALUE=DATE:20260616\r\n\
            SUMMARY:May be washed\r\nTRANSP:TRANSPARENT\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
        assert_eq!(file, expected);
    }

    #[test]
    fn lines_are_folded_between_characters() {
        for length in 60..80 {
            for wide in ["é", "車", "🚗", "x"] {
                let summary = "a".repeat(length) + &wide.repeat(60);
                let file = calendar(0, &[date("u", &summary)]).expect("a file");
                assert!(file.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')), "{file}");
                assert!(file.replace("\r\n ", "").contains(&format!("SUMMARY:{summary}\r\n")));
            }
        }
    }

    #[test]
    fn what_cannot_stand_in_a_calendar_is_named() {
        let said = |stamp_ms, dates: &[DueDate]| calendar(stamp_ms, dates).expect_err("refused").to_string();
        assert!(said(i64::MAX, &[]).starts_with("stamp_ms: "));
        assert!(said(0, &[date("", "x")]).starts_with("dates[0].uid: "));
        assert!(said(0, &[date("a\r\nX:1", "x")]).starts_with("dates[0].uid: "));
        assert_eq!(said(0, &[date("a", "x"), date("a", "y")]), "dates[1].uid: dates[0] has it too");
        assert!(
            said(0, &[date("a", "x\u{7}")]).starts_with("dates[0].summary: the control character U+0007")
        );
        for day in ["", "2026-02-30", "16.6.2026", "2026-06-16\r\nX:1", "+12026-01-01"] {
            let date = DueDate { when: When::Day(day.into()), ..date("a", "x") };
            assert!(said(0, &[date]).starts_with("dates[0].when: "), "{day}");
        }
        let empty = calendar(0, &[]).expect("a file without dates");
        assert_eq!(empty.lines().count(), 4);
    }
}
