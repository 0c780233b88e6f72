//! Corners and lines that several panels share: screens, roof, side glass, bumper tops, arches. Pure. Lines are
//! invented; see `measure` for what they hang on.

use super::curve::Line;
use super::cut::{Kit, Tail};
use super::dual::{V3, norm, sub};
use super::skin::{ARCH_GAP, Skin};
use super::surface::Arch;

/// Corners and lines that several panels share (left side).
pub(super) struct Nodes {
    /// Windscreen foot and head, roof rear corner, rear screen foot.
    pub screen_foot: V3,
    pub roof_front: V3,
    pub roof_rear: V3,
    pub rear_foot: V3,
    /// Corners of the side glass: front at the waistline, upper front, upper rear.
    pub glass_front: V3,
    pub glass_up_front: V3,
    pub glass_up_rear: V3,
    /// Upper edge of the side glass, rear to front.
    pub glass_top: Line,
    /// Middle arcs at the corners of the screens.
    pub screen_low: Line,
    pub screen_high: Line,
    pub rear_low: Line,
    pub rear_high: Line,
    /// Side edges of the screens, upwards.
    pub screen_edge: Line,
    pub rear_edge: Line,
    /// Edge of the roof, rear to front.
    pub roof_edge: Line,
    /// Front and rear ends of the side glass, upwards.
    pub glass_front_edge: Line,
    pub glass_rear_edge: Line,
    /// Rear end of the last side glass at the waistline.
    pub glass_end: f64,
    /// Bumper tops from the middle to the arch.
    pub front_bumper_top: Line,
    pub rear_bumper_top: Line,
    pub front_arch: Arch,
    pub rear_arch: Arch,
    /// Height of the sill's lower and upper edge.
    pub sill_low: f64,
    pub sill_high: f64,
}

impl Nodes {
    pub fn new(s: &Skin, kit: Kit) -> Self {
        let d = &s.d;
        let corner = |x: f64, z: f64, inset: f64, sweep: f64| {
            let y = s.house_half(x, z) - inset;
            s.pull([x + sweep * (y / s.half) * (y / s.half), y, z])
        };
        let (xc, xb) = (s.screen_foot.0, s.rear_foot.0);
        let screen_foot = corner(xc, s.waist(xc) + 0.005, 0.06, 0.06 - d.sweep_f);
        let roof_front = corner(s.screen_head.0, s.screen_head.1 - 0.02, 0.07, -d.sweep_f);
        let roof_rear = corner(s.rear_head.0, s.rear_head.1 - 0.02, 0.07, d.sweep_r);
        let rear_foot = corner(xb, s.waist(xb) + 0.01, 0.06, d.sweep_r - 0.02);

        let (x0, x1) = (roof_rear[0], roof_front[0]);
        let rail = |x: f64| {
            let t = ((x - x0) / (x1 - x0)).clamp(0.0, 1.0);
            let arch = 1.0 - (2.0 * t - 1.0) * (2.0 * t - 1.0);
            roof_rear[2] + (roof_front[2] - roof_rear[2]) * t - 0.075 + 0.02 * arch
        };
        let end = if kit.third_glass { d.x_d } else { d.x_c };
        let glass_end = s.x_rear_axle + end;
        let front_x = screen_foot[0] - 0.13;
        let up_rear = (x0 + 0.10).min(glass_end + 0.75);
        let up_rear = if kit.tail == Tail::Barn { x0 + 0.06 } else { up_rear.max(glass_end + 0.03) };
        let up_front = x1 - 0.06;
        let glass_front = s.belt_point(front_x);
        let glass_rear = s.belt_point(glass_end);
        let steps = 48;
        let glass_top = Line(
            (0..=steps)
                .map(|i| up_rear + (up_front - up_rear) * f64::from(i) / f64::from(steps))
                .map(|x| s.side(x, rail(x)))
                .collect(),
        );
        let (glass_up_rear, glass_up_front) = (glass_top.first(), glass_top.last());
        let across = |n: V3, bow: f64| {
            let steps = 32;
            let at = |i: i32| f64::from(i) / f64::from(steps) * 2.0 - 1.0;
            let bent = |t: f64| [n[0] + bow * (1.0 - t * t), n[1] * t, n[2] + 0.04 * (1.0 - t * t)];
            Line((0..=steps).map(|i| s.pull(bent(at(i)))).collect())
        };
        let share = |n: V3| (n[1] / s.half) * (n[1] / s.half);
        let bumper = |nose: bool, z: f64, arch: Arch| wrap(s, nose, z, arch_x(s, arch, z, nose));
        let radius = d.tyre_r + ARCH_GAP;
        let front_arch = (s.x_front_axle, d.tyre_r, radius);
        let rear_arch = (s.x_rear_axle, d.tyre_r, radius);
        Nodes {
            screen_low: across(screen_foot, d.sweep_f * share(screen_foot)),
            screen_high: across(roof_front, d.sweep_f * share(roof_front)),
            rear_high: across(roof_rear, -d.sweep_r * share(roof_rear)),
            rear_low: across(rear_foot, -d.sweep_r * share(rear_foot)),
            screen_edge: s.chord(&[screen_foot, roof_front]),
            rear_edge: s.chord(&[rear_foot, roof_rear]),
            roof_edge: s.chord(&[roof_rear, roof_front]),
            glass_front_edge: s.chord(&[glass_front, glass_up_front]),
            glass_rear_edge: s.chord(&[glass_rear, glass_up_rear]),
            front_bumper_top: bumper(true, d.h_bump_f, front_arch),
            rear_bumper_top: bumper(false, d.h_bump_r, rear_arch),
            screen_foot,
            roof_front,
            roof_rear,
            rear_foot,
            glass_front,
            glass_up_front,
            glass_up_rear,
            glass_top,
            glass_end,
            front_arch,
            rear_arch,
            sill_low: d.clear + 0.045,
            sill_high: d.clear + 0.17,
        }
    }
}

/// Where a height meets an arch, on its nose or tail side.
pub(super) fn arch_x(s: &Skin, arch: Arch, z: f64, nose: bool) -> f64 {
    let h = (z - s.d.tyre_r).max(0.0);
    let reach = (arch.2 * arch.2 - h * h).max(0.02).sqrt();
    arch.0 + if nose { reach } else { -reach }
}

/// A line of one height round nose or tail, from the middle to `x_end` on the left side.
pub(super) fn wrap(s: &Skin, nose: bool, z: f64, x_end: f64) -> Line {
    let sign = if nose { 1.0 } else { -1.0 };
    let x0 = if nose { s.x_front - 1.0 } else { s.x_rear + 1.0 };
    let end = s.side(x_end, z);
    let turn = libm::atan2(end[1], sign * (end[0] - x0));
    let steps = 48;
    let mut guess = 0.95;
    let mut points = Vec::with_capacity(steps + 1);
    for i in 0..=steps {
        let a = turn * i as f64 / steps as f64;
        let p = s.cast([x0, 0.0, z], [sign * libm::cos(a), libm::sin(a), 0.0], 2.5, guess);
        guess = norm(sub(p, [x0, 0.0, z]));
        points.push(p);
    }
    Line(points)
}
