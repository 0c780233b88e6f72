//! Whatever comes from outside can be wrong: each wrong thing gets a clear error, and what was recorded stays.

mod closing;
mod condition;
mod schedule;
mod shop;
mod treat;
mod visit;
mod work;

use rusqlite::Connection;
use sidelong_core::api::{Notebook, Reader};
use sidelong_core::error::Error;
use sidelong_core::log::head::LogKey;
use sidelong_core::log::seal::{Draft, Moment};
use sidelong_core::record::events::Body;
use sidelong_core::record::inputs::{
    Act, AttachPhoto, BeginWalk, Description, Input, RecordFeel, RecordMark, RecordOutcome, Spot,
};
use sidelong_core::record::words::{
    FeelLevel, FeelMethod, Form, Locale, MarkKind, Measured, Outcome, Reaction, Stage, View, Why,
};
use sidelong_core::store::Store;
use sidelong_tests::{Phone, car, closing, correction, described, fixture, mark, nothing_seen, photo};
use std::path::Path;
use uuid::Uuid;

fn phone(folder: &tempfile::TempDir) -> (Phone, Uuid) {
    let mut phone = Phone::new(folder.path(), 77);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    (phone, job)
}

fn outcome(panel: &str, outcome: Outcome) -> RecordOutcome {
    RecordOutcome {
        walk: None,
        panel: panel.to_owned(),
        outcome,
        why: None,
        distance: None,
        light: None,
        surface: None,
        spent_ms: None,
        note: None,
    }
}

#[test]
fn photos_that_are_none() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder);
    phone.put(job, nothing_seen("roof"));
    let good = fixture("photos/arrival-rear-right-door-close.jpg");
    phone.file("empty.jpg", &[]);
    phone.file("cut.jpg", &good[..good.len() / 2]);
    phone.file("text.jpg", b"this is not a picture");
    phone.file("good.jpg", &good);
    std::fs::create_dir_all(folder.path().join("in/folder.jpg")).expect("a folder");
    std::fs::write(folder.path().join("secret.jpg"), &good).expect("a file outside");
    #[cfg(unix)]
    std::os::unix::fs::symlink(folder.path().join("secret.jpg"), folder.path().join("in/link.jpg"))
        .expect("a link");
    let outside = folder.path().join("secret.jpg").display().to_string();
    let before = phone.view(job);
    for (name, reason) in [
        ("empty.jpg", "0 bytes"),
        ("cut.jpg", "cut short"),
        ("text.jpg", "not a JPEG or PNG"),
        ("missing.jpg", "no such file"),
        ("folder.jpg", "not a file"),
        ("../secret.jpg", "below the folder"),
        ("a/../../secret.jpg", "below the folder"),
        (outside.as_str(), "below the folder"),
        ("", "below the folder"),
        ("link.jpg", "leads out of the folder"),
    ] {
        match phone.record(job, photo(name, None)) {
            Err(Error::Photo { file, reason: said }) => {
                assert_eq!(file, name);
                assert!(said.contains(reason), "{name}: {said}");
            }
            other => panic!("{name}: {other:?}"),
        }
    }
    for name in ["zero-byte.jpg", "cut-short.jpg", "not-a-picture.jpg", "huge-claim.jpg"] {
        phone.file(name, &fixture(&format!("photos/bad/{name}")));
        assert!(matches!(phone.record(job, photo(name, None)), Err(Error::Photo { .. })), "{name}");
    }
    assert_eq!(phone.view(job), before, "nothing was recorded, nothing lost");
    phone.put(job, photo("good.jpg", None));
    // A name that is too long for any file system, and one with a zero byte.
    for name in ["x".repeat(5_000), "a\0b.jpg".to_owned()] {
        assert!(matches!(phone.record(job, photo(&name, None)), Err(Error::Photo { .. })));
    }
}

