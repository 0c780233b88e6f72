//! Which photos and texts are old enough to go: by kind and age of the visit, with what holds them back. IO, reads only;
//! the erasing itself is [`super::erase`]'s.

use super::Store;
use crate::error::Error;
use crate::record::events::Envelope;
use crate::record::kept;
use crate::record::words::{BlobState, Kept};
use rusqlite::params;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// What is due to go.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Due {
    /// Hashes by kind.
    pub blobs: BTreeMap<Kept, BTreeSet<String>>,
    /// Jobs that they are taken from.
    pub jobs: BTreeSet<Uuid>,
    /// Jobs that are old enough and keep theirs, because a dispute is open.
    pub held: BTreeSet<Uuid>,
}

impl Store {
    /// What the rules (kind and the time before which a visit must have been over, UTC milliseconds) let go. A photo that
    /// a younger or a held job names too stays.
    pub fn due(&mut self, rules: &[(Kept, i64)]) -> Result<Due, Error> {
        let Some(latest) = rules.iter().map(|(_, before)| *before).max() else { return Ok(Due::default()) };
        let mut due = Due::default();
        let jobs: Vec<[u8; 16]> = self
            .connection
            .prepare_cached("SELECT job FROM jobs WHERE opened_at < ?1")?
            .query_map([latest], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        for id in jobs.into_iter().map(Uuid::from_bytes) {
            let job = self.job(id)?;
            let (Some(over), held) = (job.over_at(), job.held().is_some()) else { continue };
            let old: Vec<Kept> =
                rules.iter().filter(|(_, before)| over < *before).map(|(kind, _)| *kind).collect();
            let here = self.here(id, &old)?;
            if here.is_empty() {
                continue;
            }
            if held {
                due.held.insert(id);
                continue;
            }
            due.jobs.insert(id);
            for (kind, sha256) in here {
                due.blobs.entry(kind).or_default().insert(sha256);
            }
        }
        self.spare_shared(&mut due)?;
        Ok(due)
    }

    /// Photos and texts of one job that can be erased, of some kinds.
    pub fn here(&self, job: Uuid, kinds: &[Kept]) -> Result<BTreeSet<(Kept, String)>, Error> {
        let envelopes = self.envelopes(job)?;
        let mut found = BTreeSet::new();
        for (kind, blob) in kept::kinds(&envelopes) {
            let state = self.blob_at(&blob.sha256)?;
            if kinds.contains(&kind) && state.is_some_and(|state| state != BlobState::Erased) {
                found.insert((kind, blob.sha256.clone()));
            }
        }
        Ok(found)
    }

    fn envelopes(&self, job: Uuid) -> Result<Vec<Envelope>, Error> {
        let mut read = self.connection.prepare_cached("SELECT bytes FROM leaves WHERE job = ?1")?;
        let rows = read.query_map(params![job.as_bytes()], |row| row.get::<_, Vec<u8>>(0))?;
        let mut envelopes = Vec::new();
        for bytes in rows {
            // What cannot be read names nothing that could be erased.
            envelopes.extend(serde_json::from_slice(&bytes?).ok());
        }
        Ok(envelopes)
    }

    /// Takes out what a job that keeps its own names too. Small texts have their own salt, so only photos are shared.
    fn spare_shared(&self, due: &mut Due) -> Result<(), Error> {
        let photos: BTreeSet<String> = due
            .blobs
            .iter()
            .filter(|(kind, _)| **kind != Kept::Texts)
            .flat_map(|(_, hashes)| hashes.iter().cloned())
            .collect();
        if photos.is_empty() {
            return Ok(());
        }
        let mut read = self.connection.prepare("SELECT job, bytes FROM leaves WHERE job IS NOT NULL")?;
        let mut rows = read.query([])?;
        let mut spared = BTreeSet::new();
        while let Some(row) = rows.next()? {
            let job = Uuid::from_bytes(row.get(0)?);
            if due.jobs.contains(&job) {
                continue;
            }
            let bytes = row.get_ref(1)?.as_bytes().map_err(rusqlite::Error::from)?;
            let Ok(envelope) = serde_json::from_slice::<Envelope>(bytes) else { continue };
            let named = envelope.blobs.into_iter().filter(|blob| blob.is_file()).map(|blob| blob.sha256);
            spared.extend(named.filter(|sha256| photos.contains(sha256)));
        }
        for hashes in due.blobs.values_mut() {
            hashes.retain(|sha256| !spared.contains(sha256));
        }
        due.blobs.retain(|_, hashes| !hashes.is_empty());
        Ok(())
    }
}
