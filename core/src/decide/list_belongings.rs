//! Listing what of the owner's is in the vehicle. Pure.

use super::{checked, draft, ranged, typed};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{BelongingsListed, Body};
use crate::record::inputs::{Belonging, ListBelongings};

/// Most lines of one list.
const MOST: usize = 200;

pub(super) fn decide(act: &ListBelongings) -> Result<Draft, Error> {
    if act.items.len() > MOST {
        return Err(Error::refused("items", format!("{} lines; at most {MOST}", act.items.len())));
    }
    let mut items = Vec::new();
    for (at, item) in act.items.iter().enumerate() {
        let field = |name: &str| format!("items[{at}].{name}");
        ranged(&field("count"), item.count, 0..=1_000, "")?;
        items.push(Belonging {
            what: checked(&field("what"), &item.what, 200)?,
            place: item.place.as_ref().map(|place| checked(&field("place"), place, 200)).transpose()?,
            ..item.clone()
        });
    }
    let count = u32::try_from(items.len()).unwrap_or(u32::MAX);
    let mut draft = draft(Body::BelongingsListed(BelongingsListed { count, seen_with: act.seen_with }));
    if !items.is_empty() {
        let value = serde_json::to_value(&items).map_err(|_| Error::internal("decide.belongings"))?;
        draft.typed.push(("items", value));
    }
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}
