//! Light: what a walk round a whole car in the sun could have shown, blocking and uncertainty in; rays a second; growth.

use crate::Sizes;
use crate::measure::{Goal, Table, median, middle, shown, side_by_side, timed};
use sidelong_core::light::next::{Ask, With, next_looks, places};
use sidelong_core::light::{
    Blocked, Body, Look, MODEL_VERSION, Mirror, Place, Sample, Seen, Source, Uncertainty, WALL_DEG, body,
    look_shows,
};
use sidelong_core::record::words::{Distance, Fault, Form, Light, Surface};
use sidelong_tests::Dice;
use std::path::Path;
use std::time::Duration;

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
    let pair = side_by_side(sizes.rounds, || shows(1_000), || bare(body, &walk(1_000)));
    table.compare("… beside the limit", "the mirror law alone on as many pairs", pair, 1, Goal::None);
    let pair = side_by_side(sizes.rounds, || shows(2_000), || shows(500));
    table.compare("… of 2,000 samples", "of 500 samples", pair, 1, Goal::AtMost(4.4));

    for (what, with) in [("lamp", With::Lamp), ("sun", With::Sun([0.4, 0.55, 0.73]))] {
        let ask = Ask { with, blocked: Blocked::default(), panels: &[], wall_deg: WALL_DEG };
        let nothing = Seen::nothing(body);
        let offered = places(body, &ask).len();
        let next = || timed(|| assert_eq!(next_looks(body, &nothing, &ask, 1).len(), 1)).0;
        let time = median((0..sizes.rounds).map(|_| next()));
        table.time(
            format!("the next place to stand with a {what}, of {offered} places of 21 samples"),
            time,
            Goal::Milliseconds(1_000.0),
        );
    }
    plot(sizes, &|samples| shows(samples).as_secs_f64() * 1e3);
}

/// The mirror law on every pair and nothing else: no line, no ray, no corner.
fn bare(body: &Body, look: &Look) -> Duration {
    let places: Vec<Place> = (body.geometry.panels.iter())
        .flat_map(|panel| &panel.patches)
        .map(|patch| Place {
            at: patch.centre_dmm.map(|c| f64::from(c) / 1e4),
            normal: patch.normal_ppm.map(|c| f64::from(c) / 1e6),
        })
        .collect();
    let pair = |place: &Place, sample: &Sample| {
        Mirror::at(place, &sample.source, sample.eye).is_ok_and(|mirror| mirror.lit(place.normal).is_ok())
    };
    let all =
        || places.iter().map(|place| look.samples.iter().filter(|it| pair(place, it)).count()).sum::<usize>();
    timed(|| assert!(all() > 0)).0
}

/// Draws how the time grows with the samples, below `target/`; the one in this folder was copied from there.
fn plot(sizes: &Sizes, milliseconds: &dyn Fn(usize) -> f64) {
    let points: Vec<(usize, f64)> = [250, 500, 1_000, 2_000, 4_000]
        .into_iter()
        .map(|samples| (samples, middle((0..sizes.rounds).map(|_| milliseconds(samples)))))
        .collect();
    let most = points.iter().map(|it| it.1).fold(1.0, f64::max) * 1.1;
    let at = |(samples, time): (usize, f64)| (60.0 + samples as f64 * 0.13, 330.0 - time / most * 300.0);
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 380\" font-family=\"sans-serif\" font-size=\"13\">\n\
         <title>What a sun look of a whole saloon shows: time by samples</title>\n\
         <path d=\"M60 30V330H600\" fill=\"none\" stroke=\"#555\"/>\n\
         <text x=\"330\" y=\"370\" text-anchor=\"middle\">samples of the look</text>\n<text x=\"10\" y=\"20\">ms</text>\n",
    );
    let line: Vec<String> = points.iter().map(|it| at(*it)).map(|(x, y)| format!("{x:.0} {y:.0}")).collect();
    svg += &format!(
        "<polyline points=\"{}\" fill=\"none\" stroke=\"#06c\" stroke-width=\"2\"/>\n",
        line.join(" ")
    );
    for point in points {
        let (x, y) = at(point);
        svg += &format!("<circle cx=\"{x:.0}\" cy=\"{y:.0}\" r=\"4\" fill=\"#06c\"/>\n");
        svg += &format!("<text x=\"{x:.0}\" y=\"348\" text-anchor=\"middle\">{}</text>\n", point.0);
        svg += &format!(
            "<text x=\"{:.0}\" y=\"{:.0}\" text-anchor=\"end\">{:.0}</text>\n",
            x - 6.0,
            y - 6.0,
            point.1
        );
    }
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("light.svg");
    std::fs::write(&file, svg + "</svg>\n").expect("the plot is written");
    println!("time by samples: {}", file.display());
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
