//! Evaporation: what the handbook's formula predicts, beside what was topped off.

use jiff::ToSpan;
use jiff::civil::{Date, date};

use super::model::{off_at, value};
use super::room::{Air, Mean, RoomRecord, put};
use super::spread::{Side, end};
use super::{Bench, HeatFindings, fan};
use crate::figures::budget::{Budget, EVAPORATION_DAYS};
use crate::figures::figure::{Figures, InputName};
use crate::figures::graph::{Basis, NodeId};
use crate::figures::inputs::number;
use crate::record::Parameter;
use crate::record::tank::MONTHS;

/// One month, predicted and logged, litres a day.
#[derive(Clone, Debug)]
pub struct EvaporationMonth {
    /// Its first day.
    pub month: Date,
    pub predicted: f64,
    /// Standard uncertainty of the prediction.
    pub predicted_u: f64,
    pub logged: f64,
    /// Share of the month that a fan ran.
    pub fan: f64,
    /// Litres a day that neither the room nor the tank's own factor explains; None where they do.
    pub unexplained: Option<f64>,
}

/// The handbook's factor for the surface: from still to stirred.
const HANDBOOK: (f64, f64) = (0.5, 1.0);

/// Outside these the log does not speak of evaporation alone (judgement, no source: the handbook's own factor runs from
/// 0.5 to 1.5).
const BELIEVABLE: (f64, f64) = (0.15, 2.5);

/// Two standard uncertainties: beyond them a month is pointed out.
const POINTED_OUT: f64 = 2.0;

pub fn work_out(bench: &mut Bench, budget: &Budget, figures: &mut Figures, found: &mut HeatFindings) {
    let days = fan::share_on(bench.tank, bench.record.as_of);
    let now = predicted(bench, "Evaporation a day, predicted", bench.target, bench.room.now, days, figures);
    let numbers = numbers_of(&now, figures);
    figures
        .define(&bench.tank.key, "heat.evaporation", "Evaporation a day, predicted")
        .method("E = a·A·(0.089 + 0.0782 v)·(p(T) − φ·p(Tₐ)) ∕ h × 86 400, p in kPa, h in kJ/kg", numbers, &SOURCES)
        .inputs(&now.inputs)
        .note(
            "from the room as it is now, without the log; what was topped off stands beside it as `water.evaporation`",
        )
        .finish(now.node);
    by_calendar_month(bench, figures);
    history(bench, budget, figures, found);
    calibrate(bench, figures, found);
}

const SOURCES: [&str; 4] = ["ashrae_applications_2019", "hyland_wexler_1983", "sharqawy_2010", "common-practice"];

/// Litres of fresh water to a kilogram: 0.997 kg/L at 25 °C (EOS-80).
const KG_PER_L: f64 = 0.997;

struct Predicted {
    node: NodeId,
    inputs: Vec<NodeId>,
}

/// Litres a day in some air, with the fans on for a share of the time; the factor is the handbook's, not the log's.
fn predicted(bench: &Bench, label: &str, water: NodeId, air: Air, fan: f64, figures: &mut Figures) -> Predicted {
    let speed = bench.speed(fan, Side::Likely, figures);
    let inputs = bench.inputs(Side::Likely, speed, air, &[water]);
    let node = figures.graph.compute(label, "L", &inputs, litres);
    Predicted { node, inputs }
}

fn litres(x: &[f64]) -> f64 {
    off_at(x, x[6]).map_or(f64::NAN, |off| off.evaporated_kg_per_day / KG_PER_L)
}

fn numbers_of(of: &Predicted, figures: &Figures) -> String {
    let value = |index: usize| number(figures.graph.value(of.inputs[index]));
    format!(
        "a·A = {} × {} m², v = {} m/s, water {} °C, room {} °C at {} % → {} L",
        value(2),
        value(1),
        value(3),
        value(6),
        value(4),
        number(figures.graph.value(of.inputs[5]) * 100.0),
        number(figures.graph.value(of.node))
    )
}

/// Two digits after the point.
fn two(value: f64) -> String {
    format!("{value:.2}")
}

