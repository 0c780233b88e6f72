//! The panel map: touches mean what was drawn, and are large enough.

use super::*;
use crate::vehicle::{Class, PanelMap, Sheet, Weight, geometry, panel_map};

/// Places on touchable panels that come back as the same panel, and how many were asked.
pub(super) fn round_trip(form: Form, sheet: Sheet) -> (usize, usize, Vec<String>) {
    let (map, body) = (panel_map(form, sheet), geometry(form));
    let (mut good, mut all, mut misses) = (0, 0, Vec::new());
    for id in map.panels() {
        let Some(panel) = body.panel(id) else { panic!("{id}") };
        for i in 1..10u32 {
            for j in 1..10u32 {
                let u = i * 100_000;
                let floor = panel.floor_ppm(u);
                let v = floor + (1_000_000 - floor) / 10 * j;
                let shown = map.touchable().any(|r| {
                    let ([u0, u1, v0, v1], [u, v]) = (r.window, [u, v].map(|w| f64::from(w) / 1e6));
                    r.id == id && u > u0 + 0.004 && u < u1 - 0.004 && v > v0 + 0.004 && v < v1 - 0.004
                });
                let Some((x, y)) = map.at(id, u, v).filter(|_| shown) else { continue };
                let Some(hit) = map.hit(x, y) else { panic!("{form:?} {id}: nothing hit") };
                // What lies on top (a handle on a door) rightly wins.
                let on_top = body.panel(hit.panel).is_some_and(|p| p.layer > panel.layer);
                if on_top {
                    continue;
                }
                all += 1;
                let near = hit.u_ppm.abs_diff(u) < 25_000 && hit.v_ppm.abs_diff(v) < 25_000;
                if hit.panel == id && near {
                    good += 1;
                } else {
                    misses.push(format!("{id} {u} {v} -> {} {} {}", hit.panel, hit.u_ppm, hit.v_ppm));
                }
            }
        }
    }
    (good, all, misses)
}

#[test]
fn what_is_drawn_is_what_is_touched() {
    let (mut bad, mut sum) = (Vec::new(), (0, 0));
    for &form in Form::ALL {
        for &sheet in Sheet::ALL {
            let (good, all, misses) = round_trip(form, sheet);
            if good * 1000 < all * 995 {
                bad.push(format!(
                    "{form:?} {sheet:?} {good} of {all}: {:?}",
                    misses.iter().step_by(misses.len() / 12 + 1).collect::<Vec<_>>()
                ));
            }
            (sum.0, sum.1) = (sum.0 + good, sum.1 + all);
        }
    }
    println!("{} of {}", sum.0, sum.1);
    assert!(bad.is_empty(), "{bad:#?}");
}

#[test]
fn callouts_come_back_too() {
    for &form in Form::ALL {
        for &sheet in Sheet::ALL {
            let map = panel_map(form, sheet);
            for c in &map.callouts {
                for (u, v) in [(200_000, 950_000), (500_000, 800_000), (900_000, 970_000)] {
                    let (x, y) = map.at_callout(c.panel, u, v).unwrap();
                    let hit = map.hit(x, y).unwrap();
                    assert_eq!(hit.panel, c.panel);
                    assert!(
                        hit.u_ppm.abs_diff(u) < 10 && hit.v_ppm.abs_diff(v) < 10,
                        "{form:?} {sheet:?} {hit:?}"
                    );
                }
            }
        }
    }
}

