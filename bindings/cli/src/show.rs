//! What the command prints of jobs, joins and checks.

use crate::{Ended, io, print_json};
use indicatif::{ProgressBar, ProgressStyle};
use sidelong_core::api::{CheckProgress, JoinView, PackView, Reader};
use sidelong_core::error::Error;
use sidelong_core::record::views::{JobLine, JobView, StampView};
use sidelong_core::record::words::{Locale, Outcome};
use std::io::IsTerminal as _;
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;

/// The id of the job that a person named: its id, the beginning of one, or words that find exactly one.
pub fn named(reader: &Reader, name: &str, locale: Locale) -> Result<String, Error> {
    if uuid::Uuid::parse_str(name).is_ok() {
        return Ok(name.to_owned());
    }
    let by_id = reader
        .jobs(None, u32::MAX, locale)?
        .jobs
        .into_iter()
        .filter(|job| name.len() > 3 && job.job.starts_with(name));
    let mut found: Vec<JobLine> = by_id.collect();
    if found.is_empty() {
        found = reader.jobs(Some(name.to_owned()), 20, locale)?.jobs;
    }
    match found.as_slice() {
        [job] => Ok(job.job.clone()),
        [] => Err(Error::NotFound { what: format!("a job for \"{name}\"") }),
        many => {
            let list: Vec<String> = many.iter().map(|job| format!("  {}", brief(job))).collect();
            Err(Error::refused(
                "job",
                format!("\"{name}\" finds {} jobs; name one:\n{}", many.len(), list.join("\n")),
            ))
        }
    }
}

fn brief(job: &JobLine) -> String {
    let plate = job.plate.as_deref().unwrap_or("no plate");
    let state = if job.closed { ", ended" } else { "" };
    format!(
        "{}  {}  {}, {}, {} marks, {} photos{state}",
        job.job, job.opened, plate, job.form, job.marks, job.photos
    )
}

/// `sidelong jobs`.
pub fn jobs(
    reader: &Reader,
    search: Option<String>,
    limit: u32,
    locale: Locale,
    json: bool,
) -> Result<Ended, Error> {
    let list = reader.jobs(search, limit, locale)?;
    if json {
        print_json(&list)?;
        return Ok(Ended::Well);
    }
    for job in &list.jobs {
        println!("{}", brief(job));
    }
    if list.jobs.is_empty() {
        println!("no jobs");
    }
    if !list.complete {
        println!(
            "the list is being built again; older jobs are missing from it until the notebook has been open longer"
        );
    }
    Ok(Ended::Well)
}

fn stamped(stamp: &StampView) -> String {
    let later = stamp.entered_later.as_ref().map(|later| format!(", {later}")).unwrap_or_default();
    let flags: String = stamp.flags.iter().map(|flag| format!("\n      ! {flag}")).collect();
    format!("{}, phone {}{later}{flags}", stamp.at, stamp.phone)
}

/// `sidelong show`.
pub fn job(reader: &Reader, job: &str, locale: Locale, json: bool) -> Result<Ended, Error> {
    let view = reader.job(job.to_owned(), locale)?;
    if json {
        print_json(&view)?;
    } else {
        print_job(&view);
    }
    Ok(Ended::Well)
}

fn print_job(view: &JobView) {
    if view.demo {
        println!("DEMONSTRATION: everything below is invented\n");
    }
    let vehicle = &view.vehicle;
    let identity: Vec<&str> = [&vehicle.plate, &vehicle.vin, &vehicle.colour, &vehicle.missing]
        .into_iter()
        .flatten()
        .map(String::as_str)
        .collect();
    println!("{}, {} ({})", vehicle.form_text, vehicle.finish_text, identity.join(", "));
    println!("job {}, opened {}", view.job, stamped(&view.opened));
    for flag in &view.flags {
        println!("! {flag}");
    }
    for walk in &view.walks {
        println!("\n{}: {}", walk.stage_text, stamped(&walk.stamp));
        for (outcome, title) in [
            (Outcome::Marks, "marks on"),
            (Outcome::NothingSeen, "looked, nothing seen"),
            (Outcome::CouldNotSee, "could not be seen"),
            (Outcome::NotLooked, "not looked at"),
        ] {
            let names: Vec<String> = walk
                .panels
                .iter()
                .filter(|panel| panel.outcome == outcome)
                .map(|panel| match outcome {
                    Outcome::CouldNotSee => format!("{} ({})", panel.name, panel.text),
                    _ => panel.name.clone(),
                })
                .collect();
            if !names.is_empty() {
                println!("  {title} ({}): {}", names.len(), names.join(", "));
            }
        }
    }
    for mark in &view.marks {
        let parts: Vec<&str> = [&mark.size, &mark.place, &mark.note]
            .into_iter()
            .flatten()
            .chain(&mark.details)
            .map(String::as_str)
            .collect();
        println!("\n  [{}] {}, {}: {}", mark.label, mark.kind_text, mark.panel_name, mark.found);
        if !parts.is_empty() {
            println!("      {}", parts.join("; "));
        }
        println!("      {}; {} photos", stamped(&mark.stamp), mark.photos.len());
        for version in mark.history.iter().skip(1) {
            let reason = version.reason.as_deref().unwrap_or("no reason");
            println!("      corrected to: {} (reason: {reason}), {}", version.text, stamped(&version.stamp));
        }
    }
    for pair in &view.maybe_same {
        println!("\n  {} and {} may be the same mark: {}", pair.a, pair.b, pair.why);
    }
    for feel in &view.feels {
        println!("\n  feel test, {}: {} ({})", feel.panel_name, feel.text, stamped(&feel.stamp));
    }
    for it in &view.thickness {
        println!("\n  thickness, {}: {} ({})", it.panel_name, it.text, stamped(&it.stamp));
        it.doubts.iter().for_each(|doubt| println!("      {doubt}"));
    }
    view.mates.iter().for_each(|pair| println!("      {}", pair.text));
    view.removal.iter().for_each(|text| println!("      {text}"));
    for entry in &view.visit {
        let said: Vec<&str> = entry.typed.iter().chain(&entry.lines).map(String::as_str).collect();
        println!("\n  {} ({}; {} photos)", said.join("; "), stamped(&entry.stamp), entry.photos.len());
    }
    println!("\n  {}", view.owner_text);
    for entry in &view.unknown {
        println!("\n  not readable by this version: {entry}");
    }
    for closing in &view.closings {
        println!("\nended {}", stamped(closing));
    }
}

