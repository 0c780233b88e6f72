//! Recording what the owner allows. Pure.

use super::{draft, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, PermissionsRecorded};
use crate::record::inputs::RecordPermissions;

pub(super) fn decide(act: &RecordPermissions) -> Result<Draft, Error> {
    if act.answers.is_empty() {
        return Err(Error::refused("answers", "empty; what was not asked is left out, and is not allowed"));
    }
    let mut answers = act.answers.clone();
    answers.sort_by_key(|it| it.permission);
    if let Some(twice) = answers.windows(2).find(|pair| pair[0].permission == pair[1].permission) {
        return Err(Error::refused("answers", format!("{} twice", twice[0].permission.word())));
    }
    let mut draft = draft(Body::PermissionsRecorded(PermissionsRecorded { by: act.by, answers }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
