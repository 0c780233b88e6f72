//! Co-signatures: another phone of the crew, or any C2SP witness, signs a log's head after it has been shown that the head
//! goes on from the one that it signed before. A log that was forked or cut then shows against the witness's signature.
//! Pure: proof, time and key are handed in.
//!
//! The format is C2SP `tlog-cosignature` v1.0.0, Ed25519 (<https://c2sp.org/tlog-cosignature@v1.0.0>): a signed note's
//! signature line whose bytes are a time in seconds (64 bits, big-endian) and an Ed25519 signature over
//! `cosignature/v1`, `time <seconds>` and the checkpoint's text. A phone co-signs with the key of its own log. The first
//! signed line keeps the two uses apart: no log is named `cosignature/v1`.

use super::Hash;
use super::head::{self, Head, LogKey, NotBelieved};
use super::tree;
use crate::record::events::is_demo;
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use ed25519_dalek::{Signature, Verifier as _, VerifyingKey};
use signed_note::{Note, NoteError, Signer, StandardVerifier, Verifier, VerifierList};

/// Ed25519 co-signatures in C2SP signed notes.
const ALG_COSIGNATURE: u8 = 4;
/// Plain Ed25519 in C2SP signed notes: taken as a witness's key as Go's library takes it.
const ALG_ED25519: u8 = 1;
const TIME_LEN: usize = 8;
/// A time must not exceed 2^63 - 1 (`tlog-cosignature`, Format).
const LATEST_S: u64 = i64::MAX as u64;

/// Why a head was not co-signed, or a co-signature not believed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotCosigned {
    /// The head itself is not believed.
    #[error("the head: {0}")]
    Head(#[from] NotBelieved),
    /// A log is not witnessed by its own key.
    #[error("a phone cannot witness its own log")]
    OwnLog,
    /// The head that was signed before is another log's.
    #[error("the head signed before is of {log}")]
    OtherLog {
        /// That log.
        log: String,
    },
    /// Shorter than what was signed before.
    #[error("it has {size} entries, {signed} were signed before")]
    Older {
        /// Entries now.
        size: u64,
        /// Entries at the signing before.
        signed: u64,
    },
    /// It does not go on from what was signed before.
    #[error("it does not go on from the {signed} entries that were signed before")]
    NotConsistent {
        /// Entries at the signing before.
        signed: u64,
    },
    /// A time beyond what the format holds.
    #[error("{time_s} is no time")]
    Time {
        /// Seconds since 1970.
        time_s: u64,
    },
    /// Bytes or text that are no witness's key.
    #[error("not a witness's key: {0}")]
    Key(&'static str),
    /// A known witness's co-signature does not fit.
    #[error("the co-signature of {witness} does not fit")]
    Signature {
        /// Its name.
        witness: String,
    },
    /// A witness did not sign it at all.
    #[error("{witness} did not co-sign it")]
    Missing {
        /// Its name.
        witness: String,
    },
}

/// A head with this witness's co-signature added.
#[derive(Debug, Clone, PartialEq)]
pub struct Witnessed {
    /// The signed note, all earlier signatures included.
    pub note: Vec<u8>,
    /// To be kept, synced, before the note is handed out: the next head has to go on from this one.
    pub head: Head,
}

/// Co-signs the head `note` of `log` at `time_s` (seconds since 1970), if it goes on from `last`, the head of that log
/// signed before: `proof` is the RFC 6962 consistency proof from it, empty for the first time or the same size.
pub fn cosign(
    witness: &LogKey,
    note: &[u8],
    (log, public): (&str, &[u8; 32]),
    last: Option<&Head>,
    proof: &[Hash],
    time_s: u64,
) -> Result<Witnessed, NotCosigned> {
    let head = head::read(note, log, public)?;
    if witness.name() == log {
        return Err(NotCosigned::OwnLog);
    }
    if time_s > LATEST_S {
        return Err(NotCosigned::Time { time_s });
    }
    if let Some(last) = last {
        goes_on(last, &head, proof)?;
    }
    let mut note = Note::from_bytes(note).map_err(|_| NotBelieved::Note)?;
    note.add_sigs(&[&Cosigner { witness, time_s }]).map_err(|_| NotBelieved::Signature)?;
    Ok(Witnessed { note: note.to_bytes(), head })
}

/// Whether `now` holds what `then` held, in the same order.
fn goes_on(then: &Head, now: &Head, proof: &[Hash]) -> Result<(), NotCosigned> {
    if then.log != now.log {
        return Err(NotCosigned::OtherLog { log: then.log.clone() });
    }
    if now.size < then.size {
        return Err(NotCosigned::Older { size: now.size, signed: then.size });
    }
    if tree::goes_on(proof, (now.size, now.root), (then.size, then.root)) {
        Ok(())
    } else {
        Err(NotCosigned::NotConsistent { signed: then.size })
    }
}

struct Cosigner<'a> {
    witness: &'a LogKey,
    time_s: u64,
}

