//! Bodies of closings and co-signatures that are off are kept and shown as unknown; those of earlier versions are read.

use serde_json::{Value, json};
use sidelong_core::record::events::Body;

fn is_read(kind: &str, v: u32, body: &Value) -> bool {
    !matches!(Body::read(kind, v, body), Body::Unknown { .. })
}

#[test]
fn closings_that_are_off() {
    let seen = json!([{"log": "sidelong/other", "root": "00", "size": 3}]);
    let whole = json!({
        "seen": seen,
        "leaves": [{"count": 2, "log": "sidelong/other", "root": "00"}],
        "could_see": [{"stage": "handover", "model": 1, "panels": [{"panel": "roof", "haze_ppm": 5}]}],
    });
    assert!(is_read("job.closed", 2, &whole));
    // The first version named heads alone; in both, what was not committed is left out.
    for (v, body) in [(1, json!({"seen": seen})), (2, json!({"seen": []}))] {
        let Body::JobClosed(closed) = Body::read("job.closed", v, &body) else { panic!("{body}") };
        assert!(closed.leaves.is_empty() && closed.could_see.is_empty());
        assert_eq!(Body::JobClosed(closed).to_value().expect("JSON"), body);
    }
    for (path, wrong) in [
        ("/leaves", json!({})),
        ("/leaves/0/count", json!(-1)),
        ("/leaves/0/count", json!("2")),
        ("/leaves/0/root", json!(null)),
        ("/leaves/0", json!({"count": 2, "log": "sidelong/other", "root": "00", "size": 2})),
        ("/could_see", json!("all")),
        ("/could_see/0/stage", json!("afterwards")),
        ("/could_see/0/model", json!(1.5)),
        ("/could_see/0/panels", json!(null)),
        ("/could_see/0/panels/0/haze_ppm", json!(-5)),
        ("/could_see/0/panels/0", json!({"haze_ppm": 5})),
        ("/could_see/0/panels/0", json!({"panel": "roof", "dirt_ppm": 5})),
        ("/seen", json!(3)),
    ] {
        let mut body = whole.clone();
        *body.pointer_mut(path).expect("a field") = wrong.clone();
        assert!(!is_read("job.closed", 2, &body), "{path}: {wrong}");
    }
    assert!(!is_read("job.closed", 3, &whole), "a newer version");
}

#[test]
fn co_signatures_that_are_off() {
    let whole = json!({
        "entry": "closing", "log": "sidelong/0a", "seq": 4, "leaf": "00", "key": "software", "public": "BAAA",
        "signature": "MAAA",
    });
    assert!(is_read("entry.cosigned", 1, &whole) && !is_read("entry.cosigned", 2, &whole));
    for (field, wrong) in [
        ("entry", json!("opening")),
        ("key", json!("paper")),
        ("seq", json!(-1)),
        ("leaf", json!(0)),
        ("public", json!(null)),
        ("signature", json!(["MAAA"])),
        ("more", json!(1)),
    ] {
        let mut body = whole.clone();
        body[field] = wrong.clone();
        assert!(!is_read("entry.cosigned", 1, &body), "{field}: {wrong}");
    }
    for field in whole.as_object().expect("fields").keys() {
        let mut body = whole.clone();
        body.as_object_mut().expect("fields").remove(field);
        assert!(!is_read("entry.cosigned", 1, &body), "without {field}");
    }
}
