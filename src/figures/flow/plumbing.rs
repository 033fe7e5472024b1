//! Where a pump's curve meets its plumbing.

use super::{Figures, NodeId};
use crate::figures::inputs::{assumed_between, measured, number, set, stated};
use crate::record::equipment::Pipe;
use crate::record::{Device, Record, Tank};
use crate::science::density::density_millero_poisson_1981;
use crate::science::pipes::{PVC_ROUGHNESS, PipeRun, viscosity_sharqawy_2010_pa_s};
use crate::science::plumbing::{Fitting, PumpCurve, head_of_runs, operating_point as meet};
use crate::units::{Density, Flow, Length, PracticalSalinity, Temperature};

/// A pump's curve, what its plumbing asks for, and where they meet, for a drawing. Flow in L/h, head in m.
#[derive(Clone, Debug)]
pub struct PumpSystem {
    pub device: String,
    /// Keys of the figures.
    pub flow_figure: String,
    pub head_figure: String,
    /// The clean pump at its level of today, less what makers' curves usually promise too much.
    pub curve: Vec<(f64, f64)>,
    /// Whether the curve is a parabola through two stated ends.
    pub two_ends: bool,
    pub system: Vec<(f64, f64)>,
    pub flow: f64,
    pub head: f64,
    /// 95 in 100.
    pub flow_interval: (f64, f64),
    pub has_pipes: bool,
}

/// The nodes of an operating point.
pub(super) struct OperatingPoint {
    pub flow: NodeId,
    pub inputs: Vec<NodeId>,
    pub sources: Vec<&'static str>,
    pub system: PumpSystem,
}

/// Points of a drawn curve.
const DRAWN: usize = 40;

/// Adds the operating point of a pump that lifts water, or says what to record for it.
pub(super) fn operating_point(
    record: &Record,
    tank: &Tank,
    device: &Device,
    figures: &mut Figures,
) -> Option<OperatingPoint> {
    let key = format!("flow.operating-point.{}", device.key);
    let label = format!("{}: flow where its curve meets the plumbing", device.name.value);
    let Some(lift) = &device.head else {
        figures.miss(
            &tank.key,
            &key,
            &label,
            "the height it lifts (`head: 1.1 m`), from the sump’s water to the tank’s",
        );
        return None;
    };
    let spec = record.spec_of(tank, device);
    let Some(pump) = spec.and_then(|spec| spec.pump_curve()) else {
        figures.miss(&tank.key, &key, &label, "`flow:` and `head:` (its two ends), or `curve:`, in its spec sheet");
        return None;
    };
    let spec = spec?;
    let two_ends = spec.curve.len() < 2;
    let level = device.settings.at(record.as_of).and_then(|settings| settings.value.level.as_ref());
    let speed = level.map_or(1.0, |level| level.value);
    let pump = match pump.at_speed(speed) {
        Ok(pump) => pump,
        // Off, it moves nothing and there is no point to find.
        Err(_) => return None,
    };
    let graph = &mut figures.graph;
    let metres = lift.value.value / 100.0;
    let u = lift.value.uncertainty.map_or(0.05 * metres, |u| u / 100.0);
    let lift = measured(graph, "Height lifted", metres, u, "m", &lift.place);
    let mut inputs = Vec::new();
    let maker_place = spec.flow.as_ref().map_or(&spec.place, |flow| &flow.place);
    inputs.push(stated(
        graph,
        "Pump’s curve: flow at no head",
        pump.max_flow().as_litres_per_hour(),
        0.0,
        "L/h",
        maker_place,
    ));
    if let Some(level) = level.filter(|level| level.value < 1.0) {
        inputs.push(set(graph, "Level, taken as the pump’s speed", level.value, "1", &level.place));
    }
    let printed = assumed_between(
        graph,
        "Real flow against the printed curve",
        0.85,
        1.05,
        "1",
        "a maker’s curve is of a new pump without guard (common practice, no source)",
    );
    let mut nodes = vec![lift, printed];
    let plumbing = device.plumbing.clone();
    let losses = if plumbing.is_empty() {
        graph.exact(1.0)
    } else {
        assumed_between(
            graph,
            "Real losses against the handbook’s",
            0.7,
            1.3,
            "1",
            "fittings of one name differ by 30 % between makers",
        )
    };
    nodes.push(losses);
    for (index, pipe) in plumbing.iter().enumerate() {
        let number = index + 1;
        for (what, quantity, relative) in [("bore", &pipe.bore, 0.03), ("length", &pipe.length, 0.02)] {
            let value = quantity.value.value / 100.0;
            let u = quantity.value.uncertainty.map_or(relative * value, |u| u / 100.0);
            nodes.push(measured(graph, &format!("Pipe {number}: {what}"), value, u, "m", &quantity.place));
        }
    }
    let (density, viscosity) = sea_water()?;
    let point = {
        let (pump, plumbing) = (pump.clone(), plumbing.clone());
        move |x: &[f64]| {
            let runs = runs(&plumbing, &x[3..], density, viscosity)?;
            share_of(&pump, x[1], x[0], &runs, x[2])
        }
    };
    let flow_of = point.clone();
    let flow = graph.compute(&label, "L/h", &nodes, move |x| flow_of(x).map_or(f64::NAN, |point| point.0));
    let head_label = format!("{}: head where its curve meets the plumbing", device.name.value);
    let head = graph.compute(&head_label, "m", &nodes, move |x| point(x).map_or(f64::NAN, |point| point.1));
    inputs.extend(&nodes);
    let mut sources = vec!["common-practice"];
    let mut numbers = format!("H_s = {} m", number(metres));
    if !plumbing.is_empty() {
        sources.extend(["churchill_1977", "crane_2009"]);
        let drawn: Vec<String> = plumbing.iter().map(pipe_words).collect();
        numbers = format!("{numbers}; {}", drawn.join("; "));
    }
    let (flow_value, head_value) = (graph.value(flow), graph.value(head));
    numbers = format!("{numbers} → {} L/h at {} m", number(flow_value), number(head_value));
    let (formula, system_words) = if plumbing.is_empty() {
        (
            "H(Q) = H_s",
            "no plumbing is recorded (`plumbing:`): the height lifted is all that is counted, so this is more than it moves",
        )
    } else {
        ("H(Q) = H_s + m·Σ(f·L ∕ D + ΣK)·v² ∕ 2g", "f after Churchill, fittings after Crane")
    };
    let curve_words = if two_ends {
        "the curve is a parabola through its two stated ends"
    } else {
        "the curve’s points are joined by straight lines"
    };
    let interval = graph.interval95(flow);
    for (key, label, node, unit) in
        [(key.clone(), &label, flow, "L/h"), (format!("flow.operating-head.{}", device.key), &head_label, head, "m")]
    {
        let mut built = figures
            .define(&tank.key, &key, label)
            .method(formula, numbers.clone(), &sources)
            .inputs(&inputs)
            .note(curve_words)
            .note(system_words);
        if unit == "L/h" {
            built = built.note("a clean pump; dirt is counted in its flow as it works");
        }
        built.finish(node);
    }
    let values: Vec<f64> = nodes.iter().map(|node| figures.graph.value(*node)).collect();
    let runs = runs(&plumbing, &values[3..], density, viscosity)?;
    let most = pump.max_flow().as_litres_per_hour();
    let share = values[1];
    let flows = (0..=DRAWN).map(|step| most * step as f64 / DRAWN as f64);
    let system = PumpSystem {
        device: device.key.clone(),
        flow_figure: key,
        head_figure: format!("flow.operating-head.{}", device.key),
        curve: flows
            .clone()
            .filter_map(|flow| Some((flow * share, pump.head_at(Flow::litres_per_hour(flow))?.as_metres())))
            .collect(),
        two_ends,
        system: flows
            .filter_map(|flow| {
                Some((flow, metres + head_of_runs(&runs, Flow::litres_per_hour(flow)).ok()?.as_metres()))
            })
            .collect(),
        flow: flow_value,
        head: head_value,
        flow_interval: (interval.0.max(0.0), interval.1),
        has_pipes: !plumbing.is_empty(),
    };
    Some(OperatingPoint { flow, inputs, sources, system })
}

