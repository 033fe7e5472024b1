//! Texts that hold more than one number: ranges, sizes and lengths of time.

use super::Dimension;
use super::catalogue::Unit;
use super::lookup::{candidates, plain_signs};
use super::number::split_number;
use super::parse::{Problem, Quantity, parse, unknown_unit};

/// `2 to 15 mg/L`, `24 °C to 26.5 °C` or `24–26.5 °C`: the lower and the upper end. An end without a unit takes the
/// other's, then the usual one.
pub fn parse_range(
    text: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
) -> Result<(Quantity, Quantity), Problem> {
    let plain = plain_signs(text);
    if plain.is_empty() {
        return Err(Problem::EmptyText);
    }
    if let Some(at) = plain.to_ascii_lowercase().find(" to ") {
        return between(&plain[..at], &plain[at + 4..], wanted, usual);
    }
    // A dash may also be a minus sign, or stand in a unit (`s-1`): it separates where both sides can be read.
    for (at, dash) in plain.match_indices('-').skip_while(|(at, _)| *at == 0) {
        let (low, high) = (&plain[..at], &plain[at + dash.len()..]);
        match between(low, high, wanted, usual) {
            Ok(range) => return Ok(range),
            Err(problem @ (Problem::RangeReversed { .. } | Problem::DecimalComma { .. })) => {
                return Err(problem);
            }
            // Two bare numbers are a range that lacks its unit.
            Err(problem @ Problem::MissingUnit { .. })
                if split_number(low).is_ok_and(|number| number.unit.is_empty())
                    && split_number(high).is_ok_and(|number| number.unit.is_empty()) =>
            {
                return Err(problem);
            }
            Err(_) => {}
        }
    }
    // A mistake in the one number that is there is worth more than saying that there is no second.
    parse(&plain, wanted, usual)?;
    Err(Problem::NotARange { typed: text.trim().to_string() })
}

fn between(
    low: &str,
    high: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
) -> Result<(Quantity, Quantity), Problem> {
    let low_is_bare = split_number(low).is_ok_and(|number| number.unit.is_empty());
    let high_is_bare = split_number(high).is_ok_and(|number| number.unit.is_empty());
    let (mut lower, mut upper) = match (low_is_bare, high_is_bare) {
        (true, false) => {
            let upper = parse(high, wanted, usual)?;
            (with_unit_of(&upper, low, wanted)?, upper)
        }
        (false, true) => {
            let lower = parse(low, wanted, usual)?;
            let upper = with_unit_of(&lower, high, wanted)?;
            (lower, upper)
        }
        _ => (parse(low, wanted, usual)?, parse(high, wanted, usual)?),
    };
    if lower.dimension != upper.dimension {
        let unit = upper.unit.symbol.to_string();
        return Err(Problem::WrongDimension { got: upper.dimension, unit });
    }
    // `2 mg/L to 15 mg/L NO3` speaks of nitrate at both ends.
    lower.species = lower.species.or(upper.species);
    upper.species = upper.species.or(lower.species);
    if super::to_canonical_ion(&lower) > super::to_canonical_ion(&upper) {
        let (low, high) = (low.trim().to_string(), high.trim().to_string());
        return Err(Problem::RangeReversed { low, high });
    }
    Ok((lower, upper))
}

fn with_unit_of(other: &Quantity, bare: &str, wanted: &[Dimension]) -> Result<Quantity, Problem> {
    match other.dimension {
        // The unit of money is in its currency, not in the static unit.
        Dimension::Tariff | Dimension::Money => {
            let quantity = parse(bare, &[other.dimension], Some(other.unit))?;
            Ok(Quantity { currency: other.currency.clone(), ..quantity })
        }
        _ => parse(bare, wanted, Some(other.unit)),
    }
}

/// `60 x 40 x 40 cm` in centimetres, however many there are. A length without a unit takes that of the next one that
/// has one, or else of the one before.
pub fn parse_lengths(text: &str) -> Result<Vec<f64>, Problem> {
    let plain = plain_signs(text).replace(['×', '·', 'X'], "x").replace(" by ", " x ");
    if plain.is_empty() {
        return Err(Problem::EmptyText);
    }
    let numbers = plain.split('x').map(split_number).collect::<Result<Vec<_>, _>>();
    let numbers = numbers.map_err(|problem| match problem {
        Problem::NotANumber { .. } => Problem::NotANumber { typed: text.trim().to_string() },
        // The whole is suggested, so that it can be copied.
        Problem::DecimalComma { .. } => Problem::DecimalComma {
            suggestion: plain
                .split('x')
                .map(|part| match split_number(part) {
                    Err(Problem::DecimalComma { suggestion }) => suggestion,
                    _ => part.trim().to_string(),
                })
                .collect::<Vec<_>>()
                .join(" x "),
        },
        other => other,
    })?;
    let mut units: Vec<Option<&'static Unit>> = Vec::new();
    for number in &numbers {
        units.push(match number.unit.as_str() {
            "" => None,
            unit => Some(unit_of(unit, Dimension::Length)?),
        });
    }
    let mut lengths = Vec::new();
    for (at, number) in numbers.iter().enumerate() {
        let after = units[at..].iter().flatten().next();
        let unit = after.or_else(|| units[..at].iter().rev().flatten().next());
        match unit {
            Some(unit) => lengths.push(unit.to_canonical(number.value)),
            None => {
                return Err(Problem::MissingUnit { typed: text.trim().to_string() });
            }
        }
    }
    Ok(lengths)
}

