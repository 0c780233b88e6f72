//! A known mark seen again.

use crate::{id, page, phone, put, refused, walk};
use sidelong_core::record::inputs::{Act, RecordMark, SeeAgain};
use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_tests::{closing, described, mark};

/// Seen again by one touch, within a job and from an earlier job of the same vehicle; never before it was found.
#[test]
fn seen_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, first) = phone(&folder, 26);
    let again = |mark, job, walk| Act::SeeAgain(SeeAgain { walk, mark, job, note: None });
    let dent = put(&mut phone, first, mark("roof", MarkKind::Dent, 9_000));
    let arrival = id(&phone.view(first).walks[0].id);
    phone.put(first, walk(Stage::AfterWash));
    let swirls = put(&mut phone, first, mark("bonnet", MarkKind::Swirls, 9_000));
    phone.put(first, again(dent, None, None));
    assert_eq!(
        refused(phone.record(first, again(swirls, None, Some(arrival)))),
        "act.see_again.mark",
        "what was found after the wash was not seen on arrival"
    );
    phone.put(first, walk(Stage::Handover));
    phone.put(first, again(dent, None, None));
    phone.put(first, again(swirls, None, None));
    let view = phone.view(first);
    let seen: Vec<usize> = view.marks.iter().map(|mark| mark.also.len()).collect();
    assert_eq!(seen, [2, 1]);
    assert_eq!(view.marks.iter().map(|mark| mark.history.len()).collect::<Vec<_>>(), [1, 1]);
    phone.put(first, closing());

    let second = phone.begin(Form::Hatch5, Stage::AsFound);
    let known = phone.put(second, again(dent, Some(first), None));
    assert_eq!(known.mark.as_deref(), Some("1"));
    assert_eq!(refused(phone.record(second, again(dent, Some(first), None))), "act.see_again.mark", "once");
    let view = phone.view(second);
    assert_eq!((view.marks[0].panel.as_str(), view.marks[0].kind_text.as_str()), ("roof", "dent"));
    assert!(view.marks[0].also[0].contains("known from an earlier visit"), "{:?}", view.marks[0].also);
    assert_ne!(view.marks[0].id, dent.to_string(), "today's observation is an entry of its own");
    assert!(page(&phone, second).contains("Known from an earlier visit"));
}

/// What is found after the wash is not put into the walk-around on arrival, unless it is said that it was seen then.
#[test]
fn a_walk_around_that_is_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = phone(&folder, 78);
    let arrival = id(&phone.view(job).walks[0].id);
    phone.put(job, walk(Stage::AfterWash));
    let found = |panel: &str| {
        Act::RecordMark(RecordMark {
            walk: Some(arrival),
            mark: described(panel, MarkKind::Scratch, 9_000),
            shown_by: None,
        })
    };
    assert_eq!(refused(phone.record(job, found("roof"))), "act.record_mark.walk");
    let mut seen = phone.input(job, found("bonnet"));
    seen.observed_at = Some("2026-06-09T08:05:00+01:00".to_owned());
    phone.open().record(seen).expect("accepted");
    let view = phone.view(job);
    assert_eq!(view.marks[0].found, "found on arrival");
    assert!(view.marks[0].stamp.entered_later.is_some(), "and everybody sees that it was entered later");
    // Two people who walk round at the same stage do not get in each other's way.
    phone.put(job, walk(Stage::AfterWash));
    let washed = id(&phone.view(job).walks[1].id);
    let act = Act::RecordMark(RecordMark {
        walk: Some(washed),
        mark: described("roof", MarkKind::Scratch, 9_000),
        shown_by: None,
    });
    phone.put(job, act);
}
