//! Whatever work is put in, what comes out keeps the rules: nothing agreed is lost, nothing refused slips through, the
//! order holds.

use super::super::contamination::{Did, Felt};
use super::*;
use crate::care::surface;
use crate::care::words::Area;
use crate::record::words::{FeelMethod, MarkKind, OwnerAnswer, Party, Reaction};

/// A small seeded generator (xorshift64*).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        usize::try_from(self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33).unwrap() % sides
    }

    fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.roll(all.len())]
    }

    fn place(&mut self, number: usize) -> Place {
        let mut findings = Vec::new();
        for at_ms in 0..self.roll(8) as i64 {
            let on = self.one_of(Area::ALL);
            let reacted = if self.roll(3) == 0 { vec![self.one_of(Reaction::ALL)] } else { Vec::new() };
            let (step, level) = (self.one_of(Step::ALL), self.one_of(FeelLevel::ALL));
            findings.push(if self.roll(2) == 0 {
                Finding::Felt(Felt { at_ms, method: FeelMethod::Bag, level, reacted, on, who: None })
            } else {
                let saw = (self.roll(2) == 0).then(|| self.one_of(MarkKind::ALL));
                Finding::Did(Did { at_ms, step, reacted, on, saw, who: None })
            });
        }
        Place {
            place: format!("place {number}"),
            kind: self.one_of(SurfaceKind::ALL),
            sections: Vec::new(),
            clean: self.roll(2) == 0,
            panel_mc: Some(1_000 * self.roll(60) as i32),
            wears: if self.roll(3) == 0 { vec![Step::Wax] } else { Vec::new() },
            findings,
            chemical_first: None,
            readings_um: (0..self.roll(6)).map(|_| 70 + self.roll(80) as u32).collect(),
            no_reading: None,
            floor_um: None,
            squares: Vec::new(),
            life: PaintLife::default(),
        }
    }

    fn work(&mut self) -> Work {
        let surfaces: Vec<Place> = (0..1 + self.roll(6)).map(|number| self.place(number)).collect();
        let mut agreed = Vec::new();
        for step in Step::ALL {
            let on: Vec<String> =
                surfaces.iter().filter(|_| self.roll(4) == 0).map(|place| place.place.clone()).collect();
            if on.is_empty() {
                continue;
            }
            let given = self.roll(3) == 0;
            let answer = self.one_of(OwnerAnswer::ALL);
            let set_aside =
                given.then(|| Override { reason: "wanted".to_owned(), answer, by: self.one_of(Party::ALL) });
            agreed.push(Agreement { step: *step, on, sheet: None, usual: None, set_aside });
        }
        let facts = Facts { after_absence: self.roll(2) == 0, engine_hot: false, high_voltage: false };
        Work { surfaces, agreed, facts, ..Work::default() }
    }
}

#[test]
fn any_work_keeps_the_rules() {
    let mut dice = Dice(0x5EED);
    for _ in 0..3_000 {
        let work = dice.work();
        let made = plan(&work).unwrap();
        for agreement in &work.agreed {
            for place in &agreement.on {
                let planned = of(&made, place).iter().any(|step| step.step == agreement.step && !step.added);
                let kept = made
                    .kept_back
                    .iter()
                    .any(|kept| kept.place == *place && kept.refusal.step == agreement.step);
                assert!(planned != kept, "{} on {place} is lost or both: {work:?}", agreement.step.word());
                let kind = work.surfaces.iter().find(|surface| surface.place == *place).unwrap().kind;
                if let Some(refused) = surface::refusal(kind, agreement.step).filter(|_| planned) {
                    surface::may_go_on(&refused, agreement.set_aside.as_ref()).unwrap();
                }
            }
        }
        for place in &work.surfaces {
            let steps = of(&made, &place.place);
            let order: Vec<Step> =
                steps.iter().map(|step| step.step).filter(|step| *step != Step::Feel).collect();
            assert!(order.is_sorted(), "{order:?}");
            // What is added is refused by nothing.
            for added in steps.iter().filter(|step| step.added) {
                assert!(surface::refusal(place.kind, added.step).is_none(), "{added:?} on {place:?}");
            }
            // Where oils have to be off, the wipe is there before it.
            if steps.iter().any(|step| step.needs.contains(&Prerequisite::OilsWiped)) {
                assert!(order.contains(&Step::PanelWipe), "{order:?}");
            }
        }
        assert!(made.steps.iter().filter(|step| !step.ask.is_empty()).count() <= 1);
        assert_eq!(plan(&work).unwrap(), made, "the same work makes the same plan");
    }
}
