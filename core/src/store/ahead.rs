//! Keeps the file of SQLite's write-ahead log longer than what stands in it, so that few commits make it grow. To sync a file
//! that grew, a file system has to write down its new length too: on the machines of `tests/bench` that costs as much
//! again as the sync of what was written. IO.
//!
//! What is written ahead are zeros. SQLite takes a write-ahead log up to the first frame whose salt and checksum do not fit
//! (<https://www.sqlite.org/fileformat2.html>, section 4.2), so zeros are what follows the log's end, as is whatever an earlier
//! round left there. They are synced with the commit that comes next; nothing depends on their being there, so what goes
//! wrong here keeps nobody from recording.

use super::DATABASE;
use std::fs::File;
use std::io::{Seek as _, SeekFrom, Write as _};
use std::path::Path;

/// A page with the header that a frame has.
const FRAME: u64 = 24 + 4096;

/// Least and most that is written ahead at a time, bytes: a store that is opened for one entry pays little, and a long
/// visit seldom.
const LEAST: u64 = 32 * FRAME;
const MOST: u64 = 128 * FRAME;

/// Length at which SQLite, left to its own, begins the log again from its start: 1,000 pages and a header.
const FULL: u64 = 32 + 1_000 * FRAME;

/// The file of an open store's write-ahead log.
#[derive(Debug)]
pub(super) struct Ahead {
    file: File,
    /// Its length when it was last looked at.
    len: u64,
}

impl Ahead {
    /// None while SQLite has not made the file.
    pub(super) fn open(folder: &Path) -> Option<Self> {
        let file = File::options().write(true).open(folder.join(format!("{DATABASE}-wal"))).ok()?;
        Some(Self { file, len: 0 })
    }

    /// Writes ahead if the log grew since the last time: by as much as there is, so that it is done seldom. For a time when
    /// no transaction is open.
    pub(super) fn keep(&mut self) {
        let Ok(len) = self.file.metadata().map(|facts| facts.len()) else { return };
        if len > self.len && len < FULL {
            let more = len.clamp(LEAST, MOST).min(FULL - len);
            let zeros = vec![0; usize::try_from(more).unwrap_or_default()];
            // A full disk is told by the commit, if that needs room.
            let _ = self.file.seek(SeekFrom::Start(len)).and_then(|_| self.file.write_all(&zeros));
            self.len = len + more;
        } else {
            self.len = len;
        }
    }
}
