//! Writes a job's bundle: a folder, or a zip, under another name until it is whole. IO; the store is only read.
//!
//! The same job at the same size of its logs, with the same co-signatures, gives the same bytes. Photos pass through memory one at a time. A bundle is a
//! copy to hand over: a zip is synced, the files of a folder are not, one by one.

use super::archive::must_be_outside;
use super::read::{Hashes, LogRow};
use super::{Finding, Store, io, photos, place, tree};
use crate::error::Error;
use crate::log::bag::{BLOB_FOLDER, Blob, Counted, Disclosed, Kept};
use crate::log::zip::Writer;
use crate::log::{Hash, canon, head, proof, tree as merkle};
use crate::record::events::{Envelope, Head};
use crate::record::words::BlobState;
use crate::report::bundle::{Entry, LogPart, Record, payload, tags};
use crate::report::{Document, checked};
use rusqlite::{OptionalExtension as _, params};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};
use uuid::Uuid;

/// What a bundle is to hold.
#[derive(Debug, Clone, Default)]
pub struct Wish {
    /// Entries by their id, with all that names them; photos or texts by their SHA-256. Empty: the whole job.
    pub only: Vec<String>,
    /// Signed heads that others hold: the bundle proves them to be beginnings of its logs.
    pub heads: Vec<Vec<u8>>,
    /// What the job's page says; left out when not all is shown.
    pub page: Option<Document>,
    /// A zip instead of a folder.
    pub zip: bool,
}

/// What a bundle came to hold.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Bundled {
    /// Files.
    pub files: u64,
    /// Bytes in them.
    pub bytes: u64,
    /// Entries of the job on record.
    pub entries: u64,
    /// Of these, withheld.
    pub withheld: u64,
    /// Photos and texts in the bundle.
    pub blobs: u64,
    /// Photos and texts that shown entries name and that are withheld.
    pub blobs_withheld: u64,
    /// The same, erased.
    pub blobs_erased: u64,
    /// The same, neither withheld nor erased, and not here.
    pub blobs_elsewhere: u64,
    /// What is here and not what was recorded: of a photo or text the bundle says that it is lost, a co-signature it leaves out.
    pub findings: Vec<Finding>,
}

/// What is chosen of a job.
struct Chosen {
    /// None: everything.
    ids: Option<BTreeSet<String>>,
    hashes: BTreeSet<String>,
    /// Those that something was found for.
    met: BTreeSet<String>,
}

impl Chosen {
    fn of(only: &[String]) -> Result<Self, Error> {
        let (mut ids, mut hashes) = (BTreeSet::new(), BTreeSet::new());
        for name in only {
            match (Uuid::parse_str(name), canon::unhex::<32>(name)) {
                (_, Some(hash)) => _ = hashes.insert(canon::hex(&hash)),
                (Ok(id), None) => _ = ids.insert(id.to_string()),
                (Err(_), None) => {
                    let off = format!("\"{name}\" is neither the id of an entry nor a SHA-256 in hex");
                    return Err(Error::refused("only", off));
                }
            }
        }
        Ok(Self { ids: (!only.is_empty()).then_some(ids), hashes, met: BTreeSet::new() })
    }

    /// Which of an event's blobs are shown with it; none when it is withheld.
    fn shows(&mut self, event: &Envelope) -> Option<BTreeSet<String>> {
        let all = || event.blobs.iter().map(|blob| blob.sha256.clone()).collect::<BTreeSet<_>>();
        let Some(ids) = &self.ids else { return Some(all()) };
        let mut named = BTreeSet::new();
        named.extend(event.input.map(|input| input.to_string()));
        strings(&event.body, &mut named);
        let met: Vec<String> = named.intersection(ids).cloned().collect();
        let blobs: BTreeSet<String> = all().intersection(&self.hashes).cloned().collect();
        self.met.extend(met.iter().chain(&blobs).cloned());
        match (met.is_empty(), blobs.is_empty()) {
            (false, _) => Some(all()),
            (true, false) => Some(blobs),
            (true, true) => None,
        }
    }

    /// Refuses a choice that nothing was found for.
    fn all_met(&self) -> Result<(), Error> {
        let ids = self.ids.iter().flatten();
        match ids.chain(&self.hashes).find(|name| !self.met.contains(*name)) {
            Some(name) => Err(Error::refused("only", format!("nothing of this job is {name}"))),
            None => Ok(()),
        }
    }
}

/// Every string of a value.
fn strings(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::String(text) => _ = found.insert(text.clone()),
        Value::Array(items) => items.iter().for_each(|item| strings(item, found)),
        Value::Object(fields) => fields.values().for_each(|item| strings(item, found)),
        _ => {}
    }
}

