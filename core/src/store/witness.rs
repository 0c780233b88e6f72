//! Co-signatures of heads: those that this phone gave as a witness of other logs, and those that others gave. IO.
//!
//! The rule is that of a C2SP witness (<https://c2sp.org/tlog-witness>): a head is co-signed only if it goes on from the one
//! that was co-signed before, and what was co-signed is committed before anybody gets to see it. Co-signatures are never
//! dropped, also not when the log that they are of does not hold that head any more: then they are what shows it.

use super::{Finding, Store};
use crate::error::Error;
use crate::log::cosign::{self, Kept, NotCosigned, Witness, cosign};
use crate::log::head::Head;
use crate::log::{Hash, canon};
use crate::store::LogRow;
use rusqlite::params;
use std::collections::{BTreeMap, BTreeSet};

/// Longest note that is looked at, bytes; one of a log and one witness has some 400.
const LONGEST_NOTE: usize = 65_536;

/// Where co-signatures lie, for people.
const PLACE: &str = "sidelong.db, co-signatures";

/// A row of the table, not believed yet.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Row {
    log: String,
    witness: String,
    size: u64,
    note: Vec<u8>,
}

/// A head that was co-signed and that is in no history of its log here: it was cut back, or another history was shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contradicted {
    /// The log.
    pub log: String,
    /// Who co-signed the head.
    pub witness: String,
    /// Entries under it.
    pub size: u64,
}

/// What came of taking in another phone's co-signatures.
#[derive(Debug, Clone, Default)]
pub struct TakenCosigned {
    /// New ones.
    pub taken: u32,
    /// Those that were not taken in, each with the reason.
    pub refused: Vec<Error>,
    /// Among the new ones, those that the logs here contradict.
    pub contradicted: Vec<Contradicted>,
}

/// What came of co-signing the logs that are here.
#[derive(Debug, Clone, Default)]
pub struct Cosigning {
    /// Logs whose newest head was co-signed now.
    pub signed: Vec<String>,
    /// Heads that were not co-signed, each with the reason.
    pub refused: Vec<Error>,
}

/// The co-signed heads of one log that a bundle shows.
#[derive(Debug, Clone, Default)]
pub(super) struct Shown {
    /// Signed notes by the number of entries under the head.
    pub(super) notes: BTreeMap<u64, Vec<u8>>,
    /// The witnesses' keys, by name.
    pub(super) keys: BTreeMap<String, [u8; 32]>,
    /// Co-signatures that are not what they were.
    pub(super) findings: Vec<Finding>,
}

fn keys(logs: &[LogRow]) -> BTreeMap<&str, &[u8; 32]> {
    logs.iter().map(|row| (row.name.as_str(), &row.public)).collect()
}

/// Believes a row if log and witness are among those that are here, and both signed.
fn believe(row: &Row, keys: &BTreeMap<&str, &[u8; 32]>) -> Result<Kept, String> {
    let key = |name: &str| keys.get(name).copied().ok_or_else(|| format!("the log {name} is not here"));
    let (public, witness) = (key(&row.log)?, Witness::new(&row.witness, key(&row.witness)?));
    let witness = witness.map_err(|why| why.to_string())?;
    let kept = cosign::kept(&row.note, (&row.log, public), &witness).map_err(|why| why.to_string())?;
    if kept.head.size != row.size {
        return Err(format!("{} entries were co-signed, not {}", kept.head.size, row.size));
    }
    Ok(kept)
}

fn named(row: &Row) -> String {
    format!("the co-signature of {} over the first {} entries of {}", row.witness, row.size, row.log)
}

