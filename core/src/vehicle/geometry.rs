//! What leaves the generator: panels with their patches, and the answers about places on them. Pure.

use super::dual::{V3, norm, sub};
use super::measure::Held;
use super::surface::{Family, PPM, Patch, Surface};
use crate::record::words::Form;
use sha2::{Digest, Sha256};

/// The generator's version. A job keeps the version it was recorded with; a change of any default, formula or cut
/// raises it.
pub const GEOMETRY_VERSION: u32 = 1;

/// What a part is made of, as far as care and light tell parts apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// Painted, gets an outcome of its own unless it is part of another panel.
    Paint,
    /// Windows, screens, mirror glass.
    Glass,
    /// Lamps.
    Lamp,
    /// Wheels without tyres.
    Wheel,
    /// Tyres.
    Tyre,
    /// Everything else outside: plastic, rubber, chrome, fabric of a soft top, seats of a motorcycle.
    Trim,
}

impl Class {
    /// Every class.
    pub const ALL: &'static [Class] =
        &[Class::Paint, Class::Glass, Class::Lamp, Class::Wheel, Class::Tyre, Class::Trim];
    /// The class as data.
    pub fn word(self) -> &'static str {
        match self {
            Class::Paint => "paint",
            Class::Glass => "glass",
            Class::Lamp => "lamp",
            Class::Wheel => "wheel",
            Class::Tyre => "tyre",
            Class::Trim => "trim",
        }
    }
}

/// Side of the vehicle as seated, facing forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Left as seated.
    Left,
    /// Right as seated.
    Right,
    /// On the middle line.
    Middle,
}

impl Side {
    /// Every side.
    pub const ALL: &'static [Side] = &[Side::Left, Side::Right, Side::Middle];
    /// The side as data.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
            Side::Middle => "middle",
        }
    }
}

/// What of a part is its outline in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rim {
    /// The border of its (u, v).
    Border,
    /// Whatever stands out furthest: bulging parts.
    Hull,
    /// Both flanks of a tube along u.
    Flanks,
}

/// One part of the outside of a vehicle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Panel {
    /// Neutral name, the same in every language (see `text` for the words).
    pub id: &'static str,
    /// What it is made of.
    pub class: Class,
    /// On which side it sits.
    pub side: Side,
    /// How (u, v) lies on it.
    pub family: Family,
    /// The panel that a small painted part is counted with when panels are gone through one by one: a pillar or flap
    /// is pressed from, or sits in, its neighbour.
    pub part_of: Option<&'static str>,
    /// Not on every car of the form (sunroof, roof bars): asked for only when a job names it.
    pub optional: bool,
    /// 20 to 80 patches that make it up.
    pub patches: Vec<Patch>,
    /// It lies on top of others (a handle on a door), so it wins a touch and hides what is below in drawings.
    pub(super) layer: u8,
    pub(super) rim: Rim,
    pub(super) surface: Surface,
}

impl Panel {
    /// Area, square millimetres.
    pub fn area_mm2(&self) -> u64 {
        self.patches.iter().map(|p| u64::from(p.area_mm2)).sum()
    }
    /// Lowest v, in parts per million, that a wheel arch leaves of the panel at u: nothing of it lies below.
    pub fn floor_ppm(&self, u_ppm: u32) -> u32 {
        (self.surface.floor(f64::from(u_ppm) / PPM) * PPM).round() as u32
    }
    /// The lowest v that an arch leaves of the panel at u, both from 0 to 1.
    pub(crate) fn floor(&self, u: f64) -> f64 {
        self.surface.floor(u)
    }
    /// The place in space of (u, v), each from 0 to 1, metres.
    pub(crate) fn at(&self, u: f64, v: f64) -> V3 {
        self.surface.at(u, v)
    }
    /// The surface as a grid: columns, rows, and points in tenths of a millimetre, all v of u = 0 first.
    pub fn grid(&self) -> (usize, usize, &[[i32; 3]]) {
        (self.surface.nu, self.surface.nv, &self.surface.points)
    }
}

/// Which way a stroke runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Runs {
    /// From front to rear.
    Lengthways,
    /// From side to side.
    Crossways,
    /// Up and down.
    Upright,
    /// None of these.
    Slanting,
}

impl Runs {
    /// Every word.
    pub const ALL: &'static [Runs] = &[Runs::Lengthways, Runs::Crossways, Runs::Upright, Runs::Slanting];
    /// The word as data (list `runs`).
    pub fn word(self) -> &'static str {
        match self {
            Runs::Lengthways => "lengthways",
            Runs::Crossways => "crossways",
            Runs::Upright => "upright",
            Runs::Slanting => "slanting",
        }
    }
}

/// A place in space, millimetres: x forward, y left, z up from the ground below the middle of the wheelbase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// Forward.
    pub x_mm: i64,
    /// To the left as seated.
    pub y_mm: i64,
    /// Above ground.
    pub z_mm: i64,
}

/// A line on the body for drawings only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Crease {
    pub side: Side,
    pub family: Family,
    /// Layer of what it is drawn on: parts above hide it.
    pub layer: u8,
    /// Tenths of a millimetre.
    pub points: Vec<[i32; 3]>,
}

/// A vehicle's outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Geometry {
    /// The outline.
    pub form: Form,
    /// [`GEOMETRY_VERSION`] of the generator.
    pub version: u32,
    /// Every part of the outside, left and right.
    pub panels: Vec<Panel>,
    /// Lines of the body that border nothing, for drawings: seams, ribs, spokes.
    pub(super) creases: Vec<Crease>,
    /// The given measures that had to be held to what the form can take.
    pub held: Vec<Held>,
}

