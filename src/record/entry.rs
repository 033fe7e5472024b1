//! Log entries: what happened at one date.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime, Time};

use super::{Parameter, equipment::words, supply::KitMethod, timeline::Located};
use crate::diagnostic::Place;
use crate::units::{Bound, Quantity};

#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Wall clock of the tank's zone; noon when only a date was written.
    pub when: DateTime,
    pub has_time: bool,
    pub readings: Vec<Reading>,
    pub top_off: Option<Located<Quantity>>,
    /// Tank water that the skimmer took out.
    pub skimmate: Option<Located<Quantity>>,
    pub water_change: Option<WaterChange>,
    pub doses: Vec<Amount>,
    pub feeds: Vec<Amount>,
    pub harvests: Vec<Amount>,
    pub done: Vec<Located<String>>,
    pub seen: Vec<(Located<String>, String)>,
    pub note: Option<Located<String>>,
    pub event: Option<Event>,
    pub changed: BTreeMap<Lane, Located<String>>,
    /// Running total of the tank's meter, kWh.
    pub meter: Option<Located<Quantity>>,
    pub flow_tests: Vec<(Located<String>, Quantity)>,
    pub ask: Option<Question>,
    pub answer: Option<Answer>,
    pub photos: Vec<PhotoUse>,
    pub quiet: bool,
    pub correction: Option<Located<String>>,
    pub place: Place,
}

impl Entry {
    pub fn date(&self) -> Date {
        self.when.date()
    }

    /// Stem of its page: `2026-10-03` or `2026-10-03-2110`.
    pub fn slug(&self) -> String {
        let date = self.when.date();
        if self.has_time {
            format!("{date}-{:02}{:02}", self.when.hour(), self.when.minute())
        } else {
            date.to_string()
        }
    }
}

/// Noon stands for "some time that day".
pub fn noon() -> Time {
    jiff::civil::time(12, 0, 0, 0)
}

#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    pub parameter: Parameter,
    pub bound: Bound,
    /// As written; see `figures::readings` for the value in the parameter's own unit.
    pub quantity: Quantity,
    /// The kit named in the entry, else the tank's usual one.
    pub kit: Option<Located<String>>,
    pub lot: Option<String>,
    /// Named for this reading alone, as for a sample sent to a laboratory.
    pub method: Option<Located<KitMethod>>,
    pub place: Place,
}

#[derive(Clone, Debug, PartialEq)]
pub struct WaterChange {
    pub volume: Located<Quantity>,
    pub salinity: Option<Located<Quantity>>,
    pub temperature: Option<Located<Quantity>>,
    /// The salt it was mixed from, where it is not the tank's usual one.
    pub salt: Option<Located<String>>,
}

/// So much of something: a dose of a stock, a feed of a food, a harvest of a colony.
#[derive(Clone, Debug, PartialEq)]
pub struct Amount {
    pub of: Located<String>,
    pub amount: Located<Quantity>,
    /// Spread over this many days up to the entry.
    pub over_days: f64,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    pub what: Located<String>,
    pub kind: EventKind,
    pub lasted_hours: Option<f64>,
    pub until: Option<Date>,
}

words! {
    EventKind {
        PowerCut = "power-cut",
        HeaterFault = "heater-fault",
        Leak = "leak",
        Diatoms = "diatoms",
        GreenFilm = "green-film",
        Death = "death",
        Spawning = "spawning",
        Shedding = "shedding",
        PumpFault = "pump-fault",
        LampFault = "lamp-fault",
        Other = "other",
    }
}

words! {
    /// The seven lanes of what changed, in their fixed order.
    Lane {
        Lamp = "lamp",
        Flow = "flow",
        Dose = "dose",
        Food = "food",
        Arrivals = "arrivals",
        Losses = "losses",
        Work = "work",
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    pub what: Located<String>,
    pub by: Option<Located<Date>>,
    pub id: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    pub to: Located<String>,
    pub say: String,
}

impl Answer {
    /// An answer names its question by id or by its words.
    pub fn is_to(&self, question: &Question) -> bool {
        self.to.value == question.what.value || question.id.as_ref() == Some(&self.to.value)
    }
}

/// A photo shown in an entry.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoUse {
    /// Relative to the record's root, as `photos/…`.
    pub file: Located<String>,
    pub caption: Option<String>,
    pub of: Vec<String>,
    pub view: Option<String>,
    pub lamp: Option<String>,
}
