//! Originals on a card or another disk: copied there, released here once their copies are verified, and taken back. IO.
//!
//! An archive is a folder laid out as the store's own photos are, `photos/<first two digits>/<SHA-256>`, with a list beside
//! them, [`LIST`], that is for people: whether a copy is good is found by reading it. A copy is written under a temporary
//! name, synced, read back, and only then given its name. (The system may answer the reading back from memory; whoever
//! takes the card out and puts it in again before releasing has had the card itself read.)
//!
//! Order of a release: copy read and hashed, copy and its folders synced, state `elsewhere` committed, then the file here
//! removed. A program that is killed in between leaves a file that is not needed: nothing is missing, the full check
//! notes it, and the next release or taking back finishes it. The other way round it would look like damage.

use super::photos::{self, remove_if_there, sync_folder};
use super::take_in::Wanted;
use super::{Finding, Store, io};
use crate::error::Error;
use crate::log::canon;
use crate::record::events::{BlobRef, Envelope};
use crate::record::words::BlobState;
use rusqlite::params;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use uuid::Uuid;

/// Name of the list in an archive.
const LIST: &str = "sidelong-archive.json";

/// Photos in one commit.
const AT_ONCE: usize = 64;

/// What an archiving did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Archived {
    /// Photos that were asked for.
    pub photos: u64,
    /// Copied now.
    pub copied: u64,
    /// Bytes of those.
    pub bytes: u64,
    /// Were there already, and are what was recorded.
    pub already: u64,
    /// Hashes of copies that were there, were not what was recorded, and were written again.
    pub mended: Vec<String>,
    /// Asked for and not here to be copied: released before, or on another phone.
    pub elsewhere: u64,
    /// Hashes of photos that were erased here and of which the archive still holds a copy. It is not removed.
    pub erased: Vec<String>,
    /// Originals here that are missing or not what was recorded; they were not copied.
    pub findings: Vec<Finding>,
}

/// What a release did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Released {
    /// Originals that are in the archive alone now.
    pub released: u64,
    /// Room that was freed here, bytes.
    pub bytes: u64,
    /// Originals that stay here, each with the reason.
    pub kept: Vec<Finding>,
}

/// What a taking back did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Brought {
    /// Originals that are here again.
    pub brought: u64,
    /// Bytes of those.
    pub bytes: u64,
    /// Originals that are still not here, each with the reason.
    pub missing: Vec<Finding>,
}

/// The list in an archive.
#[derive(Debug, Default, Serialize, Deserialize)]
struct List {
    format: u32,
    /// The newest signed head of every log that was known when photos were last put here.
    heads: Vec<ListedHead>,
    photos: Vec<ListedPhoto>,
}

#[derive(Debug, Serialize, Deserialize)]
struct ListedHead {
    log: String,
    /// C2SP checkpoint, whole.
    head: String,
}

#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
struct ListedPhoto {
    sha256: String,
    len: u64,
    #[serde(rename = "type")]
    media: String,
}

impl Store {
    /// Copies originals of these jobs (none named: all) to a folder, which is made if the one above it is there. Nothing
    /// is removed here or there. When it fails half way, what was copied so far is whole and stays.
    pub fn archive(&self, folder: &Path, jobs: &[Uuid]) -> Result<Archived, Error> {
        let originals = self.originals(jobs)?;
        let archive = Archive::open(&self.folder, folder, true)?;
        let mut list = archive.list()?;
        photos::sweep(folder)?;
        let mut done = Archived { photos: originals.len() as u64, ..Archived::default() };
        let mut shelves = BTreeSet::new();
        let copied = originals.iter().try_for_each(|blob| {
            if let Some(shelf) = self.copy(&archive, blob, &mut done)? {
                shelves.insert(shelf);
                list.photos.push(listed(blob));
            }
            Ok(())
        });
        // What did fit on a card that is full is listed too, if the list still fits.
        let noted = self.finish(&archive, list, &shelves);
        copied.and(noted).map_err(|why| archive.told(why))?;
        Ok(done)
    }

