//! Care of the surfaces: what a product's sheet says, what a surface refuses, what a finding asks for next, when each section is
//! due, and what follows from it later. Pure.
//!
//! A number of the trade that has no source is marked "common practice, no source"; a product's own sheet replaces it.

pub mod account; // what a job's record says of its surfaces
pub mod aftercare; // due dates and what keeps a surface well
pub mod air; // dew point, what lies outside a sheet's limits
pub mod calendar; // due dates for the owner's calendar
pub mod clocks; // open sections: due, overdue, late
pub mod cloth; // zones of cloths and pads
pub mod cloths; // the cloths and pads of a job as they are on record
pub mod contamination; // what a feel test calls for
pub mod correction; // machine polishing: test square, floor, removal
pub mod cure; // the five clocks after a layer
pub mod facts; // what a plan takes from the rest of the record
pub mod findings; // a job as it is on record, as care decides from it
pub mod offered; // what is offered to say of surfaces, work and squares
pub mod past; // a paint's life across jobs
pub mod plan; // the steps of a visit in order
pub mod recorded; // the work as it is on record
pub mod schedule; // who applies and levels what when
pub mod scheduled; // a schedule made from what is on record
pub mod scheduled_told; // what is shown of it beside what was done
pub mod sheet; // product sheets
pub mod spots; // what a missed spot's age allows
pub mod surface; // what a surface refuses
pub mod told; // what is shown of the work
pub mod words; // the closed lists of care

#[cfg(test)]
mod tests;
