//! A blank as evidence: whether a look that recorded nothing could have shown a certain mark. Pure.
//!
//! The words are: could have been seen, if the look was made as stated. What nobody said of the mark is taken as the harder
//! case: a line of unknown direction could only have been seen where every direction could.

use super::body::Body;
use super::look::{Hindrance, Look, Unfit};
use super::seen::look_shows_at;
use super::shown::Shown;
use super::shows::Sizes;
use crate::record::words::{Fault, MarkKind};

/// A mark that is asked about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked<'a> {
    /// The panel.
    pub panel: &'a str,
    /// Place along it, parts per million.
    pub u_ppm: u32,
    /// Place across it, parts per million.
    pub v_ppm: u32,
    /// Where a line that begins there ends, parts per million.
    pub to_ppm: Option<(u32, u32)>,
    /// How light has to fall to show it.
    pub fault: Fault,
    /// Its size, metres: length of a line, width of anything else.
    pub size_m: Option<f64>,
    /// How steep its walls are, degrees.
    pub wall_deg: f64,
}

/// What a look says to a mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// It could have been seen, if the look was made as stated.
    CouldShow,
    /// Its light and eye were right for no part of the stated uncertainty, or not for all of it.
    NotFromThere,
    /// Something takes it away, whatever the geometry.
    Hindered(Vec<Hindrance>),
    /// The look cannot be computed.
    Unfit(Unfit),
    /// The form has no such place, or the line has no length.
    NoSuchPlace,
}

/// How light has to fall to show a kind of mark; nothing for what is not told by light, or not on an outside surface.
pub fn fault_of(kind: MarkKind) -> Option<Fault> {
    use MarkKind as K;
    Some(match kind {
        K::Scratch
        | K::Swirls
        | K::WashMarring
        | K::BufferTrails
        | K::SandingMarks
        | K::KeyedLine
        | K::WiperScratch
        | K::GlassScratch
        | K::Crazing
        | K::LampCrazing => Fault::FineLine,
        K::Haze | K::Residue | K::TrafficFilm | K::LampHaze | K::AcidBloom | K::WaterSpot | K::RubShine => {
            Fault::Haze
        }
        K::CoatingHighSpot
        | K::CoatingLowSpot
        | K::Oxidation
        | K::Fade
        | K::BurnThrough
        | K::BadgeGhost
        | K::RefinishClue
        | K::ClearFailure => Fault::Tone,
        K::StoneChip
        | K::DoorEdgeChip
        | K::Overspray
        | K::IronFallout
        | K::Tar
        | K::Sap
        | K::InsectMark
        | K::BirdMark
        | K::Cement
        | K::PaintTransfer
        | K::PaintDefect
        | K::TouchIn
        | K::GlassChip
        | K::GlassPitting
        | K::ChromePitting
        | K::Rust
        | K::Scuff
        | K::KerbRash
        | K::LacquerPeel
        | K::FilmDamage
        | K::WrapDamage
        | K::BurnedInDust => Fault::Proud,
        K::Dent | K::Crease | K::Hail | K::OrangePeel => Fault::Shape,
        _ => return None,
    })
}

/// What one look says to a mark.
pub fn could_show(body: &Body, look: &Look, asked: &Asked) -> Answer {
    let hindered = look.hinders(asked.fault);
    if let Err(unfit) = look.fit() {
        return Answer::Unfit(unfit);
    }
    if !hindered.is_empty() {
        return Answer::Hindered(hindered);
    }
    let Some(site) = body.site(asked.panel, asked.u_ppm, asked.v_ppm) else { return Answer::NoSuchPlace };
    let wanted = match (asked.fault, asked.to_ppm) {
        (Fault::FineLine, Some(to)) => match body.stroke(asked.panel, (asked.u_ppm, asked.v_ppm), to) {
            Some(along) => Shown::line(site.angle_deg(along)),
            None => return Answer::NoSuchPlace,
        },
        (fault, _) => Shown::of(fault),
    };
    let sizes = match asked.size_m {
        Some(size) => Sizes::stated(asked.wall_deg, size),
        None => Sizes::usual(asked.wall_deg),
    };
    match look_shows_at(body, look, &site, &sizes) {
        Err(unfit) => Answer::Unfit(unfit),
        Ok(shown) if shown.has(wanted) => Answer::CouldShow,
        Ok(_) => Answer::NotFromThere,
    }
}

/// The last of some looks, in the order in which they were made, that could have shown a mark; none: no look could have
/// shown it. A line whose direction nobody knows may be shown by several looks together, each some directions of it: then the
/// last that adds one counts.
pub fn last_that_could(body: &Body, looks: &[&Look], asked: &Asked) -> Option<usize> {
    if asked.fault != Fault::FineLine || asked.to_ppm.is_some() {
        return looks.iter().rposition(|look| could_show(body, look, asked) == Answer::CouldShow);
    }
    let site = body.site(asked.panel, asked.u_ppm, asked.v_ppm)?;
    let sizes = match asked.size_m {
        Some(size) => Sizes::stated(asked.wall_deg, size),
        None => Sizes::usual(asked.wall_deg),
    };
    let shown = |look: &Look| look_shows_at(body, look, &site, &sizes).unwrap_or_default();
    let mut missing = Shown::ALL_LINES;
    let mut last = None;
    for (at, look) in looks.iter().enumerate().rev() {
        let new = shown(look).within(missing);
        if !new.is_none() {
            last = last.or(Some(at));
            missing = missing.without(new);
        }
    }
    last.filter(|_| missing.is_none())
}
