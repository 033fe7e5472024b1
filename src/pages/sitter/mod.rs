//! The sitter's sheet: page 1 the visit, page 2 when it isn't normal, then an appendix. Private data belong here.

mod appendix;
pub mod calendar;
mod drawings;
mod events;
mod fit;
mod keeper;
pub mod model;
mod places;
mod reader;
mod trouble;
mod visit;
pub mod words;

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::figures::stay::Stay;
use crate::figures::{Figure, Findings};
use crate::pages::sitter::calendar::Calendar;
use crate::pages::sitter::model::{SitterNote, SitterSheet, SitterShot};
use crate::record::sitter::SitterPlan;
use crate::record::{Device, Record, Tank};
use crate::units::System;
use places::Places;
use reader::Reader;
use words::Words;

/// A photo made small enough to stand inside the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// As `data:image/jpeg;base64,…`.
    pub address: String,
    pub width: u32,
    pub height: u32,
}

/// How the sheet is to be written.
#[derive(Clone, Debug)]
pub struct Manner {
    pub words: Words,
    pub system: System,
    /// Names, phones, address and switches are left blank.
    pub without_private: bool,
}

/// What every part of the sheet looks at.
struct Desk<'a> {
    record: &'a Record,
    tank: &'a Tank,
    findings: &'a Findings,
    stay: &'a Stay,
    plan: &'a SitterPlan,
    reader: Reader,
    without_private: bool,
    pictures: &'a BTreeMap<String, Picture>,
    places: Places,
    /// What is longer than its place on the two pages.
    notes: RefCell<Vec<SitterNote>>,
}

/// Paths of the photos that the sheet shows, as written in the record.
pub fn photos(tank: &Tank, record: &Record, stay: &Stay) -> Vec<String> {
    let plan = &tank.upkeep.sitter;
    let mut wanted: Vec<String> = Vec::new();
    let shots = plan.looks.iter().chain(&plan.odd).filter_map(|shot| shot.photo.as_ref());
    wanted.extend(shots.map(|photo| photo.value.clone()));
    wanted.extend(plan.level.iter().filter_map(|level| level.photo.as_ref()).map(|photo| photo.value.clone()));
    let counted = plan.count.iter().filter_map(|count| record.colonies.get(&count.colony.value)?.photo.as_ref());
    wanted.extend(counted.map(|photo| photo.value.clone()));
    let visits = stay.tasks.visits.values().flatten();
    let tasks = visits.filter_map(|key| tank.upkeep.tasks[key].photo.as_ref());
    wanted.extend(tasks.map(|photo| photo.value.clone()));
    let cards = appendix::carded(tank, stay).into_iter().filter_map(|device| device.photo.as_ref());
    wanted.extend(cards.map(|photo| photo.value.clone()));
    wanted.sort();
    wanted.dedup();
    wanted
}

/// The sheet for one tank and period.
pub fn sheet(
    record: &Record,
    tank: &Tank,
    findings: &Findings,
    stay: &Stay,
    manner: &Manner,
    pictures: &BTreeMap<String, Picture>,
) -> SitterSheet {
    let desk = desk(record, tank, findings, stay, manner, pictures);
    let mut sheet = SitterSheet {
        words: manner.words.strings().clone(),
        language: manner.words.language.clone(),
        ..SitterSheet::default()
    };
    visit::fill(&desk, &mut sheet);
    trouble::fill(&desk, &mut sheet);
    appendix::fill(&desk, &mut sheet);
    keeper::fill(&desk, &mut sheet);
    sheet.in_full = desk.notes.take();
    sheet
}

fn desk<'a>(
    record: &'a Record,
    tank: &'a Tank,
    findings: &'a Findings,
    stay: &'a Stay,
    manner: &Manner,
    pictures: &'a BTreeMap<String, Picture>,
) -> Desk<'a> {
    Desk {
        record,
        tank,
        findings,
        stay,
        plan: &tank.upkeep.sitter,
        reader: Reader { words: manner.words.clone(), system: manner.system },
        without_private: manner.without_private,
        pictures,
        places: Places::of(tank, stay.period.from),
        notes: RefCell::default(),
    }
}

/// The same period as events.
pub fn calendar(record: &Record, tank: &Tank, findings: &Findings, stay: &Stay, manner: &Manner) -> Calendar {
    let none = BTreeMap::new();
    events::calendar(&desk(record, tank, findings, stay, manner, &none))
}

/// What stands against leaving, as lines for a terminal, blockers first.
pub fn readiness(record: &Record, tank: &Tank, findings: &Findings, stay: &Stay, manner: &Manner) -> Vec<String> {
    let none = BTreeMap::new();
    keeper::lines(&desk(record, tank, findings, stay, manner, &none))
}

impl Desk<'_> {
    fn words(&self) -> &Words {
        &self.reader.words
    }

    fn figure(&self, key: &str) -> Option<&Figure> {
        self.findings.figures.get(&self.tank.key, key)
    }

    /// A figure that is a bound already.
    fn bound(&self, key: &str) -> Option<f64> {
        self.figure(key).map(|figure| figure.value)
    }

    /// The lower end of a figure, where it is enough to be sure of that much.
    fn at_least(&self, key: &str) -> Option<f64> {
        let figure = self.figure(key)?;
        let low = figure.interval.map_or(figure.value - 1.96 * figure.uncertainty, |interval| interval.0);
        Some(low.max(0.0))
    }

    /// Text of the record. The code of an alarm is never part of it: it may not share a sheet with the address.
    fn said(&self, text: &str) -> String {
        match self.plan.alarm_code.as_ref().map(|code| code.value.trim()).filter(|code| !code.is_empty()) {
            Some(code) => text.replace(code, "…"),
            None => text.to_string(),
        }
    }

    /// Something private, or a blank to be filled in by hand.
    fn secret(&self, text: Option<&str>) -> String {
        match text.filter(|_| !self.without_private) {
            Some(text) => self.said(text),
            None => self.words().get("blank").to_string(),
        }
    }

    fn supply(&self, key: &str) -> String {
        self.record.supplies.get(key).map_or(key.to_string(), |supply| self.said(&supply.name.value))
    }

    fn devices(&self) -> impl Iterator<Item = &Device> {
        self.tank.devices_at(self.stay.period.from)
    }

    /// A caption, as text, with its photo, if that is there.
    fn shot(&self, photo: Option<&str>, caption: &str) -> SitterShot {
        self.shot_with(photo, words::escape(caption))
    }

    /// The same with a caption that is HTML already.
    fn shot_with(&self, photo: Option<&str>, caption: String) -> SitterShot {
        let found = photo.and_then(|photo| self.record.photo(photo));
        let own = found.and_then(|found| found.caption.clone()).map(|text| self.said(&text));
        let alt = own.unwrap_or_else(|| words::without_tags(&caption));
        match found.and_then(|found| self.pictures.get(&found.path)) {
            Some(picture) => SitterShot {
                picture: picture.address.clone(),
                width: picture.width,
                height: picture.height,
                alt,
                caption,
            },
            None => SitterShot { caption, ..SitterShot::default() },
        }
    }
}
