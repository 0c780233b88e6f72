//! What is said of phones: one takes another's place, one is retired, one is lost; what the lost one records is kept and flagged.

use sidelong_core::api::{DeviceView, JoinView};
use sidelong_core::decide::named_log;
use sidelong_core::error::Error;
use sidelong_core::record::events::Head;
use sidelong_core::record::words::{Form, Locale, MarkKind, Stage};
use sidelong_tests::{MORNING_MS, Phone, mark};
use std::path::Path;

const HOUR_MS: i64 = 3_600_000;

fn phones(folder: &Path, seed: u64) -> [Phone; 3] {
    [0, 1, 2].map(|at| Phone::new(&folder.join(at.to_string()), seed + at))
}

fn log(phone: &Phone) -> String {
    phone.open().log_name().expect("a name")
}

fn device(phone: &Phone, log: &str) -> DeviceView {
    let all = phone.open().devices(Locale::EnGb).expect("a list");
    all.into_iter().find(|it| it.log == log).expect("it is known")
}

#[test]
fn a_phone_that_takes_anothers_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let [mut old, mut new, mut third] = phones(folder.path(), 400);
    let (old_log, new_log) = (log(&old), log(&new));
    let job = old.begin(Form::Hatch5, Stage::AsFound);
    old.open().switch_recorder("First Detailer".to_owned()).expect("a recorder");
    new.join(&mut old);
    let digits = old_log[9..19].to_owned();
    assert!(new.open().add_device(digits.clone(), true).expect("said"));
    assert!(!new.open().add_device(old_log.clone(), true).expect("said already"), "once is enough");
    old.join(&mut new);
    let before = old.view(job).devices;
    assert_eq!(before.len(), 1, "what the other phone says of this one: {before:?}");
    assert!(old.open().add_device(new_log.clone(), false).expect("said"));
    assert!(old.open().retire_device(old_log.clone()).expect("said"));
    assert!(!old.open().retire_device(old_log.clone()).expect("said already"));
    third.join(&mut new);
    third.join(&mut old);
    let [a, b] = [&old_log, &new_log].map(|log| &log[9..17]);
    for phone in [&old, &third] {
        let said = [device(phone, &old_log).said, device(phone, &new_log).said];
        let expected = [
            vec![
                format!("phone {b} goes on from phone {a}, of which it knew 3 entries; said on phone {b}, "),
                format!("phone {a} was retired; said on phone {a}, First Detailer, "),
            ],
            vec![
                format!("phone {b} goes on from phone {a}, of which it knew 3 entries; said on phone {b}, "),
                format!("phone {b} was added; said on phone {a}, First Detailer, "),
            ],
        ];
        for (said, expected) in said.iter().zip(&expected) {
            assert_eq!(said.len(), expected.len(), "{said:#?}");
            said.iter().zip(expected).for_each(|(said, begins)| assert!(said.starts_with(begins), "{said}"));
        }
        let view = phone.view(job);
        assert_eq!(view.devices.len(), 2, "{:?}", view.devices);
        assert!(view.unknown.is_empty());
        let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
        assert!(page.contains(&format!("hone {a} was retired")), "the report's list of phones");
    }
    // Each phone is listed with its key, its entries, and who co-signed it; the own one first.
    let all = third.open().devices(Locale::EnGb).expect("a list");
    assert_eq!((all.len(), all[0].own, &all[0].log), (3, true, &log(&third)));
    let of_old = device(&third, &old_log);
    assert_eq!((of_old.entries, of_old.forked), (device(&old, &old_log).entries, false));
    assert!(of_old.key.expect("a key").starts_with(&format!("{old_log}+")));
    assert_eq!(of_old.cosigned.len(), 2, "by the new one and by the third");
    assert!(of_old.cosigned.iter().all(|it| it.holds && it.at.contains("2026")));
}

