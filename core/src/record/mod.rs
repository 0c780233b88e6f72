//! What is recorded: the words, the inputs that people make, the events that are signed and kept, the state of a
//! job folded from its events, and the views that screens and reports read. There are no other records. Pure.

pub mod words;

pub mod events;
pub mod fleet;
pub mod fold;
pub mod inputs;
pub mod kept;
pub mod thickness;
pub mod times;
pub mod views;
pub mod vin;
