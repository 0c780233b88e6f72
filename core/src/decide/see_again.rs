//! Seeing a known mark again: today's observation, in one touch. Pure.

use super::record_mark::next_label;
use super::{Known, draft, panel, typed, walk};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, Earlier, MarkRecorded, MarkSeenAgain};
use crate::record::fold::Job;
use crate::record::inputs::{Description, SeeAgain};
use crate::vehicle;

pub(super) fn decide(job: &Job, act: &SeeAgain, known: &Known) -> Result<Draft, Error> {
    let walk = walk(job, act.walk)?;
    let mut draft = match act.job.filter(|earlier| *earlier != job.id) {
        None => {
            let mark = job
                .mark(act.mark)
                .ok_or_else(|| Error::refused("mark", format!("no mark {} in this job", act.mark)))?;
            let at = |id| job.walks.iter().position(|walk| walk.id == id);
            if at(walk) <= at(mark.walk) {
                return Err(Error::refused(
                    "mark",
                    "recorded in this very walk-around or a later one; seen again means later",
                ));
            }
            draft(Body::MarkSeenAgain(MarkSeenAgain { walk, mark: act.mark }))
        }
        Some(earlier) => {
            let there = known.job("job", earlier)?;
            let (mark, opening) = there
                .mark(act.mark)
                .zip(there.opening())
                .ok_or_else(|| Error::refused("mark", format!("no mark {} in job {earlier}", act.mark)))?;
            let now = mark.current().ok_or_else(|| Error::internal("decide.see_again"))?;
            panel(job, "mark", &now.description.panel)?;
            if job.marks.iter().any(|it| it.earlier.as_ref().is_some_and(|it| it.mark == act.mark)) {
                return Err(Error::refused("mark", "seen again in this job already"));
            }
            let mut draft = draft(Body::MarkRecorded(MarkRecorded {
                walk,
                label: next_label(job, &known.log),
                mark: Description { note: None, ..now.description.clone() },
                earlier: Some(Earlier {
                    job: earlier,
                    mark: act.mark,
                    label: mark.label.clone(),
                    at: opening.stamp.at,
                    off_min: opening.stamp.off_min,
                }),
                shown_by: None,
                moved_from: None,
            }));
            draft.geom = Some(vehicle::GEOMETRY_VERSION);
            draft
        }
    };
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