    /// Copies one original; gives its shelf there, if it is there.
    fn copy(
        &self,
        archive: &Archive<'_>,
        blob: &BlobRef,
        done: &mut Archived,
    ) -> Result<Option<PathBuf>, Error> {
        let there = photos::path(archive.folder, &blob.sha256);
        match self.blob_at(&blob.sha256)? {
            Some(BlobState::Here) => {}
            Some(BlobState::Erased) => {
                done.erased.extend(there.exists().then(|| blob.sha256.clone()));
                return Ok(None);
            }
            _ => {
                done.elsewhere += 1;
                return Ok(None);
            }
        }
        let bytes = match self.photo(&blob.sha256) {
            Ok(Some(bytes)) => bytes,
            Ok(None) => {
                done.findings.push(finding(blob, "the photo's file is missing here"));
                return Ok(None);
            }
            Err(Error::Damaged { found, .. }) => {
                done.findings.push(finding(blob, found));
                return Ok(None);
            }
            Err(other) => return Err(other),
        };
        match archive.read(&blob.sha256)? {
            Some(kept) if kept == bytes => done.already += 1,
            other => {
                photos::put(archive.folder, &there, &bytes, true)?;
                if archive.is_our_own(&there, &blob.sha256) {
                    return Err(Error::refused("folder", "it leads back into the notebook's own folder"));
                }
                done.copied += 1;
                done.bytes += bytes.len() as u64;
                done.mended.extend(other.map(|_| blob.sha256.clone()));
            }
        }
        Ok(there.parent().map(Path::to_owned))
    }

    fn finish(
        &self,
        archive: &Archive<'_>,
        mut list: List,
        shelves: &BTreeSet<PathBuf>,
    ) -> Result<(), Error> {
        let logs = self.logs()?;
        list.format = 1;
        list.heads.retain(|kept| !logs.iter().any(|log| log.name == kept.log));
        list.heads.extend(logs.into_iter().filter_map(|log| {
            let head = String::from_utf8(log.head?).ok()?;
            Some(ListedHead { log: log.name, head })
        }));
        list.heads.sort_by(|a, b| (&a.log, &a.head).cmp(&(&b.log, &b.head)));
        list.photos.sort();
        list.photos.dedup();
        let text = serde_json::to_vec_pretty(&list).map_err(|_| Error::internal("archive.list"))?;
        photos::put(archive.folder, &archive.folder.join(LIST), &text, false)?;
        photos::sweep(archive.folder)?;
        photos::sync_shelves(archive.folder, shelves)
    }

    /// Lets originals of these jobs (none named: all) go from here whose copies in the archive are read now and are what
    /// was recorded. Every other one stays, with the reason. A photo that another job names too goes for both.
    pub fn release(&mut self, folder: &Path, jobs: &[Uuid]) -> Result<Released, Error> {
        self.own()?;
        let originals = self.originals(jobs)?;
        let mut done = Released::default();
        let here = self.folder.clone();
        let archive = Archive::open(&here, folder, false)?;
        for some in originals.chunks(AT_ONCE) {
            let (mut going, mut shelves) = (Vec::new(), BTreeSet::new());
            for blob in some {
                let path = photos::path(&here, &blob.sha256);
                match self.blob_at(&blob.sha256)? {
                    Some(BlobState::Here) => {}
                    Some(BlobState::Elsewhere) if path.exists() => {}
                    _ => continue,
                }
                match archive.verify(blob).map_err(|why| archive.told(why))? {
                    Ok(shelf) => {
                        shelves.insert(shelf);
                        going.push((blob, path));
                    }
                    Err(reason) => done.kept.push(finding(blob, reason)),
                }
            }
            if going.is_empty() {
                continue;
            }
            photos::sync_shelves(folder, &shelves)?;
            let transaction = self.connection.unchecked_transaction()?;
            for (blob, _) in &going {
                transaction
                    .prepare_cached(
                        "UPDATE blobs SET state = 'elsewhere' WHERE sha256 = ?1 AND state = 'here' AND file = 1",
                    )?
                    .execute(params![canon::unhex::<32>(&blob.sha256)])?;
            }
            transaction.commit()?;
            self.folded.clear();
            for (blob, path) in going {
                if remove_if_there(&path)? {
                    done.bytes += blob.len;
                }
                done.released += 1;
            }
        }
        Ok(done)
    }

