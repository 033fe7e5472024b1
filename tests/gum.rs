//! The graph of figures against worked examples of the GUM (JCGM 100:2008) and its Supplement 1 (JCGM 101:2008), and
//! what must hold for every graph: shared inputs correlate, and where first order fails something better is used.

use polypary::figures::graph::{Basis, Graph, HowSure, NodeId, Root, Shape};

fn root(label: &str, value: f64, uncertainty: f64, shape: Shape) -> Root {
    Root {
        label: label.to_owned(),
        value,
        uncertainty,
        unit: String::new(),
        basis: Basis::Measured,
        places: Vec::new(),
        shape,
        private: false,
        note: None,
        source: None,
    }
}

fn normal(graph: &mut Graph, label: &str, value: f64, uncertainty: f64) -> NodeId {
    graph.root(root(label, value, uncertainty, Shape::Normal))
}

/// Asserts that a number rounds to what is printed: within half of the last digit shown.
fn prints(what: &str, found: f64, printed: &str) {
    let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
    let expected: f64 = printed.parse().unwrap();
    let half = 0.5 * 10f64.powi(-(decimals as i32));
    assert!((found - expected).abs() <= half * 1.000_001, "{what}: {found} does not print as {printed}");
}

/// Asserts agreement to a part of the expected value, for what was drawn at random.
fn close(what: &str, found: f64, expected: f64, part: f64) {
    assert!(((found - expected) / expected).abs() <= part, "{what}: {found} is not {expected} within {part}");
}

/// √Σ(c·u)² from the sensitivities as published by the graph: GUM equation (10), independent of what the graph itself
/// makes of them.
fn law_of_propagation(graph: &Graph, node: NodeId) -> f64 {
    graph.sensitivities(node).iter().map(|&(root, c)| (c * graph.uncertainty(root)).powi(2)).sum::<f64>().sqrt()
}

// JCGM 100:2008, 5.2.2, example (from memory): ten resistors of 1000 Ω, each calibrated against the same standard with 100 mΩ, in
// series. Fully correlated u is 1 Ω; ignoring it would give 0.32 Ω.
#[test]
fn ten_resistors_calibrated_against_one_standard() {
    let mut graph = Graph::new();
    let resistors: Vec<NodeId> =
        (1..=10).map(|number| normal(&mut graph, &format!("R{number}"), 1000.0, 0.1)).collect();
    let series = graph.sum("R", "Ω", &resistors);
    prints("uncorrelated", graph.uncertainty(series), "0.32");
    for (position, &a) in resistors.iter().enumerate() {
        for &b in &resistors[..position] {
            graph.correlate(a, b, 1.0);
        }
    }
    assert_eq!(graph.value(series), 10_000.0);
    prints("correlated", graph.uncertainty(series), "1.000000000");
    let shares = graph.shares(series);
    assert_eq!(shares.len(), 10);
    assert!(shares.iter().all(|(_, share)| (share - 0.1).abs() < 1e-12));
    // The joint distribution is singular; drawing from it must give the same.
    let drawn = graph.propagate(series, 20_000, 1);
    close("drawn", drawn.uncertainty, 1.0, 0.02);
}

// JCGM 100:2008, 5.2.2, example, the other reading: all ten from one root, which is how a record shares an input.
#[test]
fn ten_resistors_of_one_standard_as_one_root() {
    let mut graph = Graph::new();
    let standard = normal(&mut graph, "R_s", 1000.0, 0.1);
    let resistors: Vec<NodeId> = (0..10).map(|_| graph.compute("R_i", "Ω", &[standard], |v| v[0])).collect();
    let series = graph.sum("R", "Ω", &resistors);
    prints("u", graph.uncertainty(series), "1.000000000");
}

