//! The typed record, with links between documents resolved and every mistake turned into a diagnostic.

use std::collections::BTreeMap;

use jiff::civil::Date;

mod as_of;
mod claims;
pub mod colony;
pub mod entry;
pub mod equipment;
mod fields;
mod link;
mod moments;
mod parameter;
mod parse;
mod photos;
mod plausible;
pub mod sensor;
pub mod site;
pub mod sitter;
pub mod story;
pub mod supply;
pub mod survey;
mod suspect;
mod tables;
pub mod tank;
mod timeline;
pub mod upkeep;

pub use colony::Colony;
pub use entry::{Entry, Lane, Reading};
pub use equipment::{Device, Role, SpecSheet};
pub use parameter::Parameter;
pub use parse::log::{bound_word, ion_value};
pub use photos::shows_tank;
pub use site::{Site, SiteAddress};
pub use story::{Chapter, Photo, Video};
pub use supply::Supply;
pub use survey::{LightSurvey, ReadingsFile};
pub use tank::{Band, Tank, YesNo, days_between};
pub use timeline::{Located, Stretch, Timeline};
pub use upkeep::Upkeep;

use crate::diagnostic::{Diagnostic, Diagnostics, Kind};
use crate::read::{Document, DocumentKind, Folder};
use crate::units::{Quantity, System};
use fields::Context;

/// All that a folder says, typed and linked.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// By key: `.` first, then the folders by name.
    pub tanks: BTreeMap<String, Tank>,
    pub supplies: BTreeMap<String, Supply>,
    pub colonies: BTreeMap<String, Colony>,
    /// In their own order.
    pub chapters: Vec<Chapter>,
    /// By date of filming.
    pub videos: Vec<Video>,
    /// By path.
    pub photos: BTreeMap<String, Photo>,
    /// The date at which the record stands: nothing later is in it.
    pub as_of: Date,
    /// The units in which texts, pages and charts made from it are written.
    pub units: System,
}

impl Record {
    /// The tank that the front page is about: at the root, or the only one, or the first.
    pub fn main_tank(&self) -> Option<&Tank> {
        self.tanks.get(".").or_else(|| self.tanks.values().next())
    }

    /// Where the journal is published, as its main tank says; without an address nothing is known of it.
    pub fn site(&self) -> Option<&Site> {
        self.main_tank()?.site.as_ref()
    }

    /// Where a photo lies, by the path written in the record (with or without `photos/`).
    pub fn photo(&self, typed: &str) -> Option<&Photo> {
        photos::find(&self.photos, typed)
    }

    /// Spec sheet of a device: beside its tank, else at the root.
    pub fn spec_of<'a>(&'a self, tank: &'a Tank, device: &Device) -> Option<&'a SpecSheet> {
        let name = &device.spec.as_ref()?.value;
        tank.specs.get(name).or_else(|| self.tanks.get(".")?.specs.get(name))
    }

    /// What a top-off draws from, as the keeper wrote it, else as its sheet states it, and which of the two.
    pub fn reservoir_of<'a>(&'a self, tank: &'a Tank, device: &'a Device) -> Option<(&'a Located<Quantity>, bool)> {
        let of_sheet = || Some((self.spec_of(tank, device)?.volume.as_ref()?, false));
        device.reservoir.as_ref().map(|volume| (volume, true)).or_else(of_sheet)
    }

    /// Colonies that stand in a tank on a date, by key.
    pub fn colonies_in<'a>(&'a self, tank: &'a str, date: Date) -> impl Iterator<Item = &'a Colony> {
        self.colonies.values().filter(move |colony| {
            colony.is_here_on(date) && colony.placement_on(date).is_some_and(|placement| placement.tank.value == tank)
        })
    }

    /// The newest date at which anything was entered in a log.
    pub fn newest_entry(&self) -> Option<Date> {
        self.tanks.values().flat_map(|tank| tank.entries.last()).map(Entry::date).max()
    }
}

/// Types and links all documents. Mistakes go into the diagnostics; what can be kept is kept, so that one bad entry
/// does not hide the mistakes of the others. `today` is the day after which nothing can have happened.
pub fn build(folder: &Folder, today: Date) -> (Record, Diagnostics) {
    let mut context = Context { diagnostics: Diagnostics::default(), today, asked: None };
    let record = build_in(&mut context, folder);
    let mut diagnostics = context.diagnostics;
    diagnostics.sort();
    (record, diagnostics)
}

/// The same, for the keys that the readers ask for, by the map in which they may stand.
#[cfg(test)]
pub(crate) fn asked_keys(folder: &Folder, today: Date) -> (fields::AskedKeys, Diagnostics) {
    let mut context = Context { diagnostics: Diagnostics::default(), today, asked: Some(fields::AskedKeys::new()) };
    build_in(&mut context, folder);
    (context.asked.unwrap_or_default(), context.diagnostics)
}

