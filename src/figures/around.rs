//! What was unusual in the weeks before a date: readings, doses, light, flow and work, each against every other stretch
//! of the same length in the same tank, ranked by how far it stands out. It tells what stood beside what, and no cause.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::energy::hours_at_full;
use super::{Findings, TankFindings};
use crate::diagnostic::Place;
use crate::record::{Device, Lane, Parameter, Record, Role, Tank};
use crate::science::rank::{median, share_as_extreme};
use crate::units::{Dimension, Quantity};

/// With fewer other stretches than this nothing can stand out.
pub const LEAST_OTHERS: usize = 4;

/// Swings need this many readings.
const LEAST_FOR_SWING: usize = 3;

/// Work done this often gives an interval to compare with.
const LEAST_DONE: usize = 3;

/// What the weeks before a date held.
#[derive(Clone, Debug)]
pub struct Around {
    pub from: Date,
    /// The date asked about; the weeks end the day before it.
    pub date: Date,
    pub weeks: u32,
    /// Everything that could be compared, the most unusual first.
    pub items: Vec<Unusual>,
    /// What was recorded in those weeks but has too little history to compare with.
    pub too_little: Vec<String>,
}

/// One quantity of those weeks against the same quantity in all others.
#[derive(Clone, Debug, PartialEq)]
pub struct Unusual {
    pub topic: Topic,
    pub label: String,
    pub value: f64,
    /// Middle of the other stretches.
    pub usual: f64,
    pub unit: String,
    pub decimals: u8,
    /// Share of all stretches, this one among them, at least as far from the middle: the smaller, the more unusual.
    pub share: f64,
    /// How many other stretches it was compared with.
    pub others: usize,
    /// The difference is no larger than the error of the kit: 1.96 standard uncertainties.
    pub within_error: bool,
    /// What else may explain it: a new kit or lot.
    pub remark: Option<String>,
    pub place: Option<Place>,
}

