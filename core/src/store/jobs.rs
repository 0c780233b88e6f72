//! Tables for questions across jobs: the list, and search by plate, VIN and word. IO. They are written in the
//! transaction of the events they sum up, and can be dropped and built again from the log, newest job first.

use super::read::{entry, naming};
use super::{DATABASE, Store};
use crate::error::Error;
use crate::record::events::Vehicle;
use crate::record::fold::{Job, fold};
use rusqlite::{Connection, OptionalExtension as _, Row, params};
use serde_json::Value;
use std::collections::BTreeSet;
use uuid::Uuid;

/// Changes whenever what the tables hold changes; a store with another number builds them again.
const TABLES_VERSION: &str = "3";

/// Jobs that are built again at once when a store is opened; the rest follows in slices.
const FIRST_SLICE: u32 = 200;

/// In `meta`, before a job's id: its tables are due.
const DUE: &str = "job ";

/// One job in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "columns are explained in tables.sql")]
pub struct JobRow {
    pub job: Uuid,
    pub opened_at: i64,
    pub off_min: i32,
    pub last_at: i64,
    pub form: String,
    pub plate: Option<String>,
    pub vin: Option<String>,
    pub stage: Option<String>,
    pub marks: u32,
    pub photos: u32,
    pub phones: u32,
    pub closed: bool,
    pub stock: Option<String>,
    pub answer: Option<String>,
    pub voided: bool,
    pub disputed: bool,
}

const COLUMNS: &str = "job, opened_at, off_min, last_at, form, plate, vin, stage, marks, photos, phones, closed, stock, \
     answer, voided, disputed";

fn read_row(row: &Row<'_>) -> rusqlite::Result<JobRow> {
    Ok(JobRow {
        job: Uuid::from_bytes(row.get(0)?),
        opened_at: row.get(1)?,
        off_min: row.get(2)?,
        last_at: row.get(3)?,
        form: row.get(4)?,
        plate: row.get(5)?,
        vin: row.get(6)?,
        stage: row.get(7)?,
        marks: row.get(8)?,
        photos: row.get(9)?,
        phones: row.get(10)?,
        closed: row.get(11)?,
        stock: row.get(12)?,
        answer: row.get(13)?,
        voided: row.get(14)?,
        disputed: row.get(15)?,
    })
}

impl Store {
    /// Makes the tables anew if they are of another version, and builds the newest jobs.
    pub(super) fn open_tables(&mut self) -> Result<(), Error> {
        let found: Option<String> = self.meta("tables")?;
        if found.as_deref() != Some(TABLES_VERSION) {
            let transaction = self.connection.unchecked_transaction()?;
            transaction.execute_batch(
                "DROP TABLE IF EXISTS jobs; DROP TABLE IF EXISTS word_jobs; DROP TABLE IF EXISTS words;
                 DROP TABLE IF EXISTS layers; DROP TABLE IF EXISTS sheets;",
            )?;
            transaction.execute_batch(include_str!("tables.sql"))?;
            transaction.execute("INSERT OR REPLACE INTO meta VALUES ('tables', ?1)", [TABLES_VERSION])?;
            transaction.execute(
                "INSERT OR REPLACE INTO meta VALUES ('tables_below', ?1)",
                [Uuid::max().to_string()],
            )?;
            transaction.commit()?;
            self.build_tables(FIRST_SLICE)?;
        }
        Ok(())
    }

    /// Drops the tables, so that the next opening builds them anew.
    pub fn drop_tables(&mut self) -> Result<(), Error> {
        self.connection.execute("DELETE FROM meta WHERE key = 'tables'", [])?;
        self.open_tables()
    }

    /// True when every job is in the tables.
    pub fn tables_complete(&self) -> Result<bool, Error> {
        Ok(is_current(&self.connection) && self.meta("tables_below")?.is_none())
    }

