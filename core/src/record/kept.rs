//! Which kind of thing a blob is, for how long it is kept. Pure. Rules by kind and months are the user's: law says no
//! longer than needed and names no number (common practice, no source: inside and belongings 6 to 12 months, condition
//! record 2 to 6 years).

use super::events::{BlobRef, Body, Envelope};
use super::words::Kept;
use crate::vehicle;
use chrono::{DateTime, Months};
use std::collections::BTreeMap;
use uuid::Uuid;

/// Kinds of a job's blobs, by hash. `envelopes` are all of the job's events.
pub fn kinds(envelopes: &[Envelope]) -> Vec<(Kept, &BlobRef)> {
    let of_entry: BTreeMap<Uuid, &str> =
        envelopes.iter().filter_map(|it| Some((it.input?, it.kind.as_str()))).collect();
    let mut kinds = Vec::new();
    for envelope in envelopes {
        let inside = match Body::read(&envelope.kind, envelope.v, &envelope.body) {
            Body::PhotoAttached(photo) => {
                let place = photo.panel.as_deref().is_some_and(vehicle::is_inside);
                let shows = photo.entry.and_then(|entry| of_entry.get(&entry).copied());
                place || matches!(shows, Some("belongings.listed" | "instruments.read"))
            }
            _ => false,
        };
        for blob in &envelope.blobs {
            let kind = match (blob.is_file(), inside) {
                (false, _) => Kept::Texts,
                (true, true) => Kept::InsidePhotos,
                (true, false) => Kept::OutsidePhotos,
            };
            kinds.push((kind, blob));
        }
    }
    kinds
}

/// The time before which a visit must have been over for a rule of so many months, UTC milliseconds; months are the
/// calendar's, and a day that a month lacks is its last one.
pub fn before(now_ms: i64, months: u32) -> Option<i64> {
    let now = DateTime::from_timestamp_millis(now_ms)?;
    now.checked_sub_months(Months::new(months)).map(|at| at.timestamp_millis())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_are_the_calendars() {
        let at = |text: &str| DateTime::parse_from_rfc3339(text).expect("a time").timestamp_millis();
        assert_eq!(before(at("2027-03-31T12:00:00Z"), 1), Some(at("2027-02-28T12:00:00Z")));
        assert_eq!(before(at("2028-03-31T12:00:00Z"), 1), Some(at("2028-02-29T12:00:00Z")));
        assert_eq!(before(at("2027-07-09T08:00:00Z"), 12), Some(at("2026-07-09T08:00:00Z")));
        assert_eq!(before(at("2027-07-09T08:00:00Z"), u32::MAX), None, "never");
    }
}
