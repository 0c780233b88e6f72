//! Recording where the car stands until work goes on, whether rain is due, and who has the keys. Pure.

use super::{draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, Observed, StayRecorded};
use crate::record::inputs::RecordStay;
use crate::record::times;

/// How far from its entry rain can be meant, milliseconds: a day back, a week ahead.
const RAIN_MS: std::ops::RangeInclusive<i64> = -86_400_000..=7 * 86_400_000;

pub(super) fn decide(act: &RecordStay, at_ms: i64) -> Result<Draft, Error> {
    if (act.sleeps, act.rain, act.keys) == (None, None, None) {
        return Err(Error::refused(
            "sleeps",
            "nothing was said of the night: where it sleeps, rain, or the keys",
        ));
    }
    let rain_from = act.rain_from.as_ref().map(|text| rain_from(text, act.rain, at_ms)).transpose()?;
    let mut draft = draft(Body::StayRecorded(StayRecorded {
        sleeps: act.sleeps,
        rain: act.rain,
        rain_from,
        keys: act.keys,
    }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}

fn rain_from(text: &str, rain: Option<bool>, at_ms: i64) -> Result<Observed, Error> {
    if rain != Some(true) {
        return Err(Error::refused("rain_from", "a time, yet it is not said that rain is due"));
    }
    let (ms, off_min) = times::read_rfc3339(text).map_err(|why| match why {
        Error::Refused { reason, .. } => Error::refused("rain_from", reason),
        why => why,
    })?;
    if !RAIN_MS.contains(&ms.saturating_sub(at_ms)) {
        return Err(Error::refused(
            "rain_from",
            "neither of the day before nor of the week ahead: check the date",
        ));
    }
    Ok(Observed { ms, off_min })
}
