//! Erasing what events name by hash: photos, and the small blobs that hold what a person typed. Afterwards no file of the
//! store holds the bytes; hash and length stay with the word `erased`, and the log stays whole. IO.
//!
//! Two steps. [`mark`], in a transaction (the caller's own event may go into the same one): the state becomes `erased`, the
//! bytes of small blobs go, search words and the jobs' rows are made anew without them, the remembered prints of inputs
//! that held a typed text go too (a short text could be guessed from them), and a row of `meta` says that a scrub is due.
//! [`Store::scrub`], after the commit: files are removed; the search index is merged into one piece, because a deleting
//! from it only hides words (<https://www.sqlite.org/fts5.html#contentless_delete_tables>); the database is written anew
//! (`VACUUM`), because `secure_delete` overwrites a row where it lies and not the old copies of it in gaps of pages that
//! were split; the write-ahead log is cut to nothing; then the row of `meta` goes. A program that is killed in between has
//! erased already as far as any reading goes, and the next opening finishes the scrub.
//!
//! What is beyond this: copies in archives, exports, backups and on other phones; and what a disk keeps below its files.

use super::jobs::rebuild_job;
use super::photos::{self, remove_if_there, sync_folder};
use super::read::{blob_state, naming};
use super::{Store, io};
use crate::error::Error;
use crate::log::canon;
use crate::record::words::BlobState;
use rusqlite::{Connection, OptionalExtension as _, params};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use uuid::Uuid;

/// What an erasure did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Erased {
    /// Hashes of what was erased now.
    pub erased: Vec<String>,
    /// Hashes of what was erased before.
    pub already: Vec<String>,
    /// Every job that names one of them: a photo that two jobs share goes for both.
    pub jobs: BTreeSet<Uuid>,
}

/// In `meta`: a scrub is due.
const DUE: &str = "scrub";

/// Marks blobs as erased inside a transaction of the caller; all of them or, with an error, none. Nothing else is erased
/// than what is named by its hash: not a photo's note with the photo, nor the other photos of a job. After the commit
/// the caller drops [`Erased::jobs`] from the folded jobs and calls [`Store::scrub`].
pub(super) fn mark(connection: &Connection, blobs: &[String]) -> Result<Erased, Error> {
    let mut hashes = BTreeSet::new();
    for sha256 in blobs {
        let refuse = || Error::refused("blobs", format!("\"{sha256}\" is not a SHA-256 in hex"));
        hashes.insert(canon::unhex::<32>(sha256).ok_or_else(refuse)?);
    }
    let (mut done, mut gone) = (Erased::default(), BTreeSet::new());
    for hash in hashes {
        let sha256 = canon::hex(&hash);
        let state: Option<String> = connection
            .prepare_cached("SELECT state FROM blobs WHERE sha256 = ?1")?
            .query_row([hash], |row| row.get(0))
            .optional()?;
        match state.map(|state| blob_state(&state)) {
            None => return Err(Error::NotFound { what: format!("a photo or text with hash {sha256}") }),
            Some(BlobState::Erased) => done.already.push(sha256),
            Some(_) => {
                connection
                    .prepare_cached("UPDATE blobs SET state = 'erased', bytes = NULL WHERE sha256 = ?1")?
                    .execute([hash])?;
                gone.insert(hash);
                done.erased.push(sha256);
            }
        }
    }
    if !done.erased.is_empty() {
        done.jobs = forget_words(connection, &gone)?;
        connection.execute("INSERT OR REPLACE INTO meta VALUES (?1, 'due')", [DUE])?;
    }
    Ok(done)
}

/// Takes typed texts that were erased out of the tables across jobs and out of what is remembered of inputs; gives the
/// jobs that name anything that was erased.
fn forget_words(connection: &Connection, gone: &BTreeSet<[u8; 32]>) -> Result<BTreeSet<Uuid>, Error> {
    let mut jobs = BTreeSet::new();
    for event in naming(connection, gone)? {
        jobs.extend(event.job);
        if !event.text {
            continue;
        }
        connection.prepare_cached("DELETE FROM words WHERE rowid = ?1")?.execute([event.place])?;
        connection.prepare_cached("DELETE FROM word_jobs WHERE place = ?1")?.execute([event.place])?;
        if let Some(input) = event.input {
            // As for an input that came back from another phone: its id can be neither repeated nor reused.
            connection
                .prepare_cached(
                    "UPDATE inputs SET salt = zeroblob(16), print = zeroblob(32) WHERE input = ?1",
                )?
                .execute(params![input.as_bytes()])?;
        }
    }
    jobs.iter().try_for_each(|job| rebuild_job(connection, *job))?;
    Ok(jobs)
}

