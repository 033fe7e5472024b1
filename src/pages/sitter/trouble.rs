//! Page 2: the emergency block, then what to do by what is seen.

use super::Desk;
use super::fit;
use super::visit;
use super::words::Html;
use crate::figures::heat::model::LONGEST_HOURS;
use crate::figures::stay::TopUp;
use crate::figures::stay::warmth::{CUT, STRANDED, STUCK, UNHEATED};
use crate::pages::sitter::model::*;
use crate::record::equipment::{Forgets, PowerUp, Schedule};
use crate::record::{Device, Role, YesNo};

/// Devices that are named in a sentence.
const RUNS: usize = 3;
/// Letters of what to press after a power cut; the device's card has all of it.
const PRESS: usize = 90;
/// Hours of a power cut after which somebody is called whatever the tank could stand (judgement, no source).
const CALL_AFTER: f64 = 2.0;
/// Hours after which a cold tank is read again, at most (judgement, no source).
const READ_AGAIN: f64 = 2.0;
/// "Call today" may mean so many hours later (judgement, no source).
const TODAY: f64 = 12.0;

pub fn fill(desk: &Desk, sheet: &mut SitterSheet) {
    sheet.emergency = emergency(desk);
    sheet.cases = vec![
        power(desk),
        hot(desk),
        cold(desk),
        stuck(desk),
        floor(desk),
        low(desk),
        pump(desk),
        plain(desk, "case_cloudy", &["cloudy_1", "cloudy_2", "cloudy_3"], "cloudy_stop"),
        plain(desk, "case_animal", &["animal_1", "animal_2", "animal_3"], "animal_stop"),
        alarm(desk),
        lamp(desk),
    ];
    // Without a heater nothing can stick.
    if heaters(desk).is_empty() {
        sheet.cases.remove(3);
    }
    fit::second_page(desk, sheet);
}

/// In the order of the fixed block: where the switches are, whom to call, people before animals, what harms people, the
/// tank, and what not to do.
fn emergency(desk: &Desk) -> Vec<String> {
    let words = desk.words();
    let known = &desk.plan.emergency;
    let text =
        |line: &Option<crate::record::Located<String>>| desk.secret(line.as_ref().map(|line| line.value.as_str()));
    // The emergency number is everybody's.
    let number = known.number.as_ref().map_or(words.get("blank").to_string(), |number| desk.said(&number.value));
    let who: Vec<String> = desk
        .plan
        .call
        .iter()
        .filter_map(|call| desk.tank.contacts.get(&call.value))
        .filter(|_| !desk.without_private)
        .take(2)
        .map(|contact| {
            let name = fit::cut(&desk.said(contact.name.as_deref().unwrap_or(&contact.key)), 24);
            format!("{name} {}", desk.secret(contact.phone.as_deref()))
        })
        .collect();
    let who = if who.is_empty() { words.get("blank").to_string() } else { who.join(", ") };
    let limits = desk.stay.limits;
    let short = |label: &str, text: &str, most: usize| Html(desk.fit(words.get(label), text, most));
    vec![
        words.fill("em_breaker", &[("what", &short("breaker_label", &text(&known.breaker), 60))]),
        words.fill("em_water", &[("what", &short("water_stop_label", &text(&known.water_stop), 52))]),
        words.fill(
            "em_numbers",
            &[
                ("number", &number),
                ("poison", &text(&known.poison_centre)),
                ("who", &who),
                ("address", &short("address_label", &text(&desk.plan.address), 40)),
            ],
        ),
        words.get("em_person").into(),
        words.get("em_shock").into(),
        words.get("em_floor").into(),
        words.get("em_smell").into(),
        words.get(if visit::has_zoanthids(desk) { "em_ill_palytoxin" } else { "em_ill" }).into(),
        words.fill(
            "em_tank",
            &[("hot", &desk.reader.temperature(limits.call_hot)), ("cold", &desk.reader.temperature(limits.call_cold))],
        ),
        words.get("em_not").into(),
    ]
}

fn plain(desk: &Desk, title: &str, steps: &[&str], stop: &str) -> SitterCase {
    let words = desk.words();
    SitterCase {
        title: words.get(title).into(),
        steps: steps.iter().map(|key| words.get(key).to_string()).collect(),
        stop: words.get(stop).into(),
        ..SitterCase::default()
    }
}

