//! Time tokens of a notebook: a request is on record before it is handed out, is the same while nothing else is recorded, goes
//! along to other phones, and nothing that is not believed is recorded. Answers of a real authority: `oracles/anchors.py`.

use sidelong_core::error::Error;
use sidelong_core::log::canon::{hex, sha256};
use sidelong_core::log::head;
use sidelong_core::log::timestamp::Request;
use sidelong_core::record::words::{Form, Stage};
use sidelong_tests::{Phone, nothing_seen};

fn sample(name: &str) -> Vec<u8> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("published/tsa").join(name);
    std::fs::read(path).expect("a sample")
}

#[test]
fn a_request_waits_on_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut one = Phone::new(&folder.path().join("one"), 61);
    assert!(matches!(one.open().ask_time(), Err(Error::NotFound { .. })), "nothing is on record");
    let job = one.begin(Form::Van, Stage::AsFound);
    let first = one.open().ask_time().expect("a request");
    assert!(!first.again && first.sha256 == hex(&sha256(&first.checkpoint)));
    let request = Request::read(&first.request).expect("a request");
    assert!(request.is_of(&first.checkpoint), "of the head's bytes as they were");
    assert!(first.checkpoint.starts_with(format!("{}\n{}\n", first.log, first.size).as_bytes()));

    // Again, also by another running: the same, and nothing more is recorded.
    one.close();
    one.reopen().expect("opens");
    let again = one.open().ask_time().expect("a request");
    assert_eq!((again.again, &again.request, &again.checkpoint), (true, &first.request, &first.checkpoint));
    assert_eq!(one.open().time_asked().expect("reads").waiting.len(), 1);
    one.put(job, nothing_seen("roof"));
    let second = one.open().ask_time().expect("a request");
    assert!(!second.again && second.size == first.size + 2, "the request itself and what came after it");
    assert_ne!(second.request, first.request);

    // A colleague with a connection has what is needed to ask, and the key belongs to the head.
    let mut two = Phone::new(&folder.path().join("two"), 62);
    two.join(&mut one);
    let there = two.open().time_asked().expect("reads");
    let asked = one.open().time_asked().expect("reads");
    assert_eq!(there, asked);
    assert_eq!(there.waiting.iter().map(|it| it.size).collect::<Vec<_>>(), [first.size, second.size]);
    assert!(there.tokens.is_empty());
    one.close();
    let store = sidelong_core::store::Store::open_to_read(&one.folder).expect("opens");
    let own = store.logs().expect("logs").into_iter().find(|log| log.own).expect("one");
    for asked in &there.waiting {
        let head = head::read(&asked.checkpoint, &own.name, &own.public).expect("signed");
        assert_eq!((head.size, head.root), (asked.size, store.root_at(own.id, asked.size).expect("a root")));
    }
}

#[test]
fn what_is_not_believed_is_not_recorded() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut one = Phone::new(&folder.path().join("one"), 63);
    one.begin(Form::Van, Stage::AsFound);
    let refused = |phone: &Phone, answer: Vec<u8>, roots: Vec<u8>, field: &str, words: &str| match phone
        .open()
        .add_time_token(answer, roots, None)
    {
        Err(Error::Refused { field: named, reason }) => {
            assert!(named == field && reason.contains(words), "{named}: {reason}");
        }
        other => panic!("{other:?}"),
    };
    let (token, roots) = (sample("sample1.tsr"), sample("ca.pem"));
    refused(&one, token.clone(), roots.clone(), "answer", "nothing was asked for");
    let size = one.open().ask_time().expect("a request").size;
    refused(&one, token.clone(), roots.clone(), "answer", "none of the heads");
    refused(&one, token, b"no certificate".to_vec(), "roots", "cannot be read");
    refused(&one, b"no answer".to_vec(), roots.clone(), "answer", "neither a response nor a token");
    refused(&one, vec![0x30; 50_000], roots, "answer", "longer than");
    let asked = one.open().time_asked().expect("reads");
    assert!(asked.tokens.is_empty() && asked.waiting.len() == 1);
    assert_eq!(one.open().ask_time().expect("a request").size, size, "nothing was recorded");
}
