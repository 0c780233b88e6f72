//! A fleet list: the vehicles of one yard from a spreadsheet saved as CSV, so that nobody types 24 plates with cold
//! hands. Pure: bytes in; rows, and what is wrong with the others, out. One bad row never costs another.

mod csv;
#[cfg(test)]
mod tests;

pub use csv::MOST_BYTES;
use csv::{Record, Records, line_after};

use super::words::{Finish, Form, Locale};
use crate::vehicle;
use serde::Serialize;
use std::collections::HashMap;

/// Most rows that are read, without the header.
pub const MOST_ROWS: usize = 2_000;

/// What a fleet list says.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct FleetList {
    /// The rows that can be used, in the order of the list.
    pub rows: Vec<FleetRow>,
    /// What is wrong with the others, or with the list as a whole.
    pub errors: Vec<RowError>,
    /// Names of columns that mean nothing here; what stands in them is left out.
    pub unknown_columns: Vec<String>,
}

/// One vehicle; it has a plate, a VIN or a stock number.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct FleetRow {
    /// Line of the file in which the row begins, from 1.
    pub line: u32,
    /// Number plate as it stands there, at most 20 characters.
    pub plate: Option<String>,
    /// Vehicle identification number as it stands there, at most 30 characters.
    pub vin: Option<String>,
    /// Stock number, at most 40 characters.
    pub stock: Option<String>,
    /// Outline of the vehicle.
    pub form: Form,
    /// What the paint is; not known where the list does not say.
    pub finish: Finish,
    /// Colour in words, at most 100 characters.
    pub colour: Option<String>,
    /// Anything else, at most 4,000 characters; may hold line breaks.
    pub note: Option<String>,
}

/// What is wrong, and where.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct RowError {
    /// Line of the file in which the row begins, from 1.
    pub line: u32,
    /// Name of the column; empty when it is the whole row or list.
    pub column: String,
    /// What is wrong with it, in plain words.
    pub reason: String,
}

impl RowError {
    fn new(line: u32, column: &str, reason: impl Into<String>) -> Self {
        Self { line, column: column.to_owned(), reason: reason.into() }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Column {
    Plate,
    Vin,
    Stock,
    Form,
    Finish,
    Colour,
    Note,
}

/// Columns, the most characters of a cell, and what they may be called, as [`key`] makes it; the first name is ours.
/// Lengths are those of an opened job.
const COLUMNS: [(Column, usize, &[&str]); 7] = [
    (Column::Plate, 20, &["plate", "numberplate", "licenseplate", "licenceplate", "registration", "reg"]),
    (Column::Vin, 30, &["vin", "vinnumber"]),
    (Column::Stock, 40, &["stock", "stocknumber", "stockno"]),
    (Column::Form, 100, &["form", "body", "bodyform", "bodytype", "bodystyle"]),
    (Column::Finish, 100, &["finish", "paint"]),
    (Column::Colour, 100, &["colour", "color"]),
    (Column::Note, 4_000, &["note", "notes"]),
];

/// What vehicles are told apart by.
const NAMES: [Column; 3] = [Column::Plate, Column::Vin, Column::Stock];

impl Column {
    fn called(name: &str) -> Option<Self> {
        let name = key(name);
        COLUMNS.iter().find(|(.., names)| names.contains(&name.as_str())).map(|(column, ..)| *column)
    }

    fn name(self) -> &'static str {
        COLUMNS[self as usize].2[0]
    }

    fn longest(self) -> usize {
        COLUMNS[self as usize].1
    }
}

/// Reads a list: UTF-8, or UTF-16 with its byte order mark; cells parted by commas, semicolons or tabs; a header row
/// that names the columns. What cannot be used is told, never guessed.
pub fn read_fleet(bytes: &[u8]) -> FleetList {
    let read = csv::text(bytes).and_then(|text| {
        let (header, mut records) = header(&text)?;
        let mut list = List::of(&header)?;
        list.read(&mut records);
        Ok(list.done)
    });
    read.unwrap_or_else(|error| FleetList { errors: vec![error], ..FleetList::default() })
}

/// The header and what follows it, parted by whichever mark makes most of its names known.
fn header(text: &str) -> Result<(Record, Records<'_>), RowError> {
    let mut best = None;
    let mut most = 0;
    for delimiter in [',', ';', '\t'] {
        let mut records = Records::of(text, delimiter);
        let Some(first) = records.next() else { return Err(RowError::new(1, "", "the list is empty")) };
        let known = first.cells.iter().filter(|name| Column::called(name).is_some()).count();
        if known > most {
            (best, most) = (Some((first, records)), known);
        }
    }
    let Some((header, records)) = best else {
        let names: Vec<&str> = COLUMNS.iter().map(|(.., names)| names[0]).collect();
        let reason = format!("no header: the first row names the columns, {}", names.join(", "));
        let line = line_after(&text[..text.len() - text.trim_start().len()]);
        return Err(RowError::new(line, "", reason));
    };
    if header.torn {
        return Err(RowError::new(header.line, "", "the quotation marks of the header do not pair up"));
    }
    Ok((header, records))
}

/// A list while it is read.
struct List {
    /// Every column as it is called in the list, and what it means.
    columns: Vec<(String, Option<Column>)>,
    /// Plates, VINs and stock numbers so far, and where.
    seen: HashMap<(Column, String), u32>,
    done: FleetList,
}

impl List {
    fn of(header: &Record) -> Result<Self, RowError> {
        let columns: Vec<(String, Option<Column>)> =
            header.cells.iter().map(|name| (name.trim().to_owned(), Column::called(name))).collect();
        let has = |column| columns.iter().filter(|(_, means)| *means == Some(column)).count();
        if let Some((twice, ..)) = COLUMNS.iter().find(|(column, ..)| has(*column) > 1) {
            let reason = "the header names this column twice: rename or remove one";
            return Err(RowError::new(header.line, twice.name(), reason));
        }
        if has(Column::Form) == 0 {
            let reason = format!(
                "the header names no such column; it says what the vehicle is: {}",
                forms().accepted()
            );
            return Err(RowError::new(header.line, Column::Form.name(), reason));
        }
        if NAMES.iter().all(|column| has(*column) == 0) {
            let reason = "the header names no column plate, vin or stock; one of them is needed";
            return Err(RowError::new(header.line, Column::Plate.name(), reason));
        }
        let unknown = columns.iter().filter(|(name, means)| means.is_none() && !name.is_empty());
        let unknown_columns = unknown.map(|(name, _)| shown(name)).collect();
        let done = FleetList { unknown_columns, ..FleetList::default() };
        Ok(Self { columns, seen: HashMap::new(), done })
    }

