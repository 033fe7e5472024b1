//! Values that can be written and can hardly be true: more water than the tank holds, a place outside the glass. Each is a
//! warning with what it was held against, since a record may know less than its keeper.

use super::fields::Context;
use super::{Colony, Device, Entry, Parameter, Record, Tank};
use crate::diagnostic::{Diagnostic, Kind, Place};
use crate::units::{Bound, Dimension, Quantity};

/// Of the tank's water, the most that one entry may dose: more is a slip of the unit (judgement, no source).
const MOST_DOSED: f64 = 0.5;
/// What a common socket carries, A (IEC 60884-1 and CEE 7 rate theirs at 16 A; those of North America carry less).
const SOCKET: f64 = 16.0;
/// Mains voltage where the record gives none.
const VOLTAGE: f64 = 230.0;

pub fn check(record: &Record, context: &mut Context) {
    for tank in record.tanks.values() {
        for entry in &tank.entries {
            water_of(tank, entry, context);
            gravity(entry, context);
        }
        for device in tank.devices.values() {
            power(tank, device, context);
        }
    }
    for colony in record.colonies.values() {
        places(record, colony, context);
    }
}

fn tell(
    what: String,
    why: String,
    suggestion: &str,
    place: &Place,
    against: Option<(&Place, &str)>,
    context: &mut Context,
) {
    let kind = Kind::Implausible { what, why, suggestion: suggestion.into() };
    let diagnostic = Diagnostic::new(kind, place.clone());
    context.diagnostics.push(match against {
        Some((place, role)) => diagnostic.with_related(place.clone(), role),
        None => diagnostic,
    });
}

/// No day evaporates, and nobody changes or doses, more than there is.
fn water_of(tank: &Tank, entry: &Entry, context: &mut Context) {
    let Some(stretch) = tank.water.at(entry.date()) else { return };
    let Some(held) = &stretch.value.volume else { return };
    let mut more_than = |share: f64, what: String, volume: &Quantity, place: &Place| {
        if volume.dimension == Dimension::Volume && volume.value > share * held.value {
            let why = format!("the tank holds {}", held.as_typed());
            tell(what, why, "another unit, such as `mL`, or another number", place, None, context);
        }
    };
    if let Some(top_off) = &entry.top_off {
        more_than(1.0, format!("a top-off of {}", top_off.value.as_typed()), &top_off.value, &top_off.place);
    }
    if let Some(change) = &entry.water_change {
        let volume = &change.volume;
        more_than(1.0, format!("a water change of {}", volume.value.as_typed()), &volume.value, &volume.place);
    }
    for dose in &entry.doses {
        let amount = &dose.amount;
        let share = MOST_DOSED * dose.over_days.max(1.0);
        more_than(share, format!("a dose of {}", amount.value.as_typed()), &amount.value, &amount.place);
    }
}

/// Sea water is 1.02 to 1.03 times as heavy as fresh water, and holds 30 to 40 ppt of salt.
fn gravity(entry: &Entry, context: &mut Context) {
    for reading in &entry.readings {
        let is_ppt = reading.parameter == Parameter::Salinity && reading.quantity.dimension == Dimension::Salinity;
        if is_ppt && reading.bound == Bound::Exactly && (0.9..1.1).contains(&reading.quantity.value) {
            let typed = reading.quantity.typed;
            tell(
                format!("a salinity of {}", reading.quantity.as_typed()),
                "that is nearly fresh water; it looks like a specific gravity".into(),
                &format!("`{typed} SG`"),
                &reading.place,
                None,
                context,
            );
        }
    }
}

fn power(tank: &Tank, device: &Device, context: &mut Context) {
    let Some(watts) = &device.watts else { return };
    let electricity = tank.electricity.latest().map(|stretch| &stretch.value);
    let voltage = electricity.and_then(|given| given.voltage.as_ref()).map_or(VOLTAGE, |voltage| voltage.value.value);
    let most = SOCKET * voltage;
    if watts.value.value > most {
        tell(
            format!("{} draws {}", device.name.value, watts.value.as_typed()),
            format!("a socket of {SOCKET} A carries {most:.0} W"),
            "another unit or number",
            &watts.place,
            None,
            context,
        );
    }
}

fn places(record: &Record, colony: &Colony, context: &mut Context) {
    for placement in &colony.placements {
        if placement.since < colony.arrived.value {
            tell(
                format!("{} has a place since {}", colony.name.value, placement.since),
                format!("it arrived on {}", colony.arrived.value),
                "the right date, or another `arrived`",
                &placement.place,
                Some((&colony.arrived.place, "it arrived then")),
                context,
            );
        }
        let size = record.tanks.get(&placement.tank.value).and_then(|tank| tank.size.as_ref());
        let Some(size) = size else { continue };
        let [length, width, height] = size.value;
        for (key, at, reach) in
            [("x", placement.x, length), ("y", placement.y, width), ("depth", placement.depth, height)]
        {
            if let Some(at) = at.filter(|at| *at > reach) {
                tell(
                    format!("{}: `{key}` lies {at} cm away, outside the tank", colony.name.value),
                    format!("the tank reaches {reach} cm that way"),
                    "another number or unit",
                    &placement.place,
                    Some((&size.place, "its size")),
                    context,
                );
            }
        }
    }
}
