//! Energy by device and day, cost by month, and what the meter says of it.

mod heating;
mod meter;

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::figure::Figures;
use super::graph::NodeId;
use super::heat::season::Season;
use super::hours::{self, Purpose};
use super::inputs::{assumed_between, measured, number, set, stated};
use crate::record::equipment::Schedule;
use crate::record::{Device, Located, Record, Role, Tank, days_between};
use crate::science::light::hours_at_full_level;
use crate::units::Quantity;
pub use heating::Heating;
pub use meter::{METERED_COST_MONTH, METERED_COST_YEAR};

/// One device's share.
#[derive(Clone, Debug)]
pub struct DeviceEnergy {
    pub device: String,
    /// Key of its figure.
    pub figure: String,
    pub watts_stated_only: bool,
    pub purpose: Purpose,
    /// kWh in each hour of the day; they add up to the day's figure.
    pub hours: [f64; 24],
    /// Of its mean kilowatt-hour, in the currency of the tariff.
    pub price: Option<f64>,
}

/// Metered against worked out between two meter readings.
#[derive(Clone, Debug)]
pub struct MeterSpan {
    pub from: Date,
    pub to: Date,
    /// kWh a day.
    pub metered: f64,
    pub computed: f64,
    pub computed_u: f64,
}

/// What is known of the tank's electricity.
#[derive(Clone, Debug, Default)]
pub struct Power {
    pub devices: Vec<DeviceEnergy>,
    pub spans: Vec<MeterSpan>,
    /// What the balance of heat says of the heaters.
    pub heating: Option<Heating>,
    /// Purpose to the key of its figure, in the order of [`Purpose::ALL`].
    pub purposes: Vec<(Purpose, String)>,
    /// What each price of the day is paid for.
    pub rates: Vec<Rate>,
}

/// Energy of a day at one price.
#[derive(Clone, Debug)]
pub struct Rate {
    /// `22:00 to 08:00`, or `all other hours`.
    pub hours: String,
    /// kWh a day.
    pub energy: f64,
    /// Per kWh.
    pub price: f64,
    pub currency: String,
}

/// Days in a month, on average over the Gregorian calendar.
pub const MONTH: f64 = 30.436875;

/// What is known of each device's energy before the balance of heat, which needs it: all but heaters of which nobody
/// wrote how long they run.
pub struct Running(BTreeMap<String, Drawn>);

/// A device's figure: its key, its node, and whether its watts are only stated.
type Drawn = (String, NodeId, bool);

pub fn of_devices(record: &Record, tank: &Tank, figures: &mut Figures) -> Running {
    let devices = tank.devices_at(record.as_of).filter(|device| !waits_for_heat(device, record.as_of));
    Running(
        devices
            .filter_map(|device| Some((device.key.clone(), device_energy(record, tank, device, figures)?)))
            .collect(),
    )
}

/// Whether only the balance of heat can tell how long it runs.
fn waits_for_heat(device: &Device, on: Date) -> bool {
    device.role.value == Role::Heater && device.settings.at(on).is_none_or(|stretch| stretch.value.duty.is_none())
}

/// Whether some heater's running time was not written at some time, so that only the balance of heat tells it.
pub fn asks_for_heat(tank: &Tank) -> bool {
    let mut heaters = tank.devices.values().filter(|device| device.role.value == Role::Heater);
    heaters.any(|heater| {
        let mut settings = heater.settings.iter();
        waits_for_heat(heater, heater.in_service.value) || settings.any(|stretch| stretch.value.duty.is_none())
    })
}

