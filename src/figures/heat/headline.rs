//! The figures every keeper should have: what the heaters must give, what a stuck one does, what a power cut does, and
//! the hottest day.

use super::balance::{Balance, Balances, everything};
use super::bounds::{COLD_ROOM, NEVER_COLD, cooling_hours, heating_hours};
use super::model::{LONGEST_HOURS, hours_between, loss_at, settles_at};
use super::room::Air;
use super::spread::Side;
use super::{Bench, chiller};
use crate::figures::figure::Figures;
use crate::figures::graph::NodeId;
use crate::figures::inputs::number;

pub(super) const SOURCES: [&str; 4] = ["ashrae_applications_2019", "hyland_wexler_1983", "iso_6946", "common-practice"];

pub fn work_out(bench: &Bench, balances: &Balances, figures: &mut Figures) {
    loss(bench, figures);
    heaters(bench, balances, figures);
    power_cut(bench, balances, figures);
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

fn heaters(bench: &Bench, balances: &Balances, figures: &mut Figures) {
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
    stuck(bench, balances, all, figures);
}

/// With every heater on, and with each alone while the others still obey.
fn stuck(bench: &Bench, balances: &Balances, all: NodeId, figures: &mut Figures) {
    let tank = &bench.tank.key;
    let likely_gain = bench.gain(Side::Likely, true, figures);
    let label = "Temperature if the heaters stick on, at most";
    bound_of_stuck((tank, "heat.stuck-heater-temperature", label), balances, &|_| true, figures);
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
            bound_of_stuck((tank, &key, &label), balances, &|key| key == heater.device, figures);
        }
    }
    let label = "Hours from the set temperature to the upper limit if the heaters stick on, at least";
    let between = (bench.target, bench.hot_limit);
    heating_hours((tank, "heat.stuck-heater-hours", label), balances, between, &everything, figures);
}

/// Where the water ends with some heaters stuck on and the others off: the figure `key`, as a bound.
fn bound_of_stuck(
    (tank, key, label): (&str, &str, &str),
    balances: &Balances,
    stuck: &dyn Fn(&str) -> bool,
    figures: &mut Figures,
) {
    let given = |side: &Balance| side.with_heaters(stuck);
    let bound = balances.ends_at(label, Side::Warm, &given, &mut figures.graph);
    let graph = &figures.graph;
    let settled = graph.value(bound.node);
    let heaters = balances.side(Side::Warm).heaters_without(&|key| !stuck(key));
    let heaters: f64 = heaters.iter().map(|(node, _)| graph.value(*node)).sum();
    let numbers = format!(
        "{}, {} W + {} W → {} °C, and 1.645 × {} °C",
        with_numbers(figures, &bound.inputs),
        number(heaters),
        number(graph.value(bound.watts) - heaters),
        number(graph.value(bound.corner)),
        number(graph.first_order(bound.corner))
    );
    let mut built = figures
        .define(tank, key, label)
        .method("P(heater) + P(pumps, lamps) = K·(T − Tₐ) + a·A·(89 + 78.2 v)·(p(T) − φ·p(Tₐ)), and 1.645 u", numbers, &SOURCES)
        .inputs(&balances.as_named(&bound.inputs))
        .note("a bound on the safe side: the hottest and dampest room, and every assumed input at the end that warms the water more")
        .note("all the heat of pumps and lamps that may reach the water is in it; losses rise with evaporation");
    if settled > 40.0 {
        built = built.note("above 40 °C evaporation is held at what it is there, so the true temperature is lower; nothing lives that long");
    }
    built.decimals(1).finish(bound.node);
}

fn power_cut(bench: &Bench, balances: &Balances, figures: &mut Figures) {
    let tank = &bench.tank.key;
    let label = "Hours until the lower limit with no power, at least";
    let key = "heat.power-cut-hours";
    cooling_hours((tank, key, label), balances, (bench.target, bench.cold_limit), &|_| Vec::new(), figures);

    let label = "Hours until the lower limit with no power, likely";
    let inputs =
        bench.inputs(Side::Likely, bench.still, bench.room.coldest, &[bench.store, bench.target, bench.cold_limit]);
    let node = figures
        .graph
        .compute(label, "h", &inputs, |x| if x[7] <= x[8] { 0.0 } else { hours_between(x, 0.0, x[6], x[7], x[8]) });
    let value = |node: NodeId| number(figures.graph.value(node));
    let numbers = format!(
        "{}, {} Wh/K, from {} to {} °C → {} h",
        with_numbers(figures, &inputs),
        value(bench.store),
        value(bench.target),
        value(bench.cold_limit),
        value(node)
    );
    let hours = figures.graph.value(node);
    let mut built = figures
        .define(tank, "heat.power-cut-estimate", label)
        .method("t = ∫ C dT ∕ loss(T), with nothing given", numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs))
        .note("the likely value beside the bound; still water evaporates less, which would give more time")
        .note(COLD_ROOM);
    if hours >= LONGEST_HOURS {
        built = built.note(NEVER_COLD);
    }
    built.finish(node);
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
