//! Parts beside the skin: wheels, tyres, mirrors, aerial, roof bars, wipers. Pure. Shapes are invented.

use super::curve::Spline;
use super::cut::{Cutter, Piece};
use super::dual::{V3, add, scale};
use super::geometry::Class::{Glass, Paint, Trim, Tyre, Wheel};
use super::geometry::Rim;
use super::surface::{Family, Grid, Outward};

/// Where a wheel stands: axle x, outer face y, tyre radius and width, wheel radius.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stand {
    pub x: f64,
    pub y: f64,
    pub tyre: f64,
    pub width: f64,
    pub rim: f64,
}

/// Tyre, wheel and centre cap of one stand: rings round the hub, from the inside outwards.
pub(super) fn rings(w: Stand) -> [(super::geometry::Class, Grid, Outward); 3] {
    let ring = |profile: &[(f64, f64)], nv: usize| {
        // Profile: (radius, how far out of the outer face), with v.
        let last = (profile.len() - 1) as f64;
        let at = |k: usize| k as f64 / last;
        let radius =
            Spline::through(&profile.iter().enumerate().map(|(k, p)| (at(k), p.0)).collect::<Vec<_>>());
        let out = Spline::through(&profile.iter().enumerate().map(|(k, p)| (at(k), p.1)).collect::<Vec<_>>());
        let nu = 48;
        let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
        for i in 0..=nu {
            let a = std::f64::consts::TAU * i as f64 / nu as f64;
            for j in 0..=nv {
                let t = j as f64 / nv as f64;
                let (r, o) = (radius.at(t).0, out.at(t).0);
                points.push([w.x - r * libm::sin(a), w.y + o, w.tyre - r * libm::cos(a)]);
            }
        }
        Grid { nu, nv, points }
    };
    let wall = w.tyre - w.rim;
    let tyre = [
        (w.rim, -0.014),
        (w.rim + 0.35 * wall, 0.0),
        (w.tyre - 0.28 * wall, -0.004),
        (w.tyre - 0.006, -0.034),
        (w.tyre, -0.30 * w.width),
        (w.tyre, -0.55 * w.width),
    ];
    let wheel = [(0.036, -0.040), (0.4 * w.rim, -0.030), (0.85 * w.rim, -0.022), (w.rim, -0.014)];
    let cap = [(0.002, -0.034), (0.02, -0.035), (0.036, -0.040)];
    let hub = [w.x, w.y - w.width, w.tyre];
    [
        (Tyre, ring(&tyre, 12), Outward::From(hub)),
        (Wheel, ring(&wheel, 8), Outward::Along([0.0, 1.0, 0.0])),
        (Trim, ring(&cap, 4), Outward::Along([0.0, 1.0, 0.0])),
    ]
}

/// A piece of a shell like a rounded box: middle, half sizes, degrees of azimuth (0 forward, 90 left) along u and of
/// elevation along v. Superellipsoid: A. H. Barr, IEEE Computer Graphics and Applications 1 (1981).
pub(super) fn shell(c: V3, r: V3, azimuth: (f64, f64), elevation: (f64, f64), square: f64) -> Grid {
    let n = 16;
    let bent = |w: f64| if w < 0.0 { -libm::pow(-w, 2.0 / square) } else { libm::pow(w, 2.0 / square) };
    let mut points = Vec::with_capacity((n + 1) * (n + 1));
    for i in 0..=n {
        let t = i as f64 / n as f64;
        let a = (azimuth.0 + (azimuth.1 - azimuth.0) * t).to_radians();
        for j in 0..=n {
            let t = j as f64 / n as f64;
            let b = (elevation.0 + (elevation.1 - elevation.0) * t).to_radians();
            let (ca, sa, cb, sb) =
                (bent(libm::cos(a)), bent(libm::sin(a)), bent(libm::cos(b)), bent(libm::sin(b)));
            points.push(add(c, [r[0] * cb * ca, r[1] * cb * sa, r[2] * sb]));
        }
    }
    Grid { nu: n, nv: n, points }
}

/// A tube along a line of points, all round: u along, v round.
pub(super) fn tube(points: &[V3], radius: f64) -> Grid {
    let nv = 12;
    let mut out = Vec::with_capacity(points.len() * (nv + 1));
    for (i, p) in points.iter().enumerate() {
        let (a, b) = (points[i.saturating_sub(1)], points[(i + 1).min(points.len() - 1)]);
        let along = super::dual::unit(super::dual::sub(b, a));
        let reference = if along[1].abs() > 0.9 { [0.0, 0.0, 1.0] } else { [0.0, 1.0, 0.0] };
        let side = super::dual::unit(super::dual::cross(along, reference));
        let up = super::dual::cross(side, along);
        for j in 0..=nv {
            let t = std::f64::consts::TAU * j as f64 / nv as f64;
            let turn = add(scale(side, libm::cos(t)), scale(up, libm::sin(t)));
            out.push(add(*p, scale(turn, radius)));
        }
    }
    Grid { nu: points.len() - 1, nv, points: out }
}

