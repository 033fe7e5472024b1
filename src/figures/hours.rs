//! Energy by the hour of the day and by purpose, and what it costs where the price changes with the hour.

use jiff::civil::Date;

use super::energy::{DeviceEnergy, Rate};
use super::figure::{Figures, InputName};
use super::graph::NodeId;
use super::inputs::{number, stated};
use crate::record::equipment::Schedule;
use crate::record::tank::Electricity;
use crate::record::{Device, Record, Role, Tank};
use crate::science::power::{DAYS_PER_YEAR, mean_by_hour};

/// What energy is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    Light,
    Heat,
    Flow,
    Filtration,
    Dosing,
    Control,
    Other,
}

impl Purpose {
    pub const ALL: [Purpose; 7] = [
        Purpose::Light,
        Purpose::Heat,
        Purpose::Flow,
        Purpose::Filtration,
        Purpose::Dosing,
        Purpose::Control,
        Purpose::Other,
    ];

    pub fn of(role: Role) -> Purpose {
        match role {
            Role::Lamp => Purpose::Light,
            Role::Heater | Role::Chiller | Role::Fan => Purpose::Heat,
            Role::CirculationPump | Role::ReturnPump | Role::AirPump => Purpose::Flow,
            Role::Skimmer | Role::UvSteriliser | Role::OzoneGenerator => Purpose::Filtration,
            Role::DosingPump | Role::TopOff | Role::Co2Cylinder => Purpose::Dosing,
            Role::Controller | Role::Thermometer | Role::Probe | Role::LeakAlarm | Role::Camera => Purpose::Control,
            _ => Purpose::Other,
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Purpose::Light => "light",
            Purpose::Heat => "heating and cooling",
            Purpose::Flow => "flow and air",
            Purpose::Filtration => "filtration",
            Purpose::Dosing => "dosing and top-off",
            Purpose::Control => "control and watching",
            Purpose::Other => "other",
        }
    }
}

/// How a device's energy of a day falls on its hours, kWh; the hours add up to the day. Devices that switch themselves
/// (heaters, top-off) are spread evenly over their scheduled time.
pub fn by_hour(device: &Device, date: Date, watts: f64, day: f64) -> [f64; 24] {
    let settings = device.settings.at(date).map(|stretch| &stretch.value);
    let course = settings
        .and_then(|settings| settings.schedule.as_ref())
        .map_or_else(|| Schedule::Always.course(), |schedule| schedule.value.course());
    let shares = mean_by_hour(&course).unwrap_or([1.0; 24]);
    let level = settings.and_then(|settings| settings.level.as_ref()).map_or(1.0, |level| level.value);
    let standby = device.standby.as_ref().map_or(0.0, |standby| standby.value.value);
    // The duty is in the day's energy already: what the schedule leaves is divided by its shares.
    let on: f64 = shares.iter().sum();
    if on <= 0.0 || watts * level <= standby {
        return [day / 24.0; 24];
    }
    let duty = (day * 1000.0 - standby * 24.0) / (on * (watts * level - standby));
    shares.map(|share| (share * duty * watts * level + standby * (1.0 - share * duty)) / 1000.0)
}

/// What a kilowatt-hour costs in one hour of the day, as weights of the tariff and of each off-peak price.
fn weights(electricity: &Electricity, hour: u8) -> Vec<f64> {
    let mut rest = 1.0;
    let mut weights = vec![0.0];
    for stretch in &electricity.off_peak {
        // Stretches that overlap count once, the first of them.
        let share = stretch.share_of_hour(hour).min(rest);
        rest -= share;
        weights.push(share);
    }
    weights[0] = rest;
    weights
}

/// What a day's energy of one device costs at the prices of that day, with their currency. `None` without a tariff.
pub fn price_of(electricity: &Electricity, hours: &[f64; 24]) -> Option<(f64, String)> {
    let tariff = electricity.tariff.as_ref()?;
    let mut prices = vec![tariff.value.value];
    prices.extend(electricity.off_peak.iter().map(|stretch| stretch.price.value.value));
    let mut cost = 0.0;
    for (hour, energy) in hours.iter().enumerate() {
        cost += weights(electricity, hour as u8).iter().zip(&prices).map(|(w, price)| w * price * energy).sum::<f64>();
    }
    Some((cost, tariff.value.currency.clone().unwrap_or_default()))
}

/// Adds the energy of a day by purpose.
pub fn by_purpose(tank: &Tank, devices: &[DeviceEnergy], figures: &mut Figures) -> Vec<(Purpose, String)> {
    let mut found = Vec::new();
    for purpose in Purpose::ALL {
        let keys: Vec<&String> =
            devices.iter().filter(|device| device.purpose == purpose).map(|device| &device.figure).collect();
        let nodes: Vec<NodeId> =
            keys.iter().filter_map(|key| figures.get(&tank.key, key)).map(|figure| figure.node).collect();
        if nodes.is_empty() {
            continue;
        }
        let label = format!("Energy a day for {}", purpose.words());
        let key = format!("power.purpose.{}", purpose.words().replace(' ', "-"));
        let node = figures.graph.sum(&label, "kWh", &nodes);
        let numbers = nodes.iter().map(|node| number(figures.graph.value(*node))).collect::<Vec<_>>().join(" + ");
        figures
            .define(&tank.key, &key, &label)
            .method("E = Σ E(device)", format!("E = {numbers} kWh"), &[])
            .inputs(&keys)
            .finish(node);
        found.push((purpose, key));
    }
    found
}