#[test]
fn a_sparse_file_of_gigabytes_is_refused_unread() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder);
    phone.file("huge.jpg", &[0xFF, 0xD8]);
    let file = std::fs::File::options().write(true).open(folder.path().join("in/huge.jpg")).expect("opens");
    file.set_len(20_000_000_000).expect("a sparse file");
    match phone.record(job, photo("huge.jpg", None)) {
        Err(Error::Photo { reason, .. }) => assert!(reason.contains("at most"), "{reason}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn each_refusal_names_the_field() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder);
    let id = phone.put(job, mark("roof", MarkKind::Dent, 9_000)).input;
    let id = Uuid::parse_str(&id).expect("an id");
    let bad_mark = |change: fn(&mut Description)| {
        let mut mark = described("roof", MarkKind::Scratch, 9_000);
        change(&mut mark);
        Act::RecordMark(RecordMark { walk: None, mark, shown_by: None })
    };
    let megabyte = "x".repeat(1_000_000);
    let cases: Vec<(Act, &str)> = vec![
        (Act::OpenJob(car(Form::Van)), "act.open_job"),
        (nothing_seen("left-wing-mirror-of-a-ship"), "act.record_outcome.panel"),
        (Act::RecordOutcome(outcome("roof", Outcome::CouldNotSee)), "act.record_outcome.why"),
        (
            Act::RecordOutcome(RecordOutcome {
                why: Some(Why::Wet),
                ..outcome("roof", Outcome::NothingSeen)
            }),
            "act.record_outcome.why",
        ),
        (
            Act::RecordOutcome(RecordOutcome { spent_ms: Some(1), ..outcome("roof", Outcome::NotLooked) }),
            "act.record_outcome.outcome",
        ),
        (
            Act::RecordOutcome(RecordOutcome {
                spent_ms: Some(4_000_000),
                ..outcome("roof", Outcome::NothingSeen)
            }),
            "act.record_outcome.spent_ms",
        ),
        (
            Act::RecordOutcome(RecordOutcome {
                note: Some(megabyte.clone()),
                ..outcome("roof", Outcome::NothingSeen)
            }),
            "act.record_outcome.note",
        ),
        (
            Act::RecordOutcome(RecordOutcome {
                note: Some(" \n ".into()),
                ..outcome("roof", Outcome::NothingSeen)
            }),
            "act.record_outcome.note",
        ),
        (
            Act::RecordOutcome(RecordOutcome {
                note: Some("bell \u{7}".into()),
                ..outcome("roof", Outcome::NothingSeen)
            }),
            "act.record_outcome.note",
        ),
        (
            Act::RecordOutcome(RecordOutcome { walk: Some(id), ..outcome("roof", Outcome::NothingSeen) }),
            "act.record_outcome.walk",
        ),
        (bad_mark(|mark| mark.panel = "🚗".into()), "act.record_mark.mark.panel"),
        (bad_mark(|mark| mark.from = Spot { u_ppm: 1_000_001, v_ppm: 0 }), "act.record_mark.mark.from.u_ppm"),
        (
            bad_mark(|mark| mark.to = Some(Spot { u_ppm: 0, v_ppm: u32::MAX })),
            "act.record_mark.mark.to.v_ppm",
        ),
        (bad_mark(|mark| mark.length_um = Some(0)), "act.record_mark.mark.length_um"),
        (bad_mark(|mark| mark.width_um = Some(u32::MAX)), "act.record_mark.mark.width_um"),
        (bad_mark(|mark| mark.measured = None), "act.record_mark.mark.measured"),
        (bad_mark(|mark| mark.length_um = None), "act.record_mark.mark.measured"),
        (
            bad_mark(|mark| {
                mark.to = None;
                mark.measured = Some(Measured::Stroke);
            }),
            "act.record_mark.mark.measured",
        ),
        (correction(Uuid::nil(), described("roof", MarkKind::Dent, 1), "why"), "act.correct_mark.mark"),
        (correction(id, described("roof", MarkKind::Dent, 1), "  "), "act.correct_mark.reason"),
        (correction(id, described("cellar", MarkKind::Dent, 1), "why"), "act.correct_mark.becomes.panel"),
        (
            Act::RecordFeel(RecordFeel {
                walk: None,
                panel: "roof".into(),
                at: Some(Spot { u_ppm: 2_000_000, v_ppm: 1 }),
                method: FeelMethod::Bag,
                level: FeelLevel::Rough,
                reacted: vec![],
                on: None,
                note: None,
            }),
            "act.record_feel.at.u_ppm",
        ),
        (
            Act::RecordFeel(RecordFeel {
                walk: None,
                panel: "roof".into(),
                at: None,
                method: FeelMethod::Bag,
                level: FeelLevel::Rough,
                reacted: vec![Reaction::None, Reaction::Tar],
                on: None,
                note: None,
            }),
            "act.record_feel.reacted",
        ),
    ];
    phone.file("good.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    let before = phone.view(job);
    for (act, field) in cases {
        match phone.record(job, act.clone()) {
            Err(Error::Refused { field: said, reason }) => {
                assert!(said.starts_with(field), "{act:?}: named {said}");
                assert!(!reason.is_empty() && reason.len() < 300, "{reason}");
            }
            other => panic!("{act:?}: {other:?}"),
        }
    }
    let beside = Act::AttachPhoto(AttachPhoto {
        walk: None,
        entry: None,
        mark: Some(id),
        panel: Some("roof".into()),
        view: View::Close,
        file: "good.jpg".into(),
        note: None,
    });
    assert!(
        matches!(phone.record(job, beside), Err(Error::Refused { field, .. }) if field == "act.attach_photo.panel")
    );
    assert_eq!(phone.view(job), before);
    assert!(
        phone.open().check(None).expect("checks").notes.is_empty(),
        "a refused photo leaves nothing behind"
    );
}

#[test]
fn names_in_any_script_are_kept_as_they_are() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 5);
    let job = phone.dice.id();
    let opening = sidelong_core::record::inputs::OpenJob {
        plate: Some("١٢٣ أ ب ج".into()),
        colour: Some("rouge 🚗 \u{202e}evil\u{202c} <b>bold</b>".into()),
        ..car(Form::Hatch5)
    };
    phone.put(job, Act::OpenJob(opening));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }));
    let view = phone.view(job);
    assert_eq!(view.vehicle.plate.as_deref(), Some("١٢٣ أ ب ج"));
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(!page.contains("<b>bold"), "typed markup is shown, never obeyed");
    assert!(page.contains("&lt;b&gt;bold"));
    let found = phone.open().jobs(Some("١٢٣".into()), 10, Locale::EnGb).expect("finds");
    assert_eq!(found.jobs.len(), 1);
}

