//! What a keeper reads: the water parameters and those of the room, with their units and their physical limits.

use crate::units::{Dimension, Shift, Species, System};

/// A quantity that is read with a kit or a sensor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Parameter {
    Temperature,
    Salinity,
    Alkalinity,
    Calcium,
    Magnesium,
    Potassium,
    Nitrate,
    Nitrite,
    Phosphate,
    Ammonia,
    Ph,
    Iron,
    Silicate,
    Tds,
    Oxygen,
    RoomTemperature,
    RoomHumidity,
}

use Parameter::*;

impl Parameter {
    pub const ALL: [Parameter; 17] = [
        Temperature,
        Salinity,
        Alkalinity,
        Calcium,
        Magnesium,
        Potassium,
        Nitrate,
        Nitrite,
        Phosphate,
        Ammonia,
        Ph,
        Iron,
        Silicate,
        Tds,
        Oxygen,
        RoomTemperature,
        RoomHumidity,
    ];

    /// The key in the record, and the stem of the page.
    pub fn key(self) -> &'static str {
        match self {
            Temperature => "temperature",
            Salinity => "salinity",
            Alkalinity => "alkalinity",
            Calcium => "calcium",
            Magnesium => "magnesium",
            Potassium => "potassium",
            Nitrate => "nitrate",
            Nitrite => "nitrite",
            Phosphate => "phosphate",
            Ammonia => "ammonia",
            Ph => "ph",
            Iron => "iron",
            Silicate => "silicate",
            Tds => "tds",
            Oxygen => "oxygen",
            RoomTemperature => "room-temperature",
            RoomHumidity => "room-humidity",
        }
    }

    /// The name on a page.
    pub fn shown(self) -> &'static str {
        match self {
            Temperature => "Temperature",
            Salinity => "Salinity",
            Alkalinity => "Alkalinity",
            Calcium => "Calcium",
            Magnesium => "Magnesium",
            Potassium => "Potassium",
            Nitrate => "Nitrate",
            Nitrite => "Nitrite",
            Phosphate => "Phosphate",
            Ammonia => "Ammonia, total",
            Ph => "pH",
            Iron => "Iron",
            Silicate => "Silicate",
            Tds => "Dissolved solids of the top-off water",
            Oxygen => "Oxygen",
            RoomTemperature => "Room temperature",
            RoomHumidity => "Room humidity",
        }
    }

    pub fn from_key(key: &str) -> Option<Parameter> {
        Parameter::ALL.into_iter().find(|parameter| parameter.key() == key)
    }

    /// What units a reading may be written in.
    pub fn dimensions(self) -> &'static [Dimension] {
        match self {
            Temperature | RoomTemperature => &[Dimension::Temperature],
            Salinity => &[Dimension::Salinity, Dimension::SpecificGravity, Dimension::Conductivity],
            Alkalinity => &[Dimension::Alkalinity],
            Ph => &[Dimension::Acidity],
            RoomHumidity => &[Dimension::Fraction],
            _ => &[Dimension::Concentration],
        }
    }

    /// The dimension in which readings are kept and drawn.
    pub fn dimension(self) -> Dimension {
        self.dimensions()[0]
    }

    /// The ion in which concentrations are kept and drawn.
    pub fn species(self) -> Option<Species> {
        match self {
            Nitrate => Some(Species::Nitrate),
            Nitrite => Some(Species::Nitrite),
            Phosphate => Some(Species::Phosphate),
            Ammonia => Some(Species::Ammonia),
            _ => None,
        }
    }

    /// Whether `mg/L` alone would leave open which form is meant (NO3 or NO3-N, PO4 or P).
    pub fn has_several_forms(self) -> bool {
        matches!(self, Nitrate | Nitrite | Phosphate | Ammonia)
    }

    /// The unit in which values are kept, as shown on charts.
    pub fn unit(self) -> &'static str {
        match self {
            Temperature | RoomTemperature => "°C",
            Salinity => "ppt",
            Alkalinity => "dKH",
            Ph => "pH",
            RoomHumidity => "%",
            Nitrate => "mg/L NO₃",
            Nitrite => "mg/L NO₂",
            Phosphate => "mg/L PO₄",
            Ammonia => "mg/L NH₃",
            _ => "mg/L",
        }
    }

    /// The unit of a difference of two values: that of temperatures has no zero to shift.
    pub fn difference_unit(self) -> &'static str {
        match self {
            Temperature | RoomTemperature => "°C of difference",
            _ => self.unit(),
        }
    }

    /// What a kept value is multiplied by to stand in [`Parameter::unit`]: shares are shown in percent.
    pub fn shown_factor(self) -> f64 {
        if self == RoomHumidity { 100.0 } else { 1.0 }
    }

    /// How kept values are shown: shares in percent, temperatures in the degrees of the system, water chemistry as kept.
    pub fn shift(self, system: System) -> Shift {
        if self == RoomHumidity { Shift::by(self.unit(), self.shown_factor()) } else { system.of(self.unit()) }
    }

    /// Digits after the decimal point that a home reading deserves.
    pub fn decimals(self) -> u8 {
        match self {
            Temperature | Salinity | Alkalinity | Nitrate | Oxygen | RoomTemperature | Silicate => 1,
            Ph | Phosphate | Ammonia | Nitrite => 2,
            Iron => 3,
            _ => 0,
        }
    }

    /// Outside these limits a reading of a living tank is a slip of the pen. Judgement, no source: wide on purpose.
    pub fn physical_range(self) -> (f64, f64) {
        match self {
            Temperature => (-2.0, 45.0),
            RoomTemperature => (-20.0, 55.0),
            Salinity => (0.0, 60.0),
            Alkalinity => (0.0, 40.0),
            Calcium => (0.0, 1500.0),
            Magnesium => (0.0, 4000.0),
            Potassium => (0.0, 1500.0),
            Nitrate => (0.0, 1000.0),
            Nitrite => (0.0, 100.0),
            Phosphate => (0.0, 50.0),
            Ammonia => (0.0, 50.0),
            Ph => (4.0, 12.0),
            Iron => (0.0, 20.0),
            Silicate => (0.0, 100.0),
            Tds => (0.0, 5000.0),
            Oxygen => (0.0, 30.0),
            RoomHumidity => (0.0, 1.0),
        }
    }

    /// Values that swing through the day, so that the hour of the reading matters.
    pub fn swings_daily(self) -> bool {
        matches!(self, Temperature | Ph | Alkalinity | Oxygen)
    }

    /// Whether it is a parameter of the tank's water (and not of the room).
    pub fn is_of_the_water(self) -> bool {
        !matches!(self, RoomTemperature | RoomHumidity)
    }
}
