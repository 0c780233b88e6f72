//! What a person may say of a phone: that it was added, retired or lost. Pure.

use super::{AHEAD_MS, draft};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, DeviceAdded, DeviceLost, DeviceRetired, Head, Observed, short_log};
use crate::record::times;

/// The log that a person means, by its whole name or the first letters of its last part; of one with two histories the
/// longest.
pub fn named_log(heads: &[Head], name: &str) -> Result<Head, Error> {
    let last = |log: &str| log.rsplit('/').next().unwrap_or_default().to_owned();
    let meant: Vec<&Head> = heads
        .iter()
        .filter(|head| head.log == name || !name.is_empty() && last(&head.log).starts_with(name))
        .collect();
    let Some(longest) = meant.iter().max_by_key(|head| head.size) else {
        let here: Vec<&str> = heads.iter().map(|head| short_log(&head.log)).collect();
        let reason =
            format!("no log {name} is here (here are {}): take in its record first", here.join(", "));
        return Err(Error::refused("log", reason));
    };
    match meant.iter().find(|head| head.log != longest.log) {
        Some(other) => {
            let reason = format!("{name} may be {} or {}; give more of its name", longest.log, other.log);
            Err(Error::refused("log", reason))
        }
        None => Ok((*longest).clone()),
    }
}

/// Another phone belongs to this record; `continues` when this one goes on in its place.
pub fn add_device(own: &str, head: Head, continues: bool) -> Result<Draft, Error> {
    if head.log == own {
        return Err(Error::refused("log", "this is the phone itself; name the other one"));
    }
    Ok(draft(Body::DeviceAdded(DeviceAdded { head, continues })))
}

/// Nothing more is recorded on a phone; it may be this one.
pub fn retire_device(head: Head) -> Draft {
    draft(Body::DeviceRetired(DeviceRetired { head }))
}

/// A phone is lost, since a time that a person gives (RFC 3339), or since now.
pub fn lose_device(
    own: &str,
    head: Head,
    since: Option<&str>,
    now_ms: i64,
    off_min: i32,
) -> Result<Draft, Error> {
    if head.log == own {
        return Err(Error::refused("log", "this is the phone itself: it is at hand"));
    }
    let since = match since {
        None => Observed { ms: now_ms, off_min },
        Some(text) => {
            let (ms, off_min) = times::read_rfc3339(text).map_err(|why| match why {
                Error::Refused { reason, .. } => Error::refused("since", reason),
                why => why,
            })?;
            if ms < times::EARLIEST_MS {
                return Err(Error::refused("since", "before the year 2000: check the date"));
            }
            if ms > now_ms + AHEAD_MS {
                return Err(Error::refused("since", "in the future by this device's clock: check both"));
            }
            Observed { ms, off_min }
        }
    };
    Ok(draft(Body::DeviceLost(DeviceLost { head, since })))
}
