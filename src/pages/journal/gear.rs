//! Equipment: the list, and a page for each device.

use jiff::civil::Date;

use super::settings::{setting_line, setting_rows, side_by_side};
use super::view::*;
use crate::pages::model::equipment::*;
use crate::pages::model::*;
use crate::record::equipment::Settings;
use crate::record::{Device, Role, days_between};
use crate::units::parse;

pub fn device_href(view: &View, key: &str) -> String {
    view.href(&format!("equipment/{key}.html"))
}

pub fn device_link(view: &View, key: &str) -> PlaceLink {
    match view.tank.device(key) {
        Some(device) => PlaceLink::new(device.name.value.clone(), device_href(view, key)),
        None => PlaceLink::plain(key),
    }
}

pub fn pages(view: &View) -> Vec<Page> {
    let mut pages = vec![list_page(view)];
    pages.extend(view.tank.devices.values().map(|device| device_page(view, device)));
    pages
}

fn list_page(view: &View) -> Page {
    let as_of = view.record.as_of;
    let groups: [(&str, &[Role]); 6] = [
        ("Light", &[Role::Lamp]),
        (
            "Water movement and filtration",
            &[
                Role::CirculationPump,
                Role::ReturnPump,
                Role::Skimmer,
                Role::AirPump,
                Role::UvSteriliser,
                Role::OzoneGenerator,
            ],
        ),
        ("Heat", &[Role::Heater, Role::Chiller, Role::Fan]),
        ("Dosing and top-off", &[Role::DosingPump, Role::TopOff, Role::Co2Cylinder]),
        ("Control and measurement", &[Role::Controller, Role::Thermometer, Role::Probe, Role::LeakAlarm, Role::Camera]),
        ("Power and protection", &[Role::PowerStrip, Role::GroundFaultProtection, Role::Battery]),
    ];
    let mut shown: Vec<DeviceGroup> = groups
        .iter()
        .map(|(title, roles)| DeviceGroup {
            title: title.to_string(),
            devices: view
                .tank
                .devices_at(as_of)
                .filter(|device| roles.contains(&device.role.value))
                .map(|device| card(view, device))
                .collect(),
        })
        .collect();
    shown.push(DeviceGroup {
        title: "Other".into(),
        devices: view
            .tank
            .devices_at(as_of)
            .filter(|device| device.role.value == Role::Other)
            .map(|device| card(view, device))
            .collect(),
    });
    shown.retain(|group| !group.devices.is_empty());
    let count = view.tank.devices_at(as_of).count();
    let body = EquipmentPage {
        standfirst: format!("{count} devices in service. What makers state is told apart from what was observed."),
        groups: shown,
        retired: view
            .tank
            .devices
            .values()
            .filter(|device| !device.in_service_on(as_of))
            .map(|device| card(view, device))
            .collect(),
        supply: None,
        cautions: view.cautions_of("equipment"),
        figures: view.rows("load."),
    };
    Page::new(
        view.href("equipment/index.html"),
        "equipment",
        "Equipment",
        "Every device with its role, setting and power.",
        PageBody::Equipment(Box::new(body)),
    )
}

/// Power at full level: observed if it was, else stated.
pub fn watts(view: &View, device: &Device) -> Option<Shown> {
    if let Some(watts) = &device.watts {
        return Some(Shown::new(
            fixed(watts.value.typed, watts.value.decimals.into()),
            watts.value.unit.symbol,
            Basis::Measured,
        ));
    }
    let power = view.record.spec_of(view.tank, device)?.power.as_ref()?;
    Some(Shown::new(fixed(power.value.typed, power.value.decimals.into()), power.value.unit.symbol, Basis::Stated))
}

fn card(view: &View, device: &Device) -> DeviceCard {
    let today =
        device.settings.at(view.record.as_of).map(|stretch| setting_line(view, &stretch.value, 3)).unwrap_or_default();
    let service = match &device.out_of_service {
        Some(end) => format!("{} to {}", date_text(device.in_service.value).text, date_text(end.value).text),
        None => format!("in service since {}", date_text(device.in_service.value).text),
    };
    DeviceCard {
        name: device.name.value.clone(),
        href: device_href(view, &device.key),
        role: sentence_case(&device.role.value.shown()),
        power: watts(view, device),
        setting: today,
        service,
        photo: device.photo.as_ref().and_then(|photo| view.photo(&photo.value)),
    }
}

fn facts_of(view: &View, settings: &Settings) -> Vec<Fact> {
    setting_rows(view, settings).into_iter().map(|(label, text)| Fact::new(label, vec![Run::text(text)])).collect()
}

