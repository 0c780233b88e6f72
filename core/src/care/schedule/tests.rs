//! Schedules that can be reckoned by hand, rules on thrown problems, and every way in which a problem can be wrong.

use super::super::tests::Dice;
use super::*;

fn layer(apply_s: i64, least_s: i64, most_s: i64, level_s: i64) -> Layer {
    Layer {
        apply_s,
        wait_least_s: least_s,
        wait_most_s: Some(most_s),
        level_s,
        cure_least_s: 0,
        cure_most_s: None,
        person: None,
        applied: None,
        levelled: None,
    }
}

fn done(person: &str, start_s: i64, end_s: i64) -> Option<Done> {
    Some(Done { person: person.into(), start_s, end_s: Some(end_s) })
}

fn problem(people: usize, sections: Vec<Vec<Layer>>) -> Problem {
    let named = |at: usize, layers| Section { name: format!("s{at}"), from_s: 0, layers };
    Problem {
        now_s: 0,
        open_limit: 1,
        hand_over: false,
        late_allowed: false,
        people: (0..people).map(|at| Person { name: format!("p{at}"), from_s: 0 }).collect(),
        sections: sections.into_iter().enumerate().map(|(at, layers)| named(at, layers)).collect(),
    }
}

fn fits(problem: &Problem) -> (i64, bool, Vec<Task>, Vec<Window>) {
    match plan(problem).expect("an answer") {
        Plan::Fits { finish_s, best, tasks, late } => (finish_s, best, tasks, late),
        other => panic!("{other:?}"),
    }
}

fn starts(tasks: &[Task]) -> Vec<(&str, TaskKind, i64)> {
    tasks.iter().map(|it| (it.section.as_str(), it.task, it.start_s)).collect()
}

use TaskKind::{Apply, Level};

#[test]
fn a_wait_is_used_where_more_may_be_open() {
    let mut two = problem(1, vec![vec![layer(60, 50, 120, 30)], vec![layer(60, 50, 120, 30)]]);
    // One after the other: 2 × (60 + 50 + 30).
    assert_eq!(fits(&two).0, 280);
    // Both open: the second is applied while the first waits, and the first is levelled later than it could be.
    two.open_limit = 2;
    let (finish_s, best, tasks, _) = fits(&two);
    assert_eq!((finish_s, best), (200, true));
    assert_eq!(starts(&tasks), [("s0", Apply, 0), ("s1", Apply, 60), ("s0", Level, 120), ("s1", Level, 170)]);
    // Not if the first may not wait so long.
    two.sections[0].layers[0].wait_most_s = Some(55);
    two.sections[1].layers[0].wait_most_s = Some(55);
    assert_eq!(fits(&two).0, 280);
}

#[test]
fn a_late_section_changes_the_plan() {
    let mut job = problem(1, vec![vec![layer(60, 60, 90, 30)], vec![layer(100, 0, 10, 20)]]);
    job.open_limit = 2;
    job.now_s = 100;
    // As planned: applied until 60, now it is 100. No room for the other before it is due at 120.
    job.sections[0].layers[0].applied = done("p0", 0, 60);
    let planned = fits(&job);
    assert_eq!(starts(&planned.2[1..]), [("s0", Level, 120), ("s1", Apply, 150), ("s1", Level, 250)]);
    // Applied only now: the other goes in between only if it is over before 190.
    job.sections[0].layers[0].applied = done("p0", 40, 100);
    let late = fits(&job);
    assert_eq!(starts(&late.2[1..]), [("s0", Level, 160), ("s1", Apply, 190), ("s1", Level, 290)]);
    job.sections[1].layers[0].apply_s = 60;
    let late = fits(&job);
    assert_eq!(starts(&late.2[1..]), [("s1", Apply, 100), ("s1", Level, 160), ("s0", Level, 180)]);
    assert_eq!((late.0, late.1), (210, true));
}

#[test]
fn windows_that_break_are_named_and_by_how_much() {
    // Two open ones of one person, both to be levelled from 60 to 70, 30 s each; a third has time.
    let open = |most_s| Layer { applied: done("p0", 0, 0), ..layer(10, 60, most_s, 30) };
    let mut job = problem(2, vec![vec![open(70)], vec![open(70)], vec![open(500)]]);
    job.open_limit = 3;
    let Plan::NothingFits { breaks, proved } = plan(&job).expect("an answer") else {
        panic!("it cannot fit")
    };
    let window =
        |section: &str| Window { section: section.into(), layer: 0, lag: Lag::Wait, due_s: 70, late_s: 20 };
    assert!(proved);
    assert_eq!(breaks, [window("s0"), window("s1")]);
    // The other person can help if that is allowed.
    job.hand_over = true;
    assert_eq!(fits(&job).0, 120);
    job.hand_over = false;
    // Late if it has to be.
    job.late_allowed = true;
    let (finish_s, best, tasks, late) = fits(&job);
    assert_eq!((finish_s, best, late.len(), late[0].late_s), (150, true, 1, 20), "{tasks:?}");
}

