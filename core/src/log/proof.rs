//! Proofs about a log that need no log to be checked: that one event is in it (inclusion, RFC 6962 section 2.1.1), and that
//! an earlier head is its beginning (consistency, section 2.1.2). Pure. Both are made in O(log n) from the stored hashes.
//!
//! The texts are C2SP's: `tlog-proof` for an inclusion; for a consistency the body of an `add-checkpoint` request of
//! `tlog-witness`. A text is read only if writing what was read gives the same bytes, so that it has one form.

use super::{Hash, HashReader, tree};
use tlog_tiles::Error;

/// First line of an inclusion proof (C2SP tlog-proof).
const INCLUSION: &str = "c2sp.org/tlog-proof@v1";

/// Most hashes of a proof: a log of [`tree::MOST_LEAVES`] leaves is 40 levels high, and a consistency proof has at most one
/// hash more than levels.
const MOST_HASHES: usize = 41;

/// Longest text of a proof, bytes: the hashes, and a checkpoint with many signatures.
pub const LONGEST: usize = 65_536;

/// Hashes that lead from leaf `seq` to the root of the first `size` leaves.
pub fn include(size: u64, seq: u64, hashes: &impl HashReader) -> Result<Vec<Hash>, Error> {
    tree::sensible(size)?;
    tlog_tiles::prove_record(size, seq, hashes)
}

/// Whether such hashes lead from the leaf to the root.
pub fn check_inclusion(proof: &[Hash], size: u64, root: Hash, seq: u64, leaf: Hash) -> bool {
    let fits = tree::sensible(size).is_ok() && proof.len() <= MOST_HASHES;
    fits && tlog_tiles::check_record(&proof.to_vec(), size, root, seq, leaf).is_ok()
}

/// Whether a consistency proof holds, for sizes and proofs of any origin.
pub fn check_consistency(proof: &[Hash], new: u64, new_root: Hash, old: u64, old_root: Hash) -> bool {
    let fits = tree::sensible(new).is_ok() && proof.len() <= MOST_HASHES;
    fits && tree::check_consistency(&proof.to_vec(), new, new_root, old, old_root)
}

/// Why a text is no proof.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotAProof {
    /// Longer than [`LONGEST`].
    #[error("longer than {LONGEST} bytes")]
    TooLong,
    /// More hashes than any tree asks for.
    #[error("more hashes than any log asks for")]
    TooMany,
    /// Not the lines that the format asks for, or not in their one form.
    #[error("not the text of a proof")]
    Form,
}

/// An event's place in a log, with the head that it is proved against.
#[derive(Debug, Clone, PartialEq)]
pub struct Inclusion {
    /// Number of the leaf.
    pub seq: u64,
    /// From the leaf's sibling to the root's child.
    pub hashes: Vec<Hash>,
    /// The signed checkpoint, whole.
    pub checkpoint: Vec<u8>,
}

impl Inclusion {
    /// The text of a `.tlog-proof`, without extra data.
    pub fn text(&self) -> Vec<u8> {
        written(&format!("{INCLUSION}\nindex {}\n", self.seq), &self.hashes, &self.checkpoint)
    }

    /// Reads such a text. Extra data is refused: nothing would vouch for it.
    pub fn read(text: &[u8]) -> Result<Self, NotAProof> {
        let (seq, hashes, checkpoint) = parsed(text, &format!("{INCLUSION}\nindex "))?;
        let read = Self { seq, hashes, checkpoint };
        if read.text() == text { Ok(read) } else { Err(NotAProof::Form) }
    }

    /// Whether it leads from this leaf to this root of so many leaves. The checkpoint is the caller's to check.
    pub fn holds(&self, size: u64, root: Hash, leaf: Hash) -> bool {
        check_inclusion(&self.hashes, size, root, self.seq, leaf)
    }
}

/// That an earlier head is the beginning of a later one, with the later one.
#[derive(Debug, Clone, PartialEq)]
pub struct Consistency {
    /// Number of leaves of the earlier head.
    pub old: u64,
    /// The hashes in the order of RFC 6962.
    pub hashes: Vec<Hash>,
    /// The later signed checkpoint, whole.
    pub checkpoint: Vec<u8>,
}

impl Consistency {
    /// The text, as a witness takes it.
    pub fn text(&self) -> Vec<u8> {
        written(&format!("old {}\n", self.old), &self.hashes, &self.checkpoint)
    }

    /// Reads such a text.
    pub fn read(text: &[u8]) -> Result<Self, NotAProof> {
        let (old, hashes, checkpoint) = parsed(text, "old ")?;
        let read = Self { old, hashes, checkpoint };
        if read.text() == text { Ok(read) } else { Err(NotAProof::Form) }
    }

    /// Whether the earlier head's leaves are the beginning of the later one's.
    pub fn holds(&self, new: u64, new_root: Hash, old_root: Hash) -> bool {
        check_consistency(&self.hashes, new, new_root, self.old, old_root)
    }
}

