//! Cautions about what the house lends to a tank: its outlets, its drinking water, and a battery for when it has no power.

use super::electricity::{ELECTRICIAN, because_of, paragraphs};
use super::words::raise_where_told;
use super::{Caution, Danger, caution, tank_life};
use crate::record::{Device, Record, Role, Tank, days_between};

const PLUMBER: &str = "The local plumbing code, your water supplier and a licensed plumber decide.";
const MAKER: &str =
    "The makers of the battery and of each pump, and the product-safety agency of your country, decide.";

pub(super) fn raise(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let devices: Vec<&Device> = tank.devices_at(record.as_of).collect();
    old_outlet(tank, &devices, out);
    backflow(tank, &devices, out);
    worn_battery(record, tank, &devices, out);
}

fn old_outlet(tank: &Tank, devices: &[&Device], out: &mut Vec<Caution>) {
    let phrases = [
        "ungrounded",
        "unearthed",
        "no earth",
        "no ground",
        "without earth",
        "two-slot",
        "two-prong",
        "two-pin",
        "travel adapter",
        "adapter plug",
        "plug adapter",
        "outlet adapter",
        "socket adapter",
        "cheater plug",
    ];
    let title = "An adapter does not make an earth";
    let mut raised = caution("electricity.old-outlet", Danger::People, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "A plug with an earth belongs in an outlet that has one. Where there is none, a fault in a heater or a pump can put the \
         water under voltage, and nothing trips. Have the outlet changed before the tank stands on it.",
    ]);
    raised.sources = vec!["ESFI, on extension cords, adapters and outlets — content seen"];
    raised.topics = vec!["power", "equipment"];
    raise_where_told(tank, devices, &phrases, raised, out);
}

fn backflow(tank: &Tank, devices: &[&Device], out: &mut Vec<Caution>) {
    let phrases = [
        "garden hose",
        "hose to the tap",
        "hose on the tap",
        "hose from the tap",
        "tap hose",
        "tap water hose",
        "on the tap",
        "to the tap",
        "faucet",
        "mains water",
        "water main",
        "waste line",
        "waste hose",
        "reverse osmosis",
        "ro unit",
        "ro di",
        "sink drain",
        "drain of the sink",
    ];
    let title = "A hose under water can be sucked back into the drinking water";
    let mut raised = caution("water.backflow", Danger::People, title, PLUMBER);
    raised.text = paragraphs(&[
        "When the pressure in the mains falls, a hose that ends below the surface of a tank, a sump, a bucket or a drain empties it \
         into the pipes of the house. Leave air between the end of the hose and the highest water: twice the bore of the hose, at \
         least 25 mm (1 in), or have an approved device fitted against it.",
        "The waste of a purifier needs the same gap over a drain.",
    ]);
    raised.sources = vec![
        "Cross-connection guidance of city water suppliers — content seen",
        "International Plumbing Code, ch. 6, §608 — as quoted by another text",
        "EPA, Cross-Connection Control Manual — from memory, to be checked",
    ];
    raised.topics = vec!["water", "equipment"];
    raise_where_told(tank, devices, &phrases, raised, out);
}

/// Years after which a sealed lead battery is replaced whatever it says of itself (common practice, no source).
const BATTERY_YEARS: i32 = 4;

fn worn_battery(record: &Record, tank: &Tank, devices: &[&Device], out: &mut Vec<Caution>) {
    let lead = ["lead-acid", "lead acid", "lead battery", "sealed lead", "ups", "uninterruptible"];
    let why: Vec<_> = devices
        .iter()
        .filter(|device| device.role.value == Role::Battery)
        .filter_map(|device| {
            let sheet = record.spec_of(tank, device).map_or("", |spec| spec.prose.as_str());
            let texts = [Some(device.name.value.as_str()), device.note.as_deref(), Some(sheet)];
            let years = days_between(device.in_service.value, record.as_of) / 365;
            if texts.into_iter().flatten().any(|text| tank_life::mentions(text, &lead)) {
                Some(because_of(device, "a lead battery, or one that takes over by itself"))
            } else if years >= BATTERY_YEARS {
                Some(because_of(device, &format!("{years} years in service")))
            } else {
                None
            }
        })
        .collect();
    if why.is_empty() {
        return;
    }
    let title = "A battery is replaced by its age, not when it fails";
    let mut raised = caution("battery.ups", Danger::Check, title, MAKER);
    raised.text = paragraphs(&[
        "It holds less each year and says so only in a power cut: test it under its load once a year, and replace it by the age its \
         maker gives, usually three to five years. It is heavy, and wants air around it and no salt spray.",
        "Some give a stepped wave in place of a smooth one, which overheats some pumps: ask the pump's maker.",
    ]);
    raised.why = why;
    raised.sources = vec!["Common practice, no source"];
    raised.topics = vec!["power", "equipment"];
    out.push(raised);
}
