//! The texts of a bundle: what a job's record looks like as files that need no program of ours. Pure. `report/bundle` writes
//! them, `verify` reads them.
//!
//! A bundle is a BagIt bag (RFC 8493), so `sha256sum -c` checks its manifests. What the manifests hold is signed: the
//! statement, a C2SP signed note of the log's own key, names the hash of the tag manifest, which names that of the
//! manifest, which names every file below `data/`. Each text has one form: what is read is written again and compared, so
//! that no byte is left over that nobody vouches for.

use super::head::{self, LogKey, NotBelieved};
use super::{Hash, canon};
use crate::record::words::BlobState;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;
use signed_note::{Note, StandardVerifier, VerifierList};
use std::fmt::Write as _;
use uuid::Uuid;

/// The declaration of a bag, whole (RFC 8493 section 2.1.1).
pub const BAGIT: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

/// Names of the files beside `data/`.
pub const BAGIT_NAME: &str = "bagit.txt";
/// What the bag is, for people and archives.
pub const INFO_NAME: &str = "bag-info.txt";
/// Hashes of everything below `data/`.
pub const MANIFEST_NAME: &str = "manifest-sha256.txt";
/// Hashes of the three above.
pub const TAGS_NAME: &str = "tagmanifest-sha256.txt";
/// The signed statement.
pub const STATEMENT_NAME: &str = "statement.txt";

/// The job's page.
pub const PAGE: &str = "data/report.html";
/// How to check a bundle without us.
pub const GUIDE: &str = "data/VERIFY.txt";
/// Which photos and texts the entries name, and where each is.
pub const BLOBS: &str = "data/blobs.txt";
/// Folder of the photos and texts, by hash.
pub const BLOB_FOLDER: &str = "data/blobs/";
/// Folder of the logs.
pub const LOG_FOLDER: &str = "data/log/";
/// Folder of the keys.
pub const KEY_FOLDER: &str = "data/keys/";
/// Folder of time-stamp tokens, each with the head that it is of.
pub const ANCHOR_FOLDER: &str = "data/anchors/";

/// Longest path in a bundle, bytes.
const LONGEST_PATH: usize = 200;

/// Whether a path is one that a bundle may hold: plain names below the bag, in letters that every system takes alike.
pub fn is_plain(path: &str) -> bool {
    let part = |part: &str| {
        let letters = part.bytes().all(|c| c.is_ascii_alphanumeric() || matches!(c, b'.' | b'-' | b'_'));
        letters && !part.is_empty() && !part.starts_with('.')
    };
    path.len() <= LONGEST_PATH && path.split('/').all(part)
}

/// The name of a log as a file's: what is not a letter or a digit is a dash.
pub fn device(log: &str) -> String {
    log.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}

/// A manifest (RFC 8493 section 2.1.3), in order of the paths.
pub fn manifest(files: &[(String, [u8; 32])]) -> String {
    let mut files: Vec<&(String, [u8; 32])> = files.iter().collect();
    files.sort();
    files.iter().fold(String::new(), |mut text, (path, hash)| {
        let _ = writeln!(text, "{}  {path}", canon::hex(hash));
        text
    })
}

/// Reads a manifest.
pub fn read_manifest(text: &[u8]) -> Result<Vec<(String, [u8; 32])>, &'static str> {
    let said = std::str::from_utf8(text).map_err(|_| "not UTF-8")?;
    let mut files = Vec::new();
    for line in said.lines() {
        let (hash, path) = line.split_once("  ").ok_or("a line that is no hash and path")?;
        let hash = canon::unhex::<32>(hash).ok_or("a line that is no hash and path")?;
        if !is_plain(path) {
            return Err("a path that no bundle has");
        }
        if files.last().is_some_and(|(before, _): &(String, _)| before.as_str() >= path) {
            return Err("a path twice, or out of order");
        }
        files.push((path.to_owned(), hash));
    }
    if manifest(&files).as_bytes() == text { Ok(files) } else { Err("not in the one form that it has") }
}

/// Whether a bundle holds all that is on record about its job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Disclosed {
    /// Every entry of the job, and what is here of its photos and texts.
    Whole,
    /// Chosen entries; the others are counted.
    Chosen,
}

impl Disclosed {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Chosen => "chosen",
        }
    }
}

/// `bag-info.txt` (RFC 8493 section 2.2.2). No date: the same job at the same size of its logs gives the same bytes.
pub fn info(job: Uuid, disclosed: Disclosed, files: u64, bytes: u64) -> String {
    format!(
        "External-Identifier: {job}\n\
         Bag-Software-Agent: {}\n\
         Payload-Oxum: {bytes}.{files}\n\
         Disclosed: {}\n",
        super::seal::APP,
        disclosed.word()
    )
}

