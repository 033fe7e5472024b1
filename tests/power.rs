//! Power and failures of whole records: hours that add up, prices by the hour, loads, batteries, what forgets, what kills
//! first.

mod support;

use jiff::civil::date;
use polypary::figures::failures::{Failure, HarmBy};
use polypary::figures::hours::Purpose;
use polypary::figures::load::ContinuousRule;
use polypary::figures::{Findings, TankFindings};
use polypary::record::Record;

/// The figures of a record and what was told of it.
fn worked(files: &[(&str, &str)]) -> (Record, Findings, String) {
    let worked = support::worked(support::laid(files).path(), date(2026, 6, 1));
    (worked.record, worked.findings, worked.told)
}

fn value(findings: &Findings, key: &str) -> f64 {
    findings.figures.get(".", key).unwrap_or_else(|| panic!("{key} is not there: {:?}", findings.figures.missing)).value
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found} is not {expected}");
}

fn of(findings: &Findings) -> &TankFindings {
    &findings.tanks["."]
}

const TANK: &str = "name: Bay
started: 2023-01-10
zone: Europe/Lisbon
country: PT
size: 60 x 40 x 40 cm
lid: open
water: 75 L, counted at fill
room: 18 to 25 °C
room-humidity: 40 to 60 %
electricity:
  voltage: 230 V
  tariff: 0.30 EUR/kWh
  off-peak: {hours: 22:00 to 06:00, price: 0.10 EUR/kWh}
  circuit-rating: 16 A
";

const PUMP: &str =
    "name: Stream\nrole: circulation-pump\nin-service: 2023-01-10\nwatts: 10 W\nposition: in-water\nplugged: strip\n";
const LAMP: &str = "name: Bar\nrole: lamp\nin-service: 2023-01-10\nwatts: 50 W\nstandby: 1 W\nposition: over-water\nplugged: strip\nsettings: {level: 80 %, schedule: \"08:00 to 20:00, ramp 60 min\"}\n";
const HEATER: &str = "name: Rod\nrole: heater\nin-service: 2023-01-10\nwatts: 100 W\nplugged: strip\nsettings: {temperature: 25 °C, duty: 30 %, schedule: 20:30 to 05:00}\n";
const STRIP: &str = "name: Strip\nrole: power-strip\nin-service: 2023-01-10\nrating: 10 A\nprotection: guard\n";
const GUARD: &str = "name: Guard\nrole: ground-fault-protection\nin-service: 2023-01-10\nrating: 16 A\n";
const LOG: (&str, &str) = ("log/2026.yaml", "2026-05-30: {salinity: 35 ppt, note: all quiet}\n");

fn files() -> Vec<(&'static str, &'static str)> {
    vec![
        ("tank.yaml", TANK),
        ("equipment/pump.yaml", PUMP),
        ("equipment/lamp.yaml", LAMP),
        ("equipment/heater.yaml", HEATER),
        ("equipment/strip.yaml", STRIP),
        ("equipment/guard.yaml", GUARD),
        LOG,
    ]
}

#[test]
fn the_hours_add_up_to_the_day_and_the_purposes_to_the_whole() {
    let (_, findings, told) = worked(&files());
    assert_eq!(told, "");
    let power = &of(&findings).power;
    let mut all = 0.0;
    for device in &power.devices {
        let day = value(&findings, &device.figure);
        near(device.hours.iter().sum(), day);
        all += day;
    }
    near(all, value(&findings, "power.energy-per-day"));
    let purposes: f64 = power.purposes.iter().map(|(_, key)| value(&findings, key)).sum();
    near(purposes, all);
    assert_eq!(power.purposes[0].0, Purpose::Light);
    // By hand: 50 W at 80 % for 11 h counted by area, and 1 W of standby in the other 13.
    near(value(&findings, "power.lamp.energy-per-day"), (40.0 * 11.0 + 13.0) / 1000.0);
    let lamp = power.devices.iter().find(|device| device.device == "lamp").unwrap();
    near(lamp.hours[3], 0.001);
    // The first hour is all ramp: half of it at 40 W, half of it standing by.
    near(lamp.hours[8], (40.0 * 0.5 + 0.5) / 1000.0);
    near(lamp.hours[12], 0.040);
    // The heater: 30 W in the mean over its 8.5 hours, half of the hour from 20:00.
    let heater = power.devices.iter().find(|device| device.device == "heater").unwrap();
    near(heater.hours[20], 0.015);
    near(heater.hours[2], 0.030);
    near(heater.hours[12], 0.0);
}

