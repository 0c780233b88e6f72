//! The quantised surface of a panel: a grid of points, the arch that trims it, and its patches. Pure.
//!
//! Everything that leaves the generator is whole numbers: tenths of a millimetre, millionths of a unit normal, square
//! millimetres, parts per million of (u, v). Every later answer is computed from these, never from the generator.

use super::dual::{V3, add, cross, dot, mirror, norm, scale, sub, unit};
use super::skin::Skin;

/// Columns of the table that says where an arch cuts a panel from below.
const COLUMNS: usize = 240;
/// Parts per million.
pub(super) const PPM: f64 = 1_000_000.0;

/// How (u, v) lies on a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// u from rear to front, v up.
    Side,
    /// u from rear to front, v from right to left.
    Top,
    /// Middle parts: u from right to left, v up. Paired parts: u from the middle outwards.
    End,
    /// u rearwards round the wheel, starting at the ground; v from the hub outwards. On a motorcycle, v from right to
    /// left over the tread.
    Wheel,
}

impl Family {
    /// On a middle part v, not u, crosses the middle line.
    fn across(self) -> bool {
        matches!(self, Family::Top | Family::Wheel)
    }
}

/// A small piece of a panel, flat enough for light to treat it as one place with one direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patch {
    /// Middle, tenths of a millimetre: x forward, y left, z up from the ground below the middle of the wheelbase.
    pub centre_dmm: [i32; 3],
    /// Outward unit normal, millionths.
    pub normal_ppm: [i32; 3],
    /// Area, square millimetres.
    pub area_mm2: u32,
    /// Place along the panel, 0 to 1 000 000.
    pub u_ppm: u32,
    /// Place across the panel, 0 to 1 000 000.
    pub v_ppm: u32,
}

/// A grid of points over (u, v) and the lowest v that an arch leaves of each column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Surface {
    pub nu: usize,
    pub nv: usize,
    /// Tenths of a millimetre, all v of u = 0 first.
    pub points: Vec<[i32; 3]>,
    /// Lowest v per column in parts per million; empty where nothing is cut.
    pub floor: Vec<u32>,
}

/// A panel on its way: the float grid and how to finish it.
pub(super) struct Grid {
    pub nu: usize,
    pub nv: usize,
    pub points: Vec<V3>,
}

/// A circle in the side view that cuts a panel from below: x, z, radius.
pub(super) type Arch = (f64, f64, f64);

/// From where a separate part is seen to be outside.
#[derive(Debug, Clone, Copy)]
pub(super) enum Outward {
    /// On the skin: the field's slope.
    Skin,
    /// Away from a point within.
    From(V3),
    /// Towards a point, for hollow parts.
    Towards(V3),
    /// The way a direction points.
    Along(V3),
    /// As the grid turns: along u crossed with along v.
    Grid,
    /// The other way than the grid turns.
    AgainstGrid,
}

pub(super) fn quantise(p: V3) -> [i32; 3] {
    p.map(|c| (c * 10_000.0).round() as i32)
}
fn metres(p: [i32; 3]) -> V3 {
    p.map(|c| f64::from(c) / 10_000.0)
}

impl Grid {
    fn index(&self, i: usize, j: usize) -> usize {
        i * (self.nv + 1) + j
    }
    /// Makes a middle part exactly its own mirror image.
    pub fn symmetrise(&mut self, family: Family) {
        let old = self.points.clone();
        for i in 0..=self.nu {
            for j in 0..=self.nv {
                let (a, b) = if family.across() { (i, self.nv - j) } else { (self.nu - i, j) };
                let there = mirror(old[self.index(a, b)]);
                let at = self.index(i, j);
                self.points[at] = scale(add(old[at], there), 0.5);
            }
        }
    }
    pub fn surface(&self, arch: Option<Arch>) -> Surface {
        let points = self.points.iter().map(|p| quantise(*p)).collect();
        let mut out = Surface { nu: self.nu, nv: self.nv, points, floor: Vec::new() };
        if let Some((x, z, r)) = arch {
            let inside = |u: f64, v: f64| {
                let p = out.at(u, v);
                (p[0] - x) * (p[0] - x) + (p[2] - z) * (p[2] - z) < r * r
            };
            out.floor = (0..=COLUMNS).map(|i| lowest(&inside, i as f64 / COLUMNS as f64)).collect();
        }
        out
    }
}