    /// Builds up to `jobs` more jobs, newest first; says whether all are built.
    pub fn build_tables(&mut self, jobs: u32) -> Result<bool, Error> {
        let Some(below) = self.meta("tables_below")? else { return Ok(true) };
        let below = Uuid::parse_str(&below).map_err(|_| Error::Damaged {
            place: format!("{DATABASE}, meta"),
            found: "tables_below".to_owned(),
        })?;
        let transaction = self.connection.unchecked_transaction()?;
        let ids: Vec<[u8; 16]> = transaction
            .prepare_cached("SELECT DISTINCT job FROM leaves WHERE job < ?1 ORDER BY job DESC LIMIT ?2")?
            .query_map(params![below.as_bytes(), jobs], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        for id in &ids {
            rebuild_job(&transaction, Uuid::from_bytes(*id))?;
        }
        let done = ids.len() < jobs as usize;
        match ids.last() {
            Some(last) if !done => transaction.execute(
                "INSERT OR REPLACE INTO meta VALUES ('tables_below', ?1)",
                [Uuid::from_bytes(*last).to_string()],
            )?,
            _ => transaction.execute("DELETE FROM meta WHERE key = 'tables_below'", [])?,
        };
        transaction.commit()?;
        Ok(done)
    }

    /// Notes that the tables are due of every job that names one of these texts, which may come in now.
    pub fn expect_texts(&self, texts: &BTreeSet<[u8; 32]>) -> Result<(), Error> {
        if texts.is_empty() {
            return Ok(());
        }
        let transaction = self.connection.unchecked_transaction()?;
        for job in naming(&transaction, texts)?.into_iter().filter_map(|event| event.job) {
            note_due(&transaction, job)?;
        }
        Ok(transaction.commit()?)
    }

    /// Brings the tables up to date that are due after other phones' events and texts came in.
    pub fn refresh_due(&mut self) -> Result<(), Error> {
        let transaction = self.connection.unchecked_transaction()?;
        let keys: Vec<String> = transaction
            .prepare_cached("SELECT key FROM meta WHERE key >= ?1 AND key < ?1 || 'g'")?
            .query_map([DUE], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        for key in keys {
            if let Some(job) = key.strip_prefix(DUE).and_then(|job| Uuid::parse_str(job).ok()) {
                self.folded.remove(&job);
                rebuild_job(&transaction, job)?;
            }
            transaction.prepare_cached("DELETE FROM meta WHERE key = ?1")?.execute([key])?;
        }
        Ok(transaction.commit()?)
    }

    /// Jobs, newest opened first.
    pub fn list(&self, limit: u32) -> Result<Vec<JobRow>, Error> {
        let mut read = self
            .connection
            .prepare_cached(&format!("SELECT {COLUMNS} FROM jobs ORDER BY opened_at DESC, job LIMIT ?1"))?;
        Ok(read.query_map([limit], read_row)?.collect::<Result<_, _>>()?)
    }

    /// Jobs opened between two times (UTC milliseconds, the second left out), oldest first.
    pub fn opened_between(&self, from_ms: i64, to_ms: i64) -> Result<Vec<JobRow>, Error> {
        let mut read = self.connection.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM jobs WHERE opened_at >= ?1 AND opened_at < ?2 ORDER BY opened_at, job"
        ))?;
        Ok(read.query_map([from_ms, to_ms], read_row)?.collect::<Result<_, _>>()?)
    }

