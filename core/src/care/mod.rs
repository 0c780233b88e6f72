//! Care: what time and weather ask of the work. Pure: no clock is read here, all times are handed in.

pub mod air; // dew point, what lies outside a sheet's limits
pub mod calendar; // due dates for the owner's calendar
pub mod clocks; // open sections: due, overdue, late
pub mod cure; // the five clocks after a layer
pub mod schedule; // who applies and levels what when

#[cfg(test)]
mod tests;
pub mod air;
pub mod schedule;
//! Care of the surfaces: what a product's sheet says, what a surface refuses, what a finding asks for next, and what
//! follows from it later. Pure.
//!
//! A number of the trade that has no source is marked "common practice, no source"; a product's own sheet replaces it.

pub mod aftercare;
pub mod cloth;
pub mod contamination;
pub mod correction;
pub mod plan;
pub mod sheet;
pub mod spots;
pub mod surface;
pub mod words;
