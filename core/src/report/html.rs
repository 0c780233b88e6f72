//! The condition report as one page of HTML: no network, no script; reads on a phone, prints on A4 and Letter. Pure.
//! `maud` escapes every text that is put in, so what people typed is never markup.

use super::assemble::{Document, Picture, by_outcome, sentence};
use super::drawing;
use crate::record::views::{MarkView, PhotoView, StampView, WalkView};
use crate::record::words::{Locale, Outcome};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The page.
pub fn html(document: &Document) -> String {
    let view = &document.view;
    let lang = match document.locale {
        Locale::EnGb => "en-GB",
        Locale::EnUs => "en-US",
    };
    let named = view.vehicle.plate.as_deref().unwrap_or("no plate recorded");
    let page = html! {
        (DOCTYPE)
        html lang=(lang) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Condition report " (named) }
                style { (PreEscaped(include_str!("report.css"))) }
            }
            body {
                main {
                    @if view.demo {
                        p.demo { "Demonstration. Everything on this page is invented; it is no record of a real vehicle." }
                    }
                    (heading(document))
                    @for walk in &view.walks { (walk_section(document, walk)) }
                    @if view.walks.is_empty() { p { "No walk-around was begun." } }
                    (pairs(document))
                    (feels(document))
                    (photos(document))
                    (record_section(document))
                    (limits())
                }
            }
        }
    };
    page.into_string()
}

fn heading(document: &Document) -> Markup {
    let view = &document.view;
    let vehicle = &view.vehicle;
    html! {
        h1 { "Condition report" }
        dl {
            @if let Some(plate) = &vehicle.plate { dt { "Plate" } dd { bdi { (plate) } } }
            @if let Some(vin) = &vehicle.vin { dt { "VIN" } dd { bdi { (vin) } } }
            @if let Some(missing) = &vehicle.missing { dt { "Identity" } dd { (missing) } }
            dt { "Vehicle" } dd {
                (vehicle.form_text)
                @if let Some(colour) = &vehicle.colour { ", " bdi { (colour) } }
                ", " (vehicle.finish_text)
            }
            dt { "This visit" } dd { (vehicle.scope.join(", ")) "; the rest is not part of this visit" }
            dt { "Opened" } dd { (view.opened.at) }
            @for closed in &view.closings { dt { "Ended" } dd { (closed.at) ", phone " (closed.phone) } }
        }
        @for walk in &view.walks {
            p { strong { (walk.stage_text) ": " } (sentence(walk)) }
        }
    }
}

fn stamp(stamp: &StampView) -> Markup {
    html! {
        p.quiet {
            (stamp.at) ", phone " (stamp.phone)
            @if let Some(later) = &stamp.entered_later { "; " strong { (later) } }
        }
        @for flag in &stamp.flags { p.stop { (flag) } }
    }
}

fn walk_section(document: &Document, walk: &WalkView) -> Markup {
    let marks: Vec<&MarkView> =
        document.view.marks.iter().filter(|mark| mark.walk == walk.id).collect();
    let title = format!("{}: {}", walk.stage_text, sentence(walk));
    html! {
        section {
            h2 { (walk.stage_text) }
            (stamp(&walk.stamp))
            (PreEscaped(drawing::svg(document.form, walk, &marks, &title)))
            ul.key {
                li { "number: a mark" }
                li { "tick: looked, nothing seen" }
                li { "word: could not be seen, and why" }
                li { "dotted edge: not looked at" }
            }
            @for mark in &marks { (mark_block(document, mark)) }
            (answers(walk, Outcome::CouldNotSee, "Could not be seen"))
            @let bare = by_outcome(walk, Outcome::NotLooked);
            @if !bare.is_empty() {
                h3 { "Not looked at" }
                p { (bare.iter().map(|panel| panel.name.as_str()).collect::<Vec<_>>().join(", ")) "." }
            }
            (answers(walk, Outcome::NothingSeen, "Looked at, nothing seen"))
            (answers(walk, Outcome::Marks, "How the places with marks were looked at"))
        }
    }
}

