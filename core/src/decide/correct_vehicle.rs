//! Correcting what a job was opened with: an addition that names the entry it corrects. Pure.

use super::open_job::described;
use super::{draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, VehicleCorrected};
use crate::record::fold::Job;
use crate::record::inputs::CorrectVehicle;
use crate::vehicle;

pub(super) fn decide(job: &Job, act: &CorrectVehicle) -> Result<Draft, Error> {
    let now = job.vehicle().ok_or_else(|| Error::internal("decide.correct_vehicle"))?;
    let (becomes, identity) = described("becomes", &act.becomes)?;
    // What is recorded keeps its place: a form without that place cannot be meant.
    let recorded = job
        .answers
        .iter()
        .map(|answer| answer.panel.as_str())
        .chain(job.marks.iter().filter_map(|mark| Some(mark.current()?.description.panel.as_str())))
        .chain(job.photos.iter().filter_map(|photo| photo.attached.panel.as_deref()))
        .chain(job.feels.iter().map(|feel| feel.panel.as_str()))
        .chain(job.thickness.iter().map(|it| it.body.panel.as_str()))
        .chain(job.generals.iter().flat_map(|it| &it.body.panels).map(String::as_str))
        .chain(job.notes.iter().filter_map(|it| it.body.panel.as_deref()))
        .chain(job.incidents.iter().filter_map(|it| it.body.panel.as_deref()))
        .chain(job.disputes.iter().filter_map(|it| it.body.panel.as_deref()));
    for panel in recorded {
        if !vehicle::has_place(becomes.form, panel) {
            return Err(Error::refused(
                "becomes.form",
                format!("a {} has no {panel}, on which something is recorded", becomes.form.word()),
            ));
        }
    }
    let mut draft = draft(Body::VehicleCorrected(VehicleCorrected { corrects: now.stamp.input, becomes }));
    draft.typed.extend(identity);
    typed(&mut draft, "reason", "reason", Some(&act.reason))?;
    Ok(draft)
}
