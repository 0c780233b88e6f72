//! Joining: any order and any split of arrivals folds to the same state; taking in branches is commutative, associative
//! and idempotent. Pure phones for 10,000 cases, real stores for fewer.

mod acts;
mod devices;
mod moves;
mod witness;

use acts::random_act;
use sidelong_core::care::past::Past;
use sidelong_core::decide::{Known, decide, other_jobs};
use sidelong_core::error::Error;
use sidelong_core::log::branch::{Place, Relation, Source, Tip, place, relate};
use sidelong_core::log::head::LogKey;
use sidelong_core::log::seal::{Moment, seal};
use sidelong_core::log::{Hash, tree};
use sidelong_core::record::events::{Envelope, Head, Shop};
use sidelong_core::record::fold::{Entry, Job, fold};
use sidelong_core::record::inputs::{Act, BeginWalk, Input};
use sidelong_core::record::words::{BlobState, Form, Locale, MarkKind, Stage};
use sidelong_tests::{
    Dice, MORNING_MS, Phone, car, closing, correction, could_not_see, described, feel, mark, nothing_seen,
};
use std::collections::BTreeMap;
use uuid::Uuid;

const CASES: u64 = 10_000;

/// A phone without a store: its log as leaves, and what it knows of the job.
#[derive(Clone)]
struct PurePhone {
    seed: u8,
    leaves: Vec<Vec<u8>>,
    known: Vec<Entry>,
    lam: u64,
}

impl PurePhone {
    fn new(seed: u8) -> Self {
        Self { seed, leaves: Vec::new(), known: Vec::new(), lam: 0 }
    }

    fn key(&self) -> LogKey {
        LogKey::from_seed(&[self.seed; 32], false)
    }

    /// Decides and seals an act; a refusal records nothing, as at the door.
    fn act(&mut self, job: Uuid, act: Act, dice: &mut Dice) {
        let key = self.key();
        let state = fold(job, of_job(&self.known, job));
        let size = self.leaves.len() as u64;
        let known = Known {
            log: key.name().to_owned(),
            heads: vec![Head { log: key.name().to_owned(), root: String::new(), size }],
            counted: Vec::new(),
            now_ms: MORNING_MS,
            photo: None,
            shop: Shop::default(),
            past: Past::default(),
            boot: "b".to_owned(),
            mono_ms: 1,
            jobs: other_jobs(&act)
                .into_iter()
                .map(|other| (other, fold(other, of_job(&self.known, other))))
                .collect(),
        };
        let input = Input { input: dice.id(), job, observed_at: None, act };
        let Ok(drafts) = decide(&state, &input, &known) else { return };
        for draft in drafts {
            self.lam += 1;
            let moment = Moment {
                at: MORNING_MS + i64::try_from(dice.below(1_000_000)).expect("small"),
                off_min: 60,
                zone: "Europe/London".to_owned(),
                boot: "b".to_owned(),
                mono: 1,
                by: None,
            };
            let typed: BTreeMap<String, serde_json::Value> =
                draft.typed.iter().map(|(role, value)| ((*role).to_owned(), value.clone())).collect();
            let sealed = seal(draft, key.name(), self.leaves.len() as u64, self.lam, &moment, || {
                let mut salt = [0; 16];
                salt[..8].copy_from_slice(&dice.roll().to_le_bytes());
                salt
            })
            .expect("seals");
            let blobs = sealed
                .envelope
                .blobs
                .iter()
                .map(|blob| (blob.role.clone(), (BlobState::Here, typed.get(&blob.role).cloned())))
                .collect();
            self.known.push(Entry {
                leaf: tree::leaf(&sealed.bytes).0,
                envelope: sealed.envelope,
                blobs,
                recorder: None,
            });
            self.leaves.push(sealed.bytes);
        }
    }

    /// Takes in the first `count` entries of another phone's own log.
    fn learn(&mut self, other: &PurePhone, count: usize) {
        let name = other.key().name().to_owned();
        for entry in other.known.iter().filter(|entry| entry.envelope.log == name).take(count) {
            if !self.known.iter().any(|known| known.leaf == entry.leaf) {
                self.lam = self.lam.max(entry.envelope.lam);
                self.known.push(entry.clone());
            }
        }
    }
}

fn of_job(entries: &[Entry], job: Uuid) -> Vec<Entry> {
    entries.iter().filter(|entry| entry.envelope.job == Some(job)).cloned().collect()
}

