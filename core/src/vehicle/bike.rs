//! A motorcycle: pods, tubes and rings round a tank and two wheels. Pure. Shapes are invented.
//!
//! A pod is lofted along the bike: at each place a superellipse (G. Lamé) of given top, bottom and half width.

use super::creases;
use super::curve::Spline;
use super::cut::{Piece, finish};
use super::dual::{V3, add};
use super::geometry::Class::{Glass, Lamp, Paint, Trim, Tyre, Wheel};
use super::geometry::{Class, Crease, Panel, Rim, Side};
use super::measure::Dims;
use super::parts::{shell, tube};
use super::surface::{Family, Grid, Outward};

/// One station of a pod: x, bottom, top, half width.
type Station = (f64, f64, f64, f64);

/// How square the pods are.
const SQUARE: f64 = 2.5;

pub(super) struct Bike {
    d: Dims,
    left: Vec<Piece>,
    middle: Vec<Piece>,
    front: f64,
    rear: f64,
    tail: f64,
}

/// A pod over degrees from the top (positive to the left), from `turn.0` at v = 0 to `turn.1` at v = 1.
fn pod(stations: &[Station], turn: (f64, f64)) -> Grid {
    let (nu, nv) = (20, 16);
    let last = (stations.len() - 1) as f64;
    let line = |pick: &dyn Fn(&Station) -> f64| {
        Spline::through(
            &stations.iter().enumerate().map(|(k, s)| (k as f64 / last, pick(s))).collect::<Vec<_>>(),
        )
    };
    let (x, low, high, half) = (line(&|s| s.0), line(&|s| s.1), line(&|s| s.2), line(&|s| s.3));
    let bent = |w: f64| if w < 0.0 { -libm::pow(-w, 2.0 / SQUARE) } else { libm::pow(w, 2.0 / SQUARE) };
    let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
    for i in 0..=nu {
        let t = i as f64 / nu as f64;
        let (z0, z1) = (low.at(t).0, high.at(t).0);
        for j in 0..=nv {
            let a = (turn.0 + (turn.1 - turn.0) * j as f64 / nv as f64).to_radians();
            let z = (z0 + z1) / 2.0 + (z1 - z0) / 2.0 * bent(libm::cos(a));
            points.push([x.at(t).0, half.at(t).0 * bent(libm::sin(a)), z]);
        }
    }
    Grid { nu, nv, points }
}

/// A guard over a wheel: degrees from forward over the top to the rear, u from rear to front.
fn guard(hub: V3, radius: f64, turn: (f64, f64), half: f64) -> Grid {
    let (nu, nv) = (20, 8);
    let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
    for i in 0..=nu {
        let a = (turn.1 + (turn.0 - turn.1) * i as f64 / nu as f64).to_radians();
        for j in 0..=nv {
            let w = 2.0 * j as f64 / nv as f64 - 1.0;
            let r = radius - 0.035 * w * w * w * w;
            points.push(add(hub, [r * libm::cos(a), half * w, r * libm::sin(a)]));
        }
    }
    Grid { nu, nv, points }
}

/// A ring round a hub from a profile (radius, y) that runs from right to left.
fn ring(hub: V3, profile: &[(f64, f64)], nv: usize) -> Grid {
    let last = (profile.len() - 1) as f64;
    let line = |pick: &dyn Fn(&(f64, f64)) -> f64| {
        Spline::through(
            &profile.iter().enumerate().map(|(k, p)| (k as f64 / last, pick(p))).collect::<Vec<_>>(),
        )
    };
    let (radius, across) = (line(&|p| p.0), line(&|p| p.1));
    let nu = 48;
    let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
    for i in 0..=nu {
        let a = std::f64::consts::TAU * i as f64 / nu as f64;
        for j in 0..=nv {
            let t = j as f64 / nv as f64;
            let r = radius.at(t).0;
            points.push(add(hub, [-r * libm::sin(a), across.at(t).0, -r * libm::cos(a)]));
        }
    }
    Grid { nu, nv, points }
}

