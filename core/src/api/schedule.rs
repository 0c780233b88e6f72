//! The schedule of a job at the door: as it is on record beside what was done, and as it would be.

use super::notebook::{Notebook, Reader, known};
use super::platform::Now;
use super::work::{here, moment};
use crate::care::scheduled_told::{schedule_view, tried_view};
use crate::care::told;
use crate::decide::decide;
use crate::error::Error;
use crate::record::inputs::{Act, Input};
use crate::record::views::{ScheduleView, Speech};
use crate::record::words::Locale;
use crate::store::Store;

fn schedule(store: &mut Store, job: &str, now: &Now, locale: Locale) -> Result<Option<ScheduleView>, Error> {
    let at = moment(store, now)?;
    let folded = here(store, job)?;
    let zone = told::zone_of(&now.zone, now.off_min);
    Ok(schedule_view(folded, Some(&at), &zone, Speech { locale }))
}

#[uniffi::export]
impl Notebook {
    /// The schedule of a job that counts, beside what was done until now: tasks in order, what is done, late and next, the finish, and
    /// what changed against the schedule before; none when none was made. Times are those of the wall clock as it stands now,
    /// in this device's zone: setting it moves no task.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn schedule(&self, job: String, locale: Locale) -> Result<Option<ScheduleView>, Error> {
        let now = self.platform.clock.now()?;
        schedule(&mut *self.lock()?, &job, &now, locale)
    }

    /// What recording this input would plan; nothing is recorded. The same input may be recorded afterwards.
    ///
    /// # Errors
    /// As recording it: what cannot be understood, or the windows that break when nothing fits; an input that makes no schedule.
    pub fn try_schedule(&self, input: Input, locale: Locale) -> Result<ScheduleView, Error> {
        if !matches!(input.act, Act::MakeSchedule(_)) {
            return Err(Error::refused("act", "it makes no schedule"));
        }
        let mut store = self.lock()?;
        let now = self.platform.clock.now()?;
        let at = moment(&store, &now)?;
        let known = known(&mut store, &input, &now, None)?;
        let folded = store.job(input.job)?;
        let drafts = decide(folded, &input, &known)?;
        let zone = told::zone_of(&now.zone, now.off_min);
        let view = drafts.first().and_then(|draft| tried_view(folded, draft, &at, &zone, Speech { locale }));
        view.ok_or_else(|| Error::internal("schedule.tried"))
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::schedule`], at a moment.
    ///
    /// # Errors
    /// As [`Notebook::schedule`].
    pub fn schedule(&self, job: String, now: Now, locale: Locale) -> Result<Option<ScheduleView>, Error> {
        schedule(&mut *self.lock()?, &job, &now, locale)
    }
}
