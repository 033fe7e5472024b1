//! Whether first order holds for a node, and the propagation of distributions where it does not.
//!
//! Source: JCGM 101:2008, Evaluation of measurement data, Supplement 1 to the GUM, Propagation of distributions using a
//! Monte Carlo method. The seed comes from the label of the node, so the same record gives the same bits.

mod known;
mod normals;

use std::collections::{BTreeMap, BTreeSet};

use crate::figures::graph::{COVERAGE_95, Formula, Graph, HowSure, Kind, NodeId, Shape};
use normals::{Normals, lower_factor};

/// Draws of a figure. A 95 % interval then ends on average within 2 % of its true half width (common practice; JCGM
/// 101, 7.2.2, asks for 10⁶ where two digits must be sure, which a page does not print).
pub const DRAWS: u32 = 20_000;

/// Above this number of roots, sums of many roots that nothing else uses are drawn as one normal value.
const ROOTS_DRAWN_ONE_BY_ONE: usize = 200;

/// A sum of at least this many roots is near enough normal (central limit theorem, GUM G.2) when none of them outweighs
/// the rest.
const ROOTS_OF_A_NORMAL_SUM: usize = 32;

/// Fewer usable draws than this say nothing about an interval.
const DRAWS_NEEDED: usize = 1_000;

/// The outcome of propagating distributions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Propagated {
    pub mean: f64,
    pub median: f64,
    /// Standard deviation of the draws (JCGM 101, 7.6); where that is not finite, the half width of the interval
    /// divided by 1.96.
    pub uncertainty: f64,
    /// Probabilistically symmetric 95 % interval (JCGM 101, 7.7).
    pub interval: (f64, f64),
    /// Draws for which the formula has a value.
    pub draws: u32,
    /// Draws for which it has none, left out.
    pub draws_without_value: u32,
}

/// What is known of the uncertainty of a node.
#[derive(Clone, Debug)]
pub(crate) struct Assessment {
    pub how_sure: HowSure,
    pub uncertainty: f64,
    pub interval: (f64, f64),
    /// Where first order fails, the part of each root; else they follow from the sensitivities.
    pub shares: Option<Vec<(NodeId, f64)>>,
    pub draws_without_value: u32,
}

/// Decides between first order and Monte Carlo, and works the uncertainty out.
pub(crate) fn assess(graph: &Graph, node: NodeId) -> Assessment {
    let value = graph.value(node);
    let mut uncertainty = graph.first_order(node);
    let mut coverage = COVERAGE_95;
    if let Some(root) = graph.root_data(node) {
        coverage = root.shape.coverage_95();
    } else if !value.is_finite() {
        uncertainty = f64::NAN;
    } else if !graph.node(node).affine {
        let plan = Plan::new(graph, node);
        let probes: Vec<Probe> = (0..plan.sources.len()).map(|s| plan.probe(s)).collect();
        if plan.first_order_fails(uncertainty, &probes) {
            let seed = seed_of(graph.label(node));
            let sample = plan.propagate_once(seed, &probes);
            return Assessment {
                how_sure: HowSure::MonteCarlo { draws: sample.draws, seed, median: sample.median },
                uncertainty: sample.uncertainty,
                interval: sample.interval,
                shares: Some(plan.shares(&probes)),
                draws_without_value: sample.draws_without_value,
            };
        }
    }
    let half = coverage * uncertainty;
    Assessment {
        how_sure: HowSure::FirstOrder,
        uncertainty,
        interval: (value - half, value + half),
        shares: None,
        draws_without_value: 0,
    }
}

/// A fixed seed for a label.
fn seed_of(label: &str) -> u64 {
    let hash = blake3::hash(label.as_bytes());
    hash.as_bytes()[..8].iter().fold(0, |seed, &byte| (seed << 8) | u64::from(byte))
}

