//! Missed spots: open until they were seen clear again under two kinds of light. Pure.
//!
//! Some lights hide what others show: a high spot seen in soft shade can vanish under a lamp (common practice, no source).

use super::{Item, Job, Stamp};
use crate::record::events::SpotFound;
use crate::record::words::Light;

/// Something that was done about a spot, or seen of it.
#[derive(Debug, Clone, Copy)]
pub enum SpotDeed<'j> {
    /// It was treated.
    Treated(&'j Item<crate::record::events::SpotTreated>),
    /// It was looked at again.
    Checked(&'j Item<crate::record::events::SpotChecked>),
}

impl SpotDeed<'_> {
    /// Who and when.
    pub fn stamp(&self) -> &Stamp {
        match self {
            SpotDeed::Treated(it) => &it.stamp,
            SpotDeed::Checked(it) => &it.stamp,
        }
    }
}

impl Job {
    /// What was done about a spot and seen of it, in order.
    pub fn spot_deeds(&self, spot: &Item<SpotFound>) -> Vec<SpotDeed<'_>> {
        let treated = self.spots_treated.iter().filter(|it| it.body.spot == spot.id).map(SpotDeed::Treated);
        let checked = self.spots_checked.iter().filter(|it| it.body.spot == spot.id).map(SpotDeed::Checked);
        let mut all: Vec<SpotDeed> = treated.chain(checked).collect();
        all.sort_by(|a, b| a.stamp().key.cmp(&b.stamp().key));
        all
    }

    /// Under which lights a spot was seen clear since it was last treated, or last seen.
    pub fn clear_under(&self, spot: &Item<SpotFound>) -> Vec<Light> {
        let mut clear = Vec::new();
        for deed in self.spot_deeds(spot) {
            match deed {
                SpotDeed::Checked(it) if it.body.clear => clear.push(it.body.light),
                SpotDeed::Checked(_) | SpotDeed::Treated(_) => clear.clear(),
            }
        }
        clear
    }

    /// Whether a spot still waits to be seen clear.
    pub fn spot_is_open(&self, spot: &Item<SpotFound>) -> bool {
        !closes(spot.body.light, &self.clear_under(spot))
    }
}

/// Whether looks under these lights, each finding nothing, close a spot: one under the kind of light that showed it, and one of
/// another kind. The sun and a lamp's point are one kind. A look in the dark is none.
pub fn closes(shown_by: Light, clear_under: &[Light]) -> bool {
    let kind = |light: Light| if light == Light::Sun { Light::Point } else { light };
    let lit = || clear_under.iter().filter(|light| **light != Light::Dark).map(|light| kind(*light));
    lit().any(|light| light == kind(shown_by)) && lit().any(|light| light != kind(shown_by))
}
