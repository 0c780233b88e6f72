//! Clocks of sections, with a trade day's numbers, and under clocks that jump.

use super::super::cure::{Cure, CureTimes, cure_dues};
use super::super::tests::Dice;
use super::*;

/// 2026-06-09 10:40:00 in London.
const TEN_FORTY_MS: i64 = 1_780_998_000_000;

fn at(boot: &str, mono_s: u64, utc_s: i64) -> Moment {
    let utc_ms = TEN_FORTY_MS + utc_s * 1_000;
    Moment { phone: "one".into(), boot: boot.into(), mono_ms: mono_s * 1_000, utc_ms }
}

/// Seconds after 10:40:00, phone started an hour before.
fn after(s: u64) -> Moment {
    at("boot", 3_600 + s, i64::try_from(s).expect("small"))
}

fn opened(section: &str, person: &str, least_s: u64, most_s: Option<u64>) -> Happened {
    Happened::Opened {
        section: section.into(),
        layer: 1,
        person: person.into(),
        least_ms: least_s * 1_000,
        most_ms: most_s.map(|it| it * 1_000),
    }
}

fn levelled(section: &str, person: &str) -> Happened {
    Happened::Levelled { section: section.into(), layer: 1, person: person.into() }
}

fn entry(at: Moment, happened: impl IntoIterator<Item = Happened>) -> Entry {
    Entry { at, happened: happened.into_iter().collect() }
}

fn four() -> Vec<Entry> {
    vec![
        entry(after(0), [opened("A", "first", 120, Some(180))]),
        entry(after(50), [opened("B", "second", 120, Some(180))]),
        entry(after(90), [opened("C", "first", 120, Some(180))]),
        entry(after(100), [opened("tar dwell", "second", 60, None)]),
    ]
}

fn order(clocks: &Clocks) -> Vec<(&str, Stage)> {
    clocks.open.iter().map(|it| (it.section.as_str(), it.stage)).collect()
}

#[test]
fn four_clocks_run_beside_each_other_and_the_next_due_is_on_top() {
    let (waits, due, overdue) = (
        |s: u64| Stage::Waits { due_in_ms: s * 1_000 },
        |s: Option<u64>| Stage::Due { left_ms: s.map(|it| it * 1_000) },
        |s: u64| Stage::Overdue { late_by_ms: s * 1_000 },
    );
    let seen = |s| clocks(&four(), &after(s));
    assert_eq!(
        order(&seen(110)),
        [("A", waits(10)), ("tar dwell", waits(50)), ("B", waits(60)), ("C", waits(100))]
    );
    assert_eq!(
        order(&seen(120)),
        [("A", due(Some(60))), ("tar dwell", waits(40)), ("B", waits(50)), ("C", waits(90))]
    );
    assert_eq!(
        order(&seen(175)),
        [("A", due(Some(5))), ("B", due(Some(55))), ("tar dwell", due(None)), ("C", waits(35))]
    );
    // At the very most it is not late yet.
    assert_eq!(order(&seen(180))[0], ("A", due(Some(0))));
    assert_eq!(
        order(&seen(240)),
        [("A", overdue(60)), ("B", overdue(10)), ("C", due(Some(30))), ("tar dwell", due(None))]
    );
}

#[test]
fn a_missed_level_is_logged_late_and_one_input_levels_and_opens_the_next() {
    let mut entries = four();
    entries.push(entry(after(200), [levelled("A", "first"), opened("D", "first", 120, Some(180))]));
    entries.push(entry(after(205), [levelled("B", "first"), levelled("E", "second")]));
    entries.push(entry(after(206), [levelled("C", "first")]));
    let found = clocks(&entries, &after(210));
    let closed: Vec<(&str, &str, u64, u64, u64)> = (found.closed.iter())
        .map(|it| (&*it.section, &*it.closed_by, it.waited.ms / 1_000, it.early_by_ms, it.late_by_ms))
        .collect();
    // A waited 200 s of at most 180; C only 116 of at least 120.
    assert_eq!(
        closed,
        [("A", "first", 200, 0, 20_000), ("B", "first", 155, 0, 0), ("C", "first", 116, 4_000, 0)]
    );
    assert_eq!(found.unmatched, [("E".to_owned(), 1)]);
    assert_eq!(order(&found)[1], ("D", Stage::Waits { due_in_ms: 110_000 }));
    // Opened once more before it was levelled: both are told.
    entries.push(entry(after(220), [opened("D", "second", 120, None)]));
    let found = clocks(&entries, &after(230));
    let again = found.closed.last().expect("closed");
    assert!(!again.levelled && again.waited.ms == 20_000);
    assert!(found.open.iter().any(|it| it.section == "D" && it.waited.ms == 10_000));
}

