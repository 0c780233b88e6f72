//! Another phone's log beside what is already here: the same, older, longer, or forked. Pure.
//!
//! What is kept of a log is the set of its longest branches. Taking in a branch keeps it if it is not a beginning of
//! one that is here, and drops those that are a beginning of it. So taking in is commutative, associative and
//! idempotent, and two different histories under one name (a fork) are both kept for anyone to see.

use super::{Hash, tree};
use crate::error::Error;

/// A branch as far as the comparison needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tip {
    /// Number of leaves.
    pub size: u64,
    /// Root over them.
    pub root: Hash,
}

/// How an incoming branch stands to one that is here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// The same leaves.
    Same,
    /// The incoming one is a beginning of ours.
    Older,
    /// Ours is a beginning of the incoming one.
    Longer,
    /// They differ before either ends.
    Forked,
}

/// Another phone's log, wherever it is read from.
pub trait Source {
    /// The bytes of one leaf.
    fn leaf(&self, seq: u64) -> Result<Vec<u8>, Error>;
    /// The leaf hash that the source itself keeps, to tell which leaf was altered.
    fn kept_leaf_hash(&self, seq: u64) -> Option<Hash>;
    /// Proof that its first `old` leaves are the beginning of its `new` leaves.
    fn consistency(&self, new: u64, old: u64) -> Result<Vec<Hash>, Error>;
}

/// Compares an incoming branch with one that is here: by the consistency proof that the source gives, and where that
/// does not fit by the leaves themselves. `ours_at(n)` is the root over our first `n` leaves.
pub fn relate(
    ours: Tip,
    theirs: Tip,
    ours_at: impl FnOnce(u64) -> Result<Hash, Error>,
    source: &impl Source,
) -> Result<Relation, Error> {
    if theirs.size == ours.size {
        return Ok(if theirs.root == ours.root { Relation::Same } else { Relation::Forked });
    }
    if theirs.size < ours.size {
        return Ok(if ours_at(theirs.size)? == theirs.root { Relation::Older } else { Relation::Forked });
    }
    if ours.size == 0 {
        return Ok(Relation::Longer);
    }
    let proven = source
        .consistency(theirs.size, ours.size)
        .is_ok_and(|proof| tree::check_consistency(&proof, theirs.size, theirs.root, ours.size, ours.root));
    if proven || root_of(source, ours.size)? == ours.root {
        Ok(Relation::Longer)
    } else {
        Ok(Relation::Forked)
    }
}

/// What becomes of an incoming branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// It is here already, as this branch or its beginning.
    Here(usize, Relation),
    /// It goes on from this branch.
    Extends(usize),
    /// It is a branch of its own; true when another branch of the same log is here, which makes it a fork.
    Apart(bool),
}

/// Places an incoming branch among the `count` branches of its log that are here. `relation(i)` is how it stands to
/// branch `i`. Branches that are here are never a beginning of one another, so it extends at most one of them.
pub fn place(
    count: usize,
    mut relation: impl FnMut(usize) -> Result<Relation, Error>,
) -> Result<Place, Error> {
    let mut extends = None;
    for at in 0..count {
        match relation(at)? {
            known @ (Relation::Same | Relation::Older) => return Ok(Place::Here(at, known)),
            Relation::Longer => extends = Some(at),
            Relation::Forked => {}
        }
    }
    Ok(extends.map_or(Place::Apart(count > 0), Place::Extends))
}

/// Root over a source's first `size` leaves, from the leaves.
fn root_of(source: &impl Source, size: u64) -> Result<Hash, Error> {
    let mut all = tree::InMemory::default();
    for seq in 0..size {
        all.push(tree::leaf(&source.leaf(seq)?)).map_err(|_| Error::internal("branch.root_of"))?;
    }
    all.root().map_err(|_| Error::internal("branch.root_of"))
}
