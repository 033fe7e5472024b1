//! Page 1: whom to call, what normal looks like, the ticks, the days, food, water, and what never to do.

use jiff::civil::{Date, Time};

use super::Desk;
use super::drawings;
use super::fit;
use super::places::Of;
use super::words::{Html, escape};
use crate::figures::stay::{ClockChange, LampHours, NORMAL_DAYS, TopUp};
use crate::pages::sitter::model::*;
use crate::record::colony::Group;
use crate::record::sitter::Portions;
use crate::record::{Role, YesNo, days_between};

/// So many days have a row each, with a visit or without; of a longer period only those with a visit.
const ROWS: usize = 12;
/// Lamps whose day is drawn on the first page.
const LAMPS: usize = 2;
/// Lines of the keeper's own that end the list of what is never done, and letters of each.
const NEVER: (usize, usize) = (4, 40);
/// Letters of the animals to count that are named in their tick.
const ANIMALS: usize = 90;
/// People to call on the first page.
const CALLS: usize = 3;

pub fn fill(desk: &Desk, sheet: &mut SitterSheet) {
    let (words, reader, period) = (desk.words(), &desk.reader, desk.stay.period);
    let (from, to) = (reader.date(period.from), reader.long_date(period.to));
    sheet.tank = fit::cut(&desk.said(&desk.tank.name.value), 60);
    sheet.when = words.plain("range", &[("low", &from), ("high", &to)]);
    sheet.title = words.plain("title", &[("tank", &sheet.tank), ("from", &from), ("to", &to)]);
    sheet.description = words.get("description").to_string();
    sheet.private_line = words.get(if desk.without_private { "blanked_top" } else { "private_top" }).to_string();
    sheet.age = age(desk);
    sheet.calls = calls(desk);
    normal(desk, sheet);
    sheet.ticks = ticks(desk);
    sheet.read_unit = words.fill("col_read", &[("unit", &reader.degree())]);
    sheet.days = days(desk);
    feeding(desk, sheet);
    sheet.topping = topping(desk);
    sheet.never = never(desk);
    fit::first_page(desk, sheet);
    if !sheet.days_rest.is_empty() {
        let first = reader.date(row_dates(desk)[sheet.days.len()]);
        sheet.days_note = Some(words.fill("days_continued", &[("date", &first)]));
        sheet.days_rest_head = words.fill("days_rest", &[("date", &first)]);
    }
}

fn age(desk: &Desk) -> String {
    let (words, reader) = (desk.words(), &desk.reader);
    let ago = |days: Option<i32>| match days {
        None => words.get("age_never").to_string(),
        Some(0) => words.get("age_today").to_string(),
        Some(1) => words.get("age_one").to_string(),
        Some(days) => words.plain("age_days", &[("days", &days.to_string())]),
    };
    let normal = &desk.stay.normal;
    words.fill(
        "age",
        &[
            ("date", &reader.long_date(desk.record.as_of)),
            ("entry", &ago(normal.entry_age)),
            ("test", &ago(normal.test_age)),
        ],
    )
}

fn calls(desk: &Desk) -> Vec<SitterCall> {
    let words = desk.words();
    let named = desk.plan.call.iter().filter_map(|call| desk.tank.contacts.get(&call.value));
    let mut found: Vec<SitterCall> = named
        .take(CALLS)
        .map(|contact| {
            let name = desk.secret(Some(contact.name.as_deref().unwrap_or(&contact.key)));
            SitterCall {
                rank: String::new(),
                who: desk.fit(words.get("call_first"), &name, 40),
                phone: desk.fit(words.get("call_first"), &desk.secret(contact.phone.as_deref()), 24),
                about: contact
                    .about
                    .as_deref()
                    .filter(|_| !desk.without_private)
                    .map(|about| desk.fit(&name, &desk.said(about), 60)),
            }
        })
        .collect();
    if found.is_empty() {
        let blank = words.get("blank").to_string();
        found.push(SitterCall { who: words.get("no_phone").into(), phone: blank, ..SitterCall::default() });
    }
    for (place, call) in found.iter_mut().enumerate() {
        call.rank = words.get(if place == 0 { "call_first" } else { "call_then" }).into();
    }
    found
}

