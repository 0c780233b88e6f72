//! What follows from layers that were put on: until when to keep off them, and when to look at them again. Pure. Waits
//! and lives are the sheet's, in the version that the job used; what shortens a life is common practice, no source.
//!
//! Of several layers, the latest wait counts. When to look again is a suggestion with its reasons, never a promise of how
//! long a layer lasts. Times are UTC ms; whoever shows them gives them in the owner's zone.

use super::sheet::{self, Life, Sheet, SheetRef};
use super::words::{Sleeps, Step, SurfaceKind, Wait, WashHabit};
use crate::error::Error;
pub use crate::record::inputs::CarUse;
use serde::{Deserialize, Serialize};

const DAY_MS: i64 = 86_400_000;
/// A life is never taken as shorter than this share of the sheet's, percent (our choice, no source).
const LEAST_SHARE_PCT: u32 = 25;

/// A layer that was put on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Laid {
    /// Neutral name of the panel or place.
    pub place: String,
    /// What it is.
    pub kind: SurfaceKind,
    /// The layer.
    pub step: Step,
    /// With which version of which sheet; none: common practice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<SheetRef>,
    /// When its last coat was finished, UTC ms.
    pub finished_ms: i64,
}

/// Everything that is handed over.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Aftercare {
    /// What to keep off until when, earliest clock first; then what to do.
    pub lines: Vec<Line>,
    /// When to look again.
    pub look_again: Vec<Suggestion>,
    /// What must be known beside it: sheets that differ, sheets edited since.
    pub notes: Vec<String>,
}

/// One line of the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// Which of the five waits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wait: Option<Wait>,
    /// When it ends, UTC ms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until_ms: Option<i64>,
    /// In words; `{until}` stands where the time goes.
    pub text: String,
    /// The layer and surface that asks for it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub because: String,
}

impl Line {
    /// The line with its time, as the owner reads it.
    pub fn say(&self, until: &str) -> String {
        self.text.replace("{until}", until)
    }
}

/// When to look at a layer again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Suggestion {
    /// Where.
    pub place: String,
    /// Which layer.
    pub step: Step,
    /// From then on, UTC ms.
    pub from_ms: i64,
    /// At the latest then, UTC ms.
    pub by_ms: i64,
    /// In words.
    pub text: String,
    /// What it rests on.
    pub reasons: Vec<String>,
}

/// What follows from the layers; sheets count as they are given, their gaps filled when they were put on record. Refused: a step that is no layer, a sheet that is not there or is for another step, a time
/// beyond the calendar.
pub fn aftercare(laid: &[Laid], sheets: &[Sheet], car: &CarUse) -> Result<Aftercare, Error> {
    sheet::check_all(sheets)?;
    let mut after = Aftercare { lines: Vec::new(), look_again: Vec::new(), notes: Vec::new() };
    let mut layers: Vec<(&Laid, Sheet)> = Vec::new();
    for (number, layer) in laid.iter().enumerate() {
        layers.push((layer, sheet_of(number, layer, sheets, &mut after.notes)?));
        if layer.finished_ms.checked_add(30 * 366 * DAY_MS).is_none() || layer.finished_ms < 0 {
            return Err(Error::refused(format!("laid[{number}].finished_ms"), "not a date"));
        }
    }
    for inside in [false, true] {
        let group: Vec<&(&Laid, Sheet)> =
            layers.iter().filter(|(layer, _)| layer.kind.is_inside() == inside).collect();
        waits(&group, inside, &mut after);
    }
    after.lines.extend(habits(laid));
    for (layer, sheet) in &layers {
        // A coat over a coat begins its life anew.
        let again = |other: &Laid| other.place == layer.place && other.step == layer.step;
        let newest = laid.iter().filter(|other| again(other)).map(|other| other.finished_ms).max();
        let told = after.look_again.iter().any(|it| it.place == layer.place && it.step == layer.step);
        if let Some(life) = sheet.life
            && newest == Some(layer.finished_ms)
            && !told
        {
            after.look_again.push(suggestion(layer, life, sheet, car));
        }
    }
    after.look_again.sort_by_key(|suggestion| suggestion.from_ms);
    Ok(after)
}

