//! Links between documents: every name used somewhere must be the name of something.

use std::collections::BTreeSet;

use super::fields::Context;
use super::{Record, Role, Tank, tables};
use crate::diagnostic::{Diagnostic, Kind, Place, nearest};
use crate::read::{DocumentKind, Folder};

/// Checks all links, and fills what needs other documents (tables beside spec sheets).
pub fn link(folder: &Folder, record: &mut Record, context: &mut Context) {
    tables::read(folder, record, context);
    let names = Names::of(folder, record);
    for tank in record.tanks.values() {
        tank_links(tank, record, &names, context);
    }
    colony_links(record, &names, context);
    story_links(record, &names, context);
}

/// All names that may be meant.
struct Names {
    supplies: BTreeSet<String>,
    colonies: BTreeSet<String>,
    tanks: BTreeSet<String>,
}

impl Names {
    fn of(folder: &Folder, record: &Record) -> Names {
        Names {
            supplies: record.supplies.keys().cloned().collect(),
            colonies: record.colonies.keys().cloned().collect(),
            // A tank whose own file is wrong is there all the same; that file's mistakes are told already.
            tanks: folder
                .documents
                .iter()
                .filter(|document| document.kind == DocumentKind::Tank)
                .map(|document| document.tank.clone().unwrap_or_else(|| ".".into()))
                .chain(record.tanks.keys().cloned())
                .collect(),
        }
    }
}

fn check(what: &str, name: &str, place: &Place, known: &BTreeSet<String>, context: &mut Context) -> bool {
    if known.contains(name) {
        return true;
    }
    let kind = Kind::DanglingReference {
        what: what.into(),
        name: name.into(),
        nearest: nearest(name, known.iter().map(String::as_str)),
        known: known.iter().cloned().collect(),
    };
    context.note(kind, place);
    false
}

fn photo_link(record: &Record, typed: &str, place: &Place, context: &mut Context) {
    if typed.split(['/', '\\']).any(|part| part == "..") || typed.starts_with('/') {
        context.note(Kind::LeavesTheRecord { path: typed.into() }, place);
    } else if record.photo(typed).is_none() {
        let kind = Kind::MissingPhoto {
            path: typed.into(),
            nearest: nearest(
                &format!("photos/{}", typed.trim_start_matches("photos/")),
                record.photos.keys().map(String::as_str),
            ),
        };
        context.note(kind, place);
    }
}

