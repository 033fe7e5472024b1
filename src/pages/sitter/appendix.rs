//! What follows the two pages: plan, tasks and doses in full, animals, what is odd but normal, settings cards, what changes
//! when the trip grows, and the return slip.

use jiff::civil::Date;

use super::places::Of;
use super::words::{Html, escape};
use super::{Desk, drawings, trouble, visit};
use crate::figures::stay::{Dose, Longer, Stay};
use crate::pages::sitter::model::*;
use crate::record::equipment::{Schedule, Settings};
use crate::record::{Device, Role, Tank, YesNo, days_between};

pub fn fill(desk: &Desk, sheet: &mut SitterSheet) {
    sheet.plan = drawings::plan(desk.tank, &desk.places, desk.words());
    sheet.places = desk
        .places
        .list
        .iter()
        .enumerate()
        .map(|(place, spot)| SitterPlace { number: place + 1, text: desk.said(&spot.text) })
        .collect();
    let odd = desk.plan.odd.iter();
    sheet.odd = odd
        .map(|shot| desk.shot(shot.photo.as_ref().map(|photo| photo.value.as_str()), &desk.said(&shot.what.value)))
        .collect();
    sheet.animals = animals(desk);
    sheet.looks = looks(desk);
    sheet.tasks = tasks(desk);
    sheet.doses = desk.stay.doses.iter().map(|dose| dose_row(desk, dose)).collect();
    sheet.cards = carded(desk.tank, desk.stay).into_iter().map(|device| card(desk, device)).collect();
    sheet.longer_note = desk.words().fill("longer_note", &[("date", &desk.reader.date(desk.stay.period.to))]);
    sheet.longer = desk.stay.longer.iter().map(|longer| longer_block(desk, longer)).collect();
    sheet.nobody = nobody(desk);
    sheet.slip = slip(desk);
}

fn animals(desk: &Desk) -> Vec<SitterShot> {
    let counted = desk.plan.count.iter();
    counted
        .filter_map(|count| {
            let colony = desk.record.colonies.get(&count.colony.value)?;
            let mut caption = desk.said(&colony.name.value);
            if let Some(number) = &count.number {
                caption = format!("{caption} ({})", desk.reader.short(number.value, 0));
            }
            if let Some(place) = &count.hides {
                let hides = desk.words().plain("animals_hide", &[("where", &desk.said(place))]);
                caption = format!("{caption}: {hides}");
            }
            Some(desk.shot(colony.photo.as_ref().map(|photo| photo.value.as_str()), &caption))
        })
        .collect()
}

/// What the numbered devices look like, of which there is a photo.
fn looks(desk: &Desk) -> Vec<SitterShot> {
    let devices = desk.places.list.iter().filter_map(|spot| match &spot.of {
        Of::Device(key) => desk.tank.device(key),
        Of::Level | Of::Thing => None,
    });
    let shots = devices.filter_map(|device| {
        let photo = device.photo.as_ref()?;
        Some(desk.shot_with(Some(&photo.value), desk.places.named(device).0))
    });
    shots.filter(|shot| !shot.picture.is_empty()).collect()
}

fn tasks(desk: &Desk) -> Vec<SitterTask> {
    let visits = &desk.stay.tasks.visits;
    let mut keys: Vec<&String> = visits.values().flatten().filter(|key| !visit::is_the_jug(desk, key)).collect();
    keys.sort();
    keys.dedup();
    keys.into_iter()
        .map(|key| {
            let task = &desk.tank.upkeep.tasks[key];
            let dates: Vec<Date> =
                visits.iter().filter(|(_, keys)| keys.contains(key)).map(|(date, _)| *date).collect();
            SitterTask {
                what: trouble::sentence(&desk.said(&task.what)),
                how: task.how.as_ref().map(|how| trouble::sentence(&desk.said(how))),
                shot: task
                    .photo
                    .as_ref()
                    .map(|photo| desk.shot(Some(&photo.value), &desk.said(&task.what)))
                    .filter(|shot| !shot.picture.is_empty()),
                why: task.why.as_ref().map(|why| trouble::sentence(&desk.said(why))),
                dates: desk.words().fill("task_on", &[("dates", &desk.reader.dates(&dates))]),
            }
        })
        .collect()
}