fn build_in(context: &mut Context, folder: &Folder) -> Record {
    let today = context.today;
    let mut record = Record {
        tanks: BTreeMap::new(),
        supplies: BTreeMap::new(),
        colonies: BTreeMap::new(),
        chapters: Vec::new(),
        videos: Vec::new(),
        photos: BTreeMap::new(),
        as_of: today,
        units: System::default(),
    };
    for document in of_kind(folder, DocumentKind::Tank) {
        let key = tank_key(document);
        if let Some(tank) = parse::tank::tank(document, &key, context) {
            record.tanks.insert(key, tank);
        }
    }
    read_tank_folders(folder, &mut record, context);
    read_shared(folder, &mut record, context);
    record.photos = photos::gather(folder, context);
    link::link(folder, &mut record, context);
    site::only_of_the_main_tank(&record, context);
    photos::tell(&mut record);
    photos::mark_private(&mut record);
    for tank in record.tanks.values() {
        suspect::look(tank, context);
    }
    claims::check(&record, context);
    plausible::check(&record, context);
    moments::check(&record, &mut context.diagnostics);
    record.as_of = record.newest_entry().unwrap_or(today);
    record
}

fn tank_key(document: &Document) -> String {
    document.tank.clone().unwrap_or_else(|| ".".into())
}

/// The tank whose folder a document stands in. Without a tank at the root, its log may still speak for the tanks that its
/// entries name; until they are known it stands with the first.
fn owner_of<'r>(document: &Document, record: &'r mut Record) -> Option<&'r mut Tank> {
    let mut key = tank_key(document);
    if key == "." && !record.tanks.contains_key(&key) {
        key = record.tanks.keys().next()?.clone();
    }
    record.tanks.get_mut(&key)
}

fn of_kind(folder: &Folder, kind: DocumentKind) -> impl Iterator<Item = &Document> {
    folder.documents.iter().filter(move |document| document.kind == kind)
}

fn read_tank_folders(folder: &Folder, record: &mut Record, context: &mut Context) {
    let mut for_others: Vec<(Located<String>, Entry)> = Vec::new();
    for document in &folder.documents {
        let Some(tank) = owner_of(document, record) else {
            continue;
        };
        match document.kind {
            DocumentKind::Equipment => {
                if let Some(device) = parse::equipment::device(document, context) {
                    insert_unique(&mut tank.devices, device.key.clone(), device, "device", |d| &d.place, context);
                }
            }
            DocumentKind::Spec => {
                if let Some(spec) = parse::equipment::spec_sheet(document, context) {
                    insert_unique(&mut tank.specs, spec.key.clone(), spec, "spec sheet", |s| &s.place, context);
                }
            }
            DocumentKind::Log => {
                for (named, entry) in parse::log::entries(document, tank, context) {
                    match named {
                        Some(named) if named.value != tank.key => for_others.push((named, entry)),
                        _ => tank.entries.push(entry),
                    }
                }
            }
            DocumentKind::LightSurvey => tank.surveys.extend(parse::survey::light_survey(document, context)),
            DocumentKind::Upkeep => parse::upkeep::upkeep(document, &mut tank.upkeep, context),
            _ => {}
        }
    }
    let known: Vec<String> = record.tanks.keys().cloned().collect();
    for (named, entry) in for_others {
        match record.tanks.get_mut(&named.value) {
            Some(tank) => tank.entries.push(entry),
            None => {
                let kind = Kind::DanglingReference {
                    what: "tank".into(),
                    nearest: crate::diagnostic::nearest(&named.value, known.iter().map(String::as_str)),
                    name: named.value,
                    known: known.clone(),
                };
                context.note(kind, &named.place);
            }
        }
    }
    // Sensor logs come last: what they show beside a hand reading is kept as they stream past.
    for document in of_kind(folder, DocumentKind::Readings) {
        if let Some(tank) = owner_of(document, record) {
            let file = parse::survey::readings_file(document, tank, folder, context);
            tank.readings.extend(file);
        }
    }
    for tank in record.tanks.values_mut() {
        tank.entries.sort_by(|a, b| a.when.cmp(&b.when).then_with(|| a.place.cmp(&b.place)));
        tank.surveys.sort_by_key(|survey| survey.on.value);
    }
}

fn read_shared(folder: &Folder, record: &mut Record, context: &mut Context) {
    for document in &folder.documents {
        match document.kind {
            DocumentKind::Supply => {
                if let Some(supply) = parse::supply::supply(document, context) {
                    insert_unique(&mut record.supplies, supply.key.clone(), supply, "supply", |s| &s.place, context);
                }
            }
            DocumentKind::Colony => {
                if let Some(colony) = parse::colony::colony(document, context) {
                    insert_unique(&mut record.colonies, colony.key.clone(), colony, "colony", |c| &c.place, context);
                }
            }
            DocumentKind::Story => record.chapters.extend(parse::story::chapter(document, context)),
            DocumentKind::Video => record.videos.extend(parse::story::video(document, context)),
            _ => {}
        }
    }
    record.chapters.sort_by(|a, b| (a.order.value, &a.key).cmp(&(b.order.value, &b.key)));
    record.videos.sort_by(|a, b| (a.filmed.value, &a.key).cmp(&(b.filmed.value, &b.key)));
}

/// Two files of one stem (`lamp.yaml` and `lamp.yml`) would be one name for two things.
fn insert_unique<T>(
    into: &mut BTreeMap<String, T>,
    key: String,
    value: T,
    what: &str,
    place: impl Fn(&T) -> &crate::diagnostic::Place,
    context: &mut Context,
) {
    if let Some(earlier) = into.get(&key) {
        let kind = Kind::DuplicateName { name: key, what: what.into() };
        let diagnostic = Diagnostic::new(kind, place(&value).clone());
        context.diagnostics.push(diagnostic.with_related(place(earlier).clone(), "the other one".to_string()));
        return;
    }
    into.insert(key, value);
}
