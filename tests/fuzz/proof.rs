//! Proofs about a log: texts have one form; of all lists of hashes only the right one leads to the root.
//!
//! The first byte says what the rest is: a text; a list of hashes for places in a small log; or sizes and hashes without sense.

use sidelong_core::log::proof::{Consistency, Inclusion, check_consistency, check_inclusion, include};
use sidelong_core::log::tree::{self, InMemory};
use sidelong_core::log::{Hash, HashReader as _};
use std::sync::OnceLock;

/// Leaves of the log; a byte names each.
const LEAVES: u64 = 255;

fn log() -> &'static InMemory {
    static KEPT: OnceLock<InMemory> = OnceLock::new();
    KEPT.get_or_init(|| {
        let mut log = InMemory::default();
        (0..LEAVES).for_each(|seq| log.push(leaf(seq)).expect("grows"));
        log
    })
}

fn leaf(seq: u64) -> Hash {
    tree::leaf(&seq.to_be_bytes())
}

fn root(size: u64) -> Hash {
    tree::root(size, log()).expect("a root")
}

/// Texts, lists of hashes, or anything.
pub fn proof(bytes: &[u8]) {
    match bytes {
        [0, text @ ..] => {
            if let Ok(read) = Inclusion::read(text) {
                assert_eq!(read.text(), text, "an inclusion proof in two forms");
                read.holds(LEAVES, root(LEAVES), leaf(read.seq));
            }
            if let Ok(read) = Consistency::read(text) {
                assert_eq!(read.text(), text, "a consistency proof in two forms");
                read.holds(LEAVES, root(LEAVES), root(read.old.min(LEAVES)));
            }
        }
        [1, size, seq, told @ ..] if seq < size => {
            let (size, seq) = (u64::from(*size), u64::from(*seq));
            let right = include(size, seq, log()).expect("a proof");
            let hashes = named(told, &right);
            let holds = check_inclusion(&hashes, size, root(size), seq, leaf(seq));
            assert_eq!(holds, hashes == right, "{hashes:?} for {seq} of {size}");
            let other = check_inclusion(&hashes, size, root(size), seq, leaf(seq + 1));
            assert!(!other, "another leaf is proved");
        }
        [2, new, old, told @ ..] if old <= new && *old > 0 => {
            let (new, old) = (u64::from(*new), u64::from(*old));
            let right = tree::prove_consistency(new, old, log()).expect("a proof");
            let hashes = named(told, &right);
            let holds = check_consistency(&hashes, new, root(new), old, root(old));
            assert_eq!(holds, hashes == right, "{hashes:?} from {old} to {new}");
            assert_eq!(tree::goes_on(&hashes, (new, root(new)), (old, root(old))), holds || new == old);
        }
        [3, rest @ ..] => {
            let Some((sizes, rest)) = rest.split_first_chunk::<16>() else { return };
            let number = |at: usize| u64::from_be_bytes(sizes[at..at + 8].try_into().expect("eight"));
            let hashes = named(rest, &[]);
            let (large, small) = (number(0), number(8));
            let (one, two) = (leaf(1), leaf(2));
            assert!(!check_inclusion(&hashes, large, one, small, two), "a root out of nothing");
            assert!(!check_consistency(&hashes, large, one, small, two), "a root out of nothing");
            assert!(!tree::goes_on(&hashes, (large, one), (small, two)) || small == 0);
        }
        _ => {}
    }
}

/// Hashes by a byte each: those of the right proof, and those of the log.
fn named(told: &[u8], right: &[Hash]) -> Vec<Hash> {
    let one = |byte: &u8| match right.get(usize::from(*byte)) {
        Some(hash) => *hash,
        None => log().read_hashes(&[u64::from(*byte)]).expect("a stored hash")[0],
    };
    told.iter().take(64).map(one).collect()
}
