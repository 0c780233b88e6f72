//! The whole record as one file for a colleague's phone: joining it is joining the folder, it holds nothing that must not
//! leave the phone, and what is no record, or is damaged, is refused with a reason.

use crate::{clean, hash, picture, text, with_photos};
use sidelong_core::api::Reader;
use sidelong_core::error::Error;
use sidelong_core::record::words::{Form, Kept, Locale, MarkKind, Stage};
use sidelong_tests::{Phone, mark};
use std::fs;

/// By file is as by folder: the same jobs, entries and photos, and nothing new the second time.
#[test]
fn by_file_as_by_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut other, one, two) = with_photos(folder.path(), 11);
    other.put(one, mark("roof", MarkKind::Dent, 9_000));
    let pack = folder.path().join("record.sidelong");
    let packed = other.open().pack(text(&pack), true).expect("packs");
    assert_eq!((packed.photos, packed.left_out), (3, 0));
    assert_eq!(packed.bytes, fs::metadata(&pack).expect("a file").len());

    let mut by_file = Phone::new(&folder.path().join("by-file"), 12);
    let mut by_folder = Phone::new(&folder.path().join("by-folder"), 13);
    by_file.begin(Form::Van, Stage::AsFound);
    by_folder.begin(Form::Van, Stage::AsFound);
    let a = by_file.open().join(text(&pack)).expect("joins");
    let b = by_folder.join(&mut other);
    assert_eq!((&a.taken, &a.jobs, a.blobs), (&b.taken, &b.jobs, b.blobs));
    assert_eq!((a.refused.len(), a.forked.len(), a.blobs_missing.len()), (0, 0, 0));
    for job in [one, two] {
        assert_eq!(by_file.view(job), by_folder.view(job));
    }
    for at in 0..3 {
        let kept = by_file.open().picture(hash(at), 4_096).expect("the photo is here");
        assert!(kept.starts_with(&[0xff, 0xd8]), "a JPEG");
    }
    assert_eq!(clean(&by_file), [""; 0]);
    let again = by_file.open().join(text(&pack)).expect("joins again");
    assert_eq!((again.taken.len(), again.blobs), (0, 0), "once is enough");
    assert!(!by_file.folder.join("incoming-record").exists(), "nothing is left lying about");

    // Without the originals their entries come, and the photos are told to be elsewhere.
    let light = folder.path().join("light.sidelong");
    let packed = other.open().pack(text(&light), false).expect("packs");
    assert_eq!(packed.photos, 0);
    let fresh = Phone::new(&folder.path().join("fresh"), 14);
    let joined = fresh.open().join(text(&light)).expect("joins");
    assert_eq!((joined.taken.len(), joined.blobs_missing.len()), (1, 3));
    // The originals come with the whole file later.
    let late = fresh.open().join(text(&pack)).expect("joins");
    assert_eq!((late.taken.len(), late.blobs), (0, 3));

    // Packing needs no seed: who may read the record may hand it on.
    let read = folder.path().join("read.sidelong");
    let place = other.folder.clone();
    drop(other);
    let by_reader = Reader::open(text(&place)).expect("reads").pack(text(&read), true).expect("packs");
    assert_eq!((by_reader.bytes, by_reader.photos), (fs::metadata(&read).expect("a file").len(), 3));
    let from_it = Phone::new(&folder.path().join("from-it"), 15);
    assert_eq!(from_it.open().join(text(&read)).expect("joins").taken, a.taken);
}