// JCGM 100:2008, H.1, end-gauge calibration, Table H.1 (from memory): l = l_s + d − l_s(δα·θ + α_s·δθ), in nm. The standard gives
// 25, 9.7, 0, 0, 2.9 and 16.6 nm and u = 32 nm to first order; H.1.7 adds second-order terms and gives 34 nm.
#[test]
fn gauge_block() {
    let mut graph = Graph::new();
    let length = normal(&mut graph, "l_s", 50_000_623.0, 25.0);
    let difference = normal(&mut graph, "d", 215.0, 9.7);
    let expansion = graph.root(root("α_s", 11.5e-6, 1.2e-6, Shape::Rectangular));
    let mean_offset = normal(&mut graph, "θ", -0.1, 0.41);
    let expansion_gap = graph.root(root("δα", 0.0, 0.58e-6, Shape::Rectangular));
    let temperature_gap = graph.root(root("δθ", 0.0, 0.029, Shape::Rectangular));
    let measured =
        graph.compute("l", "nm", &[length, difference, expansion, mean_offset, expansion_gap, temperature_gap], |v| {
            v[0] + v[1] - v[0] * (v[4] * v[3] + v[2] * v[5])
        });
    prints("l", graph.value(measured), "50000838");
    let sensitivities = graph.sensitivities(measured);
    for (node, printed) in
        [(length, "25"), (difference, "9.7"), (expansion, "0.0"), (mean_offset, "0.0"), (expansion_gap, "2.9")]
    {
        let (_, c) = sensitivities.iter().find(|(id, _)| *id == node).unwrap();
        prints(graph.label(node), (c * graph.uncertainty(node)).abs(), printed);
    }
    // 16.6 is truncated there: 50 mm × 11.5e-6 × 0.029 is 16.675 nm.
    let (_, c) = sensitivities.iter().find(|(id, _)| *id == temperature_gap).unwrap();
    let temperature = c.abs() * graph.uncertainty(temperature_gap);
    assert!((16.6..16.7).contains(&temperature), "{temperature}");
    prints("u to first order", law_of_propagation(&graph, measured), "32");
    assert!(matches!(graph.how_sure(measured), HowSure::MonteCarlo { draws: 20_000, .. }));
    prints("u", graph.uncertainty(measured), "34");
}

// JCGM 100:2008, H.2, simultaneous resistance and reactance measurement, Tables H.2 and H.3 (from memory): five sets
// of readings, from which means, uncertainties and correlations follow.
#[test]
fn resistance_and_reactance_with_correlated_inputs() {
    let volts = [5.007, 4.994, 5.005, 4.990, 4.999];
    let milliamperes = [19.663, 19.639, 19.640, 19.685, 19.678];
    let radians = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
    let mean = |a: &[f64; 5]| a.iter().sum::<f64>() / 5.0;
    let covariance = |a: &[f64; 5], b: &[f64; 5]| {
        let (a_mean, b_mean) = (mean(a), mean(b));
        a.iter().zip(b).map(|(x, y)| (x - a_mean) * (y - b_mean)).sum::<f64>() / 20.0
    };
    let deviation = |a: &[f64; 5]| covariance(a, a).sqrt();
    let correlation = |a: &[f64; 5], b: &[f64; 5]| covariance(a, b) / deviation(a) / deviation(b);

    for (found, printed) in [
        (mean(&volts), "4.9990"),
        (deviation(&volts), "0.0032"),
        (mean(&milliamperes), "19.6610"),
        (deviation(&milliamperes), "0.0095"),
        (mean(&radians), "1.04446"),
        (deviation(&radians), "0.00075"),
        (correlation(&volts, &milliamperes), "-0.355"),
        (correlation(&volts, &radians), "0.858"),
        (correlation(&milliamperes, &radians), "-0.645"),
    ] {
        prints("Table H.2", found, printed);
    }

    // The results of Table H.3 follow from the numbers as Table H.2 prints them, not from all their digits.
    let mut graph = Graph::new();
    let v = normal(&mut graph, "V", 4.9990, 0.0032);
    let i = normal(&mut graph, "I", 19.6610e-3, 0.0095e-3);
    let phi = normal(&mut graph, "φ", 1.04446, 0.00075);
    graph.correlate(v, i, -0.355);
    graph.correlate(v, phi, 0.858);
    graph.correlate(i, phi, -0.645);
    let resistance = graph.compute("R", "Ω", &[v, i, phi], |x| x[0] / x[1] * x[2].cos());
    let reactance = graph.compute("X", "Ω", &[v, i, phi], |x| x[0] / x[1] * x[2].sin());
    let impedance = graph.compute("Z", "Ω", &[v, i], |x| x[0] / x[1]);
    for (name, node, value, uncertainty) in [
        ("R", resistance, "127.732", "0.071"),
        ("X", reactance, "219.847", "0.295"),
        ("Z", impedance, "254.260", "0.236"),
    ] {
        prints(name, graph.value(node), value);
        prints(name, graph.uncertainty(node), uncertainty);
        assert_eq!(graph.how_sure(node), HowSure::FirstOrder);
        let total: f64 = graph.shares(node).iter().map(|(_, share)| share).sum();
        assert!((total - 1.0).abs() < 1e-9);
    }
    // Z from R and X instead: the same, because both know that they share V, I and φ.
    let again = graph.compute("Z", "Ω", &[resistance, reactance], |x| x[0].hypot(x[1]));
    prints("Z from R and X", graph.value(again), "254.260");
    prints("Z from R and X", graph.uncertainty(again), "0.236");
    // Table H.3 gives r(R, X) = −0.588, which is what the five sets evaluated one by one give (Table H.4); the inputs as
    // printed give −0.586. Read off the uncertainty of the sum.
    let sum = graph.sum("R + X", "Ω", &[resistance, reactance]);
    let (r, x) = (graph.uncertainty(resistance), graph.uncertainty(reactance));
    let rho = (graph.uncertainty(sum).powi(2) - r * r - x * x) / (2.0 * r * x);
    prints("r(R, X)", rho, "-0.59");
}