/// What varies: a root, or a sum of many roots drawn as one.
struct Source {
    node: NodeId,
    slot: usize,
    value: f64,
    uncertainty: f64,
    shape: Shape,
}

enum Step<'g> {
    /// A source or a constant: its slot is already filled.
    Given,
    Linear {
        slots: Vec<usize>,
        weights: &'g [f64],
    },
    Apply {
        slots: Vec<usize>,
        formula: &'g Formula,
    },
}

/// The part of the graph between one node and what varies below it, laid out for evaluating it many times.
pub(crate) struct Plan<'g> {
    graph: &'g Graph,
    steps: Vec<Step<'g>>,
    /// The values at the estimates, one a step.
    base: Vec<f64>,
    sources: Vec<Source>,
}

/// How the node moves when one source moves and the rest stay.
struct Probe {
    /// Slope times uncertainty, from a step small beside the uncertainty.
    linear: f64,
    /// Changes of the node at +1, −1, +2, −2, +4, −4 standard uncertainties, or at the end of the distribution.
    changes: [f64; 6],
}

impl Probe {
    /// The larger change at one standard uncertainty; 0 where the formula has no value on either side.
    fn effect(&self) -> f64 {
        let size = |change: f64| {
            if change.is_finite() { change.abs() } else { 0.0 }
        };
        size(self.changes[0]).max(size(self.changes[1]))
    }
}

impl<'g> Plan<'g> {
    pub(crate) fn new(graph: &'g Graph, node: NodeId) -> Self {
        let grouped = grouped_sums(graph, node);
        let mut needed = BTreeSet::new();
        let mut pending = vec![node];
        while let Some(next) = pending.pop() {
            if needed.insert(next) && !grouped.contains(&next) {
                pending.extend_from_slice(inputs_of(graph, next));
            }
        }
        let order: Vec<NodeId> = needed.into_iter().collect();
        let slot_of = |id: &NodeId| order.binary_search(id).expect("every input of a needed node is needed");
        let slots_of = |ids: &[NodeId]| ids.iter().map(slot_of).collect::<Vec<usize>>();
        let mut sources = Vec::new();
        let mut steps = Vec::with_capacity(order.len());
        for (slot, &id) in order.iter().enumerate() {
            let value = graph.value(id);
            let step = match &graph.node(id).kind {
                _ if grouped.contains(&id) => {
                    sources.push(Source {
                        node: id,
                        slot,
                        value,
                        uncertainty: graph.first_order(id),
                        shape: Shape::Normal,
                    });
                    Step::Given
                }
                Kind::Root(root) => {
                    // A root without uncertainty never moves: neither probing nor drawing it tells anything.
                    if root.uncertainty > 0.0 {
                        sources.push(Source {
                            node: id,
                            slot,
                            value,
                            uncertainty: root.uncertainty,
                            shape: root.shape,
                        });
                    }
                    Step::Given
                }
                Kind::Exact => Step::Given,
                Kind::Linear { inputs, weights } => Step::Linear { slots: slots_of(inputs), weights },
                Kind::Computed { inputs, formula } => Step::Apply { slots: slots_of(inputs), formula },
            };
            steps.push(step);
        }
        let base = order.iter().map(|&id| graph.value(id)).collect();
        Plan { graph, steps, base, sources }
    }

    /// Draws the sources `draws` times from a generator with this seed and summarises the node's values.
    pub(crate) fn propagate(&self, draws: u32, seed: u64) -> Propagated {
        summarise(self.sample(draws, seed), draws)
    }

    /// The node's values, less those that are none.
    fn sample(&self, draws: u32, seed: u64) -> Vec<f64> {
        let mut normals = Normals::new(seed);
        let joint = Joint::new(self);
        let mut values = self.base.clone();
        let mut arguments = Vec::new();
        let mut sample = Vec::with_capacity(draws as usize);
        for _ in 0..draws {
            for (position, source) in self.sources.iter().enumerate() {
                if !joint.holds(position) {
                    values[source.slot] = source.value + source.uncertainty * normals.deviate(source.shape);
                }
            }
            joint.draw(&mut normals, |position, deviate| {
                let source = &self.sources[position];
                values[source.slot] = source.value + source.uncertainty * deviate;
            });
            let drawn = self.evaluate(&mut values, &mut arguments);
            if drawn.is_finite() {
                sample.push(drawn);
            }
        }
        sample
    }

