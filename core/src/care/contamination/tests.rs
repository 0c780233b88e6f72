//! The next step on a panel, finding by finding.

use super::*;
use Area::{Panel as Whole, TestSquare};
use FeelLevel::{FewSpecks, Rough, Smooth, SteadyGrit};

/// A clean bonnet whose owner agreed to protection, with findings a minute apart.
struct Bonnet(Panel);

impl Bonnet {
    fn new() -> Self {
        Self(Panel {
            surface: SurfaceKind::PaintMetallic,
            clean: true,
            panel_mc: Some(18_000),
            findings: Vec::new(),
            agreed: Agreed { protection: true, ..Agreed::default() },
            chemical_first: None,
        })
    }

    fn now(&self) -> i64 {
        60_000 * self.0.findings.len() as i64
    }

    fn felt(mut self, level: FeelLevel, on: Area) -> Self {
        let (at_ms, who) = (self.now(), Some("R.".to_owned()));
        let method = FeelMethod::Bag;
        self.0.findings.push(Finding::Felt(Felt { at_ms, method, level, reacted: Vec::new(), on, who }));
        self
    }

    fn did(mut self, step: Step, on: Area, reacted: &[Reaction]) -> Self {
        let (at_ms, who) = (self.now(), Some("R.".to_owned()));
        self.0.findings.push(Finding::Did(Did {
            at_ms,
            step,
            reacted: reacted.to_vec(),
            on,
            saw: None,
            who,
        }));
        self
    }

    fn saw(mut self, kind: MarkKind) -> Self {
        let at_ms = self.now();
        self.0.findings.push(Finding::Did(Did {
            at_ms,
            step: Step::Look,
            reacted: Vec::new(),
            on: Whole,
            saw: Some(kind),
            who: None,
        }));
        self
    }

    fn next(&self) -> Next {
        next(&self.0).unwrap()
    }

    fn step(&self) -> (Option<Step>, Area) {
        let next = self.next();
        (next.step, next.on)
    }

    /// Chemicals are through and it is still rough.
    fn past_chemicals(level: FeelLevel) -> Self {
        Self::new().felt(level, Whole).did(Step::IronRemover, Whole, &[Reaction::None]).felt(level, Whole)
    }
}

/// Bonnet "steady fine grit", purple after iron remover, then "a few specks"; fine clay on a square, felt again: silent.
#[test]
fn from_the_bag_test_to_clay() {
    let bonnet = Bonnet::new();
    assert_eq!(bonnet.step(), (Some(Step::Feel), Whole));
    let bonnet = bonnet.felt(SteadyGrit, Whole);
    let next = bonnet.next();
    assert_eq!((next.step, next.on, next.rests_on), (Some(Step::IronRemover), Whole, Some(0)));
    assert!(next.reason.contains("chemical before mechanical"), "{}", next.reason);
    let bonnet = bonnet.did(Step::IronRemover, Whole, &[Reaction::Iron]);
    assert_eq!(bonnet.step(), (Some(Step::Feel), Whole), "felt again before anything else");
    let bonnet = bonnet.felt(FewSpecks, Whole);
    let next = bonnet.next();
    assert_eq!((next.step, next.on, next.rests_on), (Some(Step::ClayFine), TestSquare, Some(2)));
    assert!(next.how.iter().any(|line| line.contains("lubricant") && line.contains("not pressure")));
    assert!(next.first.is_empty() && !next.protect_again);
    let bonnet = bonnet.did(Step::ClayFine, TestSquare, &[]);
    let next = bonnet.next();
    assert_eq!((next.step, next.on), (Some(Step::Feel), TestSquare));
    assert!(next.how.iter().any(|line| line.contains("point of light")));
    let bonnet = bonnet.felt(Smooth, TestSquare);
    let next = bonnet.next();
    assert_eq!((next.step, next.on, next.rests_on), (Some(Step::ClayFine), Whole, Some(4)));
    let bonnet = bonnet.did(Step::ClayFine, Whole, &[]).felt(Smooth, Whole);
    let next = bonnet.next();
    assert_eq!((next.step, next.protect_again), (None, true));

    let lines = bonnet.0.history(Locale::EnGb);
    let feels: Vec<&Line> = lines.iter().filter(|line| line.text.starts_with("felt")).collect();
    assert_eq!(feels.len(), 4);
    for (line, said) in feels.iter().zip(["steady fine grit", "a few specks", "smooth"]) {
        assert!(line.text.contains(said) && line.text.contains("thin bag"), "{}", line.text);
        assert_eq!(line.who.as_deref(), Some("R."));
    }
    assert!(lines.windows(2).all(|two| two[0].at_ms < two[1].at_ms));
    let texts: Vec<&str> = lines.iter().map(|line| line.text.as_str()).collect();
    assert_eq!(texts[1], "iron remover on the whole panel; reacted: iron");
    assert_eq!(texts[3], "fine clay on a test square of 30 × 30 cm");
}