/// The v above which a column is clear of an arch, in parts per million.
fn lowest(inside: &dyn Fn(f64, f64) -> bool, u: f64) -> u32 {
    let steps = 60;
    let Some(last) = (0..steps).rev().find(|j| inside(u, f64::from(*j) / f64::from(steps))) else { return 0 };
    let (mut low, mut high) = (f64::from(last) / f64::from(steps), f64::from(last + 1) / f64::from(steps));
    for _ in 0..12 {
        let mid = (low + high) / 2.0;
        if inside(u, mid) {
            low = mid;
        } else {
            high = mid;
        }
    }
    (high.min(0.99) * PPM).round() as u32
}

impl Surface {
    fn corner(&self, i: usize, j: usize) -> V3 {
        self.points.get(i * (self.nv + 1) + j).map_or([0.0; 3], |p| metres(*p))
    }
    /// The point at (u, v), each from 0 to 1, metres.
    pub fn at(&self, u: f64, v: f64) -> V3 {
        let (a, b) = (u.clamp(0.0, 1.0) * self.nu as f64, v.clamp(0.0, 1.0) * self.nv as f64);
        let (i, j) = ((a as usize).min(self.nu - 1), (b as usize).min(self.nv - 1));
        let (f, g) = (a - i as f64, b - j as f64);
        let low = add(scale(self.corner(i, j), 1.0 - f), scale(self.corner(i + 1, j), f));
        let high = add(scale(self.corner(i, j + 1), 1.0 - f), scale(self.corner(i + 1, j + 1), f));
        add(scale(low, 1.0 - g), scale(high, g))
    }
    /// Lowest v of the column at u.
    pub fn floor(&self, u: f64) -> f64 {
        Surface::floor_of(&self.floor, u)
    }
    /// The same from the table alone.
    pub fn floor_of(table: &[u32], u: f64) -> f64 {
        if table.is_empty() {
            return 0.0;
        }
        let a = u.clamp(0.0, 1.0) * COLUMNS as f64;
        let i = (a as usize).min(COLUMNS - 1);
        let value = |k: usize| f64::from(table.get(k).copied().unwrap_or(0)) / PPM;
        value(i) + (value(i + 1) - value(i)) * (a - i as f64)
    }
    /// Cross product of the two directions of the grid: a normal of either sign, not of unit length.
    pub fn tilt(&self, u: f64, v: f64) -> V3 {
        let e = 0.02;
        let along = sub(self.at((u + e).min(1.0), v), self.at((u - e).max(0.0), v));
        let across = sub(self.at(u, (v + e).min(1.0)), self.at(u, (v - e).max(0.0)));
        cross(along, across)
    }
    /// Mean lengths along u and along v, metres.
    pub fn extent(&self) -> (f64, f64) {
        let (mut along, mut across) = (0.0, 0.0);
        for i in 0..=self.nu {
            for j in 0..=self.nv {
                if i < self.nu {
                    along += norm(sub(self.corner(i + 1, j), self.corner(i, j)));
                }
                if j < self.nv {
                    across += norm(sub(self.corner(i, j + 1), self.corner(i, j)));
                }
            }
        }
        (along / (self.nv + 1) as f64, across / (self.nu + 1) as f64)
    }
    pub fn mirrored(&self) -> Surface {
        let points = self.points.iter().map(|p| [p[0], -p[1], p[2]]).collect();
        Surface { points, floor: self.floor.clone(), ..*self }
    }

    /// How many patches along u and v: about 105 mm square, 20 to 80 of them.
    fn division(&self) -> (usize, usize) {
        let (along, across) = self.extent();
        let count = (along * across / 0.011).clamp(24.0, 74.0);
        let least = 3.0;
        let nu = (count * along / across.max(1e-6)).sqrt().round().clamp(least, (count / least).floor());
        let nv = (count / nu).round().clamp(least, (80.0 / nu).floor());
        let (mut nu, nv) = (nu as usize, nv as usize);
        while nu * nv < 20 {
            nu += 1;
        }
        (nu, nv)
    }

