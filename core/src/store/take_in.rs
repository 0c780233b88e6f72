//! Taking in a branch of another phone's log: looked through before it is added, and added whole or not at all. IO.

use super::Store;
use super::append::{insert_leaf, keep_blob};
use super::jobs::note_due;
use super::read::{DEVICE, Growing, Hashes, LogRow, RECORDER};
use crate::error::Error;
use crate::log::branch::{Place, Relation, Source, Tip, place, relate};
use crate::log::head::{self, Head};
use crate::log::{Hash, canon, tree as merkle};
use crate::record::events::Envelope;
use crate::record::words::BlobState;
use rusqlite::{OptionalExtension as _, params};
use std::cell::RefCell;
use std::collections::BTreeSet;
use uuid::Uuid;

/// A branch on offer.
pub struct Incoming<'a, S: Source> {
    /// Name of its log.
    pub log: &'a str,
    /// The log's public key.
    pub public: &'a [u8; 32],
    /// Its newest signed head.
    pub head: &'a [u8],
    /// Where its leaves are read from.
    pub source: &'a S,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// Name of the log.
    pub log: String,
    /// How it stands to what was here.
    pub relation: Relation,
    /// Leaves that were here before.
    pub before: u64,
    /// Leaves that are here now.
    pub after: u64,
    /// Jobs that it touched.
    pub jobs: BTreeSet<Uuid>,
    /// True when it is this phone's own log, which the other phone knew further than this one.
    pub own: bool,
}

impl Store {
    /// Takes in a branch. A branch that does not verify is refused whole, with the first leaf that is wrong.
    pub fn take_in<S: Source>(&mut self, incoming: &Incoming<'_, S>) -> Result<Taken, Error> {
        let refuse = |reason: String| Error::NotJoined { log: incoming.log.to_owned(), reason };
        let signed = head::read(incoming.head, incoming.log, incoming.public)
            .map_err(|why| refuse(format!("its signed head: {why}")))?;
        let theirs = Tip { size: signed.size, root: signed.root };
        let rows: Vec<LogRow> = self.logs()?.into_iter().filter(|row| row.name == incoming.log).collect();
        let placed = place(rows.len(), |at| {
            let row = rows.get(at).ok_or_else(|| Error::internal("take_in.place"))?;
            let ours = Tip { size: row.size, root: self.root_at(row.id, row.size)? };
            relate(ours, theirs, |size| self.root_at(row.id, size), incoming.source)
                .map_err(|why| refuse(why.to_string()))
        })?;
        match placed {
            Place::Here(at, relation) => {
                let row = rows.get(at).ok_or_else(|| Error::internal("take_in.here"))?;
                Ok(Taken {
                    log: row.name.clone(),
                    relation,
                    before: row.size,
                    after: row.size,
                    jobs: BTreeSet::new(),
                    own: row.own,
                })
            }
            Place::Extends(at) => self.add(incoming, &signed, rows.get(at), Relation::Longer),
            Place::Apart(false) => self.add(incoming, &signed, None, Relation::Longer),
            Place::Apart(true) => self.add(incoming, &signed, None, Relation::Forked),
        }
    }

    fn add<S: Source>(
        &mut self,
        incoming: &Incoming<'_, S>,
        signed: &Head,
        extends: Option<&LogRow>,
        relation: Relation,
    ) -> Result<Taken, Error> {
        let refuse = |reason: String| Error::NotJoined { log: incoming.log.to_owned(), reason };
        let transaction = self.connection.unchecked_transaction()?;
        let (id, before, own) = match extends {
            Some(row) => (row.id, row.size, row.own),
            None => {
                transaction.execute(
                    "INSERT INTO logs (name, public) VALUES (?1, ?2)",
                    params![incoming.log, incoming.public],
                )?;
                (transaction.last_insert_rowid(), 0, false)
            }
        };
        let stored = Hashes { connection: &transaction, log: id };
        let growing = Growing { edge: RefCell::default(), stored };
        let (mut jobs, mut blobs, mut lam, mut of_phones) = (BTreeSet::new(), Vec::new(), 0, false);
        for seq in before..signed.size {
            let bytes = incoming.source.leaf(seq).map_err(|why| refuse(why.to_string()))?;
            let leaf = merkle::leaf(&bytes);
            if incoming.source.kept_leaf_hash(seq).is_some_and(|kept| kept != leaf) {
                return Err(refuse(format!(
                    "event {seq} was altered: it is not what its own log committed to"
                )));
            }
            let envelope =
                placed(&bytes, incoming.log, seq).map_err(|why| refuse(format!("event {seq}: {why}")))?;
            if let Some(envelope) = &envelope {
                lam = lam.max(envelope.lam);
                of_phones |= envelope.kind.starts_with(DEVICE);
                jobs.extend(envelope.job);
                blobs.extend(envelope.blobs.iter().cloned());
                if own && let Some(input) = envelope.input {
                    // Its content is not known any more, so the id can be neither repeated nor reused.
                    transaction.execute(
                        "INSERT OR IGNORE INTO inputs (input, first, events, salt, print)
                         VALUES (?1, ?2, 1, zeroblob(16), zeroblob(32))",
                        params![input.as_bytes(), seq],
                    )?;
                }
            }
            let job = envelope.and_then(|envelope| envelope.job);
            insert_leaf(&growing, seq, (&bytes, leaf), job)?;
        }
        let root: Hash = merkle::root(signed.size, &growing).map_err(super::tree)?;
        if root != signed.root {
            return Err(refuse(format!(
                "its {} events do not give the head that it signed: it was altered or cut",
                signed.size
            )));
        }
        transaction.execute(
            "UPDATE logs SET size = ?2, lam = max(lam, ?3), head = ?4 WHERE id = ?1",
            params![id, signed.size, lam, incoming.head],
        )?;
        for blob in &blobs {
            keep_blob(&transaction, blob, BlobState::Elsewhere, None)?;
        }
        for job in &jobs {
            note_due(&transaction, *job)?;
        }
        transaction.commit()?;
        if of_phones {
            self.folded.clear();
        }
        for job in &jobs {
            self.folded.remove(job);
        }
        if own {
            let recorder = self.latest_about_log(id, RECORDER)?.map(|(seq, _)| seq);
            if let Some(own) = &mut self.own {
                (own.size, own.recorder) = (signed.size, recorder);
            }
        }
        self.heal_mirror()?;
        Ok(Taken { log: incoming.log.to_owned(), relation, before, after: signed.size, jobs, own })
    }

