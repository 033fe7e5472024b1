//! The graph of values: roots as recorded, and nodes computed from other nodes by pure functions.
//!
//! Uncertainty follows the GUM (JCGM 100:2008, Evaluation of measurement data, Guide to the expression of uncertainty in
//! measurement). Every node carries its sensitivity to every root, not only its own uncertainty, so that two figures
//! which share an input are correlated as they should be: x − x is 0 ± 0. Where first order fails (see
//! [`montecarlo`](crate::figures::montecarlo)) the node is worked out by propagating distributions (JCGM 101:2008).
//!
//! Node numbers grow as nodes are added and a node can only name earlier ones, so numeric order is an order of
//! evaluation and every walk over the graph is deterministic.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, OnceLock};

use serde::Serialize;

use crate::diagnostic::Place;
use crate::figures::montecarlo::{self, Assessment, Propagated};
use crate::science::slope::slope;

/// The coverage factor of a 95 % interval of a normal distribution (GUM, Table G.1: 1.960; more digits so that the
/// interval does not round visibly).
pub const COVERAGE_95: f64 = 1.959_963_985;

/// What a value rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// Read from an instrument or a kit by the keeper.
    Measured,
    /// Told by someone else: a nameplate, a data sheet, a tariff.
    Stated,
    /// Worked out from other values.
    Computed,
    /// A default that stands in for a value nobody recorded.
    Assumed,
}

impl Basis {
    /// The word a page or a data file prints.
    pub fn word(self) -> &'static str {
        match self {
            Basis::Measured => "measured",
            Basis::Stated => "stated",
            Basis::Computed => "computed",
            Basis::Assumed => "assumed",
        }
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// The distribution of a root about its value; its standard uncertainty is given apart from it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// Known by its standard uncertainty only (JCGM 101, 6.4.7).
    #[default]
    Normal,
    /// Anywhere between two limits, `√3·u` either side (GUM 4.3.7): a display's last digit, a tolerance.
    Rectangular,
    /// Between two limits, `√6·u` either side, likelier in the middle (GUM 4.3.9): a reading judged between two marks.
    Triangular,
}

impl Shape {
    /// How many standard uncertainties from the value the distribution reaches.
    pub(crate) fn reach(self) -> f64 {
        match self {
            Shape::Normal => f64::INFINITY,
            Shape::Rectangular => 3f64.sqrt(),
            Shape::Triangular => 6f64.sqrt(),
        }
    }

    /// Half the width of the central 95 % interval, in standard uncertainties.
    pub(crate) fn coverage_95(self) -> f64 {
        match self {
            Shape::Normal => COVERAGE_95,
            Shape::Rectangular => 0.95 * 3f64.sqrt(),
            Shape::Triangular => (1.0 - 0.05f64.sqrt()) * 6f64.sqrt(),
        }
    }
}

/// A node of a [`Graph`]; only meaningful with the graph that gave it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(u32);

impl NodeId {
    /// Position in the graph, counted from 0 in the order of adding.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// A value that comes from outside the graph: from the record, from a data sheet, or assumed.
#[derive(Clone, Debug)]
pub struct Root {
    pub label: String,
    pub value: f64,
    /// Standard uncertainty (one standard deviation), in `unit`; 0 where the value is exact.
    pub uncertainty: f64,
    pub unit: String,
    pub basis: Basis,
    /// Where it stands in the record; empty for what the record does not say.
    pub places: Vec<Place>,
    pub shape: Shape,
    /// Whether the keeper marked it as not for publishing.
    pub private: bool,
    pub note: Option<String>,
    /// Key in the bibliography, where the value or its uncertainty was published.
    pub source: Option<&'static str>,
}

/// How the uncertainty of a node was worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HowSure {
    /// The law of propagation of uncertainty (GUM, 5.1.2 and 5.2.2).
    FirstOrder,
    /// Propagation of distributions (JCGM 101), because first order fails here. `draws` counts the draws for which the
    /// formula has a value.
    MonteCarlo { draws: u32, seed: u64, median: f64 },
}

pub(crate) type Formula = Arc<dyn Fn(&[f64]) -> f64 + Send + Sync>;

#[derive(Clone)]
pub(crate) enum Kind {
    Root(Box<Root>),
    Exact,
    Linear { inputs: Vec<NodeId>, weights: Vec<f64> },
    Computed { inputs: Vec<NodeId>, formula: Formula },
}