/// `6 h 30 min`, `3 days`, `2 weeks and 1 day`, in hours. A month is 30.4375 days and a year 365.25 days.
pub fn parse_duration(text: &str) -> Result<f64, Problem> {
    Ok(duration_parts(text)?.into_iter().map(|(value, unit)| unit.to_canonical(value)).sum())
}

/// The parts of a length of time, each with its unit.
pub(super) fn duration_parts(text: &str) -> Result<Vec<(f64, &'static Unit)>, Problem> {
    let plain = plain_signs(text);
    if plain.is_empty() {
        return Err(Problem::EmptyText);
    }
    let mut parts = Vec::new();
    let mut rest = plain.as_str();
    while !rest.is_empty() {
        // A part ends where, after its letters, the next number starts.
        let letters = rest.find(char::is_alphabetic).unwrap_or(rest.len());
        let next = rest[letters..].find(|sign: char| sign.is_ascii_digit());
        let end = next.map_or(rest.len(), |at| letters + at);
        let part = rest[..end].trim().trim_end_matches(',').trim();
        let number = split_number(part.strip_suffix(" and").unwrap_or(part))?;
        if number.unit.is_empty() {
            return Err(Problem::MissingUnit { typed: text.trim().to_string() });
        }
        parts.push((number.value, unit_of(&number.unit, Dimension::Duration)?));
        rest = &rest[end..];
    }
    Ok(parts)
}

