//! The whole record as one file that only a passphrase opens, and its way back into an empty folder. IO.
//!
//! The file is an age file (<https://age-encryption.org/v1>, by the crate `age`) for a passphrase (scrypt), of a packed record
//! (`pack`): any other program that knows age opens it, and what comes out is a SQLite file. The key with which the phone
//! signs is not in it: whoever restores a backup goes on in a log of their own, into which the old one is joined.
//!
//! Written: packed in the store's own folder, so that nothing readable ever lies where the backup goes; encrypted from there
//! to another name beside the target, synced, given its name.
//! Restored: into a folder `sidelong-restoring` of the target folder, where a new store is made and the record joined, each
//! entry checked. That store's files are moved up one by one, the database last; with its rename the store is there.
//! Cut off before, there is none, and restoring begins anew.

use super::pack::{Packed, SQLITE, new_file};
use super::{DATABASE, Store, io, photos};
use crate::error::Error;
use age::secrecy::SecretString;
use age::{DecryptError, Decryptor, Encryptor, scrypt};
use std::fs::{self, File};
use std::io::{BufReader, BufWriter, Read, Write};
use std::iter;
use std::path::{Path, PathBuf};

/// Folder of a store in which its record is packed before it is encrypted.
const OUTGOING: &str = "outgoing-record";
/// Folder in which a store is restored.
const RESTORING: &str = "sidelong-restoring";

/// Work of trying one passphrase, as a power of two: 2^17 with scrypt's r = 8, p = 1 needs 128 MiB and some tenths of a second on
/// a phone. The least that the OWASP Password Storage Cheat Sheet advises (from memory).
const WORK: u8 = 17;
/// Most work that a file may ask for when it is opened: 256 MiB, what other programs that write age files use.
const MOST_WORK: u8 = 18;
/// Letters; NIST SP 800-63B section 5.1.1 (from memory) asks for as many of a secret that somebody chose.
const SHORTEST: usize = 8;

impl Store {
    /// Backs the record up into a new file, with all originals that are here. The file is there whole or not at all.
    pub fn back_up(&self, file: &Path, passphrase: &str) -> Result<Packed, Error> {
        if passphrase.chars().count() < SHORTEST {
            return Err(Error::refused("passphrase", format!("at least {SHORTEST} letters are needed")));
        }
        sweep(&self.folder)?;
        let folder = self.folder.join(OUTGOING);
        let done = new_file(file, |draft| {
            fs::create_dir(&folder).map_err(|why| io(&folder, &why))?;
            let record = folder.join(DATABASE);
            let packed = self.pack_into(&record, true)?;
            let bytes = encrypt(&record, draft, passphrase)?;
            Ok(Packed { bytes, ..packed })
        });
        sweep(&self.folder)?;
        done
    }
}

/// Removes what a backing up, or a restoring whose store is in place, left behind when it was cut off.
pub(super) fn sweep(folder: &Path) -> Result<(), Error> {
    photos::remove_folder_if_there(&folder.join(OUTGOING))?;
    photos::remove_folder_if_there(&folder.join(RESTORING))
}

/// Length of the encrypted file.
fn encrypt(record: &Path, draft: &Path, passphrase: &str) -> Result<u64, Error> {
    let unwritten = |why: std::io::Error| io(draft, &why);
    let mut recipient = scrypt::Recipient::new(SecretString::from(passphrase.to_owned()));
    recipient.set_work_factor(WORK);
    let encryptor = Encryptor::with_recipients(iter::once(&recipient as &dyn age::Recipient))
        .map_err(|why| Error::internal(format!("backup: {why}")))?;
    let mut from = File::open(record).map_err(|why| io(record, &why))?;
    let to = File::create(draft).map_err(unwritten)?;
    let mut sealed = encryptor.wrap_output(BufWriter::new(to)).map_err(unwritten)?;
    copy(&mut from, &mut sealed, &|why| io(record, &why), &unwritten)?;
    let file = sealed.finish().and_then(|out| out.into_inner().map_err(Into::into)).map_err(unwritten)?;
    Ok(file.metadata().map_err(unwritten)?.len())
}

/// Opens a backup and writes what is in it to `record`.
fn decrypt(file: &Path, record: &Path, passphrase: &str) -> Result<(), Error> {
    let refuse = |reason: String| Error::NotJoined { log: file.display().to_string(), reason };
    let input = File::open(file).map_err(|why| io(file, &why))?;
    let spoilt = |why: std::io::Error| match why.kind() {
        std::io::ErrorKind::UnexpectedEof => refuse("the backup is cut short".to_owned()),
        std::io::ErrorKind::InvalidData | std::io::ErrorKind::Other => {
            refuse("the backup is cut short, or was changed".to_owned())
        }
        _ => io(file, &why),
    };
    let none = || {
        refuse(
            "it is no backup: not an age file for a passphrase, or its beginning is cut or was changed"
                .to_owned(),
        )
    };
    let decryptor = Decryptor::new_buffered(BufReader::new(input)).map_err(|why| match why {
        // A disk that fails is another matter than a file that is too short.
        DecryptError::Io(why) if why.raw_os_error().is_some() => io(file, &why),
        _ => none(),
    })?;
    let mut identity = scrypt::Identity::new(SecretString::from(passphrase.to_owned()));
    identity.set_max_work_factor(MOST_WORK);
    let opened = decryptor.decrypt(iter::once(&identity as &dyn age::Identity));
    let mut opened = opened.map_err(|why| match why {
        DecryptError::DecryptionFailed | DecryptError::KeyDecryptionFailed => {
            Error::refused("passphrase", "it does not open this backup")
        }
        DecryptError::ExcessiveWork { required, .. } => refuse(format!(
            "it asks for 2^{required} steps of work to try a passphrase; at most 2^{MOST_WORK} are done here"
        )),
        DecryptError::Io(why) => spoilt(why),
        _ => none(),
    })?;
    let mut begins = [0; SQLITE.len()];
    opened.read_exact(&mut begins).map_err(spoilt)?;
    if &begins != SQLITE {
        return Err(refuse("what is in it is no record".to_owned()));
    }
    let mut to = File::create_new(record).map_err(|why| io(record, &why))?;
    to.write_all(&begins).map_err(|why| io(record, &why))?;
    copy(&mut opened, &mut to, &spoilt, &|why| io(record, &why))
}

