//! What the owner said: each answer, item by item, for one vehicle or a fleet's.

use crate::{id, page, phone, put, refused, undo};
use sidelong_core::record::inputs::{Act, Input, ItemAnswer, Stroke, StrokePoint, VehicleAnswer};
use sidelong_core::record::words::{CopyGiven, Form, Locale, MarkKind, OwnerAnswer, Party, Stage};
use sidelong_tests::{Phone, answer, mark};
use uuid::Uuid;

fn item(entry: Uuid, agreed: bool, words: Option<&str>) -> ItemAnswer {
    ItemAnswer { entry, agreed, words: words.map(str::to_owned) }
}

fn stands(phone: &Phone, job: Uuid) -> Option<String> {
    let list = phone.open().jobs(None, 50, Locale::EnGb).expect("a list");
    list.jobs.into_iter().find(|line| line.job == job.to_string()).and_then(|line| line.answer)
}

#[test]
fn each_of_the_five() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 41);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    for (given, copy, text) in [
        (OwnerAnswer::SentNoReply, CopyGiven::Sent, "sent to the owner, no reply"),
        (OwnerAnswer::Absent, CopyGiven::NotGiven, "the owner was absent"),
        (OwnerAnswer::Refused, CopyGiven::NotGiven, "the owner: refused to answer"),
        (OwnerAnswer::AgreedExcept, CopyGiven::Received, "the owner: agreed, with exceptions"),
        (OwnerAnswer::Agreed, CopyGiven::Received, "the owner: agreed"),
    ] {
        let mut act = answer(given, copy);
        if given == OwnerAnswer::AgreedExcept {
            act.items = vec![item(dent, false, None)];
        }
        phone.put(job, Act::RecordOwnerAnswer(act));
        let view = phone.view(job);
        let last = view.owner_answers.last().expect("an answer");
        assert_eq!((last.answer, last.text.as_str()), (given, text));
        assert!(view.owner_text.starts_with(text));
        let agrees = matches!(given, OwnerAnswer::Agreed | OwnerAnswer::AgreedExcept);
        assert_eq!(view.owner_text.contains("agreed"), agrees, "silence is never agreement");
        assert_eq!(stands(&phone, job).map(|text| text.contains("agreed")), Some(agrees));
    }
    assert_eq!(phone.view(job).owner_answers.len(), 5, "every answer stays");
}

#[test]
fn item_by_item_in_the_owners_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 42);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    let chip = put(&mut phone, job, mark("bonnet", MarkKind::StoneChip, 1_000));
    let walk = id(&phone.view(job).walks[0].id);
    let mut act = answer(OwnerAnswer::AgreedExcept, CopyGiven::Received);
    act.items = vec![
        item(dent, true, None),
        item(chip, false, Some("was there when I bought it <b>&</b>")),
        item(walk, true, None),
    ];
    act.signature = vec![
        Stroke { points: vec![StrokePoint { x: 0, y: 1_000 }, StrokePoint { x: 500, y: 250 }] },
        Stroke { points: vec![StrokePoint { x: 1_000, y: 0 }] },
    ];
    phone.put(job, Act::RecordOwnerAnswer(act));
    phone.reopen().expect("opens again");
    let view = phone.view(job);
    let said = &view.owner_answers[0];
    let items: Vec<(&str, bool)> = said.items.iter().map(|it| (it.of.as_str(), it.agreed)).collect();
    assert_eq!(items[..2], [("mark 1", true), ("mark 2", false)]);
    assert_eq!(said.items[1].words.as_deref(), Some("was there when I bought it <b>&</b>"));
    assert_eq!(said.items[0].words, None);
    assert_eq!(said.signature, [vec![0, 1_000, 500, 250], vec![1_000, 0]], "strokes as they were drawn");
    assert_eq!(said.signature_text.as_deref(), Some("drawn beside: agreed, with exceptions"));
    let page = page(&phone, job);
    assert!(page.contains("M0 1000L500 250") && page.contains("was there when I bought it &lt;b&gt;"));
}

