//! What a job's record says of its surfaces: what each panel is, what was felt and done there, what comes next and why. Pure.

use super::aftercare::time_text;
use super::cloths::{cloths, zones_of};
use super::contamination::{self, Finding};
use super::correction;
use super::findings::{Recorded, surface_of};
use super::plan::{Plan, Planned};
use super::recorded::sheet_of;
use super::surface::Refusal;
use super::told::product_text;
use super::words::{Area, Step, Tool};
use crate::error::Error;
use crate::record::fold::Stamp;
use crate::record::views::{
    ClothView, DroppedView, NextStepView, OverrideView, PanelTreatedView, PlanView, PlannedView, RefusalView,
    Speech, TreatedLineView, TreatedView, cloth_name, consent, dropped, warned,
};
use crate::record::words::Party;
use uuid::Uuid;

impl Recorded<'_> {
    /// Everything on record about the surfaces.
    ///
    /// # Errors
    /// Findings that contradict each other.
    pub fn view(&self, speech: Speech) -> Result<TreatedView, Error> {
        let panels = self.panels().into_iter().map(|panel| self.panel_view(panel, speech));
        let treated = &self.job.treated;
        let overrides = treated.overrides.iter().map(|it| OverrideView {
            id: it.id.to_string(),
            panel: it.body.panel.clone(),
            text: self.text(it.body.step, it.body.on, &it.body.panel, speech),
            warned: it.body.warned.clone(),
            reason: speech.typed(&it.text("reason")),
            consent: consent(speech, &it.body),
            stamp: speech.stamp(self.job, &it.stamp),
        });
        let fallen = treated.put_out.iter().map(|it| DroppedView {
            id: it.id.to_string(),
            panel: it.body.panel.clone(),
            text: dropped(self.job, it, speech),
            cloth: it.body.cloth.map(|id| cloth_name(self.job, id, speech)),
            open: self.job.waits_for_a_look(it),
            stamp: speech.stamp(self.job, &it.stamp),
        });
        let mut agreed: Vec<(Step, bool, Option<Party>, Vec<String>)> = Vec::new();
        for (step, panel, yes) in self.agreed() {
            let said = treated.agreed.iter().rev().find(|it| {
                it.body.steps.iter().any(|said| said.step == step && said.panels.iter().any(|on| on == panel))
            });
            let by = said.map(|it| it.body.by);
            match agreed.iter_mut().find(|it| (it.0, it.1, it.2) == (step, yes, by)) {
                Some(it) => it.3.push(speech.panel(panel)),
                None => agreed.push((step, yes, by, vec![speech.panel(panel)])),
            }
        }
        let agreed = agreed.into_iter().map(|(step, yes, by, panels)| {
            let not = if yes { "agreed" } else { "not agreed" };
            let by = by.map(|by| format!(", by {}", speech.word("party", by.word()))).unwrap_or_default();
            format!("{not}{by}: {} on the {}", speech.word("step", step.word()), panels.join(", "))
        });
        Ok(TreatedView {
            panels: panels.collect::<Result<_, _>>()?,
            earlier: self.past.told(),
            agreed: agreed.collect(),
            agreed_notes: treated.agreed.iter().filter_map(|it| speech.typed(&it.text("note"))).collect(),
            overrides: overrides.collect(),
            cloths: self.cloth_views(speech),
            dropped: fallen.collect(),
        })
    }

    /// What speaks against a step on a panel, and what of it is set aside.
    ///
    /// # Errors
    /// Findings that contradict each other.
    pub fn refusals(
        &self,
        panel: &str,
        step: Step,
        on: Area,
        speech: Speech,
    ) -> Result<Vec<RefusalView>, Error> {
        let against = self.against(panel, step, on)?;
        Ok(against.into_iter().map(|refusal| self.refusal_view(panel, on, refusal, speech)).collect())
    }

    fn refusal_view(&self, panel: &str, on: Area, refusal: Refusal, speech: Speech) -> RefusalView {
        let said = std::slice::from_ref(&refusal);
        let set_aside = self.set_aside(panel, refusal.step, on, said).is_some();
        let surface = speech.word("surface-kind", refusal.surface.word());
        let step = speech.word("step", refusal.step.word());
        RefusalView {
            surface: refusal.surface,
            step: refusal.step,
            text: format!("{step} on {surface}: {}", refusal.reason),
            may_override: refusal.may_override,
            set_aside: refusal.may_override && set_aside,
            reason: refusal.reason,
        }
    }

    /// `machine polishing on the bonnet`
    fn text(&self, step: Step, on: Area, panel: &str, speech: Speech) -> String {
        let (step, panel) = (speech.word("step", step.word()), speech.panel(panel));
        match on {
            Area::Panel => format!("{step} on the {panel}"),
            Area::TestSquare => format!("{step} on the {panel}, {}", speech.word("area", on.word())),
        }
    }

    fn panel_view(&self, panel: &str, speech: Speech) -> Result<PanelTreatedView, Error> {
        let surface = surface_of(self.job, panel);
        let findings = self.findings(panel);
        let said = self.job.treated.surface(panel);
        let agreed = |what: &dyn Fn(Step) -> bool| {
            self.agreed().iter().any(|(step, on, yes)| *yes && *on == panel && what(*step))
        };
        let touches = |step: Step| step.is_chemical() || step.is_clay();
        let met = |finding: &Finding| match finding {
            Finding::Felt(_) => true,
            Finding::Did(did) => touches(did.step),
        };
        let next = match findings.iter().any(|(_, finding)| met(finding)) || agreed(&touches) {
            true => Some(self.next_view(panel, &findings, speech)?),
            false => None,
        };
        let polish = match self.squares_on(panel).next().is_some() || agreed(&Step::is_machine) {
            true => Some(self.polish_view(panel, speech)?),
            false => None,
        };
        let also = said.map_or(&[][..], |it| &it.body.also);
        Ok(PanelTreatedView {
            panel: panel.to_owned(),
            panel_name: speech.panel(panel),
            surface,
            surface_text: speech.word("surface-kind", surface.word()),
            surface_recorded: said.is_some(),
            keep_off: also.iter().map(|kind| speech.word("surface-kind", kind.word())).collect(),
            note: said.and_then(|it| speech.typed(&it.text("note"))),
            history: self.history(panel, findings, speech),
            next,
            polish,
            removal: self.removal(panel).map(|it| it.text),
            earlier: self.earlier(panel),
        })
    }

    fn history(&self, panel: &str, findings: Vec<(Uuid, Finding)>, speech: Speech) -> Vec<TreatedLineView> {
        let job = self.job;
        let made = |id: Uuid| -> Option<(&Stamp, Vec<String>)> {
            if let Some(it) = job.treated.steps.iter().find(|it| it.id == id) {
                let product = speech.typed(&it.text("product")).map(|product| format!("with {product}"));
                return Some((
                    &it.stamp,
                    product.into_iter().chain(speech.typed(&it.text("note"))).collect(),
                ));
            }
            let coat = job.work.layers.iter().find(|it| it.id == id);
            if let (Some(coat), Some(levelled)) = (coat, job.work.levelling(id)) {
                let sheet = job.work.sheets.iter().find(|it| it.id == coat.body.sheet).map(sheet_of);
                return Some((&levelled.stamp, vec![format!("with {}", product_text(sheet.as_ref()))]));
            }
            if let Some(it) = job.feels.iter().find(|it| it.stamp.input == id) {
                return Some((&it.stamp, speech.typed(&it.note).into_iter().collect()));
            }
            job.walk(id).map(|walk| (&walk.stamp, Vec::new()))
        };
        let (ids, findings): (Vec<Uuid>, Vec<Finding>) = findings.into_iter().unzip();
        let told = contamination::Panel { findings, ..self.contamination(panel) }.history(speech.locale);
        let mut all: Vec<(&Stamp, TreatedLineView)> = Vec::new();
        // The whole car was washed; that is worth a line only where something was done with it.
        let of_the_car =
            ids.iter().all(|id| job.walk(*id).is_some()) && self.squares_on(panel).next().is_none();
        let ids = if of_the_car { Vec::new() } else { ids };
        for (id, line) in ids.into_iter().zip(told) {
            // Nobody saw the wash itself: the walk-around after it says that it was washed.
            let text = match job.walk(id) {
                Some(_) => "washed, says the walk-around after the wash".to_owned(),
                None => line.text,
            };
            if let Some((stamp, typed)) = made(id) {
                all.push((stamp, self.line(id, text, typed, stamp, speech)));
            }
        }
        for tried in self.squares_on(panel) {
            let square = self.square(tried);
            let mut text = format!("{}, tried on a test square", speech.word("step", tried.body.step.word()));
            let mut typed = Vec::new();
            for role in ["machine", "pad", "polish"] {
                typed.extend(speech.typed(&tried.text(role)).map(|text| format!("{role}: {text}")));
            }
            typed.extend(speech.typed(&tried.text("note")));
            let passes = if tried.body.passes == 1 { "pass" } else { "passes" };
            text.push_str(&format!(", {} {passes}", tried.body.passes));
            text.extend(square.lowest_um.map(|um| format!("; lowest reading afterwards {um} µm")));
            text.push_str(if square.photo_pair { "; pair of photos" } else { "" });
            text.push_str(match square.enough {
                Some(true) => "; good enough",
                Some(false) => "; not good enough",
                None => "",
            });
            let owner = square.owner.map(|answer| speech.word("owner-answer", answer.word()));
            text.extend(owner.map(|answer| format!("; the owner's answer: {answer}")));
            all.push((&tried.stamp, self.line(tried.id, text, typed, &tried.stamp, speech)));
        }
        all.sort_by(|a, b| (a.0.seen_ms(), &a.0.key).cmp(&(b.0.seen_ms(), &b.0.key)));
        all.into_iter().map(|(_, line)| line).collect()
    }

    fn line(
        &self,
        id: Uuid,
        text: String,
        typed: Vec<String>,
        stamp: &Stamp,
        speech: Speech,
    ) -> TreatedLineView {
        TreatedLineView { entry: id.to_string(), text, typed, stamp: speech.stamp(self.job, stamp) }
    }

    fn next_view(
        &self,
        panel: &str,
        findings: &[(Uuid, Finding)],
        speech: Speech,
    ) -> Result<NextStepView, Error> {
        let next = contamination::next(&self.contamination(panel))?;
        let rests_on = next.rests_on.and_then(|at| findings.get(at)).map(|(id, _)| id.to_string());
        let mut how = next.how;
        if let Some(step) = next.step {
            let off = self.keep_off(panel, step);
            how.extend(off.iter().map(|it| {
                let what = speech.word("surface-kind", it.surface.word());
                format!("Keep off {what}: {}.", it.reason)
            }));
        }
        let mut refused: Vec<RefusalView> =
            next.refused.map(|it| self.refusal_view(panel, next.on, it, speech)).into_iter().collect();
        if let Some(step) = next.step {
            refused.extend(self.refusals(panel, step, next.on, speech)?);
        }
        Ok(NextStepView {
            step: next.step,
            on: next.on,
            text: self.next_text(next.step, next.on, panel, speech),
            as_good: next.or,
            reason: next.reason,
            rests_on,
            first: next.first,
            how,
            refused,
            protect_again: next.protect_again,
        })
    }

    fn polish_view(&self, panel: &str, speech: Speech) -> Result<NextStepView, Error> {
        let next = correction::next(&self.correction(panel))?;
        let rests_on = self.squares_on(panel).next_back().map(|it| it.id.to_string());
        let refused = match next.step {
            Some(step) => self.refusals(panel, step, next.on, speech)?,
            None => Vec::new(),
        };
        Ok(NextStepView {
            step: next.step,
            on: next.on,
            text: self.next_text(next.step, next.on, panel, speech),
            as_good: Vec::new(),
            reason: next.reason,
            rests_on,
            first: next.first,
            how: next.notes,
            refused,
            protect_again: false,
        })
    }

    fn next_text(&self, step: Option<Step>, on: Area, panel: &str, speech: Speech) -> String {
        match step {
            Some(step) => self.text(step, on, panel, speech),
            None => format!("nothing more on the {}", speech.panel(panel)),
        }
    }

    fn cloth_views(&self, speech: Speech) -> Vec<ClothView> {
        let zones = zones_of(self.shop);
        let taken =
            |id: Uuid| self.job.treated.cloths.iter().filter(move |it| it.body.cloth.unwrap_or(it.id) == id);
        let all = cloths(self.job, self.shop);
        let view = |held: super::cloths::Held| ClothView {
            id: held.id.to_string(),
            tool: held.tool,
            name: held.cloth.name,
            zone: (held.tool != Tool::Pad)
                .then(|| zones.get(held.cloth.zone).map(|zone| zone.name.clone()))
                .flatten(),
            panel: taken(held.id).next_back().map(|it| it.body.panel.clone()).unwrap_or_default(),
            out: held.cloth.out,
            warned: taken(held.id).flat_map(|it| warned(it, speech)).collect(),
        };
        all.into_iter().map(view).collect()
    }
}