fn normal(desk: &Desk, sheet: &mut SitterSheet) {
    let (words, reader) = (desk.words(), &desk.reader);
    let plan = desk.plan;
    for shot in plan.looks.iter().filter(|shot| shot.photo.is_some()).take(1) {
        let photo = shot.photo.as_ref().map(|photo| photo.value.as_str());
        let caption = desk.fit(words.get("normal"), &desk.said(&shot.what.value), 50);
        sheet.shots.push(desk.shot_with(photo, caption));
    }
    sheet.level = match &plan.level {
        Some(level) => words.fill(
            "normal_level",
            &[
                ("mark", &Html(desk.fit(words.get("case_low"), &desk.said(&level.mark.value), 50))),
                ("place", &desk.places.mark(&Of::Level)),
            ],
        ),
        None => words.get("normal_level_unknown").into(),
    };
    // The mark's own photo says where it is: the words stand beneath it then.
    if let Some(photo) = plan.level.as_ref().and_then(|level| level.photo.as_ref()) {
        let shot = desk.shot_with(Some(&photo.value), sheet.level.clone());
        if !shot.picture.is_empty() {
            sheet.shots.push(shot);
            sheet.level.clear();
        }
    }
    sheet.shots.retain(|shot| !shot.picture.is_empty());
    let thermometer = thermometer(desk);
    sheet.temperature = match desk.stay.normal.temperature {
        Some(range) => words.fill(
            "normal_temperature",
            &[
                ("place", &thermometer),
                ("range", &reader.temperature_range(range.low, range.high)),
                ("days", &NORMAL_DAYS),
            ],
        ),
        None => words.get("normal_temperature_unknown").into(),
    };
    sheet.sound = plan.sound.as_ref().map(|sound| {
        let sound = desk.fit(words.get("tick_listen_short"), &desk.said(&sound.value), 110);
        words.fill("normal_sound", &[("sound", &Html(sound))])
    });
    sheet.lamps = desk.stay.lamps.iter().take(LAMPS).map(|lamp| lamp_line(desk, lamp)).collect();
    for lamp in desk.stay.lamps.iter().skip(LAMPS) {
        desk.in_full(words.get("normal"), lamp_line(desk, lamp).text);
    }
}

pub fn thermometer(desk: &Desk) -> Html {
    let device = desk.devices().find(|device| device.role.value == Role::Thermometer);
    device.map_or(Html::default(), |device| desk.places.device(&device.key))
}

fn lamp_line(desk: &Desk, lamp: &LampHours) -> SitterLamp {
    let (words, reader) = (desk.words(), &desk.reader);
    let name = desk.tank.device(&lamp.device).map_or(Html::default(), |device| desk.places.named(device));
    let text = lamp_hours(desk, lamp, &name);
    let change = clock_seen(desk);
    let behind = left_behind(desk, lamp).map(|(_, hours)| hours);
    let clock = change.map(|change| {
        let (date, way) = (reader.date(change.on), way(desk, change));
        match (lamp.follows_clock, behind) {
            (YesNo::No, Some((on, off))) => words.fill(
                "lamp_behind",
                &[("date", &date), ("way", &way), ("on", &reader.clock(on)), ("off", &reader.clock(off))],
            ),
            (YesNo::Yes, _) => words.fill("lamp_follows", &[("date", &date), ("way", &way)]),
            _ => words.fill("lamp_maybe", &[("date", &date), ("way", &way)]),
        }
    });
    let label = super::words::without_tags(&text);
    SitterLamp { bar: drawings::lamp_day(lamp, behind, &label, &reader.quarters()), text, clock }
}

/// The change of the clocks that the sitter sees: one on a visit's day or between two.
fn clock_seen<'a>(desk: &'a Desk) -> Option<&'a ClockChange> {
    let eve = desk.stay.period.from.saturating_sub(jiff::Span::new().days(1));
    desk.stay.clock.iter().find(|change| change.on > eve)
}

/// From which day on a lamp that doesn't follow the clocks is lit when, by the wall.
pub fn left_behind(desk: &Desk, lamp: &LampHours) -> Option<(Date, (Time, Time))> {
    let change = clock_seen(desk).filter(|_| lamp.follows_clock == YesNo::No)?;
    Some((change.on, lamp.left_behind(change.forward)))
}

fn lamp_hours(desk: &Desk, lamp: &LampHours, name: &Html) -> String {
    let (on, off) = (desk.reader.clock(lamp.on), desk.reader.clock(lamp.off));
    desk.words().fill("lamp_on", &[("lamp", name), ("on", &on), ("off", &off)])
}