impl Signer for Cosigner<'_> {
    fn name(&self) -> &str {
        self.witness.name()
    }

    fn key_id(&self) -> u32 {
        key_id(self.witness.name(), &self.witness.public())
    }

    fn sign(&self, text: &[u8]) -> Result<Vec<u8>, signature::Error> {
        let signature = Signer::sign(self.witness, &signed_bytes(self.time_s, text))?;
        Ok([self.time_s.to_be_bytes().as_slice(), &signature].concat())
    }
}

fn key_id(name: &str, public: &[u8; 32]) -> u32 {
    signed_note::key_id(name, &[&[ALG_COSIGNATURE], public.as_slice()].concat())
}

fn signed_bytes(time_s: u64, text: &[u8]) -> Vec<u8> {
    [format!("cosignature/v1\ntime {time_s}\n").as_bytes(), text].concat()
}

/// A witness whose co-signatures are looked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Witness {
    name: String,
    key: VerifyingKey,
}

impl Witness {
    /// A witness of this name and Ed25519 key. One of the crew has the name that is made from its key.
    pub fn new(name: &str, public: &[u8; 32]) -> Result<Self, NotCosigned> {
        let key = VerifyingKey::from_bytes(public).map_err(|_| NotBelieved::Key)?;
        if key.is_weak() {
            return Err(NotBelieved::WeakKey.into());
        }
        if !signed_note::is_key_name_valid(name) {
            return Err(NotCosigned::Key("a name is not empty and holds neither spaces nor +"));
        }
        if name.starts_with("sidelong/") && name != head::name(public, is_demo(name)) {
            return Err(NotBelieved::Name.into());
        }
        Ok(Self { name: name.to_owned(), key })
    }

    /// Reads a verifier key, `name+id+key`, of type 4 (co-signature) or 1 (the witness's plain Ed25519 key).
    pub fn from_vkey(vkey: &str) -> Result<Self, NotCosigned> {
        let mut parts = vkey.trim().splitn(3, '+');
        let (Some(name), Some(id), Some(key)) = (parts.next(), parts.next(), parts.next()) else {
            return Err(NotCosigned::Key("it is not name+id+key"));
        };
        let key = BASE64_STANDARD.decode(key).map_err(|_| NotCosigned::Key("the key is not base64"))?;
        let public = match key.split_first() {
            Some((&(ALG_COSIGNATURE | ALG_ED25519), public)) => public,
            _ => return Err(NotCosigned::Key("it is of another kind than Ed25519")),
        };
        if id != format!("{:08x}", signed_note::key_id(name, &key)) {
            return Err(NotCosigned::Key("the id does not belong to name and key"));
        }
        let public = public.try_into().map_err(|_| NotCosigned::Key("an Ed25519 key has 32 bytes"))?;
        Self::new(name, public)
    }

    /// The verifier key, as other programs take it.
    pub fn vkey(&self) -> String {
        let public = self.key.to_bytes();
        let key = BASE64_STANDARD.encode([&[ALG_COSIGNATURE], public.as_slice()].concat());
        format!("{}+{:08x}+{key}", self.name, key_id(&self.name, &public))
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }
}

impl Verifier for Witness {
    fn name(&self) -> &str {
        &self.name
    }

    fn key_id(&self) -> u32 {
        key_id(&self.name, &self.key.to_bytes())
    }

    fn verify(&self, text: &[u8], signature: &[u8]) -> bool {
        let Some((time_s, signature)) = split(signature) else { return false };
        self.key.verify(&signed_bytes(time_s, text), &signature).is_ok()
    }
}

/// Time and signature of a co-signature's bytes.
fn split(bytes: &[u8]) -> Option<(u64, Signature)> {
    let (time, signature) = bytes.split_at_checked(TIME_LEN)?;
    let time_s = u64::from_be_bytes(time.try_into().ok()?);
    let signature = Signature::from_slice(signature).ok()?;
    (time_s <= LATEST_S).then_some((time_s, signature))
}

