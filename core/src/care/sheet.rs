//! A product's sheet, as the user enters it: times, windows, cautions. Pure.
//!
//! A sheet is versioned: an edit makes the next version, and a job that runs keeps the version that it began with. What
//! a user's sheet leaves out is filled from a small starter set, by kind of product; every number of that set is common
//! practice, no source, and is told apart from what the sheet says.

use super::words::{Step, SurfaceKind, Wait};
use crate::error::Error;
pub use crate::record::inputs::{Coats, Humidity, Life, Section, Span, Temperatures, Waits};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::sync::OnceLock;

/// Longest name, characters.
const LONGEST_NAME: usize = 200;
/// Longest sentence, characters.
const LONGEST_TEXT: usize = 500;
/// Most cautions.
const MOST_CAUTIONS: usize = 20;
/// Longest wait or dwell: 400 days, seconds.
const LONGEST_S: u32 = 400 * 86_400;
/// Longest life: 20 years, days.
const LONGEST_DAYS: u32 = 7_305;
/// Temperatures that a sheet can mean, milli-°C: colder or hotter is a slip of the unit.
const TEMPERATURES_MC: (i32, i32) = (-40_000, 90_000);

impl Waits {
    /// One of the five.
    pub fn of(&self, wait: Wait) -> Option<Span> {
        match wait {
            Wait::Touch => self.touch,
            Wait::Rain => self.rain,
            Wait::Wash => self.wash,
            Wait::Chemicals => self.chemicals,
            Wait::Full => self.full,
        }
    }
}

/// One version of a product's sheet. What is left out, the sheet does not state.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// The product, 1 to 200 characters.
    pub name: String,
    /// Counts edits, from 1.
    pub version: u32,
    /// The step that it is for.
    pub kind: Step,
    /// Surfaces that it is for; none named: not stated.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub surfaces: Vec<SurfaceKind>,
    /// How much at a time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<Section>,
    /// How many coats.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coats: Option<Coats>,
    /// From applied to taken off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dwell: Option<Span>,
    /// How it goes on, at most 500 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apply: Option<String>,
    /// How it comes off, at most 500 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remove: Option<String>,
    /// From its end to the next layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next_layer: Option<Span>,
    /// The five waits.
    #[serde(default)]
    pub waits: Waits,
    /// Of the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air: Option<Temperatures>,
    /// Of the panel, which is not that of the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel: Option<Temperatures>,
    /// Of the air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub humidity: Option<Humidity>,
    /// How long it lasts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub life: Option<Life>,
    /// Whether it asks for shade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shade: Option<bool>,
    /// What to take care of: at most 20, of 500 characters.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
    /// Where it is from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// Names one version of one sheet: what a job keeps.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetRef {
    /// The product.
    pub name: String,
    /// Its version.
    pub version: u32,
}

/// JSON into a value; a wrong field is named by its path.
pub fn read<T: DeserializeOwned>(json: &[u8]) -> Result<T, Error> {
    let mut reader = serde_json::Deserializer::from_slice(json);
    let value = serde_path_to_error::deserialize(&mut reader).map_err(|why| {
        let field = if why.path().iter().next().is_none() { "file".into() } else { why.path().to_string() };
        Error::refused(field, why.inner().to_string())
    })?;
    reader.end().map_err(|why| Error::refused("file", why.to_string()))?;
    Ok(value)
}

fn ordered<T: PartialOrd + std::fmt::Display + Copy>(
    field: &str,
    (least, most): (T, T),
    (low, high): (T, T),
    unit: &str,
) -> Result<(), Error> {
    for value in [least, most] {
        if value < low || value > high {
            let reason = format!("{value} {unit} does not lie between {low} and {high} {unit}");
            return Err(Error::refused(field, reason));
        }
    }
    if least > most {
        return Err(Error::refused(
            field,
            format!("at least {least} {unit} is more than at most {most} {unit}"),
        ));
    }
    Ok(())
}

fn sentence(field: &str, text: &str, longest: usize) -> Result<(), Error> {
    let length = text.chars().count();
    if text.trim().is_empty() || length > longest {
        return Err(Error::refused(field, format!("{length} characters; 1 to {longest}, please")));
    }
    Ok(())
}

impl Sheet {
    /// A sheet that states nothing but what it is for.
    pub fn blank(name: impl Into<String>, kind: Step) -> Self {
        Self {
            name: name.into(),
            version: 1,
            kind,
            surfaces: Vec::new(),
            section: None,
            coats: None,
            dwell: None,
            apply: None,
            remove: None,
            next_layer: None,
            waits: Waits::default(),
            air: None,
            panel: None,
            humidity: None,
            life: None,
            shade: None,
            cautions: Vec::new(),
            source: None,
        }
    }

