//! Slow changes that are easily missed: salinity against the top-off, the purified water's solids, a probe against the
//! hand.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::energy::MONTH;
use super::figure::Figures;
use super::graph::{Basis, NodeId, Root, Shape};
use super::inputs::number;
use super::readings::SeriesPoint;
use super::water::{TrendState, WaterState};
use crate::diagnostic::Place;
use crate::record::{Parameter, Record, Tank, days_between};
use crate::science::rank::median;
use crate::science::trend::{Trend, theil_sen};
use crate::units::Bound;

/// A sensor that was compared with readings by hand.
#[derive(Clone, Debug)]
pub struct Probe {
    pub file: String,
    pub sensor: Option<String>,
    pub parameter: Parameter,
    /// Sensor less hand, by moment of the hand reading, with the hand reading's uncertainty.
    pub differences: Vec<(Date, f64, f64)>,
    /// Where it jumped back: a calibration.
    pub reset: Option<Date>,
    /// Median of the differences since then.
    pub offset: f64,
    pub offset_u: f64,
    /// Since then, per day.
    pub trend: Option<Trend>,
    /// Whether the drift is beyond chance and adds up to more than a hand reading's uncertainty.
    pub drifts: bool,
}

/// Salinity and what its change means in water.
#[derive(Clone, Debug)]
pub struct SalinityDrift {
    /// ppt a week.
    pub slope: f64,
    pub visible: bool,
    /// Litres a week of fresh water that are missing (rising), or of salt water lost and made good with fresh (falling).
    pub litres_a_week: f64,
}

