//! Adding events to this phone's log: one transaction with everything that belongs to them, then the mirror. IO.

use super::ahead::Ahead;
use super::photos::path as photo_path;
use super::read::{DEVICE, Growing, Hashes, RECORDER, blob_state};
use super::{Store, place, tree};
use crate::error::Error;
use crate::log::seal::{Draft, Moment, Sealed, seal};
use crate::log::tree as merkle;
use crate::log::{Hash, canon};
use crate::record::events::{BlobRef, Envelope};
use crate::record::fold::Entry;
use crate::record::inputs::Input;
use crate::record::words::BlobState;
use rusqlite::{Connection, OptionalExtension as _, params};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::path::Path;
use uuid::Uuid;

/// An input as it is remembered: enough to tell a repetition from a reuse of its id.
#[derive(Debug, Clone)]
pub struct Remembered {
    input: Uuid,
    salt: [u8; 16],
    print: [u8; 32],
}

impl Remembered {
    /// Remembers an input. `content` stands for what its fields do not hold: the hash of its photo.
    pub fn of(input: &Input, content: &str, salt: [u8; 16]) -> Result<Self, Error> {
        Ok(Self { input: input.input, salt, print: print(input, content, &salt)? })
    }
}

fn print(input: &Input, content: &str, salt: &[u8; 16]) -> Result<[u8; 32], Error> {
    let mut bytes = salt.to_vec();
    bytes.extend(serde_json::to_vec(input).map_err(|_| Error::internal("append.print"))?);
    bytes.extend(content.as_bytes());
    Ok(canon::sha256(&bytes))
}

impl Store {
    /// The events with which this input was answered before. An id that was used for other content is refused.
    pub fn answered(&mut self, input: &Input, content: &str) -> Result<Option<Vec<Envelope>>, Error> {
        type Row = (u64, u64, [u8; 16], [u8; 32]);
        let row: Option<Row> = self
            .connection
            .prepare_cached("SELECT first, events, salt, print FROM inputs WHERE input = ?1")?
            .query_row(params![input.input.as_bytes()], |row| {
                Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
            })
            .optional()?;
        let Some((first, events, salt, known)) = row else { return Ok(None) };
        if print(input, content, &salt)? != known {
            return Err(Error::InputReused { input: input.input.to_string() });
        }
        // The first answer may have failed between commit and mirror; "saved" is said only after both.
        self.heal_mirror()?;
        let own = self.own()?.id;
        (first..first + events)
            .map(|seq| {
                let bytes = self.leaf(own, seq)?.ok_or_else(|| Error::internal("append.answered"))?;
                serde_json::from_slice(&bytes).map_err(|_| Error::internal("append.answered"))
            })
            .collect::<Result<_, _>>()
            .map(Some)
    }

    /// Whether an input with this id was answered.
    pub fn is_answered(&self, input: Uuid) -> Result<bool, Error> {
        let mut query = self.connection.prepare_cached("SELECT 1 FROM inputs WHERE input = ?1")?;
        Ok(query.exists(params![input.as_bytes()])?)
    }

    /// Appends events; when this returns, they are saved and mirrored. When it fails, none of them is on record
    /// (or, if only the mirror failed, asking again with the same input finishes the work).
    pub fn append(
        &mut self,
        drafts: Vec<Draft>,
        moment: &Moment,
        random: &mut dyn FnMut() -> [u8; 16],
        input: Option<&Remembered>,
    ) -> Result<Vec<Envelope>, Error> {
        self.append_and_erase(drafts, moment, random, input, &[])
    }

