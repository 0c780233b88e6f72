//! What came off a paint over its life: readings and polishing of earlier jobs of the same vehicle beside those of the job at hand.
//! Pure; which jobs are here is for the store to look up. A vehicle is known by its VIN; a plate or a fleet's number alone is a
//! weaker match, and is said to be one. The statistics are those of `record/thickness`.

use super::correction::{self, Lifetime, PaintLife};
use crate::record::events::Shop;
use crate::record::fold::{Job, Stamp};
use crate::record::thickness::{self, Removal};
use crate::record::times;
use crate::record::views::USUAL_ACCURACY_UM;
use uuid::Uuid;

/// Most earlier jobs with something on paint that are looked through, the newest. Our choice, no source: with a visit a week, a year.
pub const MOST_JOBS: usize = 50;

/// Characters of a VIN (ISO 3779); a shorter one is a part of it, or none of that standard.
const VIN_LENGTH: usize = 17;

/// Days that are named one by one in a sentence.
const MOST_DAYS: usize = 4;

/// What tells one vehicle from another, as keys in which what is misread alike is equal.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Identity {
    /// Vehicle identification number.
    pub vin: Option<String>,
    /// Number plate.
    pub plate: Option<String>,
    /// A fleet's own number.
    pub stock: Option<String>,
    /// Outline of the vehicle.
    pub form: String,
}

/// By what an earlier job is known to be of the same vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SameBy {
    /// A whole VIN.
    Vin,
    /// A VIN that is shorter than a whole one.
    PartVin,
    /// The plate alone; whether it is only this job that has no VIN.
    Plate(bool),
    /// The fleet's number alone; whether it is only this job that has no VIN.
    Stock(bool),
}

impl SameBy {
    /// `same VIN`, `same plate, no VIN on record`
    pub fn text(self) -> &'static str {
        match self {
            Self::Vin => "same VIN",
            Self::PartVin => "same VIN, which is not a whole one",
            Self::Plate(false) => "same plate, no VIN on record",
            Self::Plate(true) => "same plate, no VIN on record of this job",
            Self::Stock(false) => "same stock number, no VIN on record",
            Self::Stock(true) => "same stock number, no VIN on record of this job",
        }
    }
}

impl Identity {
    /// Whether another job is of the same vehicle, and by what.
    pub fn same(&self, other: &Self) -> Option<SameBy> {
        if let (Some(own), Some(theirs)) = (&self.vin, &other.vin) {
            let whole = own.chars().count() == VIN_LENGTH;
            return (own == theirs).then_some(if whole { SameBy::Vin } else { SameBy::PartVin });
        }
        // Without a VIN on both sides, whatever else is known of them must not tell them apart.
        let apart = |own: &Option<String>, theirs: &Option<String>| {
            own.is_some() && theirs.is_some() && own != theirs
        };
        if self.form != other.form || apart(&self.plate, &other.plate) || apart(&self.stock, &other.stock) {
            return None;
        }
        let only_here = other.vin.is_some();
        if self.plate.is_some() && self.plate == other.plate {
            return Some(SameBy::Plate(only_here));
        }
        (self.stock.is_some() && self.stock == other.stock).then_some(SameBy::Stock(only_here))
    }
}

/// Of earlier jobs that read alike in something, those of this vehicle, and by what. A plate or number that was on two vehicles, as
/// their VINs say, tells nothing: jobs that it alone would match are left out, and that is said.
pub fn of_vehicle<T>(own: &Identity, alike: Vec<(Identity, T)>) -> (Vec<(SameBy, T)>, Vec<String>) {
    let on_two = |key: fn(&Identity) -> &Option<String>| {
        let bears = |it: &&Identity| key(it).is_some() && key(it) == key(own);
        let all = alike.iter().map(|(it, _)| it).chain([own]);
        let mut vins: Vec<&String> = all.filter(bears).filter_map(|it| it.vin.as_ref()).collect();
        vins.sort_unstable();
        vins.dedup();
        vins.len() > 1
    };
    let (plate, stock) = (on_two(|it| &it.plate), on_two(|it| &it.stock));
    let mut left_out = Vec::new();
    let mut taken = Vec::new();
    for (identity, job) in alike {
        let what = match own.same(&identity) {
            Some(SameBy::Plate(_)) if plate => "plate",
            Some(SameBy::Stock(_)) if stock => "stock number",
            Some(same) => {
                taken.push((same, job));
                continue;
            }
            None => continue,
        };
        let said = format!(
            "This {what} was on vehicles with different VINs: earlier jobs that only it would match are left out."
        );
        if !left_out.contains(&said) {
            left_out.push(said);
        }
    }
    (taken, left_out)
}

