//! Quantities: dimension-safe types, parsing of what a person writes, and display in metric or US units.

mod types;

pub use types::*;
