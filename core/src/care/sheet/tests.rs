//! Sheets: what the starter set says, what is refused, what an edit does to a job that runs.

use super::super::surface::refusal;
use super::super::words::SectionOf;
use super::*;

fn starter_of(kind: Step) -> &'static Sheet {
    starter().unwrap().iter().find(|sheet| sheet.kind == kind).unwrap()
}

fn own(json: &str) -> Sheet {
    read(json.as_bytes()).unwrap()
}

const CERAMIC: &str = r#"{"name":"Own ceramic","version":1,"kind":"ceramic"}"#;

fn field<T: std::fmt::Debug>(result: Result<T, Error>) -> String {
    match result {
        Err(Error::Refused { field, .. }) => field,
        other => format!("{other:?}"),
    }
}

#[test]
fn the_starter_set_has_one_sheet_a_kind_and_each_says_that_it_has_no_source() {
    let sheets = starter().unwrap();
    check_all(sheets).unwrap();
    for kind in Step::ALL.iter().filter(|kind| kind.has_product()) {
        let count = sheets.iter().filter(|sheet| sheet.kind == *kind).count();
        // Acid wheel cleaners have none, on purpose.
        assert_eq!(count, usize::from(*kind != Step::AcidWheelCleaner), "{}", kind.word());
    }
    assert!(sheets.iter().all(|sheet| sheet.source.as_deref() == Some("common practice, no source")));
}

/// Common practice, no source: the trade's check values.
#[test]
fn the_starter_set_holds_the_trades_values() {
    let span = |least_s, most_s| Some(Span { least_s, most_s });
    let first = starter_of(Step::FirstLayer);
    assert_eq!(first.section, Some(Section { of: SectionOf::Panel, least: 1, most: 2 }));
    assert_eq!(first.dwell, span(120, Some(180)), "removed after 2 to 3 min");
    assert_eq!(first.coats, Some(Coats { least: 2, most: 2 }));
    assert_eq!(first.next_layer, span(3_600, None), "an hour before the next layer");
    let sealant = starter_of(Step::Sealant);
    assert_eq!(sealant.section, Some(Section { of: SectionOf::Panel, least: 1, most: 1 }));
    assert!(sealant.apply.as_ref().unwrap().contains("crossing passes"));
    assert!(sealant.remove.as_ref().unwrap().contains("when hazed"));
    assert!(sealant.remove.as_ref().unwrap().contains("fresh cloth never used for an earlier product"));
    let wheel = starter_of(Step::WheelProtectant);
    assert_eq!(wheel.section, Some(Section { of: SectionOf::Wheel, least: 2, most: 2 }));
    assert_eq!(wheel.dwell, span(180, Some(240)), "3 to 4 min");
    assert!(wheel.apply.as_ref().unwrap().contains("clear after 2 to 3 min"));
    assert_eq!(wheel.life, Some(Life { least_days: 60, most_days: 90 }), "again every 2 to 3 months");
    let tyre = starter_of(Step::TyreDressing);
    assert!(tyre.apply.as_ref().unwrap().contains("Massage it in thinly"));
    assert_eq!(tyre.dwell.unwrap().least_s, 300, "5 min");
    assert!(tyre.remove.as_ref().unwrap().contains("caked dressing slings"));
    let leather = starter_of(Step::LeatherCare);
    assert_eq!(leather.dwell, span(120, None), "2 min, then buffed");
    assert_eq!(leather.remove.as_deref(), Some("Buff."));
    assert!(leather.life.unwrap().most_days <= 183, "again every few months");
    // Of what protects, wax lasts least.
    let wax = starter_of(Step::Wax).life.unwrap();
    for kind in [Step::Ceramic, Step::Sealant, Step::GlassCoating, Step::WheelProtectant, Step::TrimCoating] {
        assert!(starter_of(kind).life.unwrap().least_days > wax.most_days, "{kind:?}");
    }
}