#[test]
fn wrong_dates() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder);
    for bad in [
        "tomorrow",
        "2026-02-30T08:00:00Z",
        "2026-06-09 08:00",
        "1970-01-01T00:00:00Z",
        "2199-01-01T00:00:00Z",
        "",
    ] {
        let input = Input { observed_at: Some(bad.into()), ..phone.input(job, nothing_seen("roof")) };
        match phone.open().record(input) {
            Err(Error::Refused { field, .. }) => assert_eq!(field, "observed_at", "{bad}"),
            other => panic!("{bad}: {other:?}"),
        }
    }
    let input = Input {
        observed_at: Some("2026-06-09T06:50:00+01:00".into()),
        ..phone.input(job, nothing_seen("roof"))
    };
    phone.open().record(input).expect("an earlier time is fine");
    let view = phone.view(job);
    let roof = view.walks[0].panels.iter().find(|panel| panel.panel == "roof").expect("the roof");
    let later = roof.answers[0].stamp.entered_later.as_deref().expect("entered later");
    assert!(later.contains("entered later") && later.contains("06:50:00"), "{later}");
    assert!(roof.answers[0].stamp.at.contains("08:1"), "the real time stays: {}", roof.answers[0].stamp.at);
}

#[test]
fn the_same_input_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder);
    let input = phone.input(job, mark("roof", MarkKind::Dent, 9_000));
    let first = phone.open().record(input.clone()).expect("recorded");
    let again = phone.open().record(input.clone()).expect("answered again");
    assert_eq!((first.events.clone(), first.mark.clone(), first.again), (again.events, again.mark, false));
    assert!(again.again);
    let other = Input { act: mark("roof", MarkKind::Dent, 9_001), ..input.clone() };
    assert!(matches!(phone.open().record(other), Err(Error::InputReused { .. })));
    phone.reopen().expect("opens again");
    assert!(phone.open().record(input).expect("still answered after a restart").again);
    assert_eq!(phone.view(job).marks.len(), 1);

    // A photo is its content: another file under the same name is other content.
    let good = fixture("photos/arrival-rear-right-door-close.jpg");
    phone.file("a.jpg", &good);
    let from = folder.path().join("in").display().to_string();
    let shot = phone.input(job, photo("a.jpg", None));
    phone.open().record_from(from.clone(), shot.clone()).expect("recorded");
    assert!(phone.open().record_from(from.clone(), shot.clone()).expect("again").again);
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-middle.jpg"));
    assert!(matches!(phone.open().record_from(from, shot), Err(Error::InputReused { .. })));
}

