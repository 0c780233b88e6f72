//! Photos as files named by their SHA-256, below `photos/` in folders of their first two digits. IO. The store keeps them
//! so, and so does an archive (`archive`).

use super::{Store, io};
use crate::error::Error;
use crate::log::canon;
use crate::photo;
use crate::record::words::BlobState;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{Read as _, Write as _};
use std::path::{Component, Path, PathBuf};

pub(super) const PHOTOS: &str = "photos";
const TEMPORARY: &str = "photos/incoming";

/// Reads a file that an input names, from the folder that photos are taken in from: a plain name below it, no link
/// leading out of it.
pub fn read_named(folder: &Path, name: &str) -> Result<Vec<u8>, Error> {
    let refuse =
        |reason: &str| Error::Photo { file: name.chars().take(200).collect(), reason: reason.to_owned() };
    let given = Path::new(name);
    if name.is_empty() || !given.components().all(|part| matches!(part, Component::Normal(_))) {
        return Err(refuse("only a name below the folder that photos are taken in from is accepted"));
    }
    let missing = |why: &std::io::Error| match why.kind() {
        std::io::ErrorKind::NotFound => refuse("no such file"),
        _ => refuse(&why.to_string()),
    };
    let base = folder.canonicalize().map_err(|why| io(folder, &why))?;
    let path = base.join(given).canonicalize().map_err(|why| missing(&why))?;
    if !path.starts_with(&base) {
        return Err(refuse("leads out of the folder that photos are taken in from"));
    }
    let file = File::open(&path).map_err(|why| missing(&why))?;
    let facts = file.metadata().map_err(|why| missing(&why))?;
    if !facts.is_file() {
        return Err(refuse("not a file"));
    }
    if facts.len() > photo::LARGEST_FILE {
        return Err(refuse(&format!(
            "{} bytes; at most {} can be taken in",
            facts.len(),
            photo::LARGEST_FILE
        )));
    }
    let mut bytes = Vec::new();
    file.take(photo::LARGEST_FILE + 1).read_to_end(&mut bytes).map_err(|why| missing(&why))?;
    Ok(bytes)
}

/// Where the photo with this hash is kept, below the folder of a store or an archive.
pub(super) fn path(folder: &Path, sha256: &str) -> PathBuf {
    folder.join(PHOTOS).join(sha256.get(..2).unwrap_or("xx")).join(sha256)
}

/// Syncs a folder, so that a rename in it outlives a power cut.
pub(super) fn sync_folder(folder: &Path) -> Result<(), Error> {
    #[cfg(unix)]
    File::open(folder).and_then(|folder| folder.sync_all()).map_err(|why| io(folder, &why))?;
    Ok(())
}

/// Removes what an interrupted taking-in left behind; it was never on record.
pub(super) fn sweep(folder: &Path) -> Result<(), Error> {
    remove_folder_if_there(&folder.join(TEMPORARY))
}

/// Removes a folder with what lies in it, if it is there.
pub(super) fn remove_folder_if_there(folder: &Path) -> Result<(), Error> {
    match fs::remove_dir_all(folder) {
        Ok(()) => Ok(()),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Err(why) => Err(io(folder, &why)),
    }
}

/// Writes a file under a temporary name, reads it back if asked to, and gives it its name: it is there whole, or as it
/// was before.
pub(super) fn put(folder: &Path, target: &Path, bytes: &[u8], read_back: bool) -> Result<(), Error> {
    let temporary = folder.join(TEMPORARY);
    fs::create_dir_all(&temporary).map_err(|why| io(&temporary, &why))?;
    let draft = temporary.join(target.file_name().unwrap_or_default());
    let written = File::create(&draft).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    let written = match written {
        Ok(()) if read_back => fs::read(&draft).and_then(|read| {
            let same = read == bytes;
            same.then_some(()).ok_or_else(|| std::io::Error::other("what was written reads back otherwise"))
        }),
        written => written,
    };
    if let Err(why) = written {
        let _ = fs::remove_file(&draft);
        return Err(io(&draft, &why));
    }
    let shelf = target.parent().unwrap_or(folder);
    fs::create_dir_all(shelf).map_err(|why| io(shelf, &why))?;
    fs::rename(&draft, target).map_err(|why| io(target, &why))
}

