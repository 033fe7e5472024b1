//! What a year held: energy and what it cost, water changed and evaporated, days in each band, upkeep kept, growth.
//!
//! A year that began before the tank or is not over yet counts only the days there were. What could not be told of a day
//! is counted as not known, never as good.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::TankFindings;
use super::budget::{JUG_SCALE, by_day, jug_u};
use super::energy::{device_on, stretches};
use super::growth::{self, Growth};
use super::hours;
use super::readings::SeriesPoint;
use super::upkeep::meant_since;
use super::water::{Standing, stands};
use crate::record::colony::Colony;
use crate::record::upkeep::Task;
use crate::record::{Band, Device, Parameter, Record, Tank, days_between};
use crate::units::Bound;

/// A sum with its standard uncertainty.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sum {
    pub value: f64,
    pub u: f64,
    /// Days it speaks for.
    pub days: i32,
    /// Times it was done or given.
    pub times: usize,
}

/// What one tank's year held.
#[derive(Clone, Debug, Default)]
pub struct Year {
    /// First and last day counted.
    pub from: Option<Date>,
    pub to: Option<Date>,
    pub days: i32,
    /// kWh, worked out from what was set on each day.
    pub energy: Option<Sum>,
    /// kWh by the meter, over the days between its readings.
    pub metered: Option<Sum>,
    /// By currency: what that energy cost at the prices of its days.
    pub cost: BTreeMap<String, Sum>,
    /// Litres.
    pub changed: Sum,
    pub evaporated: Sum,
    pub bands: Vec<InBand>,
    pub upkeep: Vec<Kept>,
    /// Key of the colony; only what could be told from no growth, the fastest of each model first.
    pub growth: Vec<(String, Growth)>,
    /// Colonies measured too seldom within the year.
    pub hardly: usize,
    pub entries: usize,
    pub quiet: usize,
    pub readings: usize,
}

/// How one quantity stood in its band, day by day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InBand {
    pub parameter: Parameter,
    pub inside: i32,
    pub outside: i32,
    pub too_close: i32,
    /// Days with a band and no reading near enough.
    pub unknown: i32,
}

/// How one task was kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    pub task: String,
    /// Times it fell due.
    pub due: u32,
    pub on_time: u32,
    pub late: u32,
    /// Due and not done by the end.
    pub not_done: u32,
    pub done: u32,
    /// Minutes of the times it was done, where the task says what it takes.
    pub minutes: Option<f64>,
}

/// Readings further apart than this say nothing of the days between (judgement, no source).
pub const FURTHEST_DAYS: i32 = 35;

/// Sums up a calendar year of a tank, as far as the record reaches. `None` where it reaches no day of it.
pub fn year(record: &Record, tank: &Tank, found: &TankFindings, year: i16) -> Option<Year> {
    let from = Date::new(year, 1, 1).ok()?.max(tank.started.value);
    let to = Date::new(year, 12, 31).ok()?.min(tank.last_day(record.as_of));
    (from <= to).then(|| between(record, tank, found, from, to))
}

/// The same between two dates, both counted.
pub fn between(record: &Record, tank: &Tank, found: &TankFindings, from: Date, to: Date) -> Year {
    let inside = |date: Date| date >= from && date <= to;
    let entries = || tank.entries.iter().filter(|entry| inside(entry.date()));
    let mut year = Year {
        from: Some(from),
        to: Some(to),
        days: days_between(from, to) + 1,
        entries: entries().count(),
        quiet: entries().filter(|entry| entry.quiet).count(),
        readings: entries().map(|entry| entry.readings.len()).sum(),
        ..Year::default()
    };
    energy((record, tank, found), from, to, &mut year);
    year.metered = metered(found, from, to);
    water(tank, from, to, &mut year);
    year.bands = found
        .water
        .values()
        .map(|state| state.parameter)
        .filter(|parameter| parameter.is_of_the_water() && tank.bands.contains_key(parameter))
        .map(|parameter| in_band(tank, found, parameter, from, to))
        .collect();
    year.upkeep = tank.upkeep.tasks.values().filter_map(|task| kept(tank, task, from, to)).collect();
    colonies(record, tank, from, to, &mut year);
    year
}

