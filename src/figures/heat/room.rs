//! The air of the room: now, by month, and at its coldest and hottest.

use jiff::ToSpan;
use jiff::civil::Date;

use super::spread::end;
use crate::diagnostic::Place;
use crate::figures::graph::{Basis, Graph, NodeId, Root, Shape};
use crate::figures::inputs::{assumed_between, measured};
use crate::figures::readings::Series;
use crate::record::survey::SensorDay;
use crate::record::{Parameter, Record, Tank};
use std::collections::BTreeMap;

/// Temperature in °C and humidity (0 to 1) as nodes.
#[derive(Clone, Copy, Debug)]
pub struct Air {
    pub temperature: NodeId,
    pub humidity: NodeId,
}

/// The room as the balance needs it.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Means of the last weeks.
    pub now: Air,
    /// The coldest day that the record knows, with the driest air.
    pub coldest: Air,
    /// The hottest day with the air it likely has then.
    pub hottest: Air,
    /// The hottest day with the dampest air: least evaporation.
    pub hottest_damp: Air,
}

/// Days looked back for how the room is now.
pub const NOW_DAYS: i32 = 30;

/// Humidity of heated and aired rooms (common practice, no source).
const USUAL_HUMIDITY: (f64, f64) = (0.35, 0.65);

/// What a record holds of the room.
pub struct RoomRecord<'a> {
    record: &'a Record,
    tank: &'a Tank,
    series: &'a BTreeMap<Parameter, Series>,
}

/// A mean over some days with its standard uncertainty.
#[derive(Clone, Debug)]
pub struct Mean {
    pub value: f64,
    pub u: f64,
    pub place: Place,
    /// Of the sensor’s or the keeper’s readings, or of the month’s line in tank.yaml.
    pub words: String,
    /// Months in tank.yaml are usual values, not readings.
    pub read: bool,
}

