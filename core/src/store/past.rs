//! Earlier jobs of a job's vehicle, by the tables. IO, reads only. Which of them are of the same vehicle is `care::past`'s to say.

use super::Store;
use super::jobs::{identity_key, is_current};
use crate::care::past::{Identity, MOST_JOBS, Past, SameBy, Visit, of_vehicle};
use crate::error::Error;
use crate::record::fold::fold;
use rusqlite::params;
use uuid::Uuid;

/// Most jobs that read alike in plate, VIN or number and are looked at, the newest.
const MOST_ALIKE: usize = 500;

/// How entries on paint look in their canonical bytes: a job without any is not folded.
const ON_PAINT: [&[u8]; 3] =
    [br#""type":"thickness.measured""#, br#""type":"square.tried""#, br#""type":"step.done""#];

impl Store {
    /// What earlier jobs of a job's vehicle say of its paint. A job that was opened by mistake says nothing.
    pub fn past(&mut self, job: Uuid) -> Result<Past, Error> {
        let folded = self.job(job)?;
        let (Some(opening), Some(now)) = (folded.opening(), folded.vehicle()) else {
            return Ok(Past::default());
        };
        let opened_at = opening.stamp.at;
        let key = |text: &Option<String>| text.as_deref().and_then(identity_key);
        let own = Identity {
            vin: key(&now.vehicle.vin),
            plate: key(&now.vehicle.plate),
            stock: key(&now.vehicle.stock),
            form: now.form.word().to_owned(),
        };
        if (&own.vin, &own.plate, &own.stock) == (&None, &None, &None) {
            return Ok(Past::default());
        }
        let mut notes = Vec::new();
        if !is_current(&self.connection) {
            notes.push("The list of jobs is another version's: earlier jobs were not looked up.".to_owned());
            return Ok(Past { visits: Vec::new(), notes });
        }
        let alike = self.alike_before(job, opened_at, &own)?;
        let mut more = alike.len() == MOST_ALIKE;
        let (same, left_out) = of_vehicle(&own, alike);
        notes.extend(left_out);
        let mut visits = Vec::new();
        for (by, earlier) in same {
            if !self.says_of_paint(earlier)? {
                continue;
            }
            if visits.len() == MOST_JOBS {
                more = true;
                break;
            }
            visits.extend(self.visit(earlier, by)?);
        }
        visits.reverse();
        if more {
            notes.push(format!("Only the {MOST_JOBS} newest earlier jobs were looked through."));
        }
        if !self.tables_complete()? {
            notes.push("The list of jobs is being built again: old ones may be missing.".to_owned());
        }
        Ok(Past { visits, notes })
    }

    /// Jobs opened before one, newest first, that read alike in VIN, plate or number.
    fn alike_before(
        &self,
        job: Uuid,
        opened_at: i64,
        own: &Identity,
    ) -> Result<Vec<(Identity, Uuid)>, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT job, form, vin_key, plate_key, stock_key FROM jobs
             WHERE (vin_key = ?1 OR plate_key = ?2 OR stock_key = ?3) AND voided = 0
                 AND (opened_at, job) < (?4, ?5)
             ORDER BY opened_at DESC, job DESC LIMIT ?6",
        )?;
        let most = i64::try_from(MOST_ALIKE).unwrap_or(i64::MAX);
        let rows =
            read.query_map(params![own.vin, own.plate, own.stock, opened_at, job.as_bytes(), most], |row| {
                let identity =
                    Identity { form: row.get(1)?, vin: row.get(2)?, plate: row.get(3)?, stock: row.get(4)? };
                Ok((identity, Uuid::from_bytes(row.get(0)?)))
            })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn says_of_paint(&self, job: Uuid) -> Result<bool, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT EXISTS (SELECT 1 FROM leaves
                 WHERE job = ?1 AND (instr(bytes, ?2) OR instr(bytes, ?3) OR instr(bytes, ?4)))",
        )?;
        let [measured, tried, done] = ON_PAINT;
        Ok(read.query_row(params![job.as_bytes(), measured, tried, done], |row| row.get(0))?)
    }

    fn visit(&self, job: Uuid, by: SameBy) -> Result<Option<Visit>, Error> {
        let folded = fold(job, self.entries(job)?);
        let visit = Visit::of(&folded, Some(by));
        Ok((folded.voids.is_empty() && !visit.is_empty()).then_some(visit))
    }
}