    /// First order fails when, along any one source, the change bends by more than a tenth of the combined uncertainty
    /// `combined` at one standard uncertainty (and in proportion further out, which is how a denominator near zero
    /// shows), or has no value within two; or when two sources together bend it by a fifth. The limits are ours:
    /// common practice, no source; GUM 5.1.2, note, only asks for higher terms when they are significant.
    fn first_order_fails(&self, combined: f64, probes: &[Probe]) -> bool {
        if !combined.is_finite() {
            return self.sources.iter().all(|source| source.uncertainty.is_finite());
        }
        // Rounding is no bend: it shows where everything cancels and the combined uncertainty is 0.
        let rounding = 1e-13 * self.base.iter().fold(0f64, |size, v| size.max(v.abs()));
        let limit = |part: f64| (part * combined).max(rounding);
        for probe in probes {
            let [up1, down1, up2, down2, up4, down4] = probe.changes;
            if !(up1.is_finite() && down1.is_finite() && up2.is_finite() && down2.is_finite()) {
                return true;
            }
            let even = |up: f64, down: f64| ((up + down) / 2.0).abs();
            let odd = ((up1 - down1) / 2.0 - probe.linear).abs();
            // Rising, then thrown to the other side: a pole lies between two and four uncertainties away.
            let thrown = |near: f64, far: f64| near * far < 0.0 && far.abs() > limit(1.0);
            if even(up1, down1) > limit(0.1)
                || odd > limit(0.1)
                || even(up2, down2) > limit(0.6)
                || even(up4, down4) > limit(4.0)
                || thrown(up2, up4)
                || thrown(down2, down4)
            {
                return true;
            }
        }
        let mut strongest: Vec<usize> = (0..probes.len()).collect();
        strongest.sort_by(|&a, &b| {
            let (a_effect, b_effect) = (probes[a].effect(), probes[b].effect());
            b_effect.total_cmp(&a_effect).then(a.cmp(&b))
        });
        strongest.truncate(6);
        for (position, &a) in strongest.iter().enumerate() {
            for &b in &strongest[..position] {
                // A missing value in a corner is left to the draws to find; it says nothing about bending.
                if self.mixed(a, b) > limit(0.2) {
                    return true;
                }
            }
        }
        false
    }

    fn probe(&self, position: usize) -> Probe {
        let reach = self.sources[position].shape.reach();
        let here = self.base[self.base.len() - 1];
        let at = |distance: f64| self.moved(&[(position, distance.clamp(-reach, reach))]);
        let small = 1.0 / 16.0;
        Probe {
            linear: (at(small) - at(-small)) / (2.0 * small),
            changes: [1.0, -1.0, 2.0, -2.0, 4.0, -4.0].map(|distance| at(distance) - here),
        }
    }

    /// The mixed second difference of two sources at one standard uncertainty each.
    fn mixed(&self, a: usize, b: usize) -> f64 {
        let at = |x: f64, y: f64| self.moved(&[(a, x), (b, y)]);
        ((at(1.0, 1.0) - at(1.0, -1.0) - at(-1.0, 1.0) + at(-1.0, -1.0)) / 4.0).abs()
    }

