//! The parts of a report on the work: what was put on, when, with what and in which conditions; the schedule; the aftercare. Pure.

use super::parts::{Page, flags, moment};
use super::sentences::capital;
use super::timeline::timelines;
use crate::record::views::{ConditionsView, LayerView, ScheduleView, SheetView};
use maud::{Markup, html};

/// What was done, when, with what, in which conditions.
pub(super) fn work(page: &Page) -> Markup {
    let work = page.work();
    html! {
        @if !work.layers.is_empty() || !work.sheets.is_empty() || !work.conditions.is_empty() || page.schedule().is_some() {
            section {
                h2 { "What was put on" }
                (timelines(page))
                @if !work.layers.is_empty() {
                    ul.answers { @for layer in &work.layers { (layer_line(page, layer)) } }
                }
                @if let Some(schedule) = page.schedule() { (schedule_block(page, schedule)) }
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

/// Each schedule that was made; of the one that counts also its terms, and what changed by it.
fn schedule_block(page: &Page, schedule: &ScheduleView) -> Markup {
    let last = schedule.made.len().saturating_sub(1);
    html! {
        h3 { "Schedule" }
        ul.answers {
            @for (at, made) in schedule.made.iter().enumerate() {
                li {
                    strong { @if at == 0 { "Planned" } @else { "Planned anew" } }
                    span.how {
                        @if at < last || schedule.changed.is_empty() { "Finished " (made.finish) }
                        @if at == last {
                            @for (number, line) in schedule.changed.iter().enumerate() {
                                @if number > 0 { br; }
                                bdi { (capital(line)) }
                            }
                            br; (capital(&schedule.best_text)) "; " bdi { (schedule.terms.join("; ")) }
                            @for line in &schedule.late { br; span.stop { bdi { (capital(line)) } } }
                            @for line in &schedule.notes { br; bdi { (capital(line)) } }
                        }
                        @if let Some(note) = &made.note { br; span.stop { (capital(note)) } }
                        @for flag in &made.stamp.flags { br; span.stop { (capital(flag)) } }
                    }
                    span.when { (moment(page, &made.stamp)) }
                }
            }
        }
        p.quiet { "Times of the schedule are those of " (schedule.zone) "." }
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
