//! The log: entries, years, questions and losses.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::view::*;
use crate::pages::model::log::*;
use crate::pages::model::{self, *};
use crate::record::colony::EndKind;
use crate::record::entry::{Amount, EventKind};
use crate::record::{Entry, Parameter, bound_word, days_between, ion_value};
use crate::units::{Dimension, Quantity};

pub fn pages(view: &View) -> Vec<Page> {
    let mut pages = Vec::new();
    let questions = questions(view);
    let count = view.tank.entries.len();
    let mut years: BTreeMap<i16, Vec<usize>> = BTreeMap::new();
    for (index, entry) in view.tank.entries.iter().enumerate() {
        years.entry(entry.date().year()).or_default().push(index);
        pages.push(entry_page(view, index, entry, &questions));
    }
    let order: Vec<i16> = years.keys().copied().collect();
    for (place, year) in order.iter().enumerate() {
        let link = |year: i16| PlaceLink::new(year.to_string(), view.href(&format!("log/{year}.html")));
        let body = YearPage {
            year: year.to_string(),
            standfirst: format!("{} entries.", years[year].len()),
            months: months(view, &years[year]),
            chart: None,
            previous: place.checked_sub(1).map(|before| link(order[before])),
            next: order.get(place + 1).map(|year| link(*year)),
        };
        pages.push(Page::new(
            view.href(&format!("log/{year}.html")),
            "log",
            format!("Log of {year}"),
            format!("What was read, done and seen in {year}."),
            PageBody::Year(Box::new(body)),
        ));
    }
    let (answered, open): (Vec<_>, Vec<_>) = questions.into_iter().partition(|question| question.answer.is_some());
    let body = LogPage {
        standfirst: format!(
            "{count} entries since {}. A day without an entry is not a day without an event; a quiet entry says that somebody looked.",
            date_text(view.tank.started.value).text
        ),
        years: order
            .iter()
            .rev()
            .map(|year| YearCard {
                year: year.to_string(),
                href: view.href(&format!("log/{year}.html")),
                count: format!("{} entries", years[year].len()),
                summary: year_summary(view, &years[year]),
            })
            .collect(),
        newest: (0..count).rev().take(8).map(|index| view.entry_card(index)).collect(),
        open_questions: open,
        answered_questions: answered,
        losses: losses(view),
    };
    pages.push(Page::new(
        view.href("log/index.html"),
        "log",
        "Log",
        "Entries by year, questions with their answers, and losses with their causes.",
        PageBody::Log(Box::new(body)),
    ));
    pages
}

fn months(view: &View, indices: &[usize]) -> Vec<LogMonth> {
    let mut months: Vec<LogMonth> = Vec::new();
    for &index in indices.iter().rev() {
        let title = view.tank.entries[index].when.strftime("%B").to_string();
        if months.last().is_none_or(|month| month.title != title) {
            months.push(LogMonth { id: title.to_lowercase(), title, entries: Vec::new() });
        }
        let card = view.entry_card(index);
        months.last_mut().expect("a month was just pushed").entries.push(card);
    }
    months
}

fn year_summary(view: &View, indices: &[usize]) -> String {
    let entries = || indices.iter().map(|index| &view.tank.entries[*index]);
    let readings: usize = entries().map(|entry| entry.readings.len()).sum();
    let changed: f64 =
        entries().filter_map(|entry| entry.water_change.as_ref()).map(|change| change.volume.value.value).sum();
    let quiet = entries().filter(|entry| entry.quiet).count();
    let mut parts = vec![format!("{readings} readings")];
    if changed > 0.0 {
        let shift = view.shift("L");
        parts.push(format!("{} {} of water changed", fixed(shift.value(changed), 0), shift.unit));
    }
    if quiet > 0 {
        parts.push(format!("{quiet} quiet entries"));
    }
    sentence(&parts.join(", "))
}

fn amount_facts(view: &View, label: &str, amounts: &[Amount]) -> Option<Fact> {
    let each = amounts.iter().map(|amount| {
        let key = &amount.of.value;
        let name = view
            .record
            .supplies
            .get(key)
            .map(|supply| supply.name.value.clone())
            .or_else(|| view.record.colonies.get(key).map(|colony| colony.name.value.clone()))
            .unwrap_or_else(|| key.replace('-', " "));
        let over =
            if amount.over_days > 1.0 { format!(", over {} days", fixed(amount.over_days, 0)) } else { String::new() };
        vec![Run::text(format!("{name}, {}{over}", view.typed(&amount.amount.value)))]
    });
    Fact::of_each(label, each)
}

