//! Phones as witnesses of each other's logs: what is co-signed, what of it travels, and what is not taken in.

use rusqlite::{Connection, params};
use sidelong_core::api::JoinView;
use sidelong_core::log::cosign::{Kept, cosign};
use sidelong_core::log::head::LogKey;
use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_core::share;
use sidelong_core::store::Store;
use sidelong_tests::{Phone, mark, nothing_seen};
use std::path::Path;

fn phones(folder: &Path, seed: u64) -> [Phone; 3] {
    [0, 1, 2].map(|at| Phone::new(&folder.join(at.to_string()), seed + at))
}

fn key(phone: &Phone) -> LogKey {
    let seed = phone.platform.vault.load().expect("a vault").expect("a seed");
    LogKey::from_seed(&seed.try_into().expect("32 bytes"), false)
}

/// What a phone holds of co-signatures over a log: by whom, over how many entries.
fn held(phone: &mut Phone, log: &str) -> Vec<(String, u64)> {
    let plain = |kept: Kept| (kept.cosignature.witness, kept.head.size);
    let mut held: Vec<_> = rows(phone, log).into_iter().map(plain).collect();
    held.sort_by_key(|(_, size)| *size);
    held
}

fn rows(phone: &mut Phone, log: &str) -> Vec<Kept> {
    phone.close();
    let rows = Store::open_to_read(&phone.folder).expect("opens").cosigned(log).expect("reads");
    phone.reopen().expect("opens again");
    rows
}

fn database(phone: &mut Phone) -> Connection {
    phone.close();
    Connection::open(phone.folder.join("sidelong.db")).expect("opens")
}

fn findings(phone: &Phone) -> Vec<String> {
    let found = phone.open().check(None).expect("checks").findings;
    found.into_iter().map(|it| format!("{}: {}", it.place, it.found)).collect()
}

fn reasons(joined: &JoinView) -> Vec<&str> {
    joined.refused.iter().map(|it| it.reason.as_str()).collect()
}

/// Takes a log out of a store, as if it had never come in.
fn forget(database: &Connection, log: &str) {
    let id: i64 =
        database.query_row("SELECT id FROM logs WHERE name = ?1", [log], |row| row.get(0)).expect("a log");
    for table in ["leaves", "hashes"] {
        database.execute(&format!("DELETE FROM {table} WHERE place >> 40 = ?1"), [id]).expect("deletes");
    }
    database.execute("DELETE FROM logs WHERE id = ?1", [id]).expect("deletes");
}

#[test]
fn co_signatures_come_back_to_the_owner_and_reach_a_third() {
    let folder = tempfile::tempdir().expect("a folder");
    let [mut one, mut two, mut three] = phones(folder.path(), 300);
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    let [a, b, c] = [&one, &two, &three].map(|phone| key(phone).name().to_owned());
    assert_eq!(two.join(&mut one).cosigned, std::slice::from_ref(&a));
    assert_eq!(held(&mut two, &a), [(b.clone(), 2)]);
    assert_eq!(held(&mut one, &a), [], "the other notebook is not changed");
    let again = two.join(&mut one);
    assert_eq!((again.cosigned.len(), again.cosignatures), (0, 0), "nothing new, nothing signed");

    let joined = one.join(&mut two);
    assert_eq!((joined.cosigned, joined.cosignatures), (vec![b.clone()], 1));
    assert_eq!(held(&mut one, &a), [(b.clone(), 2)]);
    // A third that meets only one of them, by its packed record.
    let pack = folder.path().join("pack");
    one.open().pack(pack.display().to_string(), false).expect("packs");
    let joined = three.open().join(pack.display().to_string()).expect("joins");
    assert_eq!((joined.cosigned.len(), joined.cosignatures), (2, 2), "{joined:?}");
    assert_eq!((reasons(&joined).len(), joined.contradicted.len()), (0, 0));
    assert_eq!(held(&mut three, &a), [(b.clone(), 2), (c.clone(), 3)]);

    // Everybody meets everybody: the same co-signatures everywhere, and all of them are good.
    one.put(job, nothing_seen("roof"));
    for _ in 0..3 {
        two.join(&mut three);
        three.join(&mut one);
        one.join(&mut two);
        one.join(&mut three);
    }
    // What is signed last has not travelled yet, so sizes are compared up to what all have.
    let mut of_two = [&mut one, &mut two, &mut three].map(|phone| rows(phone, &a));
    let least = of_two.iter().map(Vec::len).min().expect("three");
    of_two.iter_mut().for_each(|rows| rows.retain(|kept| kept.head.size <= 3));
    assert!(least > 3);
    assert_eq!(of_two[0], of_two[1]);
    assert_eq!(of_two[1], of_two[2]);
    for phone in [&one, &two, &three] {
        assert_eq!(findings(phone), [""; 0]);
    }
    // An export holds them as files.
    let out = folder.path().join("out");
    one.open()
        .export(out.display().to_string(), sidelong_core::record::words::Locale::EnGb)
        .expect("exports");
    let mut files: Vec<Vec<u8>> =
        std::fs::read_dir(out.join("logs").join(a.replace('/', "-")).join("cosigned"))
            .expect("a folder")
            .map(|file| std::fs::read(file.expect("a file").path()).expect("reads"))
            .collect();
    let mut notes: Vec<Vec<u8>> = rows(&mut one, &a).into_iter().map(|kept| kept.note).collect();
    files.sort();
    notes.sort();
    assert_eq!(files, notes);
}

