//! Beginning a layer on a section. Pure.

use super::{checked, draft, open_lot, panel, ranged};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, LayerBegun};
use crate::record::fold::Job;
use crate::record::inputs::BeginLayer;
use crate::record::times;
use serde_json::Value;
use uuid::Uuid;

/// `levelled`: the section that the same input levels.
pub(super) fn decide(job: &Job, act: &BeginLayer, levelled: Option<Uuid>) -> Result<Draft, Error> {
    let place = panel(job, "panel", &act.panel)?;
    ranged("part", act.part, 1..=99, "")?;
    ranged("layer", Some(act.layer), 1..=20, "")?;
    open_lot::sheet(job, act.sheet)?;
    if let Some(id) = act.lot {
        let lot = job.work.lots.iter().find(|it| it.id == id);
        let lot = lot.ok_or_else(|| Error::refused("lot", format!("no lot {id} in this job")))?;
        let kind = |sheet| job.work.sheets.iter().find(|it| it.id == sheet).map(|it| it.body.kind);
        if kind(lot.body.sheet) != kind(act.sheet) {
            return Err(Error::refused("lot", "it is a lot of a product of another kind"));
        }
    }
    let open = job.work.layers.iter().find(|it| {
        it.body.panel == place
            && it.body.part == act.part
            && it.body.layer == act.layer
            && Some(it.id) != levelled
            && job.work.levelling(it.id).is_none()
    });
    if let Some(open) = open {
        let since = times::time_of_day(open.stamp.at, open.stamp.off_min);
        let reason =
            format!("layer {} there is open since {since} (entry {}); level it first", act.layer, open.id);
        return Err(Error::refused("panel", reason));
    }
    let mut draft = draft(Body::LayerBegun(LayerBegun {
        panel: place,
        part: act.part,
        layer: act.layer,
        sheet: act.sheet,
        lot: act.lot,
    }));
    who(&mut draft, act.who.as_ref())?;
    Ok(draft)
}

/// Who did it, if it is not who records.
pub(super) fn who(draft: &mut Draft, name: Option<&String>) -> Result<(), Error> {
    if let Some(name) = name {
        draft.typed.push(("who", Value::String(checked("who", name, 100)?)));
    }
    Ok(())
}
