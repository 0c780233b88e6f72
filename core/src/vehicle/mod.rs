//! Body forms, their panels and the panel map. Pure.
//!
//! From about forty measures a form's body is generated (`measure`, `skin`), cut into panels (`cut*`, `parts`,
//! `bike`) and quantised (`surface`, `geometry`). From the same surfaces comes the drawing that is touched and
//! printed (`map*`). `names` and `sides` hold the words; `kinds` which marks a place can have; `order` the way round the car.

mod bike;
mod creases;
mod curve;
mod cut;
mod cut_ends;
mod cut_house;
mod cut_side;
mod dual;
mod geometry;
mod kinds;
mod map;
mod map_callout;
mod map_lines;
mod map_region;
mod map_views;
mod measure;
mod missed;
mod names;
mod nodes;
mod order;
mod parts;
mod sides;
mod skin;
mod surface;
mod svg;

pub use dual::V3;
pub(crate) use dual::{add, cross, dot, norm, scale, sub, unit};
pub use geometry::{Class, GEOMETRY_VERSION, Geometry, Panel, Point, Runs, Side};
pub use kinds::kinds_of;
pub use map::{Callout, Hit, Outline, PanelMap, Sheet, Weight, drawn_on, panel_map};
pub use measure::{Held, Measure, Measures, Unit};
pub use missed::often_missed;
pub use names::{
    inside_places, is_inside, known, locale_of_country, panel_by_text, panel_ids, panel_text,
    panel_with_side, text,
};
pub use order::{asked_for, from_corner, on_side, painted_panels, panels_in_walking_order, side_of_place};
pub use sides::{SpokenSide, Traffic, side_of, traffic_of, usual_steering};
pub use surface::{Family, Patch};

use std::sync::OnceLock;

use crate::record::words::Form;

/// The geometry of a form with its default measures; built once.
pub fn geometry(form: Form) -> &'static Geometry {
    static BUILT: [OnceLock<Geometry>; Form::ALL.len()] = [const { OnceLock::new() }; Form::ALL.len()];
    BUILT[form as usize].get_or_init(|| build(form, &Measures::of(form)))
}

/// The geometry of a form with given measures. Measures that the form cannot take are held to what it can, and
/// named in [`Geometry::held`].
pub fn build(form: Form, measures: &Measures) -> Geometry {
    let given = if measures.form() == form { measures.clone() } else { Measures::of(form) };
    let (fitted, held) = given.held();
    let dims = measure::Dims::from(&fitted);
    if form == Form::Motorcycle {
        let (panels, creases) = bike::Bike::new(dims).build();
        return Geometry { form, version: GEOMETRY_VERSION, panels, creases, held };
    }
    let mut cutter = cut::Cutter::new(form, dims);
    cutter.cut_house();
    let corners = cutter.cut_ends();
    cutter.cut_sides(&corners);
    cutter.fit_parts();
    Geometry { form, version: GEOMETRY_VERSION, creases: cutter.creases(), panels: cutter.finish(), held }
}

/// Whether a form has a place, outside or inside, under this name.
pub fn has_place(form: Form, id: &str) -> bool {
    kit_has(form, id) || inside_places(form).contains(&id)
}

/// Whether a form has a panel.
fn kit_has(form: Form, id: &str) -> bool {
    geometry(form).panel(id).is_some()
}

#[cfg(test)]
mod tests;
