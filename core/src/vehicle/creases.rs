//! Lines that help to recognise a body and border nothing: seams of a soft top, ribs of a bed, spokes. Pure.

use super::cut::{Cutter, Tail};
use super::dual::V3;
use super::geometry::{Crease, Side};
use super::surface::{Family, quantise};

/// Spokes of a wheel: pairs of lines from the cap to the rim.
const SPOKES: usize = 5;

impl Cutter {
    pub fn creases(&self) -> Vec<Crease> {
        let mut out = Vec::new();
        let s = &self.skin;
        for x in [s.x_front_axle, s.x_rear_axle] {
            let y = s.side(x, s.d.tyre_r + self.n.front_arch.2 + 0.02)[1];
            for line in spokes(x, y, s.d.tyre_r, s.d.rim_r) {
                both(&mut out, Family::Wheel, 1, &line);
            }
        }
        let across = |x: f64, half: f64| -> Vec<V3> {
            (0..=24).map(|i| half * (f64::from(i) / 12.0 - 1.0)).map(|y| s.top(x, y, 0.5)).collect()
        };
        let (x0, x1) = (self.n.roof_rear[0], self.n.roof_front[0]);
        match self.kit.tail {
            Tail::SoftTop => {
                // Bows under the cloth.
                for t in [0.12, 0.38, 0.66, 0.92] {
                    let half = self.n.roof_rear[1] + (self.n.roof_front[1] - self.n.roof_rear[1]) * t - 0.02;
                    middle(&mut out, Family::Top, &across(x0 + (x1 - x0) * t, half));
                    let x = x0 + (x1 - x0) * t;
                    let (low, high) = (self.n.glass_top.reach(0, x), self.n.roof_edge.reach(0, x));
                    let low = self.n.glass_top.part(low, low + 1e-4).first();
                    let high = self.n.roof_edge.part(high, high + 1e-4).first();
                    both(&mut out, Family::Side, 0, &s.chord(&[low, high]).0);
                }
            }
            Tail::Barn => {
                // Ribs of the roof.
                for y in [0.22, 0.46] {
                    let rib: Vec<V3> = (0..=20)
                        .map(|i| x0 + 0.12 + (x1 - x0 - 0.34) * f64::from(i) / 20.0)
                        .map(|x| s.top(x, y, 0.5))
                        .collect();
                    both(&mut out, Family::Top, 0, &rib);
                }
            }
            Tail::Bed => {
                for k in 0..5 {
                    let y = 0.11 * f64::from(k);
                    let (a, b) = (s.x_rear + 0.20, self.n.rear_foot[0] - 0.16);
                    let rib = [[a, y, s.d.h_deck - 0.4], [b, y, s.d.h_deck - 0.4]];
                    both(&mut out, Family::Top, 0, &rib);
                }
            }
            Tail::Hatch | Tail::Boot => {}
        }
        // Bars of the grille.
        for piece in self.middle.iter().filter(|p| p.id == "grille") {
            let g = &piece.grid;
            for j in [g.nv / 3, g.nv - g.nv / 3] {
                let bar: Vec<V3> = (0..=g.nu).map(|i| g.points[i * (g.nv + 1) + j]).collect();
                middle(&mut out, Family::End, &bar);
            }
        }
        out
    }
}

/// Lines of the spokes of a wheel whose outer face is at `y`.
pub(super) fn spokes(x: f64, y: f64, hub: f64, rim: f64) -> Vec<Vec<V3>> {
    let mut out = Vec::new();
    for k in 0..SPOKES * 2 {
        let turn = std::f64::consts::TAU / SPOKES as f64;
        let (a, b) = ((k / 2) as f64 * turn, if k % 2 == 0 { -1.0 } else { 1.0 });
        let at = |r: f64, w: f64| [x - r * libm::sin(a + b * w), y, hub + r * libm::cos(a + b * w)];
        out.push(vec![at(0.065, 0.45), at(rim * 0.92, 0.16)]);
    }
    out
}

fn crease(side: Side, family: Family, layer: u8, points: &[V3], sign: f64) -> Crease {
    let points = points.iter().map(|p| quantise([p[0], sign * p[1], p[2]])).collect();
    Crease { side, family, layer, points }
}
pub(super) fn both(out: &mut Vec<Crease>, family: Family, layer: u8, points: &[V3]) {
    out.push(crease(Side::Left, family, layer, points, 1.0));
    out.push(crease(Side::Right, family, layer, points, -1.0));
}
fn middle(out: &mut Vec<Crease>, family: Family, points: &[V3]) {
    out.push(crease(Side::Middle, family, 0, points, 1.0));
}
