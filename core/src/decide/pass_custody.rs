//! Recording who had keys or vehicle. Pure.

use super::{draft, ranged, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, CustodyPassed};
use crate::record::inputs::PassCustody;
use crate::record::words::Custody;

pub(super) fn decide(act: &PassCustody) -> Result<Draft, Error> {
    ranged("keys", act.keys, 1..=20, " keys")?;
    if act.keys.is_some() && act.what == Custody::Vehicle {
        return Err(Error::refused("keys", "a number of keys, yet only the vehicle changes hands"));
    }
    if act.from == act.to && act.what != Custody::Vehicle {
        return Err(Error::refused("to", "the same as from: keys that stay do not change hands"));
    }
    let mut draft = draft(Body::CustodyPassed(CustodyPassed {
        what: act.what,
        from: act.from,
        to: act.to,
        keys: act.keys,
    }));
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
