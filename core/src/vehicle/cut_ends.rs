//! Cuts of nose and tail: bonnet, lamps, grille, bumpers, boot lid, tailgate, rear doors, load bed. Pure. Lines are
//! invented.

use super::curve::{Line, Spline, coons};
use super::cut::{Cutter, From2, Tail};
use super::cut_side::Corners;
use super::dual::{V3, add};
use super::geometry::Class::{Glass, Lamp, Paint, Trim};
use super::geometry::Side as OneSide;
use super::nodes::{arch_x, wrap};
use super::surface::Family::{End, Top};
use super::surface::{Grid, Outward};

impl Cutter {
    /// Cuts nose and tail; what they share with the sides is returned.
    pub fn cut_ends(&mut self) -> Corners {
        self.cut_bumpers();
        let (bonnet_edge, headlamp_edge, headlamp_at) = self.cut_nose();
        let (rear_lamp_edge, rear_lamp_at, rear_lamp_head, tail_edge, deck_edge) = self.cut_tail();
        self.fit_nose();
        self.fit_tail();
        Corners {
            bonnet_edge,
            headlamp_edge,
            headlamp_at,
            rear_lamp_edge,
            rear_lamp_at,
            rear_lamp_head,
            tail_edge,
            deck_edge,
        }
    }

    fn cut_bumpers(&mut self) {
        let z_lip = self.n.sill_low - 0.005;
        let z_low = self.n.sill_low + 0.06;
        for nose in [true, false] {
            let (arch, top) = if nose {
                (self.n.front_arch, self.n.front_bumper_top.clone())
            } else {
                (self.n.rear_arch, self.n.rear_bumper_top.clone())
            };
            let s = &self.skin;
            let at = |z: f64| wrap(s, nose, z, arch_x(s, arch, z, nose));
            let end = |from: f64, to: f64| {
                let steps = 16;
                let z = |i: i32| from + (to - from) * f64::from(i) / f64::from(steps);
                Line((0..=steps).map(|i| s.side(arch_x(s, arch, z(i), nose), z(i))).collect())
            };
            let (low, lip) = (at(z_low), at(z_lip));
            let (edge, lip_edge) =
                (end(z_low, if nose { s.d.h_bump_f } else { s.d.h_bump_r }), end(z_lip, z_low));
            let (id, lip_id) =
                if nose { ("front-bumper", "front-lip") } else { ("rear-bumper", "rear-valance") };
            let (low, lip, top) = (low.both_sides(), lip.both_sides(), top.both_sides());
            self.cut_middle(id, Paint, End, [&low, &top, &edge.mirrored(), &edge]);
            self.cut_middle(lip_id, Trim, End, [&lip, &low, &lip_edge.mirrored(), &lip_edge]);
        }
    }

