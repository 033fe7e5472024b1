//! From what a person writes to a quantity: `25.5 °C`, `8.1 dKH ± 0.2 dKH`, `below 2 mg/L NO3`.
//!
//! Nothing is guessed. A number without a unit is refused unless the record names the usual one, and a comma inside a
//! number is refused because it is a decimal mark to some and separates thousands to others.

use super::catalogue::{COUNT, Unit};
use super::lookup::{candidates, nearest, plain_signs};
use super::money::priced;
use super::number::{Number, split_number};
use super::parse_several::parse_duration;
use super::show::{System, show};
use super::{Dimension, Species};

/// A value as it was written and in the canonical unit of its dimension.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// In the canonical unit; a concentration is of the species as written.
    pub value: f64,
    pub dimension: Dimension,
    pub species: Option<Species>,
    /// The unit it was written in, or the usual one.
    pub unit: &'static Unit,
    /// The number as written.
    pub typed: f64,
    /// Digits written after the decimal point.
    pub decimals: u8,
    /// From `± x unit`, in the canonical unit.
    pub uncertainty: Option<f64>,
    /// Of a price or an amount of money: a code such as `EUR`, or `$` where no more is said.
    pub currency: Option<String>,
}

impl Quantity {
    /// As it was written, with the unit's own symbol: `25.50 °C`.
    pub fn as_typed(&self) -> String {
        let decimals = usize::from(self.decimals);
        let number = format!("{:.decimals$}", self.typed).replace('-', "\u{2212}");
        let unit = format!("{}{}", self.currency.as_deref().unwrap_or(""), self.unit.symbol);
        match (self.dimension, unit.as_str()) {
            (_, "") => number,
            (Dimension::Acidity, unit) => format!("{unit}\u{a0}{number}"),
            (_, unit) => format!("{number}\u{a0}{}", unit.replace(' ', "\u{a0}")),
        }
    }

    /// As it was written where its unit belongs to the system or to both, else converted, with about as many digits.
    pub fn in_system(&self, system: System) -> String {
        match self.unit.system() {
            Some(own) if own != system => {
                // Digits count for the canonical unit, which may be larger or smaller than the one typed.
                let larger = (1.0 / self.unit.difference_to_canonical(1.0)).log10().round() as i32;
                let decimals = (i32::from(self.decimals) + larger).clamp(0, 6) as u8;
                show(self.value, self.dimension, self.species, system, decimals)
            }
            _ => self.as_typed(),
        }
    }
}

/// Whether a reading is a value or only the end of a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    Exactly,
    Below,
    Above,
}

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    EmptyText,
    NotANumber { typed: String },
    MissingUnit { typed: String },
    UnknownUnit { unit: String, nearest: Option<String> },
    WrongDimension { got: Dimension, unit: String },
    DecimalComma { suggestion: String },
    NotARange { typed: String },
    RangeReversed { low: String, high: String },
}

/// Reads one quantity of one of the wanted dimensions (of any, when none is named).
///
/// `usual` is the unit of a bare number; without it a bare number is [`Problem::MissingUnit`], except where a count is
/// wanted. `± 2 L` may follow, or `± 3 %`, which is of the value.
pub fn parse(text: &str, wanted: &[Dimension], usual: Option<&'static Unit>) -> Result<Quantity, Problem> {
    let plain = plain_signs(text).replace("+/-", "±").replace("+-", "±");
    let Some((value, uncertainty)) = plain.split_once('±') else {
        return parse_one(&plain, wanted, usual);
    };
    if value.is_empty() {
        return parse_half_width(uncertainty, wanted, usual);
    }
    // `8.1 ± 0.2 dKH` writes the unit once, at the end.
    let unit_at_the_end = || {
        let borrowed = split_number(uncertainty.trim()).ok()?.unit;
        let borrowed = candidates(&borrowed).into_iter().find(|unit| is_wanted(unit, wanted));
        borrowed.filter(|unit| unit.dimension != Dimension::Fraction)
    };
    let mut quantity = match parse_one(value, wanted, usual) {
        Err(Problem::MissingUnit { typed }) => match unit_at_the_end() {
            Some(unit) => parse_one(value, wanted, Some(unit))?,
            None => return Err(Problem::MissingUnit { typed }),
        },
        other => other?,
    };
    quantity.uncertainty = Some(parse_uncertainty(uncertainty, &quantity)?);
    Ok(quantity)
}

