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

/// The same to a billionth of the span, in a tenth of the steps: for functions that are asked for thousands of times.
///
/// The false position, with the value at an end that stays halved (Dahlquist & Björck 1974, the Illinois rule; from
/// memory). Like bisection it cannot leave the span. The signs at the ends differ.
pub(super) fn crossing_quick(low: f64, high: f64, function: impl Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (low, high);
    let (mut at_a, mut at_b) = (function(a), function(b));
    for _ in 0..200 {
        if at_a == 0.0 || (b - a).abs() <= 1e-9 * (high - low) {
            return a;
        }
        let middle = b - at_b * (b - a) / (at_b - at_a);
        let at_middle = function(middle);
        if at_middle == 0.0 || (middle - b).abs() <= 1e-12 * (high - low) {
            return middle;
        }
        if (at_middle > 0.0) == (at_b > 0.0) {
            at_a /= 2.0;
        } else {
            (a, at_a) = (b, at_b);
        }
        (b, at_b) = (middle, at_middle);
    }
    b
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
    fn the_quick_way_finds_the_same_root() {
        for function in [|x: f64| x * x - 2.0, |x: f64| 2.0 - x * x, |x: f64| x.powi(9) - 3.0, |x: f64| 1.0 - x.exp()] {
            let (low, high) = (-0.5, 2.0);
            let low = if function(low).signum() == function(high).signum() { 0.5 } else { low };
            let exact = crossing(low, high, function);
            assert!((crossing_quick(low, high, function) - exact).abs() < 1e-8, "{exact}");
        }
    }

    #[test]
    fn coefficients_count_from_the_constant_term() {
        assert_eq!(polynomial(&[1.0, 2.0, 3.0], 10.0), 321.0);
        assert_eq!(polynomial(&[], 10.0), 0.0);
    }
}
