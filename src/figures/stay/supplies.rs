//! Doses and food of a period: how much in all, and whether what is left lasts.

use jiff::civil::Date;

use super::{Period, after};
use crate::figures::NodeId;
use crate::figures::figure::{Figures, InputName};
use crate::figures::inputs::{measured, number, set};
use crate::record::upkeep::{Plan, in_force};
use crate::record::{Record, Tank, days_between};

/// What is dosed of one stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Dose {
    pub supply: String,
    /// The dosing pump that gives it; by hand without one.
    pub by: Option<String>,
    /// mL (or g) each time.
    pub each: f64,
    pub every_days: f64,
    pub unit: &'static str,
    /// Days on which it is due; empty for a pump, which doses every day.
    pub dates: Vec<Date>,
    /// mL (or g) in the period.
    pub total: f64,
    /// What is left on the first day, and the last day on which a whole dose is there.
    pub left: Option<f64>,
    pub lasts_to: Option<Date>,
    /// Day of the period (from 1) on which it runs short.
    pub short_on_day: Option<i32>,
}

/// What is fed of one food.
#[derive(Clone, Debug, PartialEq)]
pub struct Food {
    pub supply: String,
    pub each: f64,
    pub unit: &'static str,
    /// Spoons or scoops each time.
    pub spoons: Option<f64>,
    pub feeds: usize,
    pub spare: u32,
    /// With the spare portions.
    pub total: f64,
    pub left: Option<f64>,
    /// Feed (from 1) for which there is no food.
    pub short_on_feed: Option<usize>,
}

/// Visits on which the animals are fed: as often as the plan for the sitter says, else as the keeper feeds, and never
/// more often than somebody comes.
pub fn feeding_days(tank: &Tank, visits: &[Date]) -> Vec<Date> {
    let Some(first) = visits.first() else {
        return Vec::new();
    };
    let plans = in_force(&tank.upkeep.feeding, *first);
    let own = plans.values().map(|plan| plan.every_days).fold(f64::INFINITY, f64::min);
    let every = tank.upkeep.sitter.feed.every.as_ref().map_or(own, |every| every.value);
    let mut fed: Vec<Date> = Vec::new();
    for visit in visits {
        if every.is_finite() && fed.last().is_none_or(|last| f64::from(days_between(*last, *visit)) >= every - 0.5) {
            fed.push(*visit);
        }
    }
    fed
}

/// What is left of a supply on a day, when so much of it goes in a day; and its node.
fn left_on(record: &Record, figures: &mut Figures, tank: &Tank, plan: &Plan, from: Date) -> Option<(NodeId, f64)> {
    let supply = record.supplies.get(&plan.of.value)?;
    let left = supply.left.as_ref()?;
    let (each, unit) = plan.measured_out();
    if left.amount.value.dimension != plan.amount.value.dimension {
        return None;
    }
    let amount = if unit == "mL" { left.amount.value.value * 1000.0 } else { left.amount.value.value };
    let days = days_between(left.on, from).max(0);
    let key = format!("stay.{}.left", plan.of.value);
    let label = format!("{}: left on the first day", supply.name.value);
    // A level read off a bottle or a scale of the kitchen: within a twentieth (common practice, no source).
    let was = measured(&mut figures.graph, "Left", amount, 0.05 * amount, unit, &left.amount.place);
    let dose = set(&mut figures.graph, "Each time", each, unit, &plan.amount.place);
    let times = f64::from(days) / plan.every_days;
    let node = figures.graph.compute(&label, unit, &[was, dose], move |x| (x[0] - x[1] * times).max(0.0));
    let numbers = format!(
        "{} − {} × {} = {} {unit}",
        number(amount),
        number(each),
        number(times),
        number((amount - each * times).max(0.0))
    );
    figures.define(&tank.key, &key, &label).method("B = B₀ − a · n", numbers, &[]).inputs(&[was, dose]).finish(node);
    Some((node, (amount - each * times).max(0.0)))
}

