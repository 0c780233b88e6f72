//! RFC 6962 section 2.1: roots, proofs of inclusion and of consistency; sound ones hold, changed ones do not.

use super::{bytes, committed, shared, text, unhex};
use serde_json::Value;
use sidelong_core::log::Hash;
use sidelong_core::log::tree::{self, InMemory};

fn hash(value: &Value, name: &str) -> Hash {
    Hash(bytes(value, name))
}

fn log(leaves: impl IntoIterator<Item = Vec<u8>>) -> InMemory {
    let mut log = InMemory::default();
    for leaf in leaves {
        log.push(tree::leaf(&leaf)).expect("grows");
    }
    log
}

/// A proof; none where a hash is not 32 bytes, which our types cannot hold.
fn proof(value: &Value) -> Option<Vec<Hash>> {
    let hashes = value["proof"].as_array().expect("a proof").iter();
    hashes.map(|hash| Some(Hash(unhex(hash.as_str().expect("hex")).try_into().ok()?))).collect()
}

fn number(value: &Value, name: &str) -> u64 {
    value[name].as_u64().unwrap_or_else(|| panic!("no number {name} in {value}"))
}

#[test]
fn roots_and_proofs_to_the_byte() {
    for case in committed("integrity.json", "merkle_own") {
        let (inputs, expected) = (&case["inputs"], &case["expected"]);
        let (n, index, old) = (number(inputs, "n"), number(inputs, "leaf_index"), number(inputs, "old_size"));
        let log = log((0..n).map(|at| format!("leaf-{at}").into_bytes()));
        assert_eq!(log.root().expect("a root"), hash(expected, "root"), "{case}");
        assert_eq!(tree::root(old, &log).expect("a root"), hash(expected, "old_root"), "{case}");
        let hashes = |name: &str| -> Vec<Hash> {
            let hashes = expected[name].as_array().expect("hashes").iter();
            hashes
                .map(|hash| Hash(unhex(hash.as_str().expect("hex")).try_into().expect("32 bytes")))
                .collect()
        };
        let inclusion = tlog_tiles::prove_record(n, index, &log).expect("a proof");
        assert_eq!(inclusion, hashes("inclusion_proof"), "{case}");
        // From nothing to anything there is nothing to prove; our proofs begin at size 1.
        if old > 0 {
            let consistency = tree::prove_consistency(n, old, &log).expect("a proof");
            assert_eq!(consistency, hashes("consistency_proof"), "{case}");
        }
    }
}

#[test]
#[cfg_attr(not(shared_check_values), ignore = "NOT RUN: shared/check-values is not beside the checkout")]
fn roots_of_a_known_log() {
    for case in shared("merkle_roots") {
        let leaves = case["inputs"]["leaves_hex"].as_array().expect("leaves");
        let leaves: Vec<Vec<u8>> = leaves.iter().map(|leaf| unhex(leaf.as_str().expect("hex"))).collect();
        let hashes = case["expected"]["leaf_hashes"].as_array().expect("hashes");
        assert_eq!(leaves.len(), hashes.len());
        for (leaf, hash) in leaves.iter().zip(hashes) {
            assert_eq!(tree::leaf(leaf).0.to_vec(), unhex(hash.as_str().expect("hex")));
        }
        let log = log(leaves);
        let roots = case["expected"]["root_by_size"].as_object().expect("roots");
        assert_eq!(roots.len(), 9);
        for (size, root) in roots {
            let found = tree::root(size.parse().expect("a size"), &log).expect("a root");
            assert_eq!(found.0.to_vec(), unhex(root.as_str().expect("hex")), "size {size}");
        }
    }
}

/// Runs `holds` over cases; those with a hash that is not 32 bytes must be among the invalid ones.
fn verdicts(kind: &str, holds: impl Fn(&Value) -> Option<bool>) {
    let mut counts = [0, 0];
    for case in shared(kind) {
        let valid = case["expected"]["valid"].as_bool().expect("a verdict");
        assert_eq!(holds(&case["inputs"]).unwrap_or(false), valid, "{case}");
        counts[usize::from(valid)] += 1;
    }
    assert!(counts[0] >= 10 && counts[1] >= 3, "{kind}: {counts:?}");
}

fn hash_if_32(value: &Value, name: &str) -> Option<Hash> {
    Some(Hash(unhex(text(value, name)).try_into().ok()?))
}

#[test]
#[cfg_attr(not(shared_check_values), ignore = "NOT RUN: shared/check-values is not beside the checkout")]
fn inclusion_sound_and_not() {
    verdicts("merkle_inclusion", |inputs| {
        let (leaf, root) = (hash_if_32(inputs, "leaf_hash")?, hash_if_32(inputs, "root")?);
        let (size, index) = (number(inputs, "tree_size"), number(inputs, "leaf_index"));
        Some(tlog_tiles::check_record(&proof(inputs)?, size, root, index, leaf).is_ok())
    });
}

#[test]
#[cfg_attr(not(shared_check_values), ignore = "NOT RUN: shared/check-values is not beside the checkout")]
fn consistency_sound_and_not() {
    verdicts("merkle_consistency", |inputs| {
        let (root1, root2) = (hash_if_32(inputs, "root1")?, hash_if_32(inputs, "root2")?);
        let (size1, size2) = (number(inputs, "size1"), number(inputs, "size2"));
        Some(tree::check_consistency(&proof(inputs)?, size2, root2, size1, root1))
    });
}

/// Sizes come from other people's files. Whatever they say, the answer is no, and it comes at once.
#[test]
fn sizes_that_no_log_has() {
    let log = log((0..8_u8).map(|at| vec![at]));
    let root = log.root().expect("a root");
    let sizes = [0, 1, 8, 9, 1 << 40, (1 << 62) - 1, 1 << 62, (1 << 63) - 1, 1 << 63, u64::MAX - 1, u64::MAX];
    for new in sizes {
        for old in sizes {
            for length in [0, 1, 40, 63, 64, 65, 1_000] {
                let proof = vec![root; length];
                let holds = tree::check_consistency(&proof, new, root, old, root);
                // One size with one root and nothing to prove is itself.
                assert_eq!(holds, new == old && new > 0 && length == 0, "{old} to {new}, {length} hashes");
                assert_eq!(
                    tlog_tiles::check_record(&proof, new, root, old, root).is_ok(),
                    new == 1 && old == 0 && length == 0,
                    "{old} in {new}, {length} hashes"
                );
            }
            if new > 8 && (new != old || new > 1 << 40) {
                assert!(tree::prove_consistency(new, old, &log).is_err(), "{old} to {new}");
            }
        }
        if new > 8 {
            assert!(tree::root(new, &log).is_err(), "{new}");
        }
    }
}
