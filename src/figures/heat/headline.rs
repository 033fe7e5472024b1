//! The figures every keeper should have: what the heaters must give, what a stuck one does, what a power cut does, and
//! the hottest day.

use super::model::{LONGEST_HOURS, hours_between, loss_at, settles_at};
use super::room::Air;
use super::spread::{Side, bound};
use super::{Bench, chiller};
use crate::figures::figure::Figures;
use crate::figures::graph::NodeId;
use crate::figures::inputs::number;

pub(super) const SOURCES: [&str; 4] = ["ashrae_applications_2019", "hyland_wexler_1983", "iso_6946", "common-practice"];

pub fn work_out(bench: &Bench, figures: &mut Figures) {
    loss(bench, figures);
    heaters(bench, figures);
    power_cut(bench, figures);
    hottest_day(bench, figures);
    chiller::hottest_day(bench, figures);
}

pub(super) const HOT_METHOD: &str =
    "P(pumps, lamps) = K·(T − Tₐ) + a·A·(89 + 78.2 v)·(p(T) − φ·p(Tₐ)), at least as set";

/// The inputs with numbers, as a reader checks them: `K = 9.4 W/K, A = 0.34 m², room 18 °C at 50 %`.
pub(super) fn with_numbers(figures: &Figures, inputs: &[NodeId]) -> String {
    let value = |index: usize| number(figures.graph.value(inputs[index]));
    let humidity = number(figures.graph.value(inputs[5]) * 100.0);
    format!(
        "K = {} W/K, a·A = {} × {} m², v = {} m/s, room {} °C at {humidity} %",
        value(0),
        value(2),
        value(1),
        value(3),
        value(4)
    )
}

fn loss(bench: &Bench, figures: &mut Figures) {
    let inputs = bench.inputs(Side::Likely, bench.speed_now(figures), bench.room.now, &[bench.target]);
    let label = "Heat lost a degree";
    let node = figures.graph.compute(label, "W/K", &inputs, |x| {
        const STEP: f64 = 0.05;
        (loss_at(x, x[6] + STEP) - loss_at(x, x[6] - STEP)) / (2.0 * STEP)
    });
    let numbers = format!(
        "{}, at {} °C → {} W/K",
        with_numbers(figures, &inputs),
        number(figures.graph.value(bench.target)),
        number(figures.graph.value(node))
    );
    figures
        .define(&bench.tank.key, "heat.loss", label)
        .method("d(K·(T − Tₐ) + a·A·(89 + 78.2 v)·(p(T) − φ·p(Tₐ))) ∕ dT, p in kPa", numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs))
        .note("at the temperature that is set, in the room as it is now; glass, surface and sump by the resistances of air, evaporation by the handbook’s formula")
        .finish(node);
}

fn heaters(bench: &Bench, figures: &mut Figures) {
    let tank = &bench.tank.key;
    let night = bench.gain(Side::Likely, false, figures);
    let needs = |figures: &mut Figures, label: &str, air: Air, speed: NodeId, gain: NodeId| {
        let inputs = bench.inputs(Side::Likely, speed, air, &[bench.target, gain]);
        let node = figures.graph.compute(label, "W", &inputs, |x| (loss_at(x, x[6]) - x[7]).max(0.0));
        (inputs, node)
    };
    let label = "Heater power needed on the coldest day";
    let (inputs, node) = needs(figures, label, bench.room.coldest, bench.still, night);
    let numbers = format!(
        "{}, {} °C, {} W from pumps → {} W",
        with_numbers(figures, &inputs),
        number(figures.graph.value(bench.target)),
        number(figures.graph.value(night)),
        number(figures.graph.value(node))
    );
    let mut built = figures
        .define(tank, "heat.heater-needed", label)
        .method("P = K·(T − Tₐ) + a·A·(89 + 78.2 v)·(p(T) − φ·p(Tₐ)) − P(pumps), p in kPa", numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs))
        .note("counted without the lamp, as at night, in the coldest room and the driest air that the record knows");
    if bench.gains.is_empty() {
        built = built.note("no pump with known watts: their heat is not counted, so less may do");
    }
    built.finish(node);

    if bench.heaters.is_empty() {
        let what = "a heater in equipment, with `watts:` or a spec sheet that states its power";
        for (key, label) in [
            ("heat.heater-duty", "Share of the time the heaters run"),
            ("heat.stuck-heater-temperature", "Temperature if the heaters stick on, at most"),
        ] {
            figures.miss(tank, key, label, what);
        }
        return;
    }
    let all = bench.heating(figures);
    let day = bench.gain(Side::Likely, true, figures);
    let label = "Share of the time the heaters run";
    let speed = bench.speed_now(figures);
    let (inputs, needed) = needs(figures, "Heat needed now", bench.room.now, speed, day);
    let node = figures.graph.compute(label, "%", &[needed, all], |x| (100.0 * x[0] / x[1]).min(100.0));
    let numbers = format!("{} W ∕ {} W", number(figures.graph.value(needed)), number(figures.graph.value(all)));
    figures
        .define(tank, "heat.heater-duty", label)
        .method("duty = heat needed now ∕ power of all heaters", numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs))
        .inputs(&[all])
        .note("a mean over day and night in the room as it is now; compare with the counter of the controller")
        .finish(node);
    stuck(bench, all, figures);
}

