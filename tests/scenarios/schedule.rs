//! The schedule on record: who coats what when, what becomes of it when a section is late, and what keeps nothing from fitting.

use super::work::{Crew, at, coating, crew, layer};
use super::*;
use sidelong_core::record::inputs::{
    BeginLayer, Input, LayerToCoat, MakeSchedule, RecordSheet, SectionToCoat, SheetSays, Span, Worker,
};
use sidelong_core::record::views::{ScheduleTask, ScheduleView, TaskStage, TaskView};

/// Each section with so many layers, a minute to put on and half a minute to level.
fn ask(panels: &[&str], layers: usize, sheet: Uuid) -> MakeSchedule {
    let of = |panel: &&str| SectionToCoat {
        panel: (*panel).to_owned(),
        part: None,
        layers: vec![LayerToCoat { sheet, apply_s: 60, level_s: 30 }; layers],
    };
    MakeSchedule {
        people: vec![Worker { name: "Ann".into(), from_at: None }],
        sections: panels.iter().map(of).collect(),
        open_limit: 1,
        hand_over: false,
        late_allowed: false,
        begins_at: None,
    }
}

impl Crew {
    fn make(&mut self, act: &MakeSchedule) -> Uuid {
        self.put(Act::MakeSchedule(act.clone()))
    }

    fn schedule(&self) -> ScheduleView {
        let found = self.phone.open().schedule(self.job.to_string(), Locale::EnGb).expect("the schedule");
        found.expect("one is on record")
    }

    fn tried(&mut self, act: &MakeSchedule) -> Result<ScheduleView, Error> {
        let input: Input = self.phone.input(self.job, Act::MakeSchedule(act.clone()));
        self.phone.open().try_schedule(input, Locale::EnGb)
    }

    /// Section, task, from, to and how far.
    fn lines(&self) -> Vec<String> {
        self.schedule().tasks.iter().map(line).collect()
    }
}

fn line(task: &TaskView) -> String {
    let from = task.from.trim_start_matches("Tue ");
    let to = task.to.trim_start_matches("Tue ");
    format!("{} {} {from} {to}: {}", task.section, task.task_text, task.text)
}

/// Scenario 16 planned: two sections, one at a time, levelled 2 to 3 minutes after the first stroke. One is late: planned anew, the
/// answer changes, and the earlier one stays on record.
#[test]
fn a_late_section_changes_the_answer() {
    let mut crew = crew(190);
    let coat = crew.put(Act::RecordSheet(coating()));
    let asked = ask(&["bonnet", "roof"], 1, coat);
    let tried = crew.tried(&asked).expect("it fits");
    assert_eq!((tried.id.as_ref(), tried.made.len(), tried.best), (None, 0, true));
    let first = crew.make(&asked);
    let plan = [
        "bonnet put on 10:00:00 10:01:00: next",
        "bonnet level 10:02:00 10:02:30: to come",
        "roof put on 10:02:30 10:03:30: to come",
        "roof level 10:04:30 10:05:00: to come",
    ];
    assert_eq!(crew.lines(), plan);
    let made = crew.schedule();
    assert_eq!((&made.id, made.finish.as_str()), (&Some(first.to_string()), "Tue 10:05:00"));
    assert_eq!((made.best_text.as_str(), made.zone.as_str()), ("shown to be the earliest", "Europe/London"));
    assert_eq!(made.terms, ["Ann", "one section open at a time each"]);
    let same = |it: &ScheduleView| it.tasks.iter().map(|it| (it.from_ms, it.to_ms)).collect::<Vec<_>>();
    assert_eq!(same(&made), same(&tried), "what was tried is what was recorded");

    let bonnet = crew.begin("bonnet", 1, coat);
    crew.clock.wait(30);
    assert_eq!(crew.schedule().tasks[0].stage, TaskStage::Running);
    crew.clock.until(at(10, 3, 20));
    let lines = crew.lines();
    assert_eq!(lines[0], "bonnet put on 10:00:00 10:01:00: done as planned");
    assert_eq!(lines[1], "bonnet level 10:02:00 10:02:30: 50 s late");
    crew.level(bonnet);
    assert_eq!(crew.lines()[1], "bonnet level 10:02:00 10:02:30: done 50 s later than planned");
    let second = crew.make(&asked);
    let anew = [
        "bonnet put on 10:00:00 10:01:00: done as planned",
        "bonnet level 10:02:00 10:02:30: done 50 s later than planned",
        "roof put on 10:03:20 10:04:20: next",
        "roof level 10:05:20 10:05:50: to come",
    ];
    assert_eq!(crew.lines(), anew);
    let view = crew.schedule();
    assert_eq!(
        view.changed,
        [
            "finished Tue 10:05:50 instead of Tue 10:05:00, 50 s later",
            "2 of 2 tasks begin at another time, at most 50 s later"
        ]
    );
    assert_eq!((view.tasks[1].off_ms, view.tasks[2].moved_ms), (50_000, Some(50_000)));
    let made: Vec<&str> = view.made.iter().map(|it| it.id.as_str()).collect();
    assert_eq!(made, [first.to_string(), second.to_string()]);
    assert_eq!((view.made[0].finish.as_str(), view.made[0].note.as_ref()), ("Tue 10:05:00", None));

    // On the page the plan is the schedule, the line with a flag is when it was made anew; elsewhere the plan is the sheets'.
    let page = |crew: &Crew| crew.phone.open().report(crew.job.to_string(), Locale::EnGb).expect("a page");
    let with = page(&crew);
    for said in [
        "the schedule, and what was done",
        "planned anew, Tue 10:03.",
        "Shown to be the earliest; ",
        "Finished Tue 10:05:50 instead of Tue 10:05:00, 50 s later",
    ] {
        assert!(with.contains(said), "{said} is not in the page");
    }
    assert_eq!(with.matches("class=\"planned\"").count(), 4);
    assert!(!with.contains("class=\"plan\""), "no window of a sheet beside the schedule");
    crew.job = crew.phone.begin(Form::Hatch5, Stage::AsFound);
    let coat = crew.put(Act::RecordSheet(coating()));
    crew.begin("bonnet", 1, coat);
    let without = page(&crew);
    assert!(without.contains("plan by the sheets, and what was done") && without.contains("class=\"plan\""));
    assert!(!without.contains("class=\"planned\"") && !without.contains("<h3>Schedule</h3>"));
}

