//! Schedules that cannot be understood, and those for which nothing is left to plan: each is refused under its field.

use super::shop::{Shop, id, long};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::*;
use sidelong_core::record::words::*;
use uuid::Uuid;

fn sheet(name: &str, dwell: Option<Span>) -> Act {
    Act::RecordSheet(RecordSheet {
        kind: Step::Ceramic,
        starter: false,
        name: Some(name.into()),
        version: None,
        says: SheetSays { dwell, ..SheetSays::default() },
        apply: None,
        remove: None,
        cautions: Vec::new(),
        source: None,
    })
}

fn worker(name: &str) -> Worker {
    Worker { name: name.into(), from_at: None }
}

fn section(panel: &str, sheet: Uuid) -> SectionToCoat {
    let layers = vec![LayerToCoat { sheet, apply_s: 60, level_s: 30 }];
    SectionToCoat { panel: panel.into(), part: None, layers }
}

#[test]
fn schedules_that_cannot_be_understood() {
    let mut shop = Shop::open();
    let dwell = Some(Span { least_s: 120, most_s: Some(180) });
    let (job, other) = (shop.job, shop.other);
    let own = id(&shop.phone.put(job, sheet("Own", dwell)).input);
    let foreign = id(&shop.phone.put(other, sheet("Own", dwell)).input);
    let sound = MakeSchedule {
        people: vec![worker("Ann")],
        sections: vec![section("bonnet", own), section("roof", own)],
        open_limit: 1,
        hand_over: false,
        late_allowed: false,
        begins_at: None,
    };
    let wrong = |change: &dyn Fn(&mut MakeSchedule)| {
        let mut act = sound.clone();
        change(&mut act);
        Act::MakeSchedule(act)
    };
    let layer = |change: &dyn Fn(&mut LayerToCoat)| wrong(&|it| change(&mut it.sections[1].layers[0]));
    shop.refuse(vec![
        (wrong(&|it| it.people.clear()), "make_schedule.people"),
        (wrong(&|it| it.people = vec![worker("Ann"); 51]), "make_schedule.people"),
        (wrong(&|it| it.people[0].name = " ".into()), "make_schedule.people[0].name"),
        (wrong(&|it| it.people[0].name = long(61)), "make_schedule.people[0].name"),
        (wrong(&|it| it.people.push(worker(" Ann "))), "make_schedule.people[1].name"),
        (wrong(&|it| it.people[0].from_at = Some("noon".into())), "make_schedule.people[0].from_at"),
        (wrong(&|it| it.begins_at = Some("2026-06-09".into())), "make_schedule.begins_at"),
        (wrong(&|it| it.begins_at = Some("9999-01-01T00:00:00Z".into())), "make_schedule.begins_at"),
        (wrong(&|it| it.open_limit = 0), "make_schedule.open_limit"),
        (wrong(&|it| it.open_limit = u32::MAX), "make_schedule.open_limit"),
        (wrong(&|it| it.sections.clear()), "make_schedule.sections"),
        (wrong(&|it| it.sections = vec![section("roof", own); 201]), "make_schedule.sections"),
        (wrong(&|it| it.sections[1].panel = "wing".into()), "make_schedule.sections[1].panel"),
        (wrong(&|it| it.sections[1].panel = "bonnet".into()), "make_schedule.sections[1].panel"),
        (wrong(&|it| it.sections[1].part = Some(0)), "make_schedule.sections[1].part"),
        (wrong(&|it| it.sections[1].layers.clear()), "make_schedule.sections[1].layers"),
        (
            wrong(&|it| it.sections[1].layers = vec![it.sections[0].layers[0]; 21]),
            "make_schedule.sections[1].layers",
        ),
        (layer(&|it| it.sheet = foreign), "make_schedule.sections[1].layers[0].sheet"),
        (layer(&|it| it.apply_s = 0), "make_schedule.sections[1].layers[0].apply_s"),
        (layer(&|it| it.level_s = 86_401), "make_schedule.sections[1].layers[0].level_s"),
        // Longer to put on than the sheet lets it wait.
        (layer(&|it| it.apply_s = 181), "make_schedule.sections[1].layers[0].apply_s"),
        (
            wrong(&|it| {
                let many = |part| SectionToCoat {
                    part: Some(part),
                    layers: vec![it.sections[0].layers[0]; 5],
                    ..section("roof", own)
                };
                it.sections = (1..=81).map(many).collect();
            }),
            "make_schedule.sections",
        ),
    ]);
    let later = Some("2026-06-09T07:00:00+01:00".to_owned());
    let input = Input { observed_at: later, ..shop.phone.input(job, Act::MakeSchedule(sound.clone())) };
    let said = shop.phone.open().record(input);
    assert!(matches!(said, Err(Error::Refused { field, .. }) if field == "act.make_schedule"));
    let none =
        shop.phone.input(job, Act::WriteNote(WriteNote { panel: None, entry: None, text: "a".into() }));
    let said = shop.phone.open().try_schedule(none, Locale::EnGb);
    assert!(matches!(said, Err(Error::Refused { field, .. }) if field == "act"));
    let nothing = shop.phone.open().schedule(job.to_string(), Locale::EnGb);
    assert_eq!(nothing, Ok(None), "nothing of it is on record");
    let unknown = shop.phone.open().schedule(Uuid::nil().to_string(), Locale::EnGb);
    assert!(unknown.is_err(), "{unknown:?}");

    // What is open has to be levelled by somebody who is there, and what is done is not planned.
    let who = Some("Bob".to_owned());
    let begin = BeginLayer { panel: "roof".into(), part: None, layer: 1, sheet: own, lot: None, who };
    let begun = id(&shop.phone.put(job, Act::BeginLayer(begin)).input);
    let alone = || Act::MakeSchedule(MakeSchedule { sections: vec![section("roof", own)], ..sound.clone() });
    shop.refuse(vec![(alone(), "make_schedule.people")]);
    shop.phone.put(job, Act::LevelSection(LevelSection { begun, who: None, then: None }));
    shop.refuse(vec![(alone(), "make_schedule.sections")]);
}