    fn read(&mut self, records: &mut Records<'_>) {
        let mut count = 0;
        while let Some(record) = records.next() {
            count += 1;
            if count > MOST_ROWS {
                let reason = format!(
                    "more than {MOST_ROWS} rows: this one and those after it were not read; split the list"
                );
                self.done.errors.push(RowError::new(record.line, "", reason));
                return;
            }
            if record.torn {
                let reason = "a quotation mark is not closed, text stands behind a closing one, or the row has no \
                              end; this line was left out, reading went on with the next";
                self.done.errors.push(RowError::new(record.line, "", reason));
            } else if let Some(name) = self.broken_cell(&record) {
                let reason =
                    "holds a line break; is a quotation mark missing? Reading went on with the next line";
                self.done.errors.push(RowError::new(record.line, name, reason));
                records.take_one_line_only();
            } else {
                match self.row(&record) {
                    Ok(row) => self.done.rows.push(row),
                    Err(errors) => self.done.errors.extend(errors),
                }
            }
        }
    }

    /// The column of a cell with a line break that has no business there.
    fn broken_cell(&self, record: &Record) -> Option<&str> {
        let mut cells = record.cells.iter().zip(&self.columns);
        let broken =
            |cell: &str, means| cell.trim().contains('\n') && !matches!(means, Some(Column::Note) | None);
        cells.find(|(cell, (_, means))| broken(cell, *means)).map(|(_, (name, _))| name.as_str())
    }