    /// As [`Store::append`]; in the same transaction blobs are erased, of which the events say so. Afterwards the caller
    /// calls [`Store::scrub`]; if it comes not to that, the next opening does.
    pub fn append_and_erase(
        &mut self,
        drafts: Vec<Draft>,
        moment: &Moment,
        random: &mut dyn FnMut() -> [u8; 16],
        input: Option<&Remembered>,
        erase: &[String],
    ) -> Result<Vec<Envelope>, Error> {
        self.heal_mirror()?;
        if self.ahead.is_none() {
            self.ahead = Ahead::open(&self.folder);
        }
        if let Some(ahead) = &mut self.ahead {
            ahead.keep();
        }
        let done = self.append_all(drafts, moment, random, input, erase);
        // What is said of a phone is said in every job that it recorded on.
        let of_phones =
            |(all, ..): &(Vec<Envelope>, Vec<u8>, u64)| all.iter().any(|it| it.kind.starts_with(DEVICE));
        let stay = erase.is_empty() && done.as_ref().is_ok_and(|done| !of_phones(done));
        self.forget_jobs(if stay { super::FOLDED_JOBS } else { 0 });
        if done.is_err() {
            // It is read anew, and held against the file's own size, before anything is said to be saved.
            self.mirror = None;
        }
        let id = self.own()?.id;
        let size = match &done {
            Ok((_, _, size)) => Ok(*size),
            // After a failed commit only the file knows what holds.
            Err(_) => self
                .connection
                .prepare_cached("SELECT size FROM logs WHERE id = ?1")
                .and_then(|mut read| read.query_row([id], |row| row.get(0))),
        };
        let recorder = match &done {
            Ok((envelopes, _, _)) => envelopes.iter().rfind(|it| it.kind == RECORDER).map(|it| it.seq),
            Err(_) => self.latest_about_log(id, RECORDER)?.map(|(seq, _)| seq),
        };
        if let (Some(own), Ok(size)) = (&mut self.own, size) {
            own.size = size;
            own.recorder = recorder.or(own.recorder);
        }
        let (envelopes, head, size) = done?;
        if let Some(mirror) = &mut self.mirror {
            mirror.write(&head, size)?;
        }
        Ok(envelopes)
    }

    /// The transaction of [`Store::append`]: the events, the signed head, and the log's size after them.
    fn append_all(
        &mut self,
        drafts: Vec<Draft>,
        moment: &Moment,
        random: &mut dyn FnMut() -> [u8; 16],
        input: Option<&Remembered>,
        erase: &[String],
    ) -> Result<(Vec<Envelope>, Vec<u8>, u64), Error> {
        for job in drafts.iter().filter_map(|draft| draft.job) {
            self.fold_job(job)?;
        }
        let own = self.own()?;
        let moment = Moment { by: own.recorder, ..moment.clone() };
        let recorder = match own.recorder {
            Some(by) => Some(self.said_of_log(own.id, by, "recorder")?),
            None => None,
        };
        let Self { connection, own: Some(own), folded, folder, .. } = self else {
            return Err(Error::internal("append.own"));
        };
        let (id, first) = (own.id, own.size);
        let transaction = connection.unchecked_transaction()?;
        let mut lam: u64 =
            transaction.prepare_cached("SELECT max(lam) FROM logs")?.query_row([], |row| row.get(0))?;
        let mut envelopes = Vec::new();
        let mut size = first;
        // Taken, so that what a transaction that fails would have stored is not kept in memory.
        let edge = RefCell::new(std::mem::take(&mut own.edge));
        let growing = Growing { edge, stored: Hashes { connection: &transaction, log: id } };
        for draft in drafts {
            lam += 1;
            let typed = draft.typed.clone();
            let sealed = seal(draft, own.key.name(), size, lam, &moment, &mut *random)
                .map_err(|why| Error::internal(format!("seal: {why}")))?;
            let leaf = merkle::leaf(&sealed.bytes);
            insert_leaf(&growing, size, (&sealed.bytes, leaf), sealed.envelope.job)?;
            let states = keep_blobs(&transaction, folder, &sealed)?;
            super::jobs::index_words(&transaction, place(id, size), sealed.envelope.job, &typed)?;
            if let Some(job) = sealed.envelope.job.and_then(|job| folded.get_mut(&job)) {
                job.follow(own_entry(&sealed, leaf, &states, typed.into_iter().collect(), recorder.clone()));
                super::jobs::upsert(&transaction, job)?;
                if super::work::touches(&sealed.envelope.kind, job) {
                    super::work::upsert(&transaction, job)?;
                }
            }
            envelopes.push(sealed.envelope);
            size += 1;
        }
        let root = merkle::root(size, &growing).map_err(tree)?;
        let edge = growing.edge.into_inner();
        let head = own.key.sign(size, root).map_err(|why| Error::internal(format!("sign: {why}")))?;
        transaction
            .prepare_cached("UPDATE logs SET size = ?2, lam = ?3, head = ?4 WHERE id = ?1")?
            .execute(params![id, size, lam, head])?;
        if let Some(input) = input {
            transaction
                .prepare_cached(
                    "INSERT INTO inputs (input, first, events, salt, print) VALUES (?1, ?2, ?3, ?4, ?5)",
                )?
                .execute(params![input.input.as_bytes(), first, size - first, input.salt, input.print])?;
        }
        if !erase.is_empty() {
            super::erase::mark(&transaction, erase)?;
        }
        transaction.commit()?;
        own.edge = edge;
        Ok((envelopes, head, size))
    }
}

