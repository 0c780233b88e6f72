//! A zip file (PKWARE APPNOTE 6.3) with one possible form: names and bytes decide every byte of it. Pure; readers and writers
//! are handed in.
//!
//! Files are stored as they are, one behind the other, with no time and nothing between, before or behind them. A reader
//! makes the headers anew from names, lengths and check sums and compares them whole. So nothing can hide between files, two
//! programs cannot see two different contents, and nothing can swell: a zip of another form is refused, and what was in it
//! can be unpacked and looked at as a folder.

use std::collections::BTreeMap;
use std::io::{Error, Read, Seek, SeekFrom, Write};
use std::sync::{Mutex, MutexGuard};

/// Unix, version 2.0 of the format: unpacked files come out readable.
const MADE_BY: u16 = 0x0314;
/// Version 1.0: nothing but stored files.
const NEEDED: u16 = 10;
/// 1 January 1980 as MS-DOS writes it, the first day that there is.
const DAY: u16 = 0x0021;
/// A plain file, mode 0644.
const MODE: u32 = 0o100_644 << 16;
/// Longest name, bytes.
const LONGEST_NAME: usize = 255;
/// Bytes handed on at a time.
const PIECE: usize = 65_536;

const LOCAL: usize = 30;
const CENTRAL: usize = 46;
const END: usize = 22;

/// One file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Stored {
    name: String,
    crc: u32,
    len: u32,
    at: u32,
}

impl Stored {
    /// What both headers hold, from the version on.
    fn middle(&self) -> Vec<u8> {
        let name_len = u16::try_from(self.name.len()).unwrap_or(u16::MAX);
        let mut bytes = Vec::with_capacity(26);
        // Flags, method, time, day.
        for number in [NEEDED, 0, 0, 0, DAY] {
            bytes.extend(number.to_le_bytes());
        }
        for number in [self.crc, self.len, self.len] {
            bytes.extend(number.to_le_bytes());
        }
        bytes.extend(name_len.to_le_bytes());
        bytes.extend(0_u16.to_le_bytes());
        bytes
    }

    /// Section 4.3.7.
    fn local(&self) -> Vec<u8> {
        [b"PK\x03\x04".as_slice(), &self.middle(), self.name.as_bytes()].concat()
    }

    /// Section 4.3.12.
    fn central(&self) -> Vec<u8> {
        let made_by = MADE_BY.to_le_bytes();
        // No comment, first disk, no inner attributes.
        let (mode, at) = (MODE.to_le_bytes(), self.at.to_le_bytes());
        [b"PK\x01\x02", made_by.as_slice(), &self.middle(), &[0; 6], &mode, &at, self.name.as_bytes()]
            .concat()
    }
}

/// Section 4.3.16.
fn end(count: u16, len: u32, at: u32) -> Vec<u8> {
    let mut bytes = b"PK\x05\x06\0\0\0\0".to_vec();
    bytes.extend(count.to_le_bytes());
    bytes.extend(count.to_le_bytes());
    bytes.extend(len.to_le_bytes());
    bytes.extend(at.to_le_bytes());
    bytes.extend(0_u16.to_le_bytes());
    bytes
}

/// Writes such a file.
#[derive(Debug)]
pub struct Writer<W: Write> {
    out: W,
    at: u32,
    files: Vec<Stored>,
}

impl<W: Write> Writer<W> {
    /// An empty one.
    pub fn new(out: W) -> Self {
        Self { out, at: 0, files: Vec::new() }
    }

    /// Adds a file. The form ends at 4 GiB and 65,535 files.
    pub fn add(&mut self, name: &str, bytes: &[u8]) -> Result<(), Error> {
        let full = || Error::other("a zip of this form ends at 4 GiB; write a folder instead");
        let len = u32::try_from(bytes.len()).map_err(|_| full())?;
        let file = Stored { name: name.to_owned(), crc: crc32fast::hash(bytes), len, at: self.at };
        let header = file.local();
        let taken = u32::try_from(header.len()).ok().and_then(|header| header.checked_add(len));
        self.at = taken.and_then(|taken| self.at.checked_add(taken)).ok_or_else(full)?;
        self.out.write_all(&header)?;
        self.out.write_all(bytes)?;
        self.files.push(file);
        Ok(())
    }

