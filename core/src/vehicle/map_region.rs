//! A part, or a piece of one, as one view shows it: its grid and border in units, and the way back from a drawn point
//! to (u, v). Pure.

use super::geometry::{Class, Geometry, Rim, Side};
use super::surface::{Family, Surface};

/// Cells along each side of a region's grid.
const CELLS: usize = 24;

/// One view of the vehicle within a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum View {
    Top,
    Left,
    Right,
    Front,
    Rear,
}

/// A window (u0, u1, v0, v1) of a part as one view shows it.
#[derive(Debug, Clone)]
pub(super) struct Region {
    pub panel: usize,
    pub id: &'static str,
    pub view: View,
    pub window: [f64; 4],
    /// Drawn only for the outline of the whole; a touch never means it.
    pub backdrop: bool,
    /// A backdrop that also draws where it meets others.
    pub lined: bool,
    /// Too small to be touched here: a touch means what it lies on.
    pub tiny: bool,
    pub painted: bool,
    pub family: Family,
    pub side: Side,
    pub rim: Rim,
    pub layer: u8,
    /// `CELLS + 1` squared drawn points, all v of the first u first.
    pub grid: Vec<(f64, f64)>,
    pub border: Vec<(f64, f64)>,
    /// Pieces of the border that are only where a ring is cut open: drawn nowhere.
    pub seams: Vec<std::ops::Range<usize>>,
    pub low: (f64, f64),
    pub high: (f64, f64),
    /// Diameter of the largest circle within, about.
    pub thick: f64,
}

