//! From what a person writes to a quantity: `25.5 °C`, `8.1 dKH ± 0.2 dKH`, `below 2 mg/L NO3`.
//!
//! Nothing is guessed. A number without a unit is refused unless the record names the usual one, and a comma inside a
//! number is refused because it is a decimal mark to some and separates thousands to others.

use super::catalogue::{COUNT, MONEY, TARIFF, Unit};
use super::lookup::{candidates, nearest, plain_signs};
use super::parse_several::parse_duration;
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
    NotANumber {
        typed: String,
    },
    MissingUnit {
        typed: String,
    },
    UnknownUnit {
        unit: String,
        nearest: Option<String>,
    },
    WrongDimension {
        got: Dimension,
        unit: String,
    },
    DecimalComma {
        suggestion: String,
    },
    NotARange {
        typed: String,
    },
    RangeReversed {
        low: String,
        high: String,
    },
}

/// Reads one quantity of one of the wanted dimensions (of any, when none is named).
///
/// `usual` is the unit of a bare number; without it a bare number is [`Problem::MissingUnit`], except where a count is
/// wanted. `± 2 L` may follow, or `± 3 %`, which is of the value.
pub fn parse(
    text: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
) -> Result<Quantity, Problem> {
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
        let borrowed = candidates(&borrowed)
            .into_iter()
            .find(|unit| is_wanted(unit, wanted));
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
    let lower = plain.to_lowercase();
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
fn parse_half_width(
    text: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
) -> Result<Quantity, Problem> {
    let half_width = parse_one(text, wanted, usual)?;
    match half_width.dimension == Dimension::Temperature || half_width.value < 0.0 {
        true => Err(Problem::NotANumber {
            typed: format!("±{text}"),
        }),
        false => Ok(half_width),
    }
}

fn parse_one(
    text: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
) -> Result<Quantity, Problem> {
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
            _ => Err(Problem::MissingUnit {
                typed: text.to_string(),
            }),
        };
    }
    let found = candidates(&number.unit);
    if let Some(unit) = found.iter().find(|unit| is_wanted(unit, wanted)) {
        return Ok(number.of(unit, None));
    }
    if let Some((unit, currency)) = priced(&number.unit, wanted, found.is_empty()) {
        return match is_wanted(unit, wanted) {
            true => Ok(number.of(unit, Some(currency))),
            false => Err(Problem::WrongDimension {
                got: unit.dimension,
                unit: number.unit,
            }),
        };
    }
    if wanted.contains(&Dimension::Duration)
        && let Ok(hours) = parse_duration(text)
        && let Some(unit) = candidates("h").into_iter().next()
    {
        let decimals = number.decimals;
        let whole = Number {
            value: hours,
            decimals,
            unit: String::new(),
        };
        return Ok(whole.of(unit, None));
    }
    Err(match found.first() {
        Some(unit) => Problem::WrongDimension {
            got: unit.dimension,
            unit: number.unit,
        },
        None => unknown_unit(&number.unit, wanted),
    })
}

fn is_wanted(unit: &Unit, wanted: &[Dimension]) -> bool {
    wanted.is_empty() || wanted.contains(&unit.dimension)
}

pub(super) fn unknown_unit(unit: &str, wanted: &[Dimension]) -> Problem {
    Problem::UnknownUnit {
        unit: unit.to_string(),
        nearest: nearest(unit, wanted),
    }
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
        let share = found
            .iter()
            .any(|unit| unit.dimension == Dimension::Fraction);
        let of_currency = priced(&number.unit, &[of.dimension], found.is_empty());
        if let Some(unit) = found.iter().find(same) {
            unit.difference_to_canonical(number.value)
        } else if share && !has_no_true_zero(of.dimension) {
            (number.value / 100.0 * of.value).abs()
        } else if of_currency.is_some_and(|(unit, currency)| {
            unit.dimension == of.dimension && Some(currency) == of.currency
        }) {
            number.value
        } else {
            return Err(match found.first() {
                Some(unit) => Problem::WrongDimension {
                    got: unit.dimension,
                    unit: number.unit,
                },
                None => unknown_unit(&number.unit, &[of.dimension]),
            });
        }
    };
    match half_width >= 0.0 {
        true => Ok(half_width),
        false => Err(Problem::NotANumber {
            typed: text.to_string(),
        }),
    }
}

