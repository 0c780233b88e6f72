//! Signed notes: heads, statements, co-signatures, receipts, keys. What is believed was signed, says what its lines say, and
//! is written again byte for byte.
//!
//! The first byte says how much is signed: nothing; the rest, as a text, by a log's key; that and a witness's name on it; or
//! that and a line of somebody unknown behind it.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use ed25519_dalek::{Signature, Signer as _, SigningKey, Verifier as _, VerifyingKey};
use sha2::{Digest as _, Sha256};
use sidelong_core::log::bag::{Statement, read_blobs, read_leaves, read_manifest, read_vkey};
use sidelong_core::log::bag::{blobs, leaves, manifest};
use sidelong_core::log::cosign::{Witness, cosign, cosignatures};
use sidelong_core::log::head::{self, LogKey};
use sidelong_core::log::receipt::Receipt;

/// Seeds of two logs; those of the bundles too.
const SEEDS: [[u8; 32]; 2] = [[1; 32], [2; 32]];

/// Any note.
pub fn note(bytes: &[u8]) {
    let Some((how, rest)) = bytes.split_first() else { return };
    match how % 4 {
        0 => believed(rest),
        1 => believed(&signed(rest, &SEEDS[0])),
        2 => {
            let Some((time, text)) = rest.split_first_chunk() else { return };
            let (key, witness) = (key(0), key(1));
            let note = signed(text, &SEEDS[0]);
            let whose = (key.name(), &key.public());
            let Ok(done) = cosign(&witness, &note, whose, None, &[], u64::from_be_bytes(*time)) else {
                return;
            };
            let named = Witness::new(witness.name(), &witness.public()).expect("a witness");
            let told = cosignatures(&done.note, whose, &[named]).expect("what was co-signed verifies");
            assert_eq!(told.len(), 1, "one signed");
            assert_eq!(told[0].time_s, u64::from_be_bytes(*time));
            believed(&done.note);
        }
        _ => {
            let Some((len, rest)) = rest.split_first() else { return };
            let Some((line, text)) = rest.split_at_checked(usize::from(*len)) else { return };
            let more = format!("\u{2014} stranger {}\n", STANDARD.encode(line));
            believed(&[signed(text, &SEEDS[0]), more.into_bytes()].concat());
        }
    }
}

fn key(number: usize) -> LogKey {
    LogKey::from_seed(&SEEDS[number], false)
}

/// A note over a text, made without the code that reads it (C2SP signed-note).
pub fn signed(text: &[u8], seed: &[u8; 32]) -> Vec<u8> {
    let (key, name) = (SigningKey::from_bytes(seed), LogKey::from_seed(seed, false).name().to_owned());
    let id = Sha256::digest([name.as_bytes(), b"\n\x01", key.verifying_key().as_bytes()].concat());
    let line = STANDARD.encode([&id[..4], &key.sign(text).to_bytes()].concat());
    [text, format!("\n\u{2014} {name} {line}\n").as_bytes()].concat()
}

fn believed(note: &[u8]) {
    for number in 0..SEEDS.len() {
        let key = key(number);
        let public = key.public();
        if let Ok(head) = head::read(note, key.name(), &public) {
            let text = text_signed_by(note, key.name(), &public).expect("a head that nobody signed");
            let lines: Vec<&str> = text.split('\n').collect();
            let root = STANDARD.encode(head.root.0);
            assert_eq!(lines[..3], [key.name(), &head.size.to_string(), &root], "it says something else");
            let again = signed_note::Note::from_bytes(note).expect("a note").to_bytes();
            assert_eq!(again, note, "a head that is believed is written otherwise");
            given_as_receipt(note, &key);
        }
        if let Some(said) = Statement::read(note)
            && said.is_signed(note, &public).is_ok()
        {
            // Ed25519 gives the same signature each time: there is one note of this statement, and this is it.
            assert_eq!(said.sign(&key).expect("signs"), note, "a statement in two forms");
        }
        let others =
            [Witness::new(self::key(1 - number).name(), &self::key(1 - number).public()).expect("a witness")];
        if let Ok(told) = cosignatures(note, (key.name(), &public), &others) {
            assert!(told.len() <= 1 && text_signed_by(note, key.name(), &public).is_some());
        }
    }
    texts(note);
}

fn given_as_receipt(note: &[u8], key: &LogKey) {
    let Ok(receipt) = Receipt::of(note, key.name(), &key.public()) else { return };
    assert_eq!(Receipt::read(&receipt.text()).as_ref().ok(), Some(&receipt), "a receipt is read otherwise");
    let own = receipt.note().expect("a note");
    let head = head::read(&own, key.name(), &key.public()).expect("its note is believed");
    assert_eq!(&head, receipt.head());
    // Co-signatures are left out; the rest is the note.
    assert!(
        note.starts_with(&own) || own.len() > note.len() || note.windows(4).any(|it| it == b"\n\xe2\x80\x94")
    );
}

/// What else has one form.
fn texts(bytes: &[u8]) {
    if let Ok((log, public)) = read_vkey(bytes) {
        assert_eq!(format!("{}\n", head::vkey(&log, &public).expect("a key")).as_bytes(), bytes);
    }
    if let Ok(files) = read_manifest(bytes) {
        assert_eq!(manifest(&files).as_bytes(), bytes);
        let leads_away = |path: &str| path.split('/').any(|part| matches!(part, "" | "." | ".."));
        assert!(!files.iter().any(|(path, _)| leads_away(path)), "a path leads away");
    }
    if let Ok(found) = read_leaves(bytes) {
        assert_eq!(leaves(&found).as_bytes(), bytes);
    }
    if let Ok(found) = read_blobs(bytes) {
        assert_eq!(blobs(&found).as_bytes(), bytes);
    }
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    if let Ok(witness) = Witness::from_vkey(text) {
        assert_eq!(
            Witness::from_vkey(&witness.vkey()).as_ref(),
            Ok(&witness),
            "a witness's key is read otherwise"
        );
    }
    if let Ok(receipt) = Receipt::read(text) {
        assert_eq!(
            Receipt::read(&receipt.text()).as_ref().ok(),
            Some(&receipt),
            "a receipt is read otherwise"
        );
    }
}

/// The text of a note, if a line of this name and key signs it; found without the code that is tried.
pub fn text_signed_by<'a>(note: &'a [u8], name: &str, public: &[u8; 32]) -> Option<&'a str> {
    let note = std::str::from_utf8(note).ok()?;
    let (text, lines) = note.rsplit_once("\n\n")?;
    let text = &note[..text.len() + 1];
    let key = VerifyingKey::from_bytes(public).ok()?;
    let id = Sha256::digest([name.as_bytes(), b"\n\x01", public].concat());
    let holds = |line: &str| {
        let bytes = STANDARD.decode(line.strip_prefix(&format!("\u{2014} {name} "))?).ok()?;
        let (of, signature) = bytes.split_at_checked(4)?;
        let signature = Signature::from_slice(signature).ok()?;
        (of == &id[..4]).then(|| key.verify(text.as_bytes(), &signature).ok())?
    };
    lines.lines().any(|line| holds(line).is_some()).then_some(text)
}
