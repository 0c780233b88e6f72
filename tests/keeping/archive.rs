//! Originals on a card: copied, released, taken back.

use crate::{clean, flip, hash, picture, refused, shelf, states, text, with_photos};
use sidelong_core::record::words::{BlobState, Locale};
use sidelong_tests::Phone;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use uuid::Uuid;

#[test]
fn originals_go_to_an_archive_and_come_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, two) = with_photos(folder.path(), 1);
    let card = folder.path().join("card");

    let first = phone.open().archive(text(&card), vec![one.to_string()]).expect("archives");
    assert_eq!((first.photos, first.copied, first.already), (2, 2, 0));
    assert_eq!(first.bytes, (picture(0).len() + picture(1).len()) as u64);
    let all = phone.open().archive(text(&card), Vec::new()).expect("archives");
    assert_eq!((all.photos, all.copied, all.already), (3, 1, 2));
    assert!(all.findings.is_empty() && all.mended.is_empty() && all.erased.is_empty());
    for at in 0..3 {
        assert_eq!(fs::read(shelf(&card, &hash(at))).expect("the copy"), picture(at));
        assert_eq!(fs::read(shelf(&phone.folder, &hash(at))).expect("the original"), picture(at));
    }
    assert!(!card.join("photos/incoming").exists(), "nothing half done is left");
    let list: serde_json::Value =
        serde_json::from_slice(&fs::read(card.join("sidelong-archive.json")).expect("a list")).expect("JSON");
    let listed: BTreeSet<&str> =
        list["photos"].as_array().expect("photos").iter().filter_map(|it| it["sha256"].as_str()).collect();
    assert_eq!(listed, (0..3).map(hash).collect::<Vec<_>>().iter().map(String::as_str).collect());
    assert!(list["photos"].as_array().expect("photos").iter().all(|it| it["type"] == "image/jpeg"));
    let name = phone.open().log_name().expect("a name");
    assert_eq!(list["heads"][0]["log"], name.as_str());
    assert!(list["heads"][0]["head"].as_str().is_some_and(|head| head.starts_with(&format!("{name}\n"))));

    let gone = phone.open().release(text(&card), vec![one.to_string()]).expect("releases");
    assert_eq!((gone.released, gone.bytes, gone.kept.len()), (2, first.bytes, 0));
    assert!(!shelf(&phone.folder, &hash(0)).exists() && shelf(&phone.folder, &hash(2)).exists());
    phone.reopen().expect("a released original is no damage");
    assert_eq!(clean(&phone), [""; 0]);
    assert_eq!(states(&phone, one), [BlobState::Elsewhere; 2]);
    assert_eq!(states(&phone, two), [BlobState::Here]);
    let page = phone.open().report(one.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("Photo on record, not shown"));
    let again = phone.open().archive(text(&card), vec![one.to_string()]).expect("archives");
    assert_eq!((again.photos, again.elsewhere, again.already), (2, 2, 0));
    let again = phone.open().release(text(&card), Vec::new()).expect("releases");
    assert_eq!(again.released, 1);

    let back = phone.open().bring_back(text(&card), vec![one.to_string()]).expect("comes back");
    assert_eq!((back.brought, back.bytes, back.missing.len()), (2, first.bytes, 0));
    assert_eq!(states(&phone, one), [BlobState::Here; 2], "also of a job that was folded before");
    assert_eq!(states(&phone, two), [BlobState::Elsewhere]);
    let back = phone.open().bring_back(text(&card), Vec::new()).expect("comes back");
    assert_eq!((back.brought, back.bytes), (1, picture(2).len() as u64));
    for at in 0..3 {
        assert_eq!(fs::read(shelf(&phone.folder, &hash(at))).expect("the original"), picture(at));
        assert!(shelf(&card, &hash(at)).exists(), "the archive is not changed");
    }
    assert_eq!(clean(&phone), [""; 0]);
    for call in [
        |phone: &Phone, card: &Path, job: String| phone.open().archive(text(card), vec![job]).map(drop),
        |phone: &Phone, card: &Path, job: String| phone.open().release(text(card), vec![job]).map(drop),
        |phone: &Phone, card: &Path, job: String| phone.open().bring_back(text(card), vec![job]).map(drop),
    ] {
        refused(call(&phone, &card, Uuid::from_u128(7).to_string()), "not here: job");
        refused(call(&phone, &card, "7".to_owned()), "not a UUID");
    }
}

