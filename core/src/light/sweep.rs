//! A phone that is swept with its own lamp: from what its rotation sensor says to how far it was turned. Pure.
//!
//! The sensor gives a unit quaternion from the phone's frame to the ground's, z up; the lamp on its back shines along the phone's
//! -z (Android: `Sensor.TYPE_ROTATION_VECTOR` and the frame in `SensorEvent`; W3C Orientation Sensor says the same of the web).

use crate::record::inputs::SweepPoint;
use crate::vehicle::V3;

/// The phone is turned at least so far from one moment to the next, degrees: what lies nearer shows nothing new.
const STEP_DEG: f64 = 2.0;
/// Most moments of a sweep that are kept.
const MOST: usize = 120;

/// What the sensor says of one moment: the quaternion's x, y, z and w.
pub type Turn = [f64; 4];

/// How far the lamp was turned, moment by moment, from where it shone first. What the sensor says and is no rotation is left out; a
/// long sweep is thinned, so that its whole way stays.
pub fn swept(turns: &[Turn]) -> Vec<SweepPoint> {
    let mut ways = turns.iter().filter_map(shines);
    let Some(first) = ways.next() else { return Vec::new() };
    let (turn, rise) = angles(first);
    let mut last = (0.0_f64, 0.0_f64);
    let mut kept = Vec::new();
    for way in ways {
        let (yaw, pitch) = angles(way);
        let now = (super::heading::wrapped(yaw - turn), (pitch - rise).clamp(-90.0, 90.0));
        let apart = super::heading::wrapped(now.0 - last.0).abs().max((now.1 - last.1).abs());
        if apart >= STEP_DEG {
            last = now;
            kept.push(SweepPoint { yaw_mdeg: mdeg(now.0), pitch_mdeg: mdeg(now.1) });
        }
    }
    let every = kept.len().div_ceil(MOST).max(1);
    kept.into_iter().step_by(every).collect()
}

fn mdeg(deg: f64) -> i32 {
    libm::round(deg * 1_000.0) as i32
}

/// To the left and upwards, degrees.
fn angles([x, y, z]: V3) -> (f64, f64) {
    let level = libm::sqrt(x * x + y * y);
    (libm::atan2(y, x).to_degrees(), libm::atan2(z, level).to_degrees())
}

/// Where the lamp shines: the phone's -z in the frame of the ground; none for what is no rotation.
fn shines(&[x, y, z, w]: &Turn) -> Option<V3> {
    let length = x * x + y * y + z * z + w * w;
    // A sensor rounds; what is further off is no unit quaternion.
    if !(0.9..=1.1).contains(&length) {
        return None;
    }
    Some([-2.0 * (x * z + w * y), -2.0 * (y * z - w * x), -(1.0 - 2.0 * (x * x + y * y))])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A phone held upright, its back towards the north (y), then turned about the upright axis and about the east (x).
    fn held(left_deg: f64, up_deg: f64) -> Turn {
        let half = |deg: f64| (deg.to_radians() / 2.0).sin_cos();
        let ((sz, cz), (sx, cx)) = (half(left_deg), half(90.0 + up_deg));
        [cz * sx, sz * sx, sz * cx, cz * cx]
    }

    #[test]
    fn turned_to_the_left_and_up_it_says_so() {
        let told = swept(&[held(0.0, 0.0), held(10.0, 0.0), held(10.0, 15.0), held(-20.0, 0.0)]);
        let told: Vec<(i32, i32)> = told.iter().map(|it| (it.yaw_mdeg, it.pitch_mdeg)).collect();
        assert_eq!(told, [(10_000, 0), (10_000, 15_000), (-20_000, 0)]);
    }

    #[test]
    fn what_is_no_turn_is_left_out_and_a_long_sweep_keeps_its_way() {
        assert!(swept(&[]).is_empty());
        assert!(swept(&[[f64::NAN; 4], [0.0; 4], [2.0, 0.0, 0.0, 0.0]]).is_empty());
        assert!(swept(&[held(0.0, 0.0), held(0.4, 0.0), held(0.1, 0.3)]).is_empty(), "a hand that trembles");
        let long: Vec<Turn> = (0..2_000).map(|k| held(f64::from(k % 170), 0.0)).collect();
        let told = swept(&long);
        assert!(told.len() <= MOST && told.iter().any(|it| it.yaw_mdeg > 160_000), "{}", told.len());
        // Across south no jump: the way from 170 to -170 degrees is 20.
        let across = swept(&[held(170.0, 0.0), held(190.0, 0.0)]);
        assert_eq!(across, [SweepPoint { yaw_mdeg: 20_000, pitch_mdeg: 0 }]);
    }
}
