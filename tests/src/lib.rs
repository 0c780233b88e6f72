//! What the tests share: an invented phone with a clock that is set by hand, seeded random bytes and a seed in memory,
//! and the inputs that a person makes on it. Everything goes through the public door.

use sidelong_core::api::{Changes, Clock, HardwareKey, Notebook, Now, Platform, Random, SeedVault};
use sidelong_core::error::Error;
use sidelong_core::log::hardware::DeskKey;
use sidelong_core::record::inputs::{
    Act, AttachPhoto, BeginWalk, CloseJob, CorrectMark, Description, Ground, Input, OpenJob, RecordFeel,
    RecordLook, RecordMark, RecordOutcome, RecordOwnerAnswer, Spot,
};
use sidelong_core::record::views::JobView;
use sidelong_core::record::words::{
    Catch, CopyGiven, Distance, FeelLevel, FeelMethod, Finish, Form, KeyHeld, Light, Locale, MarkKind,
    Measured, Outcome, OwnerAnswer, Party, Scope, Stage, Surface, View, WayOfLooking, Why,
};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use uuid::Uuid;

/// 2026-06-09 08:10 in London, UTC milliseconds.
pub const MORNING_MS: i64 = 1_780_989_000_000;

/// A day, milliseconds.
pub const DAY_MS: i64 = 86_400_000;

/// Seeded numbers (splitmix64: Steele, Lea and Flood, OOPSLA 2014).
#[derive(Debug, Clone)]
pub struct Dice(pub u64);

