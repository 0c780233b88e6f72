//! The panel drawing of a report: the car folded flat, marks as numbers on short leader lines, and what was not looked
//! at or could not be seen told by line and word, never by colour. Pure; SVG 1.1.

use crate::record::views::{MarkView, PanelView, WalkView};
use crate::record::words::{Form, Outcome};
use crate::vehicle::{self, PanelMap, Sheet, Weight};
use std::fmt::Write as _;

/// Height of a number in the drawing's units (400 units are the width of a phone).
const FIGURE: f64 = 11.0;

/// A drawing of what one walk-around says.
pub(super) fn svg(form: Form, walk: &WalkView, marks: &[&MarkView], title: &str) -> String {
    let map = vehicle::panel_map(form, Sheet::Flat);
    let (width, height) = (map.width, map.height);
    let mut out = String::new();
    let _ = write!(
        out,
        "<svg class=\"car\" viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\" aria-label=\"{}\" xmlns=\"http://www.w3.org/2000/svg\">",
        escape(title)
    );
    for panel in &walk.panels {
        if let Some(path) = map.panel_path(&panel.panel) {
            let class = match panel.outcome {
                Outcome::NothingSeen => "seen",
                Outcome::Marks => "marked",
                Outcome::CouldNotSee => "unseen",
                Outcome::NotLooked => "bare",
            };
            let _ = write!(out, "<path class=\"{class}\" d=\"{path}\"/>");
        }
    }
    for outline in &map.outlines {
        let bare = outline.panel.is_some_and(|id| {
            walk.panels.iter().any(|panel| panel.panel == id && panel.outcome == Outcome::NotLooked)
        });
        let class = match (outline.weight, bare) {
            (_, true) => "dotted",
            (Weight::Outline, false) => "outline",
            (Weight::Shut, false) => "shut",
            (Weight::Detail, false) => "detail",
        };
        let _ = write!(out, "<path class=\"{class}\" d=\"{}\"/>", outline.d());
    }
    let mut taken: Vec<[f64; 4]> = Vec::new();
    for panel in &walk.panels {
        said(&mut out, map, panel, &mut taken);
    }
    for mark in marks {
        numbered(&mut out, map, mark, &mut taken);
    }
    out.push_str("</svg>");
    out
}

/// What a panel's answer looks like: a small tick for "nothing seen", a word for "could not see", nothing else.
fn said(out: &mut String, map: &PanelMap, panel: &PanelView, taken: &mut Vec<[f64; 4]>) {
    let Some((x, y)) = map.at(&panel.panel, 500_000, 500_000) else { return };
    match panel.outcome {
        Outcome::NothingSeen => {
            let _ = write!(out, "<path class=\"tick\" d=\"M{:.1} {y:.1}l3 4 6 -8\"/>", x - 5.0);
            taken.push([x - 6.0, y - 6.0, x + 6.0, y + 6.0]);
        }
        Outcome::CouldNotSee => {
            let word = panel.text.rsplit(": ").next().unwrap_or(&panel.text);
            let half = 2.8 * word.chars().count() as f64;
            let _ = write!(out, "<text class=\"why\" x=\"{x:.1}\" y=\"{:.1}\">{}</text>", y + 3.0, escape(word));
            taken.push([x - half, y - 6.0, x + half, y + 6.0]);
        }
        Outcome::Marks | Outcome::NotLooked => {}
    }
}

/// A mark: its stroke, and its number at the end of a leader line where there is room.
fn numbered(out: &mut String, map: &PanelMap, mark: &MarkView, taken: &mut Vec<[f64; 4]>) {
    let Some((x, y)) = map.at(&mark.panel, mark.u_ppm, mark.v_ppm) else { return };
    let (to_x, to_y) = map.at(&mark.panel, mark.to_u_ppm, mark.to_v_ppm).unwrap_or((x, y));
    let (mid_x, mid_y) = ((x + to_x) / 2.0, (y + to_y) / 2.0);
    let half = (mark.label.chars().count() as f64 * 0.32 * FIGURE).max(4.0) + 2.0;
    let room = |x: f64, y: f64| [x - half, y - 0.6 * FIGURE, x + half, y + 0.6 * FIGURE];
    // Eight directions, near before far; the sixteenth turn keeps leaders off the drawing's own upright lines.
    let mut places = [18.0, 28.0, 40.0, 54.0].into_iter().flat_map(|far| {
        (0..8).map(move |turn| {
            let angle = (f64::from(turn) + 0.5) * core::f64::consts::FRAC_PI_4;
            (mid_x + far * libm::cos(angle), mid_y - far * libm::sin(angle))
        })
    });
    let free = |&(x, y): &(f64, f64)| {
        let [left, top, right, bottom] = room(x, y);
        left > 0.0
            && top > 0.0
            && right < map.width
            && bottom < map.height
            && taken.iter().all(|[l, t, r, b]| right < *l || left > *r || bottom < *t || top > *b)
    };
    let (at_x, at_y) = places.find(free).unwrap_or((mid_x, mid_y));
    let _ = write!(
        out,
        "<path class=\"leader\" d=\"M{mid_x:.1} {mid_y:.1}L{at_x:.1} {at_y:.1}\"/>\
         <path class=\"mark\" d=\"M{x:.1} {y:.1}L{to_x:.1} {to_y:.1}\"/>\
         <rect class=\"paper\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>\
         <text class=\"number\" x=\"{at_x:.1}\" y=\"{:.1}\">{}</text>",
        at_x - half,
        at_y - 0.6 * FIGURE,
        2.0 * half,
        1.2 * FIGURE,
        at_y + 0.36 * FIGURE,
        escape(&mark.label)
    );
    taken.push(room(at_x, at_y));
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
