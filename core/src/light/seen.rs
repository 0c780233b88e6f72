//! What has been seen: per patch, which directions of fine lines and which other kinds of fault some look could have shown.
//! Pure.
//!
//! Seen means seen at every corner of what the look's uncertainty allows: for each corner the samples are united, then the
//! corners are intersected. A person who stood a step to the left did so at every sample, so a sweep that would have found a
//! line from either place has seen it.

use super::body::{Body, Place, Site, beside};
use super::look::{Look, Sample, Source, Unfit, shown_under};
use super::mirror::towards_imaged;
use super::shown::{BINS, Shown};
use super::shows::{Sizes, possible};
use crate::record::words::Fault;
use crate::vehicle::{V3, add, cross, dot, norm, scale, sub, unit};

/// How much of a panel could have shown each kind of fault, in parts per million of its area (of area and direction for
/// fine lines).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PanelShare {
    /// The panel.
    pub panel: &'static str,
    /// Fine lines.
    pub fine_line_ppm: u32,
    /// Haze.
    pub haze_ppm: u32,
    /// Tone.
    pub tone_ppm: u32,
    /// Proud faults.
    pub proud_ppm: u32,
    /// Shape.
    pub shape_ppm: u32,
}

impl PanelShare {
    /// The share of one kind of fault.
    pub fn ppm(&self, fault: Fault) -> u32 {
        match fault {
            Fault::FineLine => self.fine_line_ppm,
            Fault::Haze => self.haze_ppm,
            Fault::Tone => self.tone_ppm,
            Fault::Proud => self.proud_ppm,
            Fault::Shape => self.shape_ppm,
        }
    }
}

/// What has been seen of a body: one entry a patch, panel by panel as in its geometry.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Seen {
    /// What could have shown, patch by patch.
    pub patches: Vec<Shown>,
}

impl Seen {
    /// Nothing seen yet.
    pub fn nothing(body: &Body) -> Seen {
        Seen { patches: vec![Shown::NONE; body.sites.len()] }
    }
    /// Takes in what another look could have shown.
    pub fn join(&mut self, other: &Seen) {
        for (own, new) in self.patches.iter_mut().zip(&other.patches) {
            *own = own.with(*new);
        }
    }
    /// How much of every panel.
    pub fn shares(&self, body: &Body) -> Vec<PanelShare> {
        let share = |(number, panel): (usize, &crate::vehicle::Panel)| {
            let own = self.patches.get(body.first[number]..body.first[number + 1]).unwrap_or_default();
            let of = |fault| {
                let seen: u64 = own
                    .iter()
                    .zip(&panel.patches)
                    .map(|(shown, patch)| u64::from(shown.twelfths(fault)) * u64::from(patch.area_mm2))
                    .sum();
                (seen * 1_000_000 / (panel.area_mm2() * BINS as u64).max(1)) as u32
            };
            PanelShare {
                panel: panel.id,
                fine_line_ppm: of(Fault::FineLine),
                haze_ppm: of(Fault::Haze),
                tone_ppm: of(Fault::Tone),
                proud_ppm: of(Fault::Proud),
                shape_ppm: of(Fault::Shape),
            }
        };
        body.geometry.panels.iter().enumerate().map(share).collect()
    }
}

/// What a look could have shown of a whole body, for fine lines whose walls are as steep as `wall_deg`.
pub fn look_shows(body: &Body, look: &Look, wall_deg: f64) -> Result<Seen, Unfit> {
    look_shows_on(body, look, wall_deg, None)
}

/// The same of some panels alone, by name: nobody looked at the others.
pub fn look_shows_on(
    body: &Body,
    look: &Look,
    wall_deg: f64,
    panels: Option<&[String]>,
) -> Result<Seen, Unfit> {
    let (corners, wanted) = ready(body, look, wall_deg)?;
    let mut seen = Seen::nothing(body);
    if wanted.is_none() {
        return Ok(seen);
    }
    let sizes = Sizes::usual(wall_deg);
    for (number, panel) in body.geometry.panels.iter().enumerate() {
        if panels.is_some_and(|named| !named.iter().any(|id| id == panel.id)) {
            continue;
        }
        let span = body.first[number]..body.first[number + 1];
        let sites = body.sites.get(span.clone()).unwrap_or_default();
        for (shown, site) in seen.patches.get_mut(span).unwrap_or_default().iter_mut().zip(sites) {
            *shown = at_every_corner(body, site, look, &corners, wanted, &sizes);
        }
    }
    Ok(seen)
}