/// A job recorded on two or three phones that meet now and then; sometimes one phone's log is forked.
fn random_job(dice: &mut Dice) -> (Uuid, Vec<PurePhone>) {
    let job = dice.id();
    let mut phones: Vec<PurePhone> =
        (1..=2 + u8::try_from(dice.below(2)).expect("small")).map(PurePhone::new).collect();
    phones[0].act(job, Act::OpenJob(car(Form::Hatch5)), dice);
    phones[0].act(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }), dice);
    for at in 1..phones.len() {
        let first = phones[0].clone();
        phones[at].learn(&first, 2);
    }
    for _ in 0..4 + dice.below(12) {
        let at = dice.below(phones.len());
        if dice.below(4) == 0 {
            let other = phones[dice.below(phones.len())].clone();
            let count = dice.below(other.leaves.len() + 1);
            if other.seed != phones[at].seed {
                phones[at].learn(&other, count);
            }
        } else {
            let act = random_act(dice, &phones[at].known);
            phones[at].act(job, act, dice);
        }
        if phones.len() < 4 && dice.below(40) == 0 {
            let fork = phones[at].clone();
            phones.push(fork);
        }
    }
    (job, phones)
}

fn all_entries(phones: &[PurePhone]) -> Vec<Entry> {
    let mut all: Vec<Entry> = Vec::new();
    for phone in phones {
        for entry in &phone.known {
            if !all.iter().any(|known| known.leaf == entry.leaf) {
                all.push(entry.clone());
            }
        }
    }
    all
}

#[test]
fn any_order_and_any_split_of_arrivals_folds_to_the_same_state() {
    let mut events = 0;
    for case in 0..CASES {
        let mut dice = Dice(case);
        let (job, phones) = random_job(&mut dice);
        let all = all_entries(&phones);
        events += all.len();
        let whole = fold(job, all.clone());
        let mut shuffled = all.clone();
        dice.shuffle(&mut shuffled);
        // Some arrive twice.
        shuffled.extend(all.iter().take(dice.below(all.len() + 1)).cloned());
        assert_eq!(fold(job, shuffled.clone()), whole, "case {case}: another order");

        // In pieces: what comes later in the job's order is followed, anything else makes the phone fold anew.
        let mut here: Vec<Entry> = Vec::new();
        let mut state = Job::empty(job);
        for entry in shuffled {
            here.push(entry.clone());
            if !state.follow(entry) {
                state = fold(job, here.clone());
            }
        }
        assert_eq!(state, whole, "case {case}: in pieces");
        assert_eq!(whole.len(), all.len());
    }
    assert!(events > 5 * usize::try_from(CASES).expect("small"), "the cases are not empty: {events} events");
}

/// A pure store: the branches of every log that it has taken in.
#[derive(Clone, Default)]
struct Holding(Vec<(String, Vec<Vec<u8>>)>);

struct Leaves<'a>(&'a [Vec<u8>], tree::InMemory);

impl<'a> Leaves<'a> {
    fn of(leaves: &'a [Vec<u8>]) -> Self {
        let mut hashes = tree::InMemory::default();
        for leaf in leaves {
            hashes.push(tree::leaf(leaf)).expect("grows");
        }
        Self(leaves, hashes)
    }

    fn tip(&self) -> Tip {
        Tip { size: self.0.len() as u64, root: self.1.root().expect("a root") }
    }
}

impl Source for Leaves<'_> {
    fn leaf(&self, seq: u64) -> Result<Vec<u8>, Error> {
        let at = usize::try_from(seq).expect("small");
        self.0.get(at).cloned().ok_or_else(|| Error::NotFound { what: format!("leaf {seq}") })
    }

    fn kept_leaf_hash(&self, seq: u64) -> Option<Hash> {
        self.leaf(seq).ok().map(|leaf| tree::leaf(&leaf))
    }

    fn consistency(&self, new: u64, old: u64) -> Result<Vec<Hash>, Error> {
        tree::prove_consistency(new, old, &self.1).map_err(|why| Error::internal(why.to_string()))
    }
}

impl Holding {
    /// Takes in a branch by the rule that stores go by.
    fn take_in(&mut self, log: &str, leaves: &[Vec<u8>]) {
        let theirs = Leaves::of(leaves);
        let here: Vec<usize> = (0..self.0.len()).filter(|at| self.0[*at].0 == log).collect();
        let decided = place(here.len(), |at| {
            let ours = Leaves::of(&self.0[here[at]].1);
            relate(
                ours.tip(),
                theirs.tip(),
                |size| tree::root(size, &ours.1).map_err(|_| Error::internal("root")),
                &theirs,
            )
        })
        .expect("sources that can be read");
        match decided {
            Place::Here(_, relation) => assert!(matches!(relation, Relation::Same | Relation::Older)),
            Place::Extends(at) => self.0[here[at]].1 = leaves.to_vec(),
            Place::Apart(fork) => {
                assert_eq!(fork, !here.is_empty());
                self.0.push((log.to_owned(), leaves.to_vec()));
            }
        }
    }

    fn joined(mut self, other: &Holding) -> Holding {
        for (log, leaves) in &other.0 {
            self.take_in(log, leaves);
        }
        self
    }

