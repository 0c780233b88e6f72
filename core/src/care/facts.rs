//! What a plan takes from the rest of a job's record: the products' sheets, the panel's temperature, what drives the car, the night. Pure.

use super::findings::Recorded;
use super::plan::{Night, Place, Rain};
use super::recorded::{apart, sheets};
use super::sheet::{self, Sheet};
use super::words::Step;
use crate::error::Error;
use crate::record::events::ConditionsRead;
use crate::record::fold::{Item, Stamp};
use crate::record::times;
use crate::record::words::{Custody, Party};
use std::collections::BTreeSet;
use uuid::Uuid;

/// For so long a reading of a panel's temperature is taken, milliseconds. Our choice, no source: sun, shade and water change it within
/// half an hour.
pub const PANEL_READ_MS: i64 = 30 * 60_000;
/// For so long what was said of a night holds, milliseconds. Our choice, no source: said in the morning, it is over the next one.
pub const NIGHT_MS: i64 = 18 * 3_600_000;
/// Temperatures that a panel can have, milli-°C: as wide as a sheet may say, and what is hotter burns.
const PANEL_MC: std::ops::RangeInclusive<i32> = -40_000..=120_000;

/// A sheet as a plan takes it.
pub(super) struct PlanSheet {
    /// Named apart from others of its name.
    pub sheet: Sheet,
    /// What in it is common practice.
    pub usual: Vec<String>,
}

impl<'j> Recorded<'j> {
    /// The sheet that a step goes by: of the product of its kind that was put on record last, the newest version.
    pub(super) fn plan_sheet(&self, step: Step) -> Result<Option<PlanSheet>, Error> {
        let all = sheets(self.job);
        let items = &self.job.work.sheets;
        let last = items.iter().zip(&all).rev().find(|(item, _)| item.body.kind == step);
        let Some((_, (_, named))) = last else { return Ok(None) };
        let versions =
            items.iter().zip(&all).filter(|(item, (_, it))| item.body.kind == step && it.name == named.name);
        let Some((item, (id, sheet))) = versions.max_by_key(|(item, _)| item.body.version) else {
            return Ok(None);
        };
        let mut sheet = apart(&all, *id, sheet);
        let mut usual = item.body.usual.clone();
        if item.body.starter {
            let blank = sheet::fill(&Sheet::blank("", step))?;
            usual = blank.usual.iter().map(|name| (*name).to_owned()).collect();
        }
        // A product is not refused a surface by what is only usual of its kind: the surface's own rules say that.
        if usual.iter().any(|name| name == "surfaces") {
            sheet.surfaces.clear();
            usual.retain(|name| name != "surfaces");
        }
        Ok(Some(PlanSheet { sheet, usual }))
    }