fn tank_links(tank: &Tank, record: &Record, names: &Names, context: &mut Context) {
    let devices: BTreeSet<String> = tank.devices.keys().cloned().collect();
    let mut specs: BTreeSet<String> = tank.specs.keys().cloned().collect();
    if let Some(root) = record.tanks.get(".") {
        specs.extend(root.specs.keys().cloned());
    }
    let tasks: BTreeSet<String> = tank.upkeep.tasks.keys().cloned().collect();
    if let Some(hero) = &tank.hero {
        photo_link(record, &hero.value, &hero.place, context);
    }
    for colony in tank.compare.iter().filter_map(|pair| pair.colony.as_ref()) {
        check("colony", &colony.value, &colony.place, &names.colonies, context);
    }
    for kit in tank.usual_kits.values() {
        // A record may begin before its supplies are written down; a kit that is named must then exist.
        if !names.supplies.is_empty() {
            check("supply", &kit.value, &kit.place, &names.supplies, context);
        }
    }
    let changes = tank.entries.iter().filter_map(|entry| entry.water_change.as_ref());
    for salt in tank.salt.iter().chain(changes.filter_map(|change| change.salt.as_ref())) {
        check("supply", &salt.value, &salt.place, &names.supplies, context);
    }
    for device in tank.devices.values() {
        if let Some(spec) = &device.spec {
            check("spec sheet", &spec.value, &spec.place, &specs, context);
        }
        for (what, link) in [("device (plugged)", &device.plugged), ("device (protection)", &device.protection)] {
            if let Some(link) = link {
                check(what, &link.value, &link.place, &devices, context);
            }
        }
        for run in &device.runs {
            check("device (runs)", &run.value, &run.place, &devices, context);
        }
        if let Some(photo) = &device.photo {
            photo_link(record, &photo.value, &photo.place, context);
        }
    }
    for entry in &tank.entries {
        for reading in &entry.readings {
            if let Some(kit) = &reading.kit
                && !names.supplies.is_empty()
                && tank.usual_kits.get(&reading.parameter) != Some(kit)
            {
                check("supply", &kit.value, &kit.place, &names.supplies, context);
            }
        }
        for amount in entry.doses.iter().chain(&entry.feeds) {
            if !names.supplies.is_empty() {
                check("supply", &amount.of.value, &amount.of.place, &names.supplies, context);
            }
        }
        for harvest in &entry.harvests {
            if !names.colonies.is_empty() {
                check("colony", &harvest.of.value, &harvest.of.place, &names.colonies, context);
            }
        }
        for done in &entry.done {
            if !tasks.is_empty() {
                check("task", &done.value, &done.place, &tasks, context);
            }
        }
        for (name, _) in &entry.flow_tests {
            check("device", &name.value, &name.place, &devices, context);
        }
        for (name, _) in &entry.seen {
            let known: BTreeSet<String> = names.colonies.union(&devices).cloned().collect();
            if !known.is_empty() {
                check("colony or device", &name.value, &name.place, &known, context);
            }
        }
        for photo in &entry.photos {
            photo_link(record, &photo.file.value, &photo.file.place, context);
        }
    }
    answers(tank, context);
    for survey in &tank.surveys {
        if check("lamp", &survey.lamp.value, &survey.lamp.place, &devices, context)
            && tank.devices[&survey.lamp.value].role.value != Role::Lamp
        {
            let kind = Kind::Contradiction {
                what: format!("`{}` is no lamp", survey.lamp.value),
                why: format!("its role is {}", tank.devices[&survey.lamp.value].role.value.word()),
                suggestion: None,
            };
            context.note(kind, &survey.lamp.place);
        }
        for (colony, _, _) in &survey.at {
            check("colony", &colony.value, &colony.place, &names.colonies, context);
        }
    }
    for file in &tank.readings {
        if let Some(sensor) = &file.sensor {
            check("device", &sensor.value, &sensor.place, &devices, context);
        }
    }
    for plan in tank.upkeep.feeding.iter().chain(&tank.upkeep.dosing) {
        check("supply", &plan.of.value, &plan.of.place, &names.supplies, context);
        if let Some(by) = &plan.by {
            check("device", &by.value, &by.place, &devices, context);
        }
    }
    for (name, lifetime) in &tank.upkeep.lifetimes {
        check("device", name, &lifetime.place, &devices, context);
    }
    for task in tank.upkeep.tasks.values() {
        if let Some(device) = &task.device {
            check("device", &device.value, &device.place, &devices, context);
        }
        if let Some(photo) = &task.photo {
            photo_link(record, &photo.value, &photo.place, context);
        }
    }
    sitter_links(tank, record, names, context);
}

fn sitter_links(tank: &Tank, record: &Record, names: &Names, context: &mut Context) {
    let plan = &tank.upkeep.sitter;
    let contacts: BTreeSet<String> = tank.contacts.keys().cloned().collect();
    for call in &plan.call {
        check("contact", &call.value, &call.place, &contacts, context);
    }
    for count in &plan.count {
        check("colony", &count.colony.value, &count.colony.place, &names.colonies, context);
    }
    let level = plan.level.iter().filter_map(|level| level.photo.as_ref());
    for photo in plan.looks.iter().chain(&plan.odd).filter_map(|shot| shot.photo.as_ref()).chain(level) {
        photo_link(record, &photo.value, &photo.place, context);
    }
}

/// An answer names its question by id or by its words.
fn answers(tank: &Tank, context: &mut Context) {
    let asked: BTreeSet<String> = tank
        .entries
        .iter()
        .filter_map(|entry| entry.ask.as_ref())
        .flat_map(|ask| ask.id.iter().cloned().chain([ask.what.value.clone()]))
        .collect();
    for answer in tank.entries.iter().filter_map(|entry| entry.answer.as_ref()) {
        check("question", &answer.to.value, &answer.to.place, &asked, context);
    }
}

