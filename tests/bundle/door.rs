//! Bundles of real stores: the same bytes again, chosen parts, what was erased or is elsewhere, forks, heads that others hold.

use crate::made::{Files, sealed_as};
use crate::{failed, fails, holds, said};
use sidelong_core::api::{BundleView, BundleWish};
use sidelong_core::error::Error;
use sidelong_core::log;
use sidelong_core::log::bag::{Disclosed, read_leaves};
use sidelong_core::log::canon::{hex, sha256};
use sidelong_core::log::head::LogKey;
use sidelong_core::log::verify::{Held, Verdict, verify};
use sidelong_core::record::inputs::{Act, CorrectMark, RecordMark, WriteNote};
use sidelong_core::record::views::EntryKind;
use sidelong_core::record::words::{Form, Kept, Locale, MarkKind, Stage};
use sidelong_core::store::open_bag;
use sidelong_tests::{Phone, closing, described, mark, nothing_seen, photo};
use std::fs;
use std::path::Path;
use uuid::Uuid;

fn wish() -> BundleWish {
    BundleWish { only: Vec::new(), heads: Vec::new(), zip: false, locale: Locale::EnGb }
}

/// The files of a folder, in memory.
pub fn files(folder: &Path) -> Files {
    fn walk(folder: &Path, below: &str, found: &mut Files) {
        for entry in fs::read_dir(folder).expect("a folder") {
            let entry = entry.expect("an entry");
            let name = format!("{below}{}", entry.file_name().to_string_lossy());
            if entry.path().is_dir() {
                walk(&entry.path(), &format!("{name}/"), found);
            } else {
                found.insert(name, fs::read(entry.path()).expect("reads"));
            }
        }
    }
    let mut found = Files::new();
    walk(folder, "", &mut found);
    found
}

fn make(phone: &Phone, job: Uuid, out: &Path, wish: BundleWish) -> Result<BundleView, Error> {
    phone.open().bundle(job.to_string(), out.display().to_string(), wish)
}

/// The whole bundle of a job.
pub fn bundled(phone: &Phone, job: Uuid, out: &Path) -> Files {
    make(phone, job, out, wish()).expect("a bundle");
    files(out)
}

/// A small picture of one colour.
fn picture(shade: u8) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_pixel(16, 12, image::Rgb([shade, 90, 40]));
    picture.write_to(&mut bytes, image::ImageFormat::Jpeg).expect("encodes");
    bytes.into_inner()
}

fn attach(phone: &mut Phone, job: Uuid, shade: u8, mark: Option<Uuid>) -> String {
    let bytes = picture(shade);
    phone.file("photo.jpg", &bytes);
    phone.put(job, photo("photo.jpg", mark));
    hex(&sha256(&bytes))
}

/// A short job of one phone, closed, with a photo.
pub fn small(folder: &Path) -> (Phone, Uuid) {
    let mut phone = Phone::new(&folder.join("phone"), 50);
    phone.open().switch_recorder("First Detailer".to_owned()).expect("a recorder");
    let other = phone.begin(Form::Van, Stage::AsFound);
    phone.put(other, nothing_seen("roof"));
    let job = phone.begin(Form::Motorcycle, Stage::AsFound);
    attach(&mut phone, job, 1, None);
    phone.put(job, closing());
    phone.put(other, nothing_seen("bonnet"));
    (phone, job)
}