#[test]
fn dirt_is_washed_before_anything_is_felt() {
    let mut bonnet = Bonnet::new().felt(SteadyGrit, Whole);
    bonnet.0.clean = false;
    assert_eq!(bonnet.step(), (Some(Step::Wash), Whole));
    let bonnet = bonnet.did(Step::Wash, Whole, &[]);
    assert_eq!(bonnet.step(), (Some(Step::Feel), Whole), "what was felt on dirt does not count");
    // What was done before a wash does not count either; what was met does.
    let bonnet = Bonnet::new().did(Step::IronRemover, Whole, &[Reaction::Tar]).did(Step::Wash, Whole, &[]);
    let next = bonnet.felt(SteadyGrit, Whole).next();
    assert_eq!((next.step, next.or), (Some(Step::TarRemover), vec![Step::IronRemover]));
}

#[test]
fn clay_is_never_routine() {
    let next = Bonnet::new().felt(Smooth, Whole).next();
    assert_eq!((next.step, next.protect_again), (None, false));
    assert!(next.reason.contains("no clay"), "{}", next.reason);
    // Smooth on a square says nothing of clay that was not used there.
    let smooth = Bonnet::past_chemicals(SteadyGrit).did(Step::ClayFine, Whole, &[]).felt(Smooth, TestSquare);
    assert_eq!(smooth.step(), (None, Whole));
}

#[test]
fn both_orders_of_tar_and_iron_are_allowed() {
    let met = |first| {
        let mut bonnet = Bonnet::new().felt(SteadyGrit, Whole);
        let Finding::Felt(felt) = &mut bonnet.0.findings[0] else { unreachable!() };
        felt.reacted = vec![Reaction::Iron, Reaction::Tar];
        bonnet.0.chemical_first = first;
        bonnet
    };
    let (tar, iron) = (Step::TarRemover, Step::IronRemover);
    for (first, expected, or) in [(None, tar, iron), (Some(tar), tar, iron), (Some(iron), iron, tar)] {
        let next = met(first).next();
        assert_eq!((next.step, next.or), (Some(expected), vec![or]));
        let then = met(first).did(expected, Whole, &[]).felt(SteadyGrit, Whole).next();
        assert_eq!((then.step, then.or), (Some(or), vec![]));
        let third = met(first).did(expected, Whole, &[]).did(or, Whole, &[]).felt(SteadyGrit, Whole);
        assert_eq!(third.step(), (Some(Step::ClayFine), TestSquare));
    }
    // Where no tar was met, none is looked for with a solvent.
    assert_eq!(Bonnet::new().felt(FewSpecks, Whole).step(), (Some(iron), Whole));
    // Minerals come after both.
    let mut minerals = Bonnet::past_chemicals(FewSpecks);
    let Finding::Felt(felt) = &mut minerals.0.findings[2] else { unreachable!() };
    felt.reacted = vec![Reaction::WaterSpot];
    assert_eq!(minerals.step(), (Some(Step::MineralRemover), Whole));
}

