//! What a job holds of surfaces, agreed work, steps, test squares and cloths. Pure.

use super::{Item, Job, Stamp};
use crate::record::events::{
    Body, ClothPutOut, ClothTaken, OverrideAgreed, SquareJudged, SquareTried, StepDone, SurfaceRecorded,
    WorkAgreed,
};
use crate::record::words::Light;
use uuid::Uuid;

/// What was done to the surfaces of a job, and why; each list in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Treated {
    /// What panels are; the last word on a panel counts.
    pub surfaces: Vec<Item<SurfaceRecorded>>,
    /// Work that was agreed, or not.
    pub agreed: Vec<Item<WorkAgreed>>,
    /// What was set aside, with a reason and consent.
    pub overrides: Vec<Item<OverrideAgreed>>,
    /// Steps that were done.
    pub steps: Vec<Item<StepDone>>,
    /// Test squares.
    pub squares: Vec<Item<SquareTried>>,
    /// What came of them.
    pub judged: Vec<Item<SquareJudged>>,
    /// Cloths, mitts and pads that were taken.
    pub cloths: Vec<Item<ClothTaken>>,
    /// Those that were put out of use.
    pub put_out: Vec<Item<ClothPutOut>>,
}

impl Treated {
    /// Takes in an entry; one of another kind is none of these.
    pub(super) fn push(&mut self, item: Item<Body>) {
        let Item { id, stamp, body, typed } = item;
        macro_rules! item {
            ($body:expr) => {
                Item { id, stamp, body: $body, typed }
            };
        }
        match body {
            Body::SurfaceRecorded(body) => self.surfaces.push(item!(body)),
            Body::WorkAgreed(body) => self.agreed.push(item!(body)),
            Body::OverrideAgreed(body) => self.overrides.push(item!(body)),
            Body::StepDone(body) => self.steps.push(item!(body)),
            Body::SquareTried(body) => self.squares.push(item!(body)),
            Body::SquareJudged(body) => self.judged.push(item!(body)),
            Body::ClothTaken(body) => self.cloths.push(item!(body)),
            Body::ClothPutOut(body) => self.put_out.push(item!(body)),
            _ => {}
        }
    }

    /// Keeps what `stays` says of.
    pub(super) fn retain(&mut self, mut stays: impl FnMut(Uuid, &Stamp) -> bool) {
        macro_rules! lists {
            ($($list:ident)*) => { $(self.$list.retain(|it| stays(it.id, &it.stamp));)* };
        }
        lists!(surfaces agreed overrides steps squares judged cloths put_out);
    }

    /// The last word on what a panel is.
    pub fn surface(&self, panel: &str) -> Option<&Item<SurfaceRecorded>> {
        self.surfaces.iter().rev().find(|it| it.body.panel == panel)
    }

    /// What was said of a test square, in order.
    pub fn judged_of(&self, square: Uuid) -> impl DoubleEndedIterator<Item = &SquareJudged> {
        self.judged.iter().map(|it| &it.body).filter(move |it| it.square == square)
    }
}

impl Job {
    /// Whether the panel on which a cloth fell still waits for a look under a point of light. A lamp and the sun are such.
    pub fn waits_for_a_look(&self, out: &Item<ClothPutOut>) -> bool {
        let is_point = |light: Light| matches!(light, Light::Point | Light::Sun);
        let panel = &out.body.panel;
        let looked = self.looks.iter().any(|it| {
            it.stamp.key > out.stamp.key && is_point(it.body.light) && it.body.panels.contains(panel)
        });
        let answered = self
            .answers
            .iter()
            .any(|it| it.stamp.key > out.stamp.key && it.light.is_some_and(is_point) && it.panel == *panel);
        !looked && !answered
    }
}
