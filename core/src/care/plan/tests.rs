//! Plans: order, what is added, what is kept back, what is asked.

use super::*;
use crate::record::words::FeelLevel;

mod any_work;

/// A saloon whose bonnet is coated; wax goes over the coating; the rest is dressed.
const SALOON: &str = r#"{
  "surfaces": [
    {"place":"bonnet","kind":"paint-metallic","sections":["left half","right half"],
     "readings_um":[118,121,117,120,119]},
    {"place":"roof","kind":"paint-metallic"},
    {"place":"windscreen","kind":"glass"},
    {"place":"front-bumper-trim","kind":"trim-textured"},
    {"place":"front-left-wheel","kind":"wheel-diamond-cut"},
    {"place":"front-left-tyre","kind":"tyre-wall"},
    {"place":"driver-seat","kind":"leather-coated","clean":true}
  ],
  "agreed": [
    {"step":"leather-care","on":["driver-seat"]},
    {"step":"tyre-dressing","on":["front-left-tyre"]},
    {"step":"wheel-protectant","on":["front-left-wheel"]},
    {"step":"trim-coating","on":["front-bumper-trim"]},
    {"step":"glass-coating","on":["windscreen"]},
    {"step":"wax","on":["bonnet","roof"]},
    {"step":"sealant","on":["bonnet","roof"],"sheet":{"name":"Own sealant","version":1}},
    {"step":"ceramic","on":["bonnet"],"sheet":{"name":"Own ceramic","version":1}},
    {"step":"first-layer","on":["bonnet"]},
    {"step":"polish","on":["bonnet"]},
    {"step":"clay-fine","on":["bonnet","roof"]}
  ],
  "sheets": [
    {"name":"Own ceramic","version":1,"kind":"ceramic","next_layer":{"least_s":7200,"most_s":14400},
     "air":{"least_mc":10000,"most_mc":27000},"humidity":{"least_pct":40,"most_pct":70},
     "waits":{"rain":{"least_s":86400},"wash":{"least_s":604800},"full":{"least_s":1209600}}},
    {"name":"Own sealant","version":1,"kind":"sealant","dwell":{"least_s":300,"most_s":600}}
  ]
}"#;

fn work(json: &str) -> Work {
    sheet::read(json.as_bytes()).unwrap()
}

fn saloon() -> Work {
    work(SALOON)
}

/// Steps of one place, in order.
fn of<'a>(plan: &'a Plan, place: &str) -> Vec<&'a Planned> {
    plan.steps.iter().filter(|step| step.on.iter().any(|on| on.place == place)).collect()
}

fn words(plan: &Plan, place: &str) -> String {
    of(plan, place).iter().map(|step| step.step.word()).collect::<Vec<_>>().join(" ")
}

fn field<T: std::fmt::Debug>(result: Result<T, Error>) -> String {
    match result {
        Err(Error::Refused { field, .. }) => field,
        other => format!("{other:?}"),
    }
}

/// Order by common practice, no source: chemical, clay, polish, wipe, the most lasting layer first, then sealant, then wax;
/// trim, wheels, tyres and leather after.
#[test]
fn steps_come_in_the_trades_order_however_they_were_agreed() {
    let made = plan(&saloon()).unwrap();
    assert_eq!(
        words(&made, "bonnet"),
        "wash dry feel iron-remover feel clay-fine feel polish panel-wipe first-layer first-layer ceramic sealant wax"
    );
    assert_eq!(words(&made, "roof"), "wash dry feel iron-remover feel clay-fine feel panel-wipe sealant wax");
    assert_eq!(words(&made, "windscreen"), "wash dry panel-wipe glass-coating");
    assert_eq!(words(&made, "front-left-tyre"), "wash dry tyre-dressing");
    assert_eq!(words(&made, "driver-seat"), "leather-care", "what is inside is not washed down");
    let layers: Vec<&str> =
        made.steps.iter().filter(|step| step.step.is_layer()).map(|step| step.step.word()).collect();
    assert_eq!(
        layers.join(" "),
        "first-layer first-layer ceramic sealant wax wax glass-coating trim-coating wheel-protectant tyre-dressing \
         leather-care"
            .replace("sealant wax wax", "sealant sealant wax"),
        "sealant waits after ceramic on the bonnet only"
    );
    assert!(made.kept_back.is_empty(), "{:?}", made.kept_back);
    let mut turned = saloon();
    turned.agreed.reverse();
    assert_eq!(plan(&turned).unwrap().steps, made.steps);
}

