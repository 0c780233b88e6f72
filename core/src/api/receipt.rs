//! The owner's receipt: what is on record now, as a square of dots and as letters to hand over, and later whether it still is.

use super::jobs;
use super::notebook::{Notebook, Reader};
use crate::error::Error;
use crate::log::head::{self, NotBelieved};
use crate::log::receipt::{NotAReceipt, Receipt};
use crate::record::words::Locale;
use crate::store::{LogRow, Store};
use serde::Serialize;

/// A receipt to hand over. Whoever holds it needs neither the notebook nor trust in its keeper to hold the record to it later.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ReceiptView {
    /// The letters, in lines of groups of five.
    pub text: String,
    /// The same as a QR code: an SVG picture, square, to be shown at 40 mm or more.
    pub svg: String,
    /// Entries of the log that it covers.
    pub size: u64,
    /// Name of the log.
    pub log: String,
}

/// What became of a record since a receipt was given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ReceiptCheck {
    /// The log that the receipt is of.
    pub log: String,
    /// Entries when it was given.
    pub given: u64,
    /// Entries of that log here; none if it is not here.
    pub size: Option<u64>,
    /// Whether all that was there then is here, byte for byte.
    pub kept: bool,
    /// The same in words.
    pub text: String,
}

/// A picture that does not fit is a defect; a head that is not believed was damaged.
fn of_head(row: &LogRow) -> Result<Receipt, Error> {
    let nothing = || Error::NotFound { what: "anything on record to give a receipt for".to_owned() };
    let note = row.head.as_ref().filter(|_| row.size > 0).ok_or_else(nothing)?;
    let damaged = |why: NotBelieved| Error::Damaged {
        place: format!("signed head of {}", row.name),
        found: why.to_string(),
    };
    Receipt::of(note, &row.name, &row.public).map_err(damaged)
}

/// The receipt of the log that is written here.
pub(super) fn own(store: &Store, job: Option<&str>) -> Result<Receipt, Error> {
    let rows = store.logs()?;
    let row = rows.iter().find(|row| row.own);
    let row = row.ok_or_else(|| Error::NotFound { what: "a log that is written here".to_owned() })?;
    if let Some(job) = job
        && !store.holds_entries(row.id, jobs::id(job)?)?
    {
        let off = "nothing of this job was recorded on this phone: its receipt would not cover it";
        return Err(Error::refused("job", off));
    }
    of_head(row)
}

fn give(store: &Store, job: Option<&str>) -> Result<ReceiptView, Error> {
    let receipt = own(store, job)?;
    let svg = receipt.svg().map_err(|why| Error::internal(format!("receipt: {why}")))?;
    let head = receipt.head();
    Ok(ReceiptView { text: receipt.text(), svg, size: head.size, log: head.log.clone() })
}

fn check(store: &Store, text: &str) -> Result<ReceiptCheck, Error> {
    let receipt =
        Receipt::read(text).map_err(|why: NotAReceipt| Error::refused("receipt", why.to_string()))?;
    let given = receipt.head().size;
    let told = |size: Option<u64>, found: Result<(), String>| {
        ReceiptCheck {
        log: receipt.head().log.clone(),
        given,
        size,
        kept: found.is_ok(),
        text: found.err().unwrap_or_else(|| {
            let more = size.unwrap_or(given).saturating_sub(given);
            format!(
                "all {given} entries that were there when the receipt was given are here as they were; {more} were added since"
            )
        }),
    }
    };
    let rows: Vec<LogRow> = store.logs()?.into_iter().filter(|row| row.name == receipt.head().log).collect();
    let mut first = None;
    // Of a log with two histories, one of them has to go on from the receipt.
    for row in &rows {
        let found = told(Some(row.size), kept(store, row, &receipt)?);
        if found.kept {
            return Ok(found);
        }
        first = first.or(Some(found));
    }
    let here: Vec<String> = store.logs()?.into_iter().map(|row| row.name).collect();
    let other = || format!("it is a receipt of {}; here are {}", receipt.head().log, here.join(", "));
    Ok(first.unwrap_or_else(|| told(None, Err(other()))))
}

/// Whether a branch goes on from a receipt: by its signed head, and by the bytes of every entry that was there then.
fn kept(store: &Store, row: &LogRow, receipt: &Receipt) -> Result<Result<(), String>, Error> {
    let given = receipt.head();
    let head = row.head.as_deref().map(|note| head::read(note, &row.name, &row.public));
    let shown = match head {
        Some(Ok(head)) => head,
        Some(Err(why)) => return Ok(Err(format!("the newest signed head here is not believed: {why}"))),
        None => return Ok(Err("no signed head of this log is here".to_owned())),
    };
    let between = (1..shown.size).contains(&given.size);
    let proof = if between { store.consistency(row.id, shown.size, given.size)? } else { Vec::new() };
    if let Err(why) = receipt.kept_in(&shown, &proof) {
        return Ok(Err(why.to_string()));
    }
    if store.root_of_leaves(row.id, given.size)? == Some(given.root) {
        return Ok(Ok(()));
    }
    let changed = format!(
        "the signed head goes on from the receipt, and its first {} entries, as they lie here, are not those: one is missing or was changed",
        given.size
    );
    Ok(Err(changed))
}

#[uniffi::export]
impl Notebook {
    /// A receipt of everything that this phone has recorded so far, for the owner to take along. With a job: only if something
    /// of it was recorded here.
    ///
    /// # Errors
    /// Nothing is on record yet, or nothing of the job; or the signed head is damaged.
    pub fn receipt(&self, job: Option<String>) -> Result<ReceiptView, Error> {
        give(&*self.lock()?, job.as_deref())
    }

    /// Holds the record to a receipt that was given earlier, here or by a phone whose log was joined.
    ///
    /// # Errors
    /// Not a receipt, or one with a wrong letter; or the store could not be read. What is not as it was is told, no error.
    pub fn check_receipt(&self, text: String) -> Result<ReceiptCheck, Error> {
        check(&*self.lock()?, &text)
    }

    /// As [`Notebook::report`], with the receipt of this phone's record at its end: the copy that is given during the visit.
    ///
    /// # Errors
    /// As [`Notebook::report`] and [`Notebook::receipt`].
    pub fn report_with_receipt(&self, job: String, locale: Locale) -> Result<String, Error> {
        with_receipt(&mut *self.lock()?, &job, locale)
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::receipt`].
    ///
    /// # Errors
    /// As there.
    pub fn receipt(&self, job: Option<String>) -> Result<ReceiptView, Error> {
        give(&*self.lock()?, job.as_deref())
    }

    /// As [`Notebook::check_receipt`].
    ///
    /// # Errors
    /// As there.
    pub fn check_receipt(&self, text: String) -> Result<ReceiptCheck, Error> {
        check(&*self.lock()?, &text)
    }

    /// As [`Notebook::report_with_receipt`].
    ///
    /// # Errors
    /// As there.
    pub fn report_with_receipt(&self, job: String, locale: Locale) -> Result<String, Error> {
        with_receipt(&mut *self.lock()?, &job, locale)
    }
}

fn with_receipt(store: &mut Store, job: &str, locale: Locale) -> Result<String, Error> {
    let receipt = own(store, Some(job))?;
    jobs::page(store, job, locale, Some(receipt))
}