    /// Takes originals of these jobs (none named: all) back from an archive: those that are not here, and those whose file
    /// here is missing or of another length. What was erased stays erased.
    pub fn bring_back(&mut self, folder: &Path, jobs: &[Uuid]) -> Result<Brought, Error> {
        self.own()?;
        let mut wanted = Vec::new();
        for blob in self.originals(jobs)? {
            let kept = fs::metadata(photos::path(&self.folder, &blob.sha256)).map(|facts| facts.len());
            let is_wanted = match self.blob_at(&blob.sha256)? {
                None | Some(BlobState::Erased) => false,
                Some(BlobState::Here) => !kept.is_ok_and(|len| len == blob.len),
                Some(_) => true,
            };
            let hash = canon::unhex(&blob.sha256).filter(|_| is_wanted);
            wanted.extend(hash.map(|sha256| Wanted { sha256, file: true }));
        }
        let here = self.folder.clone();
        let archive = Archive::open(&here, folder, false)?;
        let mut done = Brought::default();
        for some in wanted.chunks(AT_ONCE) {
            let mut bytes = 0;
            let missing = self.receive_blobs(some, |blob| {
                let name = canon::hex(&blob.sha256);
                let is_it = |kept: &Vec<u8>| canon::sha256(kept) == blob.sha256;
                // A release that was cut off has left it here.
                let mut kept = photos::read_if_there(&photos::path(&here, &name))?.filter(is_it);
                if kept.is_none() {
                    kept = archive.read(&name).map_err(|why| archive.told(why))?;
                }
                bytes += kept.as_ref().filter(|kept| is_it(kept)).map_or(0, Vec::len) as u64;
                Ok(kept)
            })?;
            done.brought += (some.len() - missing.len()) as u64;
            done.bytes += bytes;
            for blob in missing {
                let name = canon::hex(&blob.sha256);
                let found = match archive.read(&name)? {
                    None => "not in the archive",
                    Some(_) => "the copy in the archive is not what was recorded",
                };
                done.missing.push(Finding { place: format!("photo {name}"), found: found.to_owned() });
            }
        }
        Ok(done)
    }

    /// The files that events of these jobs name (none named: of all jobs), each once, by hash.
    pub(super) fn originals(&self, jobs: &[Uuid]) -> Result<Vec<BlobRef>, Error> {
        let mut found = BTreeMap::new();
        let mut add = |bytes: &[u8]| {
            // What cannot be read as an event names nothing here; the full check tells it.
            let Ok(envelope) = serde_json::from_slice::<Envelope>(bytes) else { return };
            let files = envelope.blobs.into_iter().filter(BlobRef::is_file);
            // Another phone's event may name anything; a name that is no hash would be a path.
            found.extend(files.filter_map(|blob| Some((canon::unhex::<32>(&blob.sha256)?, blob))));
        };
        if jobs.is_empty() {
            let mut read = self.connection.prepare("SELECT bytes FROM leaves")?;
            let mut rows = read.query([])?;
            while let Some(row) = rows.next()? {
                add(row.get_ref(0)?.as_bytes().map_err(rusqlite::Error::from)?);
            }
        }
        for job in jobs {
            let mut read = self.connection.prepare_cached("SELECT bytes FROM leaves WHERE job = ?1")?;
            let mut rows = read.query(params![job.as_bytes()])?;
            let mut any = false;
            while let Some(row) = rows.next()? {
                add(row.get_ref(0)?.as_bytes().map_err(rusqlite::Error::from)?);
                any = true;
            }
            if !any {
                return Err(Error::NotFound { what: format!("job {job}") });
            }
        }
        Ok(found.into_iter().map(|(hash, blob)| BlobRef { sha256: canon::hex(&hash), ..blob }).collect())
    }
}

fn finding(blob: &BlobRef, found: impl Into<String>) -> Finding {
    Finding { place: format!("photo {}", blob.sha256), found: found.into() }
}

fn listed(blob: &BlobRef) -> ListedPhoto {
    ListedPhoto { sha256: blob.sha256.clone(), len: blob.len, media: blob.media.clone() }
}

