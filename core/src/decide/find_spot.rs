//! Putting a missed spot on record. Pure.

use super::{draft, panel, ranged, spot, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, SpotFound};
use crate::record::fold::Job;
use crate::record::inputs::{FindSpot, PanelSpot};
use crate::record::words::Light;
use crate::vehicle;

/// The oldest step that can be meant, seconds: a year.
const OLDEST_S: u32 = 31_536_000;

pub(super) fn decide(job: &Job, act: &FindSpot) -> Result<Draft, Error> {
    if act.light == Light::Dark {
        return Err(Error::refused(
            "light",
            "nothing is found in the dark; say under which light it was seen",
        ));
    }
    ranged("age_s", act.age_s, 0..=OLDEST_S, " s")?;
    spot("place.at", act.place.at)?;
    let mut draft = draft(Body::SpotFound(SpotFound {
        kind: act.kind,
        place: PanelSpot { panel: panel(job, "place.panel", &act.place.panel)?, at: act.place.at },
        light: act.light,
        step: act.step,
        age_s: act.age_s,
    }));
    draft.geom = Some(vehicle::GEOMETRY_VERSION);
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