#[test]
fn an_original_stays_until_its_copy_is_good() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, _) = with_photos(folder.path(), 2);
    let card = folder.path().join("card");
    phone.open().archive(text(&card), Vec::new()).expect("archives");
    flip(&shelf(&card, &hash(0)));
    fs::remove_file(shelf(&card, &hash(1))).expect("removes");
    let gone = phone.open().release(text(&card), Vec::new()).expect("releases the good one");
    let kept = |sha256: &str| {
        let place = format!("photo {sha256}");
        gone.kept.iter().find(|it| it.place == place).map(|it| it.found.clone()).unwrap_or_default()
    };
    assert_eq!((gone.released, gone.kept.len()), (1, 2));
    assert_eq!(kept(&hash(0)), "the copy in the archive is not what was recorded");
    assert_eq!(kept(&hash(1)), "not in the archive");
    assert_eq!(fs::read(shelf(&phone.folder, &hash(0))).expect("stays"), picture(0));
    assert_eq!(fs::read(shelf(&phone.folder, &hash(1))).expect("stays"), picture(1));
    assert!(clean(&phone).is_empty());

    let mended = phone.open().archive(text(&card), vec![one.to_string()]).expect("archives");
    assert_eq!((mended.copied, mended.mended), (2, vec![hash(0)]));
    assert_eq!(phone.open().release(text(&card), Vec::new()).expect("releases").released, 2);

    // The only copy of one goes bad: told, and the others come back.
    flip(&shelf(&card, &hash(0)));
    fs::remove_file(shelf(&card, &hash(2))).expect("removes");
    let back = phone.open().bring_back(text(&card), Vec::new()).expect("comes back");
    assert_eq!((back.brought, back.missing.len()), (1, 2));
    assert!(back.missing.iter().any(|it| it.found.contains("not what was recorded")));
    assert!(back.missing.iter().any(|it| it.found.contains("not in the archive")));
    assert!(!shelf(&phone.folder, &hash(0)).exists());
    assert!(clean(&phone).is_empty());
    phone.reopen().expect("opens");

    // An original that went bad here is not copied over a good copy, and a good copy mends it.
    let (mut other, _, _) = with_photos(folder.path(), 3);
    let spare = folder.path().join("spare");
    other.open().archive(text(&spare), Vec::new()).expect("archives");
    flip(&shelf(&other.folder, &hash(0)));
    fs::remove_file(shelf(&other.folder, &hash(1))).expect("removes");
    let told = other.open().archive(text(&spare), Vec::new()).expect("archives the rest");
    assert_eq!((told.findings.len(), told.already), (2, 1));
    assert_eq!(fs::read(shelf(&spare, &hash(0))).expect("the copy"), picture(0));
    assert_eq!(other.open().release(text(&spare), Vec::new()).expect("releases").released, 3);
    assert_eq!(other.open().bring_back(text(&spare), Vec::new()).expect("comes back").brought, 3);
    assert!(clean(&other).is_empty());
    fs::remove_file(shelf(&other.folder, &hash(1))).expect("removes");
    assert_eq!(other.open().bring_back(text(&spare), Vec::new()).expect("comes back").brought, 1);
    assert!(clean(&other).is_empty());
    other.reopen().expect("opens");
}

