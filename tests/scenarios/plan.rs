//! The plan from everything on record: the job's own sheets, how warm the panel is, what drives the car, and the night before a layer
//! may get wet.

use super::treat::{against, agree, aside};
use super::*;
use sidelong_core::record::inputs::{
    BeginLayer, Coats, LevelSection, ReadConditions, ReadInstruments, RecordSheet, RecordStay, SheetSays,
    Span, Temperatures, Waits,
};
use sidelong_core::record::views::{EntryKind, PlanView, PlannedView};
use sidelong_core::record::words::{Area, Sleeps, Step, SurfaceKind};

fn plan(phone: &Phone, job: Uuid) -> PlanView {
    phone.open().plan(job.to_string(), Locale::EnGb).expect("a plan")
}

fn lines(plan: &PlanView, step: Step) -> String {
    let lines = plan.steps.iter().filter(|it| it.step == step).flat_map(|it: &PlannedView| &it.lines);
    lines.cloned().collect::<Vec<_>>().join(" | ")
}

fn own(name: &str, says: SheetSays) -> RecordSheet {
    RecordSheet {
        kind: Step::Ceramic,
        starter: false,
        name: Some(name.to_owned()),
        version: None,
        says,
        apply: None,
        remove: None,
        cautions: Vec::new(),
        source: None,
    }
}

fn dwell(least_s: u32, most_s: u32) -> SheetSays {
    let window = |least_mc, most_mc| Some(Temperatures { least_mc, most_mc });
    let rain = Some(Span { least_s: 86_400, most_s: None });
    SheetSays {
        dwell: Some(Span { least_s, most_s: Some(most_s) }),
        panel: window(10_000, 27_000),
        waits: Some(Waits { rain, ..Waits::default() }),
        ..SheetSays::default()
    }
}

fn warm(panel: Option<&str>, panel_mc: i32) -> Act {
    Act::ReadConditions(ReadConditions {
        panel: panel.map(str::to_owned),
        sheet: None,
        air_mc: 22_000,
        panel_mc: Some(panel_mc),
        rh_ppm: 500_000,
        sun_on_panel: false,
        note: None,
    })
}

fn begun(folder: &std::path::Path, seed: u64) -> (Phone, Uuid) {
    let mut phone = Phone::new(folder, seed);
    let job = phone.begin(Form::Saloon, Stage::AfterWash);
    for panel in ["bonnet", "roof"] {
        phone.put(job, nothing_seen(panel));
    }
    phone.put(job, agree(&[(Step::Ceramic, &["bonnet", "roof"])]));
    (phone, job)
}

/// The newest version of the product that was put on record last, with what in it is only usual; a sheet of another kind is none.
#[test]
fn the_plan_goes_by_the_jobs_own_sheets() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = begun(folder.path(), 2_001);
    let usual = lines(&plan(&phone, job), Step::Ceramic);
    assert!(!usual.contains("By the sheet of") && usual.contains("common practice, no source"), "{usual}");
    phone.put(job, Act::RecordSheet(own("Old glaze", dwell(300, 400))));
    phone.put(job, Act::RecordSheet(own("Own glaze", dwell(60, 90))));
    phone.put(job, Act::RecordSheet(own("Own glaze", dwell(100, 150))));
    phone.put(job, Act::RecordSheet(RecordSheet { kind: Step::Wax, ..own("Own wax", SheetSays::default()) }));
    let told = lines(&plan(&phone, job), Step::Ceramic);
    for part in
        ["By the sheet of Own glaze, version 2.", "Off after 100 s to 150 s", "common practice, no source"]
    {
        assert!(told.contains(part), "{part}: {told}");
    }
    // A sheet that names its surfaces speaks against others, at the door as in the plan; consent sets it aside.
    let glass = SheetSays { surfaces: vec![SurfaceKind::Glass], ..dwell(60, 90) };
    phone.put(job, Act::RecordSheet(own("Own glaze", glass)));
    let kept = plan(&phone, job).kept_back;
    assert!(kept.len() == 2 && kept[0].contains("the sheet of \"Own glaze\" does not name"), "{kept:?}");
    let said = against(&phone, job, "bonnet", Step::Ceramic, Area::Panel);
    assert!(said.len() == 1 && said[0].contains("does not name"), "{said:?}");
    phone.put(job, aside("bonnet", Step::Ceramic, Area::Panel, "The maker says so.", OwnerAnswer::Agreed));
    let plan = plan(&phone, job);
    assert_eq!(plan.kept_back.len(), 1, "{:?}", plan.kept_back);
    assert!(plan.steps.iter().any(|it| it.step == Step::Ceramic && it.panels == ["bonnet"]));
}