/// Flow in L/h and head in m of a pump that moves `share` of what its curve says at each head.
fn share_of(pump: &PumpCurve, share: f64, lift_m: f64, runs: &[PipeRun], losses: f64) -> Option<(f64, f64)> {
    if share <= 0.0 {
        return None;
    }
    // With q = Q/share the pump keeps its printed curve, and each pipe sees q·share: losses grow nearly as the square of
    // flow, so they are counted at `share²` of theirs.
    let point = meet(pump, Length::metres(lift_m.max(0.0)), runs, losses.max(0.0) * share * share).ok()?;
    Some((point.flow.as_litres_per_hour() * share, point.head.as_metres()))
}

fn runs(plumbing: &[Pipe], sizes: &[f64], density: Density, viscosity_pa_s: f64) -> Option<Vec<PipeRun>> {
    plumbing
        .iter()
        .zip(sizes.chunks(2))
        .map(|(pipe, size)| {
            let bore = Length::metres(size[0]);
            let mut sum_k = 0.0;
            for (fitting, count) in &pipe.fittings {
                sum_k += f64::from(*count) * fitting.loss_coefficient(bore).ok()?;
            }
            let length = Length::metres(size[1].max(0.0));
            Some(PipeRun { bore, length, sum_k, roughness: PVC_ROUGHNESS, density, viscosity_pa_s })
        })
        .collect()
}

/// Density and viscosity of seawater of 35 at 25 °C: what a tank holds changes the flow by less than a hundredth.
fn sea_water() -> Option<(Density, f64)> {
    let (salinity, temperature) = (PracticalSalinity::new(35.0), Temperature::celsius(25.0));
    Some((
        density_millero_poisson_1981(salinity, temperature).ok()?,
        viscosity_sharqawy_2010_pa_s(salinity, temperature).ok()?,
    ))
}

/// `1.8 m of 25 mm, elbow-90 × 2, exit`
fn pipe_words(pipe: &Pipe) -> String {
    let mut words =
        format!("{} m of {} mm", number(pipe.length.value.value / 100.0), number(pipe.bore.value.value * 10.0));
    for (fitting, count) in &pipe.fittings {
        let name = Fitting::WORDS.iter().find(|(_, kind)| kind == fitting).map_or("fitting", |(word, _)| word);
        words.push_str(&format!(", {count} × {}", name.replace('-', " ")));
    }
    words
}
