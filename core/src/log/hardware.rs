//! Co-signature of one entry (the closing of a stage, the adding of a device) by a P-256 key that a phone keeps in its
//! hardware, or, at a desk, by one in a file. Pure.
//!
//! What is signed is this text, each line ended by a line feed, ECDSA on P-256 with SHA-256 (FIPS 186-5):
//!
//! ```text
//! sidelong/entry-cosignature/v1
//! entry closing
//! log sidelong/9f3c…
//! seq 412
//! leaf <the RFC 6962 leaf hash of the entry's bytes, 64 hex digits>
//! key hardware
//! ```
//!
//! `entry` is `closing` or `device`, `key` is `hardware` or `software`. A signature is DER (RFC 3279 section 2.2.3), as
//! Android's Keystore and Apple's Secure Enclave give it. Both halves of the range of `s` are accepted: those platforms
//! do not choose the lower one, and nothing here takes a signature for the name of anything. A signature made by hardware is
//! stored, not made again: it differs each time.

pub use crate::record::words::{Cosigned as Entry, KeyHeld as Held};

use super::{Hash, canon};
use p256::ecdsa::signature::{Signer as _, Verifier as _};
use p256::ecdsa::{Signature, SigningKey, VerifyingKey};
use p256::pkcs8::DecodePublicKey as _;

/// Why an entry's co-signature is not believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotSigned {
    /// Neither an uncompressed point nor a SubjectPublicKeyInfo of P-256.
    #[error("not a P-256 public key")]
    Key,
    /// Not a seed: zero, or not below the order of the curve.
    #[error("not a P-256 seed")]
    Seed,
    /// Not the DER of two integers.
    #[error("not an ECDSA signature in DER")]
    Form,
    /// The signature does not fit the statement and the key.
    #[error("the signature does not fit")]
    Signature,
}

impl Held {
    /// What a reader may take from it. Only an attestation of the platform could prove where a key lies; none is looked at.
    pub fn text(self) -> &'static str {
        match self {
            Self::Hardware => "hardware key, as its device says; that it lies there is not proven here",
            Self::Software => "software key, kept in a file: whoever could read that file could sign",
        }
    }
}

/// What is signed.
#[derive(Debug, Clone, PartialEq)]
pub struct Statement<'a> {
    /// The kind of entry.
    pub entry: Entry,
    /// Name of the log.
    pub log: &'a str,
    /// Number of the entry in it.
    pub seq: u64,
    /// Its RFC 6962 leaf hash.
    pub leaf: Hash,
    /// Where the key lies.
    pub held: Held,
}

impl Statement<'_> {
    /// The bytes that are handed to the key.
    pub fn to_bytes(&self) -> Vec<u8> {
        let (entry, held, leaf) = (self.entry.word(), self.held.word(), canon::hex(&self.leaf.0));
        let (log, seq) = (self.log, self.seq);
        format!(
            "sidelong/entry-cosignature/v1\nentry {entry}\nlog {log}\nseq {seq}\nleaf {leaf}\nkey {held}\n"
        )
        .into_bytes()
    }

    /// Checks a signature of this statement. `public` is an uncompressed point (SEC 1 section 2.3.3, 65 bytes; what Apple
    /// gives) or a SubjectPublicKeyInfo (RFC 5480; what Android gives).
    pub fn verify(&self, public: &[u8], signature: &[u8]) -> Result<(), NotSigned> {
        verify(public, &self.to_bytes(), signature)
    }
}

/// Checks an ECDSA signature on P-256 with SHA-256 over any bytes.
pub fn verify(public: &[u8], message: &[u8], signature: &[u8]) -> Result<(), NotSigned> {
    let signature = Signature::from_der(signature).map_err(|_| NotSigned::Form)?;
    read_key(public)?.verify(message, &signature).map_err(|_| NotSigned::Signature)
}

/// A short name for a public key, the same however it is written: the first 16 digits of the SHA-256 of its point.
pub fn name(public: &[u8]) -> Result<String, NotSigned> {
    let point = read_key(public)?.to_encoded_point(false);
    let mut name = canon::hex(&canon::sha256(point.as_bytes()));
    name.truncate(16);
    Ok(name)
}

fn read_key(public: &[u8]) -> Result<VerifyingKey, NotSigned> {
    match public {
        [4, ..] => VerifyingKey::from_sec1_bytes(public).map_err(|_| NotSigned::Key),
        _ => VerifyingKey::from_public_key_der(public).map_err(|_| NotSigned::Key),
    }
}

/// A P-256 key in software, for a desk that has no hardware to keep one. Statements signed with it have to say so.
pub struct DeskKey(SigningKey);

impl std::fmt::Debug for DeskKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("DeskKey").finish_non_exhaustive()
    }
}

impl DeskKey {
    /// The key of 32 random bytes. About one in 2^32 is none; draw again.
    pub fn from_seed(seed: &[u8; 32]) -> Result<Self, NotSigned> {
        SigningKey::from_slice(seed).map(Self).map_err(|_| NotSigned::Seed)
    }

    /// Its public half, an uncompressed point of 65 bytes.
    pub fn public(&self) -> Vec<u8> {
        self.0.verifying_key().to_encoded_point(false).as_bytes().to_vec()
    }

    /// Signs the bytes of a statement, which has to say that the key lies in software. The same bytes give the same signature
    /// (RFC 6979).
    pub fn sign(&self, statement: &[u8]) -> Result<Vec<u8>, NotSigned> {
        let signature: Signature = self.0.try_sign(statement).map_err(|_| NotSigned::Signature)?;
        Ok(signature.to_der().as_bytes().to_vec())
    }
}
