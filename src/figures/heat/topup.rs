//! What a top-off that fails does to the salinity.

use std::collections::BTreeMap;

use crate::figures::figure::{Figures, InputName};
use crate::figures::graph::NodeId;
use crate::figures::inputs::{assumed, measured, number, set, stated};
use crate::figures::readings::Series;
use crate::record::{Parameter, Record, Role, Tank};
use crate::units::Bound;

/// A fall of salinity in a day that is called harmless, ppt (common practice, no source).
pub const HARMLESS_FALL: f64 = 2.0;

/// Days for which the loss of a top-off is followed.
const DAY: f64 = 1.0;

pub fn work_out(
    record: &Record,
    tank: &Tank,
    volume: Option<NodeId>,
    series: &BTreeMap<Parameter, Series>,
    figures: &mut Figures,
) {
    let Some(volume) = volume else {
        for (key, label) in LABELS {
            figures.miss(&tank.key, key, label, "`water: 75 L, counted at fill` in tank.yaml");
        }
        return;
    };
    let salinity = salinity(series, figures);
    largest(tank, volume, salinity, figures);
    let evaporation = evaporation(tank, figures);
    per_day(tank, volume, salinity, &evaporation, figures);
    reservoir(record, tank, volume, salinity, &evaporation, figures);
}

const LABELS: [(&str, &str); 4] = [
    ("topup.salinity-per-day", "Salinity gained a day without top-off"),
    ("topup.full-dump-salinity", "Salinity after the full reservoir is dumped in"),
    ("topup.reservoir-days", "Days that the reservoir lasts"),
    ("topup.largest-harmless", "Largest harmless reservoir"),
];

fn salinity(series: &BTreeMap<Parameter, Series>, figures: &mut Figures) -> NodeId {
    let graph = &mut figures.graph;
    let exact =
        |series: &Series| series.points.iter().rev().find(|point| matches!(point.bound, Bound::Exactly)).cloned();
    match series.get(&Parameter::Salinity).and_then(exact) {
        Some(last) => {
            measured(graph, &format!("Salinity, {}", last.when.date()), last.value, last.u, "ppt", &last.place)
        }
        None => assumed(graph, "Salinity", 35.0, 1.0, "ppt", "no reading of the salinity is recorded"),
    }
}

/// Litres a day: as logged where top-offs are, else as predicted.
fn evaporation(tank: &Tank, figures: &Figures) -> Option<(NodeId, &'static str)> {
    ["water.evaporation", "heat.evaporation"]
        .into_iter()
        .find_map(|key| figures.get(&tank.key, key).map(|figure| (figure.node, key)))
}

