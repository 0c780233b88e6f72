//! The owner's receipt: a log's signed head as a square of dots and as letters, so that whoever holds it can tell later
//! whether the log still begins with what was in it then. Pure.
//!
//! Both say the same: `SIDELONG:` and 226 letters and digits, Crockford's base 32
//! (<https://www.crockford.com/base32.html>: no I, L, O, U; when read, I and L are 1, O is 0) of 141 bytes:
//!
//! | bytes | what |
//! | --- | --- |
//! | 1 | 16; 17 for a demonstration |
//! | 32 | the log's Ed25519 public key; its name follows from it |
//! | 8 | number of entries, big-endian |
//! | 32 | their RFC 6962 root |
//! | 64 | the Ed25519 signature of the C2SP checkpoint that these make |
//! | 4 | the first bytes of the SHA-256 of all before, against slips of the pen |
//!
//! So a receipt gives back the signed note byte for byte, and its verifier key, for any other program. The square is a QR
//! code (ISO/IEC 18004), level M, four modules of quiet zone, in the alphanumeric mode: version 9, 53 modules.

use super::canon;
use super::head::{self, Head, NotBelieved};
use super::{Hash, tree};
use crate::record::events::is_demo;
use qrcodegen::{QrCode, QrCodeEcc, QrSegment};
use signed_note::{Note, Signature, StandardVerifier, VerifierList};
use std::fmt::Write as _;
use tlog_tiles::Checkpoint;

const BEGINNING: &str = "SIDELONG:";
const DIGITS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const KIND: u8 = 16;
const BODY: usize = 1 + 32 + 8 + 32 + 64;
const CHECK: usize = 4;
const LETTERS: usize = ((BODY + CHECK) * 8).div_ceil(5);
/// Ed25519 in C2SP signed notes.
const ALG_ED25519: u8 = 1;
/// ISO/IEC 18004 section 6.3.8.
const QUIET: i32 = 4;

/// Why letters are no receipt.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotAReceipt {
    /// Nothing in it begins as a receipt does.
    #[error("no receipt: {BEGINNING} stands nowhere in it")]
    Beginning,
    /// Letters are missing or too many.
    #[error("{found} letters and digits follow {BEGINNING}; a receipt has {LETTERS}")]
    Length {
        /// How many there are.
        found: usize,
    },
    /// A letter that no receipt has.
    #[error("letter {at} after {BEGINNING}, {found:?}, stands in no receipt")]
    Letter {
        /// Its number, from 1.
        at: usize,
        /// The letter.
        found: char,
    },
    /// One or more letters are not what was written.
    #[error("a letter is wrong: the check at its end does not fit")]
    Check,
    /// Made by a version that is not known here.
    #[error("a receipt of kind {0}, which this version does not know")]
    Kind(u8),
    /// The head in it is not believed.
    #[error("its head is not believed: {0}")]
    Head(#[from] NotBelieved),
    /// It could not be drawn.
    #[error("it does not fit into a QR code")]
    Drawing,
}

/// What a log shown later does not have of what was there at the time of the receipt.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotKept {
    /// It is another log.
    #[error("the receipt is of {receipt}, this is {shown}")]
    OtherLog {
        /// The receipt's log.
        receipt: String,
        /// The log that was shown.
        shown: String,
    },
    /// It has fewer entries than at the time of the receipt.
    #[error("the log has {shown} entries; it had {receipt} when the receipt was given")]
    Shorter {
        /// Entries then.
        receipt: u64,
        /// Entries now.
        shown: u64,
    },
    /// What was there is not its beginning.
    #[error("its first {receipt} entries are not proven to be those of the receipt")]
    NotConsistent {
        /// Entries then.
        receipt: u64,
    },
}

/// A receipt whose signature fits.
#[derive(Debug, Clone, PartialEq)]
pub struct Receipt {
    head: Head,
    public: [u8; 32],
    signature: [u8; 64],
}

