//! What a section gets next, as a screen offers it: ready to be recorded, and a person may say otherwise.

use super::work::{coating, crew, layer};
use super::*;
use sidelong_core::api::LayerOffered;
use sidelong_core::record::inputs::{BeginLayer, LevelSection, OpenLot, RecordSheet};
use sidelong_core::record::words::Step;

fn said(offered: &[LayerOffered]) -> Vec<&str> {
    offered.iter().map(|it| it.text.as_str()).collect()
}

/// A panel in parts goes on with its next part, or with the next panel in walking order that lacks the layer; the lot opened last goes
/// along, and a new version of the sheet is taken for what is begun from then on.
#[test]
fn a_further_section_is_offered_whole() {
    let mut crew = crew(61);
    let (job, english) = (crew.job.to_string(), Locale::EnGb);
    let next = |crew: &work::Crew| {
        crew.phone.open().work_now(crew.job.to_string(), Locale::EnGb).expect("an answer").next
    };
    assert!(next(&crew).is_empty(), "nothing can be put on without a sheet");
    let sheet = crew.put(Act::RecordSheet(coating()));
    let open_lot =
        |lot: &str| Act::OpenLot(OpenLot { sheet, lot: lot.to_owned(), opened: None, use_by: None });
    crew.put(open_lot("K-1"));
    let lot = crew.put(open_lot("K-2"));
    let first = next(&crew);
    assert_eq!(first.len(), 1, "{first:?}");
    assert_eq!(
        (first[0].input.layer, first[0].input.lot, first[0].lot.as_deref()),
        (1, Some(lot), Some("K-2"))
    );

    let part = |part: u32| BeginLayer { part: Some(part), ..layer("bonnet", 1, sheet) };
    let begun = crew.put(Act::BeginLayer(part(1)));
    let offered = crew.phone.open().sections_offered(job.clone(), begun, english).expect("offers");
    assert_eq!(offered[0].text, "bonnet, part 2, layer 1");
    assert_eq!(offered.len(), 2, "{:?}", said(&offered));
    assert_eq!(offered[1].input.part, Some(1), "the next panel is worked in parts too");
    // What was offered is taken as it is: one input levels and begins.
    let then = Some(offered[0].input.clone());
    crew.put(Act::LevelSection(LevelSection { begun, who: None, then }));
    let offers = next(&crew);
    assert_eq!(offers[0].text, "bonnet, part 3, layer 1", "{:?}", said(&offers));

    crew.put(Act::RecordSheet(RecordSheet { version: Some(2), ..coating() }));
    let again = crew.phone.open().layer_offered(job.clone(), "bonnet".into(), Some(1), None, english);
    let again = again.expect("an answer").expect("an offer");
    assert_eq!(
        (again.text.as_str(), again.product.as_str()),
        ("bonnet, part 1, layer 2", "Own coating, version 2")
    );
    assert_ne!(again.input.sheet, sheet);
}

/// A dwell of a remover is counted by itself, a wax lies on the coating.
#[test]
fn layers_are_counted_where_they_lie() {
    let mut crew = crew(62);
    let coat = crew.put(Act::RecordSheet(coating()));
    let named = |kind: Step, name: &str| {
        Act::RecordSheet(RecordSheet { kind, name: Some(name.to_owned()), ..coating() })
    };
    let tar = crew.put(named(Step::TarRemover, "Own tar remover"));
    let wax = crew.put(named(Step::Wax, "Own wax"));
    let begun = crew.begin("roof", 1, coat);
    crew.level(begun);
    let number = |sheet: Uuid| {
        let open = crew.phone.open();
        let offered =
            open.layer_offered(crew.job.to_string(), "roof".into(), None, Some(sheet), Locale::EnGb);
        offered.expect("an answer").expect("an offer").input.layer
    };
    assert_eq!([coat, wax, tar].map(number), [2, 2, 1]);
    for (panel, sheet, field) in [("keel", None, "panel"), ("roof", Some(Uuid::nil()), "sheet")] {
        let open = crew.phone.open();
        match open.layer_offered(crew.job.to_string(), panel.into(), None, sheet, Locale::EnGb) {
            Err(Error::Refused { field: named, .. }) => assert_eq!(named, field),
            other => panic!("{panel}: {other:?}"),
        }
    }
}