pub fn entry_facts(view: &View, entry: &Entry) -> Vec<Fact> {
    let mut facts = Vec::new();
    for reading in &entry.readings {
        let (number, unit) = reading_text(view, &reading.quantity, reading.parameter);
        let shown = Shown::new(format!("{}{number}", bound_word(reading.bound)), unit, Basis::Measured);
        let shown = shown.linked(view.href(&format!("water/{}.html", reading.parameter.key())));
        facts.push(Fact::new(reading.parameter.shown(), vec![Run::value(shown)]));
    }
    if let Some(top_off) = &entry.top_off {
        facts.push(Fact::new("Topped off", vec![Run::text(view.typed(&top_off.value))]));
    }
    if let Some(change) = &entry.water_change {
        facts.push(Fact::new("Water changed", vec![Run::text(view.typed(&change.volume.value))]));
    }
    facts.extend(amount_facts(view, "Dosed", &entry.doses));
    facts.extend(amount_facts(view, "Fed", &entry.feeds));
    facts.extend(amount_facts(view, "Harvested", &entry.harvests));
    if let Some(meter) = &entry.meter {
        facts.push(Fact::new("Meter", vec![Run::text(view.typed(&meter.value))]));
    }
    for (device, flow) in &entry.flow_tests {
        let name = view.tank.device(&device.value).map_or(device.value.as_str(), |device| &device.name.value);
        facts.push(Fact::new(format!("Flow test, {name}"), vec![Run::text(view.typed(flow))]));
    }
    if !entry.done.is_empty() {
        let done: Vec<String> = entry.done.iter().map(|done| done.value.replace('-', " ")).collect();
        facts.push(Fact::new("Done", vec![Run::text(done.join(", "))]));
    }
    facts
}

/// Number and unit of a reading: as typed, a temperature in the degrees of the edition.
fn reading_text(view: &View, quantity: &Quantity, parameter: Parameter) -> (String, String) {
    match quantity.unit.system() {
        Some(own) if own != view.record.units => {
            let scale = super::water::scale(view, parameter);
            (super::water::value_text(view, parameter, quantity.value), scale.unit)
        }
        _ => (reading_number(quantity, parameter.decimals()), unit_of(quantity, parameter)),
    }
}

/// Readings stand as they were typed; those in the parameter's usual unit lose nothing.
fn reading_number(quantity: &Quantity, decimals: u8) -> String {
    fixed(quantity.typed, usize::from(quantity.decimals.max(u8::from(decimals == 0 && quantity.decimals > 0))))
}

fn unit_of(quantity: &Quantity, parameter: Parameter) -> String {
    if parameter == Parameter::Ph {
        return String::new();
    }
    match (quantity.dimension, quantity.species) {
        (Dimension::Concentration, Some(species)) if !quantity.unit.symbol.contains(species.symbol()) => {
            format!("{} {}", quantity.unit.symbol, species.symbol())
        }
        _ => quantity.unit.symbol.to_string(),
    }
}

