//! What a look is: its light and eye from moment to moment, how sure both are, and what of it is not geometry. Pure.
//!
//! Times, distances and what drowns a lamp: common practice, no source, unless a line says otherwise.

use super::body::Place;
use crate::record::words::{Ambient, Distance, Fault, Light, Surface};
use crate::vehicle::{V3, dot, norm, sub};

/// The light of one moment, in the frame of the vehicle, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Source {
    /// A lamp, seen as a disc.
    Lamp {
        /// Its middle.
        at: V3,
        /// Half its width, metres.
        radius_m: f64,
    },
    /// Something too far away to have a place: the sun, or a wide piece of sky.
    Far {
        /// Towards it; any length but zero.
        towards: V3,
        /// Half its angle, degrees: 0.27 for the sun, 90 for an overcast sky.
        radius_deg: f64,
    },
    /// A tube, or an edge between bright and dark.
    Line {
        /// One end.
        from: V3,
        /// The other.
        to: V3,
    },
}

impl Source {
    /// The sun: half its angle is 0.27 degrees (0.2666 at one astronomical unit; IAU 2015 Resolution B3's radius).
    pub fn sun(towards: V3) -> Source {
        Source::Far { towards, radius_deg: 0.27 }
    }
    /// An evenly grey sky, or a ceiling that takes its place.
    pub fn sky() -> Source {
        Source::Far { towards: [0.0, 0.0, 1.0], radius_deg: 90.0 }
    }
}

/// One moment of a look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// The light.
    pub source: Source,
    /// The eye, metres.
    pub eye: V3,
}

/// How far the truth may lie from what is stated. Every corner of it is tried; nothing counts as seen that one of them
/// takes away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// Of the eye along each axis, metres, all samples together: a person stood a step further, not each time elsewhere.
    pub eye_m: f64,
    /// Of a lamp along each axis, metres, all samples together.
    pub lamp_m: f64,
    /// Of the place where the light's image was touched, along the surface both ways, metres.
    pub image_m: f64,
    /// Of the vehicle's heading, degrees, beyond what place and image leave open: it turns a light that is far away.
    pub heading_deg: f64,
    /// Of the form, as a tilt of its normals, degrees: the form is not the very car.
    pub normal_deg: f64,
}

impl Uncertainty {
    /// None at all: for checks of the geometry itself.
    pub const NONE: Uncertainty =
        Uncertainty { eye_m: 0.0, lamp_m: 0.0, image_m: 0.0, heading_deg: 0.0, normal_deg: 0.0 };
    /// Two touches on a drawing, one where I stand and one where the light's image is: a step aside, a hand's width. Our choice, no
    /// source.
    pub const STATED: Uncertainty =
        Uncertainty { eye_m: 0.10, lamp_m: 0.0, image_m: 0.05, heading_deg: 0.0, normal_deg: 1.0 };
    /// A phone's lamp swept with its rotation sensor. Our choice, no source.
    pub const SENSED: Uncertainty =
        Uncertainty { eye_m: 0.05, lamp_m: 0.02, image_m: 0.0, heading_deg: 2.0, normal_deg: 1.0 };
}

/// A look at a vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Under what kind of light.
    pub light: Light,
    /// Light and eye, moment by moment.
    pub samples: Vec<Sample>,
    /// Where the light's mirror image was touched, as seen by the first sample's eye: it ties light and eye together, so that
    /// an eye that stood elsewhere means a light that was elsewhere too.
    pub image: Option<Place>,
    /// How sure they are.
    pub uncertainty: Uncertainty,
    /// State of the surface; unknown means not seen.
    pub surface: Option<Surface>,
    /// What else was bright; unknown means not seen under a lamp.
    pub ambient: Option<Ambient>,
    /// How near the look was; unknown means not seen.
    pub distance: Option<Distance>,
    /// Time spent, seconds; unknown means not seen.
    pub seconds: Option<u32>,
}

/// Why a look shows nothing of a kind of fault, whatever its geometry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hindrance {
    /// Nobody said what state the surface was in.
    SurfaceUnknown,
    /// Dirt hides it.
    Dirty,
    /// Dust hides all but the shape.
    Dusty,
    /// Water hides it.
    Wet,
    /// There was no light.
    Dark,
    /// Nobody said what else was bright.
    AmbientUnknown,
    /// Daylight outshines a lamp.
    Drowned,
    /// Nobody said how near the look was.
    DistanceUnknown,
    /// A walk past at a distance.
    WalkPast,
    /// Nobody said how long it took.
    TimeUnknown,
    /// Less time than the looking takes.
    TooFast,
    /// This kind of light does not show this kind of fault.
    OtherLight,
    /// Nobody said where on earth, so where the sun stood is not known.
    SunUnknown,
    /// Which way the vehicle pointed is not known.
    HeadingUnknown,
    /// Where the lamp's image was is not known, and so where the lamp was.
    ImageUnknown,
    /// It cannot have been made as stated.
    NotAsStated,
    /// Its places refer to a drawing of the form that this version does not have.
    OtherDrawing,
}

