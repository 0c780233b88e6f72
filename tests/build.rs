//! Tells the tests whether the check values that may not be copied into this repository are at hand: in the folder
//! `shared/check-values` beside the checkout, or below the folder named by `SIDELONG_SHARED`. Where they are not,
//! the tests that need them are listed as ignored with the reason, never passed.

use std::path::PathBuf;

fn main() {
    println!("cargo:rustc-check-cfg=cfg(shared_check_values)");
    println!("cargo:rerun-if-env-changed=SIDELONG_SHARED");
    let shared = std::env::var_os("SIDELONG_SHARED")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared"), PathBuf::from);
    let values = shared.join("check-values");
    println!("cargo:rerun-if-changed={}", values.display());
    if values.join("h_integrity.json").is_file() {
        println!("cargo:rustc-cfg=shared_check_values");
        println!("cargo:rustc-env=SIDELONG_CHECK_VALUES={}", values.display());
    }
}
