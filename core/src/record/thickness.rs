//! Paint thickness: what a set of gauge readings says, and what it does not. Pure, in whole numbers: means and
//! differences are exact, rounded once to 0.1 µm; an uncertainty is exact to the nanometre.
//!
//! A reading is everything down to the metal, never clear coat alone. A gauge that shows nothing (plastic, carbon)
//! gave no reading: that is not 0 and does not come here.
//!
//! Sources: NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17 (modified z-score of Iglewicz and Hoaglin) and
//! 1.3.5.17.1 (Grubbs); JCGM 100:2008 (GUM) 4.3.7 and 5.1.2 for the gauge's part of a difference; Welch's interval
//! with the smaller sample's degrees of freedom for the scatter's part. Thresholds of the trade stand at their names.

/// The least that is a reading, µm.
pub const LOWEST_UM: u32 = 1;

/// The most that is a reading, µm: thicker than any filler that a gauge for metal sees through (common practice, no
/// source).
pub const HIGHEST_UM: u32 = 10_000;

/// Above this difference of the means of two mates (left and right) or neighbours, "consistent with repaint" is said,
/// µm. The trade says "over about 40 to 50" (common practice, no source); the cautious end is taken.
pub const MATES_DIFFER_UM: u32 = 50;

/// Fewer readings than this, before or after, say nothing about what came off (common practice, no source).
pub const FEWEST_FOR_REMOVAL: usize = 5;

/// Two-sided critical values of Grubbs's test at 5 % for 3 to 30 readings, millionths:
/// `(n-1)/√n · √(t²/(n-2+t²))`, t the upper 0.05/(2n) point with n-2 degrees of freedom. A table, because 28 numbers
/// are easier to check than a quantile of Student's t; more readings than 30 get no verdict of this test.
const GRUBBS: [u32; 28] = [
    1_154_305, 1_481_250, 1_715_037, 1_887_145, 2_019_969, 2_126_645, 2_215_004, 2_289_954, 2_354_730,
    2_411_560, 2_462_033, 2_507_321, 2_548_308, 2_585_676, 2_619_964, 2_651_599, 2_680_931, 2_708_246,
    2_733_780, 2_757_735, 2_780_277, 2_801_551, 2_821_681, 2_840_774, 2_858_923, 2_876_209, 2_892_705,
    2_908_473,
];

/// Two-sided 95 % points of Student's t for 4 to 30 degrees of freedom, ten-thousandths; above 30 the last is used,
/// which is on the careful side.
const STUDENT: [u32; 27] = [
    27_764, 25_706, 24_469, 23_646, 23_060, 22_622, 22_281, 22_010, 21_788, 21_604, 21_448, 21_314, 21_199,
    21_098, 21_009, 20_930, 20_860, 20_796, 20_739, 20_687, 20_639, 20_595, 20_555, 20_518, 20_484, 20_452,
    20_423,
];

/// Whether this can be a reading; if not, why, in plain words.
pub fn checked(reading_um: u32) -> Result<(), String> {
    match reading_um {
        0 => Err("0 µm is no reading; where the gauge shows none, say so".to_owned()),
        LOWEST_UM..=HIGHEST_UM => Ok(()),
        _ => Err(format!("{reading_um} µm is more than {HIGHEST_UM} µm: check the unit")),
    }
}

/// What the readings of one panel say. Nothing is left out of it: a doubtful reading may be the finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Summary {
    /// How many readings.
    pub count: usize,
    /// The lowest, µm.
    pub lowest_um: u32,
    /// The highest, µm.
    pub highest_um: u32,
    /// Mean of all, rounded half away from zero, tenths of a µm.
    pub mean_tenths_um: i64,
    /// Places in the list whose modified z-score `0.6745·|x - median|/MAD` is above 3.5. Readings are whole µm, so a
    /// MAD of 0 is taken as 0.25, that of the rounding alone; otherwise five equal readings would hide a sixth.
    pub doubtful: Vec<usize>,
    /// Place of the reading farthest from the mean, when Grubbs's two-sided test at 5 % calls it an outlier; for 3
    /// to 30 readings that are not all equal. Two outliers can hide each other from it.
    pub grubbs: Option<usize>,
}

