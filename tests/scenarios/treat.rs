//! Scenarios 11 to 15 and what goes with them: what a surface refuses, from the feel test to clay, a test square before the
//! panel, the plan made from the record, cloths.

use sidelong_core::api::{reactions_offered, work_offered};
use sidelong_core::error::Error;
use sidelong_core::record::events::{Shop, Zone};
use sidelong_core::record::inputs::{
    Act, AgreeWork, AttachPhoto, BeginWalk, JudgeSquare, MeasureThickness, OpenJob, PutOut, RecordFeel,
    RecordOutcome, RecordStep, RecordSurface, SetAside, StepAgreed, TakeCloth, TrySquare,
};
use sidelong_core::record::views::{EntryKind, NextStepView, PanelTreatedView};
use sidelong_core::record::words::{
    Area, ClothOut, FeelLevel, Finish, Form, Light, Locale, OwnerAnswer, Party, Reaction, Stage, Step,
    SurfaceKind, Tool, ZoneUse,
};
use sidelong_tests::{MORNING_MS, Phone, car, feel, fixture, nothing_seen, photo};
use uuid::Uuid;

fn id(text: &str) -> Uuid {
    Uuid::parse_str(text).expect("an id")
}

fn done(step: Step, panel: &str, on: Area) -> RecordStep {
    RecordStep {
        panels: vec![panel.to_owned()],
        step,
        on: Some(on),
        reacted: Vec::new(),
        saw: None,
        product: None,
        note: None,
    }
}

pub fn agree(steps: &[(Step, &[&str])]) -> Act {
    let said = |(step, panels): &(Step, &[&str])| StepAgreed {
        step: *step,
        panels: panels.iter().map(|panel| (*panel).to_owned()).collect(),
        agreed: true,
    };
    Act::AgreeWork(AgreeWork { by: Party::Owner, steps: steps.iter().map(said).collect(), note: None })
}

pub fn aside(panel: &str, step: Step, on: Area, reason: &str, answer: OwnerAnswer) -> Act {
    Act::SetAside(SetAside {
        panel: panel.to_owned(),
        step,
        on: Some(on),
        reason: reason.to_owned(),
        answer,
        by: Party::Owner,
    })
}

pub fn square(panel: &str, step: Step) -> Act {
    Act::TrySquare(TrySquare {
        panel: panel.to_owned(),
        at: None,
        step,
        machine: "orbital, 12 mm".to_owned(),
        pad: "soft foam".to_owned(),
        polish: "fine polish".to_owned(),
        passes: 3,
        note: None,
    })
}

fn judged(square: Uuid) -> JudgeSquare {
    JudgeSquare { square, enough: None, lowest_um: None, before: None, after: None, answer: None, by: None }
}

pub fn readings(panel: &str, readings_um: &[u32]) -> Act {
    Act::MeasureThickness(MeasureThickness {
        walk: None,
        panel: panel.to_owned(),
        at: None,
        readings_um: readings_um.to_vec(),
        no_reading: None,
        gauge_check: None,
        note: None,
    })
}

/// The field and the reason of a refusal.
pub fn refused(phone: &mut Phone, job: Uuid, act: Act) -> (String, String) {
    match phone.record(job, act) {
        Err(Error::Refused { field, reason }) => (field, reason),
        other => panic!("{other:?}"),
    }
}

pub fn against(phone: &Phone, job: Uuid, panel: &str, step: Step, on: Area) -> Vec<String> {
    let all = phone.open().refused(job.to_string(), panel.to_owned(), step, Some(on), Locale::EnGb);
    all.expect("the job").into_iter().filter(|it| !it.set_aside).map(|it| it.reason).collect()
}

pub fn panel(phone: &Phone, job: Uuid, name: &str) -> PanelTreatedView {
    let view = phone.open().treated(job.to_string(), Locale::EnGb).expect("the job");
    view.panels.into_iter().find(|it| it.panel == name).expect("the panel")
}

fn next(phone: &Phone, job: Uuid, name: &str) -> NextStepView {
    panel(phone, job, name).next.expect("a next step")
}