/// The same, where `below`, `under` or `<`, or `above`, `over` or `>` may stand before.
pub fn parse_bounded(
    text: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
) -> Result<(Bound, Quantity), Problem> {
    let plain = plain_signs(text);
    let lower = plain.to_ascii_lowercase();
    let found = BOUNDS.iter().find(|(word, _)| lower.starts_with(word));
    match found {
        Some((word, bound)) => Ok((*bound, parse(&plain[word.len()..], wanted, usual)?)),
        None => Ok((Bound::Exactly, parse(&plain, wanted, usual)?)),
    }
}

/// A word is followed by a space, so that no unit is mistaken for one.
const BOUNDS: &[(&str, Bound)] = &[
    ("<=", Bound::Below),
    ("<", Bound::Below),
    ("below ", Bound::Below),
    ("under ", Bound::Below),
    ("less than ", Bound::Below),
    (">=", Bound::Above),
    (">", Bound::Above),
    ("above ", Bound::Above),
    ("over ", Bound::Above),
    ("more than ", Bound::Above),
];

/// `30 %` as 0.3.
pub fn parse_percent(text: &str) -> Result<f64, Problem> {
    parse(text, &[Dimension::Fraction], None).map(|quantity| quantity.value)
}

/// A unit by itself, as `mg/L NO3` in a list of usual units.
pub fn usual_unit(text: &str) -> Result<&'static Unit, Problem> {
    if text.trim().is_empty() {
        return Err(Problem::EmptyText);
    }
    let found = candidates(text).into_iter().next();
    found.ok_or_else(|| unknown_unit(text.trim(), &[]))
}

/// The value in the form in which its kind is compared, see [`Species::canonical`]: mg/L of NO₃ for nitrate-nitrogen.
/// Anything but a concentration of a known species is given back as it is.
pub fn to_canonical_ion(quantity: &Quantity) -> f64 {
    match (quantity.dimension, quantity.species) {
        (Dimension::Concentration, Some(species)) => quantity.value * species.factor_to_canonical(),
        _ => quantity.value,
    }
}

/// `± 0.2 °C` by itself states an accuracy. It is a difference, never a temperature.
fn parse_half_width(text: &str, wanted: &[Dimension], usual: Option<&'static Unit>) -> Result<Quantity, Problem> {
    let half_width = parse_one(text, wanted, usual)?;
    match half_width.dimension == Dimension::Temperature || half_width.value < 0.0 {
        true => Err(Problem::NotANumber { typed: format!("±{text}") }),
        false => Ok(half_width),
    }
}

fn parse_one(text: &str, wanted: &[Dimension], usual: Option<&'static Unit>) -> Result<Quantity, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Problem::EmptyText);
    }
    let text = &unit_last(text);
    let number = split_number(text)?;
    if number.unit.is_empty() {
        return match usual {
            _ if wanted.contains(&Dimension::Count) => Ok(number.of(&COUNT, None)),
            Some(unit) if is_wanted(unit, wanted) => Ok(number.of(unit, None)),
            _ => Err(Problem::MissingUnit { typed: text.to_string() }),
        };
    }
    let found = candidates(&number.unit);
    if let Some(unit) = found.iter().find(|unit| is_wanted(unit, wanted)) {
        return Ok(number.of(unit, None));
    }
    if let Some((unit, currency)) = priced(&number.unit, wanted, found.is_empty()) {
        return match is_wanted(unit, wanted) {
            true => Ok(number.of(unit, Some(currency))),
            false => Err(Problem::WrongDimension { got: unit.dimension, unit: number.unit }),
        };
    }
    if wanted.contains(&Dimension::Duration)
        && let Ok(hours) = parse_duration(text)
        && let Some(unit) = candidates("h").into_iter().next()
    {
        let decimals = number.decimals;
        let whole = Number { value: hours, decimals, unit: String::new() };
        return Ok(whole.of(unit, None));
    }
    Err(match found.first() {
        Some(unit) => Problem::WrongDimension { got: unit.dimension, unit: number.unit },
        None => unknown_unit(&number.unit, wanted),
    })
}

fn is_wanted(unit: &Unit, wanted: &[Dimension]) -> bool {
    wanted.is_empty() || wanted.contains(&unit.dimension)
}

pub(super) fn unknown_unit(unit: &str, wanted: &[Dimension]) -> Problem {
    Problem::UnknownUnit { unit: unit.to_string(), nearest: nearest(unit, wanted) }
}

