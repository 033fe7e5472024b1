//! Light surveys and sensor logs.

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::{LightSurvey, Photo, ReadingsFile, Record, Tank};

pub fn tables(record: &Record) -> Vec<TidyTable> {
    let surveys: Vec<(&Tank, &LightSurvey)> =
        record.tanks.values().flat_map(|tank| tank.surveys.iter().map(move |survey| (tank, survey))).collect();
    let files: Vec<(&Tank, &ReadingsFile)> =
        record.tanks.values().flat_map(|tank| tank.readings.iter().map(move |file| (tank, file))).collect();
    vec![of_surveys(&surveys), points(&surveys), of_files(&files), days(&files), photos(record)]
}

fn of_surveys(surveys: &[(&Tank, &LightSurvey)]) -> TidyTable {
    Columns::of("light-surveys", "Light surveys", "Light read at many places in one go.", surveys)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("survey", Text, "Key of the survey", |row| &row.1.key)
        .need("on", Day, "", "Day", |row| row.1.on.value)
        .need("lamp", Text, "", "Key of the lamp", |row| &row.1.lamp)
        .need("level", Number, "share from 0 to 1", "Level of the lamp", |row| row.1.level.value)
        .column("height", Number, "cm", "Height of the lamp over the water", |row| {
            row.1.height.as_ref().map(|height| height.value.value)
        })
        .column("sensor", Text, "", "Sensor, in words or the key of a supply", |row| row.1.sensor.as_ref())
        .column("immersion_factor", Number, "", "Factor for a sensor that was calibrated in air", |row| {
            row.1.immersion_factor.as_ref()
        })
        .need("factor_applied", Text, "", "Whether the readings hold it already: yes, no, unknown", |row| {
            row.1.factor_applied
        })
        .column("uncertainty", Number, "share of the reading", "Standard uncertainty of one reading", |row| {
            row.1.uncertainty.as_ref()
        })
        .column("note", Text, "", "The keeper's note", |row| row.1.note.as_ref())
        .source(|row| &row.1.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn points(surveys: &[(&Tank, &LightSurvey)]) -> TidyTable {
    let mut rows = Vec::new();
    for (tank, survey) in surveys {
        rows.extend(
            survey
                .points
                .iter()
                .map(|point| (*tank, *survey, Some((point.x, point.y, point.depth)), None, point.light, &point.place)),
        );
        rows.extend(survey.at.iter().map(|(colony, light, place)| (*tank, *survey, None, Some(colony), *light, place)));
    }
    let about = "Single readings of the surveys, at a place or beside a colony.";
    Columns::of("light-readings", "Light readings", about, &rows)
        .need("tank", Text, "", "Key of the tank", |row| &row.0.key)
        .need("survey", Text, "", "Key of the survey", |row| &row.1.key)
        .column("x", Number, "cm", "From the front left outer corner, along the front", |row| {
            row.2.map(|place| place.0)
        })
        .column("y", Number, "cm", "From the front left outer corner, to the back", |row| row.2.map(|place| place.1))
        .column("depth", Number, "cm", "Below the surface", |row| row.2.map(|place| place.2))
        .column("colony", Text, "", "Key of the colony it was read at", |row| row.3)
        .need("light", Number, "µmol/m²/s", "As read", |row| row.4)
        .source(|row| row.5)
        .refers(&["tank", "survey"], "light-surveys", &["tank", "survey"])
        .done()
}

fn of_files(files: &[(&Tank, &ReadingsFile)]) -> TidyTable {
    Columns::of(
        "sensor-files",
        "Sensor logs",
        "CSVs that sensors wrote. Their rows stand in the record, under `readings/`.",
        files,
    )
    .key("tank", Text, "Key of the tank", |row| &row.0.key)
    .key("file", Text, "Key of the log", |row| &row.1.key)
    .need("csv", Text, "", "The CSV, from the record's root", |row| &row.1.csv)
    .column("sensor", Text, "", "Key of the device", |row| row.1.sensor.as_ref())
    .need("rows", Whole, "", "Rows in it", |row| row.1.rows as i64)
    .need("set_aside", Whole, "", "Readings set aside as glitches", |row| row.1.glitches.len())
    .source(|row| &row.1.place)
    .refers(&["tank"], "tanks", &["tank"])
    .done()
}

fn days(files: &[(&Tank, &ReadingsFile)]) -> TidyTable {
    let mut rows = Vec::new();
    for (tank, file) in files {
        for (parameter, days) in &file.days {
            rows.extend(days.iter().map(|day| (*tank, *file, *parameter, day)));
        }
    }
    let about =
        "Sensor logs summed up by day, glitches left out. The single rows stand in the record, under `readings/`.";
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

fn photos(record: &Record) -> TidyTable {
    let rows: Vec<&Photo> = record.photos.values().collect();
    Columns::of("photos", "Photos", "Every photo of the record with what is said of it.", &rows)
        .key("file", Text, "From the record's root", |photo| &photo.path)
        .column("on", Day, "", "Day it was taken, as far as known", |photo| photo.date)
        .column("caption", Text, "", "What it shows", |photo| photo.caption.as_ref())
        .column("of", Text, "", "Colonies or devices on it, parted by semicolons", |photo| photo.of.join("; "))
        .column("view", Text, "", "Where it was taken from: photos of one view can be compared", |photo| {
            photo.view.as_ref()
        })
        .column("lamp", Text, "", "State of the lamp: colours depend on it", |photo| photo.lamp.as_ref())
        .done()
}
