//! Cautions that the figures of heat and top-off raise: a day too hot, a night too cold, a jug too large, a cut too long.

use super::electricity::paragraphs;
use super::{Caution, caution};
use crate::cautions::Danger;
use crate::figures::{Figure, Findings, TankFindings, number};
use crate::record::{Record, Role, Tank};
use crate::science::normal::ONE_SIDED_95;
use crate::units::{Dimension, round_sig, show};

pub(super) const KEEPER: &str =
    "The keeper decides what the animals bear; a bound says what may happen, not what will.";
const ELECTRICIAN: &str = super::electricity::ELECTRICIAN;

/// Within so many hours nobody may look (common practice, no source: a working day or a night).
const NOBODY_LOOKS_H: f64 = 8.0;

pub(super) fn raise(record: &Record, tank: &Tank, findings: &Findings, out: &mut Vec<Caution>) {
    let Some(of) = findings.tanks.get(&tank.key) else { return };
    let figure = |key: &str| findings.figures.get(&tank.key, key);
    let days = ["heat.hottest-day", "heat.hottest-day-fan", "heat.hottest-day-chiller"].map(figure);
    hottest_day(record, of, days, out);
    chiller_fights(record, of, out);
    let installed = of.heat.balances.as_ref().map(|balances| balances.installed(&findings.figures.graph));
    coldest_day(record, tank, (figure("heat.heater-needed"), installed), out);
    top_off(figure("topup.largest-harmless"), figure("topup.full-dump-salinity"), (record, tank), out);
    power_cut(record, tank, figure("heat.power-cut-hours"), of, out);
}

/// A figure as a reason: its label, value and standard uncertainty.
pub(super) fn because_of_figure(record: &Record, figure: &Figure) -> (String, Option<crate::diagnostic::Place>) {
    let shift = record.units.of(&figure.unit);
    let unit = &shift.unit;
    let mut words = format!("{}: {} {unit}", figure.label, three(shift.value(figure.value)));
    if figure.uncertainty > 0.0 {
        words.push_str(&format!(" (standard uncertainty {} {unit})", three(shift.spread(figure.uncertainty))));
    }
    (words, None)
}

/// At most three significant digits.
fn three(value: f64) -> String {
    round_sig(value, 3).to_string()
}

fn hottest_day(
    record: &Record,
    of: &TankFindings,
    [still, fan, chiller]: [Option<&Figure>; 3],
    out: &mut Vec<Caution>,
) {
    let (Some(still), Some(limit)) = (still, &of.heat.hot_limit) else {
        return;
    };
    let fan_used = fan.filter(|_| of.heat.has_fan).unwrap_or(still);
    let used = chiller.filter(|chiller| chiller.value < fan_used.value).unwrap_or(fan_used);
    let (danger, title) = if used.value > limit.celsius {
        (Danger::Animals, "The hottest day takes the water past its upper limit")
    } else if used.value + ONE_SIDED_95 * used.uncertainty > limit.celsius {
        (Danger::Check, "The hottest day may take the water past its upper limit")
    } else {
        return;
    };
    let mut raised = caution("heat.hottest-day", danger, title, KEEPER);
    raised.text = paragraphs(&[
        "A fan over the surface cools by evaporation, less the damper the air is; the top-off must follow it. Less light, \
         an open lid and a cooler room help at once.",
        "Cool slowly: 1 °C (2 °F) in an hour is much. Warm water holds less oxygen, so keep it moving.",
    ]);
    raised.why.push(because_of_figure(record, still));
    raised.why.extend(fan.map(|fan| because_of_figure(record, fan)));
    raised.why.extend(chiller.map(|chiller| because_of_figure(record, chiller)));
    let upper = show(limit.celsius, Dimension::Temperature, None, record.units, 0);
    raised.why.push((format!("upper limit: {upper}, {}", limit.basis.word()), None));
    raised.sources = vec!["common practice, no source; the figures state their own sources"];
    raised.topics = vec!["heat", "water"];
    out.push(raised);
}

/// A chiller that begins where the heaters have not yet ended: both run, and each hides that the other fails.
fn chiller_fights(record: &Record, of: &TankFindings, out: &mut Vec<Caution>) {
    let (Some(chiller), Some((heated, _))) = (&of.heat.chiller, of.heat.target) else { return };
    if !chiller.fights {
        return;
    }
    let title = "The chiller begins too close to where the heaters end";
    let mut raised = caution("heat.chiller-fights", Danger::Animals, title, KEEPER);
    raised.text = paragraphs(&[
        "A chiller and a heater that hold nearly the same temperature run against each other, cost twice, and hide that one \
         of them no longer obeys. Leave at least 1 °C (2 °F) between them.",
    ]);
    let shown = |celsius: f64| show(celsius, Dimension::Temperature, None, record.units, 1);
    let why = format!("{} holds {}; the heaters hold {}", chiller.name, shown(chiller.holds), shown(heated));
    raised.why.push((why, Some(chiller.place.clone())));
    raised.sources = vec!["common practice, no source (a dead band of 1 °C)"];
    raised.topics = vec!["heat", "power", "equipment"];
    out.push(raised);
}

