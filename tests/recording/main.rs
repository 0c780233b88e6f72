//! What becomes of what is recorded, through the public door: answers that came too fast, slips, moves between jobs,
//! what follows the end of a visit, who recorded, what the owner said.

mod again;
mod ahead;
mod closings;
mod ends;
mod fast;
mod light;
mod moves;
mod owner;
mod people;
mod photos;
mod slips;
mod spots;
mod vehicles;
mod walking;

use sidelong_core::api::{Changes, Clock, Now};
use sidelong_core::error::Error;
use sidelong_core::record::inputs::{Act, BeginWalk, MoveEntry, Undo, VoidJob, WriteNote};
use sidelong_core::record::views::{EntryKind, EntryView, JobView};
use sidelong_core::record::words::{Form, Locale, Stage};
use sidelong_tests::{HandClock, MORNING_MS, Phone};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use uuid::Uuid;

fn id(text: &str) -> Uuid {
    Uuid::parse_str(text).expect("an id")
}

/// A phone in a folder of its own, with a hatchback as found.
fn phone(folder: &tempfile::TempDir, seed: u64) -> (Phone, Uuid) {
    let mut phone = Phone::new(&folder.path().join(seed.to_string()), seed);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    (phone, job)
}

/// Records an act at a time after the morning, milliseconds.
fn at(phone: &mut Phone, ms: i64, job: Uuid, act: Act) -> Result<Changes, Error> {
    phone.clock.at_ms.store(MORNING_MS + ms, Ordering::Relaxed);
    phone.record(job, act)
}

/// The id under which an accepted act is on record.
fn put(phone: &mut Phone, job: Uuid, act: Act) -> Uuid {
    id(&phone.put(job, act).input)
}

/// The field that a refusal names.
fn refused(result: Result<Changes, Error>) -> String {
    match result {
        Err(Error::Refused { field, .. }) => field,
        other => panic!("not refused: {other:?}"),
    }
}

fn entries(view: &JobView, kind: EntryKind) -> Vec<&EntryView> {
    view.visit.iter().filter(|entry| entry.kind == kind).collect()
}

fn page(phone: &Phone, job: Uuid) -> String {
    phone.open().report(job.to_string(), Locale::EnGb).expect("a page")
}

fn note(text: &str) -> Act {
    Act::WriteNote(WriteNote { panel: None, entry: None, text: text.to_owned() })
}

fn walk(stage: Stage) -> Act {
    Act::BeginWalk(BeginWalk { stage })
}

fn undo(entry: Uuid) -> Act {
    Act::Undo(Undo { entry })
}

fn moved(entry: Uuid, to_job: Uuid) -> Act {
    Act::MoveEntry(MoveEntry { entry, to_job, reason: "it is the other car's".to_owned() })
}

fn void(instead: Option<Uuid>) -> Act {
    Act::VoidJob(VoidJob { reason: "opened twice".to_owned(), instead })
}

/// The same clock after the phone was started anew.
struct Rebooted(Arc<HandClock>);

impl Clock for Rebooted {
    fn now(&self) -> Result<Now, Error> {
        Ok(Now { boot: "another boot".to_owned(), ..self.0.now()? })
    }
}

/// Starts the phone anew.
fn reboot(phone: &mut Phone) {
    phone.close();
    phone.platform.clock = Arc::new(Rebooted(phone.clock.clone()));
    phone.reopen().expect("opens again");
}

/// Both learn what the other knows.
fn meet(one: &mut Phone, two: &mut Phone) {
    for joined in [one.join(two), two.join(one)] {
        assert!(joined.refused.is_empty() && joined.forked.is_empty(), "{joined:?}");
    }
}

fn whole(phone: &Phone) {
    let checked = phone.open().check(None).expect("checks");
    assert!(checked.findings.is_empty(), "{:?}", checked.findings);
}