fn entry_page(view: &View, index: usize, entry: &Entry, questions: &[QuestionRow]) -> Page {
    let date = moment_text(entry.when, entry.has_time);
    let age = view.tank.age_days(entry.date());
    let link = |index: usize| {
        let other = &view.tank.entries[index];
        PlaceLink::new(date_text(other.date()).text, view.entry_href(index))
    };
    let readings = (!entry.readings.is_empty()).then(|| readings_table(view, entry));
    let facts = entry_facts(view, entry).into_iter().skip(entry.readings.len()).collect();
    let mut events = Vec::new();
    if let Some(event) = &entry.event {
        let lasted = event.lasted_hours.map(|hours| format!(", lasted {}", hours_text(hours))).unwrap_or_default();
        events.push(DatedText {
            date: date_text(entry.date()),
            text: format!("{}{lasted}", sentence_case(&event.what.value)),
            href: None,
        });
    }
    for (lane, text) in &entry.changed {
        events.push(DatedText {
            date: date_text(entry.date()),
            text: format!("Changed, {}: {}", lane.word(), text.value),
            href: None,
        });
    }
    let seen = entry
        .seen
        .iter()
        .map(|(name, text)| {
            let label = view
                .record
                .colonies
                .get(&name.value)
                .map(|colony| colony.name.value.clone())
                .or_else(|| view.tank.device(&name.value).map(|device| device.name.value.clone()))
                .unwrap_or_else(|| name.value.replace('-', " "));
            let href = view.record.colonies.get(&name.value).map(|colony| format!("colony/{}.html", colony.key));
            let run = Run { text: text.clone(), href, ..Run::default() };
            Fact::new(label, vec![run])
        })
        .collect();
    let here = view.entry_href(index);
    let wants_before = entry.event.is_some() || !entry.changed.is_empty();
    let mut cautions = Vec::new();
    if !entry.done.is_empty() || entry.water_change.is_some() {
        cautions.extend(view.cautions_of("log"));
        cautions.truncate(2);
    }
    let body = EntryPage {
        date: date.clone(),
        time: entry.has_time.then(|| time_text(entry.when)),
        age: match age {
            0 => "the day of the first fill".into(),
            1 => "a day after the first fill".into(),
            age if age > 0 => format!("{age} days after the first fill"),
            age => format!("{} days before the first fill", -age),
        },
        heading: heading(entry),
        note: entry.note.as_ref().map(|note| paragraphs(&note.value)).unwrap_or_default(),
        quiet: entry.quiet,
        readings,
        facts,
        events,
        seen,
        photos: entry.photos.iter().map(|photo| photo_or_placeholder(view, photo)).collect(),
        questions: questions.iter().filter(|question| question.asked_href.as_deref() == Some(&here)).cloned().collect(),
        answers: questions
            .iter()
            .filter(|question| question.answer.as_ref().is_some_and(|answer| answer.href.as_deref() == Some(&here)))
            .cloned()
            .collect(),
        corrections: entry.correction.iter().map(|correction| correction.value.clone()).collect(),
        cautions,
        before: wants_before.then(|| {
            super::around::before(
                view,
                &view.tank.key,
                entry.date(),
                &format!("The six weeks before {}", date_text(entry.date()).text),
            )
        }),
        source: Some(view.place_link(&entry.place)),
        previous: index.checked_sub(1).map(link),
        next: (index + 1 < view.tank.entries.len()).then(|| link(index + 1)),
    };
    let title = format!("{}, {}", body.heading, date_text(entry.date()).text);
    let description = entry.note.as_ref().map_or_else(|| title.clone(), |note| note.value.chars().take(150).collect());
    let mut page = Page::new(here, "log", title, description, PageBody::Entry(Box::new(body)));
    let year = entry.date().year();
    page.trail = vec![
        PlaceLink::new("Log", view.href("log/index.html")),
        PlaceLink::new(year.to_string(), view.href(&format!("log/{year}.html"))),
    ];
    page
}

fn photo_or_placeholder(view: &View, used: &crate::record::entry::PhotoUse) -> Photo {
    let mut shown = view.photo(&used.file.value).unwrap_or_else(|| Photo {
        alt: format!("{} is missing", used.file.value),
        caption: used.caption.clone().unwrap_or_default(),
        missing: true,
        width: 800,
        height: 600,
        ..Photo::default()
    });
    if let Some(caption) = &used.caption {
        shown.caption.clone_from(caption);
    }
    if used.lamp.is_some() {
        shown.lamp.clone_from(&used.lamp);
    }
    shown
}

fn readings_table(view: &View, entry: &Entry) -> Table {
    let rows = entry
        .readings
        .iter()
        .map(|reading| {
            let state = view.of.water.get(&reading.parameter);
            let point = state.and_then(|state| state.series.points.iter().find(|point| point.place == reading.place));
            let kit = point.and_then(|point| point.kit.clone()).map(|key| {
                let name = view.record.supplies.get(&key).map_or(key.clone(), |supply| supply.name.value.clone());
                match point.and_then(|point| point.lot.clone()) {
                    Some(lot) => format!("{name}, lot {lot}"),
                    None => name,
                }
            });
            let own = point.map_or_else(|| ion_value(&reading.quantity, None), |point| point.value);
            let decimals = usize::from(reading.parameter.decimals());
            let scale = super::water::scale(view, reading.parameter);
            let (number, unit) = (fixed(scale.value(own), decimals), &scale.unit);
            let spread = point.map_or(String::new(), |point| {
                let spread = fixed(scale.spread(point.u), decimals.max(1));
                if point.u_assumed {
                    format!("±\u{a0}{spread}, usual for such a kit")
                } else {
                    format!("±\u{a0}{spread}")
                }
            });
            let hour = if point.is_some_and(|point| point.off_hour) { "off the usual hour" } else { "" };
            vec![
                Cell::header(reading.parameter.shown())
                    .linked(view.href(&format!("water/{}.html", reading.parameter.key()))),
                Cell::number(format!("{}{number}\u{a0}{unit}", bound_word(reading.bound))).known(Basis::Measured),
                Cell::text(spread),
                Cell::text(kit.unwrap_or_else(|| "not recorded".into())),
                Cell::text(hour),
            ]
        })
        .collect();
    Table {
        caption: "Readings of this entry".into(),
        head: vec![
            HeadCell::text("Quantity"),
            HeadCell::number("Reading"),
            HeadCell::text("Standard uncertainty"),
            HeadCell::text("Kit"),
            HeadCell::text("Remark"),
        ],
        rows,
    }
    .without_empty_columns()
}

