//! What the heaters give over the year: the balance with the room of each month, for whoever asks what they cost.

use jiff::ToSpan;
use jiff::civil::date;

use super::headline::SOURCES;
use super::model::loss_at;
use super::room::{Air, RoomRecord, put, within};
use super::spread::Side;
use super::{Bench, fan};
use crate::figures::figure::{Figures, InputName};
use crate::figures::graph::NodeId;
use crate::figures::inputs::{assumed_between, number};
use crate::record::Parameter;
use crate::record::tank::MONTHS;

/// Key of the figure, W.
pub const KEY: &str = "heat.heater-year";

/// Heat from the heaters.
#[derive(Clone, Debug)]
pub struct Season {
    /// W, mean over the year.
    pub node: NodeId,
    /// W needed in each month with its standard uncertainty, below nothing where pumps and lamps alone are too much; None
    /// where the record does not tell the months apart.
    pub by_month: Option<[(f64, f64); 12]>,
    /// Standard deviation over the year, W, where the months are not told apart.
    pub spread: f64,
}

/// Places in the room's range at which the balance is taken.
const STEPS: usize = 24;

/// None without heaters whose power is known.
pub(super) fn work_out(bench: &Bench, figures: &mut Figures) -> Option<Season> {
    if bench.heaters.is_empty() {
        return None;
    }
    let gain = bench.gain(Side::Likely, true, figures);
    let all = bench.heating(figures);
    if let Some(season) = by_month(bench, (gain, all), figures) {
        return Some(season);
    }
    let Some(range) = bench.tank.room.at(bench.record.as_of) else {
        return now(bench, (gain, all), figures);
    };
    // Without months the room is anywhere in its range, one day as likely as another.
    let (low, high) = (range.value.0.value, range.value.1.value);
    let graph = &mut figures.graph;
    let sixth = (high - low) / 6.0;
    let shift = assumed_between(
        graph,
        "Mean of the room over the year, from the middle of its range",
        -sixth,
        sixth,
        "°C of difference",
        "`room-by-month:` is not recorded: the room is taken to be anywhere in its range, one day as likely as another",
    );
    let middle = graph.exact((low + high) / 2.0);
    let room = Air { temperature: middle, humidity: bench.room.now.humidity };
    let inputs = bench.inputs(Side::Likely, bench.still, room, &[bench.target, gain, all, shift]);
    let at = move |x: &[f64], step: usize| {
        let mut x = x.to_vec();
        x[4] = low + (high - low) * (step as f64 + 0.5) / STEPS as f64 + x[9];
        (loss_at(&x, x[6]) - x[7]).max(0.0).min(x[8])
    };
    let mean = move |x: &[f64]| (0..STEPS).map(|step| at(x, step)).sum::<f64>() / STEPS as f64;
    let node = graph.compute(LABEL, "W", &inputs, mean);
    let x: Vec<f64> = inputs.iter().map(|input| graph.value(*input)).collect();
    let spread = (0..STEPS).map(|step| (at(&x, step) - graph.value(node)).powi(2)).sum::<f64>() / STEPS as f64;
    let numbers = format!(
        "room anywhere from {} to {} °C, held at {} °C, {} W from pumps and lamps → {} W",
        number(low),
        number(high),
        number(graph.value(bench.target)),
        number(graph.value(gain)),
        number(graph.value(node))
    );
    define(bench, numbers, bench.as_named(&inputs), "`room-by-month:` in tank.yaml would make it surer", node, figures);
    Some(Season { node, by_month: None, spread: spread.sqrt() })
}

const LABEL: &str = "Heat from the heaters, mean over the year";