#[test]
fn what_a_lost_phone_records_is_kept_and_flagged() {
    let folder = tempfile::tempdir().expect("a folder");
    let [mut one, mut two, mut third] = phones(folder.path(), 410);
    let (lost, says) = (log(&two), log(&one));
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    two.join(&mut one);
    two.put(job, mark("roof", MarkKind::Dent, 12_000));
    two.clock.set(MORNING_MS + 2 * HOUR_MS);
    two.put(job, mark("bonnet", MarkKind::Dent, 11_000));
    one.join(&mut two);
    // Recorded on it and not taken in before it was lost; later with its clock set back, and as it runs.
    two.clock.set(MORNING_MS + HOUR_MS / 2);
    two.put(job, mark("tailgate", MarkKind::Dent, 10_000));
    two.clock.set(MORNING_MS + 3 * HOUR_MS);
    two.put(job, mark("front-left-door", MarkKind::Dent, 9_000));

    let flags = |phone: &Phone| -> Vec<Vec<String>> {
        phone.view(job).marks.into_iter().map(|mark| mark.stamp.flags).collect()
    };
    assert_eq!(flags(&one), [vec![""; 0], vec![]]);
    one.clock.set(MORNING_MS + 4 * HOUR_MS);
    // 2026-06-09 09:10 in London, an hour after the morning.
    let since = Some("2026-06-09T09:10:00+01:00".to_owned());
    assert!(one.open().lose_device(lost.clone(), since.clone()).expect("said"));
    assert!(!one.open().lose_device(lost.clone(), since).expect("said already"));
    let after = "recorded on phone";
    let told = flags(&one);
    assert!(told[0].is_empty() && told[1].len() == 1 && told[1][0].starts_with(after), "{told:?}");
    let words = format!("after it was lost: phone {} is lost since Tue 9 June 2026, 09:10:00", &lost[9..17]);
    assert!(told[1][0].contains(&words), "{told:?}");
    assert!(told[1][0].ends_with(&format!("says phone {}", &says[9..17])), "{told:?}");

    let joined: JoinView = one.join(&mut two);
    assert_eq!((joined.taken.len(), joined.refused.len()), (1, 0), "nothing is dropped");
    let told = flags(&one);
    assert_eq!(told.iter().map(Vec::len).collect::<Vec<_>>(), [0, 1, 1, 1]);
    assert!(told[2][0].starts_with("came to light only after phone"), "{told:?}");
    assert!(told[3][0].starts_with(after), "{told:?}");
    // It is the same on a phone that hears of all of it at once, and on one that has the job open when it hears of it.
    third.join(&mut two);
    assert!(flags(&third).iter().all(Vec::is_empty), "nobody has said it here yet");
    third.join(&mut one);
    assert_eq!(flags(&third), told);
    let page = third.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("is lost since Tue 9 June 2026, 09:10:00"));
    // An earlier time is said as well, and counts.
    assert!(one.open().lose_device(lost, Some("2026-06-09T07:00:00+01:00".to_owned())).expect("said"));
    assert!(flags(&one).iter().all(|flags| flags.len() == 1));
    assert_eq!(one.open().check(None).expect("checks").findings, []);
}

#[test]
fn what_cannot_be_said_of_a_phone() {
    let folder = tempfile::tempdir().expect("a folder");
    let [mut one, mut two, _] = phones(folder.path(), 420);
    two.begin(Form::Hatch5, Stage::AsFound);
    one.join(&mut two);
    let (own, other) = (log(&one), log(&two));
    let size = one.open().check(None).expect("checks").total;
    let refused = |done: Result<bool, Error>, field: &str, words: &str| match done {
        Err(Error::Refused { field: at, reason }) => {
            assert!(at == field && reason.contains(words), "{at}: {reason}")
        }
        other => panic!("{words}: {other:?}"),
    };
    let since = |text: &str| one.open().lose_device(other.clone(), Some(text.to_owned()));
    refused(one.open().add_device(own.clone(), true), "log", "the phone itself");
    refused(one.open().lose_device(own, None), "log", "it is at hand");
    for none in ["", "zz", "sidelong/", "no log at all"] {
        refused(one.open().add_device(none.to_owned(), false), "log", "take in its record first");
        refused(one.open().retire_device(none.to_owned()), "log", "take in its record first");
        refused(one.open().lose_device(none.to_owned(), None), "log", "take in its record first");
    }
    refused(since("yesterday"), "since", "not a time");
    refused(since("1999-12-31T23:59:59Z"), "since", "before the year 2000");
    refused(since("2026-06-10T08:10:00+01:00"), "since", "in the future");
    assert_eq!(one.open().check(None).expect("checks").total, size, "nothing of it is on record");

    let head = |log: &str, size| Head { log: log.to_owned(), root: "00".to_owned(), size };
    let heads = [
        head("sidelong/ab12", 3),
        head("sidelong/ab34", 9),
        head("sidelong/demo/ab12", 5),
        head("sidelong/cd", 2),
        head("sidelong/cd", 7),
    ];
    refused(named_log(&heads, "ab").map(|_| true), "log", "give more of its name");
    refused(named_log(&heads, "ab12").map(|_| true), "log", "give more of its name");
    for (name, size) in [("ab3", 9), ("sidelong/ab12", 3), ("cd", 7)] {
        assert_eq!(named_log(&heads, name).expect("one").size, size, "of two histories the longer one");
    }
    assert!(one.open().lose_device(other, None).expect("said"), "since now");
}