/// A plan, to read.
pub fn plan_view(plan: &Plan, speech: Speech) -> PlanView {
    let kept = plan.kept_back.iter().map(|it| {
        let step = speech.word("step", it.refusal.step.word());
        format!("{step} on the {}: {}", speech.panel(&it.place), it.refusal.reason)
    });
    PlanView {
        steps: plan.steps.iter().map(|step| planned_view(step, speech)).collect(),
        kept_back: kept.collect(),
        notes: plan.notes.clone(),
    }
}

fn planned_view(planned: &Planned, speech: Speech) -> PlannedView {
    let step = speech.word("step", planned.step.word());
    // Exact: a section that is to come off after 150 s is late after 3 min.
    let lasted = time_text;
    let mut lines: Vec<String> = Vec::new();
    if !planned.reason.is_empty() {
        lines.push(planned.reason.clone());
    }
    lines.extend(
        planned.sheet.as_ref().map(|it| format!("By the sheet of {}, version {}.", it.name, it.version)),
    );
    if !planned.needs.is_empty() {
        let needs: Vec<&str> = planned.needs.iter().map(|need| need.text()).collect();
        lines.push(format!("The surface must be {}.", needs.join(", ")));
    }
    if let Some(after) = &planned.after {
        let most = after.most_s.map(|most_s| format!(", at most {}", lasted(most_s))).unwrap_or_default();
        let before = speech.word("step", after.step.word());
        lines.push(format!("At least {} after {before}{most}.", lasted(after.least_s)));
    }
    match (planned.dwell_least_s, planned.dwell_most_s) {
        (Some(least_s), Some(most_s)) => {
            lines.push(format!("Off after {} to {}.", lasted(least_s), lasted(most_s)));
        }
        (Some(least_s), None) => lines.push(format!("Off after {} or more.", lasted(least_s))),
        (None, _) => {}
    }
    lines.extend(planned.ask.iter().chain(&planned.night).chain(&planned.how).cloned());
    if !planned.usual.is_empty() {
        lines.push(
            "Times and limits are common practice, no source: the product's sheet goes before them."
                .to_owned(),
        );
    }
    PlannedView {
        step: planned.step,
        text: planned.coat.map_or(step.clone(), |coat| format!("{step}, coat {coat}")),
        on: planned.on.iter().map(|on| speech.panel(&on.place)).collect::<Vec<_>>().join(", "),
        panels: planned.on.iter().map(|on| on.place.clone()).collect(),
        added: planned.added,
        lines,
        cautions: planned.cautions.clone(),
        cloth_zone: planned.cloth_zone.clone(),
    }
}
