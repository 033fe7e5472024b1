//! Which tasks fall due while somebody else minds the tank, and who does them when.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::{Period, after};
use crate::figures::upkeep::TaskState;
use crate::record::upkeep::Task;
use crate::record::{Tank, YesNo, days_between};

/// Who does what when.
#[derive(Clone, Debug, Default)]
pub struct TaskPlan {
    /// The keeper does these before leaving.
    pub before: Vec<Before>,
    /// Visit to the keys of the tasks done at it.
    pub visits: BTreeMap<Date, Vec<String>>,
    /// Falls due while the keeper is away, and waits.
    pub waits: Vec<Wait>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Before {
    pub task: String,
    pub due: Date,
    pub last: Option<Date>,
    /// Once done, it is not due again before the keeper is back.
    pub holds: bool,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wait {
    pub task: String,
    /// Due again on this day, after the keeper has done it before leaving.
    pub due: Date,
    /// Days past due on the day the keeper is back.
    pub late: i32,
    /// It is a sitter's task but needs hands in the water, or nobody has said that it does not.
    pub hands: bool,
}

/// Every task that is due by the day the keeper is back is done the day before leaving. A sitter's task that comes round
/// again within the period is done at the last visit on or before it is due; a keeper's task waits. Nobody but the keeper
/// puts hands in the water.
pub fn plan(tank: &Tank, states: &[TaskState], period: Period, visits: &[Date]) -> TaskPlan {
    let mut plan = TaskPlan::default();
    let eve = after(period.from, -1);
    let back = after(period.to, 1);
    for state in states {
        let task = &tank.upkeep.tasks[&state.key];
        let every = (state.every_days.round() as i32).max(1);
        if state.due > period.to || ended(task, period.from) {
            continue;
        }
        let mut next = after(eve, every);
        plan.before.push(Before {
            task: state.key.clone(),
            due: state.due,
            last: state.done.last().copied(),
            holds: next > period.to,
        });
        if next > period.to {
            continue;
        }
        let dry = task.hands_in_water == YesNo::No && task.lowers_water != YesNo::Yes;
        if !(task.sitter && dry) {
            let late = days_between(next, back);
            plan.waits.push(Wait { task: state.key.clone(), due: next, late, hands: task.sitter && !dry });
            continue;
        }
        while next <= period.to {
            let Some(visit) = visits.iter().rev().find(|visit| **visit <= next) else {
                break;
            };
            plan.visits.entry(*visit).or_default().push(state.key.clone());
            next = after(*visit, every);
            // A task more frequent than the visits is done once at each.
            while visits.iter().rev().find(|other| **other <= next) == Some(visit) {
                next = after(next, 1);
                if next > period.to {
                    break;
                }
            }
        }
    }
    plan.before.sort_by_key(|before| before.due);
    plan
}

fn ended(task: &Task, from: Date) -> bool {
    task.until.as_ref().is_some_and(|until| until.value < from)
}
