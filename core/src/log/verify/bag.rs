//! The bag itself: that every file is listed, is what was listed, and that the list is signed. Pure.

use super::claims::Findings;
use super::{MOST_FILES, MOST_HELD, Source, Unread, Unreadable};
use crate::log::bag::{
    ANCHOR_FOLDER, BAGIT, BAGIT_NAME, BLOB_FOLDER, GUIDE, INFO_NAME, KEY_FOLDER, MANIFEST_NAME, PAGE,
    STATEMENT_NAME, Statement, TAGS_NAME, device, read_manifest, read_vkey,
};
use crate::log::canon;
use sha2::{Digest as _, Sha256};
use std::collections::{BTreeMap, BTreeSet};

/// A bag whose files were read once.
pub(super) struct Bag {
    /// What the statement says, whether or not it is believed.
    pub(super) said: Option<Statement>,
    /// Every listed file that is here, with hash and length.
    pub(super) hashes: BTreeMap<String, ([u8; 32], u64)>,
    /// Bytes of those that are no photos, texts or pages.
    texts: BTreeMap<String, Vec<u8>>,
    /// Paths that something explains.
    explained: BTreeSet<String>,
}

/// Longest file beside `data/`, bytes: a manifest of [`MOST_FILES`] lines.
const LONGEST_TAG: u64 = 16 << 20;

/// Reads one file whole.
fn whole(source: &impl Source, path: &str, most: u64) -> Result<Vec<u8>, Unreadable> {
    let (mut bytes, mut long) = (Vec::new(), false);
    let read = source.read(path, &mut |some| {
        long |= (bytes.len() + some.len()) as u64 > most;
        if !long {
            bytes.extend_from_slice(some);
        }
    });
    match read {
        Ok(()) if long => Err(Unreadable(format!("{path} is longer than {most} bytes"))),
        Ok(()) => Ok(bytes),
        Err(why) => Err(Unreadable(format!("{path}: {why}"))),
    }
}

pub(super) fn open(source: &impl Source, findings: &mut Findings) -> Result<Bag, Unreadable> {
    let files = source.files();
    if files.len() > MOST_FILES {
        return Err(Unreadable(format!("more than {MOST_FILES} files")));
    }
    let count = files.len();
    let files: BTreeMap<String, u64> = files.into_iter().collect();
    if files.len() != count {
        return Err(Unreadable("two files of one name".to_owned()));
    }
    for name in [BAGIT_NAME, MANIFEST_NAME, TAGS_NAME] {
        if !files.contains_key(name) {
            return Err(Unreadable(format!("this is no bundle: {name} is not in it")));
        }
    }
    if whole(source, BAGIT_NAME, 1_000)? != BAGIT.as_bytes() {
        return Err(Unreadable(format!(
            "this is no bundle that is known here: {BAGIT_NAME} says something else"
        )));
    }
    let mut bag =
        Bag { said: None, hashes: BTreeMap::new(), texts: BTreeMap::new(), explained: BTreeSet::new() };
    bag.tags(source, &files, findings)?;
    bag.payload(source, &files, findings)?;
    bag.statement(source, &files, findings)?;
    Ok(bag)
}

impl Bag {
    /// The tag manifest lists the other tag files, and they are what it lists.
    fn tags(
        &mut self,
        source: &impl Source,
        files: &BTreeMap<String, u64>,
        findings: &mut Findings,
    ) -> Result<(), Unreadable> {
        let text = whole(source, TAGS_NAME, LONGEST_TAG)?;
        self.hashes.insert(TAGS_NAME.to_owned(), (canon::sha256(&text), text.len() as u64));
        let listed = match read_manifest(&text) {
            Ok(listed) => listed,
            Err(why) => {
                findings.fail("bag.manifest", format!("{TAGS_NAME}: {why}"));
                return Ok(());
            }
        };
        let names: Vec<&str> = listed.iter().map(|(path, _)| path.as_str()).collect();
        if names != [INFO_NAME, BAGIT_NAME, MANIFEST_NAME] {
            findings.fail("bag.manifest", format!("{TAGS_NAME} does not list what it should"));
        }
        for (path, hash) in listed {
            if !files.contains_key(&path) {
                findings.fail("bag.manifest", format!("{path} is missing"));
            } else if canon::sha256(&whole(source, &path, LONGEST_TAG)?) != hash {
                findings.fail("bag.manifest", format!("{path} is not what was listed"));
            }
        }
        Ok(())
    }