#[test]
fn setting_a_clock_moves_nothing_while_the_phone_runs() {
    for set_s in [-86_400, -1, 0, 3_600, 86_400_000] {
        let entries = [entry(after(0), [opened("A", "first", 120, Some(180))])];
        let found = clocks(&entries, &at("boot", 3_600 + 119, 119 + set_s));
        assert_eq!(found.open[0].stage, Stage::Waits { due_in_ms: 1_000 });
        assert!(found.open[0].waited.sure);
    }
}

#[test]
fn over_a_restart_the_wall_clock_counts_but_never_less_than_the_phone_has_run() {
    let entries = [entry(after(0), [opened("A", "first", 120, Some(180))])];
    // Off for 100 s, then 30 s on.
    let found = clocks(&entries, &at("next", 30, 130));
    assert_eq!(
        (found.open[0].waited, found.open[0].stage),
        (Elapsed { ms: 130_000, sure: true }, Stage::Due { left_ms: Some(50_000) })
    );
    // Set back an hour meanwhile: only the 30 s are certain, so it still waits, and says that it is not sure.
    let found = clocks(&entries, &at("next", 30, 130 - 3_600));
    assert_eq!(found.open[0].waited, Elapsed { ms: 30_000, sure: false });
    assert_eq!(found.open[0].stage, Stage::Waits { due_in_ms: 90_000 });
    // What was recorded before the restart takes most of it off the wall clock: set forward while it ran.
    let forward = entry(at("boot", 3_600 + 60, 60 + 86_400), []);
    let trail = [entries[0].clone(), forward];
    let found = clocks(&trail, &at("next", 10, 86_400 + 60 + 25));
    assert_eq!(found.open[0].waited, Elapsed { ms: 85_000, sure: true });
}

#[test]
fn two_phones_are_compared_by_their_wall_clocks() {
    let other = |mono_s, utc_s| Moment { phone: "two".into(), ..at("boot", mono_s, utc_s) };
    let entries = [entry(other(9_000, 0), [opened("A", "second", 120, Some(180))])];
    assert_eq!(clocks(&entries, &after(150)).open[0].waited, Elapsed { ms: 150_000, sure: true });
    let ahead = [entry(other(9_000, 500), [opened("A", "second", 120, Some(180))])];
    assert_eq!(clocks(&ahead, &after(150)).open[0].waited, Elapsed { ms: 0, sure: false });
}

/// True time runs on; the phone is restarted, and its clock set back at any moment. Inside one running the time is exact; over
/// restarts it is never more than has passed.
#[test]
fn no_wait_ends_early_because_a_clock_was_set_back() {
    let mut dice = Dice(31);
    let (mut exact, mut unsure) = (0, 0);
    for _ in 0..20_000 {
        let (mut truth_ms, mut mono_ms, mut set_ms, mut boot) = (0_u64, 5_000_u64, 0_i64, 0);
        let mut moments = Vec::new();
        for _ in 0..2 + dice.below(8) {
            let ms = 1 + dice.below(200_000) as u64;
            truth_ms += ms;
            mono_ms += ms;
            match dice.below(6) {
                0 => {
                    let off_ms = dice.below(500_000) as u64;
                    truth_ms += off_ms;
                    (mono_ms, boot) = (dice.below(9_000) as u64, boot + 1);
                    truth_ms += mono_ms;
                    // Set back before anything is recorded.
                    set_ms -= dice.one_of(&[0, 0, 1_500_000, 4_000_000]);
                }
                1 => set_ms -= dice.below(4_000_000) as i64,
                _ => {}
            }
            let utc_ms = TEN_FORTY_MS + i64::try_from(truth_ms).expect("small") + set_ms;
            moments
                .push((Moment { phone: "one".into(), boot: format!("{boot}"), mono_ms, utc_ms }, truth_ms));
        }
        let trail = Trail::new(moments.iter().map(|it| &it.0));
        let from = dice.below(moments.len());
        let to = from + dice.below(moments.len() - from);
        let found = trail.elapsed(&moments[from].0, &moments[to].0);
        let truth_ms = moments[to].1 - moments[from].1;
        assert!(found.ms <= truth_ms, "{found:?} of {truth_ms}: {moments:?}");
        if moments[from].0.boot == moments[to].0.boot {
            assert_eq!(found, Elapsed { ms: truth_ms, sure: true });
            exact += 1;
        }
        unsure += usize::from(!found.sure);
    }
    assert!(exact > 5_000 && unsure > 500, "{exact} {unsure}");
}

