//! What is on record of time tokens: heads that were asked for, tokens that came, what still waits; and the gap between an
//! authority's time and a phone's, in words. Pure. A clock that was set is told, never put right.

use crate::record::events::{HeadStamped, TimeAsked};
use crate::record::times;

/// Less than this between a phone's clock and its running is the cost of asking for both, milliseconds.
const STILL_MS: i64 = 2_000;

/// A phone's two clocks at one entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// UTC milliseconds.
    pub at: i64,
    /// Id of its running.
    pub boot: String,
    /// Milliseconds since it was started.
    pub mono: u64,
}

impl Reading {
    /// By how much the clock was set between two entries of one running; none if that cannot be told.
    fn set_by(&self, later: &Self) -> Option<i64> {
        let ran = i64::try_from(later.mono.checked_sub(self.mono)?).ok()?;
        let by = later.at.checked_sub(self.at)?.checked_sub(ran)?;
        (self.boot == later.boot && by.abs() > STILL_MS).then_some(by)
    }
}

/// A token that was asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// What the event says.
    pub body: TimeAsked,
    /// The phone's clocks when it was asked for.
    pub asked: Reading,
    /// Its zone's offset, minutes.
    pub off_min: i32,
    /// Its zone.
    pub zone: String,
    /// The phone's clocks at the newest entry under the head, if it is here.
    pub newest: Option<Reading>,
    /// The signed head, byte for byte.
    pub checkpoint: Vec<u8>,
    /// The request (DER).
    pub request: Vec<u8>,
}

impl Asked {
    /// By how much the phone's clock was set between the newest entry and the request, milliseconds; none if it was not, or
    /// if the phone was started anew in between.
    pub fn clock_set_by_ms(&self) -> Option<i64> {
        self.newest.as_ref().and_then(|newest| newest.set_by(&self.asked))
    }
}

/// A token that came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamped {
    /// What the event says.
    pub body: HeadStamped,
    /// When it came, by the clock of the phone that took it in.
    pub came_ms: i64,
    /// That phone's zone's offset, minutes.
    pub off_min: i32,
    /// That phone's zone.
    pub zone: String,
    /// The signed head, byte for byte.
    pub checkpoint: Vec<u8>,
    /// The authority's answer (DER).
    pub token: Vec<u8>,
}

impl Stamped {
    /// The latest moment at which the head existed, if the authority is right, UTC milliseconds.
    pub fn not_later_than_ms(&self) -> i64 {
        super::not_later_than_ms(self.body.at_ms, self.body.accuracy_us)
    }

    /// What it says of the entries under its head, in words that end no sentence.
    pub fn words(&self) -> String {
        let time = self.not_later_than_ms();
        let newest = self.body.clock_ms.map_or_else(String::new, |clock| {
            let said = times::spoken(clock, 0, "");
            format!("; the phone's clock said {said} for the newest of them, {}", gap(clock, time))
        });
        let authority: String = self.body.authority.chars().filter(|it| !it.is_control()).take(200).collect();
        format!(
            "not later than {}, says the time-stamp authority {authority}{newest}",
            times::spoken(time, 0, "")
        )
    }
}

/// How a phone's clock stood to what an authority says.
pub fn gap(clock_ms: i64, not_later_than_ms: i64) -> String {
    match not_later_than_ms.saturating_sub(clock_ms) {
        0 => "the same moment".to_owned(),
        before if before > 0 => format!("{} before", times::lasted(before)),
        after => format!("{} after: that clock was ahead", times::lasted(after.saturating_neg())),
    }
}

/// All that is on record of time tokens, of every log that is here.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Times {
    /// What was asked for, in order of the logs and of the entries.
    pub asked: Vec<Asked>,
    /// What came.
    pub stamped: Vec<Stamped>,
}

impl Times {
    /// What was asked for and has no token yet.
    pub fn waiting(&self) -> impl Iterator<Item = &Asked> {
        self.asked.iter().filter(|asked| self.stamped.iter().all(|it| it.body.sha256 != asked.body.sha256))
    }

