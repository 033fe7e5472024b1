//! The inputs of one evaluation, asked for by name.

use super::{Formula, Refusal};
use crate::units::{Density, Duration, Flow, Length, Mass, PhotonFlux, Power, PracticalSalinity, Temperature, Volume};

/// One number of a list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    pub number: f64,
    /// Known only to lie below the number: a reading below the limit of detection.
    pub below: bool,
}

/// What was given for an input.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    Number(f64),
    List(Vec<Item>),
    Word(String),
}

/// The values of a formula's inputs, in their order.
pub struct Given<'a> {
    formula: &'a Formula,
    values: &'a [Value],
}

/// Asking for a key that the formula does not list, or for another kind than it lists, is a mistake in the catalogue:
/// these panic, and a test works every formula out.
impl<'a> Given<'a> {
    pub(super) fn new(formula: &'a Formula, values: &'a [Value]) -> Self {
        assert_eq!(formula.inputs.len(), values.len(), "{} wants another number of inputs", formula.name);
        Given { formula, values }
    }

    fn value(&self, key: &str) -> &'a Value {
        let place = self.formula.inputs.iter().position(|input| input.key == key);
        &self.values[place.unwrap_or_else(|| panic!("{} lists no input {key}", self.formula.name))]
    }

    pub fn number(&self, key: &str) -> f64 {
        match self.value(key) {
            Value::Number(number) => *number,
            other => panic!("{key} is no number: {other:?}"),
        }
    }

    pub fn word(&self, key: &str) -> &'a str {
        match self.value(key) {
            Value::Word(word) => word,
            other => panic!("{key} is no word: {other:?}"),
        }
    }

    /// Numbers and whether each is only an upper limit.
    pub fn readings(&self, key: &str) -> (Vec<f64>, Vec<bool>) {
        match self.value(key) {
            Value::List(items) => items.iter().map(|item| (item.number, item.below)).unzip(),
            other => panic!("{key} is no list: {other:?}"),
        }
    }

    /// Numbers of which none may be an upper limit.
    pub fn list(&self, key: &str) -> Result<Vec<f64>, Refusal> {
        let (numbers, below) = self.readings(key);
        match below.contains(&true) {
            true => Err(Refusal(format!("{key} holds a value that is only an upper limit"))),
            false => Ok(numbers),
        }
    }

    /// Pairs from two lists.
    pub fn pairs(&self, first: &str, second: &str) -> Result<Vec<(f64, f64)>, Refusal> {
        let (a, b) = (self.list(first)?, self.list(second)?);
        match a.len() == b.len() {
            true => Ok(a.into_iter().zip(b).collect()),
            false => Err(Refusal(format!("{first} holds {} numbers and {second} {}", a.len(), b.len()))),
        }
    }

    pub fn salinity(&self, key: &str) -> PracticalSalinity {
        PracticalSalinity::new(self.number(key))
    }

    pub fn celsius(&self, key: &str) -> Temperature {
        Temperature::celsius(self.number(key))
    }

    pub fn litres(&self, key: &str) -> Volume {
        Volume::litres(self.number(key))
    }

    pub fn grams(&self, key: &str) -> Mass {
        Mass::grams(self.number(key))
    }

    pub fn kilograms(&self, key: &str) -> Mass {
        Mass::kilograms(self.number(key))
    }

    pub fn metres(&self, key: &str) -> Length {
        Length::metres(self.number(key))
    }

    pub fn millimetres(&self, key: &str) -> Length {
        Length::millimetres(self.number(key))
    }

    pub fn density(&self, key: &str) -> Density {
        Density::kg_per_m3(self.number(key))
    }

    pub fn watts(&self, key: &str) -> Power {
        Power::watts(self.number(key))
    }

    pub fn hours(&self, key: &str) -> Duration {
        Duration::hours(self.number(key))
    }

    pub fn litres_per_hour(&self, key: &str) -> Flow {
        Flow::litres_per_hour(self.number(key))
    }

    pub fn light(&self, key: &str) -> PhotonFlux {
        PhotonFlux::umol_per_m2_s(self.number(key))
    }
}

/// All outputs, when the formula has every one of them.
pub(super) fn all_of<const N: usize>(values: [f64; N]) -> Result<Vec<Option<f64>>, Refusal> {
    Ok(values.into_iter().map(Some).collect())
}
