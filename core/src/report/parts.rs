//! The parts that a report's page repeats: a mark, a photo, the answers for places, a time. Pure.

use super::assemble::{About, Document, Picture};
use super::drawing::why;
use super::sentences::{by_outcome, capital};
use super::treat::KINDS;
use crate::light::Hatch;
use crate::record::views::{
    JobView, LightView, MarkView, PhotoView, ScheduleView, StampView, TreatedView, VersionView, WalkView,
    WorkView,
};
use crate::record::words::{Form, Locale, Outcome, Stage, View};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use maud::{Markup, html};

/// What every part of the page needs to know.
pub(super) struct Page<'a> {
    document: &'a Document,
    /// Everything on record.
    pub view: &'a JobView,
    /// Body form.
    pub form: Form,
    /// Whose English.
    pub locale: Locale,
    /// Photos in the order of the page; the place in this list is a photo's number.
    pub photos: Vec<&'a PhotoView>,
    /// Names of the people who recorded, in order.
    pub recorders: Vec<&'a str>,
}

/// Who recorded, as far as the record says.
fn recorders<'a>(about: &'a About, view: &'a JobView) -> Vec<&'a str> {
    let (light, work) = (&about.light, &about.work);
    let schedules = about.schedule.iter().flat_map(|schedule| &schedule.made);
    let marks = view.marks.iter().flat_map(|mark| mark.history.iter().map(|version| &version.stamp));
    let answers = view.walks.iter().flat_map(|walk| &walk.panels).flat_map(|panel| &panel.answers);
    let stamps = std::iter::once(&view.opened)
        .chain(view.walks.iter().map(|walk| &walk.stamp))
        .chain(answers.map(|answer| &answer.stamp))
        .chain(marks)
        .chain(view.all_photos().map(|photo| &photo.stamp))
        .chain(view.feels.iter().map(|feel| &feel.stamp))
        .chain(view.thickness.iter().map(|it| &it.stamp))
        .chain(view.visit.iter().map(|entry| &entry.stamp))
        .chain(light.looks.iter().map(|look| &look.stamp))
        .chain(light.spots.iter().map(|spot| &spot.stamp))
        .chain(work.conditions.iter().map(|read| &read.stamp))
        .chain(work.layers.iter().map(|layer| &layer.stamp))
        .chain(schedules.map(|made| &made.stamp))
        .chain(view.owner_answers.iter().map(|answer| &answer.stamp))
        .chain(&view.closings);
    let mut names: Vec<&str> = Vec::new();
    for name in stamps.filter_map(|stamp| stamp.recorder.as_deref()) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

impl<'a> Page<'a> {
    pub fn new(document: &'a Document) -> Page<'a> {
        let view = &document.view;
        let whole = view.photos.iter().filter(|photo| photo.view == View::Overall);
        let places = view.photos.iter().filter(|photo| photo.view != View::Overall);
        let of = |walk: &'a str| view.marks.iter().filter(move |mark| mark.walk == walk);
        let walked = view.walks.iter().flat_map(|walk| of(&walk.id));
        let lost = view.marks.iter().filter(|mark| view.walks.iter().all(|walk| walk.id != mark.walk));
        let marks = walked.chain(lost).flat_map(|mark| &mark.photos);
        let of_treated =
            |wanted: bool| view.visit.iter().filter(move |it| KINDS.contains(&it.kind) == wanted);
        let visit = of_treated(true).chain(of_treated(false)).flat_map(|entry| &entry.photos);
        let photos = marks.chain(whole).chain(places).chain(visit).collect();
        Page {
            document,
            view,
            form: document.about.form,
            locale: document.about.locale,
            photos,
            recorders: recorders(&document.about, view),
        }
    }

    /// Whether more than one phone recorded.
    pub fn phones(&self) -> bool {
        self.view.phones.len() > 1
    }

    /// What light has to say.
    pub fn light(&self) -> &'a LightView {
        &self.document.about.light
    }

    /// What time-stamp authorities say.
    pub fn times(&self) -> &'a [String] {
        &self.document.about.times
    }

    /// What was done to the surfaces, and why.
    pub fn treated(&self) -> &'a TreatedView {
        &self.document.about.treated
    }

    /// What was put on.
    pub fn work(&self) -> &'a WorkView {
        &self.document.about.work
    }

    /// The schedule that counts, if one was made.
    pub fn schedule(&self) -> Option<&'a ScheduleView> {
        self.document.about.schedule.as_ref()
    }

    /// What has been seen in a stage, drawn.
    pub fn hatches(&self, stage: Stage) -> &'a [Hatch] {
        self.document.about.hatches.get(&stage).map_or(&[], Vec::as_slice)
    }

    /// What the stages before it say to a mark.
    fn blanks(&self, mark: &str) -> impl Iterator<Item = &'a str> {
        let own = self.light().blanks.iter().find(|it| it.mark == mark);
        own.into_iter().flat_map(|it| &it.stages).map(|stage| stage.text.as_str())
    }

    fn number(&self, photo: &PhotoView) -> usize {
        self.photos.iter().position(|other| other.id == photo.id).map_or(0, |at| at + 1)
    }
}

/// When an entry was saved: weekday and time of day where day and zone are those of the opening, in full otherwise;
/// and who saved it, or on which phone, when there were several.
pub(super) fn moment(page: &Page, stamp: &StampView) -> Markup {
    let opened = &page.view.opened;
    let usual = stamp.zone == opened.zone && stamp.day == opened.day;
    let text = if usual { &stamp.time } else { &stamp.at };
    html! {
        @if stamp.rfc3339.contains('T') { time datetime=(stamp.rfc3339) { (text) } } @else { (text) }
        @match &stamp.recorder {
            Some(name) if page.recorders.len() > 1 => { ", " bdi { (name) } }
            _ => { @if page.phones() { ", " (stamp.phone) } }
        }
    }
}

