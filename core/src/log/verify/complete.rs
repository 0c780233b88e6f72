//! Whether all that was on record of the job when it was closed is accounted for. Pure.
//!
//! A closing commits, for each log that its writer had seen, how many entries of the job it holds and their root. A bundle
//! that leaves one out of its lists then cannot have that root. What was recorded after the closing nothing commits.

use super::bag::Bag;
use super::claims::Findings;
use super::logs::Log;
use crate::log::bag::{Counted, Disclosed, counted, root_of};

pub(super) fn check(bag: &Bag, logs: &[Log], findings: &mut Findings) {
    let code = "job.complete";
    let whole = bag.said.as_ref().is_some_and(|said| said.disclosed == Disclosed::Whole);
    let withheld = |log: &Log| log.leaves.iter().filter(|(seq, _)| !log.shown.contains_key(seq)).count();
    let withheld: usize = logs.iter().map(withheld).sum();
    if whole && withheld > 0 {
        findings.fail(code, format!("the statement says that all is here, and {withheld} entries are not"));
    }
    let closings = logs.iter().flat_map(|log| log.shown.values()).filter(|event| event.kind == "job.closed");
    let mut told = None;
    for closing in closings {
        let Some(list) = counted(&closing.body) else { continue };
        let of = format!("the closing in entry {} of {}", closing.seq, closing.log);
        for it in &list {
            if let Err(why) = accounted(logs, it) {
                findings.fail(code, format!("{of} counts {} entries of {}: {why}", it.count, it.log));
            }
        }
        let count: u64 = list.iter().map(|it| it.count).sum();
        // The closing that counts most is the last one, whichever log it is in.
        if told.as_ref().is_none_or(|(most, _)| *most < count) {
            told = Some((count, of));
        }
    }
    if let Some((count, of)) = told {
        let entries: u64 = logs.iter().map(|log| log.leaves.len() as u64).sum();
        let later = entries.saturating_sub(count);
        let text = format!(
            "{of} counts {count} entries, and all are accounted for; {later} were added with it or later"
        );
        findings.hold(code, text);
    }
}

fn accounted(logs: &[Log], counted: &Counted) -> Result<(), &'static str> {
    let branches: Vec<&Log> = logs.iter().filter(|log| log.name == counted.log).collect();
    if branches.is_empty() {
        return Err("the log is not in the bundle");
    }
    let holds = |log: &&Log| {
        let count = usize::try_from(counted.count).unwrap_or(usize::MAX);
        let first = log.leaves.get(..count)?;
        root_of(first.iter().map(|(_, hash)| *hash)).filter(|root| *root == counted.root)
    };
    if branches.iter().any(|log| holds(log).is_some()) { Ok(()) } else { Err("the bundle lists others") }
}
