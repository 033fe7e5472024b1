//! Recurring work: last done, next due by intent and by the keeper's own habit, and the minutes it takes.

use jiff::ToSpan;
use jiff::civil::Date;

use super::figure::Figures;
use super::inputs::{measured, number};
use crate::record::upkeep::Task;
use crate::record::{Record, Tank, days_between};
use crate::units::CalendarSpan;

/// How one task stands.
#[derive(Clone, Debug)]
pub struct TaskState {
    pub key: String,
    pub what: String,
    /// All days on which it was done, sorted.
    pub done: Vec<Date>,
    /// As meant, and its days.
    pub every: CalendarSpan,
    pub every_days: f64,
    /// Median of the last five intervals.
    pub habit_days: Option<f64>,
    /// By the keeper's intent, counted from when it was last done, else from when it was first meant to be.
    pub due: Date,
    pub due_by_habit: Option<Date>,
    /// Minutes a week at the keeper's own pace (the intended one where there is none yet).
    pub minutes_a_week: Option<f64>,
    /// Days past due, when it is.
    pub overdue_days: Option<i32>,
}

/// Intervals that a habit is taken from.
const HABIT: usize = 5;

pub fn work_out(record: &Record, tank: &Tank, figures: &mut Figures) -> Vec<TaskState> {
    let mut states = Vec::new();
    let mut inputs = Vec::new();
    for task in tank.upkeep.tasks.values() {
        if task.until.as_ref().is_some_and(|until| until.value < record.as_of) {
            continue;
        }
        let mut done: Vec<Date> = tank
            .entries
            .iter()
            .filter(|entry| entry.done.iter().any(|name| name.value == task.key))
            .map(|entry| entry.date())
            .collect();
        done.dedup();
        let habit_days = habit(&done);
        let last = done.last().copied();
        let every = &task.every.value;
        // Never done, it has been due since it first could have been: silence is no upkeep.
        let due = every.after(last.unwrap_or_else(|| meant_since(tank, task)));
        let pace = habit_days.unwrap_or(every.days()).max(0.5);
        let minutes_a_week = task.takes.as_ref().map(|takes| takes.value * 7.0 / pace);
        if let (Some(minutes), Some(takes)) = (minutes_a_week, &task.takes) {
            // Minutes are told from memory: a quarter either way (judgement, no source).
            let node = measured(&mut figures.graph, &task.what, minutes, 0.25 * minutes, "min", &takes.place);
            inputs.push(node);
        }
        states.push(TaskState {
            key: task.key.clone(),
            what: task.what.clone(),
            every: every.clone(),
            every_days: every.days(),
            habit_days,
            due,
            due_by_habit: habit_days.zip(last).map(|(habit, last)| after(last, habit)),
            minutes_a_week,
            overdue_days: Some(days_between(due, record.as_of)).filter(|days| *days > 0),
            done,
        });
    }
    let label = "Work a week";
    if inputs.is_empty() {
        figures.miss(&tank.key, "upkeep.minutes-per-week", label, "`takes: 5 min` of each task in upkeep/");
        return states;
    }
    let node = figures.graph.sum(label, "min", &inputs);
    let numbers = format!("{} tasks, {} min", inputs.len(), number(figures.graph.value(node)));
    let never: Vec<&str> = states
        .iter()
        .filter(|state| state.done.is_empty() && state.minutes_a_week.is_some())
        .map(|state| state.what.as_str())
        .collect();
    let mut built = figures
        .define(&tank.key, "upkeep.minutes-per-week", label)
        .method("Σ minutes · 7 ∕ interval", numbers, &[])
        .inputs(&inputs)
        .note("at the pace the keeper keeps: the median of the last five intervals of each task, the intended one where there are fewer than two")
        .decimals(0);
    if !never.is_empty() {
        built = built.note(format!("never logged and counted as meant: {}", never.join(", ")));
    }
    built.finish(node);
    states
}

/// From when on a task was meant to be done: as it says, else since the device or the tank began.
pub(super) fn meant_since(tank: &Tank, task: &Task) -> Date {
    let began = tank.started.value;
    task.since.as_ref().map_or_else(
        || {
            let device = task.device.as_ref().and_then(|device| tank.device(&device.value));
            device.map_or(began, |device| device.in_service.value.max(began))
        },
        |since| since.value,
    )
}

fn after(date: Date, days: f64) -> Date {
    date.saturating_add((days.round() as i64).days())
}

/// Median of the last intervals; one interval is no habit.
fn habit(done: &[Date]) -> Option<f64> {
    let mut intervals: Vec<i32> = done.windows(2).map(|pair| days_between(pair[0], pair[1])).collect();
    if intervals.len() < 2 {
        return None;
    }
    let mut last = intervals.split_off(intervals.len().saturating_sub(HABIT));
    last.sort_unstable();
    let middle = last.len() / 2;
    Some(if last.len() % 2 == 1 { f64::from(last[middle]) } else { f64::from(last[middle - 1] + last[middle]) / 2.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_habit_is_the_median_of_the_last_five() {
        let done = [1, 2, 12, 22, 31].map(|day| date(2025, 1, day)).to_vec();
        assert_eq!(habit(&done), Some(9.5));
        assert_eq!(habit(&done[..2]), None);
    }

    #[test]
    fn due_after_the_interval() {
        assert_eq!(after(date(2025, 1, 30), 3.0), date(2025, 2, 2));
    }
}
