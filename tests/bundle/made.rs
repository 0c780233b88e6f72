//! Bundles made in memory from logs whose keys are at hand, so that every lie a signer could tell can be told.

use serde_json::{Value, json};
use sidelong_core::log::bag::{Blob, Disclosed, Kept};
use sidelong_core::log::canon::{bytes, hex, sha256};
use sidelong_core::log::cosign::cosign;
use sidelong_core::log::head::LogKey;
use sidelong_core::log::tree::{InMemory, leaf, prove_consistency};
use sidelong_core::log::{Hash, proof};
use sidelong_core::record::words::BlobState;
use sidelong_core::report::bundle::{Entry, LogPart, Record, payload, tags};
use std::collections::BTreeMap;
use uuid::Uuid;

/// A bundle: path and bytes.
pub type Files = BTreeMap<String, Vec<u8>>;

/// When heads were co-signed here, 2026-06-09 07:10:00 UTC, seconds.
pub const SIGNED_S: u64 = 1_780_989_000;

/// The job of every bundle here.
pub const JOB: Uuid = Uuid::from_u128(0x0197_0000_0000_7000_8000_0000_0000_0001);

/// A log.
pub struct Log {
    /// Its key.
    pub key: LogKey,
    /// Its leaves.
    pub leaves: Vec<Vec<u8>>,
}

impl Log {
    /// An empty one.
    pub fn new(seed: u8) -> Self {
        Self { key: LogKey::from_seed(&[seed; 32], false), leaves: Vec::new() }
    }

    /// Its name below `data/log/`.
    pub fn folder(&self) -> String {
        format!("data/log/{}/", self.key.name().replace('/', "-"))
    }

    /// An event as it would be signed next.
    pub fn event(&self, job: Option<Uuid>, kind: &str, body: Value, blobs: &[&[u8]]) -> Value {
        let named: Vec<Value> = blobs
            .iter()
            .map(|blob| json!({"len": blob.len(), "role": "original", "sha256": hex(&sha256(blob)), "type": "image/jpeg"}))
            .collect();
        let seq = self.leaves.len();
        let mut event = json!({
            "app": "sidelong/0.1.0", "at": 1_780_989_000_000_i64, "body": body, "boot": "one", "lam": seq,
            "log": self.key.name(), "mono": 5, "off_min": 60, "salt": hex(&sha256(&[seq as u8])[..16]), "seq": seq,
            "type": kind, "v": 1, "zone": "Europe/London",
        });
        if let Some(job) = job {
            event["job"] = json!(job);
        }
        if !named.is_empty() {
            event["blobs"] = json!(named);
        }
        event
    }

    /// Adds an event of the job.
    pub fn add(&mut self, kind: &str, body: Value, blobs: &[&[u8]]) {
        let event = self.event(Some(JOB), kind, body, blobs);
        self.leaves.push(bytes(&event).expect("canonical"));
    }

    /// Adds events of another job.
    pub fn others(&mut self, count: usize) {
        for _ in 0..count {
            let event = self.event(Some(Uuid::from_u128(9)), "note.written", json!({}), &[]);
            self.leaves.push(bytes(&event).expect("canonical"));
        }
    }

    /// The tree over its first leaves.
    pub fn tree(&self, size: usize) -> InMemory {
        let mut tree = InMemory::default();
        self.leaves[..size].iter().for_each(|it| tree.push(leaf(it)).expect("grows"));
        tree
    }

    /// The root over its first leaves.
    pub fn root(&self, size: usize) -> Hash {
        self.tree(size).root().expect("a root")
    }

    /// Number and hash of the job's entries.
    pub fn of_job(&self) -> Vec<(u64, Hash)> {
        let named = format!("\"job\":\"{JOB}\"");
        let is_of = |it: &Vec<u8>| String::from_utf8_lossy(it).contains(&named);
        (0..).zip(&self.leaves).filter(|(_, it)| is_of(it)).map(|(seq, it)| (seq, leaf(it))).collect()
    }

    /// What a closing commits of the job in this log.
    pub fn counted(&self) -> Value {
        let mut tree = InMemory::default();
        let of_job = self.of_job();
        of_job.iter().for_each(|(_, hash)| tree.push(*hash).expect("grows"));
        let root = hex(&tree.root().expect("a root").0);
        json!({"count": of_job.len(), "log": self.key.name(), "root": root})
    }

    /// Its head as a closing names it.
    pub fn seen(&self) -> Value {
        let size = self.leaves.len();
        json!({"log": self.key.name(), "root": hex(&self.root(size).0), "size": size})
    }

    /// Its head over its first leaves with the co-signatures of these.
    pub fn cosigned(&self, size: usize, by: &[&LogKey]) -> Vec<u8> {
        let head = self.key.sign(size as u64, self.root(size)).expect("signs");
        let of = (self.key.name(), &self.key.public());
        by.iter().fold(head, |note, key| cosign(key, &note, of, None, &[], SIGNED_S).expect("co-signs").note)
    }