    /// Jobs whose plate, VIN or stock number reads like one of these, newest first.
    pub fn alike(
        &self,
        plate: Option<&str>,
        vin: Option<&str>,
        stock: Option<&str>,
        limit: u32,
    ) -> Result<Vec<JobRow>, Error> {
        let key = |text: Option<&str>| text.and_then(identity_key);
        let mut read = self.connection.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM jobs WHERE plate_key = ?1 OR vin_key = ?2 OR stock_key = ?3
             ORDER BY opened_at DESC, job LIMIT ?4"
        ))?;
        let rows = read.query_map(params![key(plate), key(vin), key(stock), limit], read_row)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Jobs whose plate, VIN or text holds words beginning like those of `text`, newest first.
    pub fn find(&self, text: &str, limit: u32) -> Result<Vec<JobRow>, Error> {
        let Some(query) = query(text) else { return Ok(Vec::new()) };
        let mut read = self.connection.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM jobs WHERE job IN
                 (SELECT job FROM word_jobs WHERE place IN (SELECT rowid FROM words WHERE words MATCH ?1))
             ORDER BY opened_at DESC, job LIMIT ?2"
        ))?;
        Ok(read.query_map(params![query, limit], read_row)?.collect::<Result<_, _>>()?)
    }

    pub(super) fn meta(&self, key: &str) -> Result<Option<String>, Error> {
        let mut read = self.connection.prepare_cached("SELECT value FROM meta WHERE key = ?1")?;
        Ok(read.query_row([key], |row| row.get(0)).optional()?)
    }
}

/// Notes that a job's tables are due, in the transaction that makes them so: whatever cuts a joining off, they are
/// brought up to date by its end, by the next one or by the next opening.
pub(super) fn note_due(connection: &Connection, job: Uuid) -> Result<(), Error> {
    connection
        .prepare_cached("INSERT OR REPLACE INTO meta VALUES (?1, 'due')")?
        .execute([format!("{DUE}{job}")])?;
    Ok(())
}

/// Whether the tables are of this version: a store that was opened to read may hold older ones.
pub(super) fn is_current(connection: &Connection) -> bool {
    let found = connection
        .query_row("SELECT value FROM meta WHERE key = 'tables'", [], |row| row.get::<_, String>(0));
    found.is_ok_and(|found| found == TABLES_VERSION)
}