    /// Its reference.
    pub fn reference(&self) -> SheetRef {
        SheetRef { name: self.name.clone(), version: self.version }
    }

    /// Whether it contradicts itself; `at` stands before the fields' names, for example `sheets[2].`.
    pub fn check(&self, at: &str) -> Result<(), Error> {
        let field = |name: &str| format!("{at}{name}");
        sentence(&field("name"), &self.name, LONGEST_NAME)?;
        if self.version == 0 {
            return Err(Error::refused(field("version"), "versions count from 1"));
        }
        if !self.kind.has_product() {
            return Err(Error::refused(field("kind"), format!("{} needs no product", self.kind.text())));
        }
        if let Some(section) = self.section {
            ordered(&field("section"), (section.least, section.most), (1, 5_000), "")?;
        }
        if let Some(coats) = self.coats {
            ordered(&field("coats"), (coats.least, coats.most), (1, 20), "coats")?;
        }
        if let Some(life) = self.life {
            ordered(&field("life"), (life.least_days, life.most_days), (1, LONGEST_DAYS), "days")?;
        }
        for (name, window) in [("air", self.air), ("panel", self.panel)] {
            if let Some(window) = window {
                ordered(&field(name), (window.least_mc, window.most_mc), TEMPERATURES_MC, "m°C")?;
            }
        }
        if let Some(humidity) = self.humidity {
            ordered(&field("humidity"), (humidity.least_pct, humidity.most_pct), (0, 100), "%")?;
        }
        let waits = Wait::ALL.iter().map(|wait| (format!("waits.{}", wait.word()), self.waits.of(*wait)));
        let spans = [("dwell".to_owned(), self.dwell), ("next_layer".to_owned(), self.next_layer)];
        for (name, span) in spans.into_iter().chain(waits) {
            if let Some(span) = span {
                ordered(&field(&name), (span.least_s, span.longest_s()), (0, LONGEST_S), "s")?;
            }
        }
        // Nothing is cured, or may be rained on, that may not even be touched. The other waits have no fixed order.
        for later in [Wait::Rain, Wait::Full] {
            if let (Some(touch), Some(late)) = (self.waits.touch, self.waits.of(later))
                && late.longest_s() < touch.least_s
            {
                let reason =
                    format!("{} s is over before it may be touched, {} s", late.longest_s(), touch.least_s);
                return Err(Error::refused(field(&format!("waits.{}", later.word())), reason));
            }
        }
        for (name, text) in [("apply", &self.apply), ("remove", &self.remove), ("source", &self.source)] {
            if let Some(text) = text {
                sentence(&field(name), text, LONGEST_TEXT)?;
            }
        }
        if self.cautions.len() > MOST_CAUTIONS {
            return Err(Error::refused(field("cautions"), format!("at most {MOST_CAUTIONS}")));
        }
        for (number, caution) in self.cautions.iter().enumerate() {
            sentence(&field(&format!("cautions[{number}]")), caution, LONGEST_TEXT)?;
        }
        Ok(())
    }

    /// Whether it says that it is for a surface; nothing when it names none.
    pub fn is_for(&self, surface: SurfaceKind) -> Option<bool> {
        if self.surfaces.is_empty() { None } else { Some(self.surfaces.contains(&surface)) }
    }
}

/// Checks a list of sheets: each by itself, one kind to a name, and no version twice with different content. The same
/// version twice with the same content is one.
pub fn check_all(sheets: &[Sheet]) -> Result<(), Error> {
    for (number, sheet) in sheets.iter().enumerate() {
        sheet.check(&format!("sheets[{number}]."))?;
        for (earlier, other) in
            sheets[..number].iter().enumerate().filter(|(_, other)| other.name == sheet.name)
        {
            if other.kind != sheet.kind {
                let reason = format!("sheets[{earlier}] has this name and is for {}", other.kind.text());
                return Err(Error::refused(format!("sheets[{number}].kind"), reason));
            }
            if other.version == sheet.version && other != sheet {
                let reason =
                    format!("version {} stands in sheets[{earlier}] with other content", sheet.version);
                return Err(Error::refused(format!("sheets[{number}].version"), reason));
            }
        }
    }
    Ok(())
}

/// The newest version of a product's sheet.
pub fn newest<'a>(sheets: &'a [Sheet], name: &str) -> Option<&'a Sheet> {
    sheets.iter().filter(|sheet| sheet.name == name).max_by_key(|sheet| sheet.version)
}

