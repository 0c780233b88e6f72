//! What others hold of a record and what can be shown with it: co-signatures, the owner's receipt, time tokens.

#![allow(clippy::expect_used, clippy::panic, reason = "tests only")]

mod asking;
mod cosign;
mod hardware;
mod kept;
mod receipt;
mod timestamp;

use sidelong_core::log::head::{self, Head, LogKey};
use sidelong_core::log::tree::{self, InMemory};
use sidelong_core::log::{Hash, canon};

/// A log in memory, with its head at any size.
struct Log {
    key: LogKey,
    leaves: Vec<Vec<u8>>,
    tree: InMemory,
}

impl Log {
    fn new(seed: u8, leaves: usize) -> Self {
        let mut log = Self {
            key: LogKey::from_seed(&[seed; 32], false),
            leaves: Vec::new(),
            tree: InMemory::default(),
        };
        for at in 0..leaves {
            log.push(format!("entry {at}").into_bytes());
        }
        log
    }

    fn push(&mut self, leaf: Vec<u8>) {
        self.tree.push(tree::leaf(&leaf)).expect("grows");
        self.leaves.push(leaf);
    }

    fn name(&self) -> (&str, [u8; 32]) {
        (self.key.name(), self.key.public())
    }

    fn root(&self, size: u64) -> Hash {
        tree::root(size, &self.tree).expect("a root")
    }

    fn note(&self, size: u64) -> Vec<u8> {
        self.key.sign(size, self.root(size)).expect("signs")
    }

    fn head(&self, size: u64) -> Head {
        head::read(&self.note(size), self.key.name(), &self.key.public()).expect("believed")
    }

    fn proof(&self, new: u64, old: u64) -> Vec<Hash> {
        if old == 0 || old == new {
            Vec::new()
        } else {
            tree::prove_consistency(new, old, &self.tree).expect("proves")
        }
    }

    /// The same log with another entry `at`: a fork.
    fn forked(&self, seed: u8, at: usize) -> Self {
        let mut other = Self::new(seed, 0);
        for (number, leaf) in self.leaves.iter().enumerate() {
            other.push(if number == at { b"another entry".to_vec() } else { leaf.clone() });
        }
        other
    }
}

fn flipped(bytes: &[u8], at: usize) -> Vec<u8> {
    let mut other = bytes.to_vec();
    other[at] ^= 1;
    other
}

fn hash(text: &str) -> Hash {
    Hash(canon::sha256(text.as_bytes()))
}