fn sheet_of(number: usize, layer: &Laid, sheets: &[Sheet], notes: &mut Vec<String>) -> Result<Sheet, Error> {
    if !layer.step.is_layer() {
        let reason = format!("{} is no layer", layer.step.text());
        return Err(Error::refused(format!("laid[{number}].step"), reason));
    }
    let Some(kept) = &layer.sheet else {
        let start = sheet::starter()?.iter().find(|start| start.kind == layer.step);
        return start.cloned().ok_or_else(|| Error::internal("aftercare: a layer without a starter"));
    };
    let field = format!("laid[{number}].sheet");
    let standing = sheet::standing(sheets, kept, &field)?;
    if standing.sheet.kind != layer.step {
        return Err(Error::refused(
            field,
            format!("\"{}\" is for {}", kept.name, standing.sheet.kind.text()),
        ));
    }
    notes.extend(standing.edited.filter(|edited| !notes.contains(edited)));
    // Its gaps were filled when it was put on record, and by what was usual then: nothing here depends on a later starter set.
    Ok(standing.sheet.clone())
}

/// The five waits of a group of surfaces: the latest end of each counts.
fn waits(group: &[&(&Laid, Sheet)], inside: bool, after: &mut Aftercare) {
    for wait in Wait::ALL {
        let ends = group.iter().filter_map(|(layer, sheet)| {
            let span = sheet.waits.of(*wait)?;
            Some((layer.finished_ms + i64::from(span.longest_s()) * 1_000, *layer, sheet))
        });
        let mut ends: Vec<(i64, &Laid, &Sheet)> = ends.collect();
        ends.sort_by_key(|(until_ms, ..)| *until_ms);
        let Some((until_ms, layer, sheet)) = ends.last() else { continue };
        let name = |layer: &Laid, sheet: &Sheet| {
            format!("{} ({}) on {}", sheet.name, layer.step.text(), layer.place)
        };
        let because = name(layer, sheet);
        if let Some((_, other, other_sheet)) = ends.iter().find(|(other, _, own)| {
            other != until_ms
                && own.waits.of(*wait).map(sheet::Span::longest_s)
                    != sheet.waits.of(*wait).map(sheet::Span::longest_s)
        }) {
            after.notes.push(format!(
                "{} ends earlier for {} than for {because}; the later one counts.",
                sentence(*wait),
                name(other, other_sheet)
            ));
        }
        after.lines.push(Line {
            wait: Some(*wait),
            until_ms: Some(*until_ms),
            text: wait_text(*wait, inside).to_owned(),
            because,
        });
    }
}

fn sentence(wait: Wait) -> &'static str {
    match wait {
        Wait::Touch => "Keeping hands off",
        Wait::Rain => "Keeping dry",
        Wait::Wash => "Not washing",
        Wait::Chemicals => "Shampoo only",
        Wait::Full => "Curing",
    }
}

pub(super) fn wait_text(wait: Wait, inside: bool) -> &'static str {
    match (wait, inside) {
        (Wait::Touch, false) => "Do not touch it until {until}.",
        (Wait::Touch, true) => "Nobody sits there until {until}.",
        (Wait::Rain, false) => "Keep it dry until {until}; blot off any water at once.",
        (Wait::Rain, true) => "Keep the inside dry until {until}.",
        (Wait::Wash, false) => "No wash until {until}.",
        (Wait::Wash, true) => "No cleaning inside until {until}.",
        (Wait::Chemicals, _) => "Nothing stronger than shampoo until {until}.",
        (Wait::Full, false) => "Outside fully cured {until}.",
        (Wait::Full, true) => "Inside fully cured {until}.",
    }
}

