//! Time tokens as they are recorded: a head is asked for, and an answer is taken in only if it is believed. Pure.

use super::draft;
use crate::error::Error;
use crate::log::canon;
use crate::log::head::Head;
use crate::log::seal::Draft;
use crate::log::timestamp::{Asked, NotStamped, Request, Times, check};
use crate::record::events::{self, Body, HeadStamped, TimeAsked};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use serde_json::Value;

/// Longest answer that is kept, bytes; those of public authorities have some 5,000.
const LONGEST_TOKEN: usize = 40_000;

/// Longest name of an authority that is kept, characters.
const LONGEST_NAME: usize = 300;

/// A token is asked for. The head's bytes are kept beside the event: whoever asks has to show later what was stamped.
pub fn ask_time(head: &Head, checkpoint: &[u8], nonce: [u8; 8]) -> Result<Draft, Error> {
    let request = Request::of(checkpoint, nonce).and_then(|it| it.to_der());
    let request = request.map_err(|why| Error::internal(format!("decide.time: {why}")))?;
    let head = events::Head { log: head.log.clone(), root: canon::hex(&head.root.0), size: head.size };
    let sha256 = canon::hex(&canon::sha256(checkpoint));
    let mut draft = draft(Body::TimeAsked(TimeAsked { head, sha256 }));
    draft.typed.push(("checkpoint", text(checkpoint)?));
    draft.typed.push(("request", Value::String(BASE64_STANDARD.encode(request))));
    Ok(draft)
}

/// An authority's answer to one of the requests on record: which of them, and what is recorded; no draft when this very
/// answer is on record already.
pub fn take_token<'a>(
    times: &'a Times,
    answer: &[u8],
    roots: &[Vec<u8>],
    more: &[Vec<u8>],
) -> Result<(&'a Asked, Option<Draft>), Error> {
    let refused = |why: String| Err(Error::refused("answer", why));
    if answer.len() > LONGEST_TOKEN {
        return refused(format!("longer than {LONGEST_TOKEN} bytes"));
    }
    if times.asked.is_empty() {
        return refused("nothing was asked for here".to_owned());
    }
    let mut told = NotStamped::OtherBytes;
    for asked in &times.asked {
        let request = Request::read(&asked.request).ok();
        match check(answer, &asked.checkpoint, request.as_ref(), roots, more) {
            Ok(stamp) => {
                if times.stamped.iter().any(|it| it.body.sha256 == asked.body.sha256 && it.token == answer) {
                    return Ok((asked, None));
                }
                let name = |text: &str| -> String {
                    text.chars().filter(|it| !it.is_control()).take(LONGEST_NAME).collect()
                };
                let mut draft = draft(Body::HeadStamped(HeadStamped {
                    head: asked.body.head.clone(),
                    sha256: asked.body.sha256.clone(),
                    at_ms: stamp.at_ms,
                    accuracy_us: stamp.accuracy_us,
                    authority: name(&stamp.authority),
                    root: name(&stamp.root),
                    clock_ms: asked.newest.as_ref().map(|newest| newest.at),
                }));
                draft.typed.push(("checkpoint", text(&asked.checkpoint)?));
                draft.typed.push(("token", Value::String(BASE64_STANDARD.encode(answer))));
                return Ok((asked, Some(draft)));
            }
            // Of another head; what is wrong with a token of one of these says more.
            Err(NotStamped::OtherBytes) => {}
            Err(why) => told = why,
        }
    }
    match told {
        NotStamped::OtherBytes => refused("the token is of none of the heads that were asked for".to_owned()),
        NotStamped::Certificate(at) => {
            Err(Error::refused("roots", format!("certificate {at} cannot be read")))
        }
        why => refused(why.to_string()),
    }
}

fn text(checkpoint: &[u8]) -> Result<Value, Error> {
    let text = std::str::from_utf8(checkpoint).map_err(|_| Error::internal("decide.time: a head is text"))?;
    Ok(Value::String(text.to_owned()))
}
