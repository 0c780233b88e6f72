//! Putting a cloth, mitt or pad out of use: one press is enough, because the one taken last is the one that fell. Pure.

use super::{draft, panel};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, ClothPutOut};
use crate::record::fold::Job;
use crate::record::inputs::PutOut;
use crate::record::words::ClothOut;
use uuid::Uuid;

pub(super) fn decide(job: &Job, act: &PutOut) -> Result<Draft, Error> {
    if act.why == ClothOut::Coating {
        return Err(Error::refused("why", "a coating cloth is out of use by itself; dropped or grit"));
    }
    let is_out = |id: Uuid| job.treated.put_out.iter().any(|it| it.body.cloth == Some(id));
    let mut takings = job.treated.cloths.iter().rev().map(|it| (it.body.cloth.unwrap_or(it.id), it));
    let last = match act.cloth {
        Some(id) => {
            if is_out(id) {
                return Err(Error::refused("cloth", "it is out of use already"));
            }
            let taken = takings.find(|(taken, _)| *taken == id);
            Some(taken.ok_or_else(|| Error::refused("cloth", format!("no cloth {id} in this job")))?)
        }
        None => takings.find(|(id, _)| !is_out(*id)),
    };
    let on = match (&act.panel, last) {
        (Some(name), _) => panel(job, "panel", name)?,
        (None, Some((_, taken))) => taken.body.panel.clone(),
        (None, None) => {
            return Err(Error::refused("panel", "no cloth was taken in this job: say which panel it was on"));
        }
    };
    Ok(draft(Body::ClothPutOut(ClothPutOut { cloth: last.map(|(id, _)| id), why: act.why, panel: on })))
}
