//! Where things stand, numbered once for the whole sheet.

use super::fit::cut;
use super::words::{Html, escape};
use crate::record::sitter::Front;
use crate::record::{Device, Role, Tank};

/// Things with a number, in the order of their numbers.
pub struct Places {
    pub list: Vec<Spot>,
}

pub struct Spot {
    pub of: Of,
    pub text: String,
    pub front: Front,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Of {
    Level,
    Thing,
    Device(String),
}

/// Devices come in the order in which a sitter has to do with them.
const ORDER: [Role; 18] = [
    Role::Thermometer,
    Role::TopOff,
    Role::Battery,
    Role::AirPump,
    Role::Heater,
    Role::ReturnPump,
    Role::CirculationPump,
    Role::Lamp,
    Role::LeakAlarm,
    Role::Controller,
    Role::Skimmer,
    Role::Fan,
    Role::Chiller,
    Role::DosingPump,
    Role::PowerStrip,
    Role::GroundFaultProtection,
    Role::UvSteriliser,
    Role::Co2Cylinder,
];

/// Letters of a device's name in a sentence; the list under the plan has all of it.
const NAME: usize = 36;

impl Places {
    pub fn of(tank: &Tank, on: jiff::civil::Date) -> Places {
        let plan = &tank.upkeep.sitter;
        let mut list = Vec::new();
        if let Some(level) = &plan.level
            && let Some(front) = level.front
        {
            list.push(Spot { of: Of::Level, text: level.mark.value.clone(), front });
        }
        for thing in &plan.things {
            list.extend(thing.front.map(|front| Spot { of: Of::Thing, text: thing.what.value.clone(), front }));
        }
        let mut devices: Vec<(&Device, Front)> = tank
            .devices_at(on)
            .filter(|device| ORDER.contains(&device.role.value))
            .filter_map(|device| Some((device, front_of(tank, device)?)))
            .collect();
        devices.sort_by_key(|(device, _)| ORDER.iter().position(|role| *role == device.role.value));
        for (device, front) in devices {
            let of = Of::Device(device.key.clone());
            list.push(Spot { of, text: device.name.value.clone(), front });
        }
        Places { list }
    }

    fn number(&self, of: &Of) -> Option<usize> {
        self.list.iter().position(|spot| spot.of == *of).map(|place| place + 1)
    }

    /// The number in its circle; nothing for what has no place.
    pub fn mark(&self, of: &Of) -> Html {
        Html(self.number(of).map_or(String::new(), circle))
    }

    pub fn device(&self, key: &str) -> Html {
        self.mark(&Of::Device(key.to_string()))
    }

    /// A device's name with its number.
    pub fn named(&self, device: &Device) -> Html {
        let mark = self.device(&device.key).0;
        let name = escape(&cut(&device.name.value, NAME));
        Html(format!("{name}{}{mark}", if mark.is_empty() { "" } else { "\u{a0}" }))
    }
}

fn circle(number: usize) -> String {
    format!("<span class=\"n\">{number}</span>")
}

/// A device's place as seen from in front: as written, or worked out from its place in the tank.
fn front_of(tank: &Tank, device: &Device) -> Option<Front> {
    if device.front.is_some() {
        return device.front;
    }
    let spot = device.place_in_tank?;
    let size = tank.size.as_ref()?.value;
    let surface = surface(tank)?;
    let up = match spot.depth {
        Some(depth) => surface - depth,
        None => surface + device.settings.latest()?.value.height.as_ref().map_or(10.0, |height| height.value.value),
    };
    Some(Front { x: (stand_length(tank) - size[0]) / 2.0 + spot.x, up })
}

/// Length of the stand in cm; without one, the tank's.
pub fn stand_length(tank: &Tank) -> f64 {
    let footprint = tank.stand.as_ref().and_then(|stand| stand.footprint.as_ref()).map(|footprint| footprint.value[0]);
    footprint.or(tank.size.as_ref().map(|size| size.value[0])).unwrap_or(100.0)
}

pub fn stand_height(tank: &Tank) -> f64 {
    tank.stand.as_ref().and_then(|stand| stand.height.as_ref()).map_or(0.0, |height| height.value.value)
}

/// The water's surface above the floor, in cm.
pub fn surface(tank: &Tank) -> Option<f64> {
    let water = tank.water_depth.as_ref()?.value.value;
    let sand = tank.sand_depth.as_ref().map_or(0.0, |depth| depth.value.value);
    let bottom = tank.bottom_glass.as_ref().or(tank.glass.as_ref()).map_or(0.0, |glass| glass.value.value);
    Some(stand_height(tank) + bottom + sand + water)
}