/// Earlier jobs of the vehicle that say something of its paint.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Past {
    /// The jobs, earliest first.
    pub visits: Vec<Visit>,
    /// What must be known beside them: jobs that were left out.
    pub notes: Vec<String>,
}

/// What one job has on record of its vehicle's paint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Visit {
    job: Uuid,
    /// None for the job at hand.
    same: Option<SameBy>,
    opened: At,
    readings: Vec<(String, At, Vec<u32>)>,
    /// The lowest reading on a test square afterwards.
    squares: Vec<(String, At, u32)>,
    /// Machine polishing, tried or done.
    worked: Vec<(String, At)>,
    accuracy_um: u32,
}

/// When something was seen: UTC milliseconds and the offset of its clock, minutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct At(i64, i32);

impl At {
    fn of(stamp: &Stamp) -> Self {
        stamp.observed.map_or(Self(stamp.at, stamp.off_min), |seen| Self(seen.ms, seen.off_min))
    }

    fn day(self) -> String {
        times::day(self.0, self.1)
    }
}

impl Visit {
    /// Of a folded job. Readings that no gauge can mean, which no phone of ours records, are left out.
    pub fn of(job: &Job, same: Option<SameBy>) -> Self {
        let can_be = |um: &u32| thickness::checked(*um).is_ok();
        let treated = &job.treated;
        let measured = job.thickness.iter().map(|it| {
            let um = it.body.readings_um.iter().copied().filter(can_be).collect::<Vec<u32>>();
            (it.body.panel.clone(), At::of(&it.stamp), um)
        });
        let tried = || treated.squares.iter().filter(|it| it.body.step.is_machine());
        let judged = treated.judged.iter().filter_map(|it| {
            let square = tried().find(|square| square.id == it.body.square)?;
            Some((square.body.panel.clone(), At::of(&it.stamp), it.body.lowest_um.filter(can_be)?))
        });
        let done = treated
            .steps
            .iter()
            .filter(|it| it.body.step.is_machine())
            .flat_map(|it| it.body.panels.iter().map(|panel| (panel.clone(), At::of(&it.stamp))));
        let checks = job.gauge_checks.iter().filter_map(|it| it.body.accuracy_um);
        Self {
            job: job.id,
            same,
            opened: job.opening().map_or(At(job.last_at(), 0), |it| At::of(&it.stamp)),
            readings: measured.filter(|(_, _, um)| !um.is_empty()).collect(),
            squares: judged.collect(),
            worked: tried().map(|it| (it.body.panel.clone(), At::of(&it.stamp))).chain(done).collect(),
            accuracy_um: checks.max().unwrap_or(USUAL_ACCURACY_UM),
        }
    }

    /// True when nothing of it is about paint.
    pub fn is_empty(&self) -> bool {
        self.readings.is_empty() && self.squares.is_empty() && self.worked.is_empty()
    }

    /// Readings of a panel; those of its test squares stand apart.
    fn readings_on<'v>(&'v self, panel: &'v str) -> impl Iterator<Item = (&'v Self, At, &'v [u32])> {
        let on = self.readings.iter().filter(move |it| it.0 == panel);
        on.map(move |(_, at, um)| (self, *at, um.as_slice()))
    }

    /// Every single reading of a panel, those of its test squares among them.
    fn each_on<'v>(&'v self, panel: &'v str) -> impl Iterator<Item = (&'v Self, At, u32)> {
        let squares = self.squares.iter().filter(move |it| it.0 == panel);
        let whole = self.readings_on(panel);
        whole
            .flat_map(|(visit, at, um)| um.iter().map(move |um| (visit, at, *um)))
            .chain(squares.map(move |(_, at, um)| (self, *at, *um)))
    }

    fn worked_on<'v>(&'v self, panel: &'v str) -> impl Iterator<Item = (&'v Self, At)> {
        self.worked.iter().filter(move |it| it.0 == panel).map(move |(_, at)| (self, *at))
    }

    /// `Mon 1 June 2026 (same VIN)`
    fn day(&self, at: At) -> String {
        match self.same {
            Some(same) => format!("{} ({})", at.day(), same.text()),
            None => at.day(),
        }
    }
}

