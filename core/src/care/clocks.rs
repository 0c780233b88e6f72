//! Clocks of open sections: what is due next, what is overdue, what was levelled late. Pure: derived from what was recorded.
//!
//! How time is counted. While a phone runs, its own running time counts; setting its clock changes nothing. Over a restart the
//! difference of its wall clock counts, between the last thing recorded before and the first one after; but never less than
//! the phone has been running since, because that much has passed for certain. If its clock says less than that, it was
//! set back: the time is then a least, and the answer says that it is not sure. Between two phones only their wall clocks can
//! be compared; an end before its beginning counts as no time, and is not sure. So no wait ends early because a
//! clock was set back. A clock set forward while a phone was off cannot be told from time that passed.

use std::cmp::Reverse;
use std::collections::HashMap;

/// A moment as one phone had it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    /// The phone: name of its log.
    pub phone: String,
    /// Id of its running since it was last started.
    pub boot: String,
    /// Milliseconds since then, sleep included.
    pub mono_ms: u64,
    /// Its wall clock, UTC milliseconds.
    pub utc_ms: i64,
}

/// Time that has passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Elapsed {
    /// Milliseconds.
    pub ms: u64,
    /// False if a clock was set back meanwhile and more may have passed.
    pub sure: bool,
}

/// Something that one input did to a section. One input may level a section and open the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Happened {
    /// Applied: from now on it waits.
    Opened {
        /// The section, or whatever else waits: a dwell of tar remover.
        section: String,
        /// Which layer on it.
        layer: u32,
        /// Who applied it.
        person: String,
        /// Wait at least, milliseconds.
        least_ms: u64,
        /// Wait at most, milliseconds; none if the sheet names no most.
        most_ms: Option<u64>,
    },
    /// Levelled, wiped or rinsed off.
    Levelled {
        /// The section.
        section: String,
        /// Which layer on it.
        layer: u32,
        /// Who did it.
        person: String,
    },
}

/// One input, or an observed moment at which nothing happened to a section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// When.
    pub at: Moment,
    /// What it did, in order.
    pub happened: Vec<Happened>,
}

/// How far an open section is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Not to be touched yet.
    Waits {
        /// Due in so many milliseconds.
        due_in_ms: u64,
    },
    /// To be levelled.
    Due {
        /// Overdue in so many milliseconds; none if there is no most.
        left_ms: Option<u64>,
    },
    /// The most is over.
    Overdue {
        /// Late by so many milliseconds.
        late_by_ms: u64,
    },
}

/// An open section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenClock {
    /// The section.
    pub section: String,
    /// Which layer on it.
    pub layer: u32,
    /// Who applied it.
    pub person: String,
    /// Since when.
    pub opened: Moment,
    /// How long it has waited.
    pub waited: Elapsed,
    /// How far it is.
    pub stage: Stage,
}

/// A section that is closed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedClock {
    /// The section.
    pub section: String,
    /// Which layer on it.
    pub layer: u32,
    /// Who applied it.
    pub opened_by: String,
    /// Who closed it.
    pub closed_by: String,
    /// False if it was not levelled but opened once more.
    pub levelled: bool,
    /// How long it waited.
    pub waited: Elapsed,
    /// By how much it was too early, milliseconds; 0 if it was not.
    pub early_by_ms: u64,
    /// By how much it was too late, milliseconds; 0 if it was not.
    pub late_by_ms: u64,
}

/// All clocks at a moment.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Clocks {
    /// Open ones, what is due next on top: overdue (the latest first), due (the least left first), waiting (the soonest due first).
    pub open: Vec<OpenClock>,
    /// Closed ones, as they were closed.
    pub closed: Vec<ClosedClock>,
    /// Levellings of sections that were not open, by section and layer.
    pub unmatched: Vec<(String, u32)>,
}

/// The moments that each phone recorded, in its own order.
#[derive(Debug, Default)]
pub struct Trail<'a> {
    phones: HashMap<&'a str, Vec<&'a Moment>>,
}

impl<'a> Trail<'a> {
    /// Of moments in the order in which each phone recorded them.
    pub fn new(moments: impl IntoIterator<Item = &'a Moment>) -> Self {
        let mut phones: HashMap<&str, Vec<&Moment>> = HashMap::new();
        for moment in moments {
            phones.entry(&moment.phone).or_default().push(moment);
        }
        Self { phones }
    }

