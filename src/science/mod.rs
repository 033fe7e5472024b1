//! Pure formulas with their sources, one file a topic. Knows nothing of records, files or pages.
//!
//! A function here takes typed quantities, or plain numbers with the unit in the argument's name; names its source by
//! a key of `sources`; states the range in which the source holds; and refuses with `OutOfRange` outside it: a page
//! prints why a figure is missing, never a guess.

/// The one bibliography.
pub mod sources;

/// Ranges of validity and the refusal outside them.
pub(crate) mod range;

/// How far one value stands out among others.
pub mod rank;
pub use range::{OutOfRange, within};

/// The normal distribution, as far as trends and intervals need it.
pub mod normal;

/// Trends in a series of readings that last: rank tests, median slopes.
pub mod trend;

/// What readings can tell apart.
pub mod detection;

/// How far chance moves a count of things that divide.
pub mod births;

/// A smooth line through readings.
pub mod lowess;

/// Roots and polynomials.
mod root;

/// Partial derivatives of a formula that is only known as a function.
pub(crate) mod slope;

/// Density, specific gravity and hydrometers.
pub mod density;

/// Salinity and conductivity.
pub mod salinity;

/// A day's course as points joined by straight lines.
mod day_curve;

/// Light for photosynthesis.
pub mod light;

/// Electricity.
pub mod power;

/// What a tank holds and weighs.
pub mod structure;

/// Pumps.
pub mod flow;

/// Chemical formulas and their molar masses.
pub mod formula;

/// Substances by the names on their tubs.
pub mod compounds;

/// Doses, alkalinity and nutrient units.
pub mod stoichiometry;

/// Water changes in a row and without pause.
pub mod water_changes;

/// Salt for mixing, and salinity put right.
pub mod salt;

/// Masses for a wanted rise.
pub mod stock;

/// Panes under water.
pub mod plate;

/// Evaporation from top-offs, and water changes.
pub mod water_balance;

/// Holding and correcting a value.
pub mod dosing;

/// Weighted least squares with limits.
pub mod least_squares;

/// What a tank takes up between readings.
pub mod mass_balance;

/// Refractive index of seawater.
pub mod refraction;

/// Oxygen at saturation.
pub mod oxygen;

/// The scales of pH.
pub mod ph_scale;

/// Un-ionised ammonia.
pub mod ammonia;

/// The carbonate system.
pub mod carbonate;

/// Heat of water and of tanks.
pub mod heat;

/// Moist air and evaporation.
pub mod moist_air;

/// The balance of heat of a tank.
pub mod tank_heat;

/// Viscosity, friction and pipes.
pub mod pipes;

/// Fittings, operating points, overflows and what drains back.
pub mod plumbing;

/// A map of light from readings.
pub mod light_map;

/// A lamp's level and its light, and steps between lights.
pub mod dimming;

/// The colour of a light.
pub mod colour;

/// The standard observer.
mod observer;

/// Tables of published spectra.
mod spectra;

/// Lights of the standard.
mod standard_lights;

/// Photons, lumens, and light through water.
pub mod photons;
