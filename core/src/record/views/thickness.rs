//! What is shown of paint thickness: each panel, left against right, before against after. Pure; the statistics are
//! those of [`crate::record::thickness`].

use super::{MatesView, Speech, ThicknessView};
use crate::record::fold::Job;
use crate::record::thickness::{self, Summary};
use crate::record::words::Stage;
use std::collections::BTreeMap;
use uuid::Uuid;

/// Accuracy of a gauge whose own is not recorded, plus or minus, µm (common practice, no source: 1–3 % and 1–2 µm).
pub const USUAL_ACCURACY_UM: u32 = 2;

/// Thickness as it was measured.
pub(super) fn measured(job: &Job, speech: Speech) -> Vec<ThicknessView> {
    job.thickness
        .iter()
        .map(|it| {
            let body = &it.body;
            let summary = Summary::of(&body.readings_um);
            let text = match (&summary, body.no_reading) {
                (Some(summary), _) => thickness::summary_text(summary),
                (None, Some(why)) => format!("no reading: {}", speech.word("no-reading", why.word())),
                (None, None) => "no reading".to_owned(),
            };
            let mut doubts = Vec::new();
            if summary.is_some() {
                let apart: Vec<String> =
                    thickness::worth_measuring_again(&body.readings_um, accuracy(job, body.gauge_check))
                        .into_iter()
                        .filter_map(|at| body.readings_um.get(at))
                        .map(|reading| format!("{reading} µm"))
                        .collect();
                if !apart.is_empty() {
                    doubts.push(format!(
                        "stands apart from the others, worth measuring again: {}",
                        apart.join(", ")
                    ));
                }
                if body.gauge_check.is_none() {
                    doubts.push("no check of the gauge is on record".to_owned());
                }
            }
            ThicknessView {
                id: it.id.to_string(),
                panel: body.panel.clone(),
                panel_name: speech.panel(&body.panel),
                readings_um: body.readings_um.clone(),
                lowest_um: summary.as_ref().map(|it| it.lowest_um),
                mean_tenths_um: summary.as_ref().and_then(|it| u32::try_from(it.mean_tenths_um).ok()),
                text,
                doubts,
                stage_text: speech.stage(job, body.walk),
                note: speech.typed(&it.text("note")),
                stamp: speech.stamp(job, &it.stamp),
            }
        })
        .collect()
}

fn accuracy(job: &Job, check: Option<Uuid>) -> u32 {
    let check = check.and_then(|id| job.gauge_checks.iter().find(|it| it.id == id));
    check.and_then(|it| it.body.accuracy_um).unwrap_or(USUAL_ACCURACY_UM)
}

/// All readings of one panel at one stage.
fn readings(job: &Job) -> BTreeMap<(&str, Stage), Vec<u32>> {
    let mut all: BTreeMap<(&str, Stage), Vec<u32>> = BTreeMap::new();
    for it in job.thickness.iter().filter(|it| !it.body.readings_um.is_empty()) {
        if let Some(stage) = job.walk(it.body.walk).map(|walk| walk.stage) {
            all.entry((&it.body.panel, stage)).or_default().extend(&it.body.readings_um);
        }
    }
    all
}

/// Left and right panels of one name, compared at the same stage.
pub(super) fn mates(job: &Job, speech: Speech) -> Vec<MatesView> {
    let all = readings(job);
    let mut pairs = Vec::new();
    for ((left, stage), ours) in &all {
        let right = left.replace("left", "right");
        if right == *left {
            continue;
        }
        let Some(theirs) = all.get(&(right.as_str(), *stage)) else { continue };
        let Some(difference) = thickness::difference_tenths(theirs, ours) else { continue };
        pairs.push(MatesView {
            left: (*left).to_owned(),
            difference_tenths_um: i32::try_from(difference).unwrap_or(i32::MAX),
            text: format!(
                "{} and {}, {}: {}",
                speech.panel(left),
                speech.panel(&right),
                speech.word("stage", stage.word()),
                thickness::difference_text(difference)
            ),
            right,
        });
    }
    pairs
}

/// What came off a panel between the first and the last stage at which it was measured.
pub(super) fn removal(job: &Job, speech: Speech) -> Vec<String> {
    let all = readings(job);
    let accuracy =
        job.thickness.iter().map(|it| accuracy(job, it.body.gauge_check)).max().unwrap_or(USUAL_ACCURACY_UM);
    let mut by_panel: BTreeMap<&str, Vec<(Stage, &Vec<u32>)>> = BTreeMap::new();
    for ((panel, stage), readings) in &all {
        by_panel.entry(panel).or_default().push((*stage, readings));
    }
    by_panel
        .into_iter()
        .filter_map(|(panel, stages)| {
            let ((first, before), (last, after)) = (stages.first()?, stages.last()?);
            (first != last).then(|| {
                format!(
                    "{}, {} against {}: {}",
                    speech.panel(panel),
                    speech.word("stage", first.word()),
                    speech.word("stage", last.word()),
                    thickness::removal_text(thickness::removal(before, after, accuracy))
                )
            })
        })
        .collect()
}
