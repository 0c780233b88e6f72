//! Invented visits, made straight into a store: the events that recording them would have made, many to a commit.

use serde_json::json;
use sidelong_core::log::head::LogKey;
use sidelong_core::log::seal::{Draft, Moment};
use sidelong_core::record::events::{
    BlobRef, Body, FeelTested, JobOpened, MarkRecorded, OutcomeRecorded, PhotoAttached, WalkBegun,
};
use sidelong_core::record::words::{
    Distance, FeelLevel, FeelMethod, Finish, Form, Light, MarkKind, Outcome, Scope, Stage, Surface, View,
};
use sidelong_core::store::Store;
use sidelong_tests::{Dice, MORNING_MS, described};
use std::path::Path;
use uuid::Uuid;

/// Between the openings of two invented visits, milliseconds: about 27 a day.
const APART_MS: i64 = 3_200_000;

const PANELS: [&str; 6] =
    ["bonnet", "tailgate", "front-left-door", "rear-left-door", "front-right-door", "rear-right-door"];

/// Opens a store whose key comes from a number.
pub fn open(folder: &Path, seed: u8) -> Store {
    Store::open(folder, |_| Ok(LogKey::from_seed(&[seed; 32], false))).expect("the store opens")
}

/// What makes visits.
pub struct Inventor {
    dice: Dice,
    at_ms: i64,
}

/// An invented visit: its id, what it is found by, and its events.
pub struct Visit {
    /// The job.
    pub job: Uuid,
    /// Plate.
    pub plate: String,
    /// VIN.
    pub vin: String,
    /// What is to be appended.
    pub drafts: Vec<Draft>,
    walk: Uuid,
}

impl Inventor {
    /// Equal seeds make equal visits.
    pub fn new(seed: u64) -> Self {
        Self { dice: Dice(seed), at_ms: MORNING_MS }
    }

    /// A UUID version 7 of now.
    fn id(&mut self) -> Uuid {
        let random = self.dice.id().as_u128() & !(0xFFFF_FFFF_FFFF_u128 << 80);
        Uuid::from_u128((u128::from(self.at_ms.unsigned_abs()) << 80) | random)
    }

    fn letters(&mut self, from: &str, count: usize) -> String {
        let from: Vec<char> = from.chars().collect();
        (0..count).map(|_| from[self.dice.below(from.len())]).collect()
    }

    /// An event of a job.
    pub fn event(&mut self, job: Uuid, body: Body) -> Draft {
        Draft { geom: Some(1), ..Draft::of(Some(job), Some(self.id()), body) }
    }

    /// A visit of two events: opened, with plate and VIN, and a walk-around begun.
    pub fn visit(&mut self) -> Visit {
        self.at_ms += APART_MS;
        let job = self.id();
        let plate = format!(
            "{}{} {}",
            self.letters("ABCDEFGHKLMNPRSTUVWXY", 2),
            self.letters("0123456789", 2),
            self.letters("ABCDEFGHKLMNPRSTUVWXYZ", 3)
        );
        let vin = self.letters("0123456789ABCDEFGHJKLMNPRSTUVWXYZ", 17);
        let opened = JobOpened {
            form: Form::Hatch5,
            finish: Finish::Metallic,
            scope: vec![Scope::Outside, Scope::Wheels],
            steering: None,
            film: Vec::new(),
        };
        let mut opening = self.event(job, Body::JobOpened(opened));
        opening.typed = vec![("vehicle", json!({ "plate": plate, "vin": vin, "colour": "dark grey" }))];
        let walk = self.event(job, Body::WalkBegun(WalkBegun { stage: Stage::AsFound }));
        let begun = walk.input.expect("an input");
        Visit { job, plate, vin, drafts: vec![opening, walk], walk: begun }
    }

    /// A visit of six events; the mark has a note.
    pub fn short_visit(&mut self) -> Visit {
        let mut visit = self.visit();
        self.answer(&mut visit, 0);
        self.answer(&mut visit, 1);
        self.mark(&mut visit, 1);
        if let Some(mark) = visit.drafts.last_mut() {
            mark.typed = vec![("note", json!("about a hand above the handle, customer pointed it out"))];
        }
        self.feel(&mut visit, 2);
        visit
    }

    /// A visit of `events` events, of which the first photos show `photos`.
    pub fn long_visit(&mut self, events: usize, photos: &[BlobRef]) -> Visit {
        let mut visit = self.visit();
        for photo in photos {
            self.photo(&mut visit, photo);
        }
        let mut number = 0;
        while visit.drafts.len() < events {
            number += 1;
            match number % 3 {
                0 => self.feel(&mut visit, number),
                1 => self.mark(&mut visit, number),
                _ => self.answer(&mut visit, number),
            }
        }
        visit
    }

    /// A mark, numbered.
    pub fn mark(&mut self, visit: &mut Visit, number: usize) {
        let panel = PANELS[number % PANELS.len()];
        let body = MarkRecorded {
            walk: visit.walk,
            label: number.to_string(),
            mark: described(panel, MarkKind::Scratch, 18_000),
            earlier: None,
            shown_by: None,
            moved_from: None,
        };
        visit.drafts.push(self.event(visit.job, Body::MarkRecorded(body)));
    }

    fn answer(&mut self, visit: &mut Visit, number: usize) {
        let body = OutcomeRecorded {
            walk: visit.walk,
            panel: PANELS[number % PANELS.len()].to_owned(),
            outcome: Outcome::NothingSeen,
            why: None,
            distance: Some(Distance::Close),
            light: Some(Light::Raking),
            surface: Some(Surface::Clean),
            spent_ms: Some(9_000),
            fast: false,
        };
        visit.drafts.push(self.event(visit.job, Body::OutcomeRecorded(body)));
    }

    fn feel(&mut self, visit: &mut Visit, number: usize) {
        let body = FeelTested {
            walk: visit.walk,
            panel: PANELS[number % PANELS.len()].to_owned(),
            at: None,
            method: FeelMethod::Bag,
            level: FeelLevel::SteadyGrit,
            reacted: Vec::new(),
            on: None,
        };
        visit.drafts.push(self.event(visit.job, Body::FeelTested(body)));
    }

    fn photo(&mut self, visit: &mut Visit, photo: &BlobRef) {
        let body = PhotoAttached {
            walk: Some(visit.walk),
            mark: None,
            panel: Some("bonnet".to_owned()),
            view: View::Close,
            width_px: 4_000,
            height_px: 3_000,
            orientation: 1,
            taken: None,
            entry: None,
            moved_from: None,
        };
        let mut draft = self.event(visit.job, Body::PhotoAttached(body));
        draft.files = vec![photo.clone()];
        visit.drafts.push(draft);
    }

    /// Appends drafts in one commit.
    pub fn append(&mut self, store: &mut Store, drafts: Vec<Draft>) {
        let moment = self.moment();
        let mut random = || (u128::from(self.dice.roll()) << 64 | u128::from(self.dice.roll())).to_le_bytes();
        store.append(drafts, &moment, &mut random, None).expect("appends");
    }

    /// The moment of the visit at hand.
    pub fn moment(&self) -> Moment {
        Moment {
            at: self.at_ms,
            off_min: 60,
            zone: "Europe/London".to_owned(),
            boot: "one boot".to_owned(),
            mono: (self.at_ms - MORNING_MS).unsigned_abs(),
            by: None,
        }
    }

    /// Random bytes, as incompressible as a photo.
    pub fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count.div_ceil(8)).flat_map(|_| self.dice.roll().to_le_bytes()).take(count).collect()
    }

    /// One of several.
    pub fn pick<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        &items[self.dice.below(items.len())]
    }
}