/// By hand: the pump runs 8 of 24 hours at 0.10 and 16 at 0.30; the heater from 20:30 to 22:00 at 0.30 and seven hours at 0.10;
/// the lamp at 0.30 but for eight hours of standby.
#[test]
fn every_hour_costs_what_its_price_is() {
    let (_, findings, _) = worked(&files());
    let pump = 0.010 * (8.0 * 0.10 + 16.0 * 0.30);
    let heater = 0.030 * (1.5 * 0.30 + 7.0 * 0.10);
    let lamp = 0.453 * 0.30 - 0.008 * 0.20;
    near(value(&findings, "power.cost-per-day"), pump + heater + lamp);
    near(value(&findings, "power.cost-per-year"), (pump + heater + lamp) * 365.25);
    let rates = &of(&findings).power.rates;
    assert_eq!(rates[1].hours, "22:00 to 06:00");
    near(rates[1].energy, 0.010 * 8.0 + 0.030 * 7.0 + 0.008);
    near(rates.iter().map(|rate| rate.energy).sum(), value(&findings, "power.energy-per-day"));
    near(rates.iter().map(|rate| rate.energy * rate.price).sum(), pump + heater + lamp);
    // One price for all hours.
    let flat = TANK.replace("  off-peak: {hours: 22:00 to 06:00, price: 0.10 EUR/kWh}\n", "");
    let mut with = files();
    with[0].1 = &flat;
    let (_, findings, _) = worked(&with);
    near(value(&findings, "power.cost-per-day"), value(&findings, "power.energy-per-day") * 0.30);
    // No price: the record says what to write.
    let none = flat.replace("  tariff: 0.30 EUR/kWh\n", "");
    with[0].1 = &none;
    let (_, findings, _) = worked(&with);
    let missing: Vec<&str> = findings.figures.missing.iter().map(|missing| missing.key.as_str()).collect();
    assert!(missing.contains(&"power.cost-per-day") && missing.contains(&"power.battery-hours"), "{missing:?}");
}

#[test]
fn strips_and_circuits_carry_what_hangs_on_them() {
    let (record, findings, _) = worked(&files());
    near(value(&findings, "power.strip.strip"), 160.0);
    near(value(&findings, "power.circuit.guard"), 160.0);
    near(value(&findings, "power.circuit.supply"), 160.0);
    let load = &of(&findings).load;
    assert_eq!(load[0].limit, Some(2300.0));
    assert_eq!(load[0].continuous, Some(2300.0), "no rule of 80 % where the code knows none");
    assert_eq!(ContinuousRule::of(&record.tanks["."]), ContinuousRule::None);
    // NEC 210.20(A): 125 % of continuous loads, so 80 % of 15 A × 120 V is 1440 W.
    let us = TANK.replace("PT", "US").replace("230 V", "120 V").replace("16 A", "15 A");
    let mut with = files();
    with[0].1 = &us;
    let (_, findings, _) = worked(&with);
    let supply = of(&findings).load.iter().find(|outlet| outlet.key == "supply").unwrap();
    assert_eq!((supply.limit, supply.continuous.map(f64::round)), (Some(1800.0), Some(1440.0)));
}

