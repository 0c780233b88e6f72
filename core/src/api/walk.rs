//! The walk-around that goes on, and what else a screen asks while a person stands at the vehicle.

use super::jobs::{DayList, SLICE, day, id};
use super::notebook::Notebook;
use crate::decide::SLIP_MS;
use crate::error::Error;
use crate::photo;
use crate::record::thickness::{Summary, summary_text};
use crate::record::times;
use crate::record::views::{ItemAsked, Speech, WalkNow, items_asked, job_view, length_typed, walk_now};
use crate::record::words::{Corner, Locale};
use uuid::{Builder, Uuid};

/// Quality of a picture for a screen, as JPEG counts it.
const SCREEN_QUALITY: u8 = 80;

#[uniffi::export]
impl Notebook {
    /// A new id for a job or an input: UUID version 7. Kept with what is being typed, it records that once, whatever
    /// happens to the program.
    ///
    /// # Errors
    /// The platform has no clock or no random bytes.
    pub fn new_id(&self) -> Result<Uuid, Error> {
        let at = u64::try_from(self.platform.clock.now()?.at_ms).unwrap_or(0);
        Ok(Builder::from_unix_timestamp_millis(at, &self.platform.random::<10>()?).into_uuid())
    }

    /// Whether an input with this id is on record: what was being typed under it need not be asked for again.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn is_recorded(&self, input: Uuid) -> Result<bool, Error> {
        self.lock()?.is_answered(input)
    }

    /// The jobs of today, by the phone's clock and zone.
    ///
    /// # Errors
    /// The platform has no clock, or the store could not be read.
    pub fn today(&self, locale: Locale) -> Result<DayList, Error> {
        let now = self.platform.clock.now()?;
        let date = times::date(now.at_ms, now.off_min).ok_or_else(|| Error::internal("walk.today"))?;
        let mut store = self.lock()?;
        store.build_tables(SLICE)?;
        day(&store, &date, locale)
    }

    /// The latest walk-around of a job as it stands: its places from the chosen corner round, where the person stands
    /// (`at`, none at first), what comes next, and what is known from before. `earlier` is a job that the person said
    /// is of the same vehicle.
    ///
    /// # Errors
    /// A job is not here, no walk-around was begun, or the store could not be read.
    pub fn walk(
        &self,
        job: String,
        corner: Corner,
        at: Option<String>,
        earlier: Option<String>,
        locale: Locale,
    ) -> Result<WalkNow, Error> {
        let mut store = self.lock()?;
        let earlier = match earlier {
            Some(earlier) => Some(store.job(id(&earlier)?)?.clone()),
            None => None,
        };
        walk_now(store.job(id(&job)?)?, corner, at.as_deref(), earlier.as_ref(), Speech { locale })
    }

    /// What the owner is asked to answer to, entry by entry.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn items_asked(&self, job: String, locale: Locale) -> Result<Vec<ItemAsked>, Error> {
        let mut store = self.lock()?;
        Ok(items_asked(&job_view(store.job(id(&job)?)?, Speech { locale })?))
    }

    /// A photo for a screen: upright JPEG, at most `longest_px` (1 to 4,096) on its longer side.
    ///
    /// # Errors
    /// No such photo is here, it is damaged, or the store could not be read.
    pub fn picture(&self, sha256: String, longest_px: u32) -> Result<Vec<u8>, Error> {
        let bytes = self.lock()?.photo(&sha256)?;
        let bytes = bytes.ok_or_else(|| Error::NotFound { what: format!("photo {sha256}") })?;
        photo::shown(&bytes, longest_px.clamp(1, 4_096), SCREEN_QUALITY)
            .map_err(|found| Error::Damaged { place: format!("photo {sha256}"), found })
    }
}

/// How long a slip can be taken back, milliseconds.
#[uniffi::export]
pub fn slip_ms() -> u32 {
    u32::try_from(SLIP_MS).unwrap_or(u32::MAX)
}

/// A length in micrometres from millimetres as a person types them (`18`, `0,8`); none when it is no length from
/// 0.001 mm to 30 m.
#[uniffi::export]
pub fn length_typed_um(text: String) -> Option<u32> {
    length_typed(&text)
}

/// What thickness readings say so far, while they are being typed: lowest and mean. Empty without a reading.
#[uniffi::export]
pub fn readings_so_far(readings_um: Vec<u32>) -> String {
    Summary::of(&readings_um).as_ref().map(summary_text).unwrap_or_default()
}
