//! What happens to the originals: copied to an archive, released here, taken back; the export of everything; what is
//! kept for how long, and then erased.

use super::check::FindingView;
use super::notebook::{Notebook, Reader};
use super::platform::Now;
use crate::decide::record_erasure;
use crate::error::Error;
use crate::record::events::ErasedKind;
use crate::record::fold::Job;
use crate::record::kept;
use crate::record::views::Speech;
use crate::record::words::{Kept, Locale};
use crate::store::{Due, Exported, Finding, Store};
use serde::Serialize;
use std::collections::BTreeSet;
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

/// How long one kind of thing is kept after a visit was over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct RetentionRule {
    /// The kind.
    pub kept: Kept,
    /// Months of the calendar, 1 to 1,200.
    pub months: u32,
}

/// How much of one kind was erased, or would be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ErasedView {
    /// The kind.
    pub kept: Kept,
    /// The same, to read.
    pub text: String,
    /// How many photos or texts.
    pub count: u32,
}

/// What came of erasing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ErasureView {
    /// What was erased, by kind; it says nothing of what it held.
    pub erased: Vec<ErasedView>,
    /// From how many jobs.
    pub jobs: u32,
    /// Jobs that are old enough and keep theirs, each with the reason.
    pub held: Vec<FindingView>,
    /// False when it was only asked what would go.
    pub done: bool,
}

fn erased_views(due: &Due, speech: Speech) -> Vec<ErasedView> {
    let view = |(kept, hashes): (&Kept, &BTreeSet<String>)| ErasedView {
        kept: *kept,
        text: speech.word("kept", kept.word()),
        count: count(hashes.len()),
    };
    due.blobs.iter().map(view).collect()
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
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
impl Notebook {
    /// Erases what is older than its rule says, and notes how much of each kind went, never what it held. What a job
    /// holds for which a dispute is open stays, and is named. Once done, no file of this notebook holds the bytes; copies
    /// in archives, exports and on other phones are not reached. With `only_ask` nothing is erased.
    ///
    /// # Errors
    /// A kind twice, months out of range, or the store could not be written.
    pub fn purge(
        &self,
        rules: Vec<RetentionRule>,
        only_ask: bool,
        locale: Locale,
    ) -> Result<ErasureView, Error> {
        let mut store = self.lock()?;
        while !store.build_tables(u32::MAX)? {}
        let now = self.platform.clock.now()?;
        let mut before = Vec::new();
        for (at, rule) in rules.iter().enumerate() {
            if rules.iter().take(at).any(|other| other.kept == rule.kept) {
                return Err(Error::refused(
                    format!("rules[{at}].kept"),
                    format!("{} twice", rule.kept.word()),
                ));
            }
            let time = kept::before(now.at_ms, rule.months).filter(|_| (1..=1_200).contains(&rule.months));
            let time = time.ok_or_else(|| {
                Error::refused(
                    format!("rules[{at}].months"),
                    format!("{}; 1 to 1200 can be meant", rule.months),
                )
            })?;
            before.push((rule.kept, time));
        }
        let due = store.due(&before)?;
        let done = !only_ask && !due.blobs.is_empty();
        if done {
            let months = |kept: Kept| rules.iter().find(|rule| rule.kept == kept).map(|rule| rule.months);
            self.erase(&mut store, &due, None, &months, now)?;
        }
        let why = "a dispute is open";
        let held = due.held.iter().map(|job| FindingView { place: job.to_string(), found: why.to_owned() });
        Ok(ErasureView {
            erased: erased_views(&due, Speech { locale }),
            jobs: count(due.jobs.len()),
            held: held.collect(),
            done,
        })
    }

    /// Erases some kinds of things of one job, for a reason; the record keeps that and how much went. See
    /// [`Notebook::purge`] for what is reached.
    ///
    /// # Errors
    /// The job is not here, a dispute is open, nothing of these kinds is here, or no reason is given.
    pub fn erase_job(
        &self,
        job: String,
        kinds: Vec<Kept>,
        reason: String,
        locale: Locale,
    ) -> Result<ErasureView, Error> {
        let mut store = self.lock()?;
        let id = Uuid::parse_str(&job).map_err(|_| Error::refused("job", "not a UUID"))?;
        let folded = store.job(id)?.clone();
        if folded.opening().is_none() {
            return Err(Error::NotFound { what: format!("job {job}") });
        }
        let mut due = Due { jobs: BTreeSet::from([id]), ..Due::default() };
        for (kind, sha256) in store.here(id, &kinds)? {
            due.blobs.entry(kind).or_default().insert(sha256);
        }
        let now = self.platform.clock.now()?;
        self.erase(&mut store, &due, Some((&folded, &reason)), &|_| None, now)?;
        Ok(ErasureView {
            erased: erased_views(&due, Speech { locale }),
            jobs: 1,
            held: Vec::new(),
            done: true,
        })
    }
}

impl Notebook {
    /// The event and the erasing in one transaction; then the bytes are taken out of the store's files.
    fn erase(
        &self,
        store: &mut Store,
        due: &Due,
        job: Option<(&Job, &str)>,
        months: &dyn Fn(Kept) -> Option<u32>,
        now: Now,
    ) -> Result<(), Error> {
        let kinds = due.blobs.iter().map(|(kept, hashes)| ErasedKind {
            kept: *kept,
            months: months(*kept),
            count: count(hashes.len()),
        });
        let draft = record_erasure(job, kinds.collect(), count(due.jobs.len()), count(due.held.len()))?;
        let blobs: Vec<String> = due.blobs.values().flatten().cloned().collect();
        self.append_and_erase(store, vec![draft], now, None, &blobs)?;
        store.scrub()
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
