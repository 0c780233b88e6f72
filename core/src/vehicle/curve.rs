//! Curves: the monotone cubic of the long lines of a body, and polylines on its skin. Pure.
//!
//! Monotone cubic: F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980), with the harmonic mean slopes of
//! Fritsch and Butland (1984).

use super::dual::{V3, add, mirror, mix, norm, scale, sub};

/// A smooth curve through knots that never overshoots between them.
#[derive(Debug, Clone)]
pub(super) struct Spline {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Spline {
    /// Through the knots, whose x must rise; knots that do not are pushed apart by a millimetre.
    pub fn through(knots: &[(f64, f64)]) -> Self {
        let mut x: Vec<f64> = Vec::with_capacity(knots.len());
        for &(k, _) in knots {
            let low = x.last().map_or(f64::NEG_INFINITY, |p: &f64| p + 1e-3);
            x.push(k.max(low));
        }
        let y: Vec<f64> = knots.iter().map(|k| k.1).collect();
        let n = x.len();
        let h: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
        let d: Vec<f64> = y.windows(2).zip(&h).map(|(w, h)| (w[1] - w[0]) / h).collect();
        let mut slope = vec![0.0; n];
        slope[0] = d[0];
        slope[n - 1] = d[n - 2];
        for i in 1..n - 1 {
            if d[i - 1] * d[i] > 0.0 {
                let (a, b) = (2.0 * h[i] + h[i - 1], h[i] + 2.0 * h[i - 1]);
                slope[i] = (a + b) / (a / d[i - 1] + b / d[i]);
            }
        }
        Spline { x, y, slope }
    }

