//! What is on record of time tokens (RFC 3161): that one was asked for, and that one came. Pure. The token itself and the
//! signed head that it is of lie in blobs, so that what was stamped can be shown byte for byte.

use super::Head;
use serde::{Deserialize, Serialize};

/// Body of `time.asked`. In blobs: `checkpoint` (the signed head, as text) and `request` (base64 of its DER).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimeAsked {
    /// The head that is to be stamped.
    pub head: Head,
    /// SHA-256 of the signed head's bytes, hex: what the authority is shown.
    pub sha256: String,
}

/// Body of `head.stamped`. In blobs: `checkpoint` (the signed head, as text) and `token` (base64 of the answer's DER). What
/// stands here was believed when it came; whoever doubts it checks the token.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeadStamped {
    /// The head that was stamped.
    pub head: Head,
    /// SHA-256 of the signed head's bytes, hex.
    pub sha256: String,
    /// The authority's time, UTC milliseconds, rounded up.
    pub at_ms: i64,
    /// How far off it may be either way, as the authority says, microseconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accuracy_us: Option<u64>,
    /// Name of the authority, as in its certificate.
    pub authority: String,
    /// Name of the root that vouched for it.
    pub root: String,
    /// What the phone's clock said for the newest entry under the head, UTC milliseconds; none if that entry is not here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock_ms: Option<i64>,
}