#[test]
fn a_step_says_what_it_needs_with_what_and_how_long_after_the_one_before() {
    let made = plan(&saloon()).unwrap();
    let bonnet = of(&made, "bonnet");
    let find = |step: Step| *bonnet.iter().find(|planned| planned.step == step).unwrap();
    use Prerequisite::*;
    let ceramic = find(Step::Ceramic);
    assert_eq!(ceramic.needs, [Clean, Dry, Cool, OilsWiped]);
    assert_eq!(find(Step::ClayFine).needs, [Clean, Cool]);
    assert_eq!(find(Step::Polish).needs, [Clean, Dry, Cool]);
    assert_eq!(find(Step::Wax).needs, [Clean, Dry, Cool]);
    assert_eq!(find(Step::Feel).needs, [Clean]);
    assert_eq!(of(&made, "front-left-tyre")[2].needs, [Clean, Dry]);
    assert_eq!(ceramic.on[0].sections, ["left half", "right half"]);
    // An hour since the first layer, common practice; what the ceramic's sheet states goes for the sealant.
    let after =
        |planned: &Planned| planned.after.clone().map(|after| (after.step, after.least_s, after.most_s));
    assert_eq!(after(ceramic), Some((Step::FirstLayer, 3_600, None)));
    let sealant = find(Step::Sealant);
    assert_eq!(after(sealant), Some((Step::Ceramic, 7_200, Some(14_400))));
    assert_eq!((sealant.dwell_least_s, sealant.dwell_most_s), (Some(300), Some(600)));
    assert!(!sealant.usual.contains(&"dwell".to_owned()) && sealant.usual.contains(&"remove".to_owned()));
    let coats: Vec<Option<u32>> = bonnet
        .iter()
        .filter(|planned| planned.step == Step::FirstLayer)
        .map(|planned| planned.coat)
        .collect();
    assert_eq!(coats, [Some(1), Some(2)]);
    assert_eq!(
        after(bonnet.iter().find(|planned| planned.coat == Some(2)).unwrap()),
        Some((Step::FirstLayer, 3_600, None))
    );
    assert!(ceramic.how.iter().any(|line| line == "Air 10 to 27 °C."), "{:?}", ceramic.how);
    assert!(sealant.how.iter().any(|line| line.contains("crossing passes")));
    assert!(sealant.how.iter().any(|line| line.contains("Buff when hazed")));
    assert_eq!(sealant.sheet, Some(SheetRef { name: "Own sealant".to_owned(), version: 1 }));
    assert_eq!(sealant.coat, None);
    assert!(find(Step::Wax).cautions.iter().any(|line| line.contains("Not under a coating")));
    assert!(find(Step::ClayFine).reason.contains("still feels rough"));
    assert!(find(Step::Polish).reason.contains("owner's yes"));
    assert!(ceramic.how.iter().any(|line| line == "Humidity 40 to 70 %."));
    assert!(ceramic.how.iter().any(|line| line == "Keep it dry for 24 h."));
    assert_eq!(ceramic.cloth_zone.as_deref(), Some("coatings"));
    assert_eq!(find(Step::Wax).cloth_zone.as_deref(), Some("upper paint"));
    assert!(ceramic.cautions.iter().any(|line| line.starts_with("Solvent")));
    let iron = find(Step::IronRemover);
    assert_eq!((iron.dwell_least_s, iron.dwell_most_s), (Some(120), Some(300)), "added, by common practice");
    assert!(iron.usual.contains(&"dwell".to_owned()));
    // What was agreed by name is not "added"; what it needs is.
    let added: Vec<&str> =
        bonnet.iter().filter(|planned| planned.added).map(|planned| planned.step.word()).collect();
    assert_eq!(added.join(" "), "wash dry feel iron-remover feel feel panel-wipe");
}

