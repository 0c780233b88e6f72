//! Who recorded, whose business it is, and that what people type is shown, never obeyed.

use crate::{entries, id, meet, page, phone, put, walk};
use sidelong_core::record::events::Business;
use sidelong_core::record::inputs::*;
use sidelong_core::record::views::{EntryKind, JobView, StampView};
use sidelong_core::record::words::*;
use sidelong_tests::{Phone, car, closing, correction, described, feel, fixture, mark, nothing_seen, photo};
use uuid::Uuid;

fn stamps(view: &JobView) -> Vec<&StampView> {
    let answers = view.walks.iter().flat_map(|walk| &walk.panels).flat_map(|panel| &panel.answers);
    std::iter::once(&view.opened)
        .chain(view.walks.iter().map(|walk| &walk.stamp))
        .chain(answers.map(|answer| &answer.stamp))
        .chain(view.marks.iter().flat_map(|mark| mark.history.iter().map(|version| &version.stamp)))
        .chain(view.all_photos().map(|photo| &photo.stamp))
        .chain(view.feels.iter().map(|feel| &feel.stamp))
        .chain(view.thickness.iter().map(|it| &it.stamp))
        .chain(view.visit.iter().map(|entry| &entry.stamp))
        .chain(view.owner_answers.iter().map(|answer| &answer.stamp))
        .chain(view.vehicle.history.iter().map(|version| &version.stamp))
        .chain(&view.closings)
        .collect()
}

fn names(view: &JobView) -> Vec<Option<&str>> {
    let mut names: Vec<_> = stamps(view).into_iter().map(|stamp| stamp.recorder.as_deref()).collect();
    names.dedup();
    names
}

/// One act of every kind on surfaces that takes a text, with that text.
fn treated(phone: &mut Phone, job: Uuid, text: &str) {
    let some = || Some(text.to_owned());
    let cut = |longest: usize| text.chars().take(longest).collect::<String>();
    let panel = || "bonnet".to_owned();
    let kind = SurfaceKind::PaintSolid;
    phone
        .put(job, Act::RecordSurface(RecordSurface { panel: panel(), kind, also: Vec::new(), note: some() }));
    let steps = vec![StepAgreed { step: Step::Wax, panels: vec![panel()], agreed: true }];
    phone.put(job, Act::AgreeWork(AgreeWork { by: Party::Owner, steps, note: some() }));
    phone.put(
        job,
        Act::SetAside(SetAside {
            panel: panel(),
            step: Step::Polish,
            on: None,
            reason: cut(1_000),
            answer: OwnerAnswer::Agreed,
            by: Party::Owner,
        }),
    );
    phone.put(
        job,
        Act::RecordStep(RecordStep {
            panels: vec![panel()],
            step: Step::Polish,
            on: None,
            reacted: Vec::new(),
            saw: None,
            product: Some(cut(200)),
            note: some(),
        }),
    );
    phone.put(
        job,
        Act::TrySquare(TrySquare {
            panel: panel(),
            at: None,
            step: Step::Polish,
            machine: cut(200),
            pad: cut(200),
            polish: cut(200),
            passes: 1,
            note: some(),
        }),
    );
    for zone in [ZoneUse::Wheels, ZoneUse::Glass] {
        phone.put(
            job,
            Act::TakeCloth(TakeCloth {
                cloth: None,
                tool: Some(Tool::Cloth),
                zone: Some(zone),
                name: Some(cut(60)),
                panel: panel(),
                step: Step::Wax,
                product: Some(cut(200)),
            }),
        );
    }
    phone.put(job, Act::PutOut(PutOut { cloth: None, why: ClothOut::Dropped, panel: None }));
}