impl Summary {
    /// Of readings that were [`checked`], µm; `None` of none.
    pub fn of(readings_um: &[u32]) -> Option<Self> {
        let (&lowest_um, &highest_um) = (readings_um.iter().min()?, readings_um.iter().max()?);
        Some(Self {
            count: readings_um.len(),
            lowest_um,
            highest_um,
            mean_tenths_um: rounded(10 * sum(readings_um), len(readings_um)),
            doubtful: doubtful(readings_um),
            grubbs: grubbs(readings_um),
        })
    }
}

/// Places of the readings worth measuring again: called out by either test, and farther from the median than the
/// gauge's own accuracy explains.
pub fn worth_measuring_again(readings_um: &[u32], accuracy_um: u32) -> Vec<usize> {
    let middle = twice_median(readings_um);
    let mut places = doubtful(readings_um);
    places.extend(grubbs(readings_um));
    places.sort_unstable();
    places.dedup();
    places.retain(|&at| (2 * i128::from(readings_um[at]) - middle).abs() > 2 * i128::from(accuracy_um));
    places
}

/// By how much the second panel's mean is above the first's, tenths of a µm: the exact difference, rounded once, so
/// that it may differ by 0.1 from that of two rounded means. `None` when either has no readings.
pub fn difference_tenths(a_um: &[u32], b_um: &[u32]) -> Option<i64> {
    if a_um.is_empty() || b_um.is_empty() {
        return None;
    }
    Some(difference(b_um, a_um, 10))
}

/// What readings before and after say about paint that came off. `limit_tenths` is the expanded uncertainty (about
/// 95 %) of the difference, tenths of a µm, rounded up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Removal {
    /// Fewer than [`FEWEST_FOR_REMOVAL`] readings before or after.
    NotEnough,
    /// A difference that gauge and scatter make by themselves.
    Within {
        /// Mean before less mean after, tenths of a µm; may be negative.
        tenths: i64,
        /// Uncertainty, tenths of a µm.
        limit_tenths: i64,
    },
    /// More than the gauge's accuracy and one standard uncertainty, less than the expanded one: worth stating with
    /// its limit, not worth claiming.
    NearLimit {
        /// Mean before less mean after, tenths of a µm.
        tenths: i64,
        /// Uncertainty, tenths of a µm.
        limit_tenths: i64,
    },
    /// More than gauge and scatter explain.
    Clear {
        /// Mean before less mean after, tenths of a µm.
        tenths: i64,
        /// Uncertainty, tenths of a µm.
        limit_tenths: i64,
    },
    /// Thicker than before: another place was measured, or something was put on.
    Rose {
        /// Mean after less mean before, tenths of a µm.
        tenths: i64,
        /// Uncertainty, tenths of a µm.
        limit_tenths: i64,
    },
}

