//! A smooth line through readings, for the eye; the trend test does not use it.

use super::rank::median;

/// Locally weighted regression of `y` on `x`: at each point a straight line fitted to its nearest neighbours.
///
/// Neighbours are the nearest `frac` of all points, weighted by (1 − |d/h|³)³ where h is the distance of the furthest;
/// each of the `iterations` then lowers the weight of points far from the line by (1 − (r/6m)²)², m being the median
/// of the absolute residuals.
///
/// `x` and `y` in any units, unsorted, equally long; the result has y's unit and x's order. `frac` is taken as 0 to 1
/// and gives at least two neighbours; with fewer than two points, or where all neighbours share one x, the point's own
/// value (or the neighbours' mean) comes back, as it does where every neighbour has lost all its weight. Three iterations are usual, none is a plain fit.
/// Source: [`cleveland_1979`](crate::science::sources).
///
/// ```
/// # use polypary::science::trend::lowess;
/// // A straight line comes back as itself.
/// let x = [0., 1., 2., 3., 4., 5.];
/// let line = lowess(&x, &[1., 3., 5., 7., 9., 11.], 0.7, 3);
/// assert!(line.iter().zip(x).all(|(y, x)| (y - (1. + 2. * x)).abs() < 1e-12));
/// ```
///
/// # Panics
///
/// Where `x` and `y` differ in length.
pub fn lowess(x: &[f64], y: &[f64], frac: f64, iterations: usize) -> Vec<f64> {
    assert_eq!(x.len(), y.len(), "a smooth line needs one y for each x");
    let n = x.len();
    if n < 2 {
        return y.to_vec();
    }
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| x[a].total_cmp(&x[b]));
    let sorted_x: Vec<f64> = order.iter().map(|&i| x[i]).collect();
    let sorted_y: Vec<f64> = order.iter().map(|&i| y[i]).collect();

    // The small addend keeps a product such as 0.7 · 10 from falling just under a whole number.
    let neighbours = ((frac.clamp(0.0, 1.0) * n as f64 + 1e-10) as usize).clamp(2, n);
    let mut trust = vec![1.0; n];
    let mut fitted = local_lines(&sorted_x, &sorted_y, neighbours, &trust);
    for _ in 0..iterations {
        let residuals: Vec<f64> = sorted_y.iter().zip(&fitted).map(|(y, fit)| (y - fit).abs()).collect();
        let six_medians = 6.0 * median(&residuals);
        if six_medians == 0.0 {
            break;
        }
        trust = residuals.iter().map(|residual| bisquare(residual / six_medians)).collect();
        fitted = local_lines(&sorted_x, &sorted_y, neighbours, &trust);
    }

    let mut in_given_order = vec![0.0; n];
    for (place, &i) in order.iter().enumerate() {
        in_given_order[i] = fitted[place];
    }
    in_given_order
}

fn local_lines(x: &[f64], y: &[f64], neighbours: usize, trust: &[f64]) -> Vec<f64> {
    let mut left = 0;
    (0..x.len())
        .map(|i| {
            while left + neighbours < x.len() && x[i] - x[left] > x[left + neighbours] - x[i] {
                left += 1;
            }
            let range = left..left + neighbours;
            let radius = (x[i] - x[range.start]).max(x[range.end - 1] - x[i]);
            let mut weights: Vec<f64> = range
                .clone()
                .map(|j| trust[j] * if radius > 0.0 { tricube((x[j] - x[i]).abs() / radius) } else { 1.0 })
                .collect();
            let sum: f64 = weights.iter().sum();
            if sum <= 0.0 {
                return y[i];
            }
            weights.iter_mut().for_each(|weight| *weight /= sum);
            line_at(x[i], &x[range.clone()], &y[range], &weights)
        })
        .collect()
}

/// The weighted straight line through some points, read at `at`. Weights sum to one.
fn line_at(at: f64, x: &[f64], y: &[f64], weights: &[f64]) -> f64 {
    let mean_x: f64 = weights.iter().zip(x).map(|(w, x)| w * x).sum();
    let spread: f64 = weights.iter().zip(x).map(|(w, x)| w * (x - mean_x) * (x - mean_x)).sum();
    let lever = if spread > 0.0 { (at - mean_x) / spread } else { 0.0 };
    weights.iter().zip(x).zip(y).map(|((w, x), y)| w * (1.0 + lever * (x - mean_x)) * y).sum()
}

fn tricube(distance: f64) -> f64 {
    if distance >= 1.0 { 0.0 } else { (1.0 - distance.powi(3)).powi(3) }
}

fn bisquare(residual: f64) -> f64 {
    if residual >= 1.0 { 0.0 } else { (1.0 - residual * residual).powi(2) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wild_reading_is_ignored_after_three_rounds() {
        let x: Vec<f64> = (0..21).map(f64::from).collect();
        let mut y: Vec<f64> = x.iter().map(|x| 8.0 + 0.1 * x).collect();
        y[10] = 30.0;
        let robust = lowess(&x, &y, 1.0, 3);
        assert!((robust[10] - 9.0).abs() < 0.1, "{}", robust[10]);
        let plain = lowess(&x, &y, 1.0, 0);
        assert!(plain[10] > 10.0, "{}", plain[10]);
    }

    #[test]
    fn too_little_to_smooth_comes_back_as_it_is() {
        assert_eq!(lowess(&[], &[], 0.5, 3), Vec::<f64>::new());
        assert_eq!(lowess(&[4.0], &[7.0], 0.5, 3), vec![7.0]);
        assert_eq!(lowess(&[4.0, 4.0], &[7.0, 9.0], 0.5, 0), vec![8.0, 8.0]);
    }

    #[test]
    fn the_given_order_is_kept() {
        let sorted = lowess(&[0.0, 1.0, 2.0, 3.0], &[1.0, 2.0, 2.0, 5.0], 0.9, 0);
        let shuffled = lowess(&[3.0, 1.0, 0.0, 2.0], &[5.0, 2.0, 1.0, 2.0], 0.9, 0);
        assert_eq!(shuffled, [sorted[3], sorted[1], sorted[0], sorted[2]]);
    }
}