impl Unusual {
    pub fn is_higher(&self) -> bool {
        self.value > self.usual
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Topic {
    Reading,
    Dose,
    Food,
    WaterChange,
    Harvest,
    Light,
    Flow,
    Work,
    Changes,
}

/// Ranks what was unusual in the `weeks` before `date`.
pub fn around(record: &Record, findings: &Findings, tank: &Tank, date: Date, weeks: u32) -> Around {
    match findings.tanks.get(&tank.key) {
        Some(found) => found.history.around(date, weeks),
        None => History::of(record, &TankFindings::default(), tank).around(date, weeks),
    }
}

/// Everything of a tank that can be summed up over a stretch of days, ready to be asked about many dates.
#[derive(Debug, Default)]
pub struct History {
    courses: Vec<Course>,
    start: i32,
    end: i32,
}

#[derive(Debug)]
struct Course {
    topic: Topic,
    label: String,
    unit: String,
    decimals: u8,
    /// What the kit cannot tell apart, one standard uncertainty.
    u: f64,
    data: Data,
    breaks: Vec<(i32, String)>,
}

#[derive(Debug)]
enum Data {
    /// Day, value, place; sorted by day.
    Middle(Vec<(i32, f64, Place)>),
    Swing(Vec<(i32, f64, Place)>),
    /// The total of a stretch; sorted by the end, with the longest time an amount is spread over.
    Total(Vec<Given>, f64),
    /// A level that holds from a day on, until a last day; its mean over a stretch.
    Level(Vec<(i32, f64, Place)>, i32),
    /// The same; its last value less its first.
    Step(Vec<(i32, f64, Place)>, i32),
    /// Days since the last time, at the end of a stretch.
    Since(Vec<(i32, Place)>),
    Count(Vec<(i32, Place)>),
}

/// An amount spread evenly over the days from `start` to before `end`.
#[derive(Debug)]
struct Given {
    start: f64,
    end: f64,
    amount: f64,
    place: Place,
}

impl History {
    pub fn of(record: &Record, found: &TankFindings, tank: &Tank) -> History {
        let mut history = History { courses: Vec::new(), start: day(tank.started.value), end: day(record.as_of) + 1 };
        if let Some(ended) = &tank.ended {
            history.end = history.end.min(day(ended.value) + 1);
        }
        history.readings(found);
        history.sensors(tank);
        history.amounts(record, tank);
        history.devices(tank);
        history.work(tank);
        history.changes(found);
        history
    }

    /// Ranks what was unusual in the `weeks` before `date`.
    pub fn around(&self, date: Date, weeks: u32) -> Around {
        let length = 7 * weeks as i32;
        let end = day(date);
        let mut found = Around {
            from: date.saturating_sub((7 * i64::from(weeks)).days()),
            date,
            weeks,
            items: Vec::new(),
            too_little: Vec::new(),
        };
        // Stretches that touch this one end to end, before and after it, as far as the tank's history reaches.
        let mut ends: Vec<i32> = Vec::new();
        let mut other = end - length;
        while length > 0 && other - length >= self.start {
            ends.push(other);
            other -= length;
        }
        let mut other = end + length;
        while length > 0 && other <= self.end {
            ends.push(other);
            other += length;
        }
        for course in &self.courses {
            let Some((value, place)) = course.data.of(end - length, end) else { continue };
            let others: Vec<f64> = ends.iter().filter_map(|end| Some(course.data.of(end - length, *end)?.0)).collect();
            if others.len() < LEAST_OTHERS {
                if !found.too_little.contains(&course.label) {
                    found.too_little.push(course.label.clone());
                }
                continue;
            }
            let usual = median(&others);
            found.items.push(Unusual {
                topic: course.topic,
                label: course.label.clone(),
                value,
                usual,
                unit: course.unit.clone(),
                decimals: course.decimals,
                share: share_as_extreme(value, &others),
                others: others.len(),
                within_error: course.u > 0.0 && (value - usual).abs() <= 1.96 * course.u,
                remark: course
                    .breaks
                    .iter()
                    .find(|(day, _)| (end - length..end).contains(day))
                    .map(|(_, text)| text.clone()),
                place,
            });
        }
        found.items.sort_by(|a, b| {
            (a.within_error, a.share)
                .partial_cmp(&(b.within_error, b.share))
                .expect("shares are numbers")
                .then_with(|| (a.topic, &a.label).cmp(&(b.topic, &b.label)))
        });
        found
    }

    fn readings(&mut self, found: &TankFindings) {
        for (parameter, state) in &found.water {
            let points: Vec<(i32, f64, Place)> = state
                .series
                .points
                .iter()
                .map(|point| (day(point.when.date()), point.value * parameter.shown_factor(), point.place.clone()))
                .collect();
            let us: Vec<f64> = state.series.points.iter().map(|point| point.u * parameter.shown_factor()).collect();
            let breaks: Vec<(i32, String)> = state
                .series
                .breaks
                .iter()
                .map(|one| {
                    (day(one.date), format!("read with {} from {} on, before with {}", one.after, one.date, one.before))
                })
                .collect();
            self.course_of_readings(*parameter, "", points, if us.is_empty() { 0.0 } else { median(&us) }, breaks);
        }
    }

    fn course_of_readings(
        &mut self,
        parameter: Parameter,
        of: &str,
        points: Vec<(i32, f64, Place)>,
        u: f64,
        breaks: Vec<(i32, String)>,
    ) {
        let name = parameter.shown();
        self.courses.push(Course {
            topic: Topic::Reading,
            label: format!("{name}, middle reading{of}"),
            unit: parameter.unit().into(),
            decimals: parameter.decimals(),
            u,
            data: Data::Middle(points.clone()),
            breaks: breaks.clone(),
        });
        self.courses.push(Course {
            topic: Topic::Reading,
            label: format!("{name}, highest less lowest{of}"),
            unit: parameter.difference_unit().into(),
            decimals: parameter.decimals(),
            u: u * std::f64::consts::SQRT_2,
            data: Data::Swing(points),
            breaks,
        });
    }

    fn sensors(&mut self, tank: &Tank) {
        for file in &tank.readings {
            for (parameter, days) in &file.days {
                let u = file.uncertainty.get(parameter).map_or(0.0, |u| u.value * parameter.shown_factor());
                let place = |line: u64| Place {
                    file: file.layout.csv.as_str().into(),
                    line: line as u32,
                    column: 1,
                    length: 1,
                };
                let means: Vec<_> = days
                    .iter()
                    .map(|one| (day(one.date), one.mean * parameter.shown_factor(), place(one.line)))
                    .collect();
                let of = format!(" of the daily means in {}", file.key);
                self.course_of_readings(*parameter, &of, means, u, Vec::new());
            }
        }
    }

    fn amounts(&mut self, record: &Record, tank: &Tank) {
        let mut given: BTreeMap<(Topic, String, &'static str), Vec<Given>> = BTreeMap::new();
        let mut add = |topic: Topic, of: &str, quantity: &Quantity, when: Date, over: f64, place: &Place| {
            let (factor, unit) = match quantity.dimension {
                Dimension::Volume if topic == Topic::WaterChange => (1.0, "L"),
                Dimension::Volume => (1000.0, "mL"),
                _ => (1.0, "g"),
            };
            let end = f64::from(day(when)) + 1.0;
            given.entry((topic, of.to_string(), unit)).or_default().push(Given {
                start: end - over.max(1.0),
                end,
                amount: quantity.value * factor,
                place: place.clone(),
            });
        };
        for entry in &tank.entries {
            for (topic, amounts) in
                [(Topic::Dose, &entry.doses), (Topic::Food, &entry.feeds), (Topic::Harvest, &entry.harvests)]
            {
                for amount in amounts {
                    let of = &amount.of.value;
                    let place = &amount.amount.place;
                    add(topic, of, &amount.amount.value, entry.date(), amount.over_days, place);
                }
            }
            if let Some(change) = &entry.water_change {
                add(Topic::WaterChange, "", &change.volume.value, entry.date(), 1.0, &change.volume.place);
            }
            if let Some(top_off) = &entry.top_off {
                add(Topic::WaterChange, "top-off", &top_off.value, entry.date(), 1.0, &top_off.place);
            }
        }
        for ((topic, of, unit), amounts) in given {
            let name = record
                .supplies
                .get(&of)
                .map(|supply| supply.name.value.as_str())
                .or_else(|| record.colonies.get(&of).map(|colony| colony.name.value.as_str()))
                .unwrap_or(&of);
            let label = match (topic, of.as_str()) {
                (Topic::WaterChange, "") => "Water changed, total".to_string(),
                (Topic::WaterChange, _) => "Topped off, total".to_string(),
                (Topic::Dose, _) => format!("{name} dosed, total"),
                (Topic::Food, _) => format!("{name} fed, total"),
                _ => format!("{name} harvested, total"),
            };
            let longest = amounts.iter().map(|given| given.end - given.start).fold(0.0, f64::max);
            let decimals = if topic == Topic::WaterChange { 1 } else { 0 };
            self.push(topic, label, unit, decimals, Data::Total(amounts, longest));
        }
    }

    /// Hours a day at full level, of lamps and of what moves water.
    fn devices(&mut self, tank: &Tank) {
        for device in tank.devices.values() {
            let topic = match device.role.value {
                Role::Lamp => Topic::Light,
                role if role.moves_water() => Topic::Flow,
                _ => continue,
            };
            let held = held(device, self.start);
            let last = device.out_of_service.as_ref().map_or(self.end, |end| day(end.value));
            let name = &device.name.value;
            self.push(topic, format!("{name}, hours a day at full level"), "h", 1, Data::Level(held.clone(), last));
            self.push(topic, format!("{name}, step in its hours a day"), "h", 1, Data::Step(held, last));
        }
    }

    fn work(&mut self, tank: &Tank) {
        let mut done: BTreeMap<&str, Vec<(i32, Place)>> = BTreeMap::new();
        for entry in &tank.entries {
            for one in &entry.done {
                done.entry(&one.value).or_default().push((day(entry.date()), one.place.clone()));
            }
        }
        for (task, times) in done {
            if times.len() < LEAST_DONE {
                continue;
            }
            let what = tank.upkeep.tasks.get(task).map_or(task.replace('-', " "), |task| task.what.clone());
            self.push(Topic::Work, format!("{what}: days since it was last done"), "days", 0, Data::Since(times));
        }
    }

    fn changes(&mut self, found: &TankFindings) {
        for (word, lane) in Lane::WORDS {
            let times: Vec<(i32, Place)> = found
                .changes
                .iter()
                .filter(|change| change.lane == *lane)
                .map(|change| (day(change.date), change.place.clone()))
                .collect();
            if !times.is_empty() {
                self.push(Topic::Changes, format!("Changes to {word}"), "", 0, Data::Count(times));
            }
        }
    }

    fn push(&mut self, topic: Topic, label: String, unit: &str, decimals: u8, data: Data) {
        self.courses.push(Course { topic, label, unit: unit.into(), decimals, u: 0.0, data, breaks: Vec::new() });
    }
}

/// Hours a day at full level, from each date on that something was set.
fn held(device: &Device, start: i32) -> Vec<(i32, f64, Place)> {
    let service = day(device.in_service.value).max(start);
    device
        .settings
        .iter()
        .map(|stretch| {
            let settings = &stretch.value;
            let level = settings.level.as_ref().map_or(1.0, |level| level.value);
            let duty = settings.duty.as_ref().map_or(1.0, |duty| duty.value);
            let hours = hours_at_full(settings.schedule.as_ref().map(|schedule| &schedule.value));
            let since = stretch.since.map_or(service, |since| day(since).max(service));
            (since, level * duty * hours, stretch.place.clone())
        })
        .collect()
}

impl Data {
    /// The value over the days `from..to`, with the place that tells most of it.
    fn of(&self, from: i32, to: i32) -> Option<(f64, Option<Place>)> {
        match self {
            Data::Middle(points) => {
                let within = between(points, from, to, |point| point.0);
                let values: Vec<f64> = within.iter().map(|point| point.1).collect();
                let last = within.last()?;
                Some((median(&values), Some(last.2.clone())))
            }
            Data::Swing(points) => {
                let within = between(points, from, to, |point| point.0);
                if within.len() < LEAST_FOR_SWING {
                    return None;
                }
                let highest = within.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
                let lowest = within.iter().map(|point| point.1).fold(f64::INFINITY, f64::min);
                Some((highest.1 - lowest, Some(highest.2.clone())))
            }
            Data::Total(amounts, longest) => {
                let (from, to) = (f64::from(from), f64::from(to));
                let mut place = None;
                let mut total = 0.0;
                let first = amounts.partition_point(|given| given.end <= from);
                for given in amounts[first..].iter().take_while(|given| given.end - longest < to) {
                    let shared = (given.end.min(to) - given.start.max(from)).max(0.0);
                    if shared > 0.0 {
                        total += given.amount * shared / (given.end - given.start);
                        place = Some(given.place.clone());
                    }
                }
                Some((total, place))
            }
            Data::Level(held, last) => {
                let mut sum = 0.0;
                let mut place = None;
                if held.first().is_none_or(|first| first.0 > from) || *last < to {
                    return None;
                }
                for (index, (since, level, written)) in held.iter().enumerate() {
                    let until = held.get(index + 1).map_or(to, |next| next.0).min(to);
                    let days = until - (*since).max(from);
                    if days > 0 {
                        sum += level * f64::from(days);
                        place = Some(written.clone());
                    }
                }
                Some((sum / f64::from(to - from), place))
            }
            Data::Step(held, last) => {
                let at = |day: i32| held.iter().rev().find(|one| one.0 <= day);
                let (before, after) = (at(from)?, at(to - 1)?);
                (*last >= to).then(|| (after.1 - before.1, Some(after.2.clone())))
            }
            Data::Since(times) => {
                let last = times.iter().rev().find(|time| time.0 < to)?;
                Some((f64::from(to - last.0), Some(last.1.clone())))
            }
            Data::Count(times) => {
                let within = between(times, from, to, |time| time.0);
                Some((within.len() as f64, within.last().map(|time| time.1.clone())))
            }
        }
    }
}

fn between<T>(sorted: &[T], from: i32, to: i32, day: impl Fn(&T) -> i32) -> &[T] {
    let first = sorted.partition_point(|one| day(one) < from);
    let last = sorted.partition_point(|one| day(one) < to);
    &sorted[first..last.max(first)]
}

/// Days since the first of 1970, for arithmetic only.
fn day(date: Date) -> i32 {
    crate::record::days_between(jiff::civil::date(1970, 1, 1), date)
}
