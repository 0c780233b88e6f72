//! The timeline picture: plan against done, a day each. Pure. With a schedule on record the plan is that; without one it is the
//! windows of the sheets, and the picture says so. Told by shape, not by colour; SVG 1.1.

use super::parts::Page;
use super::sentences::capital;
use crate::record::times;
use crate::record::views::{LayerView, ScheduleTask, TaskView};
use maud::{Markup, PreEscaped, html};
use std::fmt::Write as _;

/// A picture of each day on which something was planned or put on.
pub(super) fn timelines(page: &Page) -> Markup {
    html! { @for day in days(page) { (timeline(&day)) } }
}

/// What was planned and put on in one day in the phone's zone.
struct Day<'a> {
    name: String,
    off_min: i32,
    layers: Vec<&'a LayerView>,
    tasks: Vec<&'a TaskView>,
    /// When it was planned anew.
    anew_ms: Vec<i64>,
}

/// The offset at which a time of day was told stands in the stamp's own RFC 3339.
fn offset(rfc3339: &str) -> i32 {
    times::read_rfc3339(rfc3339).map_or(0, |(_, off_min)| off_min)
}

fn days<'a>(page: &Page<'a>) -> Vec<Day<'a>> {
    let mut days: Vec<(i64, Day)> = Vec::new();
    let at = |days: &mut Vec<(i64, Day<'a>)>, ms: i64, off_min: i32| {
        // What no calendar holds is told in the list alone.
        (ms.unsigned_abs() <= LAST_MS).then(|| {
            let name = times::day(ms, off_min);
            days.iter().position(|(_, day)| day.name == name).unwrap_or_else(|| {
                let (layers, tasks, anew_ms) = (Vec::new(), Vec::new(), Vec::new());
                days.push((ms, Day { name, off_min, layers, tasks, anew_ms }));
                days.len() - 1
            })
        })
    };
    for layer in &page.work().layers {
        let place = at(&mut days, layer.begun_ms, offset(&layer.stamp.rfc3339));
        if let Some((_, day)) = place.and_then(|place| days.get_mut(place)) {
            day.layers.push(layer);
        }
    }
    if let Some(schedule) = page.schedule() {
        let off_min = schedule.made.last().map_or(0, |it| offset(&it.stamp.rfc3339));
        for task in schedule.tasks.iter().filter(|it| it.planned) {
            let place = at(&mut days, task.from_ms, off_min);
            if let Some((_, day)) = place.and_then(|place| days.get_mut(place)) {
                day.tasks.push(task);
            }
        }
        for made in schedule.made.iter().skip(1) {
            let name = times::day(made.made_ms, off_min);
            if let Some((_, day)) = days.iter_mut().find(|(_, day)| day.name == name && !day.tasks.is_empty())
            {
                day.anew_ms.push(made.made_ms);
            }
        }
    }
    days.sort_by_key(|(ms, _)| *ms);
    days.into_iter().map(|(_, day)| day).collect()
}

impl Day<'_> {
    fn task(&self, section: &str, layer: u32, task: ScheduleTask) -> Option<&TaskView> {
        let here = |it: &&&TaskView| it.section == section && it.layer == layer && it.task == task;
        self.tasks.iter().find(here).copied()
    }

    /// Whether a schedule on record says when a layer was to be put on or levelled.
    fn plans(&self, layer: &LayerView) -> bool {
        let held = |task| self.task(&layer.section, layer.layer, task).is_some();
        held(ScheduleTask::Apply) || held(ScheduleTask::Level)
    }

    /// Sections in the order of their first appearance.
    fn sections(&self) -> Vec<&str> {
        let mut sections: Vec<&str> = Vec::new();
        let layers = self.layers.iter().map(|it| it.section.as_str());
        for section in layers.chain(self.tasks.iter().map(|it| it.section.as_str())) {
            if !sections.contains(&section) {
                sections.push(section);
            }
        }
        sections
    }
}

/// Width of the picture, units; as narrow as 320 px, so that a letter of 17 units is never below 12 px.
const WIDE: f64 = 400.0;
/// Height of a section's row: its name above its bars; with a schedule its frames lie between.
const ROW: f64 = 40.0;
const ROW_PLANNED: f64 = 52.0;
/// Height of the axis.
const AXIS: f64 = 26.0;
/// Least width of a bar that is to be seen.
const LEAST: f64 = 2.0;

