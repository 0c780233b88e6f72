//! The desk as a platform: the system's clocks and random bytes; the seed, and the key that co-signs closings, each in a file of
//! mode 0600 in the store's folder.
//! And the demonstration's platform, whose clock and random bytes are written down, so that a demonstration comes out
//! the same everywhere.

use chrono::Offset as _;
use sidelong_core::api::{Clock, HardwareKey, Now, Platform, Random, SeedVault};
use sidelong_core::error::Error;
use sidelong_core::log::canon::sha256;
use sidelong_core::log::hardware::DeskKey;
use sidelong_core::record::words::KeyHeld;
use sidelong_core::store::FileVault;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::time::Instant;

/// The platform of a desk.
pub fn desk(store: &Path) -> Result<Platform, Error> {
    Ok(Platform {
        clock: Arc::new(DeskClock { started: Instant::now(), boot: boot_id()? }),
        random: Arc::new(SystemRandom),
        vault: Arc::new(Seed(FileVault::at(store.join("seed.key")))),
        bell: None,
        demo: false,
        hardware: Some(FileKey::beside(store, Arc::new(SystemRandom))),
    })
}

struct DeskClock {
    started: Instant,
    boot: String,
}

/// Linux tells its boot's id; elsewhere a run of this program counts as one.
fn boot_id() -> Result<String, Error> {
    if let Ok(id) = std::fs::read_to_string("/proc/sys/kernel/random/boot_id") {
        return Ok(id.trim().to_owned());
    }
    let mut id = [0; 16];
    getrandom::fill(&mut id).map_err(|why| Error::internal(format!("random: {why}")))?;
    Ok(uuid::Uuid::from_bytes(id).to_string())
}

impl DeskClock {
    fn mono_ms(&self) -> u64 {
        let uptime = std::fs::read_to_string("/proc/uptime").ok();
        let seconds = uptime.and_then(|text| text.split(' ').next()?.parse::<f64>().ok());
        seconds.map_or_else(
            || u64::try_from(self.started.elapsed().as_millis()).unwrap_or(u64::MAX),
            |seconds| (seconds * 1000.0) as u64,
        )
    }
}

impl Clock for DeskClock {
    fn now(&self) -> Result<Now, Error> {
        let now = chrono::Local::now();
        Ok(Now {
            at_ms: now.timestamp_millis(),
            off_min: now.offset().fix().local_minus_utc() / 60,
            zone: iana_time_zone::get_timezone().unwrap_or_else(|_| "unknown".to_owned()),
            boot: self.boot.clone(),
            mono_ms: self.mono_ms(),
        })
    }
}

struct SystemRandom;

impl Random for SystemRandom {
    fn bytes(&self, count: u32) -> Result<Vec<u8>, Error> {
        let mut bytes = vec![0; count as usize];
        getrandom::fill(&mut bytes).map_err(|why| Error::internal(format!("random: {why}")))?;
        Ok(bytes)
    }
}

struct Seed(FileVault);

impl SeedVault for Seed {
    fn load(&self) -> Result<Option<Vec<u8>>, Error> {
        self.0.load()
    }

    fn save(&self, seed: Vec<u8>) -> Result<(), Error> {
        self.0.save(&seed)
    }
}

/// A P-256 key in a file, made when it is first asked for. It says of itself that it is software.
struct FileKey {
    path: PathBuf,
    random: Arc<dyn Random>,
}

impl FileKey {
    fn beside(store: &Path, random: Arc<dyn Random>) -> Arc<Self> {
        Arc::new(Self { path: store.join("cosign.key"), random })
    }

    fn key(&self) -> Result<DeskKey, Error> {
        let vault = FileVault::at(&self.path);
        let kept = vault.load()?;
        let is_kept = kept.is_some();
        let seed = kept.map_or_else(|| self.random.bytes(32), Ok)?;
        let read = <[u8; 32]>::try_from(seed.as_slice()).ok().and_then(|it| DeskKey::from_seed(&it).ok());
        let key = read.ok_or_else(|| Error::Io {
            path: self.path.display().to_string(),
            reason: "no P-256 key of 32 bytes".to_owned(),
        })?;
        if !is_kept {
            vault.save(&seed)?;
        }
        Ok(key)
    }
}

impl HardwareKey for FileKey {
    fn public_key(&self) -> Result<Vec<u8>, Error> {
        Ok(self.key()?.public())
    }

    fn sign(&self, statement: Vec<u8>) -> Result<Vec<u8>, Error> {
        self.key()?.sign(&statement).map_err(|why| Error::internal(format!("cosign.key: {why}")))
    }

    fn held(&self) -> Result<KeyHeld, Error> {
        Ok(KeyHeld::Software)
    }
}

/// A demonstration's phone: its clock starts at a given time of an invented day and its random bytes follow from its
/// name.
pub fn demo(store: &Path, name: &str, starts_ms: i64) -> Platform {
    demo_paced(store, name, starts_ms, DEMO_TICK_MS)
}

/// The same with another time between two entries.
pub fn demo_paced(store: &Path, name: &str, starts_ms: i64, tick_ms: i64) -> Platform {
    let random = Arc::new(DemoRandom { name: name.to_owned(), calls: AtomicU64::new(0) });
    Platform {
        clock: Arc::new(DemoClock {
            starts_ms,
            tick_ms,
            ticks: AtomicI64::new(0),
            // One running all day: a name is the phone's, then what it is opened for.
            boot: format!("demonstration, {}", name.split(',').next().unwrap_or(name)),
        }),
        random: random.clone(),
        vault: Arc::new(Seed(FileVault::at(store.join("seed.key")))),
        bell: None,
        demo: true,
        hardware: Some(FileKey::beside(store, random)),
    }
}

struct DemoClock {
    starts_ms: i64,
    tick_ms: i64,
    ticks: AtomicI64,
    boot: String,
}

/// Between two entries of the demonstration, milliseconds.
const DEMO_TICK_MS: i64 = 9_400;

impl Clock for DemoClock {
    fn now(&self) -> Result<Now, Error> {
        let passed = self.ticks.fetch_add(1, Ordering::Relaxed) * self.tick_ms;
        Ok(Now {
            at_ms: self.starts_ms + passed,
            off_min: 60,
            zone: "Europe/London".to_owned(),
            boot: self.boot.clone(),
            // The phone runs since midnight, however often the notebook is opened.
            mono_ms: (self.starts_ms + passed).rem_euclid(86_400_000).unsigned_abs(),
        })
    }
}

struct DemoRandom {
    name: String,
    calls: AtomicU64,
}

impl Random for DemoRandom {
    fn bytes(&self, count: u32) -> Result<Vec<u8>, Error> {
        let call = self.calls.fetch_add(1, Ordering::Relaxed);
        let mut bytes = Vec::new();
        let mut block = 0_u32;
        while bytes.len() < count as usize {
            bytes.extend(sha256(format!("{} {call} {block}", self.name).as_bytes()));
            block += 1;
        }
        bytes.truncate(count as usize);
        Ok(bytes)
    }
}
