//! What a stranger may hand in: names, links, lengths, counts, keys and notes that are meant to do harm. It is told or
//! refused, soon, and nothing is written.

use crate::made::{Files, JOB, Log, bundle, here, sealed, two_phones};
use crate::{failed, fails, holds, said};
use serde_json::json;
use sidelong_core::log::bag::{Disclosed, Statement, manifest};
use sidelong_core::log::canon::{hex, sha256, unhex};
use sidelong_core::log::head;
use sidelong_core::log::verify::{Held, MOST_FILES, Source, Unread, Unreadable, verify};
use sidelong_core::log::zip::Writer;
use sidelong_core::store::open_bag;
use std::fs;
use std::path::Path;

fn refused(files: &impl Source, words: &str) {
    let why = verify(files, &Held::default()).expect_err("unreadable");
    assert!(why.0.contains(words), "{why}");
}

fn not_opened(path: &Path, words: &str) {
    let why: Unreadable = open_bag(path).expect_err("not opened");
    assert!(why.0.contains(words), "{why}");
}

fn lay_out(files: &Files, folder: &Path) {
    for (path, bytes) in files {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("makes");
        fs::write(path, bytes).expect("writes");
    }
}

#[test]
fn what_is_no_bundle_is_said_to_be_none() {
    refused(&Files::new(), "this is no bundle");
    let (_, _, files) = two_phones();
    for name in ["bagit.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt"] {
        let mut other = files.clone();
        other.remove(name);
        refused(&other, "this is no bundle");
    }
    let folder = tempfile::tempdir().expect("a folder");
    not_opened(&folder.path().join("none"), "No such file");
    refused(&open_bag(folder.path()).expect("a folder opens"), "this is no bundle");
    for (name, bytes) in [("empty", Vec::new()), ("text", b"no zip".to_vec()), ("zeros", vec![0; 100_000])] {
        let path = folder.path().join(name);
        fs::write(&path, bytes).expect("writes");
        not_opened(&path, "not a zip in the form that a bundle has");
    }
    not_opened(Path::new("/dev/null"), "neither a folder nor a file");
}

#[test]
fn a_hundred_thousand_files_are_too_many() {
    let (one, _, mut files) = two_phones();
    let many: Vec<(String, [u8; 32])> = (0..100_000).map(|n| (format!("data/x{n:06}"), [0; 32])).collect();
    let mut listed = files.clone();
    listed.insert("manifest-sha256.txt".to_owned(), manifest(&many).into_bytes());
    let report = said(&listed);
    fails(&report, "bag.manifest", "listed and missing");
    assert!(failed(&report).len() < 60, "a few are told, the others counted");
    files.extend((0..100_000).map(|n| (format!("data/x{n:06}"), Vec::new())));
    refused(&sealed(files, &one.key, Disclosed::Whole), "more than 50000 files");

    let folder = tempfile::tempdir().expect("a folder");
    let mut zip = Writer::new(Vec::new());
    (0..=MOST_FILES).for_each(|n| zip.add(&format!("bag/{n}"), b"").expect("adds"));
    fs::write(folder.path().join("many.zip"), zip.finish().expect("ends")).expect("writes");
    not_opened(&folder.path().join("many.zip"), "more than 50000 files");
}

#[cfg(unix)]
#[test]
fn links_and_strange_names_are_not_followed() {
    use std::os::unix::ffi::OsStrExt as _;
    let (_, _, files) = two_phones();
    let folder = tempfile::tempdir().expect("a folder");
    let secret = folder.path().join("secret");
    fs::write(&secret, b"first photo").expect("writes");
    let photo = format!("data/blobs/{}", hex(&sha256(b"first photo")));
    let at = |name: &str| {
        let at = folder.path().join(name);
        lay_out(&files, &at);
        at
    };
    let linked = at("linked");
    fs::remove_file(linked.join(&photo)).expect("removes");
    std::os::unix::fs::symlink(&secret, linked.join(&photo)).expect("links");
    not_opened(&linked, "a link or a device");
    let round = at("round");
    std::os::unix::fs::symlink(&round, round.join("data/again")).expect("links");
    not_opened(&round, "a link or a device");
    let named = at("named");
    fs::write(named.join(std::ffi::OsStr::from_bytes(b"data/\xff\xfe")), b"x").expect("writes");
    not_opened(&named, "not UTF-8");
    let deep = at("deep");
    fs::create_dir_all(deep.join("a/".repeat(200))).expect("makes");
    holds(&verify(&open_bag(&deep).expect("opens"), &Held::default()).expect("reads"), &["bag.unlisted"]);
    let whole = at("whole");
    let report = verify(&open_bag(&whole).expect("opens"), &Held::default()).expect("reads");
    holds(&report, &["bag.manifest", "job.complete"]);
    // A terminal is not moved by a name.
    fs::write(whole.join("\u{1b}[2J\u{202e}"), b"x").expect("writes");
    let report = verify(&open_bag(&whole).expect("opens"), &Held::default()).expect("reads");
    fails(&report, "bag.unlisted", "\\u{1b}[2J\\u{202e} is not listed");
}

