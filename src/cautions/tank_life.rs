//! Cautions about heaters, lamps and batteries, about poison and infection from what lives in the tank, about children,
//! and about the law of keeping, giving and releasing.

mod law;
mod palytoxin;
mod wild;

use super::electricity::{ELECTRICIAN, because_of, paragraphs, watts_of};
use super::{Caution, caution};
use crate::cautions::Danger;
use crate::diagnostic::Place;
use crate::figures::{Findings, number};
use crate::record::equipment::Position;
use crate::record::upkeep::Task;
use crate::record::{Colony, Device, Entry, Record, Role, Tank, YesNo, days_between};
use crate::units::{Dimension, show};

type Why = Vec<(String, Option<Place>)>;

const DOCTOR: &str = "A doctor or the poison centre decides, and the emergency number when breathing, chest or eyes are \
                      affected.";
const AGENCY: &str = "The maker's instructions and the product-safety agency of your country decide.";

/// Degrees an hour that one watt a litre heats water, without losses: 3600 J over about 4000 J/(kg K) × 1.023 kg/L.
const KELVIN_L_PER_WH: f64 = 0.88;
/// Where a stuck heater becomes deadly, in °C, and within how many hours it matters (common practice, no source).
const TOO_HOT: f64 = 30.0;
const NOBODY_LOOKS_H: f64 = 8.0;
/// Warmth from which a stuck heater starts, in °C, where no setting is written.
const USUAL_WARMTH: f64 = 25.5;

/// Reasons shown before the rest is only counted.
const SHOWN: usize = 6;

pub(super) fn raise(record: &Record, tank: &Tank, findings: &Findings, children: YesNo, out: &mut Vec<Caution>) {
    let devices: Vec<&Device> = tank.devices_at(record.as_of).collect();
    heaters(record, tank, findings, &devices, out);
    lamps(record, tank, &devices, out);
    batteries(&devices, out);
    button_cells(&devices, children, out);
    palytoxin::raise(record, tank, out);
    infection(record, tank, out);
    bucket(tank, children, out);
    law::raise(record, tank, out);
    wild::raise(record, tank, out);
}

/// Running tasks that meet a test, as reasons.
pub(super) fn tasks_where(record: &Record, tank: &Tank, test: impl Fn(&Task) -> bool) -> Why {
    running(record, tank)
        .filter(|task| test(task))
        .map(|task| (format!("task: {}", task.what), Some(task.place.clone())))
        .collect()
}

fn running<'a>(record: &'a Record, tank: &'a Tank) -> impl Iterator<Item = &'a Task> {
    tank.upkeep.tasks.values().filter(|task| task.until.as_ref().is_none_or(|until| until.value >= record.as_of))
}

/// Logged water changes as one reason, with the place of the newest.
pub(super) fn water_changes(tank: &Tank) -> Why {
    let changes: Vec<&Entry> = tank.entries.iter().filter(|entry| entry.water_change.is_some()).collect();
    let newest = changes.last().map(|entry| {
        let count =
            if changes.len() == 1 { "1 water change".into() } else { format!("{} water changes", changes.len()) };
        (format!("{count} logged, the last on {}", entry.date()), Some(entry.place.clone()))
    });
    newest.into_iter().collect()
}

/// All that the keeper wrote in an entry.
pub(super) fn text_of(entry: &Entry) -> String {
    let mut text: Vec<&str> = entry.note.iter().map(|note| note.value.as_str()).collect();
    text.extend(entry.event.iter().map(|event| event.what.value.as_str()));
    text.extend(entry.seen.iter().map(|(_, seen)| seen.as_str()));
    text.extend(entry.changed.values().map(|changed| changed.value.as_str()));
    text.extend(entry.done.iter().map(|done| done.value.as_str()));
    text.join(". ")
}

/// Whether a text holds one of the words, or of the phrases of several words, whole.
pub(super) fn mentions(text: &str, wanted: &[&str]) -> bool {
    let words = words_of(text);
    wanted.iter().any(|phrase| {
        let phrase = words_of(phrase);
        !phrase.is_empty() && words.windows(phrase.len()).any(|window| window == phrase)
    })
}

fn words_of(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(String::from)
        .collect()
}

