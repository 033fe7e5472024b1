//! Light surveys and photos.

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::{LightSurvey, Photo, Record, Tank};

pub fn tables(record: &Record) -> Vec<TidyTable<'static>> {
    let surveys: Vec<(&Tank, &LightSurvey)> =
        record.tanks.values().flat_map(|tank| tank.surveys.iter().map(move |survey| (tank, survey))).collect();
    vec![of_surveys(&surveys), points(&surveys), photos(record)]
}

fn of_surveys(surveys: &[(&Tank, &LightSurvey)]) -> TidyTable<'static> {
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

fn points(surveys: &[(&Tank, &LightSurvey)]) -> TidyTable<'static> {
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

fn photos(record: &Record) -> TidyTable<'static> {
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
