//! Every byte of every file of a bundle is changed once, and every file taken away, cut, lengthened, renamed and exchanged:
//! never is it said that nothing failed.

use crate::door::{bundled, small};
use crate::made::{Files, sealed, two_phones};
use crate::{holds, said};
use sidelong_core::log::bag::{Disclosed, GUIDE, PAGE};
use sidelong_core::log::verify::{Held, Source, Unread, verify};
use sidelong_core::log::zip::{Reader, Writer};
use sidelong_core::record::words::{Form, Stage};
use sidelong_core::store::open_bag;
use sidelong_tests::{Dice, Phone, photo};
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A bundle with one byte changed.
struct Flipped<'a> {
    files: &'a Files,
    path: &'a str,
    at: usize,
}

impl Source for Flipped<'_> {
    fn files(&self) -> Vec<(String, u64)> {
        self.files.files()
    }

    fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
        if path != self.path {
            return self.files.read(path, sink);
        }
        let bytes = &self.files[path];
        sink(&bytes[..self.at]);
        sink(&[bytes[self.at] ^ (1 << (self.at % 8))]);
        sink(&bytes[self.at + 1..]);
        Ok(())
    }
}

fn is_told(source: &impl Source) -> bool {
    verify(source, &Held::default()).map_or(true, |report| report.failed())
}

#[test]
fn no_byte_of_a_bundle_can_be_changed() {
    let folder = tempfile::tempdir().expect("a folder");
    let (phone, job) = small(folder.path());
    let files = bundled(&phone, job, &folder.path().join("out"));
    holds(
        &said(&files),
        &["bag.manifest", "statement.signature", "log.inclusion", "blob.hash", "log.consistency"],
    );
    let places: Vec<(&str, usize)> =
        files.iter().flat_map(|(path, bytes)| (0..bytes.len()).map(move |at| (path.as_str(), at))).collect();
    assert!((10_000..=200_000).contains(&places.len()), "{} bytes", places.len());
    for_all(&places, |(path, at)| {
        assert!(is_told(&Flipped { files: &files, path, at: *at }), "{path}, byte {at}");
    });
}

/// Photos of 300 kB together.
const LARGE: [&str; 4] = [
    "van-arrival-overall-rear-right.jpg",
    "van-arrival-overall-left-side.jpg",
    "van-arrival-rear-left-door-close.jpg",
    "van-arrival-rear-left-door-middle.jpg",
];

/// In a bundle of photos too large for every byte: 20,000 places by chance, of the photos as many as their bytes are of the whole.
#[test]
fn no_byte_of_a_large_bundle_can_be_changed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("phone"), 53);
    let job = phone.begin(Form::Van, Stage::AsFound);
    let photos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/photos");
    for file in LARGE {
        phone.file(file, &std::fs::read(photos.join(file)).expect("a photo"));
        phone.put(job, photo(file, None));
    }
    let files = bundled(&phone, job, &folder.path().join("out"));
    holds(&said(&files), &["bag.manifest", "blob.hash"]);
    let (mut from, mut starts) = (0, Vec::new());
    for (path, bytes) in files.iter().filter(|(_, bytes)| !bytes.is_empty()) {
        starts.push((from, path.as_str()));
        from += bytes.len();
    }
    assert!(from > 250_000, "{from} bytes");
    let mut dice = Dice(20_000);
    let places: Vec<(&str, usize)> = (0..20_000)
        .map(|_| {
            let place = dice.below(from);
            let (start, path) = starts[starts.partition_point(|(start, _)| *start <= place) - 1];
            (path, place - start)
        })
        .collect();
    for_all(&places, |(path, at)| {
        assert!(is_told(&Flipped { files: &files, path, at: *at }), "{path}, byte {at}");
    });
}

/// Does something for each of many, on all processors.
fn for_all<T: Sync>(all: &[T], act: impl Fn(&T) + Sync) {
    let next = AtomicUsize::new(0);
    let work = || {
        while let Some(one) = all.get(next.fetch_add(1, Ordering::Relaxed)) {
            act(one);
        }
    };
    std::thread::scope(|scope| {
        (0..std::thread::available_parallelism().map_or(1, usize::from)).for_each(|_| _ = scope.spawn(work));
    });
}

/// Whoever has the key may list and sign what he likes: entries, proofs, heads, keys and photos still fit each other, or do
/// not. Only of the page and the guide nothing but the signer's word is there.
#[test]
fn no_byte_can_be_changed_and_signed_anew() {
    let (one, _, files) = two_phones();
    let places: Vec<(&String, usize)> = files
        .iter()
        .filter(|(path, _)| path.starts_with("data/") && !matches!(path.as_str(), PAGE | GUIDE))
        .flat_map(|(path, bytes)| (0..bytes.len()).map(move |at| (path, at)))
        .collect();
    assert!(places.len() > 5_000, "{} bytes", places.len());
    for_all(&places, |(path, at)| {
        let mut other = files.clone();
        other.get_mut(*path).expect("it")[*at] ^= 1 << (at % 8);
        assert!(is_told(&sealed(other, &one.key, Disclosed::Whole)), "{path}, byte {at}");
    });
}

