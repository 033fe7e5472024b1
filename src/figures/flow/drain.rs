//! What runs back into the sump when the return stops, against the room that is left there.

use super::{Figures, NodeId};
use crate::diagnostic::Place;
use crate::figures::figure::InputName;
use crate::figures::inputs::{assumed_between, measured, number};
use crate::record::{Record, Role, Tank};
use crate::science::plumbing::{drain_back, weir_head_francis_1883};
use crate::units::{Flow, Length, Volume};

/// What a power cut does to the sump's level.
#[derive(Clone, Debug)]
pub struct Drain {
    /// Keys of the figures that could be worked out.
    pub over_edge: Option<String>,
    pub drain_back: Option<String>,
    pub headroom: Option<String>,
    pub margin: Option<String>,
    /// Litres that a top-off could pump in besides, where that is said, and whether by the keeper.
    pub reservoir: Option<(f64, Place, bool)>,
}

const OVER_EDGE: &str = "flow.over-edge";
const DRAIN_BACK: &str = "flow.drain-back";
const HEADROOM: &str = "flow.drain-headroom";
const MARGIN: &str = "flow.drain-margin";

/// A tape measure: half a centimetre either way, rectangular.
const TAPE_U: f64 = 0.288_675;

/// None where no sump is recorded, or no pump lifts water out of it.
pub(super) fn work_out(record: &Record, tank: &Tank, returns: &[NodeId], figures: &mut Figures) -> Option<Drain> {
    let has_return = tank.devices_at(record.as_of).any(|device| device.role.value == Role::ReturnPump);
    let has_sump = tank.sump_size.is_some() || tank.sump_water_depth.is_some();
    if !has_return || !has_sump {
        return None;
    }
    let mut drain = Drain { over_edge: None, drain_back: None, headroom: None, margin: None, reservoir: None };
    let mut top_offs = tank.devices_at(record.as_of).filter(|device| device.role.value == Role::TopOff);
    drain.reservoir = top_offs
        .find_map(|device| record.reservoir_of(tank, device))
        .map(|(volume, is_measured)| (volume.value.value, volume.place.clone(), is_measured));
    let over_edge = over_edge(tank, returns, figures);
    drain.over_edge = over_edge.map(|_| OVER_EDGE.to_string());
    let back = back(record, tank, over_edge, figures);
    drain.drain_back = back.map(|_| DRAIN_BACK.to_string());
    let room = headroom(tank, figures);
    drain.headroom = room.map(|_| HEADROOM.to_string());
    if let (Some(back), Some(room)) = (back, room) {
        let label = "Room left in the sump after a power cut";
        let graph = &mut figures.graph;
        let node = graph.linear(label, "L", &[(room, 1.0), (back, -1.0)]);
        let numbers = format!("{} L − {} L", number(graph.value(room)), number(graph.value(back)));
        let mut built = figures
            .define(&tank.key, MARGIN, label)
            .method("ΔV = V(room) − V(back)", numbers, &[])
            .inputs(&[InputName::from(HEADROOM), InputName::from(DRAIN_BACK)])
            .note("nothing but a rehearsal shows it: switch the return off, watch, and write the highest level down");
        if let Some((litres, ..)) = &drain.reservoir {
            built = built.note(format!(
                "a top-off that runs on, or that sees the level fall, could add up to {} L",
                number(*litres)
            ));
        }
        built.finish(node);
        drain.margin = Some(MARGIN.to_string());
    }
    Some(drain)
}