pub fn work_out(
    record: &Record,
    tank: &Tank,
    Running(mut running): Running,
    season: Option<&Season>,
    figures: &mut Figures,
) -> Power {
    let mut power = Power { heating: season.map(|season| Heating::of(season, figures)), ..Power::default() };
    match season {
        Some(season) => running.extend(heating::by_balance(record, tank, &running, season, figures)),
        None => {
            let heaters = tank.devices_at(record.as_of).filter(|device| waits_for_heat(device, record.as_of));
            running.extend(
                heaters.filter_map(|device| Some((device.key.clone(), device_energy(record, tank, device, figures)?))),
            );
        }
    }
    let mut nodes = Vec::new();
    let mut keys = Vec::new();
    for device in tank.devices_at(record.as_of) {
        let Some((key, node, stated_only)) = running.remove(&device.key) else {
            continue;
        };
        nodes.push(node);
        keys.push(key.clone());
        let watts = full_power(record, tank, device, figures).map_or(0.0, |node| figures.graph.value(node));
        power.devices.push(DeviceEnergy {
            device: device.key.clone(),
            figure: key,
            watts_stated_only: stated_only,
            purpose: Purpose::of(device.role.value),
            hours: hours::by_hour(device, record.as_of, watts, figures.graph.value(node)),
            price: None,
        });
    }
    if nodes.is_empty() {
        figures.miss(
            &tank.key,
            "power.energy-per-day",
            "Energy a day",
            "a device with `watts:` or a spec sheet with `power:`",
        );
        return power;
    }
    let label = "Energy a day";
    let total = figures.graph.sum(label, "kWh", &nodes);
    let numbers = nodes.iter().map(|node| number(figures.graph.value(*node))).collect::<Vec<_>>().join(" + ");
    let total = figures
        .define(&tank.key, "power.energy-per-day", label)
        .method("E = Σ E(device)", format!("E = {numbers} kWh"), &[])
        .inputs(&keys)
        .finish(total);
    power.purposes = hours::by_purpose(tank, &power.devices, figures);
    power.rates = hours::cost(record, tank, &mut power.devices, total, figures);
    power.spans = meter::spans(record, tank, power.heating.as_ref());
    meter::work_out(record, tank, &power.spans, figures);
    power
}

/// kWh a day of one device as set today.
fn device_energy(record: &Record, tank: &Tank, device: &Device, figures: &mut Figures) -> Option<Drawn> {
    let key = format!("power.{}.energy-per-day", device.key);
    let label = format!("{}: energy a day", device.name.value);
    let Some(full) = full_power(record, tank, device, figures) else {
        if needs_power(device.role.value) {
            figures.miss(&tank.key, &key, &label, "`watts:` (measured) or a spec sheet with `power:`");
        }
        return None;
    };
    let stated_only = device.watts.is_none();
    let graph = &mut figures.graph;
    let standby = device
        .standby
        .as_ref()
        .map(|standby| measured(graph, "Standby", standby.value.value, 0.3, "W", &standby.place));
    let setting = device.settings.at(record.as_of);
    let settings = setting.map(|stretch| &stretch.value);
    let mut inputs = vec![full];
    let level = settings.and_then(|settings| settings.level.as_ref());
    let level_node = match level {
        Some(level) => {
            let node = set(graph, "Level", level.value, "1", &level.place);
            inputs.push(node);
            node
        }
        None => graph.exact(1.0),
    };
    let schedule = settings.and_then(|settings| settings.schedule.as_ref());
    let hours = hours_at_full(schedule.map(|schedule| &schedule.value));
    let hours_node = match schedule {
        Some(schedule) => {
            let node = set(graph, "Hours a day at the set level, ramps counted by area", hours, "h", &schedule.place);
            inputs.push(node);
            node
        }
        None => graph.exact(24.0),
    };
    let duty_node = match settings.and_then(|settings| settings.duty.as_ref()) {
        Some(duty) => {
            let node = measured(graph, "Duty", duty.value, 0.1 * duty.value, "1", &duty.place);
            inputs.push(node);
            node
        }
        None if duty_unknown(device.role.value, schedule.map(|schedule| &schedule.value)) => {
            let (low, high) = usual_duty(device.role.value);
            let node = assumed_between(
                graph,
                "Duty",
                low,
                high,
                "1",
                "how much of the time it runs is not recorded (`duty:` in its settings)",
            );
            inputs.push(node);
            node
        }
        None => graph.exact(1.0),
    };
    let standby_node = match standby {
        Some(node) => {
            inputs.push(node);
            node
        }
        None => graph.exact(0.0),
    };
    let node = graph.compute(&label, "kWh", &[full, level_node, hours_node, duty_node, standby_node], |x| {
        (x[0] * x[1] * x[2] * x[3] + x[4] * (24.0 - x[2] * x[3]).max(0.0)) / 1000.0
    });
    let value = |node: NodeId| number(graph.value(node));
    let mut numbers = format!(
        "E = {} W × {} × {} h × {} ∕ 1000",
        value(full),
        value(level_node),
        value(hours_node),
        value(duty_node)
    );
    let mut formula = "E = P · level · hours · duty ∕ 1000".to_string();
    if standby.is_some() {
        formula.push_str(" + standby");
        numbers.push_str(&format!(" + {} W standby", value(standby_node)));
    }
    let mut built =
        figures.define(&tank.key, &key, &label).method(formula, numbers, &["common-practice"]).inputs(&inputs);
    if level.is_some_and(|level| level.value < 1.0) {
        built =
            built.note("power is taken to follow the level in proportion; a plug-in meter at this level would tell");
    }
    Some((key, built.finish(node), stated_only))
}

