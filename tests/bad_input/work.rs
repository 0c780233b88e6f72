//! Sheets that contradict themselves, numbers that nothing can be reckoned from, lots without a text, sections that are open or closed
//! already: each is refused under its field. What is merely unsuitable is recorded.

use super::shop::{Shop, id, long};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::*;
use sidelong_core::record::words::*;
use sidelong_tests::closing;
use uuid::Uuid;

fn span(least_s: u32, most_s: u32) -> Option<Span> {
    Some(Span { least_s, most_s: Some(most_s) })
}

fn sheet(kind: Step, says: SheetSays) -> RecordSheet {
    RecordSheet {
        kind,
        starter: false,
        name: Some("Own".into()),
        version: None,
        says,
        apply: None,
        remove: None,
        cautions: Vec::new(),
        source: None,
    }
}

fn read(air_mc: i32, panel_mc: i32, rh_ppm: u32) -> ReadConditions {
    ReadConditions {
        panel: None,
        sheet: None,
        air_mc,
        panel_mc: Some(panel_mc),
        rh_ppm,
        sun_on_panel: false,
        note: None,
    }
}

fn layer(panel: &str, sheet: Uuid) -> BeginLayer {
    BeginLayer { panel: panel.into(), part: None, layer: 1, sheet, lot: None, who: None }
}

fn level(begun: Uuid) -> LevelSection {
    LevelSection { begun, who: None, then: None }
}

fn put(shop: &mut Shop, act: Act) -> Uuid {
    let job = shop.job;
    id(&shop.phone.put(job, act).input)
}

#[test]
fn sheets_that_contradict_themselves() {
    let mut shop = Shop::open();
    put(&mut shop, Act::RecordSheet(sheet(Step::Ceramic, SheetSays::default())));
    let says = |says: SheetSays| Act::RecordSheet(sheet(Step::Ceramic, says));
    let none = SheetSays::default;
    let waits = |waits: Waits| SheetSays { waits: Some(waits), ..none() };
    let window = |least_mc, most_mc| Some(Temperatures { least_mc, most_mc });
    let bare = RecordSheet { name: None, ..sheet(Step::Wax, none()) };
    let starter = |kind| RecordSheet { starter: true, name: None, ..sheet(kind, none()) };
    let wax = |change: &dyn Fn(&mut RecordSheet)| {
        let mut sheet = sheet(Step::Wax, none());
        sheet.name = Some("Own wax".into());
        change(&mut sheet);
        Act::RecordSheet(sheet)
    };
    shop.refuse(vec![
        (says(SheetSays { dwell: span(300, 60), ..none() }), "record_sheet.says.dwell"),
        (says(SheetSays { dwell: span(0, 40_000_000), ..none() }), "record_sheet.says.dwell"),
        (says(SheetSays { next_layer: span(7_200, 3_600), ..none() }), "record_sheet.says.next_layer"),
        (says(SheetSays { air: window(30_000, 10_000), ..none() }), "record_sheet.says.air"),
        (says(SheetSays { panel: window(10_000, 95_000), ..none() }), "record_sheet.says.panel"),
        (
            says(SheetSays { humidity: Some(Humidity { least_pct: 70, most_pct: 40 }), ..none() }),
            "record_sheet.says.humidity",
        ),
        (
            says(SheetSays { humidity: Some(Humidity { least_pct: 0, most_pct: 101 }), ..none() }),
            "record_sheet.says.humidity",
        ),
        (
            says(SheetSays { life: Some(Life { least_days: 0, most_days: 9 }), ..none() }),
            "record_sheet.says.life",
        ),
        (says(SheetSays { coats: Some(Coats { least: 3, most: 2 }), ..none() }), "record_sheet.says.coats"),
        (
            says(waits(Waits { touch: span(7_200, 7_200), rain: span(60, 3_600), ..Waits::default() })),
            "record_sheet.says.waits.rain",
        ),
        (Act::RecordSheet(bare), "record_sheet.name"),
        (wax(&|it| it.name = Some(" ".into())), "record_sheet.name"),
        (wax(&|it| it.name = Some(long(201))), "record_sheet.name"),
        (wax(&|it| it.version = Some(0)), "record_sheet.version"),
        (wax(&|it| it.cautions = vec!["a".into(), long(501)]), "record_sheet.cautions[1]"),
        (wax(&|it| it.cautions = vec!["a".into(); 21]), "record_sheet.cautions"),
        (wax(&|it| it.apply = Some("\u{7}".into())), "record_sheet.apply"),
        (wax(&|it| it.kind = Step::Dry), "record_sheet.kind"),
        // One name, two kinds; one version, two contents.
        (wax(&|it| it.name = Some("Own".into())), "record_sheet.kind"),
        (
            Act::RecordSheet(RecordSheet { version: Some(1), ..sheet(Step::Ceramic, none()) }),
            "record_sheet.version",
        ),
        (
            Act::RecordSheet(RecordSheet { name: Some("x".into()), ..starter(Step::Wax) }),
            "record_sheet.starter",
        ),
        (Act::RecordSheet(starter(Step::AcidWheelCleaner)), "record_sheet.kind"),
    ]);
    // A sheet's own wait that the usual ones would contradict stands by itself.
    let slow = waits(Waits { touch: span(90 * 86_400, 90 * 86_400), ..Waits::default() });
    put(&mut shop, Act::RecordSheet(sheet(Step::Ceramic, slow)));
    let work = shop.phone.open().work(shop.job.to_string(), Locale::EnGb).expect("the work");
    assert_eq!(work.sheets[1].version, 2);
    let lines = &work.sheets[1].lines;
    assert!(lines.contains(&"before it is touched: 90 days".to_owned()), "{lines:?}");
    assert!(!lines.iter().any(|line| line.starts_with("to full cure")), "{lines:?}");
}

