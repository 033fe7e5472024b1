//! Evaporation from the logged top-off, water changed, and what was dosed.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::energy::MONTH;
use super::figure::Figures;
use super::graph::{Basis, NodeId, Root, Shape};
use super::inputs::{assumed, number};
use crate::diagnostic::Place;
use crate::record::{Record, Tank, days_between};
use crate::units::Dimension;

/// Sums by calendar month, for tables and charts.
#[derive(Clone, Debug, Default)]
pub struct Budget {
    /// First of the month to litres a day evaporated.
    pub evaporation: BTreeMap<Date, f64>,
    /// First of the month to litres changed.
    pub changed: BTreeMap<Date, f64>,
    /// Supply to (mL or g in the last 30 days, in all, unit).
    pub doses: BTreeMap<String, (f64, f64, &'static str)>,
}

/// Days looked back for evaporation, and for water changes.
pub const EVAPORATION_DAYS: i32 = 60;
const CHANGE_DAYS: i32 = 90;

pub fn work_out(record: &Record, tank: &Tank, volume: Option<NodeId>, figures: &mut Figures) -> Budget {
    let mut budget = Budget::default();
    evaporation(record, tank, volume, figures, &mut budget);
    water_changes(record, tank, volume, figures, &mut budget);
    doses(record, tank, figures, &mut budget);
    budget
}

/// Marks on a jug: read to half a mark of one litre, rectangular. The mark's own error is common to all.
pub(super) fn jug_u(litres: f64) -> f64 {
    0.5 / 3f64.sqrt() * litres.clamp(0.1, 1.0)
}

/// The jug's own scale, common to all top-offs (common practice, no source).
pub(super) const JUG_SCALE: f64 = 0.03;

fn amount(label: String, litres: f64, unit: &str, place: &Place) -> Root {
    Root {
        label,
        value: litres,
        uncertainty: jug_u(litres),
        unit: unit.into(),
        basis: Basis::Measured,
        places: vec![place.clone()],
        shape: Shape::Normal,
        private: false,
        note: None,
        source: None,
    }
}

fn evaporation(record: &Record, tank: &Tank, volume: Option<NodeId>, figures: &mut Figures, budget: &mut Budget) {
    let key = "water.evaporation";
    let label = "Evaporation a day";
    let top_offs: Vec<(Date, f64, Place)> = tank
        .entries
        .iter()
        .filter_map(|entry| entry.top_off.as_ref().map(|top| (entry.date(), top.value.value, top.place.clone())))
        .collect();
    by_month(&top_offs, &mut budget.evaporation);
    let from = record.as_of.saturating_sub(EVAPORATION_DAYS.days());
    let recent: Vec<&(Date, f64, Place)> = top_offs.iter().filter(|(date, _, _)| *date > from).collect();
    let (Some(first), Some(last)) = (recent.first(), recent.last()) else {
        figures.miss(&tank.key, key, label, "`top-off: 3.5 L` in entries");
        return;
    };
    let days = days_between(first.0, last.0);
    if days < 7 || recent.len() < 3 {
        figures.miss(&tank.key, key, label, "three top-offs over at least a week");
        return;
    }
    // The first top-off made up for what was lost before it.
    let graph = &mut figures.graph;
    let inputs: Vec<NodeId> = recent[1..]
        .iter()
        .map(|(date, litres, place)| graph.root(amount(format!("Top-off, {date}"), *litres, "L", place)))
        .collect();
    let total = graph.sum("Water topped off", "L", &inputs);
    let marks = assumed(
        graph,
        "Marks of the jug",
        1.0,
        JUG_SCALE,
        "1",
        "the jug's own scale, common to all top-offs (common practice, no source)",
    );
    let node = graph.compute(label, "L", &[total, marks], move |x| x[0] * x[1] / f64::from(days));
    let numbers = format!("{} L ∕ {days} days", number(graph.value(total)));
    figures
        .define(&tank.key, key, label)
        .method("evaporation = Σ top-off ∕ days", numbers, &[])
        .inputs(&[total, marks])
        .note("skimmate, spills and salt creep are counted as evaporation")
        .finish(node);
    if let Some(volume) = volume {
        let share = "Share of the water that evaporates in a day";
        let node = figures.graph.compute(share, "%", &[node, volume], |x| 100.0 * x[0] / x[1]);
        figures
            .define(&tank.key, "water.evaporation-share", share)
            .method("share = evaporation ∕ V", String::new(), &[])
            .inputs(&[key, "water.net-volume"])
            .finish(node);
    }
}

/// What evaporated on each day: every top-off is spread over the days since the one before it, with its place in the list.
pub(super) fn by_day(top_offs: &[(Date, f64)]) -> Vec<(Date, f64, usize)> {
    let mut found = Vec::new();
    for (place, pair) in top_offs.windows(2).enumerate() {
        let days = days_between(pair[0].0, pair[1].0);
        // A long silence says nothing of any of its days.
        if (1..=14).contains(&days) {
            let a_day = pair[1].1 / f64::from(days);
            found.extend((1..=days).map(|day| (pair[0].0.saturating_add(i64::from(day).days()), a_day, place + 1)));
        }
    }
    found
}

/// Litres a day of each month.
fn by_month(top_offs: &[(Date, f64, Place)], months: &mut BTreeMap<Date, f64>) {
    let mut sums: BTreeMap<Date, (f64, i32)> = BTreeMap::new();
    let amounts: Vec<(Date, f64)> = top_offs.iter().map(|(date, litres, _)| (*date, *litres)).collect();
    for (date, litres, _) in by_day(&amounts) {
        let sum = sums.entry(date.first_of_month()).or_insert((0.0, 0));
        sum.0 += litres;
        sum.1 += 1;
    }
    months.extend(
        sums.into_iter()
            .filter(|(_, (_, days))| *days >= 10)
            .map(|(month, (sum, days))| (month, sum / f64::from(days))),
    );
}

fn water_changes(record: &Record, tank: &Tank, volume: Option<NodeId>, figures: &mut Figures, budget: &mut Budget) {
    let key = "water.changed-per-month";
    let label = "Water changed a month";
    let from = record.as_of.saturating_sub(CHANGE_DAYS.days());
    let mut inputs = Vec::new();
    for entry in &tank.entries {
        let Some(change) = &entry.water_change else {
            continue;
        };
        let litres = change.volume.value.value;
        *budget.changed.entry(entry.date().first_of_month()).or_insert(0.0) += litres;
        if entry.date() > from {
            let root = amount(format!("Water change, {}", entry.date()), litres, "L", &change.volume.place);
            inputs.push(figures.graph.root(root));
        }
    }
    if inputs.is_empty() {
        figures.miss(&tank.key, key, label, "`water-change: 11 L` in entries");
        return;
    }
    let age = tank.age_days(record.as_of).clamp(1, CHANGE_DAYS);
    let graph = &mut figures.graph;
    let total = graph.sum("Water changed", "L", &inputs);
    let node = graph.linear(label, "L", &[(total, MONTH / f64::from(age))]);
    let numbers = format!("{} L ∕ {age} days × 30.44", number(graph.value(total)));
    figures
        .define(&tank.key, key, label)
        .method("Σ changes ∕ days · days in a month", numbers, &[])
        .inputs(&[total])
        .finish(node);
    if let Some(volume) = volume {
        let share = "Share of the water changed a month";
        let node = figures.graph.compute(share, "%", &[node, volume], |x| 100.0 * x[0] / x[1]);
        figures
            .define(&tank.key, "water.changed-share", share)
            .method("share = changed ∕ V", String::new(), &[])
            .inputs(&[key, "water.net-volume"])
            .finish(node);
    }
}

fn doses(record: &Record, tank: &Tank, figures: &mut Figures, budget: &mut Budget) {
    let from = record.as_of.saturating_sub(30.days());
    let mut recent: BTreeMap<String, Vec<NodeId>> = BTreeMap::new();
    for entry in &tank.entries {
        for dose in &entry.doses {
            let is_volume = dose.amount.value.dimension == Dimension::Volume;
            // Stocks are dosed by the millilitre; powders weighed in grams.
            let value = if is_volume { dose.amount.value.value * 1000.0 } else { dose.amount.value.value };
            let unit = if is_volume { "mL" } else { "g" };
            let sums = budget.doses.entry(dose.of.value.clone()).or_insert((0.0, 0.0, unit));
            sums.1 += value;
            if entry.date() > from {
                sums.0 += value;
                let mut root = amount(format!("Dose, {}", entry.date()), value, unit, &dose.amount.place);
                // A syringe or a dosing head: 3 % (common practice, no source).
                root.uncertainty = 0.03 * value;
                let node = figures.graph.root(root);
                recent.entry(dose.of.value.clone()).or_default().push(node);
            }
        }
    }
    for (supply, inputs) in recent {
        let name = record.supplies.get(&supply).map_or(supply.as_str(), |supply| supply.name.value.as_str());
        let unit = budget.doses[&supply].2;
        let label = format!("{name}: dosed in 30 days");
        let node = figures.graph.sum(&label, unit, &inputs);
        let numbers = format!("{} doses, {} {unit}", inputs.len(), number(figures.graph.value(node)));
        figures
            .define(&tank.key, &format!("dose.{supply}.last-30-days"), &label)
            .method("Σ doses given", numbers, &[])
            .inputs(&inputs)
            .note("doses given, as logged; the plan stands on the upkeep page")
            .finish(node);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn top_offs_are_spread_over_the_days_before_them() {
        let place = Place { file: "log/a.yaml".into(), line: 1, column: 1, length: 1 };
        let top_offs: Vec<_> = (0..12).map(|n| (date(2025, 1, 1 + 2 * n), 3.0, place.clone())).collect();
        let mut months = BTreeMap::new();
        by_month(&top_offs, &mut months);
        assert_eq!(months.len(), 1);
        assert!((months[&date(2025, 1, 1)] - 1.5).abs() < 1e-12);
    }
}
