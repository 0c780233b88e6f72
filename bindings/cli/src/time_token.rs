//! `sidelong time-token`: a request for a time token, and the check of the answer, over files. The way to the authority and back is
//! anybody's who has a connection.

use crate::{Ended, io, print_json};
use chrono::{DateTime, SecondsFormat};
use clap::Subcommand;
use serde_json::json;
use sidelong_core::error::Error;
use sidelong_core::log::timestamp::{NotStamped, Request, check, read_certificates};
use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};

#[derive(Debug, Subcommand)]
pub enum TimeToken {
    /// Write a request for a token of a signed head, or of any file
    ///
    /// The request goes to an authority as it is, for example with
    /// `curl --data-binary @head.tsq -H 'Content-Type: application/timestamp-query' -o head.tsr URL`.
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

/// `sidelong time-token`.
pub fn run(what: &TimeToken, as_json: bool) -> Result<Ended, Error> {
    match what {
        TimeToken::Request { head, out } => request(head, out, as_json),
        TimeToken::Check { head, answer, request, roots, more } => {
            let certificates =
                |path: &PathBuf| read_certificates(&read(path)?).map_err(|why| wrong(path, why));
            let asked = |path: &PathBuf| Request::read(&read(path)?).map_err(|why| wrong(path, why));
            let asked = request.as_ref().map(asked).transpose()?;
            let more = more.as_ref().map(certificates).transpose()?.unwrap_or_default();
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
    // Not over a request whose answer may still come.
    let written = File::create_new(out).and_then(|mut file| {
        file.write_all(&request)?;
        file.sync_all()
    });
    written.map_err(|why| io(out, &why))?;
    if as_json {
        print_json(&json!({ "request": out.display().to_string(), "bytes": request.len() }))?;
    } else {
        println!("{}: {} bytes, to be sent to a time-stamp authority", out.display(), request.len());
    }
    Ok(Ended::Well)
}
