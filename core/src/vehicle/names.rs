//! The words of panels, inside places and every shared list, in UK and US English, from data files. Pure.
//!
//! The same part has different names, and the same name means different parts: a UK hood is a soft top, a US hood is
//! a bonnet. So what is stored is the neutral name, and a person's word is read with the person's country in mind.

use std::collections::HashMap;
use std::sync::OnceLock;

use super::geometry::Side;
use super::kit_has;
use super::sides::SpokenSide;
use crate::record::words::{Form, Locale};

/// The words of the country of an ISO 3166 code: US words where US English is the usual trade English.
pub fn locale_of_country(code: &str) -> Locale {
    if ["US", "CA", "PR", "PH"].iter().any(|c| c.eq_ignore_ascii_case(code)) {
        Locale::EnUs
    } else {
        Locale::EnGb
    }
}

pub(super) fn column(locale: Locale) -> usize {
    match locale {
        Locale::EnGb => 0,
        Locale::EnUs => 1,
    }
}

pub(super) struct Row {
    pub id: &'static str,
    pub texts: [&'static str; 2],
    also: [&'static str; 2],
}

/// The rows of a file of words.
pub(super) fn rows(file: &'static str) -> Vec<Row> {
    file.lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split('\t');
            let (id, uk, us) = (cells.next()?, cells.next()?, cells.next()?);
            let also = [cells.next().unwrap_or(""), cells.next().unwrap_or("")];
            Some(Row { id, texts: [uk, us], also })
        })
        .collect()
}

/// Panels with their words, and where each stands.
fn panels() -> &'static (Vec<Row>, HashMap<&'static str, usize>) {
    static PANELS: OnceLock<(Vec<Row>, HashMap<&'static str, usize>)> = OnceLock::new();
    PANELS.get_or_init(|| {
        let rows = rows(include_str!("words/panels.tsv"));
        let index = rows.iter().enumerate().map(|(i, r)| (r.id, i)).collect();
        (rows, index)
    })
}

fn panel_row(id: &str) -> Option<&'static Row> {
    let (rows, index) = panels();
    rows.get(*index.get(id)?)
}

/// Lists by name, their words by name, two texts each.
type Words = HashMap<&'static str, HashMap<&'static str, [&'static str; 2]>>;

fn words() -> &'static Words {
    static WORDS: OnceLock<Words> = OnceLock::new();
    WORDS.get_or_init(|| {
        let mut lists = Words::new();
        for line in include_str!("words/words.tsv").lines().skip(1) {
            let mut cells = line.split('\t');
            if let (Some(list), Some(word), Some(uk), Some(us)) =
                (cells.next(), cells.next(), cells.next(), cells.next())
            {
                lists.entry(list).or_default().insert(word, [uk, us]);
            }
        }
        lists
    })
}

fn inside() -> &'static [Row] {
    static INSIDE: OnceLock<Vec<Row>> = OnceLock::new();
    INSIDE.get_or_init(|| rows(include_str!("words/inside.tsv")))
}

/// What a panel or an inside place is called, in lower case; `None` for a name that is not ours.
pub fn panel_text(locale: Locale, id: &str) -> Option<&'static str> {
    let row = panel_row(id).or_else(|| inside().iter().find(|r| r.id == id))?;
    row.texts.get(column(locale)).copied()
}

/// What a word of a shared list is called. A list is named as its type in `record/words`, in lower case with hyphens
/// (`feel-level`, `owner-answer`; mark kinds are `kind`), or `side`, `spoken-side`, `class`, `runs`.
pub fn text(locale: Locale, list: &str, word: &str) -> Option<&'static str> {
    words().get(list)?.get(word)?.get(column(locale)).copied()
}

/// The panel that a person of a country means by a word, on a form that has it: "hood" is the bonnet to a US
/// reader, the soft top of a convertible to a UK one, and nothing on a UK saloon.
pub fn panel_by_text(locale: Locale, form: Form, said: &str) -> Option<&'static str> {
    let said = said.trim();
    let column = column(locale);
    let (rows, _) = panels();
    let on_form = |r: &&Row| kit_has(form, r.id);
    let exact = rows.iter().filter(on_form).find(|r| r.texts[column].eq_ignore_ascii_case(said));
    exact
        .or_else(|| {
            let also = |r: &&Row| r.also[column].split('|').any(|a| a.eq_ignore_ascii_case(said));
            rows.iter().filter(on_form).find(also)
        })
        .map(|r| r.id)
}