#[test]
fn a_battery_carries_its_set_and_the_shortest_speaks() {
    let boxed = "name: Box\nrole: battery\nin-service: 2023-01-10\ncapacity: 100 Wh\nruns: [pump]\n";
    let air =
        "name: Air\nrole: air-pump\nin-service: 2023-01-10\nwatts: 2 W\ncapacity: 10 Wh\nsettings: {schedule: off}\n";
    let mut with = files();
    with.extend([("equipment/box.yaml", boxed), ("equipment/air.yaml", air)]);
    let (_, findings, told) = worked(&with);
    assert_eq!(told, "");
    // 100 Wh × 0.85 × 0.85 / 10 W, and 10 Wh × 0.85 / 2 W without an inverter.
    near(value(&findings, "power.battery-hours.box"), 7.225);
    near(value(&findings, "power.battery-hours.air"), 4.25);
    near(value(&findings, "power.battery-hours"), 4.25);
    assert_eq!(of(&findings).batteries.len(), 2);
    // A name that is not there is a mistake of the record.
    let wrong = boxed.replace("[pump]", "[pumpe]");
    with[7].1 = &wrong;
    assert!(worked(&with).2.contains("pumpe"));
}

#[test]
fn what_forgets_comes_first() {
    let pump = format!(
        "{PUMP}forgets: {{keeps-settings: no, keeps-clock: no, restarts-itself: yes, state-at-power-up: full, needs-hand: press the ring}}\n"
    );
    let heater = format!(
        "{HEATER}forgets: {{keeps-settings: yes, keeps-clock: yes, restarts-itself: yes, state-at-power-up: last}}\n"
    );
    let mut with = files();
    with[1].1 = &pump;
    with[3].1 = &heater;
    let (_, findings, _) = worked(&with);
    let forgets = &of(&findings).forgets;
    let names: Vec<(&str, bool)> = forgets.iter().map(|device| (device.device.as_str(), device.needs_care)).collect();
    assert_eq!(names, [("pump", true), ("lamp", true), ("heater", false)]);
    assert_eq!(forgets[0].loses, ["its settings", "its clock"]);
    assert_eq!(forgets[0].by_hand.as_deref(), Some("press the ring"));
    assert!(forgets[1].unknown[0].contains("not written"));
}

fn row<'f>(findings: &'f Findings, key: &str) -> &'f Failure {
    let failures = &of(findings).failures;
    failures.iter().find(|failure| failure.key == key).unwrap_or_else(|| {
        panic!("{key} among {:?}", failures.iter().map(|failure| failure.key.as_str()).collect::<Vec<_>>())
    })
}

#[test]
fn what_kills_first_stands_first_and_agrees_with_the_figures() {
    let (_, findings, _) = worked(&files());
    let failures = &of(&findings).failures;
    let hours: Vec<f64> =
        failures.iter().map(|f| f.harm.and_then(|harm| harm.at_least).unwrap_or(f64::INFINITY)).collect();
    assert!(hours.windows(2).all(|pair| pair[0] <= pair[1]), "{hours:?}");
    // The only pump: without it nothing moves the water.
    let pump = row(&findings, "pump.stuck-off").harm.unwrap();
    assert_eq!((pump.by, pump.assumed, pump.at_least), (HarmBy::Oxygen, true, Some(1.0)));
    // One strip holds everything; so do the protection and the house.
    for key in ["strip.lost", "guard.tripped", "supply.lost"] {
        let failure = row(&findings, key);
        assert_eq!(failure.harm.unwrap().by, HarmBy::Oxygen);
        assert!(failure.follows[0].contains("Bar, Rod and Stream") || failure.follows[0].contains("Rod"), "{key}");
        assert!(failure.remains.is_empty(), "{key}: {}", failure.remains);
    }
    // The heater stuck on: the bound of the table is that of the figure, with what the measured inputs leave open.
    let stuck = row(&findings, "heater.stuck-on").harm.unwrap();
    assert_eq!((stuck.by, stuck.assumed), (HarmBy::Heat, false));
    let (table, figure) = (stuck.at_least.unwrap(), value(&findings, "heat.stuck-heater-hours"));
    near(table, figure);
    let ends = value(&findings, "heat.stuck-heater-temperature");
    let follows = &row(&findings, "heater.stuck-on").follows[1];
    assert!(follows.contains(&format!(" and {ends:.1}")), "{follows} {ends}");
    // With no power oxygen goes first; the hours of cold beside it are those of the figure.
    let cut = format!("reaches its lower limit after {} to ", value(&findings, "heat.power-cut-hours"));
    assert!(
        row(&findings, "supply.lost").follows[1].contains(&cut),
        "{:?} {cut}",
        row(&findings, "supply.lost").follows
    );
    // Without its heater the tank cools sooner than the pump's heat alone would let it, later than with no power at all.
    let cold = row(&findings, "heater.stuck-off").harm.unwrap();
    assert_eq!(cold.by, HarmBy::Cold);
    assert!(cold.at_least.unwrap() > value(&findings, "heat.power-cut-hours"));
    assert!(row(&findings, "lamp.stuck-off").harm.unwrap().assumed);
}

