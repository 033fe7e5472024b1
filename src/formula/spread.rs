//! The uncertainty of a result from that of its inputs.

use super::{Formula, Input, Outputs, Reading, Refusal, Unreadable, Value, evaluate, read};
use crate::science::slope::slope;

/// An input as it goes into one evaluation.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    pub reading: Reading,
    /// The default stands in, since nothing was given.
    pub assumed: bool,
}

impl Typed {
    /// What was given for an input, or its default.
    pub fn of(input: &Input, given: Option<&str>) -> Result<Typed, Unreadable> {
        let given = given.map(str::trim).filter(|text| !text.is_empty());
        let text = given.or(input.default).unwrap_or_default();
        Ok(Typed { reading: read(input, text)?, assumed: given.is_none() })
    }
}

/// Results, and where an input carried an uncertainty, theirs.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    pub rows: Vec<Outputs>,
    /// One for each output of the single row; None without uncertain inputs, or where the output does not exist.
    pub uncertainties: Vec<Option<f64>>,
}

/// Works a formula out, with the uncertainty of each output.
///
/// u² = Σ (∂y/∂x · u(x))² over the uncertain inputs, taken as independent, to first order: JCGM 100:2008, equation 10.
/// The result's ± means what the inputs' ± means.
///
/// # Errors
/// As [`evaluate`]; and where a result has no slope at these inputs, because an uncertain one lies at the end of the
/// formula's range.
pub fn work_out(formula: &Formula, inputs: &[Typed]) -> Result<Outcome, Refusal> {
    let values: Vec<Value> = inputs.iter().map(|input| input.reading.value.clone()).collect();
    let rows = evaluate(formula, &values)?;
    let uncertain: Vec<(usize, f64)> = inputs
        .iter()
        .enumerate()
        .filter_map(|(place, input)| input.reading.uncertainty.filter(|u| *u > 0.0).map(|u| (place, u)))
        .collect();
    let mut uncertainties = vec![None; formula.outputs.len()];
    let numbers: Vec<f64> =
        values.iter().map(|value| if let Value::Number(number) = value { *number } else { 0.0 }).collect();
    for (output, uncertainty) in uncertainties.iter_mut().enumerate() {
        if uncertain.is_empty() || rows[0][output].is_none() {
            continue;
        }
        let mut sum = 0.0;
        for &(place, u) in &uncertain {
            let moved = |numbers: &[f64]| {
                let mut values = values.clone();
                values[place] = Value::Number(numbers[place]);
                let row = evaluate(formula, &values).ok().and_then(|mut rows| rows.pop());
                row.and_then(|row| row[output]).unwrap_or(f64::NAN)
            };
            sum += (slope(&moved, &numbers, place, u) * u).powi(2);
        }
        if !sum.is_finite() {
            let key = formula.outputs[output].key;
            return Err(Refusal(format!("the uncertainty of {key} cannot be worked out at the end of the range")));
        }
        *uncertainty = Some(sum.sqrt());
    }
    Ok(Outcome { rows, uncertainties })
}
