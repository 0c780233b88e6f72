//! From the bytes of a file to the rows of its table (RFC 4180): encodings, line ends, quotation marks. Pure.
//!
//! The rows are split here and not by a library, because those at hand take a quotation mark that is never closed as
//! one long cell, and every row after it is gone without a word. Here it is told, and reading goes on with the next
//! line. What is well formed is split as others split it (Python's `csv` is set beside it).

use super::RowError;

/// Most bytes that are read.
pub const MOST_BYTES: usize = 2_000_000;

/// A row longer than this is taken for one whose quotation mark is not closed, bytes.
const LONGEST_ROW: usize = 65_536;

/// What to do about bytes that cannot be read.
const SAVE_AGAIN: &str = "save the list again as \"CSV UTF-8\"";

/// The text of the file, with `\n` at the end of every line whatever stood there.
pub(super) fn text(bytes: &[u8]) -> Result<String, RowError> {
    if bytes.len() > MOST_BYTES {
        let reason = format!("{} bytes; at most {MOST_BYTES} are read: split the list", bytes.len());
        return Err(RowError::new(1, "", reason));
    }
    let text = if let Some(rest) = bytes.strip_prefix(&[0xff, 0xfe]) {
        utf16(rest, u16::from_le_bytes)?
    } else if let Some(rest) = bytes.strip_prefix(&[0xfe, 0xff]) {
        utf16(rest, u16::from_be_bytes)?
    } else {
        utf8(bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes))?
    };
    if let Some(at) = text.find('\0') {
        let reason = format!("holds zero bytes, so it is not CSV in UTF-8: {SAVE_AGAIN}");
        return Err(RowError::new(line_after(&text[..at]), "", reason));
    }
    Ok(plain_lines(&text))
}

fn utf8(bytes: &[u8]) -> Result<String, RowError> {
    std::str::from_utf8(bytes).map(str::to_owned).map_err(|why| {
        let before = String::from_utf8_lossy(&bytes[..why.valid_up_to()]);
        let byte = bytes.get(why.valid_up_to()).copied().unwrap_or_default();
        let reason = format!("the byte {byte:02X} is not UTF-8 here; {SAVE_AGAIN}");
        RowError::new(line_after(&before), "", reason)
    })
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, RowError> {
    let (pairs, odd) = bytes.as_chunks::<2>();
    let mut text = String::with_capacity(bytes.len());
    let broken = |text: &str, what: &str| {
        Err(RowError::new(line_after(text), "", format!("{what} is not UTF-16; {SAVE_AGAIN}")))
    };
    for read in char::decode_utf16(pairs.iter().map(|pair| unit(*pair))) {
        match read {
            Ok(letter) => text.push(letter),
            Err(half) => return broken(&text, &format!("the half letter {:04X}", half.unpaired_surrogate())),
        }
    }
    if odd.is_empty() { Ok(text) } else { broken(&text, "the single last byte") }
}

fn plain_lines(text: &str) -> String {
    text.replace("\r\n", "\n").replace('\r', "\n")
}

/// The number of the line in which a text ends, from 1.
pub(super) fn line_after(text: &str) -> u32 {
    let ends = plain_lines(text).matches('\n').count();
    u32::try_from(ends).unwrap_or(u32::MAX).saturating_add(1)
}

/// A row as it was split.
pub(super) struct Record {
    pub line: u32,
    pub cells: Vec<String>,
    /// A quotation mark is not closed, or something stands behind one that is.
    pub torn: bool,
}

impl Record {
    fn blank(&self) -> bool {
        !self.torn && self.cells.iter().all(|cell| cell.trim().is_empty())
    }
}

/// The rows of a text that are not blank, one after the other.
pub(super) struct Records<'a> {
    rest: &'a str,
    line: u32,
    delimiter: char,
    /// Where the last one began.
    last: (&'a str, u32),
}

impl<'a> Records<'a> {
    pub fn of(text: &'a str, delimiter: char) -> Self {
        Self { rest: text, line: 1, delimiter, last: (text, 1) }
    }

    /// Goes back to the second line of the last row: its lines do not belong together.
    pub fn take_one_line_only(&mut self) {
        let (rest, line) = self.last;
        self.rest = rest.split_once('\n').map_or("", |(_, rest)| rest);
        self.line = line.saturating_add(1);
    }
}

impl Iterator for Records<'_> {
    type Item = Record;

    fn next(&mut self) -> Option<Record> {
        while !self.rest.is_empty() {
            self.last = (self.rest, self.line);
            let (cells, used) = split(self.rest, self.delimiter);
            let torn = used.is_none();
            let record = Record { line: self.line, cells, torn };
            let (row, rest) = self.rest.split_at(used.unwrap_or(0));
            let lines = u32::try_from(row.matches('\n').count()).unwrap_or(u32::MAX);
            (self.rest, self.line) = (rest, self.line.saturating_add(lines));
            if torn {
                self.take_one_line_only();
            }
            if !record.blank() {
                return Some(record);
            }
        }
        None
    }
}

/// The cells of the first row, and how many bytes it takes with its line end; none when its quotation marks do not
/// pair up.
fn split(text: &str, delimiter: char) -> (Vec<String>, Option<usize>) {
    #[derive(PartialEq)]
    enum At {
        Start,
        Plain,
        Quoted,
        Closed,
    }
    let (mut cells, mut cell, mut at) = (Vec::new(), String::new(), At::Start);
    for (place, letter) in text.char_indices().take_while(|(place, _)| *place <= LONGEST_ROW) {
        match letter {
            '"' if at == At::Start => at = At::Quoted,
            '"' if at == At::Quoted => at = At::Closed,
            '"' if at == At::Closed => {
                cell.push('"');
                at = At::Quoted;
            }
            _ if at == At::Quoted => cell.push(letter),
            '\n' => {
                cells.push(cell);
                return (cells, Some(place + 1));
            }
            _ if letter == delimiter => {
                cells.push(std::mem::take(&mut cell));
                at = At::Start;
            }
            _ if at == At::Closed => return (cells, None),
            _ => {
                cell.push(letter);
                at = At::Plain;
            }
        }
    }
    cells.push(cell);
    let whole = at != At::Quoted && text.len() <= LONGEST_ROW;
    (cells, whole.then_some(text.len()))
}
