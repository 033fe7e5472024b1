//! For the next keeper, or for whoever has to end it kindly: what to do tonight, this week, this month, what must never
//! be changed, what is owed to whom. It states what the record says and what is common practice, and says which is which.

use std::collections::BTreeSet;

use jiff::ToSpan;

use super::spoken::{people, spoken};
use crate::cautions::{Caution, Danger};
use crate::figures::Findings;
use crate::pages::journal::view::{View, date_text, fixed, sentence};
use crate::pages::journal::{settings, views};
use crate::pages::model::sheet::{Sheet, SheetSection};
use crate::pages::model::{Cell, HeadCell, Table};
use crate::read::{Content, DocumentKind, Folder, Node, is_private, key_name};
use crate::record::colony::{Colony, Group};
use crate::record::equipment::PowerUp;
use crate::record::supply::SupplyKind;
use crate::record::{Parameter, Record, YesNo, days_between};

/// Readings of so many days say what is normal.
const NORMAL_DAYS: i64 = 30;

/// Words that tell of something promised or borrowed.
const OWED: &[&str] =
    &["promised", "owe ", "owed", "on loan", "borrowed", "lent", "to be given", "give back", "return it"];

/// The hand-over of a record. Without `private`, contacts and whatever else is private stay out.
pub fn hand_over(record: &Record, findings: &Findings, cautions: &[Caution], folder: &Folder, private: bool) -> Sheet {
    let views = views(record, findings, cautions, folder);
    let as_of = date_text(record.as_of).text;
    let name = record.main_tank().map_or("the tank", |tank| tank.name.value.as_str());
    Sheet {
        kind: "sheet".into(),
        title: format!("{name}: hand-over"),
        standfirst: format!(
            "For the next keeper, or for whoever has to end it kindly. Made from the record as it stood on {as_of}: if that \
             is long ago, trust what you see before what you read. If you know nothing of such tanks, do the first part \
             and find somebody who does: a reef club or a shop that keeps corals."
        ),
        sections: [
            Some(first_day(&views, folder, private)),
            Some(first_week(&views)),
            Some(first_month(&views)),
            Some(never(&views, cautions)),
            Some(animals(record)),
            Some(owed(record, &views)),
            private.then(|| kept_private(folder)).flatten(),
            Some(kindly()),
            left_over_chemicals(record),
        ]
        .into_iter()
        .flatten()
        .collect(),
        foot: vec![
            "Advice marked “common practice” is habit of the trade, without a published source. Local rules, a licensed \
             electrician and a vet come first."
                .into(),
            format!("Every line from the record is of {as_of}. The record itself lies in the folder record/ beside this file."),
        ],
    }
}

fn whose(views: &[View], view: &View) -> String {
    if views.len() > 1 { format!("{}: ", view.tank.name.value) } else { String::new() }
}

fn first_day(views: &[View], folder: &Folder, private: bool) -> SheetSection {
    let mut section = SheetSection::new("The first day")
        .say(
            "Keep everything running and change nothing. Pumps and heaters stay on, lamps switch themselves. Do not feed for \
             two days: hungry is safe, a fouled tank is not (common practice). Pour in nothing but pure water, and only to \
             make good for what evaporated; salt does not evaporate.",
        )
        .say(
            "Keep your hands out of the water. If something must be done in it: unplug what hangs in the water first, wear \
             gloves and goggles, and wash afterwards. Some corals are poisonous through small cuts.",
        );
    let contacts = if private { contacts(folder) } else { Vec::new() };
    section = if contacts.is_empty() {
        let why =
            if private { "The record names nobody to call." } else { "The people to call were left out of this copy." };
        section.items([why.to_string()])
    } else {
        section.items(contacts.into_iter().map(|line| format!("To call: {line}")))
    };
    for view in views {
        let normal = normal(view);
        if !normal.is_empty() {
            let text = format!("{}normal in the last {NORMAL_DAYS} days: {}.", whose(views, view), normal.join(", "));
            section = section.items([text]);
        }
        let strips: BTreeSet<&str> = view
            .tank
            .devices_at(view.record.as_of)
            .filter(|device| device.role.value.moves_water())
            .map(|device| device.name.value.as_str())
            .collect();
        if !strips.is_empty() {
            let names: Vec<&str> = strips.into_iter().collect();
            let text = format!(
                "{}water must move at all times. These do it: {}. If they stand still and there is power, that is an \
                 emergency within hours.",
                whose(views, view),
                names.join(", ")
            );
            section = section.items([text]);
        }
    }
    section
}