    /// The node's value with some sources moved by so many standard uncertainties. Only what depends on them is
    /// evaluated again.
    fn moved(&self, moves: &[(usize, f64)]) -> f64 {
        let mut values = self.base.clone();
        let mut changed = vec![false; values.len()];
        for &(position, distance) in moves {
            let source = &self.sources[position];
            values[source.slot] = source.value + distance * source.uncertainty;
            changed[source.slot] = true;
        }
        let mut arguments = Vec::new();
        for (slot, step) in self.steps.iter().enumerate() {
            let (Step::Linear { slots, .. } | Step::Apply { slots, .. }) = step else {
                continue;
            };
            if slots.iter().any(|&input| changed[input]) {
                changed[slot] = true;
                values[slot] = run(step, &values, &mut arguments).unwrap_or(values[slot]);
            }
        }
        values[values.len() - 1]
    }

    fn evaluate(&self, values: &mut [f64], arguments: &mut Vec<f64>) -> f64 {
        for (slot, step) in self.steps.iter().enumerate() {
            if let Some(value) = run(step, values, arguments) {
                values[slot] = value;
            }
        }
        values[values.len() - 1]
    }

    /// The part of each root in the sum of squared effects; the part of a grouped sum is handed on to its roots.
    fn shares(&self, probes: &[Probe]) -> Vec<(NodeId, f64)> {
        let mut squares: Vec<f64> = probes.iter().map(|probe| probe.effect().powi(2)).collect();
        let mut total: f64 = squares.iter().sum();
        if total == 0.0 {
            // No root does anything alone, as in a product of two values that are both 0: they share alike.
            squares.fill(1.0);
            total = squares.len() as f64;
        }
        let mut shares: BTreeMap<NodeId, f64> = BTreeMap::new();
        for (source, square) in self.sources.iter().zip(squares) {
            let variance = source.uncertainty * source.uncertainty;
            for (root, part) in self.graph.contributions(source.node) {
                shares.insert(root, square / total * part * part / variance);
            }
        }
        shares.into_iter().collect()
    }
}

fn run(step: &Step<'_>, values: &[f64], arguments: &mut Vec<f64>) -> Option<f64> {
    match step {
        Step::Given => None,
        Step::Linear { slots, weights } => {
            Some(slots.iter().zip(*weights).map(|(&slot, weight)| weight * values[slot]).sum())
        }
        Step::Apply { slots, formula } => {
            arguments.clear();
            arguments.extend(slots.iter().map(|&slot| values[slot]));
            Some(formula(arguments))
        }
    }
}

fn inputs_of(graph: &Graph, node: NodeId) -> &[NodeId] {
    match &graph.node(node).kind {
        Kind::Root(_) | Kind::Exact => &[],
        Kind::Linear { inputs, .. } | Kind::Computed { inputs, .. } => inputs,
    }
}

/// The sums below `node` that are drawn as one normal value: many roots, none of them used in another way or correlated
/// with a root outside, none that outweighs the rest. Empty unless the node has too many roots to draw one by one.
fn grouped_sums(graph: &Graph, node: NodeId) -> BTreeSet<NodeId> {
    let mut sums = BTreeSet::new();
    if graph.roots_of(node).len() <= ROOTS_DRAWN_ONE_BY_ONE {
        return sums;
    }
    // How many ways lead to each root: a root that is reached twice is shared and must be drawn itself.
    let mut ways: BTreeMap<NodeId, u32> = BTreeMap::new();
    let mut seen = BTreeSet::new();
    let mut pending = vec![node];
    while let Some(next) = pending.pop() {
        if !seen.insert(next) {
            continue;
        }
        if graph.root_data(next).is_some() {
            *ways.entry(next).or_default() += 1;
        } else if next != node && could_be_normal(graph, next) {
            sums.insert(next);
            for root in graph.roots_of(next) {
                *ways.entry(root).or_default() += 1;
            }
        } else {
            pending.extend_from_slice(inputs_of(graph, next));
        }
    }
    sums.retain(|&sum| {
        let roots = graph.roots_of(sum);
        let holds = |root: NodeId| roots.binary_search(&root).is_ok();
        roots.iter().all(|root| ways[root] == 1) && graph.correlations().keys().all(|&(a, b)| holds(a) == holds(b))
    });
    sums
}

