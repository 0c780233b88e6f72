//! Where numbers and words stand in a drawing: near their place, on free paper, off the lines. Pure.
//!
//! A label takes the cheapest of a fixed set of places round its anchor (after J. Christensen, J. Marks and
//! S. Shieber, 1995: candidate positions with costs), one label after the other, so the same record always gives the
//! same drawing.

use crate::vehicle::PanelMap;

/// How far apart points are taken along a line, units.
const SAMPLE: f64 = 3.0;
/// How far the near edge of a label may be from its anchor, units.
const FAR: [f64; 7] = [6.0, 10.0, 15.0, 22.0, 30.0, 40.0, 54.0];
/// Directions of a leader line. The half step keeps leaders off the drawing's own upright and level lines.
const TURNS: u32 = 16;
/// What a label costs: on top of another one, on a line of the drawing, a leader across a label, a unit of distance.
const ON_LABEL: f64 = 500.0;
const ON_LINE: f64 = 3.0;
const ACROSS: f64 = 60.0;
const DISTANCE: f64 = 0.7;
/// What it costs to stand on another part.
const ON_OTHER: f64 = 12.0;
/// White between two labels, units.
const GAP: f64 = 1.5;
/// How near the edge of the paper a label may stand, units.
const EDGE: f64 = 2.0;
/// Steps of the grid on which a free place within a panel is looked for.
const GRID: u32 = 12;

/// A rectangle of the drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Boxed {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Boxed {
    /// By its middle and half its width and height.
    pub fn at((x, y): (f64, f64), (half_x, half_y): (f64, f64)) -> Boxed {
        Boxed { left: x - half_x, top: y - half_y, right: x + half_x, bottom: y + half_y }
    }
    /// Round two points.
    pub fn round(a: (f64, f64), b: (f64, f64), margin: f64) -> Boxed {
        Boxed {
            left: a.0.min(b.0) - margin,
            top: a.1.min(b.1) - margin,
            right: a.0.max(b.0) + margin,
            bottom: a.1.max(b.1) + margin,
        }
    }
    /// Its point nearest to a place.
    pub fn nearest(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (x.clamp(self.left, self.right), y.clamp(self.top, self.bottom))
    }
    fn holds(&self, (x, y): (f64, f64)) -> bool {
        x > self.left && x < self.right && y > self.top && y < self.bottom
    }
    fn meets(&self, other: &Boxed) -> bool {
        self.right > other.left
            && self.left < other.right
            && self.bottom > other.top
            && self.top < other.bottom
    }
}

