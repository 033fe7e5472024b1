//! Sensor logs read row by row, and summed up by day while they stream past, so that a million rows cost no more memory
//! than their days.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::{AmbiguousOffset, TimeZone};

use super::Parameter;
use super::survey::{Glitch, ReadingsFile, SensorDay};
use crate::diagnostic::{Diagnostic, Kind, Place};
use crate::read::{Folder, for_each_row};
use crate::units::{self, Unit};

/// What one column of a CSV holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Holds {
    Time,
    Reading(Parameter, &'static Unit),
}

#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    pub header: String,
    pub place: Place,
    pub holds: Holds,
}

/// Which of the two autumn hours a repeated wall-clock hour is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repeated {
    First,
    Second,
    OffsetInFile,
}

/// How a CSV is to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// From the record's root.
    pub csv: String,
    pub delimiter: u8,
    pub decimal_comma: bool,
    pub zone: TimeZone,
    pub tank_zone: TimeZone,
    /// `None` where the keeper does not say.
    pub repeated: Option<Repeated>,
    pub columns: Vec<Column>,
}

/// One cell of a CSV that holds a reading.
#[derive(Clone, Copy, Debug)]
pub struct Reading<'a> {
    pub line: u64,
    /// Head of its column.
    pub column: &'a str,
    /// The moment as typed.
    pub stamp: &'a str,
    /// On the wall clock of the tank's zone.
    pub when: DateTime,
    pub parameter: Parameter,
    /// In the parameter's own unit.
    pub value: f64,
}

impl Layout {
    /// The wall-clock time in the tank's zone.
    fn civil(&self, stamp: &str) -> Option<DateTime> {
        if let Ok(instant) = stamp.parse::<Timestamp>() {
            return Some(self.tank_zone.to_datetime(instant));
        }
        let typed = typed(stamp)?;
        if self.zone == self.tank_zone {
            return Some(typed);
        }
        let ambiguous = self.zone.to_ambiguous_timestamp(typed);
        let instant = match self.repeated {
            Some(Repeated::Second) => ambiguous.later(),
            _ => ambiguous.earlier(),
        };
        instant.ok().map(|instant| self.tank_zone.to_datetime(instant))
    }

    /// The instant, where the file tells it: not in an hour that a clock shows twice, unless the keeper says which of the
    /// two it is, and not in one that it leaves out.
    pub fn instant(&self, stamp: &str) -> Option<Timestamp> {
        if let Ok(instant) = stamp.parse::<Timestamp>() {
            return Some(instant);
        }
        let ambiguous = self.zone.to_ambiguous_timestamp(typed(stamp)?);
        match (ambiguous.offset(), self.repeated) {
            (AmbiguousOffset::Unambiguous { .. }, _) => ambiguous.unambiguous().ok(),
            (AmbiguousOffset::Fold { .. }, Some(Repeated::First)) => ambiguous.earlier().ok(),
            (AmbiguousOffset::Fold { .. }, Some(Repeated::Second)) => ambiguous.later().ok(),
            _ => None,
        }
    }
}

fn typed(stamp: &str) -> Option<DateTime> {
    stamp.replace(' ', "T").parse().ok()
}

/// When a parameter was read by hand: the moments at which the sensor's own value is worth keeping.
#[derive(Default)]
pub struct HandReadings(BTreeMap<Parameter, Vec<DateTime>>);

/// A sensor's value further than this from the hand reading says nothing beside it.
const BESIDE_MINUTES: i64 = 30;

impl HandReadings {
    /// Of the entries that tell the hour.
    pub fn of(tank: &super::Tank) -> HandReadings {
        let mut moments: BTreeMap<Parameter, Vec<DateTime>> = BTreeMap::new();
        for entry in tank.entries.iter().filter(|entry| entry.has_time) {
            for reading in &entry.readings {
                moments.entry(reading.parameter).or_default().push(entry.when);
            }
        }
        for moments in moments.values_mut() {
            moments.sort();
            moments.dedup();
        }
        HandReadings(moments)
    }

    /// The moments near a time, with the minutes between.
    fn near(&self, parameter: Parameter, when: DateTime) -> impl Iterator<Item = (DateTime, i64)> + '_ {
        let moments = self.0.get(&parameter).map_or(&[][..], Vec::as_slice);
        let minutes = move |moment: DateTime| (moment.duration_since(when).as_secs() / 60).abs();
        let from = moments.partition_point(|moment| *moment < when && minutes(*moment) > BESIDE_MINUTES);
        moments[from..]
            .iter()
            .map(move |moment| (*moment, minutes(*moment)))
            .take_while(|(_, minutes)| *minutes <= BESIDE_MINUTES)
    }
}

/// At most this many bad rows are told one by one.
const TOLD_AT_MOST: usize = 20;

/// Where a cell of a CSV stands.
pub fn cell_place(file: &str, line: u64, row: &csv::StringRecord, column: usize) -> Place {
    Place {
        file: file.into(),
        line: line as u32,
        // Each cell before it ends with a delimiter.
        column: row.iter().take(column).map(|cell| cell.chars().count() as u32 + 1).sum::<u32>() + 1,
        length: row.get(column).map_or(1, |cell| cell.chars().count().max(1)) as u32,
    }
}