#[test]
fn the_crews_own_zones_are_named() {
    let mut own = saloon();
    own.zones = cloth::usual_zones();
    own.zones[0].name = "white, single use".to_owned();
    let made = plan(&own).unwrap();
    let ceramic = made.steps.iter().find(|step| step.step == Step::Ceramic).unwrap();
    assert_eq!(ceramic.cloth_zone.as_deref(), Some("white, single use"));
    let mut twice = own.clone();
    twice.zones[1].name = "white, single use".to_owned();
    assert_eq!(field(plan(&twice)), "zones[1].name");
    own.zones.pop();
    assert_eq!(field(plan(&own)), "zones");
}

#[test]
fn three_questions_stand_before_the_first_layer_that_must_stay_dry() {
    let made = plan(&saloon()).unwrap();
    let asked: Vec<&Planned> = made.steps.iter().filter(|step| !step.ask.is_empty()).collect();
    assert_eq!(asked.len(), 1);
    assert_eq!(
        (asked[0].step, asked[0].ask.len()),
        (Step::Ceramic, 3),
        "the first layer's sheet states no wait"
    );
    assert!(
        asked[0].ask[0].contains("sleep")
            && asked[0].ask[1].contains("rain")
            && asked[0].ask[2].contains("keys")
    );
    let mut inside = saloon();
    inside.agreed.retain(|agreement| agreement.step == Step::LeatherCare);
    assert!(plan(&inside).unwrap().steps.iter().all(|step| step.ask.is_empty()));
}

#[test]
fn after_an_absence_a_fresh_look_comes_first() {
    let mut left = saloon();
    assert!(plan(&left).unwrap().steps.iter().all(|step| step.step != Step::Look));
    left.facts.after_absence = true;
    let made = plan(&left).unwrap();
    assert_eq!((made.steps[0].step, made.steps[0].on.len()), (Step::Look, left.surfaces.len()));
}

