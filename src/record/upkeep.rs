//! Recurring work, feeding and dosing plans, part lifetimes.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

use super::{YesNo, sitter::SitterPlan, timeline::Located};
use crate::diagnostic::Place;
use crate::units::{CalendarSpan, Dimension, Quantity};

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Upkeep {
    pub tasks: BTreeMap<String, Task>,
    pub feeding: Vec<Plan>,
    pub dosing: Vec<Plan>,
    /// By device key.
    pub lifetimes: BTreeMap<String, Located<CalendarSpan>>,
    /// Planned absence. Never in the journal.
    pub away: Vec<(Date, Date)>,
    /// What whoever minds the tank needs. Never in the journal.
    pub sitter: SitterPlan,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    pub key: String,
    pub what: String,
    pub every: Located<CalendarSpan>,
    /// Minutes.
    pub takes: Option<Located<f64>>,
    pub sitter: bool,
    pub hands_in_water: YesNo,
    pub lowers_water: YesNo,
    pub since: Option<Located<Date>>,
    pub until: Option<Located<Date>>,
    pub device: Option<Located<String>>,
    pub why: Option<String>,
    /// Step by step, for who has never done it.
    pub how: Option<String>,
    pub photo: Option<Located<String>>,
    pub place: Place,
}

/// A feeding or dosing plan from a date on: what is meant to be given, not what was.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    pub since: Option<Date>,
    pub of: Located<String>,
    pub amount: Located<Quantity>,
    pub every_days: f64,
    pub at: Option<Time>,
    pub by: Option<Located<String>>,
    pub place: Place,
}

impl Plan {
    /// The amount each time in the unit in which it is measured out: millilitres of a stock, grams of food.
    pub fn measured_out(&self) -> (f64, &'static str) {
        match self.amount.value.dimension {
            Dimension::Volume => (self.amount.value.value * 1000.0, "mL"),
            _ => (self.amount.value.value, "g"),
        }
    }
}

/// The plans in force on a day, the newest of each supply, by name. One of nothing ends what was planned before.
pub fn in_force(plans: &[Plan], on: Date) -> BTreeMap<&str, &Plan> {
    let mut newest: BTreeMap<&str, &Plan> = BTreeMap::new();
    for plan in plans.iter().filter(|plan| plan.since.is_none_or(|since| since <= on)) {
        let slot = newest.entry(&plan.of.value).or_insert(plan);
        if plan.since >= slot.since {
            *slot = plan;
        }
    }
    newest.retain(|_, plan| plan.amount.value.value > 0.0);
    newest
}

/// Whether a task is for a sitter too.
pub const WHO: &[(&str, bool)] = &[("keeper", false), ("sitter", true)];
