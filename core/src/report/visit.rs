//! The parts of a report on the visit itself: thickness, what is on record of instruments, belongings, keys and
//! permissions, what happened, what the owner said, what was entered wrongly. Pure.

use super::parts::{Page, figure, flags, moment};
use super::sentences::capital;
use crate::record::thickness::MATES_DIFFER_UM;
use crate::record::views::{EntryKind, EntryView, OwnerAnswerView, ThicknessView};
use maud::{Markup, PreEscaped, html};

/// Right end of a strip chart, µm: what lies beyond is drawn at the end, with an arrow.
const CHART_UM: u32 = 400;

/// Paint thickness: lowest and mean of each panel, left against right, before against after.
pub(super) fn thickness(page: &Page) -> Markup {
    let view = page.view;
    html! {
        @if !view.thickness.is_empty() {
            section {
                h2 { "Paint thickness" }
                ul.answers {
                    @for it in &view.thickness {
                        li {
                            strong { (capital(&it.panel_name)) }
                            span.how {
                                (capital(&it.text)) "; " (it.stage_text)
                                @for doubt in &it.doubts { "; " (doubt) }
                                @if let Some(note) = &it.note { "; " bdi { (note) } }
                                @if !it.readings_um.is_empty() { (strip(it)) }
                                @if let Some(later) = &it.stamp.entered_later { "; " strong { (later) } }
                                @for flag in &it.stamp.flags { br; span.stop { (flag) } }
                            }
                            span.when { (moment(page, &it.stamp)) }
                        }
                    }
                }
                @if !view.mates.is_empty() {
                    h3 { "Left against right" }
                    ul { @for pair in &view.mates { li { (capital(&pair.text)) "." } } }
                }
                @if !view.removal.is_empty() {
                    h3 { "Before against after" }
                    ul { @for text in &view.removal { li { (capital(text)) "." } } }
                }
                @for check in of(page, &[EntryKind::GaugeCheck]) {
                    p.quiet {
                        "Gauge: " @for typed in &check.typed { bdi { (typed) } ", " }
                        "checked " (moment(page, &check.stamp)) ": " (check.lines.join("; ")) "."
                    }
                }
                p.quiet {
                    "A gauge reads the whole film down to the metal, not its layers: film, wrap, filler and repaint add to it. "
                    "The lowest reading decides. A difference over " (MATES_DIFFER_UM) " µm between left and right says more than any single number; "
                    "it does not say how it came about."
                }
            }
        }
    }
}

/// Readings as strokes on a line from 0 to [`CHART_UM`]; the numbers stand in its description and in the text.
fn strip(it: &ThicknessView) -> Markup {
    let said: Vec<String> = it.readings_um.iter().map(u32::to_string).collect();
    let beyond = it.readings_um.iter().any(|reading| *reading > CHART_UM);
    html! {
        span.strip {
            svg viewBox="0 0 400 22" role="img" aria-label={ "Readings in µm: " (said.join(", ")) } {
                path.scale d="M0 18H400M0 14v4M100 14v4M200 14v4M300 14v4M400 14v4" {}
                @for reading in &it.readings_um {
                    path.reading d={ "M" (reading.min(&CHART_UM)) " 2V18" } {}
                }
                @if beyond { path.reading d="M392 6l6 4l-6 4" {} }
            }
            span.ends { span { "0" } span { "200" } span { "400 µm" } }
        }
    }
}

pub(super) fn of<'a>(page: &Page<'a>, kinds: &[EntryKind]) -> Vec<&'a EntryView> {
    page.view.visit.iter().filter(|entry| kinds.contains(&entry.kind)).collect()
}

/// Findings over whole panels, which stand in for many marks.
pub(super) fn generals(page: &Page) -> Markup {
    group(page, "Over whole panels", &[EntryKind::General])
}

/// A heading with the entries of some kinds, if there are any.
fn group(page: &Page, title: &str, kinds: &[EntryKind]) -> Markup {
    let entries = of(page, kinds);
    html! {
        @if !entries.is_empty() {
            section {
                h2 { (title) }
                @for entry in entries { (block(page, entry)) }
            }
        }
    }
}

