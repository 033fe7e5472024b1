//! Partial derivatives of a formula that is only known as a function, for the chain rule that carries uncertainty.

/// The partial derivative of `formula` at `values` with respect to one of them, whose standard uncertainty sets the
/// scale of the step. Central differences at three steps, extrapolated twice to step 0 (Richardson): exact for
/// polynomials to degree six, else good to about ten digits. Near the edge of the domain the step shrinks; at the edge
/// one side is used; NaN where neither has a value.
pub(crate) fn slope(formula: &dyn Fn(&[f64]) -> f64, values: &[f64], position: usize, uncertainty: f64) -> f64 {
    let x = values[position];
    let mut moved = values.to_vec();
    let mut at = |x: f64| {
        moved[position] = x;
        formula(&moved)
    };
    let scale = if uncertainty.is_finite() { uncertainty / 4.0 } else { 0.0 };
    let mut step = scale.max(x.abs() * 1e-6);
    if step == 0.0 {
        step = 1e-6;
    }
    // Dividing by the step as the machine represents it keeps the slope of x − x at exactly 0.
    let mut central = |step: f64| {
        let (above, below) = (x + step, x - step);
        (at(above) - at(below)) / (above - below)
    };
    for _ in 0..4 {
        let (wide, middle, narrow) = (central(step), central(step / 2.0), central(step / 4.0));
        let first = (4.0 * middle - wide) / 3.0;
        let second = (4.0 * narrow - middle) / 3.0;
        let slope = (16.0 * second - first) / 15.0;
        if slope.is_finite() {
            return slope;
        }
        step /= 16.0;
    }
    let here = at(x);
    for side in [step, -step] {
        let moved = x + side;
        let slope = (at(moved) - here) / (moved - x);
        if slope.is_finite() {
            return slope;
        }
    }
    f64::NAN
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_agree_with_calculus() {
        type Function = fn(f64) -> f64;
        let cases: [(&str, Function, Function, f64, f64); 6] = [
            ("square", |x| x * x, |x| 2.0 * x, 3.0, 0.1),
            ("reciprocal", f64::recip, |x| -1.0 / (x * x), 2.0, 0.2),
            ("exponential", f64::exp, f64::exp, 1.0, 0.05),
            ("logarithm", f64::ln, |x| 1.0 / x, 5.0, 0.0),
            ("root", f64::sqrt, |x| 0.5 / x.sqrt(), 1e-8, 0.0),
            ("sum of powers", |x| x.powi(6) - x.powi(3), |x| 6.0 * x.powi(5) - 3.0 * x * x, 1.5, 0.4),
        ];
        for (name, function, derivative, x, u) in cases {
            let found = slope(&move |v: &[f64]| function(v[0]), &[x], 0, u);
            let expected = derivative(x);
            assert!(((found - expected) / expected).abs() < 1e-8, "{name}: {found} is not {expected}");
        }
    }

    #[test]
    fn slope_near_the_edge_of_the_domain_uses_a_smaller_step() {
        let found = slope(&|v: &[f64]| v[0].sqrt(), &[0.01], 0, 1.0);
        assert!((found - 5.0).abs() < 1e-5, "{found}");
    }
}