/// Scenario 11: A shop floor of 90 µm and a reading of 82 on the roof's edge: compounding warns, needs a reason and consent, and
/// both are in the log.
#[test]
fn scenario_11_compound_on_thin_paint() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 111);
    let shop = Shop { floor_um: Some(90), ..Shop::default() };
    assert!(phone.open().describe_shop(shop.clone()).expect("described"));
    assert!(!phone.open().describe_shop(shop).expect("the same"));
    let job = phone.begin(Form::Saloon, Stage::AfterWash);
    assert!(against(&phone, job, "roof", Step::Compound, Area::TestSquare).is_empty());
    phone.put(job, readings("roof", &[110, 82, 104]));
    let warned = against(&phone, job, "roof", Step::Compound, Area::TestSquare);
    assert_eq!(warned, ["the lowest reading, 82 µm, is under the floor of 90 µm"]);
    let (field, reason) = refused(&mut phone, job, square("roof", Step::Compound));
    assert_eq!(field, "act.try_square.panel");
    assert!(reason.contains("82 µm") && reason.contains("needs a reason and consent"), "{reason}");
    for (reason, answer, wanted) in [
        (" ", OwnerAnswer::Agreed, "act.set_aside.reason"),
        ("Only the scratch.", OwnerAnswer::Absent, "act.set_aside.answer"),
        ("Only the scratch.", OwnerAnswer::SentNoReply, "act.set_aside.answer"),
    ] {
        let act = aside("roof", Step::Compound, Area::TestSquare, reason, answer);
        assert_eq!(refused(&mut phone, job, act).0, wanted);
    }
    phone.put(job, aside("roof", Step::Compound, Area::TestSquare, "Only the scratch.", OwnerAnswer::Agreed));
    assert!(against(&phone, job, "roof", Step::Compound, Area::TestSquare).is_empty());
    phone.put(job, square("roof", Step::Compound));
    let whole = against(&phone, job, "roof", Step::Compound, Area::Panel);
    assert_eq!(whole.len(), 2, "consent to a square is none to the roof: {whole:?}");
    let (field, _) = refused(&mut phone, job, Act::RecordStep(done(Step::Compound, "roof", Area::Panel)));
    assert_eq!(field, "act.record_step.panels[0]");
    let view = phone.view(job);
    let entry = view.visit.iter().find(|it| it.kind == EntryKind::SetAside).expect("the entry");
    assert!(entry.lines.iter().any(|line| line.contains("82 µm")), "{:?}", entry.lines);
    assert!(entry.lines.contains(&"consent: the owner, agreed".to_owned()), "{:?}", entry.lines);
    assert_eq!(entry.typed, ["Only the scratch."]);
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    for told in [
        "Warnings that were set aside",
        "under the floor of 90 µm",
        "Only the scratch.",
        "Consent: the owner, agreed",
    ] {
        assert!(page.contains(told), "{told}");
    }
    // A lower reading is another warning: the consent of before does not cover it.
    phone.put(job, readings("roof", &[79]));
    assert_eq!(against(&phone, job, "roof", Step::Compound, Area::TestSquare).len(), 1);
}

