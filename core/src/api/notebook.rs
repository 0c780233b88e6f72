//! Opening the notebook and recording in it.

use super::platform::{Now, Platform};
use super::work::rings;
use crate::care::past::Past;
use crate::decide::{Known, decide, describe_business, needs_past, needs_shop, other_jobs, switch_recorder};
use crate::error::Error;
use crate::log::head::LogKey;
use crate::log::seal::{Draft, Moment};
use crate::photo;
use crate::record::events::{Business, Envelope, Shop};
use crate::record::inputs::{Act, Input};
use crate::store::{Remembered, Store, read_named};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};

/// What recording an input changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct Changes {
    /// The job.
    pub job: String,
    /// The input.
    pub input: String,
    /// Numbers of the events in this phone's log.
    pub events: Vec<u64>,
    /// Number of the mark, when one was recorded.
    pub mark: Option<String>,
    /// True when the same input was on record already and this is the first answer again.
    pub again: bool,
}

/// The notebook of one phone. Several threads may call it; they take turns.
#[derive(uniffi::Object)]
pub struct Notebook {
    pub(super) store: Mutex<Store>,
    pub(super) platform: Platform,
    folder: PathBuf,
}

/// A notebook opened to read, whatever its state: it neither adds nor mends anything.
#[derive(uniffi::Object)]
pub struct Reader {
    pub(super) store: Mutex<Store>,
}

#[uniffi::export]
impl Notebook {
    /// Opens the notebook in a folder, or begins one there.
    ///
    /// # Errors
    /// In use by another program, not writable, newer than this version, damaged, or its seed missing; nothing is
    /// changed by a failed opening.
    #[uniffi::constructor]
    pub fn open(path: String, platform: Platform) -> Result<Arc<Self>, Error> {
        let folder = PathBuf::from(path);
        let store = Store::open(&folder, |begun| key(&platform, begun))?;
        let notebook = Arc::new(Self { store: Mutex::new(store), platform, folder });
        notebook.tell_bell();
        Ok(notebook)
    }

    /// Records an input; when this returns it is saved. A photo is taken in from the store's own `inbox` folder.
    ///
    /// # Errors
    /// A refusal names the field and the reason; nothing of the input is then on record.
    pub fn record(&self, input: Input) -> Result<Changes, Error> {
        self.record_in(&self.folder.join("inbox"), input)
    }

    /// Records an input whose photo is taken in from the given folder.
    ///
    /// # Errors
    /// As [`Notebook::record`].
    pub fn record_from(&self, folder: String, input: Input) -> Result<Changes, Error> {
        self.record_in(Path::new(&folder), input)
    }

    /// From here on another person records on this phone; false when that person records already.
    ///
    /// # Errors
    /// An empty name or one beyond 100 characters, or the store could not be written.
    pub fn switch_recorder(&self, name: String) -> Result<bool, Error> {
        let mut store = self.lock()?;
        let draft = switch_recorder(&name)?;
        let new = store.recorder()?.as_deref() != Some(name.trim());
        if new {
            self.append(&mut store, vec![draft], self.platform.clock.now()?, None)?;
        }
        Ok(new)
    }

    /// Who records on this phone; none before the first [`Notebook::switch_recorder`].
    ///
    /// # Errors
    /// The store could not be read.
    pub fn recorder(&self) -> Result<Option<String>, Error> {
        self.lock()?.recorder()
    }

    /// Says whose record this is, for the head of reports; false when that is on record already.
    ///
    /// # Errors
    /// An empty name or a text beyond its length, or the store could not be written.
    pub fn describe_business(&self, business: Business) -> Result<bool, Error> {
        let mut store = self.lock()?;
        let (draft, business) = describe_business(&business)?;
        let log = store.own_name()?;
        let new = store.business(&log)?.as_ref() != Some(&business);
        if new {
            self.append(&mut store, vec![draft], self.platform.clock.now()?, None)?;
        }
        Ok(new)
    }

    /// Whose record this is.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn business(&self) -> Result<Option<Business>, Error> {
        let store = self.lock()?;
        let log = store.own_name()?;
        store.business(&log)
    }

    /// The name of this phone's log.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn log_name(&self) -> Result<String, Error> {
        self.lock()?.own_name()
    }
}

#[uniffi::export]
impl Reader {
    /// Opens a notebook to read.
    ///
    /// # Errors
    /// There is none in the folder, it is in use, or it is newer than this version.
    #[uniffi::constructor]
    pub fn open(path: String) -> Result<Arc<Self>, Error> {
        Ok(Arc::new(Self { store: Mutex::new(Store::open_to_read(Path::new(&path))?) }))
    }
}

impl Reader {
    pub(super) fn lock(&self) -> Result<MutexGuard<'_, Store>, Error> {
        self.store.lock().map_err(|_| Error::internal("reader.lock"))
    }
}

