//! Whether what was read can have been read then: the tank's life, and one value for one moment.

use std::collections::BTreeMap;

use super::{Entry, Parameter, Record, Tank};
use crate::diagnostic::{Diagnostic, Diagnostics, Kind};

/// Readings of the water before the first fill or after the end, and readings of one moment in several files.
pub fn check(record: &Record, diagnostics: &mut Diagnostics) {
    for tank in record.tanks.values() {
        outside_its_time(tank, diagnostics);
        read_twice(tank, diagnostics);
    }
}

/// A note of the building, or a test of the top-off water, may well be older than the first fill; the water cannot.
fn outside_its_time(tank: &Tank, diagnostics: &mut Diagnostics) {
    let of_the_water = |parameter: Parameter| parameter.is_of_the_water() && parameter != Parameter::Tds;
    let filled = &tank.started;
    for entry in &tank.entries {
        let (event, boundary) = match &tank.ended {
            _ if entry.date() < filled.value => ("the tank was filled", filled),
            Some(ended) if entry.date() > ended.value => ("the tank was taken down", ended),
            _ => continue,
        };
        let before = boundary.place == filled.place;
        for reading in entry.readings.iter().filter(|reading| of_the_water(reading.parameter)) {
            let kind = Kind::OutsideItsTime {
                what: reading.parameter.key().replace('-', " "),
                on: entry.date().to_string(),
                event: format!("{} {event}", if before { "before" } else { "after" }),
                key: if before { "started" } else { "ended" }.into(),
            };
            let diagnostic = Diagnostic::new(kind, reading.place.clone());
            let role = format!("{event} on {}", boundary.value);
            diagnostics.push(diagnostic.with_related(boundary.place.clone(), role));
        }
    }
}

/// Entries of one moment in two files are both kept, so that two keepers may write side by side. The same quantity in
/// both counts twice in every trend.
fn read_twice(tank: &Tank, diagnostics: &mut Diagnostics) {
    let mut first: BTreeMap<(jiff::civil::DateTime, bool, Parameter), &Entry> = BTreeMap::new();
    for entry in &tank.entries {
        for reading in &entry.readings {
            let Some(earlier) = first.insert((entry.when, entry.has_time, reading.parameter), entry) else {
                continue;
            };
            let Some(other) = earlier.readings.iter().find(|other| other.parameter == reading.parameter) else {
                continue;
            };
            let moment = if entry.has_time {
                entry.when.strftime("%Y-%m-%d %H:%M").to_string()
            } else {
                entry.date().to_string()
            };
            let kind = Kind::ReadTwice {
                what: reading.parameter.key().replace('-', " "),
                moment,
                value: reading.quantity.as_typed(),
            };
            let role = format!("here it is {}", other.quantity.as_typed());
            diagnostics.push(Diagnostic::new(kind, reading.place.clone()).with_related(other.place.clone(), role));
        }
    }
}
