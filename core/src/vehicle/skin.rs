//! The skin of a car: one smooth field, less than nothing inside, nothing on the skin. Pure.
//!
//! The body is a rounded union of a *tub* (to the waistline) and a *house* (glass and roof), each the rounded
//! maximum of a few curved half-spaces: side, top, nose, tail, floor; roof, screens, side glass. Its slope is the
//! normal: smooth everywhere and always outward. Constructive solids by rounded maxima: A. Ricci, "A constructive
//! geometry for computer graphics", The Computer Journal 16 (1973). Polynomials and square roots only.

use super::curve::{Line, Spline};
use super::dual::{Dual, V3, add, dot, norm, scale, sub, unit};
use super::measure::Dims;

/// How wide the edges are rounded, metres.
const SHOULDER: f64 = 0.10;
const NOSE_EDGE: f64 = 0.13;
const FLOOR: f64 = 0.05;
const ROOF_EDGE: f64 = 0.12;
const SCREEN_EDGE: f64 = 0.09;
const WAIST: f64 = 0.03;

/// How far the arch stands off the tyre.
pub(super) const ARCH_GAP: f64 = 0.045;

pub(super) struct Skin {
    pub d: Dims,
    /// Half the width.
    pub half: f64,
    pub x_front_axle: f64,
    pub x_rear_axle: f64,
    pub x_front: f64,
    pub x_rear: f64,
    x_mid: f64,
    /// Foot and head of the windscreen and of the rear screen on the middle line: (x, z).
    pub screen_foot: (f64, f64),
    pub screen_head: (f64, f64),
    pub rear_foot: (f64, f64),
    pub rear_head: (f64, f64),
    /// Slope of the side glass.
    lean: f64,
    lean_cos: f64,
    waist: Spline,
    roof: Spline,
    swage: Spline,
    /// Cross crown of the tub's top along the car.
    crown: Spline,
    /// How far front and rear arches lift the side: never beyond the overall width.
    flares: [f64; 2],
    tail: TailShape,
}

/// How square the tail is.
#[derive(Debug, Clone, Copy)]
pub(super) struct TailShape {
    /// How wide its upright corners are rounded, metres.
    pub corner: f64,
    /// How far it leans forward from the bumper to the top of the lamps.
    pub lean: f64,
    /// An open bed: its edges are level.
    pub level: bool,
}

impl Skin {
    pub fn new(d: Dims, tail: TailShape) -> Self {
        let half = d.width / 2.0;
        let (xfa, xra) = (d.wheelbase / 2.0, -d.wheelbase / 2.0);
        let x_front = xfa + d.front_oh;
        let x_rear = x_front - d.length;
        let xc = xfa - d.x_cowl;
        let screen_head = (xfa - d.x_wtop, d.height - d.drop_f);
        let rear_head = (xra + d.x_rtop, d.height - d.drop_r);
        let waist = Spline::through(&[
            (x_rear, d.h_deck - 0.02),
            (x_rear + 0.25, d.h_deck),
            (xra.max(x_rear + 0.40), d.h_waist_r),
            (xc - 0.55, d.h_waist_f),
            (xc + 0.10, d.h_bonnet - d.crown_b - 0.005),
            (x_front - 0.45, d.h_nose + 0.45 * (d.h_bonnet - d.crown_b - d.h_nose)),
            (x_front - 0.02, d.h_nose - 0.05),
        ]);
        let peak = screen_head.0 - 0.38 * (screen_head.0 - rear_head.0);
        let roof = Spline::through(&[rear_head, (peak, d.height), screen_head]);
        let belly = d.h_waist_f - d.clear;
        let swage = Spline::through(&[
            (x_rear, d.clear + 0.84 * (d.h_deck - d.clear)),
            (0.0, d.clear + 0.72 * belly),
            (x_front, d.clear + 0.66 * belly),
        ]);
        let bed = if tail.level { 0.012 } else { d.crown_b };
        let cab = xra + d.x_rbase;
        let crown = Spline::through(&[
            (x_rear, bed),
            ((cab - 0.05).max(x_rear + 0.1), bed),
            ((cab + 0.35).max(x_rear + 0.2), d.crown_b),
            (x_front, d.crown_b),
        ]);
        let lean = libm::tan(d.tumble.to_radians());
        let mut skin = Skin {
            flares: [0.0; 2],
            half,
            x_front_axle: xfa,
            x_rear_axle: xra,
            x_front,
            x_rear,
            x_mid: (x_front + x_rear) / 2.0 - 0.1,
            screen_foot: (xc, d.h_bonnet),
            screen_head,
            rear_foot: (xra + d.x_rbase, d.h_deck + 0.03),
            rear_head,
            lean,
            lean_cos: 1.0 / (1.0 + lean * lean).sqrt(),
            waist,
            roof,
            swage,
            crown,
            tail,
            d,
        };
        skin.settle();
        skin
    }

