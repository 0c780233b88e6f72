//! Recording how the car is used. Pure.

use super::{draft, ranged};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, UseRecorded};
use crate::record::inputs::CarUse;

pub(super) fn decide(act: &CarUse) -> Result<Draft, Error> {
    if *act == CarUse::default() {
        return Err(Error::refused("km_a_year", "nothing was said of how the car is used"));
    }
    ranged("km_a_year", act.km_a_year, 0..=1_000_000, " km")?;
    ranged("age_years", act.age_years, 0..=150, " years")?;
    Ok(draft(Body::UseRecorded(UseRecorded { used: *act })))
}