fn of_roles<'a>(desk: &'a Desk, roles: &[Role]) -> Vec<&'a Device> {
    let mut found: Vec<&Device> = Vec::new();
    for role in roles {
        found.extend(desk.devices().filter(|device| device.role.value == *role));
    }
    found
}

fn heaters<'a>(desk: &'a Desk) -> Vec<&'a Device> {
    of_roles(desk, &[Role::Heater])
}

/// `both heaters (4)(5)`
fn heaters_named(desk: &Desk, heaters: &[&Device]) -> Html {
    let places =
        Html(heaters.iter().map(|heater| desk.places.device(&heater.key).0).collect::<Vec<_>>().join("\u{a0}"));
    let words = desk.words();
    Html(match heaters.len() {
        1 => words.fill("one_heater", &[("place", &places)]),
        2 => words.fill("both_heaters", &[("places", &places)]),
        count => words.fill("all_heaters", &[("count", &count), ("places", &places)]),
    })
}

fn named(desk: &Desk, devices: &[&Device]) -> Html {
    let names: Vec<String> = devices.iter().map(|device| desk.places.named(device).0).collect();
    Html(desk.reader.list(&names))
}

/// By number where they have one, else by name.
fn numbered(desk: &Desk, devices: &[&Device]) -> Html {
    let named = devices.iter().map(|device| match desk.places.device(&device.key).0 {
        mark if mark.is_empty() => desk.places.named(device).0,
        mark => mark,
    });
    Html(desk.reader.list(&named.collect::<Vec<_>>()))
}

fn power(desk: &Desk) -> SitterCase {
    let words = desk.words();
    let mut case = SitterCase { title: words.get("case_power").into(), ..SitterCase::default() };
    case.steps.push(words.get("power_1").into());
    let batteries = of_roles(desk, &[Role::Battery]);
    // Only one that is known to have a battery of its own runs on in a cut.
    let air: Vec<&Device> =
        of_roles(desk, &[Role::AirPump]).into_iter().filter(|pump| has_battery(desk, pump)).collect();
    if let Some(pump) = air.first() {
        case.steps.push(words.fill("power_2_air", &[("device", &desk.places.named(pump))]));
    }
    if let Some(battery) = batteries.first() {
        case.steps.push({
            let mut meant: Vec<&Device> = battery.runs.iter().filter_map(|run| desk.tank.device(&run.value)).collect();
            if meant.len() > RUNS {
                desk.in_full(words.get("case_power"), named(desk, &meant).0);
                meant.truncate(RUNS);
            }
            let order = match meant.is_empty() {
                true => of_roles(desk, &[Role::AirPump, Role::CirculationPump, Role::ReturnPump]),
                false => meant,
            };
            words.fill("power_2_battery", &[("battery", &desk.places.named(battery)), ("order", &named(desk, &order))])
        });
    }
    let stirred = batteries.is_empty() && air.is_empty();
    let stir = if stirred { "power_2_none" } else { "power_2_empty" };
    case.steps.push(words.fill(stir, &[("scoop", &desk.reader.scoop())]));
    case.steps.push(words.get("power_3").into());
    let limits = desk.stay.limits;
    let hours = desk.bound("heat.power-cut-hours");
    match (hours, &desk.findings.tanks[&desk.tank.key].heat.target) {
        (Some(hours), Some((set, _))) => {
            let (from, hours) = (desk.reader.temperature(*set), desk.reader.at_least(hours));
            let cold = desk.reader.temperature(limits.cold);
            // Nobody knows how long it has been out: the thermometer tells what is left.
            case.facts.push(match desk.bound(CUT) {
                Some(left) => words.fill(
                    "power_hours_both",
                    &[("from", &from), ("hours", &hours), ("cold", &cold), ("left", &desk.reader.at_least(left))],
                ),
                None => words.fill("power_hours", &[("from", &from), ("hours", &hours)]),
            });
        }
        _ => case.facts.push(words.get("power_unknown").into()),
    }
    for device in air.iter().take(1).chain(batteries.iter().take(1)) {
        let key = format!("power.battery-hours.{}", device.key);
        if let Some(hours) = desk.at_least(&key).map(f64::floor).filter(|hours| *hours >= 1.0) {
            let device = desk.places.named(device);
            case.facts.push(words.fill("power_battery", &[("device", &device), ("hours", &(hours as usize))]));
        }
    }
    let call = hours.map_or(1.0, |hours| (hours / 2.0).floor().clamp(1.0, CALL_AFTER));
    let cold = desk.reader.temperature(limits.cold);
    case.stop = words.fill("power_stop", &[("hours", &(call as usize)), ("cold", &cold)]);
    case.after = forgetful(desk).into_iter().map(|(device, forgets)| afterwards(desk, device, forgets)).collect();
    case.after.push(words.get("power_rest").into());
    case.after_head = Some(words.get("power_back").into());
    case
}

