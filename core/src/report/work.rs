//! The parts of a report on the work: what was put on, when, with what and in which conditions; a timeline of plan against done;
//! the aftercare. Pure; SVG 1.1.

use super::parts::{Page, flags, moment};
use super::sentences::capital;
use crate::record::times;
use crate::record::views::{ConditionsView, LayerView, SheetView};
use maud::{Markup, PreEscaped, html};
use std::fmt::Write as _;

/// What was done, when, with what, in which conditions.
pub(super) fn work(page: &Page) -> Markup {
    let work = page.work();
    html! {
        @if !work.layers.is_empty() || !work.sheets.is_empty() || !work.conditions.is_empty() {
            section {
                h2 { "What was put on" }
                @for day in days(page) { (timeline(&day)) }
                @if !work.layers.is_empty() {
                    ul.answers { @for layer in &work.layers { (layer_line(page, layer)) } }
                }
                @if !work.conditions.is_empty() {
                    h3 { "Conditions" }
                    ul.answers { @for read in &work.conditions { (conditions(page, read)) } }
                }
                @if !work.lots.is_empty() {
                    h3 { "Lots" }
                    ul {
                        @for lot in &work.lots {
                            li {
                                bdi { (lot.product) } ": lot " bdi { (lot.lot) }
                                @for line in &lot.lines { ", " (line) }
                            }
                        }
                    }
                }
                @if !work.sheets.is_empty() {
                    h3 { "Product sheets" }
                    @for sheet in &work.sheets { (sheet_block(sheet)) }
                }
            }
        }
    }
}

fn layer_line(page: &Page, layer: &LayerView) -> Markup {
    let who = page.work().layers.iter().any(|other| other.who != layer.who);
    html! {
        li {
            strong { (capital(&layer.section)) ", layer " (layer.layer) }
            span.how {
                bdi { (capital(&layer.product)) }
                @if let Some(lot) = &layer.lot { ", lot " bdi { (lot) } }
                "; "
                @if layer.open || layer.late_ms > 0 || layer.early_ms > 0 { span.stop { bdi { (layer.state) } } }
                @else { bdi { (layer.state) } }
                @if who { "; put on by " bdi { (layer.who) } }
                @for note in &layer.notes { br; (capital(note)) }
                @if let Some(later) = &layer.stamp.entered_later { br; strong { (capital(later)) } }
                @for flag in &layer.stamp.flags { br; span.stop { (capital(flag)) } }
            }
            span.when { (moment(page, &layer.stamp)) }
        }
    }
}

fn conditions(page: &Page, read: &ConditionsView) -> Markup {
    html! {
        li {
            strong { (capital(&read.place)) }
            span.how {
                (capital(&read.text))
                @if let Some(note) = &read.note { "; " bdi { (note) } }
                @for note in &read.notes { br; span.stop { bdi { (capital(note)) } } }
                @for line in &read.continued { br; bdi { (capital(line)) } }
                @if let Some(later) = &read.stamp.entered_later { br; strong { (capital(later)) } }
                @for flag in &read.stamp.flags { br; span.stop { (capital(flag)) } }
            }
            span.when { (moment(page, &read.stamp)) }
        }
    }
}

fn sheet_block(sheet: &SheetView) -> Markup {
    html! {
        div.entry {
            p.terms {
                strong { bdi { (sheet.product) } } ", version " (sheet.version) ", for " (sheet.kind_text) ". "
                (capital(&sheet.lines.join("; "))) "."
            }
            @for text in &sheet.typed { p { bdi { (text) } } }
            @if let Some(usual) = &sheet.usual { p.quiet { (capital(usual)) "." } }
            @if let Some(newer) = &sheet.newer { p { (capital(newer)) "." } }
            (flags(&sheet.stamp))
        }
    }
}

/// What to keep off until when, what to do, when to look again.
pub(super) fn aftercare(page: &Page) -> Markup {
    let work = page.work();
    html! {
        @if !work.aftercare.is_empty() {
            section.aftercare {
                h2 { "Aftercare" }
                ul {
                    @for line in &work.aftercare {
                        li {
                            @if line.wait.is_some() { strong { (line.text) } } @else { (line.text) }
                            @if let Some(because) = &line.because { br; span.quiet { bdi { (because) } } }
                        }
                    }
                }
                @if !work.look_again.is_empty() {
                    h3 { "Suggested dates" }
                    ul {
                        @for look in &work.look_again {
                            li {
                                (look.from_text) " to " (look.by_text) ": " bdi { (look.text) }
                                br; span.quiet { bdi { (capital(&look.reasons.join("; "))) "." } }
                            }
                        }
                    }
                    p.quiet {
                        "How long a layer lasts hangs on use, washing, heat, salt and season. These dates are suggestions and promise nothing."
                    }
                }
                @for note in &work.notes { p { bdi { (capital(note)) } } }
                p.quiet { "Times of day are those of " (work.zone) "." }
            }
        }
    }
}

/// The layers of one day in the phone's zone.
struct Day<'a> {
    name: String,
    off_min: i32,
    layers: Vec<&'a LayerView>,
}