/// What this phone knows when it decides on an input.
pub(super) fn known(
    store: &mut Store,
    input: &Input,
    now: &Now,
    photo: Option<photo::Facts>,
) -> Result<Known, Error> {
    let mut jobs = BTreeMap::new();
    for other in other_jobs(&input.act) {
        jobs.insert(other, store.job(other)?.clone());
    }
    let closes = matches!(input.act, Act::CloseJob(_));
    Ok(Known {
        log: store.own_name()?,
        boot: now.boot.clone(),
        mono_ms: now.mono_ms,
        jobs,
        heads: if closes { store.heads()? } else { Vec::new() },
        counted: if closes { store.counted(input.job)? } else { Vec::new() },
        now_ms: now.at_ms,
        photo,
        shop: if needs_shop(&input.act) { store.shop()? } else { Shop::default() },
        past: if needs_past(&input.act) { store.past(input.job)? } else { Past::default() },
    })
}

impl Notebook {
    pub(super) fn lock(&self) -> Result<MutexGuard<'_, Store>, Error> {
        self.store.lock().map_err(|_| Error::internal("notebook.lock"))
    }

    fn record_in(&self, photos: &Path, input: Input) -> Result<Changes, Error> {
        let rings = rings(&input.act);
        let changes = self.record_only(photos, input)?;
        if rings {
            self.tell_bell();
        }
        Ok(changes)
    }

    fn record_only(&self, photos: &Path, input: Input) -> Result<Changes, Error> {
        let mut store = self.lock()?;
        let photo = match &input.act {
            Act::AttachPhoto(act) => {
                let bytes = read_named(photos, &act.file)?;
                let facts = photo::read(&bytes)
                    .map_err(|reason| Error::Photo { file: act.file.chars().take(200).collect(), reason })?;
                Some((bytes, facts))
            }
            _ => None,
        };
        let content = photo.as_ref().map_or("", |(_, facts)| &facts.sha256).to_owned();
        if let Some(events) = store.answered(&input, &content)? {
            self.cosign_after(&mut store, &input);
            return Ok(changes(&input, &events, true));
        }
        let now = self.platform.clock.now()?;
        let known = known(&mut store, &input, &now, photo.as_ref().map(|(_, facts)| facts.clone()))?;
        let drafts = decide(store.job(input.job)?, &input, &known)?;
        if let Some((bytes, facts)) = &photo {
            store.keep_photo(bytes, &facts.sha256)?;
        }
        let remembered = Remembered::of(&input, &content, self.platform.random()?)?;
        let events = self.append(&mut store, drafts, now, Some(&remembered))?;
        self.cosign_after(&mut store, &input);
        Ok(changes(&input, &events, false))
    }

    pub(super) fn append(
        &self,
        store: &mut Store,
        drafts: Vec<Draft>,
        now: Now,
        input: Option<&Remembered>,
    ) -> Result<Vec<Envelope>, Error> {
        self.append_and_erase(store, drafts, now, input, &[])
    }

    /// As [`Store::append_and_erase`], with the platform's random bytes.
    pub(super) fn append_and_erase(
        &self,
        store: &mut Store,
        drafts: Vec<Draft>,
        now: Now,
        input: Option<&Remembered>,
        erase: &[String],
    ) -> Result<Vec<Envelope>, Error> {
        let moment = Moment {
            at: now.at_ms,
            off_min: now.off_min,
            zone: now.zone,
            boot: now.boot,
            mono: now.mono_ms,
            by: None,
        };
        // Drawn before the transaction: a platform that fails here must not leave one half done.
        let needed = drafts.iter().map(|draft| draft.typed.len() + 1).sum::<usize>();
        let mut salts = (0..needed).map(|_| self.platform.random()).collect::<Result<Vec<[u8; 16]>, _>>()?;
        store.append_and_erase(drafts, &moment, &mut || salts.pop().unwrap_or_default(), input, erase)
    }
}

/// The key of this phone's log: from the vault, or a new one for a store that has no log yet.
fn key(platform: &Platform, begun: bool) -> Result<LogKey, Error> {
    let seed: [u8; 32] = match platform.vault.load()? {
        Some(seed) => match seed.try_into() {
            Ok(seed) => seed,
            Err(_) if begun => return Err(Error::SeedMissing { log: "this store".to_owned() }),
            Err(_) => return Err(Error::internal("vault: a seed has 32 bytes")),
        },
        None if begun => return Err(Error::SeedMissing { log: "this store".to_owned() }),
        None => {
            let seed = platform.random::<32>()?;
            platform.vault.save(seed.to_vec())?;
            seed
        }
    };
    Ok(LogKey::from_seed(&seed, platform.demo))
}

/// Type of the event that records a mark.
const MARK: &str = "mark.recorded";

fn changes(input: &Input, events: &[Envelope], again: bool) -> Changes {
    // The label alone: reading whole bodies again is felt after each touch.
    let mark =
        events.iter().filter(|event| event.kind == MARK).find_map(|event| event.body.get("label")?.as_str());
    Changes {
        job: input.job.to_string(),
        input: input.input.to_string(),
        events: events.iter().map(|event| event.seq).collect(),
        mark: mark.map(str::to_owned),
        again,
    }
}
