//! Cautions about mains power near salt water: shock, fire, and one trip that stops everything.

mod strip;

use std::collections::BTreeSet;

use super::{Caution, caution, tank_life};
use crate::cautions::Danger;
use crate::diagnostic::Place;
use crate::figures::number;
use crate::record::equipment::Position;
use crate::record::tank::Electricity;
use crate::record::{Device, Record, Role, Tank, YesNo, days_between};

pub(super) const ELECTRICIAN: &str =
    "The local electrical code and a licensed electrician decide; this page only repeats usual advice.";

/// The task whose dates in the log show that the protection was tested.
const TEST_TASK: &str = "ground-fault-test";

pub(super) fn raise(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let devices: Vec<&Device> = tank.devices_at(record.as_of).collect();
    let nothing_set = Electricity::default();
    let electricity = tank.electricity.at(record.as_of);
    let supply = electricity.map_or(&nothing_set, |stretch| &stretch.value);
    let place = electricity.map_or(&tank.place, |stretch| &stretch.place);
    no_ground_fault(record, tank, &devices, (supply, place), out);
    hands_in_water(record, tank, out);
    drip_loop(&devices, (supply, place), out);
    strip::raise(record, tank, &devices, supply, out);
    two_supplies(&devices, out);
    home_built(&devices, out);
}

/// What a device draws at full level, in W: as the keeper measured it, else as its maker states it.
pub(super) fn watts_of(record: &Record, tank: &Tank, device: &Device) -> Option<f64> {
    crate::figures::energy::written_power(record, tank, device).map(|(watts, _)| watts.value.value)
}

pub(super) fn paragraphs(text: &[&str]) -> Vec<String> {
    text.iter().map(|paragraph| (*paragraph).to_string()).collect()
}

/// A device as a reason: its name, what about it, and where it is written.
pub(super) fn because_of(device: &Device, what: &str) -> (String, Option<Place>) {
    (format!("{}: {what}", device.name.value), Some(device.place.clone()))
}

/// In or over the water by its position or, where none is written, by its role.
fn meets_water(device: &Device) -> bool {
    match &device.position {
        Some(position) => matches!(position.value, Position::InWater | Position::OverWater),
        None => matches!(
            device.role.value,
            Role::Lamp | Role::Heater | Role::CirculationPump | Role::ReturnPump | Role::Skimmer | Role::UvSteriliser
        ),
    }
}

fn no_ground_fault(
    record: &Record,
    tank: &Tank,
    devices: &[&Device],
    (supply, place): (&Electricity, &Place),
    out: &mut Vec<Caution>,
) {
    let wet: Vec<&&Device> = devices.iter().filter(|device| meets_water(device) && device.mains != YesNo::No).collect();
    if wet.is_empty() {
        return;
    }
    // Protection named by every device is as good as one named for the whole tank.
    let each_protected = wet.iter().all(|device| device.protection.is_some());
    let protected = match supply.ground_fault {
        YesNo::Unknown if each_protected => YesNo::Yes,
        stated => stated,
    };
    let (danger, title, reason) = match protected {
        YesNo::Yes => match test_state(record, tank) {
            TestState::InDate => return,
            TestState::Never => (
                Danger::Check,
                "When was the earth-leakage protection last tested?",
                format!(
                    "earth-leakage protection is stated, but the log holds no `{TEST_TASK}` with an interval to judge it by"
                ),
            ),
            TestState::Overdue { days, interval } => (
                Danger::Check,
                "The test of the earth-leakage protection is long overdue",
                format!("last tested {days} days ago, meant every {} days", number(interval)),
            ),
        },
        YesNo::No => (
            Danger::People,
            "Mains equipment meets salt water without earth-leakage protection",
            "the record says there is no earth-leakage protection".to_string(),
        ),
        YesNo::Unknown => (
            Danger::Check,
            "Is there earth-leakage protection on what meets the water?",
            "the record does not say whether there is earth-leakage protection".to_string(),
        ),
    };
    let mut raised = caution("electricity.no-ground-fault", danger, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "An earth-leakage device (GFCI in North America, RCD elsewhere) cuts the power within a fraction of a second when \
         current leaks away. Without one, a cracked heater or a worn pump can make the water live, and nothing shows it \
         until a hand is in the tank.",
        "Press its test button at the interval its maker gives, and write the test down. A device that does not trip, or \
         does not stay set, is replaced by an electrician and never by-passed.",
    ]);
    raised.why.push((reason, Some(place.clone())));
    raised.why.extend(wet.iter().map(|device| because_of(device, water_words(device))));
    raised.sources = vec![
        "NFPA 70 (2023), 210.8(B), which names aquariums in other than dwellings — as quoted in an industry digest",
        "Electrical Safety Foundation International, home guidance on ground-fault protection — title or content seen",
        "IEC 60364-4-41 and UL 1018 — from memory, to be checked",
    ];
    raised.topics = vec!["power", "equipment"];
    out.push(raised);
}

