//! What a bundle's page is signed for: its words, and the record that it carries to check itself with. Pure. A C2SP signed note, as
//! a bundle's statement; the page reads it with the browser's own cryptography.

use super::canon;
use super::head::{LogKey, NotBelieved};
use signed_note::Note;
use uuid::Uuid;

/// First line of the note. No log has this name, so no such note is ever a checkpoint.
const PAGE: &str = "sidelong/page/v1";

/// What a signer says of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageNote {
    /// The job.
    pub job: Uuid,
    /// SHA-256 of the record in the page, as the bytes of its text.
    pub record: [u8; 32],
    /// SHA-256 of the words that the page shows.
    pub words: [u8; 32],
}

impl PageNote {
    /// Signs it.
    pub fn sign(&self, key: &LogKey) -> Result<Vec<u8>, NotBelieved> {
        let (job, log) = (self.job, key.name());
        let (record, words) = (canon::hex(&self.record), canon::hex(&self.words));
        let text = format!("{PAGE}\njob {job}\nlog {log}\nrecord-sha256 {record}\nwords-sha256 {words}\n");
        let mut note = Note::new(text.as_bytes(), &[]).map_err(|_| NotBelieved::Note)?;
        note.add_sigs(&[key]).map_err(|_| NotBelieved::Signature)?;
        Ok(note.to_bytes())
    }
}
