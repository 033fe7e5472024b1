//! One living thing with an identity that outlives tanks.

use jiff::civil::Date;

use super::{equipment::words, timeline::Located};
use crate::diagnostic::Place;
use crate::units::Quantity;

#[derive(Clone, Debug, PartialEq)]
pub struct Colony {
    pub key: String,
    pub name: Located<String>,
    pub identity: Option<Located<String>>,
    pub group: Located<Group>,
    pub claims: Vec<Claim>,
    pub source: Option<Source>,
    pub parent: Option<Parent>,
    pub arrived: Located<Date>,
    pub quarantine: Option<Quarantine>,
    /// Sorted by `since`.
    pub placements: Vec<Placement>,
    pub needs_light: Option<Located<(f64, f64)>>,
    pub needs_flow: Option<Located<(f64, f64)>>,
    /// Sorted by date.
    pub sizes: Vec<Size>,
    /// Sorted by date.
    pub events: Vec<ColonyEvent>,
    /// What came back from whoever it went to. Sorted by date.
    pub heard: Vec<Heard>,
    pub ended: Option<Ended>,
    pub story: Option<String>,
    pub photo: Option<Located<String>>,
    pub note: Option<String>,
    pub place: Place,
}

words! {
    Group {
        Leather = "leather",
        Zoanthid = "zoanthid",
        Mushroom = "mushroom",
        Gorgonian = "gorgonian",
        Soft = "soft",
        LargePolypStony = "large-polyp-stony",
        SmallPolypStony = "small-polyp-stony",
        Clam = "clam",
        Anemone = "anemone",
        Macroalga = "macroalga",
        Seagrass = "seagrass",
        Sponge = "sponge",
        Snail = "snail",
        Crab = "crab",
        Shrimp = "shrimp",
        Urchin = "urchin",
        Fish = "fish",
        Other = "other",
    }
}

impl Group {
    pub fn shown(self) -> String {
        match self {
            Group::LargePolypStony => "large-polyp stony coral".into(),
            Group::SmallPolypStony => "small-polyp stony coral".into(),
            Group::Leather => "leather coral".into(),
            Group::Mushroom => "mushroom coral".into(),
            Group::Soft => "soft coral".into(),
            Group::Other => "other animal".into(),
            other => other.word().into(),
        }
    }
}

/// A name somebody gave it, and how sure they were.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    pub called: Option<String>,
    pub thought_to_be: Option<String>,
    pub by: Option<String>,
    pub on: Option<Date>,
    pub sure: Option<String>,
    pub place: Place,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    pub kind: Located<SourceKind>,
    pub from: Option<String>,
    /// Light it was used to, µmol/m²/s.
    pub light: Option<Located<crate::units::Quantity>>,
    pub papers: super::YesNo,
    pub place: Place,
}