/// Fields that differ between two versions, by name.
pub fn differences(old: &Sheet, new: &Sheet) -> Result<Vec<String>, Error> {
    let broken = |why: serde_json::Error| Error::internal(format!("sheet: {why}"));
    let [old, new] = [old, new].map(serde_json::to_value);
    let (old, new) = (old.map_err(broken)?, new.map_err(broken)?);
    let names = |value: &serde_json::Value| -> Vec<String> {
        value.as_object().map(|fields| fields.keys().cloned().collect()).unwrap_or_default()
    };
    let mut all = names(&old);
    all.extend(names(&new));
    all.sort_unstable();
    all.dedup();
    all.retain(|name| name != "version" && old.get(name) != new.get(name));
    Ok(all)
}

/// Takes an edited sheet as the next version of the old one. Refused: another version than the next, another product or
/// kind, nothing changed.
pub fn revise(old: &Sheet, new: &Sheet) -> Result<(), Error> {
    new.check("")?;
    if new.name != old.name {
        return Err(Error::refused("name", "another product is another sheet, not a version of this one"));
    }
    if new.kind != old.kind {
        return Err(Error::refused("kind", format!("this sheet is for {}", old.kind.text())));
    }
    if old.version.checked_add(1) != Some(new.version) {
        return Err(Error::refused(
            "version",
            format!("{} is not the one after {}", new.version, old.version),
        ));
    }
    if differences(old, new)?.is_empty() {
        return Err(Error::refused("version", "nothing was changed"));
    }
    Ok(())
}

/// The sheet that a running job goes by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing<'a> {
    /// The version that the job began with.
    pub sheet: &'a Sheet,
    /// Said when the sheet was edited since.
    pub edited: Option<String>,
}

/// Finds the version that a job began with. A newer one does not replace it in this job; that it exists is said.
pub fn standing<'a>(sheets: &'a [Sheet], kept: &SheetRef, field: &str) -> Result<Standing<'a>, Error> {
    let versions = || sheets.iter().filter(|sheet| sheet.name == kept.name);
    let sheet = versions().find(|sheet| sheet.version == kept.version).ok_or_else(|| {
        let reason = match versions().count() {
            0 => format!("no sheet called \"{}\"", kept.name),
            _ => format!("\"{}\" has no version {}", kept.name, kept.version),
        };
        Error::refused(field, reason)
    })?;
    let edited = match newest(sheets, &kept.name) {
        Some(newer) if newer.version > sheet.version => Some(format!(
            "\"{}\" was edited to version {} ({}); this job goes on with version {}.",
            sheet.name,
            newer.version,
            differences(sheet, newer)?.join(", "),
            sheet.version
        )),
        _ => None,
    };
    Ok(Standing { sheet, edited })
}

/// The starter set: one sheet a kind, every number common practice, no source. There is none for acid wheel cleaners:
/// the careful advice is not to use them.
pub fn starter() -> Result<&'static [Sheet], Error> {
    static STARTER: OnceLock<Result<Vec<Sheet>, Error>> = OnceLock::new();
    let sheets = STARTER.get_or_init(|| read(include_bytes!("starter.json")));
    sheets.as_deref().map_err(Clone::clone)
}

/// A sheet with its gaps filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filled {
    /// The sheet.
    pub sheet: Sheet,
    /// Fields that are not from the sheet but common practice, no source.
    pub usual: Vec<&'static str>,
}

/// Fills what a user's sheet leaves out from the starter of its kind; what it states stands, whatever the starter says.
pub fn fill(sheet: &Sheet) -> Result<Filled, Error> {
    let mut filled = Filled { sheet: sheet.clone(), usual: Vec::new() };
    let Some(start) = starter()?.iter().find(|start| start.kind == sheet.kind) else { return Ok(filled) };
    let (own, usual) = (&mut filled.sheet, &mut filled.usual);
    let mut take = |name, is_open: bool, given: bool| {
        let takes = is_open && given;
        if takes {
            usual.push(name);
        }
        takes
    };
    macro_rules! fill {
        ($($name:literal $($field:ident).+),* $(,)?) => { $(
            if take($name, own.$($field).+.is_none(), start.$($field).+.is_some()) {
                own.$($field).+.clone_from(&start.$($field).+);
            }
        )* };
    }
    fill!(
        "section" section, "coats" coats, "dwell" dwell, "apply" apply, "remove" remove,
        "next_layer" next_layer, "waits.touch" waits.touch, "waits.rain" waits.rain, "waits.wash" waits.wash,
        "waits.chemicals" waits.chemicals, "waits.full" waits.full, "air" air, "panel" panel,
        "humidity" humidity, "life" life, "shade" shade,
    );
    if take("surfaces", own.surfaces.is_empty(), !start.surfaces.is_empty()) {
        own.surfaces.clone_from(&start.surfaces);
    }
    if take("cautions", own.cautions.is_empty(), !start.cautions.is_empty()) {
        own.cautions.clone_from(&start.cautions);
    }
    Ok(filled)
}

#[cfg(test)]
mod tests;
