//! A bundle as it lies on a disk, to be verified: a folder, or a zip. IO, reads only; it needs no store.

use crate::log::verify::{MOST_FILES, Source, Unread, Unreadable};
use crate::log::zip::{NotRead, Reader};
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{BufReader, Read as _};
use std::path::{Path, PathBuf};

/// Bytes handed on at a time.
const PIECE: usize = 65_536;

/// A bundle on a disk.
#[derive(Debug)]
pub enum Bag {
    /// A folder, with the length of each file in it.
    Folder(PathBuf, BTreeMap<String, u64>),
    /// A zip, with the name of the one folder in it.
    Zip(Box<Reader<BufReader<File>>>, String),
}

/// Opens a bundle: a folder, or a zip in the form that bundles have. Links in a folder are not followed.
///
/// # Errors
/// There is nothing of this name, it cannot be read, or no bundle has such a form.
pub fn open_bag(path: &Path) -> Result<Bag, Unreadable> {
    let why = |why: &std::io::Error| Unreadable(format!("{}: {why}", path.display()));
    let facts = fs::metadata(path).map_err(|it| why(&it))?;
    if facts.is_dir() {
        let mut files = BTreeMap::new();
        walk(path, "", &mut files, &mut 0)?;
        return Ok(Bag::Folder(path.to_owned(), files));
    }
    if !facts.is_file() {
        return Err(Unreadable(format!("{}: neither a folder nor a file", path.display())));
    }
    let file = File::open(path).map_err(|it| why(&it))?;
    let off = |it: NotRead| Unreadable(format!("{}: {it}", path.display()));
    let reader = Reader::open(BufReader::new(file), MOST_FILES).map_err(off)?;
    let folder = |name: &str| name.split_once('/').map(|(folder, _)| folder.to_owned());
    let first = reader.files().next().and_then(|(name, _)| folder(name));
    let Some(first) =
        first.filter(|first| reader.files().all(|(name, _)| folder(name).as_ref() == Some(first)))
    else {
        return Err(Unreadable(format!("{}: not one folder, as the zip of a bundle has", path.display())));
    };
    Ok(Bag::Zip(Box::new(reader), first))
}

/// Lists what lies in a folder. Whatever is met counts, so that no tree of empty folders keeps it busy.
fn walk(
    folder: &Path,
    below: &str,
    files: &mut BTreeMap<String, u64>,
    met: &mut usize,
) -> Result<(), Unreadable> {
    let off = |why: &std::io::Error| Unreadable(format!("{}: {why}", folder.display()));
    for entry in fs::read_dir(folder).map_err(|why| off(&why))? {
        let entry = entry.map_err(|why| off(&why))?;
        *met += 1;
        if *met > 2 * MOST_FILES {
            return Err(Unreadable(format!("{}: more than {MOST_FILES} files", folder.display())));
        }
        let name = entry.file_name();
        let shown = || Unreadable(format!("{}: a name that is not UTF-8", entry.path().display()));
        let path = format!("{below}{}", name.to_str().ok_or_else(shown)?);
        // Of the entry itself, not of what a link leads to.
        let facts = entry.metadata().map_err(|why| off(&why))?;
        if facts.is_dir() {
            walk(&entry.path(), &format!("{path}/"), files, met)?;
        } else if facts.is_file() {
            files.insert(path, facts.len());
        } else {
            return Err(Unreadable(format!(
                "{}: a link or a device, which no bundle has",
                entry.path().display()
            )));
        }
    }
    Ok(())
}

impl Source for Bag {
    fn files(&self) -> Vec<(String, u64)> {
        match self {
            Self::Folder(_, files) => files.iter().map(|(path, len)| (path.clone(), *len)).collect(),
            Self::Zip(reader, folder) => {
                let inside = |name: &str| name.get(folder.len() + 1..).unwrap_or_default().to_owned();
                reader.files().map(|(name, len)| (inside(name), len)).collect()
            }
        }
    }

    fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
        match self {
            Self::Folder(folder, files) => {
                let len = files.get(path).ok_or_else(|| Unread::Broken("no such file".to_owned()))?;
                from_folder(&folder.join(path), *len, sink)
            }
            Self::Zip(reader, folder) => {
                reader.read(&format!("{folder}/{path}"), sink).map_err(|why| match why {
                    NotRead::CheckSum => Unread::Changed(why.to_string()),
                    other => Unread::Broken(other.to_string()),
                })
            }
        }
    }
}

fn from_folder(path: &Path, len: u64, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
    let broken = |why: std::io::Error| Unread::Broken(why.to_string());
    let mut file = File::open(path).map_err(broken)?.take(len + 1);
    let (mut piece, mut came) = (vec![0; PIECE], 0);
    loop {
        let count = file.read(&mut piece).map_err(broken)?;
        if count == 0 {
            break;
        }
        came += count as u64;
        sink(&piece[..count]);
    }
    if came == len { Ok(()) } else { Err(Unread::Broken("it changed while it was read".to_owned())) }
}
