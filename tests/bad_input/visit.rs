//! Every refusal of the acts on the visit: the vehicle, what is in it, the owner's answer, what was said and what was
//! entered wrongly.

use crate::shop::*;
use sidelong_core::error::Error;
use sidelong_core::record::events::Business;
use sidelong_core::record::inputs::*;
use sidelong_core::record::words::*;
use sidelong_tests::{MORNING_MS, answer, car, closing, could_not_see, mark, nothing_seen};
use std::sync::atomic::Ordering;
use uuid::Uuid;

#[test]
fn on_the_vehicle_and_what_is_in_it() {
    let mut shop = Shop::open();
    let empty = Some(" ".to_owned());
    let too_long = Some(long(4_001));
    let reads = |change: fn(&mut OpenJob), reason: &str| {
        let mut becomes = car(Form::Hatch5);
        change(&mut becomes);
        Act::CorrectVehicle(CorrectVehicle { becomes, reason: reason.into() })
    };
    let windows = Tried { fitting: Fitting::Windows, works: Works::Works };
    let asked = Permitted { permission: Permission::UseWater, allowed: true };
    let many = thing("a box");
    shop.refuse(vec![
        (reads(|it| it.scope.clear(), "why"), "correct_vehicle.becomes.scope"),
        (reads(|it| it.film = vec!["cellar".into()], "why"), "correct_vehicle.becomes.film[0]"),
        (reads(|it| it.plate = Some(long(21)), "why"), "correct_vehicle.becomes.plate"),
        (reads(|it| it.vin = Some(long(31)), "why"), "correct_vehicle.becomes.vin"),
        (reads(|it| it.colour = Some(long(101)), "why"), "correct_vehicle.becomes.colour"),
        (reads(|it| it.stock = Some(long(41)), "why"), "correct_vehicle.becomes.stock"),
        (reads(|it| it.stock = Some("\u{1b}[2J".into()), "why"), "correct_vehicle.becomes.stock"),
        (reads(|it| it.form = Form::Saloon, "why"), "correct_vehicle.becomes.form"),
        (reads(|_| {}, ""), "correct_vehicle.reason"),
        (
            Act::ReadInstruments(ReadInstruments {
                odometer: Some(10_000_000),
                unit: Some(DistanceUnit::Km),
                ..instruments()
            }),
            "read_instruments.odometer",
        ),
        (
            Act::ReadInstruments(ReadInstruments { odometer: Some(41_250), ..instruments() }),
            "read_instruments.unit",
        ),
        (
            Act::ReadInstruments(ReadInstruments { unit: Some(DistanceUnit::Km), ..instruments() }),
            "read_instruments.unit",
        ),
        (
            Act::ReadInstruments(ReadInstruments { fuel_pct: Some(101), ..instruments() }),
            "read_instruments.fuel_pct",
        ),
        (
            Act::ReadInstruments(ReadInstruments { charge_pct: Some(101), ..instruments() }),
            "read_instruments.charge_pct",
        ),
        (
            Act::ReadInstruments(ReadInstruments {
                tried: vec![windows.clone(), Tried { works: Works::DoesNot, ..windows }],
                ..instruments()
            }),
            "read_instruments.tried",
        ),
        (
            Act::ReadInstruments(ReadInstruments {
                fuel_pct: None,
                note: Some("no key".into()),
                ..instruments()
            }),
            "read_instruments.odometer",
        ),
        (
            Act::ReadInstruments(ReadInstruments { lamps: empty.clone(), ..instruments() }),
            "read_instruments.lamps",
        ),
        (
            Act::ReadInstruments(ReadInstruments { lamps: Some(long(1_001)), ..instruments() }),
            "read_instruments.lamps",
        ),
        (
            Act::ReadInstruments(ReadInstruments { note: too_long.clone(), ..instruments() }),
            "read_instruments.note",
        ),
        (Act::ListBelongings(belongings(vec![many.clone(); 201])), "list_belongings.items"),
        (Act::ListBelongings(belongings(vec![thing("")])), "list_belongings.items[0].what"),
        (
            Act::ListBelongings(belongings(vec![many.clone(), thing(&long(201))])),
            "list_belongings.items[1].what",
        ),
        (
            Act::ListBelongings(belongings(vec![
                many.clone(),
                Belonging { count: Some(1_001), ..many.clone() },
            ])),
            "list_belongings.items[1].count",
        ),
        (
            Act::ListBelongings(belongings(vec![Belonging { place: Some(long(201)), ..many.clone() }])),
            "list_belongings.items[0].place",
        ),
        (
            Act::ListBelongings(ListBelongings { note: too_long.clone(), ..belongings(vec![]) }),
            "list_belongings.note",
        ),
        (
            Act::PassCustody(custody(Custody::Keys, Party::Owner, Party::Detailer, Some(0))),
            "pass_custody.keys",
        ),
        (
            Act::PassCustody(custody(Custody::Keys, Party::Owner, Party::Detailer, Some(21))),
            "pass_custody.keys",
        ),
        (
            Act::PassCustody(custody(Custody::Vehicle, Party::Owner, Party::Detailer, Some(1))),
            "pass_custody.keys",
        ),
        (Act::PassCustody(custody(Custody::Keys, Party::Owner, Party::Owner, None)), "pass_custody.to"),
        (
            Act::PassCustody(custody(Custody::KeysAndVehicle, Party::Owner, Party::Owner, Some(2))),
            "pass_custody.to",
        ),
        (
            Act::PassCustody(PassCustody {
                note: empty.clone(),
                ..custody(Custody::Keys, Party::Owner, Party::Detailer, None)
            }),
            "pass_custody.note",
        ),
        (
            Act::RecordPermissions(RecordPermissions { by: Party::Owner, answers: vec![], note: None }),
            "record_permissions.answers",
        ),
        (
            Act::RecordPermissions(RecordPermissions {
                by: Party::Owner,
                answers: vec![asked.clone(), Permitted { allowed: false, ..asked.clone() }],
                note: None,
            }),
            "record_permissions.answers",
        ),
        (
            Act::RecordPermissions(RecordPermissions { by: Party::Owner, answers: vec![asked], note: empty }),
            "record_permissions.note",
        ),
    ]);
}