/// The purified water's solids since its filter was last renewed.
#[derive(Clone, Debug)]
pub struct Creep {
    pub since: Date,
    pub first: f64,
    pub latest: (Date, f64),
    pub readings: usize,
    pub trend: Option<Trend>,
    pub rising: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Drifts {
    pub probes: Vec<Probe>,
    pub salinity: Option<SalinityDrift>,
    pub creep: Option<Creep>,
}

/// Days of sensor and hand readings that are compared.
const PROBE_DAYS: i64 = 365;
/// Fewer pairs say nothing of drift.
const FEWEST_PAIRS: usize = 6;

pub fn work_out(
    record: &Record,
    tank: &Tank,
    volume: Option<NodeId>,
    water: &BTreeMap<Parameter, WaterState>,
    figures: &mut Figures,
) -> Drifts {
    Drifts {
        probes: probes(record, tank, water, figures),
        salinity: salinity(tank, volume, water, figures),
        creep: creep(tank, water, figures),
    }
}

fn probes(record: &Record, tank: &Tank, water: &BTreeMap<Parameter, WaterState>, figures: &mut Figures) -> Vec<Probe> {
    let from = record.as_of.saturating_sub(PROBE_DAYS.days());
    let mut found = Vec::new();
    for file in &tank.readings {
        for (parameter, beside) in &file.beside {
            let Some(state) = water.get(parameter) else { continue };
            let sensor: BTreeMap<_, f64> = beside.iter().copied().collect();
            let pairs: Vec<(&SeriesPoint, f64)> = state
                .series
                .points
                .iter()
                .filter(|point| point.bound == Bound::Exactly && point.when.date() > from)
                .filter_map(|point| Some((point, sensor.get(&point.when)? - point.value)))
                .collect();
            if pairs.len() < FEWEST_PAIRS {
                continue;
            }
            let probe = probe(&file.key, file.sensor.as_ref().map(|s| s.value.clone()), *parameter, &pairs);
            define_probe(tank, &probe, &pairs, figures);
            found.push(probe);
        }
    }
    found
}

fn probe(file: &str, sensor: Option<String>, parameter: Parameter, pairs: &[(&SeriesPoint, f64)]) -> Probe {
    let differences: Vec<(Date, f64, f64)> =
        pairs.iter().map(|(point, difference)| (point.when.date(), *difference, point.u)).collect();
    let start = reset(&differences);
    let since = &differences[start..];
    let values: Vec<f64> = since.iter().map(|(_, difference, _)| *difference).collect();
    let offset = median(&values);
    // The scatter of the differences, as the median of their distances (normal: 1.4826 of it is the deviation).
    let scatter = 1.4826 * median(&values.iter().map(|difference| (difference - offset).abs()).collect::<Vec<_>>());
    let first = since[0].0;
    let times: Vec<f64> = since.iter().map(|(date, ..)| f64::from(days_between(first, *date))).collect();
    let trend = (since.len() >= FEWEST_PAIRS).then(|| theil_sen(&times, &values).ok()).flatten();
    let length = times.last().copied().unwrap_or(0.0);
    let u = since.iter().map(|(.., u)| *u).fold(0.0, f64::max);
    let drifts = trend.as_ref().is_some_and(|trend| {
        trend.is_distinguishable() && (trend.slope * length).abs() > u.min(4.0 * scatter.max(f64::MIN_POSITIVE))
    });
    Probe {
        file: file.into(),
        sensor,
        parameter,
        reset: (start > 0).then(|| differences[start].0),
        offset,
        // Half of the hand kit's variance is its own way of reading, which many comparisons do not lessen.
        offset_u: (u * u / 2.0 + 1.57 * scatter * scatter / since.len() as f64).sqrt(),
        differences,
        trend,
        drifts,
    }
}

/// Where the differences jumped most and stayed, if they did so by more than chance would: the medians of the four pairs
/// on either side differ, beyond what the steady drift brings, by four standard errors. 0 where they did not.
fn reset(differences: &[(Date, f64, f64)]) -> usize {
    let values: Vec<f64> = differences.iter().map(|(_, difference, _)| *difference).collect();
    let places: Vec<f64> = (0..values.len()).map(|place| place as f64).collect();
    let drift = theil_sen(&places, &values).map_or(0.0, |trend| trend.slope);
    let steps: Vec<f64> = values.windows(2).map(|pair| pair[1] - pair[0] - drift).collect();
    if steps.is_empty() {
        return 0;
    }
    // From step to step the error of two pairs shows. One jump must not hide itself in a plain deviation, and equal steps
    // must not make the median distance nothing: half the one or all of the other.
    let middle = median(&steps.iter().map(|step| step.abs()).collect::<Vec<_>>());
    let plain = (steps.iter().map(|step| step * step).sum::<f64>() / steps.len() as f64).sqrt();
    let deviation = (1.4826 * middle).max(plain / 2.0).max(1e-9) / std::f64::consts::SQRT_2;
    let mut best = (0, 4.0);
    for split in 3..values.len().saturating_sub(2) {
        let before = &values[split.saturating_sub(4)..split];
        let after = &values[split..(split + 4).min(values.len())];
        let apart = (before.len() + after.len()) as f64 / 2.0;
        let jump = median(after) - median(before) - drift * apart;
        let z = jump.abs() / (deviation * (1.0 / before.len() as f64 + 1.0 / after.len() as f64).sqrt());
        if z > best.1 {
            best = (split, z);
        }
    }
    best.0
}

fn define_probe(tank: &Tank, probe: &Probe, pairs: &[(&SeriesPoint, f64)], figures: &mut Figures) {
    let unit = probe.parameter.difference_unit();
    let places: Vec<Place> = pairs.iter().map(|(point, _)| point.place.clone()).collect();
    let label = format!("{} sensor of {}.csv less the hand", probe.parameter.shown(), probe.file);
    let key = format!("sensor.{}.{}.offset", probe.file, probe.parameter.key());
    let node = figures.graph.root(Root {
        label: label.clone(),
        value: probe.offset,
        uncertainty: probe.offset_u,
        unit: unit.into(),
        basis: Basis::Computed,
        places,
        shape: Shape::Normal,
        private: false,
        note: None,
        source: None,
    });
    let since = probe.reset.unwrap_or(probe.differences[0].0);
    let count = probe.differences.iter().filter(|(date, ..)| *date >= since).count();
    let mut built = figures
        .define(&tank.key, &key, &label)
        .method("median of (sensor − hand) within half an hour", format!("{count} pairs since {since}"), &["sen_1968"])
        .decimals(probe.parameter.decimals() + 1);
    if let Some(reset) = probe.reset {
        built = built
            .note(format!("the difference jumped about {reset}, as after a calibration; pairs from then on count"));
    }
    if let Some(trend) = &probe.trend {
        let numbers = format!(
            "{} {unit} a month, 95 in 100 between {} and {}",
            number(trend.slope * MONTH),
            number(trend.low * MONTH),
            number(trend.high * MONTH)
        );
        built = built.note(if probe.drifts {
            format!("it drifts: {numbers}")
        } else {
            format!("no drift that the hand readings can see: {numbers}")
        });
    }
    built.finish(node);
}

fn salinity(
    tank: &Tank,
    volume: Option<NodeId>,
    water: &BTreeMap<Parameter, WaterState>,
    figures: &mut Figures,
) -> Option<SalinityDrift> {
    let state = water.get(&Parameter::Salinity)?;
    let latest = state.latest.as_ref()?;
    let TrendState::Found(trend) = &state.trend else {
        return None;
    };
    let volume = volume?;
    let slope = figures.get(&tank.key, "water.salinity.trend")?.node;
    let at = latest.value;
    if at <= 0.0 {
        return None;
    }
    let label = "Water that the drift of salinity stands for, a week";
    let node = figures.graph.compute(label, "L", &[slope, volume], move |x| x[0] * x[1] / at);
    let litres_a_week = figures.graph.value(node);
    let numbers =
        format!("{} ppt × {} L ∕ {} ppt", number(trend.slope * 7.0), number(figures.graph.value(volume)), number(at));
    let meaning = if litres_a_week >= 0.0 {
        "rising: so much evaporated and was not made good"
    } else {
        "falling: so much salt water was lost (skimmate, spills, a water change mixed too thin) and made good with fresh"
    };
    let mut built = figures
        .define(&tank.key, "water.salinity.litres-a-week", label)
        .method("litres = slope of salinity · V ∕ S", numbers, &[])
        .inputs(&["water.salinity.trend", "water.net-volume"])
        .note(meaning);
    if !trend.visible {
        built = built.note("not distinguishable from none");
    }
    built.finish(node);
    Some(SalinityDrift { slope: trend.slope * 7.0, visible: trend.visible, litres_a_week })
}

/// A fall to less than half, by more than the meter's error, is a new cartridge or resin.
fn creep(tank: &Tank, water: &BTreeMap<Parameter, WaterState>, figures: &mut Figures) -> Option<Creep> {
    let points = water.get(&Parameter::Tds)?.series.by_day();
    let mut start = 0;
    let mut highest = points.first()?.value;
    for (place, point) in points.iter().enumerate() {
        if point.value < highest / 2.0 && highest - point.value > 2.0 * point.u {
            start = place;
            highest = point.value;
        }
        highest = highest.max(point.value);
    }
    let since = &points[start..];
    let (first, last) = (&since[0], &since[since.len() - 1]);
    let times: Vec<f64> =
        since.iter().map(|point| f64::from(days_between(first.when.date(), point.when.date()))).collect();
    let values: Vec<f64> = since.iter().map(|point| point.value).collect();
    let trend = theil_sen(&times, &values).ok();
    let rising = trend.as_ref().is_some_and(|trend| trend.slope > 0.0 && trend.is_distinguishable())
        && last.value - first.value > last.u.hypot(first.u);
    if let Some(trend) = &trend {
        let label = "Rise of the purified water’s solids a month";
        let node = figures.graph.root(Root {
            label: label.into(),
            value: trend.slope * MONTH,
            uncertainty: (trend.high - trend.low) / 3.92 * MONTH,
            unit: "mg/L".into(),
            basis: Basis::Computed,
            places: since.iter().map(|point| point.place.clone()).collect(),
            shape: Shape::Normal,
            private: false,
            note: None,
            source: Some("sen_1968"),
        });
        let numbers = format!(
            "from {} to {} mg/L, {} readings since {}",
            number(first.value),
            number(last.value),
            since.len(),
            first.when.date()
        );
        figures
            .define(&tank.key, "water.tds.creep", label)
            .method("median slope since the filter was last renewed", numbers, &["sen_1968", "mann_1945"])
            .note(if rising {
                "rising: the resin is near its end (changed as it rises: common practice, no source)"
            } else {
                "not distinguishable from none"
            })
            .finish(node);
    }
    Some(Creep {
        since: first.when.date(),
        first: first.value,
        latest: (last.when.date(), last.value),
        readings: since.len(),
        trend,
        rising,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_jump_that_stays_is_a_calibration() {
        let day = |n: i32| date(2026, 1, 1).saturating_add((i64::from(n) * 7).days());
        let drifting: Vec<(Date, f64, f64)> = (0..20)
            .map(|n| (day(n), if n < 12 { -0.01 * f64::from(n) } else { 0.0 } + 0.004 * f64::from(n % 2), 0.05))
            .collect();
        assert_eq!(reset(&drifting), 12);
        let steady: Vec<(Date, f64, f64)> = (0..20).map(|n| (day(n), 0.01 * f64::from(n % 3), 0.05)).collect();
        assert_eq!(reset(&steady), 0);
    }
}