/// The drawing's paper: where its lines run and what is taken.
pub(super) struct Paper {
    width: f64,
    lines: Vec<(f64, f64)>,
    parts: Vec<(&'static str, Vec<(f64, f64)>)>,
    taken: Vec<Boxed>,
    reach: (f64, f64),
}

impl Paper {
    pub fn new(map: &PanelMap) -> Paper {
        let mut lines = Vec::new();
        for outline in &map.outlines {
            let last = outline.points.first().filter(|_| outline.closed);
            for pair in outline.points.iter().chain(last).collect::<Vec<_>>().windows(2) {
                let [a, b] = pair else { continue };
                let (dx, dy) = (b.0 - a.0, b.1 - a.1);
                let steps = (libm::sqrt(dx * dx + dy * dy) / SAMPLE).ceil().max(1.0) as u32;
                let at = |k: u32| f64::from(k) / f64::from(steps);
                lines.extend((0..steps).map(|k| (a.0 + dx * at(k), a.1 + dy * at(k))));
                lines.push(**b);
            }
        }
        let reach = lines.iter().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p.1), high.max(p.1)));
        let borders = |id| map.panel_polygons(id).into_iter().map(move |border| (id, border.to_vec()));
        let parts = map.panels().into_iter().flat_map(borders).collect();
        Paper { width: map.width, lines, parts, taken: Vec::new(), reach }
    }

    /// Highest and lowest of all that is drawn.
    pub fn reach(&self) -> (f64, f64) {
        self.reach
    }

    /// Nothing else goes here, nor so near that two labels read as one.
    pub fn take(&mut self, taken: Boxed) {
        self.reach = (self.reach.0.min(taken.top), self.reach.1.max(taken.bottom));
        let Boxed { left, top, right, bottom } = taken;
        self.taken.push(Boxed { left: left - GAP, top: top - GAP, right: right + GAP, bottom: bottom + GAP });
    }

    fn on_lines(&self, place: &Boxed) -> f64 {
        self.lines.iter().filter(|point| place.holds(**point)).count() as f64
    }

    fn on_labels(&self, place: &Boxed) -> f64 {
        self.taken.iter().filter(|taken| taken.meets(place)).count() as f64
    }

    /// Whether a place lies on another part than its own, which a bare word there would seem to speak of.
    fn on_other(&self, own: &str, place: (f64, f64)) -> bool {
        self.parts.iter().any(|(id, border)| *id != own && within(border, place))
    }

    /// Whether a label there touches no line and no label.
    pub fn free(&self, place: (f64, f64), half: (f64, f64)) -> bool {
        let place = Boxed::at(place, half);
        self.on_lines(&place) + self.on_labels(&place) < 0.5
    }

    /// The place of a label on a panel: as near to its middle as lines and other labels leave room.
    pub fn inside(&self, map: &PanelMap, panel: &str, half: (f64, f64)) -> Option<(f64, f64)> {
        let middle = map.at(panel, 500_000, 500_000)?;
        let mut best = (f64::MAX, middle);
        for i in 1..GRID {
            for j in 1..GRID {
                let ppm = |k: u32| k * 1_000_000 / GRID;
                let Some(at) = map.at(panel, ppm(i), ppm(j)) else { continue };
                if map.hit(at.0, at.1).is_none_or(|hit| hit.panel != panel) {
                    continue;
                }
                let place = Boxed::at(at, half);
                let off = f64::from(i.abs_diff(GRID / 2)) + f64::from(j.abs_diff(GRID / 2));
                let cost = ON_LABEL * self.on_labels(&place) + 10.0 * self.on_lines(&place) + off;
                if cost < best.0 {
                    best = (cost, at);
                }
            }
        }
        Some(best.1)
    }

    /// The place of a label of a part beside its anchor, at the end of a leader line.
    pub fn near(&self, part: &str, anchor: (f64, f64), half: (f64, f64)) -> (f64, f64) {
        let mut best = (f64::MAX, anchor);
        for far in FAR {
            for turn in 0..TURNS {
                let angle = (f64::from(turn) + 0.5) * 2.0 * core::f64::consts::PI / f64::from(TURNS);
                let at = (
                    anchor.0 + (far + half.0) * libm::cos(angle),
                    anchor.1 - (far + half.1) * libm::sin(angle),
                );
                let place = Boxed::at(at, half);
                if place.left < EDGE || place.right > self.width - EDGE {
                    continue;
                }
                let along = |k: f64| (anchor.0 + (at.0 - anchor.0) * k, anchor.1 + (at.1 - anchor.1) * k);
                let across = self
                    .taken
                    .iter()
                    .filter(|taken| !taken.holds(anchor))
                    .filter(|taken| (1..8).any(|k| taken.holds(along(f64::from(k) / 8.0))))
                    .count() as f64;
                let cost = ON_LABEL * self.on_labels(&place)
                    + ON_LINE * self.on_lines(&place)
                    + ACROSS * across
                    + DISTANCE * far
                    + if self.on_other(part, at) { ON_OTHER } else { 0.0 };
                if cost < best.0 {
                    best = (cost, at);
                }
            }
        }
        best.1
    }
}

/// Whether a place lies within a closed line (even-odd rule, SVG 1.1 section 11.3).
fn within(border: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let next = border.iter().cycle().skip(1);
    let crossed = border
        .iter()
        .zip(next)
        .filter(|(a, b)| (a.1 > y) != (b.1 > y) && x < (b.0 - a.0) * (y - a.1) / (b.1 - a.1) + a.0);
    crossed.count() % 2 == 1
}
