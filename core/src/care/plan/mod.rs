//! From what was agreed and found to steps in order. Pure. Rules are common practice of the trade, no source; what a
//! product's sheet states goes before them.
//!
//! Wash, chemical, clay, polish, wipe, then layers, the most lasting first; trim, wheels, tyres and leather after the
//! paint. What a step needs and nobody agreed to by name (a wash, a panel wipe) is added and said to be added. What a
//! surface, a sheet or a finding speaks against is kept back with the reason. A plan is made anew after each finding.

mod agreed;
mod cautions;
mod night;
mod steps;

use super::cloth::{self, Zone};
use super::contamination::{self, Finding, Next};
use super::correction::{self, NextPolish, PaintLife, Square};
use super::sheet::{self, Sheet, SheetRef, Temperatures};
use super::surface::{Override, Refusal};
use super::words::{Prerequisite, Sleeps, Step, SurfaceKind};
use crate::error::Error;
use crate::record::words::{NoReading, Party};
pub use agreed::speaks_against;
pub use night::QUESTIONS;

use agreed::Chosen;
use serde::{Deserialize, Serialize};
use steps::steps_of;

/// Most surfaces, agreements and sheets in one plan, each.
const MOST: usize = 500;

/// What is planned from.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Work {
    /// The surfaces.
    pub surfaces: Vec<Place>,
    /// What was agreed.
    pub agreed: Vec<Agreement>,
    /// Sheets of the products.
    #[serde(default)]
    pub sheets: Vec<Sheet>,
    /// The crew's cloth zones, cleanest first; none: the usual ones.
    #[serde(default)]
    pub zones: Vec<Zone>,
    /// What is known of the car and the place.
    #[serde(default)]
    pub facts: Facts,
    /// What is known of the night ahead.
    #[serde(default, skip_serializing_if = "Night::is_unknown")]
    pub night: Night,
    /// What must be known beside it, as the plan then says it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

/// What is known of the night ahead; what is left out is asked before a layer that must stay dry.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Night {
    /// Where the car sleeps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sleeps: Option<Sleeps>,
    /// Whether rain is due.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain: Option<Rain>,
    /// Who has the keys.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keys: Option<Party>,
}

impl Night {
    /// True when nothing is known.
    pub fn is_unknown(&self) -> bool {
        *self == Self::default()
    }
}

/// Whether rain is due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rain {
    /// Whether it is.
    pub due: bool,
    /// From now until then, s; none: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_s: Option<i64>,
    /// From when, to read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
}

/// What is known of the car and the place.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Facts {
    /// The car stood unwatched since the last look.
    #[serde(default)]
    pub after_absence: bool,
    /// The engine was running a short while ago.
    #[serde(default)]
    pub engine_hot: bool,
    /// Electric or hybrid.
    #[serde(default)]
    pub high_voltage: bool,
}

/// One surface.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Neutral name of the panel or place.
    pub place: String,
    /// What it is.
    pub kind: SurfaceKind,
    /// Its sections, in the order in which they are worked.
    #[serde(default)]
    pub sections: Vec<String>,
    /// Whether it is clean now.
    #[serde(default)]
    pub clean: bool,
    /// Its temperature, milli-°C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_mc: Option<i32>,
    /// Layers that are on it already.
    #[serde(default)]
    pub wears: Vec<Step>,
    /// What was felt and done, earliest first.
    #[serde(default)]
    pub findings: Vec<Finding>,
    /// Tar or iron remover first, as this crew does it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chemical_first: Option<Step>,
    /// Thickness readings, µm.
    #[serde(default)]
    pub readings_um: Vec<u32>,
    /// Why there are none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_reading: Option<NoReading>,
    /// The shop's floor, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_um: Option<u32>,
    /// Test squares of polishing.
    #[serde(default)]
    pub squares: Vec<Square>,
    /// What is known of its paint from before.
    #[serde(default, skip_serializing_if = "PaintLife::is_empty")]
    pub life: PaintLife,
}

/// A step that the owner agreed to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Agreement {
    /// Which.
    pub step: Step,
    /// On which surfaces.
    pub on: Vec<String>,
    /// With which version of which sheet; none: common practice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<SheetRef>,
    /// What of that sheet is common practice, when its gaps are filled already; none: they are filled for the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub usual: Option<Vec<String>>,
    /// A refusal that is set aside.
    #[serde(default, rename = "override", skip_serializing_if = "Option::is_none")]
    pub set_aside: Option<Override>,
}

