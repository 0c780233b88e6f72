//! Reading the log: rows, leaves, hashes, and the entries of a job. IO, reads only.

use super::{Store, place, tree};
use crate::error::Error;
use crate::log::canon;
use crate::log::seal::open_small;
use crate::log::tree as merkle;
use crate::log::{Hash, HashReader};
use crate::record::events::{self, BlobRef, Body, Business, Envelope, LogSeen, Shop};
use crate::record::fold::{DeviceSaid, Entry, Job, devices, fold};
use crate::record::words::BlobState;
use rusqlite::{Connection, OptionalExtension as _, params};
use serde::Deserialize;
use serde_json::Value;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// A branch of a log as it is kept here.
#[derive(Debug, Clone)]
pub struct LogRow {
    /// Local number.
    pub id: i64,
    /// Name of the log.
    pub name: String,
    /// Its public key.
    pub public: [u8; 32],
    /// Whether this phone writes it.
    pub own: bool,
    /// Number of leaves.
    pub size: u64,
    /// Highest Lamport number in it.
    pub lam: u64,
    /// Newest signed head.
    pub head: Option<Vec<u8>>,
}

/// The stored hashes of one log.
pub(super) struct Hashes<'a> {
    pub(super) connection: &'a Connection,
    pub(super) log: i64,
}

impl HashReader for Hashes<'_> {
    fn read_hashes(&self, places: &[u64]) -> Result<Vec<Hash>, tlog_tiles::Error> {
        let missing = |_| tlog_tiles::Error::IndexesNotInTree;
        let mut read =
            self.connection.prepare_cached("SELECT hash FROM hashes WHERE place = ?1").map_err(missing)?;
        places
            .iter()
            .map(|at| {
                read.query_row([place(self.log, *at)], |row| row.get::<_, [u8; 32]>(0))
                    .map(Hash)
                    .map_err(missing)
            })
            .collect()
    }
}

/// Hashes of a log's tree that were met last, by their places: the next append needs most of them.
#[derive(Default)]
pub(super) struct Edge {
    met: Vec<(u64, Hash)>,
}

/// The hashes of a log that grows: what was met lately from memory, the rest as stored.
pub(super) struct Growing<'a> {
    pub(super) edge: RefCell<Edge>,
    pub(super) stored: Hashes<'a>,
}

impl Edge {
    /// So many are kept, several times what the largest log needs; then it is begun anew.
    const MOST: usize = 256;

    pub(super) fn meet(&mut self, at: u64, hash: Hash) {
        if self.met.len() >= Self::MOST {
            self.met.clear();
        }
        self.met.push((at, hash));
    }
}

impl HashReader for Growing<'_> {
    fn read_hashes(&self, places: &[u64]) -> Result<Vec<Hash>, tlog_tiles::Error> {
        let mut edge = self.edge.borrow_mut();
        let mut read = |at: &u64| {
            if let Some((_, hash)) = edge.met.iter().rev().find(|(met, _)| met == at) {
                return Ok(*hash);
            }
            let hash =
                *self.stored.read_hashes(&[*at])?.first().ok_or(tlog_tiles::Error::IndexesNotInTree)?;
            edge.meet(*at, hash);
            Ok(hash)
        };
        places.iter().map(&mut read).collect()
    }
}

/// How the types of events begin that are about phones.
pub(super) const DEVICE: &str = "device.";

/// Type of the event that says who records.
pub(super) const RECORDER: &str = "recorder.switched";

/// Type of the event that says how the shop works.
const SHOP: &str = "shop.described";

/// Type of the event that says whose business it is.
pub(super) const BUSINESS: &str = "business.described";