fn answers(walk: &WalkView, outcome: Outcome, title: &str) -> Markup {
    let panels = by_outcome(walk, outcome);
    let rows: usize = panels.iter().map(|panel| panel.answers.len()).sum();
    html! {
        @if rows > 0 {
            div.wide {
                table {
                    caption { (title) }
                    thead { tr { th scope="col" { "Place" } th scope="col" { "Answer" } th scope="col" { "How it was looked at" } th scope="col" { "When, phone" } } }
                    tbody {
                        @for panel in panels {
                            @for answer in &panel.answers {
                                tr {
                                    th scope="row" { (panel.name) }
                                    td { (answer.text) @if let Some(note) = &answer.note { br; bdi { (note) } } }
                                    td { (answer.how) }
                                    td {
                                        (answer.stamp.at) ", " (answer.stamp.phone)
                                        @if let Some(later) = &answer.stamp.entered_later { br; strong { (later) } }
                                        @for flag in &answer.stamp.flags { br; span.stop { (flag) } }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn mark_block(document: &Document, mark: &MarkView) -> Markup {
    html! {
        article.mark {
            h3 { span.figure { (mark.label) } span { (mark.kind_text) ", " (mark.panel_name) } }
            p {
                (mark.found)
                @if let Some(size) = &mark.size { "; " (size) }
                @if let Some(place) = &mark.place { "; " (place) }
                @for detail in &mark.details { "; " (detail) }
                "."
            }
            @if let Some(note) = &mark.note { p { bdi { (note) } } }
            (stamp(&mark.stamp))
            @if mark.history.len() > 1 {
                p { "Corrected; every entry stays on record:" }
                ol {
                    @for version in &mark.history {
                        li {
                            bdi { (version.text) }
                            @if let Some(reason) = &version.reason { ". Reason: " bdi { (reason) } }
                            (stamp(&version.stamp))
                        }
                    }
                }
                @if mark.contested {
                    p.stop { "Two phones corrected the same entry without knowing of each other. Both corrections are shown." }
                }
            }
            @if !mark.photos.is_empty() { div.photos { @for photo in &mark.photos { (figure(document, photo)) } } }
        }
    }
}

fn figure(document: &Document, photo: &PhotoView) -> Markup {
    let about = format!("{}, {}", photo.of, photo.view_text);
    html! {
        figure {
            @match document.pictures.get(&photo.sha256) {
                Some(Picture::Shown(jpeg)) => {
                    img alt=(about) src=(format!("data:image/jpeg;base64,{}", BASE64_STANDARD.encode(jpeg)));
                }
                Some(Picture::NotShown(why)) => { div.absent { "Photo on record, not shown: " (why) } }
                None => { div.absent { "Photo on record, not shown" } }
            }
            figcaption {
                (about) ". Saved " (photo.stamp.at) ", phone " (photo.stamp.phone) "."
                @if let Some(taken) = &photo.taken { " The file says it was taken " (taken) "." }
                @if let Some(note) = &photo.note { " " bdi { (note) } }
                @if let Some(later) = &photo.stamp.entered_later { " " strong { (later) } "." }
                @for flag in &photo.stamp.flags { br; span.stop { (flag) } }
                br; "Original: " (photo.bytes) " bytes, SHA-256 " code { (photo.sha256) }
            }
        }
    }
}

fn pairs(document: &Document) -> Markup {
    html! {
        @if !document.view.maybe_same.is_empty() {
            section {
                h2 { "Maybe the same mark" }
                p { "Two phones recorded these. Nothing was merged; both entries stand." }
                ul { @for pair in &document.view.maybe_same { li { (pair.a) " and " (pair.b) ": " (pair.why) } } }
            }
        }
    }
}

fn feels(document: &Document) -> Markup {
    html! {
        @if !document.view.feels.is_empty() {
            section {
                h2 { "Feel tests" }
                ul {
                    @for feel in &document.view.feels {
                        li {
                            strong { (feel.panel_name) } ", " (feel.stage_text) ": " (feel.text)
                            @if !feel.reacted.is_empty() { "; reacted: " (feel.reacted.join(", ")) }
                            @if let Some(note) = &feel.note { "; " bdi { (note) } }
                            (stamp(&feel.stamp))
                        }
                    }
                }
            }
        }
    }
}

fn photos(document: &Document) -> Markup {
    html! {
        @if !document.view.photos.is_empty() {
            section {
                h2 { "Photos of places and of the whole vehicle" }
                div.photos { @for photo in &document.view.photos { (figure(document, photo)) } }
            }
        }
    }
}

fn record_section(document: &Document) -> Markup {
    let view = &document.view;
    html! {
        section {
            h2 { "The record" }
            @for flag in &view.flags { p.stop { (flag) } }
            @if !view.unknown.is_empty() {
                p { "This page was made by a version that cannot read:" }
                ul { @for entry in &view.unknown { li { (entry) } } }
            }
            dl {
                dt { "Job" } dd { code { (view.job) } }
                dt { "Phones" } dd { (view.phones.join(", ")) }
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
                li { "Times are those of the phone's clock. A time that a photo file states is the file's own." }
                li { "Sizes given as \"about\" were judged by eye or from a stroke on the drawing. Heights are computed from a typical body of this form." }
                li { "Pictures here are smaller copies. The original files are kept unchanged, and the SHA-256 beside each tells whether a file is that original." }
                li { "Every entry is in a signed log to which entries are only added; corrections stand beside what they correct. Who held the phone, and whether everything was recorded, no log can show." }
            }
        }
    }
}