fn additive_model(uncertainties: [f64; 4], shape: Shape) -> (Graph, NodeId) {
    let mut graph = Graph::new();
    let inputs: Vec<NodeId> =
        uncertainties.iter().map(|&uncertainty| graph.root(root("X", 0.0, uncertainty, shape))).collect();
    let sum = graph.sum("Y", "", &inputs);
    (graph, sum)
}

// JCGM 101:2008, 9.2.2, Table 2 (from memory): four normal inputs, u = 2.0 and the interval ±3.92 either way.
#[test]
fn additive_model_with_normal_inputs() {
    let (graph, sum) = additive_model([1.0; 4], Shape::Normal);
    assert_eq!(graph.how_sure(sum), HowSure::FirstOrder);
    prints("u", graph.uncertainty(sum), "2.0");
    prints("high", graph.interval95(sum).1, "3.92");
    prints("low", graph.interval95(sum).0, "-3.92");
    let drawn = graph.propagate(sum, 1_000_000, 7);
    prints("u drawn", drawn.uncertainty, "2.0");
    close("high drawn", drawn.interval.1, 3.92, 0.005);
    close("low drawn", drawn.interval.0, -3.92, 0.005);
}

// JCGM 101:2008, 9.2.3, Table 3 (from memory): four rectangular inputs, ±3.92 to first order, ±3.88 in truth.
#[test]
fn additive_model_with_rectangular_inputs() {
    let (graph, sum) = additive_model([1.0; 4], Shape::Rectangular);
    prints("u", graph.uncertainty(sum), "2.0");
    prints("high", graph.interval95(sum).1, "3.92");
    let drawn = graph.propagate(sum, 1_000_000, 7);
    prints("u drawn", drawn.uncertainty, "2.0");
    prints("high drawn", drawn.interval.1, "3.88");
    prints("low drawn", drawn.interval.0, "-3.88");
}

// JCGM 101:2008, 9.2.4, Table 4 (from memory): one rectangular input of 10 among three of 1: u = 10.1, ±19.9 to first
// order, ±17.0 in truth. First order is the wider one, so it errs to the safe side.
#[test]
fn additive_model_with_one_dominant_rectangular_input() {
    let (graph, sum) = additive_model([1.0, 1.0, 1.0, 10.0], Shape::Rectangular);
    prints("u", graph.uncertainty(sum), "10.1");
    prints("high", graph.interval95(sum).1, "19.9");
    let drawn = graph.propagate(sum, 1_000_000, 7);
    prints("u drawn", drawn.uncertainty, "10.1");
    prints("high drawn", drawn.interval.1, "17.0");
    prints("low drawn", drawn.interval.0, "-17.0");
}