/// Steps in order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Plan {
    /// The steps.
    pub steps: Vec<Planned>,
    /// What was agreed and is kept back.
    pub kept_back: Vec<KeptBack>,
    /// What comes now, by surface, where findings decide it.
    pub now: Vec<Now>,
    /// What must be known beside it.
    pub notes: Vec<String>,
}

/// One step, with everything about it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Planned {
    /// Which.
    pub step: Step,
    /// Which coat, where there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coat: Option<u32>,
    /// Where, in the order in which the surfaces were given.
    pub on: Vec<On>,
    /// The product's sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheet: Option<SheetRef>,
    /// Whether nobody agreed to it by name, and another step needs it.
    pub added: bool,
    /// Why, where that does not go without saying.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub reason: String,
    /// How the surface must be.
    pub needs: Vec<Prerequisite>,
    /// What is asked before it.
    pub ask: Vec<String>,
    /// What follows from what is known of the night.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub night: Vec<String>,
    /// The wait since the layer before it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<After>,
    /// From applied to taken off, at least, s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dwell_least_s: Option<u32>,
    /// From applied to taken off, at most, s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dwell_most_s: Option<u32>,
    /// How it goes on and comes off.
    pub how: Vec<String>,
    /// The cloth zone, as the crew calls it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cloth_zone: Option<String>,
    /// What to take care of.
    pub cautions: Vec<String>,
    /// Fields that are not from the sheet but common practice, no source.
    pub usual: Vec<String>,
}

/// A surface and its sections.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct On {
    /// The surface.
    pub place: String,
    /// Its sections, in order; none: it is one piece.
    pub sections: Vec<String>,
}

/// How long after which layer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct After {
    /// The layer before.
    pub step: Step,
    /// At least, s.
    pub least_s: u32,
    /// At most, s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_s: Option<u32>,
}

/// A step that was agreed and is not done, as things stand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeptBack {
    /// Where.
    pub place: String,
    /// Which, why, and whether it can be set aside.
    pub refusal: Refusal,
    /// What is wanting of the override that was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wanting: Option<String>,
}

/// What the findings of a surface ask for now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Now {
    /// The surface.
    pub place: String,
    /// Against what sits on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contamination: Option<Next>,
    /// In polishing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub polish: Option<NextPolish>,
}

/// Makes the plan. Refused: places and sheets that are not there or contradict each other, by the path of the field.
pub fn plan(work: &Work) -> Result<Plan, Error> {
    check(work)?;
    let zones = if work.zones.is_empty() { cloth::usual_zones() } else { work.zones.clone() };
    let mut plan =
        Plan { steps: Vec::new(), kept_back: Vec::new(), now: Vec::new(), notes: work.notes.clone() };
    let mut ranked: Vec<(u32, Planned)> = Vec::new();
    for place in &work.surfaces {
        let agreed = Chosen::of(work, place, &mut plan)?;
        now(place, &agreed, &mut plan)?;
        windows(place, &agreed, &mut plan.notes);
        temperature(place, &agreed, &mut plan.notes);
        ranked.extend(steps_of(work, place, &agreed, &zones)?);
    }
    // Stable: within a step, surfaces stay in the order in which they were given.
    ranked.sort_by_key(|(rank, planned)| (*rank, planned.coat));
    // What is the same on several surfaces is one step; `on` is kept apart so that the rest can be compared.
    let mut places: Vec<Vec<On>> = Vec::new();
    for (_, mut planned) in ranked {
        let on = std::mem::take(&mut planned.on);
        match plan.steps.iter().position(|earlier| *earlier == planned) {
            Some(at) => places[at].extend(on),
            None => {
                plan.steps.push(planned);
                places.push(on);
            }
        }
    }
    for (step, on) in plan.steps.iter_mut().zip(places) {
        step.on = on;
    }
    let mut asked = false;
    for step in &mut plan.steps {
        if asked {
            step.ask.clear();
        }
        asked |= !step.ask.is_empty();
    }
    Ok(plan)
}