/// Scenario 12: Matt paint: clay and machine warn before they start, and go on only with a recorded consent; a panel that was
/// painted otherwise is itself, and where people slip no consent helps.
#[test]
fn scenario_12_matt_paint_through_the_door() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 112);
    let job = phone.dice.id();
    phone.put(job, Act::OpenJob(OpenJob { finish: Finish::Matt, ..car(Form::Coupe) }));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    assert_eq!(phone.view(job).vehicle.finish_text, "matt or satin paint");
    for step in [Step::ClayFine, Step::Polish] {
        let warned = against(&phone, job, "bonnet", step, Area::TestSquare);
        assert!(warned[0].contains("nothing brings the matt back"), "{warned:?}");
    }
    let clay = || Act::RecordStep(done(Step::ClayFine, "bonnet", Area::TestSquare));
    assert_eq!(refused(&mut phone, job, clay()).0, "act.record_step.panels[0]");
    assert_eq!(refused(&mut phone, job, square("bonnet", Step::Polish)).0, "act.try_square.panel");
    let consent = aside("bonnet", Step::ClayFine, Area::TestSquare, "A hidden place.", OwnerAnswer::Agreed);
    phone.put(job, consent);
    phone.put(job, clay());
    let entries = phone.view(job).visit;
    let entry = entries.iter().find(|it| it.kind == EntryKind::StepDone).expect("the step");
    assert!(entry.lines.iter().any(|line| line.contains("in spite of a warning")), "{:?}", entry.lines);
    let again = aside("bonnet", Step::Wash, Area::Panel, "why not", OwnerAnswer::Agreed);
    assert_eq!(refused(&mut phone, job, again).0, "act.set_aside.step", "nothing speaks against a wash");

    let gloss = RecordSurface {
        panel: "roof".to_owned(),
        kind: SurfaceKind::PaintSolid,
        also: vec![SurfaceKind::FilmEdge],
        note: None,
    };
    phone.put(job, Act::RecordSurface(gloss));
    assert!(against(&phone, job, "roof", Step::Polish, Area::TestSquare).is_empty());
    assert_eq!(panel(&phone, job, "roof").keep_off, ["the edge of a film or wrap"]);
    let pedals = aside("pedals", Step::TyreDressing, Area::Panel, "asked for", OwnerAnswer::Agreed);
    let (field, reason) = refused(&mut phone, job, pedals);
    assert!(field == "act.set_aside.step" && reason.contains("slip"), "{field}: {reason}");
}

/// Scenario 13: Steady fine grit, purple after iron remover, then a few specks; fine clay on a test square, then silent: three
/// feel results in order with times, product kinds, grade and who.
#[test]
fn scenario_13_bag_test_to_clay() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 113);
    phone.open().switch_recorder("R.".to_owned()).expect("switched");
    let job = phone.begin(Form::Saloon, Stage::AfterWash);
    phone.put(job, agree(&[(Step::ClayFine, &["bonnet"]), (Step::Sealant, &["bonnet"])]));
    assert_eq!(next(&phone, job, "bonnet").step, Some(Step::Feel));
    let gritty = phone.put(job, feel("bonnet", FeelLevel::SteadyGrit));
    let iron = next(&phone, job, "bonnet");
    assert_eq!((iron.step, iron.rests_on), (Some(Step::IronRemover), Some(gritty.input)));
    assert!(iron.reason.contains("chemical before mechanical"), "{}", iron.reason);
    let clay = |on| {
        Act::RecordStep(RecordStep {
            product: Some("clay, fine".to_owned()),
            ..done(Step::ClayFine, "bonnet", on)
        })
    };
    let (_, reason) = refused(&mut phone, job, clay(Area::TestSquare));
    assert!(reason.contains("first comes iron remover"), "{reason}");
    phone.put(
        job,
        Act::RecordStep(RecordStep {
            reacted: vec![Reaction::Iron],
            product: Some("iron remover".to_owned()),
            ..done(Step::IronRemover, "bonnet", Area::Panel)
        }),
    );
    let again = phone.put(job, feel("bonnet", FeelLevel::FewSpecks));
    let fine = next(&phone, job, "bonnet");
    assert_eq!((fine.step, fine.on), (Some(Step::ClayFine), Area::TestSquare));
    assert_eq!(fine.rests_on, Some(again.input));
    assert!(fine.refused.is_empty(), "{:?}", fine.refused);
    assert!(refused(&mut phone, job, clay(Area::Panel)).1.contains("a test square"));
    phone.put(job, clay(Area::TestSquare));
    let felt = next(&phone, job, "bonnet");
    assert_eq!((felt.step, felt.on), (Some(Step::Feel), Area::TestSquare));
    let Act::RecordFeel(silent) = feel("bonnet", FeelLevel::Smooth) else { panic!("a feel test") };
    phone.put(job, Act::RecordFeel(RecordFeel { on: Some(Area::TestSquare), ..silent }));
    let whole = next(&phone, job, "bonnet");
    assert_eq!((whole.step, whole.on, whole.protect_again), (Some(Step::ClayFine), Area::Panel, true));

    let history = panel(&phone, job, "bonnet").history;
    let told: Vec<&str> = history.iter().map(|line| line.text.as_str()).collect();
    assert_eq!(
        told,
        [
            "washed, says the walk-around after the wash",
            "felt with thin bag on the whole panel: steady fine grit",
            "iron remover on the whole panel; reacted: iron",
            "felt with thin bag on the whole panel: a few specks",
            "fine clay on a test square of 30 × 30 cm",
            "felt with thin bag on a test square of 30 × 30 cm: smooth",
        ]
    );
    assert_eq!(
        (&history[2].typed[..], &history[4].typed[..]),
        (&["with iron remover".to_owned()][..], &["with clay, fine".to_owned()][..])
    );
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    for told in [
        "What was done, and why",
        "Iron remover on the whole panel; reacted: iron",
        "with clay, fine",
        "left the test square smooth",
    ] {
        assert!(page.contains(told), "{told}");
    }
    assert!(
        !page.contains("Warnings that were set aside") && !page.contains("Cloths"),
        "a section only where there is something"
    );
    assert!(history.windows(2).all(|two| two[0].stamp.at_ms < two[1].stamp.at_ms));
    assert!(history.iter().all(|line| line.stamp.recorder.as_deref() == Some("R.")));
    phone.put(job, clay(Area::Panel));
    phone.put(job, feel("bonnet", FeelLevel::Smooth));
    let end = next(&phone, job, "bonnet");
    assert!(end.step.is_none() && end.reason.contains("Protect it"), "{}", end.reason);
    let plan = phone.open().plan(job.to_string(), Locale::EnGb).expect("a plan");
    let left: Vec<Step> = plan.steps.iter().filter(|step| !step.added).map(|step| step.step).collect();
    assert_eq!(left, [Step::Sealant], "what is done is not planned again");
}

