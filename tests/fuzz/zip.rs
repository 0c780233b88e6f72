//! A zip as a bundle has it: what is read is what would be written, byte for byte; from a file the same is said of it as from
//! memory; and nothing is written, anywhere near it.

use crate::judge;
use crate::made::Files;
use sidelong_core::log::verify::{Held, verify};
use sidelong_core::log::zip::{Reader, Writer};
use sidelong_core::store::open_bag;
use std::fs;
use std::io::Cursor;
use std::path::Path;
use std::sync::OnceLock;

/// Most files that are read.
const MOST: usize = 100;

/// A folder of this process, in memory where there is such a place.
fn folder() -> &'static Path {
    static KEPT: OnceLock<tempfile::TempDir> = OnceLock::new();
    KEPT.get_or_init(|| {
        let named = tempfile::Builder::new().prefix("sidelong-fuzz-").tempdir_in("/dev/shm");
        let made = named.or_else(|_| tempfile::tempdir()).expect("a folder");
        fs::create_dir(made.path().join("inside")).expect("a folder");
        made
    })
    .path()
}

/// Any file.
pub fn zip(bytes: &[u8]) {
    let Ok(reader) = Reader::open(Cursor::new(bytes), MOST) else { return };
    let mut whole = true;
    let mut read = Vec::new();
    for (name, len) in reader.files() {
        let mut came = Vec::new();
        whole &= reader.read(name, &mut |some| came.extend_from_slice(some)).is_ok();
        assert_eq!(came.len() as u64, len, "{name} has another length");
        read.push((name.to_owned(), came));
    }
    if whole {
        let order = names(bytes);
        read.sort_by_key(|(name, _)| order.iter().position(|it| it == name));
        let mut writer = Writer::new(Vec::new());
        read.iter().for_each(|(name, came)| writer.add(name, came).expect("adds"));
        assert!(writer.finish().expect("ends") == bytes, "bytes that nobody vouches for");
    }
    let inside = folder().join("inside");
    let path = inside.join("bundle.zip");
    fs::write(&path, bytes).expect("writes");
    let Ok(bag) = open_bag(&path) else { return };
    let first = read[0].0.split('/').next().unwrap_or_default().len() + 1;
    let files: Files = read.into_iter().map(|(name, came)| (name[first..].to_owned(), came)).collect();
    if let Ok(report) = verify(&bag, &Held::default()) {
        if whole {
            assert_eq!(verify(&files, &Held::default()).as_ref(), Ok(&report), "told otherwise from memory");
        }
        judge::look_again(&files, &report);
    }
    let count = |folder: &Path| fs::read_dir(folder).expect("a folder").count();
    assert_eq!((count(&inside), count(folder())), (1, 1), "something was written");
}

/// Names in the order in which the files lie, from their own heads (APPNOTE section 4.3.7).
fn names(mut zip: &[u8]) -> Vec<String> {
    let mut names = Vec::new();
    while zip.starts_with(b"PK\x03\x04") {
        let len = u32::from_le_bytes(zip[18..22].try_into().expect("four")) as usize;
        let end = 30 + usize::from(u16::from_le_bytes([zip[26], zip[27]]));
        names.push(String::from_utf8_lossy(&zip[30..end]).into_owned());
        zip = &zip[end + len..];
    }
    names
}