/// Brings the tables up to date for one job after what is here of it changed otherwise than by recording.
pub(super) fn rebuild_job(connection: &Connection, job: Uuid) -> Result<(), Error> {
    let mut read = connection.prepare_cached("SELECT place, bytes FROM leaves WHERE job = ?1")?;
    let rows: Vec<(i64, Vec<u8>)> = read
        .query_map(params![job.as_bytes()], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<Result<_, _>>()?;
    let mut entries = Vec::new();
    for (place, bytes) in rows {
        if let Some(entry) = entry(connection, place, &bytes)? {
            let typed =
                entry.blobs.iter().filter_map(|(role, (_, value))| Some((role.as_str(), value.clone()?)));
            index_words(connection, place, Some(job), &typed.collect::<Vec<_>>())?;
            entries.push(entry);
        }
    }
    let job = fold(job, entries);
    upsert(connection, &job)?;
    super::work::upsert(connection, &job)
}

/// An FTS5 query: every word as the beginning of one, or all of them run together (plates are typed both ways).
fn query(text: &str) -> Option<String> {
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .take(8)
        .map(|word| word.chars().take(40).collect())
        .collect();
    if words.is_empty() {
        return None;
    }
    let all: Vec<String> = words.iter().map(|word| format!("\"{word}\"*")).collect();
    Some(format!("({}) OR \"{}\"*", all.join(" AND "), words.concat()))
}

/// A plate, VIN or stock number without what people leave out or misread: capital letters and digits alone, with
/// letters that are read as a digit (O, Q, I, Z, S, G, B) as that digit. Equal keys are offered, never merged.
pub(super) fn identity_key(text: &str) -> Option<String> {
    let key: String = text
        .chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .map(|c| match c {
            'O' | 'Q' => '0',
            'I' => '1',
            'Z' => '2',
            'S' => '5',
            'G' => '6',
            'B' => '8',
            c => c,
        })
        .collect();
    (!key.is_empty()).then_some(key)
}

/// What is searched for a typed value: a text as it is; a vehicle's plate also without spaces, and the last six and
/// eight of its VIN, which is how people say them.
fn words_of(role: &str, value: &Value) -> String {
    if role != "vehicle" {
        return words_in(value).join(" ");
    }
    let vehicle: Vehicle = serde_json::from_value(value.clone()).unwrap_or_default();
    let squeezed = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
    let mut words = Vec::new();
    if let Some(plate) = &vehicle.plate {
        words.extend([plate.clone(), squeezed(plate)]);
    }
    if let Some(vin) = vehicle.vin.as_deref().map(squeezed) {
        let tail = |n: usize| vin.chars().skip(vin.chars().count().saturating_sub(n)).collect::<String>();
        words.extend([tail(6), tail(8), vin.clone()]);
    }
    words.extend(vehicle.stock);
    words.extend(vehicle.colour);
    words.join(" ")
}

/// Every text in a value: a list of belongings is searched by what it lists.
fn words_in(value: &Value) -> Vec<&str> {
    match value {
        Value::String(text) => vec![text],
        Value::Array(items) => items.iter().flat_map(words_in).collect(),
        Value::Object(fields) => fields.values().flat_map(words_in).collect(),
        _ => Vec::new(),
    }
}

/// Makes typed texts of one event searchable; once.
pub(super) fn index_words(
    connection: &Connection,
    place: i64,
    job: Option<Uuid>,
    typed: &[(&str, Value)],
) -> Result<(), Error> {
    let Some(job) = job else { return Ok(()) };
    let text: Vec<String> =
        typed.iter().map(|(role, value)| words_of(role, value)).filter(|text| !text.is_empty()).collect();
    if text.is_empty() {
        return Ok(());
    }
    let new = connection
        .prepare_cached("INSERT OR IGNORE INTO word_jobs (place, job) VALUES (?1, ?2)")?
        .execute(params![place, job.as_bytes()])?;
    if new > 0 {
        connection
            .prepare_cached("INSERT INTO words (rowid, text) VALUES (?1, ?2)")?
            .execute(params![place, text.join(" ")])?;
    }
    Ok(())
}

/// Writes a job's row.
pub(super) fn upsert(connection: &Connection, job: &Job) -> Result<(), Error> {
    let (Some(opening), Some(now)) = (job.opening(), job.vehicle()) else { return Ok(()) };
    let id = job.id.as_bytes();
    let row = params![
        id,
        opening.stamp.at,
        opening.stamp.off_min,
        job.last_at(),
        now.form.word(),
        now.vehicle.plate,
        now.vehicle.vin,
        job.walks.last().map(|walk| walk.stage.word()),
        job.marks.len(),
        job.photos.len(),
        job.logs().len(),
        !job.closings.is_empty(),
        now.vehicle.stock,
        job.owner_answers.last().map(|it| it.body.answer.word()),
        !job.voids.is_empty(),
        job.held().is_some(),
        now.vehicle.plate.as_deref().and_then(identity_key),
        now.vehicle.vin.as_deref().and_then(identity_key),
        now.vehicle.stock.as_deref().and_then(identity_key),
    ];
    // Nearly every event leaves the time of opening and the vehicle as they are; not naming them spares their indexes
    // being written again.
    let known = connection
        .prepare_cached(
            "UPDATE jobs SET (off_min, last_at, form, plate, vin, stage, marks, photos, phones, closed, stock, answer,
                 voided, disputed) = (?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?15,?16)
             WHERE job = ?1 AND opened_at = ?2 AND plate_key IS ?17 AND vin_key IS ?18 AND stock_key IS ?19",
        )?
        .execute(row)?;
    if known == 0 {
        connection
            .prepare_cached(&format!(
                "INSERT OR REPLACE INTO jobs ({COLUMNS}, plate_key, vin_key, stock_key)
                 VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?15,?16,?17,?18,?19)"
            ))?
            .execute(row)?;
    }
    Ok(())
}
