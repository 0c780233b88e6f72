//! Tests of the light module: what its parts say together, and that no input makes it give up.

mod dump;
mod heading;
mod hostile;
mod looks;
mod where_next;

use super::*;
use crate::record::words::{Ambient, Distance, Fault, Form, Light, Surface};
use crate::vehicle::V3;

/// Numbers that look thrown, the same ones each time (splitmix64, public domain).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.roll() >> 11) as f64 / (1_u64 << 53) as f64
    }
    pub fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.roll() % all.len() as u64) as usize]
    }
}

/// A look that nothing takes anything away from.
pub fn look(light: Light, samples: Vec<Sample>) -> Look {
    Look {
        light,
        samples,
        image: None,
        uncertainty: Uncertainty::NONE,
        surface: Some(Surface::Clean),
        ambient: Some(Ambient::Indoors),
        distance: Some(Distance::Close),
        seconds: Some(3_600),
    }
}

/// A walk along the left side in the sun, bent down, 0.8 m off.
pub fn walk() -> Look {
    let source = Source::sun([0.3, 0.7, 0.65]);
    let eye = |k: u32| [2.0 - 0.05 * f64::from(k), 1.7, 1.25];
    look(Light::Sun, (0..80).map(|k| Sample { source, eye: eye(k) }).collect())
}

pub fn total(seen: &Seen, fault: Fault) -> u32 {
    seen.patches.iter().map(|shown| shown.twelfths(fault)).sum()
}

pub fn saloon() -> &'static Body<'static> {
    body(Form::Saloon)
}
