//! The sentences of a report: what a walk-around found, in one breath. Pure.

use super::drawing::why;
use crate::record::views::{JobView, PanelView, WalkView};
use crate::record::words::{Outcome, Stage};

/// The places of a walk-around by their outcome, in walking order.
pub(super) fn by_outcome(walk: &WalkView, outcome: Outcome) -> Vec<&PanelView> {
    walk.panels.iter().filter(|panel| panel.outcome == outcome).collect()
}

/// One sentence on what a walk-around found. What was not looked at and what could not be seen are always said.
pub(super) fn sentence(walk: &WalkView) -> String {
    let count = |outcome| by_outcome(walk, outcome).len();
    let [marked, clear, unseen, bare] =
        [Outcome::Marks, Outcome::NothingSeen, Outcome::CouldNotSee, Outcome::NotLooked].map(count);
    let when = match walk.stage {
        Stage::AsFound => "On arrival",
        Stage::AfterWash => "After the wash",
        Stage::Handover => "At handover",
        Stage::ComeBack => "When the vehicle came back",
    };
    if marked + clear + unseen == 0 {
        return format!("{when} no place was looked at ({}).", of(bare, "place"));
    }
    let marks: usize = walk.panels.iter().map(|panel| panel.marks.len()).sum();
    let mut parts = vec![match (marks, marked) {
        (0, _) => format!("{when} no mark was recorded"),
        (1, _) => format!("{when} 1 mark was recorded"),
        (n, _) => format!("{when} {n} marks were recorded, on {}", of(marked, "place")),
    }];
    if clear > 0 {
        parts.push(format!("on {} nothing was seen", of(clear, "place")));
    }
    if unseen > 0 {
        parts.push(format!("{} could not be seen{}", of(unseen, "place"), whys(walk)));
    }
    if bare > 0 {
        let was = if bare == 1 { "was" } else { "were" };
        parts.push(format!("{} {was} not looked at", of(bare, "place")));
    }
    let last = parts.pop().unwrap_or_default();
    if parts.is_empty() { format!("{last}.") } else { format!("{}; {last}.", parts.join("; ")) }
}

fn of(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// ` (dirt, wet)`
fn whys(walk: &WalkView) -> String {
    let mut words: Vec<&str> = Vec::new();
    for panel in by_outcome(walk, Outcome::CouldNotSee) {
        let word = why(panel);
        if word != panel.text && !words.contains(&word) {
            words.push(word);
        }
    }
    if words.is_empty() { String::new() } else { format!(" ({})", words.join(", ")) }
}

/// A text with a capital at its beginning.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What stands at the foot of each printed sheet.
pub(super) fn foot(view: &JobView) -> String {
    let which = view.vehicle.plate.as_ref().or(view.vehicle.vin.as_ref());
    let name = which.map_or_else(
        || "no plate recorded".to_owned(),
        |name| format!("\u{2068}{}\u{2069}", one_direction(name)),
    );
    let demo = if view.demo { "Demonstration, all invented. " } else { "" };
    format!("{demo}Condition report, {name}, {}", view.opened.day)
}

/// A string of a style sheet (CSS Syntax Level 3, section 4.3.7): everything but plain letters and digits as its code
/// point, so that what people typed never ends the string or the sheet.
pub(super) fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        if letter.is_ascii_alphanumeric() || " ,.".contains(letter) {
            out.push(letter);
        } else {
            out.push_str(&format!("\\{:x} ", u32::from(letter)));
        }
    }
    out.push('"');
    out
}

/// Without marks of writing direction and control characters.
fn one_direction(text: &str) -> String {
    text.chars()
        .filter(|letter| !letter.is_control())
        .filter(|letter| !matches!(u32::from(*letter), 0x200E | 0x200F | 0x061C | 0x202A..=0x202E | 0x2066..=0x2069))
        .collect()
}
