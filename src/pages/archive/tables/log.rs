//! The log: entries, and what each of them holds.

use super::entries;
use crate::figures::Findings;
use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::entry::{Amount, Reading};
use crate::record::{Entry, Located, Record, Tank};
use crate::units::{Bound, Dimension, Quantity};

type Row<'a, T> = (&'a Tank, String, &'a Entry, T);

/// The rows of what entries hold several of.
fn each<'a, T>(all: &[(&'a Tank, String, &'a Entry)], of: impl Fn(&'a Entry) -> Vec<T>) -> Vec<Row<'a, T>> {
    all.iter()
        .flat_map(|(tank, slug, entry)| {
            of(entry).into_iter().map(move |one| (*tank, slug.clone(), *entry, one)).collect::<Vec<_>>()
        })
        .collect()
}

/// The columns that every table of the log begins with.
fn begin<'a, T>(
    name: &'static str,
    title: &'static str,
    about: &'static str,
    rows: &'a [Row<'a, T>],
) -> Columns<'a, Row<'a, T>> {
    Columns::of(name, title, about, rows)
        .need("tank", Text, "", "Key of the tank", |row| &row.0.key)
        .need("entry", Text, "", "Name of the entry in its tank", |row| &row.1)
        .need("when", Moment, "", "Moment of the entry; noon where only a date was written", |row| row.2.when)
}

fn end<'a, T>(columns: Columns<'a, Row<'a, T>>) -> TidyTable<'static> {
    columns.refers(&["tank", "entry"], "entries", &["tank", "entry"]).done()
}

pub fn tables(record: &Record, findings: &Findings) -> Vec<TidyTable<'static>> {
    let all = entries(record);
    vec![
        of_entries(&all),
        readings(&all, findings),
        amounts(&all, "doses", "Doses", "What was dosed, as given and not as planned.", |entry| &entry.doses),
        amounts(&all, "feeds", "Feeds", "What was fed, as given and not as planned.", |entry| &entry.feeds),
        amounts(&all, "harvests", "Harvests", "What was taken out of a colony: `of` is the colony.", |entry| {
            &entry.harvests
        }),
        water_changes(&all),
        quantities(&all, "top-offs", "Top-offs", "Pure water given for what evaporated.", "L", |entry| &entry.top_off),
        quantities(
            &all,
            "meter-readings",
            "Meter readings",
            "Running total of the tank's energy meter.",
            "kWh",
            |entry| &entry.meter,
        ),
        tasks_done(&all),
        sightings(&all),
        told(&all),
        flow_tests(&all),
        questions(&all),
        answers(&all),
        photos(&all),
    ]
}

fn of_entries(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let about = "One row for each entry of the log. A quiet entry says that somebody looked and there was nothing to report; no entry says nothing.";
    Columns::of("entries", "Entries", about, all)
        .key("tank", Text, "Key of the tank", |row| &row.0.key)
        .key("entry", Text, "Name of the entry: its date, its hour, and a number where two are of one moment", |row| {
            &row.1
        })
        .need(
            "when",
            Moment,
            "",
            "Moment on the wall clock of the tank's zone; noon where only a date was written",
            |row| row.2.when,
        )
        .need("has_time", YesNo, "", "Whether an hour was written", |row| row.2.has_time)
        .need("quiet", YesNo, "", "Looked, and nothing to report", |row| row.2.quiet)
        .column("note", Text, "", "The keeper's note", |row| row.2.note.as_ref())
        .column("correction", Text, "", "What a later look corrected", |row| row.2.correction.as_ref())
        .column("event", Text, "", "What happened", |row| row.2.event.as_ref().map(|event| event.what.value.clone()))
        .column("event_kind", Text, "", "Kind of what happened", |row| {
            row.2.event.as_ref().map(|event| event.kind.word())
        })
        .column("event_lasted", Number, "h", "How long it lasted", |row| {
            row.2.event.as_ref().and_then(|event| event.lasted_hours)
        })
        .column("event_until", Day, "", "Until when", |row| row.2.event.as_ref().and_then(|event| event.until))
        .source(|row| &row.2.place)
        .refers(&["tank"], "tanks", &["tank"])
        .done()
}

fn readings(all: &[(&Tank, String, &Entry)], findings: &Findings) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.readings.iter().collect::<Vec<&Reading>>());
    let point = |row: &Row<&Reading>| {
        let series = &findings.tanks.get(&row.0.key)?.water.get(&row.3.parameter)?.series;
        series.points.iter().find(|point| point.place == row.3.place).cloned()
    };
    let factor = |row: &Row<&Reading>| row.3.parameter.shown_factor();
    let about = "Every reading by hand, one row a quantity. `below` and `above` are ends of a kit's scale: such a reading is no value, and no zero.";
    let columns = begin("readings", "Readings", about, &rows)
        .need("quantity", Text, "", "What was read", |row| row.3.parameter.key())
        .need("bound", Text, "", "exactly, below, above", |row| match row.3.bound {
            Bound::Exactly => "exactly",
            Bound::Below => "below",
            Bound::Above => "above",
        })
        .column("value", Number, "as `unit`", "The reading in one unit a quantity", move |row| {
            point(row).map(|point| point.value * factor(row))
        })
        .need("unit", Text, "", "Unit of `value` and `u`", |row| row.3.parameter.unit())
        .column("u", Number, "as `unit`", "Its standard uncertainty", move |row| {
            point(row).map(|point| point.u * factor(row))
        })
        .column("u_assumed", YesNo, "", "Whether `u` is a habit of the trade and not the kit's own", move |row| {
            point(row).map(|point| point.u_assumed)
        })
        .need("typed", Text, "", "As the keeper wrote it", |row| row.3.quantity.as_typed().replace('\u{a0}', " "))
        .column("kit", Text, "", "Key of the kit", |row| row.3.kit.as_ref())
        .column("lot", Text, "", "Its lot", move |row| point(row).and_then(|point| point.lot))
        .source(|row| &row.3.place)
        .refers(&["kit"], "supplies", &["supply"]);
    end(columns)
}

