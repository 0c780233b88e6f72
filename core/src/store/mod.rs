//! Where the record is kept: a SQLite file, photos as files beside it, and the newest signed head mirrored in a small
//! file of its own. IO; with `share` the only place that touches files. Nothing here is overwritten but tables across
//! jobs, which can be built again.
//!
//! Order of writes: photo to a temporary name, fsync, rename, fsync of the folder; then one transaction with the
//! events, their hashes, the small blobs and the new signed head; then the head mirrored; only then "saved".

mod ahead;
mod append;
mod archive;
mod backup;
mod bag;
mod bundle;
mod check;
mod erase;
mod export;
mod jobs;
mod mirror;
mod open;
mod pack;
mod past;
mod photos;
mod read;
mod retain;
mod take_in;
mod time;
mod vault;
mod witness;
mod work;

pub use append::Remembered;
pub use archive::{Archived, Brought, Released};
pub use backup::Restoring;
pub use bag::{Bag, open_bag};
pub use bundle::{Bundled, Wish};
pub use check::{Check, Finding};
pub use erase::Erased;
pub use export::Exported;
pub use jobs::JobRow;
pub use pack::{Packed, Unfolded};
pub use photos::read_named;
pub use read::LogRow;
pub use retain::Due;
pub use take_in::{Incoming, StoredLog, Taken, Wanted};
pub use vault::FileVault;
pub use witness::{Contradicted, Cosigning, TakenCosigned};
pub use work::{LotRow, SheetRow};

use crate::error::Error;
use crate::log::Hash;
use crate::log::head::LogKey;
use crate::record::fold::{DeviceSaid, Job};
use ahead::Ahead;
use mirror::Mirror;
use read::Edge;
use rusqlite::Connection;
use std::collections::BTreeMap;
use std::fs::File;
use std::path::{Path, PathBuf};
use uuid::Uuid;

/// Name of the SQLite file in a store's folder.
pub const DATABASE: &str = "sidelong.db";

/// Jobs that are kept folded, so that an act on the job at hand does not fold it anew.
const FOLDED_JOBS: usize = 8;

/// `place` of number `n` in log `id`.
fn place(id: i64, n: u64) -> i64 {
    (id << 40) | i64::try_from(n).unwrap_or(i64::MAX >> 24)
}

/// This phone's log as it stands in the file.
struct Own {
    id: i64,
    key: LogKey,
    size: u64,
    /// Number of the event that says who records.
    recorder: Option<u64>,
    /// Hashes at the edge of its tree.
    edge: Edge,
}

/// An open store.
pub struct Store {
    folder: PathBuf,
    connection: Connection,
    /// None when it was opened to read.
    own: Option<Own>,
    mirror: Option<Mirror>,
    /// None before the first append.
    ahead: Option<Ahead>,
    folded: BTreeMap<Uuid, Job>,
    /// What was said of phones, as the folded jobs have it; read anew whenever none is folded.
    devices: Vec<DeviceSaid>,
    /// What opening found wrong; empty unless it was opened to read.
    findings: Vec<Finding>,
    /// Held for as long as the store is open, so that no other process writes.
    _lock: Option<File>,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Store").field("folder", &self.folder).finish_non_exhaustive()
    }
}

impl Store {
    /// A store over an open database, of which nothing is known yet.
    fn over(folder: &Path, connection: Connection, lock: Option<File>) -> Self {
        Self {
            folder: folder.to_owned(),
            connection,
            own: None,
            mirror: None,
            ahead: None,
            folded: BTreeMap::new(),
            devices: Vec::new(),
            findings: Vec::new(),
            _lock: lock,
        }
    }

    /// Folder of the store.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What opening found wrong; only a store opened to read has any.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// Name of the log that this phone writes.
    pub fn own_name(&self) -> Result<String, Error> {
        Ok(self.own()?.key.name().to_owned())
    }

    fn own(&self) -> Result<&Own, Error> {
        self.own.as_ref().ok_or_else(|| Error::NotWritable {
            path: self.folder.display().to_string(),
            reason: "opened to read".to_owned(),
        })
    }
}

impl From<rusqlite::Error> for Error {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode as Code;
        let text = error.to_string();
        let path = DATABASE.to_owned();
        // What this program wrote is of the type that it reads: another one is not what was written.
        if let rusqlite::Error::InvalidColumnType(..)
        | rusqlite::Error::FromSqlConversionFailure(..)
        | rusqlite::Error::IntegralValueOutOfRange(..) = &error
        {
            return Self::Damaged { place: path, found: text };
        }
        match error.sqlite_error_code() {
            Some(Code::DiskFull) => Self::StorageFull,
            Some(Code::DatabaseBusy | Code::DatabaseLocked) => Self::InUse { path },
            Some(Code::ReadOnly | Code::PermissionDenied | Code::CannotOpen) => {
                Self::NotWritable { path, reason: text }
            }
            Some(Code::DatabaseCorrupt | Code::NotADatabase) => Self::Damaged { place: path, found: text },
            Some(Code::SystemIoFailure) => Self::Io { path, reason: text },
            _ => Self::internal(format!("sqlite: {text}")),
        }
    }
}

fn io(path: &Path, error: &std::io::Error) -> Error {
    use std::io::ErrorKind as Kind;
    let (path, reason) = (path.display().to_string(), error.to_string());
    match error.kind() {
        Kind::StorageFull | Kind::QuotaExceeded => Error::StorageFull,
        Kind::PermissionDenied | Kind::ReadOnlyFilesystem => Error::NotWritable { path, reason },
        _ => Error::Io { path, reason },
    }
}

fn tree(error: tlog_tiles::Error) -> Error {
    Error::Damaged { place: format!("{DATABASE}, tree hashes"), found: error.to_string() }
}

fn short_hash(hash: Hash) -> String {
    crate::log::canon::hex(&hash.0[..6])
}
