//! The panel map: the body drawn flat, what a touch on it means, and where a place on a panel is drawn. Pure.
//!
//! Units are abstract: every sheet is 400 wide, so on a screen 400 dp wide one unit is one dp. Sheets are drawn
//! from the same quantised surfaces as everything else (`map_views` says which part shows in which view,
//! `map_lines` makes the lines, `map_callout` enlarges what is too small to touch).

use std::sync::OnceLock;

use super::geometry::{Geometry, Side};
use super::map_region::{Region, distance, inside};
use super::surface::{Family, PPM, Surface};
use super::{geometry, map_callout, map_lines, map_views};
use crate::record::words::{Form, WholeSide};

/// Width of every sheet.
pub(super) const WIDTH: f64 = 400.0;
/// How far beside a panel a touch still means it, in units.
const SLOP: f64 = 40.0;
/// Half the width within which a touch is on a border.
const ON_LINE: f64 = 1.5;
/// A painted panel thinner than this counts nearer when a touch meets none exactly.
const THIN: f64 = 48.0;
const THIN_COUNTS_NEARER: f64 = 28.0;
/// One drawing of a vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sheet {
    /// The whole car folded flat, nose up: for overview and paper. A motorcycle lies on its sides instead.
    Flat,
    /// The left side, large, nose up, roof to the right.
    Left,
    /// The right side, large, nose up, roof to the left.
    Right,
    /// As seen from in front.
    Front,
    /// As seen from behind.
    Rear,
    /// As seen from above, nose up.
    Top,
}

impl Sheet {
    /// Every sheet.
    pub const ALL: &'static [Sheet] =
        &[Sheet::Flat, Sheet::Left, Sheet::Right, Sheet::Front, Sheet::Rear, Sheet::Top];

    /// The drawing of one side.
    pub fn of(side: WholeSide) -> Self {
        match side {
            WholeSide::Left => Self::Left,
            WholeSide::Right => Self::Right,
            WholeSide::Front => Self::Front,
            WholeSide::Rear => Self::Rear,
            WholeSide::Top => Self::Top,
        }
    }
}

/// How a line is drawn: one weight for outlines, a thinner one for the rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// Where the vehicle ends: about 1.6 units wide.
    Outline,
    /// Where two parts meet: about 0.7 units wide.
    Shut,
    /// What helps to recognise the vehicle and is no border: spokes, seams. As wide as a shut line.
    Detail,
}

/// A line of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// The part it borders; none for details.
    pub panel: Option<&'static str>,
    /// How it is drawn.
    pub weight: Weight,
    /// Corners in units, x to the right, y down.
    pub points: Vec<(f64, f64)>,
    /// Whether the last corner joins the first.
    pub closed: bool,
}

/// A part drawn again beside the vehicle, large enough to touch: the whole (u, v) square of the panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Callout {
    /// The part.
    pub panel: &'static str,
    /// Upper left corner.
    pub x: f64,
    /// Upper left corner.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// From the part's place in the drawing to the box.
    pub leader: Vec<(f64, f64)>,
    /// How the square lies in the box.
    pub(super) family: Family,
    pub(super) side: Side,
}

/// What a touch means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hit {
    /// The part.
    pub panel: &'static str,
    /// Place along it, 0 to 1 000 000.
    pub u_ppm: u32,
    /// Place across it, 0 to 1 000 000.
    pub v_ppm: u32,
}

/// A drawing and what touches on it mean.
#[derive(Debug, Clone)]
pub struct PanelMap {
    /// The vehicle's form.
    pub form: Form,
    /// Which drawing.
    pub sheet: Sheet,
    /// 400.
    pub width: f64,
    /// Height in the same units.
    pub height: f64,
    /// Lines to draw, in order.
    pub outlines: Vec<Outline>,
    /// Parts drawn again, large enough to touch.
    pub callouts: Vec<Callout>,
    regions: Vec<Region>,
    floors: Vec<Vec<u32>>,
}

/// The drawing of a form with its default measures; built once.
pub fn panel_map(form: Form, sheet: Sheet) -> &'static PanelMap {
    static BUILT: [[OnceLock<PanelMap>; Sheet::ALL.len()]; Form::ALL.len()] =
        [const { [const { OnceLock::new() }; Sheet::ALL.len()] }; Form::ALL.len()];
    BUILT[form as usize][sheet as usize].get_or_init(|| PanelMap::of(geometry(form), sheet))
}

