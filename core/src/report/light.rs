//! The parts of a report on light: the looks that were made, what could have been seen, and missed spots. Pure.

use super::drawing::hatched;
use super::parts::{Page, flags, moment};
use super::sentences::capital;
use crate::record::views::{LookView, SeenStageView, SpotView};
use maud::{Markup, PreEscaped, html};

/// What could have been seen, stage by stage.
pub(super) fn could_have_been_seen(page: &Page) -> Markup {
    let light = page.light();
    html! {
        @if !light.looks.is_empty() {
            section {
                h2 { "What could have been seen" }
                p {
                    "Computed from where the looks say that light and eye were. A scratch shows only from some places; "
                    "what no look could have shown was not seen, whatever was recorded of the panel. Fine lines are scratches and swirls; "
                    "with haze go films and smears, with high spots differences of tone, with nibs overspray, chip edges and residue, "
                    "with dents ripple and orange peel."
                }
                @for seen in &light.seen { (stage(page, seen)) }
                h3 { "The looks" }
                ul.answers { @for look in &light.looks { (look_line(page, look)) } }
            }
        }
    }
}

fn stage(page: &Page, seen: &SeenStageView) -> Markup {
    let hatches = page.hatches(seen.stage);
    let title = format!(
        "The vehicle folded flat, hatched where fine lines could have been seen: {}",
        seen.panels
            .iter()
            .map(|panel| format!("{}: {}", panel.panel_name, panel.text))
            .collect::<Vec<_>>()
            .join(". ")
    );
    html! {
        div.group {
            h3 { (capital(&seen.stage_text)) ": " (seen.looks) @if seen.looks == 1 { " look" } @else { " looks" } }
            @if !hatches.is_empty() {
                figure.folded {
                    (PreEscaped(hatched(page.form, hatches, &title)))
                    figcaption {
                        span { "Hatched: fine lines of half of all directions and more could have been seen." } " "
                        @if hatches.iter().any(|hatch| hatch.crossing) { span { "Crossing: of nearly all, from both sides." } " " }
                        span { "Bare: fewer, or none." }
                    }
                }
            }
            dl.running {
                @for panel in &seen.panels {
                    div { dt { (capital(&panel.panel_name)) ": " } dd { (panel.text) "." } }
                }
            }
            p.quiet {
                "Fine lines are taken to have walls of " (seen.wall_deg) "°; model " (seen.model)
                ". Panels that are not named here were not looked at under a stated light."
            }
        }
    }
}

fn look_line(page: &Page, look: &LookView) -> Markup {
    html! {
        li {
            strong { (capital(&look.panels.join(", "))) }
            span.how {
                (capital(&look.text)) @if look.sensed { " (followed by a sensor)" } "; " (look.stage_text) ". "
                (capital(&look.shows)) "."
                @if let Some(heading) = &look.heading { " " (capital(heading)) "." }
                @if let Some(note) = &look.note { " " bdi { (note) } }
                @if let Some(later) = &look.stamp.entered_later { " " strong { (capital(later)) "." } }
                @for flag in look.flags.iter().chain(&look.stamp.flags) { br; span.stop { (capital(flag)) "." } }
            }
            span.when { (moment(page, &look.stamp)) }
        }
    }
}

/// Missed spots: what was found, what was done, and how each stands.
pub(super) fn spots(page: &Page) -> Markup {
    let spots = &page.light().spots;
    html! {
        @if !spots.is_empty() {
            section {
                h2 { "Missed spots" }
                @for spot in spots { (spot_block(page, spot)) }
            }
        }
    }
}

fn spot_block(page: &Page, spot: &SpotView) -> Markup {
    html! {
        article.entry {
            h3 { (capital(&spot.panel_name)) ": " (spot.text) }
            p.quiet { "Found " (moment(page, &spot.stamp)) "." }
            @if let Some(note) = &spot.note { p { bdi { (note) } } }
            @if !spot.history.is_empty() { ul { @for line in &spot.history { li { bdi { (line) } } } } }
            p { @if spot.open { span.stop { (capital(&spot.state)) "." } } @else { (capital(&spot.state)) "." } }
            @if !spot.allows.is_empty() { p { "What its age allows:" } ol { @for line in &spot.allows { li { (line) } } } }
            (flags(&spot.stamp))
        }
    }
}