#[test]
fn conditions_that_nothing_can_be_reckoned_from_and_those_that_are_only_unsuitable() {
    let mut shop = Shop::open();
    let own = put(&mut shop, Act::RecordSheet(sheet(Step::Ceramic, SheetSays::default())));
    let act = |read: ReadConditions| Act::ReadConditions(read);
    shop.refuse(vec![
        (act(read(18_000, 15_000, 0)), "read_conditions.rh_ppm"),
        (act(read(18_000, 15_000, 1_000_001)), "read_conditions.rh_ppm"),
        (act(read(60_001, 15_000, 500_000)), "read_conditions.air_mc"),
        (act(read(18_000, 120_001, 500_000)), "read_conditions.panel_mc"),
        (act(read(i32::MIN, i32::MAX, 500_000)), "read_conditions.air_mc"),
        (
            act(ReadConditions { panel: Some("wing".into()), ..read(18_000, 15_000, 500_000) }),
            "read_conditions.panel",
        ),
        (
            act(ReadConditions { sheet: Some(shop.mark), ..read(18_000, 15_000, 500_000) }),
            "read_conditions.sheet",
        ),
        (Act::ContinueWork(ContinueWork { conditions: own, reason: None }), "continue_work.conditions"),
    ]);
    // A panel at 0 and at 60 °C, air that is as damp as it can be: recorded, and told.
    for (air_mc, panel_mc, rh_ppm, said) in [
        (2_000, 0, 1_000_000, "panel below the dew point (2.0 °C): it is getting wet"),
        (25_000, 60_000, 500_000, "panel 60 °C: at most 30 °C by the sheet"),
        (-5_000, -4_000, 10_000, "humidity 1 %: at least 40 % by the sheet"),
    ] {
        put(&mut shop, act(read(air_mc, panel_mc, rh_ppm)));
        let work = shop.phone.open().work(shop.job.to_string(), Locale::EnGb).expect("the work");
        let notes = &work.conditions.last().expect("a reading").notes;
        assert!(notes.iter().any(|note| note == said), "{notes:?}");
    }
}