fn water_words(device: &Device) -> &'static str {
    match (&device.position, device.mains) {
        (None, _) => "its position is not written, and its kind is usually in or over the water",
        (Some(_), YesNo::Yes) => "mains, in or over the water",
        (Some(_), _) => "in or over the water; whether it runs on mains is not written",
    }
}

enum TestState {
    InDate,
    Never,
    Overdue { days: i32, interval: f64 },
}

/// Overdue between once and twice the interval is a task only, and in date here.
fn test_state(record: &Record, tank: &Tank) -> TestState {
    let tested = |entry: &&crate::record::Entry| entry.done.iter().any(|name| name.value == TEST_TASK);
    let last = tank.entries.iter().rev().find(tested);
    match (tank.upkeep.tasks.get(TEST_TASK), last) {
        (Some(task), Some(entry)) => {
            let (days, interval) = (days_between(entry.date(), record.as_of), task.every.value.days());
            if f64::from(days) <= 2.0 * interval { TestState::InDate } else { TestState::Overdue { days, interval } }
        }
        _ => TestState::Never,
    }
}

fn hands_in_water(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let yes = tank_life::tasks_where(record, tank, |task| task.hands_in_water == YesNo::Yes);
    let (danger, title, why) = if yes.is_empty() {
        // Work that usually puts a hand in, where the record does not say.
        let maybe = tank_life::tasks_where(record, tank, |task| {
            task.hands_in_water == YesNo::Unknown
                && tank_life::mentions(
                    &format!("{} {}", task.key, task.what),
                    &["clean", "cleaning", "scrape", "prune", "trim", "glass", "pump", "skimmer"],
                )
        });
        (Danger::Check, "Does this work put a hand in the water?", maybe)
    } else {
        (Danger::People, "Unplug before a hand goes into the water", yes)
    };
    if why.is_empty() {
        return;
    }
    let mut raised = caution("electricity.hands-in-water", danger, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "Switch off and unplug heaters, pumps and lamps over the water before reaching in; a switch alone is not enough. \
         Work with dry hands at the plug and a dry floor under you.",
        "If the water tingles: hand out, power off at the breaker without touching the tank again, and leave it off until \
         an electrician or the maker has looked at it.",
        "Never touch a person who may be in contact with live water. Cut the power first, then call the emergency number.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "UL 1018, marking requirements for electric aquarium equipment — from memory, to be checked",
        "First-aid teaching of resuscitation councils (power off first) — from memory, to be checked",
        "common practice, no source",
    ];
    raised.topics = vec!["upkeep", "power"];
    out.push(raised);
}

fn drip_loop(devices: &[&Device], (supply, place): (&Electricity, &Place), out: &mut Vec<Caution>) {
    let strips_below: Vec<&&Device> = devices
        .iter()
        .filter(|device| {
            device.role.value == Role::PowerStrip
                && device.position.as_ref().is_some_and(|position| position.value == Position::UnderTank)
        })
        .collect();
    let mains = devices.iter().filter(|device| device.mains != YesNo::No).count();
    if mains == 0 || (supply.drip_loops == YesNo::Yes && strips_below.is_empty()) {
        return;
    }
    let (danger, title) = match (supply.drip_loops, strips_below.is_empty()) {
        (YesNo::No, _) => (Danger::People, "Cords run straight to their sockets"),
        (_, false) => (Danger::People, "A power strip lies under the tank"),
        (_, true) => (Danger::Check, "Do all cords hang in a loop below their sockets?"),
    };
    let mut raised = caution("electricity.drip-loop", danger, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "Each cord should hang lower than its socket before it rises to it, so that water runs to the lowest point and \
         drips off there, not into the socket.",
        "Sockets belong to the side, off the floor, not under the sump or its hoses, with room between the adapters. Salt \
         crust on a plug conducts: unplug, wipe, dry.",
    ]);
    match supply.drip_loops {
        YesNo::Yes => {}
        YesNo::No => raised.why.push(("the record says there are no drip loops".into(), Some(place.clone()))),
        YesNo::Unknown => {
            let reason = format!("the record does not say whether the cords of {mains} devices have drip loops");
            raised.why.push((reason, Some(place.clone())));
        }
    }
    raised.why.extend(strips_below.iter().map(|device| because_of(device, "a strip under the tank")));
    raised.sources = vec!["common practice, no source"];
    raised.topics = vec!["power", "equipment"];
    out.push(raised);
}