/// Points along a smooth line through knots.
fn bent_line(knots: &[V3], n: usize) -> Vec<V3> {
    let last = (knots.len() - 1) as f64;
    let axis = |k: usize| {
        Spline::through(&knots.iter().enumerate().map(|(i, p)| (i as f64 / last, p[k])).collect::<Vec<_>>())
    };
    let (x, y, z) = (axis(0), axis(1), axis(2));
    (0..=n).map(|i| i as f64 / n as f64).map(|t| [x.at(t).0, y.at(t).0, z.at(t).0]).collect()
}

/// Tubes show their flanks, shells whatever stands out, the rest its border.
fn rim_of(id: &str) -> Rim {
    match id {
        "left-swing-arm" | "left-frame" | "left-footrest" | "exhaust" | "chain" | "left-fork-leg"
        | "handlebar" | "left-bar-grip" => Rim::Flanks,
        "rear-lamp" | "left-rear-indicator" | "left-front-indicator" | "clocks" | "left-mirror" => Rim::Hull,
        _ => Rim::Border,
    }
}

impl Bike {
    pub fn new(d: Dims) -> Self {
        let (front, rear) = (d.wheelbase / 2.0, -d.wheelbase / 2.0);
        let tail = front + d.front_oh - d.length;
        Bike { d, left: Vec::new(), middle: Vec::new(), front, rear, tail }
    }

    fn add(
        &mut self,
        (middle, layer): (bool, u8),
        id: &'static str,
        class: Class,
        family: Family,
        outward: Outward,
        mut grid: Grid,
    ) -> &mut Piece {
        if middle {
            grid.symmetrise(family);
        }
        let rim = rim_of(id);
        let piece = Piece {
            id,
            class,
            family,
            part_of: None,
            optional: false,
            grid,
            arch: None,
            outward,
            lift: 0.0,
            layer,
            rim,
            single: None,
        };
        let list = if middle { &mut self.middle } else { &mut self.left };
        list.push(piece);
        let last = list.len() - 1;
        &mut list[last]
    }

    pub fn build(mut self) -> (Vec<Panel>, Vec<Crease>) {
        self.wheels();
        self.running_gear();
        self.body();
        self.front_end();
        let mut lines = Vec::new();
        for (x, width) in [(self.front, 0.6), (self.rear, 0.85)] {
            let y = 0.35 * width * self.d.tyre_w;
            for line in creases::spokes(x, y, self.d.tyre_r, self.d.rim_r) {
                creases::both(&mut lines, Family::Wheel, 4, &line);
            }
        }
        // What carries the plate.
        let (x, z) = (self.tail, self.d.h_waist_r);
        creases::both(
            &mut lines,
            Family::Side,
            4,
            &[[x + 0.13, 0.03, z - 0.07], [x + 0.052, 0.03, z - 0.20]],
        );
        creases::both(&mut lines, Family::Side, 4, &[[x + 0.20, 0.03, z - 0.06], [x + 0.06, 0.03, z - 0.26]]);
        (finish(None, self.left, self.middle), lines)
    }

    fn wheels(&mut self) {
        let (r, rim) = (self.d.tyre_r, self.d.rim_r);
        for (x, share, tyre, wheel) in
            [(self.front, 0.8, "front-tyre", "front-wheel"), (self.rear, 1.15, "rear-tyre", "rear-wheel")]
        {
            let hub = [x, 0.0, r];
            let w = self.d.tyre_w * share / 2.0;
            let wall = r - rim;
            let half = [
                (rim, 0.72 * w),
                (rim + 0.45 * wall, w),
                (rim + 0.78 * wall, 0.82 * w),
                (r - 0.05 * wall, 0.42 * w),
            ];
            let mut profile: Vec<(f64, f64)> = half.iter().map(|p| (p.0, -p.1)).collect();
            profile.push((r, 0.0));
            profile.extend(half.iter().rev());
            self.add((true, 4), tyre, Tyre, Family::Wheel, Outward::Grid, ring(hub, &profile, 16));
            let face = [
                (0.035, 0.07),
                (0.075, 0.055),
                (0.55 * rim, 0.5 * w),
                (0.93 * rim, 0.73 * w),
                (rim, 0.72 * w),
            ];
            let mut profile: Vec<(f64, f64)> = face.iter().map(|p| (p.0, -p.1)).collect();
            profile.push((rim - 0.002, 0.0));
            profile.extend(face.iter().rev());
            self.add((true, 4), wheel, Wheel, Family::Wheel, Outward::Grid, ring(hub, &profile, 20));
        }
    }

