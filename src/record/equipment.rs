//! Devices and the spec sheets their makers print.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

use super::{
    YesNo,
    sitter::Front,
    timeline::{Located, Timeline},
};
use crate::diagnostic::Place;
use crate::science::dimming::DimmingCurve;
use crate::science::photons::Spectrum;
use crate::science::plumbing::{Fitting, PumpCurve};
use crate::units::Quantity;
use crate::units::{Flow, Length};

#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    pub key: String,
    pub name: Located<String>,
    pub role: Located<Role>,
    pub spec: Option<Located<String>>,
    pub in_service: Located<Date>,
    pub out_of_service: Option<Located<Date>>,
    /// What the keeper measured at full level.
    pub watts: Option<Located<Quantity>>,
    pub standby: Option<Located<Quantity>>,
    pub settings: Timeline<Settings>,
    /// Static head that a return pump lifts.
    pub head: Option<Located<Quantity>>,
    /// Pipes from the pump to where its water comes out, in order.
    pub plumbing: Vec<Pipe>,
    /// Of a lamp: what was measured of its light at levels of its dial.
    pub dimming: Option<Located<DimmingCurve>>,
    pub position: Option<Located<Position>>,
    pub mains: YesNo,
    /// Which water it stands in, where a tank has a sump.
    pub stands_in: Option<Located<StandsIn>>,
    pub place_in_tank: Option<Spot>,
    /// As seen from in front.
    pub front: Option<Front>,
    pub plugged: Option<Located<String>>,
    pub protection: Option<Located<String>>,
    pub rating: Option<Located<Quantity>>,
    pub on_extension: YesNo,
    /// Of fresh water that a top-off draws from.
    pub reservoir: Option<Located<Quantity>>,
    /// Energy that a battery, or a device with one of its own, holds.
    pub capacity: Option<Located<Quantity>>,
    /// Devices that a battery is meant to carry through a power cut.
    pub runs: Vec<Located<String>>,
    pub forgets: Option<Forgets>,
    pub listed_mark: YesNo,
    pub home_made: bool,
    pub bought_on: Option<Located<Date>>,
    pub metal_hardware: YesNo,
    pub coin_cell: YesNo,
    pub why: Option<String>,
    pub again: Option<Again>,
    pub photo: Option<Located<String>>,
    pub note: Option<String>,
    pub place: Place,
}

impl Device {
    pub fn in_service_on(&self, date: Date) -> bool {
        self.in_service.value <= date && self.out_of_service.as_ref().is_none_or(|end| date < end.value)
    }
}

/// A run of pipe of one bore.
#[derive(Clone, Debug, PartialEq)]
pub struct Pipe {
    /// Inner diameter.
    pub bore: Located<Quantity>,
    pub length: Located<Quantity>,
    pub fittings: Vec<(Fitting, u32)>,
    pub place: Place,
}

macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($variant),+ }
        impl $name {
            pub const WORDS: &'static [(&'static str, $name)] = &[$(($word, $name::$variant)),+];
            /// The word in the record.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }
        }
    };
}
pub(super) use words;

words! {
    /// What a device is for.
    Role {
        Lamp = "lamp",
        Heater = "heater",
        CirculationPump = "circulation-pump",
        ReturnPump = "return-pump",
        Skimmer = "skimmer",
        DosingPump = "dosing-pump",
        TopOff = "top-off",
        Fan = "fan",
        Chiller = "chiller",
        Controller = "controller",
        Thermometer = "thermometer",
        Probe = "probe",
        PowerStrip = "power-strip",
        GroundFaultProtection = "ground-fault-protection",
        UvSteriliser = "uv-steriliser",
        OzoneGenerator = "ozone-generator",
        Co2Cylinder = "co2-cylinder",
        Battery = "battery",
        AirPump = "air-pump",
        LeakAlarm = "leak-alarm",
        Camera = "camera",
        Other = "other",
    }
}

impl Role {
    /// The role as a page names it.
    pub fn shown(self) -> String {
        match self {
            Role::TopOff => "top-off".into(),
            Role::UvSteriliser => "UV steriliser".into(),
            Role::Co2Cylinder => "CO₂ cylinder".into(),
            other => other.word().replace('-', " "),
        }
    }

    pub fn moves_water(self) -> bool {
        matches!(self, Role::CirculationPump | Role::ReturnPump)
    }
}

