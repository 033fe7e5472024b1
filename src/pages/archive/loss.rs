//! A loss report for a period: what was there, how it was looked after, what happened when, what was lost, and the
//! checksums of the originals it was made from. It judges nothing: whoever reads it does.

use std::collections::BTreeSet;

use jiff::ToSpan;
use jiff::civil::Date;

use super::hand_over::private_notes;
use crate::cautions::Caution;
use crate::figures::Findings;
use crate::pages::journal::view::{View, date_text, heading, moment_text};
use crate::pages::journal::views;
use crate::pages::model::sheet::{Sheet, SheetSection};
use crate::pages::model::{Cell, HeadCell, Table};
use crate::read::{DocumentKind, Folder};
use crate::record::{Parameter, Record};

/// The report, and the files of the record that it rests on.
pub struct LossReport {
    pub sheet: Sheet,
    pub originals: Vec<String>,
}

/// Builds the report of a period, both days included.
pub fn loss_report(
    record: &Record,
    findings: &Findings,
    cautions: &[Caution],
    folder: &Folder,
    (from, to): (Date, Date),
    private: bool,
) -> LossReport {
    let views = views(record, findings, cautions, folder);
    let name = record.main_tank().map_or("the tank", |tank| tank.name.value.as_str());
    let (first, last) = (date_text(from).text, date_text(to).text);
    let mut originals: BTreeSet<String> = BTreeSet::new();
    let sections = vec![
        there(&views, record, from, &mut originals),
        care(&views, from, &mut originals),
        timeline(&views, from, to, &mut originals),
        lost(record, from, to, &mut originals),
        papers(folder, private),
    ];
    let photos = record.photos.values().filter(|photo| photo.date.is_some_and(|on| from <= on && on <= to));
    originals.extend(photos.map(|photo| photo.path.clone()));
    let sheet = Sheet {
        kind: "sheet".into(),
        title: format!("{name}: loss report, {first} to {last}"),
        standfirst: format!(
            "Made from the keeper’s record as it stood on {}. It says what the record says, with the checksums of the files \
             it was made from; whoever decides on the loss decides. What is not in the record is not here.",
            date_text(record.as_of).text
        ),
        sections,
        foot: vec![
            "A checksum proves that a file is the one this report was made from. It does not prove when it was written.".into(),
        ],
    };
    LossReport { sheet, originals: originals.into_iter().collect() }
}

/// Puts the checksums of the originals at the end of a report.
pub fn with_checksums(mut report: LossReport, sums: Vec<(String, String)>) -> Sheet {
    report.sheet.sections.push(
        SheetSection::new("The originals").say("Files under record/ beside this one, with their SHA-256:").table(
            table(
                "Checksums",
                &["File", "SHA-256"],
                sums.into_iter().map(|(file, sum)| vec![Cell::header(file), Cell::text(sum)]).collect(),
            ),
        ),
    );
    report.sheet
}

fn table(caption: &str, head: &[&str], rows: Vec<Vec<Cell>>) -> Table {
    Table { caption: caption.into(), head: head.iter().map(|text| HeadCell::text(*text)).collect(), rows }
}

fn there(views: &[View], record: &Record, from: Date, originals: &mut BTreeSet<String>) -> SheetSection {
    let mut section = SheetSection::new("What was there");
    for view in views {
        let tank = view.tank;
        originals.insert(tank.place.file.to_string());
        let size = tank.size.as_ref().map_or("size not recorded".into(), |size| view.size_text(size.value));
        let volume = view
            .shown("water.net-volume")
            .map_or("not known".into(), |volume| format!("{}\u{a0}{}", volume.number, volume.unit));
        section = section.fact(
            tank.name.value.clone(),
            format!("{size}; water {volume}; first filled {}", date_text(tank.started.value).text),
        );
        let rows = tank
            .devices
            .values()
            .filter(|device| device.in_service_on(from))
            .map(|device| {
                originals.insert(device.place.file.to_string());
                let date = |on: &Option<crate::record::Located<Date>>| {
                    on.as_ref().map_or("not recorded".to_string(), |on| date_text(on.value).text)
                };
                vec![
                    Cell::header(device.name.value.clone()),
                    Cell::text(device.role.value.shown()),
                    Cell::text(date(&device.bought_on)),
                    Cell::text(date_text(device.in_service.value).text),
                    Cell::text(device.protection.as_ref().map_or("not recorded".into(), |on| on.value.clone())),
                ]
            })
            .collect();
        let head = ["Device", "For", "Bought", "In service since", "Protection"];
        section = section.table(table(&format!("{}: equipment", tank.name.value), &head, rows));
    }
    let rows = record
        .colonies
        .values()
        .filter(|colony| colony.is_here_on(from))
        .map(|colony| {
            originals.insert(colony.place.file.to_string());
            let source =
                colony.source.as_ref().map_or("not known".into(), |source| source.kind.value.word().replace('-', " "));
            vec![
                Cell::header(colony.name.value.clone()),
                Cell::text(colony.group.value.shown()),
                Cell::text(date_text(colony.arrived.value).text),
                Cell::text(source),
            ]
        })
        .collect();
    section.table(table("Animals and plants", &["Name", "Kind", "Here since", "Source"], rows))
}