    fn running_gear(&mut self) {
        let (r, low) = (self.d.tyre_r, self.d.clear);
        let seat = self.d.h_deck;
        let engine = [
            (-0.20, low + 0.16, 0.46, 0.10),
            (-0.12, low + 0.09, 0.56, 0.17),
            (0.06, low + 0.07, 0.64, 0.19),
            (0.24, low + 0.10, 0.70, 0.17),
            (0.34, low + 0.20, 0.66, 0.11),
        ];
        self.add((true, 5), "engine", Trim, Family::Top, Outward::Grid, pod(&engine, (-150.0, 150.0)));
        let arm = bent_line(&[[self.rear, 0.115, r], [-0.45, 0.12, r + 0.06], [-0.16, 0.10, r + 0.10]], 12);
        self.add((false, 6), "left-swing-arm", Trim, Family::Side, Outward::Grid, tube(&arm, 0.032));
        let frame = bent_line(
            &[
                [-0.24, 0.12, r + 0.06],
                [-0.16, 0.135, 0.54],
                [0.12, 0.15, 0.72],
                [0.42, 0.05, self.d.h_waist_f - 0.13],
            ],
            16,
        );
        self.add((false, 8), "left-frame", Trim, Family::Side, Outward::Grid, tube(&frame, 0.034));
        let rest = bent_line(&[[-0.20, 0.13, r + 0.05], [-0.20, 0.20, r + 0.05], [-0.20, 0.27, r + 0.05]], 6);
        self.add((false, 12), "left-footrest", Trim, Family::Side, Outward::Grid, tube(&rest, 0.018));
        let pipe = bent_line(
            &[
                [0.30, 0.15, 0.46],
                [0.30, 0.17, low + 0.10],
                [0.0, 0.18, low + 0.04],
                [-0.34, 0.19, r - 0.02],
                [self.rear - 0.10, 0.21, r + 0.16],
            ],
            20,
        );
        self.add((false, 10), "exhaust", Trim, Family::Side, Outward::Grid, tube(&pipe, 0.043))
            .single(Side::Right);
        let chain = bent_line(&[[self.rear, 0.09, r], [-0.18, 0.09, r + 0.05]], 8);
        self.add((false, 7), "chain", Trim, Family::Side, Outward::Grid, tube(&chain, 0.052))
            .single(Side::Left);
        let hugger = guard([self.rear, 0.0, r], r + 0.022, (48.0, 128.0), 0.62 * self.d.tyre_w);
        self.add((true, 9), "rear-mudguard", Paint, Family::Top, Outward::Grid, hugger);
        let seat_line = [
            (self.tail + 0.40, seat + 0.02, seat + 0.105, 0.085),
            (-0.46, seat + 0.00, seat + 0.085, 0.12),
            (-0.38, seat - 0.03, seat + 0.022, 0.135),
            (-0.18, seat - 0.06, seat, 0.13),
            (-0.02, seat - 0.06, seat + 0.03, 0.085),
        ];
        self.add((true, 14), "seat", Trim, Family::Top, Outward::Grid, pod(&seat_line, (-100.0, 100.0)));
    }

