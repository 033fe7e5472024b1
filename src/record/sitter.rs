//! What whoever minds the tank needs to know. Private as a whole: none of it reaches the journal.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

use super::equipment::words;
use super::timeline::Located;
use crate::diagnostic::Place;
use crate::units::Quantity;

/// A person or service, from `contacts:` of the tank.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    pub key: String,
    pub name: Option<String>,
    pub phone: Option<String>,
    /// What they are called for: `knows reefs`, `power and water`.
    pub about: Option<String>,
    pub place: Place,
}

words! {
    /// The units that the sitter reads.
    Reads { Metric = "metric", Us = "us" }
}

words! {
    /// How food is handed to the sitter.
    Portions { Bags = "bags", Spoons = "spoons" }
}

/// `sitter:` of `upkeep/*.yaml`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SitterPlan {
    pub reads: Option<Located<Reads>>,
    /// `en` or `es`.
    pub language: Option<Located<String>>,
    /// Days from one visit to the next.
    pub visit_every: Option<Located<f64>>,
    pub visit_at: Option<Located<Time>>,
    /// Keys of contacts, in the order in which to call them.
    pub call: Vec<Located<String>>,
    pub emergency: Emergency,
    pub address: Option<Located<String>>,
    /// Never printed: it may not share a sheet with the address.
    pub alarm_code: Option<Located<String>>,
    pub rehearsed: Rehearsed,
    pub level: Option<LevelMark>,
    pub thermometer: Option<Located<String>>,
    pub sound: Option<Located<String>>,
    /// Photos of the tank as it should look, with a caption each.
    pub looks: Vec<Shot>,
    /// What looks alarming but is normal.
    pub odd: Vec<Shot>,
    pub feed: FeedPlan,
    /// Dosed by hand while the keeper is away, from cups measured out before.
    pub doses_by_hand: bool,
    pub pure_water: Option<PureWater>,
    /// Animals to count at each visit.
    pub count: Vec<HeadCount>,
    /// Beyond what is never done at any tank.
    pub never: Vec<Located<String>>,
    /// Places on the plan beside those of devices.
    pub things: Vec<Thing>,
    pub place: Option<Place>,
}

/// Printed as it stands; a missing line is left as a blank to fill in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Emergency {
    pub number: Option<Located<String>>,
    pub poison_centre: Option<Located<String>>,
    pub breaker: Option<Located<String>>,
    pub water_stop: Option<Located<String>>,
}

/// When the sitter last made a visit with the keeper looking on, when the alarm last reached somebody, and when the power
/// was last cut on purpose.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rehearsed {
    pub sitter: Option<Located<Date>>,
    pub alarm: Option<Located<Date>>,
    pub power_cut: Option<Located<Date>>,
}

/// The mark that the water stands at.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelMark {
    pub mark: Located<String>,
    pub photo: Option<Located<String>>,
    /// How far below the mark the water may stand before it is a leak or a dry jug.
    pub low: Option<Located<Quantity>>,
    pub front: Option<Front>,
    pub place: Place,
}

/// A photo with its caption, or a caption alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Shot {
    pub what: Located<String>,
    pub photo: Option<Located<String>>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct FeedPlan {
    /// Days from one feed to the next while the keeper is away.
    pub every: Option<Located<f64>>,
    pub portions: Option<Located<Portions>>,
    /// Bags more than there are days to feed.
    pub spare: u32,
}

/// Fresh water that is ready to top up with.
#[derive(Clone, Debug, PartialEq)]
pub struct PureWater {
    pub stock: Option<Located<Quantity>>,
    pub kept: Option<Located<String>>,
    pub place: Place,
}

#[derive(Clone, Debug, PartialEq)]
pub struct HeadCount {
    pub colony: Located<String>,
    pub number: Option<Located<f64>>,
    pub hides: Option<String>,
}

/// A place as seen from in front: cm from the left end of the stand, and above the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Front {
    pub x: f64,
    pub up: f64,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    pub what: Located<String>,
    pub front: Option<Front>,
}

/// Spoon or scoop that a food is measured with.
#[derive(Clone, Debug, PartialEq)]
pub struct Spoon {
    pub what: Located<String>,
    pub holds: Located<Quantity>,
}

/// How much of a supply was left on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Left {
    pub amount: Located<Quantity>,
    pub on: Date,
}

/// All contacts of a tank, by key.
pub type Contacts = BTreeMap<String, Contact>;

/// The languages in which the sheet's fixed wording is there.
pub const LANGUAGES: [&str; 2] = ["en", "es"];
