//! The keeper's own part: what stands against leaving, what is done before, what waits, and where the numbers come from.

use super::Desk;
use super::visit;
use super::words::{escape, without_tags};
use crate::diagnostic::Place;
use crate::figures::stay::warmth;
use crate::figures::stay::{Fact, MARGIN, NORMAL_DAYS, Need};
use crate::figures::{Figure, Input};
use crate::pages::sitter::model::*;
use crate::record::Parameter;

pub fn fill(desk: &Desk, sheet: &mut SitterSheet) {
    let words = desk.words();
    sheet.needs = groups(desk);
    let eve = desk.stay.period.from.saturating_sub(jiff::Span::new().days(1));
    sheet.before_note = words.fill("do_before_note", &[("date", &desk.reader.date(eve))]);
    sheet.before = before(desk);
    sheet.waits = waits(desk);
    sheet.workings = workings(desk);
}

fn groups(desk: &Desk) -> Vec<SitterNeeds> {
    let words = desk.words();
    let mut groups: Vec<SitterNeeds> = Vec::new();
    for need in &desk.stay.needs {
        let head = if need.blocker {
            words.get("blockers").to_string()
        } else {
            words.get(&format!("days_before_{}", need.days)).to_string()
        };
        if groups.last().is_none_or(|group| group.head != head) {
            groups.push(SitterNeeds { head, blocker: need.blocker, lines: Vec::new() });
        }
        let group = groups.last_mut().expect("a group was just pushed");
        let when = words.get(&format!("days_before_{}", need.days));
        let line = need_line(desk, need);
        group.lines.push(if need.blocker { format!("<b>{when}:</b> {line}") } else { line });
    }
    groups
}

fn need_line(desk: &Desk, need: &Need) -> String {
    let (words, reader) = (desk.words(), &desk.reader);
    let facts: Vec<(&str, String)> = need
        .facts
        .iter()
        .map(|(name, fact)| {
            let text = match fact {
                Fact::Text(text) => desk.said(text),
                Fact::Date(date) => reader.date(*date),
                Fact::Number(number) => number.to_string(),
                Fact::Litres(litres) => reader.water(*litres),
                Fact::Salinity(ppt) => reader.salinity(*ppt),
                Fact::Temperature(celsius) => reader.temperature(*celsius),
                Fact::Differences(low, high) => reader.difference_range(*low, *high),
                Fact::Amount(value, unit) => reader.amount(*value, unit),
            };
            (*name, text)
        })
        .collect();
    let blanks: Vec<(&str, &dyn super::words::Blank)> =
        facts.iter().map(|(name, text)| (*name, text as &dyn super::words::Blank)).collect();
    let line = words.fill(&format!("need_{}", need.key), &blanks);
    match &need.place {
        Some(place) => format!("{line} {}", words.fill("need_place", &[("place", &line_of(place))])),
        None => line,
    }
}

fn line_of(place: &Place) -> String {
    format!("{}:{}", place.file, place.line)
}

/// For a terminal.
pub fn lines(desk: &Desk) -> Vec<String> {
    let words = desk.words();
    let mut lines = Vec::new();
    for group in groups(desk) {
        lines.push(format!("{}:", group.head));
        lines.extend(group.lines.iter().map(|line| format!("  - {}", without_tags(line))));
    }
    if !desk.stay.needs.iter().any(|need| need.blocker) {
        lines.insert(0, words.get("blockers_none").to_string());
    }
    lines
}

fn before(desk: &Desk) -> Vec<String> {
    let (words, reader) = (desk.words(), &desk.reader);
    let tasks = desk.stay.tasks.before.iter();
    tasks
        .map(|before| {
            let what = desk.said(&desk.tank.upkeep.tasks[&before.task].what);
            let due = match before.last {
                Some(_) => words.fill("before_due", &[("date", &reader.date(before.due))]),
                None => words.get("before_never").into(),
            };
            let then = words.get(if before.holds { "before_holds" } else { "before_again" });
            let what = match desk.stay.water.jug_line().filter(|_| visit::is_the_jug(desk, &before.task)) {
                Some(line) => words.fill("before_jug", &[("task", &what), ("line", &reader.water(line))]),
                None => escape(&what),
            };
            format!("{what}: {due}; {then}")
        })
        .collect()
}

