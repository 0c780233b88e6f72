//! Erasing: afterwards no file of the store holds the bytes.

use crate::*;
use sidelong_core::api::Reader;
use sidelong_core::record::inputs::{BeginWalk, Input, OpenJob};
use sidelong_core::record::words::Locale;
use sidelong_tests::{Dice, car, mark};
use std::collections::BTreeSet;

/// Hashes of what the events of a job name, by role.
fn named(store: &Store, job: Uuid, roles: &[&str]) -> Vec<String> {
    let entries = store.entries(job).expect("entries");
    let blobs = entries.into_iter().flat_map(|entry| entry.envelope.blobs);
    blobs.filter(|blob| roles.contains(&blob.role.as_str())).map(|blob| blob.sha256).collect()
}

/// Every file below a folder that holds one of the needles.
fn holding(folder: &Path, needles: &[Vec<u8>]) -> Vec<String> {
    let mut found = Vec::new();
    for path in files(folder) {
        let bytes = fs::read(&path).expect("reads");
        for needle in needles {
            if bytes.windows(needle.len()).any(|window| window == needle) {
                found.push(format!("{}: {}", path.display(), String::from_utf8_lossy(needle)));
            }
        }
    }
    found
}

fn copied(folder: &Path, to: &Path) {
    for path in files(folder) {
        let target = to.join(path.strip_prefix(folder).expect("below"));
        fs::create_dir_all(target.parent().expect("a folder")).expect("makes");
        fs::copy(path, target).expect("copies");
    }
}

/// A phone with much that was typed, so that pages of the database were split and rows moved, and a photo; another job
/// with its own texts stays.
fn with_words(folder: &Path, seed: u64) -> (Phone, Uuid, Uuid, Input) {
    let mut phone = Phone::new(&folder.join(format!("phone-{seed}")), seed);
    let stays = phone.begin(Form::Hatch5, Stage::AsFound);
    phone.put(stays, noted("unberührt bleibt dies"));
    let goes = phone.dice.id();
    let opening = OpenJob {
        plate: Some("JX71 YKP".to_owned()),
        vin: Some("1M8GDM9AXKP042788".to_owned()),
        colour: Some("heliotrope".to_owned()),
        ..car(Form::Saloon)
    };
    phone.put(goes, Act::OpenJob(opening));
    let walk = BeginWalk { stage: Stage::AsFound };
    phone.put(goes, Act::BeginWalk(walk));
    let told = phone.input(goes, noted("Zwickelnaht Vorbesitzer Quendolin"));
    phone.open().record(told.clone()).expect("accepted");
    for at in 0..150 {
        phone.put(goes, noted(&format!("Zwickelnaht Quendolin {at} {}", "lang ".repeat(at % 40))));
        phone.put(stays, noted(&format!("bleibt {at}")));
    }
    attach(&mut phone, goes, 2);
    (phone, stays, goes, told)
}

fn needles() -> Vec<Vec<u8>> {
    let middle = picture(2).len() / 2;
    let mut needles: Vec<Vec<u8>> = [
        "JX71 YKP",
        "jx71",
        "1M8GDM9AXKP042788",
        "m8gdm9axkp042788",
        "042788",
        "heliotrope",
        "Zwickelnaht",
        "zwickelnaht",
        "wickelnaht",
        "Quendolin",
        "quendolin",
        "vorbesitzer",
    ]
    .iter()
    .map(|word| word.as_bytes().to_vec())
    .collect();
    needles.push(picture(2)[middle..middle + 24].to_vec());
    needles.push(picture(2)[middle + 4_000..middle + 4_024].to_vec());
    needles
}

/// Before: everything that is searched for is in the files, or the search itself is worth nothing. (The index keeps what
/// two neighbouring words share only once; the words are chosen so that they share nothing that is searched for.)
fn all_there(folder: &Path, needles: &[Vec<u8>]) {
    let missing = |needle: &&Vec<u8>| holding(folder, &[(*needle).clone()]).is_empty();
    let missing: Vec<String> =
        needles.iter().filter(missing).map(|it| String::from_utf8_lossy(it).into_owned()).collect();
    assert_eq!(missing, [""; 0]);
}

const TYPED: [&str; 4] = ["vehicle", "note", "reason", "original"];