/// As `std::io::copy`, and says which side failed.
fn copy(
    from: &mut impl Read,
    to: &mut impl Write,
    unread: &dyn Fn(std::io::Error) -> Error,
    unwritten: &dyn Fn(std::io::Error) -> Error,
) -> Result<(), Error> {
    let mut some = vec![0; 1 << 16];
    loop {
        match from.read(&mut some) {
            Ok(0) => return Ok(()),
            Ok(read) => to.write_all(some.get(..read).unwrap_or_default()).map_err(unwritten)?,
            Err(why) if why.kind() == std::io::ErrorKind::Interrupted => {}
            Err(why) => return Err(unread(why)),
        }
    }
}

/// A backup that was opened, and the store that is being made of it.
#[derive(Debug)]
pub struct Restoring {
    folder: PathBuf,
}

impl Restoring {
    /// Opens a backup in an empty or new folder. Whatever is wrong with the file or the passphrase is told here, and
    /// leaves the folder as it was.
    pub fn begin(folder: &Path, file: &Path, passphrase: &str) -> Result<Self, Error> {
        let new = !folder.exists();
        if !new {
            must_be_free(folder)?;
        }
        let inner = folder.join(RESTORING);
        let begun = inner.exists();
        // What an earlier restoring left in it, and had begun to move up.
        for left in [inner.clone(), folder.join(photos::PHOTOS)] {
            photos::remove_folder_if_there(&left)?;
        }
        photos::remove_if_there(&folder.join(super::mirror::NAME))?;
        let restoring = Self { folder: folder.to_owned() };
        let record = restoring.record();
        let opened = fs::create_dir_all(&record)
            .map_err(|why| io(&record, &why))
            .and_then(|()| decrypt(file, &record.join(DATABASE), passphrase));
        if let Err(why) = opened {
            let _ = fs::remove_dir_all(&inner);
            if begun {
                let _ = fs::create_dir(&inner);
            } else if new {
                let _ = fs::remove_dir(folder);
            }
            return Err(why);
        }
        Ok(restoring)
    }

    /// Folder of the record that was in the backup.
    pub fn record(&self) -> PathBuf {
        self.folder.join(RESTORING).join("record")
    }

    /// Folder in which the new store is to be made, and closed before it is moved.
    pub fn store(&self) -> PathBuf {
        self.folder.join(RESTORING).join("store")
    }

    /// Moves the new store to its place. When this returns it is there.
    pub fn finish(self) -> Result<(), Error> {
        let store = self.store();
        let inside = fs::read_dir(&store).map_err(|why| io(&store, &why))?;
        let mut names = inside.map(|it| it.map(|it| it.file_name())).collect::<Result<Vec<_>, _>>();
        if let Ok(names) = &mut names {
            // The database last: with it the store is there.
            names.sort_by_key(|name| name == DATABASE);
        }
        for name in names.map_err(|why| io(&store, &why))? {
            if name == DATABASE {
                photos::sync_folder(&self.folder)?;
            }
            let to = self.folder.join(&name);
            fs::rename(store.join(&name), &to).map_err(|why| io(&to, &why))?;
        }
        photos::sync_folder(&self.folder)?;
        photos::remove_folder_if_there(&self.folder.join(RESTORING))
    }
}

/// Empty, or what a restoring that was cut off left: then it holds that folder, and no database.
fn must_be_free(folder: &Path) -> Result<(), Error> {
    let mut inside = fs::read_dir(folder).map_err(|why| io(folder, &why))?;
    let begun = folder.join(RESTORING).exists() && !folder.join(DATABASE).exists();
    if begun || inside.next().is_none() {
        return Ok(());
    }
    Err(Error::NotWritable {
        path: folder.display().to_string(),
        reason: "it is not empty; a backup is restored into an empty or new folder".to_owned(),
    })
}

impl Drop for Restoring {
    /// A restoring that did not come to its end: what can be read goes, the mark that one was begun stays.
    fn drop(&mut self) {
        let inner = self.folder.join(RESTORING);
        if inner.exists() {
            let _ = fs::remove_dir_all(&inner);
            if !self.folder.join(DATABASE).exists() {
                let _ = fs::create_dir(&inner);
            }
        }
    }
}
