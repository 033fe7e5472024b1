//! Net water volume, mass when filled, and the load on the floor.

use super::figure::Figures;
use super::graph::{Graph, NodeId};
use super::inputs::{assumed, assumed_between, measured, number, set, stated};
use crate::record::tank::VolumeBasis;
use crate::record::{Record, Tank};

/// Relative standard uncertainty of a volume counted at fill, when the keeper states none (common practice, no source).
const COUNTED_U: f64 = 0.05;

/// Adds the volume figures and returns the node of the net volume.
pub fn work_out(record: &Record, tank: &Tank, figures: &mut Figures) -> Option<NodeId> {
    let geometry = by_geometry(tank, figures);
    let volume = net_volume(record, tank, figures, geometry);
    if let Some(volume) = volume {
        mass(tank, figures, volume);
    }
    volume
}

fn net_volume(record: &Record, tank: &Tank, figures: &mut Figures, geometry: Option<NodeId>) -> Option<NodeId> {
    let key = "water.net-volume";
    let label = "Net water volume";
    let Some(stretch) = tank.water.at(record.as_of) else {
        figures.miss(&tank.key, key, label, "`water: 75 L, counted at fill` in tank.yaml");
        return None;
    };
    let Some(volume) = &stretch.value.volume else {
        let node = geometry?;
        let node = figures.graph.linear(label, "L", &[(node, 1.0)]);
        let numbers = number(figures.graph.value(node));
        let built = figures
            .define(&tank.key, key, label)
            .method("V = volume by geometry", numbers, &[])
            .inputs(&["water.volume-by-geometry"]);
        return Some(built.note("counting the litres at the next filling would halve the uncertainty").finish(node));
    };
    let graph = &mut figures.graph;
    let value = volume.value;
    match stretch.value.by {
        VolumeBasis::CountedAtFill | VolumeBasis::Tracer => {
            let u = volume.uncertainty.unwrap_or(COUNTED_U * value);
            let how =
                if stretch.value.by == VolumeBasis::Tracer { "measured with a tracer" } else { "counted at fill" };
            let node = measured(graph, &format!("Water, {how}"), value, u, "L", &stretch.place);
            let mut built =
                figures.define(&tank.key, key, label).method("V as counted", format!("V = {} L", number(value)), &[]);
            if volume.uncertainty.is_none() {
                built = built.note("no uncertainty is recorded: 5 % is assumed for a volume counted at fill (common practice, no source)");
            }
            Some(built.finish(node))
        }
        VolumeBasis::Stated | VolumeBasis::Geometry => {
            let gross = stated(graph, "Volume as stated", value, 0.0, "L", &stretch.place);
            let share = assumed_between(
                graph,
                "Share of a stated volume that is water",
                0.75,
                0.90,
                "1",
                "net volume is typically 75 to 90 % of the stated one (common practice, no source)",
            );
            let node = graph.compute(label, "L", &[gross, share], |x| x[0] * x[1]);
            Some(
                figures
                    .define(&tank.key, key, label)
                    .method(
                        "V = stated volume × share",
                        format!("V = {} L × 0.825", number(value)),
                        &["common-practice"],
                    )
                    .inputs(&[gross, share])
                    .note("counting the litres at the next filling would make this a measured figure")
                    .finish(node),
            )
        }
    }
}