#[derive(Clone)]
pub(crate) struct Node {
    label: String,
    unit: String,
    pub(crate) kind: Kind,
    pub(crate) value: f64,
    /// ∂node/∂root for every root the node depends on, zeros included, in order of root.
    sensitivities: Vec<(NodeId, f64)>,
    /// Whether the node is a weighted sum of roots and constants and nothing else.
    pub(crate) affine: bool,
    private: bool,
    assessment: OnceLock<Assessment>,
}

/// All values and how they come from each other.
#[derive(Clone, Default)]
pub struct Graph {
    nodes: Vec<Node>,
    /// Correlation coefficients of pairs of roots, the lower number first.
    correlations: BTreeMap<(NodeId, NodeId), f64>,
}

impl fmt::Debug for Graph {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Graph").field("nodes", &self.nodes.len()).field("correlations", &self.correlations).finish()
    }
}

impl Graph {
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a value from outside. A negative uncertainty is taken without its sign.
    pub fn root(&mut self, mut root: Root) -> NodeId {
        root.uncertainty = root.uncertainty.abs();
        let id = self.next_id();
        self.push(Node {
            label: root.label.clone(),
            unit: root.unit.clone(),
            value: root.value,
            sensitivities: vec![(id, 1.0)],
            affine: true,
            private: root.private,
            kind: Kind::Root(Box::new(root)),
            assessment: OnceLock::new(),
        })
    }

    /// Adds a constant: a count, a conversion factor. It is no root and has no uncertainty.
    pub fn exact(&mut self, value: f64) -> NodeId {
        self.push(Node {
            label: String::new(),
            unit: String::new(),
            kind: Kind::Exact,
            value,
            sensitivities: Vec::new(),
            affine: true,
            private: false,
            assessment: OnceLock::new(),
        })
    }

    /// Adds a value computed from `inputs`, which `formula` receives in the same order. It must be a pure function and
    /// answer NaN outside its domain.
    pub fn compute(
        &mut self,
        label: &str,
        unit: &str,
        inputs: &[NodeId],
        formula: impl Fn(&[f64]) -> f64 + Send + Sync + 'static,
    ) -> NodeId {
        let values: Vec<f64> = inputs.iter().map(|&input| self.value(input)).collect();
        let slopes: Vec<f64> = inputs
            .iter()
            .enumerate()
            .map(|(position, &input)| {
                if self.node(input).sensitivities.is_empty() {
                    return 0.0;
                }
                slope(&formula, &values, position, self.first_order(input))
            })
            .collect();
        self.push(Node {
            label: label.to_owned(),
            unit: unit.to_owned(),
            value: formula(&values),
            sensitivities: self.chain(inputs, &slopes),
            affine: false,
            private: inputs.iter().any(|&input| self.private(input)),
            kind: Kind::Computed { inputs: inputs.to_vec(), formula: Arc::new(formula) },
            assessment: OnceLock::new(),
        })
    }

    /// Adds a sum; its sensitivities are exact, and it stays cheap for hundreds of inputs.
    pub fn sum(&mut self, label: &str, unit: &str, inputs: &[NodeId]) -> NodeId {
        let terms: Vec<(NodeId, f64)> = inputs.iter().map(|&input| (input, 1.0)).collect();
        self.linear(label, unit, &terms)
    }

    /// Adds a weighted sum `Σ weight·input`; its sensitivities are exact.
    pub fn linear(&mut self, label: &str, unit: &str, terms: &[(NodeId, f64)]) -> NodeId {
        let (inputs, weights): (Vec<NodeId>, Vec<f64>) = terms.iter().copied().unzip();
        self.push(Node {
            label: label.to_owned(),
            unit: unit.to_owned(),
            value: terms.iter().map(|&(input, weight)| weight * self.value(input)).sum(),
            sensitivities: self.chain(&inputs, &weights),
            affine: inputs.iter().all(|&input| self.node(input).affine),
            private: inputs.iter().any(|&input| self.private(input)),
            kind: Kind::Linear { inputs, weights },
            assessment: OnceLock::new(),
        })
    }

