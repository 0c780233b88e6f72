//! What is said of a phone's log and not of a job: who records, and whose business it is. Pure.

use super::{checked, draft};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, Business, BusinessDescribed, RecorderSwitched};
use serde_json::Value;

/// Another person records from here on.
pub fn switch_recorder(name: &str) -> Result<Draft, Error> {
    let mut draft = draft(Body::RecorderSwitched(RecorderSwitched {}));
    draft.typed.push(("recorder", Value::String(checked("name", name, 100)?)));
    Ok(draft)
}

/// Whose business it is, as it is recorded.
pub fn describe_business(business: &Business) -> Result<(Draft, Business), Error> {
    let business = Business {
        name: checked("name", &business.name, 200)?,
        details: business.details.as_ref().map(|text| checked("details", text, 1_000)).transpose()?,
    };
    let mut draft = draft(Body::BusinessDescribed(BusinessDescribed {}));
    let value = serde_json::to_value(&business).map_err(|_| Error::internal("decide.business"))?;
    draft.typed.push(("business", value));
    Ok((draft, business))
}
