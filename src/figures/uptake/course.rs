//! The uptake over a tank's life: stretch by stretch, reading to reading, and across changes of lot.

use jiff::ToSpan;
use jiff::civil::Date;

use super::model::balanced;
use super::{Course, Pair, Step, Stretch};
use crate::figures::inflow::Inflow;
use crate::figures::readings::SeriesPoint;
use crate::record::{Tank, days_between};
use crate::science::trend::theil_sen;
use crate::units::Bound;

impl Course {
    /// Windows back from the last reading to the first.
    pub(super) fn of(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64) -> Course {
        let days = days_of_a_window(points);
        let mut course = Course { stretches: Vec::new(), days, trend: None };
        let (Some(first), Some(last)) = (points.first(), points.last()) else {
            return course;
        };
        let (first, mut until): (Date, Date) = (first.when.date(), last.when.date());
        while days_between(first, until) >= days / 2 {
            let from = until.saturating_sub(i64::from(days).days());
            let start = points.partition_point(|point| point.when.date() < from);
            let end = points.partition_point(|point| point.when.date() <= until);
            course.stretches.extend(stretch(tank, &points[start..end], inflow, volume, days));
            until = until.saturating_sub(i64::from(days / 4).days());
        }
        // Every fourth window begins where the one before it ends.
        let apart: Vec<&Stretch> = course.stretches.iter().step_by(4).collect();
        let times: Vec<f64> = apart.iter().map(|stretch| f64::from(days_between(first, stretch.to))).collect();
        let values: Vec<f64> = apart.iter().map(|stretch| stretch.uptake).collect();
        course.trend = theil_sen(&times, &values).ok();
        course.stretches.reverse();
        course
    }
}

/// About eight readings.
fn days_of_a_window(points: &[SeriesPoint]) -> i32 {
    let mut gaps: Vec<i32> =
        points.windows(2).map(|pair| days_between(pair[0].when.date(), pair[1].when.date())).collect();
    gaps.sort_unstable();
    let usual = gaps.get(gaps.len() / 2).copied().unwrap_or(7).max(1);
    (8 * usual).clamp(56, 224)
}

fn stretch(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64, days: i32) -> Option<Stretch> {
    let (first, last) = (points.first()?, points.last()?);
    if points.len() < 4 || days_between(first.when.date(), last.when.date()) < days / 2 {
        return None;
    }
    let (_, balance, u) = balanced(tank, points, inflow, volume)?;
    Some(Stretch { from: first.when.date(), to: last.when.date(), uptake: balance.uptake, u })
}

/// Reading to reading of one lot, those that the kit could see.
pub(super) fn pairs(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64) -> Vec<Pair> {
    points
        .windows(2)
        .filter(|pair| pair.iter().all(|point| point.bound == Bound::Exactly) && pair[0].run == pair[1].run)
        .filter_map(|pair| {
            let (model, balance, u) = balanced(tank, pair, inflow, volume)?;
            let came = model.came(inflow, volume);
            Some(Pair {
                from: pair[0].when.date(),
                to: pair[1].when.date(),
                was: pair[0].value,
                came,
                changed: balance.by_changes(came),
                days: balance.days,
                is: pair[1].value,
                uptake: balance.uptake,
                u,
            })
        })
        .collect()
}

/// Readings so many days either side of a change of lot tell what it did.
const STEP_DAYS: i32 = 90;

/// What each change of lot did, where the readings on both sides tell.
pub(super) fn steps(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64) -> Vec<Step> {
    let mut found = Vec::new();
    for place in 1..points.len() {
        let (old, new) = (points[place - 1].run, points[place].run);
        if old == new {
            continue;
        }
        let date = points[place].when.date();
        let near: Vec<SeriesPoint> = points
            .iter()
            .filter(|point| point.run == old || point.run == new)
            .filter(|point| days_between(point.when.date(), date).abs() <= STEP_DAYS)
            .cloned()
            .collect();
        let of = |run: usize| near.iter().filter(|point| point.run == run && point.bound == Bound::Exactly).count();
        // One reading of a lot says as much of the tank as of the lot.
        if of(old) < 2 || of(new) < 2 {
            continue;
        }
        let Some((_, balance, _)) = balanced(tank, &near, inflow, volume) else { continue };
        if let Some((_, offset, u)) = balance.offsets.iter().find(|(lot, ..)| *lot == old) {
            found.push(Step { date, reads_more: -offset, u: *u });
        }
    }
    found
}
