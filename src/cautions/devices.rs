//! Cautions that a few devices bring with them: bright light, ultraviolet, ozone, engines and flames in a power cut, and
//! what evaporates into the room.

use super::electricity::{because_of, paragraphs, watts_of};
use super::heat::KEEPER;
use super::tank_life::mentions;
use super::words::raise_where_told;
use super::{Caution, caution};
use crate::cautions::Danger;
use crate::diagnostic::Place;
use crate::figures::Findings;
use crate::record::{Device, Parameter, Record, Role, Tank};

const AGENCY: &str = "The maker's instructions and the product-safety agency of your country decide.";
const FIRE: &str =
    "The fire service and the health authority of your place decide; in danger of life, the emergency number.";
const HOUSE: &str = "The health authority, and the owner or insurer of the house, decide what a room may bear.";

type Why = Vec<(String, Option<Place>)>;

pub(super) fn raise(record: &Record, tank: &Tank, findings: &Findings, out: &mut Vec<Caution>) {
    let devices: Vec<&Device> = tank.devices_at(record.as_of).collect();
    bright(record, tank, &devices, out);
    ultraviolet(&devices, out);
    ozone(record, tank, &devices, out);
    power_cut_words(tank, &devices, out);
    damp(record, tank, findings, out);
    stuck_head(tank, findings, out);
}

/// Lamps stronger than this are not looked into, W.
const BRIGHT_W: f64 = 100.0;

fn bright(record: &Record, tank: &Tank, devices: &[&Device], out: &mut Vec<Caution>) {
    let violet = ["violet", "ultraviolet", "uv"];
    let why: Why = devices
        .iter()
        .filter(|device| device.role.value == Role::Lamp)
        .filter_map(|lamp| {
            let channels = lamp
                .settings
                .at(record.as_of)
                .is_some_and(|stretch| stretch.value.channels.iter().any(|(name, _)| mentions(name, &violet)));
            match watts_of(record, tank, lamp) {
                _ if channels => Some(because_of(lamp, "has a violet or ultraviolet channel")),
                Some(watts) if watts > BRIGHT_W => Some(because_of(lamp, "draws more than 100 W")),
                _ => None,
            }
        })
        .collect();
    if why.is_empty() {
        return;
    }
    let mut raised = caution("light.blue-bright", Danger::Check, "A lamp that is not to be looked into", AGENCY);
    raised.text = paragraphs(&[
        "Blue and violet light of this strength can hurt an eye that looks into it, a child's sooner. Shade the lamp at the \
         height of a child's eyes, and dim it before working under it.",
        "A coloured filter is for photographs; it does not protect eyes.",
    ]);
    raised.why = why;
    raised.sources = vec!["IEC 62471, photobiological safety of lamps — from memory, to be checked"];
    raised.topics = vec!["light", "equipment"];
    out.push(raised);
}

fn of_role(devices: &[&Device], role: Role, words: &str) -> Why {
    devices.iter().filter(|device| device.role.value == role).map(|device| because_of(device, words)).collect()
}

fn ultraviolet(devices: &[&Device], out: &mut Vec<Caution>) {
    let why = of_role(devices, Role::UvSteriliser, "ultraviolet light of short waves");
    if why.is_empty() {
        return;
    }
    let mut raised = caution("uv.lamp", Danger::People, "Never look at a lit ultraviolet lamp", AGENCY);
    raised.text = paragraphs(&[
        "Seconds of it hurt eyes and skin, hours later and without a warning. Unplug the device before opening it, and never \
         run the lamp outside its housing.",
        "A broken lamp lets mercury out: air the room, keep children and pets away, no vacuum cleaner, and take it to the \
         hazardous-waste point.",
    ]);
    raised.why = why;
    raised.sources = vec!["US FDA, on ultraviolet-C lamps — content as quoted, title from memory"];
    raised.topics = vec!["equipment", "power"];
    out.push(raised);
}