#[test]
fn lots_layers_and_levellings() {
    let mut shop = Shop::open();
    let coat = put(&mut shop, Act::RecordSheet(sheet(Step::Ceramic, SheetSays::default())));
    let wax = RecordSheet { name: Some("Own wax".into()), ..sheet(Step::Wax, SheetSays::default()) };
    let wax = put(&mut shop, Act::RecordSheet(wax));
    let lot = |lot: &str| OpenLot { sheet: coat, lot: lot.into(), opened: None, use_by: None };
    let bottle = put(&mut shop, Act::OpenLot(lot("7")));
    let open = put(&mut shop, Act::BeginLayer(layer("bonnet", coat)));
    let done = put(&mut shop, Act::BeginLayer(layer("roof", coat)));
    put(&mut shop, Act::LevelSection(level(done)));
    let begin = |change: &dyn Fn(&mut BeginLayer)| {
        let mut layer = layer("tailgate", coat);
        change(&mut layer);
        Act::BeginLayer(layer)
    };
    let then = |panel: &str| LevelSection { then: Some(layer(panel, coat)), ..level(open) };
    let unknown = shop.mark;
    shop.refuse(vec![
        (Act::OpenLot(lot("")), "open_lot.lot"),
        (Act::OpenLot(lot(" \n ")), "open_lot.lot"),
        (Act::OpenLot(lot("—")), "open_lot.lot"),
        (Act::OpenLot(lot(&long(101))), "open_lot.lot"),
        (Act::OpenLot(OpenLot { sheet: unknown, ..lot("7") }), "open_lot.sheet"),
        (Act::OpenLot(OpenLot { opened: Some("1.6.2026".into()), ..lot("7") }), "open_lot.opened"),
        (Act::OpenLot(OpenLot { use_by: Some("2026-02-30".into()), ..lot("7") }), "open_lot.use_by"),
        (begin(&|it| it.panel = "hood".into()), "begin_layer.panel"),
        (begin(&|it| it.part = Some(0)), "begin_layer.part"),
        (begin(&|it| it.part = Some(100)), "begin_layer.part"),
        (begin(&|it| it.layer = 0), "begin_layer.layer"),
        (begin(&|it| it.layer = 21), "begin_layer.layer"),
        (begin(&|it| it.sheet = unknown), "begin_layer.sheet"),
        (begin(&|it| it.lot = Some(unknown)), "begin_layer.lot"),
        (begin(&|it| (it.sheet, it.lot) = (wax, Some(bottle))), "begin_layer.lot"),
        (begin(&|it| it.who = Some(long(101))), "begin_layer.who"),
        (begin(&|it| it.panel = "bonnet".into()), "begin_layer.panel"),
        (Act::LevelSection(level(unknown)), "level_section.begun"),
        (Act::LevelSection(level(done)), "level_section.begun"),
        (Act::LevelSection(then("wing")), "level_section.then.panel"),
        (Act::RecordUse(CarUse::default()), "record_use.km_a_year"),
        (Act::RecordUse(CarUse { km_a_year: Some(1_000_001), ..CarUse::default() }), "record_use.km_a_year"),
        (Act::RecordUse(CarUse { age_years: Some(151), ..CarUse::default() }), "record_use.age_years"),
    ]);
    let clocks = shop.phone.open().clocks(Some(shop.job.to_string()), Locale::EnGb).expect("clocks");
    assert_eq!(clocks.open.len(), 1, "the section that was named in a refused input is still open");
    for wanted in ["", "—"] {
        let said = shop.phone.open().lots(wanted.into(), Locale::EnGb);
        assert!(matches!(said, Err(Error::Refused { field, .. }) if field == "lot"));
    }
    let nothing = shop.phone.open().calendar(shop.other.to_string(), Locale::EnGb);
    assert!(matches!(nothing, Err(Error::NotFound { .. })), "{nothing:?}");
    // What was still open when the visit ended is wiped off all the same; nothing new is begun.
    let job = shop.job;
    shop.phone.put(job, closing());
    assert!(shop.phone.record(job, Act::BeginLayer(layer("tailgate", coat))).is_err());
    shop.phone.put(job, Act::LevelSection(level(open)));
    let clocks = shop.phone.open().clocks(Some(job.to_string()), Locale::EnGb).expect("clocks");
    assert!(clocks.open.is_empty());
}