    /// Its part of a bundle with a head that these have co-signed.
    pub fn witnessed(&self, size: usize, by: &[&LogKey]) -> LogPart {
        let proved: &[u64] = if size < self.leaves.len() { &[size as u64] } else { &[] };
        let mut part = self.part(|_| true, proved);
        part.cosigned.insert(size as u64, self.cosigned(size, by));
        part.witnesses.extend(by.iter().map(|key| (key.name().to_owned(), key.public())));
        part
    }

    /// Its part of a bundle.
    pub fn part(&self, shows: impl Fn(u64) -> bool, heads: &[u64]) -> LogPart {
        let size = self.leaves.len();
        let (count, tree) = (size as u64, self.tree(size));
        let entry = |(seq, leaf): (u64, Hash)| Entry {
            seq,
            leaf,
            proof: proof::include(count, seq, &tree).expect("a proof"),
            event: shows(seq).then(|| self.leaves[seq as usize].clone()),
            of_job: true,
        };
        let prove = |old: &u64| (*old, prove_consistency(count, *old, &tree).expect("a proof"));
        LogPart {
            log: self.key.name().to_owned(),
            public: self.key.public(),
            checkpoint: self.key.sign(count, self.root(size)).expect("signs"),
            entries: self.of_job().into_iter().map(entry).collect(),
            heads: heads.iter().map(prove).collect(),
            cosigned: BTreeMap::new(),
            witnesses: BTreeMap::new(),
        }
    }
}

/// A photo or text as a bundle keeps it.
pub fn blob(bytes: &[u8], kept: Kept) -> (Vec<u8>, Kept) {
    (bytes.to_vec(), kept)
}

/// A photo or text that is in the bundle.
pub fn here(bytes: &[u8]) -> (Vec<u8>, Kept) {
    blob(bytes, Kept::State(BlobState::Here))
}

/// A bundle of these logs and photos.
pub fn bundle(logs: Vec<LogPart>, blobs: &[(Vec<u8>, Kept)], key: &LogKey, disclosed: Disclosed) -> Files {
    let line = |(bytes, kept): &(Vec<u8>, Kept)| Blob {
        sha256: sha256(bytes),
        len: bytes.len() as u64,
        kept: *kept,
    };
    let mut lines: Vec<Blob> = blobs.iter().map(line).collect();
    lines.sort();
    let record = Record {
        logs,
        blobs: lines,
        page: Some("<!doctype html>".to_owned()),
        anchors: BTreeMap::new(),
        signer: (key.name().to_owned(), key.public()),
    };
    let mut files: Files = payload(&record).expect("keys");
    for (bytes, _) in blobs.iter().filter(|(_, kept)| *kept == Kept::State(BlobState::Here)) {
        files.insert(format!("data/blobs/{}", hex(&sha256(bytes))), bytes.clone());
    }
    sealed(files, key, disclosed)
}

/// Lists and signs what lies in `data/`, whatever it is: a signer may.
pub fn sealed(files: Files, key: &LogKey, disclosed: Disclosed) -> Files {
    sealed_as(JOB, files, key, disclosed)
}

/// The same of any job.
pub fn sealed_as(job: Uuid, mut files: Files, key: &LogKey, disclosed: Disclosed) -> Files {
    files.retain(|path, _| path.starts_with("data/"));
    let written: Vec<(String, [u8; 32], u64)> =
        files.iter().map(|(path, bytes)| (path.clone(), sha256(bytes), bytes.len() as u64)).collect();
    let beside = tags(job, disclosed, &written, key).expect("signs");
    files.extend(beside.into_iter().map(|(path, bytes)| (path.to_owned(), bytes)));
    files
}

/// Two phones on one job: photos, other jobs between, and a closing that counts and names heads, one of which the second
/// phone has co-signed. The first phone signs.
pub fn two_phones() -> (Log, Log, Files) {
    let (mut one, mut two) = (Log::new(1), Log::new(2));
    one.others(3);
    one.add("job.opened", json!({}), &[]);
    one.add("photo.attached", json!({"n": 1}), &[b"first photo"]);
    two.others(5);
    two.add("photo.attached", json!({"n": 2}), &[b"second photo", b"its note"]);
    one.others(2);
    two.add("note.written", json!({}), &[]);
    let (counted, seen) = (json!([one.counted(), two.counted()]), json!([one.seen(), two.seen()]));
    let heads = (one.leaves.len() as u64, two.leaves.len() as u64);
    one.add("job.closed", json!({"leaves": counted, "seen": seen}), &[]);
    one.others(4);
    two.others(1);
    let parts = vec![one.witnessed(heads.0 as usize, &[&two.key]), two.part(|_| true, &[heads.1])];
    let blobs = [here(b"first photo"), here(b"second photo"), here(b"its note")];
    let files = bundle(parts, &blobs, &one.key, Disclosed::Whole);
    (one, two, files)
}