/// What a look could have shown at one place, of a fault of a given size.
pub fn look_shows_at(body: &Body, look: &Look, site: &Site, sizes: &Sizes) -> Result<Shown, Unfit> {
    let (corners, wanted) = ready(body, look, sizes.wall_deg)?;
    Ok(at_every_corner(body, site, look, &corners, wanted, sizes))
}

/// What several looks have shown together, in any order.
pub fn seen<'a>(
    body: &Body,
    looks: impl IntoIterator<Item = &'a Look>,
    wall_deg: f64,
) -> Result<Seen, Unfit> {
    let mut all = Seen::nothing(body);
    for look in looks {
        all.join(&look_shows(body, look, wall_deg)?);
    }
    Ok(all)
}

/// Whether a look can be computed with: its numbers, and that neither eye nor lamp is in the car.
pub fn fits(body: &Body, look: &Look) -> Result<(), Unfit> {
    look.fit()?;
    for (sample, it) in look.samples.iter().enumerate() {
        let last = sample.checked_sub(1).and_then(|before| look.samples.get(before));
        if last.is_none_or(|last| last.eye != it.eye) && body.blocker.holds(it.eye) {
            return Err(Unfit::InVehicle { sample, field: "eye" });
        }
        if let Source::Lamp { at, .. } = it.source
            && last.is_none_or(|last| last.source != it.source)
            && body.blocker.holds(at)
        {
            return Err(Unfit::InVehicle { sample, field: "light" });
        }
    }
    Ok(())
}

/// The corners to be tried, and the kinds of fault that nothing takes away.
fn ready(body: &Body, look: &Look, wall_deg: f64) -> Result<(Vec<Corner>, Shown), Unfit> {
    fits(body, look)?;
    if !(0.1..=60.0).contains(&wall_deg) {
        return Err(Unfit::Wall);
    }
    let wanted = shown_under(look.light)
        .iter()
        .filter(|fault| look.hinders(**fault).is_empty())
        .fold(Shown::NONE, |all, fault| all.with(Shown::of(*fault)));
    Ok((corners(look), wanted))
}

/// One way in which the truth may differ from what is stated.
#[derive(Debug, Clone, Copy)]
struct Corner {
    eye: V3,
    lamp: V3,
    /// Along the surface, metres.
    image: (f64, f64),
    /// Cosine and sine of the turn of a far light.
    turn: (f64, f64),
    /// Slopes by which a normal is tilted along and across.
    tilt: (f64, f64),
}

/// The stated middle first, then every corner.
fn corners(look: &Look) -> Vec<Corner> {
    let u = &look.uncertainty;
    let far = look.samples.iter().all(|sample| matches!(sample.source, Source::Far { .. }));
    let middle =
        Corner { eye: [0.0; 3], lamp: [0.0; 3], image: (0.0, 0.0), turn: (1.0, 0.0), tilt: (0.0, 0.0) };
    let mut all = vec![middle];
    let mut spread = |by: f64, set: &dyn Fn(&mut Corner, f64)| {
        if by > 0.0 {
            let both = all.iter().flat_map(|corner| {
                [-by, by].map(|by| {
                    let mut corner = *corner;
                    set(&mut corner, by);
                    corner
                })
            });
            all = both.collect();
        }
    };
    let slope = libm::tan(u.normal_deg.to_radians());
    spread(slope, &|c, by| c.tilt.0 = by);
    spread(slope, &|c, by| c.tilt.1 = by);
    for axis in 0..3 {
        spread(u.eye_m, &|c, by| c.eye[axis] = by);
    }
    if look.image.is_some() {
        spread(u.image_m, &|c, by| c.image.0 = by);
        spread(u.image_m, &|c, by| c.image.1 = by);
    }
    if far {
        spread(u.heading_deg.to_radians(), &|c, by| c.turn = (libm::cos(by), libm::sin(by)));
    } else {
        for axis in 0..3 {
            spread(u.lamp_m, &|c, by| c.lamp[axis] = by);
        }
    }
    if let (Some(image), Some(first)) = (&look.image, look.samples.first()) {
        all.iter_mut().for_each(|corner| corner.tie(image, first));
    }
    all.insert(0, middle);
    all
}