impl<'a> RoomRecord<'a> {
    pub fn new(record: &'a Record, tank: &'a Tank, series: &'a BTreeMap<Parameter, Series>) -> RoomRecord<'a> {
        RoomRecord { record, tank, series }
    }

    /// None where the record holds neither a range nor readings of the room's temperature.
    pub fn room(&self, graph: &mut Graph) -> Option<Room> {
        let as_of = self.record.as_of;
        let from = as_of.saturating_sub(NOW_DAYS.days());
        let range = self.tank.room.at(as_of);
        let damp = self.tank.room_humidity.at(as_of);
        let now_t = match (self.mean(Parameter::RoomTemperature, from, as_of), range) {
            (Some(mean), _) => put(graph, "Room", &mean, "°C"),
            (None, Some(range)) => {
                within(graph, "Room", (range.value.0.value, range.value.1.value), "°C", &range.place)
            }
            (None, None) => return None,
        };
        let now_h = match (self.mean(Parameter::RoomHumidity, from, as_of), damp) {
            (Some(mean), _) => put(graph, "Room humidity", &mean, "1"),
            (None, Some(range)) => {
                within(graph, "Room humidity", (range.value.0.value, range.value.1.value), "1", &range.place)
            }
            (None, None) => usual_humidity(graph),
        };
        let (cold, hot) =
            self.extremes(graph, range.map(|range| (range.value.0.value, range.value.1.value, &range.place)))?;
        let (driest, dampest) = match damp {
            Some(range) => (
                measured(graph, "Driest air", range.value.0.value, 0.0, "1", &range.place),
                measured(graph, "Dampest air", range.value.1.value, 0.0, "1", &range.place),
            ),
            None => (
                end(graph, "Driest air", USUAL_HUMIDITY.0, "1", "`room-humidity:` is not recorded"),
                end(graph, "Dampest air", USUAL_HUMIDITY.1, "1", "`room-humidity:` is not recorded"),
            ),
        };
        let hot_h = match (self.hottest_month_humidity(), damp) {
            (Some(mean), _) => put(graph, "Room humidity in the hottest month", &mean, "1"),
            (None, Some(range)) => within(
                graph,
                "Room humidity on a hot day",
                (range.value.0.value, range.value.1.value),
                "1",
                &range.place,
            ),
            (None, None) => usual_humidity(graph),
        };
        Some(Room {
            now: Air { temperature: now_t, humidity: now_h },
            coldest: Air { temperature: cold, humidity: driest },
            hottest: Air { temperature: hot, humidity: hot_h },
            hottest_damp: Air { temperature: hot, humidity: dampest },
        })
    }

    /// Mean over the days of a stretch: of a sensor, else of the keeper's readings, else what tank.yaml says of the
    /// month in which the stretch ends.
    pub fn mean(&self, parameter: Parameter, from: Date, to: Date) -> Option<Mean> {
        self.sensor_mean(parameter, from, to)
            .or_else(|| self.read_mean(parameter, from, to))
            .or_else(|| self.month(parameter, to.month()))
    }

    fn sensor_days(&self, parameter: Parameter) -> impl Iterator<Item = (&'a SensorDay, &'a Place)> {
        self.tank
            .readings
            .iter()
            .flat_map(move |file| file.days.get(&parameter).into_iter().flatten().map(move |day| (day, &file.place)))
    }

    fn sensor_mean(&self, parameter: Parameter, from: Date, to: Date) -> Option<Mean> {
        let days: Vec<(&SensorDay, &Place)> =
            self.sensor_days(parameter).filter(|(day, _)| day.date > from && day.date <= to).collect();
        if days.len() < 7 {
            return None;
        }
        let value = days.iter().map(|(day, _)| day.mean).sum::<f64>() / days.len() as f64;
        let stated = self.tank.readings.iter().find_map(|file| file.uncertainty.get(&parameter));
        let u = stated.map_or(0.5, |u| u.value);
        Some(Mean {
            value,
            u,
            place: days[0].1.clone(),
            words: if days.len() == 1 { "one day".into() } else { format!("mean of {} days", days.len()) },
            read: true,
        })
    }

    fn read_mean(&self, parameter: Parameter, from: Date, to: Date) -> Option<Mean> {
        let points: Vec<_> = self
            .series
            .get(&parameter)?
            .points
            .iter()
            .filter(|point| point.when.date() > from && point.when.date() <= to)
            .collect();
        let last = points.last()?;
        let count = points.len() as f64;
        let value = points.iter().map(|point| point.value).sum::<f64>() / count;
        // A reading now and then stands for days it did not see: a degree, or five in a hundred (judgement, no source).
        let wander = if parameter == Parameter::RoomHumidity { 0.05 } else { 1.0 };
        let u = last.u.hypot(wander / count.sqrt());
        Some(Mean {
            value,
            u,
            place: last.place.clone(),
            words: if points.len() == 1 { "one reading".into() } else { format!("mean of {} readings", points.len()) },
            read: true,
        })
    }

    /// What tank.yaml says of a month.
    pub fn month(&self, parameter: Parameter, month: i8) -> Option<Mean> {
        let month = self.tank.room_by_month.get(&month)?;
        let (written, u) = match parameter {
            Parameter::RoomHumidity => (month.humidity.as_ref()?, 0.04),
            _ => (month.temperature.as_ref()?, 1.0),
        };
        let u = written.value.uncertainty.unwrap_or(u);
        let (value, place) = (written.value.value, written.place.clone());
        Some(Mean { value, u, place, words: "usual for the month".into(), read: false })
    }

    fn hottest_month_humidity(&self) -> Option<Mean> {
        let warm =
            |month: &crate::record::tank::RoomMonth| month.temperature.as_ref().map_or(f64::MIN, |t| t.value.value);
        let hottest = self
            .tank
            .room_by_month
            .iter()
            .filter(|(_, month)| month.humidity.is_some() && month.temperature.is_some())
            .max_by(|a, b| warm(a.1).total_cmp(&warm(b.1)).then(b.0.cmp(a.0)))?;
        self.month(Parameter::RoomHumidity, *hottest.0)
    }

    /// The coldest and the hottest day: of the range that is written and of what a sensor saw, whichever reaches
    /// further.
    fn extremes(&self, graph: &mut Graph, range: Option<(f64, f64, &Place)>) -> Option<(NodeId, NodeId)> {
        let mut lows: Vec<(f64, Place)> = range.iter().map(|(low, _, place)| (*low, (*place).clone())).collect();
        let mut highs: Vec<(f64, Place)> = range.iter().map(|(_, high, place)| (*high, (*place).clone())).collect();
        for (day, place) in self.sensor_days(Parameter::RoomTemperature).filter(|(day, _)| day.count >= 12) {
            lows.push((day.mean, place.clone()));
            highs.push((day.mean, place.clone()));
        }
        if range.is_none() {
            for point in self.series.get(&Parameter::RoomTemperature).into_iter().flat_map(|series| &series.points) {
                lows.push((point.value, point.place.clone()));
                highs.push((point.value, point.place.clone()));
            }
        }
        let low = lows.into_iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
        let high = highs.into_iter().max_by(|a, b| a.0.total_cmp(&b.0).then(std::cmp::Ordering::Greater))?;
        Some((
            measured(graph, "Room on the coldest day", low.0, 0.5, "°C", &low.1),
            measured(graph, "Room on the hottest day", high.0, 0.5, "°C", &high.1),
        ))
    }
}

/// A mean as a root.
pub fn put(graph: &mut Graph, label: &str, mean: &Mean, unit: &str) -> NodeId {
    measured(graph, &format!("{label}, {}", mean.words), mean.value, mean.u, unit, &mean.place)
}

/// Somewhere in a range that the keeper wrote: rectangular.
pub fn within(graph: &mut Graph, label: &str, (low, high): (f64, f64), unit: &str, place: &Place) -> NodeId {
    graph.root(Root {
        label: format!("{label}, middle of its range"),
        value: (low + high) / 2.0,
        uncertainty: (high - low) / 12f64.sqrt(),
        unit: unit.to_string(),
        basis: Basis::Measured,
        places: vec![place.clone()],
        shape: Shape::Rectangular,
        private: false,
        note: None,
        source: None,
    })
}

fn usual_humidity(graph: &mut Graph) -> NodeId {
    let (low, high) = USUAL_HUMIDITY;
    assumed_between(graph, "Room humidity", low, high, "1", "`room-humidity:` is not recorded")
}
