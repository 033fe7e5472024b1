//! Readings as series: each value in its parameter's own unit, with the uncertainty of its kit, and the breaks where a
//! kit, a lot or a sensor changed.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};

use crate::diagnostic::Place;
use crate::record::supply::{KitMethod, Supply};
use crate::record::{Parameter, Record, Tank, ion_value};
use crate::science::{density, salinity};
use crate::units::{Bound, Dimension, Quantity, Temperature};

/// All readings of one parameter in one tank, in time order.
#[derive(Clone, Debug, Default)]
pub struct Series {
    pub points: Vec<SeriesPoint>,
    /// Where one kit or lot gave way to another.
    pub breaks: Vec<SeriesBreak>,
}

#[derive(Clone, Debug)]
pub struct SeriesPoint {
    pub when: DateTime,
    pub value: f64,
    /// One standard uncertainty, in the parameter's own unit.
    pub u: f64,
    /// Whether `u` is a default of the trade and not the kit's own.
    pub u_assumed: bool,
    pub bound: Bound,
    /// Index of the run of readings of one kit and lot.
    pub run: usize,
    pub kit: Option<String>,
    pub lot: Option<String>,
    pub method: Option<KitMethod>,
    pub place: Place,
    /// Taken more than three hours off the usual hour, for what swings through the day.
    pub off_hour: bool,
}

#[derive(Clone, Debug)]
pub struct SeriesBreak {
    /// Date of the first reading after the break.
    pub date: Date,
    pub before: String,
    pub after: String,
}

impl Series {
    pub fn latest(&self) -> Option<&SeriesPoint> {
        self.points.last()
    }

    /// Readings of one day with one kit and lot as one: their weighted mean, at their mean hour.
    ///
    /// Half of a kit's variance is taken as its own way of reading, which repeating does not lessen (common practice,
    /// no source): u² = ū²·(1 + 1/n)/2. A limit beside a value of the same day adds nothing and is dropped.
    pub fn by_day(&self) -> Vec<SeriesPoint> {
        let mut days: Vec<Vec<&SeriesPoint>> = Vec::new();
        for point in &self.points {
            match days.last_mut() {
                Some(day) if day[0].when.date() == point.when.date() && day[0].run == point.run => day.push(point),
                _ => days.push(vec![point]),
            }
        }
        days.iter().map(|day| one_of_a_day(day)).collect()
    }
}

fn one_of_a_day(day: &[&SeriesPoint]) -> SeriesPoint {
    let exact: Vec<&SeriesPoint> = day.iter().copied().filter(|point| point.bound == Bound::Exactly).collect();
    let Some(last) = exact.last() else {
        // The lowest limit says most.
        let lowest = day.iter().min_by(|a, b| a.value.total_cmp(&b.value)).unwrap_or(&day[0]);
        return (*lowest).clone();
    };
    if exact.len() == 1 {
        return (*last).clone();
    }
    let count = exact.len() as f64;
    let weights: Vec<f64> = exact.iter().map(|point| 1.0 / (point.u * point.u).max(f64::MIN_POSITIVE)).collect();
    let total: f64 = weights.iter().sum();
    let value = exact.iter().zip(&weights).map(|(point, weight)| point.value * weight).sum::<f64>() / total;
    let seconds: i64 =
        exact.iter().map(|point| i64::from(point.when.hour()) * 3600 + i64::from(point.when.minute()) * 60).sum();
    let minutes = seconds / exact.len() as i64 / 60;
    SeriesPoint {
        value,
        u: (count / total).sqrt() * ((1.0 + 1.0 / count) / 2.0).sqrt(),
        when: last.when.date().at((minutes / 60) as i8, (minutes % 60) as i8, 0, 0),
        off_hour: exact.iter().all(|point| point.off_hour),
        ..(*last).clone()
    }
}

/// Hours off the usual hour beyond which a reading of what swings daily is marked.
const OFF_HOURS: f64 = 3.0;

