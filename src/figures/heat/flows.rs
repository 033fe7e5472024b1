//! What comes in and what goes out at the working point.

use super::model::{loss_at, off_at, settles_at, settles_chilled};
use super::spread::Side;
use super::{Bench, HeatFindings};
use crate::figures::figure::Figures;
use crate::figures::graph::{Graph, NodeId};

/// One way that heat takes.
#[derive(Clone, Debug)]
pub struct Flow {
    pub label: String,
    /// The device that gives it.
    pub device: Option<String>,
    pub watts: f64,
    /// Standard uncertainty.
    pub u: f64,
}

/// The working point: as it is set, or as warm as pumps and lamps alone make it, if that is more.
pub fn work_out(bench: &Bench, figures: &mut Figures, found: &mut HeatFindings) {
    let gain = bench.gain(Side::Likely, true, figures);
    let speed = bench.speed_now(figures);
    let losses = bench.sides[&Side::Likely];
    let chilled = bench.chilled(Side::Likely, figures);
    let graph = &mut figures.graph;
    let mut inputs = losses.inputs(speed, bench.room.now, &[gain, bench.target]);
    inputs.extend(chilled.iter().flat_map(|(cooling, holds)| [*cooling, *holds]));
    let working = graph.compute("Water at the working point", "°C", &inputs, |x| match x[8..] {
        [cooling, holds] => settles_chilled(x, x[6], cooling, holds).max(x[7]),
        _ => settles_at(x, x[6]).max(x[7]),
    });
    found.working_temperature = Some(graph.value(working)).filter(|celsius| celsius.is_finite());
    found.over_target = graph.value(working) > graph.value(bench.target) + 1e-9;
    for gain in &bench.gains {
        let node = gain.heat(Side::Likely, graph);
        found.gains.push(flow(graph, gain.name.clone(), Some(gain.device.clone()), node));
    }
    let heater = losses.inputs(speed, bench.room.now, &[gain, working]);
    let heater = graph.compute("Heaters", "W", &heater, |x| (loss_at(x, x[7]) - x[6]).max(0.0));
    if !bench.heaters.is_empty() && !found.over_target {
        let label = if bench.heaters.len() == 1 { "Heater" } else { "Heaters" };
        found.gains.push(flow(graph, label.into(), None, heater));
    }
    if chilled.is_some() && found.over_target {
        let inputs = losses.inputs(speed, bench.room.now, &[gain, working]);
        let taken = graph.compute("Chiller", "W", &inputs, |x| (x[6] - loss_at(x, x[7])).max(0.0));
        // Nothing to draw where the room alone cools it.
        if graph.value(taken) > 1e-6 {
            found.losses.push(flow(graph, "Chiller".into(), None, taken));
        }
    }
    let air = bench.room.now.temperature;
    let surfaces = losses.surfaces;
    for (label, node) in [
        ("Sides", surfaces.sides),
        ("Bottom", surfaces.bottom),
        ("Surface, warm air", surfaces.top),
        ("Sump", surfaces.sump),
    ] {
        if graph.value(node) == 0.0 {
            continue;
        }
        let watts = graph.compute(label, "W", &[node, working, air], |x| x[0] * (x[1] - x[2]));
        found.losses.push(flow(graph, label.into(), None, watts));
    }
    let inputs = losses.inputs(speed, bench.room.now, &[working]);
    let evaporation = graph
        .compute("Evaporation", "W", &inputs, |x| off_at(x, x[6]).map_or(f64::NAN, |off| off.evaporation.as_watts()));
    found.losses.push(flow(graph, "Evaporation".into(), None, evaporation));
}

fn flow(graph: &Graph, label: String, device: Option<String>, node: NodeId) -> Flow {
    Flow { label, device, watts: graph.value(node), u: graph.first_order(node) }
}
