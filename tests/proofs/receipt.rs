//! The owner's receipt: it survives being copied by people and mail programs, says when a letter is wrong, and tells
//! later whether the log still holds what it held.

use crate::{Log, hash};
use sidelong_core::log::cosign::cosign;
use sidelong_core::log::head::{LogKey, NotBelieved};
use sidelong_core::log::receipt::{NotAReceipt, NotKept, Receipt};

fn receipt(log: &Log, size: u64) -> Receipt {
    let (name, public) = log.name();
    Receipt::of(&log.note(size), name, &public).expect("a receipt")
}

#[test]
fn read_back_however_it_was_pasted() {
    for size in [1, 412, 20_000] {
        let log = Log::new(3, size);
        let size = size as u64;
        let receipt = receipt(&log, size);
        assert_eq!(receipt.note().expect("a note"), log.note(size), "the signed note, byte for byte");
        let letters = receipt.letters();
        assert_eq!(letters.len(), "SIDELONG:".len() + 226);
        let text = receipt.text();
        for pasted in [
            letters.clone(),
            text.clone(),
            letters.to_lowercase(),
            text.replace('\n', "\r\n"),
            text.replace('\n', "\n> "),
            text.replace(' ', "\u{a0}"),
            text.replace(' ', "-"),
            text.replace(' ', "\u{200b}"),
            format!("\u{feff}Keep this: it says what was on record.\n\n  {text}\n\n"),
            letters.replace('0', "O").replace('1', "l"),
            letters.chars().map(|it| format!("{it}\t")).collect(),
        ] {
            assert_eq!(Receipt::read(&pasted).as_ref(), Ok(&receipt), "{pasted}");
        }
        assert!(text.lines().all(|line| line.len() <= 35), "{text}");
    }
    let demo = LogKey::from_seed(&[4; 32], true);
    let note = demo.sign(2, hash("root")).expect("signs");
    let receipt = Receipt::of(&note, demo.name(), &demo.public()).expect("a receipt");
    let read = Receipt::read(&receipt.text()).expect("reads");
    assert!(read.head().log.starts_with("sidelong/demo/"));
    assert_eq!(read.note(), Ok(note));
}

#[test]
fn a_wrong_letter_is_told() {
    let receipt = receipt(&Log::new(3, 9), 9);
    let letters = receipt.letters();
    let begins = "SIDELONG:".len();
    for at in begins..letters.len() {
        let mut other: Vec<char> = letters.chars().collect();
        other[at] = if other[at] == 'X' { 'Y' } else { 'X' };
        let told = Receipt::read(&other.iter().collect::<String>());
        assert_eq!(told, Err(NotAReceipt::Check), "letter {at}");
        other[at] = 'U';
        let told = Receipt::read(&other.iter().collect::<String>());
        assert_eq!(told, Err(NotAReceipt::Letter { at: at - begins + 1, found: 'U' }));
        let mut swapped: Vec<char> = letters.chars().collect();
        if at + 1 < letters.len() && swapped[at] != swapped[at + 1] {
            swapped.swap(at, at + 1);
            assert_eq!(Receipt::read(&swapped.iter().collect::<String>()), Err(NotAReceipt::Check));
        }
        let told = Receipt::read(&letters[..at]);
        assert_eq!(told, Err(NotAReceipt::Length { found: at - begins }));
    }
    assert_eq!(Receipt::read(&format!("{letters}0")), Err(NotAReceipt::Length { found: 227 }));
    assert_eq!(Receipt::read(&letters.repeat(1_000)), Ok(receipt), "the last one of many");
    for nothing in ["", "SIDELONG", "a letter of thanks", "sidelong/0a\n4\n"] {
        assert_eq!(Receipt::read(nothing), Err(NotAReceipt::Beginning), "{nothing}");
    }
    assert_eq!(Receipt::read("SIDELONG:"), Err(NotAReceipt::Length { found: 0 }));
}

