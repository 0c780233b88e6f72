//! The mirror law at a place. Pure.
//!
//! n is the unit normal, l the unit vector towards the light, v towards the eye, h = (l + v) / |l + v| half-way between; the
//! surface mirrors the light into 2 (n·l) n − l.

use super::body::Place;
use super::look::Source;
use crate::vehicle::{V3, add, cross, dot, norm, scale, sub};

/// Light and eye as a place sees them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mirror {
    /// Unit vector towards the light.
    pub light: V3,
    /// Unit vector towards the eye.
    pub eye: V3,
    /// Unit vector half-way between.
    pub half: V3,
    /// To the eye, metres.
    pub distance_m: f64,
    /// To the light, metres; infinite for a far one.
    pub light_m: f64,
    /// Half the angle of the light's disc, radians.
    pub radius: f64,
}

/// A unit vector and the length it had; nothing for a length that is zero or no number.
pub(super) fn split(v: V3) -> Option<(V3, f64)> {
    let length = norm(v);
    (length > 1e-9 && length < 1e12).then(|| (scale(v, 1.0 / length), length))
}

/// The angle between two unit vectors, radians. By the arc tangent: the arc cosine loses half the digits near zero.
pub fn angle(a: V3, b: V3) -> f64 {
    libm::atan2(norm(cross(a, b)), dot(a, b))
}

/// Refractive index of clear coat; 1.45 to 1.55, from memory.
pub const CLEAR_COAT: f64 = 1.5;

/// The share of unpolarised light that a smooth clear surface mirrors, 0 to 1, by Fresnel's equations for a dielectric of this
/// refractive index (at least 1) in air. `incidence` is the angle to the normal, radians, 0 to a right angle.
pub fn mirrored_share(incidence: f64, index: f64) -> f64 {
    let cos_in = libm::cos(incidence);
    let sin_out = libm::sin(incidence) / index;
    let cos_out = libm::sqrt((1.0 - sin_out * sin_out).max(0.0));
    let across = (cos_in - index * cos_out) / (cos_in + index * cos_out);
    let along = (index * cos_in - cos_out) / (index * cos_in + cos_out);
    (across * across + along * along) / 2.0
}

/// Why a place cannot mirror a light into an eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unlit {
    /// It faces away from the light.
    FacesAwayFromLight,
    /// It faces away from the eye.
    FacesAwayFromEye,
    /// Light or eye lies on it, exactly opposite the other, or no number says where.
    NoWay,
}

impl Unlit {
    /// Every reason.
    pub const ALL: &'static [Unlit] = &[Unlit::FacesAwayFromLight, Unlit::FacesAwayFromEye, Unlit::NoWay];
    /// The reason as data (list `unlit`).
    pub fn word(self) -> &'static str {
        match self {
            Unlit::FacesAwayFromLight => "faces-away-from-light",
            Unlit::FacesAwayFromEye => "faces-away-from-eye",
            Unlit::NoWay => "no-way",
        }
    }
}

impl Mirror {
    /// Light and eye of a sample as a place sees them, whichever way it faces. Of a line, its middle.
    pub fn at(place: &Place, source: &Source, eye: V3) -> Result<Mirror, Unlit> {
        let (eye, distance_m) = split(sub(eye, place.at)).ok_or(Unlit::NoWay)?;
        let (light, light_m, radius) = match *source {
            Source::Lamp { at, radius_m } => {
                let (light, far) = split(sub(at, place.at)).ok_or(Unlit::NoWay)?;
                (light, far, libm::atan(radius_m / far))
            }
            Source::Far { towards, radius_deg } => {
                let (light, _) = split(towards).ok_or(Unlit::NoWay)?;
                (light, f64::INFINITY, radius_deg.to_radians())
            }
            Source::Line { from, to } => {
                let (light, far) = split(sub(scale(add(from, to), 0.5), place.at)).ok_or(Unlit::NoWay)?;
                (light, far, 0.0)
            }
        };
        let (half, _) = split(add(light, eye)).ok_or(Unlit::NoWay)?;
        Ok(Mirror { light, eye, half, distance_m, light_m, radius })
    }

    /// Whether a surface of this normal faces both.
    pub fn lit(&self, n: V3) -> Result<(), Unlit> {
        match () {
            () if dot(n, self.light) <= 0.0 => Err(Unlit::FacesAwayFromLight),
            () if dot(n, self.eye) <= 0.0 => Err(Unlit::FacesAwayFromEye),
            () => Ok(()),
        }
    }

    /// Angle between the eye and the direction into which the surface mirrors the light, radians.
    pub fn off_mirror(&self, n: V3) -> f64 {
        angle(self.eye, sub(scale(n, 2.0 * dot(n, self.light)), self.light))
    }
}

/// The direction in which a light must lie whose image the eye sees at a place; nothing for an eye on it or behind it.
pub fn towards_imaged(place: &Place, eye: V3) -> Option<V3> {
    let (eye, _) = split(sub(eye, place.at))?;
    let up = dot(place.normal, eye);
    (up > 0.0).then(|| sub(scale(place.normal, 2.0 * up), eye))
}
