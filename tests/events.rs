//! Every event version that was ever written has a fixture for ever: its bytes stay readable, and a log of them folds to
//! the state that is written down beside them. `UPDATE_FIXTURES=1 cargo test -p sidelong-tests --test events` adds the
//! fixture of a new version; it never rewrites an old one.

use sidelong_core::log::head::LogKey;
use sidelong_core::log::seal::{Moment, seal};
use sidelong_core::log::{canon, tree};
use sidelong_core::record::events::{Body, Envelope};
use sidelong_core::record::fold::{Entry, fold};
use sidelong_core::record::views::{Speech, job_view};
use sidelong_core::record::words::{BlobState, Locale};
use std::path::{Path, PathBuf};
use uuid::Uuid;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/events")
}

fn updating() -> bool {
    std::env::var_os("UPDATE_FIXTURES").is_some()
}

fn bodies() -> Vec<(Body, Vec<(&'static str, serde_json::Value)>)> {
    let walk = id(2);
    let read = |kind: &str, raw: serde_json::Value| Body::read(kind, 1, &raw);
    let json = |text: &str| serde_json::from_str::<serde_json::Value>(text).expect("JSON");
    let stroke = r#""from":{"u_ppm":412000,"v_ppm":230000},"to":{"u_ppm":430000,"v_ppm":231000}"#;
    vec![
        (
            read(
                "job.opened",
                json(r#"{"form":"hatch-5","finish":"metallic","scope":["outside","wheels"]}"#),
            ),
            vec![("vehicle", json(r#"{"plate":"ZZ26 OLD","vin":"ZZZTEST00T0000001","colour":"grey"}"#))],
        ),
        (read("walk.begun", json(r#"{"stage":"as-found"}"#)), vec![]),
        (
            read(
                "outcome.recorded",
                json(&format!(
                    r#"{{"walk":"{walk}","panel":"roof","outcome":"could-not-see","why":"wet","distance":"close","light":"soft","surface":"wet","spent_ms":9000}}"#
                )),
            ),
            vec![("note", json(r#""rain on it""#))],
        ),
        (
            read(
                "mark.recorded",
                json(&format!(
                    r#"{{"walk":"{walk}","label":"1","mark":{{"panel":"front-left-door",{stroke},"kind":"scratch","catch":"slight","shows":"clear","holds":"clean","length_um":18000,"width_um":200,"measured":"ruler"}}}}"#
                )),
            ),
            vec![("note", json(r#""below the handle""#))],
        ),
        (
            read(
                "mark.corrected",
                json(&format!(
                    r#"{{"mark":"{}","corrects":"{}","becomes":{{"panel":"front-left-door",{stroke},"kind":"scratch","catch":"firm"}}}}"#,
                    id(4),
                    id(4)
                )),
            ),
            vec![("reason", json(r#""felt again""#))],
        ),
        (
            read(
                "photo.attached",
                json(&format!(
                    r#"{{"walk":"{walk}","mark":"{}","view":"close","width_px":1280,"height_px":960,"orientation":1,"taken":"2026-06-09T08:13:41.120+01:00"}}"#,
                    id(4)
                )),
            ),
            vec![],
        ),
        (
            read(
                "feel.tested",
                json(&format!(
                    r#"{{"walk":"{walk}","panel":"bonnet","at":{{"u_ppm":500000,"v_ppm":500000}},"method":"bag","level":"few-specks","reacted":["iron"]}}"#
                )),
            ),
            vec![],
        ),
        (read("job.closed", json(r#"{"seen":[{"log":"sidelong/other","root":"00","size":3}]}"#)), vec![]),
        (read("log.seen", json(r#"{"head":{"log":"sidelong/other","root":"00","size":3}}"#)), vec![]),
    ]
}

fn id(n: u8) -> Uuid {
    Uuid::parse_str(&format!("0197{n:04x}-0000-7000-8000-000000000000")).expect("an id")
}

fn write_new(path: &Path, bytes: &[u8]) {
    if !path.exists() {
        std::fs::create_dir_all(folder()).expect("a folder");
        std::fs::write(path, bytes).expect("written");
    }
}

#[test]
fn every_version_has_a_fixture_that_reads_as_it_did() {
    if updating() {
        let key = LogKey::from_seed(&[7; 32], false);
        for (at, (body, typed)) in (0_u8..).zip(bodies()) {
            let (kind, v) = body.kind();
            assert!(!matches!(body, Body::Unknown { .. }), "{kind} cannot be read");
            let path = folder().join(format!("{kind}.v{v}.json"));
            let job = (kind != "log.seen").then(|| id(0));
            let mut draft = sidelong_core::log::seal::Draft::of(job, Some(id(at + 1)), body.clone());
            draft.typed = typed;
            let moment = Moment {
                at: 1_780_989_000_000 + i64::from(at) * 5_000,
                off_min: 60,
                zone: "Europe/London".into(),
                boot: "boot".into(),
                mono: 1,
            };
            let sealed =
                seal(draft, key.name(), at.into(), u64::from(at) + 1, &moment, || [at; 16]).expect("seals");
            write_new(&path, &sealed.bytes);
            for blob in sealed.small {
                write_new(&folder().join(format!("{kind}.v{v}.{}.json", blob.named.role)), &blob.bytes);
            }
        }
    }
    for (kind, v) in Body::KINDS {
        for version in 1..=*v {
            let path = folder().join(format!("{kind}.v{version}.json"));
            let bytes = std::fs::read(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
            let value = canon::read(&bytes).unwrap_or_else(|why| panic!("{kind} v{version}: {why}"));
            let envelope: Envelope = serde_json::from_value(value).expect("an envelope");
            let body = Body::read(&envelope.kind, envelope.v, &envelope.body);
            assert!(!matches!(body, Body::Unknown { .. }), "{kind} v{version} is not known any more");
            if version == *v {
                assert_eq!(
                    body.to_value().expect("a value"),
                    envelope.body,
                    "{kind} v{version} is written as it was read"
                );
            }
        }
    }
}

/// Replaying the old log gives the state that is written down.
#[test]
fn old_events_fold_to_the_state_that_is_written_down() {
    let mut entries = Vec::new();
    for (kind, v) in Body::KINDS {
        for version in 1..=*v {
            let bytes = std::fs::read(folder().join(format!("{kind}.v{version}.json"))).expect("a fixture");
            let envelope: Envelope = serde_json::from_slice(&bytes).expect("an envelope");
            let mut blobs = std::collections::BTreeMap::new();
            for blob in &envelope.blobs {
                let text = std::fs::read(folder().join(format!("{kind}.v{version}.{}.json", blob.role)))
                    .expect("a blob");
                assert_eq!(canon::hex(&canon::sha256(&text)), blob.sha256);
                blobs.insert(
                    blob.role.clone(),
                    (BlobState::Here, sidelong_core::log::seal::open_small(&text)),
                );
            }
            entries.push(Entry { leaf: tree::leaf(&bytes).0, envelope, blobs });
        }
    }
    let entries: Vec<Entry> = entries.into_iter().filter(|entry| entry.envelope.job.is_some()).collect();
    let view = job_view(&fold(id(0), entries), Speech { locale: Locale::EnGb }).expect("a view");
    let state = serde_json::json!({
        "plate": view.vehicle.plate, "vin": view.vehicle.vin, "colour": view.vehicle.colour, "form": view.vehicle.form,
        "walks": view.walks.iter().map(|walk| (walk.stage.word(), walk.panels.iter().filter(|panel| !panel.answers.is_empty() || !panel.marks.is_empty()).map(|panel| (&panel.panel, panel.outcome.word(), &panel.marks)).collect::<Vec<_>>())).collect::<Vec<_>>(),
        "marks": view.marks.iter().map(|mark| (&mark.label, &mark.panel, mark.history.len(), mark.photos.len(), (mark.u_ppm, mark.v_ppm, mark.to_u_ppm, mark.to_v_ppm))).collect::<Vec<_>>(),
        "feels": view.feels.len(), "closings": view.closings.len(), "unknown": view.unknown,
    });
    let path = folder().join("state.json");
    let text = serde_json::to_string_pretty(&state).expect("JSON") + "\n";
    if updating() {
        std::fs::write(&path, &text).expect("written");
    }
    assert_eq!(text, std::fs::read_to_string(&path).expect("the state"));
}
