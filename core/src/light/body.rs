//! A body as light sees it: its patches with a direction to measure lines from, and its triangles in a tree. Pure.

use std::sync::OnceLock;

use super::blocking::{Blocker, lifted, triangles};
use crate::record::words::Form;
use crate::vehicle::{Class, Geometry, Panel, V3, cross, dot, norm, scale, sub, unit};

/// A place on a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Where, metres.
    pub at: V3,
    /// Outward unit normal.
    pub normal: V3,
}

/// A place of a body from which light is reckoned: a patch's middle, or the place of a mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// Where, and which way it faces.
    pub place: Place,
    /// Unit vector in the surface along u: the direction of angle 0 of a line.
    pub along: V3,
    /// Unit vector in the surface a quarter further: normal crossed with `along`.
    pub across: V3,
    /// Where rays start, a little outside.
    pub(super) start: V3,
}

impl Site {
    fn new(at: V3, normal: V3, towards_u: V3) -> Site {
        let flat = sub(towards_u, scale(normal, dot(towards_u, normal)));
        // A panel's pole has no u: any direction will do there, if it is always the same.
        let along = if norm(flat) > 1e-6 { unit(flat) } else { beside(normal) };
        Site { place: Place { at, normal }, along, across: cross(normal, along), start: lifted(at, normal) }
    }
    /// The direction in the surface at an angle from u, degrees.
    pub fn direction(&self, angle_deg: f64) -> V3 {
        let a = angle_deg.to_radians();
        let (c, s) = (libm::cos(a), libm::sin(a));
        [0, 1, 2].map(|i| self.along[i] * c + self.across[i] * s)
    }
    /// The angle of a direction from u, degrees, from 0 to 180: a line has no arrow.
    pub fn angle_deg(&self, direction: V3) -> f64 {
        let a = libm::atan2(dot(direction, self.across), dot(direction, self.along)).to_degrees();
        let a = if a < 0.0 { a + 180.0 } else { a };
        if a >= 180.0 { a - 180.0 } else { a }
    }
}

/// A unit vector at right angles to a direction, always the same one.
pub(super) fn beside(n: V3) -> V3 {
    unit(cross(n, least(n)))
}

/// The axis that a direction runs along least.
fn least(n: V3) -> V3 {
    let [x, y, z] = n.map(f64::abs);
    match () {
        () if x <= y && x <= z => [1.0, 0.0, 0.0],
        () if y <= z => [0.0, 1.0, 0.0],
        () => [0.0, 0.0, 1.0],
    }
}

/// The outline of a body's paint from above: its rear, front, right and left, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plan {
    pub rear: f64,
    pub front: f64,
    pub right: f64,
    pub left: f64,
}

impl Plan {
    /// How far in over the outline a place lies; less than nothing beside it.
    pub fn depth(&self, place: V3) -> f64 {
        let [x, y, _] = place;
        [x - self.rear, self.front - x, y - self.right, self.left - y]
            .into_iter()
            .fold(f64::INFINITY, f64::min)
    }
    /// Whether a place is on a side where nobody can stand.
    pub fn shut(&self, blocked: Blocked, place: V3) -> bool {
        let [x, y, _] = place;
        (blocked.left && y > self.left)
            || (blocked.right && y < self.right)
            || (blocked.front && x > self.front)
            || (blocked.rear && x < self.rear)
    }
}

/// Sides of the car where nobody can stand: a wall, a hedge, traffic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Blocked {
    /// Left as seated.
    pub left: bool,
    /// Right as seated.
    pub right: bool,
    /// Ahead of the car.
    pub front: bool,
    /// Behind it.
    pub rear: bool,
}

/// A body as light sees it.
#[derive(Debug, Clone)]
pub struct Body<'g> {
    /// What it is made from.
    pub geometry: &'g Geometry,
    /// What stands in the way of rays.
    pub blocker: Blocker,
    /// Every patch, panel by panel as in the geometry.
    pub(super) sites: Vec<Site>,
    /// Its outline from above.
    pub(super) plan: Plan,
    /// Where each panel's patches begin, and, last, where they end.
    pub(super) first: Vec<usize>,
}