/// What follows `±`, in the canonical unit of the quantity before it.
fn parse_uncertainty(text: &str, of: &Quantity) -> Result<f64, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Problem::EmptyText);
    }
    let number = split_number(text)?;
    let half_width = if number.unit.is_empty() {
        of.unit.difference_to_canonical(number.value)
    } else {
        let found = candidates(&number.unit);
        let same = |unit: &&&'static Unit| {
            unit.dimension == of.dimension && (unit.species == of.species || unit.species.is_none())
        };
        let share = found.iter().any(|unit| unit.dimension == Dimension::Fraction);
        let of_currency = priced(&number.unit, &[of.dimension], found.is_empty());
        if let Some(unit) = found.iter().find(same) {
            unit.difference_to_canonical(number.value)
        } else if share && !has_no_true_zero(of.dimension) {
            (number.value / 100.0 * of.value).abs()
        } else if of_currency
            .is_some_and(|(unit, currency)| unit.dimension == of.dimension && Some(currency) == of.currency)
        {
            number.value
        } else {
            return Err(match found.first() {
                Some(unit) => Problem::WrongDimension { got: unit.dimension, unit: number.unit },
                None => unknown_unit(&number.unit, &[of.dimension]),
            });
        }
    };
    match half_width >= 0.0 {
        true => Ok(half_width),
        false => Err(Problem::NotANumber { typed: text.to_string() }),
    }
}

/// Dimensions of which a percentage of the value would depend on where the scale happens to start.
fn has_no_true_zero(dimension: Dimension) -> bool {
    matches!(dimension, Dimension::Temperature | Dimension::Acidity | Dimension::SpecificGravity)
}

