//! Recording the conditions beside the work, with the dew point that follows. Nothing is refused for being unsuitable. Pure.

use super::{draft, open_lot, panel, typed};
use crate::care::air;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, ConditionsRead};
use crate::record::fold::Job;
use crate::record::inputs::ReadConditions;

pub(super) fn decide(job: &Job, act: &ReadConditions) -> Result<Draft, Error> {
    let dew_point = air::dew_point(act.air_mc, act.rh_ppm)?;
    if let Some(panel_mc) = act.panel_mc {
        dew_point.margin_mc(panel_mc)?;
    }
    if let Some(id) = act.sheet {
        open_lot::sheet(job, id)?;
    }
    let mut draft = draft(Body::ConditionsRead(ConditionsRead {
        panel: act.panel.as_ref().map(|name| panel(job, "panel", name)).transpose()?,
        sheet: act.sheet,
        air_mc: act.air_mc,
        panel_mc: act.panel_mc,
        rh_ppm: act.rh_ppm,
        sun_on_panel: act.sun_on_panel,
        dew_point_mc: dew_point.dew_point_mc,
        frost_point_mc: dew_point.frost_point_mc,
    }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