#[test]
fn paths_that_lead_elsewhere_are_not_read() {
    let (_, _, files) = two_phones();
    for path in ["../secret", "data/../../secret", "/etc/passwd", "data/./x", "data//x", "data\\x"] {
        let mut other = files.clone();
        other.insert(path.to_owned(), b"x".to_vec());
        fails(&said(&other), "bag.unlisted", "is not listed");
        // Listed and signed by whoever made it, it is still no path of a bundle.
        let mut list: Vec<(String, [u8; 32])> = vec![(path.to_owned(), sha256(b"x"))];
        list.extend(
            files.iter().filter(|(it, _)| it.starts_with("data/")).map(|(it, b)| (it.clone(), sha256(b))),
        );
        other.insert("manifest-sha256.txt".to_owned(), manifest(&list).into_bytes());
        fails(&said(&other), "bag.manifest", "a path that no bundle has");
    }
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("up.zip");
    for name in ["../bagit.txt", "bag/../../bagit.txt", "/bagit.txt"] {
        let mut zip = Writer::new(Vec::new());
        files.iter().for_each(|(path, bytes)| zip.add(&format!("bag/{path}"), bytes).expect("adds"));
        zip.add(name, b"x").expect("adds");
        fs::write(&path, zip.finish().expect("ends")).expect("writes");
        let told = open_bag(&path).and_then(|bag| verify(&bag, &Held::default()));
        assert!(told.is_err() || told.is_ok_and(|report| report.failed()), "{name}");
    }
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1, "nothing was written");
}

/// A source that says one length and hands out another, never the same twice.
#[test]
fn a_source_that_lies_is_not_believed() {
    struct Liar(Files, std::cell::Cell<u8>);
    impl Source for Liar {
        fn files(&self) -> Vec<(String, u64)> {
            self.0.keys().map(|path| (path.clone(), u64::MAX)).collect()
        }
        fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
            self.1.set(self.1.get().wrapping_add(1));
            sink(&self.0[path]);
            if path.ends_with(".json") {
                sink(&[self.1.get()]);
            }
            Ok(())
        }
    }
    let (_, _, files) = two_phones();
    let report = verify(&Liar(files.clone(), std::cell::Cell::new(0)), &Held::default()).expect("reads");
    fails(&report, "bag.manifest", "is not what was listed");
    struct Twice(Files);
    impl Source for Twice {
        fn files(&self) -> Vec<(String, u64)> {
            self.0.files().into_iter().flat_map(|file| [file.clone(), file]).collect()
        }
        fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
            self.0.read(path, sink)
        }
    }
    refused(&Twice(files.clone()), "two files of one name");
    struct Broken(Files);
    impl Source for Broken {
        fn files(&self) -> Vec<(String, u64)> {
            self.0.files()
        }
        fn read(&self, path: &str, sink: &mut dyn FnMut(&[u8])) -> Result<(), Unread> {
            if path.starts_with("data/blobs/") {
                return Err(Unread::Broken("the card is out".to_owned()));
            }
            self.0.read(path, sink)
        }
    }
    refused(&Broken(files), "the card is out");
}

#[test]
fn texts_without_end_are_refused() {
    let (one, _, files) = two_phones();
    let mut long = files.clone();
    long.insert("statement.txt".to_owned(), vec![b'a'; 70_000]);
    refused(&long, "statement.txt is longer");
    let mut long = files.clone();
    long.insert("manifest-sha256.txt".to_owned(), vec![b'a'; 17 << 20]);
    refused(&long, "manifest-sha256.txt is longer");
    let mut long = files.clone();
    long.insert("bagit.txt".to_owned(), vec![b'a'; 2_000]);
    refused(&long, "bagit.txt is longer");
    // A head with more signatures than anybody reads, and one without an end.
    let path = format!("{}checkpoint", one.folder());
    let head = String::from_utf8(files[&path].clone()).expect("text");
    let line = head.lines().last().expect("a signature").to_owned();
    for note in
        [format!("{head}{}", format!("{line}\n").repeat(200)), format!("{head}{}", "x".repeat(2_000_000))]
    {
        let mut other = files.clone();
        other.insert(path.clone(), note.into_bytes());
        fails(&said(&sealed(other, &one.key, Disclosed::Whole)), "log.checkpoint", "not a signed note");
    }
    // Everything that is held at a time has an end too.
    let mut heavy = files;
    (0..3).for_each(|n| _ = heavy.insert(format!("data/x{n}"), vec![b'x'; 30 << 20]));
    refused(&sealed(heavy, &one.key, Disclosed::Whole), "bytes beside photos");
}

