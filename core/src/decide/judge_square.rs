//! Saying what came of a test square. Pure.

use super::draft;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, SquareJudged};
use crate::record::fold::Job;
use crate::record::inputs::JudgeSquare;
use crate::record::thickness;

pub(super) fn decide(job: &Job, act: &JudgeSquare) -> Result<Draft, Error> {
    if job.treated.squares.iter().all(|it| it.id != act.square) {
        return Err(Error::refused("square", format!("no test square {} in this job", act.square)));
    }
    if let Some(lowest_um) = act.lowest_um {
        thickness::checked(lowest_um).map_err(|why| Error::refused("lowest_um", why))?;
    }
    for (field, photo) in [("before", act.before), ("after", act.after)] {
        if let Some(id) = photo
            && job.photos.iter().all(|it| it.id != id)
        {
            return Err(Error::refused(field, format!("no photo {id} in this job")));
        }
    }
    match (act.before, act.after) {
        (Some(before), Some(after)) if before == after => {
            return Err(Error::refused("after", "the same photo as before"));
        }
        (Some(_), None) => {
            return Err(Error::refused("after", "wanting: a pair is one before and one after"));
        }
        (None, Some(_)) => {
            return Err(Error::refused("before", "wanting: a pair is one before and one after"));
        }
        _ => {}
    }
    match (act.answer, act.by) {
        (Some(_), None) => return Err(Error::refused("by", "wanting: say who answered")),
        (None, Some(_)) => return Err(Error::refused("answer", "wanting: say what was answered")),
        _ => {}
    }
    if act.enough.is_none() && act.lowest_um.is_none() && act.before.is_none() && act.answer.is_none() {
        return Err(Error::refused("enough", "nothing is said; say at least one thing"));
    }
    Ok(draft(Body::SquareJudged(SquareJudged {
        square: act.square,
        enough: act.enough,
        lowest_um: act.lowest_um,
        before: act.before,
        after: act.after,
        answer: act.answer,
        by: act.by,
    })))
}