fn written(head: &str, hashes: &[Hash], checkpoint: &[u8]) -> Vec<u8> {
    let lines: String = hashes.iter().map(|hash| format!("{hash}\n")).collect();
    [head.as_bytes(), lines.as_bytes(), b"\n", checkpoint].concat()
}

/// The number behind `head`, the hashes, and what follows the empty line.
fn parsed(text: &[u8], head: &str) -> Result<(u64, Vec<Hash>, Vec<u8>), NotAProof> {
    if text.len() > LONGEST {
        return Err(NotAProof::TooLong);
    }
    let text = std::str::from_utf8(text).map_err(|_| NotAProof::Form)?;
    let (proof, checkpoint) = text.split_once("\n\n").ok_or(NotAProof::Form)?;
    let mut lines = proof.strip_prefix(head).ok_or(NotAProof::Form)?.split('\n');
    let number = lines.next().and_then(|number| number.parse().ok()).ok_or(NotAProof::Form)?;
    let mut hashes = Vec::new();
    for line in lines {
        if hashes.len() == MOST_HASHES {
            return Err(NotAProof::TooMany);
        }
        hashes.push(Hash::parse_hash(line).map_err(|_| NotAProof::Form)?);
    }
    Ok((number, hashes, checkpoint.as_bytes().to_vec()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::tree::InMemory;

    fn log(leaves: u64) -> InMemory {
        let mut log = InMemory::default();
        (0..leaves).for_each(|n| log.push(tree::leaf(&n.to_be_bytes())).expect("grows"));
        log
    }

    /// Every leaf and every beginning of every log of up to 70 leaves; no proof holds for a neighbour.
    #[test]
    fn proofs_hold_for_what_they_say_and_nothing_else() {
        let roots: Vec<Hash> = (0..=70).map(|size| log(size).root().expect("a root")).collect();
        for size in 1..=70 {
            let log = log(size);
            let root = roots[size as usize];
            for seq in 0..size {
                let leaf = tree::leaf(&seq.to_be_bytes());
                let hashes = include(size, seq, &log).expect("a proof");
                let proof = Inclusion { seq, hashes, checkpoint: b"a head\n".to_vec() };
                assert_eq!(Inclusion::read(&proof.text()).expect("reads"), proof);
                assert!(proof.holds(size, root, leaf));
                assert!(!proof.holds(size, root, tree::leaf(b"other")));
                assert!(!proof.holds(size, roots[(size - 1) as usize], leaf));
                for other in (0..size).filter(|other| *other != seq) {
                    assert!(!check_inclusion(&proof.hashes, size, root, other, leaf), "{seq} as {other}");
                }
            }
            for old in 1..=size {
                let hashes = tree::prove_consistency(size, old, &log).expect("a proof");
                let proof = Consistency { old, hashes, checkpoint: b"a head\n".to_vec() };
                assert_eq!(Consistency::read(&proof.text()).expect("reads"), proof);
                assert!(proof.holds(size, root, roots[old as usize]));
                assert!(!proof.holds(size, root, roots[(old - 1) as usize]));
            }
        }
    }

    /// One form each; what is longer, or lies about its numbers, is refused and does not panic.
    #[test]
    fn texts_have_one_form() {
        let proof = Inclusion { seq: 5, hashes: vec![Hash([7; 32]); 3], checkpoint: b"c\n".to_vec() };
        let text = String::from_utf8(proof.text()).expect("text");
        for (from, to) in [
            ("index 5", "index 05"),
            ("index 5", "index +5"),
            ("index 5", "index 18446744073709551616"),
            ("@v1\n", "@v2\n"),
            ("@v1\n", "@v1\nextra AAAA\n"),
            ("\n\n", "\n"),
            ("index 5\n", "index 5\r\n"),
            ("Bwc=", "Bwd="),
            ("Bwc=", "Bw=="),
        ] {
            assert!(text.contains(from), "{from:?}");
            assert_eq!(
                Inclusion::read(text.replacen(from, to, 1).as_bytes()),
                Err(NotAProof::Form),
                "{to:?}"
            );
        }
        let many = Inclusion { hashes: vec![Hash([0; 32]); 42], ..proof.clone() };
        assert_eq!(Inclusion::read(&many.text()), Err(NotAProof::TooMany));
        let long = Inclusion { checkpoint: vec![b'x'; LONGEST], ..proof };
        assert_eq!(Inclusion::read(&long.text()), Err(NotAProof::TooLong));
        assert_eq!(Consistency::read(b"old 1\n\xff\n\n"), Err(NotAProof::Form));
        for size in [0, 1, u64::MAX, 1 << 63, tree::MOST_LEAVES + 1] {
            assert!(!check_inclusion(&[], size, Hash([0; 32]), u64::MAX, Hash([1; 32])));
            assert!(!check_consistency(&[], size, Hash([0; 32]), u64::MAX, Hash([1; 32])));
            assert!(!check_consistency(&[], size, Hash([0; 32]), 0, Hash([1; 32])));
        }
    }
}