fn comparison_loss(x: f64, rho: f64) -> (Graph, NodeId) {
    let mut graph = Graph::new();
    let real = normal(&mut graph, "X1", x, 0.005);
    let imaginary = normal(&mut graph, "X2", 0.0, 0.005);
    if rho != 0.0 {
        graph.correlate(real, imaginary, rho);
    }
    let loss = graph.compute("δY", "", &[real, imaginary], |v| v[0] * v[0] + v[1] * v[1]);
    (graph, loss)
}

// JCGM 101:2008, 9.4, comparison loss in microwave power meter calibration: δY = X1² + X2², u(X) = 0.005. In 10⁻⁶, the
// standard deviations are 50, 112 and 502 without and 67 with correlation 0.9 at x1 = 0; first order gives 0, 100, 500
// (from memory, and checked against √(4x²u² + 4u⁴(1 + ρ²))). Quantiles: of the scaled noncentral χ² with two degrees of
// freedom, integrated numerically.
#[test]
fn comparison_loss_where_first_order_fails() {
    for (x, first, deviation, mean, low, high) in [
        (0.0, 0.0, 50.0, 50.0, 1.266, 184.44),
        (0.010, 100.0, 112.0, 150.0, 8.547, 427.12),
        (0.050, 500.0, 502.0, 2550.0, 1638.48, 3603.36),
    ] {
        let (graph, loss) = comparison_loss(x, 0.0);
        let micro = 1e6;
        assert!((law_of_propagation(&graph, loss) * micro - first).abs() < 1e-3);
        let drawn = graph.propagate(loss, 1_000_000, 3);
        close("mean", drawn.mean * micro, mean, 0.004);
        close("u", drawn.uncertainty * micro, deviation, 0.005);
        close("low", drawn.interval.0 * micro, low, 0.02);
        close("high", drawn.interval.1 * micro, high, 0.005);
    }

    let (graph, loss) = comparison_loss(0.0, 0.0);
    let HowSure::MonteCarlo { draws, median, .. } = graph.how_sure(loss) else {
        panic!("first order gives 0 here, which is wrong");
    };
    assert_eq!(draws, 20_000);
    close("median", median, 2.0 * 25e-6 * 2f64.ln(), 0.03);
    close("u", graph.uncertainty(loss), 50e-6, 0.03);
    let (low, high) = graph.interval95(loss);
    assert!(0.0 < low && low < 3e-6, "{low}");
    close("high", high, 184.44e-6, 0.05);

    let (graph, loss) = comparison_loss(0.0, 0.9);
    close("u at ρ = 0.9", graph.uncertainty(loss), 67e-6, 0.03);
    let (graph, loss) = comparison_loss(0.010, 0.0);
    assert!(matches!(graph.how_sure(loss), HowSure::MonteCarlo { .. }));
    close("u at 0.010", graph.uncertainty(loss), 112e-6, 0.03);
    // At 0.050 first order is within a tenth of a tenth and stays: Table 6 gives 500 and [1520, 3480] for it.
    let (graph, loss) = comparison_loss(0.050, 0.0);
    assert_eq!(graph.how_sure(loss), HowSure::FirstOrder);
    prints("u at 0.050", graph.uncertainty(loss) * 1e6, "500");
    prints("low", graph.interval95(loss).0 * 1e6, "1520");
    prints("high", graph.interval95(loss).1 * 1e6, "3480");
}

#[test]
fn a_value_less_itself_is_exactly_nothing() {
    let mut graph = Graph::new();
    let x = normal(&mut graph, "x", 8.3, 0.4);
    let computed = graph.compute("x − x", "", &[x, x], |v| v[0] - v[1]);
    let linear = graph.linear("x − x", "", &[(x, 1.0), (x, -1.0)]);
    let square = graph.compute("x²", "", &[x], |v| v[0] * v[0]);
    let product = graph.compute("x·x", "", &[x, x], |v| v[0] * v[1]);
    let around = graph.compute("x² − x·x", "", &[square, product], |v| v[0] - v[1]);
    for node in [computed, linear, around] {
        assert_eq!(graph.value(node), 0.0);
        assert_eq!(graph.uncertainty(node), 0.0);
        assert_eq!(graph.interval95(node), (0.0, 0.0));
        assert_eq!(graph.how_sure(node), HowSure::FirstOrder);
        assert_eq!(graph.sensitivities(node), [(x, 0.0)]);
        assert_eq!(graph.shares(node), [(x, 0.0)]);
        assert_eq!(graph.roots_of(node), [x]);
    }
}