/// Height of the running water over the overflow's edge, cm.
fn over_edge(tank: &Tank, returns: &[NodeId], figures: &mut Figures) -> Option<NodeId> {
    let label = "Running water over the overflow’s edge";
    let what = "`overflow: {over-edge: 8 mm}` measured with the pumps on, or `overflow: {edge: 12 cm}`, in tank.yaml";
    let Some(overflow) = &tank.overflow else {
        figures.miss(&tank.key, OVER_EDGE, label, what);
        return None;
    };
    let graph = &mut figures.graph;
    if let Some(height) = &overflow.over_edge {
        let u = height.value.uncertainty.unwrap_or(0.1);
        let node = measured(graph, label, height.value.value, u, "cm", &height.place);
        let numbers = format!("h = {} cm", number(height.value.value));
        return Some(figures.define(&tank.key, OVER_EDGE, label).method("h as measured", numbers, &[]).finish(node));
    }
    let (Some(edge), false) = (&overflow.edge, returns.is_empty()) else {
        figures.miss(&tank.key, OVER_EDGE, label, what);
        return None;
    };
    let flow = graph.sum("Flow of the return, clean", "L/h", returns);
    let u = edge.value.uncertainty.unwrap_or(0.05 * edge.value.value);
    let edge = measured(graph, "Length of the edge, less its teeth", edge.value.value, u, "cm", &edge.place);
    let toothed = assumed_between(
        graph,
        "Toothed edge against a plain one",
        0.8,
        1.2,
        "1",
        "the formula is for a plain sharp edge; teeth and films of water change it by a fifth (common practice, no source)",
    );
    let node = graph.compute(label, "cm", &[flow, edge, toothed], |x| {
        weir_head_francis_1883(Flow::litres_per_hour(x[0].max(0.0)), Length::centimetres(x[1]))
            .map_or(f64::NAN, |head| head.as_centimetres() * x[2])
    });
    let numbers = format!(
        "h = ({} L/h ∕ (1.84 × {} cm))^(2/3), in m and m³/s, = {} cm",
        number(graph.value(flow)),
        number(graph.value(edge)),
        number(graph.value(node))
    );
    let mut built = figures
        .define(&tank.key, OVER_EDGE, label)
        .method("h = (Q ∕ (1.84·b))^(2/3)", numbers, &["usbr_2001", "common-practice"])
        .inputs(returns)
        .inputs(&[edge, toothed]);
    built = built.note("measured with the pumps on (`over-edge:`) it would be sure to a millimetre");
    Some(built.finish(node))
}

/// Litres that run back.
fn back(record: &Record, tank: &Tank, over_edge: Option<NodeId>, figures: &mut Figures) -> Option<NodeId> {
    let label = "Water that runs back when the return stops";
    let siphon = tank.overflow.as_ref().and_then(|overflow| overflow.siphon_depth.as_ref());
    let (Some(size), Some(siphon), Some(over_edge)) = (&tank.size, siphon, over_edge) else {
        let mut lacks = Vec::new();
        if tank.size.is_none() {
            lacks.push("`size:`");
        }
        if siphon.is_none() {
            lacks.push(
                "how deep the return’s mouth, or the hole that breaks its siphon, lies under the running surface \
                 (`overflow: {siphon-depth: 1 cm}`, 0 cm where it ends in air)",
            );
        }
        if over_edge.is_none() {
            lacks.push("the water over the overflow’s edge (`over-edge:` or `edge:`)");
        }
        figures.miss(&tank.key, DRAIN_BACK, label, format!("{} in tank.yaml", lacks.join(", ")));
        return None;
    };
    let graph = &mut figures.graph;
    let [length, width, _] = size.value;
    let length = measured(graph, "Outer length", length, TAPE_U, "cm", &size.place);
    let width = measured(graph, "Outer width", width, TAPE_U, "cm", &size.place);
    let glass = pane(graph, "Glass", tank.glass.as_ref());
    let u = siphon.value.uncertainty.unwrap_or(0.3);
    let siphon =
        measured(graph, "Depth of the return’s mouth or siphon hole", siphon.value.value, u, "cm", &siphon.place);
    let mut inputs = vec![length, width, glass, over_edge, siphon];
    let pipes = pipes_hold(record, tank, graph, &mut inputs);
    let node = graph.compute(label, "L", &[length, width, glass, over_edge, siphon, pipes], |x| {
        let surface = (x[0] - 2.0 * x[2]) * (x[1] - 2.0 * x[2]);
        let pipes = Volume::litres(x[5].max(0.0));
        let depths = [x[3], x[4]].map(|depth| Length::centimetres(depth.max(0.0)));
        drain_back(surface, depths[0], depths[1], pipes).map_or(f64::NAN, |volume| volume.as_litres())
    });
    let value = |node: NodeId| number(graph.value(node));
    let numbers = format!(
        "V = ({} − 2 × {}) × ({} − 2 × {}) × max({}; {}) ∕ 1000 + {} = {} L",
        value(length),
        value(glass),
        value(width),
        value(glass),
        value(over_edge),
        value(siphon),
        value(pipes),
        value(node)
    );
    Some(
        figures
            .define(&tank.key, DRAIN_BACK, label)
            .method("V = A · max(h(edge), h(siphon)) + V(pipes)", numbers, &[])
            .inputs(&inputs)
            .note("a check valve is not counted on: grit holds it open sooner or later")
            .note("rock and corals near the surface take room and make it less")
            .finish(node),
    )
}