/// A signature says "copy received" and no more, unless more is said.
#[test]
fn what_a_signature_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 43);
    for (given, copy, text) in [
        (OwnerAnswer::Refused, CopyGiven::Received, "drawn: copy received"),
        (OwnerAnswer::Refused, CopyGiven::NotGiven, "drawn; it says no more than that"),
        (OwnerAnswer::Agreed, CopyGiven::Received, "drawn beside: agreed"),
    ] {
        let mut act = answer(given, copy);
        act.signature = vec![Stroke { points: vec![StrokePoint { x: 1, y: 1 }] }];
        phone.put(job, Act::RecordOwnerAnswer(act));
        assert_eq!(
            phone.view(job).owner_answers.last().and_then(|it| it.signature_text.as_deref()),
            Some(text)
        );
    }
}

#[test]
fn a_fleets_contact_for_listed_vehicles() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, first) = phone(&folder, 44);
    let mut jobs = vec![first];
    jobs.extend((0..3).map(|_| phone.begin(Form::Van, Stage::AsFound)));
    let dent = put(&mut phone, jobs[2], mark("roof", MarkKind::Dent, 9_000));
    let mut act = answer(OwnerAnswer::Agreed, CopyGiven::Sent);
    act.by = Party::FleetContact;
    act.vehicles = jobs[1..].iter().map(|job| VehicleAnswer { job: *job, items: Vec::new() }).collect();
    act.vehicles[1].items = vec![item(dent, false, Some("not ours to judge"))];

    // One that is not here: the whole input is refused, and nothing is on record for any of them.
    let before: Vec<_> = jobs.iter().map(|job| phone.view(*job)).collect();
    let mut wrong = act.clone();
    wrong.vehicles.push(VehicleAnswer { job: phone.dice.id(), items: Vec::new() });
    let field = refused(phone.record(first, Act::RecordOwnerAnswer(wrong)));
    assert_eq!(field, "act.record_owner_answer.vehicles[3].job");
    assert_eq!(jobs.iter().map(|job| phone.view(*job)).collect::<Vec<_>>(), before);
    assert!(jobs.iter().all(|job| stands(&phone, *job).is_none()));

    let input =
        Input { input: phone.dice.id(), job: first, observed_at: None, act: Act::RecordOwnerAnswer(act) };
    let once = phone.open().record(input.clone()).expect("accepted");
    assert_eq!(once.events.len(), 4);
    phone.reopen().expect("opens again");
    let twice = phone.open().record(input).expect("answered again");
    assert!(twice.again && twice.events == once.events);
    // It is not taken back in one job alone.
    assert_eq!(refused(phone.record(jobs[1], undo(id(&once.input)))), "act.undo.entry");
    let said: Vec<_> = jobs.iter().map(|job| stands(&phone, *job).expect("an answer")).collect();
    assert_eq!(said, ["agreed", "agreed", "agreed, with exceptions", "agreed"]);
    for job in &jobs {
        let view = phone.view(*job);
        assert_eq!(view.owner_answers.len(), 1);
        assert!(view.owner_text.contains("one answer for 4 vehicles"), "{}", view.owner_text);
    }
}

/// What is too much for one entry is refused by name, never an internal failure.
#[test]
fn more_than_an_entry_holds() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 45);
    let marks: Vec<Uuid> =
        (0..80).map(|_| put(&mut phone, job, mark("roof", MarkKind::StoneChip, 1_000))).collect();
    let words = "w".repeat(1_000);
    let mut act = answer(OwnerAnswer::Agreed, CopyGiven::Received);
    act.items = marks.iter().map(|mark| item(*mark, true, Some(&words))).collect();
    let before = phone.view(job);
    let field = refused(phone.record(job, Act::RecordOwnerAnswer(act.clone())));
    assert_eq!(field, "act.record_owner_answer.words");
    assert_eq!(phone.view(job), before);
    act.items.truncate(40);
    phone.put(job, Act::RecordOwnerAnswer(act));
    let many = sidelong_core::record::inputs::OpenDispute {
        reported: "all of it".into(),
        by: Party::Owner,
        panel: None,
        entries: vec![marks[0]; 2_000],
    };
    assert_eq!(refused(phone.record(job, Act::OpenDispute(many))), "act.open_dispute");
}