    /// Keeps flares within the overall width, and the roof's top at the overall height although its rounded edges lower
    /// a short one.
    fn settle(&mut self) {
        let radius = self.d.tyre_r + ARCH_GAP;
        let room = |skin: &Skin, axle: f64| {
            let mut widest: f64 = 0.0;
            for out in [0.0, 0.02, 0.05] {
                for turn in [-65.0, -45.0, -30.0, -15.0, 0.0, 15.0, 30.0, 45.0, 65.0f64] {
                    let (a, r) = (turn.to_radians(), radius + out);
                    let z = skin.d.tyre_r + r * libm::cos(a);
                    widest = widest.max(skin.side(axle + r * libm::sin(a), z)[1]);
                }
            }
            (skin.half - widest).max(0.0)
        };
        let rooms = [self.x_front_axle, self.x_rear_axle].map(|axle| room(self, axle));
        self.flares = rooms.map(|r| self.d.flare.min(r));
        for _ in 0..3 {
            let (from, to) = (self.rear_head.0, self.screen_head.0);
            let top = (0..=12)
                .map(|i| self.top(from + (to - from) * f64::from(i) / 12.0, 0.0, 0.5)[2])
                .fold(0.0, f64::max);
            let lift = self.d.height - top;
            if lift < 0.0004 {
                break;
            }
            self.roof.raise(lift);
        }
    }

    /// Height of the tub's edge: bonnet side, waistline, boot side.
    pub fn waist(&self, x: f64) -> f64 {
        self.waist.at(x).0
    }
    /// Half the width in plan, and its slope along x.
    fn plan(&self, x: f64) -> (f64, f64) {
        let side = |from: f64, to: f64, taper: f64| {
            let t = ((x - from) / (to - from)).clamp(0.0, 1.1);
            let root = t.sqrt();
            (taper * t * t * root, taper * 2.5 * t * root / (to - from))
        };
        let (front, front_slope) = side(self.x_mid, self.x_front, self.d.nose_taper);
        let (rear, rear_slope) = side(self.x_mid, self.x_rear, self.d.tail_taper);
        (self.half * (1.0 - front - rear), -self.half * (front_slope + rear_slope))
    }
    /// Half the width of the house at a place.
    pub fn house_half(&self, x: f64, z: f64) -> f64 {
        let h = z - self.waist(x);
        self.plan(x).0 - self.d.shoulder - self.lean * h - 0.05 * h * h
    }

    /// Signed distance to a swept, slightly bulged screen between foot and head; `sign` 1 front, -1 rear.
    fn screen(&self, p: [Dual; 3], foot: (f64, f64), head: (f64, f64), sweep: f64, sign: f64) -> Dual {
        let [x, y, z] = p;
        let (dx, dz) = (head.0 - foot.0, head.1 - foot.1);
        let length = (dx * dx + dz * dz).sqrt();
        let (x, z) = (x + -foot.0, z + -foot.1);
        let t = ((x * dx + z * dz) * (1.0 / (length * length))).clamp(0.0, 1.0);
        let swept = x + (y * (1.0 / self.half)).squared() * (sign * sweep);
        (swept * dz - z * dx) * (sign / length) - t * (-t + 1.0) * 0.10
    }

