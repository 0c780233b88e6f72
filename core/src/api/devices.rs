//! The phones of the crew: their logs, what is said of them, who co-signed them.
//!
//! A phone that takes another one's place names it, and is named by it while both are at hand: each joins the other, the new
//! one says [`Notebook::add_device`] with `continues`, the old one without.

use super::notebook::{Notebook, Reader};
use crate::decide::{add_device, lose_device, named_log, retire_device};
use crate::error::Error;
use crate::log::head;
use crate::log::seal::Draft;
use crate::record::events::short_log;
use crate::record::fold::{DeviceFact, DeviceSaid};
use crate::record::times;
use crate::record::views::{CosignedView, DeviceView, Speech, device_said};
use crate::record::words::Locale;
use crate::store::Store;
use std::collections::BTreeMap;

fn list(store: &Store, locale: Locale) -> Result<Vec<DeviceView>, Error> {
    let said = store.devices()?;
    let speech = Speech { locale };
    let mut found: BTreeMap<String, DeviceView> = BTreeMap::new();
    let blank = |log: &str| DeviceView {
        log: log.to_owned(),
        phone: short_log(log).to_owned(),
        own: false,
        entries: 0,
        forked: false,
        key: None,
        said: Vec::new(),
        cosigned: Vec::new(),
    };
    for row in store.logs()? {
        let forked = found.contains_key(&row.name);
        let device = found.entry(row.name.clone()).or_insert_with(|| blank(&row.name));
        device.own |= row.own;
        device.forked = forked;
        device.entries = device.entries.max(row.size);
        device.key = head::vkey(&row.name, &row.public).ok();
    }
    for it in &said {
        let by = (it.fact == DeviceFact::Added { continues: true }).then(|| it.stamp.log().to_owned());
        for log in [Some(it.head.log.clone()), by].into_iter().flatten() {
            let device = found.entry(log).or_insert_with_key(|log| blank(log));
            device.said.push(device_said(it, speech));
        }
    }
    for (log, device) in &mut found {
        let mut newest: BTreeMap<String, CosignedView> = BTreeMap::new();
        // They come in order of their size, so the last one of each stays.
        for (kept, holds) in store.cosigned_and_held(log)? {
            let by = kept.cosignature;
            let ms = i64::try_from(by.time_s).ok().and_then(|seconds| seconds.checked_mul(1_000));
            let at = times::spoken(ms.unwrap_or(i64::MAX), 0, "");
            let phone = short_log(&by.witness).to_owned();
            let view = CosignedView { log: by.witness.clone(), phone, size: kept.head.size, at, holds };
            newest.insert(by.witness, view);
        }
        device.cosigned = newest.into_values().collect();
    }
    let mut found: Vec<DeviceView> = found.into_values().collect();
    found.sort_by_key(|device| !device.own);
    Ok(found)
}

#[uniffi::export]
impl Notebook {
    /// The phones that this record knows of, its own first: their logs, what was said of them, who co-signed them.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn devices(&self, locale: Locale) -> Result<Vec<DeviceView>, Error> {
        list(&*self.lock()?, locale)
    }

    /// Says that another phone belongs to this record, naming its log as far as it is here; with `continues`, that this phone
    /// goes on in its place. `log` is its name or the first letters of the name's last part. False when that was said already.
    ///
    /// # Errors
    /// No such log is here, more than one is meant, it is this phone's own, or the store could not be written.
    pub fn add_device(&self, log: String, continues: bool) -> Result<bool, Error> {
        self.say_of_device(
            &log,
            |own, head, _, _| add_device(own, head, continues),
            |said| *said == DeviceFact::Added { continues },
        )
    }

    /// Says that nothing more is recorded on a phone, which may be this one. False when that was said already.
    ///
    /// # Errors
    /// No such log is here, more than one is meant, or the store could not be written.
    pub fn retire_device(&self, log: String) -> Result<bool, Error> {
        self.say_of_device(&log, |_, head, _, _| Ok(retire_device(head)), |said| *said == DeviceFact::Retired)
    }

    /// Says that a phone is lost, since a time (RFC 3339 with an offset) or since now. Its entries from then on, and those that
    /// come to light only later, are kept and flagged. False when it was said already and no earlier time is given.
    ///
    /// # Errors
    /// No such log is here, more than one is meant, it is this phone's own, the time is none or lies ahead, or the store could
    /// not be written.
    pub fn lose_device(&self, log: String, since: Option<String>) -> Result<bool, Error> {
        let earlier = since.as_deref().and_then(|text| times::read_rfc3339(text).ok()).map(|(ms, _)| ms);
        let draft =
            |own: &str, head, now_ms, off_min| lose_device(own, head, since.as_deref(), now_ms, off_min);
        self.say_of_device(&log, draft, |said| match said {
            DeviceFact::Lost { since } => earlier.is_none_or(|ms| ms >= since.ms),
            _ => false,
        })
    }
}

impl Notebook {
    /// Records a word about a phone unless this phone has said it already.
    fn say_of_device(
        &self,
        log: &str,
        draft: impl FnOnce(&str, crate::record::events::Head, i64, i32) -> Result<Draft, Error>,
        is_said: impl Fn(&DeviceFact) -> bool,
    ) -> Result<bool, Error> {
        let mut store = self.lock()?;
        let (own, head) = (store.own_name()?, named_log(&store.heads()?, log)?);
        let name = head.log.clone();
        let now = self.platform.clock.now()?;
        let draft = draft(&own, head, now.at_ms, now.off_min)?;
        let here = |it: &DeviceSaid| it.stamp.log() == own && it.head.log == name && is_said(&it.fact);
        let new = !store.devices()?.iter().any(here);
        if new {
            self.append(&mut store, vec![draft], now, None)?;
        }
        Ok(new)
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::devices`].
    ///
    /// # Errors
    /// As there.
    pub fn devices(&self, locale: Locale) -> Result<Vec<DeviceView>, Error> {
        list(&*self.lock()?, locale)
    }
}