#[test]
fn a_cure_that_has_a_most_breaks_if_nobody_is_there() {
    let first = Layer {
        applied: done("p0", 0, 10),
        levelled: done("p0", 20, 30),
        cure_least_s: 60,
        cure_most_s: Some(100),
        ..layer(10, 10, 20, 10)
    };
    let mut job = problem(1, vec![vec![first, layer(10, 10, 20, 10)]]);
    job.now_s = 40;
    assert_eq!(fits(&job).0, 90 + 30);
    job.people[0].from_s = 200;
    let Plan::NothingFits { breaks, .. } = plan(&job).expect("an answer") else { panic!("it cannot fit") };
    assert_eq!(breaks, [Window { section: "s0".into(), layer: 0, lag: Lag::Cure, due_s: 130, late_s: 70 }]);
}

#[test]
fn what_runs_is_let_end_and_what_is_done_stays() {
    let mut job = problem(1, vec![vec![layer(60, 10, 20, 30)], vec![layer(60, 10, 20, 30)]]);
    job.now_s = 50;
    job.sections[0].layers[0].applied = Some(Done { person: "p0".into(), start_s: 0, end_s: None });
    let (finish_s, _, tasks, _) = fits(&job);
    assert_eq!((finish_s, tasks[0].state, tasks[0].end_s), (200, TaskState::Running, 60));
    // Running longer than it was to: it is over at any moment.
    job.now_s = 75;
    assert_eq!(fits(&job).2[0].end_s, 75);
    let over = Layer { applied: done("p0", 0, 60), levelled: done("p0", 70, 75), ..layer(60, 10, 20, 30) };
    job.sections = vec![Section { name: "s0".into(), from_s: 0, layers: vec![over] }];
    assert_eq!((fits(&job).0, fits(&job).1), (75, true));
}

/// Whatever is wrong with a plan, by the statement of the problem alone. The checker beside CP-SAT in `tests/python` is another one.
fn faults(problem: &Problem, tasks: &[Task]) -> Vec<String> {
    let mut wrong = Vec::new();
    let at = |section: &Section, layer: usize, kind: TaskKind| {
        let mut found =
            tasks.iter().filter(|it| it.section == section.name && it.layer == layer && it.task == kind);
        let task = found.next().expect("each task is planned");
        assert!(found.next().is_none(), "a task twice");
        task
    };
    for section in &problem.sections {
        let mut before: Option<(&Layer, i64)> = None;
        for (number, layer) in section.layers.iter().enumerate() {
            let (apply, level) = (at(section, number, Apply), at(section, number, Level));
            let mut rule = |holds: bool, what: &str| {
                if !holds {
                    wrong.push(format!("{} {number}: {what}", section.name));
                }
            };
            let wait_s = level.start_s - apply.end_s;
            rule(wait_s >= layer.wait_least_s && layer.wait_most_s.is_none_or(|it| wait_s <= it), "wait");
            rule(
                apply.end_s - apply.start_s == layer.apply_s && level.end_s - level.start_s == layer.level_s,
                "length",
            );
            rule(problem.hand_over || apply.person == level.person, "handed over");
            rule(layer.person.as_ref().is_none_or(|it| *it == apply.person), "who");
            rule(apply.start_s >= section.from_s.max(problem.now_s), "too early");
            if let Some((lower, end_s)) = before {
                let cure_s = apply.start_s - end_s;
                rule(cure_s >= lower.cure_least_s && lower.cure_most_s.is_none_or(|it| cure_s <= it), "cure");
            }
            before = Some((layer, level.end_s));
        }
    }
    for person in &problem.people {
        let own = || tasks.iter().filter(|it| it.person == person.name);
        for task in own() {
            let beside = own().filter(|it| it.start_s < task.end_s && task.start_s < it.end_s).count();
            if beside != 1 || task.start_s < person.from_s {
                wrong.push(format!("{} at {}: {beside} things at once", person.name, task.start_s));
            }
            let level_of = |it: &Task| {
                let same = |other: &&Task| {
                    other.task == Level && other.section == it.section && other.layer == it.layer
                };
                tasks.iter().find(same).expect("levelled").end_s
            };
            let open = own()
                .filter(|it| it.task == Apply && it.start_s <= task.start_s && level_of(it) > task.start_s);
            if task.task == Apply && open.count() > problem.open_limit as usize {
                wrong.push(format!("{} at {}: too many open", person.name, task.start_s));
            }
        }
    }
    wrong
}