    /// Blobs that events name and that are not here, though nobody erased them.
    pub fn wanted_blobs(&self) -> Result<Vec<Wanted>, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT sha256, file FROM blobs WHERE state <> 'here' AND state <> 'erased' ORDER BY id",
        )?;
        let rows = read.query_map([], |row| Ok(Wanted { sha256: row.get(0)?, file: row.get(1)? }))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Keeps the bytes of wanted blobs as `bytes_of` gives them, in one commit: small ones in the database, photos
    /// as files before it. Gives those that did not come, among them any whose bytes are not what the event names.
    pub fn receive_blobs<'a>(
        &mut self,
        wanted: &'a [Wanted],
        mut bytes_of: impl FnMut(&Wanted) -> Result<Option<Vec<u8>>, Error>,
    ) -> Result<Vec<&'a Wanted>, Error> {
        let (mut missing, mut shelves) = (Vec::new(), BTreeSet::new());
        let transaction = self.connection.unchecked_transaction()?;
        for blob in wanted {
            let bytes = bytes_of(blob)?.filter(|bytes| canon::sha256(bytes) == blob.sha256);
            let Some(bytes) = bytes else {
                missing.push(blob);
                continue;
            };
            if blob.file {
                shelves.insert(self.shelve_photo(&bytes, &canon::hex(&blob.sha256))?);
            }
            transaction
                .prepare_cached(
                    "UPDATE blobs SET state = 'here', bytes = ?2 WHERE sha256 = ?1 AND state <> 'erased'",
                )?
                .execute(params![blob.sha256, (!blob.file).then_some(bytes)])?;
        }
        if !shelves.is_empty() {
            self.sync_shelves(&shelves)?;
        }
        transaction.commit()?;
        // Any job may name one of them.
        self.folded.clear();
        Ok(missing)
    }

    /// The bytes that are kept for a blob, if there are any; whoever receives them looks whether they are the ones.
    pub fn blob_bytes(&self, wanted: &Wanted) -> Result<Option<Vec<u8>>, Error> {
        if wanted.file {
            let kept = self.photo_as_kept(&canon::hex(&wanted.sha256))?;
            return if kept.is_some() { Ok(kept) } else { self.carried(&wanted.sha256) };
        }
        let mut read = self.connection.prepare_cached("SELECT bytes FROM blobs WHERE sha256 = ?1")?;
        Ok(read.query_row([wanted.sha256], |row| row.get::<_, Option<Vec<u8>>>(0)).optional()?.flatten())
    }
}

/// A blob that is not here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// SHA-256 of its bytes.
    pub sha256: [u8; 32],
    /// True for a photo.
    pub file: bool,
}

/// Reads a leaf's envelope and looks whether it stands where it says. A leaf that is canonical but not an envelope we
/// know is kept and cannot be placed: none.
pub(super) fn placed(bytes: &[u8], log: &str, seq: u64) -> Result<Option<Envelope>, String> {
    let value = canon::read(bytes).map_err(|why| why.to_string())?;
    let Ok(envelope) = serde_json::from_value::<Envelope>(value) else { return Ok(None) };
    if envelope.log != log {
        return Err(format!("says it belongs to {}", envelope.log));
    }
    if envelope.seq != seq {
        return Err(format!("says it is number {}", envelope.seq));
    }
    Ok(Some(envelope))
}

/// A log of an opened store, as a source.
pub struct StoredLog<'a> {
    /// The store.
    pub store: &'a Store,
    /// Local number of the log in it.
    pub id: i64,
}

impl Source for StoredLog<'_> {
    fn leaf(&self, seq: u64) -> Result<Vec<u8>, Error> {
        self.store
            .leaf(self.id, seq)?
            .ok_or_else(|| Error::NotFound { what: format!("event {seq}: it was cut off") })
    }

    fn kept_leaf_hash(&self, seq: u64) -> Option<Hash> {
        use crate::log::HashReader as _;
        let hashes = Hashes { connection: &self.store.connection, log: self.id };
        hashes.read_hashes(&[merkle::leaf_place(seq)]).ok()?.first().copied()
    }

    fn consistency(&self, new: u64, old: u64) -> Result<Vec<Hash>, Error> {
        self.store.consistency(self.id, new, old)
    }
}
