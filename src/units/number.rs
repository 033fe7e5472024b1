//! Splits a text into its number and what follows it. Expects [`plain_signs`](super::lookup::plain_signs).

use super::catalogue::Unit;
use super::parse::{Problem, Quantity};

/// A number and the letters after it.
pub(super) struct Number {
    pub value: f64,
    pub decimals: u8,
    pub unit: String,
}

impl Number {
    pub fn of(&self, unit: &'static Unit, currency: Option<String>) -> Quantity {
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

/// Splits `25.5 °C` into its number and its unit, which may be empty.
pub(super) fn split_number(text: &str) -> Result<Number, Problem> {
    let refused = || Problem::NotANumber { typed: text.trim().to_string() };
    let text = text.trim();
    let unsigned = text.strip_prefix(['-', '+']).unwrap_or(text);
    let digits_end = unsigned
        .char_indices()
        .find(|(at, sign)| {
            // A comma or a point belongs to the number only with a digit behind it.
            let digit_behind = unsigned[at + sign.len_utf8()..].starts_with(|next: char| next.is_ascii_digit());
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
        return Err(Problem::DecimalComma { suggestion: format!("{number} {unit}").trim().to_string() });
    }
    let value: f64 = format!("{negative}{mantissa}{exponent}").parse().map_err(|_| refused())?;
    // A digit, a slash or a point after the number (`1 000 L`, `1/2 cup`, `5. L`) is a number not understood.
    let unclear = unit.starts_with(|sign: char| sign.is_ascii_digit() || matches!(sign, '/' | '.' | ':'));
    if !value.is_finite() || unclear {
        return Err(refused());
    }
    let written = mantissa.split_once('.').map_or(0, |(_, decimals)| decimals.len() as i64);
    let shift: i64 = exponent.get(1..).and_then(|power| power.parse().ok()).unwrap_or(0);
    let decimals = (written - shift).clamp(0, i64::from(u8::MAX)) as u8;
    Ok(Number { value, decimals, unit: unit.to_string() })
}

/// `e-3` at the start of a text, or nothing.
fn exponent_of(text: &str) -> &str {
    let Some(after) = text.strip_prefix(['e', 'E']) else {
        return "";
    };
    let unsigned = after.strip_prefix(['-', '+']).unwrap_or(after);
    let digits = unsigned.len() - unsigned.trim_start_matches(|sign: char| sign.is_ascii_digit()).len();
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
    use super::*;

    #[test]
    fn decimals_are_counted_as_typed() {
        let table = [
            ("75 L", 75.0, 0, "L"),
            ("75.50L", 75.5, 2, "L"),
            ("7.5e-2 L", 0.075, 3, "L"),
            ("7.55e1 L", 75.5, 1, "L"),
            ("7.5E+3", 7500.0, 0, ""),
            ("-.5 °C", -0.5, 1, "°C"),
            ("+5 EUR", 5.0, 0, "EUR"),
            ("5e", 5.0, 0, "e"),
        ];
        for (text, value, decimals, unit) in table {
            let number = split_number(text).unwrap_or_else(|problem| panic!("{text}: {problem:?}"));
            let got = (number.value, number.decimals, number.unit.as_str());
            assert_eq!(got, (value, decimals, unit), "{text}");
        }
    }

    #[test]
    fn a_comma_is_put_right_as_most_would_mean_it() {
        let table = [
            ("25,5", "25.5"),
            ("4,000", "4000"),
            ("0,125", "0.125"),
            ("1,234.5", "1234.5"),
            ("1.234,5", "1234.5"),
            ("1,234,567", "1234567"),
            ("12,34", "12.34"),
        ];
        for (mantissa, expected) in table {
            assert_eq!(without_comma(mantissa), expected, "{mantissa}");
        }
    }
}