    /// Moves the whole curve up.
    pub fn raise(&mut self, by: f64) {
        self.y.iter_mut().for_each(|y| *y += by);
    }
    /// Value and slope; straight on beyond the ends.
    pub fn at(&self, x: f64) -> (f64, f64) {
        let n = self.x.len();
        if x <= self.x[0] {
            return (self.y[0] + (x - self.x[0]) * self.slope[0], self.slope[0]);
        }
        if x >= self.x[n - 1] {
            return (self.y[n - 1] + (x - self.x[n - 1]) * self.slope[n - 1], self.slope[n - 1]);
        }
        let mut i = 0;
        while i + 2 < n && x > self.x[i + 1] {
            i += 1;
        }
        let h = self.x[i + 1] - self.x[i];
        let t = (x - self.x[i]) / h;
        let s = 1.0 - t;
        let (y0, y1, m0, m1) = (self.y[i], self.y[i + 1], self.slope[i] * h, self.slope[i + 1] * h);
        let v = (1.0 + 2.0 * t) * s * s * y0
            + t * s * s * m0
            + t * t * (3.0 - 2.0 * t) * y1
            + t * t * (t - 1.0) * m1;
        let dv = 6.0 * t * s * (y1 - y0) + (s * s - 2.0 * t * s) * m0 + (t * t - 2.0 * t * s) * m1;
        (v, dv / h)
    }
}

/// A polyline in space. Neighbouring panels share one, so that no gap opens between them.
#[derive(Debug, Clone)]
pub(super) struct Line(pub Vec<V3>);

impl Line {
    /// Straight from corner to corner, `n` steps each.
    pub fn straight(corners: &[V3], n: usize) -> Self {
        let mut points = vec![corners[0]];
        for w in corners.windows(2) {
            points.extend((1..=n).map(|i| mix(w[0], w[1], i as f64 / n as f64)));
        }
        Line(points)
    }
    pub fn first(&self) -> V3 {
        self.0[0]
    }
    pub fn last(&self) -> V3 {
        self.0[self.0.len() - 1]
    }
    pub fn reversed(&self) -> Self {
        Line(self.0.iter().rev().copied().collect())
    }
    pub fn mirrored(&self) -> Self {
        Line(self.0.iter().map(|p| mirror(*p)).collect())
    }
    /// From the far end of the mirror image, across the middle, to this line's end.
    pub fn both_sides(&self) -> Self {
        self.mirrored().reversed().then(self)
    }
    /// This line, then another that starts where this one ends.
    pub fn then(mut self, next: &Self) -> Self {
        self.0.extend(next.0.iter().skip(1));
        self
    }
    /// Length from the start to each point.
    fn run(&self) -> Vec<f64> {
        let mut d = vec![0.0];
        let mut sum = 0.0;
        for w in self.0.windows(2) {
            sum += norm(sub(w[1], w[0]));
            d.push(sum);
        }
        d
    }
    pub fn length(&self) -> f64 {
        self.0.windows(2).map(|w| norm(sub(w[1], w[0]))).sum()
    }
    /// Length from the start at which a coordinate reaches a value; the coordinate must rise or fall steadily.
    pub fn reach(&self, axis: usize, value: f64) -> f64 {
        let d = self.run();
        let sign = if self.last()[axis] >= self.first()[axis] { 1.0 } else { -1.0 };
        for (i, w) in self.0.windows(2).enumerate() {
            let (a, b, v) = (sign * w[0][axis], sign * w[1][axis], sign * value);
            if v <= b {
                return if v <= a || b <= a { d[i] } else { d[i] + (d[i + 1] - d[i]) * (v - a) / (b - a) };
            }
        }
        d[d.len() - 1]
    }
    /// The piece between two lengths from the start.
    pub fn part(&self, from: f64, to: f64) -> Self {
        let d = self.run();
        let mut points = vec![at_run(&self.0, &d, from)];
        points.extend(
            self.0.iter().zip(&d).filter(|(_, l)| **l > from + 1e-6 && **l < to - 1e-6).map(|(p, _)| *p),
        );
        points.push(at_run(&self.0, &d, to));
        Line(points)
    }
    /// `n + 1` points about evenly along the line; a sharp corner (over 25 degrees) lands on a point, so that none is
    /// cut off.
    pub fn spread(&self, n: usize) -> Vec<V3> {
        let mut points: Vec<V3> = vec![self.first()];
        for p in &self.0[1..] {
            if norm(sub(*p, points[points.len() - 1])) > 1e-7 {
                points.push(*p);
            }
        }
        if points.len() < 2 {
            return vec![self.first(); n + 1];
        }
        let line = Line(points);
        let d = line.run();
        let total = d[d.len() - 1];
        let (mut steps, mut lengths) = (vec![0usize], vec![0.0]);
        for (i, at) in d.iter().enumerate().take(line.0.len() - 1).skip(1) {
            let (a, b) = (sub(line.0[i], line.0[i - 1]), sub(line.0[i + 1], line.0[i]));
            let cos = (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / (norm(a) * norm(b));
            if cos < 0.906 {
                let k = ((at / total * n as f64).round() as usize).clamp(1, n - 1);
                if k > steps[steps.len() - 1] {
                    steps.push(k);
                    lengths.push(*at);
                }
            }
        }
        steps.push(n);
        lengths.push(total);
        let mut out = Vec::with_capacity(n + 1);
        for (s, l) in steps.windows(2).zip(lengths.windows(2)) {
            for k in s[0]..s[1] {
                let t = (k - s[0]) as f64 / (s[1] - s[0]) as f64;
                out.push(at_run(&line.0, &d, l[0] + (l[1] - l[0]) * t));
            }
        }
        out.push(line.last());
        out
    }
}

/// The point at a length along a polyline whose running lengths are `d`.
fn at_run(points: &[V3], d: &[f64], length: f64) -> V3 {
    let i = d.partition_point(|l| *l < length).clamp(1, d.len().max(2) - 1);
    let (Some(a), Some(b)) = (points.get(i - 1), points.get(i)) else { return points[0] };
    let gap = d[i] - d[i - 1];
    let t = if gap > 1e-12 { ((length - d[i - 1]) / gap).clamp(0.0, 1.0) } else { 0.0 };
    mix(*a, *b, t)
}

/// Coons patch between four lines (S. A. Coons, 1967): `low` and `high` run with u, `start` and `end` with v.
/// Returned row by row: all v of u = 0 first.
pub(super) fn coons(low: &Line, high: &Line, start: &Line, end: &Line, nu: usize, nv: usize) -> Vec<V3> {
    let (b, t, l, r) = (low.spread(nu), high.spread(nu), start.spread(nv), end.spread(nv));
    let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
    for i in 0..=nu {
        let u = i as f64 / nu as f64;
        for j in 0..=nv {
            let v = j as f64 / nv as f64;
            let ruled = add(mix(b[i], t[i], v), mix(l[j], r[j], u));
            let corners = mix(mix(b[0], b[nu], u), mix(t[0], t[nu], u), v);
            points.push(add(ruled, scale(corners, -1.0)));
        }
    }
    points
}
