//! Tables for questions on the work across jobs: layers by lot, open sections, product sheets. IO. As those in `jobs`, they say
//! nothing that the log does not say and are built again with them. No name of a person stands in them: a recorder's name can be
//! erased without its jobs being touched.

use super::Store;
use super::jobs::{identity_key, is_current};
use crate::care::recorded::{Account, sheet_of};
use crate::care::told;
use crate::error::Error;
use crate::record::fold::Job;
use crate::record::inputs::RecordSheet;
use crate::record::words::Step;
use rusqlite::{Connection, params};
use uuid::Uuid;

/// A layer that was put on from a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "columns are explained in tables.sql")]
pub struct LotRow {
    pub job: Uuid,
    pub plate: Option<String>,
    pub stock: Option<String>,
    pub form: String,
    pub lot: String,
    pub product: String,
    pub panel: String,
    pub part: Option<u32>,
    pub layer: u32,
    pub begun_at: i64,
    pub off_min: i32,
    pub state: String,
    pub conditions: String,
    pub notes: Vec<String>,
}

/// A product's sheet that is on record in some job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetRow {
    /// The product.
    pub name: String,
    /// Its version.
    pub version: u32,
    /// The step that it is for.
    pub kind: Step,
    /// What puts it on record in another job.
    pub input: RecordSheet,
}

/// Events after which a job's rows are written anew.
const KINDS: &[&str] =
    &["sheet.recorded", "lot.opened", "conditions.read", "layer.begun", "layer.levelled", "entry.undone"];

/// Whether an event changes the rows.
pub(super) fn touches(kind: &str, job: &Job) -> bool {
    KINDS.contains(&kind) && (kind == "entry.undone" || !job.work.is_empty())
}

/// Writes the rows of a job anew.
pub(super) fn upsert(connection: &Connection, job: &Job) -> Result<(), Error> {
    let id = job.id.as_bytes();
    connection.prepare_cached("DELETE FROM layers WHERE job = ?1")?.execute([id])?;
    connection.prepare_cached("DELETE FROM sheets WHERE job = ?1")?.execute([id])?;
    if job.work.is_empty() {
        return Ok(());
    }
    let account = Account::of(job, None);
    let mut insert = connection.prepare_cached(
        "INSERT OR REPLACE INTO layers VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14)",
    )?;
    for layer in &account.layers {
        let begun = &layer.begun.body;
        let lot = begun.lot.and_then(|id| job.work.lots.iter().find(|it| it.id == id));
        let lot = lot.and_then(|it| it.value("lot")?.as_str().map(str::to_owned));
        insert.execute(params![
            id,
            layer.begun.id.as_bytes(),
            lot.as_deref().and_then(identity_key),
            lot,
            told::product_text(layer.sheet.as_ref()),
            begun.panel,
            begun.part,
            begun.layer,
            layer.begun.stamp.at,
            layer.begun.stamp.off_min,
            !layer.levelled.is_empty(),
            told::levelled_text(layer),
            layer.conditions.map_or_else(|| "not on record".to_owned(), |it| told::conditions_text(&it.body)),
            told::limit_notes(layer).join("\n"),
        ])?;
    }
    let mut insert =
        connection.prepare_cached("INSERT OR REPLACE INTO sheets VALUES (?1,?2,?3,?4,?5,?6,?7)")?;
    for item in job.work.sheets.iter().filter(|it| !it.body.starter && it.value("sheet").is_some()) {
        let sheet = sheet_of(item);
        let input = serde_json::to_string(&told::sheet_input(item, &sheet))
            .map_err(|_| Error::internal("store.sheets"))?;
        insert.execute(params![
            id,
            item.id.as_bytes(),
            sheet.name,
            sheet.version,
            sheet.kind.word(),
            item.stamp.at,
            input
        ])?;
    }
    Ok(())
}

impl Store {
    /// Every layer from a lot that reads like this one, newest first.
    pub fn lots(&self, lot: &str, limit: u32) -> Result<Vec<LotRow>, Error> {
        let Some(key) = identity_key(lot).filter(|_| is_current(&self.connection)) else {
            return Ok(Vec::new());
        };
        let mut read = self.connection.prepare_cached(
            "SELECT layers.job, plate, stock, form, lot, product, panel, part, layer, begun_at, layers.off_min, state,
                 conditions, notes
             FROM layers JOIN jobs ON jobs.job = layers.job
             WHERE lot_key = ?1 ORDER BY begun_at DESC, begun LIMIT ?2",
        )?;
        let rows = read.query_map(params![key, limit], |row| {
            let notes: String = row.get(13)?;
            Ok(LotRow {
                job: Uuid::from_bytes(row.get(0)?),
                plate: row.get(1)?,
                stock: row.get(2)?,
                form: row.get(3)?,
                lot: row.get(4)?,
                product: row.get(5)?,
                panel: row.get(6)?,
                part: row.get(7)?,
                layer: row.get(8)?,
                begun_at: row.get(9)?,
                off_min: row.get(10)?,
                state: row.get(11)?,
                conditions: row.get(12)?,
                notes: notes.lines().map(str::to_owned).collect(),
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Jobs with sections that wait to be levelled; those opened by mistake are left out.
    pub fn jobs_with_open_sections(&self) -> Result<Vec<Uuid>, Error> {
        if !is_current(&self.connection) {
            return Ok(Vec::new());
        }
        let mut read = self.connection.prepare_cached(
            "SELECT DISTINCT layers.job FROM layers JOIN jobs ON jobs.job = layers.job
             WHERE levelled = 0 AND voided = 0",
        )?;
        let rows = read.query_map([], |row| row.get(0).map(Uuid::from_bytes))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Number of sections that are open, of all jobs.
    pub fn open_sections(&self) -> Result<u32, Error> {
        if !is_current(&self.connection) {
            return Ok(0);
        }
        let mut read = self.connection.prepare_cached(
            "SELECT count(*) FROM layers JOIN jobs ON jobs.job = layers.job WHERE levelled = 0 AND voided = 0",
        )?;
        Ok(read.query_row([], |row| row.get(0))?)
    }

    /// The user's own sheets of all jobs, the newest version of each product, by name.
    pub fn sheets(&self) -> Result<Vec<SheetRow>, Error> {
        if !is_current(&self.connection) {
            return Ok(Vec::new());
        }
        let mut read = self.connection.prepare_cached(
            "SELECT name, version, kind, input FROM sheets ORDER BY name, version DESC, at DESC",
        )?;
        let mut rows = read.query([])?;
        let mut found: Vec<SheetRow> = Vec::new();
        while let Some(row) = rows.next()? {
            let name: String = row.get(0)?;
            let (kind, input): (String, String) = (row.get(2)?, row.get(3)?);
            let kind = Step::ALL.iter().copied().find(|step| step.word() == kind);
            let (Some(kind), Ok(input)) = (kind, serde_json::from_str(&input)) else { continue };
            if found.last().is_none_or(|last| last.name != name) {
                found.push(SheetRow { name, version: row.get(1)?, kind, input });
            }
        }
        Ok(found)
    }
}