/// What is not a co-signature of a log here by a phone known here is refused with words, and the good one comes all the same.
#[test]
fn co_signatures_that_are_not_taken_in() {
    let folder = tempfile::tempdir().expect("a folder");
    let [mut one, mut two, mut three] = phones(folder.path(), 310);
    one.begin(Form::Hatch5, Stage::AsFound);
    two.join(&mut one);
    let [a, b] = [&one, &two].map(|phone| key(phone).name().to_owned());
    let good = rows(&mut two, &a)[0].note.clone();
    let stranger = LogKey::from_seed(&[77; 32], false);
    let head = {
        let text = String::from_utf8(good.clone()).expect("text");
        let end = text.trim_end().rfind('\n').expect("lines") + 1;
        text.as_bytes()[..end].to_vec()
    };
    let by_stranger =
        cosign(&stranger, &head, (&a, &key(&one).public()), None, &[], 1_780_989_000).expect("signs").note;
    let mut changed = good.clone();
    let at = changed.len() - 10;
    // Another letter of base64, so that it is still a note.
    changed[at] = if changed[at] == b'A' { b'B' } else { b'A' };
    let database = database(&mut two);
    // A store of somebody who keeps to no form.
    database
        .execute_batch(
            "ALTER TABLE witnessed RENAME TO kept; CREATE TABLE witnessed (log, witness, size, note);
                        INSERT INTO witnessed SELECT * FROM kept;",
        )
        .expect("changes");
    let put = |log: &str, witness: &str, size: i64, note: &[u8]| {
        database
            .execute("INSERT INTO witnessed VALUES (?1, ?2, ?3, ?4)", params![log, witness, size, note])
            .expect("written");
    };
    put(&a, stranger.name(), 2, &by_stranger);
    put(&a, &b, 3, &good);
    put(&b, &b, 2, &good);
    put(&a, &a, 2, &head);
    put(&a, &b, 2, &by_stranger);
    put(&a, &b, 2, &head);
    put(&a, &b, 2, &changed);
    put(&a, &b, 2, b"");
    put(&a, &b, 2, b"not a note at all\n\n");
    put(&a, &b, 2, &[good.clone(), vec![b'\n'; 70_000]].concat());
    put("sidelong/none", &b, 2, &good);
    put(&a, &b, -1, &good);
    database
        .execute_batch("INSERT INTO witnessed VALUES (1, 2, 'x', 4), (NULL, NULL, NULL, NULL)")
        .expect("written");
    // Lines of others in it are no harm, and not kept.
    let with_more = [good.clone(), by_stranger[head.len()..].to_vec()].concat();
    put(&a, &b, 2, &with_more);
    drop(database);
    let joined = three.open().join(two.folder.display().to_string()).expect("joins");
    let told = reasons(&joined);
    assert_eq!(told.len(), 14, "{told:#?}");
    for words in [
        &format!("the log {} is not here", stranger.name())[..],
        "2 entries were co-signed, not 3",
        "cannot witness its own log",
        "did not co-sign it",
        "does not fit",
        "not a signed note",
        "more than 65536 bytes",
        "the log sidelong/none is not here",
        "a row that is no co-signature",
    ] {
        assert!(told.iter().any(|it| it.contains(words)), "{words}: {told:#?}");
    }
    assert_eq!((joined.cosignatures, joined.taken.len()), (1, 2), "{joined:?}");
    let kept = rows(&mut three, &a);
    assert_eq!(kept.iter().map(|it| it.note.clone()).filter(|it| *it == good).count(), 1);
    assert_eq!(kept.len(), 2, "and its own");
    assert_eq!(findings(&three), [""; 0]);
}

