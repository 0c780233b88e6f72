//! The core as a library for other languages. Nothing is declared here: the core's own types and functions are
//! exported where they live.

sidelong_core::uniffi_reexport_scaffolding!();
