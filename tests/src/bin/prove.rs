//! Makes and reads what others hold of a record, one JSON value a line from standard input and to standard output, so that
//! programs written by others can be set beside it (`oracles/`, `python/`). Bytes are hex.
//!
//! - `head`: `{seed, size, root, demo}` to `{log, public, note}`
//! - `cosign`: `{log, public, note, seed, time_s}` to `{note, vkey}`
//! - `cosigned`: `{log, public, note, witnesses: [vkey…]}` to `{cosigned: {name: time_s}}` or `{refused}`
//! - `entry`: `{entry, log, seq, bytes, seed}` to `{message, public, signature}`
//! - `entry-signed`: `{public, message, signature}` to `{holds}` or `{refused}`
//! - `receipt`: `{log, public, note}` to `{letters, text, svg, note, vkey}`
//! - `read-receipt`: a text to `{log, size, root, note}` or `{refused}`
//! - `time-request`: `{checkpoint, nonce}` to `{request}`
//! - `time-check`: `{answer, checkpoint, request, roots, more}` to `{at_ms, accuracy_us, …}` or `{refused, verdict}`

use serde_json::{Value, json};
use sidelong_core::log::cosign::{Witness, cosign, cosignatures};
use sidelong_core::log::hardware::{DeskKey, Entry, Held, Statement, verify};
use sidelong_core::log::head::LogKey;
use sidelong_core::log::receipt::Receipt;
use sidelong_core::log::timestamp;
use sidelong_core::log::{Hash, canon, tree};
use std::error::Error;
use std::io::{BufRead as _, Write as _};

type Answer = Result<Value, Box<dyn Error>>;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let answer: fn(&Value) -> Answer = match words.as_slice() {
        ["head"] => sign_head,
        ["cosign"] => add_cosignature,
        ["cosigned"] => |given| Ok(refused(read_cosignatures(given))),
        ["entry"] => sign_entry,
        ["entry-signed"] => |given| Ok(refused(entry_signed(given))),
        ["receipt"] => make_receipt,
        ["read-receipt"] => |given| Ok(refused(read_receipt(given))),
        ["time-request"] => time_request,
        ["time-check"] => time_check,
        _ => return Err("head | cosign | cosigned | entry | entry-signed | receipt | read-receipt | time-request | time-check".into()),
    };
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for line in std::io::stdin().lock().lines() {
        writeln!(out, "{}", answer(&serde_json::from_str(&line?)?)?)?;
    }
    Ok(out.flush()?)
}

fn refused(answer: Answer) -> Value {
    answer.unwrap_or_else(|why| json!({ "refused": why.to_string() }))
}

fn text<'a>(given: &'a Value, key: &str) -> Result<&'a str, Box<dyn Error>> {
    given[key].as_str().ok_or_else(|| format!("{key}: a text is needed").into())
}

fn number(given: &Value, key: &str) -> Result<u64, Box<dyn Error>> {
    given[key].as_u64().ok_or_else(|| format!("{key}: a number is needed").into())
}

fn bytes(given: &Value, key: &str) -> Result<Vec<u8>, Box<dyn Error>> {
    let hex = text(given, key)?;
    let byte = |at| u8::from_str_radix(hex.get(at..at + 2).ok_or("odd hex")?, 16).map_err(Into::into);
    (0..hex.len()).step_by(2).map(byte).collect()
}

fn key(given: &Value, name: &str) -> Result<[u8; 32], Box<dyn Error>> {
    bytes(given, name)?.try_into().map_err(|_| format!("{name}: 32 bytes are needed").into())
}

fn sign_head(given: &Value) -> Answer {
    let log = LogKey::from_seed(&key(given, "seed")?, given["demo"] == true);
    let note = log.sign(number(given, "size")?, Hash(key(given, "root")?))?;
    Ok(json!({ "log": log.name(), "public": canon::hex(&log.public()), "note": canon::hex(&note) }))
}

