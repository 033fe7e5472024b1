//! How long a battery carries the devices that are chosen for it, and what each device forgets in a power cut.

use super::energy::full_power;
use super::figure::Figures;
use super::graph::NodeId;
use super::inputs::{assumed_between, number, set, stated};
use crate::record::equipment::{Forgets, PowerUp};
use crate::record::{Device, Record, Role, Tank, YesNo, days_between};

/// A battery with what it runs.
#[derive(Clone, Debug)]
pub struct BatterySet {
    /// The battery, or the device that has one of its own.
    pub device: String,
    pub name: String,
    /// Devices it carries, by key.
    pub runs: Vec<String>,
    /// Key of its run time.
    pub figure: Option<String>,
}

/// The sets of a tank, and the figure `power.battery-hours` of the one that ends first.
pub fn work_out(record: &Record, tank: &Tank, figures: &mut Figures) -> Vec<BatterySet> {
    let key = "power.battery-hours";
    let label = "Hours that the battery carries what is chosen for it";
    let mut sets = Vec::new();
    let mut first: Option<(NodeId, String)> = None;
    for device in tank.devices_at(record.as_of) {
        let of_sheet = || record.spec_of(tank, device).and_then(|spec| spec.capacity.as_ref());
        let is_battery = device.role.value == Role::Battery;
        let Some(capacity) = device.capacity.as_ref().or_else(of_sheet) else {
            if is_battery {
                let key = format!("{key}.{}", device.key);
                figures.miss(&tank.key, &key, label, "`capacity: 300 Wh` of the battery, or in its spec sheet");
            }
            continue;
        };
        let runs: Vec<&Device> = if is_battery || !device.runs.is_empty() {
            device.runs.iter().filter_map(|name| tank.device(&name.value)).collect()
        } else {
            vec![device]
        };
        let mut set = BatterySet {
            device: device.key.clone(),
            name: device.name.value.clone(),
            runs: runs.iter().map(|device| device.key.clone()).collect(),
            figure: None,
        };
        let own_key = format!("{key}.{}", device.key);
        let own_label = format!("{}: hours it carries what is chosen for it", device.name.value);
        if runs.is_empty() {
            figures.miss(&tank.key, &own_key, &own_label, "`runs: [pump]`, the devices it is to carry");
            sets.push(set);
            continue;
        }
        let Some(load) = load(record, tank, &runs, figures) else {
            figures.miss(&tank.key, &own_key, &own_label, "`watts:` of each device that it runs");
            sets.push(set);
            continue;
        };
        let graph = &mut figures.graph;
        // What a maker prints is the energy of a new pack, warm and drained slowly.
        let held = stated(graph, "Energy of the battery", capacity.value.value * 1000.0, 0.0, "Wh", &capacity.place);
        let usable = assumed_between(
            graph,
            "Usable share of the battery",
            0.7,
            1.0,
            "1",
            "age, cold and a pack that stops before it is empty",
        );
        let mut inputs = vec![held, usable, load];
        let efficiency = if is_battery {
            let node =
                assumed_between(graph, "Efficiency of its inverter", 0.75, 0.95, "1", "from the pack to the socket");
            inputs.push(node);
            node
        } else {
            graph.exact(1.0)
        };
        let node = graph.compute(&own_label, "h", &[held, usable, efficiency, load], |x| {
            if x[3] > 0.0 { x[0] * x[1] * x[2] / x[3] } else { f64::NAN }
        });
        let value = |node: NodeId| number(graph.value(node));
        let numbers = format!("{} Wh × {} × {} ∕ {} W", value(held), value(usable), value(efficiency), value(load));
        figures
            .define(&tank.key, &own_key, &own_label)
            .method("t = W·usable·η ∕ P", numbers, &["common-practice"])
            .inputs(&inputs)
            .note("what comes back from a power cut at full level is counted at full level")
            .finish(node);
        set.figure = Some(own_key.clone());
        let shorter = |other: &(NodeId, String)| figures.graph.value(node) < figures.graph.value(other.0);
        if figures.graph.value(node).is_finite() && first.as_ref().is_none_or(shorter) {
            first = Some((node, own_key));
        }
        sets.push(set);
    }
    match first {
        Some((node, own_key)) => {
            let node = figures.graph.linear(label, "h", &[(node, 1.0)]);
            let built = figures.define(&tank.key, key, label).method("the set that ends first", String::new(), &[]);
            built.inputs(&[own_key]).finish(node);
        }
        None => figures.miss(
            &tank.key,
            key,
            label,
            "a device of `role: battery` with `capacity: 300 Wh` and `runs: [pump]`, or the capacity of a battery air pump",
        ),
    }
    sets
}

