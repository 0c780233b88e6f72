//! Scenario 19: a coating's high spot.

use sidelong_core::record::inputs::{Act, CheckSpot, FindSpot, PanelSpot, Spot, TreatSpot};
use sidelong_core::record::views::SpotView;
use sidelong_core::record::words::{Form, Light, Locale, SpotKind, Stage, Step};
use sidelong_tests::{MORNING_MS, Phone};
use std::sync::atomic::Ordering;
use uuid::Uuid;

fn stands(phone: &Phone, job: Uuid) -> SpotView {
    phone.open().light(job.to_string(), Locale::EnGb).expect("the job").spots[0].clone()
}

/// Seen in soft shade at 12:05, levelled at 12:07: open until it is seen clear in soft shade and under one other light.
#[test]
fn scenario_19_high_spot() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 19);
    let job = phone.begin(Form::Saloon, Stage::Handover);
    let at = |phone: &Phone, hour: i64, minute: i64| {
        phone.clock.at_ms.store(MORNING_MS + ((hour - 8) * 60 + minute - 10) * 60_000, Ordering::Relaxed);
    };
    at(&phone, 12, 5);
    let place =
        PanelSpot { panel: "front-left-fender".to_owned(), at: Spot { u_ppm: 400_000, v_ppm: 500_000 } };
    let found = FindSpot {
        kind: SpotKind::HighSpot,
        place,
        light: Light::Soft,
        step: Some(Step::Ceramic),
        age_s: Some(120),
        note: None,
    };
    let spot = Uuid::parse_str(&phone.put(job, Act::FindSpot(found)).input).expect("an id");
    assert!(stands(&phone, job).open);
    at(&phone, 12, 7);
    phone.put(job, Act::TreatSpot(TreatSpot { spot, what: "re-wet and levelled".to_owned() }));
    let check = |light, clear| Act::CheckSpot(CheckSpot { spot, light, clear });
    let states = [
        (check(Light::Soft, true), true),
        // A second look in the same light is no second kind of light.
        (check(Light::Soft, true), true),
        (check(Light::Point, true), false),
        // It shows again in the sun: open, and what was seen clear before counts no more.
        (check(Light::Sun, false), true),
        (check(Light::Sun, true), true),
        (check(Light::Soft, true), false),
    ];
    for (number, (act, open)) in states.into_iter().enumerate() {
        phone.put(job, act);
        let spot = stands(&phone, job);
        assert_eq!(spot.open, open, "{number}: {}", spot.state);
        let flagged = phone.view(job).flags.iter().any(|flag| flag.contains("missed spot"));
        assert_eq!(flagged, open, "{number}");
    }
    phone.reopen().expect("opens again");
    let view = stands(&phone, job);
    assert_eq!(view.text, "high spot, found in soft light, after ceramic coating, 2 min after it");
    assert_eq!(view.history.len(), 7);
    assert!(
        view.history[0].contains("12:07") && view.history[0].contains("re-wet and levelled"),
        "{:?}",
        view.history
    );
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("Missed spots") && page.contains("Closed: seen clear under two kinds of light"));
}