/// With every heater on, and with each alone while the others still obey.
fn stuck(bench: &Bench, all: NodeId, figures: &mut Figures) {
    let tank = &bench.tank.key;
    let warm_gain = bench.gain(Side::Warm, true, figures);
    let likely_gain = bench.gain(Side::Likely, true, figures);
    let label = "Temperature if the heaters stick on, at most";
    bound_of_stuck(bench, "heat.stuck-heater-temperature", label, all, warm_gain, figures);
    let label = "Temperature if the heaters stick on, likely, in the room as it is now";
    let inputs = bench.inputs(Side::Likely, bench.speed_now(figures), bench.room.now, &[all, likely_gain]);
    let node = figures.graph.compute(label, "°C", &inputs, |x| settles_at(x, x[6] + x[7]));
    let numbers = with_numbers(figures, &inputs);
    figures
        .define(tank, "heat.stuck-heater-estimate", label)
        .method("P(heaters) + P(pumps, lamps) = K·(T − Tₐ) + a·A·(89 + 78.2 v)·(p(T) − φ·p(Tₐ))", numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs))
        .finish(node);
    if bench.heaters.len() > 1 {
        for heater in &bench.heaters {
            let label = format!("Temperature if only {} sticks on, at most", heater.name);
            let key = format!("heat.stuck-heater-temperature.{}", heater.device);
            bound_of_stuck(bench, &key, &label, heater.watts, warm_gain, figures);
        }
    }
    let label = "Hours from the set temperature to the upper limit if the heaters stick on, at least";
    let mut inputs = bench.inputs(Side::Warm, bench.still, bench.room.hottest_damp, &[]);
    inputs.extend([all, warm_gain, bench.store, bench.target, bench.hot_limit]);
    let corner = figures.graph.compute(label, "h", &inputs, |x| warms(x, x[6] + x[7], x[8], x[9], x[10]));
    let node = at_least(label, corner, figures);
    let numbers = format!(
        "{}, {} W → {} h",
        with_numbers(figures, &inputs),
        number(figures.graph.value(all) + figures.graph.value(warm_gain)),
        number(figures.graph.value(node))
    );
    let hours = figures.graph.value(node);
    let mut built = figures
        .define(tank, "heat.stuck-heater-hours", label)
        .method("t = ∫ C dT ∕ (P − loss(T))", numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs))
        .note("a bound on the safe side: the hottest and dampest room, all lamp and pump heat that may reach the water, no heat taken up by rock and glass");
    if hours >= LONGEST_HOURS {
        built = built.note("a week or more: even then it does not come to the limit");
    }
    built.decimals(1).finish(node);
}

fn bound_of_stuck(bench: &Bench, key: &str, label: &str, heater: NodeId, gain: NodeId, figures: &mut Figures) {
    let inputs = bench.inputs(Side::Warm, bench.still, bench.room.hottest_damp, &[heater, gain]);
    let corner = figures.graph.compute(label, "°C", &inputs, |x| settles_at(x, x[6] + x[7]));
    let node = bound(&mut figures.graph, label, corner, 1.0);
    let settled = figures.graph.value(node);
    let numbers = format!(
        "{}, {} W + {} W → {} °C, and 1.645 × {} °C",
        with_numbers(figures, &inputs),
        number(figures.graph.value(heater)),
        number(figures.graph.value(gain)),
        number(figures.graph.value(corner)),
        number(figures.graph.first_order(corner))
    );
    let mut built = figures
        .define(&bench.tank.key, key, label)
        .method("P(heater) + P(pumps, lamps) = K·(T − Tₐ) + a·A·(89 + 78.2 v)·(p(T) − φ·p(Tₐ))", numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs))
        .note("a bound on the safe side: the hottest and dampest room, and every assumed input at the end that warms the water more")
        .note("all the heat of pumps and lamps that may reach the water is in it; losses rise with evaporation");
    if settled > 40.0 {
        built = built.note("above 40 °C evaporation is held at what it is there, so the true temperature is lower; nothing lives that long");
    }
    built.decimals(1).finish(node);
}

