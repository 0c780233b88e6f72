//! The ground round a vehicle as a map: where a person stands is touched on it. Pure. Units are abstract: the sheet is 400 wide,
//! the vehicle's front is up, its left side to the left.

use super::body::Body;
use crate::record::words::Locale;
use crate::vehicle::{Class, Family, Panel, dot, panel_text, panels_in_walking_order};

/// Width of the sheet, units.
const WIDTH: f64 = 400.0;
/// Ground that is shown beside the vehicle, metres: a person who looks stands nearer. Common practice, no source.
const ROOM_M: f64 = 1.6;
/// So far off the body a place is offered by its name, metres. Common practice, no source.
const OFF_M: f64 = 0.8;
/// So far in over the outline a foot can be: its corners are rounded, the outline's are not. Our choice, no source.
const FOOT_M: f64 = 0.2;
/// A place is named after an end of the vehicle, or after a panel at least so tall, metres: nobody says "beside the sill" or "beside
/// the mirror". Our choice, no source.
const TALL_M: f64 = 0.25;
/// How far up a panel may face that a person stands beside: above that it is a roof or a bonnet. Our choice, no source.
const UPWARDS: f64 = 0.8;

/// A place beside the vehicle that has a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// The panel that a person there stands beside.
    pub panel: &'static str,
    /// Where it is, metres.
    pub at: [f64; 2],
}

/// The map of one body's ground.
#[derive(Debug, Clone, Copy)]
pub struct GroundMap<'b> {
    body: &'b Body<'static>,
    scale: f64,
}

impl GroundMap<'_> {
    /// The map round a body.
    pub fn of(body: &'static Body<'static>) -> GroundMap<'static> {
        let plan = body.plan;
        GroundMap { body, scale: WIDTH / (plan.left - plan.right + 2.0 * ROOM_M) }
    }

    /// Width and height, units.
    pub fn size(&self) -> (f64, f64) {
        (WIDTH, (self.body.plan.front - self.body.plan.rear + 2.0 * ROOM_M) * self.scale)
    }

    /// Where a place of the ground is drawn.
    pub fn drawn(&self, [x, y]: [f64; 2]) -> (f64, f64) {
        let plan = self.body.plan;
        ((plan.left + ROOM_M - y) * self.scale, (plan.front + ROOM_M - x) * self.scale)
    }

    /// The place of the ground that a touch means, metres; none off the map, and where the vehicle itself is.
    pub fn touched(&self, x: f64, y: f64) -> Option<[f64; 2]> {
        let (width, height) = self.size();
        if !((0.0..=width).contains(&x) && (0.0..=height).contains(&y)) {
            return None;
        }
        let plan = self.body.plan;
        let at = [plan.front + ROOM_M - y / self.scale, plan.left + ROOM_M - x / self.scale];
        (plan.depth([at[0], at[1], 0.0]) <= FOOT_M).then_some(at)
    }

    /// The borders of the vehicle's painted panels from above.
    pub fn borders(&self) -> Vec<Vec<(f64, f64)>> {
        self.panels().map(|panel| self.border(panel)).collect()
    }

    /// The outline of the vehicle from above.
    pub fn outline(&self) -> Vec<(f64, f64)> {
        hull(self.borders().concat())
    }

    /// Places beside the vehicle, one for every panel that a person can stand beside, in walking order.
    pub fn besides(&self) -> Vec<Beside> {
        let order = panels_in_walking_order(self.body.geometry.form);
        let of = |id: &str| self.panels().find(|panel| panel.id == id);
        let stood = order.into_iter().filter_map(of).filter(|panel| self.is_stood_by(panel));
        stood.filter_map(|panel| self.beside_panel(panel.id)).collect()
    }

    /// The place beside a panel; beside the nearest edge of the vehicle for one that faces up.
    pub fn beside_panel(&self, id: &str) -> Option<Beside> {
        let panel = self.body.geometry.panel(id)?;
        let site = self.body.site(panel.id, 500_000, 500_000)?;
        Some(Beside { panel: panel.id, at: self.body.stand_off(&site, OFF_M) })
    }

    /// Whether a place on the ground is named after a panel.
    fn is_stood_by(&self, panel: &Panel) -> bool {
        let range = |axis: usize| {
            let places = panel.patches.iter().map(|patch| f64::from(patch.centre_dmm[axis]) / 10_000.0);
            places.fold((f64::MAX, f64::MIN), |(low, high), it| (low.min(it), high.max(it)))
        };
        let ((right, left), (low, high)) = (range(1), range(2));
        let site = self.body.site(panel.id, 500_000, 500_000);
        // The ends of the vehicle, however low they are; a mirror faces that way too and is no place to stand by.
        let is_end = panel.family == Family::End && right < 0.0 && left > 0.0;
        let named = is_end || high - low >= TALL_M;
        named && site.is_some_and(|site| dot(site.place.normal, [0.0, 0.0, 1.0]) < UPWARDS)
    }

    /// A place on the ground, to read, after the named one that is nearest: "beside the left front door, about 0.8 m off".
    pub fn words(&self, at: [f64; 2], locale: Locale) -> String {
        let plan = self.body.plan;
        let far = |place: &Beside| (place.at[0] - at[0]).powi(2) + (place.at[1] - at[1]).powi(2);
        let near = self.besides().into_iter().min_by(|a, b| far(a).total_cmp(&far(b)));
        let name = near.and_then(|place| panel_text(locale, place.panel)).unwrap_or("car");
        let place = match at[0] {
            x if x > plan.front => "in front of",
            x if x < plan.rear => "behind",
            _ => "beside",
        };
        let off = (-plan.depth([at[0], at[1], 0.0])).max(0.0);
        format!("{place} the {name}, about {off:.1} m off")
    }

    fn panels(&self) -> impl Iterator<Item = &'static Panel> + use<'_> {
        let all = self.body.geometry.panels.iter();
        all.filter(|panel| panel.class == Class::Paint && !panel.optional && panel.part_of.is_none())
    }

    /// The border of a panel from above, units.
    fn border(&self, panel: &Panel) -> Vec<(f64, f64)> {
        const STEPS: u32 = 6;
        let part = |k: u32| f64::from(k) / f64::from(STEPS);
        let round = (0..STEPS).map(|k| (part(k), 0.0));
        let round = round.chain((0..STEPS).map(|k| (1.0, part(k))));
        let round = round.chain((0..STEPS).map(|k| (1.0 - part(k), 1.0)));
        let round = round.chain((0..STEPS).map(|k| (0.0, 1.0 - part(k))));
        let at = |(u, v): (f64, f64)| {
            let [x, y, _] = panel.at(u, v);
            self.drawn([x, y])
        };
        round.map(at).collect()
    }
}

