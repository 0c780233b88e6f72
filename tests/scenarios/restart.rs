//! A phone that dies in the middle of an entry.

use super::handover::picture;
use super::*;
use sidelong_core::api::Notebook;

/// What a phone that died leaves: its files as they are at that moment.
fn died(phone: &Phone, to: &std::path::Path) {
    for entry in walk_files(&phone.folder) {
        let target = to.join(entry.strip_prefix(&phone.folder).expect("below"));
        std::fs::create_dir_all(target.parent().expect("a folder")).expect("made");
        std::fs::copy(&entry, target).expect("copied");
    }
}

fn walk_files(folder: &std::path::Path) -> Vec<std::path::PathBuf> {
    std::fs::read_dir(folder)
        .expect("a folder")
        .flat_map(|entry| {
            let path = entry.expect("an entry").path();
            if path.is_dir() { walk_files(&path) } else { vec![path] }
        })
        .collect()
}

/// Scenario 7: no signal, three cars, 96 photos, the battery dies in the middle of a mark. After the restart everything that
/// was said to be saved is there; the one that was not can be told from it by sending it again.
#[test]
fn scenario_07_dead_phone() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("phone"), 7);
    let mut jobs = Vec::new();
    for car in 0..3_u8 {
        let job = phone.begin(Form::Saloon, Stage::AsFound);
        for shot in 0..32_u8 {
            phone.file("shot.png", &picture(car, shot, 7));
            phone.put(job, photo("shot.png", None));
        }
        for _ in 0..5 {
            phone.put(job, mark("bonnet", MarkKind::StoneChip, 2_000));
        }
        jobs.push(job);
    }
    // Opened anew, so that the write-ahead log is written from its beginning and grows.
    phone.reopen().expect("opens");
    let last = phone.input(jobs[2], mark("decklid", MarkKind::Scratch, 30_000));
    phone.open().record(last.clone()).expect("accepted");
    let before = folder.path().join("before");
    died(&phone, &before);
    let unfinished = phone.input(jobs[2], mark("roof", MarkKind::Dent, 12_000));
    phone.open().record(unfinished.clone()).expect("accepted");
    let wal = std::fs::read(phone.folder.join("sidelong.db-wal")).expect("the write-ahead log");
    let earlier = std::fs::read(before.join("sidelong.db-wal")).expect("the write-ahead log");
    // The file is longer than the log, by zeros; what differs is what the mark wrote.
    let differs = |at: &usize| wal.get(*at).unwrap_or(&0) != earlier.get(*at).unwrap_or(&0);
    let first = (0..wal.len()).find(differs).expect("the mark is in the write-ahead log");
    let last_one = (0..wal.len()).rfind(differs).expect("the mark is in the write-ahead log");
    assert!(
        earlier.get(first..).unwrap_or_default().iter().all(|byte| *byte == 0),
        "the mark went to the end of the write-ahead log"
    );
    // The battery dies while the last mark is being written: its frames are torn at any place, what was there before stands behind
    // it, the mirror is not yet written.
    let torn: Vec<usize> = (0..12).map(|part| first + (last_one - first) * part / 11).collect();
    for (at, length) in torn.into_iter().enumerate() {
        let here = folder.path().join(format!("restarted-{at}"));
        let copied = Phone { folder: before.clone(), ..Phone::new(&folder.path().join(format!("x{at}")), 1) };
        died(&copied, &here);
        let half = [&wal[..length], earlier.get(length..).unwrap_or_default()].concat();
        std::fs::write(here.join("sidelong.db-wal"), half).expect("torn");
        let restarted = Notebook::open(here.display().to_string(), phone.platform.clone()).expect("opens");
        let view = |job: Uuid| restarted.job(job.to_string(), Locale::EnGb).expect("the job");
        assert_eq!(jobs.iter().map(|job| view(*job).photos.len()).sum::<usize>(), 96);
        assert_eq!(jobs.iter().map(|job| view(*job).marks.len()).sum::<usize>(), 16, "torn at {length}");
        assert!(restarted.check(None).expect("checks").findings.is_empty());
        assert!(
            restarted.record(last.clone()).expect("answers").again,
            "saved before: the first answer again"
        );
        assert!(!restarted.record(unfinished.clone()).expect("records").again, "this one was the unfinished");
        assert_eq!(view(jobs[2]).marks.len(), 7);
    }
}