    /// Writes what stands at the end; gives back what was written to.
    pub fn finish(mut self) -> Result<W, Error> {
        let full =
            || Error::other("a zip of this form ends at 65,535 files and 4 GiB; write a folder instead");
        let list: Vec<u8> = self.files.iter().flat_map(Stored::central).collect();
        let count =
            u16::try_from(self.files.len()).ok().filter(|count| *count < u16::MAX).ok_or_else(full)?;
        let len = u32::try_from(list.len()).map_err(|_| full())?;
        self.at.checked_add(len).filter(|at| *at < u32::MAX).ok_or_else(full)?;
        self.out.write_all(&list)?;
        self.out.write_all(&end(count, len, self.at))?;
        self.out.flush()?;
        Ok(self.out)
    }
}

/// Why a file is not read as a zip.
#[derive(Debug, thiserror::Error)]
pub enum NotRead {
    /// It could not be read.
    #[error("{0}")]
    Io(#[from] Error),
    /// It is no zip of this form.
    #[error("not a zip in the form that a bundle has ({0}); unpack it and look at the folder")]
    Form(&'static str),
    /// It has more files than were allowed.
    #[error("more than {0} files")]
    TooMany(usize),
    /// A file's bytes do not fit its check sum.
    #[error("its bytes do not fit the zip's own check sum")]
    CheckSum,
}

/// Reads such a file. Opening compares every header; files are read when they are asked for.
#[derive(Debug)]
pub struct Reader<R> {
    from: Mutex<R>,
    files: BTreeMap<String, Stored>,
}

fn number<const N: usize>(bytes: &[u8], at: usize) -> [u8; N] {
    bytes.get(at..at + N).and_then(|some| some.try_into().ok()).unwrap_or([0; N])
}

impl<R: Read + Seek> Reader<R> {
    /// Opens it, if it has at most `most` files.
    pub fn open(mut from: R, most: usize) -> Result<Self, NotRead> {
        let len = from.seek(SeekFrom::End(0))?;
        let foot_at = len.checked_sub(END as u64).ok_or(NotRead::Form("too short"))?;
        let foot = bytes(&mut from, foot_at, END)?;
        let count = u16::from_le_bytes(number(&foot, 10));
        let (list_len, list_at) =
            (u32::from_le_bytes(number(&foot, 12)), u32::from_le_bytes(number(&foot, 16)));
        if foot != end(count, list_len, list_at) || u64::from(list_len) + u64::from(list_at) != foot_at {
            return Err(NotRead::Form("its end"));
        }
        let count = usize::from(count);
        if count > most {
            return Err(NotRead::TooMany(most));
        }
        // Each has a header and a name: a list that is longer than that lies.
        let list_len = usize::try_from(list_len).unwrap_or(usize::MAX);
        if list_len > count * (CENTRAL + LONGEST_NAME) {
            return Err(NotRead::Form("its list of files"));
        }
        let list = bytes(&mut from, u64::from(list_at), list_len)?;
        let (mut files, mut rest, mut place) = (BTreeMap::new(), list.as_slice(), 0_u64);
        for _ in 0..count {
            let file = listed(rest).ok_or(NotRead::Form("its list of files"))?;
            rest = rest.get(file.central().len()..).unwrap_or_default();
            let header = file.local();
            if u64::from(file.at) != place || bytes(&mut from, place, header.len())? != header {
                return Err(NotRead::Form("the head of a file in it"));
            }
            place += header.len() as u64 + u64::from(file.len);
            if place > u64::from(list_at) {
                return Err(NotRead::Form("the length of a file in it"));
            }
            if files.insert(file.name.clone(), file).is_some() {
                return Err(NotRead::Form("two files of one name"));
            }
        }
        if !rest.is_empty() || place != u64::from(list_at) {
            return Err(NotRead::Form("something between its files"));
        }
        Ok(Self { from: Mutex::new(from), files })
    }

    /// The files, by name, with their lengths in bytes.
    pub fn files(&self) -> impl Iterator<Item = (&str, u64)> {
        self.files.values().map(|file| (file.name.as_str(), u64::from(file.len)))
    }

    /// Hands a file's bytes on, piece by piece.
    pub fn read(&self, name: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), NotRead> {
        let file = self.files.get(name).ok_or(NotRead::Form("no such file"))?;
        let mut from = self.lock();
        from.seek(SeekFrom::Start(u64::from(file.at) + (LOCAL + file.name.len()) as u64))?;
        let (mut left, mut piece, mut sum) = (file.len as usize, vec![0; PIECE], crc32fast::Hasher::new());
        while left > 0 {
            let some = &mut piece[..left.min(PIECE)];
            from.read_exact(some)?;
            sum.update(some);
            sink(some);
            left -= some.len();
        }
        if sum.finalize() == file.crc { Ok(()) } else { Err(NotRead::CheckSum) }
    }

    /// A reader that panicked has left no state behind that matters: every reading begins by seeking.
    fn lock(&self) -> MutexGuard<'_, R> {
        self.from.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}

fn bytes(from: &mut (impl Read + Seek), at: u64, len: usize) -> Result<Vec<u8>, NotRead> {
    let mut bytes = Vec::new();
    from.seek(SeekFrom::Start(at))?;
    from.take(len as u64).read_to_end(&mut bytes)?;
    if bytes.len() == len { Ok(bytes) } else { Err(NotRead::Form("too short")) }
}

/// The first file of a list, if its header is the one that its name, length, check sum and place give.
fn listed(list: &[u8]) -> Option<Stored> {
    let name_len = usize::from(u16::from_le_bytes(number(list, 28)));
    let name = std::str::from_utf8(list.get(CENTRAL..CENTRAL + name_len)?).ok()?;
    let file = Stored {
        name: name.to_owned(),
        crc: u32::from_le_bytes(number(list, 16)),
        len: u32::from_le_bytes(number(list, 20)),
        at: u32::from_le_bytes(number(list, 42)),
    };
    (name_len <= LONGEST_NAME && list.starts_with(&file.central())).then_some(file)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut writer = Writer::new(Vec::new());
        files.iter().for_each(|(name, bytes)| writer.add(name, bytes).expect("adds"));
        writer.finish().expect("ends")
    }

    fn read(zip: &[u8]) -> Result<Vec<(String, Vec<u8>)>, NotRead> {
        let reader = Reader::open(Cursor::new(zip), 10)?;
        let names: Vec<String> = reader.files().map(|(name, _)| name.to_owned()).collect();
        names
            .into_iter()
            .map(|name| {
                let mut all = Vec::new();
                reader.read(&name, &mut |some| all.extend(some))?;
                Ok((name, all))
            })
            .collect()
    }

    #[test]
    fn what_was_written_is_read_and_no_other_byte_is_taken() {
        let files: [(&str, &[u8]); 3] = [("b/a.txt", b"one"), ("b/b", b""), ("b/c", &[7; 70_000])];
        let zip = zipped(&files);
        let back = read(&zip).expect("reads");
        assert_eq!(back.len(), 3);
        for ((name, bytes), (found, read)) in files.iter().zip(&back) {
            assert_eq!((*name, *bytes), (found.as_str(), read.as_slice()));
        }
        let inside = zip.len() - 60_000;
        for at in (0..300).chain(inside..inside + 5).chain(zip.len() - 400..zip.len()) {
            let mut other = zip.clone();
            other[at] ^= 1 << (at % 8);
            assert!(read(&other).is_err(), "byte {at}");
        }
        for len in (0..60).chain(zip.len() - 60..zip.len()) {
            assert!(read(&zip[..len]).is_err(), "cut to {len}");
        }
        assert!(read(&[zip.as_slice(), b"x"].concat()).is_err());
        assert!(read(&[b"x", zip.as_slice()].concat()).is_err());
    }

    #[test]
    fn names_twice_and_too_many_are_refused() {
        assert!(matches!(
            read(&zipped(&[("a", b"1"), ("a", b"1")])),
            Err(NotRead::Form("two files of one name"))
        ));
        let many: Vec<String> = (0..11).map(|n| format!("f{n}")).collect();
        let many: Vec<(&str, &[u8])> = many.iter().map(|name| (name.as_str(), b"x".as_slice())).collect();
        assert!(matches!(read(&zipped(&many)), Err(NotRead::TooMany(10))));
    }
}
