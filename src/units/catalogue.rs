//! Every unit a person may write, with what it is worth in the canonical unit of its dimension.
//!
//! Factors are exact by definition (BIPM, SI brochure, 9th edition; NIST SP 811, appendix B.8, for the units of the
//! United States and of Britain) unless a line says otherwise.

use super::Dimension::{self, *};
use super::System;
use super::species::{MEQ_PER_DKH, MG_CACO3_PER_DKH, Species};

/// A unit: what it is called and what it measures.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// All the ways to write it; further spellings (µ or u, ² or 2) are folded before the search.
    pub names: &'static [&'static str],
    /// As shown.
    pub symbol: &'static str,
    pub dimension: Dimension,
    // Canonical value = (number + offset) · factor / divisor: two numbers, since 1/10 has no exact binary form.
    factor: f64,
    divisor: f64,
    offset: f64,
    pub species: Option<Species>,
}

impl Unit {
    /// A number in this unit, in the canonical unit of the dimension.
    pub fn to_canonical(&self, typed: f64) -> f64 {
        (typed + self.offset) * self.factor / self.divisor
    }

    /// The way back.
    pub fn from_canonical(&self, canonical: f64) -> f64 {
        canonical * self.divisor / self.factor - self.offset
    }

    /// The system it belongs to; none where both use it, as for millilitres, light, power and water chemistry.
    pub fn system(&self) -> Option<System> {
        match self.symbol {
            "gal" | "UK gal" | "qt" | "pint" | "cup" | "fl oz" | "tbsp" | "tsp" | "gph" | "gpm" | "gal/d" | "in"
            | "ft" | "in²" | "ft²" | "lb" | "oz" | "°F" | "in/s" | "ft/s" => Some(System::Us),
            "mL" | "µL" | "mL/h" | "mL/min" | "mL/d" | "mg" | "µg" => None,
            _ => match self.dimension {
                Volume | VolumeRate | Length | Area | Mass | Temperature | TemperatureDifference | Speed => {
                    Some(System::Metric)
                }
                _ => None,
            },
        }
    }

    /// A difference in this unit, in the canonical unit: without the offset of a temperature scale.
    pub fn difference_to_canonical(&self, typed: f64) -> f64 {
        typed * self.factor / self.divisor
    }
}