fn ozone(record: &Record, tank: &Tank, devices: &[&Device], out: &mut Vec<Caution>) {
    let mut why = of_role(devices, Role::OzoneGenerator, "makes ozone");
    why.extend(devices.iter().filter(|device| device.role.value == Role::UvSteriliser).filter_map(|device| {
        let prose = record.spec_of(tank, device).map(|spec| spec.prose.as_str()).unwrap_or_default();
        mentions(prose, &["ozone"]).then(|| because_of(device, "its sheet speaks of ozone"))
    }));
    if why.is_empty() {
        return;
    }
    let mut raised = caution("ozone.leak", Danger::People, "If ozone can be smelled, it is too much", AGENCY);
    raised.text = paragraphs(&[
        "Switch it off and air the room. Carbon belongs on the air and on the water that leave it, and a cut-off by redox on \
         its supply; it does not belong in a bedroom.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "NIOSH, documentation for immediately dangerous concentrations: ozone (1994): ceiling 0.1 ppm, 5 ppm dangerous at once — content seen",
    ];
    raised.topics = vec!["equipment"];
    out.push(raised);
}

/// Engines and flames that somebody means to use in a power cut, wherever they are named.
fn power_cut_words(tank: &Tank, devices: &[&Device], out: &mut Vec<Caution>) {
    let engine = ["generator", "generators", "inverter generator", "car engine", "idling car", "petrol engine"];
    let flame = [
        "candle",
        "candles",
        "camp stove",
        "camping stove",
        "gas heater",
        "paraffin heater",
        "kerosene heater",
        "open fire",
    ];
    // An ozone generator makes no carbon monoxide.
    let devices: Vec<&Device> =
        devices.iter().copied().filter(|device| device.role.value != Role::OzoneGenerator).collect();
    let title = "An engine makes carbon monoxide, which kills in minutes and has no smell";
    let mut raised = caution("outage.generator", Danger::People, title, FIRE);
    raised.text = paragraphs(&[
        "Only outdoors, at least 6 m (20 ft) from any door, window or vent, the exhaust pointing away: never in a house, garage, \
         shed or porch, not with the door open either. Have a working carbon monoxide alarm.",
        "Never feed it back into the wiring of the house: that wants a transfer switch, fitted by a licensed electrician.",
    ]);
    raised.sources = vec![
        "CPSC, Warns Consumers in Path of Storms to Take Precautions When Using Portable Generators (24 July 2020) — content seen",
    ];
    raised.topics = vec!["power", "equipment"];
    raise_where_told(tank, &devices, &engine, raised, out);
    let title = "No flame to light or to heat a room with a tank in a power cut";
    let mut raised = caution("outage.open-flame", Danger::People, title, FIRE);
    raised.text = paragraphs(&[
        "Candles, stoves and gas heaters burn houses down and fill rooms with carbon monoxide. Light with battery lamps; warm \
         the water with sealed bottles of hot water, and wrap the tank.",
    ]);
    raised.sources = vec!["CPSC and CDC, advice for power outages — from memory, to be checked"];
    raised.topics = vec!["power", "equipment"];
    raise_where_told(tank, &devices, &flame, raised, out);
}

/// Above this mould grows on cold walls (EPA: below 60 %, better 30 to 50 %).
const DAMP: f64 = 0.60;

fn damp(record: &Record, tank: &Tank, findings: &Findings, out: &mut Vec<Caution>) {
    let mut why = Why::new();
    if let Some(stretch) = tank.room_humidity.at(record.as_of)
        && stretch.value.1.value > DAMP
    {
        let most = (stretch.value.1.value * 100.0).round();
        why.push((format!("the room is written as damp as {most} %"), Some(stretch.place.clone())));
    }
    let read: Vec<_> = tank
        .entries
        .iter()
        .filter(|entry| crate::record::days_between(entry.date(), record.as_of) <= 60)
        .flat_map(|entry| entry.readings.iter())
        .filter(|reading| reading.parameter == Parameter::RoomHumidity && reading.quantity.value > DAMP)
        .collect();
    if let Some(last) = read.last() {
        let words = format!("the room was read damper than 60 % {} times within 60 days", read.len());
        why.push((words, Some(last.place.clone())));
    }
    if why.is_empty() {
        return;
    }
    let of = |key: &str| findings.figures.get(&tank.key, key);
    if let Some(evaporation) = of("water.evaporation").or_else(|| of("heat.evaporation")) {
        why.push(super::heat::because_of_figure(record, evaporation));
    }
    let title = "What the tank evaporates ends in the walls of the room";
    let mut raised = caution("mould.humidity", Danger::Check, title, HOUSE);
    raised.text = paragraphs(&[
        "Keep the room below 60 % humidity, better between 30 and 50 %: air it, cover part of the surface, or run a \
         dehumidifier. A fan over the water cools it and wets the room.",
        "Look behind the stand and at cold walls; dry what is wet within one or two days.",
    ]);
    raised.why = why;
    raised.sources =
        vec!["US EPA, A Brief Guide to Mold, Moisture and Your Home (EPA 402-K-02-003) — content seen in copies"];
    raised.topics = vec!["heat", "equipment"];
    out.push(raised);
}

/// Within so many hours nobody may look (common practice, no source: a working day or a night).
const NOBODY_LOOKS_H: f64 = 8.0;

/// A dosing head that would pass a limit before anybody looks.
fn stuck_head(tank: &Tank, findings: &Findings, out: &mut Vec<Caution>) {
    let Some(of) = findings.tanks.get(&tank.key) else { return };
    let mut why = Why::new();
    let mut known = false;
    for failure in &of.failures {
        let device = failure.device.as_ref().and_then(|key| tank.device(key));
        let Some(pump) = device.filter(|device| device.role.value == Role::DosingPump) else { continue };
        match failure.harm {
            Some(harm) if harm.at_least.is_some_and(|hours| hours < NOBODY_LOOKS_H) => {
                known = true;
                let minutes = (harm.at_least.unwrap_or(0.0) * 60.0).floor();
                why.push(because_of(pump, &format!("stuck on, a limit may be passed after {minutes} minutes")));
            }
            Some(harm) if harm.at_least.is_none() => {
                why.push(because_of(pump, "what a head that sticks does cannot be told from the record"));
            }
            _ => {}
        }
    }
    if why.is_empty() {
        return;
    }
    let (danger, title) = if known {
        (Danger::Animals, "A dosing head that sticks on would empty a bottle that is too large")
    } else {
        (Danger::Check, "What would a dosing head that sticks on do?")
    };
    let mut raised = caution("dosing.stuck-head", danger, title, KEEPER);
    raised.text = paragraphs(&[
        "A stuck relay or a split tube lets the whole bottle run in. Keep no more in it than five to seven days take, set the \
         pump's own daily limit, and let its hose end above the water.",
        "Look at the mark on the bottle weekly: a head that gives too much, or a blocked one, sounds like any other.",
    ]);
    raised.why = why;
    raised.sources =
        vec!["common practice, no source (a week's worth in the bottle); the hours are worked out from the record"];
    raised.topics = vec!["heat", "equipment", "upkeep", "water"];
    out.push(raised);
}
