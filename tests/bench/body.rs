//! Body forms: a mesh made from its measures, the drawing made from that, a touch answered on it.

use crate::Sizes;
use crate::measure::{Goal, Table, median, timed};
use sidelong_core::record::words::Form;
use sidelong_core::vehicle::{self, Measures, PanelMap, Sheet};
use sidelong_tests::Dice;
use std::path::Path;

/// Touches of one drawing.
const TOUCHES: u32 = 2_000;

pub fn measure(sizes: &Sizes, _folder: &Path, table: &mut Table) {
    let slowest = |act: &dyn Fn(Form)| {
        Form::ALL
            .iter()
            .map(|form| (median((0..sizes.rounds).map(|_| timed(|| act(*form)).0)), *form))
            .max()
            .expect("there are forms")
    };
    let (mesh, form) = slowest(&|form| drop(vehicle::build(form, &Measures::of(form))));
    table.time(
        format!("a mesh from its measures, the slowest form ({})", form.word()),
        mesh,
        Goal::Milliseconds(20.0),
    );
    let (drawn, form) = slowest(&|form| {
        for sheet in Sheet::ALL {
            drop(PanelMap::of(vehicle::geometry(form), *sheet));
        }
    });
    table.time(format!("… and all its drawings, the slowest form ({})", form.word()), drawn, Goal::None);
    let (touched, form) = slowest(&|form| {
        let map = vehicle::panel_map(form, Sheet::Flat);
        let mut dice = Dice(u64::from(TOUCHES));
        let mut hits = 0;
        for _ in 0..TOUCHES {
            let place = |side: f64, roll: u64| side * (roll % 10_000) as f64 / 10_000.0;
            hits +=
                u32::from(map.hit(place(map.width, dice.roll()), place(map.height, dice.roll())).is_some());
        }
        assert!(hits > TOUCHES / 10, "{hits} of {TOUCHES} touches hit something");
    });
    table.time(
        format!("one touch answered, the slowest form ({})", form.word()),
        touched / TOUCHES,
        Goal::Milliseconds(0.1),
    );
}