fn power_cut(bench: &Bench, figures: &mut Figures) {
    let tank = &bench.tank.key;
    for (key, side, label, note) in [
        (
            "heat.power-cut-hours",
            Side::Cold,
            "Hours until the lower limit with no power, at least",
            "a bound on the safe side: every assumed input at the end that cools more, and no heat from rock, sand and glass",
        ),
        (
            "heat.power-cut-estimate",
            Side::Likely,
            "Hours until the lower limit with no power, likely",
            "the likely value beside the bound; still water evaporates less, which would give more time",
        ),
    ] {
        let mut inputs = bench.inputs(side, bench.still, bench.room.coldest, &[]);
        inputs.extend([bench.store, bench.target, bench.cold_limit]);
        let mut node = figures.graph.compute(label, "h", &inputs, |x| cools(x, 0.0, x[6], x[7], x[8]));
        if side == Side::Cold {
            node = at_least(label, node, figures);
        }
        let hours = figures.graph.value(node);
        let numbers = format!(
            "{}, {} Wh/K, from {} to {} °C → {} h",
            with_numbers(figures, &inputs),
            number(figures.graph.value(bench.store)),
            number(figures.graph.value(bench.target)),
            number(figures.graph.value(bench.cold_limit)),
            number(hours)
        );
        let mut built = figures
            .define(tank, key, label)
            .method("t = ∫ C dT ∕ loss(T), with nothing given", numbers, &SOURCES)
            .inputs(&bench.as_named(&inputs))
            .note(note)
            .note("the room is taken at its coldest day; in a long cut the house cools too");
        if hours >= LONGEST_HOURS {
            built = built.note("a week or more: the room itself does not cool the water to the limit");
        }
        if side == Side::Cold {
            built = built.decimals(1);
        }
        built.finish(node);
    }
}

fn hottest_day(bench: &Bench, figures: &mut Figures) {
    let gain = bench.gain(Side::Likely, true, figures);
    let (fan, recorded) = bench.fan_on_a_hot_day(figures);
    for (key, label, speed, with_fan) in [
        ("heat.hottest-day", "Temperature on the hottest day", bench.still, false),
        ("heat.hottest-day-fan", "Temperature on the hottest day with a fan", fan, true),
    ] {
        let inputs = bench.inputs(Side::Likely, speed, bench.room.hottest, &[gain, bench.target]);
        let node = figures.graph.compute(label, "°C", &inputs, |x| settles_at(x, x[6]).max(x[7]));
        let numbers = format!(
            "{}, {} W → {} °C",
            with_numbers(figures, &inputs),
            number(figures.graph.value(gain)),
            number(figures.graph.value(node))
        );
        let mut built = figures
            .define(&bench.tank.key, key, label)
            .method(HOT_METHOD, numbers, &SOURCES)
            .inputs(&bench.as_named(&inputs))
            .note("once the water has followed a room that stays as hot as its hottest day, heaters off");
        if with_fan {
            built = built.note(if recorded {
                "the fan over its longest recorded hours; cooling by evaporation takes fresh water, so the top-off must follow"
            } else {
                "no fan is recorded: a small one that runs day and night is assumed"
            });
        }
        built.finish(node);
    }
}

/// The bound of a time, never below nothing; a time that is a week or more stays so.
fn at_least(label: &str, corner: NodeId, figures: &mut Figures) -> NodeId {
    let graph = &mut figures.graph;
    if graph.value(corner) >= LONGEST_HOURS {
        return graph.compute(label, "h", &[corner], |_| LONGEST_HOURS);
    }
    let node = bound(graph, label, corner, -1.0);
    graph.compute(label, "h", &[node], |x| x[0].max(0.0))
}

/// Hours from `from` down to `to`; none where it is there already.
fn cools(x: &[f64], watts: f64, store: f64, from: f64, to: f64) -> f64 {
    if from <= to { 0.0 } else { hours_between(x, watts, store, from, to) }
}

/// Hours from `from` up to `to`.
fn warms(x: &[f64], watts: f64, store: f64, from: f64, to: f64) -> f64 {
    if from >= to { 0.0 } else { hours_between(x, watts, store, from, to) }
}