/// Polishing: nothing on the whole panel before the square is complete and the owner said yes; what came off is told with the
/// limits of the gauge, and a single pair proves nothing.
#[test]
fn a_test_square_before_the_panel() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 114);
    let job = phone.begin(Form::Saloon, Stage::AfterWash);
    phone.put(job, readings("bonnet", &[112, 108, 115, 97, 110]));
    phone.put(job, readings("roof", &[112]));
    let whole = || Act::RecordStep(done(Step::Polish, "bonnet", Area::Panel));
    assert!(refused(&mut phone, job, whole()).1.contains("was not tried on a test square"));
    let made = id(&phone.put(job, square("bonnet", Step::Polish)).input);
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    let before = id(&phone.put(job, photo("a.jpg", None)).input);
    let after = id(&phone.put(job, photo("a.jpg", None)).input);
    let parts = [
        (JudgeSquare { enough: Some(true), ..judged(made) }, "good enough"),
        (JudgeSquare { lowest_um: Some(96), ..judged(made) }, "lowest reading"),
        (JudgeSquare { before: Some(before), after: Some(after), ..judged(made) }, "pair of photos"),
        (
            JudgeSquare { answer: Some(OwnerAnswer::Agreed), by: Some(Party::Owner), ..judged(made) },
            "owner's yes",
        ),
    ];
    for (part, wanting) in parts {
        let (_, reason) = refused(&mut phone, job, whole());
        assert!(reason.contains(wanting), "{reason}");
        phone.put(job, Act::JudgeSquare(part));
    }
    let polish = panel(&phone, job, "bonnet").polish.expect("a next step");
    assert_eq!((polish.step, polish.on), (Some(Step::Polish), Area::Panel));
    assert!(polish.refused.is_empty() && polish.first.is_empty(), "{polish:?}");
    phone.put(job, whole());
    assert!(panel(&phone, job, "bonnet").removal.is_none(), "nothing was measured since");
    phone.put(job, readings("bonnet", &[109, 105, 112, 94, 107]));
    let removal = panel(&phone, job, "bonnet").removal.expect("told");
    assert!(
        removal.contains("3.0 µm") && removal.contains("before the first readings is not known"),
        "{removal}"
    );
    let history = panel(&phone, job, "bonnet").history;
    let tried = history.iter().find(|line| line.entry == made.to_string()).expect("the square");
    for part in ["3 passes", "96 µm", "pair of photos", "good enough", "agreed"] {
        assert!(tried.text.contains(part), "{part}: {}", tried.text);
    }
    assert_eq!(tried.typed, ["machine: orbital, 12 mm", "pad: soft foam", "polish: fine polish"]);
    let made = id(&phone.put(job, square("roof", Step::Polish)).input);
    phone.put(job, Act::JudgeSquare(JudgeSquare { enough: Some(false), ..judged(made) }));
    assert!(against(&phone, job, "roof", Step::Polish, Area::Panel)[0].contains("not good enough"));
    let harder = panel(&phone, job, "roof").polish.expect("a next step");
    assert_eq!((harder.step, harder.on), (Some(Step::Compound), Area::TestSquare));
    phone.put(job, readings("roof", &[109]));
    let single = panel(&phone, job, "roof").removal.expect("told");
    assert!(single.contains("not enough readings"), "{single}");
    // The lowest reading decides, the square's too; the mean of these is far above the floor.
    phone.put(job, Act::JudgeSquare(JudgeSquare { lowest_um: Some(88), ..judged(made) }));
    let thin = against(&phone, job, "roof", Step::Compound, Area::TestSquare);
    assert_eq!(thin, ["the lowest reading, 88 µm, is under the floor of 90 µm"]);
}