impl<'g> Body<'g> {
    /// The body of a geometry.
    pub fn new(geometry: &'g Geometry) -> Body<'g> {
        let (mut sites, mut first) = (Vec::new(), vec![0]);
        for panel in &geometry.panels {
            sites.extend(panel.patches.iter().map(|p| {
                let at = p.centre_dmm.map(|c| f64::from(c) / 10_000.0);
                Site::new(at, unit(p.normal_ppm.map(f64::from)), towards_u(panel, p.u_ppm, p.v_ppm))
            }));
            first.push(sites.len());
        }
        let (low, high) = geometry.bounds_dmm(&|panel| panel.class == Class::Paint);
        let [metres_low, metres_high] = [low, high].map(|p| p.map(|c| f64::from(c) / 10_000.0));
        let plan =
            Plan { rear: metres_low[0], front: metres_high[0], right: metres_low[1], left: metres_high[1] };
        Body { geometry, blocker: Blocker::new(&triangles(geometry)), sites, plan, first }
    }

    /// The place of (u, v) on a panel, in parts per million. Its normal is that of the surface there, on the side to which the
    /// nearest patch faces.
    pub fn site(&self, panel: &str, u_ppm: u32, v_ppm: u32) -> Option<Site> {
        let panel = self.geometry.panel(panel)?;
        let (u_ppm, v_ppm) = (u_ppm.min(1_000_000), v_ppm.min(1_000_000));
        let far = |a: u32, b: u32| i64::from(a.abs_diff(b)).pow(2);
        let near = panel.patches.iter().min_by_key(|p| far(p.u_ppm, u_ppm) + far(p.v_ppm, v_ppm))?;
        let near = unit(near.normal_ppm.map(f64::from));
        let (u, v) = (f64::from(u_ppm) / 1e6, f64::from(v_ppm) / 1e6);
        let along = towards_u(panel, u_ppm, v_ppm);
        let across = sub(panel.at(u, (v + STEP).min(1.0)), panel.at(u, (v - STEP).max(0.0)));
        let tilt = cross(along, across);
        let normal = match norm(tilt) > 1e-9 {
            true if dot(tilt, near) < 0.0 => scale(unit(tilt), -1.0),
            true => unit(tilt),
            false => near,
        };
        Some(Site::new(panel.at(u, v), normal, along))
    }

    /// The place on the ground so far off a site, metres: straight away from it, and outside the body's outline as seen from above.
    pub fn stand_off(&self, site: &Site, off_m: f64) -> [f64; 2] {
        let ([x, y, _], [nx, ny, _]) = (site.place.at, site.place.normal);
        let plan = self.plan;
        let level = (nx * nx + ny * ny).sqrt();
        // Of a roof or a bonnet the nearest side.
        let (ax, ay) = match () {
            () if level > 0.3 => (nx / level, ny / level),
            () if x > plan.front - 1.0 => (1.0, 0.0),
            () if x < plan.rear + 0.7 => (-1.0, 0.0),
            () if y >= 0.0 => (0.0, 1.0),
            () => (0.0, -1.0),
        };
        let beside = |at: f64, way: f64, low: f64, high: f64| match way {
            way if way > 0.5 => at.max(high),
            way if way < -0.5 => at.min(low),
            _ => at,
        };
        [beside(x, ax, plan.rear, plan.front) + ax * off_m, beside(y, ay, plan.right, plan.left) + ay * off_m]
    }

    /// Whether an eye can be over a place of the ground, metres: beside the body, or leaning over its edge.
    pub fn has_room(&self, x: f64, y: f64) -> bool {
        self.plan.depth([x, y, 0.0]) <= LEAN_M
    }

    /// Whether an eye sees a site: it faces it, and the car does not stand in between.
    pub fn sees(&self, site: &Site, eye: V3) -> bool {
        dot(site.place.normal, sub(eye, site.place.at)) > 0.0 && !self.blocker.between(site.start, eye)
    }

    /// The direction of a stroke between two places (u, v) of one panel; nothing for one without length.
    pub fn stroke(&self, panel: &str, from: (u32, u32), to: (u32, u32)) -> Option<V3> {
        let panel = self.geometry.panel(panel)?;
        let at = |p: (u32, u32)| panel.at(f64::from(p.0) / 1e6, f64::from(p.1) / 1e6);
        let way = sub(at(to), at(from));
        (norm(way) > 1e-6).then(|| unit(way))
    }
}

/// So far in over a body's outline a person can lean, metres. Common practice, no source.
pub(super) const LEAN_M: f64 = 0.5;

/// Whether a panel matters: one that is named, or, none named, all that are painted on every car of the form.
pub(super) fn matters(panel: &Panel, panels: &[&str]) -> bool {
    match panels {
        [] => panel.class == Class::Paint && !panel.optional,
        named => named.contains(&panel.id),
    }
}

/// How far u is followed to see which way it runs.
const STEP: f64 = 0.02;

fn towards_u(panel: &Panel, u_ppm: u32, v_ppm: u32) -> V3 {
    let (u, v) = (f64::from(u_ppm) / 1e6, f64::from(v_ppm) / 1e6);
    sub(panel.at((u + STEP).min(1.0), v), panel.at((u - STEP).max(0.0), v))
}

/// The body of a form with its default measures; built once.
pub fn body(form: Form) -> &'static Body<'static> {
    static BUILT: [OnceLock<Body<'static>>; Form::ALL.len()] = [const { OnceLock::new() }; Form::ALL.len()];
    BUILT[form as usize].get_or_init(|| Body::new(crate::vehicle::geometry(form)))
}
