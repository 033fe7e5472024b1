//! What the record still needs before its keeper can leave, by days before.

use jiff::civil::Date;

use super::water::TopUp;
use super::{Stay, after};
use crate::diagnostic::Place;
use crate::figures::Findings;
use crate::record::colony::Group;
use crate::record::sitter::Portions;
use crate::record::{Device, Record, Role, Tank, YesNo, days_between};

/// One thing to settle. Its words are the sheet's, by `key`.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    /// Days before leaving: 14, 7, 3, 1 or 0.
    pub days: u8,
    /// Nobody should leave before this is settled.
    pub blocker: bool,
    pub key: &'static str,
    pub facts: Vec<(&'static str, Fact)>,
    pub place: Option<Place>,
}

/// What goes into the words of a [`Need`].
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    Text(String),
    Date(Date),
    Number(i32),
    Litres(f64),
    /// Parts per thousand
    Salinity(f64),
    /// °C
    Temperature(f64),
    /// From so many °C to so many
    Differences(f64, f64),
    /// mL, g
    Amount(f64, &'static str),
}

/// Gear and animals newer than this are too new to leave.
const SETTLED_DAYS: i32 = 14;
/// A rehearsal older than this is none.
const REHEARSED_DAYS: i32 = 90;
/// A sitter forgets in a year.
const SITTER_DAYS: i32 = 365;
/// Tests older than this say little of today.
const TEST_DAYS: i32 = 14;
/// A heater's own dial is to stand so far above the controller, in °C (common practice, no source).
const DIAL_ABOVE: (f64, f64) = (0.5, 3.0);
/// And usually stands so far above (common practice, no source).
const DIAL_USUAL: (f64, f64) = (1.0, 1.5);

struct List<'a> {
    stay: &'a Stay,
    needs: Vec<Need>,
}

impl List<'_> {
    fn add(
        &mut self,
        days: u8,
        blocker: bool,
        key: &'static str,
        facts: Vec<(&'static str, Fact)>,
        place: Option<&Place>,
    ) {
        self.needs.push(Need { days, blocker, key, facts, place: place.cloned() });
    }

    /// Days from a date to the first day away.
    fn before_leaving(&self, date: Date) -> i32 {
        days_between(date, self.stay.period.from)
    }
}

fn text(text: &str) -> Fact {
    Fact::Text(text.to_string())
}

/// Blockers first, then by days before; within, in the order in which they are looked at.
pub fn needs(record: &Record, tank: &Tank, findings: &Findings, stay: &Stay) -> Vec<Need> {
    let mut list = List { stay, needs: Vec::new() };
    newness(record, tank, &mut list);
    protection(tank, &mut list);
    rehearsals(tank, findings, &mut list);
    heaters(tank, &mut list);
    cards(tank, &mut list);
    water(record, tank, findings, &mut list);
    supplies(record, &mut list);
    normal(tank, &mut list);
    pictures(record, tank, &mut list);
    people(tank, &mut list);
    heat(tank, findings, &mut list);
    habits(record, tank, &mut list);
    list.add(14, false, "freeze", vec![("date", Fact::Date(after(stay.period.from, -SETTLED_DAYS)))], None);
    list.add(0, false, "last-round", Vec::new(), None);
    let mut needs = list.needs;
    needs.sort_by_key(|need| (!need.blocker, std::cmp::Reverse(need.days)));
    needs
}

fn newness(record: &Record, tank: &Tank, list: &mut List) {
    for device in tank.devices_at(list.stay.period.from) {
        let age = list.before_leaving(device.in_service.value);
        if age < SETTLED_DAYS {
            let facts = vec![("what", text(&device.name.value)), ("days", Fact::Number(age))];
            list.add(14, true, "new-gear", facts, Some(&device.in_service.place));
        } else if let Some(stretch) = device.settings.at(list.stay.period.from)
            && let Some(since) =
                stretch.since.filter(|since| days_between(*since, list.stay.period.from) < SETTLED_DAYS)
        {
            let facts = vec![("what", text(&device.name.value)), ("date", Fact::Date(since))];
            list.add(14, false, "new-setting", facts, Some(&stretch.place));
        }
    }
    for colony in record.colonies_in(&tank.key, list.stay.period.from) {
        let age = list.before_leaving(colony.arrived.value);
        if age < SETTLED_DAYS {
            let facts = vec![("what", text(&colony.name.value)), ("days", Fact::Number(age))];
            list.add(14, true, "new-animal", facts, Some(&colony.arrived.place));
        }
    }
}