    fn cut_nose(&mut self) -> (Line, Line, f64) {
        let s = &self.skin;
        let (d, w) = (&s.d, s.half);
        let top = self.n.front_bumper_top.clone();
        let (grille_y, corner_y) = (0.50 * w, 0.80 * w);
        let steps = 40;
        let edge: Vec<V3> = (0..=steps)
            .map(|i| corner_y * f64::from(i) / f64::from(steps))
            .map(|y| {
                let a = y / w;
                s.top(s.x_front - 0.045 - d.nose_lean - d.nose_round * a * a * a.sqrt(), y, 0.4)
            })
            .collect();
        let edge = Line(edge);
        let corner = edge.last();
        let lamp_x = corner[0] - 0.15;
        let (at_grille, at_lamp) = (top.reach(1, grille_y), top.reach(0, lamp_x));
        let edge_grille = edge.reach(1, grille_y);
        let inner = s.chord(&[
            top.part(at_grille, at_grille + 1e-4).first(),
            edge.part(edge_grille, edge_grille + 1e-4).first(),
        ]);
        let outer = s.chord(&[top.part(at_lamp, at_lamp + 1e-4).first(), corner]);
        let lamp_low = top.part(at_grille, at_lamp);
        let lamp_high = edge.part(edge_grille, edge.length());
        let (grille_low, grille_high) = (top.part(0.0, at_grille), edge.part(0.0, edge_grille));

        // Bonnet: a chord in plan from the screen's corner to the nose, bowed outwards.
        let foot = self.n.screen_foot;
        let steps = 40;
        let mut side: Vec<V3> = (0..=steps)
            .map(|i| f64::from(i) / f64::from(steps))
            .map(|t| {
                let bow = 0.10 * w * t * (1.0 - t);
                let z = foot[2] + (corner[2] - foot[2]) * t + 0.02;
                s.pull([foot[0] + (corner[0] - foot[0]) * t, foot[1] + (corner[1] - foot[1]) * t + bow, z])
            })
            .collect();
        side[0] = foot;
        let last = side.len() - 1;
        side[last] = corner;
        let bonnet_edge = Line(side);

        // The scuttle lies between bonnet and screen, where the wipers rest.
        let strip = 0.07;
        let (scuttle_side, bonnet_side) =
            (bonnet_edge.part(0.0, strip), bonnet_edge.part(strip, bonnet_edge.length()));
        let node = bonnet_side.first();
        let low = &self.n.screen_low.0;
        let bow = low[low.len() / 2][0] - foot[0];
        let steps = 32;
        let rear = Line(
            (0..=steps)
                .map(|i| f64::from(i) / f64::from(steps) * 2.0 - 1.0)
                .map(|t| {
                    let z = node[2] + 0.04 * (1.0 - t * t);
                    if t.abs() > 0.999 {
                        [node[0], node[1] * t, node[2]]
                    } else {
                        s.pull([node[0] + bow * (1.0 - t * t), node[1] * t, z])
                    }
                })
                .collect(),
        );
        let screen_low = self.n.screen_low.clone();
        self.cut_left("left-headlamp", Lamp, End, [&lamp_low, &lamp_high, &inner, &outer]);
        let (low, high) = (grille_low.both_sides(), grille_high.both_sides());
        self.cut_middle("grille", Trim, End, [&low, &high, &inner.mirrored(), &inner]);
        let front = edge.both_sides();
        self.cut_middle("bonnet", Paint, Top, [&bonnet_side.mirrored(), &bonnet_side, &rear, &front]);
        self.cut_middle("scuttle", Trim, Top, [&scuttle_side.mirrored(), &scuttle_side, &screen_low, &rear]);
        (bonnet_edge, outer, at_lamp)
    }

