//! The condition report as one page of HTML: no network, no script but that of a bundle's page (`check`); reads on a phone, prints on A4 and Letter. Pure.
//! `maud` escapes every text that is put in, so what people typed is never markup; it stands in `bdi`, so that it
//! never turns the writing around it.

use super::assemble::Document;
use super::drawing;
use super::light::{could_have_been_seen, spots};
use super::parts::{Page, answers, figure, mark_block, moment, precise, versions};
use super::receipt::receipt;
use super::sentences::{by_outcome, capital, css_string, foot, sentence};
use super::treat::treated;
use super::visit::{generals, thickness, visit};
use super::work::{aftercare, work};
use crate::record::views::{MarkView, PhotoView, WalkView, thousands};
use crate::record::words::{BlobState, Locale, Outcome, View};
use crate::vehicle::{self, Class};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Nothing but this page's own style and the pictures inside it (Content Security Policy Level 3).
const POLICY: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";

/// The page.
pub fn html(document: &Document) -> String {
    whole(document, POLICY, body(document), html! {})
}

/// The page around what it says: `foot` follows, and `policy` says what it may load and run.
pub(super) fn whole(document: &Document, policy: &str, body: Markup, foot: Markup) -> String {
    let lang = match document.about.locale {
        Locale::EnGb => "en-GB",
        Locale::EnUs => "en-US",
    };
    let named = document.view.vehicle.plate.as_deref().unwrap_or("no plate recorded");
    let markup = html! {
        (DOCTYPE)
        html lang=(lang) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(policy);
                title { "Condition report " (named) }
                link rel="icon" href="data:,";
                style { (PreEscaped(include_str!("report.css"))) (PreEscaped(sheet(document))) }
            }
            body { (body) (foot) }
        }
    };
    markup.into_string()
}

/// What the page says.
pub(super) fn body(document: &Document) -> Markup {
    let view = &document.view;
    let page = Page::new(document);
    let lost: Vec<&MarkView> =
        view.marks.iter().filter(|mark| view.walks.iter().all(|walk| walk.id != mark.walk)).collect();
    html! {
        main {
            @if view.demo {
                p.demo { "Demonstration. Everything on this page is invented; it is no record of a real vehicle." }
            }
            (heading(document, &page))
            (index(document))
            @for (at, walk) in view.walks.iter().enumerate() { (walk_section(&page, walk, at == 0)) }
            @if !lost.is_empty() {
                section {
                    h2 { "Marks of a walk-around that is not on record here" }
                    @for mark in &lost { (mark_block(&page, mark)) }
                }
            }
            (generals(&page))
            (photos(&page))
            (feels(&page))
            (thickness(&page))
            (treated(&page))
            (could_have_been_seen(&page))
            (spots(&page))
            (work(&page))
            (visit(&page))
            (aftercare(&page))
            (limits())
            (record(&page))
            (receipt(document))
        }
    }
}

/// What paper needs beside the common style: each sheet says whose it is.
fn sheet(document: &Document) -> String {
    format!(
        "@page {{ @bottom-left {{ content: {}; }} @bottom-right {{ content: \"Page \" counter(page) \" of \" counter(pages); }} }}",
        css_string(&foot(&document.view))
    )
}

fn heading(document: &Document, page: &Page) -> Markup {
    let view = &document.view;
    let vehicle = &view.vehicle;
    html! {
        header {
            @if let Some(business) = &document.about.business {
                p.business { strong { bdi { (business.name) } } @if let Some(details) = &business.details { br; bdi { (details) } } }
            }
            h1 { "Condition report" }
            p.lead {
                @if let Some(plate) = &vehicle.plate { bdi { (plate) } ", " }
                (vehicle.form_text)
                @if let Some(colour) = &vehicle.colour { ", " bdi { (colour) } }
                ", " (vehicle.finish_text)
            }
            p.summary {
                @for walk in &view.walks { (sentence(walk)) " " }
                @if view.walks.is_empty() { "No walk-around was begun. " }
                @if !view.look_again.is_empty() { (second_look(page)) " " }
                @for pair in &view.maybe_same { "Marks " (pair.a) " and " (pair.b) " may be one and the same." " " }
            }
            dl {
                @if let Some(vin) = &vehicle.vin {
                    div { dt { "VIN" } dd { bdi { (vin) } @if !vehicle.vin_doubts.is_empty() { br; span.quiet { (capital(&vehicle.vin_doubts.join("; "))) "." } } } }
                }
                @if let Some(stock) = &vehicle.stock { div { dt { "Number" } dd { bdi { (stock) } } } }
                @if !vehicle.film.is_empty() { div { dt { "Clear film" } dd { (vehicle.film.join(", ")) } } }
                @if let Some(missing) = &vehicle.missing { div { dt { "Identity" } dd { (capital(missing)) "." } } }
                @if vehicle.plate.is_none() && vehicle.vin.is_none() && vehicle.missing.is_none() {
                    div { dt { "Identity" } dd { "No plate and no VIN was recorded." } }
                }
                div { dt { "This visit" } dd { (vehicle.scope.join(", ")) "; the rest is not part of this visit" } }
                div { dt { "Begun" } dd { (view.opened.at) } }
                @for closed in &view.closings { div { dt { "Ended" } dd { (closed.at) } } }
                @if view.closings.is_empty() { div { dt { "Ended" } dd { "not ended when this page was made" } } }
                div { dt { "Owner" } dd { bdi { (capital(&view.owner_text)) } "." } }
            }
            @if vehicle.history.len() > 1 { (versions(page, &vehicle.history)) }
            p.quiet {
                "Times are those of " (view.opened.day) ", " (view.opened.zone) ", unless they say otherwise."
                @if page.recorders.len() > 1 { " Behind a time stands who saved the entry." }
                @else if page.phones() { " Behind a time stands the phone that saved the entry." }
            }
            @for flag in &view.flags { p.stop { (capital(flag)) "." } }
        }
    }
}

