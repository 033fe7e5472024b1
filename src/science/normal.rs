//! The normal distribution, as far as trends and intervals need it.

/// The two-sided 95 % point of the standard normal distribution, Φ⁻¹(0.975), to the last digit of an `f64`.
///
/// Source: [`jcgm_100_2008`](crate::science::sources), table G.1 gives it as 1.960.
pub const TWO_SIDED_95: f64 = 1.959963984540054;

/// The one-sided 95 % point, Φ⁻¹(0.95), as tables print it: a bound lies so many standard uncertainties away, and what lies
/// further outside a limit is outside.
///
/// ```
/// # use polypary::science::normal::{ONE_SIDED_95, cumulative};
/// assert!((cumulative(ONE_SIDED_95) - 0.95).abs() < 2e-5);
/// ```
pub const ONE_SIDED_95: f64 = 1.645;

/// The chance that a standard normal value lies further from zero than `z` does, on either side.
///
/// p = erfc(|z|/√2)
///
/// `z` in standard deviations; the result lies in 0 to 1 and is good to about 1e-14 of itself, so that a very small p
/// is a real number and not a rounding error.
/// erfc by the Maclaurin series of erf below 2 and by its continued fraction above.
/// Source: [`abramowitz_stegun_1964`](crate::science::sources), 7.1.5 and 7.1.14.
///
/// ```
/// # use polypary::science::normal::two_sided_p;
/// // Abramowitz & Stegun 1964, table 26.1: P(1.96) = 0.97500 21049, hence p = 2 (1 - P).
/// assert!((two_sided_p(1.96) - 0.0499957902).abs() < 1e-9);
/// // The same table's far end: Q(5) = 2.86651 57e-7.
/// assert!((two_sided_p(-5.0) / (2.0 * 2.8665157e-7) - 1.0).abs() < 1e-7);
/// assert_eq!(two_sided_p(0.0), 1.0);
/// ```
pub fn two_sided_p(z: f64) -> f64 {
    complementary_error_function(z.abs() / std::f64::consts::SQRT_2)
}

/// Φ(z), the chance that a standard normal value lies below `z`; good to about 1e-14 of itself on either side.
///
/// Source: as [`two_sided_p`].
///
/// ```
/// # use polypary::science::normal::cumulative;
/// // Abramowitz & Stegun 1964, table 26.1: P(1) = 0.84134 47461, and Q(5) = 2.86651 57e-7.
/// assert!((cumulative(1.0) - 0.8413447461).abs() < 1e-10);
/// assert!((cumulative(-5.0) / 2.8665157e-7 - 1.0).abs() < 1e-7);
/// ```
pub fn cumulative(z: f64) -> f64 {
    let tail = two_sided_p(z) / 2.0;
    if z > 0.0 { 1.0 - tail } else { tail }
}

/// ln Φ(z), also where Φ itself is too small for a number.
pub fn log_cumulative(z: f64) -> f64 {
    if z > -30.0 { cumulative(z).ln() } else { -0.5 * z * z - (-z * (2.0 * std::f64::consts::PI).sqrt()).ln() }
}

/// φ(z)/Φ(z): how steeply ln Φ climbs, the pull of a value that is only known to lie below a limit.
///
/// Near −z for values far above the limit, near zero far below it.
/// Source: as [`two_sided_p`]; far out the leading terms of the continued fraction 7.1.14.
pub fn mills_ratio_below(z: f64) -> f64 {
    if z < -30.0 {
        return -z - 1.0 / z;
    }
    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    density / cumulative(z)
}

/// erfc(x) for x of zero or more.
fn complementary_error_function(x: f64) -> f64 {
    if x < 2.0 { 1.0 - error_function_series(x) } else { continued_fraction(x) }
}

/// erf x = 2/√π Σ (-1)ⁿ x^(2n+1) / (n! (2n+1)), 7.1.5.
fn error_function_series(x: f64) -> f64 {
    let mut power_over_factorial = x;
    let mut sum = x;
    let mut n = 0.0;
    loop {
        n += 1.0;
        power_over_factorial *= -x * x / n;
        let term = power_over_factorial / (2.0 * n + 1.0);
        sum += term;
        if term.abs() <= sum.abs() * 1e-17 {
            return std::f64::consts::FRAC_2_SQRT_PI * sum;
        }
    }
}

/// √π e^(x²) erfc x = 1/(x + (1/2)/(x + 1/(x + (3/2)/(x + ...)))), 7.1.14, worked from the inside out.
fn continued_fraction(x: f64) -> f64 {
    // At x = 2, the slowest, sixty levels already give every digit of an `f64`.
    let mut tail = x;
    for level in (1..=120).rev() {
        tail = x + f64::from(level) / 2.0 / tail;
    }
    (-x * x).exp() * std::f64::consts::FRAC_2_SQRT_PI / 2.0 / tail
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz & Stegun 1964, tables 7.1 and 7.3 (from memory, and equal to the values of scipy's `erfc`).
    #[test]
    fn published_values_of_erfc() {
        for (x, erfc) in [
            (0.5, 0.4795001221869535),
            (1.0, 0.15729920705028513),
            (2.0, 0.004677734981047266),
            (3.0, 2.209049699858544e-05),
            (5.0, 1.537459794428035e-12),
        ] {
            let relative = complementary_error_function(x) / erfc - 1.0;
            assert!(relative.abs() < 1e-12, "erfc({x}) is off by {relative}");
        }
    }

    #[test]
    fn both_ways_agree_where_they_meet() {
        let series = 1.0 - error_function_series(2.0);
        assert!((series / continued_fraction(2.0) - 1.0).abs() < 1e-12);
    }

    /// Both ways to ln Φ and its slope agree where they meet, within what the next term of the series leaves.
    #[test]
    fn the_far_tail_joins_the_near_one() {
        let (near, far) = (cumulative(-29.999_999).ln(), log_cumulative(-30.000_001));
        assert!((near - far).abs() < 2e-3, "{near} {far}");
        assert!((mills_ratio_below(-29.999_999) - mills_ratio_below(-30.000_001)).abs() < 1e-4);
        assert!((mills_ratio_below(0.0) - (2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-14);
    }

    #[test]
    fn the_95_percent_point_leaves_one_in_twenty() {
        assert!((two_sided_p(TWO_SIDED_95) - 0.05).abs() < 1e-15);
    }
}
