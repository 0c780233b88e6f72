//! Canonical bytes of an event: JSON under RFC 8785 (JCS), with integers only. Pure.
//!
//! A reader requires that canonicalising what it parsed gives the same bytes back. That one rule refuses doubled
//! keys, unsorted keys, spaces, floats and integers beyond 2^53-1, in which JSON parsers differ.

use serde_json::Value;
use sha2::{Digest, Sha256};

/// Largest integer that every JSON reader holds exactly (RFC 7493 section 2.2): 2^53 - 1.
pub const LARGEST: i64 = (1 << 53) - 1;

/// Longest event, bytes. What people type lies in blobs; a longer event is not one of ours.
pub const LONGEST: usize = 65_536;

/// Why bytes are not a canonical event.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotCanonical {
    /// Not JSON at all.
    #[error("not JSON")]
    Json,
    /// Longer than [`LONGEST`].
    #[error("longer than {LONGEST} bytes")]
    TooLong,
    /// A number that is not an integer within 2^53 - 1.
    #[error("a number that is not an integer within 2^53-1")]
    Number,
    /// A null, which canonical events leave out.
    #[error("a null")]
    Null,
    /// JSON, but not in canonical form.
    #[error("not in canonical form (RFC 8785)")]
    Form,
}

/// Canonical bytes of a value that holds only integers within 2^53 - 1, no nulls.
pub fn bytes(value: &Value) -> Result<Vec<u8>, NotCanonical> {
    let bytes = write(value)?;
    if bytes.len() > LONGEST { Err(NotCanonical::TooLong) } else { Ok(bytes) }
}

/// Reads canonical bytes.
pub fn read(bytes: &[u8]) -> Result<Value, NotCanonical> {
    if bytes.len() > LONGEST {
        return Err(NotCanonical::TooLong);
    }
    let value: Value = serde_json::from_slice(bytes).map_err(|_| NotCanonical::Json)?;
    if write(&value)? == bytes { Ok(value) } else { Err(NotCanonical::Form) }
}

/// `serde_json` keeps keys in the order of their bytes and writes strings and integers as RFC 8785 asks. What is left
/// for `serde_jcs`, which takes three times as long, are keys beyond ASCII: they are ordered by UTF-16 units.
fn write(value: &Value) -> Result<Vec<u8>, NotCanonical> {
    let written = if ascii_keys(value)? { serde_json::to_vec(value) } else { serde_jcs::to_vec(value) };
    written.map_err(|_| NotCanonical::Json)
}

/// Whether all keys are ASCII, if the value is one that events may hold.
fn ascii_keys(value: &Value) -> Result<bool, NotCanonical> {
    match value {
        Value::Null => Err(NotCanonical::Null),
        Value::Number(number) => match number.as_i64() {
            Some(n) if (-LARGEST..=LARGEST).contains(&n) => Ok(true),
            _ => Err(NotCanonical::Number),
        },
        Value::Array(items) => items.iter().try_fold(true, |all, item| Ok(ascii_keys(item)? && all)),
        Value::Object(fields) => {
            fields.iter().try_fold(true, |all, (key, item)| Ok(ascii_keys(item)? && key.is_ascii() && all))
        }
        Value::Bool(_) | Value::String(_) => Ok(true),
    }
}

/// SHA-256 (FIPS 180-4).
pub fn sha256(bytes: &[u8]) -> [u8; 32] {
    Sha256::digest(bytes).into()
}

/// Lower-case hex.
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut text = String::with_capacity(bytes.len() * 2);
    for byte in bytes {
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// Reads hex of exactly `N` bytes.
pub fn unhex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let digits = text.as_bytes();
    if digits.len() != 2 * N {
        return None;
    }
    let mut bytes = [0; N];
    for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
        let high = (pair[0] as char).to_digit(16)?;
        let low = (pair[1] as char).to_digit(16)?;
        *byte = u8::try_from(high * 16 + low).ok()?;
    }
    Some(bytes)
}