fn add_cosignature(given: &Value) -> Answer {
    let witness = LogKey::from_seed(&key(given, "seed")?, false);
    let log = (text(given, "log")?, &key(given, "public")?);
    let signed = cosign(&witness, &bytes(given, "note")?, log, None, &[], number(given, "time_s")?)?;
    let vkey = Witness::new(witness.name(), &witness.public())?.vkey();
    Ok(json!({ "note": canon::hex(&signed.note), "vkey": vkey }))
}

fn read_cosignatures(given: &Value) -> Answer {
    let vkeys = given["witnesses"].as_array().ok_or("witnesses: a list is needed")?;
    let witnesses: Result<Vec<Witness>, _> =
        vkeys.iter().map(|it| Witness::from_vkey(it.as_str().unwrap_or_default())).collect();
    let log = (text(given, "log")?, &key(given, "public")?);
    let told = cosignatures(&bytes(given, "note")?, log, &witnesses?)?;
    let told: serde_json::Map<_, _> = told.into_iter().map(|it| (it.witness, it.time_s.into())).collect();
    Ok(json!({ "cosigned": told }))
}

fn sign_entry(given: &Value) -> Answer {
    let entry = if text(given, "entry")? == "closing" { Entry::Closing } else { Entry::Device };
    let (log, seq, bytes) = (text(given, "log")?, number(given, "seq")?, bytes(given, "bytes")?);
    let desk = DeskKey::from_seed(&key(given, "seed")?)?;
    let statement = Statement { entry, log, seq, leaf: tree::leaf(&bytes), held: Held::Software };
    let signature = desk.sign(&statement.to_bytes())?;
    statement.verify(&desk.public(), &signature)?;
    Ok(json!({
        "message": canon::hex(&statement.to_bytes()),
        "public": canon::hex(&desk.public()),
        "signature": canon::hex(&signature),
    }))
}

fn entry_signed(given: &Value) -> Answer {
    verify(&bytes(given, "public")?, &bytes(given, "message")?, &bytes(given, "signature")?)?;
    Ok(json!({ "holds": true }))
}

fn make_receipt(given: &Value) -> Answer {
    let receipt = Receipt::of(&bytes(given, "note")?, text(given, "log")?, &key(given, "public")?)?;
    Ok(json!({
        "letters": receipt.letters(),
        "text": receipt.text(),
        "svg": receipt.svg()?,
        "note": canon::hex(&receipt.note()?),
        "vkey": receipt.vkey()?,
    }))
}

fn read_receipt(given: &Value) -> Answer {
    let receipt = Receipt::read(given.as_str().ok_or("a text is needed")?)?;
    let head = receipt.head();
    Ok(json!({
        "log": head.log,
        "size": head.size,
        "root": canon::hex(&head.root.0),
        "note": canon::hex(&receipt.note()?),
    }))
}

fn time_request(given: &Value) -> Answer {
    let nonce = bytes(given, "nonce")?.try_into().map_err(|_| "nonce: 8 bytes are needed")?;
    let request = timestamp::Request::of(&bytes(given, "checkpoint")?, nonce)?;
    Ok(json!({ "request": canon::hex(&request.to_der()?) }))
}

fn time_check(given: &Value) -> Answer {
    let request = timestamp::Request::read(&bytes(given, "request")?)?;
    let list = |key: &str| -> Result<Vec<Vec<u8>>, Box<dyn Error>> {
        let all = given[key].as_array().ok_or_else(|| format!("{key}: a list is needed"))?;
        all.iter().map(|it| bytes(&json!({ "it": it }), "it")).collect()
    };
    let (answer, checkpoint) = (bytes(given, "answer")?, bytes(given, "checkpoint")?);
    Ok(match timestamp::check(&answer, &checkpoint, Some(&request), &list("roots")?, &list("more")?) {
        Ok(stamp) => json!({
            "at_ms": stamp.at_ms,
            "accuracy_us": stamp.accuracy_us,
            "not_later_than_ms": stamp.not_later_than_ms(),
            "authority": stamp.authority,
            "root": stamp.root,
            "policy": stamp.policy,
            "serial": stamp.serial,
            "verdict": "Stamp",
        }),
        Err(why) => {
            let name: String = format!("{why:?}").chars().take_while(|it| it.is_alphanumeric()).collect();
            json!({ "refused": why.to_string(), "verdict": name })
        }
    })
}