#[test]
fn rough_stops_until_someone_has_looked_with_a_loupe() {
    let rough = Bonnet::past_chemicals(SteadyGrit).felt(Rough, Whole);
    let next = rough.next();
    assert_eq!(next.step, Some(Step::Look));
    assert!(next.reason.contains("loupe") && next.reason.contains("before any clay"), "{}", next.reason);
    let looked = rough.saw(MarkKind::Overspray);
    assert_eq!(looked.step(), (Some(Step::ClayFine), TestSquare));
    let again = looked.felt(Rough, Whole);
    assert_eq!(again.step().0, Some(Step::Look), "a look before the feel is not a look after it");
    let peeling = again.saw(MarkKind::ClearFailure).next();
    assert_eq!(peeling.step, None);
    assert_eq!(peeling.refused.unwrap().surface, SurfaceKind::PaintPeeling);
    let lines = Bonnet::new().saw(MarkKind::IronFallout).0.history(Locale::EnGb);
    assert_eq!(lines[0].text, "a fresh look on the whole panel; saw: iron fallout");
    // Two entries of one moment stand in the order in which they were made.
    let mut same = Bonnet::new().felt(SteadyGrit, Whole).felt(Smooth, Whole);
    let Finding::Felt(felt) = &mut same.0.findings[1] else { unreachable!() };
    felt.at_ms = 0;
    assert_eq!(same.step(), (None, Whole));
    // Rough stops the chemicals too.
    assert_eq!(Bonnet::new().felt(Rough, Whole).step().0, Some(Step::Look));
}

#[test]
fn the_next_grade_needs_a_failed_square_and_what_was_agreed() {
    let fine = Bonnet::past_chemicals(SteadyGrit);
    assert_eq!(fine.step(), (Some(Step::ClayFine), TestSquare));
    let mut medium = fine.did(Step::ClayFine, TestSquare, &[]).felt(SteadyGrit, TestSquare);
    let next = medium.next();
    assert_eq!((next.step, next.on), (Some(Step::ClayMedium), TestSquare));
    assert_eq!(next.first.len(), 1, "{:?}", next.first);
    assert!(next.first[0].contains("machine polishing"));
    assert!(
        !next.how.iter().any(|line| line.contains("left where they are")),
        "that is more than a few specks"
    );
    assert!(next.how.iter().any(|line| line.contains("Fold it")));
    medium.0.agreed.polish = true;
    assert!(medium.next().first.is_empty());

    let mut heavy = medium.did(Step::ClayMedium, TestSquare, &[]).felt(FewSpecks, TestSquare);
    let next = heavy.next();
    assert_eq!((next.step, next.on), (Some(Step::ClayHeavy), TestSquare));
    assert!(next.first.len() == 1 && next.first[0].contains("own consent"), "{:?}", next.first);
    assert!(next.how.iter().any(|line| line.contains("left where they are")));
    heavy.0.agreed.heavy_clay = true;
    assert!(heavy.next().first.is_empty());
    heavy.0.agreed.polish = false;
    assert!(heavy.next().first[0].contains("machine polishing"));

    let spent = heavy.did(Step::ClayHeavy, TestSquare, &[]).felt(FewSpecks, TestSquare);
    let next = spent.next();
    assert!(next.step.is_none() && next.reason.contains("in the paint"), "{}", next.reason);
}

#[test]
fn a_square_that_nobody_felt_lets_nothing_follow() {
    // Felt elsewhere on the panel, not on the square: the square stands open.
    let elsewhere =
        Bonnet::past_chemicals(SteadyGrit).did(Step::ClayFine, TestSquare, &[]).felt(FewSpecks, Whole);
    let next = elsewhere.next();
    assert_eq!((next.step, next.on), (Some(Step::ClayFine), TestSquare));
    assert!(next.reason.contains("after the chemicals"), "{}", next.reason);
    assert!(!next.how.iter().any(|line| line.contains("left where they are")));
}