/// A window that runs already and cannot be kept is named; allowed to be late, it is planned and told.
#[test]
fn what_breaks_is_named() {
    let mut crew = crew(191);
    let coat = crew.put(Act::RecordSheet(coating()));
    let asked = ask(&["bonnet", "roof"], 2, coat);
    let bonnet = crew.begin("bonnet", 1, coat);
    crew.clock.wait(200);
    let refused = Error::Refused {
        field: "act.make_schedule.sections[0]".into(),
        reason: "nothing fits: bonnet: layer 1 had to be levelled 20 s ago and would be 20 s late at least; late_allowed plans it all the same"
            .into(),
    };
    assert_eq!(crew.tried(&asked), Err(refused.clone()));
    assert_eq!(crew.phone.record(crew.job, Act::MakeSchedule(asked.clone())), Err(refused));
    assert_eq!(crew.phone.open().schedule(crew.job.to_string(), Locale::EnGb), Ok(None));
    crew.make(&MakeSchedule { late_allowed: true, ..asked.clone() });
    assert_eq!(crew.schedule().late, ["bonnet: layer 1 is levelled 20 s too late by its sheet"]);
    assert_eq!(crew.lines()[1], "bonnet level 10:03:20 10:03:50: next");
    crew.level(bonnet);

    // The next layer within the hour and a half, and nobody is there until later.
    let says = SheetSays { next_layer: Some(Span { least_s: 3_600, most_s: Some(5_400) }), ..coating().says };
    let strict = RecordSheet { name: Some("Strict".into()), says, ..coating() };
    let strict = crew.put(Act::RecordSheet(strict));
    let roof = crew.begin("roof", 1, strict);
    crew.clock.wait(150);
    crew.level(roof);
    let noon = Some("2026-06-09T12:00:00+01:00".to_owned());
    let late = MakeSchedule { begins_at: noon, ..ask(&["roof"], 2, strict) };
    let said = crew.tried(&late).expect_err("it cannot fit").to_string();
    // Levelled at 10:05:50, to be followed by 11:35:50.
    assert!(said.contains("roof: layer 2 has to be put on within 1 h 30 min"), "{said}");
    assert!(said.contains("24 min late at least"), "{said}");
    let soon = MakeSchedule { begins_at: Some("2026-06-09T11:00:00+01:00".into()), ..late };
    let view = crew.tried(&soon).expect("it fits");
    let put_on = view.tasks.iter().find(|it| (it.layer, it.task) == (2, ScheduleTask::Apply));
    assert_eq!(put_on.expect("planned").from, "Tue 11:05:50");
}