impl Store {
    /// Writes the bundle of a job to a path that nothing has yet.
    pub fn bundle(&self, job: Uuid, path: &Path, wish: Wish) -> Result<Bundled, Error> {
        must_be_outside(&self.folder, path)?;
        if fs::symlink_metadata(path).is_ok() {
            let reason = "there is something of this name already".to_owned();
            return Err(Error::NotWritable { path: path.display().to_string(), reason });
        }
        let above = path.parent().filter(|it| !it.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let draft = above.join(format!(".sidelong-{}.new", std::process::id()));
        let remove = || {
            photos::remove_folder_if_there(&draft).or_else(|_| photos::remove_if_there(&draft).map(|_| ()))
        };
        remove()?;
        let done = self.bundle_into(job, &draft, wish).and_then(|done| {
            fs::rename(&draft, path).map_err(|why| io(path, &why))?;
            photos::sync_folder(above)?;
            Ok(done)
        });
        if done.is_err() {
            let _ = remove();
        }
        // What went wrong is told of the name that was asked for. A full stick is not a full phone.
        let (named, drafted) = (path.display().to_string(), draft.display().to_string());
        done.map_err(|why| match why {
            Error::StorageFull => Error::NotWritable {
                path: named,
                reason: "it is full; write to one with more room".to_owned(),
            },
            Error::Io { path, reason } => Error::Io { path: path.replace(&drafted, &named), reason },
            Error::NotWritable { path, reason } => {
                Error::NotWritable { path: path.replace(&drafted, &named), reason }
            }
            other => other,
        })
    }

    /// How many entries of a job each log holds, and their root: what a closing commits, so that a bundle can show that it
    /// accounts for all of them. A log with two histories is named twice.
    pub fn counted(&self, job: Uuid) -> Result<Vec<Counted>, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT bytes FROM leaves WHERE job = ?1 AND place >= ?2 AND place < ?3 ORDER BY place",
        )?;
        let mut found = Vec::new();
        for (log, _) in self.named_logs()? {
            let mut tree = merkle::InMemory::default();
            let mut rows = read.query(params![job.as_bytes(), place(log.id, 0), place(log.id + 1, 0)])?;
            while let Some(row) = rows.next()? {
                let bytes = row.get_ref(0)?.as_bytes().map_err(rusqlite::Error::from)?;
                tree.push(merkle::leaf(bytes)).map_err(super::tree)?;
            }
            if tree.leaves() > 0 {
                let root = tree.root().map_err(super::tree)?;
                found.push(Counted { log: log.name, count: tree.leaves(), root });
            }
        }
        Ok(found)
    }

    fn bundle_into(&self, job: Uuid, draft: &Path, wish: Wish) -> Result<Bundled, Error> {
        let own = self.own()?;
        let mut chosen = Chosen::of(&wish.only)?;
        let mut done = Bundled::default();
        let mut wanted: BTreeMap<[u8; 32], (u64, bool, bool)> = BTreeMap::new();
        let (mut logs, mut rows, mut seen) = (Vec::new(), Vec::new(), BTreeMap::new());
        for (log, _) in self.named_logs()? {
            if let Some(mut part) = self.log_part(&log, job, &mut chosen, &mut wanted, &mut seen)? {
                let first = !logs.iter().any(|other: &LogPart| other.log == part.log);
                let last =
                    part.entries.iter().filter(|it| it.of_job).map(|it| it.seq).max().unwrap_or_default();
                let shown = self.cosigned_shown(&log, last, first)?;
                (part.cosigned, part.witnesses) = (shown.notes, shown.keys);
                done.findings.extend(shown.findings);
                logs.push(part);
                rows.push(log);
            }
        }
        // Only now is known what the closings in all of them have seen of each.
        for (log, part) in rows.iter().zip(&mut logs) {
            let mut sizes = seen.get(&log.name).cloned().unwrap_or_default();
            sizes.extend(part.cosigned.keys());
            part.heads = self.earlier(log, sizes, &wish.heads)?;
        }
        if logs.is_empty() {
            return Err(Error::NotFound { what: format!("job {job}") });
        }
        chosen.all_met()?;
        must_be_of(&logs, &wish.heads)?;
        let mut out = Out::begin(draft, wish.zip, job)?;
        let mut blobs = Vec::new();
        for (sha256, (len, file, shown)) in wanted {
            let kept =
                if shown { self.put_blob(&mut out, sha256, len, file, &mut done)? } else { Kept::Withheld };
            blobs.push(Blob { sha256, len, kept });
            *match kept {
                Kept::State(BlobState::Here) => &mut done.blobs,
                Kept::State(BlobState::Erased) => &mut done.blobs_erased,
                Kept::State(_) => &mut done.blobs_elsewhere,
                Kept::Withheld => &mut done.blobs_withheld,
            } += 1;
        }
        let of_job = || logs.iter().flat_map(|log| &log.entries).filter(|entry| entry.of_job);
        done.entries = of_job().count() as u64;
        done.withheld = of_job().filter(|entry| entry.event.is_none()).count() as u64;
        let disclosed = if chosen.ids.is_none() { Disclosed::Whole } else { Disclosed::Chosen };
        let mut anchors = BTreeMap::new();
        let times = self.times()?;
        for (log, part) in rows.iter().zip(&logs) {
            let of_job = part.entries.iter().filter(|entry| entry.of_job).map(|entry| entry.seq);
            anchors.extend(self.anchors(log, &part.checkpoint, &of_job.collect::<Vec<_>>(), &times)?);
        }
        let page = wish.page.filter(|_| disclosed == Disclosed::Whole);
        let record = Record {
            page: page.map(|page| checked(&page, job, &logs, &own.key)).transpose()?,
            logs,
            blobs,
            anchors,
            signer: (own.key.name().to_owned(), own.key.public()),
        };
        let refused = |_| Error::internal("bundle.key");
        for (path, bytes) in payload(&record).map_err(refused)? {
            out.put(&path, &bytes)?;
        }
        for (path, bytes) in tags(job, disclosed, &out.written.clone(), &own.key).map_err(refused)? {
            out.put(path, &bytes)?;
        }
        done.files = out.written.len() as u64;
        done.bytes = out.written.iter().map(|(_, _, len)| len).sum();
        out.end()?;
        Ok(done)
    }

    /// What a bundle shows of one log; none when the job has no entry in it.
    fn log_part(
        &self,
        log: &LogRow,
        job: Uuid,
        chosen: &mut Chosen,
        wanted: &mut BTreeMap<[u8; 32], (u64, bool, bool)>,
        seen: &mut BTreeMap<String, BTreeSet<u64>>,
    ) -> Result<Option<LogPart>, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT place, bytes FROM leaves WHERE job = ?1 AND place >= ?2 AND place < ?3 ORDER BY place",
        )?;
        let of_log = params![job.as_bytes(), place(log.id, 0), place(log.id + 1, 0)];
        let rows: Vec<(i64, Vec<u8>)> =
            read.query_map(of_log, |row| Ok((row.get(0)?, row.get(1)?)))?.collect::<Result<_, _>>()?;
        let Some(checkpoint) = log.head.clone().filter(|_| !rows.is_empty()) else { return Ok(None) };
        let hashes = Hashes { connection: &self.connection, log: log.id };
        let prove = |seq: u64| proof::include(log.size, seq, &hashes).map_err(tree);
        let (mut entries, mut beside) = (BTreeMap::new(), BTreeSet::new());
        for (at, bytes) in rows {
            let seq = (at - place(log.id, 0)).unsigned_abs();
            let event: Option<Envelope> = serde_json::from_slice(&bytes).ok();
            let shown = event.as_ref().and_then(|event| chosen.shows(event));
            if let (Some(event), Some(blobs)) = (&event, &shown) {
                for blob in &event.blobs {
                    let Some(hash) = canon::unhex::<32>(&blob.sha256) else { continue };
                    wanted.entry(hash).or_insert((blob.len, blob.is_file(), false)).2 |=
                        blobs.contains(&blob.sha256);
                }
                beside.extend(event.by);
                for head in closed_on(event) {
                    seen.entry(head.log).or_default().insert(head.size);
                }
            }
            let leaf = merkle::leaf(&bytes);
            entries.insert(
                seq,
                Entry { seq, leaf, proof: prove(seq)?, event: shown.map(|_| bytes), of_job: true },
            );
        }
        if chosen.ids.is_none() {
            beside.extend(self.latest_about_log(log.id, super::read::BUSINESS)?.map(|(seq, _)| seq));
            let of_phones = self.devices()?.into_iter().filter(|said| said.stamp.log() == log.name);
            beside.extend(of_phones.map(|said| said.stamp.key.2));
            for seq in beside.into_iter().filter(|seq| *seq < log.size) {
                let Some(bytes) = self.leaf(log.id, seq)? else { continue };
                let Ok(event) = serde_json::from_slice::<Envelope>(&bytes) else { continue };
                if entries.contains_key(&seq) || event.job.is_some() {
                    continue;
                }
                for blob in &event.blobs {
                    let Some(hash) = canon::unhex::<32>(&blob.sha256) else { continue };
                    wanted.entry(hash).or_insert((blob.len, blob.is_file(), true)).2 = true;
                }
                let leaf = merkle::leaf(&bytes);
                entries
                    .insert(seq, Entry { seq, leaf, proof: prove(seq)?, event: Some(bytes), of_job: false });
            }
        }
        let entries = entries.into_values().collect();
        let (heads, cosigned, witnesses) = Default::default();
        let (log, public) = (log.name.clone(), log.public);
        Ok(Some(LogPart { log, public, checkpoint, entries, heads, cosigned, witnesses }))
    }

    /// Proofs that earlier heads of a log are its beginning: those of these sizes, and those that others hold.
    fn earlier(
        &self,
        log: &LogRow,
        mut sizes: BTreeSet<u64>,
        heads: &[Vec<u8>],
    ) -> Result<BTreeMap<u64, Vec<Hash>>, Error> {
        for note in heads {
            sizes.extend(head::read(note, &log.name, &log.public).ok().map(|head| head.size));
        }
        let earlier = sizes.into_iter().filter(|size| (1..log.size).contains(size));
        earlier.map(|old| Ok((old, self.consistency(log.id, log.size, old)?))).collect()
    }

    /// Writes a photo or text, if it is here and is what was recorded.
    fn put_blob(
        &self,
        out: &mut Out,
        sha256: [u8; 32],
        len: u64,
        file: bool,
        done: &mut Bundled,
    ) -> Result<Kept, Error> {
        let hex = canon::hex(&sha256);
        let state = self.blob_at(&hex)?.unwrap_or(BlobState::Lost);
        if state != BlobState::Here {
            return Ok(Kept::State(state));
        }
        let bytes = if file {
            self.photo_as_kept(&hex)?
        } else {
            let mut read = self.connection.prepare_cached("SELECT bytes FROM blobs WHERE sha256 = ?1")?;
            read.query_row([sha256], |row| row.get::<_, Option<Vec<u8>>>(0)).optional()?.flatten()
        };
        match bytes.filter(|bytes| canon::sha256(bytes) == sha256 && bytes.len() as u64 == len) {
            Some(bytes) => {
                out.put(&format!("{BLOB_FOLDER}{hex}"), &bytes)?;
                Ok(Kept::State(BlobState::Here))
            }
            None => {
                let found = "missing here, or not what was recorded".to_owned();
                done.findings.push(Finding { place: format!("photo or text {hex}"), found });
                Ok(Kept::State(BlobState::Lost))
            }
        }
    }
}

