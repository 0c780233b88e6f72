//! Backup and its way back: what was on record is on record again, under a new log; what must not be in the file is not; what
//! is wrong with a file, a passphrase or a folder is told, and leaves everything as it was.

use crate::{attach, clean, files, hash, noted, picture, refused, text, with_photos};
use sidelong_core::api::{Notebook, Platform, RestoreView, restore};
use sidelong_core::error::Error;
use sidelong_core::record::views::JobView;
use sidelong_core::record::words::{Form, Locale, Stage};
use sidelong_tests::{MemoryVault, Phone};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use uuid::Uuid;

const PASSPHRASE: &str = "four words that nobody guesses";

/// A platform like a phone's, with nothing in its vault.
fn fresh(like: &Phone) -> Platform {
    Platform { vault: Arc::new(MemoryVault::default()), ..like.platform.clone() }
}

fn back(file: &Path, folder: &Path, platform: &Platform) -> Result<RestoreView, Error> {
    restore(text(file), PASSPHRASE.to_owned(), text(folder), platform.clone())
}

/// A job as a restored notebook shows it, but for the word that it goes on from another phone.
fn of_job(notebook: &Notebook, job: &Uuid) -> JobView {
    let view = notebook.job(job.to_string(), Locale::EnGb).expect("here");
    JobView { devices: Vec::new(), ..view }
}

fn holds(bytes: &[u8], what: &[u8]) -> bool {
    bytes.windows(what.len()).any(|part| part == what)
}

#[test]
fn what_was_on_record_is_on_record_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, two) = with_photos(folder.path(), 21);
    phone.put(one, noted("a note that nobody else reads"));
    phone.open().switch_recorder("Somebody".to_owned()).expect("switches");
    // A colleague's entries are in the backup too.
    let mut other = Phone::new(&folder.path().join("other"), 22);
    let three = other.begin(Form::Van, Stage::AsFound);
    phone.join(&mut other);
    let views = [one, two, three].map(|job| phone.view(job));
    let (log, entries) =
        (phone.open().log_name().expect("a name"), phone.open().check(None).expect("checks").total);

    let file = folder.path().join("backup.age");
    let packed = phone.open().back_up(text(&file), PASSPHRASE.to_owned()).expect("backs up");
    assert_eq!((packed.photos, packed.left_out), (3, 0));
    let bytes = fs::read(&file).expect("reads");
    assert_eq!(packed.bytes, bytes.len() as u64);
    assert!(bytes.starts_with(b"age-encryption.org/v1\n-> scrypt "));
    for secret in
        [&b"a note that nobody else reads"[..], b"SQLite format 3", log.as_bytes(), &picture(0)[2_000..2_040]]
    {
        assert!(!holds(&bytes, secret), "{}", String::from_utf8_lossy(secret));
    }
    assert!(!phone.folder.join("outgoing-record").exists(), "nothing readable is left");

    let new = folder.path().join("new/phone");
    fs::create_dir(folder.path().join("new")).expect("a folder");
    let platform = fresh(&phone);
    let done = back(&file, &new, &platform).expect("restores");
    let old = done.old_log.expect("the old log");
    assert_eq!(old.log, log);
    assert_ne!(done.log, log, "a new log");
    assert!(old.head.starts_with(&format!("{log}\n{}\n", old.size)), "{}", old.head);
    assert_eq!((done.joined.taken.len(), done.joined.refused.len(), done.joined.forked.len()), (2, 0, 0));
    assert!(done.joined.blobs_missing.is_empty());
    assert!(!new.join("sidelong-restoring").exists());

    let notebook = Notebook::open(text(&new), platform).expect("opens");
    assert_eq!(notebook.log_name().expect("a name"), done.log);
    for (job, before) in [one, two, three].iter().zip(&views) {
        assert_eq!(&of_job(&notebook, job), before);
    }
    let check = notebook.check(None).expect("checks");
    let beside = "what was seen of the two logs, and from which one it goes on";
    assert_eq!((check.findings, check.total), (Vec::new(), entries + 3), "{beside}");
    let said: Vec<String> =
        notebook.devices(Locale::EnGb).expect("a list").into_iter().flat_map(|it| it.said).collect();
    assert_eq!(said.len(), 2, "of the new one and of the old one: {said:?}");
    let goes_on = format!("goes on from phone {}, of which it knew {} entries", &log[9..17], old.size);
    assert!(said.iter().all(|it| it.contains(&goes_on)), "{said:?}");
    for at in 0..3 {
        assert!(notebook.picture(hash(at), 4_096).is_ok());
    }
    // The old phone turns up again: the two go on together.
    attach(&mut phone, two, 1);
    let mut again = Phone { folder: new, platform: fresh(&phone), notebook: None, ..other };
    again.notebook = Some(notebook);
    let joined = again.join(&mut phone);
    assert_eq!((joined.taken.len(), joined.forked.len(), joined.refused.len()), (1, 0, 0));
    assert_eq!(of_job(again.open(), &two), phone.view(two));
    assert_eq!(clean(&again), [""; 0]);
}