fn protection(tank: &Tank, list: &mut List) {
    let stretch = tank.electricity.at(list.stay.period.from);
    match stretch.map_or(YesNo::Unknown, |stretch| stretch.value.ground_fault) {
        YesNo::Yes => {}
        YesNo::No => list.add(14, true, "no-protection", Vec::new(), stretch.map(|stretch| &stretch.place)),
        YesNo::Unknown => list.add(14, true, "protection-unknown", Vec::new(), Some(&tank.place)),
    }
}

/// The day on which a rehearsal was last held: as written for the sitter, or as a task of that name was logged.
fn rehearsed(written: Option<Date>, task: &str, tank: &Tank, findings: &Findings) -> Option<Date> {
    let state = findings.tanks[&tank.key].tasks.iter().find(|state| state.key == task);
    written.max(state.and_then(|state| state.done.last().copied()))
}

fn rehearsals(tank: &Tank, findings: &Findings, list: &mut List) {
    let plan = &tank.upkeep.sitter.rehearsed;
    let cut = plan.power_cut.as_ref().map(|on| on.value);
    check(list, ("cut-never-tested", "cut-tested-long-ago"), rehearsed(cut, "power-cut-rehearsal", tank, findings));
    let has_alarm = |device: &Device| matches!(device.role.value, Role::LeakAlarm | Role::Controller);
    if tank.devices_at(list.stay.period.from).any(has_alarm) {
        let alarm = plan.alarm.as_ref().map(|on| on.value);
        check(
            list,
            ("alarm-never-tested", "alarm-tested-long-ago"),
            rehearsed(alarm, "alarm-rehearsal", tank, findings),
        );
    }
}

fn check(list: &mut List, (never, long_ago): (&'static str, &'static str), last: Option<Date>) {
    match last {
        None => list.add(7, true, never, Vec::new(), None),
        Some(on) if list.before_leaving(on) > REHEARSED_DAYS => {
            let facts = vec![("date", Fact::Date(on)), ("days", Fact::Number(list.before_leaving(on)))];
            list.add(7, true, long_ago, facts, None);
        }
        Some(_) => {}
    }
}

fn heaters(tank: &Tank, list: &mut List) {
    let from = list.stay.period.from;
    let setting = |device: &Device| {
        let settings = device.settings.at(from)?;
        Some((settings.value.temperature.clone(), settings.value.thermostat.clone(), settings.place.clone()))
    };
    let controlled = tank.devices_at(from).any(|device| device.role.value == Role::Controller);
    for heater in tank.devices_at(from).filter(|device| device.role.value == Role::Heater) {
        let Some((Some(set), dial, place)) = setting(heater) else {
            continue;
        };
        let what = ("what", text(&heater.name.value));
        match dial {
            Some(dial) => {
                let above = dial.value.value - set.value.value;
                let mut facts = vec![
                    what,
                    ("dial", Fact::Temperature(dial.value.value)),
                    ("set", Fact::Temperature(set.value.value)),
                ];
                if above < DIAL_ABOVE.0 {
                    facts.push(("usual", Fact::Differences(DIAL_USUAL.0, DIAL_USUAL.1)));
                    list.add(7, true, "dial-too-low", facts, Some(&place));
                } else if above > DIAL_ABOVE.1 {
                    list.add(7, true, "dial-too-high", facts, Some(&place));
                }
            }
            None if controlled => list.add(7, true, "dial-unknown", vec![what], Some(&place)),
            None => {}
        }
    }
}

/// Devices of which a power cut may make something else.
pub fn can_forget(device: &Device) -> bool {
    device.mains == YesNo::Yes
        && !matches!(
            device.role.value,
            Role::PowerStrip | Role::GroundFaultProtection | Role::Thermometer | Role::Probe | Role::Other
        )
}

fn cards(tank: &Tank, list: &mut List) {
    for device in tank.devices_at(list.stay.period.from).filter(|device| can_forget(device)) {
        let what = vec![("what", text(&device.name.value))];
        match &device.forgets {
            None => list.add(7, true, "no-card", what, Some(&device.place)),
            Some(forgets) => {
                let forgetful = forgets.keeps_settings == YesNo::No
                    || (forgets.keeps_clock == YesNo::No && forgets.follows_summer_time != YesNo::Yes);
                if forgetful && forgets.needs_hand.is_none() {
                    list.add(7, true, "card-without-hand", what, Some(&forgets.place));
                }
            }
        }
    }
}

/// Words of lime in a top-off's own text.
fn names_lime(words: &str) -> bool {
    let words = words.to_lowercase();
    ["lime", "kalk", "calcium hydroxide", "hydroxide"].iter().any(|word| words.contains(word))
}