impl Receipt {
    /// The receipt of a signed head. Co-signatures on it are left out.
    pub fn of(note: &[u8], log: &str, public: &[u8; 32]) -> Result<Self, NotBelieved> {
        let head = head::read(note, log, public)?;
        let note = Note::from_bytes(note).map_err(|_| NotBelieved::Note)?;
        let key = StandardVerifier::new(&head::vkey(log, public)?).map_err(|_| NotBelieved::Key)?;
        let known = VerifierList::new(vec![Box::new(key)]);
        let (verified, _) = note.verify(&known).map_err(|_| NotBelieved::Signature)?;
        let signature = verified.first().and_then(|it| it.signature().try_into().ok());
        let receipt = Self { head, public: *public, signature: signature.ok_or(NotBelieved::Signature)? };
        // A head with lines of its own beyond the three could not be made again.
        if checkpoint(&receipt.head)? == note.text() { Ok(receipt) } else { Err(NotBelieved::Checkpoint) }
    }

    /// Reads a receipt: letters large or small, line breaks, spaces and hyphens anywhere, anything before it.
    pub fn read(text: &str) -> Result<Self, NotAReceipt> {
        let letters: String = text.chars().filter(|it| !is_gap(*it)).flat_map(char::to_uppercase).collect();
        let (_, letters) = letters.rsplit_once(BEGINNING).ok_or(NotAReceipt::Beginning)?;
        let bytes = decode(letters)?;
        let (body, check) = bytes.split_at(BODY);
        if canon::sha256(body).get(..CHECK) != Some(check) {
            return Err(NotAReceipt::Check);
        }
        let demo = match body[0] {
            KIND => false,
            kind if kind == KIND + 1 => true,
            kind => return Err(NotAReceipt::Kind(kind)),
        };
        let mut rest = &body[1..];
        let public = take(&mut rest);
        let size = u64::from_be_bytes(take(&mut rest));
        let root = Hash(take(&mut rest));
        let signature = take(&mut rest);
        let head = Head { log: head::name(&public, demo), size, root };
        let receipt = Self { head, public, signature };
        let read = head::read(&receipt.note()?, &receipt.head.log, &public)?;
        if read == receipt.head { Ok(receipt) } else { Err(NotBelieved::Checkpoint.into()) }
    }

    /// What it says: the log, how many entries, their root.
    pub fn head(&self) -> &Head {
        &self.head
    }

    /// The signed note, byte for byte as the phone signed it.
    pub fn note(&self) -> Result<Vec<u8>, NotBelieved> {
        let key = [&[ALG_ED25519], self.public.as_slice()].concat();
        let id = signed_note::key_id(&self.head.log, &key);
        let line = Signature::new(self.head.log.clone(), id, self.signature.to_vec());
        let line = line.map_err(|_| NotBelieved::Note)?;
        let note = Note::new(&checkpoint(&self.head)?, &[line]).map_err(|_| NotBelieved::Note)?;
        Ok(note.to_bytes())
    }

    /// The verifier key of its log, as other programs take it.
    pub fn vkey(&self) -> Result<String, NotBelieved> {
        head::vkey(&self.head.log, &self.public)
    }

    /// All letters in one row.
    pub fn letters(&self) -> String {
        let mut bytes = vec![KIND + u8::from(is_demo(&self.head.log))];
        bytes.extend(self.public);
        bytes.extend(self.head.size.to_be_bytes());
        bytes.extend(self.head.root.0);
        bytes.extend(self.signature);
        let check = canon::sha256(&bytes);
        bytes.extend(check.iter().take(CHECK));
        format!("{BEGINNING}{}", encode(&bytes))
    }

    /// The letters to be read by people: groups of five, six a line.
    pub fn text(&self) -> String {
        let letters = self.letters();
        let mut text = BEGINNING.to_owned();
        for (at, letter) in letters.chars().skip(BEGINNING.len()).enumerate() {
            match at {
                at if at % 30 == 0 => text.push('\n'),
                at if at % 5 == 0 => text.push(' '),
                _ => {}
            }
            text.push(letter);
        }
        text.push('\n');
        text
    }

