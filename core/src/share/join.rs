//! Taking in another phone's store from a folder, or from the one file that it was packed into. IO.
//!
//! Every log in it is offered, not only its own, so that it does not matter who meets whom first: joining is
//! commutative, associative and idempotent. A log that does not verify is refused by name and the others are taken.

use crate::error::Error;
use crate::log::branch::Relation;
use crate::log::canon;
use crate::store::{Contradicted, Incoming, Store, StoredLog, Taken};
use std::collections::BTreeSet;
use std::path::Path;
use uuid::Uuid;

/// Blobs in one commit: each commit waits for the disk, and what a joining that was cut off brought should stay.
const BLOBS_AT_ONCE: usize = 64;

/// What came of joining.
#[derive(Debug, Clone, Default)]
pub struct Joined {
    /// Logs of which something new was taken in.
    pub taken: Vec<Taken>,
    /// Logs that brought nothing new.
    pub unchanged: Vec<String>,
    /// Logs of which two histories exist now.
    pub forked: Vec<String>,
    /// Logs and co-signatures that were not taken in, each with the reason.
    pub refused: Vec<Error>,
    /// Co-signatures that came along.
    pub cosignatures: u32,
    /// Among them, those of heads that no history of the log here holds.
    pub contradicted: Vec<Contradicted>,
    /// Photos and texts that came along.
    pub blobs: u32,
    /// Photos and texts that the other phone does not hold either, or holds damaged.
    pub blobs_missing: Vec<String>,
    /// Jobs that were touched.
    pub jobs: BTreeSet<Uuid>,
}

/// Takes in what the store in a folder, or in a packed file, knows.
pub fn join(ours: &mut Store, other: &Path) -> Result<Joined, Error> {
    if other.is_file() {
        let unfolded = ours.unfold(other)?;
        return join_folder(ours, unfolded.folder());
    }
    join_folder(ours, other)
}

fn join_folder(ours: &mut Store, folder: &Path) -> Result<Joined, Error> {
    let same = |a: &Path, b: &Path| matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b);
    if same(ours.folder(), folder) {
        return Err(Error::NotJoined {
            log: folder.display().to_string(),
            reason: "this is the store itself".to_owned(),
        });
    }
    let theirs = Store::open_to_read(folder)?;
    let mut joined = Joined::default();
    // Texts that an earlier joining could not bring: the lists do not know them yet.
    let late = ours.wanted_blobs()?.into_iter().filter(|blob| !blob.file).map(|blob| blob.sha256).collect();
    ours.expect_texts(&late)?;
    for row in theirs.logs()? {
        let Some(head) = row.head.as_deref() else { continue };
        let source = StoredLog { store: &theirs, id: row.id };
        let incoming = Incoming { log: &row.name, public: &row.public, head, source: &source };
        match ours.take_in(&incoming) {
            Ok(taken) => {
                if taken.relation == Relation::Forked {
                    joined.forked.push(taken.log.clone());
                }
                if taken.after > taken.before {
                    joined.jobs.extend(taken.jobs.iter().copied());
                    joined.taken.push(taken);
                } else {
                    joined.unchanged.push(taken.log);
                }
            }
            Err(why @ (Error::NotJoined { .. } | Error::Damaged { .. })) => joined.refused.push(why),
            Err(why) => return Err(why),
        }
    }
    match ours.take_in_cosigned(&theirs) {
        Ok(cosigned) => {
            joined.refused.extend(cosigned.refused);
            joined.cosignatures = cosigned.taken;
            joined.contradicted = cosigned.contradicted;
        }
        Err(why @ Error::Damaged { .. }) => joined.refused.push(why),
        Err(why) => return Err(why),
    }
    // What an earlier joining could not bring may be at hand now, so all that is wanted is asked for.
    let wanted = ours.wanted_blobs()?;
    for some in wanted.chunks(BLOBS_AT_ONCE) {
        let missing = ours.receive_blobs(some, |wanted| match theirs.blob_bytes(wanted) {
            Err(Error::Damaged { .. }) => Ok(None),
            bytes => bytes,
        })?;
        joined.blobs += u32::try_from(some.len() - missing.len()).unwrap_or(u32::MAX);
        joined.blobs_missing.extend(missing.iter().map(|blob| canon::hex(&blob.sha256)));
    }
    ours.refresh_due()?;
    Ok(joined)
}
