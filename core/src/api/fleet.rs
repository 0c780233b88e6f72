//! A fleet's list of vehicles, opened as jobs.

use super::notebook::Notebook;
use crate::error::Error;
use crate::record::fleet::{FleetRow, RowError, read_fleet};
use crate::record::inputs::{Act, Input, OpenJob, WriteNote};
use crate::record::words::Scope;
use serde::Serialize;
use uuid::Uuid;

/// A row whose vehicle has a job now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct FleetJob {
    /// Line of the list.
    pub line: u32,
    /// The job.
    pub job: String,
    /// Plate, VIN or number, as the list has it.
    pub vehicle: String,
}

/// What came of opening a fleet's list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct FleetImport {
    /// Jobs opened now.
    pub opened: Vec<FleetJob>,
    /// Rows whose vehicle has an open job already; it is left as it is.
    pub already: Vec<FleetJob>,
    /// Rows that cannot be used, with what is wrong.
    pub errors: Vec<RowError>,
    /// Columns that mean nothing here.
    pub unknown_columns: Vec<String>,
}

#[uniffi::export]
impl Notebook {
    /// Opens a job for every vehicle of a list (CSV) that has none open. A list that is cut off half way can be given again:
    /// what was opened is found open. Errors are told by row and keep no other row back.
    ///
    /// # Errors
    /// No part of the vehicle is in scope, or the store could not be written; jobs opened before that stay.
    pub fn import_fleet(&self, csv: Vec<u8>, scope: Vec<Scope>) -> Result<FleetImport, Error> {
        if scope.is_empty() {
            return Err(Error::refused("scope", "empty; name at least one part of the vehicles"));
        }
        let list = read_fleet(&csv);
        let mut done = FleetImport {
            opened: Vec::new(),
            already: Vec::new(),
            errors: list.errors,
            unknown_columns: list.unknown_columns,
        };
        for row in list.rows {
            let vehicle = row.plate.clone().or(row.stock.clone()).or(row.vin.clone()).unwrap_or_default();
            let named =
                |job: Uuid| FleetJob { line: row.line, job: job.to_string(), vehicle: vehicle.clone() };
            match self.open_one(&row)? {
                Some(job) => done.already.push(named(job)),
                None => {
                    let job = self.new_id()?;
                    match self.open_row(job, &row, &scope) {
                        Ok(()) => done.opened.push(named(job)),
                        Err(Error::Refused { field, reason }) => {
                            done.errors.push(RowError { line: row.line, column: field, reason });
                        }
                        Err(why) => return Err(why),
                    }
                }
            }
        }
        Ok(done)
    }
}

impl Notebook {
    /// The open job of this very vehicle: what is only read alike is another one.
    fn open_one(&self, row: &FleetRow) -> Result<Option<Uuid>, Error> {
        let mut store = self.lock()?;
        while !store.build_tables(u32::MAX)? {}
        let (plate, vin, stock) = (row.plate.as_deref(), row.vin.as_deref(), row.stock.as_deref());
        let same = |ours: Option<&str>, theirs: Option<&str>| {
            let bare = |text: &str| -> String {
                text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
            };
            ours.zip(theirs).is_some_and(|(ours, theirs)| bare(ours) == bare(theirs))
        };
        let open = store.alike(plate, vin, stock, u32::MAX)?.into_iter().find(|job| {
            !job.closed
                && !job.voided
                && (same(plate, job.plate.as_deref())
                    || same(vin, job.vin.as_deref())
                    || same(stock, job.stock.as_deref()))
        });
        Ok(open.map(|job| job.job))
    }

    fn open_row(&self, job: Uuid, row: &FleetRow, scope: &[Scope]) -> Result<(), Error> {
        let opened = OpenJob {
            form: row.form,
            finish: row.finish,
            scope: scope.to_vec(),
            plate: row.plate.clone(),
            vin: row.vin.clone(),
            colour: row.colour.clone(),
            stock: row.stock.clone(),
            steering: None,
            film: Vec::new(),
        };
        let note = row.note.clone().map(|text| Act::WriteNote(WriteNote { panel: None, entry: None, text }));
        for act in std::iter::once(Act::OpenJob(opened)).chain(note) {
            self.record(Input { input: self.new_id()?, job, observed_at: None, act })?;
        }
        Ok(())
    }
}