/// The newest reasons, and how many more there are.
fn newest(mut why: Why) -> Why {
    let more = why.len().saturating_sub(SHOWN);
    let mut kept = why.split_off(more);
    if more > 0 {
        let entries = if more == 1 { "entry" } else { "entries" };
        kept.push((format!("and {more} earlier {entries}"), None));
    }
    kept
}

fn heaters(record: &Record, tank: &Tank, findings: &Findings, devices: &[&Device], out: &mut Vec<Caution>) {
    let heaters: Vec<&Device> = devices.iter().copied().filter(|device| device.role.value == Role::Heater).collect();
    if heaters.is_empty() {
        return;
    }
    let mut why = tasks_where(record, tank, |task| task.lowers_water == YesNo::Yes);
    why.extend(water_changes(tank));
    if !why.is_empty() {
        why.extend(heaters.iter().map(|heater| because_of(heater, "a heater in this tank")));
        let title = "Unplug the heater before the water goes down";
        let mut raised = caution("heater.out-of-water", Danger::Check, title, AGENCY);
        raised.text = paragraphs(&[
            "Unplug the heater, wait 15 minutes, then lower the water. In air a hot heater can crack, burst or start a \
             fire. Refill, wait, plug it in again.",
            "Replace a heater that is cracked, crusted inside or past its age.",
        ]);
        raised.why = why;
        raised.sources = vec![
            "CPSC recall of about 1.2 million aquarium heaters (2011) — as quoted in a copy of the notice",
            "CPSC warning on electric immersion heaters used partly out of water (January 2025) — title or content seen",
        ];
        raised.topics = vec!["upkeep", "equipment"];
        out.push(raised);
    }
    let litres = findings.figures.get(&tank.key, "water.net-volume").map(|figure| figure.value);
    let bound = findings.figures.get(&tank.key, "heat.stuck-heater-hours").map(|figure| figure.value);
    let water = Water { litres: litres.or_else(|| litres_of(record, tank)), bound };
    no_cutoff((record, tank), devices, &heaters, water, out);
    let raised = out.iter_mut().find(|raised| raised.key == "heater.no-cutoff");
    if let Some(raised) = raised {
        for key in ["heat.stuck-heater-temperature", "heat.stuck-heater-hours"] {
            raised.why.extend(
                findings.figures.get(&tank.key, key).map(|figure| super::heat::because_of_figure(record, figure)),
            );
        }
    }
    age(record, &heaters, out);
}

/// How fast a heater that sticks on warms the water.
struct Water {
    litres: Option<f64>,
    /// Hours at least, where the balance of heat is known: with pumps and lamps, which a simple sum leaves out.
    bound: Option<f64>,
}