#[test]
fn five_clocks_of_a_cure_are_right_after_a_restart_and_three_days() {
    // Finished 9 June 2026 15:20 in London: keep dry 24 h, no wash 7 days, full 14 days.
    let finished =
        Moment { phone: "one".into(), boot: "b1".into(), mono_ms: 7_200_000, utc_ms: 1_781_014_800_000 };
    let times = CureTimes {
        rain_s: Some(86_400),
        wash_s: Some(604_800),
        full_s: Some(1_209_600),
        ..CureTimes::default()
    };
    let shown = |now: &Moment| -> Vec<(Cure, String, String, u64)> {
        let since = Trail::new([&finished, now]).elapsed(&finished, now);
        let dues = cure_dues(&times, since, now.utc_ms, "Europe/London").expect("dues");
        dues.into_iter().map(|it| (it.cure, it.local.day, it.local.time, it.left_ms)).collect()
    };
    let expected = |left: [u64; 3]| {
        let days = ["Wed 10 June 2026", "Tue 16 June 2026", "Tue 23 June 2026"];
        let cures = [Cure::Rain, Cure::Wash, Cure::Full];
        let rows = cures.into_iter().zip(days).zip(left);
        rows.map(|((cure, day), left)| (cure, day.to_owned(), "15:20".to_owned(), left)).collect::<Vec<_>>()
    };
    const DAY_MS: u64 = 86_400_000;
    assert_eq!(shown(&finished), expected([DAY_MS, 7 * DAY_MS, 14 * DAY_MS]));
    let later = Moment {
        boot: "b2".into(),
        mono_ms: 60_000,
        utc_ms: 1_781_014_800_000 + 3 * 86_400_000,
        ..finished.clone()
    };
    assert_eq!(shown(&later), expected([0, 4 * DAY_MS, 11 * DAY_MS]));
    // The clock was set back two hours while the phone ran: the end is told by the clock as it stands now.
    let set =
        Moment { mono_ms: 7_200_000 + 3_600_000, utc_ms: 1_781_014_800_000 - 3_600_000, ..finished.clone() };
    assert_eq!(shown(&set)[0], (Cure::Rain, "Wed 10 June 2026".into(), "13:20".into(), DAY_MS - 3_600_000));
}

#[test]
fn a_day_is_24_hours_also_over_a_change_of_summer_time() {
    // 24 October 2026 15:20 in London; clocks go back on the 25th at 02:00 (Summer Time Order 2002).
    let finished_ms = 1_792_851_600_000;
    let times = CureTimes { rain_s: Some(86_400), ..CureTimes::default() };
    let since = Elapsed { ms: 0, sure: true };
    let due = cure_dues(&times, since, finished_ms, "Europe/London").expect("a due");
    assert_eq!((due[0].local.day.as_str(), due[0].local.time.as_str()), ("Sun 25 October 2026", "14:20"));
    assert_eq!(due[0].local.off_s, 0);
    for zone in ["", "London", "Europe/Nowhere", "UTC+1"] {
        assert!(
            cure_dues(&times, since, finished_ms, zone)
                .is_err_and(|why| why.to_string().starts_with("zone: "))
        );
    }
    assert!(cure_dues(&times, since, i64::MAX, "UTC").is_err());
    assert!(cure_dues(&times, Elapsed { ms: u64::MAX, sure: true }, i64::MIN, "UTC").is_err());
}
