//! What the command prints of a day, a fleet's list, and who records.

use crate::{Ended, StoreArg, io, open, print_json, read};
use sidelong_core::api::FleetImport;
use sidelong_core::care::{cloths, correction, sheet};
use sidelong_core::error::Error;
use sidelong_core::record::events::{Business, Shop};
use sidelong_core::record::words::{Locale, Scope};
use std::path::Path;

/// `sidelong day`.
pub fn day(store: &StoreArg, date: &str, locale: Locale, json: bool) -> Result<Ended, Error> {
    let list = read(store)?.day(date.to_owned(), locale)?;
    if json {
        print_json(&list)?;
        return Ok(Ended::Well);
    }
    for job in &list.jobs {
        let named = [&job.plate, &job.stock].into_iter().flatten().map(String::as_str).collect::<Vec<_>>();
        let dispute = if job.disputed { "; a dispute is open" } else { "" };
        println!("{}  {}  {}: {}{dispute}", job.job, named.join(", "), job.form, job.handover);
    }
    println!("{}: {} vehicles, {} ended, {} with an answer", date, list.total, list.ended, list.answered);
    Ok(Ended::Well)
}

/// `sidelong import-fleet`.
pub fn import(store: &StoreArg, file: &Path, scope: Vec<Scope>, json: bool) -> Result<Ended, Error> {
    let csv = std::fs::read(file).map_err(|why| io(file, &why))?;
    let done = open(store)?.import_fleet(csv, scope)?;
    if json {
        print_json(&done)?;
    } else {
        print_import(&done, file);
    }
    Ok(if done.errors.is_empty() { Ended::Well } else { Ended::Badly })
}

fn print_import(done: &FleetImport, file: &Path) {
    for job in &done.opened {
        println!("{}  {}", job.job, job.vehicle);
    }
    for job in &done.already {
        println!("{}  {} (open already)", job.job, job.vehicle);
    }
    println!("{} jobs opened, {} were open already", done.opened.len(), done.already.len());
    for column in &done.unknown_columns {
        eprintln!("sidelong: {}: the column \"{column}\" means nothing here", file.display());
    }
    for error in &done.errors {
        let column = if error.column.is_empty() { String::new() } else { format!("{}: ", error.column) };
        eprintln!("sidelong: {}, line {}: {column}{}", file.display(), error.line, error.reason);
    }
}

/// `sidelong recorder`.
pub fn recorder(store: &StoreArg, name: Option<&String>, json: bool) -> Result<Ended, Error> {
    let notebook = open(store)?;
    if let Some(name) = name {
        notebook.switch_recorder(name.clone())?;
    }
    let name = notebook.recorder()?;
    if json {
        print_json(&serde_json::json!({ "recorder": name }))?;
    } else {
        println!("{}", name.as_deref().unwrap_or("nobody is named yet"));
    }
    Ok(Ended::Well)
}

/// `sidelong business`.
pub fn business(
    store: &StoreArg,
    name: Option<&String>,
    details: Option<&String>,
    json: bool,
) -> Result<Ended, Error> {
    let notebook = open(store)?;
    if let Some(name) = name {
        notebook.describe_business(Business { name: name.clone(), details: details.cloned() })?;
    }
    let business = notebook.business()?;
    if json {
        print_json(&serde_json::json!({ "business": business }))?;
    } else {
        println!("{}", business.map_or_else(|| "no business is named yet".to_owned(), |it| it.name));
    }
    Ok(Ended::Well)
}

/// `sidelong shop`.
pub fn shop(store: &StoreArg, file: Option<&Path>, json: bool) -> Result<Ended, Error> {
    let notebook = open(store)?;
    if let Some(file) = file {
        let text = std::fs::read(file).map_err(|why| io(file, &why))?;
        let shop: Shop = sheet::read(&text)?;
        notebook.describe_shop(shop)?;
    }
    let shop = notebook.shop()?;
    if json {
        print_json(&shop)?;
        return Ok(Ended::Well);
    }
    println!("floor {} µm", shop.floor_um.unwrap_or(correction::FLOOR_UM));
    println!("over a paint's life at most {} µm", shop.budget_um.unwrap_or(correction::LIFETIME_UM));
    if let Some(first) = shop.chemical_first {
        println!("{} first", first.text());
    }
    for (number, zone) in (1..).zip(cloths::zones_of(&shop)) {
        let uses: Vec<&str> = zone.uses.iter().map(|it| it.text()).collect();
        println!("cloth zone {number}, {}: {}", zone.name, uses.join(", "));
    }
    Ok(Ended::Well)
}
