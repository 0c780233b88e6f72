//! The export of everything, read without the program that wrote it.

use crate::{files, flip, hash, noted, refused, shelf, store, text, with_photos};
use sidelong_core::api::Reader;
use sidelong_core::log::canon::{hex, sha256};
use sidelong_core::record::words::Locale;
use sidelong_tests::Phone;
use std::fs;
use std::path::{Path, PathBuf};

/// RFC 6962, section 2.1, as it is written there.
fn root(leaves: &[Vec<u8>]) -> [u8; 32] {
    match leaves {
        [one] => sha256(&[b"\0", one.as_slice()].concat()),
        _ => {
            let half = leaves.len().next_power_of_two() / 2;
            sha256(&[b"\x01".as_slice(), &root(&leaves[..half]), &root(&leaves[half..])].concat())
        }
    }
}

fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let name = |path: &PathBuf| text(path.strip_prefix(folder).expect("below"));
    let mut all: Vec<_> =
        files(folder).into_iter().map(|path| (name(&path), fs::read(&path).expect("reads"))).collect();
    all.sort();
    all
}

#[test]
fn an_export_says_everything_without_us() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, two) = with_photos(folder.path(), 30);
    let mut other = Phone::new(&folder.path().join("other"), 31);
    other.join(&mut phone);
    other.put(one, noted("Heckleuchte"));
    phone.join(&mut other);
    let out = folder.path().join("out");
    let export = phone.open().export(text(&out), Locale::EnGb).expect("exports");
    assert_eq!((export.jobs, export.photos, export.elsewhere, export.findings.len()), (2, 3, 0, 0));
    let all = contents(&out);
    let file = |name: &str| {
        let found = all.iter().find(|(it, _)| it == name);
        found.map(|(_, bytes)| bytes.clone()).unwrap_or_else(|| panic!("{name} is missing"))
    };
    let mut events = 0;
    for name in [phone.open().log_name().expect("a name"), other.open().log_name().expect("a name")] {
        let below = format!("logs/{}", name.replace('/', "-"));
        let lines: Vec<Vec<u8>> =
            file(&format!("{below}/events.jsonl")).split(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
        let leaves = &lines[..lines.len() - 1];
        let head = String::from_utf8(file(&format!("{below}/head.txt"))).expect("text");
        let [origin, size, signed] = head.lines().take(3).collect::<Vec<_>>()[..] else { panic!("{head}") };
        assert_eq!((origin, size), (name.as_str(), leaves.len().to_string().as_str()));
        assert_eq!(signed, tlog_tiles::Hash(root(leaves)).to_string(), "the root in base64");
        assert!(String::from_utf8(file(&format!("{below}/key.txt"))).expect("text").starts_with(&name));
        for leaf in leaves {
            assert!(sidelong_core::log::canon::read(leaf).is_ok());
        }
        events += leaves.len() as u64;
    }
    assert_eq!(export.events, events);
    let mut kept = 0;
    for (name, bytes) in
        all.iter().filter(|(name, _)| name.starts_with("texts/") || name.starts_with("photos/"))
    {
        let stem = Path::new(name).file_stem().expect("a name").to_string_lossy().into_owned();
        assert_eq!(hex(&sha256(bytes)), stem);
        kept += 1;
    }
    assert_eq!(kept, export.texts + export.photos);
    for job in [one, two] {
        let json: serde_json::Value =
            serde_json::from_slice(&file(&format!("jobs/{job}.json"))).expect("JSON");
        assert_eq!(json, serde_json::to_value(phone.view(job)).expect("JSON"));
    }
    let table = String::from_utf8(file("blobs.tsv")).expect("text");
    for row in table.lines().skip(1) {
        let columns: Vec<&str> = row.split('\t').collect();
        assert_eq!(columns.len(), table.lines().next().expect("a head").split('\t').count());
        assert_eq!(columns[4], "here");
        assert_eq!(file(columns[8]).len().to_string(), columns[1]);
    }
    assert!(String::from_utf8(file("README.txt")).expect("text").contains("What is in this folder"));

    // The same again, and for a reader; never into what is there.
    let again = folder.path().join("again");
    phone.open().export(text(&again), Locale::EnGb).expect("exports");
    assert_eq!(contents(&again), all);
    refused(phone.open().export(text(&again), Locale::EnGb), "not empty");
    assert_eq!(contents(&again), all, "what was there stays as it was");
    phone.close();
    let reader = Reader::open(text(&phone.folder)).expect("reads");
    let third = folder.path().join("third");
    fs::create_dir(&third).expect("an empty folder will do");
    reader.export(text(&third), Locale::EnGb).expect("exports");
    assert_eq!(contents(&third), all);
}

/// What is released or erased is said to be; what is damaged is told, and the rest comes.
#[test]
fn an_export_of_what_is_not_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, two) = with_photos(folder.path(), 32);
    let card = folder.path().join("card");
    phone.open().archive(text(&card), Vec::new()).expect("archives");
    phone.open().release(text(&card), vec![two.to_string()]).expect("releases");
    let mut open = store(&mut phone);
    open.erase(&[hash(0)]).expect("erases");
    drop(open);
    flip(&shelf(&phone.folder, &hash(1)));
    let database = rusqlite::Connection::open(phone.folder.join("sidelong.db")).expect("opens");
    database.execute("DELETE FROM leaves WHERE place & 0xff = 1", []).expect("damages");
    database.execute("UPDATE leaves SET bytes = x'0a' WHERE place & 0xff = 2", []).expect("damages");
    drop(database);

    let reader = Reader::open(text(&phone.folder)).expect("reads");
    let out = folder.path().join("out");
    let export = reader.export(text(&out), Locale::EnGb).expect("exports");
    assert!(out.join("damage.txt").exists() && out.join("README.txt").exists());
    // Events 1 and 2 were the walk and the first photo: only the second and third photo are still named.
    assert_eq!((export.photos, export.elsewhere), (1, 1));
    let places: Vec<&str> = export.findings.iter().map(|it| it.found.as_str()).collect();
    assert_eq!(places.len(), 3, "{places:?}");
    let table = fs::read_to_string(out.join("blobs.tsv")).expect("a table");
    let row = |sha256: &str| table.lines().find(|row| row.starts_with(sha256)).map(str::to_owned);
    assert!(row(&hash(2)).is_some_and(|row| row.contains("\telsewhere\t")));
    assert!(row(&hash(1)).is_some_and(|row| row.contains(".jpg.damaged")));
    assert!(out.join("jobs").join(format!("{one}.json")).exists());
    let lines = fs::read_dir(out.join("logs")).expect("logs").next().expect("one").expect("an entry").path();
    let lines = fs::read_to_string(lines.join("events.jsonl")).expect("events");
    assert_eq!(lines.lines().filter(|line| line.is_empty()).count(), 2, "a line keeps its number");
}