// A tank's volume in both of two doses: their ratio does not depend on it, their sum does so fully.
#[test]
fn shared_inputs_correlate() {
    let mut graph = Graph::new();
    let volume = normal(&mut graph, "volume", 300.0, 15.0);
    let rise = normal(&mut graph, "rise", 20.0, 0.4);
    let first = graph.compute("first", "", &[volume, rise], |v| v[0] * v[1]);
    let second = graph.compute("second", "", &[volume], |v| 3.0 * v[0]);
    let ratio = graph.compute("ratio", "", &[first, second], |v| v[0] / v[1]);
    prints("ratio", graph.value(ratio), "6.666666667");
    // u(rise)/3, nothing from the volume.
    prints("u(ratio)", graph.uncertainty(ratio), "0.133333333");
    assert_eq!(graph.shares(ratio), [(rise, 1.0), (volume, 0.0)]);
    let sum = graph.sum("sum", "", &[first, second]);
    // √((20·15 + 3·15)² + (300·0.4)²)
    prints("u(sum)", graph.uncertainty(sum), "365.274");
    let shares = graph.shares(sum);
    assert_eq!(shares[0].0, volume);
    prints("share", shares[0].1, "0.892074");
}

// 1/X for a normal X: its quantiles follow from those of X, P(X < 0) included (numbers from the normal distribution of
// Python's statistics module).
#[test]
fn ratio_with_a_denominator_near_its_own_uncertainty() {
    let mut graph = Graph::new();
    let one = graph.exact(1.0);
    let wide = normal(&mut graph, "denominator", 10.0, 3.0);
    let narrow = normal(&mut graph, "denominator", 10.0, 0.5);
    let unsure = graph.compute("1/x", "", &[one, wide], |v| v[0] / v[1]);
    let sure = graph.compute("1/x", "", &[one, narrow], |v| v[0] / v[1]);
    assert_eq!(graph.how_sure(sure), HowSure::FirstOrder);
    prints("u", graph.uncertainty(sure), "0.00500000");
    let HowSure::MonteCarlo { median, .. } = graph.how_sure(unsure) else {
        panic!("3 in 10 is no small uncertainty for a denominator");
    };
    assert_eq!(graph.value(unsure), 0.1);
    close("median", median, 0.1, 0.01);
    let (low, high) = graph.interval95(unsure);
    close("low", low, 0.062_885, 0.02);
    close("high", high, 0.241_431, 0.03);
    assert_eq!(graph.shares(unsure), [(wide, 1.0)]);

    // Hidden behind a larger uncertainty of another input the denominator is found too.
    let near = normal(&mut graph, "near", 3.5, 1.0);
    let loud = normal(&mut graph, "loud", 0.0, 1.0);
    let hidden = graph.compute("hidden", "", &[near, loud], |v| 1.0 / v[0] + v[1]);
    assert!(matches!(graph.how_sure(hidden), HowSure::MonteCarlo { .. }));
}

#[test]
fn where_the_formula_has_no_value_within_reach_draws_are_left_out_and_counted() {
    let mut graph = Graph::new();
    let x = normal(&mut graph, "x", 1.0, 1.0);
    let log = graph.compute("ln x", "", &[x], |v| v[0].ln());
    let HowSure::MonteCarlo { draws, .. } = graph.how_sure(log) else {
        panic!("the logarithm has no value two uncertainties down");
    };
    let left_out = graph.draws_without_value(log);
    assert_eq!(draws + left_out, 20_000);
    // P(X ≤ 0) = Φ(−1) = 0.1587.
    close("left out", f64::from(left_out), 3173.0, 0.06);
    assert!(graph.uncertainty(log).is_finite());
}

