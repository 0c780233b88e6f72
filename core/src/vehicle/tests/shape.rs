//! Sizes, symmetry, normals, gaps, areas.

use std::collections::HashMap;

use super::*;
use crate::vehicle::dual::{V3, add, dot, norm, scale, sub};
use crate::vehicle::{Class, Measure, Side, geometry};

#[test]
fn every_panel_has_twenty_to_eighty_patches() {
    for &form in Form::ALL {
        for p in &geometry(form).panels {
            assert!((20..=80).contains(&p.patches.len()), "{form:?} {} {}", p.id, p.patches.len());
            assert!(p.patches.iter().all(|q| q.area_mm2 > 0), "{form:?} {}", p.id);
        }
    }
}

#[test]
fn painted_panels_are_as_many_as_the_trade_counts() {
    let counts = [15, 17, 17, 17, 17, 17, 15, 14, 18, 18];
    for (form, count) in cars().zip(counts) {
        assert_eq!(crate::vehicle::painted_panels(form).len(), count, "{form:?}");
    }
    for &form in Form::ALL {
        // Every painted panel is in the loop, or counted with one that is, or on the soft top.
        let loop_ = crate::vehicle::painted_panels(form);
        for p in geometry(form).panels.iter().filter(|p| p.class == Class::Paint) {
            let host = p.part_of.unwrap_or(p.id);
            assert!(loop_.contains(&host), "{form:?} {} of {host}", p.id);
        }
        let all = crate::vehicle::panels_in_walking_order(form);
        assert_eq!(all.len(), geometry(form).panels.len());
    }
}

#[test]
fn outer_measures_hold_to_two_millimetres() {
    for form in cars() {
        let m = Measures::of(form);
        let [length, width, height] = extents(geometry(form));
        for (got, measure) in [(length, Measure::Length), (width, Measure::Width), (height, Measure::Height)]
        {
            let off = got - m.get(measure) * 10;
            assert!(off.abs() <= 20, "{form:?} {measure:?} off by {off} tenths");
        }
    }
    let (low, high) = geometry(Form::Motorcycle).bounds_dmm(&|_| true);
    let m = Measures::of(Form::Motorcycle);
    let off = |got: i32, measure| (got - m.get(measure) * 10).abs();
    assert!(off(high[0] - low[0], Measure::Length) <= 20, "length {}", high[0] - low[0]);
    assert!(off(high[1] - low[1], Measure::Width) <= 20, "width {}", high[1] - low[1]);
    assert!(off(high[2], Measure::Height) <= 20, "height {}", high[2]);
}

#[test]
fn left_and_right_are_mirror_images() {
    for &form in Form::ALL {
        let body = geometry(form);
        for left in body.panels.iter().filter(|p| p.side == Side::Left) {
            let Some(twin) = crate::vehicle::names::other_side(left.id) else { panic!("{}", left.id) };
            if twin == left.id {
                continue;
            }
            let right = body.panel(twin).unwrap_or_else(|| panic!("{form:?} has no {twin}"));
            assert_eq!((left.class, left.optional), (right.class, right.optional));
            for (a, b) in left.patches.iter().zip(&right.patches) {
                assert_eq!(crate::vehicle::surface::reflected(*a), *b, "{form:?} {}", left.id);
            }
        }
        for middle in body.panels.iter().filter(|p| p.side == Side::Middle) {
            for p in &middle.patches {
                let mut there = crate::vehicle::surface::reflected(*p);
                let twin = middle.patches.iter().find(|q| q.centre_dmm == there.centre_dmm);
                let twin = twin.unwrap_or_else(|| panic!("{form:?} {} has no twin", middle.id));
                (there.u_ppm, there.v_ppm) = (twin.u_ppm, twin.v_ppm);
                assert_eq!(there, *twin, "{form:?} {}", middle.id);
            }
        }
    }
}

#[test]
fn normals_are_of_unit_length_and_point_outwards() {
    for &form in Form::ALL {
        let skin = (form != Form::Motorcycle).then(|| skin_of(&Measures::of(form)));
        for panel in &geometry(form).panels {
            for p in &panel.patches {
                let n = p.normal_ppm.map(|c| f64::from(c) / 1e6);
                assert!((norm(n) - 1.0).abs() < 3e-6, "{form:?} {}", panel.id);
                let off_skin = panel.layer == 1
                    || ["arch-liner", "exhaust", "spoiler", "roof-bar"].iter().any(|e| panel.id.ends_with(e))
                    || panel.id.contains("mirror")
                    || panel.id.contains("wheel");
                let hollow = matches!(
                    panel.id,
                    "load-bed" | "grille" | "lower-grille" | "left-slide-rail" | "right-slide-rail"
                );
                if let Some(skin) = skin.as_ref().filter(|_| !off_skin && !hollow) {
                    let c = p.centre_dmm.map(|c| f64::from(c) / 1e4);
                    assert!(skin.field(add(c, scale(n, 0.006))).v > 0.0, "{form:?} {} at {c:?}", panel.id);
                }
            }
        }
    }
}

