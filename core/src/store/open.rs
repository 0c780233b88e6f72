//! Opening a store: lock, migrations, and the checks that must hold before anything is added. IO.
//!
//! Checked at every opening: the newest signed head against the stored tree's edge, the mirror against the head, and
//! the last [`RECENT`] leaves byte for byte. A mirror ahead of the database is damage; one behind is a crash between
//! commit and mirror, healed if it is consistent. The rest is the full check's (`check`).

use super::check::Finding;
use super::mirror::{self, Mirror, Mirrored};
use super::read::{Edge, Hashes, RECORDER};
use super::{DATABASE, Own, Store, io, short_hash};
use crate::error::Error;
use crate::log::head::LogKey;
use crate::log::tree as merkle;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, OptionalExtension as _, params};
use std::fs::{self, File, TryLockError};
use std::path::Path;

/// Numbered migrations; the format is the number of the last one (`PRAGMA user_version`).
const MIGRATIONS: &[&str] = &[
    include_str!("migrations/001_log.sql"),
    include_str!("migrations/002_about_logs.sql"),
    include_str!("migrations/003_witnessed.sql"),
];

/// Leaves that are looked through at every opening.
const RECENT: u64 = 1_000;

/// Found where a store's database holds no log that this phone writes.
const NO_OWN_LOG: &str = "this phone's own log is missing";

/// "Side", in the header of the SQLite file, so that other programs can tell what it is.
const APPLICATION_ID: i32 = 0x5369_6465;