/// A second pump and a second heater on another strip: what remains is named, and the harm is later or gone.
#[test]
fn a_second_supply_is_what_remains() {
    let pump = PUMP.replace("Stream", "Second stream").replace("strip", "other");
    let heater = HEATER.replace("Rod", "Second rod").replace("strip", "other").replace("100 W", "300 W");
    let other = STRIP.replace("Strip", "Other strip").replace("protection: guard\n", "");
    let mut with = files();
    with.extend([
        ("equipment/pump-two.yaml", pump.as_str()),
        ("equipment/heater-two.yaml", heater.as_str()),
        ("equipment/other.yaml", other.as_str()),
    ]);
    let (_, findings, told) = worked(&with);
    assert_eq!(told, "");
    let lost = row(&findings, "strip.lost");
    assert_eq!(lost.remains, "Second rod and Second stream");
    assert_eq!(lost.harm, None, "300 W hold 75 L in a room of 18 °C");
    assert_eq!(row(&findings, "pump.stuck-off").harm, None);
}

#[test]
fn top_off_failures_follow_the_jug_and_the_evaporation() {
    let jug = "name: Jug\nrole: top-off\nin-service: 2023-01-10\nspec: drip\nreservoir: 20 L\nsettings: {longest-run: 40 s}\n";
    let spec = "---\nname: Drip\nkind: top-off\nflow: 60 L/h\n---\n";
    let mut with = files();
    with.extend([("equipment/jug.yaml", jug), ("specs/drip.md", spec)]);
    let (_, findings, _) = worked(&with);
    let on = row(&findings, "jug.stuck-on");
    // 75 × (35/33 − 1) = 4.545 L are harmless, two standard uncertainties less at the worse end: 5 % of the volume, and
    // 1.5 ppt of a salinity whose kit nobody named, of which d(R)/dS = −75 × 2/33² = −0.1377 L; √(0.2273² + 0.2066²) = 0.3071
    // L. At 60 L/h and a quarter more that is 3.1 min, and the whole jug at a quarter less 26.7 min.
    let harm = on.harm.unwrap();
    assert_eq!(harm.by, HarmBy::Salinity);
    let by_hand = (4.5455 - 2.0 * 0.3071) / 75.0;
    assert!((harm.at_least.unwrap() / by_hand - 1.0).abs() < 0.005, "{harm:?} {by_hand}");
    assert!((harm.at_most.unwrap() - 20.0 / 45.0).abs() < 1e-9);
    assert_eq!(on.catches, ["its longest run of 40 s"]);
    let off = row(&findings, "jug.stuck-off").harm.unwrap();
    // From 35 to 38 ppt a little over 1/13 of the water must go: days, not hours.
    assert!(off.at_least.unwrap() > 24.0 && off.at_most.unwrap() > off.at_least.unwrap());
}

