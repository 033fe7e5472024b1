//! One device that fails, all else as it is.

use super::{DARK_HOURS, Desk, Failure, Harm, HarmBy, Mode, first, harm};
use crate::figures::heat::ThermostatOrder;
use crate::figures::heat::spread::Side;
use crate::figures::number;
use crate::record::{Device, Parameter, Role};

pub fn failures(desk: &Desk) -> Vec<Failure> {
    desk.devices()
        .flat_map(|device| match device.role.value {
            Role::Heater => vec![heater_on(desk, device), heater_off(desk, device)],
            Role::Controller => controller(desk, device),
            Role::CirculationPump | Role::ReturnPump => vec![pump(desk, device)],
            Role::AirPump if desk.moves_water(device) => vec![pump(desk, device)],
            Role::Skimmer => vec![skimmer(desk, device)],
            Role::Lamp => vec![lamp_on(device), lamp_off(device)],
            Role::TopOff => vec![top_off_on(desk, device), top_off_off(desk, device)],
            Role::Fan if !desk.is_off(device) => vec![fan_off(desk, device)],
            Role::Chiller => vec![chiller_on(desk, device), chiller_off(desk, device)],
            Role::DosingPump => vec![super::dosing::stuck_on(desk, device)],
            Role::Probe => vec![probe(desk, device)],
            Role::Co2Cylinder => vec![co2(device)],
            _ => Vec::new(),
        })
        .collect()
}

pub(super) fn row(device: &Device, mode: Mode) -> Failure {
    Failure {
        key: format!("{}.{}", device.key, mode.words().replace(' ', "-")),
        device: Some(device.key.clone()),
        what: device.name.value.clone(),
        mode,
        follows: Vec::new(),
        harm: None,
        remains: String::new(),
        catches: Vec::new(),
    }
}

fn ends(desk: &Desk, heating: &dyn Fn(&str) -> bool) -> String {
    match desk.ends_at(heating) {
        Some((low, high)) => {
            format!("The water may end between {} and {}.", desk.degrees(low), desk.degrees(high))
        }
        None => "How warm it gets is not known: the balance of heat lacks something.".into(),
    }
}

fn heater_on(desk: &Desk, device: &Device) -> Failure {
    let heating = |key: &str| key == device.key;
    let mut failure = row(device, Mode::StuckOn);
    failure.follows.push("Its own thermostat no longer switches it off.".into());
    failure.follows.push(ends(desk, &heating));
    failure.harm = desk.hot(&heating);
    failure.remains = others(desk, device, Role::Heater, "the other heaters obey and stay off");
    if failure.remains.is_empty() {
        failure.remains = "a plug that can be pulled".into();
    }
    let controlled = desk.devices().find(|other| other.role.value == Role::Controller);
    if let Some(controller) = controlled {
        failure.catches.push(format!("{}, if it switches this heater", controller.name.value));
    }
    failure.catches.extend(desk.alarm_words(HarmBy::Heat));
    failure
}

fn others(desk: &Desk, device: &Device, role: Role, words: &str) -> String {
    let there = desk.devices().any(|other| other.role.value == role && other.key != device.key);
    if there { words.to_string() } else { String::new() }
}

fn heater_off(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOff);
    let dead = |key: &str| key == device.key;
    let left = desk.devices().filter(|other| other.role.value == Role::Heater && other.key != device.key);
    let names = desk.names(left);
    failure.harm = desk.cold(&dead);
    if names.is_empty() {
        failure.follows.push("No heat but that of pumps and lamps is left; the water follows the room.".into());
    } else {
        failure
            .follows
            .push("The heaters that are left run longer, and the water falls where they are too weak.".into());
        failure.remains = names;
    }
    failure.catches.extend(desk.alarm_words(HarmBy::Cold));
    failure
}

fn controller(desk: &Desk, device: &Device) -> Vec<Failure> {
    let heats = desk.devices().any(|other| other.role.value == Role::Heater);
    if !heats {
        return Vec::new();
    }
    let mut on = row(device, Mode::StuckOn);
    on.follows.push("A relay that sticks keeps every heater on it on; each heater’s own dial is what is left.".into());
    let all = |_: &str| true;
    on.harm = desk.hot(&all);
    on.follows.push(ends(desk, &all));
    on.remains = "the heaters’ own dials, and a plug that can be pulled".into();
    for state in &desk.of.heat.thermostats.0 {
        if let (ThermostatOrder::Right, Some(dial)) = (&state.order, state.dial) {
            on.catches.push(format!("the dial of {} at {}", state.name, desk.degrees(dial)));
        }
    }
    let mut lost = row(device, Mode::Lost);
    lost.follows
        .push("Its outlets stay as they were: off, and nothing heats; on, and the dials of the heaters hold.".into());
    lost.follows.push("Its alarm and its log fall silent too.".into());
    let heaters = |key: &str| desk.tank.device(key).is_some_and(|other| other.role.value == Role::Heater);
    lost.harm = desk.cold(&heaters);
    vec![on, lost]
}

