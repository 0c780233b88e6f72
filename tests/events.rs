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

/// A body as a version wrote it, and what was typed beside it, by role.
type Written = (u32, Body, Vec<(&'static str, serde_json::Value)>);

/// One body of every version. What is added for a new version goes to the end: an entry's place is its number.
fn bodies() -> Vec<Written> {
    let walk = id(2);
    let json = |text: &str| serde_json::from_str::<serde_json::Value>(text).expect("JSON");
    let written = |v: u32, kind: &str, raw: &str, typed: &[(&'static str, &str)]| -> Written {
        let typed = typed.iter().map(|(role, text)| (*role, json(text))).collect();
        (v, Body::read(kind, v, &json(raw)), typed)
    };
    let stroke = r#""from":{"u_ppm":412000,"v_ppm":230000},"to":{"u_ppm":430000,"v_ppm":231000}"#;
    let (mark, other) = (id(4), id(200));
    let vehicle = r#"{"plate":"ZZ26 OLD","vin":"ZZZTEST00T0000001","colour":"grey"}"#;
    vec![
        written(
            1,
            "job.opened",
            r#"{"form":"hatch-5","finish":"metallic","scope":["outside","wheels"]}"#,
            &[("vehicle", vehicle)],
        ),
        written(1, "walk.begun", r#"{"stage":"as-found"}"#, &[]),
        written(
            1,
            "outcome.recorded",
            &format!(
                r#"{{"walk":"{walk}","panel":"roof","outcome":"could-not-see","why":"wet","distance":"close","light":"soft","surface":"wet","spent_ms":9000}}"#
            ),
            &[("note", r#""rain on it""#)],
        ),
        written(
            1,
            "mark.recorded",
            &format!(
                r#"{{"walk":"{walk}","label":"1","mark":{{"panel":"front-left-door",{stroke},"kind":"scratch","catch":"slight","shows":"clear","holds":"clean","length_um":18000,"width_um":200,"measured":"ruler"}}}}"#
            ),
            &[("note", r#""below the handle""#)],
        ),
        written(
            1,
            "mark.corrected",
            &format!(
                r#"{{"mark":"{mark}","corrects":"{mark}","becomes":{{"panel":"front-left-door",{stroke},"kind":"scratch","catch":"firm"}}}}"#
            ),
            &[("reason", r#""felt again""#)],
        ),
        written(
            1,
            "photo.attached",
            &format!(
                r#"{{"walk":"{walk}","mark":"{mark}","view":"close","width_px":1280,"height_px":960,"orientation":1,"taken":"2026-06-09T08:13:41.120+01:00"}}"#
            ),
            &[],
        ),
        written(
            1,
            "feel.tested",
            &format!(
                r#"{{"walk":"{walk}","panel":"bonnet","at":{{"u_ppm":500000,"v_ppm":500000}},"method":"bag","level":"few-specks","reacted":["iron"]}}"#
            ),
            &[],
        ),
        written(1, "job.closed", r#"{"seen":[{"log":"sidelong/other","root":"00","size":3}]}"#, &[]),
        written(1, "log.seen", r#"{"head":{"log":"sidelong/other","root":"00","size":3}}"#, &[]),
        written(
            2,
            "job.opened",
            r#"{"form":"hatch-5","finish":"metallic","scope":["outside"],"steering":"right","film":["bonnet"]}"#,
            &[("vehicle", r#"{"plate":"ZZ26 NEW","stock":"fleet 7"}"#)],
        ),
        written(
            2,
            "outcome.recorded",
            &format!(
                r#"{{"walk":"{walk}","panel":"tailgate","outcome":"nothing-seen","distance":"walk-past","fast":true}}"#
            ),
            &[],
        ),
        written(
            2,
            "mark.recorded",
            &format!(
                r#"{{"walk":"{walk}","label":"2","mark":{{"panel":"bonnet",{stroke},"kind":"stone-chip"}},"earlier":{{"job":"{other}","mark":"{other}","label":"4","at":1770000000000,"off_min":0}},"shown_by":"owner","moved_from":{{"job":"{other}","entry":"{}","at":1780988000000,"off_min":60}}}}"#,
                id(201)
            ),
            &[],
        ),
        written(
            2,
            "photo.attached",
            &format!(
                r#"{{"walk":"{walk}","view":"close","width_px":1280,"height_px":960,"orientation":6,"entry":"{}","moved_from":{{"job":"{other}","entry":"{}","at":1780988000000,"off_min":60}}}}"#,
                id(18),
                id(202)
            ),
            &[],
        ),
        written(1, "mark.seen-again", &format!(r#"{{"walk":"{walk}","mark":"{mark}"}}"#), &[]),
        written(
            1,
            "general.recorded",
            &format!(r#"{{"walk":"{walk}","panels":["bonnet"],"kind":"stone-chip","about":30}}"#),
            &[],
        ),
        written(
            1,
            "gauge.checked",
            r#"{"plate":"steel","zero_um":-1,"foil_um":125,"foil_read_um":126,"accuracy_um":2}"#,
            &[("gauge", r#""gauge 3""#)],
        ),
        written(
            1,
            "thickness.measured",
            &format!(
                r#"{{"walk":"{walk}","panel":"roof","at":{{"u_ppm":500000,"v_ppm":500000}},"readings_um":[112,108,97],"gauge_check":"{}"}}"#,
                id(16)
            ),
            &[("note", r#""beside the aerial""#)],
        ),
        written(
            1,
            "instruments.read",
            r#"{"odometer":41250,"unit":"miles","fuel_pct":50,"charge_pct":80,"tried":[{"fitting":"windows","works":"works"}]}"#,
            &[("lamps", r#""none""#)],
        ),
        written(
            1,
            "belongings.listed",
            r#"{"count":1,"seen_with":"owner"}"#,
            &[("items", r#"[{"what":"child seat","count":1,"place":"rear left","stays":true}]"#)],
        ),
        written(1, "custody.passed", r#"{"what":"keys","from":"owner","to":"detailer","keys":2}"#, &[]),
        written(
            1,
            "permissions.recorded",
            r#"{"by":"owner","answers":[{"permission":"move-vehicle","allowed":true},{"permission":"publish-photos","allowed":false}]}"#,
            &[],
        ),
        written(
            1,
            "owner.answered",
            &format!(
                r#"{{"answer":"agreed-except","by":"owner","items":[{{"entry":"{mark}","agreed":false}}],"copy":"received","vehicles":2}}"#
            ),
            &[
                ("name", r#""the owner""#),
                ("signature", "[[[0,0],[500,500]]]"),
                ("words", &format!(r#"{{"{mark}":"was there when I bought it"}}"#)),
            ],
        ),
        written(
            1,
            "note.written",
            &format!(r#"{{"panel":"roof","entry":"{mark}"}}"#),
            &[("note", r#""a note""#)],
        ),
        written(
            1,
            "incident.recorded",
            r#"{"panel":"roof","told_owner":true}"#,
            &[("what", r#""a cloth fell""#), ("who", r#""both of us""#)],
        ),
        written(
            1,
            "dispute.opened",
            &format!(r#"{{"by":"owner","panel":"roof","entries":["{mark}"]}}"#),
            &[("reported", r#""a scratch that was not there""#)],
        ),
        written(
            1,
            "dispute.ended",
            &format!(r#"{{"dispute":"{}"}}"#, id(25)),
            &[("outcome", r#""shown the record""#)],
        ),
        written(
            1,
            "vehicle.corrected",
            &format!(
                r#"{{"corrects":"{}","becomes":{{"form":"hatch-5","finish":"solid","scope":["outside","wheels"]}}}}"#,
                id(1)
            ),
            &[("vehicle", r#"{"plate":"ZZ26 RED"}"#), ("reason", r#""misread""#)],
        ),
        written(
            1,
            "entry.moved",
            &format!(r#"{{"entry":"{}","to_job":"{other}"}}"#, id(202)),
            &[("reason", r#""another car""#)],
        ),
        written(1, "entry.undone", &format!(r#"{{"entry":"{}"}}"#, id(15)), &[]),
        written(1, "job.voided", &format!(r#"{{"instead":"{other}"}}"#), &[("reason", r#""opened twice""#)]),
        written(1, "recorder.switched", "{}", &[("recorder", r#""second detailer""#)]),
        written(
            1,
            "business.described",
            "{}",
            &[("business", r#"{"name":"An invented business","details":"nowhere"}"#)],
        ),
        written(
            1,
            "erasure.recorded",
            r#"{"erased":[{"kept":"inside-photos","months":12,"count":3}],"jobs":1,"held":0}"#,
            &[("reason", r#""asked by the owner""#)],
        ),
        written(
            1,
            "look.made",
            &format!(
                r#"{{"walk":"{walk}","light":"sun","panels":["bonnet","roof"],"stand":{{"x_mm":2300,"y_mm":1400}},"way":"walking-along","to":{{"x_mm":1300,"y_mm":1400}},"image":{{"panel":"bonnet","at":{{"u_ppm":500000,"v_ppm":400000}}}},"sun":{{"azimuth_mdeg":123456,"elevation_mdeg":45678}},"heading":{{"mdeg":205000,"plus_minus_mdeg":12000,"from":"glare"}},"surface":"clean","ambient":"daylight","distance":"close","spent_ms":40000}}"#
            ),
            &[("earth", r#"{"lat_udeg":52000000,"lon_udeg":-1000000}"#), ("note", r#""before the wash""#)],
        ),
        written(
            1,
            "spot.found",
            r#"{"kind":"high-spot","place":{"panel":"roof","at":{"u_ppm":1,"v_ppm":2}},"light":"soft","step":"ceramic","age_s":600}"#,
            &[("note", r#""near the edge""#)],
        ),
        written(1, "spot.treated", &format!(r#"{{"spot":"{other}"}}"#), &[("what", r#""levelled""#)]),
        written(1, "spot.checked", &format!(r#"{{"spot":"{other}","light":"point","clear":true}}"#), &[]),
        written(
            2,
            "feel.tested",
            &format!(
                r#"{{"walk":"{walk}","panel":"bonnet","method":"bag","level":"smooth","on":"test-square"}}"#
            ),
            &[],
        ),
        written(
            1,
            "surface.recorded",
            r#"{"panel":"roof","kind":"paint-solid","also":["film-edge"]}"#,
            &[("note", r#""an arm's width of film""#)],
        ),
        written(
            1,
            "work.agreed",
            r#"{"by":"owner","steps":[{"step":"polish","panels":["roof"],"agreed":true},{"step":"wax","panels":["roof"],"agreed":false}]}"#,
            &[],
        ),
        written(
            1,
            "override.agreed",
            r#"{"panel":"roof","step":"compound","on":"test-square","warned":["the lowest reading, 82 µm, is under the floor of 90 µm"],"answer":"agreed","by":"owner"}"#,
            &[("reason", r#""only the scratch""#)],
        ),
        written(
            1,
            "step.done",
            &format!(
                r#"{{"panels":["bonnet","roof"],"step":"iron-remover","on":"panel","reacted":["iron"],"set_aside":["{other}"]}}"#
            ),
            &[("product", r#""iron remover""#)],
        ),
        written(
            1,
            "square.tried",
            r#"{"panel":"roof","at":{"u_ppm":1,"v_ppm":2},"step":"polish","passes":3}"#,
            &[("machine", r#""orbital""#), ("pad", r#""soft""#), ("polish", r#""fine""#)],
        ),
        written(
            1,
            "square.judged",
            &format!(
                r#"{{"square":"{}","enough":true,"lowest_um":96,"before":"{other}","after":"{}","answer":"agreed","by":"owner"}}"#,
                id(43),
                id(201)
            ),
            &[],
        ),
        written(
            1,
            "cloth.taken",
            r#"{"tool":"cloth","zone":"wheels","panel":"bonnet","step":"wax","used":"upper-paint","warnings":1}"#,
            &[
                ("name", r#""black 1""#),
                ("product", r#""wax""#),
                ("warned", r#"["it does not go back up: take a fresh one"]"#),
            ],
        ),
        written(
            1,
            "cloth.put-out",
            &format!(r#"{{"cloth":"{}","why":"dropped","panel":"rear-left-door"}}"#, id(45)),
            &[],
        ),
        written(
            1,
            "shop.described",
            r#"{"floor_um":90,"budget_um":8,"chemical_first":"iron-remover"}"#,
            &[("zones", r#"[{"name":"white","uses":["coating"]}]"#)],
        ),
        written(
            2,
            "job.closed",
            &format!(
                r#"{{"seen":[{{"log":"sidelong/other","root":"00","size":3}}],"leaves":[{{"count":2,"log":"sidelong/other","root":"{}"}}],"could_see":[{{"stage":"as-found","model":1,"panels":[{{"panel":"bonnet","fine_line_ppm":583333,"haze_ppm":1000000}},{{"panel":"roof"}}]}}]}}"#,
                "00".repeat(32)
            ),
            &[("note", r#""washed and dried""#)],
        ),
        written(
            1,
            "time.asked",
            r#"{"head":{"log":"sidelong/other","root":"00","size":3},"sha256":"00"}"#,
            &[("checkpoint", r#""a signed head""#), ("request", r#""MAA=""#)],
        ),
        written(
            1,
            "head.stamped",
            r#"{"head":{"log":"sidelong/other","root":"00","size":3},"sha256":"00","at_ms":1780989000000,"accuracy_us":1000000,"authority":"CN=Time of nobody","root":"CN=Root of nobody","clock_ms":1780988820000}"#,
            &[("checkpoint", r#""a signed head""#), ("token", r#""MAA=""#)],
        ),
        written(
            1,
            "entry.cosigned",
            &format!(
                r#"{{"entry":"closing","log":"sidelong/other","seq":3,"leaf":"{}","key":"software","public":"BAAA","signature":"MAAA"}}"#,
                "00".repeat(32)
            ),
            &[],
        ),
        written(
            1,
            "device.added",
            r#"{"head":{"log":"sidelong/other","root":"00","size":3},"continues":true}"#,
            &[],
        ),
        written(1, "device.retired", r#"{"head":{"log":"sidelong/other","root":"00","size":3}}"#, &[]),
        written(
            1,
            "device.lost",
            r#"{"head":{"log":"sidelong/other","root":"00","size":3},"since":{"ms":1780988000000,"off_min":60}}"#,
            &[],
        ),
        written(
            1,
            "sheet.recorded",
            r#"{"kind":"ceramic","version":2,"says":{"surfaces":["paint-metallic"],"section":{"of":"square-mm","least":300,"most":600},"coats":{"least":1,"most":2},"dwell":{"least_s":120,"most_s":180},"next_layer":{"least_s":3600},"waits":{"touch":{"least_s":3600},"rain":{"least_s":43200,"most_s":86400},"wash":{"least_s":604800},"chemicals":{"least_s":604800},"full":{"least_s":1209600}},"air":{"least_mc":10000,"most_mc":27000},"panel":{"least_mc":10000,"most_mc":27000},"humidity":{"least_pct":40,"most_pct":70},"life":{"least_days":365,"most_days":730},"shade":true},"usual":["coats","life"]}"#,
            &[(
                "sheet",
                r#"{"name":"Own coating","apply":"Thin.","remove":"Two cloths.","cautions":["Away from flames."],"source":"the bottle"}"#,
            )],
        ),
        written(
            1,
            "lot.opened",
            &format!(r#"{{"sheet":"{}","opened":"2026-06-01","use_by":"2027-06-01"}}"#, id(38)),
            &[("lot", r#""LOT 7-114""#)],
        ),
        written(
            1,
            "conditions.read",
            &format!(
                r#"{{"panel":"bonnet","sheet":"{}","air_mc":-2000,"panel_mc":38000,"rh_ppm":350000,"sun_on_panel":true,"dew_point_mc":-15300,"frost_point_mc":-13700}}"#,
                id(38)
            ),
            &[("note", r#""beside the wall""#)],
        ),
        written(
            1,
            "work.continued",
            &format!(r#"{{"conditions":"{}"}}"#, id(40)),
            &[("reason", r#""the owner cannot come again""#)],
        ),
        written(
            1,
            "layer.begun",
            &format!(r#"{{"panel":"bonnet","part":2,"layer":1,"sheet":"{}","lot":"{}"}}"#, id(38), id(39)),
            &[("who", r#""second detailer""#)],
        ),
        written(
            1,
            "layer.levelled",
            &format!(r#"{{"begun":"{}"}}"#, id(42)),
            &[("who", r#""second detailer""#)],
        ),
        written(
            1,
            "use.recorded",
            r#"{"used":{"km_a_year":24000,"sleeps":"outside","washed":"tunnel","heat":true,"salt":false,"age_years":9}}"#,
            &[],
        ),
        written(
            1,
            "stay.recorded",
            r#"{"sleeps":"outside","rain":true,"rain_from":{"ms":1781024400000,"off_min":60},"keys":"owner"}"#,
            &[("note", r#""on the drive, beside the hedge""#)],
        ),
        written(
            1,
            "schedule.made",
            &format!(
                r#"{{"model":1,"replaces":"{0}","people_from_s":[0,600],"open_limit":2,"hand_over":true,"late_allowed":true,"sections":[{{"panel":"bonnet","part":2,"layers":[{{"sheet":"{1}","apply_s":60,"level_s":30,"level":{{"by":0,"from_s":45}}}},{{"sheet":"{1}","apply_s":60,"level_s":30,"apply":{{"by":1,"from_s":3675}},"level":{{"by":0,"from_s":3800}}}}]}}],"finish_s":3830,"best":true,"late":[{{"section":0,"layer":1,"late_s":20}},{{"section":0,"layer":1,"next_layer":true,"late_s":5}}]}}"#,
                id(203),
                id(38)
            ),
            &[("people", r#"["first detailer","second detailer"]"#)],
        ),
    ]
}

/// Kinds of events that belong to no job.
const ABOUT_LOGS: &[&str] = &[
    "business.described",
    "device.added",
    "device.lost",
    "device.retired",
    "head.stamped",
    "log.seen",
    "recorder.switched",
    "shop.described",
    "time.asked",
];

fn id(n: u8) -> Uuid {
    Uuid::parse_str(&format!("0197{n:04x}-0000-7000-8000-000000000000")).expect("an id")
}

fn write_new(path: &Path, bytes: &[u8]) {
    if !path.exists() {
        std::fs::create_dir_all(folder()).expect("a folder");
        std::fs::write(path, bytes).expect("written");
    }
}

/// Adds the fixtures of new versions, if that was asked for, before any test reads them.
fn add_new() {
    static ADDED: std::sync::Once = std::sync::Once::new();
    if !updating() {
        return;
    }
    ADDED.call_once(|| {
        let key = LogKey::from_seed(&[7; 32], false);
        for (at, (written, body, typed)) in (0_u8..).zip(bodies()) {
            let (kind, v) = body.kind();
            assert!(!matches!(body, Body::Unknown { .. }), "{kind} cannot be read");
            if v != written {
                continue;
            }
            let path = folder().join(format!("{kind}.v{v}.json"));
            let about_log = ABOUT_LOGS.contains(&kind);
            let job = (!about_log).then(|| id(0));
            let mut draft = sidelong_core::log::seal::Draft::of(job, Some(id(at + 1)), body.clone());
            draft.typed = typed;
            let moment = Moment {
                at: 1_780_989_000_000 + i64::from(at) * 5_000,
                off_min: 60,
                zone: "Europe/London".into(),
                boot: "boot".into(),
                mono: 1,
                by: None,
            };
            let sealed =
                seal(draft, key.name(), at.into(), u64::from(at) + 1, &moment, || [at; 16]).expect("seals");
            write_new(&path, &sealed.bytes);
            for blob in sealed.small {
                write_new(&folder().join(format!("{kind}.v{v}.{}.json", blob.named.role)), &blob.bytes);
            }
        }
    });
}

#[test]
fn every_version_has_a_fixture_that_reads_as_it_did() {
    add_new();
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
    add_new();
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
            entries.push(Entry { leaf: tree::leaf(&bytes).0, envelope, blobs, recorder: None });
        }
    }
    let entries: Vec<Entry> = entries.into_iter().filter(|entry| entry.envelope.job.is_some()).collect();
    let view = job_view(&fold(id(0), entries), Speech { locale: Locale::EnGb }).expect("a view");
    let state = serde_json::json!({
        "plate": view.vehicle.plate, "vin": view.vehicle.vin, "colour": view.vehicle.colour, "form": view.vehicle.form,
        "walks": view.walks.iter().map(|walk| (walk.stage.word(), walk.panels.iter().filter(|panel| !panel.answers.is_empty() || !panel.marks.is_empty()).map(|panel| (&panel.panel, panel.outcome.word(), &panel.marks)).collect::<Vec<_>>())).collect::<Vec<_>>(),
        "marks": view.marks.iter().map(|mark| (&mark.label, &mark.panel, mark.history.len(), mark.photos.len(), (mark.u_ppm, mark.v_ppm, mark.to_u_ppm, mark.to_v_ppm))).collect::<Vec<_>>(),
        "feels": view.feels.len(), "closings": view.closings.len(), "unknown": view.unknown,
        "thickness": view.thickness.iter().map(|it| (&it.panel, &it.text)).collect::<Vec<_>>(),
        "visit": view.visit.iter().map(|it| (it.kind, &it.lines, &it.typed)).collect::<Vec<_>>(),
        "owner": view.owner_text, "also": view.marks.iter().map(|mark| &mark.also).collect::<Vec<_>>(),
    });
    let path = folder().join("state.json");
    let text = serde_json::to_string_pretty(&state).expect("JSON") + "\n";
    if updating() {
        std::fs::write(&path, &text).expect("written");
    }
    assert_eq!(text, std::fs::read_to_string(&path).expect("the state"));
}
