//! No measures break a panel: wild ones are held, and every corner of what is allowed still builds.

use super::*;
use crate::vehicle::{Measure, build};

fn sound(form: Form, m: &Measures, bad: &mut Vec<String>) {
    let body = build(form, m);
    for p in &body.panels {
        assert!((20..=80).contains(&p.patches.len()), "{form:?} {}", p.id);
        let (cells, folded) = folds(p);
        if folded * 16 > cells && p.side != crate::vehicle::Side::Right {
            bad.push(format!("{form:?} {}: {folded} of {cells} folded {:.2?}", p.id, fold_places(p)));
        }
        for q in &p.patches {
            let n = q.normal_ppm.map(|c| f64::from(c) / 1e6);
            assert!((super::super::dual::norm(n) - 1.0).abs() < 3e-6, "{form:?} {} {n:?} with {m:?}", p.id);
            assert!(q.centre_dmm.iter().all(|c| c.abs() < 60_000), "{form:?} {}", p.id);
        }
        assert!(p.area_mm2() > 150, "{form:?} {}", p.id);
    }
    let (held, changed) = m.held();
    assert_eq!(body.held, changed);
    assert!(held.held().1.is_empty(), "holding twice changes nothing");
    if form != Form::Motorcycle {
        let [length, width, height] = extents(&body);
        for (got, measure) in [(length, Measure::Length), (width, Measure::Width), (height, Measure::Height)]
        {
            let off = got - held.get(measure) * 10;
            if off.abs() > 40 {
                let axis = [Measure::Length, Measure::Width, Measure::Height]
                    .iter()
                    .position(|m| *m == measure)
                    .unwrap();
                let outer = body
                    .panels
                    .iter()
                    .filter(|p| is_body(p))
                    .flat_map(|p| p.surface.points.iter().map(move |q| (q[axis], p.id, q)));
                let (_, id, at) = if off < 0 || axis > 0 {
                    outer.max_by_key(|o| o.0).unwrap()
                } else {
                    outer.min_by_key(|o| o.0).unwrap()
                };
                bad.push(format!("{form:?} {measure:?} off by {off} tenths: {id} {at:?}"));
            }
        }
    }
}

#[test]
fn wild_measures_are_held_and_named() {
    let mut bad = Vec::new();
    for &form in Form::ALL {
        for value in [i32::MIN, -1, 0, 1, 100_000, i32::MAX] {
            let mut m = Measures::of(form);
            for &measure in Measure::ALL {
                m = m.with(measure, value);
            }
            sound(form, &m, &mut bad);
            assert!(!build(form, &m).held.is_empty());
        }
    }
    assert!(bad.is_empty(), "{bad:#?}");
    let fine = Measures::of(Form::Saloon).with(Measure::Length, 4_900).with(Measure::Wheelbase, 2_900);
    assert!(build(Form::Saloon, &fine).held.is_empty());
    let long = build(Form::Saloon, &Measures::of(Form::Saloon).with(Measure::Length, 9_000));
    assert_eq!(
        long.held.first().map(|h| (h.measure, h.given, h.used)),
        Some((Measure::Length, 9_000, 5_311))
    );
}

#[test]
fn every_corner_of_what_is_allowed_builds() {
    let mut bad = Vec::new();
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let rounds = std::env::var("VEHICLE_ROUNDS").ok().and_then(|n| n.parse().ok()).unwrap_or(6);
    for &form in Form::ALL {
        for round in 0..rounds {
            let mut m = Measures::of(form);
            for &measure in Measure::ALL {
                let (low, high) = m.held().0.range(measure);
                // Half of the time at an end, where trouble lives.
                let t = match (round % 2, dice.next() % 2) {
                    (0, 0) => 0.0,
                    (0, _) => 1.0,
                    _ => dice.share(),
                };
                m = m.with(measure, low + (f64::from(high - low) * t).round() as i32);
            }
            sound(form, &m, &mut bad);
        }
    }
    assert!(bad.is_empty(), "{bad:#?}");
}
