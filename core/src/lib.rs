//! Sidelong's core: the notebook of a mobile car detailer. What a car was like, what was done to it, and what can be
//! proved of both, offline.
//!
//! One way through for everything that is recorded: a screen hands an input to [`api`]; [`decide`] turns it, with the
//! job's state so far, into events or a refusal; [`store`] appends them to this phone's signed log; the screen gets
//! back what changed. A job's state is folded from its events when it is opened.
//!
//! Modules in the order in which data flows; each imports only from those before it (a test holds this):

uniffi::setup_scaffolding!();

pub mod api; // the door
pub mod care; // pure: product sheets, refusals, the next step, plan, schedule, clocks, aftercare
pub mod decide; // pure: one file per verb
pub mod error; // the public error
pub mod light; // pure: what a look could have shown, what has been seen, where to look next
pub mod log; // pure: canonical bytes, Merkle tree, signed heads, branches, proofs, the verifier of bundles
pub mod photo; // pure: bytes in, facts or smaller pictures out
pub mod record; // pure: words, inputs, events, fold, views
pub mod report; // pure: assemble, document, files
pub mod share; // IO: exchange with other phones
pub mod store; // IO: SQLite, photos as files
pub mod vehicle; // pure: body forms, panels, panel map, words of the UK and the US (of record it knows the words only)
