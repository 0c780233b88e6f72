//! What happens to the originals: copied to an archive, released here, taken back; and the export of everything.

use super::check::FindingView;
use super::notebook::{Notebook, Reader};
use crate::error::Error;
use crate::record::words::Locale;
use crate::store::{Exported, Finding, Store};
use serde::Serialize;
use std::path::Path;
use uuid::Uuid;

/// What came of copying originals to an archive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ArchiveView {
    /// Photos that were asked for.
    pub photos: u64,
    /// Copied now.
    pub copied: u64,
    /// Bytes of those.
    pub bytes: u64,
    /// Were in the archive already, and are what was recorded.
    pub already: u64,
    /// Hashes of copies that were not what was recorded any more and were written again.
    pub mended: Vec<String>,
    /// Asked for and not here to be copied: released before, or on another phone.
    pub elsewhere: u64,
    /// Hashes of photos that were erased here and of which the archive still holds a copy. Nothing is removed there.
    pub erased: Vec<String>,
    /// Originals here that are missing or damaged; they were not copied.
    pub findings: Vec<FindingView>,
}

/// What came of releasing originals.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ReleaseView {
    /// Originals that are in the archive alone now.
    pub released: u64,
    /// Room that was freed here, bytes.
    pub bytes: u64,
    /// Originals that stay here, each with the reason.
    pub kept: Vec<FindingView>,
}

/// What came of taking originals back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct BringBackView {
    /// Originals that are here again.
    pub brought: u64,
    /// Bytes of those.
    pub bytes: u64,
    /// Originals that are still not here, each with the reason.
    pub missing: Vec<FindingView>,
}

/// What was exported.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ExportView {
    /// Jobs.
    pub jobs: u64,
    /// Events of all logs.
    pub events: u64,
    /// Typed texts.
    pub texts: u64,
    /// Originals.
    pub photos: u64,
    /// Photos and texts that are on record and not here.
    pub elsewhere: u64,
    /// What could not be read, or is not what was recorded.
    pub findings: Vec<FindingView>,
}

fn ids(jobs: &[String]) -> Result<Vec<Uuid>, Error> {
    let id = |text: &String| Uuid::parse_str(text).map_err(|_| Error::refused("jobs", "not a UUID"));
    jobs.iter().map(id).collect()
}

fn views(findings: Vec<Finding>) -> Vec<FindingView> {
    findings.into_iter().map(|it| FindingView { place: it.place, found: it.found }).collect()
}

fn export(store: &Store, folder: &str, locale: Locale) -> Result<ExportView, Error> {
    let Exported { jobs, events, texts, photos, elsewhere, findings } =
        store.export(Path::new(folder), locale)?;
    Ok(ExportView { jobs, events, texts, photos, elsewhere, findings: views(findings) })
}

#[uniffi::export]
impl Notebook {
    /// Copies the originals of these jobs (none named: of all) to a folder, on a card for example. Each copy is synced, read
    /// back and only then given its name. Nothing is removed. The folder is made if the one above it is there.
    ///
    /// # Errors
    /// The folder lies in the notebook's own or holds a notebook, is full, cannot be written or went away; a job is not
    /// here. What was copied before stays whole, and the originals stay here.
    pub fn archive(&self, folder: String, jobs: Vec<String>) -> Result<ArchiveView, Error> {
        let done = self.lock()?.archive(Path::new(&folder), &ids(&jobs)?)?;
        Ok(ArchiveView {
            photos: done.photos,
            copied: done.copied,
            bytes: done.bytes,
            already: done.already,
            mended: done.mended,
            elsewhere: done.elsewhere,
            erased: done.erased,
            findings: views(done.findings),
        })
    }

    /// Lets the originals of these jobs (none named: of all) go from here whose copies in the archive are read now and are
    /// what was recorded. Every other one stays and is named. A photo that two jobs name goes for both.
    ///
    /// # Errors
    /// As [`Notebook::archive`]; also when there is no such folder. What was released before that is in the archive.
    pub fn release(&self, folder: String, jobs: Vec<String>) -> Result<ReleaseView, Error> {
        let done = self.lock()?.release(Path::new(&folder), &ids(&jobs)?)?;
        Ok(ReleaseView { released: done.released, bytes: done.bytes, kept: views(done.kept) })
    }

    /// Takes the originals of these jobs (none named: of all) back from an archive; each is looked at before it is taken.
    ///
    /// # Errors
    /// There is no such folder, a job is not here, or this notebook could not be written. The archive is not changed.
    pub fn bring_back(&self, folder: String, jobs: Vec<String>) -> Result<BringBackView, Error> {
        let done = self.lock()?.bring_back(Path::new(&folder), &ids(&jobs)?)?;
        Ok(BringBackView { brought: done.brought, bytes: done.bytes, missing: views(done.missing) })
    }

    /// Writes everything on record into an empty or new folder, as plain files with a `README.txt` that says what is
    /// what. The notebook is only read.
    ///
    /// # Errors
    /// The folder is not empty, lies in the notebook's own, is full or cannot be written.
    pub fn export(&self, folder: String, locale: Locale) -> Result<ExportView, Error> {
        export(&*self.lock()?, &folder, locale)
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::export`]; what is damaged is exported as far as it can be read, and told.
    ///
    /// # Errors
    /// As [`Notebook::export`].
    pub fn export(&self, folder: String, locale: Locale) -> Result<ExportView, Error> {
        export(&*self.lock()?, &folder, locale)
    }
}
