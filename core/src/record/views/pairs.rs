//! Marks of two phones that may be one and the same: offered to a person, never merged. Pure.

use super::PairView;
use super::say::length_text;
use crate::record::fold::{Job, Mark, Version};
use crate::record::words::MarkKind;
use crate::vehicle;
use std::collections::BTreeMap;
use uuid::Uuid;

/// Two strokes on one panel whose middles lie nearer than this may be the same mark, millimetres. Two people touching
/// the same place on a drawing of a whole side differ by about this much (common practice, no source).
const NEAR_MM: i64 = 200;

/// Lengths that differ by more than this factor are two marks.
const LENGTH_FACTOR: u64 = 2;

/// Pairs of marks recorded on different phones that may be the same, by place, kind and length.
/// `labels` are the marks' numbers as they are shown.
pub fn maybe_same(job: &Job, labels: &BTreeMap<Uuid, String>) -> Vec<PairView> {
    let Some(form) = job.vehicle().map(|now| now.form) else { return Vec::new() };
    let geometry = vehicle::geometry(form);
    let mut pairs = Vec::new();
    for (at, a) in job.marks.iter().enumerate() {
        for b in job.marks.iter().skip(at + 1) {
            let (Some(first), Some(second)) = (a.current(), b.current()) else { continue };
            if log_of(a) == log_of(b) || a.walk_stage(job) != b.walk_stage(job) {
                continue;
            }
            let (one, two) = (&first.description, &second.description);
            let middle = |version: &Version| {
                let (from, to) =
                    (version.description.from, version.description.to.unwrap_or(version.description.from));
                ((from.u_ppm + to.u_ppm) / 2, (from.v_ppm + to.v_ppm) / 2)
            };
            let ((u1, v1), (u2, v2)) = (middle(first), middle(second));
            let apart = geometry.distance_mm((&one.panel, u1, v1), (&two.panel, u2, v2));
            let near = one.panel == two.panel && apart.is_some_and(|mm| mm <= NEAR_MM);
            if near && alike(one.kind, two.kind) && lengths_agree(one.length_um, two.length_um) {
                let sizes = match (one.length_um, two.length_um) {
                    (Some(one), Some(two)) => format!(", {} and {}", length_text(one), length_text(two)),
                    _ => String::new(),
                };
                let why = format!("same panel, about {} mm apart, same kind{sizes}", apart.unwrap_or(0));
                let label = |mark: &Mark| labels.get(&mark.id).cloned().unwrap_or_else(|| mark.label.clone());
                pairs.push(PairView { a: label(a), b: label(b), why });
            }
        }
    }
    pairs
}

fn log_of(mark: &Mark) -> Option<&str> {
    mark.first().map(|first| first.stamp.log())
}

fn alike(a: MarkKind, b: MarkKind) -> bool {
    let line = |kind| {
        matches!(kind, MarkKind::Scratch | MarkKind::Scuff | MarkKind::KeyedLine | MarkKind::PaintTransfer)
    };
    a == b || (line(a) && line(b))
}

fn lengths_agree(a: Option<u32>, b: Option<u32>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => u64::from(a.max(b)) <= u64::from(a.min(b)) * LENGTH_FACTOR,
        _ => true,
    }
}