/// A coat is on when every section of it that was begun is levelled; what is left of the sheet's coats still waits.
#[test]
fn coats_that_are_on_are_not_planned_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = begun(folder.path(), 2_003);
    let says = SheetSays { coats: Some(Coats { least: 2, most: 2 }), ..dwell(60, 90) };
    let sheet = phone.put(job, Act::RecordSheet(own("Own glaze", says)));
    let sheet = sheet.input.parse().expect("an id");
    let left = |phone: &Phone, panel: &str| -> Vec<String> {
        let steps = plan(phone, job).steps.into_iter();
        let here = steps.filter(|it| it.step == Step::Ceramic && it.panels.iter().any(|on| on == panel));
        here.map(|it| it.text).collect()
    };
    let both = ["ceramic coating, coat 1", "ceramic coating, coat 2"];
    let begin = |phone: &mut Phone, part: u32, layer: u32| {
        let act =
            BeginLayer { panel: "bonnet".to_owned(), part: Some(part), layer, sheet, lot: None, who: None };
        phone.put(job, Act::BeginLayer(act)).input.parse::<Uuid>().expect("an id")
    };
    let level = |phone: &mut Phone, begun: Uuid| {
        phone.put(job, Act::LevelSection(LevelSection { begun, who: None, then: None }));
    };
    let (one, two) = (begin(&mut phone, 1, 1), begin(&mut phone, 2, 1));
    level(&mut phone, one);
    assert_eq!(left(&phone, "bonnet"), both, "a section of the first coat waits");
    level(&mut phone, two);
    assert_eq!(left(&phone, "bonnet"), ["ceramic coating, coat 2"]);
    assert_eq!(left(&phone, "roof"), both);
    let history = phone.open().treated(job.to_string(), Locale::EnGb).expect("a view").panels;
    let history = &history.iter().find(|it| it.panel == "bonnet").expect("the bonnet").history;
    assert!(history.iter().any(|it| it.typed == ["with Own glaze"]), "{history:?}");
    let second = begin(&mut phone, 1, 2);
    level(&mut phone, second);
    assert!(left(&phone, "bonnet").is_empty(), "{:?}", left(&phone, "bonnet"));
}

/// The last reading there, or else the last one anywhere, and that is said; an old one says nothing. An instrument that shows a charge
/// is one of an electric or hybrid car.
#[test]
fn the_plan_knows_how_warm_the_panel_is_and_what_drives_the_car() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = begun(folder.path(), 2_002);
    phone.put(job, Act::RecordSheet(own("Own glaze", dwell(60, 90))));
    let notes = |phone: &Phone| plan(phone, job).notes;
    assert!(notes(&phone).is_empty(), "{:?}", notes(&phone));
    phone.put(job, warm(Some("bonnet"), 31_500));
    let said = notes(&phone);
    assert_eq!(
        said,
        [
            "No own panel temperature of the last half hour: roof; taken is 31.5 °C, read on bonnet Tue 08:10.",
            "roof: the panel is at 31.5 °C; ceramic coating wants 10 to 27 °C.",
            "bonnet: the panel is at 31.5 °C; ceramic coating wants 10 to 27 °C.",
        ]
    );
    phone.clock.set(MORNING_MS + 10 * 60_000);
    phone.put(job, warm(Some("roof"), 21_000));
    let said = notes(&phone);
    assert!(said.len() == 1 && said[0].starts_with("bonnet: the panel is at 31.5 °C"), "{said:?}");
    phone.clock.set(MORNING_MS + 31 * 60_000);
    let said = notes(&phone);
    assert!(
        said.len() == 1 && said[0].contains("bonnet; taken is 21 °C, read on roof Tue 08:20"),
        "{said:?}"
    );
    phone.clock.set(MORNING_MS + 41 * 60_000);
    assert!(notes(&phone).is_empty(), "what was read before the last half hour says nothing");

    phone.put(job, agree(&[(Step::IronRemover, &["bonnet"])]));
    let cautions = |phone: &Phone| {
        let steps = plan(phone, job).steps;
        steps.iter().flat_map(|it| &it.cautions).any(|it| it.starts_with("High voltage"))
    };
    assert!(!cautions(&phone));
    let instruments = |charge_pct| ReadInstruments {
        odometer: None,
        unit: None,
        fuel_pct: Some(50),
        charge_pct,
        lamps: None,
        tried: Vec::new(),
        note: None,
    };
    phone.put(job, Act::ReadInstruments(instruments(None)));
    assert!(!cautions(&phone));
    phone.put(job, Act::ReadInstruments(instruments(Some(80))));
    assert!(cautions(&phone));
}

