//! What follows the end of a visit, a job that was a mistake, and disputes.

use crate::{entries, meet, note, page, phone, put, refused, void, whole};
use sidelong_core::api::{Clock, Now};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::{
    Act, EndDispute, Input, ListBelongings, OpenDispute, PassCustody, RecordOwnerAnswer,
};
use sidelong_core::record::views::{EntryKind, JobLine};
use sidelong_core::record::words::{CopyGiven, Custody, Form, Locale, MarkKind, OwnerAnswer, Party, Stage};
use sidelong_tests::{HandClock, Phone, closing, correction, described, fixture, mark, nothing_seen, photo};
use std::sync::Arc;
use uuid::Uuid;

const AFTER: &str = "recorded after the visit was ended";

fn dispute(reported: &str) -> Act {
    Act::OpenDispute(OpenDispute {
        reported: reported.to_owned(),
        by: Party::Owner,
        panel: Some("roof".into()),
        entries: Vec::new(),
    })
}

fn end(dispute: Uuid, outcome: &str) -> Act {
    Act::EndDispute(EndDispute { dispute, outcome: outcome.to_owned() })
}

fn keys() -> Act {
    Act::PassCustody(PassCustody {
        what: Custody::Keys,
        from: Party::Detailer,
        to: Party::Owner,
        keys: Some(1),
        note: None,
    })
}

fn line(phone: &Phone, job: Uuid) -> JobLine {
    let list = phone.open().jobs(None, 50, Locale::EnGb).expect("a list");
    list.jobs.into_iter().find(|line| line.job == job.to_string()).expect("a line")
}

#[test]
fn after_the_end() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 31);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    phone.put(job, note("before"));
    phone.put(job, closing());
    phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
    for act in [
        mark("bonnet", MarkKind::Dent, 9_000),
        nothing_seen("bonnet"),
        photo("a.jpg", None),
        photo("a.jpg", Some(dent)),
        closing(),
        Act::ListBelongings(ListBelongings { items: vec![], seen_with: None, note: None }),
    ] {
        assert_eq!(refused(phone.record(job, act)), "job");
    }
    phone.put(job, note("afterwards"));
    phone.put(job, keys());
    phone.put(job, dispute("a scratch that was not there"));
    phone.put(job, correction(dent, described("roof", MarkKind::Dent, 12_000), "measured again"));
    phone.put(
        job,
        Act::RecordOwnerAnswer(RecordOwnerAnswer {
            answer: OwnerAnswer::Agreed,
            by: Party::Owner,
            name: None,
            items: Vec::new(),
            copy: CopyGiven::Received,
            sent_to: None,
            signature: Vec::new(),
            vehicles: Vec::new(),
            note: None,
        }),
    );
    let view = phone.view(job);
    let after = |flags: &[String]| flags.iter().any(|flag| flag.starts_with(AFTER));
    let notes = entries(&view, EntryKind::Note);
    assert_eq!(notes.iter().map(|it| after(&it.stamp.flags)).collect::<Vec<_>>(), [false, true]);
    assert!(after(&entries(&view, EntryKind::Custody)[0].stamp.flags));
    assert!(after(&entries(&view, EntryKind::Dispute)[0].stamp.flags));
    assert!(after(&view.owner_answers[0].stamp.flags));
    let history = &view.marks[0].history;
    assert_eq!(history.iter().map(|it| after(&it.stamp.flags)).collect::<Vec<_>>(), [false, true]);
    assert!(!after(&view.marks[0].stamp.flags) && view.closings.iter().all(|end| !after(&end.flags)));
    // Five entries; a page that said it of fewer would hide when it was recorded.
    assert_eq!(page(&phone, job).matches("Recorded after the visit was ended").count(), 5);
}

