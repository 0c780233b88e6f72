//! Co-signatures of entries with P-256.

use crate::flipped;
use sidelong_core::log::hardware::{DeskKey, Entry, Held, NotSigned, Statement, name, verify};
use sidelong_core::log::{canon, tree};

fn unhex(text: &str) -> Vec<u8> {
    (0..text.len()).step_by(2).map(|at| u8::from_str_radix(&text[at..at + 2], 16).expect("hex")).collect()
}

/// DER of two positive integers of 32 bytes (X.690 section 8.3, 8.9).
fn der(r: &str, s: &str) -> Vec<u8> {
    let integer = |hex: &str| {
        let bytes = unhex(hex);
        let bytes = if bytes[0] > 127 { [vec![0], bytes].concat() } else { bytes };
        [vec![2, u8::try_from(bytes.len()).expect("short")], bytes].concat()
    };
    let both = [integer(r), integer(s)].concat();
    [vec![0x30, u8::try_from(both.len()).expect("short")], both].concat()
}

/// RFC 6979 appendix A.2.5: P-256, SHA-256, messages "sample" and "test" (from memory; both verify, which no other values
/// would). The first `s` lies in the upper half of its range, so that half is shown to be accepted; the other spelling of
/// the same signature, order minus `s`, is too.
#[test]
fn published_signatures_of_both_halves() {
    let public = unhex(
        "0460FED4BA255A9D31C961EB74C6356D68C049B8923B61FA6CE669622E60F29FB67903FE1008B8BC99A41AE9E95628BC64F2F1B20C2D7E9F5177A3C294D4462299",
    );
    let r = "EFD48B2AACB6A8FD1140DD9CD45E81D69D2C877B56AAF991C34D0EA84EAF3716";
    let upper = "F7CB1C942D657C41D436C7A1B6E29F65F3E900DBB9AFF4064DC4AB2F843ACDA8";
    // The curve's order (SEC 2 section 2.4.2), FFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551, minus it.
    let lower = "0834E36AD29A83BF2BC9385E491D6099C8FDF9D1ED67AA7EA5F51F93782857A9";
    for s in [upper, lower] {
        assert_eq!(verify(&public, b"sample", &der(r, s)), Ok(()), "{s}");
        assert_eq!(verify(&public, b"samplf", &der(r, s)), Err(NotSigned::Signature));
    }
    let test = der(
        "F1ABB023518351CD71D881567B1EA663ED3EFCF6C5132B354F28D3B0B7D38367",
        "019F4113742A2B14BD25926B49C649155F267E60D3814B4C0CC84250E46F0083",
    );
    assert_eq!(verify(&public, b"test", &test), Ok(()));
}

#[test]
fn a_statement_is_what_it_says() {
    let leaf = tree::leaf(b"{}");
    let statement =
        Statement { entry: Entry::Closing, log: "sidelong/0a", seq: 412, leaf, held: Held::Hardware };
    let leaf = canon::hex(&canon::sha256(b"\0{}"));
    let text = String::from_utf8(statement.to_bytes()).expect("text");
    assert_eq!(
        text,
        format!(
            "sidelong/entry-cosignature/v1\nentry closing\nlog sidelong/0a\nseq 412\nleaf {leaf}\nkey hardware\n"
        )
    );
}

#[test]
fn any_other_statement_key_or_signature_is_refused() {
    let key = DeskKey::from_seed(&[7; 32]).expect("a key");
    let public = key.public();
    let leaf = tree::leaf(b"{}");
    let made = Statement { entry: Entry::Closing, log: "sidelong/0a", seq: 4, leaf, held: Held::Software };
    let signature = key.sign(&made.to_bytes()).expect("signs");
    assert_eq!(made.verify(&public, &signature), Ok(()));
    let others = [
        Statement { entry: Entry::Device, ..made.clone() },
        Statement { log: "sidelong/0b", ..made.clone() },
        Statement { seq: 5, ..made.clone() },
        Statement { leaf: tree::leaf(b"[]"), ..made.clone() },
        Statement { held: Held::Hardware, ..made.clone() },
    ];
    for other in &others {
        assert_eq!(other.verify(&public, &signature), Err(NotSigned::Signature), "{other:?}");
    }
    for at in 0..signature.len() {
        assert!(made.verify(&public, &flipped(&signature, at)).is_err(), "byte {at} of the signature");
    }
    for at in 0..public.len() {
        assert!(made.verify(&flipped(&public, at), &signature).is_err(), "byte {at} of the key");
    }
    assert_eq!(made.verify(&public, b""), Err(NotSigned::Form));
    assert_eq!(made.verify(&public, &[signature.clone(), vec![0]].concat()), Err(NotSigned::Form));
    assert_eq!(made.verify(&public[..64], &signature), Err(NotSigned::Key));
    assert_eq!(made.verify(&[], &signature), Err(NotSigned::Key));
    // SubjectPublicKeyInfo of id-ecPublicKey on prime256v1 (RFC 5480 section 2), as Android gives a key.
    let spki = [unhex("3059301306072a8648ce3d020106082a8648ce3d030107034200"), public.clone()].concat();
    assert_eq!(made.verify(&spki, &signature), Ok(()));
    let short = canon::hex(&canon::sha256(&public))[..16].to_owned();
    assert_eq!(
        (name(&spki), name(&public)),
        (Ok(short.clone()), Ok(short)),
        "one name however it is written"
    );
    assert_eq!(DeskKey::from_seed(&[0; 32]).map(|_| ()).unwrap_err(), NotSigned::Seed);
    assert_eq!(DeskKey::from_seed(&[255; 32]).map(|_| ()).unwrap_err(), NotSigned::Seed);
}
