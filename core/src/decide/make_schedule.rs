//! Making a schedule. Pure: the plan is reckoned here, once, and recorded as it came out.

use super::{Known, checked, draft, open_lot, panel, ranged};
use crate::care::clocks::Moment;
use crate::care::scheduled::{made, place};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::Body;
use crate::record::fold::Job;
use crate::record::inputs::{MakeSchedule, SectionToCoat, Worker};
use crate::record::times;
use serde_json::json;

const MOST_PEOPLE: usize = 50;
const MOST_SECTIONS: usize = 200;
/// More than these are more than an entry holds.
const MOST_LAYERS: usize = 400;
const LONGEST_NAME: usize = 60;
/// Longest hands-on time, seconds: a day.
const LONGEST_S: u32 = 86_400;
/// Farthest beginning, seconds from now.
const FARTHEST_S: i64 = 366 * 86_400;

pub(super) fn decide(
    job: &Job,
    act: &MakeSchedule,
    known: &Known,
    entered_later: bool,
) -> Result<Draft, Error> {
    if entered_later {
        let reason =
            "a schedule is of what is to come and cannot be entered later; begins_at says when work begins";
        return Err(Error::refused("", reason));
    }
    ranged("open_limit", Some(act.open_limit), 1..=100, "")?;
    let begins_s = act.begins_at.as_deref().map(|at| after("begins_at", at, known)).transpose()?.unwrap_or(0);
    let (people, from_s) = crew(act, begins_s, known)?;
    sections(job, &act.sections)?;
    let act = MakeSchedule { people, ..act.clone() };
    let now = Moment {
        phone: known.log.clone(),
        boot: known.boot.clone(),
        mono_ms: known.mono_ms,
        utc_ms: known.now_ms,
    };
    let mut draft = draft(Body::ScheduleMade(made(job, &act, &from_s, &now)?));
    let names: Vec<&str> = act.people.iter().map(|it| it.name.as_str()).collect();
    draft.typed.push(("people", json!(names)));
    Ok(draft)
}

/// Seconds from now; 0 for what is over.
fn after(field: &str, at: &str, known: &Known) -> Result<i64, Error> {
    let (ms, _) = times::read_rfc3339(at).map_err(|why| match why {
        Error::Refused { reason, .. } => Error::refused(field, reason),
        why => why,
    })?;
    let left_ms = ms.saturating_sub(known.now_ms).max(0);
    let s = left_ms / 1_000 + i64::from(left_ms % 1_000 > 0);
    match s <= FARTHEST_S {
        true => Ok(s),
        false => Err(Error::refused(field, "more than 366 days ahead by this device's clock: check both")),
    }
}

fn crew(act: &MakeSchedule, begins_s: i64, known: &Known) -> Result<(Vec<Worker>, Vec<i64>), Error> {
    counted("people", act.people.len(), MOST_PEOPLE)?;
    let (mut people, mut from_s): (Vec<Worker>, Vec<i64>) = (Vec::new(), Vec::new());
    for (at, worker) in act.people.iter().enumerate() {
        let name = checked(&format!("people[{at}].name"), &worker.name, LONGEST_NAME)?;
        if let Some(first) = people.iter().position(|it| it.name == name) {
            let reason = format!("\"{name}\" stands twice, first as people[{first}]");
            return Err(Error::refused(format!("people[{at}].name"), reason));
        }
        let field = format!("people[{at}].from_at");
        let own_s = worker.from_at.as_deref().map(|at| after(&field, at, known)).transpose()?;
        from_s.push(own_s.unwrap_or(0).max(begins_s));
        people.push(Worker { name, from_at: worker.from_at.clone() });
    }
    Ok((people, from_s))
}

fn sections(job: &Job, all: &[SectionToCoat]) -> Result<(), Error> {
    counted("sections", all.len(), MOST_SECTIONS)?;
    let layers: usize = all.iter().map(|it| it.layers.len()).sum();
    if layers > MOST_LAYERS {
        let reason = format!("{layers} layers together; at most {MOST_LAYERS} can be planned at once");
        return Err(Error::refused("sections", reason));
    }
    for (at, section) in all.iter().enumerate() {
        let field = |name: &str| format!("sections[{at}].{name}");
        panel(job, &field("panel"), &section.panel)?;
        ranged(&field("part"), section.part, 1..=99, "")?;
        let same = |it: &SectionToCoat| it.panel == section.panel && it.part == section.part;
        if let Some(first) = all[..at].iter().position(same) {
            let name = place(&section.panel, section.part);
            let reason = format!("\"{name}\" stands twice, first as sections[{first}]");
            return Err(Error::refused(field("panel"), reason));
        }
        counted(&field("layers"), section.layers.len(), 20)?;
        for (number, layer) in section.layers.iter().enumerate() {
            let field = |name: &str| format!("sections[{at}].layers[{number}].{name}");
            open_lot::sheet(job, layer.sheet).map_err(|why| match why {
                Error::Refused { reason, .. } => Error::refused(field("sheet"), reason),
                why => why,
            })?;
            ranged(&field("apply_s"), Some(layer.apply_s), 1..=LONGEST_S, " s")?;
            ranged(&field("level_s"), Some(layer.level_s), 1..=LONGEST_S, " s")?;
        }
    }
    Ok(())
}

fn counted(field: &str, count: usize, most: usize) -> Result<(), Error> {
    match (1..=most).contains(&count) {
        true => Ok(()),
        false => Err(Error::refused(field, format!("{count} of them; it has to be 1 to {most}"))),
    }
}
