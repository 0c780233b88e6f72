//! Light: what a look at a panel could have shown, what has been seen, and where to look next. Pure.
//!
//! A look is a row of samples, each a light and an eye (`look`). What a sample shows is geometry: the mirror law on a
//! patch, and whether the car itself stands in the way. What has been seen is the union over the samples that holds at
//! every corner of the stated uncertainty. Never "would have shown": could have been seen, if the look was made as
//! stated.
//!
//! Frame: metres, x forward, y left as seated, z up, origin on the ground below the middle of the wheelbase. Only the
//! four operations, the square root and `libm`: the same bits on every machine.

mod account;
mod blank;
mod blocking;
mod body;
pub mod ground;
pub mod heading;
mod lines;
mod look;
mod mirror;
pub mod next;
pub mod recorded;
mod seen;
mod shown;
mod shows;
mod spoken;
pub mod sun;
pub mod sunlit;
pub mod sweep;
pub mod ways;

pub use account::{Account, Hatch, PlaceAsked};
pub use blank::{Answer, Asked, could_show, fault_of, last_that_could};
pub use blocking::{Blocker, triangles};
pub use body::{Blocked, Body, Place, Site, body};
pub use lines::{Glint, Groove, WALL_DEG, fine_line};
pub use look::{Hindrance, Look, Sample, Source, Uncertainty, Unfit, shown_under};
pub use mirror::{CLEAR_COAT, Mirror, Unlit, angle, mirrored_share, towards_imaged};
pub use seen::{PanelShare, Seen, fits, look_shows, look_shows_at, look_shows_on, seen};
pub use shown::{BINS, Shown};
pub use shows::{FINE_M, OVERALL_M, Sizes};
pub use spoken::words;

/// The model's version: raised by any change of a rule or threshold, because what was seen is computed anew from the
/// log and must come out the same. A closing keeps it.
pub const MODEL_VERSION: u32 = 1;

#[cfg(test)]
mod tests;