fn no_cutoff(
    (record, tank): (&Record, &Tank),
    devices: &[&Device],
    heaters: &[&Device],
    water: Water,
    out: &mut Vec<Caution>,
) {
    let warmth = |device: &Device| {
        let settings = &device.settings.at(record.as_of)?.value;
        Some((
            settings.temperature.as_ref().map(|t| t.value.value),
            settings.thermostat.as_ref().map(|t| t.value.value),
        ))
    };
    let controller = devices
        .iter()
        .filter(|device| device.role.value == Role::Controller)
        .find_map(|device| warmth(device).and_then(|(temperature, thermostat)| temperature.or(thermostat)));
    let degrees = |value: f64| show(value, Dimension::Temperature, None, record.units, 1);
    let (mut stuck, mut open) = (Why::new(), Why::new());
    for heater in heaters {
        let (temperature, dial) = warmth(heater).unwrap_or((None, None));
        let target = controller.or(temperature);
        if let (Some(target), Some(dial)) = (target, dial) {
            // Two thermostats: right only when the dial stands a little above the controller.
            if dial < target {
                let reason = format!("its dial at {} stands below the controller's {}", degrees(dial), degrees(target));
                stuck.push(because_of(heater, &reason));
            } else if dial - target > 3.0 {
                let reason = format!(
                    "its dial at {} stands more than {} above the controller's {}",
                    degrees(dial),
                    show(3.0, Dimension::TemperatureDifference, None, record.units, 0),
                    degrees(target)
                );
                stuck.push(because_of(heater, &reason));
            }
            continue;
        }
        if controller.is_some() {
            open.push(because_of(heater, "a controller guards it; at what is its own dial set?"));
            continue;
        }
        match (watts_of(record, tank, heater), water.litres) {
            (Some(watts), Some(litres)) => {
                let start = target.or(dial).unwrap_or(USUAL_WARMTH);
                let hours = (TOO_HOT - start) / (watts / litres * KELVIN_L_PER_WH);
                let power =
                    format!("{} W in about {}", number(watts), show(litres, Dimension::Volume, None, record.units, 0));
                match water.bound {
                    // The figure tells the hours, beside this.
                    Some(bound) if hours.min(bound) < NOBODY_LOOKS_H => {
                        stuck.push(because_of(heater, &format!("{power}; no second thermostat is written")));
                    }
                    None if hours < NOBODY_LOOKS_H => {
                        let reason = format!(
                            "{power}: from {} to {} in about {hours:.1} h when stuck on, losses to the room and the heat of \
                             pumps and lamps not counted; no second thermostat is written",
                            degrees(start),
                            degrees(TOO_HOT),
                        );
                        stuck.push(because_of(heater, &reason));
                    }
                    _ => {}
                }
            }
            _ => {
                open.push(because_of(heater, "its watts or the water volume are not written, and no second thermostat"))
            }
        }
    }
    let (danger, title) = match (stuck.is_empty(), open.is_empty()) {
        (true, true) => return,
        (false, _) => (Danger::Animals, "A heater that sticks on would cook the tank"),
        (true, false) => (Danger::Check, "What stops a heater that sticks on?"),
    };
    let mut raised = caution("heater.no-cutoff", danger, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "A thermostat that sticks closed heats until somebody looks. A second one in series guards it: the controller \
         holds the temperature, and the heater's own dial stands 1 to 2 °C (2 to 4 °F) above, so that it stays shut off unless the \
         controller fails.",
        "Two smaller heaters instead of one large one halve what a stuck one can do.",
    ]);
    raised.why = stuck;
    raised.why.extend(open);
    raised.sources =
        vec!["common practice, no source; the hours from the heat capacity of sea water, 0.88 °C an hour per W/L"];
    raised.topics = vec!["equipment", "power", "water", "heat"];
    out.push(raised);
}

/// The net volume as written, else the outer size times the share of it that is usually water.
fn litres_of(record: &Record, tank: &Tank) -> Option<f64> {
    let written = tank.water.at(record.as_of).and_then(|stretch| stretch.value.volume.as_ref());
    written.map(|volume| volume.value).or_else(|| {
        let [length, width, height] = tank.size.as_ref()?.value;
        Some(length * width * height / 1000.0 * 0.825)
    })
}

