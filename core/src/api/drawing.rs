//! The vehicle's drawing and what touches on it mean: what a screen draws, touches and speaks. Pure, without a notebook.

use crate::record::inputs::Spot;
use crate::record::words::{Form, Locale, WholeSide};
use crate::vehicle::{self, Hit, PanelMap, Sheet, Weight};

/// A stroke shorter than this on the drawing is a point: about what a fingertip moves while it presses, in units.
const POINT: f64 = 10.0;

/// How a line of the drawing is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum LineWeight {
    /// Where the vehicle ends: about 1.6 units wide.
    Outline,
    /// Where two places meet: about 0.7 units wide.
    Shut,
    /// What helps to recognise the vehicle and is no border; as wide as a shut line.
    Detail,
}

/// A line of the drawing.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LineView {
    /// How it is drawn.
    pub weight: LineWeight,
    /// Corners in units: x and y in turn, x to the right, y down.
    pub points: Vec<f32>,
    /// Whether the last corner joins the first.
    pub closed: bool,
}

/// A place of the vehicle in the drawing.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PlaceDrawn {
    /// Neutral name.
    pub panel: String,
    /// Its name, to read and to speak.
    pub name: String,
    /// Its borders in units, one list a view that shows it, x and y in turn. A place drawn again beside the vehicle,
    /// because it is too small to touch, has that box here.
    pub borders: Vec<Vec<f32>>,
    /// From a small place to its box, x and y in turn; empty without a box.
    pub leader: Vec<f32>,
}

/// One drawing of a vehicle. Units are abstract: the sheet is 400 wide.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DrawingView {
    /// Width in units.
    pub width: f32,
    /// Height in units.
    pub height: f32,
    /// Lines, in the order in which they are drawn.
    pub lines: Vec<LineView>,
    /// Places that a touch can mean, in walking order.
    pub places: Vec<PlaceDrawn>,
}

/// What a stroke on the drawing means.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct StrokeOn {
    /// True when it begins on the place that the person stands at, and so draws a mark; false when it points at another
    /// place, to go there.
    pub here: bool,
    /// Neutral name of the panel on which it begins.
    pub panel: String,
    /// Its name, to read.
    pub name: String,
    /// Where it begins.
    pub from: Spot,
    /// Where it ends, on the same panel; none for a touch in one place.
    pub to: Option<Spot>,
}

/// A point of the drawing, in units.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct PointDrawn {
    /// To the right.
    pub x: f32,
    /// Down.
    pub y: f32,
}

fn map(form: Form, side: Option<WholeSide>) -> &'static PanelMap {
    vehicle::panel_map(form, side.map_or(Sheet::Flat, Sheet::of))
}

fn flat(points: &[(f64, f64)]) -> Vec<f32> {
    points.iter().flat_map(|(x, y)| [*x as f32, *y as f32]).collect()
}

fn spot(hit: Hit) -> Spot {
    Spot { u_ppm: hit.u_ppm, v_ppm: hit.v_ppm }
}

/// The drawing of one side, large, or of the whole vehicle folded flat (no side).
#[uniffi::export]
pub fn drawing(form: Form, side: Option<WholeSide>, locale: Locale) -> DrawingView {
    let map = map(form, side);
    let lines = map.outlines.iter().map(|line| LineView {
        weight: match line.weight {
            Weight::Outline => LineWeight::Outline,
            Weight::Shut => LineWeight::Shut,
            Weight::Detail => LineWeight::Detail,
        },
        points: flat(&line.points),
        closed: line.closed,
    });
    let touchable = map.panels();
    let order = vehicle::panels_in_walking_order(form);
    let places = order.into_iter().filter(|panel| touchable.contains(panel)).map(|panel| {
        let boxed = map.callouts.iter().find(|callout| callout.panel == panel);
        PlaceDrawn {
            panel: panel.to_owned(),
            name: vehicle::panel_text(locale, panel).unwrap_or(panel).to_owned(),
            borders: match boxed {
                None => map.panel_polygons(panel).into_iter().map(flat).collect(),
                Some(it) => {
                    let (right, low) = (it.x + it.width, it.y + it.height);
                    vec![flat(&[(it.x, it.y), (right, it.y), (right, low), (it.x, low)])]
                }
            },
            leader: boxed.map(|callout| flat(&callout.leader)).unwrap_or_default(),
        }
    });
    DrawingView {
        width: map.width as f32,
        height: map.height as f32,
        lines: lines.collect(),
        places: places.collect(),
    }
}

/// What a stroke from one point of a drawing to another means, in its units: the panel on which it begins, and where on
/// it. What runs beyond the panel ends at its border. `at` is the place that the person stands at: a stroke that begins
/// within `reach` of it (0 to 200 units) begins on it, because a wet glove needs a larger aim than the drawing has. None
/// beside the vehicle, and for points that are no numbers.
#[uniffi::export]
pub fn stroke_on(
    form: Form,
    side: Option<WholeSide>,
    at: Option<String>,
    reach: f32,
    from: PointDrawn,
    to: PointDrawn,
    locale: Locale,
) -> Option<StrokeOn> {
    let map = map(form, side);
    let (x, y) = (f64::from(from.x), f64::from(from.y));
    let (to_x, to_y) = (f64::from(to.x), f64::from(to.y));
    let near = |at: &String| map.within(at, x, y, f64::from(reach).clamp(0.0, 200.0));
    let stands = at.filter(near).and_then(|at| map.on_panel(&at, x, y));
    let here = stands.is_some();
    let begins = stands.or_else(|| map.hit(x, y))?;
    let far = libm::hypot(to_x - x, to_y - y) >= POINT;
    let end = if far { map.on_panel(begins.panel, to_x, to_y) } else { None };
    Some(StrokeOn {
        here,
        panel: begins.panel.to_owned(),
        name: vehicle::panel_text(locale, begins.panel).unwrap_or(begins.panel).to_owned(),
        from: spot(begins),
        to: end.filter(|end| *end != begins).map(spot),
    })
}

/// Where a spot of a panel is drawn, in units: in the box of a place that has one. None when this drawing does not show
/// the panel.
#[uniffi::export]
pub fn drawn_at(form: Form, side: Option<WholeSide>, panel: String, spot: Spot) -> Option<PointDrawn> {
    let map = map(form, side);
    let (x, y) =
        map.at_callout(&panel, spot.u_ppm, spot.v_ppm).or_else(|| map.at(&panel, spot.u_ppm, spot.v_ppm))?;
    Some(PointDrawn { x: x as f32, y: y as f32 })
}