/// Places that still wait for a second look.
fn second_look(page: &Page) -> Markup {
    let named = |id: &String| {
        let panels = page.view.walks.iter().flat_map(|walk| &walk.panels);
        panels
            .filter(|panel| panel.panel == *id)
            .map(|panel| panel.name.as_str())
            .next()
            .unwrap_or(id)
            .to_owned()
    };
    let names: Vec<String> = page.view.look_again.iter().map(named).collect();
    html! {
        @if names.len() == 1 { "1 place that could not be seen waits for a second look: " }
        @else { (names.len()) " places that could not be seen wait for a second look: " }
        (names.join(", ")) "."
    }
}

/// Most marks that are named before the full list.
const FEW: usize = 5;

/// The marks that matter most, in one line each; all of them when they are few.
fn index(document: &Document) -> Markup {
    let marks = &document.view.marks;
    let mut heavy: Vec<&MarkView> = marks.iter().collect();
    heavy.sort_by_key(|mark| std::cmp::Reverse(mark.weight));
    heavy.truncate(FEW);
    let few: Vec<&MarkView> = marks.iter().filter(|mark| heavy.iter().any(|it| it.id == mark.id)).collect();
    html! {
        @if marks.len() > FEW {
            p { "The " (FEW) " marks of " (marks.len()) " that matter most; all of them stand below:" }
        }
        @if !marks.is_empty() {
            ul.index {
                @for mark in few {
                    li {
                        a.figure href={ "#mark-" (mark.id) } { (mark.label) }
                        span {
                            (capital(&mark.kind_text)) ", " (mark.panel_name)
                            @if let Some(size) = &mark.size { ", " (size) }
                            "; " (mark.found)
                        }
                    }
                }
            }
        }
    }
}

fn walk_section(page: &Page, walk: &WalkView, first: bool) -> Markup {
    let marks: Vec<&MarkView> = page.view.marks.iter().filter(|mark| mark.walk == walk.id).collect();
    let title = format!("The vehicle folded flat. {}", sentence(walk));
    let drawing = drawing::draw(page.form, walk, &marks, &title);
    let has = |outcome| walk.panels.iter().any(|panel| panel.outcome == outcome);
    html! {
        section {
            div.opening {
                h2 { (capital(&walk.stage_text)) }
                p.quiet { "Begun " (moment(page, &walk.stamp)) "." }
                @for flag in &walk.stamp.flags { p.stop { (capital(flag)) "." } }
                figure.folded {
                    (PreEscaped(&drawing.svg))
                    figcaption {
                        @if !marks.is_empty() { span { "Number: a mark." } " " }
                        @if has(Outcome::NothingSeen) { span { "Tick: looked at, nothing seen." } " " }
                        @if has(Outcome::CouldNotSee) { span { "Word: could not be seen, and why." } " " }
                        @if has(Outcome::NotLooked) { span { "Dotted edge: not looked at." } " " }
                        @if drawing.beside { span { "Dashed edge: not part of this visit." } " " }
                        @if !drawing.left_out.is_empty() {
                            span { "Not in this drawing: " (drawing.left_out.join(", ")) "." }
                        }
                    }
                }
            }
            @for mark in &marks { (mark_block(page, mark)) }
            (answers(page, walk, Outcome::CouldNotSee, "Could not be seen"))
            (bare(page, walk, first))
            (answers(page, walk, Outcome::NothingSeen, "Looked at, nothing seen"))
            (answers(page, walk, Outcome::Marks, "How the places with marks were looked at"))
        }
    }
}

/// Photos that belong to no mark: the whole vehicle first.
fn photos(page: &Page) -> Markup {
    let (whole, places): (Vec<&PhotoView>, Vec<&PhotoView>) =
        page.view.photos.iter().partition(|photo| photo.view == View::Overall);
    html! {
        @if !page.view.photos.is_empty() {
            section {
                h2 {
                    @match (whole.is_empty(), places.is_empty()) {
                        (false, false) => "The whole vehicle, and places",
                        (false, true) => "The whole vehicle",
                        _ => "Photos of places",
                    }
                }
                div.photos { @for photo in whole.iter().chain(&places) { (figure(page, photo)) } }
            }
        }
    }
}

