//! Everything that changed, in the seven lanes that stand under every chart: what was set, dosed, fed, what arrived,
//! what was lost, and what work was done.

use jiff::civil::Date;

use crate::diagnostic::Place;
use crate::record::colony::EndKind;
use crate::record::entry::EventKind;
use crate::record::equipment::Settings;
use crate::record::{Device, Lane, Record, Role, Tank, YesNo};
use crate::units::{Dimension, System, show};

#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    pub date: Date,
    pub lane: Lane,
    pub text: String,
    pub place: Place,
}

/// Work that comes every few days is no change; only tasks at least this far apart are marked.
const RARE_DAYS: f64 = 45.0;

/// All changes of a tank, by date.
pub fn changes(record: &Record, tank: &Tank) -> Vec<Change> {
    let mut found: Vec<Change> = Vec::new();
    // What an entry tells in words of a change that the settings hold with its numbers would be told twice.
    let mut told: Vec<Change> = Vec::new();
    let mut add = |date: Date, lane: Lane, text: String, place: &Place| {
        found.push(Change { date, lane, text, place: place.clone() });
    };
    for device in tank.devices.values() {
        device_changes(device, record.units, &mut add);
    }
    for (lane, plans) in [(Lane::Food, &tank.upkeep.feeding), (Lane::Dose, &tank.upkeep.dosing)] {
        for plan in plans {
            let Some(since) = plan.since else { continue };
            let name = record.supplies.get(&plan.of.value).map_or(plan.of.value.as_str(), |supply| &supply.name.value);
            let amount = &plan.amount.value;
            let shown = if amount.dimension == Dimension::Volume {
                format!("{} mL", super::inputs::number(amount.value * 1000.0))
            } else {
                format!("{} g", super::inputs::number(amount.value))
            };
            let every = if plan.every_days == 1.0 {
                "a day".into()
            } else {
                format!("every {} days", super::inputs::number(plan.every_days))
            };
            add(since, lane, format!("{name}: {shown} {every}"), &plan.place);
        }
    }
    for colony in record.colonies.values() {
        let mut before: Option<&str> = None;
        for placement in &colony.placements {
            if placement.tank.value == tank.key && before != Some(tank.key.as_str()) {
                add(placement.since, Lane::Arrivals, colony.name.value.clone(), &placement.place);
            } else if placement.tank.value == tank.key {
                let place = placement.where_text.as_deref().unwrap_or("another place");
                add(
                    placement.since,
                    Lane::Arrivals,
                    format!("{} moved to {place}", colony.name.value),
                    &placement.place,
                );
            } else if before == Some(tank.key.as_str()) {
                add(placement.since, Lane::Losses, format!("{} moved out", colony.name.value), &placement.place);
            }
            before = Some(&placement.tank.value);
        }
        if let Some(ended) = &colony.ended
            && before == Some(tank.key.as_str())
        {
            let how = match ended.how {
                EndKind::Lost => "lost",
                EndKind::GivenAway => "given away",
                EndKind::Removed => "removed",
                EndKind::CutUp => "cut up",
            };
            add(ended.on, Lane::Losses, format!("{} {how}", colony.name.value), &ended.place);
        }
    }
    for entry in &tank.entries {
        for (lane, text) in &entry.changed {
            told.push(Change { date: entry.date(), lane: *lane, text: text.value.clone(), place: text.place.clone() });
        }
        if let Some(event) = &entry.event {
            let lane = match event.kind {
                EventKind::LampFault => Lane::Lamp,
                EventKind::PumpFault => Lane::Flow,
                EventKind::Death => Lane::Losses,
                _ => Lane::Work,
            };
            add(entry.date(), lane, event.what.value.clone(), &event.what.place);
        }
        for done in &entry.done {
            let Some(task) = tank.upkeep.tasks.get(&done.value) else {
                continue;
            };
            // To look, to rehearse and to photograph changes nothing.
            let touches = task.device.is_some() || task.hands_in_water == YesNo::Yes || task.lowers_water == YesNo::Yes;
            if task.every.value.days() >= RARE_DAYS && touches {
                let lane = if task.device.as_ref().is_some_and(|device| is_pump(tank, &device.value)) {
                    Lane::Flow
                } else {
                    Lane::Work
                };
                add(entry.date(), lane, task.what.clone(), &done.place);
            }
        }
    }
    told.retain(|word| !found.iter().any(|change| change.date == word.date && change.lane == word.lane));
    found.extend(told);
    found.retain(|change| change.date <= record.as_of);
    found.sort_by(|a, b| (a.date, a.lane, &a.text).cmp(&(b.date, b.lane, &b.text)));
    found.dedup_by(|a, b| a.date == b.date && a.lane == b.lane && a.text == b.text);
    found
}

