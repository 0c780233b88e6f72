//! How fast it is, beside a peer that is measured in the same run: `tests/bench/run` (small, for CI) or
//! `tests/bench/run --full`. Prints one table; a ratio and its goal always stand next to each other. What fails is a
//! ratio beyond [`measure::SLACK`] times its goal, never an absolute time.

mod body;
mod bundle;
mod care;
mod checking;
mod durable;
mod folding;
mod growth;
mod invented;
mod joining;
mod light;
mod lots;
mod measure;
mod shop;

use measure::Table;
use std::path::PathBuf;
use std::process::ExitCode;

/// How much is measured.
#[derive(Debug, Clone, Copy)]
struct Sizes {
    rounds: usize,
    small_log: u64,
    big_log: u64,
    jobs: usize,
    hashed: u64,
    /// Photos of one job of a day, and bytes of each.
    photos: usize,
    photo_bytes: usize,
    /// Bytes of each photo of a bundle.
    bundle_photo_bytes: usize,
}

const SMOKE: Sizes = Sizes {
    rounds: 5,
    small_log: 1_000,
    big_log: 20_000,
    jobs: 2_000,
    hashed: 20_000,
    photos: 5,
    photo_bytes: 1_000_000,
    bundle_photo_bytes: 300_000,
};
const FULL: Sizes = Sizes {
    rounds: 15,
    small_log: 1_000,
    big_log: 1_000_000,
    jobs: 35_000,
    hashed: 100_000,
    photos: 10,
    photo_bytes: 1_000_000,
    bundle_photo_bytes: 4_000_000,
};

/// One part of the measuring.
type Part = fn(&Sizes, &std::path::Path, &mut Table);

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    if let ["record-jobs", count, folder] = words.as_slice() {
        durable::record_jobs(count.parse().expect("a number"), folder.as_ref());
        return ExitCode::SUCCESS;
    }
    if let ["verify-bundle" | "write-bundle", ..] = words.as_slice() {
        bundle::alone(&words);
        return ExitCode::SUCCESS;
    }
    let sizes = if words.contains(&"--full") { FULL } else { SMOKE };
    let named: Vec<&&str> = words.iter().filter(|word| !word.starts_with("--")).collect();
    let scratch = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let mut table = Table::default();
    let parts: [(&str, Part); 11] = [
        ("body", body::measure),
        ("light", light::measure),
        ("care", care::measure),
        ("durable", durable::measure),
        ("growth", growth::measure),
        ("shop", shop::measure),
        ("lots", lots::measure),
        ("folding", folding::measure),
        ("joining", joining::measure),
        ("checking", checking::measure),
        ("bundle", bundle::measure),
    ];
    for (name, _) in named.iter().map(|name| (**name, ())) {
        assert!(parts.iter().any(|(part, _)| *part == name), "no part is called {name}");
    }
    println!("load before: {}", load());
    for (name, part) in parts {
        if named.is_empty() || named.iter().any(|wanted| **wanted == name) {
            let folder = tempfile::Builder::new().prefix(name).tempdir_in(&scratch).expect("a folder");
            eprintln!("{name} …");
            part(&sizes, folder.path(), &mut table);
        }
    }
    println!("load after: {}\n", load());
    table.print();
    ExitCode::from(u8::from(table.failed() > 0))
}

/// Load of the machine (1, 5 and 15 minutes), so that a disturbed run can be told from a slow one.
fn load() -> String {
    std::fs::read_to_string("/proc/loadavg").unwrap_or_else(|_| "not known here".to_owned()).trim().to_owned()
}