/// Settings since the start, newest first.
pub fn history(view: &View, device: &Device) -> Vec<SettingSince> {
    let stretches: Vec<_> = device.settings.iter().collect();
    let mut rows: Vec<SettingSince> = stretches
        .iter()
        .enumerate()
        .map(|(place, stretch)| SettingSince {
            since: date_text(stretch.since.unwrap_or(device.in_service.value)),
            until: match stretches.get(place + 1).and_then(|next| next.since) {
                Some(next) => format!("until {}", date_text(next).text),
                None => "until now".into(),
            },
            facts: facts_of(view, &stretch.value),
            why: stretch.value.why.clone(),
            place: Some(view.place_link(&stretch.place)),
        })
        .collect();
    rows.reverse();
    rows
}

/// A device's settings on one day beside today's.
pub fn filmed_rows(view: &View, device: &Device, filmed: Date) -> Option<(Vec<FilmedRow>, String)> {
    let then = setting_rows(view, &device.settings.at(filmed)?.value);
    if let Some(end) = device.out_of_service.as_ref().filter(|end| end.value <= view.record.as_of) {
        let gone = format!("Taken out of service on {}.", date_text(end.value).text);
        let today = then.iter().map(|(label, _)| (label.clone(), "not in use".to_string())).collect();
        return Some((side_by_side(then, today), gone));
    }
    let today =
        device.settings.at(view.record.as_of).map(|stretch| setting_rows(view, &stretch.value)).unwrap_or_default();
    let rows = side_by_side(then, today);
    let changed = rows.iter().filter(|row| row.changed).count();
    let sentence = match changed {
        0 => "The same as today.".to_string(),
        count => {
            format!("{} changed since.", sentence_case(&super::water::counted(count, "setting has", "settings have")))
        }
    };
    Some((rows, sentence))
}

fn device_page(view: &View, device: &Device) -> Page {
    let as_of = view.record.as_of;
    let spec = view.record.spec_of(view.tank, device);
    let today = device.settings.at(as_of).map(|stretch| facts_of(view, &stretch.value)).unwrap_or_default();
    let filmed = view
        .record
        .videos
        .iter()
        .filter(|video| device.in_service_on(video.filmed.value))
        .filter_map(|video| {
            let (rows, sentence) = filmed_rows(view, device, video.filmed.value)?;
            Some(FilmedSettings {
                video: PlaceLink::new(video.title.value.clone(), format!("video/{}.html", video.key)),
                filmed: date_text(video.filmed.value),
                rows,
                sentence,
            })
        })
        .collect();
    let mut figures = Vec::new();
    figures.extend(view.row(&format!("power.{}.energy-per-day", device.key)));
    figures.extend(view.row(&format!("flow.{}.stated", device.key)));
    figures.extend(view.row(&format!("flow.operating-point.{}", device.key)));
    figures.extend(view.row(&format!("flow.{}", device.key)));
    let (upkeep_note, upkeep) = service(view, device);
    let body = DevicePage {
        name: device.name.value.clone(),
        role: sentence_case(&device.role.value.shown()),
        standfirst: device.note.clone().unwrap_or_default(),
        photo: device.photo.as_ref().and_then(|photo| view.photo(&photo.value)),
        facts: device_facts(view, device),
        today,
        filmed,
        settings: history(view, device),
        spec_name: spec.map(|spec| spec.name.value.clone()).unwrap_or_default(),
        stated: stated_rows(view, device),
        spec_prose: spec
            .filter(|spec| !spec.prose.trim().is_empty())
            .map(|spec| super::story::markdown(view, &spec.prose, &device_href(view, &device.key))),
        curve: view
            .of
            .movement
            .systems
            .iter()
            .find(|system| system.device == device.key)
            .map(|system| super::movement::pump_chart(view, system)),
        forgets: forgets(device),
        forgets_note: forgets_note(device, as_of),
        upkeep_note,
        upkeep,
        upkeep_chart: None,
        why: device.why.clone(),
        again: device.again.as_ref().map(|again| again.answer.clone()),
        again_because: device
            .again
            .as_ref()
            .and_then(|again| again.because.as_deref())
            .map(sentence_case)
            .unwrap_or_default(),
        photos: view
            .record
            .photos
            .values()
            .filter(|found| found.of.contains(&device.key))
            .filter(|found| {
                device
                    .photo
                    .as_ref()
                    .is_none_or(|own| view.record.photo(&own.value).is_none_or(|own| own.path != found.path))
            })
            .map(photo)
            .collect(),
        history: mentions(view, device),
        figures,
        cautions: view
            .cautions
            .iter()
            .filter(|caution| {
                caution.why.iter().any(|(_, place)| place.as_ref().is_some_and(|place| place.file == device.place.file))
            })
            .map(|caution| view.caution(caution))
            .collect(),
        source: Some(view.place_link(&device.place)),
    };
    let mut page = Page::new(
        device_href(view, &device.key),
        "equipment",
        device.name.value.clone(),
        format!("{}: what its maker states, how it is set, and what was observed.", device.name.value),
        PageBody::Device(Box::new(body)),
    );
    page.trail = vec![PlaceLink::new("Equipment", view.href("equipment/index.html"))];
    page
}