impl Store {
    /// Every branch of every log, in order of arrival.
    pub fn logs(&self) -> Result<Vec<LogRow>, Error> {
        let mut read = self
            .connection
            .prepare_cached("SELECT id, name, public, own, size, lam, head FROM logs ORDER BY id")?;
        let rows = read.query_map([], |row| {
            Ok(LogRow {
                id: row.get(0)?,
                name: row.get(1)?,
                public: row.get(2)?,
                own: row.get(3)?,
                size: row.get(4)?,
                lam: row.get(5)?,
                head: row.get(6)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Root over the first `size` leaves of a log.
    pub fn root_at(&self, log: i64, size: u64) -> Result<Hash, Error> {
        merkle::root(size, &Hashes { connection: &self.connection, log }).map_err(tree)
    }

    /// Proof that a log of `old` leaves is the beginning of the same log of `new` leaves.
    pub fn consistency(&self, log: i64, new: u64, old: u64) -> Result<Vec<Hash>, Error> {
        merkle::prove_consistency(new, old, &Hashes { connection: &self.connection, log }).map_err(tree)
    }

    /// The heads of all logs, as an event names them.
    pub fn heads(&self) -> Result<Vec<events::Head>, Error> {
        self.logs()?
            .into_iter()
            .filter(|log| log.size > 0)
            .map(|log| {
                let root = self.root_at(log.id, log.size)?;
                Ok(events::Head { log: log.name, root: canon::hex(&root.0), size: log.size })
            })
            .collect()
    }

    /// What the logs say of phones.
    pub fn devices(&self) -> Result<Vec<DeviceSaid>, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT place, bytes FROM leaves WHERE job IS NULL AND instr(bytes, ?1) > 0 ORDER BY place",
        )?;
        // The bytes are canonical: so it stands in every event whose type begins so, and what else holds it is passed over.
        let rows = read.query_map([&b"\"type\":\"device."[..]], |row| {
            Ok((row.get::<_, i64>(0)?, row.get::<_, Vec<u8>>(1)?))
        })?;
        Ok(devices(entries_of(&self.connection, rows)?))
    }

    /// Newest heads of other logs of which this phone's log does not say that they were seen.
    pub fn heads_not_seen(&self) -> Result<Vec<events::Head>, Error> {
        let own = self.own()?;
        // Another history of this phone's own log is seen like any other.
        let root = canon::hex(&self.root_at(own.id, own.size)?.0);
        let is_own = |head: &events::Head| head.log == own.key.name() && head.root == root;
        let mut open: Vec<events::Head> = self.heads()?.into_iter().filter(|head| !is_own(head)).collect();
        let branches = |all: &[events::Head], log: &str| all.iter().filter(|head| head.log == log).count();
        let forked: BTreeSet<String> =
            open.iter().filter(|head| branches(&open, &head.log) > 1).map(|head| head.log.clone()).collect();
        let mut not_seen = Vec::new();
        let mut read = self.connection.prepare_cached(
            "SELECT bytes FROM leaves WHERE job IS NULL AND place >= ?1 AND place < ?2 ORDER BY place DESC",
        )?;
        let mut rows = read.query(params![place(own.id, 0), place(own.id + 1, 0)])?;
        while !open.is_empty()
            && let Some(row) = rows.next()?
        {
            let bytes = row.get_ref(0)?.as_bytes().map_err(rusqlite::Error::from)?;
            let Ok(event) = serde_json::from_slice::<Envelope>(bytes) else { continue };
            let Body::LogSeen(LogSeen { head: seen }) = Body::read(&event.kind, event.v, &event.body) else {
                continue;
            };
            // The newest word about a log of one history is enough; of one with two, each has its own.
            let (told, rest) = open
                .into_iter()
                .partition(|head| *head == seen || (head.log == seen.log && !forked.contains(&head.log)));
            open = rest;
            not_seen.extend(Vec::into_iter(told).filter(|head| *head != seen));
        }
        not_seen.extend(open);
        Ok(not_seen)
    }

    /// The bytes of one leaf.
    pub fn leaf(&self, log: i64, seq: u64) -> Result<Option<Vec<u8>>, Error> {
        let mut read = self.connection.prepare_cached("SELECT bytes FROM leaves WHERE place = ?1")?;
        Ok(read.query_row([place(log, seq)], |row| row.get(0)).optional()?)
    }

    /// Leaf hash of an entry of this phone's own log; none when there is none at that place.
    pub fn own_leaf(&self, seq: u64) -> Result<Option<Hash>, Error> {
        let bytes = self.leaf(self.own()?.id, seq)?;
        Ok(bytes.map(|bytes| merkle::leaf(&bytes)))
    }

    /// Root over the first `size` leaves as their bytes lie here, whatever the stored hashes say; none when there are fewer.
    pub fn root_of_leaves(&self, log: i64, size: u64) -> Result<Option<Hash>, Error> {
        let mut read = self
            .connection
            .prepare_cached("SELECT bytes FROM leaves WHERE place >= ?1 AND place < ?2 ORDER BY place")?;
        let mut rows = read.query(params![place(log, 0), place(log, size)])?;
        let mut found = merkle::InMemory::default();
        while let Some(row) = rows.next()? {
            let bytes = row.get_ref(0)?.as_bytes().map_err(rusqlite::Error::from)?;
            found.push(merkle::leaf(bytes)).map_err(tree)?;
        }
        if found.leaves() == size { found.root().map(Some).map_err(tree) } else { Ok(None) }
    }

    /// Whether a log has entries of a job.
    pub fn holds_entries(&self, log: i64, job: Uuid) -> Result<bool, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT EXISTS (SELECT 1 FROM leaves WHERE job = ?1 AND place >= ?2 AND place < ?3)",
        )?;
        Ok(read.query_row(params![job.as_bytes(), place(log, 0), place(log + 1, 0)], |row| row.get(0))?)
    }

    /// The job folded from its events.
    pub fn job(&mut self, job: Uuid) -> Result<&Job, Error> {
        if !self.folded.contains_key(&job) {
            self.forget_jobs(super::FOLDED_JOBS - 1);
            self.fold_job(job)?;
        }
        self.folded.get(&job).ok_or_else(|| Error::internal("store.job"))
    }

    /// Folds a job unless it is folded already.
    pub(super) fn fold_job(&mut self, job: Uuid) -> Result<(), Error> {
        if !self.folded.contains_key(&job) {
            if self.folded.is_empty() {
                self.devices = self.devices()?;
            }
            let mut folded = fold(job, self.entries(job)?);
            folded.devices = self.devices.clone();
            self.folded.insert(job, folded);
        }
        Ok(())
    }

    /// Keeps at most `most` jobs folded.
    pub(super) fn forget_jobs(&mut self, most: usize) {
        while self.folded.len() > most {
            self.folded.pop_first();
        }
    }

    /// A job's events with what is at hand of their blobs. An event on two branches of a fork is one event.
    pub fn entries(&self, job: Uuid) -> Result<Vec<Entry>, Error> {
        let mut read = self.connection.prepare_cached("SELECT place, bytes FROM leaves WHERE job = ?1")?;
        let rows = read.query_map(params![job.as_bytes()], |row| {
            Ok((row.get::<_, i64>(0)?, row.get::<_, Vec<u8>>(1)?))
        })?;
        entries_of(&self.connection, rows)
    }

    /// What an event about a log holds under a role.
    pub(super) fn said_of_log(
        &self,
        log: i64,
        seq: u64,
        role: &str,
    ) -> Result<(BlobState, Option<Value>), Error> {
        said_of_log(&self.connection, log, seq, role)
    }

    /// The newest event of a type about a log, and its number.
    pub(super) fn latest_about_log(&self, log: i64, kind: &str) -> Result<Option<(u64, Envelope)>, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT place, bytes FROM leaves WHERE job IS NULL AND place >= ?1 AND place < ?2 ORDER BY place DESC",
        )?;
        let mut rows = read.query(params![place(log, 0), place(log + 1, 0)])?;
        while let Some(row) = rows.next()? {
            let bytes: Vec<u8> = row.get(1)?;
            if let Ok(envelope) = serde_json::from_slice::<Envelope>(&bytes)
                && envelope.kind == kind
            {
                return Ok(Some((envelope.seq, envelope)));
            }
        }
        Ok(None)
    }

    /// Who records on this phone, by name.
    pub fn recorder(&self) -> Result<Option<String>, Error> {
        let own = self.own()?;
        let Some(by) = own.recorder else { return Ok(None) };
        let (_, name) = self.said_of_log(own.id, by, "recorder")?;
        Ok(name.and_then(|name| name.as_str().map(str::to_owned)))
    }

    /// Whose business the newest entry of a log says it is.
    pub fn business(&self, log: &str) -> Result<Option<Business>, Error> {
        for row in self.logs()?.into_iter().filter(|row| row.name == log) {
            if let Some((seq, _)) = self.latest_about_log(row.id, BUSINESS)? {
                let (_, value) = self.said_of_log(row.id, seq, "business")?;
                return Ok(value.and_then(|value| serde_json::from_value(value).ok()));
            }
        }
        Ok(None)
    }

    /// How the shop works, by the newest entry of all logs that are here: a crew is one shop.
    pub fn shop(&self) -> Result<Shop, Error> {
        let mut newest: Option<(u64, i64, Envelope)> = None;
        for row in self.logs()? {
            if let Some((_, envelope)) = self.latest_about_log(row.id, SHOP)?
                && newest.as_ref().is_none_or(|it| (it.0, &it.2.log) < (envelope.lam, &envelope.log))
            {
                newest = Some((envelope.lam, row.id, envelope));
            }
        }
        let Some((_, log, envelope)) = newest else { return Ok(Shop::default()) };
        let Body::ShopDescribed(said) = Body::read(&envelope.kind, envelope.v, &envelope.body) else {
            return Ok(Shop::default());
        };
        let (_, zones) = self.said_of_log(log, envelope.seq, "zones")?;
        Ok(Shop {
            floor_um: said.floor_um,
            budget_um: said.budget_um,
            chemical_first: said.chemical_first,
            zones: zones.and_then(|zones| serde_json::from_value(zones).ok()).unwrap_or_default(),
        })
    }

    /// Whether a blob of this hash is known here, in whatever state.
    pub(super) fn names_blob(&self, sha256: &str) -> Result<bool, Error> {
        let Some(hash) = canon::unhex::<32>(sha256) else { return Ok(false) };
        let mut read =
            self.connection.prepare_cached("SELECT EXISTS (SELECT 1 FROM blobs WHERE sha256 = ?1)")?;
        Ok(read.query_row([hash], |row| row.get(0))?)
    }

    /// Where a blob of this hash is; none when nothing is known of it.
    pub(super) fn blob_at(&self, sha256: &str) -> Result<Option<BlobState>, Error> {
        let Some(hash) = canon::unhex::<32>(sha256) else { return Ok(None) };
        let mut read = self.connection.prepare_cached("SELECT state FROM blobs WHERE sha256 = ?1")?;
        let state = read.query_row([hash], |row| row.get::<_, String>(0)).optional()?;
        Ok(state.map(|state| blob_state(&state)))
    }
}

