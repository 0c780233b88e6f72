//! The steps of one surface: what was agreed, what that needs, and everything about each. Pure.

use super::agreed::Chosen;
use super::{After, Facts, On, Place, Planned, Work, cautions};
use crate::care::aftercare;
use crate::care::cloth::{self, Zone};
use crate::care::sheet::{self, Sheet, Span, Temperatures};
use crate::care::surface::refusal;
use crate::care::words::{Prerequisite, Step, SurfaceKind};
use crate::error::Error;

/// Ten places between two steps, so that a step can come again: a feel test after chemicals, one after clay.
fn rank(step: Step) -> u32 {
    10 * step as u32
}

/// The steps of one surface, each with its rank; what they need is added.
pub(super) fn steps_of(
    work: &Work,
    place: &Place,
    agreed: &Chosen,
    zones: &[Zone],
) -> Result<Vec<(u32, Planned)>, Error> {
    let mut steps = Vec::new();
    let on = || vec![On { place: place.place.clone(), sections: place.sections.clone() }];
    let mut add = |step: Step, rank: u32, reason: &str| -> Result<(), Error> {
        let mut planned = Planned::new(step, on());
        planned.added = true;
        planned.reason = reason.to_owned();
        if step.has_product() {
            let filled = sheet::fill(&Sheet::blank("", step))?;
            planned.usual = filled.usual.iter().map(|name| (*name).to_owned()).collect();
            planned.take(&filled.sheet);
        }
        planned.finish(place.kind, work.facts, zones)?;
        steps.push((rank, planned));
        Ok(())
    };
    let has = |step: Step| agreed.any(|agreed| agreed == step);
    if work.facts.after_absence {
        add(Step::Look, rank(Step::Look), "The car stood unwatched: look first at what is new.")?;
    }
    if agreed.0.is_empty() {
        return Ok(steps);
    }
    let outside = !place.kind.is_inside();
    let beyond_wash = agreed.any(|step| step > Step::Dry);
    if outside && !place.clean && beyond_wash && !has(Step::Wash) {
        add(Step::Wash, rank(Step::Wash), "What follows needs it clean.")?;
    }
    if outside && (!place.clean || has(Step::Wash)) && !has(Step::Dry) {
        add(Step::Dry, rank(Step::Dry), "Blot or blow it dry; water hides marks.")?;
    }
    let clays: Vec<Step> = agreed.0.iter().map(|it| it.0).filter(|step| step.is_clay()).collect();
    if agreed.any(Step::is_chemical) || !clays.is_empty() {
        if !has(Step::Feel) {
            add(Step::Feel, rank(Step::Feel), "The feel decides what is needed.")?;
        }
        let iron = Step::IronRemover;
        let adds_iron =
            !clays.is_empty() && !has(iron) && !place.has_had(iron) && refusal(place.kind, iron).is_none();
        if adds_iron {
            add(iron, rank(iron), "Chemical before mechanical, so that clay has least to do.")?;
        }
        if adds_iron || agreed.any(Step::is_chemical) {
            let reason = "Feel again: what is smooth now needs nothing more.";
            add(Step::Feel, rank(Step::MineralRemover) + 5, reason)?;
        }
        for clay in &clays {
            add(
                Step::Feel,
                rank(*clay) + 5,
                "Feel the square, look at it under a point of light, then the panel.",
            )?;
        }
    }
    let wipes =
        agreed.any(|step| step.is_machine() || needs(step, place.kind).contains(&Prerequisite::OilsWiped));
    if wipes && !has(Step::PanelWipe) {
        add(Step::PanelWipe, rank(Step::PanelWipe), "Oils hide marks and keep a layer from holding.")?;
    }

    let mut before: Option<(Step, Option<Span>)> = None;
    for (step, reference, own, usual) in &agreed.0 {
        let coats = if step.is_layer() { own.coats.map_or(1, |coats| coats.least) } else { 1 };
        let on_already =
            u32::try_from(place.coats_on(*step)).unwrap_or(u32::MAX).min(coats.saturating_sub(1));
        for coat in on_already + 1..=coats {
            let mut planned = Planned::new(*step, on());
            planned.coat = (coats > 1).then_some(coat);
            planned.sheet.clone_from(reference);
            planned.usual.clone_from(usual);
            planned.take(own);
            if step.is_clay() {
                planned.reason = "Only where it still feels rough: a test square first.".to_owned();
            }
            if step.is_machine() {
                planned.reason = "A test square and the owner's yes first.".to_owned();
            }
            if step.is_layer() {
                if let Some((earlier, Some(span))) = before {
                    planned.after = Some(After { step: earlier, least_s: span.least_s, most_s: span.most_s });
                }
                if let Some(dry) = own.waits.rain.filter(|_| outside) {
                    planned.ask = work.night.asks();
                    planned.night = work.night.follows(dry.longest_s());
                }
                before = Some((*step, own.next_layer));
            }
            planned.finish(place.kind, work.facts, zones)?;
            steps.push((rank(*step), planned));
        }
    }
    Ok(steps)
}