fn days<'a>(page: &Page<'a>) -> Vec<Day<'a>> {
    let mut days: Vec<Day> = Vec::new();
    for layer in &page.work().layers {
        // What no calendar holds is told in the list alone.
        if layer.begun_ms.unsigned_abs() > LAST_MS {
            continue;
        }
        // The offset at which a time of day was told stands in the stamp's own RFC 3339.
        let off_min = times::read_rfc3339(&layer.stamp.rfc3339).map_or(0, |(_, off_min)| off_min);
        let name = times::day(layer.begun_ms, off_min);
        match days.iter_mut().find(|day| day.name == name) {
            Some(day) => day.layers.push(layer),
            None => days.push(Day { name, off_min, layers: vec![layer] }),
        }
    }
    days
}

/// Width of the picture, units; as narrow as 320 px, so that a letter of 17 units is never below 12 px.
const WIDE: f64 = 400.0;
/// Height of a section's row: its name above its bars.
const ROW: f64 = 40.0;
/// Height of the axis.
const AXIS: f64 = 26.0;
/// Least width of a bar that is to be seen.
const LEAST: f64 = 2.0;

/// Plan against done: a frame is when the sheet has a section levelled, a bar how long it waited, a triangle when the next layer may
/// go on. Told by shape, not by colour.
fn timeline(day: &Day) -> Markup {
    let Some(axis) = Axis::of(day) else { return html! {} };
    let mut sections: Vec<&str> = Vec::new();
    for layer in &day.layers {
        if !sections.contains(&layer.section.as_str()) {
            sections.push(&layer.section);
        }
    }
    let high = AXIS + sections.len() as f64 * ROW + 4.0;
    let mut svg = String::new();
    for (ms, text) in axis.ticks(day.off_min) {
        let x = axis.x(ms);
        let anchor = if x > WIDE - 30.0 {
            "end"
        } else if x < 30.0 {
            "start"
        } else {
            "middle"
        };
        let _ = write!(svg, "<path class=\"grid\" d=\"M{x:.1} 20V{high:.0}\"/>");
        let _ =
            write!(svg, "<text class=\"time\" x=\"{x:.1}\" y=\"15\" text-anchor=\"{anchor}\">{text}</text>");
    }
    let mut said = Vec::new();
    for (row, section) in sections.iter().enumerate() {
        let top = AXIS + row as f64 * ROW;
        let here = || day.layers.iter().filter(|layer| layer.section == *section);
        let late = here().any(|layer| layer.late_ms > 0 || layer.early_ms > 0 || layer.open);
        let marked = if late { " \u{2022}" } else { "" };
        let _ = write!(
            svg,
            "<text class=\"section\" x=\"0\" y=\"{:.0}\">{}{marked}</text>",
            top + 16.0,
            escaped(&capital(section))
        );
        for layer in here() {
            bars(&mut svg, &axis, layer, top + 22.0);
            said.push(format!("{}, layer {}: {}", layer.section, layer.layer, layer.state));
        }
    }
    let title = format!("Timeline of {}. {}.", day.name, said.join(". "));
    for (left, right) in axis.gaps() {
        let middle = (left + right) / 2.0;
        let _ = write!(
            svg,
            "<path class=\"grid\" stroke-dasharray=\"3 3\" d=\"M{:.1} 20V{high:.0}M{:.1} 20V{high:.0}\"/>",
            middle - 2.0,
            middle + 2.0
        );
    }
    let wholly = day.layers.iter().all(|layer| layer.late_ms == 0 && layer.early_ms == 0 && !layer.open);
    let next = day.layers.iter().any(|layer| axis.next(layer).is_some());
    html! {
        figure.timeline {
            p.quiet { (day.name) ": plan by the sheets, and what was done" }
            svg viewBox={ "0 0 400 " (format!("{high:.0}")) } role="img" aria-label=(title) { (PreEscaped(svg)) }
            figcaption {
                span { "Frame: when the sheet has it levelled." } " "
                span { "Bar: from put on to levelled." } " "
                @if next { span { "Triangle: the next layer may go on." } " " }
                @if axis.gaps().next().is_some() { span { "Double line: a time in which nothing waited, shortened." } " " }
                @if !wholly { span { "Dot behind a name: too late, too early, or not levelled." } }
            }
        }
    }
}

fn bars(svg: &mut String, axis: &Axis, layer: &LayerView, top: f64) {
    let begun = axis.x(layer.begun_ms);
    let after = |ms: u64| axis.x(layer.begun_ms.saturating_add_unsigned(ms));
    let most = layer.most_ms.unwrap_or(layer.least_ms);
    if most > 0 {
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
    if let Some(next_ms) = axis.next(layer) {
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

/// The times of a day's picture: stretches in which sections were open, at one scale, and shortened ones between them.
struct Axis {
    /// From, to, and where the stretch begins on the paper.
    stretches: Vec<(i64, i64, f64)>,
    per_ms: f64,
}

impl Axis {
    fn of(day: &Day) -> Option<Axis> {
        let mut busy: Vec<(i64, i64)> = day.layers.iter().map(|layer| open(layer)).collect();
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
                if ticks.last().is_none_or(|(last, _)| self.x(at) - self.x(*last) >= APART) {
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