/// What was erased is in no packed file, and neither is the key.
#[test]
fn nothing_erased_and_no_key() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, _) = with_photos(folder.path(), 15);
    let mut act = sidelong_tests::described("roof", MarkKind::Dent, 9_000);
    act.note = Some("a sentence that is to go".to_owned());
    phone.put(
        one,
        sidelong_core::record::inputs::Act::RecordMark(sidelong_core::record::inputs::RecordMark {
            walk: None,
            mark: act,
            shown_by: None,
        }),
    );
    let holds = |file: &std::path::Path, what: &[u8]| {
        let bytes = fs::read(file).expect("a file");
        bytes.windows(what.len()).any(|part| part == what)
    };
    let before = folder.path().join("before");
    phone.open().pack(text(&before), true).expect("packs");
    assert!(holds(&before, b"a sentence that is to go"));
    assert!(holds(&before, &picture(0)[2_000..2_040]), "the originals are in it");
    phone
        .open()
        .erase_job(
            one.to_string(),
            vec![Kept::Texts, Kept::OutsidePhotos],
            "asked for".to_owned(),
            Locale::EnGb,
        )
        .expect("erases");
    let after = folder.path().join("after");
    let packed = phone.open().pack(text(&after), true).expect("packs");
    assert_eq!(packed.photos, 1, "the other job's");
    assert!(!holds(&after, b"a sentence that is to go"));
    assert!(!holds(&after, &picture(0)[2_000..2_040]));
    let seed = fs::read_dir(folder.path().join("phone-15")).expect("a folder");
    for file in seed.filter_map(Result::ok).filter(|file| file.file_name().to_string_lossy().contains("seed"))
    {
        assert!(!holds(&after, &fs::read(file.path()).expect("the seed")));
    }
}

/// A file of that name is never written over, and a folder that is not there leaves nothing behind.
#[test]
fn never_over_another_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let (phone, ..) = with_photos(folder.path(), 16);
    let taken = folder.path().join("taken");
    fs::write(&taken, "something of the owner's").expect("written");
    let refused = phone.open().pack(text(&taken), true).expect_err("refused");
    assert!(matches!(refused, Error::NotWritable { .. }), "{refused}");
    assert_eq!(fs::read_to_string(&taken).expect("read"), "something of the owner's");
    phone.open().pack(text(&folder.path().join("nowhere/file")), true).expect_err("no such folder");
    let left: Vec<_> = fs::read_dir(folder.path())
        .expect("a folder")
        .filter_map(Result::ok)
        .filter(|it| it.file_name().to_string_lossy().starts_with(".sidelong"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

/// What is no record, is cut short, or was changed on the way is refused or taken as far as it verifies; nothing of ours
/// is touched, and nothing is left lying about.
#[test]
fn what_is_no_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let (other, ..) = with_photos(folder.path(), 17);
    let pack = folder.path().join("record");
    other.open().pack(text(&pack), true).expect("packs");
    let whole = fs::read(&pack).expect("a file");
    let mut ours = Phone::new(&folder.path().join("ours"), 18);
    let job = ours.begin(Form::Van, Stage::AsFound);
    let before = ours.view(job);
    let file = folder.path().join("given");
    let offer = |bytes: &[u8], ours: &Phone| {
        fs::write(&file, bytes).expect("written");
        let joined = ours.open().join(text(&file));
        assert!(!ours.folder.join("incoming-record").exists(), "nothing is left lying about");
        joined
    };
    for nonsense in
        [&b""[..], b"SQLite", b"PK\x03\x04 a zip of something else", &[0; 4_096], b"SQLite format 3\0"]
    {
        offer(nonsense, &ours).expect_err("no record");
    }
    let mut cut = 0;
    for at in (1..10).map(|tenth| whole.len() * tenth / 10) {
        // A cut file may read far enough to be refused log by log; it never brings an entry that does not verify.
        cut += usize::from(offer(&whole[..at], &ours).is_err());
    }
    assert!(cut > 0, "a cut file is told");
    let mut random = sidelong_tests::Dice(19);
    for _ in 0..60 {
        let mut changed = whole.clone();
        for _ in 0..20 {
            let at = random.below(changed.len());
            changed[at] ^= 1 << random.below(8);
        }
        let _ = offer(&changed, &ours);
    }
    assert_eq!(ours.view(job), before);
    assert_eq!(clean(&ours), [""; 0], "whatever came in verifies");
    let joined = offer(&whole, &ours).expect("joins");
    assert!(joined.refused.is_empty(), "{:?}", joined.refused);
    assert_eq!(clean(&ours), [""; 0]);
}
