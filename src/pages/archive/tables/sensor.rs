//! Sensor logs: the files, their days and their single readings.

use std::io;

use jiff::civil::Date;

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Cell, Columns, Field, Foreign, Rows, TidyTable};
use crate::read::Folder;
use crate::record::sensor::for_each_reading;
use crate::record::{ReadingsFile, Record, Tank};

pub fn tables<'a>(record: &'a Record, folder: &'a Folder) -> Vec<TidyTable<'a>> {
    let files: Vec<(&Tank, &ReadingsFile)> =
        record.tanks.values().flat_map(|tank| tank.readings.iter().map(move |file| (tank, file))).collect();
    vec![of_files(&files), days(&files), readings(files, record.as_of, folder)]
}

fn of_files(files: &[(&Tank, &ReadingsFile)]) -> TidyTable<'static> {
    Columns::of(
        "sensor-files",
        "Sensor logs",
        "CSVs that sensors wrote. `sensor-readings` holds what they read.",
        files,
    )
    .key("tank", Text, "Key of the tank", |row| &row.0.key)
    .key("file", Text, "Key of the log", |row| &row.1.key)
    .need("csv", Text, "", "The CSV, from the record's root", |row| &row.1.layout.csv)
    .column("sensor", Text, "", "Key of the device", |row| row.1.sensor.as_ref())
    .need("rows", Whole, "", "Rows in it", |row| row.1.rows as i64)
    .need("set_aside", Whole, "", "Readings set aside as glitches", |row| row.1.glitches.len())
    .source(|row| &row.1.place)
    .refers(&["tank"], "tanks", &["tank"])
    .done()
}

fn days(files: &[(&Tank, &ReadingsFile)]) -> TidyTable<'static> {
    let mut rows = Vec::new();
    for (tank, file) in files {
        for (parameter, days) in &file.days {
            rows.extend(days.iter().map(|day| (*tank, *file, *parameter, day)));
        }
    }
    let about = "Sensor logs summed up by day, glitches left out.";
    Columns::of("sensor-days", "Sensor days", about, &rows)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("file", Text, "Key of the log", |row| &row.1.key)
        .key("quantity", Text, "What was read", |row| row.2.key())
        .key("on", Day, "Day on the tank's wall clock", |row| row.3.date)
        .need("mean", Number, "as `unit`", "Mean of the day's readings", |row| row.3.mean * row.2.shown_factor())
        .need("low", Number, "as `unit`", "Lowest", |row| row.3.low * row.2.shown_factor())
        .need("high", Number, "as `unit`", "Highest", |row| row.3.high * row.2.shown_factor())
        .need("unit", Text, "", "Unit of the three", |row| row.2.unit())
        .need("count", Whole, "", "Readings that day", |row| row.3.count as i64)
        .refers(&["tank", "file"], "sensor-files", &["tank", "file"])
        .done()
}

/// Every single reading. They can be millions, so they are read from their logs again while the table is written.
fn readings<'a>(files: Vec<(&'a Tank, &'a ReadingsFile)>, as_of: Date, folder: &'a Folder) -> TidyTable<'a> {
    let field = |name, kind, about, required| Field { name, kind, unit: "", about, required, term: None };
    let of_days = |file: &ReadingsFile| file.days.values().flatten().map(|day| day.count as usize).sum::<usize>();
    let count = files.iter().map(|(_, file)| of_days(file) + file.glitches.len()).sum();
    TidyTable {
        name: "sensor-readings",
        title: "Sensor readings",
        about: "What sensors read, one reading a row, as the program used it.",
        fields: vec![
            field("tank", Text, "Key of the tank", true),
            field("file", Text, "Key of the log", true),
            field("line", Whole, "Line of the log", true),
            field("column", Text, "Head of the log's column", true),
            field("when", Second, "Moment on the tank's wall clock", true),
            field(
                "utc",
                Instant,
                "The same in Coordinated Universal Time; empty where the log does not tell which of the two hours it was \
                 when clocks went back",
                false,
            ),
            field("quantity", Text, "What was read", true),
            field("value", Number, "What it read, in `unit`", false),
            field("unit", Text, "Unit of the value", true),
            field(
                "set_aside",
                YesNo,
                "Whether no figure rests on it: beyond what can be, or a spike far from all others of its day",
                true,
            ),
        ],
        primary: vec!["tank", "file", "line", "column"],
        foreign: vec![Foreign { fields: vec!["tank", "file"], table: "sensor-files", of: vec!["tank", "file"] }],
        rows: Rows::Passing {
            count,
            each: Box::new(move |hand_on| {
                files.iter().try_for_each(|(tank, file)| readings_of(tank, file, as_of, folder, hand_on))
            }),
        },
    }
}

fn readings_of(
    tank: &Tank,
    file: &ReadingsFile,
    as_of: Date,
    folder: &Folder,
    hand_on: &mut dyn FnMut(&[&str]) -> io::Result<()>,
) -> io::Result<()> {
    let mut done = Ok(());
    // The cells of one line of the log share its moment.
    let (mut line, mut when, mut utc) = (0, String::new(), String::new());
    let (_, problems) = for_each_reading(folder, &file.layout, &mut |reading| {
        if reading.when.date() > as_of || done.is_err() {
            return;
        }
        if reading.line != line {
            line = reading.line;
            when = reading.when.strftime("%Y-%m-%dT%H:%M:%S").to_string();
            utc = file
                .layout
                .instant(reading.stamp)
                .map(|instant| instant.strftime("%Y-%m-%dT%H:%M:%SZ").to_string())
                .unwrap_or_default();
        }
        done = hand_on(&[
            &tank.key,
            &file.key,
            &line.to_string(),
            reading.column,
            &when,
            &utc,
            reading.parameter.key(),
            &(reading.value * reading.parameter.shown_factor()).cell(),
            reading.parameter.unit(),
            &file.is_set_aside(&reading).cell(),
        ]);
    });
    if !problems.is_empty() {
        return Err(io::Error::other(format!("`{}` changed while it was read", file.layout.csv)));
    }
    done
}