#[test]
fn plans_of_any_size_keep_every_rule_and_are_the_same_each_time() {
    let mut dice = Dice(17);
    for round in 0..60 {
        let people = 1 + dice.below(4);
        let sections = (0..1 + dice.below(12)).map(|_| {
            let thrown = |dice: &mut Dice| {
                let (least_s, cure_s) = (dice.below(120) as i64, dice.one_of(&[0, 300, 1_800]));
                Layer {
                    wait_most_s: dice.one_of(&[None, Some(least_s), Some(least_s + 60)]),
                    cure_least_s: cure_s,
                    cure_most_s: dice.one_of(&[None, None, Some(cure_s), Some(cure_s + 200)]),
                    person: dice.one_of(&[None, None, Some(())]).map(|()| format!("p{}", dice.below(people))),
                    ..layer(1 + dice.below(90) as i64, least_s, 0, 1 + dice.below(60) as i64)
                }
            };
            (0..1 + dice.below(4)).map(|_| thrown(&mut dice)).collect()
        });
        let mut job = problem(people, sections.collect());
        job.open_limit = dice.one_of(&[1, 1, 2, 3]);
        job.hand_over = dice.below(3) == 0;
        job.sections[0].from_s = dice.one_of(&[0, 100]);
        let (finish_s, _, tasks, late) = fits(&job);
        assert_eq!(faults(&job, &tasks), Vec::<String>::new(), "round {round}: {job:?}");
        assert!(late.is_empty() && finish_s == tasks.iter().map(|it| it.end_s).max().expect("tasks"));
        if round % 10 == 0 {
            assert_eq!(fits(&job).2, tasks, "round {round}");
        }
    }
}

#[test]
fn the_most_that_can_be_put_in_is_planned() {
    let mut job = problem(50, vec![vec![layer(60, 60, 90, 30); 5]; 200]);
    job.open_limit = 2;
    let (_, _, tasks, _) = fits(&job);
    assert_eq!((tasks.len(), faults(&job, &tasks)), (2_000, Vec::new()));
}