impl Store {
    /// Opens a store to write; makes it if the folder holds none. `key` is asked for the key once it is known whether
    /// the store holds a log already.
    pub fn open(folder: &Path, key: impl FnOnce(bool) -> Result<LogKey, Error>) -> Result<Self, Error> {
        fs::create_dir_all(folder).map_err(|why| io(folder, &why))?;
        let lock = lock(folder, true)?;
        let path = folder.join(DATABASE);
        if !path.exists() {
            must_be_blank(folder, "the file is missing")?;
        }
        sync_left_behind(folder)?;
        let connection = connect(&path, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE)?;
        // Until all is found well, a write-ahead log that holds damage is left as it is: tidying it away would take
        // the events behind the damage with it.
        connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
        if !has_own_log(&connection)? {
            must_be_blank(folder, NO_OWN_LOG)?;
        }
        prepare(&connection)?;
        mirror::create(folder)?;
        super::photos::sync_folder(folder)?;
        super::photos::sweep(folder)?;
        super::pack::sweep(folder)?;
        super::backup::sweep(folder)?;
        let mut store = Self::over(folder, connection, Some(lock));
        let begun = has_own_log(&store.connection)?;
        store.own = Some(store.begin_log(key(begun)?)?);
        let mut findings = Vec::new();
        store.check_opening(&mut findings)?;
        if let Some(Finding { place, found }) = findings.into_iter().next() {
            return Err(Error::Damaged { place, found });
        }
        store.heal_mirror()?;
        store.open_tables()?;
        store.connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)?;
        // A joining or an erasure that was cut off. What cannot be finished now (a full disk) stays due, and the full
        // check tells an erasure: that keeps nobody from recording.
        let _ = store.refresh_due();
        let _ = store.scrub();
        Ok(store)
    }

    /// Opens a store to read, whatever its state: damage is found and told, nothing is changed.
    pub fn open_to_read(folder: &Path) -> Result<Self, Error> {
        let path = folder.join(DATABASE);
        let not_here = || Error::NotFound { what: format!("a store in {}", folder.display()) };
        if !path.exists() {
            must_be_blank(folder, "the file is missing")?;
            return Err(not_here());
        }
        let lock = match lock(folder, false) {
            Ok(file) => Some(file),
            Err(Error::NotWritable { .. } | Error::Io { .. }) => None,
            Err(why) => return Err(why),
        };
        let writable = lock.is_some() && File::options().write(true).open(&path).is_ok();
        let connection = if writable {
            connect(&path, OpenFlags::SQLITE_OPEN_READ_WRITE)?
        } else {
            let log = folder.join(format!("{DATABASE}-wal"));
            if fs::metadata(&log).is_ok_and(|log| log.len() > 0) {
                return Err(Error::NotWritable {
                    path: folder.display().to_string(),
                    reason: "it was not closed in order; copy the folder to where it can be written, open it there".to_owned(),
                });
            }
            // A folder that cannot be written has no room for the files that SQLite shares between readers.
            let uri = format!("file:{}?immutable=1", escape(&path.display().to_string()));
            connect(Path::new(&uri), OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI)?
        };
        connection.execute_batch("PRAGMA wal_autocheckpoint = 0; PRAGMA query_only = 1;")?;
        connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
        if version(&connection)? == 0 {
            must_be_blank(folder, NO_OWN_LOG)?;
            return Err(not_here());
        }
        let mut store = Self::over(folder, connection, lock);
        let mut findings = Vec::new();
        store.check_opening(&mut findings)?;
        store.findings = findings;
        Ok(store)
    }

    fn begin_log(&self, key: LogKey) -> Result<Own, Error> {
        let row: Option<(i64, String, u64)> = self
            .connection
            .query_row("SELECT id, name, size FROM logs WHERE own = 1", [], |row| {
                Ok((row.get(0)?, row.get(1)?, row.get(2)?))
            })
            .optional()?;
        match row {
            Some((id, name, size)) if name == key.name() => {
                let recorder = self.latest_about_log(id, RECORDER)?.map(|(seq, _)| seq);
                Ok(Own { id, key, size, recorder, edge: Edge::default() })
            }
            Some((_, name, _)) => Err(Error::SeedMissing { log: name }),
            None => {
                self.connection.execute(
                    "INSERT INTO logs (name, public, own) VALUES (?1, ?2, 1)",
                    params![key.name(), key.public()],
                )?;
                let id = self.connection.last_insert_rowid();
                Ok(Own { id, key, size: 0, recorder: None, edge: Edge::default() })
            }
        }
    }

    /// What must hold before anything is added; see the file's head.
    fn check_opening(&mut self, findings: &mut Vec<Finding>) -> Result<(), Error> {
        let logs = self.logs()?;
        if !logs.iter().any(|log| log.own) && (!logs.is_empty() || !mirror::is_blank(&self.folder)?) {
            findings.push(Finding { place: DATABASE.to_owned(), found: NO_OWN_LOG.to_owned() });
        }
        for log in logs {
            let hashes = Hashes { connection: &self.connection, log: log.id };
            findings.extend(self.head_finding(&log));
            if log.own {
                let mirrored = mirror::read(&self.folder, &log.name, &log.public)?;
                if let Some(found) = mirror_finding(&mirrored, log.size, &hashes) {
                    findings.push(Finding { place: "head.mirror".to_owned(), found });
                }
            }
            for seq in log.size.saturating_sub(RECENT)..log.size {
                if let Some(finding) = self.check_leaf(&log, seq, false)? {
                    findings.push(finding);
                }
            }
        }
        Ok(())
    }

    /// Brings the mirror up to the head, after a crash between commit and mirror.
    pub(super) fn heal_mirror(&mut self) -> Result<(), Error> {
        let own = self.own()?;
        if self.mirror.as_ref().is_some_and(|mirror| mirror.size == own.size) {
            return Ok(());
        }
        let (size, head): (u64, Option<Vec<u8>>) = self
            .connection
            .prepare_cached("SELECT size, head FROM logs WHERE id = ?1")?
            .query_row([own.id], |row| Ok((row.get(0)?, row.get(1)?)))?;
        if self.mirror.is_none() {
            let (held, slot) = match mirror::read(&self.folder, own.key.name(), &own.key.public())? {
                Mirrored::Head(head, slot) => (head.size, Some(slot)),
                _ => (0, None),
            };
            self.mirror = Some(Mirror::open(&self.folder, held, slot)?);
        }
        match (&mut self.mirror, head) {
            (Some(mirror), Some(head)) if mirror.size < size => mirror.write(&head, size),
            _ => Ok(()),
        }
    }
}