/// Dimensions of which a percentage of the value would depend on where the scale happens to start.
fn has_no_true_zero(dimension: Dimension) -> bool {
    matches!(
        dimension,
        Dimension::Temperature | Dimension::Acidity | Dimension::SpecificGravity
    )
}

/// A currency, alone or a kilowatt hour. Three capitals are taken for a currency's code (ISO 4217) where money is
/// wanted, or where they are no unit.
fn priced(unit: &str, wanted: &[Dimension], is_no_unit: bool) -> Option<(&'static Unit, String)> {
    let folded = super::lookup::fold(unit);
    let (currency, priced) = match folded.split_once('/') {
        Some((currency, energy)) if energy.eq_ignore_ascii_case("kWh") => (currency, &TARIFF),
        Some(_) => return None,
        None => (folded.as_str(), &MONEY),
    };
    let is_code = currency.len() == 3 && currency.bytes().all(|letter| letter.is_ascii_uppercase());
    let currency = match currency {
        "€" => "EUR",
        "£" => "GBP",
        "US$" => "USD",
        "$" | "¥" | "kr" | "zł" | "Kč" | "Ft" | "₹" => currency,
        _ if is_code && (is_no_unit || wanted.contains(&priced.dimension)) => currency,
        _ => return None,
    };
    // Three capitals by themselves are a currency only where money is wanted.
    let plainly_money = priced.dimension == Dimension::Tariff || !is_code;
    (plainly_money || wanted.contains(&Dimension::Money)).then(|| (priced, currency.to_string()))
}

