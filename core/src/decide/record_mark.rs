//! Putting a mark on record. Pure.

use super::{Known, draft, open_walk, panel, spot, typed, vehicle_of};
use crate::error::Error;
use crate::log::seal::Draft;
use crate::record::events::{Body, MarkRecorded};
use crate::record::fold::Job;
use crate::record::inputs::{Description, RecordMark};
use crate::record::words::Measured;
use crate::vehicle;
use std::collections::BTreeSet;

/// Longest size that can be meant on a vehicle, micrometres: 30 m.
const LONGEST_UM: u32 = 30_000_000;

pub(super) fn decide(
    job: &Job,
    act: &RecordMark,
    known: &Known,
    entered_later: bool,
) -> Result<Draft, Error> {
    described(job, "mark", &act.mark)?;
    let mut draft = draft(Body::MarkRecorded(MarkRecorded {
        walk: open_walk(job, act.walk, entered_later)?,
        label: next_label(job, &known.log),
        mark: as_drawn(job, &act.mark)?,
        earlier: None,
        shown_by: act.shown_by,
        moved_from: None,
    }));
    draft.geom = Some(vehicle::GEOMETRY_VERSION);
    typed(&mut draft, "note", "mark.note", act.mark.note.as_ref())?;
    Ok(draft)
}

/// A description as it is recorded: its note lies apart, and a length by the stroke that is not given is computed.
pub(super) fn as_drawn(job: &Job, mark: &Description) -> Result<Description, Error> {
    let mut drawn = Description { note: None, ..mark.clone() };
    if let (Some(Measured::Stroke), None, None, Some(to)) =
        (mark.measured, mark.length_um, mark.width_um, mark.to)
    {
        let (from, to) = ((mark.from.u_ppm, mark.from.v_ppm), (to.u_ppm, to.v_ppm));
        let body = vehicle::geometry(vehicle_of(job)?.form);
        let length = body.stroke_length_um(&mark.panel, from, to).filter(|length| *length > 0);
        let length = length.ok_or_else(|| {
            Error::refused(
                "measured",
                "by stroke, yet the stroke has no length here; give the size otherwise",
            )
        })?;
        drawn.length_um = Some(u32::try_from(length).unwrap_or(LONGEST_UM).min(LONGEST_UM));
    }
    Ok(drawn)
}

/// Looks a description through.
pub(super) fn described(job: &Job, field: &str, mark: &Description) -> Result<(), Error> {
    panel(job, &format!("{field}.panel"), &mark.panel)?;
    spot(&format!("{field}.from"), mark.from)?;
    if let Some(to) = mark.to {
        spot(&format!("{field}.to"), to)?;
    }
    for (name, size) in [("length_um", mark.length_um), ("width_um", mark.width_um)] {
        match size {
            Some(0) => {
                return Err(Error::refused(format!("{field}.{name}"), "0; leave it out when not measured"));
            }
            Some(size) if size > LONGEST_UM => {
                return Err(Error::refused(
                    format!("{field}.{name}"),
                    format!("{size} µm is longer than 30 m"),
                ));
            }
            _ => {}
        }
    }
    let sized = mark.length_um.is_some() || mark.width_um.is_some();
    match mark.measured {
        None if sized => {
            Err(Error::refused(format!("{field}.measured"), "missing; say how the size was found"))
        }
        // Its length is computed then.
        Some(Measured::Stroke) if !sized && mark.to.is_some() => Ok(()),
        Some(_) if !sized => Err(Error::refused(format!("{field}.measured"), "given without a size")),
        Some(Measured::Stroke) if mark.to.is_none() => {
            Err(Error::refused(format!("{field}.measured"), "by stroke, yet the mark is a point"))
        }
        _ => Ok(()),
    }
}

/// The next number: `1`, `2` … on the phone that opened the job, `B1` … on the next phone. A phone keeps its letter.
/// Two phones that join a job without knowing of each other may take the same letter; readers then tell them apart by
/// the phone, and no number ever changes.
pub(super) fn next_label(job: &Job, own: &str) -> String {
    let letters = |label: &str| label.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
    let opener = job.opening().is_some_and(|opening| opening.stamp.log() == own);
    let mut ours = job.labels.iter().filter(|(log, _)| log == own).map(|(_, label)| label);
    let letter = if opener {
        String::new()
    } else if let Some(label) = ours.clone().next() {
        letters(label)
    } else {
        let taken: BTreeSet<String> = job.labels.iter().map(|(_, label)| letters(label)).collect();
        (1_u32..).map(letter).find(|letter| !taken.contains(letter)).unwrap_or_default()
    };
    let last = ours.by_ref().filter_map(|label| label.strip_prefix(&letter)?.parse::<u32>().ok()).max();
    format!("{letter}{}", last.unwrap_or(0) + 1)
}

/// 1 → B, 2 → C … 25 → Z, 26 → BB …
fn letter(index: u32) -> String {
    let (high, low) = ((index - 1) / 25, (index - 1) % 25);
    let mut text = if high == 0 { String::new() } else { letter(high) };
    text.push(char::from_u32(u32::from('B') + low).unwrap_or('B'));
    text
}