fn waits(desk: &Desk) -> Vec<String> {
    let (words, reader) = (desk.words(), &desk.reader);
    let tasks = desk.stay.tasks.waits.iter();
    tasks
        .map(|wait| {
            let task = desk.said(&desk.tank.upkeep.tasks[&wait.task].what);
            let date = reader.date(wait.due);
            match wait.hands {
                true => words.fill("wait_hands", &[("task", &task), ("date", &date)]),
                false => {
                    let late = reader.days(wait.late);
                    words.fill("wait_line", &[("task", &task), ("date", &date), ("days", &late)])
                }
            }
        })
        .collect()
}

/// Every amount of the sheet, with what it was worked out from.
fn workings(desk: &Desk) -> Vec<SitterWorking> {
    let words = desk.words();
    let mut rows = vec![normal_row(desk)];
    rows.extend(limit_rows(desk));
    for (key, label) in [
        ("stay.evaporation", "fig_evaporation"),
        ("stay.season-evaporation", "fig_season"),
        ("stay.water-per-visit", "fig_water_visit"),
        ("stay.water-total", "fig_water_total"),
        ("stay.reservoir-days", "fig_reservoir"),
        ("stay.most-fresh-water", "fig_most"),
        ("stay.largest-harmless", "fig_harmless"),
        ("topup.largest-harmless", "fig_harmless"),
        ("topup.full-dump-salinity", "fig_dump"),
        ("topup.salinity-per-day", "fig_rise"),
        ("heat.power-cut-hours", "fig_power_hours"),
        (warmth::CUT, "fig_cut"),
        (warmth::UNHEATED, "fig_unheated"),
        (warmth::STRANDED, "fig_stranded"),
        ("heat.stuck-heater-temperature", "fig_stuck"),
        (warmth::STUCK, "fig_stuck_hours"),
        ("heat.hottest-day", "fig_hottest"),
    ] {
        rows.extend(row(desk, key, words.get(label).to_string()));
    }
    for device in desk.devices() {
        let label = words.fill("fig_battery_hours", &[("device", &desk.said(&device.name.value))]);
        rows.extend(row(desk, &format!("power.battery-hours.{}", device.key), label));
    }
    let supplies = desk.stay.food.iter().map(|food| &food.supply);
    for supply in supplies.chain(desk.stay.doses.iter().map(|dose| &dose.supply)) {
        let what = desk.supply(supply);
        for (part, label) in
            [("spoons", "fig_spoons"), ("total", "fig_total"), ("left", "fig_left"), ("lasts", "fig_lasts")]
        {
            rows.extend(row(desk, &format!("stay.{supply}.{part}"), words.fill(label, &[("what", &what)])));
        }
    }
    rows
}

fn normal_row(desk: &Desk) -> SitterWorking {
    let (words, reader) = (desk.words(), &desk.reader);
    match desk.stay.normal.temperature {
        Some(range) => SitterWorking {
            what: words.fill("fig_normal", &[("readings", &range.readings), ("sensor", &range.sensor_days)]),
            value: reader.temperature_range(range.low, range.high),
            how: words.get("work_extremes").into(),
            from: match from_sensor(desk) {
                Some(files) => format!("{files}; {}", reader.long_date(range.newest)),
                None => reader.long_date(range.newest),
            },
        },
        None => SitterWorking {
            what: words.fill("fig_normal", &[("readings", &0usize), ("sensor", &0usize)]),
            value: words.get("unknown").into(),
            ..SitterWorking::default()
        },
    }
}

/// Files of sensors that read the temperature.
fn from_sensor(desk: &Desk) -> Option<String> {
    let files = desk.tank.readings.iter().filter(|file| file.days.contains_key(&Parameter::Temperature));
    let files: Vec<String> = files.map(|file| escape(&file.layout.csv)).collect();
    (!files.is_empty()).then(|| files.join(", "))
}

