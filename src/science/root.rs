//! Finding where a rising or falling function crosses zero.

/// The place between `low` and `high` where a continuous function changes sign, to the last digit of an `f64`.
///
/// Bisection: slow, but it cannot fail or wander, and gives the same digits on every machine. The caller has made sure
/// that the signs at the ends differ.
pub(super) fn crossing(mut low: f64, mut high: f64, function: impl Fn(f64) -> f64) -> f64 {
    let rises = function(high) > function(low);
    loop {
        let middle = low + (high - low) / 2.0;
        // No number lies between the ends any more (or an end is not a number).
        if !(middle > low && middle < high) {
            return middle;
        }
        if (function(middle) > 0.0) == rises {
            high = middle;
        } else {
            low = middle;
        }
    }
}

/// c₀ + c₁ x + c₂ x² + ...
pub(super) fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_root_of_a_rising_and_of_a_falling_function() {
        assert!((crossing(0.0, 2.0, |x| x * x - 2.0) - 2.0_f64.sqrt()).abs() < 1e-15);
        assert!((crossing(0.0, 2.0, |x| 2.0 - x * x) - 2.0_f64.sqrt()).abs() < 1e-15);
        assert!((crossing(0.0, 4.0, |x| x - 1.0) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn coefficients_count_from_the_constant_term() {
        assert_eq!(polynomial(&[1.0, 2.0, 3.0], 10.0), 321.0);
        assert_eq!(polynomial(&[], 10.0), 0.0);
    }
}