#[test]
fn a_job_that_was_a_mistake() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 32);
    let right =
        phone.begin(sidelong_core::record::words::Form::Hatch5, sidelong_core::record::words::Stage::AsFound);
    let dent = put(&mut phone, job, mark("roof", MarkKind::Dent, 9_000));
    phone.put(job, void(Some(right)));
    let view = phone.view(job);
    assert!(view.flags.iter().any(|flag| flag.contains("opened by mistake")), "{:?}", view.flags);
    assert!(entries(&view, EntryKind::Void)[0].lines.iter().any(|line| line.contains(&right.to_string())));
    assert_eq!(view.marks.len(), 1, "everything stays on record");
    let (wrong, kept) = (line(&phone, job), line(&phone, right));
    assert!(wrong.voided && wrong.handover == "opened by mistake" && !kept.voided);
    assert!(page(&phone, job).to_lowercase().contains("opened by mistake"));
    assert!(page(&phone, job).contains("opened twice"), "the reason stands in the report");
    for act in [mark("bonnet", MarkKind::Dent, 9_000), nothing_seen("bonnet"), closing()] {
        assert_eq!(refused(phone.record(job, act)), "job");
    }
    phone.put(job, note("the owner was told"));
    phone.put(job, correction(dent, described("roof", MarkKind::Dent, 12_000), "measured again"));
    // Two mistakes do not stand in for each other.
    assert_eq!(refused(phone.record(right, void(Some(job)))), "act.void_job.instead");
    let day = phone.open().day("2026-06-09".to_owned(), Locale::EnGb).expect("a day");
    assert_eq!((day.total, day.jobs.len()), (1, 2), "listed and not counted");
}

#[test]
fn a_dispute_is_open_until_it_is_ended() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, job) = phone(&folder, 33);
    one.put(job, closing());
    let (first, second) =
        (put(&mut one, job, dispute("a scratch")), put(&mut one, job, dispute("a missing cap")));
    let held = |phone: &Phone| {
        let view = phone.view(job);
        let flagged = view.flags.iter().any(|flag| flag.starts_with("a dispute is open"));
        assert_eq!(flagged, line(phone, job).disputed);
        (flagged, entries(&view, EntryKind::Dispute).iter().map(|it| it.open).collect::<Vec<_>>())
    };
    assert_eq!(held(&one), (true, vec![true, true]));
    one.put(job, end(first, "shown the record"));
    assert_eq!(held(&one), (true, vec![false, true]));

    // Two people end the other one without knowing of each other: how each says that it ended is shown.
    let mut two = Phone::new(&folder.path().join("34"), 34);
    two.join(&mut one);
    one.put(job, end(second, "found in the boot"));
    two.put(job, end(second, "paid by the site"));
    meet(&mut one, &mut two);
    for phone in [&one, &two] {
        assert_eq!(held(phone), (false, vec![false, false]));
        let page = page(phone, job);
        assert!(page.contains("found in the boot") && page.contains("paid by the site"));
        whole(phone);
    }
    assert_eq!(refused(one.record(job, end(second, "again"))), "act.end_dispute.dispute");
    one.open().rebuild_tables().expect("rebuilt");
    assert!(!line(&one, job).disputed);
}

/// The same input sent twice is answered once, after the end too.
#[test]
fn once() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 35);
    phone.put(job, closing());
    let input = Input { input: phone.dice.id(), job, observed_at: None, act: dispute("a scratch") };
    let first = phone.open().record(input.clone()).expect("accepted");
    phone.reopen().expect("opens again");
    let second = phone.open().record(input).expect("answered again");
    assert!(second.again && second.events == first.events);
    assert_eq!(entries(&phone.view(job), EntryKind::Dispute).len(), 1);
}

/// A clock that stands so much beside another.
struct Beside(Arc<HandClock>, i64);

impl Clock for Beside {
    fn now(&self) -> Result<Now, Error> {
        let now = self.0.now()?;
        Ok(Now { at_ms: now.at_ms + self.1, ..now })
    }
}

/// A clock that is set while the phone is running is told, in the page too; what it corrects by itself is not, and no time is
/// corrected.
#[test]
fn a_clock_that_was_set_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 71);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    let mut told = |by_ms: i64, panel: &str| {
        phone.platform.clock = Arc::new(Beside(phone.clock.clone(), by_ms));
        phone.reopen().expect("opens");
        phone.put(job, nothing_seen(panel));
        let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
        let flags = phone.open().job(job.to_string(), Locale::EnGb).expect("the job").flags;
        assert!(flags.iter().all(|flag| page.contains(&flag[1..])), "{flags:?}");
        flags
    };
    assert_eq!(told(0, "roof"), [""; 0]);
    assert_eq!(told(90_000, "bonnet"), [""; 0]);
    let back = told(90_000 - 5_400_000, "rear-bumper");
    assert!(
        back.len() == 1 && back[0].contains("was set back by 1 h 30 min before Tue 9 June 2026"),
        "{back:?}"
    );
    let forth = told(90_000, "front-bumper");
    assert!(forth.len() == 2 && forth[1].contains("was set forward by 1 h 30 min before"), "{forth:?}");
}
