//! Figures that are bounds in hours: how soon the water is too hot, or too cold.

use super::balance::{Balances, Given, Way};
use super::headline::{SOURCES, with_numbers};
use super::model::LONGEST_HOURS;
use crate::figures::figure::Figures;
use crate::figures::graph::NodeId;
use crate::figures::inputs::number;

/// Hours from one temperature to another with what is given: the figure `key`, as a bound.
pub fn heating_hours(
    (tank, key, label): (&str, &str, &str),
    balances: &Balances,
    (from, to): (NodeId, NodeId),
    given: Given,
    figures: &mut Figures,
) {
    let bound = balances.at_least(label, Way::Warms, (from, to), given, &mut figures.graph);
    let graph = &figures.graph;
    let numbers = format!(
        "{}, {} W, {} Wh/K, from {} to {} °C {}",
        with_numbers(figures, &bound.inputs),
        number(graph.value(bound.watts)),
        number(graph.value(bound.inputs[7])),
        number(graph.value(from)),
        number(graph.value(to)),
        bound.working(graph)
    );
    let hours = graph.value(bound.node);
    let mut built = figures
        .define(tank, key, label)
        .method("t = ∫ C dT ∕ (P − loss(T)), less 1.645 u", numbers, &SOURCES)
        .inputs(&balances.as_named(&bound.inputs))
        .note("a bound on the safe side: the hottest and dampest room, all lamp and pump heat that may reach the water, no heat taken up by rock and glass");
    if hours >= LONGEST_HOURS {
        built = built.note("a week or more: even then it does not come to the limit");
    }
    built.decimals(1).finish(bound.node);
}

pub(super) const COLD_ROOM: &str = "the room is taken at its coldest day; in a long cut the house cools too";
pub(super) const NEVER_COLD: &str = "a week or more: the room itself does not cool the water to the limit";

/// Hours from one temperature down to another with what is still given: the figure `key`, as a bound.
pub fn cooling_hours(
    (tank, key, label): (&str, &str, &str),
    balances: &Balances,
    (from, to): (NodeId, NodeId),
    given: Given,
    figures: &mut Figures,
) {
    let bound = balances.at_least(label, Way::Cools, (from, to), given, &mut figures.graph);
    let graph = &figures.graph;
    let watts = graph.value(bound.watts);
    let given = if watts == 0.0 { String::new() } else { format!(", {} W given", number(watts)) };
    let numbers = format!(
        "{}{given}, {} Wh/K, from {} to {} °C {}",
        with_numbers(figures, &bound.inputs),
        number(graph.value(bound.inputs[7])),
        number(graph.value(from)),
        number(graph.value(to)),
        bound.working(graph)
    );
    let formula = if given.is_empty() {
        "t = ∫ C dT ∕ loss(T), with nothing given, less 1.645 u"
    } else {
        "t = ∫ C dT ∕ (loss(T) − P), less 1.645 u"
    };
    let hours = graph.value(bound.node);
    let mut built = figures
        .define(tank, key, label)
        .method(formula, numbers, &SOURCES)
        .inputs(&balances.as_named(&bound.inputs))
        .note("a bound on the safe side: every assumed input at the end that cools more, and no heat from rock, sand and glass")
        .note(COLD_ROOM);
    if hours >= LONGEST_HOURS {
        built = built.note(NEVER_COLD);
    }
    built.decimals(1).finish(bound.node);
}