impl Hindrance {
    /// Every hindrance.
    pub const ALL: &'static [Hindrance] = &[
        Hindrance::SurfaceUnknown,
        Hindrance::Dirty,
        Hindrance::Dusty,
        Hindrance::Wet,
        Hindrance::Dark,
        Hindrance::AmbientUnknown,
        Hindrance::Drowned,
        Hindrance::DistanceUnknown,
        Hindrance::WalkPast,
        Hindrance::TimeUnknown,
        Hindrance::TooFast,
        Hindrance::OtherLight,
        Hindrance::SunUnknown,
        Hindrance::HeadingUnknown,
        Hindrance::ImageUnknown,
        Hindrance::NotAsStated,
        Hindrance::OtherDrawing,
    ];
    /// The hindrance as data (list `hindrance`).
    pub fn word(self) -> &'static str {
        match self {
            Hindrance::SurfaceUnknown => "surface-unknown",
            Hindrance::Dirty => "dirty",
            Hindrance::Dusty => "dusty",
            Hindrance::Wet => "wet",
            Hindrance::Dark => "dark",
            Hindrance::AmbientUnknown => "ambient-unknown",
            Hindrance::Drowned => "drowned",
            Hindrance::DistanceUnknown => "distance-unknown",
            Hindrance::WalkPast => "walk-past",
            Hindrance::TimeUnknown => "time-unknown",
            Hindrance::TooFast => "too-fast",
            Hindrance::OtherLight => "other-light",
            Hindrance::SunUnknown => "sun-unknown",
            Hindrance::HeadingUnknown => "heading-unknown",
            Hindrance::ImageUnknown => "image-unknown",
            Hindrance::NotAsStated => "not-as-stated",
            Hindrance::OtherDrawing => "other-drawing",
        }
    }
}

/// Why a look cannot be computed at all. Samples are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// Nothing was looked at.
    #[error("the look has no samples")]
    NoSamples,
    /// More than a look can be.
    #[error("the look has {count} samples; {most} are the most", most = Look::MOST_SAMPLES)]
    TooManySamples {
        /// How many.
        count: usize,
    },
    /// A number that is none, or further off than a hundred million metres.
    #[error("sample {sample}: {field} is not a number that can be computed with")]
    NotANumber {
        /// Which sample.
        sample: usize,
        /// Which field of it.
        field: &'static str,
    },
    /// A direction without length, or a line without.
    #[error("sample {sample}: {field} has no length")]
    NoLength {
        /// Which sample.
        sample: usize,
        /// Which field of it.
        field: &'static str,
    },
    /// A radius below zero, or a far light of more than a half sky.
    #[error("sample {sample}: the radius of the light must lie between 0 and 90 degrees, or 0 and 10 m")]
    Radius {
        /// Which sample.
        sample: usize,
    },
    /// The light or the eye is under the ground.
    #[error("sample {sample}: {field} is below the ground, or below the horizon")]
    BelowGround {
        /// Which sample.
        sample: usize,
        /// Which field of it.
        field: &'static str,
    },
    /// The light or the eye is in the car.
    #[error("sample {sample}: {field} is inside the vehicle")]
    InVehicle {
        /// Which sample.
        sample: usize,
        /// Which field of it.
        field: &'static str,
    },
    /// An image that lies nowhere.
    #[error("image: its place is not a place on a surface")]
    Image,
    /// Walls of a fine line that are none.
    #[error("the walls of a fine line must be between 0.1 and 60 degrees steep")]
    Wall,
    /// An uncertainty that is none.
    #[error("uncertainty: {field} must lie between 0 and {most}")]
    Uncertainty {
        /// Which field of it.
        field: &'static str,
        /// The most that can be computed with.
        most: u32,
    },
}

impl Look {
    /// A look of an hour at ten samples a second is not a look any more.
    pub const MOST_SAMPLES: usize = 36_000;
    /// The least time a look takes, seconds: 20 to 40 s a panel under each light is usual.
    pub const LEAST_SECONDS: f64 = 20.0;
    /// How fast an eye can go along, metres a second: 0.1 to 0.2 is usual.
    pub const FASTEST_M_S: f64 = 0.2;

