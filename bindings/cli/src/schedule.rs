//! `sidelong schedule --job`: the schedule of a job as it is on record, beside what was done.

use crate::{Ended, StoreArg, platform, print_json, read, show};
use sidelong_core::error::Error;
use sidelong_core::record::views::{ScheduleView, TaskStage};
use sidelong_core::record::words::Locale;

/// Prints the schedule that counts.
pub fn on_record(store: &StoreArg, job: &str, locale: Locale, json: bool) -> Result<Ended, Error> {
    let reader = read(store)?;
    let job = show::named(&reader, job, locale)?;
    let now = platform::desk(&store.store)?.clock.now()?;
    let found = reader.schedule(job.clone(), now, locale)?;
    let Some(view) = found else {
        return Err(Error::NotFound { what: format!("a schedule in job {job}: none was made in it") });
    };
    if json {
        print_json(&view)?;
        return Ok(Ended::Well);
    }
    print(&view);
    Ok(Ended::Well)
}

fn print(view: &ScheduleView) {
    for task in &view.tasks {
        let mark = if task.stage == TaskStage::Late { "! " } else { "" };
        println!(
            "{mark}{} to {}  {}: {} {}, layer {} ({})",
            task.from, task.to, task.who, task.task_text, task.section, task.layer, task.text
        );
    }
    println!("finished {}; {}", view.finish, view.best_text);
    println!("{}; times of day are those of {}", view.terms.join("; "), view.zone);
    view.late.iter().for_each(|line| println!("late: {line}"));
    view.changed.iter().for_each(|line| println!("against the schedule before: {line}"));
    for made in &view.made {
        let note = made.note.as_ref().map(|note| format!("; {note}")).unwrap_or_default();
        println!("made {}: finished {}{note}", made.stamp.at, made.finish);
    }
    view.notes.iter().for_each(|note| println!("note: {note}"));
}