pub fn way(desk: &Desk, change: &ClockChange) -> String {
    desk.words().get(if change.forward > 0 { "clocks_forward" } else { "clocks_back" }).to_string()
}

/// Eight at most, each with at most one line of what to beware of.
fn ticks(desk: &Desk) -> Vec<SitterTick> {
    let words = desk.words();
    let tick = |text: String, care: Option<&str>| SitterTick { text, care: care.map(|key| words.get(key).to_string()) };
    let mut ticks = vec![tick(words.get("tick_look").into(), Some("care_look"))];
    if desk.plan.sound.is_some() {
        ticks.push(tick(words.get("tick_listen").into(), None));
    }
    let children = desk.tank.children_under_5 != YesNo::No;
    let coin_cell =
        desk.devices().any(|device| device.role.value == Role::Thermometer && device.coin_cell == YesNo::Yes);
    let read = words.fill("tick_read", &[("place", &thermometer(desk))]);
    ticks.push(tick(read, (children && coin_cell).then_some("care_read")));
    let zoanthids = has_zoanthids(desk);
    ticks.push(tick(counting(desk), zoanthids.then_some("care_count")));
    if !desk.stay.feeds.is_empty() {
        let key = if in_bags(desk) { "tick_feed" } else { "tick_feed_spoons" };
        ticks.push(tick(words.get(key).into(), Some("care_feed")));
    }
    let water = match &desk.stay.water.by {
        TopUp::Device { .. } => words.fill("tick_jug", &[("place", &jug(desk))]),
        TopUp::ByHand => words.fill("tick_top_up", &[("place", &desk.places.mark(&Of::Level))]),
    };
    let heater = desk.devices().any(|device| device.role.value == Role::Heater);
    ticks.push(tick(water, if children { Some("care_bucket") } else { heater.then_some("care_jug_heater") }));
    ticks.push(tick(words.get("tick_also").into(), Some("care_also")));
    ticks.push(tick(words.get("tick_close").into(), Some("care_close")));
    ticks
}

pub fn has_zoanthids(desk: &Desk) -> bool {
    let mut here = desk.record.colonies_in(&desk.tank.key, desk.stay.period.from);
    here.any(|colony| colony.group.value == Group::Zoanthid)
}

/// Where the water that is filled in stands: a thing that the record calls a jug or reservoir, else the device.
pub fn jug(desk: &Desk) -> Html {
    let TopUp::Device { device, .. } = &desk.stay.water.by else {
        return Html::default();
    };
    let Some(device) = desk.tank.device(device) else {
        return Html::default();
    };
    let things = desk.places.list.iter().position(|spot| {
        spot.of == Of::Thing
            && ["jug", "reservoir", "top-off"].iter().any(|word| spot.text.to_lowercase().contains(word))
    });
    match things {
        Some(place) => Html(format!("<span class=\"n\">{}</span>", place + 1)),
        None => desk.places.device(&device.key),
    }
}

fn counting(desk: &Desk) -> String {
    let animals: Vec<String> = desk
        .plan
        .count
        .iter()
        .filter_map(|count| {
            let colony = desk.record.colonies.get(&count.colony.value)?;
            let name = desk.said(&colony.name.value);
            Some(match &count.number {
                Some(number) => format!("{name} ({})", desk.reader.short(number.value, 0)),
                None => name,
            })
        })
        .collect();
    if animals.is_empty() {
        return desk.words().get("tick_count_none").into();
    }
    let named = desk.reader.list(&animals);
    if named.chars().count() > ANIMALS {
        return desk.words().fill("tick_count_many", &[("count", &animals.len())]);
    }
    desk.words().fill("tick_count", &[("animals", &named)])
}

pub fn in_bags(desk: &Desk) -> bool {
    desk.plan.feed.portions.as_ref().is_none_or(|portions| portions.value == Portions::Bags)
}

/// Day before, every day of the period, day after; days without a visit that follow one another are one row when there
/// are many.
fn row_dates(desk: &Desk) -> Vec<Date> {
    let period = desk.stay.period;
    let mut dates = vec![day(period.from, -1)];
    dates.extend(period.dates().filter(|date| {
        // In a long period only the days on which somebody comes have a row.
        period.days() <= ROWS as i32 - 2 || desk.stay.visits.contains(date)
    }));
    dates.push(day(period.to, 1));
    dates
}

