//! What hangs on each strip, protective device and circuit, beside what it is rated for.

use std::collections::{BTreeMap, BTreeSet};

use super::energy::full_power;
use super::figure::Figures;
use super::graph::NodeId;
use super::inputs::number;
use crate::diagnostic::Place;
use crate::record::{Device, Record, Role, Tank};
use crate::science::power::CONTINUOUS_FACTOR_NFPA_70;
use crate::units::{Dimension, Quantity};

/// What kind of outlet it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OutletKind {
    Strip,
    /// Everything that one protective device guards.
    Protection,
    /// Everything of this tank, on the circuit whose rating is written.
    Supply,
}

/// One strip, protective device or circuit.
#[derive(Clone, Debug)]
pub struct Outlet {
    pub kind: OutletKind,
    /// Key of the device, or `supply`.
    pub key: String,
    pub name: String,
    /// Devices on it, through other strips too, by key.
    pub devices: Vec<String>,
    /// Key of the figure of its load; None where no watts are known.
    pub figure: Option<String>,
    /// W, as the rating comes to at the written voltage.
    pub limit: Option<f64>,
    /// The part of it that may be loaded for hours on end.
    pub continuous: Option<f64>,
    pub rating: Option<Quantity>,
    /// Devices that draw power with no watts written.
    pub unknown: Vec<String>,
    pub place: Option<Place>,
}

/// How the code of a country treats loads of three hours and more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum ContinuousRule {
    /// NEC 210.20(A): four fifths of the rating. The Canadian code has the like (from memory).
    FourFifths,
    /// IEC 60364 and BS 7671 know no such factor.
    None,
    /// The country is not written: both are said.
    #[default]
    Unknown,
}

impl ContinuousRule {
    pub fn of(tank: &Tank) -> ContinuousRule {
        match tank.country.as_ref().map(|country| country.value.trim().to_uppercase()) {
            Some(country) if matches!(country.as_str(), "US" | "USA" | "CA") => ContinuousRule::FourFifths,
            Some(_) => ContinuousRule::None,
            None => ContinuousRule::Unknown,
        }
    }

    /// The share of a rating for loads that run for hours. Where the country is not known the stricter is no reason to
    /// warn, and is said beside it.
    pub fn share(self) -> f64 {
        if self == ContinuousRule::FourFifths { CONTINUOUS_FACTOR_NFPA_70 } else { 1.0 }
    }
}

pub fn work_out(record: &Record, tank: &Tank, figures: &mut Figures) -> Vec<Outlet> {
    let devices: Vec<&Device> = tank.devices_at(record.as_of).collect();
    let electricity = tank.electricity.at(record.as_of).map(|stretch| &stretch.value);
    let volts = electricity.and_then(|electricity| electricity.voltage.as_ref()).map(|volts| volts.value.value);
    let plugged = groups(&devices, |device| device.plugged.as_ref().map(|name| name.value.as_str()));
    let rule = ContinuousRule::of(tank);
    let mut outlets = Vec::new();
    for strip in devices.iter().filter(|device| device.role.value == Role::PowerStrip) {
        let on_it = everything_on(&strip.key, &plugged);
        let key = format!("power.strip.{}", strip.key);
        outlets.push(outlet(record, tank, (OutletKind::Strip, Some(strip), &key), &on_it, volts, rule, figures));
    }
    let guarded = groups(&devices, |device| device.protection.as_ref().map(|name| name.value.as_str()));
    for protection in devices.iter().filter(|device| device.role.value == Role::GroundFaultProtection) {
        let mut on_it = everything_on(&protection.key, &guarded);
        // What is plugged into a guarded strip is guarded with it.
        for strip in on_it.clone().iter().filter(|device| device.role.value == Role::PowerStrip) {
            for device in everything_on(&strip.key, &plugged) {
                if !on_it.iter().any(|other| other.key == device.key) {
                    on_it.push(device);
                }
            }
        }
        let key = format!("power.circuit.{}", protection.key);
        let named = (OutletKind::Protection, Some(protection), key.as_str());
        outlets.push(outlet(record, tank, named, &on_it, volts, rule, figures));
    }
    if !devices.is_empty() {
        let named = (OutletKind::Supply, None, "power.circuit.supply");
        let mut supply = outlet(record, tank, named, &devices, volts, rule, figures);
        if let Some(rating) = electricity.and_then(|electricity| electricity.circuit_rating.as_ref()) {
            supply.place = Some(rating.place.clone());
            rate(&mut supply, &rating.value, volts, rule);
        }
        outlets.push(supply);
    }
    outlets
}

