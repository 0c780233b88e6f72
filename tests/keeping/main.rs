//! What happens to originals and to what people typed: archived, released, taken back, exported, erased. Through the
//! public door, and for erasing through the store, which other parts build on.

mod archive;
mod backup;
mod erase;
mod export;
mod pack;

use sidelong_core::error::Error;
use sidelong_core::log::canon::{hex, sha256};
use sidelong_core::log::head::LogKey;
use sidelong_core::record::inputs::{Act, RecordMark};
use sidelong_core::record::words::{BlobState, Form, MarkKind, Stage};
use sidelong_core::store::Store;
use sidelong_tests::{Phone, described, fixture, photo};
use std::fs;
use std::path::{Path, PathBuf};
use uuid::Uuid;

const PICTURES: [&str; 3] =
    ["arrival-overall-rear.jpg", "arrival-bonnet-middle.jpg", "arrival-rear-right-door-close.jpg"];

fn picture(at: usize) -> Vec<u8> {
    fixture(&format!("photos/{}", PICTURES[at]))
}

fn hash(at: usize) -> String {
    hex(&sha256(&picture(at)))
}

fn shelf(folder: &Path, sha256: &str) -> PathBuf {
    folder.join("photos").join(&sha256[..2]).join(sha256)
}

fn text(path: &Path) -> String {
    path.display().to_string()
}

/// Attaches a picture to a job.
fn attach(phone: &mut Phone, job: Uuid, at: usize) {
    phone.file(PICTURES[at], &picture(at));
    phone.put(job, photo(PICTURES[at], None));
}

/// A phone with a job of two photos and one of a third.
fn with_photos(folder: &Path, seed: u64) -> (Phone, Uuid, Uuid) {
    let mut phone = Phone::new(&folder.join(format!("phone-{seed}")), seed);
    let one = phone.begin(Form::Hatch5, Stage::AsFound);
    attach(&mut phone, one, 0);
    attach(&mut phone, one, 1);
    let two = phone.begin(Form::Suv, Stage::AsFound);
    attach(&mut phone, two, 2);
    (phone, one, two)
}

/// The full check finds nothing; gives its notes.
fn clean(phone: &Phone) -> Vec<String> {
    let check = phone.open().check(None).expect("checks");
    assert_eq!(check.findings, [], "the full check");
    check.notes.into_iter().map(|note| format!("{}: {}", note.place, note.found)).collect()
}

fn states(phone: &Phone, job: Uuid) -> Vec<BlobState> {
    phone.view(job).photos.iter().map(|photo| photo.state).collect()
}

fn flip(path: &Path) {
    let mut bytes = fs::read(path).expect("reads");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(path, bytes).expect("writes");
}

fn refused(result: Result<impl std::fmt::Debug, Error>, words: &str) {
    let why = result.expect_err("refused");
    assert!(why.to_string().contains(words), "{why}");
}

/// Opens a phone's store without its notebook.
fn store(phone: &mut Phone) -> Store {
    phone.close();
    let seed: [u8; 32] =
        phone.platform.vault.load().expect("a vault").expect("a seed").try_into().expect("32 bytes");
    Store::open(&phone.folder, |_| Ok(LogKey::from_seed(&seed, false))).expect("opens")
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() { found.extend(files(&path)) } else { found.push(path) }
    }
    found
}

fn noted(note: &str) -> Act {
    let mut mark = described("roof", MarkKind::Scratch, 12_000);
    mark.note = Some(note.to_owned());
    Act::RecordMark(RecordMark { walk: None, mark, shown_by: None })
}
