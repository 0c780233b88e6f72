//! Every refusal of the acts on what is done to a surface: what it is, agreed work, warnings, steps, test squares, cloths, and how
//! the shop works.

use crate::shop::*;
use sidelong_core::error::Error;
use sidelong_core::record::events::{Shop as HowItWorks, Zone};
use sidelong_core::record::inputs::*;
use sidelong_core::record::words::*;
use sidelong_tests::feel;

fn step(step: Step, panels: &[&str]) -> RecordStep {
    RecordStep {
        panels: panels.iter().map(|panel| (*panel).to_owned()).collect(),
        step,
        on: None,
        reacted: Vec::new(),
        saw: None,
        product: None,
        note: None,
    }
}

fn said(step: Step, panels: &[&str]) -> StepAgreed {
    StepAgreed { step, panels: panels.iter().map(|panel| (*panel).to_owned()).collect(), agreed: true }
}

fn agree(by: Party, steps: Vec<StepAgreed>) -> Act {
    Act::AgreeWork(AgreeWork { by, steps, note: None })
}

fn aside(panel: &str, step: Step, change: fn(&mut SetAside)) -> Act {
    let mut act = SetAside {
        panel: panel.into(),
        step,
        on: None,
        reason: "asked for".into(),
        answer: OwnerAnswer::Agreed,
        by: Party::Owner,
    };
    change(&mut act);
    Act::SetAside(act)
}

fn square(change: fn(&mut TrySquare)) -> Act {
    let mut act = TrySquare {
        panel: "bonnet".into(),
        at: None,
        step: Step::Polish,
        machine: "orbital".into(),
        pad: "soft".into(),
        polish: "fine".into(),
        passes: 3,
        note: None,
    };
    change(&mut act);
    Act::TrySquare(act)
}

#[test]
fn on_surfaces_and_agreed_work() {
    let mut shop = Shop::open();
    let surface = |panel: &str, also: &[SurfaceKind], note: Option<String>| {
        let (panel, kind, also) = (panel.to_owned(), SurfaceKind::PaintSolid, also.to_vec());
        Act::RecordSurface(RecordSurface { panel, kind, also, note })
    };
    shop.refuse(vec![
        (surface("cellar", &[], None), "record_surface.panel"),
        (surface("roof", &[SurfaceKind::PaintSolid], None), "record_surface.also[0]"),
        (surface("roof", &[SurfaceKind::Decal, SurfaceKind::Decal], None), "record_surface.also[1]"),
        (surface("roof", &[], Some(long(4_001))), "record_surface.note"),
        (agree(Party::Detailer, vec![said(Step::Wax, &["roof"])]), "agree_work.by"),
        (agree(Party::Owner, vec![]), "agree_work.steps"),
        (agree(Party::Owner, vec![said(Step::Wax, &[]); 51]), "agree_work.steps"),
        (agree(Party::Owner, vec![said(Step::Wax, &[])]), "agree_work.steps[0].panels"),
        (agree(Party::Owner, vec![said(Step::Wax, &["roof"; 101])]), "agree_work.steps[0].panels"),
        (agree(Party::Owner, vec![said(Step::Wax, &["cellar"])]), "agree_work.steps[0].panels[0]"),
        (agree(Party::Owner, vec![said(Step::Wax, &["roof", "roof"])]), "agree_work.steps[0].panels[1]"),
        (agree(Party::Owner, vec![said(Step::Wax, &["roof"]); 2]), "agree_work.steps[1].panels[0]"),
        (
            Act::AgreeWork(AgreeWork {
                by: Party::Owner,
                steps: vec![said(Step::Wax, &["roof"])],
                note: Some(long(4_001)),
            }),
            "agree_work.note",
        ),
    ]);
}