fn timeline(day: &Day) -> Markup {
    let Some(axis) = Axis::of(day) else { return html! {} };
    let planned = !day.tasks.is_empty();
    let sections = day.sections();
    let row_high = if planned { ROW_PLANNED } else { ROW };
    let high = AXIS + sections.len() as f64 * row_high + 4.0;
    let mut svg = String::new();
    for (ms, text) in axis.ticks(day.off_min) {
        let (x, at) = (axis.x(ms), axis.label(ms));
        let _ = write!(svg, "<path class=\"grid\" d=\"M{x:.1} 20V{high:.0}\"/>");
        let _ =
            write!(svg, "<text class=\"time\" x=\"{at:.1}\" y=\"15\" text-anchor=\"middle\">{text}</text>");
    }
    for (left, right) in axis.gaps() {
        let middle = (left + right) / 2.0;
        let _ = write!(
            svg,
            "<path class=\"grid\" stroke-dasharray=\"3 3\" d=\"M{:.1} 20V{high:.0}M{:.1} 20V{high:.0}\"/>",
            middle - 2.0,
            middle + 2.0
        );
    }
    let mut said = Vec::new();
    for ms in &day.anew_ms {
        let x = axis.x(*ms);
        let _ = write!(svg, "<path class=\"anew\" d=\"M{x:.1} {high:.0}V18l7 3.5l-7 3.5z\"/>");
        said.push(format!("planned anew {}", times::time_of_day(*ms, day.off_min)));
    }
    for (row, section) in sections.iter().enumerate() {
        let top = AXIS + row as f64 * row_high;
        let here = || day.layers.iter().filter(|layer| layer.section == *section);
        let late = here().any(|layer| layer.late_ms > 0 || layer.early_ms > 0 || layer.open);
        let marked = if late { " \u{2022}" } else { "" };
        let _ = write!(
            svg,
            "<text class=\"section\" x=\"0\" y=\"{:.0}\">{}{marked}</text>",
            top + 16.0,
            escaped(&capital(section))
        );
        for task in day.tasks.iter().filter(|it| it.section == *section) {
            frame(&mut svg, &axis, task, top + 21.0);
            // The wait between, of which both ends are planned here.
            let level = day.task(section, task.layer, ScheduleTask::Level);
            if let Some(level) = level.filter(|_| task.task == ScheduleTask::Apply) {
                let _ = write!(
                    svg,
                    "<path class=\"grid\" d=\"M{:.1} {:.1}H{:.1}\"/>",
                    axis.x(task.to_ms),
                    top + 24.5,
                    axis.x(level.from_ms)
                );
                let (from, to) = (&task.from, &level.to);
                said.push(format!("{section}, layer {}: planned {from} to {to}", task.layer));
            }
        }
        for layer in here() {
            bars(&mut svg, &axis, layer, top + row_high - 18.0, day.plans(layer));
            said.push(format!("{}, layer {}: {}", layer.section, layer.layer, layer.state));
        }
    }
    let title = format!("Timeline of {}. {}.", day.name, said.join(". "));
    let wholly = day.layers.iter().all(|layer| layer.late_ms == 0 && layer.early_ms == 0 && !layer.open);
    let unplanned = || day.layers.iter().filter(|layer| !day.plans(layer));
    let next = unplanned().any(|layer| axis.next(layer).is_some());
    let windows = unplanned().any(|layer| layer.most_ms.unwrap_or(layer.least_ms) > 0);
    let anew: Vec<String> = day.anew_ms.iter().map(|ms| times::time_of_day(*ms, day.off_min)).collect();
    html! {
        figure.timeline {
            @if planned { p.quiet { (day.name) ": the schedule, and what was done" } }
            @else { p.quiet { (day.name) ": plan by the sheets, and what was done" } }
            svg viewBox={ "0 0 400 " (format!("{high:.0}")) } role="img" aria-label=(title) { (PreEscaped(svg)) }
            figcaption {
                @if planned { span { "Upper row, two frames and a line: planned to be put on, to wait, to be levelled." } " " }
                @if windows { span { "Dashed frame: when the sheet has it levelled." } " " }
                @if !day.layers.is_empty() { span { "Bar: from put on to levelled." } " " }
                @if next { span { "Triangle: the next layer may go on." } " " }
                @if !anew.is_empty() { span { "Line with a flag: planned anew, " (anew.join(", ")) "." } " " }
                @if axis.gaps().next().is_some() { span { "Double line: a time in which nothing waited, shortened." } " " }
                @if !wholly { span { "Dot behind a name: too late, too early, or not levelled." } }
            }
        }
    }
}