fn dose_row(desk: &Desk, dose: &Dose) -> SitterDose {
    let (words, reader) = (desk.words(), &desk.reader);
    let each = reader.amount(dose.each, dose.unit);
    let every = match dose.every_days {
        days if (days - 1.0).abs() < 0.01 => words.get("every_day").to_string(),
        days => words.plain("every_days", &[("days", &reader.short(days, 1))]),
    };
    let is_given = dose.by.is_some() || desk.plan.doses_by_hand;
    SitterDose {
        what: desk.supply(&dose.supply),
        each: match &dose.by {
            Some(device) => {
                let device = desk.tank.device(device).map_or(Html(escape(device)), |device| desk.places.named(device));
                words.fill("dose_pump", &[("each", &each), ("every", &every), ("device", &device)])
            }
            None if is_given => words.fill("dose_cup", &[("each", &each), ("dates", &reader.dates(&dose.dates))]),
            None => words.fill("dose_skipped", &[("each", &each), ("every", &every)]),
        },
        total: reader.amount(dose.total, dose.unit),
        left: dose.left.map_or(words.get("dose_unknown").to_string(), |left| reader.amount(left, dose.unit)),
        lasts: match (dose.short_on_day, dose.lasts_to) {
            (Some(day), _) => {
                let date = desk.stay.period.from.saturating_add(jiff::Span::new().days(day - 1));
                words.fill("dose_short", &[("day", &day), ("date", &reader.date(date))])
            }
            (None, Some(to)) => words.fill("dose_lasts_to", &[("date", &reader.long_date(to))]),
            (None, None) => words.get("dose_unknown").into(),
        },
    }
}

/// Devices that get a card, in the order of the plan.
pub fn carded<'a>(tank: &'a Tank, stay: &Stay) -> Vec<&'a Device> {
    let mut found: Vec<&Device> =
        tank.devices_at(stay.period.from).filter(|device| crate::figures::stay::can_forget(device)).collect();
    let order = [
        Role::Lamp,
        Role::CirculationPump,
        Role::ReturnPump,
        Role::Heater,
        Role::TopOff,
        Role::Controller,
        Role::DosingPump,
        Role::AirPump,
        Role::Battery,
    ];
    found.sort_by_key(|device| order.iter().position(|role| *role == device.role.value).unwrap_or(order.len()));
    found
}

fn card(desk: &Desk, device: &Device) -> SitterCard {
    let words = desk.words();
    let row = |key: &str, value: String| SitterRow { label: words.get(key).into(), value };
    let stretch = device.settings.at(desk.stay.period.from);
    let mut settings = stretch.map(|stretch| setting_rows(desk, &stretch.value)).unwrap_or_default();
    if settings.is_empty() {
        settings.push(row("card_set", words.get("card_unset").into()));
    }
    if let Some(plugged) = &device.plugged {
        let strip = desk.tank.device(&plugged.value);
        let strip = strip.map_or(escape(&plugged.value), |strip| desk.places.named(strip).0);
        settings.push(row("card_plug", strip));
    }
    let yes_no = |answer: YesNo| match answer {
        YesNo::Yes => words.get("yes").to_string(),
        YesNo::No => words.get("no").to_string(),
        YesNo::Unknown => words.get("unknown").to_string(),
    };
    let mut forgets = Vec::new();
    let mut press = words.get("card_nothing").to_string();
    if let Some(known) = &device.forgets {
        forgets.push(row("card_settings", yes_no(known.keeps_settings)));
        forgets.push(row("card_clock", yes_no(known.keeps_clock)));
        forgets.push(row("card_restarts", yes_no(known.restarts_itself)));
        forgets.push(row("card_power_up", trouble::power_up(desk, known.state_at_power_up)));
        let rehearsed = match &known.tested_on {
            Some(on) => words.fill(
                "card_rehearsed_on",
                &[("date", &desk.reader.long_date(on.value)), ("days", &days_between(on.value, desk.stay.period.from))],
            ),
            None => words.get("card_never").into(),
        };
        forgets.push(row("card_rehearsed", rehearsed));
        press = match &known.needs_hand {
            Some(press) => escape(&trouble::sentence(&desk.said(press))),
            // The same devices of which page 2 says to call.
            None if trouble::is_left_otherwise(desk, device, known) => words.get("card_press_unknown").into(),
            None if known.keeps_settings == YesNo::Yes && known.restarts_itself == YesNo::Yes => {
                words.get("card_press_nothing").into()
            }
            None => press,
        };
    }
    let photo = device.photo.as_ref().map(|photo| photo.value.as_str());
    let shot = desk.shot(photo, &desk.said(&device.name.value));
    SitterCard {
        name: desk.places.named(device).0,
        shot: (!shot.picture.is_empty()).then_some(shot),
        settings,
        forgets,
        press,
    }
}

fn setting_rows(desk: &Desk, settings: &Settings) -> Vec<SitterRow> {
    let (words, reader) = (desk.words(), &desk.reader);
    let mut rows: Vec<(&str, String)> = Vec::new();
    if let Some(level) = &settings.level {
        rows.push(("card_level", reader.percent(level.value)));
    }
    if let Some(schedule) = &settings.schedule {
        rows.push(("card_hours", hours(desk, &schedule.value)));
    }
    if let Some(set) = &settings.temperature {
        rows.push(("card_temperature", reader.temperature(set.value.value)));
    }
    if let Some(dial) = &settings.thermostat {
        rows.push(("card_dial", reader.temperature(dial.value.value)));
    }
    if let Some(height) = &settings.height {
        rows.push(("card_height", reader.length(height.value.value)));
    }
    if let Some(flow) = &settings.flow {
        rows.push(("card_flow", reader.flow(flow.value.value)));
    }
    if let Some(mode) = &settings.mode {
        rows.push(("card_mode", escape(&desk.said(mode))));
    }
    if !settings.channels.is_empty() {
        let channels: Vec<String> = settings
            .channels
            .iter()
            .map(|(name, level)| format!("{} {}", escape(&name.replace('-', " ")), reader.percent(*level)))
            .collect();
        rows.push(("card_channels", channels.join(", ")));
    }
    rows.into_iter().map(|(key, value)| SitterRow { label: words.get(key).into(), value }).collect()
}

