//! What kills this tank first: every device stuck on, stuck off or lost, and every strip, protection and supply gone.
//!
//! Hours are bounds worked out from the balance of heat, the salt and the water; where nothing can be worked out (oxygen,
//! light) they are limits of practice and marked as assumed. They say what may happen, never what will.

mod devices;
mod dosing;
mod supplies;

use std::cell::RefCell;

use super::TankFindings;
use super::figure::{Figure, Figures};
use super::graph::NodeId;
use super::heat::balance::{Balance, Balances, Given, Way};
use super::heat::model::LONGEST_HOURS;
use super::heat::spread::Side;
use crate::record::equipment::StandsIn;
use crate::record::{Device, Record, Role, Tank};

/// How a part fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mode {
    StuckOn,
    StuckOff,
    Lost,
    Tripped,
}

impl Mode {
    pub fn words(self) -> &'static str {
        match self {
            Mode::StuckOn => "stuck on",
            Mode::StuckOff => "stuck off",
            Mode::Lost => "lost",
            Mode::Tripped => "tripped",
        }
    }
}

/// What does the harm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HarmBy {
    Oxygen,
    Heat,
    Cold,
    Salinity,
    Light,
    /// What is dosed.
    Chemistry,
}

impl HarmBy {
    pub fn words(self) -> &'static str {
        match self {
            HarmBy::Oxygen => "lack of oxygen",
            HarmBy::Heat => "heat",
            HarmBy::Cold => "cold",
            HarmBy::Salinity => "salinity",
            HarmBy::Light => "light",
            HarmBy::Chemistry => "what is dosed",
        }
    }
}

/// Hours until harm begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harm {
    pub by: HarmBy,
    /// The bound on the safe side; None where nobody can say how fast it goes.
    pub at_least: Option<f64>,
    /// The other end; None where it may never come to it, or no one knows.
    pub at_most: Option<f64>,
    /// Whether it is a limit of practice and not worked out.
    pub assumed: bool,
}

/// One row of the table.
#[derive(Clone, Debug)]
pub struct Failure {
    /// Stable: `heater-tank.stuck-on`, `strip-left.lost`, `supply.lost`.
    pub key: String,
    /// The device that fails, or the strip or protection; None for the supply of the whole tank.
    pub device: Option<String>,
    pub what: String,
    pub mode: Mode,
    /// What follows, in sentences.
    pub follows: Vec<String>,
    /// None where no harm is in sight within a week.
    pub harm: Option<Harm>,
    /// What still works against it.
    pub remains: String,
    /// What catches it, as far as it is written; empty where nothing is.
    pub catches: Vec<String>,
}

/// All failures, the fastest first.
pub fn work_out(record: &Record, tank: &Tank, of: &TankFindings, figures: &mut Figures) -> Vec<Failure> {
    let desk = Desk { record, tank, of, figures: RefCell::new(figures) };
    let mut failures = devices::failures(&desk);
    failures.extend(supplies::failures(&desk));
    failures.sort_by(|a, b| {
        let hours = |failure: &Failure| failure.harm.and_then(|harm| harm.at_least).unwrap_or(f64::INFINITY);
        // What is known comes first, then what nobody can time, then what does no harm within a week.
        hours(a).total_cmp(&hours(b)).then(a.harm.is_none().cmp(&b.harm.is_none())).then_with(|| a.key.cmp(&b.key))
    });
    failures
}

/// What all rows are worked out from.
struct Desk<'a> {
    record: &'a Record,
    tank: &'a Tank,
    of: &'a TankFindings,
    /// Bounds are worked out in the graph of the figures, so that both are the same.
    figures: RefCell<&'a mut Figures>,
}

/// Hours until animals lack oxygen once nothing moves the water (common practice, no source: one to three in a small,
/// crowded, warm tank, six to twelve in a large one with few animals).
const OXYGEN_HOURS: (f64, f64) = (1.0, 12.0);

/// Hours without light that corals bear (common practice, no source: three to four days).
const DARK_HOURS: (f64, f64) = (72.0, 96.0);

