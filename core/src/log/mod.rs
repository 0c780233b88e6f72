//! A phone's log: canonical event bytes, an RFC 6962 tree over them, and a signed head after every append, so that
//! whoever holds an earlier head can tell what was changed. Pure: bytes and hashes in, bytes and hashes out; where
//! hashes are kept is the caller's ([`HashReader`]).

pub mod bag;
pub mod branch;
pub mod canon;
pub mod cosign;
pub mod hardware;
pub mod head;
pub mod page;
pub mod proof;
pub mod receipt;
pub mod seal;
pub mod timestamp;
pub mod tree;
pub mod verify;
pub mod zip;

pub use tlog_tiles::{Hash, HashReader};
