//! Exchange with the crew's other phones. IO. What another phone hands over is looked through before any of it is
//! taken in, and its own store is never changed.

mod join;

pub use join::{Joined, join};