/// The hand readings of one tank, by parameter.
pub fn series(record: &Record, tank: &Tank) -> BTreeMap<Parameter, Series> {
    let mut found: BTreeMap<Parameter, Series> = BTreeMap::new();
    for entry in &tank.entries {
        for reading in &entry.readings {
            let kit = reading.kit.as_ref().and_then(|kit| record.supplies.get(&kit.value));
            let lot =
                reading.lot.clone().or_else(|| kit.and_then(|kit| kit.lot_on(entry.date())).map(|lot| lot.lot.clone()));
            let Some((value, extra)) = own_value(&reading.quantity, kit) else {
                continue;
            };
            let method = reading.method.as_ref().or(kit.and_then(|kit| kit.method.as_ref())).map(|method| method.value);
            let (u, u_assumed) = kit_uncertainty(reading.parameter, kit, method, value, &reading.quantity);
            let u = u.hypot(extra);
            // A kit cannot read nothing: what it shows under its limit is "less than the limit".
            let (value, bound) = match detection_limit(reading.parameter, kit, method, value) {
                Some(limit) if reading.bound == Bound::Exactly && value < limit => (limit, Bound::Below),
                _ => (value, reading.bound),
            };
            let series = found.entry(reading.parameter).or_default();
            let kit_key = reading.kit.as_ref().map(|kit| kit.value.clone());
            let run = match series.points.last() {
                None => 0,
                Some(last) if last.kit == kit_key && last.lot == lot && last.method == method => last.run,
                Some(last) => {
                    series.breaks.push(SeriesBreak {
                        date: entry.date(),
                        before: run_name(record, last.kit.as_deref(), last.lot.as_deref(), last.method),
                        after: run_name(record, kit_key.as_deref(), lot.as_deref(), method),
                    });
                    last.run + 1
                }
            };
            series.points.push(SeriesPoint {
                when: entry.when,
                value,
                u,
                u_assumed,
                bound,
                run,
                kit: kit_key,
                lot,
                method,
                place: reading.place.clone(),
                off_hour: false,
            });
        }
    }
    for (parameter, series) in &mut found {
        if parameter.swings_daily() {
            mark_off_hours(tank, series);
        }
    }
    found
}

fn run_name(record: &Record, kit: Option<&str>, lot: Option<&str>, method: Option<KitMethod>) -> String {
    let kit = kit.map(|key| record.supplies.get(key).map_or(key, |supply| supply.name.value.as_str()));
    // Without a kit the method is all that names the run.
    let word = method.map(|method| method.word().replace('-', " "));
    let kit = kit.or(word.as_deref());
    match (kit, lot) {
        (Some(kit), Some(lot)) => format!("{kit}, lot {lot}"),
        (Some(kit), None) => kit.to_string(),
        (None, Some(lot)) => format!("lot {lot}"),
        (None, None) => "kit not recorded".to_string(),
    }
}

/// Entries without a time of day stand at noon and say nothing of the hour, so they are left out.
fn mark_off_hours(tank: &Tank, series: &mut Series) {
    let timed: BTreeMap<&Place, bool> = tank
        .entries
        .iter()
        .flat_map(|entry| entry.readings.iter().map(move |reading| (&reading.place, entry.has_time)))
        .collect();
    let hour = |point: &SeriesPoint| f64::from(point.when.hour()) + f64::from(point.when.minute()) / 60.0;
    let mut hours: Vec<f64> =
        series.points.iter().filter(|point| timed.get(&point.place).copied().unwrap_or(false)).map(hour).collect();
    if hours.len() < 4 {
        return;
    }
    hours.sort_by(f64::total_cmp);
    let usual = hours[hours.len() / 2];
    for point in &mut series.points {
        if timed.get(&point.place).copied().unwrap_or(false) {
            let off = (hour(point) - usual).abs();
            point.off_hour = off.min(24.0 - off) > OFF_HOURS;
        }
    }
}

/// The value in the parameter's own unit, and a further standard uncertainty that the conversion brings.
fn own_value(quantity: &Quantity, kit: Option<&Supply>) -> Option<(f64, f64)> {
    match quantity.dimension {
        Dimension::SpecificGravity => {
            let stated =
                kit.and_then(|kit| kit.reference.as_ref()).map(|reference| reference_temperature(&reference.value));
            // Without the printed reference, 25/25 is assumed; the three scales lie within 0.0006, or 0.8 ppt (02c).
            let extra = if stated.is_some() { 0.0 } else { 0.25 };
            let reference = stated.flatten().unwrap_or(25.0);
            density::salinity_from_specific_gravity_millero_poisson_1981(
                quantity.value,
                Temperature::celsius(reference),
            )
            .ok()
            .map(|value| (value.value(), extra))
        }
        Dimension::Conductivity => {
            // Kits and probes print conductivity compensated to 25 °C.
            salinity::salinity_from_conductivity_pss_1978(quantity.value, Temperature::celsius(25.0))
                .ok()
                .map(|value| (value.value(), 0.0))
        }
        _ => Some((ion_value(quantity, None), 0.0)),
    }
}