fn has_battery(desk: &Desk, device: &Device) -> bool {
    let spec = desk.record.spec_of(desk.tank, device);
    device.capacity.is_some() || spec.is_some_and(|spec| spec.capacity.is_some())
}

/// Devices that a power cut leaves otherwise than they were.
fn forgetful<'a>(desk: &'a Desk) -> Vec<(&'a Device, &'a Forgets)> {
    let mut found: Vec<(&Device, &Forgets)> = super::appendix::carded(desk.tank, desk.stay)
        .into_iter()
        .filter_map(|device| Some((device, device.forgets.as_ref()?)))
        .filter(|(device, forgets)| is_left_otherwise(desk, device, forgets))
        .collect();
    // What moves water comes first, then light, then the rest.
    found.sort_by_key(|(device, _)| match device.role.value {
        Role::ReturnPump | Role::CirculationPump => 0,
        Role::Lamp => 1,
        _ => 2,
    });
    found
}

/// Whether a power cut leaves a device otherwise than it was.
pub fn is_left_otherwise(desk: &Desk, device: &Device, forgets: &Forgets) -> bool {
    forgets.keeps_settings == YesNo::No
        || (forgets.keeps_clock == YesNo::No && goes_by_the_clock(desk, device))
        || forgets.restarts_itself == YesNo::No
        || forgets.needs_hand.is_some()
        || matches!(forgets.state_at_power_up, PowerUp::Full)
}

pub fn power_up(desk: &Desk, state: PowerUp) -> String {
    let key = match state {
        PowerUp::On => "state_on",
        PowerUp::Off => "state_off",
        PowerUp::Last => "state_last",
        PowerUp::Full => "state_full",
        PowerUp::Unknown => "state_unknown",
    };
    desk.words().get(key).to_string()
}

fn afterwards(desk: &Desk, device: &Device, forgets: &Forgets) -> String {
    let words = desk.words();
    let mut state = power_up(desk, forgets.state_at_power_up);
    if forgets.keeps_clock == YesNo::No && goes_by_the_clock(desk, device) {
        state = format!("{state}, {}", words.get("forgets_clock"));
    }
    let press = match &forgets.needs_hand {
        Some(press) => Html(desk.fit(&device.name.value, &sentence(&desk.said(press)), PRESS)),
        None => Html(words.get("power_press_unknown").to_string()),
    };
    words.fill(
        "power_forgets",
        &[
            ("device", &fit::cut(&desk.said(&device.name.value), 36)),
            ("place", &desk.places.device(&device.key)),
            ("state", &state),
            ("press", &press),
        ],
    )
}

/// A pump that always runs has no use for its clock.
fn goes_by_the_clock(desk: &Desk, device: &Device) -> bool {
    let schedule = device.settings.at(desk.stay.period.from).and_then(|stretch| stretch.value.schedule.as_ref());
    !device.role.value.moves_water() || schedule.is_some_and(|schedule| schedule.value != Schedule::Always)
}

/// With a capital first and a full stop last.
pub fn sentence(text: &str) -> String {
    let mut characters = text.trim().chars();
    let first = characters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    let text = format!("{first}{}", characters.as_str());
    if text.is_empty() || text.ends_with(['.', '!', '?']) { text } else { format!("{text}.") }
}

