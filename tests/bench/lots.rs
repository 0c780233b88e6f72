//! A trader's years of coatings: which cars had a lot, and which sections are open.

use crate::Sizes;
use crate::invented::{Inventor, open};
use crate::measure::{Goal, Table, median, shown, timed};
use serde_json::json;
use sidelong_core::log::seal::Draft;
use sidelong_core::record::events::{
    Body, ConditionsRead, LayerBegun, LayerLevelled, LotOpened, SheetRecorded,
};
use sidelong_core::record::inputs::{SheetSays, Span};
use sidelong_core::record::words::Step;
use sidelong_core::store::Store;
use std::path::Path;

/// Jobs in one commit: as many as a store keeps at hand.
const AT_ONCE: usize = 8;

/// Jobs that share a lot: a bottle does some, and a bad lot is sold for a while.
const SHARED: usize = 40;

const LOOKUPS: usize = 60;

pub fn measure(sizes: &Sizes, folder: &Path, table: &mut Table) {
    let mut inventor = Inventor::new(6);
    let mut store = open(&folder.join("lots"), 6);
    let (made, ()) = timed(|| fill(&mut store, &mut inventor, sizes.jobs));
    table.note(
        format!("a store of {} coated jobs of 7 events", sizes.jobs),
        format!("made in {}", shown(made)),
    );
    let lots = sizes.jobs.div_ceil(SHARED);
    let found = median((0..LOOKUPS).map(|round| {
        let wanted = round * 7 % lots;
        let (time, rows) = timed(|| store.lots(&format!("lot-{wanted}"), 10_000).expect("lots"));
        let expected = SHARED.min(sizes.jobs - wanted * SHARED);
        assert_eq!(rows.len(), expected, "every car of the lot");
        assert!(
            rows.iter()
                .all(|row| row.conditions.starts_with("air 18 ") && row.lot == format!("LOT {wanted}"))
        );
        time
    }));
    table.time(
        format!("which cars of {} jobs had a lot, with conditions", sizes.jobs),
        found,
        Goal::Milliseconds(100.0),
    );
    let waiting = median((0..LOOKUPS).map(|_| {
        let (time, jobs) = timed(|| store.jobs_with_open_sections().expect("jobs"));
        assert_eq!(jobs.len(), sizes.jobs.div_ceil(1_000), "one in a thousand was not levelled");
        time
    }));
    table.time("which jobs have open sections", waiting, Goal::Milliseconds(20.0));
    store.drop_tables().expect("dropped");
    while !store.build_tables(500).expect("builds") {}
    assert_eq!(
        store.lots("lot-0", 10_000).expect("lots").len(),
        SHARED.min(sizes.jobs),
        "built again from the log"
    );
}

fn fill(store: &mut Store, inventor: &mut Inventor, jobs: usize) {
    let mut done = 0;
    while done < jobs {
        let mut drafts = Vec::new();
        for number in done..jobs.min(done + AT_ONCE) {
            drafts.extend(coated(inventor, number));
        }
        inventor.append(store, drafts);
        done += AT_ONCE;
    }
}

/// A visit with a sheet, a lot, a reading of the conditions, a layer, and its levelling.
fn coated(inventor: &mut Inventor, number: usize) -> Vec<Draft> {
    let visit = inventor.visit();
    let mut drafts = visit.drafts;
    let mut add = |body: Body, typed: Option<(&'static str, serde_json::Value)>| {
        let mut draft = inventor.event(visit.job, body);
        draft.typed.extend(typed);
        let id = draft.input.expect("an input");
        drafts.push(draft);
        id
    };
    let says = SheetSays { dwell: Some(Span { least_s: 120, most_s: Some(180) }), ..SheetSays::default() };
    let sheet = SheetRecorded { kind: Step::Ceramic, version: 1, starter: false, says, usual: Vec::new() };
    let sheet = add(Body::SheetRecorded(sheet), Some(("sheet", json!({ "name": "An invented coating" }))));
    let lot = LotOpened { sheet, opened: None, use_by: None };
    let lot = add(Body::LotOpened(lot), Some(("lot", json!(format!("LOT {}", number / SHARED)))));
    let read = ConditionsRead {
        panel: None,
        sheet: None,
        air_mc: 18_000,
        panel_mc: Some(17_000),
        rh_ppm: 600_000,
        sun_on_panel: false,
        dew_point_mc: 10_100,
        frost_point_mc: None,
    };
    add(Body::ConditionsRead(read), None);
    let layer = LayerBegun { panel: "bonnet".to_owned(), part: None, layer: 1, sheet, lot: Some(lot) };
    let begun = add(Body::LayerBegun(layer), None);
    if !number.is_multiple_of(1_000) {
        add(Body::LayerLevelled(LayerLevelled { begun }), None);
    }
    drafts
}
