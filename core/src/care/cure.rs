//! The five clocks after a layer, and when each is over by the clock on the wall. Pure; zone rules by `chrono-tz`, which carries
//! the IANA time zone database.
//!
//! Lengths are elapsed time: 24 hours are 24 hours, also over a change to summer time, and then end at another time of day.

use super::clocks::Elapsed;
use crate::error::Error;
use chrono::{DateTime, Offset};
use chrono_tz::Tz;

/// What is waited for after the last layer. Five separate clocks: a customer asks about rain and washing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cure {
    /// Dry to the touch.
    Touch,
    /// May get wet.
    Rain,
    /// May be washed.
    Wash,
    /// May meet strong cleaners.
    Chemicals,
    /// Fully cured.
    Full,
}

impl Cure {
    /// All five, in the order of the handover.
    pub const ALL: [Self; 5] = [Self::Touch, Self::Rain, Self::Wash, Self::Chemicals, Self::Full];

    /// A word for names of files and dates, the same for ever.
    pub fn word(self) -> &'static str {
        match self {
            Self::Touch => "touch",
            Self::Rain => "rain",
            Self::Wash => "wash",
            Self::Chemicals => "chemicals",
            Self::Full => "full",
        }
    }
}

/// The least lengths that a product sheet gives, seconds; none where it gives none.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct CureTimes {
    /// Dry to the touch.
    pub touch_s: Option<u32>,
    /// Keep dry.
    pub rain_s: Option<u32>,
    /// No wash.
    pub wash_s: Option<u32>,
    /// No strong cleaners.
    pub chemicals_s: Option<u32>,
    /// Fully cured.
    pub full_s: Option<u32>,
}

impl CureTimes {
    fn of(&self, cure: Cure) -> Option<u32> {
        match cure {
            Cure::Touch => self.touch_s,
            Cure::Rain => self.rain_s,
            Cure::Wash => self.wash_s,
            Cure::Chemicals => self.chemicals_s,
            Cure::Full => self.full_s,
        }
    }
}

/// A moment by the clock on the wall of a zone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LocalTime {
    /// Date, as `2026-06-10`.
    pub date: String,
    /// Day of the week and date, as `Wed 10 June 2026`.
    pub day: String,
    /// Time of day, as `15:20`.
    pub time: String,
    /// Offset from UTC then, seconds east; whole minutes in our days.
    pub off_s: i32,
}

/// When a clock is over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CureDue {
    /// Which.
    pub cure: Cure,
    /// UTC milliseconds.
    pub due_ms: i64,
    /// The same in the zone asked for.
    pub local: LocalTime,
    /// Milliseconds that are left; 0 once it is over.
    pub left_ms: u64,
    /// False if a clock was set back meanwhile: it may be over earlier, never later.
    pub sure: bool,
}

/// A moment in a zone by its IANA name (`Europe/London`).
pub fn local(utc_ms: i64, zone: &str) -> Result<LocalTime, Error> {
    let tz: Tz = zone
        .parse()
        .map_err(|_| Error::refused("zone", format!("{zone:?} is not a time zone such as Europe/London")))?;
    let utc = DateTime::from_timestamp_millis(utc_ms)
        .filter(|utc| (0..=MOST_YEAR).contains(&chrono::Datelike::year(utc)))
        .ok_or_else(|| Error::refused("utc_ms", format!("{utc_ms} ms since 1970 is not a date")))?;
    let at = utc.with_timezone(&tz);
    Ok(LocalTime {
        date: at.format("%Y-%m-%d").to_string(),
        day: at.format("%a %-d %B %Y").to_string(),
        time: at.format("%H:%M").to_string(),
        off_s: at.offset().fix().local_minus_utc(),
    })
}

/// Dates have four digits.
const MOST_YEAR: i32 = 9_998;

/// The five clocks at a moment: those that the sheet gives, by the wall clock as it stands now. `since` is the time since the
/// layer was finished (`clocks::Trail`), so that a clock that was set meanwhile moves no end.
pub fn cure_dues(times: &CureTimes, since: Elapsed, now_ms: i64, zone: &str) -> Result<Vec<CureDue>, Error> {
    let due = |(cure, least_s): (Cure, u32)| {
        let least_ms = u64::from(least_s) * 1_000;
        let (passed_ms, least) = (i64::try_from(since.ms).unwrap_or(i64::MAX), i64::from(least_s) * 1_000);
        let due_ms = now_ms.saturating_add(least.saturating_sub(passed_ms));
        let left_ms = least_ms.saturating_sub(since.ms);
        Ok(CureDue { cure, due_ms, local: local(due_ms, zone)?, left_ms, sure: since.sure })
    };
    Cure::ALL.iter().filter_map(|cure| Some((*cure, times.of(*cure)?))).map(due).collect()
}