/// The convex hull, counted round (A. M. Andrew, Information Processing Letters 9, 1979).
fn hull(mut points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let chain = |points: &mut dyn Iterator<Item = &(f64, f64)>| {
        let mut line: Vec<(f64, f64)> = Vec::new();
        for &next in points {
            while let [.., a, b] = line.as_slice()
                && (b.0 - a.0) * (next.1 - a.1) <= (b.1 - a.1) * (next.0 - a.0)
            {
                line.pop();
            }
            line.push(next);
        }
        line.pop();
        line
    };
    let mut round = chain(&mut points.iter());
    round.extend(chain(&mut points.iter().rev()));
    round
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::body::body;
    use crate::record::words::Form;

    #[test]
    fn a_touch_beside_every_form_is_the_place_that_is_drawn_there() {
        for form in [Form::Saloon, Form::Van, Form::Motorcycle] {
            let map = GroundMap::of(body(form));
            let places = map.besides();
            assert!(places.len() >= 2, "{form:?}: {places:?}");
            for place in places {
                let (x, y) = map.drawn(place.at);
                let [ax, ay] = map.touched(x, y).expect("beside the vehicle");
                assert!((ax - place.at[0]).abs() < 1e-9 && (ay - place.at[1]).abs() < 1e-9, "{place:?}");
            }
            let (width, height) = map.size();
            assert_eq!(map.touched(width / 2.0, height / 2.0), None, "the vehicle is there");
            for (x, y) in [(-1.0, 5.0), (5.0, height + 1.0), (f64::NAN, 5.0), (5.0, f64::INFINITY)] {
                assert_eq!(map.touched(x, y), None);
            }
        }
    }

    #[test]
    fn the_outline_holds_every_border_and_a_place_is_told_by_what_is_near() {
        let map = GroundMap::of(body(Form::Saloon));
        let (outline, borders) = (map.outline(), map.borders());
        for point in borders.iter().flatten() {
            for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
                let turn = (b.0 - a.0) * (point.1 - a.1) - (b.1 - a.1) * (point.0 - a.0);
                assert!(turn >= -1e-6, "{point:?} lies beyond {a:?} to {b:?}");
            }
        }
        // Left as seated is left on the sheet, the front is up.
        let (left, up) = map.drawn([1.0, 1.0]);
        let (right, down) = map.drawn([-1.0, -1.0]);
        assert!(left < right && up < down);
        let door = map.beside_panel("front-left-door").expect("a door");
        let told = map.words(door.at, Locale::EnGb);
        assert_eq!(told, "beside the left front door, about 0.8 m off");
        let named: Vec<&str> = map.besides().iter().map(|place| place.panel).collect();
        assert!(named.contains(&"front-bumper") && !named.contains(&"left-mirror"), "{named:?}");
        let roof = map.beside_panel("roof").expect("the nearest edge");
        assert!(map.touched(map.drawn(roof.at).0, map.drawn(roof.at).1).is_some());
        assert!(map.besides().iter().all(|place| place.panel != "roof"));
        assert_eq!(map.beside_panel("no-such"), None);
    }
}
