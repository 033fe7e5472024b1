//! One body of water with everything that hangs on it.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

use super::{
    Device, Entry, LightSurvey, Parameter, ReadingsFile, Role, SpecSheet, Upkeep,
    equipment::{hour_of, words},
    site::Site,
    sitter::Contacts,
    timeline::{Located, Timeline},
};
use crate::diagnostic::Place;
use crate::units::{Quantity, Unit};

/// A tank: `tank.yaml` and the folders beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tank {
    /// `.` at the record's root, else the folder's name.
    pub key: String,
    pub name: Located<String>,
    pub about: Option<String>,
    pub started: Located<Date>,
    pub ended: Option<Located<Date>>,
    pub zone: jiff::tz::TimeZone,
    pub country: Option<Located<String>>,
    /// Outer length, width and height in cm.
    pub size: Option<Located<[f64; 3]>>,
    pub glass: Option<Located<Quantity>>,
    pub bottom_glass: Option<Located<Quantity>>,
    /// From the top of the sand to the surface.
    pub water_depth: Option<Located<Quantity>>,
    pub sand_mass: Option<Located<Quantity>>,
    pub sand_depth: Option<Located<Quantity>>,
    pub rock: Option<Located<Quantity>>,
    /// Share of the surface under a cover that holds vapour back, 0 to 1.
    pub lid: Option<Located<f64>>,
    /// Thickness of the foam under the bottom.
    pub mat: Option<Located<Quantity>>,
    pub sump_size: Option<Located<[f64; 3]>>,
    pub sump_water_depth: Option<Located<Quantity>>,
    pub sump_glass: Option<Located<Quantity>>,
    pub overflow: Option<Overflow>,
    /// The keeper's bands of turnover, in tank volumes an hour.
    pub turnover: BTreeMap<PumpGroup, Located<Band>>,
    pub water: Timeline<WaterVolume>,
    pub room: Timeline<(Quantity, Quantity)>,
    pub room_humidity: Timeline<(Quantity, Quantity)>,
    /// Month, 1 to 12, to what the room usually is then.
    pub room_by_month: BTreeMap<i8, RoomMonth>,
    /// Beyond these harm begins, as the keeper sees it: wider than the bands.
    pub limits: BTreeMap<Parameter, Located<Band>>,
    pub electricity: Timeline<Electricity>,
    pub floor: Option<Located<Floor>>,
    pub floor_construction: Option<Located<String>>,
    pub stand: Option<Stand>,
    pub kind: Option<Located<TankKind>>,
    pub usual_units: BTreeMap<Parameter, &'static Unit>,
    pub usual_kits: BTreeMap<Parameter, Located<String>>,
    pub bands: BTreeMap<Parameter, Timeline<Band>>,
    /// Where in its band the keeper wants a value, in the parameter's own unit.
    pub targets: BTreeMap<Parameter, Timeline<f64>>,
    /// What the top-off water holds, in the parameter's own unit; nothing where it is not told.
    pub top_off_water: BTreeMap<Parameter, Timeline<f64>>,
    /// The salt that new water is mixed from, where the record has more than one.
    pub salt: Option<Located<String>>,
    pub hero: Option<Located<String>>,
    /// Dates the keeper wants side by side.
    pub compare: Vec<Pair>,
    pub publish_lag_days: i64,
    /// Where the journal is published; only the main tank's counts.
    pub site: Option<Site>,
    /// Private.
    pub contacts: Contacts,
    /// `household.children-under-5`; private.
    pub children_under_5: YesNo,
    pub acknowledged: Vec<Acknowledged>,
    pub place: Place,

    pub devices: BTreeMap<String, Device>,
    pub specs: BTreeMap<String, SpecSheet>,
    /// Sorted by time.
    pub entries: Vec<Entry>,
    pub readings: Vec<ReadingsFile>,
    /// Sorted by date.
    pub surveys: Vec<LightSurvey>,
    pub upkeep: Upkeep,
}

/// A range the keeper wants a value in, in the parameter's own unit. An open side has no limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    pub low: f64,
    pub high: f64,
}

/// What leads the display's water down to the sump, and what may run back when the return stops.
#[derive(Clone, Debug, PartialEq)]
pub struct Overflow {
    /// Length of the edge that water falls over, without its teeth.
    pub edge: Option<Located<Quantity>>,
    /// Height of the running water above that edge, as measured.
    pub over_edge: Option<Located<Quantity>>,
    /// How far under the running surface the return's mouth, or the hole that breaks its siphon, lies.
    pub siphon_depth: Option<Located<Quantity>>,
    /// Water in the overflow's box and pipes that runs down too.
    pub holds: Option<Located<Quantity>>,
    pub place: Place,
}

words! {
    /// What a pump's flow is for.
    PumpGroup { Circulation = "circulation", Return = "return", Filtration = "filtration" }
}

