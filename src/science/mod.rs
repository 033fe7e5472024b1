//! Pure formulas with their sources, one file a topic. Knows nothing of records, files or pages.
//!
//! A function here takes plain numbers with the unit in the argument's name, names its source by a key of
//! [`sources`], states the range in which the source holds, and refuses with [`OutOfRange`] outside it: a page prints
//! why a figure is missing, never a guess.

/// The one bibliography.
pub mod sources;

/// Ranges of validity and the refusal outside them.
mod range;
pub use range::{OutOfRange, within};

/// The normal distribution, as far as trends and intervals need it.
pub mod normal;

/// Trends in a series of readings that last: rank tests, median slopes.
pub mod trend;

/// A smooth line through readings.
pub mod lowess;

/// Roots and polynomials.
mod root;

/// Density, specific gravity and hydrometers.
pub mod density;

/// Salinity and conductivity.
pub mod salinity;
