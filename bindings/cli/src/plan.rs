//! `sidelong plan`: from what was agreed and found to steps in order.

use crate::show::named;
use crate::{Ended, StoreArg, io, print_json, read};
use sidelong_core::care::plan::{Plan, Planned, Work, plan};
use sidelong_core::care::sheet;
use sidelong_core::error::Error;
use sidelong_core::record::words::Locale;
use std::path::Path;

/// Makes the plan of a file, or of a job as it is on record, and prints it.
pub fn run(
    file: Option<&Path>,
    job: Option<&str>,
    store: &StoreArg,
    locale: Locale,
    json: bool,
) -> Result<Ended, Error> {
    let plan = match (file, job) {
        (Some(file), _) => {
            let text = std::fs::read(file).map_err(|why| io(file, &why))?;
            let work: Work = sheet::read(&text)?;
            plan(&work)?
        }
        (None, job) => {
            let reader = read(store)?;
            reader.plan(&named(&reader, job.unwrap_or_default(), locale)?)?
        }
    };
    if json {
        print_json(&plan)?;
    } else {
        let out = std::io::stdout().lock();
        print(&plan, out).map_err(|why| io(Path::new("standard output"), &why))?;
    }
    Ok(Ended::Well)
}

fn print(plan: &Plan, mut out: impl std::io::Write) -> std::io::Result<()> {
    if plan.steps.is_empty() && plan.kept_back.is_empty() {
        writeln!(out, "nothing agreed waits to be done")?;
    }
    for (number, step) in (1..).zip(&plan.steps) {
        print_step(number, step, &mut out)?;
    }
    for kept in &plan.kept_back {
        writeln!(out, "not done  {} on {}: {}", kept.refusal.step.text(), kept.place, kept.refusal.reason)?;
        if let Some(wanting) = &kept.wanting {
            writeln!(out, "          {wanting}")?;
        }
    }
    for now in &plan.now {
        let contamination = now.contamination.iter().map(|next| (next.step, &next.reason, &next.first));
        let polish = now.polish.iter().map(|next| (next.step, &next.reason, &next.first));
        for (step, reason, first) in contamination.chain(polish) {
            let step = step.map_or("nothing more", |step| step.text());
            writeln!(out, "now       {}: {step}. {reason}", now.place)?;
            for line in first {
                writeln!(out, "          first: {line}")?;
            }
        }
    }
    for note in &plan.notes {
        writeln!(out, "note      {note}")?;
    }
    Ok(())
}

fn print_step(number: usize, step: &Planned, out: &mut impl std::io::Write) -> std::io::Result<()> {
    let places: Vec<String> = step
        .on
        .iter()
        .map(|on| match on.sections.is_empty() {
            true => on.place.clone(),
            false => format!("{} ({})", on.place, on.sections.join(", ")),
        })
        .collect();
    let coat = step.coat.map(|coat| format!(", coat {coat}")).unwrap_or_default();
    let added = if step.added { " [added]" } else { "" };
    writeln!(out, "{number:4}  {}{coat}{added}: {}", step.step.text(), places.join(", "))?;
    if !step.reason.is_empty() {
        writeln!(out, "      {}", step.reason)?;
    }
    if let Some(sheet) = &step.sheet {
        writeln!(out, "      by the sheet of {}, version {}", sheet.name, sheet.version)?;
    }
    if !step.needs.is_empty() {
        let needs: Vec<&str> = step.needs.iter().map(|need| need.text()).collect();
        writeln!(out, "      must be {}", needs.join(", "))?;
    }
    if let Some(after) = &step.after {
        let most = after.most_s.map(|most_s| format!(", at most {most_s} s")).unwrap_or_default();
        writeln!(out, "      at least {} s after {}{most}", after.least_s, after.step.text())?;
    }
    match (step.dwell_least_s, step.dwell_most_s) {
        (Some(least_s), Some(most_s)) => writeln!(out, "      off after {least_s} to {most_s} s")?,
        (Some(least_s), None) => writeln!(out, "      off after {least_s} s or more")?,
        (None, _) => {}
    }
    for line in step.ask.iter().chain(&step.night).chain(&step.how).chain(&step.cautions) {
        writeln!(out, "      {line}")?;
    }
    if let Some(zone) = &step.cloth_zone {
        writeln!(out, "      cloth: {zone}")?;
    }
    if !step.usual.is_empty() {
        writeln!(out, "      common practice, no source: {}", step.usual.join(", "))?;
    }
    Ok(())
}