/// What to do from then on. Common practice, no source.
fn habits(laid: &[Laid]) -> Vec<Line> {
    let any = |what: fn(&Laid) -> bool| laid.iter().any(what);
    let mut texts = Vec::new();
    if any(|layer| !layer.kind.is_inside() && layer.step != Step::TyreDressing) {
        texts.push("Take bird marks off within hours, with a damp cloth, without rubbing.");
        texts.push("Wash by hand, pH-neutral, two buckets; no tunnel brushes.");
    }
    if any(|layer| matches!(layer.step, Step::Ceramic | Step::FirstLayer)) {
        texts.push(
            "First wash to look after it: 2 to 4 weeks from now. Have it looked at after 6 or 12 months.",
        );
    }
    if any(|layer| layer.step == Step::GlassCoating) {
        texts.push("Leave the wipers off as long as it is to stay dry.");
    }
    if any(|layer| layer.step == Step::TyreDressing) {
        texts.push("Dressed tyre walls can sling a little on the first drive: drive slowly first.");
    }
    if any(|layer| layer.kind.is_inside()) {
        texts
            .push("Leave windows and belts as they are until it is dry; fit child seats and belts yourself.");
    }
    texts
        .into_iter()
        .map(|text| Line { wait: None, until_ms: None, text: text.to_owned(), because: String::new() })
        .collect()
}

/// What shortens a life, as the percentage that is left, and why. Common practice names them; the percentages are our
/// choice, no source, and never lengthen what the sheet says.
fn shortens(layer: &Laid, car: &CarUse) -> Vec<(u32, &'static str)> {
    let inside = layer.kind.is_inside();
    let leather = layer.step == Step::LeatherCare;
    let mut found = Vec::new();
    if car.km_a_year.is_some_and(|km| km > 20_000) {
        found.push((80, "more than 20,000 km a year"));
    }
    // Sun through the glass reaches leather and fabric too; rain and brushes do not.
    if car.sleeps == Some(Sleeps::Outside) {
        found.push((80, "it stands outside at night"));
    }
    if car.heat {
        found.push((80, "heat and strong sun"));
    }
    if leather && car.age_years.is_some_and(|years| years > 8) {
        found.push((80, "leather older than 8 years"));
    }
    if !inside && car.washed == Some(WashHabit::Tunnel) {
        found.push((60, "washed in a tunnel with brushes"));
    }
    if !inside && car.salt {
        found.push((80, "salted roads in the season ahead"));
    }
    found
}

fn suggestion(layer: &Laid, life: Life, sheet: &Sheet, car: &CarUse) -> Suggestion {
    let found = shortens(layer, car);
    let share = found.iter().fold(100, |share, (left, _)| share * left / 100).max(LEAST_SHARE_PCT);
    let days = |days: u32| (days * share / 100).max(1);
    let (least, most) = (days(life.least_days), days(life.most_days));
    let mut reasons = vec![format!("{}: {}", sheet.name, range_text(life.least_days, life.most_days))];
    reasons.extend(found.iter().map(|(_, why)| (*why).to_owned()));
    let text = format!(
        "Look again at {} on {} after about {}: a suggestion, not a promise.",
        layer.step.text(),
        layer.place,
        range_text(least, most)
    );
    Suggestion {
        place: layer.place.clone(),
        step: layer.step,
        from_ms: layer.finished_ms + i64::from(least) * DAY_MS,
        by_ms: layer.finished_ms + i64::from(most) * DAY_MS,
        text,
        reasons,
    }
}

/// `3 to 6 weeks`: the largest unit of which both ends are at least two.
pub(super) fn range_text(least: u32, most: u32) -> String {
    // A month is 30.4 days here.
    let units = [(3_652, "years"), (304, "months"), (70, "weeks"), (10, "days")];
    let count = |tenths: u32, days: u32| (days * 10 + tenths / 2) / tenths;
    let fits = |(tenths, _): &&(u32, &str)| count(*tenths, least) >= 2;
    let (tenths, unit) = units.iter().find(fits).copied().unwrap_or((10, "days"));
    let (least, most) = (count(tenths, least), count(tenths, most));
    let unit = if most == 1 { unit.trim_end_matches('s') } else { unit };
    if least == most { format!("{least} {unit}") } else { format!("{least} to {most} {unit}") }
}

/// `45 s`, `15 min`, `24 h`, `7 days`: the largest unit that leaves no rest, days from two on.
pub fn time_text(seconds: u32) -> String {
    match seconds {
        s if s >= 2 * 86_400 && s.is_multiple_of(86_400) => format!("{} days", s / 86_400),
        s if s >= 3_600 && s.is_multiple_of(3_600) => format!("{} h", s / 3_600),
        s if s >= 60 && s.is_multiple_of(60) => format!("{} min", s / 60),
        s => format!("{s} s"),
    }
}

#[cfg(test)]
mod tests;
