//! What a verifier says: one line a claim, under codes that stay. Pure.

use serde::Serialize;
use std::collections::BTreeMap;

/// What is said of a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Verdict {
    /// It was checked and holds.
    #[serde(rename = "PASS")]
    Pass,
    /// It was checked and does not hold.
    #[serde(rename = "FAIL")]
    Fail,
    /// Nothing here shows it, one way or the other.
    #[serde(rename = "NOT PROVEN")]
    NotProven,
}

impl Verdict {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "PASS",
            Self::Fail => "FAIL",
            Self::NotProven => "NOT PROVEN",
        }
    }
}

/// One line of a report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Claim {
    /// Code that stays from version to version.
    pub code: &'static str,
    /// What is said of it.
    pub verdict: Verdict,
    /// The same for a person.
    pub text: String,
}

/// How much there is and how much of it was shown.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// Entries that the logs hold of this job.
    pub entries: u64,
    /// Of these, shown.
    pub shown: u64,
    /// Of these, withheld.
    pub withheld: u64,
    /// Photos and texts in the bundle.
    pub blobs: u64,
    /// Photos and texts that shown entries name and that are withheld.
    pub blobs_withheld: u64,
    /// The same, erased from the record.
    pub blobs_erased: u64,
    /// The same, neither withheld nor erased, and not here.
    pub blobs_elsewhere: u64,
}

/// A log as a bundle shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LogShown {
    /// Its name, made from its key.
    pub log: String,
    /// Leaves under its signed head.
    pub size: u64,
    /// Of these, entries of this job.
    pub entries: u64,
    /// Of these, shown.
    pub shown: u64,
}

/// What a verifier says of a bundle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Report {
    /// The job, as the statement names it.
    pub job: Option<String>,
    /// Name of the log whose key signed the bundle.
    pub signed_by: Option<String>,
    /// SHA-256 of the tag manifest as it is here, hex: commits every other file.
    pub tags: Option<String>,
    /// Whether the signer says that all of the job is here.
    pub whole: Option<bool>,
    /// True for an invented record.
    pub demo: bool,
    /// The logs.
    pub logs: Vec<LogShown>,
    /// How much was shown.
    pub counts: Counts,
    /// The claims.
    pub claims: Vec<Claim>,
}

impl Report {
    /// What a claim came to: FAIL if any line of it did. None for a code that this version does not know.
    pub fn verdict(&self, code: &str) -> Option<Verdict> {
        let mut lines = self.claims.iter().filter(|claim| claim.code == code).map(|claim| claim.verdict);
        let first = lines.next()?;
        Some(if lines.any(|verdict| verdict == Verdict::Fail) { Verdict::Fail } else { first })
    }

    /// True when anything failed.
    pub fn failed(&self) -> bool {
        self.claims.iter().any(|claim| claim.verdict == Verdict::Fail)
    }

    /// The codes among those required that did not pass, unknown ones included.
    pub fn unproven<'a>(&self, required: &'a [String]) -> Vec<&'a str> {
        let is_open = |code: &&String| self.verdict(code) != Some(Verdict::Pass);
        required.iter().filter(is_open).map(String::as_str).collect()
    }
}

/// Every code in the order in which they are told, with what is said when there was nothing to check.
pub const CODES: &[(&str, &str)] = &[
    ("bag.manifest", "no list of files that could be read"),
    ("bag.unlisted", "no list of files that could be read"),
    ("bag.meaning", "nothing was there to look at"),
    ("statement.signature", "no statement that could be read"),
    ("statement.signer", "no statement that could be read"),
    ("log.checkpoint", "no log is in the bundle"),
    ("log.leaves", "no list of entries is in the bundle"),
    ("log.inclusion", "no entry is in the bundle"),
    ("log.fork", "no log is in the bundle"),
    ("log.consistency", "no entry shown here names an earlier head of these logs"),
    ("log.held", "no head that you hold was given; only with one can a log that was rewritten be told"),
    ("event.canonical", "no entry is shown"),
    ("event.place", "no entry is shown"),
    ("blob.hash", "no photo or text is in the bundle"),
    ("job.complete", "no closing that is shown here commits how many entries there are"),
    ("closing.cosigned", "no co-signature of a device's own key stands beside a closing that is shown here"),
    ("witness", "no co-signature of a witness is in the bundle"),
    ("time.not_later_than", "no time-stamp token that you trust is in the bundle"),
    ("report.page", "the page is as the signer made it; that it says what the entries say was not checked"),
    ("clock.device", "times are those of the phone's clock, which may have been wrong or set"),
    (
        "scene.genuine",
        "that the photos show this vehicle as it was, and not a staged scene or a picture of a picture",
    ),
    (
        "operator.identity",
        "who held the phone, and whose key this is; compare the log's name with one you were given",
    ),
    ("capture.not_before", "that photos were not taken, or entries not prepared, before the time they state"),
];

/// Longest text of a line, characters of what was put into it.
const LONGEST_TEXT: usize = 1_000;

/// A text that may hold anything that a bundle says of itself, for a terminal too: nothing in it moves the cursor or turns
/// the writing.
fn plain(text: &str) -> String {
    let letter = |c: char| {
        let is_plain = c == ' ' || c.is_ascii_graphic();
        let (itself, escaped) = (is_plain.then_some(c), (!is_plain).then(|| c.escape_unicode()));
        itself.into_iter().chain(escaped.into_iter().flatten())
    };
    text.chars().take(LONGEST_TEXT).flat_map(letter).collect()
}

/// Lines that are told of one claim; the rest is counted.
const MOST_TOLD: usize = 10;

/// What was found so far.
#[derive(Debug, Default)]
pub(super) struct Findings {
    failed: BTreeMap<&'static str, (Vec<String>, usize)>,
    held: BTreeMap<&'static str, String>,
    open: BTreeMap<&'static str, String>,
}

impl Findings {
    /// A claim does not hold.
    pub(super) fn fail(&mut self, code: &'static str, text: impl Into<String>) {
        let (told, count) = self.failed.entry(code).or_default();
        *count += 1;
        if told.len() < MOST_TOLD {
            told.push(plain(&text.into()));
        }
    }

    /// Everything of a claim that was there to check was checked; it holds unless something of it failed.
    pub(super) fn hold(&mut self, code: &'static str, text: impl Into<String>) {
        self.held.insert(code, plain(&text.into()));
    }

    /// A claim stays open, and why.
    pub(super) fn leave_open(&mut self, code: &'static str, text: impl Into<String>) {
        self.open.insert(code, plain(&text.into()));
    }

    pub(super) fn claims(mut self) -> Vec<Claim> {
        let mut claims = Vec::new();
        for (code, nothing) in CODES {
            let mut say = |verdict, text| claims.push(Claim { code, verdict, text });
            if let Some((told, count)) = self.failed.remove(code) {
                let more = count - told.len();
                told.into_iter().for_each(|text| say(Verdict::Fail, text));
                if more > 0 {
                    say(Verdict::Fail, format!("and {more} more"));
                }
            } else if let Some(why) = self.open.remove(code) {
                say(Verdict::NotProven, why);
            } else if let Some(text) = self.held.remove(code) {
                say(Verdict::Pass, text);
            } else {
                say(Verdict::NotProven, (*nothing).to_owned());
            }
        }
        claims
    }
}