/// One act of every kind that takes a text, with that text.
fn everything(phone: &mut Phone, job: Uuid, text: &str) {
    let some = || Some(text.to_owned());
    phone.put(job, walk(Stage::AsFound));
    let Act::RecordOutcome(seen) = nothing_seen("bonnet") else { panic!("an answer") };
    phone.put(job, Act::RecordOutcome(RecordOutcome { note: some(), ..seen }));
    let mut what = described("roof", MarkKind::Dent, 9_000);
    what.note = some();
    let dent =
        put(phone, job, Act::RecordMark(RecordMark { walk: None, mark: what.clone(), shown_by: None }));
    phone.put(job, correction(dent, what, text));
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    let Act::AttachPhoto(shot) = photo("a.jpg", Some(dent)) else { panic!("a photo") };
    phone.put(job, Act::AttachPhoto(AttachPhoto { note: some(), ..shot }));
    let Act::RecordFeel(felt) = feel("roof", FeelLevel::Rough) else { panic!("a feel test") };
    phone.put(job, Act::RecordFeel(RecordFeel { note: some(), ..felt }));
    treated(phone, job, text);
    phone.put(
        job,
        Act::RecordGeneral(RecordGeneral {
            walk: None,
            panels: vec!["bonnet".into()],
            kind: MarkKind::StoneChip,
            about: None,
            note: some(),
        }),
    );
    phone.put(
        job,
        Act::CheckGauge(CheckGauge {
            gauge: text.into(),
            plate: Plate::Steel,
            zero_um: Some(0),
            foil_um: None,
            foil_read_um: None,
            accuracy_um: None,
            note: some(),
        }),
    );
    phone.put(
        job,
        Act::MeasureThickness(MeasureThickness {
            walk: None,
            panel: "roof".into(),
            at: None,
            readings_um: vec![100],
            no_reading: None,
            gauge_check: None,
            note: some(),
        }),
    );
    phone.put(
        job,
        Act::CorrectVehicle(CorrectVehicle {
            becomes: OpenJob {
                plate: Some(text.chars().take(20).collect()),
                vin: Some(text.chars().take(30).collect()),
                colour: some(),
                stock: Some(text.chars().take(40).collect()),
                ..car(Form::Hatch5)
            },
            reason: text.into(),
        }),
    );
    phone.put(
        job,
        Act::ReadInstruments(ReadInstruments {
            odometer: None,
            unit: None,
            fuel_pct: None,
            charge_pct: None,
            lamps: some(),
            tried: Vec::new(),
            note: some(),
        }),
    );
    phone.put(
        job,
        Act::ListBelongings(ListBelongings {
            items: vec![Belonging { what: text.into(), count: Some(2), place: some(), stays: true }],
            seen_with: None,
            note: some(),
        }),
    );
    phone.put(
        job,
        Act::PassCustody(PassCustody {
            what: Custody::Keys,
            from: Party::Owner,
            to: Party::Detailer,
            keys: None,
            note: some(),
        }),
    );
    phone.put(
        job,
        Act::RecordPermissions(RecordPermissions {
            by: Party::Owner,
            answers: vec![Permitted { permission: Permission::UseWater, allowed: true }],
            note: some(),
        }),
    );
    phone.put(job, Act::WriteNote(WriteNote { panel: None, entry: Some(dent), text: text.into() }));
    phone.put(
        job,
        Act::RecordIncident(RecordIncident {
            what: text.into(),
            who: some(),
            panel: None,
            told_owner: false,
        }),
    );
    let reported = put(
        phone,
        job,
        Act::OpenDispute(OpenDispute {
            reported: text.into(),
            by: Party::Owner,
            panel: None,
            entries: vec![dent],
        }),
    );
    phone.put(job, Act::EndDispute(EndDispute { dispute: reported, outcome: text.into() }));
    phone.put(job, walk(Stage::AfterWash));
    phone.put(job, Act::SeeAgain(SeeAgain { walk: None, mark: dent, job: None, note: some() }));
    phone.put(
        job,
        Act::RecordOwnerAnswer(RecordOwnerAnswer {
            answer: OwnerAnswer::AgreedExcept,
            by: Party::Owner,
            name: some(),
            items: vec![ItemAnswer { entry: dent, agreed: false, words: some() }],
            copy: CopyGiven::Sent,
            sent_to: some(),
            signature: Vec::new(),
            vehicles: Vec::new(),
            note: some(),
        }),
    );
    let slip = put(phone, job, Act::WriteNote(WriteNote { panel: None, entry: None, text: text.into() }));
    phone.put(job, Act::Undo(Undo { entry: slip }));
    phone.put(job, Act::CloseJob(CloseJob { note: some() }));
}

