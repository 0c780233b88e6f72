//! A job's record as files that prove themselves: which files a bundle has and what stands in them. Pure; `store/bundle`
//! hands in what is on record, and photos and typed texts, which are written as they are, do not come by here.

use crate::log::Hash;
use crate::log::bag::{
    ANCHOR_FOLDER, BAGIT, BAGIT_NAME, BLOBS, Blob, Disclosed, GUIDE, INFO_NAME, KEY_FOLDER, LOG_FOLDER,
    MANIFEST_NAME, PAGE, STATEMENT_NAME, Statement, TAGS_NAME, blobs, device, info, leaves, manifest,
};
use crate::log::canon::{hex, sha256};
use crate::log::head::{LogKey, NotBelieved, vkey};
use crate::log::proof::{Consistency, Inclusion};
use std::collections::BTreeMap;
use uuid::Uuid;

/// How to check a bundle with programs of others.
const GUIDE_TEXT: &str = include_str!("VERIFY.txt");

/// An event of a log.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its number.
    pub seq: u64,
    /// Its leaf hash.
    pub leaf: Hash,
    /// From the leaf to the root under the log's checkpoint.
    pub proof: Vec<Hash>,
    /// Its bytes; none when it is withheld.
    pub event: Option<Vec<u8>>,
    /// False for an event about the log, which is shown to say who recorded or whose business it is.
    pub of_job: bool,
}

/// A log as far as the bundle shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct LogPart {
    /// Its name.
    pub log: String,
    /// Its public key.
    pub public: [u8; 32],
    /// Its newest signed head.
    pub checkpoint: Vec<u8>,
    /// The job's entries, shown or not, and what is shown beside them; in order of their numbers.
    pub entries: Vec<Entry>,
    /// Sizes of earlier heads, with the proof that they are beginnings of this one.
    pub heads: BTreeMap<u64, Vec<Hash>>,
    /// Heads that others co-signed, by the number of entries under them.
    pub cosigned: BTreeMap<u64, Vec<u8>>,
    /// Names and public keys of those who co-signed.
    pub witnesses: BTreeMap<String, [u8; 32]>,
}

/// A time token over an earlier head of a log.
#[derive(Debug, Clone, PartialEq)]
pub struct Anchor {
    /// The signed head that was stamped.
    pub checkpoint: Vec<u8>,
    /// The authority's answer (DER).
    pub token: Vec<u8>,
    /// That the log goes on from it to the head in the bundle; none when it is that head.
    pub consistency: Option<Consistency>,
}

/// Everything that a bundle says beside photos and texts.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// The logs; branches of a forked one behind each other.
    pub logs: Vec<LogPart>,
    /// Photos and texts that shown entries name, in order of their hashes.
    pub blobs: Vec<Blob>,
    /// The job's page; none when entries are withheld, because it would show them.
    pub page: Option<String>,
    /// Time tokens, by the SHA-256 of the head that each is of.
    pub anchors: BTreeMap<[u8; 32], Anchor>,
    /// Name and public key of the log whose key signs.
    pub signer: (String, [u8; 32]),
}

/// The files below `data/` but for photos and texts, in order of their paths.
///
/// # Errors
/// A key that no log can have.
pub fn payload(record: &Record) -> Result<BTreeMap<String, Vec<u8>>, NotBelieved> {
    let mut files = BTreeMap::new();
    let mut put = |path: String, bytes: Vec<u8>| files.insert(path, bytes);
    let mut branches: BTreeMap<&str, u32> = BTreeMap::new();
    let keys =
        record.logs.iter().flat_map(|part| [(&part.log, &part.public)].into_iter().chain(&part.witnesses));
    for (log, public) in keys.chain([(&record.signer.0, &record.signer.1)]) {
        let key = format!("{}\n", vkey(log, public)?);
        put(format!("{KEY_FOLDER}{}.vkey", device(log)), key.into_bytes());
    }
    for part in &record.logs {
        let branch = branches.entry(&part.log).or_default();
        *branch += 1;
        let number = if *branch == 1 { String::new() } else { format!("-{branch}") };
        let folder = format!("{LOG_FOLDER}{}{number}/", device(&part.log));
        put(format!("{folder}checkpoint"), part.checkpoint.clone());
        let listed: Vec<(u64, Hash)> =
            part.entries.iter().filter(|entry| entry.of_job).map(|entry| (entry.seq, entry.leaf)).collect();
        put(format!("{folder}leaves.txt"), leaves(&listed).into_bytes());
        for entry in &part.entries {
            let checkpoint = part.checkpoint.clone();
            let proof = Inclusion { seq: entry.seq, hashes: entry.proof.clone(), checkpoint };
            put(format!("{folder}{}.tlog-proof", entry.seq), proof.text());
            if let Some(event) = &entry.event {
                put(format!("{folder}{}.json", entry.seq), event.clone());
            }
        }
        for (old, hashes) in &part.heads {
            let checkpoint = part.checkpoint.clone();
            let proof = Consistency { old: *old, hashes: hashes.clone(), checkpoint };
            put(format!("{folder}{old}.consistency"), proof.text());
        }
        for (size, note) in &part.cosigned {
            put(format!("{folder}{size}.cosigned"), note.clone());
        }
    }
    put(BLOBS.to_owned(), blobs(&record.blobs).into_bytes());
    for (sha256, anchor) in &record.anchors {
        let name = format!("{ANCHOR_FOLDER}{}", hex(sha256));
        put(format!("{name}.checkpoint"), anchor.checkpoint.clone());
        put(format!("{name}.tsr"), anchor.token.clone());
        if let Some(proof) = &anchor.consistency {
            put(format!("{name}.consistency"), proof.text());
        }
    }
    if let Some(page) = &record.page {
        put(PAGE.to_owned(), page.clone().into_bytes());
    }
    put(GUIDE.to_owned(), GUIDE_TEXT.as_bytes().to_vec());
    Ok(files)
}

/// The files beside `data/`, once everything in it is written: path, hash and length of each.
///
/// # Errors
/// The key could not sign.
pub fn tags(
    job: Uuid,
    disclosed: Disclosed,
    written: &[(String, [u8; 32], u64)],
    key: &LogKey,
) -> Result<Vec<(&'static str, Vec<u8>)>, NotBelieved> {
    let bytes = written.iter().map(|(_, _, len)| len).sum();
    let info = info(job, disclosed, written.len() as u64, bytes);
    let listed: Vec<(String, [u8; 32])> =
        written.iter().map(|(path, hash, _)| (path.clone(), *hash)).collect();
    let manifest = manifest(&listed);
    let beside = [(BAGIT_NAME, BAGIT.to_owned()), (INFO_NAME, info), (MANIFEST_NAME, manifest)];
    let hashes: Vec<(String, [u8; 32])> =
        beside.iter().map(|(path, text)| ((*path).to_owned(), sha256(text.as_bytes()))).collect();
    let tags = crate::log::bag::manifest(&hashes);
    let statement = Statement { job, log: key.name().to_owned(), disclosed, tags: sha256(tags.as_bytes()) };
    let statement = statement.sign(key)?;
    let mut files: Vec<(&str, Vec<u8>)> =
        beside.into_iter().map(|(path, text)| (path, text.into_bytes())).collect();
    files.push((TAGS_NAME, tags.into_bytes()));
    files.push((STATEMENT_NAME, statement));
    Ok(files)
}
