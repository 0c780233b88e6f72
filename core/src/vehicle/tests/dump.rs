//! Everything that the checks from outside read (`tests/python/vehicle`), as lines of JSON on standard output between
//! two markers. Run by them: `cargo test -p sidelong-core --lib vehicle::tests::dump -- --ignored --nocapture`.

use std::fmt::Write;

use super::*;
use crate::vehicle::{Sheet, geometry, panel_map};

#[test]
#[ignore = "prints what the checks from outside read"]
fn dump() {
    let mut out = String::new();
    for &form in Form::ALL {
        let body = geometry(form);
        for p in &body.panels {
            let (nu, nv, points) = p.grid();
            let floor: Vec<u32> = (0..=240).map(|k| p.floor_ppm(k * 1_000_000 / 240)).collect();
            let patches: Vec<Vec<i64>> = p
                .patches
                .iter()
                .map(|q| {
                    let ints = q.centre_dmm.iter().chain(&q.normal_ppm).map(|c| i64::from(*c));
                    ints.chain([i64::from(q.area_mm2), i64::from(q.u_ppm), i64::from(q.v_ppm)]).collect()
                })
                .collect();
            writeln!(
                out,
                "{{\"form\":\"{}\",\"panel\":\"{}\",\"class\":\"{}\",\"side\":\"{}\",\"layer\":{},\"nu\":{nu},\"nv\":{nv},\
                 \"points\":{points:?},\"floor\":{floor:?},\"patches\":{patches:?}}}",
                form.word(),
                p.id,
                p.class.word(),
                p.side.word(),
                p.layer
            )
            .unwrap();
        }
        let mut dice = Dice(0x1234_5678_9ABC_DEF1 ^ (form as u64 + 1));
        for &sheet in Sheet::ALL {
            let map = panel_map(form, sheet);
            let mut polygons = Vec::new();
            for r in map.touchable() {
                let points: Vec<[f64; 2]> = r.border.iter().map(|p| [p.0, p.1]).collect();
                polygons
                    .push(format!("{{\"panel\":\"{}\",\"layer\":{},\"points\":{points:?}}}", r.id, r.layer));
            }
            let mut hits = Vec::new();
            for _ in 0..400 {
                let (x, y) = (dice.share() * map.width, dice.share() * map.height);
                let panel = map.hit(x, y).map_or("null".to_owned(), |h| format!("\"{}\"", h.panel));
                hits.push(format!("[{x},{y},{panel}]"));
            }
            let boxes: Vec<String> = map
                .callouts
                .iter()
                .map(|c| format!("[\"{}\",{},{},{},{}]", c.panel, c.x, c.y, c.width, c.height))
                .collect();
            writeln!(
                out,
                "{{\"form\":\"{}\",\"sheet\":\"{sheet:?}\",\"polygons\":[{}],\"hits\":[{}],\"callouts\":[{}]}}",
                form.word(),
                polygons.join(","),
                hits.join(","),
                boxes.join(",")
            )
            .unwrap();
        }
    }
    println!("<<<vehicle\n{out}vehicle>>>");
}