/// What each month of a usual year takes, where tank.yaml tells of the room month by month.
fn by_calendar_month(bench: &Bench, figures: &mut Figures) {
    let room = RoomRecord::new(bench.record, bench.tank, bench.series);
    for (index, name) in MONTHS.iter().enumerate() {
        let month = index as i8 + 1;
        let (Some(warm), Some(damp)) =
            (room.month(Parameter::RoomTemperature, month), room.month(Parameter::RoomHumidity, month))
        else {
            continue;
        };
        let as_of = bench.record.as_of;
        // The latest such month that is over, for how the fan was set.
        let year = if month < as_of.month() { as_of.year() } else { as_of.year() - 1 };
        let first = date(year, month, 1);
        let fan = fan::mean_share(bench.tank, first.saturating_sub(1.days()), first.last_of_month());
        let air = Air {
            temperature: put(&mut figures.graph, "Room", &warm, "°C"),
            humidity: put(&mut figures.graph, "Room humidity", &damp, "1"),
        };
        let label = format!("Evaporation a day in {}, predicted", capital(name));
        let month = predicted(bench, &label, bench.target, air, fan, figures);
        let numbers = numbers_of(&month, figures);
        figures
            .define(&bench.tank.key, &format!("heat.evaporation.{name}"), &label)
            .method("E = a·A·(0.089 + 0.0782 v)·(p(T) − φ·p(Tₐ)) ∕ h × 86 400", numbers, &SOURCES)
            .inputs(&month.inputs)
            .finish(month.node);
    }
}

fn capital(word: &str) -> String {
    word[..1].to_uppercase() + &word[1..]
}

/// Month by month what the top-offs say, beside the room of that month.
fn history(bench: &Bench, budget: &Budget, figures: &mut Figures, found: &mut HeatFindings) {
    let room = RoomRecord::new(bench.record, bench.tank, bench.series);
    let mut own = Vec::new();
    for (&month, &logged) in &budget.evaporation {
        let (from, to) = (month.saturating_sub(1.days()), month.last_of_month());
        let warm = room.mean(Parameter::RoomTemperature, from, to);
        let damp = room.mean(Parameter::RoomHumidity, from, to).or_else(|| range_mean(&bench.tank.room_humidity, to));
        let (Some(warm), Some(damp)) = (warm.or_else(|| range_mean(&bench.tank.room, to)), damp) else {
            continue;
        };
        let fan = fan::mean_share(bench.tank, from, to);
        let water = water_mean(bench, &room, from, to, figures);
        let air = Air {
            temperature: put(&mut figures.graph, "Room", &warm, "°C"),
            humidity: put(&mut figures.graph, "Room humidity", &damp, "1"),
        };
        let of = predicted(bench, "Evaporation of a month, predicted", water, air, fan, figures);
        let graph = &figures.graph;
        let predicted = graph.value(of.node);
        if predicted.is_nan() || predicted <= 0.0 {
            continue;
        }
        // What this month alone does not know: its air and its water. The factor and the surface are common to all.
        let of_month = graph
            .contributions(of.node)
            .into_iter()
            .filter(|(root, _)| [air.temperature, air.humidity, water].contains(root))
            .map(|(_, part)| part * part)
            .sum::<f64>()
            .sqrt();
        // The jug's marks, and top-offs that straddle the ends of a month: 4 % (judgement, no source).
        own.push((of_month / predicted).hypot(0.04));
        found.evaporation.push(EvaporationMonth {
            month,
            predicted,
            predicted_u: graph.first_order(of.node),
            logged,
            fan,
            unexplained: None,
        });
    }
    // Months with a fan stand apart: its air speed is a guess of its own.
    for with_fan in [false, true] {
        let of = |month: &EvaporationMonth| (month.fan > 0.05) == with_fan;
        let mut ratios: Vec<f64> =
            found.evaporation.iter().filter(|month| of(month)).map(|month| month.logged / month.predicted).collect();
        ratios.sort_by(f64::total_cmp);
        let Some(&middle) = ratios.get(ratios.len() / 2) else { continue };
        if ratios.len() < 4 {
            continue;
        }
        for (month, own) in found.evaporation.iter_mut().zip(&own).filter(|(month, _)| of(month)) {
            let rest = month.logged - middle * month.predicted;
            if rest.abs() > POINTED_OUT * own * middle * month.predicted {
                month.unexplained = Some(rest);
            }
        }
    }
}

