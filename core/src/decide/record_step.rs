//! Recording a step that was done. What is warned of needs a reason and consent on record first. Pure.

use super::{Known, checked, draft, panel, typed};
use crate::care::findings::Recorded;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, StepDone};
use crate::record::fold::Job;
use crate::record::inputs::RecordStep;
use crate::record::words::{Area, Reaction, Step};
use serde_json::Value;
use uuid::Uuid;

/// Most panels of one entry.
const MOST_PANELS: usize = 100;

pub(super) fn decide(job: &Job, act: &RecordStep, known: &Known) -> Result<Draft, Error> {
    let on = act.on.unwrap_or(Area::Panel);
    if act.step == Step::Feel {
        return Err(Error::refused("step", "what a hand felt is recorded by record_feel"));
    }
    if act.step.is_machine() && on == Area::TestSquare {
        return Err(Error::refused("on", "a test square of polishing is recorded by try_square"));
    }
    if act.saw.is_some() && act.step != Step::Look {
        return Err(Error::refused("saw", "only a look sees something"));
    }
    let mut reacted = act.reacted.clone();
    reacted.sort();
    reacted.dedup();
    if reacted.len() > 1 && reacted.contains(&Reaction::None) {
        return Err(Error::refused("reacted", "\"none\" beside something that reacted"));
    }
    if act.panels.is_empty() || act.panels.len() > MOST_PANELS {
        let reason = format!("{}; 1 to {MOST_PANELS} can be meant", act.panels.len());
        return Err(Error::refused("panels", reason));
    }
    let mut set_aside = Vec::new();
    for (at, name) in act.panels.iter().enumerate() {
        let field = format!("panels[{at}]");
        panel(job, &field, name)?;
        if act.panels[..at].contains(name) {
            return Err(Error::refused(field, "named twice"));
        }
        covered(job, name, act.step, on, known, &field, &mut set_aside)?;
    }
    let mut draft = draft(Body::StepDone(StepDone {
        panels: act.panels.clone(),
        step: act.step,
        on,
        reacted,
        saw: act.saw,
        set_aside,
    }));
    if let Some(product) = &act.product {
        draft.typed.push(("product", Value::String(checked("product", product, 200)?)));
    }
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}

/// Refuses what speaks against a step and was not set aside; otherwise adds the entries that did.
pub(super) fn covered(
    job: &Job,
    panel: &str,
    step: Step,
    on: Area,
    known: &Known,
    field: &str,
    set_aside: &mut Vec<Uuid>,
) -> Result<(), Error> {
    let recorded = Recorded { job, shop: &known.shop, past: &known.past };
    for refusal in recorded.against(panel, step, on)? {
        match recorded.set_aside(panel, step, on, std::slice::from_ref(&refusal)) {
            Some(entries) if refusal.may_override => {
                set_aside
                    .extend(entries.into_iter().filter(|id| !set_aside.contains(id)).collect::<Vec<_>>());
            }
            _ => {
                let asks = match refusal.may_override {
                    true => "; it needs a reason and consent (set_aside)",
                    false => "; that cannot be set aside",
                };
                let what = format!("{} on {}: {}{asks}", step.text(), refusal.surface.text(), refusal.reason);
                return Err(Error::refused(field, what));
            }
        }
    }
    Ok(())
}
