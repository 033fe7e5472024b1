//! What the tank's own meter says, beside what was worked out for the same days, and what it costs.

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Heating, MONTH, MeterSpan, device_on, stretches};
use crate::figures::figure::{Figures, InputName};
use crate::figures::graph::NodeId;
use crate::figures::inputs::{assumed_between, measured, number, worked_out};
use crate::record::{Record, Tank, days_between};
use crate::science::power::DAYS_PER_YEAR;

/// Shorter spans say more about the day the meter was read than about the tank.
const SHORTEST_SPAN: i32 = 5;

pub(super) fn spans(record: &Record, tank: &Tank, heating: Option<&Heating>) -> Vec<MeterSpan> {
    let readings: Vec<(Date, f64)> = tank
        .entries
        .iter()
        .filter_map(|entry| entry.meter.as_ref().map(|meter| (entry.date(), meter.value.value)))
        .collect();
    let mut spans = Vec::new();
    let mut start = match readings.first() {
        Some(first) => *first,
        None => return spans,
    };
    for &(date, total) in &readings[1..] {
        let days = days_between(start.0, date);
        if days < SHORTEST_SPAN {
            continue;
        }
        // A running total that falls is a new meter: the span is not counted.
        if total >= start.1 {
            let count = f64::from(days);
            let (mut computed, mut computed_u) = (0.0, 0.0);
            for (since, days) in stretches(tank, start.0, date.saturating_sub(1.days())) {
                let (energy, u) = computed_on(record, tank, since, heating);
                computed += energy * f64::from(days) / count;
                computed_u += u * f64::from(days) / count;
            }
            // Of a room whose months are not told apart, no span is like the mean of the year.
            let season = heating.map_or(0.0, |heating| heating.spread * 24.0 / 1000.0);
            computed_u = computed_u.hypot(season);
            spans.push(MeterSpan { from: start.0, to: date, metered: (total - start.1) / count, computed, computed_u });
        }
        start = (date, total);
    }
    spans
}

pub(super) fn work_out(record: &Record, tank: &Tank, spans: &[MeterSpan], figures: &mut Figures) {
    bill(record, tank, spans, figures);
    last_span(tank, spans, figures);
}

fn last_span(tank: &Tank, spans: &[MeterSpan], figures: &mut Figures) {
    let label = "Metered energy a day";
    let Some(span) = spans.last() else {
        figures.miss(
            &tank.key,
            "power.metered-per-day",
            label,
            "`meter: 123.4 kWh` in two entries at least five days apart",
        );
        figures.miss(
            &tank.key,
            "power.unexplained",
            "Metered energy a day that nothing explains",
            "`meter: 123.4 kWh` in two entries at least five days apart",
        );
        return;
    };
    let Some((node, inputs, numbers)) = between(tank, (span.from, span.to), figures) else {
        return;
    };
    figures
        .define(&tank.key, "power.metered-per-day", label)
        .method("E = (M₂ − M₁) ∕ days", numbers, &[])
        .inputs(&inputs)
        .decimals(2)
        .finish(node);
    let graph = &mut figures.graph;
    let each_day = "Worked out from what was set on each of the same days";
    let computed = worked_out(graph, each_day, span.computed, span.computed_u, "kWh");
    let label = "Metered energy a day that nothing explains";
    let rest = graph.linear(label, "kWh", &[(node, 1.0), (computed, -1.0)]);
    let numbers = format!("{} − {} kWh", number(span.metered), number(span.computed));
    let u = graph.uncertainty(rest);
    let apart = graph.value(rest).abs() > 1.96 * u;
    figures
        .define(&tank.key, "power.unexplained", label)
        .method("E = E(metered) − E(worked out)", numbers, &[])
        .inputs(&[InputName::from("power.metered-per-day"), computed.into()])
        .note(if apart {
            "more than the two can miss each other by: a device that is not recorded, or one that draws something else than is written"
        } else {
            "no more than the two can miss each other by"
        })
        .decimals(2)
        .finish(rest);
}

