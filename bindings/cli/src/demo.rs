//! `sidelong demo`: an invented detailer's day with three vehicles, the last of them recorded by two phones that are offline
//! from each other, joined, and reported; and a bundle of the SUV, for others to check.
//! Every entry goes through the same door as a phone's; only the clock and the random bytes are written down.

use crate::{Ended, io, platform, print_json, record};
use sidelong_core::api::{BundleWish, Notebook};
use sidelong_core::error::Error;
use sidelong_core::record::events::Business;
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

/// The photos of the day (fixtures/SOURCES.md).
const PHOTOS: &[(&str, &[u8])] = photos![
    "saloon-arrival-bonnet-close-scale.jpg",
    "saloon-arrival-bonnet-close.jpg",
    "saloon-arrival-bonnet-middle.jpg",
    "saloon-arrival-overall-front-right.jpg",
    "saloon-arrival-overall-rear-left.jpg",
    "saloon-arrival-rear-right-door-close-scale.jpg",
    "saloon-arrival-rear-right-door-close.jpg",
    "saloon-arrival-rear-right-door-middle.jpg",
    "suv-arrival-front-left-door-muddy.jpg",
    "suv-arrival-overall-front-left.jpg",
    "suv-arrival-overall-left-side.jpg",
    "suv-arrival-sill-left-muddy.jpg",
    "suv-washed-front-left-door-close-scale.jpg",
    "suv-washed-front-left-door-close.jpg",
    "suv-washed-front-left-door-middle.jpg",
    "suv-washed-front-left-wheel.jpg",
    "van-arrival-overall-left-side.jpg",
    "van-arrival-overall-rear-right.jpg",
    "van-arrival-rear-left-door-close-scale.jpg",
    "van-arrival-rear-left-door-close.jpg",
    "van-arrival-rear-left-door-middle.jpg",
    "van-arrival-sliding-door-dent-close.jpg",
    "van-arrival-sliding-door-dent-lamp-line.jpg",
];

macro_rules! inputs {
    ($name:literal) => {
        ($name, include_bytes!(concat!("../../../fixtures/demo/", $name)))
    };
}

const SALOON: [(&str, &[u8]); 4] = [
    inputs!("1-saloon-opening.jsonl"),
    inputs!("2-saloon.jsonl"),
    inputs!("2b-saloon-first-layer.jsonl"),
    inputs!("2c-saloon-second-layer.jsonl"),
];
const SUV: [(&str, &[u8]); 2] = [inputs!("3-suv-arrival.jsonl"), inputs!("4-suv-after-wash.jsonl")];
const VAN_OPENING: (&str, &[u8]) = inputs!("5-van-opening.jsonl");
const VAN_LEFT: (&str, &[u8]) = inputs!("6-van-left.jsonl");
const VAN_RIGHT: (&str, &[u8]) = inputs!("7-van-right.jsonl");
const VAN_HANDOVER: (&str, &[u8]) = inputs!("8-van-handover.jsonl");

/// 2026-06-09 in London, UTC milliseconds, at a time of day.
const fn at(hour: i64, minute: i64) -> i64 {
    1_780_959_600_000 + (hour * 60 + minute) * 60_000
}

/// Between two entries while layers are put on, milliseconds: a section that is levelled two entries later waited 2 min 30 s.
const LAYER_TICK_MS: i64 = 75_000;

/// A page of the demonstration.
#[derive(Debug, serde::Serialize)]
struct Page {
    job: String,
    vehicle: String,
    report: String,
    bytes: usize,
}

