//! The record as one encrypted file, and a notebook made from it again.

use super::join::{JoinView, PackView};
use super::notebook::Notebook;
use super::platform::Platform;
use crate::error::Error;
use crate::log::head::LogKey;
use crate::record::words::Locale;
use crate::store::{LogRow, Restoring, Store};
use serde::Serialize;
use std::path::Path;

/// The log that the phone wrote of which the backup was made; the new log says that it goes on from there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct OldLogView {
    /// Its name.
    pub log: String,
    /// Its entries in the backup.
    pub size: u64,
    /// Its newest signed head in the backup, a C2SP signed note.
    pub head: String,
}

/// What came of restoring a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct RestoreView {
    /// Name of the log that is written from here on.
    pub log: String,
    /// The log that was written before; none if nothing was.
    pub old_log: Option<OldLogView>,
    /// What was taken in, log by log.
    pub joined: JoinView,
}

#[uniffi::export]
impl Notebook {
    /// Backs the whole record up into one new file that the passphrase opens, with all originals that are here. The seed with
    /// which this phone signs is not in it, nor anything that was erased.
    ///
    /// # Errors
    /// The passphrase is shorter than 8 letters, there is a file of this name, or it could not be written; then there is none.
    pub fn back_up(&self, file: String, passphrase: String) -> Result<PackView, Error> {
        let packed = self.lock()?.back_up(Path::new(&file), &passphrase)?;
        Ok(PackView { bytes: packed.bytes, photos: packed.photos, left_out: packed.left_out })
    }
}

/// Makes a notebook from a backup, in an empty or new folder. It writes a log of its own from here on; the one that the
/// backup holds is joined, each entry checked. The notebook is opened as any other afterwards.
///
/// # Errors
/// `Refused` names the passphrase if it does not open the file; `NotJoined` a file that is no backup, cut or changed, or a
/// device that still holds the old log's seed; `NotWritable` a folder that is not empty. No notebook is there then, and
/// restoring can be tried again.
#[uniffi::export]
pub fn restore(
    file: String,
    passphrase: String,
    path: String,
    platform: Platform,
) -> Result<RestoreView, Error> {
    let restoring = Restoring::begin(Path::new(&path), Path::new(&file), &passphrase)?;
    let record = restoring.record();
    let logs = Store::open_to_read(&record)?.logs()?;
    if let Some(seed) = platform.vault.load()?
        && let Ok(seed) = <[u8; 32]>::try_from(seed)
    {
        let log = LogKey::from_seed(&seed, platform.demo).name().to_owned();
        if logs.iter().any(|row| row.name == log) {
            // Entries after the backup may be on other phones: going on under this key from here would contradict them.
            let reason = "this device still holds the seed with which this log was signed, and what was recorded after \
                          the backup would be contradicted; open the notebook that is here, or remove its seed";
            return Err(Error::NotJoined { log, reason: reason.to_owned() });
        }
    }
    let notebook = Notebook::open(restoring.store().display().to_string(), platform)?;
    let joined = notebook.join(record.display().to_string())?;
    let log = notebook.log_name()?;
    let old_log = logs.into_iter().find(|row| row.own).and_then(old_log);
    // A log that was refused is told under `joined`, and nothing goes on from it.
    if let Some(old) = &old_log
        && notebook.devices(Locale::EnGb)?.iter().any(|it| it.log == old.log && it.entries > 0)
    {
        notebook.add_device(old.log.clone(), true)?;
    }
    drop(notebook);
    restoring.finish()?;
    Ok(RestoreView { log, old_log, joined })
}

fn old_log(row: LogRow) -> Option<OldLogView> {
    Some(OldLogView { log: row.name, size: row.size, head: String::from_utf8(row.head?).ok()? })
}