fn is_pump(tank: &Tank, device: &str) -> bool {
    tank.device(device).is_some_and(|device| device.role.value.moves_water())
}

fn lane_of(role: Role) -> Lane {
    match role {
        Role::Lamp => Lane::Lamp,
        role if role.moves_water() => Lane::Flow,
        Role::DosingPump => Lane::Dose,
        _ => Lane::Work,
    }
}

fn device_changes(device: &Device, units: System, add: &mut impl FnMut(Date, Lane, String, &Place)) {
    let lane = lane_of(device.role.value);
    let name = &device.name.value;
    add(device.in_service.value, lane, format!("{name} in service"), &device.in_service.place);
    if let Some(end) = &device.out_of_service {
        add(end.value, lane, format!("{name} out of service"), &end.place);
    }
    let stretches: Vec<_> = device.settings.iter().collect();
    for pair in stretches.windows(2) {
        let Some(since) = pair[1].since else { continue };
        let text = difference(&pair[0].value, &pair[1].value, units);
        // How much a heater runs is no decision of the keeper's: it follows the room.
        if text.is_empty() {
            continue;
        }
        add(since, lane, format!("{name}: {text}"), &pair[1].place);
    }
}

/// What differs between two settings, in a few words.
fn difference(before: &Settings, after: &Settings, units: System) -> String {
    let mut parts = Vec::new();
    // A device without a level runs at full.
    let level = |settings: &Settings| settings.level.as_ref().map_or(1.0, |level| level.value);
    let percent = |level: f64| super::inputs::number(level * 100.0);
    if level(before) != level(after) {
        parts.push(format!("{} → {} %", percent(level(before)), percent(level(after))));
    }
    let hours =
        |settings: &Settings| super::energy::hours_at_full(settings.schedule.as_ref().map(|schedule| &schedule.value));
    if (hours(before) - hours(after)).abs() > 0.01 {
        parts.push(format!("{} → {} h", super::inputs::number(hours(before)), super::inputs::number(hours(after))));
    }
    for (read, dimension, decimals) in [
        (
            (|s: &Settings| s.height.as_ref().map(|q| q.value.value)) as fn(&Settings) -> Option<f64>,
            Dimension::Length,
            0,
        ),
        (|s: &Settings| s.temperature.as_ref().map(|q| q.value.value), Dimension::Temperature, 1),
        (|s: &Settings| s.thermostat.as_ref().map(|q| q.value.value), Dimension::Temperature, 1),
        (|s: &Settings| s.flow.as_ref().map(|q| q.value.value), Dimension::VolumeRate, 0),
    ] {
        if let (Some(old), Some(new)) = (read(before), read(after))
            && old != new
        {
            let old = show(old, dimension, None, units, decimals);
            // The unit is said once, after the new value.
            let number = old.split('\u{a0}').next().unwrap_or(&old);
            parts.push(format!("{number} → {}", show(new, dimension, None, units, decimals)));
        }
    }
    if before.mode != after.mode
        && let Some(mode) = &after.mode
    {
        parts.push(mode.clone());
    }
    parts.join(", ")
}