fn hot(desk: &Desk) -> SitterCase {
    let (words, reader, limits) = (desk.words(), &desk.reader, desk.stay.limits);
    let heaters = heaters(desk);
    let mut case = SitterCase {
        title: words.fill("case_hot", &[("hot", &reader.temperature(limits.hot))]),
        stop: words.fill("hot_stop", &[("alarm", &reader.temperature(limits.call_hot))]),
        ..SitterCase::default()
    };
    case.steps.push(match heaters.is_empty() {
        true => words.get("hot_1_none").into(),
        false => words.fill("hot_1", &[("heaters", &heaters_named(desk, &heaters))]),
    });
    case.steps.push(match fans(desk).first() {
        Some(fan) => words.fill("hot_2_fan", &[("fan", &desk.places.named(fan))]),
        None => words.get("hot_2").into(),
    });
    if let Some(range) = desk.stay.normal.temperature.filter(|_| !heaters.is_empty()) {
        let one = words.get(if heaters.len() > 1 { "only_one" } else { "it_again" }).to_string();
        case.steps.push(words.fill("hot_3", &[("high", &reader.temperature(range.high)), ("one", &one)]));
    }
    case
}

/// Fans that are in use: one whose schedule is off was put away.
fn fans<'a>(desk: &'a Desk) -> Vec<&'a Device> {
    let mut fans = of_roles(desk, &[Role::Fan]);
    fans.retain(|fan| {
        let schedule = fan.settings.at(desk.stay.period.from).and_then(|stretch| stretch.value.schedule.as_ref());
        schedule.is_none_or(|schedule| schedule.value != Schedule::Off)
    });
    fans
}

fn cold(desk: &Desk) -> SitterCase {
    let (words, reader, limits) = (desk.words(), &desk.reader, desk.stay.limits);
    let heaters = heaters(desk);
    let first = match heaters.is_empty() {
        true => words.get("cold_1_none").into(),
        false => words.fill("cold_1", &[("heaters", &heaters_named(desk, &heaters))]),
    };
    // Read again before it can have come to where somebody is called.
    let again = desk.bound(UNHEATED).map_or(READ_AGAIN, |hours| (hours / 2.0).clamp(0.5, READ_AGAIN));
    SitterCase {
        title: words.fill("case_cold", &[("cold", &reader.temperature(limits.cold))]),
        steps: vec![first, words.get("cold_2").into(), words.fill("cold_3", &[("time", &reader.at_least(again))])],
        stop: words.fill("cold_stop", &[("alarm", &reader.temperature(limits.call_cold))]),
        ..SitterCase::default()
    }
}

fn stuck(desk: &Desk) -> SitterCase {
    let (words, reader) = (desk.words(), &desk.reader);
    let named = heaters_named(desk, &heaters(desk));
    let limits = desk.stay.limits;
    // The step begins at `hot`, so the time that is left counts from there, not from what is set.
    let hours = desk.bound(STUCK).filter(|hours| *hours < LONGEST_HOURS);
    let top = desk.bound("heat.stuck-heater-temperature");
    SitterCase {
        title: words.fill("case_stuck", &[("hot", &reader.temperature(limits.hot))]),
        steps: vec![
            words.fill("stuck_1", &[("heaters", &named)]),
            words.get("stuck_3").into(),
            match (hours, top) {
                (Some(hours), _) => words.fill(
                    "stuck_2_hours",
                    &[("alarm", &reader.temperature(limits.call_hot)), ("time", &reader.at_least(hours))],
                ),
                (None, Some(top)) => words.fill("stuck_2", &[("top", &reader.temperature(top))]),
                (None, None) => words.get("stuck_2_unknown").into(),
            },
        ],
        stop: words.get("stuck_stop").into(),
        ..SitterCase::default()
    }
}

fn floor(desk: &Desk) -> SitterCase {
    let words = desk.words();
    let pumps = of_roles(desk, &[Role::ReturnPump, Role::TopOff]);
    let second = match pumps.is_empty() {
        true => words.get("floor_2_none").into(),
        false => words.fill("floor_2", &[("pumps", &numbered(desk, &pumps))]),
    };
    SitterCase {
        title: words.get("case_floor").into(),
        steps: vec![words.get("floor_1").into(), second, words.get("floor_3").into()],
        stop: words.get("floor_stop").into(),
        ..SitterCase::default()
    }
}