    fn cut_tail(&mut self) -> (Line, f64, Line, Line, Option<Line>) {
        let s = &self.skin;
        let (d, w) = (&s.d, s.half);
        let tail = self.kit.tail;
        let (barn, bed) = (tail == Tail::Barn, tail == Tail::Bed);
        let top = self.n.rear_bumper_top.clone();
        let lid_y = d.lid_w * w;
        let at_lid = top.reach(1, lid_y);
        let lid_foot = top.part(0.0, at_lid).last();
        let head_in = {
            let x = s.x_rear + 0.9;
            s.cast([x, lid_y.max(if barn { 0.90 } else { 0.82 } * w), d.h_lamp_r], [-1.0, 0.0, 0.0], 1.6, 0.8)
        };
        let x_out = head_in[0]
            + if barn {
                0.15
            } else if bed {
                0.12
            } else {
                0.20
            };
        // The lamp's outer edge slants back upwards, so that the wing beside it has no inner corner.
        let head_out = s.side(head_in[0] + if barn { 0.085 } else { 0.055 }, d.h_lamp_r);
        let at_out = top.reach(0, x_out);
        let foot_out = top.part(0.0, at_out).last();
        let screen_foot = self.n.rear_foot;
        // Boot and bed have an edge of their own between tail and screen.
        let deck: Option<V3> = if bed {
            Some(s.top(s.x_rear + d.tail_round * 0.84 + 0.03, screen_foot[1].min(w * 0.93), 0.5))
        } else if screen_foot[0] - s.x_rear > 0.35 {
            Some(s.top(s.x_rear + d.tail_round * 0.6 + 0.07, 0.78 * w, 0.5))
        } else {
            None
        };
        let deck_edge = deck.map(|p| s.chord(&[screen_foot, p]));
        let tail_edge = s.chord(&[deck.unwrap_or(screen_foot), head_in]);
        let (inner, outer) = (s.chord(&[lid_foot, head_in]), s.chord(&[foot_out, head_out]));
        let head = s.chord(&[head_out, head_in]);
        let lamp_low = top.part(at_lid, at_out);
        let lid_low = top.part(0.0, at_lid);
        let side = inner.clone().then(&tail_edge.reversed());
        self.cut_left("left-rear-lamp", Lamp, End, [&lamp_low, &head.reversed(), &inner, &outer]);

        let rear_low = self.n.rear_low.clone();
        let lid_low_both = lid_low.both_sides();
        match (tail, &deck_edge) {
            (Tail::Bed, Some(deck_edge)) => {
                let node = deck_edge.last();
                let steps = 32;
                let across = Line(
                    (0..=steps)
                        .map(|i| f64::from(i) / f64::from(steps) * 2.0 - 1.0)
                        .map(|t| [node[0], node[1] * t, node[2] + 0.04 * (1.0 - t * t)])
                        .map(|p| self.skin.pull(p))
                        .collect(),
                );
                self.cut_middle("tailgate", Paint, End, [&lid_low_both, &across, &side.mirrored(), &side]);
                self.load_bed(&deck_edge.reversed(), &across, &rear_low);
            }
            (Tail::Barn, _) => {
                let line = side.then(&self.n.rear_edge);
                let roof = self.n.rear_high.clone();
                let middle = {
                    let points = Line::straight(&[lid_low.first(), roof.0[roof.0.len() / 2]], 40);
                    let x0 = self.skin.x_rear_axle;
                    let cast = |p: &V3| {
                        let guess = x0 - p[0];
                        self.skin.cast([x0, 0.0, p[2]], [-1.0, 0.0, 0.0], 2.0, guess)
                    };
                    Line(points.0.iter().map(cast).collect())
                };
                let half = Line(roof.0[roof.0.len() / 2..].to_vec());
                let mut middle = middle;
                let last = middle.0.len() - 1;
                middle.0[last] = half.first();
                self.cut_left("rear-left-barn-door", Paint, End, [&lid_low, &half, &middle, &line]);
            }
            _ => {
                let id = if tail == Tail::Hatch { "tailgate" } else { "decklid" };
                let line = match &deck_edge {
                    Some(deck) => side.then(&deck.reversed()),
                    None => side,
                };
                self.cut_middle(id, Paint, End, [&lid_low_both, &rear_low, &line.mirrored(), &line]);
            }
        }
        (outer, at_out, head, tail_edge, deck_edge)
    }

    /// The open bed of a pickup: a tray with ribs, seen from above.
    fn load_bed(&mut self, left: &Line, rear: &Line, front: &Line) {
        let (nu, nv) = (24, 24);
        let rim = coons(&left.mirrored(), left, rear, front, nu, nv);
        let depth = 0.46;
        let mut points = Vec::with_capacity(rim.len());
        for i in 0..=nu {
            for j in 0..=nv {
                let near = |k: usize, n: usize, lip: f64| {
                    let t = k.min(n - k) as f64 / n as f64;
                    ((t - lip) / 0.05).clamp(0.0, 1.0)
                };
                let down = near(i, nu, 0.02).min(near(j, nv, 0.03));
                let p = self.skin.pull(rim[i * (nv + 1) + j]);
                let level = p[2] - (p[2] - (self.skin.d.h_deck - depth)) * down;
                points.push([p[0], p[1], level]);
            }
        }
        let grid = Grid { nu, nv, points };
        self.shell_middle("load-bed", Trim, Top, grid, Outward::Along([0.0, 0.0, 1.0])).layer(0);
    }