impl Store {
    /// Erases blobs by their hashes; when this returns, no file of the store holds their bytes. An error of [`Store::scrub`]
    /// leaves them erased on record and is finished by calling that, or at the next opening.
    pub fn erase(&mut self, blobs: &[String]) -> Result<Erased, Error> {
        let erased = self.mark_erased(blobs)?;
        self.scrub()?;
        Ok(erased)
    }

    /// The first half of [`Store::erase`], in a transaction of its own: nothing shows the blobs any more, and their bytes may
    /// still lie in the store's files until [`Store::scrub`].
    pub fn mark_erased(&mut self, blobs: &[String]) -> Result<Erased, Error> {
        self.own()?;
        let transaction = self.connection.unchecked_transaction()?;
        let erased = mark(&transaction, blobs)?;
        transaction.commit()?;
        // All of them: the name of who recorded stands in jobs that do not name its blob.
        self.folded.clear();
        Ok(erased)
    }

    /// True while bytes of erased blobs may still lie in the store's files.
    pub fn scrub_due(&self) -> Result<bool, Error> {
        Ok(self.meta(DUE)?.is_some())
    }

    /// Removes from the store's files what erased blobs left in them; does nothing when none is due. It needs as much
    /// room as the database takes, on the disk and in memory.
    pub fn scrub(&mut self) -> Result<(), Error> {
        if !self.scrub_due()? {
            return Ok(());
        }
        self.remove_erased_files()?;
        self.connection.execute("INSERT INTO words (words) VALUES ('optimize')", [])?;
        // In memory: a file for it would lie outside the store, and a phone has no place for one.
        self.connection.execute_batch("PRAGMA temp_store = MEMORY; VACUUM; PRAGMA temp_store = DEFAULT;")?;
        let busy: bool =
            self.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))?;
        if busy {
            return Err(Error::internal("erase.checkpoint"));
        }
        self.connection.execute("DELETE FROM meta WHERE key = ?1", [DUE])?;
        Ok(())
    }

    /// Removes the files of erased photos, whatever is in them now, and every other file below the store's folder that
    /// holds the same bytes: what was put into `inbox` to be taken in, what an interrupted writing left.
    fn remove_erased_files(&self) -> Result<(), Error> {
        photos::sweep(&self.folder)?;
        let mut by_length: BTreeMap<u64, BTreeSet<[u8; 32]>> = BTreeMap::new();
        let mut changed = BTreeSet::new();
        let mut read =
            self.connection.prepare("SELECT sha256, len FROM blobs WHERE state = 'erased' AND file = 1")?;
        for row in read.query_map([], |row| Ok((row.get::<_, [u8; 32]>(0)?, row.get::<_, u64>(1)?)))? {
            let (hash, len) = row?;
            let path = photos::path(&self.folder, &canon::hex(&hash));
            if remove_if_there(&path)? {
                changed.extend(path.parent().map(Path::to_owned));
            }
            by_length.entry(len).or_default().insert(hash);
        }
        if !by_length.is_empty() {
            remove_copies(&self.folder, &by_length, &mut changed)?;
        }
        changed.iter().try_for_each(|folder| sync_folder(folder))
    }
}

/// Removes files below a folder that hold one of these contents. Links are not followed.
fn remove_copies(
    folder: &Path,
    by_length: &BTreeMap<u64, BTreeSet<[u8; 32]>>,
    changed: &mut BTreeSet<PathBuf>,
) -> Result<(), Error> {
    for entry in fs::read_dir(folder).map_err(|why| io(folder, &why))? {
        let entry = entry.map_err(|why| io(folder, &why))?;
        let path = entry.path();
        let facts = entry.metadata().map_err(|why| io(&path, &why))?;
        if facts.is_dir() {
            remove_copies(&path, by_length, changed)?;
        } else if let Some(hashes) = by_length.get(&facts.len()).filter(|_| facts.is_file()) {
            let bytes = fs::read(&path).map_err(|why| io(&path, &why))?;
            if hashes.contains(&canon::sha256(&bytes)) {
                fs::remove_file(&path).map_err(|why| io(&path, &why))?;
                changed.insert(folder.to_owned());
            }
        }
    }
    Ok(())
}