impl Region {
    pub fn new(
        body: &Geometry,
        panel: usize,
        view: View,
        window: [f64; 4],
        to: &dyn Fn([f64; 3]) -> (f64, f64),
    ) -> Region {
        let part = &body.panels[panel];
        let s = &part.surface;
        let [u0, u1, v0, v1] = window;
        let mut grid = Vec::with_capacity((CELLS + 1) * (CELLS + 1));
        let step = |k: usize| k as f64 / CELLS as f64;
        for i in 0..=CELLS {
            for j in 0..=CELLS {
                grid.push(to(s.at(u0 + (u1 - u0) * step(i), v0 + (v1 - v0) * step(j))));
            }
        }
        let (border, seams) = border(s, window, to);
        let (mut low, mut high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
        for p in &border {
            low = (low.0.min(p.0), low.1.min(p.1));
            high = (high.0.max(p.0), high.1.max(p.1));
        }
        let painted = part.class == Class::Paint;
        let mut region = Region {
            panel,
            id: part.id,
            view,
            window,
            backdrop: false,
            lined: false,
            tiny: false,
            painted,
            family: part.family,
            side: part.side,
            rim: part.rim,
            layer: part.layer,
            grid,
            border,
            seams,
            low,
            high,
            thick: 0.0,
        };
        match part.rim {
            Rim::Border => {}
            Rim::Hull => region.border_by_hull(),
            Rim::Flanks => region.border_by_flanks(),
        }
        if painted {
            region.thick = region.thickness();
        }
        region
    }
    /// Moves the whole region down.
    pub fn shift(&mut self, dy: f64) {
        self.grid.iter_mut().chain(&mut self.border).for_each(|p| p.1 += dy);
        self.low.1 += dy;
        self.high.1 += dy;
    }
    /// For what is seen from another side than its (u, v) lie on: whatever stands out furthest is the outline.
    pub fn border_by_hull(&mut self) {
        self.bordered(hull(&self.grid));
    }
    /// For tubes: at each place along u the two points furthest to either side of the way it runs.
    fn border_by_flanks(&mut self) {
        let row = CELLS + 1;
        let middle = |i: usize| {
            let ring = &self.grid[i * row..(i + 1) * row];
            let sum = ring.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
            (sum.0 / row as f64, sum.1 / row as f64)
        };
        let mut one: Vec<(f64, f64)> = Vec::new();
        let mut other: Vec<(f64, f64)> = Vec::new();
        for i in 0..row {
            let (a, b) = (middle(i.saturating_sub(1)), middle((i + 1).min(CELLS)));
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let aside = |p: &(f64, f64)| p.0 * -dy + p.1 * dx;
            let ring = &self.grid[i * row..(i + 1) * row];
            one.extend(ring.iter().min_by(|a, b| aside(a).total_cmp(&aside(b))));
            other.extend(ring.iter().max_by(|a, b| aside(a).total_cmp(&aside(b))));
        }
        other.reverse();
        one.extend(other);
        self.bordered(one);
    }
    fn bordered(&mut self, border: Vec<(f64, f64)>) {
        // Short pieces, so that each can be shown or hidden.
        self.border = Vec::new();
        for (a, b) in border.iter().zip(border.iter().cycle().skip(1)) {
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let n = ((dx * dx + dy * dy).sqrt() / 2.0).ceil().max(1.0) as usize;
            let at = |k: usize| k as f64 / n as f64;
            self.border.extend((0..n).map(|k| (a.0 + dx * at(k), a.1 + dy * at(k))));
        }
        self.seams = Vec::new();
        (self.low, self.high) = ((f64::MAX, f64::MAX), (f64::MIN, f64::MIN));
        for p in &self.border {
            self.low = (self.low.0.min(p.0), self.low.1.min(p.1));
            self.high = (self.high.0.max(p.0), self.high.1.max(p.1));
        }
    }
    fn thickness(&self) -> f64 {
        let mut best: f64 = 0.0;
        for i in (2..CELLS).step_by(2) {
            for j in (2..CELLS).step_by(2) {
                let p = self.grid[i * (CELLS + 1) + j];
                if inside(&self.border, p.0, p.1) {
                    best = best.max(2.0 * distance(&self.border, p.0, p.1));
                }
            }
        }
        best
    }
    /// The smaller of width and height.
    pub fn least(&self) -> f64 {
        (self.high.0 - self.low.0).min(self.high.1 - self.low.1)
    }
    pub fn size(&self) -> f64 {
        (self.high.0 - self.low.0) * (self.high.1 - self.low.1)
    }
    pub fn near(&self, x: f64, y: f64, slop: f64) -> bool {
        x >= self.low.0 - slop && x <= self.high.0 + slop && y >= self.low.1 - slop && y <= self.high.1 + slop
    }
    pub fn distance_to_box(&self, x: f64, y: f64) -> f64 {
        let dx = (self.low.0 - x).max(x - self.high.0).max(0.0);
        let dy = (self.low.1 - y).max(y - self.high.1).max(0.0);
        (dx * dx + dy * dy).sqrt()
    }
    /// The drawn point of a place in the window, each coordinate from 0 to 1.
    pub fn at(&self, a: f64, b: f64) -> (f64, f64) {
        let n = CELLS as f64;
        let (a, b) = (a.clamp(0.0, 1.0) * n, b.clamp(0.0, 1.0) * n);
        let (i, j) = ((a as usize).min(CELLS - 1), (b as usize).min(CELLS - 1));
        let (f, g) = (a - i as f64, b - j as f64);
        let corner = |i: usize, j: usize| self.grid[i * (CELLS + 1) + j];
        let (p, q, r, s) = (corner(i, j), corner(i + 1, j), corner(i, j + 1), corner(i + 1, j + 1));
        let mix = |p: f64, q: f64, r: f64, s: f64| {
            (1.0 - g) * ((1.0 - f) * p + f * q) + g * ((1.0 - f) * r + f * s)
        };
        (mix(p.0, q.0, r.0, s.0), mix(p.1, q.1, r.1, s.1))
    }
    /// The place in the window that is drawn nearest to a point: the nearest grid point, then Gauss-Newton steps.
    pub fn inverse(&self, x: f64, y: f64) -> (f64, f64) {
        let away = |p: &(f64, f64)| (p.0 - x) * (p.0 - x) + (p.1 - y) * (p.1 - y);
        let mut best = (f64::MAX, 0usize);
        for (k, p) in self.grid.iter().enumerate() {
            let d = away(p);
            if d < best.0 {
                best = (d, k);
            }
        }
        let n = CELLS as f64;
        let (mut a, mut b) = ((best.1 / (CELLS + 1)) as f64 / n, (best.1 % (CELLS + 1)) as f64 / n);
        let mut kept = (best.0, a, b);
        let e = 0.5 / n;
        for _ in 0..12 {
            let (ea, eb) = (if a < 0.5 { e } else { -e }, if b < 0.5 { e } else { -e });
            let (p, q, r) = (self.at(a, b), self.at(a + ea, b), self.at(a, b + eb));
            let (pa, pb) = (((q.0 - p.0) / ea, (q.1 - p.1) / ea), ((r.0 - p.0) / eb, (r.1 - p.1) / eb));
            let (dx, dy) = (x - p.0, y - p.1);
            let (m, k, l) = (
                pa.0 * pa.0 + pa.1 * pa.1 + 1e-6,
                pa.0 * pb.0 + pa.1 * pb.1,
                pb.0 * pb.0 + pb.1 * pb.1 + 1e-6,
            );
            let (s, t) = (pa.0 * dx + pa.1 * dy, pb.0 * dx + pb.1 * dy);
            let det = (m * l - k * k).max(1e-12);
            a = (a + ((s * l - t * k) / det).clamp(-0.2, 0.2)).clamp(0.0, 1.0);
            b = (b + ((m * t - k * s) / det).clamp(-0.2, 0.2)).clamp(0.0, 1.0);
            let d = away(&self.at(a, b));
            if d < kept.0 {
                kept = (d, a, b);
            }
            if d < 1e-8 {
                break;
            }
        }
        (kept.1, kept.2)
    }
}

/// The border of a window, trimmed by the arch, in order round it, and which pieces of it are seams of a ring.
fn border(
    s: &Surface,
    window: [f64; 4],
    to: &dyn Fn([f64; 3]) -> (f64, f64),
) -> (Vec<(f64, f64)>, Vec<std::ops::Range<usize>>) {
    const UP: usize = 32;
    let [u0, u1, v0, v1] = window;
    let mut out = Vec::new();
    let mut push = |u: f64, v: f64| out.push(to(s.at(u, v)));
    let ring = u0 == 0.0 && u1 == 1.0 && s.points.get(s.nv) == s.points.last();
    let fine = if s.floor.is_empty() { 96 } else { 160 };
    let mix = |a: f64, b: f64, k: usize, n: usize| a + (b - a) * k as f64 / n as f64;
    let low = |u: f64| s.floor(u).max(v0);
    (0..fine).for_each(|k| push(mix(u0, u1, k, fine), low(mix(u0, u1, k, fine))));
    (0..UP).for_each(|k| push(u1, mix(low(u1), v1, k, UP)));
    (0..fine).for_each(|k| push(mix(u1, u0, k, fine), v1));
    (0..UP).for_each(|k| push(u0, mix(v1, low(u0), k, UP)));
    let seams = if ring { vec![fine..fine + UP, 2 * fine + UP..2 * fine + 2 * UP] } else { Vec::new() };
    (out, seams)
}

/// Convex hull (A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", 1979).
fn hull(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let half = |points: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut chain: Vec<(f64, f64)> = Vec::new();
        for p in points {
            while let [.., a, b] = chain.as_slice() {
                if (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut out = half(&mut sorted.iter().copied());
    out.extend(half(&mut sorted.iter().rev().copied()));
    out
}

/// Whether a point lies inside a closed polygon: crossings of a ray (even-odd).
pub(super) fn inside(polygon: &[(f64, f64)], x: f64, y: f64) -> bool {
    let mut odd = false;
    let Some(mut a) = polygon.last().copied() else { return false };
    for &b in polygon {
        if (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) * (b.0 - a.0) / (b.1 - a.1) {
            odd = !odd;
        }
        a = b;
    }
    odd
}

/// Distance of a point from the border of a closed polygon.
pub(super) fn distance(polygon: &[(f64, f64)], x: f64, y: f64) -> f64 {
    let mut best = f64::MAX;
    let Some(mut a) = polygon.last().copied() else { return best };
    for &b in polygon {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let t = (((x - a.0) * dx + (y - a.1) * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
        let (ex, ey) = (x - a.0 - t * dx, y - a.1 - t * dy);
        best = best.min(ex * ex + ey * ey);
        a = b;
    }
    best.sqrt()
}
