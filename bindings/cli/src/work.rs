//! `sidelong clocks`, `sidelong lots` and `sidelong calendar`: what is due, which cars had a lot, the owner's due dates.

use crate::{Ended, StoreArg, io, platform, print_json, read, show};
use sidelong_core::api::{Now, Reader};
use sidelong_core::error::Error;
use sidelong_core::record::views::ClockStage;
use sidelong_core::record::words::Locale;
use std::path::Path;

fn now(store: &StoreArg) -> Result<Now, Error> {
    platform::desk(&store.store)?.clock.now()
}

/// Open sections, what is due next on top; of one job also its five clocks and what was late.
pub fn clocks(store: &StoreArg, job: Option<&String>, locale: Locale, json: bool) -> Result<Ended, Error> {
    let reader = read(store)?;
    let job = job.map(|job| show::named(&reader, job, locale)).transpose()?;
    let clocks = reader.clocks(job.clone(), now(store)?, locale)?;
    let cure = match &job {
        Some(job) => reader.cure_clocks(job.clone(), now(store)?, locale)?,
        None => Vec::new(),
    };
    if json {
        print_json(&serde_json::json!({ "open": clocks.open, "late": clocks.late, "cure": cure }))?;
        return Ok(Ended::Well);
    }
    for clock in &clocks.open {
        let mark = if clock.stage == ClockStage::Overdue { "! " } else { "" };
        let sure = if clock.sure { "" } else { "; a clock was set back, so more may have passed" };
        println!(
            "{mark}{}, {}, layer {}: {} ({}, {}){sure}",
            clock.vehicle, clock.section, clock.layer, clock.text, clock.product, clock.who
        );
    }
    if clocks.open.is_empty() {
        println!("no section is open");
    }
    for late in &clocks.late {
        println!("late  {}, layer {}: {}", late.section, late.layer, late.text);
    }
    if !cure.is_empty() {
        println!("times of day are those of {}", now(store)?.zone);
    }
    for clock in &cure {
        let over = if clock.left_ms == 0 { "over: " } else { "" };
        println!("{over}{} [{}]", clock.text, clock.because);
    }
    Ok(Ended::Well)
}

/// Every layer from a lot.
pub fn lots(store: &StoreArg, lot: &str, locale: Locale, json: bool) -> Result<Ended, Error> {
    let found = read(store)?.lots(lot.to_owned(), locale)?;
    if json {
        print_json(&found)?;
        return Ok(Ended::Well);
    }
    for it in &found.uses {
        println!("{}  {}, {}, lot {}: {}", it.begun, it.vehicle, it.section, it.lot, it.product);
        println!("      {}; {}", it.state, it.conditions);
        it.notes.iter().for_each(|note| println!("      ! {note}"));
    }
    println!("visits: {}, layers: {}", found.jobs, found.uses.len());
    if !found.complete {
        println!(
            "the tables are being built again; older jobs are missing until the notebook has been open longer"
        );
    }
    Ok(Ended::Well)
}

/// The owner's due dates as an iCalendar file.
pub fn calendar(store: &StoreArg, job: &str, out: &Path, locale: Locale, json: bool) -> Result<Ended, Error> {
    let reader: &Reader = &*read(store)?;
    let job = show::named(reader, job, locale)?;
    let file = reader.calendar(job.clone(), now(store)?.at_ms, locale)?;
    if out == Path::new("-") {
        print!("{file}");
        return Ok(Ended::Well);
    }
    std::fs::write(out, &file).map_err(|why| io(out, &why))?;
    let dates = file.matches("BEGIN:VEVENT").count();
    if json {
        print_json(&serde_json::json!({ "job": job, "file": out.display().to_string(), "dates": dates }))?;
    } else {
        println!("{}: {dates} dates", out.display());
    }
    Ok(Ended::Well)
}
