//! SHA-256 (FIPS 180-4; NIST CAVP vectors) and Ed25519 (RFC 8032 section 7.1 and what section 5.1.7 refuses), bare and
//! as the signed heads use it.

use super::{bytes, committed, text, unhex};
use ed25519_dalek::{Signature, Signer as _, SigningKey, Verifier as _, VerifyingKey};
use sidelong_core::log::head::{self, LogKey, NotBelieved};
use sidelong_core::log::{Hash, canon};

#[test]
fn sha256() {
    for case in committed("integrity.json", "sha256") {
        let inputs = &case["inputs"];
        let message = match (inputs["message_hex"].as_str(), inputs["message_utf8"].as_str()) {
            (Some(hex), _) => unhex(hex),
            (_, Some(text)) => text.as_bytes().to_vec(),
            _ => text(inputs, "repeat")
                .repeat(usize::try_from(inputs["times"].as_u64().expect("times")).expect("a length"))
                .into_bytes(),
        };
        assert_eq!(canon::hex(&canon::sha256(&message)), text(&case["expected"], "sha256"), "{case}");
    }
}

#[test]
fn ed25519_keys_and_signatures() {
    for case in committed("integrity.json", "ed25519") {
        let seed: [u8; 32] = bytes(&case["inputs"], "seed");
        let message = unhex(text(&case["inputs"], "message_hex"));
        let public: [u8; 32] = bytes(&case["expected"], "public_key");
        let signature: [u8; 64] = bytes(&case["expected"], "signature");
        let key = SigningKey::from_bytes(&seed);
        assert_eq!(key.sign(&message).to_bytes(), signature, "{case}");
        let verifying = VerifyingKey::from_bytes(&public).expect("a key");
        assert!(verifying.verify(&message, &Signature::from_bytes(&signature)).is_ok(), "{case}");
        // The key of a log is that key, and what it signs is believed under it and under no other.
        let log = LogKey::from_seed(&seed, false);
        assert_eq!(log.public(), public, "{case}");
        let root = Hash(canon::sha256(&message));
        let note = log.sign(7, root).expect("signs");
        let head = head::read(&note, log.name(), &public).expect("believed");
        assert_eq!((head.size, head.root), (7, root));
        let other = LogKey::from_seed(&[9; 32], false);
        assert_eq!(head::read(&note, log.name(), &other.public()), Err(NotBelieved::Name));
        assert!(head::read(&note, other.name(), &other.public()).is_err());
    }
}

#[test]
fn ed25519_refusals() {
    for case in committed("integrity.json", "ed25519_verify") {
        assert_eq!(case["expected"]["verify"], false, "{case}");
        let public: [u8; 32] = bytes(&case["inputs"], "public_key");
        let message = unhex(text(&case["inputs"], "message_hex"));
        let refused = match Signature::from_slice(&unhex(text(&case["inputs"], "signature"))) {
            Err(_) => true,
            Ok(signature) => {
                let log = head::name(&public, false);
                head::vkey(&log, &public) == Err(NotBelieved::WeakKey)
                    || VerifyingKey::from_bytes(&public).expect("a key").verify(&message, &signature).is_err()
            }
        };
        assert!(refused, "{case}");
    }
}

/// The eight points of small order of Curve25519 in their canonical encodings, and those of y = p, p + 1 that a
/// decoder may take for them (RFC 8032 section 5.1; "Taming the many EdDSAs", Chalkias, Garillot and Nikolaenko,
/// 2020, table 1). For such a key anybody can sign.
#[test]
fn weak_keys() {
    let c7 = "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03";
    let m26 = "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc";
    let keys = [
        format!("01{}", "00".repeat(31)),
        format!("ec{}7f", "ff".repeat(30)),
        "00".repeat(32),
        format!("{}80", "00".repeat(31)),
        format!("{c7}7a"),
        format!("{c7}fa"),
        format!("{m26}05"),
        format!("{m26}85"),
        format!("ed{}7f", "ff".repeat(30)),
        format!("ee{}7f", "ff".repeat(30)),
    ];
    for hex in keys {
        let public: [u8; 32] = unhex(&hex).try_into().expect("32 bytes");
        for demo in [false, true] {
            let log = head::name(&public, demo);
            let said = head::vkey(&log, &public);
            assert!(matches!(said, Err(NotBelieved::WeakKey | NotBelieved::Key)), "{hex}: {said:?}");
            let said = head::read(b"a note\n", &log, &public);
            assert!(matches!(said, Err(NotBelieved::WeakKey | NotBelieved::Key)), "{hex}: {said:?}");
        }
    }
    // No point of the curve has this y (RFC 8032 section 5.1.3).
    let public: [u8; 32] = unhex(&format!("02{}", "00".repeat(31))).try_into().expect("32 bytes");
    assert_eq!(head::vkey(&head::name(&public, false), &public), Err(NotBelieved::Key));
}
