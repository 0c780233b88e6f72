//! Answering for a whole side while walking past: one touch, never more than a walk-past. Pure.

use super::{draft, open_walk, vehicle_of};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, OutcomeRecorded};
use crate::record::fold::Job;
use crate::record::inputs::PassSide;
use crate::record::words::{Distance, Outcome};
use crate::vehicle;

pub(super) fn decide(job: &Job, act: &PassSide, entered_later: bool) -> Result<Vec<Draft>, Error> {
    let walk = open_walk(job, act.walk, entered_later)?;
    let now = vehicle_of(job)?;
    let asked = vehicle::asked_for(now.form, &now.scope);
    let answered = |panel: &str| {
        job.answers.iter().any(|answer| answer.walk == walk && answer.panel == panel)
            || job.marks.iter().any(|mark| {
                mark.walk == walk && mark.current().is_some_and(|it| it.description.panel == panel)
            })
    };
    let drafts: Vec<Draft> = vehicle::on_side(now.form, act.side)
        .into_iter()
        .filter(|panel| asked.contains(panel) && !answered(panel))
        .map(|panel| {
            draft(Body::OutcomeRecorded(OutcomeRecorded {
                walk,
                panel: panel.to_owned(),
                outcome: Outcome::NothingSeen,
                why: None,
                distance: Some(Distance::WalkPast),
                light: act.light,
                surface: act.surface,
                spent_ms: None,
                fast: false,
            }))
        })
        .collect();
    if drafts.is_empty() {
        return Err(Error::refused("side", "every place of this side has an answer in this walk-around"));
    }
    Ok(drafts)
}