/// Watts as the keeper measured them, else as the sheet states them, and which of the two. What the sheet of a battery
/// or a strip states is what it gives, not what it draws.
pub fn written_power<'a>(
    record: &'a Record,
    tank: &'a Tank,
    device: &'a Device,
) -> Option<(&'a Located<Quantity>, bool)> {
    let gives = matches!(device.role.value, Role::Battery | Role::PowerStrip | Role::GroundFaultProtection);
    let stated = || record.spec_of(tank, device).filter(|_| !gives).and_then(|spec| spec.power.as_ref());
    device.watts.as_ref().map(|watts| (watts, true)).or_else(|| stated().map(|power| (power, false)))
}

/// What a device draws at full level: as the keeper measured it, else as its maker states it. The same root each time it
/// is asked for, so that what rests on it is correlated as it should be.
pub fn full_power(record: &Record, tank: &Tank, device: &Device, figures: &mut Figures) -> Option<NodeId> {
    let (written, is_measured) = written_power(record, tank, device)?;
    let graph = &mut figures.graph;
    let label = format!("{}: power at full level{}", device.name.value, if is_measured { "" } else { ", as stated" });
    let known = graph.roots().find(|(_, root)| root.label == label && root.places.contains(&written.place));
    if let Some((node, _)) = known {
        return Some(node);
    }
    let value = written.value.value;
    Some(if is_measured {
        // A plug-in meter: 2 % and half a watt (common practice, no source).
        let u = written.value.uncertainty.unwrap_or(0.02 * value + 0.3);
        measured(graph, &label, value, u, "W", &written.place)
    } else {
        // A maker's figure is within about a tenth of what the plug draws (common practice, no source).
        let u = written.value.uncertainty.unwrap_or(0.1 * value);
        stated(graph, &label, value, u, "W", &written.place)
    })
}

pub fn needs_power(role: Role) -> bool {
    !matches!(
        role,
        Role::PowerStrip
            | Role::GroundFaultProtection
            | Role::Thermometer
            | Role::Probe
            | Role::Battery
            | Role::LeakAlarm
            | Role::Other
            | Role::Camera
            | Role::Co2Cylinder
    )
}

/// Limits of the share of its hours that a device runs: one value where the keeper recorded it, the usual limits where a
/// device switches itself and nothing is recorded, none where it runs whenever its schedule says so.
pub fn duty_limits(role: Role, schedule: Option<&Schedule>, recorded: Option<f64>) -> Option<(f64, f64)> {
    recorded.map(|duty| (duty, duty)).or_else(|| duty_unknown(role, schedule).then(|| usual_duty(role)))
}