#[test]
fn a_night_of_which_nothing_is_said_and_rain_at_no_time() {
    let mut shop = Shop::open();
    let stay = |rain: Option<bool>, from: &str| {
        let rain_from = (!from.is_empty()).then(|| from.to_owned());
        RecordStay { rain, rain_from, ..RecordStay::default() }
    };
    let act = |rain: Option<bool>, from: &str| Act::RecordStay(stay(rain, from));
    let note = |note: String| Act::RecordStay(RecordStay { note: Some(note), ..stay(Some(false), "") });
    shop.refuse(vec![
        (act(None, ""), "record_stay.sleeps"),
        (
            Act::RecordStay(RecordStay { note: Some("on the drive".into()), ..stay(None, "") }),
            "record_stay.sleeps",
        ),
        (act(Some(false), "2026-06-09T18:00:00+01:00"), "record_stay.rain_from"),
        (
            Act::RecordStay(RecordStay {
                keys: Some(Party::Owner),
                ..stay(None, "2026-06-09T18:00:00+01:00")
            }),
            "record_stay.rain_from",
        ),
        (act(Some(true), "tonight"), "record_stay.rain_from"),
        (act(Some(true), "2026-06-09T18:00:00"), "record_stay.rain_from"),
        (act(Some(true), "2026-06-31T18:00:00+01:00"), "record_stay.rain_from"),
        (act(Some(true), "2026-07-09T18:00:00+01:00"), "record_stay.rain_from"),
        (act(Some(true), "2025-06-09T18:00:00+01:00"), "record_stay.rain_from"),
        (note(" ".into()), "record_stay.note"),
        (note(long(4_001)), "record_stay.note"),
    ]);
    put(&mut shop, act(Some(true), "2026-06-09T18:00:00+01:00"));
    let job = shop.job;
    shop.phone.put(job, closing());
    assert!(shop.phone.record(job, act(Some(false), "")).is_err(), "the visit is over");
}

/// A layer that is entered later, on the day before clocks went forward: 24 hours end an hour later on the wall (last Sunday of March;
/// IANA zone database).
#[test]
fn a_layer_entered_later_over_the_beginning_of_summer_time() {
    let mut shop = Shop::open();
    let coat = put(&mut shop, Act::RecordSheet(sheet(Step::Ceramic, SheetSays::default())));
    let mut later = |act: Act, seen: &str| {
        let input = Input { observed_at: Some(seen.into()), ..shop.phone.input(shop.job, act) };
        id(&shop.phone.open().record(input).expect("accepted").input)
    };
    let begun = later(Act::BeginLayer(layer("bonnet", coat)), "2026-03-28T15:00:00Z");
    later(Act::LevelSection(level(begun)), "2026-03-28T15:02:00Z");
    let cure = shop.phone.open().cure_clocks(shop.job.to_string(), Locale::EnGb).expect("clocks");
    let rain = cure.iter().find(|it| it.wait == "rain").expect("rain");
    assert_eq!((rain.day.as_str(), rain.time.as_str(), rain.left_ms), ("Sun 29 March 2026", "16:02", 0));
    let work = shop.phone.open().work(shop.job.to_string(), Locale::EnGb).expect("the work");
    assert_eq!(work.layers[0].state, "levelled after 2 min");
    assert!(work.layers[0].stamp.entered_later.is_some());
}
