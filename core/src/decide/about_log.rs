//! What is said of a phone's log and not of an act on a job: who records, whose business it is, what was erased. Pure.

use super::{checked, draft, ranged};
use crate::care::cloth::check_zones;
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{
    Body, Business, BusinessDescribed, ErasedKind, ErasureRecorded, RecorderSwitched, Shop, ShopDescribed,
};
use crate::record::fold::Job;
use crate::record::words::Step;
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

/// Least and most of a shop's floor, µm: what a gauge can mean.
const FLOOR_UM: std::ops::RangeInclusive<u32> = 20..=1_000;
/// Least and most of what may come off over a paint's life, µm.
const BUDGET_UM: std::ops::RangeInclusive<u32> = 1..=100;

/// How the shop works, as it is recorded.
pub fn describe_shop(shop: &Shop) -> Result<Draft, Error> {
    ranged("floor_um", shop.floor_um, FLOOR_UM, " µm")?;
    ranged("budget_um", shop.budget_um, BUDGET_UM, " µm")?;
    if let Some(first) = shop.chemical_first
        && !matches!(first, Step::TarRemover | Step::IronRemover)
    {
        let reason = format!("{} is neither tar nor iron remover", first.text());
        return Err(Error::refused("chemical_first", reason));
    }
    if !shop.zones.is_empty() {
        for (number, zone) in shop.zones.iter().enumerate() {
            checked(&format!("zones[{number}].name"), &zone.name, 60)?;
        }
        check_zones(&shop.zones)?;
    }
    let mut draft = draft(Body::ShopDescribed(ShopDescribed {
        floor_um: shop.floor_um,
        budget_um: shop.budget_um,
        chemical_first: shop.chemical_first,
    }));
    if !shop.zones.is_empty() {
        let zones = serde_json::to_value(&shop.zones).map_err(|_| Error::internal("decide.shop"))?;
        draft.typed.push(("zones", zones));
    }
    Ok(draft)
}

/// Photos or texts are erased: of one job, for a reason, or of all that were old enough.
pub fn record_erasure(
    job: Option<(&Job, &str)>,
    erased: Vec<ErasedKind>,
    jobs: u32,
    held: u32,
) -> Result<Draft, Error> {
    if let Some(dispute) = job.and_then(|(job, _)| job.held()) {
        return Err(Error::refused(
            "job",
            format!("a dispute is open ({}): nothing of this job is erased until it is ended", dispute.id),
        ));
    }
    if erased.iter().all(|kind| kind.count == 0) {
        return Err(Error::refused("kinds", "nothing of these kinds is here to be erased"));
    }
    let mut draft = draft(Body::ErasureRecorded(ErasureRecorded { erased, jobs, held }));
    if let Some((job, reason)) = job {
        draft.job = Some(job.id);
        draft.typed.push(("reason", Value::String(checked("reason", reason, 4_000)?)));
    }
    Ok(draft)
}