fn energy((record, tank, found): (&Record, &Tank, &TankFindings), from: Date, to: Date, year: &mut Year) {
    let heating = found.power.heating.as_ref();
    let mut total = Sum::default();
    // What is wrong with a device's watts is wrong on every day: the errors of one device add up.
    let mut errors: BTreeMap<&str, f64> = BTreeMap::new();
    let mut priced = 0;
    for (start, days) in stretches(tank, from, to) {
        let count = f64::from(days);
        let electricity = tank.electricity.at(start).map(|stretch| &stretch.value);
        if electricity.is_some_and(|prices| prices.tariff.is_some()) {
            priced += days;
        }
        let known: Vec<(&Device, (f64, f64, f64))> = tank
            .devices_at(start)
            .filter_map(|device| Some((device, device_on(record, tank, device, start, heating)?)))
            .collect();
        if known.is_empty() {
            continue;
        }
        total.days += days;
        for (device, (energy, u, watts)) in known {
            total.value += count * energy;
            *errors.entry(&device.key).or_default() += count * u;
            let hours = hours::by_hour(device, start, watts, energy);
            if let Some((cost, currency)) = electricity.and_then(|prices| hours::price_of(prices, &hours)) {
                let sum = year.cost.entry(currency).or_default();
                sum.value += count * cost;
            }
        }
    }
    if total.days == 0 {
        return;
    }
    total.u = errors.values().map(|u| u * u).sum::<f64>().sqrt();
    for sum in year.cost.values_mut() {
        sum.days = priced;
        // Prices are known; what is not is the energy.
        sum.u = if total.value > 0.0 { sum.value * total.u / total.value } else { 0.0 };
    }
    year.energy = Some(total);
}

/// Each span between two readings of the meter is spread evenly over its days.
fn metered(found: &TankFindings, from: Date, to: Date) -> Option<Sum> {
    let mut sum = Sum::default();
    for span in &found.power.spans {
        // The day of a reading belongs to the span that it ends.
        let first = span.from.saturating_add(1.days()).max(from);
        let days = days_between(first, span.to.min(to)) + 1;
        if days > 0 {
            sum.value += span.metered * f64::from(days);
            sum.days += days;
            sum.times += 1;
        }
    }
    // The class of a household meter: 1 % either way, rectangular, as for its daily figure.
    sum.u = sum.value * 0.01 / 3f64.sqrt();
    (sum.days > 0).then_some(sum)
}

fn water(tank: &Tank, from: Date, to: Date, year: &mut Year) {
    let inside = |date: Date| date >= from && date <= to;
    let mut variance = 0.0;
    for entry in tank.entries.iter().filter(|entry| inside(entry.date())) {
        if let Some(change) = &entry.water_change {
            let litres = change.volume.value.value;
            year.changed.value += litres;
            year.changed.times += 1;
            variance += change.volume.value.uncertainty.unwrap_or_else(|| jug_u(litres)).powi(2);
        }
    }
    year.changed.u = variance.sqrt().hypot(JUG_SCALE * year.changed.value);
    year.changed.days = year.days;
    let top_offs: Vec<(Date, f64)> = tank
        .entries
        .iter()
        .filter_map(|entry| entry.top_off.as_ref().map(|top_off| (entry.date(), top_off.value.value)))
        .collect();
    let mut used: BTreeMap<usize, f64> = BTreeMap::new();
    for (_, litres, place) in by_day(&top_offs).into_iter().filter(|(date, _, _)| inside(*date)) {
        year.evaporated.value += litres;
        year.evaporated.days += 1;
        *used.entry(place).or_default() += litres / top_offs[place].1.max(f64::MIN_POSITIVE);
    }
    year.evaporated.times = used.len();
    let read: f64 = used.iter().map(|(place, share)| (share * jug_u(top_offs[*place].1)).powi(2)).sum();
    year.evaporated.u = read.sqrt().hypot(JUG_SCALE * year.evaporated.value);
}

/// The state of one quantity on every day of the span: a sensor's mean of the day, else what two readings say between them.
fn in_band(tank: &Tank, found: &TankFindings, parameter: Parameter, from: Date, to: Date) -> InBand {
    let mut counted = InBand { parameter, inside: 0, outside: 0, too_close: 0, unknown: 0 };
    let points = found.water.get(&parameter).map(|state| state.series.by_day()).unwrap_or_default();
    let mut sensor: BTreeMap<Date, (f64, f64)> = BTreeMap::new();
    for file in &tank.readings {
        let u = file.uncertainty.get(&parameter).map_or(0.0, |u| u.value);
        sensor.extend(file.days.get(&parameter).into_iter().flatten().map(|day| (day.date, (day.mean, u))));
    }
    let mut date = from;
    while date <= to {
        let band = tank.bands.get(&parameter).and_then(|band| band.at(date)).map(|stretch| stretch.value);
        if let Some(band) = band {
            let state = match sensor.get(&date) {
                Some((mean, u)) => stands(*mean, *u, Bound::Exactly, band),
                None => by_hand(&points, date, band),
            };
            match state {
                Standing::Inside => counted.inside += 1,
                Standing::Below | Standing::Above => counted.outside += 1,
                Standing::TooCloseToTell => counted.too_close += 1,
                Standing::NoBand | Standing::NoReading => counted.unknown += 1,
            }
        }
        match date.tomorrow() {
            Ok(next) => date = next,
            Err(_) => break,
        }
    }
    counted
}