fn check(work: &Work) -> Result<(), Error> {
    for (field, count) in
        [("surfaces", work.surfaces.len()), ("agreed", work.agreed.len()), ("sheets", work.sheets.len())]
    {
        if count > MOST {
            return Err(Error::refused(field, format!("{count}; at most {MOST}")));
        }
    }
    sheet::check_all(&work.sheets)?;
    if !work.zones.is_empty() {
        cloth::check_zones(&work.zones)?;
    }
    for (number, place) in work.surfaces.iter().enumerate() {
        let field = |name: &str| format!("surfaces[{number}].{name}");
        if place.place.trim().is_empty() {
            return Err(Error::refused(field("place"), "it has no name"));
        }
        if work.surfaces[..number].iter().any(|earlier| earlier.place == place.place) {
            return Err(Error::refused(field("place"), format!("\"{}\" is there before", place.place)));
        }
        if let Some(at) = place.wears.iter().position(|worn| !worn.is_layer()) {
            return Err(Error::refused(field(&format!("wears[{at}]")), "it is no layer"));
        }
        place.contamination(&Chosen::default()).check(&field(""))?;
        place.correction().check(&field(""))?;
    }
    for (number, agreement) in work.agreed.iter().enumerate() {
        if agreement.on.is_empty() {
            return Err(Error::refused(format!("agreed[{number}].on"), "it names no surface"));
        }
        if agreement.usual.is_some() && agreement.sheet.is_none() {
            let reason = "said of a sheet, and none is named";
            return Err(Error::refused(format!("agreed[{number}].usual"), reason));
        }
        for (at, on) in agreement.on.iter().enumerate() {
            let field = format!("agreed[{number}].on[{at}]");
            if !work.surfaces.iter().any(|place| place.place == *on) {
                return Err(Error::refused(field, format!("no surface called \"{on}\"")));
            }
            let twice = |earlier: &Agreement| earlier.step == agreement.step && earlier.on.contains(on);
            if work.agreed[..number].iter().any(twice) || agreement.on[..at].contains(on) {
                return Err(Error::refused(
                    field,
                    format!("{} is agreed twice on \"{on}\"", agreement.step.text()),
                ));
            }
        }
    }
    Ok(())
}

/// What the findings of a surface ask for now.
fn now(place: &Place, agreed: &Chosen, plan: &mut Plan) -> Result<(), Error> {
    let touches = |step: Step| step.is_chemical() || step.is_clay();
    let contamination = match agreed.any(touches) {
        true => Some(contamination::next(&place.contamination(agreed))?),
        false => None,
    };
    let polish = match agreed.any(Step::is_machine) {
        true => Some(correction::next(&place.correction())?),
        false => None,
    };
    if contamination.is_some() || polish.is_some() {
        plan.now.push(Now { place: place.place.clone(), contamination, polish });
    }
    Ok(())
}

/// Two layers of one surface whose windows of temperature do not meet cannot go on under the same sky.
fn windows(place: &Place, agreed: &Chosen, notes: &mut Vec<String>) {
    let layers: Vec<&Sheet> = agreed.0.iter().filter(|it| it.0.is_layer()).map(|it| &it.2).collect();
    let apart = |one: Option<Temperatures>, other: Option<Temperatures>| match (one, other) {
        (Some(one), Some(other)) => one.least_mc > other.most_mc || other.least_mc > one.most_mc,
        _ => false,
    };
    for (number, one) in layers.iter().enumerate() {
        for other in &layers[..number] {
            for (what, one_has, other_has) in [("air", one.air, other.air), ("panel", one.panel, other.panel)]
            {
                if apart(one_has, other_has) {
                    notes.push(format!(
                        "{}: the sheets for {} and {} have no temperature of the {what} in common.",
                        place.place,
                        other.kind.text(),
                        one.kind.text()
                    ));
                }
            }
        }
    }
}

/// A panel that is colder or hotter now than a layer's sheet takes.
fn temperature(place: &Place, agreed: &Chosen, notes: &mut Vec<String>) {
    let Some(panel_mc) = place.panel_mc else { return };
    let degrees = |mc: i32| f64::from(mc) / 1_000.0;
    for (step, _, sheet, _) in agreed.0.iter().filter(|it| it.0.is_layer()) {
        let Some(window) = sheet.panel else { continue };
        if !(window.least_mc..=window.most_mc).contains(&panel_mc) {
            notes.push(format!(
                "{}: the panel is at {} °C; {} wants {} to {} °C.",
                place.place,
                degrees(panel_mc),
                step.text(),
                degrees(window.least_mc),
                degrees(window.most_mc)
            ));
        }
    }
}

#[cfg(test)]
mod tests;
