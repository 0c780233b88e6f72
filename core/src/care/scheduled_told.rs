//! What is shown of a schedule: plan against done, and what changed against the schedule before. Pure.

use super::clocks::{Moment, Trail};
use super::cure;
use super::recorded::{moment, sheets};
use super::scheduled::{begun, moments, people, task_of};
use super::sheet::Sheet;
use super::told::{passed_text, product_text, section_text};
use crate::log::seal::Draft;
use crate::record::events::{Body, LayerBegun, ScheduleMade, short_log};
use crate::record::fold::{Item, Job, Stamp};
use crate::record::times;
use crate::record::views::{ScheduleMadeView, ScheduleTask, ScheduleView, Speech, TaskStage, TaskView};
use uuid::Uuid;

/// The schedule that counts beside what was done: at a moment, with times by its wall clock, so that setting a clock moves nothing;
/// without one, as the phones' clocks had them, and what is not done is to come.
pub fn schedule_view(job: &Job, now: Option<&Moment>, zone: &str, speech: Speech) -> Option<ScheduleView> {
    let moments = moments(job);
    let told = Told::new(job, now, &moments, zone, speech);
    let last = job.work.schedules.last()?;
    let plan = told.plan(last);
    Some(told.view(&plan, Some(last)))
}

/// A schedule that is not on record, as a draft has it.
pub fn tried_view(
    job: &Job,
    draft: &Draft,
    now: &Moment,
    zone: &str,
    speech: Speech,
) -> Option<ScheduleView> {
    let Body::ScheduleMade(made) = &draft.body else { return None };
    let names = draft.typed.iter().find(|(role, _)| *role == "people");
    let people = names.and_then(|(_, it)| serde_json::from_value(it.clone()).ok()).unwrap_or_default();
    let moments = moments(job);
    let told = Told::new(job, Some(now), &moments, zone, speech);
    let plan = PlanMade { made, people, base_ms: now.utc_ms };
    Some(told.view(&plan, None))
}

/// A schedule with its names, and where its times count from.
struct PlanMade<'a> {
    made: &'a ScheduleMade,
    people: Vec<String>,
    base_ms: i64,
}

/// A task as it was planned.
struct Planned {
    who: String,
    from_ms: i64,
    to_ms: i64,
}

impl PlanMade<'_> {
    fn task(&self, place: (&str, Option<u32>, u32), task: ScheduleTask) -> Option<Planned> {
        let (layer, it) = task_of(self.made, place, task)?;
        let length_s = match task {
            ScheduleTask::Apply => layer.apply_s,
            ScheduleTask::Level => layer.level_s,
        };
        let from_ms = self.at_ms(it.from_s);
        Some(Planned {
            who: usize::try_from(it.by).ok().and_then(|by| self.people.get(by)).cloned().unwrap_or_default(),
            from_ms,
            to_ms: from_ms.saturating_add(i64::from(length_s) * 1_000),
        })
    }

    fn at_ms(&self, s: i64) -> i64 {
        self.base_ms.saturating_add(s.saturating_mul(1_000))
    }

    fn finish_ms(&self) -> i64 {
        self.at_ms(self.made.finish_s)
    }
}

struct Told<'a> {
    job: &'a Job,
    sheets: Vec<(Uuid, Sheet)>,
    now: Option<(&'a Moment, Trail<'a>)>,
    zone: &'a str,
    speech: Speech,
}

impl<'a> Told<'a> {
    fn new(
        job: &'a Job,
        now: Option<&'a Moment>,
        moments: &'a [Moment],
        zone: &'a str,
        speech: Speech,
    ) -> Self {
        let now = now.map(|now| (now, Trail::new(moments.iter().chain([now]))));
        Self { job, sheets: sheets(job), now, zone, speech }
    }

    /// When an entry was made by the wall clock as it stands now, and whether that is sure.
    fn at(&self, stamp: &Stamp) -> (i64, bool) {
        let Some((now, trail)) = &self.now else { return (stamp.seen_ms(), true) };
        let passed = trail.elapsed(&moment(self.job, stamp), now);
        (now.utc_ms.saturating_sub_unsigned(passed.ms), passed.sure)
    }