#[test]
fn after_an_erasure_no_file_of_the_store_holds_the_bytes() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, stays, goes, told) = with_words(folder.path(), 20);
    let needles = needles();
    all_there(&phone.folder, &needles);
    let mut open = store(&mut phone);
    let blobs = named(&open, goes, &TYPED);
    assert_eq!(blobs.len(), 153);
    let erased = open.erase(&blobs).expect("erases");
    assert_eq!((erased.erased.len(), erased.already.len()), (153, 0));
    assert_eq!(erased.jobs, BTreeSet::from([goes]));
    assert_eq!(holding(&phone.folder, &needles), [""; 0], "while it is open");
    assert!(!open.scrub_due().expect("reads"));

    // As if the program had been killed now: the files as they are.
    let crashed = folder.path().join("crashed");
    copied(&phone.folder, &crashed);
    let again = open.erase(&blobs).expect("erases nothing");
    assert_eq!((again.erased.len(), again.already.len(), again.jobs.len()), (0, 153, 0));
    drop(open);
    assert_eq!(holding(&phone.folder, &needles), [""; 0], "after closing");
    for place in [phone.folder.clone(), crashed] {
        phone.folder = place;
        phone.reopen().expect("opens");
        assert_eq!(holding(&phone.folder, &needles), [""; 0], "after opening");
        assert!(clean(&phone).is_empty());
        let view = phone.view(goes);
        assert_eq!(view.vehicle.plate, None);
        assert!(view.vehicle.missing.is_some_and(|it| it.contains("erased")));
        assert!(view.marks[0].note.as_ref().is_some_and(|it| it.contains("it was erased")));
        assert_eq!(states(&phone, goes), [BlobState::Erased]);
        let list = phone.open().jobs(None, 10, Locale::EnGb).expect("a list").jobs;
        let line = list.iter().find(|line| line.job == goes.to_string()).expect("the job is listed");
        assert_eq!((line.plate.as_deref(), line.vin.as_deref(), line.photos), (None, None, 1));
        let found = |words: &str| {
            let found = phone.open().jobs(Some(words.to_owned()), 10, Locale::EnGb).expect("a search");
            found.jobs.into_iter().map(|line| line.job).collect::<Vec<_>>()
        };
        for words in ["JX71", "jx71ykp", "042788", "heliotrope", "Zwickelnaht", "Quendolin"] {
            assert_eq!(found(words), [""; 0], "{words}");
        }
        assert_eq!(found("unberührt"), [stays.to_string()]);
        assert_eq!(found("ZZ26"), [stays.to_string()]);
        assert!(phone.view(stays).marks.iter().all(|mark| mark.note.is_some()));
        phone.open().rebuild_tables().expect("rebuilds");
        assert_eq!(holding(&phone.folder, &needles), [""; 0], "after the tables were built anew");
        assert_eq!(found("Quendolin"), [""; 0]);
        // What the phone remembers of an input could be tried until a guess fits; it is gone, so the id is used up.
        refused(phone.open().record(told.clone()), "on record already with other content");
        phone.put(goes, mark("roof", MarkKind::Dent, 9_000));
        assert!(clean(&phone).is_empty());
        phone.close();
    }
}