/// Watts of the set at the level at which each device comes back.
fn load(record: &Record, tank: &Tank, runs: &[&Device], figures: &mut Figures) -> Option<NodeId> {
    let mut parts = Vec::new();
    for device in runs {
        let full = full_power(record, tank, device, figures)?;
        let graph = &mut figures.graph;
        let settings = device.settings.at(record.as_of).map(|stretch| &stretch.value);
        let at_full = device.forgets.as_ref().is_some_and(|forgets| forgets.state_at_power_up == PowerUp::Full);
        let level = settings.and_then(|settings| settings.level.as_ref()).filter(|_| !at_full);
        parts.push(match level {
            Some(level) => {
                let level = set(graph, "Level", level.value, "1", &level.place);
                graph.compute(&device.name.value, "W", &[full, level], |x| x[0] * x[1])
            }
            None => full,
        });
    }
    Some(figures.graph.sum("Power of what the battery runs", "W", &parts))
}

/// What one device does when the power comes back.
#[derive(Clone, Debug)]
pub struct Forgetful {
    pub device: String,
    pub name: String,
    /// What it loses, in words; empty where it keeps everything.
    pub loses: Vec<&'static str>,
    /// What is not written about it.
    pub unknown: Vec<&'static str>,
    pub state: PowerUp,
    pub restarts: YesNo,
    /// What to press or set again.
    pub by_hand: Option<String>,
    /// Days since it was tried out.
    pub tested_days: Option<i32>,
    /// Whether anything is to be done after a cut.
    pub needs_care: bool,
}

/// Every device on mains, those that need care first.
pub fn forgetful(record: &Record, tank: &Tank) -> Vec<Forgetful> {
    let mut found: Vec<Forgetful> = tank
        .devices_at(record.as_of)
        .filter(|device| device.mains != YesNo::No && super::energy::needs_power(device.role.value))
        .map(|device| match &device.forgets {
            Some(forgets) => told(record, device, forgets),
            None => Forgetful {
                device: device.key.clone(),
                name: device.name.value.clone(),
                loses: Vec::new(),
                unknown: vec!["`forgets:` is not written"],
                state: PowerUp::Unknown,
                restarts: YesNo::Unknown,
                by_hand: None,
                tested_days: None,
                needs_care: true,
            },
        })
        .collect();
    found.sort_by_key(|device| (!device.needs_care, device.loses.is_empty(), device.device.clone()));
    found
}

fn told(record: &Record, device: &Device, forgets: &Forgets) -> Forgetful {
    let (mut loses, mut unknown) = (Vec::new(), Vec::new());
    for (answer, lost, open) in [
        (forgets.keeps_settings, "its settings", "whether it keeps its settings"),
        (forgets.keeps_clock, "its clock", "whether it keeps its clock"),
    ] {
        match answer {
            YesNo::No => loses.push(lost),
            // A device without a schedule has no clock to lose.
            YesNo::Unknown if open.contains("clock") && !runs_by_the_clock(record, device) => {}
            YesNo::Unknown => unknown.push(open),
            YesNo::Yes => {}
        }
    }
    if forgets.restarts_itself == YesNo::Unknown {
        unknown.push("whether it starts by itself");
    }
    let needs_care = !loses.is_empty()
        || forgets.restarts_itself == YesNo::No
        || forgets.needs_hand.is_some()
        || matches!(forgets.state_at_power_up, PowerUp::Full | PowerUp::Unknown)
        || (forgets.state_at_power_up == PowerUp::Off && forgets.restarts_itself != YesNo::Yes);
    Forgetful {
        device: device.key.clone(),
        name: device.name.value.clone(),
        loses,
        unknown,
        state: forgets.state_at_power_up,
        restarts: forgets.restarts_itself,
        by_hand: forgets.needs_hand.clone(),
        tested_days: forgets.tested_on.as_ref().map(|tested| days_between(tested.value, record.as_of)),
        needs_care,
    }
}

fn runs_by_the_clock(record: &Record, device: &Device) -> bool {
    use crate::record::equipment::Schedule;
    device
        .settings
        .at(record.as_of)
        .and_then(|stretch| stretch.value.schedule.as_ref())
        .is_some_and(|schedule| !matches!(schedule.value, Schedule::Always | Schedule::Off))
}