    /// Area of a piece of the surface between columns and trimmed rows, square metres: triangles of a fine raster, so
    /// that a corner which bends within the piece counts with its true length.
    fn area(&self, u: (f64, f64), w: (f64, f64)) -> f64 {
        const FINE: usize = 6;
        let point = |i: usize, j: usize| {
            let a = u.0 + (u.1 - u.0) * i as f64 / FINE as f64;
            let b = w.0 + (w.1 - w.0) * j as f64 / FINE as f64;
            let floor = self.floor(a);
            self.at(a, floor + (1.0 - floor) * b)
        };
        let mut sum = 0.0;
        let mut row: Vec<V3> = (0..=FINE).map(|j| point(0, j)).collect();
        for i in 0..FINE {
            let next: Vec<V3> = (0..=FINE).map(|j| point(i + 1, j)).collect();
            for j in 0..FINE {
                let (a, b, c, d) = (row[j], next[j], next[j + 1], row[j + 1]);
                sum += norm(cross(sub(b, a), sub(c, a))) + norm(cross(sub(c, a), sub(d, a)));
            }
            row = next;
        }
        sum / 2.0
    }

    /// Cuts the surface into patches.
    pub fn patches(&self, skin: Option<&Skin>, outward: Outward, lift: f64) -> Vec<Patch> {
        let (nu, nv) = self.division();
        let mut out = Vec::with_capacity(nu * nv);
        for i in 0..nu {
            let (u0, u1) = (i as f64 / nu as f64, (i + 1) as f64 / nu as f64);
            let u = (u0 + u1) / 2.0;
            let floor = self.floor(u);
            for j in 0..nv {
                let (w0, w1) = (j as f64 / nv as f64, (j + 1) as f64 / nv as f64);
                let v = floor + (1.0 - floor) * (w0 + w1) / 2.0;
                let mut centre = self.at(u, v);
                let normal = match (outward, skin) {
                    (Outward::Skin, Some(skin)) => {
                        let foot = skin.pull(centre);
                        let normal = skin.normal(foot);
                        centre = add(foot, scale(normal, lift));
                        normal
                    }
                    _ => self.turned(u, v, outward, centre),
                };
                out.push(Patch {
                    centre_dmm: quantise(centre),
                    normal_ppm: normal.map(|c| (c * PPM).round() as i32),
                    area_mm2: (self.area((u0, u1), (w0, w1)) * 1e6).round() as u32,
                    u_ppm: (u * PPM).round() as u32,
                    v_ppm: (v * PPM).round() as u32,
                });
            }
        }
        out
    }
    fn turned(&self, u: f64, v: f64, outward: Outward, centre: V3) -> V3 {
        let n = unit(self.tilt(u, v));
        let towards = match outward {
            Outward::Skin => [0.0, 0.0, 1.0],
            Outward::From(p) => sub(centre, p),
            Outward::Towards(p) => sub(p, centre),
            Outward::Along(d) => d,
            Outward::Grid => n,
            Outward::AgainstGrid => scale(n, -1.0),
        };
        if dot(n, towards) < 0.0 { scale(n, -1.0) } else { n }
    }
    /// Makes the patches of a middle part exactly each other's mirror images.
    pub fn pair(&self, family: Family, patches: &mut [Patch]) {
        let (nu, nv) = self.division();
        if patches.len() != nu * nv {
            return;
        }
        for i in 0..nu {
            for j in 0..nv {
                let (a, b) = if family.across() { (i, nv - 1 - j) } else { (nu - 1 - i, j) };
                let (here, there) = (i * nv + j, a * nv + b);
                if here > there {
                    let p = patches[here];
                    let (u_ppm, v_ppm) = (patches[there].u_ppm, patches[there].v_ppm);
                    patches[there] = Patch { u_ppm, v_ppm, ..reflected(p) };
                } else if here == there {
                    patches[here].centre_dmm[1] = 0;
                    patches[here].normal_ppm[1] = 0;
                }
            }
        }
    }
}

/// A patch of the other side.
pub(super) fn reflected(p: Patch) -> Patch {
    let flip = |a: [i32; 3]| [a[0], -a[1], a[2]];
    Patch { centre_dmm: flip(p.centre_dmm), normal_ppm: flip(p.normal_ppm), ..p }
}
