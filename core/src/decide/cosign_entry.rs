//! A key of the device's own signs an entry beside the log: what it gave is looked at before it is recorded. Pure.

use super::draft;
use crate::error::Error;
use crate::log::canon::hex;
use crate::log::hardware::Statement;
use crate::log::seal::Draft;
use crate::record::events::{Body, EntryCosigned};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use uuid::Uuid;

/// Notes a co-signature. The entry's own job and input go with it, so that whoever is shown the entry is shown both.
///
/// # Errors
/// Key or signature is none, or they do not fit the statement: then there is nothing that could be recorded.
pub fn cosign_entry(
    (job, input): (Option<Uuid>, Option<Uuid>),
    statement: &Statement<'_>,
    public: &[u8],
    signature: &[u8],
) -> Result<Draft, Error> {
    statement.verify(public, signature).map_err(|why| {
        Error::refused("hardware_key", format!("it gave what cannot be recorded as its co-signature: {why}"))
    })?;
    let body = EntryCosigned {
        entry: statement.entry,
        log: statement.log.to_owned(),
        seq: statement.seq,
        leaf: hex(&statement.leaf.0),
        key: statement.held,
        public: STANDARD.encode(public),
        signature: STANDARD.encode(signature),
    };
    Ok(Draft { job, input, ..draft(Body::EntryCosigned(body)) })
}