/// First line of the statement. No log has this name, so no statement is ever a checkpoint.
const STATEMENT: &str = "sidelong/bundle/v1";

/// What the statement says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// The job.
    pub job: Uuid,
    /// The log whose key signs.
    pub log: String,
    /// Whether all of the job is here.
    pub disclosed: Disclosed,
    /// SHA-256 of `tagmanifest-sha256.txt`.
    pub tags: [u8; 32],
}

impl Statement {
    fn text(&self) -> String {
        let (job, log, disclosed) = (self.job, &self.log, self.disclosed.word());
        let tags = canon::hex(&self.tags);
        format!("{STATEMENT}\njob {job}\nlog {log}\ndisclosed {disclosed}\ntagmanifest-sha256 {tags}\n")
    }

    /// Signs it: a C2SP signed note.
    pub fn sign(&self, key: &LogKey) -> Result<Vec<u8>, NotBelieved> {
        let mut note = Note::new(self.text().as_bytes(), &[]).map_err(|_| NotBelieved::Note)?;
        note.add_sigs(&[key]).map_err(|_| NotBelieved::Signature)?;
        Ok(note.to_bytes())
    }

    /// What a note states, before anybody believes it.
    pub fn read(note: &[u8]) -> Option<Self> {
        let text = std::str::from_utf8(note).ok()?;
        let lines: Vec<&str> = text.split('\n').take(6).collect();
        let [STATEMENT, job, log, disclosed, tags, ""] = lines.as_slice() else { return None };
        let said = Self {
            job: Uuid::parse_str(job.strip_prefix("job ")?).ok()?,
            log: log.strip_prefix("log ")?.to_owned(),
            disclosed: match *disclosed {
                "disclosed whole" => Disclosed::Whole,
                "disclosed chosen" => Disclosed::Chosen,
                _ => return None,
            },
            tags: canon::unhex(tags.strip_prefix("tagmanifest-sha256 ")?)?,
        };
        let is_name = said.log.bytes().all(|c| c.is_ascii_alphanumeric() || c == b'/');
        (is_name && text.starts_with(&format!("{}\n", said.text()))).then_some(said)
    }

    /// Whether the note is this statement with this key's signature, and nothing else.
    pub fn is_signed(&self, note: &[u8], public: &[u8; 32]) -> Result<(), NotBelieved> {
        let vkey = head::vkey(&self.log, public)?;
        let verifier = StandardVerifier::new(&vkey).map_err(|_| NotBelieved::Key)?;
        let read = Note::from_bytes(note).map_err(|_| NotBelieved::Note)?;
        if read.text() != self.text().as_bytes() || read.to_bytes() != note {
            return Err(NotBelieved::Note);
        }
        let known = VerifierList::new(vec![Box::new(verifier)]);
        let (valid, others) = read.verify(&known).map_err(|_| NotBelieved::Signature)?;
        // A second signature would be bytes that nobody vouches for.
        let lines = note.iter().filter(|byte| **byte == b'\n').count();
        if valid.len() == 1 && others.is_empty() && lines == 7 { Ok(()) } else { Err(NotBelieved::Note) }
    }
}

/// Reads a log's verifier key, if it is written in its one form and its name belongs to it.
pub fn read_vkey(text: &[u8]) -> Result<(String, [u8; 32]), NotBelieved> {
    let text = std::str::from_utf8(text).map_err(|_| NotBelieved::Key)?;
    let line = text.strip_suffix('\n').ok_or(NotBelieved::Key)?;
    let (log, rest) = line.split_once('+').ok_or(NotBelieved::Key)?;
    let (_, key) = rest.split_once('+').ok_or(NotBelieved::Key)?;
    let key = STANDARD.decode(key).map_err(|_| NotBelieved::Key)?;
    let public: [u8; 32] = key.get(1..).and_then(|key| key.try_into().ok()).ok_or(NotBelieved::Key)?;
    if head::vkey(log, &public)? == line { Ok((log.to_owned(), public)) } else { Err(NotBelieved::Key) }
}

/// `leaves.txt`: number and leaf hash of every entry that a log has of the job, shown or not.
pub fn leaves(leaves: &[(u64, Hash)]) -> String {
    leaves.iter().fold(String::new(), |mut text, (seq, hash)| {
        let _ = writeln!(text, "{seq} {}", canon::hex(&hash.0));
        text
    })
}

