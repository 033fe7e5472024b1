//! Anything used up: test kits, dosing stocks, food, salt, media, chemicals.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::{
    Parameter, YesNo,
    equipment::words,
    sitter::{Left, Spoon},
    timeline::Located,
};
use crate::diagnostic::Place;
use crate::units::Quantity;

#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    pub key: String,
    pub name: Located<String>,
    pub kind: Located<SupplyKind>,
    pub measures: Option<Located<Parameter>>,
    pub method: Option<Located<KitMethod>>,
    pub resolution: Option<Located<f64>>,
    pub uncertainty: Option<Located<KitUncertainty>>,
    pub detection_limit: Option<Located<f64>>,
    /// Reference temperatures of a hydrometer scale.
    pub reference: Option<Located<String>>,
    /// Sorted by `since`.
    pub lots: Vec<Lot>,
    /// Grams of an ion per litre of stock (alkalinity: meq per litre).
    pub strength: BTreeMap<Parameter, Located<Quantity>>,
    /// What the keeper found a dose to do: `1 mL raises 100 L by 0.1 dKH`.
    pub raises: BTreeMap<Parameter, Located<Raise>>,
    /// What a stock was mixed from.
    pub made_of: Option<MadeOf>,
    pub nitrogen: Option<Located<f64>>,
    pub phosphorus: Option<Located<f64>>,
    pub substance: Option<Located<String>>,
    pub form: Option<String>,
    pub where_kept: Option<Located<String>>,
    pub locked: Option<Located<YesNo>>,
    pub in_original_container: Option<Located<YesNo>>,
    pub opened: Option<Located<Date>>,
    pub expires: Option<Located<Date>>,
    pub until: Option<Located<Date>>,
    pub bottle: Option<Located<Quantity>>,
    /// How much was left of it on a day.
    pub left: Option<Left>,
    /// What a food is measured with.
    pub spoon: Option<Spoon>,
    pub note: Option<String>,
    pub place: Place,
}

words! {
    SupplyKind { Kit = "kit", Stock = "stock", Food = "food", Salt = "salt", Medium = "medium", Chemical = "chemical" }
}

words! {
    /// How a kit reads.
    KitMethod {
        ColourCard = "colour-card",
        DropCount = "drop-count",
        Titration = "titration",
        Photometer = "photometer",
        Electrode = "electrode",
        Colour = "colour",
        Refractometer = "refractometer",
        Hydrometer = "hydrometer",
        SwingArm = "swing-arm",
        Conductivity = "conductivity",
        Thermometer = "thermometer",
        Laboratory = "laboratory",
        QuantumSensor = "quantum-sensor",
    }
}

/// A standard uncertainty: a share of the value plus a constant, in the parameter's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KitUncertainty {
    pub share: f64,
    pub constant: f64,
}

impl KitUncertainty {
    pub fn at(self, value: f64) -> f64 {
        self.share * value.abs() + self.constant
    }
}

/// So much of a stock raises so much water by so much, in the parameter's own unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Raise {
    pub dose: Quantity,
    pub litres: f64,
    pub by: f64,
}

/// So much of a substance in so much stock.
#[derive(Clone, Debug, PartialEq)]
pub struct MadeOf {
    pub substance: Located<String>,
    pub mass: Located<Quantity>,
    pub volume: Located<Quantity>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    pub lot: String,
    pub since: Date,
    pub expires: Option<Date>,
    pub place: Place,
}

impl Supply {
    /// The lot in use on a date.
    pub fn lot_on(&self, date: Date) -> Option<&Lot> {
        self.lots.iter().rev().find(|lot| lot.since <= date)
    }
}
