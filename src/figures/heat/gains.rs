//! Where the watts go: what of each device's power warms the water.

use super::spread::{Side, Spread};
use crate::figures::figure::Figures;
use crate::figures::graph::{Graph, NodeId};
use crate::record::equipment::Position;
use crate::record::{Device, Record, Role, Tank};

/// A device that warms the water by the way.
#[derive(Clone, Debug)]
pub struct Gain {
    pub device: String,
    pub name: String,
    pub role: Role,
    /// Mean over the day.
    pub watts: NodeId,
    /// Of which this share ends in the water.
    pub share: Spread,
}

impl Gain {
    /// Watts that reach the water, as a mean over the day.
    pub fn heat(&self, side: Side, graph: &mut Graph) -> NodeId {
        // More heat given is less lost.
        let share = self.share.on(side, false);
        graph.compute(&format!("{}: heat to the water", self.name), "W", &[self.watts, share], |x| x[0] * x[1])
    }
}

/// A heater with its power at full.
#[derive(Clone, Debug)]
pub struct Heater {
    pub device: String,
    pub name: String,
    pub watts: NodeId,
}

/// The devices in service that warm the water, and the heaters.
pub fn of(record: &Record, tank: &Tank, figures: &mut Figures) -> (Vec<Gain>, Vec<Heater>) {
    let (mut gains, mut heaters) = (Vec::new(), Vec::new());
    for device in tank.devices_at(record.as_of) {
        let (key, name) = (device.key.clone(), device.name.value.clone());
        if device.role.value == Role::Heater {
            if let Some(watts) = crate::figures::energy::full_power(record, tank, device, figures) {
                heaters.push(Heater { device: key, name, watts });
            }
            continue;
        }
        let Some((low, high, why)) = share(device) else { continue };
        let Some(energy) = figures.get(&tank.key, &format!("power.{key}.energy-per-day")).map(|figure| figure.node)
        else {
            continue;
        };
        let graph = &mut figures.graph;
        let watts = graph.linear(&format!("{name}: mean power"), "W", &[(energy, 1000.0 / 24.0)]);
        let share = Spread::between(graph, &format!("{name}: share that warms the water"), low, high, "1", why);
        gains.push(Gain { device: key, name, role: device.role.value, watts, share });
    }
    (gains, heaters)
}

/// Limits of the share of a device's power that ends in the water (common practice, no source).
pub fn share(device: &Device) -> Option<(f64, f64, &'static str)> {
    let position = device.position.as_ref().map(|position| position.value);
    match device.role.value {
        Role::Lamp => Some((
            0.1,
            0.6,
            "a tenth to six tenths of a lamp’s watts end in the water: light that is taken up, and warm air",
        )),
        Role::CirculationPump | Role::ReturnPump | Role::Skimmer | Role::UvSteriliser => Some(match position {
            Some(Position::InWater) => {
                (0.8, 1.0, "a motor in the water warms it with all but what its supply outside loses")
            }
            Some(_) => (0.3, 0.8, "a motor beside the water hands it part of its heat"),
            None => (0.3, 1.0, "whether the motor is in the water is not recorded (`position:`)"),
        }),
        _ => None,
    }
}
