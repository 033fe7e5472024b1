//! Heat: the balance of the water with its room, and what follows when a part of it fails.
//!
//! Three sides are worked out of the same inputs: what is likely, with its uncertainty; and a bound on the warm and one
//! on the cold side, with every assumed input at the end that is worse there. What is printed as a bound is that bound.

pub mod balance;
pub mod bounds;
mod chiller;
mod evaporation;
pub mod fan;
mod flows;
mod gains;
mod headline;
pub mod model;
pub mod room;
pub mod season;
pub mod spread;
mod surfaces;
mod target;
mod topup;

use std::collections::BTreeMap;

pub use chiller::ChillerState;
pub use evaporation::EvaporationMonth;
pub use flows::Flow;
pub use target::{Limit, ThermostatOrder, Thermostats};
pub use topup::HARMLESS_FALL;

use super::figure::{Figures, InputName};
use super::graph::NodeId;
use super::readings::Series;
use super::{Basis, budget::Budget};
use crate::record::{Parameter, Record, Role, Tank};
use crate::science::tank_heat::SEAWATER_WH_PER_L_K;
use balance::{Balance, Balances};
use gains::{Gain, Heater};
use model::Losses;
use room::{Room, RoomRecord};
use spread::{Side, Spread};

/// What was found of a tank's heat besides its figures.
#[derive(Clone, Debug, Default)]
pub struct HeatFindings {
    /// Gains and losses at the working point; they add up to nothing.
    pub gains: Vec<Flow>,
    pub losses: Vec<Flow>,
    /// °C of the water at which the flows were taken.
    pub working_temperature: Option<f64>,
    /// Whether the water is warmer than it is set, so that no heater runs.
    pub over_target: bool,
    /// Temperature that the heaters hold, and how it is known.
    pub target: Option<(f64, Basis)>,
    pub cold_limit: Option<Limit>,
    pub hot_limit: Option<Limit>,
    pub evaporation: Vec<EvaporationMonth>,
    /// What the logged top-offs say beside the prediction, in sentences.
    pub evaporation_words: Vec<String>,
    pub thermostats: Thermostats,
    /// The balance on each side, for every bound in hours. None where it could not be worked out.
    pub balances: Option<Balances>,
    /// What the heaters give over the year. None without a balance or without heaters.
    pub season: Option<season::Season>,
    /// Whether a fan is recorded.
    pub has_fan: bool,
    /// What the chillers hold, °C, and whether that is less than a degree above what the heaters hold.
    pub chiller: Option<ChillerState>,
}

/// What the parts of this room share while figures are defined.
struct Bench<'a> {
    record: &'a Record,
    tank: &'a Tank,
    series: &'a BTreeMap<Parameter, Series>,
    room: Room,
    sides: BTreeMap<Side, Losses>,
    gains: Vec<Gain>,
    heaters: Vec<Heater>,
    chillers: Vec<chiller::Chiller>,
    /// °C.
    target: NodeId,
    cold_limit: NodeId,
    hot_limit: NodeId,
    /// What a degree holds: the water alone, Wh/K.
    store: NodeId,
    still: NodeId,
    /// Air speed over the surface while a fan runs.
    fan_speed: Spread,
    /// What a figure defines: shown as an input by its key.
    named: BTreeMap<NodeId, &'static str>,
}

/// The keys of the figures that need the whole balance, with their labels.
const NEEDS_BALANCE: [(&str, &str); 8] = [
    ("heat.loss", "Heat lost a degree"),
    ("heat.heater-needed", "Heater power needed on the coldest day"),
    ("heat.heater-duty", "Share of the time the heaters run"),
    ("heat.stuck-heater-temperature", "Temperature if the heaters stick on, at most"),
    ("heat.power-cut-hours", "Hours until the lower limit with no power, at least"),
    ("heat.hottest-day", "Temperature on the hottest day"),
    ("heat.hottest-day-fan", "Temperature on the hottest day with a fan"),
    ("heat.evaporation", "Evaporation a day, predicted"),
];

pub fn work_out(
    record: &Record,
    tank: &Tank,
    volume: Option<NodeId>,
    series: &BTreeMap<Parameter, Series>,
    budget: &Budget,
    figures: &mut Figures,
) -> HeatFindings {
    let mut found = HeatFindings { thermostats: target::thermostats(record, tank), ..HeatFindings::default() };
    found.has_fan = tank.devices_at(record.as_of).any(|device| device.role.value == Role::Fan);
    let mut bench = match bench(record, tank, volume, series, figures) {
        Ok(bench) => bench,
        Err(lacking) => {
            for (key, label) in NEEDS_BALANCE {
                figures.miss(&tank.key, key, label, lacking);
            }
            topup::work_out(record, tank, volume, series, figures);
            return found;
        }
    };
    found.target = Some((figures.graph.value(bench.target), figures.graph.basis(bench.target)));
    found.chiller = chiller::state(&bench, figures);
    found.cold_limit = Some(target::limit_found(&figures.graph, bench.cold_limit));
    found.hot_limit = Some(target::limit_found(&figures.graph, bench.hot_limit));
    evaporation::work_out(&mut bench, budget, figures, &mut found);
    let balances = balances(&bench, figures);
    headline::work_out(&bench, &balances, figures);
    flows::work_out(&bench, figures, &mut found);
    found.balances = Some(balances);
    found.season = season::work_out(&bench, figures);
    topup::work_out(record, tank, volume, series, figures);
    found
}