/// What came off between two sets of readings of one panel, by a gauge that is right to ±`accuracy_um`; less than 1
/// is taken as 1, because readings are whole µm.
///
/// Two things make a difference of means by themselves. The scatter of the readings: variance of a mean s²/n, both
/// added, times Student's t with the degrees of freedom of the smaller set. And the gauge: what is off in the same
/// way both times cancels, but it was set up twice, so ±a counts twice as a rectangular distribution, 2·a²/3, with
/// k = 2. The two are added in quadrature. Readings are not taken as pairs, because nobody vouches that they were
/// taken at the same marked places in the same order; paint that varies over the panel thus widens the limit, never
/// narrows it.
pub fn removal(before_um: &[u32], after_um: &[u32], accuracy_um: u32) -> Removal {
    let fewest = before_um.len().min(after_um.len());
    if fewest < FEWEST_FOR_REMOVAL {
        return Removal::NotEnough;
    }
    let scatter = mean_variance_nm2(before_um) + mean_variance_nm2(after_um);
    let accuracy_nm = 1000 * u128::from(accuracy_um.max(1));
    let gauge = (2 * accuracy_nm * accuracy_nm).div_ceil(3);
    let t = STUDENT[(fewest - FEWEST_FOR_REMOVAL).min(STUDENT.len() - 1)];
    let t_squared = u128::from(t) * u128::from(t);
    let limit_nm = root_up((t_squared * scatter).div_ceil(100_000_000) + 4 * gauge);
    let noise_nm = root_up(scatter + gauge).max(i64::try_from(accuracy_nm).unwrap_or(i64::MAX));

    let nm = difference(before_um, after_um, 1000);
    let tenths = difference(before_um, after_um, 10);
    let limit_tenths = limit_nm / 100 + i64::from(limit_nm % 100 > 0);
    if nm < -noise_nm {
        Removal::Rose { tenths: -tenths, limit_tenths }
    } else if nm <= noise_nm {
        Removal::Within { tenths, limit_tenths }
    } else if nm <= limit_nm {
        Removal::NearLimit { tenths, limit_tenths }
    } else {
        Removal::Clear { tenths, limit_tenths }
    }
}

/// `lowest 97 µm, mean 108.4 µm of 5 readings`.
pub fn summary_text(summary: &Summary) -> String {
    if summary.count == 1 {
        return format!("{} µm, one reading", summary.lowest_um);
    }
    let mean = tenths_text(summary.mean_tenths_um);
    format!("lowest {} µm, mean {mean} µm of {} readings", summary.lowest_um, summary.count)
}

/// `difference 123 µm: consistent with repaint, among other causes`. What else it may be stays open: a thick factory
/// coat, film, a wrap, filler. It is never a verdict on how it came about.
pub fn difference_text(tenths: i64) -> String {
    let size = tenths.unsigned_abs();
    let shown = if size.is_multiple_of(10) { (size / 10).to_string() } else { tenths_text(tenths.abs()) };
    if size > u64::from(MATES_DIFFER_UM) * 10 {
        format!("difference {shown} µm: consistent with repaint, among other causes")
    } else {
        format!("difference {shown} µm")
    }
}

/// What may be said of a removal; never more than the gauge can show.
pub fn removal_text(removal: Removal) -> String {
    match removal {
        Removal::NotEnough => format!(
            "not enough readings to say what came off: {FEWEST_FOR_REMOVAL} before and {FEWEST_FOR_REMOVAL} after, \
             at the same marked places, are needed"
        ),
        Removal::Within { tenths, limit_tenths } => format!(
            "no difference that the gauge can show: {} µm lies within ±{} µm",
            tenths_text(tenths),
            tenths_text(limit_tenths)
        ),
        Removal::NearLimit { tenths, limit_tenths } => format!(
            "about {} µm, near the limit of the gauge (gauge and scatter leave ±{} µm)",
            tenths_text(tenths),
            tenths_text(limit_tenths)
        ),
        Removal::Clear { tenths, limit_tenths } => {
            format!("about {} µm came off (±{} µm)", tenths_text(tenths), tenths_text(limit_tenths))
        }
        Removal::Rose { tenths, limit_tenths } => format!(
            "about {} µm thicker than before (±{} µm): something was put on, or other places were measured",
            tenths_text(tenths),
            tenths_text(limit_tenths)
        ),
    }
}

/// `108.4`.
fn tenths_text(tenths: i64) -> String {
    let size = tenths.unsigned_abs();
    format!("{}{}.{}", if tenths < 0 { "-" } else { "" }, size / 10, size % 10)
}

fn len(readings_um: &[u32]) -> i128 {
    readings_um.len() as i128
}

fn sum(readings_um: &[u32]) -> i128 {
    readings_um.iter().map(|&um| i128::from(um)).sum()
}

/// Sum of squares about the mean, times n: n·Σx² - (Σx)².
fn spread(readings_um: &[u32]) -> i128 {
    let squares: i128 = readings_um.iter().map(|&um| i128::from(um) * i128::from(um)).sum();
    len(readings_um) * squares - sum(readings_um) * sum(readings_um)
}