/// Range of the readings of the last days, of what is read most.
fn normal(view: &View) -> Vec<String> {
    let from = view.record.as_of.saturating_sub(NORMAL_DAYS.days());
    [Parameter::Temperature, Parameter::Salinity, Parameter::Ph, Parameter::Alkalinity]
        .into_iter()
        .filter_map(|parameter| {
            let series = &view.of.water.get(&parameter)?.series;
            let values: Vec<f64> = series
                .points
                .iter()
                .filter(|point| point.when.date() >= from)
                .map(|point| point.value * parameter.shown_factor())
                .collect();
            let low = values.iter().copied().reduce(f64::min)?;
            let high = values.iter().copied().reduce(f64::max)?;
            let decimals = usize::from(parameter.decimals());
            let name = crate::pages::journal::view::lower(parameter.shown());
            let shift = view.shift(parameter.unit());
            let (low, high) = (fixed(shift.value(low), decimals), fixed(shift.value(high), decimals));
            let range = if low == high { low } else { format!("{low} to {high}") };
            Some(if parameter == Parameter::Ph {
                format!("{name} {range}")
            } else {
                format!("{name} {range}\u{a0}{}", shift.unit)
            })
        })
        .collect()
}

/// What stands under `contacts` in the tanks' own files.
fn contacts(folder: &Folder) -> Vec<String> {
    let mut lines = Vec::new();
    for document in folder.documents.iter().filter(|document| document.kind == DocumentKind::Tank) {
        if let Some(contacts) = document.root.get("contacts") {
            lines.extend(people(contacts));
        }
    }
    lines
}

fn first_week(views: &[View]) -> SheetSection {
    let mut section = SheetSection::new("The first week").say(
        "Learn what each plug is for before you pull one. Label them. Do the short tasks below at the keeper's pace, feed \
         as planned, and write down what you see: date, temperature, what you did.",
    );
    for view in views {
        section = section.table(devices(views, view)).table(tasks(views, view, 0.0, 8.0)).table(plans(views, view));
    }
    section
}

fn devices(views: &[View], view: &View) -> Table {
    let rows = view
        .tank
        .devices_at(view.record.as_of)
        .map(|device| {
            let setting = device
                .settings
                .at(view.record.as_of)
                .map(|at| settings::setting_line(view, &at.value, 3))
                .unwrap_or_default();
            let named = |key: &str| view.tank.device(key).map_or(key.to_string(), |on| on.name.value.clone());
            let hangs: Vec<String> =
                [&device.plugged, &device.protection].into_iter().flatten().map(|on| named(&on.value)).collect();
            let power = match &device.forgets {
                None => "not recorded".to_string(),
                Some(forgets) => {
                    let mut parts = Vec::new();
                    if forgets.restarts_itself == YesNo::No {
                        parts.push("does not start by itself".to_string());
                    }
                    if forgets.keeps_clock == YesNo::No {
                        parts.push("forgets the hour".to_string());
                    }
                    if forgets.keeps_settings == YesNo::No {
                        parts.push("forgets its settings".to_string());
                    }
                    match forgets.state_at_power_up {
                        PowerUp::Full => parts.push("comes on at full power".to_string()),
                        PowerUp::Off => parts.push("stays off".to_string()),
                        PowerUp::On | PowerUp::Last | PowerUp::Unknown => {}
                    }
                    match &forgets.needs_hand {
                        Some(hand) => parts.push(hand.clone()),
                        None if !parts.is_empty() => parts.push("what to press is not recorded".to_string()),
                        None => {}
                    }
                    match (parts.is_empty(), forgets.restarts_itself) {
                        (false, _) => parts.join("; "),
                        (true, YesNo::Yes) => "starts again by itself".into(),
                        (true, _) => "not recorded".into(),
                    }
                }
            };
            vec![
                Cell::header(device.name.value.clone()),
                Cell::text(device.role.value.shown()),
                Cell::text(setting),
                Cell::text(if hangs.is_empty() { "not recorded".into() } else { hangs.join(", ") }),
                Cell::text(power),
            ]
        })
        .collect();
    Table {
        caption: format!("{}what is plugged in", whose(views, view)),
        head: ["Device", "For", "Set to", "Hangs on", "After a power cut"].into_iter().map(HeadCell::text).collect(),
        rows,
    }
}

