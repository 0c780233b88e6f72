//! Time tokens: whoever changes one is told, or changed nothing that it says. The first byte names the case of
//! `tests/proofs/tokens.json` whose checkpoint, request and roots are asked about.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;
use sidelong_core::log::timestamp::{Request, Stamp, check, read_certificates};
use std::sync::OnceLock;

struct Case {
    checkpoint: Vec<u8>,
    request: Request,
    roots: Vec<Vec<u8>>,
    more: Vec<Vec<u8>>,
}

/// The cases, and every stamp that their authorities ever gave.
fn known() -> &'static (Vec<Case>, Vec<Stamp>) {
    static KEPT: OnceLock<(Vec<Case>, Vec<Stamp>)> = OnceLock::new();
    KEPT.get_or_init(|| {
        let all: Value = serde_json::from_str(include_str!("../proofs/tokens.json")).expect("JSON");
        let bytes = |it: &Value| STANDARD.decode(it.as_str().expect("a text")).expect("base64");
        let list = |it: &Value| it.as_array().expect("a list").iter().map(bytes).collect::<Vec<_>>();
        let (mut cases, mut stamps) = (Vec::new(), Vec::new());
        for it in all["cases"].as_array().expect("cases") {
            let request = Request::read(&bytes(&it["request"])).expect("a request");
            let case = Case {
                checkpoint: bytes(&it["checkpoint"]),
                request,
                roots: list(&it["roots"]),
                more: list(&it["more"]),
            };
            stamps.extend(check(
                &bytes(&it["answer"]),
                &case.checkpoint,
                Some(&case.request),
                &case.roots,
                &case.more,
            ));
            cases.push(case);
        }
        assert!(!stamps.is_empty(), "no token is good");
        (cases, stamps)
    })
}

/// An answer of an authority, a request, a certificate.
pub fn token(bytes: &[u8]) {
    let Some((named, der)) = bytes.split_first() else { return };
    let (cases, stamps) = known();
    let case = &cases[usize::from(*named) % cases.len()];
    if let Ok(stamp) = check(der, &case.checkpoint, Some(&case.request), &case.roots, &case.more) {
        assert!(stamps.contains(&stamp), "a stamp that nobody gave: {stamp:?}");
        assert!(stamp.not_later_than_ms() >= stamp.at_ms);
        assert!(check(der, b"other bytes", None, &case.roots, &case.more).is_err(), "it is of any bytes");
        assert!(check(der, &case.checkpoint, None, &[], &case.more).is_err(), "it needs no root");
    }
    if let Ok(request) = Request::read(der) {
        assert_eq!(request.to_der().as_deref(), Ok(der), "a request in two forms");
    }
    if let Ok(certificates) = read_certificates(der) {
        assert!(!certificates.is_empty());
    }
}