/// The plan comes from the record: agreed work in order, what is not, or no longer, agreed left out; after an absence a fresh
/// look comes first.
#[test]
fn the_plan_is_made_from_the_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 116);
    let job = phone.begin(Form::Hatch5, Stage::AfterWash);
    phone.put(job, nothing_seen("bonnet"));
    let steps = |phone: &Phone| {
        let plan = phone.open().plan(job.to_string(), Locale::EnGb).expect("a plan");
        (plan.steps.iter().map(|step| step.step).collect::<Vec<_>>(), plan.kept_back)
    };
    assert!(steps(&phone).0.is_empty());
    let agreed: &[(Step, &[&str])] = &[
        (Step::Wax, &["bonnet"]),
        (Step::Ceramic, &["bonnet", "roof"]),
        (Step::TyreDressing, &["front-left-tyre"]),
        (Step::Sealant, &["front-left-tyre"]),
    ];
    phone.put(job, agree(agreed));
    let (order, kept) = steps(&phone);
    let at = |step: Step| order.iter().position(|it| *it == step).expect("planned");
    assert!(at(Step::PanelWipe) < at(Step::Ceramic) && at(Step::Ceramic) < at(Step::Wax), "{order:?}");
    assert!(at(Step::Wax) < at(Step::TyreDressing));
    assert!(kept.is_empty() && order[0] != Step::Look, "{order:?} {kept:?}");
    phone.put(job, agree(&[(Step::Compound, &["tailgate"])]));
    phone.put(job, readings("tailgate", &[85]));
    assert!(steps(&phone).1[0].contains("85 µm"));
    let not = StepAgreed { step: Step::Compound, panels: vec!["tailgate".to_owned()], agreed: false };
    phone.put(job, Act::AgreeWork(AgreeWork { by: Party::Agent, steps: vec![not], note: None }));
    assert!(steps(&phone).1.is_empty());
    phone.clock.set(MORNING_MS + 7 * 3_600_000);
    assert_eq!(steps(&phone).0[0], Step::Look, "nobody looked for seven hours");
    phone.put(job, nothing_seen("bonnet"));
    assert_ne!(steps(&phone).0[0], Step::Look);
}

fn new_cloth(name: &str, zone: ZoneUse, panel: &str, step: Step) -> TakeCloth {
    TakeCloth {
        cloth: None,
        tool: Some(Tool::Cloth),
        zone: Some(zone),
        name: Some(name.to_owned()),
        panel: panel.to_owned(),
        step,
        product: None,
    }
}

