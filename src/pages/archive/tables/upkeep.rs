//! Tasks, plans of feeding and dosing, lifetimes of parts.

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::{Record, Tank};
use crate::units::Dimension;

pub fn tables(record: &Record) -> Vec<TidyTable<'static>> {
    let tanks: Vec<&Tank> = record.tanks.values().collect();
    vec![tasks(&tanks), plans(&tanks), lifetimes(&tanks)]
}

fn tasks(tanks: &[&Tank]) -> TidyTable<'static> {
    let rows: Vec<_> =
        tanks.iter().flat_map(|tank| tank.upkeep.tasks.values().map(move |task| (*tank, task))).collect();
    Columns::of("tasks", "Tasks", "Recurring work as it is meant to be done. What was done is in `tasks-done`.", &rows)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("task", Text, "Key of the task", |row| &row.1.key)
        .need("what", Text, "", "What is done", |row| &row.1.what)
        .need("every", Number, "d", "Interval meant", |row| row.1.every.value.days())
        .column("takes", Number, "min", "How long it takes", |row| row.1.takes.as_ref())
        .need("sitter", YesNo, "", "Whether somebody who minds the tank does it too", |row| row.1.sitter)
        .need("hands_in_water", Text, "", "yes, no, unknown", |row| row.1.hands_in_water)
        .need("lowers_water", Text, "", "yes, no, unknown", |row| row.1.lowers_water)
        .column("since", Day, "", "From when on", |row| row.1.since.as_ref())
        .column("until", Day, "", "Until when", |row| row.1.until.as_ref())
        .column("device", Text, "", "Key of the device it is about", |row| row.1.device.as_ref())
        .column("why", Text, "", "Why, and what skipping it costs", |row| row.1.why.as_ref())
        .column("how", Text, "", "Step by step", |row| row.1.how.as_ref())
        .column("photo", Text, "", "Photo that shows it", |row| row.1.photo.as_ref())
        .source(|row| &row.1.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn plans(tanks: &[&Tank]) -> TidyTable<'static> {
    let mut rows = Vec::new();
    for tank in tanks {
        for (kind, plans) in [("feeding", &tank.upkeep.feeding), ("dosing", &tank.upkeep.dosing)] {
            rows.extend(plans.iter().map(|plan| (*tank, kind, plan)));
        }
    }
    Columns::of(
        "plans",
        "Plans",
        "What was meant to be fed and dosed. What was given is in `feeds` and `doses`.",
        &rows,
    )
    .need("tank", Text, "", "Key of the tank", |row| &row.0.key)
    .need("kind", Text, "", "feeding or dosing", |row| row.1)
    .column("since", Day, "", "From when on", |row| row.2.since)
    .need("of", Text, "", "Key of the supply", |row| &row.2.of)
    .need("amount", Number, "as `unit`", "Each time", |row| row.2.amount.value.value)
    .need("unit", Text, "", "L or g", |row| if row.2.amount.value.dimension == Dimension::Volume { "L" } else { "g" })
    .need("every", Number, "d", "Interval", |row| row.2.every_days)
    .column("at", Text, "", "Hour of the day", |row| row.2.at.map(|at| at.strftime("%H:%M").to_string()))
    .column("by", Text, "", "Key of the device that gives it", |row| row.2.by.as_ref())
    .source(|row| &row.2.place)
    .refers(&["tank"], "tanks", &["tank"])
    .refers(&["of"], "supplies", &["supply"])
    .done()
}

fn lifetimes(tanks: &[&Tank]) -> TidyTable<'static> {
    let rows: Vec<_> =
        tanks.iter().flat_map(|tank| tank.upkeep.lifetimes.iter().map(move |one| (*tank, one))).collect();
    Columns::of("lifetimes", "Lifetimes", "After how long a part is to be replaced.", &rows)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("device", Text, "Key of the device", |row| row.1.0)
        .need("lifetime", Number, "d", "Lifetime meant", |row| row.1.1.value.days())
        .source(|row| &row.1.1.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}