/// Adds energy and cost of a day, a month and a year, and each device's price. Gives what each price is paid for.
pub fn cost(
    record: &Record,
    tank: &Tank,
    devices: &mut [DeviceEnergy],
    energy: NodeId,
    figures: &mut Figures,
) -> Vec<Rate> {
    totals(tank, energy, figures);
    let stretch = tank.electricity.at(record.as_of);
    let Some((electricity, tariff)) =
        stretch.and_then(|stretch| Some((&stretch.value, stretch.value.tariff.as_ref()?)))
    else {
        for (key, label) in COSTS {
            figures.miss(&tank.key, key, label, "`electricity: 230 V, 0.24 EUR/kWh` in tank.yaml");
        }
        return Vec::new();
    };
    let currency = tariff.value.currency.clone().unwrap_or_default();
    let unit = format!("{currency}/kWh");
    let graph = &mut figures.graph;
    let mut prices = vec![stated(graph, "Tariff", tariff.value.value, 0.0, &unit, &tariff.place)];
    for stretch in &electricity.off_peak {
        let label = format!("Price from {} to {}", stretch.from.strftime("%H:%M"), stretch.to.strftime("%H:%M"));
        prices.push(stated(graph, &label, stretch.price.value.value, 0.0, &unit, &stretch.price.place));
    }
    let mut rates = vec![Rate {
        hours: if electricity.off_peak.is_empty() { "all hours".into() } else { "all other hours".into() },
        energy: 0.0,
        price: tariff.value.value,
        currency: currency.clone(),
    }];
    rates.extend(electricity.off_peak.iter().map(|stretch| Rate {
        hours: format!("{} to {}", stretch.from.strftime("%H:%M"), stretch.to.strftime("%H:%M")),
        energy: 0.0,
        price: stretch.price.value.value,
        currency: currency.clone(),
    }));
    let mut costs = Vec::new();
    for device in devices.iter_mut() {
        let Some(of_day) = figures.get(&tank.key, &device.figure).map(|figure| (figure.node, figure.value)) else {
            continue;
        };
        // The price of this device's mean kilowatt-hour: by the hours in which it runs.
        let mut terms: Vec<(NodeId, f64)> = prices.iter().map(|price| (*price, 0.0)).collect();
        for (hour, energy) in device.hours.iter().enumerate() {
            let part = if of_day.1 > 0.0 { energy / of_day.1 } else { 1.0 / 24.0 };
            for (term, weight) in terms.iter_mut().zip(weights(electricity, hour as u8)) {
                term.1 += weight * part;
            }
            for (rate, weight) in rates.iter_mut().zip(weights(electricity, hour as u8)) {
                rate.energy += weight * energy;
            }
        }
        let graph = &mut figures.graph;
        let price = graph.linear("Mean price", &unit, &terms);
        let cost = graph.compute("Cost a day", &currency, &[of_day.0, price], |x| x[0] * x[1]);
        device.price = Some(graph.value(price));
        costs.push(cost);
    }
    let day = figures.graph.sum("Cost a day", &currency, &costs);
    let total = figures.graph.value(energy);
    let mean = number(figures.graph.value(day) / total.max(1e-12));
    for ((key, label), (days, words)) in
        COSTS.into_iter().zip([(1.0, ""), (super::energy::MONTH, " × 30.44"), (DAYS_PER_YEAR, " × 365.25")])
    {
        let node = figures.graph.linear(label, &currency, &[(day, days)]);
        let numbers = format!("{} kWh × {mean} {unit}{words}", number(total));
        let mut built = figures
            .define(&tank.key, key, label)
            .method("cost = Σ E(hour) · price(hour) · days", numbers, &[])
            .inputs(&[InputName::from("power.energy-per-day")])
            .inputs(&prices)
            .decimals(2);
        if prices.len() > 1 {
            built = built.note("devices that switch themselves are spread evenly over their scheduled time");
        }
        built.finish(node);
    }
    rates
}

const COSTS: [(&str, &str); 3] = [
    ("power.cost-per-day", "Cost a day"),
    ("power.cost-per-month", "Cost a month"),
    ("power.cost-per-year", "Cost a year"),
];

fn totals(tank: &Tank, energy: NodeId, figures: &mut Figures) {
    for (key, label, days, words) in [
        ("power.energy-per-month", "Energy a month", super::energy::MONTH, "30.44"),
        ("power.energy-per-year", "Energy a year", DAYS_PER_YEAR, "365.25"),
    ] {
        let node = figures.graph.linear(label, "kWh", &[(energy, days)]);
        let numbers = format!("E = {} kWh × {words}", number(figures.graph.value(energy)));
        figures
            .define(&tank.key, key, label)
            .method("E = E(day) · days", numbers, &[])
            .inputs(&["power.energy-per-day"])
            .note("as everything is set today; a heater that nobody timed as the mean of its year, a fan as it is set now")
            .finish(node);
    }
}
