//! Checking a thickness gauge. Pure.

use super::{checked, draft, ranged, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, GaugeChecked};
use crate::record::inputs::CheckGauge;
use serde_json::Value;

pub(super) fn decide(act: &CheckGauge) -> Result<Draft, Error> {
    ranged("zero_um", act.zero_um, -1_000..=1_000, " µm")?;
    ranged("foil_um", act.foil_um, 1..=10_000, " µm")?;
    ranged("foil_read_um", act.foil_read_um, 1..=10_000, " µm")?;
    ranged("accuracy_um", act.accuracy_um, 0..=100, " µm")?;
    if act.foil_um.is_some() != act.foil_read_um.is_some() {
        return Err(Error::refused(
            "foil_read_um",
            "a foil needs both: what it is stated to be and what was read",
        ));
    }
    if act.zero_um.is_none() && act.foil_um.is_none() {
        return Err(Error::refused("zero_um", "nothing was checked: give the zero, a foil, or both"));
    }
    let mut draft = draft(Body::GaugeChecked(GaugeChecked {
        plate: act.plate,
        zero_um: act.zero_um,
        foil_um: act.foil_um,
        foil_read_um: act.foil_read_um,
        accuracy_um: act.accuracy_um,
    }));
    draft.typed.push(("gauge", Value::String(checked("gauge", &act.gauge, 100)?)));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