impl Store {
    /// The rows as they lie there; what is no row is told instead. A store of an older form has none.
    fn cosigned_rows(&self) -> Result<Vec<Result<Row, String>>, Error> {
        if !self.connection.table_exists(None, "witnessed")? {
            return Ok(Vec::new());
        }
        let mut read = self.connection.prepare_cached(
            "SELECT log, witness, size, substr(note, 1, ?1) FROM witnessed ORDER BY log, witness, size, note",
        )?;
        let mut rows = read.query([LONGEST_NOTE as u64 + 1])?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            let read = || -> Result<Row, rusqlite::Error> {
                Ok(Row { log: row.get(0)?, witness: row.get(1)?, size: row.get(2)?, note: row.get(3)? })
            };
            found.push(match read() {
                Ok(row) if row.note.len() > LONGEST_NOTE => {
                    Err(format!("{}: more than {LONGEST_NOTE} bytes", named(&row)))
                }
                Ok(row) => Ok(row),
                Err(why) => Err(format!("a row that is no co-signature: {why}")),
            });
        }
        Ok(found)
    }

    /// Whether a history of the log that is here holds what this head signs.
    fn holds(&self, logs: &[LogRow], head: &Head) -> bool {
        let branches = logs.iter().filter(|row| row.name == head.log);
        branches.into_iter().any(|row| self.goes_on_from(row, head))
    }

    fn goes_on_from(&self, row: &LogRow, head: &Head) -> bool {
        head.size <= row.size && self.root_at(row.id, head.size).is_ok_and(|root| root == head.root)
    }

    fn keep_cosigned(&self, all: &[Kept]) -> Result<(), Error> {
        let transaction = self.connection.unchecked_transaction()?;
        for Kept { head, cosignature, note } in all {
            transaction
                .prepare_cached(
                    "INSERT OR IGNORE INTO witnessed (log, witness, size, note) VALUES (?1, ?2, ?3, ?4)",
                )?
                .execute(params![head.log, cosignature.witness, head.size, note])?;
        }
        Ok(transaction.commit()?)
    }

    /// Takes in the co-signatures that another phone's store holds, after its logs were taken in: those of logs that are here,
    /// by phones whose logs are here. The others are refused, each with the reason, and stay where they are.
    pub fn take_in_cosigned(&mut self, theirs: &Store) -> Result<TakenCosigned, Error> {
        let logs = self.logs()?;
        let keys = keys(&logs);
        let mut here: BTreeSet<Row> = self.cosigned_rows()?.into_iter().flatten().collect();
        let (mut done, mut new) = (TakenCosigned::default(), Vec::new());
        for row in theirs.cosigned_rows()? {
            let row = match row {
                Ok(row) if here.contains(&row) => continue,
                Ok(row) => row,
                Err(reason) => {
                    done.refused.push(Error::NotJoined { log: PLACE.to_owned(), reason });
                    continue;
                }
            };
            let kept = match believe(&row, &keys) {
                Ok(kept) => kept,
                Err(why) => {
                    let reason = format!("{}: {why}", named(&row));
                    done.refused.push(Error::NotJoined { log: row.log, reason });
                    continue;
                }
            };
            if !here.insert(Row { note: kept.note.clone(), ..row }) {
                continue;
            }
            done.taken += 1;
            if !self.holds(&logs, &kept.head) {
                let Kept { head, cosignature, .. } = &kept;
                let (log, witness) = (head.log.clone(), cosignature.witness.clone());
                done.contradicted.push(Contradicted { log, witness, size: head.size });
            }
            new.push(kept);
        }
        if !new.is_empty() {
            self.keep_cosigned(&new)?;
        }
        Ok(done)
    }

    /// Co-signs, at `time_s` (seconds since 1970), the newest head of every other log that is here and that goes on from what
    /// this phone co-signed before; committed when this returns. A log with two histories is not co-signed any more.
    pub fn cosign_logs(&mut self, time_s: u64) -> Result<Cosigning, Error> {
        let (logs, own) = (self.logs()?, self.own()?);
        let keys = keys(&logs);
        let witness = Witness::new(own.key.name(), &own.key.public())
            .map_err(|why| Error::internal(format!("witness: {why}")))?;
        let rows = self.cosigned_rows()?;
        let (mut done, mut new) = (Cosigning::default(), Vec::new());
        for row in logs.iter().filter(|row| !row.own) {
            let Some(note) = &row.head else { continue };
            if logs.iter().filter(|other| other.name == row.name).count() > 1 {
                continue;
            }
            let of_this = |it: &&Row| it.log == row.name && it.witness == own.key.name();
            let last = match rows.iter().flatten().filter(of_this).max_by_key(|it| it.size) {
                Some(last) => match believe(last, &keys) {
                    Ok(kept) => Some(kept.head),
                    // Without it nobody can say from what the next one has to go on.
                    Err(why) => {
                        let found = format!("{}: {why}; this log is not co-signed", named(last));
                        done.refused.push(Error::Damaged { place: PLACE.to_owned(), found });
                        continue;
                    }
                },
                None => None,
            };
            if last.as_ref().is_some_and(|last| last.size == row.size && self.goes_on_from(row, last)) {
                continue;
            }
            let proof: Vec<Hash> = match &last {
                Some(last) if (1..row.size).contains(&last.size) => {
                    self.consistency(row.id, row.size, last.size)?
                }
                _ => Vec::new(),
            };
            let of = (row.name.as_str(), &row.public);
            let signed = cosign(&own.key, note, of, last.as_ref(), &proof, time_s)
                .and_then(|signed| cosign::kept(&signed.note, of, &witness));
            match signed {
                Ok(kept) => {
                    done.signed.push(row.name.clone());
                    new.push(kept);
                }
                Err(why) => done.refused.push(not_cosigned(&row.name, &why)),
            }
        }
        if !new.is_empty() {
            self.keep_cosigned(&new)?;
        }
        Ok(done)
    }

    /// Every co-signature is one, and what was co-signed is here as it was.
    pub(super) fn check_cosigned(&self, findings: &mut Vec<Finding>) -> Result<(), Error> {
        let logs = self.logs()?;
        let keys = keys(&logs);
        for row in self.cosigned_rows()? {
            let found = match row {
                Err(why) => why,
                Ok(row) => match believe(&row, &keys) {
                    Err(why) => format!("{}: {why}", named(&row)),
                    Ok(kept) if !self.holds(&logs, &kept.head) => {
                        format!("{}: these entries are not here as they were", named(&row))
                    }
                    Ok(_) => continue,
                },
            };
            findings.push(Finding { place: PLACE.to_owned(), found });
        }
        Ok(())
    }

    /// As [`Store::cosigned`], each with whether a history of the log here holds that head.
    pub fn cosigned_and_held(&self, log: &str) -> Result<Vec<(Kept, bool)>, Error> {
        let logs = self.logs()?;
        let with = |kept: Kept| {
            let holds = self.holds(&logs, &kept.head);
            (kept, holds)
        };
        Ok(self.cosigned(log)?.into_iter().map(with).collect())
    }

    /// The co-signatures of a log that are believed, in order of witness and size.
    pub fn cosigned(&self, log: &str) -> Result<Vec<Kept>, Error> {
        let logs = self.logs()?;
        let keys = keys(&logs);
        let rows = self.cosigned_rows()?.into_iter().flatten();
        Ok(rows.filter(|row| row.log == log).filter_map(|row| believe(&row, &keys).ok()).collect())
    }

    /// What a bundle shows of the co-signatures of one history of a log: of each witness the first one that covers entry
    /// `last`, which says since when all of the job was there, and the newest one. Those that no history here bears out come
    /// with the `first` history, whoever made the bundle: leaving them out would hide what they are for.
    pub(super) fn cosigned_shown(&self, log: &LogRow, last: u64, first: bool) -> Result<Shown, Error> {
        let logs = self.logs()?;
        let keys = keys(&logs);
        let (mut of_witness, mut against): (BTreeMap<String, Vec<Kept>>, Vec<Kept>) = Default::default();
        let mut shown = Shown::default();
        for row in self.cosigned_rows()?.into_iter().flatten().filter(|row| row.log == log.name) {
            match believe(&row, &keys) {
                Ok(kept) if self.goes_on_from(log, &kept.head) => {
                    of_witness.entry(row.witness).or_default().push(kept);
                }
                Ok(kept) if first && !self.holds(&logs, &kept.head) => against.push(kept),
                Ok(_) => {}
                Err(why) => {
                    let found = format!("{}: {why}", named(&row));
                    shown.findings.push(Finding { place: PLACE.to_owned(), found });
                }
            }
        }
        let chosen = of_witness.values().flat_map(|all| {
            let covers = all.iter().find(|kept| kept.head.size > last);
            covers.into_iter().chain(all.last())
        });
        let mut by_size: BTreeMap<u64, Vec<Kept>> = BTreeMap::new();
        for kept in against.iter().chain(chosen) {
            let of_size = by_size.entry(kept.head.size).or_default();
            // Two roots of one size do not fit into one note: the one that contradicts the log is told.
            if of_size.first().is_none_or(|it| it.head.root == kept.head.root) {
                of_size.push(kept.clone());
            }
        }
        for (size, of_size) in by_size {
            for kept in &of_size {
                let witness = kept.cosignature.witness.as_str();
                shown.keys.extend(keys.get(witness).map(|public| (witness.to_owned(), **public)));
            }
            shown.notes.insert(size, cosign::together(&of_size));
        }
        Ok(shown)
    }
}

fn not_cosigned(log: &str, why: &NotCosigned) -> Error {
    let reason = format!("its newest head is not co-signed: {why}");
    Error::NotJoined { log: log.to_owned(), reason }
}

/// The name of its file in an export: two witnesses may have signed one head.
pub(super) fn file_name(kept: &Kept) -> String {
    format!("{}-{}.txt", kept.head.size, canon::hex(&canon::sha256(&kept.note)[..4]))
}
