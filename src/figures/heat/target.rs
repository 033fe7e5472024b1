//! The temperature that is held, the limits of harm, and the order of the thermostats.

use std::collections::BTreeMap;

use super::spread::end;
use crate::diagnostic::Place;
use crate::figures::graph::{Basis, Graph, NodeId};
use crate::figures::inputs::{assumed, measured, set};
use crate::figures::readings::Series;
use crate::record::{Device, Parameter, Record, Role, Tank};

/// Where harm begins where the record does not say, in °C (common practice, no source).
const COLD_LIMIT: f64 = 22.0;
const HOT_LIMIT: f64 = 30.0;

/// A limit with where it comes from.
#[derive(Clone, Debug)]
pub struct Limit {
    pub celsius: f64,
    pub basis: Basis,
}

pub fn limit_found(graph: &Graph, node: NodeId) -> Limit {
    Limit { celsius: graph.value(node), basis: graph.basis(node) }
}

/// What the heaters hold: the controller's setting, else a heater's, else its dial, else the last reading, else the middle
/// of the band.
pub fn target(record: &Record, tank: &Tank, series: &BTreeMap<Parameter, Series>, graph: &mut Graph) -> NodeId {
    let of = |role: Role| {
        tank.devices_at(record.as_of).filter(move |device| device.role.value == role).filter_map(|device| {
            let settings = &device.settings.at(record.as_of)?.value;
            settings.temperature.as_ref().or(settings.thermostat.as_ref())
        })
    };
    if let Some(temperature) = of(Role::Controller).next().or_else(|| of(Role::Heater).next()) {
        // A thermostat switches within a few tenths.
        return measured(graph, "Temperature set", temperature.value.value, 0.2, "°C", &temperature.place);
    }
    if let Some(last) = series.get(&Parameter::Temperature).and_then(Series::latest) {
        return measured(graph, "Temperature, last reading", last.value, last.u.max(0.5), "°C", &last.place);
    }
    match tank.bands.get(&Parameter::Temperature).and_then(|band| band.at(record.as_of)) {
        Some(band) if band.value.low.is_finite() && band.value.high.is_finite() => {
            let u = (band.value.high - band.value.low) / 12f64.sqrt();
            measured(graph, "Middle of the band", (band.value.low + band.value.high) / 2.0, u, "°C", &band.place)
        }
        _ => assumed(
            graph,
            "Temperature that is held",
            25.0,
            1.0,
            "°C",
            "no setting, reading or band of the temperature is recorded",
        ),
    }
}

/// The lower and the upper limit of harm.
pub fn limits(tank: &Tank, graph: &mut Graph) -> (NodeId, NodeId) {
    let written = tank.limits.get(&Parameter::Temperature);
    let why = "`limits: {temperature: 21 to 30 °C}` is not recorded";
    let low = match written.filter(|limit| limit.value.low.is_finite()) {
        Some(limit) => set(graph, "Lower limit", limit.value.low, "°C", &limit.place),
        None => end(graph, "Lower limit", COLD_LIMIT, "°C", why),
    };
    let high = match written.filter(|limit| limit.value.high.is_finite()) {
        Some(limit) => set(graph, "Upper limit", limit.value.high, "°C", &limit.place),
        None => end(graph, "Upper limit", HOT_LIMIT, "°C", why),
    };
    (low, high)
}

/// How the thermostats of one heater stand to each other.
#[derive(Clone, Debug, PartialEq)]
pub enum ThermostatOrder {
    /// The heater's own dial stands a little above the controller: it guards.
    Right,
    /// The dial stands below: it leads, and the controller never learns whether it works.
    DialLeads,
    /// The dial stands so far above that it guards nothing.
    DialTooHigh,
    /// No controller: the heater's own thermostat is alone.
    Alone,
    /// A controller leads; where the dial stands is not written.
    DialUnknown,
}

#[derive(Clone, Debug)]
pub struct ThermostatState {
    pub device: String,
    pub name: String,
    pub leads: Option<f64>,
    pub dial: Option<f64>,
    pub order: ThermostatOrder,
    pub place: Place,
}

/// The thermostats of all heaters in service.
#[derive(Clone, Debug, Default)]
pub struct Thermostats(pub Vec<ThermostatState>);

/// A dial this far above the controller is a guard; further, it is none, °C (common practice, no source: 1 to 1.5 above
/// is usual, and a stuck heater should not get past 30).
const DIAL_ABOVE: f64 = 3.0;

pub fn thermostats(record: &Record, tank: &Tank) -> Thermostats {
    let set = |device: &Device| {
        device.settings.at(record.as_of).map_or((None, None), |stretch| {
            let read = |located: &Option<crate::record::Located<crate::units::Quantity>>| {
                located.as_ref().map(|located| located.value.value)
            };
            (read(&stretch.value.temperature), read(&stretch.value.thermostat))
        })
    };
    let controller =
        tank.devices_at(record.as_of).filter(|device| device.role.value == Role::Controller).find_map(|device| {
            let (temperature, thermostat) = set(device);
            temperature.or(thermostat)
        });
    let states = tank
        .devices_at(record.as_of)
        .filter(|device| device.role.value == Role::Heater)
        .map(|heater| {
            let (temperature, dial) = set(heater);
            // A heater whose two settings are written is led by the first of them, whoever switches it.
            let leads = controller.or(if dial.is_some() { temperature } else { None });
            let order = match (leads, dial) {
                (Some(leads), Some(dial)) if dial < leads => ThermostatOrder::DialLeads,
                (Some(leads), Some(dial)) if dial - leads > DIAL_ABOVE => ThermostatOrder::DialTooHigh,
                (Some(_), Some(_)) => ThermostatOrder::Right,
                (Some(_), None) => ThermostatOrder::DialUnknown,
                (None, _) => ThermostatOrder::Alone,
            };
            ThermostatState {
                device: heater.key.clone(),
                name: heater.name.value.clone(),
                leads,
                dial: dial.or(temperature.filter(|_| leads.is_none())),
                order,
                place: heater.settings.at(record.as_of).map_or(&heater.place, |stretch| &stretch.place).clone(),
            }
        })
        .collect();
    Thermostats(states)
}