#[test]
fn the_meter_tells_what_nobody_wrote_down() {
    let meter = |second: f64| format!("2026-05-01: {{meter: 100 kWh}}\n2026-05-31: {{meter: {second} kWh}}\n");
    let with = |second: f64| {
        let log = meter(second);
        let mut files = files();
        files.retain(|(path, _)| !path.starts_with("log"));
        worked(&[files, vec![("log/2026.yaml", log.as_str())]].concat()).1
    };
    // 0.948 kWh a day are worked out: (240 + 453 + 255) Wh.
    let fits = with(100.0 + 30.0 * 0.948);
    assert!(value(&fits, "power.unexplained").abs() < 0.02, "{}", value(&fits, "power.unexplained"));
    let more = with(160.0);
    assert!((value(&more, "power.unexplained") - (2.0 - 0.948)).abs() < 0.02);
    let note = &more.figures.get(".", "power.unexplained").unwrap().notes[0];
    assert!(note.contains("a device that is not recorded"), "{note}");
    // 2 kWh a day at the mean price of what is worked out, for 30.44 days; no year is metered.
    let price = value(&more, "power.cost-per-day") / value(&more, "power.energy-per-day");
    near(value(&more, "power.metered-cost-per-month"), 2.0 * price * 30.436875);
    assert!(more.figures.get(".", "power.metered-cost-per-year").is_none());
}

/// The tank of `tests/heat.rs`, worked by hand there: at 25 °C it loses 8.6484 (25 − T) + 14.969 (3.1697 − p(T) ∕ 2) W to a room
/// of T, and pump and lamp give 17.75 W. In rooms of 18, 20, 22, 23, 24 and 25 °C (2.0647, 2.3388, 2.6453, 2.8110, 2.9851, 3.1697
/// kPa: ASHRAE Fundamentals 2017, chapter 1, table 3, from memory) the heater gives 74.8, 55.4, 35.9, 26.0, 16.0 and 6.0 W, and
/// nothing above 25.6 °C: by Simpson 286 W °C over the ten degrees from 18 to 28 °C, 28.6 W in the mean.
#[test]
fn a_heater_that_nobody_timed_draws_what_the_balance_of_heat_asks() {
    const BAY: &str = "name: Bay\nstarted: 2023-01-10\nzone: Europe/Lisbon\nsize: 60 x 40 x 40 cm\nglass: 8 mm\n\
        bottom-glass: 10 mm\nwater-depth: 35 cm\nlid: open\nmat: 0 mm\nwater: 75 L, counted at fill\nroom: 18 to 28 °C\n\
        room-humidity: 50 to 50 %\nelectricity: 230 V, 0.25 EUR/kWh\n";
    let lamp = LAMP
        .replace("standby: 1 W\n", "")
        .replace("level: 80 %, schedule: \"08:00 to 20:00, ramp 60 min\"", "schedule: 08:00 to 20:00");
    let heater = HEATER.replace("duty: 30 %, schedule: 20:30 to 05:00", "schedule: always");
    let with = |tank: &str, more: &[(&str, &str)]| {
        let mut with = vec![
            ("tank.yaml", tank),
            ("equipment/pump.yaml", PUMP),
            ("equipment/lamp.yaml", &lamp),
            ("equipment/heater.yaml", &heater),
            ("equipment/strip.yaml", "name: Strip\nrole: power-strip\nin-service: 2023-01-10\nrating: 10 A\n"),
            LOG,
        ];
        with.extend_from_slice(more);
        let (_, findings, told) = worked(&with);
        assert_eq!(told, "");
        findings
    };
    let anywhere = with(BAY, &[]);
    let year = value(&anywhere, "heat.heater-year");
    assert!((year - 28.6).abs() < 0.2, "{year}");
    near(value(&anywhere, "power.heater.energy-per-day"), year * 0.024);
    // 6 months of 181 days at 18 °C, and none that needs heat in the others.
    let cold =
        ["january", "february", "march", "april", "may", "june"].map(|month| format!("  {month}: 18 °C, 50 %\n"));
    let warm = ["july", "august", "september", "october", "november", "december"]
        .map(|month| format!("  {month}: 28 °C, 50 %\n"));
    let months = with(&format!("{BAY}room-by-month:\n{}{}", cold.concat(), warm.concat()), &[]);
    let year = value(&months, "heat.heater-year");
    assert!((year - 74.78 * 181.0 / 365.0).abs() < 0.05, "{year}");
    // A second heater that is timed, 5 W in the mean, leaves the rest to the first.
    let timed = "name: Small rod\nrole: heater\nin-service: 2023-01-10\nwatts: 50 W\nsettings: {temperature: 25 °C, duty: 10 %}\n";
    let two = with(BAY, &[("equipment/small.yaml", timed)]);
    near(value(&two, "power.small.energy-per-day"), 0.12);
    near(value(&two, "power.heater.energy-per-day"), (value(&two, "heat.heater-year") - 5.0) * 0.024);
}

