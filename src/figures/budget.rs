//! Evaporation from the logged top-off, water changed, and what was dosed.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::energy::MONTH;
use super::figure::Figures;
use super::graph::{Basis, Graph, NodeId, Root, Shape};
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
    /// Supply to (mL or g in the last 30 days that the log tells of, in all, unit).
    pub doses: BTreeMap<String, (f64, f64, &'static str)>,
}

/// Days looked back for evaporation, for water changes, and for doses.
pub const EVAPORATION_DAYS: i32 = 60;
const CHANGE_DAYS: i32 = 90;
const DOSE_DAYS: i32 = 30;

/// The last day that a log of something recurring tells of: that of the last time, or today where it has been silent for
/// longer than it ever was between two of them. What is not due yet is not less of it.
fn told_until(days: &[Date], as_of: Date) -> Option<Date> {
    let last = *days.last()?;
    let longest = days.windows(2).map(|pair| days_between(pair[0], pair[1])).max()?;
    Some(if days_between(last, as_of) > longest { as_of } else { last })
}

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

/// The jug's own scale, common to all that is measured with it (common practice, no source).
pub(in crate::figures) const JUG_SCALE: f64 = 0.03;

fn jug_marks(graph: &mut Graph, measured: &str) -> NodeId {
    let why = format!("the jug's own scale, common to all {measured} (common practice, no source)");
    assumed(graph, "Marks of the jug", 1.0, JUG_SCALE, "1", &why)
}

/// What a syringe or a dosing head gives more or less than it says, always (common practice, no source).
const DOSE_SCALE: f64 = 0.03;

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
    let marks = jug_marks(graph, "top-offs");
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
    let mut changes = Vec::new();
    for entry in &tank.entries {
        if let Some(change) = &entry.water_change {
            let litres = &change.volume;
            *budget.changed.entry(entry.date().first_of_month()).or_insert(0.0) += litres.value.value;
            changes.push((entry.date(), litres));
        }
    }
    // From one change to another: a window of so many days holds one more or one less as it falls, which is no change of
    // habit. The first is the last one before the window, if it is not as long before it as the window is.
    let start = changes.partition_point(|(date, _)| *date <= from);
    let before = start.checked_sub(1).filter(|&before| days_between(changes[before].0, from) <= CHANGE_DAYS);
    let recent = &changes[before.unwrap_or(start)..];
    if start == changes.len() {
        figures.miss(&tank.key, key, label, "`water-change: 11 L` in entries");
        return;
    }
    let dates: Vec<Date> = recent.iter().map(|(date, _)| *date).collect();
    let (counted, days, method) = match told_until(&dates, record.as_of) {
        Some(until) if days_between(dates[0], until) > 0 => {
            let method = if until > dates[dates.len() - 1] {
                "Σ changes after the first ∕ days from the first to today · days in a month"
            } else {
                "Σ changes after the first ∕ days from the first to the last · days in a month"
            };
            (&recent[1..], days_between(dates[0], until), method)
        }
        _ => (recent, tank.age_days(record.as_of).clamp(1, CHANGE_DAYS), "Σ changes ∕ days · days in a month"),
    };
    let graph = &mut figures.graph;
    let inputs: Vec<NodeId> = counted
        .iter()
        .map(|(date, litres)| {
            let mut root = amount(format!("Water change, {date}"), litres.value.value, "L", &litres.place);
            root.uncertainty = litres.value.uncertainty.unwrap_or(root.uncertainty);
            graph.root(root)
        })
        .collect();
    let total = graph.sum("Water changed", "L", &inputs);
    let marks = jug_marks(graph, "water changes");
    let node = graph.compute(label, "L", &[total, marks], move |x| x[0] * x[1] * MONTH / f64::from(days));
    let numbers = format!("{} L ∕ {days} days × 30.44", number(graph.value(total)));
    figures.define(&tank.key, key, label).method(method, numbers, &[]).inputs(&[total, marks]).finish(node);
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

/// One dose as logged: the day, how many days its total is for, and how much.
struct Dosed<'a> {
    on: Date,
    over_days: f64,
    amount: f64,
    place: &'a Place,
}

impl Dosed<'_> {
    /// How much of it falls after a day: a total over seven days ends with its entry.
    fn after(&self, from: Date) -> f64 {
        self.amount * (f64::from(days_between(from, self.on)) / self.over_days).clamp(0.0, 1.0)
    }
}

fn doses(record: &Record, tank: &Tank, figures: &mut Figures, budget: &mut Budget) {
    let mut given: BTreeMap<&str, (&'static str, Vec<Dosed>)> = BTreeMap::new();
    for entry in &tank.entries {
        for dose in &entry.doses {
            let is_volume = dose.amount.value.dimension == Dimension::Volume;
            // Stocks are dosed by the millilitre; powders weighed in grams.
            let (unit, factor) = if is_volume { ("mL", 1000.0) } else { ("g", 1.0) };
            given.entry(&dose.of.value).or_insert_with(|| (unit, Vec::new())).1.push(Dosed {
                on: entry.date(),
                over_days: dose.over_days.max(1.0),
                amount: dose.amount.value.value * factor,
                place: &dose.amount.place,
            });
        }
    }
    for (supply, (unit, doses)) in given {
        let lately = record.as_of.saturating_sub(CHANGE_DAYS.days());
        let dates: Vec<Date> = doses.iter().map(|dose| dose.on).filter(|on| *on > lately).collect();
        let until = told_until(&dates, record.as_of).unwrap_or(record.as_of);
        let from = until.saturating_sub(DOSE_DAYS.days());
        let recent: Vec<&Dosed> = doses.iter().filter(|dose| dose.on > from).collect();
        let in_all = doses.iter().map(|dose| dose.amount).sum();
        let of_late = recent.iter().map(|dose| dose.after(from)).sum();
        budget.doses.insert(supply.to_string(), (of_late, in_all, unit));
        if recent.is_empty() {
            continue;
        }
        let name = record.supplies.get(supply).map_or(supply, |supply| supply.name.value.as_str());
        let label = format!("{name}: dosed in {DOSE_DAYS} days");
        let graph = &mut figures.graph;
        let inputs: Vec<NodeId> = recent
            .iter()
            .map(|dose| {
                let mut root = amount(format!("Dose, {}", dose.on), dose.after(from), unit, dose.place);
                root.uncertainty = 0.0;
                graph.root(root)
            })
            .collect();
        let total = graph.sum("Doses as logged", unit, &inputs);
        let scale = assumed(
            graph,
            "Scale of the syringe or dosing head",
            1.0,
            DOSE_SCALE,
            "1",
            "common to all doses (common practice, no source)",
        );
        let node = graph.compute(&label, unit, &[total, scale], |x| x[0] * x[1]);
        let first = from.saturating_add(1.days());
        let numbers = format!("{} doses, {} {unit} from {first} to {until}", inputs.len(), number(graph.value(node)));
        figures
            .define(&tank.key, &format!("dose.{supply}.last-30-days"), &label)
            .method("Σ doses given", numbers, &[])
            .inputs(&[total, scale])
            .note(
                "doses given, as logged, in the last 30 days that the log tells of; of a total over days that began before \
                 them its part; the plan stands on the upkeep page",
            )
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