/// Below the mark and above it.
fn low(desk: &Desk) -> SitterCase {
    let (words, reader) = (desk.words(), &desk.reader);
    let low = desk.plan.level.as_ref().and_then(|level| level.low.as_ref());
    let low = low.map_or(words.get("low_unknown").to_string(), |low| reader.length(low.value.value));
    let first = match (&desk.stay.water.by, desk.stay.water.most_a_day) {
        (TopUp::ByHand, Some(most)) => words.fill("low_1_hand", &[("low", &low), ("most", &reader.water(most))]),
        _ => words.fill("low_1", &[("low", &low)]),
    };
    let second = if heaters(desk).is_empty() { "low_2" } else { "low_2_heater" };
    let third = match &desk.stay.water.by {
        TopUp::Device { device, .. } => {
            let device = desk.tank.device(device).map_or(Html::default(), |device| numbered(desk, &[device]));
            words.fill("low_3", &[("device", &device)])
        }
        TopUp::ByHand => words.get("low_3_hand").into(),
    };
    SitterCase {
        title: words.get("case_low").into(),
        steps: vec![first, words.get(second).into(), third],
        stop: words.fill("low_stop", &[("low", &low)]),
        ..SitterCase::default()
    }
}

fn pump(desk: &Desk) -> SitterCase {
    let words = desk.words();
    let pumps = of_roles(desk, &[Role::ReturnPump, Role::CirculationPump]);
    let first = match pumps.is_empty() {
        true => words.get("pump_1_none").into(),
        // Many are told by their numbers alone.
        false if pumps.len() > RUNS => words.fill("pump_1", &[("pumps", &numbered(desk, &pumps))]),
        false => words.fill("pump_1", &[("pumps", &named(desk, &pumps))]),
    };
    let last = match of_roles(desk, &[Role::AirPump]).first() {
        Some(air) => words.fill("pump_3_air", &[("device", &desk.places.named(air))]),
        None => words.get("pump_3").into(),
    };
    SitterCase {
        title: words.get("case_pump").into(),
        steps: vec![first, words.get("pump_2").into(), last],
        stop: match of_roles(desk, &[Role::ReturnPump]).first() {
            // Without its water the heaters in the sump no longer warm the tank.
            Some(pump) if desk.bound(STRANDED).is_some_and(|hours| hours < TODAY) => {
                words.fill("pump_stop_return", &[("pump", &numbered(desk, &[pump]))])
            }
            _ => words.get("pump_stop").into(),
        },
        ..SitterCase::default()
    }
}

fn alarm(desk: &Desk) -> SitterCase {
    let words = desk.words();
    let mut case = plain(desk, "case_alarm", &["alarm_1", "alarm_2"], "alarm_stop");
    case.steps.push(match of_roles(desk, &[Role::LeakAlarm]).first() {
        Some(alarm) => words.fill("alarm_3", &[("place", &desk.places.device(&alarm.key))]),
        None => words.get("alarm_3_plain").into(),
    });
    case
}

fn lamp(desk: &Desk) -> SitterCase {
    let words = desk.words();
    let hours: Vec<String> = desk
        .stay
        .lamps
        .iter()
        .map(|lamp| {
            let span = |(on, off)| {
                words.fill("lamp_hours", &[("on", &desk.reader.clock(on)), ("off", &desk.reader.clock(off))])
            };
            let hours = span((lamp.on, lamp.off));
            match visit::left_behind(desk, lamp) {
                Some((on, behind)) => words.fill(
                    "lamp_hours_behind",
                    &[("hours", &Html(hours)), ("date", &desk.reader.date(on)), ("then", &Html(span(behind)))],
                ),
                None => hours,
            }
        })
        .collect();
    let first = match hours.len() {
        0 => words.get("lamp_1_unknown").into(),
        2.. => words.get("lamp_1_several").into(),
        1 => words.fill("lamp_1", &[("hours", &Html(hours.join(", ")))]),
    };
    SitterCase {
        title: words.get("case_lamp").into(),
        steps: vec![first, words.get("lamp_2").into()],
        stop: words.get("lamp_stop").into(),
        ..SitterCase::default()
    }
}
