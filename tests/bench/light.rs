//! Light: what a walk round a whole car in the sun could have shown, blocking and uncertainty in; rays a second; growth.

use crate::Sizes;
use crate::measure::{Goal, Table, median, shown, side_by_side, timed};
use sidelong_core::light::{Look, MODEL_VERSION, Sample, Source, Uncertainty, WALL_DEG, body, look_shows};
use sidelong_core::record::words::{Distance, Fault, Form, Light, Surface};
use sidelong_tests::Dice;
use std::path::Path;

/// Rays of one round.
const RAYS: u32 = 50_000;

pub fn measure(sizes: &Sizes, _folder: &Path, table: &mut Table) {
    let (built, _) = timed(|| body(Form::Saloon));
    let body = body(Form::Saloon);
    let patches: usize = body.geometry.panels.iter().map(|panel| panel.patches.len()).sum();
    table.note(
        format!("a body of {} triangles for light, its mesh in", body.blocker.len()),
        format!("{} (once)", shown(built)),
    );
    let mut dice = Dice(u64::from(MODEL_VERSION));
    let mut share = |low: f64, high: f64| low + (high - low) * (dice.roll() % 100_000) as f64 / 1e5;
    let rays: Vec<_> = (0..RAYS)
        .map(|_| {
            let from = [share(-3.5, 3.5), share(-2.0, 2.0), share(0.3, 2.2)];
            (from, [share(-2.2, 2.2), share(-0.8, 0.8), share(0.2, 1.4)])
        })
        .collect();
    let cast = |rays: &[([f64; 3], [f64; 3])]| {
        rays.iter().filter(|(from, to)| body.blocker.between(*from, *to)).count()
    };
    let time = median((0..sizes.rounds).map(|_| timed(|| assert!(cast(&rays) > 0)).0));
    let rate = f64::from(RAYS) / time.as_secs_f64() / 1e6;
    table.note(format!("{RAYS} rays at a saloon"), format!("{rate:.1} million a second"));

    let shows = |samples: usize| timed(|| look_shows(body, &walk(samples), WALL_DEG).expect("a look")).0;
    let seen = look_shows(body, &walk(1_000), WALL_DEG).expect("a look").shares(body);
    let most = seen.iter().max_by_key(|share| share.ppm(Fault::FineLine)).expect("panels");
    let time = median((0..sizes.rounds).map(|_| shows(1_000)));
    table.time(
        format!("what a sun look of 1,000 samples shows of {patches} patches"),
        time,
        Goal::Milliseconds(300.0),
    );
    let pairs = (patches * 1_000) as f64 / time.as_secs_f64() / 1e6;
    table.note(
        "… patch × sample pairs, every corner of the uncertainty in".to_owned(),
        format!("{pairs:.1} million a second; most of {}: {} ppm", most.panel, most.ppm(Fault::FineLine)),
    );
    let pair = side_by_side(sizes.rounds, || shows(2_000), || shows(500));
    table.compare("… of 2,000 samples", "of 500 samples", pair, 1, Goal::AtMost(4.4));
}

/// A walk round the car in the sun, looking.
fn walk(samples: usize) -> Look {
    let source = Source::sun([0.4, 0.55, 0.73]);
    let eye = |k: usize| {
        // Twice round, 0.7 m off: once standing, once bent down.
        let turn = 2.0 * std::f64::consts::TAU * k as f64 / samples as f64;
        let height = if 2 * k < samples { 1.6 } else { 1.1 };
        let (x, y) = (turn.cos(), turn.sin());
        let out = 1.0 / ((x / 2.9).powi(4) + (y / 1.55).powi(4)).powf(0.25);
        [x * out, y * out, height]
    };
    Look {
        light: Light::Sun,
        samples: (0..samples).map(|k| Sample { source, eye: eye(k) }).collect(),
        image: None,
        uncertainty: Uncertainty { heading_deg: 2.0, eye_m: 0.10, normal_deg: 1.0, ..Uncertainty::NONE },
        surface: Some(Surface::Clean),
        ambient: None,
        distance: Some(Distance::Close),
        seconds: Some(600),
    }
}
