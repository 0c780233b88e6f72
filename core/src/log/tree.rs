//! The Merkle tree of RFC 6962 section 2.1 over a log's leaves, with inner hashes stored, so that an append and a
//! proof read O(log n) of them. Pure. The arithmetic is that of the crate `tlog_tiles`; what is here names it in our
//! words and keeps its panics out (it asserts on readers that return too few hashes).

use tlog_tiles::{Error, Hash, HashReader, TreeProof};

/// Most leaves of a log that are reckoned with. Sizes are read from other people's files, and near 2^63 the places of
/// hashes no longer fit their type.
pub const MOST_LEAVES: u64 = 1 << 40;

pub(super) fn sensible(size: u64) -> Result<(), Error> {
    if size <= MOST_LEAVES { Ok(()) } else { Err(Error::IndexesNotInTree) }
}

/// Leaf hash: SHA-256(0x00, bytes).
pub fn leaf(bytes: &[u8]) -> Hash {
    tlog_tiles::record_hash(bytes)
}

/// Root of the first `size` leaves.
pub fn root(size: u64, hashes: &impl HashReader) -> Result<Hash, Error> {
    sensible(size)?;
    tlog_tiles::tree_hash(size, hashes)
}

/// The hashes to store for a leaf that becomes number `seq`; the first of them is the leaf's own. They go to the
/// places from [`first_place`] on.
pub fn grow(seq: u64, leaf: Hash, hashes: &impl HashReader) -> Result<Vec<Hash>, Error> {
    tlog_tiles::stored_hashes_for_record_hash(seq, leaf, hashes)
}

/// Place of the first hash that a log of `seq` leaves has not stored yet.
pub fn first_place(seq: u64) -> u64 {
    tlog_tiles::stored_hash_count(seq)
}

/// Place of leaf `seq`'s own hash.
pub fn leaf_place(seq: u64) -> u64 {
    tlog_tiles::stored_hash_index(0, seq)
}

/// Proof that the first `old` leaves of a log of `new` leaves are the log of `old` leaves.
pub fn prove_consistency(new: u64, old: u64, hashes: &impl HashReader) -> Result<TreeProof, Error> {
    sensible(new)?;
    tlog_tiles::prove_tree(new, old, hashes)
}

/// Checks such a proof against both roots.
pub fn check_consistency(proof: &TreeProof, new: u64, new_root: Hash, old: u64, old_root: Hash) -> bool {
    tlog_tiles::check_tree(proof, new, new_root, old, old_root).is_ok()
}

/// Whether a log `now` (size, root) begins with the log `then`: by the proof, or because it is the same, or because
/// nothing was in it.
pub fn goes_on(proof: &[Hash], now: (u64, Hash), then: (u64, Hash)) -> bool {
    if now.0 == then.0 {
        return now.1 == then.1;
    }
    let sensible = sensible(now.0).is_ok() && now.0 > then.0;
    sensible && (then.0 == 0 || check_consistency(&proof.to_vec(), now.0, now.1, then.0, then.1))
}

/// Hashes held in memory, for logs that are being checked or rebuilt.
#[derive(Debug, Default, Clone)]
pub struct InMemory {
    hashes: Vec<Hash>,
    leaves: u64,
}

impl HashReader for InMemory {
    fn read_hashes(&self, places: &[u64]) -> Result<Vec<Hash>, Error> {
        places
            .iter()
            .map(|place| {
                let place = usize::try_from(*place).map_err(|_| Error::IndexesNotInTree)?;
                self.hashes.get(place).copied().ok_or(Error::IndexesNotInTree)
            })
            .collect()
    }
}

impl InMemory {
    /// Adds a leaf.
    pub fn push(&mut self, leaf: Hash) -> Result<(), Error> {
        let grown = grow(self.leaves, leaf, self)?;
        self.hashes.extend(grown);
        self.leaves += 1;
        Ok(())
    }

    /// Number of leaves.
    pub fn leaves(&self) -> u64 {
        self.leaves
    }

    /// Root over all leaves.
    pub fn root(&self) -> Result<Hash, Error> {
        root(self.leaves, self)
    }
}