/// Entries from rows of a place and its bytes.
fn entries_of(
    connection: &Connection,
    rows: impl Iterator<Item = rusqlite::Result<(i64, Vec<u8>)>>,
) -> Result<Vec<Entry>, Error> {
    let mut entries = Vec::new();
    for row in rows {
        let (place, bytes) = row?;
        entries.extend(entry(connection, place, &bytes)?);
    }
    Ok(entries)
}

/// Reads a leaf as an entry, with what is at hand of its blobs; none when it is not an event that can be placed.
pub(super) fn entry(connection: &Connection, place: i64, bytes: &[u8]) -> Result<Option<Entry>, Error> {
    let Ok(envelope) = serde_json::from_slice::<Envelope>(bytes) else { return Ok(None) };
    let mut blobs = BTreeMap::new();
    for named in &envelope.blobs {
        blobs.insert(named.role.clone(), blob(connection, &named.sha256)?);
    }
    let recorder = match envelope.by {
        Some(by) => Some(said_of_log(connection, place >> 40, by, "recorder")?),
        None => None,
    };
    Ok(Some(Entry { envelope, leaf: merkle::leaf(bytes).0, blobs, recorder }))
}

fn said_of_log(
    connection: &Connection,
    log: i64,
    seq: u64,
    role: &str,
) -> Result<(BlobState, Option<Value>), Error> {
    let mut read = connection.prepare_cached("SELECT bytes FROM leaves WHERE place = ?1")?;
    let bytes: Option<Vec<u8>> = read.query_row([place(log, seq)], |row| row.get(0)).optional()?;
    let envelope = bytes.and_then(|bytes| serde_json::from_slice::<Envelope>(&bytes).ok());
    match envelope.iter().flat_map(|it| &it.blobs).find(|blob| blob.role == role) {
        Some(named) => blob(connection, &named.sha256),
        None => Ok((BlobState::Lost, None)),
    }
}