    /// Sets the correlation coefficient of two roots (GUM 5.2.2). Roots are uncorrelated until told otherwise.
    ///
    /// # Panics
    /// When either is no root, both are the same, or `rho` is not between −1 and 1.
    pub fn correlate(&mut self, a: NodeId, b: NodeId, rho: f64) {
        assert!(
            self.root_data(a).is_some() && self.root_data(b).is_some() && a != b,
            "only two different roots can be correlated"
        );
        assert!((-1.0..=1.0).contains(&rho), "a correlation coefficient is between -1 and 1");
        self.correlations.insert((a.min(b), a.max(b)), rho);
        for node in &mut self.nodes {
            node.assessment.take();
        }
    }

    /// The estimate: the formula at the estimates of its inputs (GUM 4.1.4).
    pub fn value(&self, node: NodeId) -> f64 {
        self.node(node).value
    }

    /// Standard uncertainty, in the unit of the node; NaN where the value itself is.
    pub fn uncertainty(&self, node: NodeId) -> f64 {
        self.assessment(node).uncertainty
    }

    /// The interval that holds the value with a probability of 95 %. First order: value ± 1.96·u, which is a little
    /// wide where one rectangular root outweighs all others; of a root: that of its own distribution; Monte Carlo: the
    /// probabilistically symmetric interval (JCGM 101, 7.7), which need not be centred on the value.
    pub fn interval95(&self, node: NodeId) -> (f64, f64) {
        self.assessment(node).interval
    }

    /// The partial derivative with respect to every root the node depends on, in order of root. Roots that cancel out
    /// stay, with 0.
    pub fn sensitivities(&self, node: NodeId) -> Vec<(NodeId, f64)> {
        self.node(node).sensitivities.clone()
    }

    /// The part each root has in u², largest first, then in order of root. They add up to 1; with negative
    /// correlations a part can be negative. Where first order fails: the part in the sum of the squared changes when
    /// one root at a time moves by its uncertainty. All 0 where the node has no uncertainty.
    pub fn shares(&self, node: NodeId) -> Vec<(NodeId, f64)> {
        let mut shares = match &self.assessment(node).shares {
            Some(shares) => shares.clone(),
            None => self.first_order_shares(node),
        };
        shares.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        shares
    }

    /// How the uncertainty was worked out.
    pub fn how_sure(&self, node: NodeId) -> HowSure {
        self.assessment(node).how_sure
    }

    /// How many Monte Carlo draws fell where the formula has no value and were left out; 0 for first order.
    pub fn draws_without_value(&self, node: NodeId) -> u32 {
        self.assessment(node).draws_without_value
    }

    /// Propagates the distributions of the roots with as many draws and the seed asked for, whether first order holds
    /// or not (JCGM 101, clause 7).
    pub fn propagate(&self, node: NodeId, draws: u32, seed: u64) -> Propagated {
        montecarlo::Plan::new(self, node).propagate(draws, seed)
    }

    /// Whether any root the node depends on is private.
    pub fn private(&self, node: NodeId) -> bool {
        self.node(node).private
    }

    /// The basis of a root; constants are `Stated`, everything else is `Computed`.
    pub fn basis(&self, node: NodeId) -> Basis {
        match &self.node(node).kind {
            Kind::Root(root) => root.basis,
            Kind::Exact => Basis::Stated,
            Kind::Linear { .. } | Kind::Computed { .. } => Basis::Computed,
        }
    }

    /// Every root the node depends on, in order.
    pub fn roots_of(&self, node: NodeId) -> Vec<NodeId> {
        self.node(node).sensitivities.iter().map(|&(root, _)| root).collect()
    }

    /// The roots among them that are assumed, in order.
    pub fn assumed_roots_of(&self, node: NodeId) -> Vec<NodeId> {
        let mut roots = self.roots_of(node);
        roots.retain(|&root| self.basis(root) == Basis::Assumed);
        roots
    }

    /// What a root was made from; `None` for a constant or a computed node.
    pub fn root_data(&self, node: NodeId) -> Option<&Root> {
        match &self.node(node).kind {
            Kind::Root(root) => Some(root),
            _ => None,
        }
    }

    /// Every root of the graph, in order.
    pub fn roots(&self) -> impl Iterator<Item = (NodeId, &Root)> {
        self.nodes.iter().enumerate().filter_map(|(index, node)| match &node.kind {
            Kind::Root(root) => Some((NodeId(index as u32), root.as_ref())),
            _ => None,
        })
    }