/// Whether it switches itself within its hours. A fan that has a schedule runs by it; so does a dosing pump whose hours
/// are written, while one that is always on waits for its doses.
fn duty_unknown(role: Role, schedule: Option<&Schedule>) -> bool {
    match role {
        Role::Heater | Role::Chiller | Role::TopOff => true,
        Role::Fan => schedule.is_none(),
        Role::DosingPump => schedule.is_none_or(|schedule| *schedule == Schedule::Always),
        _ => false,
    }
}

/// Limits of the share of time that such a device runs (common practice, no source).
fn usual_duty(role: Role) -> (f64, f64) {
    match role {
        Role::Heater => (0.10, 0.60),
        Role::TopOff | Role::DosingPump => (0.0, 0.02),
        _ => (0.0, 0.5),
    }
}

/// Hours at the set level that carry the same energy as the day's course with its ramps.
pub fn hours_at_full(schedule: Option<&Schedule>) -> f64 {
    let Some(schedule) = schedule else {
        return 24.0;
    };
    hours_at_full_level(&schedule.course()).map_or(24.0, |hours| hours.as_hours())
}

/// kWh of one device on one day as it was set then, its standard uncertainty, and its full power in watts.
pub(super) fn device_on(
    record: &Record,
    tank: &Tank,
    device: &Device,
    date: Date,
    heating: Option<&Heating>,
) -> Option<(f64, f64, f64)> {
    let (written, is_measured) = written_power(record, tank, device)?;
    let (watts, relative) = (written.value.value, if is_measured { 0.03 } else { 0.10 });
    let settings = device.settings.at(date).map(|stretch| &stretch.value);
    let level = settings.and_then(|settings| settings.level.as_ref()).map_or(1.0, |level| level.value);
    let schedule = settings.and_then(|settings| settings.schedule.as_ref()).map(|schedule| &schedule.value);
    let hours = hours_at_full(schedule);
    if let Some(heating) = heating.filter(|_| waits_for_heat(device, date)) {
        let (energy, u) = heating.of_heater(record, tank, device, date);
        return Some((energy, u, watts));
    }
    let (duty, duty_u) = match settings.and_then(|settings| settings.duty.as_ref()) {
        Some(duty) => (duty.value, 0.1 * duty.value),
        None if duty_unknown(device.role.value, schedule) => {
            let (low, high) = usual_duty(device.role.value);
            ((low + high) / 2.0, (high - low) / 12f64.sqrt())
        }
        None => (1.0, 0.0),
    };
    let full = watts * level * hours * duty / 1000.0;
    let standby =
        device.standby.as_ref().map_or(0.0, |standby| standby.value.value * (24.0 - hours * duty).max(0.0) / 1000.0);
    Some((full + standby, (full * relative).hypot(watts * level * hours * duty_u / 1000.0), watts))
}

/// Stretches of days on which nothing was set anew, so that each day of one is like its first.
pub(super) fn stretches(tank: &Tank, from: Date, to: Date) -> Vec<(Date, i32)> {
    let mut starts: Vec<Date> = vec![from];
    for device in tank.devices.values() {
        starts.push(device.in_service.value);
        starts.extend(device.out_of_service.as_ref().map(|end| end.value));
        starts.extend(device.settings.iter().filter_map(|stretch| stretch.since));
    }
    starts.extend(tank.electricity.iter().filter_map(|stretch| stretch.since));
    starts.retain(|start| *start >= from && *start <= to);
    starts.sort();
    starts.dedup();
    let ends = starts.iter().skip(1).copied().chain([to.saturating_add(1.days())]);
    starts.iter().zip(ends).map(|(start, end)| (*start, days_between(*start, end))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::time;

    #[test]
    fn hours_count_ramps_by_area() {
        let schedule = Schedule::Span { from: time(10, 0, 0, 0), to: time(20, 0, 0, 0), ramp: 1.0 };
        assert!((hours_at_full(Some(&schedule)) - 9.0).abs() < 1e-12);
        assert_eq!(hours_at_full(None), 24.0);
        assert_eq!(hours_at_full(Some(&Schedule::Off)), 0.0);
    }
}
