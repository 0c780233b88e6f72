//! `sidelong demo`: an invented visit, recorded by two phones that are offline from each other, joined, and reported.
//! Every entry goes through the same door as a phone's; only the clock and the random bytes are written down.

use crate::{Ended, io, platform, print_json, record};
use sidelong_core::api::Notebook;
use sidelong_core::error::Error;
use sidelong_core::record::words::Locale;
use std::fs;
use std::path::Path;
use std::sync::Arc;

/// Written to every demonstration's folder, so that a later one may replace it and nothing else.
const SIGN: &str = "this-is-a-demonstration.txt";

macro_rules! photos {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_bytes!(concat!("../../../fixtures/photos/", $name)))),*]
    };
}

/// The photos of the visit (fixtures/SOURCES.md).
const PHOTOS: &[(&str, &[u8])] = photos![
    "arrival-bonnet-close.jpg",
    "arrival-bonnet-middle.jpg",
    "arrival-front-left-door-clean.jpg",
    "arrival-front-left-wing-close.jpg",
    "arrival-overall-rear.jpg",
    "arrival-overall-right-side.jpg",
    "arrival-rear-right-door-close-scale.jpg",
    "arrival-rear-right-door-close.jpg",
    "arrival-rear-right-door-middle.jpg",
    "arrival-tailgate-close-scale.jpg",
    "arrival-tailgate-middle.jpg",
];

macro_rules! inputs {
    ($name:literal) => {
        ($name, include_bytes!(concat!("../../../fixtures/demo/", $name)))
    };
}

const OPENING: (&str, &[u8]) = inputs!("1-opening.jsonl");
const LEFT: (&str, &[u8]) = inputs!("2-left.jsonl");
const RIGHT: (&str, &[u8]) = inputs!("3-right.jsonl");
const AFTER_WASH: (&str, &[u8]) = inputs!("4-after-wash.jsonl");

/// 2026-06-09 08:10 in London, UTC milliseconds.
const ARRIVAL_MS: i64 = 1_780_989_000_000;

/// The photos say when they were taken; entries are made after that.
const MINUTE_MS: i64 = 60_000;

/// Records the visit below `dir` and writes the report.
pub fn run(dir: &Path, locale: Locale, json: bool) -> Result<Ended, Error> {
    prepare(dir)?;
    let inputs = dir.join("inputs");
    let say = |text: &str| {
        if !json {
            println!("{text}");
        }
    };
    let first = dir.join("phone-1");
    let second = dir.join("phone-2");
    let count = {
        let one = phone(&first, "phone 1", ARRIVAL_MS)?;
        let opened = take(&one, &inputs, OPENING)?;
        say("phone 1 opened the job and began the walk-around");
        drop(one);
        let two = phone(&second, "phone 2", ARRIVAL_MS + 6 * MINUTE_MS)?;
        two.join(first.display().to_string())?;
        let right = take(&two, &inputs, RIGHT)?;
        drop(two);
        say(&format!("phone 2 joined it and recorded the right side, offline ({right} entries)"));
        let one = phone(&first, "phone 1, left side", ARRIVAL_MS + 20 * MINUTE_MS)?;
        let left = take(&one, &inputs, LEFT)?;
        say(&format!("phone 1 recorded the left side, offline ({left} entries)"));
        opened + left + right
    };
    let one = phone(&first, "phone 1, after the wash", ARRIVAL_MS + 90 * MINUTE_MS)?;
    let joined = one.join(second.display().to_string())?;
    say(&format!("phone 1 joined phone 2: {} photos and texts came along", joined.blobs));
    let after = take(&one, &inputs, AFTER_WASH)?;
    say(&format!("phone 1 recorded what showed after the wash and ended the visit ({after} entries)"));
    let jobs = one.jobs(None, 1, locale)?;
    let job = jobs.jobs.first().map(|job| job.job.clone()).ok_or_else(|| Error::internal("demo.job"))?;
    let page = one.report(job.clone(), locale)?;
    let check = one.check(None)?;
    let report = dir.join("report.html");
    fs::write(&report, &page).map_err(|why| io(&report, &why))?;
    if json {
        print_json(&serde_json::json!({
            "job": job,
            "entries": count + after,
            "findings": check.findings.len(),
            "report": report.display().to_string(),
            "stores": [first.display().to_string(), second.display().to_string()],
        }))?;
    } else {
        println!("{} entries of two phones looked through: {} findings", check.checked, check.findings.len());
        println!("\nreport: {} ({} kB; open it in a browser)", report.display(), page.len().div_ceil(1000));
        println!("notebooks: {} and {}", first.display(), second.display());
    }
    Ok(if check.findings.is_empty() { Ended::Well } else { Ended::Badly })
}

fn phone(store: &Path, name: &str, starts_ms: i64) -> Result<Arc<Notebook>, Error> {
    Notebook::open(store.display().to_string(), platform::demo(store, name, starts_ms))
}

fn take(notebook: &Notebook, inputs: &Path, (name, text): (&str, &[u8])) -> Result<usize, Error> {
    match record::lines(notebook, text, inputs, |_| Ok(())) {
        Ok(count) => Ok(count.inputs),
        Err(record::Stopped::Line { line, field, reason, .. }) => {
            Err(Error::refused(field, format!("{name}, line {line}: {reason}")))
        }
        Err(record::Stopped::Error(error)) => Err(error),
    }
}

/// Makes the folder, or clears an earlier demonstration out of it; nothing else is ever removed.
fn prepare(dir: &Path) -> Result<(), Error> {
    let sign = dir.join(SIGN);
    if sign.exists() {
        for part in ["inputs", "phone-1", "phone-2"] {
            match fs::remove_dir_all(dir.join(part)) {
                Err(why) if why.kind() != std::io::ErrorKind::NotFound => {
                    return Err(io(&dir.join(part), &why));
                }
                _ => {}
            }
        }
    } else if dir.read_dir().is_ok_and(|mut entries| entries.next().is_some()) {
        return Err(Error::NotWritable {
            path: dir.display().to_string(),
            reason: "it holds something that is not a demonstration; name an empty or new folder".to_owned(),
        });
    }
    let photos = dir.join("inputs/photos");
    fs::create_dir_all(&photos).map_err(|why| io(&photos, &why))?;
    let text = "Everything in this folder is invented. `sidelong demo` may replace it.\n";
    fs::write(&sign, text).map_err(|why| io(&sign, &why))?;
    for (name, bytes) in PHOTOS {
        let path = photos.join(name);
        fs::write(&path, bytes).map_err(|why| io(&path, &why))?;
    }
    for (name, text) in [OPENING, LEFT, RIGHT, AFTER_WASH] {
        let path = dir.join("inputs").join(name);
        fs::write(&path, text).map_err(|why| io(&path, &why))?;
    }
    Ok(())
}
