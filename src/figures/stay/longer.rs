//! What changes when the keeper comes back later than planned.

use jiff::civil::Date;

use super::{Stay, after};
use crate::figures::Findings;
use crate::record::{Tank, YesNo};

/// Days by which a trip may grow, for which the sheet says what changes.
pub const EXTENSIONS: [i32; 3] = [1, 3, 7];

/// One such growth.
#[derive(Clone, Debug, PartialEq)]
pub struct Longer {
    pub days: i32,
    pub to: Date,
    /// Portions of food needed beyond those that are not spare, and how many are missing after the spare ones.
    pub feeds: usize,
    pub bags_missing: usize,
    /// L more, at the upper end, and L that the store then lacks.
    pub water: Option<f64>,
    pub water_missing: Option<f64>,
    /// Stock that runs out by then, and its last whole day.
    pub dry: Vec<(String, Date)>,
    /// Tasks that a sitter can do and that come up in these days.
    pub tasks: Vec<(String, Date)>,
}

pub fn work_out(tank: &Tank, findings: &Findings, stay: &Stay) -> Vec<Longer> {
    EXTENSIONS.iter().map(|days| one(tank, findings, stay, *days)).collect()
}

fn one(tank: &Tank, findings: &Findings, stay: &Stay, days: i32) -> Longer {
    let to = after(stay.period.to, days);
    let feeds = further_feeds(stay, to);
    let spare = tank.upkeep.sitter.feed.spare as usize;
    let water = stay.water.per_day.map(|(_, _, high)| high * f64::from(days));
    let need = stay.water.total.zip(water).map(|(total, more)| total + more);
    let mut tasks = Vec::new();
    for before in &stay.tasks.before {
        let task = &tank.upkeep.tasks[&before.task];
        if !task.sitter || task.hands_in_water != YesNo::No || task.lowers_water == YesNo::Yes {
            continue;
        }
        let state = findings.tanks[&tank.key].tasks.iter().find(|state| state.key == before.task);
        let every = state.map_or(task.every.value.days(), |state| state.every_days).round() as i32;
        let done =
            stay.tasks.visits.iter().filter(|(_, keys)| keys.contains(&before.task)).map(|(date, _)| *date).max();
        let next = after(done.unwrap_or_else(|| after(stay.period.from, -1)), every.max(1));
        if next > stay.period.to && next <= to {
            tasks.push((before.task.clone(), next));
        }
    }
    tasks.sort_by_key(|task| task.1);
    Longer {
        days,
        to,
        feeds,
        bags_missing: feeds.saturating_sub(spare),
        water,
        water_missing: stay.water.stock.zip(need).map(|(stock, need)| need - stock).filter(|missing| *missing > 0.05),
        dry: stay
            .doses
            .iter()
            .filter_map(|dose| Some((dose.supply.clone(), dose.lasts_to.filter(|last| *last < to)?)))
            .collect(),
        tasks,
    }
}

/// Feeds in the days after the period, in its own rhythm.
fn further_feeds(stay: &Stay, to: Date) -> usize {
    let (Some(first), Some(last)) = (stay.feeds.first(), stay.feeds.last()) else {
        return 0;
    };
    let every = match stay.feeds.get(1) {
        Some(second) => crate::record::days_between(*first, *second),
        None => stay.gap,
    };
    (1..).map(|count| after(*last, count * every.max(1))).take_while(|date| *date <= to).count()
}