/// How a surface must be before a step.
fn needs(step: Step, surface: SurfaceKind) -> Vec<Prerequisite> {
    use Prerequisite::*;
    match step {
        Step::Look | Step::Wash | Step::Dry => Vec::new(),
        Step::WheelCleaner | Step::AcidWheelCleaner => vec![Cool],
        Step::Feel => vec![Clean],
        _ if step.is_chemical() || step.is_clay() => vec![Clean, Cool],
        Step::Compound | Step::Polish | Step::PanelWipe => vec![Clean, Dry, Cool],
        Step::TyreDressing | Step::LeatherCare | Step::FabricGuard => vec![Clean, Dry],
        // Under wax, the oils of a polish do no harm; textured trim and tyres are wiped by their own cleaner.
        Step::Wax => vec![Clean, Dry, Cool],
        _ if surface.is_inside() => vec![Clean, Dry],
        _ => vec![Clean, Dry, Cool, OilsWiped],
    }
}

impl Planned {
    fn new(step: Step, on: Vec<On>) -> Self {
        Self {
            step,
            coat: None,
            on,
            sheet: None,
            added: false,
            reason: String::new(),
            needs: Vec::new(),
            ask: Vec::new(),
            night: Vec::new(),
            after: None,
            dwell_least_s: None,
            dwell_most_s: None,
            how: Vec::new(),
            cloth_zone: None,
            cautions: Vec::new(),
            usual: Vec::new(),
        }
    }

    /// What a sheet says of it.
    fn take(&mut self, sheet: &Sheet) {
        self.dwell_least_s = sheet.dwell.map(|dwell| dwell.least_s);
        self.dwell_most_s = sheet.dwell.and_then(|dwell| dwell.most_s);
        self.how.extend(sheet.apply.clone());
        self.how.extend(sheet.remove.clone());
        let degrees = |mc: i32| f64::from(mc) / 1_000.0;
        for (name, window) in [("Air", sheet.air), ("Panel", sheet.panel)] {
            if let Some(Temperatures { least_mc, most_mc }) = window {
                self.how.push(format!("{name} {} to {} °C.", degrees(least_mc), degrees(most_mc)));
            }
        }
        if let Some(humidity) = sheet.humidity {
            self.how.push(format!("Humidity {} to {} %.", humidity.least_pct, humidity.most_pct));
        }
        if let Some(rain) = sheet.waits.rain {
            self.how.push(format!("Keep it dry for {}.", aftercare::time_text(rain.longest_s())));
        }
        self.cautions.extend(sheet.cautions.iter().cloned());
    }

    /// What follows from step and surface.
    fn finish(&mut self, surface: SurfaceKind, facts: Facts, zones: &[Zone]) -> Result<(), Error> {
        self.needs = needs(self.step, surface);
        self.cautions.extend(cautions::of(self.step, facts).into_iter().map(str::to_owned));
        // Nothing is wiped in a look and a feel test.
        if !matches!(self.step, Step::Look | Step::Feel) {
            let zone = cloth::zone_for(zones, cloth::use_of(self.step, surface))?;
            self.cloth_zone = zones.get(zone).map(|zone| zone.name.clone());
        }
        Ok(())
    }
}