fn hours(desk: &Desk, schedule: &Schedule) -> String {
    let (words, reader) = (desk.words(), &desk.reader);
    match schedule {
        Schedule::Always => words.get("hours_always").into(),
        Schedule::Off => words.get("hours_off").into(),
        Schedule::Span { from, to, ramp } if *ramp > 0.0 => words.fill(
            "hours_ramp",
            &[("from", &reader.clock(*from)), ("to", &reader.clock(*to)), ("minutes", &reader.number(ramp * 60.0, 0))],
        ),
        Schedule::Span { from, to, .. } => {
            words.fill("hours_span", &[("from", &reader.clock(*from)), ("to", &reader.clock(*to))])
        }
        Schedule::Points(points) => {
            let points = points.iter().map(|(at, level)| format!("{} {}", reader.clock(*at), reader.percent(*level)));
            points.collect::<Vec<_>>().join(", ")
        }
    }
}

fn longer_block(desk: &Desk, longer: &Longer) -> SitterLonger {
    let (words, reader) = (desk.words(), &desk.reader);
    let mut lines = Vec::new();
    if !desk.stay.feeds.is_empty() {
        lines.push(match (longer.feeds, longer.bags_missing) {
            (0, _) => words.get("longer_food_none").to_string(),
            (feeds, 0) => words.fill("longer_food", &[("feeds", &feeds)]),
            (feeds, missing) => words.fill("longer_food_missing", &[("feeds", &feeds), ("missing", &missing)]),
        });
    }
    lines.push(match (longer.water, longer.water_missing) {
        (None, _) => words.get("longer_water_unknown").to_string(),
        (Some(water), None) => words.fill("longer_water", &[("water", &reader.water(water))]),
        (Some(water), Some(missing)) => {
            words.fill("longer_water_missing", &[("water", &reader.water(water)), ("missing", &reader.water(missing))])
        }
    });
    for (supply, last) in &longer.dry {
        lines.push(words.fill("longer_dry", &[("what", &desk.supply(supply)), ("date", &reader.date(*last))]));
    }
    for (task, date) in longer.tasks.iter().filter(|(task, _)| !visit::is_the_jug(desk, task)) {
        let what = desk.said(&desk.tank.upkeep.tasks[task].what);
        lines.push(words.fill("longer_task", &[("task", &what), ("date", &reader.date(*date))]));
    }
    if days_between(desk.stay.period.from, longer.to) >= 10 {
        lines.push(words.get("longer_call").into());
    }
    SitterLonger {
        head: words.fill("longer_head", &[("days", &reader.days(longer.days)), ("date", &reader.date(longer.to))]),
        lines,
    }
}

/// What happens when nobody can come at all.
fn nobody(desk: &Desk) -> Vec<String> {
    let (words, reader) = (desk.words(), &desk.reader);
    let mut lines = Vec::new();
    if let (Some(line), Some((_, _, high))) = (desk.stay.water.jug_line(), desk.stay.water.per_day) {
        let days = (line / high).floor() as i32;
        lines.push(words.fill("nobody_jug", &[("line", &reader.water(line)), ("days", &reader.days(days))]));
    }
    if let Some(rise) = desk.figure("topup.salinity-per-day") {
        lines.push(words.fill("nobody_salinity", &[("rise", &reader.salinity(rise.value))]));
    }
    if !desk.stay.feeds.is_empty() {
        lines.push(words.get("nobody_food").into());
    }
    lines
}

/// One line of the slip for each thing that `enter` takes from a sitter.
fn slip(desk: &Desk) -> Vec<SitterSlip> {
    let words = desk.words();
    let degree = desk.reader.degree();
    [
        ("slip_at", String::new()),
        ("slip_temperature", format!("-r \"temperature=… {degree}\"")),
        ("slip_top_off", "--top-off \"… L\"".into()),
        ("slip_feed", "--feed \"…=… g\"".into()),
        ("slip_dose", "--dose \"…=… mL\"".into()),
        ("slip_done", "--done …".into()),
        ("slip_seen", "--seen \"…=…\"".into()),
        ("slip_note_line", "--note \"…\"".into()),
        ("slip_photo", "--photo …".into()),
        ("slip_ask", "--ask \"…\"".into()),
    ]
    .into_iter()
    .map(|(key, flag)| {
        let flag = match key {
            "slip_at" => format!("--at \"{} …\"", desk.stay.period.from),
            // In the unit of the table of days.
            "slip_top_off" if desk.reader.system == crate::units::System::Us => "--top-off \"… qt\"".into(),
            _ => flag,
        };
        SitterSlip { label: words.get(key).into(), flag }
    })
    .collect()
}