/// A quotient, rounded half away from zero.
fn rounded(over: i128, under: i128) -> i64 {
    let size = (2 * over.abs() + under) / (2 * under);
    i64::try_from(over.signum() * size).unwrap_or(i64::MAX)
}

/// Mean of the first less mean of the second, in 1/`parts` µm.
fn difference(a_um: &[u32], b_um: &[u32], parts: i128) -> i64 {
    let (of_a, of_b) = (len(a_um), len(b_um));
    rounded(parts * (sum(a_um) * of_b - sum(b_um) * of_a), of_a * of_b)
}

/// The median, doubled so that it is whole; 0 of none.
fn twice_median(readings_um: &[u32]) -> i128 {
    let mut sorted: Vec<i128> = readings_um.iter().map(|&um| i128::from(um)).collect();
    twice_middle(&mut sorted)
}

fn twice_middle(values: &mut [i128]) -> i128 {
    values.sort_unstable();
    match values.len() {
        0 => 0,
        count => values[(count - 1) / 2] + values[count / 2],
    }
}

fn doubtful(readings_um: &[u32]) -> Vec<usize> {
    let middle = twice_median(readings_um);
    let off: Vec<i128> = readings_um.iter().map(|&um| (2 * i128::from(um) - middle).abs()).collect();
    // Four times the MAD; at least 1, which is 0.25 µm.
    let spread = twice_middle(&mut off.clone()).max(1);
    // 0.6745·(off/2) / (spread/4) > 3.5, without fractions.
    (0..off.len()).filter(|&at| 1349 * off[at] > 3500 * spread).collect()
}

fn grubbs(readings_um: &[u32]) -> Option<usize> {
    let critical = i128::from(*GRUBBS.get(readings_um.len().checked_sub(3)?)?);
    let (n, total, spread) = (len(readings_um), sum(readings_um), spread(readings_um));
    let off = |at: usize| (n * i128::from(readings_um[at]) - total).abs();
    // `max_by_key` takes the last of equals; the first is easier to find again.
    let farthest = (0..readings_um.len()).rev().max_by_key(|&at| off(at))?;
    // G² = off²·(n-1) / (n·spread). With all equal both sides are 0, and nothing is called out.
    let (off, million) = (off(farthest), 1_000_000_i128);
    (off * off * (n - 1) * million * million > critical * critical * n * spread).then_some(farthest)
}

/// Variance of the mean, s²/n, nm²: 10^6·spread / (n²·(n-1)), rounded up; for at least two readings.
fn mean_variance_nm2(readings_um: &[u32]) -> u128 {
    let n = readings_um.len() as u128;
    (1_000_000 * spread(readings_um).unsigned_abs()).div_ceil(n * n * (n - 1))
}

