//! Inputs with a likely value and both ends, so that a bound can be worked out from the ends on its side.

use crate::figures::graph::{Basis, Graph, NodeId, Root, Shape};
use crate::figures::inputs::assumed_between;
use crate::science::normal::ONE_SIDED_95;

/// An input as it is likely, and at both ends of what it may be.
#[derive(Clone, Copy, Debug)]
pub struct Spread {
    pub likely: NodeId,
    pub low: NodeId,
    pub high: NodeId,
}

impl Spread {
    /// A value that was written down: its own uncertainty is all there is.
    pub fn known(node: NodeId) -> Spread {
        Spread { likely: node, low: node, high: node }
    }

    /// Anywhere between two limits taken from practice.
    pub fn between(graph: &mut Graph, label: &str, low: f64, high: f64, unit: &str, note: &str) -> Spread {
        let likely = assumed_between(graph, label, low, high, unit, note);
        Spread {
            likely,
            low: end(graph, &format!("{label}, least"), low, unit, note),
            high: end(graph, &format!("{label}, most"), high, unit, note),
        }
    }

    /// The end, or the likely value, that a side asks for. `more_loses` says whether a larger value loses more heat.
    pub fn on(self, side: Side, more_loses: bool) -> NodeId {
        match (side, more_loses) {
            (Side::Likely, _) => self.likely,
            (Side::Warm, true) | (Side::Cold, false) => self.low,
            (Side::Warm, false) | (Side::Cold, true) => self.high,
        }
    }
}

/// Which end of every input is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Loses least and is given most: the bound on the warm side.
    Warm,
    Likely,
    /// Loses most and is given least: the bound on the cold side.
    Cold,
}

impl Side {
    pub const ALL: [Side; 3] = [Side::Warm, Side::Likely, Side::Cold];
}

/// A bound: what the worse ends of the assumed inputs give, moved further to the worse side (`sign`) by what the measured
/// ones leave open, and on to the next tenth on that side. One number, without an uncertainty of its own.
pub fn bound(graph: &mut Graph, label: &str, corner: NodeId, sign: f64) -> NodeId {
    let moved = graph.value(corner) + sign * ONE_SIDED_95 * graph.first_order(corner);
    // A hair over a tenth is that tenth.
    let moved = sign.signum() * (sign.signum() * moved * 10.0 - 1e-9).ceil() / 10.0;
    let moved = graph.exact(moved);
    let unit = graph.unit(corner).to_string();
    graph.compute(label, &unit, &[moved], |x| x[0])
}

/// The end of an assumed range: taken as it is, since a bound is worked out from it.
pub fn end(graph: &mut Graph, label: &str, value: f64, unit: &str, note: &str) -> NodeId {
    graph.root(Root {
        label: label.to_string(),
        value,
        uncertainty: 0.0,
        unit: unit.to_string(),
        basis: Basis::Assumed,
        places: Vec::new(),
        shape: Shape::Normal,
        private: false,
        note: Some(note.to_string()),
        source: Some("common-practice"),
    })
}