/// Days in order, each once; of many the first and the last.
fn days<'v>(seen: impl Iterator<Item = (&'v Visit, At)>) -> String {
    let mut seen: Vec<(At, String)> = seen.map(|(visit, at)| (at, visit.day(at))).collect();
    seen.sort();
    let mut days: Vec<String> = Vec::new();
    for (_, day) in seen {
        if !days.contains(&day) {
            days.push(day);
        }
    }
    match days.as_slice() {
        [first, .., last] if days.len() > MOST_DAYS => {
            format!("{first} to {last}, {} days", days.len())
        }
        [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        one => one.concat(),
    }
}

impl Past {
    /// What came off a panel, by the readings before the first polishing ever that is known here and after the last; none without both.
    pub fn removal(&self, own: &Visit, panel: &str, shop: &Shop) -> Option<Lifetime> {
        let visits = || self.visits.iter().chain([own]);
        let worked: Vec<(&Visit, At)> = visits().flat_map(|visit| visit.worked_on(panel)).collect();
        let first = worked.iter().map(|(_, at)| at.0).min()?;
        let last = worked.iter().map(|(_, at)| at.0).max()?;
        let read = || visits().flat_map(|visit| visit.readings_on(panel));
        let before: Vec<(&Visit, At, &[u32])> = read().filter(|it| it.1.0 < first).collect();
        let after: Vec<(&Visit, At, &[u32])> = read().filter(|it| it.1.0 > last).collect();
        let accuracy_um = before.iter().chain(&after).map(|it| it.0.accuracy_um).max()?;
        if before.is_empty() || after.is_empty() {
            return None;
        }
        let um = |side: &[(&Visit, At, &[u32])]| -> Vec<u32> {
            side.iter().flat_map(|it| it.2.iter().copied()).collect()
        };
        let budget_um = shop.budget_um.unwrap_or(correction::LIFETIME_UM);
        let mut lifetime = correction::lifetime(&um(&before), &um(&after), accuracy_um, budget_um);
        let of = |side: &[(&Visit, At, &[u32])]| days(side.iter().map(|it| (it.0, it.1)));
        let earlier = |visit: &Visit| visit.same.is_some();
        let rests_on_earlier = before.iter().chain(&after).any(|it| earlier(it.0))
            || worked.iter().any(|(visit, _)| earlier(visit));
        if rests_on_earlier {
            lifetime.text.push_str(&format!(
                " Read before on {}, after on {}; polished on {}. Another day's gauge and places differ too.",
                of(&before),
                of(&after),
                days(worked.into_iter()),
            ));
        }
        let seen = matches!(lifetime.removal, Removal::NearLimit { .. } | Removal::Clear { .. });
        if seen && lifetime.may_be_over {
            lifetime.used_up = Some(format!(
                "what came off since the first readings ({} against {}), {}, may be more than the {budget_um} µm that may come \
                 off over the paint's life",
                of(&before),
                of(&after),
                thickness::removal_text(lifetime.removal),
            ));
        }
        Some(lifetime)
    }

    /// What polishing has to know of a panel from before this job.
    pub fn life(&self, own: &Visit, panel: &str, shop: &Shop) -> PaintLife {
        let lowest = self.lowest(panel);
        PaintLife {
            lowest_um: lowest.map(|(_, _, um)| um),
            lowest_at: lowest.map(|(visit, at, _)| visit.day(at)),
            used_up: self.removal(own, panel, shop).and_then(|it| it.used_up),
        }
    }

    /// The lowest reading of earlier jobs; of equal ones the newest.
    fn lowest<'p>(&'p self, panel: &'p str) -> Option<(&'p Visit, At, u32)> {
        let all = self.visits.iter().flat_map(|visit| visit.each_on(panel));
        all.min_by_key(|(_, at, um)| (*um, std::cmp::Reverse(*at)))
    }

    /// What is to be said of a panel from before this job.
    pub fn lines(&self, own: &Visit, panel: &str) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some((visit, at, um)) = self.lowest(panel) {
            let count = self.visits.iter().flat_map(|visit| visit.each_on(panel)).count();
            let of = if count == 1 { String::new() } else { format!("the lowest of {count} readings, ") };
            lines.push(format!("earlier: {of}{um} µm, {}", visit.day(at)));
        }
        let worked = || self.visits.iter().flat_map(|visit| visit.worked_on(panel));
        let Some(last) = worked().map(|(_, at)| at.0).max() else { return lines };
        lines.push(format!("polished before: {}", days(worked())));
        let mut read = self.visits.iter().chain([own]).flat_map(|visit| visit.readings_on(panel));
        let measured = read.any(|it| it.1.0 > last);
        if !measured {
            lines.push("not measured since it was polished then: measure before more comes off".to_owned());
        }
        lines
    }

    /// Panels that a person is to know of from before: those that were polished, and those with a reading under the floor.
    pub fn panels(&self, shop: &Shop) -> Vec<&str> {
        let floor_um = shop.floor_um.unwrap_or(correction::FLOOR_UM);
        let worked = self.visits.iter().flat_map(|visit| &visit.worked).map(|it| it.0.as_str());
        let thin = self.visits.iter().flat_map(|visit| &visit.readings);
        let thin = thin.filter(|it| it.2.iter().any(|um| *um < floor_um)).map(|it| it.0.as_str());
        let mut all: Vec<&str> = worked.chain(thin).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The jobs, to read, and what must be known beside them.
    pub fn told(&self) -> Vec<String> {
        let told = |visit: &Visit| format!("{}, job {}", visit.day(visit.opened), visit.job);
        self.visits.iter().map(told).chain(self.notes.iter().cloned()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn car(vin: &str, plate: &str, stock: &str) -> Identity {
        let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        Identity { vin: some(vin), plate: some(plate), stock: some(stock), form: "saloon".to_owned() }
    }

    const WHOLE: &str = "ZZZ0ZZZ00T0000001";

    #[test]
    fn the_vin_decides_and_the_rest_is_a_weaker_match() {
        let own = car(WHOLE, "AA", "7");
        for (other, same) in [
            (car(WHOLE, "AA", "7"), Some(SameBy::Vin)),
            (car(WHOLE, "BB", "8"), Some(SameBy::Vin)),
            (Identity { form: "van".to_owned(), ..car(WHOLE, "", "") }, Some(SameBy::Vin)),
            (car("ZZZ0ZZZ00T0000002", "AA", "7"), None),
            (car("", "AA", ""), Some(SameBy::Plate(false))),
            (car("", "AA", "8"), None),
            (Identity { form: "van".to_owned(), ..car("", "AA", "") }, None),
            (car("", "", "7"), Some(SameBy::Stock(false))),
            (car("", "BB", "7"), None),
            (car("", "", ""), None),
        ] {
            assert_eq!(own.same(&other), same, "{other:?}");
        }
        assert_eq!(car("", "AA", "").same(&own), Some(SameBy::Plate(true)));
        assert_eq!(car("000001", "", "").same(&car("000001", "", "")), Some(SameBy::PartVin));
        assert_eq!(car("", "", "").same(&car("", "", "")), None, "nothing is no match");
    }

    #[test]
    fn a_plate_that_was_on_two_vehicles_tells_nothing() {
        let other = "ZZZ0ZZZ00T0000002";
        let alike = || vec![(car(WHOLE, "AA", ""), 1), (car(other, "AA", ""), 2), (car("", "AA", ""), 3)];
        let (taken, notes) = of_vehicle(&car(WHOLE, "AA", ""), alike());
        assert_eq!(taken, [(SameBy::Vin, 1)]);
        assert!(notes.len() == 1 && notes[0].contains("different VINs"), "{notes:?}");
        let (taken, notes) = of_vehicle(&car("", "AA", ""), alike());
        assert!(taken.is_empty() && notes.len() == 1, "{taken:?} {notes:?}");
        let (taken, notes) =
            of_vehicle(&car("", "AA", ""), vec![(car(WHOLE, "AA", ""), 1), (car("", "AA", ""), 3)]);
        assert_eq!(taken, [(SameBy::Plate(true), 1), (SameBy::Plate(false), 3)]);
        assert!(notes.is_empty());
    }
}