#[test]
fn the_recorders_name_stands_on_every_entry() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut one = Phone::new(&folder.path().join("51"), 51);
    assert!(one.open().switch_recorder("  First Detailer ".into()).expect("switched"));
    assert!(!one.open().switch_recorder("First Detailer".into()).expect("the same"), "no second entry");
    let job = one.dice.id();
    one.put(job, Act::OpenJob(car(Form::Hatch5)));
    everything(&mut one, job, "a text");
    assert_eq!(names(&one.view(job)), [Some("First Detailer")]);
    assert!(stamps(&one.view(job)).len() > 20);

    let mut two = Phone::new(&folder.path().join("52"), 52);
    two.open().switch_recorder("Second Detailer".into()).expect("switched");
    two.join(&mut one);
    assert_eq!(names(&two.view(job)), [Some("First Detailer")], "on a second phone");
    let other = two.begin(Form::Hatch5, Stage::AsFound);
    two.put(other, mark("roof", MarkKind::Dent, 9_000));
    two.open().switch_recorder("Third Detailer".into()).expect("switched");
    let dent = id(&two.view(other).marks[0].id);
    two.put(other, correction(dent, described("roof", MarkKind::Dent, 12_000), "measured again"));
    two.put(other, closing());
    meet(&mut one, &mut two);
    for phone in [&mut one, &mut two] {
        phone.reopen().expect("opens again");
        let view = phone.view(other);
        let by: Vec<_> = view.marks[0].history.iter().map(|it| it.stamp.recorder.as_deref()).collect();
        assert_eq!(by, [Some("Second Detailer"), Some("Third Detailer")]);
        assert_eq!(view.closings[0].recorder.as_deref(), Some("Third Detailer"));
        let said = page(phone, other);
        assert!(said.contains("Second Detailer") && said.contains("Third Detailer"));
        assert_eq!(names(&phone.view(job)), [Some("First Detailer")]);
        assert!(page(phone, job).contains("First Detailer"));
    }
    assert_eq!(one.open().recorder().expect("reads").as_deref(), Some("First Detailer"));
    assert_eq!(two.open().recorder().expect("reads").as_deref(), Some("Third Detailer"));
    // Before anybody said who records, nobody is named.
    let (fresh, job) = phone(&folder, 53);
    assert_eq!(names(&fresh.view(job)), [None]);
}

#[test]
fn the_business_heads_the_report() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, job) = phone(&folder, 54);
    let business = Business { name: "An Invented Business".into(), details: Some("1 Nowhere Lane".into()) };
    assert!(one.open().describe_business(business.clone()).expect("described"));
    assert!(!one.open().describe_business(business.clone()).expect("the same"));
    let mut two = Phone::new(&folder.path().join("55"), 55);
    two.open()
        .describe_business(Business { name: "Another Business".into(), details: None })
        .expect("described");
    two.join(&mut one);
    for phone in [&mut one, &mut two] {
        phone.reopen().expect("opens again");
        let page = page(phone, job);
        let (head, title) = (page.find("An Invented Business"), page.find("<h1>"));
        assert!(head.is_some() && head < title, "whoever opened the job heads its report");
        assert!(page.contains("1 Nowhere Lane") && !page.contains("Another Business"));
    }
    assert_eq!(one.open().business().expect("reads"), Some(business));
}

#[test]
fn what_people_type_is_never_markup() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 56);
    let text = "<i>\"&'</i></style>";
    phone.open().switch_recorder(text.into()).expect("switched");
    phone
        .open()
        .describe_business(Business { name: text.into(), details: Some(text.into()) })
        .expect("described");
    everything(&mut phone, job, text);
    let view = phone.view(job);
    assert_eq!(entries(&view, EntryKind::Belongings).len(), 1);
    for locale in [Locale::EnGb, Locale::EnUs] {
        let page = phone.open().report(job.to_string(), locale).expect("a page");
        assert!(!page.contains("<i>") && !page.contains("&'</i>"), "shown, never obeyed");
        assert_eq!(page.matches("</style>").count(), 1);
        assert!(page.matches("&lt;i&gt;").count() > 30, "{}", page.matches("&lt;i&gt;").count());
    }
}