words! {
    /// The water that a device stands in.
    StandsIn {
        Display = "display",
        Sump = "sump",
    }
}

words! {
    Position {
        InWater = "in-water",
        OverWater = "over-water",
        UnderTank = "under-tank",
        Beside = "beside",
        OnWall = "on-wall",
    }
}

words! {
    /// What a device does when power returns.
    PowerUp { On = "on", Off = "off", Last = "last", Full = "full", Unknown = "unknown" }
}

/// A place in the tank, in cm from the front left outer corner, depth below the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    pub x: f64,
    pub y: f64,
    pub depth: Option<f64>,
}

/// What was set on a device.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// 0 to 1.
    pub level: Option<Located<f64>>,
    pub schedule: Option<Located<Schedule>>,
    /// Share of the scheduled time that it really runs, 0 to 1.
    pub duty: Option<Located<f64>>,
    pub temperature: Option<Located<Quantity>>,
    pub thermostat: Option<Located<Quantity>>,
    /// Of a lamp over the water.
    pub height: Option<Located<Quantity>>,
    pub flow: Option<Located<Quantity>>,
    /// Below and above which it calls, in °C.
    pub alarm: Option<Located<(Quantity, Quantity)>>,
    /// Hours after which it stops by itself.
    pub longest_run: Option<Located<f64>>,
    pub mode: Option<String>,
    /// Channel to level, 0 to 1.
    pub channels: BTreeMap<String, f64>,
    pub why: Option<String>,
}

/// A day's course of a device's level.
#[derive(Clone, Debug, PartialEq)]
pub enum Schedule {
    Always,
    Off,
    /// From, to, and the ramp in hours at either end, inside the span.
    Span {
        from: Time,
        to: Time,
        ramp: f64,
    },
    /// Points joined by straight lines, sorted by time: time of day, level 0 to 1.
    Points(Vec<(Time, f64)>),
}

impl Schedule {
    /// The day's course as (hour, share of the set level) from 0 h to 24 h, joined by straight lines. A step is two
    /// points at one hour.
    pub fn course(&self) -> Vec<(f64, f64)> {
        match self {
            Schedule::Always => vec![(0.0, 1.0), (24.0, 1.0)],
            Schedule::Off => vec![(0.0, 0.0), (24.0, 0.0)],
            Schedule::Span { from, to, ramp } => span_course(hour_of(*from), hour_of(*to), *ramp),
            Schedule::Points(points) => points_course(points),
        }
    }
}

/// A time of day in hours.
pub fn hour_of(time: Time) -> f64 {
    f64::from(time.hour()) + f64::from(time.minute()) / 60.0 + f64::from(time.second()) / 3600.0
}

fn span_course(from: f64, to: f64, ramp: f64) -> Vec<(f64, f64)> {
    if to > from {
        let ramp = ramp.min((to - from) / 2.0);
        vec![(0.0, 0.0), (from, 0.0), (from + ramp, 1.0), (to - ramp, 1.0), (to, 0.0), (24.0, 0.0)]
    } else {
        // Over midnight: two spans, the second carried on from the first.
        let length = to + 24.0 - from;
        let ramp = ramp.min(length / 2.0);
        let at = |hour: f64| -> f64 {
            let since = if hour >= from { hour - from } else { hour + 24.0 - from };
            if since > length {
                0.0
            } else if ramp <= 0.0 {
                1.0
            } else {
                (since / ramp).min((length - since) / ramp).clamp(0.0, 1.0)
            }
        };
        let mut hours: Vec<f64> = [0.0, 24.0, from, to, (from + ramp) % 24.0, (to - ramp).rem_euclid(24.0)].to_vec();
        hours.sort_by(f64::total_cmp);
        hours.dedup();
        if ramp <= 0.0 {
            return vec![(0.0, 1.0), (to, 1.0), (to, 0.0), (from, 0.0), (from, 1.0), (24.0, 1.0)];
        }
        hours.into_iter().map(|hour| (hour, at(hour))).collect()
    }
}

/// Points joined by straight lines; before the first and after the last the line runs over midnight.
fn points_course(points: &[(Time, f64)]) -> Vec<(f64, f64)> {
    let Some((first, last)) = points.first().zip(points.last()) else {
        return vec![(0.0, 0.0), (24.0, 0.0)];
    };
    let (first_hour, last_hour) = (hour_of(first.0), hour_of(last.0));
    let gap = first_hour + 24.0 - last_hour;
    let midnight = if gap > 0.0 { last.1 + (first.1 - last.1) * (24.0 - last_hour) / gap } else { last.1 };
    let mut course = Vec::with_capacity(points.len() + 2);
    if first_hour > 0.0 {
        course.push((0.0, midnight));
    }
    course.extend(points.iter().map(|(time, level)| (hour_of(*time), *level)));
    course.push((24.0, midnight));
    course
}