#[test]
fn no_file_can_be_taken_away_cut_renamed_or_exchanged() {
    let (_, _, files) = two_phones();
    holds(&said(&files), &["bag.manifest", "bag.unlisted", "bag.meaning", "job.complete", "log.consistency"]);
    let changed = |act: &dyn Fn(&mut Files)| {
        let mut other = files.clone();
        act(&mut other);
        assert_ne!(other, files);
        is_told(&other)
    };
    for (path, bytes) in &files {
        assert!(changed(&|all| _ = all.remove(path)), "without {path}");
        assert!(changed(&|all| _ = all.get_mut(path).expect("it").pop()), "{path} cut");
        assert!(changed(&|all| all.get_mut(path).expect("it").push(b'\n')), "{path} lengthened");
        assert!(changed(&|all| _ = all.insert(path.clone(), Vec::new())), "{path} emptied");
        let doubled = [bytes.as_slice(), bytes].concat();
        assert!(changed(&|all| _ = all.insert(path.clone(), doubled.clone())), "{path} doubled");
        let renamed = |all: &mut Files| {
            let bytes = all.remove(path).expect("it");
            all.insert(format!("{path}x"), bytes);
        };
        assert!(changed(&renamed), "{path} renamed");
        for (other, others) in files.iter().filter(|(other, it)| *other > path && *it != bytes) {
            let exchange = |all: &mut Files| {
                all.insert(path.clone(), others.clone());
                all.insert(other.clone(), bytes.clone());
            };
            assert!(changed(&exchange), "{path} and {other} exchanged");
        }
    }
    for path in
        ["x", "data/x", "data/blobs/x", "data/.hidden", "a/b/c", "data/keys/x.vkey", "\u{1b}[2J", ".DS_Store"]
    {
        assert!(changed(&|all| _ = all.insert(path.to_owned(), Vec::new())), "with {path}");
    }
}

/// A zip's file, read from memory.
struct Zipped(Reader<Cursor<Vec<u8>>>);

impl Source for Zipped {
    fn files(&self) -> Vec<(String, u64)> {
        self.0.files().map(|(name, len)| (name.trim_start_matches("bag/").to_owned(), len)).collect()
    }

    fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
        self.0.read(&format!("bag/{path}"), sink).map_err(|why| Unread::Changed(why.to_string()))
    }
}

#[test]
fn no_byte_of_a_zip_can_be_changed() {
    let (_, _, files) = two_phones();
    let mut zip = Writer::new(Vec::new());
    files.iter().for_each(|(path, bytes)| zip.add(&format!("bag/{path}"), bytes).expect("adds"));
    let zip = zip.finish().expect("ends");
    let open = |zip: Vec<u8>| Reader::open(Cursor::new(zip), 1_000).map(Zipped);
    let whole = verify(&open(zip.clone()).expect("opens"), &Held::default()).expect("reads");
    holds(&whole, &["bag.manifest"]);
    for at in 0..zip.len() {
        let mut other = zip.clone();
        other[at] ^= 1 << (at % 8);
        assert!(open(other).map_or(true, |it| is_told(&it)), "byte {at}");
    }
}

/// A bundle that was handed out once is read for ever. The file is written where it is missing and `UPDATE_FIXTURES` is set.
#[test]
fn bundles_of_every_form_are_still_read() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/bundles/1.zip");
    if !path.exists() && std::env::var_os("UPDATE_FIXTURES").is_some() {
        let (_, _, files) = two_phones();
        let mut zip = Writer::new(Vec::new());
        files.iter().for_each(|(path, bytes)| zip.add(&format!("bag/{path}"), bytes).expect("adds"));
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("makes");
        std::fs::write(&path, zip.finish().expect("ends")).expect("writes");
    }
    let report = verify(&open_bag(&path).expect("opens"), &Held::default()).expect("reads");
    holds(
        &report,
        &[
            "bag.meaning",
            "statement.signature",
            "log.inclusion",
            "log.consistency",
            "blob.hash",
            "job.complete",
        ],
    );
    assert_eq!((report.counts.entries, report.counts.blobs), (5, 3));
}

/// What is handed on in other pieces is the same bundle.
#[test]
fn pieces_do_not_matter() {
    struct Pieces(BTreeMap<String, Vec<u8>>);
    impl Source for Pieces {
        fn files(&self) -> Vec<(String, u64)> {
            self.0.files()
        }
        fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
            self.0[path].chunks(7).for_each(sink);
            Ok(())
        }
    }
    let (_, _, files) = two_phones();
    assert_eq!(verify(&Pieces(files.clone()), &Held::default()), Ok(said(&files)));
}
