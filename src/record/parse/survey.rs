//! `light/*.yaml` and `readings/*.yaml` with its CSV.

use std::collections::BTreeMap;

use crate::diagnostic::{Diagnostic, Kind};
use crate::read::{Content, Document, Folder, Node, key_name};
use crate::record::fields::{self, Context, Fields};
use crate::record::survey::*;
use crate::record::timeline::Located;
use crate::record::{Parameter, Tank, sensor};
use crate::units::{self, Dimension, Unit};

pub fn light_survey(document: &Document, context: &mut Context) -> Option<LightSurvey> {
    let mut map = Fields::of(&document.root, "a light survey", context)?;
    let on = map.need("on", "on: 2025-05-17", context).and_then(|node| {
        let typed = fields::text(node, context)?;
        let (when, _) = fields::parse_moment(&typed.value, &typed.place, context)?;
        fields::not_ahead(when.date(), &typed.place, context).then(|| Located::new(when.date(), typed.place))
    });
    let lamp = map.need("lamp", "lamp: lamp", context).and_then(|node| fields::name(node, context));
    let level = map
        .need("level", "level: 60 %", context)
        .and_then(|node| fields::quantity(node, "level", &[Dimension::Fraction], None, context))
        .map(|level| Located::new(level.value.value, level.place));
    let height = map.quantity("height", &[Dimension::Length], context);
    let sensor = map.text("sensor", context);
    let immersion_factor = map.text("immersion-factor", context).and_then(|typed| match typed.value.parse::<f64>() {
        Ok(factor) if (0.5..=3.0).contains(&factor) => Some(Located::new(factor, typed.place)),
        _ => {
            let wanted = "a factor, as `1.25` (makers print 1.08 to 1.32)".to_string();
            context.note(Kind::NotANumber { typed: typed.value, wanted }, &typed.place);
            None
        }
    });
    let factor_applied = map.yes_no_or_unknown("factor-applied", context);
    let uncertainty = map.fraction("uncertainty", context);
    let survey_units = map
        .need("units", "units: {position: cm, light: µmol/m²/s}", context)
        .and_then(|node| survey_units(node, context));
    let rows = map.need("readings", "readings: [[15, 10, 5, 132]]", context);
    let is_lux = survey_units.is_some_and(|units| units.1.dimension == Dimension::Illuminance);
    let light_unit = if is_lux { LightUnit::Lux } else { LightUnit::Photons };
    let (mut points, mut at) = (Vec::new(), Vec::new());
    if let (Some(rows), Some(units)) = (rows, survey_units) {
        points = fields::items(rows).into_iter().filter_map(|row| point(row, units, context)).collect();
    }
    for item in map.take("at").map(fields::items).unwrap_or_default() {
        let Some(mut map) = Fields::of(item, "a reading at a colony", context) else {
            continue;
        };
        let colony = map.need("colony", "colony: leather", context).and_then(|node| fields::name(node, context));
        let light = map.need("light", "light: 130 µmol/m²/s", context).and_then(|node| {
            let (usual, dimension) = (survey_units.map(|units| units.1), light_unit.dimension());
            fields::quantity(node, "light", &[dimension], usual, context)
        });
        let place = map.place().clone();
        map.finish(context);
        if let (Some(colony), Some(light)) = (colony, light) {
            at.push((colony, light.value.value, place));
        }
    }
    let note = map.note_text(context);
    let place = map.place().clone();
    map.finish(context);
    Some(LightSurvey {
        key: document.name.clone(),
        on: on?,
        lamp: lamp?,
        level: level?,
        height,
        sensor,
        immersion_factor,
        factor_applied,
        uncertainty,
        unit: light_unit,
        points,
        at,
        note,
        place,
    })
}

fn survey_units(node: &Node, context: &mut Context) -> Option<(&'static Unit, &'static Unit)> {
    let mut map = Fields::of(node, "a survey's units", context)?;
    let mut one = |key: &'static str, dimensions: &[Dimension], example: &str, context: &mut Context| {
        let typed = map.need(key, example, context).and_then(|node| fields::text(node, context))?;
        match units::unit_named(&typed.value).filter(|unit| dimensions.contains(&unit.dimension)) {
            Some(unit) => Some(unit),
            None => {
                let kind = Kind::UnknownUnit { unit: typed.value, nearest: Some(example.rsplit(' ').next()?.into()) };
                context.note(kind, &typed.place);
                None
            }
        }
    };
    let position = one("position", &[Dimension::Length], "position: cm", context);
    let light = one("light", &[Dimension::PhotonFlux, Dimension::Illuminance], "light: µmol/m²/s", context);
    map.finish(context);
    Some((position?, light?))
}

fn point(node: &Node, units: (&'static Unit, &'static Unit), context: &mut Context) -> Option<LightPoint> {
    let Content::List(cells) = &node.content else {
        let wanted = "a row `[x, y, depth, light]`".to_string();
        context.note(Kind::WrongShape { wanted, got: node.content.words().into() }, &node.place);
        return None;
    };
    if cells.len() != 4 {
        context.note(Kind::WrongColumns { expected: 4, found: cells.len() }, &node.place);
        return None;
    }
    let mut values = [0.0; 4];
    for (place, cell) in cells.iter().enumerate() {
        let (wanted, usual) = if place < 3 { (Dimension::Length, units.0) } else { (units.1.dimension, units.1) };
        values[place] = fields::quantity(cell, "light", &[wanted], Some(usual), context)?.value.value;
    }
    let [x, y, depth, light] = values;
    Some(LightPoint { x, y, depth, light, place: node.place.clone() })
}