impl Cutter {
    pub fn fit_parts(&mut self) {
        self.wheels();
        self.mirrors();
        if self.kit.roof_bars {
            self.roof_bars();
        }
        let x = self.n.roof_rear[0] + 0.16;
        if self.n.roof_front[0] - x > 0.6 && self.kit.tail != super::cut::Tail::SoftTop {
            let foot = self.skin.top(x, 0.0, 0.5);
            // A fin: a low arc across that grows to the rear.
            let (nu, nv) = (10, 8);
            let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
            for i in 0..=nu {
                let t = i as f64 / nu as f64;
                let along = x - 0.08 + 0.17 * t;
                let base = self.skin.top(along, 0.0, 0.5)[2];
                let tall = 0.055 * (1.0 - t) * (0.35 + 0.65 * (t / 0.18).min(1.0));
                for j in 0..=nv {
                    let a = std::f64::consts::PI * j as f64 / nv as f64;
                    points.push([along, -0.022 * libm::cos(a), base + tall * libm::sin(a)]);
                }
            }
            let grid = Grid { nu, nv, points };
            self.shell_middle("aerial", Trim, Family::Top, grid, Outward::From([x, 0.0, foot[2] - 0.02]))
                .optional()
                .layer(2);
        }
    }

    fn wheels(&mut self) {
        let d = self.skin.d.clone();
        let names = [
            (self.skin.x_front_axle, "front-left-tyre", "front-left-wheel", "front-left-wheel-cap"),
            (self.skin.x_rear_axle, "rear-left-tyre", "rear-left-wheel", "rear-left-wheel-cap"),
        ];
        for (x, tyre, wheel, cap) in names {
            let y = self.skin.side(x, d.tyre_r + self.n.front_arch.2 + 0.02)[1] - 0.022;
            let stand = Stand { x, y, tyre: d.tyre_r, width: d.tyre_w, rim: d.rim_r };
            for ((class, grid, outward), id) in rings(stand).into_iter().zip([tyre, wheel, cap]) {
                let layer = if id == cap { 2 } else { 1 };
                let piece: &mut Piece = self.shell(id, class, Family::Wheel, grid, outward);
                piece.layer(layer);
                if id == cap {
                    piece.part_of(wheel);
                }
            }
        }
    }

    fn mirrors(&mut self) {
        let foot = self.skin.belt_point(self.n.glass_front[0] - 0.13);
        let tall = if self.kit.tail == super::cut::Tail::Barn { 1.55 } else { 1.0 };
        let r = [0.085, 0.118, 0.078 * tall];
        let c = add(foot, [0.0, 0.105, 0.078 * tall]);
        // From the middle outwards, so that it lies like a lamp.
        let cap = shell(c, r, (-78.0, 100.0), (-84.0, 84.0), 2.5);
        self.shell("left-mirror", Paint, Family::End, cap, Outward::From(add(c, [-0.01, 0.0, 0.0])))
            .layer(3)
            .rim(Rim::Hull);
        // The glass closes the cap to the rear.
        let n = 8;
        let mut points = Vec::with_capacity((n + 1) * (n + 1));
        for i in 0..=n {
            for j in 0..=n {
                let (p, q) = (i as f64 / n as f64 * 2.0 - 1.0, j as f64 / n as f64 * 2.0 - 1.0);
                let (a, b) = (p * (1.0 - q * q / 3.2).sqrt(), q * (1.0 - p * p / 3.2).sqrt());
                points.push(add(c, [-0.014 - 0.006 * (1.0 - a * a), 0.86 * r[1] * a, 0.86 * r[2] * b]));
            }
        }
        let grid = Grid { nu: n, nv: n, points };
        self.shell("left-mirror-glass", Glass, Family::End, grid, Outward::Along([-1.0, 0.0, 0.0])).layer(2);
    }

    /// Bars along the roof, clear of it in the middle.
    fn roof_bars(&mut self) {
        let edge = self.n.roof_edge.part(0.03, self.n.roof_edge.length() - 0.10).spread(20);
        let last = (edge.len() - 1) as f64;
        let lifted: Vec<V3> = edge
            .iter()
            .enumerate()
            .map(|(i, p)| {
                let t = i as f64 / last;
                let rise = 0.045 * (1.0 - libm::pow((2.0 * t - 1.0).abs(), 6.0));
                add(*p, [0.0, -0.01, rise])
            })
            .collect();
        let grid = tube(&lifted, 0.014);
        self.shell("left-roof-bar", Trim, Family::Side, grid, Outward::Grid)
            .optional()
            .layer(2)
            .rim(Rim::Flanks);
    }
}
