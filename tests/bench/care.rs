//! Care: planning a coating, planning it anew while it is done, and how both grow with sections and layers.

use crate::Sizes;
use crate::measure::{Goal, Table, median, middle, timed};
use sidelong_core::care::schedule::{Done, Layer, Person, Plan, Problem, Section, Task, TaskKind, plan};
use sidelong_tests::Dice;
use std::fmt::Write;
use std::path::Path;
use std::time::Duration;

pub fn measure(sizes: &Sizes, _folder: &Path, table: &mut Table) {
    for open_limit in [1, 2] {
        let job = car(17, 3, 3, open_limit);
        let (time, found) = planned(sizes, &job);
        let finish = format!("{:.0} min by {} people", found.0 as f64 / 60.0, job.people.len());
        table.time(
            format!("plan 17 sections × 3 layers × 3 people, {open_limit} open each: {finish}"),
            time,
            Goal::Milliseconds(50.0),
        );
        // A third of it is done, and one section was applied 40 s later than planned.
        let later = going_on(&job, &found.1, found.0 / 3, 40);
        let (time, _) = planned(sizes, &later);
        table.time("… plan it anew, a third done, one section late", time, Goal::Milliseconds(20.0));
    }
    plot(sizes);
}

/// Median time, finish and tasks.
fn planned(sizes: &Sizes, job: &Problem) -> (Duration, (i64, Vec<Task>)) {
    let found = match plan(job).expect("an answer") {
        Plan::Fits { finish_s, tasks, .. } => (finish_s, tasks),
        Plan::NothingFits { breaks, .. } => panic!("{breaks:?}"),
    };
    let time = median((0..sizes.rounds).map(|_| timed(|| plan(job).expect("an answer")).0));
    (time, found)
}

/// An invented coating: a base layer and others, sections of slightly different size.
fn car(sections: usize, layers: usize, people: usize, open_limit: u32) -> Problem {
    let mut dice = Dice(17);
    let section = |at| Section {
        name: format!("section {at}"),
        from_s: 0,
        layers: (0..layers)
            .map(|layer| Layer {
                apply_s: 50 + dice.below(30) as i64,
                wait_least_s: [60, 120][layer % 2],
                wait_most_s: Some([120, 180][layer % 2]),
                level_s: 35 + dice.below(20) as i64,
                cure_least_s: [1_800, 3_600][layer % 2],
                cure_most_s: None,
                person: None,
                applied: None,
                levelled: None,
            })
            .collect(),
    };
    Problem {
        now_s: 0,
        open_limit,
        hand_over: false,
        late_allowed: true,
        sections: (0..sections).map(section).collect(),
        people: (0..people).map(|at| Person { name: format!("person {at}"), from_s: 0 }).collect(),
    }
}

/// The job at a moment of its plan; what was applied last took so much longer.
fn going_on(job: &Problem, tasks: &[Task], now_s: i64, late_s: i64) -> Problem {
    let mut job = Problem { now_s: now_s + late_s, ..job.clone() };
    let over: Vec<&Task> = tasks.iter().filter(|it| it.end_s <= now_s).collect();
    for task in &over {
        let section = job.sections.iter_mut().find(|it| it.name == task.section).expect("a section");
        let layer = &mut section.layers[task.layer];
        let done = Some(Done { person: task.person.clone(), start_s: task.start_s, end_s: Some(task.end_s) });
        match task.task {
            TaskKind::Apply => layer.applied = done,
            TaskKind::Level => layer.levelled = done,
        }
    }
    let open = |it: &&mut Layer| it.applied.is_some() && it.levelled.is_none();
    let last = job.sections.iter_mut().flat_map(|it| &mut it.layers).filter(open);
    if let Some(done) = last.filter_map(|it| it.applied.as_mut()).max_by_key(|it| it.end_s) {
        done.end_s = done.end_s.map(|end_s| end_s + late_s);
    }
    job
}

/// Draws how the time grows with sections × layers, below `target/`; the one in this folder was copied from there.
fn plot(sizes: &Sizes) {
    let sizes_of = [(2, 1), (4, 1), (4, 2), (6, 2), (8, 2), (8, 3), (12, 3), (17, 3), (25, 3), (34, 3)];
    let points: Vec<(usize, f64)> = sizes_of
        .into_iter()
        .map(|(sections, layers)| {
            let job = car(sections, layers, 3, 2);
            let time = || timed(|| plan(&job).expect("an answer")).0.as_secs_f64() * 1e3;
            (sections * layers, middle((0..sizes.rounds).map(|_| time())))
        })
        .collect();
    let most = points.iter().map(|it| it.1).fold(1.0, f64::max) * 1.1;
    let at = |(count, time): (usize, f64)| (60.0 + count as f64 * 5.0, 330.0 - time / most * 300.0);
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 380\" font-family=\"sans-serif\" font-size=\"13\">\n\
         <title>Planning a coating by three people: time by sections × layers</title>\n\
         <path d=\"M60 30V330H600\" fill=\"none\" stroke=\"#555\"/>\n\
         <text x=\"330\" y=\"370\" text-anchor=\"middle\">sections × layers</text>\n<text x=\"10\" y=\"20\">ms</text>\n",
    );
    let line: Vec<String> = points.iter().map(|it| at(*it)).map(|(x, y)| format!("{x:.0} {y:.0}")).collect();
    writeln!(
        svg,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"#06c\" stroke-width=\"2\"/>",
        line.join(" ")
    )
    .expect("a line");
    for (number, point) in points.into_iter().enumerate() {
        let (x, y) = at(point);
        writeln!(svg, "<circle cx=\"{x:.0}\" cy=\"{y:.0}\" r=\"4\" fill=\"#06c\"/>").expect("a point");
        // Small ones lie close together: every other is named.
        if number % 2 == 1 {
            writeln!(svg, "<text x=\"{x:.0}\" y=\"348\" text-anchor=\"middle\">{}</text>", point.0)
                .expect("a text");
            writeln!(
                svg,
                "<text x=\"{x:.0}\" y=\"{:.0}\" text-anchor=\"middle\">{:.0}</text>",
                y - 10.0,
                point.1
            )
            .expect("a text");
        }
    }
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("care.svg");
    std::fs::write(&file, svg + "</svg>\n").expect("the plot is written");
    println!("time by sections × layers: {}", file.display());
}
