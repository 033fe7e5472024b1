//! The balance of heat with its inputs in a fixed order, as formulas of the graph and as plain numbers.

use super::surfaces::Surfaces;
use crate::figures::graph::{Graph, NodeId};
use crate::science::tank_heat::{Exchange, GivenOff, RoomAir, balance, given_off, time_between};
use crate::units::{Power, Temperature};

use super::room::Air;

/// What a tank hands to its room, on one side.
#[derive(Clone, Copy, Debug)]
pub struct Losses {
    pub surfaces: Surfaces,
    /// What the surface evaporates, of what the handbook's formula gives.
    pub activity: NodeId,
}

/// Order of the inputs of every formula here; what comes after is the formula's own.
impl Losses {
    pub fn inputs(&self, speed: NodeId, air: Air, more: &[NodeId]) -> Vec<NodeId> {
        let mut inputs =
            vec![self.surfaces.sensible, self.surfaces.open, self.activity, speed, air.temperature, air.humidity];
        inputs.extend(more);
        inputs
    }
}

/// The exchange and the room that the first six inputs describe. Draws of a Monte Carlo run may stray beyond what can
/// be: a share stays a share.
pub fn described(x: &[f64]) -> (Exchange, RoomAir) {
    let exchange = Exchange {
        sensible_w_per_k: x[0].max(0.01),
        surface_m2: x[1].max(1e-6),
        activity: x[2].max(0.0),
        air_speed_m_per_s: x[3].clamp(0.0, 2.0),
    };
    let room = RoomAir { temperature: Temperature::celsius(x[4]), relative_humidity: x[5].clamp(0.0, 1.0) };
    (exchange, room)
}

/// Watts given off at a water temperature; NaN outside the formula's range.
pub fn loss_at(x: &[f64], celsius: f64) -> f64 {
    off_at(x, celsius).map_or(f64::NAN, |off| off.total.as_watts())
}

pub fn off_at(x: &[f64], celsius: f64) -> Option<GivenOff> {
    let (exchange, room) = described(x);
    given_off(&exchange, room, Temperature::celsius(celsius)).ok()
}

/// Where the water settles with so many watts; NaN outside the formula's range.
pub fn settles_at(x: &[f64], watts: f64) -> f64 {
    let (exchange, room) = described(x);
    balance(&exchange, room, Power::watts(watts)).map_or(f64::NAN, Temperature::as_celsius)
}

/// Where the water settles with a chiller that can take so many watts and holds a temperature: as free where that is
/// cooler, at the chiller's setting where it is strong enough, and above it where it is not.
pub fn settles_chilled(x: &[f64], watts: f64, cooling: f64, holds: f64) -> f64 {
    let free = settles_at(x, watts);
    // So strong a chiller that the water would freeze holds its setting.
    let at_full = settles_at(x, watts - cooling);
    let chilled = if at_full.is_nan() { holds } else { at_full.max(holds) };
    // `min` would take the number that is one, where the free temperature is beyond what is known.
    if free.is_nan() { free } else { free.min(chilled) }
}

/// A week: beyond it nothing is said in hours.
pub const LONGEST_HOURS: f64 = 168.0;

/// Hours from one temperature to another with so many watts given; a week where it takes longer or never comes to it.
pub fn hours_between(x: &[f64], watts: f64, store_wh_per_k: f64, from: f64, to: f64) -> f64 {
    let net = |t: Temperature| {
        let (exchange, room) = described(x);
        Ok(watts - given_off(&exchange, room, t)?.total.as_watts())
    };
    match time_between(store_wh_per_k, Temperature::celsius(from), Temperature::celsius(to), net) {
        Ok(Some(time)) => time.as_hours().min(LONGEST_HOURS),
        Ok(None) => LONGEST_HOURS,
        Err(_) => f64::NAN,
    }
}

/// A node as a plain number.
pub fn value(graph: &Graph, node: NodeId) -> f64 {
    graph.value(node)
}
