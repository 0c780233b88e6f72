//! The write-ahead log's file grows seldom, and what lies behind the log is nothing to whoever opens the store next.

use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_core::store::DATABASE;
use sidelong_tests::{Phone, mark};
use std::fs;

/// Marks recorded: enough for SQLite to begin its log again.
const MARKS: usize = 250;

#[test]
fn few_entries_make_the_log_grow_and_a_kill_leaves_nothing_strange() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("phone"), 70);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    let log = phone.folder.join(format!("{DATABASE}-wal"));
    let mut lengths = vec![fs::metadata(&log).expect("a log").len()];
    for number in 0..MARKS {
        phone.put(job, mark("bonnet", MarkKind::Scratch, 18_000));
        let len = fs::metadata(&log).expect("a log").len();
        assert!(len >= lengths[lengths.len() - 1], "it does not shrink");
        if len > lengths[lengths.len() - 1] {
            lengths.push(len);
        }
        // A copy is what a kill leaves, whatever stands behind the log's end.
        if number % 50 == 3 {
            let left = folder.path().join(format!("left-{number}"));
            fs::create_dir(&left).expect("a folder");
            for name in [DATABASE.to_owned(), format!("{DATABASE}-wal"), "head.mirror".to_owned()] {
                fs::copy(phone.folder.join(&name), left.join(&name)).expect("copies");
            }
            let mut after = Phone::new(&folder.path().join(format!("other-{number}")), 71);
            after.close();
            (after.folder, after.platform) = (left, phone.platform.clone());
            after.reopen().expect("opens");
            assert_eq!(after.view(job).marks.len(), number + 1);
            after.put(job, mark("roof", MarkKind::Dent, 8_000));
        }
    }
    assert!((3..=20).contains(&lengths.len()), "{MARKS} entries made it grow so often: {lengths:?}");
    // 1,000 pages are when SQLite begins it again; the last entry before may go beyond.
    assert!(lengths[lengths.len() - 1] < 1_050 * 4_120, "{lengths:?}");
}