    /// How far an arch lifts the side: a smooth ring round the wheel.
    fn flare(&self, x: Dual, z: Dual) -> Dual {
        let mut out = Dual::constant(0.0);
        let r0 = self.d.tyre_r + ARCH_GAP;
        for (axle, lift) in [self.x_front_axle, self.x_rear_axle].into_iter().zip(self.flares) {
            let (dx, dz) = (x + -axle, z + -self.d.tyre_r);
            if dx.v.abs() < r0 + 0.13 && dz.v < r0 + 0.13 {
                let t = ((dx.squared() + dz.squared()).sqrt() + -(r0 + 0.01)) * (1.0 / 0.11);
                if t.v.abs() < 1.0 {
                    let s = -t.squared() + 1.0;
                    out = out + s * s * s * lift;
                }
            }
        }
        out
    }

    /// The field at a point.
    pub fn field(&self, point: V3) -> Dual {
        let d = &self.d;
        let x = Dual { v: point[0], g: [1.0, 0.0, 0.0] };
        let sign = if point[1] < 0.0 { -1.0 } else { 1.0 };
        let y = Dual { v: point[1].abs(), g: [0.0, sign, 0.0] };
        let z = Dual { v: point[2], g: [0.0, 0.0, 1.0] };
        let plan = Dual::of_x(self.plan(point[0]));
        let waist = Dual::of_x(self.waist.at(point[0]));
        let over_waist = z - waist;

        // The side is widest at the swage line, leans in above it and draws in to the sill below it.
        let from_swage = z - Dual::of_x(self.swage.at(point[0]));
        let ridge = (from_swage.squared() + 0.012 * 0.012).sqrt() + -0.012;
        let low = (-from_swage + -0.06).clamp(0.0, 2.0);
        let depth = (d.h_waist_f - d.clear) * 0.66;
        let tuck = (low * (1.0 / depth)).squared() * (d.tuck - 0.02).max(0.005);
        let groove = ((z + -(d.clear + 0.24)) * (1.0 / 0.16)).clamp(-1.0, 1.0);
        let groove = -groove.squared() + 1.0;
        let groove = groove * groove * groove * 0.007;
        let side = y - (plan - ridge * 0.06 - tuck - groove + self.flare(x, z));

        let across = y * (1.0 / self.half);
        let top = over_waist
            - (-(y * (1.0 / self.plan(point[0]).0)).squared() + 1.0) * Dual::of_x(self.crown.at(point[0]));
        let round = across.pow_2_5();
        let slant = |bumper: f64, up: f64, down: f64, over: f64| {
            let h = z + -(bumper - 0.06);
            if h.v > 0.0 {
                (h * (1.0 / over)).squared() * up
            } else {
                (h * (1.0 / (bumper - 0.06 - d.clear))).squared() * down
            }
        };
        let nose_over = (d.h_nose - d.h_bump_f + 0.06).max(0.1);
        let front =
            x + -self.x_front + round * d.nose_round + slant(d.h_bump_f, d.nose_lean, 0.07, nose_over);
        let rear = -x
            + self.x_rear
            + round * d.tail_round
            + slant(d.h_bump_r, self.tail.lean, 0.06, (d.h_lamp_r - d.h_bump_r + 0.06).max(0.15));
        let tub = side.round_max(top, SHOULDER);
        let tub = tub.round_max(front, NOSE_EDGE).round_max(rear, self.tail.corner);
        let tub = tub.round_max(-z + d.clear, FLOOR);

        let p = [x, y, z];
        let crown = (y * (1.0 / (0.75 * self.half))).squared() * d.crown_r;
        let roof = z - Dual::of_x(self.roof.at(point[0])) + crown;
        let front_glass = self.screen(p, self.screen_foot, self.screen_head, d.sweep_f, 1.0);
        let rear_glass = self.screen(p, self.rear_foot, self.rear_head, d.sweep_r, -1.0);
        let house_half = plan + -d.shoulder - over_waist * self.lean - over_waist.squared() * 0.05;
        let house = ((y - house_half) * self.lean_cos).round_max(roof, ROOF_EDGE);
        let house = house.round_max(front_glass, SCREEN_EDGE).round_max(rear_glass, SCREEN_EDGE);
        let house = house.round_max(-over_waist + -0.05, WAIST);
        -(-tub).round_max(-house, WAIST)
    }