#[test]
fn a_place_that_stays_rough_is_done_once_more_and_then_tried_with_the_next_grade() {
    let once = Bonnet::past_chemicals(SteadyGrit)
        .did(Step::ClayFine, TestSquare, &[])
        .felt(Smooth, TestSquare)
        .did(Step::ClayFine, Whole, &[])
        .felt(FewSpecks, Whole);
    assert_eq!(once.step(), (Some(Step::ClayFine), Whole));
    let twice = once.did(Step::ClayFine, Whole, &[]).felt(FewSpecks, Whole);
    assert_eq!(twice.step(), (Some(Step::ClayMedium), TestSquare));
}

#[test]
fn clay_waits_for_protection_and_a_cool_panel() {
    let mut bonnet = Bonnet::past_chemicals(SteadyGrit);
    bonnet.0.agreed.protection = false;
    let next = bonnet.next();
    assert_eq!(next.step, Some(Step::ClayFine));
    assert!(
        next.first.len() == 1 && next.first[0].contains("what protects it afterwards"),
        "{:?}",
        next.first
    );
    bonnet.0.panel_mc = Some(30_000);
    assert_eq!(bonnet.next().first.len(), 1);
    bonnet.0.panel_mc = Some(30_001);
    assert!(bonnet.next().first.iter().any(|line| line.contains("cool")));
    let mut chemical = Bonnet::new().felt(SteadyGrit, Whole);
    chemical.0.panel_mc = Some(38_000);
    assert!(chemical.next().first[0].contains("38 °C"));
    let mut felt = Bonnet::new();
    felt.0.panel_mc = Some(38_000);
    assert!(felt.next().first.is_empty(), "a warm panel can be felt");
}

#[test]
fn what_the_surface_refuses_is_not_offered() {
    let mut matt = Bonnet::past_chemicals(SteadyGrit);
    matt.0.surface = SurfaceKind::PaintMatt;
    let next = matt.next();
    assert!(next.step.is_none() && next.reason.contains("matt"), "{}", next.reason);
    assert_eq!(next.refused.unwrap().step, Step::ClayFine);
    // A chemical that it does not take is passed over.
    let mut bright = Bonnet::new().felt(SteadyGrit, Whole);
    bright.0.surface = SurfaceKind::TrimBright;
    let next = bright.next();
    assert_eq!((next.step, next.on), (Some(Step::ClayFine), TestSquare));
    assert!(next.reason.contains("no chemical is left"), "{}", next.reason);
    let mut fresh = Bonnet::new().did(Step::Dry, Whole, &[Reaction::Tar]).felt(SteadyGrit, Whole);
    fresh.0.surface = SurfaceKind::PaintFresh;
    assert_eq!(fresh.step().0, Some(Step::IronRemover));
}

#[test]
fn findings_that_cannot_be_are_refused_by_their_field() {
    let field = |bonnet: &Bonnet| match next(&bonnet.0) {
        Err(Error::Refused { field, .. }) => field,
        other => format!("{other:?}"),
    };
    let mut order = Bonnet::new().felt(FewSpecks, Whole).felt(FewSpecks, Whole);
    let Finding::Felt(felt) = &mut order.0.findings[1] else { unreachable!() };
    felt.at_ms = -1;
    assert_eq!(field(&order), "findings[1].at_ms");
    let both = Bonnet::new().did(Step::IronRemover, Whole, &[Reaction::None, Reaction::Iron]);
    assert_eq!(field(&both), "findings[0].reacted");
    let mut first = Bonnet::new();
    first.0.chemical_first = Some(Step::Wax);
    assert_eq!(field(&first), "chemical_first");
}