/// Litres in return pipes and overflow box.
fn pipes_hold(
    record: &Record,
    tank: &Tank,
    graph: &mut crate::figures::graph::Graph,
    inputs: &mut Vec<NodeId>,
) -> NodeId {
    let mut parts = Vec::new();
    for device in tank.devices_at(record.as_of).filter(|device| device.role.value == Role::ReturnPump) {
        for pipe in &device.plumbing {
            let (bore, long) = (pipe.bore.value.value, pipe.length.value.value);
            let litres = std::f64::consts::PI * bore * bore / 4.0 * long / 1000.0;
            // Three hundredths of the bore are six of the volume.
            parts.push(measured(graph, "Water in a return pipe", litres, 0.06 * litres, "L", &pipe.place));
        }
    }
    if let Some(holds) = tank.overflow.as_ref().and_then(|overflow| overflow.holds.as_ref()) {
        let u = holds.value.uncertainty.unwrap_or(0.1 * holds.value.value);
        parts.push(measured(graph, "Water in the overflow’s box and pipes", holds.value.value, u, "L", &holds.place));
    } else {
        parts.push(assumed_between(
            graph,
            "Water in the overflow’s box and pipes",
            0.0,
            2.0,
            "L",
            "what stands in the overflow is not recorded (`overflow: {holds: 1 L}`)",
        ));
    }
    inputs.extend(&parts);
    graph.sum("Water in pipes and overflow", "L", &parts)
}

/// Litres that the sump still takes while it runs.
fn headroom(tank: &Tank, figures: &mut Figures) -> Option<NodeId> {
    let label = "Room in the sump over its running level";
    let (Some(size), Some(depth)) = (&tank.sump_size, &tank.sump_water_depth) else {
        let what = "`sump: {size: 40 x 20 x 30 cm, water-depth: 20 cm}` in tank.yaml, the depth while the return runs";
        figures.miss(&tank.key, HEADROOM, label, what);
        return None;
    };
    let graph = &mut figures.graph;
    let [length, width, height] = size.value;
    let length = measured(graph, "Sump: outer length", length, TAPE_U, "cm", &size.place);
    let width = measured(graph, "Sump: outer width", width, TAPE_U, "cm", &size.place);
    let height = measured(graph, "Sump: height", height, TAPE_U, "cm", &size.place);
    let depth = measured(graph, "Sump: depth of water while running", depth.value.value, TAPE_U, "cm", &depth.place);
    let glass = pane(graph, "Sump: glass", tank.sump_glass.as_ref());
    let inputs = [length, width, height, depth, glass];
    let node = graph
        .compute(label, "L", &inputs, |x| (x[0] - 2.0 * x[4]) * (x[1] - 2.0 * x[4]) * (x[2] - x[4] - x[3]) / 1000.0);
    let value = |node: NodeId| number(graph.value(node));
    let numbers = format!(
        "V = ({} − 2 × {}) × ({} − 2 × {}) × ({} − {} − {}) ∕ 1000 = {} L",
        value(length),
        value(glass),
        value(width),
        value(glass),
        value(height),
        value(glass),
        value(depth),
        value(node)
    );
    Some(
        figures
            .define(&tank.key, HEADROOM, label)
            .method("V = (L − 2g)(W − 2g)(H − g − d) ∕ 1000", numbers, &[])
            .inputs(&inputs)
            .note("to the very rim; skimmer, heaters and media in the sump take room and make it less")
            .finish(node),
    )
}

fn pane(
    graph: &mut crate::figures::graph::Graph,
    label: &str,
    glass: Option<&crate::record::Located<crate::units::Quantity>>,
) -> NodeId {
    match glass {
        Some(glass) => measured(graph, label, glass.value.value, 0.0, "cm", &glass.place),
        None => assumed_between(graph, label, 0.4, 1.2, "cm", "thickness of the panes is not recorded"),
    }
}
