//! Cuts of the side: front wing, doors, sill, rear quarter, and what lies on them. Pure. Lines are invented.

use super::curve::Line;
use super::cut::{Cutter, From2, Tail};
use super::dual::{V3, add, scale};
use super::geometry::Class::{Paint, Trim};
use super::geometry::Side as OneSide;
use super::skin::Skin;
use super::surface::Family::{Side, Wheel};
use super::surface::{Arch, Grid};

/// Lines that the ends hand to the sides.
pub(super) struct Corners {
    /// Bonnet side, rear to front.
    pub bonnet_edge: Line,
    /// Outer edge of the headlamp, upwards, and the length along the bumper top at which it starts.
    pub headlamp_edge: Line,
    pub headlamp_at: f64,
    /// Outer edge of the rear lamp, upwards, and where it starts along the rear bumper's top.
    pub rear_lamp_edge: Line,
    pub rear_lamp_at: f64,
    /// Head of the rear lamp, outside to inside.
    pub rear_lamp_head: Line,
    /// From the lamp's inner head up to the boot or screen corner.
    pub tail_edge: Line,
    /// From there along the boot or bed to the screen's corner; none where they are one.
    pub deck_edge: Option<Line>,
}

impl Cutter {
    pub fn cut_sides(&mut self, c: &Corners) {
        let s = &self.skin;
        let d = &s.d;
        let (z0, z1) = (self.n.sill_low, self.n.sill_high);
        let (xa, xb) = (s.x_front_axle - d.x_a, s.x_front_axle - d.x_b);
        let xc = s.x_rear_axle + d.x_c;
        let hub = d.tyre_r;
        let belt_z = |x: f64| s.waist(x) + 0.012;
        let front_x = self.n.glass_front[0];
        let barn = self.kit.tail == Tail::Barn;
        let middle_z = hub + 0.28;

        // Front wing: its lower edge passes inside the arch, which trims it.
        let below = s.side_line(&[(xa, z0), (xa, z1)]);
        let above = s.side_line(&[(xa, z1), (xa + 0.02, middle_z), (front_x, belt_z(front_x))]);
        let bumper = &self.n.front_bumper_top;
        let to_lamp = bumper.part(c.headlamp_at, bumper.length()).reversed();
        let (x_arch, z_arch) = (to_lamp.first()[0], d.h_bump_f);
        let low = s.side_line(&[(xa, z0), (s.x_front_axle, z0), (x_arch, z_arch)]).then(&to_lamp);
        let high = s.chord(&[self.n.glass_front, self.n.screen_foot]).then(&c.bonnet_edge);
        let rear = below.clone().then(&above);

        // Doors.
        let b_line = s.side_line(&[(xb, z1), (xb - 0.012, middle_z), (xb, belt_z(xb))]);
        let front_door_low = s.side_line(&[(xb, z1), (xa, z1)]);
        let front_door_high = s.belt(xb, front_x);
        let sill_end = s.x_rear_axle + self.n.rear_arch.2 + 0.004;
        let sill_low = s.side_line(&[(sill_end, z0), (xa, z0)]);
        let sill_high = s.side_line(&[(sill_end, z1), (xa, z1)]);
        let sill_rear = s.side_line(&[(sill_end, z0), (sill_end, z1)]);
        let c_line = if barn { None } else { Some(rear_door_edge(s, self.n.rear_arch, z1, xc)) };
        let arches = (self.n.front_arch, self.n.rear_arch);

        // What the rear quarter's front edge is: the last door's.
        let (quarter_front, quarter_x) = match &c_line {
            Some(line) if self.kit.rear_doors => (line.clone(), xc),
            Some(_) => (b_line.clone(), xb),
            None => (b_line.clone(), xb),
        };
        let rear_door_low = s.side_line(&[(c_line.as_ref().map_or(xc, |l| l.first()[0]), z1), (xb, z1)]);
        let rear_door_high = s.belt(xc, xb);
        let lamp_to_arch = {
            let top = &self.n.rear_bumper_top;
            top.part(c.rear_lamp_at, top.length())
        };

        self.cut_left("front-left-fender", Paint, Side, [&low, &high, &rear, &c.headlamp_edge])
            .arch(arches.0);
        self.cut_left("front-left-door", Paint, Side, [&front_door_low, &front_door_high, &b_line, &above]);
        self.cut_left("left-sill", Paint, Side, [&sill_low, &sill_high, &sill_rear, &below]);
        if self.kit.rear_doors && !barn {
            let id = if self.kit.sliding { "left-sliding-door" } else { "rear-left-door" };
            let line = c_line.clone().unwrap_or_else(|| b_line.clone());
            self.cut_left(id, Paint, Side, [&rear_door_low, &rear_door_high, &line, &b_line]);
        }

        // The quarter's lower edge passes inside the arch, as the wing's does.
        let lamp_edge = c.rear_lamp_edge.clone().then(&c.rear_lamp_head);
        let slide = if barn { Some(self.barn_line(xc)) } else { None };
        let front_foot = slide.as_ref().unwrap_or(&quarter_front).first()[0];
        let through =
            [(lamp_to_arch.last()[0], self.skin.d.h_bump_r), (self.skin.x_rear_axle, z1), (front_foot, z1)];
        let low = lamp_to_arch.then(&self.skin.side_line(&through));
        if let Some(slide) = slide {
            let top = self.n.glass_top.clone();
            let (at_c, at_b) = (top.reach(0, slide.last()[0]), top.reach(0, xb - 0.07));
            let (door_low, door_high) = (self.skin.side_line(&[(xc, z1), (xb, z1)]), top.part(at_c, at_b));
            let front = b_line.then(&self.post(xb, 0.0));
            self.cut_left("left-sliding-door", Paint, Side, [&door_low, &door_high, &slide, &front]);
            let head = self.skin.chord(&[self.n.roof_rear, self.n.glass_up_rear]).then(&top.part(0.0, at_c));
            let rear = lamp_edge.then(&c.tail_edge.reversed()).then(&self.n.rear_edge);
            self.cut_left("left-side-panel", Paint, Side, [&low, &head, &rear, &slide]).arch(arches.1);
        } else {
            let mut high = c.tail_edge.reversed();
            if let Some(deck) = &c.deck_edge {
                high = high.then(&deck.reversed());
            }
            high = high.then(&self.pillar_foot());
            if quarter_x > self.n.glass_end + 1e-6 {
                high = high.then(&self.skin.belt(self.n.glass_end, quarter_x));
            }
            let id = if self.kit.tail == Tail::Bed { "left-bed-side" } else { "rear-left-quarter" };
            self.cut_left(id, Paint, Side, [&low, &high, &lamp_edge, &quarter_front]).arch(arches.1);
        }
        self.fit_sides(xa, xb, xc);
    }