/// `25/25 °C`, `20/20 °C`, `60/60 °F` in °C.
fn reference_temperature(printed: &str) -> Option<f64> {
    let number: f64 = printed.split(['/', ' ', '°']).next()?.trim().parse().ok()?;
    Some(if printed.contains('F') || number > 40.0 { (number - 32.0) / 1.8 } else { number })
}

/// One standard uncertainty of a reading, and whether it is a default of the trade.
///
/// What the record states of the kit wins. The defaults are those of careful home use (common practice, no source).
pub fn kit_uncertainty(
    parameter: Parameter,
    kit: Option<&Supply>,
    method: Option<KitMethod>,
    value: f64,
    quantity: &Quantity,
) -> (f64, bool) {
    if let Some(typed) = quantity.uncertainty {
        return (typed, false);
    }
    if let Some(stated) = kit.and_then(|kit| kit.uncertainty.as_ref()) {
        return (stated.value.at(value), false);
    }
    let step = kit.and_then(|kit| kit.resolution.as_ref()).map(|resolution| resolution.value);
    let half_step = |default: f64| step.unwrap_or(default) / 2.0;
    let u = match (parameter, method) {
        (Parameter::Alkalinity, Some(KitMethod::DropCount)) => 0.4,
        (Parameter::Alkalinity, Some(KitMethod::Titration)) => 0.2,
        (Parameter::Alkalinity, _) => 0.3,
        (Parameter::Calcium, _) => 15.0,
        (Parameter::Magnesium, _) => 40.0,
        (Parameter::Nitrate, Some(KitMethod::Photometer)) => 0.15 * value + 0.5,
        (Parameter::Nitrate, _) => (0.3 * value).max(half_step(2.0)),
        (Parameter::Phosphate, Some(KitMethod::Photometer)) => 0.015 + 0.05 * value,
        (Parameter::Phosphate, _) => half_step(0.06),
        (Parameter::Ammonia, _) => 0.15,
        (Parameter::Nitrite, _) => half_step(0.1).max(0.3 * value),
        (Parameter::Ph, Some(KitMethod::Electrode)) => 0.05,
        (Parameter::Ph, _) => 0.2,
        (Parameter::Salinity, Some(KitMethod::SwingArm)) => 2.0,
        (Parameter::Salinity, Some(KitMethod::Refractometer | KitMethod::Hydrometer | KitMethod::Conductivity)) => 0.5,
        (Parameter::Salinity, _) => 1.5,
        (Parameter::Temperature | Parameter::RoomTemperature, Some(KitMethod::Thermometer)) => 0.2,
        (Parameter::Temperature | Parameter::RoomTemperature, _) => 0.7,
        (Parameter::RoomHumidity, _) => 0.05,
        (Parameter::Potassium, _) => 20.0,
        (Parameter::Oxygen, _) => 0.3,
        (Parameter::Tds, _) => half_step(2.0),
        (Parameter::Iron, _) => half_step(0.02),
        (Parameter::Silicate, _) => half_step(0.2),
    };
    // No kit reads finer than its scale: rectangular over one step (GUM 4.3.7).
    (u.max(step.unwrap_or(0.0) / 12f64.sqrt()), true)
}

/// The least a kit can see: as the record states it; for a reading of nothing, its step or that of its kind.
///
/// The steps are those of common kits (common practice, no source).
fn detection_limit(parameter: Parameter, kit: Option<&Supply>, method: Option<KitMethod>, value: f64) -> Option<f64> {
    if let Some(stated) = kit.and_then(|kit| kit.detection_limit.as_ref()) {
        return Some(stated.value);
    }
    if value > 0.0 {
        return None;
    }
    let step = kit.and_then(|kit| kit.resolution.as_ref()).map(|resolution| resolution.value);
    let usual = match (parameter, method) {
        (Parameter::Nitrate, Some(KitMethod::Photometer | KitMethod::Laboratory)) => 0.5,
        (Parameter::Nitrate, _) => 2.0,
        (Parameter::Phosphate, Some(KitMethod::Photometer | KitMethod::Laboratory)) => 0.02,
        (Parameter::Phosphate, _) => 0.03,
        (Parameter::Ammonia, _) => 0.25,
        (Parameter::Nitrite, _) => 0.05,
        (Parameter::Iron, _) => 0.02,
        (Parameter::Silicate, _) => 0.2,
        (Parameter::Tds, _) => 1.0,
        _ => return None,
    };
    Some(step.unwrap_or(usual))
}