/// One text among hundreds: the index merges nothing by itself for it, pages that held it hold others' texts, and the
/// write-ahead log is one that a killed program left.
#[test]
fn one_text_among_many_leaves_nothing_behind() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("phone"), 26);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    let letter = |at: usize| char::from(b'a' + u8::try_from(at % 26).expect("small"));
    let word = |at: usize| format!("{}quillon{:07}", letter(at), at * 7919);
    let plate = |at: usize| format!("{}PLATE{:07}", letter(at).to_ascii_uppercase(), at * 6007);
    let mut jobs = Vec::new();
    for at in 0..200 {
        let other = phone.dice.id();
        phone.put(other, Act::OpenJob(OpenJob { plate: Some(plate(at)), ..car(Form::Suv) }));
        phone.put(job, noted(&format!("Naht {} {}", word(at), "kurz ".repeat((at * 37) % 90))));
        jobs.push(other);
    }
    let left = folder.path().join("left");
    copied(&phone.folder, &left);
    phone.folder = left;
    let mut open = store(&mut phone);
    let notes = named(&open, job, &["note"]);
    assert_eq!(notes.len(), 200);
    let in_log = holding(&phone.folder, &[word(199).into_bytes()]);
    assert!(in_log.iter().any(|it| it.contains("sidelong.db-wal")), "{in_log:?}");
    for at in [199, 0].into_iter().chain((1..199).step_by(15)) {
        let vehicle = named(&open, jobs[at], &["vehicle"]);
        let needles = [word(at), word(at)[2..].to_owned(), plate(at), plate(at)[2..].to_lowercase()];
        let needles = needles.map(String::into_bytes);
        // The index keeps what neighbouring words share only once, so the last two may be there in pieces.
        assert!(
            needles[..1].iter().chain(&needles[2..3]).all(|it| !holding(
                &phone.folder,
                std::slice::from_ref(it)
            )
            .is_empty())
        );
        let erased = open.erase(&[notes[at].clone(), vehicle[0].clone()]).expect("erases");
        assert_eq!(erased.erased.len(), 2);
        assert_eq!(holding(&phone.folder, &needles), [""; 0], "text {at}");
    }
    drop(open);
    phone.reopen().expect("opens");
    assert!(clean(&phone).is_empty());
    let found = |text: String| phone.open().jobs(Some(text), 9, Locale::EnGb).expect("a search").jobs.len();
    assert_eq!((found(word(76)), found(plate(76))), (0, 0));
    assert_eq!((found(word(78)), found(plate(78))), (1, 1));
}

/// Texts that came in after their events make rows grow; where a page is then split and written anew, SQLite leaves old
/// copies of moved rows in its gaps, `secure_delete` or not.
#[test]
fn rows_that_were_moved_leave_nothing_behind() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("phone"), 28);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    let mut dice = Dice(5);
    for at in 0..1_000 {
        let long = [0, 3, 40, 150, 250][dice.below(5)];
        phone.put(job, noted(&format!("<{at:06}>{}", "kurz".repeat(long))));
    }
    let mut other = Phone::new(&folder.path().join("other"), 29);
    other.join(&mut phone);
    let mut open = store(&mut other);
    let (mut erased, mut kept) = (BTreeSet::new(), BTreeSet::new());
    let mut hashes = Vec::new();
    for entry in open.entries(job).expect("entries") {
        let text = entry.blobs.get("note").and_then(|(_, value)| value.as_ref()?.as_str().map(str::to_owned));
        let Some(text) = text else { continue };
        if dice.below(2) == 0 {
            hashes.extend(entry.envelope.blobs.into_iter().map(|blob| blob.sha256));
            erased.insert(text.as_bytes()[..8].to_vec());
        } else {
            kept.insert(text.as_bytes()[..8].to_vec());
        }
    }
    assert!(erased.len() > 400 && kept.len() > 400);
    open.erase(&hashes).expect("erases");
    let there: BTreeSet<Vec<u8>> = files(&other.folder)
        .into_iter()
        .flat_map(|path| fs::read(path).expect("reads").windows(8).map(<[u8]>::to_vec).collect::<Vec<_>>())
        .filter(|it| it[0] == b'<' && it[7] == b'>')
        .collect();
    assert_eq!(there.intersection(&erased).count(), 0);
    assert_eq!(there.intersection(&kept).count(), kept.len());
}

/// Killed between the commit that erases and the scrub: nothing shows it any more, and the next opening finishes.
#[test]
fn an_erasure_that_was_cut_off_is_finished_by_opening() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, _, goes, _) = with_words(folder.path(), 21);
    let needles = needles();
    let mut open = store(&mut phone);
    let blobs = named(&open, goes, &TYPED);
    open.mark_erased(&blobs).expect("erases");
    assert!(open.scrub_due().expect("reads"));
    let crashed = folder.path().join("crashed");
    copied(&phone.folder, &crashed);
    assert!(!holding(&crashed, &needles).is_empty(), "there was something to finish");
    drop(open);

    let reader = Reader::open(text(&crashed)).expect("reads");
    let view = reader.job(goes.to_string(), Locale::EnGb).expect("the job");
    assert_eq!(view.vehicle.plate, None);
    let check = reader.check(None).expect("checks");
    assert!(check.findings.is_empty(), "{:?}", check.findings);
    assert!(check.notes.iter().any(|note| note.found.contains("an erasure is not finished")));
    drop(reader);
    phone.folder = crashed;
    phone.reopen().expect("opens");
    assert_eq!(holding(&phone.folder, &needles), [""; 0]);
    assert!(clean(&phone).is_empty());
    assert_eq!(phone.view(goes).vehicle.plate, None);
}