fn day(date: Date, days: i32) -> Date {
    date.saturating_add(jiff::Span::new().days(days))
}

fn days(desk: &Desk) -> Vec<SitterDay> {
    let words = desk.words();
    let dates = row_dates(desk);
    let last = dates.len() - 1;
    dates
        .iter()
        .enumerate()
        .map(|(place, date)| {
            let shown = desk.reader.date_after(*date, place.checked_sub(1).map(|before| dates[before]));
            let clock = desk.stay.clock.iter().find(|change| change.on == *date).map(|change| clock_row(desk, change));
            if place == 0 || place == last {
                let key = if place == 0 { "hand_before" } else { "hand_after" };
                let mut also = vec![words.get(key).to_string()];
                also.extend(clock);
                return SitterDay { date: shown, kind: "hand".into(), also: also.join("; "), ..SitterDay::default() };
            }
            visit_row(desk, *date, shown, clock)
        })
        .collect()
}

fn clock_row(desk: &Desk, change: &ClockChange) -> String {
    desk.words().fill("clock_row", &[("way", &way(desk, change))])
}

fn visit_row(desk: &Desk, date: Date, shown: String, clock: Option<String>) -> SitterDay {
    let words = desk.words();
    if !desk.stay.visits.contains(&date) {
        return SitterDay {
            date: shown,
            kind: "off".into(),
            food: words.get("no_food").into(),
            water: words.get("no_visit").into(),
            also: clock.unwrap_or_default(),
        };
    }
    let clock_text = clock.clone();
    let mut also: Vec<String> = clock.into_iter().collect();
    for key in desk.stay.tasks.visits.get(&date).into_iter().flatten().filter(|key| !is_the_jug(desk, key)) {
        also.push(escape(&desk.said(&desk.tank.upkeep.tasks[key].what)));
    }
    also.extend(cups(desk, date));
    // Several at once, or long ones, are listed at the back.
    if also.iter().map(|text| text.chars().count() + 2).sum::<usize>() > fit::across::ALSO * 3 {
        let clock = also.iter().position(|text| clock_text.as_ref() == Some(text)).map(|place| also.remove(place));
        let tasks = words.fill("tasks_behind", &[("count", &also.len())]);
        also = clock.into_iter().chain([tasks]).collect();
    }
    SitterDay {
        date: shown,
        kind: "visit".into(),
        food: match desk.stay.feeds.iter().position(|feed| *feed == date) {
            Some(place) if in_bags(desk) => words.fill("bag", &[("number", &(place + 1))]),
            Some(_) => words.get("spoons_today").into(),
            None => words.get("no_food").into(),
        },
        water: desk.stay.water.per_visit.map_or(String::new(), |(usual, _)| desk.reader.water(usual)),
        also: also.join("; "),
    }
}

/// Doses that the sitter tips in: at the last visit on or before they are due.
fn cups(desk: &Desk, date: Date) -> Vec<String> {
    if !desk.plan.doses_by_hand {
        return Vec::new();
    }
    let mut cups = Vec::new();
    let mut number = 0;
    for dose in desk.stay.doses.iter().filter(|dose| dose.by.is_none()) {
        for due in &dose.dates {
            number += 1;
            if desk.stay.visits.iter().rev().find(|visit| *visit <= due) == Some(&date) {
                let what = desk.supply(&dose.supply);
                cups.push(desk.words().fill("cup_row", &[("number", &(number as usize)), ("what", &what)]));
            }
        }
    }
    cups
}

/// A task of the top-off's own jug is the tick for water.
pub fn is_the_jug(desk: &Desk, task: &str) -> bool {
    let TopUp::Device { device, .. } = &desk.stay.water.by else {
        return false;
    };
    desk.tank.upkeep.tasks[task].device.as_ref().is_some_and(|of| of.value == *device)
}

