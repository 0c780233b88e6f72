//! Taking turns with a peer, medians, and the table.

use std::time::{Duration, Instant};

/// A ratio this many times beyond its goal fails. Wide, because machines that tests run on are shared: what it catches is
/// a wrong order of growth or a lost index, not a slow afternoon.
pub const SLACK: f64 = 3.0;

/// What is aimed at.
#[derive(Debug, Clone, Copy)]
pub enum Goal {
    /// Ratio to the peer.
    AtMost(f64),
    /// Ratio to the peer.
    AtLeast(f64),
    /// Printed for orientation, never asserted.
    Milliseconds(f64),
    /// There is none.
    None,
}

/// Both sides of a comparison: medians over the rounds, and the median of the rounds' own ratios, which a slow round
/// disturbs less because it slows both sides.
#[derive(Debug, Clone, Copy)]
pub struct Pair {
    /// Ours.
    pub ours: Duration,
    /// The peer's.
    pub peer: Duration,
    /// Ours by the peer's.
    pub ratio: f64,
    /// The smallest of the rounds' ratios: what a round gives that nothing disturbs.
    pub least: f64,
}

/// Runs both sides in turns; who begins changes with each round. The first round is not counted.
pub fn side_by_side(
    rounds: usize,
    mut ours: impl FnMut() -> Duration,
    mut peer: impl FnMut() -> Duration,
) -> Pair {
    let mut pairs = Vec::new();
    for round in 0..=rounds {
        let pair = if round % 2 == 0 {
            let ours = ours();
            (ours, peer())
        } else {
            let peer = peer();
            (ours(), peer)
        };
        if round > 0 {
            pairs.push(pair);
        }
    }
    let ratios: Vec<f64> = pairs.iter().map(|(ours, peer)| ours.as_secs_f64() / peer.as_secs_f64()).collect();
    Pair {
        ours: median(pairs.iter().map(|pair| pair.0)),
        peer: median(pairs.iter().map(|pair| pair.1)),
        least: ratios.iter().copied().fold(f64::INFINITY, f64::min),
        ratio: middle(ratios),
    }
}

/// Time of one call.
pub fn timed<T>(act: impl FnOnce() -> T) -> (Duration, T) {
    let began = Instant::now();
    let made = act();
    (began.elapsed(), made)
}

/// The middle one of several times.
pub fn median(times: impl IntoIterator<Item = Duration>) -> Duration {
    Duration::from_secs_f64(middle(times.into_iter().map(|time| time.as_secs_f64())))
}

/// The middle one of several numbers.
pub fn middle(numbers: impl IntoIterator<Item = f64>) -> f64 {
    let mut numbers: Vec<f64> = numbers.into_iter().collect();
    numbers.sort_by(f64::total_cmp);
    numbers[numbers.len() / 2]
}

/// A time to read.
pub fn shown(time: Duration) -> String {
    let micros = time.as_secs_f64() * 1e6;
    match micros {
        ..1e3 => format!("{micros:.0} µs"),
        ..1e4 => format!("{:.2} ms", micros / 1e3),
        ..1e6 => format!("{:.0} ms", micros / 1e3),
        _ => format!("{:.1} s", micros / 1e6),
    }
}

/// What was measured.
#[derive(Debug, Default)]
pub struct Table {
    rows: Vec<[String; 6]>,
    passed: usize,
    failed: usize,
}

impl Table {
    /// Adds a comparison; `parts` is the number of pieces of work in a round.
    pub fn compare(&mut self, what: impl Into<String>, peer: &str, pair: Pair, parts: u32, goal: Goal) {
        let times = (shown(pair.ours / parts), format!("{}: {peer}", shown(pair.peer / parts)));
        self.ratio(what, times.0, times.1, pair.ratio, goal);
    }

    /// Adds a ratio.
    pub fn ratio(&mut self, what: impl Into<String>, ours: String, peer: String, ratio: f64, goal: Goal) {
        let (sign, goal, of_goal) = match goal {
            Goal::AtMost(goal) => ("≤", goal, ratio / goal),
            Goal::AtLeast(goal) => ("≥", goal, goal / ratio),
            Goal::Milliseconds(_) | Goal::None => {
                self.rows.push([what.into(), ours, peer, format!("{ratio:.2}"), "–".into(), String::new()]);
                return;
            }
        };
        let held = of_goal <= SLACK;
        if held {
            self.passed += 1;
        } else {
            self.failed += 1;
        }
        let word = match (of_goal <= 1.0, held) {
            (true, _) => "met",
            (false, true) => "not met",
            (false, false) => "FAILED",
        };
        let far = format!("{word} ({of_goal:.2})");
        self.rows.push([what.into(), ours, peer, format!("{ratio:.2}"), format!("{sign} {goal}"), far]);
    }

    /// Adds a time without a peer.
    pub fn time(&mut self, what: impl Into<String>, time: Duration, goal: Goal) {
        let (goal, far) = match goal {
            Goal::Milliseconds(goal) => {
                let of_goal = time.as_secs_f64() * 1e3 / goal;
                let word = if of_goal <= 1.0 { "met" } else { "not met" };
                (format!("≤ {goal} ms"), format!("{word} ({of_goal:.2})"))
            }
            _ => ("–".to_owned(), String::new()),
        };
        self.rows.push([what.into(), shown(time), "–".into(), "–".into(), goal, far]);
    }

    /// Adds anything else, for orientation.
    pub fn note(&mut self, what: impl Into<String>, found: String) {
        self.rows.push([what.into(), found, "–".into(), "–".into(), "–".into(), String::new()]);
    }

    /// Ratios beyond [`SLACK`] times their goal.
    pub fn failed(&self) -> usize {
        self.failed
    }

    /// Prints it as Markdown, then the closing line.
    pub fn print(&self) {
        println!("| what | ours | peer | ratio | goal | met? (times the goal) |\n|---|---|---|---|---|---|");
        for row in &self.rows {
            println!("| {} |", row.join(" | "));
        }
        println!(
            "\nMedians. A ratio fails beyond {SLACK} times its goal; goals in milliseconds are for orientation.\n"
        );
        println!("{} passed, {} failed", self.passed, self.failed);
    }
}