fn range_mean(
    range: &crate::record::Timeline<(crate::units::Quantity, crate::units::Quantity)>,
    on: Date,
) -> Option<Mean> {
    let stretch = range.at(on)?;
    let (low, high) = (stretch.value.0.value, stretch.value.1.value);
    Some(Mean {
        value: (low + high) / 2.0,
        u: (high - low) / 12f64.sqrt(),
        place: stretch.place.clone(),
        words: "middle of its range".into(),
        read: false,
    })
}

/// The water over some days as it was read, else as it is set.
fn water_mean(bench: &Bench, room: &RoomRecord, from: Date, to: Date, figures: &mut Figures) -> NodeId {
    match room.mean(Parameter::Temperature, from, to).filter(|mean| mean.read) {
        Some(mean) => put(&mut figures.graph, "Water", &mean, "°C"),
        None => bench.target,
    }
}

/// The logged top-offs tell how freely this surface evaporates, which then serves every other figure of heat.
fn calibrate(bench: &mut Bench, figures: &mut Figures, found: &mut HeatFindings) {
    let Some(logged) = figures.get(&bench.tank.key, "water.evaporation").map(|figure| figure.node) else {
        return;
    };
    let to = bench.record.as_of;
    let from = to.saturating_sub(EVAPORATION_DAYS.days());
    let room = RoomRecord::new(bench.record, bench.tank, bench.series);
    let air = {
        let warm = room.mean(Parameter::RoomTemperature, from, to);
        let damp = room.mean(Parameter::RoomHumidity, from, to);
        let graph = &mut figures.graph;
        Air {
            temperature: warm.map_or(bench.room.now.temperature, |mean| put(graph, "Room", &mean, "°C")),
            humidity: damp.map_or(bench.room.now.humidity, |mean| put(graph, "Room humidity", &mean, "1")),
        }
    };
    let share = fan::mean_share(bench.tank, from, to);
    let water = water_mean(bench, &room, from, to, figures);
    let speed = bench.speed(share, Side::Likely, figures);
    // The surface as it is and a factor of one.
    let one = figures.graph.exact(1.0);
    let mut inputs = bench.inputs(Side::Likely, speed, air, &[water]);
    let expected = predicted(bench, "Evaporation over the same days, predicted", water, air, share, figures);
    inputs[2] = one;
    inputs.push(logged);
    let label = "Evaporation by the log, of what the handbook’s formula gives";
    let node = figures.graph.compute(label, "1", &inputs, |x| x[7] / litres(x));
    // The same with one square metre: the log fixes the free surface, however much of it is covered.
    let mut of_one = inputs.clone();
    of_one[1] = one;
    let free_label = "Surface that evaporates freely, by the log";
    let free = figures.graph.compute(free_label, "m²", &of_one, |x| x[7] / litres(x));
    let lid_known = bench.tank.lid.is_some();
    let (factor, predicted) = (value(&figures.graph, node), value(&figures.graph, expected.node));
    let logged_value = figures.graph.value(logged);
    if !factor.is_finite() {
        return;
    }
    let difference =
        figures.graph.linear("Evaporation, logged less predicted", "L", &[(logged, 1.0), (expected.node, -1.0)]);
    let u = figures.graph.uncertainty(difference);
    let apart = (logged_value - predicted).abs() > 1.96 * u;
    let shift = bench.record.units.of("L a day");
    let shown = |litres: f64| two(shift.spread(litres));
    let both = format!(
        "Over the last {EVAPORATION_DAYS} days {} {unit} were topped off; the formula gives {} ± {} {unit}.",
        shown(logged_value),
        shown(predicted),
        shown(figures.graph.uncertainty(expected.node)),
        unit = shift.unit,
    );
    found.evaporation_words.push(both);
    found.evaporation_words.push(if !apart && !lid_known {
        let shift = bench.record.units.of("m²");
        format!(
            "The two agree within what is known. How much of the surface is covered is not recorded (`lid:`); by the log it evaporates as {} {} of open, stirred water would.",
            two(shift.spread(figures.graph.value(free))),
            shift.unit
        )
    } else if !apart && (HANDBOOK.0..=HANDBOOK.1).contains(&factor) {
        format!(
            "The two agree within what is known: the handbook’s factor for the surface runs from 0.5 (still) to 1 (stirred), and the log puts this one at {}.",
            two(factor)
        )
    } else if !apart {
        format!(
            "The log puts the factor of this surface at {} ± {}, {} the handbook’s 0.5 (still) to 1 (stirred); the room and the top-offs are not known well enough to tell the two apart. {}",
            two(factor),
            two(figures.graph.uncertainty(node)),
            if factor < HANDBOOK.0 { "under" } else { "above" },
            if factor < HANDBOOK.0 {
                "Top-offs that are not written down, a lid that covers more or a damper room would explain it."
            } else {
                "A drier room, a more open lid, spray or a leak would explain it."
            }
        )
    } else if logged_value > predicted {
        "More is topped off than the room and the surface explain: a leak, spray or skimmate that is made up with fresh water, a drier room, a more open lid or a fan that is not recorded.".into()
    } else {
        "Less is topped off than the room and the surface explain: top-offs that are not written down, a lid that covers more, or a damper room than is recorded.".into()
    });
    let (key, label, shown, method, numbers) = if lid_known {
        let numbers = format!("{} L ∕ {} L", number(logged_value), number(logged_value / factor));
        ("heat.evaporation-factor", label, node, "a = E(logged) ∕ E(formula with a = 1)", numbers)
    } else {
        let for_one = logged_value / figures.graph.value(free);
        let numbers = format!("{} L ∕ {} L from each m²", number(logged_value), number(for_one));
        ("heat.evaporation-surface", free_label, free, "a·A = E(logged) ∕ E(formula with a·A = 1 m²)", numbers)
    };
    let used_inputs = if lid_known { &inputs[..7] } else { &of_one[..7] };
    figures
        .define(&bench.tank.key, key, label)
        .method(method, numbers, &SOURCES)
        .inputs(&[InputName::from("water.evaporation")])
        .inputs(used_inputs)
        .note(if (BELIEVABLE.0..=BELIEVABLE.1).contains(&factor) {
            "the figures of heat use this, since it is this tank’s own"
        } else {
            "so far from the handbook’s 0.5 to 1 of the open surface that it is not used: the log counts something else than evaporation"
        })
        .finish(shown);
    figures
        .define(&bench.tank.key, "heat.evaporation-difference", "Evaporation, logged less predicted")
        .method("ΔE = E(logged) − E(formula)", format!("{} − {}", number(logged_value), number(predicted)), &SOURCES)
        .inputs(&[InputName::from("water.evaporation")])
        .inputs(&expected.inputs)
        .note(found.evaporation_words[1].clone())
        .finish(difference);
    if !(BELIEVABLE.0..=BELIEVABLE.1).contains(&factor) {
        return;
    }
    // On the two other sides the surface is another one: what the log fixes is the product.
    let relative = figures.graph.first_order(free) / figures.graph.value(free);
    let (free_node, free) = (free, figures.graph.value(free));
    for (side, away) in [(Side::Warm, -2.0), (Side::Likely, 0.0), (Side::Cold, 2.0)] {
        let Some(losses) = bench.sides.get_mut(&side) else { continue };
        if side == Side::Likely {
            if lid_known {
                losses.activity = node;
                bench.named.insert(node, "heat.evaporation-factor");
            } else {
                losses.activity = one;
                losses.surfaces.open = free_node;
                bench.named.insert(free_node, "heat.evaporation-surface");
            }
            continue;
        }
        let open = figures.graph.value(losses.surfaces.open);
        let at = (free * (1.0 + away * relative) / open).max(0.0);
        let which = if side == Side::Warm { "least" } else { "most" };
        losses.activity = end(
            &mut figures.graph,
            &format!("Evaporation by the log, {which}"),
            at,
            "1",
            "two standard uncertainties away from what the log says",
        );
        debug_assert_eq!(figures.graph.basis(losses.activity), Basis::Assumed);
    }
}