#[test]
fn no_panel_is_folded() {
    let mut bad = Vec::new();
    for &form in Form::ALL {
        for panel in &geometry(form).panels {
            let (cells, folded) = folds(panel);
            // One cell in two hundred may turn at a notch of the border.
            if folded * 200 > cells {
                bad.push(format!(
                    "{form:?} {}: {folded} of {cells} cells folded {:.2?}",
                    panel.id,
                    fold_places(panel)
                ));
            }
        }
    }
    assert!(bad.is_empty(), "{bad:#?}");
}

/// The families say which way u and v run; a touch and "lower third" rely on it.
#[test]
fn u_and_v_run_as_they_say() {
    use crate::vehicle::Family;
    for form in cars() {
        for panel in geometry(form).panels.iter().filter(|p| p.layer < 2) {
            let s = &panel.surface;
            let (across_u, across_v) = (s.at(0.5, 1.0), s.at(0.5, s.floor(0.5)));
            let (from, to) = (s.at(0.0, 0.9), s.at(1.0, 0.9));
            match panel.family {
                Family::Side => {
                    assert!(to[0] > from[0] && across_u[2] > across_v[2], "{form:?} {}", panel.id);
                }
                Family::Top => {
                    assert!(to[0] > from[0] && across_u[1] > across_v[1], "{form:?} {}", panel.id);
                }
                Family::End => {
                    let outwards = if panel.side == Side::Right { from[1] > to[1] } else { to[1] > from[1] };
                    assert!(outwards && across_u[2] > across_v[2], "{form:?} {}", panel.id);
                }
                Family::Wheel => {}
            }
        }
    }
}

/// Triangles of all panels of the skin by cells of 5 cm.
struct Near {
    cells: HashMap<[i32; 3], Vec<[V3; 3]>>,
}

impl Near {
    fn of(body: &Geometry) -> Near {
        let mut cells: HashMap<[i32; 3], Vec<[V3; 3]>> = HashMap::new();
        for p in body.panels.iter().filter(|p| p.layer == 0 && !p.id.ends_with("arch-liner")) {
            let s = &p.surface;
            // The load bed's rim is what closes the gap, so its floor is left out of the way by its own depth.
            let at = |i: usize, j: usize| {
                let u = i as f64 / (2 * s.nu) as f64;
                let floor = s.floor(u);
                s.at(u, floor + (1.0 - floor) * j as f64 / (2 * s.nv) as f64)
            };
            for i in 0..2 * s.nu {
                for j in 0..2 * s.nv {
                    let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
                    for t in [[a, b, c], [a, c, d]] {
                        let low = |k: usize| t.iter().map(|p| p[k]).fold(f64::MAX, f64::min) - 0.02;
                        let high = |k: usize| t.iter().map(|p| p[k]).fold(f64::MIN, f64::max) + 0.02;
                        let cell = |c: f64| (c / 0.05).floor() as i32;
                        for x in cell(low(0))..=cell(high(0)) {
                            for y in cell(low(1))..=cell(high(1)) {
                                for z in cell(low(2))..=cell(high(2)) {
                                    cells.entry([x, y, z]).or_default().push(t);
                                }
                            }
                        }
                    }
                }
            }
        }
        Near { cells }
    }
    /// Distance to the nearest triangle, at most 2 cm.
    fn distance(&self, p: V3) -> f64 {
        let cell = p.map(|c| (c / 0.05).floor() as i32);
        let all = self.cells.get(&cell).map(Vec::as_slice).unwrap_or_default();
        all.iter().map(|t| to_triangle(p, t)).fold(0.02, f64::min)
    }
}