/// Refuses a folder that is, or lies in, the notebook's own, or that holds another notebook: that one's originals are no
/// copies, it may let them go too.
pub(super) fn must_be_outside(store: &Path, folder: &Path) -> Result<(), Error> {
    let own = store.canonicalize().map_err(|why| io(store, &why))?;
    let full = std::path::absolute(folder).map_err(|why| io(folder, &why))?;
    if full.ancestors().find_map(|above| above.canonicalize().ok()).is_some_and(|at| at.starts_with(&own)) {
        return Err(Error::refused(
            "folder",
            "it lies in the notebook's own folder; name one on another card or disk",
        ));
    }
    if folder.join(super::DATABASE).exists() {
        return Err(Error::refused("folder", "it holds a notebook; name a folder that is kept for copies"));
    }
    Ok(())
}

/// Makes a folder, if the one above it is there: a card that is not in is told, not made up on the disk below.
pub(super) fn make_last(folder: &Path) -> Result<(), Error> {
    match fs::create_dir(folder) {
        Err(why) if why.kind() != std::io::ErrorKind::AlreadyExists => Err(io(folder, &why)),
        _ => Ok(()),
    }
}

/// A folder with copies of originals.
struct Archive<'a> {
    /// The store's own folder.
    store: &'a Path,
    folder: &'a Path,
}

impl<'a> Archive<'a> {
    fn open(store: &'a Path, folder: &'a Path, make: bool) -> Result<Self, Error> {
        must_be_outside(store, folder)?;
        if make {
            make_last(folder)?;
        }
        if !folder.is_dir() {
            return Err(Error::NotFound { what: format!("a folder {}", folder.display()) });
        }
        if make {
            let photos = folder.join(photos::PHOTOS);
            fs::create_dir_all(&photos).map_err(|why| io(&photos, &why))?;
            sync_folder(folder)?;
        }
        Ok(Self { store, folder })
    }

    fn list(&self) -> Result<List, Error> {
        let path = self.folder.join(LIST);
        let Some(bytes) = photos::read_if_there(&path)? else { return Ok(List::default()) };
        serde_json::from_slice(&bytes).map_err(|why| Error::Damaged {
            place: path.display().to_string(),
            found: format!("{why}; move it away and archive again to have it written anew"),
        })
    }

    /// What is kept under this hash, unless it is the store's own file by another way.
    fn read(&self, sha256: &str) -> Result<Option<Vec<u8>>, Error> {
        let path = photos::path(self.folder, sha256);
        if self.is_our_own(&path, sha256) { Ok(None) } else { photos::read_if_there(&path) }
    }

    /// Reads and hashes a copy and syncs it; gives its shelf, or why it is no copy.
    fn verify(&self, blob: &BlobRef) -> Result<Result<PathBuf, &'static str>, Error> {
        let path = photos::path(self.folder, &blob.sha256);
        if self.is_our_own(&path, &blob.sha256) {
            return Ok(Err("what the archive holds is this very file, not a copy of it"));
        }
        let Some(bytes) = photos::read_if_there(&path)? else { return Ok(Err("not in the archive")) };
        if canon::hex(&canon::sha256(&bytes)) != blob.sha256 {
            return Ok(Err("the copy in the archive is not what was recorded"));
        }
        #[cfg(unix)]
        fs::File::open(&path).and_then(|file| file.sync_all()).map_err(|why| io(&path, &why))?;
        Ok(Ok(path.parent().unwrap_or(self.folder).to_owned()))
    }

    /// True when a path in the archive leads to the store's own file: through a link, or because a disk is mounted twice.
    fn is_our_own(&self, path: &Path, sha256: &str) -> bool {
        let own = photos::path(self.store, sha256);
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt as _;
            if let (Ok(one), Ok(other)) = (fs::metadata(path), fs::metadata(&own))
                && (one.dev(), one.ino()) == (other.dev(), other.ino())
            {
                return true;
            }
        }
        match (path.canonicalize(), self.store.canonicalize()) {
            (Ok(path), Ok(store)) => path.starts_with(store),
            _ => false,
        }
    }

    /// A full card is not a full phone: the error names the folder.
    fn told(&self, why: Error) -> Error {
        match why {
            Error::StorageFull => Error::NotWritable {
                path: self.folder.display().to_string(),
                reason: "it is full".to_owned(),
            },
            other => other,
        }
    }
}
