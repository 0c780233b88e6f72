//! What a job's record says about light: its looks, what could have been seen stage by stage, and what earlier looks say to
//! marks that were found after them. Pure; texts ready to read.
//!
//! The words are: could have been seen, if the looks were made as stated. Never: would have been.

use super::blank::{Asked, fault_of, last_that_could};
use super::body::{Body, body};
use super::heading::wrapped;
use super::lines::WALL_DEG;
use super::look::{Hindrance, Look, shown_under};
use super::recorded::{Recorded, looks, seen_in};
use super::seen::{PanelShare, Seen};
use super::{BINS, MODEL_VERSION};
use crate::record::fold::{Job, Mark, Version};
use crate::record::inputs::Spot;
use crate::record::views::{BlankView, LookView, MarkBlanksView, SeenPanelView, SeenStageView, Speech};
use crate::record::words::{Fault, Form, HeadingFrom, Light, MarkKind, Stage};
use crate::vehicle::{norm, panels_in_walking_order, sub};
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// A stage's hatching on the panel map: one stroke a patch where at least half of the directions of fine lines could have been seen, two
/// crossing ones where nearly all could.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hatch {
    /// The panel.
    pub panel: &'static str,
    /// The middle of the patch.
    pub at: Spot,
    /// Whether it was seen from both sides.
    pub crossing: bool,
}

/// Everything about light in a job, computed anew from its log.
pub struct Account<'j> {
    form: Form,
    job: &'j Job,
    looks: Vec<Recorded<'j>>,
    /// What was seen, by stage: computed when it is first asked for.
    stages: OnceCell<Vec<(Stage, Seen)>>,
    speech: Speech,
}

/// So many directions of twelve are one stroke.
const HALF: u32 = BINS as u32 / 2;
/// So many are crossing strokes: nearly all.
const NEARLY_ALL: u32 = BINS as u32 - 1;
/// How near a mark is to be to count as being at a place, metres. Our choice, no source.
const NEAR_M: f64 = 0.03;