/// Hands on every reading of a CSV, row by row, and gives the number of its rows and what was wrong with them.
pub fn for_each_reading(
    folder: &Folder,
    layout: &Layout,
    visit: &mut dyn FnMut(Reading<'_>),
) -> (u64, Vec<Diagnostic>) {
    let mut problems = Vec::new();
    let mut places: Option<Vec<usize>> = None;
    let mut rows = 0u64;
    let columns = &layout.columns;
    let result = for_each_row(folder, &layout.csv, layout.delimiter, &mut |headers, line, row| {
        let at = |column: usize| cell_place(&layout.csv, line, row, column);
        let places = places.get_or_insert_with(|| {
            columns
                .iter()
                .map(|column| {
                    headers.iter().position(|header| header.trim() == column.header).unwrap_or_else(|| {
                        let found = headers.iter().map(|header| header.to_string()).collect();
                        let kind = Kind::MissingColumn { column: column.header.clone(), found };
                        problems.push(Diagnostic::new(kind, column.place.clone()));
                        usize::MAX
                    })
                })
                .collect()
        });
        rows += 1;
        let mut moment = None;
        for (column, place) in columns.iter().zip(places.iter()) {
            if matches!(column.holds, Holds::Time)
                && let Some(cell) = row.get(*place)
            {
                let stamp = cell.trim();
                moment = layout.civil(stamp).map(|when| (stamp, when));
                if moment.is_none() && problems.len() < TOLD_AT_MOST {
                    let wanted = "a date and time, as `2025-03-30 01:00` or `2025-03-30T01:00:00Z`".to_string();
                    let kind = Kind::BadCell { column: column.header.clone(), typed: cell.into(), wanted };
                    problems.push(Diagnostic::new(kind, at(*place)));
                }
            }
        }
        let Some((stamp, when)) = moment else {
            return;
        };
        for (column, place) in columns.iter().zip(places.iter()) {
            let Holds::Reading(parameter, unit) = column.holds else {
                continue;
            };
            let Some(cell) = row.get(*place).map(str::trim).filter(|cell| !cell.is_empty()) else {
                continue;
            };
            let number = if layout.decimal_comma { cell.replace(',', ".") } else { cell.to_string() };
            let parsed = number.parse::<f64>().ok().filter(|value| value.is_finite());
            let Some(value) = parsed.map(|value| own_value(value, parameter, unit)) else {
                if problems.len() < TOLD_AT_MOST {
                    let wanted = if cell.contains(',') {
                        "a number with a decimal point (or say `decimal: \",\"` beside the CSV)"
                    } else {
                        "a number"
                    };
                    let kind =
                        Kind::BadCell { column: column.header.clone(), typed: cell.into(), wanted: wanted.into() };
                    problems.push(Diagnostic::new(kind, at(*place)));
                }
                continue;
            };
            visit(Reading { line, column: &column.header, stamp, when, parameter, value });
        }
    });
    if let Err(mut failed) = result {
        problems.append(&mut failed);
    }
    (rows, problems)
}

/// Streams the CSV and fills the days of `into`. Returns what was wrong.
pub fn sum_up(folder: &Folder, hand: &HandReadings, into: &mut ReadingsFile) -> Vec<Diagnostic> {
    let mut days: BTreeMap<Parameter, Day> = BTreeMap::new();
    let mut done: BTreeMap<Parameter, BTreeMap<Date, SensorDay>> = BTreeMap::new();
    let mut glitches = Vec::new();
    let mut beside: BTreeMap<(Parameter, DateTime), (i64, f64)> = BTreeMap::new();
    let (rows, problems) = for_each_reading(folder, &into.layout, &mut |reading| {
        let Reading { parameter, line, value, when, .. } = reading;
        let date = when.date();
        let (low, high) = parameter.physical_range();
        if !(low..=high).contains(&value) {
            glitches.push(Glitch { parameter, line, value, date });
            return;
        }
        for (moment, minutes) in hand.near(parameter, when) {
            let nearest = beside.entry((parameter, moment)).or_insert((i64::MAX, value));
            if minutes < nearest.0 {
                *nearest = (minutes, value);
            }
        }
        let day = days.entry(parameter).or_insert_with(|| Day::new(date, line));
        if day.date != date {
            let finished = std::mem::replace(day, Day::new(date, line));
            finished.close(parameter, done.entry(parameter).or_default(), &mut glitches);
        }
        day.readings.push((value, line));
    });
    for (parameter, day) in days {
        day.close(parameter, done.entry(parameter).or_default(), &mut glitches);
    }
    glitches.sort_by_key(|glitch| (glitch.parameter, glitch.line));
    for ((parameter, moment), (_, value)) in beside {
        into.beside.entry(parameter).or_default().push((moment, value));
    }
    into.rows = rows;
    into.glitches = glitches;
    into.days = done.into_iter().map(|(parameter, days)| (parameter, days.into_values().collect())).collect();
    problems
}

/// One day's readings of one parameter: small, and thrown away when the day is over.
struct Day {
    date: Date,
    first_line: u64,
    readings: Vec<(f64, u64)>,
}

impl Day {
    fn new(date: Date, first_line: u64) -> Day {
        Day { date, first_line, readings: Vec::new() }
    }

    /// Sets aside readings far from the day's median and adds the rest. A spike is one that lies more than eight
    /// scaled median absolute deviations away (Hampel's identifier; eight is wide on purpose) and is more than an
    /// eighth of the physical range: a heater fault must never be taken for a glitch.
    fn close(self, parameter: Parameter, days: &mut BTreeMap<Date, SensorDay>, glitches: &mut Vec<Glitch>) {
        let mut sorted: Vec<f64> = self.readings.iter().map(|(value, _)| *value).collect();
        sorted.sort_by(f64::total_cmp);
        let Some(median) = sorted.get(sorted.len() / 2).copied() else {
            return;
        };
        let mut deviations: Vec<f64> = sorted.iter().map(|value| (value - median).abs()).collect();
        deviations.sort_by(f64::total_cmp);
        let spread = 1.4826 * deviations[deviations.len() / 2];
        let (low, high) = parameter.physical_range();
        let limit = (8.0 * spread).max((high - low) / 8.0);
        let mut kept = Vec::with_capacity(sorted.len());
        for (value, line) in self.readings {
            if (value - median).abs() > limit && sorted.len() >= 5 {
                glitches.push(Glitch { parameter, line, value, date: self.date });
            } else {
                kept.push(value);
            }
        }
        if kept.is_empty() {
            return;
        }
        let count = kept.len() as u32;
        let mean = kept.iter().sum::<f64>() / f64::from(count);
        let low = kept.iter().copied().fold(f64::INFINITY, f64::min);
        let high = kept.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let new = SensorDay { date: self.date, mean, low, high, count, line: self.first_line };
        days.entry(self.date)
            .and_modify(|day| {
                let total = day.count + count;
                day.mean = (day.mean * f64::from(day.count) + mean * f64::from(count)) / f64::from(total);
                day.low = day.low.min(low);
                day.high = day.high.max(high);
                day.count = total;
            })
            .or_insert(new);
    }
}

fn own_value(value: f64, parameter: Parameter, unit: &'static Unit) -> f64 {
    let wanted = parameter.dimensions();
    match units::parse(&value.to_string(), wanted, Some(unit)) {
        Ok(quantity) => super::parse::log::ion_value(&quantity, Some(unit)),
        Err(_) => f64::NAN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn closed(readings: &[f64]) -> (Vec<SensorDay>, Vec<Glitch>) {
        let mut day = Day::new(date(2025, 3, 30), 2);
        day.readings = readings.iter().enumerate().map(|(place, value)| (*value, place as u64 + 2)).collect();
        let (mut days, mut glitches) = (BTreeMap::new(), Vec::new());
        day.close(Parameter::Temperature, &mut days, &mut glitches);
        (days.into_values().collect(), glitches)
    }

    #[test]
    fn a_spike_is_set_aside_and_told() {
        let (days, glitches) = closed(&[25.0, 25.1, 25.0, 44.0, 25.2, 25.1]);
        assert_eq!(days[0].count, 5);
        assert!((days[0].high - 25.2).abs() < 1e-12);
        let date = date(2025, 3, 30);
        assert_eq!(glitches, vec![Glitch { parameter: Parameter::Temperature, line: 5, value: 44.0, date }]);
    }

    #[test]
    fn a_heater_fault_is_no_glitch() {
        let (days, glitches) = closed(&[25.0, 25.1, 26.0, 27.0, 28.5, 29.5, 30.5]);
        assert_eq!(days[0].count, 7);
        assert!(glitches.is_empty());
    }

    #[test]
    fn an_instant_is_told_only_where_the_file_tells_it() {
        // Summer time in Lisbon began on 30 March and ended on 26 October 2025, both at 01:00 UTC (IANA zone data).
        let zone = jiff::tz::db().get("Europe/Lisbon").unwrap();
        let layout = |repeated| Layout {
            csv: "probe.csv".into(),
            delimiter: b',',
            decimal_comma: false,
            zone: zone.clone(),
            tank_zone: zone.clone(),
            repeated,
            columns: Vec::new(),
        };
        let instant = |stamp: &str, repeated| layout(repeated).instant(stamp).map(|instant| instant.to_string());
        let is = |text: &str| Some(text.to_string());
        assert_eq!(instant("2025-07-01 12:00", None), is("2025-07-01T11:00:00Z"));
        assert_eq!(instant("2025-12-01 12:00", None), is("2025-12-01T12:00:00Z"));
        assert_eq!(instant("2025-10-26 01:30", None), None);
        assert_eq!(instant("2025-10-26 01:30", Some(Repeated::First)), is("2025-10-26T00:30:00Z"));
        assert_eq!(instant("2025-10-26 01:30", Some(Repeated::Second)), is("2025-10-26T01:30:00Z"));
        assert_eq!(instant("2025-10-26T01:30:00+01:00", None), is("2025-10-26T00:30:00Z"));
        assert_eq!(instant("2025-03-30 01:30", None), None);
    }
}
