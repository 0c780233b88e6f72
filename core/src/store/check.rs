//! The full check: every byte of what was recorded against what was signed, in slices that can be resumed. IO, reads
//! only but for how far it came.

use super::photos;
use super::read::{Hashes, LogRow, blob_state};
use super::take_in::placed;
use super::{DATABASE, Store, io, place};
use crate::error::Error;
use crate::log::{HashReader as _, canon, head, tree as merkle};
use crate::record::events::{Body, Envelope, LogSeen};
use crate::record::words::BlobState;
use rusqlite::{OptionalExtension as _, params};
use std::fs;

/// Something that is not as it was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// What: a log and number, a photo, a file.
    pub place: String,
    /// What is wrong with it.
    pub found: String,
}

/// How far a full check has come.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Check {
    /// Events looked through.
    pub checked: u64,
    /// Events on record.
    pub total: u64,
    /// Blobs looked through.
    pub blobs: u64,
    /// True when nothing is left to look through.
    pub done: bool,
    /// What was found.
    pub findings: Vec<Finding>,
    /// What harms nothing and is told all the same: a photo that was taken in and then never recorded, a release or an
    /// erasure that was cut off.
    pub notes: Vec<Finding>,
    /// Where it stands: the log, the number in it; then the blob.
    at: (i64, u64, i64),
}

impl Store {
    /// Goes on with a full check for up to `events` events or blobs. Begin with `Check::default()`.
    pub fn check(&self, mut check: Check, events: u64) -> Result<Check, Error> {
        let mut left = events.max(1);
        let logs = self.logs()?;
        check.total = logs.iter().map(|log| log.size).sum();
        for log in &logs {
            if log.id < check.at.0 {
                continue;
            }
            if log.id > check.at.0 {
                check.at = (log.id, 0, check.at.2);
                self.check_head(log, &mut check.findings)?;
            }
            while check.at.1 < log.size {
                if left == 0 {
                    return Ok(check);
                }
                check.findings.extend(self.check_leaf(log, check.at.1, true).or_else(|why| match why {
                    Error::Damaged { found, .. } => {
                        Ok(Some(Finding { place: format!("{}, event {}", log.name, check.at.1), found }))
                    }
                    other => Err(other),
                })?);
                check.at.1 += 1;
                check.checked += 1;
                left -= 1;
            }
        }
        loop {
            if left == 0 {
                return Ok(check);
            }
            match self.check_blob(&mut check) {
                Ok(true) => {}
                Ok(false) => break,
                Err(Error::Damaged { place, found }) => {
                    let found = format!("photos and texts could not be looked through to the end: {found}");
                    check.findings.push(Finding { place, found });
                    break;
                }
                Err(other) => return Err(other),
            }
            check.blobs += 1;
            left -= 1;
        }
        match self.check_cosigned(&mut check.findings) {
            Err(Error::Damaged { place, found }) => check.findings.push(Finding { place, found }),
            done => done?,
        }
        match self.check_file(&mut check.findings) {
            Err(Error::Damaged { place, found }) => check.findings.push(Finding { place, found }),
            done => done?,
        }
        for name in photos::unclaimed(self)? {
            check.notes.push(Finding {
                place: format!("photos/{name}"),
                found: "no event names this file".to_owned(),
            });
        }
        if self.scrub_due()? {
            check.notes.push(Finding {
                place: DATABASE.to_owned(),
                found: "an erasure is not finished: opening to record finishes it".to_owned(),
            });
        }
        check.done = true;
        Ok(check)
    }