#[test]
fn ids_must_be_version_seven_and_jobs_open() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder);
    let four =
        Uuid::parse_str("919108f7-52d1-4320-9bac-f847db4148a8").expect("RFC 9562 appendix A.3, version 4");
    let seven =
        Uuid::parse_str("017f22e2-79b0-7cc3-98c4-dc0c0c07398f").expect("RFC 9562 appendix A.6, version 7");
    let input = Input { input: four, ..phone.input(job, nothing_seen("roof")) };
    assert!(matches!(phone.open().record(input), Err(Error::Refused { field, .. }) if field == "input"));
    let input = Input { input: seven, ..phone.input(job, nothing_seen("roof")) };
    phone.open().record(input).expect("version 7");
    let unknown = phone.dice.id();
    assert!(
        matches!(phone.record(unknown, nothing_seen("roof")), Err(Error::Refused { field, .. }) if field == "job")
    );
    phone.put(job, closing());
    assert!(
        matches!(phone.record(job, nothing_seen("roof")), Err(Error::Refused { field, .. }) if field == "job")
    );
    assert!(matches!(phone.open().job("nonsense".into(), Locale::EnGb), Err(Error::Refused { .. })));
    assert!(matches!(phone.open().job(unknown.to_string(), Locale::EnGb), Err(Error::NotFound { .. })));
}

#[test]
fn a_store_that_is_in_use_or_newer_or_has_lost_its_seed() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder);
    let path = folder.path().display().to_string();
    assert!(matches!(Notebook::open(path.clone(), phone.platform.clone()), Err(Error::InUse { .. })));
    assert!(matches!(Reader::open(path.clone()), Err(Error::InUse { .. })));
    phone.close();

    let database = folder.path().join("sidelong.db");
    let before = std::fs::read(&database).expect("the database");
    let other = Phone::new(&tempfile::tempdir().expect("a folder").keep(), 99);
    assert!(matches!(Notebook::open(path.clone(), other.platform.clone()), Err(Error::SeedMissing { .. })));
    assert_eq!(
        Reader::open(path.clone())
            .expect("can be read")
            .job(job.to_string(), Locale::EnGb)
            .expect("a job")
            .walks
            .len(),
        1
    );

    let format: u32 = Connection::open(&database)
        .and_then(|it| it.query_row("PRAGMA user_version", [], |row| row.get(0)))
        .expect("a format");
    Connection::open(&database)
        .and_then(|it| it.execute_batch("PRAGMA user_version = 99"))
        .expect("made newer");
    assert!(matches!(
        Notebook::open(path.clone(), phone.platform.clone()),
        Err(Error::StoreNewer { found: 99, .. })
    ));
    assert!(matches!(Reader::open(path), Err(Error::StoreNewer { found: 99, .. })));
    Connection::open(&database)
        .and_then(|it| it.execute_batch(&format!("PRAGMA user_version = {format}")))
        .expect("as before");
    phone.reopen().expect("opens as before");
    assert_eq!(phone.view(job).walks.len(), 1);
    assert!(!before.is_empty());
    assert!(matches!(
        Reader::open(folder.path().join("nowhere").display().to_string()),
        Err(Error::NotFound { .. })
    ));
}

