//! Signed log heads: C2SP `tlog-checkpoint` as a C2SP signed note with an Ed25519 signature (RFC 8032). Pure; the
//! formats are those of the crates `signed_note` and `tlog_tiles`.
//!
//! A log's name is made from its key, `sidelong/<first 16 bytes of SHA-256(public key) in hex>`, so that a name
//! cannot be claimed with another key. A demonstration's log is `sidelong/demo/…`, and every page made from it says so.

use super::canon;
use crate::record::events::is_demo;
use ed25519_dalek::{Signer as _, SigningKey, VerifyingKey};
use signed_note::{Note, NoteError, StandardVerifier, VerifierList};
use tlog_tiles::{Checkpoint, Hash};

/// Ed25519 in C2SP signed notes.
const ALG_ED25519: u8 = 1;

/// What a head says: the log, its number of leaves and their root.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// Name of the log.
    pub log: String,
    /// Number of leaves.
    pub size: u64,
    /// RFC 6962 root over them.
    pub root: Hash,
}

/// Why a head or a key was not believed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotBelieved {
    /// A public key of small order, for which anybody can sign.
    #[error("a weak public key")]
    WeakKey,
    /// Bytes that are no public key.
    #[error("not an Ed25519 public key")]
    Key,
    /// The log's name does not belong to the key.
    #[error("the name does not belong to the key")]
    Name,
    /// Not a signed note.
    #[error("not a signed note")]
    Note,
    /// A signed note that is not a checkpoint of this log.
    #[error("not a checkpoint of this log")]
    Checkpoint,
    /// The signature does not fit.
    #[error("the signature does not fit")]
    Signature,
}

/// Name of the log that a public key signs.
pub fn name(public: &[u8; 32], demo: bool) -> String {
    let digest = canon::sha256(public);
    format!("sidelong/{}{}", if demo { "demo/" } else { "" }, canon::hex(&digest[..16]))
}

/// The key with which a phone signs its log.
pub struct LogKey {
    name: String,
    key: SigningKey,
}

impl std::fmt::Debug for LogKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("LogKey").field("name", &self.name).finish_non_exhaustive()
    }
}

impl LogKey {
    /// The key of a 32-byte seed.
    pub fn from_seed(seed: &[u8; 32], demo: bool) -> Self {
        let key = SigningKey::from_bytes(seed);
        Self { name: name(key.verifying_key().as_bytes(), demo), key }
    }

    /// Name of the log it signs.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its public half.
    pub fn public(&self) -> [u8; 32] {
        self.key.verifying_key().to_bytes()
    }

    /// Signs a head of its log.
    pub fn sign(&self, size: u64, root: Hash) -> Result<Vec<u8>, NotBelieved> {
        let text = Checkpoint::new(&self.name, size, root, "").map_err(|_| NotBelieved::Checkpoint)?;
        let mut note = Note::new(&text.to_bytes(), &[]).map_err(|_| NotBelieved::Note)?;
        note.add_sigs(&[self]).map_err(|_| NotBelieved::Signature)?;
        Ok(note.to_bytes())
    }
}

impl signed_note::Signer for LogKey {
    fn name(&self) -> &str {
        &self.name
    }

    fn key_id(&self) -> u32 {
        signed_note::key_id(&self.name, &[&[ALG_ED25519], self.public().as_slice()].concat())
    }

    fn sign(&self, msg: &[u8]) -> Result<Vec<u8>, signature::Error> {
        Ok(self.key.try_sign(msg)?.to_bytes().to_vec())
    }
}

/// The verifier key (`vkey`) of a log, as other programs take it.
pub fn vkey(log: &str, public: &[u8; 32]) -> Result<String, NotBelieved> {
    let key = VerifyingKey::from_bytes(public).map_err(|_| NotBelieved::Key)?;
    if key.is_weak() {
        return Err(NotBelieved::WeakKey);
    }
    if log != name(public, is_demo(log)) {
        return Err(NotBelieved::Name);
    }
    Ok(signed_note::new_ed25519_verifier_key(log, &key))
}

/// Reads a signed head and believes it only if the key belongs to the log's name and signed it.
pub fn read(note: &[u8], log: &str, public: &[u8; 32]) -> Result<Head, NotBelieved> {
    let verifier = StandardVerifier::new(&vkey(log, public)?).map_err(|_| NotBelieved::Key)?;
    let note = Note::from_bytes(note).map_err(|_| NotBelieved::Note)?;
    note.verify(&VerifierList::new(vec![Box::new(verifier)])).map_err(|why| match why {
        NoteError::InvalidSignature { .. } | NoteError::UnverifiedNote => NotBelieved::Signature,
        _ => NotBelieved::Note,
    })?;
    let checkpoint = Checkpoint::from_bytes(note.text()).map_err(|_| NotBelieved::Checkpoint)?;
    if checkpoint.origin() != log {
        return Err(NotBelieved::Checkpoint);
    }
    Ok(Head { log: log.to_owned(), size: checkpoint.size(), root: *checkpoint.hash() })
}