fn age(record: &Record, heaters: &[&Device], out: &mut Vec<Caution>) {
    let why: Why = heaters
        .iter()
        .filter_map(|heater| match &heater.bought_on {
            None => Some(because_of(heater, "when was it bought? The record does not say")),
            Some(bought) => {
                let days = days_between(bought.value, record.as_of);
                let reason = format!("{}: bought on {}, more than 3 years ago", heater.name.value, bought.value);
                (days > 3 * 365 + 1).then(|| (reason, Some(bought.place.clone())))
            }
        })
        .collect();
    if why.is_empty() {
        return;
    }
    let title = "Look the heater up in the recall lists";
    let mut raised = caution("heater.recall-age", Danger::Check, title, AGENCY);
    raised.text = paragraphs(&[
        "Heaters have been recalled for overheating, fire and shock. Look the model and lot up in the recall list of the \
         safety agency of your country, and replace a heater by its age, not only when it fails.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "CPSC recalls of aquarium heaters (2011, 2014, 2015) — as quoted in copies of the notices",
        "common practice, no source (replacing by age)",
    ];
    raised.topics = vec!["equipment"];
    out.push(raised);
}

fn lamps(record: &Record, tank: &Tank, devices: &[&Device], out: &mut Vec<Caution>) {
    let lamps: Vec<&Device> = devices.iter().copied().filter(|device| device.role.value == Role::Lamp).collect();
    let mut why = Why::new();
    for lamp in &lamps {
        let over_a_year = days_between(lamp.in_service.value, record.as_of) > 365;
        let above = lamp.position.as_ref().is_none_or(|position| position.value == Position::OverWater);
        let spec = record.spec_of(tank, lamp).map(|spec| spec.name.value.as_str()).unwrap_or_default();
        if mentions(&format!("{} {spec}", lamp.name.value), &["halide", "fluorescent", "t5", "t8"]) {
            why.push(because_of(lamp, "hot glass over water"));
        }
        match lamp.metal_hardware {
            YesNo::Yes if over_a_year => {
                why.push(because_of(lamp, "hangs on metal, in service for more than 12 months"));
            }
            YesNo::Unknown if over_a_year && above => {
                why.push(because_of(lamp, "in service for more than 12 months; does it hang on metal?"));
            }
            _ => {}
        }
    }
    let rust: Why = tank
        .entries
        .iter()
        .filter(|entry| {
            let seen_on_lamp =
                entry.seen.iter().any(|(of, text)| has_rust(text) && lamps.iter().any(|lamp| lamp.key == of.value));
            let text = text_of(entry);
            let of_lamp = mentions(&text, &["lamp", "light", "hanger", "hangers", "bracket", "brackets", "mount"]);
            !lamps.is_empty() && (seen_on_lamp || (has_rust(&text) && of_lamp))
        })
        .map(|entry| (format!("{}: the entry tells of rust", entry.date()), Some(entry.place.clone())))
        .collect();
    let danger = if rust.is_empty() { Danger::Check } else { Danger::People };
    why.extend(newest(rust));
    if why.is_empty() {
        return;
    }
    let title = "A lamp over the water hangs only as well as its hardware";
    let mut raised = caution("lamp.hot-or-falling", danger, title, ELECTRICIAN);
    raised.text = paragraphs(&[
        "Salt air eats hangers, screws and brackets from inside. Look at them closely, replace what rusts, and hang the lamp \
         on a second line that holds it when the first one fails: a lamp in the water is mains in the water.",
        "Hot glass shatters when it is splashed. Let a lamp cool, and unplug it, before working under it.",
    ]);
    raised.why = why;
    raised.sources = vec!["common practice, no source"];
    raised.topics = vec!["light", "equipment"];
    out.push(raised);
}

fn has_rust(text: &str) -> bool {
    mentions(text, &["rust", "rusty", "rusts", "rusted", "rusting", "corroded", "corrosion"])
        && !mentions(text, &["no rust", "not rusty", "without rust", "no corrosion"])
}

fn batteries(devices: &[&Device], out: &mut Vec<Caution>) {
    // A pump with a battery of its own holds a pack too.
    let holds = |device: &&Device| device.role.value == Role::Battery || device.capacity.is_some();
    let packs: Vec<&Device> = devices.iter().copied().filter(holds).collect();
    if !packs.is_empty() {
        let below = |device: &Device| device.position.as_ref().is_some_and(|at| at.value == Position::UnderTank);
        let danger = if packs.iter().any(|pack| below(pack)) { Danger::People } else { Danger::Check };
        let mut raised = caution("battery.lithium", danger, "A battery pack near salt water", AGENCY);
        raised.text = paragraphs(&[
            "Use a listed product with its own charger, on a hard surface, at room temperature (charge between 0 and 40 °C, 32 and 104 °F), \
             not under the tank or in its cabinet where drips and salt fall, and not on the way out of the room.",
            "Stop using it when it swells, heats, smells or leaks. If it smokes, get everybody out and call the fire \
             service. It is recycled, never put in the bin.",
        ]);
        raised.why = packs
            .iter()
            .map(|pack| because_of(pack, if below(pack) { "a battery under the tank" } else { "a battery in service" }))
            .collect();
        raised.sources = vec![
            "NFPA, Lithium-Ion Battery Safety tip sheet — seen in copies",
            "U.S. Fire Administration, battery page — title or content seen",
        ];
        raised.topics = vec!["equipment", "power"];
        out.push(raised);
    }
}

/// The household is private: the reasons name the devices only.
fn button_cells(devices: &[&Device], children: YesNo, out: &mut Vec<Caution>) {
    if children == YesNo::No {
        return;
    }
    let (mut known, mut open) = (Why::new(), Why::new());
    for device in devices {
        match device.coin_cell {
            YesNo::Yes => known.push(because_of(device, "runs on a coin cell")),
            YesNo::Unknown if matches!(device.role.value, Role::Thermometer | Role::LeakAlarm) => {
                open.push(because_of(device, "does it run on a coin cell?"));
            }
            _ => {}
        }
    }
    let danger = match (known.is_empty(), open.is_empty()) {
        (true, true) => return,
        (false, _) if children == YesNo::Yes => Danger::People,
        _ => Danger::Check,
    };
    let title = "Coin cells and small children";
    let mut raised = caution("battery.button-cell", danger, title, DOCTOR);
    raised.text = paragraphs(&[
        "A swallowed coin cell burns through tissue within hours. Go to an emergency department at once, without waiting \
         for signs. Are there small children in the house, or do they visit? Then devices with coin cells have a battery \
         door that is screwed shut, and spare and spent cells are locked away.",
    ]);
    raised.why = known;
    raised.why.extend(open);
    raised.sources = vec!["CPSC button cell guidance; US Public Law 117-171 (2022) — from memory, to be checked"];
    raised.topics = vec!["equipment"];
    out.push(raised);
}

fn infection(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let why = tasks_where(record, tank, |task| task.hands_in_water == YesNo::Yes);
    if why.is_empty() {
        return;
    }
    let title = "Cuts, gloves, and sores that do not heal";
    let mut raised = caution("skin.infection", Danger::Check, title, DOCTOR);
    raised.text = paragraphs(&[
        "Cover cuts, wear long waterproof gloves, wash with soap afterwards, keep hands from mouth and eyes, and do not use \
         the kitchen sink, or disinfect it.",
        "A lump, a sore or a line of lumps on hand or arm that does not heal, even weeks later: see a doctor and say “I keep \
         an aquarium”. In one review such infections took a median of 21 days to show, and up to 270.",
        "Redness that spreads fast, swelling, blisters or fever after a cut in salt water: urgent care the same day.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "Jernigan & Farr (2000), Clin. Infect. Dis. 31(2): 439–443 — title or content seen",
        "Johnson & Stout (2015), Infection 43(6): 655–662 — title or content seen",
        "CDC on Vibrio vulnificus wounds — as quoted by another text",
    ];
    raised.topics = vec!["upkeep"];
    out.push(raised);
}

/// The household is private: the reasons name the water changes only.
fn bucket(tank: &Tank, children: YesNo, out: &mut Vec<Caution>) {
    let why = water_changes(tank);
    let danger = match children {
        YesNo::No => return,
        YesNo::Yes => Danger::People,
        YesNo::Unknown => Danger::Check,
    };
    if why.is_empty() {
        return;
    }
    let title = "Could a small child reach a bucket of water?";
    let mut raised = caution(
        "child.bucket",
        danger,
        title,
        "The child-safety agency of your country decides what to advise; in an emergency, the emergency number.",
    );
    raised.text = paragraphs(&[
        "Never leave a bucket or tub with liquid in it where a small child can come: toddlers topple in head first and drown \
         in a few centimetres. Empty it at once and turn it over.",
    ]);
    raised.why = why;
    raised.sources =
        vec!["CPSC Document 5006, Infants & Toddlers Can Drown in 5-Gallon Buckets — title or content seen"];
    raised.topics = vec!["upkeep", "water"];
    out.push(raised);
}

fn names_of(colony: &Colony) -> String {
    let mut names = vec![colony.name.value.as_str(), colony.key.as_str()];
    names.extend(
        colony.claims.iter().flat_map(|claim| [&claim.called, &claim.thought_to_be]).flatten().map(String::as_str),
    );
    names.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_rust_is_no_rust() {
        assert!(has_rust("Rust on the hanger"));
        assert!(!has_rust("Looked at the hanger: no rust"));
        assert!(!has_rust("trust the hanger"));
    }

    #[test]
    fn only_the_newest_reasons_are_listed() {
        let many: Why = (0..9).map(|n| (n.to_string(), None)).collect();
        let kept = newest(many);
        assert_eq!(kept.first().unwrap().0, "3");
        assert_eq!(kept.last().unwrap().0, "and 3 earlier entries");
    }
}