/// 6 W by a schedule of ten hours are 60 Wh, and nobody needs to guess how long it runs.
#[test]
fn a_fan_with_a_schedule_runs_by_it() {
    let fan = "name: Wind\nrole: fan\nin-service: 2023-01-10\nwatts: 6 W\nsettings: {schedule: 12:00 to 22:00}\n";
    let energy = |fan: &str| {
        let mut with = files();
        with.push(("equipment/fan.yaml", fan));
        value(&worked(&with).1, "power.fan.energy-per-day")
    };
    near(energy(fan), 0.060);
    // Without one it may run half the day or not at all.
    near(energy(&fan.replace("settings: {schedule: 12:00 to 22:00}\n", "")), 0.036);
}

const DOSER: &str = "name: Heads\nrole: dosing-pump\nin-service: 2023-01-10\nspec: heads\n";
const HEADS: &str = "---\nname: Heads\nkind: dosing-pump\nflow: 3 L/h\n---\n";
const SODA: &str = "name: Soda\nkind: stock\nstrength: {alkalinity: 1000 meq/L}\nbottle: 1 L\n";
const PLAN: &str = "dosing:\n  - {since: 2026-01-01, supply: soda, amount: 4 mL, every: 1 day, by: doser}\n";

/// A head that sticks: 3 L/h of a stock of 1 mol of bicarbonate a litre into 75 L. 1 meq/L is 2.804 dKH (1 °dH = 0.3566
/// mmol/L of charge: DIN 38409-6, from memory), so 3000 × 2.804/75 = 112.2 dKH an hour, and the bottle 37.4 dKH.
#[test]
fn a_dosing_head_that_sticks_has_hours() {
    let read = ("log/2026.yaml", "2026-05-30: {alkalinity: 8.0 dKH ± 0.2, salinity: 35 ppt}\n");
    let with = |tank: &str, sheet: &str, bottle: &str| {
        let soda = SODA.replace("1 L\n", bottle);
        let mut with = files();
        with[0].1 = tank;
        with.retain(|(path, _)| *path != "log/2026.yaml");
        with.extend([
            ("equipment/doser.yaml", DOSER),
            ("specs/heads.md", sheet),
            ("supplies/soda.yaml", &soda),
            ("upkeep/plans.yaml", PLAN),
            read,
        ]);
        let (_, findings, told) = worked(&with);
        assert_eq!(told, "");
        let failure = row(&findings, "doser.stuck-on");
        (failure.harm, failure.follows.join(" "))
    };
    let limited = format!("{TANK}limits: {{alkalinity: 6 to 12 dKH}}\n");
    let (harm, follows) = with(&limited, HEADS, "1 L\n");
    let harm = harm.unwrap();
    // From 8.0 to 12 dKH in 4/112.2 h at the likely rate; the worse end is sooner, the better one later.
    let likely = 4.0 / (3000.0 * 2.804 / 75.0);
    let (worse, better) = (harm.at_least.unwrap(), harm.at_most.unwrap());
    assert!(worse < likely && likely < better && worse > 0.6 * likely && better < 2.2 * likely, "{harm:?} {likely}");
    assert_eq!((harm.by, harm.assumed), (HarmBy::Chemistry, false));
    assert!(follows.contains("rises by 110 dKH an hour") && follows.contains("add 37 dKH"), "{follows}");
    // A bottle of 20 mL adds 0.75 dKH: it never comes to the limit.
    let (harm, follows) = with(&limited, HEADS, "20 mL\n");
    assert_eq!(harm, None);
    assert!(follows.contains("stays below it"), "{follows}");
    // Without a limit of the keeper's own that of practice stands in, and is called assumed: 12 dKH, as above.
    let (assumed, follows) = with(TANK, HEADS, "1 L\n");
    assert!(assumed.unwrap().assumed && follows.contains("12 dKH (assumed"), "{follows}");
    assert_eq!(assumed.unwrap().at_least, Some(worse));
    // Without the pump's flow nobody knows how fast, and it says what to write.
    let (harm, follows) = with(&limited, "---\nname: Heads\nkind: dosing-pump\n---\n", "1 L\n");
    assert_eq!(harm.unwrap().at_least, None);
    assert!(follows.contains("`flow: 3 L/h`"), "{follows}");
}