/// A witness's co-signature that verifies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cosignature {
    /// Name of the witness.
    pub witness: String,
    /// When it signed, by its own clock: seconds since 1970.
    pub time_s: u64,
}

/// The co-signatures on a head of `log` by these witnesses. Lines of others are passed over; a line in the name and key
/// of one of these that does not verify is an error, as is a head that the log itself did not sign.
pub fn cosignatures(
    note: &[u8],
    (log, public): (&str, &[u8; 32]),
    witnesses: &[Witness],
) -> Result<Vec<Cosignature>, NotCosigned> {
    let (_, verified) = verified(note, (log, public), witnesses)?;
    let of_witness = |line: &signed_note::Signature| {
        witnesses.iter().find(|it| it.name == line.name() && Verifier::key_id(*it) == line.id())?;
        let (time_s, _) = split(line.signature())?;
        Some(Cosignature { witness: line.name().to_owned(), time_s })
    };
    Ok(verified.iter().filter_map(of_witness).collect())
}

/// A head of `log` with its lines that verify, by its own key or a witness's; one line a key.
fn verified(
    note: &[u8],
    (log, public): (&str, &[u8; 32]),
    witnesses: &[Witness],
) -> Result<(Note, Vec<signed_note::Signature>), NotCosigned> {
    head::read(note, log, public)?;
    let log_key = StandardVerifier::new(&head::vkey(log, public)?).map_err(|_| NotBelieved::Key)?;
    let mut known: Vec<Box<dyn Verifier>> = vec![Box::new(log_key)];
    let mut named: Vec<&Witness> = Vec::new();
    for witness in witnesses {
        // The list takes two of one name and key for an ambiguity.
        if !named.contains(&witness) {
            known.push(Box::new(witness.clone()));
            named.push(witness);
        }
    }
    let note = Note::from_bytes(note).map_err(|_| NotBelieved::Note)?;
    let (lines, _) = note.verify(&VerifierList::new(known)).map_err(|why| match why {
        NoteError::InvalidSignature { name, .. } => NotCosigned::Signature { witness: name },
        _ => NotBelieved::Note.into(),
    })?;
    Ok((note, lines))
}

/// A head with the co-signature of one witness, in the one form in which it is kept: the line of the log, then that of the
/// witness, and no other.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// The head.
    pub head: Head,
    /// Who co-signed it and when.
    pub cosignature: Cosignature,
    /// The signed note.
    pub note: Vec<u8>,
}

/// What is kept of a co-signed head for one of its witnesses.
///
/// # Errors
/// The log did not sign it, or the witness did not, or it is the log itself.
pub fn kept(note: &[u8], (log, public): (&str, &[u8; 32]), witness: &Witness) -> Result<Kept, NotCosigned> {
    if witness.name == log {
        return Err(NotCosigned::OwnLog);
    }
    let one = std::slice::from_ref(witness);
    let cosignature = cosignatures(note, (log, public), one)?.pop();
    let cosignature = cosignature.ok_or_else(|| NotCosigned::Missing { witness: witness.name.clone() })?;
    let head = head::read(note, log, public)?;
    let (note, mut lines) = verified(note, (log, public), one)?;
    lines.sort_by_key(|line| line.name() != log);
    let note = Note::new(note.text(), &lines).map_err(|_| NotBelieved::Note)?.to_bytes();
    Ok(Kept { head, cosignature, note })
}

/// One note of all the co-signatures of one head, each witness's first one.
pub fn together(of_one_head: &[Kept]) -> Vec<u8> {
    let Some(first) = of_one_head.first() else { return Vec::new() };
    let (mut note, mut named) = (first.note.clone(), vec![first.cosignature.witness.as_str()]);
    for kept in of_one_head {
        let witness = kept.cosignature.witness.as_str();
        if !named.contains(&witness) {
            named.push(witness);
            note.extend(kept.note.split_inclusive(|byte| *byte == b'\n').next_back().unwrap_or_default());
        }
    }
    note
}

/// Names on the lines of a co-signed head but for the log's own, as they stand there; nothing of it is believed.
pub fn named(note: &[u8], log: &str) -> Vec<String> {
    let lines =
        std::str::from_utf8(note).ok().and_then(|text| text.rsplit_once("\n\n")).map(|(_, lines)| lines);
    let line = |line: &str| signed_note::Signature::from_bytes(line.as_bytes()).ok();
    let names = lines.unwrap_or_default().lines().filter_map(line).map(|line| line.name().to_owned());
    names.filter(|name| name != log).collect()
}
