//! Steps from one light to another over weeks: for what arrived, and for a change of the lamp.

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Dimming, Figures, lamps};
use crate::figures::energy::hours_at_full;
use crate::figures::graph::NodeId;
use crate::record::colony::Colony;
use crate::record::{Record, Tank, days_between};
use crate::science::dimming::{POINTED_OUT, acclimation_steps};

/// A way from one light to another.
#[derive(Clone, Debug)]
pub struct Plan {
    pub of: PlanFor,
    /// Whether the light before is known; else half of the light wanted is taken (common practice, no source).
    pub from_is_known: bool,
    /// Before and after: µmol/m²/s for an arrival, level (0 to 1) for a lamp.
    pub from: f64,
    pub to: f64,
    /// From this day on.
    pub start: Date,
    pub steps: Vec<PlanStep>,
}

/// What a plan is for.
#[derive(Clone, Debug, PartialEq)]
pub enum PlanFor {
    /// A colony that came, or was moved, within six weeks, or whose steps are not over.
    Arrival(String),
    /// A lamp whose day's light was raised by more than a quarter at once, within six weeks.
    Raised(String),
    /// The way from today's level of a lamp to the one for most colonies.
    ForMost(String),
}

/// One step, a week long.
#[derive(Clone, Debug)]
pub struct PlanStep {
    pub on: Date,
    /// Light in µmol/m²/s, or level of the lamp.
    pub to: f64,
    /// Share of what is there without a plan: of the place's light, or of the new day's light.
    pub share: f64,
}

/// Days in which colour and extension say little after a change of light (common practice, no source).
const WINDOW_DAYS: i32 = 42;

/// Share of the light wanted at which an arrival of unknown past begins (common practice, no source: 30 to 50 %).
const BEGIN: f64 = 0.4;

pub(super) fn work_out(
    record: &Record,
    tank: &Tank,
    lit: &[(&Colony, NodeId)],
    dimming: Option<&Dimming>,
    figures: &mut Figures,
) -> Vec<Plan> {
    let mut plans: Vec<Plan> = lit.iter().filter_map(|(colony, par)| arrival(record, colony, *par, figures)).collect();
    plans.extend(lamps(record, tank).filter_map(|lamp| raised(record, lamp)));
    plans.extend(dimming.and_then(|dimming| for_most(record, tank, dimming)));
    plans
}

fn arrival(record: &Record, colony: &Colony, par: NodeId, figures: &Figures) -> Option<Plan> {
    let placement = colony.placement_on(record.as_of)?;
    let here = figures.graph.value(par);
    // A colony that was moved within the record came from its place before; one that arrived, from its giver.
    let before = colony.source.as_ref().and_then(|source| source.light.as_ref()).map(|light| light.value.value);
    let arrived = placement.since == colony.arrived.value || colony.placements.len() == 1;
    let known = before.filter(|_| arrived);
    let from = known.unwrap_or(BEGIN * here);
    if from <= 0.0 || here <= 0.0 || from >= here {
        return None;
    }
    // On its first day it stands in the light that it knows; each week after that brings a step.
    let mut steps = vec![PlanStep { on: placement.since, to: from, share: from / here }];
    steps.extend(dated(from, here, placement.since.checked_add(7.days()).ok()?, |to| to / here)?);
    // It stays for six weeks, and as long as its steps last.
    let over = steps.last().is_some_and(|last| last.on < record.as_of);
    if over && days_between(placement.since, record.as_of) > WINDOW_DAYS {
        return None;
    }
    let of = PlanFor::Arrival(colony.key.clone());
    Some(Plan { of, from_is_known: known.is_some(), from, to: here, start: placement.since, steps })
}

fn raised(record: &Record, lamp: &crate::record::Device) -> Option<Plan> {
    let stretches: Vec<_> = lamp.settings.iter().collect();
    let place = stretches.iter().rposition(|stretch| stretch.since.is_some_and(|since| since <= record.as_of))?;
    let (before, after) = (stretches.get(place.checked_sub(1)?)?, stretches[place]);
    let since = after.since?;
    if days_between(since, record.as_of) > WINDOW_DAYS {
        return None;
    }
    let curve = lamp.dimming.as_ref().map(|curve| curve.value.clone()).unwrap_or_default();
    let day = |settings: &crate::record::equipment::Settings| {
        let level = settings.level.as_ref().map_or(1.0, |level| level.value);
        (level, curve.light(level), hours_at_full(settings.schedule.as_ref().map(|schedule| &schedule.value)))
    };
    let ((_, light_before, hours_before), (level, light, hours)) = (day(&before.value), day(&after.value));
    let (was, is) = (light_before * hours_before, light * hours);
    // A hair over a quarter is a quarter.
    if was <= 0.0 || is / was <= POINTED_OUT + 1e-9 || hours <= 0.0 {
        return None;
    }
    // Levels at the new hours, from the one that gives the old day's light.
    let from = curve.level((was / hours).min(1.0)).ok()?;
    let steps = acclimation_steps(was, is)
        .ok()?
        .into_iter()
        .enumerate()
        .map(|(week, sum)| {
            let to = curve.level((sum / hours).min(1.0)).unwrap_or(level);
            Some(PlanStep { on: since.checked_add((week as i64 * 7).days()).ok()?, to, share: sum / is })
        })
        .collect::<Option<Vec<_>>>()?;
    Some(Plan { of: PlanFor::Raised(lamp.key.clone()), from_is_known: true, from, to: level, start: since, steps })
}

fn for_most(record: &Record, tank: &Tank, dimming: &Dimming) -> Option<Plan> {
    let (_, to, (low, high)) = dimming.for_most.as_ref()?;
    // Today's level is as good as any other of the range.
    if (*low..=*high).contains(&dimming.level_now) {
        return None;
    }
    let lamp = tank.device(&dimming.lamp)?;
    let curve = lamp.dimming.as_ref().map(|curve| curve.value.clone()).unwrap_or_default();
    let (from, wanted) = (curve.light(dimming.level_now), curve.light(*to));
    let steps = dated(from, wanted, record.as_of, |light| light / wanted)?
        .into_iter()
        .map(|step| Some(PlanStep { to: curve.level(step.to.min(1.0)).ok()?, ..step }))
        .collect::<Option<Vec<_>>>()?;
    let of = PlanFor::ForMost(dimming.lamp.clone());
    Some(Plan { of, from_is_known: true, from: dimming.level_now, to: *to, start: record.as_of, steps })
}

/// The steps a week apart, the first on the day itself.
fn dated(from: f64, to: f64, start: Date, share: impl Fn(f64) -> f64) -> Option<Vec<PlanStep>> {
    acclimation_steps(from, to)
        .ok()?
        .into_iter()
        .enumerate()
        .map(|(week, to)| {
            Some(PlanStep { on: start.checked_add((week as i64 * 7).days()).ok()?, to, share: share(to) })
        })
        .collect()
}
