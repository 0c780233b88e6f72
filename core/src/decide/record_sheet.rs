//! Putting a product's sheet on record. What it leaves out is filled from the starter set and named as such. Pure.

use super::{checked, draft};
use crate::care::recorded;
use crate::care::sheet::{self, Filled, Sheet};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, SheetRecorded, SheetTexts};
use crate::record::fold::Job;
use crate::record::inputs::{RecordSheet, SheetSays, Waits};

pub(super) fn decide(job: &Job, act: &RecordSheet) -> Result<Draft, Error> {
    let (own, usual) = if act.starter {
        (starter(act)?, Vec::new())
    } else {
        let own = own(job, act)?;
        own.check("").map_err(under_says)?;
        let filled = filled(&own)?;
        (filled.sheet, filled.usual.iter().map(|name| (*name).to_owned()).collect())
    };
    let known: Vec<Sheet> = recorded::sheets(job).into_iter().map(|(_, sheet)| sheet).collect();
    for other in known.iter().filter(|other| other.name == own.name) {
        if other.kind != own.kind {
            return Err(Error::refused("kind", format!("its sheet on record is for {}", other.kind.text())));
        }
        if other.version == own.version {
            let same = if *other == own { "with the same content" } else { "with other content" };
            let reason = format!("version {} is on record {same}; an edit is the next version", own.version);
            return Err(Error::refused("version", reason));
        }
    }
    let texts = SheetTexts {
        name: own.name,
        apply: own.apply,
        remove: own.remove,
        cautions: own.cautions,
        source: own.source,
    };
    let says = SheetSays {
        surfaces: own.surfaces,
        section: own.section,
        coats: own.coats,
        dwell: own.dwell,
        next_layer: own.next_layer,
        waits: (own.waits != Waits::default()).then_some(own.waits),
        air: own.air,
        panel: own.panel,
        humidity: own.humidity,
        life: own.life,
        shade: own.shade,
    };
    let body = SheetRecorded { kind: own.kind, version: own.version, starter: act.starter, says, usual };
    let mut draft = draft(Body::SheetRecorded(body));
    draft.typed.push(("sheet", serde_json::to_value(&texts).map_err(|_| Error::internal("decide.sheet"))?));
    Ok(draft)
}

/// The starter set's sheet of a kind.
fn starter(act: &RecordSheet) -> Result<Sheet, Error> {
    let more = act.name.is_some()
        || act.version.is_some()
        || act.says != SheetSays::default()
        || act.apply.is_some()
        || act.remove.is_some()
        || !act.cautions.is_empty()
        || act.source.is_some();
    if more {
        return Err(Error::refused(
            "starter",
            "a sheet of the starter set is taken as it is; leave the rest out",
        ));
    }
    let found = sheet::starter()?.iter().find(|sheet| sheet.kind == act.kind);
    found.cloned().ok_or_else(|| {
        Error::refused("kind", format!("the starter set has no sheet for {}", act.kind.text()))
    })
}

fn own(job: &Job, act: &RecordSheet) -> Result<Sheet, Error> {
    let text = |field: &str, text: &Option<String>, longest| {
        text.as_ref().map(|text| checked(field, text, longest)).transpose()
    };
    let name = text("name", &act.name, 200)?
        .ok_or_else(|| Error::refused("name", "name the product, or take the starter set's sheet"))?;
    let cautions = act.cautions.iter().enumerate();
    let cautions: Result<Vec<String>, Error> =
        cautions.map(|(at, text)| checked(&format!("cautions[{at}]"), text, 500)).collect();
    let known: Vec<Sheet> = recorded::sheets(job).into_iter().map(|(_, sheet)| sheet).collect();
    let next = sheet::newest(&known, &name).map_or(1, |newest| newest.version.saturating_add(1));
    let texts = SheetTexts {
        name,
        apply: text("apply", &act.apply, 500)?,
        remove: text("remove", &act.remove, 500)?,
        cautions: cautions?,
        source: text("source", &act.source, 500)?,
    };
    Ok(recorded::sheet_with(act.kind, act.version.unwrap_or(next), act.says.clone(), texts))
}

/// Gaps filled with what is usual of the kind; waits only where the usual ones do not contradict the sheet's own.
fn filled(own: &Sheet) -> Result<Filled, Error> {
    let mut filled = sheet::fill(own)?;
    if filled.sheet.check("").is_err() {
        filled.sheet.waits = own.waits;
        filled.usual.retain(|name| !name.starts_with("waits."));
    }
    Ok(filled)
}

/// The numbers of an input stand under `says`.
fn under_says(why: Error) -> Error {
    match why {
        Error::Refused { field, reason } => {
            let first = field.split(['.', '[']).next().unwrap_or_default();
            let own = ["name", "version", "kind", "apply", "remove", "cautions", "source"].contains(&first);
            Error::refused(if own { field } else { format!("says.{field}") }, reason)
        }
        why => why,
    }
}