/// Reads `leaves.txt`.
pub fn read_leaves(text: &[u8]) -> Result<Vec<(u64, Hash)>, &'static str> {
    let said = std::str::from_utf8(text).map_err(|_| "not UTF-8")?;
    let off = "a line that is no number and hash";
    let mut found: Vec<(u64, Hash)> = Vec::new();
    for line in said.lines() {
        let (seq, hash) = line.split_once(' ').ok_or(off)?;
        let (seq, hash) = (seq.parse().map_err(|_| off)?, Hash(canon::unhex(hash).ok_or(off)?));
        if found.last().is_some_and(|(before, _)| *before >= seq) {
            return Err("two entries at one place, or out of order");
        }
        found.push((seq, hash));
    }
    if leaves(&found).as_bytes() == text { Ok(found) } else { Err("not in the one form that it has") }
}

/// Where a photo or text that an entry names is, as far as the bundle goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kept {
    /// In the bundle, or not for one of the reasons that a store knows.
    State(BlobState),
    /// Left out of the bundle by choice.
    Withheld,
}

impl Kept {
    /// Every word of `blobs.txt`.
    pub const ALL: [Self; 5] = [
        Self::State(BlobState::Here),
        Self::Withheld,
        Self::State(BlobState::Erased),
        Self::State(BlobState::Elsewhere),
        Self::State(BlobState::Lost),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::State(state) => state.word(),
            Self::Withheld => "withheld",
        }
    }
}

/// A line of `blobs.txt`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Blob {
    /// SHA-256.
    pub sha256: [u8; 32],
    /// Length, bytes.
    pub len: u64,
    /// Where it is.
    pub kept: Kept,
}

/// `blobs.txt`: hash, length and state of every photo and text that the shown entries name.
pub fn blobs(blobs: &[Blob]) -> String {
    blobs.iter().fold(String::new(), |mut text, blob| {
        let _ = writeln!(text, "{} {} {}", canon::hex(&blob.sha256), blob.len, blob.kept.word());
        text
    })
}

/// Reads `blobs.txt`.
pub fn read_blobs(text: &[u8]) -> Result<Vec<Blob>, &'static str> {
    let said = std::str::from_utf8(text).map_err(|_| "not UTF-8")?;
    let mut found: Vec<Blob> = Vec::new();
    for line in said.lines() {
        let parts: Vec<&str> = line.split(' ').collect();
        let [sha256, len, kept] = parts.as_slice() else {
            return Err("a line that is not hash, length and state");
        };
        let sha256 = canon::unhex(sha256).ok_or("a line without a hash")?;
        let len = len.parse().map_err(|_| "a line without a length")?;
        let kept = Kept::ALL.into_iter().find(|it| it.word() == *kept).ok_or("a state that is not known")?;
        if found.last().is_some_and(|before| before.sha256 >= sha256) {
            return Err("a hash twice, or out of order");
        }
        found.push(Blob { sha256, len, kept });
    }
    if blobs(&found).as_bytes() == text { Ok(found) } else { Err("not in the one form that it has") }
}

/// How many entries of a job one log holds, as a closing commits it.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// Name of the log.
    pub log: String,
    /// Number of the job's entries in it.
    pub count: u64,
    /// RFC 6962 root over their leaf hashes, in the log's order.
    pub root: Hash,
}

/// What a closing's body commits of the job's entries: `leaves`, a list of `{"count","log","root"}`, root in hex. None when
/// it commits nothing, or when what it says cannot be read.
pub fn counted(body: &Value) -> Option<Vec<Counted>> {
    let list = body.get("leaves")?.as_array()?;
    let one = |it: &Value| {
        Some(Counted {
            log: it.get("log")?.as_str()?.to_owned(),
            count: it.get("count")?.as_u64()?,
            root: Hash(canon::unhex(it.get("root")?.as_str()?)?),
        })
    };
    list.iter().map(one).collect::<Option<Vec<_>>>().filter(|all| !all.is_empty())
}