#[test]
fn wrong_passphrases_files_and_folders() {
    let folder = tempfile::tempdir().expect("a folder");
    let (phone, one, _) = with_photos(folder.path(), 23);
    let file = folder.path().join("backup.age");
    refused(phone.open().back_up(text(&file), "1234567".to_owned()), "passphrase: at least 8 letters");
    assert!(!file.exists());
    phone.open().back_up(text(&file), PASSPHRASE.to_owned()).expect("backs up");
    let whole = fs::read(&file).expect("reads");
    refused(phone.open().back_up(text(&file), PASSPHRASE.to_owned()), "a file of this name already");
    assert_eq!(fs::read(&file).expect("reads"), whole);
    assert!(!phone.folder.join("outgoing-record").exists());
    phone
        .open()
        .back_up(text(&folder.path().join("nowhere/file")), PASSPHRASE.to_owned())
        .expect_err("no such folder");
    assert!(!phone.folder.join("outgoing-record").exists());

    let platform = fresh(&phone);
    let new = folder.path().join("new");
    let wrong =
        restore(text(&file), "four words that somebody guesses".to_owned(), text(&new), platform.clone());
    assert!(matches!(wrong, Err(Error::Refused { ref field, .. }) if field == "passphrase"), "{wrong:?}");
    assert!(!new.exists(), "as it was");

    let given = folder.path().join("given");
    let offer = |bytes: &[u8], words: &str| {
        fs::write(&given, bytes).expect("written");
        refused(back(&given, &new, &platform), words);
        assert!(!new.exists(), "as it was");
    };
    for nonsense in
        [&b""[..], b"age", b"SQLite format 3\0", &[0; 5_000], b"age-encryption.org/v2\n-> scrypt a 1\n"]
    {
        offer(nonsense, "it is no backup");
    }
    let header = whole.windows(4).position(|it| it == b"\n---").expect("the header's end") + 49;
    for at in [1, 40, header - 5] {
        offer(&whole[..at], "");
    }
    for at in [header + 16, header + 17, header + 70_000, whole.len() - 1] {
        offer(&whole[..at], "cut short");
    }
    for at in [header + 3, header + 20, whole.len() / 2, whole.len() - 1] {
        let mut changed = whole.clone();
        changed[at] ^= 1;
        offer(&changed, "cut short, or was changed");
    }
    // In the header: the salt, the work, the wrapped key, the check over all of it.
    for at in [24, 34, 60, 80, header - 10] {
        let mut changed = whole.clone();
        changed[at] ^= 1;
        offer(&changed, "");
    }
    let much = String::from_utf8_lossy(&whole[..header]).replace(" 17\n", " 30\n");
    offer(&[much.as_bytes(), &whole[header..]].concat(), "it asks for 2^30 steps");
    offer(&[whole.clone(), vec![0]].concat(), "changed");
    refused(back(&folder.path().join("none"), &new, &platform), "none");

    // A folder with something in it, and one with a notebook.
    fs::create_dir(&new).expect("a folder");
    fs::write(new.join("letter"), "to somebody").expect("written");
    refused(back(&file, &new, &platform), "it is not empty");
    assert_eq!(files(&new), [new.join("letter")]);
    let before = phone.view(one);
    refused(back(&file, &phone.folder, &platform), "it is not empty");
    assert_eq!(phone.view(one), before);
    // The old seed is still in this device.
    refused(back(&file, &folder.path().join("same"), &phone.platform), "still holds the seed");
    assert!(!folder.path().join("same/sidelong.db").exists());
    assert_eq!(clean(&phone), [""; 0]);
}

