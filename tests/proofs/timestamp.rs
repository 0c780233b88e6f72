//! Time tokens (RFC 3161): good ones are believed and say when; each way of being bad has its error. The answers were made once by
//! `oracles/authority.py` (openssl as the authority; asn1crypto for those that no authority gives); the oracles make new
//! ones each time and ask openssl and rfc3161-client too.

use crate::flipped;
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use serde_json::Value;
use sidelong_core::log::timestamp::{NotStamped, Request, Stamp, check, read_certificates};

struct Case {
    title: String,
    verdict: String,
    answer: Vec<u8>,
    checkpoint: Vec<u8>,
    request: Request,
    roots: Vec<Vec<u8>>,
    more: Vec<Vec<u8>>,
}

impl Case {
    fn judge(&self) -> Result<Stamp, NotStamped> {
        check(&self.answer, &self.checkpoint, Some(&self.request), &self.roots, &self.more)
    }
}

fn cases() -> Vec<Case> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("proofs/tokens.json");
    let all: Value = serde_json::from_slice(&std::fs::read(path).expect("cases")).expect("JSON");
    let bytes = |it: &Value| BASE64_STANDARD.decode(it.as_str().expect("a text")).expect("base64");
    let list = |it: &Value| it.as_array().expect("a list").iter().map(bytes).collect();
    let case = |it: &Value| Case {
        title: it["title"].as_str().expect("a title").to_owned(),
        verdict: it["verdict"].as_str().expect("a verdict").to_owned(),
        answer: bytes(&it["answer"]),
        checkpoint: bytes(&it["checkpoint"]),
        request: Request::read(&bytes(&it["request"])).expect("a request"),
        roots: list(&it["roots"]),
        more: list(&it["more"]),
    };
    all["cases"].as_array().expect("cases").iter().map(case).collect()
}

fn named(title: &str) -> Case {
    cases().into_iter().find(|it| it.title == title).expect("the case")
}

#[test]
fn each_is_judged_as_it_is_meant() {
    let mut verdicts = std::collections::BTreeMap::<String, u32>::new();
    for case in cases() {
        let told = match case.judge() {
            Ok(_) => "Stamp".to_owned(),
            Err(why) => format!("{why:?}").chars().take_while(|it| it.is_alphanumeric()).collect(),
        };
        assert_eq!(told, case.verdict, "{}", case.title);
        *verdicts.entry(told).or_default() += 1;
    }
    // Every error that a token can give is given by at least one.
    for verdict in [
        "Stamp",
        "Form",
        "NotGranted",
        "OtherBytes",
        "OtherRequest",
        "NoCertificate",
        "Changed",
        "OtherCertificate",
        "Algorithm",
        "Signature",
        "Purpose",
        "Expired",
        "NotYetValid",
        "Untrusted",
        "Chain",
    ] {
        assert!(verdicts.contains_key(verdict), "{verdict}: {verdicts:?}");
    }
}

#[test]
fn what_a_token_says() {
    let stamp = named("put together here").judge().expect("believed");
    // 2026-06-09 08:10:00.123 UTC, give or take 1.002003 s.
    assert_eq!(stamp.at_ms, 1_780_992_600_123);
    assert_eq!(stamp.accuracy_us, Some(1_002_003));
    assert_eq!(stamp.not_later_than_ms(), 1_780_992_600_123 + 1_003, "rounded up");
    assert_eq!(stamp.authority, "CN=Time of nobody");
    assert_eq!(stamp.root, "CN=Root of nobody");
    assert_eq!((stamp.policy.as_str(), stamp.serial.as_str()), ("1.3.6.1.4.1.55555.2", "07"));
    let stamp = named("time in microseconds").judge().expect("believed");
    assert_eq!(stamp.at_ms, 1_780_992_600_988, "987.654 ms, rounded up");
}

/// A bit anywhere in an answer: refused, or it was in one of the few places that nobody signs, and says the same.
#[test]
fn a_bit_flipped_anywhere() {
    for title in ["put together here", "one between", "RSA, 4096 above 2048"] {
        let mut case = named(title);
        let whole = case.answer.clone();
        let stamp = case.judge().expect("believed");
        let mut same = Vec::new();
        for at in 0..whole.len() {
            case.answer = flipped(&whole, at);
            if let Ok(told) = case.judge() {
                assert_eq!(told, stamp, "{title}, byte {at}");
                same.push(at);
            }
        }
        // Versions, the list of hashes, parameters, what stands between the certificates: not signed in a CMS message.
        assert!(same.len() < 60, "{title}: {same:?}");
    }
}

/// Cut answers, and answers of dice, end in an error and never in a panic.
#[test]
fn what_is_no_answer() {
    let mut case = named("openssl, p384, sha384");
    let whole = case.answer.clone();
    for length in 0..whole.len() {
        case.answer = whole[..length].to_vec();
        assert!(case.judge().is_err(), "cut to {length}");
    }
    let mut dice = sidelong_tests::Dice(3161);
    for _ in 0..20_000 {
        case.answer.clone_from(&whole);
        for _ in 0..=dice.below(6) {
            let at = dice.below(whole.len());
            case.answer[at] = dice.roll().to_le_bytes()[0];
        }
        let _ = case.judge();
    }
    case.answer = vec![0x30; 2 << 20];
    assert_eq!(case.judge(), Err(NotStamped::Form("too long")));
}

#[test]
fn roots_are_the_callers() {
    let mut case = named("put together here");
    case.roots.clear();
    assert_eq!(case.judge(), Err(NotStamped::Untrusted));
    case.roots = vec![b"no certificate".to_vec()];
    assert_eq!(case.judge(), Err(NotStamped::Certificate(1)));
    assert_eq!(read_certificates(b""), Err(NotStamped::Certificate(1)));
    assert_eq!(read_certificates(b"a text"), Err(NotStamped::Certificate(1)));
    assert_eq!(read_certificates(&[0x30, 0]), Err(NotStamped::Certificate(1)));
}

#[test]
fn requests() {
    for nonce in [[0; 8], [255; 8], [0x80, 0, 0, 0, 0, 0, 0, 0]] {
        let request = Request::of(b"a head", nonce).expect("a request");
        let der = request.to_der().expect("bytes");
        assert_eq!(der.len(), 69, "always as long, whatever the dice say");
        assert_eq!(Request::read(&der), Ok(request.clone()));
        assert!(request.is_of(b"a head") && !request.is_of(b"another"));
        for at in 0..der.len() {
            assert_ne!(Request::read(&flipped(&der, at)), Ok(request.clone()), "byte {at}");
        }
    }
    for nonsense in [&b""[..], b"a text", &[0x30, 0]] {
        assert_eq!(Request::read(nonsense), Err(NotStamped::Request));
    }
}