/// RFC 6962 root over leaf hashes that stand beside each other in a log's `leaves.txt`.
pub fn root_of(hashes: impl IntoIterator<Item = Hash>) -> Option<Hash> {
    let mut tree = super::tree::InMemory::default();
    hashes.into_iter().try_for_each(|hash| tree.push(hash)).ok()?;
    tree.root().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_that_lead_elsewhere_are_not_plain() {
        assert!(is_plain("data/log/sidelong-0a/12.tlog-proof") && is_plain("data/blobs/00ff"));
        for path in [
            "",
            "/etc/passwd",
            "../x",
            "data/../x",
            "data//x",
            "data/.x",
            "data/./x",
            "data/x/",
            "C:\\x",
            "data/a b",
            "data/ä",
            "data/x\u{202e}",
            "data/x%2f",
            "data\\x",
            "data/x\0",
        ] {
            assert!(!is_plain(path), "{path:?}");
        }
        assert!(!is_plain(&"x".repeat(LONGEST_PATH + 1)));
    }

    #[test]
    fn texts_have_one_form() {
        let files = vec![("data/b".to_owned(), [1; 32]), ("data/a".to_owned(), [0xab; 32])];
        let text = manifest(&files);
        assert_eq!(read_manifest(text.as_bytes()).map(|files| files[0].0.clone()), Ok("data/a".to_owned()));
        for other in [
            text.to_uppercase(),
            text.replace("  ", " "),
            text.replace('\n', "\r\n"),
            text.trim_end().to_owned(),
            format!("{text}\n"),
            format!("{text}{text}"),
            text.replace("data/b", "data/../b"),
        ] {
            assert!(read_manifest(other.as_bytes()).is_err(), "{other:?}");
        }
        assert!(read_manifest(b"\xff").is_err());

        let said = leaves(&[(3, Hash([1; 32])), (12, Hash([2; 32]))]);
        assert!(read_leaves(said.as_bytes()).is_ok());
        for other in [
            said.replace("12 ", "3 "),
            said.replace("3 ", "03 "),
            said.replace("3 ", "-3 "),
            format!(" {said}"),
        ] {
            assert!(read_leaves(other.as_bytes()).is_err(), "{other:?}");
        }

        let line = |at: u8, kept| Blob { sha256: [at; 32], len: 4, kept };
        let all: Vec<Blob> = (1..).zip(Kept::ALL).map(|(at, kept)| line(at, kept)).collect();
        let said = blobs(&all);
        assert_eq!(read_blobs(said.as_bytes()), Ok(all));
        for other in
            [said.replace("withheld", "hidden"), said.replace(" 4 ", " +4 "), format!("{said}{said}")]
        {
            assert!(read_blobs(other.as_bytes()).is_err(), "{other:?}");
        }
    }

    /// A key for which anybody can sign: small-order points, among them those of speccheck (Chalkias, Garillot, Nikolaenko,
    /// "Taming the many EdDSAs", SSR 2020), here the identity and a point of order 8.
    #[test]
    fn weak_keys_are_not_read() {
        let identity = [[1_u8].as_slice(), &[0; 31]].concat();
        let order_8 = canon::unhex::<32>("c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a");
        for public in [identity.try_into().expect("32 bytes"), order_8.expect("32 bytes")] {
            let log = head::name(&public, false);
            let key = STANDARD.encode([[1].as_slice(), &public].concat());
            let id = signed_note::key_id(&log, &[[1].as_slice(), &public].concat());
            let vkey = format!("{log}+{id:08x}+{key}\n");
            assert_eq!(read_vkey(vkey.as_bytes()), Err(NotBelieved::WeakKey));
        }
        let key = LogKey::from_seed(&[7; 32], false);
        let vkey = format!("{}\n", head::vkey(key.name(), &key.public()).expect("a key"));
        assert_eq!(read_vkey(vkey.as_bytes()), Ok((key.name().to_owned(), key.public())));
        assert!(read_vkey(vkey.trim_end().as_bytes()).is_err() && read_vkey(b"+++").is_err());
        let other = LogKey::from_seed(&[8; 32], false);
        assert!(read_vkey(vkey.replace(key.name(), other.name()).as_bytes()).is_err());
    }

    #[test]
    fn a_statement_holds_for_its_key_and_its_text() {
        let key = LogKey::from_seed(&[7; 32], true);
        let said = Statement {
            job: Uuid::from_u128(5),
            log: key.name().to_owned(),
            disclosed: Disclosed::Chosen,
            tags: [9; 32],
        };
        let note = said.sign(&key).expect("signs");
        assert_eq!(Statement::read(&note).as_ref(), Some(&said));
        assert_eq!(said.is_signed(&note, &key.public()), Ok(()));
        for at in 0..note.len() {
            let mut other = note.clone();
            other[at] ^= 1 << (at % 7);
            let held = Statement::read(&other).is_some_and(|it| it.is_signed(&other, &key.public()).is_ok());
            assert!(!held, "byte {at}");
        }
        let twice = [note.as_slice(), note.split(|b| *b == b'\n').nth(6).expect("a line"), b"\n"].concat();
        assert!(said.is_signed(&twice, &key.public()).is_err());
        assert!(super::super::head::read(&note, key.name(), &key.public()).is_err(), "no checkpoint");
        let checkpoint = key.sign(3, Hash([1; 32])).expect("signs");
        assert_eq!(Statement::read(&checkpoint), None);
    }
}
