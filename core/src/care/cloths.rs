//! The cloths, mitts and pads of a job as they are on record: where each has been, and whether it is out of use. Pure; the rules
//! are those of `cloth`.

use super::cloth::{self, Cloth, Zone, pad_warning, usual_zones, zone_for};
use super::words::{Step, Tool, ZoneUse};
use crate::record::events::Shop;
use crate::record::fold::{Item, Job, Text};
use uuid::Uuid;

/// A cloth, mitt or pad with what it was used for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// Its id: the input that took it first.
    pub id: Uuid,
    /// What it is.
    pub tool: Tool,
    /// Where it has been, and whether it is out of use.
    pub cloth: Cloth,
    /// The steps it was used for, in order.
    pub steps: Vec<Step>,
}

/// One taking of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taking {
    /// What a new one is.
    pub tool: Option<Tool>,
    /// What a new one's zone is for.
    pub zone: Option<ZoneUse>,
    /// A new one's name.
    pub name: Option<String>,
    /// For which step.
    pub step: Step,
    /// What it is used for here.
    pub used: ZoneUse,
    /// With which product.
    pub product: Option<String>,
}

/// The crew's zones; the usual ones where there are none, or none that could be used.
pub fn zones_of(shop: &Shop) -> Vec<Zone> {
    if cloth::check_zones(&shop.zones).is_ok() { shop.zones.clone() } else { usual_zones() }
}

/// A cloth as it is after it was taken, and what spoke against taking it. A pad keeps to its step, not to a zone.
pub fn taking(held: Option<&Held>, now: &Taking, shop: &Shop) -> (Held, Vec<String>) {
    let zones = zones_of(shop);
    let mut after = held.cloned().unwrap_or_else(|| Held {
        id: Uuid::nil(),
        tool: now.tool.unwrap_or(Tool::Cloth),
        cloth: Cloth {
            name: now.name.clone().unwrap_or_else(|| "a cloth".to_owned()),
            // Zones are checked when they are described; one that is wanting counts as the cleanest.
            zone: zone_for(&zones, now.zone.unwrap_or(now.used)).unwrap_or_default(),
            product: None,
            out: None,
        },
        steps: Vec::new(),
    });
    // Zones may have been described anew with fewer of them.
    after.cloth.zone = after.cloth.zone.min(zones.len().saturating_sub(1));
    let mut warnings = Vec::new();
    if after.tool == Tool::Pad {
        if let Some(out) = after.cloth.out {
            warnings.push(format!("{} is out of use ({}): take a fresh one.", after.cloth.name, out.text()));
        }
        warnings.extend(pad_warning(&after.steps, now.step));
    } else if let Ok((cloth, said)) = cloth::take(&zones, &after.cloth, now.used, now.product.as_deref()) {
        after.cloth = cloth;
        warnings = said;
    }
    after.steps.push(now.step);
    (after, warnings)
}

/// The cloths of a job, in the order in which they were first taken.
pub fn cloths(job: &Job, shop: &Shop) -> Vec<Held> {
    let mut all: Vec<Held> = Vec::new();
    let text = |text: Text| match text {
        Text::Here(text) => Some(text),
        _ => None,
    };
    for it in &job.treated.cloths {
        let now = Taking {
            tool: it.body.tool,
            zone: it.body.zone,
            name: text(it.text("name")),
            step: it.body.step,
            used: it.body.used,
            product: text(it.text("product")),
        };
        let id = it.body.cloth.unwrap_or(it.id);
        let at = all.iter().position(|held| held.id == id);
        let (mut after, _) = taking(at.map(|at| &all[at]), &now, shop);
        after.id = id;
        match at {
            Some(at) => all[at] = after,
            None => all.push(after),
        }
    }
    // Whatever its place in the order: what fell once is out of use.
    for out in job.treated.put_out.iter().map(|it: &Item<_>| &it.body) {
        if let Some(held) = all.iter_mut().find(|held| out.cloth == Some(held.id)) {
            held.cloth.out = Some(out.why);
        }
    }
    all
}
