//! The range in which a formula holds, and the refusal outside it.

use std::fmt;

/// A value lies outside the range in which a formula was fitted or makes sense, so no result is given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfRange {
    /// What the value is, in plain words: `temperature`.
    pub quantity: &'static str,
    /// The value that was given, in `unit`.
    pub value: f64,
    /// The lowest value the formula takes, in `unit`.
    pub low: f64,
    /// The highest value the formula takes, in `unit`; infinite where only a lower limit exists.
    pub high: f64,
    /// The unit of all three numbers, as a person writes it; empty for a bare number.
    pub unit: &'static str,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        write!(f, "{} of {}{unit} is outside the formula's range, ", self.quantity, short(self.value))?;
        if self.low == f64::MIN_POSITIVE {
            write!(f, "more than 0{unit}")
        } else if self.high.is_infinite() {
            write!(f, "{}{unit} or more", short(self.low))
        } else {
            write!(f, "{} to {}{unit}", short(self.low), short(self.high))
        }
    }
}

impl std::error::Error for OutOfRange {}

/// Hands the value back where it lies in `low..=high`; a value that is not a number is never in range.
///
/// ```
/// use polypary::science::within;
/// assert_eq!(within("temperature", 25.0, 0.0, 40.0, "°C"), Ok(25.0));
/// let refusal = within("temperature", 77.0, 0.0, 40.0, "°C").unwrap_err();
/// assert_eq!(refusal.to_string(), "temperature of 77 °C is outside the formula's range, 0 to 40 °C");
/// assert!(within("temperature", f64::NAN, 0.0, 40.0, "°C").is_err());
/// ```
pub fn within(quantity: &'static str, value: f64, low: f64, high: f64, unit: &'static str) -> Result<f64, OutOfRange> {
    // An infinite value is refused even where there is no upper limit: it is never a measurement.
    if value.is_finite() && value >= low && value <= high {
        Ok(value)
    } else {
        Err(OutOfRange { quantity, value, low, high, unit })
    }
}

/// The value where it is zero or more.
pub(crate) fn not_negative(quantity: &'static str, value: f64, unit: &'static str) -> Result<f64, OutOfRange> {
    within(quantity, value, 0.0, f64::INFINITY, unit)
}

/// The value where it is greater than zero, for a divisor.
pub(crate) fn positive(quantity: &'static str, value: f64, unit: &'static str) -> Result<f64, OutOfRange> {
    within(quantity, value, f64::MIN_POSITIVE, f64::INFINITY, unit)
}

/// At most six decimals, without trailing zeros.
fn short(value: f64) -> String {
    let text = format!("{value:.6}");
    if !text.contains('.') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_themselves_are_in_range() {
        assert_eq!(within("salinity", 2.0, 2.0, 42.0, ""), Ok(2.0));
        assert_eq!(within("salinity", 42.0, 2.0, 42.0, ""), Ok(42.0));
        assert!(within("salinity", 42.000001, 2.0, 42.0, "").is_err());
        assert!(within("salinity", 1.999999, 2.0, 42.0, "").is_err());
    }

    #[test]
    fn infinity_is_never_a_measurement() {
        assert!(not_negative("volume", f64::INFINITY, "L").is_err());
        assert!(not_negative("volume", -0.1, "L").is_err());
        assert!(positive("volume", 0.0, "L").is_err());
        assert_eq!(positive("volume", 1e-9, "L"), Ok(1e-9));
    }

    #[test]
    fn refusals_read_as_sentences() {
        let refusal = positive("volume", 0.0, "L").unwrap_err();
        assert_eq!(refusal.to_string(), "volume of 0 L is outside the formula's range, more than 0 L");
        let refusal = within("specific gravity", 1.5, 0.9, 1.1, "").unwrap_err();
        assert_eq!(refusal.to_string(), "specific gravity of 1.5 is outside the formula's range, 0.9 to 1.1");
    }
}