    /// Rear edge of a van's sliding door, sill to roof rail.
    fn barn_line(&self, x: f64) -> Line {
        let top = &self.n.glass_top;
        let at = top.reach(0, x);
        let head = top.part(at, at + 1e-4).first();
        let belt = self.skin.waist(x) + 0.012;
        self.skin.side_line(&[(x, self.n.sill_high), (x, belt), (head[0], head[2])])
    }

    /// Handles, flap, cladding, arch trims, slide rail.
    fn fit_sides(&mut self, xa: f64, xb: f64, xc: f64) {
        let handle = |s: &Skin, x: f64| {
            let z = s.waist(x) - 0.085;
            [(x, z - 0.016), (x + 0.19, z - 0.016), (x, z + 0.016), (x + 0.19, z + 0.016)]
        };
        let (barn, bed) = (self.kit.tail == Tail::Barn, self.kit.tail == Tail::Bed);
        let at = handle(&self.skin, xb + 0.06);
        self.on_left("front-left-door-handle", Trim, From2::Side, at, 0.35, 0.03).part_of("front-left-door");
        let slides = self.kit.sliding;
        if slides {
            let at = handle(&self.skin, xb - 0.27);
            self.on_left("rear-left-door-handle", Trim, From2::Side, at, 0.35, 0.03)
                .part_of("left-sliding-door");
        } else if self.kit.rear_doors {
            let at = handle(&self.skin, xc + 0.11);
            self.on_left("rear-left-door-handle", Trim, From2::Side, at, 0.35, 0.03)
                .part_of("rear-left-door");
        }
        let (rear_axle, radius) = (self.skin.x_rear_axle, self.n.rear_arch.2);
        if slides {
            let end = self.skin.x_rear + if barn { 0.22 } else { 0.32 };
            let z = |x: f64| self.skin.waist(x) - if barn { 0.30 } else { 0.045 };
            let start = xc - 0.02;
            let corners = [
                (end, z(end) - 0.014),
                (start, z(start) - 0.014),
                (end, z(end) + 0.014),
                (start, z(start) + 0.014),
            ];
            self.on_left("left-slide-rail", Trim, From2::Side, corners, 0.0, -0.012);
        }
        // The flap sits over the rear arch; on which side differs between makers, so a form has it on the right.
        let z = (self.skin.waist(rear_axle) - 0.14).max(self.skin.d.tyre_r + radius + 0.09);
        let x = if bed {
            rear_axle - radius - 0.05
        } else if barn {
            xb + 0.24
        } else {
            rear_axle - 0.13
        };
        let z = if barn { self.skin.d.clear + 0.50 } else { z };
        let host = match (bed, barn) {
            (true, _) => "left-bed-side",
            (_, true) => "front-left-door",
            _ => "rear-left-quarter",
        };
        let (w, h) = (0.082, 0.075);
        let corners = [(x - w, z - h), (x + w, z - h), (x - w, z + h), (x + w, z + h)];
        self.on_left("fuel-flap", Paint, From2::Side, corners, 0.55, 0.002)
            .part_of(host)
            .single(OneSide::Right);

        if self.kit.cladding {
            let (front, rear) = (self.n.front_arch, self.n.rear_arch);
            self.arch_trim("front-left-arch-trim", front, (0.16, 0.98));
            self.arch_trim("rear-left-arch-trim", rear, (0.02, 0.84));
            let (low, high) = (self.n.sill_high + 0.004, self.n.sill_high + 0.115);
            let (x0, x1) = (rear_axle + radius + 0.075, xa - 0.01);
            let corners = [(x0, low), (x1, low), (x0 + 0.02, high), (x1, high)];
            self.on_left("left-cladding", Trim, From2::Side, corners, 0.0, 0.007);
        }
        self.arch_liner("front-left-arch-liner", self.n.front_arch);
        self.arch_liner("rear-left-arch-liner", self.n.rear_arch);
    }