/// Tasks with an interval in days above `from` and up to `to`.
fn tasks(views: &[View], view: &View, from: f64, to: f64) -> Table {
    let rows = view
        .of
        .tasks
        .iter()
        .filter(|task| from < task.every_days && task.every_days <= to)
        .map(|state| {
            let task = &view.tank.upkeep.tasks[&state.key];
            let last = state.done.last().map_or("never written down".into(), |on| date_text(*on).text);
            let takes =
                task.takes.as_ref().map_or(String::new(), |takes| format!("{}\u{a0}min", fixed(takes.value, 0)));
            vec![
                Cell::header(task.what.clone()),
                Cell::text(state.every.every()),
                Cell::text(takes),
                Cell::text(last),
                Cell::text(task.why.clone().unwrap_or_default()),
            ]
        })
        .collect();
    Table {
        caption: format!("{}recurring work", whose(views, view)),
        head: ["Task", "How often", "Takes", "Last done", "Why"].into_iter().map(HeadCell::text).collect(),
        rows,
    }
}

/// Feeding and dosing as they stand: of each supply the newest plan.
fn plans(views: &[View], view: &View) -> Table {
    let mut rows = Vec::new();
    for (what, plans) in [("feed", &view.tank.upkeep.feeding), ("dose", &view.tank.upkeep.dosing)] {
        let supplies: BTreeSet<&str> = plans.iter().map(|plan| plan.of.value.as_str()).collect();
        for key in supplies {
            let newest = plans.iter().filter(|plan| plan.of.value == key).max_by_key(|plan| plan.since);
            let Some(plan) = newest.filter(|plan| plan.amount.value.value > 0.0) else { continue };
            let supply = view.record.supplies.get(key);
            rows.push(vec![
                Cell::header(supply.map_or(key, |supply| supply.name.value.as_str())),
                Cell::text(what),
                Cell::text(view.typed(&plan.amount.value)),
                Cell::text(if plan.every_days == 1.0 {
                    "every day".into()
                } else {
                    format!("every {} days", fixed(plan.every_days, 0))
                }),
                Cell::text(plan.by.as_ref().map_or("by hand".into(), |by| format!("by {}", by.value))),
            ]);
        }
    }
    Table {
        caption: format!("{}what is given", whose(views, view)),
        head: ["What", "How", "How much", "How often", "By"].into_iter().map(HeadCell::text).collect(),
        rows,
    }
}

fn first_month(views: &[View]) -> SheetSection {
    let mut section = SheetSection::new("The first month").say(
        "Take over the rarer work. Keep the keeper's test kits at first: a new kit reads differently, and its readings cannot \
         be told from a change in the tank. Change one thing at a time and wait three weeks (common practice).",
    );
    for view in views {
        let questions: Vec<String> = crate::pages::journal::log::questions(view)
            .into_iter()
            .filter(|question| question.answer.is_none())
            .map(|question| {
                format!("{}open question of {}: {}", whose(views, view), question.asked.text, question.question)
            })
            .collect();
        let kits: Vec<String> = view
            .tank
            .usual_kits
            .iter()
            .filter_map(|(parameter, kit)| {
                let name = &view.record.supplies.get(&kit.value)?.name.value;
                Some(format!("{}: {name}", crate::pages::journal::view::lower(parameter.shown())))
            })
            .collect();
        section = section.table(tasks(views, view, 8.0, f64::INFINITY)).items(questions);
        if !kits.is_empty() {
            section = section.items([format!("{}kits in use: {}.", whose(views, view), kits.join("; "))]);
        }
    }
    section
}