fn device_facts(view: &View, device: &Device) -> Vec<Fact> {
    let mut facts = vec![Fact::new("Role", vec![Run::text(device.role.value.shown())])];
    let service = match &device.out_of_service {
        Some(end) => format!("{} to {}", date_text(device.in_service.value).text, date_text(end.value).text),
        None => format!("since {}", date_text(device.in_service.value).text),
    };
    facts.push(Fact::new("In service", vec![Run::text(service)]));
    if let Some(watts) = watts(view, device) {
        let word = if watts.basis == Some(Basis::Measured) { "measured" } else { "stated" };
        facts.push(Fact { basis_word: Some(word.into()), ..Fact::new("Power at full level", vec![Run::value(watts)]) });
    }
    if let Some(position) = &device.position {
        facts.push(Fact::new("Position", vec![Run::text(position.value.word().replace('-', " "))]));
    }
    for (label, link) in [("Plugged into", &device.plugged), ("Protected by", &device.protection)] {
        if let Some(link) = link {
            let link = device_link(view, &link.value);
            facts.push(Fact::new(label, vec![Run { text: link.text, href: link.href, ..Run::default() }]));
        }
    }
    if let Some(reservoir) = &device.reservoir {
        facts.push(Fact::new("Reservoir", vec![Run::text(view.typed(&reservoir.value))]));
    }
    if let Some(capacity) = &device.capacity {
        facts.push(Fact::new("Energy it holds", vec![Run::text(view.typed(&capacity.value))]));
    }
    if !device.runs.is_empty() {
        let carried = device.runs.iter().map(|run| device_link(view, &run.value)).collect();
        facts.push(Fact::new("Carries through a power cut", super::settings::joined(carried)));
    }
    if let Some(rating) = &device.rating {
        facts.push(Fact::new("Rating", vec![Run::text(view.typed(&rating.value))]));
    }
    if let Some(bought) = &device.bought_on {
        facts.push(Fact::new("Bought", vec![Run::text(date_text(bought.value).text)]));
    }
    facts
}

/// What a maker states, in the units of the edition where it is a quantity.
fn in_system(view: &View, stated: &str) -> String {
    parse(stated, &[], None).map_or_else(|_| stated.to_string(), |quantity| view.typed(&quantity))
}

/// What its maker states, beside what was observed.
pub fn stated_rows(view: &View, device: &Device) -> Vec<StatedRow> {
    let Some(spec) = view.record.spec_of(view.tank, device) else {
        return Vec::new();
    };
    spec.stated
        .iter()
        .map(|(key, text)| {
            let mut remark = String::new();
            let observed = match key.as_str() {
                "power" => device.watts.as_ref().map(|watts| {
                    Shown::new(
                        fixed(watts.value.typed, watts.value.decimals.into()),
                        watts.value.unit.symbol,
                        Basis::Measured,
                    )
                }),
                "flow" => {
                    let pump = view.of.pumps.iter().find(|pump| pump.device == device.key);
                    let test = pump.and_then(|pump| pump.last_test);
                    let today = view.shown(&format!("flow.{}", device.key));
                    let parts = [
                        test.map(|(on, _)| format!("tested {}", date_text(on).text)),
                        today.map(|today| format!("worked out for today: {}", said(&today))),
                    ];
                    remark = sentence_case(&parts.into_iter().flatten().collect::<Vec<_>>().join("; "));
                    let shift = view.shift("L/h");
                    test.map(|(_, flow)| Shown::new(fixed(shift.value(flow), 0), shift.unit, Basis::Measured))
                }
                _ => None,
            };
            StatedRow {
                label: sentence_case(&key.replace('-', " ")),
                stated: Some(Shown::new(in_system(view, &text.value), "", Basis::Stated)),
                observed,
                remark,
            }
        })
        .collect()
}

