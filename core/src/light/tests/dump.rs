//! What the checks from outside read (`tests/python/light`), as lines of JSON on standard output between two markers. Run by
//! them: `cargo test -p sidelong-core --lib light::tests::dump -- --ignored --nocapture`.

use std::fmt::Write;

use super::*;
use next::{Ask, With, greedy, places};

const RAYS: usize = 100_000;

#[test]
#[ignore = "prints what the checks from outside read"]
fn dump() {
    let mut out = String::new();
    for &form in Form::ALL {
        let body = body(form);
        let seed = form as u64 + 1;
        let mut dice = Dice(seed);
        let mut bits = vec![0_u8; RAYS.div_ceil(8)];
        for ray in 0..RAYS {
            // From anywhere around the car to anywhere about its body, in this order of numbers.
            let from = [dice.between(-4.0, 4.0), dice.between(-3.0, 3.0), dice.between(0.0, 3.0)];
            let to = [dice.between(-2.5, 2.5), dice.between(-1.0, 1.0), dice.between(0.1, 1.8)];
            if body.blocker.between(from, to) {
                bits[ray / 8] |= 1 << (ray % 8);
            }
        }
        let hex: String = bits.iter().map(|b| format!("{b:02x}")).collect();
        writeln!(
            out,
            "{{\"form\":\"{}\",\"rays\":{RAYS},\"seed\":{seed},\"triangles\":{},\"blocked\":\"{hex}\"}}",
            form.word(),
            body.blocker.len()
        )
        .expect("a line");
    }
    let mut dice = Dice(99);
    for _ in 0..60 {
        let patches = 8 + (dice.roll() % 20) as usize;
        let weights: Vec<u64> = (0..patches).map(|_| 1 + dice.roll() % 50).collect();
        let sets: Vec<Seen> = (0..10 + dice.roll() % 15)
            .map(|_| Seen {
                // A few neighbouring directions on a few patches, as lamps show them.
                patches: (0..patches)
                    .map(|_| {
                        if dice.roll().is_multiple_of(3) {
                            Shown((dice.roll() & dice.roll() & 0xFFF) as u16)
                        } else {
                            Shown::NONE
                        }
                    })
                    .collect(),
            })
            .collect();
        cover(&mut out, "thrown", &sets, &weights, 2 + (dice.roll() % 5) as usize);
    }
    // Real ones: twenty places of a car each.
    for &form in [Form::Saloon, Form::Van, Form::Coupe].iter() {
        let body = body(form);
        for with in [With::Lamp, With::Sun([0.4, 0.5, 0.6]), With::Sun([-0.5, 0.2, 0.3])] {
            let ask = Ask { with, blocked: Blocked::default(), panels: &[], wall_deg: WALL_DEG };
            let stands = places(body, &ask);
            for _ in 0..3 {
                let some: Vec<_> =
                    (0..20).map(|_| &stands[(dice.roll() % stands.len() as u64) as usize]).collect();
                let shown: Vec<Seen> = some
                    .iter()
                    .map(|stand| {
                        look_shows(
                            body,
                            &Look { uncertainty: Uncertainty::NONE, image: None, ..stand.look.clone() },
                            WALL_DEG,
                        )
                        .expect("a look")
                    })
                    .collect();
                let weights: Vec<u64> = body
                    .geometry
                    .panels
                    .iter()
                    .flat_map(|p| p.patches.iter().map(|q| u64::from(q.area_mm2)))
                    .collect();
                // Patches that none shows are left out: the file stays small.
                let kept: Vec<usize> = (0..weights.len())
                    .filter(|at| shown.iter().any(|set| !set.patches[*at].within(Shown::ALL_LINES).is_none()))
                    .collect();
                let sets: Vec<Seen> = shown
                    .iter()
                    .map(|set| Seen {
                        patches: kept.iter().map(|at| set.patches[*at].within(Shown::ALL_LINES)).collect(),
                    })
                    .collect();
                let weights: Vec<u64> = kept.iter().map(|at| weights[*at]).collect();
                cover(&mut out, "real", &sets, &weights, 5);
            }
        }
    }
    println!("<<<light\n{out}light>>>");
}

fn cover(out: &mut String, what: &str, sets: &[Seen], weights: &[u64], count: usize) {
    let nothing = Seen { patches: vec![Shown::NONE; weights.len()] };
    let chosen = greedy(sets, weights, &nothing, count);
    let total: u64 = chosen.iter().map(|it| it.1).sum();
    let rows: Vec<Vec<u16>> = sets.iter().map(|set| set.patches.iter().map(|it| it.0).collect()).collect();
    writeln!(
        out,
        "{{\"cover\":\"{what}\",\"sets\":{rows:?},\"weights\":{weights:?},\"count\":{count},\"chosen\":{:?},\"total\":{total}}}",
        chosen.iter().map(|it| it.0).collect::<Vec<_>>()
    )
    .expect("a line");
}
