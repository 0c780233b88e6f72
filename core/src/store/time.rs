//! What is on record of time tokens, in every log that is here. IO, reads only.

use super::{LogRow, Store, place};
use crate::error::Error;
use crate::log::canon;
use crate::log::head::{self, Head};
use crate::log::proof::Consistency;
use crate::log::timestamp::{Asked, Reading, Stamped, Times};
use crate::record::events::{self, Body, Envelope};
use crate::report::bundle::Anchor;
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use rusqlite::params;
use serde_json::Value;
use uuid::Uuid;

/// A signed head's bytes, and the request or token that lies beside it.
type Kept = (Vec<u8>, Vec<u8>);

/// Types of the events about time tokens.
const KINDS: [&str; 2] = ["time.asked", "head.stamped"];

impl Store {
    /// Heads that were asked for and tokens that came, in order of the logs. What was erased, or did not come along with
    /// another phone's log, is left out: without its bytes a head can be neither asked for nor shown.
    pub fn times(&self) -> Result<Times, Error> {
        let mut times = Times::default();
        for log in self.logs()? {
            for (_, event) in self.about_time(log.id, 0)? {
                match Body::read(&event.kind, event.v, &event.body) {
                    Body::TimeAsked(body) => {
                        let Some((checkpoint, request)) =
                            self.kept(log.id, event.seq, "request", &body.sha256)?
                        else {
                            continue;
                        };
                        let newest = self.newest_under(&body.head)?.map(|it| reading(&it));
                        let asked = reading(&event);
                        let Envelope { off_min, zone, .. } = event;
                        times.asked.push(Asked { body, asked, off_min, zone, newest, checkpoint, request });
                    }
                    Body::HeadStamped(body) => {
                        let Some((checkpoint, token)) =
                            self.kept(log.id, event.seq, "token", &body.sha256)?
                        else {
                            continue;
                        };
                        let Envelope { at: came_ms, off_min, zone, .. } = event;
                        times.stamped.push(Stamped { body, came_ms, off_min, zone, checkpoint, token });
                    }
                    _ => {}
                }
            }
        }
        Ok(times)
    }

    /// This phone's newest signed head, and its bytes; none before anything is on record.
    pub fn own_head(&self) -> Result<Option<(Head, Vec<u8>)>, Error> {
        let own = self.logs()?.into_iter().find(|log| log.own && log.size > 0);
        let Some((log, note)) = own.and_then(|log| log.head.clone().map(|note| (log, note))) else {
            return Ok(None);
        };
        let damaged = |why: head::NotBelieved| Error::Damaged {
            place: format!("{}, signed head", log.name),
            found: why.to_string(),
        };
        Ok(Some((head::read(&note, &log.name, &log.public).map_err(damaged)?, note)))
    }

    /// Whether this phone recorded anything but requests and tokens since its log had this size.
    pub fn is_idle_since(&self, size: u64) -> Result<bool, Error> {
        let own = self.own()?;
        let about_time = self.about_time(own.id, size)?.len() as u64;
        Ok(own.size.checked_sub(size) == Some(about_time))
    }

    /// The tokens over heads of one log that a bundle of these of its entries needs.
    pub(super) fn anchors(
        &self,
        log: &LogRow,
        checkpoint: &[u8],
        entries: &[u64],
        times: &Times,
    ) -> Result<Vec<([u8; 32], Anchor)>, Error> {
        let mut anchors = Vec::new();
        for stamped in times.of_job(&log.name, entries) {
            let head = &stamped.body.head;
            // Of a log with two histories a token is of one.
            if head.size > log.size || canon::hex(&self.root_at(log.id, head.size)?.0) != head.root {
                continue;
            }
            let consistency = if head.size == log.size {
                None
            } else {
                let hashes = self.consistency(log.id, log.size, head.size)?;
                Some(Consistency { old: head.size, hashes, checkpoint: checkpoint.to_vec() })
            };
            let Stamped { checkpoint, token, .. } = stamped.clone();
            anchors.push((canon::sha256(&checkpoint), Anchor { checkpoint, token, consistency }));
        }
        Ok(anchors)
    }

    /// For each log with entries of a job the token that covers most of them and came first, with how many of how many it
    /// covers.
    pub fn stamped_of(&self, job: Uuid) -> Result<Vec<(Stamped, usize, usize)>, Error> {
        let times = self.times()?;
        let mut found: Vec<(Stamped, usize, usize)> = Vec::new();
        for log in self.logs()? {
            let mut read = self.connection.prepare_cached(
                "SELECT place FROM leaves WHERE job = ?1 AND place >= ?2 AND place < ?3 ORDER BY place",
            )?;
            let of_log = params![job.as_bytes(), place(log.id, 0), place(log.id + 1, 0)];
            let places: Vec<i64> = read.query_map(of_log, |row| row.get(0))?.collect::<Result<_, _>>()?;
            let entries: Vec<u64> = places.iter().map(|at| (at - place(log.id, 0)).unsigned_abs()).collect();
            if let Some(stamped) = times.of_job(&log.name, &entries).pop()
                && found.iter().all(|(it, ..)| it.body.head.log != log.name)
            {
                let covered = entries.iter().filter(|seq| **seq < stamped.body.head.size).count();
                found.push((stamped.clone(), covered, entries.len()));
            }
        }
        Ok(found)
    }

    /// Events about time tokens from a number on.
    fn about_time(&self, log: i64, from: u64) -> Result<Vec<(u64, Envelope)>, Error> {
        let mut read = self.connection.prepare_cached(
            "SELECT bytes FROM leaves WHERE job IS NULL AND place >= ?1 AND place < ?2 ORDER BY place",
        )?;
        let mut rows = read.query(params![place(log, from), place(log + 1, 0)])?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            let bytes = row.get_ref(0)?.as_bytes().map_err(rusqlite::Error::from)?;
            if let Ok(event) = serde_json::from_slice::<Envelope>(bytes)
                && KINDS.contains(&event.kind.as_str())
            {
                found.push((event.seq, event));
            }
        }
        Ok(found)
    }

    /// The head's bytes and what lies beside them, if both are here and the head is the one that is named.
    fn kept(&self, log: i64, seq: u64, role: &str, sha256: &str) -> Result<Option<Kept>, Error> {
        let text = |role: &str| -> Result<Option<String>, Error> {
            let (_, value) = self.said_of_log(log, seq, role)?;
            Ok(value.and_then(|value| if let Value::String(text) = value { Some(text) } else { None }))
        };
        let (checkpoint, der) = (text("checkpoint")?, text(role)?);
        let checkpoint = checkpoint.map(String::into_bytes);
        let checkpoint = checkpoint.filter(|it| canon::hex(&canon::sha256(it)) == sha256);
        let der = der.and_then(|der| BASE64_STANDARD.decode(der).ok());
        Ok(checkpoint.zip(der))
    }

    /// The newest entry under a head.
    fn newest_under(&self, head: &events::Head) -> Result<Option<Envelope>, Error> {
        let Some(seq) = head.size.checked_sub(1) else { return Ok(None) };
        for log in self.logs()?.into_iter().filter(|log| log.name == head.log && log.size >= head.size) {
            if canon::hex(&self.root_at(log.id, head.size)?.0) == head.root {
                let bytes = self.leaf(log.id, seq)?;
                return Ok(bytes.and_then(|bytes| serde_json::from_slice(&bytes).ok()));
            }
        }
        Ok(None)
    }
}

fn reading(event: &Envelope) -> Reading {
    Reading { at: event.at, boot: event.boot.clone(), mono: event.mono }
}