/// Gathers the inputs, or says what to record.
fn bench<'a>(
    record: &'a Record,
    tank: &'a Tank,
    volume: Option<NodeId>,
    series: &'a BTreeMap<Parameter, Series>,
    figures: &mut Figures,
) -> Result<Bench<'a>, &'static str> {
    let Some(inputs) = surfaces::SurfaceInputs::of(tank, &mut figures.graph) else {
        return Err("`size: 60 x 40 x 40 cm` in tank.yaml");
    };
    let Some(room) = RoomRecord::new(record, tank, series).room(&mut figures.graph) else {
        return Err("`room: 18 to 27 °C` in tank.yaml, from the coldest to the hottest day");
    };
    let Some(volume) = volume else {
        return Err("`water: 75 L, counted at fill` in tank.yaml");
    };
    let (gains, heaters) = gains::of(record, tank, figures);
    let graph = &mut figures.graph;
    let activity = Spread::between(
        graph,
        "Evaporation, of what the handbook’s formula gives",
        0.5,
        1.0,
        "1",
        "the handbook’s activity factor: 0.5 for still indoor pools, 1 for stirred ones",
    );
    let sides = Side::ALL
        .into_iter()
        .map(|side| (side, Losses { surfaces: inputs.on(side, graph), activity: activity.on(side, true) }))
        .collect();
    let fan_speed = Spread::between(
        graph,
        "Air speed over the surface while the fan runs",
        0.2,
        1.5,
        "m/s",
        "a small fan over part of the surface",
    );
    let target = target::target(record, tank, series, graph);
    let chillers = chiller::of(record, tank, target, figures);
    let graph = &mut figures.graph;
    let (cold_limit, hot_limit) = target::limits(tank, graph);
    // Heat capacity of seawater by volume: 3993 J/(kg K) and 1.023 kg/L at 35 ppt and 25 °C.
    let store = graph.linear("Heat that a degree holds", "Wh/K", &[(volume, SEAWATER_WH_PER_L_K)]);
    let still = graph.exact(0.0);
    Ok(Bench {
        record,
        tank,
        series,
        room,
        sides,
        gains,
        heaters,
        chillers,
        target,
        cold_limit,
        hot_limit,
        store,
        still,
        fan_speed,
        named: BTreeMap::new(),
    })
}

impl Bench<'_> {
    /// Watts that reach the water from pumps and lamps, as means over the day; without lamps, as at night.
    fn gain(&self, side: Side, with_lamps: bool, figures: &mut Figures) -> NodeId {
        let graph = &mut figures.graph;
        let parts: Vec<NodeId> = self
            .gains
            .iter()
            .filter(|gain| with_lamps || gain.role != Role::Lamp)
            .map(|gain| gain.heat(side, graph))
            .collect();
        graph.sum("Heat of pumps and lamps", "W", &parts)
    }

    /// Inputs as a reader meets them: a figure by its key, else the roots.
    fn as_named(&self, inputs: &[NodeId]) -> Vec<InputName> {
        inputs
            .iter()
            .map(|node| self.named.get(node).map_or(InputName::Node(*node), |key| InputName::from(*key)))
            .collect()
    }

    fn heating(&self, figures: &mut Figures) -> NodeId {
        let watts: Vec<NodeId> = self.heaters.iter().map(|heater| heater.watts).collect();
        figures.graph.sum("All heaters", "W", &watts)
    }
}

fn balances(bench: &Bench, figures: &mut Figures) -> Balances {
    let graph = &mut figures.graph;
    let heaters: Vec<(String, NodeId)> =
        bench.heaters.iter().map(|heater| (heater.device.clone(), heater.watts)).collect();
    let sides = Side::ALL.into_iter().map(|side| {
        let room = &bench.room;
        let (cold_room, hot_room) = match side {
            Side::Likely => (room.now, room.now),
            Side::Warm => (room.now, room.hottest_damp),
            Side::Cold => (room.coldest, room.now),
        };
        let chillers = bench.chillers.iter();
        let balance = Balance {
            losses: bench.sides[&side],
            cold_room,
            hot_room,
            gains: bench.gains.iter().map(|gain| (gain.device.clone(), gain.heat(side, graph))).collect(),
            heaters: heaters.clone(),
            chillers: chillers.map(|chiller| (chiller.device.clone(), chiller.cooling.on(side, true))).collect(),
        };
        (side, balance)
    });
    Balances {
        sides: sides.collect(),
        still: bench.still,
        store: bench.store,
        target: bench.target,
        cold_limit: bench.cold_limit,
        hot_limit: bench.hot_limit,
        named: bench.named.clone(),
    }
}
