//! Answers that follow each other faster than anybody looks are kept, as what can be seen in passing.

use crate::{at, phone, reboot, walk};
use sidelong_core::record::inputs::{Act, Input, PassSide, RecordOutcome};
use sidelong_core::record::views::JobView;
use sidelong_core::record::words::{Outcome, Stage, WholeSide, Why};
use sidelong_tests::{MORNING_MS, Phone, could_not_see, nothing_seen};
use std::sync::atomic::Ordering;
use uuid::Uuid;

const FAST: &str = "answered within 3 s of the one before";

/// How the latest walk-around says that a panel was looked at; the panel has one answer.
fn how(view: &JobView, panel: &str) -> String {
    let walk = view.walks.last().expect("a walk-around");
    let found = walk.panels.iter().find(|it| it.panel == panel).expect("the panel");
    assert_eq!(found.answers.len(), 1, "{panel}");
    assert_eq!(found.answers[0].outcome, found.outcome);
    found.answers[0].how.clone()
}

fn fast(how: &str) -> bool {
    let fast = how.contains(FAST);
    assert_eq!(fast, how.contains("walk past"), "{how}");
    assert_ne!(fast, how.contains("close look"), "{how}");
    fast
}

fn claimed(panel: &str) -> Act {
    let Act::RecordOutcome(act) = nothing_seen(panel) else { panic!("an answer") };
    Act::RecordOutcome(RecordOutcome { spent_ms: Some(9_000), ..act })
}

fn later(phone: &mut Phone, ms: i64, job: Uuid, act: Act) {
    phone.clock.at_ms.store(MORNING_MS + ms, Ordering::Relaxed);
    let input = Input { observed_at: Some("2026-06-09T07:00:00+01:00".into()), ..phone.input(job, act) };
    phone.open().record(input).expect("accepted");
}

#[test]
fn two_close_answers_within_three_seconds() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 1);
    let mut answer = |ms, act| at(&mut phone, ms, job, act).expect("accepted");
    answer(100_000, nothing_seen("roof"));
    answer(102_999, nothing_seen("bonnet"));
    answer(103_500, claimed("tailgate"));
    answer(106_500, claimed("front-left-door"));
    answer(109_499, nothing_seen("front-right-door"));
    let view = phone.view(job);
    let said = ["roof", "bonnet", "tailgate", "front-left-door", "front-right-door"]
        .map(|panel| fast(&how(&view, panel)));
    assert_eq!(said, [false, true, true, false, true], "exactly 3,000 ms is a look");
    let page =
        phone.open().report(job.to_string(), sidelong_core::record::words::Locale::EnGb).expect("a page");
    assert_eq!(page.matches(FAST).count(), 3);
    phone.reopen().expect("opens again");
    assert_eq!(phone.view(job), view);
}

#[test]
fn what_lies_between_does_not_make_a_look_of_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 2);
    at(&mut phone, 100_000, job, nothing_seen("roof")).expect("accepted");
    at(&mut phone, 100_500, job, could_not_see("front-bumper", Why::Dirt)).expect("accepted");
    at(&mut phone, 101_000, job, nothing_seen("bonnet")).expect("accepted");
    later(&mut phone, 102_000, job, nothing_seen("tailgate"));
    at(&mut phone, 102_500, job, nothing_seen("rear-bumper")).expect("accepted");
    let view = phone.view(job);
    assert!(fast(&how(&view, "bonnet")), "a panel that could not be seen takes no time");
    assert!(fast(&how(&view, "rear-bumper")), "an answer entered later takes no time");
    // After a whole side in passing no close look fits into a second either.
    let passed = Act::PassSide(PassSide { walk: None, side: WholeSide::Left, light: None, surface: None });
    at(&mut phone, 200_000, job, passed).expect("accepted");
    at(&mut phone, 201_000, job, nothing_seen("front-right-door")).expect("accepted");
    assert!(fast(&how(&phone.view(job), "front-right-door")));
}

#[test]
fn what_was_entered_later_or_elsewhere_is_not_fast() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, job) = phone(&folder, 3);
    later(&mut one, 100_000, job, nothing_seen("roof"));
    later(&mut one, 101_000, job, nothing_seen("bonnet"));
    at(&mut one, 102_000, job, nothing_seen("tailgate")).expect("accepted");
    reboot(&mut one);
    at(&mut one, 103_000, job, nothing_seen("front-bumper")).expect("accepted");
    at(&mut one, 104_000, job, walk(Stage::AfterWash)).expect("accepted");
    at(&mut one, 105_000, job, nothing_seen("rear-bumper")).expect("accepted");
    let view = one.view(job);
    let hows: Vec<&str> = view
        .walks
        .iter()
        .flat_map(|walk| &walk.panels)
        .flat_map(|panel| &panel.answers)
        .map(|answer| answer.how.as_str())
        .collect();
    assert_eq!(hows.len(), 5);
    assert!(hows.iter().all(|how| !fast(how)), "{hows:?}");

    // Two people look at once.
    let mut two = Phone::new(&folder.path().join("4"), 4);
    two.join(&mut one);
    let mono = 200_000;
    at(&mut one, mono, job, nothing_seen("left-sill")).expect("accepted");
    two.join(&mut one);
    at(&mut two, mono + 1_000, job, nothing_seen("right-sill")).expect("accepted");
    assert!(!fast(&how(&two.view(job), "right-sill")));
}

#[test]
fn not_looked_and_could_not_see_are_no_looks() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 5);
    at(&mut phone, 100_000, job, could_not_see("roof", Why::Wet)).expect("accepted");
    at(&mut phone, 100_100, job, nothing_seen("bonnet")).expect("accepted");
    at(&mut phone, 100_200, job, could_not_see("tailgate", Why::Wet)).expect("accepted");
    let view = phone.view(job);
    assert!(!fast(&how(&view, "bonnet")));
    assert!(!how(&view, "tailgate").contains(FAST));
    assert_eq!(view.walks[0].panels.iter().filter(|it| it.outcome == Outcome::CouldNotSee).count(), 2);
}