#[test]
fn a_chemical_that_was_used_since_the_wash_is_not_added_again() {
    let with = |findings: &str| {
        let mut work = saloon();
        work.surfaces[1].clean = true;
        work.surfaces[1].findings = sheet::read(findings.as_bytes()).unwrap();
        words(&plan(&work).unwrap(), "roof")
    };
    let iron = r#"{"did":{"at_ms":0,"step":"iron-remover"}}"#;
    assert_eq!(with(&format!("[{iron}]")), "feel clay-fine feel panel-wipe sealant wax");
    let washed = format!(r#"[{iron},{{"did":{{"at_ms":1,"step":"wash"}}}}]"#);
    assert_eq!(with(&washed), "feel iron-remover feel clay-fine feel panel-wipe sealant wax");
}

#[test]
fn a_chemical_alone_adds_no_other() {
    let mut tar = saloon();
    tar.agreed.retain(|agreement| agreement.step == Step::ClayFine);
    tar.agreed[0].step = Step::TarRemover;
    assert_eq!(words(&plan(&tar).unwrap(), "roof"), "wash dry feel tar-remover feel");
}

#[test]
fn heavy_clay_needs_its_own_agreement() {
    let found = |step: &str| format!(r#"{{"did":{{"at_ms":0,"step":"{step}","on":"test-square"}}}}"#);
    let felt = r#"{"felt":{"at_ms":0,"method":"bag","level":"steady-grit","on":"test-square"}}"#;
    let iron = r#"{"did":{"at_ms":0,"step":"iron-remover"}}"#;
    let findings = format!("[{iron},{},{felt},{},{felt}]", found("clay-fine"), found("clay-medium"));
    let mut work = saloon();
    work.surfaces[0].clean = true;
    work.surfaces[0].findings = sheet::read(findings.as_bytes()).unwrap();
    let next = |work: &Work| plan(work).unwrap().now[0].contamination.clone().unwrap();
    assert_eq!(next(&work).step, Some(Step::ClayHeavy));
    assert!(next(&work).first.iter().any(|line| line.contains("own consent")));
    work.agreed[10].step = Step::ClayHeavy;
    work.agreed[10].on = vec!["bonnet".to_owned()];
    assert!(next(&work).first.is_empty(), "{:?}", next(&work).first);
}

#[test]
fn a_clean_surface_is_not_washed_again() {
    let mut clean = saloon();
    clean.surfaces[1].clean = true;
    assert_eq!(
        words(&plan(&clean).unwrap(), "roof"),
        "feel iron-remover feel clay-fine feel panel-wipe sealant wax"
    );
}

#[test]
fn what_a_surface_refuses_is_kept_back_unless_it_is_set_aside() {
    let mut wrong = saloon();
    wrong.surfaces[0].kind = SurfaceKind::PaintMatt;
    let kept = |work: &Work| -> Vec<String> {
        let made = plan(work).unwrap();
        made.kept_back.iter().map(|kept| format!("{} {}", kept.place, kept.refusal.step.word())).collect()
    };
    assert_eq!(kept(&wrong), ["bonnet polish", "bonnet wax", "bonnet clay-fine"]);
    assert!(!words(&plan(&wrong).unwrap(), "bonnet").contains("polish"));
    let consent = r#"{"reason":"a bird mark","answer":"agreed","by":"owner"}"#;
    wrong.agreed[9].set_aside = Some(sheet::read(consent.as_bytes()).unwrap());
    assert_eq!(kept(&wrong), ["bonnet wax", "bonnet clay-fine"]);
    let notes = plan(&wrong).unwrap().notes.join(" ");
    assert!(notes.contains("a bird mark") && notes.contains("for good"), "{notes}");
    let silence = consent.replace("agreed", "sent-no-reply");
    wrong.agreed[9].set_aside = Some(sheet::read(silence.as_bytes()).unwrap());
    let made = plan(&wrong).unwrap();
    let polish = made.kept_back.iter().find(|kept| kept.refusal.step == Step::Polish).unwrap();
    assert!(polish.wanting.as_ref().unwrap().contains("not consent"), "{polish:?}");
}

#[test]
fn what_is_kept_back_holds_nothing_up() {
    let mut work = saloon();
    work.agreed[10].step = Step::ClayMedium;
    work.agreed[10].on = vec!["bonnet".to_owned()];
    assert!(plan(&work).unwrap().kept_back.is_empty());
    // Thin paint keeps the polish back, and with it the clay that marks paint; wax on it keeps the layers back.
    work.surfaces[0].readings_um[0] = 82;
    let kept = |work: &Work| -> String {
        let made = plan(work).unwrap();
        made.kept_back.iter().map(|kept| kept.refusal.step.word()).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(kept(&work), "polish clay-medium");
    work.surfaces[0].wears = vec![Step::Wax];
    work.agreed.retain(|agreement| agreement.step != Step::Wax);
    assert_eq!(
        kept(&work),
        "polish sealant ceramic first-layer clay-medium clay-medium",
        "two reasons against the clay"
    );
}

#[test]
fn each_refusal_is_set_aside_by_itself() {
    let mut both = saloon();
    both.surfaces[0].kind = SurfaceKind::PaintFresh;
    both.surfaces[0].readings_um[0] = 82;
    both.agreed.retain(|agreement| agreement.step == Step::Polish);
    let made = plan(&both).unwrap();
    assert_eq!(made.kept_back.len(), 2);
    let consent = r#"{"reason":"deep marks","answer":"agreed","by":"owner"}"#;
    both.agreed[0].set_aside = Some(sheet::read(consent.as_bytes()).unwrap());
    let notes = plan(&both).unwrap().notes;
    assert!(notes.len() == 2 && notes[0].contains("soft") && notes[1].contains("82 µm"), "{notes:?}");
    // What nobody can set aside stays, whatever else was.
    both.surfaces[0].kind = SurfaceKind::PaintPeeling;
    let made = plan(&both).unwrap();
    assert!(made.kept_back.len() == 1 && !made.kept_back[0].refusal.may_override);
    assert!(!words(&made, "bonnet").contains("polish"));
}

#[test]
fn thin_paint_keeps_the_polish_back() {
    let mut thin = saloon();
    thin.surfaces[0].readings_um[2] = 82;
    let made = plan(&thin).unwrap();
    assert_eq!(made.kept_back.len(), 1);
    assert!(made.kept_back[0].refusal.reason.contains("82 µm"));
    let square = r#"[{"step":"polish","lowest_um":81}]"#;
    let mut squared = saloon();
    squared.surfaces[0].squares = sheet::read(square.as_bytes()).unwrap();
    assert_eq!(plan(&squared).unwrap().kept_back.len(), 1, "what the square measured counts");
    thin.surfaces[0].floor_um = Some(80);
    assert!(plan(&thin).unwrap().kept_back.is_empty());
}

#[test]
fn clay_is_kept_back_where_it_is_smooth_or_nothing_protects_afterwards() {
    let felt = |level: FeelLevel| {
        let mut work = saloon();
        let finding = format!(r#"[{{"felt":{{"at_ms":0,"method":"bag","level":"{}"}}}}]"#, level.word());
        work.surfaces[1].clean = true;
        work.surfaces[1].findings = sheet::read(finding.as_bytes()).unwrap();
        work
    };
    let smooth = plan(&felt(FeelLevel::Smooth)).unwrap();
    assert_eq!(smooth.kept_back.len(), 1);
    assert!(smooth.kept_back[0].refusal.reason.contains("Smooth: no clay"), "{:?}", smooth.kept_back);
    assert_eq!(words(&smooth, "roof"), "panel-wipe sealant wax");
    let gritty = plan(&felt(FeelLevel::SteadyGrit)).unwrap();
    assert!(gritty.kept_back.is_empty());
    let now = gritty.now.iter().find(|now| now.place == "roof").unwrap();
    assert_eq!(now.contamination.as_ref().unwrap().step, Some(Step::IronRemover));

    let looked = r#"{"did":{"at_ms":1,"step":"look","saw":"clear-failure"}}"#;
    let mut failing = felt(FeelLevel::Rough);
    failing.surfaces[1].findings.push(sheet::read(looked.as_bytes()).unwrap());
    let kept = plan(&failing).unwrap().kept_back;
    assert!(kept.len() == 1 && !kept[0].refusal.may_override, "{kept:?}");

    let mut bare = felt(FeelLevel::SteadyGrit);
    bare.agreed.retain(|agreement| !agreement.step.is_layer());
    let reasons = |work: &Work| -> Vec<String> {
        plan(work).unwrap().kept_back.into_iter().map(|kept| kept.refusal.reason).collect()
    };
    assert_eq!(reasons(&bare).iter().filter(|reason| reason.contains("none is agreed after it")).count(), 2);
    let mut medium = felt(FeelLevel::SteadyGrit);
    medium.agreed[10].step = Step::ClayMedium;
    assert_eq!(
        reasons(&medium),
        ["this clay marks paint, and no machine polishing is agreed after it"],
        "on the roof"
    );
}

#[test]
fn nothing_goes_over_wax_but_wax() {
    let mut waxed = saloon();
    waxed.surfaces[1].wears = vec![Step::Wax];
    let made = plan(&waxed).unwrap();
    let kept: Vec<&str> = made.kept_back.iter().map(|kept| kept.refusal.step.word()).collect();
    assert_eq!(kept, ["sealant"]);
    assert!(words(&made, "roof").ends_with("wax"));
    // Polish takes it off.
    waxed.surfaces[0].wears = vec![Step::Wax];
    assert!(plan(&waxed).unwrap().kept_back.iter().all(|kept| kept.place == "roof"));
}

#[test]
fn a_sheet_that_is_not_for_the_surface_keeps_its_step_back() {
    let mut other = saloon();
    other.sheets[1].surfaces = vec![SurfaceKind::Glass];
    let made = plan(&other).unwrap();
    assert_eq!(made.kept_back.len(), 2);
    assert!(
        made.kept_back[0].refusal.reason.contains("does not name metallic paint"),
        "{:?}",
        made.kept_back
    );
}

#[test]
fn a_sheet_edited_while_the_job_runs_changes_nothing_and_is_told() {
    let made = plan(&saloon()).unwrap();
    let mut edited = saloon();
    let mut newer = edited.sheets[1].clone();
    newer.version = 2;
    newer.dwell = Some(sheet::Span { least_s: 1, most_s: Some(2) });
    edited.sheets.push(newer);
    let after = plan(&edited).unwrap();
    assert_eq!(after.steps, made.steps);
    assert!(after.notes.len() == 1 && after.notes[0].contains("goes on with version 1"), "{:?}", after.notes);
}

#[test]
fn layers_whose_windows_do_not_meet_are_told() {
    let mut cold = saloon();
    assert!(plan(&cold).unwrap().notes.is_empty());
    cold.sheets[1].air = Some(Temperatures { least_mc: 27_001, most_mc: 30_000 });
    let notes = plan(&cold).unwrap().notes;
    assert!(notes.len() == 1 && notes[0].contains("no temperature of the air in common"), "{notes:?}");
    cold.sheets[1].air = Some(Temperatures { least_mc: 27_000, most_mc: 30_000 });
    assert!(plan(&cold).unwrap().notes.is_empty(), "one degree in common is enough");
}

#[test]
fn where_nothing_is_agreed_nothing_is_planned() {
    let mut idle = saloon();
    idle.agreed.clear();
    let made = plan(&idle).unwrap();
    assert!(made.steps.is_empty() && made.kept_back.is_empty() && made.now.is_empty());
    let polish = plan(&saloon()).unwrap();
    assert_eq!(polish.now.len(), 2);
    assert!(polish.now[0].polish.is_some() && polish.now[1].polish.is_none());
}

#[test]
fn what_is_wrong_in_the_file_is_named_by_its_path() {
    type Change = fn(&mut Work);
    let changes: [(Change, &str); 15] = [
        (|work| work.surfaces[1].place = "bonnet".to_owned(), "surfaces[1].place"),
        (|work| work.surfaces[1].place = " ".to_owned(), "surfaces[1].place"),
        (|work| work.surfaces[1].wears = vec![Step::Wash], "surfaces[1].wears[0]"),
        (|work| work.surfaces[1].chemical_first = Some(Step::Wax), "surfaces[1].chemical_first"),
        (|work| work.surfaces[0].readings_um = vec![0], "surfaces[0].readings_um[0]"),
        (|work| work.surfaces[0].floor_um = Some(0), "surfaces[0].floor_um"),
        (|work| work.surfaces[0].no_reading = Some(NoReading::Wet), "surfaces[0].no_reading"),
        (|work| work.agreed[0].on = vec!["keel".to_owned()], "agreed[0].on[0]"),
        (|work| work.agreed[0].on.clear(), "agreed[0].on"),
        (|work| work.agreed[5].on.push("bonnet".to_owned()), "agreed[5].on[2]"),
        (|work| work.agreed.push(work.agreed[5].clone()), "agreed[11].on[0]"),
        (|work| work.agreed[6].step = Step::FabricGuard, "agreed[6].sheet"),
        (|work| work.sheets[0].version = 2, "agreed[7].sheet"),
        (|work| work.sheets[1].dwell = Some(sheet::Span { least_s: 2, most_s: Some(1) }), "sheets[1].dwell"),
        (|work| work.surfaces = vec![work.surfaces[0].clone(); 501], "surfaces"),
    ];
    for (change, at) in changes {
        let mut broken = saloon();
        change(&mut broken);
        assert_eq!(field(plan(&broken)), at);
    }
    for (json, at) in [
        (r#"{"surfaces":[]}"#, "file"),
        (r#"{"surfaces":[{"place":"roof","kind":"paint"}],"agreed":[]}"#, "surfaces[0].kind"),
        (r#"{"surfaces":[{"place":"roof","kind":"glass","colour":1}],"agreed":[]}"#, "surfaces[0].colour"),
        (r#"{"surfaces":[],"agreed":[{"step":"wax","on":[],"sheet":{"name":"W"}}]}"#, "agreed[0].sheet"),
    ] {
        assert_eq!(field(sheet::read::<Work>(json.as_bytes())), at, "{json}");
    }
}
