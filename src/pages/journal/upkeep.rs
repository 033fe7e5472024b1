//! Upkeep: what is due by intent and by habit, and what was done.

use std::collections::BTreeMap;

use super::gear::device_link;
use super::view::*;
use crate::pages::model::upkeep::*;
use crate::pages::model::*;
use crate::record::upkeep::{Plan, in_force};
use crate::record::{YesNo, days_between};
use crate::units::CalendarSpan;

pub fn page(view: &View) -> Page {
    let as_of = view.record.as_of;
    let mut due: Vec<(i32, DueRow)> = view.of.tasks.iter().map(|task| due_row(view, task)).collect();
    due.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.task.cmp(&b.1.task)));
    let overdue = due.iter().filter(|(_, row)| row.overdue).count();
    let former = view
        .tank
        .upkeep
        .tasks
        .values()
        .filter(|task| task.until.as_ref().is_some_and(|until| until.value < as_of))
        .map(|task| DueRow {
            id: format!("task-{}", task.key),
            task: task.what.clone(),
            every: task.every.value.every(),
            standing: format!(
                "ended {}",
                task.until.as_ref().map(|until| date_text(until.value).text).unwrap_or_default()
            ),
            reason: task.why.clone(),
            ..DueRow::default()
        })
        .collect();
    let body = UpkeepPage {
        standfirst: format!(
            "{} tasks; {} as of {}.",
            view.of.tasks.len(),
            if overdue == 0 { "none overdue".into() } else { format!("{overdue} overdue") },
            date_text(as_of).text
        ),
        minutes_per_week: view.shown("upkeep.minutes-per-week"),
        due_note: "Intent: as the keeper set out to do it. Habit: the median of the last five intervals.".into(),
        due: due.into_iter().map(|(_, row)| row).collect(),
        former,
        plans: plans(view),
        lifetimes: lifetimes(view),
        history: history(view),
        history_chart: None,
        questions: super::log::questions(view).into_iter().filter(|question| question.answer.is_none()).collect(),
        figures: view.rows("upkeep."),
        cautions: view.cautions_of("upkeep"),
    };
    Page::new(
        view.href("upkeep.html"),
        "upkeep",
        "Upkeep",
        "What is due, how long it takes and when it was last done.",
        PageBody::Upkeep(Box::new(body)),
    )
}

/// Of a number of days that nobody wrote.
fn every(days: f64) -> String {
    CalendarSpan::of_days(days).every()
}

/// The row, and the days past due it is sorted by.
fn due_row(view: &View, task: &crate::figures::upkeep::TaskState) -> (i32, DueRow) {
    let as_of = view.record.as_of;
    let definition = &view.tank.upkeep.tasks[&task.key];
    let past = days_between(task.due, as_of);
    let standing = match past {
        past if past > 1 => format!("{past} days overdue"),
        1 => "a day overdue".into(),
        0 => "due".into(),
        _ => ago(task.due, as_of),
    };
    let mut caution = Vec::new();
    if definition.hands_in_water == YesNo::Yes {
        caution.push("Hands in the water: switch off and unplug what is in or over it first.");
    }
    if definition.lowers_water == YesNo::Yes {
        caution.push("Lowers the water: unplug the heater and wait 15 minutes first.");
    }
    let row = DueRow {
        id: format!("task-{}", task.key),
        task: sentence_case(&task.what),
        device: definition.device.as_ref().map(|device| device_link(view, &device.value)),
        last_done: task.done.last().copied().map(date_text),
        last_ago: task.done.last().map_or("never logged".into(), |last| ago(*last, as_of)),
        every: task.every.every(),
        due_intent: Some(date_text(task.due)),
        habit: task.habit_days.map_or("no habit yet".into(), |days| format!("{}, median of the last 5", every(days))),
        due_habit: task.due_by_habit.map(date_text),
        minutes: definition.takes.as_ref().map(|takes| Shown::new(fixed(takes.value, 0), "min", Basis::Stated)),
        standing,
        overdue: past > 0,
        reason: definition.why.clone(),
        caution: (!caution.is_empty()).then(|| caution.join(" ")),
    };
    (past, row)
}

/// `14 mL every day`
pub fn portion(plan: &Plan) -> String {
    let (amount, unit) = plan.measured_out();
    format!("{}\u{a0}{unit} {}", crate::figures::number(amount), every(plan.every_days))
}

