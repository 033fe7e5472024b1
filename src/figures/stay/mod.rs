//! A stretch of days in which somebody else minds the tank: visits, tasks, water, doses, food, lamp hours, what is normal,
//! and what the record still needs before the keeper can leave.

mod longer;
mod normal;
mod readiness;
mod supplies;
mod tasks;
pub mod warmth;
mod water;

use jiff::ToSpan;
use jiff::civil::Date;

use super::Findings;
use crate::record::{Record, Tank, days_between};

pub use longer::{EXTENSIONS, Longer};
pub use normal::{CALL, LampHours, Limits, MARGIN, NORMAL_DAYS, Normal, Range};
pub use readiness::{Fact, Need, can_forget};
pub use supplies::{Dose, Food};
pub use tasks::{Before, TaskPlan, Wait};
pub use water::{TopUp, WaterNeed};

/// The days on which a sitter answers for the tank, both ends included. The keeper is there the day before and the day
/// after.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Period {
    pub from: Date,
    pub to: Date,
}

/// Longer than this is no absence but a handover.
const LONGEST: i32 = 92;

/// Why a period makes no sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Impossible {
    EndsBeforeItBegins,
    Over,
    BeforeTheTank,
    TankEnded,
    TooLong(i32),
}

impl Period {
    pub fn days(self) -> i32 {
        days_between(self.from, self.to) + 1
    }

    pub fn dates(self) -> impl Iterator<Item = Date> {
        (0..self.days()).map(move |day| after(self.from, day))
    }

    /// Whether a sheet can be made for it, seen from the day at which the record stands.
    ///
    /// # Errors
    /// When the period is back to front, over, before the tank, after its end, or too long.
    pub fn check(self, tank: &Tank, today: Date) -> Result<(), Impossible> {
        if self.to < self.from {
            return Err(Impossible::EndsBeforeItBegins);
        }
        if self.from < tank.started.value {
            return Err(Impossible::BeforeTheTank);
        }
        if tank.ended.as_ref().is_some_and(|ended| ended.value <= self.to) {
            return Err(Impossible::TankEnded);
        }
        if self.to < today {
            return Err(Impossible::Over);
        }
        if self.days() > LONGEST {
            return Err(Impossible::TooLong(self.days()));
        }
        Ok(())
    }
}

/// When the clocks change within the period, or on a day of handover.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockChange {
    pub on: Date,
    /// Minutes by which wall clocks are put forward; negative where they go back.
    pub forward: i64,
}

/// All that a sheet for one period says in numbers.
#[derive(Clone, Debug)]
pub struct Stay {
    pub period: Period,
    /// Days from one visit to the next.
    pub gap: i32,
    pub visits: Vec<Date>,
    pub clock: Vec<ClockChange>,
    pub tasks: TaskPlan,
    pub water: WaterNeed,
    pub doses: Vec<Dose>,
    pub food: Vec<Food>,
    /// Visits on which the animals are fed.
    pub feeds: Vec<Date>,
    pub lamps: Vec<LampHours>,
    pub normal: Normal,
    pub limits: Limits,
    pub longer: Vec<Longer>,
    /// What is missing before the keeper can leave: blockers first, then by days before.
    pub needs: Vec<Need>,
}

/// Works out a period for one tank. Its numbers are added to the figures, as `stay.…`.
pub fn work_out(record: &Record, tank: &Tank, findings: &mut Findings, period: Period) -> Stay {
    let plan = &tank.upkeep.sitter;
    let gap = plan.visit_every.as_ref().map_or(1, |every| every.value as i32).max(1);
    let visits: Vec<Date> = period.dates().step_by(gap as usize).collect();
    let feeds = supplies::feeding_days(tank, &visits);
    let tasks = tasks::plan(tank, &findings.tanks[&tank.key].tasks, period, &visits);
    let water = water::work_out(record, tank, findings, period, gap);
    let doses = supplies::doses(record, tank, &mut findings.figures, period);
    let food = supplies::food(record, tank, &mut findings.figures, period, &feeds);
    let normal = normal::work_out(record, tank, findings);
    let mut stay = Stay {
        lamps: normal::lamps(tank, period),
        limits: normal::limits(tank, &normal, period.from),
        normal,
        clock: clock_changes(tank, period),
        longer: Vec::new(),
        needs: Vec::new(),
        period,
        gap,
        visits,
        tasks,
        water,
        doses,
        food,
        feeds,
    };
    let devices: Vec<_> = tank.devices_at(period.from).collect();
    warmth::work_out(tank, findings, &stay.limits, &devices);
    stay.longer = longer::work_out(tank, findings, &stay);
    stay.needs = readiness::needs(record, tank, findings, &stay);
    stay
}

/// A day so many days later.
pub(crate) fn after(date: Date, days: i32) -> Date {
    date.saturating_add(i64::from(days).days())
}

fn clock_changes(tank: &Tank, period: Period) -> Vec<ClockChange> {
    let first = after(period.from, -1);
    let offset = |date: Date| {
        let noon = date.to_datetime(crate::record::entry::noon());
        tank.zone.to_ambiguous_timestamp(noon).compatible().map(|instant| tank.zone.to_offset(instant).seconds())
    };
    (0..=period.days())
        .filter_map(|day| {
            let on = after(first, day + 1);
            let (before, now) = (offset(after(first, day)).ok()?, offset(on).ok()?);
            (before != now).then(|| ClockChange { on, forward: i64::from(now - before) / 60 })
        })
        .collect()
}
