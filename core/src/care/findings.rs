//! A job as it is on record, as care decides from it: what each panel is, what was felt and done there, what is agreed, what
//! was tried, and what speaks against a step. Pure; the rules are those of `contamination`, `correction` and `plan`.

use super::cloths::zones_of;
use super::contamination::{self, Did, Felt, Finding};
use super::correction::{self, Correction, Square};
use super::facts::PlanSheet;
use super::past::{Past, Visit};
use super::plan::{Agreement, Facts, Place, Work, speaks_against};
use super::surface::{Override, Refusal, paint_of, refusal};
use super::words::{Area, Step, SurfaceKind};
use crate::error::Error;
use crate::record::events::{Shop, SquareTried};
use crate::record::fold::{Item, Job, Stamp, Text};
use crate::record::thickness;
use crate::record::words::{Custody, Form, Outcome, Party, Reaction, Stage, Surface};
use crate::vehicle::{self, Class};
use uuid::Uuid;

/// After so long without a look a car counts as unwatched, milliseconds. Our choice, no source: a night, or a shift elsewhere.
pub const ABSENCE_MS: i64 = 6 * 3_600_000;

/// A job beside how the shop works.
#[derive(Debug, Clone, Copy)]
pub struct Recorded<'j> {
    /// The job.
    pub job: &'j Job,
    /// How the shop works.
    pub shop: &'j Shop,
    /// What earlier jobs of the vehicle say of its paint.
    pub past: &'j Past,
}

/// What a panel is: as recorded, or else by the vehicle's finish and the kind of part; the careful one where that says little.
pub fn surface_of(job: &Job, panel: &str) -> SurfaceKind {
    use SurfaceKind::*;
    if let Some(said) = job.treated.surface(panel) {
        return said.body.kind;
    }
    let Some(vehicle) = job.vehicle() else { return PaintUnknown };
    if vehicle.film.iter().any(|it| it == panel) {
        return Film;
    }
    match vehicle::geometry(vehicle.form).panel(panel).map(|it| it.class) {
        Some(Class::Glass) => Glass,
        Some(Class::Lamp) => Lamp,
        Some(Class::Trim) if panel.contains("soft-top") || panel.contains("top-quarter") => SoftTop,
        Some(Class::Trim) => TrimTextured,
        Some(Class::Wheel) => WheelUnknown,
        Some(Class::Tyre) if vehicle.form == Form::Motorcycle => TyreMotorcycle,
        Some(Class::Tyre) => TyreWall,
        Some(Class::Paint) => paint_of(vehicle.finish),
        None => inside(panel),
    }
}

/// What a place inside is as a rule; people slip on what is dressed here, so seat, pedals and steering wheel are themselves.
fn inside(place: &str) -> SurfaceKind {
    use SurfaceKind::*;
    match place {
        "steering-wheel" => SteeringWheel,
        "pedals" => Pedals,
        "headlining" => Headlining,
        "inside-glass" => GlassTinted,
        _ if place.contains("seat") => Seat,
        _ if place.contains("belt") => Belt,
        _ if place.contains("carpet") || place == "mats" => Carpet,
        _ => PlasticInside,
    }
}

/// What reacted; "none" beside something that did says nothing. What another phone wrote may be what this one would refuse.
fn met(reacted: &[Reaction]) -> Vec<Reaction> {
    let any = reacted.iter().any(|met| *met != Reaction::None);
    reacted.iter().copied().filter(|met| !any || *met != Reaction::None).collect()
}

/// A reading that a gauge can mean.
fn can_be(um: &u32) -> bool {
    thickness::checked(*um).is_ok()
}

/// A typed text that care only needs to know was stated.
fn stated(text: Text) -> Option<String> {
    match text {
        Text::None => None,
        Text::Here(text) => Some(text),
        Text::Gone(_) => Some("on record and not here any more".to_owned()),
    }
}

