//! What is normal for this tank, from its own last weeks, and the lamp's hours.

use jiff::civil::{Date, Time};

use super::{Period, after};
use crate::figures::Findings;
use crate::record::equipment::hour_of;
use crate::record::{Parameter, Record, Role, Tank, YesNo, days_between};

/// Days that "normal" is taken from.
pub const NORMAL_DAYS: i32 = 30;

#[derive(Clone, Debug)]
pub struct Normal {
    pub temperature: Option<Range>,
    /// Days from the newest entry to the day at which the record stands.
    pub entry_age: Option<i32>,
    /// The same for the newest reading of alkalinity, salinity or nitrate.
    pub test_age: Option<i32>,
}

/// Lowest and highest reading, in the parameter's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    pub low: f64,
    pub high: f64,
    /// Readings by hand, and days of a sensor.
    pub readings: usize,
    pub sensor_days: usize,
    pub newest: Date,
}

pub fn work_out(record: &Record, tank: &Tank, findings: &Findings) -> Normal {
    let water = &findings.tanks[&tank.key].water;
    let tested = [Parameter::Alkalinity, Parameter::Salinity, Parameter::Nitrate]
        .iter()
        .filter_map(|parameter| water.get(parameter)?.series.latest().map(|point| point.when.date()))
        .max();
    let entered = tank.entries.last().map(|entry| entry.date());
    let age = |date: Date| days_between(date, record.as_of);
    Normal { temperature: temperature(record, tank, findings), entry_age: entered.map(age), test_age: tested.map(age) }
}

fn temperature(record: &Record, tank: &Tank, findings: &Findings) -> Option<Range> {
    let from = after(record.as_of, -NORMAL_DAYS);
    let by_hand: Vec<(Date, f64)> = findings.tanks[&tank.key]
        .water
        .get(&Parameter::Temperature)
        .map(|state| {
            let points = state.series.points.iter().filter(|point| point.when.date() > from);
            points.map(|point| (point.when.date(), point.value)).collect()
        })
        .unwrap_or_default();
    let by_sensor: Vec<(Date, f64, f64)> = tank
        .readings
        .iter()
        .filter_map(|file| file.days.get(&Parameter::Temperature))
        .flatten()
        .filter(|day| day.date > from && day.date <= record.as_of)
        .map(|day| (day.date, day.low, day.high))
        .collect();
    let newest = by_hand.iter().map(|one| one.0).chain(by_sensor.iter().map(|one| one.0)).max()?;
    let lows = by_hand.iter().map(|one| one.1).chain(by_sensor.iter().map(|one| one.1));
    let highs = by_hand.iter().map(|one| one.1).chain(by_sensor.iter().map(|one| one.2));
    Some(Range {
        low: lows.fold(f64::INFINITY, f64::min),
        high: highs.fold(f64::NEG_INFINITY, f64::max),
        readings: by_hand.len(),
        sensor_days: by_sensor.len(),
        newest,
    })
}

/// When a lamp comes on and goes off by its own clock.
#[derive(Clone, Debug, PartialEq)]
pub struct LampHours {
    pub device: String,
    pub on: Time,
    pub off: Time,
    /// When it is at its brightest first and last.
    pub bright: Option<(Time, Time)>,
    /// Whether its clock follows summer time by itself.
    pub follows_clock: YesNo,
}

pub fn lamps(tank: &Tank, period: Period) -> Vec<LampHours> {
    tank.devices_at(period.from)
        .filter(|device| device.role.value == Role::Lamp)
        .filter_map(|device| {
            let schedule = device.settings.at(period.from)?.value.schedule.as_ref()?;
            let course = schedule.value.course();
            let lit: Vec<(f64, f64)> = course.iter().copied().filter(|(_, level)| *level > 0.0).collect();
            // A lamp that burns at midnight has no morning and no evening to be told by.
            if lit.is_empty() || course.first()?.1 > 0.0 || course.last()?.1 > 0.0 {
                return None;
            }
            let on = course.iter().take_while(|(_, level)| *level <= 0.0).last()?.0;
            let off = course.iter().rev().take_while(|(_, level)| *level <= 0.0).last()?.0;
            let most = lit.iter().map(|point| point.1).fold(0.0, f64::max);
            let at_most: Vec<f64> = lit.iter().filter(|point| point.1 >= most - 1e-9).map(|point| point.0).collect();
            let bright = (*at_most.first()?, *at_most.last()?);
            Some(LampHours {
                device: device.key.clone(),
                on: time_of(on),
                off: time_of(off),
                bright: (bright.0 > on || bright.1 < off).then(|| (time_of(bright.0), time_of(bright.1))),
                follows_clock: device.forgets.as_ref().map_or(YesNo::Unknown, |forgets| forgets.follows_summer_time),
            })
        })
        .collect()
}

/// The nearest minute of a day.
fn time_of(hour: f64) -> Time {
    let minutes = (hour * 60.0).round().clamp(0.0, 1439.0) as i32;
    Time::new((minutes / 60) as i8, (minutes % 60) as i8, 0, 0).expect("within a day")
}

impl LampHours {
    /// Its hours by the wall after the clocks were put forward by so many minutes and it was not.
    pub fn left_behind(&self, forward: i64) -> (Time, Time) {
        let moved = |time: Time| time_of((hour_of(time) + forward as f64 / 60.0).rem_euclid(24.0));
        (moved(self.on), moved(self.off))
    }
}

/// Temperatures, in °C, from which on something is done, and from which on somebody is called at once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    pub hot: f64,
    pub cold: f64,
    pub call_hot: f64,
    pub call_cold: f64,
    /// Whether band or last weeks gave `hot` and `cold`; otherwise they are those of the call.
    pub own: bool,
}

/// Beyond band and last weeks by this much, in °C, something is done (judgement, no source).
pub const MARGIN: f64 = 1.0;
/// Above and below these, in °C, corals are in danger whatever they are used to (common practice, no source).
pub const CALL: (f64, f64) = (22.0, 30.0);

/// Limits for one tank on the first day: beyond its band and beyond what its last weeks were.
pub fn limits(tank: &Tank, normal: &Normal, on: Date) -> Limits {
    // Where the keeper has said from where on harm begins, that counts.
    let said = tank.limits.get(&Parameter::Temperature).map(|limit| limit.value);
    let end = |value: Option<f64>, usual: f64| value.filter(|value| value.is_finite()).unwrap_or(usual);
    let (call_cold, call_hot) = (end(said.map(|limit| limit.low), CALL.0), end(said.map(|limit| limit.high), CALL.1));
    let band = tank.bands.get(&Parameter::Temperature).and_then(|band| band.at(on)).map(|stretch| stretch.value);
    let highs = [band.map(|band| band.high), normal.temperature.map(|range| range.high)];
    let lows = [band.map(|band| band.low), normal.temperature.map(|range| range.low)];
    let high = highs.into_iter().flatten().filter(|value| value.is_finite()).fold(f64::NEG_INFINITY, f64::max);
    let low = lows.into_iter().flatten().filter(|value| value.is_finite()).fold(f64::INFINITY, f64::min);
    // To half a degree, as a thermometer at a tank is read.
    let half = |value: f64| (value * 2.0).round() / 2.0;
    if !high.is_finite() || !low.is_finite() {
        return Limits { hot: call_hot, cold: call_cold, call_hot, call_cold, own: false };
    }
    Limits {
        hot: half(high + MARGIN).min(call_hot),
        cold: half(low - MARGIN).max(call_cold),
        call_hot,
        call_cold,
        own: true,
    }
}
