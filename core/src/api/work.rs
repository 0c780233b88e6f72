//! The work: sheets, lots, conditions, layers; the clocks of open sections and the five after the last layer; the owner's calendar;
//! and alarms, which the platform rings.

use super::jobs::{SLICE, id};
use super::notebook::{Notebook, Reader};
use super::platform::Now;
use crate::care::calendar::{DueDate, When, calendar};
use crate::care::clocks::Moment;
use crate::care::recorded::Account;
use crate::care::told::{self, clock_views, cure_views, section_text, work_view};
use crate::error::Error;
use crate::record::fold::Job;
use crate::record::inputs::Act;
use crate::record::times;
use crate::record::views::{
    ClockStage, ClockView, ClocksView, CureView, LotUseView, LotsView, SheetKnown, Speech, WorkView,
};
use crate::record::words::Locale;
use crate::store::{LotRow, Store};
use std::collections::BTreeSet;
use uuid::Uuid;

/// Something that is due at a moment.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Alarm {
    /// The job.
    pub job: String,
    /// The layer that waits.
    pub layer_id: String,
    /// Neutral name of its panel.
    pub panel: String,
    /// Which part of it.
    pub part: Option<u32>,
    /// Which layer on it.
    pub layer: u32,
    /// False when it becomes due, true when it becomes late.
    pub late: bool,
    /// In so many milliseconds: what counts, because nobody sets a running clock back.
    pub in_ms: u64,
    /// The same by the wall clock as it stands now, UTC milliseconds.
    pub at_ms: i64,
}

/// What rings when something is due.
#[uniffi::export(with_foreign)]
pub trait AlarmBell: Send + Sync {
    /// Takes all alarms that are to come, the next one first; those it held before are off. Told at opening and after every
    /// change. It may be called from any thread, and no lock of the notebook is held.
    ///
    /// # Errors
    /// They could not be set. What was recorded is saved all the same, and the clocks show what is due.
    fn set(&self, alarms: Vec<Alarm>) -> Result<(), Error>;
}

/// Most uses of a lot that are listed.
const MOST_USES: u32 = 10_000;

/// Whether an act can change what is due.
pub(super) fn rings(act: &Act) -> bool {
    matches!(act, Act::BeginLayer(_) | Act::LevelSection(_) | Act::Undo(_) | Act::VoidJob(_))
}

pub(super) fn moment(store: &Store, now: &Now) -> Result<Moment, Error> {
    let own = store.logs()?.into_iter().find(|log| log.own).map(|log| log.name);
    Ok(Moment {
        phone: own.unwrap_or_default(),
        boot: now.boot.clone(),
        mono_ms: now.mono_ms,
        utc_ms: now.at_ms,
    })
}

/// A job that is on record here.
pub(super) fn here<'s>(store: &'s mut Store, job: &str) -> Result<&'s Job, Error> {
    let folded = store.job(id(job)?)?;
    match folded.opening() {
        Some(_) => Ok(folded),
        None => Err(Error::NotFound { what: format!("job {job}") }),
    }
}

/// The work of a folded job; times of the aftercare are told in the zone in which it was last worked on.
pub(super) fn work_of(job: &Job, speech: Speech) -> WorkView {
    work_view(job, &Account::of(job, None), speech, &zone_of_work(job))
}

pub(super) fn zone_of_work(job: &Job) -> String {
    let stamp = job.work.levelled.last().map(|it| &it.stamp).or(job.opening().map(|it| &it.stamp));
    stamp.map_or_else(|| "UTC".to_owned(), |stamp| told::zone_of(&stamp.zone, stamp.off_min))
}

fn clocks(store: &mut Store, job: Option<&str>, now: &Now, locale: Locale) -> Result<ClocksView, Error> {
    let speech = Speech { locale };
    let now = moment(store, now)?;
    let jobs = match job {
        Some(job) => vec![here(store, job)?.id],
        None => store.jobs_with_open_sections()?,
    };
    let mut all = ClocksView::default();
    for job in jobs {
        let folded = store.job(job)?;
        let (open, late) = clock_views(folded, &Account::of(folded, Some(&now)), &now, speech);
        all.open.extend(open);
        all.late.extend(late);
    }
    all.open.sort_by_key(|clock| match clock.stage {
        ClockStage::Overdue => (0, clock.late_ms.unwrap_or(clock.due_ms)),
        ClockStage::Due => (1, clock.late_ms.unwrap_or(i64::MAX)),
        ClockStage::Waits => (2, clock.due_ms),
    });
    Ok(all)
}