#[test]
fn on_the_owners_answer() {
    let mut shop = Shop::open();
    let nobody = shop.phone.dice.id();
    let dot = vec![stroke(&[(1, 1)])];
    let for_vehicles = |jobs: &[Uuid]| RecordOwnerAnswer {
        by: Party::FleetContact,
        vehicles: jobs.iter().map(|job| VehicleAnswer { job: *job, items: Vec::new() }).collect(),
        ..agreed()
    };
    let mut unknown_item = for_vehicles(&[shop.other]);
    unknown_item.vehicles[0].items = vec![item(shop.mark, false)];
    let cases: Vec<(RecordOwnerAnswer, &str)> = vec![
        (
            RecordOwnerAnswer { signature: dot.clone(), ..answer(OwnerAnswer::Absent, CopyGiven::Sent) },
            "signature",
        ),
        (
            RecordOwnerAnswer { signature: dot, ..answer(OwnerAnswer::SentNoReply, CopyGiven::Sent) },
            "signature",
        ),
        (answer(OwnerAnswer::SentNoReply, CopyGiven::NotGiven), "copy"),
        (answer(OwnerAnswer::SentNoReply, CopyGiven::Received), "copy"),
        (answer(OwnerAnswer::Absent, CopyGiven::Received), "copy"),
        (for_vehicles(&vec![shop.other; 201]), "vehicles"),
        (for_vehicles(&[shop.job]), "vehicles[0].job"),
        (for_vehicles(&[shop.other, shop.other]), "vehicles[1].job"),
        (for_vehicles(&[shop.other, nobody]), "vehicles[1].job"),
        (unknown_item, "vehicles[0].items[0].entry"),
        (RecordOwnerAnswer { items: vec![item(nobody, true)], ..agreed() }, "items[0].entry"),
        (
            RecordOwnerAnswer { items: vec![item(shop.mark, true), item(shop.mark, false)], ..agreed() },
            "items[1].entry",
        ),
        (
            RecordOwnerAnswer {
                items: vec![ItemAnswer { words: Some(String::new()), ..item(shop.mark, true) }],
                ..agreed()
            },
            "items[0].words",
        ),
        (
            RecordOwnerAnswer {
                items: vec![ItemAnswer { words: Some(long(1_001)), ..item(shop.mark, true) }],
                ..agreed()
            },
            "items[0].words",
        ),
        (RecordOwnerAnswer { items: vec![item(shop.mark, false)], ..agreed() }, "items"),
        (answer(OwnerAnswer::AgreedExcept, CopyGiven::Received), "items"),
        (
            RecordOwnerAnswer {
                items: vec![item(shop.mark, true)],
                ..answer(OwnerAnswer::Refused, CopyGiven::Received)
            },
            "items",
        ),
        (RecordOwnerAnswer { name: Some(long(201)), ..agreed() }, "name"),
        (RecordOwnerAnswer { sent_to: Some(long(201)), ..agreed() }, "sent_to"),
        (RecordOwnerAnswer { note: Some(long(4_001)), ..agreed() }, "note"),
        (RecordOwnerAnswer { signature: vec![stroke(&[])], ..agreed() }, "signature"),
        (RecordOwnerAnswer { signature: vec![stroke(&[(1, 1); 4_001])], ..agreed() }, "signature"),
        (
            RecordOwnerAnswer { signature: vec![stroke(&[(0, 0)]), stroke(&[(1_001, 0)])], ..agreed() },
            "signature[1]",
        ),
        (RecordOwnerAnswer { signature: vec![stroke(&[(0, u16::MAX)])], ..agreed() }, "signature[0]"),
    ];
    let named: Vec<String> = cases.iter().map(|(_, field)| format!("record_owner_answer.{field}")).collect();
    let acts = cases.into_iter().map(|(act, _)| Act::RecordOwnerAnswer(act));
    shop.refuse(acts.zip(named.iter().map(String::as_str)).collect());
}

