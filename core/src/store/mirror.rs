//! The newest signed head, mirrored outside the database: a database that lost committed rows (a changed or cut
//! write-ahead log is not noticed by SQLite) is behind its mirror. IO.
//!
//! Two slots of a fixed size are written in turn; a slot that was torn by a power cut does not verify, and the other one
//! is used. Slots hold signed heads padded with zero bytes.
//!
//! A head is written before its entries are said to be saved, and synced at once by a thread of its own, for which nobody
//! waits but the next head: never is more than one slot on its way to the disk. What was saved is in the database, which was
//! synced before. A power cut within those milliseconds leaves the mirror one append behind, as a kill between commit and
//! mirror does; what the mirror is there for, a write-ahead log that is cut or changed, comes later.

use super::io;
use crate::error::Error;
use crate::log::head::{self, Head};
use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{Builder, JoinHandle};

const SLOT: usize = 1024;
pub(super) const NAME: &str = "head.mirror";

/// The mirror file of a store.
#[derive(Debug)]
pub(super) struct Mirror {
    file: Arc<File>,
    path: PathBuf,
    /// None where no thread could be had: then whoever writes syncs.
    syncer: Option<Syncer>,
    /// The slot to write next: never the one in force.
    next: usize,
    /// Size of the log that the mirror holds.
    pub(super) size: u64,
}

/// What the mirror of a store says.
#[derive(Debug)]
pub(super) enum Mirrored {
    /// No file: it was removed, because a store is made with one.
    Missing,
    /// Both slots are as they were made, or its making was cut short.
    Empty,
    /// The newest head that verifies, and its slot.
    Head(Head, usize),
    /// Something is written and nothing verifies.
    Unreadable,
}

/// Makes an empty mirror, synced, unless there is one.
pub(super) fn create(folder: &Path) -> Result<(), Error> {
    let path = folder.join(NAME);
    match File::options().write(true).create_new(true).open(&path) {
        Ok(mut file) => {
            file.write_all(&[0; 2 * SLOT]).and_then(|()| file.sync_all()).map_err(|why| io(&path, &why))
        }
        Err(why) if why.kind() == std::io::ErrorKind::AlreadyExists => Ok(()),
        Err(why) => Err(io(&path, &why)),
    }
}

/// True when no head was ever mirrored here.
pub(super) fn is_blank(folder: &Path) -> Result<bool, Error> {
    let path = folder.join(NAME);
    match std::fs::read(&path) {
        Ok(bytes) => Ok(bytes.iter().all(|byte| *byte == 0)),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => Ok(true),
        Err(why) => Err(io(&path, &why)),
    }
}

/// Reads the mirror of the log with this name and key.
pub(super) fn read(folder: &Path, log: &str, public: &[u8; 32]) -> Result<Mirrored, Error> {
    let path = folder.join(NAME);
    let mut bytes = Vec::new();
    match File::open(&path) {
        Ok(file) => file.take(4 * SLOT as u64).read_to_end(&mut bytes).map_err(|why| io(&path, &why))?,
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => return Ok(Mirrored::Missing),
        Err(why) => return Err(io(&path, &why)),
    };
    if bytes.iter().all(|byte| *byte == 0) {
        return Ok(Mirrored::Empty);
    }
    let newest = bytes
        .chunks(SLOT)
        .enumerate()
        .filter_map(|(number, slot)| {
            let end = slot.iter().position(|byte| *byte == 0).unwrap_or(slot.len());
            Some((head::read(slot.get(..end)?, log, public).ok()?, number))
        })
        .max_by_key(|(head, _)| head.size);
    Ok(newest.map_or(Mirrored::Unreadable, |(head, slot)| Mirrored::Head(head, slot)))
}

impl Mirror {
    /// Opens the mirror to write; `size` and `slot` are what it holds now, which is brought to the disk: a program that
    /// was killed may not have come to it.
    pub(super) fn open(folder: &Path, size: u64, slot: Option<usize>) -> Result<Self, Error> {
        let path = folder.join(NAME);
        let file = Arc::new(File::options().write(true).open(&path).map_err(|why| io(&path, &why))?);
        file.sync_data().map_err(|why| io(&path, &why))?;
        let syncer = Syncer::start(file.clone());
        Ok(Self { file, path, syncer, next: slot.map_or(0, |slot| 1 - slot.min(1)), size })
    }

    /// Mirrors a head of a log of `size` leaves. Fails, too, if the head before it could not be synced.
    pub(super) fn write(&mut self, note: &[u8], size: u64) -> Result<(), Error> {
        let mut slot = [0; SLOT];
        let Some(room) = slot.get_mut(..note.len()) else { return Err(Error::internal("mirror.slot")) };
        room.copy_from_slice(note);
        self.write_slot(&slot).map_err(|why| io(&self.path, &why))?;
        self.next = 1 - self.next;
        self.size = size;
        Ok(())
    }

    fn write_slot(&mut self, slot: &[u8]) -> std::io::Result<()> {
        if let Some(Err(why)) = self.syncer.as_mut().map(Syncer::wait) {
            // What stands in the other slot is all that is known to be on the disk: the failed one is written again.
            self.next = 1 - self.next;
            return Err(why);
        }
        let mut file = &*self.file;
        file.seek(SeekFrom::Start((self.next * SLOT) as u64))?;
        file.write_all(slot)?;
        match &mut self.syncer {
            Some(syncer) => syncer.ask(),
            None => self.file.sync_data(),
        }
    }
}

/// A thread that syncs a file when it is asked to.
#[derive(Debug)]
struct Syncer {
    /// None once it is to end.
    asks: Option<Sender<()>>,
    done: Receiver<std::io::Result<()>>,
    /// True while an answer is to come.
    asked: bool,
    thread: Option<JoinHandle<()>>,
}

impl Syncer {
    fn start(file: Arc<File>) -> Option<Self> {
        let (asks, asked) = channel();
        let (answers, done) = channel();
        let sync = move || {
            for () in asked {
                if answers.send(file.sync_data()).is_err() {
                    break;
                }
            }
        };
        let thread = Builder::new().name("mirror".to_owned()).spawn(sync).ok()?;
        Some(Self { asks: Some(asks), done, asked: false, thread: Some(thread) })
    }

    fn ask(&mut self) -> std::io::Result<()> {
        let asked = self.asks.as_ref().map(|asks| asks.send(()));
        self.asked = matches!(asked, Some(Ok(())));
        if self.asked { Ok(()) } else { Err(std::io::ErrorKind::BrokenPipe.into()) }
    }

    /// Waits until what was asked for is done.
    fn wait(&mut self) -> std::io::Result<()> {
        if !std::mem::take(&mut self.asked) {
            return Ok(());
        }
        self.done.recv().unwrap_or_else(|_| Err(std::io::ErrorKind::BrokenPipe.into()))
    }
}

impl Drop for Syncer {
    /// A store that is closed has its mirror on the disk.
    fn drop(&mut self) {
        self.asks = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}