fn cure(store: &mut Store, job: &str, now: &Now, locale: Locale) -> Result<Vec<CureView>, Error> {
    let at = moment(store, now)?;
    let folded = here(store, job)?;
    let zone = told::zone_of(&now.zone, now.off_min);
    cure_views(folded, &Account::of(folded, Some(&at)), &at, &zone, Speech { locale })
}

fn work(store: &mut Store, job: &str, locale: Locale) -> Result<WorkView, Error> {
    Ok(work_of(here(store, job)?, Speech { locale }))
}

fn lots(store: &Store, lot: &str, locale: Locale) -> Result<LotsView, Error> {
    if !lot.chars().any(char::is_alphanumeric) {
        return Err(Error::refused("lot", "it holds no letter and no digit to find it by"));
    }
    let speech = Speech { locale };
    let view = |row: LotRow| LotUseView {
        job: row.job.to_string(),
        vehicle: row.plate.or(row.stock).unwrap_or_else(|| speech.word("form", &row.form)),
        lot: row.lot,
        product: row.product,
        section: format!("{}, layer {}", section_text(speech, &row.panel, row.part), row.layer),
        begun: times::spoken(row.begun_at, row.off_min, ""),
        state: row.state,
        conditions: row.conditions,
        notes: row.notes,
    };
    let uses: Vec<LotUseView> = store.lots(lot, MOST_USES)?.into_iter().map(view).collect();
    let jobs: BTreeSet<&str> = uses.iter().map(|it| it.job.as_str()).collect();
    let jobs = u32::try_from(jobs.len()).unwrap_or(u32::MAX);
    Ok(LotsView { uses, jobs, complete: store.tables_complete()? })
}

/// Due dates for the owner's own calendar: the five waits at their times, looking again on its first day.
fn due_dates(store: &mut Store, job: &str, stamp_ms: i64, locale: Locale) -> Result<String, Error> {
    let folded = here(store, job)?;
    let view = work_of(folded, Speech { locale });
    let plate = folded.vehicle().and_then(|it| it.vehicle.plate.clone());
    let named = |text: &str| match &plate {
        Some(plate) => format!("{plate}: {text}"),
        None => text.to_owned(),
    };
    let mut dates: Vec<DueDate> = Vec::new();
    let mut add = |word: String, when: When, summary: String, description: Option<String>| {
        let same = dates.iter().filter(|it| it.uid.starts_with(&format!("{}-{word}", folded.id))).count();
        let number = if same == 0 { String::new() } else { format!("-{}", same + 1) };
        let uid = format!("{}-{word}{number}", folded.id);
        dates.push(DueDate { uid, when, summary, description, alarm_before_s: None });
    };
    for line in &view.aftercare {
        if let (Some(wait), Some(until_ms)) = (&line.wait, line.until_ms) {
            add(wait.clone(), When::At(until_ms), named(&line.text), line.because.clone());
        }
    }
    for look in &view.look_again {
        let reasons = format!("By {}. {}", look.by_text, look.reasons.join("; "));
        add("look-again".to_owned(), When::Day(look.from_day.clone()), named(&look.text), Some(reasons));
    }
    if dates.is_empty() {
        return Err(Error::NotFound {
            what: format!("a due date in job {job}: no layer was levelled in it"),
        });
    }
    calendar(stamp_ms, &dates)
}

/// What is still to come of open sections, the next one first.
fn alarms(store: &mut Store, now: &Now) -> Result<Vec<Alarm>, Error> {
    let clocks = clocks(store, None, now, Locale::EnGb)?;
    let mut all = Vec::new();
    for clock in &clocks.open {
        let job: Uuid = id(&clock.job)?;
        let folded = store.job(job)?;
        let layer = folded.work.layers.iter().find(|it| it.id.to_string() == clock.layer_id);
        let Some(layer) = layer else { continue };
        let ends = [(false, Some(clock.due_ms)), (true, clock.late_ms)];
        all.extend(ends.into_iter().filter_map(|(late, at_ms)| ring(clock, layer, late, at_ms?, now)));
    }
    all.sort_by_key(|alarm| alarm.in_ms);
    Ok(all)
}

fn ring(
    clock: &ClockView,
    layer: &crate::record::fold::Item<crate::record::events::LayerBegun>,
    late: bool,
    at_ms: i64,
    now: &Now,
) -> Option<Alarm> {
    let in_ms = u64::try_from(at_ms.saturating_sub(now.at_ms)).ok().filter(|in_ms| *in_ms > 0)?;
    Some(Alarm {
        job: clock.job.clone(),
        layer_id: clock.layer_id.clone(),
        panel: layer.body.panel.clone(),
        part: layer.body.part,
        layer: layer.body.layer,
        late,
        in_ms,
        at_ms,
    })
}

