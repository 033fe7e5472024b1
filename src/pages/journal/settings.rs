//! How devices are set, in words, and how they were set on two dates: what differs in one table, the rest named.

use jiff::civil::Date;

use super::gear::device_link;
use super::view::*;
use crate::pages::model::equipment::{ChangedSetting, FilmedRow, SettingsThen};
use crate::pages::model::*;
use crate::record::equipment::{Schedule, Settings};
use crate::record::{Device, Role};

/// When a device runs.
const HOURS: &str = "Hours";

/// How much of the time a device runs.
const DUTY: &str = "Duty";

/// Label and text of everything that is set.
pub fn setting_rows(view: &View, settings: &Settings) -> Vec<(String, String)> {
    let mut rows = Vec::new();
    if let Some(level) = &settings.level {
        rows.push(("Level".into(), format!("{}\u{a0}%", crate::figures::number(level.value * 100.0))));
    }
    if let Some(schedule) = &settings.schedule {
        rows.push((HOURS.into(), schedule_text(&schedule.value)));
    }
    if let Some(duty) = &settings.duty {
        rows.push((DUTY.into(), format!("{}\u{a0}% of the time", crate::figures::number(duty.value * 100.0))));
    }
    for (label, quantity) in [
        ("Set to", &settings.temperature),
        ("Own thermostat", &settings.thermostat),
        ("Height over the water", &settings.height),
        ("Flow", &settings.flow),
    ] {
        if let Some(quantity) = quantity {
            rows.push((label.into(), view.typed(&quantity.value)));
        }
    }
    if let Some(mode) = &settings.mode {
        rows.push(("Mode".into(), mode.clone()));
    }
    if let Some(alarm) = &settings.alarm {
        let (low, high) = &alarm.value;
        rows.push(("Alarm".into(), format!("below {} and above {}", view.typed(low), view.typed(high))));
    }
    if let Some(longest) = &settings.longest_run {
        rows.push(("Longest run at a time".into(), run_text(longest.value)));
    }
    for (channel, level) in &settings.channels {
        rows.push((
            format!("Channel {}", channel.replace('-', " ")),
            format!("{}\u{a0}%", crate::figures::number(level * 100.0)),
        ));
    }
    rows
}

/// Hours as seconds, minutes or hours, whichever a person would say.
fn run_text(hours: f64) -> String {
    match hours * 3600.0 {
        seconds if seconds < 119.5 => format!("{}\u{a0}s", fixed(seconds, 0)),
        seconds if seconds < 7170.0 => format!("{}\u{a0}min", crate::figures::number(seconds / 60.0)),
        _ => format!("{}\u{a0}h", crate::figures::number(hours)),
    }
}

fn schedule_text(schedule: &Schedule) -> String {
    let clock = |time: &jiff::civil::Time| time.strftime("%H:%M").to_string();
    match schedule {
        Schedule::Always => "always on".into(),
        Schedule::Off => "off".into(),
        Schedule::Span { from, to, ramp } if *ramp > 0.0 => {
            format!("{} to {}, with ramps of {} min at both ends", clock(from), clock(to), fixed(ramp * 60.0, 0))
        }
        Schedule::Span { from, to, .. } => format!("{} to {}", clock(from), clock(to)),
        Schedule::Points(points) => {
            let parts: Vec<String> = points
                .iter()
                .map(|(time, level)| format!("{} {}\u{a0}%", clock(time), fixed(level * 100.0, 0)))
                .collect();
            parts.join(", ")
        }
    }
}

/// The first few of them in a line.
pub fn setting_line(view: &View, settings: &Settings, most: usize) -> String {
    let told = setting_rows(view, settings).into_iter().take(most).map(|(label, text)| match label.as_str() {
        // What hours are needs no word before it.
        HOURS => text,
        _ => format!("{} {text}", lower(&label)),
    });
    told.collect::<Vec<_>>().join(", ")
}

/// The settings of two dates, in the order in which settings are told.
pub fn side_by_side(then: Vec<(String, String)>, today: Vec<(String, String)>) -> Vec<FilmedRow> {
    let mut labels: Vec<&String> = Vec::new();
    for (label, _) in then.iter().chain(&today) {
        if !labels.contains(&label) {
            labels.push(label);
        }
    }
    let find = |rows: &[(String, String)], label: &str| {
        rows.iter().find(|(known, _)| known == label).map_or("not recorded".to_string(), |(_, text)| text.clone())
    };
    labels
        .into_iter()
        .map(|label| {
            let (filmed, today) = (find(&then, label), find(&today, label));
            FilmedRow { changed: filmed != today, filmed, today, label: label.clone() }
        })
        .collect()
}

/// The later of two dates, as a heading of what came and went before it says it.
#[derive(Clone, Copy)]
pub enum Until {
    Today,
    Later,
}

pub fn between(view: &View, before: Date, after: Date, until: Until) -> SettingsThen {
    let (mut alike, mut came, mut gone) = (Vec::new(), Vec::new(), Vec::new());
    let mut found = SettingsThen::default();
    let mut devices: Vec<&Device> = view.tank.devices.values().collect();
    devices.sort_by_key(|device| device.role.value != Role::Lamp);
    for device in devices {
        let link = device_link(view, &device.key);
        let dated =
            |date: Date| PlaceLink { text: format!("{} ({})", link.text, date_text(date).text), ..link.clone() };
        match (device.in_service_on(before), device.in_service_on(after)) {
            (false, false) => {}
            (false, true) => came.push(dated(device.in_service.value)),
            (true, false) => gone.push(device.out_of_service.as_ref().map_or(link.clone(), |end| dated(end.value))),
            (true, true) => {
                let on = |date| device.settings.at(date).map(|set| setting_rows(view, &set.value)).unwrap_or_default();
                let mut rows = side_by_side(on(before), on(after));
                // How much a heater runs is no decision of the keeper's: it follows the room.
                rows.retain(|row| device.role.value != Role::Heater || row.label != DUTY);
                if rows.iter().all(|row| !row.changed) {
                    alike.push(link);
                    continue;
                }
                let changed = rows.into_iter().filter(|row| row.changed);
                found.changed.extend(changed.map(|row| ChangedSetting {
                    device: link.clone(),
                    label: row.label,
                    then: row.filmed,
                    now: row.today,
                }));
            }
        }
    }
    let labels = match until {
        Until::Today => ["As today", "Come since", "Taken out since"],
        Until::Later => ["Set alike", "Came in between", "Went in between"],
    };
    let groups = labels.into_iter().zip([alike, came, gone]).filter(|(_, devices)| !devices.is_empty());
    found.others = groups.map(|(label, devices)| Fact::new(label, joined(devices))).collect();
    found
}

/// Links with commas between them.
pub fn joined(links: Vec<PlaceLink>) -> Vec<Run> {
    let mut runs = Vec::new();
    for (place, link) in links.into_iter().enumerate() {
        if place > 0 {
            runs.push(Run::text(", "));
        }
        runs.push(Run { text: link.text, href: link.href, ..Run::default() });
    }
    runs
}
