//! Says of a bundle, claim by claim, what holds, what does not, and what it cannot show. Pure: files come from a
//! [`Source`], nothing is written, no store and no network is asked.
//!
//! Whoever made the bundle may lie in every byte of it. Each file is read once, in pieces, and what is judged is what was
//! hashed. Photos and the page are never held in memory, all other files up to [`MOST_HELD`] bytes. A claim passes only if
//! something was there to check and all of it held.

mod bag;
mod blobs;
mod claims;
mod complete;
mod cosigned;
mod logs;
mod times;
mod witness;

pub use claims::{CODES, Claim, Counts, LogShown, Report, Verdict};

use super::bag::{Disclosed, TAGS_NAME};
use super::canon;
use super::cosign::Witness;
use super::timestamp::{NotStamped, Stamp};
use crate::record::events::is_demo;
use claims::Findings;
use std::collections::BTreeMap;

/// Most files of a bundle.
pub const MOST_FILES: usize = 50_000;

/// Most bytes of files other than photos and the page that are held at a time.
pub const MOST_HELD: u64 = 64 << 20;

/// Why a file's bytes did not come.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unread {
    /// What came is not what the container says that it holds.
    #[error("{0}")]
    Changed(String),
    /// It could not be read at all.
    #[error("{0}")]
    Broken(String),
}

/// Why nothing can be said of a bundle.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Unreadable(pub String);

/// A bundle's files, wherever they lie.
pub trait Source {
    /// Every file's path below the bundle, with its length in bytes.
    fn files(&self) -> Vec<(String, u64)>;

    /// Hands the bytes of one of them on, piece by piece.
    ///
    /// # Errors
    /// They could not be read, or are not what the container says.
    fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread>;
}

/// A bundle in memory.
impl Source for BTreeMap<String, Vec<u8>> {
    fn files(&self) -> Vec<(String, u64)> {
        self.iter().map(|(path, bytes)| (path.clone(), bytes.len() as u64)).collect()
    }

    fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
        sink(self.get(path).ok_or_else(|| Unread::Broken("no such file".to_owned()))?);
        Ok(())
    }
}

/// Says what a time-stamp token (DER) proves of a checkpoint (whole, as a signed note): no later than when, by whom; or why it
/// is not believed.
pub type CheckTime<'a> = &'a dyn Fn(&[u8], &[u8]) -> Result<Stamp, NotStamped>;

/// What a reader brings along: a bundle cannot vouch for what speaks for it.
#[derive(Default, Clone, Copy)]
pub struct Held<'a> {
    /// Signed heads that the reader was given earlier, for example a receipt.
    pub heads: &'a [Vec<u8>],
    /// Witnesses whose keys the reader got elsewhere.
    pub witnesses: &'a [Witness],
    /// Checks time-stamp tokens against authorities that the reader trusts.
    pub time: Option<CheckTime<'a>>,
}

impl std::fmt::Debug for Held<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Held").field("heads", &self.heads.len()).finish_non_exhaustive()
    }
}

/// Verifies a bundle.
///
/// # Errors
/// It is none, or could not be read; then nothing is said of it.
pub fn verify(source: &impl Source, held: &Held<'_>) -> Result<Report, Unreadable> {
    let mut findings = Findings::default();
    let mut bag = bag::open(source, &mut findings)?;
    let logs = logs::read(&mut bag, &mut findings);
    logs::heads(&mut bag, &logs, held, &mut findings);
    witness::check(&mut bag, &logs, held, &mut findings);
    times::check(&mut bag, &logs, held, &mut findings);
    let blobs = blobs::check(&mut bag, &logs, &mut findings);
    complete::check(&bag, &logs, &mut findings);
    cosigned::check(&logs, &mut findings);
    logs::signer(&bag, &logs, &mut findings);
    bag.rest(&mut findings);
    let listed = |log: &logs::Log| log.leaves.len() as u64;
    let shown = |log: &logs::Log| log.shown.values().filter(|event| event.job.is_some()).count() as u64;
    let (entries, of_job) = (logs.iter().map(listed).sum::<u64>(), logs.iter().map(shown).sum::<u64>());
    Ok(Report {
        job: bag.said.as_ref().map(|said| said.job.to_string()),
        signed_by: bag.said.as_ref().map(|said| said.log.clone()),
        tags: bag.hashes.get(TAGS_NAME).map(|(hash, _)| canon::hex(hash)),
        whole: bag.said.as_ref().map(|said| said.disclosed == Disclosed::Whole),
        demo: logs.iter().any(|log| is_demo(&log.name)),
        logs: logs
            .iter()
            .map(|log| LogShown {
                log: log.name.clone(),
                size: log.size,
                entries: listed(log),
                shown: shown(log),
            })
            .collect(),
        counts: Counts { entries, shown: of_job, withheld: entries.saturating_sub(of_job), ..blobs },
        claims: findings.claims(),
    })
}
