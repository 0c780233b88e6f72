//! Naming a lot of a product that is used. Pure.

use super::{checked, draft};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, LotOpened};
use crate::record::fold::Job;
use crate::record::inputs::OpenLot;
use crate::record::times;
use serde_json::Value;
use uuid::Uuid;

pub(super) fn decide(job: &Job, act: &OpenLot) -> Result<Draft, Error> {
    sheet(job, act.sheet)?;
    let lot = checked("lot", &act.lot, 100)?;
    if !lot.chars().any(char::is_alphanumeric) {
        return Err(Error::refused("lot", "it holds no letter and no digit to find it by"));
    }
    for (field, date) in [("opened", &act.opened), ("use_by", &act.use_by)] {
        if let Some(date) = date {
            times::around_day(date).map_err(|why| match why {
                Error::Refused { reason, .. } => Error::refused(field, reason),
                why => why,
            })?;
        }
    }
    let body = LotOpened { sheet: act.sheet, opened: act.opened.clone(), use_by: act.use_by.clone() };
    let mut draft = draft(Body::LotOpened(body));
    draft.typed.push(("lot", Value::String(lot)));
    Ok(draft)
}

/// A sheet of this job.
pub(super) fn sheet(job: &Job, id: Uuid) -> Result<(), Error> {
    match job.work.sheets.iter().any(|it| it.id == id) {
        true => Ok(()),
        false => Err(Error::refused("sheet", format!("no product sheet {id} in this job; record it first"))),
    }
}
