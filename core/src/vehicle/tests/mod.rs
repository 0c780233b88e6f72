//! What every body form must keep to. Needs nothing but the module.

mod drawing;
mod dump;
mod hostile;
mod shape;
mod snapshot;
mod words;

use super::skin::Skin;
use super::surface::Surface;
use super::{Geometry, Measures, Panel};
use crate::record::words::Form;

/// The skin that a car's panels were cut from.
fn skin_of(measures: &Measures) -> Skin {
    let (held, _) = measures.held();
    super::cut::Cutter::new(measures.form(), super::measure::Dims::from(&held)).skin
}

fn cars() -> impl Iterator<Item = Form> {
    Form::ALL.iter().copied().filter(|f| *f != Form::Motorcycle)
}

/// A small generator of test numbers (xorshift, G. Marsaglia 2003); the same every time.
struct Dice(u64);
impl Dice {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Cells of a panel's grid that lie above its arch and have some size, and those of them that face against the
/// nearest patch: a folded place.
fn folds(panel: &Panel) -> (usize, usize) {
    let mut places = Vec::new();
    folds_at(panel, &mut places)
}
fn fold_places(panel: &Panel) -> Vec<[f64; 3]> {
    let mut places = Vec::new();
    folds_at(panel, &mut places);
    places
}
fn folds_at(panel: &Panel, places: &mut Vec<[f64; 3]>) -> (usize, usize) {
    let s: &Surface = &panel.surface;
    let (mut cells, mut folded) = (0, 0);
    let sign = if turns_with_normal(panel) { 1.0 } else { -1.0 };
    for i in 0..s.nu {
        for j in 0..s.nv {
            let at = |a: usize, b: usize| (a as f64 / s.nu as f64, b as f64 / s.nv as f64);
            let (u, v) = at(2 * i + 1, 2 * j + 1);
            let (u, v) = (u / 2.0, v / 2.0);
            if v < s.floor(u) + 0.5 / s.nv as f64 {
                continue;
            }
            let corner = |a: usize, b: usize| {
                let (u, v) = at(a, b);
                s.at(u, v)
            };
            let (p, q, r, t) = (corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1));
            let n = super::dual::cross(super::dual::sub(r, p), super::dual::sub(t, q));
            if super::dual::norm(n) < 2e-6 {
                continue;
            }
            let near = panel.patches.iter().min_by_key(|k| {
                (f64::from(k.u_ppm) - u * 1e6).powi(2) as i64 + (f64::from(k.v_ppm) - v * 1e6).powi(2) as i64
            });
            let Some(near) = near else { continue };
            let n = super::dual::unit(n);
            let facing: f64 = (0..3).map(|a| n[a] * f64::from(near.normal_ppm[a]) / 1e6).sum();
            cells += 1;
            // All cells of a part turn the same way; which, is the part's own.
            folded += usize::from(facing * sign < -0.4);
            if facing * sign < -0.4 && places.len() < 5 {
                places.push([u, v, s.floor(u)]);
            }
        }
    }
    (cells, folded)
}

/// Whether u crossed with v points outwards on this part.
fn turns_with_normal(panel: &Panel) -> bool {
    let mut sum = 0i64;
    for p in &panel.patches {
        let t = panel.surface.tilt(f64::from(p.u_ppm) / 1e6, f64::from(p.v_ppm) / 1e6);
        let facing: f64 = (0..3).map(|a| t[a] * f64::from(p.normal_ppm[a])).sum();
        sum += if facing > 0.0 { 1 } else { -1 };
    }
    sum > 0
}

/// The parts whose extent is the vehicle's: without mirrors, bars, aerial and what is stuck on.
fn is_body(p: &Panel) -> bool {
    p.layer < 2 && !matches!(p.id, "aerial")
}

fn extents(body: &Geometry) -> [i32; 3] {
    let (low, high) = body.bounds_dmm(&is_body);
    [high[0] - low[0], high[1] - low[1], high[2]]
}