    fn body(&mut self) {
        let seat = self.d.h_deck;
        let (tank, tail_z) = (self.d.h_waist_f, self.d.h_waist_r);
        let low = self.d.clear;
        let tank_line = [
            (-0.08, seat - 0.07, seat + 0.025, 0.075),
            (0.04, seat - 0.08, tank - 0.055, 0.135),
            (0.16, seat - 0.08, tank - 0.006, 0.165),
            (0.27, seat - 0.06, tank, 0.165),
            (0.37, seat - 0.02, tank - 0.03, 0.125),
            (0.42, seat + 0.03, tank - 0.08, 0.07),
        ];
        self.add((true, 13), "tank", Paint, Family::Top, Outward::Grid, pod(&tank_line, (-118.0, 118.0)));
        let x = self.tail;
        let tail = [
            (x, tail_z - 0.055, tail_z - 0.012, 0.035),
            (x + 0.06, tail_z - 0.085, tail_z, 0.055),
            (x + 0.34, seat - 0.02, seat + 0.095, 0.105),
            (x + 0.58, seat - 0.09, seat + 0.06, 0.125),
            (x + 0.72, seat - 0.11, seat - 0.01, 0.115),
        ];
        self.add((true, 12), "tail-unit", Paint, Family::Top, Outward::Grid, pod(&tail, (-140.0, 140.0)));
        let cover = [
            (-0.46, seat - 0.16, seat - 0.06, 0.105),
            (-0.32, seat - 0.25, seat - 0.05, 0.135),
            (-0.18, seat - 0.29, seat - 0.06, 0.145),
            (-0.06, seat - 0.22, seat - 0.07, 0.12),
        ];
        let v_up = (152.0, 28.0);
        self.add(
            (false, 13),
            "left-side-cover",
            Paint,
            Family::Side,
            Outward::AgainstGrid,
            pod(&cover, v_up),
        );
        let nose = self.d.h_nose;
        let fairing = [
            (-0.02, 0.56, 0.66, 0.155),
            (0.12, 0.47, 0.74, 0.195),
            (0.30, 0.45, nose - 0.08, 0.215),
            (0.46, 0.56, nose + 0.045, 0.205),
            (0.58, nose - 0.19, nose + 0.075, 0.165),
        ];
        self.add(
            (false, 15),
            "left-side-fairing",
            Paint,
            Family::Side,
            Outward::AgainstGrid,
            pod(&fairing, v_up),
        );
        let belly = [
            (-0.22, low + 0.06, low + 0.17, 0.09),
            (-0.06, low + 0.01, low + 0.22, 0.15),
            (0.16, low, low + 0.25, 0.17),
            (0.32, low + 0.05, low + 0.26, 0.14),
            (0.38, low + 0.13, low + 0.24, 0.08),
        ];
        let under = (-78.0, -282.0);
        self.add((true, 11), "belly-fairing", Paint, Family::Top, Outward::AgainstGrid, pod(&belly, under));

        let lamp = shell(
            [x + 0.03, 0.0, tail_z - 0.048],
            [0.032, 0.055, 0.026],
            (-90.0, -270.0),
            (-80.0, 80.0),
            2.4,
        );
        self.add((true, 17), "rear-lamp", Lamp, Family::End, Outward::AgainstGrid, lamp);
        let blinker =
            shell([x + 0.16, 0.145, tail_z - 0.11], [0.028, 0.045, 0.022], (270.0, 90.0), (-80.0, 80.0), 2.2);
        self.add(
            (false, 17),
            "left-rear-indicator",
            Lamp,
            Family::End,
            Outward::From([x + 0.16, 0.14, tail_z - 0.11]),
            blinker,
        );
        let (n, w, h) = (6, 0.095, 0.07);
        let mut points = Vec::with_capacity((n + 1) * (n + 1));
        for i in 0..=n {
            for j in 0..=n {
                let (p, q) = (i as f64 / n as f64 * 2.0 - 1.0, j as f64 / n as f64 * 2.0 - 1.0);
                points.push([x + 0.05 - 0.25 * h * q, w * p, tail_z - 0.22 + h * q]);
            }
        }
        let plate = Grid { nu: n, nv: n, points };
        self.add((true, 8), "rear-plate", Trim, Family::End, Outward::AgainstGrid, plate);
    }