/// Water in the glass and the sump, less rock, with the pores of the sand.
fn by_geometry(tank: &Tank, figures: &mut Figures) -> Option<NodeId> {
    let key = "water.volume-by-geometry";
    let label = "Water volume by geometry";
    let (Some(size), Some(depth)) = (&tank.size, &tank.water_depth) else {
        figures.miss(&tank.key, key, label, "`size:` and `water-depth:` in tank.yaml");
        return None;
    };
    let graph = &mut figures.graph;
    let [length, width, _] = size.value;
    // A tape measure: half a centimetre either way, rectangular.
    let tape = 0.5 / 3f64.sqrt();
    let length = measured(graph, "Outer length", length, tape, "cm", &size.place);
    let width = measured(graph, "Outer width", width, tape, "cm", &size.place);
    let depth = measured(graph, "Depth of water over the sand", depth.value.value, tape, "cm", &depth.place);
    let glass = match &tank.glass {
        Some(glass) => set(graph, "Glass", glass.value.value, "cm", &glass.place),
        None => assumed_between(graph, "Glass", 0.6, 1.2, "cm", "thickness of the panes is not recorded"),
    };
    let sand = match &tank.sand_depth {
        Some(sand) => measured(graph, "Depth of sand", sand.value.value, 1.0 / 3f64.sqrt(), "cm", &sand.place),
        None => graph.exact(0.0),
    };
    let pores = assumed(graph, "Pores of the sand", 0.40, 0.05, "1", "share of the sand bed that is water");
    let rock = match &tank.rock {
        Some(rock) => {
            measured(graph, "Rock", rock.value.value / 1000.0, rock.value.value / 1000.0 * 0.03, "kg", &rock.place)
        }
        None => graph.exact(0.0),
    };
    let density =
        assumed(graph, "Density of the rock", 2.2, 0.3, "kg/L", "porous carbonate rock, open pores full of water");
    let sump = match (&tank.sump_size, &tank.sump_water_depth) {
        (Some(size), Some(depth)) => {
            let [length, width, _] = size.value;
            let area =
                measured(graph, "Sump, length × width", length * width, (length + width) * tape, "cm²", &size.place);
            let depth = measured(graph, "Depth of water in the sump", depth.value.value, tape, "cm", &depth.place);
            graph.compute("Sump", "L", &[area, depth], |x| x[0] * x[1] / 1000.0 * 0.95)
        }
        _ => graph.exact(0.0),
    };
    let inputs = [length, width, glass, depth, sand, pores, rock, density, sump];
    let node = graph.compute(label, "L", &inputs, |x| {
        let area = (x[0] - 2.0 * x[2]) * (x[1] - 2.0 * x[2]);
        area * (x[3] + x[4] * x[5]) / 1000.0 - x[6] / x[7] + x[8]
    });
    let shown: Vec<String> = inputs.iter().map(|input| number(graph.value(*input))).collect();
    let numbers = format!(
        "V = ({} − 2 × {}) × ({} − 2 × {}) × ({} + {} × {}) ∕ 1000 − {} ∕ {} + {}",
        shown[0], shown[2], shown[1], shown[2], shown[3], shown[4], shown[5], shown[6], shown[7], shown[8]
    );
    Some(
        figures
            .define(&tank.key, key, label)
            .method("V = (L − 2g)(W − 2g)(d + s·p) ∕ 1000 − m(rock) ∕ ρ(rock) + V(sump)", numbers, &["common-practice"])
            .inputs(&inputs)
            .note("a check on the counted volume; gaps behind the rock and equipment are not counted")
            .finish(node),
    )
}

