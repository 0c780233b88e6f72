//! `sidelong record`: a file of inputs, one a line, through the same door as a phone's.

use crate::{Ended, io, print_json};
use indicatif::{ProgressBar, ProgressStyle};
use sidelong_core::api::{Changes, Notebook};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::Input;
use std::io::{IsTerminal as _, Read as _};
use std::path::Path;

/// Longest line that is read, bytes: far beyond any input.
const LONGEST_LINE: usize = 4_000_000;

/// What was wrong with a line.
#[derive(Debug, serde::Serialize)]
struct RefusedLine {
    file: String,
    line: usize,
    field: String,
    reason: String,
}

/// Prints the JSON Schema of an input.
pub fn schema() -> Result<Ended, Error> {
    let schema = schemars::schema_for!(Input);
    let text =
        serde_json::to_string_pretty(&schema).map_err(|why| Error::internal(format!("schema: {why}")))?;
    println!("{text}");
    Ok(Ended::Well)
}

/// Records every line of a file, up to the first that is refused.
pub fn run(notebook: &Notebook, file: &Path, json: bool) -> Result<Ended, Error> {
    let (text, folder) = if file == Path::new("-") {
        let mut text = Vec::new();
        std::io::stdin().read_to_end(&mut text).map_err(|why| io(file, &why))?;
        (text, Path::new(".").to_owned())
    } else {
        let text = std::fs::read(file).map_err(|why| io(file, &why))?;
        let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
        (text, folder.unwrap_or(Path::new(".")).to_owned())
    };
    let recorded = lines(notebook, &text, &folder, |changes| if json { print_json(changes) } else { Ok(()) });
    match recorded {
        Ok(count) => {
            if !json {
                let again = if count.again > 0 {
                    format!(" ({} were on record already)", count.again)
                } else {
                    String::new()
                };
                println!("{} inputs on record{again}", count.inputs);
            }
            Ok(Ended::Well)
        }
        Err(Stopped::Line { line, field, reason, kept }) => {
            let file =
                if file == Path::new("-") { "standard input".to_owned() } else { file.display().to_string() };
            let refused = RefusedLine { file, line, field, reason };
            if json {
                let text =
                    serde_json::to_string(&refused).map_err(|why| Error::internal(format!("json: {why}")))?;
                eprintln!("{text}");
            } else {
                let RefusedLine { file, line, field, reason } = refused;
                let field = if field.is_empty() { String::new() } else { format!("{field}: ") };
                eprintln!("sidelong: {file}, line {line}: {field}{reason}");
                eprintln!("sidelong: the {kept} inputs before it are on record; nothing after it was read");
            }
            Ok(Ended::Badly)
        }
        Err(Stopped::Error(error)) => Err(error),
    }
}

/// How many inputs a file held.
#[derive(Debug, Default)]
pub struct Count {
    /// Inputs that are on record now.
    pub inputs: usize,
    /// Of these, on record before.
    pub again: usize,
}

/// Why a file was not recorded to its end.
#[derive(Debug)]
pub enum Stopped {
    /// A line was refused; the lines before it are on record.
    Line {
        /// Number of the line, from 1.
        line: usize,
        /// Path of the field, empty when the line as a whole is meant.
        field: String,
        /// Why.
        reason: String,
        /// Inputs recorded before.
        kept: usize,
    },
    /// The store or a file failed.
    Error(Error),
}

/// Records the lines of a text; photos are named relative to `folder`.
pub fn lines(
    notebook: &Notebook,
    text: &[u8],
    folder: &Path,
    mut told: impl FnMut(&Changes) -> Result<(), Error>,
) -> Result<Count, Stopped> {
    let total = text.split(|byte| *byte == b'\n').filter(|line| !line.trim_ascii().is_empty()).count();
    let bar = progress(total);
    let mut count = Count::default();
    for (number, line) in (1..).zip(text.split(|byte| *byte == b'\n')) {
        let line = line.trim_ascii();
        if line.is_empty() {
            continue;
        }
        let refused =
            |field: String, reason: String, kept| Stopped::Line { line: number, field, reason, kept };
        let input = parse(line).map_err(|(field, reason)| refused(field, reason, count.inputs))?;
        match notebook.record_from(folder.display().to_string(), input) {
            Ok(changes) => {
                told(&changes).map_err(Stopped::Error)?;
                count.inputs += 1;
                count.again += usize::from(changes.again);
                bar.inc(1);
            }
            Err(Error::Refused { field, reason }) => return Err(refused(field, reason, count.inputs)),
            Err(why @ Error::InputReused { .. }) => {
                return Err(refused("input".to_owned(), why.to_string(), count.inputs));
            }
            Err(why @ Error::Photo { .. }) => {
                return Err(refused("act.attach_photo.file".to_owned(), why.to_string(), count.inputs));
            }
            Err(why) => return Err(Stopped::Error(why)),
        }
    }
    bar.finish_and_clear();
    Ok(count)
}

fn parse(line: &[u8]) -> Result<Input, (String, String)> {
    if line.len() > LONGEST_LINE {
        return Err((String::new(), format!("{} bytes in one line; at most {LONGEST_LINE}", line.len())));
    }
    let mut reader = serde_json::Deserializer::from_slice(line);
    let input = serde_path_to_error::deserialize(&mut reader).map_err(|why| {
        let field = if why.path().iter().next().is_none() { String::new() } else { why.path().to_string() };
        (field, why.inner().to_string())
    })?;
    reader.end().map_err(|why| (String::new(), why.to_string()))?;
    Ok(input)
}

/// A bar on a terminal, nothing elsewhere.
fn progress(total: usize) -> ProgressBar {
    if !std::io::stderr().is_terminal() || total < 2 {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(total as u64);
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} inputs") {
        bar.set_style(style);
    }
    bar
}