#[test]
fn on_steps_and_warnings() {
    let mut shop = Shop::open();
    let polish = |change: fn(&mut RecordStep)| {
        let mut act = step(Step::Wash, &["roof"]);
        change(&mut act);
        Act::RecordStep(act)
    };
    shop.refuse(vec![
        (aside("cellar", Step::Polish, |_| {}), "set_aside.panel"),
        (aside("roof", Step::Wash, |_| {}), "set_aside.step"),
        (aside("pedals", Step::TyreDressing, |_| {}), "set_aside.step"),
        (aside("roof", Step::Polish, |it| it.reason = " ".into()), "set_aside.reason"),
        (aside("roof", Step::Polish, |it| it.reason = long(1_001)), "set_aside.reason"),
        (aside("roof", Step::Polish, |it| it.reason = "\u{7}".into()), "set_aside.reason"),
        (aside("roof", Step::Polish, |it| it.answer = OwnerAnswer::SentNoReply), "set_aside.answer"),
        (aside("roof", Step::Polish, |it| it.by = Party::Detailer), "set_aside.by"),
        (polish(|it| it.step = Step::Feel), "record_step.step"),
        (polish(|it| (it.step, it.on) = (Step::Polish, Some(Area::TestSquare))), "record_step.on"),
        (polish(|it| it.saw = Some(MarkKind::Overspray)), "record_step.saw"),
        (polish(|it| it.reacted = vec![Reaction::None, Reaction::Tar]), "record_step.reacted"),
        (polish(|it| it.panels.clear()), "record_step.panels"),
        (polish(|it| it.panels = vec!["roof".into(); 101]), "record_step.panels"),
        (polish(|it| it.panels = vec!["cellar".into()]), "record_step.panels[0]"),
        (polish(|it| it.panels = vec!["roof".into(); 2]), "record_step.panels[1]"),
        (polish(|it| it.step = Step::Polish), "record_step.panels[0]"),
        (polish(|it| it.step = Step::ClayFine), "record_step.panels[0]"),
        (
            polish(|it| (it.panels[0], it.step) = ("pedals".into(), Step::TyreDressing)),
            "record_step.panels[0]",
        ),
        (polish(|it| it.product = Some(String::new())), "record_step.product"),
        (polish(|it| it.product = Some(long(201))), "record_step.product"),
        (polish(|it| it.note = Some(long(4_001))), "record_step.note"),
    ]);
    // On a panel that feels smooth, clay is refused for what was felt, and a consent to that is none to peeling clear.
    let job = shop.job;
    shop.phone.put(job, Act::RecordStep(step(Step::Wash, &["roof"])));
    shop.phone.put(job, feel("roof", FeelLevel::Smooth));
    match shop.phone.record(job, Act::RecordStep(step(Step::ClayFine, &["roof"]))) {
        Err(Error::Refused { reason, .. }) => assert!(reason.contains("no clay"), "{reason}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn on_test_squares() {
    let mut shop = Shop::open();
    let job = shop.job;
    let made = id(&shop.phone.put(job, square(|_| {})).input);
    let photo = shop.photo;
    let nothing = JudgeSquare {
        square: made,
        enough: None,
        lowest_um: None,
        before: None,
        after: None,
        answer: None,
        by: None,
    };
    let judged = |change: &dyn Fn(&mut JudgeSquare)| {
        let mut act = nothing.clone();
        change(&mut act);
        Act::JudgeSquare(act)
    };
    shop.refuse(vec![
        (square(|it| it.step = Step::Wax), "try_square.step"),
        (square(|it| it.passes = 0), "try_square.passes"),
        (square(|it| it.passes = 101), "try_square.passes"),
        (square(|it| it.at = Some(Spot { u_ppm: 1_000_001, v_ppm: 0 })), "try_square.at.u_ppm"),
        (square(|it| it.panel = "cellar".into()), "try_square.panel"),
        (square(|it| it.machine = " ".into()), "try_square.machine"),
        (square(|it| it.pad = String::new()), "try_square.pad"),
        (square(|it| it.polish = long(201)), "try_square.polish"),
        (square(|it| it.note = Some(long(4_001))), "try_square.note"),
        (judged(&|_| {}), "judge_square.enough"),
        (judged(&|it| it.square = photo), "judge_square.square"),
        (judged(&|it| it.lowest_um = Some(0)), "judge_square.lowest_um"),
        (judged(&|it| it.before = Some(made)), "judge_square.before"),
        (judged(&|it| it.before = Some(photo)), "judge_square.after"),
        (judged(&|it| it.after = Some(photo)), "judge_square.before"),
        (judged(&|it| (it.before, it.after) = (Some(photo), Some(photo))), "judge_square.after"),
        (judged(&|it| it.answer = Some(OwnerAnswer::Agreed)), "judge_square.by"),
        (judged(&|it| it.by = Some(Party::Owner)), "judge_square.answer"),
    ]);
    // A yes of somebody who cannot give it is on record, and is no yes.
    let by = Some(Party::Detailer);
    shop.phone.put(job, judged(&|it| (it.answer, it.by) = (Some(OwnerAnswer::Agreed), by)));
    match shop.phone.record(job, Act::RecordStep(step(Step::Polish, &["bonnet"]))) {
        Err(Error::Refused { reason, .. }) => assert!(reason.contains("owner's yes"), "{reason}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn on_cloths() {
    let mut shop = Shop::open();
    let job = shop.job;
    let new = TakeCloth {
        cloth: None,
        tool: Some(Tool::Cloth),
        zone: Some(ZoneUse::UpperPaint),
        name: Some("grey".into()),
        panel: "roof".into(),
        step: Step::Wax,
        product: None,
    };
    let take = |change: &dyn Fn(&mut TakeCloth)| {
        let mut act = new.clone();
        change(&mut act);
        Act::TakeCloth(act)
    };
    let out = |change: &dyn Fn(&mut PutOut)| {
        let mut act = PutOut { cloth: None, why: ClothOut::Dropped, panel: None };
        change(&mut act);
        Act::PutOut(act)
    };
    shop.refuse(vec![(out(&|_| {}), "put_out.panel")]);
    let grey = id(&shop.phone.put(job, take(&|_| {})).input);
    let mark = shop.mark;
    let again = |it: &mut TakeCloth| (it.cloth, it.tool, it.zone, it.name) = (Some(grey), None, None, None);
    shop.refuse(vec![
        (take(&|it| it.panel = "cellar".into()), "take_cloth.panel"),
        (take(&|it| it.name = None), "take_cloth.name"),
        (take(&|it| it.name = Some(" ".into())), "take_cloth.name"),
        (take(&|it| it.name = Some(long(61))), "take_cloth.name"),
        (take(&|it| it.tool = None), "take_cloth.tool"),
        (take(&|it| it.zone = None), "take_cloth.zone"),
        (take(&|it| it.product = Some(long(201))), "take_cloth.product"),
        (take(&|it| (again(it), it.cloth = Some(mark)).1), "take_cloth.cloth"),
        (take(&|it| (again(it), it.name = Some("x".into())).1), "take_cloth.name"),
        (take(&|it| (again(it), it.tool = Some(Tool::Mitt)).1), "take_cloth.tool"),
        (take(&|it| (again(it), it.zone = Some(ZoneUse::Glass)).1), "take_cloth.zone"),
        (out(&|it| it.why = ClothOut::Coating), "put_out.why"),
        (out(&|it| it.cloth = Some(mark)), "put_out.cloth"),
        (out(&|it| it.panel = Some("cellar".into())), "put_out.panel"),
    ]);
    shop.phone.put(job, out(&|_| {}));
    shop.refuse(vec![(out(&|it| it.cloth = Some(grey)), "put_out.cloth")]);
}

#[test]
fn on_how_the_shop_works_and_what_is_asked() {
    let shop = Shop::open();
    let notebook = shop.phone.open();
    let zone = |name: &str, uses: &[ZoneUse]| Zone { name: name.into(), uses: uses.to_vec() };
    for (said, wanted) in [
        (HowItWorks { floor_um: Some(19), ..HowItWorks::default() }, "floor_um"),
        (HowItWorks { floor_um: Some(1_001), ..HowItWorks::default() }, "floor_um"),
        (HowItWorks { budget_um: Some(0), ..HowItWorks::default() }, "budget_um"),
        (HowItWorks { budget_um: Some(101), ..HowItWorks::default() }, "budget_um"),
        (HowItWorks { chemical_first: Some(Step::Wax), ..HowItWorks::default() }, "chemical_first"),
        (HowItWorks { zones: vec![zone("white", &[ZoneUse::Coating])], ..HowItWorks::default() }, "zones"),
        (HowItWorks { zones: vec![zone(" ", ZoneUse::ALL)], ..HowItWorks::default() }, "zones[0].name"),
        (HowItWorks { zones: vec![zone("\u{1b}", ZoneUse::ALL)], ..HowItWorks::default() }, "zones[0].name"),
        (
            HowItWorks { zones: vec![zone("one", ZoneUse::ALL), zone("one", &[])], ..HowItWorks::default() },
            "zones[1].name",
        ),
    ] {
        match notebook.describe_shop(said.clone()) {
            Err(Error::Refused { field, .. }) => assert_eq!(field, wanted, "{said:?}"),
            other => panic!("{said:?}: {other:?}"),
        }
    }
    assert_eq!(notebook.shop().expect("a shop"), HowItWorks::default(), "nothing was recorded");
    let nowhere = "01970000-0000-7000-8000-00000000ffff".to_owned();
    assert!(matches!(notebook.plan(nowhere.clone(), Locale::EnGb), Err(Error::NotFound { .. })));
    assert!(matches!(notebook.treated(nowhere, Locale::EnGb), Err(Error::NotFound { .. })));
    let asked = notebook.refused(shop.job.to_string(), "cellar".into(), Step::Wax, None, Locale::EnGb);
    assert!(matches!(asked, Err(Error::Refused { field, .. }) if field == "panel"));
}