impl Corner {
    /// Moves the light as an eye and an image that lie elsewhere ask for: a far one turns, a lamp goes along at its distance.
    fn tie(&mut self, image: &Place, first: &Sample) {
        let along = beside(image.normal);
        let off = add(scale(along, self.image.0), scale(cross(image.normal, along), self.image.1));
        let moved = Place { at: add(image.at, off), normal: image.normal };
        let (Some(then), Some(now)) =
            (towards_imaged(image, first.eye), towards_imaged(&moved, add(first.eye, self.eye)))
        else {
            return;
        };
        match first.source {
            Source::Far { .. } => {
                // How far the one is turned from the other, seen from above.
                let cosine = then[0] * now[0] + then[1] * now[1];
                let sine = then[0] * now[1] - then[1] * now[0];
                let length = (cosine * cosine + sine * sine).sqrt();
                if length > 1e-9 {
                    let (c, s) = (cosine / length, sine / length);
                    self.turn = (self.turn.0 * c - self.turn.1 * s, self.turn.1 * c + self.turn.0 * s);
                }
            }
            Source::Lamp { at, .. } => {
                let held = norm(sub(at, image.at));
                let before = add(image.at, scale(then, held));
                let after = add(moved.at, scale(now, held));
                self.lamp = add(self.lamp, sub(after, before));
            }
            Source::Line { .. } => self.lamp = add(self.lamp, off),
        }
    }
    fn site(&self, site: &Site) -> Place {
        if self.tilt == (0.0, 0.0) {
            return site.place;
        }
        let tilted =
            add(site.place.normal, add(scale(site.along, self.tilt.0), scale(site.across, self.tilt.1)));
        Place { at: site.place.at, normal: unit(tilted) }
    }
    fn sample(&self, sample: &Sample) -> Sample {
        let source = match sample.source {
            Source::Lamp { at, radius_m } => Source::Lamp { at: add(at, self.lamp), radius_m },
            Source::Line { from, to } => Source::Line { from: add(from, self.lamp), to: add(to, self.lamp) },
            Source::Far { towards: [x, y, z], radius_deg } => {
                let (c, s) = self.turn;
                Source::Far { towards: [x * c - y * s, x * s + y * c, z], radius_deg }
            }
        };
        Sample { source, eye: add(sample.eye, self.eye) }
    }
}

fn at_every_corner(
    body: &Body,
    site: &Site,
    look: &Look,
    corners: &[Corner],
    wanted: Shown,
    sizes: &Sizes,
) -> Shown {
    // A sample out of reach at every corner is out of the question; of a walk round the car most are.
    let reach = sizes.most(wanted) + 2.0 * look.uncertainty.eye_m;
    let near: Vec<&Sample> = (look.samples.iter())
        .filter(|sample| {
            let way = sub(sample.eye, site.place.at);
            dot(way, way) <= reach * reach
        })
        .collect();
    let mut left = wanted;
    // Where the last corner found something, the next one will look first.
    let mut begin = 0;
    for corner in corners {
        let place = corner.site(site);
        let mut sunlit = None;
        let mut found = Shown::NONE;
        let count = near.len();
        let first = begin;
        for step in 0..count {
            let number = (first + step) % count;
            let Some(sample) = near.get(number).map(|it| corner.sample(it)) else { break };
            let new = possible(site, &place, &sample, left.without(found), sizes, &body.blocker, &mut sunlit);
            if !new.is_none() {
                found = found.with(new);
                begin = number;
                if found == left {
                    break;
                }
            }
        }
        left = found;
        if left.is_none() {
            break;
        }
    }
    left
}