/// `pH 8.1`, `SG 1.0255` and `€ 0.24/kWh` with their unit after the number.
fn unit_last(text: &str) -> String {
    let Some(start) = text.find(|sign: char| sign.is_ascii_digit()) else {
        return text.to_string();
    };
    let before = text[..start].trim();
    let end =
        text[start..].find(|sign: char| !matches!(sign, '0'..='9' | '.' | ',')).map_or(text.len(), |at| start + at);
    let (number, after) = (&text[start..end], text[end..].trim());
    let goes_before = match after {
        "" => {
            ["ph", "sg", "par", "ppfd", "specific gravity"].contains(&before.to_lowercase().as_str())
                || priced(before, &[Dimension::Money], true).is_some()
        }
        energy if energy.starts_with('/') || energy.starts_with("per ") => {
            priced(&format!("{before} {energy}"), &[Dimension::Tariff], true).is_some()
        }
        _ => false,
    };
    match goes_before && !before.is_empty() {
        true if after.starts_with("per ") => format!("{number} {before} {after}"),
        true => format!("{number} {before}{after}"),
        false => text.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::unit_named;
    use super::*;
    use crate::units::Dimension::*;

    #[test]
    fn the_species_is_kept_and_the_ion_worked_out() {
        // Ratios of molar masses: tests/reference/08c_nutrient_unit_conversions.csv.
        let table = [
            ("5 mg/L NO3", Species::Nitrate, 5.0),
            ("5 mg/L as NO₃", Species::Nitrate, 5.0),
            ("5 mg/L nitrate", Species::Nitrate, 5.0),
            ("5 NO3 mg/L", Species::Nitrate, 5.0),
            ("5 mg NO3/L", Species::Nitrate, 5.0),
            ("1 ppm NO3-N", Species::NitrateN, 4.426643821),
            ("1 mg/L NO₃⁻-N", Species::NitrateN, 4.426643821),
            ("1 mg NO3-N L-1", Species::NitrateN, 4.426643821),
            ("10 ppb P", Species::PhosphateP, 0.03066119972),
            ("10 ug/L PO4-P", Species::PhosphateP, 0.03066119972),
            ("1 mg/L NH3-N", Species::AmmoniaN, 1.215892054),
            ("16.12799174 µmol/L NO3", Species::Nitrate, 1.0),
        ];
        for (text, species, expected) in table {
            let got = parse(text, &[Concentration], None).unwrap_or_else(|p| panic!("{text}: {p:?}"));
            assert_eq!(got.species, Some(species), "{text}");
            let ion = to_canonical_ion(&got);
            assert!((ion - expected).abs() < 1e-9 * expected, "{text}: {ion} is not {expected}");
        }
        let bare = parse("5 mg/L", &[Concentration], None).unwrap();
        assert_eq!((bare.species, to_canonical_ion(&bare)), (None, 5.0));
    }

    #[test]
    fn a_usual_unit_stands_in_for_a_missing_one() {
        let usual = usual_unit("mg/L NO3-N").unwrap();
        let got = parse("2.50", &[Concentration], Some(usual)).unwrap();
        assert_eq!((got.typed, got.decimals, got.species), (2.5, 2, Some(Species::NitrateN)));
        assert_eq!(got.unit.symbol, "mg/L NO₃-N");
        let fahrenheit = unit_named("°F");
        assert_eq!(parse("77", &[Temperature], fahrenheit).unwrap().value, 25.0);
        // A usual unit of another kind is no help.
        assert_eq!(parse("77", &[Volume], fahrenheit), Err(Problem::MissingUnit { typed: "77".into() }));
        assert_eq!(usual_unit("°C").unwrap().dimension, Temperature);
        assert_eq!(usual_unit("ppt").unwrap().dimension, Salinity);
        assert_eq!(usual_unit(" "), Err(Problem::EmptyText));
        let unknown = Problem::UnknownUnit { unit: "dKHH".into(), nearest: Some("dKH".into()) };
        assert_eq!(usual_unit("dKHH"), Err(unknown));
    }

    #[test]
    fn an_uncertainty_is_a_difference() {
        let uncertainty = |text, dimension| parse(text, &[dimension], None).unwrap().uncertainty;
        assert_eq!(uncertainty("75 L ± 2 L", Volume), Some(2.0));
        assert_eq!(uncertainty("75 L +/- 500 mL", Volume), Some(0.5));
        assert_eq!(uncertainty("75 L ± 2", Volume), Some(2.0));
        assert_eq!(uncertainty("75 ± 2 L", Volume), Some(2.0));
        assert_eq!(uncertainty("80 L ± 10 %", Volume), Some(8.0));
        assert_eq!(uncertainty("60 % ± 5 %", Fraction), Some(0.05));
        assert_eq!(uncertainty("77 °F ± 1.8 °F", Temperature), Some(1.0));
        assert_eq!(uncertainty("pH 8.1 ± 0.1", Acidity), Some(0.1));
        assert_eq!(uncertainty("0.24 EUR/kWh ± 0.01 EUR/kWh", Tariff), Some(0.01));
        assert_eq!(uncertainty("75 L", Volume), None);
    }

    #[test]
    fn bounds_are_told_from_values() {
        let bound = |text| parse_bounded(text, &[Concentration], unit_named("mg/L")).unwrap();
        for text in ["below 2 mg/L", "< 2 mg/L", "<2", "under 2", "Less than 2 mg/L", "≤ 2"] {
            let (got, quantity) = bound(text);
            assert_eq!((got, quantity.value), (Bound::Below, 2.0), "{text}");
        }
        for text in ["above 50 mg/L", "> 50", ">50 mg/L", "over 50", "more than 50 mg/L"] {
            let (got, quantity) = bound(text);
            assert_eq!((got, quantity.value), (Bound::Above, 50.0), "{text}");
        }
        assert_eq!(bound("5 mg/L").0, Bound::Exactly);
    }

    #[test]
    fn the_currency_is_kept() {
        let currency = |text| parse(text, &[Tariff, Money], None).unwrap().currency;
        for (text, expected) in [
            ("0.24 EUR/kWh", "EUR"),
            ("0.24 €/kWh", "EUR"),
            ("0.2 £ per kWh", "GBP"),
            ("$0.16/kWh", "$"),
            ("0.16 USD/kWh", "USD"),
            ("1.2 SEK/kWh", "SEK"),
            ("120 USD", "USD"),
            ("$120", "$"),
        ] {
            assert_eq!(currency(text).as_deref(), Some(expected), "{text}");
        }
    }

    #[test]
    fn percentages_are_fractions_of_one() {
        assert_eq!(parse_percent("30 %"), Ok(0.3));
        assert_eq!(parse_percent("30"), Err(Problem::MissingUnit { typed: "30".into() }));
    }

    #[test]
    fn what_was_typed_is_shown_again() {
        let typed = |text| parse(text, &[], None).map(|quantity| quantity.as_typed());
        assert_eq!(typed("25.50 C"), Ok("25.50\u{a0}°C".to_string()));
        assert_eq!(typed("-1.8 °C"), Ok("\u{2212}1.8\u{a0}°C".to_string()));
        assert_eq!(typed("5 ppm NO3-N"), Ok("5\u{a0}ppm\u{a0}NO₃-N".to_string()));
        assert_eq!(typed("8.10 pH"), Ok("pH\u{a0}8.10".to_string()));
        assert_eq!(typed("0.24 EUR/kWh"), Ok("0.24\u{a0}EUR/kWh".to_string()));
    }
}