/// The latest whole month of each name; None where the room of one of them is not known.
fn by_month(bench: &Bench, (gain, all): (NodeId, NodeId), figures: &mut Figures) -> Option<Season> {
    let room = RoomRecord::new(bench.record, bench.tank, bench.series);
    let as_of = bench.record.as_of;
    let months: Vec<_> = (1..=12i8)
        .map(|month| {
            let year = if month < as_of.month() { as_of.year() } else { as_of.year() - 1 };
            let first = date(year, month, 1);
            let (before, last) = (first.saturating_sub(1.days()), first.last_of_month());
            let warm = room.mean(Parameter::RoomTemperature, before, last)?;
            Some((warm, room.mean(Parameter::RoomHumidity, before, last), before, last))
        })
        .collect::<Option<Vec<_>>>()?;
    let (mut terms, mut inputs, mut told) = (Vec::new(), Vec::new(), Vec::new());
    let mut needs = [(0.0, 0.0); 12];
    for (index, (warm, damp, before, last)) in months.into_iter().enumerate() {
        let humidity = match (damp, bench.tank.room_humidity.at(last)) {
            (Some(damp), _) => put(&mut figures.graph, "Room humidity", &damp, "1"),
            (None, Some(range)) => {
                let ends = (range.value.0.value, range.value.1.value);
                within(&mut figures.graph, "Room humidity", ends, "1", &range.place)
            }
            (None, None) => bench.room.now.humidity,
        };
        let air = Air { temperature: put(&mut figures.graph, "Room", &warm, "°C"), humidity };
        let speed = bench.speed(fan::mean_share(bench.tank, before, last), Side::Likely, figures);
        let of = bench.inputs(Side::Likely, speed, air, &[bench.target, gain]);
        let graph = &mut figures.graph;
        let needed = graph.compute("Heat needed in a month", "W", &of, |x| loss_at(x, x[6]) - x[7]);
        needs[index] = (graph.value(needed), graph.first_order(needed));
        let given = graph.compute("Heat given in a month", "W", &[needed, all], |x| x[0].max(0.0).min(x[1]));
        told.push(format!("{} {}", MONTHS[index], number(graph.value(given).round())));
        terms.push((given, f64::from(last.day()) / f64::from(days_of_a_year(bench))));
        inputs.extend(of);
    }
    let node = figures.graph.linear(LABEL, "W", &terms);
    let numbers = format!("{}; mean by days {} W", told.join(", "), number(figures.graph.value(node)));
    inputs.push(all);
    let why = "in the room of each month, with pumps and lamps as they are set today";
    define(bench, numbers, bench.as_named(&inputs), why, node, figures);
    Some(Season { node, by_month: Some(needs), spread: 0.0 })
}

/// Days of the twelve months that are looked at.
fn days_of_a_year(bench: &Bench) -> i16 {
    let as_of = bench.record.as_of;
    // February is this year's once it is over.
    let year = if as_of.month() > 2 { as_of.year() } else { as_of.year() - 1 };
    date(year, 2, 1).days_in_year()
}

/// In the room as it is now, where no more of it is known.
fn now(bench: &Bench, (gain, all): (NodeId, NodeId), figures: &mut Figures) -> Option<Season> {
    let speed = bench.speed_now(figures);
    let inputs = bench.inputs(Side::Likely, speed, bench.room.now, &[bench.target, gain, all]);
    let node = figures.graph.compute(LABEL, "W", &inputs, |x| (loss_at(x, x[6]) - x[7]).max(0.0).min(x[8]));
    let graph = &figures.graph;
    let numbers = format!("room {} °C → {} W", number(graph.value(inputs[4])), number(graph.value(node)));
    let why = "in the room as it is now: `room:` or `room-by-month:` in tank.yaml would tell of the rest of the year";
    define(bench, numbers, bench.as_named(&inputs), why, node, figures);
    Some(Season { node, by_month: None, spread: 0.0 })
}

fn define(bench: &Bench, numbers: String, inputs: Vec<InputName>, note: &str, node: NodeId, figures: &mut Figures) {
    figures
        .define(&bench.tank.key, KEY, LABEL)
        .method(
            "P = mean of max(0, K·(T − Tₐ) + a·A·(89 + 78.2 v)·(p(T) − φ·p(Tₐ)) − P(pumps, lamps)), no more than the heaters can give",
            numbers,
            &SOURCES,
        )
        .inputs(&inputs)
        .note(note)
        .finish(node);
}