fn care(views: &[View], from: Date, originals: &mut BTreeSet<String>) -> SheetSection {
    let year = from.saturating_sub(365.days());
    let mut section =
        SheetSection::new("How it was looked after").say("Tasks in the year before, as the log has them.");
    for view in views {
        let rows = view
            .of
            .tasks
            .iter()
            .filter_map(|state| {
                let before: Vec<Date> = state.done.iter().copied().filter(|on| *on < from).collect();
                let last = before.last()?;
                let count = before.iter().filter(|on| **on >= year).count();
                let task = &view.tank.upkeep.tasks[&state.key];
                originals.insert(task.place.file.to_string());
                Some(vec![
                    Cell::header(state.what.clone()),
                    Cell::text(state.every.every()),
                    Cell::text(format!("{count} times")),
                    Cell::text(date_text(*last).text),
                ])
            })
            .collect();
        let head = ["Task", "Meant", "In the year before", "Last before"];
        section = section.table(table(&view.tank.name.value, &head, rows));
    }
    section
}

fn timeline(views: &[View], from: Date, to: Date, originals: &mut BTreeSet<String>) -> SheetSection {
    let mut section = SheetSection::new("What happened when");
    for view in views {
        let rows: Vec<Vec<Cell>> = view
            .tank
            .entries
            .iter()
            .filter(|entry| from <= entry.date() && entry.date() <= to)
            .map(|entry| {
                originals.insert(entry.place.file.to_string());
                let readings: Vec<String> = entry
                    .readings
                    .iter()
                    .filter(|reading| reading.parameter != Parameter::RoomHumidity)
                    .map(|reading| {
                        let bound = crate::record::bound_word(reading.bound);
                        format!("{} {bound}{}", reading.parameter.key(), reading.quantity.as_typed())
                    })
                    .collect();
                let mut said: Vec<String> = entry.note.iter().map(|note| note.value.clone()).collect();
                said.extend(readings);
                vec![
                    Cell::header(moment_text(entry.when, entry.has_time).text),
                    Cell::text(heading(entry)),
                    Cell::text(said.join("; ")),
                    Cell::text(format!("{}:{}", entry.place.file, entry.place.line)),
                ]
            })
            .collect();
        if rows.is_empty() {
            section = section.say(format!("{}: nothing was written in the log.", view.tank.name.value));
        }
        section =
            section.table(table(&view.tank.name.value, &["When", "What", "In the keeper’s words", "Where"], rows));
    }
    section
}

fn lost(record: &Record, from: Date, to: Date, originals: &mut BTreeSet<String>) -> SheetSection {
    let mut rows = Vec::new();
    for colony in record.colonies.values() {
        let Some(ended) = colony.ended.as_ref().filter(|ended| from <= ended.on && ended.on <= to) else { continue };
        originals.insert(colony.place.file.to_string());
        rows.push(vec![
            Cell::header(colony.name.value.clone()),
            Cell::text(format!("{}, {}", ended.how.word().replace('-', " "), date_text(ended.on).text)),
            Cell::text(ended.cause.clone().unwrap_or_else(|| "not known".into())),
            Cell::text(ended.grade.word()),
        ]);
    }
    for tank in record.tanks.values() {
        for device in tank.devices.values() {
            let Some(end) = device.out_of_service.as_ref().filter(|end| from <= end.value && end.value <= to) else {
                continue;
            };
            originals.insert(device.place.file.to_string());
            rows.push(vec![
                Cell::header(device.name.value.clone()),
                Cell::text(format!("out of service, {}", date_text(end.value).text)),
                Cell::text(device.note.clone().unwrap_or_else(|| "not recorded".into())),
                Cell::text(""),
            ]);
        }
    }
    let section = SheetSection::new("What was lost");
    if rows.is_empty() {
        return section.say("The record names nothing that was lost in this time.");
    }
    section.table(table("Losses", &["What", "How and when", "Cause or note", "How sure of the cause"], rows))
}

/// Prices, receipts and policies: whatever stands under `private` beside devices and tanks.
fn papers(folder: &Folder, private: bool) -> SheetSection {
    let section = SheetSection::new("Prices and papers");
    if !private {
        return section.say("Left out of this copy.");
    }
    let mut lines = Vec::new();
    for document in &folder.documents {
        if matches!(document.kind, DocumentKind::Tank | DocumentKind::Equipment) {
            private_notes(&document.path, &document.root, &mut lines);
        }
    }
    if lines.is_empty() { section.say("The record holds none.") } else { section.items(lines) }
}