/// Side of the largest square, on a raster, that means one panel.
pub(super) fn target(map: &PanelMap, id: &str, raster: f64) -> f64 {
    let (mut low, mut high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
    let corners = map.panel_polygons(id).concat();
    for p in corners.iter() {
        low = (low.0.min(p.0), low.1.min(p.1));
        high = (high.0.max(p.0), high.1.max(p.1));
    }
    if map.callouts.iter().any(|c| c.panel == id && c.width.min(c.height) >= 48.0) {
        return map.callouts.iter().find(|c| c.panel == id).map_or(0.0, |c| c.width.min(c.height));
    }
    let (x0, y0) = ((low.0 - 40.0).max(0.0), (low.1 - 40.0).max(0.0));
    let columns = (((high.0 + 40.0).min(map.width) - x0) / raster) as usize;
    let rows = (((high.1 + 40.0).min(map.height) - y0) / raster) as usize;
    let mut above = vec![0usize; columns + 1];
    let mut best = 0;
    for j in 0..rows {
        let mut row = vec![0usize; columns + 1];
        for i in 0..columns {
            let (x, y) = (x0 + (i as f64 + 0.5) * raster, y0 + (j as f64 + 0.5) * raster);
            if map.hit(x, y).is_some_and(|h| h.panel == id) {
                row[i + 1] = 1 + row[i].min(above[i]).min(above[i + 1]);
                best = best.max(row[i + 1]);
            }
        }
        above = row;
    }
    best as f64 * raster
}

#[test]
fn every_painted_panel_can_be_touched() {
    let mut bad = Vec::new();
    for &form in Form::ALL {
        let body = geometry(form);
        let mut touchable: Vec<&str> = Vec::new();
        for &sheet in Sheet::ALL {
            let map = panel_map(form, sheet);
            for id in map.panels() {
                if body.panel(id).is_some_and(|p| p.class == Class::Paint) {
                    let side = target(map, id, 3.0);
                    if side < 48.0 {
                        bad.push(format!("{form:?} {sheet:?} {id}: {side}"));
                    }
                    touchable.push(id);
                }
            }
            if sheet == Sheet::Flat {
                // The whole car: every painted panel is there.
                for p in body.panels.iter().filter(|p| p.class == Class::Paint) {
                    assert!(touchable.contains(&p.id), "{form:?} {}", p.id);
                }
            }
        }
    }
    assert!(bad.is_empty(), "{bad:#?}");
}

#[test]
fn drawings_are_plain_and_inside_their_paper() {
    for &form in Form::ALL {
        for &sheet in Sheet::ALL {
            let map = panel_map(form, sheet);
            assert_eq!(map.width, 400.0);
            assert!(map.height > 150.0 && map.height < 1000.0, "{form:?} {sheet:?} {}", map.height);
            let all = map.outlines.iter().flat_map(|o| &o.points);
            for p in all.chain(map.callouts.iter().flat_map(|c| &c.leader)) {
                assert!(
                    (0.0..=400.0).contains(&p.0) && (0.0..=map.height).contains(&p.1),
                    "{form:?} {sheet:?} {p:?}"
                );
            }
            for c in &map.callouts {
                assert!(c.x >= 0.0 && c.y >= 0.0 && c.x + c.width <= 400.0 && c.y + c.height <= map.height);
                for o in map.callouts.iter().filter(|o| o.panel != c.panel) {
                    let apart = c.x + c.width <= o.x
                        || o.x + o.width <= c.x
                        || c.y + c.height <= o.y
                        || o.y + o.height <= c.y;
                    assert!(apart, "{form:?} {sheet:?} {} {}", c.panel, o.panel);
                }
            }
            let svg = map.svg(180.0);
            assert!(svg.starts_with("<svg") && svg.len() < 60_000 && !svg.contains("NaN"));
            assert!(!map.lines_path(Weight::Outline).is_empty());
        }
    }
}

#[test]
fn wild_touches_are_answered() {
    let map = panel_map(Form::Saloon, Sheet::Flat);
    for (x, y) in [(f64::NAN, 0.0), (f64::INFINITY, 1.0), (-1e9, -1e9), (1e9, 5.0)] {
        assert_eq!(map.hit(x, y), None);
    }
    assert_eq!(map.at("hood", 0, 0), None);
    assert!(map.panel_path("hood").is_none());
    assert!(map.panel_path("bonnet").is_some_and(|d| d.starts_with('M') && d.ends_with('Z')));
}