words! {
    SourceKind {
        WildCollected = "wild-collected",
        Mariculture = "mariculture",
        Aquaculture = "aquaculture",
        HitchHiker = "hitch-hiker",
        Unknown = "unknown",
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Parent {
    pub colony: Located<String>,
    pub grade: Grade,
    pub on: Option<Date>,
    pub place: Place,
}

words! {
    /// The evidence for a lineage link.
    Grade {
        WitnessedCut = "witnessed-cut",
        GiversRecord = "givers-record",
        GiversStatement = "givers-statement",
        SellersStatement = "sellers-statement",
        NameOnly = "name-only",
        Unknown = "unknown",
    }
}

impl Grade {
    pub fn shown(self) -> &'static str {
        match self {
            Grade::WitnessedCut => "witnessed cut",
            Grade::GiversRecord => "giver’s record",
            Grade::GiversStatement => "giver’s statement",
            Grade::SellersStatement => "seller’s statement",
            Grade::NameOnly => "name only",
            Grade::Unknown => "not known",
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Quarantine {
    pub from: Option<Date>,
    pub to: Option<Date>,
    pub dips: Vec<String>,
    pub place: Place,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    pub since: Date,
    /// Key of the tank.
    pub tank: Located<String>,
    pub x: Option<f64>,
    pub y: Option<f64>,
    pub depth: Option<f64>,
    pub where_text: Option<String>,
    /// cm/s, or a word.
    pub flow: Option<Flow>,
    pub place: Place,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Flow {
    Speed(Quantity),
    Word(String),
}

#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    pub on: Date,
    pub measure: Measure,
    /// cm, cm², g or a count.
    pub value: f64,
    pub uncertainty: Option<f64>,
    pub photo: Option<Located<String>>,
    pub place: Place,
}

words! {
    Measure {
        Diameter = "diameter",
        Height = "height",
        Discs = "discs",
        Heads = "heads",
        Polyps = "polyps",
        Branches = "branches",
        Shoots = "shoots",
        Fronds = "fronds",
        Area = "area",
        Mass = "mass",
    }
}

impl Measure {
    pub fn is_count(self) -> bool {
        !matches!(self, Measure::Diameter | Measure::Height | Measure::Area | Measure::Mass)
    }

    pub fn unit(self) -> &'static str {
        match self {
            Measure::Diameter | Measure::Height => "cm",
            Measure::Area => "cm²",
            Measure::Mass => "g",
            other => other.word(),
        }
    }

    /// The unit beside a value: one head, two heads.
    pub fn unit_of(self, value: f64) -> &'static str {
        match self {
            _ if value != 1.0 => self.unit(),
            Measure::Discs => "disc",
            Measure::Heads => "head",
            Measure::Polyps => "polyp",
            Measure::Branches => "branch",
            Measure::Shoots => "shoot",
            Measure::Fronds => "frond",
            _ => self.unit(),
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct ColonyEvent {
    pub on: Date,
    pub what: String,
    pub place: Place,
}

/// News of a colony that left the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    pub on: Date,
    pub what: String,
    /// Whether it lived then.
    pub alive: super::YesNo,
    /// Who says so: a role, no person's name.
    pub from: Option<String>,
    pub place: Place,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Ended {
    pub on: Date,
    pub how: EndKind,
    pub cause: Option<String>,
    pub grade: CauseGrade,
    pub place: Place,
}

words! {
    EndKind { Lost = "lost", GivenAway = "given-away", Removed = "removed", CutUp = "cut-up" }
}

words! {
    CauseGrade { Known = "known", Likely = "likely", Unknown = "unknown" }
}

impl Colony {
    /// A colony of which nothing is known, to fill in; its key and name are empty.
    #[cfg(test)]
    pub(crate) fn bare(place: Place) -> Colony {
        Colony {
            key: String::new(),
            name: Located::new(String::new(), place.clone()),
            identity: None,
            group: Located::new(Group::Other, place.clone()),
            claims: Vec::new(),
            source: None,
            parent: None,
            arrived: Located::new(Date::MIN, place.clone()),
            quarantine: None,
            placements: Vec::new(),
            needs_light: None,
            needs_flow: None,
            sizes: Vec::new(),
            events: Vec::new(),
            heard: Vec::new(),
            ended: None,
            story: None,
            photo: None,
            note: None,
            place,
        }
    }

    pub fn placement_on(&self, date: Date) -> Option<&Placement> {
        self.placements.iter().rev().find(|placement| placement.since <= date)
    }

    /// How it ended, where it stood in this tank then.
    pub fn ended_in(&self, tank: &str) -> Option<&Ended> {
        let ended = self.ended.as_ref()?;
        self.placement_on(ended.on).is_some_and(|placement| placement.tank.value == tank).then_some(ended)
    }

    /// Here and alive on a date.
    pub fn is_here_on(&self, date: Date) -> bool {
        self.arrived.value <= date && self.ended.as_ref().is_none_or(|ended| date < ended.on)
    }
}

/// How sure a claim about a name is.
pub const SURE: [&str; 3] = ["certain", "likely", "doubtful"];