/// Two phones, two photos, a mark with a note that looks like markup, a correction.
fn two_phones(folder: &Path) -> (Phone, Phone, Uuid, Uuid, [String; 2]) {
    let mut one = Phone::new(&folder.join("one"), 51);
    one.open().switch_recorder("First Detailer".to_owned()).expect("a recorder");
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    let mut worded = described("roof", MarkKind::Scratch, 12_000);
    worded.note = Some("<script>alert(1)</script>\u{202e}".to_owned());
    let input = one.input(job, Act::RecordMark(RecordMark { walk: None, mark: worded, shown_by: None }));
    let named = input.input;
    one.open().record(input).expect("a mark");
    let first = attach(&mut one, job, 10, Some(named));
    let becomes = described("roof", MarkKind::Scratch, 15_000);
    one.put(job, Act::CorrectMark(CorrectMark { mark: named, becomes, reason: "measured again".to_owned() }));
    let mut two = Phone::new(&folder.join("two"), 52);
    two.join(&mut one);
    two.put(job, mark("bonnet", MarkKind::Dent, 8_000));
    let second = attach(&mut two, job, 20, None);
    one.join(&mut two);
    one.put(job, closing());
    (one, two, job, named, [first, second])
}

#[test]
fn the_same_again_gives_the_same_bytes_and_all_of_it_holds() {
    let folder = tempfile::tempdir().expect("a folder");
    let (one, two, job, _, photos) = two_phones(folder.path());
    let at = |name: &str| folder.path().join(name);
    let first = bundled(&one, job, &at("a"));
    let report = said(&first);
    holds(
        &report,
        &[
            "bag.manifest",
            "bag.unlisted",
            "bag.meaning",
            "statement.signature",
            "statement.signer",
            "log.checkpoint",
            "log.leaves",
            "log.inclusion",
            "log.fork",
            "log.consistency",
            "event.canonical",
            "event.place",
            "blob.hash",
            "job.complete",
        ],
    );
    for code in ["clock.device", "scene.genuine", "operator.identity", "capture.not_before", "witness"] {
        assert_eq!(report.verdict(code), Some(Verdict::NotProven), "{code}");
    }
    assert_eq!((report.logs.len(), report.counts.withheld, report.whole), (2, 0, Some(true)));
    assert_eq!(report.logs.iter().map(|log| log.entries).sum::<u64>(), report.counts.entries);
    photos.iter().for_each(|sha256| assert!(first.contains_key(&format!("data/blobs/{sha256}"))));
    let page = String::from_utf8(first["data/report.html"].clone()).expect("text");
    assert!(page.contains("&lt;script&gt;") && !page.contains("<script>alert"));
    assert_eq!(page.matches("<script").count(), 3, "what it checks itself with, and no other");
    assert_eq!(page.matches("</script>").count(), 3);

    assert_eq!(bundled(&one, job, &at("b")), first, "the same again");
    let zipped = |name: &str| {
        make(&one, job, &at(name), BundleWish { zip: true, ..wish() }).expect("a zip");
        fs::read(at(name)).expect("reads")
    };
    assert_eq!(zipped("a.zip"), zipped("another-name.zip"));
    let from_zip = verify(&open_bag(&at("a.zip")).expect("opens"), &Held::default());
    assert_eq!(from_zip, Ok(report.clone()), "a zip says what the folder says");
    assert_eq!(verify(&open_bag(&at("a")).expect("opens"), &Held::default()), Ok(report));

    // What a closing would commit now is what a bundle lists.
    let (mut one, mut lists) = (one, std::collections::BTreeMap::new());
    one.close();
    let store = sidelong_core::store::Store::open_to_read(&one.folder).expect("opens");
    for counted in store.counted(job).expect("counts") {
        let list = &first[&format!("data/log/{}/leaves.txt", counted.log.replace('/', "-"))];
        let leaves = sidelong_core::log::bag::read_leaves(list).expect("a list");
        let root = sidelong_core::log::bag::root_of(leaves.iter().map(|(_, hash)| *hash));
        assert_eq!((counted.count, Some(counted.root)), (leaves.len() as u64, root));
        lists.insert(counted.log, counted.count);
    }
    assert_eq!(lists.values().sum::<u64>(), said(&first).counts.entries);
    drop(store);
    one.reopen().expect("opens");

    // The other phone does not know of the closing yet: another size of the logs, another signer.
    let other = said(&bundled(&two, job, &at("c")));
    holds(&other, &["log.inclusion", "statement.signer"]);
    assert_eq!(other.verdict("log.consistency"), Some(Verdict::NotProven));

    let before = files(&at("a"));
    for taken in ["a", "a.zip"] {
        assert!(matches!(make(&one, job, &at(taken), wish()), Err(Error::NotWritable { .. })));
    }
    assert_eq!(files(&at("a")), before);
    let inside = one.folder.join("out");
    assert!(matches!(make(&one, job, &inside, wish()), Err(Error::Refused { .. })));
    assert!(matches!(make(&one, Uuid::from_u128(5), &at("d"), wish()), Err(Error::NotFound { .. })));
    assert!(make(&one, job, &at("none").join("e"), wish()).is_err());
    let left: Vec<String> = fs::read_dir(folder.path())
        .expect("a folder")
        .map(|it| it.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| name.starts_with('.'))
        .collect();
    assert_eq!(left, [""; 0], "no drafts are left behind");
}