/// The heads that a closing has seen.
fn closed_on(event: &Envelope) -> Vec<Head> {
    let seen = event.body.get("seen").filter(|_| event.kind == "job.closed").and_then(Value::as_array);
    seen.into_iter().flatten().filter_map(|it| serde_json::from_value(it.clone()).ok()).collect()
}

/// Refuses a head that no log of the bundle has signed: a proof for it could not be made, and its absence not be told.
fn must_be_of(logs: &[LogPart], heads: &[Vec<u8>]) -> Result<(), Error> {
    for (at, note) in heads.iter().enumerate() {
        let signed = |log: &LogPart| head::read(note, &log.log, &log.public).is_ok();
        if !logs.iter().any(signed) {
            let off = "not a signed head of a log that holds entries of this job";
            return Err(Error::refused(format!("heads[{at}]"), off));
        }
    }
    Ok(())
}

/// What is being written, with what was written so far.
struct Out {
    path: PathBuf,
    zip: Option<(Writer<BufWriter<File>>, String)>,
    written: Vec<(String, [u8; 32], u64)>,
}

impl Out {
    fn begin(path: &Path, zip: bool, job: Uuid) -> Result<Self, Error> {
        let zip = if zip {
            let file = File::create_new(path).map_err(|why| io(path, &why))?;
            // A bag's zip holds one folder (RFC 8493 section 5); its name is the job's, wherever the zip lies.
            Some((Writer::new(BufWriter::new(file)), format!("sidelong-{job}")))
        } else {
            fs::create_dir(path).map_err(|why| io(path, &why))?;
            None
        };
        Ok(Self { path: path.to_owned(), zip, written: Vec::new() })
    }

    fn put(&mut self, name: &str, bytes: &[u8]) -> Result<(), Error> {
        match &mut self.zip {
            Some((zip, folder)) => {
                zip.add(&format!("{folder}/{name}"), bytes).map_err(|why| io(&self.path, &why))?;
            }
            None => {
                let path = self.path.join(name);
                let above = path.parent().unwrap_or(&self.path);
                fs::create_dir_all(above).map_err(|why| io(above, &why))?;
                let mut file = File::create_new(&path).map_err(|why| io(&path, &why))?;
                file.write_all(bytes).map_err(|why| io(&path, &why))?;
            }
        }
        self.written.push((name.to_owned(), canon::sha256(bytes), bytes.len() as u64));
        Ok(())
    }

    fn end(self) -> Result<(), Error> {
        if let Some((zip, _)) = self.zip {
            let file =
                zip.finish().and_then(|file| file.into_inner().map_err(std::io::IntoInnerError::into_error));
            file.and_then(|file| file.sync_all()).map_err(|why| io(&self.path, &why))?;
        }
        Ok(())
    }
}