    /// What lies on the nose: plate, badge, lower grille, fog and day lamps, covers.
    fn fit_nose(&mut self) {
        let d = self.skin.d.clone();
        let w = self.skin.half;
        let (low, top) = (self.n.sill_low + 0.07, d.h_bump_f);
        let height = top - low;
        // The grille is a hollow, not a face.
        if let Some(grille) = self.middle.iter_mut().find(|p| p.id == "grille") {
            let (nu, nv) = (grille.grid.nu, grille.grid.nv);
            for i in 0..=nu {
                for j in 0..=nv {
                    let edge = |k: usize, n: usize| (k.min(n - k) as f64 / n as f64 / 0.14).min(1.0);
                    let deep = edge(i, nu).min(edge(j, nv)) * 0.022;
                    let at = i * (nv + 1) + j;
                    let p = grille.grid.points[at];
                    grille.grid.points[at] = add(p, [-deep, 0.0, 0.0]);
                }
            }
            grille.outward = Outward::Along([1.0, 0.0, 0.3]);
        }
        let band = |a: f64, b: f64| (low + height * a, low + height * b);
        self.on_middle(
            "lower-grille",
            Trim,
            From2::Nose,
            (0.44 * w, 0.50 * w),
            band(0.04, 0.40),
            (0.10, -0.012),
        );
        let plate = band(0.52, 0.52);
        self.on_middle(
            "front-plate",
            Trim,
            From2::Nose,
            (0.26, 0.26),
            (plate.0, plate.0 + 0.11),
            (0.0, 0.008),
        );
        let z = (d.h_bump_f + d.h_nose) / 2.0 + 0.01;
        self.on_middle("front-badge", Trim, From2::Nose, (0.055, 0.055), (z - 0.05, z + 0.05), (1.0, 0.004));
        let (fog_y, fog_z) = (0.74 * w, low + height * 0.22);
        let r = 0.048;
        let disc = |y: f64, z: f64, r: f64| [(y - r, z - r), (y + r, z - r), (y - r, z + r), (y + r, z + r)];
        self.on_left("left-fog-lamp", Lamp, From2::Nose, disc(fog_y, fog_z, r), 1.0, 0.003);
        let z = low + height * 0.70;
        let bar =
            [(0.56 * w, z - 0.016), (0.76 * w, z - 0.010), (0.56 * w, z + 0.016), (0.76 * w, z + 0.024)];
        self.on_left("left-day-lamp", Lamp, From2::Nose, bar, 0.1, 0.003);
        let eye = disc(0.42 * w, low + height * 0.68, 0.034);
        self.on_left("front-tow-eye-cover", Trim, From2::Nose, eye, 0.4, 0.002)
            .part_of("front-bumper")
            .optional()
            .single(OneSide::Right);
    }

