//! The tree says what trying every triangle says; patches of a car are open to what lies straight before them.

use super::*;
use crate::record::words::Form;
use crate::vehicle::{Class, Patch, geometry, unit};

/// Numbers that look thrown, the same ones each time (splitmix64, public domain).
struct Dice(u64);
impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        low + (high - low) * ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn place(&mut self) -> V3 {
        [self.between(-4.0, 4.0), self.between(-3.0, 3.0), self.between(0.0, 3.0)]
    }
}

fn metres(p: &Patch) -> (V3, V3) {
    (p.centre_dmm.map(|c| f64::from(c) / 1e4), unit(p.normal_ppm.map(f64::from)))
}

#[test]
fn the_tree_finds_what_trying_all_finds() {
    let mut dice = Dice(1);
    for &form in Form::ALL {
        let corners = triangles(geometry(form));
        let tree = Blocker::new(&corners);
        assert_eq!(tree.len(), corners.len());
        let mut hits = 0;
        for _ in 0..60 {
            let (a, b) = (dice.place(), dice.place());
            let all = tree.triangles.iter().any(|it| it.hit(a, sub(b, a), 1.0));
            assert_eq!(tree.between(a, b), all, "{form:?} {a:?} {b:?}");
            let all = tree.triangles.iter().any(|it| it.hit(a, sub(b, a), f64::INFINITY));
            assert_eq!(tree.towards(a, sub(b, a)), all, "{form:?} {a:?} towards {b:?}");
            hits += usize::from(all);
        }
        assert!(hits >= 3, "{form:?}: only {hits} of 60 rays meet the body");
    }
}

#[test]
fn the_same_triangles_in_another_order_give_the_same_answers() {
    let corners = triangles(geometry(Form::Estate));
    let mut other = corners.clone();
    other.reverse();
    let (one, two) = (Blocker::new(&corners), Blocker::new(&other));
    let mut dice = Dice(2);
    for _ in 0..20_000 {
        let (a, b) = (dice.place(), dice.place());
        assert_eq!(one.between(a, b), two.between(a, b), "{a:?} {b:?}");
    }
}

#[test]
fn painted_patches_are_open_to_what_lies_straight_before_them() {
    for &form in Form::ALL {
        let body = geometry(form);
        let tree = Blocker::new(&triangles(body));
        let painted = body.panels.iter().filter(|p| p.class == Class::Paint && !p.optional);
        let (mut open, mut all) = (0, 0);
        for patch in painted.flat_map(|p| &p.patches) {
            let (c, n) = metres(patch);
            all += 1;
            open += usize::from(!tree.between(lifted(c, n), add(c, n.map(|x| x * 0.06))));
        }
        // What is shut lies under a handle, a mirror's foot or a rail, or in the corner between two parts of a motorcycle.
        let least = if form == Form::Motorcycle { 0.85 } else { 0.97 };
        assert!(open as f64 >= least * all as f64, "{form:?}: {open} of {all}");
    }
}

#[test]
fn what_is_in_the_car_is_known_to_be() {
    for &form in Form::ALL.iter().filter(|form| **form != Form::Motorcycle) {
        let tree = Blocker::new(&triangles(geometry(form)));
        assert!(tree.holds([0.2, 0.3, 0.9]), "{form:?}: the front seat");
        for outside in [[0.0, 1.6, 1.6], [3.4, 0.0, 1.0], [-3.4, 0.2, 1.0], [0.0, -1.2, 0.9], [0.0, 0.0, 2.8]]
        {
            assert!(!tree.holds(outside), "{form:?} {outside:?}");
        }
    }
}

#[test]
fn what_is_no_number_hits_nothing() {
    let tree = Blocker::new(&triangles(geometry(Form::Van)));
    let odd = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE, 0.0, -0.0, 1.0];
    for a in odd {
        for b in odd {
            tree.between([a, b, 1.0], [b, a, a]);
            tree.towards([0.0, a, b], [b, 0.0, a]);
            tree.holds([a, b, a]);
        }
    }
    assert!(!tree.between([0.2, 0.3, 0.9], [0.2, 0.3, 0.9]), "a way without length");
    assert!(!Blocker::new(&[]).towards([0.0; 3], [1.0, 0.0, 0.0]));
}
