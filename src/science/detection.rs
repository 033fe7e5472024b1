//! What readings can tell apart.

use super::normal::TWO_SIDED_95;
use super::range::{OutOfRange, not_negative, positive};

/// The smallest difference of two readings that is more than their own scatter, at 95 %, in the unit of `u`.
///
/// Δ = 1.96·√2·u
///
/// `u` is the standard uncertainty of one reading; both readings have the same and share no error.
/// Valid: `u` of zero or more.
/// Source: [`jcgm_100_2008`](crate::science::sources), 5.1.2 for the difference and G.1 for 1.96.
///
/// ```
/// # use polypary::science::{trend::smallest_visible_change, OutOfRange};
/// // 1.96 × 1.41421 × 0.3 dKH, by hand.
/// assert!((smallest_visible_change(0.3)? - 0.83154).abs() < 1e-5);
/// assert_eq!(smallest_visible_change(0.0)?, 0.0);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn smallest_visible_change(u: f64) -> Result<f64, OutOfRange> {
    let u = not_negative("standard uncertainty of a reading", u, "")?;
    Ok(TWO_SIDED_95 * std::f64::consts::SQRT_2 * u)
}

/// Standard uncertainty of a straight line's slope that the errors of its readings alone explain, in the unit of `us` by
/// that of `times`; infinite where no two readings of one group lie at different times.
///
/// u(slope) = 1/√Σ (t − t̄)²/u², with t̄ the mean weighed by 1/u² of each group
///
/// Readings share no error but that of their group (one kit and lot), which has its own offset.
/// Valid: `us` greater than zero, one for each time and group.
/// Source: weighted least squares, [`aitken_1935`](crate::science::sources).
///
/// ```
/// # use polypary::science::trend::slope_uncertainty;
/// // By hand: ±0.7 at 0, 7 and 14 days: 0.7/√(49 + 0 + 49) = 0.0707.
/// assert!((slope_uncertainty(&[0.0, 7.0, 14.0], &[0.7; 3], &[0; 3]) - 0.7 / 98f64.sqrt()).abs() < 1e-12);
/// assert!(slope_uncertainty(&[3.0, 3.0], &[0.7; 2], &[0; 2]).is_infinite());
/// ```
pub fn slope_uncertainty(times: &[f64], us: &[f64], groups: &[usize]) -> f64 {
    let mut kinds = groups.to_vec();
    kinds.sort_unstable();
    kinds.dedup();
    let of_group = |kind: usize| {
        let own: Vec<(f64, f64)> = times
            .iter()
            .zip(us)
            .zip(groups)
            .filter(|(_, group)| **group == kind)
            .map(|((time, u), _)| (*time, 1.0 / (u * u)))
            .collect();
        let weight: f64 = own.iter().map(|(_, weight)| weight).sum();
        let mean = own.iter().map(|(time, weight)| time * weight).sum::<f64>() / weight;
        own.iter().map(|(time, weight)| weight * (time - mean).powi(2)).sum::<f64>()
    };
    kinds.into_iter().map(of_group).sum::<f64>().sqrt().recip()
}

/// Days until two readings tell an expected change from none, at 95 %.
///
/// days = 1.96·√2·u / |slope|
///
/// `u` in the unit of the value, `expected_slope_per_day` in that unit per day and of either sign.
/// Errors: a slope of zero, which no wait makes visible.
/// Source: as [`smallest_visible_change`].
///
/// ```
/// # use polypary::science::{trend::detectable_after, OutOfRange};
/// // A use of 0.1 dKH a day by a kit good to 0.3 dKH shows after 8.3 days, of 0.02 after 41.6 (by hand).
/// assert!((detectable_after(0.3, -0.1)? - 8.3154).abs() < 1e-4);
/// assert!((detectable_after(0.3, 0.02)? - 41.577).abs() < 1e-3);
/// assert!(detectable_after(0.3, 0.0).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn detectable_after(u: f64, expected_slope_per_day: f64) -> Result<f64, OutOfRange> {
    let slope = positive("expected change per day", expected_slope_per_day.abs(), "")?;
    Ok(smallest_visible_change(u)? / slope)
}