impl Dice {
    /// The next number.
    pub fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n`.
    pub fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.roll() % n.max(1) as u64).unwrap_or(0)
    }

    /// Shuffles (Fisher and Yates).
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for at in (1..items.len()).rev() {
            items.swap(at, self.below(at + 1));
        }
    }

    /// A UUID version 7 (RFC 9562 section 5.7) of the morning.
    pub fn id(&mut self) -> Uuid {
        let at = u128::from(MORNING_MS.unsigned_abs());
        let random = (u128::from(self.roll()) << 64) | u128::from(self.roll());
        let value = (at << 80) | (random & !(0xFFFF_FFFF_FFFF_u128 << 80));
        Uuid::from_u128((value & !(0xF << 76) & !(0x3 << 62)) | (0x7 << 76) | (0x2 << 62))
    }
}

/// A clock that is set by hand.
#[derive(Debug)]
pub struct HandClock {
    /// UTC milliseconds.
    pub at_ms: AtomicI64,
    /// Milliseconds that pass at each reading.
    pub tick_ms: AtomicI64,
}

impl HandClock {
    /// Sets the time, UTC milliseconds.
    pub fn set(&self, at_ms: i64) {
        self.at_ms.store(at_ms, Ordering::Relaxed);
    }

    /// Sets how much time passes at each reading, milliseconds.
    pub fn tick_ms(&self, tick_ms: i64) {
        self.tick_ms.store(tick_ms, Ordering::Relaxed);
    }
}

impl Clock for HandClock {
    fn now(&self) -> Result<Now, Error> {
        let at_ms = self.at_ms.fetch_add(self.tick_ms.load(Ordering::Relaxed), Ordering::Relaxed);
        Ok(Now {
            at_ms,
            off_min: 60,
            zone: "Europe/London".to_owned(),
            boot: "one boot".to_owned(),
            mono_ms: (at_ms - MORNING_MS).max(0).unsigned_abs(),
        })
    }
}

struct SeededRandom(Mutex<Dice>);

impl Random for SeededRandom {
    fn bytes(&self, count: u32) -> Result<Vec<u8>, Error> {
        let mut dice = self.0.lock().expect("dice");
        Ok((0..count).map(|_| dice.roll().to_le_bytes()[0]).collect())
    }
}

/// A vault in memory.
#[derive(Debug, Default)]
pub struct MemoryVault(Mutex<Option<Vec<u8>>>);

impl SeedVault for MemoryVault {
    fn load(&self) -> Result<Option<Vec<u8>>, Error> {
        Ok(self.0.lock().expect("vault").clone())
    }

    fn save(&self, seed: Vec<u8>) -> Result<(), Error> {
        *self.0.lock().expect("vault") = Some(seed);
        Ok(())
    }
}

/// What a key gives when it is asked to sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gives {
    /// A signature of what it was asked to sign.
    Signature,
    /// A signature of something else.
    Other,
    /// Bytes that are none.
    Nonsense,
    /// A signature, and a public key that is none.
    NoKey,
    /// Nothing: it failed.
    Nothing,
}

/// A P-256 key in memory, which may fail.
pub struct MemoryKey {
    key: DeskKey,
    held: KeyHeld,
    gives: Mutex<Gives>,
}

impl MemoryKey {
    /// A key of these 32 equal bytes, which says that it lies there.
    pub fn new(seed: u8, held: KeyHeld) -> Arc<Self> {
        let key = DeskKey::from_seed(&[seed; 32]).expect("a key");
        Arc::new(Self { key, held, gives: Mutex::new(Gives::Signature) })
    }

    /// What it gives from here on.
    pub fn gives(&self, gives: Gives) {
        *self.gives.lock().expect("a key") = gives;
    }
}

impl HardwareKey for MemoryKey {
    fn public_key(&self) -> Result<Vec<u8>, Error> {
        let gives = *self.gives.lock().expect("a key");
        Ok(if gives == Gives::NoKey { vec![4; 65] } else { self.key.public() })
    }

    fn sign(&self, statement: Vec<u8>) -> Result<Vec<u8>, Error> {
        let signed = |bytes: &[u8]| self.key.sign(bytes).map_err(|why| Error::internal(why.to_string()));
        match *self.gives.lock().expect("a key") {
            Gives::Signature | Gives::NoKey => signed(&statement),
            Gives::Other => signed(b"something else"),
            Gives::Nonsense => Ok(vec![0x30, 0xFF]),
            Gives::Nothing => {
                Err(Error::Io { path: "the key store".to_owned(), reason: "the key is gone".to_owned() })
            }
        }
    }

    fn held(&self) -> Result<KeyHeld, Error> {
        Ok(self.held)
    }
}

static PHONES: AtomicU64 = AtomicU64::new(1);

/// An invented phone.
pub struct Phone {
    /// Its store's folder.
    pub folder: PathBuf,
    /// Its platform; the vault outlives a reopening.
    pub platform: Platform,
    /// Its clock.
    pub clock: Arc<HandClock>,
    /// Its notebook, while it is open.
    pub notebook: Option<Arc<Notebook>>,
    /// Its numbers.
    pub dice: Dice,
}

impl Phone {
    /// A new phone with a notebook in `folder`. Equal seeds give equal keys.
    pub fn new(folder: &Path, seed: u64) -> Self {
        let clock = Arc::new(HandClock { at_ms: AtomicI64::new(MORNING_MS), tick_ms: AtomicI64::new(4_000) });
        let platform = Platform {
            clock: clock.clone(),
            random: Arc::new(SeededRandom(Mutex::new(Dice(seed)))),
            vault: Arc::new(MemoryVault::default()),
            bell: None,
            demo: false,
            hardware: None,
        };
        let dice = Dice(seed ^ (PHONES.fetch_add(1, Ordering::Relaxed) << 32));
        let mut phone = Self { folder: folder.to_owned(), platform, clock, notebook: None, dice };
        phone.reopen().expect("a new phone opens");
        phone
    }

    /// Closes the notebook and opens it again.
    pub fn reopen(&mut self) -> Result<(), Error> {
        self.notebook = None;
        self.notebook = Some(Notebook::open(self.folder.display().to_string(), self.platform.clone())?);
        Ok(())
    }

    /// Opens the notebook again with a key that co-signs, or without one.
    pub fn with_key(&mut self, key: Option<Arc<MemoryKey>>) {
        self.platform.hardware = key.map(|key| key as Arc<dyn HardwareKey>);
        self.reopen().expect("opens again");
    }

    /// Entries in every log that is here, looked through, with nothing found.
    pub fn total(&self) -> u64 {
        let check = self.open().check(None).expect("a check");
        assert_eq!(check.findings, Vec::new());
        check.total
    }

    /// Closes the notebook.
    pub fn close(&mut self) {
        self.notebook = None;
    }

    /// The open notebook.
    pub fn open(&self) -> &Notebook {
        self.notebook.as_ref().expect("the notebook is open")
    }

    /// An input with a new id.
    pub fn input(&mut self, job: Uuid, act: Act) -> Input {
        Input { input: self.dice.id(), job, observed_at: None, act }
    }

    /// Records an act.
    pub fn record(&mut self, job: Uuid, act: Act) -> Result<Changes, Error> {
        let input = self.input(job, act);
        self.open().record_from(self.folder.join("in").display().to_string(), input)
    }

    /// Records an act that must be accepted.
    pub fn put(&mut self, job: Uuid, act: Act) -> Changes {
        self.record(job, act).expect("accepted")
    }

    /// Opens a job and begins its first walk-around.
    pub fn begin(&mut self, form: Form, stage: Stage) -> Uuid {
        let job = self.dice.id();
        self.put(job, Act::OpenJob(car(form)));
        self.put(job, Act::BeginWalk(BeginWalk { stage }));
        job
    }

    /// The job as it is shown.
    pub fn view(&self, job: Uuid) -> JobView {
        self.open().job(job.to_string(), Locale::EnGb).expect("the job is here")
    }

    /// Puts a file into the folder that photos are taken in from.
    pub fn file(&self, name: &str, bytes: &[u8]) {
        let path = self.folder.join("in").join(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("make the folder");
        std::fs::write(path, bytes).expect("write the file");
    }

    /// Joins another phone's store; the other one is closed for it and opened again.
    pub fn join(&mut self, other: &mut Phone) -> sidelong_core::api::JoinView {
        other.close();
        let joined = self.open().join(other.folder.display().to_string()).expect("joins");
        other.reopen().expect("opens again");
        joined
    }
}

/// An invented car.
pub fn car(form: Form) -> OpenJob {
    OpenJob {
        form,
        finish: Finish::Metallic,
        scope: vec![Scope::Outside],
        plate: Some("ZZ26 TST".to_owned()),
        vin: None,
        colour: Some("grey".to_owned()),
        stock: None,
        steering: None,
        film: Vec::new(),
    }
}

/// A close look that found nothing, on a clean panel in even light.
pub fn nothing_seen(panel: &str) -> Act {
    Act::RecordOutcome(RecordOutcome {
        walk: None,
        panel: panel.to_owned(),
        outcome: Outcome::NothingSeen,
        why: None,
        distance: Some(Distance::Close),
        light: Some(Light::Soft),
        surface: Some(Surface::Clean),
        spent_ms: None,
        note: None,
    })
}

/// A panel that nobody looked at.
pub fn not_looked(panel: &str) -> Act {
    Act::RecordOutcome(RecordOutcome {
        walk: None,
        panel: panel.to_owned(),
        outcome: Outcome::NotLooked,
        why: None,
        distance: None,
        light: None,
        surface: None,
        spent_ms: None,
        note: None,
    })
}

/// A panel that could not be seen.
pub fn could_not_see(panel: &str, why: Why) -> Act {
    Act::RecordOutcome(RecordOutcome {
        walk: None,
        panel: panel.to_owned(),
        outcome: Outcome::CouldNotSee,
        why: Some(why),
        distance: None,
        light: None,
        surface: Some(Surface::Dirty),
        spent_ms: None,
        note: None,
    })
}

/// A mark's description, in the middle of a panel.
pub fn described(panel: &str, kind: MarkKind, length_um: u32) -> Description {
    Description {
        panel: panel.to_owned(),
        from: Spot { u_ppm: 480_000, v_ppm: 500_000 },
        to: Some(Spot { u_ppm: 520_000, v_ppm: 505_000 }),
        kind,
        catch: Some(Catch::Slight),
        shows: None,
        holds: None,
        length_um: Some(length_um),
        width_um: None,
        measured: Some(Measured::Ruler),
        note: None,
    }
}

/// A mark.
pub fn mark(panel: &str, kind: MarkKind, length_um: u32) -> Act {
    Act::RecordMark(RecordMark { walk: None, mark: described(panel, kind, length_um), shown_by: None })
}

/// A correction.
pub fn correction(mark: Uuid, becomes: Description, reason: &str) -> Act {
    Act::CorrectMark(CorrectMark { mark, becomes, reason: reason.to_owned() })
}

/// A photo of a file below the phone's folder.
pub fn photo(file: &str, mark: Option<Uuid>) -> Act {
    Act::AttachPhoto(AttachPhoto {
        walk: None,
        mark,
        entry: None,
        panel: None,
        view: View::Close,
        file: file.to_owned(),
        note: None,
    })
}

/// A feel test.
pub fn feel(panel: &str, level: FeelLevel) -> Act {
    Act::RecordFeel(RecordFeel {
        walk: None,
        panel: panel.to_owned(),
        at: None,
        method: FeelMethod::Bag,
        level,
        reacted: Vec::new(),
        on: None,
        note: None,
    })
}

/// The owner's answer, with nothing beside it.
pub fn answer(answer: OwnerAnswer, copy: CopyGiven) -> RecordOwnerAnswer {
    RecordOwnerAnswer {
        answer,
        by: Party::Owner,
        name: None,
        items: Vec::new(),
        copy,
        sent_to: None,
        signature: Vec::new(),
        vehicles: Vec::new(),
        note: None,
    }
}

/// The end of the visit.
pub fn closing() -> Act {
    Act::CloseJob(CloseJob { note: None })
}

/// A committed fixture.
pub fn fixture(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures").join(name);
    std::fs::read(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
}

/// A standing look under a light, of which nothing else is said.
pub fn bare_look(light: Light, stand: Ground) -> RecordLook {
    RecordLook {
        walk: None,
        light,
        stand,
        way: WayOfLooking::Standing,
        panels: Vec::new(),
        image: None,
        to: None,
        lamp_mm: None,
        tube: None,
        sweep: Vec::new(),
        earth: None,
        heading: None,
        surface: None,
        ambient: None,
        distance: None,
        spent_ms: None,
        note: None,
    }
}
