//! Jobs: the list, search, one job whole, its report.

use super::light::account_view;
use super::notebook::{Notebook, Reader};
use super::work::{work_of, zone_of_work};
use crate::care::findings::Recorded;
use crate::care::scheduled_told::schedule_view;
use crate::error::Error;
use crate::light::Account;
use crate::log::receipt::Receipt;
use crate::record::times;
use crate::record::views::{JobLine, JobView, Speech, job_view};
use crate::record::words::Locale;
use crate::report::{self, About, Document};
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

/// The jobs of one day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct DayList {
    /// The jobs, oldest opened first; those opened by mistake are listed and not counted.
    pub jobs: Vec<JobLine>,
    /// How many count.
    pub total: u32,
    /// Of these, ended.
    pub ended: u32,
    /// Of these, with an answer of the owner on record, whatever it is.
    pub answered: u32,
}

/// Jobs that are built at a call when the tables are being built again.
pub(super) const SLICE: u32 = 500;

fn line(row: JobRow, speech: Speech) -> JobLine {
    let answer = row.answer.as_ref().map(|answer| speech.word("owner-answer", answer));
    let said = answer.as_deref().unwrap_or("no answer of the owner");
    let handover = match (row.voided, row.closed, &row.stage) {
        (true, ..) => "opened by mistake".to_owned(),
        (_, true, _) => format!("ended; {said}"),
        (_, false, Some(stage)) => format!("open, {}; {said}", speech.word("stage", stage)),
        (_, false, None) => format!("open, no walk-around begun; {said}"),
    };
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
        handover,
        stock: row.stock,
        answer,
        voided: row.voided,
        disputed: row.disputed,
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

pub(super) fn day(store: &Store, day: &str, locale: Locale) -> Result<DayList, Error> {
    let (from, to) = times::around_day(day)?;
    let rows = store.opened_between(from, to)?;
    let speech = Speech { locale };
    let on_day = |row: &JobRow| times::date(row.opened_at, row.off_min).as_deref() == Some(day);
    let jobs: Vec<JobLine> = rows.into_iter().filter(on_day).map(|row| line(row, speech)).collect();
    let count = |wanted: &dyn Fn(&JobLine) -> bool| {
        u32::try_from(jobs.iter().filter(|job| !job.voided && wanted(job)).count()).unwrap_or(u32::MAX)
    };
    Ok(DayList {
        total: count(&|_| true),
        ended: count(&|job| job.closed),
        answered: count(&|job| job.answer.is_some()),
        jobs,
    })
}

fn alike(store: &Store, vehicle: &Identity, locale: Locale) -> Result<Vec<JobLine>, Error> {
    let rows = store.alike(
        vehicle.plate.as_deref(),
        vehicle.vin.as_deref(),
        vehicle.stock.as_deref(),
        MOST_ALIKE,
    )?;
    Ok(rows.into_iter().map(|row| line(row, Speech { locale })).collect())
}

/// By what a vehicle is known.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Identity {
    /// Number plate.
    #[uniffi(default = None)]
    pub plate: Option<String>,
    /// Vehicle identification number.
    #[uniffi(default = None)]
    pub vin: Option<String>,
    /// A fleet's own number.
    #[uniffi(default = None)]
    pub stock: Option<String>,
}

/// Most jobs that are offered as the same vehicle's.
const MOST_ALIKE: u32 = 20;

pub(super) fn id(text: &str) -> Result<Uuid, Error> {
    Uuid::parse_str(text).map_err(|_| Error::refused("job", "not a UUID"))
}

fn view(store: &mut Store, job: &str, locale: Locale) -> Result<JobView, Error> {
    let id = id(job)?;
    job_view(store.job(id)?, Speech { locale })
}

pub(super) fn page(
    store: &mut Store,
    job: &str,
    locale: Locale,
    receipt: Option<Receipt>,
) -> Result<String, Error> {
    Ok(report::html(&document(store, job, locale, receipt)?))
}

pub(super) fn document(
    store: &mut Store,
    job: &str,
    locale: Locale,
    receipt: Option<Receipt>,
) -> Result<Document, Error> {
    let shop = store.shop();
    let past = store.past(id(job)?)?;
    let folded = store.job(id(job)?)?;
    let view = job_view(folded, Speech { locale })?;
    let form = folded.vehicle().map(|now| now.form);
    let account = Account::of(folded, Speech { locale });
    let account = account.ok_or_else(|| Error::NotFound { what: format!("job {job}") })?;
    let light = account_view(folded, &account, Speech { locale });
    let work = work_of(folded, Speech { locale });
    let schedule = schedule_view(folded, None, &zone_of_work(folded), Speech { locale });
    let hatches = light.seen.iter().map(|seen| (seen.stage, account.hatches(seen.stage))).collect();
    let shop = shop?;
    let treated = Recorded { job: folded, shop: &shop, past: &past }.view(Speech { locale })?;
    let opener = folded.opening().map(|opening| opening.stamp.log().to_owned());
    let form = form.ok_or_else(|| Error::NotFound { what: format!("job {job}") })?;
    let business = match opener {
        Some(log) => store.business(&log)?,
        None => None,
    };
    let times = super::time::of_job(store, id(job)?)?;
    let about = About { form, locale, business, light, treated, work, schedule, hatches, times, receipt };
    report::assemble(view, about, |sha256| store.photo(sha256))
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

    /// The jobs of one day (`2026-06-09`), by the zone that the phone had when each was opened.
    ///
    /// # Errors
    /// Not a date, or the store could not be read.
    pub fn day(&self, date: String, locale: Locale) -> Result<DayList, Error> {
        let mut store = self.lock()?;
        store.build_tables(SLICE)?;
        day(&store, &date, locale)
    }

    /// Jobs that may be of the same vehicle, because plate, VIN or number read alike; newest first, for a person to say.
    /// The same plate need not be the same vehicle.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn alike(&self, vehicle: Identity, locale: Locale) -> Result<Vec<JobLine>, Error> {
        let mut store = self.lock()?;
        store.build_tables(SLICE)?;
        alike(&store, &vehicle, locale)
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
        page(&mut *self.lock()?, &job, locale, None)
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

    /// As [`Notebook::day`].
    ///
    /// # Errors
    /// Not a date, or the store could not be read.
    pub fn day(&self, date: String, locale: Locale) -> Result<DayList, Error> {
        day(&*self.lock()?, &date, locale)
    }

    /// As [`Notebook::alike`].
    ///
    /// # Errors
    /// The store could not be read.
    pub fn alike(&self, vehicle: Identity, locale: Locale) -> Result<Vec<JobLine>, Error> {
        alike(&*self.lock()?, &vehicle, locale)
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
        page(&mut *self.lock()?, &job, locale, None)
    }
}
