//! Figures: the values the program claims, each with its method, its inputs and what limits it.
//!
//! A figure is a node of the [`Graph`] with a key, a formula a reader can follow, and the inputs it is explained by. A
//! figure that cannot be worked out is not left out silently: it becomes a [`Missing`], which says what to record.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::Place;
use crate::figures::graph::{Basis, Graph, HowSure, NodeId};

/// All figures of a record.
#[derive(Clone, Debug, Default)]
pub struct Figures {
    pub graph: Graph,
    figures: BTreeMap<(String, String), Figure>,
    pub missing: Vec<Missing>,
}

/// One value with everything needed to check it.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Stable name within the tank, such as `power.energy-per-day`.
    pub key: String,
    pub label: String,
    /// Key of the tank; empty for what belongs to the whole record.
    pub tank: String,
    pub node: NodeId,
    pub value: f64,
    pub unit: String,
    /// Standard uncertainty, in `unit`.
    pub uncertainty: f64,
    /// The 95 % interval, where first order fails and value ± 1.96·u would mislead, or where it is known by itself;
    /// `None` otherwise. The interval of any figure is [`Figure::interval95`].
    pub interval: Option<(f64, f64)>,
    pub basis: Basis,
    pub method: Method,
    pub inputs: Vec<Input>,
    /// What limits the figure: ranges, assumptions, draws left out.
    pub notes: Vec<String>,
    /// Whether anything it rests on is private.
    pub private: bool,
    /// Decimals to show, where the uncertainty should not decide.
    pub decimals: Option<u8>,
}

impl Figure {
    /// The interval that holds the value with a probability of 95 %.
    pub fn interval95(&self, graph: &Graph) -> (f64, f64) {
        self.interval.unwrap_or_else(|| graph.interval95(self.node))
    }

    /// The interval where one side is more than twice as long as the other, so that ± would name values that cannot be.
    pub fn lopsided(&self) -> Option<(f64, f64)> {
        self.interval.filter(|(low, high)| {
            let (down, up) = (self.value - low, high - self.value);
            up > 2.0 * down || down > 2.0 * up
        })
    }
}

/// How a figure was worked out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Method {
    /// In symbols: `E = Σ P·t`.
    pub formula: String,
    /// The same with the numbers put in.
    pub substituted: String,
    /// Keys of the bibliography.
    pub sources: Vec<&'static str>,
}

/// What a figure was worked out from.
#[derive(Clone, Debug)]
pub enum Input {
    /// A value from the record, or an assumed one.
    Root {
        node: NodeId,
        label: String,
        value: f64,
        uncertainty: f64,
        unit: String,
        basis: Basis,
        places: Vec<Place>,
        /// Its part in u²; see [`Graph::shares`].
        share: f64,
        private: bool,
    },
    /// Another figure of the same tank or of the whole record.
    Figure {
        key: String,
        /// Where it belongs; empty for the whole record.
        tank: String,
        label: String,
        value: f64,
        uncertainty: f64,
        unit: String,
        /// The part in u² of the roots it rests on. Figures that share a root each count it.
        share: f64,
    },
}

/// A figure that cannot be worked out, and what to record to get it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Missing {
    pub key: String,
    pub label: String,
    pub tank: String,
    /// A sentence for the keeper: "the wattage of the return pump".
    pub what_to_record: String,
    /// Whether it would rest on something private.
    pub private: bool,
}

/// Names an input of a figure: a node, or the key of another figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum InputName {
    Node(NodeId),
    Figure(String),
}

impl From<NodeId> for InputName {
    fn from(node: NodeId) -> Self {
        InputName::Node(node)
    }
}

impl From<&str> for InputName {
    fn from(key: &str) -> Self {
        InputName::Figure(key.to_owned())
    }
}

impl From<&String> for InputName {
    fn from(key: &String) -> Self {
        InputName::Figure(key.clone())
    }
}

impl From<String> for InputName {
    fn from(key: String) -> Self {
        InputName::Figure(key)
    }
}

impl Figures {
    pub fn new() -> Self {
        Self::default()
    }

