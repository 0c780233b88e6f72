//! What can show at one place, as a set of bits. Pure.

use crate::record::words::Fault;

/// Bins of direction that a half turn is cut into, 15 degrees each.
pub const BINS: usize = 12;

/// What could have shown at one patch: a bit a bin of direction for fine lines, a bit for each other kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Shown(pub u16);

impl Shown {
    /// Nothing.
    pub const NONE: Shown = Shown(0);
    /// Every direction of a fine line.
    pub const ALL_LINES: Shown = Shown((1 << BINS) - 1);

    /// A kind of fault; of fine lines, every direction.
    pub fn of(fault: Fault) -> Shown {
        match fault {
            Fault::FineLine => Shown::ALL_LINES,
            Fault::Haze => Shown(1 << 12),
            Fault::Tone => Shown(1 << 13),
            Fault::Proud => Shown(1 << 14),
            Fault::Shape => Shown(1 << 15),
        }
    }
    /// Fine lines of one direction, degrees from u; any number of half turns.
    pub fn line(angle_deg: f64) -> Shown {
        let turn = angle_deg / 180.0;
        let bin = ((turn - turn.floor()) * BINS as f64) as usize;
        Shown(1 << bin.min(BINS - 1))
    }
    /// Both.
    pub fn with(self, other: Shown) -> Shown {
        Shown(self.0 | other.0)
    }
    /// What is in both.
    pub fn within(self, other: Shown) -> Shown {
        Shown(self.0 & other.0)
    }
    /// What is here and not there.
    pub fn without(self, other: Shown) -> Shown {
        Shown(self.0 & !other.0)
    }
    /// Nothing at all.
    pub fn is_none(self) -> bool {
        self.0 == 0
    }
    /// Whether all of another is here.
    pub fn has(self, other: Shown) -> bool {
        other.without(self).is_none()
    }
    /// How much of a kind of fault is here, in twelfths.
    pub fn twelfths(self, fault: Fault) -> u32 {
        let own = self.within(Shown::of(fault)).0.count_ones();
        if fault == Fault::FineLine { own } else { own * BINS as u32 }
    }
}
