//! Nearside and offside, driver's and passenger side: which side of the car a word means. Pure.
//!
//! Nearside is the kerb's side, so it follows the country's rule of the road; the driver's side follows the steering
//! wheel of the very car (imports and post vans break the country's habit).

use super::geometry::Side;
use crate::record::words::Steering;

/// On which side of the road a country drives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Traffic {
    /// As in the United Kingdom.
    KeepLeft,
    /// As in the United States.
    KeepRight,
}

/// A word for a side as people say it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpokenSide {
    /// Left as seated.
    Left,
    /// Right as seated.
    Right,
    /// The kerb's side.
    Nearside,
    /// The traffic's side.
    Offside,
    /// Where the steering wheel is.
    Drivers,
    /// The other front seat's side.
    Passenger,
}

impl SpokenSide {
    /// Every word.
    pub const ALL: &'static [SpokenSide] = &[
        SpokenSide::Left,
        SpokenSide::Right,
        SpokenSide::Nearside,
        SpokenSide::Offside,
        SpokenSide::Drivers,
        SpokenSide::Passenger,
    ];
    /// The word as data (list `spoken-side`).
    pub fn word(self) -> &'static str {
        match self {
            SpokenSide::Left => "left",
            SpokenSide::Right => "right",
            SpokenSide::Nearside => "nearside",
            SpokenSide::Offside => "offside",
            SpokenSide::Drivers => "drivers-side",
            SpokenSide::Passenger => "passenger-side",
        }
    }
}

/// Countries and territories that drive on the left, ISO 3166-1 alpha-2 (from general knowledge; few change).
const KEEP_LEFT: &str = "AG AI AU BB BD BM BN BS BT BW CC CK CX CY DM FJ FK GB GD GG GY HK ID IE IM IN JE JM JP KE KI KN \
                         KY LC LK LS MO MS MT MU MV MW MY MZ NA NF NP NR NU NZ PG PK PN SB SC SG SH SR SZ TC TH TK TL TO \
                         TT TV TZ UG VC VG VI WS ZA ZM ZW";

/// The rule of the road of a country by its ISO 3166-1 alpha-2 code; codes not known keep right, as most do.
pub fn traffic_of(country: &str) -> Traffic {
    if KEEP_LEFT.split(' ').any(|c| c.eq_ignore_ascii_case(country.trim())) {
        Traffic::KeepLeft
    } else {
        Traffic::KeepRight
    }
}

/// The usual steering side under a rule of the road: the side away from the kerb.
pub fn usual_steering(traffic: Traffic) -> Steering {
    match traffic {
        Traffic::KeepLeft => Steering::Right,
        Traffic::KeepRight => Steering::Left,
    }
}

/// The side of the car that a word means.
pub fn side_of(spoken: SpokenSide, traffic: Traffic, steering: Steering) -> Side {
    let left = match spoken {
        SpokenSide::Left => true,
        SpokenSide::Right => false,
        SpokenSide::Nearside => traffic == Traffic::KeepLeft,
        SpokenSide::Offside => traffic == Traffic::KeepRight,
        SpokenSide::Drivers => steering == Steering::Left,
        SpokenSide::Passenger => steering == Steering::Right,
    };
    if left { Side::Left } else { Side::Right }
}