/// What was erased is in no backup, and the old seed is neither in it nor in what is made of it.
#[test]
fn nothing_erased_and_no_seed() {
    use sidelong_core::record::words::Kept;
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, _) = with_photos(folder.path(), 24);
    phone.put(one, noted("a sentence that is to go"));
    let kinds = vec![Kept::Texts, Kept::OutsidePhotos];
    phone.open().erase_job(one.to_string(), kinds, "asked for".to_owned(), Locale::EnGb).expect("erases");
    let file = folder.path().join("backup.age");
    phone.open().back_up(text(&file), PASSPHRASE.to_owned()).expect("backs up");
    let new = folder.path().join("new");
    back(&file, &new, &fresh(&phone)).expect("restores");
    let seed = phone.platform.vault.load().expect("a vault").expect("a seed");
    let made = files(&new);
    assert!(made.len() >= 3, "{made:?}");
    for path in made {
        let bytes = fs::read(&path).expect("reads");
        for gone in [&seed[..], b"a sentence that is to go", &picture(0)[2_000..2_040]] {
            assert!(!holds(&bytes, gone), "{}", path.display());
        }
    }
}

/// Killed at any moment between opening the backup and the last rename: there is no notebook, and restoring again makes one.
#[test]
fn cut_off_restorings_begin_anew() {
    let folder = tempfile::tempdir().expect("a folder");
    let (phone, one, _) = with_photos(folder.path(), 25);
    let file = folder.path().join("backup.age");
    phone.open().back_up(text(&file), PASSPHRASE.to_owned()).expect("backs up");
    let whole = folder.path().join("whole");
    let platform = fresh(&phone);
    back(&file, &whole, &platform).expect("restores");

    let left: [(&str, &[&str]); 4] = [
        ("the mark alone", &[]),
        ("half a record", &["sidelong-restoring/record/sidelong.db"]),
        (
            "a store that was not moved",
            &["sidelong-restoring/store/sidelong.db", "sidelong-restoring/store/head.mirror"],
        ),
        (
            "all but the database",
            &["photos/ab/abcd", "head.mirror", "lock", "sidelong-restoring/store/sidelong.db"],
        ),
    ];
    for (what, paths) in left {
        let new = folder.path().join(what);
        fs::create_dir_all(new.join("sidelong-restoring")).expect("a folder");
        for path in paths {
            let path: PathBuf = new.join(path);
            fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
            fs::write(&path, "left by a restoring that was cut off").expect("written");
        }
        assert!(!new.join("sidelong.db").exists(), "{what}: no notebook");
        back(&file, &new, &platform).expect(what);
        let notebook = Notebook::open(text(&new), platform.clone()).expect("opens");
        assert_eq!(of_job(&notebook, &one), phone.view(one), "{what}");
        assert_eq!(notebook.check(None).expect("checks").findings, [], "{what}");
        assert!(notebook.check(None).expect("checks").notes.is_empty(), "{what}");
    }
    // A backing up that was cut off leaves nothing readable behind the next opening.
    let mut phone = phone;
    fs::create_dir(phone.folder.join("outgoing-record")).expect("a folder");
    fs::write(phone.folder.join("outgoing-record/sidelong.db"), "half a record").expect("written");
    phone.reopen().expect("opens");
    assert!(!phone.folder.join("outgoing-record").exists());
    // With the database in its place it is a notebook, and what is left beside it goes at the next opening.
    fs::create_dir(whole.join("sidelong-restoring")).expect("a folder");
    refused(back(&file, &whole, &platform), "it is not empty");
    Notebook::open(text(&whole), platform).expect("opens");
    assert!(!whole.join("sidelong-restoring").exists());
}
