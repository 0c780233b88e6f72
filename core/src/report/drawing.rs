//! The panel drawing of a report: the car folded flat, marks as numbers on short leader lines, and what was not looked
//! at or could not be seen told by line and word, never by colour. Pure; SVG 1.1.

use super::label::{Boxed, Paper};
use crate::light::Hatch;
use crate::record::views::{MarkView, PanelView, WalkView};
use crate::record::words::{Form, Outcome};
use crate::vehicle::{self, PanelMap, Sheet, Weight};
use std::fmt::Write as _;

/// Height of a number or word in the drawing's units. The drawing is 400 units wide and never narrower than 320 px,
/// so that a letter is never below 12 px.
const LETTER: f64 = 15.0;

/// Half the width of a stroke of hatching, units: neighbouring patches, some 10 cm apart, just meet.
const HATCH: f64 = 2.4;

/// White margin above and below, units.
const MARGIN: f64 = 8.0;

/// What one walk-around says, drawn.
pub(super) struct Drawing {
    /// The picture.
    pub svg: String,
    /// Numbers of marks whose place this drawing does not show.
    pub left_out: Vec<String>,
    /// Whether a place that is no part of the visit is drawn.
    pub beside: bool,
}

/// How a line is drawn: what it says of the part that it borders.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Edge {
    /// Looked at, or could not be seen.
    Plain,
    /// Not looked at.
    Dotted,
    /// No part of the visit.
    Beside,
    /// Nothing: it only closes a view, or not every vehicle has the part.
    Mute,
}

/// Draws what one walk-around says. `title` is what is read out instead.
pub(super) fn draw(form: Form, walk: &WalkView, marks: &[&MarkView], title: &str) -> Drawing {
    let map = vehicle::panel_map(form, Sheet::Flat);
    let mut lines = String::new();
    let mut beside = false;
    for outline in &map.outlines {
        let edge = outline.panel.map_or(Edge::Mute, |id| edge(form, walk, id));
        beside |= edge == Edge::Beside;
        let class = match (edge, outline.weight) {
            (Edge::Mute, _) | (_, Weight::Detail) => "mute",
            (Edge::Dotted, _) => "dotted",
            (Edge::Beside, _) => "beside",
            (Edge::Plain, Weight::Outline) => "outline",
            (Edge::Plain, Weight::Shut) => "shut",
        };
        let _ = write!(lines, "<path class=\"{class}\" d=\"{}\"/>", outline.d());
    }
    let strokes: Vec<(&MarkView, Stroke)> =
        marks.iter().filter_map(|mark| Some((*mark, stroke(map, mark)?))).collect();
    let left_out = marks
        .iter()
        .filter(|mark| strokes.iter().all(|(drawn, _)| drawn.id != mark.id))
        .map(|mark| mark.label.clone())
        .collect();
    let mut paper = Paper::new(map);
    for (_, stroke) in &strokes {
        paper.take(stroke.boxed());
    }
    let mut said = String::new();
    for panel in &walk.panels {
        say(&mut said, map, panel, &mut paper);
    }
    for (mark, stroke) in &strokes {
        number(&mut said, mark, stroke, &mut paper);
    }
    let (top, bottom) = paper.reach();
    let mut svg = String::new();
    let _ = write!(
        svg,
        "<svg class=\"car\" viewBox=\"0 {:.0} {:.0} {:.0}\" role=\"img\" aria-label=\"{}\" xmlns=\"http://www.w3.org/2000/svg\">{lines}{said}</svg>",
        top - MARGIN,
        map.width,
        bottom - top + 2.0 * MARGIN,
        escape(title)
    );
    Drawing { svg, left_out, beside }
}

/// Draws what could have been seen of fine lines in one stage: hatching that closes as looks add directions. `title` is what is read
/// out instead.
pub(super) fn hatched(form: Form, hatches: &[Hatch], title: &str) -> String {
    let map = vehicle::panel_map(form, Sheet::Flat);
    let mut lines = String::new();
    for outline in &map.outlines {
        let class = match (outline.panel, outline.weight) {
            (None, _) | (_, Weight::Detail) => "mute",
            (Some(_), Weight::Outline) => "outline",
            (Some(_), Weight::Shut) => "shut",
        };
        let _ = write!(lines, "<path class=\"{class}\" d=\"{}\"/>", outline.d());
    }
    let mut strokes = String::new();
    for hatch in hatches {
        let Some((x, y)) = map.at(hatch.panel, hatch.at.u_ppm, hatch.at.v_ppm) else { continue };
        let (left, top, whole) = (x - HATCH, y - HATCH, 2.0 * HATCH);
        let _ = write!(strokes, "M{left:.1} {:.1}l{whole:.1} -{whole:.1}", y + HATCH);
        if hatch.crossing {
            let _ = write!(strokes, "M{left:.1} {top:.1}l{whole:.1} {whole:.1}");
        }
    }
    format!(
        "<svg class=\"car seen\" viewBox=\"0 {:.0} {:.0} {:.0}\" role=\"img\" aria-label=\"{}\" xmlns=\"http://www.w3.org/2000/svg\">{lines}<path class=\"hatch\" d=\"{strokes}\"/></svg>",
        -MARGIN,
        map.width,
        map.height + 2.0 * MARGIN,
        escape(title)
    )
}