fn colony_links(record: &Record, names: &Names, context: &mut Context) {
    for colony in record.colonies.values() {
        for placement in &colony.placements {
            check("tank", &placement.tank.value, &placement.tank.place, &names.tanks, context);
        }
        if let Some(photo) = &colony.photo {
            photo_link(record, &photo.value, &photo.place, context);
        }
        for size in &colony.sizes {
            if let Some(photo) = &size.photo {
                photo_link(record, &photo.value, &photo.place, context);
            }
        }
        let Some(parent) = &colony.parent else {
            continue;
        };
        if !check("colony (parent)", &parent.colony.value, &parent.colony.place, &names.colonies, context) {
            continue;
        }
        let mother = &record.colonies[&parent.colony.value];
        if colony.arrived.value < mother.arrived.value {
            let kind = Kind::Contradiction {
                what: format!("`{}` is older than its mother `{}`", colony.key, mother.key),
                why: format!("the mother arrived {}, this one {}", mother.arrived.value, colony.arrived.value),
                suggestion: None,
            };
            let diagnostic = Diagnostic::new(kind, colony.arrived.place.clone());
            let related = (mother.arrived.place.clone(), "the mother's arrival".to_string());
            context.diagnostics.push(diagnostic.with_related(related.0, related.1));
        }
        if descends_from_itself(record, &colony.key) {
            let kind = Kind::Contradiction {
                what: format!("`{}` descends from itself", colony.key),
                why: "its line of parents comes back to it".into(),
                suggestion: None,
            };
            context.note(kind, &parent.colony.place);
        }
    }
    let mut identities = std::collections::BTreeMap::new();
    for colony in record.colonies.values() {
        let Some(identity) = &colony.identity else {
            continue;
        };
        if let Some(earlier) = identities.insert(identity.value.clone(), identity.place.clone()) {
            let kind = Kind::DuplicateName { name: identity.value.clone(), what: "identity".into() };
            let diagnostic = Diagnostic::new(kind, identity.place.clone());
            context.diagnostics.push(diagnostic.with_related(earlier, "the other one".to_string()));
        }
    }
}

fn descends_from_itself(record: &Record, key: &str) -> bool {
    let mut seen = BTreeSet::new();
    let mut at = key;
    while let Some(parent) = record.colonies.get(at).and_then(|colony| colony.parent.as_ref()) {
        at = &parent.colony.value;
        if at == key {
            return true;
        }
        // A loop further up is told at its own members.
        if !seen.insert(at) {
            return false;
        }
    }
    false
}

fn story_links(record: &Record, names: &Names, context: &mut Context) {
    let chapters: BTreeSet<String> = record.chapters.iter().map(|chapter| chapter.key.clone()).collect();
    for chapter in &record.chapters {
        if let Some(photo) = &chapter.photo {
            photo_link(record, &photo.value, &photo.place, context);
        }
    }
    let devices: BTreeSet<String> = record.tanks.values().flat_map(|tank| tank.devices.keys().cloned()).collect();
    for page in record.videos.iter().flat_map(|video| &video.marks).filter_map(|mark| mark.page.as_ref()) {
        let (room, name) = page.value.split_once('/').unwrap_or((&page.value, ""));
        match room {
            "story" => drop(check("chapter", name, &page.place, &chapters, context)),
            "colony" => drop(check("colony", name, &page.place, &names.colonies, context)),
            "equipment" => drop(check("device", name, &page.place, &devices, context)),
            "water" => drop(super::fields::parameter(name, &page.place, context)),
            "light" | "power" | "movement" | "heat" | "upkeep" => {}
            other => {
                let allowed =
                    ["story/…", "colony/…", "equipment/…", "water/…", "light", "power", "movement", "heat", "upkeep"];
                let kind = Kind::WrongWord {
                    what: "page of a chapter mark".into(),
                    typed: other.into(),
                    allowed: allowed.iter().map(|word| word.to_string()).collect(),
                    nearest: nearest(other, allowed),
                };
                context.note(kind, &page.place);
            }
        }
    }
}