fn never(views: &[View], cautions: &[Caution]) -> SheetSection {
    let mut section = SheetSection::new("What must never be changed").items([
        "Never let the flow stop, and never switch off the heating in a cold room.".to_string(),
        "Never pour in tap water, and never salt water for what evaporated.".to_string(),
        "Never clean everything at once: sand, rock and filters carry the life that keeps the water sound (common practice)."
            .to_string(),
        "Never mix acids, bleach and stock solutions, nor pour one into another's bottle.".to_string(),
    ]);
    for view in views {
        let tank = view.tank;
        let as_of = view.record.as_of;
        for device in tank.devices_at(as_of) {
            let Some(at) = device.settings.at(as_of) else { continue };
            if let Some(why) = &at.value.why {
                let setting = settings::setting_line(view, &at.value, 3);
                let text = format!("{}{} stays at {setting}: {why}", whose(views, view), device.name.value);
                section = section.items([sentence(&text)]);
            }
        }
        let bands: Vec<String> = tank
            .bands
            .iter()
            .filter_map(|(parameter, band)| {
                let band = &band.at(as_of)?.value;
                let shift = view.shift(parameter.unit());
                let decimals = usize::from(parameter.decimals());
                let end = |value: f64| fixed(shift.value(value * parameter.shown_factor()), decimals);
                let name = crate::pages::journal::view::lower(parameter.shown());
                Some(match (band.low.is_finite(), band.high.is_finite()) {
                    (true, true) => format!("{name} {} to {}\u{a0}{}", end(band.low), end(band.high), shift.unit),
                    (true, false) => format!("{name} above {}\u{a0}{}", end(band.low), shift.unit),
                    _ => format!("{name} below {}\u{a0}{}", end(band.high), shift.unit),
                })
            })
            .collect();
        if !bands.is_empty() {
            let text = format!(
                "{}the keeper wanted {}. Go back to these slowly, over days, whatever a test says today.",
                whose(views, view),
                bands.join("; ")
            );
            section = section.items([sentence(&text)]);
        }
    }
    let dangers = cautions.iter().filter(|caution| caution.danger == Danger::People);
    section.items(dangers.map(|caution| format!("Danger to people: {}", sentence(&caution.title))))
}

fn animals(record: &Record) -> SheetSection {
    let as_of = record.as_of;
    let mut here: Vec<&Colony> = record.colonies.values().filter(|colony| colony.is_here_on(as_of)).collect();
    here.sort_by_key(|colony| (colony.group.value, colony.arrived.value));
    let rows = here
        .iter()
        .map(|colony| {
            let placement = colony.placement_on(as_of);
            let tank = placement.and_then(|placement| record.tanks.get(&placement.tank.value));
            let place = placement.and_then(|placement| placement.where_text.clone());
            vec![
                Cell::header(colony.name.value.clone()),
                Cell::text(colony.group.value.shown()),
                Cell::text(tank.map_or(String::new(), |tank| tank.name.value.clone())),
                Cell::text(place.unwrap_or_else(|| "place not recorded".into())),
                Cell::text(format!(
                    "{} years",
                    fixed(f64::from(days_between(colony.arrived.value, as_of)) / 365.25, 1)
                )),
            ]
        })
        .collect();
    let mut section = SheetSection::new("Who lives here")
        .say("Count heads on the first day and mark who is missing. What died must come out soon, with gloves.")
        .table(Table {
            caption: "Animals and plants".into(),
            head: ["Name", "Kind", "Tank", "Place", "Here for"].into_iter().map(HeadCell::text).collect(),
            rows,
        });
    if here.iter().any(|colony| matches!(colony.group.value, Group::Zoanthid | Group::Anemone | Group::Fish)) {
        section = section.say(
            "Zoanthids can hold palytoxin: never scrape, cut, boil or dry them. Anemones wander into pumps. Fish need an \
             adult keeper's judgement before they are moved.",
        );
    }
    section
}