impl Geometry {
    /// A panel by its neutral name.
    pub fn panel(&self, id: &str) -> Option<&Panel> {
        self.panels.iter().find(|p| p.id == id)
    }
    /// The place in space of a place on a panel.
    pub fn point(&self, id: &str, u_ppm: u32, v_ppm: u32) -> Option<Point> {
        let p = self.panel(id)?.surface.at(f64::from(u_ppm) / PPM, f64::from(v_ppm) / PPM);
        let mm = |c: f64| (c * 1000.0).round() as i64;
        Some(Point { x_mm: mm(p[0]), y_mm: mm(p[1]), z_mm: mm(p[2]) })
    }
    /// Height above ground of a place on a panel, millimetres. "About": the form is not the very car.
    pub fn height_mm(&self, id: &str, u_ppm: u32, v_ppm: u32) -> Option<i64> {
        self.point(id, u_ppm, v_ppm).map(|p| p.z_mm)
    }
    /// Length along the surface of a stroke between two places (u, v) of one panel, micrometres.
    pub fn stroke_length_um(&self, id: &str, from: (u32, u32), to: (u32, u32)) -> Option<i64> {
        const STEPS: u32 = 24;
        let surface = &self.panel(id)?.surface;
        let at = |k: u32| {
            let t = f64::from(k) / f64::from(STEPS);
            let between = |a: u32, b: u32| (f64::from(a) + (f64::from(b) - f64::from(a)) * t) / PPM;
            surface.at(between(from.0, to.0), between(from.1, to.1))
        };
        let metres: f64 = (0..STEPS).map(|k| norm(sub(at(k + 1), at(k)))).sum();
        Some((metres * 1e6).round() as i64)
    }
    /// Which way a stroke runs, as the vehicle stands.
    pub fn stroke_runs(&self, id: &str, from: (u32, u32), to: (u32, u32)) -> Option<Runs> {
        let surface = &self.panel(id)?.surface;
        let at = |p: (u32, u32)| surface.at(f64::from(p.0) / PPM, f64::from(p.1) / PPM);
        let along = sub(at(to), at(from)).map(f64::abs);
        let all = norm(along);
        if all == 0.0 {
            return None;
        }
        // Within 30 degrees of an axis it runs along it: a finger on a drawing is no better than that.
        let near = |axis: usize| along[axis] / all > 0.866;
        Some(match () {
            () if near(0) => Runs::Lengthways,
            () if near(1) => Runs::Crossways,
            () if near(2) => Runs::Upright,
            () => Runs::Slanting,
        })
    }
    /// Straight distance between two places on any two panels, millimetres.
    pub fn distance_mm(&self, a: (&str, u32, u32), b: (&str, u32, u32)) -> Option<i64> {
        let place = |p: (&str, u32, u32)| {
            Some(self.panel(p.0)?.surface.at(f64::from(p.1) / PPM, f64::from(p.2) / PPM))
        };
        Some((norm(sub(place(a)?, place(b)?)) * 1000.0).round() as i64)
    }
    /// Least and greatest x, y, z of the given classes' surfaces, tenths of a millimetre.
    pub fn bounds_dmm(&self, wanted: &dyn Fn(&Panel) -> bool) -> ([i32; 3], [i32; 3]) {
        let (mut low, mut high) = ([i32::MAX; 3], [i32::MIN; 3]);
        for p in self.panels.iter().filter(|p| wanted(p)).flat_map(|p| &p.surface.points) {
            for axis in 0..3 {
                low[axis] = low[axis].min(p[axis]);
                high[axis] = high[axis].max(p[axis]);
            }
        }
        (low, high)
    }
    /// SHA-256 over the canonical bytes: the snapshot by which a version is known.
    pub fn hash(&self) -> [u8; 32] {
        Sha256::digest(self.canonical_bytes()).into()
    }
    /// Every whole number of the geometry, little-endian, in order, with names in front of what they name.
    pub fn canonical_bytes(&self) -> Vec<u8> {
        let mut out = Vec::new();
        let word = |out: &mut Vec<u8>, w: &str| {
            out.extend((w.len() as u32).to_le_bytes());
            out.extend(w.as_bytes());
        };
        word(&mut out, "sidelong geometry");
        out.extend(self.version.to_le_bytes());
        word(&mut out, self.form.word());
        out.extend((self.panels.len() as u32).to_le_bytes());
        for panel in &self.panels {
            word(&mut out, panel.id);
            word(&mut out, panel.class.word());
            word(&mut out, panel.side.word());
            word(&mut out, panel.part_of.unwrap_or(""));
            let s = &panel.surface;
            for n in [s.nu, s.nv, s.floor.len(), panel.patches.len()] {
                out.extend((n as u32).to_le_bytes());
            }
            for p in &s.points {
                p.iter().for_each(|c| out.extend(c.to_le_bytes()));
            }
            s.floor.iter().for_each(|c| out.extend(c.to_le_bytes()));
            for p in &panel.patches {
                p.centre_dmm.iter().chain(&p.normal_ppm).for_each(|c| out.extend(c.to_le_bytes()));
                [p.area_mm2, p.u_ppm, p.v_ppm].iter().for_each(|c| out.extend(c.to_le_bytes()));
            }
        }
        out
    }
}
