//! `sidelong bundle` and `sidelong verify`. A verification needs no notebook: what is printed comes from the bundle alone,
//! and from the heads and keys that the reader holds.

use crate::{Ended, StoreArg, io, open, print_json, read, show, time_token};
use sidelong_core::api::{BundleView, BundleWish};
use sidelong_core::error::Error;
use sidelong_core::log::cosign::Witness;
use sidelong_core::log::timestamp;
use sidelong_core::log::verify::{CheckTime, Claim, Held, Report, Unreadable, Verdict, verify};
use sidelong_core::record::words::Locale;
use sidelong_core::report::statement;
use sidelong_core::store::open_bag;
use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Longest head or key that is read from a file, bytes.
const LONGEST: u64 = 65_536;

fn short_file(path: &PathBuf) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(|why| io(path, &why))?;
    std::io::Read::read_to_end(&mut std::io::Read::take(file, LONGEST), &mut bytes)
        .map_err(|why| io(path, &why))?;
    Ok(bytes)
}

fn heads(files: &[PathBuf]) -> Result<Vec<Vec<u8>>, Error> {
    files.iter().map(short_file).collect()
}

fn witnesses(files: &[PathBuf]) -> Result<Vec<Witness>, Error> {
    let read = |path: &PathBuf| {
        let off = |reason: String| Error::Io { path: path.display().to_string(), reason };
        let text = String::from_utf8(short_file(path)?).map_err(|_| off("no key: not UTF-8".to_owned()))?;
        Witness::from_vkey(&text).map_err(|why| off(why.to_string()))
    };
    files.iter().map(read).collect()
}

/// What is asked of `sidelong bundle`.
#[derive(Debug, clap::Args)]
pub struct Wanted {
    /// The job: its id, the beginning of it, or words that find it
    job: String,
    /// Where to write it; there must be nothing of this name
    path: PathBuf,
    /// One zip file instead of a folder
    #[arg(long)]
    zip: bool,
    /// Only this entry with all that names it, by its id, or this photo or text, by its SHA-256 (may be given again)
    #[arg(long, value_name = "ID")]
    only: Vec<String>,
    /// A signed head that somebody holds, to prove that the log goes on from it (may be given again)
    #[arg(long, value_name = "FILE")]
    head: Vec<PathBuf>,
}

/// `sidelong bundle`.
pub fn write(wanted: &Wanted, store: &StoreArg, locale: Locale, json: bool) -> Result<Ended, Error> {
    let job = show::named(&*read(store)?, &wanted.job, locale)?;
    let wish = BundleWish { only: wanted.only.clone(), heads: heads(&wanted.head)?, zip: wanted.zip, locale };
    let done = open(store)?.bundle(job, wanted.path.display().to_string(), wish)?;
    if json {
        print_json(&done)?;
    } else {
        told(&wanted.path, &done);
    }
    Ok(if done.findings.is_empty() { Ended::Well } else { Ended::Badly })
}

fn told(path: &Path, done: &BundleView) {
    println!("{}: {} files, {} kB", path.display(), done.files, done.bytes.div_ceil(1_000));
    println!(
        "{} of {} entries, {} photos and texts; {} withheld, {} erased, {} not here",
        done.entries - done.withheld,
        done.entries,
        done.blobs,
        done.blobs_withheld,
        done.blobs_erased,
        done.blobs_elsewhere
    );
    for finding in &done.findings {
        println!("! {}: {}", finding.place, finding.found);
    }
}

/// What is asked of `sidelong verify`.
#[derive(Debug, clap::Args)]
pub struct Asked {
    /// The bundle: a folder or a zip
    path: PathBuf,
    /// A claim that must be proved, by its code (may be given again)
    #[arg(long, value_name = "CODE")]
    require: Vec<String>,
    /// A signed head that you were given earlier, for example a receipt (may be given again)
    #[arg(long, value_name = "FILE")]
    head: Vec<PathBuf>,
    /// Write a statement of process to print, for a court: how the record is made, what was found, blanks for whoever certifies
    /// it (HTML; there must be none of this name)
    #[arg(long, value_name = "FILE")]
    statement: Option<PathBuf>,
    /// Certificates that you trust to vouch for time-stamp authorities, got elsewhere (PEM, or one in DER)
    #[arg(long, value_name = "FILE")]
    roots: Option<PathBuf>,
    /// The key of a phone or of another witness whose word you take, got elsewhere; `sidelong device key` prints one (may be given again)
    #[arg(long, value_name = "KEYFILE")]
    witness: Vec<PathBuf>,
}