    /// The manifest lists every file below `data/`, and they are what it lists.
    fn payload(
        &mut self,
        source: &impl Source,
        files: &BTreeMap<String, u64>,
        findings: &mut Findings,
    ) -> Result<(), Unreadable> {
        let listed = match read_manifest(&whole(source, MANIFEST_NAME, LONGEST_TAG)?) {
            Ok(listed) => listed,
            Err(why) => {
                findings.fail("bag.manifest", format!("{MANIFEST_NAME}: {why}"));
                return Ok(());
            }
        };
        let mut held = 0;
        for (path, hash) in &listed {
            if !path.starts_with("data/") {
                findings.fail("bag.manifest", format!("{path} is listed and does not lie in data/"));
            } else if !files.contains_key(path) {
                findings.fail("bag.manifest", format!("{path} is listed and missing"));
            } else if self.read_one(source, path, &mut held, findings)? != Some(*hash) {
                findings.fail("bag.manifest", format!("{path} is not what was listed"));
            }
        }
        findings.hold("bag.manifest", format!("{} files are what was listed", listed.len()));
        let known: BTreeSet<&str> = listed
            .iter()
            .map(|(path, _)| path.as_str())
            .chain([BAGIT_NAME, INFO_NAME, MANIFEST_NAME, TAGS_NAME, STATEMENT_NAME])
            .collect();
        for path in files.keys().filter(|path| !known.contains(path.as_str())) {
            findings.fail("bag.unlisted", format!("{path} is not listed: nobody vouches for it"));
        }
        findings.hold("bag.unlisted", "no other file is in the bundle");
        Ok(())
    }

    /// Reads one file, holds it if it is a text, gives its hash; none if its container says that it was changed.
    fn read_one(
        &mut self,
        source: &impl Source,
        path: &str,
        held: &mut u64,
        findings: &mut Findings,
    ) -> Result<Option<[u8; 32]>, Unreadable> {
        let holds = !path.starts_with(BLOB_FOLDER) && path != PAGE && path != GUIDE;
        let (mut hash, mut len, mut bytes) = (Sha256::new(), 0_u64, Vec::new());
        let read = source.read(path, &mut |some| {
            hash.update(some);
            len += some.len() as u64;
            if holds && *held + len <= MOST_HELD {
                bytes.extend_from_slice(some);
            }
        });
        match read {
            Ok(()) => {}
            Err(Unread::Changed(why)) => {
                findings.fail("bag.manifest", format!("{path}: {why}"));
                return Ok(None);
            }
            Err(Unread::Broken(why)) => return Err(Unreadable(format!("{path}: {why}"))),
        }
        let hash = hash.finalize().into();
        self.hashes.insert(path.to_owned(), (hash, len));
        if holds {
            *held += len;
            if *held > MOST_HELD {
                return Err(Unreadable(format!("more than {MOST_HELD} bytes beside photos and pages")));
            }
            self.texts.insert(path.to_owned(), bytes);
        }
        Ok(Some(hash))
    }