fn forgets(device: &Device) -> Vec<Fact> {
    let Some(forgets) = &device.forgets else {
        return Vec::new();
    };
    let mut facts = vec![
        Fact::new("Keeps its settings", vec![Run::text(forgets.keeps_settings.word())]),
        Fact::new("Keeps its clock", vec![Run::text(forgets.keeps_clock.word())]),
        Fact::new("Follows summer time", vec![Run::text(forgets.follows_summer_time.word())]),
        Fact::new("Restarts by itself", vec![Run::text(forgets.restarts_itself.word())]),
        Fact::new(
            "When power returns",
            vec![Run::text(match forgets.state_at_power_up.word() {
                "unknown" => "not known",
                "last" => "as it was before",
                "full" => "at full level",
                word => word,
            })],
        ),
    ];
    if let Some(hand) = &forgets.needs_hand {
        facts.push(Fact::new("Needs a hand", vec![Run::text(hand.clone())]));
    }
    facts
}

fn forgets_note(device: &Device, as_of: Date) -> String {
    match device.forgets.as_ref().map(|forgets| &forgets.tested_on) {
        None => "What it forgets in a power cut is not recorded.".into(),
        Some(None) => "Never rehearsed.".into(),
        Some(Some(tested)) => format!("Rehearsed {}, {}.", date_text(tested.value).text, ago(tested.value, as_of)),
    }
}

/// Cleanings and services with what was gained, newest first.
fn service(view: &View, device: &Device) -> (String, Vec<UpkeepDone>) {
    let tasks: Vec<&str> = view
        .tank
        .upkeep
        .tasks
        .values()
        .filter(|task| task.device.as_ref().is_some_and(|named| named.value == device.key))
        .map(|task| task.key.as_str())
        .collect();
    let mut rows: Vec<UpkeepDone> = Vec::new();
    let mut before: Option<Date> = None;
    for (index, entry) in view.tank.entries.iter().enumerate() {
        let Some(done) = entry.done.iter().find(|done| tasks.contains(&done.value.as_str())) else {
            continue;
        };
        let what = view.tank.upkeep.tasks.get(&done.value).map_or(done.value.clone(), |task| task.what.clone());
        let tests: Vec<f64> =
            entry.flow_tests.iter().filter(|(name, _)| name.value == device.key).map(|(_, flow)| flow.value).collect();
        // A flow test of the same day, or of the week before, is the "before" of a cleaning.
        let earlier = view.tank.entries[..index]
            .iter()
            .rev()
            .take_while(|other| days_between(other.date(), entry.date()) <= 14)
            .find_map(|other| {
                other.flow_tests.iter().rev().find(|(name, _)| name.value == device.key).map(|(_, flow)| flow.value)
            });
        let shift = view.shift("L/h");
        let flow = |kept: f64| fixed(shift.value(kept), 0);
        let unit = &shift.unit;
        let gained = match (tests.as_slice(), earlier) {
            ([first, .., last], _) => format!("flow from {} to {} {unit}, measured", flow(*first), flow(*last)),
            ([after], Some(earlier)) => format!("flow from {} to {} {unit}, measured", flow(earlier), flow(*after)),
            ([after], None) => format!("flow {} {unit} afterwards, measured; not measured before", flow(*after)),
            _ => "not measured".into(),
        };
        rows.push(UpkeepDone {
            date: date_text(entry.date()),
            task: what,
            after: before.map_or("the first time".into(), |before| {
                format!("{} days after the last time", days_between(before, entry.date()))
            }),
            gained,
            href: Some(view.entry_href(index)),
        });
        before = Some(entry.date());
    }
    rows.reverse();
    let states: Vec<String> = view
        .of
        .tasks
        .iter()
        .filter(|task| tasks.contains(&task.key.as_str()))
        .map(|task| {
            let habit =
                task.habit_days.map_or(String::new(), |days| format!(", by habit every {} days", fixed(days, 0)));
            let last = task
                .done
                .last()
                .map_or("never done yet".into(), |last| format!("last {}", ago(*last, view.record.as_of)));
            format!("{}: {} by intent{habit}, {last}", sentence_case(&task.what), task.every.every())
        })
        .collect();
    (if states.is_empty() { String::new() } else { sentence(&states.join("; ")) }, rows)
}

fn mentions(view: &View, device: &Device) -> Vec<DatedText> {
    let mut found = Vec::new();
    for (index, entry) in view.tank.entries.iter().enumerate().rev() {
        let seen = entry.seen.iter().find(|(name, _)| name.value == device.key).map(|(_, text)| text.clone());
        let shown = entry.photos.iter().any(|photo| photo.of.contains(&device.key));
        if let Some(text) = seen.or_else(|| shown.then(|| heading(entry))) {
            found.push(DatedText { date: date_text(entry.date()), text, href: Some(view.entry_href(index)) });
        }
    }
    found
}