/// `sidelong verify`.
pub fn check(asked: &Asked, json: bool) -> Result<Ended, Error> {
    let (heads, witnesses) = (heads(&asked.head)?, witnesses(&asked.witness)?);
    let roots = asked.roots.as_deref().map(time_token::certificates).transpose()?;
    let time = |token: &[u8], checkpoint: &[u8]| {
        timestamp::check(token, checkpoint, None, roots.as_deref().unwrap_or_default(), &[])
    };
    let time = roots.as_ref().map(|_| &time as CheckTime<'_>);
    let held = Held { heads: &heads, time, witnesses: &witnesses };
    let unreadable = |why: Unreadable| Error::Io { path: asked.path.display().to_string(), reason: why.0 };
    let report = verify(&open_bag(&asked.path).map_err(unreadable)?, &held).map_err(unreadable)?;
    let unproven = report.unproven(&asked.require);
    if let Some(path) = &asked.statement {
        let page =
            statement(&report, &asked.path.file_name().unwrap_or(asked.path.as_os_str()).to_string_lossy());
        let written = File::create_new(path).and_then(|mut file| file.write_all(page.as_bytes()));
        written.map_err(|why| io(path, &why))?;
    }
    if json {
        print_json(&report)?;
    } else {
        // Not println: a reader that stops reading must not look like a bundle that fails.
        let text = said(&report, &unproven);
        let output = Path::new("standard output");
        std::io::stdout().write_all(text.as_bytes()).map_err(|why| io(output, &why))?;
    }
    Ok(match (report.failed(), unproven.is_empty()) {
        (true, _) => Ended::Badly,
        (false, false) => Ended::Unproven,
        (false, true) => Ended::Well,
    })
}

/// Codes of what no bundle can ever show.
const NEVER: [&str; 4] = ["clock.device", "scene.genuine", "operator.identity", "capture.not_before"];

fn said(report: &Report, unproven: &[&str]) -> String {
    let mut lines = Vec::new();
    if report.demo {
        lines.push("DEMONSTRATION: what this bundle holds is invented\n".to_owned());
    }
    let job = report.job.as_deref().unwrap_or("a job that nobody signed for");
    let signed_by = report.signed_by.as_deref().unwrap_or("nobody");
    let extent = match report.whole {
        Some(true) => "all of it, as the signer says",
        Some(false) => "chosen parts",
        None => "how much of it is not said",
    };
    lines.push(format!("bundle of {job}, {extent}\nsigned by {signed_by}"));
    for log in &report.logs {
        let (log, size, entries) = (&log.log, log.size, log.entries);
        lines.push(format!("log {log}: {size} entries, {entries} of this job"));
    }
    let counts = &report.counts;
    lines.push(format!(
        "entries: {} shown, {} withheld\nphotos and texts: {} here, {} withheld, {} erased, {} not here\n",
        counts.shown,
        counts.withheld,
        counts.blobs,
        counts.blobs_withheld,
        counts.blobs_erased,
        counts.blobs_elsewhere
    ));
    let line = |claim: &Claim| format!("{:<10}  {:<20}  {}", claim.verdict.word(), claim.code, claim.text);
    lines.extend(report.claims.iter().filter(|claim| !NEVER.contains(&claim.code)).map(line));
    lines.push("\nNo bundle can show:".to_owned());
    lines.extend(report.claims.iter().filter(|claim| NEVER.contains(&claim.code)).map(line));
    let failed = report.claims.iter().filter(|claim| claim.verdict == Verdict::Fail).count();
    lines.push(match (failed, unproven) {
        (0, []) => "\nnothing failed".to_owned(),
        (0, open) => format!("\nnothing failed; required and not proven: {}", open.join(", ")),
        _ => "\nFAILED: this bundle is not what was signed, or what was signed does not hold together"
            .to_owned(),
    });
    lines.join("\n") + "\n"
}