/// `sidelong report`.
pub fn report(
    reader: &Reader,
    job: &str,
    out: &Path,
    receipt: bool,
    locale: Locale,
    json: bool,
) -> Result<Ended, Error> {
    let job = job.to_owned();
    let page = if receipt {
        reader.report_with_receipt(job.clone(), locale)?
    } else {
        reader.report(job.clone(), locale)?
    };
    if out == Path::new("-") {
        let mut output = std::io::stdout();
        output
            .write_all(page.as_bytes())
            .and_then(|()| output.flush())
            .map_err(|why| io(Path::new("standard output"), &why))?;
        return Ok(Ended::Well);
    }
    std::fs::write(out, &page).map_err(|why| io(out, &why))?;
    if json {
        print_json(
            &serde_json::json!({ "job": job, "file": out.display().to_string(), "bytes": page.len() }),
        )?;
    } else {
        println!("{} ({} kB)", out.display(), page.len().div_ceil(1000));
    }
    Ok(Ended::Well)
}

/// `sidelong join`.
pub fn joined(joined: &JoinView, json: bool) -> Result<Ended, Error> {
    if json {
        print_json(joined)?;
    } else {
        for log in &joined.taken {
            let own = if log.own { " (this phone's own log, which was behind)" } else { "" };
            println!(
                "phone {}: {} entries came in, {} in all{own}",
                log.phone,
                log.after - log.before,
                log.after
            );
        }
        if joined.taken.is_empty() {
            println!("nothing new");
        }
        println!("{} jobs touched, {} photos and texts came along", joined.jobs.len(), joined.blobs);
        if !joined.blobs_missing.is_empty() {
            println!(
                "{} photos or texts are not there, or damaged there; their entries came in",
                joined.blobs_missing.len()
            );
        }
        if !joined.cosigned.is_empty() || joined.cosignatures > 0 {
            println!(
                "{} logs co-signed here, {} co-signatures came along",
                joined.cosigned.len(),
                joined.cosignatures
            );
        }
        for fork in joined.forked.iter().chain(&joined.contradicted) {
            println!("! {}", fork.text);
        }
        for refused in &joined.refused {
            println!("! {}", refused.reason);
        }
    }
    let well = joined.forked.is_empty() && joined.refused.is_empty() && joined.contradicted.is_empty();
    Ok(if well { Ended::Well } else { Ended::Badly })
}

/// What was packed, and where.
pub fn packed(file: &Path, packed: &PackView, json: bool) -> Result<Ended, Error> {
    if json {
        print_json(packed)?;
    } else {
        println!("{}: {} bytes, {} original photos", file.display(), packed.bytes, packed.photos);
        if packed.left_out > 0 {
            println!("{} photos are on record and not here; they did not come along", packed.left_out);
        }
    }
    Ok(Ended::Well)
}

struct Bar(ProgressBar);

impl CheckProgress for Bar {
    fn came(&self, checked: u64, total: u64) -> Result<bool, Error> {
        self.0.set_length(total);
        self.0.set_position(checked);
        Ok(true)
    }
}

/// `sidelong verify-log`.
pub fn verified(reader: &Reader, json: bool) -> Result<Ended, Error> {
    let bar = if std::io::stderr().is_terminal() { ProgressBar::new(0) } else { ProgressBar::hidden() };
    if let Ok(style) = ProgressStyle::with_template("{bar:30} checked up to entry {pos} of {len}") {
        bar.set_style(style);
    }
    let check = reader.check(Some(Arc::new(Bar(bar.clone()))))?;
    bar.finish_and_clear();
    if json {
        print_json(&check)?;
    } else {
        println!(
            "{} of {} entries and {} photos and texts looked through",
            check.checked, check.total, check.blobs
        );
        for finding in &check.findings {
            println!("! {}: {}", finding.place, finding.found);
        }
        for note in &check.notes {
            println!("  {}: {}", note.place, note.found);
        }
        if check.findings.is_empty() {
            println!("everything is as it was signed");
        }
    }
    Ok(if check.findings.is_empty() { Ended::Well } else { Ended::Badly })
}