impl PumpGroup {
    /// What the flow of a device of this role is for.
    pub fn of(role: Role) -> Option<PumpGroup> {
        match role {
            Role::CirculationPump => Some(PumpGroup::Circulation),
            Role::ReturnPump => Some(PumpGroup::Return),
            Role::Skimmer | Role::UvSteriliser => Some(PumpGroup::Filtration),
            _ => None,
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct WaterVolume {
    /// `None` when it is to be worked out from the sizes.
    pub volume: Option<Quantity>,
    pub by: VolumeBasis,
}

/// How the net volume is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VolumeBasis {
    CountedAtFill,
    Tracer,
    Stated,
    Geometry,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Electricity {
    pub voltage: Option<Located<Quantity>>,
    pub tariff: Option<Located<Quantity>>,
    /// Hours of the day at another price.
    pub off_peak: Vec<OffPeak>,
    pub circuit_rating: Option<Located<Quantity>>,
    pub ground_fault: YesNo,
    pub drip_loops: YesNo,
}

/// A stretch of every day with a price of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct OffPeak {
    /// Over midnight where `to` lies before `from`.
    pub from: Time,
    pub to: Time,
    pub price: Located<Quantity>,
}

impl OffPeak {
    /// Share of an hour of the day (0 to 23) that lies in it.
    pub fn share_of_hour(&self, hour: u8) -> f64 {
        let (start, end) = (f64::from(hour), f64::from(hour) + 1.0);
        let (from, to) = (hour_of(self.from), hour_of(self.to));
        let overlap = |from: f64, to: f64| (to.min(end) - from.max(start)).max(0.0);
        if from < to { overlap(from, to) } else { overlap(0.0, to) + overlap(from, 24.0) }
    }
}

/// The months as keys name them.
pub const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// What a room usually is in one month.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoomMonth {
    pub temperature: Option<Located<Quantity>>,
    /// 0 to 1.
    pub humidity: Option<Located<Quantity>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum YesNo {
    Yes,
    No,
    #[default]
    Unknown,
}

impl YesNo {
    pub fn word(self) -> &'static str {
        match self {
            YesNo::Yes => "yes",
            YesNo::No => "no",
            YesNo::Unknown => "not known",
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Floor {
    Ground,
    Upper,
    Unknown,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TankKind {
    Soft,
    Mixed,
    Stony,
    Lagoon,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    pub mass: Option<Located<Quantity>>,
    /// Length and width in cm.
    pub footprint: Option<Located<[f64; 2]>>,
    pub home_built: Option<bool>,
    /// From the floor to the tank's bottom.
    pub height: Option<Located<Quantity>>,
    pub place: Place,
}

/// Two dates to be shown side by side, of the whole tank or of one colony.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    pub from: Date,
    pub to: Date,
    pub title: Option<String>,
    pub colony: Option<Located<String>>,
    pub place: Place,
}

/// A caution the keeper has read and answered.
#[derive(Clone, Debug, PartialEq)]
pub struct Acknowledged {
    pub caution: Located<String>,
    pub reason: String,
    pub on: Date,
}

impl Tank {
    /// The last day on which it stood, as the record tells it on a date.
    pub fn last_day(&self, as_of: Date) -> Date {
        self.ended.as_ref().map_or(as_of, |ended| ended.value.min(as_of))
    }

    /// Days since the tank was first filled.
    pub fn age_days(&self, on: Date) -> i32 {
        days_between(self.started.value, on)
    }

    /// What an answer answers.
    pub fn question_of(&self, answer: &super::entry::Answer) -> Option<&super::entry::Question> {
        self.entries.iter().filter_map(|entry| entry.ask.as_ref()).find(|ask| answer.is_to(ask))
    }

    pub fn device(&self, name: &str) -> Option<&Device> {
        self.devices.get(name)
    }

    /// Devices in service on a date, by name.
    pub fn devices_at(&self, date: Date) -> impl Iterator<Item = &Device> {
        self.devices.values().filter(move |device| device.in_service_on(date))
    }

    /// Whether it stands at the record's root.
    pub fn is_root(&self) -> bool {
        self.key == "."
    }
}

/// Whole days from one date to another.
pub fn days_between(from: Date, to: Date) -> i32 {
    (to - from).get_days()
}

/// Words for where a tank stands.
pub const FLOORS: &[(&str, Floor)] = &[("ground", Floor::Ground), ("upper", Floor::Upper), ("unknown", Floor::Unknown)];

/// Words for what kind of reef a tank is.
pub const TANK_KINDS: &[(&str, TankKind)] =
    &[("soft", TankKind::Soft), ("mixed", TankKind::Mixed), ("stony", TankKind::Stony), ("lagoon", TankKind::Lagoon)];

/// Whether a stand is home-built.
pub const BUILT: &[(&str, bool)] = &[("bought", false), ("home-built", true)];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Dimension, parse};
    use jiff::civil::time;

    #[test]
    fn off_peak_hours_run_over_midnight() {
        let place = Place { file: "tank.yaml".into(), line: 1, column: 1, length: 1 };
        let price = Located::new(parse("0.13 EUR/kWh", &[Dimension::Tariff], None).unwrap(), place);
        let night = OffPeak { from: time(22, 30, 0, 0), to: time(8, 0, 0, 0), price };
        let shares: Vec<f64> = (0..24).map(|hour| night.share_of_hour(hour)).collect();
        assert_eq!((shares[7], shares[8], shares[21], shares[22], shares[23]), (1.0, 0.0, 0.0, 0.5, 1.0));
        assert!((shares.iter().sum::<f64>() - 9.5).abs() < 1e-12);
    }
}
