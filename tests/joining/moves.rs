//! Moves between jobs, made on phones that know of each other only now and then.

use crate::{PurePhone, all_entries, of_job};
use sidelong_core::record::fold::{Job, fold};
use sidelong_core::record::inputs::{Act, BeginWalk, MoveEntry};
use sidelong_core::record::words::{Form, MarkKind, Stage};
use sidelong_tests::{Dice, car, correction, described, mark};
use std::collections::BTreeSet;
use uuid::Uuid;

/// Marks that go to and fro between two jobs, moved and corrected on three phones that meet now and then: both jobs fold
/// to the same state in any order, and every mark is in one place at least.
#[test]
fn moves_between_two_jobs_fold_to_the_same_state() {
    let (mut moves, mut there_and_back) = (0, 0);
    for case in 0..2_000 {
        let mut dice = Dice(case ^ 0x5EED_0000);
        let jobs = [dice.id(), dice.id()];
        let mut phones: Vec<PurePhone> = (1..=3).map(PurePhone::new).collect();
        for job in jobs {
            phones[0].act(job, Act::OpenJob(car(Form::Hatch5)), &mut dice);
            phones[0].act(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }), &mut dice);
        }
        let first = phones[0].clone();
        phones[1].learn(&first, 4);
        phones[2].learn(&first, 4);
        for _ in 0..10 + dice.below(15) {
            let at = dice.below(phones.len());
            let turn = dice.below(2);
            let (job, to_job) = (jobs[turn], jobs[1 - turn]);
            let marks = fold(job, of_job(&phones[at].known, job)).marks;
            let other = phones[dice.below(phones.len())].clone();
            match dice.below(6) {
                0 if other.seed != phones[at].seed => phones[at].learn(&other, other.leaves.len()),
                1..=3 if !marks.is_empty() => {
                    let entry = marks[dice.below(marks.len())].id;
                    let act = MoveEntry { entry, to_job, reason: "the other car's".to_owned() };
                    phones[at].act(job, Act::MoveEntry(act), &mut dice);
                }
                4 if !marks.is_empty() => {
                    let becomes = described("roof", MarkKind::Scuff, 9_000);
                    let act = correction(marks[dice.below(marks.len())].id, becomes, "looked again");
                    phones[at].act(job, act, &mut dice);
                }
                _ => phones[at].act(job, mark("roof", MarkKind::Dent, 9_000), &mut dice),
            }
        }
        let mut all = all_entries(&phones);
        let whole = jobs.map(|job| fold(job, of_job(&all, job)));
        dice.shuffle(&mut all);
        assert_eq!(jobs.map(|job| fold(job, of_job(&all, job))), whole, "case {case}: another order");
        for (job, state) in jobs.iter().zip(&whole) {
            let mut followed = Job::empty(*job);
            let here = of_job(&all, *job);
            for at in 0..here.len() {
                if !followed.follow(here[at].clone()) {
                    followed = fold(*job, here[..=at].to_vec());
                }
            }
            assert_eq!(followed, *state, "case {case}: in pieces");
        }
        let recorded: BTreeSet<Uuid> = all
            .iter()
            .filter(|entry| {
                entry.envelope.kind == "mark.recorded" && entry.envelope.body["moved_from"].is_null()
            })
            .filter_map(|entry| entry.envelope.input)
            .collect();
        for job in &whole {
            let mut ids: Vec<Uuid> = job.marks.iter().map(|mark| mark.id).collect();
            ids.sort();
            ids.dedup();
            assert_eq!(ids.len(), job.marks.len(), "case {case}: one mark stands twice");
        }
        let shown: BTreeSet<Uuid> = whole.iter().flat_map(|job| &job.marks).map(|mark| mark.id).collect();
        assert_eq!(shown, recorded, "case {case}: a mark is lost");
        moves += whole.iter().map(|job| job.moved.len()).sum::<usize>();
        there_and_back += usize::from(whole.iter().any(|job| {
            job.marks.iter().any(|it| job.moved.iter().any(|(left, _)| left.body.entry == it.id))
        }));
    }
    assert!(moves > 2_000 && there_and_back > 100, "{moves} moves, {there_and_back} there and back");
}