/// Words for sides as people say them before a panel's name, longest first.
const SPOKEN: &[(&str, SpokenSide)] = &[
    ("driver's side", SpokenSide::Drivers),
    ("driver side", SpokenSide::Drivers),
    ("driver's", SpokenSide::Drivers),
    ("drivers", SpokenSide::Drivers),
    ("driver", SpokenSide::Drivers),
    ("passenger's side", SpokenSide::Passenger),
    ("passenger side", SpokenSide::Passenger),
    ("passenger's", SpokenSide::Passenger),
    ("passenger", SpokenSide::Passenger),
    ("nearside", SpokenSide::Nearside),
    ("near side", SpokenSide::Nearside),
    ("n/s", SpokenSide::Nearside),
    ("offside", SpokenSide::Offside),
    ("off side", SpokenSide::Offside),
    ("o/s", SpokenSide::Offside),
    ("left", SpokenSide::Left),
    ("right", SpokenSide::Right),
];

/// The panel that a person means by a side and a word, as "driver's door" or "nearside rear wing"; `side` says which
/// side of this vehicle a word for a side is. A door without "front" or "rear" is the front one, beside the seat that
/// the word names.
pub fn panel_with_side(
    locale: Locale,
    form: Form,
    said: &str,
    side: impl Fn(SpokenSide) -> Side,
) -> Option<&'static str> {
    let said = said.trim().to_lowercase().replace('\u{2019}', "'");
    let found = SPOKEN.iter().find_map(|(word, spoken)| {
        let (before, after) = said.split_once(word)?;
        let apart = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
        let whole = apart(before.chars().next_back()) && apart(after.chars().next());
        whole.then(|| (format!("{} {}", before.trim(), after.trim()), side(*spoken).word()))
    });
    let Some((rest, side)) = found else { return panel_by_text(locale, form, &said) };
    let rest = rest.trim();
    [format!("{side} {rest}"), format!("{side} front {rest}"), format!("{rest} {side}")]
        .iter()
        .find_map(|text| panel_by_text(locale, form, text))
}

/// Every neutral panel name that has words.
pub fn panel_ids() -> impl Iterator<Item = &'static str> {
    panels().0.iter().map(|r| r.id)
}

/// Our own copy of a panel name that lives as long as the program, if it is one.
pub fn known(id: &str) -> Option<&'static str> {
    panel_row(id).map(|r| r.id)
}

/// The name of the same panel on the other side.
pub(super) fn other_side(id: &str) -> Option<&'static str> {
    let other = if id.split('-').any(|w| w == "left") {
        id.replace("left", "right")
    } else if id.split('-').any(|w| w == "right") {
        id.replace("right", "left")
    } else {
        return known(id);
    };
    known(&other)
}

/// Whether a place is an inside one.
pub fn is_inside(id: &str) -> bool {
    inside().iter().any(|row| row.id == id)
}

/// The places inside that a form has, in the order in which they are gone through.
pub fn inside_places(form: Form) -> Vec<&'static str> {
    let has = |id: &str| {
        let (van, bike) = (form == Form::Van, form == Form::Motorcycle);
        let (pickup, two) =
            (form == Form::Pickup, matches!(form, Form::Coupe | Form::Convertible | Form::Hatch3));
        let boot = matches!(form, Form::Saloon | Form::Coupe | Form::Convertible);
        let hatch = !(van || pickup || boot);
        match id {
            _ if bike => false,
            "rear-left-seat" | "rear-middle-seat" | "rear-right-seat" | "rear-belts" | "rear-carpet" => !van,
            "third-row-seats" => form == Form::PeopleCarrier,
            "rear-left-door-card" | "rear-right-door-card" => !van && !two,
            "parcel-shelf" => hatch && form != Form::PeopleCarrier,
            "boot-floor" | "boot-sides" | "boot-shuts" => hatch || boot,
            "load-area" | "bulkhead" => van,
            _ => true,
        }
    };
    inside().iter().map(|r| r.id).filter(|id| has(id)).collect()
}
