//! A strip, a protective device or the whole supply that goes: everything on it stops at once.

use std::collections::BTreeSet;

use super::{Desk, Failure, Harm, HarmBy, Mode, first};
use crate::figures::load::OutletKind;
use crate::figures::number;
use crate::record::{Device, Role};

pub fn failures(desk: &Desk) -> Vec<Failure> {
    let mut failures: Vec<Failure> = desk
        .of
        .load
        .iter()
        .filter_map(|outlet| {
            let dead: BTreeSet<String> = outlet.devices.iter().cloned().collect();
            if dead.is_empty() {
                return None;
            }
            let (key, mode) = match outlet.kind {
                OutletKind::Strip => (format!("{}.lost", outlet.key), Mode::Lost),
                OutletKind::Protection => (format!("{}.tripped", outlet.key), Mode::Tripped),
                OutletKind::Supply => return None,
            };
            let device = Some(outlet.key.clone());
            Some(gone(desk, (key, mode), outlet.name.clone(), device, &dead))
        })
        .collect();
    let all: BTreeSet<String> = desk.devices().map(|device| device.key.clone()).collect();
    if !all.is_empty() {
        let named = ("supply.lost".to_string(), Mode::Lost);
        failures.push(gone(desk, named, "Power of the whole house".into(), None, &all));
    }
    failures
}

fn gone(
    desk: &Desk,
    (key, mode): (String, Mode),
    what: String,
    device: Option<String>,
    dead: &BTreeSet<String>,
) -> Failure {
    // What a battery carries goes on for a while; it is said, and not counted as safe.
    let is_dead = |key: &str| dead.contains(key);
    let stops = |device: &&Device| {
        is_dead(&device.key) && !desk.is_off(device) && crate::figures::energy::needs_power(device.role.value)
    };
    let mut failure = Failure {
        key,
        device,
        what,
        mode,
        follows: Vec::new(),
        harm: first([desk.oxygen(&is_dead), desk.cold(&is_dead)]),
        remains: String::new(),
        catches: Vec::new(),
    };
    let names = desk.names(desk.devices().filter(stops));
    if !names.is_empty() {
        failure.follows.push(format!("These stop at once: {names}."));
    }
    if let Some(cold) = desk.cold(&is_dead)
        && failure.harm.is_some_and(|harm| harm.by == HarmBy::Oxygen)
    {
        failure.follows.push(format!("The water reaches its lower limit after {}.", hours(&cold)));
    }
    let mut remains = Vec::new();
    let left = desk.names(
        desk.devices()
            .filter(|device| !is_dead(&device.key) && (desk.moves_water(device) || device.role.value == Role::Heater)),
    );
    if !left.is_empty() {
        remains.push(left);
    }
    for set in &desk.of.batteries {
        let Some(hours) = set.figure.as_ref().and_then(|key| desk.figure(key)) else {
            continue;
        };
        let carried = set.runs.iter().filter_map(|key| desk.tank.device(key));
        let words = format!(
            "{} on {} for about {} h",
            desk.names(carried),
            if set.runs == [set.device.clone()] { "its own battery" } else { set.name.as_str() },
            number((hours.value).round())
        );
        remains.push(words);
    }
    failure.remains = remains.join("; ");
    failure.catches.extend(
        desk.devices()
            .filter(|device| device.role.value == Role::AirPump && is_waiting(desk, device))
            .map(|device| format!("{}, which starts by itself", device.name.value)),
    );
    // An alarm that loses its own power says nothing.
    let alarm_lives = desk.devices().any(|device| device.role.value == Role::Controller && !is_dead(&device.key));
    failure.catches.extend(failure.harm.filter(|_| alarm_lives).and_then(|harm| desk.alarm_words(harm.by)));
    failure
}

/// An air pump with a battery of its own that starts when the power goes.
fn is_waiting(desk: &Desk, device: &Device) -> bool {
    desk.of.batteries.iter().any(|set| set.device == device.key)
        && device.forgets.as_ref().is_none_or(|forgets| forgets.restarts_itself != crate::record::YesNo::No)
}

fn hours(harm: &Harm) -> String {
    let low = number((harm.at_least.unwrap_or(0.0) * 10.0).floor() / 10.0);
    match harm.at_most {
        Some(high) => format!("{low} to {} h", number(high.ceil())),
        None => format!("{low} h or more"),
    }
}