#[test]
fn on_what_was_said_and_what_was_entered_wrongly() {
    let mut shop = Shop::open();
    let nobody = shop.phone.dice.id();
    let panel = Some("cellar".to_owned());
    let (job, other) = (shop.job, shop.other);
    let void = |instead, reason: &str| Act::VoidJob(VoidJob { reason: reason.into(), instead });
    let photo_of = |entry, mark| {
        Act::AttachPhoto(AttachPhoto {
            walk: None,
            mark,
            entry: Some(entry),
            panel: None,
            view: View::Close,
            file: "a.jpg".into(),
            note: None,
        })
    };
    shop.refuse(vec![
        (Act::WriteNote(WriteNote { panel: panel.clone(), ..note() }), "write_note.panel"),
        (Act::WriteNote(WriteNote { entry: Some(nobody), ..note() }), "write_note.entry"),
        (Act::WriteNote(WriteNote { text: "\n".into(), ..note() }), "write_note.text"),
        (Act::RecordIncident(RecordIncident { panel: panel.clone(), ..incident() }), "record_incident.panel"),
        (Act::RecordIncident(RecordIncident { what: String::new(), ..incident() }), "record_incident.what"),
        (Act::RecordIncident(RecordIncident { who: Some(long(201)), ..incident() }), "record_incident.who"),
        (Act::OpenDispute(OpenDispute { panel, ..dispute() }), "open_dispute.panel"),
        (
            Act::OpenDispute(OpenDispute { entries: vec![shop.mark, nobody], ..dispute() }),
            "open_dispute.entries[1]",
        ),
        (Act::OpenDispute(OpenDispute { reported: long(4_001), ..dispute() }), "open_dispute.reported"),
        (Act::EndDispute(EndDispute { dispute: shop.mark, outcome: "shown".into() }), "end_dispute.dispute"),
        (Act::EndDispute(EndDispute { dispute: shop.ended, outcome: "shown".into() }), "end_dispute.dispute"),
        (void(Some(job), "why"), "void_job.instead"),
        (void(Some(nobody), "why"), "void_job.instead"),
        (void(None, ""), "void_job.reason"),
        (Act::MoveEntry(moved(shop.mark, job)), "move_entry.to_job"),
        (Act::MoveEntry(moved(shop.mark, nobody)), "move_entry.to_job"),
        (Act::MoveEntry(moved(shop.mark, shop.closed)), "move_entry.to_job"),
        (Act::MoveEntry(moved(shop.mark, shop.bare)), "move_entry.to_job"),
        // A saloon has no tailgate.
        (Act::MoveEntry(moved(shop.mark, shop.saloon)), "move_entry.to_job"),
        (Act::MoveEntry(moved(nobody, other)), "move_entry.entry"),
        (Act::MoveEntry(moved(shop.walk, other)), "move_entry.entry"),
        (Act::MoveEntry(moved(shop.photo, other)), "move_entry.entry"),
        (Act::MoveEntry(MoveEntry { reason: " ".into(), ..moved(shop.mark, other) }), "move_entry.reason"),
        (Act::Undo(Undo { entry: nobody }), "undo.entry"),
        (Act::Undo(Undo { entry: shop.walk }), "undo.entry"),
        (photo_of(nobody, None), "attach_photo.entry"),
        (photo_of(shop.walk, Some(shop.mark)), "attach_photo.entry"),
    ]);
    let end = shop.phone.put(job, Act::OpenDispute(dispute()));
    let blank = EndDispute { dispute: id(&end.input), outcome: String::new() };
    shop.refuse(vec![(Act::EndDispute(blank), "end_dispute.outcome")]);
    let twice = shop.void;
    shop.refuse_in(twice, vec![(void(None, "again"), "void_job")]);
}