    /// The QR code as an SVG picture: black on white, as large as it is made.
    pub fn svg(&self) -> Result<String, NotAReceipt> {
        let letters = QrSegment::make_segments(&self.letters());
        let code = QrCode::encode_segments_advanced(
            &letters,
            QrCodeEcc::Medium,
            qrcodegen::Version::MIN,
            qrcodegen::Version::MAX,
            None,
            false,
        )
        .map_err(|_| NotAReceipt::Drawing)?;
        let side = code.size() + 2 * QUIET;
        let mut dark = String::new();
        for y in 0..code.size() {
            let mut x = 0;
            while x < code.size() {
                let run = (x..code.size()).take_while(|at| code.get_module(*at, y)).count();
                if run > 0 {
                    let _ = write!(dark, "M{} {}h{run}v1h-{run}z", x + QUIET, y + QUIET);
                }
                x += i32::try_from(run).unwrap_or(0) + 1;
            }
        }
        Ok(format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" role=\"img\" \
             aria-label=\"Receipt: {} entries of {}\" shape-rendering=\"crispEdges\">\
             <rect width=\"{side}\" height=\"{side}\" fill=\"#fff\"/><path d=\"{dark}\" fill=\"#000\"/></svg>\n",
            self.head.size, self.head.log
        ))
    }

    /// Whether a log shown later, with the signed head `shown`, still begins with what was in it at the time of the
    /// receipt. `proof` is the RFC 6962 consistency proof between the two sizes.
    pub fn kept_in(&self, shown: &Head, proof: &[Hash]) -> Result<(), NotKept> {
        let receipt = self.head.size;
        if shown.log != self.head.log {
            return Err(NotKept::OtherLog { receipt: self.head.log.clone(), shown: shown.log.clone() });
        }
        if shown.size < receipt {
            return Err(NotKept::Shorter { receipt, shown: shown.size });
        }
        if tree::goes_on(proof, (shown.size, shown.root), (receipt, self.head.root)) {
            Ok(())
        } else {
            Err(NotKept::NotConsistent { receipt })
        }
    }
}

fn checkpoint(head: &Head) -> Result<Vec<u8>, NotBelieved> {
    let text = Checkpoint::new(&head.log, head.size, head.root, "").map_err(|_| NotBelieved::Checkpoint)?;
    Ok(text.to_bytes())
}

/// What mail programs, word processors and hands put between letters; the last four are of no width.
fn is_gap(it: char) -> bool {
    it.is_whitespace()
        || matches!(it, '-' | '\u{2010}'..='\u{2015}' | '>' | '|' | '\u{ad}' | '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}')
}

fn take<const N: usize>(rest: &mut &[u8]) -> [u8; N] {
    let (taken, left) = rest.split_first_chunk().map_or(([0; N], *rest), |(taken, left)| (*taken, left));
    *rest = left;
    taken
}

/// Five bits a letter, from the first byte's highest on; the last letter is filled up with zeros.
fn encode(bytes: &[u8]) -> String {
    let mut letters = String::new();
    let (mut held, mut bits) = (0_u32, 0);
    for byte in bytes {
        held = held << 8 | u32::from(*byte);
        bits += 8;
        while bits >= 5 {
            bits -= 5;
            letters.push(char::from(DIGITS[(held >> bits & 31) as usize]));
        }
    }
    if bits > 0 {
        letters.push(char::from(DIGITS[(held << (5 - bits) & 31) as usize]));
    }
    letters
}

fn decode(letters: &str) -> Result<[u8; BODY + CHECK], NotAReceipt> {
    let found = letters.chars().count();
    let mut bytes = [0; BODY + CHECK];
    let mut room = bytes.iter_mut();
    let (mut held, mut bits) = (0_u32, 0);
    for (at, letter) in (1..).zip(letters.chars()) {
        let read = match letter {
            'I' | 'L' => '1',
            'O' => '0',
            other => other,
        };
        let digit = DIGITS.iter().position(|it| char::from(*it) == read);
        let digit = digit.ok_or(NotAReceipt::Letter { at, found: letter })?;
        held = (held << 5 | digit as u32) & 0xfff;
        bits += 5;
        if bits >= 8 {
            bits -= 8;
            *room.next().ok_or(NotAReceipt::Length { found })? = (held >> bits & 255) as u8;
        }
    }
    if found != LETTERS {
        return Err(NotAReceipt::Length { found });
    }
    // Two spellings of one receipt would be one too many.
    if held & ((1 << bits) - 1) != 0 {
        return Err(NotAReceipt::Check);
    }
    Ok(bytes)
}