/// The side in whose drawing a place is touched: the one that it faces where that shows it, as it does not show the
/// mirrors of some forms; else the first one that does, beginning beside the place. None inside, and for what is too small in
/// all of them.
pub fn drawn_on(form: Form, place: &str) -> Option<WholeSide> {
    let faces = super::side_of_place(form, place)?;
    let beside = match geometry(form).panel(place).map(|panel| panel.side) {
        Some(Side::Right) => [WholeSide::Right, WholeSide::Left],
        _ => [WholeSide::Left, WholeSide::Right],
    };
    let all = [faces].into_iter().chain(beside).chain([WholeSide::Front, WholeSide::Rear, WholeSide::Top]);
    let shows = |side: &WholeSide| panel_map(form, Sheet::of(*side)).panels().contains(&place);
    all.into_iter().find(shows)
}

impl PanelMap {
    /// The drawing of a geometry.
    pub fn of(body: &Geometry, sheet: Sheet) -> PanelMap {
        let mut drawn = map_views::regions(body, sheet);
        let callouts = map_callout::place(body, sheet, &mut drawn);
        let outlines = map_lines::lines(body, &drawn);
        PanelMap {
            form: body.form,
            sheet,
            width: WIDTH,
            height: drawn.height,
            outlines,
            callouts,
            floors: body.panels.iter().map(|p| p.surface.floor.clone()).collect(),
            regions: drawn.regions,
        }
    }