fn two_supplies(devices: &[&Device], out: &mut Vec<Caution>) {
    let vital: Vec<&&Device> =
        devices.iter().filter(|device| device.role.value.moves_water() || device.role.value == Role::Heater).collect();
    if vital.len() < 2 {
        return;
    }
    let protections: Vec<Option<&str>> =
        vital.iter().map(|device| device.protection.as_ref().map(|name| name.value.as_str())).collect();
    let outlets: Vec<Option<&str>> =
        vital.iter().map(|device| device.plugged.as_ref().map(|name| name.value.as_str())).collect();
    let shared = [("protective device", shared_by_all(&protections)), ("outlet", shared_by_all(&outlets))];
    let (danger, title) = if shared.iter().any(|(_, name)| name.is_some()) {
        (Danger::Animals, "One trip stops all flow and heat")
    } else if [&protections, &outlets].iter().any(|names| names.iter().flatten().collect::<BTreeSet<_>>().len() > 1) {
        return;
    } else {
        (Danger::Check, "Do flow and heat hang on more than one supply?")
    };
    let mut raised = caution("electricity.two-supplies", danger, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "When everything hangs on one protective device, strip or controller, one trip takes away oxygen and heat together.",
        "Split the tank over two protected outlets and add an alarm for lost power. Never by-pass protection because it \
         trips: unplug all, plug in one by one, and find the device that leaks.",
    ]);
    for (what, name) in shared {
        if let Some(name) = name {
            raised.why.push((format!("all {} share one {what}, {name}", vital.len()), None));
        }
    }
    let reason = if danger == Danger::Check { "its outlet or protection is not written" } else { "flow or heat" };
    raised.why.extend(vital.iter().map(|device| because_of(device, reason)));
    raised.sources = vec!["common practice, no source"];
    raised.topics = vec!["power", "equipment"];
    out.push(raised);
}

/// The one name that all give.
fn shared_by_all<'a>(names: &[Option<&'a str>]) -> Option<&'a str> {
    let first = (*names.first()?)?;
    names.iter().all(|name| *name == Some(first)).then_some(first)
}

fn home_built(devices: &[&Device], out: &mut Vec<Caution>) {
    let mut danger = Danger::Check;
    let mut why = Vec::new();
    for device in devices.iter().filter(|device| device.mains != YesNo::No) {
        let reason = match (device.home_made, device.listed_mark, device.mains) {
            (true, _, YesNo::Yes) => "home-made, on mains",
            (true, _, _) => "home-made; whether mains is inside is not written",
            (false, YesNo::No, YesNo::Yes) => "on mains without a mark of testing",
            (false, YesNo::No, _) => "no mark of testing; whether it runs on mains is not written",
            (false, YesNo::Unknown, YesNo::Yes) => "on mains; does it bear a mark of testing?",
            _ => continue,
        };
        if device.mains == YesNo::Yes && (device.home_made || device.listed_mark == YesNo::No) {
            danger = Danger::People;
        }
        why.push(because_of(device, reason));
    }
    if why.is_empty() {
        return;
    }
    let title = match danger {
        Danger::People => "Home-made or unmarked mains equipment near salt water",
        _ => "Does every mains device bear a mark of testing?",
    };
    let mut raised = caution("electricity.diy-mains", danger, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "Mains equipment that was built, opened or repaired at home, or never tested by a body that lists products, is a \
         risk of shock and fire where salt spray reaches it.",
        "Have an electrician inspect it, and prefer listed low-voltage units whose driver stands away from the water. That \
         it is described here is no instruction to copy it.",
    ]);
    raised.why = why;
    raised.sources =
        vec!["IEC 60598 and UL 1598, luminaires — from memory, to be checked", "common practice, no source"];
    raised.topics = vec!["equipment", "power", "light"];
    out.push(raised);
}