    /// Time from one moment to a later one, as told at the head of this file.
    pub fn elapsed(&self, from: &Moment, to: &Moment) -> Elapsed {
        if from.phone == to.phone && from.boot == to.boot {
            return Elapsed { ms: to.mono_ms.saturating_sub(from.mono_ms), sure: to.mono_ms >= from.mono_ms };
        }
        if from.phone != to.phone {
            let wall_ms = to.utc_ms.saturating_sub(from.utc_ms);
            return Elapsed { ms: u64::try_from(wall_ms).unwrap_or(0), sure: wall_ms >= 0 };
        }
        // From one recorded moment to the next, so that as little as can be hangs on the wall clock.
        let all = self.phones.get(from.phone.as_str()).map_or(&[][..], Vec::as_slice);
        let after = all.iter().position(|it| *it == from).map_or(all.len(), |at| at + 1);
        let until = all.iter().rposition(|it| *it == to).unwrap_or(all.len());
        let between = all.get(after..until).unwrap_or_default().iter().copied();
        let mut total = Elapsed { ms: 0, sure: true };
        let mut last = from;
        for next in between.chain([to]) {
            let step = if last.boot == next.boot {
                self.elapsed(last, next)
            } else {
                let wall_ms = u64::try_from(next.utc_ms.saturating_sub(last.utc_ms)).unwrap_or(0);
                Elapsed { ms: wall_ms.max(next.mono_ms), sure: wall_ms >= next.mono_ms }
            };
            total = Elapsed { ms: total.ms.saturating_add(step.ms), sure: total.sure && step.sure };
            last = next;
        }
        total
    }
}

/// An open section while entries are gone through.
struct Running<'a> {
    opened: &'a Moment,
    section: &'a str,
    layer: u32,
    person: &'a str,
    least_ms: u64,
    most_ms: Option<u64>,
}

impl Running<'_> {
    fn late_by_ms(&self, waited_ms: u64) -> u64 {
        self.most_ms.map_or(0, |most_ms| waited_ms.saturating_sub(most_ms))
    }

    fn closed(&self, trail: &Trail, at: &Moment, closed_by: &str, levelled: bool) -> ClosedClock {
        let waited = trail.elapsed(self.opened, at);
        ClosedClock {
            section: self.section.to_owned(),
            layer: self.layer,
            opened_by: self.person.to_owned(),
            closed_by: closed_by.to_owned(),
            levelled,
            waited,
            early_by_ms: self.least_ms.saturating_sub(waited.ms),
            late_by_ms: self.late_by_ms(waited.ms),
        }
    }

    fn open(&self, trail: &Trail, now: &Moment) -> OpenClock {
        let waited = trail.elapsed(self.opened, now);
        let late_by_ms = self.late_by_ms(waited.ms);
        let stage = if waited.ms < self.least_ms {
            Stage::Waits { due_in_ms: self.least_ms - waited.ms }
        } else if late_by_ms > 0 {
            Stage::Overdue { late_by_ms }
        } else {
            Stage::Due { left_ms: self.most_ms.map(|most_ms| most_ms.saturating_sub(waited.ms)) }
        };
        OpenClock {
            section: self.section.to_owned(),
            layer: self.layer,
            person: self.person.to_owned(),
            opened: self.opened.clone(),
            waited,
            stage,
        }
    }
}

/// The clocks at `now`, from entries in the order in which they count. Never refuses: what does not match is told.
pub fn clocks(entries: &[Entry], now: &Moment) -> Clocks {
    let trail = Trail::new(entries.iter().map(|entry| &entry.at).chain([now]));
    let mut running: Vec<Running> = Vec::new();
    let mut found = Clocks::default();
    for entry in entries {
        for happened in &entry.happened {
            let (section, layer, by, levelled) = match happened {
                Happened::Opened { section, layer, person, .. } => (section, *layer, person, false),
                Happened::Levelled { section, layer, person } => (section, *layer, person, true),
            };
            let open = running.iter().position(|it| it.section == section && it.layer == layer);
            match open.map(|at| running.remove(at)) {
                Some(it) => found.closed.push(it.closed(&trail, &entry.at, by, levelled)),
                None if levelled => found.unmatched.push((section.clone(), layer)),
                None => {}
            }
            if let Happened::Opened { least_ms, most_ms, .. } = happened {
                running.push(Running {
                    opened: &entry.at,
                    section,
                    layer,
                    person: by,
                    least_ms: *least_ms,
                    most_ms: *most_ms,
                });
            }
        }
    }
    found.open = running.iter().map(|it| it.open(&trail, now)).collect();
    found.open.sort_by_key(|clock| match clock.stage {
        Stage::Overdue { late_by_ms } => (0, Reverse(late_by_ms), 0),
        Stage::Due { left_ms } => (1, Reverse(0), left_ms.unwrap_or(u64::MAX)),
        Stage::Waits { due_in_ms } => (2, Reverse(0), due_in_ms),
    });
    found
}

#[cfg(test)]
mod tests;