#[test]
fn no_starter_is_for_a_surface_that_refuses_its_step_for_good() {
    for sheet in starter().unwrap() {
        for surface in &sheet.surfaces {
            let refused = refusal(*surface, sheet.kind);
            assert!(
                refused.is_none_or(|refused| refused.may_override),
                "{} on {}",
                sheet.name,
                surface.word()
            );
        }
    }
}

#[test]
fn what_a_sheet_states_stands_and_the_rest_is_filled_and_told() {
    let mut sheet = own(CERAMIC);
    sheet.dwell = Some(Span { least_s: 1, most_s: Some(2) });
    sheet.waits.rain = Some(Span { least_s: 86_400, most_s: None });
    let filled = fill(&sheet).unwrap();
    assert_eq!(filled.sheet.dwell, sheet.dwell);
    assert_eq!(filled.sheet.waits.rain, sheet.waits.rain);
    let start = starter_of(Step::Ceramic);
    assert_eq!((filled.sheet.life, filled.sheet.waits.wash), (start.life, start.waits.wash));
    assert_eq!(filled.sheet.cautions, start.cautions);
    assert_eq!(filled.sheet.surfaces, start.surfaces);
    assert!(!filled.usual.contains(&"dwell") && !filled.usual.contains(&"waits.rain"));
    assert!(filled.usual.contains(&"life") && filled.usual.contains(&"waits.wash"));
    // A complete starter leaves nothing to fill.
    assert_eq!(fill(start).unwrap().usual, [] as [&str; 0]);
    // Where there is no starter, nothing is made up.
    let acid = own(r#"{"name":"Acid","version":1,"kind":"acid-wheel-cleaner"}"#);
    let filled = fill(&acid).unwrap();
    assert_eq!((filled.sheet, filled.usual.len()), (acid, 0));
}

#[test]
fn a_sheet_that_contradicts_itself_is_refused_by_its_field() {
    let base = CERAMIC.trim_end_matches('}');
    for (more, at) in [
        (r#""dwell":{"least_s":60,"most_s":59}"#, "dwell"),
        (r#""next_layer":{"least_s":1,"most_s":0}"#, "next_layer"),
        (r#""dwell":{"least_s":4000000000}"#, "dwell"),
        (r#""waits":{"rain":{"least_s":2,"most_s":1}}"#, "waits.rain"),
        (r#""waits":{"wash":{"least_s":2,"most_s":1}}"#, "waits.wash"),
        (r#""waits":{"chemicals":{"least_s":2,"most_s":1}}"#, "waits.chemicals"),
        (r#""waits":{"full":{"least_s":2,"most_s":1}}"#, "waits.full"),
        (r#""waits":{"touch":{"least_s":2,"most_s":1}}"#, "waits.touch"),
        (r#""waits":{"touch":{"least_s":7200},"rain":{"least_s":3600}}"#, "waits.rain"),
        (r#""waits":{"touch":{"least_s":7200},"full":{"least_s":3600}}"#, "waits.full"),
        (r#""air":{"least_mc":27000,"most_mc":10000}"#, "air"),
        (r#""panel":{"least_mc":10000,"most_mc":270000}"#, "panel"),
        (r#""humidity":{"least_pct":70,"most_pct":40}"#, "humidity"),
        (r#""humidity":{"least_pct":40,"most_pct":101}"#, "humidity"),
        (r#""life":{"least_days":0,"most_days":10}"#, "life"),
        (r#""life":{"least_days":11,"most_days":10}"#, "life"),
        (r#""section":{"of":"panel","least":0,"most":1}"#, "section"),
        (r#""section":{"of":"panel","least":2,"most":1}"#, "section"),
        (r#""coats":{"least":3,"most":2}"#, "coats"),
        (r#""cautions":["  "]"#, "cautions[0]"),
        (r#""apply":"""#, "apply"),
    ] {
        let sheet = own(&format!("{base},{more}}}"));
        assert_eq!(field(sheet.check("sheets[4].")), format!("sheets[4].{at}"), "{more}");
    }
    for (json, at) in [
        (r#"{"name":" ","version":1,"kind":"wax"}"#, "name"),
        (r#"{"name":"W","version":0,"kind":"wax"}"#, "version"),
        (r#"{"name":"W","version":1,"kind":"dry"}"#, "kind"),
    ] {
        assert_eq!(field(own(json).check("")), at);
    }
    let mut many = own(CERAMIC);
    many.cautions = vec!["so".to_owned(); 21];
    assert_eq!(field(many.check("")), "cautions");
    own(CERAMIC).check("").unwrap();
}

#[test]
fn json_that_is_off_is_refused_by_its_path() {
    for (json, at) in [
        ("", "file"),
        ("[1]", "[0]"),
        (r#"[{"name":"W","version":1,"kind":"base coat"}]"#, "[0].kind"),
        (r#"[{"name":"W","version":-1,"kind":"wax"}]"#, "[0].version"),
        (r#"[{"name":"W","version":1,"kind":"wax","dwell":{"least":1}}]"#, "[0].dwell.least"),
        (r#"[{"name":"W","version":1,"kind":"wax","air":{"least_mc":0.5,"most_mc":1}}]"#, "[0].air.least_mc"),
        (r#"[{"name":"W","version":1,"kind":"wax"}] x"#, "file"),
    ] {
        assert_eq!(field(read::<Vec<Sheet>>(json.as_bytes())), at, "{json}");
    }
    let sheets = starter().unwrap();
    let again: Vec<Sheet> = read(&serde_json::to_vec(sheets).unwrap()).unwrap();
    assert_eq!(again, sheets, "what is written is read");
}

#[test]
fn two_sheets_that_contradict_each_other_are_refused() {
    let one = own(CERAMIC);
    let mut other = one.clone();
    check_all(&[one.clone(), other.clone()]).unwrap();
    other.life = Some(Life { least_days: 1, most_days: 2 });
    assert_eq!(field(check_all(&[one.clone(), other.clone()])), "sheets[1].version");
    other.version = 2;
    check_all(&[one.clone(), other.clone()]).unwrap();
    other.kind = Step::Wax;
    assert_eq!(field(check_all(&[one, other])), "sheets[1].kind");
}

#[test]
fn an_edit_is_the_next_version_and_a_running_job_keeps_its_own() {
    let one = own(CERAMIC);
    let mut two = one.clone();
    two.version = 2;
    assert_eq!(field(revise(&one, &two)), "version", "nothing was changed");
    two.waits.rain = Some(Span { least_s: 172_800, most_s: None });
    two.life = Some(Life { least_days: 100, most_days: 200 });
    revise(&one, &two).unwrap();
    assert_eq!(differences(&one, &two).unwrap(), ["life", "waits"]);
    for (broken, at) in [
        (Sheet { version: 3, ..two.clone() }, "version"),
        (Sheet { version: 1, ..two.clone() }, "version"),
        (Sheet { name: "Another".to_owned(), ..two.clone() }, "name"),
        (Sheet { kind: Step::Wax, ..two.clone() }, "kind"),
        (Sheet { dwell: Some(Span { least_s: 2, most_s: Some(1) }), ..two.clone() }, "dwell"),
    ] {
        assert_eq!(field(revise(&one, &broken)), at);
    }

    let shelf = [one.clone(), two.clone()];
    let begun = standing(&shelf, &one.reference(), "agreed[0].sheet").unwrap();
    assert_eq!(begun.sheet, &one, "not the newer one");
    let said = begun.edited.unwrap();
    assert!(said.contains("version 2 (life, waits)") && said.contains("goes on with version 1"), "{said}");
    assert_eq!(standing(&shelf, &two.reference(), "").unwrap().edited, None);
    assert_eq!(newest(&shelf, "Own ceramic"), Some(&two));
    assert_eq!(newest(&shelf, "own ceramic"), None);
    let unknown = SheetRef { name: "Own ceramic".to_owned(), version: 3 };
    assert_eq!(field(standing(&shelf, &unknown, "agreed[0].sheet")), "agreed[0].sheet");
}