    fn front_end(&mut self) {
        let (r, nose) = (self.d.tyre_r, self.d.h_nose);
        let (foot, top) = (self.d.h_bonnet, self.d.height);
        let hub = [self.front, 0.0, r];
        let reach = (self.d.front_oh / libm::cos(5f64.to_radians())).max(r + 0.012);
        let mudguard = guard(hub, reach, (5.0, 148.0), 0.52 * self.d.tyre_w);
        self.add((true, 10), "front-mudguard", Paint, Family::Top, Outward::Grid, mudguard);
        let rake = |t: f64| [self.front - 0.285 * t, 0.105, r + (self.d.h_bonnet - 0.03 - r) * t];
        let leg: Vec<V3> = (0..=10).map(|i| rake(f64::from(i) / 10.0)).collect();
        self.add((false, 9), "left-fork-leg", Trim, Family::Side, Outward::Grid, tube(&leg, 0.029));
        let cowl = shell([0.50, 0.0, nose], [0.27, 0.185, 0.135], (-92.0, 92.0), (-58.0, 80.0), 2.3);
        self.add((true, 16), "headlamp-cowl", Paint, Family::End, Outward::Grid, cowl);
        let lamp = shell([0.505, 0.0, nose - 0.012], [0.27, 0.18, 0.13], (-42.0, 42.0), (-34.0, 26.0), 2.3);
        self.add((true, 17), "headlamp", Lamp, Family::End, Outward::Grid, lamp);
        // The screen: a bent sheet from the cowl up and back.
        let (nu, nv) = (16, 12);
        let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
        for i in 0..=nu {
            let a = (-64.0 + 128.0 * i as f64 / nu as f64).to_radians();
            for j in 0..=nv {
                let t = j as f64 / nv as f64;
                let half = 0.18 - 0.035 * t * t;
                let x = 0.665 - 0.27 * t - 0.06 * t * t;
                points.push([
                    x - 0.16 * (1.0 - libm::cos(a)),
                    half * libm::sin(a),
                    foot - 0.015 + (top - foot + 0.015) * t,
                ]);
            }
        }
        let sheet = Grid { nu, nv, points };
        self.add((true, 15), "screen", Glass, Family::End, Outward::Grid, sheet);
        let clocks =
            shell([0.44, 0.0, foot - 0.01], [0.06, 0.10, 0.045], (-90.0, -270.0), (-60.0, 70.0), 2.6);
        self.add((true, 14), "clocks", Trim, Family::End, Outward::AgainstGrid, clocks);
        let z = foot + 0.03;
        let bar: Vec<V3> = (-12..=12)
            .map(|i| f64::from(i) / 12.0)
            .map(|t| [0.385 - 0.06 * t * t, 0.33 * t, z + 0.012 * t * t])
            .collect();
        self.add((true, 16), "handlebar", Trim, Family::End, Outward::Grid, tube(&bar, 0.014));
        let grip = bent_line(&[[0.345, 0.245, z + 0.006], [0.325, 0.35, z + 0.012]], 6);
        self.add((false, 17), "left-bar-grip", Trim, Family::End, Outward::Grid, tube(&grip, 0.021));
        let y = self.d.width / 2.0 - 0.078;
        let c = [0.42, y, foot + 0.15];
        let cap = shell(c, [0.045, 0.078, 0.052], (-84.0, 84.0), (-84.0, 84.0), 2.6);
        self.add((false, 18), "left-mirror", Trim, Family::End, Outward::Grid, cap);
        let n = 6;
        let mut points = Vec::with_capacity((n + 1) * (n + 1));
        for i in 0..=n {
            for j in 0..=n {
                let (p, q) = (i as f64 / n as f64 * 2.0 - 1.0, j as f64 / n as f64 * 2.0 - 1.0);
                let (a, b) = (p * (1.0 - q * q / 3.0).sqrt(), q * (1.0 - p * p / 3.0).sqrt());
                points.push(add(c, [-0.004, 0.070 * a, 0.045 * b]));
            }
        }
        let glass = Grid { nu: n, nv: n, points };
        let back = Outward::Along([-1.0, 0.0, 0.0]);
        self.add((false, 17), "left-mirror-glass", Glass, Family::End, back, glass);
        let blinker =
            shell([0.52, 0.235, nose - 0.03], [0.028, 0.05, 0.024], (-90.0, 90.0), (-80.0, 80.0), 2.2);
        self.add((false, 18), "left-front-indicator", Lamp, Family::End, Outward::Grid, blinker);
    }
}