    /// Outward unit normal at a point of the skin.
    pub fn normal(&self, p: V3) -> V3 {
        unit(self.field(p).g)
    }
    /// The point pulled onto the skin by Newton steps along the slope.
    pub fn pull(&self, p: V3) -> V3 {
        self.pull_with_normal(p).0
    }
    /// The same, with the normal there, which costs nothing more.
    pub fn pull_with_normal(&self, mut p: V3) -> (V3, V3) {
        let mut f = self.field(p);
        for _ in 0..12 {
            if f.v.abs() < 1e-6 {
                break;
            }
            let step = f.v / dot(f.g, f.g).max(0.05);
            p = sub(p, scale(f.g, step.clamp(-0.08, 0.08)));
            f = self.field(p);
        }
        if f.v.abs() > 1e-4 {
            // Between two faces that nearly meet, Newton steps can go to and fro for ever: take the ray from within.
            let heart = [
                p[0].clamp(self.x_rear + 0.45, self.x_front - 0.45),
                0.0,
                0.5 * (self.d.clear + self.d.h_waist_f),
            ];
            let away = sub(p, heart);
            let far = norm(away);
            p = self.cast(heart, scale(away, 1.0 / far.max(1e-6)), 1.5 * far, far);
            f = self.field(p);
        }
        (p, unit(f.g))
    }
    /// First skin point from an inside point along a unit direction, within `far` metres: Newton kept between bounds.
    pub fn cast(&self, from: V3, along: V3, far: f64, guess: f64) -> V3 {
        let (mut inside, mut outside) = (0.0, far);
        let mut t = guess.clamp(0.0, far);
        for _ in 0..40 {
            let f = self.field(add(from, scale(along, t)));
            if f.v.abs() < 1e-6 || outside - inside < 1e-7 {
                break;
            }
            if f.v < 0.0 {
                inside = t;
            } else {
                outside = t;
            }
            let next = t - f.v / dot(f.g, along).max(1e-3);
            t = if next > inside && next < outside { next } else { (inside + outside) / 2.0 };
        }
        add(from, scale(along, t))
    }
    /// The left skin at a place of the side view.
    pub fn side(&self, x: f64, z: f64) -> V3 {
        let guess = self.plan(x).0 - if z > self.waist(x) { self.d.shoulder } else { 0.03 };
        self.cast([x, 0.0, z], [0.0, 1.0, 0.0], 1.6, guess)
    }
    /// The upper skin at a place of the plan, starting from height `z0` inside.
    pub fn top(&self, x: f64, y: f64, z0: f64) -> V3 {
        self.cast([x, y, z0], [0.0, 0.0, 1.0], 2.4 - z0, self.waist(x) - z0)
    }
    /// Straight between corners, pulled onto the skin.
    pub fn chord(&self, corners: &[V3]) -> Line {
        Line(Line::straight(corners, 20).0.into_iter().map(|p| self.pull(p)).collect())
    }
    /// Straight in the side view, on the left skin.
    pub fn side_line(&self, corners: &[(f64, f64)]) -> Line {
        let flat: Vec<V3> = corners.iter().map(|c| [c.0, 0.0, c.1]).collect();
        Line(Line::straight(&flat, 20).0.into_iter().map(|p| self.side(p[0], p[2])).collect())
    }
    /// Along the waistline, just above it.
    pub fn belt(&self, from: f64, to: f64) -> Line {
        let n = 24;
        let at = |i: i32| from + (to - from) * f64::from(i) / f64::from(n);
        Line((0..=n).map(|i| self.belt_point(at(i))).collect())
    }
    pub fn belt_point(&self, x: f64) -> V3 {
        self.side(x, self.waist(x) + 0.012)
    }
}