fn water(record: &Record, tank: &Tank, findings: &Findings, list: &mut List) {
    let need = &list.stay.water;
    let from = list.stay.period.from;
    if let TopUp::Device { device, reservoir } = &need.by {
        let device = &tank.devices[device];
        let jug_place = record.reservoir_of(tank, device).map(|(jug, _)| &jug.place);
        let mode = device.settings.at(from).and_then(|stretch| stretch.value.mode.clone()).unwrap_or_default();
        let dosed = tank.upkeep.dosing.iter().find(|plan| {
            let by_it = plan.by.as_ref().is_some_and(|by| by.value == device.key);
            let substance = record.supplies.get(&plan.of.value).and_then(|supply| supply.substance.as_ref());
            by_it && substance.is_some_and(|substance| names_lime(&substance.value))
        });
        if names_lime(&mode) || device.note.as_deref().is_some_and(names_lime) {
            list.add(3, true, "lime", Vec::new(), Some(&device.place));
        } else if let Some(plan) = dosed {
            list.add(3, true, "lime", Vec::new(), Some(&plan.place));
        }
        match (reservoir, need.largest_harmless) {
            (None, _) => {
                list.add(3, true, "jug-unknown", vec![("what", text(&device.name.value))], Some(&device.place))
            }
            (Some(jug), Some(most)) if *jug > most * 1.005 => {
                let line = need.jug_line().unwrap_or(most);
                let mut facts =
                    vec![("jug", Fact::Litres(*jug)), ("most", Fact::Litres(most)), ("line", Fact::Litres(line))];
                let mut key = "jug-too-large";
                if let Some(dumped) = findings.figures.get(&tank.key, "topup.full-dump-salinity") {
                    facts.push(("salinity", Fact::Salinity(dumped.value)));
                    key = "jug-dilutes";
                }
                list.add(3, true, key, facts, jug_place);
            }
            _ => {}
        }
        if let (true, Some(jug), Some((_, high))) = (need.too_small, reservoir, need.per_visit) {
            let facts =
                vec![("jug", Fact::Litres(*jug)), ("need", Fact::Litres(high)), ("days", Fact::Number(list.stay.gap))];
            list.add(3, true, "jug-too-small", facts, jug_place);
        }
    }
    if need.per_day.is_none() {
        list.add(7, true, "evaporation-unknown", Vec::new(), None);
    }
    match (need.stock, need.total, need.stock_short) {
        (Some(stock), Some(total), Some(short)) => {
            let facts =
                vec![("stock", Fact::Litres(stock)), ("need", Fact::Litres(total)), ("short", Fact::Litres(short))];
            list.add(3, true, "water-short", facts, tank.upkeep.sitter.pure_water.as_ref().map(|water| &water.place));
        }
        (None, Some(total), _) => list.add(3, true, "water-unknown", vec![("need", Fact::Litres(total))], None),
        _ => {}
    }
}

fn supplies(record: &Record, list: &mut List) {
    let name = |key: &str| record.supplies.get(key).map_or(key.to_string(), |supply| supply.name.value.clone());
    let place = |key: &str| record.supplies.get(key).map(|supply| supply.place.clone());
    for dose in &list.stay.doses {
        let what = ("what", Fact::Text(name(&dose.supply)));
        let need = ("need", Fact::Amount(dose.total, dose.unit));
        let place = place(&dose.supply);
        match (dose.short_on_day, dose.left) {
            (Some(day), Some(left)) => {
                let facts = vec![
                    what,
                    need,
                    ("left", Fact::Amount(left, dose.unit)),
                    ("day", Fact::Number(day)),
                    ("date", Fact::Date(after(list.stay.period.from, day - 1))),
                ];
                list.needs.push(Need { days: 3, blocker: true, key: "dose-short", facts, place });
            }
            (_, None) => {
                list.needs.push(Need { days: 3, blocker: true, key: "dose-unknown", facts: vec![what, need], place });
            }
            _ => {}
        }
    }
    for food in &list.stay.food {
        let what = ("what", Fact::Text(name(&food.supply)));
        let need = ("need", Fact::Amount(food.total, food.unit));
        let place = place(&food.supply);
        match (food.short_on_feed, food.left) {
            (Some(feed), Some(left)) => {
                let facts =
                    vec![what, need, ("left", Fact::Amount(left, food.unit)), ("feed", Fact::Number(feed as i32))];
                list.needs.push(Need { days: 3, blocker: true, key: "food-short", facts, place });
            }
            (_, None) => {
                list.needs.push(Need { days: 3, blocker: false, key: "food-unknown", facts: vec![what, need], place });
            }
            _ => {}
        }
    }
}