/// Clock set back by an hour, a restart, three days offline: the same moments, told by the clock as it stands.
#[test]
fn a_clock_that_is_set_moves_no_task() {
    let mut crew = crew(192);
    let coat = crew.put(Act::RecordSheet(coating()));
    crew.make(&ask(&["bonnet"], 1, coat));
    let from = |crew: &Crew| crew.schedule().tasks[0].from.clone();
    assert_eq!(from(&crew), "Tue 10:00:00");
    crew.clock.wait(30);
    crew.clock.change(|now| now.at_ms -= 3_600_000);
    assert_eq!(from(&crew), "Tue 09:00:00");
    assert_eq!(
        crew.schedule().tasks[0].stage,
        TaskStage::Next,
        "half a minute has passed, not minus an hour"
    );
    // What is begun now is half a minute late, whatever the wall says.
    crew.begin("bonnet", 1, coat);
    assert_eq!(crew.schedule().tasks[0].off_ms, 30_000);
    crew.clock.wait(90);
    let anew = crew.make(&ask(&["bonnet"], 1, coat));
    assert_eq!(crew.lines()[1], "bonnet level 09:02:30 09:03:00: next", "2 min after the first stroke");
    crew.clock.change(|now| {
        now.at_ms += 3 * DAY_MS;
        now.boot = "second boot".into();
        now.mono_ms = 20_000;
    });
    crew.phone.reopen().expect("opens");
    let view = crew.schedule();
    let level = &view.tasks[1];
    assert_eq!((level.from.as_str(), level.stage), ("Tue 09:02:30", TaskStage::Late));
    assert_eq!((view.id, view.notes.len()), (Some(anew.to_string()), 0));
    // Set back over a restart: that more may have passed is said.
    crew.clock.change(|now| {
        now.at_ms -= 4 * DAY_MS;
        now.boot = "third boot".into();
        now.mono_ms = 600_000;
    });
    crew.phone.reopen().expect("opens");
    assert!(
        crew.schedule().notes[0].starts_with("a clock was set back since"),
        "{:?}",
        crew.schedule().notes
    );
}

/// Two phones make one each, offline from each other: both are kept, the newest counts on both, and that is said.
#[test]
fn two_phones_make_a_schedule_each() {
    let mut crew = crew(193);
    let coat = crew.put(Act::RecordSheet(coating()));
    let mut two = Phone::new(&crew._folder.path().join("two"), 194);
    two.clock.set(at(10, 0, 0));
    two.join(&mut crew.phone);
    crew.make(&ask(&["bonnet", "roof"], 1, coat));
    let mut theirs = ask(&["bonnet"], 2, coat);
    theirs.people[0].name = "Bob".into();
    two.put(crew.job, Act::MakeSchedule(theirs));
    crew.phone.join(&mut two);
    two.join(&mut crew.phone);
    let (one, other) = (crew.schedule(), two.open().schedule(crew.job.to_string(), Locale::EnGb));
    let other = other.expect("read").expect("on record");
    assert_eq!((one.made.len(), &one.id), (2, &other.id));
    assert_eq!(one.id.as_ref(), Some(&one.made[1].id));
    let note = one.made[1].note.as_deref().expect("said");
    assert!(note.ends_with("both stand, the newest counts") && one.made[0].note.is_none(), "{note}");
    // Made anew, it knows of both.
    crew.make(&ask(&["bonnet", "roof"], 1, coat));
    assert_eq!(crew.schedule().made[2].note, None);
}

/// Two people, two layers, work handed over: what is on record is taken as done, by whom it was done; a layer that the schedule does
/// not hold is told, and so is a sheet that was edited since.
#[test]
fn a_crew_of_two_with_two_layers() {
    let mut crew = crew(195);
    let coat = crew.put(Act::RecordSheet(coating()));
    let people = ["Ann", "Bob"].map(|name| Worker { name: name.into(), from_at: None });
    let asked = MakeSchedule { people: people.into(), ..ask(&["bonnet", "roof"], 2, coat) };
    crew.make(&asked);
    let view = crew.schedule();
    let who: Vec<&str> = view.tasks.iter().map(|it| it.who.as_str()).collect();
    assert_eq!((who[0], who[1], view.tasks.len()), ("Ann", "Bob", 8));
    let next = |it: &&TaskView| it.stage == TaskStage::Next;
    assert_eq!(view.tasks.iter().filter(next).count(), 2, "one of each");
    assert_eq!(view.finish, "Tue 11:05:00", "2 min 30 s, an hour, 2 min 30 s");
    let who = BeginLayer { who: Some("Bob".into()), ..layer("roof", 1, coat) };
    let roof = crew.put(Act::BeginLayer(who));
    crew.clock.wait(150);
    crew.level(roof);
    crew.begin("tailgate", 1, coat);
    let edited = RecordSheet { source: Some("another leaflet".into()), ..coating() };
    crew.put(Act::RecordSheet(edited));
    let notes = crew.schedule().notes;
    assert_eq!(
        notes,
        [
            "Own coating was edited since; the schedule goes by version 1",
            "put on and not in the schedule: tailgate, layer 1"
        ]
    );
    crew.make(&asked);
    let view = crew.schedule();
    let roof = view.tasks.iter().filter(|it| it.section == "roof" && it.layer == 1);
    assert!(roof.clone().all(|it| it.stage == TaskStage::Done && it.planned), "{view:?}");
    let second = view.tasks.iter().find(|it| (it.section.as_str(), it.layer) == ("roof", 2));
    assert_eq!(second.expect("planned").from, "Tue 11:02:30", "an hour after it was levelled");
}
