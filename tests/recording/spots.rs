//! Missed spots through the door: where they are looked for, and what is refused.

use crate::id;
use crate::light::{field, saloon, spot};
use sidelong_core::api::often_missed;
use sidelong_core::record::inputs::{Act, CheckSpot, FindSpot, PanelSpot, TreatSpot};
use sidelong_core::record::words::{Form, Light, Locale, SpotKind, Step};
use sidelong_core::vehicle;

#[test]
fn spots_are_usually_missed_in_walking_order() {
    for form in Form::ALL {
        let places = often_missed(*form, Locale::EnGb);
        assert!(places.len() >= 3, "{form:?}: {places:?}");
        let order = vehicle::panels_in_walking_order(*form);
        let at: Vec<usize> =
            places.iter().map(|it| order.iter().position(|id| *id == it.panel).expect("a panel")).collect();
        assert!(at.windows(2).all(|pair| pair[0] < pair[1]), "{form:?}");
    }
    assert!(
        often_missed(Form::Saloon, Locale::EnUs)
            .iter()
            .any(|it| it.text == "left front door: the lowest 6 in, the jamb")
    );
}

#[test]
fn a_spot_needs_a_spot_and_a_light() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 8);
    let place = PanelSpot { panel: "roof".to_owned(), at: spot(1, 1) };
    let find = FindSpot {
        kind: SpotKind::Residue,
        place: place.clone(),
        light: Light::Point,
        step: Some(Step::Wax),
        age_s: Some(600),
        note: None,
    };
    let nowhere = PanelSpot { panel: "no-such".to_owned(), ..place.clone() };
    let off = PanelSpot { at: spot(0, 1_000_001), ..place };
    let other = phone.dice.id();
    for (act, wanted) in [
        (Act::FindSpot(FindSpot { light: Light::Dark, ..find.clone() }), "find_spot.light"),
        (Act::FindSpot(FindSpot { age_s: Some(31_536_001), ..find.clone() }), "find_spot.age_s"),
        (Act::FindSpot(FindSpot { place: nowhere, ..find.clone() }), "find_spot.place.panel"),
        (Act::FindSpot(FindSpot { place: off, ..find.clone() }), "find_spot.place.at.v_ppm"),
        (Act::TreatSpot(TreatSpot { spot: other, what: "wiped".to_owned() }), "treat_spot.spot"),
        (Act::CheckSpot(CheckSpot { spot: other, light: Light::Sun, clear: true }), "check_spot.spot"),
    ] {
        let (at, _) = field(phone.record(job, act));
        assert_eq!(at, format!("act.{wanted}"));
    }
    let found = id(&phone.put(job, Act::FindSpot(find)).input);
    let (at, _) = field(phone.record(job, Act::TreatSpot(TreatSpot { spot: found, what: " ".to_owned() })));
    assert_eq!(at, "act.treat_spot.what");
    let (at, _) =
        field(phone.record(job, Act::CheckSpot(CheckSpot { spot: found, light: Light::Dark, clear: true })));
    assert_eq!(at, "act.check_spot.light");
}