    /// The statement is about this bag and signed with its log's key.
    fn statement(
        &mut self,
        source: &impl Source,
        files: &BTreeMap<String, u64>,
        findings: &mut Findings,
    ) -> Result<(), Unreadable> {
        let code = "statement.signature";
        if !files.contains_key(STATEMENT_NAME) {
            findings.fail(code, format!("{STATEMENT_NAME} is missing: nobody signed this bundle"));
            return Ok(());
        }
        let note = whole(source, STATEMENT_NAME, 65_536)?;
        let Some(said) = Statement::read(&note) else {
            findings.fail(code, format!("{STATEMENT_NAME} is no statement about a bundle"));
            return Ok(());
        };
        if self.hashes.get(TAGS_NAME).is_none_or(|(hash, _)| *hash != said.tags) {
            findings.fail(code, "the statement is about other files than these");
        }
        match self.key(&said.log) {
            Ok(public) => match said.is_signed(&note, &public) {
                Ok(()) => findings.hold(code, format!("signed with the key of {}", said.log)),
                Err(why) => findings.fail(code, why.to_string()),
            },
            Err(why) => findings.fail(code, why),
        }
        let info = whole(source, INFO_NAME, LONGEST_TAG).unwrap_or_default();
        let payload = self.hashes.iter().filter(|(path, _)| path.starts_with("data/"));
        let (count, bytes) = payload.fold((0, 0), |(count, bytes), (_, (_, len))| (count + 1, bytes + len));
        for line in [
            format!("External-Identifier: {}", said.job),
            format!("Payload-Oxum: {bytes}.{count}"),
            format!("Disclosed: {}", said.disclosed.word()),
        ] {
            if !String::from_utf8_lossy(&info).lines().any(|it| it == line) {
                findings.fail("bag.manifest", format!("{INFO_NAME} does not say \"{line}\""));
            }
        }
        self.said = Some(said);
        Ok(())
    }

    /// The bytes of a listed text; whoever asks for it explains what it is there for.
    pub(super) fn text(&mut self, path: &str) -> Option<&[u8]> {
        self.explained.insert(path.to_owned());
        self.texts.get(path).map(Vec::as_slice)
    }

    /// Notes that a file has its place.
    pub(super) fn explain(&mut self, path: &str) {
        self.explained.insert(path.to_owned());
    }

    /// The public key of a log, if the bundle has one that belongs to the log's name.
    pub(super) fn key(&mut self, log: &str) -> Result<[u8; 32], String> {
        let path = format!("{KEY_FOLDER}{}.vkey", device(log));
        let text = self.text(&path).ok_or_else(|| format!("{path} is missing"))?;
        match read_vkey(text) {
            Ok((name, public)) if name == log => Ok(public),
            Ok(_) => Err(format!("{path} is the key of another log")),
            Err(why) => Err(format!("{path}: {why}")),
        }
    }

    /// Names of the files in a folder of texts, without those in folders below it.
    pub(super) fn names(&self, folder: &str) -> Vec<String> {
        let below = self.hashes.range(folder.to_owned()..).map(|(path, _)| path);
        let inside = below.map_while(|path| path.strip_prefix(folder));
        inside.filter(|name| !name.contains('/')).map(str::to_owned).collect()
    }

    /// Names of the folders in a folder.
    pub(super) fn folders(&self, folder: &str) -> BTreeSet<String> {
        let below = self.hashes.range(folder.to_owned()..).map(|(path, _)| path);
        let inside = below.map_while(|path| path.strip_prefix(folder));
        inside.filter_map(|name| name.split_once('/')).map(|(first, _)| first.to_owned()).collect()
    }

    /// What is left over: files that are vouched for and that nothing here explains.
    pub(super) fn rest(&mut self, findings: &mut Findings) {
        for path in [PAGE, GUIDE] {
            self.explain(path);
        }
        if !self.hashes.contains_key(PAGE) {
            findings.leave_open("report.page", "no page is in the bundle");
        }
        let payload = || self.hashes.keys().filter(|path| path.starts_with("data/"));
        let strange: Vec<&String> = payload().filter(|path| !self.explained.contains(*path)).collect();
        if let Some(first) = strange.first() {
            let text = format!(
                "this version does not know what {} files are for, for example {first}",
                strange.len()
            );
            findings.leave_open("bag.meaning", text);
        } else if payload().next().is_some() {
            findings.hold("bag.meaning", "every file has its place");
        }
    }

    /// Names of the time-stamp tokens.
    pub(super) fn anchors(&self) -> Vec<String> {
        self.names(ANCHOR_FOLDER)
    }
}
