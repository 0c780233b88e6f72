//! A shop with jobs that an act can be wrong about, and how a refusal is looked at: the field that it names, and nothing
//! on record after it.

use sidelong_core::error::Error;
use sidelong_core::record::inputs::*;
use sidelong_core::record::views::JobView;
use sidelong_core::record::words::*;
use sidelong_tests::{Phone, answer, car, closing, fixture, mark, photo};
use uuid::Uuid;

pub fn id(text: &str) -> Uuid {
    Uuid::parse_str(text).expect("an id")
}

pub fn long(count: usize) -> String {
    "é".repeat(count)
}

/// A phone with jobs that an act can be wrong about.
pub struct Shop {
    pub phone: Phone,
    /// A hatchback, as found: a mark on the tailgate with a photo, a check of a gauge, the left side passed, a dispute
    /// that ended.
    pub job: Uuid,
    pub mark: Uuid,
    pub photo: Uuid,
    pub ended: Uuid,
    pub walk: Uuid,
    /// Another hatchback, as found, with a mark on the tailgate.
    pub other: Uuid,
    pub other_mark: Uuid,
    /// A saloon, as found, with a mark.
    pub saloon: Uuid,
    /// A job that ended, one without a walk-around, one opened by mistake.
    pub closed: Uuid,
    pub bare: Uuid,
    pub void: Uuid,
    _folder: tempfile::TempDir,
}

impl Shop {
    pub fn open() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut phone = Phone::new(folder.path(), 31);
        let job = phone.begin(Form::Hatch5, Stage::AsFound);
        let walk = id(&phone.view(job).walks[0].id);
        let dent = id(&phone.put(job, mark("tailgate", MarkKind::Dent, 9_000)).input);
        phone.file("a.jpg", &fixture("photos/arrival-rear-right-door-close.jpg"));
        let shot = id(&phone.put(job, photo("a.jpg", Some(dent))).input);
        phone.put(job, Act::CheckGauge(gauge()));
        phone.put(job, side(WholeSide::Left));
        let ended = id(&phone.put(job, Act::OpenDispute(dispute())).input);
        phone.put(job, Act::EndDispute(EndDispute { dispute: ended, outcome: "shown".into() }));
        let other = phone.begin(Form::Hatch5, Stage::AsFound);
        let other_mark = id(&phone.put(other, mark("tailgate", MarkKind::Dent, 9_000)).input);
        let saloon = phone.begin(Form::Saloon, Stage::AsFound);
        let closed = phone.begin(Form::Hatch5, Stage::AsFound);
        phone.put(closed, closing());
        let bare = phone.dice.id();
        phone.put(bare, Act::OpenJob(car(Form::Hatch5)));
        let void = phone.begin(Form::Hatch5, Stage::AsFound);
        phone.put(void, Act::VoidJob(VoidJob { reason: "opened twice".into(), instead: None }));
        Self {
            phone,
            job,
            mark: dent,
            photo: shot,
            ended,
            walk,
            other,
            other_mark,
            saloon,
            closed,
            bare,
            void,
            _folder: folder,
        }
    }

    pub fn views(&self) -> Vec<JobView> {
        [self.job, self.other, self.saloon, self.closed, self.bare, self.void]
            .map(|job| self.phone.view(job))
            .into()
    }

    /// Each act is refused under the name of its field; afterwards no job shows anything new and the log has not grown.
    pub fn refuse(&mut self, cases: Vec<(Act, &str)>) {
        let job = self.job;
        self.refuse_in(job, cases);
    }

    pub fn refuse_in(&mut self, job: Uuid, cases: Vec<(Act, &str)>) {
        let before = self.phone.put(self.job, Act::WriteNote(note())).events[0];
        let views = self.views();
        let count = u64::try_from(cases.len()).expect("few");
        assert!(count > 0);
        for (act, field) in cases {
            match self.phone.record(job, act.clone()) {
                Err(Error::Refused { field: said, reason }) => {
                    assert_eq!(said, format!("act.{field}"), "{act:?}: {reason}");
                    assert!(!reason.is_empty() && reason.len() < 300, "{reason}");
                }
                other => panic!("{field}: {other:?}"),
            }
        }
        assert_eq!(self.views(), views, "nothing was recorded, nothing lost");
        assert_eq!(self.phone.put(self.job, Act::WriteNote(note())).events, [before + 1]);
        assert!(self.phone.open().check(None).expect("checks").findings.is_empty());
    }
}

pub fn side(side: WholeSide) -> Act {
    Act::PassSide(PassSide { walk: None, side, light: None, surface: None })
}

pub fn again(mark: Uuid, job: Option<Uuid>) -> SeeAgain {
    SeeAgain { walk: None, mark, job, note: None }
}

pub fn general() -> RecordGeneral {
    RecordGeneral {
        walk: None,
        panels: vec!["bonnet".into()],
        kind: MarkKind::StoneChip,
        about: Some(30),
        note: None,
    }
}

pub fn gauge() -> CheckGauge {
    CheckGauge {
        gauge: "gauge 1".into(),
        plate: Plate::Steel,
        zero_um: Some(0),
        foil_um: None,
        foil_read_um: None,
        accuracy_um: None,
        note: None,
    }
}

pub fn readings(readings_um: &[u32]) -> MeasureThickness {
    MeasureThickness {
        walk: None,
        panel: "roof".into(),
        at: None,
        readings_um: readings_um.to_vec(),
        no_reading: None,
        gauge_check: None,
        note: None,
    }
}

pub fn instruments() -> ReadInstruments {
    ReadInstruments {
        odometer: None,
        unit: None,
        fuel_pct: Some(50),
        charge_pct: None,
        lamps: None,
        tried: Vec::new(),
        note: None,
    }
}

pub fn thing(what: &str) -> Belonging {
    Belonging { what: what.into(), count: None, place: None, stays: false }
}

pub fn belongings(items: Vec<Belonging>) -> ListBelongings {
    ListBelongings { items, seen_with: None, note: None }
}

pub fn custody(what: Custody, from: Party, to: Party, keys: Option<u32>) -> PassCustody {
    PassCustody { what, from, to, keys, note: None }
}

pub fn agreed() -> RecordOwnerAnswer {
    answer(OwnerAnswer::Agreed, CopyGiven::Received)
}

pub fn item(entry: Uuid, agreed: bool) -> ItemAnswer {
    ItemAnswer { entry, agreed, words: None }
}

pub fn stroke(points: &[(u16, u16)]) -> Stroke {
    Stroke { points: points.iter().map(|(x, y)| StrokePoint { x: *x, y: *y }).collect() }
}

pub fn note() -> WriteNote {
    WriteNote { panel: None, entry: None, text: "a note".into() }
}

pub fn incident() -> RecordIncident {
    RecordIncident { what: "a cloth fell".into(), who: None, panel: None, told_owner: false }
}

pub fn dispute() -> OpenDispute {
    OpenDispute { reported: "a scratch".into(), by: Party::Owner, panel: None, entries: Vec::new() }
}

pub fn moved(entry: Uuid, to_job: Uuid) -> MoveEntry {
    MoveEntry { entry, to_job, reason: "the other car".into() }
}
