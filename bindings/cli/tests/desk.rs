//! The command as a person or a program calls it: exit codes, messages, and the keys of `--json`, which are a stable
//! surface listed in DEVELOPERS.md.

#![allow(clippy::expect_used, reason = "a test may give up: that is how it fails")]

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Output};

/// One section that waits to be levelled.
const SECTION: &str = r#"{"now_s":NOW,"people":[{"name":"Ann"}],"sections":[
    {"name":"bonnet left","layers":[{"apply_s":60,"wait_least_s":60,"wait_most_s":90,"level_s":30,
        "applied":{"person":"Ann","start_s":0,"end_s":60}}]}]}"#;

fn sidelong(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sidelong"));
    command
        .args(args)
        .env_remove("SIDELONG_STORE")
        .env("SIDELONG_PASSPHRASE", "four words that nobody guesses");
    command.output().expect("the command runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

fn join(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}

/// Key paths of a value: `marks[].photos[].sha256`.
fn keys(value: &Value, at: &str, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(fields) => {
            for (key, value) in fields {
                let path = if at.is_empty() { key.clone() } else { format!("{at}.{key}") };
                found.insert(path.clone());
                keys(value, &path, found);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| keys(item, &format!("{at}[]"), found)),
        _ => {}
    }
}

#[test]
fn json_has_exactly_the_documented_keys() {
    let folder = folder();
    let demo = join(folder.path(), "demo");
    let (one, two) = (join(folder.path(), "demo/phone-1"), join(folder.path(), "demo/phone-2"));
    let inputs = join(folder.path(), "demo/inputs/1-saloon-opening.jsonl");
    let (own, page) = (join(folder.path(), "own"), join(folder.path(), "page.html"));
    let (card, out) = (join(folder.path(), "card"), join(folder.path(), "out"));
    let (list, pack) = (join(folder.path(), "fleet.csv"), join(folder.path(), "pack"));
    std::fs::write(
        &list,
        "Plate,Body,Stock,Note,Seats\nZZ26 VAN,van,7,stands at the back,3\nZZ26 BAD,boat,8,,\n",
    )
    .expect("written");
    let fleet = join(folder.path(), "fleet");
    let looked = join(folder.path(), "look.json");
    std::fs::write(
        &looked,
        r#"{"light":{"point_m":[0.3,0,0.6]},"eye_m":[-0.3,0,0.6],"grooves":[
            {"c":[0,0,0],"n":[0,0,1],"t":[0,1,0]},{"c":[0,0,0],"n":[0,0,-1],"t":[0,1,0]}]}"#,
    )
    .expect("written");
    let asked = join(folder.path(), "asked.json");
    std::fs::write(&asked, r#"{"panel":"bonnet","at":{"u_ppm":640000,"v_ppm":430000},"kind":"stone-chip"}"#)
        .expect("written");
    // Layers of which the last one is still open.
    let open = join(folder.path(), "open.jsonl");
    let layers = include_str!("../../../fixtures/demo/2b-saloon-first-layer.jsonl");
    let opening = include_str!("../../../fixtures/demo/1-saloon-opening.jsonl").lines();
    let begun = opening.chain(layers.lines().take(9)).map(|line| format!("{line}\n")).collect::<String>();
    let laid = join(folder.path(), "laid");
    std::fs::write(&open, begun).expect("written");
    let work = join(folder.path(), "work.json");
    std::fs::write(&work, include_str!("work.json")).expect("written");
    let (fits, breaks) = (join(folder.path(), "fits.json"), join(folder.path(), "breaks.json"));
    std::fs::write(&fits, SECTION.replace("NOW", "100")).expect("written");
    std::fs::write(&breaks, SECTION.replace("NOW", "200")).expect("written");
    let (bundle, backup) = (join(folder.path(), "bundle.zip"), join(folder.path(), "backup.age"));
    let (restored, dates) = (join(folder.path(), "restored"), join(folder.path(), "dates.ics"));
    let (head, query) = (join(folder.path(), "head.txt"), join(folder.path(), "head.tsq"));
    std::fs::write(&head, "a signed head\n").expect("written");
    let sample = |name: &str| {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/published/tsa").join(name);
        path.display().to_string()
    };
    let (data, answer, roots) = (sample("sample1.data"), sample("sample1.tsr"), sample("ca.pem"));
    let mut documented = String::new();
    for (command, args) in [
        ("demo", vec!["demo", &demo]),
        ("record", vec!["record", &inputs, "--store", &own]),
        ("jobs", vec!["jobs", "--store", &one]),
        // The fullest of the three.
        ("show", vec!["show", "XX26", "--store", &one]),
        ("report", vec!["report", "ZZ26", "--store", &one, "-o", &page]),
        ("join", vec!["join", &two, "--store", &own]),
        ("pack", vec!["pack", &pack, "--store", &own]),
        ("archive", vec!["archive", &card, "--store", &own, "--job", "YY26"]),
        ("archive --release", vec!["archive", &card, "--release", "--store", &own]),
        ("bring-back", vec!["bring-back", &card, "--store", &own]),
        ("export", vec!["export", &out, "--store", &own]),
        ("verify-log", vec!["verify-log", "--store", &one]),
        ("import-fleet", vec!["import-fleet", &list, "--store", &fleet]),
        ("import-fleet again", vec!["import-fleet", &list, "--store", &fleet]),
        ("day", vec!["day", "2026-06-09", "--store", &one]),
        ("close", vec!["close", "ZZ26", "--note", "keys handed over", "--store", &fleet]),
        ("record layers", vec!["record", &open, "--store", &laid]),
        ("clocks", vec!["clocks", "--store", &laid]),
        ("clocks of a job", vec!["clocks", "--job", "YY26", "--store", &one]),
        ("lots", vec!["lots", "t0417", "--store", &one]),
        ("calendar", vec!["calendar", "YY26", "-o", &dates, "--store", &one]),
        ("dew-point", vec!["dew-point", "--air-c", "-2", "--rh", "75", "--panel-c", "1"]),
        ("plan", vec!["plan", &work]),
        ("schedule", vec!["schedule", &fits]),
        ("schedule that does not fit", vec!["schedule", &breaks]),
        ("schedule of a job", vec!["schedule", "--job", "YY26", "--store", &one]),
        ("bundle", vec!["bundle", "XX26", &bundle, "--store", &own]),
        ("verify", vec!["verify", &bundle]),
        ("backup", vec!["backup", &backup, "--store", &fleet]),
        ("restore", vec!["restore", &backup, "--store", &restored]),
        ("receipt", vec!["receipt", "--store", &fleet]),
        ("time-token request", vec!["time-token", "request", &head, "-o", &query]),
        ("time-token check", vec!["time-token", "check", &data, "--answer", &answer, "--roots", &roots]),
        ("recorder", vec!["recorder", "second detailer", "--store", &fleet]),
        ("business", vec!["business", "An invented business", "--details", "nowhere", "--store", &fleet]),
        ("purge", vec!["purge", "--keep", "texts=72", "--store", &fleet]),
        (
            "erase",
            vec!["erase", "ZZ26", "--kind", "texts", "--reason", "asked by the owner", "--store", &fleet],
        ),
        ("look shows", vec!["look", "shows", &looked]),
        ("look seen", vec!["look", "seen", "YY26", "--store", &one]),
        ("look next", vec!["look", "next", "YY26", "--panels", "decklid", "--count", "1", "--store", &one]),
        ("look blank", vec!["look", "blank", "YY26", &asked, "--store", &one]),
        (
            "look sun",
            vec![
                "look",
                "sun",
                "--form",
                "saloon",
                "--at",
                "2026-06-09T08:10:00+01:00",
                "--lat",
                "52",
                "--lon",
                "-1",
                "--heading",
                "205",
            ],
        ),
        ("sun", vec!["sun", "--at", "2026-06-09T08:10:00+01:00", "--lat", "52", "--lon", "-1"]),
        ("sun at a pole", vec!["sun", "--at", "2026-06-09T08:10:00+01:00", "--lat", "90", "--lon", "0"]),
    ] {
        let mut args = args;
        args.push("--json");
        let output = sidelong(&args);
        // One row of the list cannot be used, and that is told.
        let badly = command.starts_with("import-fleet") || command.ends_with("does not fit");
        let expected = if badly { Some(1) } else { Some(0) };
        assert_eq!(output.status.code(), expected, "{command}: {}", text(&output.stderr));
        let mut found = BTreeSet::new();
        for line in text(&output.stdout).lines() {
            keys(&serde_json::from_str(line).expect("JSON on every line"), "", &mut found);
        }
        documented += &format!("{command}: {}\n", found.into_iter().collect::<Vec<_>>().join(" "));
    }
    let guide = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../DEVELOPERS.md");
    let guide_text = std::fs::read_to_string(&guide).expect("the guide");
    let (begin, end) = ("<!-- json keys -->\n```\n", "```\n<!-- end of json keys -->");
    let at = guide_text.find(begin).expect("the list begins") + begin.len();
    let until = at + guide_text[at..].find(end).expect("the list ends");
    if std::env::var_os("UPDATE_FIXTURES").is_some() {
        std::fs::write(&guide, format!("{}{documented}{}", &guide_text[..at], &guide_text[until..]))
            .expect("written");
        return;
    }
    assert_eq!(
        documented,
        guide_text[at..until],
        "UPDATE_FIXTURES=1 rewrites the list; a key that goes is a broken promise"
    );
}

#[test]
fn a_refused_line_is_named_and_what_was_before_stays() {
    let folder = folder();
    let demo = join(folder.path(), "demo");
    assert!(sidelong(&["demo", &demo]).status.success());
    let opening =
        std::fs::read_to_string(folder.path().join("demo/inputs/1-saloon-opening.jsonl")).expect("inputs");
    let job = &opening[opening.find("\"job\":\"").expect("a job") + 7..][..36];
    let line = |n: u32, act: &str| {
        format!(
            "{{\"input\":\"019ea6c4-0000-7000-8000-0000000000{n:02x}\",\"job\":\"{job}\",\"act\":{act}}}\n"
        )
    };
    let store = join(folder.path(), "own");
    for (name, bad, field, reason) in [
        (
            "panel",
            line(1, r#"{"record_outcome":{"panel":"keel","outcome":"nothing-seen"}}"#),
            "act.record_outcome.panel",
            "no place called",
        ),
        (
            "word",
            line(2, r#"{"record_outcome":{"panel":"roof","outcome":"fine"}}"#),
            "act.record_outcome.outcome",
            "unknown variant `fine`",
        ),
        (
            "field",
            line(3, r#"{"record_outcome":{"panel":"roof","outcome":"nothing-seen","colour":1}}"#),
            "act.record_outcome.colour",
            "unknown field",
        ),
        (
            "type",
            line(
                4,
                r#"{"record_mark":{"mark":{"panel":"roof","from":{"u_ppm":-1,"v_ppm":0},"kind":"dent"}}}"#,
            ),
            "act.record_mark.mark.from.u_ppm",
            "-1",
        ),
        ("json", "{\"input\": oops\n".to_owned(), "input", "expected"),
        ("utf8", "{\"input\":\"\u{1F697}\"}\n".to_owned(), "input", "UUID"),
        (
            "photo",
            line(5, r#"{"attach_photo":{"view":"close","file":"../../etc/passwd"}}"#),
            "act.attach_photo.file",
            "below the folder",
        ),
    ] {
        let file = join(folder.path(), &format!("{name}.jsonl"));
        std::fs::write(
            &file,
            format!(
                "{opening}\n{bad}{}",
                line(9, r#"{"record_outcome":{"panel":"roof","outcome":"nothing-seen"}}"#)
            ),
        )
        .expect("written");
        let output = sidelong(&["record", &file, "--store", &store]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{name}: {said}");
        assert!(said.contains(&format!("{file}, line 4")), "{name}: {said}");
        assert!(said.contains(field) && said.contains(reason), "{name}: {said}");
        let told = sidelong(&["record", &file, "--store", &store, "--json"]);
        let told: Value = serde_json::from_str(text(&told.stderr).trim()).expect("JSON");
        assert_eq!((told["line"].as_u64(), told["field"].as_str()), (Some(4), Some(field)), "{name}: {told}");
    }
    let shown = sidelong(&["show", "YY26", "--store", &store, "--json"]);
    let shown: Value = serde_json::from_str(&text(&shown.stdout)).expect("JSON");
    assert_eq!(shown["walks"].as_array().map(Vec::len), Some(1));
    assert_eq!(shown["marks"].as_array().map(Vec::len), Some(0));
    assert_eq!(shown["demo"], Value::Bool(false));
    assert!(
        shown["walks"][0]["panels"]
            .as_array()
            .expect("panels")
            .iter()
            .all(|panel| panel["answers"].as_array().is_some_and(Vec::is_empty))
    );
}

#[test]
fn exit_codes() {
    let folder = folder();
    let nowhere = join(folder.path(), "nowhere");
    assert_eq!(sidelong(&["jobs", "--store", &nowhere]).status.code(), Some(3));
    assert_eq!(sidelong(&["record", "no-such-file.jsonl", "--store", &nowhere]).status.code(), Some(3));
    assert_eq!(sidelong(&["dance"]).status.code(), Some(2));
    assert_eq!(sidelong(&["record"]).status.code(), Some(2));
    let demo = join(folder.path(), "demo");
    assert_eq!(sidelong(&["demo", &demo]).status.code(), Some(0));
    assert_eq!(sidelong(&["demo", &demo]).status.code(), Some(0), "a demonstration may be made again");
    assert_eq!(
        sidelong(&["demo", &folder.path().display().to_string()]).status.code(),
        Some(3),
        "and replaces nothing else"
    );
    assert_eq!(
        sidelong(&["show", "XX99", "--store", &join(folder.path(), "demo/phone-1")]).status.code(),
        Some(3)
    );
    assert_eq!(
        sidelong(&["verify-log", "--store", &join(folder.path(), "demo/phone-2")]).status.code(),
        Some(0)
    );
}

/// A card in its life: copied to, released to, one copy gone bad and told, taken back.
#[test]
fn an_archive_is_told_as_it_is() {
    let folder = folder();
    let demo = join(folder.path(), "demo");
    assert!(sidelong(&["demo", &demo]).status.success());
    let (store, card) = (join(folder.path(), "own"), join(folder.path(), "card"));
    assert!(sidelong(&["join", &join(folder.path(), "demo/phone-1"), "--store", &store]).status.success());
    let copied = sidelong(&["archive", &card, "--store", &store]);
    assert!(text(&copied.stdout).contains("23 of 23 photos copied"), "{}", text(&copied.stderr));
    let photos = Path::new(&card).join("photos");
    let shelf = std::fs::read_dir(photos).expect("photos").next().expect("a shelf").expect("an entry").path();
    let copy = std::fs::read_dir(shelf).expect("a shelf").next().expect("a copy").expect("an entry").path();
    std::fs::write(&copy, "gone bad").expect("written");
    let released = sidelong(&["archive", &card, "--release", "--store", &store, "--json"]);
    assert_eq!(released.status.code(), Some(0), "a bad copy is written again first");
    let last: Value =
        serde_json::from_str(text(&released.stdout).lines().last().expect("a line")).expect("JSON");
    assert_eq!(last["released"], 23);
    std::fs::write(&copy, "gone bad").expect("written");
    let back = sidelong(&["bring-back", &card, "--store", &store]);
    assert_eq!(back.status.code(), Some(1));
    assert!(
        text(&back.stdout).contains("22 photos are here again") && text(&back.stdout).contains("! photo ")
    );
    assert_eq!(sidelong(&["verify-log", "--store", &store]).status.code(), Some(0));
    for args in [["archive", &store], ["export", &store], ["archive", &join(folder.path(), "demo/phone-2")]] {
        let refused = sidelong(&[args[0], args[1], "--store", &store]);
        assert_eq!(refused.status.code(), Some(1), "{}", text(&refused.stderr));
        assert!(text(&refused.stderr).contains("folder: it "), "{}", text(&refused.stderr));
    }
    assert_eq!(
        sidelong(&["bring-back", &join(folder.path(), "none"), "--store", &store]).status.code(),
        Some(3)
    );
}

/// The same demonstration everywhere: the same log to the byte, so that pictures and expectations of it hold.
#[test]
fn a_demonstration_comes_out_the_same() {
    let folder = folder();
    let (a, b) = (join(folder.path(), "a"), join(folder.path(), "b"));
    for dir in [&a, &b] {
        assert!(sidelong(&["demo", dir]).status.success());
    }
    for page in ["saloon.html", "suv.html", "van.html"] {
        let read = |dir: &str| std::fs::read(Path::new(dir).join(page)).expect("a page");
        assert_eq!(read(&a), read(&b), "{page}");
    }
    let mirror = |dir: &str| std::fs::read(Path::new(dir).join("phone-1/head.mirror")).expect("a head");
    assert_eq!(mirror(&a), mirror(&b));
}

#[test]
fn help_says_what_each_command_is_for() {
    let all = text(&sidelong(&["--help"]).stdout);
    for command in [
        "demo",
        "record",
        "jobs",
        "show",
        "report",
        "join",
        "day",
        "import-fleet",
        "recorder",
        "business",
        "purge",
        "erase",
        "archive",
        "bring-back",
        "export",
        "clocks",
        "lots",
        "calendar",
        "verify-log",
    ] {
        assert!(all.contains(command), "{command} is listed");
        let help = text(&sidelong(&[command, "--help"]).stdout);
        assert!(help.len() > 200 && help.contains("--json"), "{help}");
    }
    let schema: Value = serde_json::from_slice(&sidelong(&["record", "--schema"]).stdout).expect("a schema");
    assert_eq!(schema["title"], "Input");
    assert!(schema["$defs"]["Description"]["properties"]["length_um"].is_object());
}

#[test]
#[cfg(target_os = "linux")]
fn what_is_printed_into_the_void_is_told() {
    use std::fs::OpenOptions;
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("own");
    let recorder = |name: &str, out: std::process::Stdio| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_sidelong"));
        command
            .args(["recorder", name, "--store"])
            .arg(&store)
            .stdout(out)
            .output()
            .expect("the command runs")
    };
    let full = OpenOptions::new().write(true).open("/dev/full").expect("a full device");
    let (reader, closed) = std::io::pipe().expect("a pipe");
    drop(reader);
    for (name, out) in [("first", full.into()), ("second", closed.into())] {
        let output = recorder(name, out);
        let told = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(3), "{told}");
        assert!(told.starts_with("sidelong: standard output: ") && !told.contains("panicked"), "{told}");
        let now =
            Command::new(env!("CARGO_BIN_EXE_sidelong")).arg("recorder").arg("--store").arg(&store).output();
        assert!(String::from_utf8_lossy(&now.expect("the command runs").stdout).contains(name));
    }
}