/// When an entry was saved, to the second; without the zone where it is that of the opening.
pub(super) fn precise<'a>(page: &Page<'a>, stamp: &'a StampView) -> &'a str {
    let zone = format!(" ({})", page.view.opened.zone);
    stamp.at.strip_suffix(&zone).unwrap_or(&stamp.at)
}

/// What a reader must know about an entry.
pub(super) fn flags(stamp: &StampView) -> Markup {
    html! {
        @if let Some(later) = &stamp.entered_later { p { strong { (capital(later)) "." } } }
        @for flag in &stamp.flags { p.stop { (capital(flag)) "." } }
    }
}

/// A mark: what it is, how it was found, what was corrected, its photos.
pub(super) fn mark_block(page: &Page, mark: &MarkView) -> Markup {
    let about: Vec<&str> =
        mark.size.iter().chain(&mark.details).chain(&mark.place).map(String::as_str).collect();
    let pairs = page.view.maybe_same.iter().filter_map(|pair| match &mark.label {
        label if *label == pair.a => Some((&pair.b, &pair.why)),
        label if *label == pair.b => Some((&pair.a, &pair.why)),
        _ => None,
    });
    html! {
        article.mark id={ "mark-" (mark.id) } {
            h3 { span.figure { (mark.label) } span { (capital(&mark.kind_text)) ", " (mark.panel_name) } }
            @if !about.is_empty() { p { (capital(&about.join("; "))) "." } }
            @if let Some(note) = &mark.note { p { bdi { (note) } } }
            p.quiet { (capital(&mark.found)) ", " (moment(page, &mark.stamp)) "." }
            @for line in page.blanks(&mark.id) { p.quiet { (capital(line)) "." } }
            @for line in &mark.also { p.quiet { (capital(line)) "." } }
            (flags(&mark.stamp))
            @for (other, why) in pairs {
                p { "May be the same mark as " (other) ": " (why) ". Both entries stand." }
            }
            @if mark.history.len() > 1 { (history(page, mark)) }
            @if !mark.photos.is_empty() { div.photos { @for photo in &mark.photos { (figure(page, photo)) } } }
        }
    }
}

fn history(page: &Page, mark: &MarkView) -> Markup {
    html! {
        (versions(page, &mark.history))
        @if mark.contested {
            p.stop { "Two phones corrected the same entry without knowing of each other. Both corrections are shown." }
        }
    }
}

/// What an entry said first and became.
pub(super) fn versions(page: &Page, history: &[VersionView]) -> Markup {
    html! {
        p { "Corrected; every entry stays on record:" }
        ol {
            @for version in history {
                li {
                    bdi { (capital(&version.text)) } "; "
                    span.quiet { (moment(page, &version.stamp)) }
                    @if let Some(reason) = &version.reason { br; "Reason given: " bdi { (reason) } }
                    (flags(&version.stamp))
                }
            }
        }
    }
}

/// A photo with what is known of it.
pub(super) fn figure(page: &Page, photo: &PhotoView) -> Markup {
    let number = page.number(photo);
    let about = format!("{}, {}", photo.of, photo.view_text);
    html! {
        figure {
            @match page.document.pictures.get(&photo.sha256) {
                Some(Picture::Shown(jpeg)) => {
                    img alt={ "Photo " (number) ": " (about) } src={ "data:image/jpeg;base64," (BASE64_STANDARD.encode(jpeg)) };
                }
                Some(Picture::NotShown(why)) => { div.absent { "Photo on record, not shown: " (why) } }
                None => { div.absent { "Photo on record, not shown" } }
            }
            figcaption {
                "Photo " (number) ". " (capital(&about)) ". " (moment(page, &photo.stamp)) "."
                @if let Some(note) = &photo.note { " " bdi { (note) } }
                @if let Some(later) = &photo.stamp.entered_later { " " strong { (capital(later)) "." } }
                @for flag in &photo.stamp.flags { br; span.stop { (capital(flag)) "." } }
            }
        }
    }
}

/// The answers for the places of one outcome, a line or two each.
pub(super) fn answers(page: &Page, walk: &WalkView, outcome: Outcome, title: &str) -> Markup {
    let panels = by_outcome(walk, outcome);
    let rows: usize = panels.iter().map(|panel| panel.answers.len()).sum();
    html! {
        @if rows > 0 {
            div.group {
                h3 { (title) }
                ul.answers {
                    @for panel in &panels {
                        @for answer in &panel.answers {
                            li {
                                strong {
                                    (capital(&panel.name))
                                    @if !panel.marks.is_empty() { " " span.marks { (panel.marks.join(", ")) } }
                                }
                                span.how {
                                    @if answer.outcome != outcome { (answer.text) "; " }
                                    @else if outcome == Outcome::CouldNotSee { (why(panel)) "; " }
                                    (answer.how)
                                    @if let Some(note) = &answer.note { ". " bdi { (note) } }
                                    @if let Some(later) = &answer.stamp.entered_later { ". " strong { (capital(later)) } }
                                    @for flag in &answer.stamp.flags { br; span.stop { (capital(flag)) } }
                                }
                                span.when { (moment(page, &answer.stamp)) }
                            }
                        }
                    }
                }
            }
        }
    }
}