/// Small painted parts are answered with the panel they are part of.
fn edge(form: Form, walk: &WalkView, id: &str) -> Edge {
    let part = vehicle::geometry(form).panel(id);
    let asked = part.and_then(|part| part.part_of).unwrap_or(id);
    match walk.panels.iter().find(|panel| panel.panel == asked) {
        Some(panel) if panel.outcome == Outcome::NotLooked => Edge::Dotted,
        Some(_) => Edge::Plain,
        None if part.is_some_and(|part| part.optional) => Edge::Mute,
        None => Edge::Beside,
    }
}

/// Where a mark is drawn.
struct Stroke {
    from: (f64, f64),
    to: (f64, f64),
}

fn stroke(map: &PanelMap, mark: &MarkView) -> Option<Stroke> {
    let from = map.at(&mark.panel, mark.u_ppm, mark.v_ppm)?;
    let to = map.at(&mark.panel, mark.to_u_ppm, mark.to_v_ppm).unwrap_or(from);
    Some(Stroke { from, to })
}

impl Stroke {
    fn middle(&self) -> (f64, f64) {
        ((self.from.0 + self.to.0) / 2.0, (self.from.1 + self.to.1) / 2.0)
    }
    fn boxed(&self) -> Boxed {
        Boxed::round(self.from, self.to, 3.0)
    }
}

/// What a panel's answer looks like: a small tick for "nothing seen", a word for "could not see", nothing else.
fn say(out: &mut String, map: &PanelMap, panel: &PanelView, paper: &mut Paper) {
    match panel.outcome {
        Outcome::NothingSeen => {
            let half = (6.0, 5.5);
            let Some((x, y)) = spot(out, map, panel, half, paper) else { return };
            let _ = write!(out, "<path class=\"tick\" d=\"M{:.1} {y:.1}l3 4 6 -8\"/>", x - 5.0);
        }
        Outcome::CouldNotSee => {
            let word = why(panel);
            let half = (0.24 * LETTER * word.chars().count() as f64 + 1.0, 0.6 * LETTER);
            let Some((x, y)) = spot(out, map, panel, half, paper) else { return };
            let low = y + 0.33 * LETTER;
            let _ = write!(out, "<text class=\"why\" x=\"{x:.1}\" y=\"{low:.1}\">{}</text>", escape(word));
        }
        Outcome::Marks | Outcome::NotLooked => {}
    }
}

/// Where an answer stands: on the panel where there is room, otherwise beside it on a leader line.
fn spot(
    out: &mut String,
    map: &PanelMap,
    panel: &PanelView,
    half: (f64, f64),
    paper: &mut Paper,
) -> Option<(f64, f64)> {
    let within = paper.inside(map, &panel.panel, half)?;
    let place = if paper.free(within, half) {
        within
    } else {
        let from = paper.inside(map, &panel.panel, (2.0, 2.0))?;
        let place = paper.near(&panel.panel, from, half);
        let to = Boxed::at(place, half).nearest(from);
        let _ = write!(
            out,
            "<path class=\"leader\" d=\"M{:.1} {:.1}L{:.1} {:.1}\"/>",
            from.0, from.1, to.0, to.1
        );
        place
    };
    paper.take(Boxed::at(place, half));
    Some(place)
}

/// The word that a place that could not be seen carries.
pub(super) fn why(panel: &PanelView) -> &str {
    panel.text.rsplit(": ").next().unwrap_or(&panel.text)
}

/// A mark: its stroke, and its number at the end of a leader line where there is room.
fn number(out: &mut String, mark: &MarkView, stroke: &Stroke, paper: &mut Paper) {
    let letters = mark.label.chars().count() as f64;
    let half = ((0.31 * LETTER * letters + 3.0).max(8.5), 0.57 * LETTER);
    let middle = stroke.middle();
    let (x, y) = paper.near(&mark.panel, middle, half);
    let ((from_x, from_y), (to_x, to_y)) = (stroke.from, stroke.to);
    let _ = write!(
        out,
        "<path class=\"leader\" d=\"M{:.1} {:.1}L{x:.1} {y:.1}\"/>\
         <path class=\"mark\" d=\"M{from_x:.1} {from_y:.1}L{to_x:.1} {to_y:.1}\"/>\
         <rect class=\"paper\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>\
         <text class=\"number\" x=\"{x:.1}\" y=\"{:.1}\">{}</text>",
        middle.0,
        middle.1,
        x - half.0,
        y - half.1,
        2.0 * half.0,
        2.0 * half.1,
        y + 0.36 * LETTER,
        escape(&mark.label)
    );
    paper.take(Boxed::at((x, y), half));
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
