//! Weighted least squares with readings of which only an upper limit is known.

use super::normal::{log_cumulative, mills_ratio_below};

/// One reading: value = Σ factor·unknown, within its standard uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub factors: Vec<f64>,
    pub value: f64,
    pub u: f64,
    /// The value is an upper limit.
    pub below: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    pub values: Vec<f64>,
    /// Inverse of the information at the fit.
    pub covariance: Vec<Vec<f64>>,
    /// Of the rows that are no limits.
    pub chi_squared: f64,
}

impl Fit {
    /// Variance of Σ factor·unknown.
    pub fn variance_of(&self, factors: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (i, a) in factors.iter().enumerate() {
            for (j, b) in factors.iter().enumerate() {
                sum += a * b * self.covariance[i][j];
            }
        }
        sum
    }
}

/// The unknowns that make the rows most likely, by Newton's method; the likelihood has one summit. `None` where the rows
/// that are no limits cannot tell the unknowns apart.
///
/// Rows without a limit: −½((value − model)/u)²; with one: ln Φ((value − model)/u).
/// Source: [`aitken_1935`, `tobin_1958`](crate::science::sources).
///
/// ```
/// # use polypary::science::least_squares::*;
/// // Aitken: two readings of one value, weights 1/1 and 1/4: (4·1 + 1·2)/5 = 1.2, variance 1/(1 + 1/4) = 0.8.
/// let row = |value, u| Row { factors: vec![1.0], value, u, below: false };
/// let fit = fit(&[row(1.0, 1.0), row(2.0, 2.0)]).unwrap();
/// assert!((fit.values[0] - 1.2).abs() < 1e-12 && (fit.covariance[0][0] - 0.8).abs() < 1e-12);
/// ```
pub fn fit(rows: &[Row]) -> Option<Fit> {
    let unknowns = rows.first()?.factors.len();
    let exact: Vec<&Row> = rows.iter().filter(|row| !row.below).collect();
    let (information, right) = normal_equations(&exact, unknowns);
    let mut values = solve(&information, &right)?;
    let mut information = information;
    if exact.len() < rows.len() {
        let mut likelihood = log_likelihood(rows, &values);
        for _ in 0..60 {
            let (gradient, curvature) = slope_and_curvature(rows, &values);
            let step = solve(&curvature, &gradient)?;
            let mut share = 1.0;
            let (moved, better) = loop {
                let moved: Vec<f64> = values.iter().zip(&step).map(|(value, step)| value + share * step).collect();
                let new = log_likelihood(rows, &moved);
                if new >= likelihood || share < 1e-6 {
                    break (moved, new);
                }
                share /= 2.0;
            };
            let settled = step.iter().zip(&values).all(|(step, value)| step.abs() <= 1e-12 * (1.0 + value.abs()));
            (values, likelihood) = (moved, better);
            if settled {
                break;
            }
        }
        information = slope_and_curvature(rows, &values).1;
    }
    let covariance = inverse(&information)?;
    let chi_squared = exact.iter().map(|row| residual(row, &values).powi(2)).sum();
    Some(Fit { values, covariance, chi_squared })
}

fn normal_equations(rows: &[&Row], unknowns: usize) -> (Vec<Vec<f64>>, Vec<f64>) {
    let mut information = vec![vec![0.0; unknowns]; unknowns];
    let mut right = vec![0.0; unknowns];
    for row in rows {
        let weight = 1.0 / (row.u * row.u);
        add_outer(&mut information, &row.factors, weight);
        for (sum, factor) in right.iter_mut().zip(&row.factors) {
            *sum += weight * factor * row.value;
        }
    }
    (information, right)
}

fn add_outer(matrix: &mut [Vec<f64>], factors: &[f64], weight: f64) {
    for (line, a) in matrix.iter_mut().zip(factors) {
        for (cell, b) in line.iter_mut().zip(factors) {
            *cell += weight * a * b;
        }
    }
}

/// (value − model)/u
fn residual(row: &Row, values: &[f64]) -> f64 {
    let model: f64 = row.factors.iter().zip(values).map(|(factor, value)| factor * value).sum();
    (row.value - model) / row.u
}

fn log_likelihood(rows: &[Row], values: &[f64]) -> f64 {
    rows.iter()
        .map(|row| {
            let z = residual(row, values);
            if row.below { log_cumulative(z) } else { -0.5 * z * z }
        })
        .sum()
}

