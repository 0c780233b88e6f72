//! Taking a cloth, mitt or pad for a panel: what speaks against it is recorded beside it, and blocks nothing. Pure.

use super::{Known, checked, draft, panel};
use crate::care::cloth::use_of;
use crate::care::cloths::{Taking, cloths, taking};
use crate::care::findings::surface_of;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, ClothTaken, Shop};
use crate::record::fold::Job;
use crate::record::inputs::TakeCloth;
use crate::record::words::Tool;
use serde_json::{Value, json};

/// Longest name of a cloth, characters.
const LONGEST_NAME: usize = 60;
const LONGEST_PRODUCT: usize = 200;

pub(super) fn decide(job: &Job, act: &TakeCloth, known: &Known) -> Result<Draft, Error> {
    let warned = speaks_against(job, act, &known.shop)?;
    let panel = panel(job, "panel", &act.panel)?;
    let mut draft = draft(Body::ClothTaken(ClothTaken {
        cloth: act.cloth,
        tool: act.tool,
        zone: act.zone,
        used: use_of(act.step, surface_of(job, &panel)),
        panel,
        step: act.step,
        warnings: u32::try_from(warned.len()).unwrap_or(u32::MAX),
    }));
    for (role, text, longest) in
        [("name", &act.name, LONGEST_NAME), ("product", &act.product, LONGEST_PRODUCT)]
    {
        if let Some(text) = text {
            draft.typed.push((role, Value::String(checked(role, text, longest)?)));
        }
    }
    if !warned.is_empty() {
        draft.typed.push(("warned", json!(warned)));
    }
    Ok(draft)
}

/// What speaks against taking a cloth, in the crew's own names; refused where the input cannot be understood.
pub fn speaks_against(job: &Job, act: &TakeCloth, shop: &Shop) -> Result<Vec<String>, Error> {
    let panel = panel(job, "panel", &act.panel)?;
    let name = match (&act.name, act.cloth) {
        (None, None) => return Err(Error::refused("name", "wanting: say how the crew tells it apart")),
        (Some(_), Some(_)) => return Err(Error::refused("name", "it has one already")),
        (Some(name), None) => Some(checked("name", name, LONGEST_NAME)?),
        (None, Some(_)) => None,
    };
    let product = act.product.as_ref().map(|text| checked("product", text, LONGEST_PRODUCT)).transpose()?;
    match (act.cloth, act.tool) {
        (None, None) => return Err(Error::refused("tool", "wanting: say what it is")),
        (Some(_), Some(_)) => return Err(Error::refused("tool", "it was said when it was first taken")),
        (None, Some(tool)) if tool != Tool::Pad && act.zone.is_none() => {
            return Err(Error::refused("zone", "wanting: say which zone it belongs to"));
        }
        _ => {}
    }
    if act.cloth.is_some() && act.zone.is_some() {
        return Err(Error::refused("zone", "it was said when it was first taken"));
    }
    let known = cloths(job, shop);
    let held = match act.cloth {
        None => None,
        Some(id) => Some(
            known
                .iter()
                .find(|it| it.id == id)
                .ok_or_else(|| Error::refused("cloth", format!("no cloth {id} in this job")))?,
        ),
    };
    let now = Taking {
        tool: act.tool,
        zone: act.zone,
        name,
        step: act.step,
        used: use_of(act.step, surface_of(job, &panel)),
        product,
    };
    Ok(taking(held, &now, shop).1)
}