/// Scenario 14: A cloth falls at 10:42 on the left rear door. One press: it is out of use, and the panel waits for a look under
/// a point of light.
#[test]
fn scenario_14_dropped_cloth() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 14);
    let job = phone.begin(Form::Saloon, Stage::AfterWash);
    let taken =
        phone.put(job, Act::TakeCloth(new_cloth("grey 3", ZoneUse::UpperPaint, "rear-left-door", Step::Dry)));
    phone.clock.set(MORNING_MS + (2 * 60 + 32) * 60_000);
    let before = phone.view(job).visit.len();
    phone.put(job, Act::PutOut(PutOut { cloth: None, why: ClothOut::Dropped, panel: None }));
    let view = phone.view(job);
    assert_eq!(view.visit.len(), before + 1, "one input");
    let flag = "a cloth fell on the left rear door, Tue 10:42: look there under a point of light";
    assert_eq!(view.flags, [flag]);
    let treated = phone.open().treated(job.to_string(), Locale::EnGb).expect("the job");
    assert_eq!(treated.cloths[0].out, Some(ClothOut::Dropped));
    let take = TakeCloth {
        cloth: Some(id(&taken.input)),
        tool: None,
        zone: None,
        name: None,
        ..new_cloth("", ZoneUse::Glass, "roof", Step::Dry)
    };
    let warned = phone.open().cloth_warnings(job.to_string(), take).expect("asked");
    assert!(warned[0].contains("out of use (dropped)"), "{warned:?}");
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("A cloth fell on the left rear door, Tue 10:42.") && page.contains("grey 3"));
    // A look in soft light does not show what grit does; one under a point of light closes it.
    phone.put(job, nothing_seen("rear-left-door"));
    assert_eq!(phone.view(job).flags.len(), 1);
    let Act::RecordOutcome(look) = nothing_seen("rear-left-door") else { panic!("an answer") };
    phone.put(job, Act::RecordOutcome(RecordOutcome { light: Some(Light::Point), ..look }));
    assert!(phone.view(job).flags.is_empty());
    let again =
        refused(&mut phone, job, Act::PutOut(PutOut { cloth: None, why: ClothOut::Grit, panel: None }));
    assert_eq!(again.0, "act.put_out.panel", "no cloth is left that could have fallen");
}

/// Scenario 15: A cloth of the zone "wheels" is chosen for the bonnet: it warns, in the crew's own names where it has them. Two
/// phones of a crew are one shop.
#[test]
fn scenario_15_wheel_cloth() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("one"), 15);
    let job = phone.begin(Form::Saloon, Stage::AfterWash);
    let take = new_cloth("black 1", ZoneUse::Wheels, "bonnet", Step::Wax);
    let warned = phone.open().cloth_warnings(job.to_string(), take.clone()).expect("asked");
    assert_eq!(warned.len(), 1);
    assert!(warned[0].contains("\"wheels\"") && warned[0].contains("\"upper paint\""), "{warned:?}");
    use ZoneUse::*;
    let zone = |name: &str, uses: &[ZoneUse]| Zone { name: name.to_owned(), uses: uses.to_vec() };
    let zones = vec![
        zone("white", &[Coating]),
        zone("blue", &[UpperPaint, LowerPaint, Glass, Inside, Leather]),
        zone("the crate", &[Shuts, Wheels, Tyres]),
    ];
    phone.open().describe_shop(Shop { zones: zones.clone(), ..Shop::default() }).expect("described");
    let black = phone.put(job, Act::TakeCloth(take));
    let treated = phone.open().treated(job.to_string(), Locale::EnGb).expect("the job");
    let said = &treated.cloths[0].warned;
    assert!(said.len() == 1 && said[0].contains("\"the crate\"") && said[0].contains("\"blue\""), "{said:?}");
    assert_eq!(treated.cloths[0].zone.as_deref(), Some("the crate"), "it stays one of the crate");

    // Down is allowed; a coating cloth has one use; a pad keeps to its step.
    let warnings =
        |phone: &Phone, take: TakeCloth| phone.open().cloth_warnings(job.to_string(), take).expect("asked");
    let again = |cloth: Uuid, panel: &str, step| TakeCloth {
        cloth: Some(cloth),
        tool: None,
        zone: None,
        name: None,
        ..new_cloth("", Glass, panel, step)
    };
    assert!(warnings(&phone, again(id(&black.input), "front-left-wheel", Step::Dry)).is_empty());
    let coat = id(&phone.put(job, Act::TakeCloth(new_cloth("suede", Coating, "roof", Step::Ceramic))).input);
    assert!(warnings(&phone, again(coat, "roof", Step::Ceramic))[0].contains("used for a coating"));
    let pad =
        TakeCloth { tool: Some(Tool::Pad), zone: None, ..new_cloth("orange", Glass, "roof", Step::Compound) };
    let pad = id(&phone.put(job, Act::TakeCloth(pad)).input);
    assert!(warnings(&phone, again(pad, "bonnet", Step::Compound)).is_empty());
    assert!(warnings(&phone, again(pad, "bonnet", Step::Polish))[0].contains("another pad"));

    let mut other = Phone::new(&folder.path().join("two"), 16);
    assert!(other.open().shop().expect("a shop").zones.is_empty());
    other.join(&mut phone);
    assert_eq!(other.open().shop().expect("a shop").zones, zones);
}