    /// One leaf: canonical, where it says it is, and what the tree holds of it. `beside`: also what is kept beside it,
    /// without which more can still be recorded.
    pub(super) fn check_leaf(&self, log: &LogRow, seq: u64, beside: bool) -> Result<Option<Finding>, Error> {
        let at = || format!("{}, event {seq}", log.name);
        let find = |found: &str| Ok(Some(Finding { place: at(), found: found.to_owned() }));
        let row: Option<(Option<[u8; 16]>, Vec<u8>)> = self
            .connection
            .prepare_cached("SELECT job, bytes FROM leaves WHERE place = ?1")?
            .query_row([place(log.id, seq)], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        let Some((job, bytes)) = row else { return find("missing") };
        let hashes = Hashes { connection: &self.connection, log: log.id };
        let places: Vec<u64> = (merkle::first_place(seq)..merkle::first_place(seq + 1)).collect();
        let (Ok(grown), Ok(kept)) =
            (merkle::grow(seq, merkle::leaf(&bytes), &hashes), hashes.read_hashes(&places))
        else {
            return find("its tree hashes are missing");
        };
        if grown.first() != kept.first() {
            return find("its bytes are not those that were signed");
        }
        if grown != kept {
            return find("the tree hashes above it were changed");
        }
        match placed(&bytes, &log.name, seq) {
            Err(why) => find(&why),
            Ok(envelope) => {
                let named = envelope.as_ref().and_then(|envelope| envelope.job).map(uuid::Uuid::into_bytes);
                if named != job {
                    return find("is filed under another job than it names");
                }
                match envelope {
                    Some(envelope) => {
                        let found = match self.check_named(&envelope)? {
                            None if beside && log.own => self.check_kept_beside(&envelope)?,
                            found => found,
                        };
                        Ok(found.map(|found| Finding { place: at(), found }))
                    }
                    None => Ok(None),
                }
            }
        }
    }

    /// Every blob that an event names must be known here, in whatever state.
    fn check_named(&self, envelope: &Envelope) -> Result<Option<String>, Error> {
        for blob in &envelope.blobs {
            if !self.names_blob(&blob.sha256)? {
                return Ok(Some(format!(
                    "names a {} ({}) of which nothing is known here",
                    blob.role, blob.sha256
                )));
            }
        }
        Ok(None)
    }

    /// What must be here beside an event of this phone: the other log that it says was here.
    fn check_kept_beside(&self, envelope: &Envelope) -> Result<Option<String>, Error> {
        if let Body::LogSeen(LogSeen { head }) = Body::read(&envelope.kind, envelope.v, &envelope.body) {
            let is_here = self.logs()?.iter().any(|row| {
                row.name == head.log
                    && row.size >= head.size
                    && self.root_at(row.id, head.size).is_ok_and(|root| canon::hex(&root.0) == head.root)
            });
            if !is_here {
                let found = format!("{} had {} events here, which are not here now", head.log, head.size);
                return Ok(Some(found));
            }
        }
        Ok(None)
    }

    /// The newest signed head against the stored tree's edge.
    pub(super) fn head_finding(&self, log: &LogRow) -> Option<Finding> {
        let found = match &log.head {
            None if log.size == 0 => return None,
            None => "missing".to_owned(),
            Some(note) => match head::read(note, &log.name, &log.public) {
                Err(why) => why.to_string(),
                Ok(head) if head.size != log.size => {
                    format!("signs {} events, {} are here", head.size, log.size)
                }
                Ok(head) => match self.root_at(log.id, log.size) {
                    Ok(root) if root == head.root => return None,
                    _ => "the tree does not give the root that was signed".to_owned(),
                },
            },
        };
        Some(Finding { place: format!("{}, signed head", log.name), found })
    }

    fn check_head(&self, log: &LogRow, findings: &mut Vec<Finding>) -> Result<(), Error> {
        findings.extend(self.head_finding(log));
        let mut find =
            |found: String| findings.push(Finding { place: format!("{}, signed head", log.name), found });
        let strays: u64 = self.connection.query_row(
            "SELECT count(*) FROM leaves WHERE place >= ?1 AND place < ?2",
            params![place(log.id, log.size), place(log.id + 1, 0)],
            |row| row.get(0),
        )?;
        if strays > 0 {
            find(format!("{strays} events lie beyond what was signed"));
        }
        let strays: u64 = self.connection.query_row(
            "SELECT count(*) FROM hashes WHERE place >= ?1 AND place < ?2",
            params![place(log.id, merkle::first_place(log.size)), place(log.id + 1, 0)],
            |row| row.get(0),
        )?;
        if strays > 0 {
            find(format!("{strays} tree hashes lie beyond what was signed"));
        }
        let newest = log.size.checked_sub(1).map(|seq| self.leaf(log.id, seq)).transpose()?.flatten();
        let newest = newest.and_then(|bytes| serde_json::from_slice::<Envelope>(&bytes).ok());
        if newest.is_some_and(|newest| newest.lam > log.lam || (log.own && newest.lam < log.lam)) {
            find("its Lamport number is not that of its newest event".to_owned());
        }
        Ok(())
    }

    /// The next blob; false when all are done.
    fn check_blob(&self, check: &mut Check) -> Result<bool, Error> {
        type Row = (i64, [u8; 32], u64, bool, String, Option<Vec<u8>>);
        let row: Option<Row> = self
            .connection
            .prepare_cached(
                "SELECT id, sha256, len, file, state, bytes FROM blobs WHERE id > ?1 ORDER BY id LIMIT 1",
            )?
            .query_row([check.at.2], |row| {
                Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?, row.get(5)?))
            })
            .optional()?;
        let Some((id, hash, len, file, state, bytes)) = row else { return Ok(false) };
        check.at.2 = id;
        let name = canon::hex(&hash);
        let mut find = |found: String| check.findings.push(Finding { place: format!("blob {name}"), found });
        if !BlobState::ALL.iter().any(|known| known.word() == state) {
            find(format!("its state reads \"{state}\""));
        } else if blob_state(&state) != BlobState::Here && bytes.is_some() {
            find(format!("it is here, and its state reads \"{state}\""));
        } else if blob_state(&state) == BlobState::Here {
            match bytes {
                Some(bytes) if canon::sha256(&bytes) != hash => {
                    find("its bytes are not those that were recorded".to_owned())
                }
                Some(bytes) if bytes.len() as u64 != len => {
                    find("its length is not what was recorded".to_owned())
                }
                Some(_) => {}
                None => match self.photo(&name) {
                    Ok(Some(photo)) if photo.len() as u64 == len => {}
                    Ok(Some(_)) => find("its length is not what was recorded".to_owned()),
                    Ok(None) => find("the photo's file is missing".to_owned()),
                    Err(Error::Damaged { found, .. }) => find(found),
                    Err(why) => find(why.to_string()),
                },
            }
        } else if file && photos::path(&self.folder, &name).exists() {
            check.notes.push(Finding {
                place: format!("photos/{name}"),
                found: format!("the record says that this photo is {state}, and its file is here"),
            });
        }
        Ok(true)
    }

    /// The database file as SQLite sees it, and what lies beside it.
    fn check_file(&self, findings: &mut Vec<Finding>) -> Result<(), Error> {
        let lines = self.connection.prepare("PRAGMA integrity_check(20)").and_then(|mut read| {
            read.query_map([], |row| row.get::<_, String>(0))?.collect::<Result<Vec<_>, _>>()
        });
        // A damaged search index answers with an error instead.
        for line in lines.unwrap_or_else(|why| vec![why.to_string()]) {
            if line != "ok" {
                findings.push(Finding { place: DATABASE.to_owned(), found: line });
            }
        }
        // SQLite reads what is missing of a last page as zeros, and finds nothing wrong where nothing else stood there.
        let page: u64 = self.connection.pragma_query_value(None, "page_size", |row| row.get(0))?;
        let path = self.folder.join(DATABASE);
        let bytes = fs::metadata(&path).map_err(|why| io(&path, &why))?.len();
        if page > 0 && bytes % page != 0 {
            let found = format!("cut short: {bytes} bytes are no whole number of pages of {page}");
            findings.push(Finding { place: DATABASE.to_owned(), found });
        }
        let logs = self.logs()?;
        let mut read = self.connection.prepare("SELECT DISTINCT place >> 40 FROM leaves")?;
        for id in read.query_map([], |row| row.get::<_, i64>(0))? {
            let id = id?;
            if !logs.iter().any(|log| log.id == id) {
                let found = "events of a log that is not listed".to_owned();
                findings.push(Finding { place: format!("{DATABASE}, log {id}"), found });
            }
        }
        if let Some(own) = logs.iter().find(|log| log.own) {
            let mut read = self.connection.prepare("SELECT first, events FROM inputs")?;
            for row in read.query_map([], |row| Ok((row.get::<_, u64>(0)?, row.get::<_, u64>(1)?)))? {
                let (first, events) = row?;
                if first + events > own.size {
                    let found = format!("an answered input points at event {first}");
                    findings.push(Finding { place: format!("{DATABASE}, inputs"), found });
                }
            }
        }
        Ok(())
    }
}