const fn unit(dimension: Dimension, factor: f64, symbol: &'static str, names: &'static [&'static str]) -> Unit {
    Unit { names, symbol, dimension, factor, divisor: 1.0, offset: 0.0, species: None }
}

/// One of which many make the canonical unit.
const fn part(dimension: Dimension, divisor: f64, symbol: &'static str, names: &'static [&'static str]) -> Unit {
    Unit { names, symbol, dimension, factor: 1.0, divisor, offset: 0.0, species: None }
}

const fn shifted(divisor: f64, offset: f64, symbol: &'static str, names: &'static [&'static str]) -> Unit {
    Unit { names, symbol, dimension: Temperature, factor: 1.0, divisor, offset, species: None }
}

const GALLON: f64 = 3.785411784;
const IMPERIAL_GALLON: f64 = 4.54609;
const POUND: f64 = 453.59237;

const CELSIUS: &[&str] = &["°C", "C", "degC", "deg C", "degree C", "degrees C", "celsius", "degrees celsius", "° C"];
const FAHRENHEIT: &[&str] =
    &["°F", "F", "degF", "deg F", "degree F", "degrees F", "fahrenheit", "degrees fahrenheit", "° F"];
const KELVIN: &[&str] = &["K", "kelvin"];

/// Where a name stands for two units, the first is meant unless the other's dimension is wanted.
pub(super) static UNITS: &[Unit] = &[
    unit(Volume, 1.0, "L", &["L", "l", "litre", "litres", "liter", "liters", "ltr"]),
    part(Volume, 1e3, "mL", &["mL", "ml", "millilitre", "millilitres", "milliliter", "milliliters", "cc", "cm3"]),
    part(Volume, 1e6, "µL", &["µL", "µl"]),
    unit(Volume, 1e3, "m³", &["m3"]),
    // A gallon without more is the US gallon; the British one must be named.
    unit(Volume, GALLON, "gal", &["gal", "gals", "gallon", "gallons", "US gal", "US gallon", "US gallons"]),
    unit(
        Volume,
        IMPERIAL_GALLON,
        "UK gal",
        &["UK gal", "UK gallon", "UK gallons", "imp gal", "imperial gal", "imperial gallon", "imperial gallons"],
    ),
    unit(Volume, GALLON / 4.0, "qt", &["qt", "quart", "quarts"]),
    unit(Volume, GALLON / 8.0, "pint", &["pint", "pints"]),
    unit(Volume, GALLON / 16.0, "cup", &["cup", "cups"]),
    unit(
        Volume,
        GALLON / 128.0,
        "fl oz",
        &["fl oz", "floz", "fl.oz", "fl. oz", "fluid ounce", "fluid ounces", "US fl oz"],
    ),
    unit(Volume, GALLON / 256.0, "tbsp", &["tbsp", "tablespoon", "tablespoons"]),
    unit(Volume, GALLON / 768.0, "tsp", &["tsp", "teaspoon", "teaspoons"]),
    unit(VolumeRate, 1.0, "L/h", &["L/h", "l/h", "lph", "L/hr", "L/hour", "litres/h", "litres/hour", "liters/hour"]),
    unit(VolumeRate, 60.0, "L/min", &["L/min", "l/min", "lpm", "L/minute", "litres/minute", "liters/minute"]),
    part(VolumeRate, 24.0, "L/d", &["L/d", "L/day", "litres/day", "liters/day"]),
    part(VolumeRate, 1e3, "mL/h", &["mL/h", "mL/hr", "mL/hour"]),
    unit(VolumeRate, 0.06, "mL/min", &["mL/min", "mL/minute"]),
    part(VolumeRate, 24e3, "mL/d", &["mL/d", "mL/day"]),
    unit(VolumeRate, 1e3, "m³/h", &["m3/h", "m3/hr", "m3/hour"]),
    unit(VolumeRate, GALLON, "gph", &["gph", "gal/h", "gal/hr", "gal/hour", "gallons/hour", "US gph"]),
    unit(VolumeRate, 60.0 * GALLON, "gpm", &["gpm", "gal/min", "gallons/minute"]),
    unit(VolumeRate, GALLON / 24.0, "gal/d", &["gal/d", "gal/day", "gpd", "gallons/day"]),
    unit(Length, 1.0, "cm", &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    part(Length, 10.0, "mm", &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    unit(Length, 100.0, "m", &["m", "metre", "metres", "meter", "meters"]),
    unit(Length, 2.54, "in", &["in", "inch", "inches", "\"", "''"]),
    unit(Length, 30.48, "ft", &["ft", "foot", "feet", "'"]),
    unit(Area, 1.0, "cm²", &["cm2", "sq cm"]),
    part(Area, 100.0, "mm²", &["mm2", "sq mm"]),
    unit(Area, 1e4, "m²", &["m2", "sq m"]),
    unit(Area, 2.54 * 2.54, "in²", &["in2", "sq in"]),
    unit(Area, 30.48 * 30.48, "ft²", &["ft2", "sq ft"]),
    unit(Mass, 1.0, "g", &["g", "gram", "grams", "gramme", "grammes"]),
    part(Mass, 1e3, "mg", &["mg", "milligram", "milligrams"]),
    part(Mass, 1e6, "µg", &["µg", "microgram", "micrograms"]),
    unit(Mass, 1e3, "kg", &["kg", "kilogram", "kilograms", "kilo", "kilos"]),
    unit(Mass, POUND, "lb", &["lb", "lbs", "pound", "pounds"]),
    unit(Mass, POUND / 16.0, "oz", &["oz", "ounce", "ounces"]),
    unit(Power, 1.0, "W", &["W", "watt", "watts"]),
    part(Power, 1e3, "mW", &["mW", "milliwatt", "milliwatts"]),
    unit(Power, 1e3, "kW", &["kW", "kilowatt", "kilowatts"]),
    unit(Energy, 1.0, "kWh", &["kWh", "kW h", "kilowatt hour", "kilowatt hours", "kilowatt-hours"]),
    part(Energy, 1e3, "Wh", &["Wh", "W h", "watt hour", "watt hours", "watt-hours"]),
    unit(Voltage, 1.0, "V", &["V", "volt", "volts", "VAC", "VDC"]),
    part(Voltage, 1e3, "mV", &["mV", "millivolt", "millivolts"]),
    unit(Current, 1.0, "A", &["A", "amp", "amps", "ampere", "amperes"]),
    part(Current, 1e3, "mA", &["mA", "milliamp", "milliamps"]),
    shifted(1.0, 0.0, "°C", CELSIUS),
    shifted(1.8, -32.0, "°F", FAHRENHEIT),
    shifted(1.0, -273.15, "K", KELVIN),
    unit(TemperatureDifference, 1.0, "°C", CELSIUS),
    part(TemperatureDifference, 1.8, "°F", FAHRENHEIT),
    unit(TemperatureDifference, 1.0, "K", KELVIN),
    // PAR names the waveband and PPFD the quantity; both are said for the unit (common practice, no source).
    unit(
        PhotonFlux,
        1.0,
        "µmol/m²/s",
        &["µmol/m2/s", "µmol/m2s", "µmol/m2/sec", "µmol/m2/second", "µmol/s/m2", "µmol/m2 s", "PPFD", "PAR"],
    ),
    unit(DailyLight, 1.0, "mol/m²/d", &["mol/m2/d", "mol/m2/day", "mol/m2d", "mol/d/m2", "mol/m2 d", "DLI"]),
    unit(Illuminance, 1.0, "lx", &["lx", "lux", "lm/m2"]),
    unit(Illuminance, 1e3, "klx", &["klx", "klux"]),
    part(Illuminance, 0.09290304, "fc", &["fc", "footcandle", "footcandles", "foot-candles", "lm/ft2"]),
    unit(LuminousFlux, 1.0, "lm", &["lm", "lumen", "lumens"]),
    unit(LuminousFlux, 1e3, "klm", &["klm"]),
    unit(Duration, 1.0, "h", &["h", "hr", "hrs", "hour", "hours"]),
    part(Duration, 60.0, "min", &["min", "mins", "minute", "minutes"]),
    part(Duration, 3600.0, "s", &["s", "sec", "secs", "second", "seconds"]),
    unit(Duration, 24.0, "d", &["d", "day", "days"]),
    unit(Duration, 168.0, "weeks", &["week", "weeks", "wk", "wks"]),
    // A month is the twelfth part of a year of 365.25 days.
    unit(Duration, 730.5, "months", &["month", "months"]),
    unit(Duration, 8766.0, "years", &["year", "years", "yr", "yrs"]),
    unit(Alkalinity, 1.0, "dKH", &["dKH", "°dKH", "° dKH", "KH", "°KH", "°dH", "dH", "degrees KH", "degrees dKH"]),
    part(Alkalinity, MEQ_PER_DKH, "meq/L", &["meq/L", "mval/L"]),
    calcium_carbonate(1.0, "mg/L CaCO₃"),
    calcium_carbonate(1e-3, "µg/L CaCO₃"),
    calcium_carbonate(1e3, "g/L CaCO₃"),
    calcium_carbonate(1.0, "ppm CaCO₃"),
    calcium_carbonate(1e-3, "ppb CaCO₃"),
    calcium_carbonate(Species::CalciumCarbonate.molar_mass() / 1e3, "µmol/L CaCO₃"),
    calcium_carbonate(Species::CalciumCarbonate.molar_mass(), "mmol/L CaCO₃"),
    unit(Concentration, 1.0, "mg/L", &["mg/L", "mg/l", "mg/litre", "mg/liter"]),
    part(Concentration, 1e3, "µg/L", &["µg/L", "µg/l", "µg/litre", "µg/liter"]),
    unit(Concentration, 1e3, "g/L", &["g/L", "g/l", "g/litre", "g/liter"]),
    // Parts per million by mass of a litre taken for a kilogram (common practice, no source).
    unit(Concentration, 1.0, "ppm", &["ppm"]),
    part(Concentration, 1e3, "ppb", &["ppb"]),
    // Reef keepers' instruments print the practical salinity with any of these (common practice, no source).
    unit(Salinity, 1.0, "ppt", &["ppt", "‰", "o/oo"]),
    unit(Salinity, 1.0, "PSU", &["PSU", "psu"]),
    unit(Salinity, 1.0, "g/kg", &["g/kg"]),
    unit(SpecificGravity, 1.0, "SG", &["SG", "sg", "s.g", "specific gravity"]),
    unit(Conductivity, 1.0, "mS/cm", &["mS/cm", "mS"]),
    part(Conductivity, 1e3, "µS/cm", &["µS/cm", "µS"]),
    unit(Conductivity, 10.0, "S/m", &["S/m"]),
    unit(Acidity, 1.0, "pH", &["pH"]),
    part(Fraction, 100.0, "%", &["%", "percent", "per cent", "% RH"]),
    unit(Speed, 1.0, "cm/s", &["cm/s", "cm/sec", "cm/second"]),
    unit(Speed, 100.0, "m/s", &["m/s", "m/sec", "m/second"]),
    part(Speed, 10.0, "mm/s", &["mm/s"]),
    unit(Speed, 2.54, "in/s", &["in/s", "in/sec", "inches/second"]),
    unit(Speed, 30.48, "ft/s", &["ft/s", "ft/sec", "feet/second"]),
];

const fn calcium_carbonate(mg_per_litre: f64, symbol: &'static str) -> Unit {
    // The value is kept in degrees of hardness, so the species has served its purpose and is not kept.
    unit(Alkalinity, mg_per_litre / MG_CACO3_PER_DKH, symbol, &[])
}

/// A price of energy; the currency stands in the quantity.
pub(super) static TARIFF: Unit = unit(Tariff, 1.0, "/kWh", &[]);

/// An amount of money; the currency stands in the quantity.
pub(super) static MONEY: Unit = unit(Money, 1.0, "", &[]);

/// Things counted: a bare number.
pub(super) static COUNT: Unit = unit(Count, 1.0, "", &[]);

/// The units of concentration that may be followed by a species; the last two mean nothing without one.
pub(super) const BEFORE_SPECIES: &[(&str, &[&str])] = &[
    ("mg/L", &["mg/L", "mg/litre", "mg/liter"]),
    ("µg/L", &["µg/L", "ug/L", "µg/litre", "µg/liter"]),
    ("g/L", &["g/L", "g/litre", "g/liter"]),
    ("ppm", &["ppm"]),
    ("ppb", &["ppb"]),
    ("µmol/L", &["µmol/L", "umol/L", "µM"]),
    ("mmol/L", &["mmol/L", "mM"]),
];

/// Writes the units of [`BEFORE_SPECIES`] for each species.
macro_rules! of_species {
    ($($species:ident $symbol:literal)+) => {
        /// Concentrations of a species.
        pub(super) static OF_SPECIES: &[Unit] = &[$(
            of(Species::$species, 1.0, 1.0, concat!("mg/L ", $symbol)),
            of(Species::$species, 1.0, 1e3, concat!("µg/L ", $symbol)),
            of(Species::$species, 1e3, 1.0, concat!("g/L ", $symbol)),
            of(Species::$species, 1.0, 1.0, concat!("ppm ", $symbol)),
            of(Species::$species, 1.0, 1e3, concat!("ppb ", $symbol)),
            of(Species::$species, Species::$species.molar_mass(), 1e3, concat!("µmol/L ", $symbol)),
            of(Species::$species, Species::$species.molar_mass(), 1.0, concat!("mmol/L ", $symbol)),
        )+];
    };
}

const fn of(species: Species, factor: f64, divisor: f64, symbol: &'static str) -> Unit {
    Unit { names: &[], symbol, dimension: Concentration, factor, divisor, offset: 0.0, species: Some(species) }
}

of_species! {
    Nitrate "NO₃"
    NitrateN "NO₃-N"
    Nitrite "NO₂"
    NitriteN "NO₂-N"
    Phosphate "PO₄"
    PhosphateP "PO₄-P"
    Ammonia "NH₃"
    AmmoniaN "NH₃-N"
    Ammonium "NH₄"
    Calcium "Ca"
    Magnesium "Mg"
    Potassium "K"
    Iron "Fe"
    Silicate "SiO₂"
    Silicon "Si"
    Strontium "Sr"
    Iodine "I"
}
