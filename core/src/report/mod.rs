//! Reports: a job's view becomes a document, the document becomes files. Pure; `store` hands in photos and writes
//! what comes out.

mod assemble;
pub mod bundle;
mod drawing;
mod html;
mod label;
mod light;
mod parts;
mod receipt;
mod sentences;
#[cfg(test)]
mod tests;
mod treat;
mod visit;
mod work;

pub use assemble::{About, Document, Picture, assemble};
pub use html::html;