    /// Coats that are on a panel, each with the entry that began its last section and when that was levelled: a layer is on when
    /// every section of it that was begun there is levelled.
    pub(super) fn coats(&self, panel: &str) -> Vec<(Step, Uuid, &'j Stamp)> {
        let work = &self.job.work;
        let mut coats: Vec<(Step, Uuid, &'j Stamp)> = Vec::new();
        let begun = || work.layers.iter().filter(|it| it.body.panel == panel);
        let numbers: BTreeSet<u32> = begun().map(|it| it.body.layer).collect();
        for number in numbers {
            let sections = || begun().filter(|it| it.body.layer == number);
            let levelled = sections().map(|it| Some((it, &work.levelling(it.id)?.stamp)));
            let Some(levelled) = levelled.collect::<Option<Vec<_>>>() else { continue };
            let last = levelled
                .into_iter()
                .max_by(|(_, a), (_, b)| (a.seen_ms(), &a.key).cmp(&(b.seen_ms(), &b.key)));
            let Some((last, stamp)) = last else { continue };
            if let Some(sheet) = work.sheets.iter().find(|it| it.id == last.body.sheet) {
                coats.push((sheet.body.kind, last.id, stamp));
            }
        }
        coats
    }

    /// How many coats of a step its sheet asks for, one if it says nothing.
    pub(super) fn coats_wanted(&self, step: Step) -> usize {
        let coats = self.plan_sheet(step).ok().flatten().and_then(|it| it.sheet.coats);
        coats.map_or(1, |coats| coats.least as usize)
    }

    /// The reading that tells a panel's temperature: the last one there, or else the last one anywhere, if it is recent.
    fn temperature(&self, panel: &str, now_ms: i64) -> Option<(i32, &'j Item<ConditionsRead>)> {
        let recent = |it: &Item<ConditionsRead>| now_ms.saturating_sub(it.stamp.seen_ms()) <= PANEL_READ_MS;
        let job = self.job;
        let read = job.work.conditions.iter().filter(|it| recent(it));
        let read = read.filter_map(|it| Some((it.body.panel_mc.filter(|mc| PANEL_MC.contains(mc))?, it)));
        let here = |it: &Item<ConditionsRead>| it.body.panel.as_deref() == Some(panel);
        read.max_by_key(|(_, it)| (here(it), it.stamp.seen_ms(), it.stamp.key.clone()))
    }

    /// Its temperature, milli-°C, if it was read lately.
    pub(super) fn panel_mc(&self, panel: &str, now_ms: i64) -> Option<i32> {
        self.temperature(panel, now_ms).map(|(mc, _)| mc)
    }

    /// Which of a plan's surfaces have a temperature that was read elsewhere, to read.
    pub(super) fn read_elsewhere(&self, surfaces: &[Place], now_ms: i64) -> Option<String> {
        let elsewhere = surfaces.iter().filter_map(|it| {
            let (mc, read) = self.temperature(&it.place, now_ms)?;
            (read.body.panel.as_deref() != Some(it.place.as_str())).then_some((it.place.as_str(), mc, read))
        });
        let elsewhere: Vec<(&str, i32, &Item<ConditionsRead>)> = elsewhere.collect();
        let (_, mc, read) = elsewhere.first()?;
        let on = read.body.panel.as_ref().map(|panel| format!(" on {panel}")).unwrap_or_default();
        let places: Vec<&str> = elsewhere.iter().map(|it| it.0).collect();
        Some(format!(
            "No own panel temperature of the last half hour: {}; taken is {} °C, read{on} {}.",
            places.join(", "),
            f64::from(*mc) / 1_000.0,
            time(&read.stamp)
        ))
    }

    /// Whether the car drives by electricity, alone or beside fuel: its instruments show a charge.
    pub(super) fn high_voltage(&self) -> bool {
        self.job.instruments.iter().any(|it| it.body.charge_pct.is_some())
    }

    /// What is on record of the night ahead: the last word on each, as long as it holds. Keys stay where they went.
    pub(super) fn night(&self, now_ms: i64) -> Night {
        let work = &self.job.work;
        let holds = |stamp: &Stamp| now_ms.saturating_sub(stamp.seen_ms()) <= NIGHT_MS;
        let stays = || work.stays.iter().rev().filter(|it| holds(&it.stamp)).map(|it| &it.body);
        let usual = work.uses.iter().rev().find_map(|it| it.body.used.sleeps);
        let rain = stays().find_map(|it| Some((it.rain?, it.rain_from)));
        Night {
            sleeps: stays().find_map(|it| it.sleeps).or(usual),
            rain: rain.map(|(due, from)| Rain {
                due,
                in_s: from.map(|from| from.ms.saturating_sub(now_ms) / 1_000),
                from: from.map(|from| times::time_of_day(from.ms, from.off_min)),
            }),
            keys: self.keys(now_ms).map(|(who, _)| who),
        }
    }

    /// Who has the keys, and since when that is on record.
    fn keys(&self, now_ms: i64) -> Option<(Party, i64)> {
        let holds = |stamp: &Stamp| now_ms.saturating_sub(stamp.seen_ms()) <= NIGHT_MS;
        let stays = self.job.work.stays.iter().filter(|it| holds(&it.stamp));
        let said = stays.filter_map(|it| Some((it.body.keys?, &it.stamp)));
        let passed = self.job.custody.iter().filter(|it| it.body.what != Custody::Vehicle);
        let all = said.chain(passed.map(|it| (it.body.to, &it.stamp)));
        let last = all.max_by(|(_, a), (_, b)| (a.seen_ms(), &a.key).cmp(&(b.seen_ms(), &b.key)));
        last.map(|(who, stamp)| (who, stamp.seen_ms()))
    }

    /// Whether somebody else had the keys over a night since the car was last looked at: it may have been moved.
    pub(super) fn keys_were_away(&self, looked_ms: i64, now_ms: i64) -> bool {
        let night = |stamp: &Stamp| {
            let day = |ms: i64| times::date(ms, stamp.off_min);
            stamp.seen_ms() >= looked_ms && day(stamp.seen_ms()) != day(now_ms)
        };
        let said = self.job.work.stays.iter().filter_map(|it| Some((it.body.keys?, &it.stamp)));
        let passed = self.job.custody.iter().filter(|it| it.body.what != Custody::Vehicle);
        let mut all = said.chain(passed.map(|it| (it.body.to, &it.stamp)));
        all.any(|(who, stamp)| who != Party::Detailer && night(stamp))
    }
}

fn time(stamp: &Stamp) -> String {
    let (ms, off_min) = stamp.observed.map_or((stamp.at, stamp.off_min), |it| (it.ms, it.off_min));
    times::time_of_day(ms, off_min)
}
