//! A number that carries its own slope along x, y and z. Pure.
//!
//! Forward automatic differentiation (R. E. Wengert, "A simple automatic derivative evaluation program",
//! CACM 1964). The slope of the body's field is the normal of its skin, so it must be exact, not a difference.
//! Only the four operations and the square root are used: equal to the bit on every platform.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a direction: x forward, y left, z up, metres.
pub type V3 = [f64; 3];

pub(crate) fn add(a: V3, b: V3) -> V3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}
pub(crate) fn sub(a: V3, b: V3) -> V3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
pub(crate) fn scale(a: V3, k: f64) -> V3 {
    [a[0] * k, a[1] * k, a[2] * k]
}
pub(crate) fn dot(a: V3, b: V3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
pub(crate) fn cross(a: V3, b: V3) -> V3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
pub(crate) fn norm(a: V3) -> f64 {
    dot(a, a).sqrt()
}
pub(crate) fn unit(a: V3) -> V3 {
    scale(a, 1.0 / norm(a).max(1e-12))
}
pub(crate) fn mix(a: V3, b: V3, t: f64) -> V3 {
    add(scale(a, 1.0 - t), scale(b, t))
}
/// The same point on the other side of the car.
pub(crate) fn mirror(a: V3) -> V3 {
    [a[0], -a[1], a[2]]
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Dual {
    pub v: f64,
    pub g: V3,
}

impl Dual {
    pub fn constant(v: f64) -> Self {
        Dual { v, g: [0.0; 3] }
    }
    /// A function of x alone, given its value and slope.
    pub fn of_x((v, dx): (f64, f64)) -> Self {
        Dual { v, g: [dx, 0.0, 0.0] }
    }
    pub fn squared(self) -> Self {
        self * self
    }
    /// a^2.5 of something not negative: rounder than a square at the corners, flat in the middle.
    pub fn pow_2_5(self) -> Self {
        let a = self.v.max(0.0);
        let root = a.sqrt();
        self.chain(a * a * root, 2.5 * a * root)
    }
    pub fn sqrt(self) -> Self {
        let root = self.v.max(1e-18).sqrt();
        self.chain(root, 0.5 / root)
    }
    pub fn clamp(self, low: f64, high: f64) -> Self {
        if self.v < low {
            Dual::constant(low)
        } else if self.v > high {
            Dual::constant(high)
        } else {
            self
        }
    }
    fn chain(self, v: f64, slope: f64) -> Self {
        Dual { v, g: scale(self.g, slope) }
    }
    /// The greater of two fields, with the edge between them rounded over a width of about `k` metres. Cubic
    /// polynomial blend: slope and curvature are continuous (I. Quilez, "smooth minimum", 2013).
    pub fn round_max(self, other: Self, k: f64) -> Self {
        let (hi, lo) = if self.v >= other.v { (self, other) } else { (other, self) };
        let h = (1.0 - (hi.v - lo.v) / k).max(0.0);
        if h == 0.0 {
            return hi;
        }
        let w = 0.5 * h * h;
        Dual { v: hi.v + h * h * h * k / 6.0, g: add(scale(hi.g, 1.0 - w), scale(lo.g, w)) }
    }
}

impl Add for Dual {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Dual { v: self.v + o.v, g: add(self.g, o.g) }
    }
}
impl Sub for Dual {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Dual { v: self.v - o.v, g: sub(self.g, o.g) }
    }
}
impl Neg for Dual {
    type Output = Self;
    fn neg(self) -> Self {
        Dual { v: -self.v, g: scale(self.g, -1.0) }
    }
}
impl Mul for Dual {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        Dual { v: self.v * o.v, g: add(scale(self.g, o.v), scale(o.g, self.v)) }
    }
}
impl Mul<f64> for Dual {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Dual { v: self.v * k, g: scale(self.g, k) }
    }
}
impl Add<f64> for Dual {
    type Output = Self;
    fn add(self, k: f64) -> Self {
        Dual { v: self.v + k, g: self.g }
    }
}