// Two factors that are both 0 ± u: to first order the product has no uncertainty; in truth u₁·u₂.
#[test]
fn product_of_two_zeros() {
    let mut graph = Graph::new();
    let a = normal(&mut graph, "a", 0.0, 2.0);
    let b = normal(&mut graph, "b", 0.0, 3.0);
    let product = graph.compute("a·b", "", &[a, b], |v| v[0] * v[1]);
    close("u", graph.uncertainty(product), 6.0, 0.04);
    assert_eq!(graph.shares(product), [(a, 0.5), (b, 0.5)]);
}

// GUM 4.3.7 and 4.3.9: half widths √3·u and √6·u; 95 % of a rectangle is 95 % of its width.
#[test]
fn roots_have_the_interval_of_their_own_shape() {
    let mut graph = Graph::new();
    for (shape, coverage) in
        [(Shape::Normal, 1.959_964), (Shape::Rectangular, 1.645_448), (Shape::Triangular, 1.901_767)]
    {
        let node = graph.root(root("x", 5.0, 0.2, shape));
        let (low, high) = graph.interval95(node);
        assert!((high - 5.0 - 0.2 * coverage).abs() < 1e-6, "{high}");
        assert!((low - 5.0 + 0.2 * coverage).abs() < 1e-6, "{low}");
        let drawn = graph.propagate(node, 200_000, 5);
        close("u drawn", drawn.uncertainty, 0.2, 0.01);
        close("high drawn", drawn.interval.1 - 5.0, 0.2 * coverage, 0.015);
    }
}

// A year of top-offs, 1 ± 3 each: the sum is 365 ± 57.3, a denominator of which first order makes too little. It is
// drawn as one normal value; quantiles as for 1/X above.
#[test]
fn a_sum_of_a_year_is_drawn_as_one() {
    let mut graph = Graph::new();
    let days: Vec<NodeId> =
        (0..365).map(|day| graph.root(root(&format!("day {day}"), 1.0, 3.0, Shape::Rectangular))).collect();
    let year = graph.sum("year", "L", &days);
    assert_eq!(graph.how_sure(year), HowSure::FirstOrder);
    prints("u(year)", graph.uncertainty(year), "57.315");
    let lasting = graph.compute("lasting", "", &[year], |v| 1.0 / v[0]);
    assert!(matches!(graph.how_sure(lasting), HowSure::MonteCarlo { .. }));
    let (low, high) = graph.interval95(lasting);
    close("low", low, 0.002_094_96, 0.02);
    close("high", high, 0.003_957_81, 0.02);
    let shares = graph.shares(lasting);
    assert_eq!(shares.len(), 365);
    assert!(shares.iter().all(|(_, share)| (share * 365.0 - 1.0).abs() < 1e-9));
    // Shared with another path the days are drawn one by one, and cancel.
    let again = graph.compute("again", "", &[lasting, year], |v| v[0] * v[1]);
    assert_eq!(graph.value(again), 1.0);
    assert!(graph.uncertainty(again) < 1e-12);
}

/// What was drawn for one formula must never be handed to another, however alike the two are written.
#[test]
fn draws_are_remembered_for_the_same_formula_only() {
    let outcome = |scale: f64| {
        let mut graph = Graph::new();
        let x = normal(&mut graph, "x", 1.0, 0.3);
        let y = graph.compute("y", "", &[x], move |v| (scale * (v[0] - 1.0)).exp());
        let HowSure::MonteCarlo { draws, seed, .. } = graph.how_sure(y) else { panic!("first order fails here") };
        assert_eq!(graph.value(y), 1.0, "both formulas have the same value at the estimate");
        let drawn_now = graph.propagate(y, draws, seed);
        assert_eq!(graph.interval95(y), drawn_now.interval);
        assert_eq!(graph.uncertainty(y), drawn_now.uncertainty);
        graph.interval95(y)
    };
    let (steep, steeper) = (outcome(4.0), outcome(4.0 + 1e-12));
    assert_ne!(steep, steeper);
    assert_eq!(outcome(4.0), steep);
}