/// kWh a day between the readings of two dates, with its inputs and its numbers.
fn between(tank: &Tank, (from, to): (Date, Date), figures: &mut Figures) -> Option<(NodeId, Vec<NodeId>, String)> {
    let read = |date: Date| {
        let mut entries = tank.entries.iter().filter(move |entry| entry.date() == date);
        entries.find_map(|entry| entry.meter.as_ref())
    };
    let (first, last) = (read(from)?, read(to)?);
    let graph = &mut figures.graph;
    // The last digit of a display is rectangular over a tenth of a kWh.
    let digit = 0.1 / 12f64.sqrt();
    let numbers = format!("({:.1} − {:.1}) ∕ {}", last.value.value, first.value.value, days_between(from, to));
    let first = measured(graph, &format!("Meter, {from}"), first.value.value, digit, "kWh", &first.place);
    let last = measured(graph, &format!("Meter, {to}"), last.value.value, digit, "kWh", &last.place);
    let days = f64::from(days_between(from, to));
    // A household meter of class 1 is right to a hundredth; the class of this one is not recorded.
    let class = assumed_between(
        graph,
        "Accuracy of the meter",
        0.99,
        1.01,
        "1",
        "the meter’s class is not recorded; 1 % is usual",
    );
    let node =
        graph.compute("Metered energy a day", "kWh", &[first, last, class], move |x| (x[1] - x[0]) * x[2] / days);
    Some((node, vec![first, last, class], numbers))
}

/// kWh on one day from what was set on that day, and its standard uncertainty.
fn computed_on(record: &Record, tank: &Tank, date: Date, heating: Option<&Heating>) -> (f64, f64) {
    let (mut total, mut variance) = (0.0, 0.0);
    for device in tank.devices_at(date) {
        if let Some((energy, u, _)) = device_on(record, tank, device, date, heating) {
            total += energy;
            variance += u * u;
        }
    }
    (total, variance.sqrt())
}

/// Days within which the last reading of the meter still speaks for today (judgement, no source).
const STILL_SPEAKS: i32 = 62;
/// Days that make a year of the meter.
const A_YEAR: std::ops::RangeInclusive<i32> = 350..=400;

/// What the metered energy costs at the prices of today: of the last span as a month, and of the last twelve months as a year.
fn bill(record: &Record, tank: &Tank, spans: &[MeterSpan], figures: &mut Figures) {
    let known = |figures: &Figures, key: &str| figures.get(&tank.key, key).map(|figure| (figure.node, figure.value));
    let (Some(last), Some((cost, _)), Some((energy, computed))) =
        (spans.last(), known(figures, "power.cost-per-day"), known(figures, "power.energy-per-day"))
    else {
        return;
    };
    if days_between(last.to, record.as_of) > STILL_SPEAKS || computed <= 0.0 {
        return;
    }
    let currency = figures.graph.unit(cost).to_string();
    // Backwards from the last reading, as long as no span is missing.
    let mut year: Vec<&MeterSpan> = Vec::new();
    for span in spans.iter().rev() {
        let joined = year.last().is_none_or(|later| later.from == span.to);
        if !joined || year.iter().map(|span| days_between(span.from, span.to)).sum::<i32>() >= *A_YEAR.start() {
            break;
        }
        year.push(span);
    }
    let days: i32 = year.iter().map(|span| days_between(span.from, span.to)).sum();
    let year = A_YEAR.contains(&days).then(|| (year[year.len() - 1].from, days));
    for (key, label, from, times, words) in [
        (METERED_COST_MONTH, "Cost a month, by the meter", Some(last.from), MONTH, "30.44"),
        (METERED_COST_YEAR, "Cost a year, by the meter", year.map(|(from, _)| from), DAYS_PER_YEAR, "365.25"),
    ] {
        let Some(from) = from else { continue };
        let Some((metered, inputs, numbers)) = between(tank, (from, last.to), figures) else { continue };
        let graph = &mut figures.graph;
        let node = graph.compute(label, &currency, &[metered, cost, energy], move |x| x[0] * x[1] / x[2] * times);
        let price = number(graph.value(cost) / computed);
        let numbers = format!("{numbers} kWh a day × {price} {currency}/kWh × {words}");
        figures
            .define(&tank.key, key, label)
            .method("cost = E(metered) · mean price · days", numbers, &[])
            .inputs(&inputs)
            .inputs(&[InputName::from("power.cost-per-day"), InputName::from("power.energy-per-day")])
            .note(format!(
                "by the meter from {from} to {}, at the prices of today, by the hours in which the devices run",
                last.to
            ))
            .decimals(2)
            .finish(node);
    }
}

/// Keys of what the metered energy costs.
pub const METERED_COST_MONTH: &str = "power.metered-cost-per-month";
pub const METERED_COST_YEAR: &str = "power.metered-cost-per-year";