    /// What lies on the tail: plate, badge, load lip, camera, spoiler, exhausts, screens of rear doors.
    fn fit_tail(&mut self) {
        let d = self.skin.d.clone();
        let w = self.skin.half;
        let tail = self.kit.tail;
        let barn = tail == Tail::Barn;
        let low = self.n.sill_low + 0.07;
        let height = d.h_bump_r - low;
        let lid_top = if tail == Tail::Hatch { d.h_lamp_r } else { d.h_lamp_r - 0.02 };
        let lid = |t: f64| d.h_bump_r + (lid_top - d.h_bump_r) * t;
        let plate_z = if barn { low + height * 0.32 } else { lid(0.18) };
        self.on_middle(
            "rear-plate",
            Trim,
            From2::Rear,
            (0.26, 0.26),
            (plate_z, plate_z + 0.11),
            (0.0, 0.008),
        );
        if !barn {
            let z = lid(0.78).max(plate_z + 0.205);
            self.on_middle(
                "rear-badge",
                Trim,
                From2::Rear,
                (0.05, 0.05),
                (z - 0.045, z + 0.045),
                (1.0, 0.004),
            );
        }
        if !barn {
            let z = plate_z + 0.132;
            let camera = (z - 0.013, z + 0.013);
            self.on_middle("rear-camera", Trim, From2::Rear, (0.03, 0.03), camera, (0.6, 0.004)).optional();
        }
        let lip = (d.h_bump_r - 0.055, d.h_bump_r - 0.006);
        self.on_middle("load-lip", Trim, From2::Rear, (0.55 * w, 0.58 * w), lip, (0.0, 0.004))
            .part_of("rear-bumper");
        let (y, z) = (0.66 * w, low + height * 0.42);
        let reflector =
            [(y - 0.09, z - 0.02), (y + 0.09, z - 0.02), (y - 0.09, z + 0.02), (y + 0.09, z + 0.02)];
        self.on_left("left-rear-fog-lamp", Lamp, From2::Rear, reflector, 0.2, 0.003);
        let eye = (0.36 * w, low + height * 0.60);
        let r = 0.034;
        let eye =
            [(eye.0 - r, eye.1 - r), (eye.0 + r, eye.1 - r), (eye.0 - r, eye.1 + r), (eye.0 + r, eye.1 + r)];
        self.on_left("rear-tow-eye-cover", Trim, From2::Rear, eye, 0.4, 0.002)
            .part_of("rear-bumper")
            .optional()
            .single(OneSide::Right);
        if barn {
            // The screens of the two rear doors.
            let z0 = self.n.rear_foot[2] + 0.05;
            let z1 = self.n.roof_rear[2] - 0.10;
            let y1 = self.n.roof_rear[1] - 0.05;
            let corners = [(0.07, z0), (y1 + 0.03, z0), (0.07, z1), (y1, z1)];
            self.on_left("rear-left-barn-glass", Glass, From2::Rear, corners, 0.06, 0.003);
        }
        if self.kit.spoiler {
            self.spoiler();
        }
        if self.kit.exhausts {
            self.exhaust();
        }
    }

    /// A lip that carries the roof on over the rear screen: its top, its edge, and back under to the screen.
    fn spoiler(&mut self) {
        let root = self.n.rear_high.part(0.10, self.n.rear_high.length() - 0.10).spread(24);
        let (nu, nv) = (24, 12);
        let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
        for p in &root {
            let under = self.skin.pull(add(*p, [-0.035, 0.0, -0.075]));
            let edge = add(*p, [-0.125, 0.0, -0.018]);
            let bend: [V3; 4] = [*p, edge, add(edge, [0.004, 0.0, -0.016]), under];
            let axis = |k: usize| {
                let knots: Vec<(f64, f64)> =
                    [0.0, 0.55, 0.65, 1.0].into_iter().zip(bend.map(|b| b[k])).collect();
                Spline::through(&knots)
            };
            let (x, y, z) = (axis(0), axis(1), axis(2));
            for j in 0..=nv {
                let t = j as f64 / nv as f64;
                points.push([x.at(t).0, y.at(t).0, z.at(t).0]);
            }
        }
        let grid = Grid { nu, nv, points };
        self.shell_middle("rear-spoiler", Paint, End, grid, Outward::AgainstGrid)
            .part_of("tailgate")
            .optional()
            .layer(2);
    }

    fn exhaust(&mut self) {
        let s = &self.skin;
        let (y, z, r) = (0.52 * s.half, s.d.clear + 0.085, 0.036);
        let x = s.x_rear + 0.06;
        let (nu, nv) = (16, 4);
        let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
        for i in 0..=nu {
            let a = std::f64::consts::TAU * i as f64 / nu as f64;
            for j in 0..=nv {
                let t = j as f64 / nv as f64;
                points.push([x - 0.05 + 0.12 * t, y + r * libm::sin(a), z - r * libm::cos(a)]);
            }
        }
        let grid = Grid { nu, nv, points };
        self.shell("left-exhaust", Trim, End, grid, Outward::From([x, y, z])).optional().layer(2);
    }
}
