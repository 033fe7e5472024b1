//! Quantities as a reader sees them: rounded, with a true minus, a no-break space and the unit, metric or US.

use super::{Dimension, Species};

/// Which units a page is written in. Chemistry, light and electricity are the same in both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    #[default]
    Metric,
    Us,
}

const NO_BREAK_SPACE: char = '\u{a0}';
const MINUS: char = '\u{2212}';

/// A canonical value as text with its unit.
///
/// `decimals` counts for the canonical unit (for a fraction, for its percentage). Where the unit is another, as many
/// are shown as tell about the same; kilograms, millilitres, minutes and days come with three or four digits at most.
pub fn show(value: f64, dimension: Dimension, species: Option<Species>, system: System, decimals: u8) -> String {
    let scale = Scale::of(value, dimension, system);
    let shown = scale.value(value);
    let number = match scale.digits {
        Digits::AsGiven => fixed(shown, i32::from(decimals)),
        Digits::Finer(finer) => {
            let finer = if shown.abs() < 100.0 { finer } else { finer - 1 };
            let most = (3 - exponent(shown)).max(0);
            fixed(shown, (i32::from(decimals) + finer).min(most))
        }
        Digits::AtMost(digits) => trimmed(fixed(shown, (digits - 1 - exponent(shown)).max(0))),
    };
    with_unit(&number, dimension, &scale.symbol(species))
}

/// The value and `± u`, both rounded to where the uncertainty begins.
///
/// The uncertainty keeps two digits if it starts with 1 or 2, else one, and the value is rounded to match (the practice
/// of JCGM 100:2008, 7.2.6, which allows two digits at most). Without an uncertainty, `decimals` decides, as in
/// [`show`].
pub fn show_with_uncertainty(
    value: f64,
    uncertainty: Option<f64>,
    dimension: Dimension,
    species: Option<Species>,
    system: System,
    decimals: u8,
) -> (String, Option<String>) {
    let Some(uncertainty) = uncertainty.filter(|u| u.is_finite() && *u > 0.0) else {
        return (show(value, dimension, species, system, decimals), None);
    };
    let scale = Scale::of(value, dimension, system);
    let half_width = uncertainty * scale.factor;
    let place = uncertainty_decimals(half_width);
    let symbol = scale.symbol(species);
    let value = with_unit(&fixed(scale.value(value), place), dimension, &symbol);
    let half_width = fixed(half_width, place);
    // A pH is named once, before its value.
    let half_width = match dimension {
        Dimension::Acidity => half_width,
        _ => with_unit(&half_width, dimension, &symbol),
    };
    (value, Some(format!("±{NO_BREAK_SPACE}{half_width}")))
}

/// An amount of money: `120 EUR`.
pub fn show_money(value: f64, currency: &str, decimals: u8) -> String {
    with_unit(&fixed(value, i32::from(decimals)), Dimension::Money, currency)
}

/// A price of energy: `0.24 EUR/kWh`.
pub fn show_tariff(value: f64, currency: &str, decimals: u8) -> String {
    with_unit(&fixed(value, i32::from(decimals)), Dimension::Tariff, &format!("{currency}/kWh"))
}

/// The unit of an axis or a column, in which every value is written: no grams turn into kilograms here.
/// Gives the symbol, and what a canonical value is multiplied by, and then raised by.
pub fn unit_shown(dimension: Dimension, species: Option<Species>, system: System) -> (String, f64, f64) {
    // A middling value, at which no smaller or larger unit is chosen.
    let middling = match dimension {
        Dimension::Mass if system == System::Us => 1000.0,
        _ => 1.0,
    };
    let scale = Scale::of(middling, dimension, system);
    (scale.symbol(species), scale.factor, scale.offset)
}

/// Rounded to so many significant digits.
pub fn round_sig(value: f64, digits: u8) -> f64 {
    let after_first = usize::from(digits.max(1)) - 1;
    format!("{:.after_first$e}", away_from_ties(value)).parse().unwrap_or(value)
}

/// So that 0.35, which in binary is a little less, is rounded up as a reader would.
fn away_from_ties(value: f64) -> f64 {
    value * (1.0 + 4.0 * f64::EPSILON)
}

/// How many decimals an uncertainty deserves; negative where it is in the tens or more.
fn uncertainty_decimals(uncertainty: f64) -> i32 {
    let two_digits = format!("{:.1e}", away_from_ties(uncertainty));
    let leading = two_digits.chars().next().unwrap_or('9');
    let digits = if matches!(leading, '1' | '2') { 2 } else { 1 };
    digits - 1 - exponent(round_sig(uncertainty, 2))
}