    /// What a touch at (x, y) means: a callout; else the smallest part drawn there; else the nearest part within
    /// 40 units of empty paper, thin painted panels counting 28 units nearer.
    pub fn hit(&self, x: f64, y: f64) -> Option<Hit> {
        if !(x.is_finite() && y.is_finite()) {
            return None;
        }
        for c in &self.callouts {
            if c.holds(x, y) {
                let region = self.regions.iter().find(|r| r.id == c.panel);
                let (u, v) = c.turned((x - c.x) / c.width, (y - c.y) / c.height);
                return self.found(c.panel, region.map(|r| r.panel), u, v);
            }
        }
        let touchable = || self.touchable();
        let exact = touchable().filter(|r| r.near(x, y, 0.0) && inside(&r.border, x, y)).min_by(|a, b| {
            (b.layer, a.size()).partial_cmp(&(a.layer, b.size())).unwrap_or(std::cmp::Ordering::Equal)
        });
        // On a border, to within the width of its line, the nearest part counts whatever it is.
        let on_line = || {
            let near = touchable().filter(|r| r.near(x, y, ON_LINE)).map(|r| (distance(&r.border, x, y), r));
            near.filter(|(d, _)| *d <= ON_LINE).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, r)| r)
        };
        let best = exact.or_else(on_line).or_else(|| {
            let mut best: Option<(f64, &Region)> = None;
            for r in touchable().filter(|r| r.near(x, y, SLOP)) {
                let nearer = if r.painted && r.thick < THIN { THIN_COUNTS_NEARER } else { 0.0 };
                // A border further than the best so far, even counted nearer, need not be measured.
                if best.is_some_and(|(d, _)| r.distance_to_box(x, y) - nearer > d) {
                    continue;
                }
                let d = distance(&r.border, x, y);
                if d <= SLOP && best.is_none_or(|(b, _)| d - nearer < b) {
                    best = Some((d - nearer, r));
                }
            }
            best.map(|(_, r)| r)
        })?;
        let (a, b) = best.inverse(x, y);
        let [u0, u1, v0, v1] = best.window;
        self.found(best.id, Some(best.panel), u0 + a * (u1 - u0), v0 + b * (v1 - v0))
    }

    fn found(&self, id: &'static str, panel: Option<usize>, u: f64, v: f64) -> Option<Hit> {
        let floor = panel.and_then(|i| self.floors.get(i)).map_or(0.0, |f| Surface::floor_of(f, u));
        let ppm = |w: f64| (w.clamp(0.0, 1.0) * PPM).round() as u32;
        Some(Hit { panel: id, u_ppm: ppm(u), v_ppm: ppm(v.max(floor)) })
    }

    /// Whether (x, y) lies on a panel of this drawing or within `reach` units of it, in its box too.
    pub fn within(&self, panel: &str, x: f64, y: f64, reach: f64) -> bool {
        let boxed = self.callouts.iter().any(|c| c.panel == panel && c.holds(x, y));
        let near = |r: &Region| inside(&r.border, x, y) || distance(&r.border, x, y) <= reach;
        boxed || self.regions.iter().any(|r| !r.backdrop && r.id == panel && near(r))
    }

    /// The place on one panel that is drawn nearest to (x, y): where a stroke that runs beyond the panel ends.
    pub fn on_panel(&self, panel: &str, x: f64, y: f64) -> Option<Hit> {
        if !(x.is_finite() && y.is_finite()) {
            return None;
        }
        if let Some(c) = self.callouts.iter().find(|c| c.panel == panel && c.holds(x, y)) {
            let (u, v) = c.turned((x - c.x) / c.width, (y - c.y) / c.height);
            return self.found(c.panel, self.regions.iter().find(|r| r.id == panel).map(|r| r.panel), u, v);
        }
        let shown = self.regions.iter().filter(|r| !r.backdrop && r.id == panel);
        let away = |r: &Region| if inside(&r.border, x, y) { 0.0 } else { distance(&r.border, x, y) };
        let nearest = shown.min_by(|a, b| away(a).total_cmp(&away(b)))?;
        let (a, b) = nearest.inverse(x, y);
        let [u0, u1, v0, v1] = nearest.window;
        self.found(nearest.id, Some(nearest.panel), u0 + a * (u1 - u0), v0 + b * (v1 - v0))
    }

    /// Where a place on a panel is drawn, or the nearest place of it that this sheet shows; none if it shows none.
    pub fn at(&self, panel: &str, u_ppm: u32, v_ppm: u32) -> Option<(f64, f64)> {
        let (u, v) = (f64::from(u_ppm) / PPM, f64::from(v_ppm) / PPM);
        let beyond = |r: &&Region| {
            let [u0, u1, v0, v1] = r.window;
            (u0 - u).max(u - u1).max(0.0) + (v0 - v).max(v - v1).max(0.0)
        };
        let shown = self.regions.iter().filter(|r| !r.backdrop && r.id == panel);
        let r = shown.min_by(|a, b| beyond(a).total_cmp(&beyond(b)))?;
        let [u0, u1, v0, v1] = r.window;
        Some(r.at((u - u0) / (u1 - u0), (v - v0) / (v1 - v0)))
    }

    /// Where a place on a panel is drawn in its callout, if it has one.
    pub fn at_callout(&self, panel: &str, u_ppm: u32, v_ppm: u32) -> Option<(f64, f64)> {
        let c = self.callouts.iter().find(|c| c.panel == panel)?;
        let (u, v) = (f64::from(u_ppm) / PPM, f64::from(v_ppm) / PPM);
        let (a, b) = c.placed(u, v);
        Some((c.x + a * c.width, c.y + b * c.height))
    }

    /// The parts a touch on this sheet can mean, in drawing order.
    pub fn panels(&self) -> Vec<&'static str> {
        let mut ids: Vec<&'static str> = Vec::new();
        let boxed = |r: &&Region| !r.backdrop && (!r.tiny || self.callouts.iter().any(|c| c.panel == r.id));
        for r in self.regions.iter().filter(boxed) {
            if !ids.contains(&r.id) {
                ids.push(r.id);
            }
        }
        ids
    }

    /// Borders of a part in this sheet, each a closed polygon: one per view that shows it.
    pub fn panel_polygons(&self, panel: &str) -> Vec<&[(f64, f64)]> {
        self.regions.iter().filter(|r| !r.backdrop && r.id == panel).map(|r| r.border.as_slice()).collect()
    }

    pub(super) fn touchable(&self) -> impl Iterator<Item = &Region> {
        self.regions.iter().filter(|r| !r.backdrop && !r.tiny)
    }
}

impl Callout {
    fn holds(&self, x: f64, y: f64) -> bool {
        let (a, b) = ((x - self.x) / self.width, (y - self.y) / self.height);
        (0.0..=1.0).contains(&a) && (0.0..=1.0).contains(&b)
    }

    /// (u, v) of a place in the box: nose up where the part lies along the car, upright where it lies across.
    fn turned(&self, a: f64, b: f64) -> (f64, f64) {
        match (self.family, self.side) {
            (Family::End, Side::Right) => (a, 1.0 - b),
            (Family::End, _) => (1.0 - a, 1.0 - b),
            (Family::Top, _) | (_, Side::Right) => (1.0 - b, 1.0 - a),
            _ => (1.0 - b, a),
        }
    }
    fn placed(&self, u: f64, v: f64) -> (f64, f64) {
        match (self.family, self.side) {
            (Family::End, Side::Right) => (u, 1.0 - v),
            (Family::End, _) => (1.0 - u, 1.0 - v),
            (Family::Top, _) | (_, Side::Right) => (1.0 - v, 1.0 - u),
            _ => (v, 1.0 - u),
        }
    }
}