    fn sorted(mut self) -> Vec<(String, Vec<Vec<u8>>)> {
        self.0.sort();
        self.0
    }
}

#[test]
fn taking_in_branches_is_commutative_associative_and_idempotent() {
    let mut forks = 0;
    for case in 0..CASES {
        let mut dice = Dice(case ^ 0xBEEF_0000);
        // A small pool of leaves is enough: what matters is which branch is a beginning of which.
        let logs = ["log/a", "log/b"];
        let mut holding = || {
            let mut holding = Holding::default();
            for _ in 0..1 + dice.below(3) {
                let log = logs[dice.below(2)];
                let length = 1 + dice.below(6);
                let turn = dice.below(5);
                let twist = u8::try_from(dice.below(3)).expect("small");
                let leaves: Vec<Vec<u8>> = (0..length)
                    .map(|at| vec![u8::try_from(at).expect("small"), if at >= turn { twist } else { 0 }])
                    .collect();
                holding.take_in(log, &leaves);
            }
            holding
        };
        let (a, b, c) = (holding(), holding(), holding());
        let ab = a.clone().joined(&b);
        assert_eq!(ab.clone().sorted(), b.clone().joined(&a).sorted(), "case {case}: commutative");
        let left = ab.clone().joined(&c);
        let right = a.clone().joined(&b.clone().joined(&c));
        assert_eq!(left.clone().sorted(), right.sorted(), "case {case}: associative");
        assert_eq!(left.clone().joined(&left).sorted(), left.clone().sorted(), "case {case}: idempotent");
        assert_eq!(ab.clone().joined(&a).sorted(), ab.sorted(), "case {case}: a part adds nothing");
        forks += usize::from(left.0.len() > 2);
    }
    assert!(forks > 100, "only {forks} cases with a fork");
}

/// Three phones with real stores join in a random order until nobody learns anything new: all show the same record.
#[test]
fn real_stores_end_with_the_same_record() {
    for case in 0..12 {
        let mut dice = Dice(7_000 + case);
        let folder = tempfile::tempdir().expect("a folder");
        let mut phones: Vec<Phone> =
            (0..3).map(|at| Phone::new(&folder.path().join(at.to_string()), 100 * case + at)).collect();
        let job = phones[0].begin(Form::Hatch5, Stage::AsFound);
        for at in 1..3 {
            let (first, rest) = phones.split_at_mut(1);
            rest[at - 1].join(&mut first[0]);
        }
        for turn in 0..10 {
            let at = if turn < 3 { turn } else { dice.below(3) };
            let act = match random_act(&mut dice, &[]) {
                Act::OpenJob(_) | Act::CloseJob(_) | Act::VoidJob(_) => nothing_seen("roof"),
                act => act,
            };
            // A side that is answered already is refused, and a step that is warned of or has an act of its own; nothing else.
            match phones[at].record(job, act) {
                Ok(_) => {}
                Err(Error::Refused { field, .. }) => {
                    assert!(field == "act.pass_side.side" || field.starts_with("act.record_step."), "{field}")
                }
                Err(why) => panic!("{why}"),
            }
        }
        let meet = |phones: &mut Vec<Phone>, a: usize, b: usize| {
            let (low, high) = (a.min(b), a.max(b));
            let (left, right) = phones.split_at_mut(high);
            let (one, two) = (&mut left[low], &mut right[0]);
            if a < b {
                one.join(two)
            } else {
                two.join(one)
            };
        };
        for _ in 0..3 {
            let a = dice.below(3);
            meet(&mut phones, a, (a + 1 + dice.below(2)) % 3);
        }
        for a in 0..3 {
            for b in 0..3 {
                if a != b {
                    meet(&mut phones, a, b);
                }
            }
        }
        for a in 0..3 {
            meet(&mut phones, a, (a + 1) % 3);
        }
        let views: Vec<_> = phones.iter().map(|phone| phone.view(job)).collect();
        assert_eq!(views[0], views[1], "case {case}");
        assert_eq!(views[1], views[2], "case {case}");
        assert_eq!(views[0].phones.len(), 3);
        for phone in &phones {
            assert!(phone.open().check(None).expect("checks").findings.is_empty());
        }
    }
}

/// An entry recorded without knowing that the other phone had ended the visit is kept and flagged; the one that was
/// known is not.
#[test]
fn entries_after_the_other_phones_closing_are_flagged() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, mut two) =
        (Phone::new(&folder.path().join("1"), 1), Phone::new(&folder.path().join("2"), 2));
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    two.join(&mut one);
    two.put(job, mark("roof", MarkKind::Dent, 12_000));
    one.join(&mut two);
    one.put(job, closing());
    two.put(job, mark("bonnet", MarkKind::Dent, 9_000));
    one.join(&mut two);
    two.join(&mut one);
    for phone in [&mut one, &mut two] {
        let view = phone.view(job);
        let flags: Vec<usize> = view.marks.iter().map(|mark| mark.stamp.flags.len()).collect();
        assert_eq!(flags, [0, 1], "{:?}", view.marks);
        assert!(
            phone.record(job, nothing_seen("roof")).is_err(),
            "a job that is known to be closed takes no more"
        );
    }
}

