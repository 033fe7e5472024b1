//! How far out of the ordinary one value is among others of its kind, by rank alone.

/// Middle of some values; the mean of the two middle ones where their number is even. NaN for none.
pub fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    median_of_sorted(&sorted)
}

/// [`median`] of values that are in order already.
pub(super) fn median_of_sorted(sorted: &[f64]) -> f64 {
    let middle = sorted.len() / 2;
    match sorted.len() {
        0 => f64::NAN,
        count if count % 2 == 1 => sorted[middle],
        _ => (sorted[middle - 1] + sorted[middle]) / 2.0,
    }
}

/// Share of all values, the one in question among them, that lie at least as far from the middle of all.
///
/// (b + 1)/(m + 1), with b of the m others at least as far from the median of all m + 1
///
/// The share is that of a permutation test: where nothing sets the value apart from the others, a share of s or less
/// comes up about once in 1/s. It never is 0, and with m others never less than 1/(m + 1).
///
/// Valid where the values could as well have come in another order; neighbours in time often do resemble each other, and
/// then an extreme value is less surprising than the share says.
/// Source: [`phipson_smyth_2010`](crate::science::sources).
///
/// ```
/// # use polypary::science::rank::share_as_extreme;
/// // By hand: the median of 1, 2, 3, 4, 9 is 3; only 9 lies 6 or more from it.
/// assert_eq!(share_as_extreme(9.0, &[1.0, 2.0, 3.0, 4.0]), 0.2);
/// assert_eq!(share_as_extreme(3.0, &[1.0, 2.0, 4.0, 9.0]), 1.0);
/// ```
pub fn share_as_extreme(value: f64, others: &[f64]) -> f64 {
    let mut all = others.to_vec();
    all.push(value);
    let middle = median(&all);
    let far = (value - middle).abs();
    // Sums of the same amounts in another order differ in their last digits; that is no difference.
    let slack = 1e-9 * far.max(middle.abs()).max(f64::MIN_POSITIVE);
    let as_far = others.iter().filter(|other| (**other - middle).abs() >= far - slack).count();
    (as_far + 1) as f64 / (others.len() + 1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_like_all_others_is_nothing_unusual() {
        assert_eq!(share_as_extreme(5.0, &[5.0; 9]), 1.0);
        assert_eq!(share_as_extreme(1.0, &[]), 1.0);
    }

    #[test]
    fn over_all_places_the_shares_are_spread_evenly() {
        // Where each of n values stands out in turn, about a share s of them get s or less: the meaning of the test.
        let values: Vec<f64> = (0..20).map(|n| f64::from(n * n)).collect();
        let shares: Vec<f64> = (0..20)
            .map(|place| {
                let mut others = values.clone();
                let own = others.remove(place);
                share_as_extreme(own, &others)
            })
            .collect();
        for limit in [0.05, 0.1, 0.25, 0.5] {
            let within = shares.iter().filter(|share| **share <= limit + 1e-12).count();
            assert!(within as f64 <= limit * 20.0 + 1e-9, "{within} of 20 have a share of {limit} or less");
        }
    }
}
