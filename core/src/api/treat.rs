//! What is done to the surfaces: what speaks against a step, what comes next, the plan, cloths, and how the shop works.

use super::jobs::id;
use super::notebook::{Notebook, Reader};
use crate::care::findings::Recorded;
use crate::care::offered;
use crate::care::plan::{Plan, Work, plan};
use crate::decide::{describe_shop, speaks_against_cloth};
use crate::error::Error;
use crate::record::events::Shop;
use crate::record::inputs::TakeCloth;
use crate::record::views::{PlanView, RefusalView, Speech, SquareView, SurfacesView, TreatedView};
use crate::record::words::{Area, Locale, Reaction, Step};
use crate::store::Store;
use crate::vehicle;

/// Reads a job beside how the shop works.
fn with<T>(
    store: &mut Store,
    job: &str,
    read: impl FnOnce(Recorded) -> Result<T, Error>,
) -> Result<T, Error> {
    let shop = store.shop()?;
    let past = store.past(id(job)?)?;
    let folded = store.job(id(job)?)?;
    if folded.opening().is_none() {
        return Err(Error::NotFound { what: format!("job {job}") });
    }
    read(Recorded { job: folded, shop: &shop, past: &past })
}

pub(super) fn treated(store: &mut Store, job: &str, locale: Locale) -> Result<TreatedView, Error> {
    with(store, job, |recorded| recorded.view(Speech { locale }))
}

fn refused(
    store: &mut Store,
    job: &str,
    panel: &str,
    step: Step,
    on: Option<Area>,
    locale: Locale,
) -> Result<Vec<RefusalView>, Error> {
    with(store, job, |recorded| {
        let form = recorded.job.vehicle().map(|now| now.form);
        if form.is_none_or(|form| !vehicle::has_place(form, panel)) {
            return Err(Error::refused("panel", format!("no place \"{panel}\" on this form")));
        }
        recorded.refusals(panel, step, on.unwrap_or(Area::Panel), Speech { locale })
    })
}

fn work(store: &mut Store, job: &str, now_ms: Option<i64>) -> Result<Work, Error> {
    with(store, job, |recorded| recorded.work(now_ms))
}

fn planned(work: &Work, locale: Locale) -> Result<PlanView, Error> {
    Ok(crate::care::account::plan_view(&plan(work)?, Speech { locale }))
}

/// The steps that an owner can be asked to agree to, in the order of the work.
#[uniffi::export]
pub fn work_offered() -> Vec<Step> {
    offered::agreeable()
}

/// What can react to a step, to be said when it is done; none where nothing dissolves.
#[uniffi::export]
pub fn reactions_offered(step: Step) -> Vec<Reaction> {
    offered::reacts_to(step).to_vec()
}

#[uniffi::export]
impl Notebook {
    /// What was done to the surfaces of a job, what comes next on each panel, and why.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn treated(&self, job: String, locale: Locale) -> Result<TreatedView, Error> {
        treated(&mut *self.lock()?, &job, locale)
    }

    /// What speaks against a step on a panel, before it is begun: the surface, thin paint, what the findings ask for instead, a test
    /// square that is wanting. `on` left out: the whole panel.
    ///
    /// # Errors
    /// The job or panel is not here.
    pub fn refused(
        &self,
        job: String,
        panel: String,
        step: Step,
        on: Option<Area>,
        locale: Locale,
    ) -> Result<Vec<RefusalView>, Error> {
        refused(&mut *self.lock()?, &job, &panel, step, on, locale)
    }

    /// Every place of the vehicle with what it is, what it can be, and the steps that are agreed there.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn surfaces(&self, job: String, locale: Locale) -> Result<SurfacesView, Error> {
        with(&mut *self.lock()?, &job, |recorded| Ok(recorded.surfaces(Speech { locale })))
    }

    /// The test squares of a panel, in order, each with what is wanting of it; a name that is no panel has none.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn squares(&self, job: String, panel: String, locale: Locale) -> Result<Vec<SquareView>, Error> {
        with(&mut *self.lock()?, &job, |recorded| Ok(recorded.squares(&panel, Speech { locale })))
    }

    /// The agreed work that still waits, as steps in order, made from what is on record.
    ///
    /// # Errors
    /// The job is not here.
    pub fn plan(&self, job: String, locale: Locale) -> Result<PlanView, Error> {
        let now_ms = self.platform.clock.now()?.at_ms;
        planned(&work(&mut *self.lock()?, &job, Some(now_ms))?, locale)
    }

    /// What would speak against taking a cloth, in the crew's own names; nothing is recorded.
    ///
    /// # Errors
    /// As recording it.
    pub fn cloth_warnings(&self, job: String, take: TakeCloth) -> Result<Vec<String>, Error> {
        with(&mut *self.lock()?, &job, |recorded| speaks_against_cloth(recorded.job, &take, recorded.shop))
    }

    /// Says how the shop works: its floor, what may come off, its cloth zones; false when that is on record already.
    ///
    /// # Errors
    /// Zones that do not hold each use once, numbers that cannot be meant, or the store could not be written.
    pub fn describe_shop(&self, shop: Shop) -> Result<bool, Error> {
        let mut store = self.lock()?;
        let draft = describe_shop(&shop)?;
        let new = store.shop()? != shop;
        if new {
            self.append(&mut store, vec![draft], self.platform.clock.now()?, None)?;
        }
        Ok(new)
    }

    /// How the shop works, by the newest entry of all phones whose record is here.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn shop(&self) -> Result<Shop, Error> {
        self.lock()?.shop()
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::treated`].
    ///
    /// # Errors
    /// As [`Notebook::treated`].
    pub fn treated(&self, job: String, locale: Locale) -> Result<TreatedView, Error> {
        treated(&mut *self.lock()?, &job, locale)
    }
}

impl Reader {
    /// A job as work to be planned, as the file form has it.
    ///
    /// # Errors
    /// The job is not here.
    pub fn work_to_plan(&self, job: &str) -> Result<Work, Error> {
        work(&mut *self.lock()?, job, None)
    }

    /// The plan of a job, as the file form gives it.
    ///
    /// # Errors
    /// The job is not here.
    pub fn plan(&self, job: &str) -> Result<Plan, Error> {
        plan(&self.work_to_plan(job)?)
    }
}