/// The return stops: a heater in the sump is lost with it, one in the display is not, and of one that nobody placed both
/// ends are counted.
#[test]
fn where_a_heater_stands_decides_what_a_stopped_return_does() {
    let with = |more: &str| {
        let tank = format!(
            "{TANK}sump: {{size: 40 x 20 x 30 cm, glass: 5 mm, water-depth: 20 cm}}\nstand: {{height: 70 cm}}\n"
        );
        let heater = format!("{HEATER}{more}").replace("100 W", "300 W");
        let mut with = files();
        with[0].1 = &tank;
        with[3].1 = &heater;
        with.push((
            "equipment/return.yaml",
            "name: Lift\nrole: return-pump\nin-service: 2023-01-10\nwatts: 10 W\nposition: in-water\n",
        ));
        let (_, findings, told) = worked(&with);
        assert_eq!(told, "");
        let failure = row(&findings, "return.stuck-off");
        (failure.harm, failure.follows.join(" "))
    };
    let (sump, _) = with("stands-in: sump\n");
    let sump = sump.expect("without heat it cools");
    assert_eq!(sump.by, HarmBy::Cold);
    assert_eq!(with("stands-in: display\n").0, None, "300 W hold 75 L");
    assert_eq!(with("place: {x: 5 cm, y: 5 cm}\n").0, None);
    assert_eq!(with("front: {x: 5 cm, up: 20 cm}\n").0, Some(sump));
    assert_eq!(with("front: {x: 5 cm, up: 90 cm}\n").0, None);
    let (unknown, follows) = with("");
    let unknown = unknown.unwrap();
    assert_eq!((unknown.at_least, unknown.at_most), (sump.at_least, None));
    assert!(follows.contains("`stands-in: display`") && follows.contains("Rod"), "{follows}");
}

/// A chiller that does not stop, against a heater of 100 W and 9 + 8.75 W of pump and lamp.
#[test]
fn a_chiller_that_sticks_is_timed_where_its_cooling_is_known() {
    let chiller = "name: Cold box\nrole: chiller\nin-service: 2023-01-10\nspec: box\nsettings: {temperature: 27 °C}\n";
    let with = |sheet: &str| {
        let mut with = files();
        with.extend([("equipment/box.yaml", chiller), ("specs/box.md", sheet)]);
        let (_, findings, _) = worked(&with);
        row(&findings, "box.stuck-on").clone()
    };
    let strong = with("---\nname: Box\ncooling: 500 W\n---\n").harm.unwrap();
    // At most 500 W net of at least 100 + 8 + 5 W: 75 L hold 85.1 Wh/K, 3 °C take no less than 255 Wh/(500 − 113 + losses),
    // less what volume (5 %), room and watts leave open: 0.453 h for the fastest, on to the tenth below.
    assert_eq!(strong.by, HarmBy::Cold);
    let least = strong.at_least.unwrap();
    assert!((0.4..3.0 * 85.1 / (500.0 - 115.0)).contains(&least), "{strong:?}");
    let unknown = with("---\nname: Box\n---\n");
    assert_eq!(unknown.harm.map(|harm| harm.at_least), Some(None));
    assert!(unknown.follows.join(" ").contains("`cooling: 250 W`"));
}
