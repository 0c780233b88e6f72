//! A job's bundle: everything on record about it, or chosen parts, with the proofs that others can check.

use super::check::FindingView;
use super::jobs;
use super::notebook::Notebook;
use crate::error::Error;
use crate::record::words::Locale;
use crate::store::Wish;
use serde::Serialize;
use std::path::Path;

/// What a bundle is to hold.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct BundleWish {
    /// Entries by their id, each with all that names it (corrections, photos), or photos and texts by their SHA-256, each
    /// with the entry that names it. Empty: the whole job. The others are counted in the bundle, and proved to be there.
    pub only: Vec<String>,
    /// Signed heads that others hold, for example receipts: the bundle proves that the log goes on from each.
    pub heads: Vec<Vec<u8>>,
    /// One zip file instead of a folder.
    pub zip: bool,
    /// Whose English the page is in.
    pub locale: Locale,
}

/// What a bundle came to hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct BundleView {
    /// Files.
    pub files: u64,
    /// Bytes in them.
    pub bytes: u64,
    /// Entries of the job on record.
    pub entries: u64,
    /// Of these, withheld.
    pub withheld: u64,
    /// Photos and texts in the bundle.
    pub blobs: u64,
    /// Photos and texts that shown entries name and that are withheld.
    pub blobs_withheld: u64,
    /// The same, erased.
    pub blobs_erased: u64,
    /// The same, neither withheld nor erased, and not here.
    pub blobs_elsewhere: u64,
    /// Photos and texts that are missing here or not what was recorded; the bundle says that they are lost.
    pub findings: Vec<FindingView>,
}

#[uniffi::export]
impl Notebook {
    /// Writes a job's bundle, signed with this phone's key, to a path that nothing has yet; it is there whole or not at all.
    /// Nothing is recorded. The same job at the same size of its logs gives the same bytes.
    ///
    /// # Errors
    /// The job is not here, something of it that was asked for is not, a head is of no log with entries of the job, or the
    /// path is taken, lies in the notebook's own folder, is full or cannot be written.
    pub fn bundle(&self, job: String, path: String, wish: BundleWish) -> Result<BundleView, Error> {
        let id = jobs::id(&job)?;
        let mut store = self.lock()?;
        let page = if wish.only.is_empty() {
            Some(jobs::document(&mut store, &job, wish.locale, None)?)
        } else {
            None
        };
        let BundleWish { only, heads, zip, .. } = wish;
        let done = store.bundle(id, Path::new(&path), Wish { only, heads, page, zip })?;
        let finding = |it: crate::store::Finding| FindingView { place: it.place, found: it.found };
        Ok(BundleView {
            files: done.files,
            bytes: done.bytes,
            entries: done.entries,
            withheld: done.withheld,
            blobs: done.blobs,
            blobs_withheld: done.blobs_withheld,
            blobs_erased: done.blobs_erased,
            blobs_elsewhere: done.blobs_elsewhere,
            findings: done.findings.into_iter().map(finding).collect(),
        })
    }
}
