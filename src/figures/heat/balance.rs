//! The balance with its parts named: every bound in hours is worked out here, whether a figure, the table of failures or
//! the sitter's sheet asks for it.

use std::collections::BTreeMap;

use super::model::{LONGEST_HOURS, Losses, hours_between, settles_at};
use super::room::Air;
use super::spread::{Side, bound};
use crate::figures::figure::InputName;
use crate::figures::graph::{Graph, NodeId};
use crate::figures::inputs::number;
use crate::science::normal::ONE_SIDED_95;

/// What one side of the balance is made of.
#[derive(Clone, Debug)]
pub struct Balance {
    pub(super) losses: Losses,
    /// The room while the water cools, and while it warms.
    pub(super) cold_room: Air,
    pub(super) hot_room: Air,
    /// Device to watts that reach the water.
    pub(super) gains: Vec<(String, NodeId)>,
    /// Heater to watts at full.
    pub(super) heaters: Vec<(String, NodeId)>,
    /// Chiller to watts that it takes out of the water at full.
    pub(super) chillers: Vec<(String, NodeId)>,
}

impl Balance {
    /// Watts that reach the water from the devices that still run.
    pub fn gains_without(&self, dead: &dyn Fn(&str) -> bool) -> Vec<(NodeId, f64)> {
        without(&self.gains, dead)
    }

    pub fn heaters_without(&self, dead: &dyn Fn(&str) -> bool) -> Vec<(NodeId, f64)> {
        without(&self.heaters, dead)
    }

    /// With so many heaters at full, the others off, and pumps and lamps as they run.
    pub fn with_heaters(&self, on: &dyn Fn(&str) -> bool) -> Vec<(NodeId, f64)> {
        [self.gains_without(&|_| false), self.heaters_without(&|key| !on(key))].concat()
    }

    /// What a chiller takes out of the water at full.
    pub fn taken_by(&self, device: &str) -> Option<(NodeId, f64)> {
        self.chillers.iter().find(|(key, _)| key == device).map(|(_, node)| (*node, -1.0))
    }
}

fn without(parts: &[(String, NodeId)], dead: &dyn Fn(&str) -> bool) -> Vec<(NodeId, f64)> {
    parts.iter().filter(|(device, _)| !dead(device)).map(|(_, node)| (*node, 1.0)).collect()
}

/// What is given to the water, or with −1 taken out of it, on a side of the balance.
pub type Given<'g> = &'g dyn Fn(&Balance) -> Vec<(NodeId, f64)>;

/// Which way the water goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    Warms,
    Cools,
}

impl Way {
    /// The side on which it goes fastest, and the other.
    fn sides(self) -> (Side, Side) {
        match self {
            Way::Warms => (Side::Warm, Side::Cold),
            Way::Cools => (Side::Cold, Side::Warm),
        }
    }
}

/// A time or a temperature, as a bound.
#[derive(Clone, Debug)]
pub struct Bound {
    /// Losses and room as in [`Losses::inputs`], then watts; of a time also what a degree holds, from and to.
    pub inputs: Vec<NodeId>,
    pub watts: NodeId,
    /// With the assumed inputs at their worse ends and the measured ones as they are.
    pub corner: NodeId,
    /// That, moved by what the measured ones leave open, and on to the next tenth.
    pub node: NodeId,
}

impl Bound {
    /// `→ 3.85 h, less 1.645 × 0.35 h`
    pub fn working(&self, graph: &Graph) -> String {
        let corner = graph.value(self.corner);
        if corner >= LONGEST_HOURS {
            return format!("→ {} h or more", number(LONGEST_HOURS));
        }
        format!("→ {} h, less {ONE_SIDED_95} × {} h", number(corner), number(graph.first_order(self.corner)))
    }
}

/// The balance on each side, and the temperatures between which hours are counted.
#[derive(Clone, Debug)]
pub struct Balances {
    pub(super) sides: BTreeMap<Side, Balance>,
    pub(super) still: NodeId,
    /// What a degree holds, Wh/K.
    pub(super) store: NodeId,
    /// °C.
    pub target: NodeId,
    pub cold_limit: NodeId,
    pub hot_limit: NodeId,
    /// What is shown as an input by the key of its figure.
    pub(super) named: BTreeMap<NodeId, &'static str>,
}

impl Balances {
    pub fn side(&self, side: Side) -> &Balance {
        &self.sides[&side]
    }

    /// All heaters at full, W, whatever the side.
    pub fn installed(&self, graph: &Graph) -> f64 {
        self.side(Side::Likely).heaters.iter().map(|(_, watts)| graph.value(*watts)).sum()
    }

    /// Inputs as a reader meets them: a figure by its key, else the roots.
    pub fn as_named(&self, inputs: &[NodeId]) -> Vec<InputName> {
        let named = |node: &NodeId| self.named.get(node).map_or(InputName::Node(*node), |key| InputName::from(*key));
        inputs.iter().map(named).collect()
    }

    /// At least so many hours from one temperature to another, with what is given (and taken) on the side on which it
    /// goes fastest.
    pub fn at_least(
        &self,
        label: &str,
        way: Way,
        (from, to): (NodeId, NodeId),
        given: Given,
        graph: &mut Graph,
    ) -> Bound {
        self.hours(label, (way, way.sides().0, -1.0), (from, to), given, graph)
    }

    /// At most so many: the other end of the same interval.
    pub fn at_most(
        &self,
        label: &str,
        way: Way,
        (from, to): (NodeId, NodeId),
        given: Given,
        graph: &mut Graph,
    ) -> Bound {
        self.hours(label, (way, way.sides().1, 1.0), (from, to), given, graph)
    }

    fn hours(
        &self,
        label: &str,
        (way, side, sign): (Way, Side, f64),
        (from, to): (NodeId, NodeId),
        given: Given,
        graph: &mut Graph,
    ) -> Bound {
        let balance = self.side(side);
        let room = if way == Way::Warms { balance.hot_room } else { balance.cold_room };
        let watts = graph.linear("Heat given", "W", &given(balance));
        let inputs = balance.losses.inputs(self.still, room, &[watts, self.store, from, to]);
        let corner = graph.compute(label, "h", &inputs, move |x| {
            let there = if way == Way::Warms { x[8] >= x[9] } else { x[8] <= x[9] };
            if there { 0.0 } else { hours_between(x, x[6], x[7], x[8], x[9]) }
        });
        let node = if graph.value(corner) >= LONGEST_HOURS {
            // A time that is a week or more stays so.
            graph.compute(label, "h", &[corner], |_| LONGEST_HOURS)
        } else {
            let moved = bound(graph, label, corner, sign);
            graph.compute(label, "h", &[moved], |x| x[0].clamp(0.0, LONGEST_HOURS))
        };
        Bound { inputs, watts, corner, node }
    }

    /// Where the water ends in the hot room, °C, as a bound: at most on the warm side, at least on the cold one.
    pub fn ends_at(&self, label: &str, side: Side, given: Given, graph: &mut Graph) -> Bound {
        let balance = self.side(side);
        let watts = graph.linear("Heat given", "W", &given(balance));
        let inputs = balance.losses.inputs(self.still, balance.hot_room, &[watts]);
        let corner = graph.compute(label, "°C", &inputs, |x| settles_at(x, x[6]));
        let node = bound(graph, label, corner, if side == Side::Warm { 1.0 } else { -1.0 });
        Bound { inputs, watts, corner, node }
    }
}

/// All that the heaters can give, with pumps and lamps as they run.
pub fn everything(side: &Balance) -> Vec<(NodeId, f64)> {
    side.with_heaters(&|_| true)
}
