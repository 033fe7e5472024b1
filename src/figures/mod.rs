//! The record becomes figures, using science: values with provenance and uncertainty.

use std::collections::{BTreeMap, BTreeSet};

pub mod around;
pub mod battery;
pub mod budget;
pub mod changes;
pub mod drift;
pub mod energy;
pub mod failures;
pub mod figure;
pub mod flow;
pub mod graph;
pub mod growth;
pub mod heat;
pub mod hours;
pub mod inflow;
mod inputs;
pub mod json;
pub mod light;
pub mod load;
pub mod montecarlo;
pub mod outlook;
pub mod ratios;
pub mod readings;
pub mod ripening;
pub mod stay;
pub mod upkeep;
pub mod uptake;
pub mod volume;
pub mod water;
pub mod year;

pub use changes::Change;
pub use figure::{Figure, Figures, Input};
pub use graph::{Basis, NodeId};
pub use inputs::number;

use crate::record::{Parameter, Record};

/// All that was worked out from a record.
#[derive(Debug, Default)]
pub struct Findings {
    pub figures: Figures,
    /// By key of the tank.
    pub tanks: BTreeMap<String, TankFindings>,
}

/// What was worked out of one tank besides its figures: series and lists that pages draw.
#[derive(Debug, Default)]
pub struct TankFindings {
    pub water: BTreeMap<Parameter, water::WaterState>,
    pub uptake: BTreeMap<Parameter, uptake::Uptake>,
    pub outlook: BTreeMap<Parameter, outlook::Outlook>,
    pub ripening: Option<ripening::Ripening>,
    pub drifts: drift::Drifts,
    pub pumps: Vec<flow::PumpFlow>,
    pub movement: flow::Movement,
    pub power: energy::Power,
    pub light: Vec<light::ColonyLight>,
    pub lighting: light::Lighting,
    pub budget: budget::Budget,
    pub heat: heat::HeatFindings,
    /// Strips, protective devices and the circuit, with what hangs on them.
    pub load: Vec<load::Outlet>,
    pub batteries: Vec<battery::BatterySet>,
    /// What each device does when the power comes back.
    pub forgets: Vec<battery::Forgetful>,
    /// What kills the tank first.
    pub failures: Vec<failures::Failure>,
    pub tasks: Vec<upkeep::TaskState>,
    pub changes: Vec<Change>,
    /// What can be summed up over any stretch of days, to tell what was unusual in one.
    pub history: around::History,
}

/// The figures that are shown of an earlier day: without forecasts, failures, growth, and what was unusual.
pub fn work_out_then(record: &Record, tanks: &BTreeSet<String>) -> Findings {
    let mut findings = Findings::default();
    for tank in record.tanks.values().filter(|tank| tanks.contains(&tank.key)) {
        let figures = &mut findings.figures;
        let volume = volume::work_out(record, tank, figures);
        let (light, lighting) = light::work_out(record, tank, figures);
        let (pumps, movement) = flow::work_out(record, tank, volume, figures);
        let series = readings::series(record, tank);
        let running = energy::of_devices(record, tank, figures);
        let budget = budget::work_out(record, tank, volume, figures);
        // The balance of heat is long, and of an earlier day only the power of the heaters is asked from it and kept.
        let season = match energy::asks_for_heat(tank) {
            true => heat::work_out(record, tank, volume, &series, &budget, figures).season,
            false => None,
        };
        let power = energy::work_out(record, tank, running, season.as_ref(), figures);
        let water = water::work_out(record, tank, series, figures);
        let uptake = uptake::work_out(record, tank, volume, &water, figures);
        let tasks = upkeep::work_out(record, tank, figures);
        let of_tank = TankFindings {
            water,
            uptake,
            pumps,
            movement,
            power,
            light,
            lighting,
            budget,
            tasks,
            ..TankFindings::default()
        };
        findings.tanks.insert(tank.key.clone(), of_tank);
    }
    findings
}

/// Works out everything the record allows as of its date.
pub fn work_out(record: &Record) -> Findings {
    let mut findings = Findings::default();
    for tank in record.tanks.values() {
        let figures = &mut findings.figures;
        let volume = volume::work_out(record, tank, figures);
        let (light, lighting) = light::work_out(record, tank, figures);
        let (pumps, movement) = flow::work_out(record, tank, volume, figures);
        let series = readings::series(record, tank);
        // Heat needs to know what pumps and lamps draw, and the power of the heaters what heat they give.
        let running = energy::of_devices(record, tank, figures);
        let budget = budget::work_out(record, tank, volume, figures);
        let heat = heat::work_out(record, tank, volume, &series, &budget, figures);
        let power = energy::work_out(record, tank, running, heat.season.as_ref(), figures);
        let water = water::work_out(record, tank, series, figures);
        let uptake = uptake::work_out(record, tank, volume, &water, figures);
        ratios::work_out(record, tank, &uptake, figures);
        let mut of_tank = TankFindings {
            ripening: ripening::work_out(tank, &water, figures),
            drifts: drift::work_out(record, tank, volume, &water, figures),
            outlook: outlook::work_out(record, tank, &water, &uptake, figures),
            uptake,
            water,
            pumps,
            movement,
            power,
            heat,
            light,
            lighting,
            load: load::work_out(record, tank, figures),
            batteries: battery::work_out(record, tank, figures),
            forgets: battery::forgetful(record, tank),
            failures: Vec::new(),
            budget,
            tasks: upkeep::work_out(record, tank, figures),
            changes: changes::changes(record, tank),
            history: around::History::default(),
        };
        of_tank.history = around::History::of(record, &of_tank, tank);
        of_tank.failures = failures::work_out(record, tank, &of_tank, figures);
        findings.tanks.insert(tank.key.clone(), of_tank);
    }
    growth::work_out(record, &mut findings.figures);
    findings
}