impl<'j> Recorded<'j> {
    /// What was felt and done on a panel, in order of time, with the entry that says so. The walk-around after the wash says that it
    /// was washed.
    pub fn findings(&self, panel: &str) -> Vec<(Uuid, Finding)> {
        let who = |stamp: &Stamp| match &stamp.recorder {
            Text::Here(name) => Some(name.clone()),
            _ => None,
        };
        let mut all: Vec<(&Stamp, Uuid, Finding)> = Vec::new();
        for walk in self.job.walks.iter().filter(|walk| walk.stage == Stage::AfterWash) {
            let did = Did {
                at_ms: walk.stamp.seen_ms(),
                step: Step::Wash,
                reacted: Vec::new(),
                on: Area::Panel,
                saw: None,
                who: who(&walk.stamp),
            };
            all.push((&walk.stamp, walk.id, Finding::Did(did)));
        }
        for feel in self.job.feels.iter().filter(|feel| feel.panel == panel) {
            let felt = Felt {
                at_ms: feel.stamp.seen_ms(),
                method: feel.method,
                level: feel.level,
                reacted: met(&feel.reacted),
                on: feel.on.unwrap_or(Area::Panel),
                who: who(&feel.stamp),
            };
            all.push((&feel.stamp, feel.stamp.input, Finding::Felt(felt)));
        }
        for it in self.job.treated.steps.iter().filter(|it| it.body.panels.iter().any(|on| on == panel)) {
            let did = Did {
                at_ms: it.stamp.seen_ms(),
                step: it.body.step,
                reacted: met(&it.body.reacted),
                on: it.body.on,
                saw: it.body.saw,
                who: who(&it.stamp),
            };
            all.push((&it.stamp, it.id, Finding::Did(did)));
        }
        for (step, begun, stamp) in self.coats(panel) {
            let did = Did {
                at_ms: stamp.seen_ms(),
                step,
                reacted: Vec::new(),
                on: Area::Panel,
                saw: None,
                who: who(stamp),
            };
            all.push((stamp, begun, Finding::Did(did)));
        }
        all.sort_by(|a, b| (a.0.seen_ms(), &a.0.key).cmp(&(b.0.seen_ms(), &b.0.key)));
        all.into_iter().map(|(_, id, finding)| (id, finding)).collect()
    }

    /// A test square with what was said of it since.
    pub fn square(&self, tried: &Item<SquareTried>) -> Square {
        let judged = || self.job.treated.judged_of(tried.id);
        let has =
            |photo: Option<Uuid>| photo.is_some_and(|id| self.job.photos.iter().any(|photo| photo.id == id));
        let answer = judged().rev().find_map(|it| Some((it.answer?, it.by?)));
        Square {
            step: tried.body.step,
            machine: stated(tried.text("machine")),
            pad: stated(tried.text("pad")),
            polish: stated(tried.text("polish")),
            passes: Some(tried.body.passes),
            lowest_um: judged().filter_map(|it| it.lowest_um).filter(can_be).min(),
            photo_pair: judged().any(|it| has(it.before) && has(it.after)),
            enough: judged().rev().find_map(|it| it.enough),
            // Only who speaks for the owner can say the owner's yes.
            owner: answer.filter(|(_, by)| speaks_for_the_owner(*by)).map(|(answer, _)| answer),
        }
    }

    /// A panel as polishing sees it: every reading on record, the shop's floor, the squares.
    pub fn correction(&self, panel: &str) -> Correction {
        let measured = || self.job.thickness.iter().filter(|it| it.body.panel == panel);
        let readings_um: Vec<u32> =
            measured().flat_map(|it| it.body.readings_um.clone()).filter(can_be).collect();
        let no_reading = measured().rev().find_map(|it| it.body.no_reading);
        Correction {
            surface: surface_of(self.job, panel),
            no_reading: no_reading.filter(|_| readings_um.is_empty()),
            readings_um,
            floor_um: self.shop.floor_um.filter(can_be).unwrap_or(correction::FLOOR_UM),
            squares: self.squares_on(panel).map(|it| self.square(it)).collect(),
            life: self.past.life(&Visit::of(self.job, None), panel, self.shop),
        }
    }