/// Adds a leaf (its bytes and their hash) and the hashes that it completes.
pub(super) fn insert_leaf(
    growing: &Growing<'_>,
    seq: u64,
    (bytes, leaf): (&[u8], Hash),
    job: Option<Uuid>,
) -> Result<(), Error> {
    let Hashes { connection, log } = growing.stored;
    let grown = merkle::grow(seq, leaf, growing).map_err(tree)?;
    let mut insert = connection.prepare_cached("INSERT INTO hashes (place, hash) VALUES (?1, ?2)")?;
    for (at, hash) in (merkle::first_place(seq)..).zip(grown) {
        insert.execute(params![place(log, at), hash.0])?;
        growing.edge.borrow_mut().meet(at, hash);
    }
    connection
        .prepare_cached("INSERT INTO leaves (place, job, bytes) VALUES (?1, ?2, ?3)")?
        .execute(params![place(log, seq), job.map(Uuid::into_bytes), bytes])?;
    Ok(())
}

/// Keeps small blobs and notes photos; gives the state of each, in order. The file of a photo that is moved between
/// jobs may be on another device, or erased.
fn keep_blobs(connection: &Connection, folder: &Path, sealed: &Sealed) -> Result<Vec<BlobState>, Error> {
    let mut states = Vec::new();
    for blob in &sealed.envelope.blobs {
        if let Some(small) = sealed.small.iter().find(|small| small.named == *blob) {
            keep_blob(connection, blob, BlobState::Here, Some(&small.bytes))?;
            states.push(BlobState::Here);
            continue;
        }
        let here = photo_path(folder, &blob.sha256).is_file();
        keep_blob(connection, blob, if here { BlobState::Here } else { BlobState::Elsewhere }, None)?;
        let kept: String = connection
            .prepare_cached("SELECT state FROM blobs WHERE sha256 = ?1")?
            .query_row([canon::unhex::<32>(&blob.sha256)], |row| row.get(0))?;
        states.push(blob_state(&kept));
    }
    Ok(states)
}

/// Notes a blob. One that is here stays here; one that was erased stays erased.
pub(super) fn keep_blob(
    connection: &Connection,
    blob: &BlobRef,
    state: BlobState,
    bytes: Option<&[u8]>,
) -> Result<(), Error> {
    let Some(hash) = canon::unhex::<32>(&blob.sha256) else { return Ok(()) };
    connection
        .prepare_cached(
            "INSERT INTO blobs (sha256, len, file, state, bytes) VALUES (?1, ?2, ?3, ?4, ?5)
             ON CONFLICT (sha256) DO UPDATE SET state = excluded.state, bytes = excluded.bytes
             WHERE blobs.state NOT IN ('here', 'erased') AND excluded.state = 'here'",
        )?
        .execute(params![hash, blob.len, blob.is_file(), state.word(), bytes])?;
    Ok(())
}

fn own_entry(
    sealed: &Sealed,
    leaf: Hash,
    states: &[BlobState],
    typed: BTreeMap<&str, serde_json::Value>,
    recorder: Option<(BlobState, Option<serde_json::Value>)>,
) -> Entry {
    let blobs = sealed
        .envelope
        .blobs
        .iter()
        .zip(states)
        .map(|(blob, state)| (blob.role.clone(), (*state, typed.get(blob.role.as_str()).cloned())))
        .collect();
    Entry { envelope: sealed.envelope.clone(), leaf: leaf.0, blobs, recorder }
}
