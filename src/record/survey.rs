//! Light surveys and sensor files.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};

use super::sensor::{Layout, Reading, Repeated};
use super::{Parameter, YesNo, timeline::Located};
use crate::diagnostic::Place;
use crate::units::{Dimension, Quantity};

/// Light readings at known places, taken in one go.
#[derive(Clone, Debug, PartialEq)]
pub struct LightSurvey {
    pub key: String,
    pub on: Located<Date>,
    pub lamp: Located<String>,
    /// 0 to 1.
    pub level: Located<f64>,
    pub height: Option<Located<Quantity>>,
    pub sensor: Option<Located<String>>,
    pub immersion_factor: Option<Located<f64>>,
    pub factor_applied: YesNo,
    /// Relative standard uncertainty of one reading.
    pub uncertainty: Option<Located<f64>>,
    /// What the readings, at points and at colonies, are in.
    pub unit: LightUnit,
    pub points: Vec<LightPoint>,
    /// Colony key and reading taken at it.
    pub at: Vec<(Located<String>, f64, Place)>,
    pub note: Option<String>,
    pub place: Place,
}

/// What a survey's meter reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LightUnit {
    /// µmol/m²/s.
    #[default]
    Photons,
    /// Lux: what an eye would see.
    Lux,
}

impl LightUnit {
    pub fn dimension(self) -> Dimension {
        match self {
            LightUnit::Photons => Dimension::PhotonFlux,
            LightUnit::Lux => Dimension::Illuminance,
        }
    }

    pub fn symbol(self) -> &'static str {
        match self {
            LightUnit::Photons => "µmol/m²/s",
            LightUnit::Lux => "lx",
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct LightPoint {
    /// cm from the front left outer corner; depth in cm below the surface.
    pub x: f64,
    pub y: f64,
    pub depth: f64,
    /// As read, in the survey's unit.
    pub light: f64,
    pub place: Place,
}

/// A CSV of sensor readings, kept as one summary a day so that memory does not grow with its rows.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingsFile {
    pub key: String,
    /// How the CSV is to be read.
    pub layout: Layout,
    pub sensor: Option<Located<String>>,
    pub uncertainty: BTreeMap<Parameter, Located<f64>>,
    pub days: BTreeMap<Parameter, Vec<SensorDay>>,
    /// What the sensor showed nearest to each hand reading, within half an hour, in time order.
    pub beside: BTreeMap<Parameter, Vec<(DateTime, f64)>>,
    pub rows: u64,
    /// Readings set aside as glitches, by parameter and line.
    pub glitches: Vec<Glitch>,
    pub place: Place,
}

impl ReadingsFile {
    /// Whether a reading was set aside as a glitch.
    pub fn is_set_aside(&self, reading: &Reading) -> bool {
        let key = (reading.parameter, reading.line);
        let from = self.glitches.partition_point(|glitch| (glitch.parameter, glitch.line) < key);
        self.glitches[from..]
            .iter()
            .take_while(|glitch| (glitch.parameter, glitch.line) == key)
            .any(|glitch| glitch.value.to_bits() == reading.value.to_bits())
    }
}

/// A reading that cannot be, or stands far from all others of its day.
#[derive(Clone, Debug, PartialEq)]
pub struct Glitch {
    pub parameter: Parameter,
    /// Of the CSV.
    pub line: u64,
    pub value: f64,
    pub date: Date,
}

#[derive(Clone, Debug, PartialEq)]
pub struct SensorDay {
    pub date: Date,
    pub mean: f64,
    pub low: f64,
    pub high: f64,
    pub count: u32,
    /// First line of the day in the CSV.
    pub line: u64,
}

/// Words for which of autumn's two equal hours a CSV has first.
pub const REPEATED_HOUR: &[(&str, Repeated)] =
    &[("first", Repeated::First), ("second", Repeated::Second), ("offset-in-file", Repeated::OffsetInFile)];
