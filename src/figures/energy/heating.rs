//! Energy of heaters of which nobody wrote how long they run: the balance of heat tells it.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::{Drawn, device_on, full_power, hours_at_full, needs_power, waits_for_heat, written_power};
use crate::figures::figure::{Figures, InputName};
use crate::figures::graph::NodeId;
use crate::figures::heat::season::{KEY, Season};
use crate::figures::inputs::number;
use crate::record::{Device, Record, Role, Tank};

/// Heat that all heaters together give, W, with its standard uncertainty.
#[derive(Clone, Debug)]
pub struct Heating {
    pub year: (f64, f64),
    /// Needed in each month; below nothing where none is.
    pub by_month: Option<[(f64, f64); 12]>,
    /// Standard deviation over the year where the months are not told apart.
    pub spread: f64,
}

impl Heating {
    pub fn of(season: &Season, figures: &Figures) -> Heating {
        let graph = &figures.graph;
        let year = (graph.value(season.node), graph.uncertainty(season.node));
        Heating { year, by_month: season.by_month, spread: season.spread }
    }

    /// In the month of a day, or in the mean of the year.
    fn on(&self, date: Date) -> (f64, f64) {
        match &self.by_month {
            // Far below nothing it is nothing for certain.
            Some(months) => match months[date.month() as usize - 1] {
                (needed, u) if needed < -2.0 * u => (0.0, 0.0),
                (needed, u) => (needed.max(0.0), u),
            },
            None => self.year,
        }
    }

    /// kWh of one heater on a day, and its standard uncertainty: its part, by power, of what those give that the record does
    /// not time.
    pub(super) fn of_heater(&self, record: &Record, tank: &Tank, device: &Device, date: Date) -> (f64, f64) {
        let heaters: Vec<&Device> = tank.devices_at(date).filter(|other| other.role.value == Role::Heater).collect();
        let (timed, untimed): (Vec<&Device>, Vec<&Device>) =
            heaters.into_iter().partition(|other| !waits_for_heat(other, date));
        let timed: f64 = timed
            .iter()
            .filter_map(|other| device_on(record, tank, other, date, None))
            .map(|(energy, ..)| energy * 1000.0 / 24.0)
            .sum();
        let capacity = |device: &Device| {
            written_power(record, tank, device).map_or(0.0, |(watts, _)| watts.value.value * share_on(device, date))
        };
        let all: f64 = untimed.iter().map(|other| capacity(other)).sum();
        let (own, (needed, u)) = (capacity(device), self.on(date));
        if all <= 0.0 {
            return (0.0, 0.0);
        }
        (((needed - timed).max(0.0) * own / all).min(own) * 24.0 / 1000.0, u * own / all * 24.0 / 1000.0)
    }
}

/// Share of the day, at its level, that its settings leave it to run.
fn share_on(device: &Device, date: Date) -> f64 {
    let settings = device.settings.at(date).map(|stretch| &stretch.value);
    let level = settings.and_then(|settings| settings.level.as_ref()).map_or(1.0, |level| level.value);
    let hours = hours_at_full(settings.and_then(|s| s.schedule.as_ref()).map(|schedule| &schedule.value));
    level * hours / 24.0
}

/// Adds the energy of a day of each such heater, as a mean over the year.
pub(super) fn by_balance(
    record: &Record,
    tank: &Tank,
    running: &BTreeMap<String, Drawn>,
    season: &Season,
    figures: &mut Figures,
) -> Vec<(String, Drawn)> {
    let as_of = record.as_of;
    let heaters = || tank.devices_at(as_of).filter(|device| device.role.value == Role::Heater);
    let timed: Vec<(String, NodeId)> =
        heaters().filter_map(|device| running.get(&device.key)).map(|(key, node, _)| (key.clone(), *node)).collect();
    let untimed: Vec<&Device> = heaters().filter(|device| waits_for_heat(device, as_of)).collect();
    let mut capacities: Vec<(&Device, NodeId)> = Vec::new();
    for device in untimed {
        match full_power(record, tank, device, figures) {
            Some(full) => {
                let capacity = figures.graph.linear("Heater as it is set", "W", &[(full, share_on(device, as_of))]);
                capacities.push((device, capacity));
            }
            None if needs_power(device.role.value) => {
                let label = format!("{}: energy a day", device.name.value);
                let key = format!("power.{}.energy-per-day", device.key);
                figures.miss(&tank.key, &key, &label, "`watts:` (measured) or a spec sheet with `power:`");
            }
            None => {}
        }
    }
    let all: Vec<NodeId> = capacities.iter().map(|(_, node)| *node).collect();
    let mut found = Vec::new();
    for (device, own) in &capacities {
        let key = format!("power.{}.energy-per-day", device.key);
        let label = format!("{}: energy a day", device.name.value);
        let mut inputs = vec![season.node, *own];
        inputs.extend(&all);
        inputs.extend(timed.iter().map(|(_, node)| *node));
        let count = all.len();
        let node = figures.graph.compute(&label, "kWh", &inputs, move |x| {
            let (capacity, timed) = (x[2..2 + count].iter().sum::<f64>(), x[2 + count..].iter().sum::<f64>());
            let share = if capacity > 0.0 { x[1] / capacity } else { 0.0 };
            ((x[0] - timed * 1000.0 / 24.0).max(0.0) * share).min(x[1]) * 24.0 / 1000.0
        });
        let value = |node: NodeId| figures.graph.value(node);
        let by_others: f64 = timed.iter().map(|(_, node)| value(*node) * 1000.0 / 24.0).sum();
        let needed = match timed.is_empty() {
            true => format!("{} W", number(value(season.node))),
            false => format!("({} W − {} W)", number(value(season.node)), number(by_others)),
        };
        let capacity: f64 = all.iter().map(|node| value(*node)).sum();
        let part = match count {
            1 => String::new(),
            _ => format!(" × {} W ∕ {} W", number(value(*own)), number(capacity)),
        };
        let numbers = format!("E = {needed}{part} × 24 h ∕ 1000 = {} kWh", number(value(node)));
        let (_, is_measured) = written_power(record, tank, device).expect("its power is known");
        figures
            .define(&tank.key, &key, &label)
            .method("E = P(heaters, mean over the year) · its part of their power · 24 h ∕ 1000", numbers, &[])
            .inputs(&[InputName::from(KEY)])
            .inputs(&timed.iter().map(|(key, _)| InputName::from(key)).collect::<Vec<_>>())
            .inputs(&[*own])
            .note("a mean over the year from the balance of heat; its running time, as `duty:` in its settings, would be surer")
            .finish(node);
        found.push((device.key.clone(), (key, node, !is_measured)));
    }
    found
}