impl<'j> Account<'j> {
    /// Reads the looks; none for a job that was not opened here. A job without looks costs nothing.
    pub fn of(job: &'j Job, speech: Speech) -> Option<Account<'j>> {
        let form = job.vehicle()?.form;
        let looks = if job.looks.is_empty() { Vec::new() } else { looks(body(form), job) };
        Some(Account { form, job, looks, stages: OnceCell::new(), speech })
    }

    /// The body that it is computed for.
    pub fn body(&self) -> &'static Body<'static> {
        body(self.form)
    }

    fn stages(&self) -> &[(Stage, Seen)] {
        self.stages.get_or_init(|| {
            let made = |stage: &&Stage| self.looks.iter().any(|look| look.stage == Some(**stage));
            let seen = |stage: &Stage| (*stage, seen_in(self.body(), &self.looks, *stage, WALL_DEG));
            Stage::ALL.iter().filter(made).map(seen).collect()
        })
    }

    /// What has been seen in a stage; nothing where no look was made.
    pub fn seen_in(&self, stage: Stage) -> Seen {
        let found = self.stages().iter().find(|(it, _)| *it == stage);
        found.map_or_else(|| Seen::nothing(self.body()), |(_, seen)| seen.clone())
    }

    /// The looks, to show.
    pub fn look_views(&self) -> Vec<LookView> {
        self.looks.iter().map(|it| self.look_view(it)).collect()
    }

    fn look_view(&self, recorded: &Recorded) -> LookView {
        let (item, speech) = (recorded.item, self.speech);
        let made = &item.body;
        let mut how =
            vec![speech.word("light", made.light.word()), speech.word("way-of-looking", made.way.word())];
        how.extend(made.distance.map(|word| speech.word("distance", word.word())));
        how.extend(made.surface.map(|word| format!("surface {}", speech.word("surface", word.word()))));
        how.extend(made.ambient.map(|word| speech.word("ambient", word.word())));
        how.extend(made.spent_ms.map(|ms| format!("for {} s", ms / 1_000)));
        LookView {
            id: item.id.to_string(),
            stage_text: speech.stage(self.job, made.walk),
            light: made.light,
            text: how.join(", "),
            shows: self.shows(made.light, &recorded.look),
            panels: made.panels.iter().map(|panel| speech.panel(panel)).collect(),
            heading: made.heading.map(|heading| {
                format!(
                    "the front pointed to about {}°, within {}°, {}",
                    (heading.mdeg + 500) / 1_000,
                    heading.plus_minus_mdeg.div_ceil(1_000),
                    speech.word("heading-from", heading.from.word())
                )
            }),
            sensed: !made.sweep.is_empty(),
            note: speech.typed(&item.text("note")),
            flags: self.headings_apart(recorded),
            stamp: speech.stamp(self.job, &item.stamp),
        }
    }

    /// A second glare checks the first: what two of them say of the heading has to agree.
    fn headings_apart(&self, recorded: &Recorded) -> Vec<String> {
        let glare = |it: &Recorded| it.item.body.heading.filter(|heading| heading.from == HeadingFrom::Glare);
        let Some(own) = glare(recorded) else { return Vec::new() };
        let before = self
            .looks
            .iter()
            .take_while(|it| it.item.id != recorded.item.id)
            .filter_map(|it| Some((it, glare(it)?)));
        let apart = before.filter_map(|(it, other)| {
            let degrees = wrapped((f64::from(own.mdeg) - f64::from(other.mdeg)) / 1_000.0).abs();
            let allowed = f64::from(own.plus_minus_mdeg + other.plus_minus_mdeg) / 1_000.0;
            (degrees > allowed).then_some((it, degrees))
        });
        let last = apart.last().map(|(it, degrees)| {
            let stamp = self.speech.stamp(self.job, &it.item.stamp);
            format!(
                "the sun's image says that the vehicle points {degrees:.0}° from where it pointed in the look of {}: it \
                 was moved, or one of the touches is off",
                stamp.time
            )
        });
        last.into_iter().collect()
    }

    /// What a look could have shown, in words.
    fn shows(&self, light: Light, look: &Result<Look, Hindrance>) -> String {
        let speech = self.speech;
        let reason = |why: &Hindrance| speech.word("hindrance", why.word());
        let look = match look {
            Err(why) => return format!("counts as not seen: {}", reason(why)),
            Ok(look) => look,
        };
        let (mut shown, mut not, mut whys) = (Vec::new(), Vec::new(), Vec::new());
        for fault in shown_under(light) {
            let hinders = look.hinders(*fault);
            let name = self.fault(*fault);
            if hinders.is_empty() {
                shown.push(name);
            } else {
                not.push(name);
                for why in hinders.iter().map(reason) {
                    if !whys.contains(&why) {
                        whys.push(why);
                    }
                }
            }
        }
        match (shown.is_empty(), whys.is_empty()) {
            (true, true) => "counts as not seen: it was dark".to_owned(),
            (true, false) => format!("counts as not seen: {}", whys.join("; ")),
            (false, true) => {
                format!("could have shown, where light and eye were right: {}", shown.join(", "))
            }
            (false, false) => format!(
                "could have shown, where light and eye were right: {}; not {}: {}",
                shown.join(", "),
                not.join(", "),
                whys.join("; ")
            ),
        }
    }

    /// A kind of fault in a word or two.
    fn fault(&self, fault: Fault) -> String {
        self.speech.word("shows-as", fault.word())
    }

    /// How much of each panel that was looked at could have been seen, stage by stage, in walking order.
    pub fn shares(&self) -> Vec<(Stage, Vec<PanelShare>)> {
        let order = panels_in_walking_order(self.form);
        let of = |(stage, seen): &(Stage, Seen)| {
            let looks = self.looks.iter().filter(|it| it.stage == Some(*stage));
            let looked: BTreeSet<&str> =
                looks.flat_map(|it| &it.item.body.panels).map(String::as_str).collect();
            let shares = seen.shares(self.body());
            let panels = order
                .iter()
                .filter(|id| looked.contains(**id))
                .filter_map(|id| shares.iter().find(|share| share.panel == *id))
                .copied();
            (*stage, panels.collect())
        };
        self.stages().iter().map(of).collect()
    }

    /// What could have been seen, stage by stage.
    pub fn seen_views(&self) -> Vec<SeenStageView> {
        let view = |(stage, shares): (Stage, Vec<PanelShare>)| {
            let looks = self.looks.iter().filter(|it| it.stage == Some(stage)).count();
            let panels = shares
                .iter()
                .map(|share| SeenPanelView {
                    panel: share.panel.to_owned(),
                    panel_name: self.speech.panel(share.panel),
                    fine_line_ppm: share.fine_line_ppm,
                    haze_ppm: share.haze_ppm,
                    tone_ppm: share.tone_ppm,
                    proud_ppm: share.proud_ppm,
                    shape_ppm: share.shape_ppm,
                    text: self.line(&|fault| share.ppm(fault)),
                })
                .collect();
            SeenStageView {
                stage,
                stage_text: self.speech.word("stage", stage.word()),
                looks: looks as u32,
                model: MODEL_VERSION,
                wall_deg: WALL_DEG as u32,
                panels,
            }
        };
        self.shares().into_iter().map(view).collect()
    }

    /// One line on a panel: what could have been seen, and what no look could have shown.
    fn line(&self, ppm: &dyn Fn(Fault) -> u32) -> String {
        let (mut some, mut none) = (Vec::new(), Vec::new());
        for fault in Fault::ALL {
            let name = self.fault(*fault);
            match (ppm(*fault), fault) {
                (0, _) => none.push(name),
                (share, Fault::FineLine) => some.push(format!("{name} {}{}", how_much(share), sides(share))),
                (share, _) => some.push(format!("{name} {}", how_much(share))),
            }
        }
        match (some.is_empty(), none.is_empty()) {
            (true, _) => "no look could have shown anything here".to_owned(),
            (false, true) => format!("could have been seen: {}", some.join("; ")),
            (false, false) => {
                format!(
                    "could have been seen: {}; no look could have shown {}",
                    some.join("; "),
                    none.join(", ")
                )
            }
        }
    }

    /// A stage's hatching.
    pub fn hatches(&self, stage: Stage) -> Vec<Hatch> {
        let Some((_, seen)) = self.stages().iter().find(|(it, _)| *it == stage) else { return Vec::new() };
        let mut all = Vec::new();
        for (number, panel) in self.body().geometry.panels.iter().enumerate() {
            let own = seen.patches.get(self.body().first[number]..).unwrap_or_default();
            for (patch, shown) in panel.patches.iter().zip(own) {
                let directions = shown.twelfths(Fault::FineLine);
                if directions >= HALF {
                    let at = Spot { u_ppm: patch.u_ppm, v_ppm: patch.v_ppm };
                    all.push(Hatch { panel: panel.id, at, crossing: directions >= NEARLY_ALL });
                }
            }
        }
        all
    }

    /// What the looks of each stage say to every mark that was recorded after them.
    pub fn blanks(&self) -> Vec<MarkBlanksView> {
        if self.looks.is_empty() {
            return Vec::new();
        }
        let of = |mark: &Mark| {
            let (first, now) = (mark.first()?, mark.current()?);
            let stages = self.stages_on(&PlaceAsked::of(now)?, Some((mark, first)));
            (!stages.is_empty()).then(|| MarkBlanksView { mark: mark.id.to_string(), stages })
        };
        self.job.marks.iter().filter_map(of).collect()
    }

    /// What each stage says to a place, for a mark that is asked about: the looks before it was recorded, if it is one of this
    /// record.
    pub fn stages_on(&self, asked: &PlaceAsked, mark: Option<(&Mark, &Version)>) -> Vec<BlankView> {
        let fault = fault_of(asked.kind);
        let mut walked: Vec<Stage> = Vec::new();
        for walk in &self.job.walks {
            if mark.is_none_or(|(_, first)| walk.stamp.key < first.stamp.key) && !walked.contains(&walk.stage)
            {
                walked.push(walk.stage);
            }
        }
        walked.sort();
        let found_in = mark.and_then(|(mark, _)| mark.walk_stage(self.job));
        walked
            .into_iter()
            .filter(|stage| found_in != Some(*stage))
            .map(|stage| self.stage_on(stage, asked, fault, mark))
            .collect()
    }

    fn stage_on(
        &self,
        stage: Stage,
        asked: &PlaceAsked,
        fault: Option<Fault>,
        mark: Option<(&Mark, &Version)>,
    ) -> BlankView {
        let speech = self.speech;
        let when = speech.word("stage", stage.word());
        let near = self.job.marks.iter().find(|it| {
            let other = mark.is_none_or(|(own, _)| own.id != it.id);
            other && it.walk_stage(self.job) == Some(stage) && self.is_near(it, asked, fault)
        });
        if let Some(near) = near {
            let stamp =
                near.first().map(|first| speech.stamp(self.job, &first.stamp).time).unwrap_or_default();
            let text = format!("{when}: mark {} was recorded near that place, {stamp}", near.label);
            return BlankView { stage, look: None, mark: Some(near.label.clone()), text };
        }
        let Some(fault) = fault else {
            let text = format!("{when}: no mark was recorded there; this kind of mark is not told by light");
            return BlankView { stage, look: None, mark: None, text };
        };
        let before: Vec<(&Recorded, &Look)> = self
            .looks
            .iter()
            .filter(|it| it.stage == Some(stage))
            .filter(|it| mark.is_none_or(|(_, first)| it.item.stamp.key < first.stamp.key))
            .filter(|it| it.item.body.panels.contains(&asked.panel))
            .filter_map(|it| Some((it, it.look.as_ref().ok()?)))
            .collect();
        let only: Vec<&Look> = before.iter().map(|(_, look)| *look).collect();
        let question = Asked {
            panel: &asked.panel,
            u_ppm: asked.at.u_ppm,
            v_ppm: asked.at.v_ppm,
            to_ppm: asked.to.map(|to| (to.u_ppm, to.v_ppm)),
            fault,
            size_m: asked.size_um.map(|um| f64::from(um) / 1e6),
            wall_deg: WALL_DEG,
        };
        match last_that_could(self.body(), &only, &question).and_then(|at| before.get(at)) {
            Some((look, _)) => {
                let stamp = speech.stamp(self.job, &look.item.stamp);
                let text = format!(
                    "{when}: could have been seen in the look of {} ({}), if it was made as stated; no mark was recorded there",
                    stamp.time,
                    speech.word("light", look.item.body.light.word())
                );
                BlankView { stage, look: Some(look.item.id.to_string()), mark: None, text }
            }
            None => {
                let text = format!("{when}: no look on record could have shown it");
                BlankView { stage, look: None, mark: None, text }
            }
        }
    }

    /// Whether a mark is at a place, and told by the same light.
    fn is_near(&self, mark: &Mark, asked: &PlaceAsked, fault: Option<Fault>) -> bool {
        let Some(now) = mark.current() else { return false };
        let what = &now.description;
        if what.panel != asked.panel || fault_of(what.kind) != fault {
            return false;
        }
        let places = |from: Spot, to: Option<Spot>| {
            let ends = [Some(from), to];
            ends.into_iter()
                .flatten()
                .filter_map(|at| self.body().site(&asked.panel, at.u_ppm, at.v_ppm))
                .collect::<Vec<_>>()
        };
        let (own, theirs) = (places(asked.at, asked.to), places(what.from, what.to));
        own.iter().any(|a| theirs.iter().any(|b| norm(sub(a.place.at, b.place.at)) <= NEAR_M))
    }
}

/// A mark that is asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceAsked {
    /// The panel.
    pub panel: String,
    /// Where on it, or where its stroke begins.
    pub at: Spot,
    /// Where its stroke ends.
    pub to: Option<Spot>,
    /// What it is.
    pub kind: MarkKind,
    /// Its size, micrometres.
    pub size_um: Option<u32>,
}

impl PlaceAsked {
    /// A mark as it is on record; none for what light does not tell.
    fn of(version: &Version) -> Option<PlaceAsked> {
        let what = &version.description;
        fault_of(what.kind)?;
        Some(PlaceAsked {
            panel: what.panel.clone(),
            at: what.from,
            to: what.to.filter(|to| *to != what.from),
            kind: what.kind,
            size_um: what.length_um.or(what.width_um),
        })
    }
}

/// `all`, `about 60 %`, `less than 1 %`.
fn how_much(ppm: u32) -> String {
    match ppm {
        995_000.. => "all".to_owned(),
        5_000.. => format!("about {} %", (ppm + 5_000) / 10_000),
        _ => "less than 1 %".to_owned(),
    }
}

/// Whether lines of nearly every direction are in.
fn sides(ppm: u32) -> &'static str {
    if ppm >= 900_000 { ", from both sides" } else { ", not yet from both sides" }
}