    pub fn label(&self, node: NodeId) -> &str {
        &self.node(node).label
    }

    pub fn unit(&self, node: NodeId) -> &str {
        &self.node(node).unit
    }

    /// The law of propagation of uncertainty, GUM equation (16).
    pub(crate) fn first_order(&self, node: NodeId) -> f64 {
        let contributions = self.contributions(node);
        let squares: f64 = contributions.iter().map(|&(_, part)| part * part).sum();
        let mut cross = 0.0;
        for (&(a, b), rho) in &self.correlations {
            cross += 2.0 * rho * part_of(&contributions, a) * part_of(&contributions, b);
        }
        let variance = squares + cross;
        // Full correlations cancel only up to rounding; what is left of that is no uncertainty.
        if variance <= 1e-15 * squares {
            return 0.0;
        }
        variance.sqrt()
    }

    /// Root by root the sensitivity times the standard uncertainty, GUM 5.1.3.
    pub(crate) fn contributions(&self, node: NodeId) -> Vec<(NodeId, f64)> {
        self.node(node)
            .sensitivities
            .iter()
            .map(|&(root, sensitivity)| {
                let uncertainty = self.root_uncertainty(root);
                let part = if uncertainty == 0.0 { 0.0 } else { sensitivity * uncertainty };
                (root, part)
            })
            .collect()
    }

    pub(crate) fn node(&self, node: NodeId) -> &Node {
        &self.nodes[node.index()]
    }

    pub(crate) fn correlations(&self) -> &BTreeMap<(NodeId, NodeId), f64> {
        &self.correlations
    }

    pub(crate) fn root_uncertainty(&self, root: NodeId) -> f64 {
        self.root_data(root).map_or(0.0, |data| data.uncertainty)
    }

    fn first_order_shares(&self, node: NodeId) -> Vec<(NodeId, f64)> {
        let contributions = self.contributions(node);
        let variance = self.first_order(node).powi(2);
        if variance == 0.0 {
            return contributions.iter().map(|&(root, _)| (root, 0.0)).collect();
        }
        let mut shares: BTreeMap<NodeId, f64> = contributions.iter().map(|&(root, part)| (root, part * part)).collect();
        for (&(a, b), rho) in &self.correlations {
            let cross = rho * part_of(&contributions, a) * part_of(&contributions, b);
            for root in [a, b] {
                if let Some(share) = shares.get_mut(&root) {
                    *share += cross;
                }
            }
        }
        shares.into_iter().map(|(root, share)| (root, share / variance)).collect()
    }

    fn assessment(&self, node: NodeId) -> &Assessment {
        self.node(node).assessment.get_or_init(|| montecarlo::assess(self, node))
    }

    /// The chain rule: from slopes towards inputs to sensitivities towards roots.
    fn chain(&self, inputs: &[NodeId], slopes: &[f64]) -> Vec<(NodeId, f64)> {
        let mut totals: BTreeMap<NodeId, (f64, f64)> = BTreeMap::new();
        for (&input, &slope) in inputs.iter().zip(slopes) {
            for &(root, sensitivity) in &self.node(input).sensitivities {
                let (total, size) = totals.entry(root).or_default();
                *total += slope * sensitivity;
                *size += (slope * sensitivity).abs();
            }
        }
        totals
            .into_iter()
            .map(|(root, (total, size))| {
                // Slopes are good to about ten digits: what cancels beyond nine has cancelled.
                let cancelled = total.abs() <= 1e-9 * size;
                (root, if cancelled { 0.0 } else { total })
            })
            .collect()
    }

    fn next_id(&self) -> NodeId {
        NodeId(u32::try_from(self.nodes.len()).expect("a record has fewer than 2^32 values"))
    }

    fn push(&mut self, node: Node) -> NodeId {
        let id = self.next_id();
        self.nodes.push(node);
        id
    }
}

fn part_of(contributions: &[(NodeId, f64)], root: NodeId) -> f64 {
    contributions.binary_search_by_key(&root, |&(id, _)| id).map_or(0.0, |position| contributions[position].1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn basis_words_are_those_that_are_serialised() {
        for basis in [Basis::Measured, Basis::Stated, Basis::Computed, Basis::Assumed] {
            assert_eq!(serde_json::json!(basis), basis.word());
        }
    }
}