    fn plan<'m>(&self, item: &'m Item<ScheduleMade>) -> PlanMade<'m> {
        PlanMade { made: &item.body, people: people(item), base_ms: self.at(&item.stamp).0 }
    }

    /// `Tue 08:37:30`: seconds, because levelling is a matter of seconds; rounded up, so that nothing is said to be over early.
    fn time(&self, ms: i64) -> String {
        let s = ms.div_euclid(1_000) + i64::from(ms.rem_euclid(1_000) > 0);
        match cure::local(s.saturating_mul(1_000), self.zone) {
            Ok(at) => {
                let day: String = at.day.chars().take(3).collect();
                format!("{day} {}:{:02}", at.time, s.rem_euclid(60))
            }
            Err(_) => times::spoken(ms, 0, "UTC"),
        }
    }

    fn view(&self, plan: &PlanMade, own: Option<&Item<ScheduleMade>>) -> ScheduleView {
        let schedules = &self.job.work.schedules;
        let earlier: Vec<PlanMade> = schedules
            .iter()
            .rev()
            .filter(|it| own.is_none_or(|own| own.id != it.id))
            .map(|it| self.plan(it))
            .collect();
        let replaced = schedules.iter().find(|it| Some(it.id) == plan.made.replaces);
        let before =
            replaced.or_else(|| schedules.iter().rev().find(|it| own.is_some_and(|own| own.id != it.id)));
        let before = before.map(|it| self.plan(it));
        let mut tasks = Vec::new();
        let mut notes = self.notes(plan, own);
        for section in &plan.made.sections {
            for (number, layer) in (1_u32..).zip(&section.layers) {
                let place = (section.panel.as_str(), section.part, number);
                let begun = begun(self.job, &section.panel, section.part, number);
                let product = self.product(begun.map_or(layer.sheet, |it| it.body.sheet));
                for task in [ScheduleTask::Apply, ScheduleTask::Level] {
                    let planned =
                        plan.task(place, task).or_else(|| earlier.iter().find_map(|it| it.task(place, task)));
                    let length_s = match task {
                        ScheduleTask::Apply => layer.apply_s,
                        ScheduleTask::Level => layer.level_s,
                    };
                    let seen = self.task(place, &product, task, i64::from(length_s) * 1_000, planned, begun);
                    let Some(mut seen) = seen else { continue };
                    let moved =
                        plan.task(place, task).zip(before.as_ref().and_then(|it| it.task(place, task)));
                    seen.moved_ms = moved.map(|(now, then)| now.from_ms - then.from_ms);
                    tasks.push(seen);
                }
            }
        }
        tasks.sort_by_key(|it| (it.from_ms, it.to_ms));
        if self.now.is_some() {
            self.next(&mut tasks);
        }
        let changed = before.as_ref().map(|it| self.changed(it, plan)).unwrap_or_default();
        if own.is_none() {
            notes.insert(0, "not recorded yet".to_owned());
        }
        ScheduleView {
            id: own.map(|it| it.id.to_string()),
            tasks,
            finish_ms: plan.finish_ms(),
            finish: self.time(plan.finish_ms()),
            best: plan.made.best,
            best_text: match plan.made.best {
                true => "shown to be the earliest",
                false => "the earliest that was found",
            }
            .to_owned(),
            terms: self.terms(plan),
            late: self.late(plan),
            changed,
            notes,
            made: self.made(),
            zone: self.zone.to_owned(),
        }
    }

    fn product(&self, sheet: Uuid) -> String {
        product_text(self.sheets.iter().find(|(id, _)| *id == sheet).map(|(_, sheet)| sheet))
    }

    /// A task of the schedule; none if it is neither planned nor on record, because what was on record was taken back.
    fn task(
        &self,
        (panel, part, layer): (&str, Option<u32>, u32),
        product: &str,
        task: ScheduleTask,
        length_ms: i64,
        planned: Option<Planned>,
        begun: Option<&Item<LayerBegun>>,
    ) -> Option<TaskView> {
        let levelled = begun.and_then(|it| self.job.work.levelling(it.id));
        let done = match task {
            ScheduleTask::Apply => begun.map(|it| (&it.stamp, it.text("who"))),
            ScheduleTask::Level => levelled.map(|it| (&it.stamp, it.text("who"))),
        };
        let done_ms = done.as_ref().map(|(stamp, _)| self.at(stamp).0);
        let (is_planned, planned) = match (planned, done) {
            (Some(planned), _) => (true, planned),
            (None, Some((stamp, text))) => {
                let at_ms = self.at(stamp).0;
                let (from_ms, to_ms) = match task {
                    ScheduleTask::Apply => (at_ms, at_ms.saturating_add(length_ms)),
                    ScheduleTask::Level => (at_ms.saturating_sub(length_ms), at_ms),
                };
                let named = self.speech.typed(&text).or_else(|| self.speech.typed(&stamp.recorder));
                let who = named.unwrap_or_else(|| format!("phone {}", short_log(stamp.log())));
                (false, Planned { who, from_ms, to_ms })
            }
            (None, None) => return None,
        };
        // What is put on is on record with its first stroke, what is levelled with its end.
        let due_ms = if task == ScheduleTask::Apply { planned.from_ms } else { planned.to_ms };
        let now_ms = self.now.as_ref().map(|(now, _)| now.utc_ms);
        let is_late = now_ms.is_some_and(|now_ms| now_ms > planned.to_ms);
        let running = |at_ms: i64| {
            let on = task == ScheduleTask::Apply && levelled.is_none();
            on && now_ms.is_some_and(|now_ms| now_ms < at_ms.saturating_add(length_ms))
        };
        let (stage, off_ms) = match (done_ms, now_ms) {
            (Some(at_ms), _) if running(at_ms) => (TaskStage::Running, at_ms - due_ms),
            (Some(at_ms), _) => (TaskStage::Done, at_ms - due_ms),
            (None, Some(now_ms)) if is_late => (TaskStage::Late, now_ms - planned.to_ms),
            (None, _) => (TaskStage::ToCome, 0),
        };
        let off_ms = if is_planned { off_ms } else { 0 };
        Some(TaskView {
            panel: panel.to_owned(),
            part,
            section: section_text(self.speech, panel, part),
            layer,
            product: product.to_owned(),
            task,
            task_text: match task {
                ScheduleTask::Apply => "put on",
                ScheduleTask::Level => "level",
            }
            .to_owned(),
            who: planned.who,
            from: self.time(planned.from_ms),
            to: self.time(planned.to_ms),
            from_ms: planned.from_ms,
            to_ms: planned.to_ms,
            planned: is_planned,
            done_ms,
            off_ms,
            moved_ms: None,
            stage,
            text: match (stage, is_planned) {
                (TaskStage::Done, true) => format!("done {}", off_text(off_ms)),
                (TaskStage::Running, true) => format!("being put on, begun {}", off_text(off_ms)),
                (TaskStage::Done | TaskStage::Running, false) => "done before it was planned".to_owned(),
                (TaskStage::Late, _) => format!("{} late", passed_text(off_ms.unsigned_abs())),
                (TaskStage::Next | TaskStage::ToCome, _) => "to come".to_owned(),
            },
        })
    }

    /// Of each person the first task that is neither done nor late.
    fn next(&self, tasks: &mut [TaskView]) {
        let mut known: Vec<String> = Vec::new();
        for task in tasks.iter_mut() {
            if task.stage == TaskStage::ToCome && !known.contains(&task.who) {
                known.push(task.who.clone());
                task.stage = TaskStage::Next;
                task.text = "next".to_owned();
            }
        }
    }

    fn terms(&self, plan: &PlanMade) -> Vec<String> {
        let person = |(name, from_s): (&String, &i64)| match *from_s {
            ..=0 => name.clone(),
            from_s => format!("{name} from {}", self.time(plan.at_ms(from_s))),
        };
        let people: Vec<String> = plan.people.iter().zip(&plan.made.people_from_s).map(person).collect();
        let mut terms = vec![people.join(", ")];
        terms.push(match plan.made.open_limit {
            1 => "one section open at a time each".to_owned(),
            most => format!("at most {most} sections open at a time each"),
        });
        if plan.people.len() > 1 {
            let by = if plan.made.hand_over { "another may level it" } else { "who puts it on levels it" };
            terms.push(by.to_owned());
        }
        if plan.made.late_allowed {
            terms.push("a window that runs already may be missed".to_owned());
        }
        terms
    }

    fn late(&self, plan: &PlanMade) -> Vec<String> {
        let line = |it: &crate::record::events::WindowMissed| {
            let section = plan.made.sections.get(usize::try_from(it.section).ok()?)?;
            let place = section_text(self.speech, &section.panel, section.part);
            let (what, layer) = if it.next_layer { ("put on", it.layer + 1) } else { ("levelled", it.layer) };
            let late = passed_text(it.late_s.unsigned_abs().saturating_mul(1_000));
            Some(format!("{place}: layer {layer} is {what} {late} too late by its sheet"))
        };
        plan.made.late.iter().filter_map(line).collect()
    }

    /// What changed between two schedules.
    fn changed(&self, then: &PlanMade, now: &PlanMade) -> Vec<String> {
        let mut lines = Vec::new();
        // Whole seconds, because the planning itself reckons with them.
        let by_ms = (now.finish_ms() - then.finish_ms()) / 1_000 * 1_000;
        let (finish, was) = (self.time(now.finish_ms()), self.time(then.finish_ms()));
        lines.push(match by_ms {
            0 => format!("finished at the same time, {finish}"),
            _ => format!("finished {finish} instead of {was}, {}", by_text(by_ms)),
        });
        let only = |these: &[String], those: &[String]| -> Vec<String> {
            these.iter().filter(|it| !those.contains(it)).cloned().collect()
        };
        let (come, gone) = (only(&now.people, &then.people), only(&then.people, &now.people));
        lines.extend((!come.is_empty()).then(|| format!("with {}", come.join(", "))));
        lines.extend((!gone.is_empty()).then(|| format!("without {}", gone.join(", "))));
        let sections = |it: &PlanMade| -> Vec<String> {
            let all = it.made.sections.iter();
            all.map(|it| section_text(self.speech, &it.panel, it.part)).collect()
        };
        let (more, fewer) = (only(&sections(now), &sections(then)), only(&sections(then), &sections(now)));
        lines.extend((!more.is_empty()).then(|| format!("added: {}", more.join(", "))));
        lines.extend((!fewer.is_empty()).then(|| format!("left out: {}", fewer.join(", "))));
        let (mut both, mut moved, mut most_ms, mut other) = (0, 0, 0_i64, 0);
        for section in &now.made.sections {
            for (number, _) in (1_u32..).zip(&section.layers) {
                for task in [ScheduleTask::Apply, ScheduleTask::Level] {
                    let place = (section.panel.as_str(), section.part, number);
                    let Some((new, old)) = now.task(place, task).zip(then.task(place, task)) else {
                        continue;
                    };
                    let by_ms = (new.from_ms - old.from_ms) / 1_000 * 1_000;
                    both += 1;
                    moved += usize::from(by_ms != 0);
                    most_ms = if by_ms.abs() > most_ms.abs() { by_ms } else { most_ms };
                    other += usize::from(new.who != old.who);
                }
            }
        }
        if moved > 0 {
            lines
                .push(format!("{moved} of {both} tasks begin at another time, at most {}", by_text(most_ms)));
        }
        if other > 0 {
            lines.push(format!("{other} of {both} tasks are another person's"));
        }
        lines
    }

    fn notes(&self, plan: &PlanMade, own: Option<&Item<ScheduleMade>>) -> Vec<String> {
        let mut notes = Vec::new();
        if own.is_some_and(|own| !self.at(&own.stamp).1) {
            notes.push(
                "a clock was set back since it was made: more time may have passed than is reckoned here"
                    .to_owned(),
            );
        }
        let layers = || plan.made.sections.iter().flat_map(|it| &it.layers);
        let mut edited: Vec<&Sheet> = Vec::new();
        for (_, sheet) in self.sheets.iter().filter(|(id, _)| layers().any(|it| it.sheet == *id)) {
            let newer = self.sheets.iter().any(|(_, it)| it.name == sheet.name && it.version > sheet.version);
            if newer && !edited.contains(&sheet) {
                edited.push(sheet);
                notes.push(format!(
                    "{} was edited since; the schedule goes by version {}",
                    sheet.name, sheet.version
                ));
            }
        }
        let held = |it: &&Item<LayerBegun>| {
            let section =
                plan.made.sections.iter().find(|at| at.panel == it.body.panel && at.part == it.body.part);
            section
                .is_some_and(|at| usize::try_from(it.body.layer).is_ok_and(|layer| layer <= at.layers.len()))
        };
        let since = |it: &&Item<LayerBegun>| own.is_some_and(|own| it.stamp.key > own.stamp.key) && !held(it);
        notes.extend(self.job.work.layers.iter().filter(since).map(|it| {
            let section = section_text(self.speech, &it.body.panel, it.body.part);
            format!("put on and not in the schedule: {section}, layer {}", it.body.layer)
        }));
        notes
    }

    /// Every schedule on record.
    fn made(&self) -> Vec<ScheduleMadeView> {
        let all = &self.job.work.schedules;
        let view = |(at, item): (usize, &Item<ScheduleMade>)| {
            let plan = self.plan(item);
            let before = at.checked_sub(1).and_then(|before| all.get(before));
            // It came in between without knowing of the one before, or that one of it.
            let apart =
                before.filter(|it| item.body.replaces != Some(it.id) && it.stamp.log() != item.stamp.log());
            ScheduleMadeView {
                id: item.id.to_string(),
                made_ms: plan.base_ms,
                finish_ms: plan.finish_ms(),
                finish: self.time(plan.finish_ms()),
                note: apart.map(|it| {
                    format!(
                        "made on phone {} without knowing of the one of phone {}; both stand, the newest counts",
                        short_log(item.stamp.log()),
                        short_log(it.stamp.log())
                    )
                }),
                stamp: self.speech.stamp(self.job, &item.stamp),
            }
        };
        all.iter().enumerate().map(view).collect()
    }
}

/// `as planned`, `20 s later than planned`.
fn off_text(off_ms: i64) -> String {
    match off_ms / 1_000 {
        0 => "as planned".to_owned(),
        _ => format!("{} than planned", by_text(off_ms)),
    }
}

/// `20 s later`, `2 min earlier`.
fn by_text(ms: i64) -> String {
    let way = if ms < 0 { "earlier" } else { "later" };
    format!("{} {way}", passed_text(ms.unsigned_abs()))
}