    /// The tokens that a job needs: of those that cover some of its entries (their numbers in this log), all up to the first
    /// that covers every one. A later head says nothing more, and later.
    pub fn of_job<'a>(&'a self, log: &str, entries: &[u64]) -> Vec<&'a Stamped> {
        let (Some(first), Some(last)) = (entries.iter().min(), entries.iter().max()) else {
            return Vec::new();
        };
        let of_log = self.stamped.iter().filter(|it| it.body.head.log == log && it.body.head.size > *first);
        let mut found: Vec<&Stamped> = of_log.collect();
        found.sort_by(|a, b| {
            let order = |it: &Stamped| (it.body.head.size, it.not_later_than_ms());
            order(a).cmp(&order(b)).then_with(|| a.token.cmp(&b.token))
        });
        // One token a head is enough: the earliest.
        found.dedup_by(|b, a| a.body.sha256 == b.body.sha256);
        let enough = found.iter().position(|it| it.body.head.size > *last);
        found.truncate(enough.map_or(found.len(), |at| at + 1));
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::events::Head;

    fn stamped(size: u64, at_ms: i64) -> Stamped {
        let head = Head { log: "a".into(), root: String::new(), size };
        let body = HeadStamped {
            head,
            sha256: size.to_string(),
            at_ms,
            accuracy_us: Some(1),
            authority: "Time\u{1b} of nobody".into(),
            root: "Root".into(),
            clock_ms: Some(at_ms - 180_000),
        };
        let (checkpoint, token) = (Vec::new(), vec![u8::try_from(at_ms % 251).unwrap_or(0)]);
        Stamped { body, came_ms: 0, off_min: 0, zone: String::new(), checkpoint, token }
    }

    #[test]
    fn the_tokens_that_a_job_needs() {
        let all = [(5, 50), (30, 400), (10, 200), (10, 100), (20, 300)];
        let times = Times { asked: Vec::new(), stamped: all.map(|(size, at)| stamped(size, at)).into() };
        let of = |log: &str, entries: &[u64]| -> Vec<(u64, i64)> {
            times.of_job(log, entries).iter().map(|it| (it.body.head.size, it.body.at_ms)).collect()
        };
        assert_eq!(of("a", &[7, 12]), [(10, 100), (20, 300)], "5 is too early, 30 says nothing more");
        assert_eq!(of("a", &[4]), [(5, 50)]);
        assert_eq!(of("a", &[40, 29]), [(30, 400)], "no token covers the last");
        assert_eq!((of("a", &[30]), of("b", &[1]), of("a", &[])), (vec![], vec![], vec![]));
    }

    #[test]
    fn the_gap_is_told_and_never_put_right() {
        let (five, noon) = (300_000, 1_780_992_000_000);
        assert_eq!(gap(noon, noon), "the same moment");
        assert_eq!(gap(noon - five, noon), "5 min before");
        assert_eq!(gap(noon + five, noon), "5 min after: that clock was ahead");
        let words = stamped(1, noon).words();
        assert_eq!(
            words,
            "not later than Tue 9 June 2026, 08:00:00 (UTC+00:00), says the time-stamp authority Time of nobody; the \
             phone's clock said Tue 9 June 2026, 07:57:00 (UTC+00:00) for the newest of them, 3 min before"
        );
    }

    #[test]
    fn a_clock_that_was_set_is_told() {
        let at = |at, mono, boot: &str| Reading { at, boot: boot.into(), mono };
        let first = at(10_000, 500, "one");
        assert_eq!(first.set_by(&at(70_000, 60_500, "one")), None, "it ran on");
        assert_eq!(first.set_by(&at(70_000 + 7_200_000, 60_500, "one")), Some(7_200_000));
        assert_eq!(first.set_by(&at(-90_000, 60_500, "one")), Some(-160_000));
        assert_eq!(first.set_by(&at(7_200_000, 0, "two")), None, "started anew: it cannot be told");
    }
}
