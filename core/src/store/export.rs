//! Everything that is on record, as plain files that need no program of ours: jobs as JSON, each log's events as they were
//! signed, typed texts, originals, and a `README.txt` that says what is what and how to check it. IO; the store is only read.
//!
//! The same record gives the same files. What is damaged is exported as far as it can be read, and told. `README.txt` is
//! written last: a folder without it is unfinished. An export is a copy to hand over; it is not synced file by file.

use super::archive::{make_last, must_be_outside};
use super::read::LogRow;
use super::{Finding, Store, io, photos};
use crate::error::Error;
use crate::log::bag::device;
use crate::log::{canon, head};
use crate::record::events::{BlobRef, Envelope};
use crate::record::fold::fold;
use crate::record::views::{Speech, job_view};
use crate::record::words::{BlobState, Locale};
use rusqlite::OptionalExtension as _;
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};
use uuid::Uuid;

const README: &str = include_str!("export.txt");

/// What was exported.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Exported {
    /// Jobs.
    pub jobs: u64,
    /// Events of all logs.
    pub events: u64,
    /// Typed texts.
    pub texts: u64,
    /// Originals.
    pub photos: u64,
    /// Photos and texts that are on record and not here: released, erased, or on another phone.
    pub elsewhere: u64,
    /// What could not be read, or is not what was recorded.
    pub findings: Vec<Finding>,
}

impl Store {
    /// Writes everything into a folder that is empty, or is made if the one above it is there.
    pub fn export(&self, folder: &Path, locale: Locale) -> Result<Exported, Error> {
        must_be_outside(&self.folder, folder)?;
        make_last(folder)?;
        if fs::read_dir(folder).map_err(|why| io(folder, &why))?.next().is_some() {
            return Err(Error::refused("folder", "it is not empty; name one that is, or a new one"));
        }
        self.export_all(folder, locale).map_err(|why| match why {
            // A full stick is not a full phone.
            Error::StorageFull => Error::NotWritable {
                path: folder.display().to_string(),
                reason: "it is full; remove what is in it and export to one with more room".to_owned(),
            },
            other => other,
        })
    }