#[derive(Clone, Debug, PartialEq)]
pub struct Forgets {
    pub keeps_settings: YesNo,
    pub keeps_clock: YesNo,
    pub restarts_itself: YesNo,
    pub state_at_power_up: PowerUp,
    /// Whether its clock goes by summer time on its own.
    pub follows_summer_time: YesNo,
    pub needs_hand: Option<String>,
    pub tested_on: Option<Located<Date>>,
    pub place: Place,
}

/// Whether the keeper would choose it again.
#[derive(Clone, Debug, PartialEq)]
pub struct Again {
    pub answer: String,
    pub because: Option<String>,
}

/// What a maker states about a device.
#[derive(Clone, Debug, PartialEq)]
pub struct SpecSheet {
    pub key: String,
    pub name: Located<String>,
    pub kind: Option<Located<Role>>,
    pub power: Option<Located<Quantity>>,
    pub voltage: Option<Located<Quantity>>,
    pub current: Option<Located<Quantity>>,
    /// At zero head.
    pub flow: Option<Located<Quantity>>,
    /// At zero flow.
    pub head: Option<Located<Quantity>>,
    /// Head in m, flow in L/h.
    pub curve: Vec<(f64, f64)>,
    /// Of a lamp: from the table beside the sheet, or a published light by its name.
    pub spectrum: Option<Spectrum>,
    pub luminous_flux: Option<Located<Quantity>>,
    /// Heat that a chiller takes out of the water.
    pub cooling: Option<Located<Quantity>>,
    pub volume: Option<Located<Quantity>>,
    pub rating: Option<Located<Quantity>>,
    pub capacity: Option<Located<Quantity>>,
    /// Every stated line as printed: key and text, in the sheet's order.
    pub stated: Vec<(String, Located<String>)>,
    /// The prose under the front matter.
    pub prose: String,
    pub place: Place,
}

impl SpecSheet {
    /// The curve of a pump, by its points or through its two ends. None where neither is stated, or no pump has such.
    pub fn pump_curve(&self) -> Option<PumpCurve> {
        if self.curve.len() >= 2 {
            let points: Vec<(Flow, Length)> =
                self.curve.iter().map(|(head, flow)| (Flow::litres_per_hour(*flow), Length::metres(*head))).collect();
            return PumpCurve::of_points(&points).ok();
        }
        let (flow, head) = (self.flow.as_ref()?, self.head.as_ref()?);
        PumpCurve::of_ends(Length::centimetres(head.value.value), Flow::litres_per_hour(flow.value.value)).ok()
    }
}

/// Whether a device is home-made.
pub const MADE: &[(&str, bool)] = &[("home-made", true), ("bought", false)];

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::time;

    fn area(course: &[(f64, f64)]) -> f64 {
        course.windows(2).map(|pair| (pair[1].0 - pair[0].0) * (pair[0].1 + pair[1].1) / 2.0).sum()
    }

    #[test]
    fn ramps_lie_inside_the_span() {
        let schedule = Schedule::Span { from: time(10, 0, 0, 0), to: time(19, 30, 0, 0), ramp: 1.0 };
        assert!((area(&schedule.course()) - 8.5).abs() < 1e-12);
    }

    #[test]
    fn a_span_over_midnight_keeps_its_length() {
        let schedule = Schedule::Span { from: time(20, 0, 0, 0), to: time(6, 0, 0, 0), ramp: 1.0 };
        assert!((area(&schedule.course()) - 9.0).abs() < 1e-12);
        let square = Schedule::Span { from: time(20, 0, 0, 0), to: time(6, 0, 0, 0), ramp: 0.0 };
        assert!((area(&square.course()) - 10.0).abs() < 1e-12);
    }

    #[test]
    fn points_run_on_over_midnight() {
        let points = vec![(time(6, 0, 0, 0), 0.0), (time(12, 0, 0, 0), 1.0), (time(18, 0, 0, 0), 0.0)];
        assert!((area(&Schedule::Points(points).course()) - 6.0).abs() < 1e-12);
    }
}