    /// A band round an arch; the range is the share of the half turn from rear to front that stays clear of bumpers.
    fn arch_trim(&mut self, id: &'static str, arch: Arch, range: (f64, f64)) {
        let (nu, nv, width) = (20, 4, 0.062);
        let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
        for i in 0..=nu {
            let t = range.0 + (range.1 - range.0) * i as f64 / nu as f64;
            let a = std::f64::consts::PI * (1.0 - t);
            for j in 0..=nv {
                let r = arch.2 + width * j as f64 / nv as f64;
                let foot = self.skin.side(arch.0 + r * libm::cos(a), arch.1 + r * libm::sin(a));
                points.push(add(foot, scale(self.skin.normal(foot), 0.008)));
            }
        }
        let grid = Grid { nu, nv, points };
        let piece = self.shell(id, Trim, Side, grid, super::surface::Outward::Skin);
        piece.lift = 0.008;
        piece.layer = 2;
    }

    /// The hollow above a wheel: round with u from rear to front, inwards with v.
    fn arch_liner(&mut self, id: &'static str, arch: Arch) {
        let (nu, nv) = (16, 6);
        let mut points = Vec::with_capacity((nu + 1) * (nv + 1));
        for i in 0..=nu {
            let a = std::f64::consts::PI * (1.0 - i as f64 / nu as f64);
            let (x, z) = (arch.0 + arch.2 * libm::cos(a), arch.1 + arch.2 * libm::sin(a).max(0.0));
            let lip = self.skin.side(x, z.max(self.skin.d.clear + 0.06))[1] - 0.01;
            for j in 0..=nv {
                points.push([x, lip - 0.24 * j as f64 / nv as f64, z]);
            }
        }
        let hub: V3 = [arch.0, 0.5, arch.1];
        let grid = Grid { nu, nv, points };
        self.shell(id, Trim, Wheel, grid, super::surface::Outward::Towards(hub)).layer(0);
    }
}

/// The rear edge of a rear door: round the arch, then up to its end at the waistline.
fn rear_door_edge(s: &Skin, arch: Arch, z1: f64, xc: f64) -> Line {
    let top = s.waist(xc) + 0.012;
    let foot = s.x_rear_axle + arch.2 + 0.05;
    let steps = 36;
    let reach = arch.2 + 0.05;
    let mut points = Vec::with_capacity(steps + 1);
    let mut shift = None;
    for i in 0..=steps {
        let t = i as f64 / steps as f64;
        let z = z1 + (top - z1) * t;
        let h = (z - arch.1).max(0.0);
        let round = s.x_rear_axle + (reach * reach - h * h).max(1e-4).sqrt() - 8.0 * (h - arch.2).max(0.0);
        let straight = xc + 0.05 * (1.0 - t);
        let near = (1.0 - (round - straight).abs() / 0.09).max(0.0);
        let mut x = round.max(straight) + near * near * near * 0.015;
        let ease = 1.0 - t;
        let shift = *shift.get_or_insert(foot - x);
        x += shift * ease * ease * ease;
        points.push(s.side(if i == steps { xc } else { x }, z));
    }
    Line(points)
}
