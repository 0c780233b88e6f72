//! `sidelong`: the desk tool, the demonstration and the checker. It has no rules of its own: everything goes through
//! the same door as a phone ([`sidelong_core::api`]).
//!
//! Exit status: 0 done; 1 something was refused or found wrong; 2 the command line is off, or a claim that was required of
//! a bundle is not proven; 3 a store or file could not be read or written.

#[macro_use]
mod said;

mod args;
mod backup;
mod bundle;
mod close;
mod day;
mod demo;
mod device;
mod keep;
mod look;
mod plan;
mod platform;
mod receipt;
mod record;
mod schedule;
mod show;
mod sun;
mod time_token;
mod timing;
mod work;

use args::{Args, Command, StoreArg};
use clap::Parser as _;
use sidelong_core::api::{Notebook, Platform, Reader};
use sidelong_core::error::Error;
use sidelong_core::record::events::is_demo;
use sidelong_core::record::words::{Locale, Scope};
use std::io::Write as _;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

/// How a command ended that did not fail.
enum Ended {
    Well,
    /// Something was refused or found wrong, and was told.
    Badly,
    /// Nothing was found wrong, and something that was required is not proven.
    Unproven,
}

fn main() -> ExitCode {
    let args = Args::parse();
    let ended = run(&args);
    if let (Ok(_), Some(why)) = (&ended, said::lost()) {
        eprintln!("sidelong: standard output: {why}; what was done is done, and not all of it was told");
        return ExitCode::from(3);
    }
    match ended {
        Ok(Ended::Well) => ExitCode::SUCCESS,
        Ok(Ended::Badly) => ExitCode::from(1),
        Ok(Ended::Unproven) => ExitCode::from(2),
        Err(error) => {
            eprintln!("sidelong: {error}");
            ExitCode::from(match error {
                Error::Refused { .. }
                | Error::InputReused { .. }
                | Error::Photo { .. }
                | Error::NotJoined { .. } => 1,
                _ => 3,
            })
        }
    }
}

fn run(args: &Args) -> Result<Ended, Error> {
    let locale = Locale::from(args.words);
    match &args.command {
        Command::Demo { dir } => demo::run(dir, locale, args.json),
        Command::Record { schema: true, .. } => record::schema(),
        Command::Record { file, store, .. } => {
            let notebook = open(store)?;
            let file = file.clone().unwrap_or_else(|| PathBuf::from("-"));
            record::run(&notebook, &file, args.json)
        }
        Command::Jobs { store, search, limit } => {
            show::jobs(&*read(store)?, search.clone(), *limit, locale, args.json)
        }
        Command::Show { job, store } => {
            let reader = read(store)?;
            show::job(&reader, &show::named(&reader, job, locale)?, locale, args.json)
        }
        Command::Report { job, store, out, receipt } => {
            let reader = read(store)?;
            show::report(&reader, &show::named(&reader, job, locale)?, out, *receipt, locale, args.json)
        }
        Command::Receipt { asked, store } => receipt::run(asked, store, locale, args.json),
        Command::Join { dir, store } => {
            let notebook = open(store)?;
            show::joined(&notebook.join(dir.display().to_string())?, args.json)
        }
        Command::Pack { file, no_photos, store } => {
            show::packed(file, &read(store)?.pack(file.display().to_string(), !no_photos)?, args.json)
        }
        Command::Backup { file, store } => backup::backup(store, file, args.json),
        Command::Restore { file, store } => backup::restore(store, file, args.json),
        Command::Day { date, store } => day::day(store, date, locale, args.json),
        Command::ImportFleet { file, store, scope } => {
            day::import(store, file, scope.iter().map(|part| Scope::from(*part)).collect(), args.json)
        }
        Command::Recorder { name, store } => day::recorder(store, name.as_ref(), args.json),
        Command::Business { name, details, store } => {
            day::business(store, name.as_ref(), details.as_ref(), args.json)
        }
        Command::Purge { keep, store, yes } => keep::purge(store, keep, *yes, locale, args.json),
        Command::Erase { job, kind, reason, store } => {
            keep::erase(store, job, kind, reason, locale, args.json)
        }
        Command::Archive { dir, store, job, release } => {
            keep::archive(store, dir, job, *release, locale, args.json)
        }
        Command::BringBack { dir, store, job } => keep::bring_back(store, dir, job, locale, args.json),
        Command::Export { dir, store } => keep::export(store, dir, locale, args.json),
        Command::Schedule { file: Some(file), .. } => timing::schedule(file, args.json),
        Command::Schedule { job, store, .. } => {
            schedule::on_record(store, job.as_deref().unwrap_or_default(), locale, args.json)
        }
        Command::DewPoint { air_c, rh, panel_c } => timing::dew_point(*air_c, *rh, *panel_c, args.json),
        Command::Plan { file, job, store } => {
            plan::run(file.as_deref(), job.as_deref(), store, locale, args.json)
        }
        Command::Shop { file, store } => day::shop(store, file.as_deref(), args.json),
        Command::Clocks { job, store } => work::clocks(store, job.as_ref(), locale, args.json),
        Command::Lots { lot, store } => work::lots(store, lot, locale, args.json),
        Command::Calendar { job, out, store } => work::calendar(store, job, out, locale, args.json),
        Command::TimeToken(what) => time_token::run(what, args.json),
        Command::Close { asked, store } => close::run(asked, store, locale, args.json),
        Command::Bundle { wanted, store } => bundle::write(wanted, store, locale, args.json),
        Command::Verify { asked } => bundle::check(asked, args.json),
        Command::Sun(asked) => sun::run(asked, args.json),
        Command::Look(what) => look::run(what, locale, args.json),
        Command::Device(what) => device::run(what, locale, args.json),
        Command::VerifyLog { store } => show::verified(&*read(store)?, args.json),
    }
}

fn open(store: &StoreArg) -> Result<Arc<Notebook>, Error> {
    let desk = platform::desk(&store.store)?;
    let folder = store.store.display().to_string();
    match Notebook::open(folder.clone(), desk.clone()) {
        // A demonstration's log has another name under the same key; the store says which it holds.
        Err(Error::SeedMissing { log }) if is_demo(&log) => {
            Notebook::open(folder, Platform { demo: true, ..desk })
        }
        opened => opened,
    }
}

fn read(store: &StoreArg) -> Result<Arc<Reader>, Error> {
    let reader = Reader::open(store.store.display().to_string())?;
    for finding in reader.findings()? {
        eprintln!("sidelong: damage in {}: {}; reading on", finding.place, finding.found);
    }
    Ok(reader)
}

/// Prints one JSON value on one line.
fn print_json(value: &impl serde::Serialize) -> Result<(), Error> {
    let text = serde_json::to_string(value).map_err(|why| Error::internal(format!("json: {why}")))?;
    // Not println: an output that is full or gone is told like any other file, and what was saved stays saved.
    writeln!(std::io::stdout(), "{text}").map_err(|why| io(std::path::Path::new("standard output"), &why))
}

/// A file that could not be read or written.
fn io(path: &std::path::Path, why: &std::io::Error) -> Error {
    Error::Io { path: path.display().to_string(), reason: why.to_string() }
}