fn mass(tank: &Tank, figures: &mut Figures, volume: NodeId) {
    let key = "load.mass-filled";
    let label = "Mass when filled";
    let graph = &mut figures.graph;
    let mut terms = Vec::new();
    let density = assumed(
        graph,
        "Density of the water",
        1.0233,
        0.0015,
        "kg/L",
        "seawater of 33 to 37 ppt at 24 to 27 °C (EOS-80)",
    );
    terms.push(("water", graph.compute("Water", "kg", &[volume, density], |x| x[0] * x[1])));
    let mut unknown = Vec::new();
    match &tank.size {
        Some(size) => {
            let pane = match &tank.glass {
                Some(glass) => set(graph, "Glass", glass.value.value, "cm", &glass.place),
                None => assumed_between(graph, "Glass", 0.6, 1.2, "cm", "thickness of the panes is not recorded"),
            };
            let bottom = match &tank.bottom_glass {
                Some(glass) => set(graph, "Bottom glass", glass.value.value, "cm", &glass.place),
                None => pane,
            };
            terms.push(("glass", panes(graph, "Glass, all panes", size.value, pane, bottom)));
        }
        None => unknown.push("the glass (`size:`)"),
    }
    if let Some(size) = &tank.sump_size {
        let pane = match &tank.sump_glass {
            Some(glass) => set(graph, "Glass of the sump", glass.value.value, "cm", &glass.place),
            None => {
                let why = "thickness of the sump's panes is not recorded";
                assumed_between(graph, "Glass of the sump", 0.4, 0.8, "cm", why)
            }
        };
        terms.push(("sump", panes(graph, "Sump, all panes", size.value, pane, pane)));
    }
    for (name, mass, missing) in [
        ("sand", tank.sand_mass.as_ref(), "the sand (`sand: {mass: …}`)"),
        ("rock", tank.rock.as_ref(), "the rock (`rock:`)"),
        ("stand", tank.stand.as_ref().and_then(|stand| stand.mass.as_ref()), "the stand (`stand: {mass: …}`)"),
    ] {
        match mass {
            Some(mass) => {
                let kg = mass.value.value / 1000.0;
                terms.push((name, measured(graph, &format!("Mass of the {name}"), kg, kg * 0.03, "kg", &mass.place)));
            }
            None => unknown.push(missing),
        }
    }
    let nodes: Vec<NodeId> = terms.iter().map(|(_, node)| *node).collect();
    let node = graph.sum(label, "kg", &nodes);
    let formula = terms.iter().map(|(name, _)| format!("m({name})")).collect::<Vec<_>>().join(" + ");
    let numbers = terms.iter().map(|(_, node)| number(graph.value(*node))).collect::<Vec<_>>().join(" + ");
    let mut built = figures.define(&tank.key, key, label).method(
        format!("m = {formula}"),
        format!("m = {numbers} kg"),
        &["millero_poisson_1981"],
    );
    built = built.note("devices, hoses and what else stands in the cabinet are not counted");
    if !unknown.is_empty() {
        built = built.note(format!("not counted, because the record does not say: {}", unknown.join(", ")));
    }
    let total = built.finish(node);
    floor_load(tank, figures, total);
}

/// Mass of a box of glass without a top, kg: sides in cm, panes in cm. Soda-lime glass weighs 2500 kg/m³ (EN 572-1).
fn panes(graph: &mut Graph, label: &str, size: [f64; 3], sides: NodeId, bottom: NodeId) -> NodeId {
    let [length, width, height] = size;
    let (around, floor) = (2.0 * (length + width) * height, length * width);
    graph.compute(label, "kg", &[sides, bottom], move |x| (around * x[0] + floor * x[1]) * 2.5 / 1000.0)
}

fn floor_load(tank: &Tank, figures: &mut Figures, mass: NodeId) {
    let label = "Load on its footprint";
    let footprint = tank.stand.as_ref().and_then(|stand| stand.footprint.as_ref());
    let (size, place) = match (footprint, &tank.size) {
        (Some(footprint), _) => (footprint.value, &footprint.place),
        (None, Some(size)) => ([size.value[0], size.value[1]], &size.place),
        _ => {
            figures.miss(&tank.key, "load.floor", label, "`stand: {footprint: 95 x 48 cm}` in tank.yaml");
            return;
        }
    };
    let area = size[0] * size[1] / 10_000.0;
    let graph = &mut figures.graph;
    let footprint = measured(graph, "Footprint", area, area * 0.01, "m²", place);
    let node = graph.compute(label, "kPa", &[mass, footprint], |x| x[0] * 9.80665 / x[1] / 1000.0);
    let numbers = format!("p = {} kg × 9.80665 ∕ {} m² ∕ 1000", number(graph.value(mass)), number(area));
    figures
        .define(&tank.key, "load.floor", label)
        .method("p = m·g ∕ A", numbers, &[])
        .inputs(&[super::figure::InputName::from("load.mass-filled"), footprint.into()])
        .note("whether a floor holds it depends on joists, span, direction and walls, which this number does not know")
        .finish(node);
}