/// The key with which a phone signs, for lies that its own holder could tell.
pub fn key_of(phone: &Phone) -> LogKey {
    let seed = phone.platform.vault.load().expect("a vault").expect("a seed");
    LogKey::from_seed(&seed.try_into().expect("32 bytes"), false)
}

/// What a closing commits of a real record: all of it is there, nothing of it can be left out, not even by whoever signs,
/// and what was added afterwards is told.
#[test]
fn a_closing_commits_every_entry_before_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, _, job, ..) = two_phones(folder.path());
    let files = bundled(&one, job, &folder.path().join("whole"));
    let complete = |files: &Files| {
        let report = said(files);
        let claim = report.claims.into_iter().find(|claim| claim.code == "job.complete").expect("told");
        (claim.verdict, claim.text)
    };
    let entries = said(&files).counts.entries;
    let (verdict, text) = complete(&files);
    assert_eq!(verdict, Verdict::Pass, "{text}");
    assert!(text.contains(&format!("counts {} entries", entries - 1)), "{text}");
    assert!(text.contains("1 were added with it or later"), "{text}");
    let view = one.view(job);
    let ends = view.visit.iter().filter(|it| it.kind == EntryKind::Closing).collect::<Vec<_>>();
    let [end] = ends.as_slice() else { panic!("{ends:?}") };
    let sentence = format!(
        "this closing commits {} entries of 2 phones; leaving one of them out later, or changing it, would show",
        entries - 1
    );
    assert_eq!(end.lines, [sentence], "no look was made: nothing is said of what could be seen");

    // Any entry before the closing, taken out of the lists by the signer.
    let key = key_of(&one);
    let mut left_out = 0;
    for (path, list) in files.iter().filter(|(path, _)| path.ends_with("/leaves.txt")) {
        let leaves = read_leaves(list).expect("a list");
        let last = if path.contains(&key.name().replace('/', "-")) { leaves.len() - 1 } else { leaves.len() };
        for (seq, _) in &leaves[..last] {
            let mut other = files.clone();
            let kept: Vec<_> = leaves.iter().filter(|(it, _)| it != seq).copied().collect();
            other.insert(path.clone(), log::bag::leaves(&kept).into_bytes());
            let place = path.replace("leaves.txt", &seq.to_string());
            other
                .retain(|name, _| *name != format!("{place}.json") && *name != format!("{place}.tlog-proof"));
            let report = said(&sealed_as(job, other, &key, Disclosed::Whole));
            fails(&report, "job.complete", "the bundle lists others");
            left_out += 1;
        }
    }
    assert_eq!(left_out, entries - 1);

    // What is said of the visit afterwards is not denied.
    one.put(job, Act::WriteNote(WriteNote { panel: None, entry: None, text: "called the owner".to_owned() }));
    let (verdict, text) = complete(&bundled(&one, job, &folder.path().join("later")));
    assert_eq!(verdict, Verdict::Pass, "{text}");
    assert!(text.contains("2 were added with it or later"), "{text}");
}