pub fn paragraphs(text: &str) -> Vec<String> {
    text.split("\n\n")
        .map(|part| part.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|part| !part.is_empty())
        .collect()
}

fn hours_text(hours: f64) -> String {
    let (whole, minutes) = (hours.trunc(), (hours.fract() * 60.0).round());
    match (whole as i64, minutes as i64) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) if hours >= 48 => format!("{} days", hours / 24),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// All questions of the tank, open ones by their date, then the answered, newest first.
pub fn questions(view: &View) -> Vec<QuestionRow> {
    let as_of = view.record.as_of;
    let mut rows = Vec::new();
    for (index, entry) in view.tank.entries.iter().enumerate() {
        let Some(ask) = &entry.ask else { continue };
        let answer = view.tank.entries.iter().enumerate().skip(index).find_map(|(later, entry)| {
            let answer = entry.answer.as_ref().filter(|answer| answer.is_to(ask))?;
            let shown = model::Answer {
                text: answer.say.clone(),
                on: date_text(entry.date()),
                href: Some(view.entry_href(later)),
            };
            Some((shown, entry.date()))
        });
        let by = ask.by.as_ref().map(|by| by.value);
        let overdue = answer.is_none() && by.is_some_and(|by| by < as_of);
        rows.push(QuestionRow {
            id: format!("question-{}", view.slugs[index]),
            question: ask.what.value.clone(),
            asked: date_text(entry.date()),
            asked_href: Some(view.entry_href(index)),
            look_again: by.map(date_text).unwrap_or_default(),
            when: match by {
                _ if answer.is_some() => kept_words(by, answer.as_ref().map_or(as_of, |(_, on)| *on)),
                None => "no date to look again".into(),
                Some(by) if by < as_of => format!("was due {}", ago(by, as_of)),
                Some(by) if by == as_of => "due that day".into(),
                Some(by) => ago(by, as_of),
            },
            overdue,
            answer: answer.map(|(shown, _)| shown),
        });
    }
    rows.sort_by_key(|row| (row.answer.is_some(), row.look_again.iso.clone(), row.asked.iso.clone()));
    rows
}

/// Colonies that were lost in this tank, newest first.
pub fn lost_colonies(view: &View) -> Vec<LossRow> {
    let mut rows: Vec<LossRow> = view
        .record
        .colonies
        .values()
        .filter_map(|colony| {
            let ended = colony.ended_in(&view.tank.key).filter(|ended| ended.how == EndKind::Lost)?;
            Some(LossRow {
                date: date_text(ended.on),
                what: vec![Run::link(colony.name.value.clone(), super::colony::href(&colony.key))],
                kind: "colony lost".into(),
                cause: ended.cause.clone().unwrap_or_else(|| "not known".into()),
                grade: ended.grade.word().into(),
            })
        })
        .collect();
    rows.sort_by(|a, b| b.date.iso.cmp(&a.date.iso));
    rows
}

/// Colonies that were lost, and faults and deaths that entries tell of, newest first.
pub fn losses(view: &View) -> Vec<LossRow> {
    let mut rows = lost_colonies(view);
    let lost: Vec<String> = rows.iter().map(|row| row.date.iso.clone()).collect();
    for (index, entry) in view.tank.entries.iter().enumerate() {
        let Some(event) = &entry.event else { continue };
        let date = date_text(entry.date());
        let is_row = match event.kind {
            // A death on the day of a loss is that loss.
            EventKind::Death => !lost.contains(&date.iso),
            kind => is_fault(kind),
        };
        if !is_row {
            continue;
        }
        let lasted = event.lasted_hours.map(|hours| format!(", lasted {}", hours_text(hours))).unwrap_or_default();
        let what = format!("{}{lasted}", sentence_case(&event.what.value));
        rows.push(LossRow {
            date,
            what: vec![Run::link(what, view.entry_href(index))],
            kind: event.kind.word().replace('-', " "),
            cause: "in the entry".into(),
            grade: "not graded".into(),
        });
    }
    rows.sort_by(|a, b| b.date.iso.cmp(&a.date.iso));
    rows
}

/// Whether gear, power or water failed.
pub fn is_fault(kind: EventKind) -> bool {
    use EventKind::*;
    matches!(kind, PowerCut | HeaterFault | Leak | PumpFault | LampFault)
}

/// How an answer kept its date: `13 days before the date`.
fn kept_words(by: Option<Date>, on: Date) -> String {
    match by.map(|by| days_between(on, by)) {
        None => "no date was promised".into(),
        Some(0) => "on the day that was promised".into(),
        Some(days) if days > 0 => {
            format!("{} before the day that was promised", super::water::counted(days as usize, "day", "days"))
        }
        Some(days) => {
            format!("{} after the day that was promised", super::water::counted(-days as usize, "day", "days"))
        }
    }
}