/// A pump that stops: what else moves the water, and which heaters its water no longer reaches.
fn pump(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOff);
    let is_return = device.role.value == Role::ReturnPump;
    // Heaters in the sump no longer warm the tank; one that stands nobody knows where is counted on neither way.
    let stranded = |key: &str, unknown: bool| {
        let heater = desk.tank.device(key).filter(|other| is_return && other.role.value == Role::Heater);
        heater.is_some_and(|other| desk.in_sump(other).unwrap_or(unknown))
    };
    let dead = |key: &str| key == device.key || stranded(key, false);
    let may_be_dead = |key: &str| key == device.key || stranded(key, true);
    let left = desk.names(desk.devices().filter(|other| desk.moves_water(other) && other.key != device.key));
    failure.harm = first([desk.oxygen(&dead), desk.cold_between(&dead, &may_be_dead, &|_| Vec::new())]);
    if left.is_empty() {
        failure.follows.push("Nothing else moves the water: oxygen falls within hours.".into());
    } else {
        failure.follows.push("Less water moves; animals in still corners suffer first.".into());
        failure.remains = left;
    }
    if is_return && desk.tank.sump_size.is_some() {
        failure
            .follows
            .push("Water runs back into the sump, and what heats or skims there no longer reaches the tank.".into());
        let untold = desk.devices().filter(|other| other.role.value == Role::Heater && desk.in_sump(other).is_none());
        let untold = desk.names(untold);
        if !untold.is_empty() {
            failure.follows.push(format!(
                "Which water these stand in is not recorded (`stands-in: display` or `sump`): {untold}. The shorter time counts them as in the sump."
            ));
        }
    }
    failure.catches.extend(failure.harm.and_then(|harm| desk.alarm_words(harm.by)));
    failure
}

fn skimmer(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOff);
    let dead = |key: &str| key == device.key;
    failure.harm = desk.oxygen(&dead);
    failure.follows.push("Less air at night and no export; after a stop its cup may overflow.".into());
    failure.remains = desk.names(desk.devices().filter(|other| desk.moves_water(other) && other.key != device.key));
    failure
}

fn lamp_on(device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOn);
    failure.follows.push("Light without a night, and its heat: corals bleach over days; how many is not known.".into());
    failure.remains = "a plug that can be pulled".into();
    failure
}

fn lamp_off(device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOff);
    let (low, high) = DARK_HOURS;
    failure.harm = Some(Harm { by: HarmBy::Light, at_least: Some(low), at_most: Some(high), assumed: true });
    failure.follows.push(
        "Corals live on what they stored; three to four days pass without loss (common practice, no source).".into(),
    );
    failure.remains = "daylight of the room".into();
    failure
}

fn top_off_on(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOn);
    let figure = |key: &str| desk.figure(key);
    let dumped = figure("topup.full-dump-salinity");
    let limit = desk.tank.limits.get(&Parameter::Salinity).map(|limit| limit.value.low).filter(|low| low.is_finite());
    let spec = desk.record.spec_of(desk.tank, device);
    let reservoir = desk.record.reservoir_of(desk.tank, device).map(|(reservoir, _)| reservoir);
    let flow = spec.and_then(|spec| spec.flow.as_ref()).map(|flow| flow.value.value);
    match dumped {
        Some(figure) => {
            failure.follows.push(format!(
                "The whole reservoir runs in; the salinity ends at {} ppt.",
                number((figure.value * 10.0).round() / 10.0)
            ));
            let fall = crate::figures::heat::HARMLESS_FALL;
            let largest = desk.figure("topup.largest-harmless");
            // The least that may be harmless.
            let largest = largest.map(|largest| (largest.value - 2.0 * largest.uncertainty).max(0.0));
            let litres = reservoir.map(|reservoir| reservoir.value.value);
            let harmful = largest.zip(litres).is_some_and(|(largest, litres)| litres > largest)
                || limit.is_some_and(|limit| figure.value - 2.0 * figure.uncertainty < limit);
            if let (true, Some(flow), Some(litres), Some(largest)) = (harmful, flow, litres, largest) {
                // From the harmless amount at the fastest to the whole at the slowest.
                let (slow, fast) = (flow * (1.0 - TOP_OFF_FLOW), flow * (1.0 + TOP_OFF_FLOW));
                failure.harm = harm(HarmBy::Salinity, largest.min(litres) / fast, litres / slow);
            } else if harmful {
                failure.harm = Some(Harm { by: HarmBy::Salinity, at_least: None, at_most: None, assumed: false });
            } else {
                failure.follows.push(format!("That is no more than {} ppt lower than now.", number(fall)));
            }
        }
        None => failure.follows.push("How much it dilutes is not known: the reservoir is not written.".into()),
    }
    failure.remains = "the reservoir is all that can run in".into();
    let longest = device.settings.at(desk.record.as_of).and_then(|stretch| stretch.value.longest_run.as_ref());
    if let Some(longest) = longest {
        let seconds = longest.value * 3600.0;
        let words = if seconds < 120.0 {
            format!("{} s", number(seconds.round()))
        } else {
            format!("{} min", number((seconds / 60.0).round()))
        };
        failure.catches.push(format!("its longest run of {words}"));
    }
    failure
}

