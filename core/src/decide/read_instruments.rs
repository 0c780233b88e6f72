//! Recording what the instruments say. Pure.

use super::{checked, draft, ranged, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, InstrumentsRead};
use crate::record::inputs::ReadInstruments;
use serde_json::Value;

pub(super) fn decide(act: &ReadInstruments) -> Result<Draft, Error> {
    ranged("odometer", act.odometer, 0..=9_999_999, "")?;
    ranged("fuel_pct", act.fuel_pct, 0..=100, " %")?;
    ranged("charge_pct", act.charge_pct, 0..=100, " %")?;
    if act.odometer.is_some() != act.unit.is_some() {
        return Err(Error::refused("unit", "an odometer needs its unit, and a unit its odometer"));
    }
    let mut tried = act.tried.clone();
    tried.sort_by_key(|it| it.fitting);
    if let Some(twice) = tried.windows(2).find(|pair| pair[0].fitting == pair[1].fitting) {
        return Err(Error::refused("tried", format!("{} twice", twice[0].fitting.word())));
    }
    let nothing = act.odometer.is_none() && act.fuel_pct.is_none() && act.charge_pct.is_none();
    if nothing && act.lamps.is_none() && tried.is_empty() {
        return Err(Error::refused("odometer", "nothing was read: give at least one of the instruments"));
    }
    let mut draft = draft(Body::InstrumentsRead(InstrumentsRead {
        odometer: act.odometer,
        unit: act.unit,
        fuel_pct: act.fuel_pct,
        charge_pct: act.charge_pct,
        tried,
    }));
    if let Some(lamps) = &act.lamps {
        draft.typed.push(("lamps", Value::String(checked("lamps", lamps, 1_000)?)));
    }
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