/// Gradient of the log likelihood, and its curvature with the sign turned.
fn slope_and_curvature(rows: &[Row], values: &[f64]) -> (Vec<f64>, Vec<Vec<f64>>) {
    let unknowns = values.len();
    let mut gradient = vec![0.0; unknowns];
    let mut curvature = vec![vec![0.0; unknowns]; unknowns];
    for row in rows {
        let z = residual(row, values);
        let (pull, weight) = if row.below {
            let ratio = mills_ratio_below(z);
            (-ratio, ratio * (ratio + z))
        } else {
            (z, 1.0)
        };
        for (sum, factor) in gradient.iter_mut().zip(&row.factors) {
            *sum += pull * factor / row.u;
        }
        add_outer(&mut curvature, &row.factors, weight.max(0.0) / (row.u * row.u));
    }
    (gradient, curvature)
}

/// Cholesky's lower triangle of a symmetric positive matrix; `None` where it is not, up to rounding.
fn triangle(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = matrix.len();
    let mut lower = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let left = matrix[i][j] - known;
            if i == j {
                // Less than this of the diagonal is rounding: the unknown cannot be told from those before it.
                if left.is_nan() || left <= 1e-11 * matrix[i][i].abs() || left <= 0.0 {
                    return None;
                }
                lower[i][i] = left.sqrt();
            } else {
                lower[i][j] = left / lower[j][j];
            }
        }
    }
    Some(lower)
}

fn solve(matrix: &[Vec<f64>], right: &[f64]) -> Option<Vec<f64>> {
    let lower = triangle(matrix)?;
    let n = right.len();
    let mut values = right.to_vec();
    for i in 0..n {
        let known: f64 = (0..i).map(|k| lower[i][k] * values[k]).sum();
        values[i] = (values[i] - known) / lower[i][i];
    }
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| lower[k][i] * values[k]).sum();
        values[i] = (values[i] - known) / lower[i][i];
    }
    Some(values)
}

fn inverse(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = matrix.len();
    let mut columns = Vec::with_capacity(n);
    for place in 0..n {
        let unit: Vec<f64> = (0..n).map(|i| if i == place { 1.0 } else { 0.0 }).collect();
        columns.push(solve(matrix, &unit)?);
    }
    Some(columns)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// National Institute of Standards and Technology, Statistical Reference Datasets, linear regression, "Norris": the
    /// certified intercept and slope. Data from memory; they give the certified values to every digit in a separate
    /// calculation.
    #[test]
    fn the_certified_line_of_a_reference_dataset() {
        let x = [
            0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
            447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3,
            229.2, 669.1, 448.9, 0.5,
        ];
        let y = [
            0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3,
            448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6,
            228.9, 668.4, 449.2, 0.2,
        ];
        let rows: Vec<Row> =
            x.iter().zip(y).map(|(x, value)| Row { factors: vec![1.0, *x], value, u: 1.0, below: false }).collect();
        let fit = fit(&rows).unwrap();
        assert!((fit.values[0] + 0.262323073774029).abs() < 1e-10, "{}", fit.values[0]);
        assert!((fit.values[1] - 1.00211681802045).abs() < 1e-12, "{}", fit.values[1]);
        // Certified residual standard deviation 0.884796396144373, with 34 degrees of freedom; the certified standard
        // deviation of the slope is that times the root of its cofactor.
        let residual = (fit.chi_squared / 34.0).sqrt();
        assert!((residual - 0.884796396144373).abs() < 1e-11);
        assert!((residual * fit.covariance[1][1].sqrt() - 0.000429796848199937).abs() < 1e-14);
        assert!((residual * fit.covariance[0][0].sqrt() - 0.232818234301152).abs() < 1e-11);
    }

    #[test]
    fn unknowns_that_cannot_be_told_apart_are_refused() {
        let row = |x: f64| Row { factors: vec![1.0, x], value: 1.0, u: 1.0, below: false };
        assert_eq!(fit(&[row(2.0), row(2.0), row(2.0)]), None);
        assert_eq!(fit(&[row(2.0)]), None);
        assert_eq!(fit(&[]), None);
    }

    /// The condition of the summit, worked apart from the solver: for one unknown m, readings 3 and 2 of u = 1 and one
    /// below 1, (3 − m) + (2 − m) = φ(1 − m)/Φ(1 − m). Both sides must be equal at the summit.
    #[test]
    fn a_limit_pulls_down_and_less_than_a_zero_would() {
        let rows = [
            Row { factors: vec![1.0], value: 3.0, u: 1.0, below: false },
            Row { factors: vec![1.0], value: 2.0, u: 1.0, below: false },
            Row { factors: vec![1.0], value: 1.0, u: 1.0, below: true },
        ];
        let m = fit(&rows).unwrap().values[0];
        let z = 1.0 - m;
        let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
        let cumulative = 0.5 * crate::science::normal::two_sided_p(z.abs());
        assert!(((3.0 - m) + (2.0 - m) - density / cumulative).abs() < 1e-9, "{m}");
        assert!(m < 2.5 && m > (3.0 + 2.0) / 3.0);
    }
}
