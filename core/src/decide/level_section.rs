//! Levelling a section, and beginning the next in the same moment. Pure.

use super::begin_layer::{self, who};
use super::draft;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, LayerLevelled};
use crate::record::fold::Job;
use crate::record::inputs::LevelSection;
use crate::record::times;

pub(super) fn decide(job: &Job, act: &LevelSection) -> Result<Vec<Draft>, Error> {
    if !job.work.layers.iter().any(|it| it.id == act.begun) {
        return Err(Error::refused("begun", format!("no layer {} was begun in this job", act.begun)));
    }
    if let Some(end) = job.work.levelling(act.begun) {
        let reason = format!("levelled already, {}", times::spoken(end.stamp.at, end.stamp.off_min, ""));
        return Err(Error::refused("begun", reason));
    }
    let mut levelled = draft(Body::LayerLevelled(LayerLevelled { begun: act.begun }));
    who(&mut levelled, act.who.as_ref())?;
    let mut drafts = vec![levelled];
    if let Some(next) = &act.then {
        let next = begin_layer::decide(job, next, Some(act.begun)).map_err(|why| match why {
            Error::Refused { field, reason } => Error::refused(format!("then.{field}"), reason),
            why => why,
        })?;
        drafts.push(next);
    }
    Ok(drafts)
}