/// An event of a version that does not exist yet, on another phone: kept, hashed, shown as unknown.
#[test]
fn an_event_of_the_future() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("now"), 1);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    let later = folder.path().join("later");
    {
        let mut store = Store::open(&later, |_| Ok(LogKey::from_seed(&[9; 32], false))).expect("a store");
        let raw = serde_json::json!({ "sky": "grey", "nested": { "list": [1, 2, 3] } });
        let drafts = [("weather.noted", 7, raw.clone()), ("mark.recorded", 2, raw)].map(|(kind, v, raw)| {
            Draft::of(Some(job), Some(phone.dice.id()), Body::Unknown { kind: kind.into(), v, raw })
        });
        let moment = Moment { at: 1, off_min: 0, zone: "UTC".into(), boot: "b".into(), mono: 1, by: None };
        store.append(drafts.into(), &moment, &mut || [1; 16], None).expect("appended");
    }
    let joined = phone.open().join(later.display().to_string()).expect("joins");
    assert_eq!(joined.taken.len(), 1);
    assert!(joined.refused.is_empty());
    let view = phone.view(job);
    assert_eq!(view.unknown.len(), 2, "{:?}", view.unknown);
    assert!(view.unknown[0].contains("weather.noted") && view.unknown[1].contains("mark.recorded"));
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("weather.noted"));
    assert!(phone.open().check(None).expect("checks").findings.is_empty());
}

/// Another phone's log that was cut short, altered or forked.
#[test]
fn another_phones_log_that_is_wrong() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut one = Phone::new(&folder.path().join("1"), 1);
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    let mut two = Phone::new(&folder.path().join("2"), 2);
    two.join(&mut one);
    for panel in ["roof", "bonnet", "tailgate", "left-sill"] {
        two.put(job, nothing_seen(panel));
    }
    two.close();
    let database = two.folder.join("sidelong.db");
    let whole = std::fs::read(&database).expect("the database");
    let before = one.view(job);
    let own = "(SELECT id << 40 FROM logs WHERE own = 1)";
    for (sql, said) in [
        (format!("DELETE FROM leaves WHERE place >= {own} + 3"), "cut off"),
        (format!("UPDATE leaves SET bytes = CAST(replace(CAST(bytes AS TEXT), 'bonnet', 'tailgate') AS BLOB) WHERE place = {own} + 2"), "event 2 was altered"),
        (format!("UPDATE leaves SET bytes = CAST(CAST(bytes AS TEXT) || ' ' AS BLOB) WHERE place = {own} + 1"), "event 1 was altered"),
        ("UPDATE logs SET head = CAST(replace(CAST(head AS TEXT), char(10) || '5' || char(10), char(10) || '6' || char(10)) AS BLOB) WHERE own = 1".to_owned(), "signature does not fit"),
        ("UPDATE logs SET public = zeroblob(32) WHERE own = 1".to_owned(), "weak public key"),
        ("UPDATE logs SET public = randomblob(32) WHERE own = 1".to_owned(), "its signed head"),
    ] {
        std::fs::write(&database, &whole).expect("as it was");
        let changed = Connection::open(&database).and_then(|it| it.execute(&sql, [])).expect("changed");
        assert!(changed > 0, "{sql}");
        let joined = one.open().join(two.folder.display().to_string()).expect("told, not failed");
        assert!(joined.taken.is_empty(), "{sql}: {joined:?}");
        assert!(joined.refused.iter().any(|it| it.reason.contains(said)), "{sql}: {joined:?}");
        assert_eq!(one.view(job), before);
    }
    std::fs::write(&database, &whole).expect("as it was");
    let joined = one.open().join(two.folder.display().to_string()).expect("joins");
    assert_eq!((joined.taken.len(), joined.refused.len()), (1, 0));

    // Forked: the same phone, set back to an earlier state, goes on differently.
    let copy = Phone { folder: folder.path().join("2 set back"), ..two };
    copy_store(&folder.path().join("2"), &copy.folder);
    let mut copy = copy;
    copy.reopen().expect("the earlier state opens");
    copy.put(job, nothing_seen("right-sill"));
    let mut two = Phone {
        folder: folder.path().join("2"),
        platform: copy.platform.clone(),
        clock: copy.clock.clone(),
        notebook: None,
        dice: copy.dice.clone(),
    };
    two.dice.0 ^= 1;
    two.reopen().expect("opens");
    two.put(job, nothing_seen("front-bumper"));
    two.close();
    copy.close();
    let joined = one.open().join(two.folder.display().to_string()).expect("joins");
    assert!(joined.forked.is_empty());
    let joined = one.open().join(copy.folder.display().to_string()).expect("joins");
    assert_eq!(joined.forked.len(), 1, "{joined:?}");
    let view = one.view(job);
    assert!(view.flags.iter().any(|flag| flag.contains("forked")), "{:?}", view.flags);
    let answered =
        |panel: &str| view.walks[0].panels.iter().any(|it| it.panel == panel && !it.answers.is_empty());
    assert!(answered("right-sill") && answered("front-bumper"), "both histories are kept");
    assert!(one.open().check(None).expect("checks").findings.is_empty(), "a fork is told, it is no damage");
    one.reopen().expect("a store that holds a fork opens");
}