fn coldest_day(
    record: &Record,
    tank: &Tank,
    (needed, installed): (Option<&Figure>, Option<f64>),
    out: &mut Vec<Caution>,
) {
    let (Some(needed), Some(installed)) = (needed, installed) else {
        return;
    };
    let heaters = tank.devices_at(record.as_of).filter(|device| device.role.value == Role::Heater).count();
    if heaters == 0 || needed.value + ONE_SIDED_95 * needed.uncertainty <= installed {
        return;
    }
    let title = if needed.value > installed {
        "The heaters are too weak for the coldest day"
    } else {
        "The heaters may be too weak for the coldest day"
    };
    let mut raised = caution("heat.too-cold", Danger::Check, title, KEEPER);
    raised.text = paragraphs(&[
        "On the coldest day that the record knows the water may not be held where it is set. A lid saves most; a second \
         heater is safer than a stronger one, since a strong one that sticks on heats faster.",
    ]);
    raised.why.push(because_of_figure(record, needed));
    raised.why.push((format!("heaters in service: {} W", number(installed)), None));
    raised.sources = vec!["common practice, no source; the figure states its own sources"];
    raised.topics = vec!["heat", "equipment"];
    out.push(raised);
}

fn top_off(
    largest: Option<&Figure>,
    dumped: Option<&Figure>,
    (record, tank): (&Record, &Tank),
    out: &mut Vec<Caution>,
) {
    let (Some(largest), Some(dumped)) = (largest, dumped) else {
        return;
    };
    // The reservoir is an input of the figure after it is dumped; what is written says how large it is.
    let mut top_offs = tank.devices_at(record.as_of).filter(|device| device.role.value == Role::TopOff);
    let reservoir = top_offs.find_map(|device| record.reservoir_of(tank, device)).map(|(reservoir, _)| reservoir);
    let least = largest.value - ONE_SIDED_95 * largest.uncertainty;
    let Some(reservoir) = reservoir.filter(|reservoir| reservoir.value.value > least) else {
        return;
    };
    let (danger, title) = if reservoir.value.value > largest.value {
        (Danger::Animals, "A top-off that sticks on would dilute the tank by more than is harmless")
    } else {
        (Danger::Check, "A top-off that sticks on may dilute the tank by more than is harmless")
    };
    let mut raised = caution("topup.reservoir", danger, title, KEEPER);
    raised.text = paragraphs(&[
        "A top-off pump that does not stop empties its reservoir into the tank. A smaller one limits the fall of the \
         salinity; a larger one lasts longer while nobody is there. Both numbers stand here.",
        "Fill it no further than the harmless mark while nobody looks daily, and let a second switch or a longest run stop \
         the pump. Never lime water in a reservoir that somebody else looks after.",
    ]);
    raised
        .why
        .push((format!("reservoir: {}", record.units.text(reservoir.value.value, "L")), Some(reservoir.place.clone())));
    raised.why.push(because_of_figure(record, largest));
    raised.why.push(because_of_figure(record, dumped));
    raised.sources = vec!["common practice, no source (a fall of at most 2 ppt in a day); the rest is arithmetic"];
    raised.topics = vec!["heat", "water", "upkeep"];
    out.push(raised);
}

fn power_cut(record: &Record, tank: &Tank, hours: Option<&Figure>, of: &TankFindings, out: &mut Vec<Caution>) {
    let Some(hours) = hours.filter(|hours| hours.value < NOBODY_LOOKS_H) else {
        return;
    };
    let helped = tank.devices_at(record.as_of).any(|device| {
        device.role.value == Role::Battery || (device.role.value == Role::AirPump && device.capacity.is_some())
    });
    if helped || of.heat.target.is_none() {
        return;
    }
    let title = "What keeps the tank through a power cut?";
    let mut raised = caution("heat.power-cut", Danger::Check, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "Oxygen goes first, in hours; then the temperature. A battery air pump of a few watts is the most life for its \
         energy. Wrap a cold tank, open the lid of a warm one, stir by hand, leave heaters unplugged until they are surely \
         under water.",
    ]);
    raised.why.push(because_of_figure(record, hours));
    raised.why.push(("no battery is recorded".into(), Some(tank.place.clone())));
    raised.sources = vec!["common practice, no source; the figure states its own sources"];
    raised.topics = vec!["heat", "power"];
    out.push(raised);
}