fn outlet(
    record: &Record,
    tank: &Tank,
    (kind, of, key): (OutletKind, Option<&&Device>, &str),
    on_it: &[&Device],
    volts: Option<f64>,
    rule: ContinuousRule,
    figures: &mut Figures,
) -> Outlet {
    let mut outlet = Outlet {
        kind,
        key: of.map_or("supply".into(), |device| device.key.clone()),
        name: of.map_or("All of the tank".into(), |device| device.name.value.clone()),
        devices: on_it.iter().map(|device| device.key.clone()).collect(),
        figure: None,
        limit: None,
        continuous: None,
        rating: None,
        unknown: Vec::new(),
        place: of.map(|device| device.place.clone()),
    };
    outlet.devices.sort();
    if let Some(device) = of {
        let of_sheet = || record.spec_of(tank, device).and_then(|spec| spec.rating.as_ref());
        if let Some(rating) = device.rating.as_ref().or_else(of_sheet) {
            rate(&mut outlet, &rating.value, volts, rule);
        }
    }
    let mut known: Vec<NodeId> = Vec::new();
    for device in on_it {
        match full_power(record, tank, device, figures) {
            Some(watts) => known.push(watts),
            None if super::energy::needs_power(device.role.value) => outlet.unknown.push(device.name.value.clone()),
            None => {}
        }
    }
    if known.is_empty() {
        return outlet;
    }
    let label = format!("{}: load with everything on", outlet.name);
    let node = figures.graph.sum(&label, "W", &known);
    let numbers = known.iter().map(|node| number(figures.graph.value(*node))).collect::<Vec<_>>().join(" + ");
    let mut built = figures
        .define(&tank.key, key, &label)
        .method("P = Σ P(device at full level)", format!("P = {numbers} W"), &["nfpa_70", "iec_60364"])
        .inputs(&known)
        .note("as if everything drew its full power at once; inrush and power factor are not in it")
        .note("arithmetic, and no leave to load it: the local code and a licensed electrician decide");
    if !outlet.unknown.is_empty() {
        built = built.note(format!("with no watts written and not counted: {}", outlet.unknown.join(", ")));
    }
    built.finish(node);
    outlet.figure = Some(key.to_string());
    outlet
}

fn rate(outlet: &mut Outlet, rating: &Quantity, volts: Option<f64>, rule: ContinuousRule) {
    outlet.rating = Some(rating.clone());
    outlet.limit = match rating.dimension {
        Dimension::Power => Some(rating.value),
        _ => volts.map(|volts| rating.value * volts),
    };
    outlet.continuous = outlet.limit.map(|limit| limit * rule.share());
}

/// Devices by what they hang on.
pub fn groups<'a>(
    devices: &[&'a Device],
    on: impl Fn(&'a Device) -> Option<&'a str>,
) -> BTreeMap<&'a str, Vec<&'a Device>> {
    let mut groups: BTreeMap<&str, Vec<&Device>> = BTreeMap::new();
    for device in devices {
        if let Some(name) = on(device) {
            groups.entry(name).or_default().push(device);
        }
    }
    groups
}

/// All that hangs on an outlet, through other strips too.
pub fn everything_on<'a>(name: &str, groups: &BTreeMap<&str, Vec<&'a Device>>) -> Vec<&'a Device> {
    let mut seen = BTreeSet::from([name.to_string()]);
    let mut waiting = vec![name.to_string()];
    let mut all = Vec::new();
    while let Some(next) = waiting.pop() {
        for device in groups.get(next.as_str()).into_iter().flatten() {
            if seen.insert(device.key.clone()) {
                all.push(*device);
                waiting.push(device.key.clone());
            }
        }
    }
    all
}
