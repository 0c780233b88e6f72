//! Setting aside what speaks against a step: with a reason and consent, before it is done. Pure.

use super::{Known, checked, draft, panel};
use crate::care::findings::Recorded;
use crate::care::surface::{Override, may_go_on};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, OverrideAgreed};
use crate::record::fold::Job;
use crate::record::inputs::SetAside;
use crate::record::words::Area;
use serde_json::Value;

pub(super) fn decide(job: &Job, act: &SetAside, known: &Known) -> Result<Draft, Error> {
    let panel = panel(job, "panel", &act.panel)?;
    let on = act.on.unwrap_or(Area::Panel);
    let against = Recorded { job, shop: &known.shop, past: &known.past }.against(&panel, act.step, on)?;
    if against.is_empty() {
        let reason = format!("nothing speaks against {} there: it needs no consent", act.step.text());
        return Err(Error::refused("step", reason));
    }
    let given = Override { reason: act.reason.clone(), answer: act.answer, by: act.by };
    for refusal in &against {
        may_go_on(refusal, Some(&given)).map_err(|why| match why {
            Error::Refused { field, reason } => {
                let field = field.strip_prefix("override.").unwrap_or("step");
                Error::refused(field, reason)
            }
            why => why,
        })?;
    }
    let mut draft = draft(Body::OverrideAgreed(OverrideAgreed {
        panel,
        step: act.step,
        on,
        warned: against.into_iter().map(|refusal| refusal.reason).collect(),
        answer: act.answer,
        by: act.by,
    }));
    draft.typed.push(("reason", Value::String(checked("reason", &act.reason, 1_000)?)));
    Ok(draft)
}