/// Square root, rounded up.
fn root_up(square: u128) -> i64 {
    let root = square.isqrt();
    i64::try_from(if root * root < square { root + 1 } else { root }).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    const RIGHT: [u32; 5] = [112, 108, 115, 97, 110];
    const LEFT: [u32; 5] = [228, 241, 236, 219, 233];
    const BEFORE: [u32; 5] = [104, 101, 99, 106, 103];
    const AFTER: [u32; 5] = [101, 99, 98, 102, 100];

    #[test]
    fn two_doors_that_differ() {
        let (right, left) = (Summary::of(&RIGHT).expect("five"), Summary::of(&LEFT).expect("five"));
        assert_eq!(summary_text(&right), "lowest 97 µm, mean 108.4 µm of 5 readings");
        assert_eq!(summary_text(&left), "lowest 219 µm, mean 231.4 µm of 5 readings");
        let difference = difference_tenths(&RIGHT, &LEFT).expect("both");
        assert_eq!(difference, 1230);
        assert_eq!(difference_tenths(&LEFT, &RIGHT), Some(-1230));
        let text = difference_text(difference);
        assert_eq!(text, "difference 123 µm: consistent with repaint, among other causes");
        assert!(!text.contains("accident"));
        assert_eq!(difference_text(-1230), text);
        assert_eq!(difference_text(500), "difference 50 µm");
        assert_eq!(difference_text(501), "difference 50.1 µm: consistent with repaint, among other causes");
        assert_eq!(difference_text(-4), "difference 0.4 µm");
    }

    #[test]
    fn removal_near_the_limit() {
        let found = removal(&BEFORE, &AFTER, 2);
        // By hand: s² 7.3 and 2.5, scatter 9.8/5 = 1.96, gauge 8/3; √(2.7764²·1.96 + 4·8/3) = 5.08.
        assert_eq!(found, Removal::NearLimit { tenths: 26, limit_tenths: 51 });
        assert!(removal_text(found).starts_with("about 2.6 µm, near the limit of the gauge"));
        assert!(!removal_text(found).contains("2.6 µm removed"));
        assert_eq!(removal(&[104], &[101], 2), Removal::NotEnough);
        assert_eq!(removal(&BEFORE[..4], &AFTER, 2), Removal::NotEnough);
        assert_eq!(removal(&[], &[], 2), Removal::NotEnough);
        assert!(removal_text(Removal::NotEnough).starts_with("not enough"));
    }

    #[test]
    fn removal_within_clear_and_rising() {
        let lower = |by: u32| BEFORE.map(|um| um - by);
        // The same scatter twice: 2·7.3/5 + 8/3 = 5.587, so noise 2.364 and limit √(7.7084·2.92 + 32/3) = 5.765.
        assert_eq!(removal(&BEFORE, &lower(0), 2), Removal::Within { tenths: 0, limit_tenths: 58 });
        assert_eq!(removal(&BEFORE, &lower(2), 2), Removal::Within { tenths: 20, limit_tenths: 58 });
        assert_eq!(removal(&lower(2), &BEFORE, 2), Removal::Within { tenths: -20, limit_tenths: 58 });
        assert_eq!(removal(&BEFORE, &lower(3), 2), Removal::NearLimit { tenths: 30, limit_tenths: 58 });
        assert_eq!(removal(&BEFORE, &lower(5), 2), Removal::NearLimit { tenths: 50, limit_tenths: 58 });
        assert_eq!(removal(&BEFORE, &lower(6), 2), Removal::Clear { tenths: 60, limit_tenths: 58 });
        assert_eq!(removal(&lower(3), &BEFORE, 2), Removal::Rose { tenths: 30, limit_tenths: 58 });
        // A panel whose paint varies says less, however good the gauge.
        let uneven = [80, 100, 120, 140, 160];
        assert!(matches!(removal(&uneven, &uneven.map(|um| um - 6), 0), Removal::Within { tenths: 60, .. }));
        // Without scatter the gauge alone is left: accuracy 2, limit 2·√(8/3) = 3.27.
        let flat = |um| [um; 6];
        assert_eq!(removal(&flat(100), &flat(98), 2), Removal::Within { tenths: 20, limit_tenths: 33 });
        assert_eq!(removal(&flat(100), &flat(97), 2), Removal::NearLimit { tenths: 30, limit_tenths: 33 });
        assert_eq!(removal(&flat(100), &flat(96), 2), Removal::Clear { tenths: 40, limit_tenths: 33 });
        // No gauge is better than the whole µm that it shows: 2·√(2/3) = 1.63.
        assert_eq!(removal(&flat(100), &flat(99), 0), Removal::Within { tenths: 10, limit_tenths: 17 });
        assert_eq!(removal(&flat(100), &flat(98), 0), Removal::Clear { tenths: 20, limit_tenths: 17 });
        for (removal, text) in [
            (
                Removal::Within { tenths: -8, limit_tenths: 33 },
                "no difference that the gauge can show: -0.8 µm lies within ±3.3 µm",
            ),
            (Removal::Clear { tenths: 124, limit_tenths: 39 }, "about 12.4 µm came off (±3.9 µm)"),
            (
                Removal::Rose { tenths: 30, limit_tenths: 33 },
                "about 3.0 µm thicker than before (±3.3 µm): something was put on, or other places were measured",
            ),
        ] {
            assert_eq!(removal_text(removal), text);
        }
    }

    #[test]
    fn means_round_half_away_from_zero() {
        let mean = |readings: &[u32]| Summary::of(readings).map(|summary| summary.mean_tenths_um);
        assert_eq!(mean(&[]), None);
        assert_eq!(mean(&[7]), Some(70));
        // 100.05 → 100.1, 100.04… → 100.0, 1/3.
        assert_eq!(mean(&[[100; 19].as_slice(), &[101]].concat()), Some(1001));
        assert_eq!(mean(&[[100; 20].as_slice(), &[101]].concat()), Some(1000));
        assert_eq!(mean(&[100, 100, 101]), Some(1003));
        assert_eq!(mean(&[100, 101, 101]), Some(1007));
        let (fine, coarse) = ([[100; 19].as_slice(), &[101]].concat(), [100]);
        assert_eq!(difference_tenths(&coarse, &fine), Some(1));
        assert_eq!(difference_tenths(&fine, &coarse), Some(-1));
        assert_eq!(difference_tenths(&fine, &[]), None);
        assert_eq!(summary_text(&Summary::of(&[97]).expect("one")), "97 µm, one reading");
    }

    #[test]
    fn doubt() {
        let both = |readings: &[u32]| {
            let summary = Summary::of(readings).expect("readings");
            (summary.doubtful, summary.grubbs)
        };
        // A spot of filler measured twice hides from Grubbs, not from the median.
        assert_eq!(both(&[118, 121, 117, 640, 905, 119, 122, 116, 120]), (vec![3, 4], None));
        // MAD 0: most are equal, and one is not.
        assert_eq!(both(&[110, 110, 110, 110, 190]), (vec![4], Some(4)));
        assert_eq!(both(&[110, 110, 110, 110, 110]), (vec![], None));
        assert_eq!(both(&[101, 139]), (vec![], None));
        assert_eq!(both(&[[100; 30].as_slice(), &[900]].concat()), (vec![30], None));
        // Median 1000, MAD 674.5: a score of exactly 3.5 is not above it.
        assert_eq!(doubtful(&[325, 326, 1674, 4500]), Vec::<usize>::new());
        assert_eq!(doubtful(&[325, 326, 1674, 4501]), vec![3]);
        // The first of two that are equally far.
        assert_eq!(grubbs(&[&[0, 200], [100; 14].as_slice()].concat()), Some(0));
        // Odd by the rules, and yet within what the gauge itself is off.
        let close = [100, 100, 100, 100, 102];
        assert_eq!(both(&close), (vec![4], Some(4)));
        assert_eq!(worth_measuring_again(&close, 2), Vec::<usize>::new());
        assert_eq!(worth_measuring_again(&close, 1), vec![4]);
        assert_eq!(worth_measuring_again(&[118, 121, 117, 640, 905, 119, 122], 2), vec![3, 4]);
        assert_eq!(worth_measuring_again(&[], 2), Vec::<usize>::new());
    }

    #[test]
    fn what_is_no_reading() {
        assert!(checked(0).is_err_and(|why| why.contains("no reading")));
        assert!(checked(10_001).is_err_and(|why| why.contains("unit")));
        assert!([1, 97, 10_000].into_iter().all(|um| checked(um).is_ok()));
        // What should have been refused does not bring anything down.
        let absurd = [u32::MAX; 2_000];
        assert!(Summary::of(&absurd).is_some());
        assert!(matches!(removal(&absurd, &[0; 2_000], u32::MAX), Removal::Within { .. }));
        let mut mixed = [u32::MAX; 30];
        mixed[0] = 0;
        assert_eq!(grubbs(&mixed), Some(0));
        assert!(matches!(removal(&mixed, &mixed, 0), Removal::Within { tenths: 0, .. }));
    }
}
