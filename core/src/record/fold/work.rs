//! What is on record of the work: sheets, lots, conditions, layers and their levelling. Pure.

use super::{Item, Stamp};
use crate::record::events::{
    ConditionsRead, LayerBegun, LayerLevelled, LotOpened, ScheduleMade, SheetRecorded, StayRecorded,
    UseRecorded, WorkContinued,
};
use uuid::Uuid;

/// Is told of an entry, its number and stamp, and whether it goes; says whether it stays.
pub(super) type Take<'t> = dyn FnMut(Uuid, Option<&str>, &Stamp, bool) -> bool + 't;

/// Lists in the order of recording. Two phones that timed one section have an entry each.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Work {
    /// Product sheets, every version.
    pub sheets: Vec<Item<SheetRecorded>>,
    /// Lots.
    pub lots: Vec<Item<LotOpened>>,
    /// Readings of the conditions.
    pub conditions: Vec<Item<ConditionsRead>>,
    /// That somebody went on.
    pub continued: Vec<Item<WorkContinued>>,
    /// Layers on sections.
    pub layers: Vec<Item<LayerBegun>>,
    /// Levellings.
    pub levelled: Vec<Item<LayerLevelled>>,
    /// How the car is used; the last one counts.
    pub uses: Vec<Item<UseRecorded>>,
    /// Where the car stands until work goes on.
    pub stays: Vec<Item<StayRecorded>>,
    /// Schedules; the last one counts.
    pub schedules: Vec<Item<ScheduleMade>>,
}

impl Work {
    /// True when nothing was ever recorded of it, or all of it was taken back.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Takes an entry out of its place; `take` is told of each and says whether it stays.
    pub(super) fn take(&mut self, entry: Uuid, take: &mut Take<'_>) {
        macro_rules! lists {
            ($($list:ident)*) => { $(self.$list.retain(|it| take(it.id, None, &it.stamp, it.id == entry));)* };
        }
        lists!(sheets lots conditions continued layers levelled uses stays schedules);
    }

    /// The levelling of a layer that counts: the first.
    pub fn levelling(&self, begun: Uuid) -> Option<&Item<LayerLevelled>> {
        self.levelled.iter().find(|it| it.body.begun == begun)
    }

    /// The reading that holds for a layer: the latest one before it, on its panel or of the vehicle as a whole.
    pub fn conditions_of(&self, layer: &Item<LayerBegun>) -> Option<&Item<ConditionsRead>> {
        let here = |it: &&Item<ConditionsRead>| {
            it.stamp.key < layer.stamp.key
                && it.body.panel.as_ref().is_none_or(|panel| *panel == layer.body.panel)
        };
        self.conditions.iter().rfind(here)
    }
}