/// A small pump may give so much more or less than its sheet states (common practice, no source).
const TOP_OFF_FLOW: f64 = 0.25;

fn top_off_off(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOff);
    let figure = |key: &str| desk.figure(key);
    let daily = figure("water.evaporation").or_else(|| figure("heat.evaporation"));
    let (Some(daily), Some(gain), Some(volume)) = (daily, figure("topup.salinity-per-day"), figure("water.net-volume"))
    else {
        failure.follows.push("The salinity climbs as the water goes.".into());
        return failure;
    };
    failure.follows.push(format!(
        "The salinity climbs by {} ppt a day, and a pump in the sump may run dry.",
        number((gain.value * 100.0).round() / 100.0)
    ));
    let limit =
        desk.tank.limits.get(&Parameter::Salinity).map(|limit| limit.value.high).filter(|high| high.is_finite());
    // S·V/(V − E·t) reaches the limit; S from what a day adds: ΔS = S·E/(V − E).
    let salinity = gain.value * (volume.value - daily.value) / daily.value;
    let limit = limit.unwrap_or(SALINITY_LIMIT);
    let days = |daily: f64, salinity: f64| volume.value * (1.0 - salinity / limit) / daily;
    let (u_e, u_s) = (2.0 * daily.uncertainty, 2.0 * 0.5);
    let worse = days(daily.value + u_e, salinity + u_s).max(0.0) * 24.0;
    let better = days((daily.value - u_e).max(daily.value * 0.1), salinity - u_s) * 24.0;
    failure.harm = Some(Harm {
        by: HarmBy::Salinity,
        at_least: Some(worse),
        at_most: Some(better).filter(|hours| hours.is_finite()),
        assumed: false,
    });
    failure.remains = "topping off by hand".into();
    failure
}

/// Upper limit of the salinity where none is written, ppt (common practice, no source).
const SALINITY_LIMIT: f64 = 38.0;

fn fan_off(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOff);
    failure.follows.push("On a hot day the water loses less by evaporation.".into());
    failure.follows.push(ends(desk, &|_| false));
    failure.harm = desk.hot(&|_| false);
    failure.catches.extend(desk.alarm_words(HarmBy::Heat));
    failure
}

fn chiller_on(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOn);
    failure.follows.push("It cools without end, and the heaters work against it.".into());
    let known = desk.balances().is_some_and(|balances| balances.side(Side::Likely).taken_by(&device.key).is_some());
    if known {
        failure.harm =
            desk.cold_between(&|_| false, &|_| false, &|side| side.taken_by(&device.key).into_iter().collect());
        if failure.harm.is_none() {
            failure.follows.push("The heaters and pumps outdo it: the water does not come to its lower limit.".into());
        }
    } else {
        failure.follows.push("How fast is not known: `cooling: 250 W` in its spec sheet.".into());
        failure.harm = Some(Harm { by: HarmBy::Cold, at_least: None, at_most: None, assumed: true });
    }
    failure.remains = desk.names(desk.devices().filter(|other| other.role.value == Role::Heater));
    failure.catches.extend(desk.alarm_words(HarmBy::Cold));
    failure
}

fn chiller_off(desk: &Desk, device: &Device) -> Failure {
    Failure {
        follows: vec!["Nothing cools but the room and evaporation.".into(), ends(desk, &|_| false)],
        ..fan_off(desk, device)
    }
}

fn probe(desk: &Desk, device: &Device) -> Failure {
    let mut failure = row(device, Mode::Lost);
    let all = |_: &str| true;
    failure
        .follows
        .push("A probe out of the water or drifting cold heats without end; the dials of the heaters are left.".into());
    failure.harm = desk.hot(&all);
    for state in &desk.of.heat.thermostats.0 {
        if let (ThermostatOrder::Right, Some(dial)) = (&state.order, state.dial) {
            failure.catches.push(format!("the dial of {} at {}", state.name, desk.degrees(dial)));
        }
    }
    let second = desk.devices().find(|other| other.role.value == Role::Thermometer);
    failure.catches.extend(second.map(|other| format!("{}, when it is read", other.name.value)));
    failure
}

fn co2(device: &Device) -> Failure {
    let mut failure = row(device, Mode::StuckOn);
    failure
        .follows
        .push("A valve that stays open lowers the pH until the cylinder is empty; animals gasp at the surface.".into());
    failure.harm = Some(Harm { by: HarmBy::Chemistry, at_least: None, at_most: None, assumed: true });
    failure.remains = "stirring and air drive it out".into();
    failure
}
