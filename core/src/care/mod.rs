//! Care: what time and weather ask of the work. Pure: no clock is read here, all times are handed in.

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