/// `pH 8.1`, `SG 1.0255` and `€ 0.24/kWh` with their unit after the number.
fn unit_last(text: &str) -> String {
    let Some(start) = text.find(|sign: char| sign.is_ascii_digit()) else {
        return text.to_string();
    };
    let before = text[..start].trim();
    let end = text[start..]
        .find(|sign: char| !matches!(sign, '0'..='9' | '.' | ','))
        .map_or(text.len(), |at| start + at);
    let (number, after) = (&text[start..end], text[end..].trim());
    let goes_before = match after {
        "" => {
            ["ph", "sg", "par", "ppfd", "specific gravity"]
                .contains(&before.to_lowercase().as_str())
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

/// A number and the letters after it.
pub(super) struct Number {
    pub value: f64,
    pub decimals: u8,
    pub unit: String,
}

impl Number {
    fn of(&self, unit: &'static Unit, currency: Option<String>) -> Quantity {
        Quantity {
            value: unit.to_canonical(self.value),
            dimension: unit.dimension,
            species: unit.species,
            unit,
            typed: self.value,
            decimals: self.decimals,
            uncertainty: None,
            currency,
        }
    }
}

/// Splits `25.5 °C` into its number and its unit, which may be empty. Expects [`plain_signs`].
pub(super) fn split_number(text: &str) -> Result<Number, Problem> {
    let refused = || Problem::NotANumber {
        typed: text.trim().to_string(),
    };
    let text = text.trim();
    let unsigned = text.strip_prefix(['-', '+']).unwrap_or(text);
    let digits_end = unsigned
        .char_indices()
        .find(|(at, sign)| {
            // A comma or a point belongs to the number only with a digit behind it.
            let digit_behind =
                unsigned[at + sign.len_utf8()..].starts_with(|next: char| next.is_ascii_digit());
            !(sign.is_ascii_digit() || matches!(sign, '.' | ',') && digit_behind)
        })
        .map_or(unsigned.len(), |(at, _)| at);
    let mantissa = &unsigned[..digits_end];
    if !mantissa.contains(|sign: char| sign.is_ascii_digit()) {
        return Err(refused());
    }
    let rest = &unsigned[digits_end..];
    let exponent = exponent_of(rest);
    let unit = rest[exponent.len()..].trim();
    let negative = if text.starts_with('-') { "-" } else { "" };
    if mantissa.contains(',') {
        let number = format!("{negative}{}{exponent}", without_comma(mantissa));
        return Err(Problem::DecimalComma {
            suggestion: format!("{number} {unit}").trim().to_string(),
        });
    }
    let value: f64 = format!("{negative}{mantissa}{exponent}")
        .parse()
        .map_err(|_| refused())?;
    // A digit, a slash or a point after the number (`1 000 L`, `1/2 cup`, `5. L`) is a number not understood.
    let unclear =
        unit.starts_with(|sign: char| sign.is_ascii_digit() || matches!(sign, '/' | '.' | ':'));
    if !value.is_finite() || unclear {
        return Err(refused());
    }
    let written = mantissa
        .split_once('.')
        .map_or(0, |(_, decimals)| decimals.len() as i64);
    let shift: i64 = exponent
        .get(1..)
        .and_then(|power| power.parse().ok())
        .unwrap_or(0);
    let decimals = (written - shift).clamp(0, i64::from(u8::MAX)) as u8;
    Ok(Number {
        value,
        decimals,
        unit: unit.to_string(),
    })
}

/// `e-3` at the start of a text, or nothing.
fn exponent_of(text: &str) -> &str {
    let Some(after) = text.strip_prefix(['e', 'E']) else {
        return "";
    };
    let unsigned = after.strip_prefix(['-', '+']).unwrap_or(after);
    let digits = unsigned.len()
        - unsigned
            .trim_start_matches(|sign: char| sign.is_ascii_digit())
            .len();
    match digits {
        0 => "",
        _ => &text[..text.len() - unsigned.len() + digits],
    }
}

/// The number most likely meant: `25,5` is 25.5, `4,000` is 4000, `1,234.5` and `1.234,5` are 1234.5.
fn without_comma(mantissa: &str) -> String {
    let last_comma = mantissa.rfind(',').unwrap_or(0);
    match mantissa.rfind('.') {
        Some(point) if point < last_comma => return mantissa.replace('.', "").replace(',', "."),
        Some(_) => return mantissa.replace(',', ""),
        None => {}
    }
    let groups: Vec<&str> = mantissa.split(',').collect();
    let thousands = groups[1..].iter().all(|group| group.len() == 3)
        && (1..=3).contains(&groups[0].len())
        && !groups[0].starts_with('0');
    match thousands || groups.len() > 2 {
        true => mantissa.replace(',', ""),
        false => mantissa.replace(',', "."),
    }
}

#[cfg(test)]
mod tests {
    use super::super::unit_named;
    use super::*;
    use crate::units::Dimension::*;

    /// Expected numbers follow from the definitions of the units: 1 in = 2.54 cm, 1 lb = 453.59237 g, US gallon
    /// 3.785411784 L, imperial gallon 4.54609 L, t/°C = (t/°F − 32)/1.8 (NIST SP 811, appendix B.8, and the SI
    /// brochure, 9th edition).
    #[test]
    fn what_people_write_is_understood() {
        let table: &[(&str, crate::units::Dimension, f64)] = &[
            ("75 L", Volume, 75.0),
            ("75L", Volume, 75.0),
            ("75\u{a0}l", Volume, 75.0),
            ("75\u{202f}litres", Volume, 75.0),
            ("20 gal", Volume, 75.70823568),
            ("20 US gallons", Volume, 75.70823568),
            ("10 UK gal", Volume, 45.4609),
            ("250 mL", Volume, 0.25),
            ("1.2e3 ml", Volume, 1.2),
            ("1 m³", Volume, 1000.0),
            ("8 fl oz", Volume, 0.2365882365),
            ("1 tsp", Volume, 0.00492892159375),
            ("2 tbsp", Volume, 0.0295735295625),
            (".5 cup", Volume, 0.11829411825),
            ("4000 L/h", VolumeRate, 4000.0),
            ("4000lph", VolumeRate, 4000.0),
            ("4 m3/h", VolumeRate, 4000.0),
            ("2 L min-1", VolumeRate, 120.0),
            ("400 gph", VolumeRate, 1514.1647136),
            ("5 gpm", VolumeRate, 1135.6235352),
            ("24 mL per day", VolumeRate, 0.001),
            ("60 cm", Length, 60.0),
            ("8mm", Length, 0.8),
            ("0.9 m", Length, 90.0),
            ("24\"", Length, 60.96),
            ("24 inches", Length, 60.96),
            ("4 ft", Length, 121.92),
            ("4′", Length, 121.92),
            ("2 m²", Area, 20000.0),
            ("18 kg", Mass, 18000.0),
            ("3 mg", Mass, 0.003),
            ("40 lb", Mass, 18143.6948),
            ("3 oz", Mass, 85.048569375),
            ("38 W", Power, 38.0),
            ("1.1 kW", Power, 1100.0),
            ("500 mW", Power, 0.5),
            ("123.4 kWh", Energy, 123.4),
            ("250 Wh", Energy, 0.25),
            ("230 V", Voltage, 230.0),
            ("16 A", Current, 16.0),
            ("300 mA", Current, 0.3),
            ("25.5 °C", Temperature, 25.5),
            ("25.5C", Temperature, 25.5),
            ("25.5 degC", Temperature, 25.5),
            ("25.5 ℃", Temperature, 25.5),
            ("−1.8 °C", Temperature, -1.8),
            ("78.8 °F", Temperature, 26.0),
            ("77F", Temperature, 25.0),
            ("298.15 K", Temperature, 25.0),
            ("1.8 °F", TemperatureDifference, 1.0),
            ("± 0.2 °C", TemperatureDifference, 0.2),
            ("60 µmol/m²/s", PhotonFlux, 60.0),
            ("60 \u{3bc}mol m⁻² s⁻¹", PhotonFlux, 60.0),
            ("60 umol/m^2/s", PhotonFlux, 60.0),
            ("60 µmol·m-2·s-1", PhotonFlux, 60.0),
            ("60 µmol/(m²·s)", PhotonFlux, 60.0),
            ("60 PAR", PhotonFlux, 60.0),
            ("PPFD 60", PhotonFlux, 60.0),
            ("2.5 mol/m²/d", DailyLight, 2.5),
            ("9 klx", Illuminance, 9000.0),
            ("9600 lm", LuminousFlux, 9600.0),
            ("6 h 30 min", Duration, 6.5),
            ("8.1 dKH", Alkalinity, 8.1),
            ("8.1 °dKH", Alkalinity, 8.1),
            ("0.05 mg/L", Concentration, 0.05),
            ("50 µg/L", Concentration, 0.05),
            ("50 ug/l", Concentration, 0.05),
            ("34.6 g/L", Concentration, 34600.0),
            ("420 ppm", Concentration, 420.0),
            ("50 ppb", Concentration, 0.05),
            ("35 ppt", Salinity, 35.0),
            ("35 PSU", Salinity, 35.0),
            ("35 g/kg", Salinity, 35.0),
            ("35 ‰", Salinity, 35.0),
            ("1.0255 SG", SpecificGravity, 1.0255),
            ("SG 1.0255", SpecificGravity, 1.0255),
            ("53 mS/cm", Conductivity, 53.0),
            ("53000 µS/cm", Conductivity, 53.0),
            ("8.1 pH", Acidity, 8.1),
            ("pH 8.1", Acidity, 8.1),
            ("60 %", Fraction, 0.6),
            ("60%", Fraction, 0.6),
            ("8 cm/s", Speed, 8.0),
            ("0.08 m/s", Speed, 8.0),
            ("0.24 EUR/kWh", Tariff, 0.24),
            ("€0.24/kWh", Tariff, 0.24),
            ("$0.16 per kWh", Tariff, 0.16),
            ("120 EUR", Money, 120.0),
            ("EUR 120", Money, 120.0),
            ("12", Count, 12.0),
        ];
        for (text, dimension, expected) in table {
            match parse(text, &[*dimension], None) {
                Ok(got) => {
                    assert_eq!(got.dimension, *dimension, "{text}");
                    let error = (got.value - expected).abs();
                    assert!(
                        error <= 1e-12 * expected.abs(),
                        "{text}: {} is not {expected}",
                        got.value
                    );
                }
                Err(problem) => panic!("{text}: {problem:?}"),
            }
        }
    }

    #[test]
    fn what_is_not_a_quantity_is_refused() {
        let number = |typed: &str| Problem::NotANumber {
            typed: typed.to_string(),
        };
        let table: &[(&str, crate::units::Dimension, Problem)] = &[
            ("", Volume, Problem::EmptyText),
            (" \u{a0}", Volume, Problem::EmptyText),
            ("75", Volume, Problem::MissingUnit { typed: "75".into() }),
            ("lots", Volume, number("lots")),
            ("NaN L", Volume, number("NaN L")),
            ("inf L", Volume, number("inf L")),
            ("1e999 L", Volume, number("1e999 L")),
            ("1 000 L", Volume, number("1 000 L")),
            ("1/2 cup", Volume, number("1/2 cup")),
            ("1.2.3 L", Volume, number("1.2.3 L")),
            ("12:30 h", Duration, number("12:30 h")),
            ("below 2 L", Volume, number("below 2 L")),
            (
                "25,5 °C",
                Temperature,
                Problem::DecimalComma {
                    suggestion: "25.5 °C".into(),
                },
            ),
            (
                "4,000 L/h",
                VolumeRate,
                Problem::DecimalComma {
                    suggestion: "4000 L/h".into(),
                },
            ),
            (
                "4,000",
                VolumeRate,
                Problem::DecimalComma {
                    suggestion: "4000".into(),
                },
            ),
            (
                "0,125 L",
                Volume,
                Problem::DecimalComma {
                    suggestion: "0.125 L".into(),
                },
            ),
            (
                "1,234.5 L",
                Volume,
                Problem::DecimalComma {
                    suggestion: "1234.5 L".into(),
                },
            ),
            (
                "-1.234,5 g",
                Mass,
                Problem::DecimalComma {
                    suggestion: "-1234.5 g".into(),
                },
            ),
            (
                "25 °C",
                Volume,
                Problem::WrongDimension {
                    got: Temperature,
                    unit: "°C".into(),
                },
            ),
            (
                "3 m",
                Duration,
                Problem::WrongDimension {
                    got: Length,
                    unit: "m".into(),
                },
            ),
            (
                "0.2 EUR/kWh",
                Power,
                Problem::WrongDimension {
                    got: Tariff,
                    unit: "EUR/kWh".into(),
                },
            ),
            (
                "8 dKG",
                Alkalinity,
                Problem::UnknownUnit {
                    unit: "dKG".into(),
                    nearest: Some("dKH".into()),
                },
            ),
            (
                "5 mg/L N",
                Concentration,
                Problem::UnknownUnit {
                    unit: "mg/L N".into(),
                    nearest: None,
                },
            ),
            (
                "5 µmol/L",
                Concentration,
                Problem::UnknownUnit {
                    unit: "µmol/L".into(),
                    nearest: Some("µmol/L NO3".into()),
                },
            ),
            ("2 L ± ", Volume, Problem::EmptyText),
            (
                "2 L ± 1 kg",
                Volume,
                Problem::WrongDimension {
                    got: Mass,
                    unit: "kg".into(),
                },
            ),
            ("2 L ± -1 L", Volume, number("-1 L")),
            (
                "25 °C ± 2 %",
                Temperature,
                Problem::WrongDimension {
                    got: Fraction,
                    unit: "%".into(),
                },
            ),
            (
                "24 ct/kWh",
                Tariff,
                Problem::UnknownUnit {
                    unit: "ct/kWh".into(),
                    nearest: None,
                },
            ),
            (
                "5 MW",
                Power,
                Problem::UnknownUnit {
                    unit: "MW".into(),
                    nearest: Some("W".into()),
                },
            ),
        ];
        for (text, dimension, expected) in table {
            assert_eq!(
                parse(text, &[*dimension], None).as_ref(),
                Err(expected),
                "{text}"
            );
        }
    }

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
            let got =
                parse(text, &[Concentration], None).unwrap_or_else(|p| panic!("{text}: {p:?}"));
            assert_eq!(got.species, Some(species), "{text}");
            let ion = to_canonical_ion(&got);
            assert!(
                (ion - expected).abs() < 1e-9 * expected,
                "{text}: {ion} is not {expected}"
            );
        }
        let bare = parse("5 mg/L", &[Concentration], None).unwrap();
        assert_eq!((bare.species, to_canonical_ion(&bare)), (None, 5.0));
    }

    #[test]
    fn a_usual_unit_stands_in_for_a_missing_one() {
        let usual = usual_unit("mg/L NO3-N").unwrap();
        let got = parse("2.50", &[Concentration], Some(usual)).unwrap();
        assert_eq!(
            (got.typed, got.decimals, got.species),
            (2.5, 2, Some(Species::NitrateN))
        );
        assert_eq!(got.unit.symbol, "mg/L NO₃-N");
        let fahrenheit = unit_named("°F");
        assert_eq!(parse("77", &[Temperature], fahrenheit).unwrap().value, 25.0);
        // A usual unit of another kind is no help.
        assert_eq!(
            parse("77", &[Volume], fahrenheit),
            Err(Problem::MissingUnit { typed: "77".into() })
        );
        assert_eq!(usual_unit("°C").unwrap().dimension, Temperature);
        assert_eq!(usual_unit("ppt").unwrap().dimension, Salinity);
        assert_eq!(usual_unit(" "), Err(Problem::EmptyText));
        let unknown = Problem::UnknownUnit {
            unit: "dKHH".into(),
            nearest: Some("dKH".into()),
        };
        assert_eq!(usual_unit("dKHH"), Err(unknown));
    }

    #[test]
    fn decimals_are_counted_as_typed() {
        let decimals = |text| parse(text, &[Volume], None).unwrap().decimals;
        assert_eq!(decimals("75 L"), 0);
        assert_eq!(decimals("75.50 L"), 2);
        assert_eq!(decimals("7.5e-2 L"), 3);
        assert_eq!(decimals("7.55e1 L"), 1);
        assert_eq!(decimals("7.5e3 L"), 0);
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
        assert_eq!(
            uncertainty("0.24 EUR/kWh ± 0.01 EUR/kWh", Tariff),
            Some(0.01)
        );
        assert_eq!(uncertainty("75 L", Volume), None);
    }

    #[test]
    fn bounds_are_told_from_values() {
        let bound = |text| parse_bounded(text, &[Concentration], unit_named("mg/L")).unwrap();
        for text in [
            "below 2 mg/L",
            "< 2 mg/L",
            "<2",
            "under 2",
            "Less than 2 mg/L",
            "≤ 2",
        ] {
            let (got, quantity) = bound(text);
            assert_eq!((got, quantity.value), (Bound::Below, 2.0), "{text}");
        }
        for text in [
            "above 50 mg/L",
            "> 50",
            ">50 mg/L",
            "over 50",
            "more than 50 mg/L",
        ] {
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
        assert_eq!(
            parse_percent("30"),
            Err(Problem::MissingUnit { typed: "30".into() })
        );
    }
}