fn owed(record: &Record, views: &[View]) -> SheetSection {
    let mut lines = Vec::new();
    let mut speaks = |what: &str, text: &str| {
        let lower = text.to_lowercase();
        if OWED.iter().any(|word| lower.contains(word)) {
            lines.push(format!("{what}: {text}"));
        }
    };
    for supply in record.supplies.values() {
        supply.note.iter().for_each(|note| speaks(&supply.name.value, note));
    }
    for colony in record.colonies.values() {
        colony.note.iter().chain(&colony.story).for_each(|text| speaks(&colony.name.value, text));
    }
    for tank in record.tanks.values() {
        for device in tank.devices.values() {
            device.note.iter().for_each(|note| speaks(&device.name.value, note));
        }
        for entry in &tank.entries {
            let said = entry.note.iter().map(|note| &note.value);
            said.for_each(|text| speaks(&date_text(entry.date()).text, text));
        }
    }
    for view in views {
        let questions = crate::pages::journal::log::questions(view);
        for open in questions.iter().filter(|question| question.answer.is_none()) {
            speaks(&open.asked.text, &open.question);
        }
    }
    let section = SheetSection::new("What is owed to whom").say(
        "These lines of the record speak of something promised, lent or borrowed. They were found by their words only: the \
         record may hold more, and the keeper may have promised what was never written down.",
    );
    if lines.is_empty() {
        lines.push("No line was found.".into());
    }
    section.items(lines)
}

fn kept_private(folder: &Folder) -> Option<SheetSection> {
    let mut kept = Vec::new();
    for document in &folder.documents {
        private_notes(&document.path, &document.root, &mut kept);
    }
    let section = SheetSection::new("What the keeper wrote under “private”, word for word");
    (!kept.is_empty()).then(|| section.items(kept))
}

/// Everything private but the contacts, which stand on top, and what is of no use to a stranger.
pub(super) fn private_notes(file: &str, node: &Node, into: &mut Vec<String>) {
    match &node.content {
        Content::Map(pairs) => {
            for (key, value) in pairs {
                let name = key_name(key);
                if name == "private" {
                    into.extend(spoken(value).into_iter().map(|line| format!("{file}: {line}")));
                } else if !is_private(&name) {
                    private_notes(file, value, into);
                }
            }
        }
        Content::List(items) => items.iter().for_each(|item| private_notes(file, item, into)),
        _ => {}
    }
}

fn kindly() -> SheetSection {
    SheetSection::new("How to end it kindly")
        .say(
            "Nothing has to be decided today. The tank can run for weeks on the first week's list. When it has to end, end \
             it in this order (common practice):",
        )
        .items([
            "Keep everything running until the last animal has gone.".to_string(),
            "Ask a reef club, a public aquarium or a shop that keeps corals to take the animals. Take pictures first. Give \
             away fish and shrimps first, then stony corals, then soft corals and anemones, then snails and algae; the rock \
             goes last, wet."
                .to_string(),
            "Hand on the life history of each coral with it: the pages in journal/colony/ and its identity string. Somebody \
             may still be waiting to hear of it."
                .to_string(),
            "Some animals may need papers to be passed on or sent abroad; ask the authority of your country before you do \
             (stony corals and clams stand in the lists of CITES)."
                .to_string(),
            "Never release an animal, an alga, sand, rock or water into the sea, a river, a pond or a storm drain. Used \
             water goes down the toilet or a sink that leads to a sewer."
                .to_string(),
            "Then switch off: lamps first, dosing next, heaters before the water is lowered (a heater in air can burst or \
             burn), pumps last, and pull the plugs with dry hands."
                .to_string(),
            "An animal that is dying and that nobody can take is a case for a vet, not for the freezer.".to_string(),
        ])
}

fn left_over_chemicals(record: &Record) -> Option<SheetSection> {
    let chemicals: Vec<String> = record
        .supplies
        .values()
        .filter(|supply| matches!(supply.kind.value, SupplyKind::Chemical | SupplyKind::Stock))
        .filter(|supply| supply.until.as_ref().is_none_or(|until| until.value > record.as_of))
        .map(|supply| {
            let place = supply.where_kept.as_ref().map_or("place not recorded", |place| place.value.as_str());
            let locked = match supply.locked.as_ref().map_or(YesNo::Unknown, |locked| locked.value) {
                YesNo::Yes => "locked",
                YesNo::No => "not locked",
                YesNo::Unknown => "whether locked is not recorded",
            };
            format!("{}: {place}; {locked}", supply.name.value)
        })
        .collect();
    let section = SheetSection::new("Bottles and powders that are left")
        .say("They go to a collecting point for dangerous waste in their own containers, unmixed.");
    (!chemicals.is_empty()).then(|| section.items(chemicals))
}