    /// What takes this kind of fault away from this look, whatever its geometry.
    pub fn hinders(&self, fault: Fault) -> Vec<Hindrance> {
        let mut found = Vec::new();
        let mut say = |yes: bool, what: Hindrance| {
            if yes {
                found.push(what);
            }
        };
        match self.surface {
            None => say(true, Hindrance::SurfaceUnknown),
            Some(Surface::Clean) => {}
            Some(Surface::Dusty) => say(fault != Fault::Shape, Hindrance::Dusty),
            Some(Surface::Dirty) => say(true, Hindrance::Dirty),
            Some(Surface::Wet) => say(true, Hindrance::Wet),
        }
        match (self.light, self.ambient) {
            (Light::Dark, _) | (Light::Soft, Some(Ambient::Dark)) => say(true, Hindrance::Dark),
            (Light::Sun, _) | (Light::Soft, _) => {}
            (Light::Point | Light::Line | Light::Raking, None) => say(true, Hindrance::AmbientUnknown),
            (Light::Point | Light::Line | Light::Raking, Some(Ambient::Dark | Ambient::Indoors)) => {}
            (Light::Point | Light::Line | Light::Raking, Some(Ambient::Shade | Ambient::Daylight)) => {
                // The edge of an awning or a fence outdoors is bright because the sky is.
                say(self.light != Light::Line, Hindrance::Drowned);
            }
        }
        match self.distance {
            None => say(true, Hindrance::DistanceUnknown),
            Some(Distance::WalkPast) => say(true, Hindrance::WalkPast),
            Some(Distance::Close) => {}
        }
        match self.seconds {
            None => say(true, Hindrance::TimeUnknown),
            Some(seconds) => say(f64::from(seconds) < self.needs_seconds(), Hindrance::TooFast),
        }
        say(!shown_under(self.light).contains(&fault), Hindrance::OtherLight);
        found
    }

    /// The least time that the way of the eye takes, seconds.
    pub fn needs_seconds(&self) -> f64 {
        let way: f64 = self
            .samples
            .windows(2)
            .map(|pair| match pair {
                [a, b] => norm(sub(b.eye, a.eye)),
                _ => 0.0,
            })
            .sum();
        (way / Look::FASTEST_M_S).max(Look::LEAST_SECONDS)
    }

    /// Whether the numbers can be computed with. What the vehicle has to say to them is in `unfit_at`.
    pub fn fit(&self) -> Result<(), Unfit> {
        if self.samples.is_empty() {
            return Err(Unfit::NoSamples);
        }
        if self.samples.len() > Look::MOST_SAMPLES {
            return Err(Unfit::TooManySamples { count: self.samples.len() });
        }
        for (field, value, most) in [
            ("eye_m", self.uncertainty.eye_m, 10),
            ("lamp_m", self.uncertainty.lamp_m, 10),
            ("image_m", self.uncertainty.image_m, 10),
            ("heading_deg", self.uncertainty.heading_deg, 180),
            ("normal_deg", self.uncertainty.normal_deg, 45),
        ] {
            if !(0.0..=f64::from(most)).contains(&value) {
                return Err(Unfit::Uncertainty { field, most });
            }
        }
        if let Some(image) = &self.image {
            let numbers = image.at.iter().chain(&image.normal).all(|c| c.is_finite() && c.abs() <= 1e8);
            if !numbers || (norm(image.normal) - 1.0).abs() > 1e-6 {
                return Err(Unfit::Image);
            }
        }
        self.samples.iter().enumerate().try_for_each(|(sample, it)| it.fit(sample))
    }
}

impl Sample {
    fn fit(&self, sample: usize) -> Result<(), Unfit> {
        let number = |p: V3, field| match p.iter().all(|c| c.is_finite() && c.abs() <= 1e8) {
            true => Ok(()),
            false => Err(Unfit::NotANumber { sample, field }),
        };
        let length = |p: V3, field| match dot(p, p) > 1e-12 {
            true => Ok(()),
            false => Err(Unfit::NoLength { sample, field }),
        };
        let above = |p: V3, field| match p[2] >= 0.0 {
            true => Ok(()),
            false => Err(Unfit::BelowGround { sample, field }),
        };
        let radius = |value: f64, most: f64| match (0.0..=most).contains(&value) {
            true => Ok(()),
            false => Err(Unfit::Radius { sample }),
        };
        number(self.eye, "eye")?;
        above(self.eye, "eye")?;
        match self.source {
            Source::Lamp { at, radius_m } => {
                number(at, "light")?;
                above(at, "light")?;
                radius(radius_m, 10.0)
            }
            Source::Far { towards, radius_deg } => {
                number(towards, "light")?;
                length(towards, "light")?;
                above(towards, "light")?;
                radius(radius_deg, 90.0)
            }
            Source::Line { from, to } => {
                number(from, "light")?;
                number(to, "light")?;
                above(from, "light")?;
                above(to, "light")?;
                length(sub(to, from), "light")
            }
        }
    }
}

/// The kinds of fault that a kind of light can show; the geometry still has to be right.
pub fn shown_under(light: Light) -> &'static [Fault] {
    match light {
        Light::Sun | Light::Point => &[Fault::FineLine, Fault::Haze, Fault::Proud],
        Light::Line => &[Fault::Shape],
        Light::Soft => &[Fault::Tone],
        Light::Raking => &[Fault::Proud],
        Light::Dark => &[],
    }
}