    fn row(&mut self, record: &Record) -> Result<FleetRow, Vec<RowError>> {
        let line = record.line;
        let wrong = |column: &str, reason: String| RowError::new(line, column, reason);
        let mut errors = Vec::new();
        let mut cells: HashMap<Column, &str> = HashMap::new();
        for (place, cell) in record.cells.iter().map(|cell| cell.trim()).enumerate() {
            match self.columns.get(place) {
                _ if cell.is_empty() => {}
                Some((name, Some(column))) => {
                    cells.insert(*column, cell);
                    errors.extend(unfit(cell, *column).map(|reason| wrong(name, reason)));
                }
                Some((name, None)) if !name.is_empty() => {}
                _ => errors.push(wrong(
                    "",
                    format!(
                        "\"{}\" stands under no column name (cell {} of {}); a cell that holds the mark between \
                         cells needs quotation marks",
                        shown(cell),
                        place + 1,
                        record.cells.len()
                    ),
                )),
            }
        }
        let called = |column: Column| {
            let own = self.columns.iter().find(|(_, means)| *means == Some(column));
            own.map_or(column.name(), |(name, _)| name.as_str())
        };
        for column in NAMES {
            // "XX12 ABC" and "xx12-abc" are one plate; 1-23 and 12-3 are two stock numbers.
            let name = cells.get(&column).map(|cell| match column {
                Column::Stock => cell.to_lowercase(),
                _ => key(cell),
            });
            let Some(name) = name.filter(|name| !name.is_empty()) else { continue };
            let first = *self.seen.entry((column, name)).or_insert(line);
            if first != line {
                errors.push(wrong(called(column), format!("stands in line {first} already")));
            }
        }
        if NAMES.iter().all(|column| !cells.contains_key(column)) {
            errors.push(wrong(
                called(Column::Plate),
                "a row needs a plate, a VIN or a stock number".to_owned(),
            ));
        }
        let form = match cells.get(&Column::Form) {
            Some(said) => forms().meant(said),
            None => Err(format!("empty; one of: {}", forms().accepted())),
        };
        let finish = cells.get(&Column::Finish).map_or(Ok(Finish::Unknown), |said| finishes().meant(said));
        let text = |column| cells.get(&column).map(|cell| (*cell).to_owned());
        match (form, finish) {
            (Ok(form), Ok(finish)) if errors.is_empty() => Ok(FleetRow {
                line,
                plate: text(Column::Plate),
                vin: text(Column::Vin),
                stock: text(Column::Stock),
                form,
                finish,
                colour: text(Column::Colour),
                note: text(Column::Note),
            }),
            (form, finish) => {
                errors.extend(form.err().map(|reason| wrong(called(Column::Form), reason)));
                errors.extend(finish.err().map(|reason| wrong(called(Column::Finish), reason)));
                Err(errors)
            }
        }
    }
}

/// Why a cell cannot be kept, if so.
fn unfit(cell: &str, column: Column) -> Option<String> {
    let (length, longest) = (cell.chars().count(), column.longest());
    if length > longest {
        return Some(format!("{length} characters; at most {longest} can be kept"));
    }
    let bad = cell.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t'))?;
    Some(format!("holds the control character U+{:04X}", u32::from(bad)))
}

/// Letters and digits only, small: how names and words are compared.
fn key(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The beginning of a text, for messages.
fn shown(text: &str) -> String {
    text.chars().take(40).filter(|c| !c.is_control()).collect()
}

/// The words of a shared list that a cell may hold.
struct Words<T: 'static> {
    list: &'static str,
    all: &'static [T],
    word: fn(T) -> &'static str,
}

fn forms() -> Words<Form> {
    Words { list: "form", all: Form::ALL, word: Form::word }
}

fn finishes() -> Words<Finish> {
    Words { list: "finish", all: Finish::ALL, word: Finish::word }
}

impl<T: Copy> Words<T> {
    /// The UK and the US text of a word.
    fn texts(&self, word: T) -> [&'static str; 2] {
        [Locale::EnGb, Locale::EnUs]
            .map(|locale| vehicle::text(locale, self.list, (self.word)(word)).unwrap_or_default())
    }

    /// The word that a cell means: as it is stored, or its UK or US text, or one half of "metallic or pearl paint".
    fn meant(&self, said: &str) -> Result<T, String> {
        let said_key = key(said);
        let same = |text: &str| key(text) == said_key;
        let means = |word: &&T| {
            let halves = |text: &'static str| {
                let before = text.split(',').next().unwrap_or(text);
                before.trim_end_matches(" paint").split(" or ")
            };
            let texts = self.texts(**word);
            same((self.word)(**word)) || texts.into_iter().any(|text| same(text) || halves(text).any(same))
        };
        let found = self.all.iter().find(means);
        found.copied().ok_or_else(|| format!("\"{}\" is not one of: {}", shown(said), self.accepted()))
    }

    /// Every word, the US one in brackets where it differs.
    fn accepted(&self) -> String {
        let shown = |word: &T| match self.texts(*word) {
            [uk, us] if uk == us => uk.to_owned(),
            [uk, us] => format!("{uk} ({us})"),
        };
        self.all.iter().map(shown).collect::<Vec<_>>().join("; ")
    }
}
