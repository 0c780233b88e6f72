//! A known mark seen again.

use crate::{id, page, phone, put, refused, walk};
use sidelong_core::record::inputs::{Act, SeeAgain};
use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_tests::{closing, mark};

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
