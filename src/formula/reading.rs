//! From what a person typed for an input, or a cell of a table, to its value and uncertainty.

use std::fmt;

use super::given::{Item, Value};
use super::{Input, Kind, SHARE};
use crate::units::{Dimension, Problem, Quantity, Unit, parse, unit_named};

/// What was read for one input.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub value: Value,
    /// What stood behind `±`, in the input's unit.
    pub uncertainty: Option<f64>,
}

/// Why a text is no value of an input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unreadable {
    Empty,
    /// `NaN` or `inf`, which a program may have written: no measurement.
    NoNumber(String),
    /// Not understood, in plain words.
    Wrong(String),
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unreadable::Empty => f.write_str("nothing is given"),
            Unreadable::NoNumber(typed) => write!(f, "`{typed}` is no number that can be measured"),
            Unreadable::Wrong(why) => f.write_str(why),
        }
    }
}

/// Units of pressure, which no other part of the program needs: how many Pa each is.
const PRESSURES: &[(&str, f64)] = &[
    ("Pa", 1.0),
    ("hPa", 100.0),
    ("mbar", 100.0),
    ("kPa", 1000.0),
    ("bar", 1e5),
    ("atm", 101_325.0),
    ("mmHg", 133.322387415),
    ("inHg", 3386.388640341),
];

/// Reads what was typed for an input. A bare number is in the input's unit; any unit of the same dimension may follow;
/// `± u`, `+/- u` or digits in brackets (`1.0253(4)`) give the uncertainty.
pub fn read(input: &Input, typed: &str) -> Result<Reading, Unreadable> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Err(Unreadable::Empty);
    }
    let certain = |value| Reading { value, uncertainty: None };
    match input.kind {
        Kind::Word => Ok(certain(Value::Word(typed.to_string()))),
        Kind::List => {
            let parts = typed.split(|sign: char| sign == ';' || sign.is_whitespace()).filter(|part| !part.is_empty());
            let items: Result<Vec<Item>, Unreadable> = parts.map(|part| read_item(input, part)).collect();
            Ok(certain(Value::List(items?)))
        }
        Kind::Number => {
            let (number, uncertainty) = read_number(input.unit, typed)?;
            Ok(Reading { value: Value::Number(number), uncertainty })
        }
    }
}

/// One number of a list, or `<0.02` for a reading below the limit of detection.
pub(super) fn read_item(input: &Input, typed: &str) -> Result<Item, Unreadable> {
    let plain = typed.trim();
    let limit = plain.strip_prefix('<').or_else(|| plain.strip_prefix("below "));
    let (number, _) = read_number(input.unit, limit.unwrap_or(plain))?;
    Ok(Item { number, below: limit.is_some() })
}

fn read_number(unit: &str, typed: &str) -> Result<(f64, Option<f64>), Unreadable> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Err(Unreadable::Empty);
    }
    if let Ok(number) = typed.parse::<f64>() {
        return match number.is_finite() {
            true => Ok((number, None)),
            false => Err(Unreadable::NoNumber(typed.to_string())),
        };
    }
    let text = without_brackets(typed);
    // Salt is told in psu and a pH without a unit; the catalogue of units has a name for each dimension.
    let known = match unit {
        SHARE => unit_named("%").filter(|_| text.contains('%')),
        "" => None,
        _ => unit_named(unit),
    };
    match known {
        Some(known) => {
            let usual = if unit == SHARE { None } else { Some(known) };
            let quantity = parse(&text, &[known.dimension], usual).map_err(|problem| in_words(&problem, unit))?;
            let number = if unit == SHARE { quantity.value } else { in_unit(&quantity, known)? };
            Ok((number, quantity.uncertainty.map(|u| known_difference(u, &quantity, known, unit))))
        }
        None => plain_number(unit, &text),
    }
}

/// A quantity's number in the input's own unit, form of the substance included.
fn in_unit(quantity: &Quantity, unit: &Unit) -> Result<f64, Unreadable> {
    let number = unit.from_canonical(quantity.value * form(quantity, unit)?);
    // What was typed in this very unit is taken as typed, without the rounding of a conversion.
    Ok(if std::ptr::eq(quantity.unit, unit) { quantity.typed } else { number })
}

/// What turns a concentration of the form that was written into the form of the column: NO₃-N into NO₃.
fn form(quantity: &Quantity, unit: &Unit) -> Result<f64, Unreadable> {
    match (quantity.species, unit.species) {
        (Some(written), Some(wanted)) if written.canonical() == wanted.canonical() => {
            Ok(written.factor_to_canonical() / wanted.factor_to_canonical())
        }
        (Some(written), Some(wanted)) => {
            Err(Unreadable::Wrong(format!("`{}` is of another substance than {}", written.symbol(), wanted.symbol())))
        }
        _ => Ok(1.0),
    }
}

fn known_difference(canonical: f64, quantity: &Quantity, unit: &Unit, column: &str) -> f64 {
    if column == SHARE {
        return canonical;
    }
    canonical * form(quantity, unit).unwrap_or(1.0) / unit.difference_to_canonical(1.0)
}

