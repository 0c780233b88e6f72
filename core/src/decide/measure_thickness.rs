//! Recording paint thickness: every reading, or why there is none. Pure.

use super::{draft, panel, spot, typed, walk};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, ThicknessMeasured};
use crate::record::fold::Job;
use crate::record::inputs::MeasureThickness;
use crate::record::thickness;
use crate::vehicle;

/// Most readings of one panel at once.
const MOST_READINGS: usize = 200;

pub(super) fn decide(job: &Job, act: &MeasureThickness) -> Result<Draft, Error> {
    match (act.readings_um.len(), act.no_reading) {
        (0, None) => {
            return Err(Error::refused(
                "readings_um",
                "empty; say why in no_reading when there is no reading",
            ));
        }
        (1.., Some(_)) => {
            return Err(Error::refused("no_reading", "given beside readings; record them apart"));
        }
        (count, _) if count > MOST_READINGS => {
            return Err(Error::refused("readings_um", format!("{count} readings; at most {MOST_READINGS}")));
        }
        _ => {}
    }
    for (at, reading) in act.readings_um.iter().enumerate() {
        thickness::checked(*reading).map_err(|why| Error::refused(format!("readings_um[{at}]"), why))?;
    }
    if let Some(at) = act.at {
        spot("at", at)?;
    }
    if let Some(check) = act.gauge_check
        && job.gauge_checks.iter().all(|it| it.id != check)
    {
        return Err(Error::refused("gauge_check", format!("no check of a gauge {check} in this job")));
    }
    let mut draft = draft(Body::ThicknessMeasured(ThicknessMeasured {
        walk: walk(job, act.walk)?,
        panel: panel(job, "panel", &act.panel)?,
        at: act.at,
        readings_um: act.readings_um.clone(),
        no_reading: act.no_reading,
        gauge_check: act.gauge_check.or_else(|| job.gauge_checks.last().map(|it| it.id)),
    }));
    draft.geom = act.at.map(|_| vehicle::GEOMETRY_VERSION);
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