fn blob(connection: &Connection, sha256: &str) -> Result<(BlobState, Option<Value>), Error> {
    let Some(hash) = canon::unhex::<32>(sha256) else { return Ok((BlobState::Lost, None)) };
    let mut read = connection.prepare_cached("SELECT state, bytes FROM blobs WHERE sha256 = ?1")?;
    let row: Option<(String, Option<Vec<u8>>)> =
        read.query_row([hash], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
    Ok(match row {
        None => (BlobState::Lost, None),
        Some((state, bytes)) => (blob_state(&state), bytes.and_then(|bytes| open_small(&bytes))),
    })
}

/// An event that names one of some blobs.
pub(super) struct Naming {
    pub(super) place: i64,
    pub(super) job: Option<Uuid>,
    pub(super) input: Option<Uuid>,
    /// Whether one of those that it names is a typed text.
    pub(super) text: bool,
}

/// Every event that names one of these blobs. There is no index for it: all leaves are looked through.
pub(super) fn naming(connection: &Connection, blobs: &BTreeSet<[u8; 32]>) -> Result<Vec<Naming>, Error> {
    /// What is read of a leaf; the rest is passed over.
    #[derive(Deserialize)]
    struct Names {
        #[serde(default)]
        blobs: Vec<BlobRef>,
        #[serde(default)]
        input: Option<Uuid>,
    }
    let mut found = Vec::new();
    let mut read = connection.prepare("SELECT place, job, bytes FROM leaves")?;
    let mut rows = read.query([])?;
    while let Some(row) = rows.next()? {
        let bytes = row.get_ref(2)?.as_bytes().map_err(rusqlite::Error::from)?;
        let Ok(names) = serde_json::from_slice::<Names>(bytes) else { continue };
        let is_one = |blob: &&BlobRef| canon::unhex(&blob.sha256).is_some_and(|hash| blobs.contains(&hash));
        let those: Vec<&BlobRef> = names.blobs.iter().filter(is_one).collect();
        if !those.is_empty() {
            found.push(Naming {
                place: row.get(0)?,
                job: row.get::<_, Option<[u8; 16]>>(1)?.map(Uuid::from_bytes),
                input: names.input,
                text: those.iter().any(|blob| !blob.is_file()),
            });
        }
    }
    Ok(found)
}

/// The state under the name it is kept by.
pub(super) fn blob_state(word: &str) -> BlobState {
    BlobState::ALL.iter().copied().find(|state| state.word() == word).unwrap_or(BlobState::Lost)
}