fn per_day(
    tank: &Tank,
    volume: NodeId,
    salinity: NodeId,
    evaporation: &Option<(NodeId, &'static str)>,
    figures: &mut Figures,
) {
    let (key, label) = LABELS[0];
    let Some((litres, litres_key)) = *evaporation else {
        figures.miss(&tank.key, key, label, "`top-off: 3.5 L` in entries, or `size:` and `room:` in tank.yaml");
        return;
    };
    let graph = &mut figures.graph;
    let node = graph.compute(label, "ppt", &[salinity, volume, litres], |x| {
        let left = x[1] - x[2] * DAY;
        if left > 0.0 { x[0] * x[1] / left - x[0] } else { f64::NAN }
    });
    let value = |node: NodeId| number(graph.value(node));
    let numbers = format!(
        "{} × {} ∕ ({} − {}) − {}",
        value(salinity),
        value(volume),
        value(volume),
        value(litres),
        value(salinity)
    );
    figures
        .define(&tank.key, key, label)
        .method("ΔS = S·V ∕ (V − E) − S", numbers, &[])
        .inputs(&[InputName::from(salinity), "water.net-volume".into(), litres_key.into()])
        .note("of the first day; the salt stays while the water goes, so each further day adds a little more")
        .decimals(2)
        .finish(node);
}

fn reservoir(
    record: &Record,
    tank: &Tank,
    volume: NodeId,
    salinity: NodeId,
    evaporation: &Option<(NodeId, &'static str)>,
    figures: &mut Figures,
) {
    let mut top_offs = tank.devices_at(record.as_of).filter(|device| device.role.value == Role::TopOff);
    let written = top_offs.find_map(|device| record.reservoir_of(tank, device));
    let has_one = tank.devices_at(record.as_of).any(|device| device.role.value == Role::TopOff);
    let Some((litres, is_measured)) = written else {
        // Who tops off by hand has no reservoir to tell of.
        if !has_one {
            return;
        }
        for (key, label) in &LABELS[1..3] {
            figures.miss(&tank.key, key, label, "`reservoir: 10 L` in the equipment file of the top-off");
        }
        return;
    };
    let graph = &mut figures.graph;
    let (value, place) = (litres.value.value, &litres.place);
    let reservoir = if is_measured {
        // Filled to a mark: one part in thirty (common practice, no source).
        let u = litres.value.uncertainty.unwrap_or(0.03 * value);
        measured(graph, "Reservoir", value, u, "L", place)
    } else {
        stated(graph, "Reservoir, as the sheet states it", value, 0.05 * value, "L", place)
    };
    let (key, label) = LABELS[1];
    let node = graph.compute(label, "ppt", &[salinity, volume, reservoir], |x| x[0] * x[1] / (x[1] + x[2]));
    let shown = |node: NodeId| number(graph.value(node));
    let numbers = format!("{} × {} ∕ ({} + {})", shown(salinity), shown(volume), shown(volume), shown(reservoir));
    figures
        .define(&tank.key, key, label)
        .method("S = S₀·V ∕ (V + R)", numbers, &[])
        .inputs(&[InputName::from(salinity), "water.net-volume".into(), reservoir.into()])
        .note("a full reservoir pumped into a full tank, if nothing runs over")
        .finish(node);
    let (key, label) = LABELS[2];
    let Some((daily, daily_key)) = *evaporation else {
        figures.miss(&tank.key, key, label, "`top-off: 3.5 L` in entries, or `size:` and `room:` in tank.yaml");
        return;
    };
    let graph = &mut figures.graph;
    let node = graph.compute(label, "days", &[reservoir, daily], |x| if x[1] > 0.0 { x[0] / x[1] } else { f64::NAN });
    let numbers = format!("{} L ∕ {} L a day", number(graph.value(reservoir)), number(graph.value(daily)));
    figures
        .define(&tank.key, key, label)
        .method("days = R ∕ E", numbers, &[])
        .inputs(&[InputName::from(reservoir), daily_key.into()])
        .note("from full, at the rate of now; a fan, dry heated air or a hot week empty it sooner")
        .finish(node);
}

fn largest(tank: &Tank, volume: NodeId, salinity: NodeId, figures: &mut Figures) {
    let (key, label) = LABELS[3];
    let graph = &mut figures.graph;
    let low = tank.limits.get(&Parameter::Salinity).filter(|limit| limit.value.low.is_finite());
    let fall = super::spread::end(
        graph,
        "Fall of the salinity that is called harmless",
        HARMLESS_FALL,
        "ppt",
        "at most 2 ppt lower in a day is a habit of the trade",
    );
    let mut inputs = vec![salinity, volume, fall];
    if let Some(limit) = low {
        inputs.push(set(graph, "Lower limit of the salinity", limit.value.low, "ppt", &limit.place));
    }
    let node = graph.compute(label, "L", &inputs, |x| {
        let lowest = (x[0] - x[2]).max(x.get(3).copied().unwrap_or(0.0));
        if lowest > 0.0 { (x[1] * (x[0] / lowest - 1.0)).max(0.0) } else { f64::NAN }
    });
    let value = |node: NodeId| number(graph.value(node));
    let lowest = (graph.value(salinity) - HARMLESS_FALL).max(low.map_or(0.0, |limit| limit.value.low));
    let numbers = format!("{} × ({} ∕ {} − 1)", value(volume), value(salinity), number(lowest));
    figures
        .define(&tank.key, key, label)
        .method("R = V·(S₀ ∕ S(lowest) − 1)", numbers, &["common-practice"])
        .inputs(&inputs)
        .note("one that can be dumped in whole and lower the salinity by no more than 2 ppt, nor below the limit that is recorded")
        .finish(node);
}