/// A change that makes a problem wrong, and what is said about it.
type Wrong = (fn(&mut Problem), &'static str);

#[test]
fn what_is_wrong_with_a_problem_is_said_with_its_path() {
    let sound = || {
        let applied = Layer { applied: done("p0", 0, 10), ..layer(10, 10, 20, 10) };
        let levelled = Layer { levelled: done("p1", 20, 30), ..applied.clone() };
        let mut job = problem(2, vec![vec![applied], vec![levelled, layer(10, 10, 20, 10)]]);
        job.now_s = 30;
        job.open_limit = 2;
        job
    };
    assert!(plan(&sound()).is_ok());
    let wrong: [Wrong; 29] = [
        (|it| it.people.clear(), "people: 0 of them"),
        (|it| it.sections.clear(), "sections: 0 of them"),
        (|it| it.sections[0].layers.clear(), "sections[0].layers: there is no layer"),
        (|it| it.sections[1].layers = vec![layer(1, 1, 1, 1); 1_001], "sections: 1002 layers"),
        (|it| it.people[1].name = "p0".into(), "people[1].name: \"p0\" stands twice, first as people[0]"),
        (|it| it.people[1].name = " ".into(), "people[1].name: a name has 1 to 200 bytes"),
        (|it| it.sections[1].name = "s0".into(), "sections[1].name: \"s0\" stands twice"),
        (|it| it.open_limit = 0, "open_limit: 0 does not"),
        (|it| it.open_limit = u32::MAX, "open_limit: 4294967295 does not"),
        (|it| it.now_s = -1, "now_s: -1 s does not"),
        (|it| it.people[0].from_s = i64::MAX, "people[0].from_s: 9223372036854775807 s"),
        (|it| it.sections[1].from_s = i64::MIN, "sections[1].from_s: -9223372036854775808 s"),
        (|it| it.sections[0].layers[0].apply_s = 0, "sections[0].layers[0].apply_s: 0 s"),
        (|it| it.sections[0].layers[0].level_s = -5, "sections[0].layers[0].level_s: -5 s"),
        (|it| it.sections[0].layers[0].wait_least_s = i64::MAX, "sections[0].layers[0].wait_least_s: 9"),
        (
            |it| it.sections[0].layers[0].wait_most_s = Some(9),
            "sections[0].layers[0].wait_most_s: 9 s is less than the least, 10 s",
        ),
        (|it| it.sections[0].layers[0].wait_most_s = Some(i64::MAX), "sections[0].layers[0].wait_most_s: 9"),
        (
            |it| it.sections[0].layers[0].cure_most_s = Some(-1),
            "sections[0].layers[0].cure_most_s: -1 s is less",
        ),
        (
            |it| it.sections[0].layers[0].person = Some("x".into()),
            "sections[0].layers[0].person: there is nobody called \"x\"",
        ),
        (
            |it| it.sections[0].layers[0].applied = done("x", 0, 1),
            "sections[0].layers[0].applied.person: there is",
        ),
        (
            |it| it.sections[0].layers[0].applied = done("p0", 31, 40),
            "sections[0].layers[0].applied.start_s: 31 lies after now_s",
        ),
        (
            |it| it.sections[0].layers[0].applied = done("p0", 5, 4),
            "sections[0].layers[0].applied.end_s: 4 does not lie",
        ),
        (
            |it| it.sections[0].layers[0].applied = done("p0", 5, 31),
            "sections[0].layers[0].applied.end_s: 31 does not",
        ),
        (
            |it| it.sections[0].layers[0].applied = done("p0", -5, 4),
            "sections[0].layers[0].applied.start_s: -5 s",
        ),
        (
            |it| it.sections[1].layers[0].applied = None,
            "sections[1].layers[0].levelled.start_s: it cannot begin before it is applied",
        ),
        (
            |it| it.sections[1].layers[0].levelled = done("p0", 9, 20),
            "sections[1].layers[0].levelled.start_s: it cannot begin before",
        ),
        (
            |it| it.sections[1].layers[1].applied = done("p0", 29, 30),
            "sections[1].layers[1].applied.start_s: it cannot begin before the layer below is levelled",
        ),
        (
            |it| {
                it.sections[1].layers[0].levelled = None;
                it.sections[1].layers[1].applied = done("p0", 29, 30);
            },
            "sections[1].layers[1].applied.start_s: it cannot begin before the layer below is levelled",
        ),
        (
            |it| {
                it.sections[0].layers[0].applied =
                    Some(Done { person: "p0".into(), start_s: 9, end_s: None });
                it.sections[1].layers[1].applied =
                    Some(Done { person: "p0".into(), start_s: 30, end_s: None });
            },
            "sections[1].layers[1].applied.person: p0 is at two sections at once",
        ),
    ];
    for (change, said) in wrong {
        let mut job = sound();
        change(&mut job);
        let error = plan(&job).expect_err(said).to_string();
        assert!(error.starts_with(said), "{error}, not {said}");
    }
}

#[test]
fn json_that_is_no_problem_is_named_by_its_path() {
    for (json, said) in [
        ("", "EOF"),
        ("{}", "missing field `people`"),
        (r#"{"people":[],"sections":[]} x"#, "problem: trailing characters"),
        (r#"{"people":[{"name":"a","age":3}],"sections":[]}"#, "people[0].age: unknown field"),
        (
            r#"{"people":[{"name":"a"}],"sections":[{"name":"x","layers":[{"apply_s":1.5}]}]}"#,
            "sections[0].layers[0].apply_s: ",
        ),
        (
            r#"{"people":[{"name":"a"}],"sections":[{"name":"x","layers":[{"apply_s":99999999999999999999}]}]}"#,
            "sections[0].layers[0].apply_s: ",
        ),
    ] {
        let error = Problem::read(json).expect_err(json).to_string();
        assert!(error.contains(said), "{error}, not {said}");
    }
}

#[test]
fn any_numbers_give_an_answer_or_a_reason() {
    const ODD: [i64; 10] = [i64::MIN, -1, 0, 1, 7, 60, 31_622_400, 100_000_000_000, i64::MAX / 8, i64::MAX];
    let mut dice = Dice(23);
    let (mut answers, mut reasons) = (0, 0);
    for _ in 0..3_000 {
        let mut odd = |sane: i64| if dice.below(12) == 0 { dice.one_of(&ODD) } else { sane };
        let mut a_layer = || Layer {
            wait_most_s: Some(odd(120)),
            cure_least_s: odd(300),
            cure_most_s: Some(odd(31_622_400)),
            ..layer(odd(60), odd(60), 0, odd(30))
        };
        let mut job = problem(2, vec![vec![a_layer(), a_layer()], vec![a_layer()]]);
        job.people[0].from_s = odd(0);
        job.sections[1].from_s = odd(100_000_000_000);
        job.now_s = odd(100_000_000_000);
        job.open_limit = u32::try_from(odd(2)).unwrap_or(u32::MAX);
        if odd(0) != 0 {
            job.sections[0].layers[0].applied = done("p1", odd(99_999_999_000), odd(100_000_000_000));
        }
        job.late_allowed = odd(1) == 1;
        match plan(&job) {
            Ok(_) => answers += 1,
            Err(why) => {
                reasons += 1;
                assert!(matches!(why, Error::Refused { .. }), "{why}: {job:?}");
            }
        }
    }
    assert!(answers > 300 && reasons > 1_000, "{answers} answers, {reasons} reasons");
}
