//! Recurring work, feeding and dosing plans, part lifetimes.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

use super::{YesNo, sitter::SitterPlan, timeline::Located};
use crate::diagnostic::Place;
use crate::units::{CalendarSpan, Quantity};

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

/// Whether a task is for a sitter too.
pub const WHO: &[(&str, bool)] = &[("keeper", false), ("sitter", true)];
