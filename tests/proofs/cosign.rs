//! Co-signatures of heads: a witness signs what goes on from what it signed before, and nothing else.

use crate::{Log, flipped, hash};
use sidelong_core::log::cosign::{Cosignature, NotCosigned, Witness, cosign, cosignatures};
use sidelong_core::log::head::{LogKey, NotBelieved};

const TIME_S: u64 = 1_780_989_000;

/// The key and the public half of a witness of the crew.
fn witness(seed: u8) -> (LogKey, Witness) {
    let key = LogKey::from_seed(&[seed; 32], false);
    let public = Witness::new(key.name(), &key.public()).expect("a witness");
    (key, public)
}

#[test]
fn every_pair_of_sizes_of_one_log_is_co_signed() {
    let log = Log::new(1, 20);
    let (name, public) = log.name();
    let (key, witness) = witness(2);
    for old in 0..=20 {
        for new in 1..=20 {
            let last = log.head(old);
            let proof = if old <= new { log.proof(new, old) } else { Vec::new() };
            let done = cosign(&key, &log.note(new), (name, &public), Some(&last), &proof, TIME_S + new);
            if old > new {
                assert_eq!(done, Err(NotCosigned::Older { size: new, signed: old }));
                continue;
            }
            let done = done.expect("goes on");
            assert_eq!(done.head, log.head(new));
            let told = cosignatures(&done.note, (name, &public), std::slice::from_ref(&witness));
            let expected = Cosignature { witness: key.name().to_owned(), time_s: TIME_S + new };
            assert_eq!(told, Ok(vec![expected]));
        }
    }
}

#[test]
fn a_fork_a_wrong_proof_and_another_log_are_not_co_signed() {
    let log = Log::new(1, 20);
    let fork = log.forked(1, 3);
    let (name, public) = log.name();
    let (key, _) = witness(2);
    let last = log.head(12);
    let try_it = |note: &[u8], last, proof: &[_]| cosign(&key, note, (name, &public), last, proof, TIME_S);

    let not = Err(NotCosigned::NotConsistent { signed: 12 });
    assert_eq!(try_it(&fork.note(20), Some(&last), &fork.proof(20, 12)), not);
    assert_eq!(try_it(&fork.note(12), Some(&last), &[]), not, "the same size, another root");
    assert_eq!(try_it(&log.note(20), Some(&last), &[]), not);
    let mut proof = log.proof(20, 12);
    proof.push(hash("one more"));
    assert_eq!(try_it(&log.note(20), Some(&last), &proof), not);
    for at in 0..log.proof(20, 12).len() {
        let mut proof = log.proof(20, 12);
        proof[at] = hash("another");
        assert_eq!(try_it(&log.note(20), Some(&last), &proof), not);
    }
    // The fork's proof fits from before where they part.
    let before = log.head(3);
    assert!(try_it(&fork.note(20), Some(&before), &fork.proof(20, 3)).is_ok());

    let other = Log::new(5, 20);
    let of_other = other.head(12);
    let refused = try_it(&log.note(20), Some(&of_other), &[]);
    assert_eq!(refused, Err(NotCosigned::OtherLog { log: other.key.name().to_owned() }));
    assert_eq!(
        try_it(&other.note(20), None, &[]),
        Err(NotBelieved::Signature.into()),
        "no line of this log's"
    );
    let own = cosign(&log.key, &log.note(20), (name, &public), None, &[], TIME_S);
    assert_eq!(own, Err(NotCosigned::OwnLog));
    let late = cosign(&key, &log.note(20), (name, &public), None, &[], 1 << 63);
    assert_eq!(late, Err(NotCosigned::Time { time_s: 1 << 63 }));
}

#[test]
fn several_witnesses_and_what_is_not_theirs() {
    let log = Log::new(1, 7);
    let (name, public) = log.name();
    let of = (name, &public);
    let ((one, one_public), (two, two_public), (_, absent)) = (witness(2), witness(3), witness(4));
    let first = cosign(&one, &log.note(7), of, None, &[], TIME_S).expect("signs");
    let both = cosign(&two, &first.note, of, None, &[], TIME_S + 5).expect("signs");
    let all = [one_public.clone(), two_public.clone(), absent.clone(), one_public.clone()];
    let told = cosignatures(&both.note, of, &all).expect("reads");
    let expected = [(one.name(), TIME_S), (two.name(), TIME_S + 5)]
        .map(|(name, time_s)| Cosignature { witness: name.to_owned(), time_s });
    assert_eq!(told, expected);
    // Signing again replaces, and is not a second witness.
    let again = cosign(&one, &both.note, of, Some(&first.head), &[], TIME_S + 9).expect("signs");
    let told = cosignatures(&again.note, of, &all).expect("reads");
    assert_eq!(told.iter().map(|it| it.time_s).collect::<Vec<_>>(), [TIME_S + 5, TIME_S + 9]);
    assert_eq!(cosignatures(&log.note(7), of, &all), Ok(Vec::new()));
    assert_eq!(cosignatures(&first.note, of, &[absent]), Ok(Vec::new()), "nobody asked for it");

    // A byte of the note that is changed leaves no co-signature of the witness that differs from what it made.
    for at in 0..first.note.len() {
        if let Ok(told) = cosignatures(&flipped(&first.note, at), of, std::slice::from_ref(&one_public)) {
            assert_eq!(told, [], "byte {at}");
        }
    }
    // Its line on another head of the same log.
    let line = String::from_utf8(first.note.clone()).expect("text");
    let line = line.lines().last().expect("a line");
    let moved = [log.note(6), format!("{line}\n").into_bytes()].concat();
    let refused = cosignatures(&moved, of, &[one_public]);
    assert_eq!(refused, Err(NotCosigned::Signature { witness: one.name().to_owned() }));
}

#[test]
fn keys_of_witnesses() {
    let (key, witness) = witness(2);
    assert_eq!(Witness::from_vkey(&witness.vkey()), Ok(witness.clone()));
    let plain = sidelong_core::log::head::vkey(key.name(), &key.public()).expect("a key");
    assert_eq!(Witness::from_vkey(&plain), Ok(witness.clone()));
    let foreign = Witness::new("witness.example.com/w1", &key.public()).expect("any name");
    assert_eq!(Witness::from_vkey(&foreign.vkey()), Ok(foreign));

    let other = LogKey::from_seed(&[9; 32], false);
    assert_eq!(Witness::new(other.name(), &key.public()), Err(NotBelieved::Name.into()));
    assert_eq!(Witness::new("w", &[0; 32]), Err(NotBelieved::WeakKey.into()));
    for name in ["", "two words", "a+b"] {
        assert!(matches!(Witness::new(name, &key.public()), Err(NotCosigned::Key(_))), "{name:?}");
    }
    for (from, to) in [("+", "-"), (key.name(), "sidelong/x"), ("B", "!")] {
        assert!(
            Witness::from_vkey(&witness.vkey().replacen(from, to, 1)).is_err()
                || !witness.vkey().contains(from)
        );
    }
    let vkey = witness.vkey();
    for at in 0..vkey.len() {
        let changed = String::from_utf8(flipped(vkey.as_bytes(), at)).expect("ASCII");
        assert_ne!(Witness::from_vkey(&changed), Ok(witness.clone()), "letter {at}");
    }
}