#[test]
fn only_what_is_named_is_erased() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, two) = with_photos(folder.path(), 22);
    phone.put(one, noted("Fensterrahmen"));
    // The same picture in another job is the same blob.
    attach(&mut phone, two, 0);
    let mut open = store(&mut phone);
    for (blobs, words) in [
        (vec!["00".repeat(32)], "not here: a photo or text"),
        (vec![hash(0), "11".repeat(32)], "not here: a photo or text"),
        (vec![hash(0), "../../lock".to_owned()], "not a SHA-256"),
        (vec![hash(0)[..63].to_owned()], "not a SHA-256"),
    ] {
        refused(open.erase(&blobs), words);
    }
    assert!(shelf(&phone.folder, &hash(0)).exists(), "an error erases nothing");
    let erased = open.erase(&[hash(0), hash(0).to_uppercase()]).expect("erases");
    assert_eq!((erased.erased.as_slice(), erased.already.len()), ([hash(0)].as_slice(), 0));
    assert_eq!(erased.jobs, BTreeSet::from([one, two]), "both jobs that show it are told");
    drop(open);
    phone.reopen().expect("opens");
    assert!(!phone.folder.join("in").join(PICTURES[0]).exists(), "nor where it was taken in from");
    assert!(phone.folder.join("in").join(PICTURES[1]).exists());
    let (erased, here) = (BlobState::Erased, BlobState::Here);
    assert_eq!((states(&phone, one), states(&phone, two)), (vec![erased, here], vec![here, erased]));
    assert_eq!(phone.view(one).marks[0].note.as_deref(), Some("Fensterrahmen"));
    assert!(clean(&phone).is_empty());
}

/// Bytes that were erased do not come in again: not by a joining, not from an archive, not by taking the photo in anew.
#[test]
fn what_was_erased_stays_erased() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, two) = with_photos(folder.path(), 23);
    let mut other = Phone::new(&folder.path().join("other"), 24);
    other.join(&mut phone);
    other.put(one, noted("Heckleuchte"));
    let card = folder.path().join("card");
    phone.open().archive(text(&card), Vec::new()).expect("archives");
    phone.open().release(text(&card), vec![two.to_string()]).expect("releases");
    phone.join(&mut other);
    let mut open = store(&mut phone);
    let mut blobs = named(&open, one, &TYPED);
    blobs.push(hash(2));
    open.erase(&blobs).expect("erases, here or released");
    drop(open);
    phone.reopen().expect("opens");
    let told = phone.open().archive(text(&card), Vec::new()).expect("archives nothing");
    assert_eq!(
        told.erased.iter().collect::<BTreeSet<_>>(),
        (0..3).map(hash).collect::<Vec<_>>().iter().collect()
    );
    assert_eq!(told.copied, 0);
    assert!(shelf(&card, &hash(0)).exists(), "told, not removed");
    assert_eq!(phone.open().bring_back(text(&card), Vec::new()).expect("nothing").brought, 0);
    other.put(one, noted("Rückleuchte"));
    let joined = phone.join(&mut other);
    assert_eq!((joined.blobs, joined.blobs_missing.len()), (1, 0), "only the new note");
    phone.file("again.jpg", &picture(0));
    refused(phone.record(one, photo("again.jpg", None)), "erased");
    fs::remove_file(phone.folder.join("in/again.jpg")).expect("removes");
    let middle = picture(0).len() / 2;
    let needles = [b"Heckleuchte".to_vec(), b"ZZ26 TST".to_vec(), picture(0)[middle..middle + 24].to_vec()];
    let left = holding(&phone.folder, &needles);
    // The other job has the same plate, and keeps it.
    assert!(left.iter().all(|it| it.ends_with("ZZ26 TST")), "{left:?}");
    assert_eq!(states(&phone, one), [BlobState::Erased; 2]);
    assert!(clean(&phone).is_empty());
    // A phone that learns of the job only now gets what is there: nothing.
    let mut third = Phone::new(&folder.path().join("third"), 25);
    third.join(&mut phone);
    assert_eq!(third.view(one).vehicle.plate, None);
    assert!(clean(&third).is_empty());
}
