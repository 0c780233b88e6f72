//! The page of a bundle, which checks itself: it carries the entries as they were signed, their proofs, the hashes of its pictures
//! and a signature over its own words, and a script that looks through them with the browser's cryptography. Pure.
//!
//! A page proves nothing against whoever made or changed it, who can change its script too; it says so, and names VERIFY.txt.
//! Without scripts it reads as every other page.

use super::assemble::{Document, Picture};
use super::bundle::LogPart;
use super::html::{body, whole};
use crate::error::Error;
use crate::log::canon::{hex, sha256};
use crate::log::head::LogKey;
use crate::log::page::PageNote;
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use maud::{PreEscaped, html};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;

const SCRIPT: &str = include_str!("check.js");

/// Before the bytes of a picture in the page.
const PICTURE: &str = "src=\"data:image/jpeg;base64,";

/// The page of a bundle of these logs, signed with this key.
pub fn checked(document: &Document, job: Uuid, logs: &[LogPart], key: &LogKey) -> Result<String, Error> {
    let body = body(document).into_string();
    let record = json!({
        "key": hex(&key.public()),
        "log": key.name(),
        "logs": logs.iter().map(log).collect::<Vec<_>>(),
        "pictures": pictures(document, &body)?,
    });
    // Nothing in it ends the element or begins another: `<` is written as JSON may write it (RFC 8259 section 7).
    let record = record.to_string().replace('<', "\\u003c");
    let note = PageNote { job, record: sha256(record.as_bytes()), words: sha256(words(&body).as_bytes()) };
    let note = note.sign(key).map_err(|why| Error::internal(format!("page: {why}")))?;
    let note = String::from_utf8(note).map_err(|_| Error::internal("page: a note is text"))?;
    let script = BASE64_STANDARD.encode(sha256(SCRIPT.as_bytes()));
    let policy =
        format!("default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-{script}'");
    let foot = html! {
        footer {
            h2 { "Does this page hold together?" }
            p #verdict {
                strong { "Not verified." }
                " This page looks through itself where scripts run. VERIFY.txt, which lies beside it in the bundle, says how to check "
                "the bundle without it."
            }
            p.quiet {
                "A page proves nothing against whoever made or changed it: who changes a page can change how it checks itself. What is "
                "said here shows damage and careless changes. The bundle that it came in must pass a program that you got elsewhere; "
                "VERIFY.txt in it says how."
            }
        }
        script #record type="application/json" { (PreEscaped(record)) }
        script #signed type="text/plain" { (PreEscaped(note)) }
        script { (PreEscaped(SCRIPT)) }
    };
    Ok(whole(document, &policy, PreEscaped(body), foot))
}

fn log(part: &LogPart) -> Value {
    let entry = |entry: &super::bundle::Entry| {
        json!({
            "event": entry.event.as_ref().map(|bytes| String::from_utf8_lossy(bytes)),
            "leaf": hex(&entry.leaf.0),
            "of_job": entry.of_job,
            "proof": entry.proof.iter().map(|hash| BASE64_STANDARD.encode(hash.0)).collect::<Vec<_>>(),
            "seq": entry.seq,
        })
    };
    json!({
        "checkpoint": String::from_utf8_lossy(&part.checkpoint),
        "entries": part.entries.iter().map(entry).collect::<Vec<_>>(),
        "key": hex(&part.public),
        "log": part.log,
    })
}

/// Of every picture, in order of the page: the hash of the original, and of the smaller copy that the page shows.
fn pictures(document: &Document, body: &str) -> Result<Vec<[String; 2]>, Error> {
    let mut originals = BTreeMap::new();
    for (original, picture) in &document.pictures {
        if let Picture::Shown(jpeg) = picture {
            originals.entry(BASE64_STANDARD.encode(jpeg)).or_insert((original, hex(&sha256(jpeg))));
        }
    }
    let shown = body.split(PICTURE).skip(1).filter_map(|rest| rest.split('"').next());
    let pair = |text: &str| {
        let (original, copy) =
            originals.get(text).ok_or_else(|| Error::internal("page: a strange picture"))?;
        Ok([(*original).clone(), copy.clone()])
    };
    shown.map(pair).collect()
}

/// What a browser reads as the text of this markup (`textContent` of the DOM standard): all of it but the tags. In what `maud`
/// makes no `<` or `>` stands for itself in texts or values.
fn words(markup: &str) -> String {
    let mut words = String::with_capacity(markup.len() / 4);
    let mut rest = markup;
    while let Some(from) = rest.find('<') {
        words += &rest[..from];
        rest = rest[from..].find('>').map_or("", |to| &rest[from + to + 1..]);
    }
    words += rest;
    // A parser of HTML takes every line end as one, and leaves NUL out.
    let words = words.replace("\r\n", "\n").replace('\r', "\n").replace('\0', "");
    words.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_what_a_browser_reads() {
        let text = "a <b> \"c\" & d &amp; \r\ne\rf\0";
        let markup = html! { p.quiet title=(text) { (text) br; svg { title { "x" } } } };
        assert_eq!(words(&markup.into_string()), "a <b> \"c\" & d &amp; \ne\nfx");
        assert_eq!(words("&amp;lt;"), "&lt;");
    }
}