/// A receipt that was made up: every check of spelling fits, and the signature does not.
#[test]
fn a_made_up_receipt_is_not_believed() {
    let log = Log::new(3, 9);
    let (name, public) = log.name();
    let note = String::from_utf8(log.note(9)).expect("text");
    let changed = note.replace("\n9\n", "\n8\n");
    assert_ne!(note, changed);
    assert_eq!(Receipt::of(changed.as_bytes(), name, &public), Err(NotBelieved::Signature));
    let other = LogKey::from_seed(&[8; 32], false);
    assert_eq!(Receipt::of(note.as_bytes(), name, &other.public()), Err(NotBelieved::Name));
    // A co-signed head gives the same receipt.
    let signed = cosign(&other, note.as_bytes(), (name, &public), None, &[], 1).expect("signs");
    assert_eq!(Receipt::of(&signed.note, name, &public), Ok(receipt(&log, 9)));
    // The signature of one head beside the root of another.
    let bytes = base32(&receipt(&log, 9).letters());
    let mut forged = bytes.clone();
    forged[1 + 32 + 7] = 8;
    let check = sidelong_core::log::canon::sha256(&forged[..137]);
    forged[137..].copy_from_slice(&check[..4]);
    assert_eq!(Receipt::read(&letters(&forged)), Err(NotAReceipt::Head(NotBelieved::Signature)));
    let mut newer = bytes;
    newer[0] = 32;
    let check = sidelong_core::log::canon::sha256(&newer[..137]);
    newer[137..].copy_from_slice(&check[..4]);
    assert_eq!(Receipt::read(&letters(&newer)), Err(NotAReceipt::Kind(32)));
}

const DIGITS: &str = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// Base 32 by bits, as its author describes it, written down once more.
fn base32(letters: &str) -> Vec<u8> {
    let bits: String = letters["SIDELONG:".len()..]
        .chars()
        .map(|it| format!("{:05b}", DIGITS.find(it).expect("a digit")))
        .collect();
    (0..bits.len() / 8).map(|at| u8::from_str_radix(&bits[at * 8..at * 8 + 8], 2).expect("bits")).collect()
}

fn letters(bytes: &[u8]) -> String {
    let mut bits: String = bytes.iter().map(|it| format!("{it:08b}")).collect();
    while !bits.len().is_multiple_of(5) {
        bits.push('0');
    }
    let digit = |at: usize| {
        let value = usize::from_str_radix(&bits[at..at + 5], 2).expect("bits");
        DIGITS.chars().nth(value).expect("a digit")
    };
    format!("SIDELONG:{}", (0..bits.len()).step_by(5).map(digit).collect::<String>())
}

#[test]
fn later_the_log_still_holds_it_or_not() {
    let log = Log::new(3, 30);
    let fork = log.forked(3, 4);
    for then in 1..=30 {
        let receipt = receipt(&log, then);
        for now in 0..=30 {
            let told = receipt.kept_in(&log.head(now), &log.proof(now.max(then), then));
            if now < then {
                assert_eq!(told, Err(NotKept::Shorter { receipt: then, shown: now }));
                continue;
            }
            assert_eq!(told, Ok(()), "{then} in {now}");
            let told = receipt.kept_in(&fork.head(now), &fork.proof(now, then));
            let kept = if then <= 4 { Ok(()) } else { Err(NotKept::NotConsistent { receipt: then }) };
            assert_eq!(told, kept, "{then} in {now} of the fork");
        }
    }
    let other = Log::new(5, 30);
    let told = receipt(&log, 3).kept_in(&other.head(9), &[]);
    assert!(matches!(told, Err(NotKept::OtherLog { .. })));
    let told = receipt(&log, 3).kept_in(&log.head(9), &[]);
    assert_eq!(told, Err(NotKept::NotConsistent { receipt: 3 }), "without a proof nothing is believed");
}

#[test]
fn the_square() {
    let svg = receipt(&Log::new(3, 9), 9).svg().expect("drawn");
    // Version 9 has 53 modules (ISO/IEC 18004 table 1) and 8 of quiet zone.
    assert!(svg.contains("viewBox=\"0 0 61 61\""), "{svg}");
    assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"));
}
