//! What a chiller takes out of the water, and where it leads on the hottest day.

use super::Bench;
use super::headline::{HOT_METHOD, SOURCES, with_numbers};
use super::model::settles_chilled;
use super::spread::{Side, Spread};
use crate::diagnostic::Place;
use crate::figures::figure::Figures;
use crate::figures::graph::NodeId;
use crate::figures::inputs::{assumed_between, number, set, stated};
use crate::record::{Record, Role, Tank};

/// A chiller with what it takes at full.
#[derive(Clone, Debug)]
pub struct Chiller {
    pub device: String,
    pub name: String,
    /// Watts out of the water.
    pub cooling: Spread,
    /// °C.
    pub holds: NodeId,
    /// Where its temperature is written.
    written: Option<Place>,
    /// Roots, as a reader meets them.
    inputs: Vec<NodeId>,
}

/// How a chiller stands to the heaters.
#[derive(Clone, Debug, PartialEq)]
pub struct ChillerState {
    pub name: String,
    /// °C.
    pub holds: f64,
    /// Whether it is less than [`DEAD_BAND`] above what the heaters hold: both may run at once.
    pub fights: bool,
    pub place: Place,
}

/// A chiller should begin so many degrees above what the heaters hold (common practice, no source).
pub const DEAD_BAND: f64 = 1.0;

/// Heat a chiller moves for each watt it draws (common practice, no source: small ones, water to warm air).
const MOVED_PER_WATT: (f64, f64) = (1.0, 3.0);

/// Chillers in service whose power is known in one way or the other.
pub fn of(record: &Record, tank: &Tank, target: NodeId, figures: &mut Figures) -> Vec<Chiller> {
    let mut chillers = Vec::new();
    for device in tank.devices_at(record.as_of).filter(|device| device.role.value == Role::Chiller) {
        let name = device.name.value.clone();
        let printed = record.spec_of(tank, device).and_then(|spec| spec.cooling.as_ref());
        let draws = crate::figures::energy::full_power(record, tank, device, figures);
        let graph = &mut figures.graph;
        let (base, (low, high), why) = match (printed, draws) {
            (Some(cooling), _) => (
                stated(graph, &format!("{name}: cooling as stated"), cooling.value.value, 0.0, "W", &cooling.place),
                (0.6, 1.0),
                "a maker’s cooling is of cool air and a clean coil; in a hot room less is left",
            ),
            (None, Some(draws)) => (
                draws,
                MOVED_PER_WATT,
                "`cooling: 250 W` is not in its spec sheet: small chillers move one to three watts of heat for each that they draw",
            ),
            (None, None) => {
                let key = format!("heat.hottest-day-chiller.{}", device.key);
                let label = format!("Temperature on the hottest day with {name}");
                figures.miss(&tank.key, &key, &label, "`cooling: 250 W` in the chiller’s spec sheet, or its `watts:`");
                continue;
            }
        };
        let share = assumed_between(graph, &format!("{name}: heat moved"), low, high, "1", why);
        let base_value = graph.value(base);
        let label = format!("{name}: heat it takes from the water");
        let likely = graph.compute(&label, "W", &[base, share], |x| x[0] * x[1]);
        let cooling = Spread {
            likely,
            low: super::spread::end(graph, &format!("{label}, least"), low * base_value, "W", why),
            high: super::spread::end(graph, &format!("{label}, most"), high * base_value, "W", why),
        };
        let setting = device.settings.at(record.as_of).map(|stretch| &stretch.value);
        let written = setting.and_then(|settings| settings.temperature.as_ref().or(settings.thermostat.as_ref()));
        let holds = match written {
            Some(temperature) => {
                set(graph, &format!("{name}: holds"), temperature.value.value, "°C", &temperature.place)
            }
            None => {
                let above = assumed_between(
                    graph,
                    &format!("{name}: begins above the temperature that is held"),
                    0.5,
                    2.0,
                    "°C",
                    "its `temperature:` is not in its settings",
                );
                graph.sum(&format!("{name}: holds"), "°C", &[target, above])
            }
        };
        let written = written.map(|temperature| temperature.place.clone());
        chillers.push(Chiller { device: device.key.clone(), name, cooling, holds, written, inputs: vec![base, share] });
    }
    chillers
}

/// The chiller that holds the lowest temperature, beside the heaters.
pub fn state(bench: &Bench, figures: &Figures) -> Option<ChillerState> {
    let graph = &figures.graph;
    let target = graph.value(bench.target);
    let lowest = bench.chillers.iter().min_by(|a, b| graph.value(a.holds).total_cmp(&graph.value(b.holds)))?;
    let holds = graph.value(lowest.holds);
    let fights = !bench.heaters.is_empty() && lowest.written.is_some() && holds - target < DEAD_BAND - 1e-9;
    let place = lowest.written.clone().unwrap_or_else(|| bench.tank.place.clone());
    Some(ChillerState { name: lowest.name.clone(), holds, fights, place })
}

impl Bench<'_> {
    /// Watts that all chillers take on a side, and the lowest temperature that one of them holds, but never below what
    /// the heaters hold: there they would work against each other without end.
    pub(super) fn chilled(&self, side: Side, figures: &mut Figures) -> Option<(NodeId, NodeId)> {
        if self.chillers.is_empty() {
            return None;
        }
        let graph = &mut figures.graph;
        let watts: Vec<NodeId> = self.chillers.iter().map(|chiller| chiller.cooling.on(side, true)).collect();
        let watts = graph.sum("Heat that the chillers take at most", "W", &watts);
        let mut temperatures: Vec<NodeId> = self.chillers.iter().map(|chiller| chiller.holds).collect();
        temperatures.push(self.target);
        let holds = graph.compute("Temperature that the chillers hold", "°C", &temperatures, |x| {
            let (target, holds) = (x[x.len() - 1], &x[..x.len() - 1]);
            holds.iter().copied().fold(f64::INFINITY, f64::min).max(target)
        });
        Some((watts, holds))
    }
}

/// The hottest day with the chillers, where there are any.
pub fn hottest_day(bench: &Bench, figures: &mut Figures) {
    let Some((cooling, holds)) = bench.chilled(Side::Likely, figures) else { return };
    let gain = bench.gain(Side::Likely, true, figures);
    let inputs = bench.inputs(Side::Likely, bench.still, bench.room.hottest, &[gain, bench.target, cooling, holds]);
    let label = "Temperature on the hottest day with the chiller";
    let node = figures.graph.compute(label, "°C", &inputs, |x| settles_chilled(x, x[6], x[8], x[9]).max(x[7]));
    let value = |node: NodeId| number(figures.graph.value(node));
    let numbers = format!(
        "{}, {} W given, up to {} W taken, held at {} °C → {} °C",
        with_numbers(figures, &inputs),
        value(gain),
        value(cooling),
        value(holds),
        value(node)
    );
    let roots: Vec<NodeId> = bench.chillers.iter().flat_map(|chiller| chiller.inputs.clone()).collect();
    figures
        .define(&bench.tank.key, "heat.hottest-day-chiller", label)
        .method(format!("{HOT_METHOD}, less what the chiller takes"), numbers, &SOURCES)
        .inputs(&bench.as_named(&inputs[..8]))
        .inputs(&roots)
        .note("without a fan; where the chiller is too weak the water rises above what it holds")
        .note("a chiller in the same room warms it by all that it takes and draws: its warm air should leave the room")
        .finish(node);
}