fn mirror_finding(mirrored: &Mirrored, size: u64, hashes: &Hashes<'_>) -> Option<String> {
    match mirrored {
        Mirrored::Missing if size > 0 => Some("the file is missing".to_owned()),
        Mirrored::Unreadable => Some("holds no head that verifies".to_owned()),
        Mirrored::Head(head, _) if head.size > size => Some(format!(
            "says {} leaves, the database holds {size}: {} that were saved are missing from the database",
            head.size,
            head.size - size
        )),
        Mirrored::Head(head, _) => {
            let root = merkle::root(head.size, hashes);
            let now = root.as_ref().map_or("none".to_owned(), |root| short_hash(*root));
            (!root.is_ok_and(|root| root == head.root)).then(|| {
                format!(
                    "the first {} leaves gave root {} when they were saved and give {now} now",
                    head.size,
                    short_hash(head.root),
                )
            })
        }
        Mirrored::Missing | Mirrored::Empty => None,
    }
}

/// A database without this phone's log may stand beside a mirror that was never written, and beside no other: what it
/// held is lost, and beginning anew on top of it would bury that.
fn must_be_blank(folder: &Path, found: &str) -> Result<(), Error> {
    if mirror::is_blank(folder)? {
        return Ok(());
    }
    let found = format!("{found}, and head.mirror says that entries were saved");
    Err(Error::Damaged { place: DATABASE.to_owned(), found })
}

fn has_own_log(connection: &Connection) -> Result<bool, Error> {
    Ok(version(connection)? > 0
        && connection.query_row("SELECT EXISTS (SELECT 1 FROM logs WHERE own = 1)", [], |row| row.get(0))?)
}

/// A program that was killed may have left in the system's memory what is not on the disk yet. It is brought there
/// before anything is built on it. The folder above is synced if it can be opened: a store's folder may be new in it.
fn sync_left_behind(folder: &Path) -> Result<(), Error> {
    let log = folder.join(format!("{DATABASE}-wal"));
    match File::open(&log) {
        Ok(file) => file.sync_all().map_err(|why| io(&log, &why))?,
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => {}
        Err(why) => return Err(io(&log, &why)),
    }
    let above = folder.parent().filter(|above| !above.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let _ = super::photos::sync_folder(above);
    Ok(())
}

fn lock(folder: &Path, write: bool) -> Result<File, Error> {
    let path = folder.join("lock");
    let mut options = File::options();
    options.read(true);
    if write || !path.exists() {
        options.write(true).create(true).truncate(false);
    }
    let file = options.open(&path).map_err(|why| match io(&path, &why) {
        Error::NotWritable { reason, .. } => {
            Error::NotWritable { path: folder.display().to_string(), reason }
        }
        other => other,
    })?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(Error::InUse { path: folder.display().to_string() }),
        Err(TryLockError::Error(why)) => Err(io(&path, &why)),
    }
}

fn connect(path: &Path, flags: OpenFlags) -> Result<Connection, Error> {
    let connection = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    // The lock file keeps other processes out, so SQLite need not share its index of the write-ahead log either.
    connection.execute_batch(
        "PRAGMA locking_mode = EXCLUSIVE;
         PRAGMA trusted_schema = OFF;
         PRAGMA cell_size_check = ON;
         PRAGMA foreign_keys = ON;
         PRAGMA secure_delete = ON;",
    )?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

fn version(connection: &Connection) -> Result<u32, Error> {
    let found: u32 = connection.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    let known = u32::try_from(MIGRATIONS.len()).unwrap_or(u32::MAX);
    if found > known { Err(Error::StoreNewer { found, known }) } else { Ok(found) }
}

fn prepare(connection: &Connection) -> Result<(), Error> {
    let found = version(connection)?;
    let mode: String = connection.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    if !mode.eq_ignore_ascii_case("wal") {
        return Err(Error::internal(format!("journal mode {mode}")));
    }
    connection.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON;",
    )?;
    for (done, migration) in (1_u32..).zip(MIGRATIONS).skip(found as usize) {
        connection.execute_batch(&format!(
            "BEGIN IMMEDIATE; {migration} PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {done}; COMMIT;"
        ))?;
    }
    Ok(())
}

/// Escapes what has a meaning in a SQLite URI.
fn escape(path: &str) -> String {
    path.replace('%', "%25").replace('?', "%3f").replace('#', "%23")
}