/// The power of ten of the first digit; 0 for nothing.
fn exponent(value: f64) -> i32 {
    let text = format!("{value:e}");
    text.split_once('e').and_then(|(_, power)| power.parse().ok()).unwrap_or(0)
}

/// With a true minus, and none before a zero. Negative decimals round to tens, hundreds and so on.
fn fixed(value: f64, decimals: i32) -> String {
    let rounded = match u32::try_from(-decimals) {
        Ok(tens) if tens > 0 => {
            let unit = 10f64.powi(tens as i32);
            (value / unit).round() * unit
        }
        _ => away_from_ties(value),
    };
    let text = format!("{rounded:.*}", decimals.max(0) as usize);
    match text.strip_prefix('-') {
        Some(zero) if zero.chars().all(|sign| matches!(sign, '0' | '.')) => zero.to_string(),
        Some(positive) => format!("{MINUS}{positive}"),
        None => text,
    }
}

fn trimmed(number: String) -> String {
    match number.contains('.') {
        true => number.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => number,
    }
}

fn with_unit(number: &str, dimension: Dimension, symbol: &str) -> String {
    match dimension {
        Dimension::Acidity => format!("{symbol}{NO_BREAK_SPACE}{number}"),
        _ if symbol.is_empty() => number.to_string(),
        _ => format!("{number}{NO_BREAK_SPACE}{symbol}"),
    }
}

/// The unit chosen for a value.
struct Scale {
    symbol: &'static str,
    factor: f64,
    offset: f64,
    digits: Digits,
}

enum Digits {
    /// The decimals asked for.
    AsGiven,
    /// So many decimals more, since the unit is larger.
    Finer(i32),
    /// So many significant digits, and no zeros at the end.
    AtMost(i32),
}

impl Scale {
    fn of(value: f64, dimension: Dimension, system: System) -> Scale {
        let size = value.abs();
        let us = system == System::Us;
        let scale = |symbol, factor, digits| Scale { symbol, factor, offset: 0.0, digits };
        match dimension {
            Dimension::Volume if size > 0.0 && size < 0.5 => scale("mL", 1e3, Digits::AtMost(3)),
            Dimension::Volume if us => scale("gal", 1.0 / 3.785411784, Digits::Finer(1)),
            Dimension::Volume => scale("L", 1.0, Digits::AsGiven),
            Dimension::VolumeRate if us => scale("gph", 1.0 / 3.785411784, Digits::Finer(1)),
            Dimension::VolumeRate => scale("L/h", 1.0, Digits::AsGiven),
            Dimension::Length if us => scale("in", 1.0 / 2.54, Digits::Finer(1)),
            Dimension::Length => scale("cm", 1.0, Digits::AsGiven),
            Dimension::Area if us => scale("in²", 1.0 / (2.54 * 2.54), Digits::Finer(1)),
            Dimension::Area => scale("cm²", 1.0, Digits::AsGiven),
            Dimension::Mass if size > 0.0 && size < 1.0 => scale("mg", 1e3, Digits::AtMost(3)),
            Dimension::Mass if us && size >= 453.59237 => scale("lb", 1.0 / 453.59237, Digits::Finer(3)),
            // What is lighter than an ounce is weighed in grams in either system.
            Dimension::Mass if us && size >= 453.59237 / 16.0 => scale("oz", 16.0 / 453.59237, Digits::Finer(2)),
            Dimension::Mass if size >= 1000.0 => scale("kg", 1e-3, Digits::AtMost(4)),
            Dimension::Mass => scale("g", 1.0, Digits::AsGiven),
            Dimension::Temperature if us => Scale { symbol: "°F", factor: 1.8, offset: 32.0, digits: Digits::AsGiven },
            Dimension::TemperatureDifference if us => scale("°F", 1.8, Digits::AsGiven),
            Dimension::Temperature | Dimension::TemperatureDifference => scale("°C", 1.0, Digits::AsGiven),
            Dimension::Speed if us => scale("in/s", 1.0 / 2.54, Digits::Finer(1)),
            Dimension::Speed => scale("cm/s", 1.0, Digits::AsGiven),
            Dimension::Fraction => scale("%", 100.0, Digits::AsGiven),
            Dimension::Duration if size > 0.0 && size < 1.0 / 60.0 => scale("s", 3600.0, Digits::AtMost(3)),
            Dimension::Duration if size > 0.0 && size < 1.0 => scale("min", 60.0, Digits::AtMost(3)),
            Dimension::Duration if size >= 48.0 => scale("days", 1.0 / 24.0, Digits::AtMost(3)),
            Dimension::Duration => scale("h", 1.0, Digits::AsGiven),
            Dimension::Power => scale("W", 1.0, Digits::AsGiven),
            Dimension::Energy => scale("kWh", 1.0, Digits::AsGiven),
            Dimension::Voltage => scale("V", 1.0, Digits::AsGiven),
            Dimension::Current => scale("A", 1.0, Digits::AsGiven),
            Dimension::PhotonFlux => scale("µmol/m²/s", 1.0, Digits::AsGiven),
            Dimension::DailyLight => scale("mol/m²/d", 1.0, Digits::AsGiven),
            Dimension::Illuminance => scale("lx", 1.0, Digits::AsGiven),
            Dimension::LuminousFlux => scale("lm", 1.0, Digits::AsGiven),
            Dimension::Alkalinity => scale("dKH", 1.0, Digits::AsGiven),
            Dimension::Concentration => scale("mg/L", 1.0, Digits::AsGiven),
            Dimension::Salinity => scale("ppt", 1.0, Digits::AsGiven),
            Dimension::SpecificGravity => scale("SG", 1.0, Digits::AsGiven),
            Dimension::Conductivity => scale("mS/cm", 1.0, Digits::AsGiven),
            Dimension::Acidity => scale("pH", 1.0, Digits::AsGiven),
            Dimension::Tariff => scale("per\u{a0}kWh", 1.0, Digits::AsGiven),
            Dimension::Money | Dimension::Count => scale("", 1.0, Digits::AsGiven),
        }
    }

