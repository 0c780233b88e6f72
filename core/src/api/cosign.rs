//! Co-signing: a key of the device's own, apart from the one that signs the log, signs that a closing stands there. The
//! closing is on record before the key is asked, so whatever becomes of that, nothing is lost and it can be asked again.

use super::jobs;
use super::notebook::Notebook;
use crate::decide::cosign_entry;
use crate::error::Error;
use crate::log::Hash;
use crate::log::hardware::{Statement, name};
use crate::record::inputs::{Act, Input};
use crate::record::words::{Cosigned, KeyHeld};
use crate::store::Store;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;
use uuid::Uuid;

/// A closing of this phone, and with which key it is co-signed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ClosingSigned {
    /// Its number in this phone's log.
    pub entry: u64,
    /// Where the key lies that co-signed it; none while none has.
    pub key: Option<KeyHeld>,
    /// A short name of that key: 16 digits of its hash.
    pub key_name: Option<String>,
    /// The same, to read.
    pub text: String,
}

#[uniffi::export]
impl Notebook {
    /// Co-signs every closing of this phone in a job that is not co-signed yet, if this device has a key of its own, and says
    /// how each of them stands. Recording a closing does this by itself; this asks again after a key that failed.
    ///
    /// # Errors
    /// The job is not here; the key failed or gave what does not fit; or the store could not be written. The closing stays on
    /// record.
    pub fn cosign_closings(&self, job: String) -> Result<Vec<ClosingSigned>, Error> {
        let id = jobs::id(&job)?;
        let mut store = self.lock()?;
        if store.job(id)?.is_empty() {
            return Err(Error::NotFound { what: format!("job {job}") });
        }
        self.cosign(&mut store, id)?;
        let log = store.own_name()?;
        let job = store.job(id)?;
        let signed = job.closings.iter().filter(|closing| closing.stamp.log() == log).map(|closing| {
            let entry = closing.stamp.key.2;
            let Some(by) = job.cosignatures(closing).first().map(|it| &it.body) else {
                let text = format!("the closing in entry {entry} is not co-signed");
                return ClosingSigned { entry, key: None, key_name: None, text };
            };
            let key_name = STANDARD.decode(&by.public).ok().and_then(|public| name(&public).ok());
            let called = key_name.as_ref().map(|name| format!(", {name}")).unwrap_or_default();
            let text = format!("the closing in entry {entry} is co-signed: {}{called}", by.key.text());
            ClosingSigned { entry, key: Some(by.key), key_name, text }
        });
        Ok(signed.collect())
    }
}

impl Notebook {
    /// Asks the device's own key to co-sign what an input has just ended. That this fails does not undo the closing: the same
    /// input again, or [`Notebook::cosign_closings`], asks once more and tells why.
    pub(super) fn cosign_after(&self, store: &mut Store, input: &Input) {
        if matches!(input.act, Act::CloseJob(_)) {
            let _ = self.cosign(store, input.job);
        }
    }

    fn cosign(&self, store: &mut Store, job: Uuid) -> Result<(), Error> {
        let Some(key) = &self.platform.hardware else { return Ok(()) };
        let log = store.own_name()?;
        let folded = store.job(job)?;
        let own = folded.closings.iter().filter(|closing| closing.stamp.log() == log);
        let waiting: Vec<(u64, Hash, Uuid)> = own
            .filter(|closing| folded.cosignatures(closing).is_empty())
            .map(|closing| (closing.stamp.key.2, Hash(closing.stamp.key.3), closing.stamp.input))
            .collect();
        for (seq, leaf, input) in waiting {
            // A second history under this phone's name was not written here: its entries are not vouched for.
            if store.own_leaf(seq)? != Some(leaf) {
                continue;
            }
            let statement = Statement { entry: Cosigned::Closing, log: &log, seq, leaf, held: key.held()? };
            let (public, signature) = (key.public_key()?, key.sign(statement.to_bytes())?);
            let draft = cosign_entry((Some(job), Some(input)), &statement, &public, &signature)?;
            self.append(store, vec![draft], self.platform.clock.now()?, None)?;
        }
        Ok(())
    }
}