#[test]
fn folders_that_are_no_place_for_copies() {
    let folder = tempfile::tempdir().expect("a folder");
    let (phone, _, _) = with_photos(folder.path(), 4);
    let (other, _, _) = with_photos(folder.path(), 5);
    let own = &phone.folder;
    let file = folder.path().join("a-file");
    fs::write(&file, "?").expect("writes");
    fs::create_dir(folder.path().join("plain")).expect("makes");
    for (place, words) in [
        (own.clone(), "own folder"),
        (own.join("photos"), "own folder"),
        (own.join("new/../card"), "own folder"),
        (folder.path().join("plain").join("..").join(own.file_name().expect("a name")), "own folder"),
        (other.folder.clone(), "holds a notebook"),
        (folder.path().join("not/there"), "No such file"),
        (file.clone(), ""),
        (file.join("below"), ""),
    ] {
        refused(phone.open().archive(text(&place), Vec::new()), words);
        assert!(phone.open().release(text(&place), Vec::new()).is_err(), "{}", place.display());
        assert!(phone.open().bring_back(text(&place), Vec::new()).is_err(), "{}", place.display());
        refused(phone.open().export(text(&place), Locale::EnGb), words);
    }
    assert!(!own.join("card").exists() && !own.join("new").exists() && !folder.path().join("not").exists());
    refused(phone.open().release(text(&folder.path().join("none")), Vec::new()), "not here: a folder");
    assert!(!folder.path().join("none").exists());

    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        let link = folder.path().join("link");
        symlink(own, &link).expect("links");
        refused(phone.open().archive(text(&link), Vec::new()), "own folder");
        // An archive whose photos are the store's own by another way holds no copies.
        let trap = folder.path().join("trap");
        fs::create_dir(&trap).expect("makes");
        symlink(own.join("photos"), trap.join("photos")).expect("links");
        refused(phone.open().archive(text(&trap), Vec::new()), "leads back");
        assert_eq!(phone.open().release(text(&trap), Vec::new()).expect("releases nothing").kept.len(), 3);
        let hard = folder.path().join("hard");
        fs::create_dir_all(shelf(&hard, &hash(0)).parent().expect("a shelf")).expect("makes");
        fs::hard_link(shelf(own, &hash(0)), shelf(&hard, &hash(0))).expect("links");
        assert_eq!(phone.open().release(text(&hard), Vec::new()).expect("releases nothing").kept.len(), 3);
    }
    let spoilt = folder.path().join("spoilt");
    fs::create_dir(&spoilt).expect("makes");
    fs::write(spoilt.join("sidelong-archive.json"), "{").expect("writes");
    refused(phone.open().archive(text(&spoilt), Vec::new()), "sidelong-archive.json");
    for at in 0..3 {
        assert_eq!(fs::read(shelf(own, &hash(at))).expect("the original"), picture(at));
    }
    assert!(clean(&phone).is_empty() && clean(&other).is_empty());
}

/// A release that was killed between its commit and the removing: no damage, told as a note, and finished either way.
#[test]
fn a_release_that_was_cut_off() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, _) = with_photos(folder.path(), 6);
    let card = folder.path().join("card");
    phone.open().archive(text(&card), Vec::new()).expect("archives");
    for by_releasing in [true, false] {
        phone.open().release(text(&card), vec![one.to_string()]).expect("releases");
        fs::write(shelf(&phone.folder, &hash(0)), picture(0)).expect("as if it had not been removed");
        phone.reopen().expect("no damage");
        assert_eq!(clean(&phone).len(), 1);
        assert_eq!(states(&phone, one), [BlobState::Elsewhere; 2]);
        if by_releasing {
            assert_eq!(phone.open().release(text(&card), vec![one.to_string()]).expect("again").released, 1);
            assert!(!shelf(&phone.folder, &hash(0)).exists());
            phone.open().bring_back(text(&card), vec![one.to_string()]).expect("back");
        } else {
            fs::remove_file(shelf(&card, &hash(0))).expect("the copy is lost meanwhile");
            let back = phone.open().bring_back(text(&card), vec![one.to_string()]).expect("back");
            assert_eq!((back.brought, back.missing.len()), (2, 0), "what was left here is taken");
        }
        assert_eq!(states(&phone, one), [BlobState::Here; 2]);
        assert!(clean(&phone).is_empty());
    }
}

/// What one phone archived, another that joined it takes from the card; what is nowhere stays wanted by a joining.
#[test]
fn an_archive_serves_the_crew() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, one, _) = with_photos(folder.path(), 7);
    let card = folder.path().join("card");
    phone.open().archive(text(&card), Vec::new()).expect("archives");
    phone.open().release(text(&card), Vec::new()).expect("releases");
    let mut other = Phone::new(&folder.path().join("other"), 8);
    let joined = other.join(&mut phone);
    assert_eq!(joined.blobs_missing.len(), 3);
    assert_eq!(states(&other, one), [BlobState::Elsewhere; 2]);
    assert_eq!(other.open().bring_back(text(&card), Vec::new()).expect("comes").brought, 3);
    assert_eq!(states(&other, one), [BlobState::Here; 2]);
    assert_eq!(phone.join(&mut other).blobs, 3, "a joining takes back what was released");
    assert!(clean(&phone).is_empty() && clean(&other).is_empty());
}