    /// Begins a figure; [`FigureBuilder::finish`] adds it.
    pub fn define(&mut self, tank: &str, key: &str, label: &str) -> FigureBuilder<'_> {
        FigureBuilder {
            figures: self,
            tank: tank.to_owned(),
            key: key.to_owned(),
            label: label.to_owned(),
            method: Method::default(),
            inputs: Vec::new(),
            notes: Vec::new(),
            private: false,
            decimals: None,
            interval: None,
        }
    }

    /// Notes a figure that cannot be worked out.
    pub fn miss(&mut self, tank: &str, key: &str, label: &str, what_to_record: impl Into<String>) {
        self.missing.push(Missing {
            key: key.to_owned(),
            label: label.to_owned(),
            tank: tank.to_owned(),
            what_to_record: what_to_record.into(),
            private: false,
        });
    }

    pub fn get(&self, tank: &str, key: &str) -> Option<&Figure> {
        self.figures.get(&(tank.to_owned(), key.to_owned()))
    }

    /// All figures in order of tank and key.
    pub fn iter(&self) -> impl Iterator<Item = &Figure> {
        self.figures.values()
    }

    /// The figures of one tank in order of key.
    pub fn of_tank<'a>(&'a self, tank: &'a str) -> impl Iterator<Item = &'a Figure> {
        self.figures
            .range((tank.to_owned(), String::new())..)
            .map(|(_, figure)| figure)
            .take_while(move |figure| figure.tank == tank)
    }

    /// The figures that rest on nothing private, in order of tank and key.
    pub fn public(&self) -> impl Iterator<Item = &Figure> {
        self.iter().filter(|figure| !figure.private)
    }

    pub fn len(&self) -> usize {
        self.figures.len()
    }

    pub fn is_empty(&self) -> bool {
        self.figures.is_empty()
    }
}

/// Gathers what a figure needs besides its node.
#[must_use = "a figure is added by `finish`"]
pub struct FigureBuilder<'f> {
    figures: &'f mut Figures,
    tank: String,
    key: String,
    label: String,
    method: Method,
    inputs: Vec<InputName>,
    notes: Vec<String>,
    private: bool,
    decimals: Option<u8>,
    interval: Option<(f64, f64)>,
}

