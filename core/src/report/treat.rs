//! The parts of a report on what was done to the surfaces: what was decided and why, warnings that were set aside, cloths that
//! fell. Pure.

use super::parts::{Page, figure, flags, moment};
use super::sentences::capital;
use super::visit::of;
use crate::record::views::{ClothView, DroppedView, EntryKind, OverrideView, PanelTreatedView, TreatedView};
use maud::{Markup, html};

/// Kinds of entries whose photos stand here.
pub(super) const KINDS: &[EntryKind] = &[
    EntryKind::Surface,
    EntryKind::WorkAgreed,
    EntryKind::SetAside,
    EntryKind::StepDone,
    EntryKind::Square,
    EntryKind::Cloth,
    EntryKind::ClothOut,
];

/// Everything on record of the surfaces; a section only where there is something.
pub(super) fn treated(page: &Page) -> Markup {
    let treated = page.treated();
    html! {
        (decided(page, treated))
        @if !treated.overrides.is_empty() {
            section {
                h2 { "Warnings that were set aside" }
                @for it in &treated.overrides { (set_aside(page, it)) }
            }
        }
        (cloths(page, treated))
    }
}

fn decided(page: &Page, treated: &TreatedView) -> Markup {
    let entries = of(page, KINDS);
    // Feel tests alone have a section of their own: here stands what came of them.
    let worked = |id: &str| entries.iter().any(|entry| entry.id == id);
    let told = |it: &&PanelTreatedView| {
        it.surface_recorded
            || !it.earlier.is_empty()
            || it.removal.is_some()
            || it.history.iter().any(|line| worked(&line.entry))
    };
    let panels: Vec<&PanelTreatedView> = treated.panels.iter().filter(told).collect();
    let photos = || entries.iter().flat_map(|entry| &entry.photos);
    html! {
        @if !panels.is_empty()
            || !treated.agreed.is_empty()
            || !treated.earlier.is_empty()
            || photos().next().is_some()
        {
            section {
                h2 { "What was done, and why" }
                @if !treated.agreed.is_empty() {
                    h3 { "Agreed work" }
                    ul { @for line in &treated.agreed { li { (capital(line)) "." } } }
                    @for note in &treated.agreed_notes { p { bdi { (note) } } }
                }
                @if !treated.earlier.is_empty() {
                    h3 { "Earlier jobs of this vehicle, as far as they are here" }
                    ul { @for line in &treated.earlier { li { (capital(line)) } } }
                }
                @for it in panels { (panel(page, it)) }
                @if photos().next().is_some() {
                    div.photos { @for photo in photos() { (figure(page, photo)) } }
                }
            }
        }
    }
}

fn panel(page: &Page, it: &PanelTreatedView) -> Markup {
    html! {
        div.entry {
            h3 { (capital(&it.panel_name)) }
            p.quiet {
                (capital(&it.surface_text))
                @if !it.surface_recorded { ", by what is on record of the vehicle" }
                "."
                @if !it.keep_off.is_empty() { " Kept off: " (it.keep_off.join(", ")) "." }
            }
            @if let Some(note) = &it.note { p { bdi { (note) } } }
            @if !it.history.is_empty() {
                ul {
                    @for line in &it.history {
                        li {
                            (capital(&line.text))
                            @for typed in &line.typed { "; " bdi { (typed) } }
                            "; " span.quiet { (moment(page, &line.stamp)) }
                            (flags(&line.stamp))
                        }
                    }
                }
            }
            @if let Some(next) = &it.next { p { "Where it stands: " (next.reason) } }
            @if let Some(polish) = &it.polish { p { "In polishing: " (polish.reason) } }
            @for line in &it.earlier { p { (capital(line)) "." } }
            @if let Some(removal) = &it.removal { p { (capital(removal)) } }
        }
    }
}

fn set_aside(page: &Page, it: &OverrideView) -> Markup {
    html! {
        div.entry {
            h3 { (capital(&it.text)) }
            @for warned in &it.warned { p { "Warned: " (warned) "." } }
            p {
                @if let Some(reason) = &it.reason { "Reason given: " bdi { (reason) } br; }
                (capital(&it.consent)) "."
            }
            p.quiet { (moment(page, &it.stamp)) }
            (flags(&it.stamp))
        }
    }
}

fn cloths(page: &Page, treated: &TreatedView) -> Markup {
    let warned: Vec<&ClothView> = treated.cloths.iter().filter(|cloth| !cloth.warned.is_empty()).collect();
    html! {
        @if !treated.dropped.is_empty() || !warned.is_empty() {
            section {
                h2 { "Cloths" }
                @for it in &treated.dropped { (dropped(page, it)) }
                @if !warned.is_empty() {
                    h3 { "Taken in spite of a warning" }
                    ul { @for cloth in warned { @for line in &cloth.warned { li { bdi { (line) } } } } }
                }
            }
        }
    }
}

fn dropped(page: &Page, it: &DroppedView) -> Markup {
    html! {
        div.entry {
            p {
                (capital(&it.text)) "."
                @if let Some(cloth) = &it.cloth { " Out of use since: " bdi { (cloth) } "." }
            }
            @if it.open { p.stop { "Nobody has looked there under a point of light since." } }
            @else { p { "Looked at since under a point of light." } }
            p.quiet { (moment(page, &it.stamp)) }
            (flags(&it.stamp))
        }
    }
}
