//! Reports: a job's view becomes a document, the document becomes files. Pure; `store` hands in photos and writes
//! what comes out.

mod assemble;
pub mod bundle;
mod check;
mod drawing;
mod html;
mod label;
mod light;
mod parts;
mod receipt;
mod sentences;
mod statement;
#[cfg(test)]
mod tests;
mod timeline;
mod treat;
mod visit;
mod work;

pub use assemble::{About, Document, Picture, assemble};
pub use check::checked;
pub use html::html;
pub use statement::statement;