impl FigureBuilder<'_> {
    /// The formula in symbols, the same with numbers, and the keys of its sources.
    pub fn method(
        mut self,
        formula: impl Into<String>,
        substituted: impl Into<String>,
        sources: &[&'static str],
    ) -> Self {
        self.method = Method { formula: formula.into(), substituted: substituted.into(), sources: sources.to_vec() };
        self
    }

    /// Adds inputs in the order a reader meets them: `.inputs(&[volume, rate])`, `.inputs(&["power.energy-per-day"])`.
    /// A computed node stands for its roots, a constant for nothing. A figure with no inputs named lists every root.
    pub fn inputs<I: Clone + Into<InputName>>(mut self, inputs: &[I]) -> Self {
        self.inputs.extend(inputs.iter().cloned().map(Into::into));
        self
    }

    /// Adds a sentence on validity.
    pub fn note(mut self, note: impl Into<String>) -> Self {
        self.notes.push(note.into());
        self
    }

    pub fn decimals(mut self, decimals: u8) -> Self {
        self.decimals = Some(decimals);
        self
    }

    /// The 95 % interval, where it is known better than by propagation: that of a logarithm, put into the formula.
    pub fn interval(mut self, low: f64, high: f64) -> Self {
        self.interval = Some((low, high));
        self
    }

    /// Keeps the figure from being published even though nothing it rests on is private.
    pub fn private(mut self, private: bool) -> Self {
        self.private = private;
        self
    }

    /// Adds the figure whose value is that of `node` and returns the node. Where the formula has no value the figure is
    /// [`Missing`] instead. A key that is taken gets `-2`, `-3` and so on, so that nothing is overwritten.
    ///
    /// # Panics
    /// When an input names a figure that was not defined before: a figure is worked out after its inputs.
    pub fn finish(self, node: NodeId) -> NodeId {
        let FigureBuilder { figures, tank, key, label, method, mut inputs, mut notes, private, decimals, interval } =
            self;
        let graph = &figures.graph;
        let value = graph.value(node);
        if !value.is_finite() {
            let labels: Vec<String> = graph
                .roots_of(node)
                .into_iter()
                .filter(|&root| !graph.private(root))
                .map(|root| format!("{} ({})", graph.label(root), graph.value(root)))
                .collect();
            let what_to_record = format!("other values: the formula has no result for these: {}", labels.join(", "));
            let private = private || graph.private(node);
            figures.missing.push(Missing { key, label, tank, what_to_record, private });
            return node;
        }
        let shares: BTreeMap<NodeId, f64> = graph.shares(node).into_iter().collect();
        if inputs.is_empty() {
            inputs.extend(graph.roots_of(node).into_iter().map(InputName::Node));
        }
        let mut gathered = Gathered {
            figures,
            shares: &shares,
            listed: BTreeSet::new(),
            inputs: Vec::new(),
            private: private || graph.private(node),
        };
        for input in inputs {
            gathered.add(&tank, &key, input);
        }
        let (inputs, private) = (gathered.inputs, gathered.private);
        let left_out = graph.draws_without_value(node);
        let drawn = match graph.how_sure(node) {
            HowSure::FirstOrder => None,
            HowSure::MonteCarlo { draws, .. } => {
                if left_out > 0 {
                    notes.push(format!(
                        "{left_out} of {} draws fell where the formula has no value and are left out",
                        draws + left_out
                    ));
                }
                Some(graph.interval95(node))
            }
        };
        let figure = Figure {
            key: figures.free_key(&tank, key),
            label,
            node,
            value,
            unit: graph.unit(node).to_owned(),
            uncertainty: graph.uncertainty(node),
            interval: interval.or(drawn),
            basis: graph.basis(node),
            method,
            inputs,
            notes,
            private,
            decimals,
            tank,
        };
        figures.figures.insert((figure.tank.clone(), figure.key.clone()), figure);
        node
    }
}

impl Figures {
    fn free_key(&self, tank: &str, key: String) -> String {
        let taken = |key: &str| self.get(tank, key).is_some();
        if !taken(&key) {
            return key;
        }
        (2u32..)
            .map(|number| format!("{key}-{number}"))
            .find(|candidate| !taken(candidate))
            .expect("there are more numbers than figures")
    }
}

/// The inputs of one figure while they are looked up.
struct Gathered<'f> {
    figures: &'f Figures,
    shares: &'f BTreeMap<NodeId, f64>,
    listed: BTreeSet<NodeId>,
    inputs: Vec<Input>,
    private: bool,
}

impl Gathered<'_> {
    fn add(&mut self, tank: &str, key: &str, input: InputName) {
        let figures = self.figures;
        match input {
            InputName::Node(node) => {
                for root in figures.graph.roots_of(node) {
                    self.add_root(root);
                }
            }
            InputName::Figure(name) => {
                let figure = figures
                    .get(tank, &name)
                    .or_else(|| figures.get("", &name))
                    .unwrap_or_else(|| panic!("figure `{key}` needs `{name}`, which is not there"));
                let roots = figures.graph.roots_of(figure.node);
                self.private |= figure.private;
                self.inputs.push(Input::Figure {
                    key: figure.key.clone(),
                    tank: figure.tank.clone(),
                    label: figure.label.clone(),
                    value: figure.value,
                    uncertainty: figure.uncertainty,
                    unit: figure.unit.clone(),
                    share: roots.iter().filter_map(|root| self.shares.get(root)).sum(),
                });
            }
        }
    }

    fn add_root(&mut self, node: NodeId) {
        let Some(root) = self.figures.graph.root_data(node) else {
            return;
        };
        if !self.listed.insert(node) {
            return;
        }
        self.private |= root.private;
        self.inputs.push(Input::Root {
            node,
            label: root.label.clone(),
            value: root.value,
            uncertainty: root.uncertainty,
            unit: root.unit.clone(),
            basis: root.basis,
            places: root.places.clone(),
            share: self.shares.get(&node).copied().unwrap_or(0.0),
            private: root.private,
        });
    }
}
