//! A whole record as one file, to hand to a colleague's phone: a SQLite file like the store's own, with the original
//! photos in a table of their own. IO. It holds no signing seed, and nothing that was erased: SQLite writes what is there
//! into a new file (`VACUUM INTO`).

use super::{DATABASE, Store, io, photos};
use crate::error::Error;
use crate::log::canon;
use crate::record::words::BlobState;
use rusqlite::{Connection, OptionalExtension as _, params};
use std::fs::{self, File};
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// Folder of a store in which a packed record is unfolded while it is taken in.
const UNFOLDED: &str = "incoming-record";

/// How every SQLite file begins: <https://www.sqlite.org/fileformat2.html>, section 1.3.
pub(super) const SQLITE: &[u8; 16] = b"SQLite format 3\0";

/// What was packed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Packed {
    /// Length of the file, bytes.
    pub bytes: u64,
    /// Original photos in it.
    pub photos: u32,
    /// Photos that are on record and could not come along: elsewhere, missing or damaged.
    pub left_out: u32,
}

impl Store {
    /// Packs the record into a new file, with the originals if asked to. The file is there whole or not at all.
    pub fn pack(&self, file: &Path, with_photos: bool) -> Result<Packed, Error> {
        new_file(file, |draft| self.pack_into(draft, with_photos))
    }

    pub(super) fn pack_into(&self, draft: &Path, with_photos: bool) -> Result<Packed, Error> {
        photos::remove_if_there(draft)?;
        // A store that is opened to read refuses every write, the ones into the new file included.
        let reads_only: bool = self.connection.pragma_query_value(None, "query_only", |row| row.get(0))?;
        self.connection.pragma_update(None, "query_only", false)?;
        let copied = self.connection.execute("VACUUM INTO ?1", params![draft.display().to_string()]);
        self.connection.pragma_update(None, "query_only", reads_only)?;
        copied?;
        let mut packed = Packed::default();
        let pack = Connection::open(draft)?;
        pack.execute_batch(
            "PRAGMA journal_mode = DELETE;
             CREATE TABLE carried (sha256 BLOB PRIMARY KEY, bytes BLOB NOT NULL) STRICT, WITHOUT ROWID;",
        )?;
        if with_photos {
            let mut wanted = self
                .connection
                .prepare("SELECT sha256 FROM blobs WHERE file = 1 AND state <> ?1 ORDER BY sha256")?;
            let hashes = wanted.query_map([BlobState::Erased.word()], |row| row.get::<_, [u8; 32]>(0))?;
            for hash in hashes {
                let hash = hash?;
                match self.photo(&canon::hex(&hash)) {
                    Ok(Some(bytes)) => {
                        pack.execute(
                            "INSERT INTO carried (sha256, bytes) VALUES (?1, ?2)",
                            params![hash, bytes],
                        )?;
                        packed.photos += 1;
                    }
                    Ok(None) | Err(Error::Damaged { .. }) => packed.left_out += 1,
                    Err(why) => return Err(why),
                }
            }
        }
        pack.close().map_err(|(_, why)| Error::from(why))?;
        packed.bytes = fs::metadata(draft).map_err(|why| io(draft, &why))?.len();
        Ok(packed)
    }

    /// Lays a packed record out as a folder in this store, to be read like any other. [`Unfolded`] removes it again.
    pub fn unfold(&self, file: &Path) -> Result<Unfolded, Error> {
        let refuse =
            |reason: &str| Error::NotJoined { log: file.display().to_string(), reason: reason.to_owned() };
        let mut head = [0; 16];
        let read = File::open(file).and_then(|mut it| it.read_exact(&mut head));
        match read {
            Err(why) if why.kind() == std::io::ErrorKind::UnexpectedEof => {
                return Err(refuse("it is no record: too short"));
            }
            Err(why) => return Err(io(file, &why)),
            Ok(()) if &head != SQLITE => return Err(refuse("it is no record: not a SQLite file")),
            Ok(()) => {}
        }
        sweep(&self.folder)?;
        let folder = self.folder.join(UNFOLDED);
        fs::create_dir_all(&folder).map_err(|why| io(&folder, &why))?;
        let unfolded = Unfolded { folder };
        // A copy: the other file may lie on a card that goes away, and is not to be changed.
        fs::copy(file, unfolded.folder.join(DATABASE)).map_err(|why| io(file, &why))?;
        Ok(unfolded)
    }

    /// A photo that a packed record carries; none in any other store.
    pub(super) fn carried(&self, sha256: &[u8; 32]) -> Result<Option<Vec<u8>>, Error> {
        let there = self.connection.table_exists(None, "carried")?;
        if !there {
            return Ok(None);
        }
        let mut query = self.connection.prepare_cached("SELECT bytes FROM carried WHERE sha256 = ?1")?;
        Ok(query.query_row([sha256], |row| row.get(0)).optional()?)
    }
}

/// Has a file written under another name, synced, and only then given its own, whole. Never over one that is there.
pub(super) fn new_file<T>(file: &Path, write: impl FnOnce(&Path) -> Result<T, Error>) -> Result<T, Error> {
    let taken =
        |reason: &str| Error::NotWritable { path: file.display().to_string(), reason: reason.to_owned() };
    if fs::symlink_metadata(file).is_ok() {
        return Err(taken("there is a file of this name already"));
    }
    let folder = file.parent().filter(|it| !it.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let draft = folder.join(format!(".sidelong-{}.new", std::process::id()));
    let done = write(&draft).and_then(|written| {
        File::open(&draft).and_then(|it| it.sync_all()).map_err(|why| io(&draft, &why))?;
        // Not a rename, which would go over a file that somebody put there in the meantime.
        fs::hard_link(&draft, file)
            .or_else(|_| {
                if file.exists() {
                    Err(std::io::ErrorKind::AlreadyExists.into())
                } else {
                    fs::rename(&draft, file)
                }
            })
            .map_err(|why| io(file, &why))?;
        photos::sync_folder(folder)?;
        Ok(written)
    });
    photos::remove_if_there(&draft)?;
    photos::remove_if_there(&beside(&draft))?;
    done
}

/// The journal that SQLite lays beside a file while it writes.
fn beside(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push("-journal");
    PathBuf::from(name)
}

/// A packed record laid out as a folder; removed when it is let go.
#[derive(Debug)]
pub struct Unfolded {
    folder: PathBuf,
}

impl Unfolded {
    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }
}

impl Drop for Unfolded {
    fn drop(&mut self) {
        // What cannot be removed now is removed at the next opening or taking in.
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// Removes what a taking-in that was cut off left behind.
pub(super) fn sweep(folder: &Path) -> Result<(), Error> {
    photos::remove_folder_if_there(&folder.join(UNFOLDED))
}