fn limit_rows(desk: &Desk) -> Vec<SitterWorking> {
    let (words, reader, limits) = (desk.words(), &desk.reader, desk.stay.limits);
    let band = desk.tank.bands.get(&Parameter::Temperature);
    let from = band.and_then(|band| band.at(desk.stay.period.from)).map_or(String::new(), |band| line_of(&band.place));
    let margin = reader.difference(MARGIN);
    let one = |key: &str, value: f64| SitterWorking {
        what: words.fill(key, &[("days", &NORMAL_DAYS), ("margin", &margin)]),
        value: reader.temperature(value),
        how: words.get("work_half").into(),
        from: from.clone(),
    };
    let mut rows = Vec::new();
    if limits.own {
        rows.push(one("fig_hot", limits.hot));
        rows.push(one("fig_cold", limits.cold));
    }
    rows.push(SitterWorking {
        what: words.fill(
            "fig_alarm",
            &[("hot", &reader.temperature(limits.call_hot)), ("cold", &reader.temperature(limits.call_cold))],
        ),
        from: match desk.tank.limits.get(&Parameter::Temperature) {
            Some(limit) => line_of(&limit.place),
            None => words.get("work_practice").into(),
        },
        ..SitterWorking::default()
    });
    rows
}

fn row(desk: &Desk, key: &str, what: String) -> Option<SitterWorking> {
    if let Some(figure) = desk.figure(key) {
        return Some(SitterWorking {
            what,
            value: value_of(desk, figure),
            how: how(desk, figure),
            from: from(desk, figure),
        });
    }
    let missing = &desk.findings.figures.missing;
    missing.iter().find(|missing| missing.tank == desk.tank.key && missing.key == key)?;
    Some(SitterWorking { what, value: desk.words().get("work_missing").into(), ..SitterWorking::default() })
}

/// The formula with its numbers. Some of these have English words in them: in another language they stand in
/// figures.json alone.
fn how(desk: &Desk, figure: &Figure) -> String {
    let text = figure.method.substituted.as_str();
    let is_word = |part: &str| part.chars().count() > 2 && part != "max";
    let speaks = text.split(|c: char| !c.is_alphabetic()).any(is_word);
    if speaks && desk.words().language != "en" { desk.words().get("work_figures").into() } else { escape(text) }
}

/// In the units of the figures, which are those of the formula beside it.
fn value_of(desk: &Desk, figure: &Figure) -> String {
    if figure.unit == "°C" {
        return desk.reader.temperature(figure.value);
    }
    let (value, u) = crate::pages::journal::rounded(figure.value, figure.uncertainty, None);
    let sign = desk.words().get("decimal");
    let unit = match figure.unit.as_str() {
        "1" => String::new(),
        unit => format!("\u{a0}{unit}"),
    };
    match u {
        Some(u) => format!("{}\u{a0}{}{unit}", value.replace('.', sign), u.replace('.', sign)),
        None => format!("{}{unit}", value.replace('.', sign)),
    }
}

/// Places of the record it rests on, the first three by name.
fn from(desk: &Desk, figure: &Figure) -> String {
    let mut places: Vec<String> = Vec::new();
    let mut practice = false;
    gather(desk, figure, &mut places, &mut practice);
    places.sort();
    places.dedup();
    let words = desk.words();
    let mut shown: Vec<String> = places.iter().take(3).map(|place| escape(place)).collect();
    if places.len() > shown.len() {
        shown.push(words.fill("work_more", &[("count", &(places.len() - 3))]));
    }
    if practice {
        shown.push(words.get("work_practice").into());
    }
    shown.join(", ")
}

fn gather(desk: &Desk, figure: &Figure, places: &mut Vec<String>, practice: &mut bool) {
    for input in &figure.inputs {
        match input {
            Input::Root { places: of, .. } if of.is_empty() => *practice = true,
            Input::Root { places: of, .. } => places.extend(of.iter().map(line_of)),
            Input::Figure { key, .. } => {
                if let Some(figure) = desk.figure(key) {
                    gather(desk, figure, places, practice);
                }
            }
        }
    }
}