#[test]
fn chosen_parts_are_shown_and_the_others_counted() {
    let folder = tempfile::tempdir().expect("a folder");
    let (one, _, job, named, photos) = two_phones(folder.path());
    let all = said(&bundled(&one, job, &folder.path().join("all"))).counts.entries;
    let only = |name: &str, only: &[&str]| {
        let only = only.iter().map(|it| (*it).to_owned()).collect();
        let out = folder.path().join(name);
        make(&one, job, &out, BundleWish { only, ..wish() }).map(|view| (view, files(&out)))
    };
    // The photo alone: its entry, and not the entry's note; no page, no names.
    let (view, files) = only("photo", &[&photos[1]]).expect("a bundle");
    let report = said(&files);
    holds(&report, &["bag.manifest", "log.inclusion", "blob.hash", "statement.signature"]);
    assert_eq!((report.counts.entries, report.counts.shown, report.counts.withheld), (all, 1, all - 1));
    assert_eq!((view.entries, view.withheld, view.blobs), (all, all - 1, 1));
    assert_eq!(report.whole, Some(false));
    assert_eq!(report.verdict("job.complete"), Some(Verdict::NotProven));
    assert!(!files.contains_key("data/report.html"));
    let blobs: Vec<&String> = files.keys().filter(|path| path.starts_with("data/blobs/")).collect();
    assert_eq!(blobs, [&format!("data/blobs/{}", photos[1])]);
    let inside = |words: &str| {
        let found =
            files.values().any(|bytes| bytes.windows(words.len()).any(|some| some == words.as_bytes()));
        assert!(!found, "{words}");
    };
    ["ZZ26", "First Detailer", "measured again", "script"].iter().for_each(|words| inside(words));

    // A mark comes with its photo and its correction.
    let (_, files) = only("mark", &[&named.to_string()]).expect("a bundle");
    let report = said(&files);
    holds(&report, &["log.inclusion", "blob.hash"]);
    assert_eq!(report.counts.shown, 3, "recorded, photographed, corrected");
    assert!(files.contains_key(&format!("data/blobs/{}", photos[0])));

    for (off, words) in [
        ("nothing", "neither the id"),
        ("0197ffff-0000-7000-8000-000000000000", "nothing of this job"),
        (&"00".repeat(32), "nothing of this job"),
    ] {
        let why = only("off", &[&photos[1], off]).expect_err("refused").to_string();
        assert!(why.starts_with("only:") && why.contains(words), "{why}");
        assert!(!folder.path().join("off").exists());
    }
}

#[test]
fn what_is_erased_elsewhere_or_damaged_is_said_to_be() {
    let folder = tempfile::tempdir().expect("a folder");
    let (one, _, job, _, photos) = two_phones(folder.path());
    let card = folder.path().join("card").display().to_string();
    one.open().archive(card.clone(), Vec::new()).expect("archives");
    let shelf = |sha256: &str| one.folder.join("photos").join(&sha256[..2]).join(sha256);
    fs::write(shelf(&photos[0]), b"gone bad").expect("writes");
    let out = folder.path().join("damaged");
    let view = make(&one, job, &out, wish()).expect("a bundle all the same");
    assert_eq!((view.findings.len(), view.blobs_elsewhere), (1, 1));
    assert!(view.findings[0].place.contains(&photos[0]));
    holds(&said(&files(&out)), &["blob.hash"]);

    fs::write(shelf(&photos[0]), picture(10)).expect("mends");
    one.open().release(card, Vec::new()).expect("releases");
    let released = said(&bundled(&one, job, &folder.path().join("released")));
    holds(&released, &["blob.hash"]);
    assert_eq!(released.counts.blobs_elsewhere, 2);
    assert!(
        released
            .claims
            .iter()
            .any(|claim| claim.code == "blob.hash" && claim.text.contains("2 are not here"))
    );

    let kinds = vec![Kept::Texts, Kept::OutsidePhotos];
    let texts = one.open().erase_job(job.to_string(), kinds, "asked by the owner".to_owned(), Locale::EnGb);
    assert!(texts.is_ok(), "{texts:?}");
    let files = bundled(&one, job, &folder.path().join("erased"));
    let erased = said(&files);
    assert_eq!(failed(&erased), []);
    assert!(erased.counts.blobs_erased >= 3, "{:?}", erased.counts);
    let table = String::from_utf8(files["data/blobs.txt"].clone()).expect("text");
    assert_eq!(table.matches(" erased\n").count() as u64, erased.counts.blobs_erased, "hash and length stay");
    assert!(!files.values().any(|bytes| bytes.windows(4).any(|some| some == b"ZZ26")));
}