fn amounts<'a>(
    all: &[(&'a Tank, String, &'a Entry)],
    name: &'static str,
    title: &'static str,
    about: &'static str,
    of: impl Fn(&'a Entry) -> &'a Vec<Amount>,
) -> TidyTable<'static> {
    let rows = each(all, |entry| of(entry).iter().collect::<Vec<&Amount>>());
    let columns = begin(name, title, about, &rows)
        .need("of", Text, "", "Key of what it was", |row| &row.3.of)
        .need("amount", Number, "as `unit`", "How much, in all", |row| row.3.amount.value.value)
        .need(
            "unit",
            Text,
            "",
            "L or g",
            |row| if row.3.amount.value.dimension == Dimension::Volume { "L" } else { "g" },
        )
        .need("over", Number, "d", "Days up to the entry over which it was given", |row| row.3.over_days)
        .source(|row| &row.3.amount.place);
    let columns = if name == "harvests" {
        columns.refers(&["of"], "colonies", &["colony"])
    } else {
        columns.refers(&["of"], "supplies", &["supply"])
    };
    end(columns)
}

fn water_changes(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.water_change.iter().collect());
    let columns = begin("water-changes", "Water changes", "Water taken out and replaced by new.", &rows)
        .need("volume", Number, "L", "How much", |row| row.3.volume.value.value)
        .column("salinity", Number, "practical salinity, or ratio for specific gravity", "Of the new water", |row| {
            row.3.salinity.as_ref().map(|salinity| salinity.value.value)
        })
        .column("temperature", Number, "°C", "Of the new water", |row| {
            row.3.temperature.as_ref().map(|temperature| temperature.value.value)
        })
        .source(|row| &row.3.volume.place);
    end(columns)
}

fn quantities<'a>(
    all: &[(&'a Tank, String, &'a Entry)],
    name: &'static str,
    title: &'static str,
    about: &'static str,
    unit: &'static str,
    of: impl Fn(&'a Entry) -> &'a Option<Located<Quantity>>,
) -> TidyTable<'static> {
    let rows = each(all, |entry| of(entry).iter().collect());
    let columns = begin(name, title, about, &rows)
        .need("value", Number, unit, "How much", |row| row.3.value.value)
        .source(|row| &row.3.place);
    end(columns)
}

fn tasks_done(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.done.iter().collect());
    let columns = begin("tasks-done", "Tasks done", "Every task at every time it was done.", &rows)
        .need("task", Text, "", "Key of the task; it may be in no plan", |row| row.3)
        .source(|row| &row.3.place);
    end(columns)
}

fn sightings(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.seen.iter().collect());
    let columns = begin("sightings", "Sightings", "What an entry saw of a colony or a device.", &rows)
        .need("of", Text, "", "Key of the colony or device", |row| &row.3.0)
        .need("what", Text, "", "What was seen", |row| &row.3.1)
        .source(|row| &row.3.0.place);
    end(columns)
}

fn told(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.changed.iter().collect());
    let columns = begin("changes-told", "Changes told", "What an entry says was changed.", &rows)
        .need("lane", Text, "", "lamp, flow, dose, food, arrivals, losses, work", |row| row.3.0.word())
        .need("what", Text, "", "In the keeper's words", |row| row.3.1)
        .source(|row| &row.3.1.place);
    end(columns)
}

fn flow_tests(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.flow_tests.iter().collect());
    let columns = begin("flow-tests", "Flow tests", "Flow of a pump as the keeper measured it.", &rows)
        .need("device", Text, "", "Key of the device", |row| &row.3.0)
        .need("flow", Number, "L/h", "Flow measured", |row| row.3.1.value)
        .source(|row| &row.3.0.place);
    end(columns)
}

fn questions(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.ask.iter().collect());
    let columns = begin("questions", "Questions", "What an entry left open.", &rows)
        .need("what", Text, "", "The question", |row| &row.3.what)
        .column("by", Day, "", "When to look again", |row| row.3.by.as_ref())
        .column("id", Text, "", "Short name of the question", |row| row.3.id.as_ref())
        .source(|row| &row.3.what.place);
    end(columns)
}

fn answers(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.answer.iter().collect());
    let columns = begin("answers", "Answers", "What a later entry answered.", &rows)
        .need("to", Text, "", "The question, or its short name", |row| &row.3.to)
        .need("say", Text, "", "The answer", |row| &row.3.say)
        .source(|row| &row.3.to.place);
    end(columns)
}

fn photos(all: &[(&Tank, String, &Entry)]) -> TidyTable<'static> {
    let rows = each(all, |entry| entry.photos.iter().collect());
    let columns = begin("entry-photos", "Photos of entries", "Photos that an entry shows.", &rows)
        .need("file", Text, "", "From the record's root", |row| &row.3.file)
        .column("caption", Text, "", "What it shows", |row| row.3.caption.as_ref())
        .column("of", Text, "", "Colonies or devices on it, parted by semicolons", |row| row.3.of.join("; "))
        .column("view", Text, "", "Where it was taken from", |row| row.3.view.as_ref())
        .column("lamp", Text, "", "State of the lamp", |row| row.3.lamp.as_ref())
        .source(|row| &row.3.file.place);
    end(columns)
}
