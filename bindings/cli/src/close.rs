//! `sidelong close`: ends a visit as a phone does, and says what the closing commits and with which key it is co-signed.

use crate::{Ended, StoreArg, open, print_json, read, show};
use sidelong_core::api::{ClosingSigned, Notebook};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::{Act, CloseJob, Input};
use sidelong_core::record::views::EntryKind;
use sidelong_core::record::words::Locale;
use uuid::Uuid;

/// What is asked of `sidelong close`.
#[derive(Debug, clap::Args)]
pub struct Asked {
    /// The job: its id, the beginning of it, or words that find it
    job: String,
    /// What is to be said at the end
    #[arg(long)]
    note: Option<String>,
}

#[derive(Debug, serde::Serialize)]
struct Closed {
    job: String,
    /// False when the visit was ended here before.
    recorded: bool,
    lines: Vec<String>,
    closings: Vec<ClosingSigned>,
    /// Why it is not co-signed.
    problem: Option<String>,
}

/// `sidelong close`.
pub fn run(asked: &Asked, store: &StoreArg, locale: Locale, json: bool) -> Result<Ended, Error> {
    let job = show::named(&*read(store)?, &asked.job, locale)?;
    let notebook = open(store)?;
    let closed = close(&notebook, &job, asked.note.clone(), locale)?;
    if json {
        print_json(&closed)?;
    } else {
        println!("{}", if closed.recorded { "ended" } else { "was ended here before" });
        for text in closed.lines.iter().chain(closed.closings.iter().map(|it| &it.text)) {
            println!("  {text}");
        }
        if let Some(problem) = &closed.problem {
            println!("! on record, and not co-signed: {problem}; the same command asks again");
        }
    }
    Ok(if closed.problem.is_none() { Ended::Well } else { Ended::Badly })
}

fn close(notebook: &Notebook, job: &str, note: Option<String>, locale: Locale) -> Result<Closed, Error> {
    // Of a visit that was ended here nothing is recorded anew: what its closing lacks is asked for again.
    let ended = note.is_none() && notebook.cosign_closings(job.to_owned()).map_or(true, |it| !it.is_empty());
    if !ended {
        let id = Uuid::parse_str(job).map_err(|_| Error::refused("job", "not a UUID"))?;
        let act = Act::CloseJob(CloseJob { note });
        notebook.record(Input { input: notebook.new_id()?, job: id, observed_at: None, act })?;
    }
    let (closings, problem) = match notebook.cosign_closings(job.to_owned()) {
        Ok(closings) => (closings, None),
        Err(why) => (Vec::new(), Some(why.to_string())),
    };
    let view = notebook.job(job.to_owned(), locale)?;
    let ends = view.visit.iter().filter(|entry| entry.kind == EntryKind::Closing);
    let lines = ends.flat_map(|entry| &entry.lines).cloned().collect();
    Ok(Closed { job: job.to_owned(), recorded: !ended, lines, closings, problem })
}