/// Distance of a point from a triangle (C. Ericson, Real-Time Collision Detection, 5.1.5).
fn to_triangle(p: V3, t: &[V3; 3]) -> f64 {
    let (a, b, c) = (t[0], t[1], t[2]);
    let (ab, ac, ap) = (sub(b, a), sub(c, a), sub(p, a));
    let (d1, d2) = (dot(ab, ap), dot(ac, ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return norm(ap);
    }
    let bp = sub(p, b);
    let (d3, d4) = (dot(ab, bp), dot(ac, bp));
    if d3 >= 0.0 && d4 <= d3 {
        return norm(bp);
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return norm(sub(ap, scale(ab, d1 / (d1 - d3))));
    }
    let cp = sub(p, c);
    let (d5, d6) = (dot(ab, cp), dot(ac, cp));
    if d6 >= 0.0 && d5 <= d6 {
        return norm(cp);
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return norm(sub(ap, scale(ac, d2 / (d2 - d6))));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        let w = (d4 - d3) / ((d4 - d3) + (d5 - d6));
        return norm(sub(bp, scale(sub(c, b), w)));
    }
    let k = 1.0 / (va + vb + vc);
    norm(sub(sub(ap, scale(ab, vb * k)), scale(ac, vc * k)))
}

/// Widest uncovered strip of a form's skin, metres, and where: twice the greatest distance of a skin point from all
/// panels. Left out: arches, the underside, and a pickup's bed, which is hollow.
pub(super) fn widest_gap(form: Form, step: f64) -> (f64, V3) {
    let body = geometry(form);
    let skin = skin_of(&Measures::of(form));
    let near = Near::of(body);
    let mut worst = (0.0, [0.0; 3]);
    // The grille is set back from the skin; its border is not.
    let grille: Vec<(f64, f64)> = body.panel("grille").map_or(Vec::new(), |g| {
        let s = &g.surface;
        let edge = |k: usize| k as f64 / 40.0;
        let round = (0..40).map(|k| (edge(k), 0.0)).chain((0..40).map(|k| (1.0, edge(k))));
        let back = (0..40).map(|k| (1.0 - edge(k), 1.0)).chain((0..40).map(|k| (0.0, 1.0 - edge(k))));
        round.chain(back).map(|(u, v)| s.at(u, v)).map(|p| (p[1], p[2])).collect()
    });
    let mut look = |p: V3| {
        if p[0] > skin.x_front_axle && crate::vehicle::map_region::inside(&grille, p[1], p[2]) {
            return;
        }
        let low = skin.d.clear + 0.05;
        let arch = [skin.x_front_axle, skin.x_rear_axle].iter().any(|x| {
            let r = skin.d.tyre_r + 0.062;
            (p[0] - x).powi(2) + (p[2] - skin.d.tyre_r).powi(2) < r * r
        });
        let below_hub = [skin.x_front_axle, skin.x_rear_axle]
            .iter()
            .any(|x| (p[0] - x).abs() < skin.d.tyre_r + 0.065 && p[2] < skin.d.tyre_r);
        let bed = body.panel("load-bed").is_some() && p[0] < skin.rear_foot.0 && p[2] > skin.d.h_deck - 0.03;
        if p[2] < low || arch || below_hub || bed || skin.field(p).v.abs() > 1e-4 {
            return;
        }
        let d = 2.0 * near.distance(p);
        if d > worst.0 {
            worst = (d, p);
        }
    };
    let n = |length: f64| (length / step) as i32;
    for i in 0..n(skin.d.length) {
        let x = skin.x_rear + f64::from(i) * step;
        for k in 0..n(skin.d.height) {
            let z = f64::from(k) * step;
            if skin.field([x, 0.0, z]).v < 0.0 {
                look(skin.side(x, z));
            }
        }
        for k in 0..n(skin.half) {
            let y = f64::from(k) * step;
            if skin.field([x, y, 0.5]).v < 0.0 {
                look(skin.top(x, y, 0.5));
            }
        }
    }
    for k in 0..n(skin.d.height) {
        for l in 0..n(skin.half) {
            let (y, z) = (f64::from(l) * step, f64::from(k) * step);
            for (x, sign) in [(skin.x_front_axle, 1.0), (skin.x_rear_axle, -1.0)] {
                if skin.field([x, y, z]).v < 0.0 {
                    look(skin.cast([x, y, z], [sign, 0.0, 0.0], 2.0, 0.6));
                }
            }
        }
    }
    worst
}

#[test]
fn no_gap_between_neighbours_is_wider_than_fifteen_millimetres() {
    let mut bad = Vec::new();
    for form in cars() {
        let (gap, at) = widest_gap(form, 0.02);
        println!("{form:?}: {:.1} mm at {at:.2?}", gap * 1000.0);
        if gap > 0.015 {
            bad.push(format!("{form:?}: {:.1} mm at {at:.2?}", gap * 1000.0));
        }
    }
    assert!(bad.is_empty(), "{bad:#?}");
}

/// From general knowledge: a middle-size car shows 9 to 14 square metres of paint, a large panel van up to 25.
#[test]
fn painted_areas_are_those_of_cars() {
    for form in cars() {
        let sum: u64 =
            geometry(form).panels.iter().filter(|p| p.class == Class::Paint).map(|p| p.area_mm2()).sum();
        let (low, high) = if form == Form::Van { (18.0, 26.0) } else { (8.5, 15.0) };
        let area = sum as f64 / 1e6;
        assert!((low..high).contains(&area), "{form:?} {area}");
    }
}

#[test]
fn places_strokes_and_heights_agree() {
    let body = geometry(Form::Hatch5);
    let p = body.point("front-left-door", 500_000, 500_000).unwrap();
    assert!(p.y_mm > 700 && (300..900).contains(&p.z_mm), "{p:?}");
    assert_eq!(body.height_mm("front-left-door", 500_000, 500_000), Some(p.z_mm));
    let long = body.stroke_length_um("front-left-door", (0, 500_000), (1_000_000, 500_000)).unwrap();
    let straight =
        body.distance_mm(("front-left-door", 0, 500_000), ("front-left-door", 1_000_000, 500_000)).unwrap();
    assert!(long >= straight * 1000 - 1000 && long < straight * 1100, "{long} {straight}");
    assert!(body.point("front-left-dor", 0, 0).is_none());
    let wide =
        body.distance_mm(("left-mirror", 500_000, 500_000), ("right-mirror", 500_000, 500_000)).unwrap();
    assert!((1700..2300).contains(&wide), "{wide}");
}
