//! The invariants of the architecture, held as text: who may import whom, where files, clocks and SQL may be touched,
//! what every file opens with. A rule that is broken names the file and the line.

use std::fs;
use std::path::{Path, PathBuf};

/// The layers of the core; a module imports only from those before it. `record/words` comes before `vehicle`, the rest
/// of `record` after it.
const LAYERS: &[&str] = &[
    "error", "words", "vehicle", "record", "log", "photo", "light", "care", "dispute", "decide", "report",
    "store", "share", "api",
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn files(below: &str, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(below)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap_or_else(|why| panic!("{}: {why}", folder.display())) {
            let path = entry.expect("an entry").path();
            let skipped = ["target", "generated", "node_modules", ".venv"];
            if path.is_dir() && !skipped.iter().any(|name| path.ends_with(name)) {
                folders.push(path);
            } else if path.extension().is_some_and(|it| it == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    assert!(!found.is_empty(), "no {ending} files below {below}");
    found
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

/// The layer of a file of the core.
fn layer(path: &Path) -> usize {
    let inner = path.strip_prefix(root().join("core/src")).expect("a file of the core");
    let name = if inner == Path::new("record/words.rs") {
        "words".to_owned()
    } else {
        let first = inner.components().next().expect("a name").as_os_str().to_string_lossy().into_owned();
        first.trim_end_matches(".rs").to_owned()
    };
    LAYERS.iter().position(|layer| **layer == name).unwrap_or_else(|| panic!("{name} is in no layer"))
}

/// Lines that are code, with their numbers: tests at the end of a file and comments are left out.
fn code(path: &Path) -> Vec<(usize, String)> {
    let text = fs::read_to_string(path).expect("readable");
    let mut lines = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        if line.starts_with("#[cfg(test)]") {
            break;
        }
        let code = line.split("//").next().unwrap_or_default();
        if !code.trim().is_empty() {
            lines.push((number, code.to_owned()));
        }
    }
    lines
}

/// The core's files but for its own tests, which lie in `tests.rs` or a folder `tests`.
fn core_files() -> Vec<PathBuf> {
    sources("core/src").into_iter().filter(|path| !path.ends_with("core/src/lib.rs")).collect()
}

fn sources(below: &str) -> Vec<PathBuf> {
    let tests = |path: &PathBuf| {
        path.components().any(|part| part.as_os_str() == "tests") || path.ends_with("tests.rs")
    };
    let inside = |path: &PathBuf| path.strip_prefix(root()).map_or(path.clone(), Path::to_owned);
    files(below, "rs").into_iter().filter(|path| !tests(&inside(path))).collect()
}

#[test]
fn modules_import_only_from_layers_before_them() {
    let mut broken = Vec::new();
    for path in core_files() {
        let own = layer(&path);
        for (number, line) in code(&path) {
            for (at, _) in line.match_indices("crate::") {
                let rest = &line[at + "crate::".len()..];
                let named: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                let named = if rest.starts_with("record::words") { "words".to_owned() } else { named };
                let Some(used) = LAYERS.iter().position(|layer| **layer == named) else { continue };
                if used > own {
                    broken.push(format!("{}:{number}: {} imports {named}", shown(&path), LAYERS[own]));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

/// Fails for every line of code outside `allowed` that holds one of `words`.
fn only_in(words: &[&str], allowed: &[&str]) {
    let mut broken = Vec::new();
    for path in core_files() {
        let name = shown(&path);
        if allowed.iter().any(|place| name.starts_with(place)) {
            continue;
        }
        for (number, line) in code(&path) {
            for word in words.iter().filter(|word| line.contains(**word)) {
                broken.push(format!("{name}:{number}: {word}"));
            }
        }
    }
    assert!(broken.is_empty(), "only in {}:\n{}", allowed.join(", "), broken.join("\n"));
}

#[test]
fn files_and_sql_only_in_store_and_share() {
    only_in(&["rusqlite", "std::fs", "File::"], &["core/src/store/", "core/src/share/"]);
}

#[test]
fn clocks_and_random_numbers_only_through_the_platform() {
    only_in(
        &["SystemTime", "Instant::", "Utc::now", "Local::now", "getrandom", "rand::", "new_v4", "now_v7"],
        &[],
    );
}

#[test]
fn uniffi_only_in_records_door_and_error() {
    only_in(&["uniffi"], &["core/src/record/", "core/src/api/", "core/src/error.rs"]);
}

#[test]
fn no_network_in_the_core() {
    only_in(&["std::net", "TcpStream", "reqwest", "hyper::", "http::"], &[]);
}

/// Trigonometry and powers of the platform differ in the last bit between machines; `libm` does not.
#[test]
fn seen_areas_use_no_platform_mathematics() {
    let words = [
        ".sin(",
        ".cos(",
        ".tan(",
        ".asin(",
        ".acos(",
        ".atan(",
        ".atan2(",
        ".exp(",
        ".ln(",
        ".powf(",
        ".hypot(",
        ".cbrt(",
        ".sin_cos(",
        ".sinh(",
        ".cosh(",
        ".tanh(",
        ".log10(",
        ".log2(",
    ];
    let allowed = ["core/src/photo/"];
    only_in(&words, &allowed);
}

#[test]
fn every_file_says_what_it_is_for() {
    let mut broken = Vec::new();
    for path in ["core", "bindings", "tests"].iter().flat_map(|folder| files(folder, "rs")) {
        let text = fs::read_to_string(&path).expect("readable");
        if !text.starts_with("//! ") {
            broken.push(format!("{}: opens without //!", shown(&path)));
        }
        if text.lines().count() > 560 {
            broken.push(format!("{}: {} lines; about 500 is the limit", shown(&path), text.lines().count()));
        }
        let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        if ["utils", "helpers", "manager", "common"].contains(&stem.as_str()) {
            broken.push(format!("{}: a name that says nothing", shown(&path)));
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn nothing_outside_tests_may_give_up() {
    let mut broken = Vec::new();
    for path in ["core/src", "bindings/cli/src", "bindings/ffi"].iter().flat_map(|folder| sources(folder)) {
        for (number, line) in code(&path) {
            for word in [".unwrap()", ".expect(", "panic!(", "todo!(", "unimplemented!(", "unreachable!("] {
                if line.contains(word) {
                    broken.push(format!("{}:{number}: {word}", shown(&path)));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn migrations_are_numbered_without_gaps() {
    let folder = root().join("core/src/store/migrations");
    let mut names: Vec<String> = fs::read_dir(&folder)
        .expect("migrations")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    for (number, name) in (1..).zip(&names) {
        assert!(name.starts_with(&format!("{number:03}_")), "{name} should be number {number:03}");
    }
    let opening = fs::read_to_string(root().join("core/src/store/open.rs")).expect("readable");
    for name in &names {
        assert!(opening.contains(name.as_str()), "{name} is not run");
    }
}

#[test]
fn the_top_level_holds_nothing_else() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-APACHE",
        "LICENSE-MIT",
        "core",
        "bindings",
        "android",
        "ios",
        "tests",
        "fixtures",
        "deny.toml",
        "clippy.toml",
        "rustfmt.toml",
        "rust-toolchain.toml",
        // Made by the build and by `sidelong demo`; git ignores them.
        "target",
        "sidelong-demo",
    ];
    for entry in fs::read_dir(root()).expect("the checkout") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        assert!(
            name.starts_with('.') || allowed.contains(&name.as_str()),
            "{name} does not belong at the top level"
        );
    }
}

/// Where a thing was made is nobody's business: no paths of one machine in anything committed.
#[test]
fn no_machine_is_named() {
    let mut broken = Vec::new();
    for (folder, ending) in [
        ("core", "rs"),
        ("bindings", "rs"),
        ("tests", "rs"),
        ("tests", "py"),
        ("fixtures", "py"),
        ("fixtures", "md"),
    ] {
        for path in files(folder, ending) {
            if path.ends_with("tidy.rs") {
                continue;
            }
            let text = fs::read_to_string(&path).expect("readable");
            for (number, line) in (1..).zip(text.lines()) {
                for word in ["/work/", "/root/", "/home/", "/Users/"] {
                    if line.contains(word) {
                        broken.push(format!("{}:{number}: {word}", shown(&path)));
                    }
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}