/// What is on record of the night is not asked again, and has its consequence; the next day it is asked anew.
#[test]
fn the_night_before_a_layer_may_get_wet() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = begun(folder.path(), 2_003);
    phone.put(job, Act::RecordSheet(own("Own glaze", dwell(60, 90))));
    let told = |phone: &Phone| lines(&plan(phone, job), Step::Ceramic);
    let asked = told(&phone);
    for question in ["Where does the car sleep tonight?", "Is rain due?", "Who has the keys"] {
        assert!(asked.contains(question), "{question}: {asked}");
    }
    let keys =
        |to| PassCustody { what: Custody::KeysAndVehicle, from: Party::Owner, to, keys: Some(1), note: None };
    phone.put(job, Act::PassCustody(keys(Party::Detailer)));
    let asked = told(&phone);
    assert!(!asked.contains("Who has the keys") && asked.contains("Is rain due?"), "{asked}");
    let rain = RecordStay {
        rain: Some(true),
        rain_from: Some("2026-06-09T18:00:00+01:00".into()),
        note: Some("says the harbour's forecast".into()),
        ..RecordStay::default()
    };
    phone.put(job, Act::RecordStay(rain));
    phone.put(job, Act::RecordStay(RecordStay { sleeps: Some(Sleeps::Outside), ..RecordStay::default() }));
    let known = told(&phone);
    for part in [
        "Rain is due from Tue 18:00, and it must be kept dry for 24 h: finished now, it gets wet too early",
        "It sleeps outside and must be kept dry for 24 h",
    ] {
        assert!(known.contains(part), "{part}: {known}");
    }
    assert!(!known.contains('?'), "{known}");
    let stay = RecordStay { rain: Some(false), keys: Some(Party::Owner), ..RecordStay::default() };
    phone.clock.set(MORNING_MS + 10 * 3_600_000);
    phone.put(job, nothing_seen("bonnet"));
    phone.put(job, Act::RecordStay(stay));
    let known = told(&phone);
    assert!(known.contains("The keys are with the owner") && !known.contains("Rain is due"), "{known}");
    assert_ne!(plan(&phone, job).steps[0].step, Step::Look, "it is still watched");
    let view = phone.view(job);
    let nights: Vec<_> = view.visit.iter().filter(|it| it.kind == EntryKind::Stay).collect();
    assert_eq!(nights[0].lines, ["rain is due from Tue 9 June 2026, 18:00:00 (UTC+01:00)"]);
    assert_eq!(nights[2].lines, ["no rain is due", "the keys: the owner"]);
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("The night") && page.contains("It sleeps outside") && page.contains("harbour"));

    // Half past midnight, six hours after the last look and less: somebody else had the keys over the night.
    phone.clock.set(MORNING_MS + 10 * 3_600_000 + 5 * 3_600_000 + 55 * 60_000);
    let early = plan(&phone, job);
    assert_eq!(early.steps[0].step, Step::Look, "a fresh look first");
    phone.put(job, nothing_seen("bonnet"));
    assert_ne!(plan(&phone, job).steps[0].step, Step::Look);
    // The keys alone went to a safe before the next night: the car stayed, and may have been opened all the same.
    phone.clock.set(MORNING_MS + 73 * 3_600_000 / 2);
    phone.put(job, nothing_seen("bonnet"));
    let safe = PassCustody {
        what: Custody::Keys,
        from: Party::Detailer,
        to: Party::KeySafe,
        keys: None,
        note: None,
    };
    phone.put(job, Act::PassCustody(safe));
    assert_ne!(plan(&phone, job).steps[0].step, Step::Look);
    phone.clock.set(MORNING_MS + 41 * 3_600_000);
    assert_eq!(plan(&phone, job).steps[0].step, Step::Look, "a fresh look first");
    // Over the next night it is asked anew.
    phone.clock.set(MORNING_MS + 60 * 3_600_000);
    let asked = told(&phone);
    assert!(asked.contains("Where does the car sleep tonight?") && asked.contains("Is rain due?"), "{asked}");
    assert!(!asked.contains("Who has the keys"), "keys stay where they went: {asked}");
}