/// When a task was planned.
fn frame(svg: &mut String, axis: &Axis, task: &TaskView, top: f64) {
    let (from, to) = (axis.x(task.from_ms), axis.x(task.to_ms));
    let wide = (to - from).max(LEAST);
    let _ = write!(svg, "<path class=\"planned\" d=\"M{from:.1} {top:.1}h{wide:.1}v7h-{wide:.1}z\"/>");
}

fn bars(svg: &mut String, axis: &Axis, layer: &LayerView, top: f64, is_planned: bool) {
    let begun = axis.x(layer.begun_ms);
    let after = |ms: u64| axis.x(layer.begun_ms.saturating_add_unsigned(ms));
    let most = layer.most_ms.unwrap_or(layer.least_ms);
    if most > 0 && !is_planned {
        let (from, to) = (after(layer.least_ms), after(most));
        let wide = (to - from).max(LEAST);
        let _ = write!(svg, "<path class=\"plan\" d=\"M{from:.1} {top:.1}h{wide:.1}v12h-{wide:.1}z\"/>");
    }
    if let Some(levelled_ms) = layer.levelled_ms {
        let wide = (axis.x(levelled_ms) - begun).max(LEAST);
        let _ = write!(svg, "<path class=\"done\" d=\"M{begun:.1} {:.1}h{wide:.1}\"/>", top + 6.0);
    } else {
        let _ = write!(
            svg,
            "<path class=\"waits\" d=\"M{begun:.1} {:.1}H{:.1}\"/>",
            top + 6.0,
            after(most.max(60_000))
        );
    }
    if let Some(next_ms) = axis.next(layer).filter(|_| !is_planned) {
        let x = axis.x(next_ms);
        let _ = write!(svg, "<path class=\"next\" d=\"M{x:.1} {top:.1}l7 6l-7 6z\"/>");
    }
}

/// Least time without an open section that is shortened, milliseconds.
const IDLE_MS: i64 = 20 * 60_000;
/// Width to which it is shortened, units.
const IDLE: f64 = 36.0;
/// White right of the last bar.
const MARGIN: f64 = 12.0;
/// Least distance of two times on the axis.
const APART: f64 = 54.0;

/// The times of a day's picture: stretches in which sections were open or something was planned, at one scale, and shortened ones between them.
struct Axis {
    /// From, to, and where the stretch begins on the paper.
    stretches: Vec<(i64, i64, f64)>,
    per_ms: f64,
}

impl Axis {
    fn of(day: &Day) -> Option<Axis> {
        let mut busy: Vec<(i64, i64)> = day.layers.iter().map(|layer| open(layer)).collect();
        busy.extend(day.tasks.iter().map(|it| (it.from_ms, it.to_ms.max(it.from_ms))));
        // A minute, so that the line has room.
        busy.extend(day.anew_ms.iter().map(|ms| (*ms, ms.saturating_add(60_000))));
        busy.sort_unstable();
        let mut stretches: Vec<(i64, i64, f64)> = Vec::new();
        for (from_ms, to_ms) in busy {
            match stretches.last_mut() {
                Some(last) if from_ms.saturating_sub(last.1) < IDLE_MS => last.1 = last.1.max(to_ms),
                _ => stretches.push((from_ms, to_ms, 0.0)),
            }
        }
        let gaps = stretches.len().checked_sub(1)? as f64;
        let all_ms: i64 = stretches.iter().map(|(from_ms, to_ms, _)| to_ms - from_ms).sum();
        let per_ms = (WIDE - MARGIN - gaps * IDLE).max(WIDE / 4.0) / all_ms.max(1) as f64;
        let mut x = 0.0;
        for (from_ms, to_ms, left) in &mut stretches {
            *left = x;
            x += (*to_ms - *from_ms) as f64 * per_ms + IDLE;
        }
        Some(Axis { stretches, per_ms })
    }

