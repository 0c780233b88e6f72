//! The full check of what was recorded.

use super::notebook::{Notebook, Reader};
use crate::error::Error;
use crate::store::{Check, Finding, Store};
use serde::Serialize;

/// Something that is not as it was recorded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct FindingView {
    /// What: a log and number, a photo, a file.
    pub place: String,
    /// What is wrong with it.
    pub found: String,
}

/// How far a full check came and what it found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct CheckView {
    /// Events looked through.
    pub checked: u64,
    /// Events on record.
    pub total: u64,
    /// Photos and texts looked through.
    pub blobs: u64,
    /// What is not as it was recorded.
    pub findings: Vec<FindingView>,
    /// What harms nothing and is told all the same.
    pub notes: Vec<FindingView>,
}

/// Told how far a check has come; says whether to go on.
#[uniffi::export(with_foreign)]
pub trait CheckProgress: Send + Sync {
    /// `checked` of `total` events are done. Return false to stop.
    ///
    /// # Errors
    /// Ends the check with this error.
    fn came(&self, checked: u64, total: u64) -> Result<bool, Error>;
}

/// Events or blobs looked through between two reports of progress.
const SLICE: u64 = 2_000;

fn views(findings: &[Finding]) -> Vec<FindingView> {
    findings.iter().map(|it| FindingView { place: it.place.clone(), found: it.found.clone() }).collect()
}

fn run(store: &Store, opening: &[Finding], progress: Option<&dyn CheckProgress>) -> Result<CheckView, Error> {
    let mut check = Check::default();
    while !check.done {
        check = store.check(check, SLICE)?;
        if let Some(progress) = progress
            && !progress.came(check.checked, check.total)?
        {
            break;
        }
    }
    let mut findings = views(opening);
    findings.extend(views(&check.findings));
    findings.dedup();
    Ok(CheckView {
        checked: check.checked,
        total: check.total,
        blobs: check.blobs,
        findings,
        notes: views(&check.notes),
    })
}

#[uniffi::export]
impl Notebook {
    /// Looks through everything that was recorded.
    ///
    /// # Errors
    /// The store could not be read at all; what is damaged is a finding, not an error.
    pub fn check(&self, progress: Option<std::sync::Arc<dyn CheckProgress>>) -> Result<CheckView, Error> {
        run(&*self.lock()?, &[], progress.as_deref())
    }
}

#[uniffi::export]
impl Reader {
    /// What opening found wrong, if anything.
    ///
    /// # Errors
    /// The notebook is being used and that use failed.
    pub fn findings(&self) -> Result<Vec<FindingView>, Error> {
        Ok(views(self.lock()?.findings()))
    }

    /// As [`Notebook::check`], with what opening found.
    ///
    /// # Errors
    /// As [`Notebook::check`].
    pub fn check(&self, progress: Option<std::sync::Arc<dyn CheckProgress>>) -> Result<CheckView, Error> {
        let store = self.lock()?;
        run(&store, store.findings(), progress.as_deref())
    }
}