impl Notebook {
    /// Tells the platform what is due. A bell that fails keeps nothing from being saved: the clocks show what it would have rung.
    pub(super) fn tell_bell(&self) {
        let Some(bell) = &self.platform.bell else { return };
        let alarms = || alarms(&mut *self.lock()?, &self.platform.clock.now()?);
        // The lock is given back before the bell is called, which may look at the notebook itself.
        if let Ok(alarms) = alarms() {
            let _ = bell.set(alarms);
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// Everything on record about the work of a job.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn work(&self, job: String, locale: Locale) -> Result<WorkView, Error> {
        work(&mut *self.lock()?, &job, locale)
    }

    /// Open sections now, what is due next on top, and which were late; of one job, or of all that have any.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn clocks(&self, job: Option<String>, locale: Locale) -> Result<ClocksView, Error> {
        let now = self.platform.clock.now()?;
        clocks(&mut *self.lock()?, job.as_deref(), &now, locale)
    }

    /// The five clocks after the last layer, as local times of this device's zone: when it may be touched, get wet, be washed, meet
    /// strong cleaners, and is cured. Of several layers the latest end counts.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn cure_clocks(&self, job: String, locale: Locale) -> Result<Vec<CureView>, Error> {
        let now = self.platform.clock.now()?;
        cure(&mut *self.lock()?, &job, &now, locale)
    }

    /// Which cars had a lot, and under what conditions: every layer from it over all jobs, newest first.
    ///
    /// # Errors
    /// A lot without a letter or digit, or the store could not be read.
    pub fn lots(&self, lot: String, locale: Locale) -> Result<LotsView, Error> {
        let mut store = self.lock()?;
        store.build_tables(SLICE)?;
        lots(&store, &lot, locale)
    }

    /// The user's own product sheets of all jobs, the newest version of each, ready to be recorded in another job.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn sheets(&self, locale: Locale) -> Result<Vec<SheetKnown>, Error> {
        let mut store = self.lock()?;
        store.build_tables(SLICE)?;
        let speech = Speech { locale };
        let known = store.sheets()?.into_iter().map(|row| SheetKnown {
            product: row.name,
            version: row.version,
            kind_text: speech.word("step", row.kind.word()),
            input: row.input,
        });
        Ok(known.collect())
    }

    /// An iCalendar file (RFC 5545) of a job's due dates, for the owner's own calendar.
    ///
    /// # Errors
    /// The job is not here or nothing is due in it, or the store could not be read.
    pub fn calendar(&self, job: String, locale: Locale) -> Result<String, Error> {
        let now = self.platform.clock.now()?;
        due_dates(&mut *self.lock()?, &job, now.at_ms, locale)
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::work`].
    ///
    /// # Errors
    /// As [`Notebook::work`].
    pub fn work(&self, job: String, locale: Locale) -> Result<WorkView, Error> {
        work(&mut *self.lock()?, &job, locale)
    }

    /// As [`Notebook::clocks`], at a moment.
    ///
    /// # Errors
    /// As [`Notebook::clocks`].
    pub fn clocks(&self, job: Option<String>, now: Now, locale: Locale) -> Result<ClocksView, Error> {
        clocks(&mut *self.lock()?, job.as_deref(), &now, locale)
    }

    /// As [`Notebook::cure_clocks`], at a moment.
    ///
    /// # Errors
    /// As [`Notebook::cure_clocks`].
    pub fn cure_clocks(&self, job: String, now: Now, locale: Locale) -> Result<Vec<CureView>, Error> {
        cure(&mut *self.lock()?, &job, &now, locale)
    }

    /// As [`Notebook::lots`].
    ///
    /// # Errors
    /// As [`Notebook::lots`].
    pub fn lots(&self, lot: String, locale: Locale) -> Result<LotsView, Error> {
        lots(&*self.lock()?, &lot, locale)
    }

    /// As [`Notebook::calendar`], made at a moment (UTC milliseconds).
    ///
    /// # Errors
    /// As [`Notebook::calendar`].
    pub fn calendar(&self, job: String, at_ms: i64, locale: Locale) -> Result<String, Error> {
        due_dates(&mut *self.lock()?, &job, at_ms, locale)
    }
}