#[test]
fn ending_the_visit_with_places_left() {
    let mut shop = Shop::open();
    let job = shop.phone.begin(Form::Hatch5, Stage::AsFound);
    shop.phone.put(job, could_not_see("roof", Why::Wet));
    shop.phone.put(job, could_not_see("bonnet", Why::Dirt));
    shop.phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    shop.refuse_in(job, vec![(closing(), "close_job")]);
    shop.phone.put(job, nothing_seen("roof"));
    shop.refuse_in(
        job,
        vec![(closing(), "close_job"), (Act::CloseJob(CloseJob { note: Some(String::new()) }), "close_job")],
    );
    match shop.phone.record(job, closing()) {
        Err(Error::Refused { reason, .. }) => {
            assert!(
                reason.contains("1 place") && reason.contains("bonnet") && !reason.contains("roof"),
                "{reason}"
            );
        }
        other => panic!("{other:?}"),
    }
    shop.phone.put(job, nothing_seen("bonnet"));
    shop.refuse_in(job, vec![(Act::CloseJob(CloseJob { note: Some(long(4_001)) }), "close_job.note")]);
    shop.phone.put(job, closing());
}

#[test]
fn who_records_and_whose_business_it_is() {
    let mut shop = Shop::open();
    let before = shop.phone.put(shop.job, Act::WriteNote(note())).events[0];
    let notebook = shop.phone.open();
    for name in ["", " \t ", "bell \u{7}", &long(101)] {
        let refused = notebook.switch_recorder(name.to_owned());
        assert!(matches!(refused, Err(Error::Refused { field, .. }) if field == "name"), "{name}");
    }
    let business = |name: &str, details: Option<String>| Business { name: name.to_owned(), details };
    for (wrong, named) in [
        (business("", None), "name"),
        (business(&long(201), None), "name"),
        (business("An invented business", Some(" ".into())), "details"),
        (business("An invented business", Some(long(1_001))), "details"),
    ] {
        let refused = notebook.describe_business(wrong.clone());
        assert!(matches!(refused, Err(Error::Refused { field, .. }) if field == named), "{wrong:?}");
    }
    assert_eq!((notebook.recorder().expect("reads"), notebook.business().expect("reads")), (None, None));
    assert_eq!(shop.phone.put(shop.job, Act::WriteNote(note())).events, [before + 1]);
}

/// A slip is taken back within ten seconds on the same phone, once.
#[test]
fn slips_that_are_none_any_more() {
    let mut shop = Shop::open();
    let job = shop.job;
    let set = |shop: &Shop, ms: i64| shop.phone.clock.at_ms.store(MORNING_MS + ms, Ordering::Relaxed);
    set(&shop, 1_000_000);
    let slip = id(&shop.phone.put(job, mark("roof", MarkKind::Dent, 9_000)).input);
    set(&shop, 1_010_000);
    shop.phone.put(job, Act::Undo(Undo { entry: slip }));
    shop.refuse(vec![(Act::Undo(Undo { entry: slip }), "undo.entry")]);
    set(&shop, 2_000_000);
    let late = id(&shop.phone.put(job, mark("roof", MarkKind::Dent, 9_000)).input);
    set(&shop, 2_010_001);
    let before = shop.phone.view(job);
    let refused = shop.phone.record(job, Act::Undo(Undo { entry: late }));
    assert!(matches!(refused, Err(Error::Refused { field, .. }) if field == "act.undo.entry"));
    assert_eq!(shop.phone.view(job), before);
}