fn could_be_normal(graph: &Graph, node: NodeId) -> bool {
    let contributions = graph.contributions(node);
    let total: f64 = contributions.iter().map(|&(_, part)| part * part).sum();
    graph.node(node).affine
        && contributions.len() >= ROOTS_OF_A_NORMAL_SUM
        && graph.first_order(node) > 0.0
        && contributions.iter().all(|&(_, part)| part * part < 0.2 * total)
}

/// Mean, deviation and quantiles of a sample, the values outside the domain already left out.
fn summarise(mut sample: Vec<f64>, draws: u32) -> Propagated {
    let count = sample.len();
    let mut summary = Propagated {
        mean: f64::NAN,
        median: f64::NAN,
        uncertainty: f64::NAN,
        interval: (f64::NAN, f64::NAN),
        draws: count as u32,
        draws_without_value: draws - count as u32,
    };
    if count < DRAWS_NEEDED {
        return summary;
    }
    sample.sort_by(f64::total_cmp);
    // JCGM 101, 7.7.1 and 7.7.2, with p = 0.95; ranks there count from 1.
    let within = (0.95 * count as f64 + 0.5).floor() as usize;
    let low = (count - within).div_ceil(2);
    summary.interval = (sample[low - 1], sample[low + within - 1]);
    summary.median = (sample[(count - 1) / 2] + sample[count / 2]) / 2.0;
    // About the median, so that a large value does not eat the digits of a small spread.
    let centre = summary.median;
    let offset = sample.iter().map(|value| value - centre).sum::<f64>() / count as f64;
    summary.mean = centre + offset;
    let squares: f64 = sample.iter().map(|value| (value - centre - offset).powi(2)).sum();
    let deviation = (squares / (count - 1) as f64).sqrt();
    summary.uncertainty =
        if deviation.is_finite() { deviation } else { (summary.interval.1 - summary.interval.0) / (2.0 * COVERAGE_95) };
    summary
}

/// The sources that are correlated with another one. Of them only values, uncertainties and correlations are known
/// together, so they are drawn from a joint normal distribution (JCGM 101, 6.4.8), whatever their shapes.
struct Joint {
    positions: Vec<usize>,
    /// Lower triangular factor of the correlation matrix.
    factor: Vec<Vec<f64>>,
}

impl Joint {
    fn new(plan: &Plan<'_>) -> Self {
        let correlations = plan.graph.correlations();
        let position_of = |root: NodeId| plan.sources.iter().position(|s| s.node == root);
        let pairs: Vec<(usize, usize, f64)> =
            correlations.iter().filter_map(|(&(a, b), &rho)| Some((position_of(a)?, position_of(b)?, rho))).collect();
        let positions: Vec<usize> =
            pairs.iter().flat_map(|&(a, b, _)| [a, b]).collect::<BTreeSet<usize>>().into_iter().collect();
        let size = positions.len();
        let mut matrix = vec![vec![0.0; size]; size];
        for (row, line) in matrix.iter_mut().enumerate() {
            line[row] = 1.0;
        }
        for (a, b, rho) in pairs {
            let row = positions.binary_search(&a).expect("taken from the pairs");
            let column = positions.binary_search(&b).expect("taken from the pairs");
            matrix[row][column] = rho;
            matrix[column][row] = rho;
        }
        Joint { positions, factor: lower_factor(&matrix) }
    }

    fn holds(&self, position: usize) -> bool {
        self.positions.binary_search(&position).is_ok()
    }

    fn draw(&self, normals: &mut Normals, mut set: impl FnMut(usize, f64)) {
        let free: Vec<f64> = self.positions.iter().map(|_| normals.normal()).collect();
        for (row, &position) in self.factor.iter().zip(&self.positions) {
            set(position, row.iter().zip(&free).map(|(a, b)| a * b).sum());
        }
    }
}