    fn export_all(&self, folder: &Path, locale: Locale) -> Result<Exported, Error> {
        let mut done = Exported::default();
        let jobs: Vec<[u8; 16]> = self
            .connection
            .prepare("SELECT DISTINCT job FROM leaves WHERE job IS NOT NULL ORDER BY job")?
            .query_map([], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        for job in jobs.into_iter().map(Uuid::from_bytes) {
            let view = self.entries(job).and_then(|all| job_view(&fold(job, all), Speech { locale }));
            match view {
                Ok(view) => {
                    let text = serde_json::to_vec_pretty(&view).map_err(|_| Error::internal("export.job"))?;
                    write(&folder.join("jobs").join(format!("{job}.json")), &text)?;
                    done.jobs += 1;
                }
                Err(why @ (Error::NotFound { .. } | Error::Damaged { .. })) => {
                    done.findings.push(Finding { place: format!("job {job}"), found: why.to_string() });
                }
                Err(other) => return Err(other),
            }
        }
        let path = folder.join("blobs.tsv");
        let mut table = Lines::begin(&path)?;
        table.line(b"sha256\tbytes\ttype\trole\tstate\tlog\tevent\tjob\tfile")?;
        let mut known = BTreeMap::new();
        for (log, name) in self.named_logs()? {
            self.export_log(folder, &log, &name, &mut table, &mut known, &mut done)?;
        }
        table.end()?;
        if !done.findings.is_empty() {
            let lines = done.findings.iter().map(|it| format!("{}: {}\n", it.place, it.found));
            write(&folder.join("damage.txt"), lines.collect::<String>().as_bytes())?;
        }
        write(&folder.join("README.txt"), README.as_bytes())?;
        photos::sync_folder(folder)?;
        Ok(done)
    }

    /// Every log with the name of its folder: the log's own, and a number behind it for the other histories of one that
    /// has two. They are in order of that name, whichever came here first.
    pub(super) fn named_logs(&self) -> Result<Vec<(LogRow, String)>, Error> {
        let mut logs: Vec<(String, String, LogRow)> = self
            .logs()?
            .into_iter()
            .map(|log| {
                let root = self.root_at(log.id, log.size).map_or(String::new(), |root| canon::hex(&root.0));
                (device(&log.name), root, log)
            })
            .collect();
        logs.sort_by(|a, b| (&a.0, &a.1).cmp(&(&b.0, &b.1)));
        let mut counts: BTreeMap<String, u32> = BTreeMap::new();
        Ok(logs
            .into_iter()
            .map(|(name, _, log)| {
                let count = counts.entry(name.clone()).or_default();
                *count += 1;
                let name = if *count == 1 { name } else { format!("{name}-{count}") };
                (log, name)
            })
            .collect())
    }

    fn export_log(
        &self,
        folder: &Path,
        log: &LogRow,
        name: &str,
        table: &mut Lines,
        known: &mut BTreeMap<String, (&'static str, String)>,
        done: &mut Exported,
    ) -> Result<(), Error> {
        let place = folder.join("logs").join(name);
        let mut events = Lines::begin(&place.join("events.jsonl"))?;
        for seq in 0..log.size {
            let bytes = match self.leaf(log.id, seq) {
                Ok(bytes) => bytes,
                Err(Error::Damaged { .. }) => None,
                Err(other) => return Err(other),
            };
            let mut find = |found: &str| {
                let place = format!("{}, event {seq}", log.name);
                done.findings.push(Finding { place, found: found.to_owned() });
            };
            match &bytes {
                Some(bytes) if !bytes.contains(&b'\n') => events.line(bytes)?,
                Some(bytes) => {
                    // Never so as it was signed; a line of its own would be two.
                    find("its bytes are not those that were signed; they are in a file of their own");
                    write(&place.join(format!("event-{seq}.bin")), bytes)?;
                    events.line(b"")?;
                }
                None => {
                    find("missing");
                    events.line(b"")?;
                }
            }
            done.events += u64::from(bytes.is_some());
            let Some(envelope) = bytes.and_then(|bytes| serde_json::from_slice::<Envelope>(&bytes).ok())
            else {
                continue;
            };
            for blob in &envelope.blobs {
                let (state, file) = match known.get(&blob.sha256) {
                    Some(known) => known.clone(),
                    None => {
                        let written = self.export_blob(folder, blob, done)?;
                        known.insert(blob.sha256.clone(), written.clone());
                        written
                    }
                };
                let job = envelope.job.map(|job| job.to_string()).unwrap_or_default();
                let (len, at) = (blob.len.to_string(), envelope.seq.to_string());
                let columns =
                    [&blob.sha256, &len, &blob.media, &blob.role, state, name, &at, &job, &file].map(plain);
                table.line(columns.join("\t").as_bytes())?;
            }
        }
        events.end()?;
        if let Some(signed) = &log.head {
            write(&place.join("head.txt"), signed)?;
        }
        if let Ok(key) = head::vkey(&log.name, &log.public) {
            write(&place.join("key.txt"), format!("{key}\n").as_bytes())?;
        }
        // What others hold of a log with two histories lies with the first of them.
        for kept in self.cosigned(&log.name)?.iter().filter(|_| name == device(&log.name)) {
            write(&place.join("cosigned").join(super::witness::file_name(kept)), &kept.note)?;
        }
        Ok(())
    }

    /// Writes one blob, if it is here; gives its state and the file's name below the folder.
    fn export_blob(
        &self,
        folder: &Path,
        blob: &BlobRef,
        done: &mut Exported,
    ) -> Result<(&'static str, String), Error> {
        let state = self.blob_at(&blob.sha256)?.unwrap_or(BlobState::Lost);
        let (Some(hash), BlobState::Here) = (canon::unhex::<32>(&blob.sha256), state) else {
            done.elsewhere += 1;
            return Ok((state.word(), String::new()));
        };
        let sha256 = canon::hex(&hash);
        let (bytes, kind, ending) = if blob.is_file() {
            let ending = match blob.media.as_str() {
                "image/jpeg" => "jpg",
                "image/png" => "png",
                _ => "bin",
            };
            (self.photo_as_kept(&sha256)?, "photos", ending)
        } else {
            let mut read = self.connection.prepare_cached("SELECT bytes FROM blobs WHERE sha256 = ?1")?;
            let bytes: Option<Option<Vec<u8>>> = read.query_row([hash], |row| row.get(0)).optional()?;
            (bytes.flatten(), "texts", "json")
        };
        let mut find = |found: &str| {
            done.findings.push(Finding { place: format!("{} {sha256}", blob.role), found: found.to_owned() });
        };
        let Some(bytes) = bytes else {
            find("missing here");
            return Ok((BlobState::Lost.word(), String::new()));
        };
        let mut file = format!("{kind}/{}/{sha256}.{ending}", sha256.get(..2).unwrap_or_default());
        if canon::sha256(&bytes) != hash {
            find("its bytes are not those that were recorded; its file is named .damaged");
            file += ".damaged";
        }
        write(&folder.join(&file), &bytes)?;
        if blob.is_file() {
            done.photos += 1;
        } else {
            done.texts += 1;
        }
        Ok((state.word(), file))
    }
}

/// A column of a table: what another program wrote may hold anything.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn write(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let mut file = Lines::begin(path)?;
    file.put(bytes)?;
    file.end()
}

/// A new file that is written piece by piece.
struct Lines {
    path: PathBuf,
    file: BufWriter<File>,
}

impl Lines {
    fn begin(path: &Path) -> Result<Self, Error> {
        let above = path.parent().unwrap_or(path);
        fs::create_dir_all(above).map_err(|why| io(above, &why))?;
        let file = File::create_new(path).map_err(|why| io(path, &why))?;
        Ok(Self { path: path.to_owned(), file: BufWriter::new(file) })
    }

    fn put(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.file.write_all(bytes).map_err(|why| io(&self.path, &why))
    }

    fn line(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.put(bytes)?;
        self.put(b"\n")
    }

    fn end(mut self) -> Result<(), Error> {
        self.file.flush().map_err(|why| io(&self.path, &why))
    }
}