    /// Where a stretch ends.
    fn right(&self, (from_ms, to_ms, left): (i64, i64, f64)) -> f64 {
        left + (to_ms - from_ms) as f64 * self.per_ms
    }

    fn x(&self, ms: i64) -> f64 {
        let mut before: Option<(i64, i64, f64)> = None;
        for stretch in &self.stretches {
            if ms < stretch.0 {
                break;
            }
            before = Some(*stretch);
        }
        let Some(stretch) = before else { return 0.0 };
        let right = self.right(stretch);
        if ms <= stretch.1 {
            return right - (stretch.1 - ms) as f64 * self.per_ms;
        }
        let next = self.stretches.iter().find(|it| it.0 > ms);
        let share = next.map_or(1.0, |next| (ms - stretch.1) as f64 / (next.0 - stretch.1) as f64);
        (right + share * IDLE).min(WIDE)
    }

    /// The shortened times, as they lie on the paper.
    fn gaps(&self) -> impl Iterator<Item = (f64, f64)> {
        self.stretches.windows(2).map(|two| (self.right(two[0]), two[1].2))
    }

    /// When the next layer may go on, if that lies in the picture.
    fn next(&self, layer: &LayerView) -> Option<i64> {
        let next_ms = layer.levelled_ms?.checked_add(i64::try_from(layer.next_ms?).ok()?)?;
        self.stretches.last().is_some_and(|last| next_ms <= last.1).then_some(next_ms)
    }

    /// Where the middle of a time of day is written: beside its line at the edges.
    fn label(&self, ms: i64) -> f64 {
        self.x(ms).clamp(APART / 2.0, WIDE - APART / 2.0)
    }

    /// Times of day at round distances, as many as have room.
    fn ticks(&self, off_min: i32) -> Vec<(i64, String)> {
        let steps = [1, 2, 5, 10, 15, 30, 60, 120, 180, 360];
        let apart = |step: &i64| (step * 60_000) as f64 * self.per_ms >= APART;
        let step_ms = steps.into_iter().find(apart).unwrap_or(720) * 60_000;
        let off_ms = i64::from(off_min) * 60_000;
        let mut ticks: Vec<(i64, String)> = Vec::new();
        for (from_ms, to_ms, _) in &self.stretches {
            let mut at = (from_ms + off_ms + step_ms - 1).div_euclid(step_ms) * step_ms - off_ms;
            while at <= *to_ms {
                if ticks.last().is_none_or(|(last, _)| self.label(at) - self.label(*last) >= APART) {
                    let text = times::time_of_day(at, off_min);
                    ticks.push((at, text.rsplit(' ').next().unwrap_or_default().to_owned()));
                }
                at += step_ms;
            }
        }
        ticks
    }
}

/// From when to when a layer takes part in the picture: at most a day.
fn open(layer: &LayerView) -> (i64, i64) {
    let from_ms = layer.begun_ms;
    let most_ms = from_ms.saturating_add_unsigned(layer.most_ms.unwrap_or(layer.least_ms).min(DAY_MS));
    let to_ms =
        most_ms.max(layer.levelled_ms.unwrap_or(most_ms)).min(from_ms.saturating_add_unsigned(DAY_MS));
    (from_ms, to_ms.max(from_ms.saturating_add(60_000)))
}

/// The end of the year 9999, UTC milliseconds.
const LAST_MS: u64 = 253_402_300_799_000;

/// A day, milliseconds.
const DAY_MS: u64 = 86_400_000;

