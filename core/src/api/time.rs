//! Time tokens (RFC 3161): a request is made offline and waits for whoever has a connection; an answer is checked before it is
//! recorded, and says no later than when a phone's log was as it is.

use super::notebook::{Notebook, Reader};
use crate::decide::{ask_time, take_token};
use crate::error::Error;
use crate::log::timestamp::{Asked, Stamped, Times, read_certificates};
use crate::record::events::short_log;
use crate::record::times;
use crate::store::Store;
use serde::Serialize;
use uuid::Uuid;

/// A head that waits for a token.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct TimeRequest {
    /// The log.
    pub log: String,
    /// Entries under the head.
    pub size: u64,
    /// SHA-256 of the signed head's bytes, hex.
    pub sha256: String,
    /// When it was asked for, UTC milliseconds.
    pub asked_ms: i64,
    /// The same, to read.
    pub asked: String,
    /// The request (DER): goes to an authority as it is (`application/timestamp-query`).
    pub request: Vec<u8>,
    /// The signed head's bytes.
    pub checkpoint: Vec<u8>,
    /// True when it was asked for before, and nothing but requests and tokens was recorded since.
    pub again: bool,
}

/// A token on record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct TimeToken {
    /// The log whose head it is of.
    pub log: String,
    /// Entries under that head.
    pub size: u64,
    /// SHA-256 of the signed head's bytes, hex.
    pub sha256: String,
    /// The head existed no later than then, if the authority is right: UTC milliseconds.
    pub not_later_than_ms: i64,
    /// What the phone's clock said for the newest entry under the head, UTC milliseconds.
    pub clock_ms: Option<i64>,
    /// Name of the authority.
    pub authority: String,
    /// Name of the root that vouched for it when it came.
    pub root: String,
    /// When it came, to read, by the clock of the phone that took it in.
    pub came: String,
    /// What it says, with the gap between the two clocks.
    pub text: String,
    /// True when this answer was on record already.
    pub again: bool,
}

/// What waits for a token, and the tokens that came.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct TimeAskedView {
    /// Requests without an answer.
    pub waiting: Vec<TimeRequest>,
    /// Tokens on record.
    pub tokens: Vec<TimeToken>,
}

fn request(asked: &Asked, again: bool) -> TimeRequest {
    TimeRequest {
        log: asked.body.head.log.clone(),
        size: asked.body.head.size,
        sha256: asked.body.sha256.clone(),
        asked_ms: asked.asked.at,
        asked: times::spoken(asked.asked.at, asked.off_min, &asked.zone),
        request: asked.request.clone(),
        checkpoint: asked.checkpoint.clone(),
        again,
    }
}

fn token(times: &Times, it: &Stamped, again: bool) -> TimeToken {
    let asked = times.asked.iter().find(|asked| asked.body.sha256 == it.body.sha256);
    let set = asked.and_then(Asked::clock_set_by_ms).map_or_else(String::new, |by| {
        let way = if by > 0 { "forward" } else { "back" };
        let lasted = times::lasted(by.saturating_abs());
        format!("; that clock was set {way} by {lasted} between that entry and the request")
    });
    TimeToken {
        log: it.body.head.log.clone(),
        size: it.body.head.size,
        sha256: it.body.sha256.clone(),
        not_later_than_ms: it.not_later_than_ms(),
        clock_ms: it.body.clock_ms,
        authority: it.body.authority.clone(),
        root: it.body.root.clone(),
        came: times::spoken(it.came_ms, it.off_min, &it.zone),
        text: format!("the first {} entries existed {}{set}", it.body.head.size, it.words()),
        again,
    }
}

fn asked(store: &Store) -> Result<TimeAskedView, Error> {
    let times = store.times()?;
    Ok(TimeAskedView {
        waiting: times.waiting().map(|it| request(it, true)).collect(),
        tokens: times.stamped.iter().map(|it| token(&times, it, true)).collect(),
    })
}

/// What the tokens on record say of a job's entries, a sentence a log.
pub(super) fn of_job(store: &Store, job: Uuid) -> Result<Vec<String>, Error> {
    let said = |(stamped, covered, entries): (Stamped, usize, usize)| {
        let (phone, words) = (short_log(&stamped.body.head.log).to_owned(), stamped.words());
        format!("{covered} of the {entries} entries that phone {phone} made of this visit existed {words}")
    };
    Ok(store.stamped_of(job)?.into_iter().map(said).collect())
}

#[uniffi::export]
impl Notebook {
    /// Asks for a token of this phone's log as it is. The head's bytes are on record before the request is handed out. Asked
    /// again with nothing else recorded since, it is the same request.
    ///
    /// # Errors
    /// Nothing is on record yet, or the store could not be written.
    pub fn ask_time(&self) -> Result<TimeRequest, Error> {
        let mut store = self.lock()?;
        let nothing = || Error::NotFound { what: "anything on record to be stamped".to_owned() };
        let (head, checkpoint) = store.own_head()?.ok_or_else(nothing)?;
        let before = store.times()?;
        let newest = before.asked.iter().rfind(|it| it.body.head.log == head.log);
        if let Some(asked) = newest
            && store.is_idle_since(asked.body.head.size)?
        {
            return Ok(request(asked, true));
        }
        let draft = ask_time(&head, &checkpoint, self.platform.random()?)?;
        self.append(&mut store, vec![draft], self.platform.clock.now()?, None)?;
        let times = store.times()?;
        let asked = times.asked.iter().rfind(|it| it.body.head.log == head.log);
        asked.map(|it| request(it, false)).ok_or_else(|| Error::internal("time.ask"))
    }

    /// Takes in an authority's answer to one of the requests that are on record here, also one of a phone whose log was joined.
    /// `roots` are the certificates trusted to vouch for authorities, `more` those between that the token left out (PEM, or one
    /// in DER). Whether a certificate was revoked is not looked at.
    ///
    /// # Errors
    /// It answers no request, or is not believed: nothing is then on record, and why is said.
    pub fn add_time_token(
        &self,
        answer: Vec<u8>,
        roots: Vec<u8>,
        more: Option<Vec<u8>>,
    ) -> Result<TimeToken, Error> {
        let read = |field: &str, bytes: &[u8]| {
            read_certificates(bytes).map_err(|why| Error::refused(field, why.to_string()))
        };
        let roots = read("roots", &roots)?;
        let more = more.as_deref().map(|bytes| read("more", bytes)).transpose()?.unwrap_or_default();
        let mut store = self.lock()?;
        let before = store.times()?;
        let (asked, draft) = take_token(&before, &answer, &roots, &more)?;
        let sha256 = asked.body.sha256.clone();
        let again = draft.is_none();
        if let Some(draft) = draft {
            self.append(&mut store, vec![draft], self.platform.clock.now()?, None)?;
        }
        let times = store.times()?;
        let found = times.stamped.iter().find(|it| it.body.sha256 == sha256 && it.token == answer);
        found.map(|it| token(&times, it, again)).ok_or_else(|| Error::internal("time.token"))
    }

    /// What waits for a token, and the tokens that came; of every log that is here.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn time_asked(&self) -> Result<TimeAskedView, Error> {
        asked(&*self.lock()?)
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::time_asked`].
    ///
    /// # Errors
    /// As there.
    pub fn time_asked(&self) -> Result<TimeAskedView, Error> {
        asked(&*self.lock()?)
    }
}