/// The sidecar, and the CSV beside it, summed up by day.
pub fn readings_file(document: &Document, tank: &Tank, folder: &Folder, context: &mut Context) -> Option<ReadingsFile> {
    let mut map = Fields::of(&document.root, "a readings file", context)?;
    let columns_node = map.need("columns", "columns: {when: time, water: temperature °C}", context);
    let zone = match map.text("zone", context) {
        None => tank.zone.clone(),
        Some(typed) => match jiff::tz::db().get(&typed.value) {
            Ok(zone) => zone,
            Err(_) => {
                context.note(Kind::UnknownZone { typed: typed.value, nearest: None }, &typed.place);
                return None;
            }
        },
    };
    let delimiter = map.text("delimiter", context).map_or(b',', |typed| match typed.value.as_str() {
        ";" => b';',
        "tab" | "\\t" => b'\t',
        _ => b',',
    });
    let decimal_comma = map.text("decimal", context).is_some_and(|typed| typed.value == ",");
    let repeated = map.word("repeated-hour", REPEATED_HOUR, context).map(|word| word.value);
    let sensor_name = map.take("sensor").and_then(|node| fields::name(node, context));
    let mut uncertainty = BTreeMap::new();
    if let Some(mut stated) = map.take("uncertainty").and_then(|node| Fields::of(node, "uncertainties", context)) {
        for (name, key, value) in stated.rest() {
            let Some(parameter) = fields::parameter(&name, &key.place, context) else {
                continue;
            };
            let mut wanted = vec![Dimension::TemperatureDifference];
            wanted.extend(parameter.dimensions());
            let usual = super::log::usual_unit(parameter, tank);
            if let Some(quantity) = fields::quantity(value, "uncertainty", &wanted, usual, context)
                && let Some(u) =
                    super::log::difference_in_own_unit(&quantity.value, parameter, &quantity.place, context)
            {
                uncertainty.insert(parameter, Located::new(u, quantity.place));
            }
        }
    }
    let place = map.place().clone();
    map.finish(context);
    let columns = columns(columns_node?, context)?;
    let csv = format!("{}.csv", document.path.rsplit_once('.').map_or(document.path.as_ref(), |(stem, _)| stem));
    let tank_zone = tank.zone.clone();
    let mut file = ReadingsFile {
        key: document.name.clone(),
        layout: sensor::Layout { csv: csv.clone(), delimiter, decimal_comma, zone, tank_zone, repeated, columns },
        sensor: sensor_name,
        uncertainty,
        days: BTreeMap::new(),
        beside: BTreeMap::new(),
        rows: 0,
        glitches: Vec::new(),
        place: place.clone(),
    };
    let problems = sensor::sum_up(folder, &sensor::HandReadings::of(tank), &mut file);
    for problem in problems {
        context.diagnostics.push(problem);
    }
    if file.rows == 0 && file.days.is_empty() && !folder.csv.contains(csv.as_str()) {
        let kind = Kind::DanglingReference {
            what: "CSV beside this file".into(),
            name: csv,
            nearest: None,
            known: folder.csv.iter().map(|path| path.to_string()).collect(),
        };
        context.diagnostics.push(Diagnostic::new(kind, place));
    }
    Some(file)
}

fn columns(node: &Node, context: &mut Context) -> Option<Vec<sensor::Column>> {
    let Content::Map(pairs) = &node.content else {
        if let Some(map) = Fields::of(node, "columns", context) {
            map.finish(context);
        }
        return None;
    };
    let mut found = Vec::new();
    for (key, value) in pairs {
        let (Some(header), Some(typed)) = (fields::text(key, context), fields::text(value, context)) else {
            continue;
        };
        if key_name(value) == "time" {
            found.push(sensor::Column { header: header.value, place: header.place, holds: sensor::Holds::Time });
            continue;
        }
        let (name, unit) = typed.value.split_once([' ', '\u{a0}']).unwrap_or((&typed.value, ""));
        let Some(parameter) = fields::parameter(&fields::name_of(name), &typed.place, context) else {
            continue;
        };
        let unit = if unit.is_empty() && parameter == Parameter::Ph { "pH" } else { unit };
        match units::unit_named(unit.trim()).filter(|unit| parameter.dimensions().contains(&unit.dimension)) {
            Some(unit) => {
                let holds = sensor::Holds::Reading(parameter, unit);
                found.push(sensor::Column { header: header.value, place: header.place, holds });
            }
            None => {
                let kind = Kind::MissingUnit {
                    quantity: parameter.key().into(),
                    typed: typed.value.clone(),
                    examples: vec![format!("{} {}", parameter.key(), parameter.unit())],
                };
                context.note(kind, &typed.place);
            }
        }
    }
    if !found.iter().any(|column| matches!(column.holds, sensor::Holds::Time)) {
        let kind = Kind::MissingKey { key: "time".into(), within: "columns".into(), example: "when: time".into() };
        context.note(kind, &node.place);
        return None;
    }
    Some(found)
}
