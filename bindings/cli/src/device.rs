//! `sidelong device`: the phones of the crew, and what is said of them.

use crate::{Ended, StoreArg, open, print_json, read};
use sidelong_core::api::DeviceView;
use sidelong_core::error::Error;
use sidelong_core::record::words::Locale;
use std::io::Write as _;
use std::path::Path;

/// What is asked of `sidelong device`.
#[derive(Debug, clap::Subcommand)]
pub enum Device {
    /// List the phones that this notebook knows of: their logs, what was said of them, who co-signed them
    List {
        #[command(flatten)]
        store: StoreArg,
    },
    /// Print the key of a phone's log, for `verify --witness`; without a name this notebook's
    Key {
        /// The phone: its log's name, or the first letters of the name's last part
        log: Option<String>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Say that another phone, whose record was joined, belongs to this record
    Add {
        /// The phone: its log's name, or the first letters of the name's last part
        log: String,
        /// This notebook goes on in its place
        #[arg(long)]
        continues: bool,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Say that nothing more is recorded on a phone
    Retire {
        /// The phone: its log's name, or the first letters of the name's last part
        log: String,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Say that a phone is lost: what it records from then on is kept and flagged
    Lose {
        /// The phone: its log's name, or the first letters of the name's last part
        log: String,
        /// Since when, for example 2026-06-09T08:10:00+01:00; now, if it is not given
        #[arg(long, value_name = "TIME")]
        since: Option<String>,
        #[command(flatten)]
        store: StoreArg,
    },
}

/// `sidelong device`.
pub fn run(what: &Device, locale: Locale, json: bool) -> Result<Ended, Error> {
    let new = match what {
        Device::List { store } => return listed(&read(store)?.devices(locale)?, json),
        Device::Key { log, store } => return key(&read(store)?.devices(locale)?, log.as_deref(), json),
        Device::Add { log, continues, store } => open(store)?.add_device(log.clone(), *continues)?,
        Device::Retire { log, store } => open(store)?.retire_device(log.clone())?,
        Device::Lose { log, since, store } => open(store)?.lose_device(log.clone(), since.clone())?,
    };
    if json {
        print_json(&serde_json::json!({ "recorded": new }))?;
    } else {
        say(if new { "recorded\n" } else { "that is on record already\n" })?;
    }
    Ok(Ended::Well)
}

fn say(text: &str) -> Result<(), Error> {
    std::io::stdout().write_all(text.as_bytes()).map_err(|why| crate::io(Path::new("standard output"), &why))
}

fn listed(devices: &[DeviceView], json: bool) -> Result<Ended, Error> {
    if json {
        print_json(&devices)?;
        return Ok(Ended::Well);
    }
    let mut text = String::new();
    for device in devices {
        let own = if device.own { ", this notebook" } else { "" };
        text += &format!("phone {}{own}: {} entries; {}\n", device.phone, device.entries, device.log);
        if device.forked {
            text += "  ! two histories of its log are here\n";
        }
        device.said.iter().for_each(|said| text += &format!("  {said}\n"));
        for it in &device.cosigned {
            let (sign, off) = if it.holds { (" ", "") } else { ("!", "; no history here holds that") };
            text +=
                &format!("  {sign} {} entries co-signed by phone {}, {}{off}\n", it.size, it.phone, it.at);
        }
    }
    say(&text)?;
    Ok(Ended::Well)
}

fn key(devices: &[DeviceView], log: Option<&str>, json: bool) -> Result<Ended, Error> {
    let meant = |device: &&DeviceView| match log {
        None => device.own,
        Some(name) => {
            let last = device.log.rsplit('/').next().unwrap_or_default();
            device.log == name || !name.is_empty() && last.starts_with(name)
        }
    };
    let found: Vec<&DeviceView> = devices.iter().filter(meant).collect();
    let key = match found.as_slice() {
        [device] => device.key.as_ref().ok_or_else(|| Error::refused("log", "its log is not here"))?,
        [] => return Err(Error::refused("log", "no such log is here")),
        _ => return Err(Error::refused("log", "more than one log is meant; give more of its name")),
    };
    if json {
        print_json(&serde_json::json!({ "key": key }))?;
    } else {
        say(&format!("{key}\n"))?;
    }
    Ok(Ended::Well)
}
