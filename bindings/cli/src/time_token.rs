//! `sidelong time-token`: time tokens of a notebook's log, asked for and taken in; and the same over single files. The way to the
//! authority and back is anybody's who has a connection.

use crate::{Ended, StoreArg, io, open, print_json, read as open_to_read};
use chrono::{DateTime, SecondsFormat};
use clap::Subcommand;
use serde_json::{Value, json};
use sidelong_core::api::{TimeRequest, TimeToken as Token};
use sidelong_core::error::Error;
use sidelong_core::log::timestamp::{NotStamped, Request, check, read_certificates};
use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};

#[derive(Debug, Subcommand)]
pub enum TimeToken {
    /// Ask for a token of the notebook's log as it is, and write the request
    ///
    /// The signed head is on record before the request is written. Asked again with nothing else recorded since, it is the same
    /// request. It goes to an authority as it is, for example with
    /// `curl --data-binary @head.tsq -H 'Content-Type: application/timestamp-query' -o head.tsr URL`.
    Ask {
        /// The request to write; there must be none of this name
        #[arg(short, long, value_name = "FILE")]
        out: PathBuf,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Take an authority's answer in, if it is believed
    ///
    /// It may answer any request on record here, also one of a phone whose log was joined. Whether a certificate was revoked is
    /// not looked at. Exit status 1 if it is not believed; nothing is then recorded.
    Add {
        /// The authority's answer
        #[arg(long, value_name = "FILE")]
        answer: PathBuf,
        /// Certificates that are trusted to vouch for authorities (PEM, or one in DER)
        #[arg(long, value_name = "FILE")]
        roots: PathBuf,
        /// Certificates between, if the token does not bring them
        #[arg(long, value_name = "FILE")]
        more: Option<PathBuf>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// List what was asked for and waits, and the tokens that came
    List {
        /// Write the requests that wait into this folder, each under the SHA-256 of its head; those that are there stay
        #[arg(long, value_name = "DIR")]
        requests: Option<PathBuf>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Write a request for a token of any file, for example of a signed head in an export
    Request {
        /// The signed head, for example `logs/…/head.txt` of an export
        head: PathBuf,
        /// The request to write; there must be none of this name
        #[arg(short, long, value_name = "FILE")]
        out: PathBuf,
    },
    /// Check an authority's answer: who says that the head existed no later than when
    ///
    /// Whether a certificate was revoked is not looked at. Exit status 1 if the token is not believed.
    Check {
        /// The signed head, as it was when it was asked for
        head: PathBuf,
        /// The authority's answer, or the token alone
        #[arg(long, value_name = "FILE")]
        answer: PathBuf,
        /// The request, so that an answer to another one is told
        #[arg(long, value_name = "FILE")]
        request: Option<PathBuf>,
        /// Certificates that are trusted to vouch for authorities (PEM, or one in DER)
        #[arg(long, value_name = "FILE")]
        roots: PathBuf,
        /// Certificates between, if the token does not bring them
        #[arg(long, value_name = "FILE")]
        more: Option<PathBuf>,
    },
}

fn read(path: &Path) -> Result<Vec<u8>, Error> {
    fs::read(path).map_err(|why| io(path, &why))
}

/// Something in a file that is not what it should be.
fn wrong(path: &Path, why: NotStamped) -> Error {
    Error::refused(path.display().to_string(), why.to_string())
}

/// The certificates in a file.
pub fn certificates(path: &Path) -> Result<Vec<Vec<u8>>, Error> {
    read_certificates(&read(path)?).map_err(|why| wrong(path, why))
}

/// `sidelong time-token`.
pub fn run(what: &TimeToken, as_json: bool) -> Result<Ended, Error> {
    match what {
        TimeToken::Ask { out, store } => {
            let asked = open(store)?.ask_time()?;
            write_new(out, &asked.request)?;
            if as_json {
                print_json(&waiting(&asked))?;
            } else {
                println!(
                    "{}: {} bytes, to be sent to a time-stamp authority",
                    out.display(),
                    asked.request.len()
                );
                println!("of the first {} entries of {}", asked.size, asked.log);
            }
            Ok(Ended::Well)
        }
        TimeToken::Add { answer, roots, more, store } => {
            let more = more.as_deref().map(read).transpose()?;
            let token = open(store)?.add_time_token(read(answer)?, read(roots)?, more)?;
            if as_json {
                print_json(&token)?;
            } else {
                told(&token);
            }
            Ok(Ended::Well)
        }
        TimeToken::List { requests, store } => list(requests.as_deref(), store, as_json),
        TimeToken::Request { head, out } => request(head, out, as_json),
        TimeToken::Check { head, answer, request, roots, more } => {
            let asked = |path: &PathBuf| Request::read(&read(path)?).map_err(|why| wrong(path, why));
            let asked = request.as_ref().map(asked).transpose()?;
            let more = more.as_deref().map(certificates).transpose()?.unwrap_or_default();
            let (bytes, roots) = (read(head)?, certificates(roots)?);
            let told = check(&read(answer)?, &bytes, asked.as_ref(), &roots, &more);
            let stamp = told.map_err(|why| wrong(answer, why))?;
            let rfc3339 = |ms: i64| {
                let time = DateTime::from_timestamp_millis(ms);
                time.map_or_else(String::new, |it| it.to_rfc3339_opts(SecondsFormat::Millis, true))
            };
            if as_json {
                print_json(&json!({
                    "at_ms": stamp.at_ms,
                    "rfc3339": rfc3339(stamp.at_ms),
                    "accuracy_us": stamp.accuracy_us,
                    "not_later_than_ms": stamp.not_later_than_ms(),
                    "authority": stamp.authority,
                    "root": stamp.root,
                    "policy": stamp.policy,
                    "serial": stamp.serial,
                }))?;
            } else {
                println!("{}: existed no later than {}", head.display(), rfc3339(stamp.not_later_than_ms()));
                println!("says {} at {}", stamp.authority, rfc3339(stamp.at_ms));
                println!(
                    "vouched for by {}; whether a certificate was revoked was not looked at",
                    stamp.root
                );
            }
            Ok(Ended::Well)
        }
    }
}

fn request(head: &Path, out: &Path, as_json: bool) -> Result<Ended, Error> {
    let mut nonce = [0; 8];
    getrandom::fill(&mut nonce).map_err(|why| Error::internal(format!("random: {why}")))?;
    let request =
        Request::of(&read(head)?, nonce).and_then(|it| it.to_der()).map_err(|why| wrong(head, why))?;
    write_new(out, &request)?;
    if as_json {
        print_json(&json!({ "request": out.display().to_string(), "bytes": request.len() }))?;
    } else {
        println!("{}: {} bytes, to be sent to a time-stamp authority", out.display(), request.len());
    }
    Ok(Ended::Well)
}

/// Writes a request to a new file: not over one whose answer may still come.
fn write_new(out: &Path, request: &[u8]) -> Result<(), Error> {
    let written = File::create_new(out).and_then(|mut file| {
        file.write_all(request)?;
        file.sync_all()
    });
    written.map_err(|why| io(out, &why))
}

/// A request without its bytes, which are a file's.
fn waiting(asked: &TimeRequest) -> Value {
    json!({
        "log": asked.log,
        "size": asked.size,
        "sha256": asked.sha256,
        "asked_ms": asked.asked_ms,
        "asked": asked.asked,
        "again": asked.again,
    })
}

fn told(token: &Token) {
    println!("{}: {}", token.log, token.text);
    println!("vouched for by {} when it came, {}", token.root, token.came);
}

fn list(requests: Option<&Path>, store: &StoreArg, as_json: bool) -> Result<Ended, Error> {
    let on_record = open_to_read(store)?.time_asked()?;
    if let Some(folder) = requests {
        fs::create_dir_all(folder).map_err(|why| io(folder, &why))?;
        for asked in &on_record.waiting {
            let path = folder.join(format!("{}.tsq", asked.sha256));
            // One of this name was written for the same head: its answer may be on its way.
            if !path.exists() {
                write_new(&path, &asked.request)?;
            }
        }
    }
    if as_json {
        let waiting: Vec<Value> = on_record.waiting.iter().map(waiting).collect();
        print_json(&json!({ "waiting": waiting, "tokens": on_record.tokens }))?;
        return Ok(Ended::Well);
    }
    println!("{} waiting, {} tokens", on_record.waiting.len(), on_record.tokens.len());
    for asked in &on_record.waiting {
        println!("waits: the first {} entries of {}, asked for {}", asked.size, asked.log, asked.asked);
    }
    on_record.tokens.iter().for_each(told);
    Ok(Ended::Well)
}