/// Syncs the folders that photos were put into, and those above.
pub(super) fn sync_shelves(folder: &Path, shelves: &BTreeSet<PathBuf>) -> Result<(), Error> {
    shelves.iter().try_for_each(|shelf| sync_folder(shelf))?;
    sync_folder(&folder.join(PHOTOS))?;
    sync_folder(folder)
}

/// A file's bytes, if it is there.
pub(super) fn read_if_there(path: &Path) -> Result<Option<Vec<u8>>, Error> {
    match fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(why) => Err(io(path, &why)),
    }
}

/// Removes a file, if it is there; says whether it was.
pub(super) fn remove_if_there(path: &Path) -> Result<bool, Error> {
    match fs::remove_file(path) {
        Ok(()) => Ok(true),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(false),
        Err(why) => Err(io(path, &why)),
    }
}

impl Store {
    /// Keeps a photo under its hash: temporary file, fsync, rename, fsync of the folders. A photo that is here already
    /// is not written again; one that was erased is refused, because its bytes would be here again unasked.
    pub fn keep_photo(&self, bytes: &[u8], sha256: &str) -> Result<(), Error> {
        if self.blob_at(sha256)?.is_some_and(|state| state == BlobState::Erased) {
            return Err(Error::Photo {
                file: sha256.to_owned(),
                reason: "this photo was erased from the record and is not taken in again".to_owned(),
            });
        }
        let shelf = self.shelve_photo(bytes, sha256)?;
        self.sync_shelves(&BTreeSet::from([shelf]))
    }

    /// Syncs the folders that photos were put into, and those above. A photo that was here already needs it too:
    /// whoever made the shelf, or put the photo there, may have been killed before.
    pub(super) fn sync_shelves(&self, shelves: &BTreeSet<PathBuf>) -> Result<(), Error> {
        sync_shelves(&self.folder, shelves)
    }

    /// Puts a photo on its shelf. It is kept once the shelf that is given back is synced.
    pub(super) fn shelve_photo(&self, bytes: &[u8], sha256: &str) -> Result<PathBuf, Error> {
        let target = path(&self.folder, sha256);
        let shelf = target.parent().unwrap_or(&self.folder).to_owned();
        if !fs::read(&target).is_ok_and(|kept| kept == bytes) {
            put(&self.folder, &target, bytes, false)?;
        }
        Ok(shelf)
    }

    /// The photo with this hash, if it is here and is what was recorded.
    pub fn photo(&self, sha256: &str) -> Result<Option<Vec<u8>>, Error> {
        match self.photo_as_kept(sha256)? {
            Some(bytes) if canon::hex(&canon::sha256(&bytes)) != sha256 => Err(Error::Damaged {
                place: format!("photo {sha256}"),
                found: "the file is not the one that was recorded".to_owned(),
            }),
            bytes => Ok(bytes),
        }
    }

    /// The file of this name, if it is here; its bytes are not looked at.
    pub(super) fn photo_as_kept(&self, sha256: &str) -> Result<Option<Vec<u8>>, Error> {
        if canon::unhex::<32>(sha256).is_none() {
            return Ok(None);
        }
        read_if_there(&path(&self.folder, sha256))
    }
}

/// Files below `photos/` that no event names. They harm nothing; they are told, not removed.
pub(super) fn unclaimed(store: &Store) -> Result<Vec<String>, Error> {
    let mut names = Vec::new();
    let root = store.folder.join(PHOTOS);
    let Ok(shelves) = fs::read_dir(&root) else { return Ok(names) };
    for shelf in shelves.flatten() {
        for file in fs::read_dir(shelf.path()).into_iter().flatten().flatten() {
            let name = file.file_name().to_string_lossy().into_owned();
            if !store.names_blob(&name)? {
                names.push(name);
            }
        }
    }
    names.sort();
    Ok(names)
}