fn unit_of(text: &str, wanted: Dimension) -> Result<&'static Unit, Problem> {
    let found = candidates(text);
    match found.iter().find(|unit| unit.dimension == wanted) {
        Some(unit) => Ok(unit),
        None => Err(match found.first() {
            Some(unit) => Problem::WrongDimension { got: unit.dimension, unit: text.to_string() },
            None => unknown_unit(text, &[wanted]),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Species, unit_named};
    use super::*;
    use crate::units::Dimension::{Acidity, Concentration, Fraction, PhotonFlux, Tariff, Temperature};

    #[test]
    fn ranges_are_read_however_they_are_written() {
        let table = [
            ("2 to 15 mg/L", Concentration, 2.0, 15.0),
            ("2 mg/L to 15 mg/L", Concentration, 2.0, 15.0),
            ("2 mg/L to 15", Concentration, 2.0, 15.0),
            ("500 ug/L to 15 mg/L", Concentration, 0.5, 15.0),
            ("24 °C to 26.5 °C", Temperature, 24.0, 26.5),
            ("24–26.5 °C", Temperature, 24.0, 26.5),
            ("24-26.5°C", Temperature, 24.0, 26.5),
            ("24 — 26.5 °C", Temperature, 24.0, 26.5),
            ("−2 to 3 °C", Temperature, -2.0, 3.0),
            ("-2 - 3 °C", Temperature, -2.0, 3.0),
            ("75.2 to 78.8 °F", Temperature, 24.0, 26.0),
            ("18 to 18 °C", Temperature, 18.0, 18.0),
            ("45 to 65 %", Fraction, 0.45, 0.65),
            ("pH 7.9 to 8.3", Acidity, 7.9, 8.3),
            ("60 to 120 µmol m-2 s-1", PhotonFlux, 60.0, 120.0),
            ("60-120 µmol m-2 s-1", PhotonFlux, 60.0, 120.0),
            ("0.2 to 0.3 EUR/kWh", Tariff, 0.2, 0.3),
        ];
        for (text, dimension, low, high) in table {
            let (lower, upper) =
                parse_range(text, &[dimension], None).unwrap_or_else(|problem| panic!("{text}: {problem:?}"));
            assert!((lower.value - low).abs() < 1e-12, "{text}: {}", lower.value);
            assert!((upper.value - high).abs() < 1e-12, "{text}: {}", upper.value);
            assert_eq!(lower.currency, upper.currency, "{text}");
        }
        let usual = unit_named("mg/L NO3");
        let (lower, upper) = parse_range("2 to 15", &[Concentration], usual).unwrap();
        assert_eq!((lower.value, upper.value), (2.0, 15.0));
        assert_eq!(lower.species, Some(Species::Nitrate));
        let (lower, _) = parse_range("2 mg/L to 15 mg/L NO3", &[Concentration], None).unwrap();
        assert_eq!(lower.species, Some(Species::Nitrate));
    }

    #[test]
    fn what_is_no_range_is_refused() {
        let table = [
            ("", Problem::EmptyText),
            ("24 °C", Problem::NotARange { typed: "24 °C".into() }),
            ("24 to 26", Problem::MissingUnit { typed: "24".into() }),
            ("24-26", Problem::MissingUnit { typed: "24".into() }),
            ("26 to 24 °C", Problem::RangeReversed { low: "26".into(), high: "24 °C".into() }),
            ("24,5 to 26 °C", Problem::DecimalComma { suggestion: "24.5".into() }),
            ("warm", Problem::NotANumber { typed: "warm".into() }),
            ("24 to warm", Problem::NotANumber { typed: "warm".into() }),
        ];
        for (text, expected) in table {
            assert_eq!(parse_range(text, &[Temperature], None), Err(expected), "{text}");
        }
    }

    /// 1 in is 2.54 cm exactly (NIST SP 811, appendix B.8).
    #[test]
    fn sizes_are_lists_of_lengths() {
        let table: &[(&str, &[f64])] = &[
            ("60 x 40 x 40 cm", &[60.0, 40.0, 40.0]),
            ("60x40x40cm", &[60.0, 40.0, 40.0]),
            ("60 cm × 40 cm × 35.5 cm", &[60.0, 40.0, 35.5]),
            ("600 X 400 X 400 mm", &[60.0, 40.0, 40.0]),
            ("24\" x 16\" x 16\"", &[60.96, 40.64, 40.64]),
            ("24 x 16 x 16 in", &[60.96, 40.64, 40.64]),
            ("24 in x 16 x 16", &[60.96, 40.64, 40.64]),
            ("2 ft by 16 in", &[60.96, 40.64]),
            ("95 * 48 cm", &[95.0, 48.0]),
            ("12 cm", &[12.0]),
        ];
        for (text, expected) in table {
            let got = parse_lengths(text).unwrap_or_else(|problem| panic!("{text}: {problem:?}"));
            assert_eq!(got.len(), expected.len(), "{text}");
            for (got, expected) in got.iter().zip(*expected) {
                assert!((got - expected).abs() < 1e-9, "{text}: {got} is not {expected}");
            }
        }
        let table = [
            ("", Problem::EmptyText),
            ("60 x 40 x 40", Problem::MissingUnit { typed: "60 x 40 x 40".into() }),
            ("60 x x 40 cm", Problem::NotANumber { typed: "60 x x 40 cm".into() }),
            ("60,5 x 40 cm", Problem::DecimalComma { suggestion: "60.5 x 40 cm".into() }),
            ("60 x 40 kg", Problem::WrongDimension { got: crate::units::Dimension::Mass, unit: "kg".into() }),
        ];
        for (text, expected) in table {
            assert_eq!(parse_lengths(text), Err(expected), "{text}");
        }
    }

    #[test]
    fn lengths_of_time_add_up() {
        let table = [
            ("6 h 30 min", 6.5),
            ("6h30min", 6.5),
            ("90 min", 1.5),
            ("45 s", 0.0125),
            ("3 days", 72.0),
            ("1 day, 12 hours", 36.0),
            ("1 week and 1 day", 192.0),
            ("2 weeks", 336.0),
            ("3 months", 3.0 * 30.4375 * 24.0),
            ("1 year", 365.25 * 24.0),
            ("1.5 h", 1.5),
        ];
        for (text, expected) in table {
            let got = parse_duration(text).unwrap_or_else(|problem| panic!("{text}: {problem:?}"));
            assert!((got - expected).abs() < 1e-9, "{text}: {got} is not {expected}");
        }
        let missing = |text: &str| Problem::MissingUnit { typed: text.into() };
        let table = [
            ("", Problem::EmptyText),
            ("30", missing("30")),
            ("6 h 30", missing("6 h 30")),
            ("soon", Problem::NotANumber { typed: "soon".into() }),
            ("3 fortnights", Problem::UnknownUnit { unit: "fortnights".into(), nearest: None }),
            ("1,5 h", Problem::DecimalComma { suggestion: "1.5 h".into() }),
        ];
        for (text, expected) in table {
            assert_eq!(parse_duration(text), Err(expected), "{text}");
        }
    }
}
