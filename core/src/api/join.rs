//! Another phone's record.

use super::notebook::{Notebook, Reader};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, LogSeen, short_log};
use crate::share;
use crate::store::Store;
use serde::Serialize;
use std::path::Path;

/// A log of which something new was taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct TakenView {
    /// Name of the log.
    pub log: String,
    /// The phone, by the first digits of its log's name.
    pub phone: String,
    /// Events that were here before.
    pub before: u64,
    /// Events that are here now.
    pub after: u64,
    /// True when it is this phone's own log, which the other phone knew further than this one did.
    pub own: bool,
}

/// A log of which two histories exist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ForkView {
    /// Name of the log.
    pub log: String,
    /// What it means, to read.
    pub text: String,
}

/// A log that was not taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct RefusedView {
    /// Why, to read; names the log and the first event that is wrong.
    pub reason: String,
}

/// What was packed for another phone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PackView {
    /// Length of the file, bytes.
    pub bytes: u64,
    /// Original photos in it.
    pub photos: u32,
    /// Photos on record that could not come along: elsewhere, missing or damaged.
    pub left_out: u32,
}

/// What came of joining another phone's record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct JoinView {
    /// Logs of which something new was taken in.
    pub taken: Vec<TakenView>,
    /// Names of logs that brought nothing new.
    pub unchanged: Vec<String>,
    /// Logs of which two histories exist; both are kept.
    pub forked: Vec<ForkView>,
    /// Logs and co-signatures that were not taken in, and heads that were not co-signed.
    pub refused: Vec<RefusedView>,
    /// Logs whose newest head this phone co-signed now: it goes on from the one that this phone co-signed before.
    pub cosigned: Vec<String>,
    /// Co-signatures by other phones that came along.
    pub cosignatures: u32,
    /// Logs of which a phone co-signed a head that no history here holds; the co-signature is kept.
    pub contradicted: Vec<ForkView>,
    /// Photos and texts that came along.
    pub blobs: u32,
    /// Hashes of photos and texts that the other phone does not hold, or holds damaged.
    pub blobs_missing: Vec<String>,
    /// Jobs that were touched.
    pub jobs: Vec<String>,
}

#[uniffi::export]
impl Notebook {
    /// Packs the whole record into one new file for a colleague's phone, with the original photos if asked to. The seed
    /// with which this phone signs is not in it, nor anything that was erased.
    ///
    /// # Errors
    /// There is a file of this name, or it could not be written; then there is none.
    pub fn pack(&self, file: String, with_photos: bool) -> Result<PackView, Error> {
        pack(&*self.lock()?, &file, with_photos)
    }

    /// Takes in what another phone's notebook knows: in a folder, or in the one file that it was packed into. The other
    /// notebook is not changed. Then this phone co-signs the newest heads of the logs that are here, as their witness: what it
    /// signed is committed when this returns, and goes along when this notebook is packed or joined.
    ///
    /// # Errors
    /// The folder holds no notebook, it is in use, or this notebook could not be written. A log that does not verify
    /// is no error: it is named under `refused` and the others are taken in.
    pub fn join(&self, other: String) -> Result<JoinView, Error> {
        let joined = self.take_in(&other)?;
        self.tell_bell();
        Ok(joined)
    }
}

impl Notebook {
    fn take_in(&self, other: &str) -> Result<JoinView, Error> {
        let mut store = self.lock()?;
        let joined = share::join(&mut store, Path::new(other))?;
        let now = self.platform.clock.now()?;
        let time_s = u64::try_from(now.at_ms.div_euclid(1_000)).unwrap_or(0);
        // Also what a joining that was cut off took in and did not note.
        let seen = store.heads_not_seen()?.into_iter().map(|head| LogSeen { head });
        let seen: Vec<Draft> = seen.map(|seen| Draft::of(None, None, Body::LogSeen(seen))).collect();
        if !seen.is_empty() {
            self.append(&mut store, seen, now, None)?;
        }
        let cosigning = store.cosign_logs(time_s)?;
        Ok(JoinView {
            taken: joined
                .taken
                .iter()
                .map(|taken| TakenView {
                    log: taken.log.clone(),
                    phone: short_log(&taken.log).to_owned(),
                    before: taken.before,
                    after: taken.after,
                    own: taken.own,
                })
                .collect(),
            unchanged: joined.unchanged,
            forked: joined
                .forked
                .into_iter()
                .map(|log| ForkView {
                    text: format!(
                        "phone {} has shown two different histories; both are kept, and its entries are flagged",
                        short_log(&log)
                    ),
                    log,
                })
                .collect(),
            refused: joined
                .refused
                .into_iter()
                .chain(cosigning.refused)
                .map(|why| RefusedView { reason: why.to_string() })
                .collect(),
            cosigned: cosigning.signed,
            cosignatures: joined.cosignatures,
            contradicted: joined
                .contradicted
                .into_iter()
                .map(|it| ForkView {
                    text: format!(
                        "phone {} co-signed {} entries of phone {} that are not here as they were: its log was cut back, or \
                         it has shown another history",
                        short_log(&it.witness),
                        it.size,
                        short_log(&it.log)
                    ),
                    log: it.log,
                })
                .collect(),
            blobs: joined.blobs,
            blobs_missing: joined.blobs_missing,
            jobs: joined.jobs.into_iter().map(|job| job.to_string()).collect(),
        })
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::pack`].
    ///
    /// # Errors
    /// As [`Notebook::pack`].
    pub fn pack(&self, file: String, with_photos: bool) -> Result<PackView, Error> {
        pack(&*self.lock()?, &file, with_photos)
    }
}

fn pack(store: &Store, file: &str, with_photos: bool) -> Result<PackView, Error> {
    let packed = store.pack(Path::new(file), with_photos)?;
    Ok(PackView { bytes: packed.bytes, photos: packed.photos, left_out: packed.left_out })
}
