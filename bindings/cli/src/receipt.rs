//! `sidelong receipt`: what the owner takes along, and whether the record still is what it was then.

use crate::{Ended, StoreArg, io, print_json, read, show};
use sidelong_core::error::Error;
use sidelong_core::record::words::Locale;
use std::fs::File;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

/// Longest text in which a receipt is looked for, bytes.
const LONGEST: u64 = 65_536;

/// What is asked of `sidelong receipt`.
#[derive(Debug, clap::Args)]
pub struct Asked {
    /// Only if something of this job was recorded here: its id, the beginning of it, or words that find it
    #[arg(long, conflicts_with = "check")]
    job: Option<String>,
    /// Write the QR code as an SVG picture; there must be none of this name
    #[arg(short, long, value_name = "FILE", conflicts_with = "check")]
    out: Option<PathBuf>,
    /// Hold the record to this receipt: its letters, or - to read them from standard input
    #[arg(long, value_name = "TEXT")]
    check: Option<String>,
}

/// `sidelong receipt`.
pub fn run(asked: &Asked, store: &StoreArg, locale: Locale, json: bool) -> Result<Ended, Error> {
    let reader = read(store)?;
    if let Some(text) = &asked.check {
        let found = reader.check_receipt(if text == "-" { typed()? } else { text.clone() })?;
        if json {
            print_json(&found)?;
        } else {
            println!("{}", found.log);
            println!("{}{}", if found.kept { "" } else { "! " }, found.text);
        }
        return Ok(if found.kept { Ended::Well } else { Ended::Badly });
    }
    let job = asked.job.as_ref().map(|job| show::named(&reader, job, locale)).transpose()?;
    let receipt = reader.receipt(job)?;
    if let Some(out) = &asked.out {
        let written = File::create_new(out).and_then(|mut file| file.write_all(receipt.svg.as_bytes()));
        written.map_err(|why| io(out, &why))?;
    }
    if json {
        print_json(&receipt)?;
    } else {
        println!("receipt of {} entries of {}\n", receipt.size, receipt.log);
        println!("{}", receipt.text.trim_end());
    }
    Ok(Ended::Well)
}

fn typed() -> Result<String, Error> {
    let mut text = String::new();
    let read = std::io::stdin().lock().take(LONGEST).read_to_string(&mut text);
    read.map_err(|why| io(Path::new("standard input"), &why))?;
    Ok(text)
}