/// What is offered: every place with what it can be, the groups that are agreed to by one word, and of a test square what is wanting
/// and the two photos that could be its pair.
#[test]
fn what_a_screen_offers() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 118);
    let job = phone.begin(Form::Saloon, Stage::AfterWash);
    let view = |phone: &Phone| phone.open().surfaces(job.to_string(), Locale::EnGb).expect("the job");
    let groups: Vec<String> = view(&phone).groups.into_iter().map(|group| group.name).collect();
    assert_eq!(groups, ["paint", "glass", "lamps", "trim", "wheels", "tyres"]);
    assert_eq!(view(&phone).groups[0].panels.len(), 17);
    phone.put(job, agree(&[(Step::Polish, &["bonnet", "roof"])]));
    let film = RecordSurface {
        panel: "roof".to_owned(),
        kind: SurfaceKind::Film,
        also: vec![SurfaceKind::Decal],
        note: None,
    };
    phone.put(job, Act::RecordSurface(film));
    let now = view(&phone);
    assert_eq!((now.groups[0].panels.len(), now.groups[1].name.as_str()), (16, "film and wrap"));
    let roof = now.places.iter().find(|it| it.panel == "roof").expect("a roof");
    assert_eq!(
        (roof.recorded, &roof.also[..], &roof.agreed[..]),
        (true, &[SurfaceKind::Decal][..], &[Step::Polish][..])
    );
    assert!(now.places.iter().all(|it| it.kinds.contains(&it.surface)), "what it is, is offered");

    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    let on_bonnet = || match photo("a.jpg", None) {
        Act::AttachPhoto(it) => Act::AttachPhoto(AttachPhoto { panel: Some("bonnet".to_owned()), ..it }),
        _ => panic!("a photo"),
    };
    let squares = |phone: &Phone| {
        phone.open().squares(job.to_string(), "bonnet".to_owned(), Locale::EnGb).expect("the job")
    };
    assert!(squares(&phone).is_empty());
    let before = phone.put(job, on_bonnet()).input;
    let made = phone.put(job, square("bonnet", Step::Polish)).input;
    let tried = squares(&phone).remove(0);
    assert_eq!((tried.id, tried.before.map(|it| it.id), tried.after), (made.clone(), Some(before), None));
    assert!(
        tried.gauge_reads && !tried.has_pair && tried.wanting.iter().any(|it| it.contains("pair of photos"))
    );
    let after = phone.put(job, on_bonnet()).input;
    assert_eq!(squares(&phone)[0].after.as_ref().map(|it| it.id.clone()), Some(after));
    phone.put(job, Act::JudgeSquare(JudgeSquare { lowest_um: Some(96), ..judged(id(&made)) }));
    assert_eq!(squares(&phone)[0].lowest_um, Some(96));
    let (bare, dissolved) = (reactions_offered(Step::ClayFine), reactions_offered(Step::IronRemover));
    assert!(bare.is_empty() && dissolved.contains(&Reaction::Iron));
    assert!(work_offered().contains(&Step::Ceramic) && !work_offered().contains(&Step::Feel));
}