pub fn doses(record: &Record, tank: &Tank, figures: &mut Figures, period: Period) -> Vec<Dose> {
    let mut found = Vec::new();
    for (supply, plan) in in_force(&tank.upkeep.dosing, period.from) {
        let (each, unit) = plan.measured_out();
        let by = plan.by.as_ref().map(|by| by.value.clone());
        let dates = if by.is_some() { Vec::new() } else { due_dates(tank, supply, plan, period) };
        let times = match &by {
            Some(_) => f64::from(period.days()) / plan.every_days,
            None => dates.len() as f64,
        };
        let name = record.supplies.get(supply).map_or(supply, |supply| supply.name.value.as_str());
        let label = format!("{name}: dosed in the period");
        let dose = set(&mut figures.graph, "Each time", each, unit, &plan.amount.place);
        let node = figures.graph.compute(&label, unit, &[dose], move |x| x[0] * times);
        let total_key = format!("stay.{supply}.total");
        let numbers = format!("{} × {} = {} {unit}", number(times), number(each), number(times * each));
        figures.define(&tank.key, &total_key, &label).method("D = n · a", numbers, &[]).inputs(&[dose]).finish(node);
        let left = left_on(record, figures, tank, plan, period.from);
        let mut short_on_day = None;
        let mut lasts_to = None;
        if let Some((left_node, left)) = left {
            let per_day = each / plan.every_days;
            let days = left / per_day;
            let label = format!("{name}: days that what is left lasts");
            let node = figures.graph.compute(&label, "d", &[left_node, dose], {
                let every = plan.every_days;
                move |x| x[0] / x[1] * every
            });
            let numbers =
                format!("{} ∕ {} × {} = {} d", number(left), number(each), number(plan.every_days), number(days));
            figures
                .define(&tank.key, &format!("stay.{supply}.lasts"), &label)
                .method("t = B ∕ a · interval", numbers, &[])
                .inputs(&[InputName::from(format!("stay.{supply}.left")), dose.into()])
                .finish(node);
            // A little more than a dose is a dose: rounding of the marks.
            let whole = (days + 1e-9).floor() as i32;
            lasts_to = Some(after(period.from, whole - 1));
            short_on_day = match &by {
                Some(_) => (whole < period.days()).then_some(whole + 1),
                None => {
                    let doses = (left / each + 1e-9).floor() as usize;
                    dates.get(doses).map(|date| days_between(period.from, *date) + 1)
                }
            };
        }
        found.push(Dose {
            supply: supply.to_string(),
            by,
            each,
            every_days: plan.every_days,
            unit,
            dates,
            total: each * times,
            left: left.map(|left| left.1),
            lasts_to,
            short_on_day,
        });
    }
    found
}

/// Days on which a dose by hand is due: counted on from the last one in the log.
fn due_dates(tank: &Tank, supply: &str, plan: &Plan, period: Period) -> Vec<Date> {
    let every = (plan.every_days.round() as i32).max(1);
    let last = tank
        .entries
        .iter()
        .filter(|entry| entry.doses.iter().any(|dose| dose.of.value == supply))
        .map(|entry| entry.date())
        .max();
    let mut next = last.map_or(period.from, |last| after(last, every));
    while next < period.from {
        next = after(next, every);
    }
    let mut dates = Vec::new();
    while next <= period.to {
        dates.push(next);
        next = after(next, every);
    }
    dates
}

pub fn food(record: &Record, tank: &Tank, figures: &mut Figures, period: Period, feeds: &[Date]) -> Vec<Food> {
    let spare = tank.upkeep.sitter.feed.spare;
    let mut found = Vec::new();
    for (supply, plan) in in_force(&tank.upkeep.feeding, period.from) {
        let (each, unit) = plan.measured_out();
        let portions = feeds.len() as f64 + f64::from(spare);
        let kept = record.supplies.get(supply);
        let name = kept.map_or(supply, |supply| supply.name.value.as_str());
        let label = format!("{name}: portions in the period");
        let portion = set(&mut figures.graph, "Each time", each, unit, &plan.amount.place);
        let node = figures.graph.compute(&label, unit, &[portion], move |x| x[0] * portions);
        let numbers = format!("({} + {spare}) × {} = {} {unit}", feeds.len(), number(each), number(each * portions));
        figures
            .define(&tank.key, &format!("stay.{supply}.total"), &label)
            .method("F = (feeds + spare) · a", numbers, &[])
            .inputs(&[portion])
            .finish(node);
        let spoon = kept
            .and_then(|supply| supply.spoon.as_ref())
            .filter(|spoon| spoon.holds.value.dimension == plan.amount.value.dimension);
        let spoons = spoon.map(|spoon| {
            let holds = if unit == "mL" { spoon.holds.value.value * 1000.0 } else { spoon.holds.value.value };
            // A level spoon, filled by eye: within a tenth (common practice, no source).
            let level = measured(&mut figures.graph, "A spoon holds", holds, 0.1 * holds, unit, &spoon.holds.place);
            let label = format!("{name}: spoons each time");
            let node = figures.graph.compute(&label, "1", &[portion, level], |x| x[0] / x[1]);
            let numbers = format!("{} ∕ {} = {}", number(each), number(holds), number(each / holds));
            figures
                .define(&tank.key, &format!("stay.{supply}.spoons"), &label)
                .method("s = a ∕ spoon", numbers, &[])
                .inputs(&[portion, level])
                .finish(node);
            each / holds
        });
        let left = left_on(record, figures, tank, plan, period.from).map(|left| left.1);
        found.push(Food {
            supply: supply.to_string(),
            each,
            unit,
            spoons,
            feeds: feeds.len(),
            spare,
            total: each * portions,
            left,
            short_on_feed: left
                .map(|left| (left / each + 1e-9).floor() as usize)
                .filter(|whole| *whole < feeds.len())
                .map(|whole| whole + 1),
        });
    }
    found
}
