//! The formulas of `science`, each with a name, its inputs and outputs, so that a person can work one out by hand or
//! over a table. Uses `units` and `science` and knows nothing of records.

use std::fmt;

use crate::science::OutOfRange;
use crate::science::formula::NotAFormula;
use crate::science::stoichiometry::DoseError;
use crate::science::trend::TooFew;

mod catalogue;
mod explain;
mod given;
mod reading;
mod spread;
mod table;

pub use catalogue::{all, find, names};
pub use explain::{explanation, list, result};
pub use given::{Given, Item, Value};
pub use reading::{Reading, Unreadable, read};
pub use spread::{Outcome, Typed, work_out};
pub use table::{Failure, Summary, over_table};

/// What an input may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Number,
    /// Several numbers; in a table of the whole, a column of them.
    List,
    /// A compound, an ion, a unit or a light.
    Word,
}

/// One input of a formula.
#[derive(Debug, Clone, Copy)]
pub struct Input {
    /// Its name on the command line and in the header of a table.
    pub key: &'static str,
    pub kind: Kind,
    /// The unit of a bare number; empty for a pure number. See [`SHARE`].
    pub unit: &'static str,
    pub meaning: &'static str,
    /// What stands in where nothing is given; it is then said to be assumed.
    pub default: Option<&'static str>,
    /// A sensible value, for the example that explains the formula.
    pub example: &'static str,
}

/// The unit of a share of the whole, which may also be written in percent.
pub const SHARE: &str = "0 to 1";

impl Input {
    const fn new(
        kind: Kind,
        key: &'static str,
        unit: &'static str,
        example: &'static str,
        meaning: &'static str,
    ) -> Self {
        Input { key, kind, unit, meaning, default: None, example }
    }

    /// The same input with a value that stands in where nothing is given.
    const fn or(self, default: &'static str) -> Self {
        Input { default: Some(default), ..self }
    }
}

/// A number that is asked for.
const fn number(key: &'static str, unit: &'static str, example: &'static str, meaning: &'static str) -> Input {
    Input::new(Kind::Number, key, unit, example, meaning)
}

/// Several numbers that are asked for.
const fn numbers(key: &'static str, unit: &'static str, example: &'static str, meaning: &'static str) -> Input {
    Input::new(Kind::List, key, unit, example, meaning)
}

/// A word that is asked for.
const fn word(key: &'static str, example: &'static str, meaning: &'static str) -> Input {
    Input::new(Kind::Word, key, "", example, meaning)
}

/// One output of a formula.
#[derive(Debug, Clone, Copy)]
pub struct Output {
    pub key: &'static str,
    pub unit: &'static str,
    pub meaning: &'static str,
}

const fn output(key: &'static str, unit: &'static str, meaning: &'static str) -> Output {
    Output { key, unit, meaning }
}

/// The outputs in their order; None where the formula has none for these inputs.
pub type Outputs = Vec<Option<f64>>;

/// How a formula is worked out, and what a table is to it.
#[derive(Clone, Copy)]
pub enum Work {
    /// Each row of a table by itself.
    Row(fn(&Given) -> Result<Outputs, Refusal>),
    /// A table is one set of data and gives one row.
    Whole(fn(&Given) -> Result<Outputs, Refusal>),
    /// A table is one set of data and gives as many rows as it has.
    Series(fn(&Given) -> Result<Vec<Outputs>, Refusal>),
}

/// A formula as the command line offers it.
#[derive(Clone, Copy)]
pub struct Formula {
    pub name: &'static str,
    /// What it does, in one line.
    pub about: &'static str,
    pub inputs: &'static [Input],
    pub outputs: &'static [Output],
    /// Where it holds, in words, and how far it is to be trusted.
    pub valid: &'static str,
    /// Keys of [`crate::science::sources`].
    pub sources: &'static [&'static str],
    pub work: Work,
}

impl Formula {
    pub fn input(&self, key: &str) -> Option<&'static Input> {
        self.inputs.iter().find(|input| input.key == key)
    }
}

/// Why a formula gives no result for these inputs, in plain words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal(pub String);

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Refusal {}

macro_rules! refusal_from {
    ($($why:ty)+) => {$(
        impl From<$why> for Refusal {
            fn from(why: $why) -> Self {
                Refusal(why.to_string())
            }
        }
    )+};
}

refusal_from! { OutOfRange NotAFormula DoseError TooFew }

/// Works a formula out. Every number among the outputs is finite.
///
/// # Errors
/// Out of the formula's range; or a result too large to be written as a number.
pub fn evaluate(formula: &Formula, values: &[Value]) -> Result<Vec<Outputs>, Refusal> {
    let given = Given::new(formula, values);
    let rows = match formula.work {
        Work::Row(work) | Work::Whole(work) => vec![work(&given)?],
        Work::Series(work) => work(&given)?,
    };
    for row in &rows {
        debug_assert_eq!(row.len(), formula.outputs.len(), "{}", formula.name);
        for (output, value) in formula.outputs.iter().zip(row) {
            if value.is_some_and(|value| !value.is_finite()) {
                return Err(Refusal(format!("{} is beyond any number for these inputs", output.key)));
            }
        }
    }
    Ok(rows)
}