/// A log that was cut back and went on otherwise: its witness does not sign that, and whoever hears of the co-signature is told.
#[test]
fn a_log_that_was_cut_back_shows_against_its_witness() {
    let folder = tempfile::tempdir().expect("a folder");
    let [mut one, mut two, mut three] = phones(folder.path(), 320);
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    one.close();
    let early = folder.path().join("early");
    copy(&one.folder, &early);
    one.reopen().expect("opens");
    one.put(job, mark("roof", MarkKind::Dent, 9_000));
    two.join(&mut one);
    let [a, b] = [&one, &two].map(|phone| key(phone).name().to_owned());
    assert_eq!(held(&mut two, &a), [(b.clone(), 3)]);

    // The early copy goes on as if nothing had been.
    one.close();
    let mut again = Phone { folder: early, notebook: None, ..one };
    again.reopen().expect("opens");
    again.put(job, nothing_seen("roof"));
    again.put(job, nothing_seen("bonnet"));
    // The witness knows that log no more, only what it signed.
    let database = database(&mut two);
    forget(&database, &a);
    drop(database);
    two.reopen().expect("opens");
    let joined = two.join(&mut again);
    assert_eq!(joined.cosigned, [""; 0]);
    assert!(
        reasons(&joined)[0].contains("does not go on from the 3 entries that were signed before"),
        "{joined:?}"
    );
    assert_eq!(held(&mut two, &a), [(b.clone(), 3)], "as it was");
    let found = findings(&two);
    assert!(found.iter().any(|it| it.contains("are not here as they were")), "{found:?}");

    // A third has the new history alone, and hears of the co-signature later.
    three.join(&mut again);
    assert_eq!(findings(&three), [""; 0]);
    let joined = three.join(&mut two);
    assert_eq!((joined.contradicted.len(), joined.cosignatures), (1, 1), "{joined:?}");
    let expected = format!("co-signed 3 entries of phone {}", &a[9..17]);
    assert!(joined.contradicted[0].text.contains(&expected), "{joined:?}");
    assert!(findings(&three).iter().any(|it| it.contains("are not here as they were")));
    // What is told once is on record, not told again; and nothing of it was lost.
    assert_eq!(three.join(&mut two).contradicted.len(), 0);
    assert_eq!(held(&mut three, &a).len(), 2);
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).expect("copied");
        }
    }
}

/// How many times a phone itself says that it has seen another log.
fn seen(phone: &mut Phone) -> usize {
    let database = database(phone);
    let mut read = database.prepare("SELECT bytes FROM leaves WHERE job IS NULL AND place >> 40 = (SELECT id FROM logs WHERE own = 1)").expect("reads");
    let rows = read.query_map([], |row| row.get::<_, Vec<u8>>(0)).expect("reads");
    let is_seen = |it: &Vec<u8>| String::from_utf8_lossy(it).contains("\"type\":\"log.seen\"");
    let count = rows.map(|it| it.expect("bytes")).filter(is_seen).count();
    drop(read);
    drop(database);
    phone.reopen().expect("opens");
    count
}

/// A joining that was cut off after a log came in: the next one says that it was seen, and co-signs it, though it brings nothing.
#[test]
fn a_joining_that_was_cut_off_is_finished_by_the_next() {
    let folder = tempfile::tempdir().expect("a folder");
    let [mut one, mut two, mut three] = phones(folder.path(), 330);
    one.begin(Form::Hatch5, Stage::AsFound);
    three.join(&mut one);
    let [a, c] = [&one, &three].map(|phone| key(phone).name().to_owned());
    let signs = key(&two);
    two.close();
    three.close();
    let mut store = Store::open(&two.folder, |_| Ok(signs)).expect("opens");
    let joined = share::join(&mut store, &three.folder).expect("joins");
    assert_eq!((joined.taken.len(), joined.cosignatures), (2, 1));
    drop(store);
    two.reopen().expect("opens");
    three.reopen().expect("opens");
    assert_eq!(seen(&mut two), 0, "it was cut off before");
    let joined = two.join(&mut three);
    assert_eq!((joined.taken.len(), joined.unchanged.len(), joined.cosigned.len()), (0, 2, 2));
    assert_eq!(seen(&mut two), 2);
    assert_eq!((held(&mut two, &a).len(), held(&mut two, &c).len()), (2, 1));
    let joined = two.join(&mut three);
    assert_eq!((joined.cosigned.len(), seen(&mut two)), (0, 2), "and nothing is said twice");
    assert_eq!(findings(&two), [""; 0]);
}
