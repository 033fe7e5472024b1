//! Quantities: dimension-safe types, parsing of what a person writes, and display in metric or US units.

mod catalogue;
mod lookup;
mod money;
mod number;
mod parse;
mod parse_several;
pub mod pattern;
mod shift;
mod show;
mod span;
mod species;
pub mod types;

pub use catalogue::Unit;
pub use lookup::unit_named;
pub use parse::{Bound, Problem, Quantity, parse, parse_bounded, parse_percent, to_canonical_ion, usual_unit};
pub use parse_several::{parse_duration, parse_lengths, parse_range};
pub use shift::Shift;
pub use show::{System, round_sig, show, show_money, show_tariff, show_with_uncertainty, unit_shown};
pub use span::{CalendarSpan, parse_calendar_span};
pub use species::Species;
pub use types::*;

/// What a quantity measures. Each has one canonical unit, in which [`Quantity::value`] is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// L
    Volume,
    /// L/h
    VolumeRate,
    /// cm
    Length,
    /// cm²
    Area,
    /// g
    Mass,
    /// W
    Power,
    /// kWh
    Energy,
    /// V
    Voltage,
    /// A
    Current,
    /// °C
    Temperature,
    /// °C
    TemperatureDifference,
    /// µmol/m²/s
    PhotonFlux,
    /// mol/m²/d
    DailyLight,
    /// lx
    Illuminance,
    /// lm
    LuminousFlux,
    /// h
    Duration,
    /// dKH
    Alkalinity,
    /// mg/L of the species written
    Concentration,
    /// practical salinity
    Salinity,
    /// ratio to pure water; the reference temperature is the instrument's
    SpecificGravity,
    /// mS/cm
    Conductivity,
    /// pH
    Acidity,
    /// 0 to 1
    Fraction,
    /// cm/s
    Speed,
    /// per kWh; the currency is in [`Quantity::currency`]
    Tariff,
    /// the currency is in [`Quantity::currency`]
    Money,
    /// a bare number
    Count,
}

impl Dimension {
    /// In plain words, for a sentence: "a volume".
    pub fn name(self) -> &'static str {
        match self {
            Dimension::Volume => "a volume",
            Dimension::VolumeRate => "a flow (L/h)",
            Dimension::Length => "a length",
            Dimension::Area => "an area",
            Dimension::Mass => "a mass",
            Dimension::Power => "a power",
            Dimension::Energy => "an energy",
            Dimension::Voltage => "a voltage",
            Dimension::Current => "an electric current",
            Dimension::Temperature => "a temperature",
            Dimension::TemperatureDifference => "a temperature difference",
            Dimension::PhotonFlux => "light (µmol/m²/s)",
            Dimension::DailyLight => "the light of a day (mol/m²/d)",
            Dimension::Illuminance => "an illuminance (lx)",
            Dimension::LuminousFlux => "a luminous flux (lm)",
            Dimension::Duration => "a length of time",
            Dimension::Alkalinity => "an alkalinity",
            Dimension::Concentration => "a concentration",
            Dimension::Salinity => "a salinity",
            Dimension::SpecificGravity => "a specific gravity",
            Dimension::Conductivity => "a conductivity",
            Dimension::Acidity => "a pH",
            Dimension::Fraction => "a percentage",
            Dimension::Speed => "a speed",
            Dimension::Tariff => "a price of energy",
            Dimension::Money => "an amount of money",
            Dimension::Count => "a count",
        }
    }
}
