//! What the checks from outside read (`tests/python/care`), as lines of JSON on standard output between two markers. Run by
//! them: `cargo test -p sidelong-core --lib care::tests::dump -- --ignored --nocapture`.

use super::Dice;
use crate::care::air::dew_point;
use crate::care::calendar::{DueDate, When, calendar};
use crate::care::cure::local;
use serde_json::json;

const DAY_MS: i64 = 86_400_000;

#[test]
#[ignore = "prints what the checks from outside read"]
fn dump() {
    let mut out = vec![json!({ "tzdb": chrono_tz::IANA_TZDB_VERSION })];
    out.extend(chrono_tz::TZ_VARIANTS.iter().map(|zone| changes(zone.name())));
    out.extend(calendars());
    for air_mc in (-40_000..=60_000).step_by(2_500) {
        for rh_ppm in (10_000..=1_000_000).step_by(45_000) {
            let found = dew_point(air_mc, rh_ppm).expect("in range");
            out.push(json!({ "air_mc": air_mc, "rh_ppm": rh_ppm, "dew_point_mc": found.dew_point_mc, "frost_point_mc": found.frost_point_mc }));
        }
    }
    let lines: String = out.iter().map(|it| format!("{it}\n")).collect();
    println!("<<<care\n{lines}care>>>");
}

/// Every change of a zone's offset, 2020 to 2037, to the second, and what the clock shows there.
fn changes(zone: &str) -> serde_json::Value {
    let off = |ms: i64| local(ms, zone).expect("a zone").off_s;
    let mut found = Vec::new();
    let (mut at, end) = (1_577_836_800_000, 2_145_916_800_000);
    while at < end {
        let (mut low, mut high) = (at, at + DAY_MS);
        if off(low) != off(high) {
            while high - low > 1_000 {
                let middle = low + (high - low) / 2_000 * 1_000;
                if off(middle) == off(low) { low = middle } else { high = middle }
            }
            let shown = local(high, zone).expect("a zone");
            found.push(json!([
                high / 1_000,
                shown.off_s,
                format!("{} {} {}", shown.day, shown.date, shown.time)
            ]));
        }
        at += DAY_MS;
    }
    json!({ "zone": zone, "first": off(1_577_836_800_000), "changes": found })
}

/// Calendars of due dates with texts that are hard to write.
fn calendars() -> Vec<serde_json::Value> {
    let mut dice = Dice(5545);
    let pieces = [
        "keep dry",
        ";",
        ",",
        "\\",
        "\\n",
        "\n",
        "\r\n",
        "\"",
        ":",
        "é",
        "車を洗う",
        "🚗",
        " ",
        "\t",
        "x",
        "BEGIN:VEVENT",
    ];
    let text = |dice: &mut Dice, most: usize| -> String {
        (0..dice.below(most)).map(|_| pieces[dice.below(pieces.len())]).collect()
    };
    (0..200)
        .map(|number| {
            let dates: Vec<DueDate> = (0..dice.below(6))
                .map(|at| DueDate {
                    uid: format!("{number}-{at}@sidelong"),
                    when: if dice.below(2) == 0 {
                        When::At(1_781_014_800_000 + dice.below(4_000_000) as i64 * 1_000)
                    } else {
                        When::Day(format!("2026-{:02}-{:02}", 1 + dice.below(12), 1 + dice.below(28)))
                    },
                    summary: text(&mut dice, 30),
                    description: (dice.below(2) == 0).then(|| text(&mut dice, 80)),
                    alarm_before_s: dice.one_of(&[None, Some(0), Some(3_600), Some(86_400)]),
                })
                .collect();
            let file = calendar(1_781_014_800_000, &dates).expect("a file");
            let dates: Vec<_> = (dates.iter())
                .map(|it| {
                    let (utc_ms, day) = match &it.when {
                        When::At(ms) => (Some(ms), None),
                        When::Day(day) => (None, Some(day)),
                    };
                    json!({ "uid": it.uid, "utc_ms": utc_ms, "day": day, "summary": it.summary, "description": it.description, "alarm_before_s": it.alarm_before_s })
                })
                .collect();
            json!({ "calendar": file, "dates": dates })
        })
        .collect()
}