fn escaped(text: &str) -> String {
    html! { (text) }.into_string()
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::record::views::{ScheduleMadeView, ScheduleView, StampView, TaskStage};

    /// Half past eight, UTC milliseconds.
    const BEGIN_MS: i64 = 1_780_990_200_000;

    fn stamp(text: &str) -> StampView {
        StampView {
            at_ms: BEGIN_MS,
            at: text.to_owned(),
            rfc3339: "2026-06-09T08:30:00.000+01:00".to_owned(),
            day: text.to_owned(),
            time: text.to_owned(),
            zone: text.to_owned(),
            entered_later: None,
            phone: text.to_owned(),
            recorder: Some(text.to_owned()),
            flags: vec![text.to_owned()],
        }
    }

    /// Each section one after the other, a layer an hour, planned anew after a while; every text is this one.
    pub fn schedule(text: &str, sections: u32, layers: u32) -> ScheduleView {
        let mut tasks = Vec::new();
        for (layer, section) in (0..layers).flat_map(|layer| (0..sections).map(move |it| (layer, it))) {
            let from_ms = BEGIN_MS + i64::from(layer) * 3_600_000 + i64::from(section) * 150_000;
            let lengths = [(ScheduleTask::Apply, 0, 60_000), (ScheduleTask::Level, 120_000, 150_000)];
            tasks.extend(lengths.map(|(task, from, to)| TaskView {
                panel: text.to_owned(),
                part: Some(section),
                section: if sections == 1 { text.to_owned() } else { format!("{text} {section}") },
                layer: layer + 1,
                product: text.to_owned(),
                task,
                task_text: text.to_owned(),
                who: text.to_owned(),
                from_ms: from_ms + from,
                to_ms: from_ms + to,
                from: text.to_owned(),
                to: text.to_owned(),
                planned: true,
                done_ms: None,
                off_ms: 0,
                moved_ms: Some(0),
                stage: TaskStage::ToCome,
                text: text.to_owned(),
            }));
        }
        let made = |made_ms: i64| ScheduleMadeView {
            id: text.to_owned(),
            made_ms,
            finish_ms: BEGIN_MS,
            finish: text.to_owned(),
            note: Some(text.to_owned()),
            stamp: stamp(text),
        };
        let lines = || vec![text.to_owned()];
        ScheduleView {
            id: Some(text.to_owned()),
            tasks,
            finish_ms: BEGIN_MS,
            finish: text.to_owned(),
            best: true,
            best_text: text.to_owned(),
            terms: lines(),
            late: lines(),
            changed: lines(),
            notes: lines(),
            made: vec![made(BEGIN_MS), made(BEGIN_MS + 600_000)],
            zone: text.to_owned(),
        }
    }

    /// Every number behind a letter of a path: `M` and `H` go across, the other axis does not matter here.
    fn across(svg: &str, class: &str) -> Vec<f64> {
        let lead = format!("<path class=\"{class}\" d=\"M");
        svg.split(&lead)
            .skip(1)
            .map(|rest| rest.split([' ', 'V']).next().and_then(|x| x.parse().ok()).expect("a number"))
            .collect()
    }

    #[test]
    fn seventeen_panels_and_three_layers_have_room() {
        let schedule = schedule("Panel", 17, 3);
        let day = Day {
            name: "a day".to_owned(),
            off_min: 60,
            layers: Vec::new(),
            tasks: schedule.tasks.iter().collect(),
            anew_ms: vec![schedule.made[1].made_ms],
        };
        let page = timeline(&day).into_string();
        let frames = across(&page, "planned");
        assert_eq!(frames.len(), 17 * 3 * 2);
        assert!(frames.iter().all(|x| (0.0..=WIDE - LEAST).contains(x)), "{frames:?}");
        let mut row: Vec<f64> = frames.iter().take(6).copied().collect();
        assert!(row.windows(2).all(|two| two[0] + LEAST <= two[1]), "frames of one row lie apart: {row:?}");
        row.dedup();
        assert_eq!(row.len(), 6);
        let anew = across(&page, "anew");
        assert!(anew.len() == 1 && anew[0] > frames[0], "{anew:?}");
        let times: Vec<f64> = across_texts(&page);
        assert!(times.len() >= 3 && times.windows(2).all(|two| two[1] - two[0] >= APART), "{times:?}");
    }

    fn across_texts(svg: &str) -> Vec<f64> {
        let those = svg.split("<text class=\"time\" x=\"").skip(1);
        those.map(|rest| rest.split('"').next().and_then(|x| x.parse().ok()).expect("a number")).collect()
    }
}