fn copy_store(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder").flatten() {
        if entry.path().is_file() {
            std::fs::copy(entry.path(), to.join(entry.file_name())).expect("copied");
        }
    }
}

/// A phone whose whole folder was set back learns from another phone what it had recorded, and goes on from there.
#[test]
fn a_phone_that_was_set_back_gets_its_own_entries_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut one = Phone::new(&folder.path().join("1"), 1);
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    one.close();
    copy_store(&one.folder, &folder.path().join("saved"));
    one.reopen().expect("opens");
    one.put(job, mark("roof", MarkKind::Dent, 9_000));
    let mut two = Phone::new(&folder.path().join("2"), 2);
    two.join(&mut one);
    one.close();
    copy_store(&folder.path().join("saved"), &one.folder);
    one.reopen().expect("the earlier state opens");
    assert_eq!(one.view(job).marks.len(), 0);
    let joined = one.join(&mut two);
    assert!(joined.taken.iter().any(|log| log.own), "{joined:?}");
    assert_eq!(one.view(job).marks.len(), 1);
    one.put(job, nothing_seen("bonnet"));
    two.join(&mut one);
    assert!(two.open().check(None).expect("checks").findings.is_empty());
    assert!(one.open().check(None).expect("checks").findings.is_empty());
}

/// The tables for lists can be dropped and say the same when built anew.
#[test]
fn tables_can_be_built_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 3);
    for _ in 0..7 {
        let job = phone.begin(Form::Hatch5, Stage::AsFound);
        phone.put(job, mark("roof", MarkKind::Dent, 9_000));
    }
    let list = |phone: &Phone, search: Option<&str>| {
        phone.open().jobs(search.map(str::to_owned), 100, Locale::EnGb).expect("a list")
    };
    let (before, found) = (list(&phone, None), list(&phone, Some("zz26")));
    assert_eq!((before.jobs.len(), found.jobs.len()), (7, 7));
    assert_eq!(list(&phone, Some("ZZ26TST")).jobs.len(), 7, "without the space too");
    assert_eq!(list(&phone, Some("quiet words")).jobs.len(), 0);
    assert_eq!(list(&phone, Some("\" OR * NEAR(")).jobs.len(), 0, "no search text is an expression");
    phone.open().rebuild_tables().expect("rebuilt");
    assert_eq!((list(&phone, None), list(&phone, Some("zz26"))), (before, found));
}
