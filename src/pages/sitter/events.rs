//! The visits and tasks of a period as events of a calendar. No name, phone or address goes in: calendars are shared, and
//! kept by others.

use jiff::civil::{Date, Time, time};

use super::words::without_tags;
use super::{Desk, trouble, visit};
use crate::pages::sitter::calendar::{Calendar, CalendarEvent};

/// The hour of a visit where the record names none.
const USUAL: Time = time(18, 0, 0, 0);
/// Minutes before a visit at which the calendar calls.
const ALARM: i64 = 30;
/// A visit takes about so long, in minutes (judgement, no source).
const VISIT: i64 = 15;

pub fn calendar(desk: &Desk) -> Calendar {
    let words = desk.words();
    let tank = desk.said(&desk.tank.name.value);
    let period = desk.stay.period;
    let at = desk.plan.visit_at.as_ref().map_or(USUAL, |at| at.value);
    let span = jiff::Span::new();
    let event = |date: Date, key: &str, summary: String, lines: Vec<String>| CalendarEvent {
        identity: format!("{} {} {} {date} {key}", desk.tank.key, period.from, period.to),
        start: date.to_datetime(at),
        minutes: VISIT,
        summary,
        lines,
        alarm_minutes: Some(ALARM),
    };
    let sheet = || words.get("ics_sheet").to_string();
    let mut events = vec![event(
        period.from.saturating_sub(span.days(1)),
        "hand-before",
        words.get("ics_hand_before").into(),
        vec![sheet()],
    )];
    for date in &desk.stay.visits {
        let mut lines = Vec::new();
        lines.extend(
            desk.stay
                .clock
                .iter()
                .find(|change| change.on == *date)
                .map(|change| words.plain("ics_clock", &[("way", &visit::way(desk, change))])),
        );
        lines.push(match desk.stay.feeds.iter().position(|feed| feed == date) {
            Some(place) if visit::in_bags(desk) => {
                let bag = words.plain("bag", &[("number", &(place + 1).to_string())]);
                words.plain("ics_feed", &[("what", &bag)])
            }
            Some(_) => words.plain("ics_feed", &[("what", "")]).trim().to_string(),
            None => words.get("ics_no_food").into(),
        });
        if let Some((usual, _)) = desk.stay.water.per_visit {
            lines.push(words.plain("ics_water", &[("amount", &desk.reader.water(usual))]));
        }
        lines.push(sheet());
        events.push(event(*date, "visit", words.get("ics_visit").into(), lines));
        let tasks = desk.stay.tasks.visits.get(date).into_iter().flatten();
        for key in tasks.filter(|key| !visit::is_the_jug(desk, key)) {
            let task = &desk.tank.upkeep.tasks[key];
            let what = without_tags(&desk.said(&task.what));
            let lines = task.why.iter().map(|why| trouble::sentence(&desk.said(why))).collect();
            let minutes = task.takes.as_ref().map_or(VISIT, |takes| (takes.value.round() as i64).max(5));
            let task = event(*date, key, words.plain("ics_task", &[("task", &what)]), lines);
            events.push(CalendarEvent { minutes, alarm_minutes: Some(0), ..task });
        }
    }
    events.push(event(
        period.to.saturating_add(span.days(1)),
        "hand-after",
        words.get("ics_hand_after").into(),
        Vec::new(),
    ));
    Calendar {
        name: words.plain("ics_name", &[("tank", &tank)]),
        zone: desk.tank.zone.clone(),
        stamp: desk.record.as_of,
        events,
    }
}
