//! Opening a job. Pure.

use super::{checked, draft};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, JobOpened, Vehicle};
use crate::record::fold::Job;
use crate::record::inputs::OpenJob;
use crate::vehicle;
use serde_json::Value;

pub(super) fn decide(job: &Job, act: &OpenJob) -> Result<Draft, Error> {
    if job.opening().is_some() {
        return Err(Error::refused("", "this job is open already"));
    }
    let (opened, identity) = described("", act)?;
    let mut draft = draft(Body::JobOpened(opened));
    draft.typed.extend(identity);
    Ok(draft)
}

/// What was typed, with the role of its blob.
type Typed = (&'static str, Value);

/// A vehicle and scope, looked through; and what identifies the vehicle, for a blob.
pub(super) fn described(field: &str, act: &OpenJob) -> Result<(JobOpened, Option<Typed>), Error> {
    let at = |name: &str| if field.is_empty() { name.to_owned() } else { format!("{field}.{name}") };
    if act.scope.is_empty() {
        return Err(Error::refused(at("scope"), "empty; name at least one part of the vehicle"));
    }
    let mut scope = act.scope.clone();
    scope.sort();
    scope.dedup();
    for (n, name) in act.film.iter().enumerate() {
        if !vehicle::has_place(act.form, name) {
            let shown: String = name.chars().take(40).collect();
            return Err(Error::refused(
                at(&format!("film[{n}]")),
                format!("a {} has no place called \"{shown}\"", act.form.word()),
            ));
        }
    }
    let text = |name: &str, given: &Option<String>, longest| {
        given.as_ref().map(|text| checked(&at(name), text, longest)).transpose()
    };
    let identity = Vehicle {
        plate: text("plate", &act.plate, 20)?,
        vin: text("vin", &act.vin, 30)?,
        colour: text("colour", &act.colour, 100)?,
        stock: text("stock", &act.stock, 40)?,
    };
    let opened = JobOpened {
        form: act.form,
        finish: act.finish,
        scope,
        steering: act.steering,
        film: act.film.clone(),
    };
    if identity == Vehicle::default() {
        return Ok((opened, None));
    }
    let value = serde_json::to_value(&identity).map_err(|_| Error::internal("decide.vehicle"))?;
    Ok((opened, Some(("vehicle", value))))
}
