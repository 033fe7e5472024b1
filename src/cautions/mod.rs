//! Rules that read the record and its figures and raise cautions.
//!
//! A caution is raised by something in the record, never as decoration; it says what raised it and defers to those who
//! decide. A missing answer is not a safe one: it raises the caution as a question, one level lower.

mod chemicals;
mod devices;
mod electricity;
mod flood;
mod heat;
mod house;
mod room;
mod shelf;
mod structure;
mod tank_life;
mod words;

use jiff::civil::Date;
use serde::Serialize;

use crate::diagnostic::Place;
use crate::figures::Findings;
use crate::record::{Record, Tank, YesNo};

/// Who or what a caution protects. Decides its bar and its rank on a page.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Danger {
    /// A hatched bar, always open.
    People,
    /// A heavy rule, the title open.
    Animals,
    /// A hairline, folded.
    #[default]
    Check,
}

impl Danger {
    /// The words over the title.
    pub fn words(self) -> &'static str {
        match self {
            Danger::People => "Danger to people",
            Danger::Animals => "Danger to animals",
            Danger::Check => "To check",
        }
    }
}

/// One raised caution.
#[derive(Clone, Debug)]
pub struct Caution {
    pub key: &'static str,
    /// The tanks that raise it, by key.
    pub tanks: Vec<String>,
    pub danger: Danger,
    pub title: String,
    pub text: Vec<String>,
    /// What in the record raised it.
    pub why: Vec<(String, Option<Place>)>,
    /// Who decides.
    pub defer: &'static str,
    pub sources: Vec<&'static str>,
    /// Pages next to whose work it stands: `power`, `upkeep`, `colony`, `light`, `equipment`,
    /// `water`, `heat`.
    pub topics: Vec<&'static str>,
    /// When and why the keeper answered it.
    pub acknowledged: Option<(Date, String)>,
}

/// Who reads them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// Those who live with the tank or look after it.
    House,
    /// Anybody. Whether children live there is private: nothing may show that it was answered.
    Everybody,
}

impl Reader {
    fn children_under_5(self, tank: &Tank) -> YesNo {
        match self {
            Reader::House => tank.children_under_5,
            Reader::Everybody => YesNo::Unknown,
        }
    }
}

/// All cautions of a record, gravest first, in an order that depends on nothing but the record and who reads them.
pub fn raise(record: &Record, findings: &Findings, reader: Reader) -> Vec<Caution> {
    let mut raised = Vec::new();
    for tank in record.tanks.values() {
        let mut of_tank = Vec::new();
        let children = reader.children_under_5(tank);
        electricity::raise(record, tank, &mut of_tank);
        structure::raise(record, tank, findings, &mut of_tank);
        flood::raise(tank, findings, &mut of_tank);
        tank_life::raise(record, tank, findings, children, &mut of_tank);
        heat::raise(record, tank, findings, &mut of_tank);
        devices::raise(record, tank, findings, &mut of_tank);
        chemicals::raise(record, tank, &mut of_tank);
        house::raise(record, tank, &mut of_tank);
        room::raise(record, tank, children, &mut of_tank);
        for mut caution in of_tank {
            caution.tanks = vec![tank.key.clone()];
            caution.acknowledged = acknowledged(tank, caution.key);
            join(caution, &mut raised);
        }
    }
    raised.sort_by_key(|caution| (caution.danger, rank(caution.key), caution.key));
    raised
}

/// One caution is printed once, whatever the number of tanks that raise it: the graver level speaks, all reasons stand.
fn join(caution: Caution, raised: &mut Vec<Caution>) {
    let Some(earlier) = raised.iter_mut().find(|earlier| earlier.key == caution.key) else {
        raised.push(caution);
        return;
    };
    let (mut graver, milder) =
        if caution.danger < earlier.danger { (caution, earlier.clone()) } else { (earlier.clone(), caution) };
    graver.tanks.extend(milder.tanks);
    graver.tanks.sort();
    for why in milder.why {
        if !graver.why.contains(&why) {
            graver.why.push(why);
        }
    }
    // Answered for one tank is not answered for the other.
    graver.acknowledged = graver.acknowledged.filter(|_| milder.acknowledged.is_some());
    *earlier = graver;
}

/// Within a level, what kills fastest stands first (judgement, no source).
fn rank(key: &str) -> usize {
    const ORDER: [&str; 12] = [
        "electricity.",
        "outage.",
        "flood.",
        "palytoxin.",
        "heater.",
        "lamp.",
        "battery.",
        "child.",
        "chemical.",
        "skin.",
        "load.",
        "glass.",
    ];
    ORDER.iter().position(|begins| key.starts_with(begins)).unwrap_or(ORDER.len())
}

fn acknowledged(tank: &Tank, key: &str) -> Option<(Date, String)> {
    tank.acknowledged
        .iter()
        .find(|acknowledged| acknowledged.caution.value == key)
        .map(|acknowledged| (acknowledged.on, acknowledged.reason.clone()))
}

/// A caution with nothing yet in its lists.
fn caution(key: &'static str, danger: Danger, title: impl Into<String>, defer: &'static str) -> Caution {
    Caution {
        key,
        tanks: Vec::new(),
        danger,
        title: title.into(),
        text: Vec::new(),
        why: Vec::new(),
        defer,
        sources: Vec::new(),
        topics: Vec::new(),
        acknowledged: None,
    }
}
