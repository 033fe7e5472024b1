//! A dosing head that does not stop: how long until what it doses passes the limit, and where the whole bottle leads.

use std::collections::BTreeMap;

use super::devices::row;
use super::{Desk, Failure, Harm, HarmBy, Mode};
use crate::figures::inflow::{Known, content};
use crate::figures::number;
use crate::record::upkeep::in_force;
use crate::record::{Device, Parameter, Supply};
use crate::units::{Dimension, round_sig};

/// A tube stretches and wears: relative standard uncertainty of a head's stated flow (common practice, no source).
const FLOW_U: f64 = 0.15;

/// Two standard uncertainties make an end of the interval.
const ENDS: f64 = 2.0;

/// Where harm begins where the record does not say (common practice, no source): what keepers act on at once. None where
/// practice has no number.
fn usual_limit(parameter: Parameter) -> Option<f64> {
    match parameter {
        Parameter::Alkalinity => Some(12.0),
        Parameter::Calcium => Some(500.0),
        Parameter::Magnesium => Some(1600.0),
        Parameter::Nitrate => Some(50.0),
        Parameter::Phosphate => Some(0.5),
        _ => None,
    }
}

/// What one head brings of one substance.
struct Course {
    /// In the substance's unit, an hour.
    rate: (f64, f64),
    now: (f64, f64),
    limit: f64,
    /// Whether the limit is the keeper's own.
    is_written: bool,
    /// What the whole bottle adds; None where its size is not written.
    whole: Option<(f64, f64)>,
}

impl Course {
    /// Hours at the worse and at the better end; None where the bottle is empty first.
    fn hours(&self) -> Option<(f64, Option<f64>)> {
        let ((rate, rate_u), (now, now_u)) = (self.rate, self.now);
        let worse = ((self.limit - now - ENDS * now_u) / (rate + ENDS * rate_u)).max(0.0);
        let slow = (rate - ENDS * rate_u).max(0.2 * rate);
        let better = ((self.limit - now + ENDS * now_u) / slow).max(worse);
        let room = |sign: f64| self.limit - now + sign * ENDS * now_u;
        match self.whole {
            Some((whole, u)) if whole + ENDS * u < room(-1.0) => None,
            // The bottle may be empty before the better end.
            Some((whole, u)) if whole - ENDS * u < room(1.0) => Some((worse, None)),
            _ => Some((worse, Some(better))),
        }
    }
}

pub fn stuck_on(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOn);
    let supplies = doses(desk, device);
    let flow = desk.record.spec_of(desk.tank, device).and_then(|spec| spec.flow.as_ref());
    failure.remains = "no more than is in the bottle can run in: keep a week’s worth".into();
    let unknown = Harm { by: HarmBy::Chemistry, at_least: None, at_most: None, assumed: true };
    if supplies.is_empty() {
        failure.follows.push("A head that does not stop empties its bottle into the tank.".into());
        failure
            .follows
            .push(format!("How fast is not known: a plan in `upkeep/` with `by: {}` tells what it doses.", device.key));
        failure.harm = Some(unknown);
        return failure;
    }
    let mut found: Vec<Harm> = Vec::new();
    let mut untold = false;
    for supply in supplies.values() {
        let bottle = supply.bottle.as_ref().map(|bottle| bottle.value.value * 1000.0);
        let name = &supply.name.value;
        failure.follows.push(match (bottle, flow) {
            (Some(bottle), Some(flow)) => format!(
                "{name}: a head that does not stop empties its {} mL in about {} h.",
                number(bottle),
                number((bottle / (flow.value.value * 1000.0) * 10.0).round() / 10.0)
            ),
            (Some(bottle), None) => format!("{name}: a head that does not stop empties its {} mL.", number(bottle)),
            (None, _) => format!("{name}: a head that does not stop empties its bottle."),
        });
        let brings: Vec<(Parameter, f64, f64)> = Parameter::ALL
            .iter()
            .filter_map(|parameter| match content(supply, *parameter, Dimension::Volume) {
                Known::Brings(content) => Some((*parameter, content.value, content.u)),
                _ => None,
            })
            .collect();
        if brings.is_empty() {
            untold = true;
            failure.follows.push(format!("What it raises is not known: `strength:` in supplies/{}.yaml.", supply.key));
        }
        for (parameter, each, each_u) in brings {
            let Some(course) = course(desk, parameter, (each, each_u), flow.map(|flow| flow.value.value), bottle)
            else {
                untold = true;
                failure.follows.push(format!(
                    "How soon {} is too high is not known: it wants a reading, a `limits:` for it, the water’s volume, and `flow: 3 L/h` in the pump’s sheet.",
                    parameter.shown().to_lowercase()
                ));
                continue;
            };
            failure.follows.extend(words(desk, parameter, &course));
            if let Some((worse, better)) = course.hours() {
                let assumed = !course.is_written;
                found.push(Harm { by: HarmBy::Chemistry, at_least: Some(worse), at_most: better, assumed });
            }
        }
    }
    failure.harm = super::first(found.into_iter().map(Some)).or(untold.then_some(unknown));
    failure.remains = "only what is in the bottle can run in: a week’s worth does less than a year’s".into();
    failure
}

/// The supplies that a pump doses by the plans that hold today.
fn doses<'a>(desk: &Desk<'a>, device: &Device) -> BTreeMap<&'a str, &'a Supply> {
    in_force(&desk.tank.upkeep.dosing, desk.record.as_of)
        .into_values()
        .filter(|plan| plan.by.as_ref().is_some_and(|by| by.value == device.key))
        .filter_map(|plan| desk.record.supplies.get(&plan.of.value))
        .map(|supply| (supply.key.as_str(), supply))
        .collect()
}

fn course(
    desk: &Desk,
    parameter: Parameter,
    (each, each_u): (f64, f64),
    litres_an_hour: Option<f64>,
    bottle_ml: Option<f64>,
) -> Option<Course> {
    let volume = desk.figure("water.net-volume")?;
    let state = desk.of.water.get(&parameter)?.series.latest()?;
    let written = desk.tank.limits.get(&parameter).map(|limit| limit.value.high).filter(|high| high.is_finite());
    let (limit, is_written) = written.map(|high| (high, true)).or_else(|| Some((usual_limit(parameter)?, false)))?;
    let of_volume = volume.uncertainty / volume.value;
    let relative = (each_u / each).hypot(of_volume);
    let an_hour = litres_an_hour? * 1000.0 * each / volume.value;
    let whole = bottle_ml.map(|bottle| bottle * each / volume.value);
    Some(Course {
        rate: (an_hour, an_hour * relative.hypot(FLOW_U)),
        now: (state.value, state.u),
        limit,
        is_written,
        whole: whole.map(|whole| (whole, whole * relative)),
    })
}

fn words(desk: &Desk, parameter: Parameter, course: &Course) -> Vec<String> {
    let unit = parameter.shift(desk.record.units);
    let shown = |value: f64| format!("{} {}", number(round_sig(unit.spread(value), 2)), unit.unit);
    let limit = format!("{} {}", number(round_sig(unit.value(course.limit), 3)), unit.unit);
    let name = parameter.shown();
    let whose = if course.is_written { "" } else { " (assumed: common practice, no source)" };
    let mut words = vec![format!("{name} rises by {} an hour; its limit is {limit}{whose}.", shown(course.rate.0))];
    if let Some((whole, _)) = course.whole {
        words.push(format!("The whole bottle would add {}.", shown(whole)));
    }
    if course.hours().is_none() {
        words.push(format!("Even so, {} stays below it.", name.to_lowercase()));
    }
    words
}
