//! What is to be done on one surface: each agreed step with its sheet, or why it is kept back. Pure.

use super::{Agreement, KeptBack, Place, Plan, Work};
use crate::care::contamination::{self, Finding};
use crate::care::correction;
use crate::care::sheet::{self, Sheet, SheetRef};
use crate::care::surface::{self, Refusal, refusal};
use crate::care::words::{Area, Step};
use crate::error::Error;

/// What is to be done on one surface, with its sheet and what of that is only usual; in the order of steps.
#[derive(Debug, Default)]
pub(super) struct Chosen(pub(super) Vec<(Step, Option<SheetRef>, Sheet, Vec<String>)>);

impl Chosen {
    pub(super) fn of(work: &Work, place: &Place, plan: &mut Plan) -> Result<Self, Error> {
        let mut chosen = Self::default();
        let on_place = |(_, agreement): &(usize, &Agreement)| agreement.on.contains(&place.place);
        let mut agreed: Vec<(usize, &Agreement)> = work.agreed.iter().enumerate().filter(on_place).collect();
        // A layer may rest on a polish, clay on both: what was kept back holds nothing up.
        agreed.sort_by_key(|(_, agreement)| match agreement.step {
            step if step.is_machine() => 0,
            step if step.is_layer() => 1,
            _ => 2,
        });
        for (number, agreement) in agreed {
            let step = agreement.step;
            let field = format!("agreed[{number}].sheet");
            let own = match &agreement.sheet {
                None => None,
                Some(kept) => {
                    let standing = sheet::standing(&work.sheets, kept, &field)?;
                    if standing.sheet.kind != step {
                        let kind = standing.sheet.kind.text();
                        return Err(Error::refused(field, format!("\"{}\" is for {kind}", kept.name)));
                    }
                    if let Some(edited) = standing.edited
                        && !plan.notes.contains(&edited)
                    {
                        plan.notes.push(edited);
                    }
                    Some(standing.sheet)
                }
            };
            let mut goes_on = true;
            for refusal in against(place, step, own, &chosen) {
                match (surface::may_go_on(&refusal, agreement.set_aside.as_ref()), &agreement.set_aside) {
                    (Ok(()), Some(set_aside)) => plan.notes.push(format!(
                        "{} on {}, although {}: {}",
                        step.text(),
                        place.place,
                        refusal.reason,
                        set_aside.reason.trim()
                    )),
                    (refused, set_aside) => {
                        let wanting =
                            refused.err().filter(|_| set_aside.is_some()).map(|error| error.to_string());
                        plan.kept_back.push(KeptBack { place: place.place.clone(), refusal, wanting });
                        goes_on = false;
                    }
                }
            }
            if !goes_on {
                continue;
            }
            let (sheet, usual) = match (own, &agreement.usual) {
                (Some(own), Some(usual)) => (own.clone(), usual.clone()),
                (own, _) => {
                    let filled = sheet::fill(own.unwrap_or(&Sheet::blank("", step)))?;
                    (filled.sheet, filled.usual.iter().map(|name| (*name).to_owned()).collect())
                }
            };
            chosen.0.push((step, agreement.sheet.clone(), sheet, usual));
        }
        chosen.0.sort_by_key(|(step, ..)| *step);
        Ok(chosen)
    }

    pub(super) fn any(&self, what: impl Fn(Step) -> bool) -> bool {
        self.0.iter().any(|(step, ..)| what(*step))
    }
}

/// Everything that speaks against a step on a surface as the work stands, whether the step is agreed or not; nothing for a
/// surface that is not among the work's.
pub fn speaks_against(work: &Work, place: &str, step: Step) -> Result<Vec<Refusal>, Error> {
    let own = work.agreed.iter().find(|it| it.step == step && it.on.iter().any(|on| on == place));
    let own = own.and_then(|it| it.sheet.as_ref());
    let own = own.and_then(|kept| work.sheets.iter().find(|it| it.reference() == *kept));
    let Some(place) = work.surfaces.iter().find(|it| it.place == place) else { return Ok(Vec::new()) };
    let mut aside = Plan { steps: Vec::new(), kept_back: Vec::new(), now: Vec::new(), notes: Vec::new() };
    let agreed = Chosen::of(work, place, &mut aside)?;
    Ok(against(place, step, own, &agreed))
}

/// Everything that speaks against a step on a surface: the surface itself, the sheet, what is on it, what was found. Each
/// has to be set aside by itself.
fn against(place: &Place, step: Step, own: Option<&Sheet>, agreed: &Chosen) -> Vec<Refusal> {
    let mut found: Vec<Refusal> = refusal(place.kind, step).into_iter().collect();
    let because = |reason: String| Refusal { surface: place.kind, step, reason, may_override: true };
    if let Some(own) = own.filter(|own| own.is_for(place.kind) == Some(false)) {
        found.push(because(format!("the sheet of \"{}\" does not name {}", own.name, place.kind.text())));
    }
    let polished = agreed.any(Step::is_machine);
    let holds_on_wax = matches!(step, Step::Wax | Step::TyreDressing) || !step.is_layer();
    if place.wears.contains(&Step::Wax) && !holds_on_wax && !polished {
        found.push(because("wax is on it and nothing holds on wax: agree on what takes it off".to_owned()));
    }
    if step.is_machine() {
        found.extend(place.correction().speaks_against(step));
    }
    // Never as routine: what was felt last decides. Where the surface refuses clay anyway, that was said.
    if step.is_clay() && found.is_empty() {
        if let Ok(next) = contamination::next(&place.contamination(&Chosen::default()))
            && next.step.is_none()
        {
            found.push(match next.refused {
                Some(failing) => Refusal { surface: place.kind, step, ..failing },
                None => because(format!("the feel test says: {}", next.reason)),
            });
        }
        if !agreed.any(Step::is_layer) {
            found.push(because("clay takes protection off, and none is agreed after it".to_owned()));
        }
        if step != Step::ClayFine && !polished {
            found.push(because(
                "this clay marks paint, and no machine polishing is agreed after it".to_owned(),
            ));
        }
    }
    found
}

impl Place {
    pub(super) fn contamination(&self, agreed: &Chosen) -> contamination::Panel {
        contamination::Panel {
            surface: self.kind,
            clean: self.clean,
            panel_mc: self.panel_mc,
            findings: self.findings.clone(),
            agreed: contamination::Agreed {
                protection: agreed.any(Step::is_layer),
                polish: agreed.any(Step::is_machine),
                heavy_clay: agreed.any(|step| step == Step::ClayHeavy),
            },
            chemical_first: self.chemical_first,
        }
    }

    pub(super) fn correction(&self) -> correction::Correction {
        correction::Correction {
            surface: self.kind,
            readings_um: self.readings_um.clone(),
            no_reading: self.no_reading,
            floor_um: self.floor_um.unwrap_or(correction::FLOOR_UM),
            squares: self.squares.clone(),
            life: self.life.clone(),
        }
    }

    /// Whether a step was done since the last wash.
    pub(super) fn has_had(&self, step: Step) -> bool {
        let did = |finding: &Finding, step: Step| matches!(finding, Finding::Did(did) if did.step == step);
        self.findings.iter().rev().take_while(|it| !did(it, Step::Wash)).any(|it| did(it, step))
    }

    /// Coats of a step that are on, those under a later polishing left out.
    pub(super) fn coats_on(&self, step: Step) -> usize {
        let done = self.findings.iter().rev().filter_map(|it| match it {
            Finding::Did(did) if did.on == Area::Panel => Some(did.step),
            _ => None,
        });
        done.take_while(|done| !done.is_machine()).filter(|done| *done == step).count()
    }
}