fn normal(tank: &Tank, list: &mut List) {
    let plan = &tank.upkeep.sitter;
    if plan.looks.iter().all(|shot| shot.photo.is_none()) {
        list.add(3, true, "no-photo", Vec::new(), plan.place.as_ref());
    }
    if plan.level.is_none() {
        list.add(3, true, "no-level", Vec::new(), plan.place.as_ref());
    }
    if list.stay.normal.temperature.is_none() {
        list.add(7, true, "no-temperature", Vec::new(), None);
    }
    match list.stay.normal.test_age {
        Some(age) if age <= TEST_DAYS => {}
        Some(age) => list.add(7, false, "tests-old", vec![("days", Fact::Number(age))], None),
        None => list.add(7, false, "no-tests", Vec::new(), None),
    }
    if !list.stay.feeds.is_empty() && plan.feed.portions.as_ref().is_none_or(|how| how.value == Portions::Bags) {
        let bags = list.stay.feeds.len() as i32 + plan.feed.spare as i32;
        list.add(3, false, "portions", vec![("number", Fact::Number(bags))], None);
    }
}

/// Who has never seen a reef tank knows no device and no animal by its name.
fn pictures(record: &Record, tank: &Tank, list: &mut List) {
    let mut unseen: Vec<&str> = Vec::new();
    for count in &tank.upkeep.sitter.count {
        let colony = record.colonies.get(&count.colony.value).filter(|colony| colony.photo.is_none());
        unseen.extend(colony.map(|colony| colony.name.value.as_str()));
    }
    let cards = tank.devices_at(list.stay.period.from).filter(|device| can_forget(device) && device.photo.is_none());
    unseen.extend(cards.map(|device| device.name.value.as_str()));
    if !unseen.is_empty() {
        list.add(3, false, "no-picture", vec![("what", Fact::Text(unseen.join("; ")))], None);
    }
}

/// Whether the hottest day that the room has would be too hot for the tank.
fn heat(tank: &Tank, findings: &Findings, list: &mut List) {
    let hottest = findings.figures.get(&tank.key, "heat.hottest-day").map(|figure| figure.value);
    let limit = list.stay.limits.hot;
    if let Some(hottest) = hottest.filter(|hottest| *hottest > limit) {
        let facts = vec![("hottest", Fact::Temperature(hottest)), ("hot", Fact::Temperature(limit))];
        list.add(7, false, "hottest-day", facts, None);
    }
}

/// What every keeper does before leaving, as far as this tank has it (common practice, no source).
fn habits(record: &Record, tank: &Tank, list: &mut List) {
    let from = list.stay.period.from;
    let has = |role: Role| tank.devices_at(from).any(|device| device.role.value == role);
    if has(Role::ReturnPump) || has(Role::CirculationPump) {
        list.add(7, false, "listen", Vec::new(), None);
    }
    if has(Role::Skimmer) {
        list.add(3, false, "cup", Vec::new(), None);
    }
    let weeds = record.colonies_in(&tank.key, from).any(|colony| colony.group.value == Group::Macroalga);
    if weeds && (tank.overflow.is_some() || tank.sump_size.is_some()) {
        list.add(3, false, "strainer", Vec::new(), None);
    }
    list.add(3, false, "labels", Vec::new(), None);
    list.add(1, false, "keys", Vec::new(), None);
}

fn people(tank: &Tank, list: &mut List) {
    let plan = &tank.upkeep.sitter;
    let phones = plan.call.iter().filter(|call| tank.contacts.get(&call.value).is_some_and(|one| one.phone.is_some()));
    match phones.count() {
        0 => list.add(1, true, "no-phone", Vec::new(), plan.place.as_ref()),
        1 => list.add(1, false, "one-phone", Vec::new(), plan.place.as_ref()),
        _ => {}
    }
    match &plan.rehearsed.sitter {
        None => list.add(1, true, "sitter-never-rehearsed", Vec::new(), plan.place.as_ref()),
        Some(on) if list.before_leaving(on.value) > SITTER_DAYS => {
            list.add(1, true, "sitter-rehearsed-long-ago", vec![("date", Fact::Date(on.value))], Some(&on.place));
        }
        Some(_) => {}
    }
    let emergency = &plan.emergency;
    let missing = [&emergency.number, &emergency.poison_centre, &emergency.breaker, &emergency.water_stop];
    if missing.iter().any(|line| line.is_none()) {
        list.add(1, false, "emergency-blank", Vec::new(), plan.place.as_ref());
    }
}