fn feeding(desk: &Desk, sheet: &mut SitterSheet) {
    let (words, stay) = (desk.words(), desk.stay);
    if stay.feeds.is_empty() || stay.food.is_empty() {
        sheet.feeding = words.get("feeding_none").into();
        return;
    }
    let feeds = stay.feeds.len();
    sheet.feeding = if in_bags(desk) {
        words.fill("feeding_bags", &[("feeds", &feeds), ("spare", &(desk.plan.feed.spare as usize))])
    } else {
        words.fill("feeding_spoons", &[("feeds", &feeds)])
    };
    for food in &stay.food {
        let name = desk.supply(&food.supply);
        let spoon = desk.record.supplies.get(&food.supply).and_then(|supply| supply.spoon.as_ref());
        // A share of a spoon that nobody can see is weighed.
        let spoons = food.spoons.filter(|count| {
            let quarters = count * 4.0;
            quarters >= 0.9 && (quarters - quarters.round()).abs() <= 0.1 * quarters.max(1.0)
        });
        sheet.portions.push(match (spoons, spoon) {
            (Some(count), Some(spoon)) => SitterPortion {
                picture: drawings::spoons(count),
                text: words.fill(
                    "feeding_line",
                    &[
                        ("count", &desk.reader.short(count, 2)),
                        ("spoon", &fit::cut(&desk.said(&spoon.what.value), 40)),
                        ("food", &fit::cut(&name, 40)),
                    ],
                ),
            },
            _ => SitterPortion {
                picture: String::new(),
                text: words.fill(
                    "feeding_weighed",
                    &[("amount", &desk.reader.amount(food.each, food.unit)), ("food", &fit::cut(&name, 40))],
                ),
            },
        });
        if let Some(feed) = food.short_on_feed {
            sheet.feeding_more.push(words.fill("feeding_short", &[("food", &name), ("feed", &feed)]));
        }
    }
    if days_between(stay.period.from, stay.period.to) as usize + 1 > feeds {
        sheet.feeding_more.push(words.get("feeding_rest").into());
    }
}

fn topping(desk: &Desk) -> Vec<String> {
    let (words, reader, water) = (desk.words(), &desk.reader, &desk.stay.water);
    let mut lines = Vec::new();
    match (water.per_day, water.total) {
        (Some((_, low, high)), Some(total)) => lines.push(
            words.fill("topping_range", &[("range", &reader.water_range(low, high)), ("total", &reader.water(total))]),
        ),
        _ => lines.push(words.get("topping_unknown").into()),
    }
    let usual = water.per_visit.map(|(usual, _)| reader.water(usual));
    match (&water.by, water.jug_line(), usual) {
        (TopUp::Device { .. }, Some(line), Some(visit)) => lines.push(
            words.fill("topping_jug", &[("place", &jug(desk)), ("line", &reader.water(line)), ("visit", &visit)]),
        ),
        (TopUp::Device { .. }, _, _) => lines.push(words.fill("topping_jug_unknown", &[("place", &jug(desk))])),
        (TopUp::ByHand, _, Some(visit)) => lines.push(words.fill("topping_hand", &[("visit", &visit)])),
        (TopUp::ByHand, _, None) => {}
    }
    if let (true, Some((_, need))) = (water.too_small, water.per_visit) {
        lines.push(words.fill("topping_small", &[("need", &reader.water(need))]));
    }
    if let Some(most) = water.most_a_day {
        lines.push(words.fill("topping_most", &[("most", &reader.water(most))]));
    }
    if let Some(stock) = water.stock {
        let kept = desk.plan.pure_water.as_ref().and_then(|water| water.kept.as_ref());
        let kept = kept.map_or(words.get("topping_kept_unknown").to_string(), |kept| {
            desk.fit(words.get("topping"), &desk.said(&kept.value), 50)
        });
        let kept = Html(kept);
        let stock = reader.water(stock);
        lines.push(match water.stock_short {
            Some(short) => words
                .fill("topping_stock_short", &[("stock", &stock), ("kept", &kept), ("short", &reader.water(short))]),
            None => words.fill("topping_stock", &[("stock", &stock), ("kept", &kept)]),
        });
    }
    lines
}

fn never(desk: &Desk) -> Vec<String> {
    let words = desk.words();
    let food = if in_bags(desk) { "never_food" } else { "never_food_spoons" };
    let keys =
        ["never_hands", food, "never_salt", "never_unplug", "never_spray", "never_clean", "never_shop", "never_lamp"];
    let mut lines: Vec<String> = keys.iter().map(|key| words.get(key).to_string()).collect();
    for (place, line) in desk.plan.never.iter().enumerate() {
        let line = desk.said(&line.value);
        if place < NEVER.0 {
            lines.push(escape(&fit::cut(&line, NEVER.1)));
        }
        if place >= NEVER.0 || line.chars().count() > NEVER.1 {
            desk.in_full(words.get("never"), escape(&line));
        }
    }
    lines
}