/// Records the day below `dir` and writes a report for each vehicle. Photos say when they were taken; entries are made
/// after that.
pub fn run(dir: &Path, locale: Locale, json: bool) -> Result<Ended, Error> {
    prepare(dir)?;
    let inputs = dir.join("inputs");
    let say = |text: &str| {
        if !json {
            println!("{text}");
        }
    };
    let (first, second) = (dir.join("phone-1"), dir.join("phone-2"));
    let mut count = 0;
    {
        let one = phone(&first, "phone 1", at(8, 9))?;
        one.switch_recorder("first detailer".to_owned())?;
        one.describe_business(Business {
            name: "An invented detailer".to_owned(),
            details: Some("No address, no telephone: a demonstration".to_owned()),
        })?;
        count += take(&one, &inputs, SALOON[0])?;
    }
    count += take(&*phone(&first, "phone 1, saloon", at(8, 23))?, &inputs, SALOON[1])?;
    say("08:10  a clean saloon: seventeen painted panels, two marks, the owner agrees");
    for (layer, name, starts_ms) in
        [(SALOON[2], "phone 1, first layer", at(8, 30)), (SALOON[3], "phone 1, second layer", at(9, 52))]
    {
        let platform = platform::demo_paced(&first, name, starts_ms, LAYER_TICK_MS);
        let one = Notebook::open(first.display().to_string(), platform)?;
        count += take(&one, &inputs, layer)?;
    }
    say("08:37  two layers on four of its panels, to a schedule: one section is late, and it is made anew");
    count += take(&*phone(&first, "phone 1, SUV", at(10, 10))?, &inputs, SUV[0])?;
    count += take(&*phone(&first, "phone 1, SUV, after the wash", at(10, 46))?, &inputs, SUV[1])?;
    say("10:05  a muddy SUV: what could not be seen is looked at again after the wash");
    count += take(&*phone(&first, "phone 1, van", at(13, 29))?, &inputs, VAN_OPENING)?;
    {
        let two = phone(&second, "phone 2", at(13, 31))?;
        two.switch_recorder("second detailer".to_owned())?;
        two.join(first.display().to_string())?;
    }
    count += take(&*phone(&second, "phone 2, right side", at(13, 40))?, &inputs, VAN_RIGHT)?;
    count += take(&*phone(&first, "phone 1, left side", at(13, 44))?, &inputs, VAN_LEFT)?;
    say("13:29  a van in a fleet's yard: one phone on each side, offline from each other");
    let one = phone(&first, "phone 1, handover", at(13, 50))?;
    let joined = one.join(second.display().to_string())?;
    say(&format!("13:50  phone 1 joined phone 2: {} photos and texts came along", joined.blobs));
    count += take(&one, &inputs, VAN_HANDOVER)?;
    let bundle = dir.join("bundle");
    let mut pages = Vec::new();
    for (job, name) in one.day("2026-06-09".to_owned(), locale)?.jobs.iter().zip(["saloon", "suv", "van"]) {
        let page = one.report(job.job.clone(), locale)?;
        if name == "suv" {
            let wish = BundleWish { only: Vec::new(), heads: Vec::new(), zip: false, locale };
            one.bundle(job.job.clone(), bundle.display().to_string(), wish)?;
        }
        let report = dir.join(format!("{name}.html"));
        fs::write(&report, &page).map_err(|why| io(&report, &why))?;
        pages.push(Page {
            job: job.job.clone(),
            vehicle: job.form.clone(),
            report: report.display().to_string(),
            bytes: page.len(),
        });
    }
    let check = one.check(None)?;
    if json {
        print_json(&serde_json::json!({
            "bundle": bundle.display().to_string(),
            "entries": count,
            "findings": check.findings.len(),
            "reports": pages,
            "stores": [first.display().to_string(), second.display().to_string()],
        }))?;
    } else {
        println!("{} entries of two phones looked through: {} findings", check.checked, check.findings.len());
        println!("\nopen in a browser:");
        for page in &pages {
            println!("  {} ({} kB): the {}", page.report, page.bytes.div_ceil(1000), page.vehicle);
        }
        println!("for others to check: sidelong verify {}", bundle.display());
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
        for part in ["inputs", "phone-1", "phone-2", "bundle"] {
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
    let van = [VAN_OPENING, VAN_LEFT, VAN_RIGHT, VAN_HANDOVER];
    for (name, text) in SALOON.into_iter().chain(SUV).chain(van) {
        let path = dir.join("inputs").join(name);
        fs::write(&path, text).map_err(|why| io(&path, &why))?;
    }
    Ok(())
}