impl<'a> Desk<'a> {
    fn devices(&self) -> impl Iterator<Item = &'a Device> {
        let as_of = self.record.as_of;
        self.tank.devices_at(as_of)
    }

    fn balances(&self) -> Option<&'a Balances> {
        self.of.heat.balances.as_ref()
    }

    fn figure(&self, key: &str) -> Option<Figure> {
        self.figures.borrow().get(&self.tank.key, key).cloned()
    }

    /// A temperature in the units of the edition.
    fn degrees(&self, celsius: f64) -> String {
        use crate::units::{Dimension, show};
        show(celsius, Dimension::Temperature, None, self.record.units, 1)
    }

    /// Hours until the lower limit with some devices dead and every heater left at full.
    fn cold(&self, dead: &dyn Fn(&str) -> bool) -> Option<Harm> {
        self.cold_between(dead, dead, &|_| Vec::new())
    }

    /// The same with what is dead for certain, what may be dead, and what is taken out of the water.
    fn cold_between(
        &self,
        dead: &dyn Fn(&str) -> bool,
        may_be_dead: &dyn Fn(&str) -> bool,
        taken: Given,
    ) -> Option<Harm> {
        let left = |side: &Balance, dead: &dyn Fn(&str) -> bool| {
            [side.gains_without(dead), side.heaters_without(dead), taken(side)].concat()
        };
        let between = (self.balances()?.target, self.balances()?.cold_limit);
        self.between(HarmBy::Cold, Way::Cools, between, (&|side| left(side, may_be_dead), &|side| left(side, dead)))
    }

    /// Hours until the upper limit with some heaters on, beside pumps and lamps.
    fn hot(&self, heating: &dyn Fn(&str) -> bool) -> Option<Harm> {
        let given = |side: &Balance| side.with_heaters(heating);
        let between = (self.balances()?.target, self.balances()?.hot_limit);
        self.between(HarmBy::Heat, Way::Warms, between, (&given, &given))
    }

    fn between(
        &self,
        by: HarmBy,
        way: Way,
        between: (NodeId, NodeId),
        (worse, better): (Given, Given),
    ) -> Option<Harm> {
        let (balances, graph) = (self.balances()?, &mut self.figures.borrow_mut().graph);
        let worse = balances.at_least("Hours until harm, at least", way, between, worse, graph).node;
        let better = balances.at_most("Hours until harm, at most", way, between, better, graph).node;
        harm(by, graph.value(worse), graph.value(better))
    }

    /// Where the water ends with some heaters on, as (at least, at most).
    fn ends_at(&self, heating: &dyn Fn(&str) -> bool) -> Option<(f64, f64)> {
        let (balances, graph) = (self.balances()?, &mut self.figures.borrow_mut().graph);
        let given = |side: &Balance| side.with_heaters(heating);
        let mut at = |side, label| {
            let node = balances.ends_at(label, side, &given, graph).node;
            graph.value(node)
        };
        let (low, high) = (at(Side::Cold, "Ends at, at least"), at(Side::Warm, "Ends at, at most"));
        Some((low, high)).filter(|(low, high)| low.is_finite() && high.is_finite())
    }

    /// Whether a device moves or airs the water of the display as it is set. A skimmer may stand in a sump.
    fn moves_water(&self, device: &Device) -> bool {
        let in_display = match device.role.value {
            Role::CirculationPump | Role::ReturnPump => true,
            Role::Skimmer => self.tank.sump_size.is_none(),
            // One that waits for a power cut does not move water now.
            Role::AirPump => self.of.batteries.iter().all(|set| set.device != device.key),
            _ => false,
        };
        in_display && !self.is_off(device)
    }

    fn is_off(&self, device: &Device) -> bool {
        use crate::record::equipment::Schedule;
        let settings = device.settings.at(self.record.as_of).map(|stretch| &stretch.value);
        let level = settings.and_then(|settings| settings.level.as_ref()).map_or(1.0, |level| level.value);
        let schedule = settings.and_then(|settings| settings.schedule.as_ref());
        level <= 0.0 || schedule.is_some_and(|schedule| schedule.value == Schedule::Off)
    }

    /// Lack of oxygen where nothing moves the water any more, as practice has it.
    fn oxygen(&self, dead: &dyn Fn(&str) -> bool) -> Option<Harm> {
        let moved = self.devices().any(|device| self.moves_water(device) && !dead(&device.key));
        let (low, high) = OXYGEN_HOURS;
        (!moved).then_some(Harm { by: HarmBy::Oxygen, at_least: Some(low), at_most: Some(high), assumed: true })
    }

    fn in_sump(&self, device: &Device) -> Option<bool> {
        in_sump(self.tank, device)
    }

    /// Names of devices, for a sentence.
    fn names<'n>(&self, devices: impl Iterator<Item = &'n Device>) -> String {
        let names: Vec<&str> = devices.map(|device| device.name.value.as_str()).collect();
        match names.split_last() {
            None => String::new(),
            Some((last, [])) => (*last).to_string(),
            Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        }
    }

    /// The controller's alarm, where one is written.
    fn alarm(&self) -> Option<(f64, f64)> {
        self.devices().find_map(|device| {
            let settings = &device.settings.at(self.record.as_of)?.value;
            let (low, high) = &settings.alarm.as_ref()?.value;
            Some((low.value, high.value))
        })
    }

    fn alarm_words(&self, by: HarmBy) -> Option<String> {
        let (low, high) = self.alarm()?;
        match by {
            HarmBy::Heat => Some(format!("the alarm above {}", self.degrees(high))),
            HarmBy::Cold => Some(format!("the alarm below {}", self.degrees(low))),
            _ => None,
        }
    }
}

/// Whether a device stands in the sump: as it is written (`stands-in:`), else by its place in the display, else by its
/// height in front of the stand. None where the record does not tell.
pub fn in_sump(tank: &Tank, device: &Device) -> Option<bool> {
    if tank.sump_size.is_none() {
        return Some(false);
    }
    if let Some(stands_in) = &device.stands_in {
        return Some(stands_in.value == StandsIn::Sump);
    }
    if device.place_in_tank.is_some() {
        return Some(false);
    }
    let top_of_stand = tank.stand.as_ref()?.height.as_ref()?.value.value;
    Some(device.front.as_ref()?.up < top_of_stand)
}

/// The interval of a harm; None where even the worse end is no sooner than a week.
fn harm(by: HarmBy, worse: f64, better: f64) -> Option<Harm> {
    if worse.is_nan() || worse >= LONGEST_HOURS {
        return None;
    }
    let at_most = Some(better.max(worse)).filter(|hours| *hours < LONGEST_HOURS);
    Some(Harm { by, at_least: Some(worse), at_most, assumed: false })
}

/// The one that comes first.
fn first(harms: impl IntoIterator<Item = Option<Harm>>) -> Option<Harm> {
    let hours = |harm: &Harm| harm.at_least.unwrap_or(f64::INFINITY);
    harms.into_iter().flatten().min_by(|a, b| hours(a).total_cmp(&hours(b)))
}
