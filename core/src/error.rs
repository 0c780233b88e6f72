//! The one public error. A variant exists where a screen does something different; the words say what happened
//! and where, never what a person typed. Conversions stand beside the thing converted, so that this file, which
//! everything imports, imports nothing.

/// What can go wrong at the door. Whatever it is: what was recorded before stays recorded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
// The words are the core's in every language: a binding's own would be "field=…, reason=…", and nothing for a full disk.
#[uniffi::export(Display)]
pub enum NotebookError {
    /// The input says something that cannot be recorded as it stands.
    #[error("{field}: {reason}")]
    Refused {
        /// Dotted path of the field inside the input, for example `act.record_mark.from.u_ppm`.
        field: String,
        /// What is wrong with it, in plain words.
        reason: String,
    },
    /// An input id that is on record already, now with other content.
    #[error("input {input}: this id is on record already with other content; a new input needs a new id")]
    InputReused {
        /// The id that was used twice.
        input: String,
    },
    /// A named job, mark or log that this store does not hold.
    #[error("not here: {what}")]
    NotFound {
        /// What was asked for.
        what: String,
    },
    /// A photo that cannot be taken in.
    #[error("photo {file}: {reason}")]
    Photo {
        /// The name as it was given.
        file: String,
        /// What is wrong with it.
        reason: String,
    },
    /// Another process has the store open.
    #[error("{path}: another program has this store open; close it there first")]
    InUse {
        /// Folder of the store.
        path: String,
    },
    /// The folder cannot be written.
    #[error("{path}: cannot be written ({reason}); what is recorded there is unchanged")]
    NotWritable {
        /// The folder or file.
        path: String,
        /// As the system said it.
        reason: String,
    },
    /// The disk is full.
    #[error("the disk is full: this was not saved, everything before it is")]
    StorageFull,
    /// The store was written by a newer version.
    #[error("the store has format {found}, this version reads up to {known}: update before opening it")]
    StoreNewer {
        /// Format of the file.
        found: u32,
        /// Newest format this version knows.
        known: u32,
    },
    /// The store's log cannot be continued because its signing seed is gone.
    #[error("the signing seed of {log} is not in this device's vault: the log can be read but not continued")]
    SeedMissing {
        /// Name of the log.
        log: String,
    },
    /// Recorded bytes are not what was signed.
    #[error(
        "damage in {place}: {found}; nothing was changed or deleted, the store can still be opened to read"
    )]
    Damaged {
        /// File, log and number of the damaged thing.
        place: String,
        /// What was found there.
        found: String,
    },
    /// Another phone's log that was not taken in.
    #[error("{log}: not taken in: {reason}")]
    NotJoined {
        /// Name of the log, or the folder where none could be read.
        log: String,
        /// Why.
        reason: String,
    },
    /// The system refused a read or a write.
    #[error("{path}: {reason}")]
    Io {
        /// The file.
        path: String,
        /// As the system said it.
        reason: String,
    },
    /// A defect of this program.
    #[error("internal: {code}")]
    Internal {
        /// Where it happened; holds nothing a person typed.
        code: String,
    },
}

/// Its name inside the core; in other languages an `Error` would be everybody's.
pub type Error = NotebookError;

/// A platform's clock, random source or vault that failed in a way it did not foresee.
impl From<uniffi::UnexpectedUniFFICallbackError> for Error {
    fn from(error: uniffi::UnexpectedUniFFICallbackError) -> Self {
        Self::internal(format!("platform: {}", error.reason))
    }
}

impl Error {
    /// A refusal of one field of an input.
    pub fn refused(field: impl Into<String>, reason: impl Into<String>) -> Self {
        Self::Refused { field: field.into(), reason: reason.into() }
    }

    /// A defect of this program, named by where it happened.
    pub fn internal(code: impl Into<String>) -> Self {
        Self::Internal { code: code.into() }
    }
}
