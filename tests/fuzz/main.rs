//! Fuzz targets (libFuzzer): what a stranger may hand in, with what must hold of whatever is taken beyond "no panic". One
//! program; `SIDELONG_FUZZ` names the target. `run` beside this builds it and runs each target.
//!
//! Signatures stand in a fuzzer's way: nobody finds one by chance. Where bytes are signed, a target therefore also signs
//! what the fuzzer thought out, with keys that it knows, as an enemy with a phone of their own could.

#![no_main]

mod bundle;
mod event;
mod judge;
#[path = "../bundle/made.rs"]
#[allow(dead_code, reason = "the tests of bundles use all of it")]
mod made;
mod note;
mod proof;
mod token;
mod zip;

use libfuzzer_sys::fuzz_target;
use std::sync::OnceLock;

/// A target: bytes in, a panic if something does not hold.
type Target = fn(&[u8]);

const TARGETS: [(&str, Target); 6] = [
    ("event", event::event),
    ("note", note::note),
    ("proof", proof::proof),
    ("token", token::token),
    ("bundle", bundle::bundle),
    ("zip", zip::zip),
];

static CHOSEN: OnceLock<Target> = OnceLock::new();

fn chosen() -> Target {
    let name = std::env::var("SIDELONG_FUZZ").unwrap_or_default();
    let found = TARGETS.iter().find(|(target, _)| *target == name);
    let Some((_, target)) = found else {
        let names: Vec<&str> = TARGETS.iter().map(|(target, _)| *target).collect();
        eprintln!("SIDELONG_FUZZ={name:?} is no target; there are {}", names.join(", "));
        std::process::exit(2);
    };
    *target
}

fuzz_target!(init: { CHOSEN.get_or_init(chosen); }, |bytes: &[u8]| {
    CHOSEN.get_or_init(chosen)(bytes);
});
