//! Opening a job. Pure.

use super::{checked, draft};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, JobOpened, Vehicle};
use crate::record::fold::Job;
use crate::record::inputs::OpenJob;

pub(super) fn decide(job: &Job, act: &OpenJob) -> Result<Draft, Error> {
    if job.opening().is_some() {
        return Err(Error::refused("", "this job is open already"));
    }
    if act.scope.is_empty() {
        return Err(Error::refused("scope", "empty; name at least one part of the vehicle"));
    }
    let mut scope = act.scope.clone();
    scope.sort();
    scope.dedup();
    let text = |field, given: &Option<String>, longest| {
        given.as_ref().map(|text| checked(field, text, longest)).transpose()
    };
    let vehicle = Vehicle {
        plate: text("plate", &act.plate, 20)?,
        vin: text("vin", &act.vin, 30)?,
        colour: text("colour", &act.colour, 100)?,
    };
    let mut draft = draft(Body::JobOpened(JobOpened { form: act.form, finish: act.finish, scope }));
    if vehicle != Vehicle::default() {
        let value = serde_json::to_value(&vehicle).map_err(|_| Error::internal("decide.vehicle"))?;
        draft.typed.push(("vehicle", value));
    }
    Ok(draft)
}