/// A straight line between the readings before and after, no surer than the less sure of them. Where one of the two is
/// only a limit, they must agree.
fn by_hand(points: &[SeriesPoint], date: Date, band: Band) -> Standing {
    let after = points.partition_point(|point| point.when.date() < date);
    let Some(next) = points.get(after) else { return Standing::NoReading };
    let at = |point: &SeriesPoint| stands(point.value, point.u, point.bound, band);
    if next.when.date() == date {
        return at(next);
    }
    let Some(last) = after.checked_sub(1).map(|before| &points[before]) else { return Standing::NoReading };
    let apart = days_between(last.when.date(), next.when.date());
    if apart > FURTHEST_DAYS {
        return Standing::NoReading;
    }
    if last.bound == Bound::Exactly && next.bound == Bound::Exactly {
        let part = f64::from(days_between(last.when.date(), date)) / f64::from(apart);
        let value = last.value + part * (next.value - last.value);
        return stands(value, last.u.max(next.u), Bound::Exactly, band);
    }
    if at(last) == at(next) { at(last) } else { Standing::TooCloseToTell }
}

/// Grace that a task has beyond its interval before it counts as late: a tenth of it, a day at least (judgement, no
/// source).
fn grace(every: f64) -> i32 {
    (every / 10.0).ceil().max(1.0) as i32
}

/// Follows one task from one time it was done to the next. `None` where it did not fall due and was not done.
fn kept(tank: &Tank, task: &Task, from: Date, to: Date) -> Option<Kept> {
    let since = meant_since(tank, task);
    let until = task.until.as_ref().map_or(to, |until| until.value.min(to));
    let every = &task.every.value;
    let mut done: Vec<Date> = tank
        .entries
        .iter()
        .filter(|entry| entry.done.iter().any(|name| name.value == task.key))
        .map(|entry| entry.date())
        .filter(|date| *date <= to)
        .collect();
    done.dedup();
    let times = done.iter().filter(|date| **date >= from).count() as u32;
    let mut kept = Kept {
        task: task.key.clone(),
        due: 0,
        on_time: 0,
        late: 0,
        not_done: 0,
        done: times,
        minutes: task.takes.as_ref().map(|takes| takes.value * f64::from(times)),
    };
    let mut before = since;
    let mut next = done.iter().copied().filter(|date| *date > since);
    loop {
        let due = every.after(before).max(before.saturating_add(1.days()));
        let Some(now) = next.next() else {
            // What fell due in a year before and was not done in this one either was due all of it.
            if due <= until && until >= from {
                kept.not_done += 1;
            }
            break;
        };
        // Done before its day, it never fell due: it counts for the day on which it was done.
        let counts_on = due.min(now);
        if counts_on >= from && counts_on <= until {
            if now <= due.saturating_add(i64::from(grace(every.days())).days()) {
                kept.on_time += 1;
            } else {
                kept.late += 1;
            }
        }
        before = now;
    }
    kept.due = kept.on_time + kept.late + kept.not_done;
    (kept.due > 0 || kept.done > 0).then_some(kept)
}

/// A size before the year counts as its start if it is no older than this (judgement, no source).
const SIZE_BEFORE_DAYS: i32 = 92;

fn colonies(record: &Record, tank: &Tank, from: Date, to: Date, year: &mut Year) {
    for colony in record.colonies.values() {
        if colony.placement_on(to).is_none_or(|placement| placement.tank.value != tank.key) {
            continue;
        }
        let Some(found) = growth_within(record, colony, from, to) else { continue };
        if found.visible && found.rate > 0.0 {
            year.growth.push((colony.key.clone(), found));
        } else {
            year.hardly += 1;
        }
    }
    let by_share = |found: &Growth| found.model == growth::Model::LogLinear;
    year.growth.sort_by(|(a_key, a), (b_key, b)| {
        by_share(a).cmp(&by_share(b)).then(b.rate.total_cmp(&a.rate)).then_with(|| a_key.cmp(b_key))
    });
}

/// Growth from the sizes of the year, and the last one before it.
fn growth_within(record: &Record, colony: &Colony, from: Date, to: Date) -> Option<Growth> {
    let measure = growth::main_measure(colony)?;
    let mut sizes: Vec<_> =
        colony.sizes.iter().filter(|size| size.measure == measure && size.on <= to).cloned().collect();
    let first = sizes.partition_point(|size| size.on < from);
    let start = match first.checked_sub(1) {
        Some(before) if days_between(sizes[before].on, from) <= SIZE_BEFORE_DAYS => before,
        _ => first,
    };
    sizes.drain(..start);
    let by = |sizes| growth::growth(record, &Colony { sizes, ..colony.clone() });
    let ends: Vec<_> = sizes.first().into_iter().chain(sizes.last()).cloned().collect();
    let found = by(sizes)?;
    // A course with a step back in it, as after shedding, tells no trend; its ends may still tell that it grew.
    let by_ends = || by(ends).filter(|ends| ends.visible && ends.from < ends.to);
    if found.visible { Some(found) } else { by_ends().or(Some(found)) }
}