    fn value(&self, canonical: f64) -> f64 {
        canonical * self.factor + self.offset
    }

    fn symbol(&self, species: Option<Species>) -> String {
        match species {
            Some(species) if self.symbol == "mg/L" => {
                format!("mg/L{NO_BREAK_SPACE}{}", species.symbol())
            }
            _ => self.symbol.to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::System::{Metric, Us};
    use super::*;

    /// `_` stands for the no-break space and `-` for the true minus.
    fn spelled(text: &str) -> String {
        text.replace('_', "\u{a0}").replace('-', "\u{2212}")
    }

    #[test]
    fn values_carry_their_unit() {
        let table = [
            (25.5, Dimension::Temperature, Metric, 1, "25.5_°C"),
            (25.0, Dimension::Temperature, Us, 1, "77.0_°F"),
            (-1.8, Dimension::Temperature, Metric, 1, "-1.8_°C"),
            (-0.04, Dimension::Temperature, Metric, 1, "0.0_°C"),
            (1.0, Dimension::TemperatureDifference, Us, 1, "1.8_°F"),
            (114.0, Dimension::Volume, Metric, 0, "114_L"),
            (114.0, Dimension::Volume, Us, 0, "30.1_gal"),
            (0.0125, Dimension::Volume, Metric, 1, "12.5_mL"),
            (0.004, Dimension::Volume, Us, 1, "4_mL"),
            (0.0, Dimension::Volume, Metric, 0, "0_L"),
            (4000.0, Dimension::VolumeRate, Metric, 0, "4000_L/h"),
            (4000.0, Dimension::VolumeRate, Us, 0, "1057_gph"),
            (60.0, Dimension::Length, Metric, 0, "60_cm"),
            (60.96, Dimension::Length, Us, 0, "24.0_in"),
            (12.0, Dimension::Mass, Metric, 1, "12.0_g"),
            (18_000.0, Dimension::Mass, Metric, 0, "18_kg"),
            (132_468.5, Dimension::Mass, Metric, 0, "132.5_kg"),
            (18_143.694_8, Dimension::Mass, Us, 0, "40.00_lb"),
            (85.048_569_375, Dimension::Mass, Us, 0, "3.00_oz"),
            (0.05, Dimension::Mass, Metric, 1, "50_mg"),
            (0.6, Dimension::Fraction, Metric, 0, "60_%"),
            (6.5, Dimension::Duration, Metric, 1, "6.5_h"),
            (0.75, Dimension::Duration, Metric, 1, "45_min"),
            (72.0, Dimension::Duration, Metric, 1, "3_days"),
            (8.1, Dimension::Acidity, Metric, 2, "pH_8.10"),
            (1.0264, Dimension::SpecificGravity, Us, 4, "1.0264_SG"),
            (12.0, Dimension::Count, Metric, 0, "12"),
        ];
        for (value, dimension, system, decimals, expected) in table {
            let got = show(value, dimension, None, system, decimals);
            assert_eq!(got, spelled(expected), "{value} {dimension:?} {system:?}");
        }
        let nitrate = show(5.0, Dimension::Concentration, Some(Species::Nitrate), Metric, 1);
        assert_eq!(nitrate, spelled("5.0_mg/L_NO₃"));
        assert_eq!(show_tariff(0.24, "EUR", 2), spelled("0.24_EUR/kWh"));
        assert_eq!(show_money(120.0, "EUR", 2), spelled("120.00_EUR"));
    }

    /// JCGM 100:2008, 7.2.2 and 7.2.6: 100.021 47 g with u = 0.35 mg is written 100.021 47(35) g, and 10.057 62 Ω with
    /// 27 mΩ is rounded to 10.058 Ω. Its first keeps two digits of 35 where the rule here keeps one. (From memory.)
    #[test]
    fn the_uncertainty_says_where_to_round() {
        let table = [
            (10.05762, 0.027, "10.058_V", "±_0.027_V"),
            (100.02147, 0.00035, "100.0215_V", "±_0.0004_V"),
            (25.3456, 0.2345, "25.35_V", "±_0.23_V"),
            (25.3456, 0.3, "25.3_V", "±_0.3_V"),
            (8.149, 0.096, "8.15_V", "±_0.10_V"),
            (1234.5, 130.0, "1230_V", "±_130_V"),
            (1234.5, 47.0, "1230_V", "±_50_V"),
            (1234.5, 5.0, "1235_V", "±_5_V"),
            (-0.004, 0.1, "0.00_V", "±_0.10_V"),
        ];
        for (value, u, expected, expected_u) in table {
            let (got, got_u) = show_with_uncertainty(value, Some(u), Dimension::Voltage, None, Metric, 0);
            assert_eq!((got, got_u), (spelled(expected), Some(spelled(expected_u))), "{value} {u}");
        }
    }

    #[test]
    fn an_uncertainty_is_converted_as_a_difference() {
        let shown = |value, u, dimension, system| {
            let (value, u) = show_with_uncertainty(value, Some(u), dimension, None, system, 1);
            format!("{value} {}", u.unwrap_or_default())
        };
        let us = shown(25.0, 0.5, Dimension::Temperature, Us);
        assert_eq!(us, spelled("77.0_°F ±_0.9_°F"));
        assert_eq!(shown(114.0, 2.0, Dimension::Volume, Us), spelled("30.1_gal ±_0.5_gal"));
        assert_eq!(shown(18_000.0, 500.0, Dimension::Mass, Metric), spelled("18.0_kg ±_0.5_kg"));
        assert_eq!(shown(8.1, 0.05, Dimension::Acidity, Metric), spelled("pH_8.10 ±_0.05"));
        assert_eq!(shown(0.6, 0.05, Dimension::Fraction, Metric), spelled("60_% ±_5_%"));
        let without = show_with_uncertainty(5.0, None, Dimension::Power, None, Metric, 1);
        assert_eq!(without, (spelled("5.0_W"), None));
        let nothing = show_with_uncertainty(5.0, Some(0.0), Dimension::Power, None, Metric, 1);
        assert_eq!(nothing, (spelled("5.0_W"), None));
    }

    #[test]
    fn an_axis_keeps_one_unit() {
        let water = unit_shown(Dimension::Temperature, None, Us);
        assert_eq!(water, ("°F".to_string(), 1.8, 32.0));
        let nitrate = unit_shown(Dimension::Concentration, Some(Species::Nitrate), Metric);
        assert_eq!(nitrate, (spelled("mg/L_NO₃"), 1.0, 0.0));
        assert_eq!(unit_shown(Dimension::Mass, None, Metric), ("g".to_string(), 1.0, 0.0));
        assert_eq!(unit_shown(Dimension::Volume, None, Us).0, "gal");
    }

    #[test]
    fn significant_digits_are_kept() {
        assert_eq!(round_sig(1234.5, 2), 1200.0);
        assert_eq!(round_sig(0.285, 2), 0.29);
        assert_eq!(round_sig(0.0012345, 3), 0.00123);
        assert_eq!(round_sig(-9.99, 2), -10.0);
        assert_eq!(round_sig(0.0, 3), 0.0);
    }
}