/// Two corrections of one entry, made without knowing of each other: both are shown, with who made them.
#[test]
fn rival_corrections_are_both_shown() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, mut two) =
        (Phone::new(&folder.path().join("1"), 1), Phone::new(&folder.path().join("2"), 2));
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    let dent = one.put(job, mark("roof", MarkKind::Dent, 12_000));
    let id = Uuid::parse_str(&dent.input).expect("an id");
    two.join(&mut one);
    one.put(job, correction(id, described("roof", MarkKind::Dent, 14_000), "measured again"));
    two.put(job, correction(id, described("roof", MarkKind::Hail, 12_000), "there are more of them"));
    one.join(&mut two);
    two.join(&mut one);
    for phone in [&one, &two] {
        let view = phone.view(job);
        assert!(view.marks[0].contested);
        assert_eq!(view.marks[0].history.len(), 3);
        assert_eq!(view.marks[0].label, "1", "a number never changes");
    }
    // A later correction that has seen both is no rival.
    one.put(job, correction(id, described("roof", MarkKind::Hail, 14_000), "agreed on the spot"));
    assert_eq!(one.view(job).marks[0].history.len(), 4);
}

/// Two phones that join the first one without knowing of each other take the same letter; readers tell them apart.
#[test]
fn the_same_letter_twice_is_told_apart() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phones: Vec<Phone> =
        (0..3).map(|at| Phone::new(&folder.path().join(at.to_string()), 50 + at)).collect();
    let job = phones[0].begin(Form::Hatch5, Stage::AsFound);
    for at in 1..3 {
        let (first, rest) = phones.split_at_mut(1);
        rest[at - 1].join(&mut first[0]);
    }
    for phone in &mut phones {
        phone.put(job, mark("roof", MarkKind::Dent, 12_000));
    }
    for at in 1..3 {
        let (first, rest) = phones.split_at_mut(1);
        first[0].join(&mut rest[at - 1]);
    }
    let labels: Vec<String> = phones[0].view(job).marks.into_iter().map(|mark| mark.label).collect();
    assert_eq!(labels[0], "1");
    assert!(
        labels[1].starts_with("B1 (") && labels[2].starts_with("B1 (") && labels[1] != labels[2],
        "{labels:?}"
    );
}

/// A text that a first joining could not bring comes with a later one, which brings nothing else: the list and the search
/// know it then.
#[test]
fn texts_that_come_late_are_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, two) = (Phone::new(&folder.path().join("1"), 1), Phone::new(&folder.path().join("2"), 2));
    let job = one.begin(Form::Hatch5, Stage::AsFound);
    one.close();
    let database = one.folder.join("sidelong.db");
    let whole = std::fs::read(&database).expect("reads");
    let changed = rusqlite::Connection::open(&database).expect("opens");
    changed.execute("UPDATE blobs SET state = 'lost', bytes = NULL", []).expect("changes");
    drop(changed);
    let listed = |phone: &Phone| {
        let jobs = phone.open().jobs(None, 9, Locale::EnGb).expect("a list").jobs;
        let found = phone.open().jobs(Some("ZZ26".to_owned()), 9, Locale::EnGb).expect("a search").jobs;
        (
            jobs.into_iter().map(|line| line.plate).collect::<Vec<_>>(),
            found.len(),
            phone.view(job).vehicle.plate,
        )
    };
    let first = two.open().join(one.folder.display().to_string()).expect("joins");
    assert_eq!(first.blobs_missing.len(), 1);
    assert_eq!(listed(&two), (vec![None], 0, None));
    std::fs::write(&database, whole).expect("writes");
    let second = two.open().join(one.folder.display().to_string()).expect("joins");
    assert_eq!((second.taken.len(), second.blobs), (0, 1));
    let plate = Some("ZZ26 TST".to_owned());
    assert_eq!(listed(&two), (vec![plate.clone()], 1, plate));
}

/// Envelopes are what is sorted by; a quick look that the generator of cases makes real ones.
#[test]
fn pure_phones_make_readable_events() {
    let mut dice = Dice(1);
    let (_, phones) = random_job(&mut dice);
    for leaf in phones.iter().flat_map(|phone| &phone.leaves) {
        let envelope: Envelope = serde_json::from_slice(leaf).expect("an envelope");
        assert!(envelope.log.starts_with("sidelong/"));
        assert!(sidelong_core::log::canon::read(leaf).is_ok());
    }
}
