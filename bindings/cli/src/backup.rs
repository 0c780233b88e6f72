//! `sidelong backup` and `sidelong restore`. The passphrase comes from the variable `SIDELONG_PASSPHRASE`, or is asked for; it is
//! never an argument, because other programs can read those.

use crate::{Ended, StoreArg, io, open, platform, print_json, show};
use sidelong_core::api::restore as restore_notebook;
use sidelong_core::error::Error;
use std::env::{self, VarError};
use std::io::{BufRead as _, IsTerminal as _};
use std::path::Path;

/// The variable that holds the passphrase.
const VARIABLE: &str = "SIDELONG_PASSPHRASE";

/// From the variable, from a person (twice for a new one, and not shown), or the first line of standard input.
fn passphrase(new: bool) -> Result<String, Error> {
    match env::var(VARIABLE) {
        Ok(set) => return Ok(set),
        Err(VarError::NotUnicode(_)) => return Err(Error::refused(VARIABLE, "not UTF-8")),
        Err(VarError::NotPresent) => {}
    }
    let unread = |why: std::io::Error| io(Path::new("standard input"), &why);
    if !std::io::stdin().is_terminal() {
        let mut line = String::new();
        std::io::stdin().lock().read_line(&mut line).map_err(unread)?;
        return Ok(line.trim_end_matches(['\r', '\n']).to_owned());
    }
    let typed = rpassword::prompt_password("Passphrase: ").map_err(unread)?;
    if new && rpassword::prompt_password("The same again: ").map_err(unread)? != typed {
        return Err(Error::refused("passphrase", "the two are not the same"));
    }
    Ok(typed)
}

/// `sidelong backup`.
pub fn backup(store: &StoreArg, file: &Path, json: bool) -> Result<Ended, Error> {
    let notebook = open(store)?;
    let done = notebook.back_up(file.display().to_string(), passphrase(true)?)?;
    let end = show::packed(file, &done, json)?;
    if !json {
        println!("Without the passphrase nobody opens it again, you neither.");
    }
    Ok(end)
}

/// `sidelong restore`.
pub fn restore(store: &StoreArg, file: &Path, json: bool) -> Result<Ended, Error> {
    let desk = platform::desk(&store.store)?;
    let (file, folder) = (file.display().to_string(), store.store.display().to_string());
    let done = restore_notebook(file, passphrase(false)?, folder.clone(), desk)?;
    if json {
        print_json(&done)?;
        return Ok(if done.joined.refused.is_empty() { Ended::Well } else { Ended::Badly });
    }
    let end = show::joined(&done.joined, false)?;
    if let Some(old) = &done.old_log {
        println!("{}: {} entries; entries from here on are of another log, {}", old.log, old.size, done.log);
    }
    println!("The notebook is in {folder}.");
    Ok(end)
}
