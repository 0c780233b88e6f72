//! What the command prints of archiving, releasing, taking back, exporting and erasing.

use crate::{Ended, StoreArg, open, print_json, read, show};
use sidelong_core::api::{ErasureView, FindingView, RetentionRule};
use sidelong_core::error::Error;
use sidelong_core::record::words::{Kept, Locale};
use std::path::Path;

/// The ids of the jobs that a person named.
fn named(store: &StoreArg, jobs: &[String], locale: Locale) -> Result<Vec<String>, Error> {
    if jobs.is_empty() {
        return Ok(Vec::new());
    }
    let reader = read(store)?;
    jobs.iter().map(|job| show::named(&reader, job, locale)).collect()
}

fn told(findings: &[FindingView]) -> Ended {
    for finding in findings {
        println!("! {}: {}", finding.place, finding.found);
    }
    ended(findings)
}

fn ended(findings: &[FindingView]) -> Ended {
    if findings.is_empty() { Ended::Well } else { Ended::Badly }
}

fn megabytes(bytes: u64) -> String {
    format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000)
}

/// `sidelong archive`.
pub fn archive(
    store: &StoreArg,
    dir: &Path,
    jobs: &[String],
    release: bool,
    locale: Locale,
    json: bool,
) -> Result<Ended, Error> {
    let jobs = named(store, jobs, locale)?;
    let notebook = open(store)?;
    let folder = dir.display().to_string();
    let done = notebook.archive(folder.clone(), jobs.clone())?;
    let mut end = ended(&done.findings);
    if json {
        print_json(&done)?;
    } else {
        println!(
            "{} of {} photos copied ({}), {} were there already",
            done.copied,
            done.photos,
            megabytes(done.bytes),
            done.already
        );
        if done.elsewhere > 0 {
            println!("{} are not here to be copied: released before, or on another phone", done.elsewhere);
        }
        for sha256 in &done.mended {
            println!("  the copy of photo {sha256} had gone bad and was written again");
        }
        for sha256 in &done.erased {
            println!("  photo {sha256} was erased here; the archive still holds a copy");
        }
        end = told(&done.findings);
    }
    if !release {
        return Ok(end);
    }
    let done = notebook.release(folder, jobs)?;
    if json {
        print_json(&done)?;
    } else {
        println!("{} released, {} freed here", done.released, megabytes(done.bytes));
        told(&done.kept);
    }
    Ok(if done.kept.is_empty() { end } else { Ended::Badly })
}

/// `sidelong bring-back`.
pub fn bring_back(
    store: &StoreArg,
    dir: &Path,
    jobs: &[String],
    locale: Locale,
    json: bool,
) -> Result<Ended, Error> {
    let jobs = named(store, jobs, locale)?;
    let done = open(store)?.bring_back(dir.display().to_string(), jobs)?;
    if json {
        print_json(&done)?;
        return Ok(ended(&done.missing));
    }
    println!("{} photos are here again ({})", done.brought, megabytes(done.bytes));
    Ok(told(&done.missing))
}

/// `sidelong export`.
pub fn export(store: &StoreArg, dir: &Path, locale: Locale, json: bool) -> Result<Ended, Error> {
    let done = read(store)?.export(dir.display().to_string(), locale)?;
    if json {
        print_json(&done)?;
        return Ok(ended(&done.findings));
    }
    println!(
        "{} jobs, {} entries, {} texts and {} photos written; README.txt there says what is what",
        done.jobs, done.events, done.texts, done.photos
    );
    if done.elsewhere > 0 {
        println!("{} photos or texts are on record and not here", done.elsewhere);
    }
    Ok(told(&done.findings))
}

fn kind(field: &str, word: &str) -> Result<Kept, Error> {
    Kept::ALL.iter().copied().find(|kind| kind.word() == word).ok_or_else(|| {
        let known: Vec<&str> = Kept::ALL.iter().map(|kind| kind.word()).collect();
        Error::refused(field, format!("\"{word}\" is none of {}", known.join(", ")))
    })
}

/// `sidelong purge`.
pub fn purge(
    store: &StoreArg,
    keep: &[String],
    yes: bool,
    locale: Locale,
    json: bool,
) -> Result<Ended, Error> {
    let rule = |text: &String| {
        let off = || Error::refused("keep", format!("\"{text}\" is not KIND=MONTHS, for example texts=72"));
        let (word, months) = text.split_once('=').ok_or_else(off)?;
        Ok(RetentionRule { kept: kind("keep", word)?, months: months.parse().map_err(|_| off())? })
    };
    let rules = keep.iter().map(rule).collect::<Result<Vec<_>, Error>>()?;
    told_erasure(&open(store)?.purge(rules, !yes, locale)?, json)
}

/// `sidelong erase`.
pub fn erase(
    store: &StoreArg,
    job: &str,
    kinds: &[String],
    reason: &str,
    locale: Locale,
    json: bool,
) -> Result<Ended, Error> {
    let kinds = kinds.iter().map(|word| kind("kind", word)).collect::<Result<Vec<_>, Error>>()?;
    let job = show::named(&*read(store)?, job, locale)?;
    told_erasure(&open(store)?.erase_job(job, kinds, reason.to_owned(), locale)?, json)
}

fn told_erasure(done: &ErasureView, json: bool) -> Result<Ended, Error> {
    if json {
        print_json(done)?;
        return Ok(Ended::Well);
    }
    let did = if done.done { "erased" } else { "would be erased" };
    for kind in &done.erased {
        println!("{} {did}: {}, of {} jobs", kind.count, kind.text, done.jobs);
    }
    if done.erased.is_empty() {
        println!("nothing is old enough");
    }
    for held in &done.held {
        println!("job {} keeps its own: {}", held.place, held.found);
    }
    if !done.done && !done.erased.is_empty() {
        println!("nothing was erased yet; the same with --yes does it");
    }
    Ok(Ended::Well)
}