#[test]
fn events_that_are_none_are_told() {
    for (leaf, code, words) in [
        (b"{\"a\":1,\"a\":2}".to_vec(), "event.canonical", "canonical form"),
        (b"\xff\xfe".to_vec(), "event.canonical", "not JSON"),
        (vec![b'['; 60_000], "event.canonical", "not JSON"),
        (b"{}".to_vec(), "event.canonical", "not an entry"),
        (b"{\"a\":1.5}".to_vec(), "event.canonical", "not an integer"),
        (vec![b' '; 70_000], "event.canonical", "longer than"),
    ] {
        let mut log = Log::new(3);
        log.add("job.opened", json!({}), &[]);
        let good = log.part(|_| true, &[]);
        log.leaves.push(leaf);
        let mut part = log.part(|_| true, &[]);
        let mut other = part.entries[0].clone();
        (other.seq, other.event) = (1, Some(log.leaves[1].clone()));
        other.leaf = sidelong_core::log::tree::leaf(&log.leaves[1]);
        other.proof = vec![sidelong_core::log::tree::leaf(&log.leaves[0])];
        part.entries.push(other);
        holds(&said(&bundle(vec![good], &[], &log.key, Disclosed::Whole)), &["event.canonical"]);
        let report = said(&bundle(vec![part], &[], &log.key, Disclosed::Chosen));
        fails(&report, code, words);
        assert_eq!(failed(&report).len(), 1, "it is in the log, and no entry: {:?}", failed(&report));
    }
}

/// For a key of small order anybody can make a signature. Everything else of this bundle fits: only the key is refused.
/// The encodings are those of Chalkias, Garillot, Nikolaenko: "Taming the many EdDSAs" (SSR 2020).
#[test]
fn a_weak_key_signs_nothing() {
    let identity = {
        let mut key = [0; 32];
        key[0] = 1;
        key
    };
    let order_8 =
        unhex("c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a").expect("32 bytes");
    for public in [identity, order_8] {
        let name = head::name(&public, false);
        let (log, _, files) = two_phones();
        let strong = log.key.name().to_owned();
        let key = tlog_tiles::Hash(public);
        let id = sha256(&[name.as_bytes(), b"\n\x01", &public].concat());
        // R is the identity and S is 0: [S]B = R + [k]A holds for A of small order, for every k or every eighth.
        let forged = [&id[..4], &identity, &[0; 32]].concat();
        let base64 = |bytes: &[u8]| {
            use base64::Engine as _;
            base64::engine::general_purpose::STANDARD.encode(bytes)
        };
        let signed = |text: &str| format!("{text}\n\u{2014} {name} {}\n", base64(&forged)).into_bytes();
        let mut weak = files.clone();
        let vkey = format!("{name}+{}+{}\n", hex(&id[..4]), base64(&[[1].as_slice(), &key.0].concat()));
        weak.insert(format!("data/keys/{}.vkey", name.replace('/', "-")), vkey.into_bytes());
        let mut weak = sealed(weak, &log.key, Disclosed::Whole);
        let said_by = String::from_utf8(weak["statement.txt"].clone()).expect("text").replace(&strong, &name);
        let text = said_by.split("\n\n").next().expect("a text");
        weak.insert("statement.txt".to_owned(), signed(&format!("{text}\n")));
        let statement = Statement::read(&weak["statement.txt"]).expect("a statement");
        assert_eq!((statement.job, statement.log.as_str()), (JOB, name.as_str()));
        fails(&said(&weak), "statement.signature", "a weak public key");
    }
    let mut log = Log::new(4);
    log.add("photo.attached", json!({}), &[b"p"]);
    holds(
        &said(&bundle(vec![log.part(|_| true, &[])], &[here(b"p")], &log.key, Disclosed::Whole)),
        &["blob.hash"],
    );
}