    /// The test squares of a panel.
    pub fn squares_on(&self, panel: &str) -> impl DoubleEndedIterator<Item = &'j Item<SquareTried>> {
        let job = self.job;
        job.treated.squares.iter().filter(move |it| it.body.panel == panel && it.body.step.is_machine())
    }

    /// What came off over the paint's life, by the readings before the first polishing that is known here and after the last; none
    /// without both.
    pub fn removal(&self, panel: &str) -> Option<correction::Lifetime> {
        self.past.removal(&Visit::of(self.job, None), panel, self.shop)
    }

    /// What is to be said of a panel from before this job.
    pub fn earlier(&self, panel: &str) -> Vec<String> {
        self.past.lines(&Visit::of(self.job, None), panel)
    }

    /// The last word on each step and panel, in order of the first one.
    pub fn agreed(&self) -> Vec<(Step, &'j str, bool)> {
        let mut all: Vec<(Step, &str, bool)> = Vec::new();
        for said in self.job.treated.agreed.iter().flat_map(|it| &it.body.steps) {
            for panel in &said.panels {
                match all.iter_mut().find(|(step, on, _)| *step == said.step && on == panel) {
                    Some(known) => known.2 = said.agreed,
                    None => all.push((said.step, panel, said.agreed)),
                }
            }
        }
        all
    }

    /// Whether an agreed step still waits to be done on a panel.
    fn waits(&self, step: Step, panel: &str) -> bool {
        let coats = self.coats(panel).into_iter().filter(|it| it.0 == step).count();
        let said = self.job.treated.steps.iter().any(|it| {
            it.body.step == step && it.body.on == Area::Panel && it.body.panels.iter().any(|on| on == panel)
        });
        let washed = step == Step::Wash && self.job.walks.iter().any(|walk| walk.stage == Stage::AfterWash);
        if !(said || washed || coats >= self.coats_wanted(step)) {
            return true;
        }
        // What sits on the paint is off when the feel says so, not when something was done.
        let touches = step.is_chemical() || step.is_clay();
        touches && contamination::next(&self.contamination(panel)).is_ok_and(|next| next.step.is_some())
    }

    fn place(&self, panel: &str, now_ms: i64) -> Place {
        let correction = self.correction(panel);
        let findings: Vec<Finding> = self.findings(panel).into_iter().map(|(_, finding)| finding).collect();
        let layers = findings.iter().filter_map(|finding| match finding {
            Finding::Did(did) if did.on == Area::Panel => Some(did.step),
            _ => None,
        });
        let mut wears = Vec::new();
        for step in layers {
            if step.is_machine() {
                wears.clear();
            } else if step.is_layer() && !wears.contains(&step) {
                wears.push(step);
            }
        }
        Place {
            place: panel.to_owned(),
            kind: correction.surface,
            sections: Vec::new(),
            clean: self.is_clean(panel),
            panel_mc: self.panel_mc(panel, now_ms),
            wears,
            findings,
            chemical_first: self.shop.chemical_first,
            readings_um: correction.readings_um,
            no_reading: correction.no_reading,
            floor_um: Some(correction.floor_um),
            squares: correction.squares,
            life: correction.life,
        }
    }

    /// As the last wash or the last look at the panel says, whichever came later; a wet panel is as clean as it was.
    fn is_clean(&self, panel: &str) -> bool {
        let washed = self.findings(panel).into_iter().rev().find_map(|(_, finding)| match finding {
            Finding::Did(did) if did.step == Step::Wash => Some(did.at_ms),
            _ => None,
        });
        let looked = self.job.answers.iter().rev().filter(|it| it.panel == panel).find_map(|it| {
            let clean = match it.surface? {
                Surface::Clean => true,
                Surface::Dusty | Surface::Dirty => false,
                Surface::Wet => return None,
            };
            Some((it.stamp.seen_ms(), clean))
        });
        match looked {
            Some((at, clean)) if washed.is_none_or(|washed| washed < at) => clean,
            _ => washed.is_some(),
        }
    }

    /// A panel as contamination sees it.
    pub fn contamination(&self, panel: &str) -> contamination::Panel {
        let agreed = self.agreed();
        let any = |what: &dyn Fn(Step) -> bool| agreed.iter().any(|it| it.1 == panel && it.2 && what(it.0));
        contamination::Panel {
            surface: surface_of(self.job, panel),
            clean: self.is_clean(panel),
            panel_mc: self.panel_mc(panel, self.job.last_at()),
            findings: self.findings(panel).into_iter().map(|(_, finding)| finding).collect(),
            agreed: contamination::Agreed {
                protection: any(&Step::is_layer),
                polish: any(&Step::is_machine),
                heavy_clay: any(&|step| step == Step::ClayHeavy),
            },
            chemical_first: self.shop.chemical_first,
        }
    }

    /// Where something is agreed, recorded, felt, done or tried, or was polished or thin before: outside in walking order, then the rest.
    pub fn panels(&self) -> Vec<&'j str> {
        let (job, treated) = (self.job, &self.job.treated);
        let mut named: Vec<&str> = Vec::new();
        named.extend(treated.surfaces.iter().map(|it| it.body.panel.as_str()));
        named.extend(self.agreed().into_iter().map(|(_, panel, _)| panel));
        named.extend(job.feels.iter().map(|it| it.panel.as_str()));
        named.extend(treated.steps.iter().flat_map(|it| &it.body.panels).map(String::as_str));
        named.extend(treated.squares.iter().map(|it| it.body.panel.as_str()));
        named.extend(treated.overrides.iter().map(|it| it.body.panel.as_str()));
        named.extend(self.past.panels(self.shop));
        let order = job.vehicle().map_or_else(Vec::new, |now| vehicle::panels_in_walking_order(now.form));
        let rank = |panel: &str| order.iter().position(|it| *it == panel).unwrap_or(order.len());
        named.sort_by_key(|panel| (rank(panel), *panel));
        named.dedup();
        named
    }

    /// The job as work to be planned: what is agreed and still waits, with what was found. A refusal counts as set aside where the
    /// record has a reason and consent for all that now speaks against the step.
    ///
    /// # Errors
    /// Findings that contradict each other.
    pub fn work(&self, now_ms: Option<i64>) -> Result<Work, Error> {
        let mut agreed: Vec<(Step, &str, bool)> = self.agreed();
        agreed.retain(|(step, panel, agreed)| *agreed && self.waits(*step, panel));
        let now_ms = now_ms.unwrap_or_else(|| self.job.last_at());
        let facts = Facts {
            after_absence: self.after_absence(now_ms),
            engine_hot: false,
            high_voltage: self.high_voltage(),
        };
        let mut work =
            Work { zones: zones_of(self.shop), facts, night: self.night(now_ms), ..Work::default() };
        let panels = self.panels().into_iter().filter(|panel| agreed.iter().any(|it| it.1 == *panel));
        work.surfaces = panels.map(|panel| self.place(panel, now_ms)).collect();
        work.notes.extend(self.read_elsewhere(&work.surfaces, now_ms));
        let mut sheets: Vec<(Step, Option<PlanSheet>)> = Vec::new();
        for (step, panel, _) in &agreed {
            if !sheets.iter().any(|it| it.0 == *step) {
                sheets.push((*step, self.plan_sheet(*step)?));
            }
            let by = sheets.iter().find(|it| it.0 == *step).and_then(|it| it.1.as_ref());
            work.agreed.push(Agreement {
                step: *step,
                on: vec![(*panel).to_owned()],
                sheet: by.map(|by| by.sheet.reference()),
                usual: by.map(|by| by.usual.clone()),
                set_aside: None,
            });
        }
        work.sheets = sheets.into_iter().filter_map(|(_, by)| Some(by?.sheet)).collect();
        // A layer may rest on a polish, clay on both: what is set aside for those counts for it.
        for rank in [Step::is_machine as fn(Step) -> bool, Step::is_layer, |step| {
            !step.is_machine() && !step.is_layer()
        }] {
            for (at, (step, panel, _)) in agreed.iter().enumerate().filter(|(_, it)| rank(it.0)) {
                let said = speaks_against(&work, panel, *step)?;
                work.agreed[at].set_aside = self.consent(panel, *step, Area::Panel, &said);
            }
        }
        // The same step in the same way on many panels is one agreement.
        let mut merged: Vec<Agreement> = Vec::new();
        for one in work.agreed {
            match merged.iter_mut().find(|it| it.step == one.step && it.set_aside == one.set_aside) {
                Some(it) => it.on.extend(one.on),
                None => merged.push(one),
            }
        }
        work.agreed = merged;
        Ok(work)
    }

    /// The consent that covers all of what speaks against a step; none when nothing does, or something is not covered.
    fn consent(&self, panel: &str, step: Step, on: Area, said: &[Refusal]) -> Option<Override> {
        let covering = self.set_aside(panel, step, on, said)?;
        let last = self.job.treated.overrides.iter().rev().find(|it| covering.contains(&it.id))?;
        let reason = stated(last.text("reason")).unwrap_or_default();
        Some(Override { reason, answer: last.body.answer, by: last.body.by })
    }

    /// The entries that set aside everything of what speaks against a step; none when something is not covered.
    pub fn set_aside(&self, panel: &str, step: Step, on: Area, said: &[Refusal]) -> Option<Vec<Uuid>> {
        let mut entries = Vec::new();
        for refusal in said {
            let covering = self.job.treated.overrides.iter().rev().find(|it| {
                let body = &it.body;
                let wide = body.on == Area::Panel || body.on == on;
                body.panel == panel && body.step == step && wide && body.warned.contains(&refusal.reason)
            })?;
            if !entries.contains(&covering.id) {
                entries.push(covering.id);
            }
        }
        Some(entries)
    }

    /// Everything that speaks against a step on a panel now: the surface, thin paint, what the findings ask for instead, a test
    /// square that is wanting.
    ///
    /// # Errors
    /// Findings that contradict each other.
    pub fn against(&self, panel: &str, step: Step, on: Area) -> Result<Vec<Refusal>, Error> {
        let mut work = self.work(None)?;
        if work.surfaces.iter().all(|it| it.place != panel) {
            work.surfaces.push(self.place(panel, self.job.last_at()));
        }
        let mut said = speaks_against(&work, panel, step)?;
        let because = |reason: String| Refusal {
            surface: surface_of(self.job, panel),
            step,
            reason,
            may_override: true,
        };
        if step.is_clay()
            && said.is_empty()
            && let Ok(next) = contamination::next(&self.contamination(panel))
            && let Some(first) = next.step
            && (first, next.on) != (step, on)
            && !(first == step && next.on == Area::Panel)
        {
            let reason = next.reason;
            said.push(because(format!("first comes {} on {}: {reason}", first.text(), next.on.text())));
        }
        if step.is_machine() && on == Area::Panel {
            let last = self.squares_on(panel).rev().find(|it| it.body.step == step);
            match last.map(|it| self.square(it)) {
                None => said.push(because(format!("{} was not tried on a test square", step.text()))),
                Some(square) if square.enough == Some(false) => {
                    said.push(because("the test square was not good enough".to_owned()));
                }
                Some(square) => {
                    let gauge_reads = self.correction(panel).no_reading.is_none();
                    let wanting = correction::wanting(&square, gauge_reads);
                    if !wanting.is_empty() {
                        said.push(because(format!("of the test square is wanting: {}", wanting.join("; "))));
                    }
                }
            }
        }
        Ok(said)
    }

    /// What is on a panel and does not take the step, though the panel does: it is kept off.
    pub fn keep_off(&self, panel: &str, step: Step) -> Vec<Refusal> {
        let also = self.job.treated.surface(panel).map_or(&[][..], |said| &said.body.also);
        also.iter().filter_map(|kind| refusal(*kind, step)).collect()
    }

    /// Whether nobody watched the car since it was last looked at: it came back from someone else, somebody else had the keys over a
    /// night, or the last look is long ago.
    fn after_absence(&self, now_ms: i64) -> bool {
        let job = self.job;
        let answers = job.answers.iter().filter(|it| it.outcome != Outcome::NotLooked).map(|it| &it.stamp);
        let looks = job.looks.iter().map(|it| &it.stamp);
        let fresh = job.treated.steps.iter().filter(|it| it.body.step == Step::Look).map(|it| &it.stamp);
        let marks = job.marks.iter().filter_map(|it| it.first()).map(|it| &it.stamp);
        let looked = answers.chain(looks).chain(fresh).chain(marks).map(Stamp::seen_ms).max();
        let begun = job.walks.first().map(|walk| walk.stamp.seen_ms());
        let Some(looked) = looked.or(begun) else { return true };
        let back = |what: Custody, from: Party, to: Party| {
            what != Custody::Keys && to == Party::Detailer && from != Party::Detailer
        };
        let came_back = job.custody.iter().any(|it| {
            back(it.body.what, it.body.from, it.body.to)
                && it.stamp.seen_ms() > looked
                && Some(looked) != begun
        });
        came_back || self.keys_were_away(looked, now_ms) || now_ms.saturating_sub(looked) > ABSENCE_MS
    }
}

/// Whether a party can agree for the owner.
pub fn speaks_for_the_owner(by: Party) -> bool {
    matches!(by, Party::Owner | Party::Agent | Party::FleetContact)
}
