//! Jobs: the list, search, one job whole, its report.

use super::notebook::{Notebook, Reader};
use crate::error::Error;
use crate::record::times;
use crate::record::views::{JobLine, JobView, Speech, job_view};
use crate::record::words::Locale;
use crate::report;
use crate::store::{JobRow, Store};
use serde::Serialize;
use uuid::Uuid;

/// A list of jobs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct JobList {
    /// The jobs, newest opened first.
    pub jobs: Vec<JobLine>,
    /// False while the tables for lists are being built again: the newest jobs are in already.
    pub complete: bool,
}

/// Jobs that are built at a call when the tables are being built again.
const SLICE: u32 = 500;

fn line(row: JobRow, speech: Speech) -> JobLine {
    JobLine {
        job: row.job.to_string(),
        opened_ms: row.opened_at,
        opened: times::spoken(row.opened_at, row.off_min, ""),
        plate: row.plate,
        vin: row.vin,
        form: speech.word("form", &row.form),
        stage: row.stage.map(|stage| speech.word("stage", &stage)),
        marks: row.marks,
        photos: row.photos,
        phones: row.phones,
        closed: row.closed,
    }
}

fn list(store: &Store, search: Option<&str>, limit: u32, locale: Locale) -> Result<JobList, Error> {
    let rows = match search {
        Some(text) => store.find(text, limit)?,
        None => store.list(limit)?,
    };
    let speech = Speech { locale };
    Ok(JobList {
        jobs: rows.into_iter().map(|row| line(row, speech)).collect(),
        complete: store.tables_complete()?,
    })
}

fn id(text: &str) -> Result<Uuid, Error> {
    Uuid::parse_str(text).map_err(|_| Error::refused("job", "not a UUID"))
}

fn view(store: &mut Store, job: &str, locale: Locale) -> Result<JobView, Error> {
    let id = id(job)?;
    job_view(store.job(id)?, Speech { locale })
}

fn page(store: &mut Store, job: &str, locale: Locale) -> Result<String, Error> {
    let folded = store.job(id(job)?)?;
    let view = job_view(folded, Speech { locale })?;
    let form = folded.opening().map(|opening| opening.form);
    let form = form.ok_or_else(|| Error::NotFound { what: format!("job {job}") })?;
    let document = report::assemble(view, form, locale, |sha256| store.photo(sha256))?;
    Ok(report::html(&document))
}

#[uniffi::export]
impl Notebook {
    /// Jobs, newest opened first, at most `limit`; with `search`, those whose plate, VIN or text begins so.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn jobs(&self, search: Option<String>, limit: u32, locale: Locale) -> Result<JobList, Error> {
        let mut store = self.lock()?;
        store.build_tables(SLICE)?;
        list(&store, search.as_deref(), limit, locale)
    }

    /// Everything on record about one job.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn job(&self, job: String, locale: Locale) -> Result<JobView, Error> {
        view(&mut *self.lock()?, &job, locale)
    }

    /// The condition report: one page of HTML that needs nothing else.
    ///
    /// # Errors
    /// As [`Notebook::job`]; a photo that is damaged is told in the page.
    pub fn report(&self, job: String, locale: Locale) -> Result<String, Error> {
        page(&mut *self.lock()?, &job, locale)
    }

    /// Builds the tables for lists anew from the log.
    ///
    /// # Errors
    /// The store could not be written.
    pub fn rebuild_tables(&self) -> Result<(), Error> {
        let mut store = self.lock()?;
        store.drop_tables()?;
        while !store.build_tables(SLICE)? {}
        Ok(())
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::jobs`].
    ///
    /// # Errors
    /// The store could not be read.
    pub fn jobs(&self, search: Option<String>, limit: u32, locale: Locale) -> Result<JobList, Error> {
        list(&*self.lock()?, search.as_deref(), limit, locale)
    }

    /// As [`Notebook::job`].
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn job(&self, job: String, locale: Locale) -> Result<JobView, Error> {
        view(&mut *self.lock()?, &job, locale)
    }

    /// As [`Notebook::report`].
    ///
    /// # Errors
    /// As [`Reader::job`].
    pub fn report(&self, job: String, locale: Locale) -> Result<String, Error> {
        page(&mut *self.lock()?, &job, locale)
    }
}