/// A number whose unit the catalogue does not know: none, or the column's own, or a pressure.
fn plain_number(unit: &str, text: &str) -> Result<(f64, Option<f64>), Unreadable> {
    let text = text.replace('−', "-").replace("+/-", "±").replace("+-", "±");
    let (value, half_width) = match text.split_once('±') {
        Some((value, half_width)) => (value.trim(), Some(half_width.trim())),
        None => (text.trim(), None),
    };
    let one = |part: &str, unit_after: &str| -> Result<(f64, bool), Unreadable> {
        let (digits, written) = split_unit(part);
        if written.starts_with(',') {
            return Err(Unreadable::Wrong(format!("in `{part}` a comma is no decimal mark: write a point")));
        }
        let number: f64 = digits.parse().map_err(|_| Unreadable::Wrong(format!("`{part}` is not a number")))?;
        let written = if written.is_empty() { unit_after } else { written };
        let factor = factor_of(unit, written)
            .ok_or_else(|| Unreadable::Wrong(format!("`{written}` is no unit of it: {}", wanted(unit))))?;
        Ok((number * factor, number.is_finite()))
    };
    // `84.5 ± 0.5 kPa` writes the unit once, at the end.
    let unit_at_the_end = half_width.map_or("", |part| split_unit(part).1);
    let (number, finite) = one(value, unit_at_the_end)?;
    if !finite {
        return Err(Unreadable::NoNumber(value.to_string()));
    }
    let uncertainty = half_width.map(|part| one(part, "").map(|(u, _)| u)).transpose()?;
    match uncertainty {
        Some(u) if u.is_nan() || u < 0.0 => Err(Unreadable::Wrong(format!("`±{u}` is no uncertainty"))),
        _ => Ok((number, uncertainty)),
    }
}

/// A number and what follows it.
fn split_unit(part: &str) -> (&str, &str) {
    let end = part
        .char_indices()
        .find(|(at, sign)| {
            let of_power = matches!(sign, 'e' | 'E')
                && part[at + 1..].starts_with(|next: char| next.is_ascii_digit() || matches!(next, '-' | '+'));
            let signs = matches!(sign, '-' | '+') && (*at == 0 || part[..*at].ends_with(['e', 'E']));
            !(sign.is_ascii_digit() || *sign == '.' || of_power || signs)
        })
        .map_or(part.len(), |(at, _)| at);
    (&part[..end], part[end..].trim())
}

/// How many of the column's unit the written one is.
fn factor_of(column: &str, written: &str) -> Option<f64> {
    let plain = |unit: &str| unit.replace(['µ', 'μ'], "u").replace('²', "2").replace('³', "3").replace(' ', "");
    if written.is_empty() || plain(written) == plain(column) {
        return Some(1.0);
    }
    let pascals = |unit: &str| PRESSURES.iter().find(|(name, _)| *name == unit).map(|(_, pascals)| *pascals);
    Some(pascals(written)? / pascals(column)?)
}

fn wanted(unit: &str) -> String {
    match unit {
        "" => "a bare number is wanted".into(),
        SHARE => "a share from 0 to 1, or a percentage, is wanted".into(),
        unit => format!("a number in {unit} is wanted"),
    }
}

/// `1.0253(4)` as `1.0253 ± 0.0004`: the digits in brackets are the uncertainty of the last ones before.
fn without_brackets(typed: &str) -> String {
    let Some((before, rest)) = typed.split_once('(') else {
        return typed.to_string();
    };
    let Some((digits, after)) = rest.split_once(')') else {
        return typed.to_string();
    };
    let number = before.trim();
    let is_number = number.parse::<f64>().is_ok() && !number.contains(['e', 'E']);
    if !is_number || digits.is_empty() || !digits.bytes().all(|sign| sign.is_ascii_digit()) {
        return typed.to_string();
    }
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let digits = format!("{digits:0>width$}", width = decimals + 1);
    let (whole, part) = digits.split_at(digits.len() - decimals);
    let uncertainty = if part.is_empty() { whole.to_string() } else { format!("{whole}.{part}") };
    let unit = after.trim();
    format!("{number} {unit} ± {uncertainty} {unit}")
}

fn in_words(problem: &Problem, unit: &str) -> Unreadable {
    Unreadable::Wrong(match problem {
        Problem::EmptyText => return Unreadable::Empty,
        Problem::NotANumber { typed } => format!("`{typed}` is not a number"),
        Problem::MissingUnit { typed } => format!("`{typed}` lacks its unit"),
        Problem::UnknownUnit { unit: written, nearest: Some(nearest) } => {
            format!("the unit `{written}` is not known; `{nearest}` is; {}", wanted(unit))
        }
        Problem::UnknownUnit { unit: written, nearest: None } => {
            format!("the unit `{written}` is not known; {}", wanted(unit))
        }
        Problem::WrongDimension { got, unit: written } if *got == Dimension::Temperature => {
            format!("`{written}` is a temperature; {}", wanted(unit))
        }
        Problem::WrongDimension { got, unit: written } => {
            format!("`{written}` measures {}; {}", got.name(), wanted(unit))
        }
        Problem::DecimalComma { suggestion } => {
            format!("a comma is a decimal mark to some and separates thousands to others: write `{suggestion}`")
        }
        Problem::NotARange { typed } => format!("`{typed}` is not a number"),
        Problem::RangeReversed { low, high } => format!("`{low}` to `{high}` is not a number"),
    })
}