/// A phone that was restored from a copy and went on twice has two histories.
#[test]
fn two_histories_of_one_log_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, mut two, job, ..) = two_phones(folder.path());
    one.close();
    let copy = folder.path().join("copy");
    fs::create_dir(&copy).expect("a folder");
    for name in ["sidelong.db", "head.mirror"] {
        fs::copy(one.folder.join(name), copy.join(name)).expect("copies");
    }
    one.reopen().expect("opens");
    one.begin(Form::Van, Stage::AsFound);
    let mut twin = Phone::new(&folder.path().join("twin"), 53);
    twin.close();
    twin.folder = copy;
    twin.platform = one.platform.clone();
    twin.reopen().expect("opens");
    twin.begin(Form::Suv, Stage::AsFound);
    two.join(&mut one);
    two.join(&mut twin);
    let report = said(&bundled(&two, job, &folder.path().join("out")));
    fails(&report, "log.fork", "two different histories");
    assert_eq!(failed(&report).len(), 1, "each history holds by itself: {:?}", failed(&report));
    assert_eq!(report.logs.len(), 3);
}

/// A head that somebody was given is proved to be a beginning, or told not to be; one that is newer is not judged.
#[test]
fn a_head_that_somebody_holds_is_looked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, _, job, ..) = two_phones(folder.path());
    let key = one.open().log_name().expect("a name").replace('/', "-");
    let head = |files: &Files| files[&format!("data/log/{key}/checkpoint")].clone();
    let early = bundled(&one, job, &folder.path().join("early"));
    one.begin(Form::Van, Stage::AsFound);
    let later = bundled(&one, job, &folder.path().join("later"));
    let held = |files: &Files, head: Vec<u8>| {
        let held = Held { heads: &[head], ..Held::default() };
        verify(files, &held).expect("reads").verdict("log.held")
    };
    assert_eq!(held(&later, head(&later)), Some(Verdict::Pass), "the same head");
    assert_eq!(held(&early, head(&later)), Some(Verdict::NotProven), "the bundle is older");
    assert_eq!(held(&later, head(&early)), Some(Verdict::NotProven), "made without it");
    let out = folder.path().join("with");
    make(&one, job, &out, BundleWish { heads: vec![head(&early)], ..wish() }).expect("a bundle");
    let with = files(&out);
    holds(&said(&with), &["bag.meaning"]);
    assert_eq!(held(&with, head(&early)), Some(Verdict::Pass));
    assert_eq!(held(&with, b"no head".to_vec()), Some(Verdict::NotProven));
    let off =
        make(&one, job, &folder.path().join("off"), BundleWish { heads: vec![b"x".to_vec()], ..wish() });
    assert!(matches!(off, Err(Error::Refused { field, .. }) if field == "heads[0]"));
    let again = said(&bundled(&one, job, &folder.path().join("again")));
    assert!(!again.unproven(&["log.held".to_owned(), "no.such.claim".to_owned()]).is_empty());
}
