//! Beginning a walk-around. Pure.

use super::draft;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, WalkBegun};
use crate::record::inputs::BeginWalk;

pub(super) fn decide(act: &BeginWalk) -> Result<Draft, Error> {
    Ok(draft(Body::WalkBegun(WalkBegun { stage: act.stage })))
}