/// What was not looked at: by name in the first walk-around; later, when it is most of the vehicle, as the rest of
/// what the first one names.
fn bare(page: &Page, walk: &WalkView, first: bool) -> Markup {
    let bare = by_outcome(walk, Outcome::NotLooked);
    let (tyres, tires) = ("Tyres", "Tires");
    let groups = [
        (Some(Class::Paint), "Painted"),
        (Some(Class::Glass), "Glass"),
        (Some(Class::Lamp), "Lamps"),
        (Some(Class::Trim), "Trim"),
        (Some(Class::Wheel), "Wheels"),
        (Some(Class::Tyre), if page.locale == Locale::EnUs { tires } else { tyres }),
        (None, "Inside"),
    ];
    let class = |id: &str| vehicle::geometry(page.form).panel(id).map(|panel| panel.class);
    let names = |wanted: Option<Class>| {
        let named: Vec<&str> = bare
            .iter()
            .filter(|panel| class(&panel.panel) == wanted)
            .map(|panel| panel.name.as_str())
            .collect();
        named.join(", ")
    };
    html! {
        @if !bare.is_empty() {
            div.group {
                h3 { "Not looked at" }
                @if !first && 2 * bare.len() > walk.panels.len() {
                    p { "Every other place of this visit: " (bare.len()) "." }
                } @else {
                    dl.running {
                        @for (wanted, title) in groups {
                            @let names = names(wanted);
                            @if !names.is_empty() { div { dt { (title) ": " } dd { (names) } } }
                        }
                    }
                }
            }
        }
    }
}

fn feels(page: &Page) -> Markup {
    html! {
        @if !page.view.feels.is_empty() {
            section {
                h2 { "Feel tests" }
                ul.answers {
                    @for feel in &page.view.feels {
                        li {
                            strong { (capital(&feel.panel_name)) }
                            span.how {
                                (feel.stage_text) "; " (feel.text)
                                @if !feel.reacted.is_empty() { "; reacted: " (feel.reacted.join(", ")) }
                                @if let Some(note) = &feel.note { "; " bdi { (note) } }
                                @if let Some(later) = &feel.stamp.entered_later { "; " strong { (later) } }
                                @for flag in &feel.stamp.flags { br; span.stop { (flag) } }
                            }
                            span.when { (moment(page, &feel.stamp)) }
                        }
                    }
                }
            }
        }
    }
}

fn record(page: &Page) -> Markup {
    let view = page.view;
    html! {
        section {
            h2 { "The record" }
            @if !view.unknown.is_empty() {
                p { "Entries that the version which made this page cannot read:" }
                ul { @for entry in &view.unknown { li { (entry) } } }
            }
            dl.quiet {
                div { dt { "Job" } dd { code { (view.job) } } }
                div { dt { "Phones" } dd { (view.phones.join(", ")) @for said in &view.devices { br; bdi { (capital(said)) } } } }
                @if !page.recorders.is_empty() { div { dt { "Recorded by" } dd { bdi { (page.recorders.join(", ")) } } } }
                div { dt { "Begun" } dd { (view.opened.at) ", phone " (view.opened.phone) } }
                @for closed in &view.closings { div { dt { "Ended" } dd { (closed.at) ", phone " (closed.phone) } } }
                @for line in page.times() { div { dt { "Stamped" } dd { (line) "." } } }
            }
            @if !page.photos.is_empty() {
                h3 { "Original photo files" }
                ol.originals {
                    @for (number, photo) in (1..).zip(&page.photos) {
                        li {
                            "Photo " (number) ": saved " (precise(page, &photo.stamp)) ", phone " (photo.stamp.phone)
                            @if let Some(taken) = &photo.taken { "; the file's own time " bdi { (taken) } }
                            @if photo.state != BlobState::Here { ". " (capital(photo.missing.as_deref().unwrap_or("not here"))) }
                            br;
                            "SHA-256 " code { (photo.sha256) } ", " (thousands(photo.bytes)) " bytes"
                        }
                    }
                }
            }
        }
    }
}

fn limits() -> Markup {
    html! {
        section {
            h2 { "What this page can and cannot say" }
            ul {
                li { "It lists what was recorded. What was not looked at, or could not be seen, may have marks that are not listed." }
                li { "\"Nothing seen\" means that a person looked, in the way stated, and recorded no mark. A distant walk-past shows little; dirt and water hide fine marks." }
                li { "\"Could have been seen\" is computed from the light and the place of the eye as they were stated; it does not say that anybody saw, or would have seen." }
                li { "\"No catch\", \"slight catch\" and \"firm catch\" say whether a clean fingernail drawn lightly across a mark was held." }
                li { "Times are those of the phone's clock. A time that a photo file states is the file's own." }
                li { "Sizes given as \"about\" were judged by eye or from a stroke on the drawing. Heights are computed from a typical body of this form." }
                li { "Pictures here are smaller copies. The original files are kept unchanged; the SHA-256 of each tells whether a file is that original." }
                li { "Every entry is in a signed log to which entries are only added; corrections stand beside what they correct. Who held the phone, and whether everything was recorded, no log can show." }
            }
        }
    }
}