fn block(page: &Page, entry: &EntryView) -> Markup {
    html! {
        div.entry {
            @if let Some(title) = title(entry.kind) { h3 { (title) } }
            @for typed in &entry.typed { p { bdi { (typed) } } }
            @if let [line] = entry.lines.as_slice() {
                p { (capital(line)) "." }
            } @else if !entry.lines.is_empty() {
                ul { @for line in &entry.lines { li { bdi { (capital(line)) } } } }
            }
            p.quiet { (moment(page, &entry.stamp)) }
            (flags(&entry.stamp))
            @if !entry.photos.is_empty() { div.photos { @for photo in &entry.photos { (figure(page, photo)) } } }
        }
    }
}

/// Entries that stand beside others of their section have a title of their own.
fn title(kind: EntryKind) -> Option<&'static str> {
    match kind {
        EntryKind::Instruments => Some("Instruments"),
        EntryKind::Belongings => Some("Belongings"),
        EntryKind::Custody => Some("Keys and vehicle"),
        EntryKind::Stay => Some("The night"),
        EntryKind::Permissions => Some("What was allowed"),
        _ => None,
    }
}

/// Instruments, belongings, keys, permissions, what happened, notes.
pub(super) fn visit(page: &Page) -> Markup {
    html! {
        (group(
            page,
            "Keys, instruments, belongings, permissions",
            &[
                EntryKind::Custody,
                EntryKind::Stay,
                EntryKind::Instruments,
                EntryKind::Belongings,
                EntryKind::Permissions,
            ],
        ))
        (group(page, "Happened during the work", &[EntryKind::Incident]))
        (group(page, "Notes", &[EntryKind::Note]))
        (owner(page))
        (group(page, "The end of the visit", &[EntryKind::Closing]))
        (group(page, "Reported afterwards", &[EntryKind::Dispute]))
        (group(page, "Slips, moves and mistakes", &[EntryKind::Slip, EntryKind::Moved, EntryKind::Void]))
        (group(page, "Erased", &[EntryKind::Erasure]))
    }
}

/// What the owner said; silence stays silence.
fn owner(page: &Page) -> Markup {
    html! {
        @if !page.view.owner_answers.is_empty() {
            section {
                h2 { "What the owner said" }
                @for answer in &page.view.owner_answers { (owner_answer(page, answer)) }
                p.quiet { "Silence is not agreement, and a drawn signature says \"copy received\" unless more is said beside it." }
            }
        }
    }
}

fn owner_answer(page: &Page, answer: &OwnerAnswerView) -> Markup {
    html! {
        div.entry {
            p { bdi { (capital(&answer.text)) } "; " bdi { (answer.copy_text) } "." }
            @if !answer.items.is_empty() {
                ul {
                    @for item in &answer.items {
                        li {
                            (capital(&item.of)) ": " @if item.agreed { "agreed" } @else { "not agreed" }
                            @if let Some(words) = &item.words { ", in the owner's words: " bdi { (words) } }
                        }
                    }
                }
            }
            @if let Some(note) = &answer.note { p { bdi { (note) } } }
            @if let Some(text) = &answer.signature_text {
                figure.signature {
                    svg viewBox="0 0 1000 1000" preserveAspectRatio="none" role="img" aria-label="A drawn signature" {
                        @for stroke in &answer.signature { path d=(path(stroke)) vector-effect="non-scaling-stroke" {} }
                    }
                    figcaption { "Signature " (text) "." }
                }
            }
            p.quiet { (moment(page, &answer.stamp)) }
            (flags(&answer.stamp))
        }
    }
}

fn path(stroke: &[u16]) -> PreEscaped<String> {
    let mut out = String::new();
    for (at, point) in stroke.chunks_exact(2).enumerate() {
        let letter = if at == 0 { 'M' } else { 'L' };
        out.push_str(&format!("{letter}{} {}", point[0], point[1]));
    }
    // A touch is drawn as a dot.
    if stroke.len() == 2 {
        out.push_str("h1");
    }
    PreEscaped(out)
}
