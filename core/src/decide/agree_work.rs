//! Recording which steps are agreed. Silence is no agreement: only who speaks for the owner can say so. Pure.

use super::{draft, panel, typed};
use crate::care::findings::speaks_for_the_owner;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, WorkAgreed};
use crate::record::fold::Job;
use crate::record::inputs::AgreeWork;

/// Most steps in one entry, and most panels of one step.
const MOST: usize = 50;
const MOST_PANELS: usize = 100;

pub(super) fn decide(job: &Job, act: &AgreeWork) -> Result<Draft, Error> {
    if !speaks_for_the_owner(act.by) {
        return Err(Error::refused("by", format!("\"{}\" cannot agree for the owner", act.by.word())));
    }
    if act.steps.is_empty() || act.steps.len() > MOST {
        return Err(Error::refused("steps", format!("{}; 1 to {MOST} can be meant", act.steps.len())));
    }
    for (at, said) in act.steps.iter().enumerate() {
        let field = format!("steps[{at}].panels");
        if said.panels.is_empty() || said.panels.len() > MOST_PANELS {
            let count = said.panels.len();
            return Err(Error::refused(field, format!("{count}; 1 to {MOST_PANELS} can be meant")));
        }
        for (number, name) in said.panels.iter().enumerate() {
            let field = format!("{field}[{number}]");
            panel(job, &field, name)?;
            let before = act.steps[..at].iter().filter(|it| it.step == said.step).flat_map(|it| &it.panels);
            if before.chain(&said.panels[..number]).any(|earlier| earlier == name) {
                return Err(Error::refused(field, format!("{} is there twice on it", said.step.text())));
            }
        }
    }
    let mut draft = draft(Body::WorkAgreed(WorkAgreed { by: act.by, steps: act.steps.clone() }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