/// What is dosed and fed by the plans in force, a day.
pub fn given_a_day(view: &View) -> BTreeMap<String, Shown> {
    let as_of = view.record.as_of;
    let upkeep = &view.tank.upkeep;
    let of = |label: &str, plans: &[Plan]| -> Vec<(String, Shown)> {
        let each = in_force(plans, as_of).into_iter().map(|(supply, plan)| {
            let name = view.record.supplies.get(supply).map_or(supply, |supply| supply.name.value.as_str());
            let (amount, unit) = plan.measured_out();
            let number = crate::figures::number(amount / plan.every_days.max(1e-3));
            // A plan is neither measured nor worked out.
            let shown = Shown { number, unit: format!("{unit} a day"), ..Shown::default() };
            (format!("{label}: {}", lower(name)), shown)
        });
        each.collect()
    };
    of("Dosed by plan", &upkeep.dosing).into_iter().chain(of("Fed by plan", &upkeep.feeding)).collect()
}

fn plans(view: &View) -> Vec<Fact> {
    let as_of = view.record.as_of;
    let mut facts = Vec::new();
    for (label, plans) in [("Fed by plan", &view.tank.upkeep.feeding), ("Dosed by plan", &view.tank.upkeep.dosing)] {
        let each = in_force(plans, as_of).into_iter().map(|(supply, plan)| {
            let name = view.record.supplies.get(supply).map_or(supply, |supply| supply.name.value.as_str());
            let at = plan.at.map_or(String::new(), |at| format!(" at {}", at.strftime("%H:%M")));
            let since = plan.since.map_or(String::new(), |since| format!(", since {}", date_text(since).text));
            vec![Run::text(format!("{name}, {}{at}{since}", portion(plan)))]
        });
        facts.extend(Fact::of_each(label, each));
    }
    facts
}

fn lifetimes(view: &View) -> Option<Table> {
    let as_of = view.record.as_of;
    let mut rows = Vec::new();
    for (device, lifetime) in &view.tank.upkeep.lifetimes {
        let Some(found) = view.tank.device(device).filter(|found| found.in_service_on(as_of)) else {
            continue;
        };
        let start = found.in_service.value;
        let end = lifetime.value.after(start);
        let link = device_link(view, device);
        rows.push((
            end,
            vec![
                Cell { href: link.href, ..Cell::header(link.text) },
                Cell::date(date_text(start).text),
                Cell::text(lifetime.value.words()),
                Cell::date(date_text(end).text),
                Cell::text(ago(end, as_of)),
            ],
        ));
    }
    for supply in view.record.supplies.values() {
        let expires =
            supply.lot_on(as_of).and_then(|lot| lot.expires).or(supply.expires.as_ref().map(|expires| expires.value));
        if let Some(end) = expires
            && supply.until.as_ref().is_none_or(|until| until.value >= as_of)
        {
            let start = supply.lot_on(as_of).map_or("not recorded".into(), |lot| date_text(lot.since).text);
            rows.push((
                end,
                vec![
                    Cell::header(supply.name.value.clone()),
                    Cell::date(start),
                    Cell::text("as printed on it"),
                    Cell::date(date_text(end).text),
                    Cell::text(ago(end, as_of)),
                ],
            ));
        }
    }
    rows.sort_by_key(|row| row.0);
    (!rows.is_empty()).then(|| Table {
        caption: "Replace by".into(),
        head: ["Part or supply", "In use since", "Lasts", "Replace by", "That is"].map(HeadCell::text).to_vec(),
        rows: rows.into_iter().map(|(_, row)| row).collect(),
    })
}

fn history(view: &View) -> Vec<UpkeepMonth> {
    let mut months: Vec<UpkeepMonth> = Vec::new();
    for (index, entry) in view.tank.entries.iter().enumerate().rev() {
        // By their short names: a task in full may hold commas of its own.
        let mut done: Vec<String> = entry.done.iter().map(|done| done.value.replace('-', " ")).collect();
        if let Some(change) = &entry.water_change {
            done.push(format!("water change, {}", view.typed(&change.volume.value)));
        }
        if done.is_empty() {
            continue;
        }
        let title = month_text(entry.date());
        if months.last().is_none_or(|month| month.title != title) {
            months.push(UpkeepMonth { title, done: Vec::new() });
        }
        let text = sentence_case(&list(&done, 12));
        let row = DatedText { date: date_text(entry.date()), text, href: Some(view.entry_href(index)) };
        months.last_mut().expect("a month was just pushed").done.push(row);
    }
    months
}