#[cfg(test)]
mod tests {
    use super::super::{number, numbers};
    use super::*;

    fn typed(unit: &'static str, text: &str) -> Result<(f64, Option<f64>), Unreadable> {
        let reading = read(&number("x", unit, "1", ""), text)?;
        match reading.value {
            Value::Number(number) => Ok((number, reading.uncertainty)),
            other => panic!("{other:?}"),
        }
    }

    /// NIST SP 811 for the conversions; 62.004/14.007 for the last form of nitrate.
    #[test]
    fn values_come_in_the_units_that_people_write() {
        let table = [
            ("°C", "25", 25.0, None),
            ("°C", "77F", 25.0, None),
            ("°C", "77 °F ± 1.8 °F", 25.0, Some(1.0)),
            ("°C", "25±0.1", 25.0, Some(0.1)),
            ("°C", "25 +/- 0.1 C", 25.0, Some(0.1)),
            ("°C", "25.0(2)", 25.0, Some(0.2)),
            ("SG", "1.0253(4)", 1.0253, Some(0.0004)),
            ("L", "20gal", 75.70823568, None),
            ("m", "18 in", 0.4572, None),
            ("mm", "3/8", f64::NAN, None),
            ("0 to 1", "35 %", 0.35, None),
            ("0 to 1", "0.35 ± 0.05", 0.35, Some(0.05)),
            ("0 to 1", "50 ± 5 %", f64::NAN, None),
            ("mg/L NO3", "2 mg/L NO3-N", 8.853287642, None),
            ("kPa", "1013.25 hPa", 101.325, None),
            ("kPa", "84.5 ± 0.5 kPa", 84.5, Some(0.5)),
            ("Pa", "1 atm", 101_325.0, None),
            ("kg/m³", "1025 kg/m3", 1025.0, None),
            ("", "1.5e-6 ± 1e-7", 1.5e-6, Some(1e-7)),
            ("dKH", "8.1 ± 0.2 dKH", 8.1, Some(0.2)),
            ("dKH", "2.9 meq/L", 2.9 * 56.077 / 20.0, None),
        ];
        for (unit, text, expected, uncertainty) in table {
            let got = typed(unit, text);
            if expected.is_nan() {
                assert!(matches!(got, Err(Unreadable::Wrong(_))), "{text}: {got:?}");
                continue;
            }
            let (value, u) = got.unwrap_or_else(|why| panic!("{text}: {why}"));
            assert!((value - expected).abs() <= 1e-9 * expected.abs(), "{text}: {value}");
            match (u, uncertainty) {
                (Some(u), Some(expected)) => assert!((u - expected).abs() < 1e-12, "{text}: ±{u}"),
                (u, expected) => assert_eq!(u, expected, "{text}"),
            }
        }
    }

    #[test]
    fn what_is_not_understood_is_told_in_plain_words() {
        let table = [
            ("°C", "NaN", "`NaN` is no number that can be measured"),
            ("°C", "-inf", "`-inf` is no number that can be measured"),
            ("°C", "1e999", "`1e999` is no number that can be measured"),
            ("°C", "warm", "`warm` is not a number"),
            ("°C", "20 gal", "`gal` measures a volume; a number in °C is wanted"),
            ("L", "20 gallo", "the unit `gallo` is not known; `gal` is; a number in L is wanted"),
            ("L", "20,5", "a comma is a decimal mark to some and separates thousands to others: write `20.5`"),
            ("", "20,5", "in `20,5` a comma is no decimal mark: write a point"),
            ("kPa", "14.7 psi", "`psi` is no unit of it: a number in kPa is wanted"),
            ("", "3 L", "`L` is no unit of it: a bare number is wanted"),
            ("mg/L NO3", "2 mg/L PO4", "`PO₄` is of another substance than NO₃"),
            ("°C", " ", "nothing is given"),
        ];
        for (unit, text, words) in table {
            assert_eq!(typed(unit, text).unwrap_err().to_string(), words, "{text}");
        }
    }

    #[test]
    fn lists_keep_what_is_only_an_upper_limit() {
        let reading = read(&numbers("x", "mg/L", "1", ""), "0.05; <0.02 0.03").unwrap();
        let item = |number, below| Item { number, below };
        assert_eq!(reading.value, Value::List(vec![item(0.05, false), item(0.02, true), item(0.03, false)]));
        assert!(read(&numbers("x", "", "1", ""), "1 NaN").is_err());
    }
}
